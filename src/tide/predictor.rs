//! Heights of the tide at a place.
//!
//! # Method
//! `h(t) = Z0 + Σ f H cos(V(t) + u - g)` over the constituents of the place (Schureman, formula 304). `f` and
//! `u` are taken at the moments of a fixed grid of [`GRID_DAYS`] days and carried in between along a straight line
//! (`f` by its logarithm), so the curve has no steps and does not depend on the window that was asked for.
//!
//! A secondary place has no constituents of its own but differences in time and height to a standard
//! place (common practice in tide tables): high and low water are shifted and scaled, and between them the curve of the
//! standard place is stretched to fit.
//!
//! # Assumptions and weakness
//! The constants of a place hold as long as the sea bed does; rivers' floods, ice and weather are not in
//! them. A secondary place's curve away from high and low water is a guess. Carrying `f` and `u` along straight lines costs at
//! most 0.0003 of a constituent.
//!
//! # Tests
//! `tests/tide.rs` against three libraries and a published table; `tide/tests.rs` against figures typed from
//! that table, and random constants and times.

use super::astronomy::{Longitudes, NODES, Nodes};
use super::constituents::Constituent;
use super::turns::{self, Kind, Turn};
use crate::time::Timestamp;
use crate::units::Metres;

/// One constituent's constants at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Harmonic {
    /// Which.
    pub constituent: &'static Constituent,
    /// `H`: half the range it makes when its node factor is 1.
    pub amplitude: Metres,
    /// `g`: Greenwich phase lag, degrees.
    pub phase: f64,
}

/// What turns a standard place's high and low waters into those of a secondary place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Differences {
    /// Minutes later (negative: earlier) at high water.
    pub high_minutes: f64,
    /// Minutes later at low water.
    pub low_minutes: f64,
    /// At high water.
    pub high: HeightDifference,
    /// At low water.
    pub low: HeightDifference,
}

/// How a height above chart datum changes from the standard to the secondary place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeightDifference {
    /// Times this.
    Ratio(f64),
    /// Plus this.
    Add(Metres),
}

impl HeightDifference {
    pub(super) fn apply(self, height: f64) -> f64 {
        match self {
            Self::Ratio(factor) => height * factor,
            Self::Add(metres) => height + metres.get(),
        }
    }
}

/// What the tide does at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Above chart datum.
    pub height: Metres,
    /// Towards high water, or away from it.
    pub rising: bool,
    /// The last turn.
    pub last: Turn,
    /// The next one.
    pub next: Turn,
}

impl Run {
    /// Between the last turn and the next.
    #[must_use]
    pub fn range(&self) -> Metres {
        Metres::of((self.next.height - self.last.height).get().abs())
    }
}

/// Predicts the tide at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Predictor {
    mean_level: f64,
    pub(super) waves: Vec<Wave>,
    /// Node factors and angles that occur, as powers and multiples.
    pub(super) shares: Vec<([i8; NODES], [i8; NODES])>,
    differences: Option<Differences>,
    pub(super) amplitudes: f64,
}

/// A constituent made ready.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wave {
    pub(super) amplitude: f64,
    doodson: [f64; 6],
    /// `k 90° - g`
    constant: f64,
    /// Place in `shares`.
    pub(super) share: usize,
}

impl Wave {
    /// `V - g` without the node's angle, degrees, not folded.
    pub(super) fn argument(&self, longitudes: &[f64; 6]) -> f64 {
        let turned = self.doodson.iter().zip(longitudes);
        self.constant + turned.map(|(n, angle)| n * angle).sum::<f64>()
    }
}

impl Predictor {
    /// `mean_level` is the mean level above chart datum (`Z0`). Constituents without amplitude are
    /// left out; a phase that is not finite takes its constituent out too.
    #[must_use]
    pub fn new(mean_level: Metres, harmonics: &[Harmonic]) -> Self {
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
            differences: None,
        }
    }

    /// The same for a secondary place.
    #[must_use]
    pub fn with_differences(mut self, differences: Differences) -> Self {
        self.differences = Some(differences);
        self
    }

    /// Mean level above chart datum, of the standard place.
    #[must_use]
    pub fn mean_level(&self) -> Metres {
        Metres::of(self.mean_level)
    }

    /// Height above chart datum.
    #[must_use]
    pub fn height(&self, time: Timestamp) -> Metres {
        let Some(differences) = &self.differences else {
            return Metres::of(self.standard_height(time));
        };
        let day = DAY_MS.saturating_mul(2);
        let from = Timestamp::from_millis(time.as_millis().saturating_sub(day));
        let to = Timestamp::from_millis(time.as_millis().saturating_add(day));
        let pairs = self.shifted(differences, from, to);
        let after = pairs.partition_point(|(_, there)| there.time <= time);
        let between = after
            .checked_sub(1)
            .and_then(|before| Some((pairs.get(before)?, pairs.get(after)?)));
        let Some(((here0, there0), (here1, there1))) = between else {
            // A standard place without turns (no tide worth the name).
            return Metres::of(differences.high.apply(self.standard_height(time)));
        };
        let part = time.millis_since(there0.time) as f64
            / there1.time.millis_since(there0.time).max(1) as f64;
        let span = here1.time.millis_since(here0.time) as f64;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "milliseconds within two days"
        )]
        let moment = here0.time.as_millis() + (part * span) as i64;
        let level = self.standard_height(Timestamp::from_millis(moment));
        let range = (here1.height - here0.height).get();
        let done = if range.abs() < 1e-6 {
            part
        } else {
            (level - here0.height.get()) / range
        };
        there0.height + (there1.height - there0.height) * done
    }

    /// All high and low waters in `from..to`, in order, high and low by turns. Two that follow one
    /// another with less than [`turns::LEAST_RANGE`] between them are none.
    /// ```
    /// use windrode::tide::Kind;
    /// use windrode::tide::stations::Catalogue;
    /// use windrode::time::Timestamp;
    ///
    /// let catalogue = Catalogue::bundled()?;
    /// let boston = catalogue.predictor(catalogue.find("8443970")?).unwrap();
    /// let at = |text: &str| text.parse::<Timestamp>().unwrap();
    /// let turns = boston.turns(at("2021-01-01T00:00:00Z"), at("2021-01-02T00:00:00Z"));
    ///
    /// // NOAA's table: high water 05:29 UTC, 2.704 m above MLLW, and three more turns that day.
    /// let first = turns[0];
    /// assert_eq!((turns.len(), first.kind), (4, Kind::High));
    /// assert!((first.height.get() - 2.704).abs() < 0.04);
    /// assert!(first.time.millis_since(at("2021-01-01T05:29:00Z")).abs() < 3 * 60_000);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn turns(&self, from: Timestamp, to: Timestamp) -> Vec<Turn> {
        let mut found = match &self.differences {
            None => turns::find(self, from, to),
            Some(differences) => self
                .shifted(differences, from, to)
                .into_iter()
                .map(|(_, there)| there)
                .collect(),
        };
        found.retain(|turn| from <= turn.time && turn.time < to);
        found
    }

    /// The highest water in `from..=to`, with its moment. The ends count.
    #[must_use]
    pub fn highest(&self, from: Timestamp, to: Timestamp) -> (Timestamp, Metres) {
        self.candidates(from, to)
            .reduce(|best, other| if other.1 > best.1 { other } else { best })
            .unwrap_or((from, self.height(from)))
    }

    /// The lowest water in `from..=to`, with its moment. The ends count.
    #[must_use]
    pub fn lowest(&self, from: Timestamp, to: Timestamp) -> (Timestamp, Metres) {
        self.candidates(from, to)
            .reduce(|best, other| if other.1 < best.1 { other } else { best })
            .unwrap_or((from, self.height(from)))
    }

    /// What the tide does now; `None` where there is none (no turn within two days either way).
    #[must_use]
    pub fn run(&self, time: Timestamp) -> Option<Run> {
        let reach = DAY_MS.saturating_mul(2);
        let turns = self.turns(
            Timestamp::from_millis(time.as_millis().saturating_sub(reach)),
            Timestamp::from_millis(time.as_millis().saturating_add(reach)),
        );
        let after = turns.partition_point(|turn| turn.time <= time);
        let (last, next) = (*turns.get(after.checked_sub(1)?)?, *turns.get(after)?);
        Some(Run {
            height: self.height(time),
            rising: next.kind == Kind::High,
            last,
            next,
        })
    }

    fn candidates(
        &self,
        from: Timestamp,
        to: Timestamp,
    ) -> impl Iterator<Item = (Timestamp, Metres)> {
        let mut turns = match &self.differences {
            None => turns::every(self, from, to),
            Some(_) => self.turns(from, to),
        };
        turns.retain(|turn| from <= turn.time && turn.time < to);
        let ends = [from, to.max(from)];
        let ends = ends.map(|time| (time, self.height(time)));
        let turns = turns.into_iter().map(|turn| (turn.time, turn.height));
        ends.into_iter().chain(turns)
    }

    /// Turns of the standard place with those of the secondary place that they become.
    fn shifted(
        &self,
        differences: &Differences,
        from: Timestamp,
        to: Timestamp,
    ) -> Vec<(Turn, Turn)> {
        let from = Timestamp::from_millis(from.as_millis().saturating_sub(2 * DAY_MS));
        let to = Timestamp::from_millis(to.as_millis().saturating_add(2 * DAY_MS));
        let mut pairs: Vec<(Turn, Turn)> = Vec::new();
        for here in turns::find(self, from, to) {
            let (minutes, height) = match here.kind {
                Kind::High => (differences.high_minutes, differences.high),
                Kind::Low => (differences.low_minutes, differences.low),
            };
            #[expect(clippy::cast_possible_truncation, reason = "saturates")]
            let later = (minutes * 60_000.0) as i64;
            let there = Turn {
                time: Timestamp::from_millis(here.time.as_millis().saturating_add(later)),
                height: Metres::of(height.apply(here.height.get())),
                kind: here.kind,
            };
            // Differences that put a low water before the high water it follows: neither is one.
            if pairs
                .last()
                .is_some_and(|(_, last)| last.time >= there.time)
            {
                pairs.pop();
            } else {
                pairs.push((here, there));
            }
        }
        pairs
    }

    fn standard_height(&self, time: Timestamp) -> f64 {
        let longitudes = Longitudes::at(time).by_doodson();
        let (knot, part) = knot(time);
        let (before, after) = (nodes_at(knot), nodes_at(knot + 1));
        // Not more than a few dozen; the stack has room for all that the table can hold.
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

/// Different sets of node factors in the whole table of constituents; a test counts them.
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

/// The grid's knot before a moment, and how far it lies from there to the next, `0..1`.
pub(super) fn knot(time: Timestamp) -> (i64, f64) {
    let into = time.as_millis().rem_euclid(GRID_MS);
    (
        time.as_millis().div_euclid(GRID_MS),
        into as f64 / GRID_MS as f64,
    )
}

pub(super) fn nodes_at(knot: i64) -> Nodes {
    Nodes::at(&Longitudes::at(knot_time(knot)))
}

/// When a knot is; beyond the calendar it stands still at the calendar's end.
pub(super) fn knot_time(knot: i64) -> Timestamp {
    Timestamp::from_millis(knot.saturating_mul(GRID_MS))
}

/// Between two knots of the grid.
pub const GRID_DAYS: i64 = 16;
pub(super) const GRID_MS: i64 = GRID_DAYS * DAY_MS;
pub(super) const DAY_MS: i64 = 86_400_000;
