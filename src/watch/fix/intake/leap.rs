//! A step of the position that no boat at anchor can make.
//!
//! **Symbols.** `s` the way between two fixes `Δt` apart, less what the speed over the ground explains of it (all of it,
//! if no speed is heard); `J` the shift: how far the fix lies from where she would be without the leap.
//!
//! **Rule.** `s > ROOM + FASTEST · Δt`, for any `Δt` up to [`WINDOW`], is a leap: a real drag begins with small steps,
//! and this is faster than any. A receiver that smooths its leap over some seconds leaps too. For [`SETTLES`] after
//! it the place is continued with the speed over the ground, and `J` is measured; then `J` stands, and what she moves
//! beyond it counts as motion. The leap is over when `J` is no longer than [`BACK`].
//!
//! **The delay is bounded.** The drag test and the calculated circle get the place less `J` for [`HELD`] at most, then the place as
//! it is. All leaps within [`LATELY`] share that time, so a receiver that leaps back and forth does not extend it. The last
//! circle and the crew's own (`anchorage/circle.rs`) always get the place as it is. If one leap used two thirds of the time, its place counts
//! from then on with the usual error, and the drag test does not wait for far jumps either; after several leaps it counts with
//! the wider error of positions and speed that disagree. After a gap of more than [`GAP`] nothing is held: she may truly be
//! elsewhere.
//!
//! **Assumptions.** No boat at anchor moves by 15 m at once, or faster than 3 m/s beyond what her speed says: she drags at
//! 1.5 m/s at most (see `trust`), and sheers no faster (common practice, no source). Multipath shifts a fix by 3-14 m for
//! 5-60 s (the facts that shape the watch); the drag test handles that without a word.
//!
//! **Weakness.** If the place *before* the leap was the wrong one, an alarm is late by the time that is held. A leap that
//! creeps at less than 3 m/s is none; [`trust`](super::trust) judges it. Reports more than [`WINDOW`] apart cannot show
//! one.
//!
//! **Tests** beside this file, `watch/tests/leaps.rs` for the whole watch, and the night `jumps` of the library.

use std::collections::VecDeque;
use std::time::Duration;

use crate::geodesy::{Offset, Plane, Position};
use crate::time::Tick;
use crate::units::{Bearing, Metres, Speed};

/// Where a position would be without this leap.
pub(super) fn without(position: Position, shift: Option<Offset>) -> Position {
    shift.map_or(position, |shift| {
        Plane::at(position).position(Offset::ZERO - shift)
    })
}

/// Follows one receiver. See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Leaps {
    plane: Option<Plane>,
    last: Option<Point>,
    /// Places without the leap, of the last seconds.
    track: VecDeque<Point>,
    away: Option<Away>,
    /// When leaps began lately, and until when they were held.
    lately: VecDeque<(Tick, Tick)>,
    /// When a leap had been held for the whole time, and the place stayed.
    stayed: Option<Tick>,
}

/// A place, and the way that the speed explains up to there.
#[derive(Clone, Copy, Debug)]
struct Point {
    at: Tick,
    place: Offset,
    run: Offset,
}

/// A leap that is held.
#[derive(Clone, Copy, Debug)]
struct Away {
    begun: Tick,
    /// When the place last leapt.
    leapt: Tick,
    shift: Offset,
}

impl Leaps {
    /// Takes a position, with course and speed over the ground where they are heard.
    pub(super) fn take(
        &mut self,
        now: Tick,
        position: Position,
        velocity: Option<(Bearing, Speed)>,
    ) {
        let far = |plane: &Plane| plane.offset(position).length() > FAR;
        if self.last.is_some_and(|last| now.since(last.at) > GAP)
            || self.plane.as_ref().is_some_and(far)
        {
            self.over(now);
            self.plane = None;
        }
        let plane = *self.plane.get_or_insert(Plane::at(position));
        let seen = plane.offset(position);
        let run = self.last.map_or(Offset::ZERO, |last| {
            let way = |(course, speed): (Bearing, Speed)| {
                Offset::polar(course, Metres::of(speed.get() * now.secs_since(last.at)))
            };
            last.run + velocity.map_or(Offset::ZERO, way)
        });
        let place = self.without_leap(now, seen, run);
        self.last = Some(Point {
            at: now,
            place: seen,
            run,
        });
        let point = Point {
            at: now,
            place,
            run,
        };
        if let Some(from) = self.leaps_from(&point) {
            self.leap(now, seen, from.place + run - from.run);
        }
        self.end_if_due(now);
        if self
            .track
            .back()
            .is_none_or(|last| now.since(last.at) >= SPACING)
        {
            let shift = self.shift().unwrap_or(Offset::ZERO);
            self.track.push_back(Point {
                place: seen - shift,
                ..point
            });
        }
        while self
            .track
            .front()
            .is_some_and(|first| now.since(first.at) > WINDOW)
        {
            self.track.pop_front();
        }
    }

    /// The shift that is held.
    pub(super) fn shift(&self) -> Option<Offset> {
        self.away.map(|away| away.shift)
    }

    /// The place has leapt and has stayed, which explains a disagreement with the speed.
    pub(super) fn stays(&self, now: Tick) -> bool {
        self.stayed.is_some_and(|since| now.since(since) <= LATELY)
    }

    /// How many leaps began lately.
    pub(super) fn count(&self, now: Tick) -> usize {
        self.lately
            .iter()
            .filter(|(begun, _)| now.since(*begun) <= LATELY)
            .count()
    }

    /// Where she would be without the leap.
    fn without_leap(&mut self, now: Tick, seen: Offset, run: Offset) -> Offset {
        let Some(away) = &mut self.away else {
            return seen;
        };
        if now.since(away.leapt) <= SETTLES
            && let Some(last) = self.last
        {
            let expected = last.place - away.shift + run - last.run;
            away.shift = seen - expected;
        }
        seen - away.shift
    }

    /// The latest place from which this one is too far.
    fn leaps_from(&self, point: &Point) -> Option<Point> {
        let too_far = |from: &&Point| {
            let unexplained = (point.place - from.place) - (point.run - from.run);
            let seconds = point.at.secs_since(from.at);
            unexplained.length().get() > ROOM.get() + FASTEST.get() * seconds
        };
        self.track.iter().rev().find(too_far).copied()
    }

    fn leap(&mut self, now: Tick, seen: Offset, expected: Offset) {
        let shift = seen - expected;
        if let Some(away) = &mut self.away {
            away.leapt = now;
            away.shift = shift;
            return;
        }
        if self.lately.len() >= MOST {
            self.lately.pop_front();
        }
        self.lately.push_back((now, now));
        self.track.clear();
        self.away = Some(Away {
            begun: now,
            leapt: now,
            shift,
        });
    }

    /// A leap ends when the place is back, or when no time is left.
    fn end_if_due(&mut self, now: Tick) {
        let Some(away) = self.away else { return };
        let held = now.since(away.begun);
        if away.shift.length() <= BACK {
            self.over(now);
        } else if held >= self.left(now, away.begun) {
            self.over(now);
            self.stayed = (held >= MOST_OF_IT).then_some(now);
        }
    }

    fn over(&mut self, now: Tick) {
        if self.away.take().is_some()
            && let Some((_, until)) = self.lately.back_mut()
        {
            *until = now;
        }
        self.track.clear();
    }

    /// How long a leap that began at `begun` may be held.
    fn left(&self, now: Tick, begun: Tick) -> Duration {
        if self.count(now) >= MOST {
            return Duration::ZERO;
        }
        let used = self
            .lately
            .iter()
            .filter(|(earlier, until)| *earlier < begun && now.since(*until) <= LATELY)
            .map(|(earlier, until)| until.since(*earlier))
            .sum();
        HELD.saturating_sub(used)
    }
}

/// More than multipath shifts a fix by.
pub(in crate::watch) const ROOM: Metres = Metres::of(15.0);
/// Twice as fast as a boat drags in a gale.
const FASTEST: Speed = Speed::of(3.0);
const WINDOW: Duration = Duration::from_millis(10_500);
/// A receiver that smooths its positions reaches the new place within this time; chosen.
const SETTLES: Duration = Duration::from_secs(10);
/// Half of [`ROOM`].
const BACK: Metres = Metres::of(7.5);
/// How long a leap is held, alone or with others.
pub(in crate::watch) const HELD: Duration = Duration::from_secs(45);
/// Leaps within this time share it.
pub(in crate::watch) const LATELY: Duration = Duration::from_mins(10);
/// So a short leap of the minutes before does not count against a place that then stays.
const MOST_OF_IT: Duration = Duration::from_secs(30);
const GAP: Duration = Duration::from_secs(15);
const SPACING: Duration = Duration::from_millis(900);
const FAR: Metres = Metres::of(1000.0);
/// The greatest number of leaps that are kept.
const MOST: usize = 60;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::east;

    /// What is held at each second, with positions every `every` seconds; the speed over the ground, if it is heard,
    /// is that of the true motion.
    fn held(
        seconds: u64,
        every: u64,
        doppler: bool,
        place: impl Fn(u64) -> (f64, f64),
    ) -> Vec<(u64, f64)> {
        let home = Position::new(59.8539, 23.26).unwrap();
        let mut leaps = Leaps::default();
        let mut all = Vec::new();
        for second in (0..seconds).step_by(usize::try_from(every).unwrap()) {
            let (truth, error) = place(second);
            let (before, _) = place(second.saturating_sub(every));
            let speed = (truth - before) / every as f64;
            let velocity = doppler.then(|| (east(speed).bearing(), Speed::of(speed.abs())));
            let position = Plane::at(home).position(east(truth + error));
            leaps.take(Tick::from_secs(second), position, velocity);
            if let Some(shift) = leaps.shift() {
                all.push((second, shift.east));
            }
        }
        all
    }

    fn between(second: u64, from: u64, until: u64, shift: f64) -> f64 {
        if (from..until).contains(&second) {
            shift
        } else {
            0.0
        }
    }

    /// 40 m for half a minute, at once and smoothed over five seconds, while she sheers.
    #[test]
    fn a_leap_and_back_is_held_for_as_long_as_it_lasts() {
        let sheers = |second: u64| 10.0 * (second as f64 / 16.0).sin();
        for (every, doppler) in [(1, true), (1, false), (5, true)] {
            let all = held(300, every, doppler, |s| {
                (sheers(s), between(s, 100, 130, 40.0))
            });
            let (first, last) = (all[0].0, all[all.len() - 1].0);
            assert!(
                (100..102).contains(&first) && (125..130).contains(&last),
                "{every} {doppler}: {all:?}"
            );
            let most = if doppler { 1.5 } else { 8.0 };
            assert!(
                all.iter().all(|(_, shift)| (shift - 40.0).abs() < most),
                "{every} {doppler}: {all:?}"
            );
        }
        let smooth = |s: u64| {
            40.0 * ((s.saturating_sub(100).min(5) as f64) - s.saturating_sub(130).min(5) as f64)
                / 5.0
        };
        let all = held(300, 1, true, |s| (sheers(s), smooth(s)));
        assert!(all[0].0 <= 104 && all[all.len() - 1].0 < 140, "{all:?}");
        assert!(
            all.iter()
                .filter(|(s, _)| (106..130).contains(s))
                .all(|(_, shift)| (shift - 40.0).abs() < 1.5),
            "{all:?}"
        );
    }

    #[test]
    fn a_place_that_stays_is_believed_although_the_place_leapt_for_a_second_before() {
        let mut leaps = Leaps::default();
        let home = Plane::at(Position::new(59.8539, 23.26).unwrap());
        let believed = (0..300_u64).find(|second| {
            let off = if *second == 60 || *second >= 100 {
                40.0
            } else {
                0.0
            };
            let now = Tick::from_secs(*second);
            leaps.take(
                now,
                home.position(east(off)),
                Some((east(1.0).bearing(), Speed::ZERO)),
            );
            leaps.stays(now)
        });
        let held = HELD.as_secs();
        assert!(
            believed.is_some_and(|at| (100 + held - 2..=100 + held).contains(&at)),
            "{believed:?}"
        );
    }

    #[test]
    fn a_place_that_stays_is_let_in_after_the_stated_time() {
        let all = held(600, 1, true, |s| (0.0, between(s, 100, 600, 40.0)));
        assert_eq!((all[0].0, all[all.len() - 1].0), (100, 144));
        assert_eq!(all.len() as u64, HELD.as_secs());
    }

    /// The receiver leaps back and forth, or farther and farther.
    #[test]
    fn leaps_on_leaps_never_extend_the_time() {
        let to_and_fro = |period: u64| {
            move |s: u64| {
                (
                    0.0,
                    if (s / period).is_multiple_of(2) {
                        0.0
                    } else {
                        60.0
                    },
                )
            }
        };
        for period in [1, 2, 5, 20, 44, 50] {
            let all = held(600, 1, true, to_and_fro(period));
            assert!(
                all.len() as u64 <= HELD.as_secs() + 1,
                "{period}: {}",
                all.len()
            );
        }
        let farther = held(600, 1, true, |s| (0.0, (s / 10) as f64 * 30.0));
        assert!(
            farther.len() as u64 <= HELD.as_secs() + 1,
            "{}",
            farther.len()
        );
    }

    /// The third leap has no time left to be held, so nothing shows yet which place is right.
    #[test]
    fn a_place_counts_as_the_right_one_only_after_most_of_the_time() {
        let mut leaps = Leaps::default();
        let home = Plane::at(Position::new(59.8539, 23.26).unwrap());
        for second in 0..200_u64 {
            let off = if (second / 20) % 2 == 1 { 40.0 } else { 0.0 };
            let now = Tick::from_secs(second);
            leaps.take(now, home.position(east(off)), None);
            assert!(!leaps.stays(now), "{second}");
        }
        assert!(leaps.count(Tick::from_secs(200)) > 3);
    }

    /// Drags of up to 3 m/s, with a speed over the ground that shows them, that is missing, or that says nothing of it;
    /// a powerboat that leaves; multipath; and a place after a gap.
    #[test]
    fn a_drag_and_multipath_and_a_gap_are_no_leaps() {
        for speed in [0.1, 0.5, 1.5, 3.0] {
            for doppler in [true, false] {
                let drags = |s: u64| (s.saturating_sub(50) as f64 * speed, 0.0);
                assert_eq!(held(300, 1, doppler, drags), [], "{speed}");
            }
            let unheard = |s: u64| (0.0, s.saturating_sub(50) as f64 * speed);
            assert_eq!(held(300, 1, true, unheard), [], "{speed}");
        }
        assert_eq!(
            held(300, 5, true, |s| (s.saturating_sub(50) as f64 * 15.0, 0.0)),
            []
        );
        assert_eq!(
            held(300, 1, true, |s| (0.0, between(s, 100, 130, 14.0))),
            []
        );
        assert_eq!(
            held(300, 20, true, |s| (0.0, between(s, 100, 300, 90.0))),
            []
        );
    }

    /// While a leap is held, a drag that goes on is seen in the place without it.
    #[test]
    fn a_drag_during_a_leap_is_no_part_of_it() {
        let all = held(200, 1, true, |s| {
            (
                s.saturating_sub(80) as f64 * 0.5,
                between(s, 100, 130, 40.0),
            )
        });
        assert_eq!(all.len(), 30);
        assert!(
            all.iter().all(|(_, shift)| (shift - 40.0).abs() < 0.5),
            "{all:?}"
        );
    }
}
