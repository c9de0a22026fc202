//! The windlass's counter of rode, where a boat has one.
//!
//! A fresh reading takes precedence over the length that the crew entered. The *reach* uses the greatest reading of
//! the last [`HEAVING`]: while the crew heaves in, the boat is still as far from her anchor as the rode let her be,
//! and that is no drag.

use std::collections::VecDeque;
use std::time::Duration;

use crate::time::Tick;
use crate::units::Metres;

/// The counter's readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counted {
    /// Rode out now.
    pub rode: Metres,
    /// The greatest length that was out recently; it bounds the reach.
    pub longest: Metres,
}

/// Follows the counter.
#[derive(Clone, Debug, Default)]
pub struct RodeCounter {
    /// Readings that are greater than all later ones, oldest first.
    peaks: VecDeque<(Tick, Metres)>,
    last: Option<(Tick, Metres)>,
}

impl RodeCounter {
    /// Takes a reading; `None` means that the counter is lost.
    pub fn take(&mut self, now: Tick, reading: Option<Metres>) {
        let Some(reading) = reading else {
            self.last = None;
            return;
        };
        self.last = Some((now, reading));
        while self.peaks.back().is_some_and(|(_, m)| *m <= reading) {
            self.peaks.pop_back();
        }
        self.peaks.push_back((now, reading));
        while self.peaks.len() > MOST
            || self
                .peaks
                .front()
                .is_some_and(|(at, _)| now.since(*at) > HEAVING)
        {
            self.peaks.pop_front();
        }
    }

    /// The reading, while it is fresh.
    #[must_use]
    pub fn counted(&self, now: Tick) -> Option<Counted> {
        let (_, rode) = self.last.filter(|(at, _)| now.since(*at) <= FRESH)?;
        let longest = self
            .peaks
            .iter()
            .filter(|(at, _)| now.since(*at) <= HEAVING)
            .map(|(_, peak)| *peak)
            .fold(rode, Metres::max);
        Some(Counted { rode, longest })
    }
}

/// A counter reports while the windlass runs and repeats its value now and then.
const FRESH: Duration = Duration::from_mins(10);
const HEAVING: Duration = Duration::from_mins(10);
const MOST: usize = 512;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heaving_in_shortens_the_rode_at_once_and_the_reach_later() {
        let mut counter = RodeCounter::default();
        for second in 0..1200_u32 {
            let reading = if second < 300 { 40.0 } else { 20.0 };
            counter.take(Tick::from_secs(u64::from(second)), Metres::new(reading));
        }
        let at = Tick::from_secs;
        let counted = |rode: f64, longest: f64| {
            Some(Counted {
                rode: Metres::of(rode),
                longest: Metres::of(longest),
            })
        };
        assert_eq!(counter.counted(at(1199)), counted(20.0, 20.0));
        let mut fresh = RodeCounter::default();
        fresh.take(at(0), Metres::new(40.0));
        fresh.take(at(60), Metres::new(5.0));
        assert_eq!(fresh.counted(at(61)), counted(5.0, 40.0));
        assert_eq!(fresh.counted(at(2000)), None);
        fresh.take(at(2001), None);
        assert_eq!(fresh.counted(at(2001)), None);
    }
}
