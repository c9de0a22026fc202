//! Peers that ask or send too much: a stream as fast as the socket accepts it, a client that sends
//! orders endlessly, a resources API that never answers. The real process against each.

#![expect(
    clippy::expect_used,
    reason = "a test whose boat cannot be set up fails, and says why"
)]

use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::Path;
use std::process::Command;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

use futures_util::{SinkExt as _, StreamExt as _};
use serde_json::json;
use tokio_tungstenite::tungstenite::Message;
use windrode::journal::Reader;
use windrode::time::Timestamp;

use super::double::accepted;
use super::fault_table::{Table, timed};
use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, SignalK, Stream};
use crate::block_on;

/// A server that sends its greeting and then her position, as fast as it is read.
struct Flood {
    port: u16,
    frames: Arc<AtomicUsize>,
    ended: Arc<AtomicBool>,
}

impl Flood {
    fn start() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let port = listener.local_addr().expect("it has an address").port();
        let flood = Self {
            port,
            frames: Arc::default(),
            ended: Arc::default(),
        };
        let (frames, ended) = (Arc::clone(&flood.frames), Arc::clone(&flood.ended));
        std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                let (frames, ended) = (Arc::clone(&frames), Arc::clone(&ended));
                std::thread::spawn(move || block_on(Self::serve(stream, &frames, &ended)));
            }
        });
        flood
    }

    async fn serve(stream: TcpStream, frames: &AtomicUsize, ended: &AtomicBool) {
        let Some(socket) = accepted(stream).await else {
            return;
        };
        let vessel = "vessels.urn:mrn:imo:mmsi:230099999";
        let hello =
            json!({"name": "flood", "version": "2.0.0", "self": vessel, "roles": ["master"]});
        let (mut sink, mut said) = socket.split();
        let flood = async {
            let mut text = hello.to_string();
            let mut number = 0_u32;
            while !ended.load(Ordering::Relaxed) && sink.send(Message::text(text)).await.is_ok() {
                frames.fetch_add(1, Ordering::Relaxed);
                number = (number + 1) % 7;
                // A receiver's last digits always change.
                let latitude = 59.8539 + f64::from(number) * 1e-8;
                text = json!({"context": vessel, "updates": [{"$source": "gps0.GP", "values": [
                    {"path": "navigation.position", "value": {"latitude": latitude, "longitude": 23.26}},
                    {"path": "navigation.headingTrue", "value": 1.5},
                ]}]})
                .to_string();
            }
        };
        let listen = async { while said.next().await.is_some_and(|frame| frame.is_ok()) {} };
        tokio::join!(flood, listen);
    }
}

impl Drop for Flood {
    fn drop(&mut self) {
        self.ended.store(true, Ordering::Relaxed);
    }
}

#[test]
fn a_saturating_stream_holds_up_no_order() {
    let mut table = Table::begin();
    let flood = Flood::start();
    let mut aboard = Aboard::configured(flood.port, None, "");
    aboard.run();
    aboard.has_fix();
    let output = aboard.windrode(&["let-go", "--rode", "40m"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let before = flood.frames.load(Ordering::Relaxed);
    let mut worst = Duration::ZERO;
    let (whole, ()) = timed(|| {
        for rode in [
            "41m", "42m", "43m", "44m", "45m", "46m", "47m", "48m", "49m", "50m",
        ] {
            // An order that is not answered within ten seconds fails.
            let (time, output) = timed(|| aboard.windrode(&["veer", rode]));
            assert_eq!(output.status.code(), Some(0), "{output:?}");
            worst = worst.max(time);
        }
    });
    let frames = flood.frames.load(Ordering::Relaxed) - before;
    let rate = frames as f64 / whole.as_secs_f64();
    assert!(frames > 0, "the stream has ended");
    let output = aboard.windrode(&["acknowledge"]);
    // There may be nothing to acknowledge; the order is answered all the same.
    assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
    let rode = aboard.status().expect("it answers")["picture"]["rodeOut"].clone();
    assert_eq!(rode, 50.0);
    table.row(
        format!("stream as fast as it is read, {rate:.0} frames a second"),
        format!(
            "ten orders answered, the slowest in {:.0} ms",
            worst.as_secs_f64() * 1e3
        ),
        None,
        format!("no order: {rode} m out"),
    );
    assert_eq!(aboard.stop(), Some(0));
}

/// Fills a pipe completely and holds it open, so that the next writer waits.
fn full_pipe(path: &Path) -> File {
    let made = Command::new("mkfifo").arg(path).status();
    assert!(made.expect("mkfifo runs").success());
    let mut options = OpenOptions::new();
    let open = options.read(true).write(true).custom_flags(NOT_BLOCKING);
    let mut pipe = open.open(path).expect("it is opened");
    for line in [[b'\n'; 4096].as_slice(), b"\n"] {
        while pipe.write(line).is_ok() {}
    }
    pipe
}

/// `O_NONBLOCK` of Linux.
const NOT_BLOCKING: i32 = 0o4000;

#[test]
fn standard_error_that_nobody_reads_holds_up_no_order() {
    let mut table = Table::begin();
    let mut aboard = Aboard::alone("");
    let path = aboard.folder().join("stderr");
    let pipe = full_pipe(&path);
    let start = format!("exec 2<>'{}'; exec \"$@\"", path.display());
    aboard.within(&["sh", "-c", &start, "sh"]);
    aboard.run();
    let let_go = ["let-go", "--position", "59.8539,23.26", "--rode", "40m"];
    let output = aboard.windrode(&let_go);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let (time, output) = timed(|| aboard.windrode(&["veer", "45m"]));
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    eventually("the alarm of a boat without data stands", || {
        aboard.alert("dataLink")
    });
    // Finally somebody reads it.
    let log = BufReader::new(File::open(&path).expect("it is there"));
    drop(pipe);
    let (recovered, line) = timed(|| {
        let veered = |line: &String| line.contains("45 m of rode out");
        log.lines().map_while(Result::ok).find(veered)
    });
    assert!(line.is_some());
    table.row(
        "standard error is not read",
        format!("an order answered in {:.0} ms", time.as_secs_f64() * 1e3),
        Some(recovered),
        "nothing: the lines came when it was read",
    );
    assert_eq!(aboard.stop(), Some(0));
}

/// A proxy before the server: requests for its resources are never answered, all others are passed on.
struct Mute {
    port: u16,
    hanging: Arc<AtomicUsize>,
}

impl Mute {
    fn before(server: &SignalK) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let port = listener.local_addr().expect("it has an address").port();
        let mute = Self {
            port,
            hanging: Arc::default(),
        };
        let (hanging, server) = (Arc::clone(&mute.hanging), server.port);
        std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                let hanging = Arc::clone(&hanging);
                std::thread::spawn(move || Self::pass(stream, server, &hanging));
            }
        });
        mute
    }

    fn pass(mut client: TcpStream, server: u16, hanging: &AtomicUsize) -> Option<()> {
        let mut head = Vec::new();
        let mut byte = [0];
        while !head.ends_with(b"\r\n") {
            client.read_exact(&mut byte).ok()?;
            head.push(byte[0]);
        }
        let line = String::from_utf8_lossy(&head).into_owned();
        if line.contains("/signalk/v2/api/resources/") {
            hanging.fetch_add(1, Ordering::Relaxed);
            // Until the other side gives up.
            while client.read(&mut [0; 4096]).is_ok_and(|count| count > 0) {}
            return None;
        }
        if !line.contains("/signalk/v1/stream") {
            // One request a connection, so that each can be inspected.
            head.extend_from_slice(b"Connection: close\r\n");
        }
        let mut onward = TcpStream::connect(("127.0.0.1", server)).ok()?;
        onward.write_all(&head).ok()?;
        let (mut to, mut from) = (onward.try_clone().ok()?, client.try_clone().ok()?);
        std::thread::spawn(move || {
            let _ = std::io::copy(&mut from, &mut to);
            let _ = to.shutdown(std::net::Shutdown::Write);
        });
        let _ = std::io::copy(&mut onward, &mut client);
        let _ = client.shutdown(std::net::Shutdown::Both);
        Some(())
    }
}

/// The number of open descriptors of the process.
fn open_files(aboard: &Aboard) -> usize {
    let folder = format!("/proc/{}/fd", aboard.process());
    std::fs::read_dir(folder).map_or(0, Iterator::count)
}

fn size(aboard: &Aboard) -> u64 {
    let file = std::fs::metadata(aboard.folder().join("journal.db"));
    file.expect("it is there").len()
}

#[test]
fn a_client_that_orders_without_end_fills_neither_log_nor_card_nor_descriptors() {
    const ORDERS: u32 = 400;
    let mut table = Table::begin();
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let mute = Mute::before(&server);
    let mut aboard = Aboard::configured(mute.port, None, "");
    aboard.anchor();
    eventually("the drawings hang", || {
        (mute.hanging.load(Ordering::Relaxed) > 0).then_some(())
    });
    let (files, lines) = (open_files(&aboard), aboard.log().lines().count());
    // At rest the main file has everything written, and the log beside it is empty.
    assert_eq!(aboard.stop(), Some(0));
    let bytes = size(&aboard);
    let began = Reader::open(aboard.folder()).expect("it is read");
    let events = began.events(Timestamp::EPOCH).count();
    aboard.run();
    eventually("the link is up", || {
        let link = aboard.status()?["link"].as_str()?.to_owned();
        link.starts_with("up").then_some(())
    });
    let mut most = 0;
    let (time, ()) = timed(|| {
        block_on(async {
            let mut display = Stream::connect(&server, "subscribe=none", None).await;
            for number in 0..ORDERS {
                let radius = 60 + number % 2;
                let answer = display
                    .request(&json!({
                        "context": "vessels.self",
                        "requestId": format!("order-{number}"),
                        "put": {"path": "navigation.anchor.maxRadius", "value": radius},
                    }))
                    .await;
                assert_eq!(answer["statusCode"], 200, "{answer}");
                most = most.max(open_files(&aboard));
            }
        });
    });
    // A seat for each request that may be in progress, and one for the control socket.
    assert!(
        most <= files + 16 + 6 + 8,
        "{most} descriptors, {files} before"
    );
    assert_eq!(aboard.stop(), Some(0));
    // The log starts again with each run.
    let log = eventually("the log is read to its end", || {
        let log = aboard.log();
        log.contains("stopping: ").then_some(log)
    });
    let logged = log.lines().count();
    // Thirty notes at once and one every ten seconds, plus the session's messages about the server.
    let allowed = 40 + usize::try_from(time.as_secs() / 10).expect("not that long") + 60;
    assert!((10..allowed).contains(&logged), "{logged} lines");
    let grown = (size(&aboard) - bytes) / u64::from(ORDERS);
    let told = Reader::open(aboard.folder()).expect("it is read");
    let told = told.events(Timestamp::EPOCH).count() - events;
    // Each order is an event of about a hundred bytes, plus its inputs.
    assert!(grown < 2048, "{grown} bytes an order");
    table.row(
        format!("{ORDERS} orders in {:.0} s, resources never answer", time.as_secs_f64()),
        format!("each answered; {logged} log lines ({lines} before), {most} descriptors at most ({files} before)"),
        None,
        format!("nothing: {told} events, {grown} bytes of journal an order"),
    );
    drop(instruments);
}
