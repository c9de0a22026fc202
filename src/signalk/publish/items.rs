//! The table of what is published. Every display receives these texts as metadata.

use serde_json::{Value, json};

use super::super::figures::{position, rounded};
use crate::geodesy::Position;
use crate::units::{Bearing, LengthUnit, Metres};
use crate::watch::berth::Planned;
use crate::watch::pull::PullReading;
use crate::watch::state::WatchState;

/// One published path: its name, its meaning, and where its value comes from.
pub(super) struct Item {
    pub(super) path: &'static str,
    pub(super) name: &'static str,
    pub(super) quantity: Option<Quantity>,
    pub(super) description: &'static str,
    pub(super) value: fn(&WatchState) -> Value,
}

const fn item(
    path: &'static str,
    name: &'static str,
    quantity: Option<Quantity>,
    description: &'static str,
    value: fn(&WatchState) -> Value,
) -> Item {
    Item {
        path,
        name,
        quantity,
        description,
        value,
    }
}

/// The kind of a number, which decides the unit in which a display shows it.
///
/// Displays of signalk-server 2.32.0 convert by the category of a path. Without a category they show
/// metres as a `distance`, that is, in nautical miles or kilometres with one decimal, which is 0.0 for
/// everything here; and they show seconds as hours. So each path names its own unit (`displayUnits`):
/// `length` and `depth` are metres or feet in every preset of that server; minutes are named explicitly,
/// because no preset has them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Quantity {
    /// m, over the ground or along the rode.
    Length,
    /// m of water.
    Depth,
    /// rad.
    Angle,
    /// s.
    Time,
}

impl Quantity {
    /// The unit of the value, as the schema writes it.
    pub(super) const fn units(self) -> &'static str {
        match self {
            Self::Length | Self::Depth => "m",
            Self::Angle => "rad",
            Self::Time => "s",
        }
    }

    /// The unit in which displays show it; `lengths` is the crew's unit.
    pub(super) fn display_units(self, lengths: LengthUnit) -> Value {
        let mut shown = match self {
            Self::Length => json!({"category": "length"}),
            Self::Depth => json!({"category": "depth"}),
            Self::Angle => json!({"category": "angle"}),
            Self::Time => json!({"category": "time", "targetUnit": "minute"}),
        };
        if lengths == LengthUnit::Feet && matches!(self, Self::Length | Self::Depth) {
            shown["targetUnit"] = "foot".into();
        }
        shown
    }
}

impl Item {
    /// Whether it has a value that is sent with every heartbeat: if the value stops coming, it is out of
    /// date.
    pub(super) fn is_live(&self) -> bool {
        !COMMANDS.iter().any(|command| self.path.ends_with(command))
    }
}

/// Commands without a value of their own.
const COMMANDS: [&str; 4] = [".letGo", ".weigh", ".acknowledge", ".silence"];
const M: Option<Quantity> = Some(Quantity::Length);
const DEPTH: Option<Quantity> = Some(Quantity::Depth);
const RAD: Option<Quantity> = Some(Quantity::Angle);
const SECONDS: Option<Quantity> = Some(Quantity::Time);

/// The first three are the schema's own paths; the others stand below `navigation.anchor.watch`.
pub(super) static ITEMS: [Item; 31] = [
    item(
        "navigation.anchor.position",
        "Anchor",
        None,
        "Where the anchor probably lies; PUT a position to correct the mark",
        |p| place(p.anchor),
    ),
    item(
        "navigation.anchor.maxRadius",
        "Swinging circle",
        M,
        "Radius of the swinging circle, from the anchor to the boat's centre; PUT metres to override it, null to go back to the calculated one",
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
        "True bearing from the bow roller to the anchor; from the GPS antenna without a heading",
        |p| bearing(p.anchor_bearing),
    ),
    item(
        "navigation.anchor.watch.anchorDistance",
        "Distance to anchor",
        M,
        "From the bow roller to the anchor; from the GPS antenna without a heading",
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
        "navigation.anchor.watch.snubber",
        "Snubber",
        None,
        "A snubber or bridle that is on: at (m of rode from the anchor to its hook), length (m, from the bow roller to the hook); PUT true, an object with any of these, or false when it is off",
        |p| {
            p.snubber.map_or(Value::Null, |snubber| {
                json!({
                    "at": rounded(snubber.at.get(), 1e2),
                    "length": rounded(snubber.length.get(), 1e2),
                })
            })
        },
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
        DEPTH,
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
        "Planned position of the anchor; PUT a position, with any of scope, rode (m), wind (m/s), stay (s) beside it, or null for none",
        |p| place(p.berth),
    ),
    item(
        "navigation.anchor.watch.berthBearing",
        "Bearing to berth",
        RAD,
        "True bearing from the bow roller to the berth; once the anchor is down, from the anchor to the berth",
        |p| bearing(p.berth_bearing),
    ),
    item(
        "navigation.anchor.watch.berthDistance",
        "Distance to berth",
        M,
        "From the bow roller to the berth; once the anchor is down, from the anchor to the berth",
        |p| metres(p.berth_distance),
    ),
    item(
        "navigation.anchor.watch.plannedRode",
        "Planned rode",
        M,
        "Rode to have out at the berth, by its depth at the highest water of the stay; null without a berth or a depth there, and where the depth is the chart's and no tide is known",
        |p| metres(p.planned.as_ref().and_then(Planned::rode_known)),
    ),
    item(
        "navigation.anchor.watch.plannedRadius",
        "Planned circle",
        M,
        "Radius of the circle planned at the berth, from the anchor to the stern",
        |p| metres(p.planned.as_ref().and_then(|planned| planned.radius)),
    ),
    item(
        "navigation.anchor.watch.roomLeast",
        "Least depth in the circle",
        DEPTH,
        "Least depth anywhere in the circle at the lowest water of the stay, by the chart: about the berth, once the anchor is down about the anchor; null without a chart or where some of the circle is not charted, 0 with land in it",
        |p| metres(p.room_least),
    ),
    item(
        "navigation.anchor.watch.berthTime",
        "Time to berth",
        SECONDS,
        "Until the bow roller is at the berth at the present speed made good towards it",
        |p| plain(p.berth_time, 1.0),
    ),
    item(
        "navigation.anchor.watch.berthCrossTrack",
        "Off the line to the berth",
        M,
        "Distance of the bow roller from the line head to wind through the berth, positive to starboard of it",
        |p| metres(p.berth_cross_track),
    ),
    item(
        "navigation.anchor.watch.overshoot",
        "Overshoot",
        M,
        "How far beyond the berth to go before turning up into the wind: what she still runs from the present speed with the engine stopped",
        |p| metres(p.overshoot),
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
        "PUT true when the anchor touches bottom, or an object with any of rode (m), position, depth (m), kind, radius (m), fromTrack, reanchored",
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
