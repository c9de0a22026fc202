//! `windrode-signalk(7)`: the published values from the publisher's metadata, the hazards, and an example of each order.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::filled;
use crate::alert::hazard::Hazard;
use crate::config::documents::roff;
use crate::rehearse::drill::SHOWN;
use crate::signalk::publish::metadata;
use crate::signalk::put::{COMMANDS, STANDARD};
use crate::speech::drills::DrillTold;
use crate::speech::{Language, Sentence, Wording};
use crate::units::LengthUnit;

pub(super) fn page() -> String {
    let (_, _, first) = &ORDERS[0];
    let (what, example) = &first[0];
    assert_eq!(*what, "with 40 m of rode");
    let value: Value = serde_json::from_str(example).unwrap();
    let curl = format!(
        "curl -X PUT -H \"Authorization: Bearer $TOKEN\" \\\n  -H 'Content-Type: application/json' -d '{}' \\\n  http://localhost:3000/signalk/v1/api/vessels/self/{}\n",
        json!({ "value": value }),
        path(ORDERS[0].0).replace('.', "/")
    );
    filled(
        include_str!("windrode-signalk.7.in"),
        &[
            ("@VALUES@", &values()),
            ("@DRILL@", &drill()),
            ("@HAZARDS@", &hazards()),
            ("@CURL@", &escaped(&curl)),
            ("@FRAME@", &frame(ORDERS[0].0, example)),
            ("@ORDERS@", &orders()),
        ],
    )
}

/// The metadata that every display receives.
fn values() -> String {
    let mut text = String::new();
    for entry in metadata(LengthUnit::Metres) {
        let unit = entry["value"].get("units").and_then(Value::as_str);
        let unit = unit.map_or(String::new(), |unit| format!(" Pq {unit}"));
        let word = |name: &str| entry["value"][name].as_str().unwrap_or_default();
        _ = writeln!(text, ".It Li {}{unit}", entry["path"].as_str().unwrap());
        text += &roff(&format!(
            "{}. {}.",
            word("displayName"),
            word("description")
        ));
    }
    text
}

/// The values that a drill shows, and the mark of its alerts in each language.
fn drill() -> String {
    let shown = SHOWN.map(|path| format!("`{}`", path.rsplit('.').next().unwrap()));
    let marks = Language::ALL.map(|language| {
        let mark = Sentence::from(DrillTold::Mark).words(&Wording::in_language(language));
        format!("`{mark}` ({})", language.code())
    });
    roff(&format!(
        "Of the values below it sends only {}. Each of its alerts begins with a mark in the crew's language: {}.",
        shown.join(", "),
        marks.join(", ")
    ))
}

fn hazards() -> String {
    let mut text = String::new();
    for hazard in Hazard::ALL {
        let (priority, when, then) = told(hazard);
        _ = writeln!(text, ".It Li {hazard} Pq {priority}");
        text += &roff(when);
        text += &roff(then);
        text += &roff(&format!("Alert identifier: {}.", hazard.identifier()));
    }
    text
}

fn orders() -> String {
    let mut text = String::new();
    for (name, about, examples) in ORDERS {
        _ = writeln!(text, ".Ss {name}");
        text += &roff(about);
        for (what, value) in examples {
            let mut what = (*what).to_owned();
            what.get_mut(..1).map(str::make_ascii_uppercase);
            let frame = frame(name, value);
            _ = write!(
                text,
                ".Pp\n{what}:\n.Bd -literal -offset indent\n{frame}.Ed\n"
            );
        }
    }
    text
}

fn path(name: &str) -> String {
    let below = if STANDARD.contains(&name) {
        ""
    } else {
        "watch."
    };
    format!("navigation.anchor.{below}{name}")
}

fn frame(name: &str, value: &str) -> String {
    let value: Value = serde_json::from_str(value).unwrap();
    let (path, value) = (json!(path(name)), value.to_string());
    format!(
        "{{\"context\": \"vessels.self\", \"requestId\": \"1\", \"put\":\n  {{\"path\": {path},\n   \"value\": {value}}}}}\n"
    )
}

fn escaped(text: &str) -> String {
    text.replace('\\', "\\e")
}

/// Name, effect, and examples: the purpose, and the value as JSON.
type Order = (
    &'static str,
    &'static str,
    &'static [(&'static str, &'static str)],
);

const ORDERS: [Order; 10] = [
    (
        "letGo",
        "The anchor touches bottom: mark it under the bow roller. The value is `true`, or an object with any of `rode` (m, in all), `position`, `depth` (m, of water at the anchor), `kind` (`anchor`, `secondAnchor`, `mooring`, `shoreLine`, `sternTo`), `radius` (m, the circle; needed without a rode), `fromTrack` (find its position from the track) and `reanchored` (replace the mark there is).",
        &[
            ("with 40 m of rode", r#"{"rode": 40}"#),
            ("rode to be entered later", "true"),
            ("a second anchor", r#"{"kind": "secondAnchor", "rode": 30}"#),
            ("a mooring buoy", r#"{"kind": "mooring", "radius": 15}"#),
            (
                "lines to the shore, stern to",
                r#"{"kind": "sternTo", "radius": 8}"#,
            ),
            (
                "it was let go long ago",
                r#"{"rode": 40, "fromTrack": true}"#,
            ),
            (
                "she was anchored again without weighing",
                r#"{"reanchored": true, "rode": 40}"#,
            ),
            (
                "its position is known",
                r#"{"rode": 40, "position": {"latitude": 59.8539, "longitude": 23.26}}"#,
            ),
        ],
    ),
    (
        "rodeOut",
        "How much rode is out now, in metres, measured from the bow roller.",
        &[("45 m are out", "45")],
    ),
    (
        "snubber",
        "A snubber or bridle takes the pull: she lies to the rode from the anchor to the hook, and to the snubber from there to the bow. The value is `true`, an object with any of `at` (m, rode from the anchor to the hook; the rode that is out when not given) and `length` (m, from the bow roller to the hook; `tackle.snubber_length` when not given), or `false` when it is off.",
        &[
            ("hooked on where the rode comes over the roller", "true"),
            (
                "hooked on at 40 m of rode, 8 m long",
                r#"{"at": 40, "length": 8}"#,
            ),
            ("it is off", "false"),
        ],
    ),
    (
        "pullTest",
        "The engine pulls at the anchor: `true` begins a test, `false` ends it with a verdict.",
        &[("begin", "true"), ("end", "false")],
    ),
    (
        "acknowledge",
        "Stop the sound: `true` for all alerts, or the name of one hazard.",
        &[("all", "true"), ("one", r#""windShift""#)],
    ),
    (
        "silence",
        "Hold the sound for 30 s: `true` for all alerts, or the name of one hazard.",
        &[("one", r#""dragging""#)],
    ),
    (
        "weigh",
        "The anchor is up: the watch ends. The value is `true`.",
        &[("end the watch", "true")],
    ),
    (
        "berth",
        "The planned place of the anchor: a position, or `null` for none. Beside latitude and longitude it takes any of `scope` (a plain number), `rode` (m), `wind` (m/s, the strongest mean wind expected) and `stay` (s). The circle is sized from the depth that the chart gives there, or else from the depth sounded now. It is drawn as a region beside the berth's waypoint and checked against the chart. The answer has the figures and waits at most two seconds for the chart.",
        &[
            (
                "plan a berth",
                r#"{"latitude": 59.8539, "longitude": 23.26}"#,
            ),
            (
                "with a scope of 6, 25 kn of wind and two days",
                r#"{"latitude": 59.8539, "longitude": 23.26, "scope": 6, "wind": 12.9, "stay": 172800}"#,
            ),
            ("remove it", "null"),
        ],
    ),
    (
        "position",
        "Correct where the anchor lies. It uses the standard's own path.",
        &[(
            "move the mark",
            r#"{"latitude": 59.8539, "longitude": 23.26}"#,
        )],
    ),
    (
        "maxRadius",
        "A swinging circle that you choose, in metres from the mark to the boat's centre, or `null` for the circle calculated from the rode. It uses the standard's own path.",
        &[("a circle of 45 m", "45"), ("the calculated one", "null")],
    ),
];

/// Priorities, causes, and what to do.
fn told(hazard: Hazard) -> (&'static str, &'static str, &'static str) {
    match hazard {
        Hazard::Dragging => (
            "alarm; caution before it, while the probability of a drag is one half or more",
            "The bow lies farther out than a holding anchor allows, or than it usually lies tonight, and the evidence has lasted.",
            "Look outside, start the engine; veer if there is room, or weigh. At a caution: check the position.",
        ),
        Hazard::SwingExceeded => (
            "alarm",
            "The boat's centre is outside the circle.",
            "Look for shallows and neighbours; check that the circle is right.",
        ),
        Hazard::Shoaling => (
            "alarm; warning for low water",
            "Less than 0.5 m under the keel now, at low water over the ground she has swung over, or by the chart at low water anywhere in the circle she can swing over. Land and dangers of unknown depth in that circle raise it too. Water that no chart covers is not judged, and windrode says so.",
            "Check sounder and tide table; move to deeper water.",
        ),
        Hazard::Neighbour => (
            "warning; alarm when she may touch within minutes",
            "AIS shows, while the boat is at anchor, that a vessel that lay still leaves her place and drifts this way, will pass closer than `neighbour.distance` within 3 min, or now lies closer than before. Positions are good to about 10 m and up to 3 min old.",
            "Look outside; show a light, wake her crew, start the engine.",
        ),
        Hazard::Position => (
            "alarm; caution for a single jump",
            "At anchor there is no usable fix for a minute: none arrives, or it is repeated, frozen, leaping or wandering. Frozen means that the coordinates do not change: for 20 s with the same speed above zero, for 30 s while the speed shows that she moves, for 2 min while the heading shows it, or for 2 min if the last digits moved before and satellites, dilution and speed do not change either; otherwise for 20 min. A jump that no boat can make is a caution at once, and the drag is judged without it for at most 45 s; three jumps within 10 min are an alarm.",
            "Keep a lookout, take bearings; check the receiver.",
        ),
        Hazard::DataLink => (
            "alarm; warning",
            "At anchor, no server or nothing from it for 30 s; a warning when the server does not take what windrode sends.",
            "Keep a lookout; check server, network and rights.",
        ),
        Hazard::Watch => (
            "warning; caution",
            "windrode itself is impaired: the disk fails, no channel to a phone works, the house battery is low, or it was stopped at anchor. Somebody ended the watch, widened the circle or moved the mark over the data server (a caution from the terminal). She lies still with no anchor marked, or drifts after weighing with the engine off. This computer's clock was set.",
            "`windrode status` and the log say what; let go, if she is at anchor.",
        ),
        Hazard::Instrument => (
            "caution; warning",
            "An instrument that worked before gives no usable value for two minutes: wind, sounder, heading, at anchor the speed over the ground; the revolutions during a pull test; AIS for ten minutes where several vessels lie close by. A warning for the wind in a mean of 25 kn, and for the sounder while the tide falls below the margin.",
            "Check the instrument; the alert says what is not watched without it.",
        ),
        Hazard::WindShift => (
            "warning",
            "The mean wind has turned by 60 degrees since the anchor was set, or since a shift was acknowledged, and stayed.",
            "Check shelter, swinging room and how she is lying.",
        ),
        Hazard::WindStrength => (
            "warning",
            "The mean wind is 25 kn and stayed there, or a gust is 35 kn.",
            "Check the rode for chafe; veer if there is room; have the engine ready.",
        ),
        Hazard::ScopeShort => (
            "caution; warning in strong wind",
            "Set, and the scope is below 5:1 at the coming high water, or now without a tide; below 7:1 in a mean wind of 30 kn.",
            "Veer if there is room.",
        ),
    }
}

/// Every example on the page is accepted as written, and no order is missing.
#[test]
fn every_order_has_an_example_that_is_taken() {
    let mut shown = ORDERS.map(|(name, _, _)| name);
    let mut taken = COMMANDS;
    shown.sort_unstable();
    taken.sort_unstable();
    assert_eq!(shown, taken);
    for (name, _, examples) in ORDERS {
        assert!(!examples.is_empty(), "{name}");
        for (_, value) in examples {
            let frame: Value = serde_json::from_str(&frame(name, value)).unwrap();
            let path = frame["put"]["path"].as_str().unwrap();
            let order = crate::signalk::put::parse_put(path, &frame["put"]["value"]);
            assert!(order.is_ok(), "{frame}: {order:?}");
        }
    }
}
