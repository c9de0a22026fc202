//! The plan of an anchorage: how much rode, whether it is aboard, how far she swings, what the wind
//! asks of the tackle. All of it from [`PlanInputs`], which a configuration, the command line or a
//! live picture fill in.
//!
//! **Rode.** `scope × (depth at the highest water of the stay + roller)`, rounded up to the next
//! mark. The scope by common practice (no source): 5:1 in holding known to be good, 7:1 in holding
//! not known, in a strong wind, or where rope comes over the roller, 10:1 in winds of a tropical
//! storm; each can be set, and one that is asked for wins.
//!
//! **Circles.** By [`super::circle`]: the rode drawn straight and stretched, at lowest and at highest
//! water; in the wind expected as it hangs by [`super::catenary`] under H-40's load.
//!
//! What is not known is said among the assumptions, and what it costs; what should stop the crew
//! stands among the cautions. Nothing here says that the anchor holds.
//!
//! Weakness: all of the parts' (flat bottom, a steady pull for a sheering boat, the sounding here
//! for the depth there). Tests: `src/tackle/plan/tests.rs`.

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
    /// The depth and from where.
    pub sounding: Sounding,
    /// The tide over the stay, if anybody knows it.
    pub tide: Option<Tide>,
    /// Until when she stays, for the words.
    pub until: Option<Timestamp>,
    /// The boat.
    pub boat: Boat,
    /// What she lies to.
    pub tackle: GroundTackle,
    /// How much longer the rode grows under load, as the watch takes it: a fraction.
    pub stretch: f64,
    /// Scopes, and the one that is asked for.
    pub scopes: Scopes,
    /// What is known of the holding.
    pub holding: Holding,
    /// The strongest mean wind expected.
    pub wind: Option<Speed>,
    /// Rode that is out already.
    pub rode_out: Option<Metres>,
    /// Least depth wanted under the keel.
    pub keel_margin: Metres,
    /// The unit of lengths in sentences.
    pub say: LengthUnit,
    /// The language of sentences; data for programs is in English.
    pub language: Language,
    /// What was not entered but heard, for the list of what is assumed.
    pub heard: Vec<plans::Assumed>,
}

/// Scopes by condition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scopes {
    /// The crew asks for this one, whatever the conditions.
    pub asked: Option<f64>,
    /// In holding known to be good.
    pub good: f64,
    /// In a strong wind, in holding not known, with rope over the roller.
    pub strong: f64,
    /// In a storm.
    pub storm: f64,
    /// What wind is strong.
    pub strong_wind: Speed,
    /// What wind is a storm.
    pub storm_wind: Speed,
}

/// What is known of the holding.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Holding {
    /// Known to be good: sand, mud, clay, and others have held.
    Good,
    /// Nobody knows.
    #[default]
    Unknown,
    /// Known to be poor: rock, weed, soft mud.
    Poor,
}

/// The plan. Lengths in metres, speeds in metres a second, forces in newtons.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Plan {
    /// What the plan is not.
    pub notice: String,
    /// The rode that the scope asks for at the highest water.
    pub rode: Metres,
    /// The scope to aim for.
    pub scope: f64,
    /// Why this scope.
    #[serde(serialize_with = "in_english")]
    pub scope_because: ScopeWhy,
    /// What to have out in all: `rode` to the next mark, or all there is.
    pub veer: Metres,
    /// Does the rode aboard allow the scope wanted? `None` when it is not known what is aboard.
    pub enough: Option<bool>,
    /// All the rode aboard.
    pub aboard: Option<Metres>,
    /// Rode that is out already.
    pub rode_out: Option<Metres>,
    /// The rode that all that follows holds for: what is out, else what is to be veered.
    pub holds_for: Metres,
    /// Its scope at the highest water.
    pub scope_at_highest: Option<f64>,
    /// Its scope now.
    pub scope_now: Option<f64>,
    /// Farthest distance from anchor to bow roller, the rode drawn straight at the lowest water,
    /// not stretched; `None` when it does not reach the bottom.
    pub reach: Option<Metres>,
    /// The farthest that the stern comes from the anchor, the rode stretched: the widest of the
    /// circles.
    pub swing_radius: Option<Metres>,
    /// At the lowest and at the highest water, and in the wind expected.
    pub circles: Circles,
    /// Depths of water over the stay.
    pub depth: Depths,
    /// The figure they come from, and from where it was measured.
    pub sounded: Metres,
    /// From where.
    pub below: Below,
    /// Height of the bow roller above the water.
    pub roller: Metres,
    /// Least depth under the keel at the lowest water, where the draught is known.
    pub under_keel_at_lowest: Option<Metres>,
    /// Who told the tide.
    pub tide: TideTold,
    /// Until when.
    pub until: Option<Timestamp>,
    /// What is known of the holding.
    pub holding: Holding,
    /// The wind expected, and what it does; `None` when none was given.
    pub wind: Option<WindPlan>,
    /// When the rode begins to lift the anchor; `None` when it is not known what it is made of.
    pub lift: Option<Lift>,
    /// Working loads of what is out.
    pub limits: Vec<Limit>,
    /// What was assumed because it was not entered.
    pub assumptions: Vec<String>,
    /// What the crew should look at.
    pub cautions: Vec<String>,
}

/// The circles of a plan; `None` where the rode does not reach the bottom.
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

/// Who told the tide, and what relying on that costs.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct TideTold {
    /// `server`, `prediction`, `typed`, or `none`.
    pub source: &'static str,
    /// In words.
    pub words: String,
    /// What it costs.
    pub cost: String,
}

/// What the wind expected does.
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
    /// How steeply the anchor is pulled.
    pub lead: Angle,
}

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    /// The depth of water cannot be known.
    #[error(transparent)]
    Depth(#[from] Missing),
    /// Chain and rope are given, and not where one ends.
    #[error("a rode of chain and rope needs the length of the chain")]
    ChainLength,
    /// Neither water nor a roller above it.
    #[error("there is no height from the bottom to the roller")]
    NoHeight,
}

/// Data for programs is in English.
fn in_english<S: Serializer>(why: &ScopeWhy, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&why.clone().words(&Wording::default()))
}

impl PlanInputs {
    /// How the plan is written.
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording {
            lengths: self.say,
            language: self.language,
            ..Wording::default()
        }
    }
}

impl Plan {
    /// The farthest that the stern comes from the anchor where the water is `low` at the lowest: the less water, the
    /// farther the rode reaches.
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
