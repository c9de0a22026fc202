#![allow(clippy::unwrap_used)]
use proptest::prelude::*;

use super::*;

fn bay() -> Position {
    Position::new(59.8539, 23.26).unwrap()
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table")]
fn each_path_takes_its_value() {
    let place = json!({"latitude": 59.8539, "longitude": 23.26});
    let watch = |name: &str| format!("navigation.anchor.watch.{name}");
    for (path, value, wanted) in [
        (
            watch("letGo"),
            json!(true),
            Command::LetGo(LetGo::default()),
        ),
        (watch("letGo"), json!({}), Command::LetGo(LetGo::default())),
        (
            watch("letGo"),
            json!({"rode": 35.5, "position": place, "depth": 6, }),
            Command::LetGo(LetGo {
                rode: Some(Metres::of(35.5)),
                position: Some(bay()),
                depth: Some(Metres::of(6.0)),
                ..LetGo::default()
            }),
        ),
        (
            watch("letGo"),
            json!({"rode": 35.5, "position": null}),
            Command::LetGo(LetGo {
                rode: Some(Metres::of(35.5)),
                ..LetGo::default()
            }),
        ),
        (
            watch("rodeOut"),
            json!(42),
            Command::RodeOut(Metres::of(42.0)),
        ),
        (
            watch("letGo"),
            json!({"kind": "mooring", "radius": 14}),
            Command::LetGo(LetGo {
                kind: MooringKind::Mooring,
                radius: Some(Metres::of(14.0)),
                ..LetGo::default()
            }),
        ),
        (
            watch("letGo"),
            json!({"rode": 40, "fromTrack": true}),
            Command::LetGo(LetGo {
                rode: Some(Metres::of(40.0)),
                from_track: true,
                ..LetGo::default()
            }),
        ),
        (
            watch("letGo"),
            json!({"reanchored": true}),
            Command::LetGo(LetGo {
                reanchored: true,
                ..LetGo::default()
            }),
        ),
        (
            watch("snubber"),
            json!({"at": 40, "length": 8}),
            Command::Snubber(Some(SnubberOrder {
                at: Metres::new(40.0),
                length: Metres::new(8.0),
            })),
        ),
        (
            watch("snubber"),
            json!(true),
            Command::Snubber(Some(SnubberOrder::default())),
        ),
        (watch("snubber"), json!(false), Command::Snubber(None)),
        (watch("pullTest"), json!(true), Command::PullTest(true)),
        (watch("pullTest"), json!(false), Command::PullTest(false)),
        (watch("weigh"), json!(true), Command::Weigh),
        (
            watch("acknowledge"),
            json!(true),
            Command::Acknowledge(None),
        ),
        (
            watch("acknowledge"),
            json!("windShift"),
            Command::Acknowledge(Some(Hazard::WindShift)),
        ),
        (
            watch("silence"),
            json!("dragging"),
            Command::Silence(Some(Hazard::Dragging)),
        ),
        (
            watch("berth"),
            place.clone(),
            Command::Berth(Some(bay().into())),
        ),
        (
            watch("berth"),
            json!({"latitude": 59.8539, "longitude": 23.26, "scope": 6, "rode": 45, "wind": 12.5, "stay": 86400}),
            Command::Berth(Some(BerthOrder {
                position: bay(),
                wishes: BerthWishes {
                    scope: Some(6.0),
                    rode: Metres::new(45.0),
                    wind: Speed::new(12.5),
                    stay: Some(Duration::from_hours(24)),
                },
            })),
        ),
        (watch("berth"), Value::Null, Command::Berth(None)),
        (
            "navigation.anchor.position".into(),
            json!({"latitude": 59.8539, "longitude": 23.26, "altitude": -6}),
            Command::CorrectMark(bay()),
        ),
        (
            "navigation.anchor.maxRadius".into(),
            json!(55),
            Command::MaxRadius(Some(Metres::of(55.0))),
        ),
        (
            "navigation.anchor.maxRadius".into(),
            Value::Null,
            Command::MaxRadius(None),
        ),
    ] {
        assert_eq!(parse_put(&path, &value), Ok(wanted), "{path} {value}");
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "a table")]
fn a_refusal_gives_the_value_and_what_to_write() {
    let watch = |name: &str| format!("navigation.anchor.watch.{name}");
    for (path, value, status, wanted) in [
        (
            watch("letGo"),
            json!(false),
            400,
            "`letGo` was given `false`; write `true`, or an object with any of `rode`, `position`, `depth`, `kind`, `radius`, `fromTrack`, `reanchored`",
        ),
        (
            watch("letGo"),
            json!({"reanchored": "yes"}),
            400,
            "`letGo.reanchored` was given `\"yes\"`; write `true` or `false`",
        ),
        (
            watch("letGo"),
            json!({"rode": 40, "chain": 40}),
            400,
            "`letGo` has no member `chain`; its members are `rode`, `position`, `depth`, `kind`, `radius`, `fromTrack`, `reanchored`",
        ),
        (
            watch("letGo"),
            json!({"rode": -4}),
            400,
            "`letGo.rode` was given `-4`; write metres, more than 0 and less than 1000",
        ),
        (
            watch("letGo"),
            json!({"position": {"latitude": 95, "longitude": 0}}),
            400,
            "`letGo.position` was given `{\"latitude\":95,\"longitude\":0}`; write an object with `latitude` and `longitude` in degrees",
        ),
        (
            watch("letGo"),
            json!({"kind": "bouy"}),
            400,
            "`letGo.kind` was given `\"bouy\"`; write one of `anchor`, `secondAnchor`, `mooring`, `shoreLine`, `sternTo`",
        ),
        (
            watch("pullTest"),
            json!("astern"),
            400,
            "`pullTest` was given `\"astern\"`; write `true` to begin or `false` to end",
        ),
        (
            watch("rodeOut"),
            json!("40m"),
            400,
            "`rodeOut` was given `\"40m\"`; write metres, more than 0 and less than 1000",
        ),
        (
            watch("rodeOut"),
            json!(1000),
            400,
            "`rodeOut` was given `1000`; write metres, more than 0 and less than 1000",
        ),
        (
            watch("weigh"),
            Value::Null,
            400,
            "`weigh` was given `null`; write `true`",
        ),
        (
            watch("silence"),
            json!("mob"),
            400,
            "`silence` was given `mob`; write `true` for all or a hazard: `dragging`, `swingExceeded`, `shoaling`, `neighbour`, `position`, `dataLink`, `watch`, `instrument`, `windShift`, `windStrength`, `scopeShort`",
        ),
        (
            watch("berth"),
            json!({"lat": 59.8, "lon": 23.2}),
            400,
            "`berth` has no member `lat`; its members are `latitude`, `longitude`, `scope`, `rode`, `wind`, `stay`",
        ),
        (
            watch("berth"),
            json!([23.2, 59.8]),
            400,
            "`berth` was given `[23.2,59.8]`; write an object with `latitude` and `longitude` in degrees and maybe `scope`, `rode`, `wind`, `stay`, or `null`",
        ),
        (
            "navigation.anchor.maxRadius".into(),
            json!(0),
            400,
            "`maxRadius` was given `0`; write metres, more than 0 and less than 1000, or `null`",
        ),
        (
            watch("berth"),
            json!({"latitude": 59.8539, "longitude": 23.26, "scope": 1}),
            400,
            "`berth.scope` was given `1.0`; write a plain number from 1.5 to 20",
        ),
        (
            watch("berth"),
            json!({"latitude": 59.8539, "longitude": 23.26, "stay": "2 days"}),
            400,
            "`berth.stay` was given `\"2 days\"`; write seconds, more than 0 and at most 2592000, which is 30 days",
        ),
        (
            "navigation.anchor.currentRadius".into(),
            json!(5),
            405,
            "`navigation.anchor.currentRadius` is calculated by windrode and cannot be set; the commands are `letGo`, `rodeOut`, `snubber`, `weigh`, `acknowledge`, `silence`, `berth`, `pullTest`, `position`, `maxRadius`",
        ),
        (
            "navigation.state".into(),
            json!("anchored"),
            404,
            "`navigation.state` is not a command; the commands are `letGo`, `rodeOut`, `snubber`, `weigh`, `acknowledge`, `silence`, `berth`, `pullTest`, `position`, `maxRadius`",
        ),
    ] {
        let refusal = parse_put(&path, &value).unwrap_err();
        assert_eq!(refusal.to_string(), wanted);
        assert_eq!(refusal.status(), status, "{wanted}");
    }
    // The standard names are commands only on the standard paths.
    let aside = parse_put("navigation.anchor.watch.position", &Value::Null).unwrap_err();
    assert_eq!(aside.status(), 405);
    assert_eq!(
        parse_command("hoist", &Value::Null).unwrap_err().status(),
        404
    );
}

/// The members and the rule that `statusCode` is a number and `state` a known word: as
/// signalk-server 2.32.0 took them.
#[test]
fn the_answer_has_the_form_the_server_takes() {
    assert_eq!(
        serde_json::from_str::<Value>(&answer("f60de2a5", 400, "no fix, so no mark")).unwrap(),
        json!({"requestId": "f60de2a5", "state": "COMPLETED", "statusCode": 400, "message": "no fix, so no mark"})
    );
}

proptest! {
    #[test]
    fn any_number_is_a_length_within_bounds_or_refused(number in any::<f64>()) {
        match parse_command("rodeOut", &json!(number)) {
            Ok(Command::RodeOut(metres)) => {
                prop_assert!(metres.get() > 0.0 && metres.get() < 1000.0);
            }
            Ok(other) => prop_assert!(false, "{other:?}"),
            Err(refusal) => prop_assert!(!(number > 0.0 && number < 1000.0), "{refusal}"),
        }
    }
}
