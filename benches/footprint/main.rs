//! What the watch costs aboard, compared with an idle Node client of the same server on the same feed in the same
//! run.
//!
//! `cargo bench --bench footprint` starts the real Signal K server (`tests/peers/install`), a busy anchorage on it
//! ([`boat`]: 100 deltas a second, 200 transponders), the release build of windrode at anchor with a phone, and the
//! idle client (`idle.js`). It prints one table with limits and the ratio to the client, and ends with an error if a
//! limit is exceeded. `-- --seconds 60 --alarms 40` sets how long the load is measured and how many alarms are timed;
//! these are the defaults, twelve minutes in all.
//!
//! It reads processor time, not wall time, and shows the ratio as well: on a busy machine both grow. The delay of an
//! alarm starts with the fix that makes it due: the boat is outside the crew's own circle of [`CIRCLE`] for [`HOLD`],
//! which ends with the sixth fix. The delay ends when a second client gets the notification. The server forwards two
//! deltas in that time. The second client also sends each fix's number through the server; that time is the server's
//! share and is subtracted.

#![allow(
    missing_docs,
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::expect_used,
    clippy::panic,
    reason = "a bench measures real time, prints a table and stops if a peer is missing"
)]

mod aboard;
mod boat;
#[path = "../common/mod.rs"]
mod common;

use std::process::ExitCode;
use std::sync::mpsc::Receiver;
use std::time::{Duration, Instant};

use serde_json::json;

use self::aboard::{Aboard, Idle, Phone, Server};
use self::boat::{Boat, FIX_INTERVAL, Saw};
use self::common::{Used, option, resident};

fn main() -> ExitCode {
    let seconds = option("--seconds", 60);
    let alarms = option("--alarms", 40);
    let binary = aboard::binary();
    let server = Server::start();
    let boat = Boat::on(server.port);
    let display = boat::display(server.port);
    let phone = Phone::start();
    let mut aboard = Aboard::of(binary, server.port, phone.port);
    aboard.run();
    anchor(&boat, &aboard, &display);

    let mut table = Table::default();
    let starts = starts(&mut aboard, &display);
    let (idle, idle_start) = Idle::start(server.port);
    table.row(
        "binary, stripped",
        aboard.binary_bytes() as f64 / 1e6,
        14.0,
        "MB",
        None,
    );
    table.row(
        "start to watching, median of 9",
        middle(&starts),
        200.0,
        "ms",
        Some(idle_start),
    );

    // Time for caches to fill and the neighbours to be learned.
    pause(Duration::from_secs(30));
    let (ours, theirs) = load(&aboard, &idle, Duration::from_secs(seconds));
    let span = seconds as f64;
    let percent = |used: Used| 100.0 * used.cpu / span;
    table.row(
        "processor",
        percent(ours),
        2.0,
        "% of a core",
        Some(percent(theirs)),
    );
    let a_second = |used: Used| used.wakes as f64 / span;
    table.row(
        "wake-ups a second",
        a_second(ours),
        150.0,
        "",
        Some(a_second(theirs)),
    );
    let a_day = ours.written as f64 * 86_400.0 / span / 1e6;
    table.row("written to the card a day", a_day, 400.0, "MB", None);
    table.row(
        "resident memory",
        resident(aboard.pid()),
        20.0,
        "MB",
        Some(resident(idle.pid())),
    );

    let delays = delays(
        &boat,
        &aboard,
        &display,
        usize::try_from(alarms).unwrap_or(1),
    );
    table.row(
        "fix to alarm, median",
        share(&delays, 0.5),
        10.0,
        "ms",
        None,
    );
    table.row("fix to alarm, 99 %", share(&delays, 0.99), 10.0, "ms", None);
    table.row(
        "fix to alarm, longest",
        share(&delays, 1.0),
        f64::INFINITY,
        "ms",
        None,
    );
    assert!(phone.pictures() > 0, "no picture went out");
    pause(Duration::from_secs(10));
    let what = format!("resident after {} pictures", phone.pictures());
    table.row(
        &what,
        resident(aboard.pid()),
        20.0,
        "MB",
        Some(resident(idle.pid())),
    );
    drop((boat, idle, aboard, server));
    table.print()
}

/// Lets go at the berth and falls back; then the crew's own circle is set.
fn anchor(boat: &Boat, aboard: &Aboard, display: &Receiver<Saw>) {
    pause(Duration::from_secs(5));
    aboard.order(&["let-go", "--rode", "40m"]);
    for metres in 1..=26 {
        boat.lie_at(f64::from(metres));
        pause(Duration::from_millis(500));
    }
    aboard.order(&["circle", CIRCLE]);
    while display.try_recv().is_ok() {}
}

/// Milliseconds from the start of the process until a second client sees that she is at anchor and watched.
fn starts(aboard: &mut Aboard, display: &Receiver<Saw>) -> Vec<f64> {
    let mut took = Vec::new();
    for _ in 0..9 {
        aboard.stop();
        pause(Duration::from_secs(1));
        while display.try_recv().is_ok() {}
        let begun = Instant::now();
        aboard.run();
        let seen = wait(display, "the phase", |saw| {
            saw.path == "navigation.anchor.watch.phase" && saw.value != json!("aweigh")
        });
        took.push(millis(seen.at - begun));
    }
    took
}

fn load(aboard: &Aboard, idle: &Idle, span: Duration) -> (Used, Used) {
    let before = (Used::of(aboard.pid()), Used::of(idle.pid()));
    pause(span);
    (
        Used::of(aboard.pid()).since(before.0),
        Used::of(idle.pid()).since(before.1),
    )
}

/// Milliseconds from the fix to the alarm, minus the server's share, many times.
fn delays(boat: &Boat, aboard: &Aboard, display: &Receiver<Saw>, count: usize) -> Vec<f64> {
    let mut delays = Vec::new();
    let mut strays = 0;
    while delays.len() < count {
        assert!(
            strays <= count,
            "the alarm does not come with the fix that is due"
        );
        while display.try_recv().is_ok() {}
        boat.lie_at(OUTSIDE);
        match delay(display) {
            Some(delay) => delays.push(delay),
            None => strays += 1,
        }
        boat.lie_at(INSIDE);
        aboard.order(&["acknowledge"]);
        wait(display, "the end of the alarm", |saw| {
            saw.path == ALARM && saw.value["state"] == "normal"
        });
        pause(Duration::from_millis(500));
    }
    if strays > 0 {
        println!("{strays} alarms were not counted, because their fix came late");
    }
    delays
}

/// `None` if the fix that makes the alarm due cannot be identified: one came too early or too late.
fn delay(display: &Receiver<Saw>) -> Option<f64> {
    let mut fixes: Vec<(u64, Instant)> = Vec::new();
    let mut echoes = Vec::new();
    let mut alarm = None;
    let until = Instant::now() + Duration::from_secs(10);
    while alarm.is_none() || echoes.len() < fixes.len() {
        let left = until.saturating_duration_since(Instant::now());
        let saw = display.recv_timeout(left).expect("an alarm within 10 s");
        match saw.path.as_str() {
            "navigation.position" if alarm.is_none() => {
                fixes.push((saw.value.as_u64().unwrap_or(0), saw.at));
            }
            boat::ECHO => echoes.push((saw.value.as_u64().unwrap_or(0), saw.at)),
            ALARM if saw.value["state"] != "normal" && alarm.is_none() => alarm = Some(saw.at),
            _ => {}
        }
    }
    // The first fix may still have been inside.
    let alarm = alarm?;
    let due = |first: usize| {
        let (_, begun) = fixes.get(first)?;
        fixes
            .iter()
            .skip(first)
            .find(|(_, at)| at.duration_since(*begun) >= HOLD)
    };
    let (number, at) = *due(0).filter(|_| fixes.len() <= 7).or_else(|| due(1))?;
    let sure = fixes.windows(2).all(|pair| {
        let gap = pair[1].1.duration_since(pair[0].1);
        gap > FIX_INTERVAL * 3 / 4 && gap < FIX_INTERVAL * 5 / 4
    });
    let echo = echoes.iter().find(|(of, _)| *of == number)?.1;
    (sure && alarm >= at).then(|| millis_between(echo, alarm))
}

/// Signed, because the alarm may overtake the echo.
fn millis_between(from: Instant, to: Instant) -> f64 {
    millis(to.saturating_duration_since(from)) - millis(from.saturating_duration_since(to))
}

fn wait(display: &Receiver<Saw>, what: &str, found: impl Fn(&Saw) -> bool) -> Saw {
    let until = Instant::now() + Duration::from_secs(60);
    loop {
        let left = until.saturating_duration_since(Instant::now());
        match display.recv_timeout(left) {
            Ok(saw) if found(&saw) => return saw,
            Ok(_) => {}
            Err(error) => panic!("{what} did not come within a minute: {error}"),
        }
    }
}

#[derive(Default)]
struct Table {
    rows: Vec<String>,
    failed: bool,
}

impl Table {
    fn row(&mut self, what: &str, value: f64, limit: f64, unit: &str, node: Option<f64>) {
        let kept = value < limit;
        self.failed |= !kept;
        let (limit, verdict) = match (limit.is_finite(), kept) {
            (false, _) => (String::new(), ""),
            (true, true) => (format!("< {limit:.0}"), "kept"),
            (true, false) => (format!("< {limit:.0}"), "NOT KEPT"),
        };
        let (node, ratio) = node.map_or((String::new(), String::new()), |node| {
            (format!("{node:.2}"), format!("{:.2}", value / node))
        });
        let row =
            format!("{what:<32}{value:>9.2}  {unit:<12}{limit:>7}{node:>12}{ratio:>8}  {verdict}");
        eprintln!("{row}");
        self.rows.push(row);
    }

    fn print(&self) -> ExitCode {
        println!(
            "\n{:<32}{:>9}  {:<12}{:>7}{:>12}{:>8}",
            "", "windrode", "", "limit", "idle Node", "ratio"
        );
        for row in &self.rows {
            println!("{row}");
        }
        if self.failed {
            ExitCode::FAILURE
        } else {
            ExitCode::SUCCESS
        }
    }
}

fn share(values: &[f64], share: f64) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place in a list"
    )]
    let place = ((sorted.len() as f64 * share).ceil() as usize).clamp(1, sorted.len());
    sorted[place - 1]
}

fn middle(values: &[f64]) -> f64 {
    share(values, 0.5)
}

fn millis(duration: Duration) -> f64 {
    duration.as_secs_f64() * 1000.0
}

fn pause(duration: Duration) {
    std::thread::sleep(duration);
}

/// Distance from the mark to the boat's centre, which is 5.6 m behind the bow roller.
const CIRCLE: &str = "37m";
/// Distance of the bow roller when she is well inside.
const INSIDE: f64 = 26.0;
/// The same when she is outside.
const OUTSIDE: f64 = 34.0;
const HOLD: Duration = Duration::from_millis(1100);
const ALARM: &str = "notifications.navigation.anchor.swingExceeded";
