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

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::io;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use futures_util::stream::{SplitSink, SplitStream};
use futures_util::{SinkExt as _, StreamExt as _};
use http_body_util::{BodyExt as _, Full, Limited};
use hyper::body::{Bytes, Incoming};
use hyper::header::{CONNECTION, CONTENT_TYPE, HeaderValue, SEC_WEBSOCKET_ACCEPT, UPGRADE};
use hyper::header::{SEC_WEBSOCKET_KEY, SEC_WEBSOCKET_VERSION};
use hyper::upgrade::Upgraded;
use hyper::{Method, Request, Response, StatusCode};
use hyper_util::rt::TokioIo;
use serde_json::{Value, json};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{mpsc, oneshot};
use tokio::task::{AbortHandle, JoinSet};
use tokio_tungstenite::WebSocketStream;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::handshake::derive_accept_key;
use tokio_tungstenite::tungstenite::protocol::{Role, WebSocketConfig};

use crate::rehearse::dice::{Dice, Purpose};
use crate::rehearse::hub::{ClientId, Hub, HubOutput, NoDelta, PutOutcome, StreamQuery, Whom};
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

type Reply = Response<Full<Bytes>>;

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
        let task = tokio::spawn(accept(listener, shared, state.start));
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

async fn accept(listener: TcpListener, shared: Arc<Shared>, start: u64) {
    let mut connections = JoinSet::new();
    loop {
        if let Ok((stream, _)) = listener.accept().await {
            connections.spawn(serve(stream, shared.clone(), start));
        } else {
            // Out of file descriptors, most likely.
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        while connections.try_join_next().is_some() {}
    }
}

async fn serve(stream: TcpStream, shared: Arc<Shared>, start: u64) {
    // Small frames back and forth: waiting to fill packets would cost 40 ms each time.
    _ = stream.set_nodelay(true);
    let service = hyper::service::service_fn(move |request| {
        let shared = shared.clone();
        async move { Ok::<_, Infallible>(route(request, shared, start).await) }
    });
    let connection = hyper::server::conn::http1::Builder::new()
        .serve_connection(TokioIo::new(stream), service)
        .with_upgrades();
    // An error is the peer's breaking off.
    _ = connection.await;
}

async fn route(request: Request<Incoming>, shared: Arc<Shared>, start: u64) -> Reply {
    let path = request.uri().path().to_owned();
    let parts: Vec<&str> = path.split('/').filter(|part| !part.is_empty()).collect();
    match (request.method(), parts.as_slice()) {
        (&Method::GET, ["signalk"]) => end_points(shared.address),
        (&Method::GET, ["skServer", "loginStatus"]) => reply(
            StatusCode::OK,
            &json!({"status": "notLoggedIn", "readOnlyAccess": false, "authenticationRequired": false}),
        ),
        (&Method::GET, ["signalk", "v2", "features"]) => reply(
            StatusCode::OK,
            &json!({
                "apis": ["resources", "notifications"],
                "plugins": [{"id": "resources-provider", "enabled": true}],
            }),
        ),
        (&Method::GET, ["signalk", "v1", "stream"]) => upgrade(request, shared, start),
        (_, ["signalk", "v2", "api", "resources", kind, rest @ ..]) => {
            resource(request, &shared, kind, rest).await
        }
        (&Method::GET, ["signalk", "v2", "api", "notifications"]) => {
            reply(StatusCode::OK, &Value::Object(shared.lock().hub.notices()))
        }
        (&Method::POST, ["signalk", "v2", "api", "notifications", id, action]) => {
            let action = match *action {
                "acknowledge" => NoticeAction::Acknowledge,
                "silence" => NoticeAction::Silence,
                _ => return not_found(),
            };
            match shared.with(|state, now| state.hub.handle_notice_id(now, id, action)) {
                Ok(()) => completed(StatusCode::OK, "done"),
                Err(error) => completed(StatusCode::BAD_REQUEST, &error.to_string()),
            }
        }
        _ => not_found(),
    }
}

fn end_points(address: SocketAddr) -> Reply {
    let version = env!("CARGO_PKG_VERSION");
    reply(
        StatusCode::OK,
        &json!({
            "endpoints": {"v1": {
                "version": version,
                "signalk-http": format!("http://{address}/signalk/v1/api/"),
                "signalk-ws": format!("ws://{address}/signalk/v1/stream"),
            }},
            "server": {"id": "rehearsal", "version": version},
        }),
    )
}

async fn resource(request: Request<Incoming>, shared: &Shared, kind: &str, rest: &[&str]) -> Reply {
    if !RESOURCE_KINDS.contains(&kind) {
        return not_found();
    }
    let method = request.method().clone();
    let id = match rest {
        [] if method == Method::GET => {
            return reply(
                StatusCode::OK,
                &Value::Object(shared.lock().hub.resources(kind)),
            );
        }
        [id] => *id,
        _ => return not_found(),
    };
    let missing = || completed(StatusCode::NOT_FOUND, &format!("no `{kind}` with `{id}`"));
    if method == Method::GET {
        let found = shared.lock().hub.resource(kind, id).cloned();
        return found.map_or_else(missing, |value| reply(StatusCode::OK, &value));
    }
    if uuid::Uuid::parse_str(id).is_err() || id.starts_with("urn:") {
        return completed(StatusCode::BAD_REQUEST, "the identifier is no plain UUID");
    }
    let value = if method == Method::DELETE {
        if shared.lock().hub.resource(kind, id).is_none() {
            return missing();
        }
        None
    } else if method == Method::PUT {
        let body = Limited::new(request.into_body(), LARGEST_MESSAGE);
        let Ok(body) = body.collect().await else {
            return completed(StatusCode::PAYLOAD_TOO_LARGE, "the body is too large");
        };
        match serde_json::from_slice::<Value>(&body.to_bytes()) {
            Ok(value) if has_shape(kind, &value) => Some(value),
            _ => return completed(StatusCode::BAD_REQUEST, "the body is no such resource"),
        }
    } else {
        return not_found();
    };
    shared.with(|state, now| state.hub.handle_resource(now, kind, id, value));
    completed(StatusCode::OK, id)
}

/// Regions and waypoints carry a feature with a geometry; the other kinds just are objects.
fn has_shape(kind: &str, value: &Value) -> bool {
    let geometry = value.pointer("/feature/geometry/type");
    match kind {
        "waypoints" => geometry == Some(&json!("Point")),
        "regions" => {
            geometry == Some(&json!("Polygon")) || geometry == Some(&json!("MultiPolygon"))
        }
        _ => value.is_object(),
    }
}

fn upgrade(mut request: Request<Incoming>, shared: Arc<Shared>, start: u64) -> Reply {
    let headers = request.headers();
    let version = headers.get(SEC_WEBSOCKET_VERSION);
    let Some(key) = headers
        .get(SEC_WEBSOCKET_KEY)
        .filter(|_| version.is_some_and(|version| version == "13"))
    else {
        return completed(StatusCode::UPGRADE_REQUIRED, "a WebSocket is wanted");
    };
    let Ok(accept) = HeaderValue::from_str(&derive_accept_key(key.as_bytes())) else {
        return completed(StatusCode::BAD_REQUEST, "a WebSocket key is wanted");
    };
    if shared.lock().links.len() >= MOST_CLIENTS {
        return completed(StatusCode::TOO_MANY_REQUESTS, "too many clients");
    }
    let query = stream_query(request.uri().query().unwrap_or_default());
    tokio::spawn(async move {
        if let Ok(upgraded) = hyper::upgrade::on(&mut request).await {
            session(upgraded, shared, query, start).await;
        }
    });
    let mut response = Response::new(Full::default());
    *response.status_mut() = StatusCode::SWITCHING_PROTOCOLS;
    let headers = response.headers_mut();
    headers.insert(CONNECTION, HeaderValue::from_static("Upgrade"));
    headers.insert(UPGRADE, HeaderValue::from_static("websocket"));
    headers.insert(SEC_WEBSOCKET_ACCEPT, accept);
    response
}

fn stream_query(query: &str) -> StreamQuery {
    let mut stream = StreamQuery {
        subscribe: Some(Whom::Own),
        cached: true,
    };
    for pair in query.split('&') {
        match pair.split_once('=') {
            Some(("subscribe", "none")) => stream.subscribe = None,
            Some(("subscribe", "all")) => stream.subscribe = Some(Whom::All),
            Some(("sendCachedValues", "false")) => stream.cached = false,
            _ => {}
        }
    }
    stream
}

async fn session(upgraded: Upgraded, shared: Arc<Shared>, query: StreamQuery, start: u64) {
    let config = WebSocketConfig::default()
        .max_message_size(Some(LARGEST_MESSAGE))
        .max_frame_size(Some(LARGEST_MESSAGE));
    let stream = TokioIo::new(upgraded);
    let socket = WebSocketStream::from_raw_socket(stream, Role::Server, Some(config)).await;
    let (sink, stream) = socket.split();
    let (frames, queue) = mpsc::channel(LONGEST_QUEUE);
    let (alive, ended) = oneshot::channel();
    let client = shared.with(|state, now| {
        if state.start != start {
            return None;
        }
        let client = state.hub.handle_connect(now, query);
        let link = Link {
            frames,
            pings: BTreeMap::new(),
            _alive: alive,
        };
        state.links.insert(client, link);
        Some(client)
    });
    let Some(client) = client else { return };
    tokio::select! {
        () = write(sink, queue) => {}
        () = read(stream, &shared, client) => {}
        _ = ended => {}
    }
    shared.with(|state, _| {
        if state.links.remove(&client).is_some() {
            state.hub.handle_disconnect(client);
        }
    });
}

type Socket = WebSocketStream<TokioIo<Upgraded>>;

async fn write(mut sink: SplitSink<Socket, Message>, mut queue: mpsc::Receiver<Frame>) {
    while let Some(frame) = queue.recv().await {
        let message = match frame {
            Frame::Text(text) => Message::text(text),
            Frame::Ping(number) => Message::Ping(number.to_be_bytes().to_vec().into()),
            Frame::Close => {
                // The closing frame is a courtesy.
                _ = sink.close().await;
                return;
            }
        };
        if sink.feed(message).await.is_err() {
            return;
        }
        if queue.is_empty() && sink.flush().await.is_err() {
            return;
        }
    }
}

async fn read(mut stream: SplitStream<Socket>, shared: &Shared, client: ClientId) {
    while let Some(Ok(message)) = stream.next().await {
        match message {
            Message::Text(text) => shared.with(|state, now| {
                state.traffic += 1;
                state.hub.handle_text(now, client, text.as_str());
            }),
            Message::Pong(payload) => {
                let Ok(number) = <[u8; 8]>::try_from(&payload[..]) else {
                    continue;
                };
                let mut state = shared.lock();
                let link = state.links.get_mut(&client);
                if let Some(pong) =
                    link.and_then(|link| link.pings.remove(&u64::from_be_bytes(number)))
                {
                    // The one who waited may have given up.
                    _ = pong.send(());
                }
            }
            Message::Close(_) => return,
            Message::Binary(_) | Message::Ping(_) | Message::Frame(_) => {}
        }
    }
}

fn completed(status: StatusCode, message: &str) -> Reply {
    let code = status.as_u16();
    let state = if status.is_success() {
        "COMPLETED"
    } else {
        "FAILED"
    };
    reply(
        status,
        &json!({"state": state, "statusCode": code, "message": message}),
    )
}

fn reply(status: StatusCode, body: &Value) -> Reply {
    let mut response = Response::new(Full::from(body.to_string()));
    *response.status_mut() = status;
    let json = HeaderValue::from_static("application/json");
    response.headers_mut().insert(CONTENT_TYPE, json);
    response
}

/// As the server does for what it does not know: text, not JSON.
fn not_found() -> Reply {
    let mut response = Response::new(Full::from("not found"));
    *response.status_mut() = StatusCode::NOT_FOUND;
    response
}

/// Rounds after which [`EmbeddedServer::settle`] gives up on clients that never fall silent.
pub const MOST_ROUNDS: usize = 64;
const MOST_CLIENTS: usize = 30;
const LONGEST_QUEUE: usize = 16_384;
const LARGEST_MESSAGE: usize = 10 * 1024 * 1024;
const RESOURCE_KINDS: [&str; 4] = ["regions", "waypoints", "routes", "notes"];

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use std::sync::atomic::{AtomicI64, Ordering};
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
    use tokio_tungstenite::{MaybeTlsStream, connect_async};

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
                let count = value["value"].as_f64().unwrap();
                if value["path"] == "count" && count.rem_euclid(4.0) != 3.0 {
                    let answer = delta("windrode", "count", &json!(count + 1.0));
                    client.send(Message::text(answer)).await.unwrap();
                }
            }
        });
        server.settle().await;
        for step in 0..50 {
            let count = 4.0 * f64::from(step);
            server
                .feed(&delta("story", "count", &json!(count)))
                .unwrap();
            let rounds = server.settle().await;
            assert_eq!(server.value("count"), Some(json!(count + 3.0)));
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
