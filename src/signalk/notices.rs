//! Our alerts as Signal K notifications, one path for each hazard, and what other clients do to
//! them.
//!
//! # What is published
//! | alert | `state` | `method` |
//! |---|---|---|
//! | active, unacknowledged | by priority: `emergency`, `alarm`, `warn`, `alert` | visual and sound; a caution visual only |
//! | active, silenced or acknowledged | by priority | visual |
//! | rectified, unacknowledged | `alert` | visual |
//! | normal | `normal` | none |
//!
//! *Rectified, unacknowledged*: the condition has gone, so nothing must sound and nothing must
//! look as grave as it was; but a crew that slept through it shall find it in the morning. So it
//! stays on the display as `alert`, the least state that is shown, with a message that begins
//! "cleared, not yet acknowledged", until somebody acknowledges it there or here.
//!
//! *Acknowledged here* (a button, the command line): the value carries
//! `"acknowledgeStatus":"Yes"`, so that the server marks it as acknowledged for every display,
//! and after a restart of the server, which loses acknowledgements, it does not sound again. The
//! server cannot take that back except through `normal`, which is what a new raise does anyway.
//! The price: of an acknowledged alarm the server strikes out `method` entirely (of an emergency
//! all but visual), here as after an acknowledgement at a display; its `state` still shows it.
//!
//! # Re-arming
//! The server's silence and acknowledgement stick to the path: published again, or made graver,
//! the notification comes out mute. Only a passage through `normal` resets them. So when an alert
//! is to sound and its raise is not the one the server was last told of, or the server is known
//! to hold it mute, `normal` is published first and the alert after it.
//!
//! # Echoes
//! Each publication carries `data` with the alert's `raise` and a running number, `issue`, and
//! comes back with both. That tells echoes of what we have overtaken (our own `normal` of a
//! re-arm among them) from what somebody did: `status.acknowledged` or `.silenced` for the raise
//! we hold is the crew's act at a display; a lower state on our last issue is somebody's
//! overwriting, told and corrected, at most once in [`CORRECT_AT_MOST_EVERY`] for each hazard, so
//! that two clients at odds do not flood the network. Who acted is not told by the server.
//!
//! Assumption: `issue` grows from run to run; it is the clock's milliseconds or the last plus one,
//! whichever is greater. Weakness: with a clock set back between two runs an echo of the earlier
//! run may pass for a late one of this; it costs a correction that was not needed.

use std::time::Duration;

use serde_json::{Value, json};

use super::echo::{self, Echo};
use super::wire::Wire;
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::time::{Now, Tick};
use crate::watch::words::{DisplayAct, DisplayAction};

/// Somebody who overwrites our notification is corrected no more often than this.
pub const CORRECT_AT_MOST_EVERY: Duration = Duration::from_secs(10);

/// The notification's values to publish, in this order, each in a delta of its own.
pub type Values = Vec<(Hazard, Value)>;

/// What is held for each hazard and what the server was told of it.
#[derive(Clone, Debug)]
pub struct Notices {
    slots: [Slot; Hazard::ALL.len()],
    last_issue: u64,
}

#[derive(Clone, Debug)]
struct Slot {
    hazard: Hazard,
    view: Option<AlertView>,
    shown: Shown,
    /// The server holds it silenced or acknowledged: what we publish comes out mute.
    mute: bool,
    /// Our last publication.
    issue: u64,
    /// The last passage through normal: earlier echoes are of an earlier life.
    armed: u64,
    told_acknowledged: Option<u64>,
    told_silenced: bool,
    corrected: Option<Tick>,
    correct_at: Option<Tick>,
}

/// What the server was last told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shown {
    /// Perhaps something by an earlier run, perhaps nothing.
    Unknown,
    Normal,
    /// The raise of that number.
    Raised(u64),
}

impl Default for Notices {
    fn default() -> Self {
        Self {
            slots: Hazard::ALL.map(|hazard| Slot {
                hazard,
                view: None,
                shown: Shown::Unknown,
                mute: false,
                issue: 0,
                armed: 0,
                told_acknowledged: None,
                told_silenced: false,
                corrected: None,
                correct_at: None,
            }),
            last_issue: 0,
        }
    }
}

impl Notices {
    /// Keeps the alert as it stands now; published by [`Notices::publish`].
    pub fn hold(&mut self, view: &AlertView) {
        if let Some(slot) = self.slot(view.hazard) {
            slot.view = Some(view.clone());
        }
    }

    /// The server has lost everything: it was started anew, or it is another one.
    pub fn forget(&mut self) {
        for slot in &mut self.slots {
            slot.shown = Shown::Unknown;
            slot.mute = false;
        }
    }

    /// What brings the server up to one alert that is held.
    pub fn publish(&mut self, now: Now, hazard: Hazard) -> Values {
        let mut values = Vec::new();
        let last_issue = &mut self.last_issue;
        if let Some(slot) = self.slots.iter_mut().find(|slot| slot.hazard == hazard) {
            slot.publish(now, last_issue, &mut values);
        }
        values
    }

    /// What brings the server up to all of them, normal ones included: an earlier run may have
    /// left an alarm standing.
    pub fn publish_all(&mut self, now: Now) -> Values {
        Hazard::ALL
            .into_iter()
            .flat_map(|hazard| self.publish(now, hazard))
            .collect()
    }

    /// A notification of ours came back. Gives what a display did to it, if it did something new.
    pub fn handle_echo(
        &mut self,
        now: Tick,
        hazard: Hazard,
        value: &Wire<'_>,
    ) -> Option<DisplayAction> {
        let echo = echo::read(value);
        let act = self.slot(hazard)?.echo(now, echo)?;
        Some(DisplayAction { hazard, act })
    }

    /// When a correction that was put off is due.
    #[must_use]
    pub fn due(&self) -> Option<Tick> {
        self.slots.iter().filter_map(|slot| slot.correct_at).min()
    }

    /// The hazards whose correction is due: publish them again.
    pub fn corrections(&mut self, now: Tick) -> Vec<Hazard> {
        self.slots
            .iter_mut()
            .filter_map(|slot| {
                slot.correct_at.filter(|due| *due <= now)?;
                slot.correct_at = None;
                slot.corrected = Some(now);
                Some(slot.hazard)
            })
            .collect()
    }

    fn slot(&mut self, hazard: Hazard) -> Option<&mut Slot> {
        self.slots.iter_mut().find(|slot| slot.hazard == hazard)
    }
}

impl Slot {
    fn publish(&mut self, now: Now, last_issue: &mut u64, values: &mut Values) {
        let mut issue = || {
            let clock = u64::try_from(now.utc.as_millis()).unwrap_or(0);
            *last_issue = clock.max(last_issue.saturating_add(1));
            *last_issue
        };
        self.correct_at = None;
        let Some(view) = self
            .view
            .as_ref()
            .filter(|view| view.state != AlertState::Normal)
        else {
            self.issue = issue();
            self.armed = self.issue;
            self.mute = false;
            self.shown = Shown::Normal;
            let raise = self.view.as_ref().map_or(0, |view| view.raise);
            values.push((self.hazard, normal(raise, self.issue)));
            return;
        };
        let rearm = match self.shown {
            Shown::Unknown => true,
            Shown::Normal => false,
            Shown::Raised(raise) => {
                raise != view.raise || (methods(view).contains(&"sound") && self.mute)
            }
        };
        if rearm {
            self.armed = issue();
            self.mute = false;
            values.push((self.hazard, normal(view.raise, self.armed)));
        }
        if view.state != AlertState::ActiveSilenced {
            self.told_silenced = false;
        }
        self.issue = issue();
        self.shown = Shown::Raised(view.raise);
        self.mute |= view.state == AlertState::ActiveAcknowledged;
        values.push((self.hazard, shown(view, self.issue)));
    }

    fn echo(&mut self, now: Tick, echo: Echo) -> Option<DisplayAct> {
        let view = self
            .view
            .as_ref()
            .filter(|view| view.state != AlertState::Normal)?;
        // Of another raise; or, where the numbers were lost with the journal, of another alert
        // that had the same number.
        if echo.raise.is_some_and(|raise| raise != view.raise)
            || echo.since.is_some_and(|since| since != view.since)
        {
            return None;
        }
        // The marks of an earlier life fall only with the first state after normal: on a normal
        // they say nothing.
        let stands = echo.rank > 0;
        let acknowledged = echo.acknowledged && stands;
        let silenced = echo.silenced && stands;
        let of_this_life = echo.issue.is_none_or(|issue| issue >= self.armed);
        let of_the_last = echo.issue.is_none_or(|issue| issue == self.issue);
        if of_this_life {
            self.mute |= silenced || acknowledged;
        }
        let open = matches!(
            view.state,
            AlertState::ActiveUnacknowledged
                | AlertState::ActiveSilenced
                | AlertState::RectifiedUnacknowledged
        );
        if acknowledged && open && self.told_acknowledged != Some(view.raise) {
            self.told_acknowledged = Some(view.raise);
            return Some(DisplayAct::Acknowledged);
        }
        let ours = state(view);
        if of_the_last && echo.rank < echo::rank(ours) {
            if let Some(corrected) = self.corrected
                && now.since(corrected) < CORRECT_AT_MOST_EVERY
            {
                self.correct_at = Some(corrected + CORRECT_AT_MOST_EVERY);
                return None;
            }
            self.corrected = Some(now);
            return Some(DisplayAct::Cleared);
        }
        if of_the_last {
            self.correct_at = None;
        }
        // Older displays take the sound away by writing `method` instead of silencing.
        let hushed = of_the_last && !echo.sounds && methods(view).contains(&"sound");
        if (hushed || (of_this_life && silenced))
            && !acknowledged
            && view.state == AlertState::ActiveUnacknowledged
            && !self.told_silenced
        {
            self.told_silenced = true;
            return Some(DisplayAct::Silenced);
        }
        None
    }
}

fn state(view: &AlertView) -> &'static str {
    match view.state {
        AlertState::Normal => "normal",
        AlertState::RectifiedUnacknowledged => "alert",
        AlertState::ActiveUnacknowledged
        | AlertState::ActiveSilenced
        | AlertState::ActiveAcknowledged => match view.priority {
            Priority::EmergencyAlarm => "emergency",
            Priority::Alarm => "alarm",
            Priority::Warning => "warn",
            Priority::Caution => "alert",
        },
    }
}

fn methods(view: &AlertView) -> &'static [&'static str] {
    match (view.state, view.priority) {
        (AlertState::Normal, _) => &[],
        (
            AlertState::ActiveUnacknowledged,
            Priority::EmergencyAlarm | Priority::Alarm | Priority::Warning,
        ) => &["visual", "sound"],
        (
            AlertState::ActiveUnacknowledged
            | AlertState::ActiveSilenced
            | AlertState::ActiveAcknowledged
            | AlertState::RectifiedUnacknowledged,
            _,
        ) => &["visual"],
    }
}

fn shown(view: &AlertView, issue: u64) -> Value {
    let message = if view.state == AlertState::RectifiedUnacknowledged {
        format!("cleared, not yet acknowledged: {}", view.message)
    } else {
        view.message.clone()
    };
    let mut value = json!({
        "state": state(view),
        "method": methods(view),
        "message": message,
        "createdAt": view.since,
        "data": {
            "raise": view.raise,
            "issue": issue,
            "priority": view.priority,
            "alertState": view.state,
        },
    });
    if view.state == AlertState::ActiveAcknowledged
        && let Value::Object(members) = &mut value
    {
        members.insert("acknowledgeStatus".to_owned(), "Yes".into());
    }
    value
}

fn normal(raise: u64, issue: u64) -> Value {
    json!({
        "state": "normal",
        "method": [],
        "message": "",
        "data": {"raise": raise, "issue": issue},
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;
    use crate::time::Timestamp;

    fn at(secs: u64) -> Now {
        let start: Timestamp = "2026-06-01T21:30:00Z".parse().unwrap();
        Now::new(Tick::START, start).plus(Duration::from_secs(secs))
    }

    fn dragging(state: AlertState, raise: u64) -> AlertView {
        AlertView {
            hazard: Hazard::Dragging,
            priority: Priority::Alarm,
            state,
            message: "the anchor has moved 14 m".into(),
            since: at(0).utc,
            raise,
            escalation: 0,
            escalated: false,
        }
    }

    const OPEN: AlertState = AlertState::ActiveUnacknowledged;

    fn tell(notices: &mut Notices, now: Now, view: &AlertView) -> Vec<Value> {
        notices.hold(view);
        values(notices.publish(now, view.hazard))
    }

    fn values(values: Values) -> Vec<Value> {
        values.into_iter().map(|(_, value)| value).collect()
    }

    fn states(values: &[Value]) -> Vec<&str> {
        values
            .iter()
            .map(|v| v["state"].as_str().unwrap())
            .collect()
    }

    /// As signalk-server 2.32.0 sends it back: ours, with `id` and `status` added.
    fn echo_of(value: &Value, silenced: bool, acknowledged: bool) -> Value {
        let mut echo = value.clone();
        echo["id"] = json!("0d311f5c");
        echo["status"] = json!({"silenced": silenced, "acknowledged": acknowledged});
        if silenced || acknowledged {
            echo["method"] = json!([]);
        }
        echo
    }

    fn hear(notices: &mut Notices, now: Now, echo: &Value) -> Option<DisplayAct> {
        let text = echo.to_string();
        let wire: Wire<'_> = serde_json::from_str(&text).unwrap();
        notices
            .handle_echo(now.tick, Hazard::Dragging, &wire)
            .map(|action| action.act)
    }

    /// A server that has seen us all normal.
    fn calm() -> Notices {
        let mut notices = Notices::default();
        let first = values(notices.publish_all(at(0)));
        assert_eq!(states(&first), ["normal"; Hazard::ALL.len()]);
        notices
    }

    #[test]
    fn state_and_method_follow_priority_and_what_is_done() {
        use AlertState::{ActiveAcknowledged, ActiveSilenced, Normal, RectifiedUnacknowledged};
        use Priority::{Alarm, Caution, EmergencyAlarm, Warning};
        let loud = json!(["visual", "sound"]);
        let seen = json!(["visual"]);
        for (priority, alert_state, state, method) in [
            (EmergencyAlarm, OPEN, "emergency", &loud),
            (Alarm, OPEN, "alarm", &loud),
            (Warning, OPEN, "warn", &loud),
            (Caution, OPEN, "alert", &seen),
            (EmergencyAlarm, ActiveAcknowledged, "emergency", &seen),
            (Alarm, ActiveSilenced, "alarm", &seen),
            (Alarm, ActiveAcknowledged, "alarm", &seen),
            (Caution, ActiveAcknowledged, "alert", &seen),
            (Alarm, RectifiedUnacknowledged, "alert", &seen),
            (Alarm, Normal, "normal", &json!([])),
        ] {
            let mut view = dragging(alert_state, 1);
            view.priority = priority;
            let said = tell(&mut calm(), at(1), &view);
            assert_eq!(said.len(), 1);
            assert_eq!(said[0]["state"], state);
            assert_eq!(said[0]["method"], *method, "{priority:?} {alert_state:?}");
            assert_eq!(
                said[0].get("acknowledgeStatus").is_some(),
                alert_state == ActiveAcknowledged
            );
        }
    }

    #[test]
    fn what_went_by_unseen_stays_on_the_display() {
        let said = tell(
            &mut calm(),
            at(1),
            &dragging(AlertState::RectifiedUnacknowledged, 1),
        );
        assert_eq!(
            said[0]["message"],
            "cleared, not yet acknowledged: the anchor has moved 14 m"
        );
    }

    #[test]
    fn a_new_raise_goes_through_normal_so_that_it_sounds_again() {
        let mut notices = calm();
        assert_eq!(
            states(&tell(&mut notices, at(1), &dragging(OPEN, 1))),
            ["alarm"]
        );
        // Shown again without a new raise: nothing to re-arm.
        assert_eq!(
            states(&tell(&mut notices, at(2), &dragging(OPEN, 1))),
            ["alarm"]
        );
        let mut graver = dragging(OPEN, 2);
        graver.priority = Priority::EmergencyAlarm;
        assert_eq!(
            states(&tell(&mut notices, at(3), &graver)),
            ["normal", "emergency"]
        );
        // From normal there is nothing to undo.
        assert_eq!(
            states(&tell(&mut notices, at(4), &dragging(AlertState::Normal, 2))),
            ["normal"]
        );
        assert_eq!(
            states(&tell(&mut notices, at(5), &dragging(OPEN, 3))),
            ["alarm"]
        );
    }

    #[test]
    fn a_silence_that_ran_out_sounds_again() {
        let mut notices = calm();
        let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
        let echo = echo_of(&said[0], true, false);
        assert_eq!(hear(&mut notices, at(2), &echo), Some(DisplayAct::Silenced));
        assert_eq!(hear(&mut notices, at(2), &echo), None, "told once");
        let held = tell(
            &mut notices,
            at(3),
            &dragging(AlertState::ActiveSilenced, 1),
        );
        assert_eq!(states(&held), ["alarm"]);
        let again = tell(&mut notices, at(33), &dragging(OPEN, 1));
        assert_eq!(states(&again), ["normal", "alarm"]);
        // The echo of the silenced life comes late and silences nothing.
        assert_eq!(hear(&mut notices, at(34), &echo), None);
        let loud = echo_of(&again[1], false, false);
        assert_eq!(hear(&mut notices, at(34), &loud), None);
        assert_eq!(
            hear(&mut notices, at(35), &echo_of(&again[1], true, false)),
            Some(DisplayAct::Silenced)
        );
    }

    #[test]
    fn an_acknowledgement_at_a_display_is_told_once_for_each_raise() {
        let mut notices = calm();
        let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
        assert_eq!(
            hear(&mut notices, at(1), &echo_of(&said[0], false, false)),
            None
        );
        let echo = echo_of(&said[0], true, true);
        assert_eq!(
            hear(&mut notices, at(2), &echo),
            Some(DisplayAct::Acknowledged)
        );
        assert_eq!(hear(&mut notices, at(2), &echo), None);
        let known = tell(
            &mut notices,
            at(3),
            &dragging(AlertState::ActiveAcknowledged, 1),
        );
        assert_eq!(states(&known), ["alarm"]);
        assert_eq!(
            hear(&mut notices, at(3), &echo_of(&known[0], true, true)),
            None
        );
        // Raised again: the old acknowledgement does not count for it.
        let again = tell(&mut notices, at(60), &dragging(OPEN, 2));
        assert_eq!(states(&again), ["normal", "alarm"]);
        assert_eq!(hear(&mut notices, at(60), &echo), None);
        assert_eq!(
            hear(&mut notices, at(61), &echo_of(&again[1], true, true)),
            Some(DisplayAct::Acknowledged)
        );
    }

    #[test]
    fn our_own_passage_through_normal_is_nobody_s_clearing() {
        let mut notices = calm();
        let _ = tell(&mut notices, at(1), &dragging(OPEN, 1));
        let said = tell(&mut notices, at(2), &dragging(OPEN, 2));
        for value in &said {
            assert_eq!(
                hear(&mut notices, at(2), &echo_of(value, false, false)),
                None
            );
        }
    }

    /// As seen on signalk-server 2.32.0: the echo of the `normal` still carries the marks of the
    /// alert before it. Taken for an acknowledgement, it would mute the new raise.
    #[test]
    fn marks_on_a_passage_through_normal_acknowledge_nothing() {
        let mut notices = calm();
        let _ = tell(&mut notices, at(1), &dragging(OPEN, 1));
        let said = tell(&mut notices, at(2), &dragging(OPEN, 2));
        assert_eq!(states(&said), ["normal", "alarm"]);
        assert_eq!(
            hear(&mut notices, at(2), &echo_of(&said[0], true, true)),
            None
        );
        assert_eq!(
            hear(&mut notices, at(2), &echo_of(&said[1], false, false)),
            None
        );
        // Nor does the server hold it mute now: shown again, it needs no re-arming.
        assert_eq!(
            states(&tell(&mut notices, at(3), &dragging(OPEN, 2))),
            ["alarm"]
        );
    }

    /// After the journal was lost, raises are counted from one again while the server still
    /// holds an acknowledged alarm of that number.
    #[test]
    fn an_acknowledgement_of_an_earlier_alert_of_the_same_number_does_not_count() {
        let mut notices = calm();
        let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
        let mut earlier = echo_of(&said[0], true, true);
        earlier["createdAt"] = json!("2026-05-30T03:00:00.000Z");
        assert_eq!(hear(&mut notices, at(2), &earlier), None);
    }

    #[test]
    fn who_clears_a_standing_alarm_is_corrected_but_not_in_a_flood() {
        let mut notices = calm();
        let mut said = tell(&mut notices, at(1), &dragging(OPEN, 1));
        let cleared = |value: &Value| {
            let mut echo = echo_of(value, false, false);
            echo["state"] = json!("normal");
            echo
        };
        assert_eq!(
            hear(&mut notices, at(2), &cleared(&said[0])),
            Some(DisplayAct::Cleared)
        );
        said = values(notices.publish(at(2), Hazard::Dragging));
        // The other client does it again at once: put off, not forgotten.
        assert_eq!(hear(&mut notices, at(3), &cleared(&said[0])), None);
        assert_eq!(hear(&mut notices, at(4), &cleared(&said[0])), None);
        assert_eq!(notices.due(), Some(at(12).tick));
        assert!(notices.corrections(at(11).tick).is_empty());
        assert_eq!(notices.corrections(at(12).tick), [Hazard::Dragging]);
        assert_eq!(notices.due(), None);
        // A null by another client that uses our label counts as clearing too.
        let _ = notices.publish(at(12), Hazard::Dragging);
        assert_eq!(
            hear(&mut notices, at(23), &Value::Null),
            Some(DisplayAct::Cleared)
        );
    }

    #[test]
    fn a_display_that_only_takes_the_sound_away_has_silenced() {
        let mut notices = calm();
        let said = tell(&mut notices, at(1), &dragging(OPEN, 1));
        let mut echo = echo_of(&said[0], false, false);
        echo["method"] = json!([]);
        assert_eq!(hear(&mut notices, at(2), &echo), Some(DisplayAct::Silenced));
    }

    #[test]
    fn after_a_restart_of_the_server_an_acknowledged_alarm_stays_quiet() {
        let mut notices = calm();
        let _ = tell(
            &mut notices,
            at(1),
            &dragging(AlertState::ActiveAcknowledged, 1),
        );
        notices.forget();
        let said = values(notices.publish_all(at(60)));
        let dragging: Vec<_> = said
            .iter()
            .filter(|value| value["data"]["raise"] == 1)
            .collect();
        assert_eq!(dragging.len(), 2);
        assert_eq!(dragging[0]["state"], "normal");
        assert_eq!(dragging[1]["method"], json!(["visual"]));
        assert_eq!(dragging[1]["acknowledgeStatus"], "Yes");
    }
}
