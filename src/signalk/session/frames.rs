//! Handles what arrives (greeting, values, commands, complaints), and sends the alerts as notifications.

use serde_json::Value;

use super::super::put::{self, PutRefusal};
use super::super::wire::{self, Delta, Hello, Incoming, Put, Wire};
use super::super::{paths, shortened};
use super::tend::Greeted;
use super::{Connection, Level, Output, Session};
use crate::alert::hazard::{AlertView, Hazard};
use crate::speech::puts::PutTold;
use crate::time::Now;
use crate::watch::messages::DisplayAct;

impl Session {
    /// A text frame arrived.
    pub fn handle_frame(&mut self, now: Now, text: &str) {
        let greeted = match self.connection {
            Connection::Waiting | Connection::Connecting => return,
            Connection::Open => false,
            Connection::Greeted(_) => true,
        };
        self.heard(now);
        match wire::parse(text, |path| self.reader.wants(path)) {
            Ok(Incoming::Hello(hello)) if !greeted => self.greet(now, hello),
            Ok(Incoming::Delta(delta)) if greeted => self.delta(now, &delta),
            Ok(Incoming::Put(put)) if greeted => self.put(now, put),
            Ok(Incoming::ErrorText(words)) => self.log(
                now,
                Level::Warn,
                &format!("the server complains: `{}`", shortened(&words, 200)),
            ),
            Ok(
                Incoming::Hello(_)
                | Incoming::Delta(_)
                | Incoming::Put(_)
                | Incoming::Reply(_)
                | Incoming::Unknown,
            ) => {}
            Err(error) => self.log(now, Level::Debug, &error.to_string()),
        }
    }

    fn greet(&mut self, now: Now, hello: Hello) {
        let server = format!(
            "`{}` {} as `{}`",
            shortened(&hello.name, 40),
            shortened(&hello.version, 40),
            shortened(&hello.self_context, 120)
        );
        let same = hello.start_id.is_some() && hello.start_id == self.start_id;
        self.start_id = hello.start_id;
        if !same {
            self.notices.forget();
            self.resources.forget();
        }
        self.reader.set_self(&hello.self_context);
        self.publisher.forget();
        for message in paths::subscriptions(self.reader.own_paths()) {
            self.outputs.push_back(Output::Transmit(message));
        }
        self.greeted_by(now, Greeted::new(now.tick, hello.self_context, server));
        self.heartbeat(now);
        let values = self.notices.publish_anew(now);
        self.publish_notices(now, &values);
        self.outputs.push_back(Output::ProbeRights);
    }

    fn delta(&mut self, now: Now, delta: &Delta<'_>) {
        if self.reader.is_own(delta.context.as_deref()) {
            for update in &delta.updates {
                if !self.reader.is_echo(&update.source) {
                    continue;
                }
                for value in &update.values {
                    if value.path == paths::HEARTBEAT {
                        self.beat_came_back(now, &value.value, update.timestamp.as_deref());
                    } else if let Some(hazard) = paths::hazard(&value.path) {
                        self.notice_came_back(now, hazard, &value.value);
                    }
                }
            }
        }
        let mut reports = Vec::new();
        self.reader.read(delta, &mut reports);
        for report in reports {
            let complete = self.gather.push(now.tick, report);
            self.outputs
                .extend(complete.into_iter().flatten().map(Output::Report));
        }
        while let Some(complaint) = self.reader.poll_complaint() {
            self.log(now, Level::Debug, &complaint);
        }
    }

    fn notice_came_back(&mut self, now: Now, hazard: Hazard, value: &Wire<'_>) {
        let was_missing = self.notices.missing().is_some();
        let action = self.notices.handle_echo(now.tick, hazard, value);
        if was_missing {
            self.judge(now);
        }
        let Some(action) = action else {
            return;
        };
        self.let_go_of_held();
        self.outputs.push_back(Output::Display(action));
        if action.act == DisplayAct::Cleared {
            self.log(
                now,
                Level::Warn,
                &format!("another client overwrote the alert `{hazard}`, which still stands; it is published again"),
            );
            self.publish_again(now, [hazard]);
        }
    }

    /// The shell looked for a notification ([`Output::LookForNotice`]): takes the JSON of its node
    /// in the server's tree, or any other value if the notification is not shown.
    pub fn handle_notice_seen(&mut self, now: Now, hazard: Hazard, node: &str) {
        let Ok(Value::Object(node)) = serde_json::from_str(node) else {
            return;
        };
        // With several sources on the path the server shows the others' under `values`.
        let label = self.label.to_string();
        let of_source = |name: &str| node.get("values")?.get(name)?.get("value");
        if let Some(value) = of_source(&label).or_else(|| node.get("value")) {
            self.notice_came_back(now, hazard, &Wire::Other(value.clone()));
        }
    }

    /// An alert changed, or has to be shown again.
    pub fn handle_alert(&mut self, now: Now, alert: &AlertView) {
        self.notices.hold(alert);
        if self.context().is_some() {
            self.publish_again(now, [alert.hazard]);
        }
    }

    pub(super) fn publish_again(&mut self, now: Now, hazards: impl IntoIterator<Item = Hazard>) {
        for hazard in hazards {
            let values = self.notices.publish(now, hazard);
            self.publish_notices(now, &values);
        }
    }

    fn publish_notices(&mut self, now: Now, values: &[(Hazard, Value)]) {
        let Some(context) = self.context() else {
            return;
        };
        let frames: Vec<String> = values
            .iter()
            .map(|(hazard, value)| {
                let path = format!("{}{hazard}", paths::NOTIFICATIONS);
                self.publisher.single(context, now.utc, &path, value)
            })
            .collect();
        self.outputs
            .extend(frames.into_iter().map(Output::Transmit));
    }

    fn put(&mut self, now: Now, put: Put) {
        let Some(id) = put.request_id else {
            self.log(
                now,
                Level::Debug,
                "a command without `requestId` was not carried out: it cannot be answered",
            );
            return;
        };
        let say = self.wording.clone();
        let mut answer = |status, words: &str| {
            // An unreasonably long id is cut, and the answer then reaches nobody.
            let id = id.get(..ID_BYTES).unwrap_or(&id);
            self.outputs
                .push_back(Output::Transmit(put::answer(id, status, words)));
        };
        if !self.reader.is_own(put.context.as_deref()) {
            let context = put.context.unwrap_or_default();
            let refusal = PutRefusal::Context(shortened(&context, 120));
            answer(refusal.status(), &refusal.words(&say));
            return;
        }
        let command = match put.entries.as_slice() {
            [entry] => put::parse_put(&entry.path, &entry.value),
            entries => Err(PutRefusal::Entries(entries.len())),
        };
        match command {
            Err(refusal) => answer(refusal.status(), &refusal.words(&say)),
            Ok(_) if id.len() > ID_BYTES => {
                answer(400, &PutTold::IdTooLong.words(&say));
            }
            Ok(command) => match self.requests.open(now.tick, id.clone()) {
                None => answer(503, &PutTold::TooMany.words(&say)),
                Some(request) => {
                    self.let_go_of_held();
                    self.outputs.push_back(Output::Command { request, command });
                }
            },
        }
    }
}

const ID_BYTES: usize = 256;
