//! The yacht "Tern" for the real server: her instruments as a second client, and windrode aboard.

#![expect(
    clippy::expect_used,
    reason = "a test fails and says why if its boat cannot start"
)]

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Output, Stdio};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tempfile::TempDir;
use windrode::boat::tern::Tern;
use windrode::rehearse::speech::values;
use windrode::units::{Metres, Speed};

use super::{SignalK, Stream};
use crate::block_on;

/// Her instruments, sending five times a second on a thread of their own.
pub(crate) struct Instruments {
    truth: Arc<Mutex<Truth>>,
    thread: Option<JoinHandle<()>>,
}

#[derive(Clone, Copy)]
struct Truth {
    /// Distance of the bow roller from the berth, down-wind.
    distance: f64,
    /// Speed, metres a second.
    speed: f64,
    /// Where she stops.
    limit: f64,
    ended: bool,
}

impl Instruments {
    /// Switches them on, with a token that may write if the server requires one.
    pub(crate) fn on(server: &SignalK) -> Self {
        let truth = Arc::new(Mutex::new(Truth {
            distance: 0.0,
            speed: 0.0,
            limit: 0.0,
            ended: false,
        }));
        let theirs = Arc::clone(&truth);
        let port = server.port;
        let token = server.tokens.admin.clone();
        let thread = std::thread::spawn(move || speak(port, token.as_ref(), &theirs));
        Self {
            truth,
            thread: Some(thread),
        }
    }

    /// From now on she falls back, or drags, at this speed until this far from the berth.
    pub(crate) fn drag(&self, speed: f64, to: f64) {
        let mut truth = self.truth.lock().expect("no panic holds it");
        truth.speed = speed;
        truth.limit = to;
    }

    /// Moves her this far from the berth at once.
    pub(crate) fn lie_at(&self, distance: f64) {
        let mut truth = self.truth.lock().expect("no panic holds it");
        truth.distance = distance;
        truth.limit = distance;
    }
}

impl Drop for Instruments {
    fn drop(&mut self) {
        if let Ok(mut truth) = self.truth.lock() {
            truth.ended = true;
        }
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

/// Sends until ended; reconnects when the server goes away.
fn speak(port: u16, token: Option<&String>, truth: &Mutex<Truth>) {
    let mut tern = Tern::at_berth();
    let mut beat = 0;
    block_on(async {
        let mut stream = None;
        loop {
            let now = {
                let mut truth = truth.lock().expect("no panic holds it");
                let next = truth.distance + truth.speed * PERIOD.as_secs_f64();
                truth.distance = next.min(truth.limit);
                *truth
            };
            if now.ended {
                return;
            }
            if stream.is_none() {
                stream = Stream::try_connect(port, "subscribe=none", token).await;
            }
            beat += 1;
            tern.lie(Metres::of(now.distance));
            tern.speed = Speed::of(if now.distance < now.limit {
                now.speed
            } else {
                0.0
            });
            let frame = json!({"context": "vessels.self", "updates": [{
                "$source": "gps0.GP",
                "values": values(&tern.facts(beat)),
            }]});
            if let Some(connected) = &mut stream
                && !connected.try_send(&frame).await
            {
                stream = None;
            }
            tokio::time::sleep(PERIOD).await;
        }
    });
}

/// windrode aboard: the real binary, its configuration and its journal in a folder of its own.
pub(crate) struct Aboard {
    folder: TempDir,
    child: Option<Child>,
    variables: Vec<(String, String)>,
    /// Starts it, if it is not already running.
    within: Vec<String>,
}

impl Aboard {
    /// Configured for a server, with the daemon's token if there is one; not running yet.
    pub(crate) fn of(server: &SignalK) -> Self {
        Self::with_token(server, server.tokens.daemon.as_ref())
    }

    /// Configured with another token, or none.
    pub(crate) fn with_token(server: &SignalK, token: Option<&String>) -> Self {
        Self::configured(server.port, token, "")
    }

    /// Configured for a server, with more tables after the usual ones.
    pub(crate) fn with_phones(server: &SignalK, more: &str) -> Self {
        Self::configured(server.port, server.tokens.daemon.as_ref(), more)
    }

    /// Without a data server, which is an alarm as soon as the anchor is down.
    pub(crate) fn alone(more: &str) -> Self {
        // Nothing listens on port 1 of loopback.
        Self::configured(1, None, more)
    }

    /// Configured for what listens on a port of loopback, with more tables after the usual ones.
    pub(crate) fn configured(port: u16, token: Option<&String>, more: &str) -> Self {
        let folder = TempDir::new().expect("a folder can be made");
        let path = folder.path().display();
        let token = token.map_or(String::new(), |token| format!("token = \"{token}\"\n"));
        let text = format!(
            "[server]\nurl = \"ws://127.0.0.1:{port}\"\n{token}\
             [boat]\nname = \"Tern\"\nroller_height = \"1.2 m\"\n\
             [drag]\nhold = \"5 s\"\n\
             [link]\nlost_after = \"5 s\"\n\
             [fix]\nlost_after = \"15 s\"\n\
             [journal]\ndirectory = \"{path}\"\nbatch = \"5 s\"\n\
             [control]\nsocket = \"{path}/socket\"\n{more}"
        );
        std::fs::write(folder.path().join("windrode.toml"), text).expect("the file is written");
        Self {
            folder,
            child: None,
            variables: Vec::new(),
            within: Vec::new(),
        }
    }

    /// From now on this command starts the daemon and finally becomes it through exec.
    pub(crate) fn within(&mut self, command: &[&str]) {
        self.within = command.iter().map(ToString::to_string).collect();
    }

    /// Runs with this environment variable from now on.
    pub(crate) fn set(&mut self, name: &str, value: &str) {
        self.variables.push((name.to_owned(), value.to_owned()));
    }

    /// The folder of configuration, journal and socket.
    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Starts `windrode run`; its log goes to the test's output.
    pub(crate) fn run(&mut self) {
        let mut child = self
            .command_within(&self.within)
            .arg("run")
            .env("WINDRODE_LOG", "info")
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary runs");
        let log = child.stderr.take().expect("standard error is piped");
        let file = self.folder().join("log");
        std::thread::spawn(move || {
            let mut kept = String::new();
            for line in BufReader::new(log).lines().map_while(Result::ok) {
                eprintln!("  {line}");
                kept += &line;
                kept.push('\n');
                let _ = std::fs::write(&file, &kept);
            }
        });
        self.child = Some(child);
        eventually("the control socket answers", || self.status());
    }

    /// What was logged so far.
    pub(crate) fn log(&self) -> String {
        std::fs::read_to_string(self.folder().join("log")).unwrap_or_default()
    }

    /// The id of its process.
    pub(crate) fn process(&self) -> u32 {
        self.child.as_ref().expect("it runs").id()
    }

    /// Simulates a power cut: `kill -9`.
    pub(crate) fn kill(&mut self) {
        let mut child = self.child.take().expect("it runs");
        child.kill().expect("it is killed");
        child.wait().expect("it has ended");
    }

    /// Stops it as the service manager does; returns its exit code.
    pub(crate) fn stop(&mut self) -> Option<i32> {
        let mut child = self.child.take().expect("it runs");
        let killed = Command::new("kill")
            .args(["-TERM", &child.id().to_string()])
            .status();
        assert!(killed.expect("kill runs").success());
        child.wait().expect("it has ended").code()
    }

    /// `windrode` with other arguments.
    pub(crate) fn windrode(&self, arguments: &[&str]) -> Output {
        self.command()
            .args(arguments)
            .output()
            .expect("the binary runs")
    }

    /// Gives an order, which must be accepted.
    pub(crate) fn order(&self, arguments: &[&str]) {
        let output = self.windrode(arguments);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
    }

    /// Starts it and anchors at her position, with 40 m of rode.
    pub(crate) fn anchor(&mut self) {
        self.run();
        self.has_fix();
        self.order(&["let-go", "--rode", "40m"]);
    }

    /// Starts `windrode` with other arguments in the background; its output is read at the end.
    pub(crate) fn begin(&self, arguments: &[&str]) -> Child {
        self.command()
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary runs")
    }

    /// `windrode status --json`, if the daemon answers.
    pub(crate) fn status(&self) -> Option<Value> {
        let output = self.windrode(&["status", "--json"]);
        serde_json::from_slice(&output.stdout).ok()
    }

    /// Waits until it has her position.
    pub(crate) fn has_fix(&self) {
        eventually("there is a fix", || {
            self.status()?["picture"]["roller"].as_object().map(|_| ())
        });
    }

    /// The state of one alert as the daemon has it.
    pub(crate) fn alert(&self, hazard: &str) -> Option<Value> {
        let status = self.status()?;
        let alerts = status["alerts"].as_array()?;
        alerts.iter().find(|a| a["hazard"] == hazard).cloned()
    }

    /// The alarm that she drags or has left the circle.
    pub(crate) fn drag_alarm(&self) -> Option<Value> {
        ["dragging", "swingExceeded"]
            .into_iter()
            .filter_map(|hazard| self.alert(hazard))
            .find(|alert| alert["priority"] == "alarm")
    }

    fn command(&self) -> Command {
        self.command_within(&[])
    }

    fn command_within(&self, within: &[String]) -> Command {
        let binary = env!("CARGO_BIN_EXE_windrode");
        let mut command = match within.split_first() {
            Some((first, rest)) => {
                let mut command = Command::new(first);
                command.args(rest).arg(binary);
                command
            }
            None => Command::new(binary),
        };
        command
            .env_remove("WINDRODE_CONFIG")
            .env_remove("WINDRODE_SOCKET")
            .envs(self.variables.iter().map(|(name, value)| (name, value)))
            .arg("--config")
            .arg(self.folder().join("windrode.toml"));
        command
    }
}

impl Drop for Aboard {
    fn drop(&mut self) {
        if let Some(mut child) = self.child.take() {
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

/// Changes the computer's networks: `ip` with these arguments.
pub(crate) fn ip(arguments: &str) {
    let output = Command::new("ip").args(arguments.split(' ')).output();
    let output = output.expect("`ip` is missing; install it with: tests/peers/install");
    assert!(
        output.status.success(),
        "only root with CAP_NET_ADMIN can make a network namespace; run this with: sudo tests/run peers; ip {arguments}: {output:?}"
    );
}

/// Polls until there is an answer: the other side is another process, and works at its own pace.
pub(crate) fn eventually<T>(what: &str, ask: impl FnMut() -> Option<T>) -> T {
    eventually_within(PATIENCE, what, ask)
}

/// The same, for operations that take minutes.
pub(crate) fn eventually_within<T>(
    patience: Duration,
    what: &str,
    mut ask: impl FnMut() -> Option<T>,
) -> T {
    let begun = Instant::now();
    loop {
        if let Some(answer) = ask() {
            return answer;
        }
        assert!(begun.elapsed() < patience, "never: {what}");
        std::thread::sleep(Duration::from_millis(50));
    }
}

const PERIOD: Duration = Duration::from_millis(200);
/// Far longer than anything here takes; only a failing test waits that long.
pub(crate) const LONG: Duration = Duration::from_mins(6);
const PATIENCE: Duration = Duration::from_secs(120);
