//! The connection to displays that do not use a data server: lines to every display, and the lines they
//! send back. The content is decided elsewhere.
//!
//! Only configured addresses are opened. A TCP listener sends to every display that connects and takes its
//! lines. A UDP destination, which may be a broadcast address, is only sent to: the sender of a datagram
//! cannot be verified well enough to accept an acknowledgement.
//!
//! An address that is not available (the network may come up after us) is tried again every [`TRY_AGAIN`];
//! the watch does not wait for it.
//!
//! Bounds: [`CLIENTS`] displays, [`LONGEST_LINE`] characters in a line, one line per [`PACE`] from each
//! display, [`WAITING`] lines that wait to be sent. A display that does not keep up, or sends invalid
//! lines, is dropped and may connect again.

use std::net::{Ipv4Addr, Ipv6Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader};
use tokio::net::tcp::{OwnedReadHalf, OwnedWriteHalf};
use tokio::net::{TcpListener, TcpStream, UdpSocket};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, broadcast, mpsc, watch};
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};
use tracing::{debug, info, warn};

/// Addresses of the displays.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct DisplayAddresses {
    /// Address to listen on (TCP).
    pub listen: Option<SocketAddr>,
    /// Address to send to (UDP).
    pub send: Option<SocketAddr>,
}

/// An event from a display.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Heard {
    /// A display has connected.
    Joined,
    /// A display has sent a line.
    Line(String),
}

/// All displays. Dropping it closes every connection.
#[derive(Debug)]
pub struct Displays {
    lines: broadcast::Sender<Arc<str>>,
    heard: mpsc::Receiver<Heard>,
    bound: watch::Receiver<Option<SocketAddr>>,
    _tasks: JoinSet<()>,
}

impl Displays {
    /// Opens what the configuration names; `None` when it names nothing.
    #[must_use]
    pub fn open(addresses: DisplayAddresses) -> Option<Self> {
        if addresses == DisplayAddresses::default() {
            return None;
        }
        let (lines, _) = broadcast::channel(WAITING);
        let (tell, heard) = mpsc::channel(WAITING);
        let (here, bound) = watch::channel(None);
        let mut tasks = JoinSet::new();
        if let Some(address) = addresses.listen {
            tasks.spawn(listen(address, lines.clone(), tell.clone(), here));
        }
        if let Some(address) = addresses.send {
            tasks.spawn(send(address, lines.subscribe()));
        }
        Some(Self {
            lines,
            heard,
            bound,
            _tasks: tasks,
        })
    }

    /// Sends a line, including its line end, to every connected display. It waits for none of them.
    pub fn send(&self, line: String) {
        // No connected display is not an error.
        let _ = self.lines.send(line.into());
    }

    /// Gives the sent lines a moment to go out before everything ends.
    pub async fn flush(&self) {
        let gone = async {
            while !self.lines.is_empty() {
                sleep(FLUSH_STEP).await;
            }
            // The line taken last is still being written.
            sleep(FLUSH_STEP).await;
        };
        let _ = timeout(FLUSH, gone).await;
    }

    /// The next event from a display; waits forever if there is no listener.
    pub async fn next(&mut self) -> Heard {
        match self.heard.recv().await {
            Some(heard) => heard,
            None => std::future::pending().await,
        }
    }

    /// The address it listens on, once it does.
    pub async fn bound(&mut self) -> Option<SocketAddr> {
        let bound = self.bound.wait_for(Option::is_some).await;
        bound.ok().and_then(|address| *address)
    }
}

async fn listen(
    address: SocketAddr,
    lines: broadcast::Sender<Arc<str>>,
    heard: mpsc::Sender<Heard>,
    here: watch::Sender<Option<SocketAddr>>,
) {
    let listener = bind(address).await;
    if let Ok(address) = listener.local_addr() {
        info!("displays may connect to {address}");
        let _ = here.send(Some(address));
    }
    let seats = Arc::new(Semaphore::new(CLIENTS));
    let mut clients = JoinSet::new();
    loop {
        let accepted = listener.accept().await;
        while clients.try_join_next().is_some() {}
        match accepted {
            Ok((stream, from)) => {
                if let Ok(seat) = Arc::clone(&seats).try_acquire_owned() {
                    debug!("the display {from} has connected");
                    clients.spawn(attend(stream, lines.subscribe(), heard.clone(), seat));
                } else {
                    debug!("the display {from} finds all {CLIENTS} seats taken");
                }
            }
            Err(error) => {
                debug!(%error, "a display could not be accepted");
                sleep(BREATHER).await;
            }
        }
    }
}

async fn bind(address: SocketAddr) -> TcpListener {
    let mut told = false;
    loop {
        match TcpListener::bind(address).await {
            Ok(listener) => return listener,
            Err(error) if told => debug!("displays cannot connect to {address}: {error}"),
            Err(error) => {
                told = true;
                warn!(
                    "displays cannot connect to {address}: {error}; it is tried again, see `displays.listen`"
                );
            }
        }
        sleep(TRY_AGAIN).await;
    }
}

/// Serves one display until it leaves, is too slow or breaks the protocol.
async fn attend(
    stream: TcpStream,
    lines: broadcast::Receiver<Arc<str>>,
    heard: mpsc::Sender<Heard>,
    _seat: OwnedSemaphorePermit,
) {
    let _ = stream.set_nodelay(true);
    let (reader, writer) = stream.into_split();
    if heard.send(Heard::Joined).await.is_err() {
        return;
    }
    tokio::select! {
        () = tell(writer, lines) => {}
        () = hear(reader, heard) => {}
    }
}

async fn tell(mut writer: OwnedWriteHalf, mut lines: broadcast::Receiver<Arc<str>>) {
    // A display so far behind that lines were lost reconnects and gets everything.
    while let Ok(line) = lines.recv().await {
        let sent = timeout(PATIENCE, writer.write_all(line.as_bytes())).await;
        if !matches!(sent, Ok(Ok(()))) {
            return;
        }
    }
}

async fn hear(reader: OwnedReadHalf, heard: mpsc::Sender<Heard>) {
    let mut reader = BufReader::new(reader);
    loop {
        let mut line = Vec::new();
        // A display need not send anything; a lost one is noticed at the next line sent to it.
        let read = (&mut reader)
            .take(LONGEST_LINE)
            .read_until(b'\n', &mut line)
            .await;
        if !matches!(read, Ok(length) if length > 0) || line.last() != Some(&b'\n') {
            return;
        }
        if let Ok(line) = String::from_utf8(line)
            && heard.send(Heard::Line(line)).await.is_err()
        {
            return;
        }
        sleep(PACE).await;
    }
}

async fn send(to: SocketAddr, mut lines: broadcast::Receiver<Arc<str>>) {
    let from: SocketAddr = match to {
        SocketAddr::V4(_) => (Ipv4Addr::UNSPECIFIED, 0).into(),
        SocketAddr::V6(_) => (Ipv6Addr::UNSPECIFIED, 0).into(),
    };
    let mut socket = None;
    let mut told = false;
    loop {
        let line = match lines.recv().await {
            Ok(line) => line,
            // The next list contains what was lost.
            Err(broadcast::error::RecvError::Lagged(_)) => continue,
            Err(broadcast::error::RecvError::Closed) => return,
        };
        let sent = match &socket {
            Some(socket) => send_one(socket, &line, to).await,
            None => match open_sender(from).await {
                Ok(fresh) => send_one(socket.insert(fresh), &line, to).await,
                Err(error) => Err(error),
            },
        };
        match sent {
            Ok(()) => told = false,
            Err(error) if told => debug!("displays at {to} cannot be told: {error}"),
            Err(error) => {
                told = true;
                socket = None;
                warn!("displays at {to} cannot be told: {error}; see `displays.send`");
            }
        }
    }
}

async fn open_sender(from: SocketAddr) -> std::io::Result<UdpSocket> {
    let socket = UdpSocket::bind(from).await?;
    socket.set_broadcast(true)?;
    Ok(socket)
}

async fn send_one(socket: &UdpSocket, line: &str, to: SocketAddr) -> std::io::Result<()> {
    socket.send_to(line.as_bytes(), to).await.map(|_| ())
}

const CLIENTS: usize = 8;
/// A sentence has 82 characters; a tag block may precede it.
const LONGEST_LINE: u64 = 512;
/// Nobody presses a button more often, and a display's own heartbeat is slower.
const PACE: Duration = Duration::from_millis(100);
/// Every alert there is, twice, with the lists.
const WAITING: usize = 64;
const PATIENCE: Duration = Duration::from_secs(10);
const TRY_AGAIN: Duration = Duration::from_secs(10);
const FLUSH: Duration = Duration::from_secs(1);
const FLUSH_STEP: Duration = Duration::from_millis(10);
const BREATHER: Duration = Duration::from_secs(1);

#[cfg(test)]
mod tests {
    use super::*;

    const LOOPBACK: SocketAddr = SocketAddr::new(std::net::IpAddr::V4(Ipv4Addr::LOCALHOST), 0);

    fn listening() -> Displays {
        Displays::open(DisplayAddresses {
            listen: Some(LOOPBACK),
            send: None,
        })
        .unwrap()
    }

    async fn join(displays: &mut Displays) -> TcpStream {
        let address = displays.bound().await.unwrap();
        let stream = TcpStream::connect(address).await.unwrap();
        assert_eq!(displays.next().await, Heard::Joined);
        stream
    }

    #[tokio::test]
    async fn nothing_is_opened_that_is_not_named() {
        assert!(Displays::open(DisplayAddresses::default()).is_none());
    }

    #[tokio::test]
    async fn every_display_is_told_and_heard() {
        let mut displays = listening();
        let mut one = join(&mut displays).await;
        let mut two = join(&mut displays).await;
        displays.send("$IIHBT,30,A,0*0E\r\n".to_owned());
        for stream in [&mut one, &mut two] {
            let mut told = [0; 18];
            stream.read_exact(&mut told).await.unwrap();
            assert_eq!(&told, b"$IIHBT,30,A,0*0E\r\n");
        }
        two.write_all(b"$CAACN\r\nrest").await.unwrap();
        assert_eq!(displays.next().await, Heard::Line("$CAACN\r\n".to_owned()));
    }

    #[tokio::test]
    async fn a_ninth_display_and_an_endless_line_are_dropped() {
        let mut displays = listening();
        let mut seated = Vec::new();
        for _ in 0..CLIENTS {
            seated.push(join(&mut displays).await);
        }
        let address = displays.bound().await.unwrap();
        let mut ninth = TcpStream::connect(address).await.unwrap();
        assert_eq!(ninth.read(&mut [0; 8]).await.unwrap(), 0);
        let endless = seated.first_mut().unwrap();
        endless.write_all(&[b'x'; 4000]).await.unwrap();
        // Closed while its data was unread: an end of stream, or a reset.
        assert!(matches!(endless.read(&mut [0; 8]).await, Ok(0) | Err(_)));
    }

    #[tokio::test]
    async fn a_destination_is_told_by_datagram() {
        let display = UdpSocket::bind(LOOPBACK).await.unwrap();
        let displays = Displays::open(DisplayAddresses {
            listen: None,
            send: display.local_addr().ok(),
        })
        .unwrap();
        displays.send("$IIHBT,30,A,0*0E\r\n".to_owned());
        let mut told = [0; 100];
        let (length, from) = display.recv_from(&mut told).await.unwrap();
        assert_eq!(&told[..length], b"$IIHBT,30,A,0*0E\r\n");
        // Replies by datagram are ignored, and harm nobody.
        display.send_to(b"$CAACN\r\n", from).await.unwrap();
    }

    #[tokio::test(start_paused = true)]
    async fn an_address_that_is_taken_is_tried_again() {
        let other = std::net::TcpListener::bind(LOOPBACK).unwrap();
        let address = other.local_addr().unwrap();
        let mut displays = Displays::open(DisplayAddresses {
            listen: Some(address),
            send: None,
        })
        .unwrap();
        sleep(TRY_AGAIN * 2).await;
        drop(other);
        assert_eq!(displays.bound().await, Some(address));
    }
}
