//! The record of one channel's health: spells of one state, with counts.
//!
//! A new spell begins when the state, the kind of the last failure, or whether she lies at anchor changes; so the
//! counts of a stay do not mix with those before it. A spell is written when it begins, when its counts change, and
//! once more when it ends. A success alone is written every [`PROOF_EVERY`] at most, because a channel is checked each
//! minute or so all night.
//!
//! A connection may come and go every few seconds for a whole night. So a spell is [`SHORTEST`] old before the next one
//! is written, and a channel has to work that long before it counts as working again; the record then has the moment of the
//! change itself. A shorter change only adds to the counts of the spell in which it falls: a link that comes and goes
//! shows as one failure with many failed attempts. The first attempt of a run and weighing do not wait.
//!
//! Weakness: what changes in the last minute before the program ends may be missing.

use std::time::Duration;

use crate::outbox::words::{Fault, HealthState, Spell};
use crate::time::{Tick, Timestamp};

/// See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Log {
    /// The present spell as it was written last, and when it was written first.
    told: Option<(Spell, Tick)>,
    /// A change that has to last before it goes to the record.
    change: Option<Change>,
    /// What happened since.
    delivered: u64,
    failed: u64,
}

#[derive(Clone, Copy, Debug)]
struct Change {
    to: (HealthState, Option<Fault>),
    at: Tick,
    since: Timestamp,
    /// When it goes to the record, if it lasts.
    due: Tick,
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

    /// When a change is written, if it lasts until then.
    pub(super) fn due(&self) -> Option<Tick> {
        self.change.map(|change| change.due)
    }

    /// Takes the health as it is now, with `since` as the present time; its number and counts are those of this log.
    /// Returns the spells to be kept: each replaces the one with its number.
    pub(super) fn news(&mut self, now: Tick, seen: Spell) -> Vec<Spell> {
        let Some((told, begun)) = &self.told else {
            return self.tell(now, None, seen);
        };
        let begun = *begun;
        let same =
            (told.state, told.fault, told.anchored) == (seen.state, seen.fault, seen.anchored);
        if !same {
            let change = self.change_to(now, told, begun, &seen);
            if now < change.due {
                self.change = Some(change);
                return Vec::new();
            }
            // What has happened since the change belongs to the new spell; the successes before it to the old one.
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
                since: change.since,
                ..seen
            };
            return self.tell(now, ended, seen);
        }
        self.change = None;
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
            return self.tell(begun, None, seen);
        }
        Vec::new()
    }

    fn change_to(&self, now: Tick, told: &Spell, begun: Tick, seen: &Spell) -> Change {
        let to = (seen.state, seen.fault);
        let at_once = told.state == HealthState::Untried || told.anchored != seen.anchored;
        let lasting = self.change.filter(|change| change.to == to && !at_once);
        let (at, since) = lasting.map_or((now, seen.since), |change| (change.at, change.since));
        let due = if at_once {
            now
        } else if seen.state == HealthState::Working {
            at.max(begun) + SHORTEST
        } else {
            begun + SHORTEST
        };
        Change { to, at, since, due }
    }

    fn tell(&mut self, begun: Tick, ended: Option<Spell>, seen: Spell) -> Vec<Spell> {
        let spell = Spell {
            delivered: seen.delivered.saturating_add(self.delivered),
            failed: seen.failed.saturating_add(self.failed),
            ..seen
        };
        (self.delivered, self.failed) = (0, 0);
        self.told = Some((spell.clone(), begun));
        self.change = None;
        ended.into_iter().chain([spell]).collect()
    }
}

/// Milliseconds: while nothing else changes, the last success in the record is at most this old.
const PROOF_EVERY: i64 = 10 * 60_000;
/// See the module documentation: at most one new spell a minute, so that a night of a poor link does not fill the
/// record.
const SHORTEST: Duration = Duration::from_mins(1);
