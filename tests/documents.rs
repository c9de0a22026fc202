//! The documents describe the program correctly: README, DEVELOPERS and the manual are compared with it.

#![expect(clippy::panic, reason = "a test that finds a fault says which")]

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use tempfile::TempDir;

use super::threats::{gather, root};

/// Rows of the table under a heading of the README, without the head.
fn table(page: &str, heading: &str) -> Vec<Vec<String>> {
    let part = page
        .split_once(&format!("\n{heading}\n"))
        .unwrap_or_else(|| panic!("no heading `{heading}`"))
        .1;
    let rows: Vec<Vec<String>> = part
        .lines()
        .skip_while(|line| !line.starts_with('|'))
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells = line.trim().trim_matches('|').split('|');
            cells.map(|cell| cell.trim().to_owned()).collect()
        })
        .skip(2)
        .collect();
    assert!(!rows.is_empty(), "no table under `{heading}`");
    rows
}

/// The text of a cell without the backticks around it.
fn code(cell: &str) -> &str {
    cell.trim_matches('`')
}

#[test]
fn the_readme_opens_with_the_job_in_one_paragraph_and_has_its_headings_in_order() {
    let page = read("README.md");
    let job = page.split("\n\n").nth(1).unwrap();
    for word in [
        "skipper",
        "short-handed",
        "small computer",
        "Signal K server",
        "wakes the crew",
    ] {
        assert!(
            flat(job).contains(word),
            "the first paragraph does not say `{word}`"
        );
    }
    let headings: Vec<&str> = page
        .lines()
        .filter_map(|line| line.strip_prefix("## "))
        .collect();
    assert_eq!(
        headings,
        [
            "What it is not",
            "A night",
            "Try it without leaving the berth",
            "Install",
            "Connect",
            "At anchor",
            "Phones",
            "When something is wrong",
            "Where the rest is",
            "Licence",
        ]
    );
}

/// It takes ten minutes to read; longer texts belong in the manuals.
#[test]
fn the_readme_has_at_most_1800_words() {
    let words = read("README.md").split_whitespace().count();
    assert!((800..=1800).contains(&words), "{words} words");
}

/// `windrode rehearse --picture deploy/drag.png` redraws it.
#[test]
fn the_readme_s_picture_is_the_phone_s_and_small() {
    let page = read("README.md");
    assert!(page.contains("<img src=\"deploy/drag.png\""));
    let picture = fs::read(root().join("deploy/drag.png")).unwrap();
    assert!(picture.len() < 60_000, "{} bytes", picture.len());
    // The PNG specification: eight bytes of signature, then `IHDR` with width and height.
    assert_eq!(&picture[..8], b"\x89PNG\r\n\x1a\n");
    assert_eq!(&picture[12..16], b"IHDR");
    let size = |at: usize| u32::from_be_bytes(picture[at..at + 4].try_into().unwrap());
    assert_eq!((size(16), size(20)), (720, 1200));
}

#[test]
fn the_readme_s_configuration_is_taken() {
    let page = read("README.md");
    let blocks: Vec<String> = page
        .split("```toml\n")
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap().replace("\n   ", "\n"))
        .collect();
    assert_eq!(blocks.len(), 2);
    for (block, key) in blocks
        .iter()
        .zip(["boat.draught = ", "push.skipper.topic = "])
    {
        let output = super::cli::Windrode::new(&["check", "--offline"])
            .config(block.trim_start())
            .output();
        assert_eq!(
            output.status.code(),
            Some(0),
            "{block}: {}",
            stderr(&output)
        );
        assert!(stdout(&output).contains(key), "{}", stdout(&output));
    }
}

#[test]
fn the_cautions_stand_in_readme_manual_and_help() {
    let help = flat(&stdout(&windrode(&["--help"])));
    let manual = flat(&read("deploy/man/windrode.1"));
    let page = flat(&read("README.md"));
    let caution = "not a substitute for a proper lookout and anchor watch, the skipper's judgement, \
                   local rules and licensed practice";
    for (name, text) in [("README", &page), ("manual", &manual), ("help", &help)] {
        assert!(text.contains(caution), "{name}");
        assert!(text.contains("Not for navigation"), "{name}");
    }
    for (name, text) in [("README", &page), ("manual", &manual)] {
        assert!(text.contains("not type approved"), "{name}");
    }
}

#[test]
fn the_readme_s_two_commands_are_there() {
    let page = read("README.md");
    assert!(page.contains("\ncargo run --release -- rehearse "));
    assert!(page.contains("\ntests/run "));
    assert!(root().join("tests/run").exists());
    for file in files_named(&page).chain(files_named(&read("DEVELOPERS.md"))) {
        assert!(
            root().join(&file).exists() || root().join("src").join(&file).exists(),
            "`{file}`"
        );
    }
}

/// Orders and commands are parsed as written, up to the point where they would be carried out.
#[test]
fn every_command_in_the_documents_is_understood() {
    let mut written = BTreeSet::new();
    let manual = read("deploy/man/windrode.1").replace("\\-", "-");
    for page in [read("README.md"), read("DEVELOPERS.md"), manual.clone()] {
        for piece in page.split('`').skip(1).step_by(2).chain(page.lines()) {
            let piece = piece.split(" #").next().unwrap_or(piece);
            let command = piece
                .trim_start_matches("sudo -u windrode ")
                .replace("cargo run --release -- ", "windrode ");
            if let Some(arguments) = command.strip_prefix("windrode ")
                && piece.trim() == piece
                && arguments.starts_with(|c: char| c.is_ascii_lowercase() || c == '-')
                && !arguments.starts_with("- ")
                && is_command(arguments)
            {
                written.insert(arguments.to_owned());
            }
        }
    }
    for arguments in &written {
        let mut arguments: Vec<&str> = arguments.split_whitespace().collect();
        arguments.push("--help");
        let output = windrode(&arguments);
        assert_eq!(
            output.status.code(),
            Some(0),
            "{arguments:?}: {}",
            stderr(&output)
        );
    }
    assert!(written.len() > 30, "{written:?}");
    // The manual describes each of them.
    let told: BTreeSet<String> = part(&manual, "COMMANDS")
        .lines()
        .filter_map(|line| line.strip_prefix(".SS "))
        .map(str::to_owned)
        .collect();
    assert_eq!(told, commands());
    assert!(read("deploy/windrode.service").contains("ExecStart=/usr/bin/windrode run\n"));
}

/// A section of a manual page.
fn part<'a>(manual: &'a str, heading: &str) -> &'a str {
    let (_, rest) = manual
        .split_once(&format!("\n.SH {heading}\n"))
        .unwrap_or_else(|| panic!("no section `{heading}`"));
    rest.split("\n.SH ").next().unwrap_or(rest)
}

#[test]
fn exit_codes_are_those_of_the_program() {
    let mut codes: BTreeSet<u8> = read("src/cli/out.rs")
        .lines()
        .filter_map(|line| {
            let (_, number) = line
                .trim()
                .strip_prefix("pub const ")?
                .split_once(": u8 = ")?;
            number.strip_suffix(';')?.parse().ok()
        })
        .collect();
    assert!(codes.len() > 5);
    assert!(codes.contains(&windrode::cli::out::code::CONFIG));
    codes.insert(0);
    let manual: BTreeSet<u8> = part(&read("deploy/man/windrode.1"), "EXIT STATUS")
        .lines()
        .filter_map(|line| line.strip_prefix(".B ")?.parse().ok())
        .collect();
    assert_eq!(manual, codes);
}

/// The program really prints what the troubleshooting tables quote.
#[test]
fn every_message_that_the_documents_explain_is_one_of_the_program_s() {
    let mut files = Vec::new();
    gather(&root().join("src"), &mut files);
    files.push(root().join("src/speech/en.ftl"));
    let sources: String = files
        .iter()
        .map(|file| fs::read_to_string(file).unwrap())
        .collect();
    let rows = table(&read("README.md"), "## When something is wrong");
    assert_eq!(rows.len(), 5);
    let shown: BTreeSet<String> = rows.iter().map(|row| code(&row[0]).to_owned()).collect();
    let manual = read("deploy/man/windrode.1").replace("\\-", "-");
    let explained: BTreeSet<String> = part(&manual, "TROUBLE")
        .split(".TP\n.B ")
        .skip(1)
        .map(|item| item.lines().next().unwrap().to_owned())
        .collect();
    assert!(explained.len() > 20, "{explained:?}");
    assert!(explained.is_superset(&shown), "{shown:?}");
    for message in explained {
        assert!(
            sources.contains(&message),
            "nothing in src/ says `{message}`"
        );
    }
}

/// Line by line and in order, without digits, because a change of the watch's figures may change them.
#[test]
fn what_the_readme_shows_of_a_rehearsal_is_what_it_prints() {
    let output = windrode(&["rehearse"]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let printed: Vec<String> = stdout(&output).lines().map(shape).collect();
    let page = read("README.md");
    let shown: Vec<&str> = page
        .split("```text\n")
        .skip(1)
        .map(|rest| rest.split("```").next().unwrap())
        .collect();
    assert_eq!(shown.len(), 1);
    for block in shown {
        let mut rest = printed.iter();
        let mut lines = 0;
        for line in block
            .lines()
            .filter(|line| *line != "…" && !line.is_empty())
        {
            let wanted = shape(line);
            assert!(
                rest.any(|line| *line == wanted),
                "not printed, or not there: {line}"
            );
            lines += 1;
        }
        assert!(lines > 10);
    }
}

/// A line without its digits, the number of them and the blanks at its start.
fn shape(line: &str) -> String {
    let mut shape = String::new();
    for c in line.trim().chars() {
        let c = if c.is_ascii_digit() { '#' } else { c };
        if !(c == '#' && shape.ends_with('#') || c == ' ' && shape.ends_with(' ')) {
            shape.push(c);
        }
    }
    shape
}

/// The commands that `windrode --help` lists.
fn commands() -> BTreeSet<String> {
    stdout(&windrode(&["-h"]))
        .split_once("Commands:\n")
        .unwrap()
        .1
        .lines()
        .take_while(|line| !line.is_empty())
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .map(|line| line.split_whitespace().next().unwrap().to_owned())
        .filter(|name| name != "help")
        .collect()
}

/// Leaves out prose that happens to begin with the program's name.
fn is_command(arguments: &str) -> bool {
    let first = arguments.split_whitespace().next().unwrap_or_default();
    first.starts_with('-') || commands_cached().contains(first)
}

fn commands_cached() -> &'static BTreeSet<String> {
    static COMMANDS: std::sync::OnceLock<BTreeSet<String>> = std::sync::OnceLock::new();
    COMMANDS.get_or_init(commands)
}

/// Files of this repository that a page names in backticks.
fn files_named(page: &str) -> impl Iterator<Item = String> + '_ {
    page.split('`').skip(1).step_by(2).filter_map(|piece| {
        let known = ["src/", "tests/", "deploy/", "schemas/", ".ci/"];
        let is_source = Path::new(piece)
            .extension()
            .is_some_and(|ending| ending == "rs");
        let is_file = known.iter().any(|folder| piece.starts_with(folder));
        let planned = piece.contains("NAME") || piece.contains(".installed");
        ((is_source || is_file) && !planned).then(|| {
            piece
                .split(' ')
                .next()
                .unwrap_or(piece)
                .trim_end_matches('/')
                .to_owned()
        })
    })
}

fn windrode(arguments: &[&str]) -> Output {
    let dir = TempDir::new().unwrap();
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrode"));
    command
        .args(arguments)
        .current_dir(dir.path())
        .env("TMPDIR", dir.path())
        .env_remove("WINDRODE_CONFIG")
        .env_remove("WINDRODE_SOCKET");
    command.output().unwrap()
}

fn stdout(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn stderr(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// The text without line breaks and marks of emphasis.
fn flat(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").replace("**", "")
}

fn read(file: &str) -> String {
    fs::read_to_string(root().join(file)).unwrap_or_else(|error| panic!("{file}: {error}"))
}
