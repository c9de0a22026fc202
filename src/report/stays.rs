//! The stays in a journal, by the phases that the watch reported.
//!
//! A stay begins with the first phase after the anchor was aweigh: `setting`, or `set` for a boat that is made fast and
//! has no anchor to set. The journal keeps the last 50 000 events. If the letting go is no longer among them, a saved
//! mark still has its time; failing that, the stay begins with the first event there is, and says so.

use std::cmp::Reverse;

use crate::alert::hazard::Priority;
use crate::geodesy::Position;
use crate::journal::{JournalError, Reader, Run};
use crate::observation::{Fact, Subject};
use crate::time::Timestamp;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::messages::{Event, EventKind, Input};
use crate::watch::saved::Saved;

use super::facts::Stay;

/// All stays, latest first.
pub fn stays(reader: &Reader) -> Result<Vec<Stay>, JournalError> {
    let mut stays = Vec::new();
    let mut open: Option<Stay> = None;
    let saved = reader.saved()?;
    // A journal begins with the anchor aweigh.
    let mut aweigh = !reader.has_lost_events()?;
    for event in reader.events(Timestamp::from_millis(i64::MIN)) {
        let event = match event {
            Ok(event) => event,
            // Only the damaged line itself is lost.
            Err(JournalError::Damaged { .. }) => continue,
            Err(error) => return Err(error),
        };
        match phase_of(&event) {
            Some(AnchorPhase::Aweigh) => {
                aweigh = true;
                if let Some(mut stay) = open.take() {
                    stay.weighed = Some(event.time);
                    stays.push(stay);
                }
            }
            Some(phase) if open.is_none() => {
                open = Some(begun(event.time, aweigh || phase == AnchorPhase::Setting));
            }
            _ => {}
        }
        if let Some(stay) = &mut open
            && event.event == EventKind::Raised
            && event.priority >= Some(Priority::Alarm)
        {
            stay.alarms += 1;
            stay.dragged |= event.is_drag_alarm();
        }
    }
    if let Some(mark) = saved.mark.filter(|_| saved.phase.is_anchored()) {
        let stay = open.get_or_insert_with(|| begun(mark.let_go, true));
        if !stay.begin_known {
            *stay = Stay {
                weighed: None,
                alarms: stay.alarms,
                dragged: stay.dragged,
                ..begun(mark.let_go, true)
            };
        }
    }
    stays.extend(open);
    stays.sort_by_key(|stay| Reverse(stay.let_go));
    let runs = reader.runs(u32::MAX)?;
    for stay in &mut stays {
        stay.place = place(reader, &runs, &saved, stay.let_go);
    }
    Ok(stays)
}

/// The phase in the event.
fn phase_of(event: &Event) -> Option<AnchorPhase> {
    if event.event != EventKind::Phase {
        return None;
    }
    let name = event.evidence.get("phase")?.as_str()?;
    AnchorPhase::ALL
        .into_iter()
        .find(|phase| phase.name() == name)
}

fn begun(let_go: Timestamp, begin_known: bool) -> Stay {
    let minute: String = let_go.to_string().chars().take(16).collect();
    Stay {
        name: format!("{minute}Z"),
        let_go,
        begin_known,
        weighed: None,
        place: None,
        alarms: 0,
        dragged: false,
    }
}

/// Position by the saved mark, otherwise the first position reported after letting go.
fn place(reader: &Reader, runs: &[Run], saved: &Saved, let_go: Timestamp) -> Option<Position> {
    let states = runs.iter().map(|run| &run.restored).chain([saved]);
    let mut marks = states.filter_map(|state| state.mark.as_ref());
    let of_it = marks.find(|mark| mark.let_go.millis_since(let_go).abs() < SAME);
    if let Some(mark) = of_it {
        return Some(mark.position);
    }
    let run = runs
        .iter()
        .find(|run| run.started <= let_go && let_go <= run.last_seen)?;
    let entries = reader.entries_since(run.id, let_go).flatten();
    entries
        .take(LOOKED_THROUGH)
        .skip_while(|entry| entry.now.utc < let_go)
        .find_map(|entry| match entry.input {
            Input::Report(report) if report.subject == Subject::Own => {
                report.facts.iter().find_map(|fact| match fact {
                    Fact::Position(position) => *position,
                    _ => None,
                })
            }
            _ => None,
        })
}

/// Milliseconds between a mark and its event.
pub(super) const SAME: i64 = 5000;
/// Entries that may lie before the first position.
const LOOKED_THROUGH: usize = 3000;
