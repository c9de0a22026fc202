//! What `windrode chart` prints as JSON.

use super::*;
use crate::cli::chart::{bay, run, with_bay};
use crate::cli::daemon::Daemon;
use crate::cli::search;

/// The example and three others: all clear, a sector, no chart at all.
#[test]
fn charts_and_clearances_are_as_their_schemas_say() {
    let dir = with_bay();
    let told = |arguments: &[&str]| -> Value {
        let output = run(dir.path(), arguments);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let charts = told(&["list", "--json"]);
    rebuild("charts", &charts);
    assert_eq!(faults(&validator("charts"), &charts), "");
    let clear = |arguments: &[&str]| told(&[&["clear", "--json"], arguments].concat());
    // Within reach of rock, cable and shoal.
    let example = clear(&[
        "59.85,23.254",
        "--radius",
        "350m",
        "--low-water",
        "0.2m",
        "--tide",
        "1.1m",
    ]);
    rebuild("clearance", &example);
    let validator = validator("clearance");
    for answer in [
        example,
        clear(&["59.85,23.256", "--radius", "40m"]),
        clear(&[
            "59.85,23.26",
            "--radius",
            "40m",
            "--from",
            "180",
            "--to",
            "360",
        ]),
        clear(&["10,10", "--radius", "40m"]),
    ] {
        assert_eq!(faults(&validator, &answer), "");
    }
}

/// The example and two others: beside another vessel, no chart at all.
#[test]
fn searches_are_as_their_schema_says() {
    let dir = with_bay();
    let told = |arguments: &[&str]| -> Value {
        let output = search::run(dir.path(), arguments);
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let tern = [
        "--search",
        "59.85,23.256",
        "--within",
        "300m",
        "--scope",
        "5",
        "--aboard",
        "70m",
        "--tide",
        "0.9m",
        "--low-water",
        "0.2m",
        "--high-water",
        "1.1m",
        "--json",
    ];
    let mut beside = tern.to_vec();
    beside.extend(["--neighbour", "59.85,23.257 40m"]);
    let example = told(&beside);
    rebuild("search", &example);
    let validator = validator("search");
    for answer in [example, told(&tern), told(&["--search", "10,10", "--json"])] {
        assert_eq!(faults(&validator, &answer), "");
    }
}

/// The example is planned by the chart; then the berth is removed.
#[test]
fn a_planned_berth_is_as_its_schema_says() {
    let daemon = Daemon::start_with_chart(&bay());
    let told = |arguments: &[&str]| -> Value {
        let output = daemon.order(&[&["berth", "--json"], arguments].concat());
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let place = [
        "59.85,23.256",
        "--scope",
        "5",
        "--wind",
        "20kn",
        "--stay",
        "12h",
    ];
    // The daemon reads the charts in its own time.
    let example = (0..600)
        .map(|_| told(&place))
        .find(|told| told["planned"]["room"].is_object())
        .unwrap();
    rebuild("berth", &example);
    let validator = validator("berth");
    assert_eq!(faults(&validator, &example), "");
    assert_eq!(example["planned"]["depthBy"], "chart");
    assert_eq!(example["planned"]["wishes"]["scope"], 5.0);
    let none = told(&["--none"]);
    assert_eq!(faults(&validator, &none), "");
    assert_eq!(
        (&none["berth"], &none["planned"]),
        (&Value::Null, &Value::Null)
    );
}
