//! An anchor that never bites: she slides back steadily from the moment of letting go.
//!
//! In the first half hour the mark is the only information, and to the charts a boat that lies beyond her reach
//! looks like one with a bad mark. But the error of a bad mark does not keep growing. **Rule**: within an hour of
//! the mark, the distance of the bow from it, less the bound, is measured [`COUNT`] times, [`EVERY`] apart. She
//! slides if these values form a line (scatter at most [`SCATTER`]) that rises by [`SLOWEST`] to [`FASTEST`] in
//! each half, and end beyond the bound by more than twice the mark's uncertainty, limited to between [`LEAST_ROOM`]
//! and [`MOST_ROOM`]. A boat that moves faster than that is falling back to her rode. Once she has stood still,
//! [`DIGS_IN`] after the mark or later, her anchor has bitten, and a later swing about an inexact mark is not a
//! slide.
//!
//! **Weakness.** A mark that is typed in wrongly, in a wind so light that she falls back slowly, looks the same.
//!
//! **Source.** The rule is our own. **Tests**: `a_slide_from_letting_go_is_reported_within_ten_metres` in
//! `drag/tests.rs`, and beside this file.

use std::collections::VecDeque;

use crate::time::Tick;

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Slide {
    begun: Tick,
    taken: Option<Tick>,
    beyond: VecDeque<f64>,
    /// She has stood still, so her anchor has bitten.
    stood: bool,
}

impl Slide {
    /// Starts with a mark made at this moment.
    pub(super) fn from(begun: Tick) -> Self {
        Self {
            begun,
            taken: None,
            beyond: VecDeque::new(),
            stood: false,
        }
    }

    /// Takes how far beyond the bound she lies from the mark, metres.
    pub(super) fn take(&mut self, now: Tick, beyond: f64) {
        if let Some(before) = self.taken {
            let gone = now.secs_since(before);
            if gone < EVERY {
                return;
            }
            if gone > 2.0 * EVERY {
                self.beyond.clear();
            }
        }
        self.taken = Some(now);
        self.beyond.push_back(beyond);
        if self.beyond.len() > COUNT {
            self.beyond.pop_front();
        }
        if self.beyond.len() == COUNT && now.secs_since(self.begun) > DIGS_IN {
            let (rate, _, _) = line(self.beyond.make_contiguous());
            self.stood |= rate < STANDS;
        }
    }

    /// Does she slide? `doubt` is the mark's standard deviation.
    pub(super) fn slides(&self, now: Tick, doubt: f64) -> bool {
        if self.stood || self.beyond.len() < COUNT || now.secs_since(self.begun) > WITHIN {
            return false;
        }
        let room = (2.0 * doubt).clamp(LEAST_ROOM, MOST_ROOM);
        let all: Vec<f64> = self.beyond.iter().copied().collect();
        let (early, late) = all.split_at(COUNT / 2);
        let (_, end, scatter) = line(&all);
        let steady = [early, late].into_iter().all(|half| {
            let (rate, _, _) = line(half);
            (SLOWEST..FASTEST).contains(&rate)
        });
        let last = late.last().copied().unwrap_or_default();
        steady && scatter <= SCATTER && end.min(last) > room
    }
}

/// The slope in metres a second, the end of the line, and the root mean square of the scatter about it.
fn line(values: &[f64]) -> (f64, f64, f64) {
    let count = values.len() as f64;
    let middle = (count - 1.0) / 2.0;
    let mean = values.iter().sum::<f64>() / count;
    let (mut along, mut square) = (0.0, 0.0);
    for (index, value) in values.iter().enumerate() {
        let off = index as f64 - middle;
        along += off * (value - mean);
        square += off * off;
    }
    let slope = along / square;
    let residual: f64 = values
        .iter()
        .enumerate()
        .map(|(index, value)| (value - mean - slope * (index as f64 - middle)).powi(2))
        .sum();
    (
        slope / EVERY,
        mean + slope * middle,
        (residual / count).sqrt(),
    )
}

/// Seconds.
const EVERY: f64 = 10.0;
const COUNT: usize = 16;
const WITHIN: f64 = 3600.0;
/// By then she has fallen back and the anchor was dug in, seconds.
const DIGS_IN: f64 = 300.0;
/// Metres a second: a slower boat stands still.
const STANDS: f64 = 0.01;
/// Metres a second.
const SLOWEST: f64 = 0.02;
const FASTEST: f64 = 0.2;
/// Metres.
const SCATTER: f64 = 0.7;
const LEAST_ROOM: f64 = 7.5;
const MOST_ROOM: f64 = 8.5;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_a_line() {
        let (rate, end, scatter) = line(&[1.0, 2.0, 3.0, 4.0]);
        assert!((rate - 0.1).abs() < 1e-12 && (end - 4.0).abs() < 1e-12 && scatter < 1e-12);
        let (rate, _, scatter) = line(&[1.0, -1.0, -1.0, 1.0]);
        assert!(rate.abs() < 1e-12 && (scatter - 1.0).abs() < 1e-12);
    }

    /// Slides at `rate` until this far beyond her bound. Returns the seconds at which the slide is reported.
    fn told(rate: f64, from: f64, until: f64, begun: u64) -> Option<f64> {
        let mut slide = Slide::from(Tick::START);
        (0..3000_u64)
            .map(|second| begun + second)
            .find_map(|second| {
                let now = Tick::from_secs(second);
                let beyond = (from + rate * (second - begun) as f64).min(until);
                slide.take(now, beyond);
                slide.slides(now, 2.5).then_some(beyond)
            })
    }

    #[test]
    fn a_steady_slide_is_reported_and_a_stop_or_a_fast_fall_back_is_not() {
        for rate in [0.04, 0.08, 0.15] {
            let beyond = told(rate, -40.0, 100.0, 10);
            assert!(
                beyond.is_some_and(|beyond| (7.5..10.0).contains(&beyond)),
                "{rate}: {beyond:?}"
            );
        }
        assert_eq!(told(0.4, -40.0, 100.0, 10), None);
        // A mark off by less than twice its doubt.
        assert_eq!(told(0.08, -40.0, 7.0, 10), None);
        // Her anchor has bitten, then she swings about an inexact mark.
        let mut slide = Slide::from(Tick::START);
        let swings = (0..3000_u64).any(|second| {
            let beyond = if second < 1500 {
                -6.0
            } else {
                -6.0 + 0.05 * (second - 1500) as f64
            };
            slide.take(Tick::from_secs(second), beyond);
            slide.slides(Tick::from_secs(second), 2.5)
        });
        assert!(!swings);
        // After hours, only the charts decide.
        assert_eq!(told(0.08, -40.0, 100.0, 7200), None);
    }

    #[test]
    fn a_gap_starts_the_count_again() {
        let mut slide = Slide::from(Tick::START);
        for step in 0..20_u64 {
            let second = 10 * step + if step > 15 { 60 } else { 0 };
            slide.take(Tick::from_secs(second), step as f64);
        }
        assert!(!slide.slides(Tick::from_secs(260), 2.5));
    }
}
