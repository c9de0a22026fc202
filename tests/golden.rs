//! Golden recordings: each `tests/recordings/NAME.jsonl.gz` goes through `windrode replay`, and
//! what comes out must be `NAME.chk` to the letter.
//!
//! `NAME.txt` says where the recording comes from, which boat and place, under what conditions,
//! what is odd about it and what is expected. A recording without either file fails. After a
//! change that means to alter the outcome, `WINDRODE_REBUILD_CHK=1 cargo test golden` writes the
//! `.chk` files again; the commit says why each of them changed.

#![expect(
    clippy::panic,
    reason = "a recording without its files fails, and says which"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

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
