//! What an alert of one hazard is about, where one hazard has several causes that can stand together.
//!
//! A cause is an identity and not a sentence: the words of a cause hold live numbers and change all the
//! time. Who acknowledged a low battery knows of it at 11.5 V and at 11.6 V, and wants to hear that the
//! disk fails as well. Only causes that can sound are told apart here; what is merely shown has none.

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
    /// Somebody changed the watch, by the number of the change: each is one of its own.
    Changed(u64),
    /// Another vessel, by the number that the watch gave her, and whether she is an alarm: who acknowledged a warning
    /// about her does not know that yet.
    Neighbour {
        /// Her number.
        number: u32,
        /// She may touch soon.
        alarm: bool,
    },
}

/// The causes that are known of an alert.
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
    /// Takes the causes that stand. Returns whether one of them is new. One that is gone for less than
    /// `hold` is still known: it may flicker.
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
    fn a_cause_is_new_once_and_again_when_it_was_gone_for_long() {
        let mut causes = Causes::default();
        let hold = Duration::from_secs(10);
        let at = Tick::from_secs;
        assert!(causes.take(at(0), &[Cause::Battery], hold));
        assert!(!causes.take(at(1), &[Cause::Battery], hold));
        assert!(causes.take(at(2), &[Cause::Battery, Cause::Phones], hold));
        // Away for five seconds.
        assert!(!causes.take(at(3), &[Cause::Phones], hold));
        assert!(!causes.take(at(6), &[Cause::Phones, Cause::Battery], hold));
        assert!(!causes.take(at(15), &[Cause::Phones], hold));
        // Away for ten.
        assert!(causes.take(at(25), &[Cause::Phones, Cause::Battery], hold));
        assert!(causes.take(at(26), &[Cause::Changed(1)], hold));
        assert!(causes.take(at(27), &[Cause::Changed(2)], hold));
    }
}
