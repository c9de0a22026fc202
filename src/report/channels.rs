//! The health of each channel to the phones during a stay, from the spells in the journal.
//!
//! **Method.** A spell ends where the next one of its channel begins, or where its run was last known to be alive. Its
//! time is cut to the stay. A new spell begins when the anchor is let go or weighed, so its counts belong to the stay.
//! The time in which windrode did not run counts neither as working nor as failing.

use std::collections::BTreeMap;

use super::facts::{Channel, ChannelSpell, Channels, Recorded};
use super::latest::Latest;
use crate::journal::{JournalError, Reader, Run};
use crate::outbox::words::{HealthState, Spell};
use crate::time::Timestamp;

/// Reads it, and the number of rows that cannot be read.
pub(super) fn read(
    reader: &Reader,
    runs: &[Run],
    begin: Timestamp,
    end: Timestamp,
) -> Result<(Channels, u64), JournalError> {
    let mut ways: BTreeMap<String, Way> = BTreeMap::new();
    let (mut whole, mut none, mut damaged) = (true, true, 0);
    for run in runs {
        let Some(kept) = reader.channels(run.id)? else {
            whole = false;
            continue;
        };
        whole &= kept.whole;
        none = false;
        damaged += kept.damaged;
        // From the last to the first: each ends where the one after it begins.
        let mut next: BTreeMap<&str, Timestamp> = BTreeMap::new();
        let mut spells = Vec::new();
        for spell in kept.spells.iter().rev() {
            let until = next.insert(&spell.channel, spell.since);
            let until = until.unwrap_or(run.last_seen).max(spell.since);
            if spell.anchored && spell.since <= end && until >= begin {
                spells.push((spell, until));
            }
        }
        for (spell, until) in spells.into_iter().rev() {
            let way = ways.entry(spell.channel.clone()).or_insert_with(Way::new);
            way.take(spell, spell.since.max(begin), until.min(end));
        }
    }
    let recorded = match (none, whole) {
        (true, _) => Recorded::Not,
        (false, true) => Recorded::Whole,
        (false, false) => Recorded::Partly,
    };
    let list = ways
        .into_iter()
        .map(|(name, way)| way.finish(name))
        .collect();
    Ok((Channels { recorded, list }, damaged))
}

struct Way {
    working: f64,
    failing: f64,
    delivered: u64,
    failed: u64,
    last_success: Option<Timestamp>,
    waiting: usize,
    spells: Latest<ChannelSpell>,
}

impl Way {
    const fn new() -> Self {
        Self {
            working: 0.0,
            failing: 0.0,
            delivered: 0,
            failed: 0,
            last_success: None,
            waiting: 0,
            spells: Latest::of(MOST),
        }
    }

    fn take(&mut self, spell: &Spell, from: Timestamp, until: Timestamp) {
        let seconds = until.millis_since(from).max(0) as f64 / 1000.0;
        match spell.state {
            HealthState::Working => self.working += seconds,
            HealthState::Failing | HealthState::Refused => self.failing += seconds,
            HealthState::Untried => {}
        }
        self.delivered += spell.delivered;
        self.failed += spell.failed;
        self.last_success = self.last_success.max(spell.worked);
        self.waiting = spell.waiting;
        self.spells.push(ChannelSpell {
            from,
            until,
            state: spell.state,
            fault: spell.fault,
            delivered: spell.delivered,
            failed: spell.failed,
        });
    }

    fn finish(self, name: String) -> Channel {
        Channel {
            name,
            working: self.working,
            failing: self.failing,
            delivered: self.delivered,
            failed: self.failed,
            last_success: self.last_success,
            waiting: self.waiting,
            spell_count: self.spells.count(),
            spells: self.spells.finish(),
        }
    }
}

/// Spells of one channel.
const MOST: usize = 1000;
