//! The alert desk: one alert for each hazard, from the raise until a person has dealt with it.
//!
//! [`conduct`](crate::alert::conduct) decides what happens to an alert; the desk holds the alerts, tracks
//! what is due, and reports what changed. In addition to the conduct:
//!
//! - A condition must have gone for [`CLEAR_HOLD`] before its alert is cleared, so that a condition that
//!   flickers at its threshold is one alert and not a dozen. Each judgement also has its own
//!   hysteresis.
//! - An alert that sounds is reported again every [`DeskSettings::repeat`], and a warning that nobody
//!   answers for [`DeskSettings::answer_within`] becomes an alarm.
//! - Each raise increments a number that is sent with the alert, so that a display whose
//!   acknowledgement is sticky can tell a new raise from the old one; each repetition and
//!   escalation increments another, as the ALF sentence of IEC 61162-1 requires.

use std::cmp::Reverse;
use std::time::Duration;

pub use crate::alert::cause::Cause;
use crate::alert::cause::Causes;
pub use crate::alert::conduct::{Change, DeskRefusal, Reason};
use crate::alert::conduct::{Decision, Happened, Standing, decide};
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::speech::{Sentence, Wording};
use crate::time::{Now, Tick};

/// A condition that stands. A judgement gives it a sentence; the desk keeps it in words.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding<Words = String> {
    /// The priority.
    pub priority: Priority,
    /// The severity as a comparable number (metres, for example); zero if there is none.
    pub severity: f64,
    /// The cause, for hazards with several causes that sound.
    pub causes: Vec<Cause>,
    /// The text for people.
    pub message: Words,
    /// The numbers behind it.
    pub evidence: serde_json::Map<String, serde_json::Value>,
}

impl Finding<Sentence> {
    /// The same in words, in the crew's language.
    #[must_use]
    pub fn said(self, say: &Wording) -> Finding {
        Finding {
            message: self.message.words(say),
            priority: self.priority,
            severity: self.severity,
            causes: self.causes,
            evidence: self.evidence,
        }
    }
}

/// The settings of the desk, each with its key in the configuration; windrode.toml(5) has more.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DeskSettings {
    /// `alerts.repeat`.
    pub repeat: Duration,
    /// `alerts.answer_within`.
    pub answer_within: Duration,
}

impl Default for DeskSettings {
    fn default() -> Self {
        Self {
            repeat: Duration::from_mins(2),
            answer_within: Duration::from_mins(5),
        }
    }
}

/// One alert that changed.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The alert as it is now.
    pub view: AlertView,
    /// What happened.
    pub change: Change,
    /// The reason.
    pub reason: Reason,
    /// The numbers behind it.
    pub evidence: serde_json::Map<String, serde_json::Value>,
}

/// The desk. `set` and people's acts change it; [`Desk::poll_change`] returns the changed alerts.
#[derive(Clone, Debug, Default)]
pub struct Desk {
    settings: DeskSettings,
    alerts: Vec<Alert>,
    raises: u64,
    changes: Vec<(Hazard, Change, Reason)>,
}

#[derive(Clone, Debug)]
struct Alert {
    view: AlertView,
    evidence: serde_json::Map<String, serde_json::Value>,
    /// The condition as last found.
    found: Priority,
    /// `None` until it is judged for the first time after a restart.
    severity: Option<f64>,
    causes: Causes,
    measure: Option<f64>,
    silent_until: Option<Tick>,
    repeat_at: Option<Tick>,
    answer_by: Option<Tick>,
    gone_since: Option<Tick>,
    reworded_at: Tick,
}

impl Desk {
    /// An empty desk.
    #[must_use]
    pub fn new(settings: DeskSettings) -> Self {
        Self {
            settings,
            ..Self::default()
        }
    }

    /// Restores the alerts that stood before a restart. They are unchanged, except that silenced alerts
    /// sound again, and each counts as a new raise, so that every display shows it again. The time that a
    /// warning may go unanswered starts again.
    #[must_use]
    pub fn restored(
        now: Now,
        settings: DeskSettings,
        alerts: &[AlertView],
        measures: &[(Hazard, f64)],
        raises: u64,
    ) -> Self {
        let mut desk = Self {
            raises,
            ..Self::new(settings)
        };
        for view in alerts {
            let mut view = view.clone();
            if view.state == AlertState::ActiveSilenced {
                view.state = AlertState::ActiveUnacknowledged;
            }
            desk.raises += 1;
            view.raise = desk.raises;
            let measure = measures.iter().find(|(hazard, _)| *hazard == view.hazard);
            let sounds = view.state.sounds();
            desk.alerts.push(Alert {
                found: view.priority,
                evidence: serde_json::Map::new(),
                severity: None,
                causes: Causes::default(),
                measure: measure.map(|(_, severity)| *severity),
                silent_until: None,
                repeat_at: sounds.then(|| now.tick + settings.repeat),
                answer_by: (sounds && view.priority == Priority::Warning)
                    .then(|| now.tick + settings.answer_within),
                gone_since: None,
                reworded_at: now.tick,
                view,
            });
        }
        desk
    }

    /// Sets whether the condition stands, and how. Call it after each judgement.
    pub fn set(&mut self, now: Now, hazard: Hazard, finding: Option<Finding>) {
        match finding {
            Some(finding) => self.stands(now, hazard, finding),
            None => self.gone(now, hazard),
        }
    }

    /// Another alert reports the same situation in more detail: this one steps back.
    pub fn cover(&mut self, now: Now, hazard: Hazard) {
        if let Some(index) = self.index(hazard) {
            let _ = self.apply(now, index, Happened::Covered);
        }
    }

    /// Somebody acknowledges one alert, or all.
    pub fn acknowledge(&mut self, now: Now, hazard: Option<Hazard>) -> Result<usize, DeskRefusal> {
        self.act(now, hazard, |alert| Happened::Acknowledged(alert.found))
    }

    /// Somebody silences one alert, or all.
    pub fn silence(&mut self, now: Now, hazard: Option<Hazard>) -> Result<usize, DeskRefusal> {
        self.act(now, hazard, |_| Happened::Silenced)
    }

    /// Ends silences that ran out, repeats what sounds, and escalates warnings that nobody answers.
    pub fn handle_timeout(&mut self, now: Now) {
        for index in 0..self.alerts.len() {
            let due = |at: Option<Tick>| at.is_some_and(|at| at <= now.tick);
            let alert = &self.alerts[index];
            let happened = if due(alert.answer_by) {
                Happened::NotAnswered
            } else if due(alert.silent_until) {
                Happened::SilenceOver
            } else if due(alert.repeat_at) {
                Happened::Repeated
            } else {
                continue;
            };
            let _ = self.apply(now, index, happened);
        }
    }

    /// The next alert that changed.
    #[must_use]
    pub fn poll_change(&mut self) -> Option<Told> {
        if self.changes.is_empty() {
            self.alerts.retain(|a| a.view.state != AlertState::Normal);
            return None;
        }
        let (hazard, change, reason) = self.changes.remove(0);
        let alert = self.alerts.iter().find(|a| a.view.hazard == hazard)?;
        Some(Told {
            view: alert.view.clone(),
            change,
            reason,
            evidence: alert.evidence.clone(),
        })
    }

    /// Every alert that is not normal: the gravest first, and unacknowledged ones first among equals.
    #[must_use]
    pub fn standing(&self) -> Vec<AlertView> {
        let mut views: Vec<_> = self
            .alerts
            .iter()
            .filter(|a| a.view.state != AlertState::Normal)
            .map(|a| a.view.clone())
            .collect();
        let rank = |state| match state {
            AlertState::ActiveUnacknowledged | AlertState::ActiveSilenced => 0,
            AlertState::ActiveAcknowledged => 1,
            AlertState::RectifiedUnacknowledged | AlertState::Normal => 2,
        };
        views.sort_by_key(|view| (Reverse(view.priority), rank(view.state), view.hazard));
        views
    }

    /// One alert's state.
    #[must_use]
    pub fn state(&self, hazard: Hazard) -> AlertState {
        self.index(hazard)
            .map_or(AlertState::Normal, |index| self.alerts[index].view.state)
    }

    /// The priority that is reported for one alert, while its condition stands.
    #[must_use]
    pub fn told(&self, hazard: Hazard) -> Option<Priority> {
        let view = &self.alerts[self.index(hazard)?].view;
        view.state.is_active().then_some(view.priority)
    }

    /// The severity of each alert when it was acknowledged, to be kept over a restart.
    #[must_use]
    pub fn measures(&self) -> Vec<(Hazard, f64)> {
        self.alerts
            .iter()
            .filter(|a| a.view.state == AlertState::ActiveAcknowledged)
            .filter_map(|a| Some((a.view.hazard, a.measure?)))
            .collect()
    }

    /// The severity is now calculated from another mark or rode: the next judgement sets the measure.
    pub fn measure_anew(&mut self, hazard: Hazard) {
        if let Some(index) = self.index(hazard) {
            self.alerts[index].measure = None;
        }
    }

    /// The last raise number used.
    #[must_use]
    pub const fn raises(&self) -> u64 {
        self.raises
    }

    /// The watch has ended: alerts whose condition has gone become normal, seen or not; so do the others,
    /// except those to be kept.
    pub fn dismiss(&mut self, now: Now, keep: impl Fn(Hazard) -> bool) {
        for index in 0..self.alerts.len() {
            let alert = &self.alerts[index];
            let stands = alert.view.state.is_active() && alert.gone_since.is_none();
            if !(stands && keep(alert.view.hazard)) {
                let _ = self.apply(now, index, Happened::WatchEnded);
            }
        }
    }

    /// Shows an alert again, unchanged, because a display has an older state.
    pub fn show_again(&mut self, hazard: Hazard) {
        if self.state(hazard) != AlertState::Normal {
            self.changes.push((hazard, Change::Reworded, Reason::Words));
        }
    }

    fn stands(&mut self, now: Now, hazard: Hazard, finding: Finding) {
        let index = self.index(hazard).unwrap_or_else(|| {
            self.alerts.push(Alert::blank(now, hazard, &finding));
            self.alerts.len() - 1
        });
        let alert = &mut self.alerts[index];
        // Restored or calculated again: the first judgement sets the measure.
        alert.measure.get_or_insert(finding.severity);
        alert.gone_since = None;
        alert.found = finding.priority;
        alert.severity = Some(finding.severity);
        let another_cause = alert.causes.take(now.tick, &finding.causes, CLEAR_HOLD);
        alert.evidence = finding.evidence;
        let other_words = alert.view.message != finding.message;
        let happened = Happened::Stands {
            priority: finding.priority,
            severity: finding.severity,
            // Another cause is reported at once, new numbers only as often as people can read them.
            another_cause,
            reworded: other_words && (another_cause || now.tick.since(alert.reworded_at) >= REWORD),
        };
        // Setting a condition is never refused.
        if let Ok(Decision { told: Some(_), .. }) = self.apply(now, index, happened) {
            self.alerts[index].view.message = finding.message;
            self.alerts[index].reworded_at = now.tick;
        }
    }

    fn gone(&mut self, now: Now, hazard: Hazard) {
        let Some(index) = self.index(hazard) else {
            return;
        };
        let alert = &mut self.alerts[index];
        if !alert.view.state.is_active() {
            return;
        }
        let since = *alert.gone_since.get_or_insert(now.tick);
        if now.tick.since(since) >= CLEAR_HOLD {
            let _ = self.apply(now, index, Happened::Gone);
        }
    }

    /// A person's act on one alert, or on all. Refused only if it changes none.
    fn act(
        &mut self,
        now: Now,
        hazard: Option<Hazard>,
        happened: impl Fn(&Alert) -> Happened,
    ) -> Result<usize, DeskRefusal> {
        let mut done = 0;
        let mut refusal = DeskRefusal::Nothing;
        for index in 0..self.alerts.len() {
            let alert = &self.alerts[index];
            let view = &alert.view;
            if view.state == AlertState::Normal || hazard.is_some_and(|h| h != view.hazard) {
                continue;
            }
            match self.apply(now, index, happened(alert)) {
                Ok(_) => done += 1,
                Err(DeskRefusal::Emergency) => refusal = DeskRefusal::Emergency,
                Err(why) if refusal == DeskRefusal::Nothing => refusal = why,
                Err(_) => {}
            }
        }
        if done == 0 { Err(refusal) } else { Ok(done) }
    }

    /// Decides, and applies the decision.
    fn apply(
        &mut self,
        now: Now,
        index: usize,
        happened: Happened,
    ) -> Result<Decision, DeskRefusal> {
        let alert = &mut self.alerts[index];
        let before = Standing {
            hazard: alert.view.hazard,
            state: alert.view.state,
            priority: alert.view.priority,
            escalated: alert.view.escalated,
            measure: alert.measure,
        };
        let decision = decide(&before, happened)?;
        let was_active = before.state.is_active();
        alert.view.state = decision.state;
        alert.view.priority = decision.priority;
        alert.view.escalated = decision.escalated;
        let repeat_at = now.tick + self.settings.repeat;
        if let Some((change, reason)) = decision.told {
            let hazard = alert.view.hazard;
            match change {
                Change::Raised => {
                    if reason == Reason::NotAnswered {
                        alert.count_escalation();
                    } else {
                        if !was_active {
                            alert.view.since = now.utc;
                        }
                        alert.view.escalation = 0;
                        alert.measure = alert.severity;
                        alert.answer_by = None;
                    }
                    self.raises += 1;
                    alert.view.raise = self.raises;
                    alert.repeat_at = Some(repeat_at);
                }
                Change::SoundsAgain => {
                    self.raises += 1;
                    alert.view.raise = self.raises;
                    alert.repeat_at = Some(repeat_at);
                }
                Change::Repeated => {
                    alert.count_escalation();
                    alert.repeat_at = Some(repeat_at);
                }
                Change::Acknowledged => alert.measure = alert.severity,
                Change::Silenced => alert.silent_until = Some(now.tick + SILENCE),
                Change::Cleared | Change::Reworded => {}
            }
            self.changes.push((hazard, change, reason));
        }
        // A timer that has run out must not run again.
        if alert.view.state != AlertState::ActiveSilenced {
            alert.silent_until = None;
        }
        if !alert.view.state.sounds() {
            alert.repeat_at = None;
        }
        let unanswered = alert.view.state.is_active()
            && alert.view.state != AlertState::ActiveAcknowledged
            && alert.view.priority == Priority::Warning;
        if unanswered {
            let answer_by = now.tick + self.settings.answer_within;
            alert.answer_by.get_or_insert(answer_by);
        } else {
            alert.answer_by = None;
        }
        Ok(decision)
    }

    fn index(&self, hazard: Hazard) -> Option<usize> {
        self.alerts.iter().position(|a| a.view.hazard == hazard)
    }
}

impl Alert {
    fn blank(now: Now, hazard: Hazard, finding: &Finding) -> Self {
        Self {
            view: AlertView {
                hazard,
                priority: finding.priority,
                state: AlertState::Normal,
                message: finding.message.clone(),
                since: now.utc,
                raise: 0,
                escalation: 0,
                escalated: false,
            },
            evidence: serde_json::Map::new(),
            found: finding.priority,
            severity: Some(finding.severity),
            causes: Causes::default(),
            measure: None,
            silent_until: None,
            repeat_at: None,
            answer_by: None,
            gone_since: None,
            reworded_at: now.tick,
        }
    }

    fn count_escalation(&mut self) {
        self.view.escalation = self.view.escalation.saturating_add(1);
    }
}

/// MSC.302(87) 7.3.5: an alarm that is not acknowledged within 30 s of being silenced sounds again.
pub const SILENCE: Duration = Duration::from_secs(30);
/// How long a condition must have gone before its alert is cleared. Chosen: longer than any single wrong
/// reading, shorter than anybody waits before checking again.
pub const CLEAR_HOLD: Duration = Duration::from_secs(10);
/// New words of a standing alert are reported no more often than this.
const REWORD: Duration = Duration::from_secs(10);

#[cfg(test)]
mod tests;
