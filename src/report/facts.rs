//! The contents of a report on one stay. `windrode report --json` writes them in this form: SI, true bearings, WGS
//! 84.

use serde::Serialize;

use super::series::Spread;
use super::track::Spot;
use crate::alert::hazard::{Hazard, Priority};
use crate::boat::BoatFigures;
use crate::chart::clearance::{DangerTold, LeastTold};
use crate::chart::sketch::Sketch;
use crate::geodesy::Position;
use crate::outbox::words::{Fault, HealthState};
use crate::tackle::snubber::Snubber;
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::messages::Event;

/// One stay: from letting go to weighing.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Stay {
    /// Its name on the command line: the minute the anchor was let go.
    pub name: String,
    /// When the anchor was let go; if the journal no longer has that, the start of its record of the stay.
    pub let_go: Timestamp,
    /// Whether `letGo` is the moment of letting go itself.
    pub begin_known: bool,
    /// When it was weighed; `None` if the journal has no weighing.
    pub weighed: Option<Timestamp>,
    /// Approximate position.
    pub place: Option<Position>,
    /// Alarms and emergency alarms that were raised.
    pub alarms: u32,
    /// Whether the drag alarm was among them.
    pub dragged: bool,
}

/// Everything in a report.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Night {
    /// Which stay.
    pub stay: Stay,
    /// The end of the record.
    pub until: Timestamp,
    /// When the report was made.
    pub made: Timestamp,
    /// The cautions, in words.
    pub cautions: Vec<&'static str>,
    /// What the reader must know about the record: what is missing, or was read with other settings.
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
    /// Where she lay around the anchor, by direction from it: 36 sectors, the first centred on north.
    pub swing: Vec<Sector>,
    /// What was raised.
    pub alerts: Vec<Alert>,
    /// Everything the watch reported, oldest first.
    pub events: Vec<Event>,
    /// The times in which nothing was seen or recorded.
    pub blind: Vec<Blind>,
    /// The state of the phone channels, taken together.
    pub phones: Vec<PhonesStood>,
    /// The health of each of them.
    pub channels: Channels,
    /// How many there were of what the lists above hold.
    pub counts: Counts,
    /// What the charts say of the place; `None` without a chart of it.
    pub charted: Option<Charted>,
    /// The charts of the place, only for drawing.
    #[serde(skip)]
    pub charts: Vec<Sketch>,
}

/// The boat as she was watched.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Vessel {
    /// Her name, if it is configured.
    pub name: Option<String>,
    /// Her dimensions, from configuration and server.
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
    /// Total rode aboard.
    pub rode_aboard: Option<Metres>,
}

impl Vessel {
    /// With these dimensions.
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
    /// The tackle in use.
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
    /// The snubber, if one was on at the end.
    pub snubber: Option<Snubber>,
    /// The swinging circle at the end, to her centre.
    pub circle: Option<f64>,
    /// The farthest the bow roller could lie from the anchor, at the end.
    pub reach: Option<f64>,
    /// What the anchor is.
    pub tackle: Vec<(&'static str, String)>,
}

/// Figures over time, in equal buckets from `from` on. `null` is a gap: the value was unknown then.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Figures {
    /// Start of the first bucket.
    pub from: Timestamp,
    /// Width of a bucket, seconds.
    pub every: f64,
    /// Distance from the bow roller to the anchor.
    pub distance: Vec<Option<Spread>>,
    /// The farthest the bow roller could lie from a holding anchor.
    pub reach: Vec<Option<Spread>>,
    /// The greatest distance of the bow roller in that night's conditions, as the drag test learned it.
    pub expected: Vec<Option<Spread>>,
    /// Probability that the anchor had moved.
    pub probability: Vec<Option<Spread>>,
    /// 95 % uncertainty of the fix.
    pub fix_uncertainty: Vec<Option<Spread>>,
    /// Mean wind.
    pub wind: Vec<Option<Spread>>,
    /// Gusts.
    pub gust: Vec<Option<Spread>>,
    /// Direction the wind came from.
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

/// How she lay in one direction from the anchor.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Sector {
    /// Time spent there, seconds.
    pub seconds: f64,
    /// Greatest distance from the anchor to her centre.
    pub farthest: f64,
}

/// One alert, from its start to its end.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Alert {
    /// The hazard.
    pub hazard: Hazard,
    /// When it was raised, and when its priority rose.
    pub raised: Vec<Raised>,
    /// When it was acknowledged.
    pub acknowledged: Vec<Acknowledged>,
    /// When it ended; `None` if it was still active at the end.
    pub cleared: Option<Timestamp>,
}

/// See [`Alert`].
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Raised {
    /// When.
    pub time: Timestamp,
    /// The priority.
    pub priority: Priority,
    /// The sentence.
    pub message: String,
}

/// See [`Alert`].
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Acknowledged {
    /// When.
    pub time: Timestamp,
    /// The way it came, in words; `None` if the inputs of that time are not kept.
    pub by: Option<String>,
}

/// A period in which nothing was seen.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Blind {
    /// Its start.
    pub from: Timestamp,
    /// Its end.
    pub until: Timestamp,
    /// The reason.
    pub why: Why,
}

/// Why nothing was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Why {
    /// There was no usable fix.
    NoFix,
    /// windrode was not running.
    NotRunning,
    /// The journal has nothing from that time, though windrode ran.
    NoRecord,
    /// The journal's record of that time was removed for space or age.
    Removed,
}

/// What the charts say of the place where she lay. Depths are below chart datum, without the tide of that night;
/// bearings are true, from the anchor.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Charted {
    /// The charts, in words.
    pub chart: Option<String>,
    /// The charted depth that she needs: draught and margin.
    pub needed: Metres,
    /// The draught that this rests on, if it was assumed: neither the configuration nor the server had one.
    pub assumed_draught: Option<Metres>,
    /// The circle that is judged: as far from the anchor as she lay.
    pub radius: Metres,
    /// The least depth in the circle.
    pub least: Option<LeastTold>,
    /// The danger nearest to the anchor, in the circle or near it.
    pub nearest_danger: Option<DangerTold>,
    /// Share of the circle that is too shoal for her: 0 to 1.
    pub share_too_shoal: f64,
    /// Share of the circle without a charted depth: 0 to 1.
    pub share_unknown: f64,
}

/// How many there were of each. If that is more than the list has, the list has the latest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Counts {
    /// Of `alerts`.
    pub alerts: u64,
    /// Of `events`.
    pub events: u64,
    /// Of `blind`.
    pub blind: u64,
    /// Of `phones`.
    pub phones: u64,
}

/// The health of each channel to the phones.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Channels {
    /// How much of the stay is recorded.
    pub recorded: Recorded,
    /// The channels, by name.
    pub list: Vec<Channel>,
}

/// How much of the health of the channels was recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Recorded {
    /// All, while windrode ran.
    Whole,
    /// A part: a windrode from before this record ran too, or the rest was removed.
    Partly,
    /// Nothing.
    Not,
}

/// One channel during the stay.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Channel {
    /// Its name in the configuration.
    pub name: String,
    /// Time in which the last attempt had succeeded, seconds.
    pub working: f64,
    /// Time in which the last attempt had failed, or the other side refused messages, seconds.
    pub failing: f64,
    /// Messages that the other side accepted.
    pub delivered: u64,
    /// Attempts that failed, checks of the channel included.
    pub failed: u64,
    /// The last attempt that succeeded, to about ten minutes.
    pub last_success: Option<Timestamp>,
    /// Messages that waited at the end.
    pub waiting: usize,
    /// Its states, oldest first; the latest, if there are very many.
    pub spells: Vec<ChannelSpell>,
    /// How many there were.
    pub spell_count: u64,
}

/// A time in which a channel was in one state.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct ChannelSpell {
    /// Its start.
    pub from: Timestamp,
    /// Its end, or the end of the record.
    pub until: Timestamp,
    /// The state.
    pub state: HealthState,
    /// The kind of the last failure.
    pub fault: Option<Fault>,
    /// Messages that the other side accepted.
    pub delivered: u64,
    /// Attempts that failed.
    pub failed: u64,
}

/// The state of the phone channels from a moment on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct PhonesStood {
    /// Start of this state.
    pub time: Timestamp,
    /// The state.
    pub state: PhoneState,
    /// The channels; empty if they were not reported.
    pub channels: String,
}

/// See [`PhonesStood`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum PhoneState {
    /// None is configured.
    None,
    /// At least one worked.
    Working,
    /// None had worked recently.
    Doubtful,
    /// None worked.
    Lost,
}

impl Anchored {
    /// Where the anchor most likely lay, otherwise where it was marked.
    #[must_use]
    pub fn place(&self) -> Option<Position> {
        self.estimate.or(self.mark)
    }
}

impl Night {
    /// Where the anchor most likely lay, otherwise where it was marked, otherwise about where she was.
    #[must_use]
    pub fn place(&self) -> Option<Position> {
        self.anchor.place().or(self.stay.place)
    }

    /// The greatest distance from the anchor that she reached, or may have reached, metres.
    #[must_use]
    pub fn farthest(&self) -> f64 {
        let circle = self.anchor.circle.unwrap_or(0.0);
        self.lain().map_or(circle, |lain| lain.max(circle))
    }

    /// The greatest distance from the anchor to her centre, metres; `None` if no distance is recorded.
    #[must_use]
    pub fn lain(&self) -> Option<f64> {
        let far = self.track.iter().flatten().filter_map(|spot| spot.distance);
        let swung = self.swing.iter().filter(|sector| sector.seconds > 0.0);
        far.chain(swung.map(|sector| sector.farthest))
            .reduce(f64::max)
    }
}
