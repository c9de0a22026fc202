//! The boat's own soundings on disk: one row for each square of about 5 m, with the shoalest.
//!
//! Depth and doubt are in centimetres, positions in ten-millionths of a degree, as in charts. A row is
//! rewritten only when [`OwnSounding::replaces`] allows it, so a repeated sounding costs no write. The size
//! of a row is bounded, and so are the number of rows ([`MOST_KEPT`]; the oldest are dropped) and the
//! number read at once ([`MOST_READ`]; the shoalest first).
//!
//! The crew removes wrong soundings with [`forget_soundings`], even while a daemon runs; a counter of
//! removals lets the daemon notice.

use std::path::Path;

use rusqlite::{OptionalExtension, Row, Transaction, TransactionBehavior, params};

use super::{Journal, JournalError, Reader, store};
use crate::chart::own::{OwnSounding, ReducedBy, Square, row};
use crate::chart::shape::{Extent, Spot};
use crate::geodesy::Position;
use crate::time::Timestamp;
use crate::units::Metres;

pub(super) const TABLE: &str = "
CREATE TABLE IF NOT EXISTS sounding (
    north INTEGER NOT NULL,
    east INTEGER NOT NULL,
    latitude INTEGER NOT NULL,
    longitude INTEGER NOT NULL,
    depth INTEGER NOT NULL,
    doubt INTEGER NOT NULL,
    at INTEGER NOT NULL,
    tide TEXT,
    PRIMARY KEY (north, east)
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS sounding_removal (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    times INTEGER NOT NULL
) STRICT;
";

impl Journal {
    /// Stores soundings; returns how many of them were written.
    pub fn keep_soundings(&mut self, soundings: &[OwnSounding]) -> Result<usize, JournalError> {
        self.keep_soundings_within(soundings, MOST_KEPT)
    }

    pub(super) fn keep_soundings_within(
        &mut self,
        soundings: &[OwnSounding],
        most: i64,
    ) -> Result<usize, JournalError> {
        self.write(|transaction| {
            let mut written = 0;
            for sounding in soundings {
                written += usize::from(keep(transaction, sounding)?);
            }
            if written > 0 {
                forget_oldest(transaction, most)?;
            }
            Ok(written)
        })
    }
}

fn keep(transaction: &Transaction<'_>, sounding: &OwnSounding) -> rusqlite::Result<bool> {
    let Square { north, east } = sounding.square();
    let place = sounding.position;
    let Some(spot) = Spot::of(place.longitude(), place.latitude()) else {
        return Ok(false);
    };
    let sounding = &OwnSounding {
        tide: shortened(&sounding.tide),
        ..sounding.clone()
    };
    let sql = "SELECT depth, at, tide FROM sounding WHERE north = ?1 AND east = ?2";
    let kept: Option<(i64, i64, Option<String>)> = transaction
        .prepare_cached(sql)?
        .query_row(params![north, east], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?))
        })
        .optional()?;
    let holds = |(depth, at, tide): (i64, i64, Option<String>)| {
        let (depth, at) = (metres(depth), Timestamp::from_millis(at));
        depth.is_some_and(|depth| !sounding.replaces(depth, at, &by(tide)))
    };
    if kept.is_some_and(holds) {
        return Ok(false);
    }
    let tide = match &sounding.tide {
        ReducedBy::Station(name) => Some(name),
        ReducedBy::Server => None,
    };
    transaction
        .prepare_cached(
            "INSERT OR REPLACE INTO sounding
             (north, east, latitude, longitude, depth, doubt, at, tide)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            north,
            east,
            spot.y,
            spot.x,
            centimetres(sounding.depth),
            centimetres(sounding.doubt),
            sounding.at.as_millis(),
            tide,
        ])?;
    Ok(true)
}

fn shortened(tide: &ReducedBy) -> ReducedBy {
    match tide {
        ReducedBy::Station(name) => ReducedBy::Station(name.chars().take(LONGEST_NAME).collect()),
        ReducedBy::Server => ReducedBy::Server,
    }
}

fn by(tide: Option<String>) -> ReducedBy {
    tide.map_or(ReducedBy::Server, ReducedBy::Station)
}

/// Removes soundings from the journal in a state directory, even while a daemon runs: all of them, or those
/// taken within a distance of a place. Returns how many there were. Soundings of a running daemon's last
/// half minute may be written after that.
///
/// # Errors
/// There is no journal, it is not ours, or it cannot be written.
pub fn forget_soundings(
    directory: &Path,
    about: Option<(Position, Metres)>,
) -> Result<usize, JournalError> {
    let (mut connection, file) = store::open_to_change(directory)?;
    let removed = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .and_then(|transaction| {
            // A journal from before soundings has no table.
            transaction.execute_batch(TABLE)?;
            let removed = match about {
                None => transaction.execute("DELETE FROM sounding", [])?,
                Some((place, within)) => forget_about(&transaction, place, within)?,
            };
            transaction.execute(
                "INSERT INTO sounding_removal (id, times) VALUES (1, 1)
                 ON CONFLICT (id) DO UPDATE SET times = times + 1",
                [],
            )?;
            transaction.commit().map(|()| removed)
        });
    removed.map_err(|error| JournalError::sqlite(&file, "to be written", &error))
}

fn forget_about(
    transaction: &Transaction<'_>,
    place: Position,
    within: Metres,
) -> rusqlite::Result<usize> {
    let mut wrong = Vec::new();
    let mut statement =
        transaction.prepare("SELECT north, east, latitude, longitude FROM sounding")?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        // Rows with impossible values are removed too.
        let taken = Position::new(degrees(row, 2)?, degrees(row, 3)?).ok();
        if taken.is_none_or(|taken| place.distance_to(taken) <= within) {
            wrong.push((row.get::<_, i64>(0)?, row.get::<_, i64>(1)?));
        }
    }
    let mut delete = transaction.prepare("DELETE FROM sounding WHERE north = ?1 AND east = ?2")?;
    for (north, east) in &wrong {
        delete.execute(params![north, east])?;
    }
    Ok(wrong.len())
}

/// Removes a tenth more than necessary, so that not every write has to remove rows.
fn forget_oldest(transaction: &Transaction<'_>, most: i64) -> rusqlite::Result<()> {
    let count: i64 =
        transaction.query_row("SELECT count(*) FROM sounding", [], |row| row.get(0))?;
    if count <= most {
        return Ok(());
    }
    let surplus = count - most + most / 10;
    let sql = "DELETE FROM sounding WHERE (north, east) IN
               (SELECT north, east FROM sounding ORDER BY at LIMIT ?1)";
    transaction.execute(sql, params![surplus]).map(|_| ())
}

impl Reader {
    /// The boat's own soundings in one of these boxes, the shoalest first, at most [`MOST_READ`].
    pub fn soundings(&self, boxes: &[Extent]) -> Result<Vec<OwnSounding>, JournalError> {
        if !self.has_soundings()? {
            return Ok(Vec::new());
        }
        let failed = |error| self.failed(&error);
        let sql = "SELECT latitude, longitude, depth, doubt, at, tide FROM sounding
                   WHERE north BETWEEN ?1 AND ?2 AND latitude BETWEEN ?3 AND ?4
                   AND longitude BETWEEN ?5 AND ?6 ORDER BY depth LIMIT ?7";
        let mut statement = self.connection.prepare_cached(sql).map_err(failed)?;
        let mut found = Vec::new();
        for area in boxes {
            let row_of = |spot: Spot| row(spot.degrees()[1]);
            let limits = params![
                row_of(area.low),
                row_of(area.high),
                area.low.y,
                area.high.y,
                area.low.x,
                area.high.x,
                MOST_READ
            ];
            let rows = statement.query_map(limits, sounding).map_err(failed)?;
            for row in rows {
                // A row with impossible values is ignored.
                found.extend(row.map_err(failed)?);
            }
        }
        Ok(found)
    }

    /// Has anything been sounded at all?
    pub fn has_any_sounding(&self) -> Result<bool, JournalError> {
        if !self.has_soundings()? {
            return Ok(false);
        }
        self.connection
            .query_row("SELECT EXISTS (SELECT 1 FROM sounding)", [], |row| {
                row.get(0)
            })
            .map_err(|error| self.failed(&error))
    }

    /// How often [`forget_soundings`] removed soundings.
    pub fn sounding_removals(&self) -> Result<i64, JournalError> {
        if !self.has_table("sounding_removal")? {
            return Ok(0);
        }
        self.connection
            .query_row("SELECT max(times) FROM sounding_removal", [], |row| {
                row.get::<_, Option<i64>>(0)
            })
            .map(Option::unwrap_or_default)
            .map_err(|error| self.failed(&error))
    }

    fn has_soundings(&self) -> Result<bool, JournalError> {
        self.has_table("sounding")
    }

    /// A journal from before soundings has no table for them until a daemon opens it.
    fn has_table(&self, name: &str) -> Result<bool, JournalError> {
        let sql = "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE name = ?1)";
        self.connection
            .query_row(sql, [name], |row| row.get(0))
            .map_err(|error| self.failed(&error))
    }
}

fn sounding(row: &Row<'_>) -> rusqlite::Result<Option<OwnSounding>> {
    let tide: Option<String> = row.get(5)?;
    let place = Position::new(degrees(row, 0)?, degrees(row, 1)?).ok();
    let (depth, doubt) = (metres(row.get(2)?), metres(row.get(3)?));
    let at = Timestamp::from_millis(row.get(4)?);
    Ok(place
        .zip(depth)
        .zip(doubt)
        .map(|((position, depth), doubt)| OwnSounding {
            position,
            depth,
            doubt,
            at,
            tide: by(tide),
        }))
}

fn degrees(row: &Row<'_>, column: usize) -> rusqlite::Result<f64> {
    Ok(row.get::<_, i64>(column)? as f64 / 1e7)
}

fn metres(centimetres: i64) -> Option<Metres> {
    // Anything beyond is not a depth on Earth.
    (centimetres.abs() < 2_000_000)
        .then(|| Metres::new(centimetres as f64 / 100.0))
        .flatten()
}

#[expect(clippy::cast_possible_truncation, reason = "depths on Earth")]
fn centimetres(length: Metres) -> i64 {
    (length.get() * 100.0).round() as i64
}

/// Rows: five square kilometres of squares.
const MOST_KEPT: i64 = 200_000;
/// Rows read for one place: the mile around it, sounded over and over, usually has no more.
const MOST_READ: i64 = 20_000;
/// Letters in a station's name.
const LONGEST_NAME: usize = 80;
