//! The plan of an anchorage: how much rode to veer, whether it is aboard, how far she swings, which load the wind
//! puts on the tackle. All of it is calculated from [`PlanInputs`], which a configuration, the command line or a
//! live picture fill in.
//!
//! **Rode.** `scope × (depth at the highest water of the stay + roller)`, rounded up to the next mark. The scope
//! follows common practice (no source): 5:1 in good holding, 7:1 in unknown holding, in a strong wind, or where rope
//! comes over the roller, 10:1 in winds of a tropical storm. Each can be set; a scope that the crew asks for takes
//! precedence.
//!
//! **Circles.** By [`super::circle`]: the rode drawn straight and stretched, at lowest and at highest
//! water; in the wind expected as it hangs by [`super::catenary`] under H-40's load.
//!
//! Unknown figures are listed among the assumptions, with the cost of relying on them; reasons for the crew to stop
//! are among the cautions. The plan never claims that the anchor holds.
//!
//! Weakness: that of all parts (a flat bottom, a steady pull for a sheering boat, the sounding at the boat for the
//! depth at the anchor). Tests: `src/tackle/plan/tests.rs`.

mod planner;
mod say;
mod telling;

use serde::{Serialize, Serializer};

pub use say::ratio;

use super::catenary::Lie;
use super::circle::Circle;
use super::scope;
use super::strength::{GroundTackle, Lift, Limit};
use super::water::{Below, Depths, Missing, Sounding, Tide};
use crate::boat::Boat;
use crate::speech::charts::ScopeWhy;
use crate::speech::plans;
use crate::speech::{Language, Wording};
use crate::time::Timestamp;
use crate::units::{Angle, LengthUnit, Metres, Newtons, Speed};

/// Everything a plan is made from.
#[derive(Clone, Debug)]
pub struct PlanInputs {
    /// The depth and its reference.
    pub sounding: Sounding,
    /// The tide over the stay, if known.
    pub tide: Option<Tide>,
    /// The end of the stay, for the text.
    pub until: Option<Timestamp>,
    /// The boat.
    pub boat: Boat,
    /// The tackle she lies to.
    pub tackle: GroundTackle,
    /// By which fraction the rode stretches under load, as the watch assumes it.
    pub stretch: f64,
    /// The scopes, and the one that the crew asks for.
    pub scopes: Scopes,
    /// The holding.
    pub holding: Holding,
    /// The strongest mean wind expected.
    pub wind: Option<Speed>,
    /// Rode that is out already.
    pub rode_out: Option<Metres>,
    /// The least depth required under the keel.
    pub keel_margin: Metres,
    /// The unit of lengths in sentences.
    pub say: LengthUnit,
    /// The language of sentences; data for programs is in English.
    pub language: Language,
    /// Values that were not entered but received, for the list of assumptions.
    pub heard: Vec<plans::Assumed>,
}

/// Scopes by condition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scopes {
    /// The scope that the crew asks for, whatever the conditions.
    pub asked: Option<f64>,
    /// In good holding.
    pub good: f64,
    /// In a strong wind, in unknown holding, or with rope over the roller.
    pub strong: f64,
    /// In a storm.
    pub storm: f64,
    /// The wind that counts as strong.
    pub strong_wind: Speed,
    /// The wind that counts as a storm.
    pub storm_wind: Speed,
}

/// The quality of the holding.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Holding {
    /// Good: sand, mud, clay, and other boats have held.
    Good,
    /// Unknown.
    #[default]
    Unknown,
    /// Poor: rock, weed, soft mud.
    Poor,
}

/// The plan. Lengths in metres, speeds in metres a second, forces in newtons.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Plan {
    /// What the plan is not.
    pub notice: String,
    /// The rode that the scope requires at the highest water.
    pub rode: Metres,
    /// The scope to aim for.
    pub scope: f64,
    /// Why this scope.
    #[serde(serialize_with = "in_english")]
    pub scope_because: ScopeWhy,
    /// The total to have out: `rode` up to the next mark, or all there is.
    pub veer: Metres,
    /// Whether the rode aboard allows the scope; `None` if the rode aboard is unknown.
    pub enough: Option<bool>,
    /// All the rode aboard.
    pub aboard: Option<Metres>,
    /// Rode that is out already.
    pub rode_out: Option<Metres>,
    /// The rode on which everything below is based: what is out, otherwise what is to be veered.
    pub holds_for: Metres,
    /// Its scope at the highest water.
    pub scope_at_highest: Option<f64>,
    /// Its scope now.
    pub scope_now: Option<f64>,
    /// The greatest distance from anchor to bow roller, with the rode drawn straight at the lowest water, not
    /// stretched; `None` if it does not reach the bottom.
    pub reach: Option<Metres>,
    /// The greatest distance of the stern from the anchor, with the rode stretched: the widest of the circles.
    pub swing_radius: Option<Metres>,
    /// At the lowest and at the highest water, and in the wind expected.
    pub circles: Circles,
    /// Depths of water over the stay.
    pub depth: Depths,
    /// The depth figure they come from, as measured.
    pub sounded: Metres,
    /// The reference it was measured from.
    pub below: Below,
    /// Height of the bow roller above the water.
    pub roller: Metres,
    /// Least depth under the keel at the lowest water, if the draught is known.
    pub under_keel_at_lowest: Option<Metres>,
    /// The source of the tide.
    pub tide: TideTold,
    /// The end of the stay.
    pub until: Option<Timestamp>,
    /// The holding.
    pub holding: Holding,
    /// The wind expected, and its effect; `None` when none was given.
    pub wind: Option<WindPlan>,
    /// When the rode begins to lift the anchor; `None` if its material is unknown.
    pub lift: Option<Lift>,
    /// Working loads of what is out.
    pub limits: Vec<Limit>,
    /// Values that were assumed because they were not entered.
    pub assumptions: Vec<String>,
    /// What the crew should check.
    pub cautions: Vec<String>,
}

/// The circles of a plan; `None` if the rode does not reach the bottom.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Circles {
    /// At the lowest water of the stay.
    pub lowest: Option<Circle>,
    /// At the highest.
    pub highest: Option<Circle>,
    /// In the wind expected, at the lowest water, under H-40's load.
    pub wind: Option<Circle>,
}

/// The source of the tide, and the cost of relying on it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct TideTold {
    /// `server`, `prediction`, `typed`, or `none`.
    pub source: &'static str,
    /// In words.
    pub words: String,
    /// The cost of relying on it.
    pub cost: String,
}

/// The effect of the wind expected.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct WindPlan {
    /// Mean speed.
    pub speed: Speed,
    /// The boat's steady drag.
    pub pull: Newtons,
    /// H-40's design load.
    pub design_load: Newtons,
    /// How the rode lies under the steady pull, at the highest water.
    pub steady: Option<LieTold>,
    /// How it lies under the design load.
    pub design: Option<LieTold>,
}

/// How the rode lies.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct LieTold {
    /// Distance from anchor to roller.
    pub distance: Metres,
    /// Tension at the roller.
    pub tension: Newtons,
    /// Length on the bottom.
    pub on_bottom: Metres,
    /// The angle at which the anchor is pulled.
    pub lead: Angle,
}

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// The depth of water is unknown.
    #[error(transparent)]
    Depth(#[from] Missing),
    /// Chain and rope are given, but not where one ends.
    #[error("a rode of chain and rope needs the length of the chain")]
    ChainLength,
    /// There is neither water nor a roller above it.
    #[error("there is no height from the bottom to the roller")]
    NoHeight,
}

/// Data for programs is in English.
fn in_english<S: Serializer>(why: &ScopeWhy, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&why.clone().words(&Wording::default()))
}

impl PlanInputs {
    /// A plan for this boat over this sounding, in metres and English, with nothing known of the ground, the wind
    /// and the tide.
    #[must_use]
    pub fn of(sounding: Sounding, boat: Boat) -> Self {
        Self {
            sounding,
            tide: None,
            until: None,
            boat,
            tackle: GroundTackle::default(),
            stretch: 0.0,
            scopes: Scopes::default(),
            holding: Holding::Unknown,
            wind: None,
            rode_out: None,
            keel_margin: Metres::of(0.5),
            say: LengthUnit::Metres,
            language: Language::English,
            heard: Vec::new(),
        }
    }

    /// How the plan is written.
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording::of(self.say, self.language)
    }
}

impl Plan {
    /// The greatest distance of the stern from the anchor if the lowest water is `low`: the less water, the farther
    /// the rode reaches.
    #[must_use]
    pub fn radius_over(&self, low: Metres, boat: &Boat, stretch: f64) -> Option<Metres> {
        let low = scope::reach(self.holds_for, low, boat.roller_height(), stretch)
            .map(|reach| Circle::about(reach, boat).stern);
        let circles = [self.swing_radius, low].into_iter().flatten();
        circles.reduce(Metres::max)
    }
}

impl Circles {
    /// The greatest radius of the stern.
    #[must_use]
    pub fn widest(&self) -> Option<Metres> {
        let circles = [self.lowest, self.highest, self.wind];
        let sterns = circles.into_iter().flatten().map(|circle| circle.stern);
        sterns.reduce(Metres::max)
    }
}

impl Default for Scopes {
    fn default() -> Self {
        Self {
            asked: None,
            good: 5.0,
            strong: 7.0,
            storm: 10.0,
            strong_wind: Speed::from_knots(30.0),
            storm_wind: Speed::from_knots(34.0),
        }
    }
}

impl From<Lie> for LieTold {
    fn from(lie: Lie) -> Self {
        Self {
            distance: lie.distance,
            tension: lie.tension,
            on_bottom: lie.on_bottom,
            lead: lie.lead,
        }
    }
}

/// Makes the plan.
pub fn plan(inputs: &PlanInputs) -> Result<Plan, PlanError> {
    planner::Planner::new(inputs).map(planner::Planner::plan)
}

#[cfg(test)]
mod tests;
