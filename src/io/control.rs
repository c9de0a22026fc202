//! The socket for the local command line: a Unix socket, one JSON object per line each way.
//!
//! A request is `{"command":"letGo","value":{"rode":40}}`, with the commands and values of the PUT paths
//! under `navigation.anchor.watch.`; `{"command":"status"}`, `{"command":"picture"}` and
//! `{"command":"figures"}` are requests too. The answer is `{"statusCode":200,"message":"…"}` or
//! `{"statusCode":200,"data":{…}}`, with the codes of HTTP as on the Signal K bus. A connection may carry
//! several requests.
//!
//! The socket's mode, 0660, decides who may command: the daemon's user and its group. The socket is created
//! under another name, given its mode and only then renamed, so its permissions are never wider. A dead
//! daemon's socket is replaced; a live daemon's socket is left alone.
//!
//! Bounds: 8 connections, 64 KiB per request, 10 s for each step of the client. A client that exceeds them
//! gets an error if possible and is dropped; no client can hold up the watch, which sees only complete
//! requests.

use std::io;
use std::os::unix::fs::{FileTypeExt, PermissionsExt};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use tokio::io::{AsyncBufReadExt, AsyncRead, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::{UnixListener, UnixStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc, oneshot};
use tokio::time::timeout;
use tracing::debug;

/// A request from the command line.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Request {
    /// The name of the command, as in the PUT path.
    pub command: String,
    /// Its value; JSON `null` if it has none.
    #[serde(default, skip_serializing_if = "serde_json::Value::is_null")]
    pub value: serde_json::Value,
}

/// The daemon's answer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Response {
    /// 200 for done; otherwise the HTTP code that fits.
    pub status_code: u16,
    /// The message in words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub message: Option<String>,
    /// The requested data.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub data: Option<serde_json::Value>,
}

/// An answer's data as the expected type. It is parsed from text, as JSON is nearly everywhere in this program: the
/// parser is compiled again for every kind of source and type, and that made the program 0.5 MB larger (measured).
pub fn parsed<T: DeserializeOwned>(data: &serde_json::Value) -> Result<T, serde_json::Error> {
    serde_json::from_str(&data.to_string())
}

/// A request that awaits its answer. Dropping it unanswered tells the client 503.
#[derive(Debug)]
#[must_use = "somebody waits for the answer"]
pub struct Asked {
    /// The request.
    pub request: Request,
    reply: oneshot::Sender<Response>,
}

/// The listening end. Dropping it removes the socket.
#[derive(Debug)]
pub struct Server {
    listener: UnixListener,
    socket: PathBuf,
}

/// Why a request could not reach the daemon, or why the socket could not be opened.
#[derive(Debug, thiserror::Error)]
pub enum ControlError {
    /// No daemon is running.
    #[error("no daemon listens at `{socket}`; is `windrode run` running?", socket = socket.display())]
    NoDaemon {
        /// The expected socket.
        socket: PathBuf,
    },
    /// Permission denied.
    #[error("`{socket}` is closed to this user; join the group `windrode` (`sudo adduser $USER windrode`, then log in again) or use sudo", socket = socket.display())]
    Forbidden {
        /// The socket.
        socket: PathBuf,
    },
    /// The daemon did not answer in time.
    #[error("the daemon at `{socket}` did not answer within {limit} s; see `systemctl status windrode`", socket = socket.display(), limit = limit.as_secs())]
    Silent {
        /// The socket.
        socket: PathBuf,
        /// How long we waited.
        limit: Duration,
    },
    /// The reply is not a valid answer.
    #[error("the answer from `{socket}` cannot be understood: {reason}; are daemon and command line of one version?", socket = socket.display())]
    Garbled {
        /// The socket.
        socket: PathBuf,
        /// Why.
        reason: String,
    },
    /// Another daemon is using the socket.
    #[error("another daemon answers at `{socket}`; stop it first, or give this one its own `control.socket`", socket = socket.display())]
    InUse {
        /// The socket.
        socket: PathBuf,
    },
    /// The path is in use by something that is not a socket.
    #[error("`{socket}` exists and is no socket; move it away or set another `control.socket`", socket = socket.display())]
    NotASocket {
        /// The path.
        socket: PathBuf,
    },
    /// Any other error of the system.
    #[error("the control socket `{socket}` cannot be used: {reason}; does its directory exist, owned by the user of the daemon?", socket = socket.display())]
    System {
        /// The socket.
        socket: PathBuf,
        /// The system's message.
        reason: io::Error,
    },
}

impl Response {
    /// An answer in words.
    #[must_use]
    pub fn words(status_code: u16, message: impl Into<String>) -> Self {
        Self {
            status_code,
            message: Some(message.into()),
            data: None,
        }
    }

    /// An answer with data.
    #[must_use]
    pub const fn data(data: serde_json::Value) -> Self {
        Self {
            status_code: 200,
            message: None,
            data: Some(data),
        }
    }
}

impl Asked {
    /// A request from within the program, and the receiver of its answer.
    pub fn new(request: Request) -> (Self, oneshot::Receiver<Response>) {
        let (reply, answer) = oneshot::channel();
        (Self { request, reply }, answer)
    }

    /// Answers the request. If the client has left meanwhile, the answer is dropped.
    pub fn answer(self, response: Response) {
        let _ = self.reply.send(response);
    }
}

impl Server {
    /// Opens the socket with mode 0660; replaces one that a dead daemon left.
    pub async fn bind(socket: &Path) -> Result<Self, ControlError> {
        clear_the_way(socket).await?;
        let system = |reason| ControlError::System {
            socket: socket.to_owned(),
            reason,
        };
        let fresh = socket.with_extension("new");
        match std::fs::remove_file(&fresh) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(system(error)),
            _ => {}
        }
        let listener = UnixListener::bind(&fresh).map_err(system)?;
        std::fs::set_permissions(&fresh, std::fs::Permissions::from_mode(0o660))
            .and_then(|()| std::fs::rename(&fresh, socket))
            .map_err(system)?;
        Ok(Self {
            listener,
            socket: socket.to_owned(),
        })
    }

    /// Serves until the future is dropped, or until nobody takes requests any more. A full channel makes
    /// clients wait, not the daemon.
    pub async fn serve(self, requests: mpsc::Sender<Asked>) {
        let seats = Arc::new(Semaphore::new(CONNECTIONS));
        let mut clients = tokio::task::JoinSet::new();
        while !requests.is_closed() {
            let accepted = tokio::select! {
                accepted = self.listener.accept() => accepted,
                () = requests.closed() => break,
            };
            while clients.try_join_next().is_some() {}
            match accepted {
                Ok((stream, _)) => match Arc::clone(&seats).try_acquire_owned() {
                    Ok(seat) => {
                        clients.spawn(attend(stream, requests.clone(), seat));
                    }
                    Err(_) => refuse(&stream),
                },
                Err(error) => {
                    // Usually out of file descriptors: retrying at once does not help.
                    debug!(%error, "a local client could not be accepted");
                    tokio::time::sleep(BREATHER).await;
                }
            }
        }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.socket);
    }
}

/// Sends one request to the daemon and awaits its answer.
pub async fn ask(socket: &Path, request: &Request) -> Result<Response, ControlError> {
    let limit = PATIENCE_FOR_ANSWER;
    timeout(limit, converse(socket, request))
        .await
        .unwrap_or_else(|_| {
            Err(ControlError::Silent {
                socket: socket.to_owned(),
                limit,
            })
        })
}

async fn converse(socket: &Path, request: &Request) -> Result<Response, ControlError> {
    let failed = |reason: io::Error| {
        let socket = socket.to_owned();
        match reason.kind() {
            io::ErrorKind::NotFound | io::ErrorKind::ConnectionRefused => {
                ControlError::NoDaemon { socket }
            }
            io::ErrorKind::PermissionDenied => ControlError::Forbidden { socket },
            _ => ControlError::System { socket, reason },
        }
    };
    let garbled = |reason: String| ControlError::Garbled {
        socket: socket.to_owned(),
        reason,
    };
    let mut stream = UnixStream::connect(socket).await.map_err(failed)?;
    let mut line = serde_json::to_vec(request).map_err(|error| garbled(error.to_string()))?;
    line.push(b'\n');
    // A daemon that refuses at once may have closed its end already; its answer still counts.
    let sent = stream.write_all(&line).await;
    let mut answer = Vec::new();
    BufReader::new(&mut stream)
        .take(LONGEST_ANSWER)
        .read_until(b'\n', &mut answer)
        .await
        .map_err(failed)?;
    if answer.is_empty() {
        sent.map_err(failed)?;
        return Err(garbled(
            "it closed the connection without a word".to_owned(),
        ));
    }
    serde_json::from_slice(&answer).map_err(|error| garbled(error.to_string()))
}

/// Removes a dead daemon's socket, and nothing else.
async fn clear_the_way(socket: &Path) -> Result<(), ControlError> {
    let system = |reason| ControlError::System {
        socket: socket.to_owned(),
        reason,
    };
    let kind = match std::fs::symlink_metadata(socket) {
        Ok(metadata) => metadata.file_type(),
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(system(error)),
    };
    if !kind.is_socket() {
        return Err(ControlError::NotASocket {
            socket: socket.to_owned(),
        });
    }
    match UnixStream::connect(socket).await {
        Ok(_) => Err(ControlError::InUse {
            socket: socket.to_owned(),
        }),
        Err(error) if error.kind() == io::ErrorKind::ConnectionRefused => {
            std::fs::remove_file(socket).map_err(system)
        }
        Err(error) if error.kind() == io::ErrorKind::WouldBlock => Err(ControlError::InUse {
            socket: socket.to_owned(),
        }),
        Err(error) => Err(system(error)),
    }
}

/// Serves one client until it leaves, is too slow or breaks the protocol.
async fn attend(stream: UnixStream, requests: mpsc::Sender<Asked>, _seat: OwnedSemaphorePermit) {
    let (reader, mut writer) = stream.into_split();
    let mut reader = BufReader::new(reader);
    loop {
        let response = match next_line(&mut reader).await {
            Line::Request(line) => answer_to(&line, &requests).await,
            Line::TooLong => Response::words(413, "a request has at most 64 KiB"),
            Line::Over => return,
        };
        let closing = response.status_code == 413;
        let Ok(mut text) = serde_json::to_vec(&response) else {
            return;
        };
        text.push(b'\n');
        let sent = timeout(PATIENCE, writer.write_all(&text)).await;
        if closing || !matches!(sent, Ok(Ok(()))) {
            return;
        }
    }
}

enum Line {
    Request(Vec<u8>),
    TooLong,
    /// The client has left or was silent for too long.
    Over,
}

async fn next_line(reader: &mut BufReader<impl AsyncRead + Unpin>) -> Line {
    let mut line = Vec::new();
    let mut limited = reader.take(LONGEST_REQUEST + 1);
    let read = timeout(PATIENCE, limited.read_until(b'\n', &mut line)).await;
    match read {
        Ok(Ok(_)) if line.last() == Some(&b'\n') => Line::Request(line),
        Ok(Ok(_)) if line.len() as u64 > LONGEST_REQUEST => Line::TooLong,
        _ => Line::Over,
    }
}

async fn answer_to(line: &[u8], requests: &mpsc::Sender<Asked>) -> Response {
    let request = match serde_json::from_slice(line) {
        Ok(request) => request,
        Err(error) => {
            return Response::words(
                400,
                format!(
                    "this is no request: {error}; a request is one line such as `{{\"command\":\"status\"}}`"
                ),
            );
        }
    };
    let (reply, answer) = oneshot::channel();
    let unavailable = || Response::words(503, "the daemon is going down");
    if requests.send(Asked { request, reply }).await.is_err() {
        return unavailable();
    }
    answer.await.unwrap_or_else(|_| unavailable())
}

/// Reports that all connections are in use, as far as possible without waiting.
fn refuse(stream: &UnixStream) {
    let _ = stream.try_write(
        b"{\"statusCode\":503,\"message\":\"too many local clients at once; try again\"}\n",
    );
}

const CONNECTIONS: usize = 8;
const LONGEST_REQUEST: u64 = 64 * 1024;
/// A status is a few KiB; the limit keeps an unknown socket from filling the memory.
const LONGEST_ANSWER: u64 = 4 * 1024 * 1024;
/// Limit for each step of a client.
const PATIENCE: Duration = Duration::from_secs(10);
/// The daemon waits for the disk for at most 2 s before it answers, so this is ample.
const PATIENCE_FOR_ANSWER: Duration = Duration::from_secs(10);
const BREATHER: Duration = Duration::from_secs(1);

#[cfg(test)]
mod tests;
