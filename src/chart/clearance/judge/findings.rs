//! The reasons against lying there, each with its sentence.

use super::super::Needs;
use super::super::answer::{Clearance, Danger, Finding, Regulated};
use super::SAME;
use crate::speech::charts::{Against, Charted, Place, Share};
use crate::speech::{Down, Exact, Sentence};
use crate::units::{Bearing, Metres};

/// Fills in the findings, the gravest first.
pub(crate) fn tell(answer: &mut Clearance, needs: &Needs) {
    let mut found: Vec<(Finding, Against)> = Vec::new();
    found.extend(too_shoal(answer, needs));
    if let Some(first) = answer.unknown_dangers.first() {
        let told = Against::UnknownDanger {
            what: placed(first),
            count: answer.unknown_danger_count as u64,
        };
        found.push((Finding::UnknownDanger, told));
    }
    let sliver = sliver(answer.radius);
    if answer.share_not_covered > sliver {
        let share = Share::of(answer.share_not_covered).into();
        found.push((Finding::NotCovered, Against::NotCovered { share }));
    }
    if answer.share_without_depth > sliver {
        let share = Share::of(answer.share_without_depth).into();
        found.push((Finding::NoDepth, Against::NoDepth { share }));
    }
    rules(answer, &mut found);
    if let Some(first) = answer.foul.first() {
        let what = placed(first);
        found.push((Finding::Foul, Against::Foul { what }));
    }
    found.sort_by_key(|(finding, _)| *finding);
    let say = needs.wording();
    let told = found
        .into_iter()
        .map(|(finding, against)| (finding, against.words(&say)));
    (answer.findings, answer.reasons) = told.unzip();
    answer.clears = answer.findings.is_empty();
}

/// Checks whether the least depth is too small.
fn too_shoal(answer: &Clearance, needs: &Needs) -> Option<(Finding, Against)> {
    let least = answer.least.as_ref()?;
    let what = located(&least.what, least.distance, least.bearing);
    let Some((depth, left)) = least.depth.zip(least.under_keel) else {
        return Some((Finding::Solid, Against::Solid { what }));
    };
    if left.get() < -SAME {
        let by = Exact(Metres::ZERO - left);
        // With the present tide, if it was given and is not the lowest.
        let now = needs.now.map(|now| depth + now - needs.draught);
        return Some(match now.filter(|now| now.get() >= -SAME) {
            Some(now) => {
                let left = Down(now);
                let told = Against::GroundsAtLowWater { by, what, left };
                (Finding::GroundsAtLowWater, told)
            }
            None => (Finding::Grounds, Against::Grounds { by, what }),
        });
    }
    (left.get() < needs.margin.get() - SAME).then(|| {
        let told = Against::MarginShort {
            left: Down(left),
            margin: Exact(needs.margin),
            what,
        };
        (Finding::MarginShort, told)
    })
}

/// Cables, pipes, and areas where anchoring is forbidden.
fn rules(answer: &Clearance, found: &mut Vec<(Finding, Against)>) {
    const CABLES: [&str; 2] = ["CBLSUB", "CBLARE"];
    const PIPES: [&str; 2] = ["PIPSOL", "PIPARE"];
    let mut touches = |finding: Finding, counts: &dyn Fn(&Regulated) -> bool| {
        let touched = answer.regulated.iter().filter(|it| counts(it));
        let told: Vec<Sentence> = touched.map(with_rules).collect();
        if !told.is_empty() {
            let what = Sentence::several(told, "; ");
            found.push((finding, Against::Touches { what }));
        }
    };
    let lies_on_the_bottom = |it: &Regulated| [CABLES, PIPES].concat().contains(&it.class);
    touches(Finding::Cable, &|it| CABLES.contains(&it.class));
    touches(Finding::Pipe, &|it| PIPES.contains(&it.class));
    touches(Finding::Restricted, &|it| {
        it.concerns_anchoring && !lies_on_the_bottom(it)
    });
}

/// The share up to which a gap between areas is due to rounding alone: a strip of 3 cm across the circle (a centimetre
/// from the grid, two from a long edge), but at most a thousandth. In a wide circle a thousandth would be a real hole.
fn sliver(radius: Metres) -> f64 {
    (2.0 * 0.03 / (std::f64::consts::PI * radius.get())).min(1e-3)
}

fn with_rules(regulated: &Regulated) -> Sentence {
    let what = Sentence::verbatim(&regulated.what);
    if regulated.restrictions.is_empty() {
        return what;
    }
    let rules = regulated.restrictions.iter().map(Sentence::verbatim);
    let rules = Sentence::several(rules, ", ");
    Charted::Ruled { what, rules }.into()
}

fn placed(danger: &Danger) -> Sentence {
    located(&danger.what, danger.distance, danger.bearing)
}

fn located(what: &str, distance: Metres, bearing: Bearing) -> Sentence {
    Place::of(Sentence::verbatim(what), distance, bearing).into()
}
