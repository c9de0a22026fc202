//! Is a neighbour a danger, and how soon must somebody act?
//!
//! | she | reported when | until | priority |
//! |---|---|---|---|
//! | leaves her place ([`lie`](super::lie)) | her drift leads within twice the distance of us | it leads away, or she rests | warning; alarm when she may touch within [`SOON`], or is within [`TOUCHES`] |
//! | passes | by course and speed she will pass within the distance, in [`AHEAD`] at most; two reports say so | she is past, turns away by half the distance more, or is not heard for [`STALE`] | warning; alarm when she may touch within [`AT_ONCE`] |
//! | lies closer | within the distance, and nearer by [`NEARER`] than in her first [`LEARNED`] beside us; two reports say so | she is farther off by half of that | warning; alarm within [`TOUCHES`] |
//!
//! The distance is `neighbour.distance`, from hull to hull. A vessel that is steered gets a short time, because boats
//! look at a place and turn away all day. A vessel that drifts gets a long one, because nobody is at her wheel. A
//! vessel that was close before lies there by the crew's own choice. A priority may rise and does not fall until the
//! danger is over.
//!
//! **Where she is now.** AIS is up to three minutes old: her position is carried forward by her drift or her course,
//! but not past the closest point. **Our own boat** counts as still: at anchor our own motion is noise.
//!
//! **Weakness.** A course by AIS errs by some degrees: at 300 m that is 20 m. A vessel that drifts slowly and never lay
//! still is reported as passing. A vessel that is rafted up, or first heard within [`super::ALONGSIDE`] of our hull, is
//! not judged.

use std::time::Duration;

use super::Us;
use super::clock::Moment;
use super::closest::{ClosestPoint, closing};
use super::lie::Lie;
use super::room::Hull;
use super::vessel::Vessel;
use crate::alert::hazard::Priority;
use crate::geodesy::{Offset, Plane};
use crate::units::{Bearing, Metres, Speed};

/// What she is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Danger {
    /// She lay still, and has left her place.
    Leaves,
    /// She is under way.
    Passes,
    /// She lies still, closer than before.
    LiesCloser,
}

/// A danger as it stands now.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    pub(super) danger: Danger,
    pub(super) priority: Priority,
    /// From our centre to hers.
    pub(super) bearing: Bearing,
    /// From hull to hull now.
    pub(super) gap: Metres,
    /// m/s.
    pub(super) closing: f64,
    /// The smallest gap that there will be between the hulls.
    pub(super) least: Metres,
    /// The time until that gap, or until she may touch.
    pub(super) after: Option<Duration>,
    /// The time since her last report.
    pub(super) heard: Duration,
}

/// What is remembered about one vessel.
#[derive(Clone, Debug, Default)]
pub(super) struct Vigil {
    standing: Option<(Danger, Priority)>,
    /// The first of the two reports that are needed.
    first: Option<(Danger, Moment)>,
    /// The smallest gap while she was new beside us, and since when it has been learned.
    learned: Option<(Moment, Metres)>,
    /// The smallest gap while the danger was reported.
    least: Option<Metres>,
}

impl Vigil {
    /// Judges her. `fresh`: she has just reported her position.
    pub(super) fn judge(
        &mut self,
        now: Moment,
        us: &Us,
        (vessel, lie): (&Vessel, &Lie),
        fresh: bool,
    ) -> Option<Found> {
        let found = self.find(now, us, (vessel, lie), fresh);
        let Some(mut found) = found else {
            if self.standing.take().is_some() {
                // Once a vessel that came closer has been reported, it need not be reported again.
                if let Some(((_, learned), least)) = self.learned.as_mut().zip(self.least.take()) {
                    *learned = learned.min(least);
                }
            }
            return None;
        };
        if let Some((_, before)) = self.standing {
            found.priority = found.priority.max(before);
        }
        self.standing = Some((found.danger, found.priority));
        Some(found)
    }

    /// Forgets what is reported, but not what was learned.
    pub(super) fn stand_down(&mut self) {
        self.standing = None;
        self.first = None;
        self.least = None;
    }

    fn find(
        &mut self,
        now: Moment,
        us: &Us,
        (vessel, lie): (&Vessel, &Lie),
        fresh: bool,
    ) -> Option<Found> {
        let at = vessel.place()?.at;
        let heard = now.since(at);
        let hull = us.hull_of(vessel, lie);
        let apart = Plane::at(us.hull.centre).offset(hull.centre);
        let drift = lie.drags();
        let velocity = drift.or_else(|| vessel.velocity().filter(|_| !lie.lies()));
        let moves = velocity.unwrap_or(Offset::ZERO);
        let coming = ClosestPoint::of(apart, moves);
        let carried = heard.as_secs_f64().min(coming.after);
        let here = apart + moves * carried;
        let after = coming.after - carried;
        let at_gap = |apart: Offset| {
            let centre = Plane::at(us.hull.centre).position(apart);
            us.hull.gap(&Hull { centre, ..hull })
        };
        if drift.is_none() && lie.lies() && apart.length() > BESIDE {
            return None;
        }
        let mut found = Found {
            danger: Danger::Leaves,
            priority: Priority::Warning,
            bearing: here.bearing(),
            gap: at_gap(here),
            closing: closing(here, moves),
            least: at_gap(coming.apart),
            after: None,
            heard,
        };
        if drift.is_some() {
            self.leaves(us, &mut found, (coming.after, after))
        } else if lie.lies() {
            found.danger = Danger::LiesCloser;
            self.lies_closer(us, &mut found, at, fresh)
        } else {
            self.learned = None;
            let slow = vessel.speed().is_none_or(|speed| speed < PASSES);
            if velocity.is_none() || slow || heard > STALE {
                return None;
            }
            found.danger = Danger::Passes;
            self.passes(us, &mut found, (at, after), fresh)
        }
        .then_some(found)
    }

    fn stands(&self, danger: Danger) -> bool {
        self.standing.is_some_and(|(stands, _)| stands == danger)
    }

    fn leaves(&self, us: &Us, found: &mut Found, (then, after): (f64, f64)) -> bool {
        let limit = us.distance
            * if self.stands(Danger::Leaves) {
                3.0
            } else {
                2.0
            };
        let near = found.gap <= us.distance;
        let comes = then > 0.0 && found.least <= limit;
        let touches = found.gap.get() / found.closing.max(1e-3);
        found.after = (comes && found.closing > 0.0)
            .then(|| Duration::from_secs_f64(touches.min(after).min(86_400.0)));
        let soon = found.least <= TOUCHES && found.after.is_some_and(|after| after <= SOON);
        if soon || found.gap <= TOUCHES {
            found.priority = Priority::Alarm;
        }
        comes || near
    }

    fn passes(
        &mut self,
        us: &Us,
        found: &mut Found,
        (at, after): (Moment, f64),
        fresh: bool,
    ) -> bool {
        let stands = self.stands(Danger::Passes);
        let limit = us.distance * if stands { 1.5 } else { 1.0 };
        let comes = after > 0.0 && after <= AHEAD.as_secs_f64() && found.least <= limit;
        found.after = Some(Duration::from_secs_f64(after.min(86_400.0)));
        if found.least <= MAY_TOUCH && after <= AT_ONCE.as_secs_f64() {
            found.priority = Priority::Alarm;
        }
        let told = comes && (stands || self.said_twice(Danger::Passes, at, fresh));
        self.forget_unless(comes);
        told
    }

    fn lies_closer(&mut self, us: &Us, found: &mut Found, at: Moment, fresh: bool) -> bool {
        let gap = found.gap;
        let (since, learned) = *self.learned.get_or_insert((at, gap));
        if !us.settled {
            self.learned = Some((at, learned.min(gap)));
            return false;
        }
        if at.since(since) < LEARNED {
            self.learned = Some((since, learned.min(gap)));
            return false;
        }
        let stands = self.stands(Danger::LiesCloser);
        let share = if stands { 0.5 } else { 1.0 };
        let limit = us.distance * if stands { 1.5 } else { 1.0 };
        let close = gap <= limit && learned - gap >= NEARER * share;
        if gap <= TOUCHES {
            found.priority = Priority::Alarm;
        }
        let told = close && (stands || self.said_twice(Danger::LiesCloser, at, fresh));
        if told {
            self.least = Some(self.least.map_or(gap, |least| least.min(gap)));
        }
        self.forget_unless(close);
        told
    }

    /// A single report may be wild.
    fn said_twice(&mut self, danger: Danger, at: Moment, fresh: bool) -> bool {
        match self.first {
            Some((first, then)) if first == danger => at > then,
            _ => {
                self.first = fresh.then_some((danger, at));
                false
            }
        }
    }

    fn forget_unless(&mut self, stands: bool) {
        if !stands {
            self.first = None;
        }
    }
}

/// Time to wake up, start the engine and veer or move; for a vessel that drifts.
const SOON: Duration = Duration::from_mins(5);
/// For a vessel that is steered: by then she would have turned away if she meant to.
const AT_ONCE: Duration = Duration::from_mins(1);
const AHEAD: Duration = Duration::from_mins(3);
/// Smaller than the error of a fix.
const TOUCHES: Metres = Metres::of(8.0);
const MAY_TOUCH: Metres = Metres::of(5.0);
/// Class B under way reports every half minute (ITU-R M.1371-5, annex 1, table 2; from memory).
const STALE: Duration = Duration::from_secs(90);
/// A vessel that moves more slowly than this, and never lay still, drifts or manoeuvres.
const PASSES: Speed = Speed::from_knots(0.7);
/// A vessel that lies still farther off than this cannot come closer unnoticed.
const BESIDE: Metres = Metres::of(300.0);
const NEARER: Metres = Metres::of(10.0);
const LEARNED: Duration = Duration::from_mins(20);

#[cfg(test)]
mod tests;
