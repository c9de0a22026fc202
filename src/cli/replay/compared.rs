//! `windrode replay --compare`: what is judged differently now.

use std::io;

use serde::Serialize;

use crate::cli::out::{self, Failure, code};
use crate::replay::Listener;
use crate::replay::compare::{Compared, compare};
use crate::watch::messages::{Event, EventKind};

/// Collects the events of the earlier judgement and of the present one.
#[derive(Default)]
pub(super) struct Comparing {
    then: Vec<Event>,
    now: Vec<Event>,
}

impl Listener for Comparing {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        keep(&mut self.now, event);
        Ok(())
    }

    fn bad_line(&mut self, _number: u64, _why: &str) -> io::Result<()> {
        Ok(())
    }

    fn judged(&mut self, then: &Event) {
        keep(&mut self.then, then);
    }
}

fn keep(events: &mut Vec<Event>, event: &Event) {
    if event.event != EventKind::Note && events.len() < MOST_EVENTS {
        events.push(event.clone());
    }
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Told<'a> {
    alike: usize,
    different: Vec<&'a Compared>,
}

impl Comparing {
    /// Prints the differences; fails if there are any.
    pub(super) fn tell(&self, json: bool) -> Result<(), Failure> {
        if self.then.is_empty() {
            return Err(Failure::new(
                code::DATA,
                "nothing to compare with: the recording does not hold what was judged then",
            ));
        }
        let compared = compare(&self.then, &self.now);
        let different: Vec<&Compared> = compared.iter().filter(|it| !it.is_alike()).collect();
        let told = Told {
            alike: compared.len() - different.len(),
            different,
        };
        if json {
            let text = serde_json::to_string_pretty(&told)
                .map_err(|error| Failure::new(code::SOFTWARE, error))?;
            out::line(&text)?;
        } else {
            for it in &told.different {
                out::line(&line(it))?;
            }
            out::line(&format!(
                "{} judged alike, {} differently",
                told.alike,
                told.different.len()
            ))?;
        }
        match told.different.len() {
            0 => Ok(()),
            _ => Err(Failure::new(code::NOT_DONE, String::new())),
        }
    }
}

/// `2026-06-01T02:13:05.000Z  raised dragging (alarm)  7.0 s earlier now: the anchor drags …`
fn line(it: &Compared) -> String {
    let Some(when) = it.then.or(it.now) else {
        return String::new();
    };
    let what = match (it.judgement.hazard, it.judgement.priority) {
        (Some(hazard), Some(priority)) => format!(" {hazard} ({})", word(&priority)),
        (Some(hazard), None) => format!(" {hazard}"),
        (None, _) => String::new(),
    };
    let kind = word(&it.judgement.event);
    let how = match it.later() {
        Some(later) if later < 0.0 => format!("{:.1} s earlier now", -later),
        Some(later) => format!("{later:.1} s later now"),
        None if it.then.is_some() => "no longer judged".to_owned(),
        None => "judged now alone".to_owned(),
    };
    format!("{when}  {kind}{what}  {how}: {}", it.message)
}

/// The word used for it in the JSON.
fn word(value: &impl Serialize) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(word)) => word,
        _ => String::new(),
    }
}

/// Events of each side. A watch that reported more in one recording has a different fault.
const MOST_EVENTS: usize = 100_000;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alert::hazard::{Hazard, Priority};
    use crate::time::Timestamp;

    #[test]
    fn a_line_says_what_when_and_how_much_earlier() {
        let at = |second: i64| Timestamp::from_millis(1_780_000_000_000 + second * 1000);
        let event = |second| Event {
            time: at(second),
            event: EventKind::Raised,
            hazard: Some(Hazard::Dragging),
            priority: Some(Priority::Alarm),
            message: "the anchor is dragging".to_owned(),
            evidence: serde_json::Map::new(),
        };
        let told = |then: &[Event], now: &[Event]| line(&compare(then, now)[0]);
        assert_eq!(
            told(&[event(10)], &[event(3)]),
            "2026-05-28T20:26:50.000Z  raised dragging (alarm)  7.0 s earlier now: the anchor is dragging"
        );
        assert!(told(&[event(10)], &[]).contains("no longer judged"));
        assert!(told(&[], &[event(10)]).contains("judged now alone"));
    }
}
