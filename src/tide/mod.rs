//! The tide: what the sun and the moon do to the level at a place.
//!
//! [`astronomy`] calculates the positions of sun and moon, [`constituents`] names the waves that they
//! raise, [`curve`] adds these up to a height at any moment, [`turns`] finds high and low water on the
//! curve, [`predictor`] applies both to secondary places, [`stations`] is the catalogue of places with
//! known constants, and [`forecast`] predicts one station's tide for a stay.
//!
//! The prediction is the astronomical tide. Wind and air pressure also move the level, by decimetres in an
//! ordinary week and by metres in a surge, and no prediction includes them. A depth at low water that is
//! based on one of these heights is therefore a plan, not a sounding.

pub mod astronomy;
pub mod constituents;
pub mod curve;
pub mod forecast;
pub mod predictor;
pub mod stations;
pub mod turns;

pub use curve::Harmonic;
pub use forecast::{Forecast, Stay};
pub use predictor::{Differences, HeightDifference, Predictor, Run};
pub use turns::{Stand, Turn};

#[cfg(test)]
mod tests;
