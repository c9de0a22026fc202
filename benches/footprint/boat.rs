//! A busy anchorage for the real server: her instruments and 200 transponders, 100 deltas a second.

use std::net::TcpStream;
use std::sync::atomic::{AtomicBool, AtomicI64, Ordering};
use std::sync::{Arc, mpsc};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tokio_tungstenite::tungstenite::{Message, WebSocket, client};
use windrode::boat::tern::{BERTH, Tern};
use windrode::geodesy::{Offset, Plane};
use windrode::units::{Bearing, Metres};

/// One delta every hundredth of a second: 20 a second are her own, 5 of them fixes.
const STEP: Duration = Duration::from_millis(10);
/// Deltas from one fix to the next.
const FIX_EVERY: u64 = 20;
pub(crate) const FIX_INTERVAL: Duration = Duration::from_millis(200);
pub(crate) const VESSELS: u64 = 200;
pub(crate) const ECHO: &str = "environment.echo";

/// Sends on a thread of its own until dropped.
pub(crate) struct Boat {
    ended: Arc<AtomicBool>,
    /// Distance of the bow roller from the berth, in centimetres.
    distance: Arc<AtomicI64>,
    thread: Option<JoinHandle<()>>,
}

impl Boat {
    pub(crate) fn on(port: u16) -> Self {
        let (ended, distance) = (Arc::default(), Arc::new(AtomicI64::new(0)));
        let (end, away) = (Arc::clone(&ended), Arc::clone(&distance));
        let thread = std::thread::spawn(move || speak(port, &end, &away));
        Self {
            ended,
            distance,
            thread: Some(thread),
        }
    }

    /// Puts her this many metres down-wind of the berth.
    pub(crate) fn lie_at(&self, metres: f64) {
        #[expect(clippy::cast_possible_truncation, reason = "some metres")]
        self.distance
            .store((metres * 100.0) as i64, Ordering::Relaxed);
    }
}

impl Drop for Boat {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::Relaxed);
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn speak(port: u16, ended: &AtomicBool, distance: &AtomicI64) {
    let mut socket = connect(port, &[]);
    let mut tern = Tern::at_berth();
    let begun = Instant::now();
    let mut step = 0_u64;
    while !ended.load(Ordering::Relaxed) {
        tern.lie(Metres::of(distance.load(Ordering::Relaxed) as f64 / 100.0));
        let delta = if step.is_multiple_of(5) {
            own(&tern, step)
        } else {
            another(step - step / 5)
        };
        if socket.send(Message::text(delta.to_string())).is_err() {
            return;
        }
        answer_pings(&mut socket);
        step += 1;
        let due = begun + STEP * u32::try_from(step).unwrap_or(u32::MAX);
        std::thread::sleep(due.saturating_duration_since(Instant::now()));
    }
}

/// A server that gets no answer for a minute hangs up.
fn answer_pings(socket: &mut WebSocket<TcpStream>) {
    let _ = socket.get_ref().set_nonblocking(true);
    while socket.read().is_ok() {}
    let _ = socket.get_ref().set_nonblocking(false);
}

/// Fix, heading, wind and depth in turn.
fn own(tern: &Tern, step: u64) -> Value {
    let count = step / FIX_EVERY;
    // The last digits of a live instrument always change.
    let hair = f64::from(u32::try_from(step * 7919 % 1000).unwrap_or(0)) / 1000.0 - 0.5;
    let (source, values) = match step % FIX_EVERY {
        0 => {
            let noise = Offset {
                east: hair * 0.5,
                north: 0.002 * (count % 7) as f64,
            };
            let fix = Plane::at(BERTH).position(tern.antenna() + noise);
            let values = json!([
                {"path": "navigation.position", "value": {"latitude": fix.latitude(), "longitude": fix.longitude()}},
                {"path": "navigation.speedOverGround", "value": 0.1 + 0.05 * hair},
            ]);
            ("gps0.GP", values)
        }
        5 => {
            let heading = tern.heading.degrees().to_radians() + 0.02 * hair;
            let values = json!([{"path": "navigation.headingTrue", "value": heading}]);
            ("compass.HC", values)
        }
        10 => {
            let values = json!([
                {"path": "environment.wind.speedApparent", "value": 7.0 + hair},
                {"path": "environment.wind.angleApparent", "value": 0.1 * hair},
            ]);
            ("wind.WI", values)
        }
        _ => {
            let values =
                json!([{"path": "environment.depth.belowSurface", "value": 8.0 + 0.1 * hair}]);
            ("sounder.SD", values)
        }
    };
    json!({"context": "vessels.self", "updates": [{"$source": source, "values": values}]})
}

/// Every fifth vessel lies at anchor within 1 km; the others pass 2 to 30 km off.
fn another(count: u64) -> Value {
    let number = count % VESSELS;
    let seconds = count as f64 / 80.0;
    let lies = number.is_multiple_of(5);
    let at = number as f64;
    let (distance, knots) = if lies {
        (250.0 + 4.0 * at + 3.0 * (seconds / 40.0 + at).sin(), 0.1)
    } else {
        (2_000.0 + 140.0 * at + 5.0 * (seconds % 600.0), 9.7)
    };
    let place = Plane::at(BERTH).position(Offset::polar(
        Bearing::from_degrees(137.5 * at),
        Metres::of(distance),
    ));
    json!({"context": format!("vessels.urn:mrn:imo:mmsi:{}", 230_100_000 + number), "updates": [{
        "$source": "ais.AI",
        "values": [
            {"path": "navigation.position", "value": {"latitude": place.latitude(), "longitude": place.longitude()}},
            {"path": "navigation.speedOverGround", "value": knots * 1852.0 / 3600.0},
            {"path": "navigation.courseOverGroundTrue", "value": (at * 0.7 + seconds * 0.001) % std::f64::consts::TAU},
            {"path": "navigation.state", "value": if lies { "anchored" } else { "motoring" }},
        ],
    }]})
}

/// What a second client of the server saw, and when.
pub(crate) struct Saw {
    pub(crate) path: String,
    pub(crate) value: Value,
    pub(crate) at: Instant,
}

/// A display on the server: receives our values and alerts and her fixes. It sends each fix's number back
/// through the server, which shows the server's own delay.
pub(crate) fn display(port: u16) -> mpsc::Receiver<Saw> {
    let (tell, heard) = mpsc::channel();
    let own = json!({"context": "vessels.self", "subscribe": [
        {"path": "navigation.position", "policy": "instant"},
        {"path": "navigation.anchor.*", "policy": "instant"},
        {"path": "notifications.navigation.anchor.*", "policy": "instant"},
        {"path": ECHO, "policy": "instant"},
    ]});
    let mut socket = connect(port, &[own.to_string()]);
    std::thread::spawn(move || {
        let mut fixes = 0_u64;
        while let Ok(message) = socket.read() {
            let at = Instant::now();
            let Ok(delta) = serde_json::from_str::<Value>(message.to_text().unwrap_or_default())
            else {
                continue;
            };
            let updates = delta["updates"].as_array().cloned().unwrap_or_default();
            for seen in updates
                .iter()
                .filter_map(|u| u["values"].as_array())
                .flatten()
            {
                let path = seen["path"].as_str().unwrap_or_default().to_owned();
                let mut value = seen["value"].clone();
                if path == "navigation.position" {
                    fixes += 1;
                    value = json!(fixes);
                    let echo = json!({"updates": [{"$source": "display", "values": [{"path": ECHO, "value": fixes}]}]});
                    if socket.send(Message::text(echo.to_string())).is_err() {
                        return;
                    }
                }
                if tell.send(Saw { path, value, at }).is_err() {
                    return;
                }
            }
        }
    });
    heard
}

#[expect(clippy::expect_used, reason = "the bench needs its server")]
fn connect(port: u16, messages: &[String]) -> WebSocket<TcpStream> {
    let tcp = TcpStream::connect(("127.0.0.1", port)).expect("the server listens");
    tcp.set_nodelay(true).expect("a socket has no delay");
    let url = format!("ws://127.0.0.1:{port}/signalk/v1/stream?subscribe=none");
    let (mut socket, _) = client(url, tcp).expect("the server takes this client");
    for message in messages {
        socket
            .send(Message::text(message.clone()))
            .expect("the server listens");
    }
    socket
}
