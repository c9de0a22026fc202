//! What a report tells of one stay: `windrode report --json` writes it as it stands here, SI, true bearings, WGS 84.

use serde::Serialize;

use super::series::Spread;
use super::track::Spot;
use crate::alert::hazard::{Hazard, Priority};
use crate::boat::BoatFigures;
use crate::chart::sketch::Sketch;
use crate::geodesy::Position;
use crate::tackle::snubber::Snubber;
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::messages::Event;

/// One stay: from letting go to weighing.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Stay {
    /// What to call it on the command line: the minute the anchor was let go.
    pub name: String,
    /// When the anchor was let go; where the journal has that no longer, the first it knows of the stay.
    pub let_go: Timestamp,
    /// `letGo` is the moment of letting go itself.
    pub begin_known: bool,
    /// When it was weighed; `None` while she lies there.
    pub weighed: Option<Timestamp>,
    /// About where.
    pub place: Option<Position>,
    /// Alarms and emergency alarms that were raised.
    pub alarms: u32,
    /// The alarm that she drags was among them.
    pub dragged: bool,
}

/// Everything a report tells.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Night {
    /// Which stay.
    pub stay: Stay,
    /// Up to when the record goes.
    pub until: Timestamp,
    /// When the report was made.
    pub made: Timestamp,
    /// The cautions, in words.
    pub cautions: Vec<&'static str>,
    /// What the reader has to know of the record: what is missing or was read with other settings.
    pub remarks: Vec<String>,
    /// The boat.
    pub boat: Vessel,
    /// How she was anchored.
    pub anchor: Anchored,
    /// The figures over time.
    pub figures: Figures,
    /// Her track, in pieces between which she was not seen.
    pub track: Vec<Vec<Spot>>,
    /// Seconds between two points of it.
    pub track_every: f64,
    /// Where she lay about the anchor, by direction from it: 36 sectors, the first about north.
    pub swing: Vec<Sector>,
    /// What was raised.
    pub alerts: Vec<Alert>,
    /// Everything the watch told, the oldest first.
    pub events: Vec<Event>,
    /// When nothing was seen or recorded.
    pub blind: Vec<Blind>,
    /// How the ways to people's phones stood.
    pub phones: Vec<PhonesStood>,
    /// What the charts have about the place; for drawing alone.
    #[serde(skip)]
    pub charts: Vec<Sketch>,
}

/// The boat as she was watched.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Vessel {
    /// Her name, where it is configured.
    pub name: Option<String>,
    /// Her figures, by configuration and server.
    #[serde(skip)]
    pub figures: BoatFigures,
    /// Length over all.
    pub length: Option<Metres>,
    /// Greatest beam.
    pub beam: Option<Metres>,
    /// Greatest draught.
    pub draught: Option<Metres>,
    /// Height of the bow roller above the water.
    pub roller_height: Option<Metres>,
    /// Antenna aft of the stem.
    pub antenna_from_bow: Option<Metres>,
    /// All the rode aboard.
    pub rode_aboard: Option<Metres>,
}

impl Vessel {
    /// With these figures.
    pub(super) const fn of(name: Option<String>, figures: BoatFigures) -> Self {
        Self {
            name,
            figures,
            length: figures.length,
            beam: figures.beam,
            draught: figures.draught,
            roller_height: figures.roller_height,
            antenna_from_bow: figures.antenna_from_bow,
            rode_aboard: figures.rode_aboard,
        }
    }
}

/// How she was anchored.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Anchored {
    /// What she lay to.
    pub kind: Option<MooringKind>,
    /// Where the crew marked the anchor.
    pub mark: Option<Position>,
    /// Where it most likely lay at the end.
    pub estimate: Option<Position>,
    /// 95 % uncertainty of that.
    pub uncertainty: Option<f64>,
    /// Depth of water there when it was let go.
    pub depth: Option<f64>,
    /// Rode out at the end.
    pub rode: Option<f64>,
    /// A snubber that was on at the end.
    pub snubber: Option<Snubber>,
    /// The swinging circle at the end, to her centre.
    pub circle: Option<f64>,
    /// The farthest the bow roller could lie from the anchor, at the end.
    pub reach: Option<f64>,
    /// What the anchor is.
    pub tackle: Vec<(&'static str, String)>,
}

/// Figures over time, in buckets of one width from `from` on. `null` is a gap: not known then.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Figures {
    /// Where the first bucket begins.
    pub from: Timestamp,
    /// Seconds of a bucket.
    pub every: f64,
    /// From the bow roller to the anchor.
    pub distance: Vec<Option<Spread>>,
    /// The farthest the bow roller could lie from a holding anchor.
    pub reach: Vec<Option<Spread>>,
    /// How far the bow roller lay at most, as that night went: learned by the drag test.
    pub expected: Vec<Option<Spread>>,
    /// Probability that the anchor had moved.
    pub probability: Vec<Option<Spread>>,
    /// 95 % uncertainty of the fix.
    pub fix_uncertainty: Vec<Option<Spread>>,
    /// Mean wind.
    pub wind: Vec<Option<Spread>>,
    /// Gusts.
    pub gust: Vec<Option<Spread>>,
    /// Where the wind came from.
    pub wind_from: Vec<Option<f64>>,
    /// Depth of water as sounded.
    pub depth: Vec<Option<Spread>>,
    /// Depth at the anchor when it was let go, with the rise and fall of the tide since.
    pub tide_depth: Vec<Option<Spread>>,
    /// Rode out.
    pub rode: Vec<Option<Spread>>,
    /// Rode / (depth + height of the bow roller).
    pub scope: Vec<Option<Spread>>,
}

/// Where she lay, in one direction from the anchor.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Sector {
    /// For how many seconds.
    pub seconds: f64,
    /// How far at most, from the anchor to her centre.
    pub farthest: f64,
}

/// One alert from when it was raised to when it had gone.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Alert {
    /// Which.
    pub hazard: Hazard,
    /// When it was raised, and when it was made graver.
    pub raised: Vec<Raised>,
    /// When it was acknowledged.
    pub acknowledged: Vec<Acknowledged>,
    /// When it had gone; `None` where it still stood at the end.
    pub cleared: Option<Timestamp>,
}

/// See [`Alert`].
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Raised {
    /// When.
    pub time: Timestamp,
    /// How grave.
    pub priority: Priority,
    /// In words.
    pub message: String,
}

/// See [`Alert`].
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Acknowledged {
    /// When.
    pub time: Timestamp,
    /// By which way it came, in words; `None` where the inputs of that time are not kept.
    pub by: Option<String>,
}

/// A time in which nothing was seen.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Blind {
    /// Since when.
    pub from: Timestamp,
    /// Until when.
    pub until: Timestamp,
    /// Why.
    pub why: Why,
}

/// Why nothing was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Why {
    /// There was no usable fix.
    NoFix,
    /// windrode did not run.
    NotRunning,
    /// The journal has nothing of that time, though windrode ran.
    NoRecord,
    /// The journal's record of that time was removed to make room, or by age.
    Removed,
}

/// How the ways to people's phones stood from a moment on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PhonesStood {
    /// From when on.
    pub time: Timestamp,
    /// How.
    pub state: PhoneState,
    /// Which channels; empty where that is not told.
    pub channels: String,
}

/// See [`PhonesStood`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum PhoneState {
    /// None is configured.
    None,
    /// One at least worked.
    Working,
    /// None had worked lately.
    Doubtful,
    /// None worked.
    Lost,
}

impl Night {
    /// Where the anchor most likely lay, else where it was marked, else about where she was.
    #[must_use]
    pub fn place(&self) -> Option<Position> {
        self.anchor
            .estimate
            .or(self.anchor.mark)
            .or(self.stay.place)
    }

    /// How far from the anchor she was at most, or may have been, metres.
    #[must_use]
    pub fn farthest(&self) -> f64 {
        let far = self.track.iter().flatten().filter_map(|spot| spot.distance);
        far.fold(self.anchor.circle.unwrap_or(0.0), f64::max)
    }
}
