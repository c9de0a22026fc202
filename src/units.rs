//! Quantities with their unit and reference in the type, and the units people write them in.
//!
//! Inside the program every quantity is SI, as on the Signal K bus. A value from a file, a command line or
//! a peer becomes one of these types at the edge or is refused there, so `NaN` and infinity never get in.
//! Conversion factors are defined once: the international foot (0.3048 m exactly, 1959 agreement), fathom
//! (6 ft), nautical mile (1852 m exactly, SI brochure table 8), knot (one nautical mile an hour) and pound
//! (0.45359237 kg exactly).

mod parse;

use std::f64::consts::{PI, TAU};
use std::fmt;
use std::time::Duration;

pub use parse::{
    ParseQuantityError, parse_angle, parse_duration, parse_length, parse_mass, parse_speed,
    parse_voltage,
};
use serde::{Deserialize, Serialize};

/// A length in metres, finite.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Metres(f64);

/// A speed in metres a second, finite. The name of the field that holds it gives the reference (ground,
/// water, air).
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Speed(f64);

/// A horizontal direction from **true** north, clockwise, radians in `0..2π`.
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

/// A voltage, finite.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Volts(f64);

/// A mass in kilograms, finite.
#[derive(Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Kilograms(f64);

/// The unit in which lengths are reported.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum LengthUnit {
    /// Metres.
    #[default]
    Metres,
    /// Feet.
    Feet,
}

impl LengthUnit {
    /// The unit's symbol, as written after a number.
    #[must_use]
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Metres => "m",
            Self::Feet => "ft",
        }
    }
}

/// A number that is not finite where a quantity was expected.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("`{0}` is not a finite number")]
pub struct NotFinite(pub f64);

/// What every quantity has: conversion from and to a bare number.
macro_rules! quantity {
    ($name:ident, $unit:literal) => {
        impl $name {
            /// The bare number in the type's SI unit.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
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

        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", self.0, $unit)
            }
        }
    };
}

/// A quantity that can be added up.
macro_rules! linear {
    ($name:ident, $unit:literal) => {
        quantity!($name, $unit);

        impl $name {
            /// Zero.
            pub const ZERO: Self = Self(0.0);

            /// Takes a finite value in the type's SI unit; `None` for `NaN` and infinity.
            #[must_use]
            pub fn new(value: f64) -> Option<Self> {
                value.is_finite().then_some(Self(value))
            }

            /// For constants and for results of finite arithmetic. A value that is not finite (the caller
            /// has ruled it out) becomes zero instead of spreading.
            #[must_use]
            pub const fn of(value: f64) -> Self {
                debug_assert!(value.is_finite());
                if value.is_finite() {
                    Self(value)
                } else {
                    Self(0.0)
                }
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
    };
}

/// A quantity that wraps around.
macro_rules! circular {
    ($name:ident, $unit:literal) => {
        quantity!($name, $unit);

        impl $name {
            /// Takes radians and folds them into the type's range; `None` when they are not finite.
            #[must_use]
            pub fn new(radians: f64) -> Option<Self> {
                radians.is_finite().then(|| Self::of(radians))
            }

            /// From degrees.
            #[must_use]
            pub fn from_degrees(degrees: f64) -> Self {
                Self::of(degrees.to_radians())
            }

            /// As degrees, in the type's range.
            #[must_use]
            pub fn degrees(self) -> f64 {
                self.0.to_degrees()
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
circular!(Bearing, "rad true");
circular!(Angle, "rad");

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
    /// One decimal below 10 m, whole metres from 10 m, as a leadsman would call it.
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

impl Kilograms {
    /// As pounds (avoirdupois).
    #[must_use]
    pub fn pounds(self) -> f64 {
        self.0 / POUND
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

impl fmt::Display for Volts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.1} V", self.0)
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
    /// Radians from true north, for values known to be finite; folded into `0..2π`.
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

    /// The opposite direction.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self::of(self.0 + PI)
    }

    /// This bearing turned clockwise by `angle`.
    #[must_use]
    pub fn turned(self, angle: Angle) -> Self {
        Self::of(self.0 + angle.0)
    }

    /// The smallest turn from `earlier` to this bearing, positive clockwise.
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

    /// Radians, for values known to be finite; folded into `-π..=π`.
    #[must_use]
    pub fn of(radians: f64) -> Self {
        debug_assert!(radians.is_finite());
        if radians.abs() < PI {
            return Self(radians);
        }
        let folded = (radians + PI).rem_euclid(TAU) - PI;
        Self(if folded.is_finite() { folded } else { 0.0 })
    }

    /// The size of the turn whichever way it goes.
    #[must_use]
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl fmt::Display for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.0}°", self.degrees())
    }
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

const FOOT: f64 = 0.3048;
/// The avoirdupois pound, kg, exact since the agreement of 1959.
const POUND: f64 = 0.453_592_37;
/// Standard gravity, m/s², exact (CGPM 1901); it makes a pound a force.
const STANDARD_GRAVITY: f64 = 9.806_65;
const NAUTICAL_MILE: f64 = 1852.0;
const KNOT: f64 = NAUTICAL_MILE / 3600.0;

#[cfg(test)]
mod tests;
