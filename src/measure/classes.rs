//! The figures by class of night: how the mark was made, instruments, wind, depth, stream, tackle, and what a second
//! sea draws as well. A way of sorting that puts all nights into one class is left out. A method that is good on the
//! whole can be bad for boats without a compass.

use serde::Serialize;

use crate::measure::night::Trial;
use crate::measure::plan::{Has, Marking, RodeTold, Weather};
use crate::measure::tally::{COUNTS_FROM, Spread, cries_wolf, spread};

/// One class of nights.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Class {
    /// How the nights are sorted.
    pub by: &'static str,
    /// The class.
    pub name: &'static str,
    /// Number of nights.
    pub nights: usize,
    /// Those in which the anchor moved far enough to count.
    pub drags: usize,
    /// The watch, then the circles.
    pub methods: Vec<InClass>,
}

/// A method in a class of nights.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct InClass {
    /// Its name.
    pub name: &'static str,
    /// Nights with an alarm of a drag while the anchor held.
    pub false_alarms: usize,
    /// Drags not found.
    pub missed: usize,
    /// Metres the anchor had moved at the alarm; a missed drag counts with its full distance.
    pub metres: Spread,
}

/// A circle: its name, its place among [`Trial::rivals`] and its threshold.
pub(super) type Circle = (&'static str, usize, f64);

/// Sorts the trials once for each way of sorting.
pub(super) fn classes(trials: &[Trial], circles: &[Circle]) -> Vec<Class> {
    let mut classes = Vec::new();
    for (by, names, class_of) in WAYS {
        let sorted: Vec<(&'static str, Vec<&Trial>)> = names
            .iter()
            .map(|name| {
                (
                    *name,
                    trials.iter().filter(|t| class_of(t) == *name).collect(),
                )
            })
            .filter(|(_, in_it): &(_, Vec<&Trial>)| !in_it.is_empty())
            .collect();
        if *by != ALWAYS && sorted.len() < 2 {
            continue;
        }
        for (name, in_it) in sorted {
            classes.push(class(by, name, &in_it, circles));
        }
    }
    classes
}

fn class(by: &'static str, name: &'static str, trials: &[&Trial], circles: &[Circle]) -> Class {
    let drags = || trials.iter().filter(|trial| trial.moved >= COUNTS_FROM);
    let in_class = |name, false_alarms, alarm: &dyn Fn(&Trial) -> Option<f64>| {
        let mut metres: Vec<f64> = drags()
            .map(|trial| alarm(trial).unwrap_or(trial.moved))
            .collect();
        metres.sort_by(f64::total_cmp);
        InClass {
            name,
            false_alarms,
            missed: drags().filter(|trial| alarm(trial).is_none()).count(),
            metres: spread(&metres),
        }
    };
    let wolf = trials.iter().filter(|trial| cries_wolf(trial)).count();
    let watch = in_class("watch", wolf, &|trial| Some(trial.alarm?.1));
    let circles = circles.iter().map(|(name, number, threshold)| {
        let ladder = |trial: &Trial| trial.rivals.get(*number).cloned();
        let wolf = trials
            .iter()
            .filter(|trial| ladder(trial).is_some_and(|ladder| ladder.quiet >= *threshold))
            .count();
        in_class(name, wolf, &|trial| {
            Some(ladder(trial)?.passed(*threshold)?.1)
        })
    });
    Class {
        by,
        name,
        nights: trials.len(),
        drags: drags().count(),
        methods: std::iter::once(watch).chain(circles).collect(),
    }
}

/// A way of sorting: its name, the classes in order, and the class of a night.
type Way = (
    &'static str,
    &'static [&'static str],
    fn(&Trial) -> &'static str,
);

const WAYS: &[Way] = &[
    (
        ALWAYS,
        &["in time", "early", "late", "typed", "from the track"],
        mark,
    ),
    (
        "instruments",
        &["all", "no wind", "no compass", "neither", "no velocity"],
        instruments,
    ),
    ("wind at first", WINDS, wind_at_first),
    ("wind at the drag, or most", WINDS, wind),
    ("depth", &["3-6 m", "6-10 m", "10 m and more"], depth),
    ("stream", &["none", "some", "light wind over it"], stream),
    ("scope", &["below 5:1", "5-7:1", "7:1 and more"], scope),
    (
        "drag begins",
        &["first half hour", "later, or never"],
        begins,
    ),
    ("rode told", &["right", "20 % short", "20 % long"], told),
    (
        "in light air she lies",
        &["near the end", "slack", "caught on the bottom"],
        lies,
    ),
];

/// There is at least one class.
const ALWAYS: &str = "mark";
const WINDS: &[&str] = &[
    "below 6 kn",
    "6-11 kn",
    "11-16 kn",
    "16-22 kn",
    "22 kn and more",
];

const fn mark(trial: &Trial) -> &'static str {
    match trial.plan.marking {
        Marking::InTime => "in time",
        Marking::Early(_) => "early",
        Marking::Late(_) => "late",
        Marking::Typed(_) => "typed",
        Marking::FromTrack => "from the track",
    }
}

const fn instruments(trial: &Trial) -> &'static str {
    match trial.plan.has {
        Has {
            velocity: false, ..
        } => "no velocity",
        Has {
            compass: true,
            wind: true,
            ..
        } => "all",
        Has { compass: true, .. } => "no wind",
        Has { wind: true, .. } => "no compass",
        Has { .. } => "neither",
    }
}

fn wind_at_first(trial: &Trial) -> &'static str {
    let first = trial.plan.sea.wind.first();
    wind_band(first.map_or(0.0, |knot| knot.speed.knots()))
}

fn wind(trial: &Trial) -> &'static str {
    wind_band(trial.wind.knots())
}

const fn wind_band(knots: f64) -> &'static str {
    match knots {
        knots if knots < 6.0 => "below 6 kn",
        knots if knots < 11.0 => "6-11 kn",
        knots if knots < 16.0 => "11-16 kn",
        knots if knots < 22.0 => "16-22 kn",
        _ => "22 kn and more",
    }
}

fn depth(trial: &Trial) -> &'static str {
    match trial.plan.sea.seabed.charted.get() {
        metres if metres < 6.0 => "3-6 m",
        metres if metres < 10.0 => "6-10 m",
        _ => "10 m and more",
    }
}

fn stream(trial: &Trial) -> &'static str {
    if trial.plan.sea.stream.get() <= 0.0 {
        "none"
    } else if trial.plan.weather == Weather::Stream {
        "light wind over it"
    } else {
        "some"
    }
}

fn scope(trial: &Trial) -> &'static str {
    let plan = &trial.plan;
    let height = plan.sea.seabed.charted + plan.sea.m2.amplitude + plan.boat.roller_height;
    match plan.rode.get() / height.get() {
        scope if scope < 5.0 => "below 5:1",
        scope if scope < 7.0 => "5-7:1",
        _ => "7:1 and more",
    }
}

fn begins(trial: &Trial) -> &'static str {
    let drag = trial.plan.drag.as_ref();
    if drag.is_some_and(|drag| drag.begins.as_secs() < FIRST_HALF_HOUR) {
        "first half hour"
    } else {
        "later, or never"
    }
}

const fn told(trial: &Trial) -> &'static str {
    match trial.plan.told {
        RodeTold::Right => "right",
        RodeTold::Short => "20 % short",
        RodeTold::Long => "20 % long",
    }
}

fn lies(trial: &Trial) -> &'static str {
    match trial.plan.stirred {
        Some(stirred) if stirred.hanging.kink.is_some() => "caught on the bottom",
        Some(stirred) if stirred.hanging.lazy >= SLACK => "slack",
        _ => "near the end",
    }
}

/// Seconds since the night began: she lets go within the second minute.
const FIRST_HALF_HOUR: u64 = 32 * 60;
/// Share of her reach by which she lies nearer in no wind: more than with any chain of the first sea.
const SLACK: f64 = 0.3;
