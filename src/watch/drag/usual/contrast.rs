//! How far she lies beyond what the level and her own past of `a` seconds ago predict, for each age `a`.
//!
//! `y` is the mean over the last `0.3 a`, `x` the mean over `0.5 a` (at least a minute) that ended `a` ago, both
//! less the level. Their second moments are learned from the night, a quarter of an hour late, beside a prior worth
//! forty minutes from two Gauss-Markov processes (3 m², 400 s; 1.5 m², 40 s). The past predicts `max(ψ x, 0)` with
//! `ψ = S_xy / S_xx`: if she lay unusually near, that must never make a return look like a drag. `z` is the rest,
//! divided by its deviation. The past explains `ψ S_xy` of its variance, and less the nearer she lay:
//! `ψ S_xy (1 - x²/S_xx)` for `x < 0`, zero beyond one deviation. A boat that has sailed up to her anchor comes
//! back with way on, and farther than one that lay still: test `a_return_from_far_in_is_not_predicted_to_a_metre`.

use super::Verdict;
use super::level::Level;
use super::record::{Mean, Record, SLOT};

/// The windows of one age, in slots, and the handicap that is subtracted from or added to its evidence.
#[derive(Clone, Copy, Debug)]
pub(super) struct Age {
    seconds: f64,
    late: usize,
    early: usize,
    apart: usize,
    handicap: f64,
    prior: Moments,
}

/// Second moments of the early and the late window.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Moments {
    xx: f64,
    xy: f64,
    yy: f64,
}

/// What the windows of one age hold.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    late: Mean,
    early: Option<Mean>,
}

/// Learned moments, one for each age.
#[derive(Clone, Debug)]
pub(super) struct Learned {
    moments: [Moments; AGES],
}

/// The number of ages.
pub(super) const AGES: usize = 10;

/// The ages, with their windows and priors.
pub(super) fn ages() -> [Age; AGES] {
    SECONDS.map(|(seconds, handicap)| {
        let slots = |seconds: f64| {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a few hundred slots"
            )]
            let slots = (seconds / SLOT).round() as usize;
            slots.max(1)
        };
        let (late, early) = (slots(0.3 * seconds), slots((0.5 * seconds).max(60.0)));
        Age {
            seconds,
            late,
            early,
            apart: slots(seconds),
            handicap,
            prior: prior(late as f64 * SLOT, early as f64 * SLOT, seconds),
        }
    })
}

/// The moments of two Gauss-Markov processes.
fn prior(late: f64, early: f64, seconds: f64) -> Moments {
    let mut moments = Moments::default();
    for (variance, tau) in PROCESSES {
        let own = |window: f64| {
            let r = tau / window;
            2.0 * r * (1.0 - r * (1.0 - (-1.0 / r).exp()))
        };
        let decay = |window: f64| tau / window * (1.0 - (-window / tau).exp());
        moments.xx += variance * own(early);
        moments.yy += variance * own(late);
        let gap = (-(seconds - late) / tau).exp();
        moments.xy += variance * decay(early) * decay(late) * gap;
    }
    moments
}

impl Age {
    /// What the windows held this many slots ago.
    pub(super) fn look(&self, record: &Record, ago: usize) -> Option<Seen> {
        Some(Seen {
            late: record.mean(ago, self.late)?,
            early: record.mean(ago + self.apart, self.early),
        })
    }
}

impl Learned {
    pub(super) fn new() -> Self {
        Self {
            moments: [Moments::default(); AGES],
        }
    }

    /// Learns from what the ages saw some time ago, under this level.
    pub(super) fn take(
        &mut self,
        ages: &[Age; AGES],
        seen: &[Option<Seen>; AGES],
        level: &Level,
        keep: f64,
        looks: f64,
    ) {
        for ((moments, seen), age) in self.moments.iter_mut().zip(seen).zip(ages) {
            let Some((seen, early)) = seen.as_ref().and_then(|seen| Some((seen, seen.early?)))
            else {
                continue;
            };
            let prior = PRIOR_SECONDS / LOOK_EVERY;
            let most = |prior_part: f64, part: f64| {
                let variance = (prior * prior_part + part) / (prior + looks);
                (CLIP * CLIP * variance).min(MOST * prior_part).sqrt()
            };
            let (x, y) = (over(&early, level), over(&seen.late, level));
            let (xm, ym) = (
                most(age.prior.xx, moments.xx),
                most(age.prior.yy, moments.yy),
            );
            let (x, y) = (x.clamp(-xm, xm), y.clamp(-ym, ym));
            moments.xx = moments.xx * keep + x * x;
            moments.xy = moments.xy * keep + x * y;
            moments.yy = moments.yy * keep + y * y;
        }
    }

    /// The strongest evidence among the ages.
    pub(super) fn strongest(
        &self,
        ages: &[Age; AGES],
        seen: &[Option<Seen>; AGES],
        level: &Level,
        circumstances: &Circumstances,
    ) -> Option<Verdict> {
        let mut strongest: Option<Verdict> = None;
        for ((age, seen), learned) in ages.iter().zip(seen).zip(&self.moments) {
            let Some(seen) = seen else { continue };
            let this = age.judge(seen, learned, level, circumstances);
            if strongest.is_none_or(|most| this.s > most.s) {
                strongest = Some(this);
            }
        }
        strongest
    }
}

/// What applies to all ages.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circumstances {
    /// The number of looks that the moments rest on, less what was forgotten.
    pub(super) looks: f64,
    /// How much worse than usual the receiver's own accuracy figure is.
    pub(super) worse: f64,
    /// Additional variance from a possible shift of the fix.
    pub(super) doubt: f64,
}

impl Age {
    fn judge(
        &self,
        seen: &Seen,
        learned: &Moments,
        level: &Level,
        circumstances: &Circumstances,
    ) -> Verdict {
        let prior = PRIOR_SECONDS / LOOK_EVERY;
        let looks = circumstances.looks;
        let of = |prior_part: f64, learned_part: f64| {
            (prior * prior_part + learned_part) / (prior + looks)
        };
        let yy = of(self.prior.yy, learned.yy);
        let y = over(&seen.late, level);
        let (left, beyond, by, handicap) = match &seen.early {
            Some(early) => {
                let xx = of(self.prior.xx, learned.xx);
                let xy = of(self.prior.xy, learned.xy);
                let x = over(early, level);
                let psi = (xy / xx).clamp(0.0, 1.0);
                let mut by = seen.late.by;
                for (late, early) in by.iter_mut().zip(early.by) {
                    *late -= psi * early;
                }
                let beyond = y - (psi * x).max(0.0);
                // A boat that lay unusually near does not stay where her past predicts: the nearer she lay, the
                // less it explains.
                let explains = 1.0 - (x.min(0.0).powi(2) / xx).min(1.0);
                (yy - explains * psi * xy, beyond, by, self.handicap)
            }
            None => (yy, y, seen.late.by, self.handicap.min(0.0)),
        };
        let independent = ((prior + looks) * LOOK_EVERY / self.seconds.max(60.0)).max(1.0);
        let left = left.max(LEAST_LEFT) * (1.0 + 1.0 / independent);
        let worse = circumstances.worse * circumstances.worse;
        let deviation = (left * worse + level.variance_at(&by) + circumstances.doubt).sqrt();
        Verdict {
            s: beyond.max(0.0) / deviation + handicap,
            beyond,
            deviation,
            lasted: self.late as f64 * SLOT,
        }
    }
}

fn over(mean: &Mean, level: &Level) -> f64 {
    mean.beyond.get(level.way).copied().unwrap_or(0.0) - level.expected(&mean.by)
}

/// The ages, and what is added to their evidence: a night has many looks at short ages and few at long ones. A
/// surge to the end of the rode lasts for seconds: on simulated quiet nights the greatest evidence came from the
/// three shortest ages.
const SECONDS: [(f64, f64); AGES] = [
    (6.0, -1.3),
    (10.0, -1.0),
    (20.0, -1.0),
    (40.0, 0.3),
    (80.0, 0.5),
    (160.0, 0.5),
    (320.0, 0.5),
    (640.0, 0.5),
    (1280.0, 0.5),
    (2560.0, 0.5),
];
/// Variance and correlation time.
const PROCESSES: [(f64, f64); 2] = [(3.0, 400.0), (1.5, 40.0)];
/// The time that the prior is worth.
const PRIOR_SECONDS: f64 = 2400.0;
/// How often the moments are learned, seconds.
pub(super) const LOOK_EVERY: f64 = 10.0;
/// The time in which half of what was learned is forgotten, seconds.
pub(super) const HALF_LIFE: f64 = 7200.0;
/// Values farther off are cut to this many deviations: a slow creep must not teach its own size.
const CLIP: f64 = 2.5;
/// Values are also cut at this multiple of the prior's variance.
const MOST: f64 = 9.0;
/// The least remaining variance.
const LEAST_LEFT: f64 = 0.09;

#[cfg(test)]
mod tests;
