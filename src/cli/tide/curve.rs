//! A small curve of the tide for a terminal: filled columns, heights on the left, the boat's time below.

use std::fmt::Write as _;

use jiff::tz::TimeZone;

use super::dates::{self, Window};
use crate::speech::Wording;
use crate::tide::Predictor;
use crate::time::Timestamp;
use crate::units::Metres;

/// The first two days of the window; the column of the present moment is marked below.
pub(super) fn curve(
    predictor: &Predictor,
    window: Window,
    now: Timestamp,
    zone: &TimeZone,
    say: &Wording,
) -> Vec<String> {
    let length = window.to.millis_since(window.from).clamp(1, LONGEST_MS);
    let at = |column: i64| {
        let into = i128::from(length) * i128::from(2 * column + 1) / i128::from(2 * COLUMNS);
        Timestamp::from_millis(window.from.as_millis() + i64::try_from(into).unwrap_or(0))
    };
    let times: Vec<Timestamp> = (0..COLUMNS).map(at).collect();
    let heights: Vec<f64> = times
        .iter()
        .map(|time| predictor.height(*time).get())
        .collect();
    let top = heights.iter().copied().fold(f64::MIN, f64::max);
    let bottom = heights.iter().copied().fold(f64::MAX, f64::min);
    let range = (top - bottom).max(0.01);
    let label = |height: f64| {
        let [metres, _] = say.tide_figures(Metres::of(height));
        format!("{metres:>7} m ")
    };
    let mut lines = Vec::new();
    for row in (0..ROWS).rev() {
        let label = match row {
            0 => label(bottom),
            _ if row == ROWS - 1 => label(top),
            _ => " ".repeat(10),
        };
        let cells = heights.iter().map(|height| {
            // The lowest water must still be visible.
            let eighths = (height - bottom) / range * f64::from(ROWS * 8 - 1) + 1.0;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "clamped to the nine blocks"
            )]
            let block = (eighths - f64::from(row * 8)).round().clamp(0.0, 8.0) as usize;
            BLOCKS[block]
        });
        lines.push(
            format!("{label}{}", cells.collect::<String>())
                .trim_end()
                .to_owned(),
        );
    }
    let foot = foot(&times, now, zone);
    lines.push(format!("{:10}{}", "", foot.trim_end()));
    lines
}

/// The line below the curve: every sixth hour, and a mark for now.
fn foot(times: &[Timestamp], now: Timestamp, zone: &TimeZone) -> String {
    let mut line = String::new();
    let mut before = None;
    for (column, time) in times.iter().enumerate() {
        let hour = dates::hour(*time, zone);
        let next = times.get(column + 1);
        let is_now = *time <= now && next.is_some_and(|next| now < *next);
        if is_now && line.len() <= column {
            line.push_str(&" ".repeat(column - line.len()));
            line.push('^');
        } else if before != Some(hour) && hour % 6 == 0 && line.len() <= column {
            line.push_str(&" ".repeat(column - line.len()));
            let _ = write!(line, "{hour:02}h");
        }
        before = Some(hour);
    }
    line
}

const COLUMNS: i64 = 68;
const ROWS: i32 = 6;
const LONGEST_MS: i64 = 2 * 86_400_000;
const BLOCKS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
