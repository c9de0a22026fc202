//! Recordings: what the watch read and reported, in files for `windrode replay`.
//!
//! A recording is text, packed with gzip (RFC 1952), with one JSON value a line. A line is a message of
//! the Signal K stream as received (hello, delta or PUT), or one of ours, see [`Line`]. There are two
//! kinds of recording:
//!
//! - [`Recorder`] writes while the watch runs. It keeps the messages themselves, so that an error in
//!   parsing them shows in a replay too.
//! - [`bundle`] copies the daemon's runs during a stay from the journal, for a bug report. It keeps the engine's
//!   inputs.
//!
//! Every input has its time, so a replay of a bundle judges exactly what was judged. That of a recording also judges the
//! reports of vessels miles away that the watch skipped (`daemon/offing.rs`). Both kinds begin with the state of the watch,
//! because a recording may begin with the anchor down. Neither holds a token, a password or the address of a phone: no
//! message that is kept contains these.

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

/// A line of a recording that is not a Signal K message.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Line {
    /// A recording begins here: the first line of each.
    Begin(Box<Begin>),
    /// The messages that follow arrived at this time.
    At(Now),
    /// This many lines are missing here.
    Lost(u64),
    /// An input of the engine that is not a message: time that passed, an order at the terminal, a chart's
    /// answer, the state of the phones. A bundle has every input in this form.
    Input(Box<Entry>),
    /// What the watch reported then.
    Judged(Box<Event>),
}

/// The beginning of a recording.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Begin {
    /// The version of windrode that judged then.
    pub version: String,
    /// When it begins.
    pub time: Timestamp,
    /// The state of the watch at the beginning.
    pub state: Saved,
    /// The settings that affect the judgement, in the form of a configuration file.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub settings: Option<String>,
}

impl Line {
    /// Reads one of our lines; `None` if it is not one.
    #[must_use]
    pub fn read(text: &str) -> Option<Result<Self, serde_json::Error>> {
        STARTS
            .iter()
            .any(|start| text.starts_with(start))
            .then(|| serde_json::from_str(text))
    }
}

impl Begin {
    /// A life of the daemon from the journal.
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

/// What the watch reported in a life of the daemon, from `since` on. An event does not name its life,
/// so it is chosen by its time: around a clock that was set back some are missing or appear twice.
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

/// How the lines of [`Line`] begin. The server's messages begin differently.
const STARTS: [&str; 5] = [
    r#"{"begin":"#,
    r#"{"at":"#,
    r#"{"lost":"#,
    r#"{"input":"#,
    r#"{"judged":"#,
];
