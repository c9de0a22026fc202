//! What is reported about the approach, and when. The sentences are in
//! [`speech`](crate::speech::approach).

use super::steps::Step;
use super::{Approach, NEAR};
use crate::speech::approach::Approaching;
use crate::speech::{Slow, Whole};
use crate::units::{Metres, Speed};

impl Step {
    /// What is reported.
    #[must_use]
    pub fn told(&self) -> Approaching {
        match *self {
            Self::TurnUp {
                beyond,
                course,
                carries,
            } => Approaching::TurnUp {
                beyond,
                course,
                carries,
            },
            Self::LetGo {
                distance,
                speed,
                carries,
            } => match speed.zip(carries) {
                Some((speed, carries)) if speed >= STOPPED => Approaching::LetGoMoving {
                    distance,
                    speed: Slow(speed),
                    carries,
                    stop: speed >= TOO_FAST,
                },
                Some(_) => Approaching::LetGoStopped { distance },
                None => Approaching::LetGo { distance },
            },
            Self::Passed { bearing, distance } => Approaching::Passed { bearing, distance },
        }
    }
}

impl Approach {
    /// The advice of common practice for this moment, if there is any.
    #[must_use]
    pub fn advice(&self) -> Option<Approaching> {
        let moves = self.speed.filter(|_| self.distance <= NEAR)?;
        let (speed, distance) = (Slow(moves), self.distance);
        let carries = self.carries?;
        let closes = self.made_good.is_some_and(|made| made.get() > 0.0);
        let up = self.heads_up.unwrap_or(true);
        if up && closes && carries >= distance && moves >= TOO_FAST {
            return Some(Approaching::StopEngine {
                speed,
                carries,
                distance,
            });
        }
        (moves > SLOW && distance <= SLOW_WITHIN).then_some(Approaching::SlowDown {
            speed,
            limit: Slow(SLOW),
            within: Whole(SLOW_WITHIN),
        })
    }
}

/// At this speed or less she has no way on. Chosen.
const STOPPED: Speed = Speed::from_knots(0.2);
/// A boat that lets go at a higher speed runs over the rode (common practice, no source).
const TOO_FAST: Speed = Speed::from_knots(0.5);
/// The highest speed for the last hundred metres (common practice, no source).
const SLOW: Speed = Speed::from_knots(2.0);
const SLOW_WITHIN: Metres = Metres::of(100.0);

#[cfg(test)]
mod tests {
    use super::super::{Known, Way, approach};
    use super::*;
    use crate::geodesy::{Offset, Position};
    use crate::speech::Wording;
    use crate::units::{Bearing, LengthUnit};

    #[test]
    fn each_step_gives_the_action_and_the_numbers() {
        let say = Wording::default();
        let turn = Step::TurnUp {
            beyond: Metres::of(45.2),
            course: Bearing::from_degrees(220.0),
            carries: Metres::of(44.1),
        };
        assert_eq!(
            turn.told().words(&say),
            "turn up into the wind now: course 220°; the berth lies 45 m up-wind, she carries 44 m"
        );
        let over = |speed: Option<f64>| Step::LetGo {
            distance: Metres::of(2.1),
            speed: speed.map(Speed::from_knots),
            carries: speed.map(|knots| Metres::of(11.0 * knots)),
        };
        for (speed, words) in [
            (
                Some(1.2),
                "over the berth (2.1 m): let go; 1.2 kn over the ground, she carries 13 m more; stop her first",
            ),
            (
                Some(0.3),
                "over the berth (2.1 m): let go; 0.3 kn over the ground, she carries 3.3 m more",
            ),
            (Some(0.1), "over the berth (2.1 m): let go; she has stopped"),
            (None, "over the berth (2.1 m): let go"),
        ] {
            assert_eq!(over(speed).told().words(&say), words);
        }
        let passed = Step::Passed {
            bearing: Bearing::from_degrees(40.0),
            distance: Metres::of(11.0),
        };
        assert_eq!(
            passed.told().words(&Wording::in_unit(LengthUnit::Feet)),
            "berth passed: it bears 040° at 36 ft; let her drift back, or go round again"
        );
    }

    #[test]
    fn advice_is_marked_as_common_practice() {
        let at = |metres: f64, knots: f64| {
            let berth = Position::of(59.8539, 23.26);
            let found = approach(&Known {
                berth,
                roller: berth.moved(Bearing::from_degrees(180.0), Metres::of(metres)),
                velocity: Some(Offset {
                    east: 0.0,
                    north: Speed::from_knots(knots).get(),
                }),
                head_to_wind: Some(Bearing::from_degrees(0.0)),
                way: Way::assumed(Metres::of(11.0)),
            });
            found.advice().map(Approaching::english)
        };
        assert_eq!(at(300.0, 5.0), None);
        assert_eq!(at(80.0, 1.5), None);
        assert_eq!(
            at(80.0, 3.0).unwrap(),
            "slow down: 3.0 kn; no more than 2.0 kn within 100 m of the berth (common practice)"
        );
        assert_eq!(
            at(20.0, 2.0).unwrap(),
            "stop the engine: at 2.0 kn she carries 22 m, the berth is 20 m off (common practice)"
        );
        assert_eq!(at(2.0, 0.3), None);
    }
}
