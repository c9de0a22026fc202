//! Recordings explain a night: a recording made while the watch ran, the journal and a bundle of it all replay
//! to the original judgements, and a shifted bundle reveals neither where the boat lay nor which vessels lay near her.
//!
//! The nights are the rehearsals, whose boats, places and names are invented.

use std::fs::{self, File};
use std::io::{self, BufReader, Read};
use std::path::{Path, PathBuf};

use flate2::read::MultiGzDecoder;
use tempfile::TempDir;
use windrode::config::Config;
use windrode::journal::Reader;
use windrode::recording::{Bundled, bundle};
use windrode::rehearse::night::{self, Name};
use windrode::replay::compare::{Compared, compare};
use windrode::replay::{Counts, Listener, ReplayOptions, replay, replay_run, unpacked};
use windrode::speech::Wording;
use windrode::time::Timestamp;
use windrode::watch::messages::Event;

#[derive(Default)]
struct Both {
    then: Vec<Event>,
    now: Vec<Event>,
    bad: Vec<String>,
}

impl Listener for Both {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        self.now.push(event.clone());
        Ok(())
    }
    fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()> {
        self.bad.push(format!("{number}: {why}"));
        Ok(())
    }
    fn judged(&mut self, then: &Event) {
        self.then.push(then.clone());
    }
}

/// The folder of a night's journal and recording.
fn held(name: Name) -> TempDir {
    let folder = TempDir::new().unwrap();
    let place = folder.path().to_owned();
    let mut nobody = ();
    let night = night::hold(name, 1, place, Wording::default(), &mut nobody);
    assert!(crate::block_on(night).unwrap().passed());
    folder
}

fn options(name: Name) -> ReplayOptions {
    let mut config = Config::default();
    config.watch.boat = name.settings(1, PathBuf::new()).figures;
    ReplayOptions {
        settings: config.watch_settings(),
        ..ReplayOptions::default()
    }
}

fn recordings(folder: &TempDir) -> Vec<PathBuf> {
    let parts = fs::read_dir(folder.path().join("recordings")).unwrap();
    let mut parts: Vec<PathBuf> = parts.map(|part| part.unwrap().path()).collect();
    parts.sort();
    parts
}

fn played(file: &Path, name: Name) -> (Both, Counts) {
    let mut both = Both::default();
    let input = unpacked(BufReader::new(File::open(file).unwrap())).unwrap();
    let mut text = Vec::new();
    // A part that was cut off is read as far as possible.
    let _ = { input }.read_to_end(&mut text);
    let counts = replay(io::Cursor::new(text), &options(name), &mut both).unwrap();
    (both, counts)
}

fn different(both: &Both) -> Vec<Compared> {
    let compared = compare(&both.then, &both.now);
    assert!(compared.len() >= 5, "{compared:?}");
    compared.into_iter().filter(|it| !it.is_alike()).collect()
}

fn bundled(folder: &TempDir, shifted: bool) -> (PathBuf, Bundled) {
    let journal = Reader::open(folder.path()).unwrap();
    let run = journal.last_run().unwrap().unwrap();
    // Long after every night.
    let end = Timestamp::from_millis(4_000_000_000_000);
    let file = folder.path().join(format!("bundle-{shifted}.gz"));
    let out = File::create(&file).unwrap();
    let bundled = bundle(&journal, &[run], end, None, shifted, out).unwrap();
    (file, bundled)
}

#[test]
fn a_recording_the_journal_and_a_bundle_replay_to_what_was_judged() {
    let name = Name::Drag;
    let folder = held(name);
    let parts = recordings(&folder);
    assert_eq!(parts.len(), 1, "{parts:?}");
    let (recorded, counts) = played(&parts[0], name);
    assert_eq!(recorded.bad, Vec::<String>::new());
    assert!(counts.deltas > 10_000, "{counts:?}");
    assert_eq!(different(&recorded), []);

    let mut kept = Both::default();
    let journal = Reader::open(folder.path()).unwrap();
    let run = journal.last_run().unwrap().unwrap();
    replay_run(&journal, &run, &options(name), &mut kept).unwrap();
    assert_eq!(kept.bad, Vec::<String>::new());
    assert_eq!(kept.then, recorded.then);
    assert_eq!(different(&kept), []);

    let (file, bundled) = bundled(&folder, false);
    let (again, counts) = played(&file, name);
    assert_eq!(counts.inputs, bundled.inputs);
    assert_eq!((again.then, again.now), (kept.then, kept.now));
}

#[test]
fn a_shifted_bundle_judges_the_same_and_names_no_place() {
    let name = Name::Crowded;
    let folder = held(name);
    let (plain, _) = bundled(&folder, false);
    let (shifted, _) = bundled(&folder, true);
    let text = |file: &Path| {
        let mut text = String::new();
        let mut packed = MultiGzDecoder::new(File::open(file).unwrap());
        packed.read_to_string(&mut text).unwrap();
        text
    };
    let (plain_text, shifted_text) = (text(&plain), text(&shifted));
    // The names that reveal the place in the plain bundle, so that their absence in the shifted one means something.
    for telling in ["Plover", "urn:mrn:imo:mmsi:", "\"Chart\":", "m off"] {
        assert!(plain_text.contains(telling), "{telling}");
        assert!(!shifted_text.contains(telling), "{telling}");
    }
    let degrees = |name: &str| -> Vec<f64> {
        shifted_text
            .split(&format!("\"{name}\":"))
            .skip(1)
            .map(|rest| rest.split([',', '}']).next().unwrap().parse().unwrap())
            .collect()
    };
    let (latitudes, longitudes) = (degrees("latitude"), degrees("longitude"));
    assert!(latitudes.len() > 1000);
    assert!(
        longitudes
            .iter()
            .all(|longitude| (longitude + 30.0).abs() < 0.5)
    );
    assert!(
        latitudes
            .iter()
            .all(|latitude| (latitude - 45.0).abs() < 0.5)
    );
    let (both, _) = played(&shifted, name);
    assert_eq!(both.bad, Vec::<String>::new());
    let by_chart = |it: &Compared| {
        it.judgement
            .hazard
            .is_some_and(|it| it.name() == "shoaling")
    };
    let different = different(&both);
    assert!(different.iter().all(by_chart), "{different:?}");
}

#[test]
fn a_recording_that_a_power_cut_ended_is_read_as_far_as_it_goes() {
    let folder = held(Name::Drag);
    let part = recordings(&folder).remove(0);
    let whole = fs::read(&part).unwrap();
    fs::write(&part, &whole[..whole.len() / 2]).unwrap();
    let mut both = Both::default();
    let input = unpacked(BufReader::new(File::open(&part).unwrap())).unwrap();
    let counts = replay(input, &options(Name::Drag), &mut both).unwrap();
    assert!(counts.deltas > 1000, "{counts:?}");
    assert_eq!(both.bad.len(), 1, "{:?}", both.bad);
    let told = &both.bad[0];
    assert!(told.ends_with("the recording is cut off here"), "{told}");
}
