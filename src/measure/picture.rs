//! The figures drawn: for each method, the share of drags reported by the time the anchor had moved
//! a given distance. The farther left a curve, the earlier the crew is awake.
//!
//! Plain SVG without fonts or scripts of its own, so that any browser and any converter shows it.

use std::fmt::Write as _;

use crate::measure::tally::{Method, Report};

/// The picture as SVG.
#[must_use]
pub fn svg(report: &Report) -> String {
    let mut page = String::new();
    let most = farthest(report);
    // Writing to a string cannot fail.
    let _ = write!(
        page,
        r##"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" font-size="13">
<title>Metres the anchor had moved when the alarm came</title>
<rect width="{WIDTH}" height="{HEIGHT}" fill="#fbfaf6"/>
<text x="{LEFT}" y="30" font-size="18" fill="#1d2b36">Metres the anchor had moved when the alarm came</text>
<text x="{LEFT}" y="50" fill="#52606b">{} drags among {} nights, seed {}; share of them told by then</text>
"##,
        report.drags, report.nights, report.seed
    );
    grid(&mut page, most);
    for (number, method) in report.methods.iter().enumerate() {
        curve(&mut page, number, method, most);
    }
    page.push_str("</svg>\n");
    page
}

fn grid(page: &mut String, most: f64) {
    for quarter in 0..=4 {
        let share = f64::from(quarter) / 4.0;
        let y = down(share);
        let _ = writeln!(
            page,
            r##"<path d="M{LEFT} {y:.1}H{:.1}" stroke="#d8d4c8"/><text x="{:.1}" y="{:.1}" text-anchor="end" fill="#52606b">{:.0} %</text>"##,
            LEFT + BREADTH,
            LEFT - 8.0,
            y + 4.0,
            share * 100.0
        );
    }
    let step = if most > 60.0 { 20.0 } else { 10.0 };
    let mut metres = 0.0;
    while metres <= most {
        let x = across(metres, most);
        let _ = writeln!(
            page,
            r##"<path d="M{x:.1} {:.1}v6" stroke="#52606b"/><text x="{x:.1}" y="{:.1}" text-anchor="middle" fill="#52606b">{metres:.0} m</text>"##,
            down(0.0),
            down(0.0) + 21.0
        );
        metres += step;
    }
}

fn curve(page: &mut String, number: usize, method: &Method, most: f64) {
    let (colour, dashes) = LOOKS.get(number).copied().unwrap_or(("#52606b", ""));
    let mut path = format!("M{LEFT} {:.1}", down(0.0));
    let count = method.each.len().max(1) as f64;
    for (rank, metres) in method.each.iter().enumerate() {
        let (x, y) = (across(*metres, most), down((rank + 1) as f64 / count));
        let _ = write!(path, "H{x:.1}V{y:.1}");
    }
    let width = if number == 0 { 3.0 } else { 1.6 };
    let y = 90.0 + 20.0 * number as f64;
    let x = LEFT + BREADTH - 250.0;
    let _ = writeln!(
        page,
        r##"<path d="{path}" fill="none" stroke="{colour}" stroke-width="{width}" stroke-dasharray="{dashes}"/>
<path d="M{x} {:.1}h28" stroke="{colour}" stroke-width="{width}" stroke-dasharray="{dashes}"/><text x="{}" y="{y}" fill="#1d2b36">{}: half by {:.1} m, 95 % by {:.1} m</text>"##,
        y - 4.0,
        x + 36.0,
        method.name,
        method.metres.median,
        method.metres.p95
    );
}

/// The right end of the axis: a little beyond where the slowest method has reported nineteen of twenty.
fn farthest(report: &Report) -> f64 {
    let slowest = report
        .methods
        .iter()
        .map(|method| method.metres.p95)
        .fold(10.0, f64::max);
    (slowest * 1.25 / 10.0).ceil() * 10.0
}

fn across(metres: f64, most: f64) -> f64 {
    LEFT + BREADTH * (metres / most).min(1.0)
}

fn down(share: f64) -> f64 {
    TOP + TALL * (1.0 - share)
}

/// Colours that also differ in lightness, and dashes, for readers who cannot tell the colours apart.
const LOOKS: [(&str, &str); 7] = [
    ("#0b5fa5", ""),
    ("#b3471d", ""),
    ("#c98a2b", "7 4"),
    ("#7a4a86", "9 3 2 3"),
    ("#3b7d4f", "2 4"),
    ("#8a8f94", "1 3"),
    ("#0b5fa5", "3 3"),
];
const WIDTH: f64 = 860.0;
const HEIGHT: f64 = 460.0;
const LEFT: f64 = 70.0;
const TOP: f64 = 72.0;
const BREADTH: f64 = 750.0;
const TALL: f64 = 340.0;
