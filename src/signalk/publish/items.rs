//! The table of what is published. The texts reach every display as metadata.

use serde_json::{Value, json};

use super::super::figures::{position, rounded};
use crate::geodesy::Position;
use crate::units::{Bearing, Metres};
use crate::watch::pull::PullReading;
use crate::watch::state::WatchState;

/// One published path: what it is called, what it means, and where its value comes from.
pub(super) struct Item {
    pub(super) path: &'static str,
    pub(super) name: &'static str,
    pub(super) units: Option<&'static str>,
    pub(super) description: &'static str,
    pub(super) value: fn(&WatchState) -> Value,
}

const fn item(
    path: &'static str,
    name: &'static str,
    units: Option<&'static str>,
    description: &'static str,
    value: fn(&WatchState) -> Value,
) -> Item {
    Item {
        path,
        name,
        units,
        description,
        value,
    }
}

const M: Option<&str> = Some("m");
const RAD: Option<&str> = Some("rad");
const SECONDS: Option<&str> = Some("s");

/// The first three are the schema's own paths; the rest stands below `navigation.anchor.watch`.
pub(super) static ITEMS: [Item; 25] = [
    item(
        "navigation.anchor.position",
        "Anchor",
        None,
        "Where the anchor is taken to lie; PUT a position to correct the mark",
        |p| place(p.anchor),
    ),
    item(
        "navigation.anchor.maxRadius",
        "Swinging circle",
        M,
        "Radius of the swinging circle, from the anchor to the boat's centre; PUT metres to override it, null to go back to the reckoned one",
        |p| metres(p.max_radius),
    ),
    item(
        "navigation.anchor.currentRadius",
        "Anchor to boat",
        M,
        "Distance from the anchor to the boat's centre now",
        |p| metres(p.current_radius),
    ),
    item(
        "navigation.anchor.watch.phase",
        "Anchor watch",
        None,
        "aweigh, setting, set or dragging",
        |p| p.phase.name().into(),
    ),
    item(
        "navigation.anchor.watch.anchorBearing",
        "Bearing to anchor",
        RAD,
        "True bearing from the bow roller to the anchor",
        |p| bearing(p.anchor_bearing),
    ),
    item(
        "navigation.anchor.watch.anchorDistance",
        "Distance to anchor",
        M,
        "From the bow roller to the anchor",
        |p| metres(p.anchor_distance),
    ),
    item(
        "navigation.anchor.watch.rodeOut",
        "Rode out",
        M,
        "Rode veered, measured from the bow roller; PUT metres when it changes",
        |p| metres(p.rode_out),
    ),
    item(
        "navigation.anchor.watch.reach",
        "Reach",
        M,
        "The farthest the bow roller can lie from an anchor that holds",
        |p| metres(p.reach),
    ),
    item(
        "navigation.anchor.watch.scope",
        "Scope",
        None,
        "Rode out over depth now plus height of the bow roller",
        |p| plain(p.scope, 1e3),
    ),
    item(
        "navigation.anchor.watch.scopeAtHighWater",
        "Scope at high water",
        None,
        "Rode out over depth at the coming high water plus height of the bow roller",
        |p| plain(p.scope_at_high_water, 1e3),
    ),
    item(
        "navigation.anchor.watch.dragProbability",
        "Dragging",
        None,
        "How sure it is that the anchor drags, 0 to 1",
        |p| plain(p.drag_probability, 1e3),
    ),
    item(
        "navigation.anchor.watch.anchorMoved",
        "Anchor moved",
        M,
        "How far the anchor is thought to have moved since it was let go",
        |p| metres(p.anchor_moved),
    ),
    item(
        "navigation.anchor.watch.fixUncertainty",
        "Fix uncertainty",
        M,
        "95 % uncertainty of the bow roller's position",
        |p| metres(p.fix_uncertainty),
    ),
    item(
        "navigation.anchor.watch.windShift",
        "Wind shift",
        RAD,
        "Change of the wind's direction since the anchor was set, positive veering",
        |p| {
            p.wind_shift
                .map_or(Value::Null, |a| rounded(a.get(), 1e4).into())
        },
    ),
    item(
        "navigation.anchor.watch.underKeelAtLowWater",
        "Under keel at low water",
        M,
        "Depth of water under the keel at the coming low water",
        |p| metres(p.under_keel_at_low_water),
    ),
    item(
        "navigation.anchor.watch.headToWindCourse",
        "Head to wind",
        RAD,
        "True course that heads into the wind",
        |p| bearing(p.head_to_wind_course),
    ),
    item(
        "navigation.anchor.watch.berth",
        "Berth",
        None,
        "Planned position of the anchor; PUT a position, or null for none",
        |p| place(p.berth),
    ),
    item(
        "navigation.anchor.watch.berthBearing",
        "Bearing to berth",
        RAD,
        "True bearing from the bow roller to the berth",
        |p| bearing(p.berth_bearing),
    ),
    item(
        "navigation.anchor.watch.berthDistance",
        "Distance to berth",
        M,
        "From the bow roller to the berth",
        |p| metres(p.berth_distance),
    ),
    item(
        "navigation.anchor.watch.berthTime",
        "Time to berth",
        SECONDS,
        "Until the bow roller is at the berth at the present speed over the ground",
        |p| plain(p.berth_time, 1.0),
    ),
    item(
        "navigation.anchor.watch.pullTest",
        "Pull test",
        None,
        "How the anchor holds under the engine: load (Hz), held (s), moved (m, away from the anchor), uncertainty (m, 95 %), verdict (held, yielding or cannotTell), why, running; PUT true to begin, false to end",
        |p| pull(p.pull_test.as_ref()),
    ),
    item(
        "navigation.anchor.watch.letGo",
        "Let go",
        None,
        "PUT true when the anchor touches bottom, or an object with any of rode (m), position, depth (m), kind, radius (m), fromTrack",
        |_| Value::Null,
    ),
    item(
        "navigation.anchor.watch.weigh",
        "Weigh",
        None,
        "PUT true when the anchor is aweigh: the watch ends",
        |_| Value::Null,
    ),
    item(
        "navigation.anchor.watch.acknowledge",
        "Acknowledge",
        None,
        "PUT true for all alerts, or the name of one hazard",
        |_| Value::Null,
    ),
    item(
        "navigation.anchor.watch.silence",
        "Silence",
        None,
        "PUT true to hold the sound of all alerts for a short time, or the name of one hazard",
        |_| Value::Null,
    ),
];

fn pull(value: Option<&PullReading>) -> Value {
    value.map_or(Value::Null, |reading| {
        json!({
            "load": reading.load.map(|load| rounded(load.get(), 1e1)),
            "held": reading.held,
            "moved": rounded(reading.moved.get(), 1e2),
            "uncertainty": rounded(reading.uncertainty.get(), 1e2),
            "verdict": reading.verdict.name(),
            "why": reading.why,
            "running": reading.running,
        })
    })
}

fn place(value: Option<Position>) -> Value {
    value.map_or(Value::Null, position)
}

fn metres(value: Option<Metres>) -> Value {
    value.map_or(Value::Null, |m| rounded(m.get(), 1e2).into())
}

fn bearing(value: Option<Bearing>) -> Value {
    value.map_or(Value::Null, |b| {
        let radians = rounded(b.get(), 1e4);
        // The last ten-thousandth of the circle rounds up to a whole turn, which is north.
        if radians >= std::f64::consts::TAU {
            0.0.into()
        } else {
            radians.into()
        }
    })
}

fn plain(value: Option<f64>, parts: f64) -> Value {
    value
        .filter(|value| value.is_finite())
        .map_or(Value::Null, |value| rounded(value, parts).into())
}
