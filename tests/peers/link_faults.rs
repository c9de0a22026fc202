//! The link to the data server fails: the server restarts again and again, the connection is half open, the server
//! reads slowly, the network cable is pulled. The real process and the real server.

#![expect(
    clippy::expect_used,
    reason = "a test whose boat cannot be set up fails, and says why"
)]

use std::io::Write as _;
use std::os::unix::net::UnixStream;
use std::process::Command;
use std::time::{Duration, Instant};

use serde_json::Value;

use super::ashore::{Manner, Odd, free_port};
use super::cable::Cable;
use super::fault_table::{Table, timed};
use super::tern::{Aboard, Instruments, LONG, eventually, eventually_within, ip};
use super::{Mode, SignalK};

/// Anchored, 20 m off, with the link up.
fn ride(aboard: &mut Aboard, instruments: &Instruments) {
    aboard.anchor();
    instruments.lie_at(20.0);
    eventually("the link is up", || is_up(aboard));
}

fn is_up(aboard: &Aboard) -> Option<()> {
    (aboard.status()?["link"] == "up").then_some(())
}

/// The alarm of a lost data link, at the terminal and on the phone.
fn told(aboard: &Aboard, phone: &Odd) -> String {
    let alert = eventually("the lost link is an alarm", || {
        aboard
            .alert("dataLink")
            .filter(|alert| alert["priority"] == "alarm" && alert["state"] != "normal")
    });
    eventually("the phone is told", || {
        let mut all = phone.posted().into_iter().map(|posted| posted.json());
        all.find(|told| told["hazard"] == "dataLink" && told["priority"] == "alarm")
    });
    alert["message"].as_str().unwrap_or_default().to_owned()
}

/// The time until positions are followed again.
fn recovers(aboard: &Aboard, instruments: &Instruments, distance: f64) -> Duration {
    instruments.lie_at(distance);
    let (recovered, ()) = timed(|| {
        // On a busy computer a server takes minutes to come back, and a jump is doubted at first.
        eventually_within(LONG, "positions are followed again", || {
            let status = aboard.status()?;
            let picture = &status["picture"];
            let now = picture["anchorDistance"].as_f64()?;
            // Once her antenna is known, her bow is 9.1 m nearer to the anchor.
            let right = picture["phase"] != "aweigh" && (now - distance).abs() < 12.0;
            (right && is_up(aboard).is_some()).then_some(())
        });
    });
    recovered
}

#[test]
fn a_server_that_restarts_every_three_seconds_is_told_and_the_watch_goes_on() {
    let mut table = Table::begin();
    let mut server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::with_phones(&server, &phone.as_channel("cook"));
    ride(&mut aboard, &instruments);
    let mut starts = 0;
    let begun = Instant::now();
    while starts < 2 {
        server.kill();
        server.start_again();
        starts += 1;
        // It answers for three seconds, then it is gone again.
        let up = Instant::now();
        while let Some(left) = Duration::from_secs(3).checked_sub(up.elapsed()) {
            std::thread::sleep(left);
        }
    }
    let alarms = phone
        .posted()
        .into_iter()
        .map(|posted| posted.json())
        .filter(|told| told["hazard"] == "dataLink" && told["event"] == "alert")
        .count();
    assert!(
        alarms <= starts + 1,
        "{alarms} messages of {starts} restarts"
    );
    let recovered = recovers(&aboard, &instruments, 34.0);
    let lines = aboard.log().lines().count();
    assert!(lines < 200, "{lines} lines of log");
    table.row(
        format!(
            "server restarts every 3 s, {starts} times in {:.0} s",
            begun.elapsed().as_secs_f64()
        ),
        format!(
            "status shows the link down and up; {alarms} messages on the phone, {lines} lines of log"
        ),
        Some(recovered),
        "positions while it was down; the mark is kept",
    );
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn a_half_open_connection_and_a_server_that_reads_slowly_are_found_out() {
    let mut table = Table::begin();
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let cable = Cable::to(&server);
    let mut aboard = Aboard::configured(cable.port, None, &phone.as_channel("cook"));
    ride(&mut aboard, &instruments);

    let (found, ()) = timed(|| {
        cable.cut();
        eventually("the silence is noticed", || {
            is_up(&aboard).is_none().then_some(())
        });
    });
    let link = aboard.status().expect("it answers")["link"].clone();
    let recovered = recovers(&aboard, &instruments, 34.0);
    table.row(
        "half-open TCP",
        format!(
            "{} after {:.0} s; connected again",
            link.as_str().unwrap_or_default(),
            found.as_secs_f64()
        ),
        Some(recovered),
        "positions of the silence; the mark is kept",
    );

    phone.behave(Manner::Answers("200 OK", String::new()));
    cable.slow_down(20);
    let alert = told(&aboard, &phone);
    let (answer, output) = timed(|| aboard.windrode(&["veer", "41m"]));
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    cable.slow_down(0);
    let recovered = recovers(&aboard, &instruments, 46.0);
    table.row(
        "the server reads 20 bytes a second",
        format!(
            "{alert}; an order at the terminal is answered in {:.0} ms",
            answer.as_secs_f64() * 1e3
        ),
        Some(recovered),
        "nothing: what stands is published again",
    );
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn displays_and_terminals_that_do_not_read_hold_up_nobody() {
    let mut table = Table::begin();
    let port = free_port();
    let mut aboard = Aboard::alone(&format!("[displays]\nlisten = \"127.0.0.1:{port}\"\n"));
    aboard.run();
    let let_go = ["let-go", "--position", "59.8539,23.26", "--rode", "40m"];
    let output = aboard.windrode(&let_go);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let display = eventually("the display is let in", || {
        std::net::TcpStream::connect(("127.0.0.1", port)).ok()
    });
    // A terminal that begins an order and never finishes it.
    let mut terminal = UnixStream::connect(aboard.folder().join("socket")).expect("it listens");
    terminal.write_all(b"{").expect("it is taken");
    let mut worst = Duration::ZERO;
    for number in 0..40 {
        let rode = format!("{}m", 41 + number % 2);
        let (time, output) = timed(|| aboard.windrode(&["veer", &rode]));
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        worst = worst.max(time);
    }
    table.row(
        "slow reader: a display and a terminal that read nothing",
        format!(
            "40 orders answered, the slowest in {:.0} ms",
            worst.as_secs_f64() * 1e3
        ),
        None,
        "nothing",
    );
    drop((display, terminal));
    assert_eq!(aboard.stop(), Some(0));
}

/// A network of windrode's own, joined to this machine's by one cable; removed at the end.
struct Network {
    name: String,
    near: String,
}

impl Network {
    /// The address of this machine's end.
    const HERE: [u8; 4] = [10, 213, 77, 1];

    fn new() -> Self {
        let number = std::process::id() % 100_000;
        let network = Self {
            name: format!("windrode-{number}"),
            near: format!("wr{number}a"),
        };
        let (name, near, far) = (&network.name, &network.near, format!("wr{number}b"));
        let here = std::net::Ipv4Addr::from(Self::HERE);
        ip(&format!("netns add {name}"));
        ip(&format!(
            "link add {near} type veth peer name {far} netns {name}"
        ));
        ip(&format!("addr add {here}/24 dev {near}"));
        ip(&format!("link set {near} up"));
        ip(&format!("-n {name} addr add 10.213.77.2/24 dev {far}"));
        ip(&format!("-n {name} link set {far} up"));
        network
    }

    fn unplugged(&self) {
        ip(&format!("link set {} down", self.near));
    }

    fn plugged_in(&self) {
        ip(&format!("link set {} up", self.near));
    }
}

impl Drop for Network {
    fn drop(&mut self) {
        let _ = Command::new("ip")
            .args(["link", "del", &self.near])
            .status();
        let _ = Command::new("ip")
            .args(["netns", "del", &self.name])
            .status();
    }
}

#[test]
fn a_network_that_is_unplugged_and_plugged_in_is_told_and_found_again() {
    let mut table = Table::begin();
    let network = Network::new();
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let cable = Cable::listening(&server, Network::HERE.into());
    let here = std::net::Ipv4Addr::from(Network::HERE);
    let mut aboard = Aboard::configured(1, None, "");
    aboard.set(
        "WINDRODE__SERVER__URL",
        &format!("ws://{here}:{}", cable.port),
    );
    aboard.within(&["ip", "netns", "exec", &network.name]);
    ride(&mut aboard, &instruments);
    network.unplugged();
    let (found, alert): (Duration, Value) = timed(|| {
        eventually("the lost link is an alarm", || {
            aboard
                .alert("dataLink")
                .filter(|alert| alert["priority"] == "alarm")
        })
    });
    network.plugged_in();
    let recovered = recovers(&aboard, &instruments, 34.0);
    table.row(
        "network namespace unplugged and plugged in",
        format!(
            "{} after {:.0} s",
            alert["message"].as_str().unwrap_or_default(),
            found.as_secs_f64()
        ),
        Some(recovered),
        "positions of that time; the mark is kept",
    );
    assert_eq!(aboard.stop(), Some(0));
}
