//! Channels that fail, hang, refuse or are barred, and the message for when the watch dies.

use super::*;

#[test]
fn days_offline_end_in_one_message_without_a_burst() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.taken("skipper");
    bench.offline("skipper");
    for _ in 0..2 {
        for hazard in [Hazard::Dragging, Hazard::Position, Hazard::WindShift] {
            bench.raise(hazard, Priority::Alarm);
            bench.minutes(90);
            bench.normal(hazard);
            bench.minutes(600);
        }
    }
    bench.raise(Hazard::Shoaling, Priority::Alarm);
    bench.minutes(3 * 24 * 60);
    // The queue has not grown.
    assert!(serde_json::to_string(&bench.disk).unwrap().len() < 600);
    bench.crash();
    bench.taken("skipper");
    bench.answer("skipper", Verdict::Sent);
    bench.minutes(10);
    let told = bench.taken("skipper");
    // The standing alert first, then all that is over in one message; the third repeats the
    // standing alert.
    assert_eq!(told.len(), 3, "{told:?}");
    assert_eq!(told[0].message().hazard, Some(Hazard::Shoaling));
    assert_eq!(told[1].message().event, MessageKind::Summary);
    assert_eq!(
        told[1].message().message,
        "dragging, no position, wind shift; from 2026-06-01 21:30 UTC to 2026-06-04 08:30 UTC"
    );
    assert_eq!(told[2].message().hazard, Some(Hazard::Shoaling));
    bench.normal(Hazard::Shoaling);
    bench.minutes(1);
    assert_eq!(bench.kinds("skipper"), [MessageKind::Clear]);
    assert_eq!(bench.disk.missed, []);
}

#[test]
fn a_pause_that_the_server_asks_for_is_kept_and_failures_grow_apart() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.answer(
        "skipper",
        Verdict::Later {
            after: Some(Duration::from_secs(300)),
            why: "status 429".to_owned(),
        },
    );
    bench.raise(Hazard::Dragging, Priority::Alarm);
    // Even a second alarm does not break it.
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.pass(Duration::from_secs(299));
    assert_eq!(bench.taken("skipper").len(), 1);
    bench.offline("skipper");
    bench.pass(Duration::from_secs(1));
    assert_eq!(bench.taken("skipper").len(), 1);
    bench.minutes(60);
    let tries = bench.taken("skipper");
    let gaps: Vec<u64> = tries
        .windows(2)
        .map(|pair| pair[1].at.since(pair[0].at).as_secs())
        .collect();
    assert_eq!(gaps[..4], [20, 40, 80, 120]);
    assert!(gaps[4..].iter().all(|gap| *gap == 120), "{gaps:?}");
}

#[test]
fn a_new_alarm_does_not_wait_for_the_pause_after_an_old_failure() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.offline("skipper");
    bench.minutes(60);
    bench.taken("skipper");
    bench.answer("skipper", Verdict::Sent);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    assert_eq!(bench.taken("skipper").len(), 1);
}

#[test]
fn a_channel_that_hangs_holds_up_no_other_and_is_tried_again() {
    let mut bench = Bench::new(vec![route("skipper"), route("mate")]);
    bench.hung.push("skipper".to_owned());
    bench.raise(Hazard::Dragging, Priority::Alarm);
    assert_eq!(bench.taken("skipper").len(), 1);
    assert_eq!(bench.taken("mate").len(), 1);
    bench.minutes(2);
    let tries = bench.taken("skipper");
    assert_eq!(tries.len(), 1);
    assert_eq!(bench.health("skipper").state, HealthState::Failing);
    // The verdict of the abandoned attempt arrives after all, and is not taken for the verdict of
    // the new one.
    let now = bench.now;
    bench
        .outbox
        .handle_verdict(now, "skipper", tries[0].ticket - 2, &Verdict::Sent);
    assert_eq!(bench.health("skipper").state, HealthState::Failing);
    bench
        .outbox
        .handle_verdict(now, "skipper", tries[0].ticket, &Verdict::Sent);
    assert_eq!(bench.health("skipper").state, HealthState::Working);
}

#[test]
fn a_refusal_is_reported_and_not_retried_until_something_changes() {
    let mut bench = Bench::new(vec![route("skipper")]);
    let refusal = Verdict::Refused("status 403".to_owned());
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.answer("skipper", refusal);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.taken("skipper");
    // A server that answers does not necessarily accept messages.
    bench.answers.clear();
    bench.minutes(4);
    assert_eq!(bench.taken("skipper").len(), 0);
    let health = bench.health("skipper");
    assert_eq!(health.state, HealthState::Refused);
    assert_eq!(health.trouble.as_deref(), Some("status 403"));
    // A graver alert is sent.
    bench.raise(Hazard::Dragging, Priority::EmergencyAlarm);
    assert_eq!(bench.taken("skipper").len(), 1);
    assert_eq!(bench.health("skipper").state, HealthState::Working);
}

#[test]
fn a_barred_channel_is_reported_with_and_without_a_message() {
    let mut bench = Bench::new(vec![route("siren")]);
    bench.answer("siren", Verdict::Refused("no such program".to_owned()));
    bench.minutes(11);
    assert_eq!(bench.health("siren").state, HealthState::Refused);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.minutes(5);
    assert_eq!(bench.health("siren").state, HealthState::Refused);
    // Once it is repaired, the alarm that still stands gets through by itself.
    bench.answers.clear();
    bench.taken("siren");
    bench.minutes(11);
    assert!(!bench.taken("siren").is_empty());
    assert_eq!(bench.health("siren").state, HealthState::Working);
}

#[test]
fn without_any_working_channel_the_watch_is_informed_after_a_while() {
    let mut ping = route("ashore");
    ping.least = None;
    let mut bench = Bench::new(vec![route("skipper"), route("mate"), ping]);
    assert_eq!(bench.phones.last(), Some(&Phones::Working));
    bench.offline("skipper");
    bench.minutes(60);
    // One channel still works.
    assert_eq!(bench.phones.last(), Some(&Phones::Working));
    bench.answer("mate", Verdict::Refused("status 401".to_owned()));
    bench.minutes(10);
    assert_eq!(
        bench.phones.last(),
        Some(&Phones::Doubtful("skipper, mate".to_owned()))
    );
    bench.minutes(10);
    assert_eq!(
        bench.phones.last(),
        Some(&Phones::Lost("skipper, mate".to_owned()))
    );
    bench.answer("skipper", Verdict::Sent);
    bench.minutes(2);
    assert_eq!(bench.phones.last(), Some(&Phones::Working));
    assert_eq!(Bench::new(vec![]).phones, []);
}

#[test]
fn the_dead_man_s_message_is_pushed_forward_at_anchor_and_withdrawn_aweigh() {
    let mut dark = route("skipper");
    dark.dark_after = Some(Duration::from_mins(10));
    let mut bench = Bench::new(vec![dark]);
    bench.minutes(30);
    let kinds = bench.taken("skipper");
    assert!((29..=31).contains(&kinds.len()), "{}", kinds.len());
    assert!(kinds.iter().all(|handed| matches!(
        &handed.parcel,
        Parcel::Renew { after, .. } if *after == Duration::from_mins(10)
    )));
    // The crash comes before the anchor is weighed: the message is withdrawn all the same.
    bench.crash();
    bench.taken("skipper");
    let now = bench.now;
    bench.outbox.handle_anchored(now, false);
    bench.serve();
    let withdrawn = bench.taken("skipper");
    assert!(matches!(
        withdrawn[..],
        [Handed {
            parcel: Parcel::Withdraw(_),
            ..
        }]
    ));
    bench.minutes(60);
    assert_eq!(bench.taken("skipper").len(), 0);
    assert_eq!(bench.disk.armed, Vec::<String>::new());
}

/// A watch that dies every two seconds for two minutes and raises its alarms again each time.
#[test]
fn a_crash_loop_keeps_to_the_rate_of_one_life() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.raise(Hazard::DataLink, Priority::Alarm);
    for _ in 0..60 {
        bench.pass(Duration::from_secs(2));
        bench.crash();
    }
    let rung = bench.taken("skipper").len();
    // Ten at once, then one each ten seconds (`pace`).
    assert!((3..=23).contains(&rung), "{rung}");
}

#[test]
fn a_channel_that_fails_or_is_refused_does_not_work() {
    assert!(HealthState::Failing.is_failure() && HealthState::Refused.is_failure());
    assert!(!HealthState::Working.is_failure() && !HealthState::Untried.is_failure());
}
