//! The processes: the server, windrode, the idle client, a phone's push server.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;
use windrode::signalk::paths::{OwnPaths, subscriptions};

/// The released program, built now: the one built beside a bench or a test also has the features of the
/// development dependencies. `WINDRODE_BINARY` names another one.
pub(crate) fn binary() -> PathBuf {
    if let Some(other) = std::env::var_os("WINDRODE_BINARY") {
        return PathBuf::from(other);
    }
    let top = Path::new(env!("CARGO_MANIFEST_DIR"));
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let built = Command::new(cargo)
        .args(["build", "--release", "--locked", "--bin", "windrode"])
        .current_dir(top)
        .status();
    assert!(
        built.is_ok_and(|status| status.success()),
        "the release build failed"
    );
    let target =
        std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| top.join("target"), PathBuf::from);
    target.join("release/windrode")
}

fn peers() -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/peers/.installed");
    std::env::var_os("WINDRODE_PEERS").map_or(folder, PathBuf::from)
}

/// The real Signal K server, on loopback.
pub(crate) struct Server {
    pub(crate) port: u16,
    child: Child,
}

impl Server {
    pub(crate) fn start() -> Self {
        let serve = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/peers/serve");
        let mut child = Command::new(serve)
            .args(["signalk", "--mode", "open"])
            .env("WINDRODE_PEERS", peers())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("`tests/peers/serve` needs python3");
        let mut line = String::new();
        BufReader::new(child.stdout.take().expect("it is piped"))
            .read_line(&mut line)
            .expect("the server says that it is up");
        let up: Value = serde_json::from_str(&line)
            .expect("the server starts; install it with: tests/peers/install");
        let port = up["port"]
            .as_u64()
            .and_then(|port| u16::try_from(port).ok());
        Self {
            port: port.expect("it has a port"),
            child,
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // The end of its input ends it.
        drop(self.child.stdin.take());
        let _ = self.child.wait();
    }
}

/// windrode with its configuration and journal in a folder of its own.
pub(crate) struct Aboard {
    binary: PathBuf,
    folder: TempDir,
    child: Option<Child>,
}

impl Aboard {
    pub(crate) fn of(binary: PathBuf, server: u16, phone: u16) -> Self {
        let folder = TempDir::new().expect("a folder can be made");
        let path = folder.path().display();
        let text = format!(
            "[server]\nurl = \"ws://127.0.0.1:{server}\"\n\
             [boat]\nname = \"Tern\"\nroller_height = \"1.2 m\"\n\
             [swing]\nhold = \"1.1 s\"\n\
             [journal]\ndirectory = \"{path}\"\n\
             [control]\nsocket = \"{path}/socket\"\n\
             [push.skipper]\nkind = \"topic\"\nurl = \"http://127.0.0.1:{phone}\"\ntopic = \"tern\"\n"
        );
        std::fs::write(folder.path().join("windrode.toml"), text).expect("the file is written");
        Self {
            binary,
            folder,
            child: None,
        }
    }

    pub(crate) fn binary_bytes(&self) -> u64 {
        std::fs::metadata(&self.binary).map_or(0, |file| file.len())
    }

    pub(crate) fn run(&mut self) {
        let log = std::fs::File::create(self.folder.path().join("log")).expect("a log");
        let run = self.command().arg("run").stderr(log).spawn();
        self.child = Some(run.expect("windrode starts"));
    }

    pub(crate) fn pid(&self) -> u32 {
        self.child.as_ref().expect("it runs").id()
    }

    pub(crate) fn stop(&mut self) {
        let Some(mut child) = self.child.take() else {
            return;
        };
        let pid = child.id().to_string();
        let _ = Command::new("kill").args(["-TERM", &pid]).status();
        let _ = child.wait();
    }

    /// An order at the terminal; it must be accepted.
    pub(crate) fn order(&self, arguments: &[&str]) {
        let output = self.command().args(arguments).output().expect("it runs");
        assert!(
            output.status.success(),
            "{arguments:?}: {}",
            String::from_utf8_lossy(&output.stderr)
        );
    }

    fn command(&self) -> Command {
        let mut command = Command::new(&self.binary);
        command
            .env_remove("WINDRODE_SOCKET")
            .arg("--config")
            .arg(self.folder.path().join("windrode.toml"));
        command
    }
}

impl Drop for Aboard {
    fn drop(&mut self) {
        self.stop();
    }
}

/// The idle client.
pub(crate) struct Idle(Child);

impl Idle {
    /// Also returns the milliseconds from its start until it hears the server.
    pub(crate) fn start(port: u16) -> (Self, f64) {
        let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/footprint/idle.js");
        let begun = Instant::now();
        let mut child = Command::new(peers().join("npm/node"))
            .arg(script)
            .arg(port.to_string())
            .env("WINDRODE_PEERS", peers())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("Node is not installed; install it with: tests/peers/install");
        let mut input = child.stdin.take().expect("it is piped");
        // The same subscriptions as the watch.
        for line in subscriptions(&OwnPaths::default()) {
            writeln!(input, "{line}").expect("it reads");
        }
        drop(input);
        let mut line = String::new();
        let output = child.stdout.take().expect("it is piped");
        BufReader::new(output)
            .read_line(&mut line)
            .expect("it hears the server");
        assert_eq!(line, "hears\n");
        (Self(child), begun.elapsed().as_secs_f64() * 1000.0)
    }

    pub(crate) fn pid(&self) -> u32 {
        self.0.id()
    }
}

impl Drop for Idle {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A push server that accepts everything.
pub(crate) struct Phone {
    pub(crate) port: u16,
    pictures: Arc<AtomicUsize>,
}

impl Phone {
    pub(crate) fn start() -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let port = listener.local_addr().expect("it has an address").port();
        let pictures = Arc::new(AtomicUsize::new(0));
        let count = Arc::clone(&pictures);
        std::thread::spawn(move || {
            for connection in listener.incoming().flatten() {
                let count = Arc::clone(&count);
                std::thread::spawn(move || answer(&connection, &count));
            }
        });
        Self { port, pictures }
    }

    pub(crate) fn pictures(&self) -> usize {
        self.pictures.load(Ordering::Relaxed)
    }
}

/// Accepts the requests of one connection until it ends; checks whether a body is a picture.
fn answer(connection: &TcpStream, pictures: &AtomicUsize) {
    let _ = connection.set_read_timeout(Some(Duration::from_mins(10)));
    let mut reader = BufReader::new(connection);
    loop {
        let mut length = 0;
        loop {
            let mut line = String::new();
            match reader.read_line(&mut line) {
                Ok(read) if read > 0 => {}
                _ => return,
            }
            let line = line.trim().to_ascii_lowercase();
            if line.is_empty() {
                break;
            }
            if let Some(bytes) = line.strip_prefix("content-length:") {
                length = bytes.trim().parse().unwrap_or(0);
            }
        }
        let mut body = vec![0; length];
        if reader.read_exact(&mut body).is_err() {
            return;
        }
        if body.starts_with(b"\x89PNG") {
            pictures.fetch_add(1, Ordering::Relaxed);
        }
        let taken =
            b"HTTP/1.1 200 OK\r\ncontent-length: 2\r\ncontent-type: application/json\r\n\r\n{}";
        let mut writer = connection;
        if writer.write_all(taken).is_err() {
            return;
        }
    }
}
