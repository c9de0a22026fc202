//! What goes into the watch and what comes out of it. All of it can be written to the journal;
//! the same inputs at the same moments give the same outputs.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize};

use crate::alert::hazard::{AlertView, Hazard, Priority};
use crate::chart::own::OwnSounding;
use crate::geodesy::Position;
use crate::observation::Report;
use crate::speech::faults::{JournalFault, LinkFault, LostWatch};
use crate::time::{Now, Timestamp};
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::berth::BerthOrder;
use crate::watch::charted::{ChartNews, ChartQuestion};
use crate::watch::saved::Saved;
use crate::watch::state::WatchState;

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
        /// What to do.
        command: Command,
        /// By which way it came.
        #[serde(default)]
        by: By,
    },
    /// The link to the data server changed.
    Link(LinkState),
    /// A display acted on one of our notifications through the server.
    Display(DisplayAction),
    /// The journal cannot be written (`Some`), or can again (`None`).
    Impaired(#[serde(deserialize_with = "kept_fault")] Option<JournalFault>),
    /// A watch may have been lost with its journal (`Some`), or somebody has settled it.
    MayBeLost(#[serde(deserialize_with = "kept_loss")] Option<LostWatch>),
    /// windrode is being stopped.
    Stopping,
    /// How the ways to people's phones stand has changed.
    Phones(Phones),
    /// What the charts say, or that there are some.
    Chart(ChartNews),
    /// Time passed.
    Timeout,
}

fn kept_fault<'de, D: Deserializer<'de>>(kept: D) -> Result<Option<JournalFault>, D::Error> {
    #[derive(Deserialize)]
    struct Kept(#[serde(deserialize_with = "JournalFault::kept")] JournalFault);
    Ok(Option::<Kept>::deserialize(kept)?.map(|Kept(fault)| fault))
}

fn kept_loss<'de, D: Deserializer<'de>>(kept: D) -> Result<Option<LostWatch>, D::Error> {
    #[derive(Deserialize)]
    struct Kept(#[serde(deserialize_with = "LostWatch::kept")] LostWatch);
    Ok(Option::<Kept>::deserialize(kept)?.map(|Kept(loss)| loss))
}

/// By which way an order came. Who gave it is not known better than that.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum By {
    /// The boat's own command line.
    #[default]
    Terminal,
    /// A client of the data server.
    Server,
    /// An answer from a phone.
    Phone,
    /// A display that knows no data server.
    Display,
}

impl fmt::Display for By {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Terminal => "at the terminal",
            Self::Server => "over the data server",
            Self::Phone => "from a phone",
            Self::Display => "from a display",
        })
    }
}

/// What the crew can command.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Command {
    /// The anchor touches bottom now, or at a given place.
    LetGo(LetGo),
    /// This much rode is out, measured from the roller.
    RodeOut(Metres),
    /// The anchor is weighed: the watch ends.
    Weigh,
    /// Somebody knows and deals with it: one hazard, or all.
    Acknowledge(Option<Hazard>),
    /// Hold the sound for a short time: one hazard, or all.
    Silence(Option<Hazard>),
    /// The planned position of the anchor, or none.
    Berth(Option<BerthOrder>),
    /// The engine pulls at the anchor from now on (`true`), or does no longer.
    PullTest(bool),
    /// A snubber or bridle is on, or none is any more.
    Snubber(Option<SnubberOrder>),
    /// Correct the mark.
    CorrectMark(Position),
    /// Override the radius of the swinging circle, measured to the boat's centre; `None` goes
    /// back to the one calculated from the rode.
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
    pub kind: MooringKind,
    /// The circle she may swing in, to her centre, where there is no rode to calculate it from.
    #[serde(default)]
    pub radius: Option<Metres>,
    /// The anchor has lain for long: mark it where the track says it is.
    #[serde(default)]
    pub from_track: bool,
    /// She was anchored again: give up the mark there is, and what was judged about it.
    #[serde(default)]
    pub reanchored: bool,
}

/// Where a snubber or bridle is hooked on; what is not given is the rode that is out, and the snubber's length by the
/// configuration.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SnubberOrder {
    /// Rode from the anchor to the hook.
    pub at: Option<Metres>,
    /// From the bow roller to the hook.
    pub length: Option<Metres>,
}

/// How things stand with the data server.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum LinkState {
    /// Not connected; why.
    Down(#[serde(deserialize_with = "LinkFault::kept")] LinkFault),
    /// Connected, subscribed, and what we send comes back.
    Up,
    /// Connected, but something is wrong; what.
    Impaired(#[serde(deserialize_with = "LinkFault::kept")] LinkFault),
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
    Publish(Box<WatchState>),
    /// The answer to a command.
    Reply {
        /// The id of the command.
        id: u64,
        /// Done, or why not.
        outcome: Outcome,
    },
    /// Ask the charts; the answer comes as [`Input::Chart`]. Asked only after [`ChartNews::Kept`] or [`ChartNews::Sounded`].
    AskChart(ChartQuestion),
    /// Keep these soundings; nobody waits for that, and what is lost is lost.
    KeepSoundings(Vec<OwnSounding>),
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

impl Event {
    /// The alarm that the anchor drags. A caution under the same hazard is its first stage and no alarm.
    #[must_use]
    pub fn is_drag_alarm(&self) -> bool {
        self.event == EventKind::Raised
            && self.hazard == Some(Hazard::Dragging)
            && self.priority >= Some(Priority::Alarm)
    }
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

/// An input with its moment, as the journal keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// When it was handed to the engine.
    pub now: Now,
    /// What was handed.
    pub input: Input,
}
