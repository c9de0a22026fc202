//! An unusable disk must not end the watch.
//!
//! A full, read-only or damaged journal is still read as far as possible. The watch is kept in memory, and
//! the writer tries the disk again. The boat counts as aweigh only when that is certain: a state that was
//! read says so, or the folder has never held a journal. In every other case there is a
//! [`Recovered::doubt`], reported as an alarm until somebody marks an anchor again or acknowledges it.

use std::path::Path;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use super::{Identities, Journal, JournalError, Reader, Recovered, store};
use crate::outbox::words::SavedOutbox;
use crate::speech::faults::LostWatch;
use crate::time::Now;
use crate::watch::saved::Saved;

/// The journal, or the reason why there is none.
#[derive(Debug)]
pub enum Disk {
    /// The journal is written.
    Open(Box<Journal>),
    /// The journal cannot be written; the watch is kept in memory.
    Closed(JournalError),
}

/// Like [`Journal::open`], but an unusable disk is not an error. Only another daemon that keeps the same
/// journal is one.
pub fn open_or_rescue(
    directory: &Path,
    batch: Duration,
    now: Now,
) -> Result<(Disk, Recovered), JournalError> {
    let used = is_used(directory);
    match Journal::open(directory, batch, now) {
        Ok((journal, recovered)) => Ok((Disk::Open(Box::new(journal)), recovered)),
        Err(why @ JournalError::InUse { .. }) => Err(why),
        Err(why) => {
            let recovered = rescue(directory, used, &why);
            Ok((Disk::Closed(why), recovered))
        }
    }
}

/// Has a journal ever been kept here? A folder that cannot be read may have held one.
pub(super) fn is_used(directory: &Path) -> bool {
    let fresh = directory.is_dir() && !TRACES.iter().any(|name| directory.join(name).exists());
    !fresh
}

/// Does this state end the doubt? It does if an anchor is marked or the alarm is acknowledged.
pub(crate) fn settles_doubt(saved: &Saved) -> bool {
    use crate::alert::hazard::{AlertState, Hazard, Priority};
    saved.phase.is_anchored()
        || saved.alerts.iter().any(|view| {
            // A mere caution for the same hazard counts as acknowledged from the start.
            view.hazard == Hazard::Watch
                && view.priority >= Priority::Alarm
                && view.state == AlertState::ActiveAcknowledged
        })
}

fn rescue(directory: &Path, used: bool, why: &JournalError) -> Recovered {
    let reader = readable(directory);
    let saved = reader
        .as_ref()
        .and_then(|reader| reader.saved_if_any().ok().flatten());
    let sure = match &saved {
        // A mark in a damaged file is kept; a missing mark proves nothing.
        Some(saved) => saved.phase.is_anchored() || !matches!(why, JournalError::Damaged { .. }),
        None => !used,
    };
    let doubt = reader.as_ref().and_then(|reader| reader.doubt().ok()?);
    let doubt = doubt.or_else(|| (!sure).then_some(LostWatch::Unreadable));
    let of_reader = |reader: Reader| {
        let previous = reader.last_run().ok().flatten();
        let outbox = reader.outbox().unwrap_or_default();
        let identities = super::identities(&reader).ok();
        (previous, outbox, identities, super::reply_key(&reader).ok())
    };
    let (previous, outbox, identities, key) =
        reader.map_or((None, SavedOutbox::default(), None, None), of_reader);
    Recovered {
        saved: saved.unwrap_or_default(),
        run: previous.as_ref().map_or(0, |run| run.id + 1),
        previous,
        outbox,
        reply_key: key.unwrap_or_else(|| {
            super::joined(
                store::fresh_id().into_bytes(),
                store::fresh_id().into_bytes(),
            )
        }),
        identities: identities.unwrap_or_else(|| Identities {
            anchor: store::fresh_id(),
            berth: store::fresh_id(),
            region: store::fresh_id(),
            client: store::fresh_id(),
        }),
        doubt,
    }
}

/// Opens the journal for reading only, in one of three ways. On a full disk the index of the write-ahead
/// log cannot be created, so it is kept in memory, which needs exclusive access to the file. On a read-only
/// disk nothing can be locked, so the file is read as it is, provided there is no log that must be read
/// with it.
fn readable(directory: &Path) -> Option<Reader> {
    let usable = |reader: &Reader| reader.saved_if_any().is_ok();
    let beside = || Reader::open(directory).ok();
    beside()
        .filter(usable)
        .or_else(|| alone(directory).filter(usable))
        .or_else(|| as_it_lies(directory).filter(usable))
}

fn alone(directory: &Path) -> Option<Reader> {
    let file = directory.join(store::FILE_NAME);
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(&file, flags).ok()?;
    // An unusable journal is left unchanged, also on closing.
    connection
        .set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)
        .ok()?;
    connection
        .execute_batch("PRAGMA locking_mode = EXCLUSIVE; PRAGMA query_only = ON;")
        .ok()?;
    Some(Reader { connection, file })
}

fn as_it_lies(directory: &Path) -> Option<Reader> {
    let file = directory.join(store::FILE_NAME);
    let log = directory.join(format!("{}-wal", store::FILE_NAME));
    if std::fs::metadata(log).is_ok_and(|log| log.len() > 0) {
        return None;
    }
    let path = file.to_str()?.replace('%', "%25");
    let path = path.replace('?', "%3f").replace('#', "%23");
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_URI
        | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(format!("file:{path}?immutable=1"), flags).ok()?;
    Some(Reader { connection, file })
}

const TRACES: [&str; 3] = ["journal.lock", store::FILE_NAME, "journal.db-wal"];
