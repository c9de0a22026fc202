//! One reference of the sounder: decides which readings are the bottom.
//!
//! **Lost bottom.** A sounder that hears no echo sends nothing, or zero; and the data server turns a
//! field that is no number (`---`) into zero. A reading less than [`LEAST`] below the transducer is
//! therefore not the bottom.
//!
//! **Leap.** From one reading to the next the depth may change by [`ROOM`] plus a quarter of itself: a boat that
//! swings at half a metre a second over a bottom with a slope of one in three changes her depth by 0.17 m a second
//! (chosen; common practice, no source). A reading farther off is weed, a fish, a second echo or no echo. It
//! counts once the readings after it have agreed with it for [`CONFIRMED`] while changing, or for [`STUCK`] if
//! they are all identical: the sounder of a boat aground sends such readings too.
//!
//! **Frozen.** A sounder is frozen if its readings were identical to the last digit while the predicted tide rose or
//! fell by at least [`TIDE_MOVED`] and at least twice the smallest step that the sounder has shown, or by
//! [`UNKNOWN_STEP`] if it has shown none: otherwise the bottom would have to fall and rise with the tide. Sounders
//! show decimetres or feet, some show whole metres in deep water (common practice, no source). The readings must be
//! identical for at least [`FROZEN_AFTER`], and a tide table that leaps restarts the count.
//!
//! **Not detected** is a frozen sounder where the tide moves by less, or where no tide is known. In a calm berth a
//! good sounder shows the same decimetre for hours, and after a lively evening that is longer than ever before, so
//! no length of time separates the two. A swing does not show it either: a mud bottom is flat. The depth is needed
//! to see the water that the tide takes away, and this is also what reveals the fault.
//!
//! **Weakness.** If a boat is carried onto a wall of rock, the alarm comes half a minute late. If two
//! sounders on one reference differ by more than a leap, the one heard first counts. A sounder that repeats
//! its last depth when it loses the bottom is believed until the tide shows the fault. In a basin that the
//! tide does not reach, with a station outside, a good sounder is taken for a frozen one. Tests:
//! `a_sounder_that_loses_the_bottom_says_zero`, `a_leap_counts_when_later_readings_bear_it_out`,
//! `readings_that_do_not_follow_the_tide_are_frozen`.

use std::collections::VecDeque;
use std::time::Duration;

use super::hearing::Failing;
use crate::stats::median;
use crate::time::Tick;
use crate::units::Metres;

/// The last readings of one reference. See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Sounder {
    recent: VecDeque<(Tick, Metres)>,
    /// The median of the last readings, and the time of the last one.
    middle: Option<(Tick, Metres)>,
    leap: Option<Leap>,
    alike: Option<Alike>,
    /// The smallest change from one reading to the next.
    step: Option<f64>,
}

/// Readings that are identical to the last digit, and the tide meanwhile.
#[derive(Clone, Copy, Debug)]
struct Alike {
    reading: Metres,
    since: Tick,
    last: Tick,
    tide: Option<Moved>,
}

/// The height of the tide: the last, the lowest and the highest.
#[derive(Clone, Copy, Debug)]
struct Moved {
    last: Metres,
    least: Metres,
    most: Metres,
}

/// Readings far from the earlier ones.
#[derive(Clone, Copy, Debug)]
struct Leap {
    begun: Tick,
    last: Metres,
    least: Metres,
    most: Metres,
}

impl Sounder {
    /// Takes a reading. `zero` is what the reference shows when there is no water under the
    /// transducer.
    pub(super) fn take(
        &mut self,
        now: Tick,
        depth: Option<Metres>,
        zero: Metres,
    ) -> Result<(), Failing> {
        let beneath = |depth: &Metres| (LEAST..DEEPEST).contains(&(*depth - zero).get());
        let Some(depth) = depth.filter(beneath) else {
            self.leap = None;
            self.alike = None;
            return Err(Failing::Empty);
        };
        if self.is_frozen(now, depth) {
            return Err(Failing::Frozen);
        }
        if self.is_leap(now, depth) {
            return Err(Failing::Impossible);
        }
        self.recent.push_back((now, depth));
        let old = |(at, _): &(Tick, Metres)| now.since(*at) > KEPT;
        while self.recent.len() > MOST || self.recent.front().is_some_and(old) {
            self.recent.pop_front();
        }
        let mut depths = [0.0; MOST];
        for (place, (_, depth)) in depths.iter_mut().zip(&self.recent) {
            *place = depth.get();
        }
        let middle = depths.get_mut(..self.recent.len()).and_then(median);
        self.middle = middle.and_then(Metres::new).map(|depth| (now, depth));
        Ok(())
    }

    /// The predicted height of the tide at this moment.
    pub(super) fn see_tide(&mut self, height: Metres) {
        let Some(alike) = &mut self.alike else {
            return;
        };
        let before = alike
            .tide
            .filter(|moved| apart(moved.last, height) < TIDE_LEAPS);
        if before.is_none() {
            alike.since = alike.last;
        }
        alike.tide = Some(before.map_or(
            Moved {
                last: height,
                least: height,
                most: height,
            },
            |moved| Moved {
                last: height,
                least: moved.least.min(height),
                most: moved.most.max(height),
            },
        ));
    }

    fn is_frozen(&mut self, now: Tick, reading: Metres) -> bool {
        let before = self.alike.filter(|alike| now.since(alike.last) <= KEPT);
        let Some(alike) = before.filter(|alike| alike.reading == reading) else {
            if let Some(before) = before {
                let step = apart(before.reading, reading);
                self.step = Some(self.step.map_or(step, |least| least.min(step)));
            }
            self.alike = Some(Alike {
                reading,
                since: now,
                last: now,
                tide: None,
            });
            return false;
        };
        self.alike = Some(Alike { last: now, ..alike });
        let moved = alike.tide.map_or(0.0, |tide| apart(tide.most, tide.least));
        let limit = self.step.map_or(UNKNOWN_STEP, |step| step * 2.0);
        moved >= limit.max(TIDE_MOVED) && now.since(alike.since) >= FROZEN_AFTER
    }

    /// The median of the last readings and when the last of them arrived, however long ago.
    pub(super) const fn last(&self) -> Option<(Tick, Metres)> {
        self.middle
    }

    /// The same, while it is fresh.
    pub(super) fn depth(&self, now: Tick) -> Option<Metres> {
        self.middle
            .filter(|(at, _)| now.since(*at) <= KEPT)
            .map(|(_, depth)| depth)
    }

    /// A current sounding that is fit to be kept: the median of the last few readings, so few that a boat under way has
    /// not left the place. There is one only while the readings change, because a stuck sounder is noticed late.
    pub(super) fn sounding(&self, now: Tick) -> Option<Metres> {
        let lives = |alike: &Alike| now.since(alike.since) <= SURELY_LIVES;
        self.alike.filter(lives)?;
        let mut depths = [0.0; MOST];
        let mut count = 0;
        let lately = self.recent.iter().rev();
        for (place, (_, depth)) in depths
            .iter_mut()
            .zip(lately.take_while(|(at, _)| now.since(*at) <= LATELY))
        {
            *place = depth.get();
            count += 1;
        }
        (count >= AGREEING)
            .then(|| depths.get_mut(..count).and_then(median))
            .flatten()
            .and_then(Metres::new)
    }

    fn is_leap(&mut self, now: Tick, depth: Metres) -> bool {
        let Some((_, last)) = self.recent.back() else {
            return false;
        };
        if apart(depth, *last) <= room(*last) {
            self.leap = None;
            return false;
        }
        let before = self
            .leap
            .filter(|leap| apart(depth, leap.last) <= room(leap.last));
        let leap = before.map_or(
            Leap {
                begun: now,
                last: depth,
                least: depth,
                most: depth,
            },
            |leap| Leap {
                last: depth,
                least: leap.least.min(depth),
                most: leap.most.max(depth),
                ..leap
            },
        );
        self.leap = Some(leap);
        let lives = apart(leap.most, leap.least) >= LIVES;
        if now.since(leap.begun) < if lives { CONFIRMED } else { STUCK } {
            return true;
        }
        self.leap = None;
        self.recent.clear();
        false
    }
}

fn apart(one: Metres, other: Metres) -> f64 {
    (one - other).get().abs()
}

fn room(depth: Metres) -> f64 {
    ROOM + depth.get().abs() / 4.0
}

/// No sounder measures a smaller depth (chosen).
const LEAST: f64 = 0.1;
const DEEPEST: f64 = 12_000.0;
const ROOM: f64 = 1.0;
/// A sounder's last digit.
const LIVES: f64 = 0.05;
const CONFIRMED: Duration = Duration::from_secs(30);
const STUCK: Duration = Duration::from_mins(3);
const KEPT: Duration = Duration::from_secs(30);
/// Metres. Chosen: well beyond the error of a prediction for a place some miles away.
const TIDE_MOVED: f64 = 1.0;
/// Metres: whole metres, twice.
const UNKNOWN_STEP: f64 = 2.0;
/// Metres from one round to the next: the tide table changed, not the water.
const TIDE_LEAPS: f64 = 0.2;
const FROZEN_AFTER: Duration = Duration::from_mins(30);
const MOST: usize = 90;
/// The readings of a sounding that is kept: a boat of 5 knots goes 8 m in that time.
const LATELY: Duration = Duration::from_secs(3);
/// At least this many of them.
const AGREEING: usize = 2;
/// A sounder whose readings have been identical for longer may be stuck: the tide shows it only after half an
/// hour. Chosen.
const SURELY_LIVES: Duration = Duration::from_mins(10);

#[cfg(test)]
mod tests {
    use super::*;

    /// A tide of four metres from high to low water in six hours: returns the number of minutes until a
    /// sounder with these readings, one per second, counts as frozen.
    fn frozen_after(reading: impl Fn(u64) -> f64) -> Option<u64> {
        let mut sounder = Sounder::default();
        let word = |second: u64, sounder: &mut Sounder| {
            let turn = second as f64 / (6.0 * 3600.0) * std::f64::consts::PI;
            sounder.see_tide(Metres::of(2.0 + 2.0 * turn.cos()));
            let depth = Metres::new(reading(second));
            sounder.take(Tick::from_secs(second), depth, Metres::ZERO)
        };
        (0..6 * 3600)
            .find(|second| word(*second, &mut sounder) == Err(Failing::Frozen))
            .map(|second| second / 60)
    }

    #[test]
    fn readings_that_do_not_follow_the_tide_are_frozen() {
        // To the decimetre, frozen after half an hour; the tide has fallen by a metre after two hours.
        let lively = |second: u64| 8.0 + 0.1 * (second / 5 % 2) as f64;
        let frozen = |second: u64| if second < 1800 { lively(second) } else { 8.0 };
        let minutes = frozen_after(frozen);
        assert!(
            minutes.is_some_and(|it| (110..140).contains(&it)),
            "{minutes:?}"
        );
        // Its resolution is not known: two metres.
        let minutes = frozen_after(|_| 8.0);
        assert_eq!(minutes, Some(180));
        // A calm berth: the sounder follows the tide in decimetres, or in whole metres.
        let follows = |digit: f64| {
            move |second: u64| {
                let turn = second as f64 / (6.0 * 3600.0) * std::f64::consts::PI;
                ((10.0 + 2.0 * turn.cos()) / digit).round() * digit
            }
        };
        assert_eq!(frozen_after(follows(0.1)), None);
        assert_eq!(frozen_after(follows(1.0)), None);
    }

    #[test]
    fn without_a_tide_or_with_another_table_a_depth_that_stays_is_believed() {
        let mut sounder = Sounder::default();
        for second in 0..48 * 3600 {
            let word = sounder.take(Tick::from_secs(second), Metres::new(8.0), Metres::ZERO);
            assert_eq!(word, Ok(()));
            // From the second day on there is a tide of a decimetre, and at noon the station
            // changes.
            if second > 24 * 3600 {
                let turn = second as f64 / (6.0 * 3600.0) * std::f64::consts::PI;
                let station = if second > 36 * 3600 { 3.0 } else { 0.0 };
                sounder.see_tide(Metres::of(station + 0.05 * turn.cos()));
            }
        }
    }

    /// Switched off from one high water to the next, at the same depth.
    #[test]
    fn a_pause_is_not_a_run_of_identical_readings() {
        let mut sounder = Sounder::default();
        for second in 0..13 * 3600 {
            let turn = second as f64 / (6.0 * 3600.0) * std::f64::consts::PI;
            sounder.see_tide(Metres::of(2.0 * turn.cos()));
            if !(600..12 * 3600).contains(&second) {
                let word = sounder.take(Tick::from_secs(second), Metres::new(8.0), Metres::ZERO);
                assert_eq!(word, Ok(()));
            }
        }
    }

    /// One reading per second; returns when the depth in use was first below 2 m.
    fn shallow(seconds: u64, reading: impl Fn(u64) -> Option<f64>) -> Option<u64> {
        let mut sounder = Sounder::default();
        (0..seconds).find(|second| {
            let now = Tick::from_secs(*second);
            let _ = sounder.take(now, reading(*second).and_then(Metres::new), Metres::ZERO);
            sounder.depth(now).is_some_and(|depth| depth.get() < 2.0)
        })
    }

    #[test]
    fn a_sounder_that_loses_the_bottom_says_zero() {
        let lost = |second| Some(if second < 60 { 8.0 } else { 0.0 });
        assert_eq!(shallow(3600, lost), None);
        let mut sounder = Sounder::default();
        for second in 0..60 {
            let word = sounder.take(
                Tick::from_secs(second),
                Some(Metres::of(8.0)),
                Metres::of(0.5),
            );
            assert_eq!(word, Ok(()));
        }
        // The reference is the surface, the transducer is 0.5 m below it.
        for second in 60..120 {
            let word = sounder.take(
                Tick::from_secs(second),
                Some(Metres::of(0.5)),
                Metres::of(0.5),
            );
            assert_eq!(word, Err(Failing::Empty));
        }
        assert_eq!(sounder.depth(Tick::from_secs(88)), Some(Metres::of(8.0)));
        assert_eq!(sounder.depth(Tick::from_secs(90)), None);
        assert_eq!(sounder.last(), Some((Tick::from_secs(59), Metres::of(8.0))));
    }

    #[test]
    fn a_sounding_is_kept_only_from_current_readings_that_change() {
        let mut sounder = Sounder::default();
        let mut take = |second: u64, depth: f64| {
            let _ = sounder.take(Tick::from_secs(second), Metres::new(depth), Metres::ZERO);
            let now = Tick::from_secs(second);
            (
                sounder.sounding(now),
                sounder.sounding(now + Duration::from_secs(5)),
            )
        };
        // One reading is not a sounding, and neither is an old one.
        assert_eq!(take(0, 4.0), (None, None));
        assert_eq!(take(1, 4.2).0, Some(Metres::of(4.2)));
        assert_eq!(take(2, 4.4).0, Some(Metres::of(4.2)));
        assert_eq!(take(3, 4.4), (Some(Metres::of(4.4)), None));
        // Identical to the last digit for a quarter of an hour.
        let kept = (4..900)
            .filter(|second| take(*second, 4.4).0.is_some())
            .count();
        assert_eq!(kept, 600 - 1);
        assert!(take(900, 4.3).0.is_some());
    }

    #[test]
    fn a_leap_counts_when_later_readings_bear_it_out() {
        let living = |second: u64| {
            Some(if second < 60 {
                8.0
            } else {
                1.2 + 0.1 * (second % 2) as f64
            })
        };
        assert_eq!(shallow(600, living), Some(90));
        let stuck = |second: u64| Some(if second < 60 { 8.0 } else { 1.2 });
        assert_eq!(shallow(600, stuck), Some(240));
        // A fish now and then.
        let fish = |second: u64| {
            Some(if second.is_multiple_of(3) {
                8.0
            } else {
                1.2 + 0.1 * (second % 2) as f64
            })
        };
        assert_eq!(shallow(600, fish), None);
        // A bank with a slope of one in three, at half a metre a second: no reading is held back. The depth is 2
        // m after 36 s; the median of half a minute lags by 15 s.
        let bank = |second: u64| Some((8.0 - 0.17 * second as f64).max(1.2));
        let at_bank = shallow(600, bank);
        assert!(at_bank.is_some_and(|second| second <= 52), "{at_bank:?}");
    }
}
