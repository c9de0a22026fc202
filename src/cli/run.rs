//! `windrode run`: the daemon with the machine's clock, signals and service manager.

use std::io::IsTerminal;

use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::mpsc;
use tracing_subscriber::EnvFilter;

use super::out::{Failure, code};
use super::{ConfigFile, load, runtime};
use crate::daemon::{self, Daemon, DaemonError};
use crate::io::clock::Clock;
use crate::io::control;

/// Keeps the watch until told to stop.
pub(super) fn run(config: &ConfigFile) -> Result<(), Failure> {
    log_to_stderr();
    let config = load(config)?;
    for warning in config.warnings() {
        tracing::warn!("{warning}");
    }
    runtime()?.block_on(async {
        let server = control::Server::bind(&config.control.socket)
            .await
            .map_err(|error| Failure::new(code::UNAVAILABLE, error))?;
        let (asked, control) = mpsc::channel(16);
        tokio::spawn(server.serve(asked));
        let stop = stop_signal()?;
        let daemon = Daemon::open(config, Clock::system(), control).map_err(failure)?;
        Box::pin(daemon.run(stop)).await.map_err(failure)
    })
}

fn stop_signal() -> Result<impl Future<Output = &'static str>, Failure> {
    let listen = |kind| {
        signal(kind).map_err(|error| Failure::new(code::SOFTWARE, format!("no signals: {error}")))
    };
    let mut terminate = listen(SignalKind::terminate())?;
    let mut interrupt = listen(SignalKind::interrupt())?;
    Ok(async move {
        tokio::select! {
            _ = terminate.recv() => "SIGTERM",
            _ = interrupt.recv() => "SIGINT",
        }
    })
}

fn failure(error: DaemonError) -> Failure {
    let code = match &error {
        daemon::DaemonError::Journal(_) => code::IO,
        daemon::DaemonError::Token(_) => code::NO_PERMISSION,
        daemon::DaemonError::Http(_) => code::SOFTWARE,
    };
    Failure::new(code, error)
}

fn log_to_stderr() {
    let filter = EnvFilter::try_from_env("WINDRODE_LOG").unwrap_or_else(|_| EnvFilter::new("info"));
    // The service manager's log has its own clock.
    let builder = tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .with_target(false)
        .with_ansi(std::io::stderr().is_terminal());
    if std::env::var_os("JOURNAL_STREAM").is_some() {
        builder.without_time().init();
    } else {
        builder.init();
    }
}
