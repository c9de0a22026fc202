//! The same places in other coordinates.

use super::*;

/// A jump, a reflection that builds up and goes again, and a shift that creeps in and ends at once.
fn shifted_at(second: u64) -> f64 {
    let since = second as f64;
    match second {
        200..230 => 12.0,
        300..380 => (1.5 * (since - 300.0).min(380.0 - since)).min(12.0),
        430..460 => 7.0_f64.min(since - 429.0),
        _ => 0.0,
    }
}

/// The origin moves every eleven seconds, in the middle of whatever happens.
#[test]
fn a_new_origin_changes_only_the_coordinates() {
    let step = Offset {
        east: 30.0,
        north: -50.0,
    };
    for velocity in [None, Some(Offset::ZERO), Some(east(0.01))] {
        let (mut plain, mut moving) = (Track::new(0.8), Track::new(0.8));
        let mut origin = Offset::ZERO;
        for second in 0..600_u64 {
            if second % 11 == 10 {
                moving.origin_moved(step);
                origin = origin + step;
            }
            let now = Tick::from_secs(second);
            let fix = east(shifted_at(second)) + east(0.2 * (second as f64 * 1.7).sin());
            let here = plain.take(now, fix, velocity, Some(east(1.0)));
            let there = moving.take(now, fix - origin, velocity, Some(east(1.0)));
            let seen = format!("{velocity:?}, {second}: {here:?}, {there:?} from {origin:?}");
            assert!(
                (here - origin - there).length().get() < 1e-6,
                "a place: {seen}"
            );
            let shifts = (plain.shift(now), moving.shift(now));
            assert!(
                (shifts.0 - shifts.1).length().get() < 1e-6,
                "{shifts:?}: {seen}"
            );
            assert!((plain.sigma() - moving.sigma()).abs() < 1e-6, "{seen}");
        }
    }
}
