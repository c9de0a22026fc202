//! `kill -9` at random moments, while orders arrive and positions stream. The real process and its journal.
//! `WINDRODE_KILLS=200 tests/run kill_faults -- --nocapture` kills it 200 times.

#![expect(
    clippy::expect_used,
    reason = "a test fails and says why if its boat cannot start"
)]

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};
use windrode::journal::Reader;
use windrode::time::Timestamp;

use super::double::Double;
use super::fault_table::{Table, timed};
use super::tern::{Aboard, eventually};

/// As many times as the suite has time for.
const KILLS: usize = 15;
const SEED: u64 = 7;

#[test]
fn kill_9_at_random_moments_under_load_loses_no_order_that_was_answered() {
    let kills = std::env::var("WINDRODE_KILLS").map_or(KILLS, |kills| {
        kills.parse().expect("`WINDRODE_KILLS` is a number")
    });
    let mut table = Table::begin();
    let server = Double::start();
    let mut dice = ChaCha8Rng::seed_from_u64(SEED);
    let mut aboard = Aboard::configured(server.port, None, "");
    aboard.anchor();
    let mut kept = 40_u32;
    let mut answered = 0_u32;
    let mut in_flight = 0_u32;
    let mut slowest = Duration::ZERO;
    for kill in 0..kills {
        let moment = Duration::from_millis(u64::from(dice.next_u32() % 700));
        let dead = AtomicBool::new(false);
        // The last order with an answer, and the one without an answer yet.
        let (done, open) = std::thread::scope(|scope| {
            let boat = &aboard;
            let dead = &dead;
            let orders = scope.spawn(move || {
                let mut done = kept;
                let mut count = 0_u32;
                loop {
                    let next = 40 + (done + 1) % 50;
                    let output = boat.windrode(&["veer", &format!("{next}m")]);
                    if output.status.code() != Some(0) {
                        assert!(dead.load(Ordering::SeqCst), "{output:?}");
                        return ((done, count), next);
                    }
                    let said = String::from_utf8_lossy(&output.stdout).into_owned();
                    assert!(!said.contains("NOT ON DISK"), "{said}");
                    done = next;
                    count += 1;
                }
            });
            let begun = Instant::now();
            while let Some(left) = moment.checked_sub(begun.elapsed()) {
                std::thread::sleep(left);
            }
            dead.store(true, Ordering::SeqCst);
            let killed = std::process::Command::new("kill")
                .args(["-9", &boat.process().to_string()])
                .status();
            assert!(killed.expect("kill runs").success());
            orders.join().expect("each order is answered or it is dead")
        });
        answered += done.1;
        aboard.kill();
        let (recovered, ()) = timed(|| aboard.run());
        slowest = slowest.max(recovered);
        let status = eventually("it answers", || aboard.status());
        let picture = &status["picture"];
        assert_eq!(picture["phase"], "setting", "kill {kill}: {status}");
        assert!(picture["anchor"].is_object(), "kill {kill}: {status}");
        assert!(status["journal"].is_null(), "kill {kill}: {status}");
        let rode = &picture["rodeOut"];
        if *rode == f64::from(open) {
            in_flight += 1;
            kept = open;
        } else {
            assert_eq!(*rode, f64::from(done.0), "kill {kill}: or {open} m");
            kept = done.0;
        }
    }
    assert!(answered > 0, "there was no load");
    assert_eq!(aboard.stop(), Some(0));
    // The remaining journal is intact.
    let file = aboard.folder().join("journal.db");
    let database = rusqlite::Connection::open(file).expect("it is opened");
    let verdict: String = database
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .expect("it is read");
    assert_eq!(verdict, "ok");
    let reader = Reader::open(aboard.folder()).expect("the journal is whole");
    let events: Result<Vec<_>, _> = reader.events(Timestamp::EPOCH).collect();
    let events = events.expect("they are read").len();
    let runs = reader.runs(u32::MAX).expect("they are read");
    assert_eq!(runs.len(), kills + 1);
    let inputs: usize = runs
        .iter()
        .map(|run| {
            let entries = reader.entries(run.id);
            entries
                .inspect(|entry| assert!(entry.is_ok(), "{entry:?}"))
                .count()
        })
        .sum();
    assert!(inputs > 0, "the journal keeps inputs");
    table.row(
        format!("kill -9 at {kills} random moments under load (seed {SEED})"),
        "the mark, the phase and the rode as answered, after each; that it was blind, and since when",
        Some(slowest),
        format!(
            "no answered order of {answered}; {in_flight} without an answer were done too; {events} events and {inputs} inputs kept, what came less than 5 s before a kill is not"
        ),
    );
}
