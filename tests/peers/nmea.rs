//! The yacht "Tern" with NMEA 0183 instruments (IEC 61162-1), wired as most boats are. The real server connects
//! to them over TCP, as to a multiplexer, and its own parser makes the values.

#![expect(
    clippy::expect_used,
    reason = "a test whose boat cannot be set up fails, and says why"
)]

use std::io::Write as _;
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;

use windrode::boat::tern::BERTH;
use windrode::geodesy::{Offset, Plane, Position};
use windrode::units::{Bearing, Metres};

use super::{Mode, SignalK};

/// The name of the data connection.
pub(crate) const CONNECTION: &str = "nmea";

/// A wire with one end in the server.
pub(crate) struct Wire(TcpStream);

impl Wire {
    /// A server, and the wire that it reads.
    pub(crate) fn to_server() -> (SignalK, Self) {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let port = listener.local_addr().expect("it is bound").port();
        let server = SignalK::start_fed(Mode::Open, CONNECTION, port);
        let (stream, _) = listener.accept().expect("the server connects");
        (server, Self(stream))
    }

    /// A second talker on the same wire.
    pub(crate) fn twin(&self) -> Self {
        Self(self.0.try_clone().expect("a socket has two handles"))
    }

    /// Sends a sentence, given without its start and checksum unless it starts with `!`. `TIME` and `DATE`
    /// stand for the present. Returns whether the server is still there.
    pub(crate) fn say(&mut self, body: &str) -> bool {
        write!(self.0, "{}\r\n", sentence(body)).is_ok()
    }
}

fn sentence(body: &str) -> String {
    let now = jiff::Timestamp::now();
    let body = body
        .replace("TIME", &now.strftime("%H%M%S").to_string())
        .replace("DATE", &now.strftime("%d%m%y").to_string());
    let (start, body) = match body.strip_prefix('!') {
        Some(body) => ('!', body.to_owned()),
        None => ('$', body),
    };
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("{start}{body}*{sum:02X}")
}

/// How an instrument reports its measurement, or its loss.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Word {
    Good,
    /// It uses the sentence's own status and leaves the last value in it: status V, quality 0.
    Flagged,
    /// Empty fields.
    Empty,
    /// Dashes in the fields.
    Dashes,
    /// Zero.
    Zero,
    /// The last value again and again, as if it were valid.
    Frozen,
    /// It sends nothing.
    Silent,
}

/// The boat's true state, and how each instrument reports it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Truth {
    pub(crate) receiver: Word,
    pub(crate) sounder: Word,
    pub(crate) wind: Word,
    pub(crate) heading: Word,
    /// A log that always reports a speed over the ground of zero.
    pub(crate) stuck_log: bool,
    /// Distance of the bow roller from the berth, towards 045°.
    pub(crate) distance: f64,
    /// Speed away from the berth, metres a second.
    pub(crate) speed: f64,
    /// Where she stops.
    pub(crate) limit: f64,
}

impl Truth {
    /// Present speed over the ground.
    fn way(&self) -> f64 {
        if self.distance < self.limit {
            self.speed
        } else {
            0.0
        }
    }
}

/// Her instruments, sending once a second on a thread of their own.
pub(crate) struct Gauges {
    truth: Arc<Mutex<(Truth, bool)>>,
    thread: Option<JoinHandle<()>>,
}

impl Gauges {
    /// Switches them on, all working, over the berth.
    pub(crate) fn on(mut wire: Wire) -> Self {
        let truth = Truth {
            receiver: Word::Good,
            sounder: Word::Good,
            wind: Word::Good,
            heading: Word::Good,
            stuck_log: false,
            distance: 0.0,
            speed: 0.0,
            limit: f64::INFINITY,
        };
        let truth = Arc::new(Mutex::new((truth, false)));
        let theirs = Arc::clone(&truth);
        let thread = std::thread::spawn(move || {
            let mut last = BERTH;
            for second in 0_u32.. {
                let now = {
                    let mut shared = theirs.lock().expect("no panic holds it");
                    if shared.1 {
                        return;
                    }
                    shared.0.distance += shared.0.way();
                    shared.0
                };
                if now.receiver == Word::Good {
                    last = antenna(&now, second);
                }
                let said = sentences(&now, last, second);
                if !said.iter().all(|body| wire.say(body)) {
                    return;
                }
                std::thread::sleep(Duration::from_secs(1));
            }
        });
        Self {
            truth,
            thread: Some(thread),
        }
    }

    /// Changes the truth from now on.
    pub(crate) fn change(&self, change: impl FnOnce(&mut Truth)) {
        change(&mut self.truth.lock().expect("no panic holds it").0);
    }
}

impl Drop for Gauges {
    fn drop(&mut self) {
        if let Ok(mut truth) = self.truth.lock() {
            truth.1 = true;
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// 9.1 m aft of the stem; a receiver's last digits always change.
fn antenna(truth: &Truth, second: u32) -> Position {
    let aft = truth.distance + 9.1 + 0.2 * f64::from(second % 3);
    let down_wind = Bearing::from_degrees(45.0);
    Plane::at(BERTH).position(Offset::polar(down_wind, Metres::of(aft)))
}

/// Degrees and minutes, to a ten-thousandth.
fn coordinates(position: Position) -> String {
    let value = serde_json::to_value(position).expect("a position is JSON");
    let minutes = |name: &str| {
        let degrees = value[name].as_f64().expect("a number");
        (degrees.trunc(), degrees.fract() * 60.0)
    };
    let ((north, north_minutes), (east, east_minutes)) =
        (minutes("latitude"), minutes("longitude"));
    format!("{north:02.0}{north_minutes:07.4},N,{east:03.0}{east_minutes:07.4},E")
}

fn sentences(truth: &Truth, antenna: Position, second: u32) -> Vec<String> {
    let place = coordinates(antenna);
    let knots = truth.way() / 0.514_444;
    let receiver = match truth.receiver {
        Word::Good | Word::Frozen | Word::Zero | Word::Dashes => vec![
            format!("GPRMC,TIME,A,{place},{knots:.1},045.0,DATE,7.0,E,A"),
            format!("GPGGA,TIME,{place},1,09,0.9,12.0,M,18.0,M,,"),
        ],
        Word::Flagged => vec![
            format!("GPRMC,TIME,V,{place},0.0,045.0,DATE,7.0,E,N"),
            format!("GPGGA,TIME,{place},0,00,99.9,12.0,M,18.0,M,,"),
        ],
        Word::Empty => vec![
            "GPRMC,TIME,V,,,,,,,DATE,,,N".to_owned(),
            "GPGGA,TIME,,,,,0,00,99.9,,,,,,".to_owned(),
        ],
        Word::Silent => Vec::new(),
    };
    let yaw = [-4.0, 0.0, 3.0, 1.0][second as usize % 4];
    let each =
        |word: Word, good: String, flagged: &str, empty: &str, dashes: &str, zero: &str| match word
        {
            Word::Good | Word::Frozen => Some(good),
            Word::Flagged => Some(flagged.to_owned()),
            Word::Empty => Some(empty.to_owned()),
            Word::Dashes => Some(dashes.to_owned()),
            Word::Zero => Some(zero.to_owned()),
            Word::Silent => None,
        };
    let heading = each(
        truth.heading,
        format!("HEHDT,{:05.1},T", 225.0 + yaw),
        "HEHDT,,T",
        "HEHDT,,T",
        "HEHDT,---,T",
        "HEHDT,000.0,T",
    );
    let wind = each(
        truth.wind,
        format!("WIMWV,{:05.1},R,14.0,N,A", (360.0 - yaw) % 360.0),
        "WIMWV,000.0,R,14.0,N,V",
        "WIMWV,,R,,N,V",
        "WIMWV,---,R,---,N,A",
        "WIMWV,000.0,R,00.0,N,A",
    );
    let sounder = each(
        truth.sounder,
        format!("SDDPT,{:.1},0.5,", 8.0 + 0.1 * f64::from(second % 2)),
        "SDDPT,,0.5,",
        "SDDPT,,0.5,",
        "SDDPT,---,0.5,",
        "SDDPT,0.0,0.5,",
    );
    let log = truth
        .stuck_log
        .then(|| "IIVTG,,T,,M,0.0,N,0.0,K,A".to_owned());
    receiver
        .into_iter()
        .chain([heading, wind, sounder, log].into_iter().flatten())
        .collect()
}
