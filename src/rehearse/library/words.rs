//! A night as written: TOML, quantities with their units, no unknown keys.
//!
//! An error for a wrong value gives its line and what to write instead. Ranges that no boat or sea
//! exceeds keep a misprint from making a night that cannot be held.

use std::borrow::Cow;
use std::ops::RangeInclusive;
use std::time::Duration;

use serde::Deserialize;
use serde::de::{Deserializer, Error as _};

use super::NightError;
use super::script::{Act, Deed, Drags, Happening, Must, MustNot, Script, Window};
use crate::alert::hazard::{Hazard, Priority};
use crate::geodesy::Offset;
use crate::rehearse::boat::BoatSettings;
use crate::rehearse::fleet::{Class, VesselSettings};
use crate::rehearse::sea::{Constituent, SeaSettings, Seabed, WindKnot};
use crate::rehearse::sensors::{Condition, Instrument};
use crate::units::{Angle, Bearing, Metres, Speed, parse_duration, parse_length, parse_speed};
use crate::watch::messages::EventKind;

/// Reads a night.
pub(super) fn read(name: &str, file: &str, text: &str) -> Result<Script, NightError> {
    let wrong = |span: Option<std::ops::Range<usize>>, why: &str| {
        let start = span.map_or(0, |span| span.start.min(text.len()));
        let line = text
            .get(..start)
            .map_or(0, |before| before.matches('\n').count());
        NightError::Wrong {
            file: file.to_owned(),
            line: line + 1,
            why: why.trim().replace('\n', ", "),
            text: text.lines().nth(line).unwrap_or_default().trim().to_owned(),
        }
    };
    let night: Night =
        toml::from_str(text).map_err(|error| wrong(error.span(), error.message()))?;
    night
        .into_script(name)
        .map_err(|(span, why)| wrong(span, &why))
}

type Fault = (Option<std::ops::Range<usize>>, String);

/// The whole file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Night {
    title: String,
    story: String,
    #[serde(default)]
    assumptions: Vec<String>,
    length: toml::Spanned<Written<Duration>>,
    water: Water,
    boat: BoatWords,
    wind: toml::Spanned<Vec<WindWords>>,
    #[serde(default)]
    gusts: Option<Gusts>,
    #[serde(default)]
    neighbours: Vec<NeighbourWords>,
    #[serde(default)]
    happens: Vec<toml::Spanned<HappeningWords>>,
    #[serde(default)]
    must: Vec<toml::Spanned<MustWords>>,
    #[serde(default)]
    must_not: Vec<toml::Spanned<MustWords>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Water {
    /// Depth at the berth, below chart datum.
    depth: Written<Metres>,
    #[serde(default)]
    slope: Option<f64>,
    #[serde(default)]
    deepens_to: Option<Written<Bearing>>,
    #[serde(default)]
    tide: Option<TideWords>,
    #[serde(default)]
    stream: Option<StreamWords>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TideWords {
    mean: Written<Metres>,
    range: Written<Metres>,
    high_water: Written<Duration>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StreamWords {
    rate: Written<Speed>,
    flood_to: Written<Bearing>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BoatWords {
    rode: Written<Metres>,
    #[serde(default = "yes")]
    marked: bool,
    #[serde(default)]
    without: Vec<Instrument>,
}

const fn yes() -> bool {
    true
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WindWords {
    at: Written<Duration>,
    from: Written<Bearing>,
    speed: Written<Speed>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Gusts {
    /// Standard deviation, as a share of the mean.
    spread: f64,
    last: Written<Duration>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NeighbourWords {
    name: String,
    bearing: Written<Bearing>,
    distance: Written<Metres>,
    rode: Written<Metres>,
    length: Written<Metres>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HappeningWords {
    at: Written<Duration>,
    say: String,
    anchor_drags: Option<DragWords>,
    anchor_holds: Option<bool>,
    instruments: Option<InstrumentsWords>,
    fix_jumps: Option<JumpWords>,
    server: Option<Standing>,
    phones: Option<Standing>,
    neighbour_drags: Option<NeighbourDragWords>,
    neighbour_leaves: Option<String>,
    crew: Option<Act>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct DragWords {
    rate: Written<Speed>,
    moves: Option<Written<Duration>>,
    rests: Option<Written<Duration>>,
    stops_after: Option<Written<Metres>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct InstrumentsWords {
    names: Vec<Instrument>,
    are: Condition,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct JumpWords {
    by: Written<Metres>,
    towards: Written<Bearing>,
    lasts: Written<Duration>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NeighbourDragWords {
    name: String,
    rate: Written<Speed>,
}

#[derive(Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Standing {
    Down,
    Up,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MustWords {
    hazard: Hazard,
    #[serde(default)]
    event: Option<EventWord>,
    #[serde(default)]
    priority: Option<Priority>,
    #[serde(default)]
    from: Option<Written<Duration>>,
    #[serde(default)]
    to: Option<Written<Duration>>,
    #[serde(default)]
    moved: Option<Written<Metres>>,
    #[serde(default)]
    shows: Option<String>,
    #[serde(default)]
    known: Option<String>,
}

#[derive(Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
enum EventWord {
    Raised,
    Cleared,
}

impl Night {
    fn into_script(self, name: &str) -> Result<Script, Fault> {
        let at_length = self.length.span();
        let length = self.length.into_inner().0;
        within(length, "the length of a night", LENGTHS).map_err(|why| (Some(at_length), why))?;
        let at_wind = self.wind.span();
        let wind: Vec<WindKnot> = self
            .wind
            .into_inner()
            .into_iter()
            .map(|knot| WindKnot {
                at: knot.at.0,
                direction: knot.from.0,
                speed: knot.speed.0,
            })
            .collect();
        let rises = wind
            .windows(2)
            .all(|pair| matches!(pair, [a, b] if a.at < b.at));
        if wind.is_empty() || !rises {
            let why = "the wind must have an entry, and each must be later than the one before it";
            return Err((Some(at_wind), why.to_owned()));
        }
        let neighbours: Vec<VesselSettings> = (0..).zip(self.neighbours).map(neighbour).collect();
        let mut happenings = Vec::with_capacity(self.happens.len());
        for happening in self.happens {
            let span = happening.span();
            let read = happening.into_inner().into_happening(&neighbours, length);
            happenings.push(read.map_err(|why| (Some(span), why))?);
        }
        happenings.sort_by_key(|happening: &Happening| happening.at);
        let musts = |all: Vec<toml::Spanned<MustWords>>| -> Result<Vec<Must>, Fault> {
            all.into_iter()
                .map(|must| {
                    let span = must.span();
                    must.into_inner()
                        .into_must(length)
                        .map_err(|why| (Some(span), why))
                })
                .collect()
        };
        let must = musts(self.must)?;
        let must_not = musts(self.must_not)?
            .into_iter()
            .map(|not| MustNot {
                hazard: not.hazard,
                priority: not.priority,
                between: not.between,
                known: not.known,
            })
            .collect();
        let high_water = self.water.tide.as_ref().map(|tide| tide.high_water.0);
        Ok(Script {
            name: name.to_owned(),
            title: self.title,
            story: self.story.trim().to_owned(),
            assumptions: self.assumptions,
            length,
            sea: sea(self.water, wind, self.gusts),
            high_water,
            boat: BoatSettings::default(),
            rode: self.boat.rode.0,
            marked: self.boat.marked,
            without: self.boat.without,
            neighbours,
            happenings,
            must,
            must_not,
        })
    }
}

fn sea(water: Water, wind: Vec<WindKnot>, gusts: Option<Gusts>) -> SeaSettings {
    let usual = SeaSettings::default();
    let tide = water.tide.as_ref();
    let stream = water.stream.as_ref();
    SeaSettings {
        wind,
        gust: gusts
            .as_ref()
            .map_or(usual.gust, |gusts| gusts.spread.clamp(0.0, 0.5)),
        gust_time: gusts.map_or(usual.gust_time, |gusts| gusts.last.0),
        mean_level: tide.map_or(Metres::ZERO, |tide| tide.mean.0),
        m2: tide.map_or_else(Constituent::default, |tide| Constituent {
            amplitude: tide.range.0 * 0.5,
            phase: Angle::from_degrees(
                M2_DEGREES_AN_HOUR * tide.high_water.0.as_secs_f64() / 3600.0,
            ),
        }),
        stream: stream.map_or(Speed::ZERO, |stream| stream.rate.0),
        flood: stream.map_or(usual.flood, |stream| stream.flood_to.0),
        seabed: Seabed {
            charted: water.depth.0,
            deepens_towards: water
                .deepens_to
                .map_or(usual.seabed.deepens_towards, |to| to.0),
            slope: water.slope.unwrap_or(0.0).clamp(0.0, 0.2),
        },
        ..usual
    }
}

fn neighbour((place, words): (u32, NeighbourWords)) -> VesselSettings {
    VesselSettings {
        mmsi: FIRST_MMSI + place,
        name: Cow::Owned(words.name),
        class: Class::B,
        boat: BoatSettings {
            length: words.length.0,
            ..BoatSettings::default()
        },
        beam: words.length.0 * (1.0 / 3.0),
        antenna_from_bow: words.length.0 * 0.8,
        anchor: Offset::polar(words.bearing.0, words.distance.0),
        rode: words.rode.0,
    }
}

impl HappeningWords {
    fn into_happening(
        self,
        neighbours: &[VesselSettings],
        length: Duration,
    ) -> Result<Happening, String> {
        if self.at.0 >= length {
            return Err("it happens after the end of the night; make `length` longer".to_owned());
        }
        let known = |name: &String| {
            let known: Vec<&str> = neighbours.iter().map(|her| &*her.name).collect();
            if known.contains(&name.as_str()) {
                return Ok(());
            }
            Err(format!(
                "`{name}` is none of the neighbours; they are: {}",
                known.join(", ")
            ))
        };
        let mut deeds = Vec::new();
        if let Some(drags) = self.anchor_drags {
            let jerks = match (drags.moves, drags.rests) {
                (Some(moves), Some(rests)) if !moves.0.is_zero() => Some((moves.0, rests.0)),
                (None, None) => None,
                _ => return Err("`moves` and `rests` go together".to_owned()),
            };
            deeds.push(Deed::AnchorDrags(Drags {
                rate: drags.rate.0,
                jerks,
                stops_after: drags.stops_after.map(|after| after.0),
            }));
        }
        if let Some(holds) = self.anchor_holds {
            if !holds {
                return Err("`anchor_holds` is `true` or is left out".to_owned());
            }
            deeds.push(Deed::AnchorHolds);
        }
        if let Some(words) = self.instruments {
            deeds.push(Deed::Instruments(words.names, words.are));
        }
        if let Some(jump) = self.fix_jumps {
            let shift = Offset::polar(jump.towards.0, jump.by.0);
            deeds.push(Deed::FixJumps(shift, jump.lasts.0));
        }
        deeds.extend(self.server.map(|how| Deed::Server(how == Standing::Up)));
        deeds.extend(self.phones.map(|how| Deed::Phones(how == Standing::Up)));
        if let Some(drags) = self.neighbour_drags {
            known(&drags.name)?;
            deeds.push(Deed::NeighbourDrags(drags.name, drags.rate.0));
        }
        if let Some(name) = self.neighbour_leaves {
            known(&name)?;
            deeds.push(Deed::NeighbourLeaves(name));
        }
        deeds.extend(self.crew.map(Deed::Crew));
        if deeds.len() > 1 {
            return Err(
                "only one thing can happen in an entry; write another `[[happens]]`".to_owned(),
            );
        }
        Ok(Happening {
            at: self.at.0,
            say: self.say,
            deed: deeds.pop(),
        })
    }
}

impl MustWords {
    fn into_must(self, length: Duration) -> Result<Must, String> {
        let from = self.from.map_or(Duration::ZERO, |from| from.0);
        let to = self.to.map_or(length, |to| to.0);
        if from >= to || to > length {
            return Err(
                "`from` must come before `to`, and `to` not after the end of the night".to_owned(),
            );
        }
        Ok(Must {
            hazard: self.hazard,
            event: match self.event {
                None | Some(EventWord::Raised) => EventKind::Raised,
                Some(EventWord::Cleared) => EventKind::Cleared,
            },
            priority: self.priority,
            between: Window { from, to },
            moved: self.moved.map(|moved| moved.0),
            shows: self.shows,
            known: self.known,
        })
    }
}

/// A quantity as people write it, in quotes and with its unit.
struct Written<T>(T);

impl<'de, T: Quantity> Deserialize<'de> for Written<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        T::read(&text).map(Self).map_err(D::Error::custom)
    }
}

trait Quantity: Sized {
    fn read(text: &str) -> Result<Self, String>;
}

impl Quantity for Metres {
    fn read(text: &str) -> Result<Self, String> {
        let length = parse_length(text).map_err(|error| error.to_string())?;
        let most = 0.0..=2000.0;
        if most.contains(&length.get()) {
            return Ok(length);
        }
        Err(format!("`{text}` is not between 0 m and 2000 m"))
    }
}

impl Quantity for Speed {
    fn read(text: &str) -> Result<Self, String> {
        let speed = parse_speed(text).map_err(|error| error.to_string())?;
        if (0.0..=60.0).contains(&speed.get()) {
            return Ok(speed);
        }
        Err(format!("`{text}` is not between 0 m/s and 60 m/s"))
    }
}

impl Quantity for Duration {
    fn read(text: &str) -> Result<Self, String> {
        let duration = parse_duration(text).map_err(|error| error.to_string())?;
        within(duration, "a time", Self::ZERO..=*LENGTHS.end())?;
        Ok(duration)
    }
}

impl Quantity for Bearing {
    /// `225°` or `225deg`, true.
    fn read(text: &str) -> Result<Self, String> {
        let number = text.trim();
        let number = number
            .strip_suffix('°')
            .or_else(|| number.strip_suffix("deg"));
        number
            .and_then(|number| number.trim().parse().ok())
            .filter(|degrees| (0.0..=360.0).contains(degrees))
            .map(Self::from_degrees)
            .ok_or_else(|| format!("`{text}` is no bearing; write degrees true, such as `225°`"))
    }
}

fn within(time: Duration, what: &str, range: RangeInclusive<Duration>) -> Result<(), String> {
    if range.contains(&time) {
        return Ok(());
    }
    let minutes = |time: &Duration| time.as_secs() / 60;
    Err(format!(
        "{what} lies between {} min and {} min",
        minutes(range.start()),
        minutes(range.end())
    ))
}

const LENGTHS: RangeInclusive<Duration> = Duration::from_mins(10)..=Duration::from_hours(24);
/// Schureman (1958), table 2.
const M2_DEGREES_AN_HOUR: f64 = 28.984_104_2;
/// A country code whose numbers nobody has.
const FIRST_MMSI: u32 = 230_099_901;
