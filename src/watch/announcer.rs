//! The announcer: the alert desk, the events, what is published and when, what must be on disk.
//!
//! Everything the watch says goes through here and comes out in one order: what must be on disk first,
//! then the events, alerts and replies as they arose, the published state last.

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

/// See the module's page.
#[derive(Debug)]
pub struct Announcer {
    say: Wording,
    desk: Desk,
    /// What this round says.
    round: Vec<Output>,
    outputs: VecDeque<Output>,
    published: Option<Tick>,
    publishes: bool,
    persisted: Saved,
}

impl Announcer {
    /// With the alerts that stood. Whether the watch itself is impaired is found again: a watch that
    /// was stopped and runs again is whole.
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

    /// Whether the state is put together for publishing.
    pub const fn publish(&mut self, publishes: bool) {
        self.publishes = publishes;
    }

    /// The alert desk, to look at.
    #[must_use]
    pub const fn desk(&self) -> &Desk {
        &self.desk
    }

    /// The alert desk, for what the crew does at it.
    pub const fn desk_mut(&mut self) -> &mut Desk {
        &mut self.desk
    }

    /// Lets silences run out, repeats what sounds, escalates what nobody answers.
    pub fn handle_timeout(&mut self, now: Now) {
        self.desk.handle_timeout(now);
    }

    /// Does the hazard stand, by what was told?
    #[must_use]
    pub fn tells(&self, hazard: Hazard) -> bool {
        self.desk.state(hazard).is_active()
    }

    /// How grave the hazard is told to be, while it stands.
    #[must_use]
    pub fn told(&self, hazard: Hazard) -> Option<Priority> {
        self.desk.told(hazard)
    }

    /// Takes what a judgement says of its hazard.
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

    /// A display acted on a notification. It may act on what is over already: nothing is left to do
    /// then.
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

    /// Tells the displays what stands, first of all after a restart.
    pub fn show_standing(&mut self) {
        self.round
            .extend(self.desk.standing().into_iter().map(Output::Alert));
    }

    /// Worth knowing.
    pub fn note(&mut self, now: Now, told: impl Into<Sentence>) {
        self.note_with(now, told, Map::new());
    }

    /// Worth knowing, with the numbers behind it.
    pub fn note_with(&mut self, now: Now, told: impl Into<Sentence>, evidence: Map<String, Value>) {
        self.event(now, EventKind::Note, &told.into(), evidence);
    }

    /// The phase changed.
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

    /// A question to the charts.
    pub fn ask_chart(&mut self, question: ChartQuestion) {
        self.round.push(Output::AskChart(question));
    }

    /// Soundings to be kept.
    pub fn keep_soundings(&mut self, soundings: Vec<OwnSounding>) {
        self.round.push(Output::KeepSoundings(soundings));
    }

    /// The answer to a command.
    pub fn reply(&mut self, id: u64, outcome: Outcome) {
        self.round.push(Output::Reply { id, outcome });
    }

    /// Turns what changed at the desk into events and alerts. Returns which hazards were
    /// acknowledged.
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

    /// Is the state to be published? When something was said, and every second.
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

    /// The next thing to be done.
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

/// The event of a change at the desk, where it is one.
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
    // What every change of its kind has for a reason need not be said.
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
