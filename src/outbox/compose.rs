//! Writes the texts of the messages.

use std::time::Duration;

use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::outbox::reply::{Act, Mint};
use crate::outbox::words::{Message, MessageKind, Missed, Reply, Route, Settings};
use crate::speech::pushes::Push;
use crate::speech::{Sentence, Wording, aloud};
use crate::time::{Now, Timestamp, Zone};
use crate::watch::health::headline;

/// A message with the fields that all messages share.
fn message(
    (boat, say): (&str, &Wording),
    time: Timestamp,
    id: String,
    event: MessageKind,
    (title, message): (Push, Push),
) -> Message {
    let (title, message) = (title.words(say), message.words(say));
    Message {
        id,
        event,
        boat: boat.to_owned(),
        aloud: aloud(&format!("{title}. {message}"), say.language),
        title,
        message,
        time,
        hazard: None,
        priority: None,
        state: None,
        since: None,
        replies: Vec::new(),
    }
}

/// An alert as it stands, under its id; `told` if it was sent before.
pub(super) fn alert(
    settings: &Settings,
    mint: &Mint,
    now: Now,
    route: &Route,
    (id, told): (&str, bool),
    view: &AlertView,
) -> Message {
    let since = view.since;
    let (hazard, alert) = parted(settings, view);
    let (boat, priority) = (settings.boat.clone(), view.priority.word());
    let (event, words) = match view.state {
        AlertState::ActiveUnacknowledged | AlertState::ActiveSilenced => (
            MessageKind::Alert,
            (
                Push::AlertTitle {
                    boat,
                    priority,
                    hazard,
                },
                Push::NotAcknowledged { alert, since },
            ),
        ),
        AlertState::ActiveAcknowledged if view.priority == Priority::Caution => {
            // If it was graver before, this is good news.
            let event = if told {
                MessageKind::Update
            } else {
                MessageKind::Alert
            };
            let title = Push::AlertTitle {
                boat,
                priority,
                hazard,
            };
            (event, (title, Push::Stands { alert, since }))
        }
        AlertState::ActiveAcknowledged => {
            let title = Push::AcknowledgedTitle { boat, hazard };
            (MessageKind::Update, (title, Push::Stands { alert, since }))
        }
        AlertState::RectifiedUnacknowledged | AlertState::Normal => {
            let title = Push::GoneTitle { boat, hazard };
            (MessageKind::Update, (title, Push::Stands { alert, since }))
        }
    };
    let acts: &[Act] = match view.state {
        AlertState::ActiveUnacknowledged if view.priority == Priority::EmergencyAlarm => {
            &[Act::Acknowledge]
        }
        AlertState::ActiveUnacknowledged => &[Act::Acknowledge, Act::Silence],
        AlertState::RectifiedUnacknowledged | AlertState::ActiveSilenced => &[Act::Acknowledge],
        AlertState::ActiveAcknowledged | AlertState::Normal => &[],
    };
    let offered = acts.iter().filter(|_| route.answers);
    Message {
        hazard: Some(view.hazard),
        priority: Some(view.priority),
        state: Some(view.state),
        since: Some(view.since),
        replies: offered
            .map(|act| Reply {
                act: *act,
                body: mint.write(*act, &route.name, id, view.raise),
            })
            .collect(),
        ..message(
            (&settings.boat, &settings.wording),
            now.utc,
            id.to_owned(),
            event,
            words,
        )
    }
}

/// A reported alert is over and was seen, or `ended` with the watch: people ashore would read "over"
/// as "she holds".
pub(super) fn clear(
    settings: &Settings,
    now: Now,
    id: &str,
    (hazard, priority, ended): (Hazard, Priority, bool),
    anchored: bool,
) -> Message {
    let boat = settings.boat.clone();
    let unwatched = hazard == Hazard::Watch && !anchored;
    let grade = priority.word();
    let words = if ended {
        let hazard = hazard.words();
        (Push::WeighedTitle { boat }, Push::Weighed { hazard })
    } else {
        let cleared = if unwatched {
            Push::ClearedUnwatched { priority: grade }
        } else {
            Push::Cleared { priority: grade }
        };
        let title = Push::ClearedTitle {
            boat,
            cleared: hazard.cleared(),
        };
        (title, cleared)
    };
    Message {
        hazard: Some(hazard),
        priority: Some(priority),
        state: Some(AlertState::Normal),
        ..message(
            (&settings.boat, &settings.wording),
            now.utc,
            id.to_owned(),
            MessageKind::Clear,
            words,
        )
    }
}

/// The alerts that could not be sent while they stood.
pub(super) fn summary(settings: &Settings, now: Now, missed: &Missed, anchored: bool) -> Message {
    let boat = settings.boat.clone();
    let count = u64::from(missed.count);
    let hazards = Sentence::several(missed.hazards.iter().map(|hazard| hazard.words()), ", ");
    let moment = |at| day_and_clock(&settings.wording.zone, at, now.utc);
    Message {
        since: Some(missed.since),
        ..message(
            (&settings.boat, &settings.wording),
            now.utc,
            format!(
                "missed-{}-{}",
                settings.instance,
                missed.since.as_millis().max(0)
            ),
            MessageKind::Summary,
            (
                Push::MissedTitle {
                    boat,
                    count,
                    anchored,
                },
                Push::Missed {
                    hazards,
                    since: moment(missed.since),
                    until: moment(missed.until),
                },
            ),
        )
    }
}

/// The dead man's switch message.
pub(super) fn dark(settings: &Settings, now: Now, after: Duration) -> Message {
    Message {
        priority: Some(Priority::Alarm),
        ..message(
            (&settings.boat, &settings.wording),
            now.utc,
            dark_id(settings),
            MessageKind::Dark,
            (
                Push::DarkTitle {
                    boat: settings.boat.clone(),
                },
                Push::Dark { after },
            ),
        )
    }
}

/// A test that an operator asked for. It is as urgent as an alarm, or it would not show that an alarm
/// wakes people.
#[must_use]
pub fn test((boat, say): (&str, &Wording), channel: &str, now: Timestamp) -> Message {
    Message {
        priority: Some(Priority::Alarm),
        ..message(
            (boat, say),
            now,
            format!("test-{}", now.as_millis().max(0)),
            MessageKind::Test,
            (
                Push::TestTitle {
                    boat: boat.to_owned(),
                },
                Push::Test {
                    channel: channel.to_owned(),
                    clock: now.clock(),
                },
            ),
        )
    }
}

fn dark_id(settings: &Settings) -> String {
    format!("dark-{}", settings.instance)
}

/// The subject of the alert, for the title, and the rest of its message.
fn parted(settings: &Settings, view: &AlertView) -> (Sentence, String) {
    let say = &settings.wording;
    let whole = view.message.as_str();
    let (about, rest) = match view.hazard {
        // Weighing the anchor is not a failure of the watch.
        Hazard::Watch => {
            let about = headline(whole, say);
            let rest = whole.split_once(about).map_or("", |(_, rest)| rest);
            (Sentence::verbatim(about), rest)
        }
        hazard => {
            let about = hazard.words();
            let rest = whole.strip_prefix(&about.words(say)).unwrap_or(whole);
            (about, rest)
        }
    };
    let rest = rest.trim_start_matches([' ', ',', ';', ':']);
    let message = if rest.is_empty() { whole } else { rest };
    (about, message.to_owned())
}

/// With the date if it is not today's.
fn day_and_clock(zone: &Zone, moment: Timestamp, now: Timestamp) -> String {
    if zone.day(moment) == zone.day(now) {
        zone.clock(moment)
    } else {
        format!("{} {}", zone.day(moment), zone.clock(moment))
    }
}

#[cfg(test)]
mod tests;
