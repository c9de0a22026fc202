use super::*;
use crate::time::Tick;

fn settings() -> Settings {
    Settings {
        boat: "Tern".to_owned(),
        instance: "1a2b3c4d".to_owned(),
        routes: Vec::new(),
        lost_after: Duration::from_mins(10),
        wording: Wording::default(),
        key: [7; 32],
    }
}

fn route() -> Route {
    Route {
        name: "skipper".to_owned(),
        least: Some(Priority::Caution),
        quiet: None,
        after: Duration::ZERO,
        repeat: Duration::ZERO,
        answers: false,
        dark_after: None,
        probe_every: Duration::from_mins(10),
    }
}

#[test]
fn an_ended_alert_is_sent_as_normal_under_its_own_id() {
    let settings = settings();
    let utc: Timestamp = "2026-06-01T21:30:00Z".parse().unwrap();
    let now = Now::new(Tick::START, utc);
    let message = clear(
        &settings,
        now,
        "dragging-1",
        (Hazard::Dragging, Priority::Alarm, false),
        true,
    );
    assert_eq!(message.id, "dragging-1");
    assert_eq!(message.event, MessageKind::Clear);
    assert_eq!(message.hazard, Some(Hazard::Dragging));
    assert_eq!(message.priority, Some(Priority::Alarm));
    assert_eq!(message.state, Some(AlertState::Normal));
    assert_eq!(message.time, utc);
    assert!(message.title.starts_with("Tern: "), "{}", message.title);
}

#[test]
fn the_title_names_the_change_and_reports_no_false_impairment() {
    let utc: Timestamp = "2026-06-01T21:30:00Z".parse().unwrap();
    let now = Now::new(Tick::START, utc);
    let title = |hazard: Hazard, message: &str| {
        let view = AlertView {
            hazard,
            priority: Priority::Warning,
            state: AlertState::ActiveUnacknowledged,
            message: message.to_owned(),
            since: utc,
            raise: 1,
            escalation: 0,
            escalated: false,
        };
        let told = alert(
            &settings(),
            &Mint::new(&[7; 32]),
            now,
            &route(),
            ("1", false),
            &view,
        );
        told.title
    };
    for (message, expected) in [
        (
            "the watch was changed: the watch was ended over the data server, the mark was at 59°51.234'N 023°15.600'E; if none of the crew did that, let go again",
            "Tern: warning, the watch was ended over the data server",
        ),
        (
            "the watch is impaired: no room is left",
            "Tern: warning, the watch is impaired",
        ),
    ] {
        assert_eq!(title(Hazard::Watch, message), expected);
    }
    assert_eq!(
        title(Hazard::Dragging, "dragging: 14 m"),
        "Tern: warning, dragging"
    );
}
