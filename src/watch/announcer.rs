//! The announcer: the alert desk, events, when the state is published and what must be on disk.
//!
//! Every output of the watch passes through here and leaves in one order: first what must be on disk, then the
//! events, alerts and replies in the order in which they arose, and last the published state.

use std::collections::VecDeque;
use std::time::Duration;

use serde_json::{Map, Value, json};

use crate::alert::desk::{Change, Desk, DeskSettings, Reason, Told};
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::chart::own::OwnSounding;
use crate::speech::notes::Note;
use crate::speech::{Sentence, Wording};
use crate::time::{Now, Tick};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::charted::ChartQuestion;
use crate::watch::judgement::Judged;
use crate::watch::messages::{DisplayAct, DisplayAction, Event, EventKind, Outcome, Output};
use crate::watch::saved::Saved;
use crate::watch::state::WatchState;

/// See the module documentation.
#[derive(Debug)]
pub struct Announcer {
    say: Wording,
    desk: Desk,
    /// The outputs of this round.
    round: Vec<Output>,
    outputs: VecDeque<Output>,
    published: Option<Tick>,
    publishes: bool,
    persisted: Saved,
}

impl Announcer {
    /// Restores the alerts that were active. Alerts about the watch itself are dropped and judged again: a watch
    /// that was stopped and runs again is no longer impaired by the stop.
    #[must_use]
    pub fn restored(now: Now, say: Wording, settings: DeskSettings, saved: Saved) -> Self {
        let alerts: Vec<AlertView> = saved
            .alerts
            .iter()
            .filter(|view| view.hazard != Hazard::Watch)
            .cloned()
            .collect();
        Self {
            say,
            desk: Desk::restored(now, settings, &alerts, &saved.measures, saved.raises),
            round: Vec::new(),
            outputs: VecDeque::new(),
            published: None,
            publishes: true,
            persisted: saved,
        }
    }

    /// Sets whether the state is put together for publishing.
    pub const fn publish(&mut self, publishes: bool) {
        self.publishes = publishes;
    }

    /// The alert desk, read-only.
    #[must_use]
    pub const fn desk(&self) -> &Desk {
        &self.desk
    }

    /// The alert desk, for acknowledgements and silences by the crew.
    pub const fn desk_mut(&mut self) -> &mut Desk {
        &mut self.desk
    }

    /// Ends silences that have run out, repeats alerts that sound, and escalates alerts that nobody has answered.
    pub fn handle_timeout(&mut self, now: Now) {
        self.desk.handle_timeout(now);
    }

    /// Is the hazard reported as active?
    #[must_use]
    pub fn tells(&self, hazard: Hazard) -> bool {
        self.desk.state(hazard).is_active()
    }

    /// The reported priority of the hazard while it is active.
    #[must_use]
    pub fn told(&self, hazard: Hazard) -> Option<Priority> {
        self.desk.told(hazard)
    }

    /// Takes the result of judging a hazard.
    pub fn judged(&mut self, now: Now, hazard: Hazard, judged: Judged) {
        match judged {
            Judged::Stands(finding) => {
                let finding = finding.said(&self.say);
                self.desk.set(now, hazard, Some(finding));
            }
            Judged::Gone => self.desk.set(now, hazard, None),
            Judged::Unchanged => {}
            Judged::Covered => self.desk.cover(now, hazard),
        }
    }

    /// A display acted on a notification. If the alert is already over, there is nothing left to do.
    pub fn handle_display(&mut self, now: Now, action: DisplayAction) {
        let hazard = action.hazard;
        match action.act {
            DisplayAct::Acknowledged => {
                let _ = self.desk.acknowledge(now, Some(hazard));
            }
            DisplayAct::Silenced => {
                let _ = self.desk.silence(now, Some(hazard));
            }
            DisplayAct::Cleared => {
                self.note(
                    now,
                    Note::ShownAgain {
                        hazard: hazard.name(),
                    },
                );
                self.desk.show_again(hazard);
            }
        }
    }

    /// Sends the active alerts to the displays, as the first thing after a restart.
    pub fn show_standing(&mut self) {
        self.round
            .extend(self.desk.standing().into_iter().map(Output::Alert));
    }

    /// Reports a note.
    pub fn note(&mut self, now: Now, told: impl Into<Sentence>) {
        self.note_with(now, told, Map::new());
    }

    /// Reports a note with the numbers behind it.
    pub fn note_with(&mut self, now: Now, told: impl Into<Sentence>, evidence: Map<String, Value>) {
        self.event(now, EventKind::Note, &told.into(), evidence);
    }

    /// Reports a change of phase.
    pub fn phase(
        &mut self,
        now: Now,
        phase: AnchorPhase,
        how: Sentence,
        mut evidence: Map<String, Value>,
    ) {
        evidence.insert("phase".to_owned(), json!(phase.name()));
        let phase = phase.word();
        let told = Note::Phase { phase, how }.into();
        self.event(now, EventKind::Phase, &told, evidence);
    }

    /// Asks the charts a question.
    pub fn ask_chart(&mut self, question: ChartQuestion) {
        self.round.push(Output::AskChart(question));
    }

    /// Hands over soundings to be kept.
    pub fn keep_soundings(&mut self, soundings: Vec<OwnSounding>) {
        self.round.push(Output::KeepSoundings(soundings));
    }

    /// Answers a command.
    pub fn reply(&mut self, id: u64, outcome: Outcome) {
        self.round.push(Output::Reply { id, outcome });
    }

    /// Turns the changes at the desk into events and alerts. Returns the hazards that were acknowledged.
    pub fn tell_changes(&mut self, now: Now) -> Vec<Hazard> {
        let mut acknowledged = Vec::new();
        while let Some(told) = self.desk.poll_change() {
            if told.change == Change::Acknowledged {
                acknowledged.push(told.view.hazard);
            }
            let event = event_of(now, &self.say, &told);
            self.round.extend(event.map(Output::Event));
            self.round.push(Output::Alert(told.view));
        }
        acknowledged
    }

    /// Is the state due to be published? It is after any output, and once a second.
    #[must_use]
    pub fn wants_state(&self, now: Now) -> bool {
        let due = self
            .published
            .is_none_or(|at| now.tick.since(at) >= PUBLISH_EVERY);
        self.publishes && (due || !self.round.is_empty())
    }

    /// Publishes the state.
    pub fn state(&mut self, now: Now, state: WatchState) {
        self.published = Some(now.tick);
        self.round.push(Output::Publish(Box::new(state)));
    }

    /// Ends a round: what must be on disk goes out first.
    pub fn flush(&mut self, saved: Saved) {
        if saved.differs(&self.persisted) {
            self.outputs
                .push_back(Output::Persist(Box::new(saved.clone())));
            self.persisted = saved;
        }
        self.outputs.extend(self.round.drain(..));
    }

    /// The next output.
    pub fn poll_output(&mut self) -> Option<Output> {
        self.outputs.pop_front()
    }

    fn event(&mut self, now: Now, event: EventKind, told: &Sentence, evidence: Map<String, Value>) {
        let message = told.words(&self.say);
        self.round.push(Output::Event(Event {
            time: now.utc,
            event,
            hazard: None,
            priority: None,
            message,
            evidence,
        }));
    }
}

/// The event for a change at the desk, if the change makes one.
fn event_of(now: Now, say: &Wording, told: &Told) -> Option<Event> {
    let view = &told.view;
    let event = match told.change {
        Change::Raised => EventKind::Raised,
        Change::Cleared => EventKind::Cleared,
        Change::Acknowledged => EventKind::Acknowledged,
        Change::Silenced => EventKind::Note,
        Change::SoundsAgain | Change::Repeated | Change::Reworded => return None,
    };
    let mut evidence = told.evidence.clone();
    // The usual reason for a change need not be stated.
    if !matches!(
        told.reason,
        Reason::Arose | Reason::Went | Reason::Acknowledged | Reason::Silenced
    ) {
        evidence.insert("reason".to_owned(), json!(told.reason.to_string()));
    }
    let alert = view.message.clone();
    let message = match told.change {
        Change::Silenced => Note::Silenced { alert }.words(say),
        Change::Cleared if view.state == AlertState::RectifiedUnacknowledged => {
            Note::GoneNotAcknowledged { alert }.words(say)
        }
        _ => alert,
    };
    Some(Event {
        time: now.utc,
        event,
        hazard: Some(view.hazard),
        priority: Some(view.priority),
        message,
        evidence,
    })
}

const PUBLISH_EVERY: Duration = Duration::from_secs(1);
