//! A journal that was cut short, changed, or written by another version of windrode, and what the crew sees. The
//! real process; `disk_faults` covers a journal that is missing or garbage.

#![expect(
    clippy::expect_used,
    reason = "a test fails and says why if its boat cannot start"
)]

use std::path::Path;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};

use super::ashore::{Manner, Odd};
use super::disk_faults::{LET_GO, database, lost, said, without_the_files_beside};
use super::fault_table::{Table, timed};
use super::tern::{Aboard, eventually};

/// Number of bits changed, one at a time.
const FLIPS: usize = 12;

#[test]
fn a_journal_that_is_cut_or_of_another_version_is_told_and_is_left_as_it_is() {
    let mut table = Table::begin();
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::alone(&phone.as_channel("cook"));
    let file = database(&aboard);
    let whole = written(&mut aboard, &file);

    cut(&file, &whole);
    aboard.run();
    let told = lost(&aboard, &phone);
    // Does what the log advises: puts a sound copy in its place.
    let left = std::fs::read(&file).expect("it is there");
    assert!(
        left == whole[..whole.len() / 2],
        "the damaged file was written to"
    );
    aboard.kill();
    put_back(&file, &whole);
    let (recovered, ()) = timed(|| aboard.run());
    table.row(
        "journal truncated to half",
        told,
        Some(recovered),
        "nothing once a sound copy is back",
    );
    let status = eventually("it answers", || aboard.status());
    assert_eq!(status["picture"]["rodeOut"], 31.0, "{status}");
    aboard.kill();

    put_back(&file, &whole);
    {
        let database = rusqlite::Connection::open(&file).expect("it is opened");
        let version: i64 = database
            .query_row("PRAGMA user_version", [], |row| row.get(0))
            .expect("it is read");
        database
            .pragma_update(None, "user_version", version + 1)
            .expect("it is written");
    }
    aboard.run();
    // The watch uses what it can read of it.
    let status = eventually("it answers", || aboard.status());
    assert_eq!(status["picture"]["phase"], "setting", "{status}");
    assert_eq!(status["picture"]["rodeOut"], 31.0, "{status}");
    let told = eventually("it is reported", || {
        let alert = aboard.alert("watch")?;
        Some(alert["message"].as_str()?.to_owned())
    });
    assert!(told.contains("newer windrode"), "{told}");
    let told = format!("setting, 31 m; {told}");
    aboard.kill();
    put_back(&file, &whole);
    let (recovered, ()) = timed(|| aboard.run());
    let status = eventually("it answers", || aboard.status());
    assert_eq!(status["picture"]["rodeOut"], 31.0, "{status}");
    table.row(
        "journal of a later version",
        told,
        Some(recovered),
        "nothing: the file is left as it is, and read by the later windrode",
    );
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn a_bit_that_flips_in_the_journal_changes_no_mark_unnoticed() {
    let mut table = Table::begin();
    let phone = Odd::start(Manner::Answers("200 OK", String::new()));
    let mut aboard = Aboard::alone(&phone.as_channel("cook"));
    let file = database(&aboard);
    let whole = written(&mut aboard, &file);
    let mut dice = ChaCha8Rng::seed_from_u64(3);
    let (mut harmless, mut told) = (0, 0);
    // The most harmful place: the mark itself, in the saved state.
    let mark = find(&whole, b"59.8539").expect("the mark is in it");
    let places = std::iter::once(mark + 4)
        .chain((1..FLIPS).map(|_| usize::try_from(dice.next_u32()).expect("a word") % whole.len()));
    let places: Vec<usize> = places.collect();
    for place in places {
        let mut flipped = whole.clone();
        flipped[place] ^= 1;
        put_back(&file, &flipped);
        aboard.run();
        let status = eventually("it answers", || aboard.status());
        let picture = &status["picture"];
        let right = picture["rodeOut"] == 31.0
            && picture["phase"] == "setting"
            && picture["anchor"]["latitude"] == 59.8539
            && picture["anchor"]["longitude"] == 23.26;
        if right {
            harmless += 1;
        } else {
            let message = lost(&aboard, &phone);
            assert!(
                message.contains("a watch may have been lost"),
                "byte {place}"
            );
            told += 1;
        }
        aboard.kill();
    }
    assert!(told > 0, "the mark was changed and nobody was told");
    table.row(
        format!("a bit flips in the journal, {FLIPS} times"),
        format!("{harmless} times the watch as it was, {told} times the alarm that it may have been lost"),
        None,
        "no mark is changed unnoticed",
    );
}

/// Runs a watch and stops it cleanly; returns the file that it leaves.
fn written(aboard: &mut Aboard, file: &Path) -> Vec<u8> {
    aboard.run();
    said(aboard, &LET_GO);
    said(aboard, &["veer", "31m"]);
    // After an orderly stop everything is in the one file.
    assert_eq!(aboard.stop(), Some(0));
    std::fs::read(file).expect("it is there")
}

fn cut(file: &Path, whole: &[u8]) {
    put_back(file, &whole[..whole.len() / 2]);
}

fn put_back(file: &Path, bytes: &[u8]) {
    without_the_files_beside(file);
    std::fs::write(file, bytes).expect("it is written");
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|part| part == what)
}
