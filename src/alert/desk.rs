//! The alert desk: one alert for each hazard, from raised to seen to by a person.
//!
//! Conduct after IMO MSC.302(87) and IEC 62923-1:
//!
//! | state | condition arises or grows graver | condition goes | acknowledged | silenced | 30 s pass |
//! |---|---|---|---|---|---|
//! | normal | active-unacknowledged¹ | – | – | – | – |
//! | active-unacknowledged | same, raised again if graver | rectified-unacknowledged² | active-acknowledged | active-silenced³ | – |
//! | active-silenced | active-unacknowledged if graver | rectified-unacknowledged² | active-acknowledged | – | active-unacknowledged |
//! | active-acknowledged | active-unacknowledged if graver | normal | – | – | – |
//! | rectified-unacknowledged | active-unacknowledged | – | normal | – | – |
//!
//! ¹ A caution is shown steadily and needs no acknowledgement: it goes straight to
//! active-acknowledged, and to normal when its condition goes. ² A caution to normal. ³ Not an
//! emergency alarm (the silence is refused).
//!
//! "Graver" is a higher priority, or, once somebody has acknowledged it, a severity worse than the
//! one they acknowledged by a step that depends on the hazard: who acknowledged a drag of 10 m
//! wants to hear of 20 m, who acknowledged 0.4 m under the keel of 0.2 m. The watch itself
//! impaired in another way is another situation. The silence of 30 s and its end are MSC.302(87)
//! 7.3.5; the re-raise on worsening is ours (the standard leaves it to the equipment), as is
//! keeping rectified alerts until seen for warnings too.
//!
//! Each raise counts up a number that goes with the alert, so that a display whose
//! acknowledgement is sticky can tell a new raise from the old one.

use std::time::Duration;

use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::time::{Now, Tick};

/// A condition that stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// How grave.
    pub priority: Priority,
    /// How bad in numbers that can be compared (metres, say); nought where there is none.
    pub severity: f64,
    /// For people.
    pub message: String,
    /// The numbers behind it.
    pub evidence: serde_json::Map<String, serde_json::Value>,
}

/// What became of a finding or of a person's act.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Raised, or raised anew because it is graver.
    Raised,
    /// The condition has gone.
    Cleared,
    /// Somebody acknowledged it.
    Acknowledged,
    /// Its sound is held.
    Silenced,
    /// The silence has run out.
    SoundsAgain,
    /// Less grave than before, or new words.
    Reworded,
}

/// Why a person's act was refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DeskRefusal {
    /// There is no such alert.
    #[error("there is no alert to acknowledge or silence")]
    Nothing,
    /// All of it is acknowledged already.
    #[error("it is acknowledged already")]
    Already,
    /// An emergency alarm cannot be silenced.
    #[error("an emergency alarm cannot be silenced; acknowledge it")]
    Emergency,
}

/// The desk. `set` and the persons' acts change it; changed alerts are taken from it by
/// [`Desk::poll_change`].
#[derive(Clone, Debug, Default)]
pub struct Desk {
    alerts: Vec<Alert>,
    raises: u64,
    changes: Vec<(Hazard, Change)>,
}

#[derive(Clone, Debug)]
struct Alert {
    view: AlertView,
    evidence: serde_json::Map<String, serde_json::Value>,
    severity: f64,
    severity_acknowledged: Option<f64>,
    silent_until: Option<Tick>,
    reworded_at: Tick,
}

impl Desk {
    /// With alerts that stood before a restart: as they were, but what was silenced sounds, and
    /// each counts as a new raise, so that every display shows it afresh.
    #[must_use]
    pub fn restored(
        now: Now,
        alerts: &[AlertView],
        measures: &[(Hazard, f64)],
        raises: u64,
    ) -> Self {
        let mut desk = Self {
            raises,
            ..Self::default()
        };
        for view in alerts {
            let mut view = view.clone();
            if view.state == AlertState::ActiveSilenced {
                view.state = AlertState::ActiveUnacknowledged;
            }
            desk.raises += 1;
            view.raise = desk.raises;
            let measure = measures.iter().find(|(hazard, _)| *hazard == view.hazard);
            desk.alerts.push(Alert {
                view,
                evidence: serde_json::Map::new(),
                severity: 0.0,
                severity_acknowledged: measure.map(|(_, severity)| *severity),
                silent_until: None,
                reworded_at: now.tick,
            });
        }
        desk
    }

    /// States whether the condition stands, and how. To be called as often as it is judged.
    pub fn set(&mut self, now: Now, hazard: Hazard, finding: Option<Finding>) {
        match finding {
            Some(finding) => self.stands(now, hazard, finding),
            None => self.gone(hazard),
        }
    }

    /// Somebody acknowledges one alert, or all.
    pub fn acknowledge(&mut self, hazard: Option<Hazard>) -> Result<usize, DeskRefusal> {
        let mut seen = 0;
        let mut done = Vec::new();
        for alert in self.matching(hazard) {
            seen += 1;
            match alert.view.state {
                AlertState::ActiveUnacknowledged | AlertState::ActiveSilenced => {
                    alert.view.state = AlertState::ActiveAcknowledged;
                }
                AlertState::RectifiedUnacknowledged => alert.view.state = AlertState::Normal,
                AlertState::ActiveAcknowledged | AlertState::Normal => continue,
            }
            alert.severity_acknowledged = Some(alert.severity);
            alert.silent_until = None;
            done.push(alert.view.hazard);
        }
        self.report(&done, Change::Acknowledged, seen)
    }

    /// Somebody wants the sound held: of one alert, or of all.
    pub fn silence(&mut self, now: Now, hazard: Option<Hazard>) -> Result<usize, DeskRefusal> {
        let mut seen = 0;
        let mut emergency = false;
        let mut done = Vec::new();
        for alert in self.matching(hazard) {
            seen += 1;
            if alert.view.state == AlertState::ActiveUnacknowledged {
                if alert.view.priority == Priority::EmergencyAlarm {
                    emergency = true;
                    continue;
                }
                alert.view.state = AlertState::ActiveSilenced;
                alert.silent_until = Some(now.tick + SILENCE);
                done.push(alert.view.hazard);
            }
        }
        if done.is_empty() && emergency {
            return Err(DeskRefusal::Emergency);
        }
        self.report(&done, Change::Silenced, seen)
    }

    /// Lets silences run out.
    pub fn handle_timeout(&mut self, now: Now) {
        for alert in &mut self.alerts {
            if alert.silent_until.is_some_and(|until| until <= now.tick) {
                alert.silent_until = None;
                alert.view.state = AlertState::ActiveUnacknowledged;
                self.raises += 1;
                alert.view.raise = self.raises;
                self.changes.push((alert.view.hazard, Change::SoundsAgain));
            }
        }
    }

    /// When the next silence runs out.
    #[must_use]
    pub fn poll_timeout(&self) -> Option<Tick> {
        self.alerts.iter().filter_map(|a| a.silent_until).min()
    }

    /// The next alert that changed: as it is now, what happened, and the evidence.
    #[must_use]
    pub fn poll_change(
        &mut self,
    ) -> Option<(
        AlertView,
        Change,
        serde_json::Map<String, serde_json::Value>,
    )> {
        if self.changes.is_empty() {
            self.alerts.retain(|a| a.view.state != AlertState::Normal);
            return None;
        }
        let (hazard, change) = self.changes.remove(0);
        let alert = self.alerts.iter().find(|a| a.view.hazard == hazard)?;
        Some((alert.view.clone(), change, alert.evidence.clone()))
    }

    /// Every alert that is not normal, gravest first.
    #[must_use]
    pub fn standing(&self) -> Vec<AlertView> {
        let mut views: Vec<_> = self
            .alerts
            .iter()
            .filter(|a| a.view.state != AlertState::Normal)
            .map(|a| a.view.clone())
            .collect();
        views.sort_by_key(|view| (std::cmp::Reverse(view.priority), view.hazard));
        views
    }

    /// One alert's state.
    #[must_use]
    pub fn state(&self, hazard: Hazard) -> AlertState {
        self.alerts
            .iter()
            .find(|a| a.view.hazard == hazard)
            .map_or(AlertState::Normal, |a| a.view.state)
    }

    /// How bad each alert was when it was acknowledged, to be kept over a restart.
    #[must_use]
    pub fn measures(&self) -> Vec<(Hazard, f64)> {
        self.alerts
            .iter()
            .filter(|a| a.view.state == AlertState::ActiveAcknowledged)
            .filter_map(|a| Some((a.view.hazard, a.severity_acknowledged?)))
            .collect()
    }

    /// What is bad is reckoned from another mark or rode now: the next judgement is the measure.
    pub fn measure_anew(&mut self, hazard: Hazard) {
        for alert in self.matching(Some(hazard)) {
            alert.severity_acknowledged = None;
        }
    }

    /// The last raise number given out.
    #[must_use]
    pub fn raises(&self) -> u64 {
        self.raises
    }

    fn stands(&mut self, now: Now, hazard: Hazard, finding: Finding) {
        let caution = finding.priority == Priority::Caution;
        let Some(alert) = self.alerts.iter_mut().find(|a| a.view.hazard == hazard) else {
            self.raises += 1;
            self.alerts.push(Alert {
                view: AlertView {
                    hazard,
                    priority: finding.priority,
                    state: raised_state(caution),
                    message: finding.message,
                    since: now.utc,
                    raise: self.raises,
                },
                evidence: finding.evidence,
                severity: finding.severity,
                severity_acknowledged: Some(finding.severity),
                silent_until: None,
                reworded_at: now.tick,
            });
            self.changes.push((hazard, Change::Raised));
            return;
        };
        let held = alert.view.priority;
        // Restored from before a restart: the first judgement sets the measure.
        let acknowledged = *alert.severity_acknowledged.get_or_insert(finding.severity);
        let worse = alert.view.state == AlertState::ActiveAcknowledged
            && !caution
            && hazard
                .worse_than(acknowledged)
                .is_some_and(|limit| finding.severity >= limit);
        let another = hazard == Hazard::Watch && alert.view.message != finding.message;
        let graver = finding.priority > held;
        let again = !alert.view.state.is_active();
        alert.severity = finding.severity;
        alert.evidence = finding.evidence;
        alert.view.priority = finding.priority;
        if again || graver || worse || (another && !caution) {
            if again {
                alert.view.since = now.utc;
            }
            self.raises += 1;
            alert.view.raise = self.raises;
            alert.view.state = raised_state(caution);
            alert.view.message = finding.message;
            alert.severity_acknowledged = Some(finding.severity);
            alert.silent_until = None;
            alert.reworded_at = now.tick;
            self.changes.push((hazard, Change::Raised));
        } else if finding.priority != held
            || (alert.view.message != finding.message
                && now.tick.since(alert.reworded_at) >= REWORD)
        {
            if caution {
                // No longer grave enough to be acknowledged.
                alert.view.state = AlertState::ActiveAcknowledged;
                alert.silent_until = None;
            }
            alert.view.message = finding.message;
            alert.reworded_at = now.tick;
            self.changes.push((hazard, Change::Reworded));
        }
    }

    fn gone(&mut self, hazard: Hazard) {
        let Some(alert) = self
            .alerts
            .iter_mut()
            .find(|a| a.view.hazard == hazard && a.view.state.is_active())
        else {
            return;
        };
        alert.silent_until = None;
        alert.view.state = if alert.view.state == AlertState::ActiveAcknowledged {
            AlertState::Normal
        } else {
            AlertState::RectifiedUnacknowledged
        };
        self.changes.push((hazard, Change::Cleared));
    }

    /// The watch has ended: what is over goes to normal, seen or not, and of what stands all but
    /// what is to be kept.
    pub fn dismiss(&mut self, keep: impl Fn(Hazard) -> bool) {
        for alert in &mut self.alerts {
            let hazard = alert.view.hazard;
            let change = match alert.view.state {
                AlertState::Normal => continue,
                // Told as cleared when it was over.
                AlertState::RectifiedUnacknowledged => Change::Reworded,
                AlertState::ActiveUnacknowledged
                | AlertState::ActiveSilenced
                | AlertState::ActiveAcknowledged
                    if keep(hazard) =>
                {
                    continue;
                }
                AlertState::ActiveUnacknowledged
                | AlertState::ActiveSilenced
                | AlertState::ActiveAcknowledged => Change::Cleared,
            };
            alert.view.state = AlertState::Normal;
            alert.silent_until = None;
            self.changes.push((hazard, change));
        }
    }

    /// Shows an alert again, unchanged: a display holds less than we do.
    pub fn show_again(&mut self, hazard: Hazard) {
        if self.state(hazard) != AlertState::Normal {
            self.changes.push((hazard, Change::Reworded));
        }
    }

    fn matching(&mut self, hazard: Option<Hazard>) -> impl Iterator<Item = &mut Alert> {
        self.alerts.iter_mut().filter(move |a| {
            a.view.state != AlertState::Normal && hazard.is_none_or(|h| h == a.view.hazard)
        })
    }

    fn report(
        &mut self,
        done: &[Hazard],
        change: Change,
        seen: usize,
    ) -> Result<usize, DeskRefusal> {
        if done.is_empty() {
            return Err(if seen == 0 {
                DeskRefusal::Nothing
            } else {
                DeskRefusal::Already
            });
        }
        self.changes
            .extend(done.iter().map(|hazard| (*hazard, change)));
        Ok(done.len())
    }
}

fn raised_state(caution: bool) -> AlertState {
    if caution {
        AlertState::ActiveAcknowledged
    } else {
        AlertState::ActiveUnacknowledged
    }
}

/// MSC.302(87) 7.3.5: an alarm not acknowledged within 30 s of being silenced sounds again.
const SILENCE: Duration = Duration::from_secs(30);
/// New words of a standing alert go out no more often than this.
const REWORD: Duration = Duration::from_secs(10);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Timestamp;
    use AlertState::{
        ActiveAcknowledged, ActiveSilenced, ActiveUnacknowledged, Normal, RectifiedUnacknowledged,
    };

    fn at(second: u64) -> Now {
        Now::new(
            Tick::from_secs(second),
            Timestamp::EPOCH.plus(Duration::from_secs(second)),
        )
    }

    #[expect(clippy::unnecessary_wraps, reason = "it is handed to `set` as it is")]
    fn finding(priority: Priority, severity: f64) -> Option<Finding> {
        Some(Finding {
            priority,
            severity,
            message: format!("{severity} m"),
            evidence: serde_json::Map::new(),
        })
    }

    fn changes(desk: &mut Desk) -> Vec<(AlertState, Change)> {
        std::iter::from_fn(|| desk.poll_change())
            .map(|(view, change, _)| (view.state, change))
            .collect()
    }

    /// The table of the module's page, cell by cell.
    #[test]
    fn every_cell_of_the_table() {
        type Act = fn(&mut Desk);
        let raise: Act = |d| d.set(at(1), Hazard::Dragging, finding(Priority::Alarm, 5.0));
        let graver: Act = |d| {
            d.set(
                at(1),
                Hazard::Dragging,
                finding(Priority::EmergencyAlarm, 5.0),
            );
        };
        let goes: Act = |d| d.set(at(1), Hazard::Dragging, None);
        let acknowledge: Act = |d| {
            let _ = d.acknowledge(Some(Hazard::Dragging));
        };
        let silence: Act = |d| {
            let _ = d.silence(at(1), None);
        };
        let wait: Act = |d| d.handle_timeout(at(32));
        let table: [(&[Act], [AlertState; 5]); 5] = [
            (&[], [ActiveUnacknowledged, Normal, Normal, Normal, Normal]),
            (
                &[raise],
                [
                    ActiveUnacknowledged,
                    RectifiedUnacknowledged,
                    ActiveAcknowledged,
                    ActiveSilenced,
                    ActiveUnacknowledged,
                ],
            ),
            (
                &[raise, silence],
                [
                    ActiveUnacknowledged,
                    RectifiedUnacknowledged,
                    ActiveAcknowledged,
                    ActiveSilenced,
                    ActiveUnacknowledged,
                ],
            ),
            (
                &[raise, acknowledge],
                [
                    ActiveUnacknowledged,
                    Normal,
                    ActiveAcknowledged,
                    ActiveAcknowledged,
                    ActiveAcknowledged,
                ],
            ),
            (
                &[raise, goes],
                [
                    ActiveUnacknowledged,
                    RectifiedUnacknowledged,
                    Normal,
                    RectifiedUnacknowledged,
                    RectifiedUnacknowledged,
                ],
            ),
        ];
        for (path, row) in table {
            for (act, expected) in [graver, goes, acknowledge, silence, wait]
                .into_iter()
                .zip(row)
            {
                let mut desk = Desk::default();
                for step in path {
                    step(&mut desk);
                }
                act(&mut desk);
                assert_eq!(desk.state(Hazard::Dragging), expected);
            }
        }
    }

    #[test]
    fn the_same_finding_again_is_no_new_raise_and_new_words_wait_ten_seconds() {
        let mut desk = Desk::default();
        desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 5.0));
        for second in 1..=10 {
            let severity = 5.0 + second as f64 / 10.0;
            desk.set(
                at(second),
                Hazard::Dragging,
                finding(Priority::Alarm, severity),
            );
        }
        assert_eq!(
            changes(&mut desk),
            [
                (ActiveUnacknowledged, Change::Raised),
                (ActiveUnacknowledged, Change::Reworded)
            ]
        );
    }

    #[test]
    fn an_acknowledged_drag_that_doubles_sounds_again() {
        let mut desk = Desk::default();
        desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 12.0));
        desk.acknowledge(None).unwrap();
        desk.set(at(1), Hazard::Dragging, finding(Priority::Alarm, 20.0));
        assert_eq!(desk.state(Hazard::Dragging), ActiveAcknowledged);
        desk.set(at(2), Hazard::Dragging, finding(Priority::Alarm, 24.5));
        assert_eq!(desk.state(Hazard::Dragging), ActiveUnacknowledged);
        assert_eq!(desk.standing()[0].raise, 2);
    }

    #[test]
    fn what_was_acknowledged_before_a_restart_is_the_measure_after_it() {
        let mut desk = Desk::default();
        desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 20.0));
        desk.acknowledge(None).unwrap();
        let mut after = Desk::restored(at(0), &desk.standing(), &desk.measures(), desk.raises());
        after.set(at(1), Hazard::Dragging, finding(Priority::Alarm, 320.0));
        assert_eq!(after.state(Hazard::Dragging), ActiveUnacknowledged);
    }

    #[test]
    fn each_hazard_has_its_own_step_to_worse() {
        for (hazard, acknowledged, quiet, loud) in [
            (Hazard::Dragging, 12.0, 23.0, 24.0),
            (Hazard::Shoaling, 0.1, 0.25, 0.31),
            (Hazard::Position, 1.0, 10.0, 11.0),
        ] {
            let mut desk = Desk::default();
            desk.set(at(0), hazard, finding(Priority::Alarm, acknowledged));
            desk.acknowledge(None).unwrap();
            desk.set(at(1), hazard, finding(Priority::Alarm, quiet));
            assert_eq!(desk.state(hazard), ActiveAcknowledged, "{hazard}");
            desk.set(at(2), hazard, finding(Priority::Alarm, loud));
            assert_eq!(desk.state(hazard), ActiveUnacknowledged, "{hazard}");
        }
    }

    #[test]
    fn the_watch_impaired_in_another_way_sounds_again() {
        let mut desk = Desk::default();
        let impaired = |words: &str| {
            Some(Finding {
                message: words.to_owned(),
                ..finding(Priority::Warning, 0.0).unwrap()
            })
        };
        desk.set(at(0), Hazard::Watch, impaired("the disk is full"));
        desk.acknowledge(None).unwrap();
        desk.set(at(1), Hazard::Watch, impaired("windrode was stopped"));
        assert_eq!(desk.state(Hazard::Watch), ActiveUnacknowledged);
    }

    #[test]
    fn a_caution_is_steady_and_goes_by_itself() {
        let mut desk = Desk::default();
        desk.set(at(0), Hazard::Position, finding(Priority::Caution, 0.0));
        assert_eq!(desk.state(Hazard::Position), ActiveAcknowledged);
        assert_eq!(desk.acknowledge(None), Err(DeskRefusal::Already));
        desk.set(at(1), Hazard::Position, finding(Priority::Alarm, 0.0));
        assert_eq!(desk.state(Hazard::Position), ActiveUnacknowledged);
        desk.set(at(2), Hazard::Position, None);
        assert_eq!(desk.state(Hazard::Position), RectifiedUnacknowledged);
    }

    #[test]
    fn refusals_say_why() {
        let mut desk = Desk::default();
        let nothing = desk.acknowledge(None).unwrap_err();
        assert_eq!(
            nothing.to_string(),
            "there is no alert to acknowledge or silence"
        );
        desk.set(
            at(0),
            Hazard::Dragging,
            finding(Priority::EmergencyAlarm, 0.0),
        );
        let emergency = desk.silence(at(0), None).unwrap_err();
        assert_eq!(
            emergency.to_string(),
            "an emergency alarm cannot be silenced; acknowledge it"
        );
    }

    #[test]
    fn what_stood_before_a_restart_stands_after_it_and_sounds() {
        let mut desk = Desk::default();
        desk.set(at(0), Hazard::Dragging, finding(Priority::Alarm, 12.0));
        desk.silence(at(1), None).unwrap();
        let saved = desk.standing();
        let mut after = Desk::restored(at(0), &saved, &desk.measures(), desk.raises());
        assert_eq!(after.state(Hazard::Dragging), ActiveUnacknowledged);
        assert!(after.standing()[0].raise > saved[0].raise);
        // The condition is judged anew and still stands: no second raise.
        after.set(at(1), Hazard::Dragging, finding(Priority::Alarm, 30.0));
        assert!(
            changes(&mut after)
                .iter()
                .all(|(_, change)| *change != Change::Raised)
        );
    }

    #[test]
    fn a_normal_alert_is_forgotten_once_told() {
        let mut desk = Desk::default();
        desk.set(at(0), Hazard::WindShift, finding(Priority::Warning, 70.0));
        desk.acknowledge(None).unwrap();
        desk.set(at(1), Hazard::WindShift, None);
        assert_eq!(changes(&mut desk).last(), Some(&(Normal, Change::Cleared)));
        assert!(desk.alerts.is_empty());
    }
}
