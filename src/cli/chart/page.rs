//! Room to swing as a page of 80 columns: the answer first, then its basis.

use crate::chart::clearance::{CellTold, Clearance, Needs};
use crate::chart::object::About;
use crate::cli::plan::page::margined;
use crate::cli::status::wrapped_to;
use crate::speech::berths::{ChartMargin, Swing};
use crate::speech::charts::{Place, Share};
use crate::speech::plans::Margin;
use crate::speech::{Down, Exact, Sentence, Wording};
use crate::units::{Bearing, Metres};

/// A cell: its name, scale, datum and edition.
pub(super) fn cell(about: &About, say: &Wording) -> Sentence {
    CellTold::of(about, say).told().into()
}

/// The page, as lines.
pub(super) fn page(answer: &Clearance, needs: &Needs) -> Vec<String> {
    let say = needs.wording();
    let about = Swing::About {
        radius: Exact(answer.radius),
        centre: answer.centre,
        from: answer.from.filter(|_| answer.to.is_some()),
        to: answer.to,
    };
    let mut lines = wrapped_to("", "", &about.words(&say));
    lines.push(String::new());
    let clear = if answer.clears {
        Swing::Clear
    } else {
        Swing::NotClear
    };
    lines.push(clear.words(&say));
    for reason in &answer.reasons {
        lines.extend(wrapped_to("- ", "  ", reason));
    }
    lines.push(String::new());
    lines.extend(margined(rows(answer), COLUMN, &say));
    if !answer.cautions.is_empty() {
        lines.push(String::new());
        lines.push(Margin::LookAt.words(&say));
        for caution in &answer.cautions {
            lines.extend(wrapped_to("- ", "  ", caution));
        }
    }
    lines.push(String::new());
    lines.extend(wrapped_to("", "", &answer.notice));
    lines
}

/// As wide as the English names need.
const COLUMN: usize = 10;

fn rows(answer: &Clearance) -> Vec<(ChartMargin, Sentence)> {
    let mut rows: Vec<(ChartMargin, Sentence)> = Vec::new();
    let placed = |what: &str, distance: Metres, bearing: Bearing| -> Sentence {
        Place::of(Sentence::verbatim(what), distance, bearing).into()
    };
    match &answer.least {
        Some(least) => {
            let what = placed(&least.what, least.distance, least.bearing);
            rows.push((ChartMargin::Least, what));
            if let Some(left) = least.under_keel {
                let short = (left.get() < 0.0).then(|| Exact(Metres::ZERO - left));
                let keel = Swing::Keel {
                    short,
                    left: Down(left),
                    error: least.depth_error.map(Exact),
                };
                rows.push((ChartMargin::Least, keel.into()));
            }
        }
        None => rows.push((ChartMargin::Least, Swing::NoDepth.into())),
    }
    let needed = Swing::Needed {
        needed: Exact(answer.depth_needed),
        draught: Exact(answer.draught),
        margin: Exact(answer.margin),
        tide: Exact(answer.lowest_tide),
    };
    rows.push((ChartMargin::Needed, needed.into()));
    let danger = match &answer.nearest_danger {
        Some(danger) => Swing::Nearest {
            danger: placed(&danger.what, danger.distance, danger.bearing),
        },
        None => Swing::NoDanger {
            within: Exact(answer.searched),
        },
    };
    rows.push((ChartMargin::Danger, danger.into()));
    for danger in &answer.unknown_dangers {
        let what = placed(&danger.what, danger.distance, danger.bearing);
        rows.push((ChartMargin::Unknown, what));
    }
    for (share, what) in [
        (answer.share_too_shoal, "tooShoal"),
        (answer.share_not_covered, "notCovered"),
        (answer.share_without_depth, "withoutDepth"),
    ] {
        if share > 0.0 {
            let share = Share::of(share);
            rows.push((ChartMargin::Share, Swing::Part { share, what }.into()));
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
        rows.push((ChartMargin::Rules, Sentence::verbatim(text)));
    }
    for foul in &answer.foul {
        let what = placed(&foul.what, foul.distance, foul.bearing);
        rows.push((ChartMargin::Foul, what));
    }
    for survey in &answer.surveys {
        let surveyed = Swing::Surveyed {
            quality: survey.category.told(),
            end: survey.end.clone(),
        };
        rows.push((ChartMargin::Survey, surveyed.into()));
    }
    for cell in &answer.cells {
        rows.push((ChartMargin::Chart, cell.told().into()));
    }
    rows
}
