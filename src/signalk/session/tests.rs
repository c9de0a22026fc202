//! Nights in the life of a session, against a server that behaves as signalk-server 2.32.0 was
//! seen to: it greets, drops what a client without rights sends without a word, sends back what it
//! takes, keeps notifications mute once silenced or acknowledged until they pass through normal,
//! and forgets everything when it is restarted.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that goes wrong is to say so"
)]

mod soup;

use std::collections::{BTreeMap, VecDeque};

use serde_json::{Value, json};

use super::*;
use crate::alert::hazard::{AlertState, Hazard, Priority};
use crate::geodesy::Position;
use crate::observation::{Fact, FixMethod};
use crate::signalk::paths::HEARTBEAT;
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::words::{DisplayAct, LetGo, Phase as WatchPhase};

const TERN: &str = "vessels.urn:mrn:imo:mmsi:230099999";

/// How the server is minded.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Mood {
    /// Takes the connection and what is sent.
    Good,
    /// Takes the connection, drops what is sent.
    Deaf,
    /// Takes all but notifications, without a word.
    Hidden,
    /// Takes everything and sends back all but notifications.
    Unsubscribed,
    /// Takes the connection and says nothing at all.
    Dumb,
    /// Does not take the connection.
    Gone,
    /// HTTP 401.
    Refusing,
}

struct Server {
    mood: Mood,
    rights: Rights,
    pongs: bool,
    starts: u32,
    connected: bool,
    /// Notification values and, beside each, silenced and acknowledged.
    notices: BTreeMap<String, (Value, bool, bool)>,
    frames: VecDeque<String>,
}

/// A session, its shell and a server, in virtual time.
struct Night {
    session: Session,
    now: Now,
    server: Server,
    outputs: Vec<(u64, Output)>,
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
                },
                7,
            ),
            now: Now::new(Tick::START, start),
            server: Server {
                mood,
                rights: Rights::Granted("readwrite".into()),
                pongs: true,
                starts: 1,
                connected: false,
                notices: BTreeMap::new(),
                frames: VecDeque::new(),
            },
            outputs: Vec::new(),
        }
    }

    /// A night with a good link, its first outputs forgotten.
    fn linked() -> Self {
        let mut night = Self::new(Mood::Good);
        night.pass(1);
        assert_eq!(night.session.link(), Some(&LinkState::Up));
        night.outputs.clear();
        night
    }

    fn secs(&self) -> u64 {
        self.now.tick.as_millis() / 1000
    }

    /// Lets time go by, doing what is due.
    fn pass(&mut self, secs: u64) {
        let end = self.now.tick + Duration::from_secs(secs);
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

    /// Does what the session asks for, and delivers what the server answers, until all is quiet.
    fn settle(&mut self) {
        loop {
            if let Some(output) = self.session.poll_output() {
                self.outputs.push((self.secs(), output.clone()));
                self.carry_out(output);
            } else if let Some(frame) = self.server.frames.pop_front() {
                self.session.handle_frame(self.now, &frame);
            } else {
                break;
            }
        }
    }

    fn carry_out(&mut self, output: Output) {
        match output {
            Output::Connect => match self.server.mood {
                Mood::Gone => self
                    .session
                    .handle_closed(self.now, Closed::Io("connection refused".into())),
                Mood::Refusing => self.session.handle_closed(self.now, Closed::Refused401),
                Mood::Good | Mood::Deaf | Mood::Hidden | Mood::Unsubscribed | Mood::Dumb => {
                    self.server.connected = true;
                    self.session.handle_connected(self.now);
                    if self.server.mood != Mood::Dumb {
                        let hello = self.server.hello();
                        self.server.frames.push_back(hello);
                    }
                }
            },
            Output::Transmit(frame) => {
                assert!(self.server.connected, "sent into nothing: {frame}");
                self.server.take(&frame);
            }
            Output::Ping if self.server.pongs => self.session.handle_pong(self.now),
            Output::Close(_) => {
                self.server.connected = false;
                self.server.frames.clear();
            }
            Output::ProbeRights => {
                let rights = self.server.rights.clone();
                self.session.handle_rights(self.now, rights);
            }
            Output::LookForNotice(hazard) => {
                let path = format!("{}{hazard}", crate::signalk::paths::NOTIFICATIONS);
                if self.server.mood != Mood::Hidden
                    && let Some(notice) = self.server.notices.get(&path)
                {
                    let node = json!({"value": Server::rewritten(notice)}).to_string();
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

    /// The network breaks, or the server falls.
    fn broken(&mut self) {
        self.server.connected = false;
        self.server.frames.clear();
        self.session.handle_closed(self.now, Closed::Ended);
        self.settle();
    }

    fn restarted(&mut self) {
        self.server.starts += 1;
        self.server.notices.clear();
        self.broken();
    }

    fn hears(&mut self, frame: &str) {
        self.session.handle_frame(self.now, frame);
        self.settle();
    }

    fn puts(&mut self, path: &str, value: &Value) {
        self.hears(
            &json!({"requestId": "f60de2a5", "context": "vessels.self", "put": [{"path": path, "value": value}]})
                .to_string(),
        );
    }

    fn raises(&mut self, state: AlertState, raise: u64) {
        let alert = AlertView {
            hazard: Hazard::Dragging,
            priority: Priority::Alarm,
            state,
            message: "the anchor has moved 14 m".into(),
            since: self.now.utc,
            raise,
            escalation: 0,
            escalated: false,
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

    /// State and method of the notifications of dragging, as sent.
    fn dragging(&self) -> Vec<(String, Value)> {
        self.sent()
            .iter()
            .filter_map(|delta| delta["updates"][0]["values"].as_array())
            .flatten()
            .filter(|value| value["path"] == "notifications.navigation.anchor.dragging")
            .map(|value| {
                (
                    value["value"]["state"].as_str().unwrap().to_owned(),
                    value["value"]["method"].clone(),
                )
            })
            .collect()
    }
}

impl Server {
    fn hello(&self) -> String {
        json!({"name": "signalk-server", "version": "2.32.0", "self": TERN, "roles": ["master", "main"],
            "timestamp": "2026-06-01T21:30:00.000Z", "serverStartId": format!("start-{}", self.starts)})
        .to_string()
    }

    /// Takes a frame of ours; sends back what it would.
    fn take(&mut self, frame: &str) {
        let delta: Value = serde_json::from_str(frame).unwrap();
        let taking = matches!(self.mood, Mood::Good | Mood::Hidden | Mood::Unsubscribed);
        if !taking || self.rights.writing() == Some(false) {
            return;
        }
        for update in delta["updates"].as_array().into_iter().flatten() {
            for value in update["values"].as_array().into_iter().flatten() {
                let path = value["path"].as_str().unwrap();
                let value = if path.starts_with("notifications.") {
                    if self.mood == Mood::Hidden {
                        continue;
                    }
                    let value = self.notice(path, value["value"].clone());
                    if self.mood == Mood::Unsubscribed {
                        continue;
                    }
                    value
                } else if path == HEARTBEAT {
                    value["value"].clone()
                } else {
                    // Not subscribed.
                    continue;
                };
                self.frames.push_back(
                    json!({"context": TERN, "updates": [{"$source": update["$source"],
                        "timestamp": update["timestamp"], "values": [{"path": path, "value": value}]}]})
                    .to_string(),
                );
            }
        }
    }

    fn notice(&mut self, path: &str, value: Value) -> Value {
        let entry = self
            .notices
            .entry(path.to_owned())
            .or_insert((Value::Null, false, false));
        // The marks fall with the first state after normal, not with normal itself: the echo of
        // a passage through normal still says "acknowledged".
        if entry.0["state"] == "normal" && value["state"] != "normal" {
            entry.1 = false;
            entry.2 = false;
        }
        if value["acknowledgeStatus"] == "Yes" {
            entry.2 = true;
        }
        entry.0 = value;
        Self::rewritten(entry)
    }

    fn rewritten((value, silenced, acknowledged): &(Value, bool, bool)) -> Value {
        let mut value = value.clone();
        value["id"] = json!("0d311f5c");
        value["status"] = json!({"silenced": silenced, "acknowledged": acknowledged});
        if *acknowledged {
            value["method"] = json!([]);
        } else if *silenced {
            value["method"] = json!(["visual"]);
        }
        value
    }

    /// Somebody at a display acts; what reaches us.
    fn display(&mut self, change: impl Fn(&mut (Value, bool, bool))) -> String {
        let path = "notifications.navigation.anchor.dragging";
        let entry = self.notices.get_mut(path).unwrap();
        change(entry);
        let value = Self::rewritten(entry);
        json!({"context": TERN, "updates": [{"$source": "windrode", "timestamp": "2026-06-01T22:00:00Z",
            "values": [{"path": path, "value": value}]}]})
        .to_string()
    }
}

fn fix(source: &str, stamp: u32, latitude: f64) -> String {
    json!({"context": TERN, "updates": [{"$source": source,
        "timestamp": format!("2026-06-01T21:30:{stamp:02}.000Z"),
        "values": [{"path": "navigation.position", "value": {"latitude": latitude, "longitude": 23.26}}]}]})
    .to_string()
}

// ---- the link -------------------------------------------------------------------------------

#[test]
fn a_good_evening_connect_greet_subscribe_publish_prove() {
    let mut night = Night::new(Mood::Good);
    night.pass(1);
    assert_eq!(
        night.links(),
        [
            LinkState::Down("not connected to the server yet".into()),
            LinkState::Up
        ]
    );
    let sent = night.sent();
    assert!(sent[0]["subscribe"].is_array() && sent[1]["subscribe"].is_array());
    assert!(sent[2]["updates"][0]["meta"].is_array());
    let beat = &sent[2]["updates"][0];
    assert_eq!(sent[2]["context"], TERN);
    for path in [
        "letGo",
        "rodeOut",
        "weigh",
        "acknowledge",
        "silence",
        "berth",
        "heartbeat",
    ] {
        let path = format!("navigation.anchor.watch.{path}");
        assert!(
            beat["values"]
                .as_array()
                .unwrap()
                .iter()
                .any(|v| v["path"] == path.as_str()),
            "{path} is published, so that a PUT reaches us"
        );
    }
    assert_eq!(night.dragging(), [("normal".to_owned(), json!([]))]);
    assert_eq!(
        night.log(),
        ["linked to `signalk-server` 2.32.0 as `vessels.urn:mrn:imo:mmsi:230099999`"]
    );
    night.pass(3600);
    assert_eq!(night.links().len(), 2, "an hour without a change");
    assert_eq!(night.times(&Output::Connect), [0]);
    let beats = night
        .sent()
        .iter()
        .filter(|delta| {
            delta.to_string().contains(HEARTBEAT) && delta.to_string().contains("\"values\"")
        })
        .count();
    // One with the greeting, one each 10 s.
    assert_eq!(beats, 361);
}

#[test]
fn an_anonymous_socket_that_is_silent_is_a_stated_problem_and_no_reason_to_knock() {
    let mut night = Night::new(Mood::Deaf);
    night.server.rights = Rights::Anonymous;
    night.pass(3600);
    assert_eq!(
        night.links(),
        [
            LinkState::Down("not connected to the server yet".into()),
            LinkState::Impaired(
                "the server does not know us; approve `windrode` in the server's security settings, access requests, with `readwrite`".into()
            )
        ]
    );
    assert_eq!(night.times(&Output::Connect), [0]);
    assert_eq!(night.log().len(), 1);
}

#[test]
fn a_server_that_drops_our_values_is_found_out_within_half_a_minute() {
    let mut night = Night::new(Mood::Deaf);
    night.server.rights = Rights::Unknown("`loginStatus` answered with status `404`".into());
    night.pass(24);
    assert_eq!(night.links().len(), 1);
    night.pass(2);
    assert_eq!(
        night.session.link(),
        Some(&LinkState::Impaired(
            "the server takes no values from us: what we send does not come back; see that our token has the permission `readwrite` and that no other client publishes as `windrode` (our rights on the server are not known: `loginStatus` answered with status `404`)".into()
        ))
    );
    night.server.mood = Mood::Good;
    night.pass(10);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

/// The heart beats, the notifications are dropped: no display would show the drag.
#[test]
fn a_server_that_drops_our_notifications_alone_is_found_out_within_half_a_minute() {
    let mut night = Night::new(Mood::Hidden);
    night.pass(24);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    night.pass(2);
    let Some(LinkState::Impaired(why)) = night.session.link() else {
        panic!("{:?}", night.session.link());
    };
    assert!(
        why.starts_with("the server shows no alarm of ours: `notifications.navigation.anchor."),
        "{why}"
    );
    // The alarm that stands is the one that is named.
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.pass(120);
    let Some(LinkState::Impaired(why)) = night.session.link() else {
        panic!("{:?}", night.session.link());
    };
    assert!(
        why.contains("`notifications.navigation.anchor.dragging` and "),
        "{why}"
    );
    // The rights are mended: published again, it comes back, and the link is up.
    night.server.mood = Mood::Good;
    night.pass(61);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    assert_eq!(
        night.server.notices["notifications.navigation.anchor.dragging"].0["state"],
        "alarm"
    );
}

/// A single notification that is lost later in the night is missed too.
#[test]
fn rights_to_notifications_that_are_taken_away_are_noticed_with_the_next_alarm() {
    let mut night = Night::linked();
    night.server.mood = Mood::Hidden;
    night.pass(600);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.pass(26);
    let Some(LinkState::Impaired(why)) = night.session.link() else {
        panic!("{:?}", night.session.link());
    };
    assert!(
        why.contains("`notifications.navigation.anchor.dragging` did not"),
        "{why}"
    );
}

/// What displays show counts, not what we are sent of it.
#[test]
fn a_notification_that_is_in_the_tree_is_shown_though_it_does_not_come_back() {
    let mut night = Night::new(Mood::Unsubscribed);
    night.pass(300);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    assert_eq!(night.links().len(), 2, "{:?}", night.links());
}

#[test]
fn a_heartbeat_from_the_server_s_cache_proves_nothing() {
    let mut night = Night::new(Mood::Deaf);
    night.pass(1);
    // The right number, but of an earlier run, by its stamp; the right stamp, another number.
    for (stamp, number) in [
        ("2026-06-01T12:00:00.000Z", 1),
        ("2026-06-01T21:30:00.000Z", 9),
    ] {
        night.hears(
            &json!({"context": TERN, "updates": [{"$source": "windrode", "timestamp": stamp,
                "values": [{"path": HEARTBEAT, "value": number}]}]})
            .to_string(),
        );
    }
    // The right one, under another source.
    night.hears(
        &json!({"context": TERN, "updates": [{"$source": "other", "timestamp": "2026-06-01T21:30:00.000Z",
            "values": [{"path": HEARTBEAT, "value": 1}]}]})
        .to_string(),
    );
    assert_eq!(night.links().len(), 1);
    night.hears(
        &json!({"context": TERN, "updates": [{"$source": "windrode", "timestamp": "2026-06-01T21:30:00.000Z",
            "values": [{"path": HEARTBEAT, "value": 1}]}]})
        .to_string(),
    );
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

#[test]
fn a_permission_taken_away_at_night_is_noticed() {
    let mut night = Night::linked();
    night.server.rights = Rights::ReadOnly;
    night.pass(40);
    assert!(
        matches!(night.session.link(), Some(LinkState::Impaired(words)) if words.contains("read only")),
        "{:?}",
        night.session.link()
    );
    // Given back: the connection is made anew with it.
    night.server.rights = Rights::Granted("readwrite".into());
    night.pass(65);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    assert_eq!(night.times(&Output::Connect).len(), 1);
}

#[test]
fn a_broken_network_is_told_at_once_and_healed_within_seconds() {
    let mut night = Night::linked();
    night.pass(100);
    night.outputs.clear();
    night.broken();
    assert_eq!(
        night.links(),
        [LinkState::Down("the server closed the connection".into())]
    );
    night.pass(2);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
    let sent = night.sent();
    assert!(sent[0]["subscribe"].is_array());
    assert!(sent[2]["updates"][0]["meta"].is_array());
}

#[test]
fn a_server_that_is_gone_all_night_is_tried_patiently_and_logged_sparingly() {
    let mut night = Night::new(Mood::Gone);
    night.pass(8 * 3600);
    let tries = night.times(&Output::Connect);
    // Half a minute, a fifth more or less.
    assert!((800..1300).contains(&tries.len()), "{}", tries.len());
    let gaps: Vec<u64> = tries.windows(2).map(|w| w[1] - w[0]).collect();
    assert!(gaps[..3].iter().all(|gap| *gap <= 5), "{:?}", &gaps[..3]);
    assert!(gaps.iter().all(|gap| *gap <= 37));
    assert_eq!(
        night.links(),
        [
            LinkState::Down("not connected to the server yet".into()),
            LinkState::Down("no connection to the server: connection refused".into())
        ]
    );
    assert_eq!(night.log().len(), 1);
}

#[test]
fn a_refused_token_is_said_and_tried_once_a_minute() {
    let mut night = Night::new(Mood::Refusing);
    night.pass(600);
    assert!((8..=13).contains(&night.times(&Output::Connect).len()));
    assert_eq!(
        night.session.link(),
        Some(&LinkState::Down(
            "the server refuses our token (`status 401`); remove the token and approve `windrode` in the server's security settings, access requests, with `readwrite`".into()
        ))
    );
    night.server.mood = Mood::Good;
    night.session.handle_new_token(night.now);
    night.pass(0);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

#[test]
fn a_socket_without_a_greeting_is_dropped() {
    let mut night = Night::new(Mood::Dumb);
    night.pass(10);
    assert_eq!(
        night.found(|o| match o {
            Output::Close(words) => Some(words.clone()),
            _ => None,
        }),
        ["the server did not say hello within 10 s; is it a Signal K server?"]
    );
}

#[test]
fn a_dead_peer_is_found_by_its_missing_pong() {
    let mut night = Night::linked();
    night.server.pongs = false;
    night.server.mood = Mood::Deaf;
    night.pass(45);
    assert_eq!(
        night.links()[0],
        LinkState::Impaired("the server takes no values from us: what we send does not come back; see that our token has the permission `readwrite` and that no other client publishes as `windrode`".into())
    );
    assert_eq!(
        night.links()[1],
        LinkState::Down("the server gave no sign of life within 15 s of a ping".into())
    );
}

#[test]
fn a_server_that_answers_pings_but_sends_nothing_is_left_and_tried_again() {
    let mut night = Night::linked();
    night.server.mood = Mood::Deaf;
    night.pass(72);
    assert_eq!(
        night.links().last(),
        Some(&LinkState::Down(
            "the server has sent nothing for 70 s".into()
        ))
    );
    night.server.mood = Mood::Good;
    // Proven with the next heartbeat.
    night.pass(12);
    assert_eq!(night.session.link(), Some(&LinkState::Up));
}

#[test]
fn a_shell_that_still_talks_of_a_dropped_socket_is_not_listened_to() {
    let mut night = Night::new(Mood::Dumb);
    night.pass(10);
    let waiting = night.session.poll_timeout();
    night.session.handle_closed(night.now, Closed::Ended);
    night.session.handle_connected(night.now);
    night.session.handle_frame(night.now, &night.server.hello());
    night.session.handle_pong(night.now);
    assert_eq!(night.session.poll_timeout(), waiting);
    assert_eq!(night.session.poll_output(), None);
}

// ---- what the sensors said --------------------------------------------------------------------

#[test]
fn an_update_that_the_server_took_apart_is_one_report() {
    let mut night = Night::linked();
    night.hears(&fix("gps0.GP", 1, 59.8539));
    night.hears(
        &json!({"context": TERN, "updates": [{"$source": "gps0.GP", "timestamp": "2026-06-01T21:30:01.000Z",
            "values": [{"path": "navigation.gnss.methodQuality", "value": "no GPS"}]}]})
        .to_string(),
    );
    assert!(night.reports().is_empty());
    night.pass(1);
    let reports = night.reports();
    assert_eq!(reports.len(), 1);
    assert_eq!(
        reports[0].facts,
        [
            Fact::FixMethod(Some(FixMethod::NoFix)),
            Fact::Position(Position::new(59.8539, 23.26).ok())
        ]
    );
}

#[test]
fn what_the_second_subscription_delivers_again_is_not_counted_again() {
    let mut night = Night::linked();
    for stamp in 1..=5 {
        night.hears(&fix("gps0.GP", stamp, 59.8539));
        night.pass(1);
    }
    night.hears(&fix("gps0.GP", 5, 59.8539));
    night.pass(1);
    assert_eq!(night.reports().len(), 5);
}

#[test]
fn a_broken_sensor_is_logged_once_not_ten_times_a_second() {
    let mut night = Night::linked();
    for _ in 0..1000 {
        night.hears(
            &json!({"context": TERN, "updates": [{"$source": "echo.0", "timestamp": "2026-06-01T21:30:01Z",
                "values": [{"path": "environment.depth.belowKeel", "value": "deep"}]}]})
            .to_string(),
        );
        night.hears("{ not json");
    }
    assert_eq!(night.session.malformed(), 1000);
    assert_eq!(
        night.log(),
        [
            "`environment.depth.belowKeel` from `echo.0` is a text, no length in metres; it is taken as not known",
            "the frame cannot be read: key must be a string at line 1 column 3; one JSON object a frame is wanted",
        ]
    );
}

// ---- commands -----------------------------------------------------------------------------------

#[test]
fn a_command_is_handed_on_and_its_answer_sent_back() {
    let mut night = Night::linked();
    night.hears(&fix("gps0.GP", 1, 59.8539));
    night.puts("navigation.anchor.watch.letGo", &json!({"rode": 35.5}));
    let last_two: Vec<_> = night
        .outputs
        .iter()
        .rev()
        .take(2)
        .map(|(_, o)| o.clone())
        .collect();
    let Output::Command { request, command } = last_two[0].clone() else {
        panic!("{last_two:?}");
    };
    assert!(
        matches!(last_two[1], Output::Report(_)),
        "the fix that was held back goes first"
    );
    assert_eq!(
        command,
        Command::LetGo(LetGo {
            rode: Some(Metres::of(35.5)),
            ..LetGo::default()
        })
    );
    night.session.handle_reply(
        night.now,
        request,
        &Outcome::Refused("no fix, so no mark".into()),
    );
    night.settle();
    let answer = json!({"requestId": "f60de2a5", "state": "COMPLETED", "statusCode": 400, "message": "no fix, so no mark"});
    assert_eq!(night.sent(), [answer]);
    // A second word on the same request reaches nobody.
    night
        .session
        .handle_reply(night.now, request, &Outcome::Done("late".into()));
    assert_eq!(night.session.poll_output(), None);
}

#[test]
fn refusals_are_answered_here_and_change_nothing() {
    let mut night = Night::linked();
    let other = "vessels.urn:mrn:imo:mmsi:999999999";
    night.hears(&json!({"requestId": "1", "context": other, "put": [{"path": "navigation.anchor.watch.weigh", "value": true}]}).to_string());
    night.hears(&json!({"requestId": "2", "context": TERN, "put": []}).to_string());
    night.puts("navigation.anchor.watch.weigh", &json!("yes"));
    night.puts("navigation.anchor.watch.scope", &json!(5));
    night.hears(&json!({"context": TERN, "put": [{"path": "navigation.anchor.watch.weigh", "value": true}]}).to_string());
    let answers: Vec<_> = night
        .sent()
        .iter()
        .map(|a| {
            (
                a["statusCode"].clone(),
                a["message"].as_str().unwrap().to_owned(),
            )
        })
        .collect();
    assert_eq!(
        answers,
        [
            (json!(403), "`vessels.urn:mrn:imo:mmsi:999999999` is another vessel's context; commands are taken for `vessels.self` only".to_owned()),
            (json!(400), "a request carries `0` readable entries of `put`; write one `path` with its `value`".to_owned()),
            (json!(400), "`weigh` was given `\"yes\"`; write `true`".to_owned()),
            (json!(405), "`navigation.anchor.watch.scope` is reckoned by windrode and cannot be set; the commands are `letGo`, `rodeOut`, `weigh`, `acknowledge`, `silence`, `berth`, `pullTest`, `position`, `maxRadius`".to_owned()),
        ]
    );
    assert!(
        night
            .found(|o| matches!(o, Output::Command { .. }).then_some(()))
            .is_empty()
    );
}

#[test]
fn a_command_nobody_answers_times_out_and_too_many_are_refused() {
    let mut night = Night::linked();
    for _ in 0..70 {
        night.puts("navigation.anchor.watch.acknowledge", &json!(true));
    }
    let busy = night
        .sent()
        .iter()
        .filter(|a| a["statusCode"] == 503)
        .count();
    assert_eq!(busy, 70 - requests::MOST);
    night.pass(51);
    let late: Vec<_> = night
        .sent()
        .into_iter()
        .filter(|a| a["statusCode"] == 504)
        .collect();
    assert_eq!(late.len(), requests::MOST);
    assert_eq!(
        late[0]["message"],
        "the watch did not answer within 50 s; ask for its state before trying again"
    );
}

#[test]
fn an_answer_after_the_connection_broke_reaches_nobody() {
    let mut night = Night::linked();
    night.puts("navigation.anchor.watch.weigh", &json!(true));
    let request = night.found(|o| match o {
        Output::Command { request, .. } => Some(*request),
        _ => None,
    })[0];
    night.broken();
    night
        .session
        .handle_reply(night.now, request, &Outcome::Done("aweigh".into()));
    assert_eq!(night.session.poll_output(), None);
}

// ---- what we say --------------------------------------------------------------------------------

#[test]
fn changes_are_published_each_second_and_a_turn_of_phase_at_once() {
    let mut night = Night::linked();
    night.pass(1);
    night.outputs.clear();
    let mut picture = Picture::default();
    // Ten pictures a second for three seconds.
    for tenth in 0..30 {
        picture.current_radius = Some(Metres::of(20.0 + f64::from(tenth) * 0.1));
        night.session.handle_picture(night.now, &picture);
        night.settle();
        let next = night.now.plus(Duration::from_millis(100));
        while let Some(due) = night.session.poll_timeout().filter(|due| *due <= next.tick) {
            night.now = night.now.plus(due.since(night.now.tick));
            night.session.handle_timeout(night.now);
            night.settle();
        }
        night.now = next;
    }
    // The first at once, then one each second.
    assert_eq!(night.sent().len(), 4, "{:?}", night.sent());
    night.outputs.clear();
    picture.phase = WatchPhase::Setting;
    night.session.handle_picture(night.now, &picture);
    night.settle();
    let sent = night.sent();
    assert_eq!(sent.len(), 1);
    assert!(sent[0].to_string().contains("setting"));
}

#[test]
fn the_chart_s_drawing_follows_once_the_link_is_proven() {
    let mut night = Night::new(Mood::Good);
    let anchored = Picture {
        anchor: Position::new(59.8539, 23.26).ok(),
        max_radius: Some(Metres::of(52.0)),
        ..Picture::default()
    };
    night.session.handle_picture(night.now, &anchored);
    assert_eq!(
        night.session.poll_output(),
        None,
        "nothing is drawn into the blue"
    );
    night.pass(1);
    let writes = |night: &Night| {
        night.found(|o| match o {
            Output::PutResource(write) => Some(write.body.is_some()),
            _ => None,
        })
    };
    assert_eq!(writes(&night), [true, true, false]);
    night
        .session
        .handle_resource_failed(night.now, "status `404`");
    night.pass(299);
    assert_eq!(writes(&night).len(), 3);
    night.pass(1);
    assert_eq!(writes(&night).len(), 6);
}

#[test]
fn an_alarm_is_acknowledged_at_a_display_and_told_once() {
    let mut night = Night::linked();
    night.raises(AlertState::ActiveUnacknowledged, 1);
    assert_eq!(
        night.dragging(),
        [("alarm".to_owned(), json!(["visual", "sound"]))]
    );
    let frame = night.server.display(|notice| notice.2 = true);
    night.hears(&frame);
    night.hears(&frame);
    assert_eq!(night.acts(), [DisplayAct::Acknowledged]);
    night.raises(AlertState::ActiveAcknowledged, 1);
    night.pass(60);
    assert_eq!(night.acts().len(), 1);
    assert_eq!(
        night.dragging()[1..],
        [("alarm".to_owned(), json!(["visual"]))]
    );
    // It gets worse: through normal, or the server would keep it mute.
    night.outputs.clear();
    night.raises(AlertState::ActiveUnacknowledged, 2);
    assert_eq!(
        night.dragging(),
        [
            ("normal".to_owned(), json!([])),
            ("alarm".to_owned(), json!(["visual", "sound"]))
        ]
    );
    assert!(night.acts().is_empty());
    let (shown, silenced, acknowledged) =
        &night.server.notices["notifications.navigation.anchor.dragging"];
    assert_eq!(
        (&shown["state"], silenced, acknowledged),
        (&json!("alarm"), &false, &false)
    );
}

#[test]
fn after_a_restart_of_the_server_an_open_alarm_sounds_again_and_a_known_one_does_not() {
    for (state, method) in [
        (AlertState::ActiveUnacknowledged, json!(["visual", "sound"])),
        (AlertState::ActiveAcknowledged, json!(["visual"])),
    ] {
        let mut night = Night::linked();
        night.raises(state, 1);
        night.outputs.clear();
        night.restarted();
        night.pass(3);
        assert_eq!(night.dragging().last(), Some(&("alarm".to_owned(), method)));
        assert_eq!(night.session.link(), Some(&LinkState::Up));
        assert!(night.acts().is_empty());
    }
}

#[test]
fn a_display_s_acknowledgement_survives_a_broken_network() {
    let mut night = Night::linked();
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.broken();
    // Somebody acknowledges while we are away; the server still has it when we come back.
    let frame = night.server.display(|notice| notice.2 = true);
    night.outputs.clear();
    night.pass(2);
    assert_eq!(night.acts(), [DisplayAct::Acknowledged]);
    assert_eq!(
        night.dragging(),
        [("alarm".to_owned(), json!(["visual", "sound"]))]
    );
    night.hears(&frame);
    assert_eq!(night.acts().len(), 1);
}

#[test]
fn a_client_that_clears_our_alarm_is_told_on_and_corrected_without_a_flood() {
    let mut night = Night::linked();
    night.raises(AlertState::ActiveUnacknowledged, 1);
    night.outputs.clear();
    // A client at odds with us writes normal again each time, for five minutes.
    for _ in 0..3000 {
        let frame = night
            .server
            .display(|notice| notice.0["state"] = json!("normal"));
        night.hears(&frame);
        let next = night.now.plus(Duration::from_millis(100));
        while let Some(due) = night.session.poll_timeout().filter(|due| *due <= next.tick) {
            night.now = night.now.plus(due.since(night.now.tick));
            night.session.handle_timeout(night.now);
            night.settle();
        }
        night.now = next;
    }
    let corrections = night.dragging().len();
    assert!((15..=31).contains(&corrections), "{corrections}");
    assert!(night.acts().iter().all(|act| *act == DisplayAct::Cleared));
    assert!(!night.acts().is_empty());
    assert_eq!(night.log().len(), 1);
    night.pass(10);
    assert_eq!(
        night.dragging().last().unwrap().0,
        "alarm",
        "the last word is ours"
    );
}
