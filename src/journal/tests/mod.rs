//! The journal as a whole; the modules below test its failures.

#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]

mod bounds;
mod channels;
mod outbox;
mod power;
mod refusals;
mod rescue;
mod soundings;
mod thread;

use std::fs;
use std::path::PathBuf;

use tempfile::TempDir;

use super::*;
use crate::geodesy::Position;
use crate::units::{Bearing, Metres};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::drag::Origin;
use crate::watch::messages::{EventKind, Input};
use crate::watch::saved::SavedMark;

const BATCH: Duration = Duration::from_secs(30);

fn evening() -> Timestamp {
    "2026-06-01T21:30:00Z".parse().unwrap()
}

fn at(secs: u64) -> Now {
    Now::new(Tick::START, evening()).plus(Duration::from_secs(secs))
}

fn open(dir: &Path) -> (Journal, Recovered) {
    Journal::open(dir, BATCH, at(0)).unwrap()
}

fn refusal(dir: &Path) -> JournalError {
    Journal::open(dir, BATCH, at(0)).unwrap_err()
}

/// A state with the anchor down; `number` distinguishes one state from another.
fn state(number: u64) -> Saved {
    Saved {
        phase: AnchorPhase::Set,
        phase_since: Some(evening()),
        mark: Some(SavedMark {
            position: Position::new(59.853_901_234_567_8, 23.260_004).unwrap(),
            doubt: Metres::of(2.1),
            lever: Metres::ZERO,
            origin: Some(Origin::Fix),
            let_go: evening(),
            depth: Some(Metres::of(6.4)),
            rode: Some(Metres::of(32.0)),
            max_radius: None,
            wind: Some(Bearing::from_degrees(217.0)),
            made: None,
            found: None,
        }),
        raises: number,
        ..Saved::default()
    }
}

fn event(secs: u64, message: &str) -> Event {
    Event {
        time: at(secs).utc,
        event: EventKind::Note,
        hazard: None,
        priority: None,
        message: message.to_owned(),
        evidence: serde_json::Map::new(),
    }
}

fn timeout(secs: u64) -> Entry {
    Entry {
        now: at(secs),
        input: Input::Timeout,
    }
}

/// The file as it is now, without closing it: what a power cut would leave.
fn snapshot(dir: &Path) -> TempDir {
    let copy = tempfile::tempdir().unwrap();
    for name in ["journal.db", "journal.db-wal"] {
        fs::copy(dir.join(name), copy.path().join(name)).unwrap();
    }
    copy
}

/// Size of the track in bytes, compressed.
fn track_held(journal: &Journal) -> i64 {
    let sql = "SELECT coalesce(sum(length(lines)), 0) FROM batch";
    let connection = &journal.reader.connection;
    connection.query_row(sql, [], |row| row.get(0)).unwrap()
}

fn database(dir: &Path) -> PathBuf {
    dir.join("journal.db")
}

#[test]
fn state_events_and_track_come_back_after_a_clean_stop() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, first) = open(dir.path());
    assert_eq!(first.saved, Saved::default());
    assert_eq!((first.last_seen(), first.clean_stop()), (None, true));
    journal.note_settings("drag.margin = 6 m").unwrap();
    let entries: Vec<Entry> = (0..70).map(timeout).collect();
    for entry in &entries {
        journal.record(entry.clone()).unwrap();
    }
    journal
        .commit(at(70), &state(1), &[event(1, "let go"), event(70, "set")])
        .unwrap();
    journal.close(at(90)).unwrap();

    let (journal, second) = open(dir.path());
    assert_eq!(second.saved, state(1));
    assert!(second.clean_stop());
    assert_eq!(second.last_seen(), Some(at(90).utc));
    assert_eq!(second.identities, first.identities);
    let run = second.previous.unwrap();
    assert_eq!(run.id, first.run);
    assert_eq!(run.settings.as_deref(), Some("drag.margin = 6 m"));
    assert_eq!(run.restored, Saved::default());
    assert_eq!((run.dropped, run.started), (0, evening()));
    let read: Vec<Entry> = journal
        .reader()
        .entries(run.id)
        .map(Result::unwrap)
        .collect();
    assert_eq!(read, entries);
    let messages = |since| -> Vec<String> {
        let events = journal.reader().events(since);
        events.map(|event| event.unwrap().message).collect()
    };
    assert_eq!(messages(evening()), ["let go", "set"]);
    assert_eq!(messages(at(2).utc), ["set"]);
    assert_eq!(journal.reader().entries(second.run).count(), 0);
}
