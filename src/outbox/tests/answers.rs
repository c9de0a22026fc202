//! Answers from a phone.

use super::*;

#[test]
fn an_answer_does_what_it_says_once_and_every_other_gets_its_own_reason() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    let told = bench.taken("skipper");
    let old = told[0].message().replies[0].body.clone();
    let silence = told[0].message().replies[1].body.clone();
    bench.raise(Hazard::Dragging, Priority::EmergencyAlarm);
    let reply = bench.taken("skipper")[0].message().replies[0].body.clone();
    let forged = format!("{}{}", &reply[..reply.len() - 64], "ab".repeat(32));
    let send = |bench: &mut Bench, line: &str| {
        let now = bench.now;
        bench.outbox.handle_reply(now, line);
        bench.serve();
    };
    // The button of the lesser alarm does not answer the graver alarm.
    send(&mut bench, &old);
    send(&mut bench, &forged);
    send(&mut bench, "hello");
    assert_eq!(bench.acts, []);
    send(&mut bench, &reply);
    assert_eq!(
        bench.acts,
        [("skipper".to_owned(), Hazard::Dragging, Act::Acknowledge)]
    );
    // A replayed answer, before and after a power cut.
    send(&mut bench, &reply);
    assert!(bench.log.last().unwrap().ends_with("it was used before"));
    assert_eq!(bench.acts.len(), 1);
    bench.alert(
        Hazard::Dragging,
        Priority::EmergencyAlarm,
        AlertState::ActiveAcknowledged,
    );
    send(&mut bench, &silence);
    assert_eq!(bench.acts.len(), 1);
    bench.crash();
    bench.normal(Hazard::Dragging);
    send(&mut bench, &reply);
    assert_eq!(bench.acts.len(), 1);
    assert_eq!(
        bench.log,
        [
            "an answer from a phone was not taken: it comes late: the alert is over or was raised again since",
            "an answer from a phone was not taken: it is forged: its signature is not ours",
            "an answer from a phone was not taken: it answers no message from windrode",
            // Reported only once: after the restart the place of answers still had it, and that is
            // expected.
            "an answer from a phone was not taken: it was used before",
        ]
    );
    // A flood of forgeries makes one line in ten minutes.
    let before = bench.log.len();
    for _ in 0..10_000 {
        send(&mut bench, &forged);
    }
    bench.minutes(11);
    send(&mut bench, &forged);
    assert_eq!(bench.log.len() - before, 2);
    assert!(
        bench
            .log
            .last()
            .unwrap()
            .ends_with("(and 9999 more like it before)")
    );
}
