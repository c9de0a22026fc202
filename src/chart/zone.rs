//! A circle or sector on the plane about its centre, and the part of a line or an area that lies in it.
//!
//! **Method.** All is exact: the circle is not replaced by a polygon. A sector is a disc cut by two half-planes (two
//! such pieces where it spans more than half a turn). The intersection of a segment with the disc is found by a
//! quadratic, with a half-plane by a division. The area of a polygon within the disc is the sum over its edges of the
//! signed area between edge and centre: a triangle where the edge lies in the disc, a slice of the disc where it lies
//! outside.
//! **Source**: plane geometry. **Tests**: against closed forms below; against shapely on a real chart in `tests/peers`.

use crate::units::Bearing;

/// Metres east and north of the centre.
pub(super) type Spot = [f64; 2];

/// Everything within `radius` of the origin and, for a sector, between its bearings.
#[derive(Clone, Debug)]
pub(super) struct Zone {
    radius: f64,
    /// Convex parts: for each, the inward normals of its sides.
    parts: Vec<Vec<Spot>>,
    area: f64,
}

impl Zone {
    pub(super) fn circle(radius: f64) -> Self {
        Self {
            radius,
            parts: vec![Vec::new()],
            area: std::f64::consts::PI * radius * radius,
        }
    }

    /// Clockwise from one bearing to the other.
    pub(super) fn sector(radius: f64, from: Bearing, to: Bearing) -> Self {
        let span = (to.get() - from.get()).rem_euclid(std::f64::consts::TAU);
        let wedge = |from: f64, to: f64| {
            let (from, to) = (from.sin_cos(), to.sin_cos());
            vec![[from.1, -from.0], [-to.1, to.0]]
        };
        let (begin, middle, end) = (from.get(), from.get() + span / 2.0, from.get() + span);
        let parts = if span > std::f64::consts::PI {
            vec![wedge(begin, middle), wedge(middle, end)]
        } else {
            vec![wedge(begin, end)]
        };
        Self {
            radius,
            parts,
            area: span * radius * radius / 2.0,
        }
    }

    /// Square metres.
    pub(super) const fn area(&self) -> f64 {
        self.area
    }

    pub(super) fn holds(&self, p: Spot) -> bool {
        p[0].hypot(p[1]) <= self.radius
            && self
                .parts
                .iter()
                .any(|sides| sides.iter().all(|n| dot(*n, p) >= -SLACK))
    }

    /// The point of a segment within the zone that is nearest to the centre.
    pub(super) fn nearest_on(&self, a: Spot, b: Spot) -> Option<Spot> {
        self.parts
            .iter()
            .filter_map(|sides| self.nearest_in(sides, a, b))
            .min_by(nearer)
    }

    fn nearest_in(&self, sides: &[Spot], a: Spot, b: Spot) -> Option<Spot> {
        let d = minus(b, a);
        let (mut low, mut high) = chord(a, d, self.radius)?;
        for n in sides {
            let (at, slope) = (dot(*n, a), dot(*n, d));
            if slope == 0.0 {
                if at < -SLACK {
                    return None;
                }
            } else if slope > 0.0 {
                low = low.max((-SLACK - at) / slope);
            } else {
                high = high.min((-SLACK - at) / slope);
            }
        }
        if low > high {
            return None;
        }
        let length = dot(d, d);
        let foot = if length > 0.0 {
            -dot(a, d) / length
        } else {
            0.0
        };
        Some(along(a, d, foot.clamp(low, high)))
    }

    /// The point of an area within the zone that is nearest to the centre (outlines counterclockwise, holes clockwise).
    pub(super) fn nearest_of(&self, rings: &[Vec<Spot>]) -> Option<Spot> {
        if contains(rings, [0.0, 0.0]) {
            return Some([0.0, 0.0]);
        }
        edges(rings)
            .filter_map(|[a, b]| self.nearest_on(a, b))
            .min_by(nearer)
    }

    /// Square metres of the area within the zone.
    pub(super) fn area_of(&self, rings: &[Vec<Spot>]) -> f64 {
        let mut sum = 0.0;
        for sides in &self.parts {
            for ring in rings {
                let mut kept = ring.clone();
                for n in sides {
                    kept = half(&kept, *n);
                }
                sum += kept
                    .windows(2)
                    .map(|edge| slice(edge[0], edge[1], self.radius))
                    .sum::<f64>();
            }
        }
        sum.clamp(0.0, self.area)
    }
}

/// A tenth of a millimetre: a point this near to a side counts as inside.
const SLACK: f64 = 1e-4;

pub(super) fn nearer(a: &Spot, b: &Spot) -> std::cmp::Ordering {
    dot(*a, *a).total_cmp(&dot(*b, *b))
}

pub(super) fn edges(rings: &[Vec<Spot>]) -> impl Iterator<Item = [Spot; 2]> {
    rings
        .iter()
        .flat_map(|ring| ring.windows(2).map(|edge| [edge[0], edge[1]]))
}

/// Whether the area holds the point, by the number of edges to the east of it.
pub(super) fn contains(rings: &[Vec<Spot>], p: Spot) -> bool {
    let crossed = edges(rings).filter(|[a, b]| {
        (a[1] > p[1]) != (b[1] > p[1])
            && p[0] < (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1]) + a[0]
    });
    crossed.count() % 2 == 1
}

fn dot(a: Spot, b: Spot) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn minus(a: Spot, b: Spot) -> Spot {
    [a[0] - b[0], a[1] - b[1]]
}

fn along(a: Spot, d: Spot, t: f64) -> Spot {
    [a[0] + d[0] * t, a[1] + d[1] * t]
}

/// The parts of a segment that lie in the disc.
fn chord(a: Spot, d: Spot, radius: f64) -> Option<(f64, f64)> {
    let (square, middle, off) = (dot(d, d), dot(a, d), dot(a, a) - radius * radius);
    if square == 0.0 {
        return (off <= 0.0).then_some((0.0, 1.0));
    }
    let root = middle * middle - square * off;
    if root < 0.0 {
        return None;
    }
    let root = root.sqrt();
    let (low, high) = ((-middle - root) / square, (-middle + root) / square);
    (low <= 1.0 && high >= 0.0).then_some((low.max(0.0), high.min(1.0)))
}

/// The signed area between the centre and an edge, within the disc.
fn slice(a: Spot, b: Spot, radius: f64) -> f64 {
    let cross = |a: Spot, b: Spot| a[0] * b[1] - a[1] * b[0];
    let arc = |a: Spot, b: Spot| radius * radius / 2.0 * cross(a, b).atan2(dot(a, b));
    let step = minus(b, a);
    match chord(a, step, radius) {
        Some((low, high)) if high > low => {
            let (enter, leave) = (along(a, step, low), along(a, step, high));
            let before = if low > 0.0 { arc(a, enter) } else { 0.0 };
            let after = if high < 1.0 { arc(leave, b) } else { 0.0 };
            before + cross(enter, leave) / 2.0 + after
        }
        _ => arc(a, b),
    }
}

/// The part of a ring on the inner side of a half-plane (Sutherland and Hodgman 1974). The edges that this adds lie on
/// the half-plane's side.
fn half(ring: &[Spot], n: Spot) -> Vec<Spot> {
    let mut kept = Vec::with_capacity(ring.len() + 4);
    for edge in ring.windows(2) {
        let (a, b) = (edge[0], edge[1]);
        let (at, to) = (dot(n, a), dot(n, b));
        if at >= 0.0 {
            kept.push(a);
        }
        if (at >= 0.0) != (to >= 0.0) {
            kept.push(along(a, minus(b, a), at / (at - to)));
        }
    }
    kept.extend(kept.first().copied());
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn square(low: Spot, high: Spot) -> Vec<Vec<Spot>> {
        vec![vec![low, [high[0], low[1]], high, [low[0], high[1]], low]]
    }

    fn quarter(from: f64, to: f64) -> Zone {
        Zone::sector(10.0, Bearing::from_degrees(from), Bearing::from_degrees(to))
    }

    /// Closed forms: the whole disc, a half, a quarter, a square within, a segment of height h: r² acos((r-h)/r) - (r-h) √(2rh - h²).
    #[test]
    fn areas_are_those_of_plane_geometry() {
        let disc = Zone::circle(10.0);
        for (low, high, area) in [
            ([-20.0, -20.0], [20.0, 20.0], 100.0 * PI),
            ([0.0, -20.0], [20.0, 20.0], 50.0 * PI),
            ([0.0, 0.0], [20.0, 20.0], 25.0 * PI),
            ([-1.0, -1.0], [2.0, 2.0], 9.0),
            (
                [6.0, -20.0],
                [20.0, 20.0],
                100.0 * 0.6_f64.acos() - 6.0 * 8.0,
            ),
            ([11.0, -20.0], [20.0, 20.0], 0.0),
        ] {
            let found = disc.area_of(&square(low, high));
            assert!(
                (found - area).abs() < 1e-9,
                "{low:?} {high:?}: {found}, not {area}"
            );
        }
        // A hole of 4 m² in total.
        let mut holed = square([-20.0, -20.0], [20.0, 20.0]);
        holed.push(vec![
            [1.0, 1.0],
            [1.0, 3.0],
            [3.0, 3.0],
            [3.0, 1.0],
            [1.0, 1.0],
        ]);
        assert!((disc.area_of(&holed) - (100.0 * PI - 4.0)).abs() < 1e-9);
        assert!(!contains(&holed, [2.0, 2.0]) && contains(&holed, [0.0, 2.0]));
    }

    #[test]
    fn sectors_run_clockwise_and_may_pass_north_and_half_a_turn() {
        let all = square([-20.0, -20.0], [20.0, 20.0]);
        for (from, to, inside, outside, share) in [
            (180.0, 270.0, [-5.0, -5.0], [5.0, -5.0], 0.25),
            (315.0, 45.0, [0.0, 5.0], [0.0, -5.0], 0.25),
            (90.0, 0.0, [-5.0, -5.0], [5.0, 5.0], 0.75),
            (0.0, 180.0, [5.0, 0.0], [-5.0, 0.0], 0.5),
        ] {
            let zone = quarter(from, to);
            assert!(zone.holds(inside) && !zone.holds(outside), "{from} to {to}");
            assert!((zone.area() - share * 100.0 * PI).abs() < 1e-9);
            assert!(
                (zone.area_of(&all) - zone.area()).abs() < 1e-9,
                "{from} to {to}"
            );
        }
    }

    #[test]
    fn the_nearest_point_of_a_segment_is_that_within_the_zone() {
        let disc = Zone::circle(10.0);
        assert_eq!(disc.nearest_on([-20.0, 6.0], [20.0, 6.0]), Some([0.0, 6.0]));
        assert_eq!(disc.nearest_on([-20.0, 11.0], [20.0, 11.0]), None);
        assert_eq!(disc.nearest_on([3.0, 4.0], [6.0, 8.0]), Some([3.0, 4.0]));
        // East of north only: the line crosses the side at its middle.
        let east = quarter(0.0, 90.0);
        let near = east.nearest_on([-20.0, 6.0], [20.0, 6.0]).unwrap();
        assert!(near[0].abs() < 0.001 && near[1] == 6.0);
        assert_eq!(east.nearest_on([-20.0, -1.0], [20.0, -1.0]), None);
        // An area about the centre is at distance zero.
        assert_eq!(
            east.nearest_of(&square([-1.0, -1.0], [1.0, 1.0])),
            Some([0.0, 0.0])
        );
    }
}
