//! A night, read: everything in it is of the right kind and within its range.

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
    /// The name it is asked for by.
    pub name: String,
    /// In a line.
    pub title: String,
    /// What the crew meets, in words of seamanship.
    pub story: String,
    /// What is assumed of it that no source gives.
    pub assumptions: Vec<String>,
    /// From the approach to the end.
    pub length: Duration,
    /// Wind and water.
    pub sea: SeaSettings,
    /// The first high water since the start; without it a tide table tells nothing.
    pub high_water: Option<Duration>,
    /// The boat.
    pub boat: BoatSettings,
    /// Rode that is veered.
    pub rode: Metres,
    /// Somebody touches "let go" when the anchor touches bottom.
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
    /// What is told of it.
    pub say: String,
    /// What it is; `None` is only told.
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
    /// The fix is shifted, for so long.
    FixJumps(Offset, Duration),
    /// The data server goes, or is back.
    Server(bool),
    /// The ways to people's phones go, or are back.
    Phones(bool),
    /// A neighbour drags, at this speed.
    NeighbourDrags(String, Speed),
    /// A neighbour weighs and motors clear.
    NeighbourLeaves(String),
    /// The crew does something.
    Crew(Act),
}

/// How an anchor drags: only while the rode pulls at it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drags {
    /// While it moves.
    pub rate: Speed,
    /// It moves for so long, and rests for so long.
    pub jerks: Option<(Duration, Duration)>,
    /// Then it holds again.
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
    /// About what.
    pub hazard: Hazard,
    /// That it stands, or that it is over.
    pub event: EventKind,
    /// As grave as this, or graver.
    pub priority: Option<Priority>,
    /// Within this time.
    pub between: Window,
    /// The displays show these words for it; an alert that stands may change its words without a new event.
    pub shows: Option<String>,
    /// The anchor may have moved no farther then.
    pub moved: Option<Metres>,
    /// It is known that the watch fails in this, and how.
    pub known: Option<String>,
}

/// What the watch must not say.
#[derive(Clone, Debug, PartialEq)]
pub struct MustNot {
    /// About what.
    pub hazard: Hazard,
    /// Only when as grave as this, or graver.
    pub priority: Option<Priority>,
    /// Within this time.
    pub between: Window,
    /// It is known that the watch fails in this, and how.
    pub known: Option<String>,
}

/// A time, since the start; its end belongs to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Window {
    /// Its begin.
    pub from: Duration,
    /// Its end.
    pub to: Duration,
}
