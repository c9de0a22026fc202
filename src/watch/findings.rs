//! Hazards in words and numbers: what the alert desk is told.
//!
//! Each sentence goes: first the hazard, then the number, then what to look at.

use std::time::Duration;

use serde_json::{Map, Value, json};

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::alert::wording::Wording;
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Metres, Speed, spoken};
use crate::watch::drag::DragEvidence;
use crate::watch::intake::Fault;
use crate::watch::lying::Estimate;
use crate::watch::pull::PullReading;
use crate::watch::wind::{Blow, Shift};
use crate::watch::words::LinkState;

/// The anchor is moving.
#[must_use]
pub fn dragging(
    say: &Wording,
    evidence: &DragEvidence,
    distance: Metres,
    reach: Metres,
    to_anchor: Bearing,
) -> Finding {
    finding(
        Priority::Alarm,
        evidence.moved.get(),
        format!(
            "dragging: the anchor has moved {} or more; the mark bears {to_anchor} at {}, the rode reaches {}; look outside, start the engine",
            say.length(evidence.moved),
            say.length(distance),
            say.length(reach)
        ),
        json!({
            "anchorMoved": centimetres(evidence.moved),
            "anchorDistance": centimetres(distance),
            "reach": centimetres(reach),
            "margin": centimetres(evidence.margin),
            "dragProbability": (evidence.probability * 1e4).round() / 1e4,
        }),
    )
}

/// The boat is outside the swinging circle.
#[must_use]
pub fn swing_exceeded(say: &Wording, radius: Metres, limit: Metres) -> Finding {
    finding(
        Priority::Alarm,
        radius.get() - limit.get(),
        format!(
            "outside the swinging circle: {} from the anchor, the circle is {}; look for shallows and neighbours",
            say.length(radius),
            say.length(limit)
        ),
        json!({ "currentRadius": centimetres(radius), "maxRadius": centimetres(limit) }),
    )
}

/// The wind has gone round.
#[must_use]
pub fn wind_shift(shift: &Shift, from: Option<Bearing>) -> Finding {
    let turned = |turn: Angle| {
        let way = if turn.get() >= 0.0 {
            "veered"
        } else {
            "backed"
        };
        format!("{way} {}", turn.abs())
    };
    // The turn nobody has acknowledged comes first; who was told of the other knows it.
    let words = match shift.since_seen {
        Some(seen) if shift.unseen > 0.0 => format!(
            "{} since it was acknowledged, {} since the anchor was set",
            turned(seen),
            turned(shift.since_set)
        ),
        _ => format!("{} since the anchor was set", turned(shift.since_set)),
    };
    let now = from.map_or(String::new(), |from| format!(", now from {from}"));
    finding(
        Priority::Warning,
        shift.unseen,
        format!("wind shift: {words}{now}; look at the shelter, the room astern and how she lies"),
        json!({ "windShift": (shift.since_set.get() * 1e4).round() / 1e4 }),
    )
}

/// It blows hard. A warning: the wind itself is no damage yet, but who is told in time can veer,
/// see to the chafe and have the engine ready; what it may do (dragging, a short scope) has alarms of
/// its own.
#[must_use]
pub fn wind_strength(blow: &Blow) -> Finding {
    let what = match (blow.mean_over, blow.gust_over) {
        (true, true) => format!("mean {}, gusts to {}", blow.mean, blow.gust),
        (true, false) => format!("mean {}", blow.mean),
        (false, _) => format!("gusts to {}, mean {}", blow.gust, blow.mean),
    };
    let metres_a_second = |speed: Speed| (speed.get() * 100.0).round() / 100.0;
    finding(
        Priority::Warning,
        blow.excess.knots(),
        format!(
            "strong wind: {what}; look at the rode and its chafe, veer if there is room, have the engine ready"
        ),
        json!({
            "windSpeed": metres_a_second(blow.mean),
            "windGust": metres_a_second(blow.gust),
        }),
    )
}

/// The numbers behind a pull test.
#[must_use]
pub fn pull_evidence(reading: &PullReading) -> Map<String, Value> {
    let mut evidence = Map::new();
    if let Some(load) = reading.load {
        evidence.insert(
            "pullLoad".to_owned(),
            json!((load.get() * 100.0).round() / 100.0),
        );
    }
    evidence.insert("pullHeld".to_owned(), json!(reading.held));
    evidence.insert("pullMoved".to_owned(), json!(centimetres(reading.moved)));
    evidence.insert(
        "pullUncertainty".to_owned(),
        json!(centimetres(reading.uncertainty)),
    );
    evidence
}

/// She lies still in anchoring depth and no anchor is marked. A caution: it may be nothing, and a
/// boat alongside lies still too.
#[must_use]
pub fn unmarked(
    say: &Wording,
    lain: Duration,
    depth: Metres,
    estimate: Option<&Estimate>,
) -> String {
    let offer = estimate.map_or(String::new(), |estimate| {
        format!(
            ", `fromTrack` marks it where it seems to lie, {} off",
            say.length(estimate.radius)
        )
    });
    format!(
        "no anchor is marked: she has lain still for {} in {} of water and nobody watches her; `letGo` begins the watch{offer}",
        spoken(lain),
        say.length(depth)
    )
}

/// The water under the keel is too little, now or at low water. `slack` is what a hazard that stands
/// needs above the margin to be over; `sounded` is when `now` was sounded, where that is past.
#[must_use]
pub fn shoaling(
    say: &Wording,
    now: Option<Metres>,
    at_low: Option<Metres>,
    margin: Metres,
    slack: Metres,
    sounded: Option<Timestamp>,
) -> Option<Finding> {
    let short = |depth: Option<Metres>| depth.filter(|depth| *depth < margin + slack);
    let past = sounded.map_or(String::new(), |at| {
        format!(
            " when last sounded at {}, the sounder has lost the bottom since",
            say.clock(at)
        )
    });
    if let Some(depth) = short(now) {
        return Some(finding(
            if depth.get() <= 0.0 {
                Priority::EmergencyAlarm
            } else {
                Priority::Alarm
            },
            (margin - depth).max(Metres::ZERO).get(),
            format!(
                "shoaling: {} under the keel{past}, {} is wanted; look at the sounder and the tide, shift to deeper water",
                say.depth(depth),
                say.depth(margin)
            ),
            json!({ "underKeel": centimetres(depth) }),
        ));
    }
    short(at_low).map(|depth| {
        finding(
            Priority::Warning,
            (margin - depth).max(Metres::ZERO).get(),
            format!(
                "shoaling: at low water {} under the keel where she has swung, {} is wanted; look at the tide table",
                say.depth(depth),
                say.depth(margin)
            ),
            json!({ "underKeelAtLowWater": centimetres(depth) }),
        )
    })
}

/// The scope is less than wanted.
#[must_use]
pub fn scope_short(scope: f64, wanted: f64, when: &str, strong: bool) -> Finding {
    finding(
        if strong {
            Priority::Warning
        } else {
            Priority::Caution
        },
        0.0,
        format!(
            "scope short: {scope:.1}:1 {when}, {wanted:.0}:1 is wanted; veer more rode if there is room"
        ),
        json!({ "scope": (scope * 100.0).round() / 100.0 }),
    )
}

/// There is no usable fix.
#[must_use]
pub fn no_position(anchored: bool, silent: Duration, fault: Option<&Fault>) -> Finding {
    let why = fault.map_or_else(|| "nothing is heard".to_owned(), Fault::words);
    let cost = if anchored {
        "; the watch cannot see whether she drags, keep a lookout"
    } else {
        ""
    };
    let (what, cost) = match fault {
        Some(Fault::Disagrees(_)) if anchored => {
            ("position in doubt", "; both are doubted, keep a lookout")
        }
        _ => ("no usable position", cost),
    };
    finding(
        if anchored {
            Priority::Alarm
        } else {
            Priority::Caution
        },
        minutes(silent),
        format!("{what} for {}: {why}{cost}", spoken(silent)),
        json!({ "blindFor": silent.as_secs() }),
    )
}

/// The data server is not there, is silent, or does not take what we say.
#[must_use]
pub fn no_link(anchored: bool, silent: Duration, link: &LinkState) -> Finding {
    let (priority, message) = match link {
        LinkState::Down(why) => (
            Priority::Alarm,
            format!(
                "no data server for {}: {why}; the watch sees nothing, keep a lookout",
                spoken(silent)
            ),
        ),
        LinkState::Impaired(why) => (
            Priority::Warning,
            format!("displays may show nothing: {why}"),
        ),
        LinkState::Up => (
            Priority::Alarm,
            format!(
                "the data server has sent nothing for {}; the watch sees nothing, keep a lookout",
                spoken(silent)
            ),
        ),
    };
    finding(
        if anchored {
            priority
        } else {
            Priority::Caution
        },
        minutes(silent),
        message,
        json!({ "silentFor": silent.as_secs() }),
    )
}

/// windrode itself is impaired.
#[must_use]
pub fn impaired(anchored: bool, why: &str) -> Finding {
    finding(
        if anchored {
            Priority::Warning
        } else {
            Priority::Caution
        },
        0.0,
        format!("the watch is impaired: {why}"),
        Value::Null,
    )
}

/// Blindness grows worse by the minute.
fn minutes(silent: Duration) -> f64 {
    silent.as_secs_f64() / 60.0
}

/// To the centimetre: more digits would claim what no receiver gives.
#[must_use]
pub fn centimetres(metres: Metres) -> f64 {
    (metres.get() * 100.0).round() / 100.0
}

fn finding(priority: Priority, severity: f64, message: String, evidence: Value) -> Finding {
    Finding {
        priority,
        severity,
        message,
        evidence: match evidence {
            Value::Object(map) => map,
            _ => Map::new(),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observation::FixMethod;

    #[test]
    fn sentences_say_the_hazard_the_number_and_where_to_look() {
        let evidence = DragEvidence {
            probability: 0.998,
            moved: Metres::of(14.2),
            margin: Metres::of(10.6),
            dragging: true,
            quiet: false,
        };
        let drag = dragging(
            &Wording::default(),
            &evidence,
            Metres::of(53.0),
            Metres::of(38.8),
            Bearing::from_degrees(45.0),
        );
        assert_eq!(
            drag.message,
            "dragging: the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m; look outside, start the engine"
        );
        assert_eq!(drag.priority, Priority::Alarm);
        let feet = Wording {
            lengths: crate::units::LengthUnit::Feet,
            ..Wording::default()
        };
        let shoal = shoaling(
            &feet,
            Some(Metres::of(0.3)),
            None,
            Metres::of(0.5),
            Metres::ZERO,
            None,
        )
        .unwrap();
        assert_eq!(
            shoal.message,
            "shoaling: 1.0 ft under the keel, 1.5 ft is wanted; look at the sounder and the tide, shift to deeper water"
        );
        let turn = Shift {
            since_set: Angle::from_degrees(-75.0),
            since_seen: None,
            stands: true,
            unseen: 1.25,
        };
        let from = Some(Bearing::from_degrees(150.0));
        let shift = wind_shift(&turn, from);
        assert_eq!(
            shift.message,
            "wind shift: backed 75° since the anchor was set, now from 150°; look at the shelter, the room astern and how she lies"
        );
        let again = wind_shift(
            &Shift {
                since_seen: Some(Angle::from_degrees(65.0)),
                ..turn
            },
            from,
        );
        assert_eq!(
            again.message,
            "wind shift: veered 65° since it was acknowledged, backed 75° since the anchor was set, now from 150°; look at the shelter, the room astern and how she lies"
        );
        let blow = wind_strength(&Blow {
            mean: Speed::from_knots(27.2),
            gust: Speed::from_knots(38.0),
            mean_over: true,
            gust_over: true,
            excess: Speed::from_knots(3.0),
        });
        assert_eq!(
            blow.message,
            "strong wind: mean 27 kn, gusts to 38 kn; look at the rode and its chafe, veer if there is room, have the engine ready"
        );
        let blind = no_position(
            true,
            Duration::from_secs(45),
            Some(&Fault::Method(FixMethod::NoFix)),
        );
        assert_eq!(
            blind.message,
            "no usable position for 45 s: the receiver says it has no fix; the watch cannot see whether she drags, keep a lookout"
        );
    }

    #[test]
    fn aweigh_a_lost_sensor_is_a_caution_and_at_anchor_an_alarm() {
        let silent = Duration::from_secs(60);
        let down = LinkState::Down("connection refused".to_owned());
        assert_eq!(no_position(false, silent, None).priority, Priority::Caution);
        assert_eq!(no_position(true, silent, None).priority, Priority::Alarm);
        assert_eq!(no_link(false, silent, &down).priority, Priority::Caution);
        assert_eq!(no_link(true, silent, &down).priority, Priority::Alarm);
    }
}
