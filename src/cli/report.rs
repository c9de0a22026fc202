//! `windrode report`: the stays in the journal, and one stay as a page, as JSON or as a track.

use std::fs;
use std::io::{self, IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};
use std::time::Duration;

use clap::{Args, ValueEnum};

use super::out::{self, Failure, code};
use super::progress::Progress;
use super::{ConfigFile, load};
use crate::chart::clearance::{Needs, Room, RoomTold};
use crate::chart::shape::Extent;
use crate::chart::sketch::Sketch;
use crate::chartroom::ChartRoom;
use crate::config::Config;
use crate::io::clock::Clock;
use crate::journal::{JournalError, Reader};
use crate::recording;
use crate::report::{self, About, Charted, Night, Stay};
use crate::speech::{Language, Wording};
use crate::time::Timestamp;
use crate::units::{Metres, spoken};

#[derive(Debug, Args)]
pub(super) struct ReportOptions {
    /// Which stay: `last`, or the beginning of its name, such as 2026-06-01.
    #[arg(value_name = "STAY")]
    stay: Option<String>,
    /// List the stays, and do nothing else.
    #[arg(long, conflicts_with_all = ["stay", "export", "output"])]
    list: bool,
    /// As JSON, in SI units.
    #[arg(long, conflicts_with = "export")]
    json: bool,
    /// The track and the anchor for another program.
    #[arg(long, value_name = "FORM", value_enum, requires = "stay")]
    export: Option<Form>,
    /// Into this file instead of standard output.
    #[arg(long, short, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Everything that `windrode replay` needs to judge the stay again, in one file for a bug report.
    ///
    /// It holds what the sensors said, the orders and what was judged, from the start of the daemon's life in which
    /// the stay began, so maybe a passage before it too; the command prints from when to when. Addresses, tokens
    /// and passwords are not in it.
    #[arg(long, value_name = "FILE", requires = "stay", conflicts_with_all = ["json", "export", "output"])]
    bundle: Option<PathBuf>,
    /// In the bundle, all positions lie elsewhere, and no vessel is named.
    ///
    /// Times, wind, tide and the shape of a passage stay: somebody with records of them could still find the place.
    #[arg(long, requires = "bundle")]
    shifted: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Form {
    /// GPX 1.1.
    Gpx,
    /// GeoJSON (RFC 7946).
    Geojson,
}

pub(super) fn report(config: &ConfigFile, options: &ReportOptions) -> Result<(), Failure> {
    let config = load(config)?;
    let directory = &config.journal.directory;
    let reader = Reader::open(directory).map_err(unreadable)?;
    let stays = report::stays(&reader).map_err(unreadable)?;
    let Some(asked) = options.stay.as_deref() else {
        return list(&stays, &config.watch_settings().wording, options);
    };
    let stay = one(&stays, asked)?;
    if let Some(file) = &options.bundle {
        return bundle(&config, &reader, stay, file, options.shifted);
    }
    let plain = !options.json && options.export.is_none();
    if plain && options.output.is_none() && io::stdout().is_terminal() {
        return Err(Failure::new(
            code::USAGE,
            "the report is a page for a browser; give a file with `--output report.html`",
        ));
    }
    let settings = config.watch_settings();
    let now = Clock::system().now().utc;
    let minutes = |until: Timestamp| until.millis_since(stay.let_go).max(0).unsigned_abs() / 60_000;
    let progress = Progress::of(minutes(stay.weighed.unwrap_or(now)), "minutes");
    let about = About {
        progress: &|until| progress.at(minutes(until)),
        settings: &settings,
        boat: Some(config.name.clone()).filter(|name| *name != Config::default().name),
        tackle: tackle(&config),
        now,
    };
    let mut night = report::night(&reader, stay, about).map_err(unreadable)?;
    progress.end();
    let text = match options.export {
        Some(Form::Gpx) => report::gpx(&night),
        Some(Form::Geojson) => report::geojson(&night),
        None => {
            // A report without charts is better than none.
            if let Some((sketch, charted)) = charts(&config, &night) {
                (night.charts, night.charted) = (vec![sketch], charted);
            }
            if options.json {
                pretty(&night)?
            } else {
                report::html(&night, &settings.wording)
            }
        }
    };
    write(options, &text)
}

fn write(options: &ReportOptions, text: &str) -> Result<(), Failure> {
    match &options.output {
        Some(file) => fs::write(file, text).map_err(|error| Failure::unwritten(file, &error)),
        None => out::tolerate(io::stdout().lock().write_all(text.as_bytes())),
    }
}

/// The daemon's runs during the stay.
fn bundle(
    config: &Config,
    reader: &Reader,
    stay: &Stay,
    file: &Path,
    shifted: bool,
) -> Result<(), Failure> {
    let unwritten = |error: io::Error| Failure::unwritten(file, &error);
    let until = stay
        .weighed
        .map_or_else(|| Clock::system().now().utc, |weighed| weighed.plus(AFTER));
    let runs = reader.runs_within(stay.let_go, until).map_err(unreadable)?;
    let out = fs::File::create(file).map_err(unwritten)?;
    let settings = config.judging(shifted);
    let bundled = recording::bundle(
        reader,
        &runs,
        until,
        Some(&settings),
        shifted,
        io::BufWriter::new(out),
    )
    .map_err(unwritten)?;
    if bundled.damaged > 0 {
        out::complain(&format!(
            "windrode: {} parts of the journal cannot be read and are missing",
            bundled.damaged
        ));
    }
    let where_she_lay = if shifted {
        "positions are shifted and no vessel is named"
    } else {
        "it tells where she lay; `--shifted` does not"
    };
    let span = bundled.span.map_or_else(String::new, |(first, last)| {
        format!(" from {first} to {last}")
    });
    out::line(&format!(
        "{} inputs and {} events{span} in `{}`: {where_she_lay}",
        bundled.inputs,
        bundled.events,
        file.display()
    ))
}

fn pretty(value: &impl serde::Serialize) -> Result<String, Failure> {
    serde_json::to_string_pretty(value)
        .map(|text| text + "\n")
        .map_err(|error| Failure::new(code::SOFTWARE, error))
}

/// The stays, one per line, latest first.
fn list(stays: &[Stay], say: &Wording, options: &ReportOptions) -> Result<(), Failure> {
    if options.json {
        return write(options, &pretty(&serde_json::json!({ "stays": stays }))?);
    }
    if stays.is_empty() {
        return out::line("no stay at anchor is in the journal");
    }
    for stay in stays {
        let local = format!(
            "{} {}",
            say.zone.day(stay.let_go),
            say.zone.clock(stay.let_go)
        );
        let length = stay.weighed.map_or_else(
            || "not weighed".to_owned(),
            |weighed| {
                let millis = weighed.millis_since(stay.let_go).max(0).unsigned_abs();
                spoken(Duration::from_millis(millis))
            },
        );
        let place = stay
            .place
            .map_or_else(String::new, |place| place.to_string());
        let alarms = match (stay.dragged, stay.alarms) {
            (true, _) => "dragged".to_owned(),
            (false, 0) => "no alarm".to_owned(),
            (false, 1) => "1 alarm".to_owned(),
            (false, count) => format!("{count} alarms"),
        };
        let line = format!("{}  {local}  {length:<11}  {alarms:<9}  {place}", stay.name);
        out::line(line.trim_end())?;
    }
    Ok(())
}

/// The requested stay.
fn one<'a>(stays: &'a [Stay], asked: &str) -> Result<&'a Stay, Failure> {
    let unknown = |what: String| Failure::new(code::DATA, what);
    if asked == "last" {
        return stays
            .first()
            .ok_or_else(|| unknown("no stay at anchor is in the journal".to_owned()));
    }
    let mut found = stays.iter().filter(|stay| stay.name.starts_with(asked));
    match (found.next(), found.next()) {
        (Some(stay), None) => Ok(stay),
        (Some(_), Some(_)) => Err(unknown(format!(
            "several stays begin with `{asked}`; give more of the name, `windrode report` lists them"
        ))),
        (None, _) => Err(unknown(format!(
            "no stay is called `{asked}`; `windrode report` lists them"
        ))),
    }
}

/// The tackle from the configuration, as far as it is entered.
fn tackle(config: &Config) -> Vec<(&'static str, String)> {
    let tackle = config.ground_tackle();
    let length = |length: Option<Metres>| length.map(|length| format!("{:.1} m", length.get()));
    let all = [
        ("chain", tackle.chain.map(|chain| chain.to_string())),
        ("chain aboard", length(tackle.chain_length)),
        ("rope", tackle.rope.map(|rope| rope.to_string())),
        (
            "anchor",
            tackle.anchor.map(|mass| format!("{:.0} kg", mass.get())),
        ),
    ];
    all.into_iter()
        .filter_map(|(name, value)| value.map(|value| (name, value)))
        .collect()
}

/// The charts around the place, for the picture; and as figures, if it is recorded how far she lay from the anchor.
fn charts(config: &Config, night: &Night) -> Option<(Sketch, Option<Charted>)> {
    let place = night.place()?;
    let within = Metres::of(night.farthest().max(60.0) * 3.0);
    let boxes = Extent::about(place, within.get());
    let room = ChartRoom::of(&config.journal.directory);
    let sheet = room.load_within(&boxes, MOST_POINTS).ok()?;
    if sheet.cells().is_empty() {
        return None;
    }
    let known = night.boat.figures.draught;
    let draught = known.unwrap_or(ASSUMED_DRAUGHT);
    // For a past stay, nobody needs the lowest water: areas are distinguished at chart datum.
    let needs = Needs {
        draught,
        margin: config.watch.keel_margin,
        lowest: Metres::ZERO,
        now: None,
        // The report is in English.
        say: config.watch.wording.lengths,
        language: Language::English,
    };
    let circle = |lain: f64| Room::circle(place, Metres::of(lain.max(1.0))).ok();
    let charted = night.lain().and_then(circle).map(|circle| {
        let told = RoomTold::of(&sheet.clearance(circle, &needs), &needs.wording());
        Charted {
            chart: told.chart,
            needed: needs.depth(),
            assumed_draught: known.is_none().then_some(draught),
            radius: told.radius,
            least: told.least,
            // Farther away, the charts were not read.
            nearest_danger: told.nearest_danger.filter(|it| it.distance <= within),
            share_too_shoal: told.share_too_shoal,
            share_unknown: (told.share_not_covered + told.share_without_depth).clamp(0.0, 1.0),
        }
    });
    Some((sheet.sketch(place, within, &needs), charted))
}

fn unreadable(error: JournalError) -> Failure {
    let code = match &error {
        JournalError::Missing { .. } => code::UNAVAILABLE,
        _ => code::IO,
    };
    Failure::new(code, error)
}

/// Used if the boat's own figure is unknown.
const ASSUMED_DRAUGHT: Metres = Metres::of(2.0);
/// Points of the charts held in memory at once.
const MOST_POINTS: usize = 500_000;

/// What follows after weighing belongs to the stay.
const AFTER: Duration = Duration::from_mins(10);
