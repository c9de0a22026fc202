//! The logic of a small Signal K server: values, subscriptions and requests, without sockets.
//!
//! It reproduces what an external client can observe of signalk-server 2.32.0, including the
//! awkward parts: cached values are replayed at subscribe time with their old stamps; a client
//! receives its own values; stamps are passed on unchanged; each frame carries one value; an empty
//! delta follows each notification; a PUT goes to the client that last published the path, as an
//! array of one; the vessel's dimensions cannot be set from outside.
//!
//! Grammar: call a `handle_*` method with the time, then [`Hub::poll_output`] until it is empty.
//! Fixed-period subscriptions and request timeouts are checked in [`Hub::handle_timeout`], whenever
//! it is called. Everything that a client can grow has a limit; what exceeds the limit is dropped.
//!
//! Left out is what windrode does not use: subscriptions in the address or with excluded sources,
//! unsubscribing, PUTs of other clients, source priorities, meta on the stream, history.

mod notices;
mod requests;
mod subscriptions;

use std::collections::{BTreeMap, VecDeque};
use std::time::Duration;

pub use notices::{NoticeAction, NoticeError};
use notices::{NoticeKey, Notices};
use requests::Request;
use serde_json::{Map, Value, json};
use subscriptions::Subscription;

use crate::time::Timestamp;

/// Makes the identifiers that the server assigns to its start, to requests and to notifications.
pub type Identifiers = Box<dyn FnMut() -> String + Send>;

/// A connected client.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClientId(u64);

/// The answer to a PUT.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PutOutcome {
    /// The HTTP status code.
    pub status_code: u16,
    /// The message for people; empty if there is none.
    pub message: String,
}

/// What the sockets have to do, in this order.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "a frame that is dropped never reaches its client"]
pub enum HubOutput {
    /// Send a text to a client.
    Send {
        /// The client to send to.
        client: ClientId,
        /// The frame.
        text: String,
    },
    /// A request made by [`Hub::handle_put`] is done.
    Answer {
        /// The number of the request.
        request: u64,
        /// The result.
        outcome: PutOutcome,
    },
}

/// Why a delta was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is no delta; a JSON object with an array `updates` is expected")]
pub struct NoDelta {
    /// The start of the delta.
    pub text: String,
}

/// Values, subscriptions and requests of one server.
pub struct Hub {
    own: String,
    start_id: String,
    new_id: Identifiers,
    nodes: BTreeMap<(String, String), Node>,
    /// The number of values in all nodes.
    values: usize,
    clients: BTreeMap<ClientId, Client>,
    next_client: u64,
    /// The client that last published a path.
    publishers: BTreeMap<String, ClientId>,
    requests: BTreeMap<String, Request>,
    notices: Notices,
    resources: BTreeMap<(String, String), Value>,
    silence_writes: bool,
    published: VecDeque<Value>,
    keep_published: usize,
    outputs: VecDeque<HubOutput>,
}

/// All values and publishers of one path in one context.
#[derive(Clone, Debug, Default)]
struct Node {
    latest: String,
    sources: BTreeMap<String, Cached>,
}

#[derive(Clone, Debug)]
struct Cached {
    value: Value,
    stamp: String,
}

#[derive(Clone, Debug, Default)]
struct Client {
    subscriptions: Vec<Subscription>,
}

/// A value to be sent out.
struct Item<'a> {
    context: &'a str,
    path: &'a str,
    source: &'a str,
    stamp: &'a str,
    value: &'a Value,
}

impl Hub {
    /// A server that has just started, for the vessel with this context. The context is given
    /// without `vessels.`, for example `urn:mrn:imo:mmsi:230099999`.
    #[must_use]
    pub fn new(urn: &str, mut new_id: Identifiers) -> Self {
        Self {
            own: format!("vessels.{urn}"),
            start_id: new_id(),
            new_id,
            nodes: BTreeMap::new(),
            values: 0,
            clients: BTreeMap::new(),
            next_client: 0,
            publishers: BTreeMap::new(),
            requests: BTreeMap::new(),
            notices: Notices::default(),
            resources: BTreeMap::new(),
            silence_writes: false,
            published: VecDeque::new(),
            keep_published: 0,
            outputs: VecDeque::new(),
        }
    }

    /// Restarts the server: it gets another start identifier, keeps its resources and forgets
    /// everything else. The caller disconnects all clients first.
    pub fn restart(&mut self) {
        self.start_id = (self.new_id)();
        self.nodes.clear();
        self.values = 0;
        self.clients.clear();
        self.publishers.clear();
        self.requests.clear();
        self.notices = Notices::default();
    }

    /// The next thing to do.
    pub fn poll_output(&mut self) -> Option<HubOutput> {
        self.outputs.pop_front()
    }

    /// A client connects, with `subscribe=none` in the address, and is greeted.
    pub fn handle_connect(&mut self, now: Timestamp) -> ClientId {
        let client = ClientId(self.next_client);
        self.next_client += 1;
        let hello = json!({
            "name": "rehearsal",
            "version": env!("CARGO_PKG_VERSION"),
            "self": self.own,
            "roles": ["master", "main"],
            "timestamp": now.to_string(),
            "serverStartId": self.start_id,
        });
        self.send(client, hello.to_string());
        self.clients.insert(client, Client::default());
        client
    }

    /// A client has disconnected: the requests it was asked are answered with a time-out.
    pub fn handle_disconnect(&mut self, client: ClientId) {
        self.clients.remove(&client);
        self.publishers.retain(|_, publisher| *publisher != client);
        self.fail_requests(|request| request.by == client);
    }

    /// A client sent a text frame. Text that is not a JSON object is ignored, as on the server.
    pub fn handle_text(&mut self, now: Timestamp, client: ClientId, text: &str) {
        let Ok(Value::Object(message)) = serde_json::from_str(text) else {
            return;
        };
        if message.contains_key("updates") {
            self.handle_client_delta(now, client, message);
        } else if let Some(wanted) = message.get("subscribe") {
            self.handle_subscribe(client, &message, wanted);
        } else if message.contains_key("requestId") {
            self.handle_reply(client, &message);
        }
    }

    /// An instrument aboard sends a delta.
    pub fn handle_feed(&mut self, now: Timestamp, text: &str) -> Result<(), NoDelta> {
        match serde_json::from_str(text) {
            Ok(Value::Object(delta)) if delta.get("updates").is_some_and(Value::is_array) => {
                self.take_delta(now, None, &delta);
                Ok(())
            }
            _ => Err(NoDelta {
                text: text.chars().take(80).collect(),
            }),
        }
    }

    /// The crew puts a value from within the program; [`HubOutput::Answer`] carries the result.
    pub fn handle_put(&mut self, now: Timestamp, request: u64, path: &str, value: &Value) {
        self.put(now, request, path, value);
    }

    /// Time has passed: fixed-period subscriptions are served and old requests time out.
    pub fn handle_timeout(&mut self, now: Timestamp) {
        self.serve_periods(now);
        self.fail_requests(|request| now >= request.since.plus(REQUEST_TIMEOUT));
    }

    /// A person acts on a notification of the own vessel on a path.
    pub fn handle_notice(
        &mut self,
        now: Timestamp,
        path: &str,
        action: NoticeAction,
    ) -> Result<(), NoticeError> {
        let node = self.nodes.get(&(self.own.clone(), path.to_owned()));
        let source = node.map(|node| node.latest.clone());
        let source = source.ok_or_else(|| NoticeError::Unknown(path.to_owned()))?;
        let key = (self.own.clone(), path.to_owned(), source);
        let shown = self.notices.act(&key, action, now)?;
        self.show_notice(now, &key, &now.to_string(), &shown);
        Ok(())
    }

    /// Stores a resource, or removes it, and sends the change to all clients. Nothing happens once
    /// the limit is reached.
    pub fn handle_resource(&mut self, now: Timestamp, kind: &str, id: &str, value: Option<Value>) {
        let key = (kind.to_owned(), id.to_owned());
        let path = format!("resources.{kind}.{id}");
        let shown = value.clone().unwrap_or(Value::Null);
        match value {
            Some(Value::Object(mut body)) => {
                if self.resources.len() >= MOST_RESOURCES && !self.resources.contains_key(&key) {
                    return;
                }
                body.insert("timestamp".to_owned(), json!(now.to_string()));
                body.insert("$source".to_owned(), json!(RESOURCE_SOURCE));
                self.resources.insert(key, Value::Object(body));
            }
            _ => _ = self.resources.remove(&key),
        }
        let own = self.own.clone();
        self.deliver(
            now,
            &Item {
                context: &own,
                path: &path,
                source: RESOURCE_SOURCE,
                stamp: &now.to_string(),
                value: &shown,
            },
        );
    }

    /// A resource.
    #[must_use]
    pub fn resource(&self, kind: &str, id: &str) -> Option<&Value> {
        self.resources.get(&(kind.to_owned(), id.to_owned()))
    }

    /// The own vessel's latest value on a path, from any source.
    #[must_use]
    pub fn value(&self, path: &str) -> Option<&Value> {
        let node = self.nodes.get(&(self.own.clone(), path.to_owned()))?;
        node.sources.get(&node.latest).map(|cached| &cached.value)
    }

    /// Silently drops what clients write, as for clients whose rights were withdrawn.
    pub fn silence_writes(&mut self, on: bool) {
        self.silence_writes = on;
    }

    /// Keeps at most this many of the latest deltas that clients send; zero keeps none.
    pub fn keep_published(&mut self, count: usize) {
        self.keep_published = count;
        self.published.truncate(count);
    }

    /// Returns the kept deltas and forgets them.
    pub fn take_published(&mut self) -> Vec<Value> {
        self.published.drain(..).collect()
    }

    fn handle_client_delta(&mut self, now: Timestamp, client: ClientId, delta: Map<String, Value>) {
        if self.silence_writes {
            return;
        }
        self.take_delta(now, Some(client), &delta);
        if self.keep_published > 0 {
            while self.published.len() >= self.keep_published {
                self.published.pop_front();
            }
            self.published.push_back(Value::Object(delta));
        }
    }

    fn take_delta(&mut self, now: Timestamp, client: Option<ClientId>, delta: &Map<String, Value>) {
        let context = self.context_of(delta);
        let updates = delta.get("updates").and_then(Value::as_array);
        for update in updates.into_iter().flatten() {
            let source = match (update.get("$source"), update.pointer("/source/label")) {
                (Some(Value::String(source)), _) => source.clone(),
                (_, Some(Value::String(label))) => format!("{label}.XX"),
                _ => "ws".to_owned(),
            };
            let stamp = update.get("timestamp").and_then(Value::as_str);
            let stamp = stamp.map_or_else(|| now.to_string(), str::to_owned);
            let values = update.get("values").and_then(Value::as_array);
            let Some(values) = values.map(Vec::as_slice).and_then(pairs) else {
                continue;
            };
            // The server splits a mixed update and sends notifications first.
            let (notices, plain): (Vec<_>, Vec<_>) = values
                .into_iter()
                .partition(|(path, _)| path.starts_with("notifications."));
            for (path, value) in notices {
                let key = (context.clone(), path.to_owned(), source.clone());
                let shown = self.notices.publish(&key, value, now, &mut self.new_id);
                if let Some(shown) = shown {
                    self.show_notice(now, &key, &stamp, &shown);
                }
            }
            for (path, value) in plain {
                if let Some(client) = client {
                    if context == self.own && FIXED_AT_SERVER.contains(&path) {
                        continue;
                    }
                    if self.publishers.len() < MOST_VALUES || self.publishers.contains_key(path) {
                        self.publishers.insert(path.to_owned(), client);
                    }
                }
                let item = Item {
                    context: &context,
                    path,
                    source: &source,
                    stamp: &stamp,
                    value,
                };
                self.store(&item);
                self.deliver(now, &item);
            }
        }
    }

    fn show_notice(&mut self, now: Timestamp, key: &NoticeKey, stamp: &str, value: &Value) {
        let (context, path, source) = key;
        let item = Item {
            context,
            path,
            source,
            stamp,
            value,
        };
        self.store(&item);
        self.deliver(now, &item);
        let empty = json!({"context": context, "updates": []}).to_string();
        let hears = |state: &Client| {
            let mut subscriptions = state.subscriptions.iter();
            subscriptions.any(|subscription| subscription.wants(&item))
        };
        let clients: Vec<ClientId> = self
            .clients
            .iter()
            .filter_map(|(client, state)| hears(state).then_some(*client))
            .collect();
        for client in clients {
            self.send(client, empty.clone());
        }
    }

    fn store(&mut self, item: &Item<'_>) {
        let key = (item.context.to_owned(), item.path.to_owned());
        if self.values >= MOST_VALUES
            && self
                .nodes
                .get(&key)
                .is_none_or(|node| !node.sources.contains_key(item.source))
        {
            return;
        }
        let node = self.nodes.entry(key).or_default();
        if node.latest != item.source {
            item.source.clone_into(&mut node.latest);
        }
        let cached = Cached {
            value: item.value.clone(),
            stamp: item.stamp.to_owned(),
        };
        if node
            .sources
            .insert(item.source.to_owned(), cached)
            .is_none()
        {
            self.values += 1;
        }
    }

    fn context_of(&self, message: &Map<String, Value>) -> String {
        match message.get("context").and_then(Value::as_str) {
            None | Some("vessels.self") => self.own.clone(),
            Some(context) => context.to_owned(),
        }
    }

    fn send(&mut self, client: ClientId, text: String) {
        self.outputs.push_back(HubOutput::Send { client, text });
    }
}

/// The pairs of an update; a single malformed pair makes the whole update invalid.
fn pairs(values: &[Value]) -> Option<Vec<(&str, &Value)>> {
    values
        .iter()
        .map(|entry| Some((entry.get("path")?.as_str()?, entry.get("value")?)))
        .collect()
}

const RESOURCE_SOURCE: &str = "resources-provider";
const REQUEST_TIMEOUT: Duration = Duration::from_mins(1);
/// Paths of the own vessel that the server takes from its own settings only.
const FIXED_AT_SERVER: [&str; 9] = [
    "design.aisShipType",
    "design.beam",
    "design.length",
    "design.draft",
    "sensors.gps.fromBow",
    "sensors.gps.fromCenter",
    "name",
    "mmsi",
    "communication.callsignVhf",
];
const MOST_VALUES: usize = 20_000;
const MOST_RESOURCES: usize = 1000;

#[cfg(test)]
pub(super) mod tests;
