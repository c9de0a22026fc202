//! What an alert of one hazard is about, for hazards that can have several causes at the same time.
//!
//! A cause is an identity and not a sentence, because the sentence contains live numbers and changes all the time. A
//! person who acknowledged a low battery at 11.5 V knows about it at 11.6 V too, but wants to hear that the disk
//! fails as well. Only causes that can sound are distinguished here; a condition that is merely shown has none.

use std::time::Duration;

use crate::time::Tick;

/// Why the watch needs a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cause {
    /// A watch may have been lost with its journal.
    MayBeLost,
    /// The journal cannot be written.
    Journal,
    /// windrode was stopped.
    Stopped,
    /// No phone channel works.
    Phones,
    /// The house battery is low.
    Battery,
    /// Somebody changed the watch; the number of the change, because each change is a cause of its own.
    Changed(u64),
    /// Another vessel: the number that the watch gave her, and whether she is an alarm. A person who acknowledged a
    /// warning about her does not yet know about an alarm.
    Neighbour {
        /// Her number.
        number: u32,
        /// She may touch soon.
        alarm: bool,
    },
}

/// The known causes of an alert.
#[derive(Clone, Debug, Default)]
pub struct Causes {
    known: Vec<Known>,
}

#[derive(Clone, Copy, Debug)]
struct Known {
    cause: Cause,
    gone_since: Option<Tick>,
}

impl Causes {
    /// Takes the causes that stand now. Returns whether one of them is new. A cause that has been absent for less
    /// than `hold` is still known, because it may flicker.
    pub fn take(&mut self, now: Tick, causes: &[Cause], hold: Duration) -> bool {
        self.known
            .retain(|known| known.gone_since.is_none_or(|at| now.since(at) < hold));
        for known in &mut self.known {
            if causes.contains(&known.cause) {
                known.gone_since = None;
            } else {
                known.gone_since.get_or_insert(now);
            }
        }
        let before = self.known.len();
        for cause in causes {
            if !self.known.iter().any(|known| known.cause == *cause) {
                self.known.push(Known {
                    cause: *cause,
                    gone_since: None,
                });
            }
        }
        self.known.len() > before
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cause_is_new_once_and_again_after_a_long_absence() {
        let mut causes = Causes::default();
        let hold = Duration::from_secs(10);
        let at = Tick::from_secs;
        assert!(causes.take(at(0), &[Cause::Battery], hold));
        assert!(!causes.take(at(1), &[Cause::Battery], hold));
        assert!(causes.take(at(2), &[Cause::Battery, Cause::Phones], hold));
        // Absent for five seconds.
        assert!(!causes.take(at(3), &[Cause::Phones], hold));
        assert!(!causes.take(at(6), &[Cause::Phones, Cause::Battery], hold));
        assert!(!causes.take(at(15), &[Cause::Phones], hold));
        // Absent for ten.
        assert!(causes.take(at(25), &[Cause::Phones, Cause::Battery], hold));
        assert!(causes.take(at(26), &[Cause::Changed(1)], hold));
        assert!(causes.take(at(27), &[Cause::Changed(2)], hold));
    }
}
