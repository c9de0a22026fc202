//! What the outbox is told, what it says, and what of it survives a power cut.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::alert::hazard::{AlertState, Hazard, Priority};
use crate::outbox::reply::Act;
use crate::speech::Wording;
use crate::time::Timestamp;
use crate::watch::messages::Phones;

/// How the outbox is to work.
#[derive(Clone, Debug)]
pub struct Settings {
    /// The boat's name, as people know her.
    pub boat: String,
    /// Tells this watch from another that shares a topic: letters, digits and `-`.
    pub instance: String,
    /// The channels, in the order they are shown.
    pub routes: Vec<Route>,
    /// Without any channel that works for so long, the watch is impaired.
    pub lost_after: Duration,
    /// How people are spoken to; quiet hours are calculated in its zone.
    pub wording: Wording,
    /// What replies are signed with; never leaves the boat.
    pub key: [u8; 32],
}

/// One channel: what goes there, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Route {
    /// Its name in the configuration.
    pub name: String,
    /// The least priority that goes there; `None` sends no alert at all (a ping).
    pub least: Option<Priority>,
    /// When warnings and cautions wait.
    pub quiet: Option<Quiet>,
    /// How long an alert must have stood unacknowledged: zero for the first person, minutes
    /// for the second.
    pub after: Duration,
    /// How often an unacknowledged alert is sent again; zero for once.
    pub repeat: Duration,
    /// Can a person answer on it?
    pub answers: bool,
    /// A message that waits on the push server and is pushed forward while all is well: it comes
    /// when nothing was heard from us for so long.
    pub dark_after: Option<Duration>,
    /// How often it is tried without anything to tell, while at anchor.
    pub probe_every: Duration,
}

/// Hours in which only alarms and emergency alarms are sent, as minutes of the local day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Quiet {
    /// First minute.
    pub from: u16,
    /// First minute after.
    pub until: u16,
}

/// What a channel is to carry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Parcel {
    /// To be shown, with sound if it is [`MessageKind::Alert`]; one with the same id is replaced.
    Show(Message),
    /// The alert of this id is over and seen to: to be taken away or told as over.
    Clear(Message),
    /// The dead man's message, to be delivered after so long unless it is pushed forward again.
    Renew {
        /// What would be delivered.
        message: Message,
        /// When.
        after: Duration,
    },
    /// The dead man's message is not to be delivered any more.
    Withdraw(Message),
    /// Nothing to tell: does the way there work?
    Probe,
}

/// A message for people and programs, as `schemas/push.schema.json` has it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Message {
    /// One for each situation: what comes with the same id replaces what came before.
    pub id: String,
    /// What sort.
    pub event: MessageKind,
    /// The boat's name.
    pub boat: String,
    /// One line.
    pub title: String,
    /// The sentence.
    pub message: String,
    /// Title and sentence as they are read aloud.
    pub aloud: String,
    /// When it was written.
    pub time: Timestamp,
    /// The hazard it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hazard: Option<Hazard>,
    /// How grave.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub priority: Option<Priority>,
    /// How far it is dealt with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub state: Option<AlertState>,
    /// Since when the hazard stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since: Option<Timestamp>,
    /// What a person can answer, on a channel that takes answers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replies: Vec<Reply>,
}

/// An answer that is offered with a message.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Reply {
    /// What it does.
    pub act: Act,
    /// The text to send back to do it; good once.
    pub body: String,
}

/// What sort of message.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum MessageKind {
    /// An alert that wants a person: with sound.
    Alert,
    /// An alert that was told before is acknowledged, or over and not acknowledged: no sound.
    Update,
    /// The alert is over and seen to.
    Clear,
    /// What could not be told while it stood, in one message.
    Summary,
    /// Nothing has been heard from the watch.
    Dark,
    /// A test that the operator asked for.
    Test,
}

/// What became of a parcel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// The other side has taken it.
    Sent,
    /// It may work later: not before so long, if the other side said so.
    Later {
        /// What it asked for.
        after: Option<Duration>,
        /// In words, without secrets.
        why: String,
    },
    /// It will not work like this.
    Refused(String),
}

/// What is to be done, in this order.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "an output that is dropped is a person nobody wakes"]
pub enum Output {
    /// Put this on disk before anything that comes after it is sent.
    Persist(Box<SavedOutbox>),
    /// Hand this to the channel and bring its verdict back under the ticket.
    Send {
        /// Which channel.
        channel: String,
        /// Whose verdict it will be.
        ticket: u64,
        /// What.
        parcel: Parcel,
    },
    /// A person acknowledged or silenced by a channel.
    Act {
        /// By which.
        channel: String,
        /// On which hazard.
        hazard: Hazard,
        /// What they did.
        act: Act,
    },
    /// How the ways to people stand has changed.
    Phones(Phones),
    /// For the log.
    Log {
        /// A warning the crew can act on; else for whoever looks closer.
        warn: bool,
        /// What.
        text: String,
    },
}

/// How one channel does.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Health {
    /// Which.
    pub channel: String,
    /// In one word.
    pub state: HealthState,
    /// When it last worked, in this run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worked: Option<Timestamp>,
    /// What is wrong, in words.
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
    /// The last try succeeded.
    Working,
    /// The last try failed and is repeated.
    Failing,
    /// The other side does not want it like this: somebody must look.
    Refused,
}

/// What survives a power cut: for each channel what its people were told.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase", default)]
pub struct SavedOutbox {
    /// Messages that wait or were told and not taken back.
    pub items: Vec<SavedItem>,
    /// What could not be told while it stood.
    pub missed: Vec<(String, Missed)>,
    /// Channels with a dead man's message that waits on the server.
    pub armed: Vec<String>,
    /// Since when each hazard stands unacknowledged.
    pub unseen: Vec<(Hazard, Timestamp)>,
    /// Answers that were taken: they are not taken again.
    pub used: Vec<Used>,
    /// What each channel may still send at once: a watch that starts again and again must not
    /// ring as if it were the first time.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rates: Vec<SavedRate>,
}

/// How much of its rate a channel has used.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedRate {
    /// Which channel.
    pub channel: String,
    /// Thousandths of a message that were left.
    pub level: u64,
    /// When.
    pub at: Timestamp,
}

/// One hazard on one channel.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct SavedItem {
    /// Which channel.
    pub channel: String,
    /// Which hazard.
    pub hazard: Hazard,
    /// The message's id.
    pub id: String,
    /// Since when there is something to tell.
    pub due: Timestamp,
    /// What was told last, if anything was.
    pub told: Option<Told>,
    /// It was told before the anchor was weighed.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub ended: bool,
}

/// What a channel has taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Told {
    /// The alert's raise number.
    pub raise: u64,
    /// How grave it was.
    pub priority: Priority,
    /// How far it was dealt with.
    pub state: AlertState,
    /// When.
    pub at: Timestamp,
}

/// Alerts that came and went while a channel took nothing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Missed {
    /// How many.
    pub count: u32,
    /// About what, each once.
    pub hazards: Vec<Hazard>,
    /// When the first should have been told.
    pub since: Timestamp,
    /// When the last was over.
    pub until: Timestamp,
}

/// An answer that was taken.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Used {
    /// Of the message with this id.
    pub id: String,
    /// At this raise.
    pub raise: u64,
    /// What it did.
    pub act: Act,
    /// By which channel.
    pub channel: String,
}
