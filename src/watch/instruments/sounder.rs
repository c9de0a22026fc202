//! One reference of the sounder: which readings are the bottom.
//!
//! **Lost bottom.** A sounder that hears no echo says nothing, or zero; and the data server makes zero of
//! a field that is no number (`---`). A reading less than [`LEAST`] below the transducer is therefore
//! no bottom.
//!
//! **Leap.** From one reading to the next the depth changes by [`ROOM`] and a quarter of itself at most: a boat
//! that swings at half a metre a second over a bottom of one in three changes her depth by 0.17 m a second
//! (chosen; common practice, no source). A reading farther off is weed, a fish, a second echo or no echo. It
//! counts when those after it agree with it for [`CONFIRMED`] and live, or for [`STUCK`] where they are all alike:
//! a boat aground has such a sounder too.
//!
//! **Weakness.** A boat that is carried onto a wall of rock is told half a minute late. Two sounders on one
//! reference that differ by more than a leap count as the one that was heard first. A sounder that
//! repeats its last depth when it loses the bottom is believed.
//! Tests: `a_sounder_that_loses_the_bottom_says_zero`, `a_leap_counts_when_later_readings_bear_it_out`.

use std::collections::VecDeque;
use std::time::Duration;

use super::hearing::Failing;
use crate::stats::median;
use crate::time::Tick;
use crate::units::Metres;

/// The last readings of one reference. See the module's page.
#[derive(Clone, Debug, Default)]
pub(super) struct Sounder {
    recent: VecDeque<(Tick, Metres)>,
    /// The median of the last readings, with the moment of the last.
    middle: Option<(Tick, Metres)>,
    leap: Option<Leap>,
}

/// Readings far from those before.
#[derive(Clone, Copy, Debug)]
struct Leap {
    begun: Tick,
    last: Metres,
    least: Metres,
    most: Metres,
}

impl Sounder {
    /// Takes a reading. `zero` is what the reference says when there is no water under the transducer.
    pub(super) fn take(
        &mut self,
        now: Tick,
        depth: Option<Metres>,
        zero: Metres,
    ) -> Result<(), Failing> {
        let beneath = |depth: &Metres| (LEAST..DEEPEST).contains(&(*depth - zero).get());
        let Some(depth) = depth.filter(beneath) else {
            self.leap = None;
            return Err(Failing::Empty);
        };
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

    /// The median of the last readings and when the last of them came, however long ago.
    pub(super) const fn last(&self) -> Option<(Tick, Metres)> {
        self.middle
    }

    /// The same while it is fresh.
    pub(super) fn depth(&self, now: Tick) -> Option<Metres> {
        self.middle
            .filter(|(at, _)| now.since(*at) <= KEPT)
            .map(|(_, depth)| depth)
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

/// No sounder measures less (chosen).
const LEAST: f64 = 0.1;
const DEEPEST: f64 = 12_000.0;
const ROOM: f64 = 1.0;
/// A sounder's last digit.
const LIVES: f64 = 0.05;
const CONFIRMED: Duration = Duration::from_secs(30);
const STUCK: Duration = Duration::from_mins(3);
const KEPT: Duration = Duration::from_secs(30);
const MOST: usize = 90;

#[cfg(test)]
mod tests {
    use super::*;

    /// Readings by the second; when the depth in use was below 2 m for the first time.
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
        // Now and then a fish.
        let fish = |second: u64| {
            Some(if second.is_multiple_of(3) {
                8.0
            } else {
                1.2 + 0.1 * (second % 2) as f64
            })
        };
        assert_eq!(shallow(600, fish), None);
        // A bank of one in three, at half a metre a second: nothing is held back. It is 2 m deep after 36 s, the
        // median of half a minute lags by 15 s.
        let bank = |second: u64| Some((8.0 - 0.17 * second as f64).max(1.2));
        let at_bank = shallow(600, bank);
        assert!(at_bank.is_some_and(|second| second <= 52), "{at_bank:?}");
    }
}
