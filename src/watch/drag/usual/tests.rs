mod learning;
mod slots;

use super::*;
use crate::geodesy::Position;
use crate::units::Metres;
use crate::watch::drag::slack::slack;

fn mark() -> Marked {
    Marked {
        at: Position::of(59.8539, 23.26),
        doubt: Metres::of(2.5),
        lever: Metres::ZERO,
        origin: Some(Origin::Fix),
    }
}

fn usual(wind: Option<f64>) -> Usual {
    Usual::new(Tick::START, &mark(), None, &Sighting::in_wind(wind))
}

fn north(metres: f64) -> Offset {
    Offset {
        east: 0.0,
        north: metres,
    }
}

/// Antenna and roller here.
fn there(at: Offset) -> Place {
    Place {
        antenna: at,
        point: at,
        trusted: true,
    }
}

/// The reach of 40 m of rode over 9 m.
fn straight() -> f64 {
    f64::sqrt(40.0 * 40.0 - 9.0 * 9.0)
}

/// Six tenths of the mark's doubt of 2.5 m are its own, and a quarter of all marks are bad.
#[test]
fn it_counts_only_if_chart_and_regression_agree() {
    let mut usual = usual(Some(8.0));
    let verdict = Verdict {
        s: 6.0,
        beyond: 7.0,
        deviation: 1.2,
        lasted: 6.0,
    };
    assert_eq!(usual.agreed((Offset::ZERO, 2.0)), None);
    usual.verdict = Some(verdict);
    let (place, spread) = usual.anchor();
    assert_eq!(place, Offset::ZERO);
    let bad = f64::hypot(15.0, 1.5);
    let wanted = (0.75 * 1.5 * 1.5 + 0.25 * bad * bad).sqrt();
    assert!((spread - wanted).abs() < 1e-6, "{spread}, {wanted}");
    assert_eq!(usual.agreed((Offset::ZERO, 2.0)), Some(verdict));
    assert_eq!(usual.agreed((Offset::ZERO, 5.1)), None);
    let off = |metres: f64| Offset {
        east: metres,
        north: 0.0,
    };
    let limit = 3.0 + spread.hypot(2.0);
    assert_eq!(usual.agreed((off(limit - 0.01), 2.0)), Some(verdict));
    assert_eq!(usual.agreed((off(limit + 0.01), 2.0)), None);
}

fn spread_of(origin: Option<Origin>, claims: f64, sigma: f64) -> f64 {
    let mark = Marked {
        doubt: Metres::of(claims),
        origin,
        ..mark()
    };
    let seen = Sighting {
        sigma: Metres::of(sigma),
        ..Sighting::in_wind(Some(8.0))
    };
    Usual::new(Tick::START, &mark, None, &seen).anchor().1
}

/// A quarter of all marks are bad.
fn assert_doubted_by(wanted: f64, spread: f64) {
    let bad = f64::hypot(15.0, wanted);
    let both = (0.75 * wanted * wanted + 0.25 * bad * bad).sqrt();
    assert!((spread - both).abs() < 1e-6, "{spread}, {both}");
}

/// A mark that is typed in claims 5 m, a mark from the track often less; both count as good to 12 m, however poor
/// the fix is.
#[test]
fn a_mark_not_made_by_a_fix_is_doubted_by_twelve_metres() {
    for origin in [Origin::Given, Origin::Track] {
        for sigma in [1.0, 2.5, 5.0, 15.0] {
            for (claims, wanted) in [(2.0, 12.0), (5.0, 12.0), (20.0, 20.0)] {
                assert_doubted_by(wanted, spread_of(Some(origin), claims, sigma));
            }
        }
    }
}

/// A mark made with a fix still counts as one when the fixes improve after a restart.
#[test]
fn a_mark_made_by_a_fix_is_never_taken_for_a_typed_one() {
    for sigma in [1.0, 2.5, 5.0] {
        for (claims, wanted) in [(2.5, 1.5), (5.0, 3.0)] {
            assert_doubted_by(wanted, spread_of(Some(Origin::Fix), claims, sigma));
        }
    }
}

/// An earlier version did not save what made the mark: then the mark's stated doubt is compared with that of the
/// fix.
#[test]
fn a_mark_of_an_earlier_journal_is_judged_by_its_claim() {
    for (claims, sigma, wanted) in [(2.5, 2.5, 1.5), (5.0, 2.5, 12.0), (5.0, 5.0, 3.0)] {
        assert_doubted_by(wanted, spread_of(None, claims, sigma));
    }
}

/// Gusts of half a minute count in full, not the mean over ten minutes: wind², low-passed.
#[test]
fn the_expected_distance_follows_the_wind_of_the_moment() {
    let mut usual = usual(Some(4.0));
    let mut expected = Vec::new();
    for second in 0..120_u64 {
        let wind = if second < 60 { 4.0 } else { 12.0 };
        usual.take_wind(Tick::from_secs(second), &Sighting::in_wind(Some(wind)));
        let gathered = Gathered {
            fixes: 1.0,
            ..Gathered::default()
        };
        expected.push(
            usual
                .slot(&gathered, &Sighting::in_wind(Some(wind)))
                .expected,
        );
    }
    let straight = f64::sqrt(40.0 * 40.0 - 9.0 * 9.0);
    for (way, kappa) in [0.1, 0.25, 0.6, 1.5].into_iter().enumerate() {
        let calm = straight - slack(40.0, 9.0, 4.0, kappa);
        assert!((f64::from(expected[59][way]) - calm).abs() < 1e-3);
        let squall = 144.0 - 128.0 * (-2.0_f64).exp();
        let gust = straight - slack(40.0, 9.0, squall.sqrt(), kappa);
        assert!((f64::from(expected[119][way]) - gust).abs() < 0.05, "{way}");
    }
    assert!((f64::from(expected[0][WAYS - 1]) - straight).abs() < 1e-3);
}

/// She lies three metres short of taut for an hour and a half, then two metres farther out than ever for half a
/// minute.
#[test]
fn her_usual_distance_is_learned() {
    let mut usual = usual(Some(8.0));
    let seen = Sighting::in_wind(Some(8.0));
    let straight = f64::sqrt(40.0 * 40.0 - 9.0 * 9.0);
    let lies = |usual: &mut Usual, second: u64, distance: f64| {
        let sheer = 0.4 * (second as f64 / 70.0).sin();
        let at = Offset {
            east: distance * sheer.sin(),
            north: distance * sheer.cos(),
        };
        let place = Place {
            antenna: at,
            point: at,
            trusted: true,
        };
        usual.take(Tick::from_secs(second), &place, &seen, 1.0, 0.0, true);
    };
    for second in 0..5400 {
        let swell = 0.5 * (second as f64 / 31.0).sin();
        lies(&mut usual, second, straight - 3.0 + swell);
    }
    let quiet = usual.verdict.unwrap();
    assert!(quiet.s < 2.0, "{quiet:?}");
    let usually = usual.usually_lies().unwrap();
    assert!((straight - 3.5..straight).contains(&usually), "{usually}");
    for second in 5400..5460 {
        lies(&mut usual, second, straight + 5.0);
    }
    let loud = usual.verdict.unwrap();
    assert!(
        loud.s > UNUSUAL && (6.0..10.0).contains(&loud.beyond),
        "{loud:?}"
    );
    // Evidence counts for less if the fix may be shifted.
    let doubted = usual.bank.judge(&usual.record, 1.0, 36.0).unwrap();
    assert!(doubted.s < 2.5, "{doubted:?}");
}

/// Without a depth the rode is taken to lie at a scope of five.
#[test]
fn without_a_depth_a_usual_scope_is_assumed() {
    let mut seen = Sighting::in_wind(Some(8.0));
    seen.height = None;
    let gathered = Gathered {
        fixes: 1.0,
        ..Gathered::default()
    };
    let slot = usual(Some(8.0)).slot(&gathered, &seen);
    let taut = slot.expected.last().copied().unwrap();
    assert!(
        (taut - f32::sqrt(40.0 * 40.0 - 8.0 * 8.0)).abs() < 1e-4,
        "{taut}"
    );
}

/// What she does now teaches nothing for a quarter of an hour, because it may be a drag.
#[test]
fn the_last_quarter_of_an_hour_teaches_nothing() {
    let mut usual = usual(Some(8.0));
    let seen = Sighting::in_wind(Some(8.0));
    let straight = f64::sqrt(40.0 * 40.0 - 9.0 * 9.0);
    let mut lies = |seconds: std::ops::Range<u64>, distance: f64| {
        for second in seconds {
            let swell = 0.5 * (second as f64 / 31.0).sin();
            let at = Offset {
                east: 0.0,
                north: distance + swell,
            };
            let place = Place {
                antenna: at,
                point: at,
                trusted: true,
            };
            usual.take(Tick::from_secs(second), &place, &seen, 1.0, 0.0, true);
        }
        usual.usually_lies().unwrap()
    };
    let before = lies(0..5400, straight - 3.0);
    let soon = lies(5400..6240, straight - 1.5);
    assert!((soon - before).abs() < 0.1, "{before}, then {soon}");
    let later = lies(6240..9000, straight - 1.5);
    assert!(later > before + 0.3, "{before}, then {later}");
}

#[test]
fn a_slot_is_the_mean_of_its_fixes() {
    let gathered = Gathered {
        fixes: 4.0,
        at: Offset {
            east: 40.0,
            north: -80.0,
        },
        arm: 8.0,
        ..Gathered::default()
    };
    let seen = Sighting::in_wind(Some(8.0));
    let mut usual = usual(Some(8.0));
    usual.take_wind(Tick::START, &seen);
    let slot = usual.slot(&gathered, &seen);
    // Half of a calm at 4 m/s, a fifth at twice that.
    assert!((slot.calm - 0.2).abs() < 1e-6, "{}", slot.calm);
    assert!((slot.at.east - 10.0).abs() < 1e-9 && (slot.at.north + 20.0).abs() < 1e-9);
    assert!((slot.arm - 2.0).abs() < 1e-6);
}

#[test]
fn the_doubt_of_a_new_receiver_fades_within_half_an_hour() {
    let doubt = Doubt {
        metres: 8.0,
        since: Tick::from_secs(100),
    };
    assert!((doubt.left(Tick::from_secs(100)) - 8.0).abs() < 1e-9);
    let faded = doubt.left(Tick::from_secs(1900));
    assert!((faded - 8.0 * (-1.0_f64).exp()).abs() < 1e-9, "{faded}");
}

/// Ten minutes of lag, two to fall back to her rode, and a minute of data.
#[test]
fn nothing_is_learned_from_before_she_fell_back() {
    let mut usual = usual(Some(8.0));
    let seconds = 600 + 120 + 60;
    usual.learn(Tick::from_secs(seconds - 1), true);
    assert_eq!(usual.looked, Tick::START);
    usual.learn(Tick::from_secs(seconds), true);
    assert_eq!(usual.looked, Tick::from_secs(seconds));
}
