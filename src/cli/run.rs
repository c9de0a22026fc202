//! `windrode run`: the daemon with the machine's clock, signals and service manager.

use std::io::IsTerminal;
use std::time::Duration;

use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::mpsc;
use tracing_subscriber::Layer as _;
use tracing_subscriber::filter::{LevelFilter, Targets};
use tracing_subscriber::layer::SubscriberExt as _;
use tracing_subscriber::util::SubscriberInitExt as _;

use super::out::{Failure, code};
use super::{ConfigFile, load, runtime};
use crate::daemon::{self, Daemon, DaemonError, Drawing};
use crate::io::clock::Clock;
use crate::io::control;
use crate::io::log::Log;

/// Keeps the watch until a signal stops it.
pub(super) fn run(config: &ConfigFile, record: bool) -> Result<(), Failure> {
    let log = log_to_stderr()?;
    let ended = keep_watch(config, record);
    // The log does not wait for a slow reader.
    let _ = log.flush(LAST_LINES);
    ended
}

fn keep_watch(config: &ConfigFile, record: bool) -> Result<(), Failure> {
    let mut config = load(config)?;
    config.journal.record |= record;
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
        let daemon = Daemon::open(config, Clock::system(), control)
            .map_err(failure)?
            .with_drawing(Drawing::apart());
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
        daemon::DaemonError::Http(_) => code::SOFTWARE,
    };
    Failure::new(code, error)
}

fn log_to_stderr() -> Result<Log, Failure> {
    let log = Log::to(std::io::stderr())
        .map_err(|error| Failure::new(code::SOFTWARE, format!("no thread for the log: {error}")))?;
    let asked = std::env::var("WINDRODE_LOG").ok();
    let filter = asked
        .and_then(|asked| asked.parse::<Targets>().ok())
        .unwrap_or_else(|| Targets::new().with_default(LevelFilter::INFO));
    // The service manager's log has its own clock.
    let lines = tracing_subscriber::fmt::layer()
        .with_writer({
            let log = log.clone();
            move || log.clone()
        })
        .with_target(false)
        .with_ansi(std::io::stderr().is_terminal());
    let lines = if std::env::var_os("JOURNAL_STREAM").is_some() {
        lines.without_time().boxed()
    } else {
        lines.boxed()
    };
    tracing_subscriber::registry()
        .with(filter)
        .with(lines)
        .init();
    Ok(log)
}

const LAST_LINES: Duration = Duration::from_secs(1);
