//! Her way: how far she runs after the engine is stopped, as entered, as learned, or as assumed.
//!
//! **Formula.** The distance grows with the speed: `D = T · v`, for a resistance proportional to the speed. One number
//! describes it: how far she carries from 2 kn. A coast from `v₀` down to `v₁` over the distance `d` gives
//! `T = d / (v₀ - v₁)`; the median of the last five is used, once there are two.
//! **Learned** where the engine's revolutions are known: they fall from working speed to idle (1000 a minute or less),
//! and she slows to half on a steady course. The distance is between two fixes of one receiver, so that its slow error
//! cancels out.
//! **Assumptions.** Idle is neutral. She carries as far head to wind as when she coasted.
//! **Weakness.** Idling in gear looks the same: astern it makes the way too short; ahead she hardly slows and nothing
//! is learned. A head wind brakes more than in proportion; the figure is then a little long, and she stops short of the
//! berth. What was learned survives a restart, but also a change of boat or propeller: five coasts later the old
//! figures are gone.
//! **Source**: two boat lengths from 2 kn, assumed where nothing is entered: common practice, no source.
//! **Tests**: below.

use std::collections::VecDeque;
use std::time::Duration;

use crate::geodesy::{Offset, Position};
use crate::time::Tick;
use crate::units::{Bearing, Hertz, Metres, Speed};

/// How far she carries her way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// From 2 kn, with the engine stopped.
    pub from_two_knots: Metres,
    /// The source of the figure.
    pub by: WayBy,
}

/// The source of the figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WayBy {
    /// The crew entered it: `boat.way`.
    Entered,
    /// Learned from her own track.
    Learned,
    /// Unknown: two boat lengths are assumed.
    Assumed,
}

impl Way {
    /// The entered figure, otherwise the learned one, otherwise the one assumed for her length.
    #[must_use]
    pub fn of(entered: Option<Metres>, learned: Option<Metres>, length: Metres) -> Self {
        let known = |from_two_knots, by| Self { from_two_knots, by };
        match (entered, learned) {
            (Some(entered), _) => known(entered, WayBy::Entered),
            (None, Some(learned)) => known(learned, WayBy::Learned),
            (None, None) => Self::assumed(length),
        }
    }

    /// For a boat of this length.
    #[must_use]
    pub fn assumed(length: Metres) -> Self {
        Self {
            from_two_knots: length.max(Metres::ZERO).min(LONGEST) * 2.0,
            by: WayBy::Assumed,
        }
    }

    /// How far she still runs from this speed.
    #[must_use]
    pub fn carries(&self, speed: Speed) -> Metres {
        Metres::new(self.from_two_knots.get() * speed.get() / TWO_KNOTS.get()).unwrap_or_default()
    }
}

const TWO_KNOTS: Speed = Speed::from_knots(2.0);
/// No boat is longer.
const LONGEST: Metres = Metres::of(500.0);

/// Learns the distance from her track.
#[derive(Clone, Debug, Default)]
pub struct WayLearner {
    /// Seconds, for the last coasts.
    coasts: VecDeque<f64>,
    coast: Option<Coast>,
    /// When the engine last worked above idle.
    worked: Option<Tick>,
}

#[derive(Clone, Copy, Debug)]
struct Coast {
    began: Tick,
    last: Tick,
    from: Position,
    speed: f64,
    course: Bearing,
}

impl WayLearner {
    /// Takes the known values about once a second.
    pub fn take(
        &mut self,
        now: Tick,
        antenna: Position,
        velocity: Option<Offset>,
        revolutions: Option<Hertz>,
    ) {
        let (Some(v), Some(rate)) = (velocity, revolutions) else {
            (self.coast, self.worked) = (None, None);
            return;
        };
        if rate > IDLE {
            (self.coast, self.worked) = (None, Some(now));
            return;
        }
        let (speed, course) = (v.length().get(), v.bearing());
        let just = self.worked.take();
        let Some(coast) = &mut self.coast else {
            let begins = just.is_some_and(|at| now.since(at) <= GAP);
            self.coast = (begins && (SLOWEST..=FASTEST).contains(&speed)).then_some(Coast {
                began: now,
                last: now,
                from: antenna,
                speed,
                course,
            });
            return;
        };
        let steady = course.since(coast.course).get().abs() <= STEADY
            && speed <= coast.speed * 1.1
            && now.since(coast.last) <= GAP
            && now.since(coast.began) <= LONGEST_COAST;
        coast.last = now;
        if !steady {
            self.coast = None;
        } else if speed <= coast.speed / 2.0 {
            let seconds = coast.from.distance_to(antenna).get() / (coast.speed - speed);
            self.coast = None;
            if (SHORTEST..=MOST).contains(&seconds) {
                self.coasts.push_back(seconds);
                if self.coasts.len() > KEPT {
                    self.coasts.pop_front();
                }
            }
        }
    }

    /// Restores what was saved; impossible values are dropped.
    #[must_use]
    pub fn restored(coasts: &[f64]) -> Self {
        let range = SHORTEST..=MOST;
        let coasts = coasts.iter().copied().filter(|it| range.contains(it));
        Self {
            coasts: coasts.take(KEPT).collect(),
            ..Self::default()
        }
    }

    /// Seconds for the last coasts, to be saved.
    #[must_use]
    pub fn coasts(&self) -> Vec<f64> {
        self.coasts.iter().copied().collect()
    }

    /// How far she carries from 2 kn, once two coasts were measured.
    #[must_use]
    pub fn from_two_knots(&self) -> Option<Metres> {
        let mut seconds: Vec<f64> = self.coasts.iter().copied().collect();
        if seconds.len() < 2 {
            return None;
        }
        seconds.sort_by(f64::total_cmp);
        let half = seconds.len() / 2;
        let median = if seconds.len() % 2 == 1 {
            seconds[half]
        } else {
            f64::midpoint(seconds[half - 1], seconds[half])
        };
        Metres::new(median * TWO_KNOTS.get())
    }
}

const IDLE: Hertz = Hertz::of(1000.0 / 60.0);
/// m/s: 1.5 kn and 5 kn, between which a boat comes to her berth. Chosen.
const SLOWEST: f64 = 0.8;
const FASTEST: f64 = 2.6;
/// Radians: 30°.
const STEADY: f64 = 0.52;
const GAP: Duration = Duration::from_secs(5);
const LONGEST_COAST: Duration = Duration::from_mins(3);
/// Seconds: a lower value means braking, a higher one a stream.
const SHORTEST: f64 = 4.0;
const MOST: f64 = 150.0;
const KEPT: usize = 5;

#[cfg(test)]
mod tests {
    use super::*;

    const COVE: Position = Position::of(59.8539, 23.26);
    const WORKS: Option<Hertz> = Some(Hertz::of(30.0));
    const IDLES: Option<Hertz> = Some(Hertz::of(13.0));

    /// Under engine at `speed`, then idle: with linear resistance, v = v₀ exp(-t/T), which runs T·v₀ in all.
    fn coast(learner: &mut WayLearner, start: u64, speed: f64, seconds: f64, turn: f64) {
        for second in 0..40_u64 {
            let time = second.saturating_sub(10) as f64;
            let idle = second >= 10;
            let fades = (-time / seconds).exp();
            let run = if idle {
                speed * 10.0 + speed * seconds * (1.0 - fades)
            } else {
                speed * second as f64
            };
            let north = Bearing::from_degrees(0.0);
            let course = Bearing::from_degrees(if idle { turn } else { 0.0 } * time / 10.0);
            let velocity =
                Offset::polar(course, Metres::of(speed * if idle { fades } else { 1.0 }));
            learner.take(
                Tick::from_secs(start + second),
                COVE.moved(north, Metres::of(run)),
                Some(velocity),
                if idle { IDLES } else { WORKS },
            );
        }
    }

    #[test]
    fn two_coasts_teach_how_far_she_carries() {
        let mut learner = WayLearner::default();
        coast(&mut learner, 0, 1.5, 20.0, 0.0);
        assert_eq!(learner.from_two_knots(), None);
        coast(&mut learner, 100, 1.2, 24.0, 0.0);
        let learned = learner.from_two_knots().unwrap().get();
        // 22 s on the mean of both: 1.0289 m/s times that.
        assert!((learned - 22.0 * 1.0289).abs() < 1.0, "{learned}");
        let way = Way::of(None, Some(Metres::of(learned)), Metres::of(11.0));
        assert_eq!(way.by, WayBy::Learned);
        assert!((way.carries(Speed::from_knots(4.0)).get() - 2.0 * learned).abs() < 1e-9);
        // Only the last five are ever kept.
        for n in 2..30 {
            coast(&mut learner, n * 100, 1.5, 20.0, 0.0);
        }
        assert_eq!(learner.coasts.len(), KEPT);
        assert!((learner.from_two_knots().unwrap().get() - 20.0 * 1.0289).abs() < 0.7);
    }

    #[test]
    fn a_turn_a_silent_engine_and_a_slow_boat_teach_nothing() {
        let mut learner = WayLearner::default();
        for n in 0..3 {
            coast(&mut learner, n * 100, 1.5, 20.0, 60.0);
            coast(&mut learner, n * 100 + 50, 0.6, 20.0, 0.0);
        }
        // Nothing is known of the engine.
        for second in 0..40_u64 {
            let at = COVE.moved(Bearing::from_degrees(0.0), Metres::of(second as f64));
            let velocity = Offset {
                east: 0.0,
                north: 2.0 / (1.0 + second as f64),
            };
            learner.take(Tick::from_secs(1000 + second), at, Some(velocity), None);
        }
        assert_eq!(learner.coasts.len(), 0);
        assert_eq!(learner.from_two_knots(), None);
    }

    #[test]
    fn an_entered_figure_wins_and_two_lengths_are_assumed() {
        let entered = Way::of(
            Some(Metres::of(30.0)),
            Some(Metres::of(20.0)),
            Metres::of(11.0),
        );
        assert_eq!(
            (entered.from_two_knots.get(), entered.by),
            (30.0, WayBy::Entered)
        );
        let assumed = Way::of(None, None, Metres::of(11.0));
        assert_eq!(
            (assumed.from_two_knots.get(), assumed.by),
            (22.0, WayBy::Assumed)
        );
    }
}
