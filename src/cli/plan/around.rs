//! Vessels nearby, from the running daemon, a file and the command line, for the search for a berth.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::{live, search};
use crate::cli::Windrode;
use crate::cli::out::{Failure, code};
use crate::geodesy::Position;
use crate::room::search::Neighbour;
use crate::speech::berths::SearchCaution;
use crate::units::Metres;
use crate::watch::neighbours::assumed_circle;

/// The vessels to keep clear of.
pub(super) struct Around {
    /// The nearest to us first, then those from the file and the command line.
    pub(super) circles: Vec<Neighbour>,
    /// What is unknown about other vessels.
    pub(super) remarks: Vec<SearchCaution>,
}

/// Collects the vessels; it is no error if no daemon runs.
pub(super) fn look(
    parsed: &Windrode,
    given: &[Neighbour],
    file: Option<&Path>,
) -> Result<Around, Failure> {
    let mut circles = Vec::new();
    let mut remarks = Vec::new();
    match live::figures(parsed) {
        Ok(heard) => {
            let near = heard.neighbours.len();
            circles.extend(heard.neighbours.into_iter().filter_map(|her| {
                let circle = her.circle?;
                Some(Neighbour {
                    name: Some(her.name),
                    centre: circle.anchor,
                    radius: circle.radius,
                    assumed: circle.assumed,
                    heard_ago: Some(her.heard_ago),
                })
            }));
            let rest = near - circles.len();
            if heard.vessels_heard == 0 {
                remarks.push(SearchCaution::AisNotHeard);
            } else if near == 0 {
                remarks.push(SearchCaution::NotFromHere);
            } else if rest > 0 {
                remarks.push(SearchCaution::UnderWay { count: rest as u64 });
            }
        }
        Err(_) => remarks.push(SearchCaution::NoDaemon),
    }
    if let Some(file) = file {
        circles.extend(read(file)?);
    }
    circles.extend(given.iter().cloned());
    Ok(Around { circles, remarks })
}

fn read(file: &Path) -> Result<Vec<Neighbour>, Failure> {
    let fault = |code, what: String| Failure::new(code, format!("`{}`: {what}", file.display()));
    let open = File::open(file).map_err(|error| fault(code::IO, error.to_string()))?;
    let mut text = String::new();
    // A wrong path may lead to an endless file.
    let read = open.take(LARGEST + 1).read_to_string(&mut text);
    read.map_err(|error| fault(code::IO, error.to_string()))?;
    if text.len() as u64 > LARGEST {
        let many = format!("larger than {LARGEST} bytes, which no list of neighbours is");
        return Err(fault(code::DATA, many));
    }
    (1..)
        .zip(text.lines())
        .filter(|(_, line)| !line.trim().is_empty() && !line.trim_start().starts_with('#'))
        .map(|(number, line)| {
            vessel(line).map_err(|why| fault(code::DATA, format!("line {number}: `{line}`: {why}")))
        })
        .collect()
}

/// Parses `59.8539,23.26; 40m; Plover`.
fn vessel(line: &str) -> Result<Neighbour, String> {
    let mut parts = line.splitn(3, ';').map(str::trim);
    let centre: Position = parts
        .next()
        .unwrap_or_default()
        .parse()
        .map_err(|error: crate::geodesy::ParsePositionError| error.to_string())?;
    let radius = parts.next().filter(|part| !part.is_empty());
    let name = parts.next().filter(|part| !part.is_empty());
    Ok(Neighbour {
        name: name.map(str::to_owned),
        assumed: radius.is_none(),
        ..Neighbour::given(
            centre,
            radius.map_or_else(|| Ok(assumed_circle(YACHT)), search::circle)?,
        )
    })
}

/// For a vessel of unknown length.
const YACHT: Metres = Metres::of(12.0);
/// Bytes.
const LARGEST: u64 = 1 << 20;
