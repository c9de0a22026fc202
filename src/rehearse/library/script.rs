//! A night as read: every value has the right kind and lies within its range.

use std::time::Duration;

use crate::alert::hazard::{Hazard, Priority};
use crate::geodesy::Offset;
use crate::rehearse::boat::BoatSettings;
use crate::rehearse::fleet::VesselSettings;
use crate::rehearse::sea::SeaSettings;
use crate::rehearse::sensors::{Condition, Instrument};
use crate::units::{Metres, Speed};
use crate::watch::messages::EventKind;

/// A night to rehearse.
#[derive(Clone, Debug, PartialEq)]
pub struct Script {
    /// The name that selects it.
    pub name: String,
    /// A summary in one line.
    pub title: String,
    /// What the crew meets, in sailing terms.
    pub story: String,
    /// What it assumes without a source.
    pub assumptions: Vec<String>,
    /// How long it lasts, from the approach to the end.
    pub length: Duration,
    /// Wind and water.
    pub sea: SeaSettings,
    /// Time of the first high water after the start; without it there is no tide table.
    pub high_water: Option<Duration>,
    /// The boat.
    pub boat: BoatSettings,
    /// Rode that is veered.
    pub rode: Metres,
    /// Whether somebody touches "let go" when the anchor touches bottom.
    pub marked: bool,
    /// Instruments that she does not carry.
    pub without: Vec<Instrument>,
    /// Others at anchor.
    pub neighbours: Vec<VesselSettings>,
    /// What happens, in order of time.
    pub happenings: Vec<Happening>,
    /// What the watch must say.
    pub must: Vec<Must>,
    /// What it must not say.
    pub must_not: Vec<MustNot>,
}

/// Something that happens.
#[derive(Clone, Debug, PartialEq)]
pub struct Happening {
    /// Since the start.
    pub at: Duration,
    /// What is shown of it.
    pub say: String,
    /// What it is; `None` is only shown.
    pub deed: Option<Deed>,
}

/// What can happen.
#[derive(Clone, Debug, PartialEq)]
pub enum Deed {
    /// Our anchor drags.
    AnchorDrags(Drags),
    /// It holds again.
    AnchorHolds,
    /// Instruments change their condition.
    Instruments(Vec<Instrument>, Condition),
    /// The fix is shifted for this long.
    FixJumps(Offset, Duration),
    /// The data server goes, or is back.
    Server(bool),
    /// The phone channels go, or are back.
    Phones(bool),
    /// A neighbour drags, at this speed.
    NeighbourDrags(String, Speed),
    /// A neighbour weighs and motors clear.
    NeighbourLeaves(String),
    /// The crew does something.
    Crew(Act),
}

/// How an anchor drags: only while the rode pulls on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drags {
    /// Its speed while it moves.
    pub rate: Speed,
    /// How long it moves and how long it rests, in turn.
    pub jerks: Option<(Duration, Duration)>,
    /// After this distance it holds again.
    pub stops_after: Option<Metres>,
}

/// What the crew does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// Acknowledges every alert.
    Acknowledges,
    /// Silences every alert.
    Silences,
    /// Marks the anchor where the track says it lies.
    Marks,
    /// Weighs.
    Weighs,
}

/// What the watch must say.
#[derive(Clone, Debug, PartialEq)]
pub struct Must {
    /// The subject.
    pub hazard: Hazard,
    /// Whether it stands or is over.
    pub event: EventKind,
    /// At least this grave.
    pub priority: Option<Priority>,
    /// Within this time.
    pub between: Window,
    /// The displays show these words for it; an alert that stands may change its words without a new event.
    pub shows: Option<String>,
    /// The anchor may have moved this far by then, and no farther.
    pub moved: Option<Metres>,
    /// How the watch is known to fail in this.
    pub known: Option<String>,
}

/// What the watch must not say.
#[derive(Clone, Debug, PartialEq)]
pub struct MustNot {
    /// The subject.
    pub hazard: Hazard,
    /// Only if at least this grave.
    pub priority: Option<Priority>,
    /// Within this time.
    pub between: Window,
    /// How the watch is known to fail in this.
    pub known: Option<String>,
}

/// A period since the start, its end included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// Its begin.
    pub from: Duration,
    /// Its end.
    pub to: Duration,
}
