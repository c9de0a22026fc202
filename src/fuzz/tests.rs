#![allow(clippy::unwrap_used)]
//! Each seed of `tests/fuzz/seeds`, and what a run of the targets found once.

use super::*;

#[test]
fn every_seed_is_taken_and_no_promise_is_broken() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/seeds");
    let mut bytes = 0;
    for target in TARGETS {
        let mut seeds = 0;
        for entry in std::fs::read_dir(folder.join(target.name)).unwrap() {
            let path = entry.unwrap().path();
            let seed = std::fs::read(&path).unwrap();
            bytes += seed.len();
            seeds += 1;
            let kept = (target.feed)(&seed);
            assert_eq!(kept, Ok(()), "{}", path.display());
        }
        assert!(seeds > 0, "`{}` has no seeds", target.name);
    }
    assert!(bytes < 100_000, "{bytes} bytes of seeds");
}

#[test]
fn every_target_has_a_program_that_feeds_it() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz");
    let manifest = std::fs::read_to_string(folder.join("Cargo.toml")).unwrap();
    for target in TARGETS {
        let name = target.name;
        let program = std::fs::read_to_string(folder.join(format!("targets/{name}.rs"))).unwrap();
        assert!(program.contains(&format!("fuzz::{name}(")), "{name}");
        assert!(
            manifest.contains(&format!("path = \"targets/{name}.rs\"")),
            "{name}"
        );
    }
}

/// The seeds reach what they are for: a fuzzer that starts at the door learns little.
#[test]
fn the_seeds_get_past_the_first_check() {
    let read = |path: &str| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/seeds");
        std::fs::read_to_string(folder.join(path)).unwrap()
    };
    let mint = Mint::new(b"a key for tests, of 32 bytes, ok");
    assert!(mint.read(&read("reply/genuine")).is_ok());
    let (_, line) = push::message(read("reply/stream").trim().as_bytes()).unwrap();
    assert!(mint.read(&line).is_ok());
    let mut reading = Reading::of("FUZZ");
    reading.take(&read("chart/anchorage"), None).unwrap();
    assert!(Cell::of(reading, &mut Faults::default()).is_ok());
    let catalogue = Catalogue::parse(&read("tide/stations")).unwrap();
    assert!(catalogue.predictor(&catalogue.stations()[0]).is_some());
    let text = read("config/full");
    Config::of_text(&text, Path::new("windrode.toml")).unwrap();
    for line in read("journal/night").lines() {
        serde_json::from_str::<crate::watch::messages::Entry>(line).unwrap();
    }
    let mut boat = Boat::at_anchor();
    assert_eq!(boat.saved().phase.name(), "setting");
    boat.hear(read("frame/weigh").trim()).unwrap();
    assert_eq!(boat.saved().phase.name(), "aweigh");
}
