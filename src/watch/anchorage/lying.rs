//! A boat that lies still with no anchor marked: has somebody forgotten to mark it?
//!
//! **When.** She has been stopped for the configured time, which means three things. Every position lies within
//! [`STOPPED_WITHIN`] of their mean. Within the last ten minutes, the mean of the last three lies within
//! [`DRIFTED`] of the mean of the first three (a boat that sheers comes back, a boat that drifts does not); if she
//! has lain for less than ten minutes the limit is smaller in proportion, but no less than [`WANDERED`]. And the
//! engine was off (revolutions zero, or none heard: an engine's network sleeps with its ignition). The keeper
//! decides whether she could anchor in this depth. A boat alongside lies still too, so the reminder is a caution
//! and makes no sound.
//!
//! **Where the anchor may lie.** She swings about it: [`swing`] finds the circle and its uncertainty. No place is
//! offered if the uncertainty is greater than [`WORST`], or if the circle is wider or narrower than rode and depth
//! allow. The track reaches back an hour and a half. A wind shift shows the anchor; once most of the arc has left the
//! track it shows nothing any more, although she still lies there. So the surest place is kept, and offered for as long as
//! she lies inside its circle. Weakness: the surest of many is somewhat less sure than it says; a mark from the track
//! counts with 12 m at least where that matters (`drag/usual`).
//!
//! **Tests**: `a_boat_that_sheers_widely_shows_where_her_anchor_lies`,
//! `a_short_arc_offers_nothing`, `a_shift_long_ago_still_shows_the_anchor`, `drifting_and_motoring_are_not_lying`.

pub(in crate::watch) mod swing;

use std::collections::VecDeque;
use std::time::Duration;

use super::Anchorage;
use crate::geodesy::{Offset, Plane, Position};
use crate::speech::alerts::Health;
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::round::Seen;

/// Follows a boat that lies still. See the module documentation.
#[derive(Clone, Debug, Default)]
pub struct Lying {
    plane: Option<Plane>,
    track: VecDeque<(Tick, Offset)>,
    since: Option<Tick>,
    /// The surest place of the anchor so far, and when it was last looked for.
    surest: Option<Estimate>,
    looked: Option<Tick>,
    weighed: Option<Weighed>,
}

/// The anchor was weighed, and the engine has not run since.
#[derive(Clone, Copy, Debug)]
struct Weighed {
    at: Tick,
    /// Where she was first and last seen since then.
    places: Option<(Position, Position, Tick)>,
}

/// Where the anchor may lie.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The middle of the circle she swings in.
    pub position: Position,
    /// Its standard deviation in the worst direction.
    pub doubt: Metres,
    /// The distance from there to the bow roller.
    pub radius: Metres,
}

impl Anchorage {
    /// She lies still with the engine off where a boat can anchor, and nothing is marked. A caution, because the
    /// cause may be harmless: a boat alongside lies still too.
    #[must_use]
    pub fn unmarked(&self, seen: &Seen) -> Option<Health> {
        if self.phase.is_anchored() {
            return None;
        }
        let after = seen.settings.unmarked_after;
        self.lying_unmarked(seen)
            .or_else(|| self.lying.after_weighing(seen.now.tick, after))
    }

    fn lying_unmarked(&self, seen: &Seen) -> Option<Health> {
        let settings = &seen.settings;
        let lain = self
            .lying
            .lain(seen.now.tick)
            .filter(|lain| *lain >= settings.unmarked_after)?;
        let depth = seen.depth?;
        let longest = settings.longest_rode();
        let deepest = longest * (1.0 / LEAST_SCOPE) - seen.boat.roller_height();
        let from_track = || self.lying.estimate(Metres::ZERO, longest);
        (depth <= deepest).then(|| Health::Unmarked {
            lain,
            depth,
            from_track: from_track().map(|estimate| estimate.radius),
        })
    }
}

impl Lying {
    /// Takes the position of the bow roller; `engine`: it turns.
    pub fn take(&mut self, now: Tick, roller: Position, engine: bool) {
        if engine {
            self.clear();
            return;
        }
        if let Some(weighed) = &mut self.weighed {
            let first = weighed.places.map_or(roller, |(first, ..)| first);
            weighed.places = Some((first, roller, now));
        }
        let close = |(at, _): &(Tick, Offset)| now.since(*at) < SPACING;
        if self.track.back().is_some_and(close) {
            return;
        }
        let plane = *self.plane.get_or_insert(Plane::at(roller));
        let here = plane.offset(roller);
        if self
            .mean()
            .is_some_and(|mean| (here - mean).length() > STOPPED_WITHIN)
        {
            *self = Self {
                plane: Some(Plane::at(roller)),
                track: VecDeque::from([(now, Offset::ZERO)]),
                since: Some(now),
                weighed: self.weighed,
                ..Self::default()
            };
            return;
        }
        self.since.get_or_insert(now);
        self.track.push_back((now, here));
        while self.track.len() > MOST {
            self.track.pop_front();
        }
        if self.looked.is_none_or(|at| now.since(at) >= LOOK_EVERY) {
            self.looked = Some(now);
            let surer = |found: &Estimate| self.surest.is_none_or(|best| found.doubt <= best.doubt);
            self.surest = self.swings_about().filter(surer).or(self.surest);
        }
    }

    /// Forgets everything, because she is under way or an anchor is marked.
    pub fn clear(&mut self) {
        *self = Self::default();
    }

    /// The anchor was weighed: starts again.
    pub fn weighed(&mut self, now: Tick) {
        *self = Self {
            weighed: Some(Weighed {
                at: now,
                places: None,
            }),
            ..Self::default()
        };
    }

    /// The anchor was weighed some time ago, the engine has not run, and she is still there or drifts: asks whether
    /// it is really up. A boat that sails away is soon too fast or too far off.
    #[must_use]
    pub fn after_weighing(&self, now: Tick, after: Duration) -> Option<Health> {
        let weighed = self.weighed?;
        let (then, here, seen) = weighed.places?;
        let gone = now.since(weighed.at);
        let moved = then.distance_to(here);
        let fast = moved.get() > SAILS * gone.as_secs_f64();
        if gone < after || now.since(seen) > UNSEEN || fast || moved > FORGOTTEN {
            return None;
        }
        Some(if moved < DRIFTED {
            Health::WeighedAndHere { gone }
        } else {
            Health::WeighedAndDrifted { gone, moved }
        })
    }

    /// How long she has lain still, if she was seen a moment ago.
    #[must_use]
    pub fn lain(&self, now: Tick) -> Option<Duration> {
        let (last, _) = self.track.back()?;
        if now.since(*last) > UNSEEN {
            return None;
        }
        let lain = now.since(self.since?);
        (!self.has_drifted(now, lain)).then_some(lain)
    }

    /// Over the last ten minutes, or the shorter time for which she has lain.
    fn has_drifted(&self, now: Tick, lain: Duration) -> bool {
        let over = lain.min(TEN_MINUTES);
        let part = over * 3 / 10;
        let allowed = (DRIFTED * (over.as_secs_f64() / TEN_MINUTES.as_secs_f64())).max(WANDERED);
        self.mean_of(now, part, Duration::ZERO)
            .zip(self.mean_of(now, over, over * 7 / 10))
            .is_none_or(|(late, early)| (late - early).length() > allowed)
    }

    /// Where the anchor may lie, if the roller is between `least` and `most` from it. If the latest track does not show
    /// it any more, the surest place that an earlier one showed, unless she now lies farther out than its circle.
    #[must_use]
    pub fn estimate(&self, least: Metres, most: Metres) -> Option<Estimate> {
        let usable = |found: &Estimate| {
            // Allows for the uncertainty of the circle's radius.
            let (least, most) = (least - found.doubt * 2.0, most + found.doubt * 2.0);
            found.doubt <= WORST && (least..=most).contains(&found.radius)
        };
        let latest = self.swings_about().filter(usable);
        latest.or_else(|| {
            self.surest
                .filter(usable)
                .filter(|found| self.is_inside(found))
        })
    }

    /// The circle of her latest track.
    fn swings_about(&self) -> Option<Estimate> {
        let plane = self.plane?;
        let points: Vec<Offset> = self.track.iter().map(|(_, offset)| *offset).collect();
        let span = self.track.back()?.0.secs_since(self.track.front()?.0);
        let swung = swing::swung(&points, span)?;
        Some(Estimate {
            position: plane.position(swung.circle.middle),
            doubt: Metres::new(swung.doubt)?,
            radius: Metres::new(swung.circle.radius)?,
        })
    }

    fn is_inside(&self, found: &Estimate) -> bool {
        let lately = self
            .track
            .back()
            .and_then(|(now, _)| self.mean_of(*now, TEN_MINUTES, Duration::ZERO));
        self.plane.zip(lately).is_some_and(|(plane, lately)| {
            let distance = plane.position(lately).distance_to(found.position);
            distance <= found.radius + found.doubt * 2.0
        })
    }

    fn mean(&self) -> Option<Offset> {
        mean(self.track.iter().map(|(_, offset)| *offset))
    }

    /// The positions between these ages.
    fn mean_of(&self, now: Tick, oldest: Duration, youngest: Duration) -> Option<Offset> {
        let within = |at: Tick| (youngest..=oldest).contains(&now.since(at));
        mean(
            self.track
                .iter()
                .filter(|(at, _)| within(*at))
                .map(|(_, offset)| *offset),
        )
    }
}

fn mean(offsets: impl Iterator<Item = Offset>) -> Option<Offset> {
    let (sum, count) = offsets.fold((Offset::ZERO, 0.0), |(sum, count), offset| {
        (sum + offset, count + 1.0)
    });
    (count > 0.0).then(|| sum * (1.0 / count))
}

/// The least depth that anybody anchors in.
const LEAST_SCOPE: f64 = 3.0;
/// A boat that swings right round on 60 m of rode stays in it.
const STOPPED_WITHIN: Metres = Metres::of(80.0);
/// A boat with a higher mean speed is sailing, m/s: a knot and a half. Chosen.
const SAILS: f64 = 0.75;
/// A boat this far from where she weighed has not forgotten an anchor.
const FORGOTTEN: Metres = Metres::of(1000.0);
/// In seven minutes: an eighth of a knot.
const DRIFTED: Metres = Metres::of(25.0);
/// How far the fix of a boat that lies still may wander in a minute or two (three standard deviations of 2.5 m).
const WANDERED: Metres = Metres::of(7.5);
const TEN_MINUTES: Duration = Duration::from_mins(10);
/// How often the anchor is looked for in her track.
const LOOK_EVERY: Duration = Duration::from_mins(2);
const SPACING: Duration = Duration::from_secs(10);
/// An hour and a half.
const MOST: usize = 540;
const UNSEEN: Duration = Duration::from_mins(2);
const WORST: Metres = Metres::of(12.0);

#[cfg(test)]
mod tests;
