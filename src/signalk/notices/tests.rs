#![allow(clippy::unwrap_used, clippy::panic)]
use super::*;
use crate::time::Timestamp;

fn at(secs: u64) -> Now {
    let start: Timestamp = "2026-06-01T21:30:00Z".parse().unwrap();
    Now::new(Tick::START, start).plus(Duration::from_secs(secs))
}

fn dragging(state: AlertState, raise: u64) -> AlertView {
    AlertView {
        state,
        raise,
        ..AlertView::drag(at(0).utc, "the anchor has moved 14 m")
    }
}

const OPEN: AlertState = AlertState::ActiveUnacknowledged;

fn tell(notices: &mut Notices, now: Now, view: &AlertView) -> Vec<Value> {
    notices.hold(view);
    values(notices.publish(now, view.hazard))
}

fn values(values: Values) -> Vec<Value> {
    values.into_iter().map(|(_, value)| value).collect()
}

fn states(values: &[Value]) -> Vec<&str> {
    values
        .iter()
        .map(|v| v["state"].as_str().unwrap())
        .collect()
}

/// As signalk-server 2.32.0 sends it back: our value with `id` and `status` added.
fn echo_of(value: &Value, silenced: bool, acknowledged: bool) -> Value {
    let mut echo = value.clone();
    echo["id"] = json!("0d311f5c");
    echo["status"] = json!({"silenced": silenced, "acknowledged": acknowledged});
    if silenced || acknowledged {
        echo["method"] = json!([]);
    }
    echo
}

fn hear(notices: &mut Notices, now: Now, echo: &Value) -> Option<DisplayAct> {
    let text = echo.to_string();
    let wire: Wire<'_> = serde_json::from_str(&text).unwrap();
    notices
        .handle_echo(now.tick, Hazard::Dragging, &wire)
        .map(|action| action.act)
}

/// A server that has seen all our notifications as normal.
fn calm() -> Notices {
    let mut notices = Notices::default();
    let first = values(notices.publish_all(at(0)));
    assert_eq!(states(&first), ["normal"; Hazard::ALL.len()]);
    notices
}

#[test]
fn state_and_method_follow_priority_and_what_is_done() {
    use AlertState::{ActiveAcknowledged, ActiveSilenced, Normal, RectifiedUnacknowledged};
    use Priority::{Alarm, Caution, EmergencyAlarm, Warning};
    let loud = json!(["visual", "sound"]);
    let seen = json!(["visual"]);
    for (priority, alert_state, state, method) in [
        (EmergencyAlarm, OPEN, "emergency", &loud),
        (Alarm, OPEN, "alarm", &loud),
        (Warning, OPEN, "warn", &loud),
        (Caution, OPEN, "alert", &seen),
        (EmergencyAlarm, ActiveAcknowledged, "emergency", &seen),
        (Alarm, ActiveSilenced, "alarm", &seen),
        (Alarm, ActiveAcknowledged, "alarm", &seen),
        (Caution, ActiveAcknowledged, "alert", &seen),
        (Alarm, RectifiedUnacknowledged, "alert", &seen),
        (Alarm, Normal, "normal", &json!([])),
    ] {
        let mut view = dragging(alert_state, 1);
        view.priority = priority;
        let said = tell(&mut calm(), at(1), &view);
        assert_eq!(said.len(), 1);
        assert_eq!(said[0]["state"], state);
        assert_eq!(said[0]["method"], *method, "{priority:?} {alert_state:?}");
        assert_eq!(said[0].get("acknowledgeStatus"), None);
        if alert_state != Normal {
            let open = if alert_state == ActiveAcknowledged {
                "No"
            } else {
                "Yes"
            };
            assert_eq!(said[0]["acknowledgeSupport"], open);
        }
    }
}

#[test]
fn an_alert_that_passed_unseen_stays_on_the_display() {
    let said = tell(
        &mut calm(),
        at(1),
        &dragging(AlertState::RectifiedUnacknowledged, 1),
    );
    assert_eq!(
        said[0]["message"],
        "cleared, not acknowledged: the anchor has moved 14 m"
    );
}

#[test]
fn a_new_raise_goes_through_normal_so_that_it_sounds_again() {
    let mut notices = calm();
    assert_eq!(
        states(&tell(&mut notices, at(1), &dragging(OPEN, 1))),
        ["alarm"]
    );
    // Shown again without a new raise: nothing to re-arm.
    assert_eq!(
        states(&tell(&mut notices, at(2), &dragging(OPEN, 1))),
        ["alarm"]
    );
    let mut graver = dragging(OPEN, 2);
    graver.priority = Priority::EmergencyAlarm;
    assert_eq!(
        states(&tell(&mut notices, at(3), &graver)),
        ["normal", "emergency"]
    );
    // From normal there is nothing to undo.
    assert_eq!(
        states(&tell(&mut notices, at(4), &dragging(AlertState::Normal, 2))),
        ["normal"]
    );
    assert_eq!(
        states(&tell(&mut notices, at(5), &dragging(OPEN, 3))),
        ["alarm"]
    );
}

#[test]
fn a_silence_that_ran_out_sounds_again() {
    let mut notices = calm();
    let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
    let echo = echo_of(&said[0], true, false);
    assert_eq!(hear(&mut notices, at(2), &echo), Some(DisplayAct::Silenced));
    assert_eq!(hear(&mut notices, at(2), &echo), None, "told once");
    let held = tell(
        &mut notices,
        at(3),
        &dragging(AlertState::ActiveSilenced, 1),
    );
    assert_eq!(states(&held), ["alarm"]);
    let again = tell(&mut notices, at(33), &dragging(OPEN, 1));
    assert_eq!(states(&again), ["normal", "alarm"]);
    // The late echo from before the passage through normal silences nothing.
    assert_eq!(hear(&mut notices, at(34), &echo), None);
    let loud = echo_of(&again[1], false, false);
    assert_eq!(hear(&mut notices, at(34), &loud), None);
    assert_eq!(
        hear(&mut notices, at(35), &echo_of(&again[1], true, false)),
        Some(DisplayAct::Silenced)
    );
}

#[test]
fn an_acknowledgement_at_a_display_is_reported_once_for_each_raise() {
    let mut notices = calm();
    let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
    assert_eq!(
        hear(&mut notices, at(1), &echo_of(&said[0], false, false)),
        None
    );
    let echo = echo_of(&said[0], true, true);
    assert_eq!(
        hear(&mut notices, at(2), &echo),
        Some(DisplayAct::Acknowledged)
    );
    assert_eq!(hear(&mut notices, at(2), &echo), None);
    let known = tell(
        &mut notices,
        at(3),
        &dragging(AlertState::ActiveAcknowledged, 1),
    );
    // It passes through normal, or the server would leave it without `method`.
    assert_eq!(states(&known), ["normal", "alarm"]);
    assert_eq!(
        hear(&mut notices, at(3), &echo_of(&known[1], true, true)),
        None
    );
    // After another raise the old acknowledgement does not count.
    let again = tell(&mut notices, at(60), &dragging(OPEN, 2));
    assert_eq!(states(&again), ["normal", "alarm"]);
    assert_eq!(hear(&mut notices, at(60), &echo), None);
    assert_eq!(
        hear(&mut notices, at(61), &echo_of(&again[1], true, true)),
        Some(DisplayAct::Acknowledged)
    );
}

#[test]
fn our_own_passage_through_normal_does_not_count_as_clearing() {
    let mut notices = calm();
    let _ = tell(&mut notices, at(1), &dragging(OPEN, 1));
    let said = tell(&mut notices, at(2), &dragging(OPEN, 2));
    for value in &said {
        assert_eq!(
            hear(&mut notices, at(2), &echo_of(value, false, false)),
            None
        );
    }
}

/// As seen on signalk-server 2.32.0: the echo of the `normal` still carries the marks of the alert
/// before it. If it were taken for an acknowledgement, it would mute the new raise.
#[test]
fn marks_on_a_passage_through_normal_acknowledge_nothing() {
    let mut notices = calm();
    let _ = tell(&mut notices, at(1), &dragging(OPEN, 1));
    let said = tell(&mut notices, at(2), &dragging(OPEN, 2));
    assert_eq!(states(&said), ["normal", "alarm"]);
    assert_eq!(
        hear(&mut notices, at(2), &echo_of(&said[0], true, true)),
        None
    );
    assert_eq!(
        hear(&mut notices, at(2), &echo_of(&said[1], false, false)),
        None
    );
    // The server does not hold it mute now either: it needs no re-arming when it is shown again.
    assert_eq!(
        states(&tell(&mut notices, at(3), &dragging(OPEN, 2))),
        ["alarm"]
    );
}

/// After the journal was lost, raises are counted from one again while the server still
/// holds an acknowledged alarm of that number.
#[test]
fn an_acknowledgement_of_an_earlier_alert_of_the_same_number_does_not_count() {
    let mut notices = calm();
    let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
    let mut earlier = echo_of(&said[0], true, true);
    earlier["createdAt"] = json!("2026-05-30T03:00:00.000Z");
    assert_eq!(hear(&mut notices, at(2), &earlier), None);
}

#[test]
fn a_client_that_clears_a_standing_alarm_is_corrected_without_a_flood() {
    let mut notices = calm();
    let mut said = tell(&mut notices, at(1), &dragging(OPEN, 1));
    let cleared = |value: &Value| {
        let mut echo = echo_of(value, false, false);
        echo["state"] = json!("normal");
        echo
    };
    assert_eq!(
        hear(&mut notices, at(2), &cleared(&said[0])),
        Some(DisplayAct::Cleared)
    );
    said = values(notices.publish(at(2), Hazard::Dragging));
    // The other client does it again at once: the correction is postponed, not forgotten.
    assert_eq!(hear(&mut notices, at(3), &cleared(&said[0])), None);
    assert_eq!(hear(&mut notices, at(4), &cleared(&said[0])), None);
    assert_eq!(notices.due(), Some(at(12).tick));
    assert!(notices.corrections(at(11).tick).is_empty());
    assert_eq!(notices.corrections(at(12).tick), [Hazard::Dragging]);
    assert!(notices.corrections(at(60).tick).is_empty());
    // A null from another client that uses our label also counts as clearing.
    let _ = notices.publish(at(12), Hazard::Dragging);
    assert_eq!(
        hear(&mut notices, at(23), &Value::Null),
        Some(DisplayAct::Cleared)
    );
}

#[test]
fn a_display_that_only_takes_the_sound_away_has_silenced() {
    let mut notices = calm();
    let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
    let mut echo = echo_of(&said[0], false, false);
    echo["method"] = json!([]);
    assert_eq!(hear(&mut notices, at(2), &echo), Some(DisplayAct::Silenced));
}

#[test]
fn after_a_restart_of_the_server_an_acknowledged_alarm_stays_quiet() {
    let mut notices = calm();
    let _ = tell(
        &mut notices,
        at(1),
        &dragging(AlertState::ActiveAcknowledged, 1),
    );
    notices.forget();
    let said = values(notices.publish_all(at(60)));
    let dragging: Vec<_> = said
        .iter()
        .filter(|value| value["data"]["raise"] == 1)
        .collect();
    assert_eq!(dragging.len(), 2);
    assert_eq!(dragging[0]["state"], "normal");
    assert_eq!(dragging[1]["method"], json!(["visual"]));
    assert_eq!(dragging[1]["acknowledgeSupport"], "No");
}

/// signalk-server 2.32.0 empties the `method` of an acknowledged notification until it passes
/// through normal; a display may hide a notification without a method.
#[test]
fn an_alert_acknowledged_at_a_display_stays_visible() {
    let mut notices = calm();
    let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
    let mut echo = echo_of(&said[0], true, false);
    echo["method"] = json!([]);
    echo["status"]["acknowledged"] = json!(true);
    assert_eq!(
        hear(&mut notices, at(2), &echo),
        Some(DisplayAct::Acknowledged)
    );
    let acknowledged = dragging(AlertState::ActiveAcknowledged, 1);
    let said = tell(&mut notices, at(2), &acknowledged);
    assert_eq!(states(&said), ["normal", "alarm"]);
    assert_eq!(said[1]["method"], json!(["visual"]));
    // The echoes of both cause nothing more.
    for value in &said {
        let echo = echo_of(value, false, false);
        assert_eq!(hear(&mut notices, at(3), &echo), None);
    }
    assert_eq!(states(&tell(&mut notices, at(4), &acknowledged)), ["alarm"]);
}
