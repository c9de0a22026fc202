//! When a vessel was heard: taken from the report's stamp and converted to our own monotonic time.
//!
//! The server's clock and ours may differ, and gateways are free with their stamps. So the age of a report is its
//! stamp's age by our clock, minus the smallest such age of the last minutes: the youngest of many reports is taken
//! as current. Test: `a_clock_that_differs_is_learned_within_minutes`.
//!
//! **Weakness.** The first reports after the link came up count by our clock alone. If the server's clock is ahead,
//! they are taken as current; if it is a minute behind, they look a minute old until a second report has arrived.

use std::time::Duration;

use crate::time::{Now, Tick, Timestamp};

/// A moment on our monotonic time, in milliseconds; it may lie before the run began.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Moment(i64);

impl Moment {
    /// The moment of a tick.
    pub(super) fn of(tick: Tick) -> Self {
        Self(i64::try_from(tick.as_millis()).unwrap_or(i64::MAX))
    }

    /// The moment this long before a tick.
    pub(super) fn before(tick: Tick, age: Duration) -> Self {
        let age = i64::try_from(age.as_millis()).unwrap_or(i64::MAX);
        Self(Self::of(tick).0.saturating_sub(age))
    }

    /// Seconds since the run began.
    #[cfg(test)]
    pub(super) const fn from_secs(secs: i64) -> Self {
        Self(secs * 1000)
    }

    /// How long ago `earlier` was; zero if it lies ahead.
    pub(super) fn since(self, earlier: Self) -> Duration {
        Duration::from_millis(self.0.saturating_sub(earlier.0).max(0).unsigned_abs())
    }

    /// The same in seconds.
    pub(super) fn secs_since(self, earlier: Self) -> f64 {
        self.since(earlier).as_secs_f64()
    }
}

/// The offset of the stamps.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stamps {
    /// The smallest age in the current stretch of time and in the previous one, and when the
    /// current one began.
    least: Option<i64>,
    before: Option<i64>,
    begun: Moment,
}

impl Stamps {
    /// When a report that arrives now was made.
    pub(super) fn made(&mut self, now: Now, stamp: Option<Timestamp>) -> Moment {
        let here = Moment::of(now.tick);
        let Some(stamp) = stamp else { return here };
        let age = now.utc.millis_since(stamp);
        if here.since(self.begun) >= STRETCH {
            self.before = self.least.take();
            self.begun = here;
        }
        self.least = Some(self.least.map_or(age, |least| least.min(age)));
        let least = [self.least, self.before].into_iter().flatten().min();
        // A single report proves nothing: it may come from the cache.
        let off = least.filter(|least| *least < 0 || self.before.is_some());
        let age = age.saturating_sub(off.unwrap_or(0)).max(0);
        Moment(here.0.saturating_sub(age))
    }
}

const STRETCH: Duration = Duration::from_mins(5);

#[cfg(test)]
mod tests {
    use super::*;

    fn now(second: u64) -> Now {
        let utc = Timestamp::from_millis(1_780_000_000_000).plus(Duration::from_secs(second));
        Now::new(Tick::from_secs(second), utc)
    }

    fn age(stamps: &mut Stamps, second: u64, off: i64) -> f64 {
        let now = now(second);
        let stamp = Timestamp::from_millis(now.utc.as_millis() - off * 1000);
        let made = stamps.made(now, Some(stamp));
        Moment::of(now.tick).secs_since(made)
    }

    #[test]
    fn the_cache_is_as_old_as_it_says() {
        let mut stamps = Stamps::default();
        assert_eq!(age(&mut stamps, 5, 1800), 1800.0);
        assert_eq!(age(&mut stamps, 5, 2), 2.0);
        let made = stamps.made(now(5), None);
        assert_eq!(made, Moment::of(now(5).tick));
    }

    #[test]
    fn a_clock_that_differs_is_learned_within_minutes() {
        for off in [-7200, 90, 86_400 * 365] {
            let mut stamps = Stamps::default();
            for second in (0..900).step_by(10) {
                age(&mut stamps, second, off);
            }
            assert_eq!(age(&mut stamps, 900, off + 40), 40.0, "{off}");
        }
    }
}
