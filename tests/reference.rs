//! Where the reference data is, and the rule about tests that need it.
//!
//! Long recordings and tables from other sources are not part of the project. They are in `../shared/data` beside its
//! root, or where `WINDRODE_DATA` says. A test that needs them carries `#[ignore = "needs the reference data"]`, so
//! that `cargo test` reports it as ignored, and it fails if it runs without them. `tests/run` also runs these tests if
//! the data is there or `CI` is set. The data in every clone is in `tests/data`.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

/// A folder of the reference data; fails the test if it is missing.
#[track_caller]
pub(crate) fn folder(name: &str) -> PathBuf {
    let folder = root().join(name);
    assert!(folder.is_dir(), "{}", absent(&folder));
    folder
}

/// A folder of the extracts that are part of the project.
pub(crate) fn extract(name: &str) -> PathBuf {
    project().join("tests/data").join(name)
}

fn root() -> PathBuf {
    env::var_os("WINDRODE_DATA").map_or_else(|| project().join("../shared/data"), PathBuf::from)
}

fn project() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn absent(folder: &Path) -> String {
    format!(
        "the reference data is missing: no folder `{}`; set WINDRODE_DATA to where it is",
        folder.display()
    )
}

/// Ignored tests look like passed ones in a summary that nobody reads, so under CI this test fails without the data.
#[test]
fn under_ci_the_reference_data_is_there() {
    if env::var_os("CI").is_some() {
        assert!(root().is_dir(), "{}", absent(&root()));
    }
}

/// The extracts stay small, and each folder names its source and licence.
#[test]
fn every_folder_of_extracts_names_its_source_and_all_are_small() {
    let mut bytes = 0;
    let mut folders = 0;
    for entry in fs::read_dir(extract("")).unwrap() {
        let folder = entry.unwrap().path();
        let source = fs::read_to_string(folder.join("SOURCE.txt")).unwrap();
        for word in ["Source:", "Licence:", "Changes:"] {
            assert!(source.contains(word), "{}: {word}", folder.display());
        }
        folders += 1;
        bytes += fs::read_dir(folder)
            .unwrap()
            .map(|file| file.unwrap().metadata().unwrap().len())
            .sum::<u64>();
    }
    assert_eq!(folders, 3);
    assert!(bytes < 2_000_000, "{bytes} bytes");
}
