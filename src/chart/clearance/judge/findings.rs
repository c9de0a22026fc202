//! What is against lying there, and the sentence of each.

use super::super::Needs;
use super::super::answer::{Clearance, Danger, Finding};
use super::SAME;
use crate::units::{Bearing, Metres};

/// Fills in the findings, the gravest first.
pub(crate) fn tell(answer: &mut Clearance, needs: &Needs) {
    let mut found: Vec<(Finding, String)> = Vec::new();
    let say = |length: Metres| needs.say.exact(length);
    let sliver = sliver(answer.radius);
    if let Some(least) = &answer.least {
        let where_ = format!(
            "{}, {}",
            least.what,
            polar(least.distance, least.bearing, needs)
        );
        match (least.depth, least.under_keel) {
            (Some(depth), Some(left)) => {
                // With the tide now, where it was given and is not the lowest.
                let now = needs.now.map(|now| depth + now - needs.draught);
                if left.get() < -SAME {
                    let by = say(Metres::ZERO - left);
                    match now {
                        Some(now) if now.get() >= -SAME => found.push((
                            Finding::GroundsAtLowWater,
                            format!("she grounds at low water, by {by}: {where_}; now {} under the keel there", needs.say.down(now)),
                        )),
                        _ => found.push((Finding::Grounds, format!("she grounds at low water, by {by}: {where_}"))),
                    }
                } else if left.get() < needs.margin.get() - SAME {
                    found.push((
                        Finding::MarginShort,
                        format!(
                            "{} under the keel at low water, less than the margin of {}: {where_}",
                            needs.say.down(left),
                            say(needs.margin)
                        ),
                    ));
                }
            }
            _ => found.push((Finding::Solid, format!("not all of it is water: {where_}"))),
        }
    }
    if let Some(first) = answer.unknown_dangers.first() {
        let count = answer.unknown_danger_count;
        let more = if count > 1 {
            format!("; {count} such dangers in all")
        } else {
            String::new()
        };
        found.push((
            Finding::UnknownDanger,
            format!("a danger of unknown depth: {}{more}", placed(first, needs)),
        ));
    }
    if answer.share_not_covered > sliver {
        found.push((
            Finding::NotCovered,
            format!(
                "{} of it is on no chart here; what is there is not known",
                percent(answer.share_not_covered)
            ),
        ));
    }
    if answer.share_without_depth > sliver {
        found.push((
            Finding::NoDepth,
            format!(
                "the chart gives no depth for {} of it",
                percent(answer.share_without_depth)
            ),
        ));
    }
    rules(answer, &mut found);
    if let Some(first) = answer.foul.first() {
        found.push((
            Finding::Foul,
            format!(
                "deep enough for the keel, but an anchor may foul it: {}",
                placed(first, needs)
            ),
        ));
    }
    found.sort_by_key(|(finding, _)| *finding);
    (answer.findings, answer.reasons) = found.into_iter().unzip();
    answer.clears = answer.findings.is_empty();
}

/// Cables, pipes, and where anchoring is forbidden.
fn rules(answer: &Clearance, found: &mut Vec<(Finding, String)>) {
    for (finding, classes) in [
        (Finding::Cable, &["CBLSUB", "CBLARE"][..]),
        (Finding::Pipe, &["PIPSOL", "PIPARE"]),
    ] {
        let touched = answer
            .regulated
            .iter()
            .filter(|regulated| classes.contains(&regulated.class));
        let words: Vec<String> = touched
            .map(|regulated| with_rules(&regulated.what, &regulated.restrictions))
            .collect();
        if !words.is_empty() {
            found.push((finding, format!("it touches: {}", words.join("; "))));
        }
    }
    let forbidden: Vec<String> = answer
        .regulated
        .iter()
        .filter(|regulated| {
            regulated.concerns_anchoring
                && !["CBLSUB", "CBLARE", "PIPSOL", "PIPARE"].contains(&regulated.class)
        })
        .map(|regulated| with_rules(&regulated.what, &regulated.restrictions))
        .collect();
    if !forbidden.is_empty() {
        found.push((
            Finding::Restricted,
            format!("it touches: {}", forbidden.join("; ")),
        ));
    }
}

/// The share up to which a gap between areas comes of rounding alone: a strip of 3 cm across the circle (a centimetre of
/// the grid, two of a long edge), and no more than a thousandth. In a wide circle a thousandth would be a real hole.
fn sliver(radius: Metres) -> f64 {
    (2.0 * 0.03 / (std::f64::consts::PI * radius.get())).min(1e-3)
}

fn with_rules(what: &str, rules: &[String]) -> String {
    if rules.is_empty() {
        what.to_owned()
    } else {
        format!("{what}: {}", rules.join(", "))
    }
}

fn placed(danger: &Danger, needs: &Needs) -> String {
    format!(
        "{}, {}",
        danger.what,
        polar(danger.distance, danger.bearing, needs)
    )
}

/// `45.2 m at 031°`, from the centre.
#[must_use]
pub fn polar(distance: Metres, bearing: Bearing, needs: &Needs) -> String {
    if distance.get() < 0.05 {
        return "at the centre".to_owned();
    }
    let degrees = bearing.degrees().round() % 360.0;
    format!(
        "{} at {degrees:03.0}° from the centre",
        needs.say.exact(distance)
    )
}

/// A share in words: never "0 %" of something that is there, nor "100 %" of what is not all.
#[must_use]
pub fn percent(share: f64) -> String {
    match share * 100.0 {
        all if all > 99.999 => "all".to_owned(),
        most if most > 99.0 => "more than 99 %".to_owned(),
        few if few < 1.0 => "less than 1 %".to_owned(),
        part => format!("{part:.0} %"),
    }
}
