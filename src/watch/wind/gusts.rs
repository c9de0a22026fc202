//! Gusts: the highest recent mean over three seconds (WMO-No. 8, see [`wind`](super)).

use std::collections::VecDeque;
use std::time::Duration;

use crate::stats::median;
use crate::time::Tick;
use crate::units::Speed;

/// The highest mean over three seconds within a window, bounded in memory.
#[derive(Clone, Debug)]
pub(super) struct Gusts {
    window: Duration,
    last: VecDeque<f64>,
    recent: VecDeque<(Tick, f64)>,
    /// The highest is in front: a mean that is earlier and lower can never become the highest
    /// again.
    peaks: VecDeque<(Tick, f64)>,
}

impl Gusts {
    pub(super) const fn new(window: Duration) -> Self {
        Self {
            window,
            last: VecDeque::new(),
            recent: VecDeque::new(),
            peaks: VecDeque::new(),
        }
    }

    pub(super) fn push(&mut self, now: Tick, speed: Speed) {
        if self.last.len() == 3 {
            self.last.pop_front();
        }
        self.last.push_back(speed.get());
        let mut three = [0.0; 3];
        for (place, speed) in three.iter_mut().zip(&self.last) {
            *place = *speed;
        }
        let Some(plain) = median(&mut three).filter(|_| self.last.len() == 3) else {
            return;
        };
        // Several instruments may report at once: the number within the three seconds is bounded.
        while self.recent.len() >= MOST_RECENT
            || self
                .recent
                .front()
                .is_some_and(|(at, _)| now.since(*at) >= GUST)
        {
            self.recent.pop_front();
        }
        self.recent.push_back((now, plain));
        let mean =
            self.recent.iter().map(|(_, speed)| speed).sum::<f64>() / self.recent.len() as f64;
        match self.peaks.back_mut() {
            Some((at, peak)) if now.since(*at) < self.window / PEAKS => *peak = peak.max(mean),
            _ => self.peaks.push_back((now, mean)),
        }
        if let Some(last) = self.peaks.pop_back() {
            while self.peaks.back().is_some_and(|(_, peak)| *peak <= last.1) {
                self.peaks.pop_back();
            }
            self.peaks.push_back(last);
        }
        while self
            .peaks
            .front()
            .is_some_and(|(at, _)| now.since(*at) > self.window)
        {
            self.peaks.pop_front();
        }
    }

    pub(super) fn greatest(&self, now: Tick) -> Option<Speed> {
        self.peaks
            .iter()
            .find(|(at, _)| now.since(*at) <= self.window)
            .and_then(|(_, peak)| Speed::new(*peak))
    }
}

const GUST: Duration = Duration::from_secs(3);
const MOST_RECENT: usize = 64;
const PEAKS: u32 = 120;

#[cfg(test)]
mod tests {
    use super::*;

    /// Memory stays bounded for any input.
    #[test]
    fn a_talkative_anemometer_costs_no_memory() {
        let mut gusts = Gusts::new(Duration::from_mins(5));
        for tick in 0..200_000_u64 {
            let speed = Speed::from_knots((tick % 60) as f64);
            gusts.push(Tick::from_millis(tick * 10), speed);
        }
        assert!(gusts.peaks.len() <= PEAKS as usize + 1);
        assert!(gusts.recent.len() <= MOST_RECENT);
    }

    /// A gust is the greatest mean over three seconds (WMO-No. 8, Guide to Instruments and Methods of Observation), and
    /// one wild value is none.
    #[test]
    fn a_gust_is_a_mean_over_three_seconds() {
        let greatest = |blows: fn(u64) -> f64| {
            let mut gusts = Gusts::new(Duration::from_mins(5));
            for quarter in 0..120_u64 {
                gusts.push(Tick::from_millis(quarter * 250), Speed::of(blows(quarter)));
            }
            gusts.greatest(Tick::from_secs(30)).unwrap().get()
        };
        let steady = greatest(|_| 8.0);
        assert!((steady - 8.0).abs() < 1e-9);
        // Half of the three seconds.
        let short = greatest(|quarter| {
            if (40..46).contains(&quarter) {
                16.0
            } else {
                8.0
            }
        });
        assert!((short - 12.0).abs() < 1e-9, "{short}");
        let long = greatest(|quarter| {
            if (40..60).contains(&quarter) {
                16.0
            } else {
                8.0
            }
        });
        assert!((long - 16.0).abs() < 1e-9, "{long}");
        let wild = greatest(|quarter| if quarter == 40 { 60.0 } else { 8.0 });
        assert!((wild - 8.0).abs() < 1e-9, "{wild}");
    }

    #[test]
    fn a_gust_counts_for_as_long_as_the_window() {
        let mut gusts = Gusts::new(Duration::from_mins(5));
        for second in 0..900_u64 {
            let speed = if (100..110).contains(&second) {
                16.0
            } else {
                8.0
            };
            gusts.push(Tick::from_secs(second), Speed::of(speed));
            let now = gusts
                .greatest(Tick::from_secs(second))
                .map_or(0.0, Speed::get);
            if (115..395).contains(&second) {
                assert!((now - 16.0).abs() < 1e-9, "{second}: {now}");
            } else if second > 415 {
                assert!((now - 8.0).abs() < 1e-9, "{second}: {now}");
            }
        }
    }

    /// Each mean is lower than the one before, and could be the highest later.
    #[test]
    fn a_wind_that_falls_all_the_time_costs_no_memory() {
        let mut gusts = Gusts::new(Duration::from_mins(5));
        for step in 0..60_000_u32 {
            let milliseconds = step * 11;
            let speed = Speed::of(30.0 - f64::from(milliseconds) / 25_000.0);
            gusts.push(Tick::from_millis(milliseconds.into()), speed);
        }
        assert!(gusts.peaks.len() <= PEAKS as usize + 1);
        // Five minutes before, at 360 s, it blew at 15.6 m/s.
        let greatest = gusts.greatest(Tick::from_secs(660)).unwrap().get();
        assert!((greatest - 15.6).abs() < 0.2, "{greatest}");
    }
}
