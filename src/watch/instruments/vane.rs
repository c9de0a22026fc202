//! Wind speed and angle of one reference (apparent, true or over the ground): decides which readings are
//! the wind.
//!
//! **No number.** The data server turns a sentence whose fields are empty or dashes into a wind of exactly 0
//! m/s from exactly 0°. After a wind of [`DIES`] and more, or when nothing else was heard, that is not a calm:
//! a wind that dies becomes light first. A speed of zero is therefore held back until its angle arrives.
//!
//! **Impossible** is a wind above [`MOST`]. **Frozen**: see [`Run`]; a vane at rest in a calm is not
//! frozen.
//!
//! **Weakness.** If a squall ends within a second in a calm from exactly dead ahead, the calm is taken for no
//! number until the vane moves. Tests: `zero_from_zero_after_a_wind_is_no_calm`, `a_frozen_vane_gives_no_wind`.

use std::time::Duration;

use super::Latest;
use super::hearing::{Failing, Run};
use crate::time::Tick;
use crate::units::{Angle, Speed};

/// The readings of one reference. See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Vane {
    pub(super) speed: Latest<Speed>,
    pub(super) angle: Latest<Angle>,
    /// The last valid speed other than zero.
    wind: Option<Speed>,
    /// A speed of zero waits for its angle.
    held: Option<Tick>,
    /// When the last angle arrived, and whether it was exactly zero.
    pointed: Option<(Tick, bool)>,
    run: Run<(Speed, Option<Angle>)>,
    frozen: bool,
}

/// What a reading says about the anemometer and the vane, where it says anything.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Said {
    pub(super) speed: Option<Result<(), Failing>>,
    pub(super) angle: Option<Result<(), Failing>>,
}

impl Vane {
    pub(super) fn take_speed(&mut self, now: Tick, speed: Option<Speed>) -> Said {
        let said = self.speed_word(now, speed);
        self.speed.set(now, speed.filter(|_| said == Some(Ok(()))));
        Said {
            speed: said,
            angle: None,
        }
    }

    pub(super) fn take_angle(&mut self, now: Tick, angle: Option<Angle>) -> Said {
        let Some(taken) = angle else {
            self.angle.set(now, None);
            return Said {
                speed: None,
                angle: Some(Err(Failing::Empty)),
            };
        };
        let zero = taken.get() == 0.0;
        self.pointed = Some((now, zero));
        let held = self.held.take().filter(|at| now.since(*at) <= TOGETHER);
        let word = if zero && held.is_some() && !self.is_light() {
            Err(Failing::Empty)
        } else if self.frozen {
            Err(Failing::Frozen)
        } else {
            Ok(())
        };
        self.angle.set(now, word.ok().map(|()| taken));
        if held.is_some() {
            self.speed.set(now, word.ok().map(|()| Speed::ZERO));
        }
        Said {
            speed: held.map(|_| word),
            angle: Some(word),
        }
    }

    fn speed_word(&mut self, now: Tick, speed: Option<Speed>) -> Option<Result<(), Failing>> {
        self.held = None;
        let Some(speed) = speed else {
            self.run.pause();
            return Some(Err(Failing::Empty));
        };
        if !(Speed::ZERO..=MOST).contains(&speed) {
            return Some(Err(Failing::Impossible));
        }
        if speed == Speed::ZERO {
            self.run.pause();
            self.frozen = false;
            return match self.pointed {
                Some((at, zero)) if at == now => {
                    let none = zero && !self.is_light();
                    Some(if none { Err(Failing::Empty) } else { Ok(()) })
                }
                Some((at, _)) if now.since(at) <= super::STALE => {
                    self.held = Some(now);
                    None
                }
                // As far as is known, an anemometer without a vane.
                _ => {
                    self.held = Some(now);
                    Some(Ok(()))
                }
            };
        }
        self.wind = Some(speed);
        self.frozen = if speed >= STIRS {
            self.run
                .is_frozen(now, (speed, self.angle.value), FROZEN_AFTER)
        } else {
            self.run.pause();
            false
        };
        Some(if self.frozen {
            Err(Failing::Frozen)
        } else {
            Ok(())
        })
    }

    /// The wind was light enough to have become a calm now.
    fn is_light(&self) -> bool {
        self.wind.is_some_and(|wind| wind < DIES)
    }
}

const DIES: Speed = Speed::of(1.0);
/// Above the strongest gust ever measured at sea level outside tornadoes, 113 m/s (WMO, *World Weather and
/// Climate Extremes Archive*; from memory).
const MOST: Speed = Speed::of(115.0);
/// Below this speed cups and vane may stick; chosen.
const STIRS: Speed = Speed::of(1.5);
const FROZEN_AFTER: Duration = Duration::from_mins(5);
const TOGETHER: Duration = Duration::from_millis(1500);

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(vane: &mut Vane, second: u64, speed: f64, degrees: f64) -> Option<Speed> {
        let now = Tick::from_secs(second);
        vane.take_speed(now, Some(Speed::of(speed)));
        vane.take_angle(now, Some(Angle::from_degrees(degrees)));
        vane.speed.fresh(now)
    }

    #[test]
    fn zero_from_zero_after_a_wind_is_no_calm() {
        let mut vane = Vane::default();
        assert_eq!(reading(&mut vane, 0, 7.2, 3.0), Some(Speed::of(7.2)));
        for second in 1..600 {
            assert_eq!(reading(&mut vane, second, 0.0, 0.0), None, "{second}");
        }
        // The vane points somewhere: a calm; a wind that dies ends as one.
        assert_eq!(reading(&mut vane, 600, 0.0, 14.0), Some(Speed::ZERO));
        for (second, speed) in [(601, 2.0), (602, 0.6), (603, 0.0), (604, 0.0)] {
            assert_eq!(
                reading(&mut vane, second, speed, 0.0),
                Some(Speed::of(speed))
            );
        }
        assert_eq!(reading(&mut Vane::default(), 0, 0.0, 0.0), None);
    }

    #[test]
    fn the_order_of_speed_and_angle_does_not_matter_and_a_missing_vane_neither() {
        let mut vane = Vane::default();
        let now = Tick::from_secs(9);
        vane.take_angle(now, Some(Angle::ZERO));
        let said = vane.take_speed(now, Some(Speed::ZERO));
        assert_eq!(said.speed, Some(Err(Failing::Empty)));
        let calm = Vane::default().take_speed(now, Some(Speed::ZERO));
        assert_eq!(calm.speed, Some(Ok(())));
    }

    #[test]
    fn a_frozen_vane_gives_no_wind() {
        let mut vane = Vane::default();
        let lives = |second: u64| 6.0 + 0.1 * (second % 7) as f64;
        for second in 0..600 {
            assert!(reading(&mut vane, second, lives(second), 3.0).is_some());
        }
        let frozen = (600..1200).find(|second| reading(&mut vane, *second, 6.3, 3.0).is_none());
        assert_eq!(frozen, Some(900));
        // The wind dies, and the vane stands still for an hour.
        let mut calm = Vane::default();
        for second in 0..600 {
            reading(&mut calm, second, lives(second) - 5.0, 3.0);
        }
        for second in 600..4200 {
            assert_eq!(reading(&mut calm, second, 0.3, 3.0), Some(Speed::of(0.3)));
        }
    }

    #[test]
    fn no_wind_blows_at_two_hundred_metres_a_second() {
        let mut vane = Vane::default();
        let said = vane.take_speed(Tick::from_secs(1), Some(Speed::of(200.0)));
        assert_eq!(said.speed, Some(Err(Failing::Impossible)));
        assert_eq!(vane.speed.fresh(Tick::from_secs(1)), None);
    }
}
