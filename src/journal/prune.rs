//! What keeps the journal from growing.

use std::time::Duration;

use rusqlite::{OptionalExtension, Transaction, params};

use super::{Journal, JournalError, Reader};
use crate::time::Now;

impl Journal {
    /// Deletes what is older than `keep` or beyond the bounds; the saved state never.
    ///
    /// The age of this run's track is told by ticks, so a clock that jumps ahead does not delete
    /// the night it watches.
    pub fn prune(&mut self, now: Now, keep: Duration) -> Result<(), JournalError> {
        self.prune_within(now, keep, TRACK_BYTES)
    }

    pub(super) fn prune_within(
        &mut self,
        now: Now,
        keep: Duration,
        track_bytes: i64,
    ) -> Result<(), JournalError> {
        let run = self.run;
        let oldest_utc = now.utc.minus(keep).as_millis();
        let keep_ms = u64::try_from(keep.as_millis()).unwrap_or(u64::MAX);
        // Of a run younger than `keep` nothing is old.
        let oldest_tick = now.tick.as_millis().checked_sub(keep_ms);
        let oldest_tick = oldest_tick.map_or(-1, |tick| i64::try_from(tick).unwrap_or(i64::MAX));
        self.write(|transaction| {
            transaction.execute(
                "DELETE FROM batch WHERE run = ?1 AND last_tick < ?2",
                params![run, oldest_tick],
            )?;
            transaction.execute(
                "DELETE FROM batch WHERE run <> ?1 AND last_utc < ?2",
                params![run, oldest_utc],
            )?;
            transaction.execute(
                "DELETE FROM batch WHERE id <= (
                    SELECT id FROM (
                        SELECT id, sum(length(lines)) OVER (ORDER BY id DESC) AS size FROM batch
                    ) WHERE size > ?1 ORDER BY id DESC LIMIT 1)",
                params![track_bytes],
            )?;
            oldest_events(transaction)?;
            transaction.execute(
                "DELETE FROM run WHERE id <= ?1 - ?2 AND id NOT IN (SELECT run FROM batch)",
                params![run, RUNS_KEPT],
            )?;
            Ok(())
        })?;
        self.track = self.reader.track_bytes()?;
        Ok(())
    }
}

impl Reader {
    pub(super) fn track_bytes(&self) -> Result<i64, JournalError> {
        let sql = "SELECT coalesce(sum(length(lines)), 0) FROM batch";
        self.connection
            .query_row(sql, [], |row| row.get(0))
            .map_err(|error| self.failed(&error))
    }
}

/// Deletes batches from the oldest on until so many bytes are free, in small steps: a write waits
/// for no more than [`STEP`] of them. Gives the bytes that were freed.
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

/// Deletes the events beyond [`EVENTS_KEPT`].
pub(super) fn oldest_events(transaction: &Transaction<'_>) -> rusqlite::Result<()> {
    let sql = "DELETE FROM event WHERE id <= (SELECT max(id) FROM event) - ?1";
    transaction.execute(sql, params![EVENTS_KEPT]).map(|_| ())
}

const STEP: usize = 16;
/// The most the track may take, compressed, whatever `keep` says: a month and more at ten
/// reports a second (22 bytes each, test `a_busy_day…`).
pub const TRACK_BYTES: i64 = 1024 * 1024 * 1024;
const EVENTS_KEPT: i64 = 50_000;
const RUNS_KEPT: i64 = 1000;
