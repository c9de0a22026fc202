//! Checks that the watch reported what it must about a night, and nothing that it must not.
//!
//! Besides the demands of its file, every night has one more: while the anchor has moved by less than [`HELD`]
//! since it was dug in, the watch reports neither a drag nor that she is outside her circle.

use std::fmt::Write as _;
use std::time::Duration;

use super::script::{Must, MustNot, Script, Window};
use crate::alert::hazard::{Hazard, Priority};
use crate::rehearse::night::Demand;
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::messages::{Event, EventKind};

/// What the watch reported, and how far the anchor had truly moved by then.
#[derive(Clone, Debug)]
pub struct Told {
    /// The report.
    pub event: Event,
    /// How far the anchor had moved.
    pub moved: Metres,
}

/// Each demand, and whether it was met.
#[must_use]
pub fn judge(
    script: &Script,
    start: Timestamp,
    told: &[Told],
    shown: &[(Timestamp, Hazard, String)],
) -> Vec<Demand> {
    let must = script.must.iter().map(|must| match &must.shows {
        Some(words) => displayed(must, words, start, shown),
        None => happened(must, start, told),
    });
    let not = script.must_not.iter().map(|not| absent(not, start, told));
    let mut demands: Vec<Demand> = must.chain(not).collect();
    let known = script
        .must_not
        .iter()
        .any(|not| not.known.is_some() && not.hazard == Hazard::Dragging);
    demands.push(no_false_drag(known, start, told));
    demands
}

fn happened(must: &Must, start: Timestamp, told: &[Told]) -> Demand {
    let fits = |told: &&Told| {
        told.event.event == must.event
            && told.event.hazard == Some(must.hazard)
            && must
                .priority
                .is_none_or(|least| told.event.priority >= Some(least))
    };
    let mut what = format!(
        "`{}` is {} {}",
        must.hazard,
        if must.event == EventKind::Cleared {
            "over".to_owned()
        } else {
            reported(must.priority)
        },
        words(must.between),
    );
    if let Some(most) = must.moved {
        _ = write!(what, ", before the anchor has moved {most}");
    }
    let all: Vec<&Told> = told.iter().filter(fits).collect();
    let found = all.iter().find(|it| {
        inside(must.between, start, it.event.time) && must.moved.is_none_or(|most| it.moved <= most)
    });
    match (found, all.first()) {
        (Some(it), _) => {
            _ = write!(what, "; that was after {}", since(start, it.event.time));
            if must.moved.is_some() {
                _ = write!(what, ", when the anchor had moved {:.1}", it.moved);
            }
        }
        (None, Some(it)) => {
            _ = write!(
                what,
                "; that was first after {}, when the anchor had moved {:.1}",
                since(start, it.event.time),
                it.moved
            );
        }
        (None, None) => what += "; that never happened",
    }
    Demand {
        what: with_known(what, must.known.as_deref()),
        met: found.is_some(),
        known: must.known.is_some(),
    }
}

fn displayed(
    must: &Must,
    words_shown: &str,
    start: Timestamp,
    shown: &[(Timestamp, Hazard, String)],
) -> Demand {
    let found = shown.iter().find(|(at, hazard, message)| {
        *hazard == must.hazard && message.contains(words_shown) && inside(must.between, start, *at)
    });
    let mut what = format!(
        "displays show \"{words_shown}\" for `{}` {}",
        must.hazard,
        words(must.between)
    );
    what += &found.map_or("; they never did".to_owned(), |(at, ..)| {
        format!("; they did after {}", since(start, *at))
    });
    Demand {
        what: with_known(what, must.known.as_deref()),
        met: found.is_some(),
        known: must.known.is_some(),
    }
}

fn absent(not: &MustNot, start: Timestamp, told: &[Told]) -> Demand {
    let broken = told.iter().find(|told| {
        told.event.event == EventKind::Raised
            && told.event.hazard == Some(not.hazard)
            && not
                .priority
                .is_none_or(|least| told.event.priority >= Some(least))
            && inside(not.between, start, told.event.time)
    });
    let mut what = format!(
        "`{}` is not {} {}",
        not.hazard,
        reported(not.priority),
        words(not.between)
    );
    if let Some(told) = broken {
        _ = write!(what, "; it was, after {}", since(start, told.event.time));
    }
    Demand {
        what: with_known(what, not.known.as_deref()),
        met: broken.is_none(),
        known: not.known.is_some(),
    }
}

/// `reported`, or `reported as an alarm` where it must be at least that grave.
fn reported(least: Option<Priority>) -> String {
    least.map_or_else(
        || "reported".to_owned(),
        |least| format!("reported as {}", with_article(least)),
    )
}

fn no_false_drag(known: bool, start: Timestamp, told: &[Told]) -> Demand {
    let broken = told.iter().find(|told| {
        let outside = told.event.event == EventKind::Raised
            && told.event.hazard == Some(Hazard::SwingExceeded);
        (told.event.is_drag_alarm() || outside) && told.moved < HELD
    });
    let mut what =
        "no drag and no boat outside her circle is reported while the anchor holds".to_owned();
    if let Some(told) = broken {
        _ = write!(what, "; one was, after {}", since(start, told.event.time));
    }
    Demand {
        what,
        met: broken.is_none(),
        known,
    }
}

fn with_known(what: String, known: Option<&str>) -> String {
    match known {
        Some(known) => what + " (known: " + known + ")",
        None => what,
    }
}

fn with_article(priority: Priority) -> String {
    match priority {
        Priority::Caution | Priority::Warning => format!("a {}", priority.name()),
        Priority::Alarm | Priority::EmergencyAlarm => format!("an {}", priority.name()),
    }
}

fn inside(window: Window, start: Timestamp, at: Timestamp) -> bool {
    let millis = at.millis_since(start);
    u64::try_from(millis).is_ok_and(|millis| {
        let since = Duration::from_millis(millis);
        since >= window.from && since <= window.to
    })
}

fn words(window: Window) -> String {
    format!("between {} and {}", clock(window.from), clock(window.to))
}

fn since(start: Timestamp, at: Timestamp) -> String {
    let millis = at.millis_since(start);
    clock(Duration::from_millis(u64::try_from(millis).unwrap_or(0)))
}

/// Hours, minutes and, where there are any, seconds since the start.
fn clock(since: Duration) -> String {
    let seconds = since.as_secs();
    let (hours, minutes, rest) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if rest == 0 {
        format!("{hours}:{minutes:02}")
    } else {
        format!("{hours}:{minutes:02}:{rest:02}")
    }
}

/// An anchor settles by less than this in the best ground (common practice, no source).
const HELD: Metres = Metres::of(1.0);
