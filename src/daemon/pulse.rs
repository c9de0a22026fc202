//! Whether the service manager's watchdog may be fed.
//!
//! A running process is not yet a watch. The watchdog is fed only when, since the last time, every source
//! of events had its turn (a round of [`Turns`](super::turns::Turns) was completed), the watch has judged,
//! and the engines' outputs were all carried out; and when no engine's timer is overdue by more than
//! [`MOST_LATE`].

use std::time::Duration;

use super::Daemon;
use crate::io::systemd;
use crate::time::Tick;

impl Daemon {
    /// Feeds the service manager's watchdog only while the watch hears, judges and reports.
    pub(super) fn feed_watchdog(&mut self) {
        let every = systemd::watchdog_period().map_or(WATCHDOG_EVERY, |p| p.min(WATCHDOG_EVERY));
        let beat = Beat {
            now: self.clock.now().tick,
            rounds: self.turns.rounds(),
            judged: self.keeper.judged(),
            announced: self.announced,
            due: self.due(),
        };
        if self.pulse.feeds(beat, every) {
            systemd::feed_watchdog();
            systemd::status(&self.status_line());
        }
    }
}

/// The loop's own progress, after everything was carried out.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Beat {
    pub(super) now: Tick,
    /// Rounds in which every source had its turn.
    pub(super) rounds: u64,
    /// When the watch judged last.
    pub(super) judged: Tick,
    /// Rounds after which no announcement was left.
    pub(super) announced: u64,
    /// The earliest moment that an engine waits for.
    pub(super) due: Option<Tick>,
}

/// When the watchdog was last fed.
#[derive(Clone, Debug, Default)]
pub(super) struct Pulse {
    fed: Option<Beat>,
}

impl Pulse {
    /// Is feeding due, and is all well?
    pub(super) fn feeds(&mut self, beat: Beat, every: Duration) -> bool {
        let late = beat.due.is_some_and(|due| beat.now.since(due) > MOST_LATE);
        let stale = beat.now.since(beat.judged) > MOST_LATE;
        let well = !late && !stale;
        let fed = match self.fed {
            None => true,
            Some(last) => {
                beat.now.since(last.now) >= every
                    && beat.rounds != last.rounds
                    && beat.judged > last.judged
                    && beat.announced != last.announced
            }
        };
        if well && fed {
            self.fed = Some(beat);
        }
        well && fed
    }
}

/// The watch judges once a second; a timer this late is starving. Chosen: longer than a slow card's pause,
/// and a sixth of the unit's `WatchdogSec`.
const MOST_LATE: Duration = Duration::from_secs(5);
const WATCHDOG_EVERY: Duration = Duration::from_secs(5);

#[cfg(test)]
mod tests {
    use super::*;

    const EVERY: Duration = Duration::from_secs(5);

    /// A minute with a beat every second; what `change` does not advance stands still.
    fn fed(change: impl Fn(u64, &mut Beat)) -> usize {
        let mut pulse = Pulse::default();
        let mut beat = Beat::default();
        assert!(pulse.feeds(beat, EVERY), "at the start");
        (1..=60)
            .filter(|second| {
                beat.now = Tick::from_secs(*second);
                change(*second, &mut beat);
                pulse.feeds(beat, EVERY)
            })
            .count()
    }

    fn all_well(second: u64, beat: &mut Beat) {
        beat.rounds = second;
        beat.announced = second;
        beat.judged = Tick::from_secs(second);
        beat.due = Some(Tick::from_secs(second + 1));
    }

    #[test]
    fn a_watch_that_hears_judges_and_reports_is_fed() {
        assert_eq!(fed(all_well), 12);
    }

    /// Each part of a watch is missing once.
    #[test]
    fn a_loop_that_does_not_hear_or_judge_or_report_is_not_fed() {
        let deaf = fed(|second, beat| {
            all_well(second, beat);
            beat.rounds = 0;
        });
        let mute = fed(|second, beat| {
            all_well(second, beat);
            beat.announced = 0;
        });
        let blind = fed(|second, beat| {
            all_well(second, beat);
            beat.judged = Tick::START;
        });
        let starving = fed(|second, beat| {
            all_well(second, beat);
            beat.due = Some(Tick::START);
        });
        // It may have been fed before the fault showed: once at most.
        assert_eq!((deaf, mute, blind), (0, 0, 0));
        assert!(starving <= 1, "{starving}");
    }
}
