//! The catalogue of tide stations: a few thousand places whose constants are published and may be
//! redistributed.
//!
//! The program contains it in packed form. `deploy/tides/README.md` describes its sources, licences and
//! changes; `deploy/tides/build.mjs` builds it. A standard station has constants of its own, a secondary
//! station has differences to a standard one.
//!
//! # Which station is right for a place
//! Distance alone does not decide, because the catalogue has no coastlines. Two things are reported as
//! [`Advice`]: the nearest station is far away ([`FAR`]), or another station about as near has a different
//! tide ([`Catalogue::advice`]). Land, a bar or a narrow channel between two stations causes such a
//! difference. Weakness: if there is only one station on this side of the land and none on the other,
//! nothing warns.

use std::io::Read;

use super::constituents::{self, Constituent};
use super::curve::Harmonic;
use super::predictor::{Differences, HeightDifference, Predictor};
use crate::geodesy::Position;
use crate::units::{Bearing, Metres};

/// All stations, standard and secondary.
#[derive(Clone, Debug)]
pub struct Catalogue {
    stations: Vec<Station>,
}

/// A place whose tide can be predicted.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Its id, such as `noaa/8443970`.
    pub id: String,
    /// Its name in the source's spelling.
    pub name: String,
    /// Region and country.
    pub place: String,
    /// Its position.
    pub position: Position,
    /// The publisher of its constants.
    pub source: Source,
    constants: Constants,
}

/// The publisher of the constants.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Source {
    /// US National Oceanic and Atmospheric Administration: public domain.
    Noaa,
    /// TICON-4: Hart-Davis, Dettmering, Seitz (2025): CC BY 4.0.
    Ticon,
    /// Norwegian Mapping Authority, Hydrographic Service: CC BY 4.0.
    Kartverket,
}

impl Source {
    /// The attribution that must accompany its constants.
    #[must_use]
    pub const fn credit(self) -> &'static str {
        match self {
            Self::Noaa => "US National Oceanic and Atmospheric Administration (public domain)",
            Self::Ticon => {
                "TICON-4, Hart-Davis, Dettmering and Seitz 2025, doi 10.17882/109129 (CC BY 4.0, modified)"
            }
            Self::Kartverket => "Kartverket, the Norwegian Mapping Authority (CC BY 4.0, modified)",
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
enum Constants {
    Own {
        datum: String,
        mean_level: Metres,
        harmonics: Vec<Harmonic>,
    },
    Differences {
        standard: String,
        differences: Differences,
    },
}

impl Station {
    /// The standard station's id, when this is a secondary one.
    #[must_use]
    pub fn standard(&self) -> Option<&str> {
        match &self.constants {
            Constants::Own { .. } => None,
            Constants::Differences { standard, .. } => Some(standard),
        }
    }
}

/// A station seen from a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearby<'a> {
    /// The station.
    pub station: &'a Station,
    /// Its distance.
    pub distance: Metres,
    /// Its direction from the place.
    pub bearing: Bearing,
}

/// A reason against using a station for a place.
#[derive(Clone, Debug, PartialEq)]
pub enum Advice {
    /// The station is far away.
    Far(Metres),
    /// Another station about as near has a different tide.
    Disagrees {
        /// The other station's id.
        id: String,
        /// The other station's name.
        name: String,
        /// Distance of the other station from the place.
        distance: Metres,
        /// How many hours later its main tide comes (negative: earlier).
        hours: f64,
        /// How many times as large its range is.
        ratio: f64,
    },
}

/// A station lookup that failed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FindError {
    /// No station has this id or name.
    #[error(
        "no tide station is called `{0}`; `windrode tide --near LAT,LON` lists the nearest ones"
    )]
    None(String),
    /// More than one station matches.
    #[error("`{wanted}` is the name of {count} tide stations; take one by its id: {some}")]
    Several {
        /// The requested name.
        wanted: String,
        /// Number of matches.
        count: usize,
        /// Some of the matches, id and name.
        some: String,
    },
}

/// The catalogue's file is invalid.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CatalogueError {
    /// The file cannot be unpacked.
    #[error("the catalogue of tide stations cannot be unpacked: {0}")]
    Packed(String),
    /// A line is not a station.
    #[error(
        "line {line} of the catalogue of tide stations is wrong: {why}; rebuild it with `deploy/tides/build.mjs`"
    )]
    Line {
        /// The line number.
        line: usize,
        /// What is wrong.
        why: String,
    },
}

impl Catalogue {
    /// The bundled catalogue. Unpacking takes some 20 ms, so keep the result.
    pub fn bundled() -> Result<Self, CatalogueError> {
        Self::unpack(BUNDLED)
    }

    /// From a gzip file's bytes.
    pub fn unpack(packed: &[u8]) -> Result<Self, CatalogueError> {
        let mut text = String::new();
        flate2::read::GzDecoder::new(packed)
            .take(MOST_BYTES)
            .read_to_string(&mut text)
            .map_err(|error| CatalogueError::Packed(error.to_string()))?;
        Self::parse(&text)
    }

    /// From the file's text.
    pub fn parse(text: &str) -> Result<Self, CatalogueError> {
        let mut lists: Vec<(&str, Vec<Option<&'static Constituent>>)> = Vec::new();
        let mut stations = Vec::new();
        for (place, line) in text.lines().enumerate() {
            let fields: Vec<&str> = line.split('\t').collect();
            let parsed = match *fields.as_slice() {
                ["windrode tide stations", "1"] if place == 0 => Ok(()),
                ["from", _] => Ok(()),
                ["waves", source, names] => {
                    lists.push((source, names.split(' ').map(constituents::named).collect()));
                    Ok(())
                }
                [kind, id, name, region, latitude, longitude, ref rest @ ..] => {
                    station(kind, [id, name, region, latitude, longitude], rest, &lists)
                        .map(|station| stations.push(station))
                }
                _ => Err("neither a head nor a station".to_owned()),
            };
            parsed.map_err(|why| CatalogueError::Line {
                line: place + 1,
                why,
            })?;
        }
        Ok(Self { stations })
    }

    /// All stations, by id.
    #[must_use]
    pub fn stations(&self) -> &[Station] {
        &self.stations
    }

    /// The station with this id (with or without the part before the slash) or name.
    pub fn find(&self, wanted: &str) -> Result<&Station, FindError> {
        let wanted = wanted.trim();
        let lower = wanted.to_lowercase();
        if let Some(station) = self
            .stations
            .iter()
            .find(|one| one.id.eq_ignore_ascii_case(wanted))
        {
            return Ok(station);
        }
        let by_tail = |one: &&Station| {
            let tail = one.id.split_once('/').map(|(_, tail)| tail);
            tail.is_some_and(|tail| tail.eq_ignore_ascii_case(wanted))
        };
        let by_name = |one: &&Station| one.name.to_lowercase() == lower;
        let by_part = |one: &&Station| one.name.to_lowercase().contains(&lower);
        let sieves: [&dyn Fn(&&Station) -> bool; 3] = [&by_tail, &by_name, &by_part];
        for sieve in sieves {
            let fitting: Vec<&Station> = self.stations.iter().filter(sieve).collect();
            match fitting.as_slice() {
                [] => {}
                [one] => return Ok(one),
                several => {
                    let some: Vec<String> = several
                        .iter()
                        .take(SHOWN)
                        .map(|one| format!("`{}` ({}, {})", one.id, one.name, one.place))
                        .collect();
                    let more = if several.len() > SHOWN { ", …" } else { "" };
                    return Err(FindError::Several {
                        wanted: wanted.to_owned(),
                        count: several.len(),
                        some: some.join(", ") + more,
                    });
                }
            }
            if lower.is_empty() {
                break;
            }
        }
        Err(FindError::None(wanted.to_owned()))
    }

    /// The nearest stations, nearest first.
    #[must_use]
    pub fn nearest(&self, place: Position, count: usize) -> Vec<Nearby<'_>> {
        // By distance on the sphere first, which is quick; sorted exactly afterwards.
        let mut rough: Vec<(f64, &Station)> = self
            .stations
            .iter()
            .map(|station| (haversine(place, station.position), station))
            .collect();
        rough.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut near: Vec<Nearby<'_>> = rough
            .into_iter()
            .take(count.saturating_add(SPARE))
            .map(|(_, station)| Nearby {
                station,
                distance: place.distance_to(station.position),
                bearing: place.bearing_to(station.position),
            })
            .collect();
        near.sort_by(|a, b| a.distance.get().total_cmp(&b.distance.get()));
        near.truncate(count);
        near
    }

    /// The reasons against using this station for this place.
    ///
    /// A neighbour counts when it is no more than [`ABOUT_AS_NEAR`] times as far away as the station (but
    /// within [`FAR`]). It disagrees when its largest constituent comes [`OTHER_HOURS`] earlier or later,
    /// or when its range is [`OTHER_RATIO`] times as large or small. The limits are chosen: half of what
    /// changes the clearance under a keel by a metre of range.
    #[must_use]
    pub fn advice(&self, place: Position, station: &Station) -> Vec<Advice> {
        let distance = place.distance_to(station.position);
        let mut advice = Vec::new();
        if distance > FAR {
            advice.push(Advice::Far(distance));
        }
        let reach =
            Metres::of((distance.get() * ABOUT_AS_NEAR).clamp(LEAST_REACH.get(), FAR.get()));
        let Some(here) = self.signature(station) else {
            return advice;
        };
        let worst = self
            .nearest(place, NEIGHBOURS)
            .into_iter()
            .filter(|near| near.distance <= reach && near.station.id != station.id)
            .filter_map(|near| {
                let (hours, ratio) = here.against(&self.signature(near.station)?)?;
                let differs = hours.abs() / OTHER_HOURS + ratio.ln().abs() / OTHER_RATIO.ln();
                let other = hours.abs() > OTHER_HOURS || ratio.ln().abs() > OTHER_RATIO.ln();
                other.then_some((differs, near.station, hours, ratio))
            })
            .max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, other, hours, ratio)) = worst {
            advice.push(Advice::Disagrees {
                id: other.id.clone(),
                name: other.name.clone(),
                distance: place.distance_to(other.position),
                hours,
                ratio,
            });
        }
        advice
    }

    /// The predictor for a station; `None` when its standard station is not in the catalogue.
    #[must_use]
    pub fn predictor(&self, station: &Station) -> Option<Predictor> {
        match &station.constants {
            Constants::Own {
                mean_level,
                harmonics,
                ..
            } => Some(Predictor::new(*mean_level, harmonics)),
            Constants::Differences { differences, .. } => {
                let standard = self.standard_of(station)?;
                let Constants::Own {
                    mean_level,
                    harmonics,
                    ..
                } = &standard.constants
                else {
                    return None;
                };
                Some(Predictor::new(*mean_level, harmonics).with_differences(*differences))
            }
        }
    }

    /// The datum of this station's heights, such as `MLLW`.
    #[must_use]
    pub fn datum<'a>(&'a self, station: &'a Station) -> &'a str {
        match &self.standard_of(station).unwrap_or(station).constants {
            Constants::Own { datum, .. } => datum,
            Constants::Differences { .. } => "unknown",
        }
    }

    /// The standard station of a secondary one; a standard station returns itself.
    #[must_use]
    pub fn standard_of<'a>(&'a self, station: &'a Station) -> Option<&'a Station> {
        match station.standard() {
            None => Some(station),
            Some(id) => self.stations.iter().find(|one| one.id == id),
        }
    }

    /// The largest of the main constituents: in short, the kind of tide.
    fn signature(&self, station: &Station) -> Option<Signature> {
        let (later, scale) = match &station.constants {
            Constants::Own { .. } => (0.0, 1.0),
            Constants::Differences { differences, .. } => {
                let scale = match differences.high {
                    HeightDifference::Ratio(ratio) => ratio,
                    HeightDifference::Add(_) => 1.0,
                };
                let minutes = f64::midpoint(differences.high_minutes, differences.low_minutes);
                (minutes / 60.0, scale)
            }
        };
        let Constants::Own { harmonics, .. } = &self.standard_of(station)?.constants else {
            return None;
        };
        let main = harmonics
            .iter()
            .filter(|one| ["M2", "S2", "K1", "O1"].contains(&one.constituent.name))
            .max_by(|a, b| a.amplitude.get().total_cmp(&b.amplitude.get()))?;
        Some(Signature {
            constituent: main.constituent,
            amplitude: main.amplitude.get() * scale,
            hours: main.phase / main.constituent.speed() + later,
        })
    }
}

struct Signature {
    constituent: &'static Constituent,
    amplitude: f64,
    hours: f64,
}

impl Signature {
    /// How many hours later and how many times as large the other tide is. Times of different kinds of tide
    /// are not compared.
    fn against(&self, other: &Self) -> Option<(f64, f64)> {
        if self.amplitude.min(other.amplitude) < LEAST_AMPLITUDE {
            return None;
        }
        let ratio = other.amplitude / self.amplitude;
        if self.constituent != other.constituent {
            return Some((0.0, ratio));
        }
        let period = 360.0 / self.constituent.speed();
        let hours = (other.hours - self.hours + period / 2.0).rem_euclid(period) - period / 2.0;
        Some((hours, ratio))
    }
}

fn station(
    kind: &str,
    [id, name, place, latitude, longitude]: [&str; 5],
    rest: &[&str],
    lists: &[(&str, Vec<Option<&'static Constituent>>)],
) -> Result<Station, String> {
    let number = |text: &str| -> Result<f64, String> {
        let value: f64 = text.parse().map_err(|_| format!("`{text}` is no number"))?;
        if value.is_finite() {
            Ok(value)
        } else {
            Err(format!("`{text}` is not finite"))
        }
    };
    let position =
        Position::new(number(latitude)?, number(longitude)?).map_err(|error| error.to_string())?;
    let constants = match (kind, rest) {
        ("P", [datum, mean_level, source, waves]) => {
            let list = lists.iter().find(|(name, _)| name == source);
            let (_, list) = list.ok_or_else(|| format!("no list of waves for `{source}`"))?;
            let mut harmonics = Vec::new();
            for (wave, constituent) in waves.split(';').zip(list) {
                let (Some((amplitude, phase)), Some(constituent)) =
                    (wave.split_once(','), constituent)
                else {
                    continue;
                };
                harmonics.push(Harmonic {
                    constituent,
                    amplitude: Metres::of(number(amplitude)? * 1e-4),
                    phase: number(phase)? * 0.1,
                });
            }
            Constants::Own {
                datum: (*datum).to_owned(),
                mean_level: Metres::of(number(mean_level)?),
                harmonics,
            }
        }
        ("S", [standard, high_minutes, low_minutes, high, low]) => {
            let height = |text: &str| match text.split_at_checked(1) {
                Some(("*", ratio)) => number(ratio).map(HeightDifference::Ratio),
                Some(("+", metres)) => number(metres).map(Metres::of).map(HeightDifference::Add),
                Some(_) | None => Err(format!("`{text}` is no difference in height")),
            };
            Constants::Differences {
                standard: (*standard).to_owned(),
                differences: Differences {
                    high_minutes: number(high_minutes)?,
                    low_minutes: number(low_minutes)?,
                    high: height(high)?,
                    low: height(low)?,
                },
            }
        }
        _ => return Err(format!("`{kind}` with {} fields", rest.len())),
    };
    let source = match id.split_once('/').map(|(source, _)| source) {
        Some("noaa") => Source::Noaa,
        Some("ticon") => Source::Ticon,
        Some("kartverket") => Source::Kartverket,
        Some(_) | None => return Err(format!("`{id}` names no source")),
    };
    Ok(Station {
        id: id.to_owned(),
        name: name.to_owned(),
        place: place.to_owned(),
        position,
        source,
        constants,
    })
}

/// A quarter of the square of the chord of the unit sphere: it grows with the distance.
fn haversine(a: Position, b: Position) -> f64 {
    let half = |degrees: f64| (degrees.to_radians() / 2.0).sin().powi(2);
    half(b.latitude() - a.latitude())
        + a.latitude().to_radians().cos()
            * b.latitude().to_radians().cos()
            * half(b.longitude() - a.longitude())
}

const BUNDLED: &[u8] = include_bytes!("../../deploy/tides/stations.gz");
/// Ten times the actual size: a broken file must not fill the memory.
const MOST_BYTES: u64 = 20 << 20;
/// From this distance on a station counts as far: ten nautical miles (chosen).
pub const FAR: Metres = Metres::of(18_520.0);
/// A neighbour counts when it is no farther than this multiple of the station's distance (chosen).
pub const ABOUT_AS_NEAR: f64 = 2.0;
/// A neighbour within five nautical miles always counts: about the length of the narrows between two tides
/// (chosen).
const LEAST_REACH: Metres = Metres::of(9260.0);
/// The main tide comes this much earlier or later (chosen).
pub const OTHER_HOURS: f64 = 0.5;
/// The range is this many times as large or small (chosen).
pub const OTHER_RATIO: f64 = 1.25;
/// Amplitudes below 5 cm are not compared.
const LEAST_AMPLITUDE: f64 = 0.05;
const NEIGHBOURS: usize = 12;
/// The order on the sphere may differ from the order on the ellipsoid by a place or two.
const SPARE: usize = 8;
const SHOWN: usize = 4;

#[cfg(test)]
#[path = "stations/tests.rs"]
mod tests;
