//! The outbox's inputs and outputs, and what survives a power cut.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::alert::hazard::{AlertState, Hazard, Priority};
use crate::outbox::reply::Act;
use crate::speech::Wording;
use crate::time::Timestamp;
use crate::watch::messages::Phones;

/// The settings of the outbox.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The boat's name, as people use it.
    pub boat: String,
    /// Distinguishes this watch from another that shares a topic: letters, digits and `-`.
    pub instance: String,
    /// The channels, in the order they are shown.
    pub routes: Vec<Route>,
    /// If no channel works for this long, the watch is impaired.
    pub lost_after: Duration,
    /// The crew's language; quiet hours are calculated in its time zone.
    pub wording: Wording,
    /// The key that signs answers; never leaves the boat.
    pub key: [u8; 32],
}

/// One channel: what is sent there, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Its name in the configuration.
    pub name: String,
    /// The lowest priority that is sent there; `None` sends no alert at all (a ping).
    pub least: Option<Priority>,
    /// The hours in which warnings and cautions wait.
    pub quiet: Option<Quiet>,
    /// How long an alert must have stood unacknowledged before it is sent: zero for the first
    /// person, minutes for the second.
    pub after: Duration,
    /// How often an unacknowledged alert is sent again; zero for once.
    pub repeat: Duration,
    /// Whether a person can answer on it.
    pub answers: bool,
    /// The dead man's switch: a message that waits on the push server and is postponed while all is
    /// well. It is delivered when nothing was heard from us for this long.
    pub dark_after: Option<Duration>,
    /// How often the channel is tried at anchor when there is nothing to send.
    pub probe_every: Duration,
}

/// Hours in which only alarms and emergency alarms are sent, as minutes of the local day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Quiet {
    /// First minute.
    pub from: u16,
    /// The first minute after them.
    pub until: u16,
}

/// What a channel has to carry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Parcel {
    /// A message to show, with sound if it is [`MessageKind::Alert`]; it replaces a message with
    /// the same id.
    Show(Message),
    /// The alert with this id is over and was seen: remove it or show it as over.
    Clear(Message),
    /// The dead man's switch message, to be delivered after this time unless it is postponed again.
    Renew {
        /// The message to deliver.
        message: Message,
        /// The moment of delivery.
        after: Duration,
    },
    /// The dead man's switch message must not be delivered any more.
    Withdraw(Message),
    /// Nothing to send: checks whether the channel works.
    Probe,
}

/// A message for people and programs, as `schemas/push.schema.json` has it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Message {
    /// One id for each situation: a message replaces an earlier one with the same id.
    pub id: String,
    /// The kind of message.
    pub event: MessageKind,
    /// The boat's name.
    pub boat: String,
    /// The title, one line.
    pub title: String,
    /// The text, a sentence.
    pub message: String,
    /// Title and sentence as they are read aloud.
    pub aloud: String,
    /// When it was written.
    pub time: Timestamp,
    /// The hazard it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hazard: Option<Hazard>,
    /// The priority.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub priority: Option<Priority>,
    /// The state of the alert.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state: Option<AlertState>,
    /// Since when the hazard has stood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since: Option<Timestamp>,
    /// The answers a person can give, on a channel that takes answers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replies: Vec<Reply>,
}

/// An answer that is offered with a message.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Reply {
    /// The act it triggers.
    pub act: Act,
    /// The text to send back; valid once.
    pub body: String,
}

/// The kind of message.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum MessageKind {
    /// An alert that needs a person: with sound.
    Alert,
    /// An alert that was sent before is acknowledged, or over and not acknowledged: no sound.
    Update,
    /// The alert is over and was seen.
    Clear,
    /// Alerts that could not be sent while they stood, in one message.
    Summary,
    /// Nothing has been heard from the watch.
    Dark,
    /// A test that the operator asked for.
    Test,
}

/// The verdict on a parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The other side has accepted it.
    Sent,
    /// It may work later, but not before this time if the other side gave one.
    Later {
        /// The wait that the other side asked for.
        after: Option<Duration>,
        /// In words, without secrets.
        why: String,
    },
    /// It will not work without a change.
    Refused(String),
}

/// What the shell has to do, in this order.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "an output that is dropped is a person nobody wakes"]
pub enum Output {
    /// Write this to disk before anything after it is sent.
    Persist(Box<SavedOutbox>),
    /// Pass this to the channel and return its verdict under the ticket.
    Send {
        /// The channel.
        channel: String,
        /// Identifies the parcel for its verdict.
        ticket: u64,
        /// The parcel.
        parcel: Parcel,
    },
    /// A person acknowledged or silenced an alert through a channel.
    Act {
        /// The channel.
        channel: String,
        /// The hazard.
        hazard: Hazard,
        /// The act.
        act: Act,
    },
    /// The health of the channels has changed.
    Phones(Phones),
    /// A channel's present spell of health began, or its figures changed: for the record.
    Spell(Spell),
    /// For the log.
    Log {
        /// Whether it is a warning that the crew can act on, or only a detail.
        warn: bool,
        /// The text.
        text: String,
    },
}

/// The health of one channel.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Health {
    /// The channel.
    pub channel: String,
    /// The health in one word.
    pub state: HealthState,
    /// When it last worked, in this run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worked: Option<Timestamp>,
    /// The fault, in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trouble: Option<String>,
    /// Messages that wait.
    pub waiting: usize,
}

/// See [`Health`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum HealthState {
    /// Not tried yet in this run.
    Untried,
    /// The last attempt succeeded.
    Working,
    /// The last attempt failed and is repeated.
    Failing,
    /// The other side refuses it: somebody must look.
    Refused,
}

impl HealthState {
    /// Whether the channel is known not to work.
    #[must_use]
    pub const fn is_failure(self) -> bool {
        matches!(self, Self::Failing | Self::Refused)
    }
}

/// A time in which one channel was in one state. It has no address, topic, token or text of the other side.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Spell {
    /// The channel's name in the configuration.
    pub channel: String,
    /// Counts the spells of the channel in this run of the daemon, from 0.
    pub number: u64,
    /// When it began. It ends where the next one begins, or with the run.
    pub since: Timestamp,
    /// The state.
    pub state: HealthState,
    /// The kind of the last failure, while the state is a failure.
    pub fault: Option<Fault>,
    /// Whether she lay at anchor.
    pub anchored: bool,
    /// The last attempt that succeeded, in this run; up to ten minutes behind while nothing else changes.
    pub worked: Option<Timestamp>,
    /// Messages that the other side accepted in this spell.
    pub delivered: u64,
    /// Attempts that failed in this spell, checks of the channel included.
    pub failed: u64,
    /// Messages that waited at the end of the spell.
    pub waiting: usize,
}

/// The kind of a failure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Fault {
    /// The other side refused it: it will not work without a change.
    Refused,
    /// The other side asked to be left alone for a time.
    AskedToWait,
    /// No connection, no answer, or an answer that is a fault of the other side.
    NotTaken,
}

/// What survives a power cut: for each channel, what its people were sent.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", default)]
pub struct SavedOutbox {
    /// Messages that wait, or were sent and not taken back.
    pub items: Vec<SavedItem>,
    /// Alerts that could not be sent while they stood.
    pub missed: Vec<(String, Missed)>,
    /// Channels with a dead man's switch message that waits on the server.
    pub armed: Vec<String>,
    /// Since when each hazard has stood unacknowledged.
    pub unseen: Vec<(Hazard, Timestamp)>,
    /// Answers that were used: they are not used again.
    pub used: Vec<Used>,
    /// What each channel may still send at once: a watch that restarts again and again must not
    /// send each time as much as after its first start.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rates: Vec<SavedRate>,
}

/// How much of its rate a channel has used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedRate {
    /// The channel.
    pub channel: String,
    /// Thousandths of a message that were left.
    pub level: u64,
    /// The moment of that level.
    pub at: Timestamp,
}

/// One hazard on one channel.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedItem {
    /// The channel.
    pub channel: String,
    /// The hazard.
    pub hazard: Hazard,
    /// The message's id.
    pub id: String,
    /// Since when there is something to send.
    pub due: Timestamp,
    /// What was sent last, if anything was.
    pub told: Option<Told>,
    /// It was sent before the anchor was weighed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub ended: bool,
}

/// What a channel has accepted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Told {
    /// The alert's raise number.
    pub raise: u64,
    /// The priority that was sent.
    pub priority: Priority,
    /// The state that was sent.
    pub state: AlertState,
    /// The time it was accepted.
    pub at: Timestamp,
}

/// Alerts that came and went while a channel took nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Missed {
    /// The number of alerts.
    pub count: u32,
    /// Their hazards, each once.
    pub hazards: Vec<Hazard>,
    /// When the first should have been sent.
    pub since: Timestamp,
    /// When the last was over.
    pub until: Timestamp,
}

/// An answer that was used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Used {
    /// The id of its message.
    pub id: String,
    /// The raise it belongs to.
    pub raise: u64,
    /// The act.
    pub act: Act,
    /// The channel it came through.
    pub channel: String,
}
