//! The expected error of the mean over a window.

use super::*;

/// The share of the variance that is left in the mean of a window, by summing the correlation `e^(-|t|/150 s)` of each
/// tenth of a second with each other.
fn left_in_the_mean(window: f64) -> f64 {
    let steps = (window * 10.0).round();
    let mut sum = steps;
    let mut apart = 1.0;
    while apart < steps {
        sum += 2.0 * (steps - apart) * (-apart / 10.0 / 150.0_f64).exp();
        apart += 1.0;
    }
    sum / (steps * steps)
}

#[test]
fn the_error_of_minutes_falls_with_the_length_of_the_window() {
    let rest = sigma_of(0.0, 0.0, 10.0, 100.0).powi(2);
    for window in [10.0, 80.0, 240.0, 1200.0] {
        let minutes = sigma_of(2.0, 0.0, window, 100.0).powi(2) - rest;
        // The error of hours, 0.8 of that of minutes, stays.
        let wanted = 4.0 * (left_in_the_mean(window) + 0.64);
        assert!(
            (minutes / wanted - 1.0).abs() < 0.002,
            "{window} s: {minutes}, not {wanted}"
        );
    }
}

/// 0.4 m in each fix and another 0.4 m that remain whatever the receiver.
#[test]
fn the_other_errors_add_up() {
    for (doubt, fixes) in [(0.0_f64, 1.0), (3.0, 1.0), (3.0, 16.0)] {
        let wanted = (0.16 / fixes + 0.16 + doubt * doubt).sqrt();
        let sigma = sigma_of(0.0, doubt, 40.0, fixes);
        assert!((sigma - wanted).abs() < 1e-9, "{sigma}, not {wanted}");
    }
}
