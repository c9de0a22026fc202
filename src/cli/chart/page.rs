//! Room to swing as a page of 80 columns: the answer first, then what it rests on.

use crate::chart::clearance::{CellTold, Clearance, Needs};
use crate::chart::object::About;
use crate::cli::status::wrapped_to;
use crate::speech::charts::{Place, Share};
use crate::speech::{Sentence, Wording};
use crate::units::{Bearing, Metres};

/// A cell on one line.
pub(super) fn cell(about: &About) -> String {
    let say = Wording::default();
    CellTold::of(about, &say).told().words(&say)
}

/// The page, as lines.
pub(super) fn page(answer: &Clearance, needs: &Needs) -> Vec<String> {
    let say = |length: Metres| needs.say.exact(length);
    let mut lines = Vec::new();
    let sector = match answer.from.zip(answer.to) {
        Some((from, to)) => format!(", between {} and {}", degrees(from), degrees(to)),
        None => String::new(),
    };
    lines.extend(wrapped_to(
        "",
        "",
        &format!("{} about {}{sector}", say(answer.radius), answer.centre),
    ));
    lines.push(String::new());
    if answer.clears {
        lines.push("clear: nothing on the chart is against it".to_owned());
    } else {
        lines.push("NOT CLEAR".to_owned());
    }
    for reason in &answer.reasons {
        lines.extend(wrapped_to("- ", "  ", reason));
    }
    lines.push(String::new());
    let mut before = "";
    for (name, text) in rows(answer, needs) {
        let shown = if name == before { "" } else { name };
        before = name;
        lines.extend(wrapped_to(
            &format!("{shown:<COLUMN$}"),
            &" ".repeat(COLUMN),
            &text,
        ));
    }
    if !answer.cautions.is_empty() {
        lines.push(String::new());
        lines.push("Look at this".to_owned());
        for caution in &answer.cautions {
            lines.extend(wrapped_to("- ", "  ", caution));
        }
    }
    lines.push(String::new());
    lines.extend(wrapped_to("", "", answer.notice));
    lines
}

const COLUMN: usize = 10;

fn rows(answer: &Clearance, needs: &Needs) -> Vec<(&'static str, String)> {
    let say = |length: Metres| needs.say.exact(length);
    let mut rows = Vec::new();
    let placed = |what: &str, distance: Metres, bearing: Bearing| {
        Place::of(Sentence::verbatim(what), distance, bearing).words(&needs.wording())
    };
    match &answer.least {
        Some(least) => {
            rows.push(("least", placed(&least.what, least.distance, least.bearing)));
            if let Some(left) = least.under_keel {
                let keel = if left.get() < 0.0 {
                    format!("{} too little for the keel", say(Metres::ZERO - left))
                } else {
                    format!("{} under the keel", needs.say.down(left))
                };
                let error = least.depth_error.map_or(String::new(), |error| {
                    format!("; the chart may be wrong by {}", say(error))
                });
                rows.push(("", format!("{keel} at low water{error}")));
            }
        }
        None => rows.push(("least", "no depth on the chart".to_owned())),
    }
    rows.push((
        "needed",
        format!(
            "{} on the chart: draught {}, margin {}, lowest tide {}",
            say(answer.depth_needed),
            say(answer.draught),
            say(answer.margin),
            say(answer.lowest_tide)
        ),
    ));
    rows.push((
        "danger",
        match &answer.nearest_danger {
            Some(danger) => format!(
                "the nearest: {}",
                placed(&danger.what, danger.distance, danger.bearing)
            ),
            None => format!("none within {}", say(answer.searched)),
        },
    ));
    for danger in &answer.unknown_dangers {
        rows.push((
            "unknown",
            placed(&danger.what, danger.distance, danger.bearing),
        ));
    }
    for (share, words) in [
        (answer.share_too_shoal, "too shoal or dangerous"),
        (answer.share_not_covered, "on no chart"),
        (answer.share_without_depth, "without a depth on the chart"),
    ] {
        if share > 0.0 {
            rows.push((
                "share",
                format!("{} {words}", Share::of(share).words(&needs.wording())),
            ));
        }
    }
    for regulated in &answer.regulated {
        let mut text = regulated.what.clone();
        if !regulated.restrictions.is_empty() {
            text = format!("{text}: {}", regulated.restrictions.join(", "));
        }
        if let Some(note) = &regulated.note {
            text = format!("{text}; {note}");
        }
        rows.push(("rules", text));
    }
    for foul in &answer.foul {
        rows.push(("foul", placed(&foul.what, foul.distance, foul.bearing)));
    }
    for survey in &answer.surveys {
        let end = survey
            .end
            .as_ref()
            .map_or(String::new(), |end| format!("; surveyed until {end}"));
        rows.push((
            "survey",
            format!("{}{end}", survey.words.trim_start_matches("survey ")),
        ));
    }
    for cell in &answer.cells {
        rows.push(("chart", cell.told().words(&needs.wording())));
    }
    rows
}

fn degrees(bearing: Bearing) -> String {
    format!("{:03.0}°", bearing.degrees().round() % 360.0)
}
