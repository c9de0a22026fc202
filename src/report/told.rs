//! What the watch reported during a stay: the journal's events, and from them each alert from start to end.

use std::collections::BTreeMap;

use super::facts::{Acknowledged, Alert, Raised};
use super::latest::Latest;
use crate::journal::{JournalError, Reader};
use crate::time::Timestamp;
use crate::watch::messages::{Event, EventKind};

/// Events and alerts.
#[derive(Clone, Debug)]
pub(super) struct Told {
    pub(super) events: Latest<Event>,
    pub(super) alerts: Latest<Alert>,
    /// The moments of acknowledgement, each with the way it came once that is known.
    acts: BTreeMap<Timestamp, Option<String>>,
}

impl Told {
    pub(super) const fn new() -> Self {
        Self {
            events: Latest::of(MOST),
            alerts: Latest::of(MOST),
            acts: BTreeMap::new(),
        }
    }

    /// Reads them.
    pub(super) fn read(
        reader: &Reader,
        begin: Timestamp,
        end: Timestamp,
    ) -> Result<Self, JournalError> {
        let mut told = Self::new();
        for event in reader.events(begin) {
            match event {
                Ok(event) if event.time <= end => told.take(event),
                Ok(_) | Err(JournalError::Damaged { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        Ok(told)
    }

    fn take(&mut self, event: Event) {
        if let Some((hazard, priority)) = event.hazard.zip(event.priority) {
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
                        None => self.alerts.push(Alert {
                            hazard,
                            raised: vec![raised],
                            acknowledged: Vec::new(),
                            cleared: None,
                        }),
                    }
                }
                (EventKind::Acknowledged, Some(alert)) => {
                    self.acts.insert(event.time, None);
                    alert.acknowledged.push(Acknowledged {
                        time: event.time,
                        by: None,
                    });
                }
                (EventKind::Cleared, Some(alert)) => alert.cleared = Some(event.time),
                _ => {}
            }
        }
        self.events.push(event);
    }

    /// Somebody gave an order to acknowledge, in this way. An order that acknowledged nothing is not kept: a peer may
    /// send them all day long.
    pub(super) fn acknowledged(&mut self, time: Timestamp, by: impl FnOnce() -> String) {
        if let Some(way) = self.acts.get_mut(&time)
            && way.is_none()
        {
            *way = Some(by());
        }
    }

    /// Puts the ways to the acknowledgements.
    pub(super) fn join(&mut self) {
        for it in self
            .alerts
            .iter_mut()
            .flat_map(|alert| &mut alert.acknowledged)
        {
            it.by = self.acts.get(&it.time).cloned().flatten();
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
        let mut told = Told::new();
        for event in [
            event(10, EventKind::Raised, Priority::Warning),
            event(15, EventKind::Raised, Priority::Alarm),
            event(20, EventKind::Acknowledged, Priority::Alarm),
            event(25, EventKind::Acknowledged, Priority::Alarm),
            event(30, EventKind::Cleared, Priority::Alarm),
            event(40, EventKind::Raised, Priority::Alarm),
        ] {
            told.take(event);
        }
        // The second order changed nothing.
        for second in [20, 22] {
            let time = Timestamp::from_millis(second * 1000);
            told.acknowledged(time, || "from a phone".to_owned());
        }
        told.join();
        assert_eq!(told.events.count(), 6);
        let alerts = told.alerts.finish();
        let [first, second] = alerts.as_slice() else {
            panic!("{alerts:?}");
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
    }

    #[test]
    fn a_long_list_has_the_latest_and_the_number_of_all() {
        let mut told = Told::new();
        for second in 0..2100 {
            told.take(event(2 * second, EventKind::Raised, Priority::Alarm));
            told.take(event(2 * second + 1, EventKind::Cleared, Priority::Alarm));
        }
        assert_eq!((told.alerts.count(), told.events.count()), (2100, 4200));
        let (alerts, events) = (told.alerts.finish(), told.events.finish());
        assert_eq!((alerts.len(), events.len()), (MOST, MOST));
        let last = Timestamp::from_millis(4199 * 1000);
        assert_eq!(alerts.last().unwrap().cleared, Some(last));
        assert_eq!(events.last().unwrap().time, last);
    }
}
