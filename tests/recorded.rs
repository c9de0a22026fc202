//! Real recordings through the watch: receivers that stood still from ten minutes to a day, and boats
//! that lay at their berths in wind. Each is converted to Signal K deltas on the fly and replayed
//! with a mark at its start. `tests/recorded.chk` has the results, one row a run.
//!
//! A receiver that stands still is a boat that does not move at all: every alarm about her anchor is false, and one
//! about the position is right only if the fixes were unusable. A false alarm about the anchor is excused only under a
//! *bad sky*, and only if the position or the link was also reported lost. Whether the sky was bad is a property of the
//! recording, not of the watch's output: a fix whose horizontal dilution is at most [`GOOD_DILUTION`] covers less than
//! half of its time (see [`Converted::good_sky`]). *Slack*: the mark lies under the bow and 40 m of rode are out, so
//! she may wander 38 m. *Taut*: the mark lies a whole reach away to one side, so that every metre outward is a metre
//! beyond the reach; four runs, one for each side, are added up. That is harder than any night: a boat lies at the end
//! of her reach only in a gale.
//!
//! The recordings are not part of the project (see `reference.rs`, and `SOURCE.txt` beside them for origin and
//! licence), but one receiver is, in `tests/data/gnss`. `WINDRODE_REBUILD_CHK=1 tests/run recorded` writes the
//! table again; the commit says for each row why it changed.

#![expect(clippy::panic, reason = "a folder with other files fails the test")]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, BufReader, Read as _};
use std::path::{Path, PathBuf};

use serde_json::{Value, json};
use windrode::alert::hazard::Hazard;
use windrode::boat::BoatFigures;
use windrode::geodesy::Position;
use windrode::replay::{Listener, ReplayOptions, replay, unpacked};
use windrode::time::Timestamp;
use windrode::units::{Bearing, Metres};
use windrode::watch::messages::{Event, EventKind, LetGo};
use windrode::watch::settings::WatchSettings;
use windrode::watch::state::WatchState;

use crate::reference::{extract, folder};

/// The table, and one rule for every row: a boat that stands still does not drag, except under a
/// bad sky, and then the position was reported lost.
#[test]
#[ignore = "needs the reference data"]
fn real_recordings_end_as_the_table_says() {
    let receivers = folder("gnss");
    let mut table = HEAD.to_owned();
    let mut false_alarms = Vec::new();
    let mut good_skies = 0;
    for file in recordings(&receivers)
        .iter()
        .chain(&recordings(&folder("boatlogs")))
    {
        let converted = converted(file);
        let still = file.starts_with(&receivers);
        good_skies += u32::from(still && converted.good_sky >= 0.5);
        let name = file.file_stem().unwrap().to_string_lossy();
        let name = name.trim_end_matches(".csv");
        for (lie, tally) in slack_and_taut(&converted) {
            table += &row(name, lie, &tally);
            let excused = converted.good_sky < 0.5 && tally.said_blind() > 0;
            if still && tally.about_anchor() > 0 && !excused {
                false_alarms.push(format!("{name} {lie}: {}", tally.about_anchor()));
            }
        }
    }
    let check = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/recorded.chk");
    if std::env::var_os("WINDRODE_REBUILD_CHK").is_some() {
        fs::write(&check, &table).unwrap();
    }
    let expected = fs::read_to_string(&check).unwrap();
    assert_eq!(table, expected);
    assert_eq!(false_alarms, Vec::<String>::new());
    // Few may use the excuse: one with long gaps and one with a median dilution of 3.8.
    assert_eq!(good_skies, 6);
}

/// The one receiver in every clone: a day of a GPS receiver's own positions.
#[test]
fn a_receiver_that_stood_still_for_a_day_raises_no_alarm_about_the_anchor() {
    let files = recordings(&extract("gnss"));
    let [file] = &files[..] else {
        panic!("one recording is expected: {files:?}")
    };
    let converted = converted(file);
    assert!(converted.good_sky > 0.99, "{}", converted.good_sky);
    for (lie, tally) in slack_and_taut(&converted) {
        assert_eq!(tally.about_anchor(), 0, "{lie}");
        assert_eq!(tally.said_blind(), 0, "{lie}");
        assert!(tally.hours > 23.9, "{lie}: {} h", tally.hours);
        // The first fixes are looked at before they are believed; taut is four runs.
        assert!(tally.pictures - tally.seen < 100, "{lie}: {tally:?}");
    }
}

/// Once with the mark under the bow; four times with it a reach away, added up.
fn slack_and_taut(converted: &Converted) -> [(&'static str, Tally); 2] {
    let mut taut = Tally::default();
    for lie in TAUT {
        taut.add(&run(converted, lie));
    }
    [("slack", run(converted, Lie::Slack)), ("taut", taut)]
}

const HEAD: &str = "\
# Recordings of receivers and boats that did not move, through the watch: see tests/recorded.rs.
# hours; usable: share of the seconds with a usable fix; then how often each alarm was raised, `position` with
# `dataLink`; blind: minutes that it stood; most: the greatest probability of a drag and metres moved.
recording                                        lie    hours usable drag swing position blind  most
";

/// Where the mark lies relative to the boat.
#[derive(Clone, Copy, Debug)]
enum Lie {
    Slack,
    /// Towards this side, degrees.
    Taut(f64),
}

const TAUT: [Lie; 4] = [
    Lie::Taut(0.0),
    Lie::Taut(90.0),
    Lie::Taut(180.0),
    Lie::Taut(270.0),
];

/// The result of a run.
#[derive(Debug, Default)]
struct Tally {
    raised: BTreeMap<Hazard, u32>,
    pictures: u64,
    seen: u64,
    blind: u64,
    blind_since: Option<Timestamp>,
    probability: f64,
    moved: f64,
    hours: f64,
}

impl Tally {
    fn raised(&self, hazard: Hazard) -> u32 {
        self.raised.get(&hazard).copied().unwrap_or(0)
    }

    /// Without a usable position; if the recording has nothing else, its silence is the server's.
    fn said_blind(&self) -> u32 {
        self.raised(Hazard::Position) + self.raised(Hazard::DataLink)
    }

    fn about_anchor(&self) -> u32 {
        self.raised(Hazard::Dragging) + self.raised(Hazard::SwingExceeded)
    }

    fn add(&mut self, other: &Self) {
        for (hazard, count) in &other.raised {
            *self.raised.entry(*hazard).or_default() += count;
        }
        self.pictures += other.pictures;
        self.seen += other.seen;
        self.blind += other.blind;
        self.probability = self.probability.max(other.probability);
        self.moved = self.moved.max(other.moved);
        self.hours = other.hours;
    }

    fn close(&mut self, at: Timestamp) {
        if let Some(since) = self.blind_since.take() {
            self.blind += at.millis_since(since).unsigned_abs() / 1000;
        }
    }
}

impl Listener for Tally {
    fn event(&mut self, event: &Event) -> io::Result<()> {
        let blind = matches!(event.hazard, Some(Hazard::Position | Hazard::DataLink));
        // A drag that is only likely is shown without sound: it is not an alarm.
        let only_likely = event.hazard == Some(Hazard::Dragging) && !event.is_drag_alarm();
        match event.event {
            EventKind::Raised if only_likely => {}
            EventKind::Raised => {
                *self.raised.entry(event.hazard.unwrap()).or_default() += 1;
                if blind {
                    self.blind_since.get_or_insert(event.time);
                }
            }
            EventKind::Cleared if blind => self.close(event.time),
            _ => {}
        }
        Ok(())
    }

    fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()> {
        Err(io::Error::other(format!("line {number}: {why}")))
    }

    fn wants_pictures(&self) -> bool {
        true
    }

    fn picture(&mut self, picture: &WatchState) {
        self.pictures += 1;
        self.seen += u64::from(picture.fix_uncertainty.is_some());
        self.probability = self
            .probability
            .max(picture.drag_probability.unwrap_or(0.0));
        self.moved = self
            .moved
            .max(picture.anchor_moved.map_or(0.0, Metres::get));
    }
}

/// The recording as Signal K deltas, and its first fix.
struct Converted {
    lines: String,
    first: (Timestamp, Position),
    last: Timestamp,
    figures: BoatFigures,
    /// The share of its time covered by a good fix: one not older than two of the receiver's own intervals (the
    /// median between two rows), and with a dilution of at most [`GOOD_DILUTION`] if that is reported.
    good_sky: f64,
}

fn row(name: &str, lie: &str, tally: &Tally) -> String {
    format!(
        "{name:<48} {lie:<6} {:>5.1} {:>5.0}% {:>4} {:>5} {:>8} {:>5.1} {:>5.2} {:>3.0} m\n",
        tally.hours,
        100.0 * tally.seen as f64 / tally.pictures.max(1) as f64,
        tally.raised(Hazard::Dragging),
        tally.raised(Hazard::SwingExceeded),
        tally.said_blind(),
        tally.blind as f64 / 60.0,
        tally.probability,
        tally.moved,
    )
}

fn run(converted: &Converted, lie: Lie) -> Tally {
    let (start, first) = converted.first;
    // 40 m of rode in 8 m of water, the roller 1.2 m up, 2 % stretched: sqrt(40.8² - 9.2²).
    let reach = Metres::of(39.75);
    let position = match lie {
        Lie::Slack => first,
        Lie::Taut(side) => first.moved(Bearing::from_degrees(side), reach),
    };
    let options = ReplayOptions {
        settings: WatchSettings {
            boat: converted.figures,
            ..WatchSettings::default()
        },
        let_go: Some((
            start,
            LetGo {
                rode: Metres::new(40.0),
                depth: Metres::new(8.0),
                position: Some(position),
                ..LetGo::default()
            },
        )),
        own: Some("vessels.self".to_owned()),
        ..ReplayOptions::default()
    };
    let mut tally = Tally::default();
    replay(
        io::Cursor::new(converted.lines.clone()),
        &options,
        &mut tally,
    )
    .unwrap();
    tally.close(converted.last);
    tally.hours = converted.last.millis_since(start) as f64 / 3.6e6;
    tally
}

/// Antenna, roller and centre are one point: a bare receiver has no boat around it.
fn bare() -> BoatFigures {
    BoatFigures {
        length: Some(Metres::of(11.0)),
        roller_height: Some(Metres::of(1.2)),
        roller_ahead: Some(Metres::ZERO),
        antenna_from_bow: Some(Metres::ZERO),
        antenna_from_centre: Some(Metres::ZERO),
        draught: Some(Metres::of(1.9)),
        transducer_depth: Some(Metres::of(0.5)),
        ..BoatFigures::default()
    }
}

/// A racing sloop of 10 m with her antenna on the taffrail (its real place is not documented).
fn sloop() -> BoatFigures {
    BoatFigures {
        length: Some(Metres::of(10.0)),
        antenna_from_bow: Some(Metres::of(9.0)),
        ..bare()
    }
}

fn converted(file: &Path) -> Converted {
    let mut text = String::new();
    let packed = BufReader::new(fs::File::open(file).unwrap());
    unpacked(packed).unwrap().read_to_string(&mut text).unwrap();
    let mut rows = text.lines();
    let names: Vec<&str> = rows.next().unwrap().split(',').collect();
    let boat = names.contains(&"sog_kn");
    let mut lines = String::new();
    let (mut first, mut last) = (None, None);
    let mut fixes = Vec::new();
    for row in rows {
        let cells: BTreeMap<&str, &str> = names.iter().copied().zip(row.split(',')).collect();
        let number = |name: &str| cells.get(name).and_then(|cell| cell.parse::<f64>().ok());
        let stamp: Timestamp = cells["t"].parse().unwrap();
        let place = number("lat").zip(number("lon"));
        let place = place.and_then(|(lat, lon)| Position::new(lat, lon).ok());
        if let Some(place) = place {
            first.get_or_insert((stamp, place));
        }
        let diluted = number("hdop").is_some_and(|dilution| dilution > GOOD_DILUTION);
        fixes.push((stamp, place.is_some() && !diluted));
        last = Some(stamp);
        let mut values: Vec<Value> = Vec::new();
        let mut tell = |path: &str, value: Option<Value>| {
            if let Some(value) = value {
                values.push(json!({"path": path, "value": value}));
            }
        };
        let plain = |value: Option<f64>, factor: f64| value.map(|value| json!(value * factor));
        let radians = |value: Option<f64>| {
            // Angles from the bow are -π to π, bearings 0 to 2π.
            value.map(f64::to_radians)
        };
        let bearing = |name: &str| radians(number(name)).map(|v| json!(v));
        let from_bow = |name: &str| {
            radians(number(name)).map(|v| {
                let turn = std::f64::consts::TAU;
                json!(if v > turn / 2.0 { v - turn } else { v })
            })
        };
        tell(
            "navigation.gnss.satellites",
            number("sats").map(|n| json!(n)),
        );
        tell(
            "navigation.gnss.horizontalDilution",
            plain(number("hdop"), 1.0),
        );
        if boat {
            tell("navigation.speedOverGround", plain(number("sog_kn"), KNOT));
            tell("navigation.courseOverGroundTrue", bearing("cog"));
            tell("navigation.headingMagnetic", bearing("hdg_mag"));
            tell("navigation.magneticVariation", Some(json!(VARIATION)));
            tell(
                "navigation.speedThroughWater",
                plain(number("stw_kn"), KNOT),
            );
            tell(
                "environment.depth.belowTransducer",
                plain(number("depth_m"), 1.0),
            );
            tell(
                "environment.wind.speedApparent",
                plain(number("aws_kn"), KNOT),
            );
            tell("environment.wind.angleApparent", from_bow("awa"));
            tell("environment.wind.speedTrue", plain(number("tws_kn"), KNOT));
            tell("environment.wind.angleTrueWater", from_bow("twa"));
        }
        tell("navigation.position", place.map(|place| json!(place)));
        let delta = json!({
            "context": "vessels.self",
            "updates": [{"$source": "recorded.1", "timestamp": stamp, "values": values}],
        });
        writeln!(lines, "{delta}").unwrap();
    }
    Converted {
        lines,
        first: first.unwrap(),
        last: last.unwrap(),
        figures: if boat { sloop() } else { bare() },
        good_sky: good_sky(&fixes),
    }
}

/// See [`Converted::good_sky`]; each row has its stamp and whether its fix is good.
fn good_sky(fixes: &[(Timestamp, bool)]) -> f64 {
    let intervals = fixes
        .windows(2)
        .map(|pair| pair[1].0.millis_since(pair[0].0));
    let mut sorted: Vec<i64> = intervals.clone().collect();
    sorted.sort_unstable();
    let most = 2 * sorted[sorted.len() / 2];
    let good: i64 = intervals
        .zip(fixes)
        .map(|(interval, (_, good))| if *good { interval.min(most) } else { 0 })
        .sum();
    good as f64 / sorted.iter().sum::<i64>() as f64
}

fn recordings(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| {
            let name = path.to_string_lossy();
            name.ends_with(".csv") || name.ends_with(".csv.gz")
        })
        .collect();
    files.sort();
    files
}

const KNOT: f64 = 1852.0 / 3600.0;
/// On Lake Geneva in 2014, radians east; from memory, 1.7°.
const VARIATION: f64 = 0.03;
/// Up to here a geometry is called good or better in the usual ratings of dilution (R. B. Langley, "Dilution of precision",
/// GPS World, May 1999, from memory).
const GOOD_DILUTION: f64 = 2.0;
