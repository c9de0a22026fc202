//! What the messages say.

use std::time::Duration;

use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::alert::wording::aloud;
use crate::outbox::reply::{Act, Mint};
use crate::outbox::words::{Message, MessageKind, Missed, Reply, Route, Settings};
use crate::time::{Now, Timestamp, Zone};
use crate::units::spoken;

/// A message with what all have in common.
fn message(
    boat: &str,
    time: Timestamp,
    id: String,
    event: MessageKind,
    (title, message): (String, String),
) -> Message {
    Message {
        id,
        event,
        boat: boat.to_owned(),
        aloud: aloud(&format!("{title}. {message}")),
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

/// An alert as it stands, under its id; whether it was `told` before.
pub(super) fn alert(
    settings: &Settings,
    mint: &Mint,
    now: Now,
    route: &Route,
    (id, told): (&str, bool),
    view: &AlertView,
) -> Message {
    let since = format!("since {}", settings.zone.clock(view.since));
    let (event, said) = match view.state {
        AlertState::ActiveUnacknowledged | AlertState::ActiveSilenced => (
            MessageKind::Alert,
            format!("{} ({since}, not acknowledged)", view.message),
        ),
        AlertState::ActiveAcknowledged if view.priority == Priority::Caution => {
            // One that was graver before is good news.
            let event = if told {
                MessageKind::Update
            } else {
                MessageKind::Alert
            };
            (event, format!("{} ({since})", view.message))
        }
        AlertState::ActiveAcknowledged => (
            MessageKind::Update,
            format!("acknowledged: {} ({since})", view.message),
        ),
        AlertState::RectifiedUnacknowledged | AlertState::Normal => (
            MessageKind::Update,
            format!("cleared, not acknowledged: {} ({since})", view.message),
        ),
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
            &settings.boat,
            now.utc,
            id.to_owned(),
            event,
            (title(settings, view.priority, view.hazard), said),
        )
    }
}

/// An alert that was told is over and seen to, or `ended` with the watch: ashore "over" would read as
/// "she holds".
pub(super) fn clear(
    settings: &Settings,
    now: Now,
    id: &str,
    (hazard, priority, ended): (Hazard, Priority, bool),
) -> Message {
    let (boat, what) = (&settings.boat, hazard.words());
    let words = if ended {
        (
            format!("{boat}: the anchor was weighed"),
            format!("the anchor was weighed and the watch has ended; {what}: no longer watched"),
        )
    } else {
        (
            format!("{boat}: {}", hazard.cleared()),
            format!("{what}: cleared"),
        )
    };
    Message {
        hazard: Some(hazard),
        priority: Some(priority),
        state: Some(AlertState::Normal),
        ..message(
            &settings.boat,
            now.utc,
            id.to_owned(),
            MessageKind::Clear,
            words,
        )
    }
}

/// What could not be told while it stood.
pub(super) fn summary(settings: &Settings, now: Now, missed: &Missed, anchored: bool) -> Message {
    let then = if anchored {
        "cleared"
    } else {
        "and no anchor is watched now"
    };
    let alerts = if missed.count == 1 { "alert" } else { "alerts" };
    let hazards: Vec<&str> = missed.hazards.iter().map(|h| h.words()).collect();
    let count = missed.count;
    Message {
        since: Some(missed.since),
        ..message(
            &settings.boat,
            now.utc,
            format!(
                "missed-{}-{}",
                settings.instance,
                missed.since.as_millis().max(0)
            ),
            MessageKind::Summary,
            (
                format!("{}: {count} {alerts} while offline, {then}", settings.boat),
                format!(
                    "{count} {alerts} while offline, {then}: {}; from {} to {}",
                    hazards.join(", "),
                    day_and_clock(&settings.zone, missed.since, now.utc),
                    day_and_clock(&settings.zone, missed.until, now.utc),
                ),
            ),
        )
    }
}

/// The dead man's message.
pub(super) fn dark(settings: &Settings, now: Now, after: Duration) -> Message {
    Message {
        priority: Some(Priority::Alarm),
        ..message(
            &settings.boat,
            now.utc,
            dark_id(settings),
            MessageKind::Dark,
            (
                format!("{}: no word from the anchor watch", settings.boat),
                format!(
                    "no word from the anchor watch for {}: the boat's link ashore or the watch itself is down; call someone near the boat",
                    spoken(after)
                ),
            ),
        )
    }
}

/// A test that an operator asked for: as urgent as an alarm, or it would not show that an alarm
/// wakes anybody.
#[must_use]
pub fn test(boat: &str, channel: &str, now: Timestamp) -> Message {
    Message {
        priority: Some(Priority::Alarm),
        ..message(
            boat,
            now,
            format!("test-{}", now.as_millis().max(0)),
            MessageKind::Test,
            (
                format!("{boat}: a test, no alert"),
                format!(
                    "this is a test of `{channel}`, as urgent as an alarm, sent at {} UTC by `windrode check`; nothing is wrong",
                    now.clock()
                ),
            ),
        )
    }
}

fn dark_id(settings: &Settings) -> String {
    format!("dark-{}", settings.instance)
}

fn title(settings: &Settings, priority: Priority, hazard: Hazard) -> String {
    format!("{}: {}, {}", settings.boat, priority.word(), hazard.words())
}

/// The date too, when it is not today's.
fn day_and_clock(zone: &Zone, moment: Timestamp, now: Timestamp) -> String {
    if zone.day(moment) == zone.day(now) {
        zone.clock(moment)
    } else {
        format!("{} {}", zone.day(moment), zone.clock(moment))
    }
}

#[cfg(test)]
mod tests;
