//! The tide: what the sun and the moon do to the level at a place.
//!
//! [`astronomy`] says where they stand, [`constituents`] names the waves they raise, [`curve`]
//! adds these up to a height at any moment, [`turns`] finds high and low water on it, [`predictor`]
//! carries both to secondary places, [`stations`] is the catalogue of places whose waves are known,
//! [`forecast`] one of them for a stay.
//!
//! What is predicted is the astronomical tide. Wind and air pressure move the level as well, by
//! decimetres in an ordinary week and by metres in a surge, and no prediction knows of them. So a
//! depth at low water that rests on one of these heights is a plan, not a sounding.

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
