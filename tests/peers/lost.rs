//! What the crew sees when instruments on NMEA 0183 lose what they measure, through the real server's own
//! parser: see [`parser`](super::parser) for what it makes of each sentence.

use serde_json::Value;

use super::SignalK;
use super::nmea::{Gauges, Truth, Wire, Word};
use super::tern::{Aboard, eventually};

/// The boat at anchor on 40 m of rode, lying 20 m from it.
fn riding() -> (SignalK, Gauges, Aboard) {
    let (server, wire) = Wire::to_server();
    let gauges = Gauges::on(wire);
    let mut aboard = Aboard::of(&server);
    aboard.run();
    // A direction of the wind needs the heading. Without one the mark would lie under the antenna.
    eventually("fix, heading, depth and wind are heard", || {
        let status = aboard.status()?;
        let known = |name: &str| status["picture"][name].is_number();
        let here = status["picture"]["roller"].is_object();
        let all = ["windDirection", "waterDepth", "windSpeed"]
            .into_iter()
            .all(known);
        (status["link"] == "up" && here && all).then_some(())
    });
    let output = aboard.windrode(&["let-go", "--rode", "40m"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    gauges.change(|truth| truth.distance = 20.0);
    eventually("she lies off her anchor", || {
        let status = aboard.status()?;
        status["picture"]["anchorDistance"]
            .as_f64()
            .filter(|distance| *distance > 15.0)
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

/// For so many beats of the heart, one each ten seconds, this holds at every look.
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
    // Lost again, with empty fields this time.
    gauges.change(|truth| truth.receiver = Word::Empty);
    eventually("empty fields are told", || {
        stands(&aboard, "position").then_some(())
    });
}

/// Without a pause: from one sentence to the next the receiver has no fix.
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
fn zero_dashes_and_empty_fields_of_sounder_and_compass_raise_nothing_about_depth_or_anchor() {
    let (server, gauges, aboard) = riding();
    for word in [Word::Zero, Word::Dashes, Word::Empty] {
        gauges.change(|truth| {
            truth.sounder = word;
            truth.heading = word;
        });
        for_beats(&server, 3, || {
            for hazard in ["shoaling", "dragging", "swingExceeded"] {
                assert!(!stands(&aboard, hazard), "{word:?}: {hazard}");
            }
        });
    }
    let picture = aboard.status().unwrap()["picture"].clone();
    assert!(picture["waterDepth"].is_null(), "{picture}");
    gauges.change(|truth| truth.sounder = Word::Good);
    eventually("the depth is known again", || {
        aboard.status()?["picture"]["waterDepth"].as_f64()
    });
}

/// She is dragged at three knots, the receiver sees it, and a log on the same wire says that she lies still.
#[test]
fn a_log_that_is_stuck_does_not_hide_a_drag() {
    let (_server, gauges, aboard) = riding();
    gauges.change(|truth| {
        truth.stuck_log = true;
        truth.speed = 1.5;
    });
    eventually("the drag is told", || {
        stands(&aboard, "dragging").then_some(())
    });
}

/// The crew is told by the `instrument` hazard, which names the instrument.
fn is_told(name: &str, change: impl FnOnce(&mut Truth)) {
    let (server, gauges, aboard) = riding();
    gauges.change(change);
    // It is lost after two minutes; not before, and nothing else is.
    for_beats(&server, 8, || {
        for hazard in ["instrument", "position", "dragging"] {
            assert!(!stands(&aboard, hazard), "{hazard}");
        }
    });
    eventually("the lost instrument is told", || {
        let alert = aboard.alert("instrument")?;
        let words = alert["message"].as_str()?;
        (stands(&aboard, "instrument") && words.contains(name)).then_some(())
    });
}

#[test]
fn a_vane_that_falls_silent_is_told() {
    is_told("wind", |truth| truth.wind = Word::Silent);
}

#[test]
fn a_vane_that_calls_its_readings_invalid_is_told() {
    is_told("wind", |truth| truth.wind = Word::Flagged);
}

#[test]
fn a_sounder_that_falls_silent_is_told() {
    is_told("sounder", |truth| truth.sounder = Word::Silent);
}

#[test]
fn a_sounder_that_loses_the_bottom_is_told() {
    is_told("sounder", |truth| truth.sounder = Word::Zero);
}

#[test]
fn a_lost_heading_is_told() {
    is_told("heading", |truth| truth.heading = Word::Empty);
}

#[test]
fn dashes_of_a_vane_are_no_calm() {
    let (_server, gauges, aboard) = riding();
    gauges.change(|truth| truth.wind = Word::Dashes);
    eventually("the wind is not known", || {
        aboard.status()?["picture"]["windSpeed"]
            .is_null()
            .then_some(())
    });
}

/// It has shown for a minute and a half that its last digits never rest.
#[test]
fn a_receiver_that_is_frozen_is_told_within_two_minutes() {
    let (server, gauges, aboard) = riding();
    for_beats(&server, 9, || assert!(!stands(&aboard, "position")));
    gauges.change(|truth| truth.receiver = Word::Frozen);
    for_beats(&server, 6, || assert!(!stands(&aboard, "dragging")));
    eventually("the frozen receiver is told", || {
        stands(&aboard, "position").then_some(())
    });
}

/// One line of the screen for each: how long ago, not nothing.
#[test]
fn status_shows_the_age_of_a_lost_instrument() {
    let (_server, gauges, aboard) = riding();
    gauges.change(|truth| truth.wind = Word::Silent);
    eventually("the screen says how long", || {
        let output = aboard.windrode(&["status"]);
        let screen = String::from_utf8_lossy(&output.stdout).into_owned();
        let row = screen.lines().find(|line| line.starts_with("wind "))?;
        row.contains("silent for ").then_some(())
    });
}
