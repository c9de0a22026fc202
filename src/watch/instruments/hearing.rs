//! When each instrument said something that can be used, and what is wrong with what it says since.
//!
//! **Frozen.** An instrument that hangs repeats its last reading with fresh stamps. A living one differs in the
//! last digit from reading to reading, but how often depends on the instrument and on the weather. So its
//! longest run of equal readings is learned: readings alike for ten times that, and for no less than a
//! limit, are frozen. One that has not changed [`CHANGES`] times is not judged.
//!
//! **Weakness.** What was learned is lost with a restart: an instrument that is frozen then is believed. Test:
//! `a_run_ten_times_as_long_as_any_before_is_a_frozen_instrument`.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::time::Tick;

/// What the watch relies on apart from the position.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Instrument {
    /// How hard it blows.
    Wind,
    /// Where from.
    WindDirection,
    /// Depth.
    Sounder,
    /// The compass.
    Heading,
    /// Over the ground.
    Speed,
    /// The engine's revolutions.
    Revolutions,
    /// The transponders of other vessels.
    Ais,
}

impl Instrument {
    /// All, as they are told.
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

/// What is wrong with what an instrument says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Failing {
    /// Nothing comes.
    Silent,
    /// No number, or zero in place of one; of a sounder: no bottom.
    Empty,
    /// A number that cannot be.
    Impossible,
    /// The same reading again and again.
    Frozen,
}

/// One instrument's words.
#[derive(Clone, Debug, Default)]
pub struct Hearing {
    good: Option<Tick>,
    bad: Option<(Tick, Failing)>,
    /// Seconds from one usable word to the next, as a rule.
    interval: Option<f64>,
}

impl Hearing {
    /// Takes a word.
    pub fn take(&mut self, now: Tick, word: Result<(), Failing>) {
        match word {
            Ok(()) => {
                if let Some(before) = self.good {
                    // By the reading, not by time: a pause is no slow instrument.
                    let step = now.secs_since(before);
                    let usual = self.interval.unwrap_or(step);
                    self.interval = Some(usual + (step - usual) / READINGS);
                }
                self.good = Some(now);
            }
            Err(failing) => self.bad = Some((now, failing)),
        }
    }

    /// The last word that could be used.
    #[must_use]
    pub const fn good(&self) -> Option<Tick> {
        self.good
    }

    /// Without a usable word for longer than this it is quiet: three and a half of its own intervals.
    #[must_use]
    pub fn patience(&self) -> Duration {
        let usual = self.interval.unwrap_or_default() * 3.5;
        let usual = Duration::try_from_secs_f64(usual).unwrap_or_default();
        usual.clamp(QUIET, SLOWEST)
    }

    /// Why there is no usable word.
    #[must_use]
    pub fn failing(&self, now: Tick) -> Failing {
        self.bad
            .filter(|(at, _)| now.since(*at) <= self.patience())
            .filter(|(at, _)| self.good.is_none_or(|good| good < *at))
            .map_or(Failing::Silent, |(_, failing)| failing)
    }
}

/// Readings alike to the last digit.
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
    /// Takes a reading. Whether it is frozen, `limit` being the least time for that.
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
        // How long it was frozen is not what is usual.
        if !frozen(self, alike) {
            self.longest = self.longest.max(alike);
        }
        self.changes = self.changes.saturating_add(1);
        self.reading = Some((reading, now));
        false
    }

    /// How long they have been alike.
    #[must_use]
    pub fn alike(&self, now: Tick) -> Duration {
        self.reading
            .as_ref()
            .map_or(Duration::ZERO, |(_, since)| now.since(*since))
    }

    /// Nothing came, or nothing that could be used: a pause is no run.
    pub const fn pause(&mut self) {
        self.reading = None;
    }
}

/// Instruments speak every second or so.
const QUIET: Duration = Duration::from_secs(15);
const SLOWEST: Duration = Duration::from_mins(10);
const READINGS: f64 = 30.0;
const CHANGES: u32 = 60;
const TIMES: u32 = 10;

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
        // Too few changes to know what is usual.
        assert_eq!(frozen(1, 40), None);
    }

    #[test]
    fn a_thawed_instrument_has_learned_nothing_from_its_frost() {
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
    fn why_it_fails_is_what_it_says_now() {
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
}
