//! Unusable disks: what is still known, and what is reported about the rest.

use super::*;
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::speech::faults::LostWatch;
use crate::watch::anchorage::phase::AnchorPhase;

fn rescued(dir: &Path) -> (Disk, Recovered) {
    open_or_rescue(dir, BATCH, at(100)).unwrap()
}

fn anchored() -> Saved {
    Saved {
        phase: AnchorPhase::Set,
        raises: 7,
        ..Saved::default()
    }
}

fn left_with(saved: &Saved) -> TempDir {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, _) = open(dir.path());
    journal.commit(at(1), saved, &[]).unwrap();
    journal.close(at(2)).unwrap();
    dir
}

#[test]
fn a_first_start_is_aweigh_without_a_doubt() {
    let dir = tempfile::tempdir().unwrap();
    let (disk, recovered) = rescued(dir.path());
    assert!(matches!(disk, Disk::Open(_)));
    assert_eq!(recovered.doubt, None);
}

/// A folder that is not a folder: nobody can tell what it held.
#[test]
fn an_unreadable_folder_is_a_doubt_and_does_not_end_the_watch() {
    let dir = tempfile::tempdir().unwrap();
    let (disk, recovered) = rescued(&dir.path().join("unmounted"));
    assert!(matches!(disk, Disk::Closed(JournalError::Directory { .. })));
    assert_eq!(recovered.saved, Saved::default());
    assert_eq!(recovered.doubt, Some(LostWatch::Unreadable));
}

#[test]
fn a_damaged_journal_is_a_doubt_and_stays_as_it_was() {
    let dir = left_with(&anchored());
    let rubbish = vec![0x55; 8192];
    std::fs::write(database(dir.path()), &rubbish).unwrap();
    let (disk, recovered) = rescued(dir.path());
    assert!(matches!(disk, Disk::Closed(_)));
    assert!(recovered.doubt.is_some());
    assert_eq!(std::fs::read(database(dir.path())).unwrap(), rubbish);
}

/// A journal that cannot be written may still be readable: here the table that each run starts with is
/// missing.
#[test]
fn a_watch_that_can_still_be_read_is_kept_up() {
    let dir = left_with(&anchored());
    let connection = Connection::open(database(dir.path())).unwrap();
    connection
        .execute_batch(
            "CREATE TRIGGER full BEFORE INSERT ON run BEGIN SELECT RAISE(ABORT, 'full'); END",
        )
        .unwrap();
    drop(connection);
    let (disk, recovered) = rescued(dir.path());
    assert!(matches!(disk, Disk::Closed(_)));
    assert_eq!(recovered.saved, anchored());
    assert_eq!(recovered.doubt, None);
}

#[test]
fn a_journal_that_is_gone_is_a_doubt_until_somebody_settles_it() {
    let dir = left_with(&anchored());
    std::fs::remove_file(database(dir.path())).unwrap();
    let (journal, recovered) = open(dir.path());
    let doubt = recovered.doubt.unwrap();
    assert_eq!(doubt, LostWatch::JournalGone);
    journal.close(at(3)).unwrap();
    // Another restart does not prove that nothing was marked.
    let (mut journal, recovered) = open(dir.path());
    assert_eq!(recovered.doubt.as_ref(), Some(&doubt));
    journal.commit(at(4), &Saved::default(), &[]).unwrap();
    journal.close(at(5)).unwrap();
    let (mut journal, recovered) = open(dir.path());
    assert_eq!(recovered.doubt, Some(doubt));
    let seen = Saved {
        alerts: vec![AlertView {
            hazard: Hazard::Watch,
            priority: Priority::Alarm,
            state: AlertState::ActiveAcknowledged,
            message: String::new(),
            since: at(5).utc,
            raise: 1,
            escalation: 0,
            escalated: false,
        }],
        ..Saved::default()
    };
    journal.commit(at(6), &seen, &[]).unwrap();
    journal.close(at(7)).unwrap();
    assert_eq!(open(dir.path()).1.doubt, None);
}

#[test]
fn a_state_that_is_gone_is_a_doubt() {
    let dir = left_with(&anchored());
    let connection = Connection::open(database(dir.path())).unwrap();
    connection.execute_batch("DELETE FROM saved").unwrap();
    drop(connection);
    assert_eq!(open(dir.path()).1.doubt, Some(LostWatch::StateGone));
}

/// Orders given while the disk refused are written when there is room again, without another order.
#[tokio::test]
async fn what_the_disk_refused_is_written_when_it_takes_it() {
    let dir = tempfile::tempdir().unwrap();
    let (journal, _) = open(dir.path());
    let full = |on: bool| {
        let disk = Connection::open(database(dir.path())).unwrap();
        disk.busy_timeout(Duration::from_secs(60)).unwrap();
        disk.execute_batch(if on {
            "CREATE TRIGGER full BEFORE INSERT ON saved BEGIN SELECT RAISE(ABORT, 'full'); END"
        } else {
            "DROP TRIGGER full"
        })
        .unwrap();
    };
    full(true);
    let writer = Writer::start(journal).unwrap();
    let veered = writer
        .commit(at(3), state(31), vec![event(3, "veered")])
        .await;
    assert!(veered.is_err());
    full(false);
    // Time passes: inputs of the next minute.
    let mut trouble = writer.trouble();
    // The answer arrives a moment before the trouble is known.
    trouble.wait_for(Option::is_some).await.unwrap();
    writer.record(timeout(4));
    writer.record(timeout(64));
    while trouble.borrow_and_update().is_some() {
        trouble.changed().await.unwrap();
    }
    let (copy, recovered) = open(snapshot(dir.path()).path());
    assert_eq!(recovered.saved, state(31));
    assert_eq!(copy.reader().events(Timestamp::EPOCH).count(), 1);
    writer.close(at(70)).await.unwrap();
}

/// The watch continues in memory; when the folder is back, everything is written to disk.
#[tokio::test]
async fn a_disk_that_comes_back_gets_the_watch_that_was_kept_without_it() {
    let parent = tempfile::tempdir().unwrap();
    let dir = parent.path().join("unmounted");
    let (disk, _) = rescued(&dir);
    let again = dir.clone();
    let writer = Writer::start_with(disk, dir.clone(), BATCH, move |now| {
        Ok(Journal::open(&again, BATCH, now)?.0)
    })
    .unwrap();
    let mut trouble = writer.trouble();
    assert!(trouble.borrow().is_some());
    assert!(
        writer
            .commit(at(101), anchored(), Vec::new())
            .await
            .is_err()
    );
    std::fs::create_dir(&dir).unwrap();
    writer.record(timeout(102));
    writer.record(timeout(162));
    while trouble.borrow_and_update().is_some() {
        trouble.changed().await.unwrap();
    }
    writer.close(at(170)).await.unwrap();
    assert_eq!(open(&dir).1.saved, anchored());
}

/// An endless stream: the track stays below its bound all the time, not only once a day.
#[test]
fn a_fast_stream_does_not_fill_the_card() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    let empty = journal.track;
    journal.track_bound = empty + 20_000;
    for second in 0..20_000 {
        journal.record(timeout(second)).unwrap();
        let held = track_held(&journal);
        assert!(held <= 20_000, "{held} after {second} s");
        assert_eq!(empty + held, journal.track);
    }
    // The latest entry is there.
    let last = journal.reader().entries(this.run).last().unwrap().unwrap();
    assert!(last.now.tick >= Tick::from_secs(19_900));
}
