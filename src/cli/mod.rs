//! The command line: parsed here, each command in a module of its own, no decision of the watch.

mod ask;
mod check;
mod measure;
pub mod out;
mod picture;
mod plan;
mod push;
mod rehearse;
mod replay;
mod run;
pub mod status;
mod tide;

use std::ffi::OsString;
use std::num::NonZeroUsize;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;

use clap::builder::Resettable;
use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand};

use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::time::Timestamp;
use crate::units::{Metres, parse_duration, parse_length};
use crate::watch::anchorage::kind::MooringKind;
use out::{Failure, code};
use picture::PictureFile;

/// Runs the program with these arguments (the first is its name).
#[must_use]
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let matches = command().try_get_matches_from(arguments);
    let parsed = match matches.and_then(|matches| Windrode::from_arg_matches(&matches)) {
        Ok(parsed) => parsed,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { code::USAGE } else { 0 });
        }
    };
    out::finish(match &parsed.command {
        Order::Run => run::run(&parsed.config),
        Order::Check(options) => check::check(&parsed.config, options),
        Order::Plan(options) => plan::plan(&parsed, options),
        Order::Rehearse(options) => rehearse::rehearse(options),
        Order::Measure(options) => measure::measure(options),
        Order::Replay(options) => replay::replay(&parsed.config, options),
        Order::Tide(options) => tide::tide(&parsed.config, options),
        other => ask::ask(&parsed, other),
    })
}

/// The command line, where an empty variable counts as one that is not set.
fn command() -> clap::Command {
    let variables = [
        ("config_file", "WINDRODE_CONFIG"),
        ("socket", "WINDRODE_SOCKET"),
    ];
    variables
        .into_iter()
        .filter(|(_, name)| std::env::var_os(name).is_some_and(|value| value.is_empty()))
        .fold(Windrode::command(), |command, (id, _)| {
            command.mut_arg(id, |arg| arg.env(Resettable::Reset))
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
    /// Rode now out, measured from the bow roller.
    Veer {
        /// In all, such as 45m or 150ft.
        #[arg(value_parser = parse_length)]
        rode: Metres,
    },
    /// The engine pulls at the anchor: does it hold?
    PullTest {
        /// The pull is over; say what came of it.
        #[arg(long)]
        end: bool,
    },
    /// The anchor is up: end the watch.
    Weigh,
    /// Correct where the anchor lies.
    ///
    /// The watch goes on about the new mark, and what was judged about the old one starts again. For
    /// an anchor that was let go anew use `let-go --reanchored`.
    Mark {
        /// Such as 59.8539,23.26 or "59°51.234'N 23°15.6'E".
        #[arg(allow_hyphen_values = true)]
        position: Position,
    },
    /// Set a swinging circle of your own, or go back to the one from the rode.
    Circle {
        /// From the mark to the boat's centre, such as 45m or 150ft.
        #[arg(required_unless_present = "none", value_parser = parse_length)]
        radius: Option<Metres>,
        /// No circle of your own any more.
        #[arg(long, conflicts_with = "radius")]
        none: bool,
    },
    /// I have seen it: stop the sound of one alert, or of all.
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
        /// As a picture with the last hour's track, in a file that ends in .svg or .png.
        #[arg(long, value_name = "FILE", conflicts_with = "json")]
        picture: Option<PictureFile>,
    },
    /// What the configuration says, and whether server, rights and sensors are there.
    Check(CheckOptions),
    /// How much rode, how far she swings, what the wind asks of the tackle.
    Plan(Box<plan::PlanOptions>),
    /// A bad night without leaving the berth: an embedded server, a simulated boat.
    Rehearse(RehearseOptions),
    /// How many metres until the alarm: thousands of simulated nights.
    Measure(MeasureOptions),
    /// A recording through the watch, one event a line.
    Replay(ReplayOptions),
    /// High and low water at a place, reckoned from moon and sun.
    Tide(TideOptions),
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
    /// What she lies to: anchor, secondAnchor, mooring, shoreLine or sternTo.
    #[arg(long, default_value_t)]
    kind: MooringKind,
    /// The circle to her centre that she may lie in; all there is on a mooring or shore lines.
    #[arg(long, value_parser = parse_length)]
    radius: Option<Metres>,
    /// It was let go long ago: mark it where her track says it lies.
    #[arg(long, conflicts_with = "position")]
    from_track: bool,
    /// She was anchored anew: give up the mark there is. Without this, letting go is refused while
    /// an anchor is marked.
    #[arg(long)]
    reanchored: bool,
}

#[derive(Debug, Args)]
struct CheckOptions {
    /// Only the configuration; do not try the server.
    #[arg(long)]
    offline: bool,
    /// Send a test, marked as one, by this channel to a phone, and do nothing else.
    #[arg(long, value_name = "CHANNEL", conflicts_with = "offline")]
    push: Option<String>,
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

#[derive(Debug, Args)]
struct TideOptions {
    /// At the station nearest to this place, such as 59.8539,23.26; lists the next ones too.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    near: Option<Position>,
    /// At this station, by its id or name.
    #[arg(long, value_name = "ID")]
    station: Option<String>,
    /// From this day or moment, boat's time; today when not given.
    #[arg(long, value_name = "DATE", allow_hyphen_values = true)]
    from: Option<String>,
    /// To the end of this day or to this moment; two days when not given.
    #[arg(long, value_name = "DATE", allow_hyphen_values = true)]
    to: Option<String>,
    /// Heights at every so many minutes or hours besides, such as 30min.
    #[arg(long, value_name = "STEP", value_parser = parse_duration)]
    every: Option<Duration>,
    /// Days and times in UTC, not in the boat's zone.
    #[arg(long)]
    utc: bool,
    /// As JSON.
    #[arg(long)]
    json: bool,
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
