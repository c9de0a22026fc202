//! What the watch reported during a stay: the journal's events, and from them each alert from start to end.

use super::facts::{Acknowledged, Alert, Raised};
use crate::journal::{JournalError, Reader};
use crate::time::Timestamp;
use crate::watch::messages::{Event, EventKind};

/// Events and alerts.
#[derive(Clone, Debug, Default)]
pub(super) struct Told {
    pub(super) events: Vec<Event>,
    pub(super) alerts: Vec<Alert>,
}

impl Told {
    /// Reads them; `acts` are the times at which somebody acknowledged, with the way it came.
    pub(super) fn read(
        reader: &Reader,
        begin: Timestamp,
        end: Timestamp,
        acts: &[(Timestamp, String)],
    ) -> Result<Self, JournalError> {
        let mut told = Self::default();
        for event in reader.events(begin) {
            match event {
                Ok(event) if event.time <= end => told.take(event, acts),
                Ok(_) | Err(JournalError::Damaged { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(told)
    }

    fn take(&mut self, event: Event, acts: &[(Timestamp, String)]) {
        if let Some((hazard, priority)) = event.hazard.zip(event.priority) {
            let full = self.alerts.len() >= MOST;
            let open = self
                .alerts
                .iter_mut()
                .rev()
                .find(|alert| alert.hazard == hazard && alert.cleared.is_none());
            match (event.event, open) {
                (EventKind::Raised, open) => {
                    let raised = Raised {
                        time: event.time,
                        priority,
                        message: event.message.clone(),
                    };
                    match open {
                        Some(alert) => alert.raised.push(raised),
                        None if !full => self.alerts.push(Alert {
                            hazard,
                            raised: vec![raised],
                            acknowledged: Vec::new(),
                            cleared: None,
                        }),
                        None => {}
                    }
                }
                (EventKind::Acknowledged, Some(alert)) => {
                    let by = acts.iter().find(|(time, _)| *time == event.time);
                    alert.acknowledged.push(Acknowledged {
                        time: event.time,
                        by: by.map(|(_, by)| by.clone()),
                    });
                }
                (EventKind::Cleared, Some(alert)) => alert.cleared = Some(event.time),
                _ => {}
            }
        }
        if self.events.len() < MOST {
            self.events.push(event);
        }
    }
}

/// Limit of each list: more than a reader can take in.
const MOST: usize = 2000;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alert::hazard::{Hazard, Priority};

    fn event(second: i64, event: EventKind, priority: Priority) -> Event {
        Event {
            time: Timestamp::from_millis(second * 1000),
            event,
            hazard: Some(Hazard::Dragging),
            priority: Some(priority),
            message: "dragging".to_owned(),
            evidence: serde_json::Map::new(),
        }
    }

    #[test]
    fn an_alert_is_told_from_its_raise_to_its_end_with_who_acknowledged() {
        let acts = [(Timestamp::from_millis(20_000), "from a phone".to_owned())];
        let mut told = Told::default();
        for event in [
            event(10, EventKind::Raised, Priority::Warning),
            event(15, EventKind::Raised, Priority::Alarm),
            event(20, EventKind::Acknowledged, Priority::Alarm),
            event(25, EventKind::Acknowledged, Priority::Alarm),
            event(30, EventKind::Cleared, Priority::Alarm),
            event(40, EventKind::Raised, Priority::Alarm),
        ] {
            told.take(event, &acts);
        }
        let [first, second] = told.alerts.as_slice() else {
            panic!("{:?}", told.alerts);
        };
        assert_eq!(first.raised.len(), 2);
        let by: Vec<_> = first
            .acknowledged
            .iter()
            .map(|it| it.by.as_deref())
            .collect();
        assert_eq!(by, [Some("from a phone"), None]);
        assert_eq!(first.cleared, Some(Timestamp::from_millis(30_000)));
        assert_eq!((second.raised.len(), second.cleared), (1, None));
        assert_eq!(told.events.len(), 6);
    }
}
