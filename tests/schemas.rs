//! The schemas in `schemas/`: each has an example that it accepts and alterations that it refuses, and what
//! the program really says is accepted too.
//!
//! The examples are the program's own words about the invented yacht "Tern". After a change that means to
//! alter them, `WINDRODE_REBUILD_EXAMPLES=1 tests/run schemas` writes them anew.

#![expect(clippy::panic, reason = "a test that finds a fault says which")]

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
use windrode::rehearse::night;
use windrode::rehearse::sensors::{Condition, Instrument};
use windrode::rehearse::world::{World, WorldError};
use windrode::signalk::SourceLabel;
use windrode::signalk::publish::Publisher;
use windrode::time::{Now, Tick, Timestamp};
use windrode::units::{Bearing, Metres, Speed};
use windrode::watch::messages::{Event, Output};
use windrode::watch::state::WatchState;

use super::cli;

const NAMES: [&str; 9] = [
    "config",
    "event",
    "measure",
    "plan",
    "push",
    "rehearsal",
    "status",
    "tide",
    "values",
];

#[test]
fn every_schema_is_one_and_accepts_its_example() {
    let folder = root().join("schemas");
    let files = |folder: &Path, ending: &str| -> BTreeSet<String> {
        fs::read_dir(folder)
            .unwrap()
            .filter_map(|entry| {
                let name = entry.unwrap().file_name().into_string().unwrap();
                name.strip_suffix(ending).map(str::to_owned)
            })
            .collect()
    };
    let names: BTreeSet<String> = NAMES.map(str::to_owned).into();
    assert_eq!(files(&folder, ".schema.json"), names);
    assert_eq!(files(&folder.join("examples"), ".json"), names);
    for name in NAMES {
        let schema = schema(name);
        assert_eq!(
            schema["$schema"],
            json!("https://json-schema.org/draft/2020-12/schema")
        );
        jsonschema::meta::validate(&schema).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(faults(&validator(name), &example(name)), "", "{name}");
    }
}

/// Each alteration is one of another sort: a member too many, one too few, a wrong unit, a wrong word.
#[test]
#[expect(clippy::too_many_lines, reason = "a table")]
fn an_altered_example_is_refused() {
    for (name, pointer, value) in [
        ("config", "/boat/draft", json!("1.9 m")),
        ("config", "/boat/draught", json!("1.9")),
        ("config", "/tackle/stretch", json!(2.5)),
        ("config", "/tackle/chain", json!("heavy")),
        ("config", "/tackle/rope", json!("14 mm hemp")),
        ("config", "/tackle/anchor", json!("20")),
        ("event", "/hazard", json!("draging")),
        ("event", "/priority", Value::Null),
        ("event", "/message", json!("")),
        ("event", "/time", json!("yesterday")),
        ("event", "/evidence/anchorMoved", json!("12 m")),
        ("event", "/evidence/fathoms", json!(7)),
        ("event", "/event", json!("alarm")),
        ("config", "/push/skipper/kind", json!("drum")),
        ("push", "/event", json!("alarm")),
        ("push", "/hazard", json!("draging")),
        ("push", "/priority", json!("high")),
        ("push", "/replies/0/act", json!("weigh")),
        ("push", "/id", json!("")),
        ("push", "/sound", json!(true)),
        ("status", "/phones/0/state", json!("fine")),
        ("status", "/phones/0/waiting", json!(-1)),
        ("plan", "/rode", json!("50 m")),
        ("plan", "/fathoms", json!(7)),
        ("plan", "/holding", json!("splendid")),
        ("plan", "/tide/source", json!("guess")),
        ("plan", "/circles/lowest/bow", json!(-1)),
        ("plan", "/wind/steady/lead", json!(8.0)),
        ("plan", "/assumptions/0", json!(3)),
        ("measure", "/raised/0/hazard", json!("draging")),
        ("measure", "/methods/0/metres/median", json!("9 m")),
        ("measure", "/methods/0/name", json!("guess")),
        ("rehearsal", "/drag/seconds", json!(-1)),
        ("rehearsal", "/demands/0/met", json!("yes")),
        ("rehearsal", "/demands", json!([])),
        // By way of the event's schema.
        ("rehearsal", "/events/0/event", json!("alarm")),
        ("status", "/link", json!("")),
        ("status", "/picture/phase", json!("anchored")),
        ("status", "/picture/anchor/latitude", json!(159)),
        ("status", "/picture/anchorBearing", json!(359.0)),
        ("status", "/alerts/0/state", json!("normal")),
        ("status", "/picture/remarks", json!("none")),
        ("tide", "/datum", json!("keel")),
        ("tide", "/turns/0/kind", json!("rising")),
        ("tide", "/turns/0/height", json!("2 m")),
        ("tide", "/cautions", json!([])),
        ("values", "/navigation.anchor.watch.phase", json!(3)),
        ("values", "/navigation.anchor.watch.weigh", json!(true)),
        (
            "values",
            "/navigation.anchor.watch.anchorBearing",
            json!(359),
        ),
        (
            "values",
            "/navigation.anchor.watch.dragProbability",
            json!(99),
        ),
        ("values", "/navigation.anchor.watch.heartbeat", json!(0.5)),
        ("values", "/navigation.anchor.position/altitude", json!(0)),
        ("values", "/navigation.anchor.watch.tide", json!(0)),
        (
            "values",
            "/notifications.navigation.anchor.dragging/state",
            json!("warning"),
        ),
        (
            "values",
            "/notifications.navigation.anchor.dragging/message",
            json!(""),
        ),
        (
            "values",
            "/notifications.navigation.anchor.watch/method",
            json!(["visual"]),
        ),
    ] {
        let mut altered = example(name);
        let (parent, member) = pointer.rsplit_once('/').unwrap();
        match altered.pointer_mut(parent) {
            Some(Value::Object(members)) => drop(members.insert(member.to_owned(), value)),
            Some(Value::Array(entries)) => entries[member.parse::<usize>().unwrap()] = value,
            _ => panic!("{name} has no object `{parent}`"),
        }
        assert!(!validator(name).is_valid(&altered), "{name}{pointer}");
    }
    for (name, pointer) in [
        ("event", "/time"),
        ("event", "/hazard"),
        ("plan", "/notice"),
        ("plan", "/reach"),
        ("plan", "/limits/0/workingLoad"),
        ("measure", "/methods/0/threshold"),
        ("rehearsal", "/drag/began"),
        ("push", "/title"),
        ("push", "/replies/0/body"),
        ("status", "/phones/0/channel"),
        ("status", "/picture/berth"),
        ("status", "/alerts/0/raise"),
        ("tide", "/turns/0/time"),
        ("tide", "/credit"),
        ("values", "/navigation.anchor.position/longitude"),
        (
            "values",
            "/notifications.navigation.anchor.dragging/createdAt",
        ),
    ] {
        let mut altered = example(name);
        let (parent, member) = pointer.rsplit_once('/').unwrap();
        let members = altered.pointer_mut(parent).and_then(Value::as_object_mut);
        assert!(members.unwrap().remove(member).is_some(), "{name}{pointer}");
        assert!(
            !validator(name).is_valid(&altered),
            "{name} without {pointer}"
        );
    }
}

#[test]
fn the_example_of_a_configuration_is_taken() {
    let mut toml = String::new();
    for (section, keys) in example("config").as_object().unwrap() {
        let keys = keys.as_object().unwrap();
        if section == "push" {
            for (name, keys) in keys {
                write_section(
                    &mut toml,
                    &format!("push.{name}"),
                    keys.as_object().unwrap(),
                );
            }
        } else {
            write_section(&mut toml, section, keys);
        }
    }
    let dir = TempDir::new().unwrap();
    let file = dir.path().join("tern.toml");
    fs::write(&file, toml).unwrap();
    let config = Config::load(Some(&file), &Surroundings::default()).unwrap();
    assert_eq!(config.boat.length, Metres::new(11.2));
}

fn write_section(toml: &mut String, section: &str, keys: &Map<String, Value>) {
    writeln!(toml, "[{section}]").unwrap();
    for (key, value) in keys {
        // A text or number of JSON is written alike in TOML.
        writeln!(toml, "{key} = {value}").unwrap();
    }
}

/// The metadata that every display is given says the same as the schema.
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

/// The example and three other plans: of nothing but a depth, of too little rode, of a gale.
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
    let event = validator("event");
    let events = report["events"].as_array().unwrap();
    assert!(events.len() > 5);
    for told in events {
        assert_eq!(faults(&event, told), "", "{told}");
    }
}

/// What the outbox writes, of every sort.
#[test]
fn every_message_to_a_phone_is_as_the_schema_says() {
    let messages = outbox_messages();
    let push = validator("push");
    let mut kinds = BTreeSet::new();
    for message in &messages {
        let told = json!(message);
        assert_eq!(faults(&push, &told), "", "{told}");
        kinds.insert(told["event"].to_string());
    }
    let named = schema("push")["properties"]["event"]["enum"].clone();
    assert_eq!(kinds.len(), named.as_array().unwrap().len(), "{kinds:?}");
    let alarm = messages
        .iter()
        .find(|message| message.replies.len() == 2)
        .unwrap();
    rebuild("push", &json!(alarm));
}

/// An alarm on a channel that is down for an hour, acknowledged and cleared, then weighed.
fn outbox_messages() -> Vec<Message> {
    let route = Route {
        name: "skipper".to_owned(),
        least: Some(Priority::Warning),
        quiet: None,
        after: Duration::ZERO,
        repeat: Duration::from_mins(5),
        answers: true,
        dark_after: Some(Duration::from_mins(30)),
        probe_every: Duration::from_mins(10),
    };
    let settings = outbox::words::Settings {
        boat: "Tern".to_owned(),
        instance: "1a2b3c4d".to_owned(),
        routes: vec![route],
        lost_after: Duration::from_mins(10),
        zone: windrode::time::Zone::UTC,
        key: [7; 32],
    };
    let mut now = Now::new(Tick::START, "2026-06-02T00:18:50Z".parse().unwrap());
    let mut outbox = Outbox::new(
        now,
        settings,
        outbox::words::SavedOutbox::default(),
        &[],
        true,
    );
    let mut messages = vec![outbox::test_message("Tern", "skipper", now.utc)];
    let mut view = AlertView {
        hazard: Hazard::Dragging,
        priority: Priority::Alarm,
        state: AlertState::ActiveUnacknowledged,
        message: "dragging: the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m; look outside, start the engine".to_owned(),
        since: now.utc,
        raise: 1,
        escalation: 0,
        escalated: false,
    };
    let down = Verdict::Later {
        after: None,
        why: "connection refused".to_owned(),
    };
    for (state, verdict) in [
        (AlertState::ActiveUnacknowledged, &down),
        (AlertState::Normal, &down),
        (AlertState::ActiveUnacknowledged, &Verdict::Sent),
        (AlertState::ActiveAcknowledged, &Verdict::Sent),
        (AlertState::Normal, &Verdict::Sent),
    ] {
        view.state = state;
        view.raise += 1;
        outbox.handle_alert(now, &view);
        for _ in 0..30 {
            while let Some(output) = outbox.poll_output() {
                let outbox::words::Output::Send {
                    channel,
                    ticket,
                    parcel,
                } = output
                else {
                    continue;
                };
                match parcel {
                    Parcel::Show(message)
                    | Parcel::Clear(message)
                    | Parcel::Withdraw(message)
                    | Parcel::Renew { message, .. } => messages.push(message),
                    Parcel::Probe => {}
                }
                outbox.handle_verdict(now, &channel, ticket, verdict);
            }
            now = now.plus(Duration::from_secs(20));
            outbox.handle_timeout(now);
        }
    }
    messages
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

/// An hour with every command, a receiver that fails, a wind that turns and an anchor that drags.
#[test]
fn all_that_is_published_in_an_hour_of_trouble_is_as_the_schemas_say() {
    let hour = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(hour_of_trouble())
        .unwrap();
    let (values, status, event) = (validator("values"), validator("status"), validator("event"));
    let mut seen: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    let mut latest = Map::new();
    for (path, value) in entries(&hour.published) {
        let told = json!({ path: value });
        assert_eq!(faults(&values, &told), "", "{told}");
        let kind = if value.is_null() { "null" } else { "value" };
        seen.entry(path.to_owned()).or_default().insert(kind);
        latest.insert(path.to_owned(), value.clone());
    }
    // That the hour was worth looking at: each path came, and each value that is reckoned was once known.
    for path in schema("values")["properties"].as_object().unwrap().keys() {
        let kinds = seen
            .get(path)
            .unwrap_or_else(|| panic!("`{path}` was never published"));
        let last = path.rsplit('.').next().unwrap();
        let never_known = [
            "letGo",
            "weigh",
            "acknowledge",
            "silence",
            "scopeAtHighWater",
            "underKeelAtLowWater",
        ];
        assert_eq!(
            kinds.contains("value"),
            !never_known.contains(&last) || path.starts_with("notifications"),
            "{path}"
        );
    }
    assert!(hour.events.len() > 10);
    for told in &hour.events {
        assert_eq!(faults(&event, &json!(told)), "", "{told:?}");
    }
    let told: BTreeSet<String> = hour
        .events
        .iter()
        .map(|e| json!(e.event).to_string())
        .collect();
    assert_eq!(told.len(), 5, "{told:?}");
    for report in &hour.screens {
        assert_eq!(faults(&status, &json!(report)), "", "{report:?}");
    }

    let worst = hour
        .screens
        .iter()
        .max_by_key(|report| report.alerts.len())
        .unwrap();
    assert!(!worst.alerts.is_empty());
    // The rehearsed boat has no phones.
    let mut worst = json!(worst);
    worst["phones"] = json!([{
        "channel": "skipper",
        "state": "working",
        "worked": worst["time"],
        "waiting": 0,
    }]);
    rebuild("status", &worst);
    let drag = hour
        .events
        .iter()
        .find(|event| event.hazard == Some(Hazard::Dragging))
        .unwrap();
    rebuild("event", &json!(drag));
    let mut dragging = Map::new();
    for (path, value) in entries(&hour.published_while_dragging) {
        dragging.insert(path.to_owned(), value.clone());
    }
    rebuild("values", &Value::Object(dragging));
}

/// What an hour gave.
#[derive(Default)]
struct Hour {
    published: Vec<Value>,
    /// Up to the moment when the drag was told, with a heartbeat after it.
    published_while_dragging: Vec<Value>,
    events: Vec<Event>,
    screens: Vec<StatusReport>,
}

impl Hour {
    async fn seconds(&mut self, world: &mut World, seconds: u32) -> Result<(), WorldError> {
        for _ in 0..seconds {
            world.step().await?;
            self.published.extend(world.server().take_published());
            self.events.extend(
                world
                    .outputs()
                    .into_iter()
                    .filter_map(|output| match output {
                        Output::Event(event) => Some(event),
                        _ => None,
                    }),
            );
        }
        self.screens.extend(world.status().await);
        Ok(())
    }
}

async fn hour_of_trouble() -> Result<Hour, WorldError> {
    let dir = TempDir::new().unwrap();
    let mut settings = night::settings(1, dir.path().to_owned());
    settings.begin = (Bearing::from_degrees(45.0), Metres::of(40.0));
    let berth = json!(settings.origin);
    let mut world = World::start(settings).await?;
    world.server().keep_published(1000);
    let mut hour = Hour::default();
    let put = |name: &'static str, value: Value| (format!("navigation.anchor.watch.{name}"), value);

    // Approach, with the mean wind known.
    world.boat.steam_to(Offset::ZERO, Speed::from_knots(1.0));
    order(&world, put("berth", berth.clone())).await;
    hour.seconds(&mut world, 60).await?;
    // At anchor: under 50 m of rode, then all of it as it were unknown.
    let sea = *world.sea();
    world.boat.let_go(&sea);
    world.boat.veer(Metres::of(50.0), Speed::of(1.0));
    order(&world, put("letGo", json!({"rode": 50}))).await;
    hour.seconds(&mut world, 60).await?;
    order(&world, put("rodeOut", json!(50))).await;
    order(
        &world,
        ("navigation.anchor.maxRadius".to_owned(), json!(90)),
    )
    .await;
    world.boat.dig_in();
    hour.seconds(&mut world, 15 * 60).await?;
    assert_eq!(
        hour.screens.last().map(|s| s.picture.phase.name()),
        Some("set")
    );
    // The server is down for three quarters of a minute, and has forgotten everything.
    world.server().stop();
    hour.seconds(&mut world, 45).await?;
    world.server().restart().await.unwrap();
    hour.seconds(&mut world, 6 * 60).await?;
    // Blind for two minutes, seen to by the crew.
    world.sensors().set(Instrument::Gnss, Condition::Lost);
    hour.seconds(&mut world, 80).await?;
    order(&world, put("silence", json!(true))).await;
    hour.seconds(&mut world, 40).await?;
    order(&world, put("acknowledge", json!("position"))).await;
    world.sensors().set(Instrument::Gnss, Condition::Working);
    hour.seconds(&mut world, 10).await?;
    // She drags; the crew acknowledges at a display.
    world.boat.reckon_from_here();
    world.boat.drag_at(Speed::of(0.2));
    for _ in 0..20 {
        hour.seconds(&mut world, 15).await?;
        if hour
            .events
            .iter()
            .any(|e| e.hazard == Some(Hazard::Dragging))
        {
            break;
        }
    }
    hour.published_while_dragging = hour.published.clone();
    assert!(
        world
            .acknowledge("notifications.navigation.anchor.dragging")
            .await
    );
    hour.seconds(&mut world, 5 * 60).await?;
    order(&world, put("weigh", json!(true))).await;
    world.boat.weigh();
    hour.seconds(&mut world, 15).await?;
    world.end().await?;
    Ok(hour)
}

async fn order(world: &World, (path, value): (String, Value)) {
    let outcome = world.put(&path, value).await;
    assert_eq!(outcome.status_code, 200, "{path}: {outcome:?}");
}

/// Paths and values of deltas, in their order.
fn entries(deltas: &[Value]) -> impl Iterator<Item = (&str, &Value)> {
    deltas
        .iter()
        .flat_map(|delta| delta["updates"].as_array().unwrap())
        .flat_map(|update| update["values"].as_array().unwrap())
        .map(|entry| (entry["path"].as_str().unwrap(), &entry["value"]))
}

/// What the server is told of each path.
pub(crate) fn metadata() -> Map<String, Value> {
    let delta = Publisher::new(SourceLabel::default()).introduction(
        "vessels.self",
        Timestamp::EPOCH,
        &WatchState::default(),
        1,
    );
    let delta: Value = serde_json::from_str(&delta).unwrap();
    let meta = delta["updates"][0]["meta"].as_array().unwrap();
    meta.iter()
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
    // They name each other by their file's name.
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
