//! `windrode plan --search`: berths near a place, from the charts aboard.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::{PlanOptions, around, inputs};
use crate::chart::clearance::{CellTold, Needs};
use crate::chartroom::ChartRoom;
use crate::cli::lengths::{Given, given};
use crate::cli::out::{self, Failure, code};
use crate::cli::status::wrapped_to;
use crate::cli::{Windrode, chart, load_in};
use crate::geodesy::Position;
use crate::room::search::{Area, Candidate, Found, Neighbour, WINDS, Wishes, search as find};
use crate::speech::berths::{Search, SearchCaution, SearchColumn};
use crate::speech::charts::Height;
use crate::speech::plans::Margin;
use crate::speech::{Exact, Sentence, Wording};
use crate::tackle::water::{Below, Sounding};
use crate::units::{Bearing, LengthUnit, Metres, parse_length};

/// Where to search.
#[derive(Debug, Args)]
pub(super) struct SearchOptions {
    /// Search the charts for berths around a place, such as 59.8539,23.26 or "59°51.234'N 23°15.6'E". Depths come from the charts,
    /// heights of the tide from `--low-water` with `--tide` and `--high-water`, or from a station.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true, conflicts_with_all = ["depth", "below", "rise", "fall", "rode_out"])]
    pub(super) search: Option<Position>,
    /// How far around the place; answers are in metres or feet like this length.
    #[arg(long, value_name = "LENGTH", value_parser = given("a radius to search within", 20.0, 1852.0), default_value = "500m", requires = "search")]
    within: Given,
    /// Keep clear of this circle, such as another vessel's: its centre and radius, as "59.8539,23.26 40m". Can be given several times.
    #[arg(long, value_name = "LAT,LON LENGTH", value_parser = neighbour, allow_hyphen_values = true, requires = "search")]
    neighbour: Vec<Neighbour>,
    /// The same from a file, one vessel per line: her anchor, her circle, her name, as "59.8539,23.26; 40m; Plover". Without
    /// a circle, that of a yacht of 12 m is assumed. Lines that begin with # are ignored.
    #[arg(long, value_name = "FILE", requires = "search")]
    neighbours: Option<PathBuf>,
    /// As GeoJSON for a chart display: each berth and its circle.
    #[arg(long, requires = "search", conflicts_with = "json")]
    pub(super) geojson: bool,
}

/// Searches and prints the berths.
pub(super) fn search(
    parsed: &Windrode,
    options: &PlanOptions,
    at: Position,
) -> Result<(), Failure> {
    let usage = |message: String| Failure::new(code::USAGE, message);
    let config = load_in(&parsed.config, options.language.language)?;
    let wanted = &options.search;
    let say = wanted.within.unit;
    let area = Area::about(at, wanted.within.metres).map_err(|error| usage(error.to_string()))?;
    // The chart's depth at each place replaces this one.
    let sounding = Sounding {
        depth: Metres::ZERO,
        below: Below::Datum,
    };
    let mut inputs = inputs(&config, options, None, sounding)?;
    inputs.say = say;
    let draught = inputs.boat.draught().ok_or_else(|| {
        usage("draught not entered; give it as `--draught`, or for good as `boat.draught` in the configuration".to_owned())
    })?;
    let tide = inputs.tide.as_ref().filter(|tide| tide.above_datum);
    let needs = Needs {
        draught,
        margin: config.watch.keel_margin,
        lowest: tide.map_or(Metres::ZERO, |tide| tide.lowest),
        now: tide.map(|tide| tide.now),
        say,
        language: inputs.language,
    };
    let unknown = tide.is_none();
    let room = ChartRoom::of(&config.journal.directory);
    let sheet = chart::sheet_about(&config, &room, at, area.charts_within())?;
    let around = around::look(parsed, &wanted.neighbour, wanted.neighbours.as_deref())?;
    let mut found = find(
        &area,
        &sheet,
        &Wishes {
            inputs: &inputs,
            needs,
            neighbours: &around.circles,
        },
    );
    let no_tide = unknown.then_some(SearchCaution::NoTide);
    let no_aboard = inputs.tackle.all().is_none();
    let no_aboard = no_aboard.then_some(SearchCaution::NoAboard);
    let cautions = around.remarks.into_iter().chain(no_tide).chain(no_aboard);
    let say = inputs.wording();
    found
        .cautions
        .extend(cautions.map(|caution| caution.words(&say)));
    if options.json {
        let text = serde_json::to_string_pretty(&found)
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        return out::line(&text);
    }
    if wanted.geojson {
        return out::line(&geojson(&found).to_string());
    }
    for line in page(&found, &say) {
        out::line(&line)?;
    }
    Ok(())
}

fn page(found: &Found, say: &Wording) -> Vec<String> {
    let mut lines = wrapped_to(
        "",
        "",
        &Search::Heading {
            within: Exact(found.within),
            centre: found.centre,
            places: found.looked_at as u64,
            spacing: Exact(found.spacing),
        }
        .words(say),
    );
    lines.push(String::new());
    if !found.candidates.is_empty() {
        lines.push(format!(
            "   {:<27}{:>6}{:>8}{:>8}{:>8}{:>9}{:>9}",
            SearchColumn::Place.words(say),
            SearchColumn::Bears.words(say),
            SearchColumn::Off.words(say),
            SearchColumn::Depth.words(say),
            SearchColumn::Rode.words(say),
            SearchColumn::Circle.words(say),
            SearchColumn::Spare.words(say),
        ));
    }
    for (number, candidate) in found.candidates.iter().enumerate() {
        lines.push(format!(
            "{:<3}{:<27}{:>6}{:>8}{:>8}{:>8}{:>9}{:>9}",
            number + 1,
            candidate.position.to_string(),
            candidate.bearing.to_string(),
            whole(candidate.distance, say.lengths),
            Height::Depth {
                at: Exact(candidate.charted_depth)
            }
            .words(say),
            say.lengths.up(candidate.rode),
            say.lengths.up(candidate.radius),
            whole(candidate.spare, say.lengths)
        ));
    }
    for (number, candidate) in found.candidates.iter().enumerate() {
        lines.push(String::new());
        lines.extend(about(number + 1, candidate, say));
    }
    let mut cells: Vec<String> = found
        .candidates
        .iter()
        .flat_map(|candidate| &candidate.cells)
        .map(|cell: &CellTold| {
            let cell = cell.told().into();
            Search::Chart { cell }.words(say)
        })
        .collect();
    cells.sort_unstable();
    cells.dedup();
    if !cells.is_empty() {
        lines.push(String::new());
    }
    for cell in cells {
        lines.extend(wrapped_to("", "  ", &cell));
    }
    if !found.rejected.is_empty() {
        lines.push(String::new());
        let counted = found.rejected.iter().map(|rejected| Search::Count {
            against: rejected.against.told(),
            places: rejected.count as u64,
        });
        let list = Sentence::several(counted, "; ");
        lines.extend(wrapped_to("", "", &Search::Rejected { list }.words(say)));
    }
    lines.push(String::new());
    lines.push(Margin::LookAt.words(say));
    for caution in &found.cautions {
        lines.extend(wrapped_to("- ", "  ", caution));
    }
    lines.push(String::new());
    lines.extend(wrapped_to("", "", &found.notice));
    lines
}

fn about(number: usize, candidate: &Candidate, say: &Wording) -> Vec<String> {
    let mut lines = vec![format!("{number}")];
    for (mark, reasons) in [
        ("+ ", &candidate.reasons_for),
        ("- ", &candidate.reasons_against),
    ] {
        for reason in reasons {
            lines.extend(wrapped_to(&format!("   {mark}"), "     ", reason));
        }
    }
    let fetch = WINDS.iter().zip(&candidate.fetch);
    let fetch = fetch.map(|((from, _), fetch)| Search::FetchFrom {
        wind: Search::Wind { from }.into(),
        miles: fetch.told().into(),
    });
    let list = Sentence::several(fetch, ", ");
    lines.extend(wrapped_to(
        "   ",
        "     ",
        &Search::Fetch { list }.words(say),
    ));
    lines
}

fn whole(length: Metres, unit: LengthUnit) -> String {
    match unit {
        LengthUnit::Metres => format!("{:.0} m", length.get().floor()),
        LengthUnit::Feet => format!("{:.0} ft", length.feet().floor()),
    }
}

/// RFC 7946: the berth as a point, its circle as a polygon of 72 sides.
fn geojson(found: &Found) -> serde_json::Value {
    let spot = |at: Position| json!([at.longitude(), at.latitude()]);
    let features: Vec<serde_json::Value> = found
        .candidates
        .iter()
        .enumerate()
        .flat_map(|(number, candidate)| {
            let ring: Vec<serde_json::Value> = (0..=72)
                .map(|step| {
                    // Counterclockwise, as the standard requires.
                    let bearing = Bearing::from_degrees(360.0 - f64::from(step % 72) * 5.0);
                    spot(candidate.position.moved(bearing, candidate.radius))
                })
                .collect();
            let properties = json!({
                "name": format!("berth {}", number + 1),
                "chartedDepth": candidate.charted_depth, "rode": candidate.rode,
                "radius": candidate.radius, "spare": candidate.spare,
            });
            let feature = |geometry: serde_json::Value| {
                json!({ "type": "Feature", "properties": properties, "geometry": geometry })
            };
            [
                feature(json!({ "type": "Point", "coordinates": spot(candidate.position) })),
                feature(json!({ "type": "Polygon", "coordinates": [ring] })),
            ]
        })
        .collect();
    json!({ "type": "FeatureCollection", "features": features })
}

/// Parses `59.8539,23.26 40m`.
fn neighbour(text: &str) -> Result<Neighbour, String> {
    let (place, length) = text.trim().rsplit_once(' ').ok_or_else(|| {
        "a circle is a position and a radius, such as `59.8539,23.26 40m`".to_owned()
    })?;
    let centre: Position = place
        .parse()
        .map_err(|error: crate::geodesy::ParsePositionError| error.to_string())?;
    Ok(Neighbour::given(centre, circle(length)?))
}

/// The largest radius of a vessel's circle.
pub(super) fn circle(text: &str) -> Result<Metres, String> {
    let radius = parse_length(text.trim()).map_err(|error| error.to_string())?;
    if (0.0..=1000.0).contains(&radius.get()) {
        Ok(radius)
    } else {
        Err("a circle to keep clear of has a radius of 0 to 1000 m".to_owned())
    }
}
