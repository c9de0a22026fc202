//! Every row of the table, and what is not in it.

#![allow(clippy::unwrap_used, clippy::panic)]
use super::*;

fn read(path: &str, value: &Value) -> (Option<Fact>, Option<String>) {
    let text = value.to_string();
    let wire: Wire<'_> = serde_json::from_str(&text).unwrap();
    let (fact, fault) = find(path).unwrap().fact(path, &wire);
    (fact, fault.map(|fault| fault.to_string()))
}

fn fact(path: &str, value: &Value) -> Fact {
    let (fact, fault) = read(path, value);
    assert_eq!(fault, None, "{path}");
    fact.unwrap()
}

/// Units and shapes are those of the schema 1.8.2.
#[test]
#[expect(clippy::too_many_lines, reason = "one row for each path")]
fn each_path_becomes_the_fact_with_the_right_reference() {
    let m = |value| Some(Metres::of(value));
    let v = |value| Some(Speed::of(value));
    let b = |value| Some(Bearing::of(value));
    let a = |value| Some(Angle::of(value));
    for (path, value, wanted) in [
        (
            "navigation.position",
            json!({"latitude": 59.8539, "longitude": 23.26}),
            Fact::Position(Position::new(59.8539, 23.26).ok()),
        ),
        (
            "navigation.speedOverGround",
            json!(0.4),
            Fact::SpeedOverGround(v(0.4)),
        ),
        (
            "navigation.courseOverGroundTrue",
            json!(3.2),
            Fact::CourseOverGround(b(3.2)),
        ),
        (
            "navigation.headingTrue",
            json!(6.29),
            Fact::HeadingTrue(b(6.29)),
        ),
        (
            "navigation.headingMagnetic",
            json!(4),
            Fact::HeadingMagnetic(a(4.0)),
        ),
        (
            "navigation.magneticVariation",
            json!(-0.1),
            Fact::MagneticVariation(a(-0.1)),
        ),
        (
            "navigation.speedThroughWater",
            json!(-0.2),
            Fact::SpeedThroughWater(v(-0.2)),
        ),
        (
            "navigation.gnss.satellites",
            json!(11),
            Fact::Satellites(Some(11)),
        ),
        (
            "navigation.gnss.horizontalDilution",
            json!(0.8),
            Fact::HorizontalDilution(Some(0.8)),
        ),
        (
            "navigation.gnss.methodQuality",
            json!("no GPS"),
            Fact::FixMethod(Some(FixMethod::NoFix)),
        ),
        (
            "navigation.gnss.integrity",
            json!("Unsafe"),
            Fact::FixIntegrity(Some(FixIntegrity::Unsafe)),
        ),
        (
            "environment.wind.speedApparent",
            json!(9),
            Fact::WindSpeedApparent(v(9.0)),
        ),
        (
            "environment.wind.angleApparent",
            json!(-0.5),
            Fact::WindAngleApparent(a(-0.5)),
        ),
        (
            "environment.wind.speedTrue",
            json!(9),
            Fact::WindSpeedTrue(v(9.0)),
        ),
        (
            "environment.wind.speedOverGround",
            json!(9),
            Fact::WindSpeedOverGround(v(9.0)),
        ),
        (
            "environment.wind.angleTrueWater",
            json!(0.5),
            Fact::WindAngleTrueWater(a(0.5)),
        ),
        (
            "environment.wind.angleTrueGround",
            json!(0.5),
            Fact::WindAngleTrueGround(a(0.5)),
        ),
        (
            "environment.wind.directionTrue",
            json!(0.5),
            Fact::WindDirectionTrue(b(0.5)),
        ),
        (
            "environment.wind.directionMagnetic",
            json!(0.5),
            Fact::WindDirectionMagnetic(a(0.5)),
        ),
        (
            "environment.depth.belowKeel",
            json!(3.1),
            Fact::DepthBelowKeel(m(3.1)),
        ),
        (
            "environment.depth.belowTransducer",
            json!(3.1),
            Fact::DepthBelowTransducer(m(3.1)),
        ),
        (
            "environment.depth.belowSurface",
            json!(3.1),
            Fact::DepthBelowSurface(m(3.1)),
        ),
        (
            "environment.depth.surfaceToTransducer",
            json!(0.5),
            Fact::SurfaceToTransducer(m(0.5)),
        ),
        (
            "environment.depth.transducerToKeel",
            json!(1.4),
            Fact::TransducerToKeel(m(1.4)),
        ),
        (
            "propulsion.port.revolutions",
            json!(30),
            Fact::Revolutions {
                engine: Label::new("port"),
                rate: Some(Hertz::of(30.0)),
            },
        ),
        (
            "design.length",
            json!({"overall": 11.2, "hull": 10.9}),
            Fact::Length(m(11.2)),
        ),
        ("design.length", json!({"hull": 10.9}), Fact::Length(None)),
        ("design.beam", json!(3.6), Fact::Beam(m(3.6))),
        (
            "design.draft",
            json!({"maximum": 1.9}),
            Fact::Draught(m(1.9)),
        ),
        (
            "environment.tide.heightHigh",
            json!(3.5),
            Fact::TideHigh(m(3.5)),
        ),
        (
            "environment.tide.timeHigh",
            json!("2026-06-01T21:30:00Z"),
            Fact::TideTimeHigh("2026-06-01T21:30:00Z".parse().ok()),
        ),
        (
            "environment.tide.heightLow",
            json!(null),
            Fact::TideLow(None),
        ),
        (
            "sensors.gps.fromBow",
            json!(9.1),
            Fact::AntennaFromBow(m(9.1)),
        ),
        (
            "sensors.gps.fromCenter",
            json!(-0.3),
            Fact::AntennaFromCentre(m(-0.3)),
        ),
        (
            "navigation.state",
            json!("anchored"),
            Fact::NavState(Some(NavState::AtAnchor)),
        ),
        (
            "navigation.state",
            json!("motoring"),
            Fact::NavState(Some(NavState::UnderWay)),
        ),
        ("navigation.state", json!("default"), Fact::NavState(None)),
        (
            "sensors.ais.fromBow",
            json!(8),
            Fact::AntennaFromBow(m(8.0)),
        ),
        (
            "sensors.ais.fromCenter",
            json!(-1),
            Fact::AntennaFromCentre(m(1.0)),
        ),
        (
            "design.aisShipType",
            json!({"id": 36, "name": "Sailing"}),
            Fact::ShipType(Some(36)),
        ),
        (
            "",
            json!({"name": "Tern", "mmsi": "230099999"}),
            Fact::Name(Some(Label::new("Tern"))),
        ),
    ] {
        assert_eq!(fact(path, &value), wanted, "{path}");
    }
}

#[test]
fn a_null_is_a_lost_sensor_without_a_fault() {
    for row in &TABLE {
        let path = row.path.replace('*', "port");
        if path.is_empty() {
            continue;
        }
        let (fact, fault) = read(&path, &Value::Null);
        assert!(fact.is_some(), "{path}");
        assert_eq!(fault, None, "{path}");
    }
    assert_eq!(
        fact(
            "navigation.position",
            &json!({"latitude": null, "longitude": null})
        ),
        Fact::Position(None)
    );
}

#[test]
fn an_impossible_value_is_unknown_and_the_fault_gives_the_reason() {
    for (path, value, wanted, fault) in [
        (
            "navigation.position",
            json!({"latitude": 91, "longitude": 0}),
            Fact::Position(None),
            "is no position that can be",
        ),
        (
            "navigation.position",
            json!("here"),
            Fact::Position(None),
            "is a text, no position",
        ),
        (
            "navigation.headingTrue",
            json!(350),
            Fact::HeadingTrue(None),
            "is no direction in radians that can be",
        ),
        (
            "environment.depth.belowKeel",
            json!("3.1"),
            Fact::DepthBelowKeel(None),
            "is a text, no length in metres",
        ),
        (
            "navigation.gnss.methodQuality",
            json!("splendid"),
            Fact::FixMethod(None),
            "is no word of the schema",
        ),
        (
            "navigation.gnss.satellites",
            json!(7.5),
            Fact::Satellites(None),
            "is no count that can be",
        ),
        (
            "design.length",
            json!(11.2),
            Fact::Length(None),
            "is a number, no object of lengths",
        ),
        (
            "environment.wind.speedTrue",
            json!({"latitude": 1, "longitude": 1}),
            Fact::WindSpeedTrue(None),
            "is a position, no speed in m/s",
        ),
    ] {
        let (found, complaint) = read(path, &value);
        assert_eq!(found, Some(wanted), "{path} {value}");
        assert_eq!(complaint.as_deref(), Some(fault), "{path} {value}");
    }
}

#[test]
fn attributes_without_a_name_are_ignored() {
    assert_eq!(read("", &json!({"mmsi": "230099999"})), (None, None));
    assert_eq!(read("", &json!(null)), (None, None));
}

#[test]
fn only_the_table_s_paths_are_read() {
    for path in [
        "navigation.position",
        "propulsion.engine_1.revolutions",
        "",
        HEARTBEAT,
        "notifications.navigation.anchor.dragging",
    ] {
        assert!(wanted(path), "{path}");
    }
    for path in [
        "navigation.headingCompass",
        "propulsion.port.temperature",
        "propulsion..revolutions",
        "propulsion.a.b.revolutions",
        "navigation.anchor.position",
        "notifications.navigation.anchor",
        "notifications.navigation.anchor.mob",
        "environment.water.temperature",
    ] {
        assert!(!wanted(path), "{path}");
    }
    // The pattern itself is a row, so a sender of a literal `*` does no harm.
    assert!(find(ENGINES).is_some());
}

#[test]
fn subscriptions_ask_for_every_row_and_never_debounce() {
    let messages = subscriptions(&OwnPaths::default());
    assert_eq!(messages.len(), 2);
    let own: Value = serde_json::from_str(&messages[0]).unwrap();
    assert_eq!(own["context"], "vessels.self");
    let paths = own["subscribe"].as_array().unwrap();
    assert_eq!(paths.len(), TABLE.len() - OF_OTHERS_ALONE + 2);
    assert!(paths.iter().all(|entry| entry["policy"] == "instant"));
    for path in ["notifications.navigation.anchor.*", HEARTBEAT] {
        assert!(paths.iter().any(|entry| entry["path"] == path), "{path}");
    }
    let others: Value = serde_json::from_str(&messages[1]).unwrap();
    assert_eq!(
        others,
        json!({"context": "vessels.*", "subscribe": [
            {"path": "navigation.position", "period": 5000},
            {"path": "navigation.speedOverGround", "period": 5000},
            {"path": "navigation.courseOverGroundTrue", "period": 5000},
            {"path": "navigation.headingTrue", "period": 5000},
            {"path": "", "period": 5000},
            {"path": "design.length", "period": 5000},
            {"path": "design.beam", "period": 5000},
            {"path": "navigation.state", "period": 5000},
            {"path": "sensors.ais.fromBow", "period": 5000},
            {"path": "sensors.ais.fromCenter", "period": 5000},
            {"path": "design.aisShipType", "period": 5000},
        ]})
    );
    assert!(!messages.concat().contains("minPeriod") && !messages.concat().contains("ideal"));
    let counted = subscriptions(&OwnPaths {
        counter: Some("windlass.rode".to_owned()),
        battery: None,
    });
    assert!(
        counted[0].contains(r#"{"path":"windlass.rode","policy":"instant"}"#),
        "{}",
        counted[0]
    );
}

const OF_OTHERS_ALONE: usize = 4;

/// ITU-R M.1371-5: 102.3 kn, 360°, 511°, 91° N, 181° E are "not available"; the values next to them are
/// real.
#[test]
fn values_not_available_to_a_transponder_are_unknown_without_a_fault() {
    let turn = std::f64::consts::TAU;
    for (path, value, known) in [
        ("navigation.speedOverGround", json!(52.627_8), false),
        ("navigation.speedOverGround", json!(52.576_3), true),
        ("navigation.courseOverGroundTrue", json!(turn), false),
        ("navigation.courseOverGroundTrue", json!(7.1471), false),
        ("navigation.courseOverGroundTrue", json!(6.281_44), true),
        ("navigation.headingTrue", json!(8.918_6), false),
        ("navigation.headingTrue", json!(6.265_7), true),
        (
            "navigation.position",
            json!({"latitude": 91, "longitude": 181}),
            false,
        ),
        (
            "navigation.position",
            json!({"latitude": 59.85, "longitude": 181}),
            false,
        ),
        (
            "navigation.position",
            json!({"latitude": -89.9, "longitude": 180}),
            true,
        ),
    ] {
        let text = value.to_string();
        let wire: Wire<'_> = serde_json::from_str(&text).unwrap();
        let (fact, fault) = find(path).unwrap().fact_of_other(path, &wire);
        let is = match fact.unwrap() {
            Fact::SpeedOverGround(speed) => speed.is_some(),
            Fact::CourseOverGround(bearing) | Fact::HeadingTrue(bearing) => bearing.is_some(),
            Fact::Position(position) => position.is_some(),
            other => panic!("{other:?}"),
        };
        assert_eq!((is, fault), (known, None), "{path} {text}");
    }
}
