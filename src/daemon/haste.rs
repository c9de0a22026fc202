//! When the watch judges before its next round: at once when a fix shows something that raises an alarm,
//! but at most ten times a second, so that a fast stream makes no more work than that.
//!
//! The early round is an input like any other and is stored in the journal, so a replay repeats it. A
//! recording does not contain it: there the same alarm comes with the next round, at most a second later.

use std::time::Duration;

use crate::time::Tick;

/// The last early round.
#[derive(Clone, Debug, Default)]
pub(super) struct Haste {
    last: Option<Tick>,
}

impl Haste {
    /// The earliest moment for another one.
    pub(super) fn free_at(&self) -> Tick {
        self.last.map_or(Tick::START, |last| last + SHORTEST)
    }

    /// May an early round run now? If so, it counts as run.
    pub(super) fn takes(&mut self, now: Tick) -> bool {
        let free = now >= self.free_at();
        if free {
            self.last = Some(now);
        }
        free
    }
}

const SHORTEST: Duration = Duration::from_millis(100);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn news_is_judged_at_once_and_a_stream_of_it_ten_times_a_second() {
        let mut haste = Haste::default();
        assert!(haste.takes(Tick::from_millis(7)));
        // A fix every millisecond for ten seconds, each with news.
        let made = (8..=10_007).filter(|ms| haste.takes(Tick::from_millis(*ms)));
        assert_eq!(made.count(), 100);
        assert!(haste.takes(Tick::from_secs(60)));
        assert_eq!(haste.free_at(), Tick::from_millis(60_100));
    }
}
