//! Who is sent what and when: at once, again, later, without sound.

use super::*;

#[test]
fn an_alarm_is_sent_at_once_repeated_under_one_id_and_cleared() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.minutes(11);
    let told = bench.taken("skipper");
    assert_eq!(told.len(), 3, "{told:?}");
    let first = told[0].message().clone();
    assert_eq!(told[0].at, Tick::from_secs(1000));
    assert_eq!(first.title, "Tern: alarm, dragging");
    assert_eq!(
        first.message,
        "look outside (since 21:30 UTC, not acknowledged)"
    );
    assert_eq!(first.replies.len(), 2);
    assert!(told.iter().all(|handed| handed.message().id == first.id));
    bench.alert(
        Hazard::Dragging,
        Priority::Alarm,
        AlertState::ActiveAcknowledged,
    );
    bench.minutes(30);
    let seen = bench.taken("skipper");
    assert_eq!(seen.len(), 1, "{seen:?}");
    let seen = seen[0].message();
    assert_eq!(seen.event, MessageKind::Update);
    // A mail about it has its own subject, and neither repeats the other.
    assert_eq!(seen.title, "Tern: acknowledged, dragging");
    assert_eq!(seen.message, "look outside (since 21:30 UTC)");
    bench.normal(Hazard::Dragging);
    let cleared = bench.taken("skipper");
    assert_eq!(cleared.len(), 1);
    assert_eq!(cleared[0].message().event, MessageKind::Clear);
    assert_eq!(cleared[0].message().id, first.id);
    bench.minutes(60);
    assert_eq!(bench.kinds("skipper"), []);
    assert!(bench.disk.items.is_empty());
}

#[test]
fn graver_alerts_are_sent_at_once_and_unseen_ended_ones_without_sound() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Shoaling, Priority::Warning);
    bench.raise(Hazard::Shoaling, Priority::EmergencyAlarm);
    let told = bench.taken("skipper");
    assert_eq!(told.len(), 2);
    assert_eq!(told[1].message().title, "Tern: emergency, shoaling");
    // An emergency alarm cannot be silenced.
    let acts: Vec<Act> = told[1].message().replies.iter().map(|r| r.act).collect();
    assert_eq!(acts, [Act::Acknowledge]);
    bench.alert(
        Hazard::Shoaling,
        Priority::EmergencyAlarm,
        AlertState::RectifiedUnacknowledged,
    );
    bench.minutes(30);
    assert_eq!(bench.kinds("skipper"), [MessageKind::Update]);
}

#[test]
fn a_caution_is_sent_once_and_a_downgraded_one_without_sound() {
    let mut skipper = route("skipper");
    skipper.least = Some(Priority::Caution);
    let mut bench = Bench::new(vec![skipper]);
    let caution = (Priority::Caution, AlertState::ActiveAcknowledged);
    bench.alert(Hazard::ScopeShort, caution.0, caution.1);
    bench.minutes(60);
    assert_eq!(bench.kinds("skipper"), [MessageKind::Alert]);
    bench.raise(Hazard::DataLink, Priority::Alarm);
    bench.alert(Hazard::DataLink, caution.0, caution.1);
    bench.minutes(60);
    assert_eq!(
        bench.kinds("skipper"),
        [MessageKind::Alert, MessageKind::Update]
    );
}

#[test]
fn alerts_below_a_channel_s_priority_are_not_sent_there() {
    let mut owner = route("owner");
    owner.least = Some(Priority::Alarm);
    let mut bench = Bench::new(vec![route("skipper"), owner]);
    bench.raise(Hazard::WindShift, Priority::Warning);
    bench.alert(
        Hazard::ScopeShort,
        Priority::Caution,
        AlertState::ActiveAcknowledged,
    );
    bench.minutes(6);
    assert_eq!(bench.taken("skipper").len(), 2);
    assert_eq!(bench.taken("owner").len(), 0);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    assert_eq!(bench.taken("owner").len(), 1);
}

#[test]
fn the_second_person_is_called_when_the_first_does_not_answer_and_not_before() {
    let mut mate = route("mate");
    mate.after = Duration::from_mins(5);
    let mut bench = Bench::new(vec![route("skipper"), mate]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.pass(Duration::from_secs(299));
    assert_eq!(bench.taken("mate").len(), 0);
    // A crash does not set the five minutes back.
    bench.crash();
    bench.pass(Duration::from_secs(1));
    assert_eq!(bench.taken("mate").len(), 1);
    // An acknowledgement in time spares the second person.
    bench.normal(Hazard::Dragging);
    bench.taken("mate");
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.minutes(4);
    bench.alert(
        Hazard::Position,
        Priority::Alarm,
        AlertState::ActiveAcknowledged,
    );
    bench.minutes(60);
    assert_eq!(bench.taken("mate").len(), 0);
}

#[test]
fn quiet_hours_hold_a_warning_back_and_never_an_alarm() {
    let mut quiet = route("skipper");
    quiet.quiet = Some(Quiet {
        from: 22 * 60,
        until: 7 * 60,
    });
    let mut bench = Bench::new(vec![quiet]);
    bench.minutes(31);
    bench.raise(Hazard::WindShift, Priority::Warning);
    bench.minutes(60);
    assert_eq!(bench.taken("skipper").len(), 0);
    for (hazard, priority) in [
        (Hazard::Dragging, Priority::Alarm),
        (Hazard::Shoaling, Priority::EmergencyAlarm),
    ] {
        bench.raise(hazard, priority);
        assert_eq!(bench.taken("skipper").len(), 1, "{hazard}");
        bench.normal(hazard);
        bench.taken("skipper");
    }
    bench.minutes(8 * 60);
    let morning = bench.taken("skipper");
    assert_eq!(
        morning[0].message().time.clock(),
        "07:00",
        "{:?}",
        morning[0]
    );
    assert_eq!(morning[0].message().hazard, Some(Hazard::WindShift));
}

/// People ashore would read "cleared" as "she holds".
#[test]
fn people_alerted_about_a_drag_learn_that_the_anchor_was_weighed() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.raise(Hazard::Watch, Priority::Warning);
    bench.taken("skipper");
    let now = bench.now;
    bench.outbox.handle_anchored(now, false);
    bench.normal(Hazard::Dragging);
    bench.normal(Hazard::Watch);
    let told = bench.taken("skipper");
    let said = |hazard: Hazard| {
        let mut about = told.iter().map(Handed::message);
        let message = about.rfind(|it| it.hazard == Some(hazard)).unwrap();
        (message.title.as_str(), message.message.as_str())
    };
    assert_eq!(
        said(Hazard::Dragging),
        (
            "Tern: the anchor was weighed",
            "the watch has ended; dragging: no longer watched"
        )
    );
    assert_eq!(
        said(Hazard::Watch),
        (
            "Tern: the alert about the watch is over",
            "warning cleared, no anchor is watched now"
        )
    );
    // The next watch is a new one.
    let now = bench.now;
    bench.outbox.handle_anchored(now, true);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.normal(Hazard::Dragging);
    let told = bench.taken("skipper");
    assert!(told.last().unwrap().message().message.ends_with("cleared"));
}

/// She anchored again before the old alert was over: it ends like any other.
#[test]
fn an_alert_that_is_over_after_she_anchored_again_was_not_ended_by_weighing() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    for anchored in [false, true] {
        let now = bench.now;
        bench.outbox.handle_anchored(now, anchored);
    }
    bench.normal(Hazard::Dragging);
    let told = bench.taken("skipper");
    let last = told.last().unwrap().message();
    assert_eq!(last.event, MessageKind::Clear);
    assert!(last.message.ends_with("cleared"), "{last:?}");
}
