//! The planned berth: how much rode there, and how far she would swing.
//!
//! **Method.** The circle is sized by the planner of `windrode plan` ([`crate::tackle::plan`]) from the depth at the
//! berth: that of the chart's depth area where a chart covers it, else as sounded where she is now. Of a depth area the
//! deeper bound sizes the rode (at the highest water of the stay) and the shoaler bound the circle (the less water, the
//! farther the rode reaches), so neither is found short. The radius is that of the stern, the rode drawn straight.
//! An area without a deep bound (DRVAL2) is planned with its shoal bound: the plan says so, and the rode is not published. Where no chart
//! covers the berth, the shoalest that the boat has sounded there before counts, in the same way, then the sounder.
//! **Follows** the tide, the berth, and what the crew typed in with it; the wind of this moment does not count.
//! **Weakness**: a depth area is wide, 5 m to 10 m is common; the sounder at the berth knows better.
//! **Tests**: `src/watch/tests/berth.rs`, `tests/peers/charts.rs`.

use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::chart::clearance::{DepthThere, RoomTold};
use crate::geodesy::Position;
use crate::tackle::plan::{Holding, PlanInputs, Scopes, plan};
use crate::tackle::strength::GroundTackle;
use crate::tackle::water::{Below, Sounding, Tide};
use crate::time::Timestamp;
use crate::units::{Metres, Speed};
use crate::watch::round::Seen;

/// The planned place of the anchor, and what the crew typed in with it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BerthOrder {
    /// Where.
    #[serde(flatten)]
    pub position: Position,
    /// What else.
    #[serde(flatten)]
    pub wishes: BerthWishes,
}

/// What the crew typed in with a berth; what is not given is as for any plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct BerthWishes {
    /// The scope to plan with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub scope: Option<f64>,
    /// The rode to plan with, whatever the scope.
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

/// What a plan is made with, apart from what the sensors say.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PlanSettings {
    /// `tackle.*`.
    pub tackle: GroundTackle,
    /// `tackle.scope*`, `wind.strong`, `wind.storm`.
    pub scopes: Scopes,
}

/// From where the depth at the berth is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum DepthBy {
    /// The depth area of the chart there.
    Chart,
    /// What the boat has sounded there before; no chart gives a depth.
    Soundings,
    /// The sounder, where the boat is now.
    Sounder,
}

/// The planned circle, for displays and `status`. Metres.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Planned {
    /// Rode to have out in all.
    pub rode: Metres,
    /// The scope aimed for, and why.
    pub scope: f64,
    /// Why this scope, in words.
    pub scope_because: String,
    /// The scope of that rode at the highest water.
    pub scope_at_high_water: Option<f64>,
    /// How far the stern comes from the anchor; `None` where the rode does not reach the bottom.
    pub radius: Option<Metres>,
    /// All the rode aboard, where that is known.
    pub rode_aboard: Option<Metres>,
    /// Is that enough for the scope?
    pub enough: Option<bool>,
    /// From where the depth is.
    pub depth_by: DepthBy,
    /// What the chart says of the depth there.
    pub charted: Option<DepthThere>,
    /// Depth of water at the highest water of the stay, by the deeper bound.
    pub depth_at_high_water: Metres,
    /// The same at the lowest, by the shoaler bound.
    pub depth_at_low_water: Metres,
    /// Who told the tide, in words.
    pub tide: String,
    /// The end of the stay.
    pub until: Option<Timestamp>,
    /// What was typed in.
    pub wishes: BerthWishes,
    /// What the chart says of the circle; `None` without a chart, or while it is not read yet.
    pub room: Option<RoomTold>,
    /// The least depth anywhere in the circle at the lowest water; `None` where some of it is not charted.
    pub room_least: Option<Metres>,
}

impl Planned {
    /// The rode, where it was asked for or the highest water is known: a charted depth without a tide is that of low
    /// water, and a rode sized by it would be short. So would one for a depth area that has no deep bound, or for the shoalest sounding.
    #[must_use]
    pub fn rode_known(&self) -> Option<Metres> {
        let by_low_water = self.depth_by != DepthBy::Sounder && self.until.is_none();
        (!by_low_water && !self.may_be_deeper() || self.wishes.rode.is_some()).then_some(self.rode)
    }

    /// The chart gives no deep bound: the rode is for the shoal bound, or for the shoalest sounding where there is no chart.
    #[must_use]
    pub fn may_be_deeper(&self) -> bool {
        self.charted.as_ref().is_some_and(DepthThere::is_open)
    }
}

/// Sizes the circle; `None` where no depth is known or there is nothing to plan with.
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
    let inputs = PlanInputs {
        sounding: Sounding { depth: deep, below },
        tide: tide.cloned(),
        until: tide.map(|_| until),
        boat: seen.boat,
        tackle: settings.plan.tackle.clone(),
        stretch: settings.stretch,
        scopes: Scopes {
            asked: wishes.scope,
            ..settings.plan.scopes
        },
        holding: Holding::Unknown,
        wind: wishes.wind,
        rode_out: wishes.rode,
        keel_margin: settings.keel_margin,
        say: settings.wording.lengths,
        language: crate::speech::Language::English,
        heard: Vec::new(),
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
