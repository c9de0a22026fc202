//! The inputs and outputs of the watch. All of them can be written to the journal; the same inputs at the same
//! moments give the same outputs.

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

/// Something that happened; the moment is given beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Input {
    /// The watch begins, or continues after a restart: always the first input.
    Began {
        /// When the watch was last known to be running.
        last_seen: Option<Timestamp>,
    },
    /// Sensors reported.
    Report(Report),
    /// The crew sends a command and expects a reply with this id.
    Command {
        /// The id for the reply; the caller chooses it.
        id: u64,
        /// What to do.
        command: Command,
        /// The route by which it came.
        #[serde(default)]
        by: By,
    },
    /// The link to the data server changed.
    Link(LinkState),
    /// A display acted on one of our notifications through the server.
    Display(DisplayAction),
    /// The journal cannot be written (`Some`), or can again (`None`).
    Impaired(#[serde(deserialize_with = "kept_fault")] Option<JournalFault>),
    /// A watch may have been lost with its journal (`Some`), or somebody has settled that question (`None`).
    MayBeLost(#[serde(deserialize_with = "kept_loss")] Option<LostWatch>),
    /// windrode is being stopped.
    Stopping,
    /// When the token for the data server expires, if it does.
    TokenEnds(Option<Timestamp>),
    /// A server was joined that was found on the network, and none was known before.
    FoundServer {
        /// The vessel's name, or the server's.
        name: String,
        /// Its address.
        url: String,
    },
    /// The state of the channels to people's phones has changed.
    Phones(Phones),
    /// An answer from the charts, or news of which charts there are.
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

/// The route by which an order came. Nothing more is known about the sender.
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
    /// A display that is not a client of the data server.
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
    /// The anchor has been weighed: the watch ends.
    Weigh,
    /// Somebody has seen the alert and deals with it: one hazard, or all.
    Acknowledge(Option<Hazard>),
    /// Silence the sound for a short time: one hazard, or all.
    Silence(Option<Hazard>),
    /// The planned position of the anchor, or none.
    Berth(Option<BerthOrder>),
    /// The engine starts to pull at the anchor (`true`), or stops (`false`).
    PullTest(bool),
    /// A snubber or bridle is put on, or taken off.
    Snubber(Option<SnubberOrder>),
    /// Correct the mark.
    CorrectMark(Position),
    /// Override the radius of the swinging circle, measured to the boat's centre; `None` returns to the radius
    /// calculated from the rode.
    MaxRadius(Option<Metres>),
}

/// The details of letting go; the sensors supply what is not given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LetGo {
    /// Total rode to be veered.
    pub rode: Option<Metres>,
    /// Where the anchor lies, if not under the bow roller now.
    pub position: Option<Position>,
    /// Depth of water at the anchor, if not the depth sounded now.
    pub depth: Option<Metres>,
    /// What she will lie to.
    #[serde(default)]
    pub kind: MooringKind,
    /// The circle that she may swing in, to her centre, if there is no rode to calculate it from.
    #[serde(default)]
    pub radius: Option<Metres>,
    /// The anchor has been down for a long time: mark it where the track shows it to be.
    #[serde(default)]
    pub from_track: bool,
    /// She was anchored again: discard the present mark and what was judged about it.
    #[serde(default)]
    pub reanchored: bool,
}

/// Where a snubber or bridle is hooked on. Defaults: the rode that is out, and the configured length of the
/// snubber.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SnubberOrder {
    /// Rode from the anchor to the hook.
    pub at: Option<Metres>,
    /// From the bow roller to the hook.
    pub length: Option<Metres>,
}

/// The state of the link to the data server.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum LinkState {
    /// Not connected, and why.
    Down(#[serde(deserialize_with = "LinkFault::kept")] LinkFault),
    /// Connected and subscribed, and what we send comes back.
    Up,
    /// Connected, but something is wrong, and what.
    Impaired(#[serde(deserialize_with = "LinkFault::kept")] LinkFault),
}

/// The state of all channels to people's phones, taken together.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Phones {
    /// None is configured.
    #[default]
    None,
    /// At least one works.
    Working,
    /// None has worked lately, but not for long enough to raise an alarm; their names.
    Doubtful(String),
    /// None works; their names.
    Lost(String),
}

/// What a display did with one of our notifications.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DisplayAction {
    /// The hazard of the notification.
    pub hazard: Hazard,
    /// The action.
    pub act: DisplayAct,
}

/// See [`DisplayAction`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum DisplayAct {
    /// Acknowledged it.
    Acknowledged,
    /// Silenced it.
    Silenced,
    /// Set it to normal although the condition persists; this must be corrected.
    Cleared,
}

/// What the caller must do, in this order.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[must_use = "an output that is dropped is an alarm nobody hears"]
pub enum Output {
    /// Put this on disk before anything that comes after it is announced.
    Persist(Box<Saved>),
    /// Something to report, log and keep.
    Event(Event),
    /// An alert changed, or must be shown again.
    Alert(AlertView),
    /// The state to publish.
    Publish(Box<WatchState>),
    /// The answer to a command.
    Reply {
        /// The id of the command.
        id: u64,
        /// Done, or why not.
        outcome: Outcome,
    },
    /// Ask the charts; the answer comes as [`Input::Chart`]. Sent only after [`ChartNews::Kept`] or
    /// [`ChartNews::Sounded`].
    AskChart(ChartQuestion),
    /// Keep these soundings. Nothing waits for this, and a loss does no harm.
    KeepSoundings(Vec<OwnSounding>),
}

/// The answer to a command, a sentence in either case. A refused command has changed nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Outcome {
    /// Done, in words.
    Done(String),
    /// Refused, and why.
    Refused(String),
}

/// One entry of the log, as `schemas/event.schema.json` defines it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// When.
    pub time: Timestamp,
    /// The kind of event.
    pub event: EventKind,
    /// The hazard, for events about one.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub hazard: Option<Hazard>,
    /// The priority, for events about a hazard.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub priority: Option<Priority>,
    /// The message for people.
    pub message: String,
    /// The numbers behind it, in SI units.
    #[serde(skip_serializing_if = "serde_json::Map::is_empty", default)]
    pub evidence: serde_json::Map<String, serde_json::Value>,
}

impl Event {
    /// The alarm that the anchor is dragging. A caution under the same hazard is the first stage, not an alarm.
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
    /// Somebody acknowledged the alert.
    Acknowledged,
    /// A note.
    Note,
}

/// An input with its moment, as the journal keeps it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// When it was handed to the engine.
    pub now: Now,
    /// The input.
    pub input: Input,
}
