//! The command line: parsed here, each command in a module of its own, no decision of the watch.

mod ask;
mod check;
mod measure;
pub mod out;
mod rehearse;
mod replay;
mod run;
pub mod status;

use std::ffi::OsString;
use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;

use clap::{Args, Parser, Subcommand};

use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::time::Timestamp;
use crate::units::{Metres, parse_duration, parse_length};
use out::{Failure, code};

/// Runs the program with these arguments (the first is its name).
#[must_use]
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let parsed = match Windrode::try_parse_from(arguments) {
        Ok(parsed) => parsed,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { code::USAGE } else { 0 });
        }
    };
    out::finish(match &parsed.command {
        Order::Run => run::run(&parsed.config),
        Order::Check(options) => check::check(&parsed.config, options),
        Order::Rehearse(options) => rehearse::rehearse(options),
        Order::Measure(options) => measure::measure(options),
        Order::Replay(options) => replay::replay(&parsed.config, options),
        other => ask::ask(&parsed, other),
    })
}

/// Anchor watch for cruising boats, beside the boat's Signal K server.
///
/// An aid, not a substitute for a proper lookout and anchor watch, the skipper's judgement, local
/// rules and licensed practice. Not for navigation.
#[derive(Debug, Parser)]
#[command(name = "windrode", version, max_term_width = 80)]
struct Windrode {
    #[command(flatten)]
    config: ConfigFile,
    /// The daemon's socket, if not the configured one.
    #[arg(long, global = true, value_name = "PATH", env = "WINDRODE_SOCKET")]
    socket: Option<PathBuf>,
    #[command(subcommand)]
    command: Order,
}

/// Where the configuration is.
#[derive(Debug, Args)]
struct ConfigFile {
    /// The configuration, if not /etc/windrode/windrode.toml.
    #[arg(
        long = "config",
        global = true,
        value_name = "FILE",
        env = "WINDRODE_CONFIG"
    )]
    config_file: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
enum Order {
    /// Keep the watch: the daemon.
    Run,
    /// The anchor touches bottom: mark it under the bow roller.
    LetGo(LetGoOptions),
    /// So much rode is out, measured from the bow roller.
    Veer {
        /// In all, such as 45m or 150ft.
        #[arg(value_parser = parse_length)]
        rode: Metres,
    },
    /// The anchor comes home: end the watch.
    Weigh,
    /// Somebody sees to it: stop the sound of one alert, or of all.
    Acknowledge {
        /// Which; all when not given.
        hazard: Option<Hazard>,
    },
    /// Hold the sound for 30 s: of one alert, or of all.
    Silence {
        /// Which; all when not given.
        hazard: Option<Hazard>,
    },
    /// Plan where the anchor shall lie.
    Berth {
        /// Such as 59.8539,23.26 or "59°51.234'N 23°15.6'E".
        #[arg(required_unless_present = "none", allow_hyphen_values = true)]
        position: Option<Position>,
        /// No berth any more.
        #[arg(long, conflicts_with = "position")]
        none: bool,
    },
    /// How she lies, on one screen.
    Status {
        /// As JSON.
        #[arg(long)]
        json: bool,
    },
    /// What the configuration says, and whether server, rights and sensors are there.
    Check(CheckOptions),
    /// A bad night without leaving the berth: an embedded server, a simulated boat.
    Rehearse(RehearseOptions),
    /// How many metres until the alarm: thousands of simulated nights.
    Measure(MeasureOptions),
    /// A recording through the watch, one event a line.
    Replay(ReplayOptions),
}

#[derive(Debug, Args)]
struct LetGoOptions {
    /// Rode to be veered in all, such as 40m.
    #[arg(long, value_parser = parse_length)]
    rode: Option<Metres>,
    /// Where the anchor lies, if not under the bow roller now.
    #[arg(long, allow_hyphen_values = true)]
    position: Option<Position>,
    /// Depth of water at the anchor, if not as sounded now.
    #[arg(long, value_parser = parse_length)]
    depth: Option<Metres>,
}

#[derive(Debug, Args)]
struct CheckOptions {
    /// Only the configuration; do not try the server.
    #[arg(long)]
    offline: bool,
    /// How many seconds to listen to the sensors.
    #[arg(long, default_value_t = 10, value_parser = clap::value_parser!(u64).range(1..=600))]
    listen: u64,
    /// As JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Args)]
struct RehearseOptions {
    /// Another seed gives another night.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// As JSON, one document at the end.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Args)]
struct MeasureOptions {
    /// How many nights; in every second one the anchor drags.
    #[arg(long, default_value_t = 1000, value_parser = clap::value_parser!(u64).range(1..=100_000))]
    nights: u64,
    /// The first night's seed; the others follow.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// How long each night is, such as 8h.
    #[arg(long, default_value = "8h", value_parser = parse_duration)]
    length: Duration,
    /// On how many threads, if not on all there are.
    #[arg(long)]
    threads: Option<NonZeroUsize>,
    /// Draw the distributions into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    picture: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Args)]
struct ReplayOptions {
    /// One Signal K delta or PUT message a line, plain or gzip; - for standard input.
    file: PathBuf,
    /// Let go at this moment of the recording, UTC.
    #[arg(long, value_name = "TIME")]
    let_go: Option<Timestamp>,
    /// Rode veered then.
    #[arg(long, value_parser = parse_length, requires = "let_go")]
    rode: Option<Metres>,
    /// Depth of water then, if the recording has none.
    #[arg(long, value_parser = parse_length, requires = "let_go")]
    depth: Option<Metres>,
    /// Our own vessel's context, if the recording does not tell.
    #[arg(long = "self", value_name = "CONTEXT")]
    own: Option<String>,
}

/// Loads the configuration, or says what is wrong with it.
fn load(config: &ConfigFile) -> Result<crate::config::Config, Failure> {
    use crate::config::{Config, Surroundings};
    Config::load(config.config_file.as_deref(), &Surroundings::of_process())
        .map_err(|error| Failure::new(code::CONFIG, error))
}

/// A runtime on this thread.
fn runtime() -> Result<tokio::runtime::Runtime, Failure> {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|error| Failure::new(code::SOFTWARE, format!("no runtime: {error}")))
}
