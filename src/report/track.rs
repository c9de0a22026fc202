//! Her track over a whole stay in bounded memory: every second point is dropped when there are too many.

use serde::Serialize;

use crate::geodesy::Position;
use crate::time::Timestamp;

/// Where she was, and when.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spot {
    /// When.
    pub time: Timestamp,
    /// Her centre, as far as it was known.
    pub position: Position,
    /// From the anchor to her centre, metres.
    pub distance: Option<f64>,
}

/// The track while it is read; it breaks where she was not seen.
#[derive(Clone, Debug)]
pub(super) struct Trail {
    runs: Vec<Vec<Spot>>,
    count: usize,
    /// Milliseconds between points.
    every: i64,
    broken: bool,
}

impl Trail {
    /// An empty track.
    #[must_use]
    pub(super) const fn new() -> Self {
        Self {
            runs: Vec::new(),
            count: 0,
            every: 5000,
            broken: true,
        }
    }

    /// Adds her position.
    pub(super) fn take(&mut self, spot: Spot) {
        if self.broken {
            self.broken = false;
            self.runs.push(Vec::new());
        }
        let Some(run) = self.runs.last_mut() else {
            return;
        };
        let soon = run
            .last()
            .is_some_and(|last| spot.time.millis_since(last.time) < self.every);
        if soon {
            return;
        }
        run.push(spot);
        self.count += 1;
        if self.count > MOST {
            self.thin();
        }
    }

    /// She is not seen: the next point is not joined to the last.
    pub(super) const fn lose(&mut self) {
        self.broken = true;
    }

    /// The pieces, broken where she was not seen, and the milliseconds between two points.
    #[must_use]
    pub(super) fn finish(self) -> (Vec<Vec<Spot>>, i64) {
        (self.runs, self.every)
    }

    fn thin(&mut self) {
        self.every *= 2;
        for run in &mut self.runs {
            let last = run.len().saturating_sub(1);
            let mut place = 0;
            run.retain(|_| {
                let keeps = place % 2 == 0 || place == last;
                place += 1;
                keeps
            });
        }
        // A link that comes and goes all night must not fill the memory with pieces of a point or two.
        if self.runs.len() > MOST / 4 {
            self.runs.retain(|run| run.len() > 2);
            // The current piece may be among those removed.
            self.broken = true;
        }
        self.count = self.runs.iter().map(Vec::len).sum();
    }
}

impl Default for Trail {
    fn default() -> Self {
        Self::new()
    }
}

/// Points kept for a stay.
const MOST: usize = 6000;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_weeks_are_thinned_and_stay_broken_where_she_was_not_seen() {
        let mut trail = Trail::new();
        for number in 0..240_000_i64 {
            if number == 100_000 {
                trail.lose();
            }
            trail.take(Spot {
                time: Timestamp::from_millis(number * 5000),
                position: Position::of(59.8539, 23.26),
                distance: None,
            });
        }
        let (runs, every) = trail.finish();
        assert_eq!(runs.len(), 2);
        let count: usize = runs.iter().map(Vec::len).sum();
        assert!((MOST / 3..=MOST).contains(&count), "{count}");
        assert_eq!(every, 5000 * 64);
        assert_eq!(runs[1][0].time.as_millis() / 5000, 100_000);
    }
}
