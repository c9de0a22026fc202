//! The layers of `src/`, as the documentation of `src/lib.rs` lists them: no module names one of a later
//! layer, and below *effects* nothing names what touches the machine. The compiler proves that such code
//! builds without the crates that touch it: `cargo check --no-default-features --lib` in `.ci/check`.
//!
//! Weakness: it reads text. It does not see macro output, or a name that a layer re-exports under another name.

use std::fs;
use std::path::{Path, PathBuf};

/// The parts of the standard library and `ring` that touch the machine.
const MACHINE: &str = "std::fs std::net std::env std::os std::process std::thread io::std Instant \
                       SystemTime Timestamp::now Zoned::now SystemRandom";

#[test]
fn no_module_names_one_of_a_later_layer_or_touches_the_machine_too_early() {
    let layers = layers();
    let files = sources(Path::new("src"));
    assert!(files.len() > 50, "{} files found", files.len());
    for file in files {
        let faults = faults_of(&layers, &file, &fs::read_to_string(&file).unwrap());
        assert!(faults.is_empty(), "{faults:#?}");
    }
}

#[test]
fn what_the_check_is_for_it_finds() {
    for (file, text, fault) in [
        ("watch/drag.rs", "use crate::io::clock;", "`io`"),
        ("units.rs", "fn f() { super::daemon::go() }", "`daemon`"),
        ("alert/desk/a.rs", "super::super::super::cli;", "`cli`"),
        ("boat.rs", "use crate::{time, watch};", "one path"),
        ("time.rs", "use std::{fmt, fs};", "one path"),
        ("tide/turns.rs", "std::env::var(\"A\")", "`std::env`"),
        ("watch/drag.rs", "// crate::cli\nuse crate::units;", ""),
        ("io/clock.rs", "use std::fs;\nuse crate::watch;", ""),
    ] {
        let found = faults_of(&layers(), &Path::new("src").join(file), text).join("\n");
        assert!(found.contains(fault), "{file}: {found}");
        assert_eq!(found.is_empty(), fault.is_empty(), "{file}: {found}");
    }
}

/// A module, the number of its layer, and whether it needs the feature `machine`.
type Module = (&'static str, usize, bool);

fn layers() -> Vec<Module> {
    let page = include_str!("../src/lib.rs");
    let mut modules = Vec::new();
    for (layer, paragraph) in page.split("\n//!\n//! *").enumerate().skip(1) {
        let paragraph = paragraph.split("\n//!\n").next().unwrap();
        for name in paragraph.split("[`").skip(1) {
            let name = name.split('`').next().unwrap();
            let declared = format!("\npub mod {name};");
            assert!(page.contains(&declared), "only the page has `{name}`");
            let behind = format!("\n#[cfg(feature = \"machine\")]{declared}");
            modules.push((name, layer, page.contains(&behind)));
        }
    }
    let declared = page.matches("\npub mod ").count();
    assert_eq!(modules.len(), declared, "a module is not on the page");
    assert!(modules.is_sorted_by_key(|(.., behind)| *behind));
    modules
}

fn faults_of(modules: &[Module], file: &Path, text: &str) -> Vec<String> {
    let parts: Vec<&str> = file.iter().filter_map(|part| part.to_str()).collect();
    let depth = parts.iter().skip(1).filter(|part| **part != "mod.rs");
    let up = "super::".repeat(depth.count());
    let own = parts[1].trim_end_matches(".rs");
    let (_, layer, behind) = *modules.iter().find(|(name, ..)| *name == own).unwrap();
    let later: Vec<_> = modules.iter().filter(|(_, at, _)| *at > layer).collect();
    let mut faults = Vec::new();
    for line in text.lines().filter(|line| !line.trim().starts_with("//")) {
        let mut tell = |what: &str| faults.push(format!("{}: {what}: {line}", file.display()));
        if line.contains("crate::{") || line.contains("std::{") {
            tell("write one path a line, or this check does not see them");
        }
        for path in line.split("crate::").skip(1).chain(line.split(&up).skip(1)) {
            let path = path.trim_start_matches("super::");
            let named = path
                .split(|c: char| !c.is_alphanumeric() && c != '_')
                .next();
            if let Some((name, ..)) = later.iter().find(|(name, ..)| named == Some(name)) {
                tell(&format!("`{name}` is of a later layer"));
            }
        }
        for name in MACHINE
            .split(' ')
            .filter(|name| !behind && line.contains(name))
        {
            tell(&format!("`{name}` touches the machine"));
        }
    }
    faults
}

/// Every file of a module; `lib.rs` and `main.rs` belong to none.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let (folders, mut files): (Vec<_>, Vec<_>) = paths.partition(|path| path.is_dir());
    files.retain(|file| file.extension().is_some_and(|end| end == "rs"));
    files.retain(|file| !file.ends_with("src/lib.rs") && !file.ends_with("src/main.rs"));
    files.extend(folders.iter().flat_map(|folder| sources(folder)));
    files
}
