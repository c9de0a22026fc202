//! A boat at anchor for hostile input: session and watch connected as in the daemon, without a socket.

use std::time::Duration;

use serde_json::json;

use super::EVENING;
use crate::alert::hazard::AlertView;
use crate::signalk::session::{self, Session};
use crate::time::{Now, Tick, Timestamp};
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{By, Command, Entry, Input, Outcome, Output};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

pub(super) struct Boat {
    now: Now,
    session: Session,
    watch: Watchkeeper,
    orders: u64,
    answers: Vec<Outcome>,
}

pub(super) fn later(now: Now, seconds: u64) -> Now {
    now.plus(Duration::from_secs(seconds))
}

impl Boat {
    /// No server, no anchor yet.
    pub(super) fn without_data() -> Self {
        let now = Now::new(Tick::START, Timestamp::from_millis(EVENING));
        let mut boat = Self {
            now,
            session: Session::new(session::Settings::default(), 1),
            watch: Watchkeeper::new(now, WatchSettings::default(), Saved::default()),
            orders: 0,
            answers: Vec::new(),
        };
        boat.watch.handle(now, Input::Began { last_seen: None });
        boat.settle();
        boat
    }

    /// Connected, with a fix, a heading, a depth and 40 m of rode.
    pub(super) fn at_anchor() -> Self {
        let mut boat = Self::without_data();
        boat.session.handle_timeout(boat.now);
        boat.session.handle_connected(boat.now);
        let hello = json!({"name": "fuzz", "version": "2.0.0", "self": TERN, "serverStartId": "1"});
        let delta = json!({"context": TERN, "updates": [{"$source": "gps0.GP", "values": [
            {"path": "navigation.position", "value": {"latitude": 59.8539, "longitude": 23.26}},
            {"path": "navigation.headingTrue", "value": 1.5},
            {"path": "environment.depth.belowSurface", "value": 8.0},
            {"path": "environment.wind.speedApparent", "value": 7.0},
            {"path": "environment.wind.angleApparent", "value": 0.1},
        ]}]});
        let put = json!({"requestId": "1", "context": TERN,
            "put": {"path": "navigation.anchor.watch.letGo", "value": {"rode": 40}}});
        for line in [&hello, &delta, &delta, &put] {
            // Nothing in this setup breaks a promise.
            let _ = boat.hear(&line.to_string());
        }
        boat
    }

    /// Handles a frame from the server, then lets a second pass.
    pub(super) fn hear(&mut self, line: &str) -> Result<(), String> {
        self.session.handle_frame(self.now, line);
        self.settle();
        self.now = later(self.now, 1);
        self.session.handle_timeout(self.now);
        self.watch.handle_timeout(self.now);
        self.settle();
        if self.answers.len() as u64 == self.orders {
            Ok(())
        } else {
            Err(format!(
                "{} orders, {} answers",
                self.orders,
                self.answers.len()
            ))
        }
    }

    /// Gives an order; returns its answers.
    pub(super) fn order(&mut self, command: Command, by: By) -> Vec<Outcome> {
        self.answers.clear();
        self.orders = 1;
        self.watch
            .handle(self.now, Input::Command { id: 0, command, by });
        self.settle();
        std::mem::take(&mut self.answers)
    }

    /// The journal's records, each with its time.
    pub(super) fn live_through(&mut self, entries: Vec<Entry>) {
        for entry in entries.into_iter().take(super::MOST_LINES) {
            self.watch.handle(entry.now, entry.input);
            self.watch.handle_timeout(entry.now);
            self.settle();
        }
    }

    pub(super) fn saved(&self) -> Saved {
        self.watch.saved()
    }

    pub(super) fn alerts(&self) -> Vec<AlertView> {
        self.watch.alerts()
    }

    /// Passes the output of each to the other, as the daemon does.
    fn settle(&mut self) {
        let now = self.now;
        loop {
            if let Some(output) = self.session.poll_output() {
                match output {
                    session::Output::Report(report) => {
                        self.watch.handle(now, Input::Report(report));
                    }
                    session::Output::Command { request, command } => {
                        let answers = self.answers.len();
                        self.orders += 1;
                        let by = By::Server;
                        self.watch.handle(
                            now,
                            Input::Command {
                                id: self.orders,
                                command,
                                by,
                            },
                        );
                        self.hand_on();
                        if let Some(outcome) = self.answers.get(answers) {
                            self.session.handle_reply(now, request, outcome);
                        }
                    }
                    session::Output::Link(link) => self.watch.handle(now, Input::Link(link)),
                    session::Output::Display(action) => {
                        self.watch.handle(now, Input::Display(action));
                    }
                    session::Output::Connect
                    | session::Output::Transmit(_)
                    | session::Output::Ping
                    | session::Output::Close(_)
                    | session::Output::ProbeRights
                    | session::Output::LookForNotice(_)
                    | session::Output::PutResource(_)
                    | session::Output::Log { .. } => {}
                }
            } else if !self.hand_on() {
                return;
            }
        }
    }

    /// Passes output from the watch to the session; returns whether there was any.
    fn hand_on(&mut self) -> bool {
        let mut any = false;
        while let Some(output) = self.watch.poll_output() {
            any = true;
            match output {
                Output::Alert(view) => self.session.handle_alert(self.now, &view),
                Output::Publish(picture) => self.session.handle_picture(self.now, &picture),
                Output::Reply { outcome, .. } => self.answers.push(outcome),
                Output::Persist(_)
                | Output::Event(_)
                | Output::AskChart(_)
                | Output::KeepSoundings(_) => {}
            }
        }
        any
    }
}

const TERN: &str = "vessels.urn:mrn:imo:mmsi:230099999";
