//! A program on this computer, run for each message with its JSON on standard input: a siren on a
//! relay, a modem that sends a text message.
//!
//! No shell is used: the text of a message is never read as a command. From the environment the program
//! gets only `PATH`, and it is killed when it takes too long; processes that it starts are its own
//! responsibility. Exit status 0 is *sent*, any other *later*: whether a modem will work in a minute cannot
//! be known here.

use std::io::ErrorKind;
use std::os::unix::fs::PermissionsExt;
use std::path::PathBuf;
use std::process::Stdio;
use std::time::Duration;

use tokio::io::AsyncWriteExt;
use tokio::process::Command;

use super::later;
use crate::outbox::words::{Parcel, Verdict};

/// The program to run.
#[derive(Debug)]
pub(super) struct Program(pub(super) PathBuf);

impl Program {
    pub(super) async fn carry(&self, parcel: &Parcel) -> Verdict {
        let message = match parcel {
            Parcel::Show(message) | Parcel::Clear(message) => message,
            Parcel::Renew { .. } | Parcel::Withdraw(_) => return Verdict::Sent,
            Parcel::Probe => return self.probe(),
        };
        let mut line = match serde_json::to_vec(message) {
            Ok(line) => line,
            Err(error) => return later(error.to_string()),
        };
        line.push(b'\n');
        tokio::time::timeout(LIMIT, self.run(&line))
            .await
            .unwrap_or_else(|_| {
                later(format!(
                    "the program had not ended after {} s and was killed",
                    LIMIT.as_secs()
                ))
            })
    }

    fn probe(&self) -> Verdict {
        match std::fs::metadata(&self.0) {
            Ok(found) if found.is_file() && found.permissions().mode() & 0o111 != 0 => {
                Verdict::Sent
            }
            Ok(_) => Verdict::Refused(format!("`{}` is no program", self.0.display())),
            Err(error) => Verdict::Refused(format!("`{}`: {error}", self.0.display())),
        }
    }

    async fn run(&self, line: &[u8]) -> Verdict {
        let mut command = Command::new(&self.0);
        command
            .env_clear()
            .env("PATH", "/usr/local/bin:/usr/bin:/bin")
            .current_dir("/")
            .stdin(Stdio::piped())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .kill_on_drop(true);
        let mut child = match command.spawn() {
            Ok(child) => child,
            Err(error)
                if matches!(
                    error.kind(),
                    ErrorKind::NotFound | ErrorKind::PermissionDenied
                ) =>
            {
                return Verdict::Refused(format!("`{}`: {error}", self.0.display()));
            }
            Err(error) => return later(format!("`{}`: {error}", self.0.display())),
        };
        if let Some(mut input) = child.stdin.take() {
            // The program need not read it.
            let _ = input.write_all(line).await;
        }
        match child.wait().await {
            Ok(status) if status.success() => Verdict::Sent,
            Ok(status) => later(format!("the program ended with {status}")),
            Err(error) => later(error.to_string()),
        }
    }
}

const LIMIT: Duration = Duration::from_secs(25);
