//! A Signal K server inside the program, on the loopback interface and a port of the system's choice.
//!
//! It serves what a client such as the watch uses: the endpoints, the login status, the stream,
//! resources and notifications. [`crate::signalk::hub`] decides; this module has the sockets. There
//! is no security here: it listens on 127.0.0.1 only, and every client may do everything.
//!
//! *Lock-step.* A rehearsal moves its own clock. After the instruments of a step have reported, it
//! calls [`EmbeddedServer::settle`], which pings every client and waits for the pongs. A client
//! that handles its frames in order, in the task that reads them, answers the ping only after it
//! has handled everything sent earlier and has sent its own frames. Rounds are repeated until one
//! passes without any other frame; then nothing is outstanding, and the clock may move. So the
//! rehearsal does not depend on the machine's load. This does not hold for a client that handles
//! frames outside its reading task.
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
use uuid::Builder;

use crate::rehearse::dice::{Dice, Purpose};
use crate::signalk::hub::{
    ClientId, Hub, HubOutput, NoDelta, NoticeAction, NoticeError, PutOutcome,
};
use crate::time::Timestamp;

/// The clock of the server.
pub type Clock = Arc<dyn Fn() -> Timestamp + Send + Sync>;

/// The vessel of the server.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Identity {
    /// The vessel's context without `vessels.`, such as `urn:mrn:imo:mmsi:230099999`.
    pub urn: String,
    /// Deltas from the server's own settings, fed at each start.
    pub defaults: Vec<String>,
    /// The seed of the identifiers that the server assigns.
    pub seed: u64,
}

/// A server, running or stopped for a while. It ends with its last handle.
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
    /// Counts starts; a connection from before the present start is rejected.
    start: u64,
}

/// The queue to a client's socket; the client's task ends when this is dropped.
struct Link {
    frames: mpsc::Sender<Frame>,
    pings: BTreeMap<u64, oneshot::Sender<()>>,
    _alive: oneshot::Sender<Infallible>,
}

enum Frame {
    Text(String),
    Ping(u64),
}

impl EmbeddedServer {
    /// Starts on a free port of 127.0.0.1, within the current tokio runtime.
    pub async fn start(identity: Identity, clock: Clock) -> io::Result<Self> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await?;
        let mut dice = Dice::new(identity.seed, Purpose::Server);
        let shared = Arc::new(Shared {
            address: listener.local_addr()?,
            clock,
            state: Mutex::new(State {
                hub: Hub::new(&identity.urn, Box::new(move || uuid(&mut dice))),
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

    /// Its address, such as `http://127.0.0.1:3000`.
    #[must_use]
    pub fn url(&self) -> String {
        format!("http://{}", self.shared.address)
    }

    /// The address it listens on.
    #[must_use]
    pub fn address(&self) -> SocketAddr {
        self.shared.address
    }

    /// Feeds a Signal K delta from an instrument.
    pub fn feed(&self, delta: &str) -> Result<(), NoDelta> {
        self.shared.with(|state, now| {
            state.hub.handle_timeout(now);
            state.hub.handle_feed(now, delta)
        })
    }

    /// The crew puts a value at a display; waits for the outcome. An unanswered PUT times out by
    /// the injected clock, the next time something is fed or settled.
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

    /// The crew acts on the notification on a path, at a display.
    pub fn act(&self, path: &str, action: NoticeAction) -> Result<(), NoticeError> {
        self.shared
            .with(|state, now| state.hub.handle_notice(now, path, action))
    }

    /// The own vessel's latest value on a path.
    #[must_use]
    pub fn value(&self, path: &str) -> Option<Value> {
        self.shared.lock().hub.value(path).cloned()
    }

    /// A resource, such as a region.
    #[must_use]
    pub fn resource(&self, kind: &str, id: &str) -> Option<Value> {
        self.shared.lock().hub.resource(kind, id).cloned()
    }

    /// From now on keeps at most this many of the latest deltas from clients.
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

    /// Waits until every client has handled everything sent and has sent all its answers. Returns
    /// the number of rounds it took; gives up after [`MOST_ROUNDS`] of chatter.
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

    /// Stops as a killed server does: sockets drop, the port refuses.
    pub fn stop(&self) {
        self.shared.halt();
    }

    /// Starts again on the same port with another start identifier. It forgets everything but
    /// resources and its own settings. Stops first if it is running.
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
        // No holder of the lock leaves the state half done.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Applies a function to the state, then carries out what the hub asks for.
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
            // A default that is not a valid delta is left out, as in the server.
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
                HubOutput::Answer { request, outcome } => {
                    if let Some(answer) = self.answers.remove(&request) {
                        // The requester may have gone.
                        _ = answer.send(outcome);
                    }
                }
            }
        }
    }

    /// Queues a frame; a client whose queue is full is cut off.
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

/// A version 4 identifier from the dice.
fn uuid(dice: &mut Dice) -> String {
    let (high, low) = (dice.bits(), dice.bits());
    let bytes = (u128::from(high) << 64 | u128::from(low)).to_be_bytes();
    Builder::from_random_bytes(bytes).into_uuid().to_string()
}

/// Rounds after which [`EmbeddedServer::settle`] gives up on clients that never fall silent.
pub const MOST_ROUNDS: usize = 64;
/// Largest frame or body in bytes; the server's own limit.
const LARGEST_MESSAGE: usize = 10 * 1024 * 1024;

#[cfg(test)]
mod tests;
