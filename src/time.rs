//! Two kinds of time, two types.
//!
//! [`Tick`] is monotonic and drives every timer and every "how long since"; it has no calendar.
//! [`Timestamp`] is UTC, for data and for people; it may be wrong (a small computer without a
//! battery-backed clock boots in the past) and may jump. Nothing subtracts one from the other. The shell
//! joins both readings of a moment in [`Now`]. Only `io::clock` reads a clock.

use std::fmt;
use std::ops::{Add, Sub};
use std::str::FromStr;
use std::time::Duration;

use serde::{Deserialize, Serialize};

/// A monotonic moment: milliseconds since an arbitrary start of this run.
#[derive(
    Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Debug, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct Tick(u64);

impl Tick {
    /// The start of the run.
    pub const START: Self = Self(0);

    /// From milliseconds since the start of the run.
    #[must_use]
    pub const fn from_millis(millis: u64) -> Self {
        Self(millis)
    }

    /// From seconds since the start of the run.
    #[must_use]
    pub const fn from_secs(secs: u64) -> Self {
        Self(secs.saturating_mul(1000))
    }

    /// Milliseconds since the start of the run.
    #[must_use]
    pub const fn as_millis(self) -> u64 {
        self.0
    }

    /// How long ago `earlier` was; zero when it is in the future (clocks that go backwards are normal).
    #[must_use]
    pub const fn since(self, earlier: Self) -> Duration {
        Duration::from_millis(self.0.saturating_sub(earlier.0))
    }

    /// Seconds since `earlier`; zero when it is in the future.
    #[must_use]
    pub fn secs_since(self, earlier: Self) -> f64 {
        self.since(earlier).as_secs_f64()
    }
}

impl Add<Duration> for Tick {
    type Output = Self;
    fn add(self, duration: Duration) -> Self {
        let millis = u64::try_from(duration.as_millis()).unwrap_or(u64::MAX);
        Self(self.0.saturating_add(millis))
    }
}

impl Sub<Duration> for Tick {
    type Output = Self;
    fn sub(self, duration: Duration) -> Self {
        let millis = u64::try_from(duration.as_millis()).unwrap_or(u64::MAX);
        Self(self.0.saturating_sub(millis))
    }
}

/// A UTC moment to the millisecond, within the years -9999 to 9999. Written as RFC 3339 with `Z`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Timestamp(i64);

/// A text that is not an RFC 3339 moment.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not a time; write UTC as `2026-06-01T21:30:00Z`")]
pub struct ParseTimestampError(pub String);

impl Timestamp {
    /// The start of 1970.
    pub const EPOCH: Self = Self(0);

    /// From milliseconds since the epoch, clamped to the years that can be written.
    #[must_use]
    pub fn from_millis(millis: i64) -> Self {
        // A day's margin at each end, so that no offset or rounding leads out of the calendar.
        let earliest = jiff::Timestamp::MIN.as_millisecond() + DAY_MS;
        let latest = jiff::Timestamp::MAX.as_millisecond() - DAY_MS;
        Self(millis.clamp(earliest, latest))
    }

    /// Milliseconds since the epoch.
    #[must_use]
    pub const fn as_millis(self) -> i64 {
        self.0
    }

    /// Signed milliseconds from `earlier` to this moment.
    #[must_use]
    pub const fn millis_since(self, earlier: Self) -> i64 {
        self.0.saturating_sub(earlier.0)
    }

    /// Later by `duration`.
    #[must_use]
    pub fn plus(self, duration: Duration) -> Self {
        let millis = i64::try_from(duration.as_millis()).unwrap_or(i64::MAX);
        Self::from_millis(self.0.saturating_add(millis))
    }

    /// Earlier by `duration`.
    #[must_use]
    pub fn minus(self, duration: Duration) -> Self {
        let millis = i64::try_from(duration.as_millis()).unwrap_or(i64::MAX);
        Self::from_millis(self.0.saturating_sub(millis))
    }

    /// Hours and minutes of the day in UTC, `21:30`, for lines that people read.
    #[must_use]
    pub fn clock(self) -> String {
        let minute = self.0.div_euclid(60_000).rem_euclid(24 * 60);
        format!("{:02}:{:02}", minute / 60, minute % 60)
    }

    fn jiff(self) -> jiff::Timestamp {
        jiff::Timestamp::from_millisecond(self.0).unwrap_or(jiff::Timestamp::UNIX_EPOCH)
    }
}

impl fmt::Display for Timestamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.3}", self.jiff())
    }
}

impl fmt::Debug for Timestamp {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl FromStr for Timestamp {
    type Err = ParseTimestampError;
    fn from_str(text: &str) -> Result<Self, ParseTimestampError> {
        text.trim()
            .parse::<jiff::Timestamp>()
            .map(|stamp| Self::from_millis(stamp.as_millisecond()))
            .map_err(|_| ParseTimestampError(text.to_owned()))
    }
}

impl Serialize for Timestamp {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Timestamp {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = std::borrow::Cow::<'de, str>::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

/// The zone of a ship's clock. It holds its own rules and reads nothing; only the configuration looks up a
/// zone by name.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone(jiff::tz::TimeZone);

impl Zone {
    /// Coordinated universal time.
    pub const UTC: Self = Self(jiff::tz::TimeZone::UTC);

    /// A zone with these rules.
    #[must_use]
    pub const fn new(rules: jiff::tz::TimeZone) -> Self {
        Self(rules)
    }

    /// Its name or offset, as it would be configured.
    #[must_use]
    pub fn name(&self) -> String {
        self.0.iana_name().map_or_else(
            || self.0.to_offset(jiff::Timestamp::UNIX_EPOCH).to_string(),
            ToOwned::to_owned,
        )
    }

    /// Hours and minutes of the day with the zone's abbreviation, `23:30 CEST`.
    #[must_use]
    pub fn clock(&self, time: Timestamp) -> String {
        let info = self.0.to_offset_info(time.jiff());
        format!("{} {}", self.there(time).clock(), info.abbreviation())
    }

    /// The calendar day in this zone, `2026-06-01`.
    #[must_use]
    pub fn day(&self, time: Timestamp) -> String {
        self.there(time).to_string().chars().take(10).collect()
    }

    /// The local time in this zone, represented as if it were UTC.
    fn there(&self, time: Timestamp) -> Timestamp {
        let ahead = i64::from(self.ahead_of_utc(time)) * 1000;
        Timestamp::from_millis(time.0.saturating_add(ahead))
    }

    /// The ship's clock as it is set at a moment.
    #[must_use]
    pub fn ship_clock(&self, time: Timestamp) -> ShipClock {
        let info = self.0.to_offset_info(time.jiff());
        ShipClock {
            ahead: info.offset().seconds(),
            // Abbreviations in the tz database have at most six letters.
            name: info.abbreviation().chars().take(6).collect(),
        }
    }

    /// How far the zone's clock is ahead of UTC at a moment, in seconds; negative west of Greenwich.
    #[must_use]
    pub fn ahead_of_utc(&self, time: Timestamp) -> i32 {
        self.0.to_offset(time.jiff()).seconds()
    }
}

/// A ship's clock as it is set at one moment, for code that does not have the zone's rules.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct ShipClock {
    /// Seconds ahead of UTC; negative west of Greenwich.
    pub ahead: i32,
    /// The zone's abbreviation.
    pub name: String,
}

impl ShipClock {
    /// Hours and minutes, `23:30 CEST`.
    #[must_use]
    pub fn clock(&self, time: Timestamp) -> String {
        format!("{} {}", self.there(time).clock(), self.name)
    }

    /// The day, `2026-06-01`, and the time with its seconds, `23:30:15 CEST`.
    #[must_use]
    pub fn day_and_time(&self, time: Timestamp) -> (String, String) {
        let there = self.there(time).to_string();
        let part = |range: std::ops::Range<usize>| there.get(range).unwrap_or_default().to_owned();
        (part(0..10), format!("{} {}", part(11..19), self.name))
    }

    /// The local time, represented as if it were UTC.
    fn there(&self, time: Timestamp) -> Timestamp {
        Timestamp::from_millis(time.0.saturating_add(i64::from(self.ahead) * 1000))
    }
}

impl Default for ShipClock {
    fn default() -> Self {
        Self {
            ahead: 0,
            name: "UTC".to_owned(),
        }
    }
}

impl Default for Zone {
    fn default() -> Self {
        Self::UTC
    }
}

/// The present moment as the shell reports it to an engine: always an argument, never read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Now {
    /// For timers and durations.
    pub tick: Tick,
    /// For data and for people.
    pub utc: Timestamp,
}

impl Now {
    /// Joins the two readings.
    #[must_use]
    pub const fn new(tick: Tick, utc: Timestamp) -> Self {
        Self { tick, utc }
    }

    /// Both readings moved on by `duration`.
    #[must_use]
    pub fn plus(self, duration: Duration) -> Self {
        Self::new(self.tick + duration, self.utc.plus(duration))
    }

    /// The UTC moment of an earlier tick, as far as the present clock can tell.
    #[must_use]
    pub fn utc_of(self, tick: Tick) -> Timestamp {
        if tick > self.tick {
            self.utc.plus(tick.since(self.tick))
        } else {
            self.utc.minus(self.tick.since(tick))
        }
    }
}

const DAY_MS: i64 = 86_400_000;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn time_going_backwards_counts_as_zero() {
        let early = Tick::from_secs(10);
        let late = Tick::from_secs(70);
        assert_eq!(late.since(early), Duration::from_secs(60));
        assert_eq!(early.since(late), Duration::ZERO);
        assert_eq!(Tick::START - Duration::from_secs(5), Tick::START);
    }

    /// Central European summer and winter time by the POSIX rule of TZ (IEEE 1003.1, 8.3).
    #[test]
    fn a_ship_s_clock_follows_its_zone_through_summer_and_winter() {
        let rules = jiff::tz::TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap();
        let zone = Zone::new(rules);
        let at = |text: &str| text.parse::<Timestamp>().unwrap();
        assert_eq!(zone.clock(at("2026-06-01T21:30:00Z")), "23:30 CEST");
        assert_eq!(zone.clock(at("2026-12-31T23:30:00Z")), "00:30 CET");
        assert_eq!(zone.ahead_of_utc(at("2026-06-01T21:30:00Z")), 7200);
        let clock = zone.ship_clock(at("2026-06-01T21:30:15Z"));
        assert_eq!(
            clock.day_and_time(at("2026-06-01T22:30:15Z")),
            ("2026-06-02".to_owned(), "00:30:15 CEST".to_owned())
        );
        assert_eq!(clock.clock(at("2026-06-01T21:30:15Z")), "23:30 CEST");
        assert_eq!(zone.day(at("2026-06-01T22:30:00Z")), "2026-06-02");
        assert_eq!(Zone::UTC.clock(at("2026-06-01T21:30:00Z")), "21:30 UTC");
        assert_eq!(Zone::default().name(), "UTC");
    }

    #[test]
    fn stamps_are_read_with_any_offset_and_written_as_z() {
        let stamp: Timestamp = "2026-06-01T23:30:00.250+02:00".parse().unwrap();
        assert_eq!(stamp.to_string(), "2026-06-01T21:30:00.250Z");
        assert_eq!(stamp.clock(), "21:30");
        let error = "yesterday".parse::<Timestamp>().unwrap_err();
        assert_eq!(
            error.to_string(),
            "`yesterday` is not a time; write UTC as `2026-06-01T21:30:00Z`"
        );
    }

    #[test]
    fn a_stamp_beyond_the_calendar_is_clamped_not_a_panic() {
        assert_eq!(
            Timestamp::from_millis(i64::MAX).to_string().get(..4),
            Some("9999")
        );
        assert!(
            Timestamp::from_millis(i64::MIN)
                .to_string()
                .starts_with('-')
        );
    }

    #[test]
    fn serde_goes_through_rfc3339() {
        let stamp: Timestamp = serde_json::from_str("\"2026-06-01T21:30:00Z\"").unwrap();
        assert_eq!(
            serde_json::to_string(&stamp).unwrap(),
            "\"2026-06-01T21:30:00.000Z\""
        );
    }
}
