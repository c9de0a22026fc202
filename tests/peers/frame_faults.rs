//! Frames that no honest server sends, and more honest ones than any boat has. The real process against a server of our
//! own, because the real one sends none of these.

#![expect(
    clippy::expect_used,
    reason = "a test fails and says why if its boat cannot start"
)]

use std::time::Duration;

use serde_json::json;

use super::double::{Double, TERN};
use super::fault_table::{Table, timed};
use super::tern::{Aboard, eventually};

/// Anchored, at this distance.
fn riding() -> (Double, Aboard) {
    let server = Double::start();
    let mut aboard = Aboard::configured(server.port, None, "");
    aboard.anchor();
    server.is_followed(&aboard, 20.0);
    (server, aboard)
}

/// Resident memory of the process, MiB.
fn resident(aboard: &Aboard) -> u64 {
    let path = format!("/proc/{}/status", aboard.process());
    let text = std::fs::read_to_string(path).expect("it runs");
    let line = text.lines().find(|line| line.starts_with("VmRSS:"));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1));
    kilobytes
        .and_then(|k| k.parse::<u64>().ok())
        .expect("a number")
        / 1024
}

#[test]
fn a_monstrous_a_deeply_nested_and_a_garbled_frame_end_no_watch() {
    let mut table = Table::begin();
    let (server, aboard) = riding();
    let before = resident(&aboard);
    let delta = |value: &str| {
        format!(
            r#"{{"context":"{TERN}","updates":[{{"$source":"x","values":[{{"path":"navigation.position","value":{value}}}]}}]}}"#
        )
    };
    let long = delta(&format!("\"{}\"", "x".repeat(10 << 20))).into_bytes();
    let deep = delta(&format!("{}{}", "[".repeat(200_000), "]".repeat(200_000))).into_bytes();
    let mut garbled = delta("\"#\"").into_bytes();
    let place = garbled
        .iter()
        .position(|byte| *byte == b'#')
        .expect("it is in it");
    garbled[place] = 0xff;
    let mut distances = [24.0, 20.0].into_iter().cycle();
    for (fault, payload) in [
        ("10 MB frame", long),
        ("200 000 levels of nesting in a frame", deep),
        ("invalid UTF-8 in a frame", garbled),
    ] {
        let connections = server.greeted();
        let begun = std::time::Instant::now();
        server.send([payload]);
        eventually("it is sent", || server.has_sent());
        let north = distances.next().expect("it has no end");
        server.is_followed(&aboard, north);
        let recovered = begun.elapsed();
        let reconnected = server.greeted() - connections;
        let link = aboard.status().expect("it answers")["link"].clone();
        table.row(
            fault,
            match reconnected {
                0 => format!("nothing: the frame is left out; link {link}"),
                _ => format!("the connection is dropped and made again; link {link}"),
            },
            Some(recovered),
            "that frame",
        );
    }
    let after = resident(&aboard);
    assert!(
        after < before + 64,
        "{before} MiB before, {after} MiB after"
    );
}

#[test]
fn ten_thousand_deltas_a_second_and_five_thousand_other_vessels_hide_no_drag() {
    const SECONDS: usize = 3;
    const RATE: usize = 10_000;
    const VESSELS: usize = 5_000;
    let mut table = Table::begin();
    let (server, aboard) = riding();
    let before = resident(&aboard);
    let wind = |number: usize| {
        let speed = 5.0 + (number % 7) as f64 / 10.0;
        json!({"context": TERN, "updates": [{"$source": "wind.W", "values": [
            {"path": "environment.wind.speedTrue", "value": speed},
        ]}]})
        .to_string()
        .into_bytes()
    };
    let mut slowest = Duration::ZERO;
    let (whole, ()) = timed(|| {
        for second in 0..SECONDS {
            let begun = std::time::Instant::now();
            server.send((0..RATE).map(wind));
            let rode = format!("{}m", 41 + second);
            let (time, output) = timed(|| aboard.windrode(&["veer", &rode]));
            assert_eq!(output.status.code(), Some(0), "{output:?}");
            slowest = slowest.max(time);
            eventually("they are sent", || server.has_sent());
            while let Some(left) = Duration::from_secs(1).checked_sub(begun.elapsed()) {
                std::thread::sleep(left);
            }
        }
    });
    let recovered = server.is_followed(&aboard, 24.0);
    assert_eq!(server.sent(), SECONDS * RATE);
    table.row(
        format!(
            "{:.0} deltas a second for {:.1} s",
            (SECONDS * RATE) as f64 / whole.as_secs_f64(),
            whole.as_secs_f64()
        ),
        format!(
            "nothing; an order is answered in {:.0} ms at most",
            slowest.as_secs_f64() * 1e3
        ),
        Some(recovered),
        "nothing: every order is answered",
    );

    let vessel = |number: usize| {
        let (row, column) = (number / 71, number % 71);
        let latitude = 59.85 + row as f64 * 1e-3;
        let longitude = 23.3 + column as f64 * 2e-3;
        json!({"context": format!("vessels.urn:mrn:imo:mmsi:{}", 230_100_000 + number), "updates": [{"$source": "ais.AI", "values": [
            {"path": "navigation.position", "value": {"latitude": latitude, "longitude": longitude}},
            {"path": "navigation.speedOverGround", "value": 0.1},
            {"path": "", "value": {"name": format!("Vessel {number}")}},
        ]}]})
        .to_string()
        .into_bytes()
    };
    // Received as from a harbour's transponders: not all at the same moment.
    for first in (0..VESSELS).step_by(500) {
        server.send((first..first + 500).map(vessel));
        eventually("they are sent", || server.has_sent());
        std::thread::sleep(Duration::from_millis(300));
    }
    let recovered = server.is_followed(&aboard, 20.0);
    let heard = aboard.status().expect("it answers")["picture"]["vesselsHeard"].clone();
    assert!(heard.as_u64().is_some_and(|heard| heard > 100), "{heard}");
    let grown = resident(&aboard).saturating_sub(before);
    assert!(grown < 64, "{grown} MiB for {VESSELS} vessels");
    // She drags among them.
    let alert = server.drag(&aboard);
    table.row(
        format!("{VESSELS} AIS contexts"),
        format!(
            "a drag among them: {}",
            alert["message"].as_str().unwrap_or_default()
        ),
        Some(recovered),
        format!("nothing of our own; {heard} are heard, {grown} MiB more"),
    );
}
