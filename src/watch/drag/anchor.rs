//! Where the anchor may lie, if it holds: a grid of places, called a chart, with a probability for each.
//!
//! **Symbols.** `A` a place, `p` where the boat lay on average for half a minute, `B` the bound of her distance
//! from a holding anchor, `d = |p - A|`, `σ` the error of `p`, `ŝ` how far short of `B` she most likely lies.
//!
//! **Prior.** The mark, with its doubt; and, in one case of four, a mark that was pressed early, late or at the
//! wrong place: ten metres and more off (chosen: crews do this). If no heading showed on which side of the antenna
//! the roller was, the mark is the antenna's position and the anchor lies on a ring about it, with the roller's
//! distance as radius.
//!
//! **Likelihood.** Three parts.
//! 1. A holding anchor lets her lie no farther than `B`: beyond it, `-(d-B)²/2σ²`.
//! 2. In a wind she lies about `ŝ` short of it: `-τ (d-B+ŝ)²/2(σ²+σ_s²)`, limited for each look, because she may lie
//!    anywhere in a stream or a lull. `τ`, 0..1, is how far the wind can be trusted to hold her there: little in a
//!    light wind, zero when she does not lie to it. Without a wind instrument, only places nearer than a calm would
//!    have her count, and all such looks together count no more than [`LEAST_SURE`]: a night of light airs gives many
//!    looks, but they may all share one mistake.
//! 3. At least once in a night she lies nearly taut: a place from which she never came within some metres of `B` is
//!    unlikely, whatever the wind was.
//!
//! A look counts by its time over the time in which errors renew themselves, and is forgotten over hours, because
//! the receiver wanders for hours. So the arc she sails narrows the places down, whether or not the anchor was
//! marked well: tests `an_arc_finds_the_anchor_whether_or_not_it_was_marked_well`, `a_late_mark_is_seen_through`,
//! `an_hour_in_light_airs_moves_no_anchor`.
//!
//! **Chart.** A square about the mark. When the likeliest place comes near its edge, the chart is redrawn about
//! that place from everything it was taught: test `a_mark_made_very_late_is_seen_through`.
//!
//! **Support.** How well the likeliest places explain where she is now: `z² = -2 ln (2 Σ π(A) e^(-(d-B)₊²/2σ²))`,
//! zero while at least half the places explain it. With one place, `z` is near the excess in standard deviations;
//! with a doubtful anchor it is less.
//!
//! Weakness: the grid has steps of 1.5 m. A redrawn chart does not include what was taught more than five hours
//! ago.

use std::collections::VecDeque;

use crate::geodesy::Offset;

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Anchor {
    /// The centre of the chart.
    middle: Offset,
    belief: Belief,
    /// The looks it was taught, to redraw it about another centre.
    taught: VecDeque<Look>,
    prior: Vec<f64>,
    /// For each place, what lying beyond the bound says, as a logarithm.
    beyond: Vec<f64>,
    /// For each place, what lying oddly near says against it, as a logarithm.
    odd: Vec<f64>,
    /// The farthest she came beyond the bound, metres; negative while short of it.
    farthest: Vec<f64>,
    /// For each place, the sum of all evidence when it was last weighed.
    logs: Vec<f64>,
    /// Share of recent looks that no wind instrument confirms.
    windless: f64,
    support: Vec<Place>,
    mean: Offset,
    spread: f64,
    /// Most of the support lies within this of the mean.
    most_within: f64,
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
    /// The point that the bound applies to.
    pub(super) at: Offset,
    /// How far it can be from a holding anchor.
    pub(super) bound: f64,
    /// How far short of it she likely lies, with its deviation; `None` if nothing shows that.
    pub(super) short: Option<(f64, f64)>,
    /// A distance farther short than this is odd.
    pub(super) slack: f64,
    /// How far the wind can be trusted to hold her there, 0..1.
    pub(super) trust: f64,
    /// She has fallen back to her rode.
    pub(super) settled: bool,
    /// Error of `at`.
    pub(super) sigma: f64,
    /// How many independent looks it is worth.
    pub(super) weight: f64,
    /// Seconds since the previous look.
    pub(super) gone: f64,
}

/// What is believed of the mark.
#[derive(Clone, Copy, Debug)]
pub(super) struct Belief {
    pub(super) at: Offset,
    /// Standard deviation of a good mark in each coordinate.
    pub(super) sigma: f64,
    /// The distance from it to the anchor in an unknown direction; zero if the place is known.
    pub(super) ring: f64,
    /// Share of bad marks.
    pub(super) bad: f64,
    /// Standard deviation of bad marks.
    pub(super) bad_sigma: f64,
}

impl Belief {
    /// How far a place at this distance from the mark is from where the anchor should lie. A quarter of the ring
    /// inwards counts little: the roller may be nearer than the bow is long.
    fn off(&self, distance: f64) -> f64 {
        let off = distance - self.ring;
        if off < 0.0 {
            off * self.sigma / (self.sigma + RING_SOFT * self.ring)
        } else {
            off
        }
    }
}

impl Anchor {
    pub(super) fn new(belief: &Belief) -> Self {
        let mut anchor = Self::blank(belief, belief.at);
        anchor.weigh();
        anchor
    }

    /// A chart about this centre that has only the mark.
    fn blank(belief: &Belief, middle: Offset) -> Self {
        let mut prior = Vec::with_capacity(CELLS * CELLS);
        let part = |share: f64, sigma: f64, square: f64| {
            share / (sigma * sigma) * (-0.5 * square / (sigma * sigma)).exp()
        };
        for north in 0..CELLS {
            let y = middle.north - belief.at.north + cell(north);
            for east in 0..CELLS {
                let x = middle.east - belief.at.east + cell(east);
                let square = belief.off(x.hypot(y)).powi(2);
                let density = part(1.0 - belief.bad, belief.sigma, square)
                    + part(belief.bad, belief.bad_sigma, square);
                prior.push(density.max(1e-300).ln());
            }
        }
        Self {
            middle,
            belief: *belief,
            taught: VecDeque::new(),
            beyond: vec![0.0; prior.len()],
            odd: vec![0.0; prior.len()],
            farthest: vec![NEVER; prior.len()],
            logs: Vec::with_capacity(prior.len()),
            windless: 0.0,
            prior,
            support: Vec::new(),
            mean: belief.at,
            spread: belief.sigma,
            most_within: f64::INFINITY,
        }
    }

    /// Where the anchor most likely lies, and the standard deviation of that in each coordinate.
    pub(super) fn estimate(&self) -> (Offset, f64) {
        (self.mean, self.spread)
    }

    /// Takes a look.
    pub(super) fn take(&mut self, look: &Look) {
        if self.taught.len() >= MOST_TAUGHT {
            self.taught.pop_front();
        }
        self.taught.push_back(*look);
        self.draw(look);
        self.weigh();
        let off = self.mean - self.middle;
        if off.east.abs().max(off.north.abs()) > NEAR_EDGE {
            self.draw_anew();
        }
    }

    /// The anchor may lie off the chart: redraws it about the place where the anchor most likely lies.
    fn draw_anew(&mut self) {
        let taught = std::mem::take(&mut self.taught);
        *self = Self::blank(&self.belief, self.mean);
        for look in &taught {
            self.draw(look);
        }
        self.taught = taught;
        self.weigh();
    }

    fn draw(&mut self, look: &Look) {
        let keep = (-look.gone / FORGET).exp();
        let upper = 0.5 * look.weight / (look.sigma * look.sigma);
        let (short, deviation, most) = match look.short {
            Some((short, deviation)) => (short, deviation, ODD),
            None => (look.slack, 0.0, ODD_UNKNOWN),
        };
        let windless = if look.short.is_none() { 1.0 } else { 0.0 };
        self.windless += (windless - self.windless) * (look.weight * WINDLESS_SHARE).min(1.0);
        let lower = 0.5 / (look.sigma * look.sigma + deviation * deviation);
        let worth = look.weight * look.trust;
        let known = look.short.is_some();
        let fades = look.gone * FARTHEST_FADES;
        let mut cells = self
            .beyond
            .iter_mut()
            .zip(&mut self.odd)
            .zip(&mut self.farthest);
        for north in 0..CELLS {
            let y = look.at.north - self.middle.north - cell(north);
            for east in 0..CELLS {
                let x = look.at.east - self.middle.east - cell(east);
                let over = (x * x + y * y).sqrt() - look.bound;
                let Some(((beyond, odd), farthest)) = cells.next() else {
                    break;
                };
                let cost = if over > 0.0 { upper * over * over } else { 0.0 };
                *beyond = *beyond * keep - cost.min(MOST_COST);
                let off = over + short;
                *odd *= keep;
                if off < 0.0 || known {
                    *odd += worth * (lower * off * off).min(most);
                }
                if look.settled {
                    *farthest = (*farthest - fades).max(over);
                }
            }
        }
    }

    /// How many standard deviations lie between where she is and where the likeliest places let her be, and the
    /// mean excess in metres.
    pub(super) fn excess(&self, at: Offset, bound: f64, sigma: f64) -> (f64, f64) {
        // Most of the time half the places explain where she is and no weighing is needed. Two quick tests find
        // this: one circle about most of the places, then place by place without a root.
        let off = (at - self.mean).length().get();
        if off + self.most_within <= bound || self.explains_half(at, bound) {
            return (0.0, off - bound);
        }
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

    fn explains_half(&self, at: Offset, bound: f64) -> bool {
        let square = bound.max(0.0).powi(2);
        let mut explained = 0.0;
        self.support.chunks(SOME).any(|places| {
            for place in places {
                let (x, y) = (at.east - place.at.east, at.north - place.at.north);
                if x * x + y * y <= square {
                    explained += place.share;
                }
            }
            explained >= 0.5
        })
    }

    /// Adds up what is known about each place; returns the greatest sum.
    fn sum_up(&mut self) -> f64 {
        let places = self.prior.iter().zip(&self.beyond);
        let places = places.zip(&self.odd).zip(&self.farthest);
        let least = self.odd.iter().copied().fold(f64::INFINITY, f64::min);
        // A look at a boat that has fallen back to her rode raises this figure for every place.
        let lain = self.farthest.first().is_some_and(|far| *far > NEVER / 2.0);
        let mut most = f64::NEG_INFINITY;
        self.logs.clear();
        self.logs
            .extend(places.map(|(((prior, beyond), odd), farthest)| {
                let mut odd = odd - least;
                if self.windless > 0.5 {
                    odd = at_most(odd, LEAST_SURE);
                }
                let slack = (-farthest - TAUT) / TAUT_DEVIATION;
                let taut = if lain && slack > 0.0 {
                    at_most(0.5 * slack * slack, NEVER_TAUT)
                } else {
                    0.0
                };
                let log = prior + beyond - odd - taut;
                most = most.max(log);
                log
            }));
        most
    }

    /// Turns the sums into shares, and finds the mean and the spread.
    fn weigh(&mut self) {
        let most = self.sum_up();
        let mut total = 0.0;
        self.support.clear();
        for (north, row) in self.logs.chunks_exact(CELLS).enumerate() {
            for (east, log) in row.iter().enumerate() {
                if *log < most - NEGLIGIBLE {
                    continue;
                }
                let share = (log - most).exp();
                total += share;
                let at = Offset {
                    east: cell(east),
                    north: cell(north),
                };
                self.support.push(Place {
                    at: self.middle + at,
                    share,
                });
            }
        }
        let mut mean = Offset::ZERO;
        for place in &mut self.support {
            place.share /= total;
            mean = mean + place.at * place.share;
        }
        let mut variance = 0.0;
        let mut rings = [0.0; RINGS];
        for place in &self.support {
            let (x, y) = (place.at.east - mean.east, place.at.north - mean.north);
            let square = x * x + y * y;
            let off = square.sqrt();
            variance += place.share * square / 2.0;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a distance in steps of the chart"
            )]
            let ring = (off / STEP) as usize;
            if let Some(ring) = rings.get_mut(ring) {
                *ring += place.share;
            }
        }
        let mut within = 0.0;
        let ring = rings.iter().position(|share| {
            within += share;
            within >= MOST
        });
        self.most_within = ring.map_or(f64::INFINITY, |ring| (ring + 1) as f64 * STEP);
        self.mean = mean;
        self.spread = (variance + STEP * STEP / 12.0).sqrt();
    }
}

/// The first value, flattened so that it never exceeds the second.
fn at_most(cost: f64, most: f64) -> f64 {
    cost / (1.0 + cost / most)
}

fn cell(index: usize) -> f64 {
    (index as f64 - (CELLS / 2) as f64) * STEP
}

const CELLS: usize = 57;
/// Metres from one place to the next.
const STEP: f64 = 1.5;
/// The number of rings about the mean for counting the support, and the share that counts as most of it.
const RINGS: usize = 2 * CELLS;
const MOST: f64 = 0.6;
/// The number of places to look at before asking whether they are enough.
const SOME: usize = 32;
/// The chart is redrawn when the anchor is this far from its centre, metres.
const NEAR_EDGE: f64 = 27.0;
/// The number of looks kept for that: five hours; older ones count for little.
const MOST_TAUGHT: usize = 600;
/// Observations are forgotten over this time, seconds: the receiver's error of hours.
const FORGET: f64 = 14_400.0;
/// Share of the ring's radius by which the anchor may lie nearer.
const RING_SOFT: f64 = 0.25;
/// The most that one look from oddly near counts against a place.
const ODD: f64 = 4.0;
const ODD_UNKNOWN: f64 = 1.0;
/// Without a wind instrument, the most that all such looks count together: a stream may hold her stern to her
/// anchor for hours.
const LEAST_SURE: f64 = 8.0;
/// How fast the share of looks without a wind instrument is updated: over half an hour of looks.
const WINDLESS_SHARE: f64 = 1.0 / 6.0;
/// At least once in a night she lies within this distance of the bound, metres, with this deviation; if she never
/// did, this is what counts against a place. Chosen, and tuned with the rest.
const TAUT: f64 = 2.0;
const TAUT_DEVIATION: f64 = 3.0;
const NEVER_TAUT: f64 = 6.0;
/// How fast the tautest distance is forgotten, metres a second.
const FARTHEST_FADES: f64 = 1.0 / 3600.0;
const NEVER: f64 = -1000.0;
/// The most that one look from beyond the bound counts against a place.
const MOST_COST: f64 = 8.0;
/// A place that is less likely than the likeliest by this much, as a logarithm, does not count.
const NEGLIGIBLE: f64 = 10.0;

#[cfg(test)]
mod tests;
