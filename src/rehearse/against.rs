//! Holds a drill against the boat's own server: the socket, the clock and the signals around [`Drill`].
//!
//! However it ends (the night is over, Ctrl-C, a real watch, an error), everything it showed is cleared. If the
//! connection is lost, it is made again just for that.

use std::sync::Arc;
use std::time::Duration;

use rustls::ClientConfig;
use serde_json::Value;
use tokio::signal::unix::{SignalKind, signal};
use tokio::time::{MissedTickBehavior, interval, sleep, timeout};

use crate::config::ServerAddress;
use crate::io::clock::Clock;
use crate::io::http::Http;
use crate::io::secrets::Secret;
use crate::io::socket::{self, Received, Socket};
use crate::rehearse::drill::{Drill, Heard, real_watch};
use crate::rehearse::library::player::Player;
use crate::rehearse::library::script::Script;
use crate::rehearse::night::{Audience, Report};
use crate::signalk::SourceLabel;
use crate::speech::Wording;
use crate::time::{Tick, Timestamp};
use crate::watch::messages::{Event, Output};
use crate::watch::state::WatchState;

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
    /// The system delivers no signals.
    #[error("no drill: the system delivers no signals: {0}")]
    Signals(std::io::Error),
}

/// Holds the drill; `None` if the crew ended it.
pub async fn hold(
    script: &Script,
    with: Against,
    audience: &mut impl Audience,
) -> Result<Option<Report>, AgainstError> {
    let mut interrupt = signal(SignalKind::interrupt()).map_err(AgainstError::Signals)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(AgainstError::Signals)?;
    // The terminal it was started from has gone.
    let mut hangup = signal(SignalKind::hangup()).map_err(AgainstError::Signals)?;
    refuse_beside_a_watch(&with).await?;
    let clock = Clock::system();
    let mut drill = Drill::new(with.label.clone(), &script.title);
    let mut socket = open(&with, &mut drill, &clock).await?;
    // A drill that was killed may have left something.
    for text in drill.clear(clock.now()) {
        if let Err(why) = socket.send(text).await {
            return Err(AgainstError::Unreachable(with.server.to_string(), why));
        }
    }
    let mut ended = {
        let running = Running {
            player: Player::new(script, with.seed, with.wording.clone(), clock.now().utc),
            drill: &mut drill,
            socket: &mut socket,
            clock: &clock,
            shown: false,
            begun: clock.now().tick,
        };
        tokio::select! {
            ended = running.run(with.speed, audience) => ended,
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
        End::Night(report) => Ok(Some(*report)),
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
    Night(Box<Report>),
    ByCrew,
    Real(String),
    NotShown,
    Lost(String),
}

struct Running<'a, 's> {
    player: Player<'s>,
    drill: &'a mut Drill,
    socket: &'a mut Socket,
    clock: &'a Clock,
    shown: bool,
    begun: Tick,
}

impl Running<'_, '_> {
    async fn run(mut self, speed: u32, audience: &mut impl Audience) -> End {
        let mut tap = Tap {
            inner: audience,
            outputs: Vec::new(),
        };
        let mut tick = interval(Duration::from_secs(1) / speed.max(1));
        tick.set_missed_tick_behavior(MissedTickBehavior::Delay);
        let mut said = self.begun;
        let mut picture: Option<Box<WatchState>> = None;
        loop {
            tokio::select! {
                received = self.socket.next() => {
                    if let Some(end) = self.take(received, &mut tap).await {
                        return end;
                    }
                }
                _ = tick.tick() => {
                    if self.player.is_over() {
                        return End::Night(Box::new(self.player.finish()));
                    }
                    self.player.step(&mut tap);
                    if !self.shown && self.clock.now().tick.since(self.begun) > SHOWN_WITHIN {
                        return End::NotShown;
                    }
                }
            }
            let mut sent = Vec::new();
            for output in tap.outputs.drain(..) {
                match output {
                    Output::Alert(view) => sent.extend(self.drill.alert(self.clock.now(), &view)),
                    Output::Publish(state) => picture = Some(state),
                    Output::Persist(_)
                    | Output::Event(_)
                    | Output::Reply { .. }
                    | Output::AskChart(_)
                    | Output::KeepSoundings(_) => {}
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

    async fn take<A: Audience>(&mut self, received: Received, tap: &mut Tap<'_, A>) -> Option<End> {
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
                    self.player.handle_display(act, tap);
                    for text in self.drill.again(now, act) {
                        if let Err(why) = self.socket.send(text).await {
                            return Some(End::Lost(why));
                        }
                    }
                }
                Heard::Greeted(_) | Heard::Cleared => {}
            }
        }
        None
    }
}

/// Reports what the drill says, and queues what must be sent.
struct Tap<'a, A> {
    inner: &'a mut A,
    outputs: Vec<Output>,
}

impl<A: Audience> Audience for Tap<'_, A> {
    fn story(&mut self, at: Timestamp, words: &str) {
        self.inner.story(at, words);
    }
    fn output(&mut self, output: &Output) {
        if matches!(output, Output::Alert(_) | Output::Publish(_)) {
            self.outputs.push(output.clone());
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
