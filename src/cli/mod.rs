//! The command line: parsed here, with a module for each command. Nothing about the watch is decided here.

mod ask;
mod chart;
mod check;
#[cfg(test)]
mod documents;
mod follow;
mod lengths;
mod measure;
pub mod out;
mod picture;
mod plan;
mod progress;
mod push;
mod rehearse;
mod replay;
mod report;
mod run;
mod setup;
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
use crate::config::ServerAddress;
use crate::daemon::DRAW_PICTURE;
use crate::geodesy::Position;
use crate::measure::deal::{Fitted, Kind, SeaModel};
use crate::speech::Language;
use crate::units::{Metres, Speed, parse_duration, parse_length};
use crate::watch::anchorage::kind::MooringKind;
use out::{Failure, code};
use picture::PictureFile;

/// Runs the program with these arguments (the first is its name).
#[must_use]
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    // The daemon's own order, not for people.
    if arguments.get(1).is_some_and(|word| word == DRAW_PICTURE) {
        return out::finish(picture::draw());
    }
    let matches = command().try_get_matches_from(arguments);
    let parsed = match matches.and_then(|matches| Windrode::from_arg_matches(&matches)) {
        Ok(parsed) => parsed,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(if error.use_stderr() { code::USAGE } else { 0 });
        }
    };
    out::finish(match &parsed.command {
        Order::Run { record } => run::run(&parsed.config, *record),
        Order::Setup(options) => setup::setup(&parsed.config, options),
        Order::Check(options) => check::check(&parsed.config, options),
        Order::Plan(options) => plan::plan(&parsed, options),
        Order::Rehearse(options) => rehearse::rehearse(&parsed.config, options),
        Order::Measure(options) => measure::measure(options),
        Order::Replay(options) => replay::replay(&parsed.config, options),
        Order::Report(options) => report::report(&parsed.config, options),
        Order::Tide(options) => tide::tide(&parsed.config, options),
        Order::Status { follow: true, .. } => follow::follow(&parsed),
        Order::Chart { order } => chart::chart(&parsed.config, order),
        other => ask::ask(&parsed, other),
    })
}

/// The command line; an empty environment variable counts as not set.
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

/// The language of what the crew reads.
#[derive(Clone, Copy, Debug, Args)]
struct InLanguage {
    /// The language, if not the configured one: en, de, fr or es. JSON is in English.
    #[arg(long, value_name = "CODE", value_parser = language)]
    language: Option<Language>,
}

#[derive(Debug, Subcommand)]
enum Order {
    /// Run the daemon, which keeps the watch.
    ///
    /// It stops cleanly on SIGTERM and SIGINT. The service manager usually starts it.
    Run {
        /// Record the server's messages, as `journal.record` does.
        #[arg(long)]
        record: bool,
    },
    /// Set windrode up: the boat's figures, a phone, and a check.
    ///
    /// It asks for the figures that the server does not have, writes them into the configuration, sends a test alarm
    /// to the phone and ends with `check`. It can be run again. Each option answers a question; with --yes it asks nothing.
    Setup(Box<setup::SetupOptions>),
    /// The anchor touches bottom: mark it under the bow roller.
    ///
    /// Let go when the anchor touches bottom, not when the boat has fallen back. While an anchor is
    /// marked, letting go again is refused: weigh first, or use --reanchored.
    ///
    /// On a mooring or shore lines there is no rode to calculate with: give the circle as --radius.
    /// With a second anchor she must lie within both reaches. The answer says what is not watched.
    LetGo(LetGoOptions),
    /// Enter how much rode is out, whenever it changes.
    ///
    /// Otherwise the watch assumes that all the rode aboard is out, and finds a drag late.
    Veer {
        /// All the rode out, from the bow roller, such as 45m or 150ft.
        #[arg(value_parser = parse_length)]
        rode: Metres,
    },
    /// Enter that a snubber or bridle is on, or off.
    ///
    /// Enter it when it has taken the load. She then lies to the rode from the anchor to the hook and the
    /// snubber from there to the bow, and the reach is calculated with both. Veer enough that the chain
    /// hangs slack between hook and roller.
    Snubber {
        /// Rode from the anchor to the hook; by default the rode that is out.
        #[arg(long, value_name = "LENGTH", value_parser = parse_length)]
        at: Option<Metres>,
        /// From the bow roller to the hook; by default `tackle.snubber_length`.
        #[arg(long, value_name = "LENGTH", value_parser = parse_length)]
        length: Option<Metres>,
        /// The snubber or bridle is off.
        #[arg(long, conflicts_with_all = ["at", "length"])]
        off: bool,
    },
    /// Test under engine whether the anchor holds.
    ///
    /// Put the engine astern, raise it slowly to a working load and hold it there. Where the server
    /// has the revolutions, the test starts by itself while you dig in and ends with the load;
    /// elsewhere it runs until --end. The first 20 s, while the rode straightens, do not count. After
    /// a minute it gives a verdict, with the metres she moved and their uncertainty. Revolutions say
    /// nothing about the gear: in neutral the test passes. An anchor that holds the engine may still
    /// not hold in a gale.
    PullTest {
        /// End the test and give the verdict.
        #[arg(long)]
        end: bool,
    },
    /// The anchor is up: end the watch.
    Weigh,
    /// Correct where the anchor lies.
    ///
    /// The watch goes on around the new mark, and forgets what it had concluded about the old
    /// one. If she was anchored again, use `let-go --reanchored`.
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
        /// Remove your own circle.
        #[arg(long, conflicts_with = "radius")]
        none: bool,
    },
    /// I have seen it: stop the sound of one alert, or of all.
    Acknowledge {
        #[arg(help = hazards())]
        hazard: Option<Hazard>,
    },
    /// Hold the sound for 30 s: of one alert, or of all.
    Silence {
        #[arg(help = hazards())]
        hazard: Option<Hazard>,
    },
    /// Plan where to put the anchor, and see the circle on the chart before letting go.
    ///
    /// The circle is sized as in `plan`, from the depth that the chart gives at the berth, or else from the depth
    /// sounded now; the answer says which. It is drawn on the boat's displays at once and checked against the
    /// chart: least depth at low water, dangers, cables, what no chart covers. It follows the tide until you let
    /// go; then the distance of the anchor from the berth is shown.
    Berth(BerthOptions),
    /// How she lies, on one screen.
    ///
    /// Read it from the top: the phase, what is wrong, where the anchor bears. The reach is the
    /// farthest the bow roller can lie from an anchor that holds; the distance beyond it is the
    /// evidence of dragging. The last lines say what is unknown or assumed, and what to do about it.
    Status {
        /// As JSON.
        #[arg(long)]
        json: bool,
        /// Keep showing it: a screen with a swing picture, and keys to acknowledge (a), silence (s) and
        /// quit (q). Without a terminal, a line for each change.
        #[arg(long, conflicts_with_all = ["json", "picture"])]
        follow: bool,
        /// As a picture with the last hour's track, in a file that ends in .svg or .png.
        #[arg(long, value_name = "FILE", conflicts_with = "json")]
        picture: Option<PictureFile>,
    },
    /// Check the server, the rights, the sensors and the phones.
    ///
    /// To see the token that the server granted, run it as the daemon's user: `sudo -u windrode
    /// windrode check`. It exits with 1 when the watch could not work.
    Check(check::CheckOptions),
    /// How much rode, how far she swings, what the wind does to the tackle.
    ///
    /// Options win over the configuration. What is unknown is assumed, and listed among the
    /// assumptions. Lengths are in metres, or in feet where the depth is in feet; with --json
    /// everything is in SI units (schemas/plan.schema.json). Without --depth, depth, tide, wind, rode out and boat
    /// come from the running daemon, as they are now.
    ///
    /// With --search it finds berths on the charts that you added (`windrode chart add`): places where her circle is clear
    /// on the chart, those with most room to spare first, then those with less rode (JSON: schemas/search.schema.json). A place
    /// that no chart covers, and one over a cable or in a restricted area, is left out. The fetch is the distance to the land
    /// on the chart; holding and shelter are not judged. The search keeps clear of vessels that the running daemon hears (AIS), and of those
    /// given with --neighbour or --neighbours: each boat at the near edge of its circle. Vessels without AIS are not known.
    ///
    /// The rode is calculated at the highest water of the stay, the room at the lowest. Two loads are
    /// shown for the wind: the steady pull of the mean wind, and the load of ABYC H-40, which
    /// includes gusts and surge and is about three times as much. No figure says that the anchor holds.
    Plan(Box<plan::PlanOptions>),
    /// Rehearse a bad night without leaving the berth.
    ///
    /// A simulated boat on an embedded server, with a pull test, a front, a rising wind and a dragging
    /// anchor, watched by the same daemon as aboard. It takes about half a minute. Other nights have a
    /// name; --list shows them. The exit code is 1 if the watch missed an alert that it must raise, or
    /// raised one that it must not.
    Rehearse(RehearseOptions),
    /// Measure over many simulated nights how far an anchor moves before the alarm.
    ///
    /// In every second night the anchor drags. Prints false alarms, metres and seconds for the watch,
    /// for two fixed circles tuned to the same number of false alarms, and for two oracles that know more
    /// than any watch can. The figures compare methods; they are no promise for a real boat.
    Measure(MeasureOptions),
    /// Play a recording through the watch, and print one event per line.
    ///
    /// It runs as fast as the machine can. Its settings are those of --config, so two settings can be
    /// tried on one night; without it, those kept in the recording, or else those of the standard
    /// configuration. Events are JSON (schemas/event.schema.json).
    Replay(replay::ReplayOptions),
    /// The morning after: what happened at anchor, as a page for a browser.
    ///
    /// Without STAY it lists the stays that the journal has, the latest first. A stay's name is the minute the anchor was let
    /// go. The page loads nothing from elsewhere: track, swing, wind, depth, the evidence of dragging, alerts and who acknowledged
    /// them, blind spells. It is made from the journal's inputs by the same watch, with the configuration as it is now; what
    /// was pruned is missing, and the page says so. The daemon may be running. JSON: schemas/report.schema.json.
    Report(report::ReportOptions),
    /// High and low water at a place, calculated from moon and sun.
    ///
    /// Without --near or --station it takes `water.station` of the configuration. A date is
    /// 2026-06-01, "1 Jun 2026", today or a moment such as 2026-06-01T18:00Z. Heights are above the
    /// station's chart datum, which is named. Wind and air pressure move the level too, by a metre and
    /// more in a gale. Not for navigation.
    Tide(tide::TideOptions),
    /// Charts kept aboard, and room to swing on them.
    Chart {
        #[command(subcommand)]
        order: chart::ChartOrder,
    },
}

#[derive(Debug, Args)]
struct LetGoOptions {
    /// Rode that will be out in all, such as 40m.
    #[arg(long, value_name = "LENGTH", value_parser = parse_length)]
    rode: Option<Metres>,
    /// Where the anchor lies, if not under the bow roller now.
    #[arg(long, allow_hyphen_values = true)]
    position: Option<Position>,
    /// Depth of water at the anchor, if not as sounded now.
    #[arg(long, value_name = "LENGTH", value_parser = parse_length)]
    depth: Option<Metres>,
    /// What she lies to: anchor, secondAnchor, mooring, shoreLine or sternTo.
    #[arg(long, default_value_t)]
    kind: MooringKind,
    /// The circle around the mark that her centre may lie in; needed on a mooring or shore lines.
    #[arg(long, value_name = "LENGTH", value_parser = parse_length)]
    radius: Option<Metres>,
    /// The anchor went down long ago: mark it where her track says it lies.
    #[arg(long, conflicts_with = "position")]
    from_track: bool,
    /// She was anchored again without weighing: replace the mark.
    #[arg(long)]
    reanchored: bool,
}

#[derive(Debug, Args)]
struct BerthOptions {
    /// Such as 59.8539,23.26 or "59°51.234'N 23°15.6'E".
    #[arg(required_unless_present = "none", allow_hyphen_values = true)]
    position: Option<Position>,
    /// Plan with this scope; by default as `plan` does for unknown holding.
    #[arg(long, value_name = "NUMBER", value_parser = plan::scope, requires = "position")]
    scope: Option<f64>,
    /// Plan with this rode, whatever the scope.
    #[arg(long, value_name = "LENGTH", value_parser = parse_length, requires = "position")]
    rode: Option<Metres>,
    /// Strongest mean wind expected, such as 25kn; the present wind is not used.
    #[arg(long, value_name = "SPEED", value_parser = plan::wind, requires = "position")]
    wind: Option<Speed>,
    /// How long she stays, such as 36h; by default until noon tomorrow.
    #[arg(long, value_name = "TIME", value_parser = parse_duration, requires = "position")]
    stay: Option<Duration>,
    /// Remove the berth.
    #[arg(long, conflicts_with = "position")]
    none: bool,
    /// As JSON, in SI units.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Args)]
struct RehearseOptions {
    /// Which night: a name that --list shows, or a file of your own that ends in .toml.
    #[arg(default_value = "drag", value_name = "NAME", value_parser = rehearse::choice)]
    night: rehearse::Choice,
    /// List the nights.
    #[arg(long)]
    list: bool,
    /// How many times as fast as the clock; by default as fast as the machine can.
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(1..=1000))]
    speed: Option<u32>,
    /// Show the night on the displays of the boat's own server.
    ///
    /// Only alerts and the watch's own values are shown, each alert marked DRILL in the crew's language; no
    /// position or other sensor value is touched. Refused while a watch is on. Ctrl-C ends it and clears all
    /// of it. 30 times as fast as the clock unless --speed says otherwise.
    #[arg(long, value_name = "URL", value_parser = ServerAddress::parse)]
    against: Option<ServerAddress>,
    /// Another number gives another night.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    seed: u64,
    /// The language of the alerts, the status and the picture, if not the configured one.
    #[arg(long, value_name = "CODE", value_parser = language)]
    language: Option<Language>,
    /// Draw the moment of the alarm as a phone gets it, into a file that ends in .svg or .png.
    #[arg(long, value_name = "FILE")]
    picture: Option<PictureFile>,
    /// As JSON, one document at the end.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Args)]
struct MeasureOptions {
    /// How many nights; in every second one the anchor drags.
    #[arg(long, value_name = "COUNT", default_value_t = 1000, value_parser = clap::value_parser!(u64).range(1..=100_000))]
    nights: u64,
    /// The first night's number; the same number gives the same nights.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    seed: u64,
    /// How long each night is, such as 8h.
    #[arg(long, value_name = "TIME", default_value = "8h", value_parser = parse_duration)]
    length: Duration,
    /// How many threads; by default one for each core.
    #[arg(long, value_name = "COUNT")]
    threads: Option<NonZeroUsize>,
    /// Which model of sea, boat and receiver.
    #[arg(long, value_enum, default_value_t)]
    sea: SeaModel,
    /// Add the noise of real receivers that stood still to the simulated boat's positions: a file, or a folder of .csv files, with time, latitude and longitude.
    #[arg(long, value_name = "PATH")]
    noise: Option<PathBuf>,
    /// Make every night of this kind; may be given several times. Slack rodes and kinks are only in the second sea.
    #[arg(long, value_enum, value_name = "KIND")]
    kind: Vec<Kind>,
    /// Which instruments every boat has.
    #[arg(long, value_enum, default_value_t)]
    instruments: Fitted,
    /// Run the nights four times, with compass and wind instrument, without either and without both, and print the medians.
    #[arg(long, conflicts_with_all = ["instruments", "json", "picture"])]
    compare_instruments: bool,
    /// The time between positions, such as 60s; by default a second.
    #[arg(long, value_name = "TIME", value_parser = parse_reports)]
    reports: Option<Duration>,
    /// Draw the distributions into this file, as SVG.
    #[arg(long, value_name = "FILE")]
    picture: Option<PathBuf>,
    /// As JSON.
    #[arg(long)]
    json: bool,
}

fn parse_reports(text: &str) -> Result<Duration, String> {
    let every = parse_duration(text).map_err(|error| error.to_string())?;
    let allowed = Duration::from_secs(1)..=Duration::from_mins(10);
    if every.subsec_nanos() == 0 && allowed.contains(&every) {
        Ok(every)
    } else {
        Err("write whole seconds, from 1s to 10min".to_owned())
    }
}

/// The hazards that an order can name.
fn hazards() -> String {
    format!(
        "Which: {}; all when not given",
        Hazard::ALL.map(Hazard::name).join(", ")
    )
}

/// A language by its code.
fn language(code: &str) -> Result<Language, String> {
    let known = Language::ALL.map(|language| format!("`{}`", language.code()));
    Language::ALL
        .into_iter()
        .find(|language| language.code() == code)
        .ok_or_else(|| format!("write one of {}", known.join(", ")))
}

/// Loads the configuration, or reports what is wrong with it.
fn load(config: &ConfigFile) -> Result<crate::config::Config, Failure> {
    use crate::config::{Config, Surroundings};
    Config::load(config.config_file.as_deref(), &Surroundings::of_process())
        .map_err(|error| Failure::new(code::CONFIG, error))
}

/// The same with another language for the crew.
fn load_in(
    config: &ConfigFile,
    language: Option<Language>,
) -> Result<crate::config::Config, Failure> {
    let mut config = load(config)?;
    if let Some(language) = language {
        config.watch.wording.language = language;
    }
    Ok(config)
}

/// A runtime on this thread.
fn runtime() -> Result<tokio::runtime::Runtime, Failure> {
    tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(|error| Failure::new(code::SOFTWARE, format!("no runtime: {error}")))
}
