//! A night on the real data server: windrode as a child process, a simulated boat as a second
//! client, the crew at the server's own API.

use std::time::Instant;

use serde_json::{Value, json};

use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, Rest, SignalK};
use windrode::alert::hazard::Hazard;
use windrode::boat::tern::BERTH;
use windrode::geodesy::Position;

const SELF: &str = "/signalk/v1/api/vessels/self";

/// What the server shows to displays on one of our paths.
fn value(rest: &Rest, path: &str) -> Option<Value> {
    let node = rest.get_json(&format!("{SELF}/{}", path.replace('.', "/")))?;
    Some(node["value"].clone())
}

fn watch(rest: &Rest, name: &str) -> Option<Value> {
    value(rest, &format!("navigation.anchor.watch.{name}"))
}

fn notice(rest: &Rest, hazard: &str) -> Option<Value> {
    value(rest, &format!("notifications.navigation.anchor.{hazard}"))
}

/// Puts a command over REST and waits for its outcome: status code and sentence.
fn put(rest: &Rest, path: &str, value: &Value) -> (u64, String) {
    let path = format!("{SELF}/{}", path.replace('.', "/"));
    let pending = rest.put_json(&path, &json!({ "value": value }));
    assert_eq!(pending.status, 202, "{pending:?}");
    let href = pending.body["href"].as_str().unwrap().to_owned();
    let answer = eventually("the command is answered", || {
        let reply = rest.get_json(&href)?;
        (reply["state"] == "COMPLETED").then_some(reply)
    });
    (
        answer["statusCode"].as_u64().unwrap(),
        answer["message"].as_str().unwrap_or_default().to_owned(),
    )
}

fn order(rest: &Rest, name: &str, value: &Value) -> (u64, String) {
    put(rest, &format!("navigation.anchor.watch.{name}"), value)
}

/// Presses "acknowledge" for one of our notifications at the server's notifications API.
fn press_acknowledge(rest: &Rest, hazard: &str) {
    let path = format!("notifications.navigation.anchor.{hazard}");
    let all = rest.get_json("/signalk/v2/api/notifications").unwrap();
    let id = all
        .as_object()
        .unwrap()
        .iter()
        .find(|(_, notice)| notice["path"] == path.as_str())
        .map(|(id, _)| id.clone())
        .unwrap();
    let reply = rest.post(&format!("/signalk/v2/api/notifications/{id}/acknowledge"));
    assert_eq!(reply.status, 200, "{reply:?}");
}

fn rest_of(server: &SignalK) -> Rest {
    match server.tokens.admin {
        Some(_) => server.rest_as(server.tokens.admin.as_ref()),
        None => server.rest(),
    }
}

/// The whole night. Secure and open servers must not differ.
#[expect(
    clippy::too_many_lines,
    reason = "one story, told from evening to morning"
)]
fn night(mode: Mode) {
    let mut server = SignalK::start(mode);
    let rest = rest_of(&server);
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::of(&server);
    aboard.run();

    // Before the anchor is down, displays show that the watch runs, and nothing sounds.
    eventually("the phase is published", || {
        watch(&rest, "phase").filter(|phase| phase == "aweigh")
    });
    let first = eventually("the heart beats", || watch(&rest, "heartbeat")?.as_u64());
    eventually("the daemon takes the link for up", || {
        (aboard.status()?["link"] == "up").then_some(())
    });
    eventually("the berth's depth is sounded", || {
        aboard.status()?["picture"]["waterDepth"].as_f64()
    });

    // Refused: a rode that does not reach the bottom, and a command for another vessel.
    let (code, why) = order(&rest, "letGo", &json!({ "rode": 5 }));
    assert_eq!(code, 400);
    assert!(why.contains("does not reach the bottom"), "{why}");
    let (code, why) = order(&rest, "weigh", &json!(true));
    assert_eq!(
        (code, why.as_str()),
        (400, "not at anchor: `letGo` comes first")
    );

    let (code, said) = order(&rest, "letGo", &json!({ "rode": 40 }));
    assert_eq!(code, 200, "{said}");
    eventually("the displays see her setting", || {
        watch(&rest, "phase").filter(|phase| phase == "setting")
    });
    let mark: Position =
        serde_json::from_value(value(&rest, "navigation.anchor.position").unwrap()).unwrap();
    assert!(mark.distance_to(BERTH).get() < 1.0, "{mark:?}");
    // 40 m over 9.2 m, 2 % stretch: 39.7 m; half of 11.2 m; 10 m of margin.
    let radius = value(&rest, "navigation.anchor.maxRadius").unwrap();
    assert!((radius.as_f64().unwrap() - 55.3).abs() < 0.2, "{radius}");
    let regions = rest.get_json("/signalk/v2/api/resources/regions").unwrap();
    assert_eq!(regions.as_object().unwrap().len(), 1, "{regions}");

    // The time from feeding a position to seeing it over REST.
    instruments.lie_at(20.0);
    let fed = Instant::now();
    eventually("the distance is published", || {
        watch(&rest, "anchorDistance")?
            .as_f64()
            .filter(|d| *d > 19.0)
    });
    let delay = fed.elapsed();
    eprintln!(
        "from the feed to the value seen over REST: {} ms",
        delay.as_millis()
    );

    // The plan without a depth uses what the daemon receives.
    let plan = |more: &[&str]| -> Value {
        let output = aboard.windrode(&[&["plan", "--json"], more].concat());
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let live = plan(&[]);
    assert_eq!(live["depth"]["now"], 8.0, "{live}");
    assert_eq!(live["rodeOut"], 40.0, "{live}");
    let predicted = plan(&["--station", "noaa/8443970"]);
    assert_eq!(predicted["tide"]["source"], "prediction", "{predicted}");
    assert!(predicted["depth"]["highest"].as_f64() > predicted["depth"]["lowest"].as_f64());

    // She drags, farther than any error of a mark made a moment ago.
    instruments.drag(3.0, 130.0);
    let alarm = eventually("the drag is shown as an alarm with sound", || {
        let notice = notice(&rest, "dragging")?;
        (notice["state"] == "alarm" && notice["method"] == json!(["visual", "sound"]))
            .then_some(notice)
    });
    let seen = jiff::Timestamp::now();
    assert!(
        alarm["message"]
            .as_str()
            .unwrap()
            .starts_with("dragging: the anchor has moved")
    );
    let since = aboard.alert("dragging").unwrap()["since"]
        .as_str()
        .unwrap()
        .parse::<jiff::Timestamp>()
        .unwrap();
    let delay = seen.as_millisecond() - since.as_millisecond();
    eprintln!("from the verdict to the notification seen over REST: {delay} ms");

    // Somebody acknowledges at the server.
    press_acknowledge(&rest, "dragging");
    eventually("the acknowledgement reaches the daemon", || {
        (aboard.alert("dragging")?["state"] == "active-acknowledged").then_some(())
    });

    let sounds = |notice: &Value| {
        let methods = notice["method"].as_array();
        methods.is_some_and(|methods| methods.contains(&json!("sound")))
    };
    eventually("the displays fall silent", || {
        notice(&rest, "dragging").filter(|n| n["state"] == "alarm" && !sounds(n))
    });

    // The server loses power and comes back: everything is there again and still acknowledged.
    server.kill();
    eventually("the daemon notices", || {
        let link = aboard.status()?["link"].as_str()?.to_owned();
        link.starts_with("down").then_some(())
    });
    server.start_again();
    eventually("the phase is published again", || {
        watch(&rest, "phase").filter(|phase| phase == "dragging")
    });
    let again = eventually("the notification is there again", || {
        notice(&rest, "dragging").filter(|n| n["state"] == "alarm")
    });
    assert!(
        !sounds(&again),
        "acknowledged, it must not sound again: {again}"
    );

    // She drags on, far beyond the acknowledged distance: that must sound, though the server's
    // acknowledgement sticks to the path.
    instruments.drag(3.0, 260.0);
    eventually("the worse drag sounds again", || {
        notice(&rest, "dragging").filter(|n| n["state"] == "alarm" && sounds(n))
    });
    assert_eq!(
        aboard.alert("dragging").unwrap()["state"],
        "active-unacknowledged"
    );

    // The daemon loses power and comes back: the same mark, phase and alert.
    aboard.kill();
    aboard.run();
    let status = aboard.status().unwrap();
    assert_eq!(status["picture"]["phase"], "dragging");
    let kept: Position = serde_json::from_value(status["picture"]["anchor"].clone()).unwrap();
    assert!(kept.distance_to(mark).get() < 0.01);
    assert_eq!(
        aboard.alert("dragging").unwrap()["state"],
        "active-unacknowledged"
    );
    eventually("it says since when it was blind", || {
        aboard.log().contains("blind since").then_some(())
    });
    eventually("the heart beats again", || {
        let beat = watch(&rest, "heartbeat")?.as_u64()?;
        (beat > 0 && beat != first).then_some(())
    });
    eventually("the link is up again", || {
        (aboard.status()?["link"] == "up").then_some(())
    });

    // Weighing clears everything.
    let (code, said) = order(&rest, "weigh", &json!(true));
    assert_eq!(code, 200, "{said}");
    eventually("that the watch was ended over the server is told", || {
        let notice = notice(&rest, "watch")?;
        let told = notice["message"]
            .as_str()?
            .contains("ended over the data server");
        told.then_some(())
    });
    // She is under way, so it is a caution: shown for ten minutes, without sound.
    assert!(!sounds(&notice(&rest, "watch").unwrap()));
    for hazard in Hazard::ALL {
        if hazard == Hazard::Watch {
            continue;
        }
        eventually("the alert is normal", || {
            notice(&rest, hazard.name())
                .is_none_or(|n| n["state"] == "normal")
                .then_some(())
        });
    }
    eventually("no anchor is shown", || {
        value(&rest, "navigation.anchor.position").filter(Value::is_null)
    });
    eventually("the circle is gone from the charts", || {
        let regions = rest.get_json("/signalk/v2/api/resources/regions")?;
        regions.as_object()?.is_empty().then_some(())
    });
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn a_night_on_an_open_server() {
    night(Mode::Open);
}

#[test]
fn a_night_on_a_secure_server() {
    night(Mode::Secure);
}

/// Without a token the server sends its greeting and then silently drops everything. The daemon
/// reports that and requests access, and when the skipper approves, the watch goes on without a
/// restart.
#[test]
fn without_rights_the_daemon_says_so_asks_and_is_let_in() {
    let server = SignalK::start(Mode::Secure);
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::with_token(&server, None);
    aboard.run();
    let link = eventually("the missing rights are told", || {
        let link = aboard.status()?["link"].as_str()?.to_owned();
        link.starts_with("impaired").then_some(link)
    });
    assert!(link.contains("access requests"), "{link}");
    server.approve();
    eventually("the link is up", || {
        (aboard.status()?["link"] == "up").then_some(())
    });
    eventually("the phase is published", || {
        watch(&admin, "phase").filter(|p| p == "aweigh")
    });
    // The token is kept: after a power cut nobody has to approve again.
    aboard.kill();
    aboard.run();
    eventually("the link is up again", || {
        (aboard.status()?["link"] == "up").then_some(())
    });
    drop(instruments);
}

/// The recording that ships with the server, a boat under way: values are published and nothing
/// alarms before the anchor is let go.
#[test]
fn the_server_s_own_recording_raises_nothing_before_letting_go() {
    let server = SignalK::start_with(Mode::Open, &["--sample-n2k-data", "--override-timestamps"]);
    let rest = server.rest();
    let mut aboard = Aboard::of(&server);
    aboard.run();
    let position = eventually("a fix is used", || {
        let picture = aboard.status()?["picture"].clone();
        picture["roller"].is_object().then_some(picture)
    });
    assert!(position["positionSource"].is_string(), "{position}");
    // A minute of it, counted by heartbeats, one every 10 s.
    let first = eventually("the heart beats", || watch(&rest, "heartbeat")?.as_u64());
    eventually("a minute passes", || {
        (watch(&rest, "heartbeat")?.as_u64()? >= first + 6).then_some(())
    });
    let status = aboard.status().unwrap();
    assert_eq!(status["alerts"], json!([]), "{status}");
    assert_eq!(status["link"], "up");
    assert!(status["picture"]["windSpeed"].is_number(), "{status}");
    assert!(status["picture"]["waterDepth"].is_number(), "{status}");
    for hazard in Hazard::ALL {
        let quiet = notice(&rest, hazard.name()).is_none_or(|n| n["state"] == "normal");
        assert!(quiet, "{hazard}");
    }
    assert_eq!(aboard.stop(), Some(0));
}
