//! The answer: what there is in the circle, and what is told of it.

use serde::{Deserialize, Serialize};

use crate::chart::codes::Confidence;
use crate::chart::object::About;
use crate::chart::own::ReducedBy;
use crate::geodesy::Position;
use crate::speech::Wording;
use crate::speech::charts::{Sheet, Sounded};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres};

/// What was found. SI units, bearings in radians true from the centre, depths below chart datum (negative: drying).
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Clearance {
    /// Is there nothing against it at all?
    pub clears: bool,
    /// What is against it, the gravest first.
    pub findings: Vec<Finding>,
    /// The same in sentences, in the same order.
    pub reasons: Vec<String>,
    /// The middle of the circle.
    pub centre: Position,
    /// Its radius.
    pub radius: Metres,
    /// Where the sector begins, clockwise; null for a circle.
    pub from: Option<Bearing>,
    /// Where it ends.
    pub to: Option<Bearing>,
    /// Surface to keel.
    pub draught: Metres,
    /// Water to be left under the keel.
    pub margin: Metres,
    /// The lowest tide of the stay, above chart datum.
    pub lowest_tide: Metres,
    /// The tide now, likewise; null when not given.
    pub tide_now: Option<Metres>,
    /// The charted depth that is just enough at the lowest water.
    pub depth_needed: Metres,
    /// The least depth in the circle, by the chart or the boat's own soundings; null where neither gives one.
    pub least: Option<Least>,
    /// The boat's own soundings in the circle; null where there are none.
    pub soundings: Option<OwnTold>,
    /// The danger nearest to the centre, in the circle or beyond; null when none is within [`Self::searched`].
    pub nearest_danger: Option<Danger>,
    /// How far from the centre dangers were searched for.
    pub searched: Metres,
    /// Dangers of unknown depth in the circle, the nearest ones.
    pub unknown_dangers: Vec<Danger>,
    /// How many there are.
    pub unknown_danger_count: usize,
    /// Share of the circle that is too shoal at the lowest water, or covered by land or an area of danger: 0 to 1.
    pub share_too_shoal: f64,
    /// Share that no cell covers: 0 to 1.
    pub share_not_covered: f64,
    /// Share that a cell covers without giving a depth: 0 to 1.
    pub share_without_depth: f64,
    /// Cables, pipes and areas with rules that the circle touches, the nearest first.
    pub regulated: Vec<Regulated>,
    /// Wrecks, obstructions and foul ground in the circle deep enough for the keel; an anchor may foul them.
    pub foul: Vec<Danger>,
    /// How good the survey is in the circle, the poorest first.
    pub surveys: Vec<Survey>,
    /// The cells that the answer rests on, the one with precedence first.
    pub cells: Vec<CellTold>,
    /// What to look at.
    pub cautions: Vec<String>,
    /// What this is not.
    pub notice: String,
}

/// One thing against lying there. In the order of gravity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Finding {
    /// Land or what stands out of the water.
    Solid,
    /// She grounds, at the tide now too; or at the lowest water where the tide now was not given.
    Grounds,
    /// She grounds at the lowest water, and floats now.
    GroundsAtLowWater,
    /// A rock, wreck or obstruction of unknown depth.
    UnknownDanger,
    /// No cell covers some of it.
    NotCovered,
    /// A cell covers it and gives no depth.
    NoDepth,
    /// Less than the margin is left under the keel.
    MarginShort,
    /// A cable on the bottom, or an area of them.
    Cable,
    /// A pipe on the bottom, or an area of them.
    Pipe,
    /// An area where anchoring or entry is prohibited or restricted.
    Restricted,
    /// Wreck, obstruction or foul ground, deep enough for the keel.
    Foul,
}

/// The least depth and what gives it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Least {
    /// Below chart datum; negative: drying; null: it stands out of the water.
    pub depth: Option<Metres>,
    /// Under the keel at the lowest water; null likewise.
    pub under_keel: Option<Metres>,
    /// How far the depth may be wrong, by the survey's quality there; null where the chart does not tell.
    pub depth_error: Option<Metres>,
    /// What gives it, in words.
    pub what: String,
    /// The point of it nearest to the centre.
    pub position: Position,
    /// From the centre.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
    /// The cell.
    pub cell: String,
}

/// The boat's own soundings in a circle: they cover where she has been and nothing beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct OwnTold {
    /// How many squares of about 5 m have one.
    pub count: usize,
    /// The shoalest, below chart datum; negative: drying.
    pub least: Metres,
    /// When that was sounded.
    pub at: Timestamp,
    /// The tide it is reduced by.
    pub tide: ReducedBy,
    /// From the centre to the nearest place where it may lie.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
    /// Is it the least depth of the circle, shoaler than whatever the chart has there?
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
    /// In words.
    pub what: String,
    /// S-57's acronym of its class; `own` for a sounding of the boat's own.
    pub class: &'static str,
    /// Below chart datum; null: unknown, or out of the water.
    pub depth: Option<Metres>,
    /// The point of it nearest to the centre.
    pub position: Position,
    /// From the centre; zero when the centre lies in it.
    pub distance: Metres,
    /// From the centre.
    pub bearing: Bearing,
    /// Does it lie in the circle or sector?
    pub inside: bool,
    /// The cell.
    pub cell: String,
}

/// Something that the circle touches and that has rules.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Regulated {
    /// In words.
    pub what: String,
    /// S-57's acronym of its class.
    pub class: &'static str,
    /// Its name, if it has one.
    pub name: Option<String>,
    /// What is forbidden or restricted, in words.
    pub restrictions: Vec<String>,
    /// Does any of that concern anchoring?
    pub concerns_anchoring: bool,
    /// What else the chart says.
    pub note: Option<String>,
    /// From the centre to the nearest of it within the circle.
    pub distance: Metres,
    /// The cell.
    pub cell: String,
}

/// How good the survey is.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Survey {
    /// Zone of confidence.
    pub category: Confidence,
    /// In words.
    pub words: String,
    /// The end of the survey.
    pub end: Option<String>,
}

/// A cell as it is told.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct CellTold {
    /// Its name.
    pub name: String,
    /// The denominator of its scale.
    pub scale: Option<u32>,
    /// The level of its depths, in words.
    pub datum: Option<String>,
    /// Edition.
    pub edition: Option<String>,
    /// The last update in it.
    pub update: Option<String>,
    /// When it was issued.
    pub issued: Option<String>,
}

impl CellTold {
    /// Of what the cell says of itself.
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

/// With a space each three digits.
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
