#![allow(clippy::unwrap_used, clippy::panic)]
use super::subscriptions::matches;
use super::*;

fn hub() -> Hub {
    Hub::new("urn:mrn:imo:mmsi:230099999", numbered())
}

/// The identifiers `id-1`, `id-2` and so on.
pub(in crate::signalk) fn numbered() -> Identifiers {
    let mut last = 0;
    Box::new(move || {
        last += 1;
        format!("id-{last}")
    })
}

fn at(seconds: i64) -> Timestamp {
    Timestamp::from_millis(seconds * 1000)
}

fn delta(source: &str, path: &str, value: &Value) -> String {
    json!({"updates": [{"$source": source, "timestamp": "1999-01-01T00:00:00Z",
        "values": [{"path": path, "value": value}]}]})
    .to_string()
}

/// The frames sent to a client since the last call.
fn sent(hub: &mut Hub, to: ClientId) -> Vec<Value> {
    let outputs: Vec<HubOutput> = std::iter::from_fn(|| hub.poll_output()).collect();
    outputs
        .into_iter()
        .filter_map(|output| match output {
            HubOutput::Send { client, text } if client == to => {
                Some(serde_json::from_str(&text).unwrap())
            }
            HubOutput::Send { .. } | HubOutput::Answer { .. } => None,
        })
        .collect()
}

/// Path and value of each frame that has one.
fn values(frames: &[Value]) -> Vec<(String, Value)> {
    frames
        .iter()
        .filter_map(|frame| {
            let value = frame.pointer("/updates/0/values/0")?;
            Some((value["path"].as_str()?.to_owned(), value["value"].clone()))
        })
        .collect()
}

fn subscribed(hub: &mut Hub, rows: &Value) -> ClientId {
    let client = hub.handle_connect(at(0));
    let message = json!({"context": "vessels.self", "subscribe": rows});
    hub.handle_text(at(0), client, &message.to_string());
    client
}

#[test]
fn patterns_match_with_stars_anywhere() {
    for (pattern, text, wanted) in [
        ("*", "", true),
        ("a.b", "a.b", true),
        ("a.b", "a.bc", false),
        ("a.*", "a.b.c", true),
        ("a.*", "ab", false),
        (
            "propulsion.*.revolutions",
            "propulsion.main.revolutions",
            true,
        ),
        ("propulsion.*.revolutions", "propulsion.main.state", false),
        ("*.b.*.d", "a.b.c.d", true),
        ("a*a", "a", false),
    ] {
        assert_eq!(matches(pattern, text), wanted, "{pattern} {text}");
    }
}

#[test]
fn a_client_is_greeted_first_and_a_restart_has_another_identifier() {
    let mut hub = hub();
    let client = hub.handle_connect(at(5));
    let first = sent(&mut hub, client);
    assert_eq!(first.len(), 1);
    assert_eq!(first[0]["self"], "vessels.urn:mrn:imo:mmsi:230099999");
    assert_eq!(first[0]["timestamp"], "1970-01-01T00:00:05.000Z");
    hub.handle_disconnect(client);
    hub.restart();
    let again = hub.handle_connect(at(6));
    assert_ne!(again, client);
    let second = sent(&mut hub, again);
    assert_ne!(second[0]["serverStartId"], first[0]["serverStartId"]);
}

#[test]
fn cached_values_are_replayed_with_their_old_stamps_and_news_follows() {
    let mut hub = hub();
    let depth = "environment.depth.belowTransducer";
    hub.handle_feed(at(1), &delta("sounder.SD", depth, &json!(7.5)))
        .unwrap();
    let client = subscribed(&mut hub, &json!([{"path": "environment.*"}]));
    let frames = sent(&mut hub, client);
    assert_eq!(values(&frames), [(depth.to_owned(), json!(7.5))]);
    assert_eq!(frames[1]["updates"][0]["timestamp"], "1999-01-01T00:00:00Z");
    hub.handle_feed(at(2), &delta("sounder.SD", depth, &json!(7.4)))
        .unwrap();
    hub.handle_feed(
        at(2),
        &delta("compass.HC", "navigation.headingTrue", &json!(1)),
    )
    .unwrap();
    let frames = sent(&mut hub, client);
    assert_eq!(values(&frames), [(depth.to_owned(), json!(7.4))]);
    assert_eq!(frames[0]["context"], "vessels.urn:mrn:imo:mmsi:230099999");
    assert_eq!(hub.value(depth), Some(&json!(7.4)));
}

#[test]
fn a_fixed_period_gives_every_target_its_turn_and_the_latest_value() {
    let mut hub = hub();
    let client = hub.handle_connect(at(0));
    let message = json!({"context": "vessels.*", "subscribe":
        [{"path": "navigation.speedOverGround", "period": 5000}]});
    hub.handle_text(at(0), client, &message.to_string());
    let target = |name: &str, speed: f64| {
        json!({"context": format!("vessels.{name}"), "updates": [{"$source": "ais", "values":
            [{"path": "navigation.speedOverGround", "value": speed}]}]})
        .to_string()
    };
    let mut run = |seconds: i64, feeds: &[(&str, f64)]| {
        hub.handle_timeout(at(seconds));
        for (name, speed) in feeds {
            hub.handle_feed(at(seconds), &target(name, *speed)).unwrap();
        }
        let frames = sent(&mut hub, client);
        let speeds = values(&frames).into_iter();
        speeds
            .map(|(_, speed)| speed.as_f64().unwrap())
            .collect::<Vec<_>>()
    };
    assert_eq!(run(1, &[("a", 1.0), ("b", 2.0)]), [1.0, 2.0]);
    assert_eq!(run(2, &[("a", 1.1), ("b", 2.1)]), [0.0; 0]);
    assert_eq!(run(3, &[("a", 1.2)]), [0.0; 0]);
    assert_eq!(run(6, &[]), [1.2, 2.1]);
    assert_eq!(run(20, &[]), [0.0; 0]);
}

#[test]
fn a_client_hears_itself() {
    let mut hub = hub();
    let client = subscribed(&mut hub, &json!([{"path": "navigation.anchor.*"}]));
    let own = delta("windrode", "navigation.anchor.maxRadius", &json!(45));
    hub.handle_text(at(1), client, &own);
    let frames = sent(&mut hub, client);
    assert_eq!(
        values(&frames),
        [("navigation.anchor.maxRadius".to_owned(), json!(45))]
    );
}

#[test]
fn dimensions_cannot_be_set_from_outside_but_are_by_the_server_itself() {
    let mut hub = hub();
    let client = subscribed(&mut hub, &json!([{"path": "*"}]));
    let length = delta("windrode", "design.length", &json!({"overall": 99}));
    hub.handle_text(at(1), client, &length);
    assert_eq!(hub.value("design.length"), None);
    hub.handle_feed(at(1), &length).unwrap();
    assert_eq!(hub.value("design.length"), Some(&json!({"overall": 99})));
}

#[test]
fn an_update_with_a_malformed_pair_is_dropped_whole() {
    let mut hub = hub();
    let bad = json!({"updates": [
        {"values": [{"path": "a", "value": 1}, {"value": 2}]},
        {"values": [{"path": "b", "value": null}]}]});
    hub.handle_feed(at(1), &bad.to_string()).unwrap();
    assert_eq!(hub.value("a"), None);
    assert_eq!(hub.value("b"), Some(&Value::Null));
    assert_eq!(
        hub.handle_feed(at(1), "[1]").unwrap_err().to_string(),
        "`[1]` is no delta; a JSON object with an array `updates` is expected"
    );
}

#[test]
fn a_put_goes_to_the_last_publisher_and_its_answer_comes_back() {
    let mut hub = hub();
    let path = "navigation.anchor.watch.weigh";
    hub.handle_put(at(0), 7, path, &json!(true));
    assert_eq!(
        hub.poll_output(),
        Some(HubOutput::Answer {
            request: 7,
            outcome: PutOutcome {
                status_code: 405,
                message: format!("PUT not supported for {path}"),
            },
        })
    );
    let watch = subscribed(&mut hub, &json!([]));
    hub.handle_text(at(0), watch, &delta("windrode", path, &Value::Null));
    sent(&mut hub, watch);
    hub.handle_put(at(1), 8, path, &json!(true));
    let frames = sent(&mut hub, watch);
    assert_eq!(frames[0]["put"], json!([{"path": path, "value": true}]));
    let id = frames[0]["requestId"].clone();
    let answer = |status: Value| {
        json!({"requestId": id, "state": "COMPLETED", "statusCode": status, "message": "aweigh"})
            .to_string()
    };
    // A status that is no number, or another client's answer, leaves it open.
    hub.handle_text(at(2), watch, &answer(json!("200")));
    let stranger = hub.handle_connect(at(2));
    hub.handle_text(at(2), stranger, &answer(json!(200)));
    sent(&mut hub, stranger);
    assert_eq!(hub.poll_output(), None);
    hub.handle_text(at(2), watch, &answer(json!(200)));
    let outcome = PutOutcome {
        status_code: 200,
        message: "aweigh".to_owned(),
    };
    let wanted = HubOutput::Answer {
        request: 8,
        outcome,
    };
    assert_eq!(hub.poll_output(), Some(wanted));
}

#[test]
fn a_put_that_nobody_answers_times_out_and_a_lost_publisher_answers_no_more() {
    let mut hub = hub();
    let watch = subscribed(&mut hub, &json!([]));
    hub.handle_text(at(0), watch, &delta("windrode", "a", &Value::Null));
    hub.handle_put(at(0), 1, "a", &json!(1));
    sent(&mut hub, watch);
    hub.handle_timeout(at(59));
    assert_eq!(hub.poll_output(), None);
    hub.handle_timeout(at(60));
    let status = |output| match output {
        Some(HubOutput::Answer { request, outcome }) => (request, outcome.status_code),
        other => panic!("{other:?}"),
    };
    assert_eq!(status(hub.poll_output()), (1, 504));
    hub.handle_put(at(61), 2, "a", &json!(1));
    sent(&mut hub, watch);
    hub.handle_disconnect(watch);
    assert_eq!(status(hub.poll_output()), (2, 504));
    hub.handle_put(at(62), 3, "a", &json!(1));
    assert_eq!(status(hub.poll_output()), (3, 405));
}

#[test]
fn a_notification_comes_out_before_the_values_sent_with_it_and_an_empty_delta_after() {
    let mut hub = hub();
    let client = subscribed(&mut hub, &json!([{"path": "*"}]));
    sent(&mut hub, client);
    let notice = json!({"state": "alarm", "method": ["sound"], "message": "m"});
    let mixed = json!({"updates": [{"$source": "windrode", "values": [
        {"path": "a", "value": 1},
        {"path": "notifications.navigation.anchor.dragging", "value": notice}]}]});
    hub.handle_text(at(1), client, &mixed.to_string());
    let frames = sent(&mut hub, client);
    let paths: Vec<String> = values(&frames).into_iter().map(|(path, _)| path).collect();
    assert_eq!(paths, ["notifications.navigation.anchor.dragging", "a"]);
    assert_eq!(frames[1]["updates"], json!([]));
    // And a display acknowledges it.
    hub.handle_notice(
        at(2),
        "notifications.navigation.anchor.dragging",
        NoticeAction::Acknowledge,
    )
    .unwrap();
    let frames = sent(&mut hub, client);
    let update = &frames[0]["updates"][0];
    assert_eq!(update["$source"], "windrode");
    assert_eq!(
        update["values"][0]["value"]["status"]["acknowledgedAt"],
        "1970-01-01T00:00:02.000Z"
    );
    assert!(
        hub.handle_notice(at(2), "notifications.x", NoticeAction::Clear)
            .is_err()
    );
}

#[test]
fn without_the_right_to_write_deltas_vanish_and_are_not_kept() {
    let mut hub = hub();
    hub.keep_published(2);
    let client = subscribed(&mut hub, &json!([]));
    for value in 0..3 {
        hub.handle_text(at(0), client, &delta("windrode", "a", &json!(value)));
    }
    hub.silence_writes(true);
    hub.handle_text(at(0), client, &delta("windrode", "a", &json!(9)));
    assert_eq!(hub.value("a"), Some(&json!(2)));
    let kept = hub.take_published();
    assert_eq!(
        values(&kept),
        [("a".to_owned(), json!(1)), ("a".to_owned(), json!(2))]
    );
}

#[test]
fn a_peer_cannot_grow_it_without_bound() {
    let mut hub = hub();
    let client = subscribed(&mut hub, &json!([]));
    for number in 0..MOST_VALUES + 10 {
        hub.handle_text(at(0), client, &delta("w", &format!("p{number}"), &json!(0)));
    }
    assert_eq!(hub.values, MOST_VALUES);
    assert_eq!(hub.publishers.len(), MOST_VALUES);
    // Known values can still change.
    hub.handle_text(at(0), client, &delta("w", "p3", &json!(1)));
    assert_eq!(hub.value("p3"), Some(&json!(1)));
}
