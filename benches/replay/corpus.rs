//! A recorded night in memory, and plain typed parsing of it.

use std::borrow::Cow;
use std::fmt::{self, Write as _};
use std::io;

use serde::Deserialize;
use serde::de::{self, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::{Value, json};
use windrode::boat::tern::{BERTH, Tern, figures};
use windrode::geodesy::{Offset, Plane, Position};
use windrode::observation::{Fact, FixMethod};
use windrode::rehearse::speech::values;
use windrode::replay::{Listener, ReplayOptions, replay};
use windrode::time::Timestamp;
use windrode::units::{Angle, Bearing, Metres, Speed};
use windrode::watch::messages::{Event, LetGo};
use windrode::watch::settings::WatchSettings;

/// Nine lines a second, as a server's stream at anchor has them: fix with course and speed, the
/// receiver's quality, heading and wind twice, depth, the house battery, another vessel.
pub(crate) fn night(seconds: u32) -> String {
    let mut lines = String::new();
    let own = "vessels.urn:mrn:imo:mmsi:230099999";
    let plane = Plane::at(BERTH);
    let mut tern = Tern::at_berth();
    for second in 0..seconds {
        let stamp = Timestamp::from_millis(START_MS + i64::from(second) * 1000);
        let sheer = 0.5 * (f64::from(second) / 50.0).sin();
        tern.wind_from = Bearing::of(0.7 + sheer);
        tern.lie(Metres::of(30.0));
        let mut line = |context: &str, source: &str, values: &[Value]| {
            let update = json!({"$source": source, "timestamp": stamp, "values": values});
            let _ = writeln!(
                lines,
                "{}",
                json!({"context": context, "updates": [update]})
            );
        };
        let fix = |position: Position, speed: f64| {
            values(&[
                Fact::Position(Some(Position::of(
                    rounded(position.latitude(), 1e7),
                    rounded(position.longitude(), 1e7),
                ))),
                Fact::SpeedOverGround(Speed::new(rounded(speed, 1e2))),
            ])
        };
        let mut own_fix = fix(plane.position(tern.antenna()), 0.3 + 0.2 * sheer);
        own_fix.extend(values(&[Fact::CourseOverGround(Bearing::new(1.2043))]));
        line(own, "gps0.GP", &own_fix);
        let quality = [
            Fact::FixMethod(Some(FixMethod::Satellite)),
            Fact::Satellites(Some(11)),
            Fact::HorizontalDilution(Some(0.9)),
        ];
        line(own, "gps0.GP", &values(&quality));
        for part in [0.0, 0.5] {
            let heading = rounded(0.7 + sheer + part * 0.01, 1e4);
            let heading = [Fact::HeadingTrue(Bearing::new(heading))];
            line(own, "compass.HC", &values(&heading));
            let wind = [
                Fact::WindSpeedApparent(Speed::new(7.0 + part)),
                Fact::WindAngleApparent(Angle::new(rounded(0.1 - sheer, 1e3))),
            ];
            line(own, "wind.WI", &values(&wind));
        }
        let depth = [Fact::DepthBelowTransducer(Metres::new(rounded(
            7.5 + 0.1 * sheer,
            10.0,
        )))];
        line(own, "sounder.SD", &values(&depth));
        let battery = json!({"path": "electrical.batteries.house.voltage", "value": 12.71});
        line(own, "battery.0", &[battery]);
        let vessel = second % 30;
        let north = Offset {
            east: 0.0,
            north: 220.0 + 11.0 * f64::from(vessel),
        };
        let context = format!("vessels.urn:mrn:imo:mmsi:{}", 265_000_000 + vessel);
        line(&context, "ais.AI", &fix(plane.position(north), 0.1));
    }
    lines
}

/// Rounded as instruments give it, with this many steps to a unit.
fn rounded(value: f64, steps: f64) -> f64 {
    (value * steps).round() / steps
}

/// Typed parsing alone: every line into borrowed structures, every value by a hand-written visitor;
/// nothing is searched and nothing judged. Returns the number of values, so that none can be
/// skipped.
pub(crate) fn typed(night: &str) -> u64 {
    let mut values = 0;
    for line in night.lines() {
        if let Ok(delta) = serde_json::from_str::<Delta<'_>>(line) {
            for update in &delta.updates {
                values += update.values.len() as u64;
                std::hint::black_box((&update.source, &update.timestamp));
            }
            std::hint::black_box(&delta);
        }
    }
    values
}

/// The whole of `windrode replay`: parse, intake, watch, alert desk; anchored from the tenth second
/// on. Returns the number of lines and of events.
pub(crate) fn whole(night: &'static str) -> (u64, u64) {
    let options = ReplayOptions {
        settings: WatchSettings {
            boat: figures(),
            ..WatchSettings::default()
        },
        let_go: Some((
            Timestamp::from_millis(START_MS + 10_000),
            LetGo {
                rode: Metres::new(40.0),
                ..LetGo::default()
            },
        )),
        ..ReplayOptions::default()
    };
    let mut quiet = Quiet;
    replay(night.as_bytes(), &options, &mut quiet)
        .map_or((0, 0), |counts| (counts.lines - counts.bad, counts.events))
}

struct Quiet;

impl Listener for Quiet {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        std::hint::black_box(event);
        Ok(())
    }

    fn bad_line(&mut self, _: u64, _: &str) -> io::Result<()> {
        Ok(())
    }
}

#[derive(Deserialize)]
struct Delta<'a> {
    #[serde(borrow)]
    #[expect(dead_code, reason = "parsed, and that is all")]
    context: Option<Cow<'a, str>>,
    #[serde(borrow)]
    updates: Vec<Update<'a>>,
}

#[derive(Deserialize)]
struct Update<'a> {
    #[serde(borrow, rename = "$source")]
    source: Option<Cow<'a, str>>,
    #[serde(borrow)]
    timestamp: Option<Cow<'a, str>>,
    #[serde(borrow)]
    values: Vec<Pair<'a>>,
}

#[derive(Deserialize)]
struct Pair<'a> {
    #[serde(borrow)]
    #[expect(dead_code, reason = "parsed, and that is all")]
    path: Cow<'a, str>,
    #[serde(borrow)]
    #[expect(dead_code, reason = "parsed, and that is all")]
    value: Scalar<'a>,
}

#[expect(dead_code, reason = "parsed, and that is all")]
enum Scalar<'a> {
    Null,
    Bool(bool),
    Number(f64),
    Text(Cow<'a, str>),
    Place(f64, f64),
}

impl<'de: 'a, 'a> Deserialize<'de> for Scalar<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Any;
        impl<'de> Visitor<'de> for Any {
            type Value = Scalar<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("JSON")
            }
            fn visit_unit<E: de::Error>(self) -> Result<Scalar<'de>, E> {
                Ok(Scalar::Null)
            }
            fn visit_bool<E: de::Error>(self, value: bool) -> Result<Scalar<'de>, E> {
                Ok(Scalar::Bool(value))
            }
            fn visit_f64<E: de::Error>(self, value: f64) -> Result<Scalar<'de>, E> {
                Ok(Scalar::Number(value))
            }
            fn visit_u64<E: de::Error>(self, value: u64) -> Result<Scalar<'de>, E> {
                Ok(Scalar::Number(value as f64))
            }
            fn visit_i64<E: de::Error>(self, value: i64) -> Result<Scalar<'de>, E> {
                Ok(Scalar::Number(value as f64))
            }
            fn visit_borrowed_str<E: de::Error>(self, value: &'de str) -> Result<Scalar<'de>, E> {
                Ok(Scalar::Text(Cow::Borrowed(value)))
            }
            fn visit_str<E: de::Error>(self, value: &str) -> Result<Scalar<'de>, E> {
                Ok(Scalar::Text(Cow::Owned(value.to_owned())))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Scalar<'de>, A::Error> {
                while seq.next_element::<IgnoredAny>()?.is_some() {}
                Ok(Scalar::Null)
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Scalar<'de>, A::Error> {
                let (mut latitude, mut longitude) = (0.0, 0.0);
                while let Some(key) = map.next_key::<Cow<'_, str>>()? {
                    match key.as_ref() {
                        "latitude" => latitude = map.next_value()?,
                        "longitude" => longitude = map.next_value()?,
                        _ => drop(map.next_value::<IgnoredAny>()?),
                    }
                }
                Ok(Scalar::Place(latitude, longitude))
            }
        }
        deserializer.deserialize_any(Any)
    }
}

/// 2026-06-01T20:00:00Z.
const START_MS: i64 = 1_780_344_000_000;
