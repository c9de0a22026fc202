//! One session after another with the data server, as a state machine without a socket.
//!
//! # Grammar
//! Call `handle_*` for what happened, [`Session::handle_timeout`] when [`Session::poll_timeout`]
//! is due (at once, for a new session), and after each of them [`Session::poll_output`] until it
//! is empty. The shell owns the socket: on [`Output::Connect`] it opens
//! `/signalk/v1/stream?subscribe=none&sendCachedValues=false` with the token as
//! `Authorization: Bearer`, and reports [`Session::handle_connected`] or
//! [`Session::handle_closed`]. After [`Output::Close`] the session has done with that socket; what
//! the shell still says of it is ignored until the next [`Output::Connect`].
//!
//! # What proves a link
//! Neither an open socket nor a pong does: the server lets an anonymous client in, says hello and
//! drops all it sends without a word, and a token that lost its permission is not told either. So
//! the link is up only when the server has greeted, our rights are known not to be wanting, and
//! our own heartbeat has come back: same number, same stamp to a second, of this connection (the cache of the
//! server may replay one of an earlier run). When no heartbeat comes back for [`ECHO_WITHIN`] the
//! link is impaired, and that is said with what to do about it. The same holds for each
//! notification: rights may let values through and no notification
//! ([`notices`](super::notices)).
//!
//! # After a break
//! The server may have been restarted and lost everything of ours (its hello then has another
//! `serverStartId`), or only the network was gone. Metadata, commands, values and notifications
//! are published again either way; whether alerts pass through `normal` is decided in
//! [`notices`](super::notices).
//!
//! The parts: `frames` what arrives, `tend` what is due, `timers` when; beside them the waits
//! between attempts, the open requests and the book that keeps the log short.

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
use super::gather::Gather;
use super::notices::Notices;
use super::publish::Publisher;
use super::put;
use super::reader::Reader;
use super::resources::{ResourceIds, ResourceWrite, Resources};
use super::{SourceLabel, shortened};
use crate::alert::hazard::{AlertView, Hazard};
use crate::observation::Report;
use crate::signalk::paths::OwnPaths;
use crate::speech::Wording;
use crate::speech::faults::LinkFault;
use crate::time::{Now, Tick};
use crate::watch::messages::{Command, DisplayAction, LinkState, Outcome};
use crate::watch::state::WatchState;

/// What the session needs to know of the configuration.
#[derive(Clone, Debug, Default)]
pub struct Settings {
    /// Under which `$source` we publish.
    pub label: SourceLabel,
    /// The ids of the drawings on charts; `None` draws nothing.
    pub resources: Option<ResourceIds>,
    /// What else is read on this boat.
    pub own_paths: OwnPaths,
    /// How the crew is spoken to, for displays.
    pub wording: Wording,
}

/// Nothing listens at the server's address.
pub const NOT_ANSWERING: &str = "Signal K server not answering";

/// What the shell is to do, in this order.
#[derive(Clone, Debug, PartialEq)]
#[must_use = "an output that is dropped is a frame not sent or a fact not judged"]
pub enum Output {
    /// Open the stream.
    Connect,
    /// Send this text frame.
    Transmit(String),
    /// Send a ping frame.
    Ping,
    /// Drop the socket, or the attempt; why, for the log.
    Close(String),
    /// Ask `/skServer/loginStatus` and give the answer to [`Session::handle_rights`].
    ProbeRights,
    /// A notification of ours did not come back: look for it in the server's tree over HTTP and
    /// give what is there to [`Session::handle_notice_seen`].
    LookForNotice(Hazard),
    /// For the watch.
    Report(Report),
    /// For the watch; its answer goes to [`Session::handle_reply`].
    Command {
        /// Names the request in the answer.
        request: RequestKey,
        /// What is asked for.
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
        /// Who can act.
        level: Level,
        /// The line.
        text: String,
    },
}

/// How a connection, or the attempt at one, ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Closed {
    /// HTTP 401 on the upgrade: the token is no good.
    Refused401,
    /// Another HTTP status on the upgrade.
    Http(u16),
    /// Its certificate is not the one that is trusted; in words.
    Distrusted(String),
    /// Nothing listens there.
    NotAnswering,
    /// The network; in words.
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
    /// What the system said of it.
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

/// How far we are with the server.
#[derive(Clone, Debug)]
enum Connection {
    /// Until the next attempt.
    Waiting,
    /// The shell tries.
    Connecting,
    /// The socket is open; who is there is not known yet.
    Open,
    /// The server has said who it is.
    Greeted(Box<Greeted>),
}

impl Session {
    /// Nothing happens before the first [`Session::handle_timeout`]. The seed spreads the waits.
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

    /// The socket, or the attempt at one, is no more.
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
            Closed::NotAnswering => (LinkFault::NotAnswering, None, None),
            Closed::Io(words) => (LinkFault::NoConnection, Some(shortened(&words, 200)), None),
            Closed::Ended => (LinkFault::ServerClosed, None, None),
        };
        self.dropped(now, fault, words.as_deref(), wait);
    }

    /// Another token is to be used: connect again with it, now.
    pub fn handle_new_token(&mut self, now: Now) {
        match self.connection {
            Connection::Waiting => self.timers.set(Timer::Attempt, now.tick),
            Connection::Connecting | Connection::Open | Connection::Greeted(_) => {
                self.hang_up(now, LinkFault::Reconnecting, Some(Duration::ZERO));
            }
        }
    }

    /// The watch's picture; published in part at once, in whole with the next heartbeat.
    pub fn handle_picture(&mut self, now: Now, picture: &WatchState) {
        let turned = picture.phase != self.picture.phase;
        self.picture.clone_from(picture);
        self.picture_changed(now, turned);
        self.draw();
    }

    /// An alert changed, or is to be shown again.
    pub fn handle_alert(&mut self, now: Now, alert: &AlertView) {
        self.notices.hold(alert);
        if self.context().is_some() {
            let values = self.notices.publish(now, alert.hazard);
            self.publish_notices(now, &values);
        }
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

    /// A [`ResourceWrite`] failed. It is tried again, after a while.
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

    /// How the link stands; `None` before the first attempt.
    #[must_use]
    pub fn link(&self) -> Option<&LinkState> {
        self.link.as_ref()
    }

    /// How many values arrived that could not be what their path promises.
    #[must_use]
    pub fn malformed(&self) -> u64 {
        self.reader.malformed()
    }

    /// Our vessel's context, while the server has greeted.
    fn context(&self) -> Option<&str> {
        self.greeted().map(|greeted| greeted.context.as_str())
    }

    fn greeted(&self) -> Option<&Greeted> {
        match &self.connection {
            Connection::Greeted(greeted) => Some(greeted),
            Connection::Waiting | Connection::Connecting | Connection::Open => None,
        }
    }

    /// We end it.
    fn hang_up(&mut self, now: Now, fault: LinkFault, wait: Option<Duration>) {
        self.outputs.push_back(Output::Close(for_the_log(&fault)));
        let words = (fault == LinkFault::NoConnection).then_some("none within 30 s");
        self.dropped(now, fault, words, wait);
    }

    /// It is over, whoever ended it. `words`: what the system said of it, for the log.
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
        // One fault has many causes: another one is worth a line, and no news for the watch.
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

    /// Brings the chart's drawing up to the picture, while the server takes what we send.
    fn draw(&mut self) {
        if self.link != Some(LinkState::Up) {
            return;
        }
        let writes = self.resources.update(&self.picture);
        self.outputs
            .extend(writes.into_iter().map(Output::PutResource));
    }

    /// What is held back must not be overtaken by what comes now.
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

/// A fault in English. The log does not refer to itself.
fn for_the_log(fault: &LinkFault) -> String {
    match fault {
        LinkFault::NoConnection => "no connection to the server".to_owned(),
        fault => fault.clone().words(&Wording::default()),
    }
}

/// The first frame comes with the upgrade; a slow boat's computer needs a few seconds to boot
/// its server.
const HELLO_WITHIN: Duration = Duration::from_secs(10);
/// Name look-up, TCP, TLS and upgrade together.
const CONNECT_WITHIN: Duration = Duration::from_secs(30);
const PING_EVERY: Duration = Duration::from_secs(15);
const PONG_WITHIN: Duration = Duration::from_secs(15);
/// Our own heartbeat comes back each 10 s; seven missing are no accident. The server pings each
/// 30 s, so pongs alone do not show that its stream still works.
const FRAME_WITHIN: Duration = Duration::from_secs(70);
/// All our values and the counter are published this often.
pub const BEAT_EVERY: Duration = Duration::from_secs(10);
/// Two heartbeats and a half.
pub const ECHO_WITHIN: Duration = Duration::from_secs(25);
/// Between two publications of changed values.
const VALUES_EVERY: Duration = Duration::from_secs(1);
/// While rights are wanting or nothing comes back.
const PROBE_EVERY: Duration = Duration::from_mins(1);
/// A refused token does not get better by itself.
const AFTER_REFUSAL: Duration = Duration::from_mins(1);
/// A link that held this long was good: the next attempt comes soon.
const GOOD_AFTER: Duration = Duration::from_mins(1);
const DRAW_AGAIN_AFTER: Duration = Duration::from_mins(5);
