//! A neighbour with a transponder, through the real server's own parser: at anchor, then dragging down on us. And what
//! that server (2.32.0) passes on if a transponder has no figure.

use std::time::Duration;

use windrode::boat::tern::BERTH;
use windrode::geodesy::{Offset, Plane};
use windrode::observation::{Fact, NavState, Report as Said};
use windrode::signalk::paths;
use windrode::signalk::reader::Reader;
use windrode::signalk::wire::{Incoming, parse};
use windrode::units::{Bearing, Metres};

use super::Stream;
use super::ais::{self, Report};
use super::nmea::{Gauges, Wire};
use super::tern::{Aboard, LONG, eventually, eventually_within};
use crate::block_on;

const PLOVER: u32 = 230_000_017;

/// At this offset from the berth.
fn report(at: Offset, knots: f64) -> Report {
    let (latitude, longitude) = ais::coordinates(Plane::at(BERTH).position(at));
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "some knots"
    )]
    let speed = (knots * 10.0).round() as u16;
    Report {
        mmsi: PLOVER,
        status: 1,
        speed,
        longitude,
        latitude,
        course: 450,
        heading: 225,
        second: 30,
        state: 0,
    }
}

/// We lie 20 m down-wind of the berth, to the north-east; she 130 m up-wind of it.
#[test]
fn a_neighbour_that_drags_is_told_on_the_real_server() {
    let (server, wire) = Wire::to_server();
    let radio = wire.twin();
    let gauges = Gauges::on(wire);
    let mut aboard = Aboard::of(&server);
    aboard.run();
    eventually("bow and depth are known", || {
        let status = aboard.status()?;
        let picture = &status["picture"];
        let bow = picture["roller"].is_object() && picture["measuredFrom"] == "bowRoller";
        (status["link"] == "up" && bow && picture["waterDepth"].is_number()).then_some(())
    });
    aboard.order(&["let-go", "--rode", "40m"]);
    gauges.change(|truth| {
        truth.speed = 1.0;
        truth.limit = 20.0;
    });
    let mut plover = Plover {
        radio,
        out: -130.0,
        knots: 0.0,
    };
    let first = eventually("she is seen at anchor", || {
        plover.speak();
        let her = aboard.status()?["picture"]["neighbours"].get(0)?.clone();
        let seen = her["name"] == "PLOVER" && her["circle"]["radius"].as_f64()? > 20.0;
        seen.then_some(her)
    });
    assert_eq!(first["doing"], "atAnchor");
    assert_eq!(first["circle"]["assumed"], true);
    let mut quiet = 0;
    eventually_within(LONG, "two minutes in which she lies still", || {
        plover.speak();
        assert!(aboard.alert("neighbour").is_none());
        quiet += 1;
        (quiet > 100).then_some(())
    });
    let her = aboard.status().unwrap()["picture"]["neighbours"][0].clone();
    assert!(
        her["roomTogether"].as_f64() > her["roomAtWorst"].as_f64(),
        "{her}"
    );
    // A search for a berth lists her, though no chart is aboard.
    let output = aboard.windrode(&[
        "plan",
        "--search",
        "59.8539,23.26",
        "--draught",
        "1.9m",
        "--json",
    ]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let found: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(found["neighbours"][0]["name"], "PLOVER", "{found}");
    assert!(
        found["neighbours"][0]["radius"].as_f64() > Some(20.0),
        "{found}"
    );
    // Her status is still "at anchor".
    plover.knots = 1.5;
    let words = eventually("the drag is told", || {
        plover.speak();
        let alert = aboard.alert("neighbour")?;
        alert["message"].as_str().map(str::to_owned)
    });
    assert!(
        words.starts_with("neighbour dragging or under way: PLOVER has left her place, "),
        "{words}"
    );
    assert!(plover.out < -30.0, "{}", plover.out);
    eventually("every display is told", || {
        let path = "/signalk/v1/api/vessels/self/notifications/navigation/anchor/neighbour/value";
        let state = server.rest().get_json(path)?["state"].clone();
        (state == "warn" || state == "alarm").then_some(())
    });
}

/// A place on the line of the wind.
struct Plover {
    radio: Wire,
    /// Distance from the berth, down-wind.
    out: f64,
    knots: f64,
}

impl Plover {
    fn speak(&mut self) {
        let down_wind = Bearing::from_degrees(45.0);
        let at = Offset::polar(down_wind, Metres::of(1.0)) * self.out;
        self.radio.say(&report(at, self.knots).sentence());
        self.radio.say(&ais::name(PLOVER, "PLOVER"));
        self.radio.say(&ais::figures(PLOVER, [8, 2, 1, 3]));
        // In step with the clock.
        std::thread::sleep(Duration::from_secs(1));
        self.out += self.knots * 0.514_444;
    }
}

/// What the watch reads from sentences that the server has parsed.
fn read(sentences: &[String]) -> (Vec<Fact>, Vec<String>) {
    let (server, mut wire) = Wire::to_server();
    let mut reader = Reader::new(None);
    let mut facts = Vec::new();
    block_on(async {
        let query = "subscribe=all&sendCachedValues=false";
        let mut stream = Stream::connect(&server, query, None).await;
        for sentence in sentences {
            assert!(wire.say(sentence), "the server hung up");
        }
        // A marker sentence ends it.
        assert!(wire.say("YXMTW,12.0,C"));
        loop {
            let frame = stream.next().await.to_string();
            if let Ok(Incoming::Delta(delta)) = parse(&frame, paths::wanted) {
                let mut reports: Vec<Said> = Vec::new();
                reader.read(&delta, &mut reports);
                let others = reports.into_iter().filter(|it| !it.subject.is_own());
                facts.extend(others.flat_map(|it| it.facts));
            }
            if frame.contains("water.temperature") {
                return;
            }
        }
    });
    (
        facts,
        std::iter::from_fn(|| reader.poll_complaint()).collect(),
    )
}

/// 102.3 kn, 360°, 511°, 91° N 181° E: not available, and nothing about it goes into the log. The tests of
/// `signalk::paths` show what other gateways pass on.
#[test]
fn figures_that_a_transponder_does_not_have_are_none() {
    let nothing = Report {
        status: 15,
        speed: 1023,
        longitude: 181 * 600_000,
        latitude: 91 * 600_000,
        course: 3600,
        heading: 511,
        ..report(Offset::ZERO, 0.0)
    };
    let (facts, complaints) = read(&[nothing.sentence()]);
    // Without a position the server's parser drops the whole sentence.
    assert_eq!((facts, complaints), (Vec::new(), Vec::new()));
    let (latitude, longitude) = ais::coordinates(BERTH);
    let (facts, complaints) = read(&[Report {
        longitude,
        latitude,
        ..nothing
    }
    .sentence()]);
    // With one, it drops the figures and passes on a status without meaning.
    let at = |fact: &Fact| matches!(fact, Fact::Position(Some(at)) if at.distance_to(BERTH) < Metres::of(1.0));
    assert!(facts.iter().any(at), "{facts:?}");
    assert!(facts.contains(&Fact::NavState(None)), "{facts:?}");
    assert_eq!((facts.len(), complaints), (2, Vec::new()));
}

/// The antenna 8 m from the bow, 2 m from the stern, 1 m from the port side, 3 m from the starboard side: 1 m to port of
/// the centreline.
#[test]
fn where_her_antenna_sits_is_read_as_it_was_entered() {
    let (facts, _) = read(&[
        report(Offset::ZERO, 0.3).sentence(),
        ais::figures(PLOVER, [8, 2, 1, 3]),
    ]);
    for fact in [
        Fact::NavState(Some(NavState::AtAnchor)),
        Fact::Length(Some(Metres::of(10.0))),
        Fact::Beam(Some(Metres::of(4.0))),
        Fact::AntennaFromBow(Some(Metres::of(8.0))),
        Fact::AntennaFromCentre(Some(Metres::of(1.0))),
        Fact::ShipType(Some(36)),
    ] {
        assert!(facts.contains(&fact), "{fact:?} in {facts:?}");
    }
    let speed = facts.iter().find_map(|fact| match fact {
        Fact::SpeedOverGround(speed) => *speed,
        _ => None,
    });
    assert!((speed.unwrap().knots() - 0.3).abs() < 1e-6);
}
