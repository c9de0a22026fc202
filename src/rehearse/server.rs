//! A Signal K server inside the program, on the loopback interface and a port of the system's choice.
//!
//! It serves what a client such as the watch uses: the end points, the login status, the stream,
//! resources and notifications. [`crate::rehearse::hub`] decides, this module has the sockets.
//! There is no security here: it listens on 127.0.0.1 only, and every client may do everything.
//!
//! *Lock-step.* A rehearsal moves its own clock. After the instruments of a step have spoken it
//! calls [`EmbeddedServer::settle`], which pings every client and waits for the pongs. A client
//! that handles its frames in order, within the task that reads them, cannot answer the ping before
//! it has handled everything sent earlier, nor before it has sent what it had to say. Rounds are
//! repeated until one passes without any other frame; then all is said, and the clock may move. So
//! the rehearsal does not depend on the machine's load. A client that handles frames elsewhere
//! than in its reading task is outside of this promise.
//!
//! Weakness: a client that never answers pings holds `settle` up for ever; a caller who must not
//! wait puts a limit around it.

mod http;
mod session;

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use serde_json::Value;
use tokio::net::TcpListener;
use tokio::sync::{mpsc, oneshot};
use tokio::task::AbortHandle;

use crate::rehearse::dice::{Dice, Purpose};
use crate::rehearse::hub::{ClientId, Hub, HubOutput, NoDelta, PutOutcome};
use crate::rehearse::notices::{NoticeAction, NoticeError};
use crate::time::Timestamp;

/// Tells the server what time it is.
pub type Clock = Arc<dyn Fn() -> Timestamp + Send + Sync>;

/// Whose server it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// The vessel's context without `vessels.`, such as `urn:mrn:imo:mmsi:230099999`.
    pub urn: String,
    /// Deltas from the server's own settings, fed at each start.
    pub defaults: Vec<String>,
    /// Makes the identifiers that the server gives out.
    pub seed: u64,
}

/// A running server, or one that is stopped for a while. It ends with its last handle.
#[derive(Clone)]
pub struct EmbeddedServer {
    shared: Arc<Shared>,
    _guard: Arc<Guard>,
}

/// Ends the server when the last handle is gone; the server's tasks hold `Shared`, not this.
struct Guard(Arc<Shared>);

struct Shared {
    address: SocketAddr,
    identity: Identity,
    clock: Clock,
    state: Mutex<State>,
}

struct State {
    hub: Hub,
    links: BTreeMap<ClientId, Link>,
    answers: BTreeMap<u64, oneshot::Sender<PutOutcome>>,
    next_number: u64,
    /// Text frames to and from clients so far.
    traffic: u64,
    acceptor: Option<AbortHandle>,
    /// Counts starts; a connection of an earlier one is not let in.
    start: u64,
}

/// The way to a client's socket; its task ends when this is dropped.
struct Link {
    frames: mpsc::Sender<Frame>,
    pings: BTreeMap<u64, oneshot::Sender<()>>,
    _alive: oneshot::Sender<Infallible>,
}

enum Frame {
    Text(String),
    Ping(u64),
    Close,
}

impl EmbeddedServer {
    /// Starts on a free port of 127.0.0.1, within the present tokio runtime.
    pub async fn start(identity: Identity, clock: Clock) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await?;
        let dice = Dice::new(identity.seed, Purpose::Server);
        let shared = Arc::new(Shared {
            address: listener.local_addr()?,
            clock,
            state: Mutex::new(State {
                hub: Hub::new(&identity.urn, dice),
                links: BTreeMap::new(),
                answers: BTreeMap::new(),
                next_number: 0,
                traffic: 0,
                acceptor: None,
                start: 0,
            }),
            identity,
        });
        shared.open(listener);
        Ok(Self {
            _guard: Arc::new(Guard(shared.clone())),
            shared,
        })
    }

    /// Where it is found, such as `http://127.0.0.1:3000`.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://{}", self.shared.address)
    }

    /// Where it listens.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.shared.address
    }

    /// An instrument says something: a Signal K delta.
    pub fn feed(&self, delta: &str) -> Result<(), NoDelta> {
        self.shared.with(|state, now| {
            state.hub.handle_timeout(now);
            state.hub.handle_feed(now, delta)
        })
    }

    /// The crew puts a value at a display; waits for the outcome. One that nobody answers times
    /// out by the injected clock, the next time something is fed or settled.
    pub async fn put(&self, path: &str, value: Value) -> PutOutcome {
        let (answer, outcome) = oneshot::channel();
        self.shared.with(|state, now| {
            let number = state.number();
            state.answers.insert(number, answer);
            state.hub.handle_put(now, number, path, &value);
        });
        outcome.await.unwrap_or_else(|_| PutOutcome {
            status_code: 504,
            message: "the server stopped".to_owned(),
        })
    }

    /// The crew presses "acknowledge" for the notification on a path, at a display.
    pub fn acknowledge(&self, path: &str) -> Result<(), NoticeError> {
        self.act(path, NoticeAction::Acknowledge)
    }

    /// The crew acts on the notification on a path, at a display.
    pub fn act(&self, path: &str, action: NoticeAction) -> Result<(), NoticeError> {
        let shared = &self.shared;
        shared.with(|state, now| state.hub.handle_notice(now, path, action))
    }

    /// The own vessel's latest value on a path.
    #[must_use]
    pub fn value(&self, path: &str) -> Option<Value> {
        self.shared.lock().hub.value(path).cloned()
    }

    /// The notification on a path, as displays are shown it: `notifications.` may be left out.
    #[must_use]
    pub fn notification(&self, path: &str) -> Option<Value> {
        if path.starts_with("notifications.") {
            self.value(path)
        } else {
            self.value(&format!("notifications.{path}"))
        }
    }

    /// A resource, such as a region.
    #[must_use]
    pub fn resource(&self, kind: &str, id: &str) -> Option<Value> {
        self.shared.lock().hub.resource(kind, id).cloned()
    }

    /// All resources of a kind, by identifier.
    #[must_use]
    pub fn resources(&self, kind: &str) -> serde_json::Map<String, Value> {
        self.shared.lock().hub.resources(kind)
    }

    /// From now on keeps the last so many deltas that clients send.
    pub fn keep_published(&self, count: usize) {
        self.shared.lock().hub.keep_published(count);
    }

    /// The deltas kept since the last call, oldest first.
    #[must_use]
    pub fn take_published(&self) -> Vec<Value> {
        self.shared.lock().hub.take_published()
    }

    /// How many clients are connected.
    #[must_use]
    pub fn clients(&self) -> usize {
        self.shared.lock().links.len()
    }

    /// Waits until every client has handled all that was sent, and has said all it had to say.
    /// Gives the number of rounds it took; after [`MOST_ROUNDS`] of chatter it gives up.
    pub async fn settle(&self) -> usize {
        let shared = &self.shared;
        shared.with(|state, now| state.hub.handle_timeout(now));
        for round in 1..=MOST_ROUNDS {
            let (before, pongs) = shared.with(|state, _| (state.traffic, state.ping_all()));
            for pong in pongs {
                // An error means that the client is gone, which settles it too.
                _ = pong.await;
            }
            if shared.lock().traffic == before {
                return round;
            }
        }
        MOST_ROUNDS
    }

    /// Drops what clients write without a word, as a server does for one without rights.
    pub fn silence_writes(&self, on: bool) {
        self.shared.lock().hub.silence_writes(on);
    }

    /// Cuts every client off, without a closing frame; they may come again.
    pub fn drop_clients(&self) {
        self.shared.with(|state, _| state.drop_links());
    }

    /// Stops as a killed server does: sockets drop, the port refuses.
    pub fn stop(&self) {
        self.shared.halt();
    }

    /// Starts again on the same port with another start identifier, having forgotten everything
    /// but resources and its own settings. Stops first if need be.
    pub async fn restart(&self) -> io::Result<()> {
        self.shared.halt();
        // The old listener is closed when its aborted task is next run.
        let mut tries = 0;
        let listener = loop {
            match TcpListener::bind(self.shared.address).await {
                Err(error) if error.kind() == io::ErrorKind::AddrInUse && tries < 100 => {
                    tries += 1;
                    tokio::task::yield_now().await;
                }
                other => break other?,
            }
        };
        self.shared.lock().hub.restart();
        self.shared.open(listener);
        Ok(())
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        self.0.halt();
    }
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, State> {
        // Nothing that holds it leaves it half done.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Does something with the state, then what the hub wants done.
    fn with<T>(&self, act: impl FnOnce(&mut State, Timestamp) -> T) -> T {
        let now = (self.clock)();
        let mut state = self.lock();
        let result = act(&mut state, now);
        state.flush();
        result
    }

    fn open(self: &Arc<Self>, listener: TcpListener) {
        let shared = self.clone();
        let mut state = self.lock();
        state.start += 1;
        let task = tokio::spawn(http::accept(listener, shared, state.start));
        state.acceptor = Some(task.abort_handle());
        drop(state);
        for delta in &self.identity.defaults {
            // A default that is no delta is left out, as the server does.
            _ = self.with(|state, now| state.hub.handle_feed(now, delta));
        }
    }

    fn halt(&self) {
        self.with(|state, _| {
            if let Some(acceptor) = state.acceptor.take() {
                acceptor.abort();
            }
            state.start += 1;
            state.drop_links();
            state.answers.clear();
        });
    }
}

impl State {
    fn number(&mut self) -> u64 {
        self.next_number += 1;
        self.next_number
    }

    fn flush(&mut self) {
        while let Some(output) = self.hub.poll_output() {
            match output {
                HubOutput::Send { client, text } => self.push(client, Frame::Text(text)),
                HubOutput::Close(client) => self.push(client, Frame::Close),
                HubOutput::Answer { request, outcome } => {
                    if let Some(answer) = self.answers.remove(&request) {
                        // Whoever asked may have gone.
                        _ = answer.send(outcome);
                    }
                }
            }
        }
    }

    /// Queues a frame; a client that lets its queue fill up is cut off.
    fn push(&mut self, client: ClientId, frame: Frame) {
        let Some(link) = self.links.get(&client) else {
            return;
        };
        if matches!(frame, Frame::Text(_)) {
            self.traffic += 1;
        }
        if link.frames.try_send(frame).is_err() {
            self.links.remove(&client);
            self.hub.handle_disconnect(client);
        }
    }

    fn ping_all(&mut self) -> Vec<oneshot::Receiver<()>> {
        let number = self.number();
        let clients: Vec<ClientId> = self.links.keys().copied().collect();
        let mut pongs = Vec::with_capacity(clients.len());
        for client in clients {
            let (sender, pong) = oneshot::channel();
            if let Some(link) = self.links.get_mut(&client) {
                link.pings.insert(number, sender);
                pongs.push(pong);
            }
            self.push(client, Frame::Ping(number));
        }
        pongs
    }

    fn drop_links(&mut self) {
        for client in std::mem::take(&mut self.links).into_keys() {
            self.hub.handle_disconnect(client);
        }
    }
}

/// Rounds after which [`EmbeddedServer::settle`] gives up on clients that never fall silent.
pub const MOST_ROUNDS: usize = 64;
/// Bytes of a frame or a body; the server's own bound.
const LARGEST_MESSAGE: usize = 10 * 1024 * 1024;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic)]
    use super::*;
    use futures_util::{SinkExt as _, StreamExt as _};
    use serde_json::json;
    use std::sync::atomic::{AtomicI64, Ordering};
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
    use tokio::net::TcpStream;
    use tokio_tungstenite::tungstenite::Message;
    use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};

    const OWN: &str = "vessels.urn:mrn:imo:mmsi:230099999";

    type Client = WebSocketStream<MaybeTlsStream<TcpStream>>;

    async fn server() -> EmbeddedServer {
        let identity = Identity {
            urn: "urn:mrn:imo:mmsi:230099999".to_owned(),
            defaults: vec![delta("defaults", "design.beam", &json!(3.6))],
            seed: 1,
        };
        let clock: Clock = Arc::new(|| Timestamp::EPOCH);
        EmbeddedServer::start(identity, clock).await.unwrap()
    }

    fn delta(source: &str, path: &str, value: &Value) -> String {
        json!({"updates": [{"$source": source, "values": [{"path": path, "value": value}]}]})
            .to_string()
    }

    async fn connect(server: &EmbeddedServer) -> Client {
        let address = server.address();
        let query = "subscribe=none&sendCachedValues=false";
        let url = format!("ws://{address}/signalk/v1/stream?{query}");
        let (mut client, _) = connect_async(url).await.unwrap();
        let hello = next(&mut client).await;
        assert_eq!(hello["self"], OWN);
        client
    }

    /// The next text frame; pings are answered on the way.
    async fn next(client: &mut Client) -> Value {
        loop {
            match client.next().await.unwrap().unwrap() {
                Message::Text(text) => return serde_json::from_str(&text).unwrap(),
                Message::Ping(_) | Message::Pong(_) => client.flush().await.unwrap(),
                other => panic!("{other:?}"),
            }
        }
    }

    async fn send(client: &mut Client, message: &Value) {
        let text = message.to_string();
        client.send(Message::text(text)).await.unwrap();
    }

    async fn subscribe(client: &mut Client, path: &str) {
        let rows = json!([{"path": path, "policy": "instant"}]);
        send(
            client,
            &json!({"context": "vessels.self", "subscribe": rows}),
        )
        .await;
    }

    /// Status and body of a plain HTTP request.
    async fn http(server: &EmbeddedServer, method: &str, path: &str, body: &str) -> (u16, Value) {
        let mut stream = TcpStream::connect(server.address()).await.unwrap();
        let length = body.len();
        let request = format!(
            "{method} {path} HTTP/1.1\r\nHost: x\r\nConnection: close\r\nContent-Length: {length}\r\n\r\n{body}"
        );
        stream.write_all(request.as_bytes()).await.unwrap();
        let mut text = String::new();
        stream.read_to_string(&mut text).await.unwrap();
        let (head, body) = text.split_once("\r\n\r\n").unwrap();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        (status, serde_json::from_str(body).unwrap_or(Value::Null))
    }

    #[tokio::test]
    async fn a_client_finds_the_stream_subscribes_and_hears_old_and_new_values() {
        let server = server().await;
        let (status, found) = http(&server, "GET", "/signalk", "").await;
        assert_eq!(status, 200);
        let stream = found["endpoints"]["v1"]["signalk-ws"].as_str().unwrap();
        assert_eq!(
            stream,
            format!("{}/signalk/v1/stream", server.url().replace("http", "ws"))
        );
        let (status, login) = http(&server, "GET", "/skServer/loginStatus", "").await;
        assert_eq!(
            (status, &login["authenticationRequired"]),
            (200, &json!(false))
        );
        assert_eq!(http(&server, "GET", "/elsewhere", "").await.0, 404);

        let mut client = connect(&server).await;
        subscribe(&mut client, "*").await;
        let cached = next(&mut client).await;
        assert_eq!(
            cached["updates"][0]["values"][0]["path"],
            json!("design.beam")
        );
        server
            .feed(&delta(
                "sounder.SD",
                "environment.depth.belowTransducer",
                &json!(7.5),
            ))
            .unwrap();
        let fresh = next(&mut client).await;
        assert_eq!(fresh["context"], OWN);
        assert_eq!(fresh["updates"][0]["values"][0]["value"], json!(7.5));
        assert!(server.feed("no delta").is_err());
    }

    #[tokio::test]
    async fn what_a_client_publishes_comes_back_to_it_and_is_kept() {
        let server = server().await;
        server.keep_published(10);
        let mut client = connect(&server).await;
        subscribe(&mut client, "navigation.anchor.*").await;
        let own = delta("windrode", "navigation.anchor.maxRadius", &json!(45.5));
        client.send(Message::text(own.clone())).await.unwrap();
        let echo = next(&mut client).await;
        assert_eq!(echo["updates"][0]["$source"], "windrode");
        assert_eq!(
            server.value("navigation.anchor.maxRadius"),
            Some(json!(45.5))
        );
        let kept = server.take_published();
        assert_eq!(kept, [serde_json::from_str::<Value>(&own).unwrap()]);
        assert!(server.take_published().is_empty());
    }

    #[tokio::test]
    async fn a_put_makes_the_round_by_the_client() {
        let server = server().await;
        let path = "navigation.anchor.watch.weigh";
        assert_eq!(server.put(path, json!(true)).await.status_code, 405);
        let mut client = connect(&server).await;
        subscribe(&mut client, "navigation.anchor.*").await;
        let publish = delta("windrode", path, &Value::Null);
        client.send(Message::text(publish)).await.unwrap();
        next(&mut client).await;
        let answer = async {
            let request = next(&mut client).await;
            assert_eq!(request["put"], json!([{"path": path, "value": true}]));
            let reply = json!({"requestId": request["requestId"], "state": "COMPLETED",
                "statusCode": 400, "message": "nothing to weigh"});
            send(&mut client, &reply).await;
        };
        let (outcome, ()) = tokio::join!(server.put(path, json!(true)), answer);
        assert_eq!(outcome.status_code, 400);
        assert_eq!(outcome.message, "nothing to weigh");
        // A client that leaves in the middle answers with a time-out.
        let leave = async {
            next(&mut client).await;
            drop(client);
        };
        let (outcome, ()) = tokio::join!(server.put(path, json!(true)), leave);
        assert_eq!(outcome.status_code, 504);
    }

    #[tokio::test]
    async fn a_display_s_acknowledgement_reaches_the_client_and_sticks() {
        let server = server().await;
        let path = "notifications.navigation.anchor.dragging";
        let mut client = connect(&server).await;
        subscribe(&mut client, "notifications.*").await;
        let notice = |state: &str| {
            let value = json!({"state": state, "method": ["visual", "sound"], "message": "m"});
            Message::text(delta("windrode", path, &value))
        };
        client.send(notice("alarm")).await.unwrap();
        let shown = next(&mut client).await;
        let shown = &shown["updates"][0]["values"][0]["value"];
        let id = shown["id"].as_str().unwrap().to_owned();
        assert_eq!(next(&mut client).await["updates"], json!([]));
        server.acknowledge(path).unwrap();
        let shown = next(&mut client).await;
        let status = &shown["updates"][0]["values"][0]["value"]["status"];
        assert_eq!(status["acknowledged"], json!(true));
        assert!(server.acknowledge(path).is_err());
        next(&mut client).await;

        // Graver, and still muted.
        client.send(notice("emergency")).await.unwrap();
        let shown = next(&mut client).await;
        let method = &shown["updates"][0]["values"][0]["value"]["method"];
        assert_eq!(method, &json!(["visual"]));
        assert_eq!(
            server.notification("navigation.anchor.dragging").unwrap()["state"],
            "emergency"
        );
        next(&mut client).await;
        client.send(notice("normal")).await.unwrap();
        client.send(notice("alarm")).await.unwrap();
        for _ in 0..2 {
            next(&mut client).await;
        }
        let shown = next(&mut client).await;
        let method = &shown["updates"][0]["values"][0]["value"]["method"];
        assert_eq!(method, &json!(["visual", "sound"]));

        let all = http(&server, "GET", "/signalk/v2/api/notifications", "")
            .await
            .1;
        assert_eq!(all[&id]["path"], path);
        let silence = format!("/signalk/v2/api/notifications/{id}/silence");
        assert_eq!(http(&server, "POST", &silence, "").await.0, 200);
        assert_eq!(http(&server, "POST", &silence, "").await.0, 400);
    }

    #[tokio::test]
    async fn resources_are_put_read_streamed_and_deleted() {
        let server = server().await;
        let mut client = connect(&server).await;
        subscribe(&mut client, "resources.*").await;
        server.settle_with(&mut client).await;
        let id = "b5e8a5b2-3a0e-4b6f-9d2a-0a1b2c3d4e5f";
        let path = format!("/signalk/v2/api/resources/regions/{id}");
        let circle = json!({"name": "Swinging circle", "feature": {"type": "Feature",
            "geometry": {"type": "Polygon", "coordinates": [[[24.9, 60.1]]]}, "properties": {}}});
        let (status, body) = http(&server, "PUT", &path, &circle.to_string()).await;
        assert_eq!((status, &body["message"]), (200, &json!(id)));
        let frame = next(&mut client).await;
        let value = &frame["updates"][0]["values"][0];
        assert_eq!(value["path"], format!("resources.regions.{id}"));
        let (_, stored) = http(&server, "GET", &path, "").await;
        assert_eq!(stored["name"], "Swinging circle");
        assert_eq!(stored["$source"], "resources-provider");
        assert_eq!(server.resources("regions").len(), 1);

        let urn = "/signalk/v2/api/resources/regions/urn:mrn:signalk:uuid:1";
        assert_eq!(http(&server, "PUT", urn, &circle.to_string()).await.0, 400);
        assert_eq!(http(&server, "PUT", &path, "{}").await.0, 400);
        server.restart().await.unwrap();
        assert!(server.resource("regions", id).is_some());
        assert_eq!(http(&server, "DELETE", &path, "").await.0, 200);
        assert_eq!(http(&server, "DELETE", &path, "").await.0, 404);
        assert_eq!(http(&server, "GET", &path, "").await.0, 404);
    }

    impl EmbeddedServer {
        /// Settles while the client reads; gives the text frames that came.
        async fn settle_with(&self, client: &mut Client) -> Vec<Value> {
            let mut frames = Vec::new();
            let settled = self.settle();
            tokio::pin!(settled);
            loop {
                tokio::select! {
                    biased;
                    _ = &mut settled => return frames,
                    message = client.next() => {
                        if let Message::Text(text) = message.unwrap().unwrap() {
                            frames.push(serde_json::from_str(&text).unwrap());
                        }
                        client.flush().await.unwrap();
                    }
                }
            }
        }
    }

    /// A client that answers each value with one of its own, and that one with another: after
    /// settling everything has been said, at whatever pace its task was run.
    #[tokio::test]
    async fn settling_waits_for_everything_a_client_has_to_say() {
        let server = server().await;
        let mut client = connect(&server).await;
        subscribe(&mut client, "*").await;
        let lazy = tokio::spawn(async move {
            while let Some(Ok(message)) = client.next().await {
                let Message::Text(text) = message else {
                    continue;
                };
                let frame: Value = serde_json::from_str(&text).unwrap();
                let value = &frame["updates"][0]["values"][0];
                for _ in 0..20 {
                    tokio::task::yield_now().await;
                }
                if value["path"] != "count" {
                    continue;
                }
                let count = value["value"].as_i64().unwrap();
                if count % 4 != 3 {
                    let answer = delta("windrode", "count", &json!(count + 1));
                    client.send(Message::text(answer)).await.unwrap();
                }
            }
        });
        server.settle().await;
        for step in 0..50 {
            let count = 4 * step;
            server
                .feed(&delta("story", "count", &json!(count)))
                .unwrap();
            let rounds = server.settle().await;
            assert_eq!(server.value("count"), Some(json!(count + 3)));
            assert!((2..=5).contains(&rounds), "{rounds}");
        }
        server.drop_clients();
        lazy.await.unwrap();
        assert_eq!(server.settle().await, 1);
    }

    #[tokio::test]
    async fn a_server_without_rights_for_us_drops_what_we_write() {
        let server = server().await;
        let mut client = connect(&server).await;
        subscribe(&mut client, "a").await;
        server.silence_writes(true);
        let own = || Message::text(delta("windrode", "a", &json!(1)));
        client.send(own()).await.unwrap();
        assert!(server.settle_with(&mut client).await.is_empty());
        assert_eq!(server.value("a"), None);
        server.silence_writes(false);
        client.send(own()).await.unwrap();
        assert_eq!(server.settle_with(&mut client).await.len(), 1);
    }

    #[tokio::test]
    async fn stopped_it_refuses_and_restarted_it_has_forgotten() {
        let server = server().await;
        let mut client = connect(&server).await;
        let own = delta("windrode", "a", &json!(1));
        client.send(Message::text(own)).await.unwrap();
        server.settle_with(&mut client).await;
        assert_eq!(server.value("a"), Some(json!(1)));
        server.stop();
        // Without a closing frame, as a killed server does.
        assert!(!matches!(client.next().await, Some(Ok(_))));
        assert_eq!(server.clients(), 0);
        while TcpStream::connect(server.address()).await.is_ok() {
            tokio::task::yield_now().await;
        }
        server.restart().await.unwrap();
        let _again = connect(&server).await;
        assert_eq!(server.value("a"), None);
        assert_eq!(server.value("design.beam"), Some(json!(3.6)));
    }

    #[tokio::test]
    async fn a_put_into_the_void_times_out_by_the_injected_clock() {
        let time = Arc::new(AtomicI64::new(0));
        let reading = time.clone();
        let clock: Clock =
            Arc::new(move || Timestamp::from_millis(reading.load(Ordering::Relaxed)));
        let identity = Identity {
            urn: "urn:mrn:imo:mmsi:230099999".to_owned(),
            defaults: Vec::new(),
            seed: 1,
        };
        let server = EmbeddedServer::start(identity, clock).await.unwrap();
        let mut client = connect(&server).await;
        let own = delta("windrode", "a", &Value::Null);
        client.send(Message::text(own)).await.unwrap();
        server.settle_with(&mut client).await;
        let wait = async {
            server.settle_with(&mut client).await;
            time.store(60_000, Ordering::Relaxed);
            server.settle_with(&mut client).await;
        };
        let (outcome, ()) = tokio::join!(server.put("a", json!(1)), wait);
        assert_eq!(outcome.status_code, 504);
    }

    #[tokio::test]
    async fn what_is_no_websocket_is_refused() {
        let server = server().await;
        let (status, _) = http(&server, "GET", "/signalk/v1/stream", "").await;
        assert_eq!(status, 426);
    }
}
