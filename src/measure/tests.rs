use super::*;
use crate::alert::hazard::{Hazard, Priority};
use crate::measure::night::Raised;
use crate::measure::rivals::{Ladder, Limit, Noise, Oracle, Persistence};
use crate::measure::tally::{Why, tally};
use crate::rehearse::dice::{Dice, GaussMarkov, Purpose};

fn options(threads: usize) -> MeasureOptions {
    MeasureOptions {
        nights: 6,
        seed: 40,
        length: Duration::from_mins(40),
        threads: NonZeroUsize::new(threads).unwrap(),
        deal: Deal::default(),
    }
}

#[test]
fn the_figures_do_not_depend_on_the_number_of_threads() {
    let mut heard = Vec::new();
    let alone = measure(&options(1), |done| heard.push(done));
    assert_eq!(heard, [1, 2, 3, 4, 5, 6]);
    assert_eq!(alone, measure(&options(3), |_| ()));
    let other = MeasureOptions {
        seed: 50,
        ..options(2)
    };
    assert_ne!(alone.methods, measure(&other, |_| ()).methods);
}

#[test]
fn every_second_night_drags_and_in_the_others_the_anchor_lies_where_it_fell() {
    for trial in trials(&options(2), |_| ()) {
        assert_eq!(trial.plan.drag.is_some(), trial.plan.seed.is_multiple_of(2));
        assert!(trial.fixes > 1000);
        if trial.plan.drag.is_none() {
            assert!(trial.moved == 0.0 && trial.alarm.is_none());
        }
    }
}

#[test]
fn a_ladder_tells_when_each_level_was_first_passed() {
    let mut ladder = Ladder::new(0.5);
    ladder.take(3.0, None);
    for second in 0..100_u32 {
        let seconds = f64::from(second);
        ladder.take(seconds / 10.0, Some((seconds, seconds * 0.2)));
    }
    assert!(ladder.quiet == 3.0);
    assert_eq!(ladder.passed(4.0), Some((40.0, 8.0)));
    assert_eq!(ladder.passed(50.0), None);
}

#[test]
fn persistence_forgives_nine_seconds_and_not_ten() {
    let mut persistence = Persistence::default();
    let mut told = |beyond: usize| {
        (0..30).map(|_| persistence.take(-1.0)).for_each(drop);
        (0..beyond).any(|_| persistence.take(5.0) > 0.0)
    };
    assert!(!told(9));
    assert!(told(10));
}

/// The variance of a mean of a Gauss-Markov process, compared with the process itself.
#[test]
fn the_noise_of_a_mean_is_that_of_the_process() {
    let noise = Noise {
        minutes: (1.5, 150.0),
        hours: (0.0, 5000.0),
        white: 0.0,
    };
    let mut dice = Dice::new(3, Purpose::Story);
    let (second, tau) = (Duration::from_secs(1), Duration::from_secs(150));
    let mut process = GaussMarkov::new(1.5, tau, second, &mut dice);
    let means: Vec<f64> = (0..4000)
        .map(|_| (0..300).map(|_| process.step(&mut dice)).sum::<f64>() / 300.0)
        .collect();
    let deviation = (means.iter().map(|m| m * m).sum::<f64>() / 4000.0).sqrt();
    // 4000 means, not quite independent: known to about 2 %.
    assert!(
        (deviation / noise.of_mean(300.0) - 1.0).abs() < 0.06,
        "{deviation}"
    );
}

/// Under the noise it assumes, an oracle's number is a standard normal one: seldom beyond 5. A step
/// of ten deviations is beyond it within seconds.
#[test]
fn oracles_keep_quiet_in_their_noise_and_see_a_step() {
    let noise = Noise {
        minutes: (1.0, 150.0),
        hours: (1.0, 5000.0),
        white: 0.3,
    };
    let mut dice = Dice::new(9, Purpose::Story);
    let second = Duration::from_secs(1);
    let mut minutes = GaussMarkov::new(1.0, Duration::from_secs(150), second, &mut dice);
    let mut hours = GaussMarkov::new(1.0, Duration::from_secs(5000), second, &mut dice);
    let (mut oracle, mut limit) = (Oracle::new(&noise), Limit::new(&noise));
    let (mut quiet, mut told) = ((0.0_f64, 0.0_f64), (None, None));
    for n in 0..20_000_u32 {
        let error = minutes.step(&mut dice) + hours.step(&mut dice) + 0.3 * dice.normal();
        let shift = if n >= 19_900 { 15.0 } else { 0.0 };
        let numbers = (oracle.take(error + shift), limit.take(error + shift, 1));
        if n < 19_900 {
            quiet = (quiet.0.max(numbers.0), quiet.1.max(numbers.1));
        } else {
            if numbers.0 > 5.0 {
                told.0.get_or_insert(n - 19_900);
            }
            if numbers.1 > 7.0 {
                told.1.get_or_insert(n - 19_900);
            }
        }
    }
    assert!(quiet.0 < 5.0 && quiet.1 < 7.0, "{quiet:?}");
    assert!(
        told.0.is_some_and(|s| s < 5) && told.1.is_some_and(|s| s < 15),
        "{told:?}"
    );
}

fn drag_raised(priority: Priority) -> Raised {
    Raised {
        hazard: Hazard::Dragging,
        priority,
        at: 60.0,
    }
}

#[test]
fn rivals_are_tuned_to_as_many_false_alarms_as_the_watch_has() {
    let mut trials = trials(&options(2), |_| ());
    for (number, trial) in trials.iter_mut().enumerate() {
        trial.raised.clear();
        trial.rivals[0].quiet = number as f64;
    }
    let none = tally(1, 1.0, &trials);
    assert!((none.methods[1].threshold.unwrap() - 5.0).abs() < 1e-3);
    assert_eq!(none.methods[1].false_alarms, 0);
    for trial in trials.iter_mut().take(2) {
        trial.raised.push(drag_raised(Priority::Alarm));
    }
    // Cautions are no alarms.
    for trial in &mut trials {
        trial.raised.push(drag_raised(Priority::Caution));
    }
    let two = tally(1, 1.0, &trials);
    assert_eq!(two.cautions.nights, two.quiet_nights);
    assert_eq!((none.cautions.nights, two.raised[0].nights), (0, 2));
    assert_eq!(
        (two.methods[0].false_alarms, two.methods[1].false_alarms),
        (2, 2)
    );
    assert!((two.methods[1].threshold.unwrap() - 3.0).abs() < 1e-3);
    let wolf = two.look_at.iter().filter(|n| n.why == Why::FalseAlarm);
    let wolf: Vec<u64> = wolf.map(|night| night.seed).collect();
    assert_eq!(wolf, [40, 41]);
}

#[test]
fn missed_drags_and_late_ones_are_named_by_their_seeds() {
    let mut trials = trials(&options(2), |_| ());
    for trial in &mut trials {
        trial.raised.clear();
        trial.moved = 60.0;
        trial.alarm = Some((30.0, trial.plan.seed as f64 - 30.0));
    }
    trials[3].alarm = None;
    let report = tally(40, 1.0, &trials);
    let told: Vec<_> = report.look_at.iter().map(|n| (n.seed, n.why)).collect();
    let far = [45, 44, 42, 41, 40].map(|seed| (seed, Why::Far));
    assert_eq!(told[0], (43, Why::Missed));
    assert_eq!(told[1..], far);
}

#[test]
fn the_picture_has_a_curve_for_each_method() {
    let report = measure(&options(2), |_| ());
    let svg = picture::svg(&report);
    assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n"));
    for method in &report.methods {
        assert!(
            svg.contains(&format!(">{}: half by ", method.name)),
            "{svg}"
        );
    }
    assert!(resvg::usvg::Tree::from_str(&svg, &resvg::usvg::Options::default()).is_ok());
}

/// Each way of sorting takes every night once, and the sums over the classes equal the whole.
#[test]
fn the_classes_add_up_to_all_nights() {
    let report = measure(&options(2), |_| ());
    let ways: std::collections::BTreeSet<&str> =
        report.classes.iter().map(|class| class.by).collect();
    assert!(ways.len() >= 6, "{ways:?}");
    for way in ways {
        let classes = || report.classes.iter().filter(|class| class.by == way);
        assert_eq!(classes().map(|c| c.nights).sum::<usize>(), 6, "{way}");
        assert_eq!(classes().map(|c| c.drags).sum::<usize>(), report.drags);
        for (name, whole) in [("watch", 0), ("circle", 1), ("drawn", 3)] {
            let whole = &report.methods[whole];
            let false_alarms = classes()
                .flat_map(|class| &class.methods)
                .filter(|method| method.name == name)
                .map(|method| method.false_alarms);
            assert_eq!(whole.name, name);
            assert_eq!(false_alarms.sum::<usize>(), whole.false_alarms, "{way}");
        }
    }
}
