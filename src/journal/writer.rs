//! The journal on a thread of its own, behind a handle that never blocks the watch.
//!
//! Inputs wait in a bounded queue. When the disk cannot keep up, the oldest are dropped, counted and
//! reported once. Waiting commits are joined into one, the latest state with all events, and each waiting
//! caller is answered when it is durable. A commit whose caller gave up after its limit is not withdrawn;
//! it is written when the disk comes back. A commit that the disk refused is kept too: orders given while
//! the disk was full are written once there is room.
//!
//! An input alone does not wake the thread: inputs wait for a batch ([`WAKE_AFTER`], [`WAKE_AT`]), and so does the
//! health of the channels. A commit wakes it at once; the inputs are written directly
//! after it.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::{oneshot, watch};
use tracing::warn;

use super::thread::{self, Work};
use super::{Disk, Journal, JournalError};
use crate::chart::own::OwnSounding;
use crate::outbox::words::{SavedOutbox, Spell};
use crate::time::Now;
use crate::watch::messages::{Entry, Event};
use crate::watch::saved::Saved;

/// The handle. Dropping it lets the thread write its pending data and end without recording a clean stop;
/// [`Writer::close`] records one.
#[derive(Debug)]
pub struct Writer {
    shared: Arc<Shared>,
    trouble: watch::Receiver<Option<JournalError>>,
}

#[derive(Debug, Default)]
pub(super) struct Shared {
    queue: Mutex<Queue>,
    wake: Condvar,
}

#[derive(Debug, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a word of its own to or from the thread"
)]
pub(super) struct Queue {
    pub(super) entries: VecDeque<Entry>,
    pub(super) dropped: u64,
    said_dropped: bool,
    pub(super) commit: Option<Commit>,
    pub(super) outbox: Option<(Now, SavedOutbox, Vec<Reply>)>,
    pub(super) soundings: Option<(Now, Vec<OwnSounding>)>,
    pub(super) channels: Option<Vec<Spell>>,
    pub(super) alive: Option<Now>,
    pub(super) prune: Option<(Now, Duration)>,
    pub(super) close: Option<(Now, Reply)>,
    pub(super) abandoned: bool,
    /// A caller gave up waiting and must be notified when the disk answers.
    given_up: bool,
    /// The thread has ended.
    over: bool,
    /// Largest age of the oldest input before the thread is woken for it.
    wake_after: Duration,
}

#[derive(Debug)]
pub(super) struct Commit {
    pub(super) now: Now,
    pub(super) saved: Saved,
    pub(super) events: Vec<Event>,
    pub(super) waiting: Vec<Reply>,
}

pub(super) type Reply = oneshot::Sender<Result<(), JournalError>>;

impl Writer {
    /// Moves the journal to a thread.
    pub fn start(journal: Journal) -> Result<Self, JournalError> {
        let batch = journal.batch;
        let file = journal.reader().file.clone();
        Self::spawn(Work::of(journal), None, batch, file)
    }

    /// Like [`Writer::start`], but while the disk cannot be used, everything is kept in memory, within
    /// bounds, and `open` is tried again and again.
    pub fn start_with(
        disk: Disk,
        directory: PathBuf,
        batch: Duration,
        open: impl FnMut(Now) -> Result<Journal, JournalError> + Send + 'static,
    ) -> Result<Self, JournalError> {
        match disk {
            Disk::Open(journal) => Self::start(*journal),
            Disk::Closed(why) => {
                let work = Work::without(why.clone(), Box::new(open));
                Self::spawn(work, Some(why), batch, directory)
            }
        }
    }

    fn spawn(
        work: Work,
        trouble: Option<JournalError>,
        batch: Duration,
        file: PathBuf,
    ) -> Result<Self, JournalError> {
        let shared = Arc::new(Shared::default());
        shared.lock().wake_after = WAKE_AFTER.min(batch / 2);
        let (health, trouble) = watch::channel(trouble);
        let theirs = Arc::clone(&shared);
        std::thread::Builder::new()
            .name("journal".to_owned())
            .spawn(move || thread::run(work, &theirs, &health))
            .map_err(|error| JournalError::Failed {
                file,
                doing: "to get a thread",
                reason: error.to_string(),
            })?;
        Ok(Self { shared, trouble })
    }

    /// Writes state and events to disk; durable when it returns `Ok`.
    pub async fn commit(
        &self,
        now: Now,
        saved: Saved,
        events: Vec<Event>,
    ) -> Result<(), JournalError> {
        let (reply, answer) = oneshot::channel();
        self.shared
            .push(|queue| queue.join(now, saved, events, reply));
        answer.await.unwrap_or(Err(JournalError::Closed))
    }

    /// Like [`Writer::commit`], but gives up waiting after `limit` of tokio's time with
    /// [`JournalError::Slow`]; the commit stays pending.
    pub async fn commit_within(
        &self,
        limit: Duration,
        now: Now,
        saved: Saved,
        events: Vec<Event>,
    ) -> Result<(), JournalError> {
        let written = tokio::time::timeout(limit, self.commit(now, saved, events)).await;
        written.unwrap_or_else(|_| Err(self.give_up(limit)))
    }

    /// Hands over a commit without waiting for the disk. When everything handed over is written,
    /// [`Writer::trouble`] reports it.
    pub fn commit_later(&self, now: Now, saved: Saved, events: Vec<Event>) {
        let (reply, _) = oneshot::channel();
        self.shared.push(|queue| {
            queue.join(now, saved, events, reply);
            queue.given_up = true;
        });
    }

    /// Like [`Writer::commit_later`], for what the people on each channel have been sent.
    pub fn keep_outbox_later(&self, now: Now, outbox: SavedOutbox) {
        self.shared.push(|queue| {
            let earlier = queue.outbox.take();
            let waiting = earlier.map_or_else(Vec::new, |(_, _, waiting)| waiting);
            queue.outbox = Some((now, outbox, waiting));
            queue.given_up = true;
        });
    }

    fn give_up(&self, limit: Duration) -> JournalError {
        self.shared.lock().given_up = true;
        JournalError::Slow { limit }
    }

    /// Writes to disk what the people on each channel have been sent; durable when it returns `Ok`. Gives
    /// up waiting as [`Writer::commit_within`] does.
    pub async fn keep_outbox_within(
        &self,
        limit: Duration,
        now: Now,
        outbox: SavedOutbox,
    ) -> Result<(), JournalError> {
        let (reply, answer) = oneshot::channel();
        self.shared.push(|queue| {
            let earlier = queue.outbox.take();
            // The latest one counts; callers who gave up need no answer.
            let mut waiting = earlier.map_or_else(Vec::new, |(_, _, waiting)| waiting);
            waiting.retain(|reply| !reply.is_closed());
            waiting.push(reply);
            queue.outbox = Some((now, outbox, waiting));
        });
        let answer = async { answer.await.unwrap_or(Err(JournalError::Closed)) };
        let written = tokio::time::timeout(limit, answer).await;
        written.unwrap_or_else(|_| Err(self.give_up(limit)))
    }

    /// Keeps an input; never waits.
    pub fn record(&self, entry: Entry) {
        self.shared.push(|queue| queue.keep(entry));
    }

    /// Keeps the boat's own soundings; never waits.
    pub fn keep_soundings(&self, now: Now, soundings: Vec<OwnSounding>) {
        self.shared.push(|queue| {
            let (at, waiting) = queue.soundings.get_or_insert_with(|| (now, Vec::new()));
            *at = now;
            add_soundings(waiting, soundings);
        });
    }

    /// Keeps spells of the channels' health; never waits. They are written with the next batch. With none, it is only
    /// noted that this run keeps them, and that is written at once.
    pub fn keep_channels(&self, spells: Vec<Spell>) {
        self.shared
            .push(|queue| add_spells(queue.channels.get_or_insert_default(), spells));
    }

    /// Notes that we are alive; never waits.
    pub fn mark_alive(&self, now: Now) {
        self.shared.push(|queue| queue.alive = Some(now));
    }

    /// Deletes what is older than `keep`; never waits.
    pub fn prune(&self, now: Now, keep: Duration) {
        self.shared.push(|queue| queue.prune = Some((now, keep)));
    }

    /// The result of the last write that nobody waited for; `None` when all is well. After a caller gave up
    /// waiting, it changes in any case once the disk has answered.
    #[must_use]
    pub fn trouble(&self) -> watch::Receiver<Option<JournalError>> {
        self.trouble.clone()
    }

    /// Writes what is left, records a clean stop and closes the file.
    pub async fn close(self, now: Now) -> Result<(), JournalError> {
        let (reply, answer) = oneshot::channel();
        self.shared.push(|queue| queue.close = Some((now, reply)));
        answer.await.unwrap_or(Err(JournalError::Closed))
    }
}

impl Drop for Writer {
    fn drop(&mut self) {
        self.shared.push(|queue| queue.abandoned = true);
    }
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, Queue> {
        self.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Changes the queue and wakes the thread. Once the thread has ended, nothing is accepted any more, and
    /// the dropped reply shows that.
    fn push(&self, change: impl FnOnce(&mut Queue)) {
        let mut queue = self.lock();
        if !queue.over {
            change(&mut queue);
            if !queue.is_idle() {
                self.wake.notify_one();
            }
        }
    }

    /// Did a caller give up waiting? Reading it clears it.
    pub(super) fn was_given_up(&self) -> bool {
        let mut queue = self.lock();
        // A commit that waits again is not written yet.
        let all = queue.commit.is_none() && queue.outbox.is_none();
        all && std::mem::take(&mut queue.given_up)
    }

    /// Nobody may wait for the thread any longer.
    pub(super) fn end(&self) {
        *self.lock() = Queue {
            over: true,
            ..Queue::default()
        };
    }

    /// Waits for work and takes all of it.
    pub(super) fn take(&self) -> Queue {
        let queue = self
            .wake
            .wait_while(self.lock(), |queue| queue.is_idle())
            .unwrap_or_else(PoisonError::into_inner);
        Self::all_of(queue)
    }

    /// Takes all the work there is, if any.
    pub(super) fn take_what_waits(&self) -> Queue {
        Self::all_of(self.lock())
    }

    fn all_of(mut queue: MutexGuard<'_, Queue>) -> Queue {
        let kept = Queue {
            said_dropped: queue.said_dropped,
            abandoned: queue.abandoned,
            given_up: queue.given_up,
            wake_after: queue.wake_after,
            ..Queue::default()
        };
        std::mem::replace(&mut *queue, kept)
    }
}

impl Queue {
    fn is_idle(&self) -> bool {
        !self.is_ripe()
            && self.commit.is_none()
            && self.outbox.is_none()
            && self.soundings.is_none()
            && !self.channels.as_ref().is_some_and(Vec::is_empty)
            && self.alive.is_none()
            && self.prune.is_none()
            && self.close.is_none()
            && !self.abandoned
    }

    /// Are there enough inputs, or old enough ones, to wake the thread?
    fn is_ripe(&self) -> bool {
        let age = self
            .entries
            .front()
            .zip(self.entries.back())
            .map(|(first, last)| last.now.tick.since(first.now.tick));
        self.entries.len() >= WAKE_AT || age.is_some_and(|age| age >= self.wake_after)
    }

    fn keep(&mut self, entry: Entry) {
        if self.entries.len() >= MOST_WAITING {
            self.entries.pop_front();
            self.dropped += 1;
            if !self.said_dropped {
                self.said_dropped = true;
                warn!("the disk does not keep up with the track; the oldest inputs are dropped");
            }
        }
        self.entries.push_back(entry);
    }

    fn join(&mut self, now: Now, saved: Saved, events: Vec<Event>, reply: Reply) {
        let commit = self.commit.get_or_insert_with(|| Commit {
            now,
            saved: Saved::default(),
            events: Vec::new(),
            waiting: Vec::new(),
        });
        commit.now = now;
        commit.saved = saved;
        commit.events.extend(events);
        let surplus = commit.events.len().saturating_sub(MOST_EVENTS);
        commit.events.drain(..surplus);
        // Callers who gave up need no answer.
        commit.waiting.retain(|reply| !reply.is_closed());
        commit.waiting.push(reply);
    }
}

/// If the disk does not take them, the latest stay pending.
pub(super) fn add_soundings(waiting: &mut Vec<OwnSounding>, more: Vec<OwnSounding>) {
    waiting.extend(more);
    let surplus = waiting.len().saturating_sub(MOST_SOUNDINGS);
    waiting.drain(..surplus);
}

/// The latest of a spell counts. If the disk does not take them, the latest spells stay pending.
pub(super) fn add_spells(waiting: &mut Vec<Spell>, more: Vec<Spell>) {
    for spell in more {
        waiting.retain(|it| (&it.channel, it.number) != (&spell.channel, spell.number));
        waiting.push(spell);
    }
    let surplus = waiting.len().saturating_sub(MOST_SPELLS);
    waiting.drain(..surplus);
}

/// Two hours of four channels that begin a spell each minute.
const MOST_SPELLS: usize = 500;
/// Eight full batches.
const MOST_SOUNDINGS: usize = 4096;
/// Inputs between the watch and the thread: a quarter of an hour at ten a second.
const MOST_WAITING: usize = 10_000;
/// Events of commits that wait for the disk.
pub(super) const MOST_EVENTS: usize = 1000;
/// Number of inputs that wakes the thread. Waking it for each input would cost two context switches each:
/// at 100 reports a second, 350 switches a second instead of 172 (measured).
const WAKE_AT: usize = 512;
/// An input waits no longer than this, or half a batch: a power cut may lose this much more than a batch.
const WAKE_AFTER: Duration = Duration::from_secs(5);

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::outbox::words::HealthState;
    use crate::time::{Tick, Timestamp};
    use crate::watch::messages::Input;

    #[test]
    fn a_full_queue_keeps_the_latest_and_counts_the_rest() {
        let entry = |secs| Entry {
            now: Now::new(Tick::from_secs(secs), Timestamp::EPOCH),
            input: Input::Timeout,
        };
        let mut queue = Queue::default();
        for secs in 0..10_250 {
            queue.keep(entry(secs));
        }
        assert_eq!((queue.entries.len(), queue.dropped), (10_000, 250));
        assert_eq!(queue.entries.front(), Some(&entry(250)));
        assert_eq!(queue.entries.back(), Some(&entry(10_249)));
    }

    #[test]
    fn waiting_commits_are_joined_and_abandoned_ones_are_forgotten() {
        let mut queue = Queue::default();
        let event = Event {
            time: Timestamp::EPOCH,
            event: crate::watch::messages::EventKind::Note,
            hazard: None,
            priority: None,
            message: String::new(),
            evidence: serde_json::Map::new(),
        };
        for raises in 1..=2000 {
            let (reply, answer) = oneshot::channel();
            let now = Now::new(Tick::from_secs(raises), Timestamp::EPOCH);
            let saved = Saved {
                raises,
                ..Saved::default()
            };
            queue.join(now, saved, vec![event.clone()], reply);
            drop(answer);
        }
        let commit = queue.commit.take();
        let told = commit.map(|c| (c.saved.raises, c.now.tick, c.events.len(), c.waiting.len()));
        // The last caller to give up is noticed when the next one comes.
        assert_eq!(told, Some((2000, Tick::from_secs(2000), 1000, 1)));
    }

    pub(in crate::journal) fn spell(number: u64, delivered: u64) -> Spell {
        Spell {
            channel: "mate".to_owned(),
            number,
            since: Timestamp::EPOCH,
            state: HealthState::Failing,
            fault: None,
            anchored: true,
            worked: None,
            delivered,
            failed: 0,
            waiting: 0,
        }
    }

    #[test]
    fn the_health_of_a_channel_alone_does_not_wake_the_thread() {
        let shared = Arc::new(Shared::default());
        let keep = |spells| {
            shared.push(|queue| add_spells(queue.channels.get_or_insert_default(), spells));
        };
        keep(Vec::new());
        assert!(
            !shared.lock().is_idle(),
            "the note that the run keeps this record"
        );
        keep(vec![spell(0, 1)]);
        assert!(shared.lock().is_idle());
        let queue = shared.take_what_waits();
        assert_eq!(queue.channels, Some(vec![spell(0, 1)]));
    }
}
