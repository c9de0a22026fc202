//! What the sensors report: one [`Report`] for each update that arrived, in terms that the judgement
//! understands. Nothing here decides whether a report is believed; the intake does.
//!
//! A `None` inside a [`Fact`] means that the sensor has lost the value: it sent JSON `null`, or an
//! impossible value on a known path (a latitude of 91°, a text for a depth).

use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Serialize};

use crate::geodesy::Position;
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Hertz, Metres, Speed, Volts};

/// One update from one source about one vessel.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// The vessel it is about.
    #[serde(default, skip_serializing_if = "Subject::is_own")]
    pub subject: Subject,
    /// The device that sent it.
    pub source: Label,
    /// The time that the source gives. Sources can be wrong about it, and they repeat old values.
    pub stamp: Option<Timestamp>,
    /// The reported facts. The fix's quality comes before the fix it belongs to.
    pub facts: Vec<Fact>,
}

/// The vessel that a report is about.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Subject {
    /// Our own vessel.
    #[default]
    Own,
    /// Another vessel, by the context that the server gives her.
    Other(Label),
}

impl Subject {
    /// Our own vessel?
    #[must_use]
    pub fn is_own(&self) -> bool {
        matches!(self, Self::Own)
    }
}

/// A short text that names something on the boat's network: a device (`gps0.GP`), another vessel's context,
/// an engine. It is cheap to clone.
#[derive(Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Label(Arc<str>);

impl Label {
    /// Takes the text without its control characters: anybody can choose a name, and names go to terminals
    /// and logs.
    #[must_use]
    pub fn new(label: &str) -> Self {
        if label.chars().any(char::is_control) {
            let plain: String = label.chars().filter(|c| !c.is_control()).collect();
            return Self(plain.into());
        }
        Self(label.into())
    }

    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Serialize for Label {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.0)
    }
}

impl<'de> Deserialize<'de> for Label {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        std::borrow::Cow::<'de, str>::deserialize(deserializer).map(|text| Self::new(&text))
    }
}

impl fmt::Display for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl fmt::Debug for Label {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}`", self.0)
    }
}

/// A single statement. Names and references are those of the Signal K schema 1.8.2.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Fact {
    /// The fix's method, which also shows whether there is a fix at all.
    FixMethod(Option<FixMethod>),
    /// Whether the receiver's own integrity check trusts the fix.
    FixIntegrity(Option<FixIntegrity>),
    /// Satellites used in the fix.
    Satellites(Option<u32>),
    /// Horizontal dilution of precision, a plain number.
    HorizontalDilution(Option<f64>),
    /// The antenna's position (or the ship's reference point, if the server corrects it).
    Position(Option<Position>),
    /// Speed over the ground.
    SpeedOverGround(Option<Speed>),
    /// Course over the ground, true.
    CourseOverGround(Option<Bearing>),
    /// Heading, true.
    HeadingTrue(Option<Bearing>),
    /// Heading by magnetic north: a bearing from *magnetic* north until variation is applied.
    HeadingMagnetic(Option<Angle>),
    /// Magnetic variation, positive east.
    MagneticVariation(Option<Angle>),
    /// Speed through the water.
    SpeedThroughWater(Option<Speed>),
    /// Apparent wind speed.
    WindSpeedApparent(Option<Speed>),
    /// Apparent wind angle from the bow, negative to port.
    WindAngleApparent(Option<Angle>),
    /// True wind speed over the water.
    WindSpeedTrue(Option<Speed>),
    /// Wind speed over the ground.
    WindSpeedOverGround(Option<Speed>),
    /// True wind angle from the bow, relative to the water.
    WindAngleTrueWater(Option<Angle>),
    /// True wind angle from the bow, relative to the ground.
    WindAngleTrueGround(Option<Angle>),
    /// Where the wind comes from, true.
    WindDirectionTrue(Option<Bearing>),
    /// Where the wind comes from, by magnetic north.
    WindDirectionMagnetic(Option<Angle>),
    /// Depth of water under the keel.
    DepthBelowKeel(Option<Metres>),
    /// Depth of water under the transducer.
    DepthBelowTransducer(Option<Metres>),
    /// Depth of water from the surface.
    DepthBelowSurface(Option<Metres>),
    /// Depth of the transducer below the surface.
    SurfaceToTransducer(Option<Metres>),
    /// Depth of the keel below the transducer.
    TransducerToKeel(Option<Metres>),
    /// Height of tide now, above chart datum.
    TideNow(Option<Metres>),
    /// Height of the next high water, above chart datum.
    TideHigh(Option<Metres>),
    /// Height of the next low water, above chart datum.
    TideLow(Option<Metres>),
    /// Time of the next high water.
    TideTimeHigh(Option<Timestamp>),
    /// Time of the next low water.
    TideTimeLow(Option<Timestamp>),
    /// Length of rode out, by the windlass counter.
    RodeCounter(Option<Metres>),
    /// Voltage of the house battery.
    HouseVoltage(Option<Volts>),
    /// Revolutions of one engine.
    Revolutions {
        /// The engine.
        engine: Label,
        /// Crankshaft revolutions a second.
        rate: Option<Hertz>,
    },
    /// Length over all.
    Length(Option<Metres>),
    /// Greatest beam.
    Beam(Option<Metres>),
    /// Greatest draught.
    Draught(Option<Metres>),
    /// The antenna's distance from the stem, positive aft of it.
    AntennaFromBow(Option<Metres>),
    /// The antenna's distance from the centreline, positive to **port** (the schema's sign).
    AntennaFromCentre(Option<Metres>),
    /// Name of a vessel.
    Name(Option<Label>),
    /// The vessel's navigation state, as she reports it.
    NavState(Option<NavState>),
    /// The number of a vessel's type by AIS (ITU-R M.1371-5, table 53).
    ShipType(Option<u32>),
}

impl Fact {
    /// Is this a fact about the wind?
    #[must_use]
    pub const fn is_wind(&self) -> bool {
        matches!(
            self,
            Self::WindSpeedApparent(_)
                | Self::WindAngleApparent(_)
                | Self::WindSpeedTrue(_)
                | Self::WindSpeedOverGround(_)
                | Self::WindAngleTrueWater(_)
                | Self::WindAngleTrueGround(_)
                | Self::WindDirectionTrue(_)
                | Self::WindDirectionMagnetic(_)
        )
    }
}

/// How a fix was obtained (`navigation.gnss.methodQuality`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FixMethod {
    /// The receiver has no fix, whatever coordinates it fills in.
    NoFix,
    /// A satellite fix of any precision.
    Satellite,
    /// Dead reckoning: extrapolated from the last fix, so it cannot show a dragging anchor.
    DeadReckoning,
    /// Typed in by a person.
    Manual,
    /// A simulator.
    Simulator,
    /// The receiver reports an error.
    Error,
}

impl FixMethod {
    /// Parses the schema's words; `None` for a word that the schema does not have.
    #[must_use]
    pub fn from_schema(word: &str) -> Option<Self> {
        Some(match word {
            "no GPS" => Self::NoFix,
            "GNSS Fix" | "DGNSS fix" | "Precise GNSS" | "RTK fixed integer" | "RTK float" => {
                Self::Satellite
            }
            "Estimated (DR) mode" => Self::DeadReckoning,
            "Manual input" => Self::Manual,
            "Simulator mode" => Self::Simulator,
            "Error" => Self::Error,
            _ => return None,
        })
    }
}

/// A vessel's state as she reports it (`navigation.state`), as far as it matters to a neighbour at anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum NavState {
    /// At anchor.
    AtAnchor,
    /// Alongside or on a mooring buoy.
    Moored,
    /// Aground.
    Aground,
    /// Anything else: she is under way, whatever she is doing.
    UnderWay,
}

impl NavState {
    /// Parses the schema's words and those that the server adds for AIS; `None` for a word without meaning
    /// (`default` is AIS status 15, not defined).
    #[must_use]
    pub fn from_schema(word: &str) -> Option<Self> {
        Some(match word {
            "anchored" => Self::AtAnchor,
            "moored" | "not-under-way" => Self::Moored,
            "aground" => Self::Aground,
            "default" | "not defined (example)" | "ais-sart" => return None,
            word if word.starts_with("Reserved") => return None,
            _ => Self::UnderWay,
        })
    }
}

/// The receiver's own judgement (`navigation.gnss.integrity`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FixIntegrity {
    /// Not checked.
    Unchecked,
    /// Safe.
    Safe,
    /// Doubtful.
    Caution,
    /// Not to be used.
    Unsafe,
}

impl FixIntegrity {
    /// Parses the schema's words; `None` for a word that the schema does not have.
    #[must_use]
    pub fn from_schema(word: &str) -> Option<Self> {
        Some(match word {
            "no Integrity checking" => Self::Unchecked,
            "Safe" => Self::Safe,
            "Caution" => Self::Caution,
            "Unsafe" => Self::Unsafe,
            _ => return None,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The words are the enumerations of `navigation.json` in the Signal K schema 1.8.2.
    #[test]
    fn the_schema_s_words_are_known_and_others_are_not_guessed() {
        for word in [
            "no GPS",
            "GNSS Fix",
            "DGNSS fix",
            "Precise GNSS",
            "RTK fixed integer",
            "RTK float",
            "Estimated (DR) mode",
            "Manual input",
            "Simulator mode",
            "Error",
        ] {
            assert!(FixMethod::from_schema(word).is_some(), "{word}");
        }
        assert_eq!(FixMethod::from_schema("splendid"), None);
        assert_eq!(
            FixIntegrity::from_schema("Unsafe"),
            Some(FixIntegrity::Unsafe)
        );
    }

    #[test]
    fn a_vessel_s_name_cannot_command_a_terminal() {
        assert_eq!(Label::new("Plo\u{1b}[2Jver\n").as_str(), "Plo[2Jver");
    }

    #[test]
    fn a_report_survives_the_journal() {
        let report = Report {
            subject: Subject::Own,
            source: Label::new("gps0.GP"),
            stamp: Some(Timestamp::EPOCH),
            facts: vec![
                Fact::Position(Position::new(59.8539, 23.26).ok()),
                Fact::WindSpeedApparent(None),
            ],
        };
        let text = serde_json::to_string(&report).unwrap();
        assert_eq!(serde_json::from_str::<Report>(&text).unwrap(), report);
    }
}
