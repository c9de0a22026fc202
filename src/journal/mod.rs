//! The journal: what survives a power cut, and the record of the night.
//!
//! One `SQLite` database, `journal.db`, in the state directory, holds the saved state (one row, replaced
//! whole), what the people on each channel have been sent (also one row), the events, the inputs in
//! compressed batches, and our identities (the ids of the resources we publish and of our request for
//! access). It uses a write-ahead log and `synchronous = FULL`: when [`Journal::commit`] returns, the data
//! is on disk. The track is cheaper: a power cut may lose up to a batch of it, but never a committed state.
//! [`Writer`] writes the track recorded so far directly after a commit. The commit does not include it, because packing
//! and writing half a minute of a busy track would delay an alarm. If the power fails directly after an alarm, the alarm is
//! on disk, but up to a batch of the inputs that led to it may be missing.
//!
//! After a crash, "blind since" is accurate to within a batch: [`Journal::mark_alive`] and every write note
//! the time.
//!
//! The journal also keeps the boat's own soundings, one for each square of about 5 m, and the health of each channel
//! to the phones.
//!
//! Every write keeps disk use bounded: the track by [`TRACK_BYTES`] and, once a day, by age; events, runs
//! and soundings by number. Deleted space is used again; the file does not shrink.
//!
//! A journal that is damaged, newer or not ours is an error and is left unchanged; nothing is ever deleted
//! just to start (tests `a_damaged_journal…`). The daemon then watches without it: see [`open_or_rescue`].
//!
//! [`Writer`] does all this on a thread of its own, so a slow card delays nothing else.

pub(crate) mod batch;
mod channels;
mod error;
mod prune;
mod reader;
mod rescue;
mod seal;
mod soundings;
mod store;
#[cfg(test)]
mod tests;
mod thread;
mod writer;

use std::collections::VecDeque;
use std::fs::File;
use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, Transaction, params};
use uuid::Uuid;

pub use channels::Channels;
pub use error::JournalError;
pub use prune::TRACK_BYTES;
pub use reader::{Entries, Events, Reader, Run};
pub(crate) use rescue::settles_doubt;
pub use rescue::{Disk, open_or_rescue};
pub use soundings::forget_soundings;
pub use writer::Writer;

use crate::outbox::words::SavedOutbox;
use crate::speech::faults::LostWatch;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::messages::{Entry, Event};
use crate::watch::saved::Saved;

/// The journal, open for writing. Dropping it is like losing power; [`Journal::close`] records a clean
/// stop.
#[derive(Debug)]
pub struct Journal {
    reader: Reader,
    run: i64,
    batch: Duration,
    pending: VecDeque<Entry>,
    /// Inputs lost since the last successful write.
    dropped: u64,
    /// When a write was last tried.
    attempted: Tick,
    /// Number of successful writes.
    writes: u64,
    /// Size of the track on disk, compressed.
    track: i64,
    track_bound: i64,
    doubt: Option<LostWatch>,
    /// Whether this run has noted that it records the health of the channels.
    channels_begun: bool,
    /// Holds the lock.
    _lock: File,
}

/// What the last run left behind.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovered {
    /// The last committed state; in a new journal, the anchor is aweigh.
    pub saved: Saved,
    /// The run before this one; `None` in a new journal.
    pub previous: Option<Run>,
    /// What the people on each channel have been sent, and what is pending.
    pub outbox: SavedOutbox,
    /// The key that signs answers from phones.
    pub reply_key: [u8; 32],
    /// Our identities.
    pub identities: Identities,
    /// The number of this run.
    pub run: i64,
    /// Why a watch may have been lost, until a committed state settles it: an anchor is marked, or the
    /// alarm is acknowledged.
    pub doubt: Option<LostWatch>,
}

/// Ids that stay the same for the life of the journal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Identities {
    /// Id of the waypoint at the anchor.
    pub anchor: Uuid,
    /// Id of the waypoint at the berth.
    pub berth: Uuid,
    /// Id of the region of the swinging circle.
    pub region: Uuid,
    /// Id of this client for its access requests to the server.
    pub client: Uuid,
}

impl Recovered {
    /// When the last run was last known to be alive: blind since then.
    #[must_use]
    pub fn last_seen(&self) -> Option<Timestamp> {
        self.previous.as_ref().map(|run| run.last_seen)
    }

    /// Did the last run stop on purpose? A new journal also counts as not interrupted.
    #[must_use]
    pub fn clean_stop(&self) -> bool {
        self.previous.as_ref().is_none_or(|run| run.stopped_cleanly)
    }
}

impl Journal {
    /// Opens the journal in `directory`, which must exist, and begins a run. Creates a new journal only if
    /// there is none.
    pub fn open(
        directory: &Path,
        batch: Duration,
        now: Now,
    ) -> Result<(Self, Recovered), JournalError> {
        let used = rescue::is_used(directory);
        let lock = store::lock(directory)?;
        let is_new = !directory.join(store::FILE_NAME).exists();
        let (connection, file) = store::open_or_create(directory)?;
        let reader = Reader { connection, file };
        let found = reader.saved_if_any()?;
        let previous = reader.last_run()?;
        let doubt = reader.doubt()?.or(match found {
            None if is_new && used => Some(LostWatch::JournalGone),
            None if previous.is_some() => Some(LostWatch::StateGone),
            _ => None,
        });
        let saved = found.unwrap_or_default();
        let outbox = reader.outbox()?;
        let reply_key = reply_key(&reader)?;
        let identities = identities(&reader)?;
        let track = reader.track_bytes()?;
        let mut journal = Self {
            reader,
            run: 0,
            batch,
            pending: VecDeque::new(),
            dropped: 0,
            attempted: now.tick,
            writes: 0,
            track,
            track_bound: TRACK_BYTES,
            doubt: doubt.clone(),
            channels_begun: false,
            _lock: lock,
        };
        journal.run = journal.begin(&saved, now)?;
        let recovered = Recovered {
            saved,
            previous,
            outbox,
            reply_key,
            identities,
            run: journal.run,
            doubt,
        };
        Ok((journal, recovered))
    }

    /// A reader of what is on disk; the track that is still in memory is not included.
    #[must_use]
    pub const fn reader(&self) -> &Reader {
        &self.reader
    }

    /// Stores the settings in force, for a replay of this run.
    pub fn note_settings(&mut self, settings: &str) -> Result<(), JournalError> {
        let run = self.run;
        self.write(|transaction| {
            let sql = "UPDATE run SET settings = ?2 WHERE id = ?1";
            transaction.execute(sql, params![run, settings]).map(|_| ())
        })
    }

    /// Writes the state and the events to disk, all or nothing, durable before it returns.
    pub fn commit(
        &mut self,
        now: Now,
        saved: &Saved,
        events: &[Event],
    ) -> Result<(), JournalError> {
        let state = self.to_json(saved)?;
        let lines = events
            .iter()
            .map(|event| Ok((event.time.as_millis(), self.to_json(event)?)))
            .collect::<Result<Vec<_>, JournalError>>()?;
        let run = self.run;
        let settled = self.doubt.is_some() && settles_doubt(saved);
        self.write(|transaction| {
            if settled {
                transaction.execute("DELETE FROM meta WHERE name = 'doubt'", [])?;
            }
            transaction.execute(
                "INSERT OR REPLACE INTO saved (id, at, state) VALUES (1, ?1, ?2)",
                params![now.utc.as_millis(), seal::sealed(&state)],
            )?;
            for (time, line) in &lines {
                transaction.execute(
                    "INSERT INTO event (run, time, line) VALUES (?1, ?2, ?3)",
                    params![run, time, line],
                )?;
            }
            note_alive(transaction, run, now)?;
            // A peer may send orders all day long, and the hourly pruning comes too late for that.
            if !lines.is_empty() {
                prune::oldest_events(transaction)?;
            }
            Ok(())
        })?;
        if settled {
            self.doubt = None;
        }
        Ok(())
    }

    /// Writes to disk what the people on each channel have been sent, durable before it returns.
    pub fn keep_outbox(&mut self, now: Now, outbox: &SavedOutbox) -> Result<(), JournalError> {
        let state = self.to_json(outbox)?;
        self.write(|transaction| {
            let sql = "INSERT OR REPLACE INTO outbox (id, at, state) VALUES (1, ?1, ?2)";
            let at = now.utc.as_millis();
            transaction.execute(sql, params![at, state]).map(|_| ())
        })
    }

    /// Keeps an input; writes when a batch is full or old enough. If the write fails, the inputs stay in
    /// memory for the next attempt, and eventually the oldest are dropped.
    pub fn record(&mut self, entry: Entry) -> Result<(), JournalError> {
        let now = entry.now;
        self.pending.push_back(entry);
        while self.pending.len() > MOST_PENDING {
            self.pending.pop_front();
            self.dropped += 1;
        }
        let held = self.pending.len();
        let full = held.is_multiple_of(LARGEST_BATCH) && held < MOST_PENDING;
        if full || now.tick.since(self.attempted) >= self.batch {
            return self.flush(now);
        }
        Ok(())
    }

    /// Notes that we are alive, at most once per batch, and writes the track too. Call it now and then
    /// while no inputs arrive.
    pub fn mark_alive(&mut self, now: Now) -> Result<(), JournalError> {
        if now.tick.since(self.attempted) < self.batch {
            return Ok(());
        }
        self.flush(now)
    }

    /// Writes the pending track, if there is any.
    fn flush_track(&mut self, now: Now) -> Result<(), JournalError> {
        if self.pending.is_empty() {
            return Ok(());
        }
        self.flush(now)
    }

    /// Writes the pending track and a sign of life now.
    pub fn flush(&mut self, now: Now) -> Result<(), JournalError> {
        self.flush_with(now, |_| Ok(()))
    }

    /// Number of successful writes.
    #[must_use]
    pub const fn writes(&self) -> u64 {
        self.writes
    }

    /// Counts inputs that were lost before they reached the journal.
    pub const fn count_dropped(&mut self, count: u64) {
        self.dropped = self.dropped.saturating_add(count);
    }

    /// Writes what is pending and records a clean stop.
    pub fn close(mut self, now: Now) -> Result<(), JournalError> {
        let run = self.run;
        self.flush_with(now, |transaction| {
            let sql = "UPDATE run SET stopped_cleanly = 1 WHERE id = ?1";
            transaction.execute(sql, params![run]).map(|_| ())
        })?;
        let Reader { connection, file } = self.reader;
        connection
            .close()
            .map_err(|(_, error)| JournalError::sqlite(&file, "to be closed", &error))
    }

    fn begin(&mut self, saved: &Saved, now: Now) -> Result<i64, JournalError> {
        let restored = self.to_json(saved)?;
        let doubt = self.doubt.as_ref().map(|doubt| self.to_json(doubt));
        let doubt = doubt.transpose()?;
        self.write(|transaction| {
            // From now on, a missing state means a lost one.
            transaction.execute(
                "INSERT OR IGNORE INTO saved (id, at, state) VALUES (1, ?1, ?2)",
                params![now.utc.as_millis(), seal::sealed(&restored)],
            )?;
            if let Some(doubt) = doubt {
                transaction.execute(
                    "INSERT OR REPLACE INTO meta (name, value) VALUES ('doubt', ?1)",
                    params![doubt],
                )?;
            }
            transaction.execute(
                "INSERT INTO run (started, last_seen, version, restored) VALUES (?1, ?1, ?2, ?3)",
                params![now.utc.as_millis(), env!("CARGO_PKG_VERSION"), restored],
            )?;
            Ok(transaction.last_insert_rowid())
        })
    }

    /// One transaction for the pending track, the sign of life and any other change.
    fn flush_with(
        &mut self,
        now: Now,
        also: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<()>,
    ) -> Result<(), JournalError> {
        self.attempted = now.tick;
        let (run, dropped) = (self.run, self.dropped);
        let track = match (self.pending.front(), self.pending.back()) {
            (Some(first), Some(last)) => {
                let lines = batch::encode(self.pending.iter()).map_err(|r| self.unwritable(r))?;
                Some((first.now, last.now, self.pending.len(), lines))
            }
            _ => None,
        };
        let room = self.track_bound - self.track;
        let held = self.track;
        let grown = self.write(|transaction| {
            let mut size = held;
            if let Some((first, last, count, lines)) = &track {
                transaction.execute(
                    "INSERT INTO batch
                     (run, first_tick, last_tick, first_utc, last_utc, entries, lines)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                    params![
                        run,
                        millis(first.tick.as_millis()),
                        millis(last.tick.as_millis()),
                        first.utc.as_millis(),
                        last.utc.as_millis(),
                        millis(*count as u64),
                        lines
                    ],
                )?;
                let bytes = i64::try_from(lines.len()).unwrap_or(i64::MAX);
                size += bytes;
                if bytes > room {
                    size -= prune::oldest_batches(transaction, bytes - room)?;
                }
            }
            note_alive(transaction, run, now)?;
            let sql = "UPDATE run SET dropped = dropped + ?2 WHERE id = ?1";
            transaction.execute(sql, params![run, millis(dropped)])?;
            also(transaction)?;
            Ok(size)
        })?;
        self.track = grown;
        self.pending.clear();
        self.dropped = 0;
        Ok(())
    }

    fn write<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<T>,
    ) -> Result<T, JournalError> {
        fn all<T>(
            connection: &mut Connection,
            work: impl FnOnce(&Transaction<'_>) -> rusqlite::Result<T>,
        ) -> rusqlite::Result<T> {
            let transaction = connection.transaction()?;
            let result = work(&transaction)?;
            transaction.commit()?;
            Ok(result)
        }
        let result = all(&mut self.reader.connection, work)
            .map_err(|error| JournalError::sqlite(&self.reader.file, "to be written", &error))?;
        self.writes += 1;
        Ok(result)
    }

    fn to_json(&self, value: &impl serde::Serialize) -> Result<String, JournalError> {
        serde_json::to_string(value).map_err(|error| self.unwritable(error.to_string()))
    }

    fn unwritable(&self, reason: String) -> JournalError {
        JournalError::Failed {
            file: self.reader.file.clone(),
            doing: "to be written",
            reason,
        }
    }
}

fn note_alive(transaction: &Transaction<'_>, run: i64, now: Now) -> rusqlite::Result<()> {
    let sql = "UPDATE run SET last_seen = ?2 WHERE id = ?1";
    let alive = transaction.execute(sql, params![run, now.utc.as_millis()]);
    alive.map(|_| ())
}

fn identity(reader: &Reader, name: &str) -> Result<Uuid, JournalError> {
    let text: String = reader
        .connection
        .query_row(
            "SELECT value FROM meta WHERE name = ?1",
            params![name],
            |row| row.get(0),
        )
        .map_err(|error| match error {
            rusqlite::Error::QueryReturnedNoRows => JournalError::Damaged {
                file: reader.file.clone(),
                what: format!("the identity `{name}` is missing"),
            },
            other => reader.failed(&other),
        })?;
    text.parse()
        .map_err(|error: uuid::Error| JournalError::Damaged {
            file: reader.file.clone(),
            what: format!("the identity `{name}`: {error}"),
        })
}

fn identities(reader: &Reader) -> Result<Identities, JournalError> {
    let read = |name: &str| identity(reader, name);
    let [anchor, berth, region, client] = store::IDENTITIES.map(read);
    Ok(Identities {
        anchor: anchor?,
        berth: berth?,
        region: region?,
        client: client?,
    })
}

/// Two identities make a key: 244 of its bits are random.
fn reply_key(reader: &Reader) -> Result<[u8; 32], JournalError> {
    let halves = store::KEYS.map(|name| identity(reader, name).map(Uuid::into_bytes));
    let [first, second] = halves;
    Ok(joined(first?, second?))
}

fn joined(first: [u8; 16], second: [u8; 16]) -> [u8; 32] {
    let mut key = [0; 32];
    for (place, byte) in key.iter_mut().zip(first.into_iter().chain(second)) {
        *place = byte;
    }
    key
}

/// The database's integers are signed; none of our values comes near the limit.
fn millis(value: u64) -> i64 {
    i64::try_from(value).unwrap_or(i64::MAX)
}

/// Inputs in a batch, whatever its age: this bounds the memory. Each write costs the card five pages beside the batch
/// itself, twice; at a hundred inputs a second, batches of 1000 wrote five times the bytes that they keep (measured).
const LARGEST_BATCH: usize = 3000;
/// Inputs held in memory while the disk refuses them.
const MOST_PENDING: usize = 10_000;
