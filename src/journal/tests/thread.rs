//! The writer on its thread.

use super::*;
use crate::watch::messages::LinkState;

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
    let (_, recovered) = open(snapshot(dir.path()).path());
    assert_eq!(recovered.saved, state(1));
    writer.record(timeout(4));
    writer.mark_alive(at(5));
    writer.prune(at(5), Duration::from_hours(24));
    writer.close(at(6)).await.unwrap();
    let (journal, recovered) = open(dir.path());
    assert!(recovered.clean_stop());
    assert_eq!(journal.reader().entries(this.run).count(), 3);
}

/// Thirty seconds of a busy track are not written before the commit is answered, but they do not wait for their batch.
#[tokio::test]
async fn the_track_is_written_directly_after_a_commit() {
    let dir = tempfile::tempdir().unwrap();
    let (journal, this) = open(dir.path());
    let writer = Writer::start(journal).unwrap();
    writer.record(timeout(1));
    writer.commit(at(2), state(1), Vec::new()).await.unwrap();
    // The thread takes the next commit only when it has written the track.
    writer.commit(at(3), state(2), Vec::new()).await.unwrap();
    let (copy, _) = open(snapshot(dir.path()).path());
    assert_eq!(copy.reader().entries(this.run).count(), 1);
}

/// A disk that does not answer, simulated by holding the database's write lock.
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
    // After the three, whether these are written one by one or joined.
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
    // How many were dropped depends on when the thread ran; the count includes every one.
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
    writer.record(timeout(1));
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
    // The thread releases the lock in its own time.
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
