//! The keystone: the journal keeps every input with its time, and the same inputs give the same
//! outputs, all of them, byte for byte: events, alerts, published values, the state on disk, replies.
//!
//! The test records what the daemon does while it runs and compares it with a replay of its journal.
//! Resources and deltas are made only from the published state (`signalk::resources`,
//! `signalk::publish`). The watch's settings (boat, thresholds, tide station) are not inputs: the
//! journal stores them as text, and the test compares that text with the settings it replays with.

use tempfile::TempDir;
use windrode::config::Config;
use windrode::daemon::StatusReport;
use windrode::journal::Reader;
use windrode::rehearse::night::{self, Audience, Name};
use windrode::speech::Wording;
use windrode::time::Timestamp;
use windrode::watch::engine::Watchkeeper;
use windrode::watch::messages::{Event, Input, Output};
use windrode::watch::saved::Saved;

/// Records all output of the watch.
#[derive(Default)]
struct Recorder {
    outputs: Vec<String>,
}

impl Audience for Recorder {
    fn story(&mut self, _at: Timestamp, _words: &str) {}
    fn output(&mut self, output: &Output) {
        self.outputs.push(as_text(output));
    }
    fn event(&mut self, _event: &Event) {}
    fn progress(&mut self, _done: f64, _at: Timestamp) {}
    fn screen(&mut self, _report: &StatusReport) {}
}

fn as_text(output: &Output) -> String {
    serde_json::to_string(output).unwrap()
}

fn rehearsed(seed: u64) -> (TempDir, night::Report, Vec<String>) {
    held(Name::Drag, seed)
}

fn held(name: Name, seed: u64) -> (TempDir, night::Report, Vec<String>) {
    let folder = TempDir::new().unwrap();
    let mut recorder = Recorder::default();
    let place = folder.path().to_owned();
    let night = night::hold(name, seed, place, Wording::default(), &mut recorder);
    let report = crate::block_on(night).unwrap();
    (folder, report, recorder.outputs)
}

/// Replays the inputs of the journal's last run; returns the outputs and the final state.
fn replayed(folder: &TempDir) -> (Vec<String>, Saved) {
    let journal = Reader::open(folder.path()).unwrap();
    let run = journal.last_run().unwrap().unwrap();
    assert_eq!(run.dropped, 0);
    let mut config = Config::default();
    config.watch.boat = night::settings(1, folder.path().to_owned()).figures;
    let settings = config.watch_settings();
    assert_eq!(run.settings, Some(format!("{settings:?}")));
    let mut outputs = Vec::new();
    let mut keeper: Option<Watchkeeper> = None;
    for entry in journal.entries(run.id) {
        let entry = entry.unwrap();
        let keeper = keeper.get_or_insert_with(|| {
            assert!(matches!(entry.input, Input::Began { .. }), "{entry:?}");
            Watchkeeper::new(entry.now, settings.clone(), run.restored.clone())
        });
        keeper.handle(entry.now, entry.input);
        while let Some(output) = keeper.poll_output() {
            outputs.push(as_text(&output));
        }
    }
    (outputs, keeper.unwrap().saved())
}

/// Names the first output that differs.
#[track_caller]
fn assert_same(live: &[String], again: &[String]) {
    let differ = live.iter().zip(again).find(|(live, again)| live != again);
    assert_eq!(differ, None);
    assert_eq!(live.len(), again.len());
}

#[test]
fn a_rehearsal_passes_and_its_journal_replays_to_the_same_outputs() {
    let (folder, report, outputs) = rehearsed(1);
    let failed: Vec<_> = report.demands.iter().filter(|d| !d.met).collect();
    assert!(report.passed(), "{failed:#?}");
    let drag = report.drag.unwrap();
    assert!(drag.moved.get() < 30.0, "{drag:?}");
    for kind in ["Event", "Alert", "Publish", "Persist", "Reply"] {
        let some = outputs
            .iter()
            .any(|output| output.starts_with(&format!("{{\"{kind}\"")));
        assert!(some, "no output `{kind}`");
    }
    let (again, saved) = replayed(&folder);
    assert_same(&outputs, &again);
    let journal = Reader::open(folder.path()).unwrap();
    assert_eq!(journal.saved().unwrap(), saved);
    // The journal has the bottom that she lay over, reduced by the tide of the rehearsal.
    assert!(journal.has_any_sounding().unwrap());
    let run = journal.last_run().unwrap().unwrap();
    let events: Vec<String> = journal
        .events(run.started)
        .map(|event| as_text(&Output::Event(event.unwrap())))
        .collect();
    let told: Vec<String> = outputs
        .into_iter()
        .filter(|output| output.starts_with("{\"Event\""))
        .collect();
    assert_eq!(events, told);
}

/// With charts aboard: the watch's questions to them are among the outputs, their answers among the inputs, and the
/// replay needs no chart.
#[test]
fn a_crowded_night_with_a_chart_replays_to_the_same_outputs() {
    let (folder, report, outputs) = held(Name::Crowded, 1);
    let failed: Vec<_> = report.demands.iter().filter(|d| !d.met).collect();
    assert!(report.passed(), "{failed:#?}");
    let found = report.neighbour.unwrap();
    assert_eq!((found.name.as_str(), report.drag), ("Plover", None));
    let asked = outputs
        .iter()
        .filter(|output| output.starts_with("{\"AskChart\""))
        .count();
    assert!(asked >= 4, "{asked}");
    let journal = Reader::open(folder.path()).unwrap();
    let run = journal.last_run().unwrap().unwrap();
    let said = journal
        .entries(run.id)
        .filter(|entry| matches!(entry.as_ref().unwrap().input, Input::Chart(_)))
        .count();
    // Two more: that there are charts, and that she has sounded.
    assert_eq!(said, asked + 2);
    std::fs::remove_dir_all(folder.path().join("charts")).unwrap();
    let (again, saved) = replayed(&folder);
    assert_same(&outputs, &again);
    assert_eq!(journal.saved().unwrap(), saved);
    // The night is the same each time, however fast the disk is.
    let (_, second, same) = held(Name::Crowded, 1);
    assert_eq!(second.events, report.events);
    assert_eq!(same.len(), outputs.len());
}

/// When the daemon first reported the drag, and when a watch that judges after every input would have.
fn told_and_known(folder: &TempDir) -> Option<(Timestamp, Timestamp)> {
    let journal = Reader::open(folder.path()).unwrap();
    let run = journal.last_run().unwrap().unwrap();
    let mut events = journal.events(run.started).map(Result::unwrap);
    let told = events.find(Event::is_drag_alarm).unwrap().time;
    let mut config = Config::default();
    config.watch.boat = night::settings(1, folder.path().to_owned()).figures;
    let mut keeper: Option<Watchkeeper> = None;
    for entry in journal.entries(run.id) {
        let entry = entry.unwrap();
        let keeper = keeper.get_or_insert_with(|| {
            Watchkeeper::new(entry.now, config.watch_settings(), run.restored.clone())
        });
        keeper.handle(entry.now, entry.input);
        keeper.handle_timeout(entry.now);
        while let Some(output) = keeper.poll_output() {
            if let Output::Event(event) = output
                && event.is_drag_alarm()
            {
                return Some((told, event.time));
            }
        }
    }
    None
}

/// By the virtual clock, a fix arrives once a second, and the watch's own round runs once a second,
/// just before it.
#[test]
fn a_drag_is_told_with_the_fix_that_shows_it_and_not_with_the_next_round() {
    let (folder, report, _) = rehearsed(4);
    assert!(report.drag.is_some());
    let (told, known) = told_and_known(&folder).unwrap();
    let delay = told.millis_since(known);
    assert!((0..50).contains(&delay), "{delay} ms");
}

#[test]
fn the_same_seed_gives_the_same_night_and_another_seed_another() {
    let (_, first, _) = rehearsed(2);
    let (_, again, _) = rehearsed(2);
    assert_eq!(
        serde_json::to_string(&first).unwrap(),
        serde_json::to_string(&again).unwrap()
    );
    let (_, other, _) = rehearsed(3);
    assert_ne!(first.events, other.events);
    assert!(first.passed() && other.passed());
}
