//! The services ashore: a real push server, a real broker, a real mail server, and small servers of
//! our own that misbehave on purpose.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a test that lacks its peer fails, and says why"
)]

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::time::SystemTime;

use serde_json::Value;
use tempfile::TempDir;

use super::tern::eventually;
use super::{Rest, installed};

/// A loopback port without a listener.
pub(crate) fn free_port() -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
    listener.local_addr().expect("it has an address").port()
}

/// The path of a system program; Debian keeps servers in a folder that is not always on `PATH`.
fn on_path(name: &str) -> PathBuf {
    let path = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&path)
        .chain([PathBuf::from("/usr/sbin")])
        .map(|folder| folder.join(name))
        .find(|program| program.exists())
        .unwrap_or_else(|| PathBuf::from(name))
}

#[test]
#[should_panic(expected = "install it with: tests/peers/install")]
fn a_server_that_is_missing_fails_the_test_and_names_the_command() {
    let folder = TempDir::new().expect("a folder can be made");
    let program = folder.path().join("ntfy");
    drop(spawn(
        "the push server",
        &program,
        &[],
        &folder.path().join("log"),
        1,
    ));
}

/// A server that ends with the test, however the test ends; returns when it listens.
fn spawn(what: &str, program: &Path, arguments: &[&str], log: &Path, port: u16) -> Child {
    assert!(
        program.exists(),
        "{what} is not there: no `{}`; install it with: tests/peers/install",
        program.display()
    );
    let written = std::fs::File::create(log).expect("a log can be written");
    let mut child = Command::new("setpriv")
        .args(["--pdeathsig", "KILL", "--"])
        .arg(program)
        .args(arguments)
        .stdin(Stdio::null())
        .stdout(written.try_clone().expect("a log can be written twice"))
        .stderr(written)
        .spawn()
        .expect("`setpriv` is missing; install it with: tests/peers/install");
    eventually("the server listens", || {
        // Installed but broken since, for example because its interpreter was replaced.
        if let Ok(Some(status)) = child.try_wait() {
            let said = std::fs::read_to_string(log).unwrap_or_default();
            panic!(
                "{what} ended at once ({status}); reinstall it with: tests/peers/install\n{said}"
            );
        }
        TcpStream::connect(("127.0.0.1", port)).ok()
    });
    child
}

fn end(child: &mut Option<Child>) {
    if let Some(mut child) = child.take() {
        let _ = child.kill();
        let _ = child.wait();
    }
}

/// A push server with topics over HTTP.
pub(crate) struct PushServer {
    folder: TempDir,
    pub(crate) port: u16,
    child: Option<Child>,
}

impl PushServer {
    /// Everybody may read and write.
    pub(crate) fn start() -> Self {
        Self::start_with("auth-default-access: \"read-write\"\n")
    }

    pub(crate) fn start_with(more: &str) -> Self {
        let folder = TempDir::new().expect("a folder can be made");
        let (here, port) = (folder.path().display(), free_port());
        let config = format!(
            "base-url: \"http://127.0.0.1:{port}\"\nlisten-http: \"127.0.0.1:{port}\"\n\
             cache-file: \"{here}/cache.db\"\nattachment-cache-dir: \"{here}/files\"\n\
             auth-file: \"{here}/auth.db\"\n\
             visitor-request-limit-exempt-hosts: \"127.0.0.1\"\n{more}"
        );
        std::fs::write(folder.path().join("server.yml"), config).expect("it is written");
        let mut server = Self {
            folder,
            port,
            child: None,
        };
        server.start_again();
        server
    }

    pub(crate) fn url(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Stops it: its port refuses connections.
    pub(crate) fn stop(&mut self) {
        end(&mut self.child);
    }

    pub(crate) fn start_again(&mut self) {
        let config = self.folder.path().join("server.yml");
        let arguments = ["serve", "--config", config.to_str().expect("plain path")];
        let log = self.folder.path().join("log");
        let program = installed().join("ntfy/usr/bin/ntfy");
        let child = spawn("the push server", &program, &arguments, &log, self.port);
        self.child = Some(child);
    }

    /// Everything ever sent on a topic: messages, and what was cleared and deleted.
    pub(crate) fn story(&self, topic: &str) -> Vec<Value> {
        self.lines(&format!("/{topic}/json?poll=1&since=all"))
    }

    /// The same, with messages still waiting to be delivered.
    pub(crate) fn scheduled(&self, topic: &str) -> Vec<Value> {
        self.lines(&format!("/{topic}/json?poll=1&since=all&scheduled=1"))
    }

    fn lines(&self, path: &str) -> Vec<Value> {
        let rest = Rest::new(self.url(), None);
        match rest.get_json(path) {
            Some(Value::String(text)) => text
                .lines()
                .map(|line| serde_json::from_str(line).expect("JSON lines"))
                .collect(),
            Some(Value::Null) | None => Vec::new(),
            Some(one) => vec![one],
        }
    }

    /// What a phone does when the `label` button of a message is pressed.
    pub(crate) fn press(message: &Value, label: &str) {
        let actions = message["actions"].as_array().expect("it has buttons");
        let button = actions
            .iter()
            .find(|action| action["label"] == label)
            .unwrap_or_else(|| panic!("no button {label} in {message}"));
        assert_eq!(button["method"], "POST");
        let url = button["url"].as_str().expect("an address");
        let body = button["body"].as_str().expect("a body");
        post(url, body);
    }
}

impl Drop for PushServer {
    fn drop(&mut self) {
        self.stop();
    }
}

/// Posts a text as it is.
pub(crate) fn post(url: &str, body: &str) {
    let (host, path) = url
        .strip_prefix("http://")
        .and_then(|rest| rest.split_once('/'))
        .expect("an address on loopback");
    let mut stream = TcpStream::connect(host).expect("the server listens");
    write!(
        stream,
        "POST /{path} HTTP/1.1\r\nHost: {host}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    )
    .expect("it is sent");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("it answers");
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
}

/// An MQTT broker.
pub(crate) struct Broker {
    folder: TempDir,
    pub(crate) port: u16,
    child: Option<Child>,
}

impl Broker {
    /// `more` are lines of its configuration.
    pub(crate) fn start(more: &str) -> Self {
        let folder = TempDir::new().expect("a folder can be made");
        let port = free_port();
        let config = format!("listener {port} 127.0.0.1\n{more}");
        std::fs::write(folder.path().join("broker.conf"), config).expect("it is written");
        let mut broker = Self {
            folder,
            port,
            child: None,
        };
        broker.start_again();
        broker
    }

    pub(crate) fn stop(&mut self) {
        end(&mut self.child);
    }

    /// The id of its process.
    pub(crate) fn process(&self) -> u32 {
        self.child.as_ref().expect("it runs").id()
    }

    pub(crate) fn start_again(&mut self) {
        let config = self.folder.path().join("broker.conf");
        let arguments = ["-c", config.to_str().expect("plain path")];
        let log = self.folder.path().join("log");
        let program = on_path("mosquitto");
        let child = spawn("the broker", &program, &arguments, &log, self.port);
        self.child = Some(child);
    }
}

impl Drop for Broker {
    fn drop(&mut self) {
        self.stop();
    }
}

/// A mail server that stores everything it receives in a folder.
pub(crate) struct MailServer {
    folder: TempDir,
    pub(crate) port: u16,
    child: Option<Child>,
}

impl MailServer {
    pub(crate) fn start() -> Self {
        let folder = TempDir::new().expect("a folder can be made");
        let port = free_port();
        let address = format!("127.0.0.1:{port}");
        let mails = folder.path().join("mails");
        let arguments = [
            "-n",
            "-l",
            &address,
            "-c",
            "aiosmtpd.handlers.Mailbox",
            mails.to_str().expect("plain path"),
        ];
        let program = installed().join("python/bin/aiosmtpd");
        let child = spawn(
            "the mail server",
            &program,
            &arguments,
            &folder.path().join("log"),
            port,
        );
        Self {
            folder,
            port,
            child: Some(child),
        }
    }

    pub(crate) fn mails(&self) -> Vec<String> {
        let mut files: Vec<PathBuf> = std::fs::read_dir(self.folder.path().join("mails/new"))
            .map(|found| found.filter_map(|entry| Some(entry.ok()?.path())).collect())
            .unwrap_or_default();
        files.sort_by_key(|file| file.metadata().and_then(|m| m.modified()).ok());
        files
            .iter()
            .map(|file| std::fs::read_to_string(file).expect("a mail is text"))
            .collect()
    }
}

impl Drop for MailServer {
    fn drop(&mut self) {
        end(&mut self.child);
    }
}

/// The behaviour of one of our servers.
#[derive(Clone, Debug)]
pub(crate) enum Manner {
    /// Answers with this status line and these headers.
    Answers(&'static str, String),
    /// Accepts the request and never answers.
    Hangs,
}

/// A received request.
#[derive(Clone, Debug)]
pub(crate) struct Request {
    /// The machine's time.
    pub(crate) at: SystemTime,
    pub(crate) method: String,
    /// The headers as sent, with lower-case names.
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: Vec<u8>,
}

impl Request {
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let found = self.headers.iter().find(|(known, _)| known == name);
        found.map(|(_, value)| value.as_str())
    }

    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.body).expect("a JSON body")
    }
}

/// A server of our own, for faults that no real one shows on demand.
pub(crate) struct Odd {
    pub(crate) port: u16,
    manner: Arc<Mutex<Manner>>,
    requests: Arc<Mutex<Vec<Request>>>,
}

impl Odd {
    pub(crate) fn start(manner: Manner) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port is free");
        let port = listener.local_addr().expect("it has an address").port();
        let odd = Self {
            port,
            manner: Arc::new(Mutex::new(manner)),
            requests: Arc::default(),
        };
        let (manner, requests) = (Arc::clone(&odd.manner), Arc::clone(&odd.requests));
        std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                let (manner, requests) = (Arc::clone(&manner), Arc::clone(&requests));
                std::thread::spawn(move || serve(stream, &manner, &requests));
            }
        });
        odd
    }

    pub(crate) fn url(&self) -> String {
        format!("http://127.0.0.1:{}/hook", self.port)
    }

    /// As a channel of this name in windrode's configuration.
    pub(crate) fn as_channel(&self, name: &str) -> String {
        format!(
            "[push.{name}]\nkind = \"webhook\"\nurl = \"{}\"\n",
            self.url()
        )
    }

    pub(crate) fn behave(&self, manner: Manner) {
        *self.manner.lock().expect("no panic holds it") = manner;
    }

    /// The posted messages, without requests that only test the channel.
    pub(crate) fn posted(&self) -> Vec<Request> {
        let requests = self.requests.lock().expect("no panic holds it");
        let posts = requests.iter().filter(|request| request.method == "POST");
        posts.cloned().collect()
    }

    /// All requests.
    pub(crate) fn asked(&self) -> usize {
        self.requests.lock().expect("no panic holds it").len()
    }
}

fn serve(mut stream: TcpStream, manner: &Mutex<Manner>, requests: &Mutex<Vec<Request>>) {
    let Some(request) = read_request(&mut stream) else {
        return;
    };
    let manner = manner.lock().expect("no panic holds it").clone();
    requests.lock().expect("no panic holds it").push(request);
    match manner {
        Manner::Answers(status, headers) => {
            let _ = write!(
                stream,
                "HTTP/1.1 {status}\r\n{headers}Content-Length: 0\r\nConnection: close\r\n\r\n"
            );
        }
        // The other side gives up after a time.
        Manner::Hangs => {
            let _ = stream.read(&mut [0; 16]);
        }
    }
}

fn read_request(stream: &mut TcpStream) -> Option<Request> {
    let mut bytes = Vec::new();
    let mut chunk = [0; 4096];
    let head = loop {
        if let Some(at) = bytes.windows(4).position(|four| four == b"\r\n\r\n") {
            break at + 4;
        }
        match stream.read(&mut chunk) {
            Ok(count) if count > 0 => bytes.extend_from_slice(&chunk[..count]),
            _ => return None,
        }
    };
    let text = String::from_utf8_lossy(&bytes[..head]).into_owned();
    let mut lines = text.lines();
    let method = lines.next()?.split(' ').next()?.to_owned();
    let headers: Vec<(String, String)> = lines
        .filter_map(|line| line.split_once(": "))
        .map(|(name, value)| (name.to_lowercase(), value.to_owned()))
        .collect();
    let length = headers.iter().find(|(name, _)| name == "content-length");
    let length: usize = length.map_or(0, |(_, value)| value.parse().unwrap_or(0));
    while bytes.len() < head + length {
        match stream.read(&mut chunk) {
            Ok(count) if count > 0 => bytes.extend_from_slice(&chunk[..count]),
            _ => return None,
        }
    }
    Some(Request {
        at: SystemTime::now(),
        method,
        headers,
        body: bytes[head..head + length].to_vec(),
    })
}

/// A self-signed certificate for 127.0.0.1 and its key, as files in a folder.
pub(crate) fn self_signed(folder: &Path) -> (PathBuf, PathBuf) {
    let (certificate, key) = (folder.join("cert.pem"), folder.join("key.pem"));
    let made = Command::new("openssl")
        .args([
            "req",
            "-x509",
            "-newkey",
            "ec",
            "-pkeyopt",
            "ec_paramgen_curve:P-256",
        ])
        .args(["-nodes", "-days", "2", "-subj", "/CN=127.0.0.1"])
        .args([
            "-addext",
            "subjectAltName=IP:127.0.0.1",
            "-addext",
            "basicConstraints=critical,CA:FALSE",
        ])
        .arg("-keyout")
        .arg(&key)
        .arg("-out")
        .arg(&certificate)
        .stderr(Stdio::null())
        .status()
        .expect("`openssl` is missing; install it with: tests/peers/install");
    assert!(made.success());
    // The broker drops its privileges before it reads them.
    for file in [&certificate, &key] {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(file, std::fs::Permissions::from_mode(0o644)).expect("it is ours");
    }
    (certificate, key)
}
