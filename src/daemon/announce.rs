//! Writes to the disk first and announces afterwards; also tracks how the disk is doing.

use std::time::Duration;

use tracing::{error, info, warn};

use super::{Asker, DISK_LIMIT, Daemon};
use crate::io::control::Response;
use crate::journal::{JournalError, settles_doubt};
use crate::outbox::words::SavedOutbox;
use crate::speech::answers::Answer;
use crate::speech::faults::JournalFault;
use crate::time::{Now, Tick};
use crate::watch::messages::{Event, EventKind, Input, Outcome, Output};

impl Daemon {
    pub(super) async fn announce(&mut self, outputs: Vec<Output>) {
        let now = self.clock.now();
        let mut saved = None;
        let mut events = Vec::new();
        for output in &outputs {
            match output {
                Output::Persist(state) => saved = Some((**state).clone()),
                Output::Event(event) => {
                    self.record_event(now, event);
                    events.push(event.clone());
                }
                // The phones must know that the watch has ended before they learn that an alert is over.
                Output::Publish(picture) => {
                    let anchored = picture.phase.is_anchored();
                    self.phones.outbox.handle_anchored(now, anchored);
                    self.phones.channels.watching(anchored);
                }
                Output::Alert(_)
                | Output::Reply { .. }
                | Output::AskChart(_)
                | Output::KeepSoundings(_) => {}
            }
        }
        if saved.is_some() || !events.is_empty() {
            let saved = saved.unwrap_or_else(|| self.keeper.saved());
            if self.doubt.is_some() && settles_doubt(&saved) {
                self.doubt = None;
                self.tell_doubt();
            }
            if self.disk_trouble.fault().is_some() {
                // The disk was waited for once; alarms do not wait for it again.
                self.journal.commit_later(now, saved, events);
            } else {
                let written = self
                    .journal
                    .commit_within(DISK_LIMIT, now, saved, events)
                    .await;
                self.note_disk(written.err().as_ref());
            }
        }
        for output in outputs {
            if let Some(listener) = &self.listener {
                // Ignore a dropped listener.
                let _ = listener.send(output.clone());
            }
            match output {
                Output::Persist(_) => {}
                Output::Event(event) => self.tell(&event),
                Output::Alert(view) => {
                    self.session.handle_alert(now, &view);
                    self.phones.outbox.handle_alert(now, &view);
                    if let Some(displays) = &mut self.displays {
                        displays.exchange.handle_alert(now, &view);
                    }
                }
                Output::Publish(picture) => {
                    self.session.handle_picture(now, &picture);
                    self.picture = *picture;
                }
                Output::Reply { id, outcome } => {
                    let outcome = self.with_the_disk(outcome);
                    self.reply(now, id, outcome);
                }
                Output::AskChart(question) => self.charts.ask(question),
                Output::KeepSoundings(soundings) => {
                    self.charts.sounded(soundings.clone());
                    self.journal.keep_soundings(now, soundings);
                }
            }
        }
    }

    pub(super) async fn keep_outbox(&mut self, now: Now, outbox: SavedOutbox) {
        if self.disk_trouble.fault().is_some() {
            self.journal.keep_outbox_later(now, outbox);
            return;
        }
        let kept = self.journal.keep_outbox_within(DISK_LIMIT, now, outbox);
        let trouble = kept.await.err();
        self.note_disk(trouble.as_ref());
    }

    /// An order that a restart would forget is not accepted silently.
    fn with_the_disk(&self, outcome: Outcome) -> Outcome {
        match (outcome, self.disk_trouble.fault()) {
            (Outcome::Done(said), Some(why)) => {
                let why = why.clone();
                let say = &self.config.watch.wording;
                Outcome::Done(Answer::NotOnDisk { said, why }.words(say))
            }
            (outcome, _) => outcome,
        }
    }

    fn tell(&mut self, event: &Event) {
        // Orders from peers are logged, and a peer may send orders all night, or toggle the watch.
        let now = self.clock.now().tick;
        let notes = self.notes.entry(event.hazard).or_default();
        let lost = match notes.take(now) {
            None => return,
            Some(0) => String::new(),
            Some(lost) => format!(" ({lost} like it before are in the journal alone)"),
        };
        let message = &event.message;
        match (event.event, event.hazard) {
            (EventKind::Raised, Some(hazard)) => warn!("raised {hazard}: {message}{lost}"),
            (EventKind::Cleared, Some(hazard)) => info!("cleared {hazard}: {message}{lost}"),
            (EventKind::Acknowledged, Some(hazard)) => info!("acknowledged {hazard}{lost}"),
            _ => info!("{message}{lost}"),
        }
    }

    fn reply(&mut self, now: Now, id: u64, outcome: Outcome) {
        match self.waiting.remove(&id) {
            Some(Asker::Server(request)) => self.session.handle_reply(now, request, &outcome),
            Some(Asker::Local(asked)) => asked.answer(match outcome {
                Outcome::Done(said) => Response::words(200, said),
                Outcome::Refused(why) => Response::words(400, why),
            }),
            Some(Asker::Phone(channel)) => match outcome {
                Outcome::Done(said) => info!("by `push.{channel}`: {said}"),
                Outcome::Refused(why) => info!("by `push.{channel}`, refused: {why}"),
            },
            Some(Asker::Display(id)) => {
                if let Some(displays) = &mut self.displays {
                    displays.exchange.handle_reply(now, id, &outcome);
                }
            }
            None => error!("an answer to order {id} that nobody gave"),
        }
    }

    pub(super) fn handle_disk(&mut self) {
        let trouble = self.journal_trouble.borrow_and_update().clone();
        self.note_disk(trouble.as_ref());
    }

    fn note_disk(&mut self, trouble: Option<&JournalError>) {
        let News { logged, told } = self.disk_trouble.take(trouble);
        match trouble {
            Some(why) if logged => error!("{why}"),
            None if logged => info!("the journal is written again"),
            _ => {}
        }
        if told {
            self.tell_impaired();
        }
    }

    /// What is wrong with the journal.
    pub(super) fn tell_impaired(&mut self) {
        self.pending
            .push_back(Input::Impaired(self.disk_trouble.fault().cloned()));
    }

    /// Whether a watch may have been lost because of it.
    pub(super) fn tell_doubt(&mut self) {
        self.pending.push_back(Input::MayBeLost(self.doubt.clone()));
    }
}

/// The journal's fault, and which of its causes are already logged.
#[derive(Clone, Debug, Default)]
pub(super) struct DiskTrouble {
    fault: Option<JournalFault>,
    logged: Vec<JournalError>,
}

/// What is new about it, for the log and for the watch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct News {
    logged: bool,
    told: bool,
}

impl DiskTrouble {
    /// The state after opening the journal; that is already logged.
    pub(super) fn at_first(trouble: Option<&JournalError>) -> Self {
        Self {
            fault: trouble.map(JournalError::fault),
            logged: trouble.cloned().into_iter().collect(),
        }
    }

    pub(super) const fn fault(&self) -> Option<&JournalFault> {
        self.fault.as_ref()
    }

    /// One fault can have many causes. Each is logged once while the fault lasts, up to the first
    /// [`CAUSES`] of them.
    fn take(&mut self, trouble: Option<&JournalError>) -> News {
        let fault = trouble.map(JournalError::fault);
        let told = self.fault != fault;
        if told {
            self.fault = fault;
            self.logged.clear();
        }
        let another =
            trouble.is_some_and(|why| !self.logged.contains(why) && self.logged.len() < CAUSES);
        if another {
            self.logged.extend(trouble.cloned());
        }
        News {
            logged: told || another,
            told,
        }
    }
}

const CAUSES: usize = 8;

/// How many events of a hazard, or of no hazard, are logged: a few at once, then one per interval. Events
/// that are not logged are still in the journal.
#[derive(Clone, Debug, Default)]
pub(super) struct Notes {
    /// The moment since which evenly spaced notes would have been logged.
    even: Tick,
    lost: u64,
}

impl Notes {
    /// May an event be logged? Returns how many were skipped before it.
    fn take(&mut self, now: Tick) -> Option<u64> {
        let even = self.even + NOTE_EVERY;
        if even > now + NOTE_EVERY * NOTES_AT_ONCE {
            self.lost = self.lost.saturating_add(1);
            return None;
        }
        self.even = even.max(now);
        Some(std::mem::take(&mut self.lost))
    }
}

const NOTE_EVERY: Duration = Duration::from_secs(10);
const NOTES_AT_ONCE: u32 = 30;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_peer_that_sends_orders_all_night_does_not_flood_the_log() {
        let mut notes = Notes::default();
        let logged = |from: u64, count: u64, notes: &mut Notes| {
            let ticks = (0..count).map(|at| Tick::from_millis(from + at * 50));
            ticks
                .filter_map(|tick| notes.take(tick))
                .collect::<Vec<_>>()
        };
        // 1 200 in a minute.
        let first = logged(0, 1200, &mut notes);
        assert!((30..=37).contains(&first.len()), "{}", first.len());
        assert_eq!(first[..29], [0; 29]);
        // An hour later the skipped ones are counted, and nothing is held back.
        let later = logged(3_600_000, 5, &mut notes);
        let told = first.iter().chain(&later).sum::<u64>();
        assert_eq!(told, 1200 - first.len() as u64);
        assert_eq!(later.len(), 5);
    }

    fn failed(reason: &str) -> JournalError {
        JournalError::Failed {
            file: "journal.db".into(),
            doing: "writing",
            reason: reason.to_owned(),
        }
    }

    #[test]
    fn each_cause_of_a_fault_is_logged_once_and_the_fault_is_reported_once() {
        let mut disk = DiskTrouble::default();
        let news = |logged, told| News { logged, told };
        assert_eq!(disk.take(None), news(false, false));
        assert_eq!(disk.take(Some(&failed("no rights"))), news(true, true));
        assert_eq!(disk.take(Some(&failed("no rights"))), news(false, false));
        assert_eq!(disk.take(Some(&failed("bad sector"))), news(true, false));
        assert_eq!(disk.take(Some(&failed("no rights"))), news(false, false));
        assert_eq!(disk.fault(), Some(&JournalFault::NotWritten));
        assert_eq!(disk.take(None), news(true, true));
        assert_eq!(disk.fault(), None);
        assert_eq!(disk.take(Some(&failed("bad sector"))), news(true, true));
    }

    #[test]
    fn a_disk_with_ever_new_errors_does_not_flood_the_log() {
        let mut disk = DiskTrouble::default();
        let logged = (0..10_000)
            .filter(|at| disk.take(Some(&failed(&format!("sector {at}")))).logged)
            .count();
        assert_eq!(logged, CAUSES);
    }
}
