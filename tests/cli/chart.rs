//! `windrode chart` as the crew uses it, on an invented bay; `tests/peers/charts.rs` has a real cell.

use std::fs;
use std::path::Path;
use std::process::Output;

use serde_json::Value;
use tempfile::TempDir;

use super::command;

fn feature(properties: &str, kind: &str, coordinates: &str) -> String {
    format!(
        r#"{{"type":"Feature","properties":{properties},"geometry":{{"type":"{kind}","coordinates":{coordinates}}}}}"#
    )
}

fn square(west: f64, east: f64) -> String {
    format!("[[[{west},59.84],[{east},59.84],[{east},59.86],[{west},59.86],[{west},59.84]]]")
}

/// West of 23.26° E 5 to 10 m deep, east of it 1.5 to 5 m, a rock of unknown depth, a cable, and nothing east of 23.28°.
pub(crate) fn bay() -> String {
    let features = [
        feature(
            r#"{"OBJL":42,"DRVAL1":5,"DRVAL2":10}"#,
            "Polygon",
            &square(23.24, 23.26),
        ),
        feature(
            r#"{"OBJL":42,"DRVAL1":1.5,"DRVAL2":5}"#,
            "Polygon",
            &square(23.26, 23.28),
        ),
        feature(
            r#"{"OBJL":302,"CATCOV":1}"#,
            "Polygon",
            &square(23.24, 23.28),
        ),
        feature(
            r#"{"OBJL":308,"CATZOC":3,"SUREND":"1998"}"#,
            "Polygon",
            &square(23.24, 23.28),
        ),
        feature(r#"{"OBJL":153,"WATLEV":3}"#, "Point", "[23.248,59.85]"),
        feature(
            r#"{"OBJL":22,"RESTRN":[1],"OBJNAM":"Tern Cable"}"#,
            "LineString",
            "[[23.252,59.84],[23.252,59.86]]",
        ),
        feature(r#"{"OBJL":129,"DEPTH":"deep"}"#, "Point", "[23.27,59.858]"),
    ];
    format!(
        r#"{{"type":"FeatureCollection","features":[{}]}}"#,
        features.join(",")
    )
}

pub(crate) fn run(dir: &Path, arguments: &[&str]) -> Output {
    command(dir)
        .env("STATE_DIRECTORY", dir.join("state"))
        .arg("chart")
        .args(arguments)
        .output()
        .unwrap()
}

pub(crate) fn with_bay() -> TempDir {
    let dir = TempDir::new().unwrap();
    fs::write(
        dir.path().join("tern.toml"),
        "[boat]\ndraught = \"1.9 m\"\n",
    )
    .unwrap();
    fs::write(dir.path().join("TERNBAY.geojson"), bay()).unwrap();
    let output = run(
        dir.path(),
        &[
            "add",
            "TERNBAY.geojson",
            "--scale",
            "12000",
            "--datum",
            "LAT",
        ],
    );
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let told = text(&output.stdout);
    assert!(
        told.starts_with("added TERNBAY, 1:12 000, depths below lowest astronomical tide; "),
        "{told}"
    );
    assert_eq!(
        text(&output.stderr),
        "windrode: `TERNBAY`: SOUNDG with a DEPTH that is no depth, taken as unknown: 1; the first: number 7: `\"deep\"`\n"
    );
    dir
}

fn text(stream: &[u8]) -> String {
    String::from_utf8_lossy(stream).into_owned()
}

fn judged(dir: &TempDir, arguments: &[&str]) -> Value {
    let mut all = vec!["clear"];
    all.extend(arguments);
    all.push("--json");
    let output = run(dir.path(), &all);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn a_chart_is_added_listed_and_removed() {
    let dir = with_bay();
    let listed = run(dir.path(), &["list"]);
    assert_eq!(
        text(&listed.stdout),
        "TERNBAY, 1:12 000, depths below lowest astronomical tide\n"
    );
    let json: Value = serde_json::from_slice(&run(dir.path(), &["list", "--json"]).stdout).unwrap();
    assert_eq!(json["charts"][0]["objects"], 7);
    assert_eq!(json["charts"][0]["east"], 23.28);
    assert_eq!(
        text(&run(dir.path(), &["remove", "TERNBAY"]).stdout),
        "`TERNBAY` is removed\n"
    );
    let again = run(dir.path(), &["remove", "TERNBAY"]);
    assert_eq!(again.status.code(), Some(64));
    assert_eq!(
        text(&again.stderr),
        "windrode: there is no chart `TERNBAY`; `windrode chart list` names them\n"
    );
    assert_eq!(
        text(&run(dir.path(), &["list"]).stdout),
        "no charts; add one with: windrode chart add PATH\n"
    );
}

/// A thousandth of a degree of longitude is 56 m here.
#[test]
fn the_same_circle_clears_grounds_or_is_in_doubt_by_where_it_lies() {
    let dir = with_bay();
    let finding = |arguments: &[&str]| judged(&dir, arguments)["findings"].clone();
    let radius = ["--radius", "40m"];
    let at = |place: &'static str, more: &[&'static str]| {
        finding(&[&[place], radius.as_slice(), more].concat())
    };
    assert_eq!(at("59.85,23.256", &[]), serde_json::json!([]));
    assert_eq!(at("59.85,23.265", &[]), serde_json::json!(["grounds"]));
    assert_eq!(
        at("59.85,23.265", &["--low-water", "0.2m", "--tide", "0.8m"]),
        serde_json::json!(["groundsAtLowWater"])
    );
    assert_eq!(
        at("59.85,23.265", &["--low-water", "0.6m"]),
        serde_json::json!(["marginShort"])
    );
    assert_eq!(
        at("59.85,23.265", &["--low-water", "1m"]),
        serde_json::json!([])
    );
    assert_eq!(
        at("59.85,23.265", &["--draught", "0.9m", "--margin", "0.3m"]),
        serde_json::json!([])
    );
    assert_eq!(
        at("59.85,23.2481", &[]),
        serde_json::json!(["unknownDanger"])
    );
    assert_eq!(at("59.85,23.2521", &[]), serde_json::json!(["cable"]));
    assert_eq!(at("59.85,23.24", &[]), serde_json::json!(["notCovered"]));
    assert_eq!(at("10,10", &[]), serde_json::json!(["notCovered"]));
    // Half of the circle is 1.5 m deep, but she lies only to the west of the middle.
    assert_eq!(
        at("59.85,23.26", &["--from", "180", "--to", "360°"]),
        serde_json::json!(["grounds"])
    );
    assert_eq!(
        at("59.85,23.2599", &["--from", "180", "--to", "360°"]),
        serde_json::json!([])
    );
}

#[test]
fn the_page_says_the_answer_first_and_what_it_rests_on() {
    let dir = with_bay();
    let output = run(dir.path(), &["clear", "59.85,23.2593", "--radius", "150ft"]);
    let page = text(&output.stdout);
    // 0.0007° to the shoal, of 56.053 km each (WGS 84: N cos φ): 39.24 m or 128.7 ft.
    assert_eq!(page.lines().nth(2), Some("NOT CLEAR"), "{page}");
    for line in [
        "150 ft about 59°51.000'N 023°15.558'E",
        "- she grounds at low water, by 1.3 ft: depth area 4.9 ft to 16.4 ft, 128.7 ft",
        "needed    7.9 ft on the chart: draught 6.2 ft, margin 1.6 ft, lowest tide 0 ft",
        "survey    quality B: depths ±1 m + 2 %, positions ±50 m; surveyed until 1998",
        "chart     TERNBAY, 1:12 000, depths below lowest astronomical tide",
        "- tide not entered: the lowest water is taken as chart datum",
    ] {
        assert!(page.contains(line), "`{line}` in\n{page}");
    }
    assert!(
        page.lines().all(|line| line.chars().count() <= 80),
        "{page}"
    );
    assert!(page.contains("not for navigation"));
}

#[test]
fn what_cannot_be_used_is_told_with_what_to_do() {
    let dir = with_bay();
    let path = dir.path();
    fs::write(
        path.join("empty.json"),
        r#"{"type":"FeatureCollection","features":[]}"#,
    )
    .unwrap();
    fs::write(path.join("page.json"), "<html>").unwrap();
    fs::write(path.join("CELL.000"), "no cell").unwrap();
    fs::write(path.join("notes.txt"), "").unwrap();
    for (arguments, code, words) in [
        (
            &["add", "empty.json"][..],
            65,
            "`empty` has neither depth areas nor land",
        ),
        (&["add", "page.json"], 65, "no GeoJSON"),
        (
            &["add", "notes.txt"],
            64,
            "no chart in `notes.txt`: give an S-57 cell",
        ),
        (&["add", "nowhere"], 74, "cannot read `nowhere`"),
        (
            &["add", "TERNBAY.geojson", "--name", "../up"],
            64,
            "`../up` is no name for a chart",
        ),
        (&["clear", "59.85,23.25"], 64, "--radius"),
        (
            &["clear", "59.85,23.25", "--radius", "3000m"],
            64,
            "a radius lies between 1 m and 2000 m",
        ),
        (
            &["clear", "59.85,23.25", "--radius", "30m", "--from", "10"],
            64,
            "--to",
        ),
        (
            &[
                "clear",
                "59.85,23.25",
                "--radius",
                "30m",
                "--from",
                "10",
                "--to",
                "370",
            ],
            64,
            "a bearing lies between 0 and 360",
        ),
        (
            &[
                "clear",
                "59.85,23.25",
                "--radius",
                "30m",
                "--low-water",
                "1m",
                "--tide",
                "0m",
            ],
            64,
            "`--tide` is below `--low-water`",
        ),
    ] {
        let output = run(path, arguments);
        assert_eq!(
            output.status.code(),
            Some(code),
            "{arguments:?}: {output:?}"
        );
        assert!(
            text(&output.stderr).contains(words),
            "{arguments:?}: {}",
            text(&output.stderr)
        );
    }
    // A machine without the GDAL programs.
    let output = command(path)
        .env("STATE_DIRECTORY", path)
        .env("PATH", path)
        .args(["chart", "add", "CELL.000"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(69));
    assert_eq!(
        text(&output.stderr),
        "windrode: `ogrinfo` is needed to read S-57 cells and is not installed; install it with: sudo apt-get install gdal-bin\n"
    );
    // A damaged chart never looks like water without dangers.
    let file = path.join("state/charts/TERNBAY.chart");
    let bytes = fs::read(&file).unwrap();
    fs::write(&file, &bytes[..bytes.len() - 30]).unwrap();
    let output = run(path, &["clear", "59.85,23.25", "--radius", "30m"]);
    assert_ne!(output.status.code(), Some(0));
    assert!(text(&output.stderr).contains("TERNBAY.chart"), "{output:?}");
}

/// The planned circle at a berth: 5 to 10 m by the chart and 3 m of tide are 14.2 m to the roller, 99.4 m of rode at 7:1;
/// over 5.5 m at the lowest it reaches 101 m, and the stern lies 12 m behind.
#[test]
fn a_plan_for_a_berth_has_the_chart_s_depth_and_the_circle_held_against_it() {
    let dir = with_bay();
    let planned = |arguments: &[&str]| {
        let mut all = vec![
            "plan",
            "--roller",
            "1.2m",
            "--length",
            "12m",
            "--tide",
            "1m",
            "--high-water",
            "3m",
            "--low-water",
            "0.5m",
        ];
        all.extend(arguments);
        command(dir.path())
            .env("STATE_DIRECTORY", dir.path().join("state"))
            .args(all)
            .output()
            .unwrap()
    };
    let json = |arguments: &[&str]| -> Value {
        let output = planned(&[arguments, &["--json"]].concat());
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let near = |value: &Value, wanted: f64| {
        assert!(
            (value.as_f64().unwrap() - wanted).abs() < 0.01,
            "{value}, {wanted}"
        );
    };
    let plan = json(&["--berth", "59.85,23.2565"]);
    near(&plan["rode"], 99.4);
    assert_eq!(plan["berth"]["charted"]["least"], 5.0);
    assert_eq!(plan["berth"]["charted"]["most"], 10.0);
    let clearance = &plan["berth"]["clearance"];
    let reach = (99.4_f64 * 1.02).powi(2) - 6.7_f64.powi(2);
    near(&clearance["radius"], reach.sqrt() + 12.0);
    assert_eq!(clearance["findings"], serde_json::json!([]));
    // The same circle reaches the shoal, which grounds her at low water only.
    let plan = json(&[
        "--berth",
        "59.85,23.259",
        "--rode-out",
        "60m",
        "--draught",
        "2.2m",
    ]);
    let clearance = &plan["berth"]["clearance"];
    assert_eq!(
        clearance["findings"],
        serde_json::json!(["groundsAtLowWater"])
    );
    near(&clearance["least"]["underKeel"], 1.5 + 0.5 - 2.2);
    let page = text(&planned(&["--berth", "59.85,23.2565"]).stdout);
    for line in [
        "berth at 59°51.000'N 023°15.390'E: charted depth 5 m to 10 m (`TERNBAY`)",
        "On the chart",
        "clear: nothing on the chart is against it",
        "chart     TERNBAY, 1:12 000, depths below lowest astronomical tide",
    ] {
        assert!(page.contains(line), "`{line}` in\n{page}");
    }
    // No daemon runs, and no chart gives the depth.
    let elsewhere = planned(&["--berth", "10,10"]);
    assert_eq!(elsewhere.status.code(), Some(69), "{elsewhere:?}");
    let rise = command(dir.path())
        .env("STATE_DIRECTORY", dir.path().join("state"))
        .args(["plan", "--berth", "59.85,23.2565", "--rise", "2m"])
        .output()
        .unwrap();
    assert_eq!(rise.status.code(), Some(64));
    assert!(
        text(&rise.stderr).contains("a depth of the chart needs the height of the tide"),
        "{rise:?}"
    );
}
