//! A night of the library on the boat's own displays: what is sent to her server, without a socket.
//!
//! **What a drill may not do.** It never touches a value that anybody steers or watches by. Only the engine in this
//! process sees the simulated instruments. The server gets alerts, each beginning with a mark in the crew's language
//! ([`DrillTold`]), and those values of the watch that are only for display ([`SHOWN`]): no position, no circle, no
//! heartbeat, and none that is also a command, because the server hands a PUT to the client that sent the path last.
//! Everything carries its own source label, and [`DRILL`] tells every display that a drill is under way.
//!
//! **When it is refused or ended.** While another source shows an anchor position, a phase other than `aweigh` or an
//! alert about the anchor, a drill is refused ([`real_watch`]). If one of these appears later, the drill ends at once
//! ([`Heard::Real`]).
//!
//! **Its end** is [`Drill::clear`]: every value null, every alert normal. If this program is killed, nothing is
//! cleared; the next drill clears it first, and the server forgets it when it restarts.
//!
//! Tests below, and against the real server in `tests/peers/drill.rs`.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::{Value, json};

use crate::alert::hazard::{AlertView, Hazard};
use crate::signalk::SourceLabel;
use crate::signalk::notices::Notices;
use crate::signalk::paths::{self, DRILL};
use crate::signalk::publish::{self, Publisher};
use crate::signalk::wire::{self, Incoming, Wire};
use crate::speech::drills::DrillTold;
use crate::speech::{Sentence, Wording};
use crate::time::{Now, Timestamp};
use crate::watch::messages::{DisplayAct, DisplayAction};
use crate::watch::state::WatchState;

/// The values of the watch that are shown: none that accept a PUT.
pub const SHOWN: [&str; 12] = [
    "navigation.anchor.watch.phase",
    "navigation.anchor.watch.anchorBearing",
    "navigation.anchor.watch.anchorDistance",
    "navigation.anchor.watch.reach",
    "navigation.anchor.watch.scope",
    "navigation.anchor.watch.scopeAtHighWater",
    "navigation.anchor.watch.dragProbability",
    "navigation.anchor.watch.anchorMoved",
    "navigation.anchor.watch.fixUncertainty",
    "navigation.anchor.watch.windShift",
    "navigation.anchor.watch.underKeelAtLowWater",
    "navigation.anchor.watch.roomLeast",
];

/// What a frame of the server means for the drill.
#[derive(Clone, Debug, PartialEq)]
pub enum Heard {
    /// The server's greeting: subscribe with this, and begin.
    Greeted(String),
    /// What we sent is shown.
    Shown,
    /// Nothing of ours is shown any more.
    Cleared,
    /// A display acted on one of our alerts.
    Display(DisplayAction),
    /// Somebody keeps a real watch: who, and how we can tell.
    Real(String),
}

/// The drill's side of the conversation.
#[derive(Debug)]
pub struct Drill {
    label: SourceLabel,
    title: String,
    wording: Wording,
    context: String,
    publisher: Publisher,
    notices: Notices,
    /// When each alert was raised, by the real clock: the night has its own.
    since: BTreeMap<(Hazard, u64), Timestamp>,
    /// Alerts that stand from another source: the drill's end must not hide them.
    foreign: BTreeSet<Hazard>,
    introduced: bool,
}

impl Drill {
    /// A drill that has sent nothing yet.
    #[must_use]
    pub fn new(label: SourceLabel, title: &str, wording: Wording) -> Self {
        Self {
            publisher: Publisher::new(label.clone(), wording.lengths),
            label,
            title: title.to_owned(),
            wording,
            context: "vessels.self".to_owned(),
            notices: Notices::default(),
            since: BTreeMap::new(),
            foreign: BTreeSet::new(),
            introduced: false,
        }
    }

    /// Handles a text frame.
    pub fn handle_frame(&mut self, now: Now, text: &str) -> Vec<Heard> {
        match wire::parse(text, |_| true) {
            Ok(Incoming::Hello(hello)) => {
                self.context = hello.self_context;
                self.notices.forget();
                let paths = [POSITION, PHASE, DRILL];
                let mut subscribe: Vec<Value> = paths.map(instant).into();
                subscribe.push(instant(&format!("{}*", paths::NOTIFICATIONS)));
                let asked = json!({"context": "vessels.self", "subscribe": subscribe});
                vec![Heard::Greeted(asked.to_string())]
            }
            Ok(Incoming::Delta(delta)) => {
                let own = delta.context.as_deref();
                if own.is_some_and(|own| own != self.context && own != "vessels.self") {
                    return Vec::new();
                }
                let mut heard = Vec::new();
                for update in &delta.updates {
                    let ours = update.source == self.label.as_str();
                    for value in &update.values {
                        if ours {
                            heard.extend(self.echo(now, &value.path, &value.value));
                            continue;
                        }
                        let real = foreign(&update.source, &value.path, &value.value);
                        if let Some(hazard) = paths::hazard(&value.path) {
                            if real.is_some() {
                                self.foreign.insert(hazard);
                            } else {
                                self.foreign.remove(&hazard);
                            }
                        }
                        heard.extend(real);
                    }
                }
                heard
            }
            Ok(_) | Err(_) => Vec::new(),
        }
    }

    /// Returns what to send for an alert of the night.
    pub fn alert(&mut self, now: Now, view: &AlertView) -> Vec<String> {
        let since = *self
            .since
            .entry((view.hazard, view.raise))
            .or_insert(now.utc);
        let message = view.message.clone();
        let marked = Sentence::from(DrillTold::Message { message });
        self.notices.hold(&AlertView {
            message: marked.words(&self.wording),
            since,
            ..view.clone()
        });
        self.notice(now, view.hazard)
    }

    /// Returns an alert again, because another client overwrote it.
    pub fn again(&mut self, now: Now, act: DisplayAction) -> Vec<String> {
        if act.act == DisplayAct::Cleared {
            return self.notice(now, act.hazard);
        }
        Vec::new()
    }

    /// Returns what to send for the values of the night.
    pub fn values(&mut self, now: Now, picture: &WatchState) -> String {
        let told = self.publisher.heartbeat(&self.context, now.utc, picture, 0);
        let told: Value = serde_json::from_str(&told).unwrap_or_default();
        let all = told.pointer("/updates/0/values").and_then(Value::as_array);
        let shown = |value: &&Value| {
            let path = value.get("path").and_then(Value::as_str);
            path.is_some_and(|path| SHOWN.contains(&path))
        };
        let mut values: Vec<Value> = all.into_iter().flatten().filter(shown).cloned().collect();
        values.push(json!({"path": DRILL, "value": self.title}));
        self.delta(now, &values)
    }

    /// Returns what to send at the end: every value null, every alert normal. An alert that stands from another source
    /// is left out: displays that look at the path alone would take it for cleared.
    pub fn clear(&mut self, now: Now) -> Vec<String> {
        self.notices = Notices::default();
        let values: Vec<Value> = SHOWN
            .into_iter()
            .chain([DRILL])
            .map(|path| json!({"path": path, "value": null}))
            .collect();
        let foreign = self.foreign.clone();
        let mut sent: Vec<String> = Hazard::ALL
            .into_iter()
            .filter(|hazard| !foreign.contains(hazard))
            .flat_map(|hazard| self.notice(now, hazard))
            .collect();
        sent.push(self.delta(now, &values));
        sent
    }

    fn notice(&mut self, now: Now, hazard: Hazard) -> Vec<String> {
        let values = self.notices.publish(now, hazard);
        let told = values.into_iter().map(|(hazard, value)| {
            let path = format!("{}{hazard}", paths::NOTIFICATIONS);
            self.publisher.single(&self.context, now.utc, &path, &value)
        });
        told.collect()
    }

    fn delta(&mut self, now: Now, values: &[Value]) -> String {
        let mut update = json!({
            "$source": self.label.as_str(), "timestamp": now.utc, "values": values,
        });
        if !self.introduced
            && let Some(update) = update.as_object_mut()
        {
            self.introduced = true;
            let mut about = publish::metadata(self.wording.lengths);
            about.retain(|it| {
                let path = it.get("path").and_then(Value::as_str);
                path.is_some_and(|path| path == DRILL || SHOWN.contains(&path))
            });
            update.insert("meta".to_owned(), about.into());
        }
        json!({"context": self.context, "updates": [update]}).to_string()
    }

    fn echo(&mut self, now: Now, path: &str, value: &Wire<'_>) -> Option<Heard> {
        if path == DRILL {
            return Some(match value {
                Wire::Null => Heard::Cleared,
                _ => Heard::Shown,
            });
        }
        let hazard = paths::hazard(path)?;
        let act = self.notices.handle_echo(now.tick, hazard, value)?;
        Some(Heard::Display(act))
    }
}

/// Whether another source's value shows a real watch.
fn foreign(source: &str, path: &str, value: &Wire<'_>) -> Option<Heard> {
    let value = match value {
        Wire::Null => Value::Null,
        Wire::Text(text) => json!(text),
        Wire::Position {
            latitude,
            longitude,
        } => {
            json!({"latitude": latitude, "longitude": longitude})
        }
        Wire::Bool(it) => json!(it),
        Wire::Number(it) => json!(it),
        Wire::Other(it) => it.clone(),
    };
    real(source, path, &value).map(Heard::Real)
}

/// Whether the server shows a real watch. `anchor` and `notices` are its trees `navigation.anchor` and
/// `notifications.navigation.anchor`, or null if it has none.
#[must_use]
pub fn real_watch(label: &SourceLabel, anchor: &Value, notices: &Value) -> Option<String> {
    let in_anchor = [(POSITION, "/position"), (PHASE, "/watch/phase")]
        .into_iter()
        .filter_map(|(path, at)| Some((path.to_owned(), anchor.pointer(at)?)));
    let in_notices = Hazard::ALL.into_iter().filter_map(|hazard| {
        let path = format!("{}{hazard}", paths::NOTIFICATIONS);
        Some((path, notices.get(hazard.name())?))
    });
    for (path, node) in in_anchor.chain(in_notices) {
        for (source, value) in said(node) {
            if source != label.as_str()
                && let Some(why) = real(source, &path, value)
            {
                return Some(why);
            }
        }
    }
    None
}

/// Each source of a node in the server's tree, with its value.
fn said(node: &Value) -> Vec<(&str, &Value)> {
    let source = node
        .get("$source")
        .and_then(Value::as_str)
        .unwrap_or("unknown");
    let mut said: Vec<(&str, &Value)> = node
        .get("value")
        .map(|value| (source, value))
        .into_iter()
        .collect();
    let others = node.get("values").and_then(Value::as_object);
    for (source, other) in others.into_iter().flatten() {
        said.extend(other.get("value").map(|value| (source.as_str(), value)));
    }
    said
}

fn real(source: &str, path: &str, value: &Value) -> Option<String> {
    if path == POSITION && !value.is_null() {
        return Some(format!("`{source}` shows where an anchor lies (`{path}`)"));
    }
    if path == PHASE
        && let Some(phase) = value.as_str()
        && phase != "aweigh"
    {
        return Some(format!("`{source}` keeps watch (`{path}` is `{phase}`)"));
    }
    let state = value.get("state").and_then(Value::as_str)?;
    let quiet = ["normal", "nominal"].contains(&state);
    (paths::hazard(path).is_some() && !quiet)
        .then(|| format!("`{source}` shows an alert (`{path}` is `{state}`)"))
}

fn instant(path: &str) -> Value {
    json!({"path": path, "policy": "instant"})
}

const POSITION: &str = "navigation.anchor.position";
const PHASE: &str = "navigation.anchor.watch.phase";

#[cfg(test)]
mod tests;
