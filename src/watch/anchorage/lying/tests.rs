use super::*;
use crate::units::Bearing;

fn anchor() -> Position {
    Position::new(59.8539, 23.26).unwrap()
}

/// Lies for this many minutes, 35 m from the anchor, sheering by this many degrees to each side, with errors of a
/// metre that last two minutes.
fn lain(minutes: u64, sheer: f64) -> Lying {
    let mut lying = Lying::default();
    for second in 0..minutes * 60 {
        let t = second as f64;
        let turn = 45.0 + sheer * (t / 140.0 * std::f64::consts::TAU).sin();
        let error = Offset {
            east: (t / 97.0).sin(),
            north: (t / 61.0).cos(),
        };
        let roller = Offset::polar(Bearing::from_degrees(turn), Metres::of(35.0)) + error;
        let position = Plane::at(anchor()).position(roller);
        lying.take(Tick::from_secs(second), position, false);
    }
    lying
}

#[test]
fn a_boat_that_sheers_widely_shows_where_her_anchor_lies() {
    let lying = lain(30, 60.0);
    let estimate = lying.estimate(Metres::ZERO, Metres::of(60.0)).unwrap();
    let off = estimate.position.distance_to(anchor());
    assert!(
        off.get() < 3.0 * estimate.doubt.get(),
        "{off:?} {estimate:?}"
    );
    assert!(estimate.doubt.get() < 3.0, "{estimate:?}");
    assert!((estimate.radius.get() - 35.0).abs() < 4.0);
    // On 20 m of rode she cannot lie 35 m from it, nor as near as that on 80 m over 15 m.
    assert_eq!(lying.estimate(Metres::ZERO, Metres::of(20.0)), None);
    assert_eq!(lying.estimate(Metres::of(65.0), Metres::of(80.0)), None);
    assert_eq!(
        lying.lain(Tick::from_secs(1799)),
        Some(Duration::from_secs(1799))
    );
}

/// The wind turns her by 75° in the first hour; then she sheers by a few degrees for four.
#[test]
fn a_shift_long_ago_still_shows_the_anchor() {
    let mut lying = Lying::default();
    for second in (0..18_000_u64).step_by(10) {
        let t = second as f64;
        let turn = 75.0 * ((t - 1500.0) / 1200.0).clamp(0.0, 1.0) + 8.0 * (t / 22.0).sin();
        let error = Offset {
            east: (t / 97.0).sin(),
            north: (t / 61.0).cos(),
        };
        let roller = Offset::polar(Bearing::from_degrees(turn), Metres::of(35.0)) + error;
        let position = Plane::at(anchor()).position(roller);
        lying.take(Tick::from_secs(second), position, false);
    }
    let latest = lying.swings_about();
    assert_eq!(latest.filter(|found| found.doubt <= WORST), None);
    let estimate = lying.estimate(Metres::ZERO, Metres::of(60.0)).unwrap();
    let off = estimate.position.distance_to(anchor());
    assert!(
        off <= estimate.doubt * 3.0 && off < Metres::of(6.0),
        "{off:?} {estimate:?}"
    );
    // A circle that she has left is not offered.
    let narrow = Estimate {
        radius: Metres::of(25.0),
        ..estimate
    };
    assert!(lying.is_inside(&estimate) && !lying.is_inside(&narrow));
    lying.surest = Some(narrow);
    assert_eq!(lying.estimate(Metres::ZERO, Metres::of(60.0)), None);
}

#[test]
fn a_short_arc_offers_nothing() {
    assert_eq!(lain(12, 4.0).estimate(Metres::ZERO, Metres::of(60.0)), None);
    assert_eq!(lain(1, 60.0).estimate(Metres::ZERO, Metres::of(60.0)), None);
    // Frozen: every position is the same.
    let mut still = Lying::default();
    for second in 0..1200 {
        still.take(Tick::from_secs(second), anchor(), false);
    }
    assert_eq!(still.estimate(Metres::ZERO, Metres::of(60.0)), None);
}

#[test]
fn drifting_and_motoring_are_not_lying() {
    let mut drifting = Lying::default();
    for second in 0..3600 {
        // Three tenths of a knot.
        let gone = Metres::of(0.15 * second as f64);
        let place = anchor().moved(Bearing::from_degrees(90.0), gone);
        drifting.take(Tick::from_secs(second), place, false);
        let lain = drifting.lain(Tick::from_secs(second));
        assert!(
            lain.is_none_or(|lain| lain < Duration::from_mins(10)),
            "{second}"
        );
    }
    let mut motoring = lain(12, 30.0);
    motoring.take(Tick::from_secs(721), anchor(), true);
    assert_eq!(motoring.lain(Tick::from_secs(722)), None);
}

#[test]
fn blind_is_not_lying() {
    let lying = lain(12, 30.0);
    assert!(lying.lain(Tick::from_secs(12 * 60)).is_some());
    assert_eq!(lying.lain(Tick::from_secs(15 * 60)), None);
}

/// An hour and a half of positions, ten seconds apart.
#[test]
fn the_track_is_bounded() {
    let lying = lain(100, 20.0);
    assert_eq!(lying.track.len(), 540);
    let (first, last) = (
        lying.track.front().unwrap().0,
        lying.track.back().unwrap().0,
    );
    assert_eq!(last.since(first), Duration::from_secs(5390));
}

/// The radius is known to within its doubt, so a rode that is a little too short or too long for it is no contradiction.
#[test]
fn a_circle_that_the_rode_nearly_allows_is_offered() {
    let lying = lain(30, 60.0);
    let found = lying.estimate(Metres::ZERO, Metres::of(60.0)).unwrap();
    let offered = |least: f64, most: f64| {
        let (radius, doubt) = (found.radius, found.doubt);
        lying.estimate(radius + doubt * least, radius + doubt * most)
    };
    assert!(offered(1.5, 10.0).is_some() && offered(2.5, 10.0).is_none());
    assert!(offered(-10.0, -1.5).is_some() && offered(-10.0, -2.5).is_none());
}
