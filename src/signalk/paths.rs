//! The one table of what is read: Signal K path, reference and unit, and the fact it becomes.
//!
//! Names, units and references are those of the schema 1.8.2: SI, radians, `True` and `Magnetic` in
//! the path's name. `headingCompass` is left out on purpose: without a deviation table it is not a
//! heading. A value that its path does not allow (a text for a depth, a latitude of 91°, a heading
//! of 350 "radians") becomes the fact with `None`, "the sensor gives nothing usable", and a
//! [`Fault`] that says why; a `null` becomes the same fact without a fault.
//!
//! The table also gives the subscriptions. `policy` is `instant` or the default with `period`. It is
//! never `minPeriod`, which the server applies to a path across all sources and vessels (it
//! delivered only one of two receivers, and one of twenty other vessels), and never `ideal`, which
//! the server refuses.

mod ais;

use serde_json::{Value, json};

use super::wire::Wire;
use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::observation::{Fact, FixIntegrity, FixMethod, Label, NavState};
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};

/// The parent path of our own values and commands.
pub const WATCH: &str = "navigation.anchor.watch.";

/// The counter that proves that our values arrive.
pub const HEARTBEAT: &str = "navigation.anchor.watch.heartbeat";

/// The title of the night of a drill. Only a drill publishes it.
pub const DRILL: &str = "navigation.anchor.watch.drill";

/// The parent path of our notifications, one for each hazard.
pub const NOTIFICATIONS: &str = "notifications.navigation.anchor.";

/// One row of the table, given by its index.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PathId(usize);

/// Why a value is not what its path promises. The text does not contain the value, so that a broken
/// sensor causes only a few different messages.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// Another JSON type.
    #[error("is {0}, no {1}")]
    Kind(&'static str, &'static str),
    /// The right type, an impossible value.
    #[error("is no {0} that can be")]
    Range(&'static str),
    /// A word that is not in the schema.
    #[error("is no word of the schema")]
    Word,
}

/// A value to be read as a fact.
pub struct Seen<'a> {
    path: &'a str,
    value: &'a Wire<'a>,
    fault: Option<Fault>,
}

/// Finds a path in the table.
#[must_use]
pub fn find(path: &str) -> Option<PathId> {
    if let Some(place) = TABLE.iter().position(|row| row.path == path) {
        return Some(PathId(place));
    }
    engine(path)?;
    TABLE.iter().position(|row| row.path == ENGINES).map(PathId)
}

/// Whether the path is read at all: a fact, our notifications or our heartbeat.
#[must_use]
pub fn wanted(path: &str) -> bool {
    find(path).is_some() || path == HEARTBEAT || hazard(path).is_some()
}

/// The hazard to which this notification path belongs.
#[must_use]
pub fn hazard(path: &str) -> Option<Hazard> {
    path.strip_prefix(NOTIFICATIONS)?.parse().ok()
}

impl PathId {
    /// The path, with `*` for an engine's name.
    #[must_use]
    pub fn path(self) -> &'static str {
        TABLE.get(self.0).map_or("", |row| row.path)
    }

    /// Whether it is read of our own vessel, or of another one.
    #[must_use]
    pub fn is_read_of(self, own: bool) -> bool {
        TABLE.get(self.0).is_some_and(|row| match row.of {
            Of::Own => own,
            Of::Others => !own,
            Of::All => true,
        })
    }

    /// As [`Self::fact`], for another vessel: a placeholder that her transponder sends for an
    /// unknown value becomes the fact with `None`, without a fault.
    #[must_use]
    pub fn fact_of_other(self, path: &str, value: &Wire<'_>) -> (Option<Fact>, Option<Fault>) {
        if ais::is_not_available(path, value) {
            return self.fact(path, &Wire::Null);
        }
        self.fact(path, value)
    }

    /// Reads the value. Returns `None` if the path carries several attributes and the one we read is
    /// not among them.
    #[must_use]
    pub fn fact(self, path: &str, value: &Wire<'_>) -> (Option<Fact>, Option<Fault>) {
        let Some(row) = TABLE.get(self.0) else {
            return (None, None);
        };
        let mut seen = Seen {
            path,
            value,
            fault: None,
        };
        let fact = (row.read)(&mut seen);
        (fact, seen.fault)
    }
}

/// Whether the fact describes the quality of a fix. It goes before the fix it belongs to.
#[must_use]
pub fn is_quality(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::FixMethod(_)
            | Fact::FixIntegrity(_)
            | Fact::Satellites(_)
            | Fact::HorizontalDilution(_)
    )
}

/// Paths that differ from boat to boat and are configured.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OwnPaths {
    /// The windlass's rode counter, for which the schema has no path.
    pub counter: Option<String>,
    /// The voltage of the house battery, one of several batteries.
    pub battery: Option<String>,
}

impl OwnPaths {
    fn all(&self) -> impl Iterator<Item = &str> {
        [&self.counter, &self.battery]
            .into_iter()
            .filter_map(Option::as_deref)
    }

    /// Whether the path is one of them.
    #[must_use]
    pub fn has(&self, path: &str) -> bool {
        self.all().any(|own| own == path)
    }
}

/// The subscribe messages to send after the greeting, in this order.
#[must_use]
pub fn subscriptions(own_paths: &OwnPaths) -> Vec<String> {
    let instant = |path: &str| json!({"path": path, "policy": "instant"});
    let own: Vec<Value> = TABLE
        .iter()
        .filter(|row| row.of != Of::Others)
        .map(|row| row.path)
        .chain([HEARTBEAT])
        .chain(own_paths.all())
        .map(instant)
        .chain([instant(&format!("{NOTIFICATIONS}*"))])
        .collect();
    let others: Vec<Value> = TABLE
        .iter()
        .filter(|row| row.of != Of::Own)
        .map(|row| json!({"path": row.path, "period": OTHERS_PERIOD_MS}))
        .collect();
    vec![
        json!({"context": "vessels.self", "subscribe": own}).to_string(),
        json!({"context": "vessels.*", "subscribe": others}).to_string(),
    ]
}

impl Seen<'_> {
    fn number<T>(&mut self, what: &'static str, make: impl Fn(f64) -> Option<T>) -> Option<T> {
        let made = match self.value {
            Wire::Null => return None,
            Wire::Number(number) => make(*number),
            Wire::Bool(_) | Wire::Text(_) | Wire::Position { .. } | Wire::Other(_) => {
                self.fault = Some(Fault::Kind(self.value.kind(), what));
                return None;
            }
        };
        if made.is_none() {
            self.fault = Some(Fault::Range(what));
        }
        made
    }

    fn metres(&mut self) -> Option<Metres> {
        self.number("length in metres", Metres::new)
    }

    fn speed(&mut self) -> Option<Speed> {
        self.number("speed in m/s", Speed::new)
    }

    /// One turn either way: anything beyond is in degrees, or nonsense.
    fn bearing(&mut self) -> Option<Bearing> {
        self.number("direction in radians", |radians| {
            (radians.abs() <= ONE_TURN)
                .then(|| Bearing::new(radians))
                .flatten()
        })
    }

    fn angle(&mut self) -> Option<Angle> {
        self.number("angle in radians", |radians| {
            (radians.abs() <= ONE_TURN)
                .then(|| Angle::new(radians))
                .flatten()
        })
    }

    fn hertz(&mut self) -> Option<Hertz> {
        self.number("frequency in hertz", Hertz::new)
    }

    fn dilution(&mut self) -> Option<f64> {
        self.number("dilution", |value| (value >= 0.0).then_some(value))
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the range is checked just before"
    )]
    fn count(&mut self) -> Option<u32> {
        self.number("count", |value| {
            (value.fract() == 0.0 && (0.0..=1000.0).contains(&value)).then_some(value as u32)
        })
    }

    fn position(&mut self) -> Option<Position> {
        let made = match self.value {
            Wire::Null => return None,
            Wire::Position {
                latitude,
                longitude,
            } => Position::new(*latitude, *longitude).ok(),
            Wire::Other(Value::Object(parts)) if lost(parts) => return None,
            Wire::Bool(_) | Wire::Number(_) | Wire::Text(_) | Wire::Other(_) => {
                self.fault = Some(Fault::Kind(self.value.kind(), "position"));
                return None;
            }
        };
        if made.is_none() {
            self.fault = Some(Fault::Range("position"));
        }
        made
    }

    fn word<T>(&mut self, known: impl Fn(&str) -> Option<T>) -> Option<T> {
        match self.value {
            Wire::Null => None,
            Wire::Text(text) => {
                let word = known(text);
                if word.is_none() {
                    self.fault = Some(Fault::Word);
                }
                word
            }
            Wire::Bool(_) | Wire::Number(_) | Wire::Position { .. } | Wire::Other(_) => {
                self.fault = Some(Fault::Kind(self.value.kind(), "text"));
                None
            }
        }
    }

    /// A number inside an object, such as `overall` in `design.length`; unknown if the object has no
    /// such member.
    fn member(&mut self, name: &str) -> Option<Metres> {
        let member = match self.value {
            Wire::Null => return None,
            Wire::Other(Value::Object(parts)) => parts.get(name),
            Wire::Bool(_)
            | Wire::Number(_)
            | Wire::Text(_)
            | Wire::Position { .. }
            | Wire::Other(_) => {
                self.fault = Some(Fault::Kind(self.value.kind(), "object of lengths"));
                return None;
            }
        };
        match member {
            None | Some(Value::Null) => None,
            Some(Value::Number(number)) => number.as_f64().and_then(Metres::new),
            Some(Value::Bool(_) | Value::String(_) | Value::Array(_) | Value::Object(_)) => {
                self.fault = Some(Fault::Kind(
                    "an object without numbers",
                    "object of lengths",
                ));
                None
            }
        }
    }

    /// An unknown word counts as no value, without a fault: there are many words, and others may be
    /// added.
    fn state(&mut self) -> Option<NavState> {
        let state = self.word(|word| Some(NavState::from_schema(word)));
        state.flatten()
    }

    fn ship_type(&mut self) -> Option<u32> {
        let Wire::Other(Value::Object(parts)) = self.value else {
            return None;
        };
        let id = parts.get("id")?.as_u64()?;
        u32::try_from(id).ok().filter(|id| *id < 100)
    }

    fn vessel_name(&mut self) -> Option<Fact> {
        let Wire::Other(Value::Object(parts)) = self.value else {
            return None;
        };
        match parts.get("name")? {
            Value::String(name) => {
                let name: String = name.chars().take(NAME_LENGTH).collect();
                Some(Fact::Name(Some(Label::new(name.trim()))))
            }
            Value::Null => Some(Fact::Name(None)),
            Value::Bool(_) | Value::Number(_) | Value::Array(_) | Value::Object(_) => {
                self.fault = Some(Fault::Kind("a name that is no text", "text"));
                Some(Fact::Name(None))
            }
        }
    }
}

/// A receiver without a fix may send the coordinates as nulls.
fn lost(parts: &serde_json::Map<String, Value>) -> bool {
    let null = |name| parts.get(name).is_some_and(Value::is_null);
    null("latitude") || null("longitude")
}

/// The engine's name in `propulsion.<id>.revolutions`.
fn engine(path: &str) -> Option<&str> {
    path.strip_prefix("propulsion.")?
        .strip_suffix(".revolutions")
        .filter(|id| !id.is_empty() && !id.contains('.'))
}

/// The vessels for which a path is read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Of {
    Own,
    Others,
    All,
}

struct Row {
    path: &'static str,
    of: Of,
    read: fn(&mut Seen<'_>) -> Option<Fact>,
}

const fn own(path: &'static str, read: fn(&mut Seen<'_>) -> Option<Fact>) -> Row {
    Row {
        path,
        of: Of::Own,
        read,
    }
}

const fn any(path: &'static str, read: fn(&mut Seen<'_>) -> Option<Fact>) -> Row {
    Row {
        path,
        of: Of::All,
        read,
    }
}

const fn others(path: &'static str, read: fn(&mut Seen<'_>) -> Option<Fact>) -> Row {
    Row {
        path,
        of: Of::Others,
        read,
    }
}

/// The AIS reporting interval of a vessel at anchor is 3 min, under way 2-10 s (ITU-R M.1371,
/// table 1): a fix each 5 s is enough to judge a neighbour.
const OTHERS_PERIOD_MS: u32 = 5000;

/// A turn and a hundredth: some senders round 2π up.
const ONE_TURN: f64 = std::f64::consts::TAU + 0.01;

/// AIS names have 20 characters (ITU-R M.1371, message 5); own names may be longer.
const NAME_LENGTH: usize = 64;

const ENGINES: &str = "propulsion.*.revolutions";

/// The rows that are sent most often stand first, because the search is linear.
static TABLE: [Row; 40] = [
    any("navigation.position", |s| {
        Some(Fact::Position(s.position()))
    }),
    any("navigation.speedOverGround", |s| {
        Some(Fact::SpeedOverGround(s.speed()))
    }),
    any("navigation.courseOverGroundTrue", |s| {
        Some(Fact::CourseOverGround(s.bearing()))
    }),
    any("navigation.headingTrue", |s| {
        Some(Fact::HeadingTrue(s.bearing()))
    }),
    own("navigation.headingMagnetic", |s| {
        Some(Fact::HeadingMagnetic(s.angle()))
    }),
    own("environment.wind.speedApparent", |s| {
        Some(Fact::WindSpeedApparent(s.speed()))
    }),
    own("environment.wind.angleApparent", |s| {
        Some(Fact::WindAngleApparent(s.angle()))
    }),
    own("environment.wind.speedTrue", |s| {
        Some(Fact::WindSpeedTrue(s.speed()))
    }),
    own("environment.wind.speedOverGround", |s| {
        Some(Fact::WindSpeedOverGround(s.speed()))
    }),
    own("environment.wind.angleTrueWater", |s| {
        Some(Fact::WindAngleTrueWater(s.angle()))
    }),
    own("environment.wind.angleTrueGround", |s| {
        Some(Fact::WindAngleTrueGround(s.angle()))
    }),
    own("environment.wind.directionTrue", |s| {
        Some(Fact::WindDirectionTrue(s.bearing()))
    }),
    own("environment.wind.directionMagnetic", |s| {
        Some(Fact::WindDirectionMagnetic(s.angle()))
    }),
    own("environment.depth.belowTransducer", |s| {
        Some(Fact::DepthBelowTransducer(s.metres()))
    }),
    own("environment.depth.belowKeel", |s| {
        Some(Fact::DepthBelowKeel(s.metres()))
    }),
    own("environment.depth.belowSurface", |s| {
        Some(Fact::DepthBelowSurface(s.metres()))
    }),
    own("navigation.speedThroughWater", |s| {
        Some(Fact::SpeedThroughWater(s.speed()))
    }),
    own("navigation.gnss.satellites", |s| {
        Some(Fact::Satellites(s.count()))
    }),
    own("navigation.gnss.horizontalDilution", |s| {
        Some(Fact::HorizontalDilution(s.dilution()))
    }),
    own("navigation.gnss.methodQuality", |s| {
        Some(Fact::FixMethod(s.word(FixMethod::from_schema)))
    }),
    own("navigation.gnss.integrity", |s| {
        Some(Fact::FixIntegrity(s.word(FixIntegrity::from_schema)))
    }),
    own("navigation.magneticVariation", |s| {
        Some(Fact::MagneticVariation(s.angle()))
    }),
    own("environment.depth.surfaceToTransducer", |s| {
        Some(Fact::SurfaceToTransducer(s.metres()))
    }),
    own("environment.depth.transducerToKeel", |s| {
        Some(Fact::TransducerToKeel(s.metres()))
    }),
    own("environment.tide.heightNow", |s| {
        Some(Fact::TideNow(s.metres()))
    }),
    own("environment.tide.heightHigh", |s| {
        Some(Fact::TideHigh(s.metres()))
    }),
    own("environment.tide.heightLow", |s| {
        Some(Fact::TideLow(s.metres()))
    }),
    own("environment.tide.timeHigh", |s| {
        Some(Fact::TideTimeHigh(s.word(|text| text.parse().ok())))
    }),
    own("environment.tide.timeLow", |s| {
        Some(Fact::TideTimeLow(s.word(|text| text.parse().ok())))
    }),
    own(ENGINES, |s| {
        let engine = Label::new(engine(s.path)?);
        Some(Fact::Revolutions {
            engine,
            rate: s.hertz(),
        })
    }),
    any("", |s: &mut Seen<'_>| s.vessel_name()),
    any("design.length", |s| Some(Fact::Length(s.member("overall")))),
    any("design.beam", |s| Some(Fact::Beam(s.metres()))),
    own("design.draft", |s| Some(Fact::Draught(s.member("maximum")))),
    own("sensors.gps.fromBow", |s| {
        Some(Fact::AntennaFromBow(s.metres()))
    }),
    own("sensors.gps.fromCenter", |s| {
        Some(Fact::AntennaFromCentre(s.metres()))
    }),
    others("navigation.state", |s| Some(Fact::NavState(s.state()))),
    others("sensors.ais.fromBow", |s| {
        Some(Fact::AntennaFromBow(s.metres()))
    }),
    // signalk-server 2.32.0 counts it positive to starboard here, against the schema.
    others("sensors.ais.fromCenter", |s| {
        Some(Fact::AntennaFromCentre(s.metres().map(|m| m * -1.0)))
    }),
    others("design.aisShipType", |s| {
        Some(Fact::ShipType(s.ship_type()))
    }),
];

#[cfg(test)]
mod tests;
