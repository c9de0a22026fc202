//! The answer: what lies in the circle, and what is reported about it.

use serde::{Deserialize, Serialize};

use crate::chart::codes::Confidence;
use crate::chart::object::About;
use crate::chart::own::ReducedBy;
use crate::geodesy::Position;
use crate::speech::Wording;
use crate::speech::charts::{Sheet, Sounded};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres};

/// The result. SI units, bearings in radians true from the centre, depths below chart datum (negative: drying).
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Clearance {
    /// Whether nothing at all speaks against the circle.
    pub clears: bool,
    /// What speaks against it, the gravest first.
    pub findings: Vec<Finding>,
    /// The same in sentences, in the same order.
    pub reasons: Vec<String>,
    /// The centre of the circle.
    pub centre: Position,
    /// The radius.
    pub radius: Metres,
    /// The start of the sector, clockwise; null for a circle.
    pub from: Option<Bearing>,
    /// The end of the sector.
    pub to: Option<Bearing>,
    /// From the surface to the keel.
    pub draught: Metres,
    /// The water that must be left under the keel.
    pub margin: Metres,
    /// The lowest tide of the stay, above chart datum.
    pub lowest_tide: Metres,
    /// The tide now, above chart datum; null when not given.
    pub tide_now: Option<Metres>,
    /// The charted depth that is just enough at the lowest water.
    pub depth_needed: Metres,
    /// The least depth in the circle, from the chart or the boat's own soundings; null where neither gives one.
    pub least: Option<Least>,
    /// The boat's own soundings in the circle; null where there are none.
    pub soundings: Option<OwnTold>,
    /// The danger nearest to the centre, in the circle or beyond it; null when none is within [`Self::searched`].
    pub nearest_danger: Option<Danger>,
    /// How far from the centre dangers were searched for.
    pub searched: Metres,
    /// Dangers of unknown depth in the circle, the nearest ones.
    pub unknown_dangers: Vec<Danger>,
    /// The number of such dangers.
    pub unknown_danger_count: usize,
    /// Share of the circle that is too shoal at the lowest water, or covered by land or an area of danger: 0 to 1.
    pub share_too_shoal: f64,
    /// Share that is outside every cell: 0 to 1.
    pub share_not_covered: f64,
    /// Share that a cell covers without giving a depth: 0 to 1.
    pub share_without_depth: f64,
    /// Cables, pipes and areas with rules that overlap the circle, the nearest first.
    pub regulated: Vec<Regulated>,
    /// Wrecks, obstructions and foul ground in the circle that are deep enough for the keel, but may foul an anchor.
    pub foul: Vec<Danger>,
    /// The quality of the survey in the circle, the poorest first.
    pub surveys: Vec<Survey>,
    /// The cells that the answer rests on, the one with precedence first.
    pub cells: Vec<CellTold>,
    /// What to check.
    pub cautions: Vec<String>,
    /// What this result is not.
    pub notice: String,
}

/// One reason against lying there, ordered by gravity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Finding {
    /// Land, or an object that stands out of the water.
    Solid,
    /// She grounds at the present tide too; or at the lowest water, if the present tide was not given.
    Grounds,
    /// She grounds at the lowest water, but floats now.
    GroundsAtLowWater,
    /// A rock, wreck or obstruction of unknown depth.
    UnknownDanger,
    /// Part of the circle is outside every cell.
    NotCovered,
    /// A cell covers part of the circle without giving a depth.
    NoDepth,
    /// Less than the margin is left under the keel.
    MarginShort,
    /// A cable on the bottom, or an area of them.
    Cable,
    /// A pipe on the bottom, or an area of them.
    Pipe,
    /// An area where anchoring or entry is prohibited or restricted.
    Restricted,
    /// A wreck, obstruction or foul ground, deep enough for the keel.
    Foul,
}

/// The least depth, and the object that gives it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Least {
    /// Below chart datum; negative: drying; null: the object stands out of the water.
    pub depth: Option<Metres>,
    /// Under the keel at the lowest water; null in the same case.
    pub under_keel: Option<Metres>,
    /// The possible error of the depth, from the quality of the survey; null where the chart does not give it.
    pub depth_error: Option<Metres>,
    /// The object that gives it, in words.
    pub what: String,
    /// Its point nearest to the centre.
    pub position: Position,
    /// From the centre.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
    /// The cell.
    pub cell: String,
}

/// The boat's own soundings in a circle: they cover only where she has been.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct OwnTold {
    /// The number of squares of about 5 m with a sounding.
    pub count: usize,
    /// The shoalest sounding, below chart datum; negative: drying.
    pub least: Metres,
    /// The time of that sounding.
    pub at: Timestamp,
    /// The tide that was used to reduce it.
    pub tide: ReducedBy,
    /// From the centre to the nearest place where it may lie.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
    /// Whether it is the least depth of the circle, shoaler than anything on the chart there.
    pub governs: bool,
}

impl OwnTold {
    /// The shoalest: `2.4 m on 2026-05-03, tide from Föglö`.
    #[must_use]
    pub fn told(&self) -> Sounded {
        Sounded::of(self.least, self.at, self.tide.told())
    }
}

/// Something dangerous.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Danger {
    /// The object in words.
    pub what: String,
    /// The S-57 acronym of its class; `own` for one of the boat's own soundings.
    pub class: &'static str,
    /// Below chart datum; null: unknown, or out of the water.
    pub depth: Option<Metres>,
    /// Its point nearest to the centre.
    pub position: Position,
    /// From the centre; zero if the centre lies in it.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
    /// Whether it lies in the circle or sector.
    pub inside: bool,
    /// The cell.
    pub cell: String,
}

/// An object with rules that overlaps the circle.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Regulated {
    /// The object in words.
    pub what: String,
    /// The S-57 acronym of its class.
    pub class: &'static str,
    /// Its name, if it has one.
    pub name: Option<String>,
    /// What is forbidden or restricted, in words.
    pub restrictions: Vec<String>,
    /// Whether any of that concerns anchoring.
    pub concerns_anchoring: bool,
    /// Further information on the chart.
    pub note: Option<String>,
    /// From the centre to its nearest point within the circle.
    pub distance: Metres,
    /// The cell.
    pub cell: String,
}

/// The quality of the survey.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Survey {
    /// The zone of confidence.
    pub category: Confidence,
    /// In words.
    pub words: String,
    /// The end date of the survey.
    pub end: Option<String>,
}

/// A cell as it is reported.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct CellTold {
    /// Its name.
    pub name: String,
    /// The denominator of its scale.
    pub scale: Option<u32>,
    /// The level that its depths are measured from, in words.
    pub datum: Option<String>,
    /// The edition.
    pub edition: Option<String>,
    /// The last update that was applied.
    pub update: Option<String>,
    /// The date of issue.
    pub issued: Option<String>,
}

impl CellTold {
    /// From the cell's description of itself.
    #[must_use]
    pub fn of(about: &About, say: &Wording) -> Self {
        Self {
            name: about.name.clone(),
            scale: about.scale,
            datum: about.datum.map(|datum| datum.told().words(say)),
            edition: about.edition.clone(),
            update: about.update.clone(),
            issued: about.issued.clone(),
        }
    }

    /// On one line: `US4MD81M, 1:80 000, depths below mean lower low water, edition 31, update 3, issued 2025-09-23`.
    #[must_use]
    pub fn told(&self) -> Sheet {
        Sheet::Cell {
            name: self.name.clone(),
            scale: self.scale.map(spaced),
            datum: self.datum.clone(),
            edition: self.edition.clone(),
            update: self.update.clone(),
            issued: self.issued.clone(),
        }
    }
}

/// With a space after each group of three digits.
fn spaced(number: u32) -> String {
    let digits = number.to_string();
    let mut spaced = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            spaced.push(' ');
        }
        spaced.push(digit);
    }
    spaced
}
