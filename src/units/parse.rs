//! Quantities parsed from what people write. Each dimension's units are in one table.

use std::f64::consts::PI;
use std::time::Duration;

use super::{Angle, FOOT, KNOT, Kilograms, Metres, NAUTICAL_MILE, POUND, Speed, Volts};

/// Why a written quantity was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseQuantityError {
    /// The text does not start with a number.
    #[error(
        "`{text}` does not start with a number; write a number and a unit, such as `{example}`"
    )]
    NoNumber {
        /// What was written.
        text: String,
        /// A well-formed value.
        example: &'static str,
    },
    /// The unit does not belong to this dimension.
    #[error("`{text}` has the unit `{unit}`, which is no unit of {dimension}; use one of {known}")]
    UnknownUnit {
        /// What was written.
        text: String,
        /// The part after the number.
        unit: String,
        /// "length", "speed" and so on.
        dimension: &'static str,
        /// The accepted units.
        known: String,
    },
    /// A number without a unit.
    #[error("`{text}` has no unit; write `{text}{suggestion}` or use one of {known}")]
    NoUnit {
        /// What was written.
        text: String,
        /// The SI unit of this dimension.
        suggestion: &'static str,
        /// The accepted units.
        known: String,
    },
    /// An angle of more than half a turn either way, which the angle type would fold into another one.
    #[error("`{text}` is more than half a turn; write an angle between `-180deg` and `180deg`")]
    BeyondHalfTurn {
        /// What was written.
        text: String,
    },
}

/// A dimension for which people write quantities.
struct Dimension {
    name: &'static str,
    example: &'static str,
    /// Each unit as written and its size in SI; the first is the one suggested.
    units: &'static [(&'static str, f64)],
}

/// Parses a length: `40m`, `130 ft`, `22fathoms`. A bare number is refused, because its unit is unknown.
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

/// Parses a speed: `18kn`, `9 m/s`, `30km/h`.
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

/// Parses an angle of at most half a turn either way: `60deg`, `60°`, `1.05rad`. `400deg` is refused rather
/// than read as 40°.
pub fn parse_angle(text: &str) -> Result<Angle, ParseQuantityError> {
    let radians = parse_quantity(text, &ANGLE)?;
    // `180deg` may exceed π in the last digit.
    if radians.abs() > PI + 1e-9 {
        return Err(ParseQuantityError::BeyondHalfTurn {
            text: text.trim().to_owned(),
        });
    }
    Ok(Angle::of(radians))
}

/// Parses a mass: `20kg`, `44 lb`.
pub fn parse_mass(text: &str) -> Result<Kilograms, ParseQuantityError> {
    parse_quantity(text, &MASS).map(Kilograms::of)
}

/// Parses a voltage: `11.8 V`.
pub fn parse_voltage(text: &str) -> Result<Volts, ParseQuantityError> {
    parse_quantity(text, &VOLTAGE).map(Volts::of)
}

/// Parses a duration: `30s`, `5min`, `8h`. A negative one is refused as not a number.
pub fn parse_duration(text: &str) -> Result<Duration, ParseQuantityError> {
    let seconds = parse_quantity(text, &DURATION)?;
    Duration::try_from_secs_f64(seconds).map_err(|_| ParseQuantityError::NoNumber {
        text: text.trim().to_owned(),
        example: DURATION.example,
    })
}

fn parse_quantity(text: &str, dimension: &Dimension) -> Result<f64, ParseQuantityError> {
    let text = text.trim();
    // "1e3m" is a number with an exponent, "5ft" is not: try the longest prefix that parses.
    let split = (1..=text.len())
        .rev()
        .filter(|&end| text.is_char_boundary(end))
        .find_map(|end| {
            let number: f64 = text[..end].trim_end().parse().ok()?;
            // "inf" and "nan" parse as floats but are not numbers here.
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
