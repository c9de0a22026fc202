//! The charted ground, below everything else: the shoaler the brighter, all in the picture's own hue, with
//! shapes as a second distinction.
//!
//! Deep water is as dark as the night. Water too shoal for this boat at the lowest level is hatched; land
//! is solid and the brightest. Uncharted areas are dotted, so that they are never taken for deep water. A
//! danger is a cross; one that the boat has sounded is a lozenge.

use super::super::scale::View;
use super::super::writer::{Point, Rect, Stroke, Svg, ink, through};
use super::labels::about;
use crate::chart::sketch::{Ground, Sketch};
use crate::geodesy::Offset;

/// Draws the ground into `room`, which is already clipped.
pub(super) fn ground(svg: &mut Svg, charts: &[Sketch], view: View, room: Rect) {
    if charts.is_empty() {
        return;
    }
    unknown(svg, room);
    for sketch in charts {
        let middle = view.offset(sketch.centre);
        let half = sketch.within.get() * view.units;
        let centre = view.at(middle);
        let square = about(centre, half);
        if !square.meets(room) {
            continue;
        }
        // What a coarser chart shows here is covered.
        svg.rect(square, ink::NIGHT, None);
        unknown(svg, common(square, room));
        for area in &sketch.areas {
            let rings: Vec<Vec<Point>> = area
                .rings
                .iter()
                .map(|ring| ring.iter().map(|spot| on(view, middle, *spot)).collect())
                .collect();
            let outline: String = rings.iter().map(|ring| through(ring) + "Z").collect();
            let fill = match area.ground {
                Ground::Deep => ink::NIGHT,
                Ground::Ample => ink::AMPLE,
                Ground::Scant => ink::SCANT,
                Ground::Shoal => ink::SHOAL,
                Ground::Land => ink::LAND,
            };
            // An outline in the same colour closes the seams between pieces of one area.
            svg.path("", &outline, fill, Some(Stroke::of(fill, 1.5)));
            if area.ground == Ground::Shoal {
                let lines = hatching(&rings, room);
                svg.path("", &lines, "none", Some(Stroke::of(ink::HATCH, 3.5)));
            }
        }
    }
    if let Some(sketch) = charts.last() {
        let middle = view.offset(sketch.centre);
        for mark in &sketch.marks {
            let place = on(view, middle, mark.at);
            if room.contains(place) {
                danger(svg, place, mark.own);
            }
        }
    }
}

fn on(view: View, middle: Offset, [east, north]: [i32; 2]) -> Point {
    view.at(middle
        + Offset {
            east: f64::from(east) / 10.0,
            north: f64::from(north) / 10.0,
        })
}

fn common(one: Rect, other: Rect) -> Rect {
    let (x, y) = (one.x.max(other.x), one.y.max(other.y));
    Rect {
        x,
        y,
        width: (one.x + one.width).min(other.x + other.width) - x,
        height: (one.y + one.height).min(other.y + other.height) - y,
    }
}

/// Dots on a grid over the whole picture.
fn unknown(svg: &mut Svg, within: Rect) {
    let steps = |from: f64, length: f64| {
        let first = (from / DOTS).ceil();
        let count = ((from + length) / DOTS - first)
            .floor()
            .clamp(-1.0, MOST_DOTS);
        #[expect(clippy::cast_possible_truncation, reason = "held")]
        (0..=count as i32).map(move |step| (first + f64::from(step)) * DOTS)
    };
    let mut dots = String::new();
    for y in steps(within.y, within.height) {
        for x in steps(within.x, within.width) {
            let at = Point { x, y };
            dots += &through(&[at, at]);
        }
    }
    svg.path("", &dots, "none", Some(Stroke::of(ink::FAINT, 3.5)));
}

/// Parallel lines across an area, at the same positions all over the picture. Each line is cut by the
/// outlines and drawn between alternate cuts. A pattern of the drawing library takes ten times as long.
fn hatching(rings: &[Vec<Point>], room: Rect) -> String {
    // x - y is constant along a line.
    let across = |point: Point| point.x - point.y;
    let (low, high) = (room.x - room.y - room.height, room.x + room.width - room.y);
    let mut lines = String::new();
    let mut at = (low / HATCHED).ceil() * HATCHED;
    while at <= high {
        let mut cuts: Vec<f64> = rings
            .iter()
            .flat_map(|ring| ring.windows(2))
            .filter_map(|edge| {
                let (from, to) = (across(edge[0]) - at, across(edge[1]) - at);
                ((from < 0.0) != (to < 0.0))
                    .then(|| edge[0].x + (edge[1].x - edge[0].x) * from / (from - to))
            })
            .collect();
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            let held = |x: f64| x.clamp(room.x, room.x + room.width);
            let (from, to) = (held(pair[0]), held(pair[1]));
            if to - from > 1.0 {
                let point = |x: f64| Point { x, y: x - at };
                lines += &through(&[point(from), point(to)]);
            }
        }
        at += HATCHED;
    }
    lines
}

fn danger(svg: &mut Svg, at: Point, own: bool) {
    let corner = |x: f64, y: f64| Point {
        x: at.x + x * ARM,
        y: at.y + y * ARM,
    };
    if own {
        let lozenge = through(&[
            corner(0.0, -0.8),
            corner(0.8, 0.0),
            corner(0.0, 0.8),
            corner(-0.8, 0.0),
        ]) + "Z";
        let edge = Stroke::of(ink::BRIGHT, 2.5);
        svg.path("", &lozenge, ink::NIGHT, Some(edge));
        return;
    }
    let cross = through(&[corner(-1.0, 0.0), corner(1.0, 0.0)])
        + &through(&[corner(0.0, -1.0), corner(0.0, 1.0)]);
    svg.path("", &cross, "none", Some(Stroke::of(ink::NIGHT, 8.0)));
    svg.path("", &cross, "none", Some(Stroke::of(ink::BRIGHT, 3.5)));
}

/// Position of a circle's least depth: a ring with a dot, which no other mark has.
pub(super) fn least(svg: &mut Svg, at: Point) {
    let ring = Stroke::of(ink::BRIGHT, 2.5);
    svg.circle("least-depth", at, LEAST, ink::NIGHT, Some(ring));
    svg.circle("", at, 2.5, ink::BRIGHT, None);
}

/// Units between the lines, measured along the picture's side, and between the dots.
const HATCHED: f64 = 18.0;
const DOTS: f64 = 22.0;
/// More dots do not fit into the picture's width or height.
const MOST_DOTS: f64 = 60.0;
const ARM: f64 = 10.0;
pub(super) const LEAST: f64 = 8.0;
