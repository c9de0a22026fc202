//! What can go wrong with the journal, and what to do about it. Nothing here is repaired by starting over:
//! an empty journal after a restart would mean an anchor that nobody watches.

use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::ErrorCode;

use crate::speech::faults::JournalFault;

/// Why the journal could not be opened, written or read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum JournalError {
    /// The directory does not exist or is not ours.
    #[error("the state directory `{directory}` cannot be used: {reason}; make it with `sudo install -d -o windrode -g windrode -m 0750 {directory}` or set `journal.directory`", directory = directory.display())]
    Directory {
        /// The directory.
        directory: PathBuf,
        /// The system's message.
        reason: String,
    },
    /// The directory cannot be written, by any user.
    #[error("the state directory `{directory}` is on a read-only file system, as a failing card is left; look at `dmesg`, then make it writable (`sudo mount -o remount,rw`), change the card, or set `journal.directory`", directory = directory.display())]
    ReadOnly {
        /// The directory.
        directory: PathBuf,
    },
    /// Another daemon is writing to it.
    #[error("another windrode keeps the journal `{file}`; stop it first (`sudo systemctl stop windrode`), or give this one its own `journal.directory`", file = file.display())]
    InUse {
        /// The journal.
        file: PathBuf,
    },
    /// There is no journal to read.
    #[error("there is no journal `{file}`; has `windrode run` been started with this `journal.directory`?", file = file.display())]
    Missing {
        /// Where it was expected.
        file: PathBuf,
    },
    /// The file is not ours.
    #[error("`{file}` is no journal of windrode ({found}); move it away or set another `journal.directory`", file = file.display())]
    NotAJournal {
        /// The file.
        file: PathBuf,
        /// What it is instead.
        found: String,
    },
    /// The file is damaged.
    #[error("the journal `{file}` is damaged: {what}; nothing was changed. Put a sound copy in its place; or move `{file}` and the files beside it that begin with its name away, start again, and let go again with the anchor's position", file = file.display())]
    Damaged {
        /// The file.
        file: PathBuf,
        /// How the damage shows.
        what: String,
    },
    /// A later version of windrode wrote it.
    #[error("the journal `{file}` is of version {found}, this windrode knows version {known}; install the later windrode again, or move the file away", file = file.display())]
    Newer {
        /// The file.
        file: PathBuf,
        /// The file's version.
        found: i64,
        /// Our version.
        known: i64,
    },
    /// The disk is full.
    #[error("no room is left for the journal `{file}`; free some on that disk (`df {file}`)", file = file.display())]
    Full {
        /// The file.
        file: PathBuf,
    },
    /// The disk fails, or we may not write to it.
    #[error("the journal `{file}` failed {doing}: {reason}; check the disk and the rights on its directory", file = file.display())]
    Failed {
        /// The file.
        file: PathBuf,
        /// The operation that failed.
        doing: &'static str,
        /// The system's message.
        reason: String,
    },
    /// The disk takes too long. The pending data is still held and will be written.
    #[error("the journal's disk did not answer within {} s", limit.as_secs_f64())]
    Slow {
        /// How long we waited.
        limit: Duration,
    },
    /// The journal has been closed.
    #[error("the journal is closed")]
    Closed,
}

impl JournalError {
    /// The trouble as reported to the crew.
    #[must_use]
    pub const fn fault(&self) -> JournalFault {
        match self {
            Self::Full { .. } => JournalFault::DiskFull,
            Self::ReadOnly { .. } => JournalFault::ReadOnly,
            Self::Damaged { .. } | Self::NotAJournal { .. } => JournalFault::Damaged,
            Self::Slow { .. } => JournalFault::DiskSlow,
            Self::Directory { .. } => JournalFault::Unusable,
            Self::InUse { .. } => JournalFault::InUse,
            Self::Newer { .. } => JournalFault::Newer,
            Self::Missing { .. } | Self::Failed { .. } | Self::Closed => JournalFault::NotWritten,
        }
    }

    /// Classifies the system's error about the state directory.
    pub(super) fn directory(directory: &Path, error: &io::Error) -> Self {
        let directory = directory.to_owned();
        if error.kind() == io::ErrorKind::ReadOnlyFilesystem {
            return Self::ReadOnly { directory };
        }
        Self::Directory {
            directory,
            reason: error.to_string(),
        }
    }

    /// Classifies an error of `SQLite`.
    pub(super) fn sqlite(file: &Path, doing: &'static str, error: &rusqlite::Error) -> Self {
        let file = file.to_owned();
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full { file },
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged {
                file,
                what: error.to_string(),
            },
            _ => Self::Failed {
                file,
                doing,
                reason: error.to_string(),
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_windrode_and_a_newer_journal_are_not_faults_of_the_folder() {
        let file = PathBuf::from("journal.db");
        let in_use = JournalError::InUse { file: file.clone() };
        assert_eq!(in_use.fault(), JournalFault::InUse);
        let newer = JournalError::Newer {
            file,
            found: 9,
            known: 4,
        };
        assert_eq!(newer.fault(), JournalFault::Newer);
    }
}
