//! Commands of other clients, from the display to the watch and back.

use super::*;

#[test]
fn a_command_is_handed_on_and_its_answer_sent_back() {
    let mut night = Night::linked();
    night.hears(&fix("gps0.GP", 1, 59.8539));
    night.puts("navigation.anchor.watch.letGo", &json!({"rode": 35.5}));
    let last_two: Vec<_> = night
        .outputs
        .iter()
        .rev()
        .take(2)
        .map(|(_, o)| o.clone())
        .collect();
    let Output::Command { request, command } = last_two[0].clone() else {
        panic!("{last_two:?}");
    };
    assert!(
        matches!(last_two[1], Output::Report(_)),
        "the fix that was held back goes first"
    );
    assert_eq!(
        command,
        Command::LetGo(LetGo {
            rode: Some(Metres::of(35.5)),
            ..LetGo::default()
        })
    );
    night.session.handle_reply(
        night.now,
        request,
        &Outcome::Refused("no fix, so no mark".into()),
    );
    night.settle();
    let answer = PutOutcome {
        status_code: 400,
        message: "no fix, so no mark".into(),
    };
    assert_eq!(night.answers, [answer]);
    // A second answer to the same request reaches nobody.
    night
        .session
        .handle_reply(night.now, request, &Outcome::Done("late".into()));
    assert_eq!(night.session.poll_output(), None);
}

#[test]
fn refusals_are_answered_here_and_change_nothing() {
    let mut night = Night::linked();
    let other = "vessels.urn:mrn:imo:mmsi:999999999";
    night.hears(&json!({"requestId": "1", "context": other, "put": [{"path": "navigation.anchor.watch.weigh", "value": true}]}).to_string());
    night.hears(&json!({"requestId": "2", "context": TERN, "put": []}).to_string());
    night.puts("navigation.anchor.watch.weigh", &json!("yes"));
    night.hears(&json!({"requestId": "3", "context": TERN, "put": [{"path": "navigation.anchor.watch.scope", "value": 5}]}).to_string());
    night.hears(&json!({"context": TERN, "put": [{"path": "navigation.anchor.watch.weigh", "value": true}]}).to_string());
    let answers: Vec<_> = night
        .sent()
        .iter()
        .map(|a| {
            (
                a["statusCode"].clone(),
                a["message"].as_str().unwrap().to_owned(),
            )
        })
        .collect();
    assert_eq!(
        answers,
        [
            (json!(403), "`vessels.urn:mrn:imo:mmsi:999999999` is another vessel's context; commands are taken for `vessels.self` only".to_owned()),
            (json!(400), "a request carries `0` readable entries of `put`; write one `path` with its `value`".to_owned()),
            (json!(400), "`weigh` was given `\"yes\"`; write `true`".to_owned()),
            (json!(405), "`navigation.anchor.watch.scope` is calculated by windrode and cannot be set; the commands are `letGo`, `rodeOut`, `snubber`, `weigh`, `acknowledge`, `silence`, `berth`, `pullTest`, `position`, `maxRadius`".to_owned()),
        ]
    );
    assert!(
        night
            .found(|o| matches!(o, Output::Command { .. }).then_some(()))
            .is_empty()
    );
}

#[test]
fn a_command_nobody_answers_times_out_and_too_many_are_refused() {
    let mut night = Night::linked();
    for _ in 0..70 {
        night.puts("navigation.anchor.watch.acknowledge", &json!(true));
    }
    let busy = night
        .sent()
        .iter()
        .filter(|a| a["statusCode"] == 503)
        .count();
    assert_eq!(busy, 70 - requests::MOST);
    night.pass(51);
    let late: Vec<_> = night
        .sent()
        .into_iter()
        .filter(|a| a["statusCode"] == 504)
        .collect();
    assert_eq!(late.len(), requests::MOST);
    assert_eq!(
        late[0]["message"],
        "the watch did not answer within 50 s; ask for its state before trying again"
    );
}

#[test]
fn an_answer_after_the_connection_broke_reaches_nobody() {
    let mut night = Night::linked();
    night.puts("navigation.anchor.watch.weigh", &json!(true));
    let request = night.found(|o| match o {
        Output::Command { request, .. } => Some(*request),
        _ => None,
    })[0];
    night.broken();
    night
        .session
        .handle_reply(night.now, request, &Outcome::Done("aweigh".into()));
    assert_eq!(night.session.poll_output(), None);
}
