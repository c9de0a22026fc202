//! Recordings: what the watch read and what it said, in files that `windrode replay` takes.
//!
//! A recording is a text, packed with gzip (RFC 1952), one JSON value a line. A line is a message of the
//! Signal K stream as it came (hello, delta or PUT), or one of ours, see [`Line`]. Two kinds of recording
//! are made of these:
//!
//! - [`Recorder`] writes while the watch runs. It keeps the messages themselves, so that a fault in reading
//!   them shows in a replay too.
//! - [`bundle`] copies one life of the daemon out of the journal, for a bug report. It keeps what the engine
//!   was handed.
//!
//! Every input has its moment, so a replay judges exactly what was judged. Both begin with the state of the watch, because a recording may begin with the anchor down. Neither holds
//! a token, a password or the address of a phone: these are in no message that is kept.

mod bundle;
mod recorder;
mod shift;

use serde::{Deserialize, Serialize};

pub use bundle::{Bundled, bundle};
pub use recorder::{RECORDING_BYTES, Recorder};

use crate::journal::{Reader, Run};
use crate::time::{Now, Timestamp};
use crate::watch::messages::{Entry, Event};
use crate::watch::saved::Saved;

/// A line of a recording that is no Signal K message.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Line {
    /// Here a recording begins: the first line of each.
    Begin(Box<Begin>),
    /// The messages that follow came at this moment.
    At(Now),
    /// So many lines are missing here.
    Lost(u64),
    /// Something was handed to the engine that no message says: time that passed, an order at the terminal, a
    /// chart's answer, the state of the phones. In a bundle: everything that was handed to it.
    Input(Box<Entry>),
    /// The watch said so then.
    Judged(Box<Event>),
}

/// How a recording begins.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Begin {
    /// The version of windrode that judged then.
    pub version: String,
    /// When.
    pub time: Timestamp,
    /// The state of the watch at the beginning.
    pub state: Saved,
    /// The settings that bear on the judgement, as a configuration file has them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settings: Option<String>,
}

impl Line {
    /// Reads a line of ours; `None` where it is none.
    #[must_use]
    pub fn read(text: &str) -> Option<Result<Self, serde_json::Error>> {
        STARTS
            .iter()
            .any(|start| text.starts_with(start))
            .then(|| serde_json::from_str(text))
    }
}

impl Begin {
    /// A life of the daemon, as the journal has it.
    #[must_use]
    pub fn of(run: &Run, settings: Option<String>) -> Self {
        Self {
            version: run.version.clone(),
            time: run.started,
            state: run.restored.clone(),
            settings,
        }
    }
}

/// What the watch said in a life of the daemon, from `since` on. An event does not say to which life it
/// belongs: its time tells, so around a clock that was set back some are missing or doubled.
pub fn judged<'a>(
    journal: &'a Reader,
    run: &Run,
    since: Timestamp,
) -> impl Iterator<Item = Result<Event, crate::journal::JournalError>> + 'a {
    let until = run.last_seen;
    journal
        .events(since.max(run.started))
        .filter(move |event| event.as_ref().map_or(true, |event| event.time <= until))
}

/// How the lines of [`Line`] begin. The server's messages begin otherwise.
const STARTS: [&str; 5] = [
    r#"{"begin":"#,
    r#"{"at":"#,
    r#"{"lost":"#,
    r#"{"input":"#,
    r#"{"judged":"#,
];
