//! The examples beside the schemas, whole and altered.

use super::*;

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

/// Each alteration is of a different kind: a member too many, one too few, a wrong unit, a wrong word.
#[test]
#[expect(clippy::too_many_lines, reason = "a table")]
fn an_altered_example_is_refused() {
    for (name, pointer, value) in [
        ("berth", "/planned/rode", json!("55 m")),
        ("berth", "/planned/depthBy", json!("guess")),
        ("berth", "/berthBearing", json!(359)),
        ("berth", "/fathoms", json!(7)),
        ("charts", "/charts/0/scale", json!("1:12 000")),
        ("charts", "/charts/0/fathoms", json!(7)),
        ("charts", "/charts/0/south", json!(95)),
        ("clearance", "/clears", json!("yes")),
        ("clearance", "/findings/0", json!("shallow")),
        ("clearance", "/least/depth", json!("1.5 m")),
        ("clearance", "/nearestDanger/bearing", json!(359)),
        ("clearance", "/shareTooShoal", json!(34)),
        ("clearance", "/surveys/0/category", json!("E")),
        ("clearance", "/regulated/0/class", json!("cable")),
        ("clearance", "/fathoms", json!(7)),
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
        ("search", "/candidates/0/rode", json!("55 m")),
        ("search", "/candidates/0/spare", json!(-1)),
        ("search", "/candidates/0/fetch/0/ends", json!("sea")),
        ("search", "/candidates/0/sheltered", json!(true)),
        ("search", "/rejected/0/against", json!("shallow")),
        ("search", "/within", json!(4000)),
        ("search", "/neighbours/0/radius", json!(-1)),
        ("search", "/candidates/0/nearestNeighbour/name", json!(7)),
        ("measure", "/raised/0/hazard", json!("draging")),
        ("measure", "/methods/0/metres/median", json!("9 m")),
        ("measure", "/methods/0/name", json!("guess")),
        ("night", "/length", json!("3")),
        ("night", "/boat/rode", json!("40 fathom")),
        ("night", "/wind", json!([])),
        ("night", "/wind/0/from", json!("SW")),
        ("night", "/happens/0/anchor_holds", json!(false)),
        ("night", "/must/0/hazard", json!("draging")),
        ("night", "/must_not/0/moved", json!("3m")),
        ("night", "/weather", json!("foul")),
        ("report", "/figures/distance/0", json!(48.2)),
        ("report", "/figures/windFrom/0", json!(359)),
        ("report", "/boat/draught", json!("1.9 m")),
        ("report", "/alerts/0/hazard", json!("shoal")),
        ("report", "/cautions", json!([])),
        ("report", "/fathoms", json!(7)),
        ("rehearsal", "/drag/seconds", json!(-1)),
        ("rehearsal", "/night", json!("")),
        ("rehearsal", "/neighbour", json!("Plover")),
        ("rehearsal", "/demands/0/met", json!("yes")),
        ("rehearsal", "/demands", json!([])),
        // Through the event's schema.
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
            "/notifications.navigation.anchor.windStrength/method",
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
        ("charts", "/charts/0/name"),
        ("clearance", "/notice"),
        ("clearance", "/nearestDanger/position"),
        ("clearance", "/cells/0/datum"),
        ("event", "/time"),
        ("event", "/hazard"),
        ("plan", "/notice"),
        ("plan", "/reach"),
        ("plan", "/limits/0/workingLoad"),
        ("measure", "/methods/0/threshold"),
        ("rehearsal", "/drag/began"),
        ("report", "/stay/letGo"),
        ("report", "/blind"),
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
    assert_eq!(config.watch.boat.length, Metres::new(11.2));
}

fn write_section(toml: &mut String, section: &str, keys: &Map<String, Value>) {
    writeln!(toml, "[{section}]").unwrap();
    for (key, value) in keys {
        // A JSON text or number is written the same way in TOML.
        writeln!(toml, "{key} = {value}").unwrap();
    }
}
