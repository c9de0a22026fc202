//! Writes to standard output without a panic when the reader has gone.

use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;

/// Exit codes, after sysexits.h where it has one; the man page lists them.
pub mod code {
    /// The required result did not happen (a rehearsal, a check), or an order was refused.
    pub const NOT_DONE: u8 = 1;
    /// The command line is wrong.
    pub const USAGE: u8 = 64;
    /// The input's data is invalid.
    pub const DATA: u8 = 65;
    /// A required service is not available.
    pub const UNAVAILABLE: u8 = 69;
    /// A fault of our own.
    pub const SOFTWARE: u8 = 70;
    /// A file cannot be read or written.
    pub const IO: u8 = 74;
    /// Permission denied.
    pub const NO_PERMISSION: u8 = 77;
    /// The configuration is invalid.
    pub const CONFIG: u8 = 78;
}

/// A command's failure: the message for standard error, and the exit code.
#[derive(Debug)]
pub struct Failure {
    /// For people; lower case, no full stop.
    pub message: String,
    /// See [`code`].
    pub code: u8,
}

impl Failure {
    /// Joins message and code.
    #[expect(
        clippy::needless_pass_by_value,
        reason = "errors are handed over whole by `map_err`"
    )]
    pub fn new(code: u8, message: impl ToString) -> Self {
        Self {
            message: message.to_string(),
            code,
        }
    }

    /// A file cannot be written.
    pub(super) fn unwritten(file: &Path, error: &io::Error) -> Self {
        let file = file.display();
        Self::new(code::IO, format!("`{file}` cannot be written: {error}"))
    }
}

impl From<io::Error> for Failure {
    fn from(error: io::Error) -> Self {
        Self::new(code::IO, format!("cannot write: {error}"))
    }
}

/// Writes one line; a closed pipe is not an error, because the reader has had enough.
pub fn line(text: &str) -> Result<(), Failure> {
    tolerate(writeln!(io::stdout().lock(), "{text}"))
}

/// Writes one line to standard error; a failure there cannot be reported.
pub fn complain(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// A closed pipe ends the command quietly, as `head` expects.
pub fn tolerate(result: io::Result<()>) -> Result<(), Failure> {
    match result {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => {
            Err(Failure::new(0, String::new()))
        }
        other => other.map_err(Failure::from),
    }
}

/// Should colour be used? Only on a terminal, and not if `NO_COLOR` is set.
#[must_use]
pub fn colour() -> bool {
    io::stdout().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
}

/// The process's exit code.
#[must_use]
pub fn finish(result: Result<(), Failure>) -> ExitCode {
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            if !failure.message.is_empty() {
                complain(&format!("windrode: {}", failure.message));
            }
            ExitCode::from(failure.code)
        }
    }
}
