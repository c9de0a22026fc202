//! The closest point of approach of two vessels that keep course and speed.
//!
//! **Formula.** With `d` her position relative to us and `v` her velocity minus ours, on a plane: she is
//! nearest at `t = -(d·v)/(v·v)`, at the distance `|d + v t|`. If `t` is negative, she is past that point
//! and is nearest now.
//!
//! **Assumptions and weakness.** Neither vessel turns or changes speed. The plane touches the Earth at our position
//! ([`geodesy`](crate::geodesy)), while her course counts from her own meridian: at two miles and 60° of latitude the
//! error is 4 m, at half a mile half a metre.
//!
//! **Sources.** Relative motion as in Bowditch, *The American Practical Navigator*, on radar plotting; the terms CPA
//! and TCPA from IMO MSC.192(79); from memory. **Tests**: below; `peers::approaching` compares 500 cases with a
//! search along geodesics by pyproj.

use crate::geodesy::Offset;
use crate::units::{Bearing, Metres, Speed};

/// The closest point of approach.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosestPoint {
    /// Seconds from now; zero if she is past the point or keeps her distance.
    pub after: f64,
    /// Her position relative to us at that time.
    pub apart: Offset,
}

impl ClosestPoint {
    /// For a vessel that is `apart` from us and moves by `velocity` (m/s) relative to us.
    #[must_use]
    pub fn of(apart: Offset, velocity: Offset) -> Self {
        let square = dot(velocity, velocity);
        let after = if square > 0.0 {
            (-dot(apart, velocity) / square).max(0.0)
        } else {
            0.0
        };
        Self {
            after,
            apart: apart + velocity * after,
        }
    }
}

/// How fast the distance shrinks now, in m/s; negative if it grows.
#[must_use]
pub fn closing(apart: Offset, velocity: Offset) -> f64 {
    let distance = apart.length().get();
    if distance > 0.0 {
        -dot(apart, velocity) / distance
    } else {
        0.0
    }
}

/// A velocity from speed and course.
#[must_use]
pub fn velocity(speed: Speed, course: Bearing) -> Offset {
    Offset::polar(course, Metres::of(speed.get()))
}

fn dot(a: Offset, b: Offset) -> f64 {
    a.east * b.east + a.north * b.north
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn miles(east: f64, north: f64) -> Offset {
        Offset {
            east: east * 1852.0,
            north: north * 1852.0,
        }
    }

    /// A right triangle: she is 3 miles north and 4 miles west of us, on an easterly course at 8 kn, while we lie
    /// still: she passes 3 miles ahead after half an hour.
    #[test]
    fn a_ship_that_crosses_is_nearest_abeam() {
        let apart = miles(-4.0, 3.0);
        let moves = velocity(Speed::from_knots(8.0), Bearing::from_degrees(90.0));
        let approach = ClosestPoint::of(apart, moves);
        assert!((approach.after - 1800.0).abs() < 1e-6);
        assert!((approach.apart.length().get() - 3.0 * 1852.0).abs() < 1e-6);
        // At five miles she closes at 8 kn times 4/5.
        assert!((closing(apart, moves) / 0.514_444_444 - 6.4).abs() < 1e-6);
    }

    #[test]
    fn a_vessel_that_departs_or_lies_still_is_nearest_now() {
        let apart = miles(1.0, 0.0);
        for moves in [Offset::ZERO, miles(0.001, 0.0)] {
            let approach = ClosestPoint::of(apart, moves);
            assert_eq!((approach.after, approach.apart), (0.0, apart));
        }
        assert_eq!(closing(Offset::ZERO, miles(0.0, 1.0)), 0.0);
    }

    proptest! {
        /// She is not nearer at any other moment.
        #[test]
        fn nothing_is_nearer_than_the_closest_point(
            (east, north) in (-2000.0..2000.0, -2000.0..2000.0),
            (vx, vy) in (-15.0..15.0, -15.0..15.0),
            at in 0.0..3600.0,
        ) {
            let apart = Offset { east, north };
            let moves = Offset { east: vx, north: vy };
            let least = ClosestPoint::of(apart, moves).apart.length().get();
            prop_assert!((apart + moves * at).length().get() >= least - 1e-6);
        }
    }
}
