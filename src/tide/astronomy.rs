//! Positions of the moon and the sun, and the tilt of the moon's orbit.
//!
//! # Method
//! The mean longitudes are polynomials of time: J. Meeus, *Astronomical Algorithms* (2nd ed. 1998),
//! chapters 22, 25 and 47, of which the constituents need no more than the mean elements. From the
//! node's longitude follow the orbit's inclination to the equator `I`, and the angles `ξ`, `ν`,
//! `ν'`, `2ν''` by P. Schureman, *Manual of Harmonic Analysis and Prediction of Tides* (US Coast and
//! Geodetic Survey, Special Publication 98, 1940, reprinted 1958); node factors `f` and angles `u`
//! are its formulas, by number, in [`Nodes::at`].
//!
//! # Assumptions and weakness
//! UTC is used for both universal and dynamical time. In 2026 they differ by about a minute, in which the
//! moon moves 0.01°. In the year 1000 they differ by half an hour: 0.2°, or some 25 seconds of a tide. The
//! obliquity and the inclination of the orbit are those of 1900, the basis of Schureman's mean
//! coefficients.
//!
//! # Tests
//! `the_mean_longitudes_of_1900_are_schureman_s` and `the_node_factors_keep_to_the_handbook_s_bounds` below;
//! `tests/tide.rs` compares whole years with other libraries.

use crate::time::Timestamp;

/// Mean longitudes in degrees, not folded, so that the difference between two moments is the angle turned
/// in between.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Longitudes {
    /// Mean lunar time `τ`: the hour angle of the mean moon from its **lower** transit.
    pub lunar_time: f64,
    /// The moon, `s`.
    pub moon: f64,
    /// The sun, `h`.
    pub sun: f64,
    /// The moon's perigee, `p`.
    pub perigee: f64,
    /// The moon's ascending node with the sign turned, `N' = -N`.
    pub node: f64,
    /// The sun's perigee, `p1`.
    pub solar_perigee: f64,
}

impl Longitudes {
    /// The mean longitudes at a moment.
    #[must_use]
    pub fn at(time: Timestamp) -> Self {
        let days = time.as_millis() as f64 / DAY_MS - J2000_DAYS;
        let t = days / DAYS_A_CENTURY;
        let moon = poly(
            t,
            &[
                218.316_447_7,
                481_267.881_234_21,
                -0.001_578_6,
                1.0 / 538_841.0,
            ],
        );
        let sun = poly(t, &[280.466_46, 36_000.769_83, 0.000_303_2]);
        let perigee = poly(
            t,
            &[83.353_246_5, 4_069.013_728_7, -0.010_32, -1.0 / 80_053.0],
        );
        let node = -poly(
            t,
            &[
                125.044_547_9,
                -1_934.136_289_1,
                0.002_075_4,
                1.0 / 467_441.0,
            ],
        );
        // The sun's mean longitude minus its mean anomaly.
        let solar_perigee = poly(t, &[282.937_35, 1.719_53, 0.000_456_9]) - 360.0;
        // Noon is half a turn: J2000 began at noon.
        let solar_time = days * 360.0 + 180.0;
        Self {
            lunar_time: solar_time - moon + sun,
            moon,
            sun,
            perigee,
            node,
            solar_perigee,
        }
    }

    /// The six values in the order of Doodson's numbers.
    #[must_use]
    pub const fn by_doodson(&self) -> [f64; 6] {
        [
            self.lunar_time,
            self.moon,
            self.sun,
            self.perigee,
            self.node,
            self.solar_perigee,
        ]
    }
}

/// The waves whose node factors make up all others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(usize)]
pub enum Node {
    /// Lunar monthly.
    Mm,
    /// Lunar fortnightly.
    Mf,
    /// Lunar diurnal.
    O1,
    /// Lunisolar diurnal.
    K1,
    /// Elliptic diurnal.
    J1,
    /// Second-order lunar diurnal.
    Oo1,
    /// Smaller elliptic diurnal.
    M1,
    /// Lunar semidiurnal.
    M2,
    /// Lunisolar semidiurnal.
    K2,
    /// Smaller elliptic semidiurnal.
    L2,
    /// Lunar terdiurnal.
    M3,
}

/// Number of these waves.
pub const NODES: usize = 11;

/// Node factors (as natural logarithms) and angles (degrees) of all [`Node`] at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nodes {
    /// `ln f`.
    pub log_factor: [f64; NODES],
    /// `u`, degrees.
    pub angle: [f64; NODES],
}

impl Nodes {
    /// After Schureman; each formula's number is beside it.
    #[must_use]
    pub fn at(longitudes: &Longitudes) -> Self {
        let node = -longitudes.node.to_radians();
        let (sin_w, cos_w) = OBLIQUITY.to_radians().sin_cos();
        let (sin_i, cos_i) = INCLINATION.to_radians().sin_cos();
        // (the spherical triangle of figure 1) I, and from it ξ and ν.
        let cos_tilt = cos_i * cos_w - sin_i * sin_w * node.cos();
        let tilt = cos_tilt.acos();
        let sin_tilt = tilt.sin();
        let right_ascension =
            (sin_i * node.sin()).atan2(cos_i * sin_w + sin_i * cos_w * node.cos());
        // Napier's analogies for the node minus ξ; both halves stay on the branch of the node.
        let along = (sin_w * node.sin()).atan2(sin_w * cos_i * node.cos() + cos_w * sin_i);
        let nu = right_ascension;
        let xi = fold(node - along);
        let (sin_2tilt, tan2_half) = ((2.0 * tilt).sin(), (tilt / 2.0).tan().powi(2));
        let cos_half = (tilt / 2.0).cos();
        // 224 and 232
        let nu1 = (sin_2tilt * nu.sin()).atan2(sin_2tilt * nu.cos() + 0.3347);
        let square = sin_tilt * sin_tilt;
        let nu2 = (square * (2.0 * nu).sin()).atan2(square * (2.0 * nu).cos() + 0.0727);
        // The perigee, counted from where the moon crosses the equator.
        let from_crossing = longitudes.perigee.to_radians() - xi;
        let (sin_p, cos_p) = from_crossing.sin_cos();
        let cos_2p = (2.0 * from_crossing).cos();
        // 214
        let r = (2.0 * from_crossing)
            .sin()
            .atan2(1.0 / (6.0 * tan2_half) - cos_2p);
        // 203; Q stays within a quarter turn of P, so that it turns with the perigee.
        let q = ((5.0 * cos_tilt - 1.0) * sin_p).atan2((7.0 * cos_tilt + 1.0) * cos_p);
        // 197 and 215
        let ratio = cos_tilt / (cos_half * cos_half);
        let inverse_qa = (0.25 + 1.5 * ratio * cos_2p + 2.25 * ratio * ratio).sqrt();
        let inverse_ra = (1.0 - 12.0 * tan2_half * cos_2p + 36.0 * tan2_half * tan2_half).sqrt();

        let mut all = Self {
            log_factor: [0.0; NODES],
            angle: [0.0; NODES],
        };
        let mut set = |node: Node, factor: f64, angle: f64| {
            all.log_factor[node as usize] = factor.ln();
            all.angle[node as usize] = angle.to_degrees();
        };
        let o1 = sin_tilt * cos_half * cos_half / 0.3800;
        let m2 = cos_half.powi(4) / 0.9154;
        let m2_angle = 2.0 * xi - 2.0 * nu;
        set(Node::Mm, (2.0 / 3.0 - square) / 0.5021, 0.0); // 73
        set(Node::Mf, square / 0.1578, -2.0 * xi); // 74
        set(Node::O1, o1, 2.0 * xi - nu); // 75
        set(Node::J1, sin_2tilt / 0.7214, -nu); // 76
        let oo1 = sin_tilt * (tilt / 2.0).sin().powi(2) / 0.0164;
        set(Node::Oo1, oo1, -2.0 * xi - nu); // 77
        set(Node::M2, m2, m2_angle); // 78
        set(Node::M3, cos_half.powi(6) / 0.8758, 1.5 * m2_angle); // 149
        // 206, 207; V already contains the argument's perigee, so the second one that Q adds is taken out.
        let m1 = xi - nu + q - longitudes.perigee.to_radians();
        set(Node::M1, o1 * inverse_qa, fold(m1));
        set(Node::L2, m2 * inverse_ra, m2_angle - r); // 213, 215
        let k1 = 0.8965 * sin_2tilt * sin_2tilt + 0.6001 * sin_2tilt * nu.cos() + 0.1006;
        set(Node::K1, k1.sqrt(), -nu1); // 227
        let k2 = 19.0444 * square * square + 2.7702 * square * (2.0 * nu).cos() + 0.0981;
        set(Node::K2, k2.sqrt(), -nu2); // 235
        all
    }
}

/// Folds radians into `-π..=π`.
fn fold(angle: f64) -> f64 {
    crate::units::Angle::of(angle).get()
}

fn poly(t: f64, coefficients: &[f64]) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * t + c)
}

const DAY_MS: f64 = 86_400_000.0;
/// From the start of 1970 to noon of 1 January 2000.
const J2000_DAYS: f64 = 10_957.5;
const DAYS_A_CENTURY: f64 = 36_525.0;
/// Obliquity of the ecliptic in 1900 (Schureman, table 1).
const OBLIQUITY: f64 = 23.452;
/// Inclination of the moon's orbit to the ecliptic (Schureman, table 1).
const INCLINATION: f64 = 5.145;

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> Longitudes {
        Longitudes::at(text.parse().unwrap())
    }

    /// The mean longitudes at Greenwich midnight that began 1900, as A. T. Doodson (1921) and Schureman
    /// (1958, page 162) give them, from memory: s 277.02°, h 280.19°, p 334.39°, N 259.16°, p1 281.22°.
    #[test]
    fn the_mean_longitudes_of_1900_are_schureman_s() {
        let found = at("1900-01-01T00:00:00Z");
        for (name, found, wanted) in [
            ("s", found.moon, 277.02),
            ("h", found.sun, 280.19),
            ("p", found.perigee, 334.39),
            ("N", -found.node, 259.16),
            ("p1", found.solar_perigee, 281.22),
        ] {
            let off = (found - wanted + 180.0).rem_euclid(360.0) - 180.0;
            assert!(off.abs() < 0.03, "{name} {found} {wanted}");
        }
    }

    /// Speeds in degrees an hour: Schureman, table 1.
    #[test]
    fn the_mean_longitudes_turn_at_the_handbook_s_speeds() {
        let (early, late) = (at("2000-01-01T00:00:00Z"), at("2001-01-01T00:00:00Z"));
        let hours = 366.0 * 24.0;
        for (early, late, speed) in [
            (early.lunar_time, late.lunar_time, 14.492_052_1),
            (early.moon, late.moon, 0.549_016_5),
            (early.sun, late.sun, 0.041_068_6),
            (early.perigee, late.perigee, 0.004_641_8),
            (early.node, late.node, 0.002_206_4),
            (early.solar_perigee, late.solar_perigee, 0.000_002_0),
        ] {
            let found = (late - early) / hours;
            assert!((found - speed).abs() < 1e-7, "{found} {speed}");
        }
    }

    /// The least and the greatest node factors over one revolution of the node, as the manuals give them
    /// (Schureman, tables 11 to 14, from memory): M2 0.963 to 1.038, O1 0.806 to 1.183, K1 0.882 to 1.113,
    /// K2 0.748 to 1.317, Mf 0.62 to 1.45, Mm 0.87 to 1.13.
    #[test]
    fn the_node_factors_keep_to_the_handbook_s_bounds() {
        let bounds = [
            (Node::M2, 0.963, 1.038),
            (Node::O1, 0.806, 1.183),
            (Node::K1, 0.882, 1.113),
            (Node::K2, 0.748, 1.317),
            (Node::Mf, 0.62, 1.45),
            (Node::Mm, 0.87, 1.13),
        ];
        for (node, least, greatest) in bounds {
            let factors: Vec<f64> = (0..20 * 36)
                .map(|tenth| {
                    let time = Timestamp::from_millis(tenth * 864_000_000);
                    Nodes::at(&Longitudes::at(time)).log_factor[node as usize].exp()
                })
                .collect();
            let low = factors.iter().copied().fold(f64::MAX, f64::min);
            let high = factors.iter().copied().fold(f64::MIN, f64::max);
            assert!((low - least).abs() < 0.006, "{node:?} {low}");
            assert!((high - greatest).abs() < 0.006, "{node:?} {high}");
        }
    }

    /// Nothing jumps: a jump in a factor or an angle would break the tide's curve.
    #[test]
    fn factors_and_angles_change_slowly() {
        let mut before: Option<Nodes> = None;
        for day in -365_000..365_000_i64 {
            if day.rem_euclid(37) > 1 {
                continue;
            }
            let now = Nodes::at(&Longitudes::at(Timestamp::from_millis(day * 86_400_000)));
            if let Some(before) = before.filter(|_| day.rem_euclid(37) == 1) {
                for node in 0..NODES {
                    let turned = (now.angle[node] - before.angle[node] + 180.0).rem_euclid(360.0);
                    assert!((turned - 180.0).abs() < 0.4, "{node} on day {day}");
                    let grown = now.log_factor[node] - before.log_factor[node];
                    assert!(grown.abs() < 0.005, "{node} on day {day}: {grown}");
                }
            }
            before = Some(now);
        }
    }
}
