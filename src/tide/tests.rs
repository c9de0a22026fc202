//! Random constants, and figures from a published table.

use proptest::prelude::*;

use super::curve::{GRID_DAYS, GRID_MS};
use super::turns::LEAST_RANGE;
use super::*;
use crate::time::Timestamp;
use crate::units::Metres;

fn at(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn later(time: Timestamp, millis: i64) -> Timestamp {
    Timestamp::from_millis(time.as_millis() + millis)
}

fn harmonics(constants: &[(&str, f64, f64)]) -> Vec<Harmonic> {
    constants
        .iter()
        .map(|(name, amplitude, phase)| Harmonic {
            constituent: constituents::named(name).unwrap(),
            amplitude: Metres::of(*amplitude),
            phase: *phase,
        })
        .collect()
}

/// NOAA station 8443970, Boston: the harmonic constants as published, amplitudes in metres, Greenwich phases
/// in degrees, those of 4 mm and more.
const BOSTON: [(&str, f64, f64); 29] = [
    ("M2", 1.371, 109.2),
    ("N2", 0.305, 76.7),
    ("S2", 0.208, 146.2),
    ("K1", 0.143, 205.6),
    ("O1", 0.116, 187.1),
    ("L2", 0.068, 160.4),
    ("NU2", 0.066, 84.0),
    ("K2", 0.059, 146.1),
    ("SA", 0.049, 136.3),
    ("P1", 0.047, 204.8),
    ("2N2", 0.041, 53.7),
    ("M6", 0.029, 281.3),
    ("M4", 0.023, 29.0),
    ("SSA", 0.022, 97.5),
    ("LAM2", 0.02, 140.1),
    ("Q1", 0.019, 172.1),
    ("T2", 0.018, 120.1),
    ("MN4", 0.011, 13.7),
    ("MU2", 0.01, 53.3),
    ("J1", 0.01, 210.0),
    ("MS4", 0.009, 74.0),
    ("2MK3", 0.007, 204.7),
    ("MK3", 0.006, 231.8),
    ("M8", 0.006, 241.3),
    ("S1", 0.005, 131.6),
    ("M1", 0.005, 223.2),
    ("RHO", 0.005, 179.3),
    ("OO1", 0.004, 218.7),
    ("R2", 0.004, 13.1),
];
/// Mean sea level above mean lower low water at Boston (datums of 1983 to 2001).
const BOSTON_MEAN: f64 = 1.586;

/// NOAA's published high and low waters of Boston (station 8443970, metres above MLLW, GMT). The days are
/// in the middle of a year, because NOAA uses the middle's node factors for the whole year.
#[test]
fn two_days_of_boston_are_as_published() {
    let predictor = Predictor::new(Metres::of(BOSTON_MEAN), &harmonics(&BOSTON));
    let turns = predictor.turns(at("2021-06-24T00:00:00Z"), at("2021-06-26T00:00:00Z"));
    let published = [
        ("2021-06-24T02:44:00Z", 3.615, Stand::High),
        ("2021-06-24T09:15:00Z", -0.384, Stand::Low),
        ("2021-06-24T15:27:00Z", 3.091, Stand::High),
        ("2021-06-24T21:26:00Z", -0.021, Stand::Low),
        ("2021-06-25T03:38:00Z", 3.648, Stand::High),
        ("2021-06-25T10:09:00Z", -0.427, Stand::Low),
        ("2021-06-25T16:23:00Z", 3.097, Stand::High),
        ("2021-06-25T22:20:00Z", -0.009, Stand::Low),
    ];
    assert_eq!(turns.len(), published.len());
    for (turn, (time, height, kind)) in turns.iter().zip(published) {
        assert_eq!(turn.kind, kind, "{turn:?}");
        let minutes = turn.time.millis_since(at(time)) as f64 / 60_000.0;
        assert!(minutes.abs() < 1.5, "{turn:?} {minutes}");
        assert!((turn.height.get() - height).abs() < 0.02, "{turn:?}");
    }
    // The day's highest and lowest are also among them.
    let (from, to) = (at("2021-06-24T00:00:00Z"), at("2021-06-26T00:00:00Z"));
    let heights = turns.iter().map(|turn| turn.height.get());
    assert_eq!(
        predictor.highest(from, to).1.get(),
        heights.clone().fold(f64::MIN, f64::max)
    );
    assert_eq!(
        predictor.lowest(from, to).1.get(),
        heights.fold(f64::MAX, f64::min)
    );
}

#[test]
fn the_run_of_the_tide_lies_between_its_turns() {
    let predictor = Predictor::new(Metres::of(BOSTON_MEAN), &harmonics(&BOSTON));
    let now = at("2026-06-01T10:00:00Z");
    let run = predictor.run(now).unwrap();
    assert!(run.last.time <= now && now < run.next.time);
    assert_eq!(
        run.rising,
        predictor.height(later(now, 60_000)) > run.height
    );
    assert!(run.range() > Metres::of(1.5), "{run:?}");
    assert_eq!(Predictor::new(Metres::ZERO, &[]).run(now), None);
}

/// A shallow-water tide with two high waters, as M4 and M6 of this size and phase make it: the slope of
/// `cos x - 0.35 cos 2x` has four roots a round (calculus).
#[test]
fn both_of_two_high_waters_are_found() {
    let m2 = constituents::named("M2").unwrap().speed();
    let predictor = Predictor::new(
        Metres::ZERO,
        &harmonics(&[("M2", 1.0, 0.0), ("M4", 0.35, 180.0)]),
    );
    let from = at("2026-06-01T00:00:00Z");
    let turns = predictor.turns(from, later(from, 10 * 86_400_000));
    let rounds = 240.0 * m2 / 360.0;
    assert!(
        (turns.len() as f64 - 4.0 * rounds).abs() <= 2.0,
        "{}",
        turns.len()
    );
}

#[test]
fn a_ripple_is_not_a_turn() {
    let constants = [("S2", 0.004, 0.0)];
    let from = at("2026-06-01T00:00:00Z");
    let turns = |constants: &[(&str, f64, f64)]| {
        Predictor::new(Metres::ZERO, &harmonics(constants)).turns(from, later(from, 4 * 86_400_000))
    };
    assert_eq!(turns(&constants), []);
    assert_eq!(turns(&[("S2", 0.4, 0.0)]).len(), 16);
    assert_eq!(turns(&[]), []);
}

/// The years 1000 to 3000, the ends of the calendar, empty windows and reversed windows.
#[test]
fn nothing_panics_at_the_ends_of_time() {
    let predictor = Predictor::new(Metres::of(BOSTON_MEAN), &harmonics(&BOSTON));
    let secondary = predictor.clone().with_differences(Differences {
        high_minutes: 1e9,
        low_minutes: -1e9,
        high: HeightDifference::Ratio(1.2),
        low: HeightDifference::Add(Metres::of(-0.1)),
    });
    let day = 86_400_000;
    for time in [
        Timestamp::from_millis(i64::MIN),
        at("1000-01-01T00:00:00Z"),
        Timestamp::EPOCH,
        at("3000-01-01T00:00:00Z"),
        Timestamp::from_millis(i64::MAX),
    ] {
        for (from, to) in [
            (time, time),
            (time, later(time, -day)),
            (time, later(time, day)),
            (later(time, -3 * day), time),
        ] {
            for one in [&predictor, &secondary] {
                let height = one.height(from).get();
                assert!(height.abs() < 10.0, "{from} {height}");
                let turns = one.turns(from, to);
                assert!(turns.len() < 14, "{from} {to}");
                assert!(one.highest(from, to).1 >= one.lowest(from, to).1);
                let _ = one.run(from);
            }
        }
        let year = time.to_string();
        if year.starts_with("1000") || year.starts_with("3000") {
            // Ten days of two lunar tides a day, 12.42 h each.
            let count = predictor.turns(time, later(time, 10 * day)).len();
            assert!((38..=39).contains(&count), "{time} {count}");
        }
    }
}

#[test]
fn the_table_s_sets_of_nodes_fit_the_stack() {
    let all: Vec<Harmonic> = constituents::all()
        .iter()
        .map(|constituent| Harmonic {
            constituent,
            amplitude: Metres::of(0.1),
            phase: 0.0,
        })
        .collect();
    let curve = curve::Curve::new(Metres::ZERO, &all);
    assert!(
        curve.shares.len() <= curve::MOST_SHARES,
        "{}",
        curve.shares.len()
    );
}

/// Constants of any kind of tide: up to six constituents, from long-period to eighth-diurnal.
fn constants() -> impl Strategy<Value = Vec<Harmonic>> {
    let count = constituents::all().len();
    let one = (0..count, 0.0..3.0_f64, 0.0..360.0_f64).prop_map(|(place, amplitude, phase)| {
        let constituent = &constituents::all()[place];
        // Overtides are small compared with the tides that cause them.
        let species = f64::from(constituent.doodson[0].max(2)) / 2.0;
        Harmonic {
            constituent,
            amplitude: Metres::of(amplitude / species.powi(3)),
            phase,
        }
    });
    proptest::collection::vec(one, 1..7)
}

fn moment() -> impl Strategy<Value = Timestamp> {
    // The years 1000 to 3000.
    (-30_610_224_000_000_i64..32_503_680_000_000).prop_map(Timestamp::from_millis)
}

/// Ripples on a slow tide: each crest is less than a centimetre above the next trough, but together they
/// are more.
#[test]
fn the_highest_water_among_ripples_is_the_highest() {
    let constants = harmonics(&[
        ("2NMK7", 0.006_844_854_5, 0.0),
        ("MTM", 2.458_497_484, 270.027_479_8),
    ]);
    let predictor = Predictor::new(Metres::ZERO, &constants);
    let from: Timestamp = "2129-06-14T15:27:52.447Z".parse().unwrap();
    let highest = predictor.highest(from, later(from, 2 * 86_400_000)).1;
    for step in 0..1440 {
        let height = predictor.height(later(from, step * 120_000));
        assert!(
            (height - highest).get() < 1e-3,
            "{step}: {height} {highest}"
        );
    }
}

/// A fortnightly tide with ripples, found by the property below: the only high water of a week must not be
/// taken for a ripple.
#[test]
fn a_week_with_one_turn_among_ripples_has_that_turn() {
    let constants = harmonics(&[
        ("2M2NK9", 0.004_975_903_793_930_16, 0.0),
        ("MF", 1.793_549_846, 0.0),
    ]);
    let predictor = Predictor::new(Metres::ZERO, &constants);
    let from: Timestamp = "1814-03-08T16:02:17.302Z".parse().unwrap();
    let to = later(from, 3 * 86_400_000);
    let mut wide = predictor.turns(later(from, -240_000_000), later(to, 240_000_000));
    wide.retain(|turn| from <= turn.time && turn.time < to);
    assert_eq!(wide.len(), 1);
    assert_eq!(predictor.turns(from, to).len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// The constituents' speeds bound the slope, so the curve has no steps, not even at the grid's knots.
    #[test]
    fn the_curve_is_continuous(constants in constants(), time in moment(), knot in any::<bool>()) {
        let predictor = Predictor::new(Metres::ZERO, &constants);
        let time = if knot {
            Timestamp::from_millis(time.as_millis().div_euclid(GRID_MS) * GRID_MS - 500)
        } else {
            time
        };
        // f is 2.3 at most (M1, Schureman's table 13), and a compound has a few factors of 1.8 (OO1) or less.
        let steepest: f64 = constants
            .iter()
            .map(|one| 6.0 * one.amplitude.get() * one.constituent.speed().abs().to_radians() / 3600.0)
            .sum();
        let step = (predictor.height(later(time, 1000)) - predictor.height(time)).get();
        prop_assert!(step.abs() <= steepest + 1e-6, "{} {}", step, steepest);
    }

    #[test]
    fn turns_alternate_and_are_extremes_among_their_neighbours(constants in constants(), from in moment()) {
        let predictor = Predictor::new(Metres::of(1.0), &constants);
        let to = later(from, (GRID_DAYS + 3) * 86_400_000);
        let turns = predictor.turns(from, to);
        for pair in turns.windows(2) {
            prop_assert_ne!(pair[0].kind, pair[1].kind);
            prop_assert!(pair[0].time < pair[1].time);
            prop_assert!((pair[1].height - pair[0].height).get().abs() >= LEAST_RANGE.get());
            prop_assert_eq!(pair[1].height > pair[0].height, pair[1].kind == Stand::High);
        }
        for turn in &turns {
            let here = predictor.height(turn.time);
            prop_assert!((here - turn.height).get().abs() < 2e-3, "{:?} {:?}", turn, here);
            for minutes in [-4, 4] {
                let beside = (predictor.height(later(turn.time, minutes * 60_000)) - here).get();
                let outward = if turn.kind == Stand::High { beside } else { -beside };
                prop_assert!(outward < 5e-4, "{:?} {}", turn, outward);
            }
        }
    }

    /// Sampling every two minutes finds no level above the highest turn or below the lowest.
    #[test]
    fn no_turn_is_missed(constants in constants(), from in moment()) {
        let predictor = Predictor::new(Metres::ZERO, &constants);
        let to = later(from, 2 * 86_400_000);
        let (highest, lowest) = (predictor.highest(from, to).1.get(), predictor.lowest(from, to).1.get());
        for step in 0..1440 {
            let height = predictor.height(later(from, step * 120_000)).get();
            prop_assert!(height < highest + 1e-3 && height > lowest - 1e-3, "{}", height);
        }
    }

    /// The turns in the middle do not depend on where the window begins.
    #[test]
    fn the_window_makes_no_difference(constants in constants(), from in moment(), more in 0..40_i64) {
        let predictor = Predictor::new(Metres::ZERO, &constants);
        let to = later(from, 3 * 86_400_000);
        let narrow = predictor.turns(from, to);
        let mut wide = predictor.turns(later(from, -more * 80_000_000), later(to, more * 80_000_000));
        wide.retain(|turn| from <= turn.time && turn.time < to);
        // Rounding depends on where the vectors start to turn.
        prop_assert_eq!(narrow.len(), wide.len());
        for (one, other) in narrow.iter().zip(&wide) {
            prop_assert_eq!(one.kind, other.kind);
            prop_assert!(one.time.millis_since(other.time).abs() < 100, "{:?} {:?}", one, other);
            prop_assert!((one.height - other.height).get().abs() < 1e-6, "{:?} {:?}", one, other);
        }
    }
}
