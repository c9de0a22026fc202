//! Random events in any order.

use proptest::prelude::*;
use serde_json::json;

use super::*;

#[derive(Clone, Debug)]
enum Event {
    Pass(u64),
    Frame(String),
    Connected,
    Closed(Closed),
    Pong,
    Rights(Rights),
    NewToken,
    Alert(AlertState, u64),
    Anchor(f64),
    Reply(u64),
    ResourceFailed,
}

fn any_event() -> impl Strategy<Value = Event> {
    let path = prop_oneof![
        Just("navigation.position".to_owned()),
        Just("environment.depth.belowKeel".to_owned()),
        Just(HEARTBEAT.to_owned()),
        Just("notifications.navigation.anchor.dragging".to_owned()),
        Just("propulsion.x.revolutions".to_owned()),
        "[a-z.]{0,20}",
    ];
    let value = prop_oneof![
        Just(Value::Null),
        any::<f64>().prop_map(Value::from),
        any::<u64>().prop_map(Value::from),
        Just(json!({"latitude": 59.8539, "longitude": 23.26})),
        Just(json!({"state": "normal", "status": {"acknowledged": true}})),
        Just(
            json!({"state": "alarm", "method": [], "status": {"silenced": true}, "data": {"raise": 1, "issue": 1}})
        ),
        ".{0,10}".prop_map(Value::from),
    ];
    let source = prop_oneof![
        Just("windrode".to_owned()),
        Just("gps0.GP".to_owned()),
        ".{0,8}"
    ];
    let context = prop_oneof![
        Just(TERN.to_owned()),
        Just("vessels.self".to_owned()),
        Just("vessels.x".to_owned()),
        ".{0,8}"
    ];
    let stamp = prop_oneof![Just("2026-06-01T21:30:00.000Z".to_owned()), ".{0,10}"];
    let delta = (context.clone(), source, stamp, path.clone(), value.clone()).prop_map(
        |(context, source, stamp, path, value)| {
            Event::Frame(
                json!({"context": context, "updates": [{"$source": source, "timestamp": stamp,
                    "values": [{"path": path, "value": value}]}]})
                .to_string(),
            )
        },
    );
    let put = (
        context,
        prop_oneof![
            Just("letGo"),
            Just("weigh"),
            Just("berth"),
            Just("acknowledge"),
            Just("hoist")
        ],
        value,
        ".{0,300}",
    )
        .prop_map(|(context, name, value, id)| {
            Event::Frame(
                json!({"requestId": id, "context": context,
                    "put": [{"path": format!("navigation.anchor.watch.{name}"), "value": value}]})
                .to_string(),
            )
        });
    let hello = (0..3_u32).prop_map(|start| {
        Event::Frame(json!({"self": TERN, "serverStartId": format!("{start}")}).to_string())
    });
    prop_oneof![
        4 => (0..100_000_u64).prop_map(Event::Pass),
        4 => delta,
        2 => put,
        3 => hello,
        1 => ".{0,60}".prop_map(Event::Frame),
        3 => Just(Event::Connected),
        1 => prop_oneof![
            Just(Closed::Refused401),
            any::<u16>().prop_map(Closed::Http),
            ".{0,20}".prop_map(Closed::Io),
            ".{0,20}".prop_map(Closed::TrustUnreadable),
            ".{0,20}".prop_map(|found| Closed::NotChosen(LinkFault::OtherServers, found)),
            Just(Closed::Ended)
        ].prop_map(Event::Closed),
        1 => Just(Event::Pong),
        2 => prop_oneof![
            Just(Rights::Open),
            Just(Rights::Anonymous),
            Just(Rights::ReadOnly),
            Just(Rights::Granted("admin".into())),
            Just(Rights::Unknown("x".into()))
        ].prop_map(Event::Rights),
        1 => Just(Event::NewToken),
        2 => (prop_oneof![
            Just(AlertState::ActiveUnacknowledged),
            Just(AlertState::ActiveAcknowledged),
            Just(AlertState::ActiveSilenced),
            Just(AlertState::RectifiedUnacknowledged),
            Just(AlertState::Normal)
        ], 0..4_u64).prop_map(|(state, raise)| Event::Alert(state, raise)),
        1 => (-90.0..90.0_f64).prop_map(Event::Anchor),
        1 => (0..70_u64).prop_map(Event::Reply),
        1 => Just(Event::ResourceFailed),
    ]
}

proptest! {
    /// Whatever happens in whatever order: nothing panics, every timer lies in the future once it
    /// was handled, frames are sent only while the server has greeted, and neither log nor memory
    /// grows with the events.
    #[test]
    fn a_soup_of_events_never_breaks_the_session(events in prop::collection::vec(any_event(), 1..200)) {
        let mut night = Night::new(Mood::Dumb);
        let mut open = false;
        let mut logged = 0;
        for event in events {
            let now = night.now;
            match event {
                Event::Pass(millis) => night.now = now.plus(Duration::from_millis(millis)),
                Event::Frame(frame) => night.session.handle_frame(now, &frame),
                Event::Connected => night.session.handle_connected(now),
                Event::Closed(reason) => night.session.handle_closed(now, reason),
                Event::Pong => night.session.handle_pong(now),
                Event::Rights(rights) => night.session.handle_rights(now, rights),
                Event::NewToken => night.session.handle_new_token(now),
                Event::Alert(state, raise) => {
                    let alert = AlertView { state, raise, ..AlertView::drag(now.utc, "") };
                    night.session.handle_alert(now, &alert);
                }
                Event::Anchor(latitude) => {
                    let picture = WatchState {
                        anchor: Position::new(latitude, 179.9).ok(),
                        max_radius: Some(Metres::of(50.0)),
                        ..WatchState::default()
                    };
                    night.session.handle_picture(now, &picture);
                }
                Event::Reply(key) => {
                    night.session.handle_reply(now, RequestKey(key), &Outcome::Done(String::new()));
                }
                Event::ResourceFailed => night.session.handle_resource_failed(now, "x"),
            }
            if let Some(due) = night.session.poll_timeout().filter(|due| *due <= night.now.tick) {
                night.session.handle_timeout(night.now);
                let next = night.session.poll_timeout();
                prop_assert!(next.is_none_or(|next| next > night.now.tick), "{due:?} again");
            }
            while let Some(output) = night.session.poll_output() {
                match output {
                    Output::Connect => open = true,
                    Output::Close(_) => open = false,
                    Output::Log { .. } => logged += 1,
                    Output::Transmit(frame) => {
                        prop_assert!(open, "{frame}");
                        prop_assert!(serde_json::from_str::<Value>(&frame).is_ok());
                    }
                    Output::Ping
                    | Output::ProbeRights
                    | Output::LookForNotice(_)
                    | Output::Report(_)
                    | Output::Command { .. }
                    | Output::Link(_)
                    | Output::Display(_)
                    | Output::PutResource(_) => {}
                }
            }
        }
        let hours = night.now.tick.as_millis() / 3_600_000 + 2;
        prop_assert!(logged <= u64::from(logbook::LINES_AN_HOUR) * hours);
    }
}
