//! How the plan is made: scope, rode, reach, circles, wind. The texts about it are in
//! [`super::telling`].

use super::{Circles, Holding, LieTold, Plan, PlanError, PlanInputs, Scopes, WindPlan};
use crate::speech::charts::ScopeWhy;
use crate::speech::plans::{self, Caution};
use crate::speech::{Hundredths, Up};
use crate::tackle::circle::Circle;
use crate::tackle::scope;
use crate::tackle::strength::{GroundTackle, Lift};
use crate::tackle::water::Depths;
use crate::tackle::wind::Windage;
use crate::units::{Metres, Newtons, Speed};

/// The working values while the plan is made.
pub(super) struct Planner<'a> {
    pub(super) inputs: &'a PlanInputs,
    pub(super) depth: Depths,
    pub(super) roller: Metres,
    /// From the bottom to the roller, at the highest and the lowest water.
    pub(super) highest: Metres,
    pub(super) lowest: Metres,
    pub(super) windage: Windage,
    pub(super) assumptions: Vec<String>,
    pub(super) cautions: Vec<String>,
}

impl<'a> Planner<'a> {
    pub(super) fn new(inputs: &'a PlanInputs) -> Result<Self, PlanError> {
        let GroundTackle {
            chain,
            rope,
            chain_length,
            ..
        } = inputs.tackle;
        if chain.is_some() && rope.is_some() && chain_length.is_none() {
            return Err(PlanError::ChainLength);
        }
        let depth = inputs.sounding.depths(&inputs.boat, inputs.tide.as_ref())?;
        let roller = limited(inputs.boat.roller_height());
        let highest = scope::height(depth.highest, roller);
        if highest.get() < LEAST_HEIGHT {
            return Err(PlanError::NoHeight);
        }
        let figures = inputs.boat.figures();
        let length = limited(inputs.boat.length_or_default());
        let windage = Windage::new(
            length,
            figures
                .beam
                .map_or_else(|| Windage::usual_beam(length), limited),
            figures
                .freeboard
                .map_or_else(|| Windage::usual_freeboard(length), limited),
            figures
                .mast_height
                .map_or_else(|| Windage::usual_mast(length), limited),
        );
        Ok(Self {
            inputs,
            depth,
            roller,
            highest,
            lowest: scope::height(depth.lowest, roller),
            windage,
            assumptions: Vec::new(),
            cautions: Vec::new(),
        })
    }

    pub(super) fn plan(mut self) -> Plan {
        let inputs = self.inputs;
        let (scope, scope_because) = self.scope();
        let rode = Metres::of((scope * self.highest.get()).min(MOST));
        let aboard = inputs.tackle.all().map(limited);
        let marked = self.to_the_next_mark(rode);
        let enough = aboard.map(|aboard| aboard.get() >= rode.get() * (1.0 - 1e-9));
        // There is no mark beyond the bitter end: then all of the rode is veered.
        let veer = aboard.map_or(marked, |aboard| marked.min(aboard));
        let out = inputs.rode_out.map(limited);
        let holds_for = out.unwrap_or(veer);

        let stretch = self.stretch();
        let reached =
            |depth: Metres, stretch: f64| scope::reach(holds_for, depth, self.roller, stretch);
        let reach = reached(self.depth.lowest, 0.0);
        let circle = |distance: Metres| Circle::about(distance, &inputs.boat);
        let low = reached(self.depth.lowest, stretch);
        let wind = inputs.wind.map(|speed| self.wind(speed, holds_for));
        let in_wind = inputs.wind.and_then(|speed| {
            let rode = inputs.tackle.hang(holds_for, self.lowest)?;
            Some(rode.under(self.windage.design_load(speed)).distance)
        });
        let circles = Circles {
            lowest: low.map(circle),
            highest: reached(self.depth.highest, stretch).map(circle),
            wind: in_wind.map(circle),
        };
        let hanging = inputs.tackle.hang(holds_for, self.highest);
        let lift = hanging.as_ref().map(|rode| Lift::of(rode, &self.windage));
        let limits = inputs.tackle.limits(holds_for, &self.windage);
        let draught = inputs.boat.draught().map(limited);
        let under_keel = draught.map(|draught| self.depth.lowest - draught);

        self.say_what_is_assumed(aboard);
        self.warn_of_the_rode(
            scope,
            rode,
            aboard.filter(|_| enough == Some(false)),
            holds_for,
        );
        self.warn_of_the_water(under_keel, holds_for);
        self.warn_of_the_wind(wind.as_ref(), lift.as_ref(), &limits, holds_for);
        if let (Some(in_wind), Some(low)) = (in_wind, low)
            && in_wind.get() > low.get() + 1.0
        {
            let stretch = in_wind.get().hypot(self.lowest.get()) / holds_for.get() - 1.0;
            self.caution(Caution::Stretches {
                wind: Up(in_wind),
                low: Up(low),
                stretch: Hundredths(stretch),
            });
        }
        let per = |height: Metres| (height.get() > 0.0).then(|| holds_for.get() / height.get());
        Plan {
            notice: plans::Plan::Notice.words(&inputs.wording()),
            rode,
            scope,
            scope_because,
            veer: out.map_or(veer, |out| out.max(veer)),
            enough,
            aboard,
            rode_out: out,
            holds_for,
            scope_at_highest: per(self.highest),
            scope_now: per(scope::height(self.depth.now, self.roller)),
            reach,
            swing_radius: circles.widest(),
            circles,
            depth: self.depth,
            sounded: inputs.sounding.depth,
            below: inputs.sounding.below,
            roller: self.roller,
            under_keel_at_lowest: under_keel,
            tide: self.tide_told(holds_for),
            until: inputs.until,
            holding: inputs.holding,
            wind,
            lift,
            limits,
            assumptions: self.assumptions,
            cautions: self.cautions,
        }
    }

    /// The stretch of the rode, as a fraction; zero if it is not a number.
    pub(super) fn stretch(&self) -> f64 {
        Some(self.inputs.stretch)
            .filter(|stretch| stretch.is_finite())
            .unwrap_or_default()
            .clamp(0.0, 1.0)
    }

    /// The scope to aim for, and the reason.
    fn scope(&self) -> (f64, ScopeWhy) {
        let Scopes {
            asked,
            good,
            strong,
            storm,
            strong_wind,
            storm_wind,
        } = self.inputs.scopes;
        let possible = |scope: f64| {
            if scope.is_finite() {
                scope.clamp(1.0, MOST_SCOPE)
            } else {
                good
            }
        };
        if let Some(asked) = asked {
            return (possible(asked), ScopeWhy::AsAsked);
        }
        let (good, strong, storm) = (possible(good), possible(strong), possible(storm));
        let wind = self.inputs.wind.unwrap_or_default();
        if wind >= storm_wind.max(strong_wind) {
            return (storm.max(strong), ScopeWhy::Storm { wind });
        }
        if wind >= strong_wind {
            return (strong.max(good), ScopeWhy::Strong { wind });
        }
        match self.inputs.holding {
            Holding::Unknown => return (strong.max(good), ScopeWhy::HoldingUnknown),
            Holding::Poor => return (strong.max(good), ScopeWhy::HoldingPoor),
            Holding::Good => {}
        }
        let rode = Metres::of((good * self.highest.get()).min(MOST));
        if self.inputs.tackle.is_rope_at_the_roller(rode) {
            return (strong.max(good), ScopeWhy::ChainTooShort);
        }
        (good, ScopeWhy::HoldingGood)
    }

    fn to_the_next_mark(&self, rode: Metres) -> Metres {
        let Some(mark) = self
            .inputs
            .tackle
            .marks
            .filter(|mark| mark.get() >= LEAST_MARK)
        else {
            return rode;
        };
        // 75 ft stay 75 ft, although 22.86 m divided by 0.3048 m is larger in the last digit.
        let marks = (rode.get() / mark.get() - 1e-9).ceil();
        Metres::of((marks * mark.get()).min(MOST))
    }

    fn wind(&self, speed: Speed, out: Metres) -> WindPlan {
        let (pull, design_load) = (self.windage.pull(speed), self.windage.design_load(speed));
        let rode = self.inputs.tackle.hang(out, self.highest);
        let lie = |pull: Newtons| rode.as_ref().map(|rode| LieTold::from(rode.under(pull)));
        WindPlan {
            speed,
            pull,
            design_load,
            steady: lie(pull),
            design: lie(design_load),
        }
    }
}

/// Figures beyond any anchorage are cut off before sums of them can overflow.
pub(super) fn limited(length: Metres) -> Metres {
    length.max(Metres::of(-MOST)).min(Metres::of(MOST))
}

/// Metres.
const MOST: f64 = 1e6;
const MOST_SCOPE: f64 = 1000.0;
/// Metres.
const LEAST_HEIGHT: f64 = 0.01;
const LEAST_MARK: f64 = 0.01;
