//! What is sent to the displays, and when.
//!
//! # Grammar
//! [`Exchange::handle_alert`] for each alert that the watch reports, [`Exchange::handle_joined`] when a
//! display has connected, [`Exchange::handle_line`] for a line it sent, [`Exchange::handle_reply`] when the
//! watch has answered an order, [`Exchange::handle_timeout`] when [`Exchange::poll_timeout`] is due; after
//! each, [`Exchange::poll_output`] until it is empty.
//!
//! # Conduct
//! - An ALF at each change of an alert. Its revision counts the changes; its escalation counts how often
//!   the desk repeated the alert or raised its priority because nobody answered.
//! - All current alerts as ALC every [`LIST_EVERY`], so that a display notices what it missed and can
//!   request it (`Q`).
//! - HBT every [`BEAT_EVERY`]; `V` while windrode itself is impaired.
//! - `A` and `S` become the crew's orders to the watch. ARC answers an order that the watch refuses, a
//!   command for an alert that does not stand, and a transfer of responsibility. The next ALF shows the
//!   effect of an accepted command.
//! - A display that has just connected gets everything at once, at most once a second however many displays
//!   connect.
//!
//! Bounds: one alert per hazard, [`MOST_ORDERS`] orders that await an answer.

use std::collections::{BTreeMap, VecDeque};
use std::time::Duration;

use crate::alert::hazard::{AlertState, AlertView, Hazard};
use crate::sentences::alerts::{Acn, Act, Alf, NoCommand, acn, alc, arc, hbt};
use crate::time::{Now, Tick};
use crate::watch::messages::{Command, Outcome};

/// An action for the shell.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "a sentence that is dropped is an alert no display shows"]
pub enum Output {
    /// Send this to every display.
    Send(String),
    /// Give this order to the watch, and pass its answer to [`Exchange::handle_reply`].
    Order {
        /// Our number of the order.
        id: u64,
        /// The order itself.
        command: Command,
    },
    /// A line for the log.
    Say(String),
}

/// The engine. See the module's page.
#[derive(Debug)]
pub struct Exchange {
    alerts: Vec<Shown>,
    outputs: VecDeque<Output>,
    orders: BTreeMap<u64, Acn>,
    next_order: u64,
    list_due: Tick,
    beat_due: Tick,
    /// A display connected; at this time everything is sent to it.
    introduce_due: Option<Tick>,
    introduced: Option<Tick>,
    alf_message: u8,
    alc_message: u8,
    hbt_message: u8,
}

#[derive(Debug)]
struct Shown {
    alf: Alf,
    raise: u64,
}

impl Exchange {
    /// Starts sending at once.
    #[must_use]
    pub fn new(now: Now) -> Self {
        Self {
            alerts: Vec::new(),
            outputs: VecDeque::new(),
            orders: BTreeMap::new(),
            next_order: 0,
            list_due: now.tick,
            beat_due: now.tick,
            introduce_due: None,
            introduced: None,
            alf_message: 0,
            alc_message: 0,
            hbt_message: 0,
        }
    }

    /// An alert changed, or is shown again.
    pub fn handle_alert(&mut self, now: Now, view: &AlertView) {
        let description = description(&view.message);
        let known = self
            .alerts
            .iter_mut()
            .find(|shown| shown.alf.hazard == view.hazard);
        let shown = match known {
            Some(shown) => {
                let alf = &mut shown.alf;
                let same = alf.priority == view.priority
                    && alf.state == view.state
                    && alf.description == description
                    && alf.escalation == escalation(view)
                    && shown.raise == view.raise;
                if same {
                    return;
                }
                alf.escalation = escalation(view);
                if alf.state != view.state {
                    alf.changed = now.utc;
                }
                alf.priority = view.priority;
                alf.state = view.state;
                alf.description = description;
                alf.revision = alf.revision % 99 + 1;
                shown.raise = view.raise;
                &*shown
            }
            None if view.state == AlertState::Normal => return,
            None => {
                self.alerts.push(Shown {
                    alf: Alf {
                        hazard: view.hazard,
                        changed: now.utc,
                        priority: view.priority,
                        state: view.state,
                        revision: 1,
                        escalation: escalation(view),
                        description,
                    },
                    raise: view.raise,
                });
                let Some(shown) = self.alerts.last() else {
                    return;
                };
                shown
            }
        };
        let alf = shown.alf.clone();
        self.say_alert(&alf);
    }

    /// A display has connected.
    pub fn handle_joined(&mut self, now: Now) {
        let free = self
            .introduced
            .map_or(now.tick, |at| at + INTRODUCE_EVERY)
            .max(now.tick);
        self.introduce_due.get_or_insert(free);
    }

    /// A line that a display sent.
    pub fn handle_line(&mut self, now: Now, line: &str) {
        let command = match acn(line) {
            Ok(command) => command,
            Err(NoCommand::NotOurs) => return,
            Err(other) => {
                self.outputs.push_back(Output::Say(format!(
                    "a display sent what is no command: {other}"
                )));
                return;
            }
        };
        let Acn { hazard, act } = command;
        let stands = self
            .alerts
            .iter()
            .find(|shown| shown.alf.hazard == hazard && shown.alf.state != AlertState::Normal)
            .map(|shown| shown.alf.clone());
        let wanted = match (act, stands) {
            (Act::Repeat, Some(alf)) => {
                self.say_alert(&alf);
                return;
            }
            (Act::Acknowledge, Some(_)) => Command::Acknowledge(Some(hazard)),
            (Act::Silence, Some(_)) => Command::Silence(Some(hazard)),
            (Act::Transfer, _) | (_, None) => {
                self.refuse(now, command);
                return;
            }
        };
        if self.orders.len() >= MOST_ORDERS {
            self.refuse(now, command);
            return;
        }
        self.next_order += 1;
        let id = self.next_order;
        self.orders.insert(id, command);
        self.outputs.push_back(Output::Order {
            id,
            command: wanted,
        });
    }

    /// The watch has answered an order of [`Output::Order`].
    pub fn handle_reply(&mut self, now: Now, id: u64, outcome: &Outcome) {
        if let Some(command) = self.orders.remove(&id)
            && let Outcome::Refused(why) = outcome
        {
            self.outputs.push_back(Output::Say(format!(
                "a display's command to `{}` is refused: {why}",
                command.hazard
            )));
            self.refuse(now, command);
        }
    }

    /// Call this when [`Exchange::poll_timeout`] is due.
    pub fn handle_timeout(&mut self, now: Now) {
        if self.introduce_due.is_some_and(|due| due <= now.tick) {
            self.introduce_due = None;
            self.introduced = Some(now.tick);
            let standing: Vec<Alf> = self.standing().cloned().collect();
            for alf in &standing {
                self.say_alert(alf);
            }
            self.list_due = now.tick;
            self.beat_due = now.tick;
        }
        if self.list_due <= now.tick {
            self.list_due = now.tick + LIST_EVERY;
            let entries: Vec<(Hazard, u8)> = self
                .standing()
                .map(|alf| (alf.hazard, alf.revision))
                .collect();
            let lines = alc(&entries, self.alc_message);
            self.alc_message = (self.alc_message + 1) % 100;
            self.outputs.extend(lines.into_iter().map(Output::Send));
        }
        if self.beat_due <= now.tick {
            self.beat_due = now.tick + BEAT_EVERY;
            let whole = !self
                .standing()
                .any(|alf| alf.hazard == Hazard::Watch && alf.state.is_active());
            let beat = hbt(BEAT_EVERY.as_secs(), whole, self.hbt_message);
            self.hbt_message = (self.hbt_message + 1) % 10;
            self.outputs.push_back(Output::Send(beat));
        }
    }

    /// When to call [`Exchange::handle_timeout`] next.
    #[must_use]
    pub fn poll_timeout(&self) -> Option<Tick> {
        let regular = self.list_due.min(self.beat_due);
        Some(self.introduce_due.map_or(regular, |due| due.min(regular)))
    }

    /// The next action.
    pub fn poll_output(&mut self) -> Option<Output> {
        self.outputs.pop_front()
    }

    fn standing(&self) -> impl Iterator<Item = &Alf> {
        self.alerts
            .iter()
            .map(|shown| &shown.alf)
            .filter(|alf| alf.state != AlertState::Normal)
    }

    fn say_alert(&mut self, alf: &Alf) {
        let lines = alf.sentences(self.alf_message);
        self.alf_message = (self.alf_message + 1) % 10;
        self.outputs.extend(lines.into_iter().map(Output::Send));
    }

    fn refuse(&mut self, now: Now, command: Acn) {
        let refusal = arc(now.utc, command.hazard, command.act);
        self.outputs.push_back(Output::Send(refusal));
    }
}

/// The sentence without the leading hazard's name, which is in the title.
fn description(message: &str) -> String {
    match message.split_once(": ") {
        Some((head, rest)) if head.len() <= LONGEST_HEAD => rest.to_owned(),
        _ => message.to_owned(),
    }
}

/// The whole list is repeated at least this often (MSC.302(87) and IEC 62923-1: 30 s).
pub const LIST_EVERY: Duration = Duration::from_secs(30);
/// Interval of the sign of life. The standard allows at most 60 s. Chosen: a display that gives up after
/// one and a half intervals reports our silence within three quarters of a minute.
pub const BEAT_EVERY: Duration = Duration::from_secs(30);
const INTRODUCE_EVERY: Duration = Duration::from_secs(1);
/// The watch answers at once: more than one order waits only if something is wrong.
const MOST_ORDERS: usize = 16;
/// "outside the swinging circle" is the longest description.
const LONGEST_HEAD: usize = 30;

/// The counter as the sentence has it: 0, then 1 to 9 and again from 1.
fn escalation(view: &AlertView) -> u8 {
    let turn = view.escalation.checked_sub(1).map(|count| count % 9 + 1);
    turn.and_then(|count| u8::try_from(count).ok()).unwrap_or(0)
}

#[cfg(test)]
mod tests;
