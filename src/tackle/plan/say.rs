//! Lengths and scopes as the crew reads them, rounded to the safe side.

use crate::units::{LengthUnit, Metres, Newtons};

impl LengthUnit {
    /// To a tenth, without a trailing zero.
    #[must_use]
    pub fn exact(self, length: Metres) -> String {
        self.written(length, f64::round)
    }

    /// Rounded up to a whole number: for a minimum length.
    #[must_use]
    pub fn up(self, length: Metres) -> String {
        self.written(length, |tenths| ((tenths - SLACK) / 10.0).ceil() * 10.0)
    }

    /// Rounded down to a tenth: for what is left.
    #[must_use]
    pub fn down(self, length: Metres) -> String {
        self.written(length, |tenths| (tenths + SLACK).floor())
    }

    /// A force to two figures: in kilonewtons with metres, in pounds of force with feet.
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

    /// One unit in metres.
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
        // Adding zero turns a negative zero into a plain one.
        let rounded = round(value * 10.0) / 10.0 + 0.0;
        format!("{rounded} {unit}")
    }
}

/// `4.2:1`, rounded down: a scope must not look better than it is.
#[must_use]
pub fn ratio(scope: f64) -> String {
    let tenths = (scope * 10.0 + SLACK).floor() / 10.0;
    format!("{tenths}:1")
}

/// In tenths: an error from conversion alone is no reason to round up.
const SLACK: f64 = 1e-6;
