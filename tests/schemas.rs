//! The schemas in `schemas/`: each has an example that it accepts and alterations that it rejects, and it
//! also accepts the program's real output.
//!
//! The examples are the program's own output about the invented yacht "Tern". After an intended change,
//! `WINDRODE_REBUILD_EXAMPLES=1 tests/run schemas` writes them again.

#![expect(clippy::panic, reason = "a test that finds a fault says which")]

mod charts;
mod examples;
mod nights;
mod phones;
mod trouble;

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Duration;

use jsonschema::{Registry, Validator};
use serde_json::{Map, Value, json};
use tempfile::TempDir;
use windrode::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use windrode::config::{Config, Surroundings};
use windrode::daemon::StatusReport;
use windrode::geodesy::Offset;
use windrode::outbox::words::{Message, Parcel, Route, Verdict};
use windrode::outbox::{self, Outbox};
use windrode::rehearse::drill::Drill;
use windrode::rehearse::night;
use windrode::rehearse::sensors::{Condition, Instrument};
use windrode::rehearse::world::{World, WorldError};
use windrode::signalk::paths::DRILL;
use windrode::signalk::publish;
use windrode::speech::{Language, Wording};
use windrode::time::{Now, Tick, Timestamp};
use windrode::units::{Bearing, LengthUnit, Metres, Speed};
use windrode::watch::messages::{Event, Output};
use windrode::watch::state::WatchState;

use super::cli;

const NAMES: [&str; 15] = [
    "berth",
    "charts",
    "clearance",
    "config",
    "event",
    "measure",
    "night",
    "plan",
    "push",
    "rehearsal",
    "report",
    "search",
    "status",
    "tide",
    "values",
];

/// The metadata sent to every display agrees with the schema.
#[test]
fn the_values_schema_has_the_paths_units_and_words_of_the_metadata() {
    let schema = schema("values");
    let properties = schema["properties"].as_object().unwrap();
    let mut paths: BTreeSet<&str> = properties.keys().map(String::as_str).collect();
    let meta = metadata();
    for (path, about) in &meta {
        assert!(paths.remove(path.as_str()), "the schema lacks `{path}`");
        let property = &properties[path];
        assert_eq!(property["title"], about["displayName"], "{path}");
        assert_eq!(property["description"], about["description"], "{path}");
        assert_eq!(property.get("unit"), about.get("units"), "{path}");
    }
    for hazard in Hazard::ALL {
        let path = format!("notifications.navigation.anchor.{hazard}");
        assert!(paths.remove(path.as_str()), "the schema lacks `{path}`");
    }
    assert!(paths.is_empty(), "nobody publishes {paths:?}");
}

/// Values and metadata of a drill are those of the schema, and its alerts begin with the mark.
#[test]
fn what_a_drill_shows_is_as_the_schema_says() {
    let utc: Timestamp = "2026-06-01T21:30:00Z".parse().unwrap();
    let now = Now::new(Tick::START, utc);
    let crew = Wording::in_language(Language::German);
    let mut drill = Drill::new("windrode-drill".parse().unwrap(), "Slow drag", crew);
    let about = metadata();
    let alert = AlertView::drag(utc, "der Anker schliert: 9 m");
    let mut sent = vec![drill.values(now, &WatchState::default())];
    sent.extend(drill.alert(now, &alert));
    let mut shown = Map::new();
    for delta in sent {
        let delta: Value = serde_json::from_str(&delta).unwrap();
        let update = &delta["updates"][0];
        for entry in update["values"].as_array().unwrap() {
            let path = entry["path"].as_str().unwrap().to_owned();
            shown.insert(path, entry["value"].clone());
        }
        for entry in update["meta"].as_array().into_iter().flatten() {
            let path = entry["path"].as_str().unwrap();
            assert_eq!(entry["value"], about[path], "{path}");
            assert!(shown.contains_key(path), "{path}");
        }
    }
    assert_eq!(shown[DRILL], "Slow drag");
    assert_eq!(
        shown["notifications.navigation.anchor.dragging"]["message"],
        "ÜBUNG: der Anker schliert: 9 m"
    );
    assert_eq!(
        faults(&validator("values"), &Value::Object(shown.clone())),
        ""
    );
    for wrong in [json!(true), json!("")] {
        shown.insert(DRILL.to_owned(), wrong);
        assert!(!validator("values").is_valid(&Value::Object(shown.clone())));
    }
}

#[test]
fn hazards_and_priorities_are_those_of_the_desk() {
    let all = json!(Hazard::ALL);
    for (name, pointer) in [
        ("push", "/properties/hazard/enum"),
        ("event", "/$defs/hazard/enum"),
        ("status", "/$defs/alert/properties/hazard/enum"),
        ("measure", "/properties/raised/items/properties/hazard/enum"),
    ] {
        assert_eq!(schema(name).pointer(pointer), Some(&all), "{name}");
    }
}

/// The example and three other plans: with only a depth, with too little rode, with a gale.
#[test]
fn plans_are_as_their_schema_says() {
    let plan = |arguments: &[&str]| -> Value {
        let mut all = vec!["plan", "--json"];
        all.extend(arguments);
        let output = cli::Windrode::new(&all).output();
        assert_eq!(output.status.code(), Some(0), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let tern = [
        "--depth",
        "4.3m",
        "--below",
        "keel",
        "--draught",
        "1.9m",
        "--roller",
        "1.3m",
        "--length",
        "11.2m",
        "--beam",
        "3.6m",
        "--rise",
        "2m",
        "--fall",
        "1m",
        "--until",
        "2026-06-02T10:00:00Z",
        "--wind",
        "18kn",
        "--holding",
        "good",
        "--aboard",
        "60m",
        "--chain",
        "8 mm G40",
        "--marks",
        "5m",
        "--anchor",
        "20kg",
    ];
    let example = plan(&tern);
    rebuild("plan", &example);
    let validator = validator("plan");
    for told in [
        example,
        plan(&["--depth", "10ft", "--roller", "5ft", "--scope", "5"]),
        plan(&["--depth", "30m", "--aboard", "25m"]),
        plan(&[
            "--depth",
            "9m",
            "--wind",
            "45kn",
            "--rode-out",
            "30m",
            "--chain",
            "3/8 in",
        ]),
    ] {
        assert_eq!(faults(&validator, &told), "", "{told}");
    }
}

#[test]
fn the_rehearsal_and_its_events_are_as_their_schemas_say() {
    let report: Value = serde_json::from_slice(&cli::rehearsed().stdout).unwrap();
    rebuild("rehearsal", &report);
    assert_eq!(faults(&validator("rehearsal"), &report), "");
    let crowded: Value = serde_json::from_slice(&cli::crowded().stdout).unwrap();
    assert_eq!(faults(&validator("rehearsal"), &crowded), "");
    assert!(crowded["neighbour"].is_object());
    let event = validator("event");
    let events = report["events"].as_array().unwrap();
    assert!(events.len() > 5);
    for told in events {
        assert_eq!(faults(&event, told), "", "{told}");
    }
}

/// The example has only the first item of each long list.
#[test]
fn a_report_and_the_list_of_stays_are_as_their_schema_says() {
    let validator = validator("report");
    let told = |arguments: &[&str]| -> Value {
        serde_json::from_str(&cli::report::told(arguments)).unwrap()
    };
    assert_eq!(faults(&validator, &told(&["--json"])), "");
    let mut night = told(&["last", "--json"]);
    assert_eq!(faults(&validator, &night), "");
    for pointer in ["/track/0", "/events", "/alerts"] {
        night
            .pointer_mut(pointer)
            .unwrap()
            .as_array_mut()
            .unwrap()
            .truncate(3);
    }
    for figure in night["figures"].as_object_mut().unwrap().values_mut() {
        if let Some(buckets) = figure.as_array_mut() {
            buckets.truncate(3);
        }
    }
    // Of this day.
    night["made"] = json!("2026-06-02T06:00:00.000Z");
    rebuild("report", &night);
}

#[test]
fn the_tide_is_told_as_the_schema_says() {
    let told = |arguments: &[&str]| -> Value {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_windrode"));
        let run = command
            .arg("tide")
            .args(arguments)
            .args(["--utc", "--json"]);
        let output = run.output().unwrap();
        assert!(output.status.success(), "{output:?}");
        serde_json::from_slice(&output.stdout).unwrap()
    };
    let day = ["--from", "2026-06-01", "--to", "2026-06-01"];
    let near = told(&[&["--near", "59.8539,10.26", "--every", "6h"], &day[..]].concat());
    rebuild("tide", &near);
    assert_eq!(faults(&validator("tide"), &near), "");
    assert_eq!(near["heights"].as_array().unwrap().len(), 5);
    let secondary = told(&[&["--station", "noaa/8444012"], &day[..]].concat());
    assert_eq!(faults(&validator("tide"), &secondary), "");
    assert_eq!(secondary["standard"], json!("noaa/8443970"));
    assert_eq!(secondary["turns"].as_array().unwrap().len(), 4);
}

#[test]
fn the_figures_of_a_measurement_are_as_the_schema_says() {
    let output = cli::measured();
    let report: Value = serde_json::from_slice(&output.stdout).unwrap();
    rebuild("measure", &report);
    assert_eq!(faults(&validator("measure"), &report), "");
    assert_eq!(report["nights"], 4);
    assert_eq!(report["methods"][0]["name"], "watch");
}

#[test]
fn what_a_daemon_without_a_server_says_is_as_the_schema_says() {
    let status = cli::daemon::Daemon::start().status();
    assert_eq!(faults(&validator("status"), &status), "");
    assert_eq!(status["picture"]["anchor"], Value::Null);
}

/// What the server receives for each path.
pub(crate) fn metadata() -> Map<String, Value> {
    publish::metadata(LengthUnit::Metres)
        .iter()
        .map(|entry| {
            (
                entry["path"].as_str().unwrap().to_owned(),
                entry["value"].clone(),
            )
        })
        .collect()
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn schema(name: &str) -> Value {
    read(&root().join(format!("schemas/{name}.schema.json")))
}

fn example_file(name: &str) -> PathBuf {
    root().join(format!("schemas/examples/{name}.json"))
}

fn example(name: &str) -> Value {
    read(&example_file(name))
}

fn read(file: &Path) -> Value {
    let text =
        fs::read_to_string(file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    serde_json::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

fn rebuild(name: &str, live: &Value) {
    if std::env::var_os("WINDRODE_REBUILD_EXAMPLES").is_some() {
        let text = serde_json::to_string_pretty(live).unwrap();
        fs::write(example_file(name), text + "\n").unwrap();
    }
}

fn validator(name: &str) -> Validator {
    // They refer to each other by file name.
    let base = "file:///schemas/";
    let registry = NAMES
        .iter()
        .fold(Registry::new(), |registry, name| {
            registry
                .add(format!("{base}{name}.schema.json"), schema(name))
                .unwrap()
        })
        .prepare()
        .unwrap();
    jsonschema::options()
        .with_registry(&registry)
        .with_base_uri(format!("{base}{name}.schema.json"))
        .should_validate_formats(true)
        .build(&schema(name))
        .unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn faults(validator: &Validator, instance: &Value) -> String {
    let faults: Vec<String> = validator
        .iter_errors(instance)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    faults.join("\n")
}
