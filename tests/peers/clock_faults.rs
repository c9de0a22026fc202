//! A clock that is wrong, set, and set again, and a phone link that is down for an hour, on a fast clock. The process
//! is real; a small library provides its clock.

#![expect(
    clippy::expect_used,
    reason = "a test fails and says why if its boat cannot start"
)]

use std::time::Duration;

use serde_json::Value;

use super::ashore::{Manner, Odd};
use super::double::Double;
use super::fault_table::{Table, timed};
use super::shim::Shim;
use super::tern::{Aboard, eventually};

fn alerts(aboard: &Aboard) -> Vec<String> {
    let status = aboard.status().expect("it answers");
    let alerts = status["alerts"].as_array().cloned().unwrap_or_default();
    let words = |alert: Value| alert["message"].as_str().unwrap_or_default().to_owned();
    alerts.into_iter().map(words).collect()
}

#[test]
fn a_clock_a_year_back_a_day_ahead_or_in_1970_moves_no_mark_and_hides_no_drag() {
    let mut table = Table::begin();
    let shim = Shim::new();
    let server = Double::start();
    let mut aboard = Aboard::configured(server.port, None, "");
    shim.under(&mut aboard);
    aboard.anchor();
    server.is_followed(&aboard, 20.0);
    for (how, fault) in [
        ("year back", "clock back a year"),
        ("day ahead", "clock forward a day"),
    ] {
        shim.fails(how);
        server.is_followed(&aboard, 24.0);
        let during = alerts(&aboard);
        // Power is cut while the clock is wrong: the state is the same before and after a year that never passed.
        aboard.kill();
        aboard.run();
        server.is_followed(&aboard, 22.0);
        shim.is_mended(how);
        let recovered = server.is_followed(&aboard, 20.0);
        let saw = if during.is_empty() {
            "nothing: she is followed".to_owned()
        } else {
            during.join("; ")
        };
        table.row(
            fault,
            saw,
            Some(recovered),
            "nothing: mark and phase are kept, over a power cut too",
        );
    }
    aboard.kill();
    // Without a clock chip it boots in 1970 with the anchor down, and the time arrives later.
    shim.fails("1970");
    aboard.run();
    server.is_followed(&aboard, 24.0);
    let status = eventually("it answers", || aboard.status());
    assert_eq!(status["picture"]["rodeOut"], 40.0, "{status}");
    let during = alerts(&aboard);
    shim.is_mended("1970");
    let recovered = server.is_followed(&aboard, 20.0);
    let saw = if during.is_empty() {
        "nothing: she is followed".to_owned()
    } else {
        during.join("; ")
    };
    table.row(
        "booting in 1970, the clock set later",
        saw,
        Some(recovered),
        "nothing: mark and rode are kept",
    );
    // She drags with the clock a year back again.
    shim.fails("year back");
    server.drag(&aboard);
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn a_phone_link_that_is_gone_for_an_hour_brings_the_alarm_once_when_it_is_back() {
    /// An hour takes a quarter of a minute.
    const TIMES: u32 = 240;
    const HOUR: Duration = Duration::from_secs(3600 / TIMES as u64);
    let mut table = Table::begin();
    let shim = Shim::new();
    let phone = Odd::start(Manner::Answers("503 Service Unavailable", String::new()));
    let mut aboard = Aboard::alone(&phone.as_channel("cook"));
    shim.under(&mut aboard);
    Shim::quickens(&mut aboard, TIMES);
    aboard.run();
    let let_go = ["let-go", "--position", "59.8539,23.26", "--rode", "40m"];
    aboard.order(&let_go);
    let alarm = |posted: &super::ashore::Request| {
        let told = posted.json();
        told["hazard"] == "dataLink" && told["priority"] == "alarm" && told["event"] == "alert"
    };
    eventually("the alarm is tried", || {
        phone.posted().iter().any(alarm).then_some(())
    });
    // Waits for the hour by the real clock, because nothing else shows that it is over.
    let begun = std::time::Instant::now();
    while let Some(left) = HOUR.checked_sub(begun.elapsed()) {
        std::thread::sleep(left);
    }
    let tries = phone.posted().len();
    let health = aboard.status().expect("it answers")["phones"][0].clone();
    assert_eq!(health["state"], "failing", "{health}");
    // Constant retries would cost the boat her data volume, too few would miss the chance.
    assert!((10..400).contains(&tries), "{tries} tries in an hour");
    let (recovered, back) = timed(|| {
        phone.behave(Manner::Answers("200 OK", String::new()));
        eventually("the alarm comes", || {
            phone
                .posted()
                .get(tries..)?
                .iter()
                .find(|p| alarm(p))
                .cloned()
        })
    });
    eventually("the channel works", || {
        (aboard.status()?["phones"][0]["state"] == "working").then_some(())
    });
    // What waited an hour is one message, not an hour's worth of messages.
    let id = back.json()["id"].clone();
    let delivered = phone.posted()[tries..]
        .iter()
        .filter(|posted| posted.json()["id"] == id)
        .count();
    table.row(
        format!("phone link gone for an hour (clock {TIMES} times as fast)"),
        format!(
            "{}: {}; {tries} tries",
            health["state"].as_str().unwrap_or_default(),
            health["trouble"].as_str().unwrap_or_default()
        ),
        Some(recovered * TIMES),
        "nothing: the alarm, an hour late, as it stands",
    );
    assert_eq!(delivered, 1);
    assert_eq!(aboard.stop(), Some(0));
}
