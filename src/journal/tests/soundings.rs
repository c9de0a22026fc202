//! The boat's own soundings: kept, bounded, and added to journals from before them.

use super::*;
use crate::chart::own::{OwnSounding, ReducedBy};
use crate::chart::shape::Extent;

const COVE: Position = Position::of(59.8539, 23.26);

fn sounding(east: f64, depth: f64, day: u64) -> OwnSounding {
    OwnSounding {
        position: COVE.moved(Bearing::from_degrees(90.0), Metres::of(east)),
        depth: Metres::of(depth),
        doubt: Metres::of(6.4),
        at: at(0).utc.plus(Duration::from_hours(24 * day)),
        tide: ReducedBy::Station("Tern Sound".to_owned()),
    }
}

fn about(reader: &Reader, range: f64) -> Vec<(f64, f64)> {
    let mut found: Vec<(f64, f64)> = reader
        .soundings(&Extent::about(COVE, range))
        .unwrap()
        .into_iter()
        .map(|it| (COVE.distance_to(it.position).get().round(), it.depth.get()))
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

#[test]
fn a_square_keeps_its_shoalest_sounding_until_that_is_a_year_old() {
    let dir = TempDir::new().unwrap();
    let (mut journal, _) = open(dir.path());
    let mut keep = |east, depth, day| {
        let batch = [sounding(east, depth, day)];
        journal.keep_soundings(&batch).unwrap()
    };
    assert_eq!(keep(0.0, 4.0, 0), 1);
    // Deeper, or equally deep: no write.
    assert_eq!(keep(0.0, 4.4, 1), 0);
    assert_eq!(keep(0.0, 3.95, 2), 0);
    assert_eq!(keep(0.0, 3.6, 3), 1);
    assert_eq!(keep(50.0, 7.0, 3), 1);
    assert_eq!(about(journal.reader(), 100.0), [(0.0, 3.6), (50.0, 7.0)]);
    assert_eq!(about(journal.reader(), 20.0), [(0.0, 3.6)]);
    // Sand moves: after a year the current depth counts.
    let batch = [sounding(0.0, 5.0, 369)];
    assert_eq!(journal.keep_soundings(&batch).unwrap(), 1);
    journal.close(at(3)).unwrap();
    // After a restart, everything is there with all its details.
    let (journal, _) = open(dir.path());
    let found = journal
        .reader()
        .soundings(&Extent::about(COVE, 20.0))
        .unwrap();
    assert_eq!(found.len(), 1);
    let kept = &found[0];
    assert_eq!((kept.depth, kept.doubt), (Metres::of(5.0), Metres::of(6.4)));
    assert_eq!(kept.at, sounding(0.0, 5.0, 369).at);
    assert_eq!(kept.tide, ReducedBy::Station("Tern Sound".to_owned()));
    assert!(kept.position.distance_to(COVE).get() < 0.02);
}

#[test]
fn a_sounding_less_another_tide_replaces_a_shoaler_one() {
    let dir = TempDir::new().unwrap();
    let (mut journal, _) = open(dir.path());
    let wrong = OwnSounding {
        tide: ReducedBy::Server,
        ..sounding(0.0, 2.0, 0)
    };
    journal.keep_soundings(&[wrong]).unwrap();
    assert_eq!(journal.keep_soundings(&[sounding(0.0, 4.0, 0)]).unwrap(), 1);
    // A name that is too long is cut before it is compared.
    let long = OwnSounding {
        tide: ReducedBy::Station("x".repeat(200)),
        ..sounding(0.0, 5.0, 0)
    };
    assert_eq!(
        journal.keep_soundings(std::slice::from_ref(&long)).unwrap(),
        1
    );
    assert_eq!(
        journal.keep_soundings(std::slice::from_ref(&long)).unwrap(),
        0
    );
    assert_eq!(about(journal.reader(), 20.0), [(0.0, 5.0)]);
}

/// Removal while a daemon keeps the journal open and goes on writing.
#[test]
fn soundings_are_removed_about_a_place_or_all_of_them_and_the_daemon_can_tell() {
    let dir = TempDir::new().unwrap();
    let missing = forget_soundings(dir.path(), None);
    assert!(matches!(missing, Err(JournalError::Missing { .. })));
    let (mut journal, _) = open(dir.path());
    let track: Vec<OwnSounding> = (0..10)
        .map(|step| sounding(f64::from(step) * 50.0, 4.0, 0))
        .collect();
    journal.keep_soundings(&track).unwrap();
    assert_eq!(journal.reader().sounding_removals().unwrap(), 0);
    let near = Some((COVE, Metres::of(120.0)));
    assert_eq!(forget_soundings(dir.path(), near).unwrap(), 3);
    assert_eq!(about(journal.reader(), 210.0), [(150.0, 4.0), (200.0, 4.0)]);
    assert_eq!(journal.reader().sounding_removals().unwrap(), 1);
    // Now a deeper one is kept there.
    assert_eq!(journal.keep_soundings(&[sounding(0.0, 6.0, 0)]).unwrap(), 1);
    assert_eq!(forget_soundings(dir.path(), None).unwrap(), 8);
    assert_eq!(forget_soundings(dir.path(), None).unwrap(), 0);
    assert!(!journal.reader().has_any_sounding().unwrap());
    assert_eq!(journal.reader().sounding_removals().unwrap(), 3);
    journal.close(at(3)).unwrap();
    let (journal, recovered) = open(dir.path());
    assert!(recovered.clean_stop());
    assert_eq!(journal.reader().sounding_removals().unwrap(), 3);
}

#[test]
fn their_number_is_bounded_and_those_sounded_longest_ago_give_way() {
    let dir = TempDir::new().unwrap();
    let (mut journal, _) = open(dir.path());
    for day in 0..30 {
        let batch: Vec<OwnSounding> = (0..10)
            .map(|place| sounding(f64::from(day * 10 + place) * 10.0, 4.0, day as u64))
            .collect();
        journal.keep_soundings_within(&batch, 100).unwrap();
    }
    let found = journal
        .reader()
        .soundings(&Extent::about(COVE, 5000.0))
        .unwrap();
    assert!((90..=100).contains(&found.len()), "{}", found.len());
    let oldest = found.iter().map(|it| it.at).min().unwrap();
    assert!(oldest >= sounding(0.0, 4.0, 20).at, "{oldest}");
}

/// A journal as the first windrode created it, without the table.
#[test]
fn an_older_journal_gets_the_table_and_reading_it_before_is_no_error() {
    let dir = TempDir::new().unwrap();
    let (journal, _) = open(dir.path());
    journal.close(at(1)).unwrap();
    let file = dir.path().join("journal.db");
    let raw = rusqlite::Connection::open(&file).unwrap();
    raw.execute_batch("DROP TABLE sounding; DROP TABLE sounding_removal")
        .unwrap();
    drop(raw);
    let reader = Reader::open(dir.path()).unwrap();
    assert!(!reader.has_any_sounding().unwrap());
    assert_eq!(about(&reader, 100.0), []);
    assert_eq!(reader.sounding_removals().unwrap(), 0);
    assert_eq!(forget_soundings(dir.path(), None).unwrap(), 0);
    assert_eq!(reader.sounding_removals().unwrap(), 1);
    let (mut journal, recovered) = open(dir.path());
    assert!(recovered.clean_stop());
    let batch = [sounding(0.0, 4.0, 0)];
    assert_eq!(journal.keep_soundings(&batch).unwrap(), 1);
    assert!(reader.has_any_sounding().unwrap());
}

/// The thread: soundings are handed over without waiting, written with the next data, and on disk after a
/// stop.
#[tokio::test]
async fn soundings_are_written_by_the_thread() {
    let dir = TempDir::new().unwrap();
    let (journal, _) = open(dir.path());
    let writer = Writer::start(journal).unwrap();
    writer.keep_soundings(at(1), vec![sounding(0.0, 4.0, 0)]);
    writer.keep_soundings(at(2), vec![sounding(50.0, 5.0, 0)]);
    writer.close(at(3)).await.unwrap();
    let reader = Reader::open(dir.path()).unwrap();
    assert_eq!(about(&reader, 100.0), [(0.0, 4.0), (50.0, 5.0)]);
}
