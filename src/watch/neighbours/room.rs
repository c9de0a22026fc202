//! The circles in which two boats swing, and the room between them.
//!
//! **Her circle**, to her antenna, is observed ([`lie`](super::lie)) or assumed by common practice (no source). The
//! assumed rode is [`SCOPE`] times depth and freeboard, but at least [`LEAST_RODE`], in the depth in which we lie, or
//! [`DEPTH`] if that is not known. Her anchor lies this far up-wind of her usual place, or below her if nothing shows
//! which way boats lie. On a mooring the reach is her own length. The outer edge adds the part of the boat aft of the
//! antenna.
//!
//! **Room**, with `D` the distance between the anchors, `r` and `r'` the outer radii, `l` and `l'` half the
//! lengths. Worst case, with each boat at the near edge of its circle: `D - r - r'`. Swinging together, both
//! lying in the same direction from their anchors, at any bearing: `D - |(r - l) - (r' - l')| - l - l'`. A
//! negative figure means that they overlap.
//!
//! **Between the hulls** now: the distance of the centres minus the half-extent of each hull towards the other. A
//! hull is an ellipse of length and beam on its heading; if the heading is not known, half the length counts.
//!
//! **Weakness.** Her antenna is within 10 m of where she reports it. No report includes bowsprits, davits or tenders
//! astern.
//! **Tests** below, by drawing out both circles.

use crate::geodesy::Position;
use crate::tackle::scope;
use crate::units::{Bearing, Metres};

/// A boat's hull from above.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hull {
    pub(super) centre: Position,
    pub(super) length: Metres,
    pub(super) beam: Metres,
    pub(super) heading: Option<Bearing>,
}

impl Hull {
    /// How far the hull extends from its centre towards this bearing.
    fn extent(&self, towards: Bearing) -> f64 {
        let (half, side) = (self.length.get() / 2.0, self.beam.get() / 2.0);
        self.heading.map_or(half, |heading| {
            let (sin, cos) = heading.since(towards).get().sin_cos();
            (half * cos).hypot(side * sin)
        })
    }

    /// The gap between the hulls; zero if they touch or overlap.
    pub(super) fn gap(&self, other: &Self) -> Metres {
        let apart = self.centre.distance_to(other.centre);
        let there = self.centre.bearing_to(other.centre);
        let extents = self.extent(there) + other.extent(there);
        (apart - Metres::of(extents)).max(Metres::ZERO)
    }
}

/// A circle around an anchor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circle {
    pub(super) anchor: Position,
    /// To the farthest part of the hull.
    pub(super) outer: Metres,
    pub(super) length: Metres,
}

impl Circle {
    /// Room if each boat lies at the near edge of its circle.
    pub(super) fn room_at_worst(&self, other: &Self) -> Metres {
        self.anchor.distance_to(other.anchor) - self.outer - other.outer
    }

    /// Room if both boats lie the same way.
    pub(super) fn room_together(&self, other: &Self) -> Metres {
        let half = |it: &Self| it.length.get() / 2.0;
        let out = |it: &Self| it.outer.get() - half(it);
        let between = self.anchor.distance_to(other.anchor).get();
        Metres::of(between - (out(self) - out(other)).abs() - half(self) - half(other))
    }
}

/// Reach of a boat's rode by common practice, from her anchor to her bow.
pub(super) fn usual_reach(length: Metres, depth: Option<Metres>) -> Metres {
    let depth = depth.unwrap_or(DEPTH);
    let roller = length * 0.1;
    let rode = ((depth + roller) * SCOPE).max(LEAST_RODE);
    scope::reach(rode, depth, roller, 0.0).unwrap_or(rode)
}

const SCOPE: f64 = 5.0;
const LEAST_RODE: Metres = Metres::of(25.0);
const DEPTH: Metres = Metres::of(6.0);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const HERE: Position = Position::of(59.8539, 23.26);

    fn circle(east: f64, outer: f64, length: f64) -> Circle {
        Circle {
            anchor: HERE.moved(Bearing::from_degrees(90.0), Metres::of(east)),
            outer: Metres::of(outer),
            length: Metres::of(length),
        }
    }

    /// The two ends of a boat that lies in this direction from her anchor.
    fn ends(circle: &Circle, way: Bearing) -> [Position; 2] {
        let at = |out: Metres| circle.anchor.moved(way, out);
        [at(circle.outer), at(circle.outer - circle.length)]
    }

    proptest! {
        /// Drawn out: the ends of boats that lie the same way never come nearer than the reported room, and no two
        /// points of the circles come nearer than the worst case.
        #[test]
        fn no_way_of_lying_leaves_less_room(
            east in 60.0..300.0, outer in 20.0..60.0, other in 20.0..60.0,
            long in 6.0..18.0, longer in 6.0..18.0,
        ) {
            let (us, her) = (circle(0.0, outer, long), circle(east, other, longer));
            let told = us.room_together(&her).get();
            for way in 0..72 {
                let way = Bearing::from_degrees(f64::from(way) * 5.0);
                for ours in ends(&us, way) {
                    for hers in ends(&her, way) {
                        prop_assert!(ours.distance_to(hers).get() >= told - 1e-6);
                    }
                }
            }
            let [nearest, _] = ends(&us, Bearing::from_degrees(90.0));
            let [hers, _] = ends(&her, Bearing::from_degrees(270.0));
            let worst = us.room_at_worst(&her).get();
            let gap = if worst < 0.0 { -worst } else { worst };
            prop_assert!((nearest.distance_to(hers).get() - gap).abs() < 0.01);
        }
    }

    #[test]
    fn hulls_side_by_side_have_a_wider_gap_than_hulls_in_line() {
        let hull = |east: f64, heading: Option<f64>| Hull {
            centre: circle(east, 0.0, 0.0).anchor,
            length: Metres::of(12.0),
            beam: Metres::of(4.0),
            heading: heading.map(Bearing::from_degrees),
        };
        let gap = |heading| hull(0.0, heading).gap(&hull(20.0, heading)).get();
        assert!((gap(Some(0.0)) - 16.0).abs() < 0.01, "side by side");
        assert!((gap(Some(90.0)) - 8.0).abs() < 0.01, "in line");
        assert!((gap(None) - 8.0).abs() < 0.01, "not known");
        assert_eq!(hull(0.0, None).gap(&hull(5.0, None)), Metres::ZERO);
    }

    /// Five times (6 + 1.2) m of rode over 7.2 m of height: sqrt(36² - 7.2²) = 35.3 m.
    #[test]
    fn the_usual_reach_is_that_of_five_to_one() {
        let reach = usual_reach(Metres::of(12.0), None).get();
        assert!((reach - 35.27).abs() < 0.01, "{reach}");
        let shallow = usual_reach(Metres::of(8.0), Metres::new(2.0)).get();
        assert!((shallow - 24.84).abs() < 0.01, "{shallow}");
    }
}
