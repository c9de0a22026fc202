//! Holds a drill against the boat's own server: the socket, the clock and the signals around [`Drill`].
//!
//! A night in acts has its own data server and its own daemon here too; the boat's server gets only what the drill
//! shows. An acknowledgement at one of the boat's displays is passed on to the night's own server.
//!
//! However it ends (the night is over, Ctrl-C, a real watch, an error), everything it showed is cleared. If the
//! connection is lost, it is made again just for that.

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use rustls::ClientConfig;
use serde_json::Value;
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::mpsc;
use tokio::time::{MissedTickBehavior, interval, sleep, timeout};

use crate::config::ServerAddress;
use crate::io::clock::Clock;
use crate::io::http::Http;
use crate::io::secrets::Secret;
use crate::io::socket::{self, Received, Socket};
use crate::rehearse::drill::{Drill, Heard, real_watch};
use crate::rehearse::library::player;
use crate::rehearse::library::script::Script;
use crate::rehearse::night::{self, Audience, Name, Report, Turn};
use crate::rehearse::world::WorldError;
use crate::signalk::SourceLabel;
use crate::speech::Wording;
use crate::time::{Tick, Timestamp};
use crate::watch::messages::{Event, Output};
use crate::watch::state::WatchState;

/// The night that is shown.
#[derive(Debug)]
pub enum Night<'s> {
    /// A night of the library, or the crew's own.
    Script(&'s Script),
    /// A night in acts, with a folder for its journal.
    Acts(Name, PathBuf),
}

impl Night<'_> {
    fn title(&self) -> &str {
        match self {
            Self::Script(script) => &script.title,
            Self::Acts(name, _) => name.title(),
        }
    }
}

/// What a drill is held with.
#[derive(Debug)]
pub struct Against {
    /// The server whose displays show the drill.
    pub server: ServerAddress,
    /// The token that the server granted.
    pub token: Option<Secret>,
    /// Which certificates are trusted.
    pub tls: Arc<ClientConfig>,
    /// The source label of everything the drill sends.
    pub label: SourceLabel,
    /// Seconds of the night in one real second.
    pub speed: u32,
    /// The seed of the night's random draws.
    pub seed: u64,
    /// The language in which the crew is addressed.
    pub wording: Wording,
}

/// Why a drill was not held, or not held to its end.
#[derive(Debug, thiserror::Error)]
pub enum AgainstError {
    /// A real watch is kept.
    #[error("no drill: {0}; end the watch first, then rehearse")]
    Real(String),
    /// The server cannot be asked or reached.
    #[error("no drill: the server at `{0}` {1}")]
    Unreachable(String, String),
    /// The server accepts nothing from us.
    #[error(
        "no drill: the server at `{0}` does not show what the drill says; give windrode a token that may write (`windrode check` says more)"
    )]
    NotShown(String),
    /// The connection was lost.
    #[error("the drill ended: the connection to `{0}` was lost: {1}; {2}")]
    Lost(String, String, &'static str),
    /// The night could not be held.
    #[error("the drill ended: {0}")]
    World(#[from] WorldError),
    /// The system delivers no signals.
    #[error("no drill: the system delivers no signals: {0}")]
    Signals(std::io::Error),
}

/// Holds the drill; `None` if the crew ended it.
pub async fn hold(
    night: Night<'_>,
    with: Against,
    audience: &mut impl Audience,
) -> Result<Option<Report>, AgainstError> {
    let mut interrupt = signal(SignalKind::interrupt()).map_err(AgainstError::Signals)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(AgainstError::Signals)?;
    // The terminal it was started from has gone.
    let mut hangup = signal(SignalKind::hangup()).map_err(AgainstError::Signals)?;
    refuse_beside_a_watch(&with).await?;
    let clock = Clock::system();
    let mut drill = Drill::new(with.label.clone(), night.title(), with.wording.clone());
    let mut socket = open(&with, &mut drill, &clock).await?;
    // A drill that was killed may have left something.
    for text in drill.clear(clock.now()) {
        if let Err(why) = socket.send(text).await {
            return Err(AgainstError::Unreachable(with.server.to_string(), why));
        }
    }
    let start = clock.now().utc;
    let (turns, taken) = mpsc::channel(1);
    let (tell, outputs) = mpsc::unbounded_channel();
    let mut relay = Relay {
        inner: audience,
        outputs: tell,
        turns: taken,
    };
    let held = async {
        let wording = with.wording.clone();
        match night {
            Night::Script(script) => {
                Ok(player::hold_from(script, with.seed, wording, start, &mut relay).await)
            }
            Night::Acts(name, journal) => {
                let seed = with.seed;
                Box::pin(night::hold_from(
                    name, seed, journal, wording, start, &mut relay,
                ))
                .await
            }
        }
    };
    let mut ended = {
        let running = Running {
            turns,
            outputs,
            drill: &mut drill,
            socket: &mut socket,
            clock: &clock,
            shown: false,
            begun: clock.now().tick,
        };
        tokio::select! {
            held = held => End::Night(held.map(Box::new)),
            ended = running.run(with.speed) => ended,
            _ = interrupt.recv() => End::ByCrew,
            _ = terminate.recv() => End::ByCrew,
            _ = hangup.recv() => End::ByCrew,
        }
    };
    let mut cleared = clear(&mut socket, &mut drill, &clock).await;
    if !cleared && !matches!(ended, End::NotShown) {
        for _ in 0..TRIES {
            sleep(AGAIN).await;
            if let Ok(mut again) = open(&with, &mut drill, &clock).await
                && clear(&mut again, &mut drill, &clock).await
            {
                cleared = true;
                break;
            }
        }
        if matches!(ended, End::ByCrew | End::Night(_)) && !cleared {
            ended = End::Lost("the server accepts nothing any more".to_owned());
        }
    }
    let server = with.server.to_string();
    match ended {
        End::Night(held) => Ok(Some(*held?)),
        End::ByCrew => Ok(None),
        End::Real(why) => Err(AgainstError::Real(why)),
        End::NotShown => Err(AgainstError::NotShown(server)),
        End::Lost(why) => Err(AgainstError::Lost(
            server,
            why,
            if cleared {
                "what it showed is cleared"
            } else {
                "what it showed may still be there; hold a drill again, or restart the server, to clear it"
            },
        )),
    }
}

enum End {
    Night(Result<Box<Report>, WorldError>),
    ByCrew,
    Real(String),
    NotShown,
    Lost(String),
}

struct Running<'a> {
    turns: mpsc::Sender<Turn>,
    outputs: mpsc::UnboundedReceiver<Output>,
    drill: &'a mut Drill,
    socket: &'a mut Socket,
    clock: &'a Clock,
    shown: bool,
    begun: Tick,
}

impl Running<'_> {
    /// Gives the night its seconds and shows what comes of it, until something ends the drill.
    async fn run(mut self, speed: u32) -> End {
        let mut tick = interval(Duration::from_secs(1) / speed.max(1));
        tick.set_missed_tick_behavior(MissedTickBehavior::Delay);
        let mut said = self.begun;
        let mut picture: Option<Box<WatchState>> = None;
        loop {
            let mut sent = Vec::new();
            tokio::select! {
                received = self.socket.next() => {
                    if let Some(end) = self.take(received, &mut sent).await {
                        return end;
                    }
                }
                Some(output) = self.outputs.recv() => match output {
                    Output::Alert(view) => sent.extend(self.drill.alert(self.clock.now(), &view)),
                    Output::Publish(state) => picture = Some(state),
                    Output::Persist(_)
                    | Output::Event(_)
                    | Output::Reply { .. }
                    | Output::AskChart(_)
                    | Output::KeepSoundings(_) => {}
                },
                _ = tick.tick() => {
                    // A night that is still busy with its last second misses this one.
                    let _ = self.turns.try_send(Turn::Second);
                    if !self.shown && self.clock.now().tick.since(self.begun) > SHOWN_WITHIN {
                        return End::NotShown;
                    }
                }
            }
            if self.clock.now().tick.since(said) >= EVERY
                && let Some(state) = &picture
            {
                said = self.clock.now().tick;
                sent.push(self.drill.values(self.clock.now(), state));
            }
            for text in sent {
                if let Err(why) = self.socket.send(text).await {
                    return End::Lost(why);
                }
            }
        }
    }

    async fn take(&mut self, received: Received, sent: &mut Vec<String>) -> Option<End> {
        let text = match received {
            Received::Text(text) => text,
            Received::Pong => return None,
            Received::Ended => return Some(End::Lost("the server closed it".to_owned())),
            Received::Broken(why) => return Some(End::Lost(why)),
        };
        let now = self.clock.now();
        for heard in self.drill.handle_frame(now, &text) {
            match heard {
                Heard::Real(why) => return Some(End::Real(why)),
                Heard::Shown => self.shown = true,
                Heard::Display(act) => {
                    sent.extend(self.drill.again(now, act));
                    // The night takes it as soon as it has done its present second.
                    let _ = self.turns.send(Turn::Display(act)).await;
                }
                Heard::Greeted(_) | Heard::Cleared => {}
            }
        }
        None
    }
}

/// Tells the audience of the night, passes on what must be shown, and waits for each turn.
struct Relay<'a, A> {
    inner: &'a mut A,
    outputs: mpsc::UnboundedSender<Output>,
    turns: mpsc::Receiver<Turn>,
}

impl<A: Audience> Audience for Relay<'_, A> {
    fn story(&mut self, at: Timestamp, words: &str) {
        self.inner.story(at, words);
    }
    fn output(&mut self, output: &Output) {
        if matches!(output, Output::Alert(_) | Output::Publish(_)) {
            let _ = self.outputs.send(output.clone());
        }
        self.inner.output(output);
    }
    fn event(&mut self, event: &Event) {
        self.inner.event(event);
    }
    fn progress(&mut self, done: f64, at: Timestamp) {
        self.inner.progress(done, at);
    }
    fn screen(&mut self, report: &crate::daemon::StatusReport) {
        self.inner.screen(report);
    }
    fn may_answer(&self) -> bool {
        true
    }
    async fn turn(&mut self) -> Turn {
        match self.turns.recv().await {
            Some(turn) => turn,
            // The drill has ended, and this night with it.
            None => std::future::pending().await,
        }
    }
    fn picture(&mut self, picture: &crate::plot::PictureInput) {
        self.inner.picture(picture);
    }
}

/// Asks the server once whether anybody is keeping watch.
async fn refuse_beside_a_watch(with: &Against) -> Result<(), AgainstError> {
    let server = with.server.to_string();
    let unreachable = |why: String| AgainstError::Unreachable(server.clone(), why);
    let http =
        Http::new(&with.server.http(""), with.token.clone(), &with.tls).map_err(unreachable)?;
    let mut trees = Vec::with_capacity(2);
    for path in ["navigation/anchor", "notifications/navigation/anchor"] {
        let path = format!("/signalk/v1/api/vessels/self/{path}");
        let answer = http.get(&path).await.map_err(|why| {
            AgainstError::Unreachable(server.clone(), format!("does not answer: {why}"))
        })?;
        trees.push(match answer.status {
            404 => Value::Null,
            200 => serde_json::from_str(&answer.body).map_err(|error| {
                AgainstError::Unreachable(server.clone(), format!("answers no JSON: {error}"))
            })?,
            status => {
                return Err(AgainstError::Unreachable(
                    server,
                    format!("answers HTTP {status}, so it is not known whether a watch is on; `windrode check` says more"),
                ));
            }
        });
    }
    let [anchor, notices] = &trees[..] else {
        return Ok(());
    };
    real_watch(&with.label, anchor, notices).map_or(Ok(()), |why| Err(AgainstError::Real(why)))
}

/// Connects and subscribes.
async fn open(with: &Against, drill: &mut Drill, clock: &Clock) -> Result<Socket, AgainstError> {
    let unreachable = |why: String| AgainstError::Unreachable(with.server.to_string(), why);
    let url = with.server.stream();
    let mut socket = socket::connect(&url, with.token.as_ref(), with.tls.clone())
        .await
        .map_err(|error| unreachable(error.to_string()))?;
    let greeting = async {
        loop {
            let Received::Text(text) = socket.next().await else {
                return None;
            };
            for heard in drill.handle_frame(clock.now(), &text) {
                if let Heard::Greeted(subscribe) = heard {
                    return Some(subscribe);
                }
            }
        }
    };
    let subscribe = timeout(GREETED_WITHIN, greeting)
        .await
        .ok()
        .flatten()
        .ok_or_else(|| unreachable("sends no greeting".to_owned()))?;
    socket.send(subscribe).await.map_err(unreachable)?;
    Ok(socket)
}

/// Clears what was shown, and waits until the server confirms it.
async fn clear(socket: &mut Socket, drill: &mut Drill, clock: &Clock) -> bool {
    for text in drill.clear(clock.now()) {
        if socket.send(text).await.is_err() {
            return false;
        }
    }
    let echo = async {
        loop {
            match socket.next().await {
                Received::Text(text) => {
                    let heard = drill.handle_frame(clock.now(), &text);
                    if heard.contains(&Heard::Cleared) {
                        return true;
                    }
                }
                Received::Pong => {}
                Received::Ended | Received::Broken(_) => return false,
            }
        }
    };
    let cleared = timeout(CLEARED_WITHIN, echo).await.unwrap_or(false);
    socket.close().await;
    cleared
}

/// The time from one sending of the values to the next.
const EVERY: Duration = Duration::from_millis(500);
const GREETED_WITHIN: Duration = Duration::from_secs(10);
const SHOWN_WITHIN: Duration = Duration::from_secs(15);
const CLEARED_WITHIN: Duration = Duration::from_secs(5);
const AGAIN: Duration = Duration::from_secs(2);
const TRIES: u32 = 60;
