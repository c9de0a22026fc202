//! Runs one session after another with the data server, as a state machine without a socket.
//!
//! # Grammar
//! Call the `handle_*` method for what happened, [`Session::handle_timeout`] when [`Session::poll_timeout`]
//! is due (at once, for a new session), and after each of them [`Session::poll_output`] until it is empty.
//! The shell owns the socket: on [`Output::Connect`] it opens
//! `/signalk/v1/stream?subscribe=none&sendCachedValues=false` with the token as `Authorization: Bearer`, and
//! reports [`Session::handle_connected`] or [`Session::handle_closed`]. After [`Output::Close`] the session
//! no longer uses that socket; what the shell reports about it is ignored until the next [`Output::Connect`].
//!
//! # What proves a link
//! Neither an open socket nor a pong proves a link: the server lets an anonymous client in, greets it and
//! silently drops everything it sends, and it does not tell a client whose token has lost its permission. So
//! the link is up only if the server has greeted, our rights are not known to be missing, and our own
//! heartbeat has come back: the same number and the same stamp to a second, sent on this connection (the
//! server's cache may replay one of an earlier run). If no heartbeat comes back for [`ECHO_WITHIN`], the link
//! is impaired, and this is reported together with what to do about it. The same holds for each notification:
//! our rights may let values through but no notification ([`notices`](super::notices)).
//!
//! # After a break
//! The server may have been restarted and lost all our data (its hello then has another `serverStartId`), or
//! only the network may have failed. Metadata, commands, values and notifications are published again in
//! either case; [`notices`](super::notices) decides whether alerts pass through `normal`.
//!
//! The parts: `frames` handles what arrives and sends the alerts, `tend` does what is due, `timers` when it is due; beside them are the
//! waits between attempts, the open requests and the logbook that keeps the log short.

mod backoff;
mod frames;
mod logbook;
mod requests;
mod tend;
#[cfg(test)]
mod tests;
mod timers;

use std::collections::VecDeque;
use std::time::Duration;

use self::backoff::Backoff;
pub use self::logbook::Level;
use self::logbook::LogBook;
pub use self::requests::RequestKey;
use self::requests::Requests;
use self::tend::Greeted;
use self::timers::{Timer, Timers};
use super::discovery::ServerId;
use super::gather::Gather;
use super::notices::Notices;
use super::publish::Publisher;
use super::put;
use super::reader::Reader;
use super::resources::{ResourceIds, ResourceWrite, Resources};
use super::{SourceLabel, shortened};
use crate::alert::hazard::Hazard;
use crate::observation::Report;
use crate::signalk::paths::OwnPaths;
use crate::speech::Wording;
use crate::speech::faults::LinkFault;
use crate::time::{Now, Tick};
use crate::watch::messages::{Command, DisplayAction, LinkState, Outcome};
use crate::watch::state::WatchState;

/// The part of the configuration that the session needs.
#[derive(Clone, Debug, Default)]
pub struct Settings {
    /// The `$source` under which we publish.
    pub label: SourceLabel,
    /// The ids of the drawings on charts; `None` draws nothing.
    pub resources: Option<ResourceIds>,
    /// The additional paths that are read on this boat.
    pub own_paths: OwnPaths,
    /// The crew's language and units, for displays.
    pub wording: Wording,
}

/// Nothing listens at the server's address.
pub const NOT_ANSWERING: &str = "Signal K server not answering";

/// What the shell has to do, in this order.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "an output that is dropped is a frame not sent or a fact not judged"]
pub enum Output {
    /// Open the stream.
    Connect,
    /// Send this text frame.
    Transmit(String),
    /// Send a ping frame.
    Ping,
    /// Drop the socket, or the attempt; the reason, for the log.
    Close(String),
    /// Ask `/skServer/loginStatus` and give the answer to [`Session::handle_rights`].
    ProbeRights,
    /// A notification of ours did not come back: look for it in the server's tree over HTTP and pass the
    /// result to [`Session::handle_notice_seen`].
    LookForNotice(Hazard),
    /// A report for the watch.
    Report(Report),
    /// A command for the watch; its answer goes to [`Session::handle_reply`].
    Command {
        /// Identifies the request in the answer.
        request: RequestKey,
        /// The command.
        command: Command,
    },
    /// For the watch: the link changed.
    Link(LinkState),
    /// For the watch: somebody acted on a notification of ours.
    Display(DisplayAction),
    /// Write or delete a resource over HTTP; on failure call [`Session::handle_resource_failed`].
    PutResource(ResourceWrite),
    /// Worth a line in the log; already bounded.
    Log {
        /// How serious it is, by who can act on it.
        level: Level,
        /// The line.
        text: String,
    },
}

/// How a connection, or the attempt at one, ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Closed {
    /// HTTP 401 on the upgrade: the token is not valid.
    Refused401,
    /// Another HTTP status on the upgrade.
    Http(u16),
    /// The server's certificate is not the trusted one; in words.
    Distrusted(String),
    /// What is known about the server's certificate cannot be read; in words.
    TrustUnreadable(String),
    /// Nothing listens at the address.
    NotAnswering,
    /// No address was chosen: no server was found on the network, or none that may be joined. The words list what
    /// was found.
    NotChosen(LinkFault, String),
    /// The network failed; in words.
    Io(String),
    /// The server closed it.
    Ended,
}

/// The state machine. See the module for its grammar.
#[derive(Clone, Debug)]
pub struct Session {
    label: SourceLabel,
    connection: Connection,
    timers: Timers,
    outputs: VecDeque<Output>,
    link: Option<LinkState>,
    /// The system's message about it.
    link_words: Option<String>,
    backoff: Backoff,
    start_id: Option<String>,
    reader: Reader,
    gather: Gather,
    publisher: Publisher,
    notices: Notices,
    resources: Resources,
    wording: Wording,
    picture: WatchState,
    beat: u64,
    requests: Requests,
    book: LogBook,
}

/// The stage of the connection to the server.
#[derive(Clone, Debug)]
enum Connection {
    /// Waiting for the next attempt.
    Waiting,
    /// The shell is connecting.
    Connecting,
    /// The socket is open; the server has not identified itself yet.
    Open,
    /// The server has identified itself.
    Greeted(Box<Greeted>),
}

impl Session {
    /// Nothing happens before the first [`Session::handle_timeout`]. The seed spreads the waits between
    /// attempts.
    #[must_use]
    pub fn new(settings: Settings, seed: u64) -> Self {
        let Settings {
            label,
            resources,
            own_paths,
            wording,
        } = settings;
        let mut timers = Timers::default();
        timers.set(Timer::Attempt, Tick::START);
        Self {
            connection: Connection::Waiting,
            timers,
            outputs: VecDeque::new(),
            link: None,
            link_words: None,
            backoff: Backoff::new(seed),
            start_id: None,
            reader: Reader::new(Some(label.clone())).with_paths(own_paths),
            gather: Gather::default(),
            publisher: Publisher::new(label.clone(), wording.lengths),
            notices: Notices::default(),
            resources: Resources::new(resources, wording.clone()),
            wording,
            picture: WatchState::default(),
            beat: 0,
            requests: Requests::default(),
            book: LogBook::default(),
            label,
        }
    }

    /// The socket is open.
    pub fn handle_connected(&mut self, now: Now) {
        if matches!(self.connection, Connection::Connecting) {
            self.connection = Connection::Open;
            self.timers.stop(Timer::Connect);
            self.timers.set(Timer::Hello, now.tick + HELLO_WITHIN);
            self.timers.set(Timer::Ping, now.tick + PING_EVERY);
        }
    }

    /// A pong arrived.
    pub fn handle_pong(&mut self, _now: Now) {
        self.timers.stop(Timer::Pong);
    }

    /// The socket, or the attempt at one, has ended.
    pub fn handle_closed(&mut self, now: Now, reason: Closed) {
        if matches!(self.connection, Connection::Waiting) {
            return;
        }
        let (fault, words, wait) = match reason {
            Closed::Refused401 => (LinkFault::TokenRefused, None, Some(AFTER_REFUSAL)),
            Closed::Http(status) => {
                let status = status.into();
                (LinkFault::Status { status }, None, None)
            }
            Closed::Distrusted(words) => (
                LinkFault::CertificateChanged,
                Some(shortened(&words, 900)),
                Some(AFTER_REFUSAL),
            ),
            Closed::TrustUnreadable(words) => (
                LinkFault::TrustUnreadable,
                Some(shortened(&words, 900)),
                Some(AFTER_REFUSAL),
            ),
            Closed::NotAnswering => (LinkFault::NotAnswering, None, None),
            // Already bounded.
            Closed::NotChosen(fault, words) => (fault, Some(words), Some(LOOK_AGAIN_AFTER)),
            Closed::Io(words) => (LinkFault::NoConnection, Some(shortened(&words, 200)), None),
            Closed::Ended => (LinkFault::ServerClosed, None, None),
        };
        self.dropped(now, fault, words.as_deref(), wait);
    }

    /// The token changed: connect again with the new one, now.
    pub fn handle_new_token(&mut self, now: Now) {
        match self.connection {
            Connection::Waiting => self.timers.set(Timer::Attempt, now.tick),
            Connection::Connecting | Connection::Open | Connection::Greeted(_) => {
                self.hang_up(now, LinkFault::Reconnecting, Some(Duration::ZERO));
            }
        }
    }

    /// The watch's picture; changes are published at once, all of it with the next heartbeat.
    pub fn handle_picture(&mut self, now: Now, picture: &WatchState) {
        let turned = picture.phase != self.picture.phase;
        self.picture.clone_from(picture);
        self.picture_changed(now, turned);
        self.draw();
    }

    /// The watch answered a command.
    pub fn handle_reply(&mut self, _now: Now, request: RequestKey, outcome: &Outcome) {
        let Some(id) = self.requests.close(request) else {
            return;
        };
        let (status, words) = match outcome {
            Outcome::Done(words) => (200, words),
            Outcome::Refused(words) => (400, words),
        };
        self.outputs
            .push_back(Output::Transmit(put::answer(&id, status, words)));
    }

    /// A [`ResourceWrite`] failed. It is tried again after a while.
    pub fn handle_resource_failed(&mut self, now: Now, reason: &str) {
        self.timers.start(Timer::Draw, now.tick + DRAW_AGAIN_AFTER);
        self.log(
            now,
            Level::Warn,
            &format!(
                "the chart's drawing of the swinging circle was not taken by the server: {}",
                shortened(reason, 200)
            ),
        );
    }

    /// The next thing to do.
    pub fn poll_output(&mut self) -> Option<Output> {
        self.outputs.pop_front()
    }

    /// The state of the link; `None` before the first attempt.
    #[must_use]
    pub fn link(&self) -> Option<&LinkState> {
        self.link.as_ref()
    }

    /// Who the server says it is, once it has greeted.
    #[must_use]
    pub fn server_id(&self) -> Option<ServerId> {
        self.context().and_then(ServerId::parse)
    }

    /// Our vessel's context; `None` until the server has greeted.
    fn context(&self) -> Option<&str> {
        self.greeted().map(|greeted| greeted.context.as_str())
    }

    fn greeted(&self) -> Option<&Greeted> {
        match &self.connection {
            Connection::Greeted(greeted) => Some(greeted),
            Connection::Waiting | Connection::Connecting | Connection::Open => None,
        }
    }

    /// We end the connection.
    fn hang_up(&mut self, now: Now, fault: LinkFault, wait: Option<Duration>) {
        self.outputs.push_back(Output::Close(for_the_log(&fault)));
        let words = (fault == LinkFault::NoConnection).then_some("none within 30 s");
        self.dropped(now, fault, words, wait);
    }

    /// The connection has ended, from either side. `words`: the system's message about it, for the log.
    fn dropped(&mut self, now: Now, fault: LinkFault, words: Option<&str>, wait: Option<Duration>) {
        self.let_go_of_held();
        let was_good = self.greeted().is_some_and(|greeted| {
            greeted
                .up_since
                .is_some_and(|since| now.tick.since(since) >= GOOD_AFTER)
        });
        if was_good {
            self.backoff.reset();
        }
        let wait = match wait {
            Some(wait) => self.backoff.spread(wait),
            None => self.backoff.next(),
        };
        self.connection = Connection::Waiting;
        self.timers.stop_connection();
        self.timers.set(Timer::Attempt, now.tick + wait);
        self.requests.clear();
        self.set_link(now, LinkState::Down(fault), words);
    }

    fn set_link(&mut self, now: Now, state: LinkState, words: Option<&str>) {
        let same = self.link.as_ref() == Some(&state);
        // One fault can have many causes: another cause is worth a line in the log, but it is not news for
        // the watch.
        if same && (words.is_none() || self.link_words.as_deref() == words) {
            return;
        }
        let (level, text) = match &state {
            LinkState::Up => (
                Level::Info,
                self.greeted().map_or_else(String::new, |greeted| {
                    format!("linked to {}", greeted.server)
                }),
            ),
            LinkState::Down(fault) | LinkState::Impaired(fault) => {
                let more = words.map_or(String::new(), |words| format!(": {words}"));
                (Level::Warn, for_the_log(fault) + &more)
            }
        };
        let text = if same {
            self.book.take(now.tick, &text)
        } else {
            self.book.change(now.tick, &text)
        };
        self.outputs
            .extend(text.map(|text| Output::Log { level, text }));
        self.link_words = words.map(str::to_owned);
        if same {
            return;
        }
        self.link = Some(state.clone());
        self.outputs.push_back(Output::Link(state));
        self.draw();
    }

    /// Brings the chart's drawing up to date with the picture, while the server accepts what we send.
    fn draw(&mut self) {
        if self.link != Some(LinkState::Up) {
            return;
        }
        let writes = self.resources.update(&self.picture);
        self.outputs
            .extend(writes.into_iter().map(Output::PutResource));
    }

    /// A new report must not overtake the one that is held back.
    fn let_go_of_held(&mut self) {
        if let Some(report) = self.gather.flush() {
            self.outputs.push_back(Output::Report(report));
        }
    }

    fn log(&mut self, now: Now, level: Level, text: &str) {
        if let Some(text) = self.book.take(now.tick, text) {
            self.outputs.push_back(Output::Log { level, text });
        }
    }
}

/// A fault in English. The text in the log does not refer the reader to the log.
fn for_the_log(fault: &LinkFault) -> String {
    match fault {
        LinkFault::NoConnection => "no connection to the server".to_owned(),
        fault => fault.clone().words(&Wording::default()),
    }
}

/// The first frame comes with the upgrade; a slow boat computer needs a few seconds to start its server.
const HELLO_WITHIN: Duration = Duration::from_secs(10);
/// Name look-up, TCP, TLS and upgrade together.
const CONNECT_WITHIN: Duration = Duration::from_secs(30);
const PING_EVERY: Duration = Duration::from_secs(15);
const PONG_WITHIN: Duration = Duration::from_secs(15);
/// Our own heartbeat comes back each 10 s; seven missing in a row are no accident. The server sends a ping
/// each 30 s, so pongs alone do not show that its stream still works.
const FRAME_WITHIN: Duration = Duration::from_secs(70);
/// All our values and the counter are published this often.
pub const BEAT_EVERY: Duration = Duration::from_secs(10);
/// Two heartbeats and a half.
pub const ECHO_WITHIN: Duration = Duration::from_secs(25);
/// Between two publications of changed values.
const VALUES_EVERY: Duration = Duration::from_secs(1);
/// While rights are missing or nothing comes back.
const PROBE_EVERY: Duration = Duration::from_mins(1);
/// A refused token does not become valid by itself.
const AFTER_REFUSAL: Duration = Duration::from_mins(1);
/// The boat's own server may come any moment, and two small packets are all it costs to look.
const LOOK_AGAIN_AFTER: Duration = Duration::from_secs(5);
/// A link that held this long was good: the next attempt follows soon.
const GOOD_AFTER: Duration = Duration::from_mins(1);
const DRAW_AGAIN_AFTER: Duration = Duration::from_mins(5);
