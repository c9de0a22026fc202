//! A short form of the judgement: for the watch, its journal and displays.

use serde::{Deserialize, Serialize};

use super::answer::{Clearance, Finding, OwnTold};
use crate::chart::local::{Figure, gather};
use crate::chart::object::Says;
use crate::chart::own::{HERE, OwnSounding};
use crate::chart::sheet::Sheet;
use crate::chart::zone;
use crate::geodesy::{Plane, Position};
use crate::speech::Wording;
use crate::speech::charts::Sheet as Told;
use crate::units::{Bearing, Metres};

/// A summary of what lies in a circle. Depths are below chart datum, bearings true from the centre.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct RoomTold {
    /// Whether nothing speaks against lying there.
    pub clears: bool,
    /// What speaks against it, the gravest first.
    pub findings: Vec<Finding>,
    /// The same in sentences, in the same order.
    pub reasons: Vec<String>,
    /// The radius of the circle.
    pub radius: Metres,
    /// The least depth in the circle, from the chart or the boat's own soundings.
    pub least: Option<LeastTold>,
    /// The boat's own soundings in the circle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soundings: Option<OwnTold>,
    /// The danger nearest to the centre, in the circle or beyond it.
    pub nearest_danger: Option<DangerTold>,
    /// Share of the circle that is too shoal at the lowest water: 0 to 1.
    pub share_too_shoal: f64,
    /// Share that is outside every chart: 0 to 1.
    pub share_not_covered: f64,
    /// Share that a chart covers without giving a depth: 0 to 1.
    pub share_without_depth: f64,
    /// Dangers of unknown depth in the circle.
    pub unknown_dangers: usize,
    /// The chart used: name, scale, datum, edition, survey quality; `None` without a chart.
    pub chart: Option<String>,
}

/// The least depth in a circle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct LeastTold {
    /// Below chart datum; negative: drying; `None`: land, or an object that stands out of the water.
    pub depth: Option<Metres>,
    /// The object that gives it.
    pub what: String,
    /// From the centre.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
}

/// A danger near a circle.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct DangerTold {
    /// The object in words.
    pub what: String,
    /// Below chart datum; `None`: unknown, or out of the water.
    pub depth: Option<Metres>,
    /// From the centre.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
    /// Whether it lies in the circle.
    pub inside: bool,
}

/// The known depth at one place: the bounds of the charted depth area that it lies in; the boat's own sounding where it
/// is shoaler; and where no chart gives a depth, the shoalest sounding of the boat there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct DepthThere {
    /// The least depth, below chart datum; negative: drying.
    pub least: Metres,
    /// The greatest depth; `None` where the chart does not give it.
    pub most: Option<Metres>,
    /// The cell; `None` where only the boat's own soundings give a depth.
    #[serde(default)]
    pub cell: Option<String>,
    /// The shoalest of the boat's own soundings within 10 m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sounded: Option<OwnSounding>,
}

impl DepthThere {
    /// The chart gives no upper bound of the depth; soundings never do.
    #[must_use]
    pub const fn is_open(&self) -> bool {
        self.most.is_none()
    }
}

impl RoomTold {
    /// Shortens the judgement.
    #[must_use]
    pub fn of(answer: &Clearance, say: &Wording) -> Self {
        Self {
            clears: answer.clears,
            findings: answer.findings.clone(),
            reasons: answer.reasons.iter().map(|reason| short(reason)).collect(),
            radius: answer.radius,
            least: answer.least.as_ref().map(|least| LeastTold {
                depth: least.depth,
                what: short(&least.what),
                distance: least.distance,
                bearing: least.bearing,
            }),
            soundings: answer.soundings.clone(),
            nearest_danger: answer.nearest_danger.as_ref().map(|danger| DangerTold {
                what: short(&danger.what),
                depth: danger.depth,
                distance: danger.distance,
                bearing: danger.bearing,
                inside: danger.inside,
            }),
            share_too_shoal: answer.share_too_shoal,
            share_not_covered: answer.share_not_covered,
            share_without_depth: answer.share_without_depth,
            unknown_dangers: answer.unknown_danger_count,
            chart: chart_words(answer, say),
        }
    }

    /// Whether this speaks against lying there.
    #[must_use]
    pub fn found(&self, finding: Finding) -> bool {
        self.findings.contains(&finding)
    }

    /// Whether the least depth is known for all of the circle.
    #[must_use]
    pub fn is_known(&self) -> bool {
        ![
            Finding::NotCovered,
            Finding::NoDepth,
            Finding::UnknownDanger,
        ]
        .into_iter()
        .any(|finding| self.found(finding))
    }

    /// The least depth of water anywhere in the circle at this height of the tide; `None` where part of the circle is
    /// unknown, zero where there is land in it.
    #[must_use]
    pub fn least_at(&self, tide: Metres) -> Option<Metres> {
        let least = self.least.as_ref().filter(|_| self.is_known())?;
        Some(least.depth.map_or(Metres::ZERO, |depth| depth + tide))
    }
}

/// `US4MD81M 1:80 000, depths below mean lower low water, edition 31, update 3, survey quality C`; with several cells,
/// the one with precedence and the number of others.
fn chart_words(answer: &Clearance, say: &Wording) -> Option<String> {
    let (first, more) = answer.cells.split_first()?;
    let told = Told::Told {
        cell: first.told().into(),
        count: more.len() as u64,
        survey: answer
            .surveys
            .first()
            .map(|survey| format!("{:?}", survey.category)),
    };
    Some(short(&told.words(say)))
}

/// A chart's names may be long; a message is short.
fn short(text: &str) -> String {
    match text.char_indices().nth(LONGEST) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}

/// Characters. Chosen: two lines on a phone more than the longest sentence for the real cell.
const LONGEST: usize = 300;

impl Sheet {
    /// The depth that the charts and the boat's own soundings give for a place; `None` where neither gives one.
    ///
    /// Where areas of one cell overlap, the shoaler one counts. It is the depth of an area, not a sounding: the bottom
    /// there lies between its two bounds.
    #[must_use]
    pub fn depth_at(&self, place: Position) -> Option<DepthThere> {
        let plane = Plane::at(place);
        let near = gather(self, plane, BESIDE);
        let charted = near
            .iter()
            .filter_map(|local| match (&local.object.says, &local.figure) {
                (
                    Says::Depth {
                        least: Some(least),
                        most,
                    },
                    Figure::Area(rings),
                ) if zone::contains(rings, [0.0, 0.0]) => Some((local.cell, *least, *most)),
                _ => None,
            })
            .min_by(|a, b| a.0.cmp(&b.0).then(a.1.get().total_cmp(&b.1.get())))
            .and_then(|(cell, least, most)| {
                Some(DepthThere {
                    least,
                    most: most.filter(|most| *most >= least),
                    cell: Some(self.cells().get(cell)?.name.clone()),
                    sounded: None,
                })
            });
        let own: Option<&OwnSounding> = self
            .own()
            .near(plane, HERE, |_| true)
            .into_iter()
            .filter(|near| near.taken[0].hypot(near.taken[1]) <= HERE)
            .map(|near| near.sounding)
            .min_by(|a, b| a.depth.get().total_cmp(&b.depth.get()));
        let Some(shoalest) = own else {
            return charted;
        };
        // Soundings make it shoaler, never deeper. Only the shoalest of each square is kept, so the soundings never
        // show the greatest depth.
        let (least, most, cell) = match charted {
            Some(there) => (there.least.min(shoalest.depth), there.most, there.cell),
            None => (shoalest.depth, None, None),
        };
        Some(DepthThere {
            least,
            most,
            cell,
            sounded: Some(shoalest.clone()),
        })
    }
}

/// The distance in metres about a place that is searched for the area it lies in.
const BESIDE: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_name_is_cut_between_letters() {
        let long = "ä".repeat(LONGEST + 1);
        assert_eq!(short(&long).chars().count(), LONGEST + 1);
        assert_eq!(short("rock"), "rock");
    }

    #[test]
    fn an_unknown_place_has_no_least_depth() {
        let least = |depth: Option<f64>| LeastTold {
            depth: depth.map(Metres::of),
            what: "depth area".to_owned(),
            distance: Metres::ZERO,
            bearing: Bearing::default(),
        };
        let room = |depth: Option<f64>, findings: &[Finding]| RoomTold {
            least: Some(least(depth)),
            findings: findings.to_vec(),
            ..RoomTold::default()
        };
        let tide = Metres::of(-0.3);
        assert_eq!(room(Some(3.0), &[]).least_at(tide), Some(Metres::of(2.7)));
        assert_eq!(
            room(None, &[Finding::Solid]).least_at(tide),
            Some(Metres::ZERO)
        );
        for unknown in [
            Finding::NotCovered,
            Finding::NoDepth,
            Finding::UnknownDanger,
        ] {
            assert_eq!(
                room(Some(3.0), &[unknown]).least_at(tide),
                None,
                "{unknown:?}"
            );
        }
        assert_eq!(RoomTold::default().least_at(tide), None);
    }
}
