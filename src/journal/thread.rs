//! The writer thread: it has one disk, or none yet, and holds what is still unwritten.

use std::time::Duration;

use tokio::sync::watch;
use tracing::{info, warn};

use super::writer::{Commit, MOST_EVENTS, Queue, Shared, add_soundings, add_spells};
use super::{Journal, JournalError};
use crate::chart::own::OwnSounding;
use crate::outbox::words::{SavedOutbox, Spell};
use crate::time::{Now, Tick};
use crate::watch::messages::{Entry, Event};
use crate::watch::saved::Saved;

/// What the thread holds.
pub(super) struct Work {
    disk: State,
    /// A state that the disk refused: it is written with the next one, or when there is room.
    owed: Option<(Saved, Vec<Event>)>,
    owed_outbox: Option<SavedOutbox>,
    /// Soundings that the disk refused: they are written with the next ones.
    soundings: Vec<OwnSounding>,
    /// The health of the channels that is not written yet.
    channels: Option<Vec<Spell>>,
    /// When it was last written or tried.
    channels_tried: Option<Tick>,
    channels_failed: bool,
    retried: Option<Tick>,
}

type Open = Box<dyn FnMut(Now) -> Result<Journal, JournalError> + Send>;

enum State {
    Open(Box<Journal>),
    /// Since the start; inputs are only counted, not kept.
    Closed {
        why: JournalError,
        open: Open,
        tried: Option<Tick>,
        dropped: u64,
    },
}

impl Work {
    pub(super) fn of(journal: Journal) -> Self {
        Self::new(State::Open(Box::new(journal)))
    }

    pub(super) fn without(why: JournalError, open: Open) -> Self {
        Self::new(State::Closed {
            why,
            open,
            tried: None,
            dropped: 0,
        })
    }

    fn new(disk: State) -> Self {
        Self {
            disk,
            owed: None,
            owed_outbox: None,
            soundings: Vec::new(),
            channels: None,
            channels_tried: None,
            channels_failed: false,
            retried: None,
        }
    }

    fn writes(&self) -> u64 {
        match &self.disk {
            State::Open(journal) => journal.writes(),
            State::Closed { .. } => 0,
        }
    }

    /// Tries to open a journal that could not be opened before.
    fn reopen(&mut self, now: Now) {
        let State::Closed {
            why,
            open,
            tried,
            dropped,
        } = &mut self.disk
        else {
            return;
        };
        if tried.is_some_and(|at| now.tick.since(at) < TRY_EVERY) {
            return;
        }
        *tried = Some(now.tick);
        match open(now) {
            Ok(mut journal) => {
                info!("the journal can be used again");
                journal.count_dropped(*dropped);
                self.disk = State::Open(Box::new(journal));
            }
            Err(error) => *why = error,
        }
    }

    fn record(&mut self, entry: Entry) -> Result<(), JournalError> {
        match &mut self.disk {
            State::Open(journal) => journal.record(entry),
            State::Closed { dropped, .. } => {
                *dropped = dropped.saturating_add(1);
                Ok(())
            }
        }
    }

    fn commit(&mut self, now: Now, saved: Saved, events: Vec<Event>) -> Result<(), JournalError> {
        let mut all = self.owed.take().map_or_else(Vec::new, |(_, events)| events);
        all.extend(events);
        let surplus = all.len().saturating_sub(MOST_EVENTS);
        all.drain(..surplus);
        let written = match &mut self.disk {
            State::Open(journal) => journal.commit(now, &saved, &all),
            State::Closed { why, .. } => Err(why.clone()),
        };
        if written.is_err() {
            self.owed = Some((saved, all));
        }
        written
    }

    fn keep_outbox(&mut self, now: Now, outbox: SavedOutbox) -> Result<(), JournalError> {
        let written = match &mut self.disk {
            State::Open(journal) => journal.keep_outbox(now, &outbox),
            State::Closed { why, .. } => Err(why.clone()),
        };
        self.owed_outbox = written.is_err().then_some(outbox);
        written
    }

    /// Unwritten soundings are no trouble for the watch; they are tried again with the next ones.
    fn keep_soundings(&mut self, more: Vec<OwnSounding>) {
        add_soundings(&mut self.soundings, more);
        if let State::Open(journal) = &mut self.disk {
            match journal.keep_soundings(&self.soundings) {
                Ok(_) => self.soundings.clear(),
                Err(error) => warn!("soundings are not written yet: {error}"),
            }
        }
    }

    /// The health of the channels is written once per batch at most, however often it changes. It has a transaction of
    /// its own, so that a fault in this record holds up neither the state nor the track.
    fn keep_channels(&mut self, now: Option<Now>, more: Option<Vec<Spell>>) {
        if let Some(more) = more {
            add_spells(self.channels.get_or_insert_default(), more);
        }
        let (State::Open(journal), Some(spells)) = (&mut self.disk, &self.channels) else {
            return;
        };
        let pause = journal.batch;
        let lately = |(now, tried): (Now, Tick)| now.tick.since(tried) < pause;
        if now.zip(self.channels_tried).is_some_and(lately) {
            return;
        }
        self.channels_tried = now.map(|now| now.tick);
        match journal.keep_channels(spells) {
            Ok(()) => (self.channels, self.channels_failed) = (None, false),
            Err(error) => {
                // A faulty disk is reported elsewhere: one warning is enough here.
                if !self.channels_failed {
                    warn!("the health of the channels is not written yet: {error}");
                }
                self.channels_failed = true;
            }
        }
    }

    /// Writes it at the end, whenever it was written last.
    fn keep_last_channels(&mut self) {
        self.keep_channels(None, None);
    }

    fn owes(&self) -> bool {
        self.owed.is_some() || self.owed_outbox.is_some()
    }

    /// Retries from time to time what the disk refused.
    fn pay(&mut self, now: Now) -> Result<(), JournalError> {
        let owes = self.owed.is_some() || self.owed_outbox.is_some();
        if !owes
            || self
                .retried
                .is_some_and(|at| now.tick.since(at) < TRY_EVERY)
        {
            return Ok(());
        }
        self.retried = Some(now.tick);
        if let Some((saved, events)) = self.owed.take() {
            self.commit(now, saved, events)?;
        }
        if let Some(outbox) = self.owed_outbox.take() {
            self.keep_outbox(now, outbox)?;
        }
        Ok(())
    }
}

/// However the thread ends, nobody may wait for it any longer.
struct End<'a>(&'a Shared);

impl Drop for End<'_> {
    fn drop(&mut self) {
        self.0.end();
    }
}

pub(super) fn run(mut work: Work, shared: &Shared, health: &watch::Sender<Option<JournalError>>) {
    let end = End(shared);
    let mut latest = None;
    let mut pruning = None;
    loop {
        // Old track is deleted in steps, and waiting commits come between them.
        let mut todo = if pruning.is_some() {
            shared.take_what_waits()
        } else {
            shared.take()
        };
        let writes = work.writes();
        let mut trouble = None;
        let now = latest_of(&todo).or(latest);
        latest = now;
        if let Some(now) = now {
            work.reopen(now);
            trouble = work.pay(now).err();
        }
        if let State::Open(journal) = &mut work.disk {
            journal.count_dropped(todo.dropped);
        }
        // An alarm waits for its commit, so that comes first.
        let mut committed = false;
        if let Some(Commit {
            now,
            saved,
            events,
            waiting,
        }) = todo.commit
        {
            let result = work.commit(now, saved, events);
            committed = result.is_ok();
            for reply in waiting {
                let _ = reply.send(result.clone());
            }
            trouble = result.err().or(trouble);
        }
        if let Some((now, outbox, waiting)) = todo.outbox {
            let result = work.keep_outbox(now, outbox);
            for reply in waiting {
                let _ = reply.send(result.clone());
            }
            trouble = result.err().or(trouble);
        }
        for entry in std::mem::take(&mut todo.entries) {
            trouble = work.record(entry).err().or(trouble);
        }
        if let (true, Some(now), State::Open(journal)) = (committed, now, &mut work.disk) {
            trouble = journal.flush_track(now).err().or(trouble);
        }
        if let Some((_, soundings)) = todo.soundings {
            work.keep_soundings(soundings);
        }
        work.keep_channels(now, todo.channels);
        match &mut work.disk {
            State::Open(journal) => {
                if let Some(now) = todo.alive {
                    trouble = journal.mark_alive(now).err().or(trouble);
                }
                pruning = todo.prune.or(pruning);
                if let Some((now, keep)) = pruning {
                    let more = journal.prune_some(now, keep);
                    if !matches!(more, Ok(true)) {
                        pruning = None;
                    }
                    trouble = more.err().or(trouble);
                }
            }
            State::Closed { why, .. } => trouble = Some(why.clone()),
        }
        if let Some((now, reply)) = todo.close {
            let closed = close(work, now);
            drop(end);
            let _ = reply.send(closed);
            return;
        }
        if todo.abandoned {
            work.keep_last_channels();
            if let (Some(now), State::Open(journal)) = (latest, &mut work.disk) {
                let _ = journal.flush(now);
            }
            return;
        }
        // Keeping an input in memory proves nothing about the disk.
        if trouble.is_some() || (work.writes() != writes && !work.owes()) {
            let awaited = shared.was_given_up();
            health.send_if_modified(|known| {
                let changed = *known != trouble;
                *known = trouble;
                changed || awaited
            });
        }
    }
}

/// Writes what is pending, and records a clean stop.
fn close(mut work: Work, now: Now) -> Result<(), JournalError> {
    work.retried = None;
    let paid = work.pay(now);
    work.keep_last_channels();
    if let Err(error) = &paid {
        warn!("what was ordered last is lost: {error}");
    }
    match work.disk {
        State::Open(journal) => journal.close(now).and(paid),
        State::Closed { why, .. } => Err(why),
    }
}

fn latest_of(todo: &Queue) -> Option<Now> {
    let of_entries = todo.entries.back().map(|entry| entry.now);
    let of_commit = todo.commit.as_ref().map(|commit| commit.now);
    let of_soundings = todo.soundings.as_ref().map(|(now, _)| *now);
    [of_entries, of_commit, of_soundings]
        .into_iter()
        .flatten()
        .max_by_key(|now| now.tick)
}

/// Pause between two attempts at a disk that refuses.
const TRY_EVERY: Duration = Duration::from_secs(10);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::journal::writer::tests::spell;
    use crate::time::Timestamp;

    #[test]
    fn a_channel_that_changes_each_second_is_written_once_per_batch_and_at_the_end() {
        let dir = tempfile::tempdir().unwrap();
        let at = |secs| Now::new(Tick::from_secs(secs), Timestamp::EPOCH);
        let batch = Duration::from_secs(30);
        let (journal, recovered) = Journal::open(dir.path(), batch, at(0)).unwrap();
        let mut work = Work::of(journal);
        work.keep_channels(None, Some(Vec::new()));
        let before = work.writes();
        for secs in 1..=600 {
            work.keep_channels(Some(at(secs)), Some(vec![spell(secs / 60, secs)]));
        }
        let writes = work.writes() - before;
        assert!((15..=20).contains(&writes), "{writes}");
        close(work, at(601)).unwrap();
        let (journal, _) = Journal::open(dir.path(), batch, at(602)).unwrap();
        let kept = journal.reader().channels(recovered.run).unwrap().unwrap();
        let kept: Vec<_> = kept
            .spells
            .iter()
            .map(|it| (it.number, it.delivered))
            .collect();
        let told: Vec<_> = (0..=10)
            .map(|number| (number, (60 * number + 59).min(600)))
            .collect();
        assert!(kept == told && kept.len() == 11, "{kept:?}");
    }
}
