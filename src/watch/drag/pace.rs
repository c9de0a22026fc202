//! The interval between fixes, and special rules for a receiver that reports seldom.
//!
//! An AIS transponder reports a position every 10 s under way and every 3 min at anchor (ITU-R M.1371-5, annex 1,
//! table 1). Between two such fixes a boat may have sheered out and back, so the velocity at one moment does not
//! show the way made between them, and a test that needs several fixes within some minutes would never have them.
//! **Rule**: when two gaps in a row are longer than [`SELDOM`], each fix counts as a mean by itself; as many are
//! kept as a verdict needs; and the velocity is not used if the gaps are longer than [`VELOCITY_SPANS`]. Every gap
//! could hide a shift, so a shift of one fix in three is always allowed for. A single gap is a dropout and changes
//! nothing.
//!
//! **Weakness.** If positions come every three minutes, so does the one that the mark is made from: it is off by as
//! far as she has moved since. The mark's doubt includes that, but a chart that is taught by one fix in three minutes
//! becomes too sure of a wrong place, and false alarms follow. A drag is reported no sooner than three fixes after it
//! begins to show. How she usually lies is not used, and the test does not find out whether she holds again.
//!
//! **Tests**: beside this file; `tests/slow_reports.rs` for the whole watch.

use crate::time::Tick;

/// See the module documentation.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Pace {
    last: Option<Tick>,
    gaps: [f64; 2],
}

impl Pace {
    /// Takes the moment of a fix.
    pub(super) fn take(&mut self, now: Tick) {
        if let Some(last) = self.last.replace(now) {
            self.gaps = [self.gaps[1], now.secs_since(last)];
        }
    }

    /// The shorter of the last two gaps if both are long, seconds.
    pub(super) fn seldom(&self) -> Option<f64> {
        let least = self.gaps[0].min(self.gaps[1]);
        (least > SELDOM).then_some(least)
    }

    /// Does the velocity show what she did between two fixes?
    pub(super) fn velocity_spans(&self) -> bool {
        self.seldom().is_none_or(|gap| gap <= VELOCITY_SPANS)
    }

    /// How long means are kept: at least three, so that there is something to judge.
    pub(super) fn kept(&self, usually: f64) -> f64 {
        usually.max(2.5 * self.seldom().unwrap_or_default())
    }
}

/// Seconds.
const SELDOM: f64 = 4.0;
/// Seconds: about a quarter of the shortest period in which boats sheer (50 s). Chosen: over longer gaps the mean of
/// two velocities no longer shows the way made.
const VELOCITY_SPANS: f64 = 12.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn after(seconds: &[u64]) -> Pace {
        let mut pace = Pace::default();
        for second in seconds {
            pace.take(Tick::from_secs(*second));
        }
        pace
    }

    #[test]
    fn one_gap_is_a_dropout_and_two_are_a_slow_receiver() {
        assert_eq!(after(&[0, 1, 2]).seldom(), None);
        assert_eq!(after(&[0, 1, 60]).seldom(), None);
        assert_eq!(after(&[0, 60, 120]).seldom(), Some(60.0));
        assert_eq!(after(&[0, 60, 120, 121]).seldom(), None);
    }

    #[test]
    fn means_are_kept_as_long_as_three_of_them_need() {
        let slow = after(&[0, 180, 360]);
        assert!((slow.kept(240.0) - 450.0).abs() < 1e-9);
        assert!((after(&[0, 1, 2]).kept(240.0) - 240.0).abs() < 1e-9);
        assert!(!slow.velocity_spans() && after(&[0, 10, 20]).velocity_spans());
    }
}
