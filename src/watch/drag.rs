//! Is the anchor moving? First method: excess over the reach, accumulated.
//!
//! **Symbols.** `d` distance from the bow roller to the mark; `R` the reach, the farthest the
//! roller can lie from a holding anchor; `x = d - R` the excess; `σ` standard deviation of `x`
//! (error of this fix, of the mark, of the lever arm to the roller); `δ` the margin, `3σ` and no
//! less than the setting; `τ` = 30 s, the time over which errors of a fix count as one.
//!
//! **Method.** Page's cumulative sum (1954) of the log-likelihood ratio between "she lies at the
//! reach, the anchor holds" (`x` normal about 0) and "the anchor has moved by δ" (`x` normal
//! about δ): each fix adds `(δ/σ²)(x - δ/2) Δt/τ`, and the sum never falls below nought. With the
//! odds before any evidence `π/(1-π)`, `π` = 10⁻⁴ (chosen: a drag in ten thousand half minutes),
//! the sum `S` gives the probability of a drag `1/(1 + (1-π)/π e^-S)` (Wald 1947, the posterior
//! of a sequential test). The verdict is "dragging" when that reaches 0.99 *and* the excess has
//! stayed above half the margin for the set time.
//!
//! **Assumptions and weakness.** Errors are taken as independent from one `τ` to the next, yet
//! a receiver wanders for hours: that part is in `σ` and so in the margin. A boat inside her reach (light
//! wind, chain on the bottom) can drag by the difference before the first metre of excess shows.
//! Motion inside the reach is never evidence, so a wind reversal cannot alarm. The metres moved
//! are the mean excess: a lower bound.
//!
//! **Tests**: `half_a_margin_forever_is_no_drag`, `a_steady_drag_is_found_within_two_margins`,
//! `one_multipath_jump_is_no_drag`, `more_noise_never_gives_more_confidence`.

use std::time::Duration;

use crate::stats::Running;
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::settings::WatchSettings;

/// Accumulates the evidence. See the module's page.
#[derive(Clone, Debug)]
pub struct DragTest {
    least_margin: Metres,
    hold: Duration,
    last: Option<Tick>,
    sum: f64,
    above_since: Option<Tick>,
    excess: Running,
    margin: Metres,
}

/// How things stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DragEvidence {
    /// Probability that the anchor has moved, 0..1.
    pub probability: f64,
    /// How far at least, by the mean excess of the last half minute.
    pub moved: Metres,
    /// The margin in force.
    pub margin: Metres,
    /// The verdict.
    pub dragging: bool,
    /// Nothing speaks for a drag any more.
    pub quiet: bool,
}

impl DragTest {
    /// With no evidence.
    #[must_use]
    pub fn new(settings: &WatchSettings) -> Self {
        Self {
            least_margin: settings.drag_margin,
            hold: settings.drag_hold,
            last: None,
            sum: 0.0,
            above_since: None,
            excess: Running::new(TAU),
            margin: settings.drag_margin,
        }
    }

    /// Takes the excess over the reach seen by one fix, with its standard deviation.
    pub fn take(&mut self, now: Tick, excess: Metres, sigma: Metres) {
        // After a gap one fix counts for no more than a few seconds: a single fix is one witness.
        let step = self
            .last
            .map_or(0.0, |last| now.secs_since(last).min(LONGEST_STEP));
        self.last = Some(now);
        let sigma = sigma.get().max(0.5);
        let delta = (3.0 * sigma).max(self.least_margin.get());
        self.margin = Metres::of(delta);
        let x = excess.get().clamp(-LARGEST, LARGEST);
        let gain = delta / (sigma * sigma) * (x - delta / 2.0) * step / TAU.as_secs_f64();
        // No single fix, however far off, may decide alone.
        self.sum = (self.sum + gain.min(step * MOST_PER_SECOND)).clamp(0.0, FULL);
        self.excess.push(now, x);
        if x > delta / 2.0 {
            self.above_since.get_or_insert(now);
        } else if self.sum == 0.0 {
            self.above_since = None;
        }
    }

    /// The mark or the rode changed: what was excess may be none now.
    pub fn reset(&mut self) {
        self.last = None;
        self.sum = 0.0;
        self.above_since = None;
        self.excess.clear();
    }

    /// How things stand.
    #[must_use]
    pub fn evidence(&self, now: Tick) -> DragEvidence {
        let prior_odds = PRIOR / (1.0 - PRIOR);
        let odds = prior_odds * self.sum.exp();
        let probability = odds / (1.0 + odds);
        let held = self
            .above_since
            .is_some_and(|since| now.since(since) >= self.hold);
        DragEvidence {
            probability,
            moved: Metres::of(self.excess.mean().unwrap_or(0.0).max(0.0)),
            margin: self.margin,
            dragging: held && probability >= SURE,
            quiet: self.sum == 0.0,
        }
    }
}

const TAU: Duration = Duration::from_secs(30);
const PRIOR: f64 = 1e-4;
const SURE: f64 = 0.99;
const LONGEST_STEP: f64 = 5.0;
const LARGEST: f64 = 10_000.0;
const MOST_PER_SECOND: f64 = 0.75;
/// Beyond this the sum says nothing new, and evidence to the contrary must be able to undo it.
const FULL: f64 = 25.0;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn test() -> DragTest {
        DragTest::new(&WatchSettings::default())
    }

    /// Runs excesses at 1 Hz; the second at which the verdict falls.
    fn verdict(sigma: f64, excess: impl Fn(u64) -> f64, seconds: u64) -> Option<u64> {
        let mut drag = test();
        (0..seconds).find(|&second| {
            let now = Tick::from_secs(second);
            drag.take(now, Metres::of(excess(second)), Metres::of(sigma));
            drag.evidence(now).dragging
        })
    }

    #[test]
    fn half_a_margin_forever_is_no_drag() {
        // σ 3.5 m: margin 10.5 m.
        assert_eq!(verdict(3.5, |_| 5.2, 8 * 3600), None);
    }

    #[test]
    fn a_steady_drag_is_found_within_two_margins() {
        for speed in [0.02, 0.05, 0.1, 0.3, 1.0] {
            let seconds = verdict(3.5, |second| speed * second as f64, 7200);
            let moved = seconds.map(|second| speed * second as f64);
            let limit = 21.0 + speed * 45.0;
            assert!(
                moved.is_some_and(|metres| metres < limit),
                "{speed} m/s: {moved:?}"
            );
        }
    }

    #[test]
    fn one_multipath_jump_is_no_drag() {
        // 10 m for 60 s on top of a taut rode.
        let jump = |second| {
            if (100..160).contains(&second) {
                10.0
            } else {
                0.0
            }
        };
        assert_eq!(verdict(3.5, jump, 3600), None);
        // 14 m for 30 s.
        let jump = |second| {
            if (100..130).contains(&second) {
                14.0
            } else {
                0.0
            }
        };
        assert_eq!(verdict(3.5, jump, 3600), None);
        // A kilometre for 5 s.
        let jump = |second| {
            if (100..105).contains(&second) {
                1000.0
            } else {
                0.0
            }
        };
        assert_eq!(verdict(3.5, jump, 3600), None);
    }

    #[test]
    fn evidence_melts_when_she_comes_back() {
        let mut drag = test();
        for second in 0..1200 {
            let excess = if second < 300 { 30.0 } else { -10.0 };
            drag.take(Tick::from_secs(second), Metres::of(excess), Metres::of(3.0));
            let evidence = drag.evidence(Tick::from_secs(second));
            if second == 299 {
                assert!(evidence.dragging && (evidence.moved.get() - 30.0).abs() < 0.1);
            }
        }
        let evidence = drag.evidence(Tick::from_secs(1200));
        assert!(evidence.quiet && !evidence.dragging && evidence.moved == Metres::ZERO);
    }

    #[test]
    fn one_fix_after_hours_of_silence_is_one_witness() {
        let mut drag = test();
        drag.take(Tick::from_secs(0), Metres::ZERO, Metres::of(3.0));
        let later = Tick::from_secs(4 * 3600);
        drag.take(later, Metres::of(500.0), Metres::of(3.0));
        assert!(drag.evidence(later).probability < 0.01);
    }

    proptest! {
        #[test]
        fn more_noise_never_gives_more_confidence(
            excess in -20.0..60.0_f64, sigma in 2.0..10.0_f64, more in 0.0..5.0_f64, seconds in 1..400_u64,
        ) {
            let probability = |sigma: f64| {
                let mut drag = test();
                for second in 0..seconds {
                    drag.take(Tick::from_secs(second), Metres::of(excess), Metres::of(sigma));
                }
                drag.evidence(Tick::from_secs(seconds)).probability
            };
            prop_assert!(probability(sigma + more) <= probability(sigma) + 1e-12);
        }
    }
}
