//! Heights of the tide at a place.
//!
//! # Method
//! A standard place has the [`curve`](super::curve) of its constituents. A secondary place has no curve of
//! its own, only differences in time and height to a standard place (common practice in tide tables): its
//! high and low waters are shifted and scaled, and between them the curve of the standard place is
//! stretched to fit.
//!
//! # Assumptions and weakness
//! Those of the curve. Away from high and low water, a secondary place's curve is a guess.
//!
//! # Tests
//! `tests/tide.rs` against three libraries and a published table; `tide/tests.rs` against figures typed from
//! that table, and random constants and times.

use super::curve::{Curve, DAY_MS, Harmonic};
use super::turns::{self, Stand, Turn};
use crate::time::Timestamp;
use crate::units::Metres;

/// How a standard place's high and low waters become those of a secondary place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Differences {
    /// Minutes later (negative: earlier) at high water.
    pub high_minutes: f64,
    /// Minutes later at low water.
    pub low_minutes: f64,
    /// Change of the height at high water.
    pub high: HeightDifference,
    /// Change of the height at low water.
    pub low: HeightDifference,
}

/// How a height above chart datum changes from the standard to the secondary place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeightDifference {
    /// Multiply by this.
    Ratio(f64),
    /// Add this.
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

/// State of the tide at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// Height above chart datum.
    pub height: Metres,
    /// Is the tide rising to high water, or falling?
    pub rising: bool,
    /// The last turn.
    pub last: Turn,
    /// The next one.
    pub next: Turn,
}

impl Run {
    /// The part of the tide between the last turn and the next.
    #[must_use]
    pub fn range(&self) -> Metres {
        Metres::of((self.next.height - self.last.height).get().abs())
    }
}

/// Predicts the tide at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Predictor {
    curve: Curve,
    differences: Option<Differences>,
}

impl Predictor {
    /// `mean_level` is the mean level above chart datum (`Z0`). Constituents without amplitude or with a
    /// phase that is not finite are left out.
    #[must_use]
    pub fn new(mean_level: Metres, harmonics: &[Harmonic]) -> Self {
        Self {
            curve: Curve::new(mean_level, harmonics),
            differences: None,
        }
    }

    /// A predictor for a secondary place.
    #[must_use]
    pub fn with_differences(mut self, differences: Differences) -> Self {
        self.differences = Some(differences);
        self
    }

    /// Height above chart datum.
    #[must_use]
    pub fn height(&self, time: Timestamp) -> Metres {
        let Some(differences) = &self.differences else {
            return Metres::of(self.curve.height(time));
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
            // A standard place without turns: it has no noticeable tide.
            return Metres::of(differences.high.apply(self.curve.height(time)));
        };
        let part = time.millis_since(there0.time) as f64
            / there1.time.millis_since(there0.time).max(1) as f64;
        let span = here1.time.millis_since(here0.time) as f64;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "milliseconds within two days"
        )]
        let moment = here0.time.as_millis() + (part * span) as i64;
        let level = self.curve.height(Timestamp::from_millis(moment));
        let range = (here1.height - here0.height).get();
        let done = if range.abs() < 1e-6 {
            part
        } else {
            (level - here0.height.get()) / range
        };
        there0.height + (there1.height - there0.height) * done
    }

    /// All high and low waters in `from..to`, in order; high and low water alternate. Two neighbours with
    /// less than [`turns::LEAST_RANGE`] between them do not count.
    /// ```
    /// use windrode::tide::Stand;
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
    /// assert_eq!((turns.len(), first.kind), (4, Stand::High));
    /// assert!((first.height.get() - 2.704).abs() < 0.04);
    /// assert!(first.time.millis_since(at("2021-01-01T05:29:00Z")).abs() < 3 * 60_000);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn turns(&self, from: Timestamp, to: Timestamp) -> Vec<Turn> {
        let mut found = match &self.differences {
            None => turns::find(&self.curve, from, to),
            Some(differences) => self
                .shifted(differences, from, to)
                .into_iter()
                .map(|(_, there)| there)
                .collect(),
        };
        found.retain(|turn| from <= turn.time && turn.time < to);
        found
    }

    /// The highest water in `from..=to`, with its moment. Both ends are included.
    #[must_use]
    pub fn highest(&self, from: Timestamp, to: Timestamp) -> (Timestamp, Metres) {
        self.candidates(from, to)
            .reduce(|best, other| if other.1 > best.1 { other } else { best })
            .unwrap_or((from, self.height(from)))
    }

    /// The lowest water in `from..=to`, with its moment. Both ends are included.
    #[must_use]
    pub fn lowest(&self, from: Timestamp, to: Timestamp) -> (Timestamp, Metres) {
        self.candidates(from, to)
            .reduce(|best, other| if other.1 < best.1 { other } else { best })
            .unwrap_or((from, self.height(from)))
    }

    /// The state of the tide now; `None` when there is no tide (no turn within two days either way).
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
            rising: next.kind == Stand::High,
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
            None => turns::every(&self.curve, from, to),
            Some(_) => self.turns(from, to),
        };
        turns.retain(|turn| from <= turn.time && turn.time < to);
        let ends = [from, to.max(from)];
        let ends = ends.map(|time| (time, self.height(time)));
        let turns = turns.into_iter().map(|turn| (turn.time, turn.height));
        ends.into_iter().chain(turns)
    }

    /// Turns of the standard place, each with the secondary place's turn that it becomes.
    fn shifted(
        &self,
        differences: &Differences,
        from: Timestamp,
        to: Timestamp,
    ) -> Vec<(Turn, Turn)> {
        let from = Timestamp::from_millis(from.as_millis().saturating_sub(2 * DAY_MS));
        let to = Timestamp::from_millis(to.as_millis().saturating_add(2 * DAY_MS));
        let mut pairs: Vec<(Turn, Turn)> = Vec::new();
        for here in turns::find(&self.curve, from, to) {
            let (minutes, height) = match here.kind {
                Stand::High => (differences.high_minutes, differences.high),
                Stand::Low => (differences.low_minutes, differences.low),
            };
            #[expect(clippy::cast_possible_truncation, reason = "saturates")]
            let later = (minutes * 60_000.0) as i64;
            let there = Turn {
                time: Timestamp::from_millis(here.time.as_millis().saturating_add(later)),
                height: Metres::of(height.apply(here.height.get())),
                kind: here.kind,
            };
            // Differences that put a low water before the high water it follows: drop both.
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
}
