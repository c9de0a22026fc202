//! Records while the watch runs, if the operator enables it.

use tracing::warn;

use super::Daemon;
use crate::config::Config;
use crate::io::clock::Clock;
use crate::recording::{Begin, Line, Recorder};
use crate::signalk::reader::Reader;
use crate::time::Now;
use crate::watch::charted::ChartNews;
use crate::watch::messages::{By, Entry, Event, Input};

/// The recorder, if `journal.record` is on. If its thread cannot start, the watch begins without it.
pub(super) fn recorder(config: &Config, clock: &Clock) -> Option<Recorder> {
    if !config.journal.record {
        return None;
    }
    let folder = config.journal.directory.join(FOLDER);
    let reader = Reader::new(None).with_paths(config.own_paths());
    Recorder::start(folder, reader, clock.is_virtual())
        .inspect_err(|error| warn!("nothing is recorded: no thread for it: {error}"))
        .ok()
}

impl Daemon {
    /// Records a message from the server.
    pub(super) fn record_message(&mut self, now: Now, text: &str) {
        self.record(now, |recorder| recorder.message(now, text));
    }

    /// Records an input of the engine. Inputs that come from the messages are read from them in a replay.
    pub(super) fn record_input(&mut self, entry: &Entry) {
        let is_told = match &entry.input {
            Input::Report(_) => false,
            Input::Command { by, .. } => *by != By::Server,
            Input::Began { .. }
            | Input::Link(_)
            | Input::Display(_)
            | Input::Impaired(_)
            | Input::MayBeLost(_)
            | Input::Stopping
            | Input::TokenEnds(_)
            | Input::FoundServer { .. }
            | Input::Phones(_)
            | Input::Chart(_)
            | Input::Timeout => true,
        };
        if !is_told {
            return;
        }
        self.record(entry.now, |recorder| {
            recorder.line(entry.now.tick, Line::Input(Box::new(entry.clone())));
        });
        self.surroundings.note(&entry.input);
    }

    /// Records an output of the watch.
    pub(super) fn record_event(&mut self, now: Now, event: &Event) {
        self.record(now, |recorder| {
            recorder.line(now.tick, Line::Judged(Box::new(event.clone())));
        });
    }

    fn record(&mut self, now: Now, what: impl FnOnce(&mut Recorder)) {
        let Some(recorder) = &mut self.recorder else {
            return;
        };
        if recorder.wants_part() {
            recorder.begin(Begin {
                version: env!("CARGO_PKG_VERSION").to_owned(),
                time: now.utc,
                state: self.keeper.saved(),
                settings: Some(self.config.judging(false)),
            });
            for input in self.surroundings.inputs(now) {
                let entry = Entry { now, input };
                recorder.line(now.tick, Line::Input(Box::new(entry)));
            }
        }
        what(recorder);
    }
}

/// What the engine was given about its surroundings and does not keep in its state: each part of a
/// recording begins with it.
#[derive(Debug, Default)]
pub(super) struct Surroundings {
    link: Option<Input>,
    phones: Option<Input>,
    token: Option<Input>,
    found_server: Option<Input>,
    charts: Option<Input>,
    soundings: Option<Input>,
}

impl Surroundings {
    fn note(&mut self, input: &Input) {
        let kept = match input {
            Input::Link(_) => &mut self.link,
            Input::Phones(_) => &mut self.phones,
            Input::TokenEnds(_) => &mut self.token,
            Input::FoundServer { .. } => &mut self.found_server,
            Input::Chart(ChartNews::Kept(_)) => &mut self.charts,
            Input::Chart(ChartNews::Sounded(_) | ChartNews::Forgotten(_)) => &mut self.soundings,
            _ => return,
        };
        *kept = Some(input.clone());
    }

    fn inputs(&self, now: Now) -> impl Iterator<Item = Input> + use<> {
        let began = Input::Began {
            last_seen: Some(now.utc),
        };
        let Self {
            link,
            phones,
            token,
            found_server,
            charts,
            soundings,
        } = self;
        [
            Some(began),
            link.clone(),
            phones.clone(),
            token.clone(),
            found_server.clone(),
            charts.clone(),
            soundings.clone(),
        ]
        .into_iter()
        .flatten()
    }
}

/// The recordings' folder, beside the journal.
const FOLDER: &str = "recordings";
