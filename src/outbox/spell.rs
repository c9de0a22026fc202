//! The record of one channel's health: spells of one state, with counts.
//!
//! A new spell begins when the state, the kind of the last failure, or whether she lies at anchor changes; so the
//! counts of a stay do not mix with those before it. A spell is told when it begins, when its counts change, and once
//! more when it ends. A success alone is told every [`PROOF_EVERY`] at most, because a channel is checked each minute or
//! so all night.

use crate::outbox::words::{HealthState, Spell};

/// See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Log {
    /// The present spell as it was told last.
    told: Option<Spell>,
    /// What happened since.
    delivered: u64,
    failed: u64,
}

impl Log {
    /// The other side accepted a message.
    pub(super) const fn count_delivery(&mut self) {
        self.delivered = self.delivered.saturating_add(1);
    }

    /// An attempt failed.
    pub(super) const fn count_failure(&mut self) {
        self.failed = self.failed.saturating_add(1);
    }

    /// Takes the health as it is now, with `since` as the present time; its number and counts are those of this log.
    /// Returns the spells to be kept: each replaces the one with its number.
    pub(super) fn news(&mut self, seen: Spell) -> Vec<Spell> {
        let Some(told) = &self.told else {
            return self.tell(None, seen);
        };
        let same =
            (told.state, told.fault, told.anchored) == (seen.state, seen.fault, seen.anchored);
        if !same {
            // What has just happened belongs to the new spell; the successes before it to the old one.
            let before = match told.state {
                HealthState::Working => Spell {
                    worked: seen.worked,
                    ..told.clone()
                },
                HealthState::Untried | HealthState::Failing | HealthState::Refused => told.clone(),
            };
            let ended = (before != *told).then_some(before);
            let seen = Spell {
                number: told.number + 1,
                ..seen
            };
            return self.tell(ended, seen);
        }
        let proven = match (told.worked, seen.worked) {
            (Some(old), Some(new)) => new.millis_since(old) >= PROOF_EVERY,
            (None, Some(_)) => true,
            (_, None) => false,
        };
        if proven || self.delivered > 0 || self.failed > 0 || told.waiting != seen.waiting {
            let seen = Spell {
                number: told.number,
                since: told.since,
                delivered: told.delivered,
                failed: told.failed,
                ..seen
            };
            return self.tell(None, seen);
        }
        Vec::new()
    }

    fn tell(&mut self, ended: Option<Spell>, seen: Spell) -> Vec<Spell> {
        let spell = Spell {
            delivered: seen.delivered.saturating_add(self.delivered),
            failed: seen.failed.saturating_add(self.failed),
            ..seen
        };
        (self.delivered, self.failed) = (0, 0);
        self.told = Some(spell.clone());
        ended.into_iter().chain([spell]).collect()
    }
}

/// Milliseconds: while nothing else changes, the last success in the record is at most this old.
const PROOF_EVERY: i64 = 10 * 60_000;
