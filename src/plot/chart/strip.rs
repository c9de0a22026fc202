//! The strip below the chart: scale, age of the track, north.

use super::labels::LABEL;
use super::track::TRACK_INKS;
use crate::plot::scale::bar;
use crate::plot::writer::{Point, Rect, Side, Stroke, Svg, ink, through};
use crate::speech::Wording;
use crate::speech::picture::Picture;
use crate::units::{LengthUnit, Metres};

/// The scale below the chart, and the meaning of the track's brightness.
pub(super) fn strip(svg: &mut Svg, frame: Rect, units: f64, say: &Wording) {
    // In the crew's unit: the bar is a round length in it.
    let units = match say.lengths {
        LengthUnit::Metres => units,
        LengthUnit::Feet => units / Metres::of(1.0).feet(),
    };
    let length = bar(units, 190.0);
    let y = frame.y + frame.height - 16.0;
    let left = frame.x + 18.0;
    let right = left + length * units;
    let at = |x: f64, y: f64| Point { x, y };
    let line = through(&[
        at(left, y - 10.0),
        at(left, y),
        at(right, y),
        at(right, y - 10.0),
    ]);
    svg.path(
        "scale-bar",
        &line,
        "none",
        Some(Stroke::of(ink::BRIGHT, 4.0)),
    );
    let text = match say.lengths {
        LengthUnit::Metres if length >= 1000.0 => format!("{} km", length / 1000.0),
        LengthUnit::Metres | LengthUnit::Feet => format!("{length} {}", say.lengths.symbol()),
    };
    svg.words(
        &text,
        at(left + 12.0, y - 10.0),
        LABEL,
        Side::Start,
        ink::BRIGHT,
    );

    let x = frame.x + frame.width - 100.0;
    let start = x - 60.0 - TRACK_INKS.len() as f64 * 24.0;
    svg.words(
        &Picture::OneHour.words(say),
        at(start - 10.0, y + 2.0),
        LABEL,
        Side::End,
        ink::MIDDLE,
    );
    for (index, ink) in TRACK_INKS.iter().rev().enumerate() {
        let from = start + index as f64 * 24.0;
        let line = through(&[at(from, y - 6.0), at(from + 24.0, y - 6.0)]);
        svg.path("", &line, "none", Some(Stroke::of(ink, 7.0)));
    }
    svg.words(
        &Picture::Now.words(say),
        at(x - 50.0, y + 2.0),
        LABEL,
        Side::Start,
        ink::MIDDLE,
    );
}

/// North is up: a needle in the corner of the strip.
pub(super) fn north(svg: &mut Svg, frame: Rect) {
    let x = frame.x + frame.width - 24.0;
    let y = frame.y + frame.height - 14.0;
    let at = |dx: f64, dy: f64| Point {
        x: x + dx,
        y: y + dy,
    };
    let needle = through(&[at(0.0, -34.0), at(9.0, 0.0), at(0.0, -8.0), at(-9.0, 0.0)]);
    svg.path("north", &format!("{needle}Z"), ink::MIDDLE, None);
    svg.words("N", at(-16.0, 2.0), LABEL, Side::End, ink::MIDDLE);
}
