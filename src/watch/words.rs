//! What goes into the watch and what comes out of it. All of it can be written to the journal;
//! the same inputs at the same moments give the same outputs.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::alert::hazard::{AlertView, Hazard, Priority};
use crate::geodesy::Position;
use crate::observation::Report;
use crate::time::{Now, Timestamp};
use crate::units::{Angle, Bearing, Metres, Speed};
use crate::watch::drag::Found;
use crate::watch::manner::{Kind, Manner};
use crate::watch::pull::PullReading;

/// Where the anchor is in its life.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Phase {
    /// Clear of the bottom: there is nothing to watch.
    #[default]
    Aweigh,
    /// Let go and being dug in.
    Setting,
    /// Taken to hold.
    Set,
    /// Moving over the bottom.
    Dragging,
}

impl Phase {
    /// The name as it stands in paths and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Aweigh => "aweigh",
            Self::Setting => "setting",
            Self::Set => "set",
            Self::Dragging => "dragging",
        }
    }

    /// Is the anchor down?
    #[must_use]
    pub const fn is_anchored(self) -> bool {
        !matches!(self, Self::Aweigh)
    }
}

impl fmt::Display for Phase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Something that happened, at a moment that is given with it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Input {
    /// The watch begins, or goes on after a restart: always the first input.
    Began {
        /// When the watch was last known to be running.
        last_seen: Option<Timestamp>,
    },
    /// Sensors reported.
    Report(Report),
    /// The crew commands something and awaits a reply under this id.
    Command {
        /// To whom the reply belongs; the shell's own number.
        id: u64,
        /// What is wanted.
        command: Command,
    },
    /// The link to the data server changed.
    Link(LinkState),
    /// A display acted on one of our notifications through the server.
    Display(DisplayAction),
    /// windrode itself is impaired (`Some`, in words) or whole again (`None`).
    Impaired(Option<String>),
    /// How the ways to people's phones stand has changed.
    Phones(Phones),
    /// Time passed.
    Timeout,
}

/// What the crew can command.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Command {
    /// The anchor touches bottom now, or at a given place.
    LetGo(LetGo),
    /// This much rode is out, measured from the roller.
    RodeOut(Metres),
    /// The anchor comes home: the watch ends.
    Weigh,
    /// Somebody knows and deals with it: one hazard, or all.
    Acknowledge(Option<Hazard>),
    /// Hold the sound for a short time: one hazard, or all.
    Silence(Option<Hazard>),
    /// The planned position of the anchor, or none.
    Berth(Option<Position>),
    /// The engine pulls at the anchor from now on (`true`), or does no longer.
    PullTest(bool),
    /// Correct the mark.
    CorrectMark(Position),
    /// Override the radius of the swinging circle, measured to the boat's centre; `None` goes
    /// back to the one reckoned from the rode.
    MaxRadius(Option<Metres>),
}

/// The particulars of letting go; what is not given is taken from the sensors.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LetGo {
    /// Rode to be veered in all.
    pub rode: Option<Metres>,
    /// Where the anchor lies, if not under the bow roller now.
    pub position: Option<Position>,
    /// Depth of water at the anchor, if not as sounded now.
    pub depth: Option<Metres>,
    /// What she is to lie to.
    #[serde(default)]
    pub kind: Kind,
    /// The circle she may swing in, to her centre, where there is no rode to reckon it from.
    #[serde(default)]
    pub radius: Option<Metres>,
    /// The anchor has lain for long: mark it where the track says it is.
    #[serde(default)]
    pub from_track: bool,
}

/// How things stand with the data server.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum LinkState {
    /// Not connected; why, in words.
    Down(String),
    /// Connected, subscribed, and what we send comes back.
    Up,
    /// Connected, but something is wrong; what, in words.
    Impaired(String),
}

/// How the ways to people's phones stand, taken together.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Phones {
    /// None is configured.
    #[default]
    None,
    /// One at least works.
    Working,
    /// None has worked lately, but not for long enough to alarm; their names.
    Doubtful(String),
    /// None works; their names.
    Lost(String),
}

/// What a display did with one of our notifications.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DisplayAction {
    /// On which.
    pub hazard: Hazard,
    /// What it did.
    pub act: DisplayAct,
}

/// See [`DisplayAction`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum DisplayAct {
    /// Acknowledged it.
    Acknowledged,
    /// Silenced it.
    Silenced,
    /// Set it to normal though it is not: to be corrected.
    Cleared,
}

/// What the shell is to do, in this order.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[must_use = "an output that is dropped is an alarm nobody hears"]
pub enum Output {
    /// Put this on disk before anything that comes after it is announced.
    Persist(Box<Saved>),
    /// Something to be told, logged and kept.
    Event(Event),
    /// An alert changed, or must be shown again.
    Alert(AlertView),
    /// The state to be published.
    Publish(Box<Picture>),
    /// The answer to a command.
    Reply {
        /// The id of the command.
        id: u64,
        /// Done, or why not.
        outcome: Outcome,
    },
}

/// The answer to a command: a sentence either way. A refusal has changed nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Outcome {
    /// Done, in words.
    Done(String),
    /// Refused, and why.
    Refused(String),
}

/// One line of the story, as `schemas/event.schema.json` has it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// When.
    pub time: Timestamp,
    /// What sort.
    pub event: EventKind,
    /// Which hazard, for those about one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hazard: Option<Hazard>,
    /// How grave, for those about a hazard.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub priority: Option<Priority>,
    /// For people.
    pub message: String,
    /// The numbers behind it, SI.
    #[serde(skip_serializing_if = "serde_json::Map::is_empty", default)]
    pub evidence: serde_json::Map<String, serde_json::Value>,
}

/// See [`Event`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum EventKind {
    /// The phase changed.
    Phase,
    /// An alert was raised or made graver.
    Raised,
    /// The condition has gone.
    Cleared,
    /// Somebody acknowledged it.
    Acknowledged,
    /// Worth knowing.
    Note,
}

/// The state as it is published and shown; SI, true bearings, WGS 84. `None` is "not known".
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Picture {
    /// Where the anchor is in its life.
    pub phase: Phase,
    /// Since when.
    pub phase_since: Option<Timestamp>,
    /// Where the anchor is taken to lie.
    pub anchor: Option<Position>,
    /// Depth of water at the anchor when it was let go.
    pub depth_at_anchor: Option<Metres>,
    /// Radius of the swinging circle, to the boat's centre.
    pub max_radius: Option<Metres>,
    /// From the anchor to the boat's centre.
    pub current_radius: Option<Metres>,
    /// From the bow roller to the anchor, true.
    pub anchor_bearing: Option<Bearing>,
    /// From the bow roller to the anchor.
    pub anchor_distance: Option<Metres>,
    /// Rode veered.
    pub rode_out: Option<Metres>,
    /// The farthest the bow roller can lie from a holding anchor.
    pub reach: Option<Metres>,
    /// Rode / (depth now + roller height).
    pub scope: Option<f64>,
    /// The same at the coming high water.
    pub scope_at_high_water: Option<f64>,
    /// How sure it is that the anchor drags, 0..1.
    pub drag_probability: Option<f64>,
    /// How far the anchor is thought to have moved.
    pub anchor_moved: Option<Metres>,
    /// 95 % uncertainty of the bow roller's position.
    pub fix_uncertainty: Option<Metres>,
    /// How the pull test stands, or the last one about this mark ended.
    pub pull_test: Option<PullReading>,
    /// Change of the wind since set, positive veering.
    pub wind_shift: Option<Angle>,
    /// Mean wind now: where from.
    pub wind_direction: Option<Bearing>,
    /// Mean wind now.
    pub wind_speed: Option<Speed>,
    /// The strongest gust within the window of the mean.
    pub wind_gust: Option<Speed>,
    /// Depth of water now.
    pub water_depth: Option<Metres>,
    /// Under the keel at low water; needs the tide.
    pub under_keel_at_low_water: Option<Metres>,
    /// Course that heads into the wind.
    pub head_to_wind_course: Option<Bearing>,
    /// The planned position of the anchor.
    pub berth: Option<Position>,
    /// From the bow roller to the berth.
    pub berth_bearing: Option<Bearing>,
    /// From the bow roller to the berth.
    pub berth_distance: Option<Metres>,
    /// Until there at the present speed over the ground, seconds.
    pub berth_time: Option<f64>,
    /// Where the fix comes from.
    pub position_source: Option<String>,
    /// The bow roller, as far as it is known.
    pub roller: Option<Position>,
    /// The boat's centre, as far as it is known.
    pub centre: Option<Position>,
    /// What is not judged, and why, in words; what the crew should know.
    pub remarks: Vec<String>,
}

/// What must survive a power cut: small, written whole at each change that matters.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Saved {
    /// Where the anchor is in its life.
    pub phase: Phase,
    /// Since when, by the clock of that day.
    pub phase_since: Option<Timestamp>,
    /// The mark, while the anchor is down.
    pub mark: Option<Mark>,
    /// What else is known of how she lies.
    #[serde(default)]
    pub manner: Manner,
    /// The planned position of the anchor.
    pub berth: Option<Position>,
    /// Alerts that are not normal, as they stood.
    pub alerts: Vec<AlertView>,
    /// How bad each was when somebody acknowledged it: who did wants to hear of worse.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub measures: Vec<(Hazard, f64)>,
    /// The last raise number given out.
    pub raises: u64,
    /// Least sounding minus tide since the anchor was let go.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_sounded: Option<Metres>,
}

impl Saved {
    /// Does it differ in more than the wording of a standing alert and a hand's breadth of water? Words
    /// change every ten seconds of a drag, soundings all the time; a memory card need not be written for
    /// that.
    #[must_use]
    pub fn differs(&self, other: &Self) -> bool {
        // Every member by name: one that is forgotten here does not compile.
        let Self {
            phase,
            phase_since,
            mark,
            manner,
            berth,
            alerts,
            measures,
            raises,
            least_sounded,
        } = self;
        let key = |view: &AlertView| (view.hazard, view.priority, view.state, view.raise);
        let sounded_alike = match (least_sounded, other.least_sounded) {
            (Some(least), Some(before)) => (*least - before).get().abs() < SOUNDED_ALIKE,
            (least, before) => least.is_none() && before.is_none(),
        };
        *phase != other.phase
            || *phase_since != other.phase_since
            || *mark != other.mark
            || *manner != other.manner
            || *berth != other.berth
            || *measures != other.measures
            || *raises != other.raises
            || !alerts.iter().map(key).eq(other.alerts.iter().map(key))
            || !sounded_alike
    }
}

/// What is known of the anchor since it was let go.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Mark {
    /// Where it lies.
    pub position: Position,
    /// How well that was known when it was marked, one standard deviation.
    pub doubt: Metres,
    /// How far it may be off besides, because heading or antenna were not known then.
    #[serde(default)]
    pub lever: Metres,
    /// When it was let go.
    pub let_go: Timestamp,
    /// Depth of water there and then.
    pub depth: Option<Metres>,
    /// Rode veered, as far as the crew said.
    pub rode: Option<Metres>,
    /// The crew's own radius, to the boat's centre.
    pub max_radius: Option<Metres>,
    /// Where the wind came from when it was set.
    pub wind: Option<Bearing>,
    /// What the watch has found out since about where it lies.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<Found>,
}

/// An input with its moment, as the journal keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// When it was handed to the engine.
    pub now: Now,
    /// What was handed.
    pub input: Input,
}

/// Metres of water that are not worth a write.
const SOUNDED_ALIKE: f64 = 0.1;
