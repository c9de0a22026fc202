//! Where the anchor may lie, if it holds: a chart of places with a probability each.
//!
//! **Symbols.** `A` a place, `p` where the boat lay on average for half a minute, `B` the bound of
//! her distance from a holding anchor, `d = |p - A|`, `σ` the error of `p`, `ŝ` how far short of
//! `B` she most likely lies.
//!
//! **Prior.** The mark, with its doubt; and, in one case of four, a mark that was pressed early,
//! late or at the wrong place: ten metres and more off (chosen: crews do).
//!
//! **Likelihood.** A holding anchor lets her lie no farther than `B`: beyond it, `-(d-B)²/2σ²`. In a
//! wind she lies about `ŝ` short of it: `-(d-B+ŝ)²/2(σ²+σ_s²)`, bounded below, for she may lie
//! anywhere in a stream or a lull. A look counts for its time over the time in which errors
//! renew themselves, and is forgotten over hours, as the receiver wanders for hours. So the arc she
//! sails narrows the places down, whether or not the anchor was marked well: tests
//! `an_arc_finds_the_anchor`, `a_late_mark_is_seen_through`.
//!
//! **Support.** How well the likeliest places explain where she is now:
//! `z² = -2 ln (2 Σ π(A) e^(-(d-B)₊²/2σ²))`, nought while half the places or more explain it: with
//! one place, `z` is near the excess in standard deviations; with a doubtful anchor less.
//!
//! Weakness: a grid of 1.5 m, 42 m to each side; a mark farther off than that is not found.

use crate::geodesy::Offset;

/// See the module's page.
#[derive(Clone, Debug)]
pub(super) struct Anchor {
    /// The middle of the chart.
    middle: Offset,
    prior: Vec<f64>,
    data: Vec<f64>,
    support: Vec<Place>,
    mean: Offset,
    spread: f64,
}

/// A place that is likely enough to count, with its share.
#[derive(Clone, Copy, Debug)]
struct Place {
    at: Offset,
    share: f64,
}

/// Where she lay for a while.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    /// The point that is bounded.
    pub(super) at: Offset,
    /// How far it can be from a holding anchor.
    pub(super) bound: f64,
    /// How far short of it she likely lies, with the deviation of that; `None` where nothing says.
    pub(super) short: Option<(f64, f64)>,
    /// Farther short than this is odd.
    pub(super) slack: f64,
    /// Error of `at`.
    pub(super) sigma: f64,
    /// Of how many independent looks it is worth.
    pub(super) weight: f64,
    /// Seconds since the look before.
    pub(super) gone: f64,
}

/// What is believed of the mark.
#[derive(Clone, Copy, Debug)]
pub(super) struct Belief {
    pub(super) at: Offset,
    /// Standard deviation a coordinate of a good mark.
    pub(super) sigma: f64,
    /// Share of bad ones.
    pub(super) bad: f64,
    /// Their standard deviation.
    pub(super) bad_sigma: f64,
}

impl Anchor {
    pub(super) fn new(belief: &Belief) -> Self {
        let mut prior = Vec::with_capacity(CELLS * CELLS);
        let part = |share: f64, sigma: f64, square: f64| {
            share / (sigma * sigma) * (-0.5 * square / (sigma * sigma)).exp()
        };
        for north in 0..CELLS {
            for east in 0..CELLS {
                let (x, y) = (cell(east), cell(north));
                let square = x * x + y * y;
                let density = part(1.0 - belief.bad, belief.sigma, square)
                    + part(belief.bad, belief.bad_sigma, square);
                prior.push(density.max(1e-300).ln());
            }
        }
        let mut anchor = Self {
            middle: belief.at,
            data: vec![0.0; prior.len()],
            prior,
            support: Vec::new(),
            mean: belief.at,
            spread: belief.sigma,
        };
        anchor.weigh();
        anchor
    }

    /// Where it most likely lies, and the standard deviation of that a coordinate.
    pub(super) fn estimate(&self) -> (Offset, f64) {
        (self.mean, self.spread)
    }

    /// Takes a look.
    pub(super) fn take(&mut self, look: &Look) {
        let keep = (-look.gone / FORGET).exp();
        let upper = 0.5 * look.weight / (look.sigma * look.sigma);
        let (short, deviation, most, lower_weight) = match look.short {
            Some((short, deviation)) => (short, deviation, ODD, look.weight),
            None => (look.slack, 0.0, ODD_UNKNOWN, look.weight),
        };
        let lower = 0.5 / (look.sigma * look.sigma + deviation * deviation);
        let known = look.short.is_some();
        let mut index = 0;
        for north in 0..CELLS {
            let y = look.at.north - self.middle.north - cell(north);
            for east in 0..CELLS {
                let x = look.at.east - self.middle.east - cell(east);
                let over = (x * x + y * y).sqrt() - look.bound;
                let mut cost = if over > 0.0 { upper * over * over } else { 0.0 };
                let off = over + short;
                if off < 0.0 || known {
                    cost += lower_weight * (lower * off * off).min(most);
                }
                if let Some(data) = self.data.get_mut(index) {
                    *data = *data * keep - cost.min(MOST_COST);
                }
                index += 1;
            }
        }
        self.weigh();
    }

    /// How many standard deviations the likeliest places leave between where she is and where she
    /// could be, and the mean excess in metres.
    pub(super) fn excess(&self, at: Offset, bound: f64, sigma: f64) -> (f64, f64) {
        let scale = -0.5 / (sigma * sigma);
        let (mut explained, mut mean) = (0.0, 0.0);
        for place in &self.support {
            let (x, y) = (at.east - place.at.east, at.north - place.at.north);
            let over = (x * x + y * y).sqrt() - bound;
            mean += place.share * over;
            explained += place.share
                * if over > 0.0 {
                    (scale * over * over).exp()
                } else {
                    1.0
                };
        }
        let z = (-2.0 * (2.0 * explained).max(1e-300).ln()).max(0.0).sqrt();
        (z, mean)
    }

    /// Sums up what is known of each place.
    fn weigh(&mut self) {
        let logs = || self.prior.iter().zip(&self.data).map(|(p, d)| p + d);
        let most = logs().fold(f64::NEG_INFINITY, f64::max);
        let mut total = 0.0;
        self.support.clear();
        for (index, log) in logs().enumerate() {
            if log < most - NEGLIGIBLE {
                continue;
            }
            let share = (log - most).exp();
            total += share;
            self.support.push(Place {
                at: self.middle
                    + Offset {
                        east: cell(index % CELLS),
                        north: cell(index / CELLS),
                    },
                share,
            });
        }
        let mut mean = Offset::ZERO;
        for place in &mut self.support {
            place.share /= total;
            mean = mean + place.at * place.share;
        }
        let variance: f64 = self
            .support
            .iter()
            .map(|place| {
                let off = (place.at - mean).length().get();
                place.share * off * off / 2.0
            })
            .sum();
        self.mean = mean;
        self.spread = (variance + STEP * STEP / 12.0).sqrt();
    }
}

fn cell(index: usize) -> f64 {
    (index as f64 - (CELLS / 2) as f64) * STEP
}

const CELLS: usize = 57;
/// Metres from one place to the next.
const STEP: f64 = 1.5;
/// What was seen is forgotten over this, seconds: the receiver's error of hours.
const FORGET: f64 = 14_400.0;
/// The most that lying oddly near says against a place.
const ODD: f64 = 4.0;
const ODD_UNKNOWN: f64 = 1.0;
/// The most one look says against a place.
const MOST_COST: f64 = 8.0;
/// Places less likely than the likeliest by this much, as a logarithm, do not count.
const NEGLIGIBLE: f64 = 10.0;
