//! The database file: creating, recognising and checking it.
//!
//! A new database is built under another name, complete with tables and identities, and then renamed. So a
//! file named `journal.db` is complete, and one that is empty or lacks a table is damaged rather than new.
//! A write-ahead log without its database is left over from a deleted one; opening a new database beside it
//! could mix the two.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags, params};
use uuid::Uuid;

use super::channels::TABLE as CHANNELS;
use super::error::JournalError;
use super::soundings::TABLE as SOUNDINGS;

/// What marks a database as ours: "WNDR".
pub(super) const APPLICATION_ID: i64 = 0x574E_4452;
/// Version of the tables below.
pub(super) const VERSION: i64 = 1;

pub(super) const FILE_NAME: &str = "journal.db";

/// Our lasting ids as seen by others, by their row in `meta`.
pub(super) const IDENTITIES: [&str; 4] = ["anchor", "berth", "region", "client"];

/// The halves of the key that signs answers from phones, also by their row.
pub(super) const KEYS: [&str; 2] = ["reply_key_1", "reply_key_2"];

/// Takes the exclusive right to write in `directory` for as long as the file stays open. The system
/// releases it when the process ends, however it ends.
pub(super) fn lock(directory: &Path) -> Result<File, JournalError> {
    let refused = |error: &io::Error| JournalError::directory(directory, error);
    let lock = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(directory.join("journal.lock"))
        .map_err(|error| refused(&error))?;
    match lock.try_lock() {
        Ok(()) => Ok(lock),
        Err(TryLockError::WouldBlock) => Err(JournalError::InUse {
            file: directory.join(FILE_NAME),
        }),
        Err(TryLockError::Error(error)) => Err(refused(&error)),
    }
}

/// Opens the journal for writing, or creates one if there is none.
pub(super) fn open_or_create(directory: &Path) -> Result<(Connection, PathBuf), JournalError> {
    let file = directory.join(FILE_NAME);
    let damaged = |what: &str| JournalError::Damaged {
        file: file.clone(),
        what: what.to_owned(),
    };
    match fs::metadata(&file) {
        Ok(metadata) if !metadata.is_file() => {
            return Err(JournalError::NotAJournal {
                file,
                found: "it is no file".to_owned(),
            });
        }
        Ok(metadata) if metadata.len() == 0 => return Err(damaged("it is empty")),
        Ok(_) => {}
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            if directory.join(format!("{FILE_NAME}-wal")).exists() {
                return Err(damaged(
                    "it is gone, but its write-ahead log is still there",
                ));
            }
            create(directory, &file)?;
        }
        Err(error) => {
            return Err(JournalError::directory(directory, &error));
        }
    }
    let connection = open(&file, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    prepare(&connection, &file)?;
    Ok((connection, file))
}

/// Opens the journal while a daemon may be writing to it.
pub(super) fn open_to_read(directory: &Path) -> Result<(Connection, PathBuf), JournalError> {
    open_existing(directory, OpenFlags::SQLITE_OPEN_READ_ONLY)
}

/// Opens the journal to change data that the daemon does not own, while a daemon may be writing to it.
pub(super) fn open_to_change(directory: &Path) -> Result<(Connection, PathBuf), JournalError> {
    open_existing(directory, OpenFlags::SQLITE_OPEN_READ_WRITE)
}

fn open_existing(directory: &Path, mode: OpenFlags) -> Result<(Connection, PathBuf), JournalError> {
    let file = directory.join(FILE_NAME);
    if !file.exists() {
        return Err(JournalError::Missing { file });
    }
    let connection = open(&file, mode)?;
    Ok((connection, file))
}

fn open(file: &Path, mode: OpenFlags) -> Result<Connection, JournalError> {
    let failed = |error| JournalError::sqlite(file, "to open", &error);
    let flags = mode | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(file, flags).map_err(failed)?;
    recognise(&connection, file)?;
    Ok(connection)
}

/// Is the file ours, and do we support its version?
fn recognise(connection: &Connection, file: &Path) -> Result<(), JournalError> {
    let number = |pragma: &str| {
        connection
            .query_row(&format!("PRAGMA {pragma}"), [], |row| row.get::<_, i64>(0))
            .map_err(|error| JournalError::sqlite(file, "to open", &error))
    };
    let application = number("application_id")?;
    if application != APPLICATION_ID {
        return Err(JournalError::NotAJournal {
            file: file.to_owned(),
            found: format!("a database with application id {application}"),
        });
    }
    let version = number("user_version")?;
    if version > VERSION {
        return Err(JournalError::Newer {
            file: file.to_owned(),
            found: version,
            known: VERSION,
        });
    }
    Ok(())
}

/// Sets up durable commits and checks what must be intact. The track is not checked: reading a week of it
/// would take a slow card many seconds before the watch starts, and each batch carries its own checksum.
fn prepare(connection: &Connection, file: &Path) -> Result<(), JournalError> {
    let failed = |error| JournalError::sqlite(file, "to open", &error);
    let mode: String = connection
        .query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))
        .map_err(failed)?;
    if mode != "wal" {
        return Err(JournalError::Failed {
            file: file.to_owned(),
            doing: "to open",
            reason: format!("its disk does not allow a write-ahead log, only `{mode}`"),
        });
    }
    connection
        .execute_batch("PRAGMA synchronous = FULL; PRAGMA journal_size_limit = 4194304;")
        .map_err(failed)?;
    let unwritable = |error| JournalError::sqlite(file, "to be written", &error);
    add_phones(connection).map_err(unwritable)?;
    // The same for soundings and for the health of channels. They are not checked below: if they are damaged, that
    // must not keep the watch from its journal.
    connection.execute_batch(SOUNDINGS).map_err(unwritable)?;
    connection.execute_batch(CHANNELS).map_err(unwritable)?;
    for table in ["meta", "run", "saved", "event", "outbox"] {
        let verdict: String = connection
            .query_row(&format!("PRAGMA quick_check({table})"), [], |row| {
                row.get(0)
            })
            .map_err(failed)?;
        if verdict != "ok" {
            return Err(JournalError::Damaged {
                file: file.to_owned(),
                what: verdict,
            });
        }
    }
    Ok(())
}

/// Adds what the phones need to a journal from before them. An earlier windrode ignores it, so the version
/// stays.
fn add_phones(connection: &Connection) -> rusqlite::Result<()> {
    let there: i64 = connection.query_row(
        "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name = 'outbox'",
        [],
        |row| row.get(0),
    )?;
    if there == 0 {
        let transaction = connection.unchecked_transaction()?;
        transaction.execute_batch(OUTBOX)?;
        make_ids(&transaction, &KEYS)?;
        transaction.commit()?;
    }
    Ok(())
}

#[allow(
    clippy::disallowed_methods,
    reason = "the only ids that are made: once for the life of a journal, or of a run without one"
)]
pub(super) fn fresh_id() -> Uuid {
    Uuid::new_v4()
}

fn make_ids(connection: &Connection, names: &[&str]) -> rusqlite::Result<()> {
    for name in names {
        connection.execute(
            "INSERT INTO meta (name, value) VALUES (?1, ?2)",
            params![name, fresh_id().to_string()],
        )?;
    }
    Ok(())
}

fn create(directory: &Path, file: &Path) -> Result<(), JournalError> {
    let refused = |error: io::Error| JournalError::directory(directory, &error);
    let fresh = directory.join(format!("{FILE_NAME}.new"));
    // The remains of an interrupted attempt were never a journal.
    for rest in ["", "-journal"] {
        match fs::remove_file(directory.join(format!("{FILE_NAME}.new{rest}"))) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(refused(error)),
            _ => {}
        }
    }
    fill(&fresh).map_err(|error| JournalError::sqlite(file, "to be made", &error))?;
    File::open(&fresh)
        .and_then(|open| open.sync_all())
        .and_then(|()| fs::rename(&fresh, file))
        .and_then(|()| File::open(directory)?.sync_all())
        .map_err(refused)
}

fn fill(fresh: &Path) -> Result<(), rusqlite::Error> {
    let mut connection = Connection::open(fresh)?;
    connection.pragma_update(None, "application_id", APPLICATION_ID)?;
    let transaction = connection.transaction()?;
    transaction.execute_batch(TABLES)?;
    transaction.pragma_update(None, "user_version", VERSION)?;
    transaction.execute_batch(OUTBOX)?;
    transaction.execute_batch(SOUNDINGS)?;
    transaction.execute_batch(CHANNELS)?;
    make_ids(&transaction, &IDENTITIES)?;
    make_ids(&transaction, &KEYS)?;
    transaction.commit()?;
    connection.close().map_err(|(_, error)| error)
}

const OUTBOX: &str = "
CREATE TABLE outbox (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    at INTEGER NOT NULL,
    state TEXT NOT NULL
) STRICT;
";

/// Moments are milliseconds: UTC since the epoch, ticks since the start of the run.
const TABLES: &str = "
CREATE TABLE meta (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;
CREATE TABLE run (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    started INTEGER NOT NULL,
    last_seen INTEGER NOT NULL,
    version TEXT NOT NULL,
    settings TEXT,
    restored TEXT NOT NULL,
    dropped INTEGER NOT NULL DEFAULT 0,
    stopped_cleanly INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE TABLE saved (
    id INTEGER PRIMARY KEY CHECK (id = 1),
    at INTEGER NOT NULL,
    state TEXT NOT NULL
) STRICT;
CREATE TABLE event (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    run INTEGER NOT NULL,
    time INTEGER NOT NULL,
    line TEXT NOT NULL
) STRICT;
CREATE INDEX event_time ON event (time);
CREATE TABLE batch (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    run INTEGER NOT NULL,
    first_tick INTEGER NOT NULL,
    last_tick INTEGER NOT NULL,
    first_utc INTEGER NOT NULL,
    last_utc INTEGER NOT NULL,
    entries INTEGER NOT NULL,
    lines BLOB NOT NULL
) STRICT;
CREATE INDEX batch_run ON batch (run, id);
";
