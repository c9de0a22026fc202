//! Publishes our alerts as Signal K notifications, one path for each hazard, and reads what other clients do to them.
//!
//! # What is published
//! | alert | `state` | `method` |
//! |---|---|---|
//! | active, unacknowledged | by priority: `emergency`, `alarm`, `warn`, `alert` | visual and sound; a caution visual only |
//! | active, silenced or acknowledged | by priority | visual |
//! | rectified, unacknowledged | `alert` | visual |
//! | normal | `normal` | none |
//!
//! *Rectified, unacknowledged*: the condition has gone, so nothing may sound and nothing may look as grave as before;
//! but a crew that slept through it should find it in the morning. It therefore stays on the display as `alert`, the
//! lowest state that is shown, with a message that begins "cleared, not acknowledged", until somebody acknowledges it
//! there or here.
//!
//! *Acknowledged*, here or at a display: the alert stays visible and makes no sound. The server (2.32.0) empties the
//! `method` of every notification it holds as acknowledged (an emergency keeps visual), and a display may hide a
//! notification without a method. The schema's `method` says how the alert is shown, so an alarm that still stands
//! keeps `visual`: an alert acknowledged at a display is passed through `normal` once and published again, and its
//! value never carries `acknowledgeStatus`. Instead the value carries `"acknowledgeSupport":"No"` while there is
//! nothing left to acknowledge, so that the server offers no button for it, and `data.alertState` gives the state of
//! the alert. The price: the server's own `status.acknowledged` is false for it.
//!
//! # Re-arming
//! The server's silence and acknowledgement stick to the path: a notification that is published again, or with a graver
//! state, comes out mute. Only a passage through `normal` resets them. So if an alert has to sound, and its raise is
//! not the one last sent to the server or the server holds it mute, `normal` is published first and the alert after it.
//!
//! # Echoes
//! Each publication carries `data` with the alert's `raise` and a running number, `issue`, and comes back with both.
//! They separate echoes of older publications (our own `normal` of a re-arm among them) from what somebody did:
//! `status.acknowledged` or `.silenced` for the current raise is the crew's act at a display; a lower state on our
//! latest issue means that another client overwrote it. This is reported and corrected, at most once in
//! [`CORRECT_AT_MOST_EVERY`] for each hazard, so that two clients at odds do not flood the network. The server does not
//! say who acted.
//!
//! A publication that does not come back is a separate fault: see [`proof`].
//!
//! Assumption: `issue` grows from run to run; it is the clock's milliseconds or the last issue plus one, whichever is
//! greater. Weakness: if the clock is set back between two runs, an echo of the earlier run may be taken for a late
//! echo of this run; the cost is one needless correction.

mod proof;

use std::time::Duration;

use serde_json::{Value, json};

use self::proof::{Proof, Todo};

use super::echo::{self, Echo};
use super::wire::Wire;
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::time::{Now, Tick};
use crate::watch::messages::{DisplayAct, DisplayAction};

/// A client that overwrites our notification is corrected no more often than this.
pub const CORRECT_AT_MOST_EVERY: Duration = Duration::from_secs(10);

/// The values of the notification to publish, in this order, each in its own delta.
pub type Values = Vec<(Hazard, Value)>;

/// The alerts held for each hazard and what was last sent to the server.
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
    /// The server holds it as silenced or acknowledged: what we publish comes out mute.
    mute: bool,
    /// The server holds it as acknowledged: it empties `method`, including visual.
    struck: bool,
    /// Our last publication.
    issue: u64,
    /// The last passage through normal: echoes of earlier issues no longer count.
    armed: u64,
    told_acknowledged: Option<u64>,
    told_silenced: bool,
    corrected: Option<Tick>,
    correct_at: Option<Tick>,
    proof: Proof,
}

/// What was last sent to the server.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shown {
    /// Unknown: an earlier run may have published something.
    Unknown,
    Normal,
    /// The raise with this number.
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
    /// Keeps the alert in its present state; [`Notices::publish`] publishes it.
    pub fn hold(&mut self, view: &AlertView) {
        if let Some(slot) = self.slot(view.hazard) {
            slot.view = Some(view.clone());
        }
    }

    /// The server has lost everything: it was restarted, or it is another server.
    pub fn forget(&mut self) {
        for slot in &mut self.slots {
            slot.shown = Shown::Unknown;
            slot.mute = false;
            slot.struck = false;
        }
    }

    /// The publications that bring the server up to date with one alert.
    pub fn publish(&mut self, now: Now, hazard: Hazard) -> Values {
        let mut values = Vec::new();
        let last_issue = &mut self.last_issue;
        if let Some(slot) = self.slots.iter_mut().find(|slot| slot.hazard == hazard) {
            slot.publish(now, last_issue, &mut values);
        }
        values
    }

    /// The publications that bring the server up to date with all alerts, including normal ones: an earlier run may
    /// have left an alarm standing.
    pub fn publish_all(&mut self, now: Now) -> Values {
        Hazard::ALL
            .into_iter()
            .flat_map(|hazard| self.publish(now, hazard))
            .collect()
    }

    /// The publications that bring the server up to date with all alerts on a new connection. Echoes awaited on the
    /// connection before it no longer count.
    pub fn publish_anew(&mut self, now: Now) -> Values {
        for slot in &mut self.slots {
            slot.proof = Proof::default();
        }
        self.publish_all(now)
    }

    /// A notification of ours came back. Returns what a display did to it, if that is new.
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

    /// When a postponed correction is due, or a notification has been missing for too long.
    #[must_use]
    pub fn due(&self) -> Option<Tick> {
        let due = |slot: &Slot| [slot.correct_at, slot.proof.due()];
        self.slots.iter().flat_map(due).flatten().min()
    }

    /// What to do about notifications that have not come back: which ones to look for over HTTP, and which ones to
    /// publish again.
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

    /// All missing notifications, to be published again: the server accepts what we send once more.
    #[must_use]
    pub fn all_missing(&self) -> Vec<Hazard> {
        let missing = self.slots.iter().filter(|slot| slot.proof.is_missing());
        missing.map(|slot| slot.hazard).collect()
    }

    /// The gravest hazard whose notification no display shows, and the number of such hazards.
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
        // The echo belongs to another raise; or, if the numbers were lost with the journal, to another alert with the
        // same number.
        if echo.raise.is_some_and(|raise| raise != view.raise)
            || echo.since.is_some_and(|since| since != view.since)
        {
            return None;
        }
        // The marks of an earlier raise are reset only by the first state after normal, so on a normal they mean
        // nothing.
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
        // Older displays remove the sound by writing `method` instead of silencing.
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
