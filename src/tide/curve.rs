//! The tide curve of a standard place: the sum of its constituents.
//!
//! # Method
//! `h(t) = Z0 + Σ f H cos(V(t) + u - g)` over the constituents of the place (Schureman, formula 304). `f`
//! and `u` are calculated at the moments of a fixed grid of [`GRID_DAYS`] days and interpolated linearly in
//! between (`f` by its logarithm), so the curve has no steps and does not depend on the requested window.
//!
//! # Assumptions and weakness
//! The constants of a place hold as long as the sea bed does; they do not include river floods, ice or
//! weather. The linear interpolation of `f` and `u` costs at most 0.0003 of a constituent.
//!
//! # Tests
//! `tests/tide.rs` against three libraries and a published table; `tide/tests.rs` against figures typed from
//! that table, and random constants and times.

use super::astronomy::{Longitudes, NODES, Nodes};
use super::constituents::Constituent;
use crate::time::Timestamp;
use crate::units::Metres;

/// One constituent's constants at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harmonic {
    /// The constituent.
    pub constituent: &'static Constituent,
    /// `H`: half the range it makes when its node factor is 1.
    pub amplitude: Metres,
    /// `g`: Greenwich phase lag, degrees.
    pub phase: f64,
}

/// The sum of a standard place's constituents.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Curve {
    /// Mean level above chart datum.
    pub(super) mean_level: f64,
    pub(super) waves: Vec<Wave>,
    /// Node factors and angles that occur, as powers and multiples.
    pub(super) shares: Vec<([i8; NODES], [i8; NODES])>,
    /// The sum of all amplitudes.
    pub(super) amplitudes: f64,
}

/// A constituent prepared for evaluation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wave {
    pub(super) amplitude: f64,
    doodson: [f64; 6],
    /// `k 90° - g`
    constant: f64,
    /// Index into `shares`.
    pub(super) share: usize,
}

impl Wave {
    /// `V - g` without the node's angle, degrees, not folded.
    pub(super) fn argument(&self, longitudes: &[f64; 6]) -> f64 {
        let turned = self.doodson.iter().zip(longitudes);
        self.constant + turned.map(|(n, angle)| n * angle).sum::<f64>()
    }
}

impl Curve {
    /// `mean_level` is the mean level above chart datum (`Z0`). Constituents without amplitude or with a
    /// phase that is not finite are left out.
    pub(super) fn new(mean_level: Metres, harmonics: &[Harmonic]) -> Self {
        let mut shares = Vec::new();
        let mut waves = Vec::new();
        for harmonic in harmonics {
            let wave = harmonic.constituent;
            if harmonic.amplitude == Metres::ZERO || !harmonic.phase.is_finite() {
                continue;
            }
            let share = (wave.powers, wave.angles);
            let place = shares.iter().position(|known| *known == share);
            waves.push(Wave {
                amplitude: harmonic.amplitude.get(),
                doodson: wave.doodson.map(f64::from),
                constant: f64::from(wave.quarters) * 90.0 - harmonic.phase,
                share: place.unwrap_or(shares.len()),
            });
            if place.is_none() {
                shares.push(share);
            }
        }
        Self {
            mean_level: mean_level.get(),
            amplitudes: waves.iter().map(|wave: &Wave| wave.amplitude.abs()).sum(),
            waves,
            shares,
        }
    }

    /// Height above chart datum.
    pub(super) fn height(&self, time: Timestamp) -> f64 {
        let longitudes = Longitudes::at(time).by_doodson();
        let (knot, part) = knot(time);
        let (before, after) = (nodes_at(knot), nodes_at(knot + 1));
        // A few dozen at most; the stack has room for every set in the table.
        let mut factors = [(0.0, 0.0); MOST_SHARES];
        for (place, factor) in self.shares.iter().zip(&mut factors) {
            let (log0, angle0) = share(place, &before);
            let (log1, angle1) = share(place, &after);
            *factor = (
                (log0 + (log1 - log0) * part).exp(),
                angle0 + (angle1 - angle0) * part,
            );
        }
        let mut height = self.mean_level;
        for wave in &self.waves {
            let (factor, angle) = factors.get(wave.share).copied().unwrap_or((1.0, 0.0));
            let degrees = wave.argument(&longitudes) + angle;
            height += wave.amplitude * factor * (degrees % 360.0).to_radians().cos();
        }
        height
    }
}

/// Number of different sets of node factors in the whole table of constituents; a test counts them.
pub(super) const MOST_SHARES: usize = 64;

/// `ln f` and `u` in degrees of a constituent's set of nodes.
pub(super) fn share((powers, angles): &([i8; NODES], [i8; NODES]), nodes: &Nodes) -> (f64, f64) {
    let mut sum = (0.0, 0.0);
    for node in 0..NODES {
        sum.0 += f64::from(powers[node]) * nodes.log_factor[node];
        sum.1 += f64::from(angles[node]) * nodes.angle[node];
    }
    sum
}

/// The grid's knot before a moment, and the fraction of the way from there to the next knot, `0..1`.
fn knot(time: Timestamp) -> (i64, f64) {
    let into = time.as_millis().rem_euclid(GRID_MS);
    (
        time.as_millis().div_euclid(GRID_MS),
        into as f64 / GRID_MS as f64,
    )
}

pub(super) fn nodes_at(knot: i64) -> Nodes {
    Nodes::at(&Longitudes::at(knot_time(knot)))
}

/// The moment of a knot; beyond the calendar it stays at the calendar's end.
pub(super) fn knot_time(knot: i64) -> Timestamp {
    Timestamp::from_millis(knot.saturating_mul(GRID_MS))
}

/// Interpolates between two knots of the grid.
pub const GRID_DAYS: i64 = 16;
pub(super) const GRID_MS: i64 = GRID_DAYS * DAY_MS;
pub(super) const DAY_MS: i64 = 86_400_000;
