//! Runs a session through whole nights against [`Hub`], the small server of the rehearsals, in virtual
//! time.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that goes wrong is to say so"
)]

mod alarms;
mod commands;
mod link;
mod publishing;
mod reports;
mod soup;

use serde_json::{Value, json};

use super::*;
use crate::alert::hazard::{AlertState, AlertView};
use crate::geodesy::Position;
use crate::observation::{Fact, FixMethod};
use crate::signalk::access::Rights;
use crate::signalk::hub::tests::numbered;
use crate::signalk::hub::{ClientId, Hub, HubOutput, NoticeAction, PutOutcome};
use crate::signalk::paths::HEARTBEAT;
use crate::speech::faults::LinkFault;
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::anchorage::phase::AnchorPhase as WatchPhase;
use crate::watch::messages::{DisplayAct, LetGo};

const TERN: &str = "vessels.urn:mrn:imo:mmsi:230099999";
const DRAGGING: &str = "notifications.navigation.anchor.dragging";

/// How the server behaves.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Mood {
    /// Accepts the connection and everything that is sent.
    Good,
    /// Accepts the connection, drops everything that is sent.
    Deaf,
    /// Accepts everything and silently drops notifications.
    Hidden,
    /// Accepts everything and sends back everything but notifications.
    Unsubscribed,
    /// Accepts the connection and sends nothing at all.
    Dumb,
    /// Refuses the connection.
    Gone,
    /// Does not answer an attempt.
    Mute,
    /// HTTP 401.
    Refusing,
}

/// A session, its shell and a server, in virtual time.
struct Night {
    session: Session,
    now: Now,
    hub: Hub,
    /// The id under which the hub has us while we are connected.
    client: Option<ClientId>,
    mood: Mood,
    /// The system's message about a server that is down.
    gone_words: &'static str,
    rights: Rights,
    pongs: bool,
    outputs: Vec<(u64, Output)>,
    /// The results of the values that the crew put at a display.
    answers: Vec<PutOutcome>,
}

impl Night {
    fn new(mood: Mood) -> Self {
        let start: Timestamp = "2026-06-01T21:30:00Z".parse().unwrap();
        Self {
            session: Session::new(
                Settings {
                    label: SourceLabel::default(),
                    resources: Some(ResourceIds {
                        circle: "b5e8a5b2-3a0e-4b6f-9d2a-0a1b2c3d4e5f".into(),
                        anchor: "5f0c6a52-5d54-4c6b-8f0e-3c3a0b0f4a11".into(),
                        berth: "0b8f2a7e-1c55-4f57-9a0b-6a2f5f1a2b3c".into(),
                    }),
                    own_paths: crate::signalk::paths::OwnPaths::default(),
                    wording: crate::speech::Wording::default(),
                },
                7,
            ),
            now: Now::new(Tick::START, start),
            hub: Hub::new(TERN.trim_start_matches("vessels."), numbered()),
            client: None,
            mood,
            gone_words: "connection refused",
            rights: Rights::Granted("readwrite".into()),
            pongs: true,
            outputs: Vec::new(),
            answers: Vec::new(),
        }
    }

    /// A night with a good link; its first outputs are dropped.
    fn linked() -> Self {
        let mut night = Self::new(Mood::Good);
        night.pass(1);
        assert_eq!(night.session.link(), Some(&LinkState::Up));
        night.outputs.clear();
        night
    }

    /// Lets seconds pass and does what is due.
    fn pass(&mut self, secs: u64) {
        self.pass_for(Duration::from_secs(secs));
    }

    fn pass_for(&mut self, time: Duration) {
        let end = self.now.tick + time;
        self.settle();
        for turn in 0.. {
            assert!(
                turn < 100_000,
                "the session keeps asking for the same moment"
            );
            let due = self.session.poll_timeout().filter(|due| *due <= end);
            let Some(due) = due else { break };
            self.now = self.now.plus(due.since(self.now.tick));
            self.session.handle_timeout(self.now);
            self.settle();
        }
        self.now = self.now.plus(end.since(self.now.tick));
    }

    /// Does what the session asks for and delivers the server's answers, until nothing is left to do.
    fn settle(&mut self) {
        loop {
            if let Some(output) = self.session.poll_output() {
                let second = self.now.tick.as_millis() / 1000;
                self.outputs.push((second, output.clone()));
                self.carry_out(output);
            } else if let Some(output) = self.hub.poll_output() {
                match output {
                    HubOutput::Send { client, text } if Some(client) == self.client => {
                        let text = self.without_notices(Mood::Unsubscribed, text);
                        self.session.handle_frame(self.now, &text);
                    }
                    HubOutput::Answer { outcome, .. } => self.answers.push(outcome),
                    // The frame goes to a connection that has ended.
                    HubOutput::Send { .. } => {}
                }
            } else {
                break;
            }
        }
    }

    fn carry_out(&mut self, output: Output) {
        match output {
            Output::Connect => match self.mood {
                Mood::Gone => self
                    .session
                    .handle_closed(self.now, Closed::Io(self.gone_words.into())),
                Mood::Mute => {}
                Mood::Refusing => self.session.handle_closed(self.now, Closed::Refused401),
                Mood::Dumb => self.session.handle_connected(self.now),
                Mood::Good | Mood::Deaf | Mood::Hidden | Mood::Unsubscribed => {
                    self.session.handle_connected(self.now);
                    self.client = Some(self.hub.handle_connect(self.now.utc));
                }
            },
            Output::Transmit(frame) => {
                let client = self.client.expect("sent into nothing");
                let takes = self.mood != Mood::Deaf && self.rights.writing() != Some(false);
                self.hub.silence_writes(!takes);
                let frame = self.without_notices(Mood::Hidden, frame);
                self.hub.handle_text(self.now.utc, client, &frame);
            }
            Output::Ping if self.pongs => self.session.handle_pong(self.now),
            Output::Close(_) => self.disconnected(),
            Output::ProbeRights => {
                let rights = self.rights.clone();
                self.session.handle_rights(self.now, rights);
            }
            Output::LookForNotice(hazard) => {
                let path = format!("{}{hazard}", crate::signalk::paths::NOTIFICATIONS);
                if let Some(notice) = self.hub.value(&path) {
                    let node = json!({ "value": notice }).to_string();
                    self.session.handle_notice_seen(self.now, hazard, &node);
                }
            }
            Output::Ping
            | Output::Report(_)
            | Output::Command { .. }
            | Output::Link(_)
            | Output::Display(_)
            | Output::PutResource(_)
            | Output::Log { .. } => {}
        }
    }

    /// A frame as a server with that behaviour passes it on.
    fn without_notices(&self, mood: Mood, frame: String) -> String {
        if self.mood != mood || !frame.contains("\"updates\"") {
            return frame;
        }
        let mut delta: Value = serde_json::from_str(&frame).unwrap();
        for update in delta["updates"].as_array_mut().into_iter().flatten() {
            if let Some(values) = update["values"].as_array_mut() {
                values.retain(|value| {
                    !value["path"]
                        .as_str()
                        .unwrap_or_default()
                        .starts_with("notifications.")
                });
            }
        }
        delta.to_string()
    }

    fn disconnected(&mut self) {
        if let Some(client) = self.client.take() {
            self.hub.handle_disconnect(client);
        }
    }

    /// The network breaks, or the server stops.
    fn broken(&mut self) {
        self.disconnected();
        self.session.handle_closed(self.now, Closed::Ended);
        self.settle();
    }

    fn restarted(&mut self) {
        self.hub.restart();
        self.broken();
    }

    fn hears(&mut self, frame: &str) {
        self.session.handle_frame(self.now, frame);
        self.settle();
    }

    /// The crew puts a value at a display.
    fn puts(&mut self, path: &str, value: &Value) {
        self.hub.handle_put(self.now.utc, 1, path, value);
        self.settle();
    }

    /// Somebody acts on the dragging notification at a display.
    fn display(&mut self, action: NoticeAction) {
        self.hub
            .handle_notice(self.now.utc, DRAGGING, action)
            .unwrap();
        self.settle();
    }

    fn raises(&mut self, state: AlertState, raise: u64) {
        let alert = AlertView {
            state,
            raise,
            ..AlertView::drag(self.now.utc, "the anchor has moved 14 m")
        };
        self.session.handle_alert(self.now, &alert);
        self.settle();
    }

    fn found<T>(&self, pick: impl Fn(&Output) -> Option<T>) -> Vec<T> {
        self.outputs.iter().filter_map(|(_, o)| pick(o)).collect()
    }

    fn links(&self) -> Vec<LinkState> {
        self.found(|output| match output {
            Output::Link(state) => Some(state.clone()),
            _ => None,
        })
    }

    fn log(&self) -> Vec<String> {
        self.found(|output| match output {
            Output::Log { text, .. } => Some(text.clone()),
            _ => None,
        })
    }

    fn sent(&self) -> Vec<Value> {
        self.found(|output| match output {
            Output::Transmit(text) => Some(serde_json::from_str(text).unwrap()),
            _ => None,
        })
    }

    fn reports(&self) -> Vec<Report> {
        self.found(|output| match output {
            Output::Report(report) => Some(report.clone()),
            _ => None,
        })
    }

    fn acts(&self) -> Vec<DisplayAct> {
        self.found(|output| match output {
            Output::Display(action) => Some(action.act),
            _ => None,
        })
    }

    fn times(&self, wanted: &Output) -> Vec<u64> {
        self.outputs
            .iter()
            .filter(|(_, output)| output == wanted)
            .map(|(secs, _)| *secs)
            .collect()
    }

    /// State and method of the dragging notifications, as sent.
    fn dragging(&self) -> Vec<(String, Value)> {
        self.sent()
            .iter()
            .filter_map(|delta| delta["updates"][0]["values"].as_array())
            .flatten()
            .filter(|value| value["path"] == DRAGGING)
            .map(|value| {
                (
                    value["value"]["state"].as_str().unwrap().to_owned(),
                    value["value"]["method"].clone(),
                )
            })
            .collect()
    }
}

/// A delta with one value, in the way the server splits updates.
fn delta(source: &str, stamp: &str, path: &str, value: &Value) -> String {
    json!({"context": TERN, "updates": [{"$source": source, "timestamp": stamp,
        "values": [{"path": path, "value": value}]}]})
    .to_string()
}

fn fix(source: &str, stamp: u32, latitude: f64) -> String {
    delta(
        source,
        &format!("2026-06-01T21:30:{stamp:02}.000Z"),
        "navigation.position",
        &json!({"latitude": latitude, "longitude": 23.26}),
    )
}
