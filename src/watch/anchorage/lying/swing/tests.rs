use super::super::WORST;
use super::*;
use crate::units::{Bearing, Metres};
use crate::watch::fix::TWO_D_95;
use crate::watch::tests::chance::Chance;

/// A Gauss-Markov process.
struct Wander(f64);

impl Wander {
    fn step(&mut self, chance: &mut Chance, sigma: f64, tau: f64) -> f64 {
        let keep = (-10.0 / tau).exp();
        self.0 = self.0 * keep + sigma * (1.0 - keep * keep).sqrt() * chance.normal();
        self.0
    }
}

/// A position every ten seconds, with the anchor at the origin. The distance to which the rode is drawn follows
/// gusts of two minutes with strength `gusts`. The receiver's error is `noise` over minutes and as much again
/// over an hour (tau 150-900 s and 5 000 s: the facts that shape the watch).
fn track(
    seed: u64,
    minutes: usize,
    (reach, sheer, shift): (f64, f64, f64),
    (gusts, noise): (f64, f64),
) -> Vec<Offset> {
    let mut chance = Chance(seed);
    for _ in 0..20 {
        chance.uniform();
    }
    let tau = 150.0 + 750.0 * chance.uniform();
    let mut wander = [0.0; 4].map(|_: f64| Wander(noise * chance.normal()));
    let mut gust = Wander(chance.normal());
    let start = chance.uniform() * 6.0;
    let count = minutes * 6;
    (0..count)
        .map(|step| {
            let t = step as f64 * 10.0;
            let [east, north, slow_east, slow_north] = &mut wander;
            let error = Offset {
                east: east.step(&mut chance, noise, tau)
                    + slow_east.step(&mut chance, noise, 5000.0),
                north: north.step(&mut chance, noise, tau)
                    + slow_north.step(&mut chance, noise, 5000.0),
            };
            let turn = sheer * (t / 25.0 + start).sin() + shift * step as f64 / count as f64;
            let draw = reach - gusts * gust.step(&mut chance, 1.0, 120.0).abs();
            Offset::polar(Bearing::from_degrees(turn), Metres::of(draw.max(0.0))) + error
        })
        .collect()
}

#[test]
fn nine_in_ten_answers_lie_within_their_stated_error() {
    let (mut answers, mut held, mut asked) = (0, 0, 0);
    for reach in [20.0, 35.0, 60.0] {
        for (sheer, shift) in [
            (10.0, 0.0),
            (30.0, 0.0),
            (50.0, 0.0),
            (20.0, 90.0),
            (30.0, 180.0),
        ] {
            for minutes in [15, 30, 60] {
                for (gusts, noise) in [(0.5, 0.7), (1.5, 1.2), (3.0, 2.0)] {
                    for seed in 0..8 {
                        asked += 1;
                        let points = track(seed, minutes, (reach, sheer, shift), (gusts, noise));
                        let span = minutes as f64 * 60.0;
                        let Some(swung) =
                            swung(&points, span).filter(|one| one.doubt <= WORST.get())
                        else {
                            continue;
                        };
                        answers += 1;
                        let within = swung.circle.middle.length().get() <= TWO_D_95 * swung.doubt;
                        held += u32::from(within);
                    }
                }
            }
        }
    }
    assert!(
        held * 10 >= answers * 9 && answers * 3 >= asked,
        "{held} of {answers}, {asked} asked"
    );
}

#[test]
fn a_receiver_that_stands_still_is_refused() {
    let (mut taken, mut asked) = (0, 0);
    for noise in [0.5, 1.0, 2.0, 3.0] {
        for minutes in [15, 30, 60, 90] {
            for seed in 100..125 {
                asked += 1;
                let points = track(seed, minutes, (0.0, 0.0, 0.0), (0.0, noise));
                let answer = swung(&points, minutes as f64 * 60.0);
                taken += u32::from(answer.is_some_and(|one| one.doubt <= WORST.get()));
            }
        }
    }
    assert_eq!(taken, 0, "of {asked}");
}

/// 10° to each side at 35 m gives an arc half a metre high.
#[test]
fn an_arc_too_flat_is_refused() {
    for seed in 0..20 {
        let points = track(seed, 60, (35.0, 10.0, 0.0), (0.5, 0.7));
        assert!(
            swung(&points, 3600.0).is_none_or(|one| one.doubt > WORST.get()),
            "{seed}"
        );
    }
}

/// Another step would not move the centre by a millimetre.
#[test]
fn the_fit_is_repeated_until_the_centre_no_longer_moves() {
    for seed in 1..=5 {
        let points = track(seed, 60, (35.0, 30.0, 0.0), (0.05, 2.5));
        let (circle, _) = fitted(&points).unwrap();
        let (next, _) = circle.improved(&points).unwrap();
        let moved = (next.middle - circle.middle).length().get();
        assert!(moved < 1e-3, "{seed}: {moved}");
    }
}

/// The delete-one estimate, `(n - 1)/n · Σ (θᵢ - θ̄)²`, is the square of the standard error for a mean (Tukey 1958);
/// here the parts lie on circles whose centres are known.
#[test]
fn the_jackknife_has_the_factor_of_quenouille_and_tukey() {
    let points = track(3, 60, (35.0, 40.0, 120.0), (0.5, 1.0));
    let length = points.len().div_ceil(BLOCKS);
    let middles: Vec<Offset> = (0..BLOCKS)
        .map(|block| {
            let mut rest = points.clone();
            rest.drain(block * length..((block + 1) * length).min(points.len()));
            fitted(&rest).unwrap().0.middle
        })
        .collect();
    let n = BLOCKS as f64;
    // The sum of squares about the mean, from the differences of all pairs.
    let pairs = middles.iter().enumerate().flat_map(|(at, one)| {
        middles
            .iter()
            .skip(at + 1)
            .map(move |other| (*one - *other).length().get().powi(2))
    });
    let about_mean = pairs.sum::<f64>() / n;
    let wanted = (n - 1.0) / n * about_mean;
    let found = jackknife(&points).unwrap();
    assert!(
        (found - wanted).abs() < 1e-9 * wanted,
        "{found}, not {wanted}"
    );
}

/// Positions on a circle, one every three degrees from one bearing to another.
fn arc(middle: Offset, radius: f64, from: i32, to: i32) -> Vec<Offset> {
    (from..to)
        .step_by(3)
        .map(|turn| {
            middle + Offset::polar(Bearing::from_degrees(f64::from(turn)), Metres::of(radius))
        })
        .collect()
}

const MIDDLE: Offset = Offset {
    east: 110.0,
    north: -70.0,
};

/// By cofactors on paper: the determinant is 8.
#[test]
fn a_matrix_is_inverted() {
    let inverse = inverted(&[[2.0, 1.0, 0.0], [1.0, 3.0, 1.0], [0.0, 1.0, 2.0]]).unwrap();
    let eighths = [[5.0, -2.0, 1.0], [-2.0, 4.0, -2.0], [1.0, -2.0, 5.0]];
    assert_eq!(inverse, eighths.map(|row| row.map(|cell| cell / 8.0)));
    // The third row is the sum of the others.
    let singular = [[1.0, 2.0, 3.0], [2.0, 5.0, 7.0], [3.0, 7.0, 10.0]];
    assert_eq!(inverted(&singular), None);
}

#[test]
fn positions_without_error_give_the_circle_at_once() {
    for (from, to) in [(0, 360), (20, 140)] {
        let points = arc(MIDDLE, 35.0, from, to);
        let algebraic = kasa(&points).unwrap();
        let (fitted, _) = fitted(&points).unwrap();
        for circle in [algebraic, fitted] {
            let off = (circle.middle - MIDDLE).length().get();
            assert!(off < 1e-6 && (circle.radius - 35.0).abs() < 1e-6, "{off}");
        }
    }
    assert!(
        kasa(&arc(MIDDLE, 35.0, 0, 33)).is_none(),
        "eleven positions"
    );
    assert!(
        kasa(&arc(MIDDLE, 35.0, 0, 36)).is_some(),
        "twelve positions"
    );
}

/// Every second position is a metre farther out. All round, the mean distance is the best radius, and the centre is
/// known to `2 s²/n` in each coordinate: the squares of the cosines add up to half of `n`.
#[test]
fn all_round_the_centre_is_known_alike_in_both_coordinates() {
    let mut points = arc(MIDDLE, 35.0, 0, 360);
    for point in points.iter_mut().step_by(2) {
        *point = MIDDLE + (*point - MIDDLE) * (36.0 / 35.0);
    }
    let (circle, [[ee, en], [ne, nn]]) = fitted(&points).unwrap();
    assert!((circle.middle - MIDDLE).length().get() < 1e-6);
    assert!((circle.radius - 35.5).abs() < 1e-6);
    for (found, wanted) in [(ee, 2.0 / 120.0), (nn, 2.0 / 120.0), (en, 0.0), (ne, 0.0)] {
        assert!((found - wanted).abs() < 1e-9, "{found}, not {wanted}");
    }
    // Half a metre each, with three unknowns.
    let scatter = circle.scatter(&points);
    assert!((scatter - 120.0 * 0.25 / 117.0).abs() < 1e-9, "{scatter}");
}

/// A circle without scatter is taken to have a metre, and 3000 s have twenty independent fixes: the variance of the
/// centre is 2/20.
#[test]
fn the_doubt_counts_one_independent_fix_in_two_and_a_half_minutes() {
    let points = arc(MIDDLE, 35.0, 0, 360);
    let doubt = swung(&points, 3000.0).unwrap().doubt;
    assert!((doubt - 0.1_f64.sqrt()).abs() < 1e-6, "{doubt}");
    // More often than that, each of the 120 counts.
    let doubt = swung(&points, 40_000.0).unwrap().doubt;
    assert!((doubt - (2.0_f64 / 120.0).sqrt()).abs() < 1e-6, "{doubt}");
}

/// The doubt in the worst direction does not depend on which way the arc lies.
#[test]
fn a_turned_arc_gives_the_same_doubt() {
    let doubt = |from: i32| {
        let points = arc(MIDDLE, 60.0, from, from + 100);
        swung(&points, 3000.0).unwrap().doubt
    };
    for from in [45, 90, 200] {
        assert!((doubt(from) / doubt(0) - 1.0).abs() < 1e-6, "{from}");
    }
}

/// Of 60° at 35 m, the middle nine tenths span 54°: they rise 35 (1 - cos 27°) = 3.81 m above their chord, about 3.7
/// with the last bearing missing.
#[test]
fn the_height_of_an_arc_is_that_of_its_middle_nine_tenths() {
    for from in [0, 100, 330] {
        let points: Vec<Offset> = (0..=600)
            .map(|tenth| f64::from(from) + f64::from(tenth) / 10.0)
            .map(|turn| MIDDLE + Offset::polar(Bearing::from_degrees(turn), Metres::of(35.0)))
            .collect();
        let circle = Circle {
            middle: MIDDLE,
            radius: 35.0,
        };
        let height = circle.height(&points);
        assert!((height - 3.81).abs() < 0.02, "{from}: {height}");
    }
}

/// Alike in all but one thing: a circle of 9 m, an arc that rises 2 m, one that scatters by a third of its radius.
#[test]
fn a_narrow_circle_and_a_flat_arc_are_refused_and_others_are_not() {
    assert!(swung(&arc(MIDDLE, 10.5, 0, 360), 3000.0).is_some());
    assert!(swung(&arc(MIDDLE, 9.5, 0, 360), 3000.0).is_none());
    // The heights are 60 (1 - cos 27°) = 6.5 m and 60 (1 - cos 18°) = 2.9 m.
    assert!(swung(&arc(MIDDLE, 60.0, 0, 60), 3000.0).is_some());
    assert!(swung(&arc(MIDDLE, 60.0, 0, 40), 3000.0).is_none());
    let scattered = |by: f64| {
        let mut points = arc(MIDDLE, 30.0, 0, 360);
        for point in points.iter_mut().step_by(2) {
            *point = MIDDLE + (*point - MIDDLE) * (1.0 + by / 30.0);
        }
        swung(&points, 3000.0).is_some()
    };
    // The scatter is half of that: 5 and 8 m, and a fifth of the radius is 7.
    assert!(scattered(10.0) && !scattered(16.0));
}
