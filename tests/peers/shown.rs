//! What the real data server gives a display: the unit of a length, whether an acknowledged alarm is
//! still visible, and how the display learns that the watch was killed.

use serde_json::{Value, json};

use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, Rest, SignalK};

const SELF: &str = "/signalk/v1/api/vessels/self";
const ANCHOR: &str = "/signalk/v1/api/vessels/self/navigation/anchor";

fn meta(rest: &Rest, path: &str) -> Option<Value> {
    rest.get_json(&format!("{ANCHOR}/{path}/meta"))
}

fn timestamp(rest: &Rest, path: &str) -> Option<jiff::Timestamp> {
    let node = rest.get_json(&format!("{ANCHOR}/{path}"))?;
    node["timestamp"].as_str()?.parse().ok()
}

/// The default units of a new server are nautical and metric. 25 m must not be shown as 0.0 nautical miles.
#[test]
fn a_display_is_given_metres_and_minutes() {
    let server = SignalK::start(Mode::Open);
    let rest = server.rest();
    let mut aboard = Aboard::of(&server);
    aboard.run();
    for path in [
        "maxRadius",
        "currentRadius",
        "watch/anchorDistance",
        "watch/rodeOut",
        "watch/reach",
        "watch/berthDistance",
        "watch/underKeelAtLowWater",
    ] {
        let shown = eventually("the metadata is there", || {
            meta(&rest, path).map(|about| about["displayUnits"].clone())
        });
        assert_eq!(shown["targetUnit"], "m", "{path}: {shown}");
        assert_eq!(shown["formula"], "value", "{path}: {shown}");
    }
    let time = meta(&rest, "watch/berthTime").unwrap()["displayUnits"].clone();
    assert_eq!(time["targetUnit"], "minute", "{time}");
    assert_eq!(aboard.stop(), Some(0));
}

/// The server keeps our last values as if they were current. A display compares the age of a value with the
/// `timeout` of its metadata; that is the schema's way, and the only one without the server's help.
#[test]
fn a_display_can_tell_that_the_watch_was_killed() {
    let server = SignalK::start(Mode::Open);
    let rest = server.rest();
    let mut aboard = Aboard::of(&server);
    aboard.run();
    let timeout = eventually("the heartbeat says when it is out of date", || {
        meta(&rest, "watch/heartbeat")?["timeout"].as_i64()
    });
    assert_eq!(timeout, 30);
    for path in ["watch/phase", "position", "watch/dragProbability"] {
        assert_eq!(meta(&rest, path).unwrap()["timeout"], timeout, "{path}");
    }
    let late = |path: &str| {
        let age = jiff::Timestamp::now().as_second() - timestamp(&rest, path)?.as_second();
        Some(age > timeout)
    };
    assert_eq!(late("watch/phase"), Some(false));
    aboard.kill();
    eventually("the phase is out of date", || {
        late("watch/phase").filter(|late| *late).map(drop)
    });
    let phase = rest.get_json(&format!("{ANCHOR}/watch/phase")).unwrap();
    assert_eq!(
        phase["value"], "aweigh",
        "the server takes nothing back: {phase}"
    );
}

/// With `enforceDataTimeouts` the server itself withdraws numbers, if its administrator writes the path's
/// metadata to it: it ignores the metadata that a client sends with its deltas.
#[test]
fn a_server_that_enforces_timeouts_takes_the_heartbeat_back() {
    let mut server = SignalK::start(Mode::Open);
    server.kill();
    let file = server.dir.join("settings.json");
    let mut settings: Value =
        serde_json::from_str(&std::fs::read_to_string(&file).unwrap()).unwrap();
    settings["enforceDataTimeouts"] = json!(true);
    std::fs::write(&file, settings.to_string()).unwrap();
    server.start_again();
    let rest = server.rest();
    let path = format!("{SELF}/navigation/anchor/watch/heartbeat/meta");
    let about = json!({ "timeout": 30, "updateContract": "periodic" });
    let reply = rest.put_json(&path, &json!({ "value": about }));
    assert!(reply.status < 300, "{reply:?}");
    let mut aboard = Aboard::of(&server);
    aboard.run();
    let beat = || rest.get_json(&format!("{ANCHOR}/watch/heartbeat"));
    eventually("the heart beats", || beat()?["value"].as_u64());
    aboard.kill();
    eventually("the server takes it back", || {
        beat()?["value"].is_null().then_some(())
    });
}

/// Acknowledged at a display, and then acknowledged on our side: both keep `visual`, and no button is offered.
#[test]
fn an_acknowledged_alarm_is_still_to_be_seen() {
    let server = SignalK::start(Mode::Open);
    let rest = server.rest();
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::of(&server);
    aboard.anchor();
    instruments.drag(3.0, 130.0);
    let notice = || {
        let node = rest.get_json(&format!("{SELF}/notifications/navigation/anchor/dragging"))?;
        Some(node["value"].clone())
    };
    let sounding = || notice().filter(|n| n["method"] == json!(["visual", "sound"]));
    eventually("the alarm sounds", sounding);
    press(&rest, "dragging");
    let seen = || {
        notice().filter(|n| {
            n["state"] == "alarm"
                && n["method"] == json!(["visual"])
                && n["status"]["canAcknowledge"] == false
        })
    };
    eventually("it is seen and does not sound", seen);
    // If she drags on, it sounds again and can be acknowledged again: here on our side.
    instruments.drag(3.0, 260.0);
    let again = eventually("it sounds again", sounding);
    assert_eq!(again["status"]["canAcknowledge"], true, "{again}");
    aboard.order(&["acknowledge", "dragging"]);
    eventually("it is seen and does not sound", seen);
    assert_eq!(aboard.stop(), Some(0));
}

fn press(rest: &Rest, hazard: &str) {
    let path = format!("notifications.navigation.anchor.{hazard}");
    let all = rest.get_json("/signalk/v2/api/notifications").unwrap();
    let mut notices = all.as_object().unwrap().iter();
    let (id, _) = notices
        .find(|(_, notice)| notice["path"] == path.as_str())
        .unwrap();
    let reply = rest.post(&format!("/signalk/v2/api/notifications/{id}/acknowledge"));
    assert_eq!(reply.status, 200, "{reply:?}");
}
