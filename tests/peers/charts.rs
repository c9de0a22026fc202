//! Room to swing on a real chart, judged by shapely and pyproj: 500 random circles, sectors among them, and the five
//! cases that must be distinguished. The program imports the cell its usual way, through GDAL, with its updates.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use serde_json::{Value, json};
use tempfile::TempDir;
use windrode::boat::{Boat, BoatFigures};
use windrode::chart::class::Class;
use windrode::chart::clearance::{Clearance, Finding, Needs, Room, SEARCHED_BEYOND};
use windrode::chart::codes::{Confidence, Datum, Restriction, Sureness, WaterLevel};
use windrode::chart::fetch::Ends;
use windrode::chart::object::Says;
use windrode::chart::shape::Extent;
use windrode::chartroom::ChartRoom;
use windrode::chartroom::import::{self, Said, Source};
use windrode::geodesy::Position;
use windrode::observation::{Fact, Label, Report, Subject};
use windrode::room::search::{Area, Candidate, Wishes, search};
use windrode::speech::{Language, Sentence, Wording};
use windrode::tackle::plan::{Holding, PlanInputs, Scopes};
use windrode::tackle::strength::GroundTackle;
use windrode::tackle::water::{Below, Sounding};
use windrode::time::{Now, Tick};
use windrode::units::{Bearing, LengthUnit, Metres};
use windrode::watch::berth::{BerthOrder, BerthWishes, Planned};
use windrode::watch::charted::ChartNews;
use windrode::watch::engine::Watchkeeper;
use windrode::watch::messages::{By, Command as Order, Input, Outcome, Output};
use windrode::watch::saved::Saved;
use windrode::watch::settings::WatchSettings;

use super::super::reference;
use super::{folder, installed};

mod berths;
mod searches;

fn cell() -> PathBuf {
    reference::folder("charts").join("ENC_ROOT/US4MD81M/US4MD81M.000")
}

/// Runs this script, in which the geometry libraries answer each line.
pub(super) fn libraries(script: &str, arguments: &[&str], requests: &[Value]) -> Vec<Value> {
    let mut child = Command::new("python3")
        .arg(folder().join(script))
        .args(arguments)
        .env("WINDRODE_PEERS", installed())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the geometry libraries want python3; install it with: tests/peers/install");
    let lines = requests.iter().fold(String::new(), |mut lines, request| {
        let _ = writeln!(lines, "{request}");
        lines
    });
    let mut input = child.stdin.take().unwrap();
    // It answers while it reads; another thread keeps both pipes from filling up.
    let writer = std::thread::spawn(move || input.write_all(lines.as_bytes()));
    let output = child.wait_with_output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    writer.join().unwrap().unwrap();
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// The real cell, imported and stored; and where it has cables, restricted areas and dangers of unknown depth.
fn kept(dir: &TempDir) -> (ChartRoom, Vec<Position>) {
    let said = Said::default();
    let sources = import::sources(&cell(), &said).unwrap();
    assert_eq!(sources, [Source::S57(cell())]);
    let (cell, faults) = import::read(&sources[0], &said)
        .unwrap_or_else(|error| panic!("{error}; or with: tests/peers/install"));
    assert_eq!(faults.total(), 0, "{:?}", faults.lines());
    // As SOURCE.txt in the folder says: 1:80 000, edition 31, update 3, mean lower low water.
    let about = &cell.about;
    assert_eq!(
        (about.name.as_str(), about.scale),
        ("US4MD81M", Some(80_000))
    );
    assert_eq!(
        (about.edition.as_deref(), about.update.as_deref()),
        (Some("31"), Some("3"))
    );
    assert_eq!(
        about
            .datum
            .map(|datum| datum.told().words(&Wording::default()))
            .as_deref(),
        Some("mean lower low water")
    );
    let soundings: std::collections::BTreeSet<u32> = cell
        .pieces
        .iter()
        .filter(|piece| piece.object.class == Class::Sounding)
        .map(|piece| piece.feature)
        .collect();
    assert_eq!(soundings.len(), 3326);
    let room = ChartRoom::of(dir.path());
    room.add(&cell).unwrap();
    let odd = cell
        .pieces
        .iter()
        .filter(|piece| matches!(piece.object.says, Says::Rule | Says::Over(None)))
        .map(|piece| {
            let [longitude, latitude] = piece.shape.spots().next().unwrap().degrees();
            Position::new(latitude, longitude).unwrap()
        })
        .collect();
    (room, odd)
}

struct Asked {
    centre: Position,
    radius: f64,
    between: Option<(f64, f64)>,
    needs: Needs,
}

impl Asked {
    fn request(&self) -> Value {
        let mut request = json!({
            "latitude": self.centre.latitude(), "longitude": self.centre.longitude(), "radius": self.radius,
            "needed": self.needs.depth(), "searched": self.radius + SEARCHED_BEYOND.get(),
        });
        if let Some((from, to)) = self.between {
            request["from"] = json!(from);
            request["to"] = json!(to);
        }
        request
    }

    fn answer(&self, room: &ChartRoom) -> Clearance {
        let mut circle = Room::circle(self.centre, Metres::of(self.radius)).unwrap();
        if let Some((from, to)) = self.between {
            circle = circle
                .between(Bearing::from_degrees(from), Bearing::from_degrees(to))
                .unwrap();
        }
        let boxes = Extent::about(self.centre, self.radius + SEARCHED_BEYOND.get());
        room.load(&boxes).unwrap().clearance(circle, &self.needs)
    }
}

fn needs(lowest: f64, now: Option<f64>) -> Needs {
    Needs {
        draught: Metres::of(1.9),
        margin: Metres::of(0.5),
        lowest: Metres::of(lowest),
        now: now.map(Metres::of),
        say: LengthUnit::Metres,
        language: Language::default(),
    }
}

type Told = fn(u8) -> Sentence;

fn restriction(code: &Value) -> String {
    let code = u8::try_from(code.as_u64().unwrap()).unwrap();
    Restriction(code).told().words(&Wording::default())
}

/// Compares our answers with theirs. If a circle touches an object by less than the libraries' polygon of 2880 sides
/// can resolve (a millimetre), either answer is accepted; no random circle of the cell comes near that.
#[track_caller]
fn assert_same(name: &str, ours: &Clearance, theirs: &Value) {
    let near = |what: &str, ours: f64, theirs: f64, by: f64| {
        assert!(
            (ours - theirs).abs() <= by,
            "{name}: {what}: ours {ours}, theirs {theirs}"
        );
    };
    let number = |key: &str| theirs[key].as_f64().unwrap();
    let least = ours.least.as_ref();
    assert_eq!(
        least.is_some_and(|least| least.depth.is_none()),
        theirs["solid"] == true,
        "{name}: {least:?}"
    );
    let depth = least.and_then(|least| least.depth).map(Metres::get);
    assert_eq!(
        depth,
        theirs["least"].as_f64(),
        "{name}: least depth: {least:?}"
    );
    assert_eq!(
        json!(ours.unknown_danger_count),
        theirs["unknown"],
        "{name}: unknown dangers"
    );
    near(
        "share too shoal",
        ours.share_too_shoal,
        number("shoal"),
        2e-5,
    );
    near(
        "share not covered",
        ours.share_not_covered,
        number("notCovered"),
        2e-5,
    );
    near(
        "share without depth",
        ours.share_without_depth,
        number("withoutDepth"),
        2e-5,
    );
    let mut ruled: Vec<&str> = ours
        .regulated
        .iter()
        .map(|regulated| regulated.class)
        .collect();
    ruled.sort_unstable();
    assert_eq!(json!(ruled), theirs["ruled"], "{name}: what has rules");
    let mut rules: Vec<String> = ours
        .regulated
        .iter()
        .flat_map(|regulated| regulated.restrictions.clone())
        .collect();
    rules.sort();
    rules.dedup();
    let mut their_rules: Vec<String> = theirs["rules"]
        .as_array()
        .unwrap()
        .iter()
        .map(restriction)
        .collect();
    their_rules.sort();
    assert_eq!(rules, their_rules, "{name}: restrictions");
    let mut zones: Vec<Confidence> = ours.surveys.iter().map(|survey| survey.category).collect();
    zones.sort_unstable();
    zones.dedup();
    let their_zones: Vec<Confidence> = theirs["zones"]
        .as_array()
        .unwrap()
        .iter()
        .map(|code| Confidence::of(u8::try_from(code.as_u64().unwrap()).unwrap()).unwrap())
        .collect();
    assert_eq!(zones, their_zones, "{name}: survey quality");
    match (&ours.nearest_danger, &theirs["danger"]) {
        (None, Value::Null) => {}
        (Some(ours), Value::Object(theirs)) => {
            let (metres, degrees) = (
                theirs["distance"].as_f64().unwrap(),
                theirs["bearing"].as_f64().unwrap(),
            );
            near(
                "distance to the nearest danger",
                ours.distance.get(),
                metres,
                0.05,
            );
            // Beside a straight edge the foot of the perpendicular moves with the last digits.
            let across = ours
                .bearing
                .since(Bearing::from_degrees(degrees))
                .get()
                .abs()
                * metres;
            assert!(
                across < 0.5 || metres < 0.05,
                "{name}: bearing to the nearest danger: {ours:?}, {degrees}"
            );
        }
        (ours, theirs) => panic!("{name}: nearest danger: ours {ours:?}, theirs {theirs}"),
    }
}

/// The numbers of a published generator (Numerical Recipes, quick and dirty), so that the circles are the same everywhere.
fn dice() -> impl FnMut(f64, f64) -> f64 {
    let mut state = 1_u32;
    move |low, high| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        low + (high - low) * f64::from(state) / 4_294_967_296.0
    }
}

#[test]
#[ignore = "needs the reference data"]
fn five_hundred_random_circles_are_as_shapely_and_pyproj_have_them() {
    let dir = TempDir::new().unwrap();
    let (room, odd) = kept(&dir);
    let mut dice = dice();
    let asked: Vec<Asked> = (0..500)
        .map(|number| Asked {
            centre: if number % 3 == 0 {
                // Near a rare object.
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                let near = odd[dice(0.0, odd.len() as f64) as usize];
                near.moved(
                    Bearing::from_degrees(dice(0.0, 360.0)),
                    Metres::of(dice(0.0, 250.0)),
                )
            } else {
                // A little beyond the cell on each side: 38.367 to 39.033 north, 76.583 to 76.030 west.
                Position::new(dice(38.36, 39.04), dice(-76.59, -76.02)).unwrap()
            },
            radius: dice(20.0, 300.0),
            between: (number % 4 == 0).then(|| {
                let from = dice(0.0, 360.0);
                (from, (from + dice(30.0, 330.0)) % 360.0)
            }),
            needs: needs(dice(-0.5, 1.0), None),
        })
        .collect();
    let requests: Vec<Value> = asked.iter().map(Asked::request).collect();
    let theirs = libraries("charts.py", &[cell().to_str().unwrap()], &requests);
    assert_eq!(theirs.len(), asked.len());
    let mut told = std::collections::BTreeMap::<String, u32>::new();
    for (number, (asked, theirs)) in asked.iter().zip(&theirs).enumerate() {
        let ours = asked.answer(&room);
        assert_same(
            &format!("circle {number} ({})", requests[number]),
            &ours,
            theirs,
        );
        for finding in &ours.findings {
            *told.entry(format!("{finding:?}")).or_default() += 1;
        }
        *told.entry("clear".to_owned()).or_default() += u32::from(ours.clears);
    }
    eprintln!("{told:?}");
    // The circles include every kind.
    for sort in [
        "clear",
        "Solid",
        "Grounds",
        "NotCovered",
        "UnknownDanger",
        "Restricted",
    ] {
        assert!(told.contains_key(sort), "no circle is `{sort}`: {told:?}");
    }
}

/// Six places of the real cell; 60 m of radius, 1.9 m of draught, 0.5 m of margin, low water at chart datum, 0.4 m of tide now.
#[test]
#[ignore = "needs the reference data"]
fn the_five_cases_are_told_apart() {
    let dir = TempDir::new().unwrap();
    let (room, _) = kept(&dir);
    let cases: [(&str, f64, f64, &[Finding]); 6] = [
        ("clears", 38.9508, -76.4112, &[]),
        (
            "grounds at low water only",
            38.8875,
            -76.482,
            &[Finding::GroundsAtLowWater],
        ),
        ("over a cable", 38.7668, -76.3557, &[Finding::Cable]),
        // The rock is on a shoal of less than 1.8 m.
        (
            "beside a rock of unknown depth",
            38.9913,
            -76.4186,
            &[Finding::Grounds, Finding::UnknownDanger],
        ),
        (
            "beside an obstruction of unknown depth",
            38.8332,
            -76.3158,
            &[Finding::UnknownDanger],
        ),
        (
            "half off the coverage",
            38.4,
            -76.361_01,
            &[Finding::NotCovered],
        ),
    ];
    let asked = cases.map(|(_, latitude, longitude, _)| Asked {
        centre: Position::new(latitude, longitude).unwrap(),
        radius: 60.0,
        between: None,
        needs: needs(0.0, Some(0.4)),
    });
    let requests: Vec<Value> = asked.iter().map(Asked::request).collect();
    let theirs = libraries("charts.py", &[cell().to_str().unwrap()], &requests);
    for (((name, .., findings), asked), theirs) in cases.iter().zip(&asked).zip(&theirs) {
        let ours = asked.answer(&room);
        assert_same(name, &ours, theirs);
        assert_eq!(ours.findings, *findings, "{name}: {:?}", ours.reasons);
        assert_eq!(ours.clears, findings.is_empty(), "{name}");
    }
    let half = asked[5].answer(&room).share_not_covered;
    assert!((half - 0.5).abs() < 1e-4, "{half}");
    let cable = asked[2].answer(&room);
    assert_eq!(
        cable.reasons,
        ["it touches: cable area: anchoring restricted, trawling restricted, dragging prohibited"]
    );
    assert_eq!(
        cable.surveys[0].words,
        "survey quality C: depths ±2 m + 5 %, positions ±500 m"
    );
}

/// Our words for the standard's codes, compared with the tables that come with GDAL. Two of its entries are longer.
#[test]
#[ignore = "needs the reference data"]
fn codes_are_those_of_gdals_tables() {
    let tables = libraries("charts.py", &["words"], &[]).remove(0);
    for class in Class::ALL {
        assert_eq!(
            tables["classes"][class.acronym()],
            json!(class.code()),
            "{class}"
        );
    }
    let mut compared = 0;
    let lists: [(_, Told); 4] = [
        ("RESTRN", |code| Restriction(code).told()),
        ("VERDAT", |code| Datum(code).told()),
        ("QUASOU", |code| Sureness(code).told()),
        ("WATLEV", |code| WaterLevel(code).told()),
    ];
    for (name, told) in lists {
        for (code, theirs) in tables["lists"][name].as_object().unwrap() {
            let words = told(code.parse().unwrap()).words(&Wording::default());
            // Two entries are misspelt in GDAL's table.
            if [("VERDAT", "28"), ("QUASOU", "11")].contains(&(name, code.as_str())) {
                continue;
            }
            let theirs = theirs.as_str().unwrap().to_lowercase();
            let theirs = theirs.replace("always under water/submerged", "always under water");
            let theirs = theirs.replace("subject to inundation or flooding", "subject to flooding");
            assert_eq!(words.to_lowercase(), theirs, "{name} {code}");
            compared += 1;
        }
    }
    assert!(compared > 50, "{compared}");
    for (code, theirs) in tables["lists"]["CATZOC"].as_object().unwrap() {
        let zone = Confidence::of(code.parse().unwrap()).unwrap();
        assert!(
            theirs
                .as_str()
                .unwrap()
                .starts_with(&format!("zone of confidence {zone:?}")),
            "{theirs}"
        );
    }
}
