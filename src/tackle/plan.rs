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

use serde::Serialize;

use super::catenary::Lie;
use super::circle::Circle;
use super::scope;
use super::strength::{GREATEST_LEAD, GroundTackle, Lift, Limit};
use super::tables::main_anchor;
use super::water::{Below, Depths, Missing, Sounding, Tide};
use super::wind::Windage;
use crate::boat::Boat;
use crate::time::Timestamp;
use crate::units::{Angle, Metres, Newtons, Speed};

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
    /// How lengths are said in sentences.
    pub say: LengthUnit,
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

/// The unit of lengths in sentences.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LengthUnit {
    /// Metres.
    #[default]
    Metres,
    /// Feet.
    Feet,
}

/// The plan. Lengths in metres, speeds in metres a second, forces in newtons.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Plan {
    /// What the plan is not.
    pub notice: &'static str,
    /// The rode that the scope asks for at the highest water.
    pub rode: Metres,
    /// The scope that is wanted.
    pub scope: f64,
    /// Why this scope.
    pub scope_because: String,
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
    /// The farthest that the stern comes from the anchor, the rode stretched.
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
    /// What was assumed because nobody said.
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
    #[error("a rode of chain and rope wants the length of the chain")]
    ChainLength,
    /// Neither water nor a roller above it.
    #[error("there is no height from the bottom to the roller")]
    NoHeight,
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

impl LengthUnit {
    /// To a tenth, without a nought behind the point.
    #[must_use]
    pub fn exact(self, length: Metres) -> String {
        self.written(length, f64::round)
    }

    /// Rounded up to whole ones: a length that something must at least have.
    #[must_use]
    pub fn up(self, length: Metres) -> String {
        self.written(length, |tenths| ((tenths - SLACK) / 10.0).ceil() * 10.0)
    }

    /// Rounded down to a tenth: what is left of something.
    #[must_use]
    pub fn down(self, length: Metres) -> String {
        self.written(length, |tenths| (tenths + SLACK).floor())
    }

    /// One of it.
    #[must_use]
    pub const fn one(self) -> Metres {
        match self {
            Self::Metres => Metres::of(1.0),
            Self::Feet => Metres::from_feet(1.0),
        }
    }

    fn written(self, length: Metres, round: impl Fn(f64) -> f64) -> String {
        let (value, unit) = match self {
            Self::Metres => (length.get(), "m"),
            Self::Feet => (length.feet(), "ft"),
        };
        // Adding nought makes a negative nought plain.
        let rounded = round(value * 10.0) / 10.0 + 0.0;
        format!("{rounded} {unit}")
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
    Planner::new(inputs).map(Planner::plan)
}

/// What is worked with while the plan is made.
struct Planner<'a> {
    inputs: &'a PlanInputs,
    depth: Depths,
    roller: Metres,
    /// From the bottom to the roller, at the highest and the lowest water.
    highest: Metres,
    lowest: Metres,
    windage: Windage,
    assumptions: Vec<String>,
    cautions: Vec<String>,
}

impl<'a> Planner<'a> {
    fn new(inputs: &'a PlanInputs) -> Result<Self, PlanError> {
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

    fn plan(mut self) -> Plan {
        let (inputs, say) = (self.inputs, self.inputs.say);
        let (scope, scope_because) = self.scope();
        let rode = Metres::of((scope * self.highest.get()).min(MOST));
        let aboard = inputs.tackle.all().map(limited);
        let marked = self.to_the_next_mark(rode);
        let enough = aboard.map(|aboard| aboard.get() >= rode.get() * (1.0 - 1e-9));
        // A mark beyond the bitter end is not there: then all of it is veered.
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
            let wanted = in_wind.get().hypot(self.lowest.get()) / holds_for.get() - 1.0;
            self.cautions.push(format!(
                "rode: it stretches farther than `tackle.stretch` allows for: to {} in the wind \
                 expected, against {}; about {:.2} would do",
                say.up(in_wind),
                say.up(low),
                wanted
            ));
        }
        let per = |height: Metres| (height.get() > 0.0).then(|| holds_for.get() / height.get());
        Plan {
            notice: NOTICE,
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
            swing_radius: circles.lowest.map(|circle| circle.stern),
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

    /// Of the rode, as a fraction; what is no number is none.
    fn stretch(&self) -> f64 {
        Some(self.inputs.stretch)
            .filter(|stretch| stretch.is_finite())
            .unwrap_or_default()
            .clamp(0.0, 1.0)
    }

    /// The scope wanted, and why.
    fn scope(&self) -> (f64, String) {
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
            return (possible(asked), "as asked".to_owned());
        }
        let (good, strong, storm) = (possible(good), possible(strong), possible(storm));
        let wind = self.inputs.wind.unwrap_or_default();
        if wind >= storm_wind.max(strong_wind) {
            return (storm.max(strong), format!("{wind} of wind is a storm's"));
        }
        if wind >= strong_wind {
            return (strong.max(good), format!("{wind} of wind is strong"));
        }
        match self.inputs.holding {
            Holding::Unknown => return (strong.max(good), "the holding is not known".to_owned()),
            Holding::Poor => return (strong.max(good), "the holding is poor".to_owned()),
            Holding::Good => {}
        }
        let rode = Metres::of((good * self.highest.get()).min(MOST));
        if self.inputs.tackle.is_rope_at_the_roller(rode) {
            return (
                strong.max(good),
                "the chain is too short for it, rope is at the roller".to_owned(),
            );
        }
        (good, "good holding, no strong wind".to_owned())
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
        // 75 ft are 75 ft though 22.86 m divided by 0.3048 m is a last digit more.
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

    fn tide_told(&self, out: Metres) -> TideTold {
        let say = self.inputs.say;
        let Some(tide) = &self.inputs.tide else {
            let at_more = out.get() / (self.highest + say.one()).get();
            let words = match self.inputs.sounding.below {
                Below::Datum => "not known; the chart's figure is taken as it is, and for most of the \
                                 tide there is more water than that"
                    .to_owned(),
                Below::Surface | Below::Transducer | Below::Keel => "not known".to_owned(),
            };
            let more = say.exact(say.one());
            return TideTold {
                source: "none",
                words,
                cost: format!(
                    "{more} of rise leaves a scope of {}; {more} of fall is off the keel",
                    ratio(at_more)
                ),
            };
        };
        TideTold {
            source: tide.source.name(),
            words: tide.source.words(),
            cost: tide.source.cost().to_owned(),
        }
    }

    fn say_what_is_assumed(&mut self, aboard: Option<Metres>) {
        let (boat, tackle, say) = (&self.inputs.boat, &self.inputs.tackle, self.inputs.say);
        let figures = boat.figures();
        let stretch = self.stretch();
        let mut assume = |words: String| self.assumptions.push(words);
        assume(
            "bottom: flat and level from here to the anchor, as deep there as sounded here"
                .to_owned(),
        );
        if self.inputs.tide.is_none() {
            assume("tide: none was given, the water stays as it is now".to_owned());
        }
        if figures.roller_height.is_none() {
            assume(format!(
                "roller: {} above the water, nobody said",
                say.exact(boat.roller_height())
            ));
        }
        let length = limited(boat.length_or_default());
        if figures.length.is_none() {
            assume(format!("boat: {} over all, nobody said", say.exact(length)));
        }
        let mut usual = Vec::new();
        for (name, given, value) in [
            ("beam", figures.beam, Windage::usual_beam(length)),
            (
                "freeboard",
                figures.freeboard,
                Windage::usual_freeboard(length),
            ),
            ("masthead", figures.mast_height, Windage::usual_mast(length)),
        ] {
            if given.is_none() {
                usual.push(format!("{name} {}", say.exact(value)));
            }
        }
        if !usual.is_empty() {
            assume(format!(
                "windage: {} as is usual for her length",
                usual.join(", ")
            ));
        }
        if aboard.is_none() {
            assume("rode: it is not known how much is aboard".to_owned());
        }
        if tackle.marks.is_none() {
            assume("rode: no marks are known, nothing is rounded up".to_owned());
        }
        match (&tackle.chain, &tackle.rope) {
            (None, None) => assume(
                "rode: it is not known what it is made of, so not when it lifts the anchor either"
                    .to_owned(),
            ),
            (Some(chain), _) => chain.assumed().into_iter().for_each(&mut assume),
            (None, Some(_)) => {}
        }
        if tackle.rope.is_some() || tackle.snubber.is_some() {
            assume(
                "rope: new, dry, unknotted; nylon stretches by a tenth at 15 % of its breaking load, \
                 polyester by 3 %"
                    .to_owned(),
            );
        }
        assume(format!(
            "rode: stretches by {} % when drawn straight",
            (stretch * 1000.0).round() / 10.0
        ));
        if self.inputs.wind.is_none() {
            assume("wind: none was given, none is reckoned with".to_owned());
        }
        assume(
            "wind's pull: good to a factor of 1.5 (steady) and of 2 (H-40, with gusts, sheering and \
             surge); current is not counted"
                .to_owned(),
        );
    }

    fn warn_of_the_rode(
        &mut self,
        scope: f64,
        rode: Metres,
        short: Option<Metres>,
        holds_for: Metres,
    ) {
        let (say, highest) = (self.inputs.say, self.highest);
        if let Some(aboard) = short {
            let lies = aboard.get() / highest.get();
            self.cautions.push(if lies > 1.0 {
                format!(
                    "the rode aboard is not enough: {} are wanted and {} are there; you could lie to \
                     {}; look for less depth",
                    say.up(rode),
                    say.exact(aboard),
                    ratio(lies)
                )
            } else {
                format!(
                    "the rode aboard does not reach the bottom: {} of it, {} from the bottom to the \
                     roller",
                    say.exact(aboard),
                    say.exact(highest)
                )
            });
        }
        let lies = holds_for.get() / highest.get();
        if let Some(out) = self.inputs.rode_out
            && lies < scope * (1.0 - 1e-9)
        {
            let more = Metres::of((rode - limited(out)).get().max(0.0));
            let mend = if short.is_some() {
                format!("{} are wanted", ratio(scope))
            } else {
                format!("{} more make {}", say.up(more), ratio(scope))
            };
            self.cautions.push(format!(
                "scope: {} out are {} at the highest water; {mend}",
                say.exact(out),
                ratio(lies),
            ));
        }
        if lies < LEAST_SCOPE {
            self.cautions.push(format!(
                "scope: {} is less than {LEAST_SCOPE}:1, which gives up a good part of the holding",
                ratio(lies)
            ));
        }
        if self.inputs.holding == Holding::Poor {
            self.cautions.push(
                "holding: it is poor, and no scope mends that; look for another place".to_owned(),
            );
        }
    }

    fn warn_of_the_water(&mut self, under_keel: Option<Metres>, out: Metres) {
        let (say, margin) = (self.inputs.say, self.inputs.keel_margin);
        match under_keel {
            Some(left) if left.get() < 0.0 => self.cautions.push(format!(
                "keel: she grounds at the lowest water, by {}",
                say.exact(Metres::ZERO - left)
            )),
            Some(left) if left < margin => self.cautions.push(format!(
                "keel: {} under it at the lowest water, less than the {} wanted",
                say.down(left),
                say.exact(margin)
            )),
            Some(_) => {}
            None => self
                .cautions
                .push("keel: the draught is not known, so not what is under it either".to_owned()),
        }
        if self.inputs.tide.is_none() {
            let cost = self.tide_told(out).cost;
            self.cautions.push(format!("tide: not known; {cost}"));
        }
    }

    fn warn_of_the_wind(
        &mut self,
        wind: Option<&WindPlan>,
        lift: Option<&Lift>,
        limits: &[Limit],
        out: Metres,
    ) {
        let rode = if self.inputs.tackle.is_rope_at_the_roller(out) {
            "rode"
        } else {
            "chain"
        };
        if let (Some(wind), Some(lift)) = (wind, lift)
            && wind.speed >= lift.wind_by_design
        {
            let surely = if wind.speed >= lift.wind {
                ""
            } else {
                "gusts and surge make it so that "
            };
            self.cautions.push(format!(
                "anchor: {surely}the {rode} lifts clear of the bottom in the wind expected, and the \
                 anchor is lifted"
            ));
        }
        if let Some(wind) = wind {
            let lead = |lie: Option<LieTold>| lie.map_or(0.0, |lie| lie.lead.degrees());
            let (steady, design) = (lead(wind.steady), lead(wind.design));
            if design > GREATEST_LEAD {
                let how = if steady > GREATEST_LEAD {
                    "by the steady pull"
                } else {
                    "in gusts and surge"
                };
                self.cautions.push(format!(
                    "anchor: lifted by {:.0}° {how}; beyond {GREATEST_LEAD}° it is taken to lose hold; more scope, or \
                     a snubber of nylon",
                    if steady > GREATEST_LEAD { steady } else { design }
                ));
            }
            for limit in limits
                .iter()
                .filter(|limit| limit.working_load < wind.design_load)
            {
                self.cautions.push(format!(
                    "{}: its working load is {}, H-40 designs for {} in this wind",
                    limit.what, limit.working_load, wind.design_load
                ));
            }
        }
        let anchor = self.inputs.tackle.anchor;
        let wanted = main_anchor(limited(self.inputs.boat.length_or_default()));
        if let (Some(anchor), Some(wanted)) = (anchor, wanted)
            && anchor < wanted
        {
            self.cautions.push(format!(
                "anchor: {anchor} is lighter than the {wanted} that the small craft code's table 20.1 has \
                 for her length and an anchor of ordinary holding power"
            ));
        }
    }
}

/// Goes with every plan.
pub const NOTICE: &str = "No figure here says that the anchor holds: dig it in, see that it holds, keep an anchor \
     watch. An aid, not a substitute for the skipper's judgement, a proper lookout and local rules. \
     Not for navigation.";

/// `4.2:1`, rounded down: a scope is not better than it is.
#[must_use]
pub fn ratio(scope: f64) -> String {
    let tenths = (scope * 10.0 + SLACK).floor() / 10.0;
    format!("{tenths}:1")
}

/// A figure no anchorage has is cut off before sums of it can overflow.
fn limited(length: Metres) -> Metres {
    length.max(Metres::of(-MOST)).min(Metres::of(MOST))
}

/// Metres.
const MOST: f64 = 1e6;
const MOST_SCOPE: f64 = 1000.0;
/// Metres.
const LEAST_HEIGHT: f64 = 0.01;
const LEAST_MARK: f64 = 0.01;
/// Below 3:1 a good part of the holding is given up (a chandler's guide).
const LEAST_SCOPE: f64 = 3.0;
/// Of a tenth: conversion alone is no reason to round up.
const SLACK: f64 = 1e-6;

#[cfg(test)]
mod tests;
