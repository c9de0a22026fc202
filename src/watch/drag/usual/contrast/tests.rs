use super::super::record::Slot;
use super::*;
use crate::geodesy::Offset;

/// Over a window far shorter than its correlation time, the mean has the variance of the process; two windows
/// far apart have nothing in common.
#[test]
fn the_prior_is_that_of_two_gauss_markov_processes() {
    let short = prior(0.01, 0.01, 0.01);
    assert!((short.xx - 4.5).abs() < 0.01 && (short.yy - 4.5).abs() < 0.01);
    assert!((short.xy - 4.5).abs() < 0.01, "{}", short.xy);
    let long = prior(60.0, 60.0, 40_000.0);
    assert!(long.xy < 1e-9);
    // 2r(1 - r(1 - e^(-1/r))) with r = 400/400 and 40/400.
    let wide = prior(400.0, 400.0, 40_000.0).xx;
    let first = 2.0 * (-1.0_f64).exp();
    let second = 0.2 * (1.0 - 0.1 * (1.0 - (-10.0_f64).exp()));
    assert!((wide - 3.0 * first - 1.5 * second).abs() < 1e-9, "{wide}");
}

fn mean(beyond: f64) -> Mean {
    Mean {
        beyond: [beyond; 5],
        by: [1.0, 0.0, 1.0, 0.0],
    }
}

fn judged(late: f64, early: Option<f64>, doubt: f64, worse: f64) -> Verdict {
    let ages = ages();
    let level = Level::new(0, [0.0; 4], 2.0, 0.0, 5.0);
    let circumstances = Circumstances {
        looks: 0.0,
        worse,
        doubt,
    };
    let seen = Seen {
        late: mean(late),
        early: early.map(mean),
    };
    ages[5].judge(&seen, &Moments::default(), &level, &circumstances)
}

#[test]
fn an_inward_past_never_makes_a_return_look_like_a_drag() {
    let rest = judged(4.0, Some(0.0), 0.0, 1.0);
    assert!(judged(4.0, Some(-20.0), 0.0, 1.0).s < rest.s);
    assert!(judged(4.0, Some(4.0), 0.0, 1.0).s < rest.s - 0.5);
    assert!((rest.beyond - 4.0).abs() < 1e-9);
    assert!((rest.s - 0.5 - 4.0 / rest.deviation).abs() < 1e-9);
}

/// She was a deviation or more nearer than usual: her past does not explain where she comes out.
#[test]
fn a_return_from_far_in_is_not_predicted_to_a_metre() {
    let still = judged(4.0, Some(0.0), 0.0, 1.0);
    let far_in = judged(4.0, Some(-20.0), 0.0, 1.0);
    let farther_in = judged(4.0, Some(-40.0), 0.0, 1.0);
    let unknown = judged(4.0, None, 0.0, 1.0);
    assert!(still.deviation < far_in.deviation - 0.2);
    assert!((far_in.deviation - farther_in.deviation).abs() < 1e-9);
    assert!((far_in.deviation - unknown.deviation).abs() < 1e-9);
    let near = judged(4.0, Some(-0.5), 0.0, 1.0);
    assert!(still.deviation < near.deviation && near.deviation < far_in.deviation);
}

#[test]
fn more_doubt_and_a_worse_receiver_say_less() {
    let sure = judged(6.0, Some(0.0), 0.0, 1.0);
    let doubted = judged(6.0, Some(0.0), 9.0, 1.0);
    assert!((doubted.deviation.powi(2) - sure.deviation.powi(2) - 9.0).abs() < 1e-9);
    let worse = judged(6.0, Some(0.0), 0.0, 2.0);
    assert!((worse.deviation - 2.0 * sure.deviation).abs() < 1e-9);
    assert!((judged(-6.0, Some(0.0), 0.0, 1.0).s - 0.5).abs() < 1e-9);
    // Without a past nothing is added.
    assert!(judged(-6.0, None, 0.0, 1.0).s.abs() < 1e-9);
}

/// The variance of a value when a correlated one is known, `yy - xy²/xx` (any textbook on the normal distribution),
/// plus the share for the number of independent looks.
#[test]
fn a_past_as_usual_leaves_the_conditional_variance() {
    for (index, age) in ages().iter().enumerate() {
        let level = Level::new(0, [0.0; 4], 2.0, 0.0, 5.0);
        let circumstances = Circumstances {
            looks: 0.0,
            worse: 1.0,
            doubt: 0.0,
        };
        let seen = Seen {
            late: mean(1.0),
            early: Some(mean(0.0)),
        };
        let moments = Moments::default();
        let verdict = age.judge(&seen, &moments, &level, &circumstances);
        let left = age.prior.yy - age.prior.xy * age.prior.xy / age.prior.xx;
        let independent = (2400.0 / age.seconds.max(60.0)).max(1.0);
        let wanted = left.max(LEAST_LEFT) * (1.0 + 1.0 / independent);
        let variance = verdict.deviation.powi(2);
        assert!(
            (variance - wanted).abs() < 1e-9,
            "{index}: {variance}, not {wanted}"
        );
    }
}

/// Slots are two seconds long. The late window has three tenths of the age, the early one half of it and at least a
/// minute, and it ends when the late one is that much older.
#[test]
fn the_windows_of_an_age_are_its_shares() {
    let windows = ages().map(|age| (age.late, age.early, age.apart));
    let wanted = [
        (1, 30, 3),
        (2, 30, 5),
        (3, 30, 10),
        (6, 30, 20),
        (12, 30, 40),
        (24, 40, 80),
        (48, 80, 160),
        (96, 160, 320),
        (192, 320, 640),
        (384, 640, 1280),
    ];
    assert_eq!(windows, wanted);
    for age in &ages()[2..] {
        let (late, early) = (0.3 * age.seconds, (0.5 * age.seconds).max(60.0));
        let wanted = prior(late, early, age.seconds);
        // A window is rounded to slots.
        let near = |a: f64, b: f64| (a - b).abs() < 0.03;
        assert!(near(age.prior.xx, wanted.xx), "{age:?}, not {wanted:?}");
        assert!(near(age.prior.xy, wanted.xy), "{age:?}, not {wanted:?}");
        assert!(near(age.prior.yy, wanted.yy), "{age:?}, not {wanted:?}");
    }
}

/// She moves out by a metre with each slot.
#[test]
fn each_age_compares_its_late_window_with_its_early_one() {
    let mut record = Record::about(Offset::ZERO);
    for metre in 0..200 {
        record.push(Slot {
            at: Offset {
                east: 0.0,
                north: f64::from(metre),
            },
            arm: 0.0,
            expected: [0.0; 5],
            calm: 0.0,
        });
    }
    // Twelve slots, and 30 that ended forty slots ago.
    let seen = ages()[4].look(&record, 10).unwrap();
    let middle = |last: f64, count: f64| last - (count - 1.0) / 2.0;
    assert!((seen.late.beyond[0] - middle(189.0, 12.0)).abs() < 1e-9);
    assert!((seen.early.unwrap().beyond[0] - middle(149.0, 30.0)).abs() < 1e-9);
    // Too long ago for the early window, and for the late one.
    assert!(ages()[4].look(&record, 135).unwrap().early.is_none());
    assert!(ages()[4].look(&record, 189).is_none());
}

fn learned_from(learned: &mut Learned, late: f64, early: Option<f64>, looks: f64) {
    let level = Level::new(0, [0.0; 4], 2.0, 0.0, 5.0);
    let seen = Seen {
        late: mean(late),
        early: early.map(mean),
    };
    learned.take(&ages(), &[Some(seen); AGES], &level, 0.5, looks);
}

/// With each look, half of what was learned before is forgotten here.
#[test]
fn the_moments_are_those_of_what_was_seen() {
    let mut learned = Learned::new();
    learned_from(&mut learned, 1.0, Some(-2.0), 1.0);
    learned_from(&mut learned, 3.0, Some(1.0), 1.5);
    learned_from(&mut learned, 9.0, None, 1.75);
    for moments in learned.moments {
        let of = (moments.xx, moments.xy, moments.yy);
        assert_eq!(of, (0.5 * 4.0 + 1.0, 0.5 * -2.0 + 3.0, 0.5 * 1.0 + 9.0));
    }
}

/// A figure far off counts as two and a half deviations of what is known so far, or as three of the prior, if that is
/// less. The prior is worth forty minutes of looks, which are ten seconds apart.
#[test]
fn a_creep_does_not_teach_its_own_size() {
    let age = ages()[5];
    let mut learned = Learned::new();
    learned_from(&mut learned, 50.0, Some(-50.0), 1.0);
    let wanted = |prior: f64| 6.25 * (240.0 * prior) / 241.0;
    let moments = learned.moments[5];
    assert!((moments.xx - wanted(age.prior.xx)).abs() < 1e-9);
    assert!((moments.yy - wanted(age.prior.yy)).abs() < 1e-9);
    let both = (wanted(age.prior.xx) * wanted(age.prior.yy)).sqrt();
    assert!((moments.xy + both).abs() < 1e-9, "{moments:?}");
    // After a night of that the prior's bound counts.
    learned.moments[5].xx = 1e5;
    learned.moments[5].yy = 1e5;
    learned_from(&mut learned, 50.0, Some(-50.0), 700.0);
    let moments = learned.moments[5];
    assert!((moments.xx - 5e4 - 9.0 * age.prior.xx).abs() < 1e-6);
    assert!((moments.yy - 5e4 - 9.0 * age.prior.yy).abs() < 1e-6);
}

/// What was learned counts beside the prior, by the number of looks.
#[test]
fn a_night_of_wide_swings_makes_the_verdict_less_certain() {
    let (age, level) = (ages()[5], Level::new(0, [0.0; 4], 2.0, 0.0, 5.0));
    let seen = Seen {
        late: mean(4.0),
        early: Some(mean(2.0)),
    };
    let learned = Moments {
        xx: 4000.0,
        xy: 2500.0,
        yy: 3000.0,
    };
    let circumstances = Circumstances {
        looks: 500.0,
        worse: 1.0,
        doubt: 0.0,
    };
    let verdict = age.judge(&seen, &learned, &level, &circumstances);
    let of = |prior: f64, learned: f64| (240.0 * prior + learned) / 740.0;
    let (xx, yy) = (of(age.prior.xx, 4000.0), of(age.prior.yy, 3000.0));
    let xy = of(age.prior.xy, 2500.0);
    assert!((verdict.beyond - (4.0 - xy / xx * 2.0)).abs() < 1e-9);
    // 740 looks of ten seconds hold that many windows of 160 s.
    let wanted = (yy - xy * xy / xx) * (1.0 + 160.0 / 7400.0);
    assert!((verdict.deviation.powi(2) - wanted).abs() < 1e-9);
    assert!((verdict.lasted - 48.0).abs() < 1e-9);
}

/// Two metres more for minutes say more than four for some seconds.
#[test]
fn the_strongest_age_counts() {
    let level = Level::new(0, [0.0; 4], 2.0, 0.0, 5.0);
    let circumstances = Circumstances {
        looks: 0.0,
        worse: 1.0,
        doubt: 0.0,
    };
    let mut seen = [None; AGES];
    let strongest = |seen: &[Option<Seen>; AGES]| {
        Learned::new().strongest(&ages(), seen, &level, &circumstances)
    };
    assert_eq!(strongest(&seen), None);
    for (age, late) in [(1, 4.0), (6, 4.0), (8, 2.0)] {
        seen[age] = Some(Seen {
            late: mean(late),
            early: Some(mean(0.0)),
        });
    }
    let most = strongest(&seen).unwrap();
    assert!((most.lasted - 96.0).abs() < 1e-9, "{most:?}");
}
