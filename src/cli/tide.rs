//! `windrode tide`: high and low water at a place, for people and as JSON.

mod curve;
mod dates;

use std::io::{self, IsTerminal};
use std::time::Duration;

use jiff::tz::TimeZone;
use serde::Serialize;

use super::out::{self, Failure, code};
use super::status::wrapped_to;
use super::{ConfigFile, TideOptions, load};
use crate::geodesy::Position;
use crate::io::clock::Clock;
use crate::tide::stations::{self, Advice, Catalogue, Nearby, Station};
use crate::tide::{Predictor, Stand, Turn};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres, spoken};
use dates::Window;

/// Predicts and prints.
pub(super) fn tide(config: &ConfigFile, options: &TideOptions) -> Result<(), Failure> {
    let zone = if options.utc {
        TimeZone::UTC
    } else {
        TimeZone::system()
    };
    let now = Clock::system().now().utc;
    let window = dates::window(options.from.as_deref(), options.to.as_deref(), now, &zone)
        .map_err(|error| Failure::new(code::USAGE, error))?;
    let steps = match options.every {
        Some(step) => steps(window, step)?,
        None => Vec::new(),
    };
    let catalogue = Catalogue::bundled().map_err(|error| Failure::new(code::SOFTWARE, error))?;
    let near = options
        .near
        .map_or_else(Vec::new, |place| catalogue.nearest(place, LISTED));
    let station = match (&options.station, near.first()) {
        (Some(wanted), _) => catalogue
            .find(wanted)
            .map_err(|error| Failure::new(code::USAGE, error))?,
        (None, Some(nearest)) => nearest.station,
        (None, None) => {
            let configured = load(config)?.watch.forecast.ok_or_else(|| {
                Failure::new(
                    code::USAGE,
                    "for which place? name it with `--near LAT,LON`, a station with `--station ID` or, for good, as `water.station` in the configuration",
                )
            })?;
            catalogue
                .find(configured.id())
                .map_err(|error| Failure::new(code::CONFIG, error))?
        }
    };
    let predictor = catalogue.predictor(station).ok_or_else(|| {
        let id = &station.id;
        Failure::new(code::SOFTWARE, format!("`{id}` has no standard station"))
    })?;
    let answer = Answer {
        catalogue: &catalogue,
        station,
        predictor: &predictor,
        near: &near,
        advice: options
            .near
            .map_or_else(Vec::new, |place| catalogue.advice(place, station)),
        place: options.near,
        window,
        turns: predictor.turns(window.from, window.to),
        heights: steps
            .into_iter()
            .map(|time| (time, predictor.height(time)))
            .collect(),
        now,
    };
    if options.json {
        let text = serde_json::to_string_pretty(&answer.report())
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        return out::line(&text);
    }
    let drawn = io::stdout().is_terminal();
    for line in answer.screen(&zone, drawn) {
        out::line(&line)?;
    }
    Ok(())
}

/// The moments for which heights were requested.
fn steps(window: Window, step: Duration) -> Result<Vec<Timestamp>, Failure> {
    let too_many = |count: u128| {
        let message = format!(
            "`--every {}` makes {count} heights in this time; {MOST_HEIGHTS} is the most",
            spoken(step)
        );
        Failure::new(code::USAGE, message)
    };
    let length = u128::try_from(window.to.millis_since(window.from)).unwrap_or(0);
    let count = length / step.as_millis().max(1) + 1;
    if step < LEAST_STEP || count > u128::from(MOST_HEIGHTS) {
        return Err(too_many(count));
    }
    let mut times = Vec::new();
    let mut time = window.from;
    while time <= window.to {
        times.push(time);
        time = time.plus(step);
    }
    Ok(times)
}

struct Answer<'a> {
    catalogue: &'a Catalogue,
    station: &'a Station,
    predictor: &'a Predictor,
    near: &'a [Nearby<'a>],
    advice: Vec<Advice>,
    place: Option<Position>,
    window: Window,
    turns: Vec<Turn>,
    heights: Vec<(Timestamp, Metres)>,
    now: Timestamp,
}

impl Answer<'_> {
    /// The page for people, 80 columns.
    fn screen(&self, zone: &TimeZone, drawn: bool) -> Vec<String> {
        let station = self.station;
        let mut lines = vec![format!(
            "{}, {} ({})",
            station.name, station.place, station.id
        )];
        let mut say = |text: &str| lines.extend(wrapped_to("", "  ", text));
        say(&format!("at {}{}", station.position, self.offing()));
        if let Some(standard) = self.catalogue.standard_of(station)
            && standard.id != station.id
        {
            say(&format!(
                "a secondary station: differences to {} ({})",
                standard.name, standard.id
            ));
        }
        let datum = self.catalogue.datum(station);
        say(&format!(
            "heights above {} ({datum}); times {}",
            stations::datum_name(datum),
            dates::zone_name(zone, self.window.from)
        ));
        lines.extend(self.table(zone));
        if !self.heights.is_empty() {
            lines.push(String::new());
            lines.push("heights".to_owned());
        }
        for (time, height) in &self.heights {
            let (day, clock) = dates::written(*time, zone);
            lines.push(format!("  {day:<15}  {clock}  {}", both(*height)));
        }
        lines.extend(self.present(zone));
        if drawn {
            lines.push(String::new());
            lines.extend(curve::curve(self.predictor, self.window, self.now, zone));
        }
        lines.push(String::new());
        if self.near.len() > 1 {
            lines.push("nearest stations".to_owned());
            lines.extend(self.near.iter().map(listed));
            lines.push(String::new());
        }
        for caution in self.cautions() {
            lines.extend(wrapped_to("- ", "  ", &caution));
        }
        lines.extend(wrapped_to(
            "",
            "  ",
            &format!("Constants: {}.", station.source.credit()),
        ));
        lines
    }

    fn offing(&self) -> String {
        self.place.map_or_else(String::new, |place| {
            let to = self.station.position;
            format!(
                ", {} {} from the place asked for",
                distance(place.distance_to(to)),
                place.bearing_to(to)
            )
        })
    }

    fn table(&self, zone: &TimeZone) -> Vec<String> {
        if self.turns.is_empty() {
            let text =
                "no high or low water in this time: the tide is too small, or the time too short";
            return vec![String::new(), text.to_owned()];
        }
        let mut lines = Vec::new();
        let mut shown = String::new();
        for turn in &self.turns {
            let (day, clock) = dates::written(turn.time, zone);
            if day != shown {
                lines.push(String::new());
                lines.push(day.clone());
                shown = day;
            }
            let kind = match turn.kind {
                Stand::High => "high",
                Stand::Low => "low ",
            };
            lines.push(format!("  {kind}  {clock}  {}", both(turn.height)));
        }
        lines
    }

    /// The height now and the next turn, if now is in the window.
    fn present(&self, zone: &TimeZone) -> Vec<String> {
        if !(self.window.from..self.window.to).contains(&self.now) {
            return Vec::new();
        }
        let Some(run) = self.predictor.run(self.now) else {
            return Vec::new();
        };
        let (what, next) = if run.rising {
            ("rising", "high")
        } else {
            ("falling", "low")
        };
        let (_, clock) = dates::written(run.next.time, zone);
        let (_, here) = dates::written(self.now, zone);
        let wait = u64::try_from(run.next.time.millis_since(self.now)).unwrap_or(0);
        vec![
            String::new(),
            format!(
                "now   {here}  {}, {what}, {next} water {clock} in {}, range {}",
                both(run.height).trim_start(),
                spoken(Duration::from_millis(wait)),
                both(run.range()).trim_start()
            ),
        ]
    }

    fn cautions(&self) -> Vec<String> {
        let mut cautions: Vec<String> = self.advice.iter().map(advised).collect();
        if self.catalogue.datum(self.station) == "MSL" {
            cautions.push(
                "heights are above mean sea level: do not add them to a chart's soundings"
                    .to_owned(),
            );
        }
        cautions.extend(CAUTIONS.map(str::to_owned));
        cautions
    }

    fn report(&self) -> Report<'_> {
        let station = self.station;
        let datum = self.catalogue.datum(station);
        Report {
            station: &station.id,
            name: &station.name,
            place: &station.place,
            position: station.position,
            standard: station.standard(),
            datum,
            datum_name: stations::datum_name(datum),
            from: self.window.from,
            to: self.window.to,
            turns: self
                .turns
                .iter()
                .map(|turn| TurnReport {
                    time: to_the_second(turn.time),
                    height: to_the_millimetre(turn.height),
                    kind: turn.kind,
                })
                .collect(),
            heights: self
                .heights
                .iter()
                .map(|(time, height)| HeightReport {
                    time: *time,
                    height: to_the_millimetre(*height),
                })
                .collect(),
            near: self
                .near
                .iter()
                .map(|near| NearReport {
                    station: &near.station.id,
                    name: &near.station.name,
                    distance: near.distance,
                    bearing: near.bearing,
                })
                .collect(),
            cautions: self.cautions(),
            credit: station.source.credit(),
        }
    }
}

/// The JSON document, as defined in `schemas/tide.schema.json`.
#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Report<'a> {
    station: &'a str,
    name: &'a str,
    place: &'a str,
    position: Position,
    #[serde(skip_serializing_if = "Option::is_none")]
    standard: Option<&'a str>,
    datum: &'a str,
    datum_name: &'a str,
    from: Timestamp,
    to: Timestamp,
    turns: Vec<TurnReport>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    heights: Vec<HeightReport>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    near: Vec<NearReport<'a>>,
    cautions: Vec<String>,
    credit: &'a str,
}

#[derive(Serialize)]
struct TurnReport {
    time: Timestamp,
    height: f64,
    kind: Stand,
}

#[derive(Serialize)]
struct HeightReport {
    time: Timestamp,
    height: f64,
}

#[derive(Serialize)]
struct NearReport<'a> {
    station: &'a str,
    name: &'a str,
    distance: Metres,
    bearing: Bearing,
}

fn to_the_second(time: Timestamp) -> Timestamp {
    Timestamp::from_millis((time.as_millis() + 500).div_euclid(1000) * 1000)
}

fn to_the_millimetre(height: Metres) -> f64 {
    (height.get() * 1000.0).round() / 1000.0
}

fn advised(advice: &Advice) -> String {
    match advice {
        Advice::Far(far) => format!(
            "the station is {} away: the tide at the place asked for may come at other times and be of another height",
            distance(*far)
        ),
        Advice::Disagrees {
            id,
            name,
            distance: away,
            hours,
            ratio,
        } => {
            let minutes = Duration::from_secs_f64((hours.abs() * 60.0).round() * 60.0);
            let when = if *hours < 0.0 { "earlier" } else { "later" };
            format!(
                "{name} ({id}), {} away, has another tide: {} {when}, {ratio:.1} times the range; land, a bar or \
                 a narrow may lie between, so take the station on your side of it",
                distance(*away),
                spoken(minutes)
            )
        }
    }
}

fn listed(near: &Nearby) -> String {
    format!(
        "  {:>8}  {}  {} ({})",
        distance(near.distance),
        near.bearing,
        near.station.name,
        near.station.id
    )
}

/// Miles for long distances, metres for short ones.
fn distance(metres: Metres) -> String {
    let miles = metres.get() / 1852.0;
    if miles < 0.1 {
        format!("{:.0} m", metres.get())
    } else if miles < 9.95 {
        format!("{miles:.1} nm")
    } else {
        format!("{miles:.0} nm")
    }
}

fn both(height: Metres) -> String {
    // Avoids "-0.00".
    let tidy = |value: f64, places: f64| (value * places).round() / places + 0.0;
    format!(
        "{:>6.2} m {:>6.1} ft",
        tidy(height.get(), 100.0),
        tidy(height.feet(), 10.0)
    )
}

const CAUTIONS: [&str; 3] = [
    "calculated from moon and sun alone: wind, air pressure, rain and ice move the level as well, in a gale by a metre \
     and more",
    "chart datum and the bottom change; keep a margin, sound the depth yourself, and heed the official tables and \
     warnings",
    "an aid, not a substitute for a proper lookout and anchor watch, the skipper's judgement and local rules; not for \
     navigation",
];
const LISTED: usize = 5;
const MOST_HEIGHTS: u32 = 100_000;
const LEAST_STEP: Duration = Duration::from_secs(1);
