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

/// The seeds reach the code they are meant for: a fuzzer that fails the first check learns little.
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

/// `tests/fuzz/run` does this for minutes, guided by coverage; here it runs for a second without: seeds with bytes
/// flipped, cut out, repeated and copied in from elsewhere. `WINDRODE_MUTATIONS` sets the number for each target.
#[test]
fn seeds_that_are_mutilated_break_no_promise() {
    use rand_chacha::ChaCha8Rng;
    use rand_chacha::rand_core::{Rng as _, SeedableRng as _};
    let most = std::env::var("WINDRODE_MUTATIONS").map_or(60, |most| most.parse().unwrap());
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/seeds");
    for target in TARGETS {
        let mut paths: Vec<_> = std::fs::read_dir(folder.join(target.name))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .collect();
        paths.sort();
        let seeds: Vec<Vec<u8>> = paths.iter().map(|p| std::fs::read(p).unwrap()).collect();
        let mut dice = ChaCha8Rng::seed_from_u64(11);
        let mut below = |most: usize| dice.next_u32() as usize % most.max(1);
        for number in 0..most {
            let mut bytes = seeds[below(seeds.len())].clone();
            for _ in 0..=below(4) {
                let place = below(bytes.len());
                let end = (place + 1 + below(24)).min(bytes.len());
                match below(5) {
                    0 if place < bytes.len() => bytes[place] ^= 1 << below(8),
                    1 => drop(bytes.drain(place..end)),
                    2 => {
                        let again = bytes[place..end].to_vec();
                        bytes.splice(place..place, again);
                    }
                    3 => {
                        let number = NUMBERS[below(NUMBERS.len())];
                        let digits = |b: &u8| b.is_ascii_digit() || matches!(b, b'.' | b'-');
                        let from = place + bytes[place..].iter().position(digits).unwrap_or(0);
                        let count = bytes[from..].iter().take_while(|b| digits(b)).count();
                        bytes.splice(from..from + count, number.bytes());
                    }
                    _ => {
                        let other = &seeds[below(seeds.len())];
                        let from = below(other.len());
                        let to = (from + 40).min(other.len());
                        bytes.splice(place..place, other[from..to].iter().copied());
                    }
                }
            }
            let kept = (target.feed)(&bytes);
            let text = String::from_utf8_lossy(&bytes);
            assert_eq!(kept, Ok(()), "{} {number}: {text}", target.name);
        }
    }
}

/// What numbers are replaced with.
const NUMBERS: [&str; 10] = [
    "0",
    "-1",
    "1e308",
    "-1e308",
    "1e-308",
    "180",
    "90.0000001",
    "9223372036854775807",
    "18446744073709551616",
    "4294967295",
];
