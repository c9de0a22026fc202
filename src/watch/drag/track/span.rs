//! Reflections that build up.
//!
//! Such a reflection is no single step, but fix and velocity part over a span of up to [`SPAN`] by more than a boat can
//! move. All of the difference is subtracted, and what is added to it within [`SETTLES`], until the fix is back where it
//! was before the span or the time for a jump is over. A velocity of exactly zero counts as unknown here: receivers show
//! it below a threshold. Without a velocity, what grows beyond [`FAR_JUMP`] within [`SETTLES`] is motion. A velocity that
//! is wrong while the fix stands still is no reflection: the fix must have moved farther than the run.
//!
//! **Formula**, for the run `r = ∫v dt`: `|Δ(z - r)| > max(JUMP, 5 × usual step, WANDERS × σ of the span) + room × span`
//! and `|Δz| > |Δr|`.
//!
//! **Weakness.** Without a velocity a reflection slower than 1.35 m/s looks like motion. A boat that sheers widely, with a
//! velocity that is smoothed over more than some six seconds, looks like one with reflections: her track is then a few
//! metres off, the alarm is a few metres later, and a few more drags are missed (`windrode measure --kind
//! smoothed-velocity`).
//!
//! **Tests**: `a_reflection_that_builds_up_is_taken_off_until_it_is_gone`, `a_wrong_velocity_is_no_reflection`,
//! `a_boat_that_runs_off_without_a_velocity_is_believed_within_twenty_metres`; whole nights by `windrode measure --kind
//! reflections` and `uneven-reflections`.

use super::{BACK, FAR_JUMP, JUMP, Jump, NOISE_TAU, ROOM_ALONE, ROOM_DOPPLER, Track, UNTOLD};
use crate::geodesy::Offset;
use crate::time::Tick;

/// Fix less run, the run, and whether a velocity led there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lately {
    pub(super) at: Tick,
    pub(super) apart: Offset,
    pub(super) run: Offset,
    pub(super) live: bool,
}

impl Track {
    /// Fix and velocity that part over some seconds are a reflection that builds up.
    pub(super) fn judge_span(&mut self, seen: Lately) {
        let now = seen.at;
        let Some(jump) = &mut self.jump else {
            self.look_back(seen);
            return;
        };
        self.lately.clear();
        let Some(before) = jump.before else { return };
        let off = seen.apart - before;
        let settles = now.secs_since(jump.since) < SETTLES;
        if off.length() < jump.shift.length() * BACK {
            self.jump = None;
        } else if settles && jump.built && !seen.live && off.length().get() > FAR_JUMP {
            self.jump = None;
            self.again = true;
        } else if settles {
            jump.shift = off;
            if off.length().get() < 0.7 * JUMP {
                self.jump = None;
            }
        }
    }

    /// Looks for a span over which they parted, and finds out what it was.
    fn look_back(&mut self, seen: Lately) {
        let now = seen.at;
        let is_old = |earlier: &Lately| now.secs_since(earlier.at) > SPAN;
        while self.lately.front().is_some_and(is_old) {
            self.lately.pop_front();
        }
        let is_close = |last: &Lately| now.secs_since(last.at) < SPACING;
        if !self.lately.back().is_some_and(is_close) {
            self.lately.push_back(seen);
        }
        let Some(before) = self.parted(seen) else {
            return;
        };
        self.lately.clear();
        if self.unbroken(now) < UNTOLD {
            // The fix was shifted when it came back after the gap, and is right again.
            self.since = now;
            self.again = true;
            return;
        }
        let nearer = |usual: &Offset| (seen.apart - *usual).length() < (before - *usual).length();
        if let Some(usual) = self.usually().filter(|_| seen.live).filter(nearer) {
            // It undoes a shift whose beginning was too small or too slow to detect.
            self.smooth = usual + self.run;
        } else {
            self.jump = Some(Jump {
                shift: seen.apart - before,
                since: now,
                before: Some(before),
                built: true,
            });
        }
    }

    /// Fix less run before they parted by more than a boat can move, if it was the fix that moved and not the run.
    fn parted(&self, seen: Lately) -> Option<Offset> {
        let wanders = WANDERS * self.sigma();
        let least = JUMP.max(5.0 * self.usual.sqrt());
        let mut live = true;
        let spans = self.lately.iter().rev().filter(|earlier| {
            let span = seen.at.secs_since(earlier.at);
            let room = if live { ROOM_DOPPLER } else { ROOM_ALONE };
            let noise = wanders * (4.0 * (1.0 - (-span / NOISE_TAU).exp())).sqrt();
            live &= earlier.live;
            let (apart, run) = (seen.apart - earlier.apart, seen.run - earlier.run);
            (apart + run).length() > run.length()
                && apart.length().get() > least.max(noise) + room * span
        });
        spans.last().map(|earlier| earlier.apart)
    }
}

/// Over at most this time fix and velocity part in a jump that builds up, seconds. Chosen: a reflection of 14 m that
/// builds up at 0.7 m/s.
const SPAN: f64 = 20.0;
/// For this long a jump that built up still grows, seconds.
const SETTLES: f64 = 10.0;
/// The receiver's own wandering over a span, in standard deviations of its length.
const WANDERS: f64 = 4.0;
/// The least time between two fixes that are kept for that, seconds.
const SPACING: f64 = 0.1;
