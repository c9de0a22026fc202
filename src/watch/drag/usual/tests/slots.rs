//! How places become slots of the record.

use super::*;

/// Antenna here, and the roller nine metres north of it.
fn place(at: f64) -> Place {
    Place {
        antenna: north(at),
        point: north(at + 9.0),
        trusted: true,
    }
}

/// How far from the anchor her roller lies by the slot that ended this many slots ago.
fn lay(usual: &Usual, ago: usize) -> f64 {
    usual.record.mean(ago, 1).unwrap().beyond[WAYS - 1] + straight()
}

/// A fix every ten seconds, and she moves by ten metres in between.
#[test]
fn between_slow_reports_her_place_is_interpolated() {
    let mut usual = usual(Some(8.0));
    let seen = Sighting::in_wind(Some(8.0));
    usual.take(Tick::START, &place(21.0), &seen, 1.0, 0.0, true);
    usual.take(Tick::from_secs(10), &place(31.0), &seen, 1.0, 0.0, true);
    assert_eq!(usual.record.len(), 6);
    for ago in 0..6 {
        let wanted = 40.0 - 2.0 * ago as f64;
        assert!((lay(&usual, ago) - wanted).abs() < 1e-3, "{ago}");
    }
}

#[test]
fn after_ten_minutes_without_a_fix_the_record_starts_again() {
    for (gone, slots) in [(590, 1 + 295), (601, 1)] {
        let mut usual = usual(Some(8.0));
        let seen = Sighting::in_wind(Some(8.0));
        usual.take(Tick::START, &place(21.0), &seen, 1.0, 0.0, true);
        usual.take(Tick::from_secs(gone), &place(21.0), &seen, 1.0, 0.0, true);
        assert_eq!(usual.record.len(), slots, "{gone} s");
    }
}

/// With ten fixes a second, a slot has those of a second.
#[test]
fn a_slot_has_the_fixes_of_a_second() {
    let mut usual = usual(Some(8.0));
    let seen = Sighting::in_wind(Some(8.0));
    let mut decides = 0;
    for count in 0..=100_u32 {
        let now = Tick::from_millis(u64::from(100 * count));
        let at = place(f64::from(count) / 10.0);
        decides += u32::from(usual.take(now, &at, &seen, 1.0, 0.0, true));
    }
    assert_eq!((usual.record.len(), decides), (11, 11));
    // The fixes from 9.1 to 10 s.
    assert!((lay(&usual, 0) - (9.55 + 9.0)).abs() < 1e-3);
}

/// Then the roller is up to that much nearer than the antenna.
#[test]
fn without_a_known_antenna_the_antenna_s_place_counts() {
    for (doubt, lies) in [(0.0, 39.0), (1.0, 39.0), (4.0, 26.0)] {
        let mut usual = usual(Some(8.0));
        let seen = Sighting {
            lever_doubt: Metres::of(doubt),
            ..Sighting::in_wind(Some(8.0))
        };
        usual.take(Tick::START, &place(30.0), &seen, 1.0, 0.0, true);
        assert!((lay(&usual, 0) - lies).abs() < 1e-3, "{doubt} m");
        let near = if doubt > 1.0 { doubt } else { 0.0 };
        assert!((arm(&seen) - near).abs() < 1e-9);
    }
}

/// An instrument that falls silent for a minute shows no wind any more: then six m/s are assumed, and no calm.
#[test]
fn a_wind_that_is_not_heard_any_more_is_forgotten() {
    let silent = Sighting::in_wind(None);
    let gathered = Gathered {
        fixes: 1.0,
        ..Gathered::default()
    };
    for (gone, heard) in [(59, true), (60, false)] {
        let mut usual = usual(Some(12.0));
        usual.take_wind(Tick::START, &Sighting::in_wind(Some(12.0)));
        usual.take_wind(Tick::from_secs(gone), &silent);
        let slot = usual.slot(&gathered, &silent);
        let (wind, calm) = if heard { (12.0, 0.1) } else { (6.0, 0.0) };
        let wanted = straight() - slack(40.0, 9.0, wind, 0.25);
        assert!((f64::from(slot.expected[1]) - wanted).abs() < 1e-3);
        assert!((f64::from(slot.calm) - calm).abs() < 1e-6, "{gone} s");
    }
}
