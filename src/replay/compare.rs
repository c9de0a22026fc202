//! Where this version judges differently from the one that ran then.
//!
//! Method: an event then and an event now are the same judgement if kind, hazard and priority agree. Of
//! several, those nearest in time are paired first, within [`WINDOW`]. Notes and wordings are not
//! compared: any version may word them better.
//!
//! Weakness: if an alarm came and went several times then and stands throughout now, one raise is paired
//! and the others show as missing, which is what happened. Tests: below.

use serde::Serialize;

use crate::alert::hazard::{Hazard, Priority};
use crate::time::Timestamp;
use crate::watch::messages::{Event, EventKind};

/// An event in brief.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Judgement {
    /// Its kind.
    pub event: EventKind,
    /// Its hazard.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hazard: Option<Hazard>,
    /// Its priority.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub priority: Option<Priority>,
}

/// How one judgement compares.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Compared {
    /// The judgement.
    #[serde(flatten)]
    pub judgement: Judgement,
    /// When it was judged then; `None` if it was not.
    pub then: Option<Timestamp>,
    /// When it is judged now; `None` if it is not.
    pub now: Option<Timestamp>,
    /// The sentence, from now if there is one.
    pub message: String,
}

impl Compared {
    /// Seconds by which it comes later now; negative if earlier.
    #[must_use]
    pub fn later(&self) -> Option<f64> {
        Some(self.now?.millis_since(self.then?) as f64 / 1000.0)
    }

    /// Whether it is judged the same.
    #[must_use]
    pub fn is_alike(&self) -> bool {
        self.later().is_some_and(|later| later.abs() <= ALIKE)
    }
}

/// Compares the judgements of then and now; returns all of them in order of time.
#[must_use]
pub fn compare(then: &[Event], now: &[Event]) -> Vec<Compared> {
    let counts = |event: &&Event| event.event != EventKind::Note;
    let then: Vec<&Event> = then.iter().filter(counts).collect();
    let mut now: Vec<Option<&Event>> = now.iter().filter(counts).map(Some).collect();
    let mut partners: Vec<Option<&Event>> = vec![None; then.len()];
    for (_, earlier, later) in pairs(&then, &now) {
        if let (Some(partner @ None), Some(event)) = (partners.get_mut(earlier), now.get_mut(later))
        {
            *partner = event.take();
        }
    }
    let mut compared: Vec<Compared> = then
        .iter()
        .zip(partners)
        .map(|(event, partner)| Compared {
            judgement: judgement(event),
            then: Some(event.time),
            now: partner.map(|other| other.time),
            message: partner.unwrap_or(event).message.clone(),
        })
        .collect();
    compared.extend(now.into_iter().flatten().map(|event| Compared {
        judgement: judgement(event),
        then: None,
        now: Some(event.time),
        message: event.message.clone(),
    }));
    compared.sort_by_key(|it| it.then.or(it.now));
    compared
}

/// Pairs that may be the same judgement: the time between them and the index of each, nearest first.
fn pairs(then: &[&Event], now: &[Option<&Event>]) -> Vec<(u64, usize, usize)> {
    let mut pairs: Vec<_> = then
        .iter()
        .enumerate()
        .flat_map(|(earlier, event)| {
            now.iter()
                .flatten()
                .enumerate()
                .filter_map(move |(later, other)| {
                    let apart = other.time.millis_since(event.time).unsigned_abs();
                    let is_same = apart <= WINDOW && judgement(other) == judgement(event);
                    is_same.then_some((apart, earlier, later))
                })
        })
        .collect();
    pairs.sort_unstable();
    pairs
}

fn judgement(event: &Event) -> Judgement {
    Judgement {
        event: event.event,
        hazard: event.hazard,
        priority: event.priority,
    }
}

/// Judgements farther apart than this are different, milliseconds.
const WINDOW: u64 = 30 * 60 * 1000;
/// Seconds: the watch judges once a second.
const ALIKE: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn event(second: i64, kind: EventKind, hazard: Hazard) -> Event {
        Event {
            time: Timestamp::from_millis(1_780_000_000_000 + second * 1000),
            event: kind,
            hazard: Some(hazard),
            priority: Some(Priority::Alarm),
            message: format!("at {second}"),
            evidence: serde_json::Map::new(),
        }
    }

    fn raised(second: i64) -> Event {
        event(second, EventKind::Raised, Hazard::Dragging)
    }

    #[test]
    fn the_same_night_is_alike() {
        let night = [raised(10), event(90, EventKind::Cleared, Hazard::Dragging)];
        let compared = compare(&night, &night);
        assert_eq!(compared.len(), 2);
        assert!(compared.iter().all(Compared::is_alike));
    }

    #[test]
    fn an_alarm_that_comes_earlier_is_told_with_the_seconds() {
        let compared = compare(&[raised(100)], &[raised(93)]);
        assert_eq!(compared.len(), 1);
        assert_eq!(compared[0].later(), Some(-7.0));
        assert!(!compared[0].is_alike());
    }

    #[test]
    fn what_only_one_of_them_judged_stands_in_its_place() {
        let wind = event(50, EventKind::Raised, Hazard::WindShift);
        let compared = compare(&[raised(100)], &[wind, raised(100)]);
        let [first, second] = &compared[..] else {
            panic!("{compared:?}")
        };
        assert_eq!(
            (first.judgement.hazard, first.then),
            (Some(Hazard::WindShift), None)
        );
        assert!(second.is_alike());
        let missed = compare(&[raised(100)], &[]);
        assert_eq!(
            (missed[0].now, missed[0].message.as_str()),
            (None, "at 100")
        );
    }

    #[test]
    fn of_two_alarms_the_nearest_is_the_same_one_and_a_far_one_is_another() {
        let compared = compare(&[raised(100), raised(900)], &[raised(905)]);
        assert_eq!(compared[0].now, None);
        assert_eq!(compared[1].later(), Some(5.0));
        let apart = compare(&[raised(0)], &[raised(1801)]);
        assert_eq!(apart.len(), 2);
    }

    #[test]
    fn notes_are_not_compared() {
        let note = event(5, EventKind::Note, Hazard::Watch);
        assert!(compare(&[note], &[]).is_empty());
    }
}
