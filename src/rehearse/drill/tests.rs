//! What a drill sends, refuses and clears.

use super::*;
use crate::speech::Language;
use crate::time::Tick;
use crate::units::LengthUnit;
use crate::watch::anchorage::phase::AnchorPhase;

fn now() -> Now {
    Now::new(Tick::START, "2026-06-01T20:00:00Z".parse().unwrap())
}

fn drill() -> Drill {
    drill_in(Language::English)
}

fn drill_in(language: Language) -> Drill {
    let crew = Wording::in_language(language);
    let mut drill = Drill::new("windrode-drill".parse().unwrap(), "Slow drag", crew);
    let hello = r#"{"name":"signalk-server","version":"2","self":"vessels.tern","roles":["main"],"timestamp":"2026-06-01T20:00:00Z"}"#;
    let heard = drill.handle_frame(now(), hello);
    assert!(matches!(&heard[..], [Heard::Greeted(_)]), "{heard:?}");
    drill
}

fn entries(delta: &str) -> Vec<(String, Value)> {
    let delta: Value = serde_json::from_str(delta).unwrap();
    let update = &delta["updates"][0];
    assert_eq!(delta["context"], "vessels.tern");
    assert_eq!(update["$source"], "windrode-drill");
    update["values"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| (it["path"].as_str().unwrap().to_owned(), it["value"].clone()))
        .collect()
}

fn alarm() -> AlertView {
    AlertView::drag(now().utc, "dragging: the anchor has moved 9 m")
}

/// No value that anybody steers by, and none that would take a command away from a daemon.
#[test]
fn only_values_for_looking_are_sent_and_all_are_cleared() {
    let mut drill = drill();
    let picture = WatchState {
        phase: AnchorPhase::Dragging,
        ..WatchState::default()
    };
    let sent = entries(&drill.values(now(), &picture));
    let allowed = |path: &str| SHOWN.contains(&path) || path == DRILL;
    assert_eq!(sent.len(), SHOWN.len() + 1);
    assert!(sent.iter().all(|(path, _)| allowed(path)), "{sent:?}");
    for never in [
        "position",
        "maxRadius",
        "watch.heartbeat",
        "watch.letGo",
        "watch.rodeOut",
        "watch.berth",
        "watch.pullTest",
    ] {
        assert!(!allowed(&format!("navigation.anchor.{never}")));
    }
    assert!(sent.contains(&(DRILL.to_owned(), json!("Slow drag"))));
    let shown: Vec<(String, Value)> = drill
        .alert(now(), &alarm())
        .iter()
        .flat_map(|it| entries(it))
        .collect();
    let (_, last) = shown.last().unwrap();
    assert_eq!(last["message"], "DRILL: dragging: the anchor has moved 9 m");
    assert_eq!(last["state"], "alarm");
    let cleared: BTreeMap<String, Value> = drill
        .clear(now())
        .iter()
        .flat_map(|it| entries(it))
        .collect();
    for (path, _) in &sent {
        assert_eq!(cleared[path], Value::Null, "{path}");
    }
    for hazard in Hazard::ALL {
        let path = format!("notifications.navigation.anchor.{hazard}");
        assert_eq!(cleared[&path]["state"], "normal", "{path}");
    }
}

/// A display may cut a long text, and may have no bold type: capitals, at the very beginning.
#[test]
fn an_alert_begins_with_the_mark_in_the_crew_s_language() {
    let marks = Language::ALL.map(|language| {
        let mut drill = drill_in(language);
        let sent = drill.alert(now(), &alarm());
        let (_, shown) = entries(sent.last().unwrap()).pop().unwrap();
        let message = shown["message"].as_str().unwrap().to_owned();
        let (mark, rest) = message.split_once(':').unwrap();
        let mark = mark.trim_end();
        assert!(mark.chars().all(char::is_uppercase), "{message}");
        assert_eq!(rest, " dragging: the anchor has moved 9 m");
        mark.to_owned()
    });
    assert_eq!(marks, ["DRILL", "ÜBUNG", "EXERCICE", "EJERCICIO"]);
}

/// The metadata goes out once, with the first values, in the crew's unit of length.
#[test]
fn a_drill_explains_its_values_once_as_the_daemon_does() {
    let crew = Wording::in_unit(LengthUnit::Feet);
    let mut drill = Drill::new("windrode-drill".parse().unwrap(), "Slow drag", crew);
    let meta = |delta: String| -> Value {
        let delta: Value = serde_json::from_str(&delta).unwrap();
        delta["updates"][0]["meta"].clone()
    };
    let first = meta(drill.values(now(), &WatchState::default()));
    let about = |path: &str| {
        let mut entries = first.as_array().unwrap().iter();
        let entry = entries.find(|it| it["path"] == path);
        entry.unwrap_or_else(|| panic!("{path}"))["value"].clone()
    };
    assert_eq!(first.as_array().unwrap().len(), SHOWN.len() + 1);
    for path in SHOWN.into_iter().chain([DRILL]) {
        assert_eq!(about(path)["timeout"], 30, "{path}");
        assert!(about(path)["displayName"].is_string(), "{path}");
    }
    let reach = about("navigation.anchor.watch.reach");
    assert_eq!(reach["displayUnits"]["targetUnit"], "foot");
    assert_eq!(
        meta(drill.values(now(), &WatchState::default())),
        Value::Null
    );
}

#[test]
fn a_real_watch_refuses_a_drill_and_an_earlier_drill_does_not() {
    let label: SourceLabel = "windrode-drill".parse().unwrap();
    let node = |source: &str, value: Value| json!({"$source": source, "value": value});
    let place = json!({"latitude": 59.8, "longitude": 23.2});
    let refused = |anchor: Value, notices: Value| real_watch(&label, &anchor, &notices);
    assert_eq!(refused(Value::Null, Value::Null), None);
    let idle = json!({"position": node("windrode", Value::Null), "watch": {"phase": node("windrode", json!("aweigh"))}});
    assert_eq!(
        refused(
            idle,
            json!({"watch": node("windrode", json!({"state": "normal"}))})
        ),
        None
    );
    assert!(
        refused(json!({"position": node("plotter", place)}), Value::Null)
            .unwrap()
            .contains("`plotter`")
    );
    let set = json!({"watch": {"phase": node("windrode", json!("set"))}});
    assert!(refused(set, Value::Null).unwrap().contains("`set`"));
    let alert = json!({"watch": node("windrode", json!({"state": "warn"}))});
    assert!(refused(Value::Null, alert).unwrap().contains("`warn`"));
    // With several sources, the one that is not displayed counts too.
    let mut both = node("windrode-drill", json!("set"));
    both["values"] = json!({"windrode": {"value": "setting"}, "windrode-drill": {"value": "set"}});
    assert!(refused(json!({"watch": {"phase": both}}), Value::Null).is_some());
    let ours = json!({"watch": {"phase": node("windrode-drill", json!("set"))}});
    assert_eq!(refused(ours, Value::Null), None);
}

#[test]
fn a_watch_that_begins_ends_the_drill_and_our_own_echo_does_not() {
    let mut drill = drill();
    let mut hear = |source: &str, path: &str, value: Value| {
        let frame = json!({"context": "vessels.tern", "updates": [{
            "$source": source, "timestamp": "2026-06-01T20:00:01Z",
            "values": [{"path": path, "value": value}]}]});
        drill.handle_frame(now(), &frame.to_string())
    };
    assert_eq!(hear("windrode", PHASE, json!("aweigh")), []);
    assert!(matches!(
        hear("windrode", PHASE, json!("setting"))[..],
        [Heard::Real(_)]
    ));
    let place = json!({"latitude": 59.8, "longitude": 23.2});
    assert!(matches!(
        hear("plotter", POSITION, place)[..],
        [Heard::Real(_)]
    ));
    assert_eq!(hear("windrode-drill", PHASE, json!("set")), []);
    assert_eq!(
        hear("windrode-drill", DRILL, json!("Slow drag")),
        [Heard::Shown]
    );
    assert_eq!(hear("windrode-drill", DRILL, Value::Null), [Heard::Cleared]);
}

/// Displays that look at the path alone would take the end of the drill for the end of the alarm.
#[test]
fn the_end_of_a_drill_leaves_a_real_alert_alone() {
    let mut drill = drill();
    let real = r#"{"context":"vessels.tern","updates":[{"$source":"windrode","timestamp":"2026-06-01T20:00:00Z","values":[{"path":"notifications.navigation.anchor.watch","value":{"state":"alarm","method":["sound"],"message":"battery low"}}]}]}"#;
    let heard = drill.handle_frame(now(), real);
    assert!(matches!(&heard[..], [Heard::Real(_)]), "{heard:?}");
    let paths = |sent: Vec<String>| -> Vec<String> {
        let all = sent.iter().flat_map(|text| entries(text));
        all.map(|(path, _)| path).collect()
    };
    let cleared = paths(drill.clear(now()));
    let watch = "notifications.navigation.anchor.watch".to_owned();
    assert!(!cleared.contains(&watch), "{cleared:?}");
    assert!(cleared.contains(&"notifications.navigation.anchor.dragging".to_owned()));
    let _ = drill.handle_frame(now(), &real.replace("alarm", "normal"));
    assert!(paths(drill.clear(now())).contains(&watch));
}
