//! The inputs and results of the drag test.

use serde::{Deserialize, Serialize};

use crate::geodesy::{Offset, Position};
use crate::units::{Metres, Speed};

/// What one fix shows.
#[derive(Clone, Copy, Debug)]
pub struct Sighting {
    /// The antenna.
    pub antenna: Position,
    /// The receiver's assumed error, standard deviation in each coordinate.
    pub sigma: Metres,
    /// The additional error that a change of receiver may have brought in.
    pub doubt: Metres,
    /// Its velocity over the ground, m/s, from the Doppler shift.
    pub velocity: Option<Offset>,
    /// From the antenna to the bow roller, as far as known.
    pub lever: Offset,
    /// How far the roller may be from that point.
    pub lever_doubt: Metres,
    /// The farthest that the roller can lie from a holding anchor.
    pub reach: Metres,
    /// Rode out.
    pub rode: Metres,
    /// Height of the roller above the bottom, if a depth is known.
    pub height: Option<Metres>,
    /// Mean wind.
    pub wind: Option<Speed>,
    /// Wind at this moment.
    pub wind_now: Option<Speed>,
    /// Mean cosine of the wind's angle from the bow, which shows whether she lies to it.
    pub wind_ahead: Option<f64>,
    /// She has fallen back to her rode.
    pub settled: bool,
    /// The position has leapt and stayed: a far jump has waited for long enough.
    pub stays: bool,
}

/// The mark as the test uses it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marked {
    /// Its position.
    pub at: Position,
    /// Its standard deviation in each coordinate.
    pub doubt: Metres,
    /// The additional error.
    pub lever: Metres,
    /// How it was made; `None` if the journal of an earlier version does not say.
    pub origin: Option<Origin>,
}

/// How a mark was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Origin {
    /// From fixes of this receiver: it shares their error of hours.
    Fix,
    /// From a position that somebody entered.
    Given,
    /// From the track of a boat that had lain for long.
    Track,
}

/// What was found out about an anchor that holds.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Found {
    /// Where it most likely lies.
    pub position: Position,
    /// The standard deviation of that in each coordinate.
    pub doubt: Metres,
    /// The receiver's error of minutes, standard deviation in each coordinate.
    pub noise: Metres,
}

/// The result of the drag test at this moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DragEvidence {
    /// Probability that the anchor has moved, 0..1.
    pub probability: f64,
    /// How far it has moved: her distance beyond where the anchor would let her lie.
    pub moved: Metres,
    /// The margin in force: the excess from which a drag would be reported.
    pub margin: Metres,
    /// The verdict.
    pub dragging: bool,
    /// No evidence of a drag is left.
    pub quiet: bool,
}

impl Sighting {
    /// A sighting of the yacht "Tern" on 40 m of rode, 9 m from roller to bottom, lying still in this wind: for
    /// tests and benches.
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
            stays: false,
        }
    }
}

#[cfg(test)]
impl Sighting {
    /// A sighting of the same boat at the mark that the tests use, in a wind of this many m/s.
    pub(super) fn in_wind(wind: Option<f64>) -> Self {
        Self::of_tern(Position::of(59.8539, 23.26), wind.map(Speed::of))
    }
}
