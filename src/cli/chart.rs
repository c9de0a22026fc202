//! `windrode chart`: charts kept aboard, and room to swing on them.

mod options;
mod page;

use serde::Serialize;

use super::out::{self, Failure, code};
use super::plan::live;
use super::progress::Progress;
use super::status::wrapped_to;
use super::{ConfigFile, load_in};
use crate::chart::cell::Cell;
use crate::chart::clearance::{Clearance, Needs, Room, SEARCHED_BEYOND};
use crate::chart::faults::Faults;
use crate::chart::shape::Extent;
use crate::chart::sheet::Sheet;
use crate::chartroom::import::{self, ImportError, Said, Source};
use crate::chartroom::{ChartRoom, ChartRoomError, Kept};
use crate::config::Config;
use crate::geodesy::Position;
use crate::journal::{self, JournalError};
use crate::speech::berths::ChartCaution;
use crate::speech::charts::ChartsKept;
use crate::speech::{Language, Ratio, Wording};
use crate::units::Metres;

pub(super) use options::ChartOrder;
use options::{AddOptions, ClearOptions, ForgetOptions};

/// Adds, lists, removes or judges charts.
pub(super) fn chart(config: &ConfigFile, order: &ChartOrder) -> Result<(), Failure> {
    let config = load_in(config, order.language())?;
    let say = config.wording();
    let room = ChartRoom::of(&config.journal.directory);
    match order {
        ChartOrder::Add(options) => add(&room, options, &say),
        ChartOrder::List { json, .. } => list(&room, *json, &say),
        ChartOrder::Remove { name, .. } => {
            room.remove(name).map_err(told)?;
            let name = name.clone();
            out::line(&ChartsKept::Removed { name }.words(&say))
        }
        ChartOrder::Clear(options) => clear(&config, &room, options),
        ChartOrder::ForgetSoundings(options) => forget(&config, options),
    }
}

/// The page of a judgement.
pub(super) fn cleared(answer: &Clearance, needs: &Needs) -> Vec<String> {
    page::page(answer, needs)
}

/// The charts and the boat's own soundings within this distance of a place.
pub(super) fn sheet_about(
    config: &Config,
    room: &ChartRoom,
    place: Position,
    within: Metres,
) -> Result<Sheet, Failure> {
    let boxes = Extent::about(place, within.get());
    let sheet = room.load(&boxes).map_err(told)?;
    let directory = &config.journal.directory;
    let own = match journal::Reader::open(directory).and_then(|it| it.soundings(&boxes)) {
        Ok(own) => own,
        Err(JournalError::Missing { .. }) => Vec::new(),
        Err(error) => {
            out::complain(&format!(
                "windrode: the boat's own soundings are left out: {error}"
            ));
            Vec::new()
        }
    };
    Ok(sheet.with_own(own))
}

pub(super) fn told(error: ChartRoomError) -> Failure {
    let code = match &error {
        ChartRoomError::NoSuch(_) | ChartRoomError::Name(_) | ChartRoomError::TooLarge(_) => {
            code::USAGE
        }
        ChartRoomError::File { .. } => code::DATA,
        ChartRoomError::Io { error, .. }
            if error.kind() == std::io::ErrorKind::PermissionDenied =>
        {
            let message = format!(
                "{error}; charts belong to the daemon, try: sudo -u windrode windrode chart ..."
            );
            return Failure::new(code::NO_PERMISSION, message);
        }
        ChartRoomError::Io { .. } => code::IO,
    };
    Failure::new(code, error)
}

/// Each cell is read by itself: an unusable one does not keep the others out.
fn add(room: &ChartRoom, options: &AddOptions, say: &Wording) -> Result<(), Failure> {
    let said = Said {
        name: options.name.clone(),
        scale: options.scale,
        datum: options.datum,
    };
    let sources = import::sources(&options.path, &said).map_err(refused)?;
    let mut failed = None;
    let (mut added, all) = (0_usize, sources.len());
    let progress = Progress::telling(all as u64, |[done, all, left]| {
        ChartsKept::Reading { done, all, left }.words(say)
    });
    for (done, source) in (0..).zip(sources) {
        progress.at(done);
        match add_one(room, &source, &said, say) {
            Ok(()) => added += 1,
            // Without the programs, no other cell can be read either.
            Err(failure) if failure.code == code::UNAVAILABLE || all == 1 => return Err(failure),
            Err(failure) => {
                out::complain(&format!("windrode: {}", failure.message));
                failed = Some(failure.code);
            }
        }
    }
    progress.end();
    match failed {
        Some(code) => {
            let (added, all) = (added as u64, all as u64);
            let told = ChartsKept::SomeAdded { added, all };
            Err(Failure::new(code, told.words(say)))
        }
        None => Ok(()),
    }
}

fn add_one(room: &ChartRoom, source: &Source, said: &Said, say: &Wording) -> Result<(), Failure> {
    let (cell, faults): (Cell, Faults) = import::read(source, said).map_err(refused)?;
    let size = room.add(&cell).map_err(told)?;
    let added = ChartsKept::Added {
        cell: page::cell(&cell.about, say),
        megabytes: Ratio(size as f64 / 1e6),
    };
    for line in wrapped_to("", "  ", &added.words(say)) {
        out::line(&line)?;
    }
    for line in faults.lines() {
        out::complain(&format!("windrode: `{}`: {line}", cell.about.name));
    }
    Ok(())
}

fn refused(error: ImportError) -> Failure {
    let code = match &error {
        ImportError::Io { .. } => code::IO,
        ImportError::Nothing(_) => code::USAGE,
        ImportError::Missing(_) => code::UNAVAILABLE,
        ImportError::TooLarge(_)
        | ImportError::Program { .. }
        | ImportError::Parse { .. }
        | ImportError::Cell(_) => code::DATA,
    };
    Failure::new(code, error)
}

/// A chart in the output of `list --json`.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Listed {
    name: String,
    scale: Option<u32>,
    datum: Option<String>,
    edition: Option<String>,
    update: Option<String>,
    issued: Option<String>,
    objects: u32,
    bytes: u64,
    /// South, west, north, east, in degrees.
    south: Option<f64>,
    west: Option<f64>,
    north: Option<f64>,
    east: Option<f64>,
}

fn list(room: &ChartRoom, json: bool, say: &Wording) -> Result<(), Failure> {
    let (kept, damaged): (Vec<_>, Vec<_>) = room
        .list()
        .map_err(told)?
        .into_iter()
        .partition(Result::is_ok);
    let kept: Vec<Kept> = kept.into_iter().flatten().collect();
    if json {
        let listed: Vec<Listed> = kept.iter().map(listed).collect();
        let text = serde_json::to_string_pretty(&serde_json::json!({ "charts": listed }))
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        out::line(&text)?;
    } else if kept.is_empty() {
        out::line(&ChartsKept::None.words(say))?;
    } else {
        for kept in &kept {
            let told = page::cell(&kept.about, say).words(say);
            for line in wrapped_to("", "  ", &told) {
                out::line(&line)?;
            }
        }
    }
    match damaged.into_iter().find_map(Result::err) {
        Some(error) => Err(told(error)),
        None => Ok(()),
    }
}

fn listed(kept: &Kept) -> Listed {
    let about = crate::chart::clearance::CellTold::of(&kept.about, &Wording::default());
    let corners = kept
        .extent
        .map(|Extent { low, high }| (low.degrees(), high.degrees()));
    Listed {
        name: about.name,
        scale: about.scale,
        datum: about.datum,
        edition: about.edition,
        update: about.update,
        issued: about.issued,
        objects: kept.objects,
        bytes: kept.size,
        south: corners.map(|(low, _)| low[1]),
        west: corners.map(|(low, _)| low[0]),
        north: corners.map(|(_, high)| high[1]),
        east: corners.map(|(_, high)| high[0]),
    }
}

fn forget(config: &Config, options: &ForgetOptions) -> Result<(), Failure> {
    let about = options.position.zip(options.within);
    let count = journal::forget_soundings(&config.journal.directory, about)
        .map_err(|error| Failure::new(code::IO, error))?;
    let count = count as u64;
    out::line(&ChartsKept::Forgotten { count }.words(&config.wording()))
}

fn clear(config: &Config, room: &ChartRoom, options: &ClearOptions) -> Result<(), Failure> {
    let usage = |message: String| Failure::new(code::USAGE, message);
    let radius = options.radius.metres;
    let mut circle =
        Room::circle(options.position, radius).map_err(|error| usage(error.to_string()))?;
    if let Some((from, to)) = options.from.zip(options.to) {
        circle = circle
            .between(from, to)
            .map_err(|error| usage(error.to_string()))?;
    }
    let draught = options.draught.or(config.watch.boat.draught).ok_or_else(|| {
        usage("draught not entered; give it as `--draught`, or for good as `boat.draught` in the configuration".to_owned())
    })?;
    // Data for programs is in English.
    let language = if options.json {
        Language::English
    } else {
        config.watch.wording.language
    };
    let (mut lowest, mut now, mut tide) = (options.low_water, options.tide, None);
    if lowest.is_none()
        && let Some((predicted, until)) =
            live::predicted(config, options.station.as_deref(), options.until, language)?
        && predicted.above_datum
    {
        lowest = Some(predicted.lowest);
        now = now.or(Some(predicted.now));
        tide = Some(ChartCaution::TideOf {
            station: options.station.clone(),
            until: until.to_string(),
        });
    }
    if let Some((low, now)) = lowest.zip(now)
        && now < low
    {
        return Err(usage("`--tide` is below `--low-water`; the lowest tide of the stay is no higher than the tide now".to_owned()));
    }
    let needs = Needs {
        draught,
        margin: options.margin.unwrap_or(config.watch.keel_margin),
        lowest: lowest.unwrap_or(Metres::ZERO),
        now,
        say: options.radius.unit,
        language,
    };
    let within = radius + SEARCHED_BEYOND;
    let sheet = sheet_about(config, room, options.position, within)?;
    let mut answer = sheet.clearance(circle, &needs);
    let no_tide = lowest.is_none().then_some(ChartCaution::NoTide);
    let no_chart = sheet.cells().is_empty().then_some(ChartCaution::NoChart);
    let say = needs.wording();
    let cautions = tide.into_iter().chain(no_tide).chain(no_chart);
    answer
        .cautions
        .extend(cautions.map(|caution| caution.words(&say)));
    if options.json {
        let text = serde_json::to_string_pretty(&answer)
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        return out::line(&text);
    }
    for line in page::page(&answer, &needs) {
        out::line(&line)?;
    }
    Ok(())
}
