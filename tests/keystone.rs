//! The keystone: the journal keeps every input with its moment, and the same inputs give the same
//! story, byte for byte.

use tempfile::TempDir;
use windrode::config::Config;
use windrode::daemon::StatusReport;
use windrode::journal::Reader;
use windrode::rehearse::night::{self, Audience};
use windrode::time::Timestamp;
use windrode::watch::keeper::Watchkeeper;
use windrode::watch::words::{Event, Output};

struct Nobody;

impl Audience for Nobody {
    fn story(&mut self, _at: Timestamp, _words: &str) {}
    fn event(&mut self, _event: &Event) {}
    fn progress(&mut self, _done: f64, _at: Timestamp) {}
    fn screen(&mut self, _report: &StatusReport) {}
}

fn rehearsed(seed: u64) -> (TempDir, night::Report) {
    let folder = TempDir::new().unwrap();
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    let report = runtime
        .block_on(night::night(seed, folder.path().to_owned(), &mut Nobody))
        .unwrap();
    (folder, report)
}

/// The events of the journal's last run, and those that replaying its inputs gives.
fn kept_and_replayed(folder: &TempDir) -> (Vec<String>, Vec<String>) {
    let journal = Reader::open(folder.path()).unwrap();
    let run = journal.last_run().unwrap().unwrap();
    assert_eq!(run.dropped, 0);
    let mut config = Config::default();
    config.watch.boat = night::settings(1, folder.path().to_owned()).figures;
    let as_text = |event: &Event| serde_json::to_string(event).unwrap();
    let mut replayed = Vec::new();
    let mut keeper: Option<Watchkeeper> = None;
    for entry in journal.entries(run.id) {
        let entry = entry.unwrap();
        let keeper = keeper.get_or_insert_with(|| {
            let start = windrode::time::Now::new(windrode::time::Tick::START, run.started);
            Watchkeeper::new(start, config.watch_settings(), run.restored.clone(), None)
        });
        keeper.handle(entry.now, entry.input);
        while let Some(output) = keeper.poll_output() {
            if let Output::Event(event) = output {
                replayed.push(as_text(&event));
            }
        }
    }
    let kept = journal
        .events(run.started)
        .map(|event| as_text(&event.unwrap()))
        .collect();
    (kept, replayed)
}

#[test]
fn a_rehearsal_passes_and_its_journal_replays_to_the_same_story() {
    let (folder, report) = rehearsed(1);
    let failed: Vec<_> = report.demands.iter().filter(|d| !d.met).collect();
    assert!(report.passed(), "{failed:#?}");
    let drag = report.drag.unwrap();
    assert!(drag.moved.get() < 30.0, "{drag:?}");
    let (kept, replayed) = kept_and_replayed(&folder);
    assert!(kept.len() > 5);
    assert_eq!(kept, replayed);
}

#[test]
fn the_same_seed_gives_the_same_night_and_another_seed_another() {
    let (_, first) = rehearsed(2);
    let (_, again) = rehearsed(2);
    assert_eq!(
        serde_json::to_string(&first).unwrap(),
        serde_json::to_string(&again).unwrap()
    );
    let (_, other) = rehearsed(3);
    assert_ne!(first.events, other.events);
    assert!(first.passed() && other.passed());
}
