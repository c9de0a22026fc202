//! Nights to rehearse: what happens in each, and what the watch must say of it.
//!
//! [`drag`] is the first: pull test, front, rising wind, our own anchor breaks out. In [`crowded`] the berth is
//! charted, other boats lie around us, and one of them drags down on us. Each requirement is recorded as a [`Demand`]
//! when it comes up ([`stage`]); a rehearsal passes when all are met. Boats, coves, charts and weather are invented.
//!
//! Another night is a module with its acts and its settings, and a [`Name`].

mod anchoring;
mod bay;
mod cove;
mod crowded;
mod drag;
mod stage;

use std::path::PathBuf;

pub use cove::settings;
pub(in crate::rehearse) use cove::{START_MS, tern};
pub(in crate::rehearse) use drag::ROLLER_HEIGHT;
use serde::Serialize;

use crate::rehearse::world::{World, WorldError, WorldSettings};
use crate::speech::Wording;
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::messages::{DisplayAction, Event, Output};
use stage::Stage;

/// Which night.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Name {
    /// A pull test, a front, a rising wind, and our own anchor drags.
    #[default]
    Drag,
    /// A charted bay with neighbours at anchor, one of whom drags down on us.
    Crowded,
}

impl Name {
    /// All nights.
    pub const ALL: [Self; 2] = [Self::Drag, Self::Crowded];

    /// The name that selects it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Drag => "drag",
            Self::Crowded => "crowded",
        }
    }

    /// A summary in one line.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::Drag => "A pull test, a front, a rising wind, and our own anchor drags",
            Self::Crowded => {
                "A charted bay with neighbours at anchor, one of whom drags down on us"
            }
        }
    }

    /// Place and weather of the night.
    #[must_use]
    pub fn settings(self, seed: u64, journal: PathBuf) -> WorldSettings {
        match self {
            Self::Drag => cove::settings(seed, journal),
            Self::Crowded => bay::settings(seed, journal),
        }
    }
}

/// Receives what happens while it happens.
pub trait Audience {
    /// The crew acts, or the sea does.
    fn story(&mut self, at: Timestamp, words: &str);
    /// Any output of the watch, events included.
    fn output(&mut self, _output: &Output) {}
    /// The watch reports an event.
    fn event(&mut self, event: &Event);
    /// How much of the night has passed, 0..1.
    fn progress(&mut self, done: f64, at: Timestamp);
    /// A screen of `windrode status`.
    fn screen(&mut self, report: &crate::daemon::StatusReport);
    /// A second of the night has passed.
    fn second(&mut self) {}
    /// Whether a crew may answer the alerts; a night then gives them time before it answers itself.
    fn may_answer(&self) -> bool {
        false
    }
    /// What comes next; waits for it. A night that is shown elsewhere waits here for its pace.
    fn turn(&mut self) -> impl Future<Output = Turn> {
        std::future::ready(Turn::Second)
    }
    /// The picture at the same moment, as a phone receives it.
    fn picture(&mut self, _picture: &crate::plot::PictureInput) {}
}

/// Nobody watches.
impl Audience for () {
    fn story(&mut self, _at: Timestamp, _words: &str) {}
    fn event(&mut self, _event: &Event) {}
    fn progress(&mut self, _done: f64, _at: Timestamp) {}
    fn screen(&mut self, _report: &crate::daemon::StatusReport) {}
}

/// What comes next in a night.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// The next second.
    Second,
    /// Somebody acted on an alert at a display that is not the night's own.
    Display(DisplayAction),
}

/// Something that had to happen, or must not have.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Demand {
    /// What.
    pub what: String,
    /// Whether it was met.
    pub met: bool,
    /// Set if the watch is known to fail in this; `what` says how.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub known: bool,
}

/// How the drag was found.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Drag {
    /// When the anchor began to move.
    pub began: Timestamp,
    /// When the alarm came.
    pub alarm: Timestamp,
    /// Seconds between the two.
    pub seconds: f64,
    /// How far the anchor had truly moved by then.
    pub moved: Metres,
    /// How far the boat lay from the mark then.
    pub distance: Metres,
    /// How far she can lie from a holding anchor.
    pub reach: Metres,
}

/// How a neighbour that drags down on us was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Closing {
    /// Her name.
    pub name: String,
    /// When her anchor began to move.
    pub began: Timestamp,
    /// When the watch reported her.
    pub told: Timestamp,
    /// Seconds between the two.
    pub seconds: f64,
    /// How far she truly was from us then, centre to centre.
    pub distance: Metres,
    /// How far she truly was when it became an alarm.
    pub distance_at_alarm: Option<Metres>,
}

/// The result of a rehearsal.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Report {
    /// Which night.
    pub night: String,
    /// Seed of this night.
    pub seed: u64,
    /// How long the night was.
    pub hours: f64,
    /// What the watch reported.
    pub events: Vec<Event>,
    /// The drag, if the alarm came.
    pub drag: Option<Drag>,
    /// The neighbour who dragged down on us, if she was reported.
    pub neighbour: Option<Closing>,
    /// What had to happen.
    pub demands: Vec<Demand>,
}

impl Report {
    /// Did everything happen that must happen, and nothing that must not?
    #[must_use]
    pub fn passed(&self) -> bool {
        !self.demands.is_empty() && self.demands.iter().all(|demand| demand.met)
    }
}

/// Holds a rehearsal.
pub async fn hold(
    name: Name,
    seed: u64,
    journal: PathBuf,
    wording: Wording,
    audience: &mut impl Audience,
) -> Result<Report, WorldError> {
    let start = Timestamp::from_millis(START_MS);
    hold_from(name, seed, journal, wording, start, audience).await
}

/// Holds a rehearsal that begins at this time.
pub async fn hold_from(
    name: Name,
    seed: u64,
    journal: PathBuf,
    wording: Wording,
    start: Timestamp,
    audience: &mut impl Audience,
) -> Result<Report, WorldError> {
    let world = World::start(WorldSettings {
        start,
        wording,
        ..name.settings(seed, journal)
    })
    .await?;
    let (drag, neighbour, told) = match name {
        Name::Drag => {
            let mut stage = Stage::new(world, audience, drag::PLOT);
            let found = stage.drags().await?;
            (found, None, stage.end().await?)
        }
        Name::Crowded => {
            let mut stage = Stage::new(world, audience, crowded::PLOT);
            let found = stage.crowded().await?;
            (None, found, stage.end().await?)
        }
    };
    Ok(Report {
        night: name.word().to_owned(),
        seed,
        hours: told.hours,
        events: told.events,
        drag,
        neighbour,
        demands: told.demands,
    })
}

fn seconds_between(from: Timestamp, to: Timestamp) -> f64 {
    to.millis_since(from) as f64 / 1000.0
}
