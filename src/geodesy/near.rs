//! Geodesics of up to [`NEAR`], by Gauss' mid-latitude formulas. The watch needs dozens of these with every
//! fix; the formulas take a twentieth of the time of the general solution.
//!
//! **Formula.** With the middle latitude `φ`, the differences `Δφ`, `Δλ` in radians and the radii
//! of curvature `M = a(1-e²)/(1-e² sin² φ)^(3/2)` and `N = a/(1-e² sin² φ)^(1/2)`: northward
//! `s cos α = M Δφ cos(Δλ/2)`, eastward `s sin α = N Δλ cos φ` for the middle azimuth `α`; the azimuth at
//! either end differs from it by half the convergence `Δλ sin φ`. The direct problem turns
//! these round, twice or three times over.
//!
//! **Weakness.** Terms of the relative order `(s/R)²/24` are left out, and `tan² φ` times as much near the
//! poles, so the formulas are used only up to 75° of latitude. **Source**: Gauss 1846; Rapp, *Geometric
//! Geodesy* (from memory). **Test**: `near_geodesics_are_those_of_the_library`, within a millimetre and a
//! millionth of a radian of Karney's.

use super::Position;

/// Distance east and north at the middle of the geodesic, and half the convergence of the meridians; `None`
/// outside the formulas' limits.
pub(super) fn between(from: Position, to: Position) -> Option<(f64, f64, f64)> {
    let north = (to.latitude() - from.latitude()).to_radians();
    let mut east = to.longitude() - from.longitude();
    if east.abs() > 180.0 {
        east -= 360.0_f64.copysign(east);
    }
    let east = east.to_radians();
    let middle = f64::midpoint(from.latitude(), to.latitude());
    if middle.abs() > HIGHEST || north.abs() > WIDEST {
        return None;
    }
    let (sin, cos) = middle.to_radians().sin_cos();
    if (east * cos).abs() > WIDEST {
        return None;
    }
    let (meridian, vertical) = radii(sin);
    Some((
        vertical * east * cos,
        // cos(Δλ/2) to the second order: Δλ is a few thousandths at most.
        meridian * north * (1.0 - east * east / 8.0),
        0.5 * east * sin,
    ))
}

/// The end of a geodesic that starts with these distances east and north.
pub(super) fn from(start: Position, east: f64, north: f64) -> Option<Position> {
    if start.latitude().abs() > HIGHEST - 0.2 || east.abs() > NEAR || north.abs() > NEAR {
        return None;
    }
    let latitude = start.latitude().to_radians();
    let (mut d_latitude, mut d_longitude) = (0.0_f64, 0.0_f64);
    // Each iteration reduces the error by the ratio of the distance to the Earth's radius.
    let turns = if east.abs() + north.abs() < 300.0 {
        2
    } else {
        3
    };
    for _ in 0..turns {
        let (sin, cos) = (latitude + 0.5 * d_latitude).sin_cos();
        let (meridian, vertical) = radii(sin);
        // Rotated to the middle azimuth: half the convergence, to the second order.
        let turn = 0.5 * d_longitude * sin;
        let (c, s) = (1.0 - turn * turn / 2.0, turn);
        let (e, n) = (east * c + north * s, north * c - east * s);
        d_longitude = e / (vertical * cos);
        d_latitude = n / (meridian * (1.0 - d_longitude * d_longitude / 8.0));
    }
    let mut longitude = start.longitude() + d_longitude.to_degrees();
    if longitude.abs() > 180.0 {
        longitude -= 360.0_f64.copysign(longitude);
    }
    Position::new(start.latitude() + d_latitude.to_degrees(), longitude).ok()
}

/// Radii of curvature: along the meridian and across it.
fn radii(sin: f64) -> (f64, f64) {
    let w = 1.0 - SQUARED_ECCENTRICITY * sin * sin;
    let vertical = SEMI_MAJOR / w.sqrt();
    (vertical * (1.0 - SQUARED_ECCENTRICITY) / w, vertical)
}

/// WGS 84 (NIMA TR8350.2, tables 3.1 and 3.3).
const SEMI_MAJOR: f64 = 6_378_137.0;
const SQUARED_ECCENTRICITY: f64 = 6.694_379_990_14e-3;
/// Metres east and north.
const NEAR: f64 = 3000.0;
/// [`NEAR`] in radians, by the Earth's smallest radius of curvature.
const WIDEST: f64 = NEAR / 6_335_000.0;
const HIGHEST: f64 = 75.0;
