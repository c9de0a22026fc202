//! The plan as a page of 80 columns, in the order in which the crew thinks: how deep, how much rode, how
//! far she swings, what the wind does; then the cautions and the assumptions.

use crate::cli::status::wrapped_to;
use crate::speech::plans::{Margin, Plan as Said, positive, whole_knots};
use crate::speech::{Down, Exact, Figure, Scope, Sentence, Up, Wording};
use crate::tackle::circle::Circle;
use crate::tackle::plan::{LieTold, Plan, PlanInputs};
use crate::tackle::water::Below;
use crate::units::{Metres, Speed};

/// The page as lines, in the language of the inputs.
pub(super) fn page(plan: &Plan, inputs: &PlanInputs) -> Vec<String> {
    let say = inputs.wording();
    let mut page = Page {
        plan,
        inputs,
        rows: Vec::new(),
    };
    page.water();
    page.rode();
    page.room();
    page.wind();
    let mut lines = margined(page.rows, COLUMN, &say);
    for (heading, list) in [
        (Margin::LookAt, &plan.cautions),
        (Margin::Assumed, &plan.assumptions),
    ] {
        if !list.is_empty() {
            lines.push(String::new());
            lines.push(heading.words(&say));
            for entry in list {
                lines.extend(wrapped_to("- ", "  ", entry));
            }
        }
    }
    lines.push(String::new());
    lines.extend(wrapped_to("", "", &plan.notice));
    lines
}

/// Rows with their names at the margin. The margin has at least this many columns, and more if the longest
/// name needs them. A name appears once, above its rows.
pub(in crate::cli) fn margined<N: Into<Sentence>>(
    rows: Vec<(N, Sentence)>,
    least: usize,
    say: &Wording,
) -> Vec<String> {
    let rows: Vec<(String, String)> = rows
        .into_iter()
        .map(|(name, text)| (name.into().words(say), text.words(say)))
        .collect();
    let names = rows.iter().map(|(name, _)| name.chars().count() + 2);
    let column = names.max().unwrap_or_default().max(least);
    let mut lines = Vec::new();
    let mut before = "";
    for (name, text) in &rows {
        let shown = if name == before { "" } else { name };
        before = name;
        lines.extend(wrapped_to(
            &format!("{shown:<column$}"),
            &" ".repeat(column),
            text,
        ));
    }
    lines
}

struct Page<'a> {
    plan: &'a Plan,
    inputs: &'a PlanInputs,
    rows: Vec<(Margin, Sentence)>,
}

impl Page<'_> {
    fn row(&mut self, name: Margin, text: Said) {
        self.rows.push((name, text.into()));
    }

    /// Is the tide known?
    fn tide(&self) -> bool {
        self.plan.tide.source != "none"
    }

    /// Height from the bottom to the roller at the highest water.
    fn height(&self) -> Exact {
        Exact(self.plan.depth.highest + self.plan.roller)
    }

    fn water(&mut self) {
        let (plan, tide) = (self.plan, self.tide());
        let depth = Said::WaterNow {
            depth: Exact(plan.depth.now),
            below: match plan.below {
                Below::Surface => "surface",
                Below::Transducer => "transducer",
                Below::Keel => "keel",
                Below::Datum => "datum",
            },
            sounded: Exact(plan.sounded),
        };
        self.row(Margin::Depth, depth);
        if tide {
            let until = plan.until.map(|until| {
                let stamp = until.to_string();
                format!("{} {}", stamp.get(..10).unwrap_or_default(), until.clock())
            });
            let range = Said::Range {
                high: Exact(plan.depth.highest),
                low: Exact(plan.depth.lowest),
                until,
            };
            self.row(Margin::Depth, range);
        }
        let told = Said::Tide {
            words: plan.tide.words.clone(),
            cost: plan.tide.cost.clone(),
        };
        self.row(Margin::Tide, told);
        if let Some(left) = plan.under_keel_at_lowest {
            let words = if left.get() < 0.0 {
                let by = Exact(Metres::ZERO - left);
                Said::Grounds { by, tide }
            } else {
                let left = Down(left);
                Said::UnderKeel { left, tide }
            };
            self.row(Margin::Keel, words);
        }
        let roller = Said::Roller {
            above: Exact(plan.roller),
            height: self.height(),
            tide,
        };
        self.row(Margin::Roller, roller);
    }

    fn rode(&mut self) {
        let plan = self.plan;
        let scope = Figure(plan.scope);
        let why = plan.scope_because.clone();
        self.row(Margin::Scope, Said::Scope { scope, why });
        let rode = Said::Rode {
            scope,
            height: self.height(),
            rode: Exact(plan.rode),
        };
        self.row(Margin::Rode, rode);
        let (highest, now) = plan
            .scope_at_highest
            .zip(plan.scope_now)
            .map(|(highest, now)| (Scope(highest), Scope(now)))
            .unzip();
        let highest = highest.filter(|_| self.tide());
        if let Some(out) = plan.rode_out {
            let told = Said::Out {
                out: Exact(out),
                more: positive(plan.veer - out),
                all: Exact(plan.veer),
                scope,
                highest,
                now,
            };
            self.row(Margin::Out, told);
        } else {
            let told = Said::TotalRode {
                rode: Exact(plan.veer),
                all: plan.enough == Some(false),
                marks: self.inputs.tackle.marks.map(Exact),
                highest,
                now,
            };
            self.row(Margin::TotalRode, told);
        }
        if let Some(aboard) = plan.aboard {
            let aboard = Exact(aboard);
            let enough = plan.enough == Some(true);
            self.row(Margin::Aboard, Said::Aboard { aboard, enough });
        }
    }

    fn room(&mut self) {
        let plan = self.plan;
        let rode = Exact(plan.holds_for);
        let Some(reach) = plan.reach else {
            self.row(Margin::Reach, Said::NoReach { rode });
            return;
        };
        let reach = Up(reach);
        self.row(Margin::Reach, Said::Reach { reach, rode });
        if let Some(widest) = plan.swing_radius.map(Up) {
            self.row(Margin::Room, Said::Room { widest });
        }
        let circles = plan.circles;
        if self.tide() {
            self.circle(circles.lowest, "lowest", None);
            self.circle(circles.highest, "highest", None);
        } else {
            self.circle(circles.lowest, "any", None);
        }
        if let Some(wind) = plan.wind {
            self.circle(circles.wind, "any", Some(wind.speed));
        }
    }

    fn circle(&mut self, circle: Option<Circle>, water: &'static str, wind: Option<Speed>) {
        let Some(circle) = circle else { return };
        let told = Said::Circle {
            stern: Up(circle.stern),
            bow: Up(circle.bow),
            antenna: circle.antenna.map(Up),
            water,
            wind,
        };
        self.row(Margin::Circle, told);
    }

    fn wind(&mut self) {
        let plan = self.plan;
        if let Some(wind) = plan.wind {
            let told = Said::Wind {
                wind: wind.speed,
                pull: wind.pull,
                load: wind.design_load,
            };
            self.row(Margin::Wind, told);
            if let Some((steady, design)) = wind.steady.zip(wind.design) {
                self.bottom(steady, true);
                self.bottom(design, false);
            }
        }
        if let Some(lift) = plan.lift {
            let rope = self.inputs.tackle.is_rope_at_the_roller(plan.holds_for);
            let told = Said::Lifts {
                chain: self.inputs.tackle.chain.is_some() && !rope,
                wind: whole_knots(lift.wind),
                design: whole_knots(lift.wind_by_design),
            };
            self.row(Margin::Lifts, told);
        }
        for limit in &plan.limits {
            let told = Said::Strength {
                part: limit.what.clone(),
                load: limit.working_load,
                wind: whole_knots(limit.wind),
            };
            self.row(Margin::Strength, told);
        }
    }

    fn bottom(&mut self, lie: LieTold, steady: bool) {
        let told = Said::Bottom {
            lead: Said::lead(lie.lead.degrees()),
            lies: Down(lie.on_bottom),
            steady,
            tide: self.tide(),
        };
        self.row(Margin::Bottom, told);
    }
}

/// As wide as the English names need.
const COLUMN: usize = 12;
