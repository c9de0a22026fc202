//! Damaged, foreign, newer and missing files are reported and left unchanged.

use super::*;

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
    // While somebody reads, the daemon goes on writing.
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
        assert!(text.contains("let go again"), "{text}");
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
fn a_damaged_batch_is_reported_and_the_next_one_is_read() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, this) = open(dir.path());
    for secs in 0..3 {
        journal.record(timeout(secs)).unwrap();
        journal.flush(at(secs)).unwrap();
    }
    let flip = "UPDATE batch SET lines = substr(lines, 1, 20) || x'FFFF' || substr(lines, 23) WHERE id = 2";
    // Concatenation turns it into text.
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
