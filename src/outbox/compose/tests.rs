use super::*;
use crate::time::Tick;

#[test]
fn what_is_over_is_told_as_normal_under_the_alert_s_own_id() {
    let settings = Settings {
        boat: "Tern".to_owned(),
        instance: "1a2b3c4d".to_owned(),
        routes: Vec::new(),
        lost_after: Duration::from_mins(10),
        zone: Zone::UTC,
        key: [7; 32],
    };
    let utc: Timestamp = "2026-06-01T21:30:00Z".parse().unwrap();
    let now = Now::new(Tick::START, utc);
    let message = clear(
        &settings,
        now,
        "dragging-1",
        Hazard::Dragging,
        Priority::Alarm,
    );
    assert_eq!(message.id, "dragging-1");
    assert_eq!(message.event, MessageKind::Clear);
    assert_eq!(message.hazard, Some(Hazard::Dragging));
    assert_eq!(message.priority, Some(Priority::Alarm));
    assert_eq!(message.state, Some(AlertState::Normal));
    assert_eq!(message.time, utc);
    assert!(message.title.starts_with("Tern: "), "{}", message.title);
}
