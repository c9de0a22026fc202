//! What the crew sees when NMEA 0183 instruments lose their measurement, through the real server's own
//! parser: [`parser`](super::parser) shows what it makes of each sentence.

use serde_json::Value;

use super::SignalK;
use super::nmea::{Gauges, Truth, Wire, Word};
use super::tern::{Aboard, eventually};

/// The boat at anchor on 40 m of rode, 20 m from the anchor.
fn riding() -> (SignalK, Gauges, Aboard) {
    let (server, wire) = Wire::to_server();
    let gauges = Gauges::on(wire);
    let mut aboard = Aboard::of(&server);
    aboard.run();
    // Without a heading the anchor would be marked under the antenna, 9 m too near.
    eventually("bow, depth and wind are known", || {
        let status = aboard.status()?;
        let picture = &status["picture"];
        let known = |name: &str| picture[name].is_number();
        let all = ["windDirection", "waterDepth", "windSpeed"]
            .into_iter()
            .all(known);
        let bow = picture["roller"].is_object() && picture["measuredFrom"] == "bowRoller";
        (status["link"] == "up" && bow && all).then_some(())
    });
    aboard.order(&["let-go", "--rode", "40m"]);
    gauges.change(|truth| {
        truth.speed = 1.0;
        truth.limit = 20.0;
    });
    eventually("she lies off her anchor", || {
        let distance = aboard.status()?["picture"]["anchorDistance"].as_f64()?;
        ((distance - 20.0).abs() < 1.5).then_some(())
    });
    (server, gauges, aboard)
}

fn stands(aboard: &Aboard, hazard: &str) -> bool {
    aboard.alert(hazard).is_some_and(|alert| {
        alert["state"]
            .as_str()
            .is_some_and(|state| state.starts_with("active"))
    })
}

fn value(server: &SignalK, path: &str) -> Option<Value> {
    let path = path.replace('.', "/");
    let path = format!("/signalk/v1/api/vessels/self/{path}/value");
    server.rest().get_json(&path)
}

/// The condition holds at every look for this many heartbeats, one every ten seconds.
fn for_beats(server: &SignalK, beats: u64, mut holds: impl FnMut()) {
    let beat = || value(server, "navigation.anchor.watch.heartbeat")?.as_u64();
    let first = eventually("the heart beats", beat);
    eventually("the heart goes on beating", || {
        holds();
        (beat()? >= first + beats).then_some(())
    });
}

/// The receiver is off, then on again without a fix: last position, status V, quality 0.
#[test]
fn a_receiver_that_says_it_has_no_fix_does_not_end_the_alarm() {
    let (server, gauges, aboard) = riding();
    gauges.change(|truth| truth.receiver = Word::Silent);
    eventually("the lost position is told", || {
        stands(&aboard, "position").then_some(())
    });
    gauges.change(|truth| truth.receiver = Word::Flagged);
    eventually("the server says that there is no fix", || {
        value(&server, "navigation.gnss.methodQuality").filter(|method| method == "no GPS")
    });
    for_beats(&server, 3, || {
        let alert = aboard.alert("position");
        assert!(stands(&aboard, "position"), "{alert:?}");
    });
    eventually("the reason is told", || {
        let alert = aboard.alert("position")?;
        let words = alert["message"].as_str()?;
        words
            .contains("the receiver says it has no fix")
            .then_some(())
    });
    gauges.change(|truth| truth.receiver = Word::Good);
    eventually("a fix ends it", || {
        (!stands(&aboard, "position")).then_some(())
    });
    // Lost again, this time with empty fields.
    gauges.change(|truth| truth.receiver = Word::Empty);
    eventually("empty fields are told", || {
        stands(&aboard, "position").then_some(())
    });
}

/// Without a transition: from one sentence to the next the receiver has no fix.
#[test]
fn a_receiver_that_loses_its_fix_is_told() {
    let (_server, gauges, aboard) = riding();
    gauges.change(|truth| truth.receiver = Word::Flagged);
    eventually("status V and quality 0 are told", || {
        stands(&aboard, "position").then_some(())
    });
    for hazard in ["dragging", "swingExceeded"] {
        assert!(!stands(&aboard, hazard), "{hazard}");
    }
}

#[test]
fn zero_dashes_and_empty_fields_are_neither_a_shoal_nor_a_drag_nor_a_calm() {
    let (server, gauges, aboard) = riding();
    for word in [Word::Zero, Word::Dashes, Word::Empty] {
        let all = |word| {
            gauges.change(|truth| {
                truth.sounder = word;
                truth.heading = word;
                truth.wind = word;
            });
        };
        let known = |name: &str| Some(aboard.status()?["picture"][name].is_number());
        all(word);
        eventually("no depth and no wind is shown", || {
            let unknown = !known("waterDepth")? && !known("windSpeed")?;
            unknown.then_some(())
        });
        for_beats(&server, 1, || {
            for hazard in ["shoaling", "dragging", "swingExceeded"] {
                assert!(!stands(&aboard, hazard), "{word:?}: {hazard}");
            }
        });
        all(Word::Good);
        eventually("depth and wind are known again", || {
            (known("waterDepth")? && known("windSpeed")?).then_some(())
        });
    }
}

/// She drags at three knots, the receiver sees it, and a log on the same wire reports that she lies still.
#[test]
fn a_log_that_is_stuck_does_not_hide_a_drag() {
    let (_server, gauges, aboard) = riding();
    gauges.change(|truth| {
        truth.stuck_log = true;
        truth.speed = 1.5;
        truth.limit = f64::INFINITY;
    });
    eventually("the drag is told", || {
        stands(&aboard, "dragging").then_some(())
    });
}

/// The `instrument` hazard names each lost instrument. Its two minutes are fixed and no setting shortens them,
/// so all instruments that can be lost together are lost together here.
fn are_told(words: &[&str], change: impl FnOnce(&mut Truth)) {
    let (server, gauges, aboard) = riding();
    gauges.change(change);
    // They are lost after two minutes; not before, and nothing else is.
    for_beats(&server, 7, || {
        for hazard in ["instrument", "position", "dragging"] {
            assert!(!stands(&aboard, hazard), "{hazard}");
        }
    });
    let output = aboard.windrode(&["status"]);
    let screen = String::from_utf8_lossy(&output.stdout).into_owned();
    for name in ["wind", "depth", "heading"] {
        let mut rows = screen
            .lines()
            .filter(|line| line.starts_with(&format!("{name} ")));
        assert!(rows.any(|row| row.contains(" for ")), "{name}: {screen}");
    }
    eventually("the lost instruments are told, each by its name", || {
        let alert = aboard.alert("instrument")?;
        let message = alert["message"].as_str()?;
        let all = words.iter().all(|words| message.contains(words));
        (stands(&aboard, "instrument") && all).then_some(())
    });
}

#[test]
fn instruments_that_fall_silent_are_told() {
    let words = [
        "wind instrument silent",
        "sounder silent",
        "heading sensor silent",
    ];
    are_told(&words, |truth| {
        truth.wind = Word::Silent;
        truth.sounder = Word::Silent;
        truth.heading = Word::Silent;
    });
}

/// Status V from the vane, zero from the sounder, an empty field from the compass.
#[test]
fn instruments_that_say_that_they_have_lost_it_are_told() {
    let words = [
        "wind instrument",
        "sounder has had no bottom",
        "heading sensor",
    ];
    are_told(&words, |truth| {
        truth.wind = Word::Flagged;
        truth.sounder = Word::Zero;
        truth.heading = Word::Empty;
    });
}

/// For more than a minute its last digits have kept changing.
#[test]
fn a_receiver_that_is_frozen_is_told_within_two_minutes() {
    let (server, gauges, aboard) = riding();
    for_beats(&server, 6, || assert!(!stands(&aboard, "position")));
    gauges.change(|truth| truth.receiver = Word::Frozen);
    for_beats(&server, 6, || assert!(!stands(&aboard, "dragging")));
    eventually("the frozen receiver is told", || {
        stands(&aboard, "position").then_some(())
    });
}
