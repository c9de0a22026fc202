//! The steps of an approach: turn up into the wind, let go, pass the berth. Each is reported once.
//!
//! **Rule.** *Turn up*: she lies near the line through the berth, down-wind of it by at least the distance she carries,
//! and does not head into the wind. *Let go*: she heads up (or hardly moves) and the bow is over the berth: within 4 m,
//! or within 10 m and going away again. *Passed*: heading up, the bow has come within 25 m and is 10 m beyond. A boat
//! that runs down-wind over the berth to turn up beyond it gets neither of these two. Without a wind, only a boat at 2
//! kn or less is told to let go.
//! **Once.** All three are reported again only after she has been farther off than four times the distance she carries,
//! at least 120 m; and at most ten times for one berth.
//! **Weakness.** Metres are those of the fix: a wrong fix lets go at a wrong place. **Source**: common practice, no
//! source; distances chosen. **Tests**: below.

use super::Approach;
use crate::units::{Bearing, Metres, Speed};

/// A step to take now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Step {
    /// Turn up into the wind.
    TurnUp {
        /// How far she lies down-wind of the berth.
        beyond: Metres,
        /// The course to turn to.
        course: Bearing,
        /// How far she carries her way.
        carries: Metres,
    },
    /// The bow is over the berth.
    LetGo {
        /// The distance to the berth.
        distance: Metres,
        /// The speed over the ground.
        speed: Option<Speed>,
        /// How far she still runs.
        carries: Option<Metres>,
    },
    /// She has passed it.
    Passed {
        /// The bearing of the berth now.
        bearing: Bearing,
        /// Its distance.
        distance: Metres,
    },
}

/// The steps that were reported. One value for each berth.
#[derive(Clone, Debug, Default)]
pub struct Steps {
    /// Indexed by [`TURN_UP`], [`LET_GO`], [`PASS`].
    told: [bool; 3],
    /// She has been down-wind of the berth and heading for it.
    came: bool,
    /// The nearest distance while she was heading up.
    nearest: Option<f64>,
    passes: u32,
}

impl Steps {
    /// The step to take now, if it was not reported yet.
    pub fn take(&mut self, now: &Approach) -> Option<Step> {
        let carries = now.carries.unwrap_or_default();
        let distance = now.distance.get();
        if distance >= (carries.get() * 4.0).max(AGAIN) {
            let told = u32::from(self.told.contains(&true));
            *self = Self {
                passes: self.passes + told,
                ..Self::default()
            };
            return None;
        }
        if self.passes >= MOST {
            return None;
        }
        self.turn_up(now, carries).or_else(|| {
            let slow = now.speed.is_none_or(|speed| speed <= SLOW);
            // Nobody lets go while heading across or down the wind.
            if now.heads_up == Some(false) || (now.head_to_wind.is_none() && !slow) {
                return None;
            }
            let nearest = self
                .nearest
                .map_or(distance, |nearest| nearest.min(distance));
            self.nearest = Some(nearest);
            self.came |= now.down_wind.is_some_and(|metres| metres.get() > 0.0);
            self.over(now, nearest).or_else(|| self.pass(now, nearest))
        })
    }

    fn turn_up(&mut self, now: &Approach, carries: Metres) -> Option<Step> {
        let beyond = now.down_wind?;
        let near = now.cross_track?.get().abs() <= BESIDE;
        let due = beyond >= carries && beyond.get() <= carries.get().max(20.0) * 3.0;
        if self.told[TURN_UP] || now.heads_up != Some(false) || !near || !due {
            return None;
        }
        // The reports so far belong to the way round; now the last leg begins.
        *self = Self {
            told: [true, false, false],
            passes: self.passes,
            ..Self::default()
        };
        Some(Step::TurnUp {
            beyond,
            course: now.head_to_wind?,
            carries,
        })
    }

    fn over(&mut self, now: &Approach, nearest: f64) -> Option<Step> {
        let distance = now.distance.get();
        let goes_away = nearest <= CLOSE && distance >= nearest + 1.5;
        if self.told[LET_GO] || !(distance <= OVER || goes_away) {
            return None;
        }
        self.told[LET_GO] = true;
        Some(Step::LetGo {
            distance: now.distance,
            speed: now.speed,
            carries: now.carries,
        })
    }

    fn pass(&mut self, now: &Approach, nearest: f64) -> Option<Step> {
        let beyond = match (now.down_wind, now.cross_track) {
            (Some(down), Some(cross)) => {
                self.came
                    && nearest <= MISSED
                    && down.get() <= -PASSED
                    && cross.get().abs() <= BESIDE
            }
            _ => nearest <= CLOSE && now.distance.get() >= nearest + PASSED,
        };
        if self.told[PASS] || !beyond {
            return None;
        }
        self.told[PASS] = true;
        Some(Step::Passed {
            bearing: now.bearing,
            distance: now.distance,
        })
    }
}

const TURN_UP: usize = 0;
const LET_GO: usize = 1;
const PASS: usize = 2;
/// Metres.
const OVER: f64 = 4.0;
const CLOSE: f64 = 10.0;
const PASSED: f64 = 10.0;
/// A boat that stays farther off was not coming to this berth.
const MISSED: f64 = 25.0;
const BESIDE: f64 = 40.0;
const AGAIN: f64 = 120.0;
const SLOW: Speed = Speed::from_knots(2.0);
const MOST: u32 = 10;

#[cfg(test)]
mod tests {
    use super::super::{Known, Way, approach};
    use super::*;
    use crate::geodesy::{Offset, Plane, Position};

    const COVE: Position = Position::of(59.8539, 23.26);

    /// Wind from the north; she moves along these legs from (east, north) of the berth, at a speed, one second at a
    /// time.
    fn told(
        steps: &mut Steps,
        wind: bool,
        legs: &[([f64; 2], [f64; 2], f64)],
    ) -> Vec<(&'static str, Offset)> {
        let mut told = Vec::new();
        for (from, to, speed) in legs {
            let (from, to) = (
                Offset {
                    east: from[0],
                    north: from[1],
                },
                Offset {
                    east: to[0],
                    north: to[1],
                },
            );
            let leg = to - from;
            let seconds = leg.length().get() / speed;
            let mut second = 0.0;
            while second <= seconds {
                let at = from + leg * (second / seconds);
                let known = Known {
                    berth: COVE,
                    roller: Plane::at(COVE).position(at),
                    velocity: Some(leg * (1.0 / seconds)),
                    head_to_wind: wind.then(|| Bearing::from_degrees(0.0)),
                    way: Way::assumed(Metres::of(11.0)),
                };
                let name = match steps.take(&approach(&known)) {
                    None => None,
                    Some(Step::TurnUp { .. }) => Some("turn up"),
                    Some(Step::LetGo { .. }) => Some("let go"),
                    Some(Step::Passed { .. }) => Some("passed"),
                };
                told.extend(name.map(|name| (name, at)));
                second += 1.0;
            }
        }
        told
    }

    fn names(told: &[(&'static str, Offset)]) -> Vec<&'static str> {
        told.iter().map(|(name, _)| *name).collect()
    }

    /// Down-wind over the berth at 4 kn (she carries 44 m), up into the wind, and 40 m past it.
    #[test]
    fn down_wind_past_it_up_into_the_wind_and_past_it_again() {
        let legs = [
            ([5.0, 150.0], [5.0, -60.0], 2.06),
            ([5.0, -60.0], [0.0, 40.0], 0.8),
        ];
        let mut steps = Steps::default();
        let heard = told(&mut steps, true, &legs);
        assert_eq!(names(&heard), ["turn up", "let go", "passed"], "{heard:?}");
        let [turn, over, passed] = [heard[0].1, heard[1].1, heard[2].1];
        assert!((-48.0..=-44.0).contains(&turn.north), "{turn:?}");
        assert!(over.length().get() <= 4.0, "{over:?}");
        assert!((9.9..=12.0).contains(&passed.north), "{passed:?}");
        // Passing over it to and fro reports nothing more.
        let again = [
            ([0.0, 40.0], [0.0, -60.0], 0.8),
            ([0.0, -60.0], [0.0, 40.0], 0.8),
        ];
        assert_eq!(told(&mut steps, true, &again), []);
        // After a wide circle the steps are reported again, but not for ever.
        let wide = [
            ([0.0, -200.0], [0.0, 40.0], 0.8),
            ([0.0, 200.0], [0.0, 201.0], 0.8),
        ];
        let mut count = 0;
        for _ in 0..40 {
            count += told(&mut steps, true, &wide).len();
        }
        assert_eq!(count, 18, "two steps, nine passes more");
    }

    #[test]
    fn from_down_wind_there_is_nothing_to_turn_and_a_near_miss_lets_go_at_its_nearest() {
        let heard = told(
            &mut Steps::default(),
            true,
            &[([7.0, -110.0], [7.0, 8.0], 1.0)],
        );
        assert_eq!(names(&heard), ["let go"], "{heard:?}");
        assert!(
            heard[0].1.north > 3.0 && heard[0].1.north < 6.5,
            "{heard:?}"
        );
        // Far beside it there is no place to let go.
        let heard = told(
            &mut Steps::default(),
            true,
            &[([30.0, -110.0], [30.0, 8.0], 1.0)],
        );
        assert_eq!(heard, []);
    }

    #[test]
    fn without_a_wind_only_a_slow_boat_gets_the_step() {
        let fast = [([0.0, -110.0], [0.0, 60.0], 2.0)];
        assert_eq!(told(&mut Steps::default(), false, &fast), []);
        let slow = [([0.0, -110.0], [0.0, 60.0], 0.8)];
        let heard = told(&mut Steps::default(), false, &slow);
        assert_eq!(names(&heard), ["let go", "passed"]);
    }
}
