//! One trial: the load, the fixes under load, and what a straight line through them shows.

use std::collections::VecDeque;
use std::time::Duration;

use super::{
    CREEP, HOLD, LEAST_LOAD, LEAST_SIGMA, PullReading, PullVerdict, REST, SETTLING, Trial,
};
use crate::speech::notes::Pull;
use crate::speech::{Depth, Round, Wording};
use crate::time::Tick;
use crate::units::{Hertz, Metres};

impl Trial {
    pub(super) fn new(now: Tick, ordered: bool) -> Self {
        Self {
            ordered,
            begun: now,
            load: None,
            steady: None,
            changes: 0,
            track: VecDeque::new(),
            sigma: LEAST_SIGMA,
            lever: 0.0,
            decided: None,
        }
    }

    pub(super) fn begin(&mut self, now: Tick) {
        self.steady = Some(now);
        self.track.clear();
    }

    pub(super) fn pull_with(&mut self, now: Tick, rate: Hertz) {
        let Some(load) = self.load.filter(|_| self.steady.is_some()) else {
            self.load = Some(rate);
            self.begin(now);
            return;
        };
        let step = rate.get() - load.get();
        if step.abs() <= load.get() * STEADY {
            // Follows slowly: the revolutions sag as the load comes on.
            self.load = Some(Hertz::of(load.get() + 0.1 * step));
            return;
        }
        if self
            .steady
            .is_some_and(|since| now.since(since) >= SETTLING / 2)
        {
            self.changes += 1;
        }
        // More load makes it another test; less load does not undo what yielded.
        if self
            .decided
            .as_ref()
            .is_some_and(|reading| reading.verdict == PullVerdict::Held && step > 0.0)
        {
            self.decided = None;
        }
        self.load = Some(rate);
        self.begin(now);
    }

    pub(super) fn assess(&self, now: Tick, say: &Wording) -> PullReading {
        let held = self.steady.map_or(Duration::ZERO, |since| now.since(since));
        let cannot = |why: Pull, moved: f64, doubt: f64| PullReading {
            load: self.load,
            held: held.as_secs_f64().floor(),
            moved: Metres::of(moved),
            uncertainty: Metres::of(doubt),
            verdict: PullVerdict::CannotTell,
            why: why.words(say),
            running: true,
        };
        let Some(steady) = self.steady else {
            let needed = Round(LEAST_LOAD * 60.0);
            return cannot(Pull::NoLoad { needed }, 0.0, 0.0);
        };
        let judged: Vec<(f64, f64)> = self
            .track
            .iter()
            .filter(|(at, _)| at.since(steady) >= SETTLING)
            .map(|(at, distance)| (at.secs_since(steady), *distance))
            .collect();
        if held < HOLD {
            let (held, needed) = (held.as_secs(), HOLD.as_secs());
            return cannot(Pull::TooShort { held, needed }, 0.0, 0.0);
        }
        let fresh = self
            .track
            .back()
            .is_some_and(|(at, _)| now.since(*at) <= FRESH);
        let fit = Fit::through(&judged).filter(|fit| fit.span >= LEAST_SPAN);
        let Some(fit) = fit.filter(|_| fresh) else {
            return cannot(Pull::NoPosition, 0.0, 0.0);
        };
        let moved = fit.slope * fit.span;
        let doubt = fit.doubt(self.sigma);
        let rpm = self.load.map(|load| Round(load.rpm()));
        let figures = Pull::Figures {
            moved: Depth(Metres::of(moved.abs())),
            doubt: Depth(Metres::of(doubt)),
            ahead: moved < 0.0,
            seconds: Round(fit.span),
        };
        let figures = figures.into();
        let (least, most) = ((moved - doubt) / fit.span, (moved + doubt) / fit.span);
        if least > REST && fit.late_share() >= LATE_SHARE {
            return PullReading {
                verdict: PullVerdict::Yielding,
                ..cannot(Pull::Moved { figures, rpm }, moved, doubt)
            };
        }
        if most < -REST {
            return cannot(Pull::TowardsAnchor { figures }, moved, doubt);
        }
        if most <= CREEP {
            let why = if moved.abs() <= doubt {
                Pull::MovedNone { figures, rpm }
            } else {
                Pull::Moved { figures, rpm }
            };
            return PullReading {
                verdict: PullVerdict::Held,
                ..cannot(why, moved, doubt)
            };
        }
        let why = if moved / fit.span > CREEP {
            Pull::StillMoves { figures }
        } else {
            Pull::Uncertain { figures }
        };
        cannot(why, moved, doubt)
    }
}

/// A straight line through distances by least squares.
#[derive(Clone, Copy, Debug)]
struct Fit {
    slope: f64,
    span: f64,
    /// Variance about the line.
    scatter: f64,
    count: usize,
    early: f64,
    late: f64,
}

impl Fit {
    fn through(points: &[(f64, f64)]) -> Option<Self> {
        let (first, last) = points.first().zip(points.last())?;
        let span = last.0 - first.0;
        let slope_of = |points: &[(f64, f64)]| {
            let count = points.len() as f64;
            let mean_t = points.iter().map(|(t, _)| t).sum::<f64>() / count;
            let mean_d = points.iter().map(|(_, d)| d).sum::<f64>() / count;
            let (mut tt, mut td) = (0.0, 0.0);
            for (t, d) in points {
                tt += (t - mean_t).powi(2);
                td += (t - mean_t) * (d - mean_d);
            }
            (tt > 0.0).then(|| (td / tt, mean_t, mean_d))
        };
        let (slope, mean_t, mean_d) = slope_of(points)?;
        let squares: f64 = points
            .iter()
            .map(|(t, d)| (d - mean_d - slope * (t - mean_t)).powi(2))
            .sum();
        let middle = first.0 + span / 2.0;
        let split = points.partition_point(|(t, _)| *t < middle);
        let (early, late) = points.split_at(split);
        Some(Self {
            slope,
            span,
            scatter: squares / (points.len() as f64 - 2.0).max(1.0),
            count: points.len(),
            early: slope_of(early)?.0,
            late: slope_of(late)?.0,
        })
    }

    /// 95 % uncertainty of the movement, see the module documentation of `pull`.
    fn doubt(&self, sigma: f64) -> f64 {
        // The errors of neighbouring seconds are similar.
        let independent = (self.count as f64).min(self.span / ALIKE).max(3.0);
        let wander = WANDER * sigma;
        let drift = 2.4 * wander * wander * (1.0 - (-self.span / TAU).exp());
        1.96 * (12.0 * self.scatter / independent + drift).sqrt()
    }

    /// The share of the movement that falls into the second half; a half for a steady creep.
    fn late_share(&self) -> f64 {
        let sum = self.early + self.late;
        if sum.abs() < 1e-9 {
            0.5
        } else {
            self.late / sum
        }
    }
}

const ALIKE: f64 = 5.0;
const FRESH: Duration = Duration::from_secs(10);
/// A rode that is drawing straight moves less than this share in the second half.
const LATE_SHARE: f64 = 0.3;
const LEAST_SPAN: f64 = 30.0;
/// How far the revolutions may vary, as a fraction.
const STEADY: f64 = 0.1;
const TAU: f64 = 150.0;
const WANDER: f64 = 0.6;

#[cfg(test)]
mod tests;
