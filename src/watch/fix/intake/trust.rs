//! Does the motion that a receiver reports agree with the positions it gives?
//!
//! **With a speed over the ground.** A receiver measures speed by Doppler, separately from position: a
//! reflection shifts the position by tens of metres and hardly affects the speed. The displacement between two
//! fixes over the last half minute is compared with the speed and course integrated over the same time. On a
//! good night they differ by less than 3 m. From [`DOUBTFUL`] on the fix is doubtful and half the difference is
//! added to its error; the speed still counts, unless this lasts longer than a reflection or the speed is exactly zero
//! ([`Intake::velocity`](super::Intake::velocity)). From [`UNUSABLE`] on both are in doubt: the position is still judged, with that wider
//! error; the speed is not used, another receiver may take over, and the crew is told. Positions that come to
//! rest somewhere else are not right yet: they are believed again when they are within the distance she can have
//! drifted meanwhile ([`BACK`] and [`DRIFT`] from where she was seen before), or after [`AT_LAST`].
//!
//! **Without a speed.** Only a receiver that itself reports poor reception (few satellites, poor
//! geometry, a scatter of fixes) is judged: at anchor no boat goes farther than [`WANDERS`] in ten
//! seconds, even when she drags in a gale (1.5 m/s or 3 kn; common practice, no source). The
//! receiver is believed again as above, but not within [`DISTRUSTED`]: a wandering position may pass
//! the right place by chance.
//!
//! **Weakness.** A receiver that calculates its position from its speed agrees with itself. A position that
//! drifts by less than a quarter of a metre a second is believed. If a boat leaves without weighing, with
//! few satellites and no speed over the ground, the crew is told that her position is lost instead of that
//! she is outside her circle. Fixes more than [`GAP`] apart are not judged.
//!
//! **Tests**: `a_place_that_runs_away_from_the_speed_is_no_fix`,
//! `a_sheering_boat_agrees_with_her_speed`, `without_a_speed_a_poor_fix_that_wanders_is_none`; the
//! reference recording under a bad sky, `tests/recorded.rs`.

use std::collections::VecDeque;
use std::time::Duration;

use crate::geodesy::{Offset, Plane, Position};
use crate::time::Tick;
use crate::units::{Bearing, Metres, Speed};

/// Follows one receiver. See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Trust {
    plane: Option<Plane>,
    track: VecDeque<Point>,
    calculated: Offset,
    /// When no velocity was last heard: nothing can be integrated across that moment.
    unheard: Option<Tick>,
    last: Option<Tick>,
    distrusted: Option<Episode>,
}

/// Positions that were not believed.
#[derive(Clone, Copy, Debug)]
struct Episode {
    begun: Tick,
    last: Tick,
    /// Where she was before.
    home: Position,
    conduct: Conduct,
}

#[derive(Clone, Copy, Debug)]
struct Point {
    at: Tick,
    seen: Offset,
    calculated: Offset,
}

/// How the positions behave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Conduct {
    /// As expected.
    Fits,
    /// Positions and speed differ by this much, which is not enough to reject them.
    Doubtful(Metres),
    /// Positions and speed differ by too much.
    Disagrees(Metres),
    /// The positions wander by this much in ten seconds, on a poor fix and without a speed that
    /// supports it.
    Wanders(Metres),
}

impl Trust {
    /// Takes a position. `velocity` is course and speed over the ground where they are heard,
    /// `poor` is whether the receiver itself reports poor reception.
    pub(super) fn take(
        &mut self,
        now: Tick,
        position: Position,
        velocity: Option<(Bearing, Speed)>,
        poor: bool,
    ) -> Conduct {
        let step = self.last.map(|last| now.since(last));
        self.last = Some(now);
        let plane = *self.plane.get_or_insert(Plane::at(position));
        let seen = plane.offset(position);
        if step.is_none_or(|step| step > GAP) || seen.length() > FAR {
            // Nothing can be integrated across a gap.
            self.track.clear();
            self.plane = Some(Plane::at(position));
            self.calculated = Offset::ZERO;
            self.track.push_back(Point {
                at: now,
                seen: Offset::ZERO,
                calculated: Offset::ZERO,
            });
            return self.distrust(now, position).unwrap_or(Conduct::Fits);
        }
        if let Some(((course, speed), step)) = velocity.zip(step) {
            let way = Metres::of(speed.get() * step.as_secs_f64());
            self.calculated = self.calculated + Offset::polar(course, way);
        } else {
            self.unheard = Some(now);
        }
        let point = Point {
            at: now,
            seen,
            calculated: self.calculated,
        };
        let conduct = if velocity.is_some() {
            self.against_the_speed(&point)
        } else if poor {
            self.wandering(&point)
        } else {
            Conduct::Fits
        };
        if matches!(conduct, Conduct::Disagrees(_) | Conduct::Wanders(_)) {
            let before = self.track.front().map_or(seen, |first| first.seen);
            let home = plane.position(before);
            let episode = self.distrusted.get_or_insert(Episode {
                begun: now,
                last: now,
                home,
                conduct,
            });
            episode.last = now;
            episode.conduct = conduct;
        }
        let conduct = self.distrust(now, position).unwrap_or(conduct);
        // Later positions are not compared with positions that disagreed.
        let close = |last: &Point| now.since(last.at) < SPACING;
        if !matches!(conduct, Conduct::Disagrees(_)) && !self.track.back().is_some_and(close) {
            self.track.push_back(point);
        }
        while self
            .track
            .front()
            .is_some_and(|first| now.since(first.at) > WINDOW)
        {
            self.track.pop_front();
        }
        conduct
    }

    /// Under way no comparison is worthwhile.
    pub(super) fn clear(&mut self) {
        *self = Self::default();
    }

    fn against_the_speed(&self, point: &Point) -> Conduct {
        let apart = self
            .track
            .iter()
            .find(|earlier| self.unheard.is_none_or(|unheard| earlier.at >= unheard))
            .map(|first| (point.seen - first.seen) - (point.calculated - first.calculated))
            .map_or(Metres::ZERO, Offset::length);
        if apart >= UNUSABLE {
            Conduct::Disagrees(apart)
        } else if apart >= DOUBTFUL {
            Conduct::Doubtful(apart)
        } else {
            Conduct::Fits
        }
    }

    fn wandering(&self, point: &Point) -> Conduct {
        let lately = |earlier: &&Point| point.at.since(earlier.at) <= TEN_SECONDS;
        let gone = self
            .track
            .iter()
            .find(lately)
            .map_or(Metres::ZERO, |earlier| (point.seen - earlier.seen).length());
        if gone >= WANDERS {
            Conduct::Wanders(gone)
        } else {
            Conduct::Fits
        }
    }

    /// Is her position still not believed?
    fn distrust(&mut self, now: Tick, position: Position) -> Option<Conduct> {
        let episode = self.distrusted?;
        let room = BACK.get() + DRIFT.get() * now.secs_since(episode.begun);
        let home = episode.home.distance_to(position).get() <= room;
        let over = home || now.since(episode.begun) >= AT_LAST;
        // A leap that has ended is over; a wandering position may pass the right place by chance.
        let wanders = matches!(episode.conduct, Conduct::Wanders(_));
        let lately = now.since(episode.last);
        if over && lately > if wanders { DISTRUSTED } else { Duration::ZERO } {
            self.distrusted = None;
        }
        self.distrusted.map(|episode| episode.conduct)
    }
}

const WINDOW: Duration = Duration::from_secs(30);
const SPACING: Duration = Duration::from_millis(1900);
const TEN_SECONDS: Duration = Duration::from_millis(10_500);
const GAP: Duration = Duration::from_secs(5);
const DISTRUSTED: Duration = Duration::from_mins(1);
const AT_LAST: Duration = Duration::from_mins(10);
const BACK: Metres = Metres::of(15.0);
const DRIFT: Speed = Speed::of(0.25);
const DOUBTFUL: Metres = Metres::of(8.0);
pub(super) const UNUSABLE: Metres = Metres::of(25.0);
const WANDERS: Metres = Metres::of(15.0);
const FAR: Metres = Metres::of(1000.0);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::east;

    fn home() -> Position {
        Position::new(59.8539, 23.26).unwrap()
    }

    /// The worst behaviour over this many seconds, with positions and speeds for each second.
    fn worst(
        seconds: u64,
        place: impl Fn(f64) -> Offset,
        velocity: impl Fn(f64) -> Option<Offset>,
        poor: bool,
    ) -> Conduct {
        let mut trust = Trust::default();
        let mut worst = Conduct::Fits;
        for second in 0..seconds {
            let t = second as f64;
            let position = Plane::at(home()).position(place(t));
            let velocity = velocity(t).map(|v| (v.bearing(), Speed::of(v.length().get())));
            match trust.take(Tick::from_secs(second), position, velocity, poor) {
                Conduct::Fits => {}
                Conduct::Doubtful(_) if worst != Conduct::Fits => {}
                other => worst = other,
            }
        }
        worst
    }

    #[test]
    fn a_place_that_runs_away_from_the_speed_is_no_fix() {
        let lies = |_| Some(Offset::ZERO);
        let away = worst(120, |t| east((t - 30.0).clamp(0.0, 40.0)), lies, false);
        assert!(
            matches!(away, Conduct::Disagrees(m) if m.get() >= 25.0),
            "{away:?}"
        );
        let shifted = worst(120, |t| east((t - 30.0).clamp(0.0, 12.0)), lies, false);
        assert!(matches!(shifted, Conduct::Doubtful(_)), "{shifted:?}");
        // A drag of half a knot that the speed shows too, and a drag that the speed reports as
        // zero.
        let drags = |t: f64| east(0.25 * t);
        assert_eq!(worst(600, drags, |_| Some(east(0.25)), true), Conduct::Fits);
        assert_eq!(worst(600, drags, lies, true), Conduct::Fits);
    }

    #[test]
    fn a_sheering_boat_agrees_with_her_speed() {
        let turn = std::f64::consts::TAU / 100.0;
        let place = move |t: f64| Offset {
            east: 15.0 * (turn * t).sin(),
            north: 2.0 * (2.0 * turn * t).cos(),
        };
        // Reported a second late, with a knot of noise.
        let speed = move |t: f64| {
            let t = t - 1.0;
            Some(Offset {
                east: 15.0 * turn * (turn * t).cos() + 0.5 * (t * 7.0).sin(),
                north: -4.0 * turn * (2.0 * turn * t).sin() + 0.5 * (t * 5.0).cos(),
            })
        };
        assert_eq!(worst(1200, place, speed, true), Conduct::Fits);
    }

    #[test]
    fn without_a_speed_a_poor_fix_that_wanders_is_none() {
        let place = |t: f64| east(2.0 * (t - 60.0).clamp(0.0, 40.0));
        let poor = worst(120, place, |_| None, true);
        assert!(matches!(poor, Conduct::Wanders(_)), "{poor:?}");
        // The same from a receiver with good reception: she is under way, and that is reported.
        assert_eq!(worst(120, place, |_| None, false), Conduct::Fits);
    }

    /// A course that is heard only now and then, as with some receivers: she moves in between.
    #[test]
    fn a_distance_covered_without_a_course_is_no_contradiction() {
        let place = |t: f64| east(3.0 * (t - 60.0).clamp(0.0, 20.0));
        let heard = |t: f64| (!(60.0..=80.0).contains(&t)).then_some(Offset::ZERO);
        assert_eq!(worst(180, place, heard, false), Conduct::Fits);
    }

    /// A reflection of 60 m for five seconds costs five fixes, then and later.
    #[test]
    fn a_leap_costs_only_the_fixes_it_lasts() {
        let mut trust = Trust::default();
        let refused = (0..180)
            .filter(|second| {
                let away = if (60..65).contains(second) { 60.0 } else { 0.0 };
                let position = Plane::at(home()).position(east(away));
                let rest = Some((Bearing::default(), Speed::ZERO));
                let conduct = trust.take(Tick::from_secs(*second), position, rest, false);
                conduct != Conduct::Fits
            })
            .count();
        assert_eq!(refused, 5);
    }

    #[test]
    fn a_position_that_ran_away_is_believed_again_when_it_returns_or_after_a_while() {
        let mut trust = Trust::default();
        let mut at = move |second: u64, metres: f64| {
            let position = Plane::at(home()).position(east(metres));
            let rest = Some((Bearing::default(), Speed::ZERO));
            trust.take(Tick::from_secs(second), position, rest, false)
        };
        for second in 0..30 {
            assert_eq!(at(second, 0.0), Conduct::Fits);
        }
        for second in 30..90 {
            assert!(
                matches!(at(second, 60.0), Conduct::Disagrees(_)),
                "{second}"
            );
        }
        // It stays where no boat drifts to in that time.
        for second in 90..180 {
            assert!(
                matches!(at(second, 60.0), Conduct::Disagrees(_)),
                "{second}"
            );
        }
        let mut comes_home = at.clone();
        for second in 180..300 {
            assert_eq!(comes_home(second, 0.0), Conduct::Fits, "{second}");
        }
        for second in 181..629 {
            at(second, 60.0);
        }
        assert_eq!(at(640, 60.0), Conduct::Fits);
    }

    /// Her position had run away from her speed; under way nothing is compared.
    #[test]
    fn after_way_was_made_she_is_believed_where_she_is() {
        let mut trust = Trust::default();
        let at = |trust: &mut Trust, second: u64, metres: f64| {
            let position = Plane::at(home()).position(east(metres));
            let rest = Some((Bearing::default(), Speed::ZERO));
            trust.take(Tick::from_secs(second), position, rest, false)
        };
        for second in 0..30 {
            at(&mut trust, second, 0.0);
        }
        assert!(matches!(at(&mut trust, 30, 60.0), Conduct::Disagrees(_)));
        trust.clear();
        assert_eq!(at(&mut trust, 31, 60.0), Conduct::Fits);
    }
}
