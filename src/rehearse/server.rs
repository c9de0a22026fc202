//! A Signal K server inside the program, on the loopback interface and a port of the system's choice.
//!
//! It serves what a client such as the watch uses: the end points, the login status, the stream,
//! resources and notifications. [`crate::signalk::hub`] decides, this module has the sockets.
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
use uuid::Builder;

use crate::rehearse::dice::{Dice, Purpose};
use crate::signalk::hub::{
    ClientId, Hub, HubOutput, NoDelta, NoticeAction, NoticeError, PutOutcome,
};
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
}

impl EmbeddedServer {
    /// Starts on a free port of 127.0.0.1, within the present tokio runtime.
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
        let action = NoticeAction::Acknowledge;
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

/// A version 4 identifier from the dice.
fn uuid(dice: &mut Dice) -> String {
    let (high, low) = (dice.bits(), dice.bits());
    let bytes = (u128::from(high) << 64 | u128::from(low)).to_be_bytes();
    Builder::from_random_bytes(bytes).into_uuid().to_string()
}

/// Rounds after which [`EmbeddedServer::settle`] gives up on clients that never fall silent.
pub const MOST_ROUNDS: usize = 64;
/// Bytes of a frame or a body; the server's own bound.
const LARGEST_MESSAGE: usize = 10 * 1024 * 1024;

#[cfg(test)]
mod tests;
