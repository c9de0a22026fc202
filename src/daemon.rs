//! The daemon: engine, session and journal held together by one loop on one thread.
//!
//! Nothing is decided here. Each event (a frame, an order, a timer, an answer) goes to the engine it
//! belongs to, and the engines' outputs are carried out, in order, before the next event. Each source of
//! events gets its turn (`turns`). Whatever must be on disk is on disk before it is announced. When the
//! disk hangs for more than [`DISK_LIMIT`], the alarm goes out anyway, the watch reports that it is
//! impaired, and nothing waits for that disk again until it has answered.
//!
//! Frames are taken from the socket one at a time and handled completely, so a pong to the server's ping
//! proves that everything before it was judged. The rehearsal steps its clock by that.

mod announce;
mod charts;
mod displays;
mod drawing;
mod errands;
mod handed;
mod haste;
pub(crate) mod joining;
mod offing;
mod phones;
mod picture;
mod pulse;
mod recorded;
mod server;
mod status;
mod turns;

use std::collections::{BTreeMap, VecDeque};
use std::future::{pending, poll_fn};
use std::pin::{Pin, pin};
use std::task::Poll;
use std::time::Duration;

use tokio::sync::{mpsc, watch};
use tracing::{error, info, warn};

use self::announce::{DiskTrouble, Notes};
use self::charts::Charts;
use self::displays::OlderDisplays;
pub(crate) use self::drawing::WORD as DRAW_PICTURE;
pub use self::drawing::{Apart, Drawing};
use self::errands::{Errand, Errands};
use self::haste::Haste;
use self::joining::{JoinError, Joined};
use self::offing::Offing;
use self::phones::Phones;
use self::picture::{Earlier, Sketches};
use self::pulse::Pulse;
pub(crate) use self::server::tls as server_tls;
use self::server::{Home, Token};
pub use self::status::{Figures, StatusReport};
use self::turns::{Source, Turns};
use crate::alert::hazard::Hazard;
use crate::config::Config;
use crate::io::clock::Clock;
use crate::io::control::Asked;
use crate::io::displays::Heard as FromDisplay;
use crate::io::push::Heard;
use crate::io::secrets;
use crate::io::socket::{Received, Socket};
use crate::io::{systemd, tls};
use crate::journal::{self, Disk, Journal, JournalError, Recovered, Writer};
use crate::recording::Recorder;
use crate::signalk::access::Access;
use crate::signalk::resources::ResourceIds;
use crate::signalk::session::{self, RequestKey, Session};
use crate::speech::Wording;
use crate::speech::faults::LostWatch;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{Entry, Input, Output};
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
    charts: Charts,
    phones: Phones,
    socket: Option<Box<Socket>>,
    opening: Option<Opening>,
    token: Token,
    home: Home,
    /// When the token expires, as the watch knows it.
    token_ends: Option<Timestamp>,
    waiting: BTreeMap<u64, Asker>,
    orders: u64,
    pending: VecDeque<Input>,
    /// What is wrong with the journal.
    disk_trouble: DiskTrouble,
    /// Why a watch may have been lost, until somebody has settled it.
    doubt: Option<LostWatch>,
    picture: WatchState,
    earlier: Earlier,
    sketches: Sketches,
    displays: Option<OlderDisplays>,
    recorder: Option<Recorder>,
    surroundings: recorded::Surroundings,
    listener: Option<mpsc::UnboundedSender<Output>>,
    notes: BTreeMap<Option<Hazard>, Notes>,
    turns: Turns,
    pulse: Pulse,
    haste: Haste,
    offing: Offing,
    /// How often all outputs of the engines were carried out.
    announced: u64,
    pruned: Tick,
}

type Opening = Pin<Box<dyn Future<Output = Result<Joined, JoinError>> + Send>>;

/// The sender of an order, who awaits the answer.
enum Asker {
    Local(Asked),
    Server(RequestKey),
    /// The channel of this name.
    Phone(String),
    /// The engine's number of the order.
    Display(u64),
}

/// Something happened.
enum Happening {
    Stop(&'static str),
    Due,
    Opened(Result<Joined, JoinError>),
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
    /// No HTTP client could be made.
    #[error("no HTTP client: {0}")]
    Http(String),
}

impl Daemon {
    /// Opens the journal and resumes the watch where it was left. Orders from the local command line come
    /// through `control`.
    pub fn open(
        config: Config,
        clock: Clock,
        control: mpsc::Receiver<Asked>,
    ) -> Result<Self, DaemonError> {
        let now = clock.now();
        let settings = config.watch_settings();
        let (journal, recovered) = open_journal(&config, format!("{settings:?}"), now)?;
        let disk_trouble = DiskTrouble::at_first(journal.trouble().borrow().as_ref());
        let token = Token::find(&config);
        let tls = tls::client_config();
        let home = Home::of(&config, &token);
        let errands = home.errands(&token).map_err(DaemonError::Http)?;
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
                wording: config.wording(),
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
        let folder = config.journal.directory.clone();
        let charts = if clock.is_virtual() {
            Charts::at_once(folder, errands.back_door())
        } else {
            Charts::open(folder, errands.back_door())
        };
        let mut daemon = Self {
            keeper,
            phones,
            session,
            access,
            journal_trouble: journal.trouble(),
            journal,
            control,
            charts,
            errands,
            socket: None,
            opening: None,
            token,
            home,
            token_ends: None,
            waiting: BTreeMap::new(),
            orders: 0,
            pending: VecDeque::new(),
            disk_trouble,
            doubt: recovered.doubt,
            picture: WatchState::default(),
            earlier,
            sketches: Sketches::default(),
            displays: OlderDisplays::open(&config, now),
            recorder: recorded::recorder(&config, &clock),
            surroundings: recorded::Surroundings::default(),
            listener: None,
            notes: BTreeMap::new(),
            turns: Turns::default(),
            pulse: Pulse::default(),
            haste: Haste::default(),
            offing: Offing::default(),
            announced: 0,
            pruned: now.tick,
            config,
            clock,
        };
        daemon.token_changed();
        // The more serious one first.
        if daemon.doubt.is_some() {
            daemon.tell_doubt();
        }
        if daemon.disk_trouble.fault().is_some() {
            daemon.tell_impaired();
        }
        Ok(daemon)
    }

    /// Sends all outputs of the watch to a listener too.
    #[must_use]
    pub fn with_listener(mut self, listener: mpsc::UnboundedSender<Output>) -> Self {
        self.listener = Some(listener);
        self
    }

    /// Draws the pictures for the phones elsewhere.
    #[must_use]
    pub fn with_drawing(mut self, drawing: Drawing) -> Self {
        self.phones.drawing = drawing;
        self
    }

    /// Keeps the watch until `stop` ends it; `stop` gives the reason.
    pub async fn run(
        mut self,
        stop: impl Future<Output = &'static str>,
    ) -> Result<(), DaemonError> {
        let mut stop = std::pin::pin!(stop);
        let now = self.clock.now();
        self.journal.prune(now, self.config.journal.keep);
        self.warn_of_expiry(now);
        self.carry_out().await;
        systemd::ready();
        loop {
            let happening = self.next(stop.as_mut()).await;
            let (source, began) = (happening.source(), self.clock.now().tick);
            match happening {
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
            self.announced = self.announced.wrapping_add(1);
            if let Some(source) = source {
                self.turns.took(source, began, self.clock.now().tick);
            }
            self.feed_watchdog();
            if self.turns.gives_way() {
                tokio::task::yield_now().await;
            }
        }
        Box::pin(self.stop()).await
    }

    /// The earliest moment that an engine waits for.
    fn due(&self) -> Option<Tick> {
        let news = self.keeper.has_news().then(|| self.haste.free_at());
        [
            news,
            self.keeper.poll_timeout(),
            self.session.poll_timeout(),
            self.access.poll_timeout(),
            self.phones.outbox.poll_timeout(self.clock.now()),
            OlderDisplays::poll_timeout(self.displays.as_ref()),
        ]
        .into_iter()
        .flatten()
        .min()
    }

    /// The next event and its source: each source in its turn.
    async fn next(&mut self, mut stop: Pin<&mut impl Future<Output = &'static str>>) -> Happening {
        let due = self.due().unwrap_or(Tick::from_millis(u64::MAX));
        let Self {
            clock,
            socket,
            opening,
            control,
            errands,
            phones,
            displays,
            journal_trouble,
            turns,
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
        let asked = async {
            match control.recv().await {
                Some(asked) => asked,
                None => pending().await,
            }
        };
        let errand = async {
            match errands.next().await {
                Some(errand) => errand,
                None => pending().await,
            }
        };
        let heard = async {
            match phones.heard.recv().await {
                Some(heard) => heard,
                None => pending().await,
            }
        };
        let disk = async {
            if journal_trouble.changed().await.is_err() {
                pending::<()>().await;
            }
        };
        let mut sleep = pin!(clock.sleep_until(due));
        let (mut opened, mut received, mut asked) = (pin!(opened), pin!(received), pin!(asked));
        let (mut errand, mut heard, mut disk) = (pin!(errand), pin!(heard), pin!(disk));
        let mut display = pin!(OlderDisplays::next(displays.as_mut()));
        poll_fn(|context| {
            if let Poll::Ready(why) = stop.as_mut().poll(context) {
                return Poll::Ready(Happening::Stop(why));
            }
            let mut poll = |source: Source| match source {
                Source::Timers => sleep.as_mut().poll(context).map(|()| Happening::Due),
                Source::Opening => opened.as_mut().poll(context).map(Happening::Opened),
                Source::Socket => received.as_mut().poll(context).map(Happening::Received),
                Source::Orders => asked.as_mut().poll(context).map(Happening::Asked),
                Source::Errands => errand.as_mut().poll(context).map(Happening::Errand),
                Source::Phones => heard.as_mut().poll(context).map(Happening::Heard),
                Source::Displays => display.as_mut().poll(context).map(Happening::Display),
                Source::Disk => disk.as_mut().poll(context).map(|()| Happening::Disk),
            };
            let (may, spent): (Vec<_>, Vec<_>) = Source::ALL
                .into_iter()
                .partition(|source| turns.may(*source));
            if let Some(ready) = may.into_iter().map(&mut poll).find(Poll::is_ready) {
                return ready;
            }
            // No source that still has a share is ready: start a new round.
            turns.renew();
            let ready = spent.into_iter().map(poll).find(Poll::is_ready);
            ready.unwrap_or(Poll::Pending)
        })
        .await
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
        self.judge_news(now);
        if due(self.phones.outbox.poll_timeout(now)) {
            self.phones.outbox.handle_timeout(now);
        }
        self.handle_displays_due(now);
        if now.tick.since(self.pruned) >= PRUNE_EVERY {
            self.pruned = now.tick;
            self.journal.prune(now, self.config.journal.keep);
            self.warn_of_expiry(now);
        }
    }

    /// Gives an input to the journal's queue, then to the watch.
    fn feed(&mut self, now: Now, input: Input) {
        let entry = Entry {
            now,
            input: input.clone(),
        };
        self.record_input(&entry);
        self.journal.record(entry);
        self.keeper.handle(now, input);
    }

    /// A fix may show something that cannot wait for the next round.
    fn judge_news(&mut self, now: Now) {
        if self.keeper.has_news() && self.haste.takes(now.tick) {
            self.feed(now, Input::Timeout);
        }
    }

    /// Carries out the engines' outputs until there are none left.
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

    /// Tells the displays that the watch has ended, and closes the journal.
    async fn stop(mut self) -> Result<(), DaemonError> {
        systemd::stopping();
        if self.picture.phase != AnchorPhase::Aweigh {
            self.feed(self.clock.now(), Input::Stopping);
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

/// The journal on its thread; if the disk cannot be used, the thread alone, which keeps trying.
fn open_journal(
    config: &Config,
    settings: String,
    now: Now,
) -> Result<(Writer, Recovered), JournalError> {
    let (directory, batch) = (config.journal.directory.clone(), config.journal.batch);
    let (mut disk, recovered) = journal::open_or_rescue(&directory, batch, now)?;
    match &mut disk {
        Disk::Open(journal) => {
            if let Err(error) = journal.note_settings(&settings) {
                warn!("{error}");
            }
        }
        Disk::Closed(why) => error!("{why}; the watch is kept in memory"),
    }
    if let Some(doubt) = &recovered.doubt {
        let doubt = doubt.clone().words(&Wording::default());
        error!("a watch may have been lost: {doubt}");
    }
    let again = directory.clone();
    let writer = Writer::start_with(disk, directory, batch, move |now| {
        let (mut journal, _) = Journal::open(&again, batch, now)?;
        journal.note_settings(&settings)?;
        Ok(journal)
    })?;
    // The report distinguishes a run without channels from a run that did not record them.
    writer.keep_channels(Vec::new());
    Ok((writer, recovered))
}

/// The text that the person who approves our request sees.
const DESCRIPTION: &str = "windrode, the anchor watch";
/// An alarm waits no longer than this for the disk.
const DISK_LIMIT: Duration = Duration::from_secs(2);
const PRUNE_EVERY: Duration = Duration::from_hours(1);
