//! When each instrument last sent something usable, and what is wrong with what it has sent since.
//!
//! **Frozen.** An instrument that hangs repeats its last reading with fresh stamps. The last digit of a working
//! one changes from reading to reading, but how often depends on the instrument and on the weather. So its
//! longest run of equal readings is learned: readings that stay the same for ten times that long, and for at
//! least a given limit, are frozen. An instrument whose readings have not changed [`CHANGES`] times is not
//! judged.
//!
//! **Weakness.** What was learned is lost at a restart: an instrument that is already frozen then is believed.
//! Test: `a_run_ten_times_as_long_as_any_before_is_a_frozen_instrument`.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::time::Tick;

/// What the watch relies on apart from the position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Instrument {
    /// Wind speed.
    Wind,
    /// Wind direction.
    WindDirection,
    /// Depth.
    Sounder,
    /// The compass.
    Heading,
    /// Speed over the ground.
    Speed,
    /// The engine's revolutions.
    Revolutions,
    /// The transponders of other vessels.
    Ais,
}

impl Instrument {
    /// All of them, in the order in which they are reported.
    pub const ALL: [Self; 7] = [
        Self::Wind,
        Self::WindDirection,
        Self::Sounder,
        Self::Heading,
        Self::Speed,
        Self::Revolutions,
        Self::Ais,
    ];
}

/// What is wrong with an instrument's readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Failing {
    /// Nothing comes.
    Silent,
    /// No number, or zero in its place; for a sounder: no bottom.
    Empty,
    /// An impossible number.
    Impossible,
    /// The same reading over and over.
    Frozen,
}

/// The reports of one instrument.
#[derive(Clone, Debug, Default)]
pub struct Hearing {
    good: Option<Tick>,
    bad: Option<(Tick, Failing)>,
    /// The usual number of seconds between two usable reports.
    interval: Option<f64>,
}

impl Hearing {
    /// Takes a report.
    pub fn take(&mut self, now: Tick, word: Result<(), Failing>) {
        match word {
            Ok(()) => {
                if let Some(before) = self.good {
                    // Counted by readings, not by time: a pause does not make an instrument slow.
                    let step = now.secs_since(before);
                    let usual = self.interval.unwrap_or(step);
                    self.interval = Some(usual + (step - usual) / READINGS);
                }
                self.good = Some(now);
            }
            Err(failing) => self.bad = Some((now, failing)),
        }
    }

    /// The last usable report.
    #[must_use]
    pub const fn good(&self) -> Option<Tick> {
        self.good
    }

    /// The instrument is quiet after this long without a usable report: three and a half of its own
    /// intervals.
    #[must_use]
    pub fn patience(&self) -> Duration {
        let usual = self.interval.unwrap_or_default() * 3.5;
        let usual = Duration::try_from_secs_f64(usual).unwrap_or_default();
        usual.clamp(QUIET, SLOWEST)
    }

    /// Why there is no usable report.
    #[must_use]
    pub fn failing(&self, now: Tick) -> Failing {
        self.bad
            .filter(|(at, _)| now.since(*at) <= self.patience())
            .filter(|(at, _)| self.good.is_none_or(|good| good < *at))
            .map_or(Failing::Silent, |(_, failing)| failing)
    }
}

/// Readings that are identical to the last digit.
#[derive(Clone, Copy, Debug)]
pub struct Run<T> {
    reading: Option<(T, Tick)>,
    longest: Duration,
    changes: u32,
}

impl<T> Default for Run<T> {
    fn default() -> Self {
        Self {
            reading: None,
            longest: Duration::ZERO,
            changes: 0,
        }
    }
}

impl<T: Copy + PartialEq> Run<T> {
    /// Takes a reading. Returns whether the readings are frozen; `limit` is the minimum time for
    /// that.
    pub fn is_frozen(&mut self, now: Tick, reading: T, limit: Duration) -> bool {
        let frozen = |run: &Self, alike: Duration| {
            run.changes >= CHANGES && alike >= limit.max(run.longest * TIMES)
        };
        let Some((before, since)) = self.reading else {
            self.reading = Some((reading, now));
            return false;
        };
        let alike = now.since(since);
        if before == reading {
            return frozen(self, alike);
        }
        // The time for which it was frozen does not count as usual.
        if !frozen(self, alike) {
            self.longest = self.longest.max(alike);
        }
        self.changes = self.changes.saturating_add(1);
        self.reading = Some((reading, now));
        false
    }

    /// The readings have been identical for longer than is usual by far, and for `limit`, which is not yet enough to
    /// call them frozen.
    pub fn is_unusual(&self, now: Tick, reading: T, limit: Duration) -> bool {
        let same = self.reading.is_some_and(|(before, _)| before == reading);
        same && self.changes >= CHANGES && self.alike(now) >= limit.max(self.longest * UNUSUAL)
    }

    /// How long the readings have been identical.
    #[must_use]
    pub fn alike(&self, now: Tick) -> Duration {
        self.reading
            .as_ref()
            .map_or(Duration::ZERO, |(_, since)| now.since(*since))
    }

    /// Nothing arrived, or nothing usable: a pause is not a run.
    pub const fn pause(&mut self) {
        self.reading = None;
    }
}

/// Instruments report about every second.
const QUIET: Duration = Duration::from_secs(15);
const SLOWEST: Duration = Duration::from_mins(10);
const READINGS: f64 = 30.0;
const CHANGES: u32 = 60;
const TIMES: u32 = 10;
const UNUSUAL: u32 = 3;

#[cfg(test)]
mod tests {
    use super::*;

    const LIMIT: Duration = Duration::from_mins(5);

    #[test]
    fn a_run_ten_times_as_long_as_any_before_is_a_frozen_instrument() {
        let frozen = |usual: u64, living: u64| {
            let mut run = Run::default();
            (0..20_000).find(|second| {
                let reading = if *second < living { second / usual } else { 7 };
                run.is_frozen(Tick::from_secs(*second), reading, LIMIT)
            })
        };
        // It changed every second, then every 50 s: 300 s and 500 s after the last change.
        assert_eq!(frozen(1, 3600), Some(3900));
        assert_eq!(frozen(50, 3600), Some(4100));
        // Too few changes to learn what is usual.
        assert_eq!(frozen(1, 40), None);
    }

    #[test]
    fn frozen_readings_do_not_count_as_usual() {
        let mut run = Run::default();
        let mut at =
            |second: u64, reading: u64| run.is_frozen(Tick::from_secs(second), reading, LIMIT);
        let frost = |from: u64, at: &mut dyn FnMut(u64, u64) -> bool| {
            (0..100).for_each(|second| assert!(!at(from + second, second)));
            (from + 100..from + 1000).find(|second| at(*second, 7))
        };
        assert_eq!(frost(0, &mut at), Some(400));
        assert_eq!(frost(1000, &mut at), Some(1400));
    }

    #[test]
    fn the_reason_for_failing_is_the_latest_report() {
        let mut hearing = Hearing::default();
        for second in 0..60 {
            hearing.take(Tick::from_secs(second), Ok(()));
        }
        for second in 60..70 {
            hearing.take(Tick::from_secs(second), Err(Failing::Empty));
        }
        assert_eq!(hearing.good(), Some(Tick::from_secs(59)));
        assert_eq!(hearing.failing(Tick::from_secs(70)), Failing::Empty);
        assert_eq!(hearing.failing(Tick::from_secs(90)), Failing::Silent);
        assert_eq!(hearing.patience(), QUIET);
        let mut slow = Hearing::default();
        for minute in 0..20 {
            slow.take(Tick::from_secs(minute * 60), Ok(()));
        }
        assert!((slow.patience().as_secs_f64() - 210.0).abs() < 1.0);
    }

    #[test]
    fn a_pause_is_not_a_run() {
        let frozen = |pauses: bool| {
            let mut run = Run::default();
            for second in 0..100 {
                run.is_frozen(Tick::from_secs(second), second, LIMIT);
            }
            if pauses {
                run.pause();
                assert_eq!(run.alike(Tick::from_secs(2000)), Duration::ZERO);
            }
            run.is_frozen(Tick::from_secs(2000), 99, LIMIT)
        };
        assert!(frozen(false) && !frozen(true));
    }
}
