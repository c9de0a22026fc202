//! One entry point for each kind of bytes that strangers, disks and operators can send us. `tests/fuzz` feeds
//! them with mutated input, and the test below with the seeds kept there.
//!
//! Each accepts anything. It returns `Err` when a promise is broken, and never panics: this is what the tests check.
//! Weakness: the bytes reach a watch at anchor whose clock moves a second a line, and no real socket.
//!
//! Tests: `fuzz::tests`; `tests/fuzz/run` runs each target for a minute.

mod boat;

use std::io::Write as _;
use std::path::Path;

use flate2::Compression;
use flate2::write::GzEncoder;
use serde_json::Value;

use self::boat::{Boat, later};
use crate::chart::cell::Cell;
use crate::chart::clearance::{Needs, Room};
use crate::chart::faults::Faults;
use crate::chart::packed::{self, OPENING};
use crate::chart::parse::Reading;
use crate::chart::shape::Spot;
use crate::chart::sheet::Sheet;
use crate::config::Config;
use crate::geodesy::Position;
use crate::io::push;
use crate::journal;
use crate::outbox::reply::Mint;
use crate::sentences::exchange::{Exchange, Output};
use crate::sentences::frame;
use crate::signalk::put;
use crate::speech::Language;
use crate::tide::stations::Catalogue;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{LengthUnit, Metres};
use crate::watch::messages::{By, Outcome};

/// One kind of input.
#[derive(Clone, Copy, Debug)]
pub struct Target {
    /// The name of its folder of seeds and its program under `tests/fuzz`.
    pub name: &'static str,
    /// Takes the bytes; returns the promise they broke.
    pub feed: fn(&[u8]) -> Result<(), String>,
}

/// All targets.
pub const TARGETS: [Target; 8] = [
    Target {
        name: "frame",
        feed: frame,
    },
    Target {
        name: "put",
        feed: put,
    },
    Target {
        name: "reply",
        feed: reply,
    },
    Target {
        name: "sentence",
        feed: sentence,
    },
    Target {
        name: "chart",
        feed: chart,
    },
    Target {
        name: "tide",
        feed: tide,
    },
    Target {
        name: "config",
        feed: config,
    },
    Target {
        name: "journal",
        feed: journal,
    },
];

/// Frames of the data server, one a line, passed through the session into the watch.
///
/// # Errors
/// An answer to a request without a status.
pub fn frame(bytes: &[u8]) -> Result<(), String> {
    let mut boat = Boat::at_anchor();
    for line in String::from_utf8_lossy(bytes).lines().take(MOST_LINES) {
        boat.hear(line)?;
    }
    Ok(())
}

/// An order: its name on the first line, its value as JSON after it.
///
/// # Errors
/// An order that does not get exactly one answer, or that is refused but still changes something.
pub fn put(bytes: &[u8]) -> Result<(), String> {
    let text = String::from_utf8_lossy(bytes);
    let (name, value) = text.split_once('\n').unwrap_or((&text, "null"));
    let Ok(value) = serde_json::from_str::<Value>(value) else {
        return Ok(());
    };
    let Ok(command) = put::parse_put(name, &value).or_else(|_| put::parse_command(name, &value))
    else {
        return Ok(());
    };
    let mut boat = Boat::at_anchor();
    let before = boat.saved();
    match boat.order(command.clone(), By::Server).as_slice() {
        [Outcome::Done(_)] => Ok(()),
        [Outcome::Refused(_)] if boat.saved() == before => Ok(()),
        [Outcome::Refused(why)] => Err(format!("refused ({why}) and done: {command:?}")),
        answers => Err(format!("{} answers to {command:?}", answers.len())),
    }
}

/// What comes back from a phone: a line of the push server's stream, or the line alone.
///
/// # Errors
/// A line that we did not write is accepted as ours.
pub fn reply(bytes: &[u8]) -> Result<(), String> {
    let mint = Mint::new(b"a key for tests, of 32 bytes, ok");
    let line = push::message(bytes).map_or_else(
        || String::from_utf8_lossy(bytes).into_owned(),
        |(_, text)| text,
    );
    match mint.read(&line) {
        Ok(read) => {
            let ours = mint.write(read.act, &read.channel, &read.id, read.raise);
            let same = ours.eq_ignore_ascii_case(line.trim());
            same.then_some(()).ok_or(format!("`{line}` is not ours"))
        }
        Err(_) => Ok(()),
    }
}

/// Lines of a display that supports only IEC 61162-1, with an alarm standing.
///
/// # Errors
/// The reply is not a sentence.
pub fn sentence(bytes: &[u8]) -> Result<(), String> {
    let mut now = Now::new(Tick::START, Timestamp::from_millis(EVENING));
    let mut exchange = Exchange::new(now);
    for view in Boat::without_data().alerts() {
        exchange.handle_alert(now, &view);
    }
    for line in String::from_utf8_lossy(bytes).lines().take(MOST_LINES) {
        exchange.handle_line(now, line);
        now = later(now, 1);
        exchange.handle_timeout(now);
        while let Some(output) = exchange.poll_output() {
            match output {
                Output::Send(line) => {
                    frame::fields(&line).map_err(|why| format!("sent `{line}`: {why}"))?;
                }
                Output::Order { id, .. } => {
                    exchange.handle_reply(now, id, &Outcome::Refused("not tonight".to_owned()));
                }
                Output::Say(_) => {}
            }
        }
    }
    Ok(())
}

/// A chart: GeoJSON as added, or a cell as stored.
///
/// # Errors
/// A stored cell does not read back the same.
pub fn chart(bytes: &[u8]) -> Result<(), String> {
    if let Some(opening) = bytes.get(..OPENING)
        && let Ok(length) = packed::head_length(opening)
    {
        let body = OPENING.saturating_add(length);
        let Some(Ok(head)) = bytes.get(OPENING..body).map(packed::head) else {
            return Ok(());
        };
        let mut pieces = Vec::new();
        for block in &head.blocks {
            let start = usize::try_from(block.start).unwrap_or(usize::MAX);
            let start = body.saturating_add(start);
            let end = start.saturating_add(block.length);
            pieces.extend(
                bytes
                    .get(start..end)
                    .and_then(|b| packed::block(b).ok())
                    .unwrap_or_default(),
            );
        }
        judge(Cell {
            about: head.about,
            pieces,
        });
        return Ok(());
    }
    let mut reading = Reading::of("FUZZ");
    if reading.take(&String::from_utf8_lossy(bytes), None).is_err() {
        return Ok(());
    }
    let Ok(cell) = Cell::of(reading, &mut Faults::default()) else {
        return Ok(());
    };
    let kept = packed::pack(&cell).map_err(|why| format!("not kept: {why}"))?;
    let length = packed::head_length(&kept).map_err(|why| format!("not read again: {why}"))?;
    let head = kept.get(OPENING..OPENING.saturating_add(length));
    let head =
        packed::head(head.unwrap_or_default()).map_err(|why| format!("not read again: {why}"))?;
    if head.about != cell.about {
        return Err("the cell is read again as another".to_owned());
    }
    judge(cell);
    Ok(())
}

/// Checks a circle about the cell's first point against it.
fn judge(cell: Cell) {
    let first = cell
        .pieces
        .iter()
        .find_map(|piece| piece.shape.spots().next());
    let [longitude, latitude] = first.map_or([0.0, 0.0], Spot::degrees);
    let sheet = Sheet::of(vec![(cell.about, cell.pieces)]);
    let needs = Needs {
        draught: Metres::of(1.9),
        margin: Metres::of(0.5),
        lowest: Metres::of(-0.4),
        now: Some(Metres::of(0.3)),
        say: LengthUnit::Metres,
        language: Language::default(),
    };
    if let Ok(centre) = Position::new(latitude, longitude) {
        if let Ok(room) = Room::circle(centre, Metres::of(60.0)) {
            let _ = sheet.clearance(room, &needs);
        }
        let _ = sheet.charted(centre);
    }
}

/// A catalogue of tide stations, packed or as text, and a day of each of its first stations.
///
/// # Errors
/// A height that is not a number.
pub fn tide(bytes: &[u8]) -> Result<(), String> {
    let catalogue =
        Catalogue::unpack(bytes).or_else(|_| Catalogue::parse(&String::from_utf8_lossy(bytes)));
    let Ok(catalogue) = catalogue else {
        return Ok(());
    };
    let from = Timestamp::from_millis(EVENING);
    let to = Timestamp::from_millis(EVENING + 86_400_000);
    for station in catalogue.stations().iter().take(4) {
        let _ = catalogue.nearest(station.position, 3);
        let _ = catalogue.advice(station.position, station);
        let _ = catalogue.datum(station);
        let Some(predictor) = catalogue.predictor(station) else {
            continue;
        };
        for turn in predictor.turns(from, to) {
            if !turn.height.get().is_finite() {
                return Err(format!(
                    "`{}`: a turn of {} m",
                    station.id,
                    turn.height.get()
                ));
            }
        }
        let height = predictor.height(from).get();
        if !height.is_finite() {
            return Err(format!("`{}`: {height} m", station.id));
        }
    }
    Ok(())
}

/// The configuration file.
///
/// # Errors
/// An error that does not say where.
pub fn config(bytes: &[u8]) -> Result<(), String> {
    let text = String::from_utf8_lossy(bytes);
    match Config::of_text(&text, Path::new("windrode.toml")) {
        Ok(config) => drop(config.describe()),
        Err(why) if why.to_string().trim().is_empty() => {
            return Err("an error without words".to_owned());
        }
        Err(_) => {}
    }
    Ok(())
}

/// A batch of the journal as stored on disk, or its lines; the watch runs on what it reads.
///
/// # Errors
/// Lines that are written but do not read back.
pub fn journal(bytes: &[u8]) -> Result<(), String> {
    let read = journal::batch::decode(bytes).or_else(|_| {
        let mut packed = GzEncoder::new(Vec::new(), Compression::fast());
        packed.write_all(bytes).map_err(|why| why.to_string())?;
        let packed = packed.finish().map_err(|why| why.to_string())?;
        journal::batch::decode(&packed)
    });
    let Ok(entries) = read else {
        return Ok(());
    };
    let again = journal::batch::encode(entries.iter())?;
    let again = journal::batch::decode(&again)?;
    if again != entries {
        return Err("what was written is read as something else".to_owned());
    }
    Boat::without_data().live_through(entries);
    Ok(())
}

/// Milliseconds since 1970: 1 June 2026, 21:30 UTC.
const EVENING: i64 = 1_780_349_400_000;
/// More would only repeat the same, slowly.
const MOST_LINES: usize = 64;

#[cfg(test)]
mod tests;
