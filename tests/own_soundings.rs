//! A rehearsed night goes into the journal of a real daemon, with its soundings. They answer later questions to the
//! program, and a restart keeps them. The boat and the bay are invented.

use std::fs;
use std::process::Command;

use serde_json::Value;
use tempfile::TempDir;
use windrode::chart::own::{OwnSounding, ReducedBy};
use windrode::chart::shape::Extent;
use windrode::geodesy::Position;
use windrode::journal::{Journal, Reader};
use windrode::observation::{Fact, Label, Report, Subject};
use windrode::time::{Now, Tick, Timestamp};
use windrode::units::{Bearing, Metres};
use windrode::watch::engine::Watchkeeper;
use windrode::watch::messages::{Entry, Input, Output};
use windrode::watch::saved::Saved;
use windrode::watch::settings::WatchSettings;

const COVE: Position = Position::of(59.8539, 23.26);

fn at(second: u64) -> Now {
    let begin: Timestamp = "2026-05-03T08:00:00Z".parse().unwrap();
    Now::new(Tick::START, begin).plus(std::time::Duration::from_secs(second))
}

/// A boat of 1.9 m draught that crosses the cove from west to east, a metre a second; the bottom rises to 2.0 m below chart datum in the
/// middle. The tide stands 0.8 m above datum.
fn reports(second: u64) -> Vec<Report> {
    let east = second as f64 - 150.0;
    let place = COVE.moved(Bearing::from_degrees(90.0), Metres::of(east));
    let depth = 2.8 + east.abs() / 40.0;
    let report = |source: &str, facts| Report {
        subject: Subject::Own,
        source: Label::new(source),
        stamp: Some(at(second).utc),
        facts,
    };
    vec![
        report(
            "table",
            vec![
                Fact::TideNow(Metres::new(0.8)),
                Fact::TideHigh(Metres::new(1.4)),
                Fact::TideLow(Metres::new(0.1)),
            ],
        ),
        report(
            "boat",
            vec![
                Fact::AntennaFromBow(Metres::new(5.0)),
                Fact::Length(Metres::new(10.0)),
                Fact::HeadingTrue(Some(Bearing::from_degrees(90.0))),
                Fact::DepthBelowSurface(Metres::new(depth)),
                Fact::Position(Some(place)),
            ],
        ),
    ]
}

/// The watch receives the crossing; the journal keeps the inputs and her soundings.
fn crossed(folder: &TempDir) -> Vec<OwnSounding> {
    let batch = std::time::Duration::from_secs(30);
    let (mut journal, _) = Journal::open(folder.path(), batch, at(0)).unwrap();
    let mut watch = Watchkeeper::new(at(0), WatchSettings::default(), Saved::default());
    let mut kept = Vec::new();
    let mut take = |now: Now, input: Input| {
        journal
            .record(Entry {
                now,
                input: input.clone(),
            })
            .unwrap();
        watch.handle(now, input);
        while let Some(output) = watch.poll_output() {
            if let Output::KeepSoundings(soundings) = output {
                journal.keep_soundings(&soundings).unwrap();
                kept.extend(soundings);
            }
        }
    };
    take(at(0), Input::Began { last_seen: None });
    for second in 1..300 {
        for report in reports(second) {
            take(at(second), Input::Report(report));
        }
        take(at(second), Input::Timeout);
    }
    take(at(300), Input::Stopping);
    journal.close(at(301)).unwrap();
    kept
}

/// A replay of the journal must keep the same soundings.
fn replayed(folder: &TempDir) -> Vec<OwnSounding> {
    let reader = Reader::open(folder.path()).unwrap();
    let run = reader.last_run().unwrap().unwrap();
    let mut watch = Watchkeeper::new(at(0), WatchSettings::default(), run.restored);
    let mut kept = Vec::new();
    for entry in reader.entries(run.id) {
        let entry = entry.unwrap();
        watch.handle(entry.now, entry.input);
        while let Some(output) = watch.poll_output() {
            if let Output::KeepSoundings(soundings) = output {
                kept.extend(soundings);
            }
        }
    }
    kept
}

fn program(folder: &TempDir, arguments: &[&str]) -> (Value, String) {
    let here = folder.path().display();
    let config = folder.path().join("tern.toml");
    fs::write(&config, format!("[journal]\ndirectory = \"{here}\"\n")).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_windrode"))
        .arg("--config")
        .arg(&config)
        .args(arguments)
        .output()
        .unwrap();
    let errors = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{errors}");
    let text = String::from_utf8(output.stdout).unwrap();
    (serde_json::from_str(&text).unwrap_or(Value::Null), text)
}

#[test]
fn a_crossing_is_kept_and_answers_later_questions() {
    let folder = TempDir::new().unwrap();
    let kept = crossed(&folder);
    assert!((45..90).contains(&kept.len()), "{}", kept.len());
    assert_eq!(replayed(&folder), kept);
    // After one restart and another they are still there.
    for restart in 1..=2_u64 {
        let batch = std::time::Duration::from_secs(30);
        let (journal, _) = Journal::open(folder.path(), batch, at(1000 * restart)).unwrap();
        let found = journal
            .reader()
            .soundings(&Extent::about(COVE, 200.0))
            .unwrap();
        assert_eq!(found.len(), kept.len());
        assert!(found.iter().all(|it| it.tide == ReducedBy::Server));
        let least = found[0].depth.get();
        // 2.8 m over the bank, minus the tide.
        assert!((least - 2.0).abs() < 0.06, "{least}");
        journal.close(at(1000 * restart + 10)).unwrap();
    }
    // There is no chart: the soundings are the only data, and cover only the track.
    let cove = "59.8539,23.26";
    let circle = [
        "chart",
        "clear",
        cove,
        "--radius",
        "40m",
        "--draught",
        "1.9m",
        "--low-water",
        "0.1m",
    ];
    let (answer, _) = program(&folder, &[&circle[..], &["--json"]].concat());
    assert_eq!(answer["soundings"]["governs"], true);
    assert_eq!(answer["shareNotCovered"], 1.0);
    let told = answer["reasons"][1].as_str().unwrap();
    assert!(
        told.starts_with("0.2 m under the keel at low water, minimum 0.5 m: own sounding 2 m on 2026-05-03, tide from the data server"),
        "{told}"
    );
    let (_, page) = program(&folder, &circle);
    assert!(page.contains("they cover only where the boat"), "{page}");
    let plan = [
        "plan",
        "--berth",
        cove,
        "--draught",
        "1.9m",
        "--roller",
        "1.2m",
    ];
    let (_, page) = program(&folder, &plan);
    // Lines break where the screen ends.
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(page.contains("no chart gives it"), "{page}");
    assert!(page.contains("own sounding 2 m on 2026-05-03"), "{page}");
    // The shoalest sounding of each square does not show the greatest depth.
    assert!(
        page.contains("depth 2 m or more, no chart gives it")
            && page.contains("this rode is for the shoalest sounding and may be TOO SHORT, sound the berth before letting go"),
        "{page}"
    );
    let (told, _) = program(&folder, &[&plan[..], &["--json"]].concat());
    assert_eq!(told["berth"]["mayBeDeeper"], true);
    assert_eq!(told["berth"]["charted"]["most"], Value::Null);
    // With a depth entered by the crew, the plan uses that one.
    let (_, page) = program(&folder, &[&plan[..], &["--depth", "4m"]].concat());
    assert!(!page.contains("TOO SHORT"), "{page}");
}

/// A journal that a daemon holds open: first the soundings near a place are removed, then the rest, then none are
/// left.
#[test]
fn the_crew_removes_soundings_beside_a_daemon() {
    let folder = TempDir::new().unwrap();
    let all = crossed(&folder).len();
    let batch = std::time::Duration::from_secs(30);
    let (journal, _) = Journal::open(folder.path(), batch, at(1000)).unwrap();
    let about = Extent::about(COVE, 500.0);
    let left = || journal.reader().soundings(&about).unwrap();
    let forget = ["chart", "forget-soundings"];
    let near = ["--position", "59.8539,23.26", "--within", "20m"];
    let (_, told) = program(&folder, &[&forget[..], &near].concat());
    let after = left();
    assert!(
        after
            .iter()
            .all(|it| COVE.distance_to(it.position).get() > 20.0)
    );
    let gone = all - after.len();
    assert!((4..=12).contains(&gone), "{gone}");
    assert_eq!(told, format!("{gone} soundings were removed\n"));
    let (_, told) = program(&folder, &forget);
    assert_eq!(told, format!("{} soundings were removed\n", after.len()));
    assert_eq!(left(), []);
    let (_, told) = program(&folder, &forget);
    assert_eq!(told, "there were no soundings to remove\n");
    journal.close(at(1010)).unwrap();
}
