//! The daemon: engine, session and journal held together by one loop on one thread.
//!
//! Nothing is decided here. What happens (a frame, an order, a timer, an answer) is handed to the
//! engine it belongs to, and the engines' outputs are carried out, in order, before the next
//! thing happens. What must be on disk is on disk before it is announced; when the disk hangs
//! for more than [`DISK_LIMIT`] the alarm goes out all the same, and the watch says that it is
//! impaired.
//!
//! Frames are taken from the socket one at a time and handled to the end, so a pong to a ping of
//! the server proves that everything before it was judged. The rehearsal steps its clock by that.

mod displays;
mod errands;
mod picture;
mod status;

use std::collections::{BTreeMap, VecDeque};
use std::future::pending;
use std::pin::Pin;
use std::time::Duration;

use serde_json::json;
use tokio::sync::{mpsc, watch};
use tracing::{debug, error, info, warn};

use self::displays::OlderDisplays;
use self::errands::{Errand, Errands};
use self::picture::Earlier;
pub use self::status::StatusReport;
use crate::config::Config;
use crate::io::clock::Clock;
use crate::io::control::{Asked, Response};
use crate::io::displays::Heard;
use crate::io::secrets::{self, Secret, SecretError};
use crate::io::socket::{self, ConnectError, Received, Socket};
use crate::io::{systemd, tls};
use crate::journal::{Journal, JournalError, Writer};
use crate::signalk::access::{Access, AccessOutput, Rights};
use crate::signalk::put::parse_command;
use crate::signalk::resources::ResourceIds;
use crate::signalk::session::{self, Closed, Level, RequestKey, Session};
use crate::time::{Now, Tick};
use crate::watch::keeper::Watchkeeper;
use crate::watch::words::{
    Command, Entry, Event, EventKind, Input, Outcome, Output, Phase, Picture,
};

/// The daemon, open and ready to run.
pub struct Daemon {
    config: Config,
    clock: Clock,
    keeper: Watchkeeper,
    session: Session,
    access: Access,
    journal: Writer,
    journal_trouble: watch::Receiver<Option<JournalError>>,
    control: mpsc::Receiver<Asked>,
    errands: Errands,
    socket: Option<Box<Socket>>,
    opening: Option<Opening>,
    token: Option<Secret>,
    /// The token is one that we were granted and may ask for anew.
    token_is_ours: bool,
    tls: std::sync::Arc<rustls::ClientConfig>,
    waiting: BTreeMap<u64, Asker>,
    orders: u64,
    pending: VecDeque<Input>,
    impaired: Option<String>,
    picture: Picture,
    earlier: Earlier,
    displays: Option<OlderDisplays>,
    listener: Option<mpsc::UnboundedSender<Event>>,
    watchdog_fed: Option<Tick>,
    pruned: Tick,
}

type Opening = Pin<Box<dyn Future<Output = Result<Box<Socket>, ConnectError>> + Send>>;

/// Who gave an order and awaits the answer.
enum Asker {
    Local(Asked),
    Server(RequestKey),
    /// By its engine's number of the order.
    Display(u64),
}

/// Something happened.
enum Happening {
    Stop(&'static str),
    Due,
    Opened(Result<Box<Socket>, ConnectError>),
    Received(Received),
    Asked(Asked),
    Errand(Errand),
    Heard(Heard),
    Disk,
}

/// Why the daemon cannot start or go on.
#[derive(Debug, thiserror::Error)]
pub enum DaemonError {
    /// The journal.
    #[error(transparent)]
    Journal(#[from] JournalError),
    /// The token.
    #[error(transparent)]
    Token(#[from] SecretError),
    /// No HTTP client could be made.
    #[error("no HTTP client: {0}")]
    Http(String),
}

impl Daemon {
    /// Opens the journal and takes up the watch where it was left. Orders of the local command
    /// line come by `control`.
    pub fn open(
        config: Config,
        clock: Clock,
        control: mpsc::Receiver<Asked>,
    ) -> Result<Self, DaemonError> {
        let now = clock.now();
        let (mut journal, recovered) =
            Journal::open(&config.journal.directory, config.journal.batch, now)?;
        let settings = config.watch_settings();
        journal.note_settings(&format!("{settings:?}"))?;
        let journal = Writer::start(journal)?;
        let (token, token_is_ours) = find_token(&config)?;
        let tls = tls::client_config();
        let errands = Errands::new(&config.server.url.http(""), token.clone(), &tls)
            .map_err(DaemonError::Http)?;
        let ids = recovered.identities;
        let session = Session::new(
            session::Settings {
                label: config.source_label(),
                resources: Some(ResourceIds {
                    circle: ids.region.to_string(),
                    anchor: ids.anchor.to_string(),
                    berth: ids.berth.to_string(),
                }),
                counter: config.tackle.counter.clone(),
            },
            ids.client.as_u64_pair().0,
        );
        let access = Access::new(
            ids.client.to_string(),
            DESCRIPTION.to_owned(),
            secrets::open_request(&config.journal.directory),
        );
        let last_seen = recovered.last_seen();
        info!(
            "the watch begins: {}, journal in `{}`",
            recovered.saved.phase,
            config.journal.directory.display()
        );
        let earlier = match recovered.previous {
            Some(_) => Earlier::read(&config, &recovered.saved, recovered.run, now),
            None => Earlier::default(),
        };
        let keeper = Watchkeeper::new(now, settings, recovered.saved, last_seen);
        Ok(Self {
            keeper,
            session,
            access,
            journal_trouble: journal.trouble(),
            journal,
            control,
            errands,
            socket: None,
            opening: None,
            token,
            token_is_ours,
            tls,
            waiting: BTreeMap::new(),
            orders: 0,
            pending: VecDeque::new(),
            impaired: None,
            picture: Picture::default(),
            earlier,
            displays: OlderDisplays::open(&config, now),
            listener: None,
            watchdog_fed: None,
            pruned: now.tick,
            config,
            clock,
        })
    }

    /// Gives every event to somebody else too.
    #[must_use]
    pub fn with_listener(mut self, listener: mpsc::UnboundedSender<Event>) -> Self {
        self.listener = Some(listener);
        self
    }

    /// Keeps the watch until `stop` says why to end.
    pub async fn run(
        mut self,
        stop: impl Future<Output = &'static str>,
    ) -> Result<(), DaemonError> {
        let mut stop = std::pin::pin!(stop);
        let now = self.clock.now();
        self.journal.prune(now, self.config.journal.keep);
        self.carry_out().await;
        systemd::ready();
        loop {
            match self.next(stop.as_mut()).await {
                Happening::Stop(why) => {
                    info!("stopping: {why}");
                    break;
                }
                Happening::Due => self.handle_due(),
                Happening::Opened(result) => self.handle_opened(result),
                Happening::Received(received) => self.handle_received(received),
                Happening::Asked(asked) => self.handle_asked(asked),
                Happening::Errand(errand) => self.handle_errand(errand),
                Happening::Heard(heard) => self.handle_heard(&heard),
                Happening::Disk => self.handle_disk(),
            }
            self.carry_out().await;
            self.feed_watchdog();
        }
        Box::pin(self.stop()).await
    }

    async fn next(&mut self, stop: Pin<&mut impl Future<Output = &'static str>>) -> Happening {
        let due = [
            self.keeper.poll_timeout(),
            self.session.poll_timeout(),
            self.access.poll_timeout(),
            OlderDisplays::poll_timeout(self.displays.as_ref()),
        ]
        .into_iter()
        .flatten()
        .min()
        .unwrap_or(Tick::from_millis(u64::MAX));
        let Self {
            clock,
            socket,
            opening,
            control,
            errands,
            displays,
            journal_trouble,
            ..
        } = self;
        let opened = async {
            match opening {
                Some(opening) => opening.await,
                None => pending().await,
            }
        };
        let received = async {
            match socket {
                Some(socket) => socket.next().await,
                None => pending().await,
            }
        };
        // In order, so that a rehearsal is the same each time: what is due comes first.
        tokio::select! {
            biased;
            why = stop => Happening::Stop(why),
            () = clock.sleep_until(due) => Happening::Due,
            result = opened => Happening::Opened(result),
            received = received => Happening::Received(received),
            Some(asked) = control.recv() => Happening::Asked(asked),
            Some(errand) = errands.next() => Happening::Errand(errand),
            heard = OlderDisplays::next(displays.as_mut()) => Happening::Heard(heard),
            Ok(()) = journal_trouble.changed() => Happening::Disk,
        }
    }

    fn handle_due(&mut self) {
        let now = self.clock.now();
        let due = |at: Option<Tick>| at.is_some_and(|at| at <= now.tick);
        if due(self.session.poll_timeout()) {
            self.session.handle_timeout(now);
        }
        if due(self.access.poll_timeout()) {
            self.access.handle_timeout(now);
        }
        if due(self.keeper.poll_timeout()) {
            self.feed(now, Input::Timeout);
        }
        self.handle_displays_due(now);
        if now.tick.since(self.pruned) >= PRUNE_EVERY {
            self.pruned = now.tick;
            self.journal.prune(now, self.config.journal.keep);
        }
    }

    /// Only an engine that judges keeps the service manager content.
    fn feed_watchdog(&mut self) {
        let judged = self.keeper.judged();
        let every = systemd::watchdog_period().map_or(WATCHDOG_EVERY, |p| p.min(WATCHDOG_EVERY));
        if self.watchdog_fed.is_none_or(|at| judged.since(at) >= every) {
            self.watchdog_fed = Some(judged);
            systemd::feed_watchdog();
            systemd::status(&self.status_line());
        }
    }

    fn handle_opened(&mut self, result: Result<Box<Socket>, ConnectError>) {
        self.opening = None;
        let now = self.clock.now();
        match result {
            Ok(socket) => {
                self.socket = Some(socket);
                self.session.handle_connected(now);
            }
            Err(error) => {
                let closed = match error {
                    ConnectError::Unauthorized => {
                        self.want_access(now);
                        Closed::Refused401
                    }
                    ConnectError::Http(status) => Closed::Http(status),
                    ConnectError::Io(why) => Closed::Io(why),
                };
                self.session.handle_closed(now, closed);
            }
        }
    }

    fn handle_received(&mut self, received: Received) {
        let now = self.clock.now();
        match received {
            Received::Text(text) => self.session.handle_frame(now, &text),
            Received::Pong => self.session.handle_pong(now),
            Received::Ended => {
                self.socket = None;
                self.session.handle_closed(now, Closed::Ended);
            }
            Received::Broken(why) => self.lost(now, why),
        }
    }

    fn handle_asked(&mut self, asked: Asked) {
        let now = self.clock.now();
        let told = match asked.request.command.as_str() {
            "status" => Some(json!(self.status(now))),
            "picture" => Some(json!(self.picture_input(now))),
            _ => None,
        };
        if let Some(told) = told {
            asked.answer(Response::data(told));
            return;
        }
        match parse_command(&asked.request.command, &asked.request.value) {
            Ok(command) => self.order(now, command, Asker::Local(asked)),
            Err(refusal) => {
                let response = Response::words(refusal.status(), refusal.to_string());
                asked.answer(response);
            }
        }
    }

    fn handle_errand(&mut self, errand: Errand) {
        let now = self.clock.now();
        match errand {
            Errand::Rights(rights) => {
                if rights.writing() == Some(false) && !matches!(rights, Rights::ReadOnly) {
                    self.want_access(now);
                }
                self.session.handle_rights(now, rights);
            }
            Errand::ResourceFailed(why) => self.session.handle_resource_failed(now, &why),
            Errand::Access(Ok((status, body))) => {
                let before = self.access.pending().map(str::to_owned);
                self.access.handle_response(now, status, &body);
                let after = self.access.pending();
                if before.as_deref() != after
                    && let Err(error) =
                        secrets::remember_request(&self.config.journal.directory, after)
                {
                    warn!("the access request cannot be remembered: {error}");
                }
            }
            Errand::Access(Err(why)) => self.access.handle_failed(now, &why),
        }
    }

    fn handle_disk(&mut self) {
        let trouble = self
            .journal_trouble
            .borrow_and_update()
            .as_ref()
            .map(ToString::to_string);
        self.note_disk(trouble);
    }

    /// Without rights, and with no token that the operator chose, the crew is asked for access.
    fn want_access(&mut self, now: Now) {
        if self.token.is_none() || self.token_is_ours {
            self.access.handle_needed(now);
        }
    }

    fn order(&mut self, now: Now, command: Command, asker: Asker) {
        self.orders += 1;
        let id = self.orders;
        self.waiting.insert(id, asker);
        self.feed(now, Input::Command { id, command });
    }

    fn feed(&mut self, now: Now, input: Input) {
        self.journal.record(Entry {
            now,
            input: input.clone(),
        });
        self.keeper.handle(now, input);
    }

    /// Carries out what the engines want until they want nothing more.
    async fn carry_out(&mut self) {
        loop {
            let outputs: Vec<Output> = std::iter::from_fn(|| self.keeper.poll_output()).collect();
            if !outputs.is_empty() {
                self.announce(outputs).await;
                continue;
            }
            if let Some(output) = self.session.poll_output() {
                self.serve_session(output).await;
                continue;
            }
            if let Some(output) = self.access.poll_output() {
                self.serve_access(output);
                continue;
            }
            if self.serve_displays() {
                continue;
            }
            let Some(input) = self.pending.pop_front() else {
                return;
            };
            self.feed(self.clock.now(), input);
        }
    }

    /// First to the disk, then to the world.
    async fn announce(&mut self, outputs: Vec<Output>) {
        let now = self.clock.now();
        let mut saved = None;
        let mut events = Vec::new();
        for output in &outputs {
            match output {
                Output::Persist(state) => saved = Some((**state).clone()),
                Output::Event(event) => events.push(event.clone()),
                Output::Alert(_) | Output::Publish(_) | Output::Reply { .. } => {}
            }
        }
        if saved.is_some() || !events.is_empty() {
            let saved = saved.unwrap_or_else(|| self.keeper.saved());
            let written = self
                .journal
                .commit_within(DISK_LIMIT, now, saved, events)
                .await;
            self.note_disk(written.err().map(|error| error.to_string()));
        }
        for output in outputs {
            match output {
                Output::Persist(_) => {}
                Output::Event(event) => self.tell(event),
                Output::Alert(view) => {
                    self.session.handle_alert(now, &view);
                    if let Some(displays) = &mut self.displays {
                        displays.exchange.handle_alert(now, &view);
                    }
                }
                Output::Publish(picture) => {
                    self.session.handle_picture(now, &picture);
                    self.picture = *picture;
                }
                Output::Reply { id, outcome } => self.reply(now, id, outcome),
            }
        }
    }

    fn tell(&mut self, event: Event) {
        match (event.event, event.hazard) {
            (EventKind::Raised, Some(hazard)) => warn!("raised {hazard}: {}", event.message),
            (EventKind::Cleared, Some(hazard)) => info!("cleared {hazard}: {}", event.message),
            (EventKind::Acknowledged, Some(hazard)) => info!("acknowledged {hazard}"),
            _ => info!("{}", event.message),
        }
        if let Some(listener) = &self.listener {
            // Who no longer listens is not missed.
            let _ = listener.send(event);
        }
    }

    fn reply(&mut self, now: Now, id: u64, outcome: Outcome) {
        match self.waiting.remove(&id) {
            Some(Asker::Server(request)) => self.session.handle_reply(now, request, &outcome),
            Some(Asker::Local(asked)) => asked.answer(match outcome {
                Outcome::Done(said) => Response::words(200, said),
                Outcome::Refused(why) => Response::words(400, why),
            }),
            Some(Asker::Display(id)) => {
                if let Some(displays) = &mut self.displays {
                    displays.exchange.handle_reply(now, id, &outcome);
                }
            }
            None => error!("an answer to order {id} that nobody gave"),
        }
    }

    fn note_disk(&mut self, trouble: Option<String>) {
        if self.impaired == trouble {
            return;
        }
        if let Some(why) = &trouble {
            error!("{why}");
        } else {
            info!("the journal is written again");
        }
        self.impaired.clone_from(&trouble);
        self.pending.push_back(Input::Impaired(trouble));
    }

    async fn serve_session(&mut self, output: session::Output) {
        let now = self.clock.now();
        match output {
            session::Output::Connect => {
                let url = self.config.server.url.stream();
                let (token, tls) = (self.token.clone(), self.tls.clone());
                self.opening = Some(Box::pin(async move {
                    let socket = socket::connect(&url, token.as_ref(), tls).await?;
                    Ok(Box::new(socket))
                }));
            }
            session::Output::Transmit(text) => {
                if let Some(socket) = &mut self.socket
                    && let Err(why) = socket.send(text).await
                {
                    self.lost(now, why);
                }
            }
            session::Output::Ping => {
                if let Some(socket) = &mut self.socket
                    && let Err(why) = socket.ping().await
                {
                    self.lost(now, why);
                }
            }
            session::Output::Close(why) => {
                debug!("closing the socket: {why}");
                self.opening = None;
                if let Some(mut socket) = self.socket.take() {
                    socket.close().await;
                }
            }
            session::Output::ProbeRights => self.errands.probe_rights(),
            session::Output::Report(report) => self.feed(now, Input::Report(report)),
            session::Output::Command { request, command } => {
                self.order(now, command, Asker::Server(request));
            }
            session::Output::Link(link) => self.feed(now, Input::Link(link)),
            session::Output::Display(action) => self.feed(now, Input::Display(action)),
            session::Output::PutResource(write) => self.errands.put_resource(write),
            session::Output::Log { level, text } => match level {
                Level::Debug => debug!("{text}"),
                Level::Info => info!("{text}"),
                Level::Warn => warn!("{text}"),
            },
        }
    }

    fn lost(&mut self, now: Now, why: String) {
        self.socket = None;
        self.session.handle_closed(now, Closed::Io(why));
    }

    fn serve_access(&mut self, output: AccessOutput) {
        let now = self.clock.now();
        match output {
            AccessOutput::Ask {
                client_id,
                description,
                permissions,
            } => self.errands.ask_access(&json!({
                "clientId": client_id,
                "description": description,
                "permissions": permissions,
            })),
            AccessOutput::Poll { href } => self.errands.poll_access(href),
            AccessOutput::Granted(token) => {
                let Ok(token) = Secret::token(token.reveal()) else {
                    warn!("the server granted something that is no token");
                    return;
                };
                if let Err(error) = secrets::store_token(&self.config.journal.directory, &token) {
                    warn!("{error}");
                }
                self.errands.use_token(Some(token.clone()));
                self.token = Some(token);
                self.token_is_ours = true;
                self.session.handle_new_token(now);
            }
            AccessOutput::Say(text) => info!("{text}"),
        }
    }

    /// Tells the displays that nobody watches any more, and closes the journal.
    async fn stop(mut self) -> Result<(), DaemonError> {
        systemd::stopping();
        if self.picture.phase != Phase::Aweigh {
            let why = "windrode was stopped; nobody watches the anchor".to_owned();
            self.feed(self.clock.now(), Input::Impaired(Some(why)));
            self.carry_out().await;
            OlderDisplays::flush(self.displays.as_ref()).await;
        }
        if let Some(mut socket) = self.socket.take() {
            socket.close().await;
        }
        self.journal.close(self.clock.now()).await?;
        Ok(())
    }
}

/// The token to show: configured, or granted on an earlier run.
fn find_token(config: &Config) -> Result<(Option<Secret>, bool), SecretError> {
    if let Some(token) = &config.server.token {
        return Ok((Some(token.clone()), false));
    }
    let stored = match &config.server.token_file {
        Some(file) => Some(secrets::read_token(file)?),
        None => secrets::stored_token(&config.journal.directory)?,
    };
    let ours = config.server.token_file.is_none();
    Ok(match stored {
        Some(stored) => {
            if let Some(warning) = &stored.warning {
                warn!("{warning}");
            }
            (Some(stored.token), ours)
        }
        None => (None, true),
    })
}

/// What the person who approves our request sees.
const DESCRIPTION: &str = "windrode, the anchor watch";
/// An alarm waits no longer than this for the disk.
const DISK_LIMIT: Duration = Duration::from_secs(2);
const WATCHDOG_EVERY: Duration = Duration::from_secs(5);
const PRUNE_EVERY: Duration = Duration::from_hours(24);
