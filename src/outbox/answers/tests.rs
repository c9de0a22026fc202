//! Which answers are used, tested one condition at a time.

use std::collections::VecDeque;

use super::*;
use crate::alert::hazard::{AlertView, Priority};
use crate::outbox::words::{Route, SavedOutbox, Settings};
use crate::speech::Wording;
use crate::time::{Tick, Timestamp};

fn evening() -> Timestamp {
    "2026-06-01T21:30:00Z".parse().unwrap()
}

fn at(second: u64) -> Now {
    Now::new(Tick::from_secs(second), evening())
}

fn route(name: &str) -> Route {
    Route {
        name: name.to_owned(),
        least: Some(Priority::Warning),
        quiet: None,
        after: Duration::ZERO,
        repeat: Duration::from_mins(5),
        answers: true,
        dark_after: None,
        probe_every: Duration::from_mins(10),
    }
}

/// Two phones received an alert about dragging.
fn outbox() -> Outbox {
    let settings = Settings {
        boat: "Tern".to_owned(),
        instance: "1a2b3c4d".to_owned(),
        routes: vec![route("skipper"), route("mate")],
        lost_after: Duration::from_mins(10),
        wording: Wording::default(),
        key: [7; 32],
    };
    let alert = AlertView {
        hazard: Hazard::Dragging,
        priority: Priority::Alarm,
        state: AlertState::ActiveUnacknowledged,
        message: "look outside".to_owned(),
        since: evening(),
        raise: 17,
        escalation: 0,
        escalated: false,
    };
    Outbox::new(at(0), settings, SavedOutbox::default(), &[alert], true)
}

/// The skipper's acknowledgement.
fn answer(outbox: &Outbox) -> Used {
    let lane = &outbox.lanes[0];
    let (_, item) = lane.items.iter().next().unwrap();
    Used {
        id: item.id.clone(),
        raise: 17,
        act: Act::Acknowledge,
        channel: lane.route.name.clone(),
    }
}

fn line(outbox: &Outbox, used: &Used) -> String {
    outbox
        .mint
        .write(used.act, &used.channel, &used.id, used.raise)
}

fn logged(outbox: &mut Outbox) -> Vec<(bool, String)> {
    std::iter::from_fn(|| outbox.poll_output())
        .filter_map(|output| match output {
            Output::Log { warn, text } => Some((warn, text)),
            _ => None,
        })
        .collect()
}

#[test]
fn an_answer_is_used_only_by_the_same_one() {
    let mut outbox = outbox();
    let this = answer(&outbox);
    let others = [
        Used {
            id: "dragging-1".to_owned(),
            ..this.clone()
        },
        Used {
            raise: 16,
            ..this.clone()
        },
        Used {
            act: Act::Silence,
            ..this.clone()
        },
        Used {
            channel: "mate".to_owned(),
            ..this.clone()
        },
    ];
    let line = line(&outbox, &this);
    for other in others {
        outbox.used = VecDeque::from([other.clone()]);
        assert!(outbox.judge_reply(&line).is_ok(), "{other:?}");
    }
    outbox.used.push_back(this);
    assert_eq!(outbox.judge_reply(&line), Err(ReplyFault::Used));
}

/// A journal that grew with every answer could be filled from ashore.
#[test]
fn the_last_64_answers_are_remembered() {
    let mut outbox = outbox();
    let this = answer(&outbox);
    let old = |number: u64| Used {
        raise: number,
        ..this.clone()
    };
    outbox.used = (100..163).map(old).collect();
    outbox.handle_reply(at(1), &line(&outbox, &this));
    assert_eq!((outbox.used.len(), outbox.used[0].raise), (64, 100));
    let silence = Used {
        act: Act::Silence,
        ..this.clone()
    };
    outbox.handle_reply(at(2), &line(&outbox, &silence));
    assert_eq!((outbox.used.len(), outbox.used[0].raise), (64, 101));
    assert_eq!(outbox.used.back(), Some(&silence));
    assert_eq!(outbox.saved().used.len(), 64);
}

/// MSC.302(87): an acknowledged alert cannot be acknowledged again, and a silent alert cannot be
/// silenced.
#[test]
fn the_possible_answers_depend_on_the_alert_s_state() {
    use AlertState::{
        ActiveAcknowledged, ActiveSilenced, ActiveUnacknowledged, RectifiedUnacknowledged,
    };
    let mut outbox = outbox();
    let this = answer(&outbox);
    for (state, acknowledged, silenced) in [
        (ActiveUnacknowledged, true, true),
        (ActiveSilenced, true, false),
        (RectifiedUnacknowledged, true, false),
        (ActiveAcknowledged, false, false),
    ] {
        outbox.alerts.get_mut(&Hazard::Dragging).unwrap().state = state;
        for (act, taken) in [(Act::Acknowledge, acknowledged), (Act::Silence, silenced)] {
            let line = line(
                &outbox,
                &Used {
                    act,
                    ..this.clone()
                },
            );
            match outbox.judge_reply(&line) {
                Ok((genuine, hazard)) => {
                    assert!(taken, "{state:?} {act}");
                    assert_eq!((genuine.act, hazard), (act, Hazard::Dragging));
                }
                Err(fault) => {
                    assert!(!taken, "{state:?} {act}");
                    assert_eq!(fault, ReplyFault::Answered);
                }
            }
        }
    }
    // Raised again, or sent by a channel that no longer exists.
    for late in [
        Used {
            raise: 18,
            ..this.clone()
        },
        Used {
            channel: "cook".to_owned(),
            ..this.clone()
        },
        Used {
            id: "windShift-1".to_owned(),
            ..this
        },
    ] {
        let line = line(&outbox, &late);
        assert_eq!(outbox.judge_reply(&line), Err(ReplyFault::Late), "{late:?}");
    }
}

#[test]
fn only_a_forged_answer_is_a_warning_and_each_reason_is_told_every_ten_minutes() {
    let mut outbox = outbox();
    logged(&mut outbox);
    let forged = format!("acknowledge skipper dragging-1 17 {}", "ab".repeat(32));
    outbox.handle_reply(at(0), &forged);
    outbox.handle_reply(at(0), "hello");
    outbox.handle_reply(at(599), "hello");
    let told = logged(&mut outbox);
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told[0].0 && told[0].1.contains("forged"), "{told:?}");
    assert!(!told[1].0 && told[1].1.ends_with("it answers no message from windrode"));
    // Ten minutes to the second after the first report; then the count starts again.
    outbox.handle_reply(at(600), "hello");
    let told = logged(&mut outbox);
    assert!(
        told[0].1.ends_with("(and 1 more like it before)"),
        "{told:?}"
    );
    outbox.handle_reply(at(1200), "hello");
    let told = logged(&mut outbox);
    assert!(
        told[0].1.ends_with("it answers no message from windrode"),
        "{told:?}"
    );
}

/// The signature is valid in both; only the length differs.
#[test]
fn a_line_of_400_bytes_is_read_and_a_longer_one_is_not() {
    let mint = outbox().mint;
    let line = |channel: usize| mint.write(Act::Silence, &"c".repeat(channel), "dragging-1", 17);
    let others = line(0).len();
    assert!(mint.read(&line(400 - others)).is_ok());
    let fault = mint.read(&line(401 - others));
    assert_eq!(fault, Err(ReplyFault::Malformed));
}
