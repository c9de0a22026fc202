//! The journal on a thread of its own, behind a handle that never blocks the watch.
//!
//! Inputs wait in a bounded queue: when the disk cannot keep up the oldest give way, counted and
//! said once. Commits that wait for the disk are joined into one, the latest state with all
//! events: each of those who wait is answered when it is durable. A commit that was given up on
//! after its limit is not withdrawn; it is written when the disk comes back.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use tokio::sync::{oneshot, watch};
use tracing::warn;

use super::{Journal, JournalError};
use crate::outbox::words::SavedOutbox;
use crate::time::Now;
use crate::watch::messages::{Entry, Event};
use crate::watch::saved::Saved;

/// The handle. Dropping it lets the thread write what it has and end, without noting a clean
/// stop; [`Writer::close`] notes one.
#[derive(Debug)]
pub struct Writer {
    shared: Arc<Shared>,
    trouble: watch::Receiver<Option<JournalError>>,
}

#[derive(Debug, Default)]
struct Shared {
    queue: Mutex<Queue>,
    wake: Condvar,
}

#[derive(Debug, Default)]
struct Queue {
    entries: VecDeque<Entry>,
    dropped: u64,
    said_dropped: bool,
    commit: Option<Commit>,
    outbox: Option<(Now, SavedOutbox, Vec<Reply>)>,
    alive: Option<Now>,
    prune: Option<(Now, Duration)>,
    close: Option<(Now, Reply)>,
    abandoned: bool,
    /// The thread has ended.
    over: bool,
}

#[derive(Debug)]
struct Commit {
    now: Now,
    saved: Saved,
    events: Vec<Event>,
    waiting: Vec<Reply>,
}

type Reply = oneshot::Sender<Result<(), JournalError>>;

impl Writer {
    /// Takes the journal to a thread.
    pub fn start(journal: Journal) -> Result<Self, JournalError> {
        let shared = Arc::new(Shared::default());
        let (health, trouble) = watch::channel(None);
        let file = journal.reader().file.clone();
        let theirs = Arc::clone(&shared);
        std::thread::Builder::new()
            .name("journal".to_owned())
            .spawn(move || work(journal, &theirs, &health))
            .map_err(|error| JournalError::Failed {
                file,
                doing: "to get a thread",
                reason: error.to_string(),
            })?;
        Ok(Self { shared, trouble })
    }

    /// Puts state and events on disk; durable when it returns `Ok`.
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

    /// As [`Writer::commit`], but gives up waiting after `limit` of tokio's time with
    /// [`JournalError::Slow`]; the commit stays in hand.
    pub async fn commit_within(
        &self,
        limit: Duration,
        now: Now,
        saved: Saved,
        events: Vec<Event>,
    ) -> Result<(), JournalError> {
        tokio::time::timeout(limit, self.commit(now, saved, events))
            .await
            .unwrap_or(Err(JournalError::Slow { limit }))
    }

    /// Puts on disk what the people on each channel were told; durable when it returns `Ok`. Gives
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
            // The latest counts; those who gave up need no answer.
            let mut waiting = earlier.map_or_else(Vec::new, |(_, _, waiting)| waiting);
            waiting.retain(|reply| !reply.is_closed());
            waiting.push(reply);
            queue.outbox = Some((now, outbox, waiting));
        });
        let answer = async { answer.await.unwrap_or(Err(JournalError::Closed)) };
        tokio::time::timeout(limit, answer)
            .await
            .unwrap_or(Err(JournalError::Slow { limit }))
    }

    /// Keeps an input; never waits.
    pub fn record(&self, entry: Entry) {
        self.shared.push(|queue| queue.keep(entry));
    }

    /// Notes that we are alive; never waits.
    pub fn mark_alive(&self, now: Now) {
        self.shared.push(|queue| queue.alive = Some(now));
    }

    /// Deletes what is older than `keep`; never waits.
    pub fn prune(&self, now: Now, keep: Duration) {
        self.shared.push(|queue| queue.prune = Some((now, keep)));
    }

    /// What the last write that nobody waited for met with; `None` when all is well.
    #[must_use]
    pub fn trouble(&self) -> watch::Receiver<Option<JournalError>> {
        self.trouble.clone()
    }

    /// Writes what is left, notes a clean stop and closes the file.
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

    /// Changes the queue and wakes the thread. Once that has ended nothing is taken any more, and
    /// a reply that is dropped says so.
    fn push(&self, change: impl FnOnce(&mut Queue)) {
        let mut queue = self.lock();
        if !queue.over {
            change(&mut queue);
            self.wake.notify_one();
        }
    }

    /// Waits for work and takes all of it.
    fn take(&self) -> Queue {
        let mut queue = self
            .wake
            .wait_while(self.lock(), |queue| queue.is_idle())
            .unwrap_or_else(PoisonError::into_inner);
        let kept = Queue {
            said_dropped: queue.said_dropped,
            abandoned: queue.abandoned,
            ..Queue::default()
        };
        std::mem::replace(&mut *queue, kept)
    }
}

impl Queue {
    fn is_idle(&self) -> bool {
        self.entries.is_empty()
            && self.commit.is_none()
            && self.outbox.is_none()
            && self.alive.is_none()
            && self.prune.is_none()
            && self.close.is_none()
            && !self.abandoned
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
        // Those who gave up need no answer.
        commit.waiting.retain(|reply| !reply.is_closed());
        commit.waiting.push(reply);
    }
}

/// However the thread ends, nobody may wait for it any longer.
struct End<'a>(&'a Shared);

impl Drop for End<'_> {
    fn drop(&mut self) {
        *self.0.lock() = Queue {
            over: true,
            ..Queue::default()
        };
    }
}

fn work(mut journal: Journal, shared: &Shared, health: &watch::Sender<Option<JournalError>>) {
    let end = End(shared);
    let mut latest = None;
    loop {
        let todo = shared.take();
        let writes = journal.writes();
        let mut trouble = None;
        journal.count_dropped(todo.dropped);
        for entry in todo.entries {
            latest = Some(entry.now);
            trouble = journal.record(entry).err().or(trouble);
        }
        if let Some(commit) = todo.commit {
            let result = journal.commit(commit.now, &commit.saved, &commit.events);
            for reply in commit.waiting {
                let _ = reply.send(result.clone());
            }
            trouble = result.err().or(trouble);
        }
        if let Some((now, outbox, waiting)) = todo.outbox {
            let result = journal.keep_outbox(now, &outbox);
            for reply in waiting {
                let _ = reply.send(result.clone());
            }
            trouble = result.err().or(trouble);
        }
        if let Some(now) = todo.alive {
            trouble = journal.mark_alive(now).err().or(trouble);
        }
        if let Some((now, keep)) = todo.prune {
            trouble = journal.prune(now, keep).err().or(trouble);
        }
        if let Some((now, reply)) = todo.close {
            let closed = journal.close(now);
            drop(end);
            let _ = reply.send(closed);
            return;
        }
        if todo.abandoned {
            if let Some(now) = latest {
                let _ = journal.flush(now);
            }
            return;
        }
        // Keeping an input in memory proves nothing about the disk.
        if trouble.is_some() || journal.writes() != writes {
            health.send_if_modified(|known| {
                let changed = *known != trouble;
                *known = trouble;
                changed
            });
        }
    }
}

/// Inputs between the watch and the thread: a quarter of an hour at ten a second.
const MOST_WAITING: usize = 10_000;
/// Events of commits that wait for the disk.
const MOST_EVENTS: usize = 1000;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{Tick, Timestamp};
    use crate::watch::messages::Input;

    #[test]
    fn a_queue_that_nobody_empties_keeps_the_latest_and_counts_the_rest() {
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
    fn commits_that_wait_are_joined_and_those_who_gave_up_are_forgotten() {
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
        // The last to give up is noticed when the next one comes.
        assert_eq!(told, Some((2000, Tick::from_secs(2000), 1000, 1)));
    }
}
