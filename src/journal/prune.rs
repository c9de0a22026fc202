//! Keeps the journal from growing.

use std::time::Duration;

use rusqlite::{OptionalExtension, Transaction, params};

use super::{Journal, JournalError, Reader};
use crate::time::Now;

impl Journal {
    /// Deletes what is older than `keep` or beyond the bounds, but never the saved state.
    ///
    /// Ticks give the age of this run's track, so a clock that jumps ahead does not delete the current
    /// night.
    pub fn prune(&mut self, now: Now, keep: Duration) -> Result<(), JournalError> {
        while self.prune_some(now, keep)? {}
        Ok(())
    }

    /// One step of the same pruning, small enough that a waiting commit does not notice it. Returns whether
    /// there may be more to delete.
    ///
    /// Batches are checked from the oldest on, and only as many as are deleted, because each deleted batch
    /// costs reading one of its pages. When no batch of a step is old, later ones are assumed to be newer.
    /// Batches behind a run whose clock was far ahead therefore wait for [`TRACK_BYTES`].
    pub fn prune_some(&mut self, now: Now, keep: Duration) -> Result<bool, JournalError> {
        let run = self.run;
        let oldest_utc = now.utc.minus(keep).as_millis();
        let keep_ms = u64::try_from(keep.as_millis()).unwrap_or(u64::MAX);
        // In a run younger than `keep`, nothing is old.
        let oldest_tick = now.tick.as_millis().checked_sub(keep_ms);
        let oldest_tick = oldest_tick.map_or(-1, |tick| i64::try_from(tick).unwrap_or(i64::MAX));
        let surplus = self.track - self.track_bound;
        let freed = self.write(|transaction| {
            let mut freed = old_batches(transaction, run, oldest_tick, oldest_utc)?;
            freed += oldest_batches(transaction, surplus - freed)?;
            if freed == 0 {
                oldest_events(transaction)?;
                transaction.execute(
                    "DELETE FROM run WHERE id <= ?1 - ?2 AND id NOT IN (SELECT run FROM batch)",
                    params![run, RUNS_KEPT],
                )?;
                transaction.execute(
                    "DELETE FROM channel WHERE run NOT IN (SELECT id FROM run)",
                    [],
                )?;
            }
            Ok(freed)
        })?;
        self.track -= freed;
        Ok(freed > 0)
    }
}

impl Reader {
    /// Size of the track, or somewhat more: the size of the whole file. Adding up the batches themselves
    /// would read a page of each, which takes a slow card many seconds before the watch begins.
    pub(super) fn track_bytes(&self) -> Result<i64, JournalError> {
        let sql = "SELECT (page_count - freelist_count) * page_size
                   FROM pragma_page_count, pragma_freelist_count, pragma_page_size";
        self.connection
            .query_row(sql, [], |row| row.get(0))
            .map_err(|error| self.failed(&error))
    }
}

/// Deletes those of the oldest [`STEP`] batches that are old; returns the number of bytes freed.
fn old_batches(
    transaction: &Transaction<'_>,
    run: i64,
    tick: i64,
    utc: i64,
) -> rusqlite::Result<i64> {
    let sql = "DELETE FROM batch WHERE id IN (
            SELECT id FROM (SELECT id, run, last_tick, last_utc FROM batch ORDER BY id LIMIT ?4)
            WHERE CASE run WHEN ?1 THEN last_tick < ?2 ELSE last_utc < ?3 END
        ) RETURNING length(lines)";
    let mut statement = transaction.prepare_cached(sql)?;
    let sizes = statement.query_map(params![run, tick, utc, STEP], |row| row.get::<_, i64>(0))?;
    sizes.sum()
}

/// Deletes batches from the oldest on until this many bytes are free, in small steps: a write waits for at
/// most [`STEP`] of them. Returns the number of bytes freed.
pub(super) fn oldest_batches(transaction: &Transaction<'_>, bytes: i64) -> rusqlite::Result<i64> {
    let mut freed = 0;
    for _ in 0..STEP {
        if freed >= bytes {
            break;
        }
        let sql =
            "DELETE FROM batch WHERE id = (SELECT min(id) FROM batch) RETURNING length(lines)";
        let gone: Option<i64> = transaction
            .query_row(sql, [], |row| row.get(0))
            .optional()?;
        let Some(gone) = gone else { break };
        freed += gone;
    }
    Ok(freed)
}

/// Deletes the oldest events beyond [`EVENTS_KEPT`].
pub(super) fn oldest_events(transaction: &Transaction<'_>) -> rusqlite::Result<()> {
    let sql = "DELETE FROM event WHERE id <= (SELECT max(id) FROM event) - ?1";
    transaction.execute(sql, params![EVENTS_KEPT]).map(|_| ())
}

const STEP: i64 = 16;
/// Upper limit of the compressed track, whatever `keep` says: more than a month at ten reports a second (22
/// bytes each, test `a_busy_day…`).
pub const TRACK_BYTES: i64 = 1024 * 1024 * 1024;
const EVENTS_KEPT: i64 = 50_000;
const RUNS_KEPT: i64 = 1000;
