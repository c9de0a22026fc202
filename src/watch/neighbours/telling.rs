//! Every sentence about neighbours, and the figures behind them. Hazard `neighbour`.

use std::cmp::Reverse;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::danger::{Danger, Found};
use crate::alert::desk::{Cause, Finding};
use crate::alert::hazard::Priority;
use crate::geodesy::Position;
use crate::speech::alerts::{Alert, Vessel};
use crate::speech::{Sentence, Whole};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres, Speed};
use crate::watch::judgement::{centimetres, finding};

/// What a neighbour is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Doing {
    /// At anchor, by her own report or because she lies still.
    AtAnchor,
    /// Moored or aground, by her own report.
    Moored,
    /// She lay still and has left her place.
    LeftHerPlace,
    /// Under way.
    UnderWay,
}

impl Doing {
    const fn name(self) -> &'static str {
        match self {
            Self::AtAnchor => "atAnchor",
            Self::Moored => "moored",
            Self::LeftHerPlace => "leftHerPlace",
            Self::UnderWay => "underWay",
        }
    }
}

/// A neighbour as displays may show her; SI, true bearings, WGS 84.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Neighbour {
    /// Her name, or the context the server gives her.
    pub name: String,
    /// What she is doing.
    pub doing: Doing,
    /// Her centre, as far as it is known, when she was last heard.
    pub position: Position,
    /// Bearing from our centre to hers.
    pub bearing: Bearing,
    /// Distance from our centre to hers.
    pub distance: Metres,
    /// Seconds since then.
    pub heard_ago: f64,
    /// Over the ground, when she was last heard.
    pub speed: Option<Speed>,
    /// The circle in which she swings, while she lies still.
    pub circle: Option<HerCircle>,
    /// Room between our circle and hers if each boat lies at the near edge; negative if the circles
    /// overlap.
    pub room_at_worst: Option<Metres>,
    /// Room between the boats if both lie the same way, in any direction.
    pub room_together: Option<Metres>,
}

/// A neighbour's circle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct HerCircle {
    /// Where her anchor probably lies.
    pub anchor: Position,
    /// To the farthest part of her hull.
    pub radius: Metres,
    /// Derived by common practice from her length in this depth; otherwise from her track.
    pub assumed: bool,
}

impl Neighbour {
    /// What is reported about her, without her name.
    #[must_use]
    pub fn told(&self) -> Vessel {
        let room = |room: Option<Metres>| room.filter(|room| *room >= Metres::ZERO).map(Whole);
        let heard = Duration::try_from_secs_f64(self.heard_ago).unwrap_or_default();
        Vessel::Row {
            bearing: self.bearing,
            distance: self.distance,
            doing: self.doing.name(),
            speed: self.speed.filter(|_| self.circle.is_none()),
            heard,
            circle: self.circle.map(|circle| Whole(circle.radius)),
            assumed: self.circle.is_some_and(|circle| circle.assumed),
            rooms: self.room_together.is_some() && self.room_at_worst.is_some(),
            together: room(self.room_together),
            worst: room(self.room_at_worst),
        }
    }
}

/// A danger and the vessel that causes it.
#[derive(Clone, Debug)]
pub(super) struct Told {
    pub(super) number: u32,
    pub(super) name: String,
    pub(super) found: Found,
}

/// The dangers: the gravest is reported in full, two more by name, and each is a separate cause. `unseen`: when we
/// last knew our own position, if that is past.
pub(super) fn told(mut all: Vec<Told>, unseen: Option<Timestamp>) -> Option<Finding<Sentence>> {
    all.sort_by_key(|it| {
        (
            Reverse(it.found.priority),
            // A vessel that is not closing comes after those that are.
            it.found.after.unwrap_or(Duration::MAX),
            it.number,
        )
    });
    let (first, others) = all.split_first()?;
    let (shown, more) = others.split_at(others.len().min(MOST_TOLD - 1));
    let also = shown.iter().map(|told| Vessel::Also {
        name: told.name.clone(),
        off: Whole(told.found.gap),
        bearing: told.found.bearing,
    });
    let alert = Alert::Neighbours {
        first: sentence(first).into(),
        also: Sentence::several(also, ""),
        more: more.len() as u64,
        unseen,
        danger: match first.found.danger {
            Danger::Leaves => "leaves",
            Danger::Passes => "passes",
            Danger::LiesCloser => "liesCloser",
        },
    };
    // Named or not, each vessel sounds separately.
    let causes = all.iter().take(MOST_CAUSES).map(|told| Cause::Neighbour {
        number: told.number,
        alarm: told.found.priority >= Priority::Alarm,
    });
    Some(Finding {
        causes: causes.collect(),
        ..finding(first.found.priority, 0.0, alert, evidence(first))
    })
}

fn sentence(told: &Told) -> Vessel {
    let Told { name, found, .. } = told;
    let name = name.clone();
    let (off, bearing) = (Whole(found.gap), found.bearing);
    let heard = Some(found.heard).filter(|heard| *heard > HEARD_NOW);
    let closing = Speed::of(found.closing.max(0.0));
    let least = (found.least > MAY_TOUCH).then_some(Whole(found.least));
    match found.danger {
        Danger::Leaves => Vessel::Leaves {
            name,
            off,
            bearing,
            after: found.after,
            closing,
            least,
            heard,
        },
        Danger::Passes => Vessel::Passes {
            name,
            off,
            bearing,
            after: found.after.unwrap_or_default(),
            closing,
            least,
            heard,
        },
        Danger::LiesCloser => Vessel::LiesCloser {
            name,
            off,
            bearing,
            heard,
        },
    }
}

fn evidence(told: &Told) -> Value {
    let found = &told.found;
    json!({
        "neighbour": told.name,
        "neighbourBearing": (found.bearing.get() * 1e4).round() / 1e4,
        "neighbourGap": centimetres(found.gap),
        "neighbourLeast": centimetres(found.least),
        "neighbourClosing": (found.closing * 100.0).round() / 100.0,
        "neighbourAfter": found.after.map(|after| after.as_secs()),
    })
}

/// This many vessels are named and acknowledged one by one.
const MOST_TOLD: usize = 3;
/// This many vessels count as separate causes. More never come close at once.
const MOST_CAUSES: usize = 64;
/// The error of a fix.
const MAY_TOUCH: Metres = Metres::of(10.0);
const HEARD_NOW: Duration = Duration::from_secs(30);

#[cfg(test)]
mod tests {
    use super::*;

    fn danger(number: u32, priority: Priority, after: Option<u64>) -> Told {
        Told {
            number,
            name: format!("Tern {number}"),
            found: Found {
                danger: Danger::Passes,
                priority,
                gap: Metres::of(40.0),
                bearing: Bearing::from_degrees(40.0),
                closing: 1.0,
                least: Metres::ZERO,
                after: after.map(Duration::from_secs),
                heard: Duration::ZERO,
            },
        }
    }

    /// The vessel that may touch first is reported in full, before one that is not closing. Each of the five is a
    /// cause, although two are not named.
    #[test]
    fn the_most_urgent_comes_first_and_each_is_a_cause() {
        let all = vec![
            danger(1, Priority::Warning, None),
            danger(2, Priority::Warning, Some(60)),
            danger(3, Priority::Warning, Some(300)),
            danger(4, Priority::Alarm, Some(90)),
            danger(5, Priority::Warning, None),
        ];
        let causes = told(all, None).unwrap().causes;
        let wanted = [(4, true), (2, false), (3, false), (1, false), (5, false)];
        let wanted = wanted.map(|(number, alarm)| Cause::Neighbour { number, alarm });
        assert_eq!(causes, wanted);
    }

    /// Class B reports every half minute under way: an older position is reported with its age.
    #[test]
    fn how_old_her_position_is_is_said_if_it_is_not_from_just_now() {
        let heard = |seconds: u64| {
            let mut told = danger(1, Priority::Warning, None);
            told.found.heard = Duration::from_secs(seconds);
            match sentence(&told) {
                Vessel::Passes { heard, .. } => heard,
                other => panic!("{other:?}"),
            }
        };
        assert_eq!(heard(29), None);
        assert_eq!(heard(170), Some(Duration::from_secs(170)));
    }

    /// Two vessels that pass within the error of a fix may touch, so no distance is named.
    #[test]
    fn the_least_distance_is_said_where_it_is_more_than_the_error_of_a_fix() {
        let least = |metres: f64| {
            let mut told = danger(1, Priority::Warning, None);
            told.found.least = Metres::of(metres);
            match sentence(&told) {
                Vessel::Passes { least, .. } => least.is_some(),
                other => panic!("{other:?}"),
            }
        };
        assert!(!least(9.0) && least(11.0));
    }
}
