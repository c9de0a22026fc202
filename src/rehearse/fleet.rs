//! Other boats at anchor near us, and what their transponders report.
//!
//! Each is a [`Boat`] of her own in the same sea, so she swings, sheers and drags by wind and rode. Her receiver errs by
//! two Gauss-Markov processes, and what goes on the air is rounded as the messages are.
//!
//! *When she transmits*: class A at anchor or moored and not faster than 3 kn every 3 min, otherwise every 10 s; class
//! B up to 2 kn every 3 min, otherwise every 30 s; name and size every 6 min. *Resolution*: a ten-thousandth of a
//! minute of arc, a tenth of a knot, a tenth of a degree. *Not available*: class B here has no compass and no status.
//! (ITU-R M.1371-5, annex 1, tables 1 and 2, and annex 8; from memory.)
//!
//! **Weakness.** No report is lost, and none comes twice. Under way she is steered, not computed.
//! **Tests** below.

use std::borrow::Cow;
use std::time::Duration;

use serde_json::{Value, json};

use crate::geodesy::{Offset, Plane};
use crate::rehearse::boat::{Boat, BoatSettings};
use crate::rehearse::dice::{Dice, GaussMarkov, Purpose};
use crate::rehearse::sea::SeaState;
use crate::time::Timestamp;
use crate::units::{Metres, Speed};

/// Class of a transponder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// For ships: it reports heading and status.
    A,
    /// For yachts.
    B,
}

/// A boat at anchor, and her transponder.
#[derive(Clone, Debug, PartialEq)]
pub struct VesselSettings {
    /// Her MMSI.
    pub mmsi: u32,
    /// Her name.
    pub name: Cow<'static, str>,
    /// Class of her transponder.
    pub class: Class,
    /// What she is like.
    pub boat: BoatSettings,
    /// Length over all.
    pub beam: Metres,
    /// Distance of her antenna aft of the stem.
    pub antenna_from_bow: Metres,
    /// Where her anchor lies.
    pub anchor: Offset,
    /// Her rode.
    pub rode: Metres,
}

/// One of them, moved on in steps.
#[derive(Clone, Debug)]
pub struct Vessel {
    settings: VesselSettings,
    /// The boat; what her crew and her anchor do.
    pub boat: Boat,
    dice: Dice,
    error: [GaussMarkov; 4],
    /// When she last reported her position, and her name and size.
    told: [Option<Timestamp>; 2],
}

/// All of them.
#[derive(Clone, Debug, Default)]
pub struct Fleet {
    vessels: Vec<Vessel>,
    /// When their reports began.
    began: Option<Timestamp>,
}

impl Fleet {
    /// They have been at anchor for a quarter of an hour, each dug in.
    #[must_use]
    pub fn lying(settings: &[VesselSettings], step: Duration, sea: &SeaState, seed: u64) -> Self {
        let lay = |(place, settings): (usize, &VesselSettings)| {
            let seed = seed.wrapping_mul(1000).wrapping_add(place as u64 + 1);
            Vessel::lying(settings.clone(), step, sea, seed)
        };
        Self {
            vessels: settings.iter().enumerate().map(lay).collect(),
            began: None,
        }
    }

    /// One of them.
    #[must_use]
    pub fn vessel(&self, name: &str) -> Option<&Vessel> {
        self.vessels.iter().find(|it| it.settings.name == name)
    }

    /// The same, mutable, to make her do something.
    pub fn vessel_mut(&mut self, name: &str) -> Option<&mut Vessel> {
        self.vessels.iter_mut().find(|it| it.settings.name == name)
    }

    /// All of them.
    #[must_use]
    pub fn vessels(&self) -> &[Vessel] {
        &self.vessels
    }

    /// Moves all of them on by one step of the sea.
    pub fn step(&mut self, sea: &SeaState) {
        for vessel in &mut self.vessels {
            vessel.boat.step(sea);
        }
    }

    /// Lets a second pass; returns what is received from them now, as Signal K deltas.
    pub fn speak(&mut self, now: Timestamp, plane: Plane) -> Vec<String> {
        let began = *self.began.get_or_insert(now);
        let since = Duration::from_millis(now.millis_since(began).max(0).unsigned_abs());
        let mut heard = Vec::new();
        for (vessel, first) in self.vessels.iter_mut().zip(0..) {
            // They did not all switch on at the same moment.
            if since >= APART * first {
                vessel.speak(now, plane, &mut heard);
            }
        }
        heard
    }
}

impl Vessel {
    fn lying(settings: VesselSettings, step: Duration, sea: &SeaState, seed: u64) -> Self {
        let ahead = sea.wind_direction();
        let mut boat = Boat::under_way(settings.boat, step, settings.anchor, ahead, seed);
        boat.let_go(sea);
        boat.veer(settings.rode, Speed::of(1.0));
        boat.dig_in();
        let steps = LAIN.as_millis() / step.as_millis().max(1);
        for _ in 0..steps {
            boat.step(sea);
        }
        boat.reckon_from_here();
        let mut dice = Dice::new(seed, Purpose::Neighbour);
        let mut error = |sigma, tau| GaussMarkov::new(sigma, tau, SECOND, &mut dice);
        let error = [
            error(FAST.0, FAST.1),
            error(FAST.0, FAST.1),
            error(SLOW.0, SLOW.1),
            error(SLOW.0, SLOW.1),
        ];
        Self {
            settings,
            boat,
            dice,
            error,
            told: [None; 2],
        }
    }

    /// Who she is and what she is like.
    #[must_use]
    pub const fn settings(&self) -> &VesselSettings {
        &self.settings
    }

    fn speak(&mut self, now: Timestamp, plane: Plane, heard: &mut Vec<String>) {
        for error in &mut self.error {
            error.step(&mut self.dice);
        }
        let due = |told: Option<Timestamp>, every: Duration| {
            told.is_none_or(|told| now >= told.plus(every))
        };
        if due(self.told[1], EACH_STATIC) {
            self.told[1] = Some(now);
            heard.push(self.delta(now, &self.figures()));
        }
        if due(self.told[0], self.every()) {
            self.told[0] = Some(now);
            heard.push(self.delta(now, &self.place(plane)));
        }
    }

    fn every(&self) -> Duration {
        let speed = self.boat.state().velocity.speed();
        let (fast, quick) = match self.settings.class {
            Class::A => (Speed::from_knots(3.0), Duration::from_secs(10)),
            Class::B => (Speed::from_knots(2.0), Duration::from_secs(30)),
        };
        if speed > fast { quick } else { AT_ANCHOR }
    }

    fn figures(&self) -> Vec<Value> {
        let VesselSettings { name, boat, .. } = &self.settings;
        vec![
            json!({"path": "", "value": {"name": name}}),
            json!({"path": "design.length", "value": {"overall": boat.length}}),
            json!({"path": "design.beam", "value": self.settings.beam}),
            json!({"path": "sensors.ais.fromBow", "value": self.settings.antenna_from_bow}),
            json!({"path": "sensors.ais.fromCenter", "value": 0}),
        ]
    }

    fn place(&self, plane: Plane) -> Vec<Value> {
        let state = self.boat.state();
        let bow = state.centre + Offset::polar(state.heading, self.settings.boat.length * 0.5);
        let aft = self.settings.antenna_from_bow;
        let [east, north, east_slow, north_slow] = self.error.each_ref().map(GaussMarkov::value);
        let error = Offset {
            east: east + east_slow,
            north: north + north_slow,
        };
        let antenna = bow + Offset::polar(state.heading.reversed(), aft) + error;
        let fix = plane.position(antenna);
        let knots = (state.velocity.speed().knots() * 10.0).round() / 10.0;
        let course = (state.velocity.bearing().degrees() * 10.0).round() / 10.0;
        let (heading, status) = match self.settings.class {
            Class::A => {
                let at_anchor = state.anchor.is_some();
                let heading = state.heading.degrees().round().to_radians();
                (
                    json!(heading),
                    json!(if at_anchor { "anchored" } else { "motoring" }),
                )
            }
            Class::B => (Value::Null, Value::Null),
        };
        vec![
            json!({"path": "navigation.position", "value": {
                "latitude": ten_thousandth(fix.latitude()),
                "longitude": ten_thousandth(fix.longitude()),
            }}),
            json!({"path": "navigation.speedOverGround", "value": Speed::from_knots(knots)}),
            json!({"path": "navigation.courseOverGroundTrue", "value": course.to_radians()}),
            json!({"path": "navigation.headingTrue", "value": heading}),
            json!({"path": "navigation.state", "value": status}),
        ]
    }

    fn delta(&self, now: Timestamp, values: &[Value]) -> String {
        json!({
            "context": format!("vessels.urn:mrn:imo:mmsi:{:09}", self.settings.mmsi),
            "updates": [{"$source": "ais.VDM", "timestamp": now.to_string(), "values": values}],
        })
        .to_string()
    }
}

/// Of a minute of arc.
fn ten_thousandth(degrees: f64) -> f64 {
    (degrees * 600_000.0).round() / 600_000.0
}

const SECOND: Duration = Duration::from_secs(1);
const AT_ANCHOR: Duration = Duration::from_mins(3);
const EACH_STATIC: Duration = Duration::from_mins(6);
/// From one boat's first report to the next one's.
const APART: Duration = Duration::from_secs(17);
const LAIN: Duration = Duration::from_mins(15);
/// Deviation in metres and correlation time of a receiver's error, as for our own.
const FAST: (f64, Duration) = (1.5, Duration::from_secs(400));
const SLOW: (f64, Duration) = (2.0, Duration::from_secs(5000));

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::boat::tern::BERTH;
    use crate::geodesy::Position;
    use crate::rehearse::sea::{Sea, SeaSettings, WindKnot};
    use crate::units::Bearing;

    const STEP: Duration = Duration::from_millis(250);
    const SOUTH_WEST: f64 = 225.0;

    fn sea() -> Sea {
        let wind = WindKnot::new(Duration::ZERO, SOUTH_WEST, Speed::from_knots(15.0));
        let settings = SeaSettings {
            wind: vec![wind],
            ..SeaSettings::default()
        };
        Sea::new(settings, STEP, 1)
    }

    fn plover(class: Class) -> VesselSettings {
        VesselSettings {
            mmsi: 230_000_017,
            name: "Plover".into(),
            class,
            boat: BoatSettings::default(),
            beam: Metres::of(3.6),
            antenna_from_bow: Metres::of(9.0),
            anchor: Offset {
                east: 200.0,
                north: -50.0,
            },
            rode: Metres::of(40.0),
        }
    }

    /// What is received within `seconds`, and when.
    fn heard(fleet: &mut Fleet, sea: &mut Sea, seconds: u64) -> Vec<(u64, Value)> {
        let start = Timestamp::from_millis(1_780_000_000_000);
        let mut all = Vec::new();
        for second in 0..seconds {
            for _ in 0..4 {
                fleet.step(sea.step());
            }
            let now = start.plus(Duration::from_secs(second));
            for delta in fleet.speak(now, Plane::at(BERTH)) {
                all.push((second, serde_json::from_str(&delta).unwrap()));
            }
        }
        all
    }

    fn value<'a>(delta: &'a Value, path: &str) -> Option<&'a Value> {
        let values = delta["updates"][0]["values"].as_array().unwrap();
        values.iter().find(|it| it["path"] == path)?.get("value")
    }

    #[test]
    fn at_anchor_she_speaks_each_three_minutes_and_lies_down_wind_of_her_anchor() {
        let mut sea = sea();
        let mut fleet = Fleet::lying(&[plover(Class::B)], STEP, sea.state(), 7);
        let all = heard(&mut fleet, &mut sea, 721);
        let places: Vec<_> = all
            .iter()
            .filter_map(|(at, delta)| Some((*at, value(delta, "navigation.position")?)))
            .collect();
        let times: Vec<u64> = places.iter().map(|(at, _)| *at).collect();
        assert_eq!(times, [0, 180, 360, 540, 720]);
        assert_eq!(all.len(), places.len() + 3, "name and size thrice");
        for (_, place) in places {
            let place: Position = serde_json::from_value(place.clone()).unwrap();
            let anchor = Plane::at(BERTH).position(fleet.vessels()[0].settings().anchor);
            let off = anchor.distance_to(place).get();
            // 40 m of rode and 9 m to the antenna, and errors of some metres.
            assert!((30.0..60.0).contains(&off), "{off}");
            let way = anchor.bearing_to(place);
            let down = Bearing::from_degrees(SOUTH_WEST).reversed();
            assert!(way.since(down).degrees().abs() < 60.0, "{way}");
        }
        let (_, last) = all.last().unwrap();
        assert_eq!(last["context"], "vessels.urn:mrn:imo:mmsi:230000017");
        assert_eq!(value(last, "navigation.state"), Some(&Value::Null));
    }

    #[test]
    fn class_a_says_what_she_does_and_speaks_often_under_way() {
        let mut sea = sea();
        let mut fleet = Fleet::lying(&[plover(Class::A)], STEP, sea.state(), 7);
        let all = heard(&mut fleet, &mut sea, 1);
        let place = &all[1].1;
        assert_eq!(value(place, "navigation.state").unwrap(), "anchored");
        assert!(value(place, "navigation.headingTrue").unwrap().is_number());
        let her = fleet.vessel_mut("Plover").unwrap();
        her.boat.weigh();
        let far = Offset {
            east: 900.0,
            north: 900.0,
        };
        her.boat.steam_to(far, Speed::from_knots(5.0));
        let all = heard(&mut fleet, &mut sea, 120);
        let told = all.iter().filter(|(at, delta)| {
            *at >= 60 && value(delta, "navigation.state") == Some(&json!("motoring"))
        });
        assert_eq!(told.count(), 6);
    }
}
