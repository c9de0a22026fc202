//! What goes into the drag test and what comes out of it.

use serde::{Deserialize, Serialize};

use crate::geodesy::{Offset, Position};
use crate::units::{Metres, Speed};

/// What one fix shows.
#[derive(Clone, Copy, Debug)]
pub struct Sighting {
    /// The antenna.
    pub antenna: Position,
    /// Its error as the receiver is taken to have it, standard deviation a coordinate.
    pub sigma: Metres,
    /// What a change of receiver may have brought in.
    pub doubt: Metres,
    /// Its velocity over the ground, m/s, by the Doppler shift.
    pub velocity: Option<Offset>,
    /// From the antenna to the bow roller, as far as that is known.
    pub lever: Offset,
    /// How far the roller may be from there.
    pub lever_doubt: Metres,
    /// The farthest the roller can lie from a holding anchor.
    pub reach: Metres,
    /// Rode out.
    pub rode: Metres,
    /// Roller above the bottom, where a depth is known.
    pub height: Option<Metres>,
    /// Mean wind.
    pub wind: Option<Speed>,
    /// Wind of this moment.
    pub wind_now: Option<Speed>,
    /// Mean cosine of its angle from the bow: does she lie to it?
    pub wind_ahead: Option<f64>,
    /// She has fallen back to her rode.
    pub settled: bool,
}

/// The mark as the test takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marked {
    /// Where.
    pub at: Position,
    /// Standard deviation a coordinate.
    pub doubt: Metres,
    /// How far it may be off as well.
    pub lever: Metres,
    /// What it was made by; `None` where a journal of an earlier version does not say.
    pub origin: Option<Origin>,
}

/// What a mark was made by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Origin {
    /// Fixes of this receiver: it shares their error of hours.
    Fix,
    /// A position that somebody gave.
    Given,
    /// The track of a boat that had lain for long.
    Track,
}

/// What was found out about an anchor that holds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// Where it most likely lies.
    pub position: Position,
    /// Standard deviation of that a coordinate.
    pub doubt: Metres,
    /// The receiver's error of minutes, standard deviation a coordinate.
    pub noise: Metres,
}

/// How things stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DragEvidence {
    /// Probability that the anchor has moved, 0..1.
    pub probability: f64,
    /// How far, by where she lies now beyond where the anchor would let her.
    pub moved: Metres,
    /// The margin in force: the excess from which on a drag would be told.
    pub margin: Metres,
    /// The verdict.
    pub dragging: bool,
    /// Nothing speaks for a drag any more.
    pub quiet: bool,
}

impl Sighting {
    /// Of the yacht "Tern" on 40 m of rode, 9 m from roller to bottom, lying still in this wind: for tests and benches.
    #[must_use]
    pub fn of_tern(antenna: Position, wind: Option<Speed>) -> Self {
        Self {
            antenna,
            sigma: Metres::of(2.5),
            doubt: Metres::ZERO,
            velocity: Some(Offset::ZERO),
            lever: Offset::ZERO,
            lever_doubt: Metres::ZERO,
            reach: Metres::of(39.0),
            rode: Metres::of(40.0),
            height: Some(Metres::of(9.0)),
            wind,
            wind_now: wind,
            wind_ahead: None,
            settled: true,
        }
    }
}

#[cfg(test)]
impl Sighting {
    /// Of the same boat where the tests have her mark, in a wind of so many m/s.
    pub(super) fn in_wind(wind: Option<f64>) -> Self {
        Self::of_tern(Position::of(59.8539, 23.26), wind.map(Speed::of))
    }
}
