//! A [`Sample`] as the boat's network reports it: as Signal K deltas, or directly as reports.
//!
//! The source labels are those a server gives to devices of a real boat. Both forms carry the same
//! content: the test reads the JSON back. Units and references are those of the Signal K schema
//! 1.8.2.

use serde_json::{Map, Value, json};

use crate::boat::BoatFigures;
use crate::observation::{Fact, FixMethod, Label, Report, Subject};
use crate::rehearse::sensors::{FixQuality, Sample};
use crate::time::Timestamp;
use crate::units::{Angle, Metres};

/// Reports for the instruments of one boat.
#[derive(Clone, Debug)]
pub struct Speech {
    gnss: Label,
    compass: Label,
    wind: Label,
    sounder: Label,
    engine: Label,
    engine_name: Label,
    variation: Option<Angle>,
}

impl Default for Speech {
    fn default() -> Self {
        Self::new(None)
    }
}

impl Speech {
    /// With a variation, positive east, headings are magnetic and the variation is reported with them.
    #[must_use]
    pub fn new(variation: Option<Angle>) -> Self {
        Self {
            gnss: Label::new("gps0.GP"),
            compass: Label::new("compass.HC"),
            wind: Label::new("wind.WI"),
            sounder: Label::new("sounder.SD"),
            engine: Label::new("engine.RP"),
            engine_name: Label::new("main"),
            variation,
        }
    }

    /// The sample as reports: one for each instrument that is not silent.
    #[must_use]
    pub fn reports(&self, sample: &Sample) -> Vec<Report> {
        let mut reports = Vec::with_capacity(5);
        self.each(sample, |source, facts| {
            reports.push(Report {
                subject: Subject::Own,
                source: source.clone(),
                stamp: Some(sample.at),
                facts,
            });
        });
        reports
    }

    /// The sample as one Signal K delta about the own vessel, an update for each instrument.
    #[must_use]
    pub fn delta(&self, sample: &Sample) -> String {
        let mut updates = Vec::with_capacity(5);
        self.each(sample, |source, facts| {
            updates.push(update(source.as_str(), sample.at, &facts));
        });
        json!({"context": "vessels.self", "updates": updates}).to_string()
    }

    fn each(&self, sample: &Sample, mut told: impl FnMut(&Label, Vec<Fact>)) {
        let mut facts = Vec::new();
        if let Some(quality) = sample.quality {
            facts.extend(Self::quality(quality));
        }
        if let Some(fix) = sample.fix.stated() {
            facts.push(Fact::Position(fix.map(|fix| fix.position)));
            facts.push(Fact::SpeedOverGround(fix.map(|fix| fix.speed)));
            facts.push(Fact::CourseOverGround(fix.map(|fix| fix.course)));
        }
        if !facts.is_empty() {
            told(&self.gnss, facts);
        }
        if let Some(heading) = sample.heading.stated() {
            told(
                &self.compass,
                match self.variation {
                    None => vec![Fact::HeadingTrue(heading)],
                    Some(variation) => vec![
                        Fact::MagneticVariation(Some(variation)),
                        Fact::HeadingMagnetic(heading.map(|heading| Angle::of(heading.get()))),
                    ],
                },
            );
        }
        if let Some(wind) = sample.wind.stated() {
            told(
                &self.wind,
                vec![
                    Fact::WindSpeedApparent(wind.map(|(speed, _)| speed)),
                    Fact::WindAngleApparent(wind.map(|(_, angle)| angle)),
                ],
            );
        }
        if let Some(depth) = sample.depth.stated() {
            told(&self.sounder, vec![Fact::DepthBelowTransducer(depth)]);
        }
        if let Some(rate) = sample.revolutions.stated() {
            let engine = self.engine_name.clone();
            told(&self.engine, vec![Fact::Revolutions { engine, rate }]);
        }
    }

    fn quality(quality: FixQuality) -> [Fact; 3] {
        [
            Fact::FixMethod(Some(quality.method)),
            Fact::Satellites(Some(quality.satellites)),
            Fact::HorizontalDilution(Some(quality.dilution)),
        ]
    }
}

/// What does not change: dimensions and where the instruments sit, as reported by a server from its
/// own settings.
#[must_use]
pub fn static_report(name: &str, figures: &BoatFigures, at: Timestamp) -> Report {
    let mut facts = vec![Fact::Name(Some(Label::new(name)))];
    let mut tell = |value: Option<Metres>, fact: fn(Option<Metres>) -> Fact| {
        facts.extend(value.map(|value| fact(Some(value))));
    };
    tell(figures.length, Fact::Length);
    tell(figures.beam, Fact::Beam);
    tell(figures.draught, Fact::Draught);
    tell(figures.antenna_from_bow, Fact::AntennaFromBow);
    tell(figures.antenna_from_centre, Fact::AntennaFromCentre);
    tell(figures.transducer_depth, Fact::SurfaceToTransducer);
    tell(figures.transducer_to_keel, Fact::TransducerToKeel);
    Report {
        subject: Subject::Own,
        source: Label::new("defaults"),
        stamp: Some(at),
        facts,
    }
}

/// [`static_report`] as a Signal K delta about the own vessel.
#[must_use]
pub fn static_delta(name: &str, figures: &BoatFigures, at: Timestamp) -> String {
    let report = static_report(name, figures, at);
    delta(report.source.as_str(), at, &report.facts)
}

/// Facts from one source as a Signal K delta about the own vessel.
#[must_use]
pub fn delta(source: &str, at: Timestamp, facts: &[Fact]) -> String {
    json!({"context": "vessels.self", "updates": [update(source, at, facts)]}).to_string()
}

fn update(source: &str, at: Timestamp, facts: &[Fact]) -> Value {
    json!({"$source": source, "timestamp": at.to_string(), "values": values(facts)})
}

/// Facts as paths with values.
#[must_use]
pub fn values(facts: &[Fact]) -> Vec<Value> {
    facts.iter().filter_map(pair).collect()
}

/// A fact as a path and a value of the schema; `None` for facts that no instrument here reports.
fn pair(fact: &Fact) -> Option<Value> {
    let (path, value) = match fact {
        Fact::FixMethod(method) => (
            "navigation.gnss.methodQuality",
            json!(method.map(method_word)),
        ),
        Fact::Satellites(count) => ("navigation.gnss.satellites", json!(count)),
        Fact::HorizontalDilution(value) => ("navigation.gnss.horizontalDilution", json!(value)),
        Fact::Position(position) => ("navigation.position", json!(position)),
        Fact::SpeedOverGround(speed) => ("navigation.speedOverGround", json!(speed)),
        Fact::CourseOverGround(course) => ("navigation.courseOverGroundTrue", json!(course)),
        Fact::HeadingTrue(heading) => ("navigation.headingTrue", json!(heading)),
        // A bearing from magnetic north on the bus, 0..2π.
        Fact::HeadingMagnetic(heading) => (
            "navigation.headingMagnetic",
            json!(heading.map(|angle| angle.get().rem_euclid(std::f64::consts::TAU))),
        ),
        Fact::MagneticVariation(angle) => ("navigation.magneticVariation", json!(angle)),
        Fact::WindSpeedApparent(speed) => ("environment.wind.speedApparent", json!(speed)),
        Fact::WindAngleApparent(angle) => ("environment.wind.angleApparent", json!(angle)),
        Fact::WindSpeedTrue(speed) => ("environment.wind.speedTrue", json!(speed)),
        Fact::WindDirectionTrue(bearing) => ("environment.wind.directionTrue", json!(bearing)),
        Fact::DepthBelowTransducer(depth) => ("environment.depth.belowTransducer", json!(depth)),
        Fact::DepthBelowSurface(depth) => ("environment.depth.belowSurface", json!(depth)),
        Fact::TideNow(height) => ("environment.tide.heightNow", json!(height)),
        Fact::TideHigh(height) => ("environment.tide.heightHigh", json!(height)),
        Fact::TideTimeHigh(at) => ("environment.tide.timeHigh", json!(at)),
        Fact::TideLow(height) => ("environment.tide.heightLow", json!(height)),
        Fact::TideTimeLow(at) => ("environment.tide.timeLow", json!(at)),
        Fact::SurfaceToTransducer(depth) => ("environment.depth.surfaceToTransducer", json!(depth)),
        Fact::TransducerToKeel(depth) => ("environment.depth.transducerToKeel", json!(depth)),
        Fact::Revolutions { engine, rate } => {
            let path = format!("propulsion.{engine}.revolutions");
            return Some(json!({"path": path, "value": rate}));
        }
        Fact::Length(length) => ("design.length", json!({"overall": length})),
        Fact::Beam(beam) => ("design.beam", json!(beam)),
        Fact::Draught(draught) => ("design.draft", json!({"maximum": draught})),
        Fact::AntennaFromBow(distance) => ("sensors.gps.fromBow", json!(distance)),
        Fact::AntennaFromCentre(distance) => ("sensors.gps.fromCenter", json!(distance)),
        Fact::Name(name) => {
            let mut root = Map::new();
            root.insert("name".to_owned(), json!(name));
            ("", Value::Object(root))
        }
        Fact::FixIntegrity(_)
        | Fact::SpeedThroughWater(_)
        | Fact::WindSpeedOverGround(_)
        | Fact::WindAngleTrueWater(_)
        | Fact::WindAngleTrueGround(_)
        | Fact::WindDirectionMagnetic(_)
        | Fact::DepthBelowKeel(_)
        | Fact::RodeCounter(_)
        | Fact::HouseVoltage(_)
        | Fact::NavState(_)
        | Fact::ShipType(_) => return None,
    };
    Some(json!({"path": path, "value": value}))
}

fn method_word(method: FixMethod) -> &'static str {
    match method {
        FixMethod::NoFix => "no GPS",
        FixMethod::Satellite => "GNSS Fix",
        FixMethod::DeadReckoning => "Estimated (DR) mode",
        FixMethod::Manual => "Manual input",
        FixMethod::Simulator => "Simulator mode",
        FixMethod::Error => "Error",
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::geodesy::Position;
    use crate::rehearse::sensors::{Fix, Reading};
    use crate::units::{Bearing, Hertz, Speed};

    fn sample() -> Sample {
        Sample {
            at: "2026-06-01T21:30:00.250Z".parse().unwrap(),
            quality: Some(FixQuality {
                method: FixMethod::Satellite,
                satellites: 12,
                dilution: 0.9,
            }),
            fix: Reading::Value(Fix {
                position: Position::new(59.8539, 23.26).unwrap(),
                speed: Speed::of(0.25),
                course: Bearing::of(1.5),
            }),
            heading: Reading::Value(Bearing::of(4.5)),
            wind: Reading::Value((Speed::of(8.0), Angle::of(-0.5))),
            depth: Reading::Lost,
            revolutions: Reading::Silent,
        }
    }

    fn update<'a>(delta: &'a Value, source: &str) -> Option<&'a Value> {
        let updates = delta["updates"].as_array()?;
        updates.iter().find(|update| update["$source"] == source)
    }

    fn value<'a>(delta: &'a Value, source: &str, path: &str) -> Option<&'a Value> {
        let values = update(delta, source)?["values"].as_array()?;
        values
            .iter()
            .find(|value| value["path"] == path)?
            .get("value")
    }

    #[test]
    fn a_delta_says_what_the_instruments_say_with_their_labels() {
        let delta: Value = serde_json::from_str(&Speech::default().delta(&sample())).unwrap();
        assert_eq!(delta["context"], "vessels.self");
        for source in ["gps0.GP", "compass.HC", "wind.WI", "sounder.SD"] {
            let update = update(&delta, source).unwrap();
            assert_eq!(update["timestamp"], "2026-06-01T21:30:00.250Z");
        }
        let gnss = |path| value(&delta, "gps0.GP", path).unwrap();
        assert_eq!(
            gnss("navigation.position"),
            &json!({"latitude": 59.8539, "longitude": 23.26})
        );
        assert_eq!(gnss("navigation.speedOverGround"), &json!(0.25));
        assert_eq!(gnss("navigation.courseOverGroundTrue"), &json!(1.5));
        assert_eq!(gnss("navigation.gnss.methodQuality"), "GNSS Fix");
        assert_eq!(gnss("navigation.gnss.satellites"), &json!(12));
        let of = |source, path| value(&delta, source, path).unwrap();
        assert_eq!(of("compass.HC", "navigation.headingTrue"), &json!(4.5));
        assert_eq!(
            of("wind.WI", "environment.wind.angleApparent"),
            &json!(-0.5)
        );
        // Lost is null; silent is nothing.
        assert_eq!(
            of("sounder.SD", "environment.depth.belowTransducer"),
            &Value::Null
        );
        assert!(update(&delta, "engine.RP").is_none());
    }

    #[test]
    fn reports_say_the_same_and_put_the_quality_before_the_fix() {
        let mut sample = sample();
        sample.revolutions = Reading::Value(Hertz::of(40.0));
        let reports = Speech::default().reports(&sample);
        let sources: Vec<&str> = reports
            .iter()
            .map(|report| report.source.as_str())
            .collect();
        assert_eq!(
            sources,
            [
                "gps0.GP",
                "compass.HC",
                "wind.WI",
                "sounder.SD",
                "engine.RP"
            ]
        );
        assert!(reports.iter().all(|report| report.stamp == Some(sample.at)));
        assert_eq!(
            reports[0].facts[0],
            Fact::FixMethod(Some(FixMethod::Satellite))
        );
        assert_eq!(
            reports[0].facts[3],
            Fact::Position(Position::new(59.8539, 23.26).ok())
        );
        assert_eq!(reports[3].facts, [Fact::DepthBelowTransducer(None)]);
        let delta: Value = serde_json::from_str(&Speech::default().delta(&sample)).unwrap();
        let told = delta["updates"].as_array().unwrap();
        assert_eq!(told.len(), reports.len());
        for (update, report) in told.iter().zip(&reports) {
            assert_eq!(update["$source"], report.source.as_str());
            assert_eq!(
                update["values"].as_array().unwrap().len(),
                report.facts.len()
            );
        }
    }

    #[test]
    fn a_magnetic_heading_comes_as_a_bearing_with_its_variation() {
        let speech = Speech::new(Some(Angle::from_degrees(8.0)));
        let delta: Value = serde_json::from_str(&speech.delta(&sample())).unwrap();
        let magnetic = value(&delta, "compass.HC", "navigation.headingMagnetic").unwrap();
        assert!((magnetic.as_f64().unwrap() - 4.5).abs() < 1e-12);
        assert!(value(&delta, "compass.HC", "navigation.magneticVariation").is_some());
        assert!(value(&delta, "compass.HC", "navigation.headingTrue").is_none());
    }

    #[test]
    fn what_does_not_change_is_told_as_the_server_s_defaults() {
        let figures = BoatFigures {
            length: Some(Metres::of(11.2)),
            draught: Some(Metres::of(1.9)),
            antenna_from_bow: Some(Metres::of(9.1)),
            antenna_from_centre: Some(Metres::of(0.3)),
            ..BoatFigures::default()
        };
        let delta = static_delta("Tern", &figures, Timestamp::EPOCH);
        let delta: Value = serde_json::from_str(&delta).unwrap();
        let of = |path| value(&delta, "defaults", path);
        assert_eq!(of(""), Some(&json!({"name": "Tern"})));
        assert_eq!(of("design.length"), Some(&json!({"overall": 11.2})));
        assert_eq!(of("design.draft"), Some(&json!({"maximum": 1.9})));
        assert_eq!(of("sensors.gps.fromBow"), Some(&json!(9.1)));
        assert_eq!(of("sensors.gps.fromCenter"), Some(&json!(0.3)));
        assert_eq!(of("design.beam"), None);
        assert_eq!(
            static_report("Tern", &figures, Timestamp::EPOCH)
                .facts
                .len(),
            5
        );
    }
}
