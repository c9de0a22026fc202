//! Where she was in the last hour: the younger, the brighter.

use crate::plot::PictureInput;
use crate::plot::scale::View;
use crate::plot::writer::{Point, Stroke, Svg, ink, through};
use crate::watch::track::{KEPT, MOST, TrackPoint};

/// The track to draw: the last hour, in order, at most as many points as the watch keeps.
pub(super) fn recent(input: &PictureInput) -> Vec<TrackPoint> {
    let mut track: Vec<TrackPoint> = input
        .sight
        .track
        .iter()
        .filter(|point| age(input, point) <= KEPT.as_secs_f64())
        .copied()
        .collect();
    track.sort_by_key(|point| point.time);
    let surplus = track.len().saturating_sub(MOST + 1);
    track.drain(..surplus);
    track
}

/// Age in seconds; a point in the future (the clock was set) counts as now.
pub(super) fn age(input: &PictureInput, point: &TrackPoint) -> f64 {
    input.time.millis_since(point.time).max(0) as f64 / 1000.0
}

/// The track in pieces without a gap; coinciding points are left out.
pub(super) fn runs(
    input: &PictureInput,
    track: &[TrackPoint],
    view: View,
) -> Vec<Vec<(f64, Point)>> {
    let mut runs: Vec<Vec<(f64, Point)>> = Vec::new();
    let mut before: Option<TrackPoint> = None;
    for point in track {
        let gap = before.is_none_or(|before| point.time.millis_since(before.time) > GAP_IN_TRACK);
        before = Some(*point);
        let here = (age(input, point), view.point(point.position));
        match runs.last_mut().filter(|_| !gap) {
            Some(run) => {
                let apart = run.last().is_none_or(|(age, last)| {
                    (last.x - here.1.x).hypot(last.y - here.1.y) >= 1.5
                        || band_of(*age) != band_of(here.0)
                });
                if apart {
                    run.push(here);
                }
            }
            None => runs.push(vec![here]),
        }
    }
    runs
}

/// Which sixth of the hour it is.
pub(super) fn band_of(age: f64) -> usize {
    let sixth = KEPT.as_secs_f64() / TRACK_INKS.len() as f64;
    (0..TRACK_INKS.len())
        .rev()
        .find(|band| age >= *band as f64 * sixth)
        .unwrap_or(0)
}

pub(super) fn stroke_piece(svg: &mut Svg, piece: &[Point], band: usize) {
    let ink = TRACK_INKS.get(band).copied().unwrap_or(ink::FAINT);
    let mut piece = piece.to_vec();
    if let [only] = piece.as_slice() {
        // A line of no length with round ends is a dot.
        piece.push(*only);
    }
    svg.path("", &through(&piece), "none", Some(Stroke::of(ink, 4.0)));
}

/// Youngest first: ten minutes each.
pub(super) const TRACK_INKS: [&str; 6] = [
    "#ffb75a", "#e09c48", "#b87c38", "#925f2a", "#72481f", "#573516",
];
/// A longer interval than this is a gap: the fix was lost in between, or windrode was not running;
/// milliseconds.
const GAP_IN_TRACK: i64 = 60_000;
