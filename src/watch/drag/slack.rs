//! How far short of the reach a boat lies: the catenary, only as much of it as the drag test needs.
//!
//! With `L` rode out, `h` the height of the roller above the bottom, and `a` the horizontal pull divided by the
//! weight in water of a metre: while `s = √(h² + 2ah) < L`, part of the rode lies on the bottom and the roller lies
//! `L - s + a acosh(1 + h/a)` from the anchor, otherwise at about `√(L² - h²)`. The pull of a wind `V` is taken as
//! `a = κV²`. For cruising boats on chain `κ` is about 0.4 m a (m/s)² (a drag area of 8 m² on 8 mm chain; both grow
//! with the boat at the same rate, from memory), for a light boat on heavy chain less than half of that.
//!
//! Weakness: stream, swell and rope are not included; so the result is only where she most likely lies, and she may
//! lie elsewhere within the reach.

/// Metres that a rode of `length` over `height` falls short of the reach in a wind of `speed` m/s,
/// with `kappa` metres a (m/s)².
pub(super) fn slack(length: f64, height: f64, speed: f64, kappa: f64) -> f64 {
    let straight = (length * length - height * height).max(0.0).sqrt();
    let a = (kappa * speed * speed).max(LEAST);
    let hanging = (height * height + 2.0 * a * height).sqrt();
    if hanging >= length {
        return 0.0;
    }
    let distance = length - hanging + a * (1.0 + height / a).acosh();
    (straight - distance).max(0.0)
}

/// As most boats lie.
pub(super) const USUAL: f64 = 0.35;
/// As a light boat on heavy chain lies.
pub(super) const LIGHT: f64 = 0.12;
const LEAST: f64 = 0.01;

#[cfg(test)]
mod tests {
    use super::*;

    /// 50 m over 10 m hangs straight down in a calm: 40 m are left of the 48.99 m.
    #[test]
    fn a_calm_leaves_what_hangs_and_a_gale_leaves_nothing() {
        assert!((slack(50.0, 10.0, 0.0, USUAL) - 8.99).abs() < 0.1);
        assert!(slack(50.0, 10.0, 30.0, USUAL) < 0.01);
    }

    #[test]
    fn more_wind_never_leaves_more_slack() {
        let slacks: Vec<f64> = (0..60)
            .map(|knots| slack(40.0, 9.0, f64::from(knots) * 0.5144, LIGHT))
            .collect();
        assert!(slacks.is_sorted_by(|a, b| a >= b), "{slacks:?}");
    }
}
