//! Quantities with their unit and reference in the type, and the units people write them in.
//!
//! Inside the program every quantity is SI, as on the Signal K bus. What enters from a file, a
//! command line or a peer becomes one of these types at the edge or is refused there; `NaN` and
//! infinity never get in. Conversion factors stand once, in [`parse_quantity`]'s table: the
//! international foot (0.3048 m exactly, 1959 agreement), fathom (6 ft), nautical mile (1852 m
//! exactly, SI brochure table 8), knot (one nautical mile an hour) and pound (0.45359237 kg exactly).

use std::f64::consts::{PI, TAU};
use std::fmt;
use std::time::Duration;

use serde::{Deserialize, Serialize};

/// A length in metres, finite.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Metres(f64);

/// A speed in metres a second, finite. Which reference (ground, water, air) is in the name of
/// the field that holds it.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Speed(f64);

/// A direction over the horizon from **true** north, clockwise, radians in `0..2π`.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Bearing(f64);

/// A signed angle in radians in `-π..=π`: relative to the bow (negative to port) or a change of
/// direction (positive clockwise, that is veering).
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Angle(f64);

/// A frequency in hertz, finite: engine revolutions a second.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Hertz(f64);

/// A force in newtons, finite.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Newtons(f64);

/// An electric tension in volts, finite.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Volts(f64);

impl fmt::Display for Volts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} V", self.0)
    }
}

/// A mass in kilograms, finite.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Kilograms(f64);

/// The unit lengths are told in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LengthUnit {
    /// Metres.
    #[default]
    Metres,
    /// Feet.
    Feet,
}

impl LengthUnit {
    /// As it is written behind a number.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Metres => "m",
            Self::Feet => "ft",
        }
    }
}

/// A number that is not finite where a quantity was wanted.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("`{0}` is not a finite number")]
pub struct NotFinite(pub f64);

macro_rules! linear {
    ($name:ident, $unit:literal) => {
        impl $name {
            /// Nought.
            pub const ZERO: Self = Self(0.0);

            /// Takes a finite value in the type's SI unit; `None` for `NaN` and infinity.
            #[must_use]
            pub fn new(value: f64) -> Option<Self> {
                value.is_finite().then_some(Self(value))
            }

            /// For constants and for results of finite arithmetic. A value that is not finite
            /// (which the caller has ruled out) becomes nought rather than spreading.
            #[must_use]
            pub const fn of(value: f64) -> Self {
                debug_assert!(value.is_finite());
                if value.is_finite() {
                    Self(value)
                } else {
                    Self(0.0)
                }
            }

            /// The bare number in the type's SI unit.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }

            /// The greater of two.
            #[must_use]
            pub const fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The lesser of two.
            #[must_use]
            pub const fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
        }

        impl TryFrom<f64> for $name {
            type Error = NotFinite;
            fn try_from(value: f64) -> Result<Self, NotFinite> {
                Self::new(value).ok_or(NotFinite(value))
            }
        }

        impl From<$name> for f64 {
            fn from(value: $name) -> f64 {
                value.0
            }
        }

        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self::of(self.0 + other.0)
            }
        }

        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self::of(self.0 - other.0)
            }
        }

        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self::of(self.0 * factor)
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0, $unit)
            }
        }
    };
}

linear!(Metres, "m");
linear!(Speed, "m/s");
linear!(Hertz, "Hz");
linear!(Newtons, "N");
linear!(Kilograms, "kg");
linear!(Volts, "V");

impl Metres {
    /// Feet to metres.
    #[must_use]
    pub const fn from_feet(feet: f64) -> Self {
        Self::of(feet * FOOT)
    }

    /// As feet.
    #[must_use]
    pub fn feet(self) -> f64 {
        self.0 / FOOT
    }
}

impl fmt::Display for Metres {
    /// One decimal below 10 m, whole metres from there on, as a leadsman would call it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(precision) = f.precision() {
            write!(f, "{:.precision$} m", self.0)
        } else if self.0.abs() < 9.95 {
            write!(f, "{:.1} m", self.0)
        } else {
            write!(f, "{:.0} m", self.0)
        }
    }
}

impl Speed {
    /// Knots to metres a second.
    #[must_use]
    pub const fn from_knots(knots: f64) -> Self {
        Self::of(knots * KNOT)
    }

    /// As knots.
    #[must_use]
    pub fn knots(self) -> f64 {
        self.0 / KNOT
    }
}

impl fmt::Display for Speed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let precision = f
            .precision()
            .unwrap_or(usize::from(self.knots().abs() < 9.95));
        write!(f, "{:.precision$} kn", self.knots())
    }
}

impl Newtons {
    /// Pounds of force to newtons.
    #[must_use]
    pub const fn from_pounds(pounds: f64) -> Self {
        Self::of(pounds * POUND * STANDARD_GRAVITY)
    }

    /// As pounds of force.
    #[must_use]
    pub fn pounds(self) -> f64 {
        self.0 / (POUND * STANDARD_GRAVITY)
    }
}

impl fmt::Display for Newtons {
    /// Two figures: `0.34 kN`, `5.3 kN`, `12 kN`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kilo = self.0 / 1000.0;
        let precision = match kilo.abs() {
            size if size < 0.995 => 2,
            size if size < 9.95 => 1,
            _ => 0,
        };
        write!(f, "{kilo:.precision$} kN")
    }
}

impl fmt::Display for Kilograms {
    /// Whole kilograms from 10 kg on, one decimal below.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let precision = usize::from(self.0.abs() < 9.95);
        write!(f, "{:.precision$} kg", self.0)
    }
}

impl Hertz {
    /// As revolutions a minute.
    #[must_use]
    pub fn rpm(self) -> f64 {
        self.0 * 60.0
    }
}

impl Bearing {
    /// Takes radians from true north and folds them into `0..2π`; `None` when not finite.
    #[must_use]
    pub fn new(radians: f64) -> Option<Self> {
        radians.is_finite().then(|| Self::of(radians))
    }

    /// As [`Bearing::new`], for values known to be finite.
    #[must_use]
    pub fn of(radians: f64) -> Self {
        debug_assert!(radians.is_finite());
        if (0.0..TAU).contains(&radians) {
            return Self(radians);
        }
        let folded = radians.rem_euclid(TAU);
        // A tiny negative angle rounds up to exactly 2π.
        Self(if folded.is_finite() && folded < TAU {
            folded
        } else {
            0.0
        })
    }

    /// From degrees true.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Self {
        Self::of(degrees.to_radians())
    }

    /// Radians, `0..2π`.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// Degrees, `0..360`.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0.to_degrees()
    }

    /// The opposite direction.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self::of(self.0 + PI)
    }

    /// Turned clockwise by `angle`.
    #[must_use]
    pub fn turned(self, angle: Angle) -> Self {
        Self::of(self.0 + angle.0)
    }

    /// The smallest turn that leads from `earlier` to this bearing, positive clockwise.
    /// ```
    /// use windrode::units::Bearing;
    ///
    /// // From 10° west of north to 10° east of it the wind veers by 20°.
    /// let veered = Bearing::from_degrees(10.0).since(Bearing::from_degrees(350.0));
    /// assert!((veered.degrees() - 20.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn since(self, earlier: Self) -> Angle {
        Angle::of(self.0 - earlier.0)
    }
}

impl TryFrom<f64> for Bearing {
    type Error = NotFinite;
    fn try_from(value: f64) -> Result<Self, NotFinite> {
        Self::new(value).ok_or(NotFinite(value))
    }
}

impl From<Bearing> for f64 {
    fn from(value: Bearing) -> f64 {
        value.0
    }
}

impl fmt::Debug for Bearing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} rad true", self.0)
    }
}

impl fmt::Display for Bearing {
    /// Three figures, as bearings are written: `045°`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let degrees = self.degrees().round();
        write!(f, "{:03.0}°", if degrees >= 360.0 { 0.0 } else { degrees })
    }
}

impl Angle {
    /// No turn at all.
    pub const ZERO: Self = Self(0.0);

    /// Takes radians and folds them into `-π..=π`; `None` when not finite.
    #[must_use]
    pub fn new(radians: f64) -> Option<Self> {
        radians.is_finite().then(|| Self::of(radians))
    }

    /// As [`Angle::new`], for values known to be finite.
    #[must_use]
    pub fn of(radians: f64) -> Self {
        debug_assert!(radians.is_finite());
        if radians.abs() < PI {
            return Self(radians);
        }
        let folded = (radians + PI).rem_euclid(TAU) - PI;
        Self(if folded.is_finite() { folded } else { 0.0 })
    }

    /// From degrees.
    #[must_use]
    pub fn from_degrees(degrees: f64) -> Self {
        Self::of(degrees.to_radians())
    }

    /// Radians, `-π..=π`.
    #[must_use]
    pub const fn get(self) -> f64 {
        self.0
    }

    /// Degrees, `-180..=180`.
    #[must_use]
    pub fn degrees(self) -> f64 {
        self.0.to_degrees()
    }

    /// The size of the turn whichever way it goes.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl TryFrom<f64> for Angle {
    type Error = NotFinite;
    fn try_from(value: f64) -> Result<Self, NotFinite> {
        Self::new(value).ok_or(NotFinite(value))
    }
}

impl From<Angle> for f64 {
    fn from(value: Angle) -> f64 {
        value.0
    }
}

impl fmt::Debug for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} rad", self.0)
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.0}°", self.degrees())
    }
}

/// Why a written quantity was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseQuantityError {
    /// No number stands at the start.
    #[error(
        "`{text}` does not start with a number; write a number and a unit, such as `{example}`"
    )]
    NoNumber {
        /// What was written.
        text: String,
        /// A well-formed value.
        example: &'static str,
    },
    /// The unit is not one of this dimension.
    #[error("`{text}` has the unit `{unit}`, which is no unit of {dimension}; use one of {known}")]
    UnknownUnit {
        /// What was written.
        text: String,
        /// The part after the number.
        unit: String,
        /// "length", "speed" and so on.
        dimension: &'static str,
        /// The units that are taken.
        known: String,
    },
    /// A number without a unit.
    #[error("`{text}` has no unit; write `{text}{suggestion}` or use one of {known}")]
    NoUnit {
        /// What was written.
        text: String,
        /// The SI unit of this dimension.
        suggestion: &'static str,
        /// The units that are taken.
        known: String,
    },
    /// An angle of more than half a turn either way, which its type would fold into another.
    #[error("`{text}` is more than half a turn; write an angle between `-180deg` and `180deg`")]
    BeyondHalfTurn {
        /// What was written.
        text: String,
    },
}

/// A dimension that people write quantities of.
struct Dimension {
    name: &'static str,
    example: &'static str,
    /// Unit as written and its size in SI; the first is the one suggested.
    units: &'static [(&'static str, f64)],
}

/// Parses `40m`, `130 ft`, `22fathoms`: a length. A bare number is refused: forty what?
/// ```
/// use windrode::units::parse_length;
///
/// // The international foot is 0.3048 m exactly (agreement of 1959).
/// assert!((parse_length("130ft")?.get() - 39.624).abs() < 1e-9);
/// assert!(parse_length("40").is_err());
/// # Ok::<(), windrode::units::ParseQuantityError>(())
/// ```
pub fn parse_length(text: &str) -> Result<Metres, ParseQuantityError> {
    parse_quantity(text, &LENGTH).map(Metres::of)
}

/// Parses `18kn`, `9 m/s`, `30km/h`: a speed.
/// ```
/// use windrode::units::parse_speed;
///
/// // A knot is 1852 m an hour exactly (SI brochure, table 8).
/// assert!((parse_speed("18kn")?.get() - 18.0 * 1852.0 / 3600.0).abs() < 1e-9);
/// # Ok::<(), windrode::units::ParseQuantityError>(())
/// ```
pub fn parse_speed(text: &str) -> Result<Speed, ParseQuantityError> {
    parse_quantity(text, &SPEED).map(Speed::of)
}

/// Parses `60deg`, `60°`, `1.05rad`: an angle of at most half a turn either way. `400deg` is
/// refused rather than taken for 40°.
pub fn parse_angle(text: &str) -> Result<Angle, ParseQuantityError> {
    let radians = parse_quantity(text, &ANGLE)?;
    // `180deg` may come out a last digit above π.
    if radians.abs() > PI + 1e-9 {
        return Err(ParseQuantityError::BeyondHalfTurn {
            text: text.trim().to_owned(),
        });
    }
    Ok(Angle::of(radians))
}

/// Parses `20kg`, `44 lb`: a mass.
pub fn parse_mass(text: &str) -> Result<Kilograms, ParseQuantityError> {
    parse_quantity(text, &MASS).map(Kilograms::of)
}

/// Parses `11.8 V`: a tension.
pub fn parse_voltage(text: &str) -> Result<Volts, ParseQuantityError> {
    parse_quantity(text, &VOLTAGE).map(Volts::of)
}

/// Parses `30s`, `5min`, `8h`: a duration; a negative one is refused as no number.
pub fn parse_duration(text: &str) -> Result<Duration, ParseQuantityError> {
    let seconds = parse_quantity(text, &DURATION)?;
    Duration::try_from_secs_f64(seconds).map_err(|_| ParseQuantityError::NoNumber {
        text: text.trim().to_owned(),
        example: DURATION.example,
    })
}

/// Writes a duration as people say it: `45 s`, `12 min`, `3 h 05 min`, `2 d 4 h`.
#[must_use]
pub fn spoken(duration: Duration) -> String {
    let seconds = duration.as_secs();
    match seconds {
        0..=119 => format!("{seconds} s"),
        120..=7199 => format!("{} min", seconds / 60),
        7200..=172_799 => format!("{} h {:02} min", seconds / 3600, seconds % 3600 / 60),
        _ => format!("{} d {} h", seconds / 86_400, seconds % 86_400 / 3600),
    }
}

fn parse_quantity(text: &str, dimension: &Dimension) -> Result<f64, ParseQuantityError> {
    let text = text.trim();
    // "1e3m" is a number with an exponent, "5ft" is not: try the longest prefix that parses.
    let split = (1..=text.len())
        .rev()
        .filter(|&end| text.is_char_boundary(end))
        .find_map(|end| {
            let number: f64 = text[..end].trim_end().parse().ok()?;
            // "inf" and "nan" parse as numbers and are none.
            number.is_finite().then_some((number, text[end..].trim()))
        });
    let Some((number, unit)) = split else {
        return Err(ParseQuantityError::NoNumber {
            text: text.to_owned(),
            example: dimension.example,
        });
    };
    let known = || {
        dimension
            .units
            .iter()
            .map(|(name, _)| format!("`{name}`"))
            .collect::<Vec<_>>()
            .join(", ")
    };
    if unit.is_empty() {
        return Err(ParseQuantityError::NoUnit {
            text: text.to_owned(),
            suggestion: dimension.units.first().map_or("", |(name, _)| name),
            known: known(),
        });
    }
    dimension
        .units
        .iter()
        .find(|(name, _)| *name == unit)
        .map(|(_, size)| number * size)
        .filter(|value| value.is_finite())
        .ok_or_else(|| ParseQuantityError::UnknownUnit {
            text: text.to_owned(),
            unit: unit.to_owned(),
            dimension: dimension.name,
            known: known(),
        })
}

const FOOT: f64 = 0.3048;
/// The avoirdupois pound, kg, exact since the agreement of 1959.
const POUND: f64 = 0.453_592_37;
/// Standard gravity, m/s², exact (CGPM 1901); it makes a pound a force.
const STANDARD_GRAVITY: f64 = 9.806_65;
const NAUTICAL_MILE: f64 = 1852.0;
const KNOT: f64 = NAUTICAL_MILE / 3600.0;

const LENGTH: Dimension = Dimension {
    name: "length",
    example: "40m",
    units: &[
        ("m", 1.0),
        ("ft", FOOT),
        ("feet", FOOT),
        ("fathoms", 6.0 * FOOT),
        ("nm", NAUTICAL_MILE),
        ("km", 1000.0),
        ("cm", 0.01),
        ("mm", 0.001),
    ],
};

const SPEED: Dimension = Dimension {
    name: "speed",
    example: "18kn",
    units: &[
        ("kn", KNOT),
        ("kt", KNOT),
        ("m/s", 1.0),
        ("km/h", 1.0 / 3.6),
    ],
};

const ANGLE: Dimension = Dimension {
    name: "angle",
    example: "60deg",
    units: &[("deg", PI / 180.0), ("°", PI / 180.0), ("rad", 1.0)],
};

const MASS: Dimension = Dimension {
    name: "mass",
    example: "20kg",
    units: &[("kg", 1.0), ("lb", POUND), ("lbs", POUND), ("g", 0.001)],
};

const VOLTAGE: Dimension = Dimension {
    name: "voltage",
    example: "11.8 V",
    units: &[("V", 1.0)],
};

const DURATION: Dimension = Dimension {
    name: "time",
    example: "5min",
    units: &[("s", 1.0), ("min", 60.0), ("h", 3600.0), ("d", 86_400.0)],
};

#[cfg(test)]
mod tests;
