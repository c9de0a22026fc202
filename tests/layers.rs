//! The layers of `src/`, as the page of `src/lib.rs` lists them: no module names one of a later layer, and
//! below *effects* nothing names what touches the machine. That such code builds without the crates that
//! touch it is the compiler's to prove: `cargo check --no-default-features --lib` in `.ci/check`.
//!
//! Weakness: it reads text. What a macro makes, or a layer passes on under another name, is not seen.

use std::fs;
use std::path::{Path, PathBuf};

/// What the standard library and `ring` can touch the machine with.
const MACHINE: &str = "std::fs std::net std::env std::os std::process std::thread io::std Instant \
                       SystemTime Timestamp::now Zoned::now SystemRandom";

#[test]
fn no_module_names_one_of_a_later_layer_or_touches_the_machine_too_early() {
    let layers = layers();
    let files = sources(Path::new("src"));
    assert!(files.len() > 50, "{} files found", files.len());
    let faults: Vec<_> = files
        .iter()
        .flat_map(|file| faults_of(&layers, file, &fs::read_to_string(file).unwrap()))
        .collect();
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn what_the_check_is_for_it_finds() {
    for (file, text, fault) in [
        ("watch/drag.rs", "use crate::io::clock;", "`io`"),
        ("units.rs", "fn f() { super::daemon::go() }", "`daemon`"),
        (
            "alert/desk/tests.rs",
            "super::super::super::cli::f",
            "`cli`",
        ),
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

/// A module, the number of its layer, and whether it stands behind the feature `machine`.
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
    let named = |name: &str| modules.iter().find(|(module, ..)| *module == name);
    let parts = file.iter().skip(1).filter(|part| *part != "mod.rs");
    let up = "super::".repeat(parts.clone().count());
    let own = Path::new(parts.clone().next().unwrap())
        .file_stem()
        .unwrap();
    let (_, layer, behind) = *named(own.to_str().unwrap()).unwrap();
    let code = text
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    let mut faults = Vec::new();
    for line in code {
        let mut tell = |what: String| faults.push(format!("{}: {what}: {line}", file.display()));
        if line.contains("crate::{") || line.contains("std::{") {
            tell("write one path a line, or this check does not see them".to_owned());
        }
        for path in line
            .split("crate::")
            .chain(line.split(&up))
            .filter(|path| *path != line)
        {
            let path = path.trim_start_matches("super::");
            let name = path
                .split(|c: char| !c.is_alphanumeric() && c != '_')
                .next();
            if name
                .and_then(named)
                .is_some_and(|(_, theirs, _)| *theirs > layer)
            {
                tell(format!("`{}` is of a later layer", name.unwrap()));
            }
        }
        if let Some(name) = MACHINE
            .split(' ')
            .find(|name| !behind && line.contains(name))
        {
            tell(format!("`{name}` touches the machine"));
        }
    }
    faults
}

/// Every file of a module; `lib.rs` and `main.rs` are of none.
fn sources(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path());
    let (folders, mut files): (Vec<_>, Vec<_>) = entries.partition(|path| path.is_dir());
    files.retain(|file| file.extension().is_some_and(|end| end == "rs"));
    files.retain(|file| !file.ends_with("src/lib.rs") && !file.ends_with("src/main.rs"));
    files.extend(folders.iter().flat_map(|folder| sources(folder)));
    files
}
