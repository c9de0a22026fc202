//! The program as its users meet it: the exact text of both streams, and the exit code.
//!
//! Texts and codes are the program's own; `cli::out::code` checks the codes against `sysexits.h`.

pub(crate) mod chart;
pub(crate) mod daemon;
mod pages;
mod plan;
mod replay;
pub(crate) mod report;
pub(crate) mod search;
mod setup;
mod tide;

use std::ffi::OsString;
use std::fs;
use std::path::Path;
use std::process::{Output, Stdio};
use std::sync::OnceLock;

use assert_cmd::Command;
use serde_json::Value;
use tempfile::TempDir;

/// One run of the program in a folder of its own, with `tern.toml` there as its configuration.
///
/// In the expected text `DIR` stands for that folder. Nothing else may be printed.
#[must_use = "nothing runs before `status`"]
pub(crate) struct Windrode {
    dir: TempDir,
    arguments: Vec<OsString>,
    stdin: Vec<u8>,
    stdout: String,
    stderr: String,
}

impl Windrode {
    pub(crate) fn new(arguments: &[&str]) -> Self {
        let run = Self {
            dir: TempDir::new().unwrap(),
            arguments: arguments.iter().map(OsString::from).collect(),
            stdin: Vec::new(),
            stdout: String::new(),
            stderr: String::new(),
        };
        run.config("")
    }

    pub(crate) fn config(self, toml: &str) -> Self {
        self.file("tern.toml", toml.as_bytes())
    }

    fn file(self, name: &str, content: &[u8]) -> Self {
        fs::write(self.dir.path().join(name), content).unwrap();
        self
    }

    fn stdin(mut self, text: &[u8]) -> Self {
        text.clone_into(&mut self.stdin);
        self
    }

    fn says(mut self, stdout: &str) -> Self {
        stdout.clone_into(&mut self.stdout);
        self
    }

    fn complains(mut self, stderr: &str) -> Self {
        stderr.clone_into(&mut self.stderr);
        self
    }

    /// The output and exit code, for checks of another kind.
    pub(crate) fn output(&self) -> Output {
        command(self.dir.path())
            .args(&self.arguments)
            .write_stdin(self.stdin.clone())
            .output()
            .unwrap()
    }

    #[track_caller]
    fn status(&self, code: i32) {
        let output = self.output();
        let folder = self.dir.path().to_string_lossy().into_owned();
        let told = |stream: &[u8]| String::from_utf8_lossy(stream).replace(&folder, "DIR");
        assert_eq!(told(&output.stdout), self.stdout, "standard output");
        assert_eq!(told(&output.stderr), self.stderr, "standard error");
        assert_eq!(output.status.code(), Some(code), "exit code");
    }
}

/// The program in `dir`, without the environment variables of this machine.
fn command(dir: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrode"));
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("WINDRODE") {
            command.env_remove(name);
        }
    }
    for name in ["NOTIFY_SOCKET", "STATE_DIRECTORY", "RUNTIME_DIRECTORY"] {
        command.env_remove(name);
    }
    command
        .current_dir(dir)
        .env("WINDRODE_CONFIG", dir.join("tern.toml"));
    command
}

/// The output of `windrode rehearse --json`; run once for all tests that need it.
pub(crate) fn rehearsed() -> &'static Output {
    static OUTPUT: OnceLock<Output> = OnceLock::new();
    OUTPUT.get_or_init(|| {
        let dir = TempDir::new().unwrap();
        fs::write(dir.path().join("tern.toml"), "").unwrap();
        let mut command = command(dir.path());
        command.args(["rehearse", "--json"]).output().unwrap()
    })
}

/// The output of `windrode measure --json` for a few short nights.
pub(crate) fn measured() -> Output {
    let dir = TempDir::new().unwrap();
    let mut command = command(dir.path());
    let nights = ["measure", "--nights", "4", "--length", "30min", "--json"];
    command.args(nights).output().unwrap()
}

#[test]
fn a_measurement_prints_a_table_and_draws_a_picture() {
    let dir = TempDir::new().unwrap();
    let picture = dir.path().join("drags.svg");
    let output = command(dir.path())
        .args([
            "measure",
            "--nights",
            "2",
            "--length",
            "20min",
            "--threads",
            "1",
        ])
        .arg("--picture")
        .arg(&picture)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
    let table = String::from_utf8(output.stdout).unwrap();
    for row in ["watch", "circle", "circle10s", "oracle", "limit"] {
        assert!(table.lines().any(|line| line.starts_with(row)), "{table}");
    }
    assert!(table.contains("Not for navigation"));
    assert!(fs::read_to_string(picture).unwrap().starts_with("<svg "));
}

#[test]
fn the_version_is_that_of_the_package() {
    Windrode::new(&["--version"])
        .says(&format!("windrode {}\n", env!("CARGO_PKG_VERSION")))
        .status(0);
}

#[test]
fn an_unknown_command_is_refused_and_the_nearest_named() {
    Windrode::new(&["harbour"])
        .complains(
            "error: unrecognized subcommand 'harbour'\n\n\
             Usage: windrode [OPTIONS] <COMMAND>\n\n\
             For more information, try '--help'.\n",
        )
        .status(64);
    Windrode::new(&["weight"])
        .complains(
            "error: unrecognized subcommand 'weight'\n\n  \
             tip: a similar subcommand exists: 'weigh'\n\n\
             Usage: windrode [OPTIONS] <COMMAND>\n\n\
             For more information, try '--help'.\n",
        )
        .status(64);
}

#[test]
fn a_length_without_its_unit_is_refused_with_what_to_write() {
    Windrode::new(&["veer", "40"])
        .complains(
            "error: invalid value '40' for '<RODE>': `40` has no unit; write `40m` or use one of \
             `m`, `ft`, `feet`, `fathoms`, `nm`, `km`, `cm`, `mm`\n\n\
             For more information, try '--help'.\n",
        )
        .status(64);
    Windrode::new(&["let-go", "--rode", "18kn"])
        .complains(
            "error: invalid value '18kn' for '--rode <LENGTH>': `18kn` has the unit `kn`, which is no \
             unit of length; use one of `m`, `ft`, `feet`, `fathoms`, `nm`, `km`, `cm`, `mm`\n\n\
             For more information, try '--help'.\n",
        )
        .status(64);
}

#[test]
fn a_position_that_is_none_is_refused_with_how_to_write_one() {
    for place in ["59.8539", "91,23.26", "59°61'N 23°15'E"] {
        Windrode::new(&["berth", place])
            .complains(&format!(
                "error: invalid value '{place}' for '[POSITION]': `{place}` is not a position; write \
                 `59.8539,23.26` (degrees, north and east positive) or `59°51.234'N 23°15.600'E`\n\n\
                 For more information, try '--help'.\n"
            ))
            .status(64);
    }
}

#[test]
fn a_hazard_that_is_none_is_refused_with_all_there_are() {
    Windrode::new(&["acknowledge", "draging"])
        .complains(
            "error: invalid value 'draging' for '[HAZARD]': `draging` is no hazard; the hazards are \
             `dragging`, `swingExceeded`, `shoaling`, `neighbour`, `position`, `dataLink`, `watch`, `instrument`, `windShift`, `windStrength`, `scopeShort`\n\n\
             For more information, try '--help'.\n",
        )
        .status(64);
}

#[test]
fn without_a_daemon_every_order_says_where_it_was_looked_for() {
    for order in [
        &["status"][..],
        &["let-go", "--rode", "40m"],
        &["veer", "40m"],
        &["weigh"],
        &["acknowledge"],
        &["silence", "dragging"],
        &["berth", "--none"],
    ] {
        Windrode::new(order)
            .config("[control]\nsocket = \"/nonexistent/w.sock\"\n")
            .complains(
                "windrode: no daemon listens at `/nonexistent/w.sock`; is `windrode run` running?\n",
            )
            .status(69);
    }
    Windrode::new(&["--socket", "/nonexistent/other.sock", "status"])
        .complains(
            "windrode: no daemon listens at `/nonexistent/other.sock`; is `windrode run` running?\n",
        )
        .status(69);
}

#[test]
fn a_configuration_that_cannot_hold_stops_every_command_that_reads_it() {
    for command in [&["run"][..], &["check", "--offline"], &["replay", "-"]] {
        Windrode::new(command)
            .config("\n[tackle]\nrode_abord = \"60 m\"\n")
            .complains(
                "windrode: `tackle.rode_abord` (line 3 of `DIR/tern.toml`) is no key of `[tackle]`; \
                 did you mean `rode_aboard`?\n",
            )
            .status(78);
        Windrode::new(command)
            .config("[boat]\ndraught = \"40 m\"\n")
            .complains(
                "windrode: `boat.draught` = `40 m` (line 2 of `DIR/tern.toml`): a draught lies between \
                 `0.1 m` and `15 m`; correct it, or take it out to have the server's figure\n",
            )
            .status(78);
    }
    Windrode::new(&["--config", "/nonexistent/w.toml", "check"])
        .complains(
            "windrode: the configuration `/nonexistent/w.toml` cannot be read: No such file or \
             directory (os error 2)\n",
        )
        .status(78);
}

#[test]
fn a_server_that_is_not_there_is_named_by_its_address() {
    Windrode::new(&["check", "--json"])
        .config("[server]\nurl = \"ws://127.0.0.1:1\"\n")
        .complains(
            "windrode: the server `ws://127.0.0.1:1`: Signal K server not answering; is the \
             data server running?\n",
        )
        .status(69);
}

/// As `| head -1` leaves it, but certainly closed before the first word.
#[test]
fn a_reader_that_has_gone_ends_a_command_quietly() {
    let dir = TempDir::new().unwrap();
    fs::write(dir.path().join("tern.toml"), "").unwrap();
    fs::write(dir.path().join("night.jsonl"), replay::recording()).unwrap();
    for arguments in [&["check", "--offline"][..], &["replay", "night.jsonl"]] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output = std::process::Command::new(env!("CARGO_BIN_EXE_windrode"))
            .args(arguments)
            .current_dir(dir.path())
            .env("WINDRODE_CONFIG", dir.path().join("tern.toml"))
            .stdout(writer)
            .stderr(Stdio::piped())
            .output()
            .unwrap();
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{arguments:?}");
        assert_eq!(output.status.code(), Some(0), "{arguments:?}");
    }
}

#[test]
fn a_rehearsal_passes_and_says_so_in_json() {
    let output = rehearsed();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    let demands = report["demands"].as_array().unwrap();
    assert!(demands.len() >= 10, "{demands:?}");
    for demand in demands {
        assert_eq!(demand["met"], Value::Bool(true), "{demand}");
    }
    assert_eq!(output.status.code(), Some(0));
}

/// The output of `windrode rehearse crowded --json`; run once for all tests that need it.
pub(crate) fn crowded() -> &'static Output {
    static OUTPUT: OnceLock<Output> = OnceLock::new();
    OUTPUT.get_or_init(|| {
        let dir = TempDir::new().unwrap();
        fs::write(dir.path().join("tern.toml"), "").unwrap();
        let mut command = command(dir.path());
        command
            .args(["rehearse", "crowded", "--json"])
            .output()
            .unwrap()
    })
}

/// Another boat drags down on us; our anchor holds.
#[test]
fn the_crowded_night_tells_the_neighbour_and_no_drag_of_ours() {
    let output = crowded();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    for demand in report["demands"].as_array().unwrap() {
        assert_eq!(demand["met"], Value::Bool(true), "{demand}");
    }
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(report["night"], "crowded");
    assert_eq!(report["drag"], Value::Null);
    let raised: Vec<&Value> = report["events"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|event| event["event"] == "raised")
        .collect();
    assert!(!raised.iter().any(|event| event["hazard"] == "dragging"));
    let told = raised.iter().find(|event| event["hazard"] == "neighbour");
    let words = told.unwrap()["message"].as_str().unwrap();
    for part in ["Plover", "bears ", " m off", "closing at ", " kn"] {
        assert!(words.contains(part), "{part}: {words}");
    }
}

#[test]
fn a_night_that_does_not_exist_is_refused_with_the_way_to_the_names() {
    let dir = TempDir::new().unwrap();
    let output = command(dir.path())
        .args(["rehearse", "calm"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(64));
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("`windrode rehearse --list`"), "{said}");
}

/// The daemon's own order: a picture's data comes in, the PNG goes out.
#[test]
fn the_program_draws_one_picture_for_the_daemon() {
    use windrode::plot::{PictureInput, png};
    let input = PictureInput {
        time: "2026-06-02T00:21:00Z".parse().unwrap(),
        alerts: Vec::new(),
        picture: windrode::watch::state::WatchState::default(),
        sight: windrode::watch::track::Sight::default(),
        clock: windrode::time::ShipClock::default(),
        lengths: windrode::units::LengthUnit::default(),
        language: windrode::speech::Language::default(),
        charts: Vec::new(),
    };
    let data = serde_json::to_vec(&input).unwrap();
    let drawn = Windrode::new(&["draw-picture"]).stdin(&data).output();
    assert_eq!(
        (drawn.status.code(), drawn.stderr.as_slice()),
        (Some(0), &b""[..])
    );
    assert_eq!(drawn.stdout, png(&input).unwrap());

    let refused = Windrode::new(&["draw-picture"]).stdin(b"[]").output();
    assert_eq!(
        (refused.status.code(), refused.stdout.as_slice()),
        (Some(65), &b""[..])
    );
    let why = String::from_utf8(refused.stderr).unwrap();
    assert!(why.contains("not a picture's data: "), "{why}");
}
