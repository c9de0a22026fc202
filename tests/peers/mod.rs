//! The real servers that the tests talk to, and helpers to query them.
//!
//! A double of the Signal K server would only agree with our own beliefs about it. So the tests that matter
//! run against the server itself: the version pinned in `package-lock.json`, installed by
//! `tests/peers/install` and run by `tests/peers/serve`, with one temporary server on loopback for each
//! test. A missing peer fails its test with the command that installs it; it is never skipped.
//!
//! Everything here except [`Stream`] blocks, and is for the test's own thread. A test that runs the daemon's tasks in
//! its own runtime calls these from `tokio::task::spawn_blocking`; otherwise the daemon could not answer.

#![allow(
    clippy::print_stderr,
    reason = "delays measured and the daemon's log belong to the test's output"
)]
#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that lacks its peer fails, and says why"
)]

mod aboard;
mod ais;
mod approaching;
mod ashore;
mod berth;
mod browser;
mod cable;
mod charts;
mod check;
mod chromium;
mod clock_faults;
mod discovery;
mod disk_faults;
mod display;
mod double;
mod drill;
mod fault_table;
mod faults;
mod fleet;
mod flood_faults;
mod frame_faults;
mod journal_faults;
mod kill_faults;
mod link_faults;
mod lost;
mod neighbour;
mod nmea;
mod package;
mod pairing;
mod parser;
mod phones;
mod rest;
mod sent;
mod sentences;
mod shim;
mod shown;
mod smoke;
mod starving_faults;
mod stream;
mod tern;
mod tracks;
mod unseen;

use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};

use serde::Deserialize;
use serde_json::Value;

pub(crate) use rest::Rest;
pub(crate) use stream::Stream;

/// Whether the server requires authentication.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Mode {
    /// No security: anyone may read and write, and there are no tokens.
    Open,
    /// Security on; nothing can be read without a token.
    Secure,
}

/// The tokens of a secure server.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(default)]
pub(crate) struct Tokens {
    /// The administrator's: lets devices in.
    pub(crate) admin: Option<String>,
    /// For a device that may read and write, such as the daemon.
    pub(crate) daemon: Option<String>,
    /// For a device that may only read.
    pub(crate) readonly: Option<String>,
}

/// A Signal K server of the yacht "Tern", on loopback, ended when this is dropped.
#[derive(Debug)]
pub(crate) struct SignalK {
    /// The port of HTTP and WebSocket, constant for the life of this value.
    pub(crate) port: u16,
    /// The server's configuration and its `log`; removed on drop.
    pub(crate) dir: PathBuf,
    /// The tokens, all `None` in open mode.
    pub(crate) tokens: Tokens,
    child: Child,
    // Taken when the value is dropped: closing it makes the child exit.
    commands: Option<ChildStdin>,
    answers: BufReader<ChildStdout>,
}

impl SignalK {
    /// Starts a server without data connections, and returns when it answers.
    pub(crate) fn start(mode: Mode) -> Self {
        Self::start_with(mode, &[])
    }

    /// As [`Self::start`], with arguments for the server, such as `--sample-n2k-data`.
    pub(crate) fn start_with(mode: Mode, server_args: &[&str]) -> Self {
        Self::serve(mode, &[], server_args)
    }

    /// As [`Self::start`], with a data connection of this name: the server connects to the port on loopback
    /// and reads NMEA 0183 sentences there.
    pub(crate) fn start_fed(mode: Mode, name: &str, port: u16) -> Self {
        Self::serve(mode, &["--nmea0183", &format!("{name}={port}")], &[])
    }

    /// Starts an open server with this MMSI in a network namespace, where it announces itself under a host name of
    /// its own.
    pub(crate) fn start_announced(namespace: &str, mmsi: &str) -> Self {
        let mut within = Command::new("ip");
        let renamed = "hostname \"$0\" && exec \"$@\"";
        within.args(["netns", "exec", namespace, "unshare", "--uts"]);
        within.args(["sh", "-c", renamed, &format!("pi{mmsi}")]);
        within.arg(folder().join("serve"));
        Self::serve_with(within, Mode::Open, &["--announce", mmsi], &[])
    }

    fn serve(mode: Mode, options: &[&str], server_args: &[&str]) -> Self {
        let command = Command::new(folder().join("serve"));
        Self::serve_with(command, mode, options, server_args)
    }

    fn serve_with(
        mut command: Command,
        mode: Mode,
        options: &[&str],
        server_args: &[&str],
    ) -> Self {
        let mut child = command
            .args([
                "signalk",
                "--mode",
                if mode == Mode::Open { "open" } else { "secure" },
            ])
            .args(options)
            .arg("--")
            .args(server_args)
            .env("WINDRODE_PEERS", installed())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("`tests/peers/serve` wants python3; install it with: tests/peers/install");
        let commands = child.stdin.take();
        let mut answers = BufReader::new(child.stdout.take().expect("standard output is piped"));
        let Answer::Up { port, dir, tokens } = answer(&mut answers) else {
            panic!("the server is down after its start")
        };
        Self {
            port,
            dir,
            tokens,
            child,
            commands,
            answers,
        }
    }

    /// Ends the server at once, like a power cut: no close frames, nothing written. Its port refuses.
    pub(crate) fn kill(&mut self) {
        assert_eq!(self.command("kill"), Answer::Down);
    }

    /// Shuts the server down and starts it on the same folder and port; returns when it answers.
    pub(crate) fn restart(&mut self) {
        assert_eq!(self.command("stop"), Answer::Down);
        self.start_again();
    }

    /// Starts the killed server on the same folder and port; returns when it answers.
    pub(crate) fn start_again(&mut self) {
        let (port, dir, tokens) = (self.port, self.dir.clone(), self.tokens.clone());
        assert_eq!(self.command("start"), Answer::Up { port, dir, tokens });
    }

    /// `http://127.0.0.1:PORT`.
    pub(crate) fn http(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Queries the server without a token, which in open mode may do everything.
    pub(crate) fn rest(&self) -> Rest {
        Rest::new(self.http(), None)
    }

    /// Queries the server as the holder of a token, one of [`Self::tokens`].
    pub(crate) fn rest_as(&self, token: Option<&String>) -> Rest {
        let token = token.expect("the server is in open mode and has no tokens");
        Rest::new(self.http(), Some(token.clone()))
    }

    /// The skipper approves the device that requests access.
    pub(crate) fn approve(&self) {
        let admin = self.rest_as(self.tokens.admin.as_ref());
        let requests = "/skServer/security/access/requests";
        let client = tern::eventually("the request for access stands", || {
            let all = admin.get_json(requests)?;
            let first = all.as_array()?.first()?;
            Some(first["accessIdentifier"].as_str()?.to_owned())
        });
        let approved = admin.put_json(
            &format!("{requests}/{client}/approved"),
            &serde_json::json!({ "permissions": "readwrite", "expiration": "1y" }),
        );
        assert_eq!(approved.status, 200, "{approved:?}");
    }

    fn command(&mut self, command: &str) -> Answer {
        let commands = self.commands.as_mut().expect("standard input is piped");
        writeln!(commands, "{command}").expect("the server's launcher is gone");
        answer(&mut self.answers)
    }
}

impl Drop for SignalK {
    fn drop(&mut self) {
        drop(self.commands.take());
        // A failure cannot be handled here, and a panic would hide the test's own.
        let _ = self.child.wait();
    }
}

/// Validates deltas with the standard's own schema; panics with the list of faults.
pub(crate) fn assert_valid_deltas<'a>(deltas: impl IntoIterator<Item = &'a Value>) {
    let lines: Vec<String> = deltas.into_iter().map(Value::to_string).collect();
    let lines = lines.join("\n");
    let mut child = Command::new(installed().join("npm/node"))
        .arg(folder().join("validate-deltas.js"))
        .env("WINDRODE_PEERS", installed())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the standard's schema is not installed; install it with: tests/peers/install");
    // The whole input is read before anything is printed, so neither pipe can fill up.
    let mut input = child.stdin.take().expect("standard input is piped");
    input
        .write_all(lines.as_bytes())
        .expect("the deltas are read");
    drop(input);
    let output = child.wait_with_output().expect("the verdict is read");
    assert!(
        output.status.success(),
        "{}{}in:\n{lines}",
        String::from_utf8_lossy(&output.stdout),
        String::from_utf8_lossy(&output.stderr)
    );
}

/// The output of `tests/peers/serve`.
#[derive(Debug, PartialEq, Eq, Deserialize)]
#[serde(tag = "state", rename_all = "lowercase")]
enum Answer {
    Up {
        port: u16,
        dir: PathBuf,
        tokens: Tokens,
    },
    Down,
}

fn answer(answers: &mut BufReader<ChildStdout>) -> Answer {
    let mut line = String::new();
    answers
        .read_line(&mut line)
        .expect("standard output is text");
    assert!(
        !line.is_empty(),
        "`tests/peers/serve` gave up; it says above why"
    );
    serde_json::from_str(&line).unwrap_or_else(|error| panic!("{error} in {line}"))
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/peers")
}

fn installed() -> PathBuf {
    std::env::var_os("WINDRODE_PEERS").map_or_else(|| folder().join(".installed"), PathBuf::from)
}

/// Runs each script that leads to a peer, with nothing installed. CI and newcomers read the same sentence.
#[test]
fn a_peer_that_is_missing_is_named_with_the_command_that_installs_it() {
    let nothing = tempfile::TempDir::new().expect("a folder can be made");
    let serve = ["signalk", "--mode", "open"];
    for (script, arguments) in [
        ("serve", &serve[..]),
        ("sentences.py", &[]),
        ("charts.py", &["words"]),
        ("approaching.py", &[]),
    ] {
        let output = Command::new("python3")
            .arg(folder().join(script))
            .args(arguments)
            .env("WINDRODE_PEERS", nothing.path())
            .env("PYTHONNOUSERSITE", "1")
            .stdin(Stdio::null())
            .output()
            .expect("the peers want python3; install it with: tests/peers/install");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(!output.status.success(), "{script}");
        assert!(said.contains("tests/peers/install"), "{script}: {said}");
    }
}
