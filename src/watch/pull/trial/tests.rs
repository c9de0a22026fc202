//! A straight line through the distances, by figures worked out by hand.

use super::*;

fn assert_near(found: f64, wanted: f64) {
    assert!((found - wanted).abs() < 1e-3, "{found}, not {wanted}");
}

/// She creeps by 0.1 m/s for a minute and a half, and every second fix is a metre too far.
fn creeping() -> Fit {
    let points: Vec<(f64, f64)> = (20..=110)
        .map(|second: u32| {
            let off = if second.is_multiple_of(2) { 1.0 } else { 0.0 };
            (f64::from(second), 38.0 + 0.1 * f64::from(second) + off)
        })
        .collect();
    Fit::through(&points).unwrap()
}

#[test]
fn the_line_is_as_steep_as_she_creeps() {
    let fit = creeping();
    assert_near(fit.slope, 0.1);
    assert_near(fit.span, 90.0);
    assert_eq!(fit.count, 91);
    // Half a metre each way, with two unknowns.
    assert!((fit.scatter - 0.25 * 91.0 / 89.0).abs() < 1e-3);
    assert!((fit.late_share() - 0.5).abs() < 0.02);
    // At one moment there is no line.
    assert!(Fit::through(&[(5.0, 1.0), (5.0, 2.0), (5.0, 3.0)]).is_none());
    assert!(Fit::through(&[]).is_none());
}

/// She falls back while the rode draws straight: in the second half hardly at all.
#[test]
fn the_share_of_the_second_half_is_small_while_the_rode_draws_straight() {
    let points: Vec<(f64, f64)> = (0..=90)
        .map(|second: u32| {
            (
                f64::from(second),
                38.0 + (0.3 * f64::from(second)).min(13.5),
            )
        })
        .collect();
    let share = Fit::through(&points).unwrap().late_share();
    assert!(share.abs() < 0.02, "{share}");
}

/// `1.96 √(12 s²/n + 1.2 · 2 w² (1 - e^(-T/τ)))` with `T` = 90 s, `w` = 1.5 m, on paper: the wander is 2.436 m²; of
/// one fix in five seconds there are 18.
#[test]
fn the_uncertainty_has_the_slope_s_own_error_and_the_wander_of_the_fix() {
    let fit = Fit {
        scatter: 0.0,
        ..creeping()
    };
    assert_near(fit.doubt(2.5), 3.059);
    let scattered = Fit {
        scatter: 0.6,
        ..fit
    };
    // 12 · 0.6 / 18 = 0.4 m².
    assert_near(scattered.doubt(2.5), 1.96 * 2.836_4_f64.sqrt());
    // Nine fixes in that time are nine, and two count as three.
    let seldom = |count: usize| Fit { count, ..scattered }.doubt(0.0);
    assert_near(seldom(9), 1.96 * 0.8_f64.sqrt());
    assert_near(seldom(2), 1.96 * 2.4_f64.sqrt());
}
