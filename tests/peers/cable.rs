//! A relay between windrode and the real server that can be cut silently or slowed.

#![expect(
    clippy::expect_used,
    reason = "a test fails and says why if its relay cannot start"
)]

use std::io::{Read as _, Write as _};
use std::net::{IpAddr, Shutdown, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use super::SignalK;

pub(crate) struct Cable {
    pub(crate) port: u16,
    /// Connections older than this one carry nothing any more and stay open.
    dead_below: Arc<AtomicUsize>,
    made: Arc<AtomicUsize>,
    /// Bytes a second from the client; 0 is unlimited.
    slow: Arc<AtomicUsize>,
}

impl Cable {
    pub(crate) fn to(server: &SignalK) -> Self {
        Self::listening(server, [127, 0, 0, 1].into())
    }

    /// Listens on this address of the machine.
    pub(crate) fn listening(server: &SignalK, address: IpAddr) -> Self {
        let listener = TcpListener::bind((address, 0)).expect("a port is free");
        let port = listener.local_addr().expect("it has an address").port();
        let cable = Self {
            port,
            dead_below: Arc::default(),
            made: Arc::default(),
            slow: Arc::default(),
        };
        let (dead_below, made) = (Arc::clone(&cable.dead_below), Arc::clone(&cable.made));
        let (slow, server) = (Arc::clone(&cable.slow), server.port);
        std::thread::spawn(move || {
            for client in listener.incoming().map_while(Result::ok) {
                let number = made.fetch_add(1, Ordering::SeqCst);
                let Ok(onward) = TcpStream::connect(("127.0.0.1", server)) else {
                    continue;
                };
                for (from, to, slow) in [
                    (
                        client.try_clone(),
                        onward.try_clone(),
                        Some(Arc::clone(&slow)),
                    ),
                    (onward.try_clone(), client.try_clone(), None),
                ] {
                    let dead = Arc::clone(&dead_below);
                    let (Ok(from), Ok(to)) = (from, to) else {
                        continue;
                    };
                    std::thread::spawn(move || pass(from, to, number, &dead, slow.as_deref()));
                }
            }
        });
        cable
    }

    /// From now on all connections are half open: neither side is notified, and nothing arrives.
    pub(crate) fn cut(&self) {
        let made = self.made.load(Ordering::SeqCst);
        self.dead_below.store(made, Ordering::SeqCst);
    }

    /// The server accepts this many bytes a second; 0 is unlimited.
    pub(crate) fn slow_down(&self, bytes: usize) {
        self.slow.store(bytes, Ordering::SeqCst);
    }
}

fn pass(
    mut from: TcpStream,
    mut to: TcpStream,
    number: usize,
    dead_below: &AtomicUsize,
    slow: Option<&AtomicUsize>,
) {
    let mut buffer = [0; 4096];
    loop {
        let slowly = slow.map_or(0, |slow| slow.load(Ordering::SeqCst));
        let most = if slowly == 0 {
            buffer.len()
        } else {
            1 + slowly / 10
        };
        let Ok(count) = from.read(&mut buffer[..most.min(4096)]) else {
            break;
        };
        if number < dead_below.load(Ordering::SeqCst) {
            // Held open, and never read again, until the test ends.
            std::thread::sleep(FOR_EVER);
        }
        if count == 0 || to.write_all(&buffer[..count]).is_err() {
            break;
        }
        if slowly > 0 {
            std::thread::sleep(Duration::from_millis(100));
        }
    }
    let _ = to.shutdown(Shutdown::Write);
}

const FOR_EVER: Duration = Duration::from_hours(1);
