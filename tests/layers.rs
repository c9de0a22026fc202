//! The layers of `src/`: no module names one above it, and below *effects* nothing reaches outside the
//! process. What counts is the code: comments and texts are taken out first.
//!
//! A path is followed whether it is written `crate::…`, as a group, or by `super::` up to the root. Weakness: a
//! name that a macro makes, or one that is passed on by a lower module under another name, is not seen.

#![expect(clippy::panic, reason = "a test that finds a fault says which")]

use std::fmt;
use std::fs;
use std::path::{Path, PathBuf};

/// From the bottom up. `lib.rs` names every module and is none of them.
const LAYERS: [(&str, &[&str]); 7] = [
    ("Words", &["units", "time", "geodesy", "stats"]),
    ("Facts", &["observation", "boat"]),
    ("Judgement", &["tackle", "tide", "room", "watch", "alert"]),
    ("Protocols", &["signalk", "sentences", "outbox"]),
    ("Effects", &["io", "journal", "config"]),
    (
        "Programs",
        &["daemon", "replay", "rehearse", "measure", "report", "plot"],
    ),
    ("Face", &["cli", "main"]),
];
const EFFECTS: usize = 4;

/// Crates that reach outside, or that are dice nobody handed in.
const OUTSIDE: [&str; 9] = [
    "tokio",
    "tokio_tungstenite",
    "hyper",
    "reqwest",
    "rusqlite",
    "sd_notify",
    "rand",
    "rand_chacha",
    "getrandom",
];
/// Modules of the standard library that do.
const OUTSIDE_STD: [&str; 6] = ["fs", "net", "env", "process", "os", "thread"];
/// Clocks, by their last two names.
const CLOCKS: [[&str; 2]; 5] = [
    ["Instant", "now"],
    ["SystemTime", "now"],
    ["Timestamp", "now"],
    ["ZonedDateTime", "now"],
    ["Uuid", "new_v4"],
];

#[test]
fn no_module_names_one_above_it_and_the_judgement_reaches_nothing_outside() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let files = sources(&root);
    assert!(files.len() > 50, "{} files found", files.len());
    let mut faults = Vec::new();
    for file in &files {
        let relative = file.strip_prefix(&root).unwrap();
        faults.extend(faults_of(relative, &fs::read_to_string(file).unwrap()));
    }
    let faults: Vec<String> = faults.iter().map(ToString::to_string).collect();
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn the_crate_s_page_names_every_module_under_its_layer() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let page = fs::read_to_string(root.join("lib.rs")).unwrap();
    for module in page
        .lines()
        .filter_map(|line| line.trim().strip_prefix("pub mod ")?.strip_suffix(';'))
    {
        let (layer, _) = LAYERS
            .iter()
            .find(|(_, modules)| modules.contains(&module))
            .unwrap_or_else(|| panic!("`{module}` has no layer in tests/layers.rs"));
        let paragraph = page
            .split("\n//!\n")
            .find(|paragraph| {
                paragraph
                    .trim_start_matches("//! ")
                    .starts_with(&format!("*{layer}*"))
            })
            .unwrap_or_else(|| panic!("src/lib.rs has no paragraph `*{layer}*`"));
        assert!(
            paragraph.contains(&format!("[`{module}`]")),
            "src/lib.rs does not name `{module}` under `*{layer}*`"
        );
    }
}

/// What the check is for, it finds; what it is not for, it lets pass.
#[test]
fn the_check_sees_through_groups_supers_and_texts() {
    let found = |file: &str, text: &str| -> Vec<String> {
        faults_of(Path::new(file), text)
            .iter()
            .map(ToString::to_string)
            .collect()
    };
    let none: [String; 0] = [];
    assert_eq!(
        found(
            "watch/drag.rs",
            "use crate::units::Metres;\n\nuse crate::io::clock;\n"
        ),
        ["src/watch/drag.rs:3: Judgement names `io`, which is Effects"]
    );
    assert_eq!(
        found(
            "units.rs",
            "use crate::{stats, time::{Tick, Now},\n    watch::words};\nfn f() { super::daemon::go() }\n"
        ),
        [
            "src/units.rs:2: Words names `watch`, which is Judgement",
            "src/units.rs:3: Words names `daemon`, which is Programs",
        ]
    );
    assert_eq!(
        found(
            "watch/keeper/tests.rs",
            "use super::super::super::cli::out;\n"
        ),
        ["src/watch/keeper/tests.rs:1: Judgement names `cli`, which is Face"]
    );
    assert_eq!(
        found(
            "boat.rs",
            "mod tests {\n  use super::*;\n  use super::super::alert::desk;\n}\nuse super::time;\n"
        ),
        ["src/boat.rs:3: Facts names `alert`, which is Judgement"]
    );
    assert_eq!(
        found(
            "signalk/put.rs",
            "use std::{fmt, fs::File};\nlet t = std::time::Instant::now();\ntokio::spawn(x);\nuse rand::Rng;\n"
        ),
        [
            "src/signalk/put.rs:1: Protocols reaches outside by `std::fs`",
            "src/signalk/put.rs:2: Protocols reads `Instant::now`",
            "src/signalk/put.rs:3: Protocols reaches outside by `tokio`",
            "src/signalk/put.rs:4: Protocols reaches outside by `rand`",
        ]
    );
    assert_eq!(
        found(
            "watch/words.rs",
            "// crate::io\n/* crate::io /* tokio:: */ */\nlet a = \"crate::io \\\" tokio::\"; let b = r#\"crate::cli \" \"#;\nfn f<'a>(c: char) { c == '\"' || c == '\\''; clock.now(); self.rand(); x::tokio::y }\n"
        ),
        none
    );
    assert_eq!(
        found(
            "io/secrets.rs",
            "use crate::config::Config;\nuse std::fs;\n"
        ),
        none
    );
    assert_eq!(
        found("journal/mod.rs", "use crate::daemon::Daemon;\n").len(),
        1
    );
    assert_eq!(
        found("harbour.rs", "fn f() {}\n"),
        ["src/harbour.rs:1: `harbour` has no layer in tests/layers.rs"]
    );
}

#[derive(Debug)]
struct Fault {
    file: PathBuf,
    line: usize,
    what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "src/{}:{}: {}",
            self.file.display(),
            self.line,
            self.what
        )
    }
}

fn faults_of(file: &Path, text: &str) -> Vec<Fault> {
    let mut module: Vec<String> = file
        .with_extension("")
        .components()
        .map(|part| part.as_os_str().to_string_lossy().into_owned())
        .collect();
    if module.last().is_some_and(|name| name == "mod") {
        module.pop();
    }
    if module == ["lib"] {
        return Vec::new();
    }
    let fault = |line, what| Fault {
        file: file.to_owned(),
        line,
        what,
    };
    let Some(own) = layer(&module[0]) else {
        let what = format!("`{}` has no layer in tests/layers.rs", module[0]);
        return vec![fault(1, what)];
    };
    let mut faults = Vec::new();
    for path in paths(&tokens(text), module.len()) {
        let name = |at: usize| path.names.get(at).map_or("", String::as_str);
        if path.from_root {
            match layer(name(0)) {
                Some(theirs) if theirs > own => faults.push(fault(
                    path.line,
                    format!(
                        "{} names `{}`, which is {}",
                        LAYERS[own].0,
                        name(0),
                        LAYERS[theirs].0
                    ),
                )),
                Some(_) | None => {}
            }
        }
        if own >= EFFECTS {
            continue;
        }
        let ends = [
            name(path.names.len().wrapping_sub(2)),
            name(path.names.len() - 1),
        ];
        if CLOCKS.contains(&ends) {
            let what = format!("{} reads `{}`", LAYERS[own].0, ends.join("::"));
            faults.push(fault(path.line, what));
        } else if !path.from_root && OUTSIDE.contains(&name(0)) && path.names.len() > 1 {
            let what = format!("{} reaches outside by `{}`", LAYERS[own].0, name(0));
            faults.push(fault(path.line, what));
        } else if !path.from_root && name(0) == "std" && OUTSIDE_STD.contains(&name(1)) {
            let what = format!("{} reaches outside by `std::{}`", LAYERS[own].0, name(1));
            faults.push(fault(path.line, what));
        }
    }
    faults
}

fn layer(module: &str) -> Option<usize> {
    LAYERS
        .iter()
        .position(|(_, modules)| modules.contains(&module))
}

/// A path with all its names, those of a group each in one of its own.
struct NamedPath {
    line: usize,
    /// It starts at the crate's root, which is not among the names.
    from_root: bool,
    names: Vec<String>,
}

/// A name, or one of the marks `::`, `{`, `}`, `,`, `;`, `.`; the rest is a full stop to any path.
#[derive(Clone, Debug, PartialEq)]
enum Token {
    Name(String),
    Mark(&'static str),
    Other,
}

/// All paths of a file whose module lies `depth` below the root.
fn paths(tokens: &[(usize, Token)], depth: usize) -> Vec<NamedPath> {
    let mut found = Vec::new();
    let mut inline: Vec<usize> = Vec::new();
    let mut braces = 0;
    let mut at = 0;
    while let Some((_, token)) = tokens.get(at) {
        let before = at.checked_sub(1).map(|place| &tokens[place].1);
        match token {
            Token::Name(word) if word == "mod" && mark(tokens, at + 2, "{") => {
                braces += 1;
                inline.push(braces);
                at += 3;
            }
            Token::Name(_)
                if before != Some(&Token::Mark("::")) && before != Some(&Token::Mark(".")) =>
            {
                at = path(tokens, at, &[], depth + inline.len(), &mut found);
            }
            Token::Mark("{") => {
                braces += 1;
                at += 1;
            }
            Token::Mark("}") => {
                if inline.last() == Some(&braces) {
                    inline.pop();
                }
                braces -= 1;
                at += 1;
            }
            Token::Name(_) | Token::Mark(_) | Token::Other => at += 1,
        }
    }
    found
}

/// Reads one path that goes on from `stem`, and gives the place behind it.
fn path(
    tokens: &[(usize, Token)],
    mut at: usize,
    stem: &[String],
    depth: usize,
    found: &mut Vec<NamedPath>,
) -> usize {
    let mut names = stem.to_vec();
    let line = tokens[at].0;
    while let Some((_, Token::Name(name))) = tokens.get(at) {
        names.push(name.clone());
        at += 1;
        if !mark(tokens, at, "::") {
            break;
        }
        at += 1;
        if mark(tokens, at, "{") {
            at += 1;
            // Inside a group: names, marks between them, and groups that `path` reads itself.
            while tokens.get(at).is_some() && !mark(tokens, at, "}") {
                at = match tokens[at].1 {
                    Token::Name(_) => path(tokens, at, &names, depth, found),
                    Token::Mark(_) | Token::Other => at + 1,
                };
            }
            return at + 1;
        }
    }
    let supers = names.iter().take_while(|name| *name == "super").count();
    let from_root = names[0] == "crate" || supers == depth;
    let skipped = if names[0] == "crate" { 1 } else { supers };
    if names.len() > skipped && (supers == 0 || from_root) {
        names.drain(..skipped);
        found.push(NamedPath {
            line,
            from_root,
            names,
        });
    }
    at
}

fn mark(tokens: &[(usize, Token)], at: usize, wanted: &str) -> bool {
    matches!(tokens.get(at), Some((_, Token::Mark(mark))) if *mark == wanted)
}

/// The code's names and marks with their lines, without comments, texts and characters.
fn tokens(text: &str) -> Vec<(usize, Token)> {
    let mut tokens = Vec::new();
    let mut rest = text;
    let mut line = 1;
    while let Some(first) = rest.chars().next() {
        let (length, token) = if rest.starts_with("//") {
            (rest.find('\n').unwrap_or(rest.len()), None)
        } else if rest.starts_with("/*") {
            (comment(rest), None)
        } else if let Some(length) = literal(rest) {
            (length, Some(Token::Other))
        } else if first.is_alphabetic() || first == '_' {
            let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_');
            let name = &rest[..end.unwrap_or(rest.len())];
            (name.len(), Some(Token::Name(name.to_owned())))
        } else if first.is_whitespace() {
            (first.len_utf8(), None)
        } else {
            let marks = ["::", "{", "}", ",", ";", "."];
            let mark = marks.into_iter().find(|mark| rest.starts_with(mark));
            mark.map_or((first.len_utf8(), Some(Token::Other)), |mark| {
                (mark.len(), Some(Token::Mark(mark)))
            })
        };
        if let Some(token) = token {
            tokens.push((line, token));
        }
        line += rest[..length].matches('\n').count();
        rest = &rest[length..];
    }
    tokens
}

/// Length of the comment, those inside it included.
fn comment(text: &str) -> usize {
    let mut depth = 0;
    let mut at = 0;
    while at < text.len() {
        if text[at..].starts_with("/*") {
            depth += 1;
            at += 2;
        } else if text[at..].starts_with("*/") {
            depth -= 1;
            at += 2;
            if depth == 0 {
                return at;
            }
        } else {
            at += text[at..].chars().next().map_or(1, char::len_utf8);
        }
    }
    text.len()
}

/// Length of the text or character that begins here, if one does; a lifetime is neither.
fn literal(text: &str) -> Option<usize> {
    let body = text.trim_start_matches(['b', 'c']);
    let prefix = text.len() - body.len();
    if let Some(raw) = body.strip_prefix('r') {
        let hashes = raw.len() - raw.trim_start_matches('#').len();
        let inner = raw[hashes..].strip_prefix('"')?;
        let end = format!("\"{}", "#".repeat(hashes));
        let length = inner.find(&end).unwrap_or(inner.len()) + end.len();
        return Some((prefix + 1 + hashes + 1 + length).min(text.len()));
    }
    let quote = body.chars().next().filter(|c| ['"', '\''].contains(c))?;
    if quote == '\'' {
        let mut inside = body.chars().skip(1);
        let is_character = inside.next() == Some('\\') || inside.next() == Some('\'');
        if !is_character {
            return None;
        }
    }
    let mut escaped = false;
    for (at, c) in body.char_indices().skip(1) {
        if escaped {
            escaped = false;
        } else if c == '\\' {
            escaped = true;
        } else if c == quote {
            return Some(prefix + at + 1);
        }
    }
    Some(text.len())
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(sources(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}
