//! Reads the journal: runs, the inputs of a run in their order, events since a moment.

use std::path::{Path, PathBuf};
use std::vec;

use rusqlite::{Connection, OptionalExtension, Row, params};

use super::batch;
use super::error::JournalError;
use super::seal;
use super::store;
use crate::outbox::words::SavedOutbox;
use crate::speech::faults::LostWatch;
use crate::time::Timestamp;
use crate::watch::messages::{Entry, Event};
use crate::watch::saved::Saved;

/// Reads a journal, even while a daemon is writing to it.
#[derive(Debug)]
pub struct Reader {
    pub(super) connection: Connection,
    pub(super) file: PathBuf,
}

/// One run of the daemon.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its number; later runs have larger ones.
    pub id: i64,
    /// When it began.
    pub started: Timestamp,
    /// When it was last known to be alive.
    pub last_seen: Timestamp,
    /// Version of windrode.
    pub version: String,
    /// The settings in force, as the daemon stored them.
    pub settings: Option<String>,
    /// The state it began with: a replay of the run starts from it.
    pub restored: Saved,
    /// Inputs that are missing because the disk could not keep up.
    pub dropped: u64,
    /// Did it stop on purpose?
    pub stopped_cleanly: bool,
}

impl Reader {
    /// Opens the journal in `directory` without changing it.
    pub fn open(directory: &Path) -> Result<Self, JournalError> {
        let (connection, file) = store::open_to_read(directory)?;
        Ok(Self { connection, file })
    }

    /// The last committed state.
    pub fn saved(&self) -> Result<Saved, JournalError> {
        Ok(self.saved_if_any()?.unwrap_or_default())
    }

    /// The last committed state; `None` when its row is missing.
    pub(super) fn saved_if_any(&self) -> Result<Option<Saved>, JournalError> {
        let text: Option<String> = self
            .connection
            .query_row("SELECT state FROM saved WHERE id = 1", [], |row| row.get(0))
            .optional()
            .map_err(|error| self.failed(&error))?;
        text.map(|text| {
            let state = seal::opened(&text)
                .ok_or_else(|| self.damaged("the saved state: its sum does not fit"))?;
            self.parse(&state, "the saved state")
        })
        .transpose()
    }

    /// Why a watch may have been lost, until somebody settles it.
    pub(super) fn doubt(&self) -> Result<Option<LostWatch>, JournalError> {
        let kept: Option<String> = self
            .connection
            .query_row("SELECT value FROM meta WHERE name = 'doubt'", [], |row| {
                row.get(0)
            })
            .optional()
            .map_err(|error| self.failed(&error))?;
        // An earlier version stored words.
        Ok(kept.map(|kept| {
            serde_json::from_str(&kept).unwrap_or_else(|_| LostWatch::from(kept.as_str()))
        }))
    }

    /// What the people on each channel have been sent, and what is pending.
    pub fn outbox(&self) -> Result<SavedOutbox, JournalError> {
        let text: Option<String> = self
            .connection
            .query_row("SELECT state FROM outbox WHERE id = 1", [], |row| {
                row.get(0)
            })
            .optional()
            .map_err(|error| self.failed(&error))?;
        text.map_or_else(
            || Ok(SavedOutbox::default()),
            |text| self.parse(&text, "the outbox"),
        )
    }

    /// The latest run, if any.
    pub fn last_run(&self) -> Result<Option<Run>, JournalError> {
        Ok(self.runs(1)?.pop())
    }

    /// The latest runs, at most `count` of them, latest first.
    pub fn runs(&self, count: u32) -> Result<Vec<Run>, JournalError> {
        let failed = |error| self.failed(&error);
        let mut statement = self
            .connection
            .prepare(
                "SELECT id, started, last_seen, version, settings, restored, dropped, stopped_cleanly \
                 FROM run ORDER BY id DESC LIMIT ?1",
            )
            .map_err(failed)?;
        let mut rows = statement.query(params![count]).map_err(failed)?;
        let mut runs = Vec::new();
        while let Some(row) = rows.next().map_err(failed)? {
            runs.push(self.run(row)?);
        }
        Ok(runs)
    }

    /// All runs that were alive between two moments, the oldest first.
    pub fn runs_within(&self, from: Timestamp, until: Timestamp) -> Result<Vec<Run>, JournalError> {
        let mut runs = self.runs(u32::MAX)?;
        runs.retain(|run| run.last_seen >= from && run.started <= until);
        runs.reverse();
        Ok(runs)
    }

    fn run(&self, row: &Row<'_>) -> Result<Run, JournalError> {
        let failed = |error| self.failed(&error);
        let restored: String = row.get(5).map_err(failed)?;
        Ok(Run {
            id: row.get(0).map_err(failed)?,
            started: Timestamp::from_millis(row.get(1).map_err(failed)?),
            last_seen: Timestamp::from_millis(row.get(2).map_err(failed)?),
            version: row.get(3).map_err(failed)?,
            settings: row.get(4).map_err(failed)?,
            restored: self.parse(&restored, "the state at the start of a run")?,
            dropped: u64::try_from(row.get::<_, i64>(6).map_err(failed)?).unwrap_or(0),
            stopped_cleanly: row.get(7).map_err(failed)?,
        })
    }

    /// The inputs of a run in the order in which the engine got them, with one batch in memory at a time. A
    /// damaged batch gives an error, and reading continues with the next one.
    #[must_use]
    pub fn entries(&self, run: i64) -> Entries<'_> {
        Entries {
            reader: self,
            run,
            since: Timestamp::from_millis(i64::MIN),
            after: 0,
            batch: Vec::new().into_iter(),
            over: false,
        }
    }

    /// The same, starting with the batch that contains `since`: its first entries may be older.
    #[must_use]
    pub fn entries_since(&self, run: i64, since: Timestamp) -> Entries<'_> {
        Entries {
            since,
            ..self.entries(run)
        }
    }

    /// The events of all runs from `since` on, in the order in which they were written.
    #[must_use]
    pub fn events(&self, since: Timestamp) -> Events<'_> {
        Events {
            reader: self,
            since,
            after: 0,
            page: Vec::new().into_iter(),
            over: false,
        }
    }

    /// Whether the oldest events were removed.
    pub fn has_lost_events(&self) -> Result<bool, JournalError> {
        let sql = "SELECT coalesce(min(id), 1) > 1 FROM event";
        self.connection
            .query_row(sql, [], |row| row.get(0))
            .map_err(|error| self.failed(&error))
    }

    fn next_batch(
        &self,
        run: i64,
        after: i64,
        since: Timestamp,
    ) -> Result<Option<(i64, Vec<u8>)>, JournalError> {
        self.connection
            .query_row(
                "SELECT id, lines FROM batch WHERE run = ?1 AND id > ?2 AND last_utc >= ?3 \
                 ORDER BY id LIMIT 1",
                params![run, after, since.as_millis()],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .optional()
            .map_err(|error| self.failed(&error))
    }

    fn next_events(
        &self,
        since: Timestamp,
        after: i64,
    ) -> Result<Vec<(i64, String)>, JournalError> {
        let failed = |error| self.failed(&error);
        let sql = "SELECT id, line FROM event WHERE time >= ?1 AND id > ?2 ORDER BY id LIMIT 500";
        let mut statement = self.connection.prepare(sql).map_err(failed)?;
        let rows = statement
            .query_map(params![since.as_millis(), after], |row| {
                Ok((row.get(0)?, row.get(1)?))
            })
            .map_err(failed)?;
        rows.collect::<Result<_, _>>().map_err(failed)
    }

    pub(super) fn parse<T: serde::de::DeserializeOwned>(
        &self,
        text: &str,
        what: &str,
    ) -> Result<T, JournalError> {
        serde_json::from_str(text).map_err(|error| self.damaged(&format!("{what}: {error}")))
    }

    pub(super) fn failed(&self, error: &rusqlite::Error) -> JournalError {
        JournalError::sqlite(&self.file, "to be read", error)
    }

    fn damaged(&self, what: &str) -> JournalError {
        JournalError::Damaged {
            file: self.file.clone(),
            what: what.to_owned(),
        }
    }
}

/// See [`Reader::entries`].
#[derive(Debug)]
pub struct Entries<'a> {
    reader: &'a Reader,
    run: i64,
    since: Timestamp,
    after: i64,
    batch: vec::IntoIter<Entry>,
    over: bool,
}

impl Iterator for Entries<'_> {
    type Item = Result<Entry, JournalError>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if let Some(entry) = self.batch.next() {
                return Some(Ok(entry));
            }
            if self.over {
                return None;
            }
            match self.reader.next_batch(self.run, self.after, self.since) {
                Ok(Some((id, bytes))) => {
                    self.after = id;
                    match batch::decode(&bytes) {
                        Ok(entries) => self.batch = entries.into_iter(),
                        Err(what) => {
                            let what = format!("batch {id} of the track: {what}");
                            return Some(Err(self.reader.damaged(&what)));
                        }
                    }
                }
                Ok(None) => self.over = true,
                Err(error) => {
                    self.over = true;
                    return Some(Err(error));
                }
            }
        }
    }
}

/// See [`Reader::events`].
#[derive(Debug)]
pub struct Events<'a> {
    reader: &'a Reader,
    since: Timestamp,
    after: i64,
    page: vec::IntoIter<(i64, String)>,
    over: bool,
}

impl Iterator for Events<'_> {
    type Item = Result<Event, JournalError>;

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            if let Some((id, line)) = self.page.next() {
                self.after = id;
                return Some(self.reader.parse(&line, "an event"));
            }
            if self.over {
                return None;
            }
            match self.reader.next_events(self.since, self.after) {
                Ok(page) => {
                    self.over = page.is_empty();
                    self.page = page.into_iter();
                }
                Err(error) => {
                    self.over = true;
                    return Some(Err(error));
                }
            }
        }
    }
}
