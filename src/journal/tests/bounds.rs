//! How much disk and memory the journal uses, also when the disk refuses.

use super::*;
use crate::geodesy::Position;
use crate::observation::{Fact, Label, Report, Subject};
use crate::units::{Angle, Bearing, Metres, Speed};

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
    (journal.track, journal.track_bound) = (track_held(&journal), 1024);
    journal.prune(at(10), Duration::from_hours(24)).unwrap();
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

/// A waiting commit waits for one step, and a step is small; all steps together keep only the recent track.
#[test]
fn old_track_goes_in_small_steps() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    for secs in 0..3000 {
        journal.record(timeout(secs)).unwrap();
    }
    journal.flush(at(3000)).unwrap();
    let kept = Duration::from_secs(600);
    let mut held = journal.reader().entries(this.run).count();
    let mut steps = 0;
    while journal.prune_some(at(3000), kept).unwrap() {
        let left = journal.reader().entries(this.run).count();
        // Sixteen batches of 30 s, the first with one more entry at its end.
        assert!(left < held && held - left <= 16 * 31, "{held} {left}");
        (held, steps) = (left, steps + 1);
    }
    assert!((600..=630).contains(&held) && steps == 5, "{held} {steps}");
}

/// The size of the track is known without reading it, and never underestimated.
#[test]
fn a_journal_that_is_opened_knows_about_how_much_it_holds() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    for entry in busy_track() {
        journal.record(entry).unwrap();
    }
    journal.close(at(1800)).unwrap();
    let (journal, _) = open(dir.path());
    let held = track_held(&journal);
    assert!(
        (held..held + held / 4 + 100_000).contains(&journal.track),
        "{held} {}",
        journal.track
    );
}

const MANY_EVENTS: &str =
    "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 50100)
     INSERT INTO event (run, time, line) SELECT 1, i, '{}' FROM n";

/// A peer sends orders all day long, with a day to go until the journal is pruned.
#[test]
fn events_are_bounded_with_every_commit() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    let many = journal.write(|transaction| transaction.execute(MANY_EVENTS, []));
    assert_eq!(many.unwrap(), 50_100);
    journal
        .commit(at(1), &state(1), &[event(1, "one more")])
        .unwrap();
    let sql = "SELECT count(*), min(id), max(id) FROM event";
    let connection = &journal.reader.connection;
    let left = connection.query_row(sql, [], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)));
    assert_eq!(left.unwrap(), (50_000, 102, 50_101));
}

#[test]
fn events_and_idle_runs_are_bounded_by_number() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    journal
        .write(|transaction| {
            transaction.execute(MANY_EVENTS, [])?;
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
fn a_full_disk_is_reported_the_last_state_stands_and_the_track_waits() {
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
    journal.flush(at(4)).unwrap();
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
    // 1050 s in batches of 30 s, and a few full ones before them.
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

/// Half an hour of a busy boat's messages: ten reports a second, with noise in the last digits so that it
/// does not compress better than real data.
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
        // Reports arrive with jitter, and so do their timestamps.
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
