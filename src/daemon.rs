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
mod phones;
mod picture;
mod server;
mod status;

use std::collections::{BTreeMap, VecDeque};
use std::future::pending;
use std::pin::Pin;
use std::time::Duration;

use serde_json::json;
use tokio::sync::{mpsc, watch};
use tracing::{error, info, warn};

use self::displays::OlderDisplays;
use self::errands::{Errand, Errands};
use self::phones::Phones;
use self::picture::Earlier;
use self::server::find_token;
pub use self::status::{Figures, StatusReport};
use crate::config::Config;
use crate::io::clock::Clock;
use crate::io::control::{Asked, Response};
use crate::io::displays::Heard as FromDisplay;
use crate::io::push::Heard;
use crate::io::secrets::{self, Secret, SecretError};
use crate::io::socket::{ConnectError, Received, Socket};
use crate::io::{systemd, tls};
use crate::journal::{Journal, JournalError, Writer};
use crate::signalk::access::{Access, Rights};
use crate::signalk::put::parse_command;
use crate::signalk::resources::ResourceIds;
use crate::signalk::session::{self, RequestKey, Session};
use crate::time::{Now, Tick};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{Command, Entry, Event, EventKind, Input, Outcome, Output};
use crate::watch::state::WatchState;

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
    phones: Phones,
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
    picture: WatchState,
    earlier: Earlier,
    displays: Option<OlderDisplays>,
    listener: Option<mpsc::UnboundedSender<Output>>,
    watchdog_fed: Option<Tick>,
    pruned: Tick,
}

type Opening = Pin<Box<dyn Future<Output = Result<Box<Socket>, ConnectError>> + Send>>;

/// Who gave an order and awaits the answer.
enum Asker {
    Local(Asked),
    Server(RequestKey),
    /// By the channel of this name.
    Phone(String),
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
    Display(FromDisplay),
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
                own_paths: config.own_paths(),
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
        let mut keeper = Watchkeeper::new(now, settings, recovered.saved);
        let began = Input::Began { last_seen };
        journal.record(Entry {
            now,
            input: began.clone(),
        });
        keeper.handle(now, began);
        let left = (recovered.outbox, recovered.reply_key);
        let phones = Phones::open(now, &config, ids.client, left, &keeper.saved(), &tls);
        Ok(Self {
            keeper,
            phones,
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
            picture: WatchState::default(),
            earlier,
            displays: OlderDisplays::open(&config, now),
            listener: None,
            watchdog_fed: None,
            pruned: now.tick,
            config,
            clock,
        })
    }

    /// Gives everything the watch says to somebody else too.
    #[must_use]
    pub fn with_listener(mut self, listener: mpsc::UnboundedSender<Output>) -> Self {
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
                Happening::Heard(heard) => self.handle_heard(heard),
                Happening::Display(heard) => self.handle_display(&heard),
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
            self.phones.outbox.poll_timeout(self.clock.now()),
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
            phones,
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
            Some(heard) = phones.heard.recv() => Happening::Heard(heard),
            heard = OlderDisplays::next(displays.as_mut()) => Happening::Display(heard),
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
        if due(self.phones.outbox.poll_timeout(now)) {
            self.phones.outbox.handle_timeout(now);
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

    fn handle_asked(&mut self, asked: Asked) {
        let now = self.clock.now();
        let told = match asked.request.command.as_str() {
            "status" => Some(json!(self.status(now))),
            "picture" => Some(json!(self.picture_input(now))),
            "figures" => Some(json!(self.figures(now))),
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
            if let Some(output) = self.phones.outbox.poll_output() {
                self.serve_phones(output).await;
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
            if let Some(listener) = &self.listener {
                // Who no longer listens is not missed.
                let _ = listener.send(output.clone());
            }
            match output {
                Output::Persist(_) => {}
                Output::Event(event) => tell(&event),
                Output::Alert(view) => {
                    self.session.handle_alert(now, &view);
                    self.phones.outbox.handle_alert(now, &view);
                    if let Some(displays) = &mut self.displays {
                        displays.exchange.handle_alert(now, &view);
                    }
                }
                Output::Publish(picture) => {
                    self.session.handle_picture(now, &picture);
                    let anchored = picture.phase.is_anchored();
                    self.phones.outbox.handle_anchored(now, anchored);
                    self.picture = *picture;
                }
                Output::Reply { id, outcome } => self.reply(now, id, outcome),
            }
        }
    }

    fn reply(&mut self, now: Now, id: u64, outcome: Outcome) {
        match self.waiting.remove(&id) {
            Some(Asker::Server(request)) => self.session.handle_reply(now, request, &outcome),
            Some(Asker::Local(asked)) => asked.answer(match outcome {
                Outcome::Done(said) => Response::words(200, said),
                Outcome::Refused(why) => Response::words(400, why),
            }),
            Some(Asker::Phone(channel)) => match outcome {
                Outcome::Done(said) => info!("by `push.{channel}`: {said}"),
                Outcome::Refused(why) => info!("by `push.{channel}`, refused: {why}"),
            },
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

    /// Tells the displays that nobody watches any more, and closes the journal.
    async fn stop(mut self) -> Result<(), DaemonError> {
        systemd::stopping();
        if self.picture.phase != AnchorPhase::Aweigh {
            let why = "windrode was stopped; nobody watches the anchor".to_owned();
            self.feed(self.clock.now(), Input::Impaired(Some(why)));
            self.carry_out().await;
            self.last_words().await;
            OlderDisplays::flush(self.displays.as_ref()).await;
        }
        self.phones.channels.close().await;
        if let Some(mut socket) = self.socket.take() {
            socket.close().await;
        }
        self.journal.close(self.clock.now()).await?;
        Ok(())
    }
}

fn tell(event: &Event) {
    match (event.event, event.hazard) {
        (EventKind::Raised, Some(hazard)) => warn!("raised {hazard}: {}", event.message),
        (EventKind::Cleared, Some(hazard)) => info!("cleared {hazard}: {}", event.message),
        (EventKind::Acknowledged, Some(hazard)) => info!("acknowledged {hazard}"),
        _ => info!("{}", event.message),
    }
}

/// What the person who approves our request sees.
const DESCRIPTION: &str = "windrode, the anchor watch";
/// An alarm waits no longer than this for the disk.
const DISK_LIMIT: Duration = Duration::from_secs(2);
const WATCHDOG_EVERY: Duration = Duration::from_secs(5);
const PRUNE_EVERY: Duration = Duration::from_hours(24);
