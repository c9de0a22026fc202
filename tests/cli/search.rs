//! `windrode plan --search` as the crew uses it, on the invented bay of `chart.rs`.

use std::path::Path;
use std::process::Output;

use serde_json::Value;

use super::chart::with_bay;
use super::command;

pub(crate) fn run(dir: &Path, arguments: &[&str]) -> Output {
    command(dir)
        .env("STATE_DIRECTORY", dir.join("state"))
        .arg("plan")
        .args(arguments)
        .output()
        .unwrap()
}

fn text(stream: &[u8]) -> String {
    String::from_utf8_lossy(stream).into_owned()
}

const TERN: [&str; 9] = [
    "--search",
    "59.85,23.256",
    "--within",
    "300m",
    "--scope",
    "5",
    "--aboard",
    "60m",
    "--holding=good",
];

/// 10 m of depth at the most and 1 m of roller at 5:1: 55 m of rode. The shoal begins at 23.26° E, the cable lies at 23.252°.
#[test]
fn berths_are_listed_the_best_first_with_reasons_and_what_was_left_out() {
    let dir = with_bay();
    let output = run(dir.path(), &TERN);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let page = text(&output.stdout);
    for line in [
        "berths within 300 m of 59°51.000'N 023°15.360'E: ",
        "   place                       bears     off   depth    rode   circle to spare",
        "   + least depth in the circle 5 m on the chart, 3.1 m under the keel at low",
        "   - no sounding near; the depth is that of the depth area, sound the berth",
        "   fetch in nautical miles, wind from: N more than 0.",
        "places that do not count: ",
        "over a cable: ",
        "too shoal at low water: ",
        "- no neighbours known: look around",
        "- the daemon does not answer, so no AIS is heard: give circles with",
        "- tide not entered: the lowest and the highest water are taken as chart datum",
        "An aid, not for navigation: look at the official chart, and sound the berth.",
    ] {
        assert!(page.contains(line), "{line}\n{page}");
    }
    assert!(
        page.lines().all(|line| line.chars().count() <= 80),
        "{page}"
    );
    let mut json = TERN.to_vec();
    json.push("--json");
    let output = run(dir.path(), &json);
    let found: Value = serde_json::from_slice(&output.stdout).unwrap();
    let best = &found["candidates"][0];
    assert_eq!(best["rode"], 55.0, "{best}");
    let longitude = best["position"]["longitude"].as_f64().unwrap();
    assert!((23.252..23.26).contains(&longitude), "{best}");
    assert!(best["spare"].as_f64().unwrap() >= 100.0, "{best}");
}

#[test]
fn other_vessels_are_kept_clear_of_and_a_chart_display_gets_points_and_circles() {
    let dir = with_bay();
    let mut arguments = TERN.to_vec();
    arguments.extend(["--neighbour", "59.85,23.256 60m", "--geojson"]);
    let output = run(dir.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let told: Value = serde_json::from_slice(&output.stdout).unwrap();
    let features = told["features"].as_array().unwrap();
    assert!(
        !features.is_empty() && features.len().is_multiple_of(2),
        "{told}"
    );
    assert_eq!(features[0]["geometry"]["type"], "Point");
    let ring = features[1]["geometry"]["coordinates"][0]
        .as_array()
        .unwrap();
    assert_eq!((ring.len(), &ring[0]), (73, &ring[72]));
}

/// From a file: one with a circle and a name, one with only its anchor known, and a remark.
#[test]
fn neighbours_from_a_file_are_kept_clear_of_and_named() {
    let dir = with_bay();
    let file = dir.path().join("bay.txt");
    let lines = "# this evening\n59.85,23.256; 60m; Plover\n\n59.8515,23.256\n";
    std::fs::write(&file, lines).unwrap();
    let mut arguments = TERN.to_vec();
    arguments.extend(["--neighbours", "bay.txt", "--json"]);
    let output = run(dir.path(), &arguments);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let found: Value = serde_json::from_slice(&output.stdout).unwrap();
    let known = found["neighbours"].as_array().unwrap();
    assert_eq!(known.len(), 2);
    assert_eq!(
        (&known[0]["name"], &known[0]["radius"]),
        (&"Plover".into(), &60.0.into())
    );
    assert_eq!(known[1]["assumed"], true);
    // 5:1 in 6 m for a yacht of 12 m: 36 m of rode reach 35.3 m, and 12 m of boat.
    let radius = known[1]["radius"].as_f64().unwrap();
    assert!((radius - 47.27).abs() < 0.01, "{radius}");
    for berth in found["candidates"].as_array().unwrap() {
        let reasons = format!("{} {}", berth["reasonsFor"], berth["reasonsAgainst"]);
        assert!(reasons.contains("nearest vessel's, bearing"), "{reasons}");
        assert!(berth["nearestNeighbour"]["between"].as_f64().unwrap() >= 0.0);
    }
    std::fs::write(&file, "59.85,23.256; wide; Plover\n").unwrap();
    let output = run(dir.path(), &arguments);
    assert_eq!(output.status.code(), Some(65), "{output:?}");
    let said = text(&output.stderr);
    assert!(
        said.contains("line 1: `59.85,23.256; wide; Plover`"),
        "{said}"
    );
}

#[test]
fn what_cannot_be_searched_says_why() {
    let dir = with_bay();
    for (arguments, words) in [
        (
            &["--search", "59.85,23.256", "--within", "5nm"][..],
            "a radius to search within lies between 20 m and 1852 m",
        ),
        (
            &["--search", "59.85,23.256", "--depth", "7m"],
            "cannot be used with",
        ),
        (
            &["--search", "59.85,23.256", "--neighbour", "59.85"],
            "a circle is a position and a radius, such as `59.8539,23.26 40m`",
        ),
        (&["--within", "500m"], "--search"),
    ] {
        let output = run(dir.path(), arguments);
        assert_eq!(output.status.code(), Some(64), "{output:?}");
        let said = text(&output.stderr);
        assert!(said.contains(words), "{words}: {said}");
    }
    let output = run(dir.path(), &["--search", "10,10"]);
    let page = text(&output.stdout);
    assert!(page.contains("there is no chart of this place"), "{page}");
    assert!(page.contains("no berth found here"), "{page}");
}
