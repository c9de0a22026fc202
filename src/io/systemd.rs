//! Messages to the service manager: ready, status, alive, stopping.
//!
//! The protocol is that of `sd_notify(3)`: datagrams to the socket that `NOTIFY_SOCKET` names. Without that
//! variable nothing is sent and nothing fails, so the daemon also runs by hand. The loop that drives the
//! watch must feed the watchdog, not a timer of its own, so that a hanging loop stops feeding it.

use std::ffi::OsStr;
use std::io;
use std::os::linux::net::SocketAddrExt;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::net::{SocketAddr, UnixDatagram};
use std::time::Duration;

use sd_notify::NotifyState;
use tracing::debug;

/// The watch has started: services ordered after us may start.
pub fn ready() {
    send(&NotifyState::Ready, Wait::Shortly);
}

/// One line for `systemctl status`.
pub fn status(line: &str) {
    // A line break would end the field and start another.
    let line = line.replace(['\n', '\r'], " ");
    send(&NotifyState::Status(&line), Wait::Never);
}

/// Feeds the watchdog.
pub fn feed_watchdog() {
    send(&NotifyState::Watchdog, Wait::Never);
}

/// Stopping on purpose.
pub fn stopping() {
    send(&NotifyState::Stopping, Wait::Shortly);
}

/// How often to call [`feed_watchdog`]: half of what the service manager allows, as
/// `sd_watchdog_enabled(3)` advises; `None` when no watchdog is set for this process.
#[must_use]
pub fn watchdog_period() -> Option<Duration> {
    sd_notify::watchdog_enabled()
        .filter(|limit| !limit.is_zero())
        .map(|limit| limit / 2)
}

/// Sends to the service manager, if there is one.
fn send(state: &NotifyState<'_>, wait: Wait) {
    let Some(address) = std::env::var_os("NOTIFY_SOCKET") else {
        return;
    };
    if let Err(error) = send_to(&address, state, wait) {
        // Nothing can be done about a failure, and the service manager notices by itself.
        debug!(%error, "the service manager could not be told");
    }
}

/// A manager that does not read must not hold up the watch: its queue holds about ten messages, and after
/// that a `send` would wait forever.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wait {
    /// A message that is repeated soon is dropped.
    Never,
    /// A message that is sent once waits, but not for long.
    Shortly,
}

fn send_to(address: &OsStr, state: &NotifyState<'_>, wait: Wait) -> io::Result<()> {
    let socket = UnixDatagram::unbound()?;
    match wait {
        Wait::Never => socket.set_nonblocking(true)?,
        Wait::Shortly => socket.set_write_timeout(Some(LONGEST_WAIT))?,
    }
    match address.as_bytes().strip_prefix(b"@") {
        Some(name) => socket.connect_addr(&SocketAddr::from_abstract_name(name)?)?,
        None => socket.connect(address)?,
    }
    socket.send(format!("{state}\n").as_bytes()).map(|_| ())
}

const LONGEST_WAIT: Duration = Duration::from_secs(2);

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::process::Command;

    use super::*;

    #[test]
    fn a_manager_that_does_not_read_holds_nothing_up() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("notify");
        let manager = UnixDatagram::bind(&path).unwrap();
        let feed = |times: usize| {
            let all =
                (0..times).map(|_| send_to(path.as_os_str(), &NotifyState::Watchdog, Wait::Never));
            all.filter(io::Result::is_err).count()
        };
        // Far more messages than any system queues.
        assert!(feed(5000) > 0);
        manager.set_nonblocking(true).unwrap();
        let mut buffer = [0; 64];
        while manager.recv(&mut buffer).is_ok() {}
        assert_eq!(feed(1), 0);
        assert_eq!(manager.recv(&mut buffer).unwrap(), b"WATCHDOG=1\n".len());
    }

    #[test]
    fn a_manager_in_the_abstract_namespace_is_reached() {
        let name = format!("windrode-test-{}", std::process::id());
        let address = SocketAddr::from_abstract_name(&name).unwrap();
        let manager = UnixDatagram::bind_addr(&address).unwrap();
        let address = format!("@{name}");
        send_to(OsStr::new(&address), &NotifyState::Ready, Wait::Shortly).unwrap();
        let mut buffer = [0; 64];
        let length = manager.recv(&mut buffer).unwrap();
        assert_eq!(&buffer[..length], b"READY=1\n");
    }

    /// Sends to the service manager that the environment names. The test below runs it in a process of its
    /// own, because the environment of this one must not be changed.
    #[test]
    fn speaks_when_there_is_somebody_to_listen() {
        ready();
        status("set, 31 m of 40 m\nREADY=0");
        if watchdog_period() == Some(Duration::from_secs(15)) {
            feed_watchdog();
        }
        stopping();
        assert_eq!(
            watchdog_period().is_some(),
            std::env::var_os("WATCHDOG_USEC").is_some()
        );
    }

    /// Field names and meanings as in `sd_notify(3)`.
    #[test]
    fn the_service_manager_hears_ready_status_watchdog_and_stopping() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("notify");
        let manager = UnixDatagram::bind(&path).unwrap();
        let status = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "io::systemd::tests::speaks_when_there_is_somebody_to_listen",
            ])
            .env("NOTIFY_SOCKET", &path)
            .env("WATCHDOG_USEC", "30000000")
            .env_remove("WATCHDOG_PID")
            .output()
            .unwrap()
            .status;
        assert!(status.success());
        manager.set_nonblocking(true).unwrap();
        let mut heard = Vec::new();
        let mut buffer = [0; 512];
        while let Ok(length) = manager.recv(&mut buffer) {
            heard.push(String::from_utf8(buffer[..length].to_vec()).unwrap());
        }
        assert_eq!(
            heard,
            [
                "READY=1\n",
                "STATUS=set, 31 m of 40 m READY=0\n",
                "WATCHDOG=1\n",
                "STOPPING=1\n"
            ]
        );
    }
}
