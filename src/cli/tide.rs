//! `windrode tide`: high and low water at a place, for people and as JSON.

mod curve;
mod dates;
#[cfg(test)]
mod tests;

use std::io::{self, IsTerminal};
use std::time::Duration;

use clap::Args;
use jiff::tz::TimeZone;
use serde::Serialize;

use super::out::{self, Failure, code};
use super::status::wrapped_to;
use super::{ConfigFile, InLanguage, load_in};
use crate::config::Config;
use crate::geodesy::Position;
use crate::io::clock::Clock;
use crate::speech::tides::{TideCaution, TideDatum, TidePage, TurnName};
use crate::speech::{Miles, Ratio, Tabled, Wording};
use crate::tide::stations::{Advice, Catalogue, Nearby, Station};
use crate::tide::{Predictor, Stand, Turn};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres, parse_duration, spoken};
use dates::Window;

#[derive(Debug, Args)]
pub(super) struct TideOptions {
    /// The station nearest to this place, such as 59.8539,23.26; lists the next ones too.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    near: Option<Position>,
    /// This station, by its id or name.
    #[arg(long, value_name = "ID")]
    station: Option<String>,
    /// From this day or moment, boat's time; today when not given.
    #[arg(long, value_name = "DATE", allow_hyphen_values = true)]
    from: Option<String>,
    /// To the end of this day or to this moment; two days when not given.
    #[arg(long, value_name = "DATE", allow_hyphen_values = true)]
    to: Option<String>,
    /// Add the height at each step, such as 30min.
    #[arg(long, value_name = "STEP", value_parser = parse_duration)]
    every: Option<Duration>,
    /// Days and times in UTC, not in the boat's time zone.
    #[arg(long)]
    utc: bool,
    /// As JSON.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    language: InLanguage,
}

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
    let configured = load_in(config, options.language.language);
    let say = wording(configured.as_ref(), options);
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
            let configured = configured?.watch.forecast.ok_or_else(|| {
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
        say,
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

/// How the page is written; in English if the configuration cannot be read, because a place is enough to predict a tide.
fn wording(config: Result<&Config, &Failure>, options: &TideOptions) -> Wording {
    match (config, options.language.language) {
        // Data for programs is in English.
        _ if options.json => Wording::default(),
        (Ok(config), _) => config.wording(),
        (Err(_), Some(language)) => Wording::in_language(language),
        (Err(failure), None) => {
            out::complain(&format!(
                "windrode: the page is in English: {}",
                failure.message
            ));
            Wording::default()
        }
    }
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
    say: Wording,
}

impl Answer<'_> {
    /// The page for people, 80 columns.
    fn screen(&self, zone: &TimeZone, drawn: bool) -> Vec<String> {
        let (station, say) = (self.station, &self.say);
        let heading = format!("{}, {} ({})", station.name, station.place, station.id);
        let mut lines = wrapped_to("", "  ", &heading);
        let mut tell = |told: TidePage| lines.extend(wrapped_to("", "  ", &told.words(say)));
        let to = station.position;
        tell(TidePage::At {
            position: to,
            distance: self.place.map(|place| Miles(place.distance_to(to))),
            bearing: self.place.map(|place| place.bearing_to(to)),
        });
        if let Some(standard) = self.catalogue.standard_of(station)
            && standard.id != station.id
        {
            tell(TidePage::Secondary {
                name: standard.name.clone(),
                id: standard.id.clone(),
            });
        }
        let datum = self.catalogue.datum(station);
        tell(TidePage::Above {
            datum: TideDatum::of(datum),
            short: datum.to_owned(),
            zone: dates::told(zone, self.window.from),
        });
        lines.extend(self.table(zone));
        lines.extend(self.steps(zone));
        lines.extend(self.present(zone));
        if drawn {
            lines.push(String::new());
            lines.extend(curve::curve(
                self.predictor,
                self.window,
                self.now,
                zone,
                say,
            ));
        }
        lines.push(String::new());
        if self.near.len() > 1 {
            lines.push(TidePage::Nearest.words(say));
            lines.extend(self.near.iter().map(|near| listed(near, say)));
            lines.push(String::new());
        }
        for caution in self.cautions() {
            lines.extend(wrapped_to("- ", "  ", &caution));
        }
        let credit = station.source.credit();
        let constants = TidePage::Constants { credit }.words(say);
        lines.extend(wrapped_to("", "  ", &constants));
        lines
    }

    fn table(&self, zone: &TimeZone) -> Vec<String> {
        let say = &self.say;
        if self.turns.is_empty() {
            let mut lines = vec![String::new()];
            lines.extend(wrapped_to("", "  ", &TidePage::NoTurns.words(say)));
            return lines;
        }
        let [high, low] = [TurnName::High, TurnName::Low].map(|name| name.words(say));
        let column = high.chars().count().max(low.chars().count());
        let mut lines = Vec::new();
        let mut shown = String::new();
        for turn in &self.turns {
            let (day, clock) = dates::written(turn.time, zone, say);
            if day != shown {
                lines.push(String::new());
                lines.push(day.clone());
                shown = day;
            }
            let kind = match turn.kind {
                Stand::High => &high,
                Stand::Low => &low,
            };
            lines.push(format!(
                "  {kind:<column$}  {clock}  {}",
                both(turn.height, say)
            ));
        }
        lines
    }

    /// The heights at each step.
    fn steps(&self, zone: &TimeZone) -> Vec<String> {
        let say = &self.say;
        let rows: Vec<_> = self
            .heights
            .iter()
            .map(|(time, height)| (dates::written(*time, zone, say), both(*height, say)))
            .collect();
        let Some(column) = rows.iter().map(|((day, _), _)| day.chars().count()).max() else {
            return Vec::new();
        };
        let heading = [String::new(), TidePage::Heights.words(say)];
        let rows = rows
            .into_iter()
            .map(|((day, clock), height)| format!("  {day:<column$}  {clock}  {height}"));
        heading.into_iter().chain(rows).collect()
    }

    /// The height now and the next turn, if now is in the window.
    fn present(&self, zone: &TimeZone) -> Vec<String> {
        if !(self.window.from..self.window.to).contains(&self.now) {
            return Vec::new();
        }
        let Some(run) = self.predictor.run(self.now) else {
            return Vec::new();
        };
        let clock = |time| dates::written(time, zone, &self.say).1;
        let wait = u64::try_from(run.next.time.millis_since(self.now)).unwrap_or(0);
        let now = TidePage::Now {
            clock: clock(self.now),
            height: Tabled(run.height),
            rising: run.rising,
            next: clock(run.next.time),
            wait: Duration::from_millis(wait),
            range: Tabled(run.range()),
        };
        let mut lines = vec![String::new()];
        lines.extend(wrapped_to("", "  ", &now.words(&self.say)));
        lines
    }

    fn cautions(&self) -> Vec<String> {
        let mut cautions: Vec<TideCaution> = self.advice.iter().map(advised).collect();
        if self.catalogue.datum(self.station) == "MSL" {
            cautions.push(TideCaution::MeanSeaLevel);
        }
        cautions.extend([
            TideCaution::NoWeather,
            TideCaution::Margin,
            TideCaution::Aid,
        ]);
        let words = cautions.into_iter().map(|it| it.words(&self.say));
        words.collect()
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
            datum_name: TideDatum::of(datum).words(&self.say),
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
    datum_name: String,
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

fn advised(advice: &Advice) -> TideCaution {
    match advice {
        Advice::Far(far) => TideCaution::Far { away: Miles(*far) },
        Advice::Disagrees {
            id,
            name,
            distance,
            hours,
            ratio,
        } => TideCaution::Disagrees {
            name: name.clone(),
            id: id.clone(),
            away: Miles(*distance),
            by: Duration::from_secs_f64((hours.abs() * 60.0).round() * 60.0),
            earlier: *hours < 0.0,
            ratio: Ratio(*ratio),
        },
    }
}

fn listed(near: &Nearby, say: &Wording) -> String {
    format!(
        "  {:>8}  {}  {} ({})",
        say.miles(near.distance),
        near.bearing,
        near.station.name,
        near.station.id
    )
}

/// A height in both units, each in its column.
fn both(height: Metres, say: &Wording) -> String {
    let [metres, feet] = say.tide_figures(height);
    format!("{metres:>6} m {feet:>6} ft")
}

const LISTED: usize = 5;
const MOST_HEIGHTS: u32 = 100_000;
const LEAST_STEP: Duration = Duration::from_secs(1);
