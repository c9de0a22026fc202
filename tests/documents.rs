//! The documents say what the program does: README, DEVELOPERS and the manual are held against it.

#![expect(clippy::panic, reason = "a test that finds a fault says which")]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;
use tempfile::TempDir;
use windrode::alert::hazard::{Hazard, Priority};
use windrode::config::documents;

use super::schemas;

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

/// What stands alone in backticks, or nothing.
fn code(cell: &str) -> &str {
    cell.trim_matches('`')
}

#[test]
fn the_readme_opens_with_the_job_in_one_paragraph_and_has_its_headings_in_order() {
    let page = read("README.md");
    let job = page.split("\n\n").nth(1).unwrap();
    for word in [
        "skipper",
        "one hand anchor",
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
            "What it is and what it is not",
            "Try it without leaving the berth",
            "Connect it to the boat",
            "Plan an anchorage",
            "What is published",
            "Configuration",
            "Replay a recording",
            "The tide",
            "When something is wrong",
            "Licence",
        ]
    );
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

/// The README names the keys that a new user sets; the manual, which is generated, has them all.
#[test]
fn the_readme_s_ten_keys_have_the_defaults_of_the_program() {
    let page = read("README.md");
    let schema = documents::schema();
    let rows = table(&page, "## Configuration");
    assert_eq!(rows.len(), 10);
    for row in &rows {
        let name = code(&row[0]);
        let pointer = match name.strip_prefix("push.NAME.") {
            Some(key) => {
                let named = schema["properties"]["push"]["patternProperties"].as_object();
                let kinds = &named.unwrap().values().next().unwrap()["oneOf"];
                assert!(kinds[0]["properties"].get(key).is_some(), "{name}");
                continue;
            }
            None => format!("/properties/{}", name.replace('.', "/properties/")),
        };
        let key = schema
            .pointer(&pointer)
            .unwrap_or_else(|| panic!("no key `{name}`"));
        let default = key.get("default").map(|default| match default {
            Value::String(text) => text.clone(),
            other => other.as_f64().unwrap().to_string(),
        });
        assert_eq!(code(&row[1]), default.unwrap_or_default(), "{name}");
    }
    assert!(page.contains("`windrode.toml(5)`"));
}

#[test]
fn the_readme_s_paths_are_those_of_the_publisher_with_their_units() {
    let readme: BTreeMap<String, String> = table(&read("README.md"), "## What is published")
        .iter()
        .map(|row| {
            (
                format!("navigation.anchor.{}", code(&row[0])),
                row[1].clone(),
            )
        })
        .collect();
    let published: BTreeMap<String, String> = schemas::metadata()
        .iter()
        .map(|(path, about)| {
            let unit = about.get("units").and_then(Value::as_str);
            (path.clone(), unit.unwrap_or_default().to_owned())
        })
        .collect();
    assert_eq!(readme, published);
}

#[test]
fn the_readme_s_hazards_are_those_of_the_desk() {
    let rows = table(&read("README.md"), "### Hazards");
    let readme: BTreeSet<&str> = rows.iter().map(|row| code(&row[0])).collect();
    assert_eq!(readme, Hazard::ALL.map(Hazard::name).into());
    let priorities = [
        Priority::Caution,
        Priority::Warning,
        Priority::Alarm,
        Priority::EmergencyAlarm,
    ]
    .map(Priority::name);
    for row in &rows {
        assert_eq!(row.len(), 4, "{row:?}");
        for priority in row[1].split("; ") {
            assert!(priorities.contains(&priority), "{row:?}");
        }
    }
    let manual = read("deploy/man/windrode.1");
    for hazard in Hazard::ALL {
        assert!(
            manual.contains(hazard.name()),
            "the manual lacks `{hazard}`"
        );
    }
}

/// Orders and commands are taken as they are written, up to the point where they would be carried out.
#[test]
fn every_command_in_the_documents_is_understood() {
    let mut written = BTreeSet::new();
    for page in [read("README.md"), read("DEVELOPERS.md")] {
        for piece in page.split('`').skip(1).step_by(2).chain(page.lines()) {
            let piece = piece.split(" #").next().unwrap_or(piece);
            let command = piece
                .trim_start_matches("sudo -u windrode ")
                .replace("cargo run --release -- ", "windrode ");
            if let Some(arguments) = command.strip_prefix("windrode ")
                && piece.trim() == piece
                && arguments.starts_with(|c: char| c.is_ascii_lowercase() || c == '-')
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
    // The README shows each of them, and the manual tells of each.
    let first = |arguments: &String| arguments.split_whitespace().next().unwrap().to_owned();
    let shown: BTreeSet<String> = written.iter().map(first).collect();
    let mut commands = commands();
    let manual = read("deploy/man/windrode.1");
    let told: BTreeSet<String> = manual
        .split_once("\n.Ss Options of every command\n")
        .unwrap()
        .0
        .lines()
        .filter_map(|line| line.strip_prefix(".It Cm "))
        .map(|item| item.split(' ').next().unwrap().to_owned())
        .collect();
    assert_eq!(told, commands);
    // The daemon is started by the service.
    commands.remove("run");
    assert!(shown.is_superset(&commands), "{commands:?} but {shown:?}");
    assert!(read("deploy/windrode.service").contains("ExecStart=/usr/bin/windrode run\n"));
}

#[test]
fn the_manual_has_every_option() {
    let manual = read("deploy/man/windrode.1");
    let mut found = 0;
    for command in commands() {
        for line in stdout(&windrode(&[&command, "--help"])).lines() {
            let Some(option) = line.trim_start().strip_prefix("--") else {
                continue;
            };
            let name: String = option
                .chars()
                .take_while(|c| c.is_ascii_lowercase() || *c == '-')
                .collect();
            assert!(
                manual.contains(&format!("Fl -{name}")),
                "`{command} --{name}`"
            );
            found += 1;
        }
    }
    assert!(found > 20, "{found}");
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
    let page = read("README.md");
    let readme: BTreeSet<u8> = page
        .split_once("\n| exit code | meaning |\n")
        .unwrap()
        .1
        .lines()
        .skip(1)
        .map_while(|line| line.strip_prefix("| ")?.split(' ').next()?.parse().ok())
        .collect();
    assert_eq!(readme, codes);
    let manual: BTreeSet<u8> = read("deploy/man/windrode.1")
        .split_once("\n.Sh EXIT STATUS\n")
        .unwrap()
        .1
        .lines()
        .take_while(|line| !line.starts_with(".Sh "))
        .filter_map(|line| line.strip_prefix(".It ")?.parse().ok())
        .collect();
    assert_eq!(manual, codes);
}

/// What the troubleshooting table quotes, the program says.
#[test]
fn every_message_that_the_readme_explains_is_one_of_the_program_s() {
    let mut sources = String::new();
    gather(&root().join("src"), &mut sources);
    let mut quoted = 0;
    for row in table(&read("README.md"), "## When something is wrong") {
        assert_eq!(row.len(), 3, "{row:?}");
        let message = row[0].split('`').nth(1).unwrap_or_default();
        if row[0].starts_with('`') {
            quoted += 1;
            assert!(
                sources.contains(message),
                "nothing in src/ says `{message}`"
            );
        }
    }
    assert!(quoted > 10, "{quoted}");
}

/// To the letter: a plan depends on nothing but what it is asked.
#[test]
fn what_the_readme_shows_of_a_plan_is_what_it_prints() {
    let page = read("README.md");
    let block = page.split_once("```console\n$ windrode ").unwrap().1;
    let (command, rest) = block.split_once("\n\n").unwrap();
    let shown = rest.split_once("```").unwrap().0;
    let command = command.replace(" \\\n", " ");
    // What stands in quotes is one word.
    let arguments: Vec<&str> = command
        .split('"')
        .enumerate()
        .flat_map(|(place, piece)| match place % 2 {
            0 => piece.split_whitespace().collect(),
            _ => vec![piece],
        })
        .collect();
    // A boat of this machine's own has no say in it.
    let output = super::cli::Windrode::new(&arguments).output();
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    assert_eq!(stdout(&output), shown);
}

/// Line by line and in order; what a change of the watch's figures may move, the digits, is left out.
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
    assert_eq!(shown.len(), 2);
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

/// Prose that happens to begin with the program's name is none.
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

/// Without line breaks, and without the marks of emphasis.
fn flat(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").replace("**", "")
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn read(file: &str) -> String {
    fs::read_to_string(root().join(file)).unwrap_or_else(|error| panic!("{file}: {error}"))
}

fn gather(folder: &Path, text: &mut String) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            gather(&path, text);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            text.push_str(&fs::read_to_string(&path).unwrap());
        }
    }
}
