//! The report through the program: the rehearsal's dragging night, from its journal.

use std::fs;
use std::path::Path;
use std::process::Output;
use std::sync::OnceLock;

use serde_json::Value;
use tempfile::TempDir;
use windrode::rehearse::night::{self, Name};
use windrode::speech::Wording;
use windrode::time::Timestamp;

use super::{Windrode, command};

/// A folder with the journal of the dragging night and a configuration that names it; made once.
fn folder() -> &'static Path {
    static FOLDER: OnceLock<TempDir> = OnceLock::new();
    FOLDER
        .get_or_init(|| {
            let folder = TempDir::new().unwrap();
            let journal = folder.path().to_owned();
            let mut nobody = ();
            let night = night::hold(Name::Drag, 1, journal, Wording::default(), &mut nobody);
            crate::block_on(night).unwrap();
            let boat = night::settings(1, folder.path().to_owned()).figures;
            let metres = |name: &str, length: Option<windrode::units::Metres>| {
                length.map_or_else(String::new, |length| {
                    format!("{name} = \"{} m\"\n", length.get())
                })
            };
            let toml = format!(
                "[journal]\ndirectory = \"{}\"\n[crew]\nzone = \"UTC\"\n[boat]\n{}{}",
                folder.path().display(),
                metres("draught", boat.draught),
                metres("roller_height", boat.roller_height),
            );
            fs::write(folder.path().join("tern.toml"), toml).unwrap();
            folder
        })
        .path()
}

/// A copy of it with the chart of an invented bay: shoal east of 23.26° E, deep enough west of it.
fn charted() -> TempDir {
    let copy = TempDir::new().unwrap();
    for file in fs::read_dir(folder()).unwrap() {
        let file = file.unwrap();
        if file.file_type().unwrap().is_file() {
            fs::copy(file.path(), copy.path().join(file.file_name())).unwrap();
        }
    }
    let config = fs::read_to_string(folder().join("tern.toml")).unwrap();
    let (here, there) = (copy.path().display(), folder().display());
    let config = config.replace(&there.to_string(), &here.to_string());
    fs::write(copy.path().join("tern.toml"), config).unwrap();
    fs::write(copy.path().join("TERNBAY.geojson"), super::chart::bay()).unwrap();
    let add = ["chart", "add", "TERNBAY.geojson", "--scale", "12000"];
    let output = command(copy.path()).args(add).output().unwrap();
    assert!(output.status.success(), "{output:?}");
    copy
}

/// The report on the night in this folder.
fn told_of(folder: &Path, arguments: &[&str]) -> String {
    let mut command = command(folder);
    let output = command.args(["report", "last"]).args(arguments).output();
    let output = output.unwrap();
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

/// The page of the same night with a chart.
pub(crate) fn told_with_a_chart() -> String {
    told_of(charted().path(), &[])
}

/// The output of `windrode report` for that journal with these arguments.
pub(crate) fn report(arguments: &[&str]) -> Output {
    let mut command = command(folder());
    command.arg("report").args(arguments).output().unwrap()
}

/// The same for a run that must succeed.
pub(crate) fn told(arguments: &[&str]) -> String {
    let output = report(arguments);
    assert!(output.status.success(), "{output:?}");
    String::from_utf8(output.stdout).unwrap()
}

fn json() -> Value {
    serde_json::from_str(&told(&["last", "--json"])).unwrap()
}

#[test]
fn the_stays_are_listed_and_one_is_found_by_the_beginning_of_its_name() {
    let list = told(&[]);
    assert_eq!(list.lines().count(), 1, "{list}");
    assert!(list.contains("dragged"), "{list}");
    let name = list.split_whitespace().next().unwrap();
    let by_name: Value = serde_json::from_str(&told(&[name, "--json"])).unwrap();
    assert_eq!(by_name["stay"]["name"], *name);
    let stays: Value = serde_json::from_str(&told(&["--list", "--json"])).unwrap();
    assert_eq!(stays["stays"][0]["name"], *name);
    assert_eq!(stays["stays"][0]["dragged"], true);
    let unknown = report(&["1999"]);
    assert_eq!(unknown.status.code(), Some(65));
    let said = String::from_utf8_lossy(&unknown.stderr).into_owned();
    assert!(said.contains("no stay is called `1999`"), "{said}");
}

#[test]
fn without_a_journal_it_says_so() {
    let empty = TempDir::new().unwrap();
    let config = format!("[journal]\ndirectory = \"{}\"\n", empty.path().display());
    let output = Windrode::new(&["report"]).config(&config).output();
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(69), "{said}");
    assert!(output.stdout.is_empty());
    assert!(said.contains("journal.db"), "{said}");
}

/// The figures are those of the night: the anchor held, then dragged, and the report shows both.
#[test]
fn the_dragging_night_is_told_with_its_evidence() {
    let night = json();
    let rows = |name: &str| night["figures"][name].as_array().unwrap().clone();
    let greatest = |name: &str| {
        let values = rows(name).into_iter();
        values
            .filter_map(|it| it["greatest"].as_f64())
            .fold(0.0, f64::max)
    };
    assert!(greatest("probability") > 0.9);
    assert!(greatest("distance") > greatest("reach"));
    assert!(greatest("wind") > 5.0);
    assert!(greatest("gust") >= greatest("wind"));
    let alerts = night["alerts"].as_array().unwrap();
    let dragging = alerts.iter().find(|it| it["hazard"] == "dragging").unwrap();
    assert!(!dragging["raised"].as_array().unwrap().is_empty());
    assert!(night["track"][0].as_array().unwrap().len() > 100);
    let lain: f64 = night["swing"]
        .as_array()
        .unwrap()
        .iter()
        .map(|sector| sector["seconds"].as_f64().unwrap())
        .sum();
    assert!(lain > 1800.0, "{lain}");
    // A replayed watch reports the same: the drag was evident when it was reported.
    let told: Timestamp = dragging["raised"]
        .as_array()
        .unwrap()
        .iter()
        .find(|it| it["priority"] == "alarm" || it["priority"] == "emergency")
        .unwrap()["time"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    let from: Timestamp = night["figures"]["from"].as_str().unwrap().parse().unwrap();
    let every = night["figures"]["every"].as_f64().unwrap();
    let after = told.millis_since(from) as f64 / 1000.0;
    let ends = (1..).map(|bucket| f64::from(bucket) * every);
    let bucket = ends.take_while(|end| *end <= after).count();
    let sure = (bucket.saturating_sub(1)..=bucket + 1)
        .filter_map(|at| rows("probability").get(at)?["greatest"].as_f64())
        .fold(0.0, f64::max);
    assert!(sure > 0.9, "{sure}");
}

#[test]
fn the_page_stands_alone_and_has_the_cautions() {
    let page = told(&["last"]);
    for words in [
        "<!DOCTYPE html>",
        "not a substitute for a proper lookout",
        "Not for navigation",
        "default-src &#39;none&#39;",
        "Evidence of dragging",
    ] {
        let words = words.replace("&#39;", "'");
        assert!(page.contains(&words), "{words}");
    }
    for fetched in ["src=", "href=", "@import", "url(http"] {
        assert!(!page.contains(fetched), "{fetched}");
    }
}

/// The edge of the shoal is the meridian 23.26° E. Where it must lie in the picture and how far it is follow from the
/// length of a degree of longitude (the usual series for WGS 84: 111412.84 cos φ - 93.5 cos 3φ metres), the share of
/// the circle beyond it from the segment of a circle.
#[test]
fn the_ground_on_the_chart_is_drawn_where_it_lies_and_told_in_figures() {
    let folder = charted();
    let night: Value = serde_json::from_str(&told_of(folder.path(), &["--json"])).unwrap();
    let anchor = &night["anchor"]["estimate"];
    let latitude = anchor["latitude"].as_f64().unwrap().to_radians();
    let degree = 111_412.84 * latitude.cos() - 93.5 * (3.0 * latitude).cos();
    // Metres east of the anchor; negative if she is anchored on the shoal.
    let edge = (23.26 - anchor["longitude"].as_f64().unwrap()) * degree;
    let charted = &night["charted"];
    let number = |pointer: &str| charted.pointer(pointer).and_then(Value::as_f64).unwrap();
    assert_eq!(charted["least"]["depth"], 1.5);
    assert_eq!(charted["assumedDraught"], Value::Null);
    let away = edge.max(0.0);
    assert!(
        (number("/nearestDanger/distance") - away).abs() < 0.5,
        "{edge} {charted}"
    );
    assert!(
        (number("/least/distance") - away).abs() < 0.5,
        "{edge} {charted}"
    );
    let radius = number("/radius");
    let angle = 2.0 * (edge / radius).clamp(-1.0, 1.0).acos();
    let share = (angle - angle.sin()) / std::f64::consts::TAU;
    assert!(
        (number("/shareTooShoal") - share).abs() < 0.01,
        "{share} {charted}"
    );

    let page = told_of(folder.path(), &[]);
    let (_, picture) = page.split_once("id=\"ground\"").unwrap();
    let (picture, beside) = picture.split_once("</svg>").unwrap();
    // The scale, from the swinging circle about the anchor in the middle.
    let circle = picture
        .split("<circle")
        .skip(1)
        .find(|it| it.contains("7 5"))
        .unwrap();
    let attribute = |element: &str, name: &str| -> f64 {
        let (_, rest) = element.split_once(&format!("{name}=\"")).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let units = attribute(circle, "r") / night["anchor"]["circle"].as_f64().unwrap();
    let shoal = picture
        .split("<path")
        .find(|it| it.contains("var(--shoal)") && it.contains("stroke-dasharray"))
        .unwrap();
    let (_, path) = shoal.split_once("d=\"").unwrap();
    let corners = path.split('"').next().unwrap().split(['M', 'L', 'Z']);
    let east = corners.filter_map(|corner| corner.split(' ').next()?.parse::<f64>().ok());
    let drawn = east.fold(f64::INFINITY, f64::min);
    let expected = attribute(circle, "cx") + edge * units;
    assert!((drawn - expected).abs() < 1.0, "{drawn} {expected}");

    let (beside, _) = beside.split_once("</figure>").unwrap();
    for words in ["1.5 m", "TERNBAY", "too shoal for her", "below chart datum"] {
        assert!(beside.contains(words), "{words}: {beside}");
    }
    assert!(!told(&["last"]).contains("TERNBAY"));
    assert_eq!(json()["charted"], Value::Null);
}
