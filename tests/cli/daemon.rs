//! The daemon as a process: started, queried, given orders, stopped, killed.

use std::fs;
use std::io::{BufRead, BufReader};
use std::os::unix::net::UnixDatagram;
use std::path::Path;
use std::process::{Child, ChildStderr, Command, Output, Stdio};

use serde_json::{Value, json};
use tempfile::TempDir;
use windrode::journal::Reader;

/// A daemon without a data server, in a folder of its own.
pub(crate) struct Daemon {
    dir: TempDir,
    child: Running,
    log: BufReader<ChildStderr>,
}

/// Ends with the test: one left running would keep the test run's own output open.
struct Running(Child);

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

impl Daemon {
    pub(crate) fn start() -> Self {
        Self::start_with("")
    }

    /// With more lines of configuration.
    pub(crate) fn start_with(more: &str) -> Self {
        Self::start_in(Self::folder(more))
    }

    /// With a chart aboard, as GeoJSON.
    pub(crate) fn start_with_chart(chart: &str) -> Self {
        let dir = Self::folder("[boat]\ndraught = \"1.9 m\"\n");
        fs::write(dir.path().join("TERNBAY.geojson"), chart).unwrap();
        let mut add = program(dir.path());
        let output = add.args(["chart", "add", "TERNBAY.geojson"]).output();
        assert_eq!(output.unwrap().status.code(), Some(0));
        Self::start_in(dir)
    }

    fn folder(more: &str) -> TempDir {
        let dir = TempDir::new().unwrap();
        let here = dir.path().display();
        // Nothing listens on port 1 of loopback.
        let config = format!(
            "[server]\nurl = \"ws://127.0.0.1:1\"\n[journal]\ndirectory = \"{here}\"\n[control]\nsocket = \"{here}/w.sock\"\n{more}"
        );
        fs::write(dir.path().join("tern.toml"), config).unwrap();
        dir
    }

    /// Returns when the daemon has reported to the service manager that it is ready, and its log
    /// shows that there is no server.
    fn start_in(dir: TempDir) -> Self {
        let notices = dir.path().join("notify");
        let _ = fs::remove_file(&notices);
        let manager = UnixDatagram::bind(&notices).unwrap();
        let mut child = program(dir.path())
            .arg("run")
            .env("NOTIFY_SOCKET", &notices)
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut log = BufReader::new(child.stderr.take().unwrap());
        let mut word = [0; 64];
        let length = manager.recv(&mut word).unwrap();
        assert_eq!(&word[..length], b"READY=1\n");
        let mut line = String::new();
        while !line.contains("Signal K server not answering") {
            line.clear();
            assert_ne!(log.read_line(&mut line).unwrap(), 0, "the daemon has ended");
        }
        let child = Running(child);
        Self { dir, child, log }
    }

    /// The command line's answer to an order.
    pub(crate) fn order(&self, arguments: &[&str]) -> Output {
        program(self.dir.path()).args(arguments).output().unwrap()
    }

    /// Marks the anchor without a fix.
    pub(crate) fn let_go(&self) {
        let position = ["--position", "59.8539,23.26"];
        let rode = ["let-go", "--rode", "40m", "--depth", "8m"];
        let output = self.order(&[&rode[..], &position].concat());
        assert_eq!(output.status.code(), Some(0), "{output:?}");
    }

    /// `windrode status --json`.
    pub(crate) fn status(&self) -> Value {
        let output = self.order(&["status", "--json"]);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    }

    /// Asks it to end, as the service manager does; returns its exit code and the last lines of its log.
    pub(crate) fn stop(mut self) -> (TempDir, Option<i32>, String) {
        let kill = format!("kill -TERM {}", self.child.0.id());
        let sent = Command::new("sh").args(["-c", &kill]).status().unwrap();
        assert!(sent.success());
        let last = self.log.lines().last().unwrap().unwrap();
        (self.dir, self.child.0.wait().unwrap().code(), last)
    }

    fn kill(mut self) -> TempDir {
        self.child.0.kill().unwrap();
        self.child.0.wait().unwrap();
        self.dir
    }
}

fn program(dir: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_windrode"));
    command
        .current_dir(dir)
        .env_remove("WINDRODE_LOG")
        .env_remove("WINDRODE_SOCKET")
        .env("WINDRODE_CONFIG", dir.join("tern.toml"));
    command
}

fn words(output: &Output) -> (String, String, Option<i32>) {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (
        text(&output.stdout),
        text(&output.stderr),
        output.status.code(),
    )
}

/// With a pipe for output it prints the screen once, then a line for each change, and one when the daemon has gone.
#[test]
fn followed_without_a_terminal_each_change_is_a_line() {
    let daemon = Daemon::start();
    let mut following = program(daemon.dir.path())
        .args(["status", "--follow"])
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(following.stdout.take().unwrap()).lines();
    let _ended = Running(following);
    let mut next = |wanted: &str| {
        lines
            .by_ref()
            .map(Result::unwrap)
            .find(|line| line.contains(wanted))
            .unwrap()
    };
    assert!(next("AWEIGH").starts_with("AWEIGH "));
    next("Not for navigation");
    daemon.let_go();
    let line = next(" SETTING; ");
    assert!(
        line.ends_with(
            "SETTING; NO FIX: drag cannot be detected; server down: Signal K server not answering"
        ) || line.contains("; ALARM"),
        "{line}"
    );
    let _dir = daemon.kill();
    let line = next("NO ANSWER");
    assert!(line.starts_with("NO ANSWER from windrode since "), "{line}");
}

#[test]
fn without_a_server_it_answers_says_what_it_lacks_and_refuses_to_mark_blindly() {
    let daemon = Daemon::start();
    let (screen, complaint, code) = words(&daemon.order(&["status"]));
    let lines: Vec<&str> = screen.lines().collect();
    assert!(lines[0].starts_with("AWEIGH "), "{screen}");
    assert_eq!(lines[1], "no alerts");
    assert!(lines.contains(&"fix       NO FIX: drag cannot be detected"));
    assert!(lines.contains(&"server    down: Signal K server not answering"));
    assert_eq!((complaint.as_str(), code), ("", Some(0)));

    let refused = "windrode: refused: no usable position to mark the anchor with (no data server: Signal K \
                   server not answering); give `--position`, or let go again when there is a fix\n";
    assert_eq!(
        words(&daemon.order(&["let-go", "--rode", "40m"])),
        (String::new(), refused.to_owned(), Some(1))
    );
    assert_eq!(
        words(&daemon.order(&["weigh"])),
        (
            String::new(),
            "windrode: refused: not at anchor: `windrode let-go` comes first\n".to_owned(),
            Some(1)
        )
    );
    assert_eq!(daemon.status()["picture"]["phase"], json!("aweigh"));

    // A second one would fight over the socket and the journal.
    let (_, complaint, code) = words(&daemon.order(&["run"]));
    let socket = daemon.dir.path().join("w.sock");
    assert!(complaint.ends_with(&format!(
        "windrode: another daemon answers at `{}`; stop it first, or give this one its own `control.socket`\n",
        socket.display()
    )), "{complaint}");
    assert_eq!(code, Some(69));

    let (dir, code, last) = daemon.stop();
    assert_eq!(code, Some(0));
    assert!(last.ends_with("stopping: SIGTERM"), "{last}");
    assert!(!dir.path().join("w.sock").exists());
    let run = Reader::open(dir.path()).unwrap().last_run().unwrap();
    assert!(run.unwrap().stopped_cleanly);
}

/// The orders that change the watch: their answers, their refusals, and what scripts see of them.
#[test]
fn mark_and_circle_change_the_watch_or_say_why_not() {
    let daemon = Daemon::start();
    let answer = |arguments: &[&str]| words(&daemon.order(arguments));
    let refused = |why: &str| {
        (
            String::new(),
            format!("windrode: refused: {why}\n"),
            Some(1),
        )
    };
    let done = |said: &str| (format!("{said}\n"), String::new(), Some(0));
    for order in [&["mark", "59.854,23.26"][..], &["circle", "45m"]] {
        assert_eq!(
            answer(order),
            refused("not at anchor: `windrode let-go` comes first"),
            "{order:?}"
        );
    }
    daemon.let_go();

    assert_eq!(
        answer(&["mark", "59.854,23.26"]),
        done("mark corrected by 11 m to 59°51.240'N 023°15.600'E")
    );
    let mark = || daemon.status()["picture"]["anchor"].clone();
    assert_eq!(mark(), json!({"latitude": 59.854, "longitude": 23.26}));
    // South and west begin with a sign that is not an option. A degree off is a typing error.
    let (said, why, code) = answer(&["mark", "-59.854,-23.26"]);
    assert_eq!((said.as_str(), code), ("", Some(1)));
    assert!(
        why.contains("`<POSITION>` lies ") && why.contains("nautical miles"),
        "{why}"
    );
    assert_eq!(mark(), json!({"latitude": 59.854, "longitude": 23.26}));

    let circle = || daemon.status()["picture"]["maxRadius"].as_f64().unwrap();
    let calculated = circle();
    let (said, why, code) = answer(&["circle", "38m"]);
    assert_eq!((why.as_str(), code), ("", Some(0)));
    assert!(said.contains("38 m"), "{said}");
    assert!((circle() - 38.0).abs() < 1e-9);
    assert_eq!(
        answer(&["circle", "900m"]),
        refused("`windrode circle` 900.0 m is out of range; give 1.0 m to 500 m")
    );
    assert!((circle() - 38.0).abs() < 1e-9);
    let (_, why, code) = answer(&["circle", "--none"]);
    assert_eq!((why.as_str(), code), ("", Some(0)));
    assert!((circle() - calculated).abs() < 1e-9);

    // What cannot be an order is a usage error: another code.
    for wrong in [
        &["mark"][..],
        &["mark", "59.854"],
        &["circle"],
        &["circle", "45"],
        &["circle", "45m", "--none"],
    ] {
        let (said, why, code) = answer(wrong);
        assert_eq!((said.as_str(), code), ("", Some(64)), "{wrong:?}: {why}");
        assert!(!why.is_empty(), "{wrong:?}");
    }
}

/// `crew.language` reaches all that a terminal shows of the watch.
#[test]
fn a_terminal_of_a_german_crew_is_german() {
    let daemon = Daemon::start_with("[crew]\nlanguage = \"de\"\n");
    daemon.let_go();
    for (order, expected) in [
        (&["veer", "2m"][..], "reicht nicht bis zum Grund"),
        (&["veer", "30m"], "30 m Kette gesteckt"),
        (&["circle", "900m"], "liegt außerhalb"),
        (&["acknowledge", "dragging"], "kein Alarm zum Bestätigen"),
        (&["status"], "Nicht zur Navigation."),
        (&["weigh"], "Anker gelichtet"),
    ] {
        let (said, why, code) = words(&daemon.order(order));
        assert!(matches!(code, Some(0 | 1)), "{order:?}: {said}{why}");
        assert!(format!("{said}{why}").contains(expected), "{said}{why}");
    }
}

/// `crew.lengths` reaches all that a terminal shows.
#[test]
fn a_terminal_that_reckons_in_feet_shows_no_metre() {
    let daemon = Daemon::start_with("[crew]\nlengths = \"ft\"\n[tackle]\nrode_aboard = \"50 m\"\n");
    daemon.let_go();
    let mut all = String::new();
    for order in [
        &["mark", "59.854,23.26"][..],
        &["mark", "59.859,23.26"],
        &["circle", "38m"],
        &["circle", "900m"],
        &["veer", "2m"],
        &["veer", "60m"],
        &["veer", "900m"],
        &["plan", "--depth", "26ft", "--wind", "25kn"],
        &["status"],
    ] {
        let (said, why, code) = words(&daemon.order(order));
        assert!(matches!(code, Some(0 | 1)), "{order:?}: {said}{why}");
        let text = format!("{said}{why}");
        assert!(text.contains(" ft"), "{order:?}: {text}");
        all += &text;
    }
    let tokens: Vec<&str> = all.split([' ', '\n', ',', ';', '(', ')', ':']).collect();
    let number = |token: &str| token.starts_with(|c: char| c.is_ascii_digit());
    let metric = tokens
        .windows(2)
        .find(|pair| number(pair[0]) && pair[1] == "m");
    assert_eq!(metric, None, "{all}");
}

#[test]
fn what_was_ordered_survives_the_worst_of_ends() {
    let daemon = Daemon::start();
    assert_eq!(
        words(&daemon.order(&["berth", "59.8539,23.26"])),
        (
            "berth planned at 59°51.234'N 023°15.600'E; no circle: the chart gives no depth at the berth and there is no data from the sounder\n".to_owned(),
            String::new(),
            Some(0)
        )
    );
    // If the crew enters a position, the anchor can be marked without a fix, and rode can be veered.
    let let_go = [
        "let-go",
        "--rode",
        "40m",
        "--depth",
        "8m",
        "--position",
        "59°51.234'N 23°15.600'E",
    ];
    let (said, complaint, code) = words(&daemon.order(&let_go));
    assert_eq!(
        said,
        "anchor let go at 59°51.234'N 023°15.600'E, 0.0 m from the berth, 40 m of rode to be veered, in 8.0 m of water\n"
    );
    assert_eq!((complaint.as_str(), code), ("", Some(0)));
    let (said, ..) = words(&daemon.order(&["veer", "150ft"]));
    // 150 ft = 45.72 m over 8 m and a roller 1 m up.
    assert_eq!(said, "46 m of rode out, scope 5.1:1\n");
    let before = daemon.status();
    let dir = daemon.kill();
    assert!(
        !Reader::open(dir.path())
            .unwrap()
            .last_run()
            .unwrap()
            .unwrap()
            .stopped_cleanly
    );

    let daemon = Daemon::start_in(dir);
    let after = daemon.status();
    for what in [
        "phase",
        "phaseSince",
        "anchor",
        "berth",
        "rodeOut",
        "depthAtAnchor",
        "reach",
    ] {
        assert!(!before["picture"][what].is_null(), "{what}");
        assert_eq!(after["picture"][what], before["picture"][what], "{what}");
    }
    let (said, ..) = words(&daemon.order(&["weigh"]));
    assert!(said.starts_with("anchor aweigh after "), "{said}");
    let (dir, code, _) = daemon.stop();
    assert_eq!(code, Some(0));

    // The end is stored as durably as the beginning.
    let daemon = Daemon::start_in(dir);
    assert_eq!(daemon.status()["picture"]["phase"], json!("aweigh"));
    assert_eq!(daemon.stop().1, Some(0));
}

#[test]
fn the_picture_is_written_as_its_file_s_ending_says() {
    let daemon = Daemon::start();
    daemon.let_go();
    let file = |name: &str| daemon.dir.path().join(name);
    for name in ["tern.svg", "tern.png"] {
        let (said, complaint, code) = words(&daemon.order(&["status", "--picture", name]));
        assert_eq!(
            (said, complaint.as_str(), code),
            (format!("the picture is in `{name}`\n"), "", Some(0))
        );
    }
    let document = fs::read_to_string(file("tern.svg")).unwrap();
    assert!(document.starts_with("<svg ") && document.contains(">SETTING</text>"));
    assert!(document.contains("id=\"swinging-circle\"") && !document.contains("id=\"boat\""));
    let pixels = fs::read(file("tern.png")).unwrap();
    assert!(pixels.starts_with(b"\x89PNG\r\n\x1a\n") && pixels.len() <= 60_000);

    let (_, complaint, code) = words(&daemon.order(&["status", "--picture", "tern.jpg"]));
    assert!(
        complaint.contains("`tern.jpg` ends neither in `.svg` nor in `.png`"),
        "{complaint}"
    );
    assert_eq!(code, Some(64));
    let (_, complaint, code) = words(&daemon.order(&["status", "--picture", "none/tern.svg"]));
    assert_eq!(
        (complaint.as_str(), code),
        (
            "windrode: `none/tern.svg` cannot be written: No such file or directory (os error 2)\n",
            Some(74)
        )
    );
    assert_eq!(daemon.stop().1, Some(0));
}
