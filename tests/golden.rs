//! Golden recordings: each `tests/recordings/NAME.jsonl.gz` goes through `windrode replay`, and the
//! output must be exactly `NAME.chk`.
//!
//! `NAME.txt` says where the recording comes from, which boat and place, under what conditions,
//! what is unusual about it and what is expected. A recording without either file fails. After an
//! intended change of the outcome, `WINDRODE_REBUILD_CHK=1 cargo test golden` writes the `.chk`
//! files again; the commit says why each of them changed.

#![expect(
    clippy::panic,
    reason = "a recording without its files fails, and says which"
)]

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use flate2::Compression;
use flate2::write::GzEncoder;
use windrode::rehearse::library;
use windrode::rehearse::library::player::Player;
use windrode::rehearse::library::script::Script;
use windrode::speech::Wording;

fn recordings() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/recordings");
    let mut found: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(".jsonl.gz"))
        .collect();
    found.sort();
    found
}

fn beside(recording: &Path, ending: &str) -> PathBuf {
    let name = recording.to_string_lossy().replace(".jsonl.gz", ending);
    PathBuf::from(name)
}

/// With `WINDRODE_REBUILD_RECORDINGS=1` the library's nights that are kept as recordings run again and are written
/// with their headers.
#[test]
fn the_library_s_recordings_are_written_again_where_asked() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/recordings");
    for name in RECORDED {
        let script = library::named(name).unwrap().unwrap();
        let file = folder.join(format!("{name}.jsonl.gz"));
        if std::env::var_os("WINDRODE_REBUILD_RECORDINGS").is_none() {
            assert!(file.exists(), "{}", file.display());
            continue;
        }
        let start = "2026-06-01T18:00:00Z".parse().unwrap();
        let mut player = Player::new(&script, 1, Wording::default(), start);
        player.record();
        while !player.is_over() {
            player.step(&mut ());
        }
        let mut lines = player.take_record().join("\n");
        lines.push('\n');
        let mut packed = GzEncoder::new(Vec::new(), Compression::best());
        packed.write_all(lines.as_bytes()).unwrap();
        fs::write(file, packed.finish().unwrap()).unwrap();
        fs::write(folder.join(format!("{name}.txt")), header(&script)).unwrap();
    }
}

fn header(script: &Script) -> String {
    let wrapped = |lead: &str, text: &str| {
        windrode::cli::status::wrapped_to(lead, "            ", text).join("\n")
    };
    let story = script.story.replace('\n', " ");
    let odd = script.happenings.iter().map(|it| {
        let minutes = it.at.as_secs() / 60;
        format!("{}:{:02} {}", 18 + minutes / 60, minutes % 60, it.say)
    });
    let odd: Vec<String> = odd
        .chain(script.assumptions.iter().map(|it| format!("assumed: {it}")))
        .collect();
    let expected = script.must.iter().map(|it| format!("`{}`", it.hazard));
    let expected: std::collections::BTreeSet<String> = expected.collect();
    let expected: Vec<String> = expected.into_iter().collect();
    let known = script.must_not.iter().find_map(|it| it.known.clone());
    let expected = if let Some(known) = known {
        format!("known to fail: {known}")
    } else if expected.is_empty() {
        "no alert that the night's file forbids".to_owned()
    } else {
        format!(
            "{} as the night's file says, and no false drag",
            expected.join(", ")
        )
    };
    let lines = [
        wrapped(
            "origin      ",
            &format!(
                "the night `{}` of the library, simulated with seed 1; no boat was recorded",
                script.name
            ),
        ),
        wrapped(
            "boat        ",
            &format!(
                "Tern, 11.2 m, antenna 9.1 m aft of the stem, {} of rode; a reading every 5 s",
                script.rode
            ),
        ),
        wrapped("place       ", "an invented cove at 59°51'N 023°16'E"),
        wrapped("conditions  ", &story),
        wrapped(
            "oddities    ",
            if odd.is_empty() {
                "none".to_owned()
            } else {
                odd.join("; ")
            }
            .as_str(),
        ),
        wrapped("expected    ", &expected),
    ];
    lines.join("\n") + "\n"
}

/// The nights kept as recordings.
const RECORDED: [&str; 12] = [
    "quiet",
    "front",
    "reversal",
    "squall",
    "mud",
    "weed",
    "trip",
    "neighbour",
    "lost",
    "jumps",
    "springs",
    "unmarked",
];

#[test]
fn every_recording_tells_its_story_to_the_letter() {
    let found = recordings();
    assert!(!found.is_empty());
    for recording in found {
        let output = Command::new(env!("CARGO_BIN_EXE_windrode"))
            .env_remove("WINDRODE_CONFIG")
            .arg("replay")
            .arg(&recording)
            .output()
            .unwrap();
        assert!(output.status.success(), "{output:?}");
        let told = format!(
            "{}{}",
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr)
        );
        let check = beside(&recording, ".chk");
        if std::env::var_os("WINDRODE_REBUILD_CHK").is_some() {
            fs::write(&check, &told).unwrap();
        }
        let expected = fs::read_to_string(&check)
            .unwrap_or_else(|error| panic!("{}: {error}", check.display()));
        assert_eq!(told, expected, "{}", recording.display());
    }
}

#[test]
fn every_recording_says_where_it_comes_from() {
    for recording in recordings() {
        let header = beside(&recording, ".txt");
        let text = fs::read_to_string(&header)
            .unwrap_or_else(|error| panic!("{}: {error}", header.display()));
        for field in [
            "origin",
            "boat",
            "place",
            "conditions",
            "oddities",
            "expected",
        ] {
            let told = text.lines().any(|line| line.starts_with(field));
            assert!(told, "{}: no `{field}`", header.display());
        }
    }
}
