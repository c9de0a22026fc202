//! A recorded night in memory, and typed parsing of it with nothing else.

use std::borrow::Cow;
use std::fmt::{self, Write as _};
use std::io;

use serde::Deserialize;
use serde::de::{self, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use windrode::boat::BoatFigures;
use windrode::replay::{Listener, ReplayOptions, replay};
use windrode::time::Timestamp;
use windrode::units::Metres;
use windrode::watch::messages::{Event, LetGo};
use windrode::watch::settings::WatchSettings;

/// Nine lines a second, as a server's stream at anchor has them: fix with course and speed, the
/// receiver's quality, heading and wind twice, depth, the house battery, another vessel.
pub(crate) fn night(seconds: u32) -> String {
    let mut lines = String::new();
    let own = "vessels.urn:mrn:imo:mmsi:230099999";
    for second in 0..seconds {
        let t = f64::from(second);
        let stamp = Timestamp::from_millis(START_MS + i64::from(second) * 1000);
        let sheer = 0.5 * (t / 50.0).sin();
        let (north, east) = (-30.0 * sheer.cos(), 30.0 * sheer.sin());
        let (latitude, longitude) = (59.8539 + north / 111_200.0, 23.26 + east / 56_000.0);
        let mut line = |context: &str, source: &str, values: &str| {
            let _ = writeln!(
                lines,
                r#"{{"context":"{context}","updates":[{{"$source":"{source}","timestamp":"{stamp}","values":[{values}]}}]}}"#
            );
        };
        line(
            own,
            "gps0.GP",
            &format!(
                r#"{{"path":"navigation.position","value":{{"latitude":{latitude:.7},"longitude":{longitude:.7}}}}},{{"path":"navigation.speedOverGround","value":{:.2}}},{{"path":"navigation.courseOverGroundTrue","value":1.2043}}"#,
                0.3 + 0.2 * sheer
            ),
        );
        line(
            own,
            "gps0.GP",
            r#"{"path":"navigation.gnss.methodQuality","value":"GNSS Fix"},{"path":"navigation.gnss.satellites","value":11},{"path":"navigation.gnss.horizontalDilution","value":0.9}"#,
        );
        for half in 0..2 {
            let part = f64::from(half) / 2.0;
            line(
                own,
                "compass.HC",
                &format!(
                    r#"{{"path":"navigation.headingTrue","value":{:.4}}}"#,
                    0.7 + sheer + part * 0.01
                ),
            );
            line(
                own,
                "wind.WI",
                &format!(
                    r#"{{"path":"environment.wind.speedApparent","value":{:.1}}},{{"path":"environment.wind.angleApparent","value":{:.3}}}"#,
                    7.0 + part,
                    0.1 - sheer
                ),
            );
        }
        line(
            own,
            "sounder.SD",
            &format!(
                r#"{{"path":"environment.depth.belowTransducer","value":{:.1}}}"#,
                7.5 + 0.1 * sheer
            ),
        );
        line(
            own,
            "battery.0",
            r#"{"path":"electrical.batteries.house.voltage","value":12.71}"#,
        );
        let vessel = 265_000_000 + second % 30;
        line(
            &format!("vessels.urn:mrn:imo:mmsi:{vessel}"),
            "ais.AI",
            &format!(
                r#"{{"path":"navigation.position","value":{{"latitude":{:.6},"longitude":{longitude:.6}}}}},{{"path":"navigation.speedOverGround","value":0.1}}"#,
                latitude + 0.002 + f64::from(second % 30) * 1e-4
            ),
        );
    }
    lines
}

/// Typed parsing alone: every line into borrowed structures, every value by a hand-written
/// visitor; nothing is looked for, nothing judged. The number of values, so that none is left out.
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

/// The whole of `windrode replay`, as it stands: parse, intake, watch, alert desk; anchored from
/// the tenth second on. The number of lines, and of events.
pub(crate) fn whole(night: &'static str) -> (u64, u64) {
    let options = ReplayOptions {
        settings: WatchSettings {
            boat: BoatFigures {
                length: Some(Metres::of(11.2)),
                roller_height: Some(Metres::of(1.2)),
                antenna_from_bow: Some(Metres::of(9.1)),
                transducer_depth: Some(Metres::of(0.5)),
                draught: Some(Metres::of(1.9)),
                ..BoatFigures::default()
            },
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
