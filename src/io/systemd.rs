//! Word to the service manager: ready, what we are doing, alive, stopping.
//!
//! The protocol is that of `sd_notify(3)`: datagrams to the socket that `NOTIFY_SOCKET` names.
//! Without that variable nothing is sent and nothing fails, so the daemon runs the same by hand.
//! The watchdog must be fed by the loop that drives the watch, not by a timer of its own: a loop
//! that hangs has to starve it.

use std::time::Duration;

use sd_notify::NotifyState;
use tracing::debug;

/// The watch stands: services ordered after us may start.
pub fn ready() {
    send(&[NotifyState::Ready]);
}

/// One line for `systemctl status`.
pub fn status(line: &str) {
    // A line break would end the field and start another.
    let line = line.replace(['\n', '\r'], " ");
    send(&[NotifyState::Status(&line)]);
}

/// Alive.
pub fn feed_watchdog() {
    send(&[NotifyState::Watchdog]);
}

/// Going down on purpose.
pub fn stopping() {
    send(&[NotifyState::Stopping]);
}

/// How often to call [`feed_watchdog`]: half of what the service manager allows, as
/// `sd_watchdog_enabled(3)` advises; `None` when nobody watches this process.
#[must_use]
pub fn watchdog_period() -> Option<Duration> {
    sd_notify::watchdog_enabled()
        .filter(|limit| !limit.is_zero())
        .map(|limit| limit / 2)
}

fn send(state: &[NotifyState<'_>]) {
    if let Err(error) = sd_notify::notify(state) {
        // Nothing can be done about it, and the service manager will notice by itself.
        debug!(%error, "the service manager could not be told");
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::os::unix::net::UnixDatagram;
    use std::process::Command;

    use super::*;

    /// Speaks to whatever the environment names. Run by the test below in a process of its own,
    /// since the environment of this one must not be changed.
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

    /// Field names and meaning after `sd_notify(3)`.
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
