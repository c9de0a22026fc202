//! When to try again: back-off, the rate of one channel, quiet hours. All figures are chosen.

use std::time::Duration;

use crate::outbox::words::Quiet;
use crate::time::{Now, Tick, Timestamp, Zone};

/// The wait after the `failures`th failure in a row: 5 s, doubled each time, up to `cap`. If the
/// other side asked for a longer wait, that counts, up to a quarter of an hour: an odd header must
/// not silence a phone that has to wake somebody.
#[must_use]
pub fn back_off(failures: u32, asked: Option<Duration>, cap: Duration) -> Duration {
    let doubled = FIRST_RETRY.saturating_mul(2_u32.saturating_pow(failures.saturating_sub(1)));
    doubled
        .min(cap)
        .max(asked.unwrap_or_default().min(LONGEST_ASKED))
}

/// How much may be sent: a handful at once, then one message each ten seconds. The last places are
/// kept for alarms, so that less urgent messages do not delay them.
#[derive(Clone, Debug)]
pub struct Bucket {
    /// Thousandths of a message.
    level: u64,
    at: Tick,
    /// The same moment as `at`; `None` until the first message is sent.
    taken: Option<Timestamp>,
}

impl Bucket {
    /// A full bucket.
    #[must_use]
    pub const fn full(now: Tick) -> Self {
        Self {
            level: CAPACITY,
            at: now,
            taken: None,
        }
    }

    /// Restores the state before a restart. If the clock was set back, or forward by more than the
    /// time to fill the bucket, the bucket waits no longer than an empty one.
    #[must_use]
    pub fn restored(now: Now, level: u64, at: Timestamp) -> Self {
        let passed = u64::try_from(now.utc.millis_since(at)).unwrap_or(0);
        let gained = passed.saturating_mul(ONE) / PER_MESSAGE_MS;
        Self {
            level: level.saturating_add(gained).min(CAPACITY),
            at: now.tick,
            taken: Some(now.utc),
        }
    }

    /// The state to keep over a restart: level and moment, once a message was sent.
    #[must_use]
    pub fn kept(&self) -> Option<(u64, Timestamp)> {
        self.taken.map(|at| (self.level, at))
    }

    /// When the next message may be sent.
    #[must_use]
    pub fn ready(&self, now: Tick, grave: bool) -> Tick {
        let wanted = if grave { ONE } else { ONE + RESERVE };
        let missing = wanted.saturating_sub(self.level_at(now));
        now + Duration::from_millis(missing.saturating_mul(PER_MESSAGE_MS).div_ceil(ONE))
    }

    /// Takes a place.
    pub fn take(&mut self, now: Now) {
        self.level = self.level_at(now.tick).saturating_sub(ONE);
        self.at = now.tick;
        self.taken = Some(now.utc);
    }

    fn level_at(&self, now: Tick) -> u64 {
        let passed = u64::try_from(now.since(self.at).as_millis()).unwrap_or(u64::MAX);
        let gained = passed.saturating_mul(ONE) / PER_MESSAGE_MS;
        self.level.saturating_add(gained).min(CAPACITY)
    }
}

/// The time until the quiet hours end; `None` outside them.
#[must_use]
pub fn quiet_left(quiet: Quiet, now: Now, zone: &Zone) -> Option<Duration> {
    let offset = i64::from(zone.ahead_of_utc(now.utc)) * 1000;
    let of_day = (now.utc.as_millis() + offset).rem_euclid(DAY_MS);
    let minute = |minute: u16| i64::from(minute) * 60_000;
    let (from, until) = (minute(quiet.from), minute(quiet.until));
    let length = (until - from).rem_euclid(DAY_MS);
    let passed = (of_day - from).rem_euclid(DAY_MS);
    let left = u64::try_from(length - passed).ok()?;
    (left > 0).then(|| Duration::from_millis(left))
}

const FIRST_RETRY: Duration = Duration::from_secs(5);
const LONGEST_ASKED: Duration = Duration::from_mins(15);
const ONE: u64 = 1000;
const CAPACITY: u64 = 10 * ONE;
const RESERVE: u64 = 4 * ONE;
const PER_MESSAGE_MS: u64 = 10_000;
const DAY_MS: i64 = 86_400_000;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failure_is_followed_sooner_than_the_tenth_and_never_by_more_than_the_cap() {
        let secs = |failures, asked: Option<u64>| {
            let asked = asked.map(Duration::from_secs);
            back_off(failures, asked, Duration::from_secs(120)).as_secs()
        };
        assert_eq!(
            [1, 2, 3, 4, 5, 6, 7, u32::MAX].map(|failures| secs(failures, None)),
            [5, 10, 20, 40, 80, 120, 120, 120]
        );
        assert_eq!(secs(1, Some(30)), 30);
        assert_eq!(secs(5, Some(30)), 80);
        assert_eq!(secs(1, Some(600)), 600);
        assert_eq!(secs(1, Some(u64::MAX)), 900);
    }

    #[test]
    fn chatter_is_slowed_down_and_an_alarm_still_goes() {
        let mut bucket = Bucket::full(Tick::START);
        let now = Tick::from_secs(1);
        let take = |bucket: &mut Bucket, tick| bucket.take(Now::new(tick, Timestamp::EPOCH));
        let mut sent = 0;
        while bucket.ready(now, false) == now {
            take(&mut bucket, now);
            sent += 1;
        }
        assert_eq!(sent, 6);
        assert_eq!(bucket.ready(now, false), now + Duration::from_secs(10));
        while bucket.ready(now, true) == now {
            take(&mut bucket, now);
            sent += 1;
        }
        assert_eq!(sent, 10);
        assert_eq!(bucket.ready(now, true), now + Duration::from_secs(10));
        // Never more at once than at the start, however long it was quiet.
        let later = Tick::from_secs(1_000_000);
        for _ in 0..10 {
            take(&mut bucket, later);
        }
        assert!(bucket.ready(later, true) > later);
    }

    /// A process that dies and starts again each second for three minutes.
    #[test]
    fn a_crash_loop_sends_no_more_than_one_life_would() {
        let mut kept: Option<(u64, Timestamp)> = None;
        let mut sent = 0;
        for second in 0..180 {
            let utc = Timestamp::from_millis(second * 1000);
            let now = Now::new(Tick::START, utc);
            let mut bucket = match kept {
                Some((level, at)) => Bucket::restored(now, level, at),
                None => Bucket::full(now.tick),
            };
            while bucket.ready(now.tick, true) == now.tick {
                bucket.take(now);
                sent += 1;
            }
            kept = bucket.kept().or(kept);
        }
        // Ten at once, then one each ten seconds.
        assert!((26..=28).contains(&sent), "{sent}");
        // A clock that was set back fills nothing; one that leapt ahead fills the bucket at most.
        let at = |millis| Now::new(Tick::START, Timestamp::from_millis(millis));
        let back = Bucket::restored(at(-1_000_000_000), 0, Timestamp::EPOCH);
        assert_eq!(back.ready(Tick::START, true), Tick::from_secs(10));
        let ahead = Bucket::restored(at(i64::MAX / 2), 0, Timestamp::EPOCH);
        assert_eq!(ahead.kept().map(|(level, _)| level), Some(CAPACITY));
    }

    #[test]
    fn quiet_hours_go_over_midnight_and_are_reckoned_in_the_zone() {
        let quiet = Quiet {
            from: 22 * 60,
            until: 7 * 60,
        };
        let left = |utc: &str, zone: &Zone| {
            let now = Now::new(Tick::START, utc.parse().unwrap());
            quiet_left(quiet, now, zone).map(|left| left.as_secs() / 60)
        };
        let utc = Zone::UTC;
        assert_eq!(left("2026-06-01T21:59:59Z", &utc), None);
        assert_eq!(left("2026-06-01T22:00:00Z", &utc), Some(540));
        assert_eq!(left("2026-06-02T06:59:00Z", &utc), Some(1));
        assert_eq!(left("2026-06-02T07:00:00Z", &utc), None);
        let east = Zone::new(jiff::tz::TimeZone::fixed(jiff::tz::offset(3)));
        assert_eq!(left("2026-06-01T19:00:00Z", &east), Some(540));
        assert_eq!(left("2026-06-02T04:00:00Z", &east), None);
    }
}
