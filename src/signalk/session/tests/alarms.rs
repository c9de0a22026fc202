//! Alarms at the displays: acknowledged, overwritten, lost with the server.

use super::*;

/// The dragging notification as the server sends it again.
fn shown(night: &Night) -> String {
    let shown = night.hub.value(DRAGGING).unwrap();
    delta("windrode", "2026-06-01T22:00:00Z", DRAGGING, shown)
}

#[test]
fn an_alarm_is_acknowledged_at_a_display_and_reported_once() {
    let mut night = Night::linked();
    night.raises(AlertState::ActiveUnacknowledged, 1);
    assert_eq!(
        night.dragging(),
        [("alarm".to_owned(), json!(["visual", "sound"]))]
    );
    night.display(NoticeAction::Acknowledge);
    night.hears(&shown(&night));
    assert_eq!(night.acts(), [DisplayAct::Acknowledged]);
    night.raises(AlertState::ActiveAcknowledged, 1);
    night.pass(60);
    assert_eq!(night.acts().len(), 1);
    // It passes through normal, so that the server leaves it visible.
    assert_eq!(
        night.dragging()[1..],
        [
            ("normal".to_owned(), json!([])),
            ("alarm".to_owned(), json!(["visual"]))
        ]
    );
    // It gets worse: it passes through normal, or the server would keep it mute.
    night.outputs.clear();
    night.raises(AlertState::ActiveUnacknowledged, 2);
    assert_eq!(
        night.dragging(),
        [
            ("normal".to_owned(), json!([])),
            ("alarm".to_owned(), json!(["visual", "sound"]))
        ]
    );
    assert!(night.acts().is_empty());
    let shown = night.hub.value(DRAGGING).unwrap();
    assert_eq!(shown["state"], "alarm");
    assert_eq!(shown["status"]["silenced"], false);
    assert_eq!(shown["status"]["acknowledged"], false);
}

#[test]
fn after_a_restart_of_the_server_an_open_alarm_sounds_again_and_a_known_one_does_not() {
    for (state, method) in [
        (AlertState::ActiveUnacknowledged, json!(["visual", "sound"])),
        (AlertState::ActiveAcknowledged, json!(["visual"])),
    ] {
        let mut night = Night::linked();
        night.raises(state, 1);
        night.outputs.clear();
        night.restarted();
        night.pass(3);
        assert_eq!(night.dragging().last(), Some(&("alarm".to_owned(), method)));
        assert_eq!(night.session.link(), Some(&LinkState::Up));
        assert!(night.acts().is_empty());
    }
}

#[test]
fn a_display_s_acknowledgement_survives_a_broken_network() {
    let mut night = Night::linked();
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.broken();
    // Somebody acknowledges while we are away; the server still has the mark when we come back.
    night.display(NoticeAction::Acknowledge);
    night.outputs.clear();
    night.pass(2);
    assert_eq!(night.acts(), [DisplayAct::Acknowledged]);
    assert_eq!(
        night.dragging(),
        [("alarm".to_owned(), json!(["visual", "sound"]))]
    );
    night.hears(&shown(&night));
    assert_eq!(night.acts().len(), 1);
}

#[test]
fn a_client_that_clears_our_alarm_is_reported_and_corrected_without_a_flood() {
    let mut night = Night::linked();
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.outputs.clear();
    // A client at odds with us writes normal again each time, for five minutes.
    for _ in 0..3000 {
        night.display(NoticeAction::Clear);
        night.pass_for(Duration::from_millis(100));
    }
    let corrections = night.dragging().len();
    assert!((15..=31).contains(&corrections), "{corrections}");
    assert!(night.acts().iter().all(|act| *act == DisplayAct::Cleared));
    assert!(!night.acts().is_empty());
    assert_eq!(night.log().len(), 1);
    night.pass(10);
    assert_eq!(
        night.dragging().last().unwrap().0,
        "alarm",
        "the last word is ours"
    );
}
