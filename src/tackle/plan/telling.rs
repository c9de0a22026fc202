//! What the crew is told with the plan: who knew the tide, what was assumed, what to look at.

use super::planner::{Planner, limited};
use super::say::ratio;
use super::{Holding, LieTold, TideTold, WindPlan};
use crate::tackle::strength::{GREATEST_LEAD, Lift, Limit};
use crate::tackle::tables::main_anchor;
use crate::tackle::water::Below;
use crate::tackle::wind::Windage;
use crate::units::Metres;

impl Planner<'_> {
    pub(super) fn tide_told(&self, out: Metres) -> TideTold {
        let say = self.inputs.say;
        let Some(tide) = &self.inputs.tide else {
            let at_more = out.get() / (self.highest + say.one()).get();
            let words = match self.inputs.sounding.below {
                Below::Datum => {
                    "not known; the chart's figure is taken as it is, and for most of the \
                                 tide there is more water than that"
                        .to_owned()
                }
                Below::Surface | Below::Transducer | Below::Keel => "not known".to_owned(),
            };
            let more = say.exact(say.one());
            return TideTold {
                source: "none",
                words,
                cost: format!(
                    "{more} of rise leaves a scope of {}; {more} of fall takes {more} from under the keel",
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

    pub(super) fn say_what_is_assumed(&mut self, aboard: Option<Metres>) {
        let (boat, tackle, say) = (&self.inputs.boat, &self.inputs.tackle, self.inputs.say);
        let figures = boat.figures();
        let stretch = self.stretch();
        let mut assume = |words: String| self.assumptions.push(words);
        self.inputs.heard.iter().cloned().for_each(&mut assume);
        assume(
            "bottom: flat and level from here to the anchor, as deep there as sounded here"
                .to_owned(),
        );
        if self.inputs.tide.is_none() {
            assume("tide: not entered, assuming the depth stays as it is now".to_owned());
        }
        if figures.roller_height.is_none() {
            assume(format!(
                "roller: not entered, assuming {} above the water",
                say.exact(boat.roller_height())
            ));
        }
        let length = limited(boat.length_or_default());
        if figures.length.is_none() {
            assume(format!(
                "boat: length not entered, assuming {} over all",
                say.exact(length)
            ));
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
        let made_of = tackle.chain.is_some() || tackle.rope.is_some();
        let wind_counts = self.inputs.wind.is_some() || made_of;
        if wind_counts && !usual.is_empty() {
            assume(format!(
                "windage: {} as is usual for her length",
                usual.join(", ")
            ));
        }
        if aboard.is_none() {
            assume("rode: length aboard not entered".to_owned());
        }
        if tackle.marks.is_none() {
            assume("rode: marks not entered, nothing rounded up".to_owned());
        }
        match (&tackle.chain, &tackle.rope) {
            (None, None) => assume(
                "rode: material not entered, so lifting of the anchor not checked".to_owned(),
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
            assume("wind: not entered, its pull not checked".to_owned());
        }
        if !wind_counts {
            return;
        }
        assume(
            "pull of the wind: good to a factor of 1.5 (steady) and of 2 (H-40, with gusts, sheering and \
             surge); current is not counted"
                .to_owned(),
        );
    }

    pub(super) fn warn_of_the_rode(
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
                    "not enough rode: {} needed, {} aboard; it would give \
                     {}; find shallower water",
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
                format!("{} needed", ratio(scope))
            } else {
                format!("{} more make {}", say.up(more), ratio(scope))
            };
            self.cautions.push(format!(
                "scope: {} out are {} at the highest water; {mend}",
                say.exact(out),
                ratio(lies),
            ));
        }
        if lies <= 1.0 && short.is_none() {
            self.cautions.push(format!(
                "the rode that is out does not reach the bottom: {} of it, {} from the bottom to the \
                 roller",
                say.exact(holds_for),
                say.exact(highest)
            ));
        } else if lies > 1.0 && lies < LEAST_SCOPE {
            self.cautions.push(format!(
                "scope: {} is less than {LEAST_SCOPE}:1, which gives up a good part of the holding",
                ratio(lies)
            ));
        }
        if self.inputs.holding == Holding::Poor {
            self.cautions
                .push("holding: poor, and more scope does not help; find another place".to_owned());
        }
    }

    pub(super) fn warn_of_the_water(&mut self, under_keel: Option<Metres>, out: Metres) {
        let (say, margin) = (self.inputs.say, self.inputs.keel_margin);
        match under_keel {
            Some(left) if left.get() < 0.0 => self.cautions.push(format!(
                "keel: she grounds at the lowest water, by {}",
                say.exact(Metres::ZERO - left)
            )),
            Some(left) if left < margin => self.cautions.push(format!(
                "keel: {} under it at the lowest water, minimum {}",
                say.down(left),
                say.exact(margin)
            )),
            Some(_) => {}
            None => self
                .cautions
                .push("keel: draught not entered, depth under the keel not checked".to_owned()),
        }
        if self.inputs.tide.is_none() {
            let cost = self.tide_told(out).cost;
            self.cautions.push(format!("tide: not known; {cost}"));
        }
    }

    pub(super) fn warn_of_the_wind(
        &mut self,
        wind: Option<&WindPlan>,
        lift: Option<&Lift>,
        limits: &[Limit],
        out: Metres,
    ) {
        let say = self.inputs.say;
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
                    "anchor: lifted by {}° {how}; beyond {GREATEST_LEAD}° it is assumed to lose hold; veer more if \
                     there is room",
                    if steady > GREATEST_LEAD { steady } else { design }.ceil()
                ));
            }
            for limit in limits
                .iter()
                .filter(|limit| limit.working_load < wind.design_load)
            {
                self.cautions.push(format!(
                    "{}: its working load is {}, H-40 designs for {} in this wind",
                    limit.what,
                    say.force(limit.working_load),
                    say.force(wind.design_load)
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

/// Below 3:1 a good part of the holding is given up (a chandler's guide).
const LEAST_SCOPE: f64 = 3.0;
