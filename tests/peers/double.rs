//! A data server that does what the real one never does: it sends any bytes a test chooses. It returns what
//! windrode sends as the real server does, so that the link is up.

#![expect(
    clippy::expect_used,
    reason = "a test fails and says why if its double cannot start"
)]

use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;

use futures_util::{FutureExt as _, SinkExt as _, StreamExt as _};
use serde_json::{Value, json};
use tokio_tungstenite::WebSocketStream;
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::tungstenite::protocol::frame::Frame;
use tokio_tungstenite::tungstenite::protocol::frame::coding::{Data, OpCode};

use super::fault_table::timed;
use super::tern::{Aboard, eventually};
use crate::block_on;

/// Its own vessel.
pub(crate) const TERN: &str = "vessels.urn:mrn:imo:mmsi:230099999";

pub(crate) struct Double {
    pub(crate) port: u16,
    shared: Arc<Shared>,
}

#[derive(Default)]
struct Shared {
    say: Mutex<Say>,
    greeted: AtomicUsize,
    sent: AtomicUsize,
}

#[derive(Default)]
struct Say {
    /// Metres that she is north of the anchor's place.
    north: f64,
    /// Payloads of text frames to be sent once, in this order.
    once: Vec<Vec<u8>>,
    ended: bool,
}

impl Double {
    pub(crate) fn start() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let port = listener.local_addr().expect("it has an address").port();
        let shared = Arc::new(Shared::default());
        let theirs = Arc::clone(&shared);
        std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                let shared = Arc::clone(&theirs);
                std::thread::spawn(move || block_on(serve(stream, &shared)));
            }
        });
        Self { port, shared }
    }

    /// Moves her this far north of where she began.
    pub(crate) fn lie_at(&self, north: f64) {
        self.say(|say| say.north = north);
    }

    /// The time until she is followed there by a watch that is setting its anchor, so that only a drag could still be
    /// reported.
    pub(crate) fn is_followed(&self, aboard: &Aboard, north: f64) -> Duration {
        self.lie_at(north);
        let (time, ()) = timed(|| {
            eventually("the position is followed", || {
                let status = aboard.status()?;
                let distance = status["picture"]["anchorDistance"].as_f64()?;
                let known = status["picture"]["phase"] == "setting";
                (known && (distance - north).abs() < 2.0).then_some(())
            });
        });
        time
    }

    /// She drags from 20 m until that is an alarm, which is returned.
    pub(crate) fn drag(&self, aboard: &Aboard) -> Value {
        // A little over a metre a second. Faster is taken for a fault of the receiver, which is another alarm.
        for step in 1..=400 {
            self.lie_at(20.0 + f64::from(step) * 0.24);
            std::thread::sleep(Duration::from_millis(200));
            if let Some(alarm) = aboard.drag_alarm() {
                return alarm;
            }
        }
        eventually("the drag is an alarm", || aboard.drag_alarm())
    }

    /// Sends these payloads, each as a text frame.
    pub(crate) fn send(&self, payloads: impl IntoIterator<Item = Vec<u8>>) {
        self.say(|say| say.once.extend(payloads));
    }

    /// Whether all of them are out.
    pub(crate) fn has_sent(&self) -> Option<()> {
        let say = self.shared.say.lock().expect("no panic holds it");
        say.once.is_empty().then_some(())
    }

    /// Number of connections so far.
    pub(crate) fn greeted(&self) -> usize {
        self.shared.greeted.load(Ordering::Relaxed)
    }

    /// Frames that were sent by [`Self::send`].
    pub(crate) fn sent(&self) -> usize {
        self.shared.sent.load(Ordering::Relaxed)
    }

    fn say(&self, change: impl FnOnce(&mut Say)) {
        change(&mut self.shared.say.lock().expect("no panic holds it"));
    }
}

impl Drop for Double {
    fn drop(&mut self) {
        if let Ok(mut say) = self.shared.say.lock() {
            say.ended = true;
        }
    }
}

/// The socket, if somebody opens the stream.
pub(super) async fn accepted(stream: TcpStream) -> Option<WebSocketStream<tokio::net::TcpStream>> {
    let mut head = [0; 512];
    let length = stream.peek(&mut head).unwrap_or_default();
    if !String::from_utf8_lossy(&head[..length]).starts_with("GET /signalk/v1/stream") {
        return None;
    }
    stream.set_nonblocking(true).expect("it can be set");
    let stream = tokio::net::TcpStream::from_std(stream).expect("a runtime is there");
    tokio_tungstenite::accept_async(stream).await.ok()
}

async fn serve(stream: TcpStream, shared: &Shared) {
    let Some(mut socket) = accepted(stream).await else {
        return;
    };
    let hello = json!({"name": "double", "version": "2.0.0", "self": TERN, "roles": ["master"]});
    if socket.send(Message::text(hello.to_string())).await.is_err() {
        return;
    }
    shared.greeted.fetch_add(1, Ordering::Relaxed);
    let mut beat = 0_u32;
    loop {
        let (north, once, ended) = {
            let mut say = shared.say.lock().expect("no panic holds it");
            (say.north, std::mem::take(&mut say.once), say.ended)
        };
        if ended {
            return;
        }
        beat = (beat + 1) % 7;
        let mut frames = vec![Message::text(position(north, beat).to_string())];
        while let Some(heard) = socket.next().now_or_never() {
            match heard {
                Some(Ok(Message::Text(text))) => frames.extend(echo(&text)),
                Some(Ok(_)) => {}
                None | Some(Err(_)) => return,
            }
        }
        let text = OpCode::Data(Data::Text);
        for payload in once {
            shared.sent.fetch_add(1, Ordering::Relaxed);
            frames.push(Message::Frame(Frame::message(payload, text, true)));
        }
        for frame in frames {
            if socket.send(frame).await.is_err() {
                return;
            }
        }
        tokio::time::sleep(PERIOD).await;
    }
}

fn position(north: f64, beat: u32) -> Value {
    // A receiver's last digits always change.
    let latitude = 59.8539 + north / METRES_A_DEGREE + f64::from(beat) * 1e-8;
    json!({"context": TERN, "updates": [{"$source": "gps0.GP", "values": [
        {"path": "navigation.position", "value": {"latitude": latitude, "longitude": 23.26}},
        {"path": "navigation.headingTrue", "value": 1.5},
        {"path": "environment.depth.belowSurface", "value": 8.0},
    ]}]})
}

/// Returns what it received, as every client receives it.
fn echo(text: &str) -> Option<Message> {
    let mut delta: Value = serde_json::from_str(text).ok()?;
    delta.get("updates")?;
    delta["context"] = json!(TERN);
    Some(Message::text(delta.to_string()))
}

/// A minute of latitude is a sea mile.
const METRES_A_DEGREE: f64 = 60.0 * 1852.0;
const PERIOD: Duration = Duration::from_millis(200);
