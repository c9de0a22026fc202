//! Power cuts, kills and clocks that jump.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, Stdio};

use proptest::prelude::*;

use super::*;

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
    // "Blind since" is accurate to within a batch.
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

/// A clock that is set back or far ahead changes nothing important.
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
    journal.flush(past).unwrap();
    journal.prune(past, Duration::from_hours(24)).unwrap();
    let (journal, recovered) = open(snapshot(dir.path()).path());
    assert_eq!(recovered.saved, state(2));
    assert_eq!(journal.reader().entries(this.run).count(), 101);
}

#[test]
fn an_interrupted_first_start_is_not_damage() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("journal.db.new"), "half").unwrap();
    fs::write(dir.path().join("journal.db.new-journal"), "half").unwrap();
    assert_eq!(open(dir.path()).1.saved, Saved::default());
}

/// Commits forever and prints each commit, when the environment names a directory; the test below kills it.
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
        journal.flush(at(number)).unwrap();
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
                "journal::tests::power::commits_until_it_is_killed",
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
        // The track follows the commit.
        let kept = journal.reader().entries(run).count() as u64;
        assert!((events - 1..=events).contains(&kept), "{kept} of {events}");
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
    /// The log cut at this fraction of its length, as if the disk had not yet written all of it.
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

    /// Whenever the power fails, the last committed state is there with all its events, and so is the
    /// recorded track except for its end. If the log did not reach the disk completely, an earlier
    /// committed state remains, never a mixture and never an error.
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
