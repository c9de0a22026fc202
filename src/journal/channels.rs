//! The health of each channel to the phones on disk: a row for each spell of one state.
//!
//! A row has the channel's name and counts, never an address, a topic, a token or words of the other side. A spell
//! that changes is rewritten in its row. The number of rows is bounded ([`MOST_KEPT`]; the oldest are dropped).
//!
//! The first row of each run has no name: it shows that the run kept this record. A run of a windrode from before the
//! record has none, nor has its journal the table.

use rusqlite::{OptionalExtension as _, Transaction, params};

use super::{Journal, JournalError, Reader};
use crate::outbox::words::Spell;

pub(super) const TABLE: &str = "
CREATE TABLE IF NOT EXISTS channel (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    run INTEGER NOT NULL,
    name TEXT NOT NULL,
    number INTEGER NOT NULL,
    spell TEXT NOT NULL,
    UNIQUE (run, name, number)
) STRICT;
";

/// What is kept of one run.
#[derive(Clone, Debug, PartialEq)]
pub struct Channels {
    /// Whether the record is there from the start of the run.
    pub whole: bool,
    /// The spells, in the order in which they began.
    pub spells: Vec<Spell>,
    /// Rows that cannot be read.
    pub damaged: u64,
}

impl Journal {
    /// Keeps these spells: each replaces the one of its channel with its number in this run. With none, it is only
    /// noted that the run keeps this record.
    pub fn keep_channels(&mut self, spells: &[Spell]) -> Result<(), JournalError> {
        self.keep_channels_within(spells, MOST_KEPT)
    }

    pub(super) fn keep_channels_within(
        &mut self,
        spells: &[Spell],
        most: i64,
    ) -> Result<(), JournalError> {
        let rows = spells
            .iter()
            .map(|spell| Ok((&spell.channel, spell.number, self.to_json(spell)?)))
            .collect::<Result<Vec<_>, JournalError>>()?;
        let (run, begun) = (self.run, self.channels_begun);
        self.write(|transaction| {
            if !begun {
                keep(transaction, run, NO_NAME, 0, "")?;
            }
            for (name, number, spell) in &rows {
                keep(
                    transaction,
                    run,
                    name,
                    i64::try_from(*number).unwrap_or(i64::MAX),
                    spell,
                )?;
            }
            let sql = "DELETE FROM channel WHERE id <= (SELECT max(id) FROM channel) - ?1";
            transaction.execute(sql, params![most]).map(|_| ())
        })?;
        self.channels_begun = true;
        Ok(())
    }
}

/// A row that is there keeps its place in the order.
fn keep(
    transaction: &Transaction<'_>,
    run: i64,
    name: &str,
    number: i64,
    spell: &str,
) -> rusqlite::Result<()> {
    let update = "UPDATE channel SET spell = ?4 WHERE run = ?1 AND name = ?2 AND number = ?3";
    if transaction.execute(update, params![run, name, number, spell])? == 0 {
        let insert = "INSERT INTO channel (run, name, number, spell) VALUES (?1, ?2, ?3, ?4)";
        transaction.execute(insert, params![run, name, number, spell])?;
    }
    Ok(())
}

impl Reader {
    /// The health of each channel during a run; `None` if it was not recorded, or the record is removed.
    pub fn channels(&self, run: i64) -> Result<Option<Channels>, JournalError> {
        let failed = |error| self.failed(&error);
        let table = "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'channel'";
        let there: Option<i64> = self
            .connection
            .query_row(table, [], |row| row.get(0))
            .optional()
            .map_err(failed)?;
        if there.is_none() {
            return Ok(None);
        }
        let mut statement = self
            .connection
            .prepare("SELECT name, spell FROM channel WHERE run = ?1 ORDER BY id")
            .map_err(failed)?;
        let mut rows = statement.query(params![run]).map_err(failed)?;
        let mut channels = Channels {
            whole: false,
            spells: Vec::new(),
            damaged: 0,
        };
        let mut any = false;
        while let Some(row) = rows.next().map_err(failed)? {
            any = true;
            let name: String = row.get(0).map_err(failed)?;
            if name == NO_NAME {
                channels.whole = true;
                continue;
            }
            let text: String = row.get(1).map_err(failed)?;
            match self.parse(&text, "the health of a channel") {
                Ok(spell) => channels.spells.push(spell),
                Err(_) => channels.damaged += 1,
            }
        }
        Ok(any.then_some(channels))
    }
}

/// The name in the first row of a run; no channel can have it.
const NO_NAME: &str = "";
/// About four megabytes. A channel begins one spell a minute at most (`outbox/spell.rs`): one that did so all the time
/// would fill it in two weeks.
const MOST_KEPT: i64 = 20_000;
