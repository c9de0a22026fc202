//! The planned berth: how much rode to veer there, and how far the boat would swing.
//!
//! **Method.** The planner of `windrode plan` ([`crate::tackle::plan`]) sizes the circle from the depth at the
//! berth: the depth area of the chart where a chart covers it, otherwise the depth sounded where the boat is now.
//! The deeper bound of a depth area sizes the rode (at the highest water of the stay) and the shoaler bound sizes
//! the circle (the less water, the farther the rode reaches), so neither comes out too small. The radius is that of
//! the stern, with the rode drawn straight. An area without a deep bound (DRVAL2) is planned with its shoal bound: the
//! plan says so, and the rode is not published. Where no chart covers the berth, the shoalest sounding that the boat
//! has taken there before is used in the same way, and after that the sounder.
//! **Follows** the tide, the berth, and what the crew entered with it; the present wind is not used.
//! **Weakness**: a depth area is wide, 5 m to 10 m is common; a sounding taken at the berth is more exact.
//! **Tests**: `src/watch/tests/berth.rs`, `tests/peers/charts.rs`.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::chart::clearance::{DepthThere, RoomTold};
use crate::geodesy::Position;
use crate::tackle::plan::{PlanInputs, Scopes, plan};
use crate::tackle::strength::GroundTackle;
use crate::tackle::water::{Below, Sounding, Tide};
use crate::time::Timestamp;
use crate::units::{Metres, Speed};
use crate::watch::round::Seen;

/// The planned place of the anchor, and what the crew entered with it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BerthOrder {
    /// Where the anchor is to lie.
    #[serde(flatten)]
    pub position: Position,
    /// The options entered with it.
    #[serde(flatten)]
    pub wishes: BerthWishes,
}

/// What the crew entered with a berth. Options that are not given take the defaults of any plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BerthWishes {
    /// The scope to plan for.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scope: Option<f64>,
    /// The rode to plan with, regardless of scope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rode: Option<Metres>,
    /// The strongest mean wind expected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind: Option<Speed>,
    /// How long she stays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stay: Option<Duration>,
}

impl From<Position> for BerthOrder {
    fn from(position: Position) -> Self {
        Self {
            position,
            wishes: BerthWishes::default(),
        }
    }
}

/// What a plan is made from, apart from the sensors.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanSettings {
    /// `tackle.*`.
    pub tackle: GroundTackle,
    /// `tackle.scope*`, `wind.strong`, `wind.storm`.
    pub scopes: Scopes,
}

/// The source of the depth at the berth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum DepthBy {
    /// The chart's depth area there.
    Chart,
    /// The shoalest sounding that the boat has taken there before; no chart gives a depth.
    Soundings,
    /// The sounder, at the boat's present position.
    Sounder,
}

/// The planned circle, for displays and `status`. Metres.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Planned {
    /// Total rode to have out.
    pub rode: Metres,
    /// The scope aimed for, and why.
    pub scope: f64,
    /// Why this scope, in words.
    pub scope_because: String,
    /// The scope that this rode gives at the highest water.
    pub scope_at_high_water: Option<f64>,
    /// How far the stern can lie from the anchor; `None` if the rode does not reach the bottom.
    pub radius: Option<Metres>,
    /// All the rode aboard, if known.
    pub rode_aboard: Option<Metres>,
    /// Is the rode aboard enough for the scope?
    pub enough: Option<bool>,
    /// The source of the depth.
    pub depth_by: DepthBy,
    /// The depth that the chart gives there.
    pub charted: Option<DepthThere>,
    /// Depth of water at the highest water of the stay, by the deeper bound.
    pub depth_at_high_water: Metres,
    /// The depth at the lowest water, by the shoaler bound.
    pub depth_at_low_water: Metres,
    /// The source of the tide, in words.
    pub tide: String,
    /// The end of the stay.
    pub until: Option<Timestamp>,
    /// What the crew entered.
    pub wishes: BerthWishes,
    /// What the chart says about the circle; `None` without a chart, or until it has been read.
    pub room: Option<RoomTold>,
    /// The least depth anywhere in the circle at the lowest water; `None` if part of it is not charted.
    pub room_least: Option<Metres>,
}

impl Planned {
    /// The rode, if the crew asked for a length or the highest water is known. A charted depth without a tide is
    /// the depth at low water, so a rode sized by it would be short. The same holds for a depth area without a deep
    /// bound and for the shoalest sounding.
    #[must_use]
    pub fn rode_known(&self) -> Option<Metres> {
        let by_low_water = self.depth_by != DepthBy::Sounder && self.until.is_none();
        (!by_low_water && !self.may_be_deeper() || self.wishes.rode.is_some()).then_some(self.rode)
    }

    /// The chart gives no deep bound, or there is no chart: the rode is for the shoal bound, or for the shoalest
    /// sounding.
    #[must_use]
    pub fn may_be_deeper(&self) -> bool {
        self.charted.as_ref().is_some_and(DepthThere::is_open)
    }
}

/// Sizes the circle; `None` if no depth is known or there is nothing to plan with.
pub(super) fn planned(
    seen: &Seen,
    order: &BerthOrder,
    charted: Option<&DepthThere>,
    tide: Option<&Tide>,
    until: Timestamp,
) -> Option<Planned> {
    let settings = &seen.settings;
    let wishes = order.wishes;
    let (deep, shoal, below, depth_by) = if let Some(there) = charted {
        let deep = there.most.unwrap_or(there.least);
        let by = if there.cell.is_some() {
            DepthBy::Chart
        } else {
            DepthBy::Soundings
        };
        (deep, there.least, Below::Datum, by)
    } else {
        let depth = seen.depth?;
        (depth, depth, Below::Surface, DepthBy::Sounder)
    };
    let sounding = Sounding { depth: deep, below };
    let inputs = PlanInputs {
        tide: tide.cloned(),
        until: tide.map(|_| until),
        tackle: settings.plan.tackle.clone(),
        stretch: settings.stretch,
        scopes: Scopes {
            asked: wishes.scope,
            ..settings.plan.scopes
        },
        wind: wishes.wind,
        rode_out: wishes.rode,
        keel_margin: settings.keel_margin,
        say: settings.wording.lengths,
        ..PlanInputs::of(sounding, seen.boat)
    };
    let plan = plan(&inputs).ok()?;
    let low = Sounding {
        depth: shoal,
        below,
    }
    .depths(&seen.boat, tide)
    .ok()?
    .lowest;
    Some(Planned {
        rode: plan.holds_for,
        scope: plan.scope,
        scope_because: plan.scope_because.clone().words(&settings.wording),
        scope_at_high_water: plan.scope_at_highest,
        radius: plan.radius_over(low, &seen.boat, settings.stretch),
        rode_aboard: plan.aboard,
        enough: plan.enough,
        depth_by,
        charted: charted.cloned(),
        depth_at_high_water: plan.depth.highest,
        depth_at_low_water: low,
        tide: plan.tide.words,
        until: plan.until,
        wishes,
        room: None,
        room_least: None,
    })
}
