//! The plan as a page of 80 columns, read from the top as the crew thinks: how deep, how much rode,
//! how far she swings, what the wind does; then what to look at and what was assumed.

use crate::cli::status::wrapped_to;
use crate::speech::Wording;
use crate::tackle::circle::Circle;
use crate::tackle::plan::{LieTold, Plan, PlanInputs, ratio};
use crate::tackle::water::Below;
use crate::units::{Angle, Metres, Speed};

/// The page, as lines.
pub(super) fn page(plan: &Plan, inputs: &PlanInputs) -> Vec<String> {
    let mut lines = Vec::new();
    let mut page = Page {
        plan,
        inputs,
        rows: Vec::new(),
    };
    page.water();
    page.rode();
    page.room();
    page.wind();
    let mut before = "";
    for (name, text) in &page.rows {
        let shown = if *name == before { "" } else { name };
        before = name;
        lines.extend(wrapped_to(
            &format!("{shown:<COLUMN$}"),
            &" ".repeat(COLUMN),
            text,
        ));
    }
    for (heading, list) in [
        ("Look at this", &plan.cautions),
        ("Assumed", &plan.assumptions),
    ] {
        if !list.is_empty() {
            lines.push(String::new());
            lines.push(heading.to_owned());
            for entry in list {
                lines.extend(wrapped_to("- ", "  ", entry));
            }
        }
    }
    lines.push(String::new());
    lines.extend(wrapped_to("", "", plan.notice));
    lines
}

struct Page<'a> {
    plan: &'a Plan,
    inputs: &'a PlanInputs,
    rows: Vec<(&'static str, String)>,
}

impl Page<'_> {
    fn row(&mut self, name: &'static str, text: String) {
        self.rows.push((name, text));
    }

    fn water(&mut self) {
        let (plan, say) = (self.plan, self.inputs.say);
        let sounded = say.exact(plan.sounded);
        let from = match plan.below {
            Below::Surface => String::new(),
            Below::Transducer => format!(" ({sounded} below the transducer)"),
            Below::Keel => format!(" ({sounded} below the keel)"),
            Below::Datum => format!(" ({sounded} on the chart)"),
        };
        let now = say.exact(plan.depth.now);
        self.row("depth", format!("{now} of water now{from}"));
        let until = plan.until.map_or(String::new(), |until| {
            let stamp = until.to_string();
            let day = stamp.get(..10).unwrap_or_default();
            format!(" until {day} {} UTC", until.clock())
        });
        if plan.tide.source == "none" {
            self.row("tide", format!("{}; {}", plan.tide.words, plan.tide.cost));
        } else {
            let (high, low) = (say.exact(plan.depth.highest), say.exact(plan.depth.lowest));
            self.row(
                "",
                format!("{high} at the highest, {low} at the lowest water{until}"),
            );
            self.row("tide", format!("{}; {}", plan.tide.words, plan.tide.cost));
        }
        if let Some(left) = plan.under_keel_at_lowest {
            let when = if plan.tide.source == "none" {
                ""
            } else {
                " at the lowest water"
            };
            let words = if left.get() < 0.0 {
                format!("SHE GROUNDS{when}, by {}", say.exact(Metres::ZERO - left))
            } else {
                format!("{} under it{when}", say.down(left))
            };
            self.row("keel", words);
        }
        let height = say.exact(plan.depth.highest + plan.roller);
        self.row(
            "roller",
            format!(
                "{} above the water, {height} above the bottom{}",
                say.exact(plan.roller),
                self.at_highest()
            ),
        );
    }

    fn rode(&mut self) {
        let (plan, say) = (self.plan, self.inputs.say);
        let why = plan.scope_because.clone().words(&Wording::default());
        self.row("scope", format!("{}:1, {why}", plan.scope));
        let height = say.exact(plan.depth.highest + plan.roller);
        self.row(
            "rode",
            format!("{} × {height} = {}", plan.scope, say.exact(plan.rode)),
        );
        if let Some(out) = plan.rode_out {
            let more = plan.veer - out;
            let words = if more.get() > 0.0 {
                format!(
                    "; veer {} more, {} in all",
                    say.exact(more),
                    say.exact(plan.veer)
                )
            } else {
                format!(", enough for {}:1", plan.scope)
            };
            self.row("OUT", format!("{}{}{words}", say.exact(out), self.scopes()));
        } else {
            let marked = if plan.enough == Some(false) {
                ", all there is".to_owned()
            } else {
                marked(self.inputs)
            };
            self.row(
                "TOTAL RODE",
                format!("{}{marked}{}", say.exact(plan.veer), self.scopes()),
            );
        }
        if let Some(aboard) = plan.aboard {
            let words = match plan.enough {
                Some(true) => "enough",
                _ => "NOT ENOUGH",
            };
            self.row("aboard", format!("{}, {words}", say.exact(aboard)));
        }
    }

    fn room(&mut self) {
        let (plan, say) = (self.plan, self.inputs.say);
        let lie = say.exact(plan.holds_for);
        let Some(reach) = plan.reach else {
            self.row(
                "reach",
                format!("none: {lie} of rode do not reach the bottom"),
            );
            return;
        };
        self.row(
            "reach",
            format!(
                "{} from the anchor to the bow roller at most, with {lie} out",
                say.up(reach)
            ),
        );
        if let Some(widest) = plan.swing_radius {
            self.row(
                "ROOM",
                format!(
                    "{} clear about the anchor on every side, and a margin",
                    say.up(widest)
                ),
            );
        }
        let circle = |circle: Circle| {
            let antenna = circle.antenna.map_or(String::new(), |antenna| {
                format!(", antenna {}", say.up(antenna))
            });
            format!(
                "radius at the stern {}, bow {}{antenna}",
                say.up(circle.stern),
                say.up(circle.bow)
            )
        };
        let mut circles = Vec::new();
        if plan.tide.source == "none" {
            circles.extend(plan.circles.lowest.map(circle));
        } else {
            circles.extend(
                plan.circles
                    .lowest
                    .map(|c| circle(c) + " at the lowest water"),
            );
            circles.extend(plan.circles.highest.map(|c| circle(c) + " at the highest"));
        }
        let speed = plan.wind.map(|wind| wind.speed);
        circles.extend(
            plan.circles
                .wind
                .zip(speed)
                .map(|(c, speed)| format!("{} in {speed}", circle(c))),
        );
        for words in circles {
            self.row("circle", words);
        }
    }

    fn wind(&mut self) {
        let (plan, say) = (self.plan, self.inputs.say);
        if let Some(wind) = plan.wind {
            self.row(
                "wind",
                format!(
                    "{} pull {} steadily; ABYC H-40 designs for {}, gusts and surge in it",
                    wind.speed,
                    say.force(wind.pull),
                    say.force(wind.design_load)
                ),
            );
            let lie = |lie: LieTold| {
                if lie.lead > Angle::ZERO {
                    format!(
                        "nothing lies on the bottom, the anchor is lifted by {}",
                        upward(lie.lead)
                    )
                } else {
                    format!("{} lie on the bottom", say.down(lie.on_bottom))
                }
            };
            if let Some((steady, design)) = wind.steady.zip(wind.design) {
                self.row(
                    "bottom",
                    format!("{} in the steady pull{}", lie(steady), self.at_highest()),
                );
                self.row("bottom", format!("{} under the load of H-40", lie(design)));
            }
        }
        if let Some(lift) = plan.lift {
            let what = match (
                self.inputs.tackle.chain,
                self.inputs.tackle.is_rope_at_the_roller(plan.holds_for),
            ) {
                (Some(_), false) => "the chain lifts",
                _ => "the rode lifts",
            };
            self.row(
                "lifts",
                format!(
                    "{what} clear of the bottom at {} of steady wind, at {} with gusts and surge \
                     (ABYC H-40)",
                    whole(lift.wind),
                    whole(lift.wind_by_design)
                ),
            );
        }
        for limit in &plan.limits {
            let words = format!(
                "{}: {} of working load, reached at {} by H-40",
                limit.what,
                say.force(limit.working_load),
                whole(limit.wind)
            );
            self.row("strength", words);
        }
    }

    fn scopes(&self) -> String {
        let plan = self.plan;
        let Some((highest, now)) = plan.scope_at_highest.zip(plan.scope_now) else {
            return String::new();
        };
        if plan.tide.source == "none" {
            format!(", {}", ratio(now))
        } else {
            format!(
                ", {} at the highest water, {} now",
                ratio(highest),
                ratio(now)
            )
        }
    }

    fn at_highest(&self) -> &'static str {
        if self.plan.tide.source == "none" {
            ""
        } else {
            " at the highest water"
        }
    }
}

fn marked(inputs: &PlanInputs) -> String {
    inputs.tackle.marks.map_or(String::new(), |mark| {
        format!(" (marks each {})", inputs.say.exact(mark))
    })
}

/// Rounded down: a wind that does something does it no later.
fn whole(wind: Speed) -> String {
    format!("{:.0} kn", wind.knots().floor())
}

/// Rounded up: an anchor is lifted by no less.
fn upward(lead: Angle) -> String {
    format!("{:.0}°", lead.degrees().ceil())
}

const COLUMN: usize = 12;
