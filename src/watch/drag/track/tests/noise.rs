//! What counts as the receiver's noise.

use super::*;

/// The deviation reported after hours for this mean square of the change over two minutes: that of a Gauss-Markov error
/// with a correlation time of 150 s, widened by the uncertainty of 45 looks.
fn reported(square: f64) -> f64 {
    let variance = square / (2.0 * (1.0 - (-0.8_f64).exp()));
    (variance * (1.0 + 1.0 / 45.0_f64.sqrt())).sqrt()
}

fn assert_about(sigma: f64, wanted: f64) {
    assert!((sigma / wanted - 1.0).abs() < 0.05, "{sigma}, not {wanted}");
}

/// The noise after twelve hours with these fixes and velocities, and this many fixes a second.
fn night(
    fixes: u32,
    outward: Option<Offset>,
    seen: impl Fn(f64, bool) -> (Offset, Option<Offset>),
) -> f64 {
    let mut track = Track::new(1.0);
    for count in 0..12 * 3600 * fixes {
        let now = Tick::from_millis(u64::from(count * (1000 / fixes)));
        let (fix, velocity) = seen(f64::from(count / fixes), count % 2 == 0);
        track.take(now, fix, velocity, outward);
    }
    track.sigma()
}

/// Fixes jump to and fro every 200 s. The reported velocity changes its sign with each fix, so its sum stays where it
/// is. The second difference `4a` of such a velocity is that of a white noise of variance `16 a² / 6` in each
/// coordinate; a second of its sum has as much variance at one fix a second, and half at two.
#[test]
fn the_velocity_s_own_noise_is_not_the_fix_s() {
    for (fixes, wave, speed) in [
        (1, (1.0, 0.5), (0.1, 0.05)),
        (2, (1.0, 0.5), (0.1, 0.05)),
        (1, (0.5, -1.0), (0.0, 0.12)),
        (1, (1.0, 0.5), (0.0, 0.0)),
    ] {
        let of = |sign: bool, (east, north): (f64, f64)| {
            let sign = if sign { 1.0 } else { -1.0 };
            Offset { east, north } * sign
        };
        let sigma = night(fixes, Some(east(1.0)), |second, even| {
            (of(second % 400.0 < 200.0, wave), Some(of(even, speed)))
        });
        let square = |(a, b): (f64, f64)| a * a + b * b;
        // Of the mean of both coordinates.
        let a_second = 16.0 * square(speed) / 6.0 / 2.0 / f64::from(fixes);
        let change = 4.0 * square(wave) / 2.0;
        // The wave changes within two minutes in 120 of 200 s. Eight tenths of the velocity's noise are white.
        let wanted = reported(0.6 * (change - 0.8 * a_second * 120.0));
        assert_about(sigma, wanted);
    }
}

/// A velocity that is far worse than any is not believed to be that bad: 0.2 m/s within a second.
#[test]
fn a_wild_velocity_does_not_hide_the_noise() {
    let sigma = night(1, Some(east(1.0)), |second, even| {
        let wave = if second % 400.0 < 200.0 { 1.1 } else { -1.1 };
        let speed = if even { 0.5 } else { -0.5 };
        let fix = Offset {
            east: wave,
            north: wave,
        };
        (fix, Some(east(speed)))
    });
    assert_about(sigma, reported(0.6 * (2.2 * 2.2 - 0.8 * 0.04 * 120.0)));
}

/// A wave of eight minutes, in the distance from the anchor or across it. Smoothed over 40 s it is lower, and so is what
/// the error of minutes changes by: seven tenths are left.
#[test]
fn without_a_velocity_the_noise_is_what_the_distance_changes_by() {
    let outward = Offset {
        east: 0.6,
        north: 0.8,
    };
    let across = Offset {
        east: 0.8,
        north: -0.6,
    };
    let turns = std::f64::consts::TAU / 480.0;
    let wave = |along: Offset, outward: Option<Offset>| {
        night(1, outward, |second, _| {
            (along * (1.5 * (turns * second).sin()), None)
        })
    };
    let smoothed = 1.5 / (1.0 + (turns * 40.0).powi(2)).sqrt();
    let change = 2.0 * smoothed * (turns * 60.0).sin();
    assert_about(
        wave(outward, Some(outward)),
        reported(change * change / 2.0 / 0.7),
    );
    assert!((wave(across, Some(outward)) - LEAST).abs() < 1e-9);
    // While she seems to drag, nothing is learned.
    let before = Noise::believed(1.0).sigma();
    assert!((wave(outward, None) - before).abs() < 1e-9);
}

/// A metre and a half every eleven seconds.
#[test]
fn surging_at_her_rode_is_no_noise() {
    let sigma = night(1, Some(east(1.0)), |second, _| {
        (east(1.5 * (second * 0.571).sin()), None)
    });
    assert!((sigma - LEAST).abs() < 1e-9, "{sigma}");
}

#[test]
fn a_single_wild_difference_says_little() {
    let mut wild = Noise::believed(2.0);
    wild.look(1e6, 1.0);
    // It counts as nine times what was believed, and as one look beside five.
    let variance = 4.0 + 32.0 / 6.0;
    let wanted: f64 = variance * (1.0 + 1.0 / 6.0_f64.sqrt());
    assert!((wild.sigma() - wanted.sqrt()).abs() < 1e-9);
}

#[test]
fn what_was_learned_hours_ago_is_forgotten() {
    let mut noise = Noise::believed(1.0);
    for _ in 0..1000 {
        noise.look(1.0, 1.0);
    }
    noise.look(5.6, 1.0);
    let wanted: f64 = 1.1 * (1.0 + 1.0 / 45.0_f64.sqrt());
    assert!((noise.sigma() - wanted.sqrt()).abs() < 1e-9);
}
