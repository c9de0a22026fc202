//! The boat's own soundings on disk: one row for a square of about 5 m, the shoalest.
//!
//! Depth and doubt are centimetres, places ten-millionths of a degree, as charts have them. A row is written again only where
//! [`OwnSounding::replaces`] says so: what is handed over once more costs no write. A row is bounded, so are their number
//! ([`MOST_KEPT`], those sounded longest ago give way) and what is read at once ([`MOST_READ`], the shoalest first).

use rusqlite::{OptionalExtension, Row, Transaction, params};

use super::{Journal, JournalError, Reader};
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
";

impl Journal {
    /// Keeps soundings; how many of them were written.
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
    let sql = "SELECT depth, at FROM sounding WHERE north = ?1 AND east = ?2";
    let kept: Option<(i64, i64)> = transaction
        .prepare_cached(sql)?
        .query_row(params![north, east], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let old = |(depth, at): (i64, i64)| {
        let (depth, at) = (metres(depth), Timestamp::from_millis(at));
        depth.is_some_and(|depth| !sounding.replaces(depth, at))
    };
    if kept.is_some_and(old) {
        return Ok(false);
    }
    let tide = match &sounding.tide {
        ReducedBy::Station(name) => Some(name.chars().take(LONGEST_NAME).collect::<String>()),
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

/// A tenth more than must go, so that it is not done with every write.
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
    /// The boat's own soundings in one of these boxes, the shoalest first, [`MOST_READ`] at most.
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
                // A row that makes no sense is as good as none.
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

    /// A journal from before them that no daemon has opened since has no table for them.
    fn has_soundings(&self) -> Result<bool, JournalError> {
        let sql = "SELECT EXISTS (SELECT 1 FROM sqlite_schema WHERE name = 'sounding')";
        self.connection
            .query_row(sql, [], |row| row.get(0))
            .map_err(|error| self.failed(&error))
    }
}

fn sounding(row: &Row<'_>) -> rusqlite::Result<Option<OwnSounding>> {
    let degrees = |column| Ok::<f64, rusqlite::Error>(row.get::<_, i64>(column)? as f64 / 1e7);
    let tide: Option<String> = row.get(5)?;
    let place = Position::new(degrees(0)?, degrees(1)?).ok();
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
            tide: tide.map_or(ReducedBy::Server, ReducedBy::Station),
        }))
}

fn metres(centimetres: i64) -> Option<Metres> {
    // What is beyond is no depth on Earth.
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
/// Rows that are read for one place: the mile about it, sounded over and over, has no more as a rule.
const MOST_READ: i64 = 20_000;
/// Letters of a station's name.
const LONGEST_NAME: usize = 80;
