//! Lengths and scopes as they are said to the crew, rounded to the safe side.

use crate::units::{LengthUnit, Metres, Newtons};

impl LengthUnit {
    /// To a tenth, without a zero behind the point.
    #[must_use]
    pub fn exact(self, length: Metres) -> String {
        self.written(length, f64::round)
    }

    /// Rounded up to whole ones: a length that something must at least have.
    #[must_use]
    pub fn up(self, length: Metres) -> String {
        self.written(length, |tenths| ((tenths - SLACK) / 10.0).ceil() * 10.0)
    }

    /// Rounded down to a tenth: what is left of something.
    #[must_use]
    pub fn down(self, length: Metres) -> String {
        self.written(length, |tenths| (tenths + SLACK).floor())
    }

    /// A force: kilonewtons go with metres, pounds of force with feet, to two figures.
    #[must_use]
    pub fn force(self, force: Newtons) -> String {
        match self {
            Self::Metres => force.to_string(),
            Self::Feet => {
                let pounds = force.pounds();
                let tens = 10_f64.powf((pounds.abs().max(1.0).log10().floor() - 1.0).max(0.0));
                format!("{} lbf", (pounds / tens).round() * tens)
            }
        }
    }

    /// One of it.
    #[must_use]
    pub const fn one(self) -> Metres {
        match self {
            Self::Metres => Metres::of(1.0),
            Self::Feet => Metres::from_feet(1.0),
        }
    }

    fn written(self, length: Metres, round: impl Fn(f64) -> f64) -> String {
        let (value, unit) = match self {
            Self::Metres => (length.get(), "m"),
            Self::Feet => (length.feet(), "ft"),
        };
        // Adding zero makes a negative zero plain.
        let rounded = round(value * 10.0) / 10.0 + 0.0;
        format!("{rounded} {unit}")
    }
}

/// `4.2:1`, rounded down: a scope is not better than it is.
#[must_use]
pub fn ratio(scope: f64) -> String {
    let tenths = (scope * 10.0 + SLACK).floor() / 10.0;
    format!("{tenths}:1")
}

/// Of a tenth: conversion alone is no reason to round up.
const SLACK: f64 = 1e-6;
