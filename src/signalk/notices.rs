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
//! look as grave as it was; but a crew that slept through it should find it in the morning. So it
//! stays on the display as `alert`, the least state that is shown, with a message that begins
//! "cleared, not acknowledged", until somebody acknowledges it there or here.
//!
//! *Acknowledged*, here or at a display: it stays to be seen and makes no sound. The server (2.32.0) strikes out
//! `method` entirely of what it holds acknowledged (of an emergency all but visual), and a display may hide a
//! notification that has none. The schema's `method` says how the alert is to be shown, so an alarm that stands
//! keeps `visual`: what was acknowledged at a display is passed through `normal` once and published again, and the value never
//! carries `acknowledgeStatus`. Instead it says `"acknowledgeSupport":"No"` while there is nothing left to
//! acknowledge, so that the server offers no button for it, and `data.alertState` says how it stands.
//! The price: the server's own `status.acknowledged` is false of it.
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
//! A publication that does not come back is a fault of its own: see [`proof`].
//!
//! Assumption: `issue` grows from run to run; it is the clock's milliseconds or the last plus one,
//! whichever is greater. Weakness: with a clock set back between two runs an echo of the earlier
//! run may pass for a late one of this; it costs a correction that was not needed.

mod proof;

use std::time::Duration;

use serde_json::{Value, json};

use self::proof::{Proof, Todo};

use super::echo::{self, Echo};
use super::wire::Wire;
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::time::{Now, Tick};
use crate::watch::messages::{DisplayAct, DisplayAction};

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
    /// The server holds it acknowledged: it strikes out `method`, visual too.
    struck: bool,
    /// Our last publication.
    issue: u64,
    /// The last passage through normal: earlier echoes are of an earlier life.
    armed: u64,
    told_acknowledged: Option<u64>,
    told_silenced: bool,
    corrected: Option<Tick>,
    correct_at: Option<Tick>,
    proof: Proof,
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
                struck: false,
                issue: 0,
                armed: 0,
                told_acknowledged: None,
                told_silenced: false,
                corrected: None,
                correct_at: None,
                proof: Proof::default(),
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

    /// The server has lost everything: it was started again, or it is another one.
    pub fn forget(&mut self) {
        for slot in &mut self.slots {
            slot.shown = Shown::Unknown;
            slot.mute = false;
            slot.struck = false;
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

    /// What brings the server up to all of them on a connection that is new: what was awaited on
    /// the one before it no longer counts.
    pub fn publish_anew(&mut self, now: Now) -> Values {
        for slot in &mut self.slots {
            slot.proof = Proof::default();
        }
        self.publish_all(now)
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

    /// When a correction that was put off is due, or a notification has been missing for too long.
    #[must_use]
    pub fn due(&self) -> Option<Tick> {
        let due = |slot: &Slot| [slot.correct_at, slot.proof.due()];
        self.slots.iter().flat_map(due).flatten().min()
    }

    /// What to do about notifications that have not come back: those to be looked for over HTTP,
    /// and those to be published again.
    pub fn missing_due(&mut self, now: Tick) -> (Vec<Hazard>, Vec<Hazard>) {
        let (mut look, mut again) = (Vec::new(), Vec::new());
        for slot in &mut self.slots {
            match slot.proof.handle_timeout(now) {
                Some(Todo::Look) => look.push(slot.hazard),
                Some(Todo::PublishAgain) => again.push(slot.hazard),
                None => {}
            }
        }
        (look, again)
    }

    /// All that are missing, to be published again: the server takes what we send once more.
    #[must_use]
    pub fn all_missing(&self) -> Vec<Hazard> {
        let missing = self.slots.iter().filter(|slot| slot.proof.is_missing());
        missing.map(|slot| slot.hazard).collect()
    }

    /// The gravest of the hazards whose notification no display shows, and how many there are.
    #[must_use]
    pub fn missing(&self) -> Option<(Hazard, usize)> {
        let missing = || self.slots.iter().filter(|slot| slot.proof.is_missing());
        let gravest = missing().max_by_key(|slot| {
            let standing = slot.view.as_ref();
            standing
                .filter(|view| view.state != AlertState::Normal)
                .map(|view| view.priority)
        })?;
        Some((gravest.hazard, missing().count()))
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
        self.compose(now, last_issue, values);
        self.proof.sent(now.tick, self.issue);
    }

    fn compose(&mut self, now: Now, last_issue: &mut u64, values: &mut Values) {
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
            self.struck = false;
            self.shown = Shown::Normal;
            let raise = self.view.as_ref().map_or(0, |view| view.raise);
            values.push((self.hazard, normal(raise, self.issue)));
            return;
        };
        let rearm = match self.shown {
            Shown::Unknown => true,
            Shown::Normal => false,
            Shown::Raised(raise) => {
                raise != view.raise
                    || (methods(view).contains(&"sound") && self.mute)
                    || self.struck
            }
        };
        if rearm {
            self.armed = issue();
            self.mute = false;
            self.struck = false;
            values.push((self.hazard, normal(view.raise, self.armed)));
        }
        if view.state != AlertState::ActiveSilenced {
            self.told_silenced = false;
        }
        self.issue = issue();
        self.shown = Shown::Raised(view.raise);
        values.push((self.hazard, shown(view, self.issue)));
    }

    fn echo(&mut self, now: Tick, echo: Echo) -> Option<DisplayAct> {
        self.proof.came(now, echo.issue, self.issue);
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
            self.struck |= acknowledged;
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
        format!("cleared, not acknowledged: {}", view.message)
    } else {
        view.message.clone()
    };
    let open = if view.state == AlertState::ActiveAcknowledged {
        "No"
    } else {
        "Yes"
    };
    json!({
        "state": state(view),
        "method": methods(view),
        "message": message,
        "createdAt": view.since,
        "acknowledgeSupport": open,
        "data": {
            "raise": view.raise,
            "issue": issue,
            "priority": view.priority,
            "alertState": view.state,
        },
    })
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
mod tests;
