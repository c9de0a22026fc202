#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss
)]

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::path::PathBuf;
use std::process::{Command, Stdio};

use proptest::prelude::*;
use tempfile::TempDir;

use super::*;
use crate::geodesy::Position;
use crate::observation::{Fact, Label, Report, Subject};
use crate::time::Tick;
use crate::units::{Angle, Bearing, Metres, Speed};
use crate::watch::words::{EventKind, Input, LinkState, Mark, Phase};

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

/// The anchor down; `number` tells one state from another.
fn state(number: u64) -> Saved {
    Saved {
        phase: Phase::Set,
        phase_since: Some(evening()),
        mark: Some(Mark {
            position: Position::new(59.853_901_234_567_8, 23.260_004).unwrap(),
            doubt: Metres::of(2.1),
            let_go: evening(),
            depth: Some(Metres::of(6.4)),
            rode: Some(Metres::of(32.0)),
            max_radius: None,
            wind: Some(Bearing::from_degrees(217.0)),
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

/// As the file stands now, without closing it: what a power cut would leave.
fn snapshot(dir: &Path) -> TempDir {
    let copy = tempfile::tempdir().unwrap();
    for name in ["journal.db", "journal.db-wal"] {
        fs::copy(dir.join(name), copy.path().join(name)).unwrap();
    }
    copy
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

#[test]
fn a_power_cut_loses_no_commit_and_at_most_a_batch_of_track() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    journal
        .commit(at(5), &state(1), &[event(5, "let go")])
        .unwrap();
    for secs in 6..=100 {
        journal.record(timeout(secs)).unwrap();
    }
    let (journal, recovered) = open(snapshot(dir.path()).path());
    assert_eq!(recovered.saved, state(1));
    assert!(!recovered.clean_stop());
    // Blind since: known to within a batch.
    let last_seen = recovered.last_seen().unwrap();
    assert!(
        last_seen > at(100 - 30).utc && last_seen <= at(100).utc,
        "{last_seen}"
    );
    let run = recovered.previous.unwrap().id;
    let kept = journal.reader().entries(run).count();
    assert!((95 - 30..=95).contains(&kept), "{kept}");
}

#[test]
fn a_commit_takes_the_track_along() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    journal.record(timeout(1)).unwrap();
    journal.commit(at(2), &state(1), &[]).unwrap();
    let (copy, _) = open(snapshot(dir.path()).path());
    assert_eq!(copy.reader().entries(this.run).count(), 1);
}

#[test]
fn a_sign_of_life_is_written_once_a_batch() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    let before = journal.writes();
    for secs in 0..300 {
        journal.mark_alive(at(secs)).unwrap();
    }
    assert_eq!(journal.writes() - before, 9);
    let (_, recovered) = open(snapshot(dir.path()).path());
    assert_eq!(recovered.last_seen(), Some(at(270).utc));
}

/// A clock that is set back or far ahead changes nothing that matters.
#[test]
fn a_jumping_clock_neither_loses_the_state_nor_deletes_the_night() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    for secs in 0..100 {
        journal.record(timeout(secs)).unwrap();
    }
    let future = Now::new(
        Tick::from_secs(100),
        "2099-01-01T00:00:00Z".parse().unwrap(),
    );
    journal
        .commit(future, &state(1), &[event(3, "let go")])
        .unwrap();
    journal.prune(future, Duration::from_hours(24)).unwrap();
    let past = Now::new(Tick::from_secs(101), Timestamp::EPOCH);
    journal
        .record(Entry {
            now: past,
            input: Input::Timeout,
        })
        .unwrap();
    journal.commit(past, &state(2), &[]).unwrap();
    journal.prune(past, Duration::from_hours(24)).unwrap();
    let (journal, recovered) = open(snapshot(dir.path()).path());
    assert_eq!(recovered.saved, state(2));
    assert_eq!(journal.reader().entries(this.run).count(), 101);
}

#[test]
fn old_track_is_deleted_by_age_and_the_state_never() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, first) = open(dir.path());
    for secs in 0..200 {
        journal.record(timeout(secs)).unwrap();
    }
    journal.commit(at(200), &state(7), &[]).unwrap();
    journal.close(at(200)).unwrap();

    let day = Duration::from_hours(24);
    let next = Now::new(Tick::START, evening().plus(day));
    let (mut journal, second) = Journal::open(dir.path(), BATCH, next).unwrap();
    let count = |journal: &Journal, run| journal.reader().entries(run).count();
    journal.prune(next, day).unwrap();
    assert_eq!(count(&journal, first.run), 200);
    let later = next.plus(Duration::from_secs(100));
    journal.prune(later, day).unwrap();
    let left = count(&journal, first.run);
    assert!((100..=130).contains(&left), "{left}");
    journal
        .record(Entry {
            now: later,
            input: Input::Timeout,
        })
        .unwrap();
    journal.flush(later).unwrap();
    journal.prune(later.plus(day), day).unwrap();
    assert_eq!(count(&journal, second.run), 1);
    journal.prune(later.plus(day + BATCH), day).unwrap();
    assert_eq!(count(&journal, second.run), 0);
    assert_eq!(journal.reader().saved().unwrap(), state(7));
}

#[test]
fn the_track_is_bounded_by_size_whatever_the_clock_says() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    let big = vec![0_u8; 200];
    for tick in 0..7 {
        journal
            .write(|transaction| {
                transaction.execute(
                    "INSERT INTO batch (run, first_tick, last_tick, first_utc, last_utc, entries, lines)
                     VALUES (?1, ?2, ?2, 0, 0, 1, ?3)",
                    params![this.run, tick, big],
                )
            })
            .unwrap();
    }
    journal
        .prune_within(at(10), Duration::from_hours(24), 1024)
        .unwrap();
    let left: (i64, i64) = journal
        .reader
        .connection
        .query_row("SELECT count(*), min(first_tick) FROM batch", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
        .unwrap();
    // Five times 200 bytes fit into 1024; the oldest two are gone.
    assert_eq!(left, (5, 2));
}

#[test]
fn events_and_idle_runs_are_bounded_by_number() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    journal
        .write(|transaction| {
            transaction.execute(
                "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 50100)
                 INSERT INTO event (run, time, line) SELECT 1, i, '{}' FROM n",
                [],
            )?;
            transaction.execute("UPDATE run SET id = 5000 WHERE id = ?1", params![this.run])?;
            transaction.execute(
                "INSERT INTO run (id, started, last_seen, version, restored) VALUES (3, 0, 0, '', '')",
                [],
            )
        })
        .unwrap();
    journal.run = 5000;
    journal.prune(at(1), Duration::from_hours(24)).unwrap();
    let count = |sql: &str| -> i64 {
        let connection = &journal.reader.connection;
        connection.query_row(sql, [], |row| row.get(0)).unwrap()
    };
    assert_eq!(count("SELECT count(*) FROM event"), 50_000);
    assert_eq!(count("SELECT min(time) FROM event"), 101);
    assert_eq!(count("SELECT count(*) FROM run"), 1);
}

#[test]
fn a_second_daemon_is_refused_and_readers_are_not() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    assert_eq!(
        refusal(dir.path()),
        JournalError::InUse {
            file: database(dir.path())
        }
    );
    journal.commit(at(1), &state(3), &[]).unwrap();
    let reader = Reader::open(dir.path()).unwrap();
    assert_eq!(reader.saved().unwrap(), state(3));
    assert_eq!(reader.last_run().unwrap().unwrap().id, this.run);
    // While somebody reads, the daemon writes on.
    journal.commit(at(2), &state(4), &[]).unwrap();
    assert_eq!(reader.saved().unwrap(), state(4));
    drop(journal);
    assert_eq!(open(dir.path()).1.saved, state(4));
}

#[test]
fn a_damaged_journal_is_an_error_and_is_left_as_it_was() {
    let sound = {
        let dir = tempfile::tempdir().unwrap();
        let (mut journal, _) = open(dir.path());
        let events: Vec<Event> = (0..200).map(|n| event(n, "a line in the log")).collect();
        journal.commit(at(1), &state(3), &events).unwrap();
        journal.close(at(2)).unwrap();
        fs::read(database(dir.path())).unwrap()
    };
    let page = 4096;
    let mut torn_header = sound.clone();
    torn_header[..page].fill(0);
    // SQLite's file format: a leaf page's first byte is 2, 5, 10 or 13.
    let mut torn_pages = sound.clone();
    torn_pages[page..].fill(0xAA);
    for (content, how) in [
        (Vec::new(), "it is empty"),
        (sound[..sound.len() / 2].to_vec(), ""),
        (sound[..page / 2].to_vec(), ""),
        (torn_header, ""),
        (torn_pages, ""),
        (
            b"a text somebody put there by mistake".repeat(300),
            "file is not a database",
        ),
    ] {
        let dir = tempfile::tempdir().unwrap();
        fs::write(database(dir.path()), &content).unwrap();
        let error = refusal(dir.path());
        assert!(matches!(error, JournalError::Damaged { .. }), "{error}");
        let text = error.to_string();
        assert!(
            text.starts_with(&format!(
                "the journal `{}` is damaged: {how}",
                database(dir.path()).display()
            )),
            "{text}"
        );
        assert!(text.contains("let go anew"), "{text}");
        assert_eq!(fs::read(database(dir.path())).unwrap(), content);
    }
}

#[test]
fn a_state_that_cannot_be_understood_is_an_error() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    journal.commit(at(1), &state(3), &[]).unwrap();
    let sql = "UPDATE saved SET state = '{\"phase\":\"afloat\"}'";
    journal
        .write(|transaction| transaction.execute(sql, []))
        .unwrap();
    drop(journal);
    let text = refusal(dir.path()).to_string();
    assert!(
        text.contains("the saved state: unknown variant `afloat`"),
        "{text}"
    );
}

#[test]
fn a_damaged_batch_is_told_and_the_next_one_is_read() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    for secs in 0..3 {
        journal.record(timeout(secs)).unwrap();
        journal.flush(at(secs)).unwrap();
    }
    let flip = "UPDATE batch SET lines = substr(lines, 1, 20) || x'FFFF' || substr(lines, 23) WHERE id = 2";
    // Concatenation makes text of it.
    let flip = flip
        .replace("substr(lines, 1", "CAST(substr(lines, 1")
        .replace("lines, 23)", "lines, 23) AS BLOB)");
    journal
        .write(|transaction| transaction.execute(&flip, []))
        .unwrap();
    let read: Vec<bool> = journal
        .reader()
        .entries(this.run)
        .map(|entry| entry.is_ok())
        .collect();
    assert_eq!(read, [true, false, true]);
    let errors: Vec<String> = journal
        .reader()
        .entries(this.run)
        .filter_map(|entry| Some(entry.err()?.to_string()))
        .collect();
    assert!(errors[0].contains("batch 2 of the track"), "{errors:?}");
}

#[test]
fn a_foreign_or_later_file_is_refused() {
    let dir = tempfile::tempdir().unwrap();
    let foreign = Connection::open(database(dir.path())).unwrap();
    foreign
        .execute_batch("CREATE TABLE stores (tins INTEGER)")
        .unwrap();
    drop(foreign);
    assert_eq!(
        refusal(dir.path()).to_string(),
        format!(
            "`{}` is no journal of windrode (a database with application id 0); move it away or set another `journal.directory`",
            database(dir.path()).display()
        )
    );

    let dir = tempfile::tempdir().unwrap();
    let (journal, _) = open(dir.path());
    journal
        .reader
        .connection
        .pragma_update(None, "user_version", 2)
        .unwrap();
    drop(journal);
    assert_eq!(
        refusal(dir.path()),
        JournalError::Newer {
            file: database(dir.path()),
            found: 2,
            known: 1
        }
    );
}

#[test]
fn remains_of_a_deleted_journal_do_not_pass_for_a_new_one() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    journal.commit(at(1), &state(3), &[]).unwrap();
    let copy = snapshot(dir.path());
    fs::remove_file(database(copy.path())).unwrap();
    let text = refusal(copy.path()).to_string();
    assert!(
        text.contains("its write-ahead log is still there"),
        "{text}"
    );
    assert!(!database(copy.path()).exists());
}

#[test]
fn an_interrupted_first_start_is_no_damage() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("journal.db.new"), "half").unwrap();
    fs::write(dir.path().join("journal.db.new-journal"), "half").unwrap();
    assert_eq!(open(dir.path()).1.saved, Saved::default());
}

#[test]
fn a_directory_that_is_missing_is_not_made_in_the_wrong_place() {
    let dir = tempfile::tempdir().unwrap();
    let missing = dir.path().join("unmounted");
    let text = refusal(&missing).to_string();
    assert!(text.starts_with(&format!(
        "the state directory `{0}` cannot be used: No such file or directory (os error 2); make it with `sudo install -d -o windrode -g windrode -m 0750 {0}`",
        missing.display()
    )), "{text}");
    assert!(!missing.exists());
    let file = dir.path().join("file");
    fs::write(&file, "").unwrap();
    assert!(matches!(refusal(&file), JournalError::Directory { .. }));
    assert!(matches!(
        Reader::open(dir.path()),
        Err(JournalError::Missing { .. })
    ));
}

#[test]
fn a_full_disk_is_told_the_last_state_stands_and_the_track_waits() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    journal.commit(at(1), &state(1), &[]).unwrap();
    let connection = &journal.reader.connection;
    let pages: i64 = connection
        .query_row("PRAGMA page_count", [], |row| row.get(0))
        .unwrap();
    let limit = |journal: &Journal, pages: i64| {
        let connection = &journal.reader.connection;
        connection
            .query_row(&format!("PRAGMA max_page_count = {pages}"), [], |_| Ok(()))
            .unwrap();
    };
    limit(&journal, pages);
    let mut big = event(2, "");
    big.message = "x".repeat(100_000);
    journal.record(timeout(2)).unwrap();
    let error = journal
        .commit(at(3), &state(2), &[big.clone()])
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        format!(
            "no room is left for the journal `{0}`; free some on that disk (`df {0}`)",
            database(dir.path()).display()
        )
    );
    assert_eq!(journal.reader().saved().unwrap(), state(1));
    limit(&journal, pages + 1000);
    journal.commit(at(4), &state(3), &[big]).unwrap();
    assert_eq!(journal.reader().saved().unwrap(), state(3));
    assert_eq!(journal.reader().entries(this.run).count(), 1);
}

#[test]
fn while_the_disk_refuses_the_oldest_track_gives_way_and_is_counted() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    journal
        .reader
        .connection
        .execute_batch("PRAGMA query_only = ON")
        .unwrap();
    let often = |tenths: u64| Entry {
        now: at(0).plus(Duration::from_millis(tenths * 100)),
        input: Input::Timeout,
    };
    let mut failures = 0;
    for tenths in 0..10_500 {
        failures += u64::from(journal.record(often(tenths)).is_err());
    }
    // 1050 s in batches of 30 s, and a few that were full before.
    assert!((35..=45).contains(&failures), "{failures}");
    assert_eq!(journal.pending.len(), MOST_PENDING);
    journal
        .reader
        .connection
        .execute_batch("PRAGMA query_only = OFF")
        .unwrap();
    journal.flush(at(1051)).unwrap();
    let run = journal.reader().last_run().unwrap().unwrap();
    assert_eq!(run.dropped, 500);
    let first = journal.reader().entries(run.id).next().unwrap().unwrap();
    assert_eq!(first, often(500));
}

/// Commits for ever, saying so, when the environment names a directory; the test below kills it.
#[test]
fn commits_until_it_is_killed() {
    let (named, own) = (
        std::env::var_os("WINDRODE_TEST_JOURNAL"),
        tempfile::tempdir().unwrap(),
    );
    let dir = named.as_ref().map_or(own.path(), Path::new);
    let most = if named.is_some() { u64::MAX } else { 3 };
    let (mut journal, _) = open(dir);
    let mut out = std::io::stdout();
    for number in 1..=most {
        journal.record(timeout(number)).unwrap();
        journal
            .commit(at(number), &state(number), &[event(number, "going on")])
            .unwrap();
        writeln!(out, "committed {number}").unwrap();
    }
    assert_eq!(journal.reader().saved().unwrap(), state(most));
}

#[test]
fn what_was_committed_before_kill_9_is_there_afterwards() {
    for until in [1, 7, 40] {
        let dir = tempfile::tempdir().unwrap();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "journal::tests::commits_until_it_is_killed",
                "--nocapture",
            ])
            .env("WINDRODE_TEST_JOURNAL", dir.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let mut told = 0;
        while told < until {
            let line = lines.next().unwrap().unwrap();
            if let Some((_, number)) = line.split_once("committed ") {
                told = number.parse().unwrap();
            }
        }
        // SIGKILL on Unix.
        child.kill().unwrap();
        child.wait().unwrap();
        let rest = lines.map_while(Result::ok);
        let last = rest.filter_map(|line| line.split_once("committed ")?.1.parse().ok());
        let told = last.max().unwrap_or(told);
        let (journal, recovered) = open(dir.path());
        assert!(
            recovered.saved.raises >= told,
            "{} < {told}",
            recovered.saved.raises
        );
        assert_eq!(recovered.saved, state(recovered.saved.raises));
        assert!(!recovered.clean_stop());
        let events = journal.reader().events(Timestamp::EPOCH).count() as u64;
        assert_eq!(events, recovered.saved.raises);
        let run = recovered.previous.unwrap().id;
        assert_eq!(
            journal.reader().entries(run).count() as u64,
            recovered.saved.raises
        );
    }
}

#[derive(Clone, Debug)]
enum Deed {
    Commit {
        events: u64,
    },
    Record {
        count: u64,
    },
    MarkAlive,
    Prune,
    /// The log cut at this part of its length, as a disk might that had not yet written it all.
    PowerCut {
        kept: f64,
    },
    Restart,
}

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    let deed = prop_oneof![
        4 => (0..4_u64).prop_map(|events| Deed::Commit { events }),
        4 => (1..40_u64).prop_map(|count| Deed::Record { count }),
        1 => Just(Deed::MarkAlive),
        1 => Just(Deed::Prune),
        3 => (0.0..=1.0_f64).prop_map(|kept| Deed::PowerCut { kept }),
        1 => Just(Deed::Restart),
    ];
    proptest::collection::vec(deed, 1..25)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    /// At whatever moment the power goes: the last committed state is there with all its events,
    /// and the track is what was recorded, short of its end. A log that did not reach the disk
    /// whole leaves an earlier committed state, never a mixture and never an error.
    #[test]
    fn whatever_happens_a_committed_state_is_found(deeds in deeds()) {
        let dir = tempfile::tempdir().unwrap();
        let (mut journal, mut this) = open(dir.path());
        let (mut clock, mut number, mut told) = (0, 0, 0);
        let mut recorded = Vec::new();
        for deed in deeds {
            match deed {
                Deed::Commit { events } => {
                    number += 1;
                    let lines: Vec<Event> =
                        (0..events).map(|_| event(clock, &number.to_string())).collect();
                    journal.commit(at(clock), &state(number), &lines).unwrap();
                    told += events;
                }
                Deed::Record { count } => for _ in 0..count {
                    clock += 1;
                    journal.record(timeout(clock)).unwrap();
                    recorded.push(timeout(clock));
                },
                Deed::MarkAlive => journal.mark_alive(at(clock)).unwrap(),
                Deed::Prune => journal.prune(at(clock), Duration::from_hours(24)).unwrap(),
                Deed::PowerCut { kept } => {
                    let copy = snapshot(dir.path());
                    let (found, recovered) = open(copy.path());
                    let expected = if number == 0 { Saved::default() } else { state(number) };
                    prop_assert_eq!(&recovered.saved, &expected);
                    let events = found.reader().events(Timestamp::EPOCH).count() as u64;
                    prop_assert_eq!(events, told);
                    let track: Vec<Entry> =
                        found.reader().entries(this.run).map(Result::unwrap).collect();
                    prop_assert!(recorded.starts_with(&track));
                    drop(found);

                    let torn = snapshot(dir.path());
                    let log = torn.path().join("journal.db-wal");
                    let bytes = fs::read(&log).unwrap();
                    let cut = (bytes.len() as f64 * kept) as usize;
                    fs::write(&log, &bytes[..cut]).unwrap();
                    let (found, recovered) = open(torn.path());
                    let saved = recovered.saved;
                    prop_assert!(saved.raises <= number);
                    prop_assert!(saved == Saved::default() || saved == state(saved.raises));
                    let latest = found
                        .reader()
                        .events(Timestamp::EPOCH)
                        .map(|event| event.unwrap().message.parse::<u64>().unwrap())
                        .max();
                    prop_assert!(latest.unwrap_or(0) <= saved.raises);
                }
                Deed::Restart => {
                    journal.close(at(clock)).unwrap();
                    (journal, this) = open(dir.path());
                    prop_assert!(this.clean_stop());
                    recorded.clear();
                }
            }
        }
    }
}

/// Half an hour as a busy boat sends it: ten reports a second, with noise in the last digits so
/// that it does not compress better than the real thing.
fn busy_track() -> Vec<Entry> {
    let mut seed = 42_u64;
    // The generator of Numerical Recipes (Press et al., 3rd ed., 7.1), from memory.
    let mut noise = move || {
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as f64 / f64::from(1_u32 << 31) - 0.5
    };
    let rounded = |value: f64, digits: f64| (value * digits).round() / digits;
    let mut entries = Vec::new();
    for tick in (0..1_800_000_u64).step_by(100) {
        let facts = match tick / 100 % 5 {
            0 => vec![
                Fact::Satellites(Some(11)),
                Fact::HorizontalDilution(Some(rounded(0.9 + 0.1 * noise(), 100.0))),
                Fact::Position(
                    Position::new(
                        rounded(59.8539 + 3e-5 * noise(), 1e7),
                        rounded(23.26 + 6e-5 * noise(), 1e7),
                    )
                    .ok(),
                ),
            ],
            1 => vec![
                Fact::SpeedOverGround(Speed::new(rounded(0.2 + 0.2 * noise(), 100.0))),
                Fact::CourseOverGround(Bearing::new(rounded(3.0 + 3.0 * noise(), 1e4))),
            ],
            2 => vec![Fact::HeadingMagnetic(Angle::new(rounded(
                0.5 + noise(),
                1e4,
            )))],
            3 => vec![
                Fact::WindSpeedApparent(Speed::new(rounded(7.0 + 3.0 * noise(), 100.0))),
                Fact::WindAngleApparent(Angle::new(rounded(noise(), 1e4))),
            ],
            _ => vec![Fact::DepthBelowTransducer(Metres::new(rounded(
                5.0 + noise(),
                100.0,
            )))],
        };
        // Reports come in with jitter, as does the time they carry.
        let jitter = Duration::from_millis((40.0 * (noise() + 0.5)) as u64);
        let now = Now::new(
            Tick::from_millis(tick),
            evening().plus(Duration::from_millis(tick)),
        )
        .plus(jitter);
        entries.push(Entry {
            now,
            input: Input::Report(Report {
                subject: Subject::Own,
                source: Label::new(["gps0.GP", "compass.HC", "wind.WI"][tick as usize / 100 % 3]),
                stamp: Some(now.utc.minus(Duration::from_millis(120))),
                facts,
            }),
        });
    }
    entries
}

#[test]
fn a_busy_day_of_track_takes_less_than_forty_megabytes() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    let entries = busy_track();
    for entry in &entries {
        journal.record(entry.clone()).unwrap();
    }
    journal.flush(at(1800)).unwrap();
    let read: Vec<Entry> = journal
        .reader()
        .entries(this.run)
        .map(Result::unwrap)
        .collect();
    assert_eq!(read, entries);
    journal.close(at(1800)).unwrap();
    let a_day = fs::metadata(database(dir.path())).unwrap().len() * 48;
    assert!(a_day < 40_000_000, "{a_day} bytes a day");
}

#[tokio::test]
async fn the_thread_commits_records_and_closes() {
    let dir = tempfile::tempdir().unwrap();
    let (journal, this) = open(dir.path());
    let writer = Writer::start(journal).unwrap();
    writer.record(timeout(1));
    writer.record(Entry {
        now: at(2),
        input: Input::Link(LinkState::Up),
    });
    writer
        .commit(at(3), state(1), vec![event(3, "let go")])
        .await
        .unwrap();
    let (copy, recovered) = open(snapshot(dir.path()).path());
    assert_eq!(recovered.saved, state(1));
    assert_eq!(copy.reader().entries(this.run).count(), 2);
    writer.record(timeout(4));
    writer.mark_alive(at(5));
    writer.prune(at(5), Duration::from_hours(24));
    writer.close(at(6)).await.unwrap();
    let (journal, recovered) = open(dir.path());
    assert!(recovered.clean_stop());
    assert_eq!(journal.reader().entries(this.run).count(), 3);
}

/// A disk that does not answer, played by somebody who holds the database's write lock.
#[tokio::test(start_paused = true)]
async fn a_disk_that_hangs_is_reported_and_nothing_is_lost_when_it_comes_back() {
    let dir = tempfile::tempdir().unwrap();
    let (journal, this) = open(dir.path());
    let disk = Connection::open(database(dir.path())).unwrap();
    journal
        .reader
        .connection
        .busy_timeout(Duration::from_hours(1))
        .unwrap();
    let writer = Writer::start(journal).unwrap();
    disk.execute_batch("BEGIN IMMEDIATE").unwrap();
    let limit = Duration::from_secs(2);
    for number in 1..=3 {
        let lines = vec![event(number, "going on")];
        let error = writer
            .commit_within(limit, at(number), state(number), lines)
            .await
            .unwrap_err();
        assert_eq!(error, JournalError::Slow { limit });
        assert_eq!(
            error.to_string(),
            "the journal's disk did not answer within 2 s"
        );
    }
    for secs in 0..10_250 {
        writer.record(timeout(secs));
    }
    disk.execute_batch("COMMIT").unwrap();
    // Behind the three, whether these are written one by one or joined.
    writer
        .commit(at(10_250), state(4), vec![event(4, "going on")])
        .await
        .unwrap();
    writer.close(at(10_251)).await.unwrap();
    let (journal, recovered) = open(dir.path());
    assert_eq!(recovered.saved, state(4));
    assert_eq!(journal.reader().events(Timestamp::EPOCH).count(), 4);
    let run = recovered.previous.unwrap();
    assert_eq!(run.id, this.run);
    // How many were dropped depends on when the thread came by; none is missing in the count.
    let kept = journal.reader().entries(run.id).count() as u64;
    assert_eq!(kept + run.dropped, 10_250);
}

#[tokio::test]
async fn trouble_that_nobody_waits_for_is_told_and_its_end_too() {
    let dir = tempfile::tempdir().unwrap();
    let (journal, _) = open(dir.path());
    journal
        .reader
        .connection
        .execute_batch("PRAGMA query_only = ON")
        .unwrap();
    let writer = Writer::start(journal).unwrap();
    let mut trouble = writer.trouble();
    writer.record(timeout(31));
    trouble.changed().await.unwrap();
    let text = trouble.borrow_and_update().as_ref().unwrap().to_string();
    assert!(
        text.contains("failed to be written: attempt to write a readonly database"),
        "{text}"
    );
    let error = writer
        .commit(at(32), state(1), Vec::new())
        .await
        .unwrap_err();
    assert!(matches!(error, JournalError::Failed { .. }));
    drop(writer);
    // The thread lets go of the lock in its own time.
    let (journal, recovered) = loop {
        let opened = Journal::open(dir.path(), BATCH, at(40));
        if !matches!(opened, Err(JournalError::InUse { .. })) {
            break opened.unwrap();
        }
        std::thread::yield_now();
    };
    assert_eq!(recovered.saved, Saved::default());
    assert!(!recovered.clean_stop());
    let writer = Writer::start(journal).unwrap();
    writer.commit(at(41), state(2), Vec::new()).await.unwrap();
    assert_eq!(*writer.trouble().borrow(), None);
    writer.close(at(42)).await.unwrap();
}
