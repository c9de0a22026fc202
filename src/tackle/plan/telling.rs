//! The texts of the plan for the crew: the source of the tide, the assumptions, what to check.

use super::planner::{Planner, limited};
use super::{Holding, LieTold, TideTold, WindPlan};
use crate::speech::plans::{Assumed, Caution, Plan, TideCost};
use crate::speech::{Down, Exact, Figure, Scope, Sentence, Up};
use crate::tackle::strength::{GREATEST_LEAD, Lift, Limit};
use crate::tackle::tables::main_anchor;
use crate::tackle::water::Below;
use crate::tackle::wind::Windage;
use crate::units::Metres;

impl Planner<'_> {
    pub(super) fn tide_told(&self, out: Metres) -> TideTold {
        let say = self.inputs.wording();
        let Some(tide) = &self.inputs.tide else {
            let one = self.inputs.say.one();
            let at_more = out.get() / (self.highest + one).get();
            let datum = self.inputs.sounding.below == Below::Datum;
            let cost = TideCost::None {
                more: Exact(one),
                scope: Scope(at_more),
            };
            return TideTold {
                source: "none",
                words: TideCost::NotKnown { datum }.words(&say),
                cost: cost.words(&say),
            };
        };
        TideTold {
            source: tide.source.name(),
            words: tide.source.told().words(&say),
            cost: tide.source.cost().words(&say),
        }
    }

    pub(super) fn caution(&mut self, caution: Caution) {
        let words = caution.words(&self.inputs.wording());
        self.cautions.push(words);
    }

    pub(super) fn say_what_is_assumed(&mut self, aboard: Option<Metres>) {
        let (boat, tackle) = (&self.inputs.boat, &self.inputs.tackle);
        let say = self.inputs.wording();
        let figures = boat.figures();
        let stretch = self.stretch();
        let mut assume = |assumed: Assumed| self.assumptions.push(assumed.words(&say));
        self.inputs.heard.iter().cloned().for_each(&mut assume);
        assume(Assumed::Bottom);
        if self.inputs.tide.is_none() {
            assume(Assumed::Tide);
        }
        if figures.roller_height.is_none() {
            assume(Assumed::Roller {
                height: Exact(boat.roller_height()),
            });
        }
        let length = limited(boat.length_or_default());
        if figures.length.is_none() {
            assume(Assumed::Length {
                length: Exact(length),
            });
        }
        let usual: Vec<Sentence> = [
            ("beam", figures.beam, Windage::usual_beam(length)),
            (
                "freeboard",
                figures.freeboard,
                Windage::usual_freeboard(length),
            ),
            ("masthead", figures.mast_height, Windage::usual_mast(length)),
        ]
        .into_iter()
        .filter(|(_, given, _)| given.is_none())
        .map(|(what, _, value)| {
            let value = Exact(value);
            Assumed::Usual { what, value }.into()
        })
        .collect();
        let made_of = tackle.chain.is_some() || tackle.rope.is_some();
        let wind_counts = self.inputs.wind.is_some() || made_of;
        if wind_counts && !usual.is_empty() {
            assume(Assumed::Windage {
                usual: Sentence::several(usual, ", "),
            });
        }
        if aboard.is_none() {
            assume(Assumed::Aboard);
        }
        if tackle.marks.is_none() {
            assume(Assumed::Marks);
        }
        match (&tackle.chain, &tackle.rope) {
            (None, None) => assume(Assumed::Material),
            (Some(chain), _) => chain.assumed().into_iter().for_each(&mut assume),
            (None, Some(_)) => {}
        }
        if tackle.rope.is_some() || tackle.snubber.is_some() {
            assume(Assumed::NewRope);
        }
        assume(Assumed::Stretch {
            percent: Figure((stretch * 1000.0).round() / 10.0),
        });
        if self.inputs.wind.is_none() {
            assume(Assumed::NoWind);
        }
        if wind_counts {
            assume(Assumed::Pull);
        }
    }

    pub(super) fn warn_of_the_rode(
        &mut self,
        scope: f64,
        rode: Metres,
        short: Option<Metres>,
        holds_for: Metres,
    ) {
        let highest = self.highest;
        let height = Exact(highest);
        if let Some(all) = short {
            let lies = all.get() / highest.get();
            let aboard = Exact(all);
            self.caution(if lies > 1.0 {
                Caution::NotEnough {
                    needed: Up(rode),
                    aboard,
                    scope: Scope(lies),
                }
            } else {
                Caution::AboardShort { aboard, height }
            });
        }
        let lies = holds_for.get() / highest.get();
        if let Some(out) = self.inputs.rode_out
            && lies < scope * (1.0 - 1e-9)
        {
            let more = Metres::of((rode - limited(out)).get().max(0.0));
            self.caution(Caution::ScopeShort {
                out: Exact(out),
                scope: Scope(lies),
                more: short.is_none().then_some(Up(more)),
                wanted: Scope(scope),
            });
        }
        if lies <= 1.0 && short.is_none() {
            self.caution(Caution::OutShort {
                out: Exact(holds_for),
                height,
            });
        } else if lies > 1.0 && lies < LEAST_SCOPE {
            self.caution(Caution::ScopeSmall {
                scope: Scope(lies),
                least: Figure(LEAST_SCOPE),
            });
        }
        if self.inputs.holding == Holding::Poor {
            self.caution(Caution::HoldingPoor);
        }
    }

    pub(super) fn warn_of_the_water(&mut self, under_keel: Option<Metres>, out: Metres) {
        let margin = self.inputs.keel_margin;
        match under_keel {
            Some(left) if left.get() < 0.0 => self.caution(Caution::Grounds {
                by: Exact(Metres::ZERO - left),
            }),
            Some(left) if left < margin => self.caution(Caution::KeelMargin {
                left: Down(left),
                margin: Exact(margin),
            }),
            Some(_) => {}
            None => self.caution(Caution::NoDraught),
        }
        if self.inputs.tide.is_none() {
            let cost = self.tide_told(out).cost;
            self.caution(Caution::NoTide { cost });
        }
    }

    pub(super) fn warn_of_the_wind(
        &mut self,
        wind: Option<&WindPlan>,
        lift: Option<&Lift>,
        limits: &[Limit],
        out: Metres,
    ) {
        if let (Some(wind), Some(lift)) = (wind, lift)
            && wind.speed >= lift.wind_by_design
        {
            self.caution(Caution::Lifts {
                surely: wind.speed >= lift.wind,
                chain: !self.inputs.tackle.is_rope_at_the_roller(out),
            });
        }
        if let Some(wind) = wind {
            let lead = |lie: Option<LieTold>| lie.map_or(0.0, |lie| lie.lead.degrees());
            let (steady, design) = (lead(wind.steady), lead(wind.design));
            let lifted = if steady > GREATEST_LEAD {
                steady
            } else {
                design
            };
            if let Some(lead) = Plan::lead(lifted)
                && design > GREATEST_LEAD
            {
                self.caution(Caution::Lead {
                    lead,
                    steady: steady > GREATEST_LEAD,
                    most: Figure(GREATEST_LEAD),
                });
            }
            for limit in limits
                .iter()
                .filter(|limit| limit.working_load < wind.design_load)
            {
                self.caution(Caution::Load {
                    part: limit.what.clone(),
                    working: limit.working_load,
                    design: wind.design_load,
                });
            }
        }
        let anchor = self.inputs.tackle.anchor;
        let wanted = main_anchor(limited(self.inputs.boat.length_or_default()));
        if let (Some(anchor), Some(wanted)) = (anchor, wanted)
            && anchor < wanted
        {
            self.caution(Caution::LightAnchor {
                anchor: anchor.to_string(),
                wanted: wanted.to_string(),
            });
        }
    }
}

/// Below 3:1 a good part of the holding is lost (a chandler's guide).
const LEAST_SCOPE: f64 = 3.0;
