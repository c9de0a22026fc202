//! Messages to phones.

use super::*;

/// The outbox's messages, of every kind.
#[test]
fn every_message_to_a_phone_is_as_the_schema_says() {
    let messages = outbox_messages();
    let push = validator("push");
    let mut kinds = BTreeSet::new();
    for message in &messages {
        let told = json!(message);
        assert_eq!(faults(&push, &told), "", "{told}");
        kinds.insert(told["event"].to_string());
    }
    let named = schema("push")["properties"]["event"]["enum"].clone();
    assert_eq!(kinds.len(), named.as_array().unwrap().len(), "{kinds:?}");
    let alarm = messages
        .iter()
        .find(|message| message.replies.len() == 2)
        .unwrap();
    rebuild("push", &json!(alarm));
}

/// An alarm on a channel that is down for an hour, acknowledged and cleared, then weighed.
fn outbox_messages() -> Vec<Message> {
    let route = Route {
        name: "skipper".to_owned(),
        least: Some(Priority::Warning),
        quiet: None,
        after: Duration::ZERO,
        repeat: Duration::from_mins(5),
        answers: true,
        dark_after: Some(Duration::from_mins(30)),
        probe_every: Duration::from_mins(10),
    };
    let settings = outbox::words::Settings {
        boat: "Tern".to_owned(),
        instance: "1a2b3c4d".to_owned(),
        routes: vec![route],
        lost_after: Duration::from_mins(10),
        wording: windrode::speech::Wording::default(),
        key: [7; 32],
    };
    let mut now = Now::new(Tick::START, "2026-06-02T00:18:50Z".parse().unwrap());
    let mut outbox = Outbox::new(
        now,
        settings,
        outbox::words::SavedOutbox::default(),
        &[],
        true,
    );
    let mut messages = vec![outbox::test_message(
        ("Tern", &windrode::speech::Wording::default()),
        "skipper",
        now.utc,
    )];
    let mut view = AlertView::drag(
        now.utc,
        "dragging: the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m; look outside, start the engine",
    );
    let down = Verdict::Later {
        after: None,
        why: "connection refused".to_owned(),
    };
    for (state, verdict) in [
        (AlertState::ActiveUnacknowledged, &down),
        (AlertState::Normal, &down),
        (AlertState::ActiveUnacknowledged, &Verdict::Sent),
        (AlertState::ActiveAcknowledged, &Verdict::Sent),
        (AlertState::Normal, &Verdict::Sent),
    ] {
        view.state = state;
        view.raise += 1;
        outbox.handle_alert(now, &view);
        for _ in 0..30 {
            while let Some(output) = outbox.poll_output() {
                let outbox::words::Output::Send {
                    channel,
                    ticket,
                    parcel,
                } = output
                else {
                    continue;
                };
                match parcel {
                    Parcel::Show(message)
                    | Parcel::Clear(message)
                    | Parcel::Withdraw(message)
                    | Parcel::Renew { message, .. } => messages.push(message),
                    Parcel::Probe => {}
                }
                outbox.handle_verdict(now, &channel, ticket, verdict);
            }
            now = now.plus(Duration::from_secs(20));
            outbox.handle_timeout(now);
        }
    }
    messages
}
