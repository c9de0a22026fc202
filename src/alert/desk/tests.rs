//! The desk: what is due when, what is reported, what survives a restart.

use super::*;
use crate::time::Timestamp;
use AlertState::{ActiveAcknowledged, ActiveUnacknowledged, Normal, RectifiedUnacknowledged};

fn at(second: u64) -> Now {
    Now::new(
        Tick::from_secs(second),
        Timestamp::EPOCH.plus(Duration::from_secs(second)),
    )
}

#[expect(clippy::unnecessary_wraps, reason = "it is handed to `set` as it is")]
fn finding(priority: Priority, severity: f64) -> Option<Finding> {
    Some(Finding {
        priority,
        severity,
        causes: Vec::new(),
        message: format!("{severity} m"),
        evidence: serde_json::Map::new(),
    })
}

/// The condition has gone at this second, and stays away long enough.
fn go(desk: &mut Desk, second: u64, hazard: Hazard) {
    for second in second..=second + CLEAR_HOLD.as_secs() {
        desk.set(at(second), hazard, None);
    }
}

fn changes(desk: &mut Desk) -> Vec<(AlertState, Change)> {
    std::iter::from_fn(|| desk.poll_change())
        .map(|told| (told.view.state, told.change))
        .collect()
}

#[test]
fn a_repeated_finding_is_not_a_new_raise_and_new_words_wait_ten_seconds() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 5.0));
    for second in 1..=10 {
        let severity = 5.0 + second as f64 / 10.0;
        desk.set(
            at(second),
            Hazard::Dragging,
            finding(Priority::Alarm, severity),
        );
    }
    assert_eq!(
        changes(&mut desk),
        [
            (ActiveUnacknowledged, Change::Raised),
            (ActiveUnacknowledged, Change::Reworded)
        ]
    );
}

#[test]
fn an_acknowledged_drag_that_doubles_sounds_again() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 12.0));
    desk.acknowledge(at(0), None).unwrap();
    desk.set(at(1), Hazard::Dragging, finding(Priority::Alarm, 20.0));
    assert_eq!(desk.state(Hazard::Dragging), ActiveAcknowledged);
    desk.set(at(2), Hazard::Dragging, finding(Priority::Alarm, 24.5));
    assert_eq!(desk.state(Hazard::Dragging), ActiveUnacknowledged);
    assert_eq!(desk.standing()[0].raise, 2);
}

#[test]
fn the_acknowledged_severity_is_the_measure_after_a_restart() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 20.0));
    desk.acknowledge(at(0), None).unwrap();
    let mut after = Desk::restored(
        at(0),
        DeskSettings::default(),
        &desk.standing(),
        &desk.measures(),
        desk.raises(),
    );
    after.set(at(1), Hazard::Dragging, finding(Priority::Alarm, 320.0));
    assert_eq!(after.state(Hazard::Dragging), ActiveUnacknowledged);
}

/// The severity is unknown until the first fix: the acknowledgement applies to what is found then.
#[test]
fn an_acknowledgement_before_the_first_judgement_after_a_restart_counts() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 40.0));
    let mut after = Desk::restored(
        at(0),
        DeskSettings::default(),
        &desk.standing(),
        &desk.measures(),
        desk.raises(),
    );
    after.acknowledge(at(1), None).unwrap();
    after.set(at(2), Hazard::Dragging, finding(Priority::Alarm, 41.0));
    assert_eq!(after.state(Hazard::Dragging), ActiveAcknowledged);
    after.set(at(3), Hazard::Dragging, finding(Priority::Alarm, 82.0));
    assert_eq!(after.state(Hazard::Dragging), ActiveUnacknowledged);
}

#[test]
fn each_hazard_has_its_own_step_to_worse() {
    for (hazard, acknowledged, quiet, loud) in [
        (Hazard::Dragging, 12.0, 23.0, 24.0),
        (Hazard::Shoaling, 0.1, 0.25, 0.31),
        (Hazard::Position, 1.0, 10.0, 11.0),
    ] {
        let mut desk = Desk::default();
        desk.set(at(0), hazard, finding(Priority::Alarm, acknowledged));
        desk.acknowledge(at(0), None).unwrap();
        desk.set(at(1), hazard, finding(Priority::Alarm, quiet));
        assert_eq!(desk.state(hazard), ActiveAcknowledged, "{hazard}");
        desk.set(at(2), hazard, finding(Priority::Alarm, loud));
        assert_eq!(desk.state(hazard), ActiveUnacknowledged, "{hazard}");
    }
}

#[test]
fn the_watch_impaired_in_another_way_sounds_again() {
    let mut desk = Desk::default();
    let impaired = |cause: Cause, words: &str| {
        Some(Finding {
            causes: vec![cause],
            message: words.to_owned(),
            ..finding(Priority::Warning, 0.0).unwrap()
        })
    };
    desk.set(
        at(0),
        Hazard::Watch,
        impaired(Cause::Journal, "the disk is full"),
    );
    desk.acknowledge(at(0), None).unwrap();
    // Other words do not make another cause.
    let fuller = impaired(Cause::Journal, "the disk is full since a minute");
    desk.set(at(20), Hazard::Watch, fuller);
    assert_eq!(desk.state(Hazard::Watch), ActiveAcknowledged);
    let stopped = impaired(Cause::Stopped, "windrode was stopped");
    desk.set(at(21), Hazard::Watch, stopped);
    assert_eq!(desk.state(Hazard::Watch), ActiveUnacknowledged);
}

#[test]
fn a_caution_is_steady_and_goes_by_itself() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Position, finding(Priority::Caution, 0.0));
    assert_eq!(desk.state(Hazard::Position), ActiveAcknowledged);
    assert_eq!(desk.acknowledge(at(0), None), Err(DeskRefusal::Already));
    desk.set(at(1), Hazard::Position, finding(Priority::Alarm, 0.0));
    assert_eq!(desk.state(Hazard::Position), ActiveUnacknowledged);
    go(&mut desk, 2, Hazard::Position);
    assert_eq!(desk.state(Hazard::Position), RectifiedUnacknowledged);
}

#[test]
fn refusals_give_the_reason() {
    let mut desk = Desk::default();
    let nothing = desk.acknowledge(at(0), None).unwrap_err();
    assert_eq!(
        nothing.to_string(),
        "there is no alert to acknowledge or silence"
    );
    desk.set(
        at(0),
        Hazard::Dragging,
        finding(Priority::EmergencyAlarm, 0.0),
    );
    let emergency = desk.silence(at(0), None).unwrap_err();
    assert_eq!(
        emergency.to_string(),
        "an emergency alarm cannot be silenced; acknowledge it"
    );
}

#[test]
fn alerts_from_before_a_restart_stand_after_it_and_sound() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 12.0));
    desk.silence(at(1), None).unwrap();
    let saved = desk.standing();
    let mut after = Desk::restored(
        at(0),
        DeskSettings::default(),
        &saved,
        &desk.measures(),
        desk.raises(),
    );
    assert_eq!(after.state(Hazard::Dragging), ActiveUnacknowledged);
    assert!(after.standing()[0].raise > saved[0].raise);
    // The condition is judged again and still stands: no second raise.
    after.set(at(1), Hazard::Dragging, finding(Priority::Alarm, 30.0));
    assert!(
        changes(&mut after)
            .iter()
            .all(|(_, change)| *change != Change::Raised)
    );
}

#[test]
fn a_normal_alert_is_forgotten_once_reported() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::WindShift, finding(Priority::Warning, 70.0));
    desk.acknowledge(at(0), None).unwrap();
    go(&mut desk, 1, Hazard::WindShift);
    assert_eq!(changes(&mut desk).last(), Some(&(Normal, Change::Cleared)));
    assert!(desk.alerts.is_empty());
}

/// A condition that flickers at its threshold every second is one raise.
#[test]
fn a_flickering_condition_is_one_alert() {
    let mut desk = Desk::default();
    for second in 0..600 {
        let stands = second % 9 < 2;
        let found = if stands {
            finding(Priority::Alarm, 5.0)
        } else {
            None
        };
        desk.set(at(second), Hazard::Shoaling, found);
    }
    assert_eq!(changes(&mut desk), [(ActiveUnacknowledged, Change::Raised)]);
    go(&mut desk, 600, Hazard::Shoaling);
    assert_eq!(desk.state(Hazard::Shoaling), RectifiedUnacknowledged);
}

/// If nobody comes, the warning is repeated, becomes an alarm, and is repeated again.
#[test]
fn a_warning_nobody_answers_is_repeated_and_becomes_an_alarm() {
    let mut desk = Desk::default();
    let mut heard = Vec::new();
    for second in 0..=430 {
        desk.handle_timeout(at(second));
        desk.set(
            at(second),
            Hazard::WindShift,
            finding(Priority::Warning, 70.0),
        );
        while let Some(told) = desk.poll_change() {
            let view = told.view;
            heard.push((
                second,
                told.change,
                view.priority,
                view.raise,
                view.escalation,
            ));
        }
    }
    assert_eq!(
        heard,
        [
            (0, Change::Raised, Priority::Warning, 1, 0),
            (120, Change::Repeated, Priority::Warning, 1, 1),
            (240, Change::Repeated, Priority::Warning, 1, 2),
            (300, Change::Raised, Priority::Alarm, 2, 3),
            (420, Change::Repeated, Priority::Alarm, 2, 4),
        ]
    );
    desk.acknowledge(at(431), None).unwrap();
    let view = &desk.standing()[0];
    assert_eq!(
        (view.priority, view.state),
        (Priority::Warning, ActiveAcknowledged)
    );
    // Once answered, it is quiet.
    while desk.poll_change().is_some() {}
    desk.handle_timeout(at(4000));
    assert_eq!(desk.poll_change(), None);
}

/// The crew reads the top of a screen: an alarm that was seen must not hide an unseen one.
#[test]
fn among_equals_unacknowledged_alerts_come_first() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 5.0));
    desk.acknowledge(at(1), None).unwrap();
    desk.set(at(2), Hazard::Position, finding(Priority::Alarm, 1.0));
    desk.set(at(2), Hazard::WindShift, finding(Priority::Warning, 70.0));
    let order: Vec<Hazard> = desk.standing().iter().map(|view| view.hazard).collect();
    assert_eq!(
        order,
        [Hazard::Position, Hazard::Dragging, Hazard::WindShift]
    );
}

/// Silencing gives no more than 30 s and does not delay the escalation.
#[test]
fn silencing_a_warning_again_and_again_does_not_hold_up_its_escalation() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::WindShift, finding(Priority::Warning, 70.0));
    for second in 1..=300 {
        let _ = desk.silence(at(second), None);
        desk.handle_timeout(at(second));
    }
    assert_eq!(desk.standing()[0].priority, Priority::Alarm);
}

#[test]
fn a_restart_keeps_an_escalated_alert_an_alarm() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::WindShift, finding(Priority::Warning, 70.0));
    desk.handle_timeout(at(300));
    let mut after = Desk::restored(
        at(0),
        DeskSettings::default(),
        &desk.standing(),
        &desk.measures(),
        desk.raises(),
    );
    after.set(at(1), Hazard::WindShift, finding(Priority::Warning, 70.0));
    assert_eq!(after.standing()[0].priority, Priority::Alarm);
    // An alert that was not yet escalated still will be.
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::WindShift, finding(Priority::Warning, 70.0));
    let mut after = Desk::restored(at(0), DeskSettings::default(), &desk.standing(), &[], 1);
    after.set(at(1), Hazard::WindShift, finding(Priority::Warning, 70.0));
    after.handle_timeout(at(300));
    assert_eq!(after.standing()[0].priority, Priority::Alarm);
}

#[test]
fn an_alert_covered_by_another_steps_back_unless_it_is_over_and_unseen() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::SwingExceeded, finding(Priority::Alarm, 5.0));
    desk.cover(at(1), Hazard::SwingExceeded);
    assert_eq!(desk.state(Hazard::SwingExceeded), Normal);
}

/// An alert that is kept after the end of the watch must still stand, not just wait to be cleared.
#[test]
fn a_condition_that_has_gone_ends_with_the_watch_before_it_is_cleared() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Watch, finding(Priority::Warning, 0.0));
    desk.set(at(0), Hazard::DataLink, finding(Priority::Warning, 0.0));
    desk.set(at(1), Hazard::Watch, None);
    assert_eq!(desk.state(Hazard::Watch), ActiveUnacknowledged);
    desk.dismiss(at(2), |_| true);
    assert_eq!(desk.state(Hazard::Watch), Normal);
    assert_eq!(desk.state(Hazard::DataLink), ActiveUnacknowledged);
}

#[test]
fn after_a_restart_only_a_warning_that_nobody_answered_waits_to_become_an_alarm() {
    let restored = |priority: Priority, acknowledged: bool| {
        let mut desk = Desk::default();
        desk.set(at(0), Hazard::WindShift, finding(priority, 70.0));
        if acknowledged {
            desk.acknowledge(at(1), None).unwrap();
        }
        let standing = desk.standing();
        let after = Desk::restored(at(0), DeskSettings::default(), &standing, &[], 1);
        after.alerts[0].answer_by
    };
    let due = Tick::START + DeskSettings::default().answer_within;
    assert_eq!(restored(Priority::Warning, false), Some(due));
    assert_eq!(restored(Priority::Warning, true), None);
    assert_eq!(restored(Priority::Alarm, false), None);
}

#[test]
fn the_priority_is_told_while_the_condition_stands() {
    let mut desk = Desk::default();
    assert_eq!(desk.told(Hazard::Dragging), None);
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 5.0));
    assert_eq!(desk.told(Hazard::Dragging), Some(Priority::Alarm));
    assert_eq!(desk.told(Hazard::Shoaling), None);
    go(&mut desk, 1, Hazard::Dragging);
    assert_eq!(desk.state(Hazard::Dragging), RectifiedUnacknowledged);
    assert_eq!(desk.told(Hazard::Dragging), None);
}

/// The mark is new, so the severity that was acknowledged is no measure any more: the next one is.
#[test]
fn a_measure_that_is_taken_anew_is_that_of_the_next_judgement() {
    let mut desk = Desk::default();
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 5.0));
    desk.acknowledge(at(1), Some(Hazard::Dragging)).unwrap();
    desk.measure_anew(Hazard::Dragging);
    desk.set(at(2), Hazard::Dragging, finding(Priority::Alarm, 40.0));
    assert_eq!(desk.state(Hazard::Dragging), ActiveAcknowledged);
    assert_eq!(desk.measures(), [(Hazard::Dragging, 40.0)]);
}

#[test]
fn each_raise_has_the_next_number() {
    let mut desk = Desk::default();
    assert_eq!(desk.raises(), 0);
    desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 5.0));
    desk.set(at(0), Hazard::WindShift, finding(Priority::Warning, 1.0));
    assert_eq!(desk.raises(), 2);
    let numbers: Vec<u64> = desk.standing().iter().map(|view| view.raise).collect();
    assert_eq!(numbers, [1, 2]);
}
