//! The chart's objects near a place, on the plane about it.
//!
//! **Method.** Lines and areas are first cut, in degrees, to a box of longitude and latitude a little wider than the
//! range; then long edges are divided, and only then is everything projected onto the plane (azimuthal equidistant,
//! from Karney's geodesics). An edge of a chart is straight in degrees; divided at each hundredth of a degree, its
//! error is 2 cm at most. Edges that the box makes lie beyond the range. Where two cells cover a place, the area of the
//! cell with precedence is removed from the other by a library's difference of areas.
//! **Test**: `tests/peers/charts.rs`, by shapely and pyproj.

use geo::{
    BooleanOps as _, Contains as _, Coord, LineString, MultiLineString, MultiPolygon, Point,
    Polygon,
};

use super::object::Object;
use super::shape::{Extent, Path, Shape};
use super::sheet::{Placed, Sheet};
use super::zone::{Spot, Zone};
use crate::geodesy::{Plane, Position};

/// An object, or what is left of it, near the place.
#[derive(Debug)]
pub(super) struct Local<'a> {
    pub(super) cell: usize,
    pub(super) feature: u32,
    pub(super) object: &'a Object,
    pub(super) figure: Figure,
    pub(super) covers: bool,
}

/// Metres east and north of the place.
#[derive(Clone, Debug)]
pub(super) enum Figure {
    Point(Spot),
    Lines(Vec<Vec<Spot>>),
    /// Outlines counterclockwise, holes clockwise.
    Area(Vec<Vec<Spot>>),
}

/// Everything within `range` metres of the plane's origin, and little else.
pub(super) fn gather(sheet: &Sheet, plane: Plane, range: f64) -> Vec<Local<'_>> {
    gather_of(sheet, plane, range, &|_| true)
}

/// The same for the requested classes, and for the objects that give a cell's coverage.
pub(super) fn gather_of<'a>(
    sheet: &'a Sheet,
    plane: Plane,
    range: f64,
    wanted: &dyn Fn(&Object) -> bool,
) -> Vec<Local<'a>> {
    let mut found = Vec::new();
    for extent in Extent::about(plane.origin(), range) {
        let window = Window::of(extent);
        for placed in sheet.within(extent) {
            let piece = &placed.piece;
            if !wanted(&piece.object) && !sheet.covers(placed.cell, &piece.object, &piece.shape) {
                continue;
            }
            if let Some(figure) = window.figure(&piece.shape, plane) {
                found.push(local(sheet, placed, figure));
            }
        }
    }
    let first = found.first().map(|local| local.cell);
    if found.iter().any(|local| Some(local.cell) != first) {
        found = by_precedence(found, range);
    }
    found
}

fn local<'a>(sheet: &Sheet, placed: &'a Placed, figure: Figure) -> Local<'a> {
    let piece = &placed.piece;
    Local {
        cell: placed.cell,
        feature: piece.feature,
        object: &piece.object,
        covers: sheet.covers(placed.cell, &piece.object, &piece.shape),
        figure,
    }
}

/// Removes from each cell what the cells before it cover.
fn by_precedence(mut found: Vec<Local<'_>>, range: f64) -> Vec<Local<'_>> {
    found.sort_by_key(|local| local.cell);
    let circle = Zone::circle(range);
    let mut kept: Vec<Local<'_>> = Vec::with_capacity(found.len());
    let mut covered = MultiPolygon::new(Vec::new());
    for group in found.chunk_by(|a, b| a.cell == b.cell) {
        let full = circle.area_of(&rings(&covered)) > circle.area() * (1.0 - 1e-9);
        if full {
            break;
        }
        let own: Vec<MultiPolygon> = group
            .iter()
            .filter(|local| local.covers)
            .filter_map(|local| match &local.figure {
                Figure::Area(rings) => Some(polygons(rings)),
                Figure::Point(_) | Figure::Lines(_) => None,
            })
            .collect();
        for local in group {
            let figure = if covered.0.is_empty() {
                Some(local.figure.clone())
            } else {
                outside(&local.figure, &covered)
            };
            if let Some(figure) = figure {
                kept.push(Local { figure, ..*local });
            }
        }
        covered = covered.union(&joined(own));
    }
    kept
}

fn outside(figure: &Figure, covered: &MultiPolygon) -> Option<Figure> {
    match figure {
        Figure::Point(at) => {
            (!covered.contains(&Point::new(at[0], at[1]))).then_some(Figure::Point(*at))
        }
        Figure::Lines(lines) => {
            let lines = MultiLineString(lines.iter().map(|line| string(line)).collect());
            let left = covered.clip(&lines, true);
            let lines: Vec<Vec<Spot>> = left.0.iter().map(spots).collect();
            (!lines.is_empty()).then_some(Figure::Lines(lines))
        }
        Figure::Area(area) => {
            let left = rings(&polygons(area).difference(covered));
            (!left.is_empty()).then_some(Figure::Area(left))
        }
    }
}

/// In the library's form: each outline with its holes. The rings cannot cross, so all are given as one.
pub(super) fn polygons(rings: &[Vec<Spot>]) -> MultiPolygon {
    let mut outlines: Vec<MultiPolygon> = Vec::new();
    let mut holes: Vec<MultiPolygon> = Vec::new();
    for ring in rings {
        if doubled_area(ring) > 0.0 {
            outlines.push(Polygon::new(string(ring), Vec::new()).into());
        } else {
            holes.push(Polygon::new(string(ring), Vec::new()).into());
        }
    }
    let outlines = joined(outlines);
    if holes.is_empty() {
        outlines
    } else {
        outlines.difference(&joined(holes))
    }
}

/// The union of all of them, made in pairs. The library's own union of many polygons depends on the direction of the
/// first ring at its westernmost point, which the box's cuts can fold.
pub(super) fn joined(mut areas: Vec<MultiPolygon>) -> MultiPolygon {
    while areas.len() > 1 {
        areas = areas
            .chunks(2)
            .map(|pair| match pair {
                [a, b] => a.union(b),
                _ => pair[0].clone(),
            })
            .collect();
    }
    areas.pop().unwrap_or_else(|| MultiPolygon(Vec::new()))
}

/// Outlines counterclockwise, holes clockwise.
pub(super) fn rings(polygons: &MultiPolygon) -> Vec<Vec<Spot>> {
    let turned = |line: &LineString, counterclockwise: bool| {
        let mut ring = spots(line);
        if (doubled_area(&ring) > 0.0) != counterclockwise {
            ring.reverse();
        }
        ring
    };
    polygons
        .iter()
        .flat_map(|polygon| {
            std::iter::once(turned(polygon.exterior(), true)).chain(
                polygon
                    .interiors()
                    .iter()
                    .map(move |hole| turned(hole, false)),
            )
        })
        .filter(|ring| ring.len() > 3)
        .collect()
}

fn string(line: &[Spot]) -> LineString {
    LineString(line.iter().map(|p| Coord { x: p[0], y: p[1] }).collect())
}

fn spots(line: &LineString) -> Vec<Spot> {
    line.0.iter().map(|c| [c.x, c.y]).collect()
}

fn doubled_area(ring: &[Spot]) -> f64 {
    ring.windows(2)
        .map(|edge| edge[0][0] * edge[1][1] - edge[1][0] * edge[0][1])
        .sum()
}

/// A box of degrees.
struct Window {
    low: [f64; 2],
    high: [f64; 2],
}

impl Window {
    fn of(extent: Extent) -> Self {
        Self {
            low: extent.low.degrees(),
            high: extent.high.degrees(),
        }
    }

    fn figure(&self, shape: &Shape, plane: Plane) -> Option<Figure> {
        match shape {
            Shape::Point(path) => path
                .0
                .first()
                .map(|spot| Figure::Point(flat(plane, spot.degrees()))),
            Shape::Line(path) => {
                let lines: Vec<Vec<Spot>> = path
                    .0
                    .windows(2)
                    .filter_map(|edge| self.segment(edge[0].degrees(), edge[1].degrees()))
                    .map(|ends| flattened(plane, &ends))
                    .collect();
                (!lines.is_empty()).then_some(Figure::Lines(lines))
            }
            Shape::Area(rings) => {
                let degrees = |ring: &Path| ring.0.iter().map(|spot| spot.degrees()).collect();
                let rings: Vec<Vec<Spot>> = rings
                    .iter()
                    .map(|ring| clipped(degrees(ring), self.low, self.high))
                    .filter(|ring| ring.len() > 3)
                    .map(|ring| flattened(plane, &ring))
                    .collect();
                (!rings.is_empty()).then_some(Figure::Area(rings))
            }
        }
    }

    /// The part of a segment within the box (Liang and Barsky 1984).
    fn segment(&self, a: [f64; 2], b: [f64; 2]) -> Option<[[f64; 2]; 2]> {
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for axis in 0..2 {
            let step = b[axis] - a[axis];
            let (low, high) = (self.low[axis] - a[axis], self.high[axis] - a[axis]);
            if step == 0.0 {
                if low > 0.0 || high < 0.0 {
                    return None;
                }
                continue;
            }
            let (enter, leave) = if step > 0.0 {
                (low / step, high / step)
            } else {
                (high / step, low / step)
            };
            from = from.max(enter);
            to = to.min(leave);
        }
        let at = |t: f64| [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];
        (from <= to).then(|| [at(from), at(to)])
    }
}

/// The part of a closed ring within a box (Sutherland and Hodgman 1974). **Formula**: for each side, points beyond it
/// are dropped, and where an edge crosses the side, the crossing is added. **Weakness**: parts that are connected only
/// beyond the box stay connected along its side; this does no harm, because the sides lie outside the searched area or
/// are the frame of a picture. Any ring is accepted, also folded or flat, and the number of times that the ring goes
/// round a place in the box stays the same (test `a_clipped_ring_goes_round_each_place_as_before`).
pub(super) fn clipped(ring: Vec<[f64; 2]>, low: [f64; 2], high: [f64; 2]) -> Vec<[f64; 2]> {
    let mut kept = ring;
    for axis in 0..2 {
        for (bound, sign) in [(low[axis], 1.0), (high[axis], -1.0)] {
            if kept.iter().all(|p| sign * (p[axis] - bound) >= 0.0) {
                continue;
            }
            let mut next = Vec::with_capacity(kept.len() + 4);
            for edge in kept.windows(2) {
                let (a, b) = (edge[0], edge[1]);
                let (at, to) = (sign * (a[axis] - bound), sign * (b[axis] - bound));
                if at >= 0.0 {
                    next.push(a);
                }
                if (at >= 0.0) != (to >= 0.0) {
                    let t = at / (at - to);
                    next.push([a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t]);
                }
            }
            next.extend(next.first().copied());
            kept = next;
        }
    }
    kept
}

/// Projected onto the plane, with long edges divided.
fn flattened(plane: Plane, path: &[[f64; 2]]) -> Vec<Spot> {
    let mut points = Vec::with_capacity(path.len());
    points.extend(path.first().map(|first| flat(plane, *first)));
    for edge in path.windows(2) {
        let (a, b) = (edge[0], edge[1]);
        let long = (b[0] - a[0]).abs().max((b[1] - a[1]).abs());
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "at most 36 000"
        )]
        let parts = (long / LONGEST_EDGE).ceil().max(1.0) as u32;
        for part in 1..=parts {
            let t = f64::from(part) / f64::from(parts);
            points.push(flat(
                plane,
                [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t],
            ));
        }
    }
    points
}

/// Degrees.
const LONGEST_EDGE: f64 = 0.01;

fn flat(plane: Plane, degrees: [f64; 2]) -> Spot {
    // A cut may exceed the bounds in its last digit.
    Position::new(
        degrees[1].clamp(-90.0, 90.0),
        degrees[0].clamp(-180.0, 180.0),
    )
    .map_or([f64::MAX, 0.0], |place| {
        let offset = plane.offset(place);
        [offset.east, offset.north]
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// How often a closed ring goes round a place: crossings of the ray to the east (Sunday 2001).
    fn rounds(ring: &[Spot], [x, y]: Spot) -> i32 {
        ring.windows(2)
            .map(|edge| {
                let ([ax, ay], [bx, by]) = (edge[0], edge[1]);
                let left = (bx - ax) * (y - ay) - (x - ax) * (by - ay);
                if ay <= y && by > y && left > 0.0 {
                    1
                } else if ay > y && by <= y && left < 0.0 {
                    -1
                } else {
                    0
                }
            })
            .sum()
    }

    /// Metres from a place to a segment.
    fn off(place: Spot, from: Spot, to: Spot) -> f64 {
        let minus = |a: Spot, b: Spot| [a[0] - b[0], a[1] - b[1]];
        let (edge, way) = (minus(to, from), minus(place, from));
        let square = edge[0] * edge[0] + edge[1] * edge[1];
        let along = (way[0] * edge[0] + way[1] * edge[1]) / square;
        let share = if square > 0.0 {
            along.clamp(0.0, 1.0)
        } else {
            0.0
        };
        (way[0] - share * edge[0]).hypot(way[1] - share * edge[1])
    }

    proptest! {
        /// Corners on a coarse grid, so that rings fold, touch, cross themselves, repeat corners and lie along the
        /// box's sides.
        #[test]
        fn a_clipped_ring_goes_round_each_place_as_before(
            corners in prop::collection::vec((-6..=6_i32, -6..=6_i32), 0..14),
            places in prop::collection::vec((-2.99..2.99_f64, -2.99..2.99_f64), 40),
        ) {
            let mut ring: Vec<Spot> = corners
                .iter()
                .map(|(x, y)| [f64::from(*x), f64::from(*y)])
                .collect();
            ring.extend(ring.first().copied());
            let cut = clipped(ring.clone(), [-3.0, -3.0], [3.0, 3.0]);
            prop_assert!(cut.iter().flatten().all(|part| part.abs() <= 3.0 + 1e-9), "{cut:?}");
            prop_assert_eq!(cut.first(), cut.last());
            for (x, y) in places {
                let on_an_edge = |edge: &[Spot]| off([x, y], edge[0], edge[1]) < 1e-6;
                if !ring.windows(2).any(on_an_edge) {
                    prop_assert_eq!(rounds(&cut, [x, y]), rounds(&ring, [x, y]), "{:?} {:?}", (x, y), &cut);
                }
            }
        }
    }
}
