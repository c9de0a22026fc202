//! The health of the channels: kept in place, bounded, absent from journals from before it.

use super::*;
use crate::outbox::words::{HealthState, Spell};

fn spell(channel: &str, number: u64, delivered: u64) -> Spell {
    Spell {
        channel: channel.to_owned(),
        number,
        since: at(60 * number).utc,
        state: HealthState::Working,
        fault: None,
        anchored: true,
        worked: Some(at(60 * number).utc),
        delivered,
        failed: 0,
        waiting: 0,
    }
}

#[test]
fn a_spell_is_rewritten_in_place_and_belongs_to_its_run() {
    let dir = TempDir::new().unwrap();
    let (mut journal, first) = open(dir.path());
    journal
        .keep_channels(&[spell("skipper", 0, 0), spell("mate", 0, 0)])
        .unwrap();
    journal
        .keep_channels(&[spell("skipper", 1, 1), spell("skipper", 0, 7)])
        .unwrap();
    journal.close(at(1)).unwrap();
    let (mut journal, second) = open(dir.path());
    journal.keep_channels(&[]).unwrap();
    let kept = journal.reader().channels(first.run).unwrap().unwrap();
    assert!(kept.whole);
    assert_eq!(
        kept.spells,
        [
            spell("skipper", 0, 7),
            spell("mate", 0, 0),
            spell("skipper", 1, 1)
        ]
    );
    // A run without channels kept the record too.
    let none = journal.reader().channels(second.run).unwrap().unwrap();
    assert!(none.whole && none.spells.is_empty());
}

#[test]
fn the_record_is_bounded_and_says_that_its_start_is_gone() {
    let dir = TempDir::new().unwrap();
    let (mut journal, recovered) = open(dir.path());
    for number in 0..30 {
        let spells = [spell("skipper", number, 0)];
        journal.keep_channels_within(&spells, 10).unwrap();
    }
    let kept = journal.reader().channels(recovered.run).unwrap().unwrap();
    assert!(!kept.whole);
    assert_eq!(kept.spells.len(), 10);
    assert_eq!(kept.spells[9], spell("skipper", 29, 0));
}

/// A journal from before this record is read, opened and given the table.
#[test]
fn an_older_journal_has_no_such_record_and_gets_one() {
    let dir = TempDir::new().unwrap();
    let (journal, old) = open(dir.path());
    journal.close(at(1)).unwrap();
    let connection = rusqlite::Connection::open(database(dir.path())).unwrap();
    connection.execute_batch("DROP TABLE channel").unwrap();
    connection.close().unwrap();
    let reader = Reader::open(dir.path()).unwrap();
    assert_eq!(reader.channels(old.run).unwrap(), None);
    let (mut journal, recovered) = open(dir.path());
    journal.keep_channels(&[spell("skipper", 0, 0)]).unwrap();
    assert_eq!(journal.reader().channels(old.run).unwrap(), None);
    let kept = journal.reader().channels(recovered.run).unwrap().unwrap();
    assert_eq!(kept.spells.len(), 1);
}
