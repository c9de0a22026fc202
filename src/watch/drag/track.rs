//! The boat's track, cleaned: jumps of the fix are told from motion, and the noise of the night is learned.
//!
//! **Symbols.** `z` fix of the antenna on the plane, `v` its velocity by the Doppler shift, `s` the track, `T` its
//! time constant, `σ` the fix's error of minutes in each coordinate.
//!
//! **Jumps.** Multipath moves a fix by metres at once, and back after 5-60 s; a boat at anchor does not move like
//! that. A step `z - z' - v Δt` beyond `JUMP` (and five times the usual step) is not motion: it is subtracted from
//! the fixes that follow until the fix has jumped back. After `JUMP_LASTS` it is let in slowly: a shift that stays
//! may be the better fix. A step back to the place that the fixes of the last minutes suggest ends a shift whose
//! beginning was too small to detect, and the track continues from there. Tests:
//! `a_jump_is_taken_off_until_it_is_back`, `a_jump_back_from_an_undetected_shift_is_no_jump`.
//! A reflection that builds up over some seconds is no single step: see [`span`].
//!
//! **Track.** A complementary filter: `s' = s + v Δt`, then towards the fix by `1 - e^(-Δt/T)`. Over seconds the
//! track follows the Doppler velocity, over minutes the fix. Without a velocity `T` is short.
//!
//! **Noise.** `z - ∫v dt` contains the errors of the fix and of the velocity, but not the boat's motion. For a
//! Gauss-Markov error with `τ` = 150 s the difference over `LAG` = 120 s has the variance `2σ²(1 - e^(-LAG/τ))`.
//! `σ` is learned from that, with a prior worth half an hour. Without a velocity the distance from the anchor is
//! used instead, whose changes are noise and surge. The result is widened by the uncertainty of so few looks. Test:
//! `the_night_s_noise_is_learned`.
//!
//! Weakness: with a receiver that shows no speed below a threshold, motion looks like noise, which makes the watch
//! slower, never surer. The error of hours cannot be seen here.

mod span;

use std::collections::VecDeque;
use std::time::Duration;

use span::Lately;

use crate::geodesy::Offset;
use crate::time::Tick;
use crate::watch::fix::intake::leap;

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Track {
    last: Option<Step>,
    smooth: Offset,
    /// The track, smoothed over most of a minute.
    slow: Offset,
    /// A jump that is being subtracted.
    jump: Option<Jump>,
    /// Within the last twenty seconds.
    lately: VecDeque<Lately>,
    /// Usual length of a step, squared.
    usual: f64,
    /// Since when there has been no gap in which the fix may have been shifted.
    since: Tick,
    /// The smooth track starts again with this fix.
    again: bool,
    /// A far jump is not subtracted now.
    believes: bool,
    /// Sum of the velocity.
    run: Offset,
    /// Every tenth second: fix less run.
    still: VecDeque<(Tick, Offset, bool)>,
    noise: Noise,
    /// Variance in each coordinate that a second of the velocity adds to its sum.
    doppler: f64,
    earlier_velocity: Option<Offset>,
}

#[derive(Clone, Copy, Debug)]
struct Jump {
    shift: Offset,
    since: Tick,
    /// Fix less run before it, if a velocity showed that or it built up.
    before: Option<Offset>,
    /// It built up over some seconds.
    built: bool,
}

#[derive(Clone, Copy, Debug)]
struct Step {
    at: Tick,
    fix: Offset,
    velocity: Option<Offset>,
}

/// The learned variance, and the number of looks it rests on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Noise {
    variance: f64,
    looks: f64,
}

impl Noise {
    /// Starts from the prior belief, a standard deviation in metres.
    pub(super) fn believed(sigma: f64) -> Self {
        Self {
            variance: sigma * sigma,
            looks: PRIOR_LOOKS,
        }
    }

    /// Standard deviation in each coordinate, widened according to the number of looks it rests on.
    pub(super) fn sigma(self) -> f64 {
        (self.variance * (1.0 + 1.0 / self.looks.sqrt()))
            .sqrt()
            .max(LEAST)
    }

    fn look(&mut self, variance: f64, weight: f64) {
        // A single wild difference says little.
        let variance = variance.min(WILD * self.variance);
        let share = weight / (self.looks + weight);
        self.variance += share * (variance - self.variance);
        self.looks = (self.looks + weight).min(MOST_LOOKS);
    }
}

impl Track {
    pub(super) fn new(believed: f64) -> Self {
        Self {
            last: None,
            smooth: Offset::ZERO,
            slow: Offset::ZERO,
            jump: None,
            lately: VecDeque::new(),
            usual: 0.25,
            since: Tick::START,
            again: false,
            believes: false,
            run: Offset::ZERO,
            still: VecDeque::new(),
            noise: Noise::believed(believed),
            doppler: 0.0,
            earlier_velocity: None,
        }
    }

    /// No fix has been taken yet.
    pub(super) fn is_new(&self) -> bool {
        self.last.is_none()
    }

    /// The plane now has its origin at this point of the old one: the same places have other coordinates. Nothing
    /// has moved.
    pub(super) fn origin_moved(&mut self, to: Offset) {
        let moved = |place: Offset| place - to;
        if let Some(last) = &mut self.last {
            last.fix = moved(last.fix);
        }
        self.smooth = moved(self.smooth);
        self.slow = moved(self.slow);
        for (_, seen, _) in &mut self.still {
            *seen = moved(*seen);
        }
        for lately in &mut self.lately {
            lately.apart = moved(lately.apart);
        }
        if let Some(before) = self.jump.as_mut().and_then(|jump| jump.before.as_mut()) {
            *before = moved(*before);
        }
    }

    /// Continues from a noise learned before.
    pub(super) fn set_noise(&mut self, sigma: f64) {
        self.noise = Noise::believed(sigma);
    }

    /// The fix's error of minutes, standard deviation in each coordinate.
    pub(super) fn sigma(&self) -> f64 {
        self.noise.sigma()
    }

    /// How long there has been no such gap.
    pub(super) fn unbroken(&self, now: Tick) -> Duration {
        now.since(self.since)
    }

    /// How far the fix is taken to be shifted now.
    pub(super) fn shift(&self, now: Tick) -> Offset {
        self.jump.map_or(Offset::ZERO, |jump| {
            let held = now.secs_since(jump.since) - lasts(jump.shift);
            jump.shift * (-(held.max(0.0)) / JUMP_FADES).exp()
        })
    }

    /// Whether a far jump at the next fixes has been waited for already.
    pub(super) const fn believe_far_jumps(&mut self, believes: bool) {
        self.believes = believes;
    }

    /// Takes a fix and returns where the antenna is now. `outward` points from the anchor to the boat; it is `None`
    /// if she seems to drag, because her motion is not noise then.
    pub(super) fn take(
        &mut self,
        now: Tick,
        fix: Offset,
        velocity: Option<Offset>,
        outward: Option<Offset>,
    ) -> Offset {
        let Some(last) = self.last.filter(|last| now.since(last.at) <= BROKEN) else {
            self.last = Some(Step {
                at: now,
                fix,
                velocity,
            });
            self.jump = None;
            self.since = now;
            self.smooth = fix;
            self.slow = fix;
            self.run = Offset::ZERO;
            self.still.clear();
            self.lately.clear();
            return fix;
        };
        let seconds = now.secs_since(last.at);
        if seconds <= 0.0 {
            return self.smooth;
        }
        let mean = match (last.velocity, velocity) {
            (Some(then), Some(now)) => Some((then + now) * 0.5),
            (then, now) => now.or(then),
        };
        let moved = mean.unwrap_or(Offset::ZERO) * seconds;
        let step = fix - last.fix - moved;
        let live = velocity.is_some_and(|velocity| velocity != Offset::ZERO);
        let is_sudden = self.judge_step(now, last.fix, step, seconds, (mean.is_some(), live));
        if is_sudden || seconds > GAP {
            self.lately.clear();
        } else {
            let run = self.run + moved;
            self.judge_span(Lately {
                at: now,
                apart: fix - run,
                run,
                live,
            });
        }
        if let Some(jump) = self.jump.as_mut().filter(|_| seconds > GAP) {
            // The run over a gap is a guess.
            jump.before = None;
        }
        self.last = Some(Step {
            at: now,
            fix,
            velocity,
        });
        if seconds > GAP && step.length().get() > GAP_ROOM + GAP_ROOM_GROWS * seconds {
            self.since = now;
        }
        let clean = fix - self.shift(now);
        let tau = if mean.is_some() {
            TAU_DOPPLER
        } else {
            TAU_ALONE
        };
        if std::mem::take(&mut self.again) {
            self.smooth = clean - moved;
        }
        let predicted = self.smooth + moved;
        self.smooth = predicted + (clean - predicted) * (1.0 - (-seconds / tau).exp());
        self.slow = self.slow + (clean - self.slow) * (1.0 - (-seconds / TAU_SLOW).exp());
        self.run = self.run + moved;
        self.learn_doppler(last.velocity, velocity, seconds);
        self.learn(now, clean, mean.is_some(), outward);
        self.smooth
    }

    /// A step that is not motion is a jump; a step that undoes a jump ends it. Returns whether it was such a step.
    fn judge_step(
        &mut self,
        now: Tick,
        from: Offset,
        step: Offset,
        seconds: f64,
        (by_doppler, live): (bool, bool),
    ) -> bool {
        let length = step.length().get();
        let room = seconds * if by_doppler { ROOM_DOPPLER } else { ROOM_ALONE };
        let limit = JUMP.max(5.0 * self.usual.sqrt()) + room;
        // This also applies over a gap: if the receiver is back where it was, it is no longer shifted.
        let back = self
            .jump
            .is_some_and(|jump| (jump.shift + step).length() < jump.shift.length() * BACK);
        if back {
            self.jump = None;
        } else if length <= limit {
            // A step over a gap does not count as a usual step.
            if seconds <= GAP {
                let share = seconds / USUAL_OVER;
                self.usual += share * (length * length - self.usual);
            }
        } else if self.believes && length > leap::ROOM.get() {
            self.jump = None;
            self.again = true;
        } else if seconds <= GAP && self.unbroken(now) < UNTOLD {
            // Then the fix was shifted when it came back after the gap, and this step ends the shift.
            self.jump = None;
            self.since = now;
            self.again = true;
        } else if let Some(usual) = self
            .usually()
            .filter(|_| by_doppler && seconds <= GAP && self.jump.is_none())
            .map(|usual| usual + self.run)
            .filter(|usual| (from + step - *usual).length() < (from - *usual).length())
        {
            self.smooth = usual;
        } else if seconds <= GAP {
            let earlier = self.jump;
            let shift = earlier.map_or(Offset::ZERO, |jump| jump.shift) + step;
            let before = earlier.map_or(Some(from - self.run), |jump| jump.before);
            self.jump = (shift.length().get() > limit * 0.7).then_some(Jump {
                shift,
                since: now,
                before: before.filter(|_| live),
                built: earlier.is_some_and(|jump| jump.built),
            });
        }
        if let Some(jump) = self.jump
            && now.secs_since(jump.since) > lasts(jump.shift) + 5.0 * JUMP_FADES
        {
            self.jump = None;
        }
        back || length > limit
    }

    /// Fix less run over most of the last two minutes, if the velocity was known.
    fn usually(&self) -> Option<Offset> {
        if self.still.len() < USUALLY || self.still.iter().any(|(_, _, doppler)| !doppler) {
            return None;
        }
        let middle = |coordinate: fn(&Offset) -> f64| {
            let mut sorted: Vec<f64> = self
                .still
                .iter()
                .map(|(_, seen, _)| coordinate(seen))
                .collect();
            sorted.sort_by(f64::total_cmp);
            sorted.get(sorted.len() / 2).copied()
        };
        Some(Offset {
            east: middle(|seen| seen.east)?,
            north: middle(|seen| seen.north)?,
        })
    }

    /// The second difference of three velocities leaves their white noise, with six times its variance.
    fn learn_doppler(&mut self, last: Option<Offset>, velocity: Option<Offset>, seconds: f64) {
        if let (Some(first), Some(second), Some(third)) = (self.earlier_velocity, last, velocity)
            && seconds <= GAP
        {
            let off = first - second * 2.0 + third;
            let square = (off.east * off.east + off.north * off.north) / 12.0 * seconds;
            let share = (seconds / USUAL_OVER).min(0.1);
            self.doppler += share * (square.min(MOST_DOPPLER) - self.doppler);
        }
        self.earlier_velocity = last;
    }

    fn learn(&mut self, now: Tick, clean: Offset, by_doppler: bool, outward: Option<Offset>) {
        let due = self
            .still
            .back()
            .is_none_or(|(at, _, _)| now.secs_since(*at) >= EVERY);
        if !due {
            return;
        }
        let seen = if by_doppler {
            clean - self.run
        } else {
            self.slow
        };
        if self.jump.is_some() {
            return;
        }
        self.still.push_back((now, seen, by_doppler));
        while let Some(&(at, then, doppler)) = self.still.front() {
            let lag = now.secs_since(at);
            if lag < LAG {
                break;
            }
            self.still.pop_front();
            if doppler != by_doppler || lag > LAG + 2.0 * EVERY {
                continue;
            }
            let change = seen - then;
            let share = 2.0 * (1.0 - (-LAG / NOISE_TAU).exp());
            let square = if by_doppler {
                // Two coordinates.
                let square = f64::midpoint(change.east * change.east, change.north * change.north);
                (square - DOPPLER_SHARE * self.doppler * LAG).max(0.0)
            } else {
                let Some(outward) = outward else { continue };
                let along = change.east * outward.east + change.north * outward.north;
                (along * along / SLOW_SHARE).min(MOST_ALONE)
            };
            self.noise.look(square / share, EVERY / (2.0 * LAG));
        }
    }
}

/// How long a jump is subtracted. Multipath shifts a fix by 3-14 m; a jump far beyond that has another cause and is
/// let in sooner.
fn lasts(jump: Offset) -> f64 {
    if jump.length().get() <= FAR_JUMP {
        JUMP_LASTS
    } else {
        FAR_JUMP_LASTS
    }
}

/// No boat at anchor moves by this within a second beyond what her velocity explains, metres.
const JUMP: f64 = 3.0;
/// The error of the velocity, and her greatest speed if the velocity is not known, m/s.
const ROOM_DOPPLER: f64 = 0.3;
const ROOM_ALONE: f64 = 1.2;
/// Multipath lasts a minute at most (from the reference figures); after that its shift is let in.
const JUMP_LASTS: f64 = 75.0;
const FAR_JUMP: f64 = 20.0;
const FAR_JUMP_LASTS: f64 = 15.0;
const JUMP_FADES: f64 = 20.0;
/// A jump this soon after a gap may equally be the end of a shift.
const UNTOLD: Duration = Duration::from_secs(75);
/// A step that leaves no more than this share of a jump ends it.
const BACK: f64 = 0.4;
const USUAL_OVER: f64 = 120.0;
/// A gap after which the track starts again.
const BROKEN: Duration = Duration::from_mins(3);
/// A gap after which a jump cannot be told from motion, seconds.
const GAP: f64 = 4.0;
/// After a gap, a fix this close to where velocity and time would have it was not shifted: metres, and metres per
/// second of the gap.
const GAP_ROOM: f64 = 3.0;
const GAP_ROOM_GROWS: f64 = 0.1;
const TAU_DOPPLER: f64 = 30.0;
const TAU_ALONE: f64 = 8.0;
/// Surge and sheer average out over this time; this share of the change of the error over `LAG` remains (calculated
/// for the two correlation times).
const TAU_SLOW: f64 = 40.0;
const SLOW_SHARE: f64 = 0.7;
/// How often the noise is measured, and over which difference, seconds.
const EVERY: f64 = 10.0;
const LAG: f64 = 120.0;
/// The least number of looks that show what is usual.
const USUALLY: usize = 6;
/// Correlation time of a receiver's error, seconds.
const NOISE_TAU: f64 = 150.0;
/// The share of the velocity's noise that is subtracted: a receiver smooths it, and it is not all white.
const DOPPLER_SHARE: f64 = 0.8;
const MOST_DOPPLER: f64 = 0.04;
const PRIOR_LOOKS: f64 = 5.0;
/// After this many looks, older ones are forgotten: three hours.
const MOST_LOOKS: f64 = 45.0;
const WILD: f64 = 9.0;
/// Without velocity a change of more than this is motion, metres squared.
const MOST_ALONE: f64 = 25.0;
const LEAST: f64 = 0.3;

#[cfg(test)]
mod tests;
