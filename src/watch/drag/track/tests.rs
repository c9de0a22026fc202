mod jumps;
mod noise;
mod origin;

use super::*;
use crate::geodesy::east;
use crate::watch::tests::chance::Chance;

/// This also holds if it ends while nothing is received.
#[test]
fn a_jump_is_taken_off_until_it_is_back() {
    for (gone, heard_again) in [(250, 250), (210, 225)] {
        let mut track = Track::new(1.5);
        for second in (0..gone).chain(heard_again..400) {
            let shift = if (200..gone).contains(&second) {
                12.0
            } else {
                0.0
            };
            let now = Tick::from_secs(second);
            let at = track.take(now, east(shift), Some(Offset::ZERO), Some(east(1.0)));
            assert!(at.length().get() < 0.01, "{gone}, {second}: {at:?}");
        }
        assert_eq!(track.shift(Tick::from_secs(400)), Offset::ZERO);
    }
}

/// A jump that stays is let in little by little, not at once.
#[test]
fn a_jump_that_stays_fades() {
    let mut track = Track::new(1.5);
    let mut left = |second: u64| {
        let now = Tick::from_secs(second);
        let shift = if second < 200 { 0.0 } else { 12.0 };
        track.take(now, east(shift), Some(Offset::ZERO), Some(east(1.0)));
        track.shift(now).length().get()
    };
    let left: Vec<f64> = (0..400).map(&mut left).collect();
    let fades = |seconds: f64| 12.0 * (-seconds / JUMP_FADES).exp();
    for second in [300_u32, 320, 340] {
        let should = fades(f64::from(second) - 200.0 - JUMP_LASTS);
        let is = left.get(second as usize).copied().unwrap();
        assert!((is - should).abs() < 0.3, "{second}: {is}, not {should}");
    }
    assert_eq!(left.last(), Some(&0.0));
}

/// The shift creeps in over some seconds, each step too small to detect, and ends at once.
#[test]
fn a_jump_back_from_an_undetected_shift_is_no_jump() {
    for place in [0.0, 40.0] {
        let mut track = Track::new(1.5);
        for second in 0..400_u64 {
            let shift = if (200..230).contains(&second) {
                7.0_f64.min((second - 199) as f64 * 2.0)
            } else {
                0.0
            };
            let now = Tick::from_secs(second);
            let fix = east(place + shift);
            let at = track.take(now, fix, Some(Offset::ZERO), Some(east(1.0)));
            let off = (at - east(place)).length().get();
            let most = if (200..230).contains(&second) {
                5.0
            } else {
                0.01
            };
            assert!(off < most, "{place}, {second}: {at:?}");
        }
    }
}

/// A wild fix after a gap does not change what steps are usual, and a jump ends even if the step back is
/// shorter than the step out.
#[test]
fn a_gap_leaves_the_usual_step_and_a_jump_ends_where_it_began() {
    let mut track = Track::new(1.5);
    for second in (0..200_u64).chain(260..500) {
        let shift = match second {
            260..263 => 20.0,
            380..388 => 6.0,
            388.. => 1.8,
            _ => 0.0,
        };
        let now = Tick::from_secs(second);
        let at = track.take(now, east(shift), Some(Offset::ZERO), Some(east(1.0)));
        let most = if (380..388).contains(&second) {
            0.6
        } else {
            2.4
        };
        assert!(second < 300 || at.length().get() < most, "{second}: {at:?}");
    }
    assert!(track.usual < 0.5, "{}", track.usual);
}

#[test]
fn a_shift_that_stays_is_let_in() {
    let mut track = Track::new(1.5);
    let mut at = Offset::ZERO;
    for second in 0..600 {
        let shift = if second >= 100 { 12.0 } else { 0.0 };
        let now = Tick::from_secs(second);
        at = track.take(now, east(shift), Some(Offset::ZERO), Some(east(1.0)));
    }
    assert!((at.east - 12.0).abs() < 0.1, "{at:?}");
}

#[test]
fn motion_is_no_jump_with_and_without_velocity() {
    for doppler in [true, false] {
        let mut track = Track::new(1.5);
        let mut at = Offset::ZERO;
        for second in 0..300 {
            let now = Tick::from_secs(second);
            let velocity = doppler.then_some(east(1.0));
            at = track.take(now, east(second as f64), velocity, Some(east(1.0)));
        }
        let behind = 299.0 - at.east;
        assert!(behind.abs() < if doppler { 0.5 } else { 9.0 }, "{behind}");
    }
}

/// A square wave of ±a every 200 s changes by 2a over 120 s in 120 of the 200 seconds. Its mean square is
/// 0.6 (2a)², the same as for a Gauss-Markov error of σ² = 0.6 (2a)² / (2 (1 - e^(-0.8))).
#[test]
fn the_night_s_noise_is_learned() {
    let mut track = Track::new(1.5);
    for amplitude in [0.3, 1.0] {
        for second in 0..6 * 3600_u64 {
            let wave = if second % 400 < 200 {
                amplitude
            } else {
                -amplitude
            };
            let now = Tick::from_secs(second + if amplitude > 0.5 { 30_000 } else { 0 });
            track.take(now, east(wave), Some(Offset::ZERO), Some(east(1.0)));
        }
        // In one of two coordinates.
        let share = 2.0 * (1.0 - (-0.8_f64).exp());
        let wanted = (0.6 * 4.0 * amplitude * amplitude / 2.0 / share).sqrt();
        let sigma = track.sigma();
        assert!(
            (wanted * 0.9..wanted * 1.5).contains(&sigma),
            "{amplitude} m: {sigma}, wanted {wanted}"
        );
    }
}

/// The differences are over two minutes. What lies a gap of more than that back shows nothing about the noise.
#[test]
fn a_shift_in_a_gap_is_not_the_night_s_noise() {
    for velocity in [Some(Offset::ZERO), None] {
        let mut track = Track::new(1.5);
        for second in 0..600 {
            track.take(
                Tick::from_secs(second),
                Offset::ZERO,
                velocity,
                Some(east(1.0)),
            );
        }
        let before = track.sigma();
        for second in 760..860 {
            track.take(
                Tick::from_secs(second),
                east(6.0),
                velocity,
                Some(east(1.0)),
            );
        }
        assert!(
            (track.sigma() - before).abs() < 1e-9,
            "{velocity:?}: {}",
            track.sigma()
        );
    }
}

/// Metres that the fix is shifted: builds up at `pace`, lasts 70 s in all, and goes at `back`.
fn shifted(since: f64, pace: f64, back: f64) -> f64 {
    (pace * since).min(back * (70.0 - since)).clamp(0.0, 12.0)
}

/// The velocity is alive, and it shows that she does not move. A step of more than three metres in a second is a jump by
/// itself, so some of these are partly a jump.
#[test]
fn a_reflection_that_builds_up_is_taken_off_until_it_is_gone() {
    for (pace, back) in [
        (0.7, 0.7),
        (1.0, 1.0),
        (2.0, 2.0),
        (2.9, 2.9),
        (3.2, 3.2),
        (3.6, 3.6),
        (12.0, 2.0),
        (2.0, 12.0),
    ] {
        for (seed, fixes) in [(1, 1_u32), (2, 1), (3, 1), (4, 10)] {
            let mut chance = Chance(seed);
            let mut track = Track::new(0.8);
            for count in 0..600 * fixes {
                let since = f64::from(count) / f64::from(fixes) - 200.0;
                let noise = 0.3 * chance.normal();
                let fix = east(shifted(since, pace, back) + noise);
                let velocity = east(0.05 * chance.normal());
                let now = Tick::from_millis(u64::from(1000 / fixes * count));
                let at = track.take(now, fix, Some(velocity), Some(east(1.0)));
                let seen = format!("{pace} and {back} m/s, {fixes} Hz, {since}: {at:?}");
                assert!(at.length().get() < 4.0, "{seen}");
                assert!(since < 80.0 || track.shift(now) == Offset::ZERO, "{seen}");
            }
        }
    }
}

/// A receiver may report a speed for some seconds that is not hers, while its fixes stay where she is.
#[test]
fn a_wrong_velocity_is_no_reflection() {
    let mut track = Track::new(0.8);
    for second in 0..600_u32 {
        let speed = if (200..210).contains(&second) {
            1.0
        } else {
            0.05
        };
        let sign = if second % 2 == 0 || speed > 0.5 {
            1.0
        } else {
            -1.0
        };
        let now = Tick::from_secs(u64::from(second));
        track.take(now, Offset::ZERO, Some(east(sign * speed)), Some(east(1.0)));
        assert_eq!(track.shift(now), Offset::ZERO, "{second}");
    }
}

/// The first fixes after a gap are shifted, and the shift goes slowly.
#[test]
fn a_shift_that_came_in_a_gap_and_goes_slowly_leaves_the_true_place() {
    let mut track = Track::new(0.8);
    for second in (0..200_u32).chain(230..600) {
        let shift = if second < 230 {
            0.0
        } else {
            (2.0 * (260.0 - f64::from(second))).clamp(0.0, 10.0)
        };
        let velocity = east(if second % 3 == 0 { 0.04 } else { -0.02 });
        let now = Tick::from_secs(u64::from(second));
        let at = track.take(now, east(shift), Some(velocity), Some(east(1.0)));
        assert!(second < 290 || at.length().get() < 3.5, "{second}: {at:?}");
    }
}

/// Without a velocity, the fix must run faster than a boat at anchor moves.
#[test]
fn without_a_velocity_a_fast_reflection_is_taken_off_too() {
    for velocity in [None, Some(Offset::ZERO)] {
        for pace in [2.0, 2.9] {
            let mut track = Track::new(0.8);
            for second in 0..600_u32 {
                let since = f64::from(second) - 200.0;
                let shift = (pace * since.min(70.0 - since)).clamp(0.0, 12.0);
                let now = Tick::from_secs(u64::from(second));
                let at = track.take(now, east(shift), velocity, Some(east(1.0)));
                assert!(at.length().get() < 4.0, "{pace}, {second}: {at:?}");
            }
        }
    }
}

#[test]
fn a_boat_that_runs_off_without_a_velocity_is_believed_within_twenty_metres() {
    for pace in [0.5, 1.0, 1.3, 1.5, 2.0, 2.5] {
        let mut track = Track::new(0.8);
        for second in 0..400_u32 {
            let place = (pace * (f64::from(second) - 200.0)).max(0.0);
            let now = Tick::from_secs(u64::from(second));
            let at = track.take(now, east(place), None, Some(east(1.0)));
            let behind = place - at.east;
            assert!(
                place < 25.0 || behind < 21.0,
                "{pace}: {behind} m at {place}"
            );
        }
    }
}

/// The receiver smooths its velocity, so it lags by some seconds.
#[test]
fn a_boat_that_drags_is_not_held_back_by_a_velocity_that_lags() {
    for lag in [1.0, 4.0] {
        let mut track = Track::new(0.8);
        let (mut place, mut shown) = (0.0, 0.01);
        for second in 0..900_u64 {
            let speed = if second < 300 { 0.0 } else { 0.6 };
            place += speed;
            shown += (speed - shown) * (1.0 - (-1.0_f64 / lag).exp());
            let now = Tick::from_secs(second);
            track.take(now, east(place), Some(east(shown + 0.01)), Some(east(1.0)));
            assert_eq!(track.shift(now), Offset::ZERO, "{lag}, {second}");
        }
    }
}
