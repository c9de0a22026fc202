//! The figures that are published besides the verdict.

use super::*;

/// Quiet hours at 35 m, with her rode able to take her to 39 m.
#[test]
fn where_she_usually_lies_is_known_after_quiet_hours() {
    let world = World {
        noise: 0.3,
        ..World::default()
    };
    let lies = |second| out(35.0, 30.0 * (second as f64 / 60.0).sin());
    let soon = world.run(60, lies, nothing, false);
    let later = world.run(2 * 3600, lies, nothing, false);
    assert_ne!(soon.drag.usually_lies(), later.drag.usually_lies());
    let usually = later.drag.usually_lies().unwrap().get();
    assert!((34.0..38.0).contains(&usually), "{usually}");
}

/// A quiet result counts as it is; one beyond the quiet bound is raised to what has lasted, in the ratio of the two
/// thresholds.
#[test]
fn what_has_lasted_raises_the_probability() {
    let mut drag = DragTest::new(&WatchSettings::default());
    let now = Tick::START;
    drag.z = 1.2;
    drag.lasting = LASTING_Z;
    let lasting = drag.evidence(now).probability;
    assert!((lasting - QUIET_BOUND.probability(SURE_Z)).abs() < 1e-9);
    drag.lasting = 0.0;
    let momentary = drag.evidence(now).probability;
    assert!((momentary - QUIET_BOUND.probability(1.2)).abs() < 1e-9);
    drag.z = 0.9;
    drag.lasting = LASTING_Z;
    let quiet = drag.evidence(now).probability;
    assert!((quiet - QUIET_BOUND.probability(0.9)).abs() < 1e-9);
    assert!(quiet < momentary && momentary < lasting);
}

/// A snubber stretches by 1.5 m in a gale, and the antenna is known to 4 m: she may lie that much farther out.
#[test]
fn a_gale_and_an_unknown_antenna_let_her_lie_farther_out() {
    let mut drag = DragTest::new(&WatchSettings::default());
    let world = World {
        wind: Some(30.0),
        ..World::default()
    };
    for second in 0..10 {
        let seen = Sighting {
            lever_doubt: Metres::of(4.0),
            ..world.sighting(out(30.0, 0.0), Offset::ZERO)
        };
        drag.take(Tick::from_secs(second), &world.mark(), None, &seen);
    }
    let bit = *drag.chart.unwrap().bits.back().unwrap();
    assert!((bit.bound - (REACH + 4.0 + 1.5)).abs() < 1e-9, "{bit:?}");
}

/// A result that lasts is followed within twenty minutes: a minute has a share of a twentieth.
#[test]
fn what_lasts_is_followed_within_twenty_minutes() {
    let world = World::default();
    let mut drag = world
        .run(600, |_| out(REACH + 4.0, 0.0), nothing, false)
        .drag;
    let (begun, before) = (drag.judged, 0.5);
    drag.lasting = before;
    drag.judge(begun + Duration::from_secs(30), drag.track.sigma(), 0.0);
    let wanted = before + 30.0 / 1200.0 * (drag.z.min(SURE_Z) - before);
    assert!(
        (drag.lasting - wanted).abs() < 1e-9,
        "{} at {}",
        drag.lasting,
        drag.z
    );
    // A gap counts as a minute at most.
    drag.lasting = before;
    drag.judge(begun + Duration::from_secs(150), drag.track.sigma(), 0.0);
    let wanted = before + 0.05 * (drag.z.min(SURE_Z) - before);
    assert!(
        (drag.lasting - wanted).abs() < 1e-9,
        "{} at {}",
        drag.lasting,
        drag.z
    );
}

/// What was found before a restart includes how the receiver wandered.
#[test]
fn after_a_restart_the_noise_is_as_it_was_found() {
    let world = World::default();
    let sigma_with = |noise: f64| {
        let found = Found {
            position: world.origin,
            doubt: Metres::of(1.0),
            noise: Metres::of(noise),
        };
        let mut drag = DragTest::new(&WatchSettings::default());
        let seen = world.sighting(out(30.0, 0.0), Offset::ZERO);
        drag.take(Tick::START, &world.mark(), Some(&found), &seen);
        drag.track.sigma()
    };
    assert!((sigma_with(2.0) / sigma_with(0.5) - 4.0).abs() < 1e-9);
}

/// A boat that lay at her reach for ten minutes, with all her bounds closer by so much that the result is just beyond
/// this.
fn just_beyond(z: f64) -> DragTest {
    let drag = World::default()
        .run(600, |_| out(REACH, 0.0), nothing, false)
        .drag;
    let now = drag.judged + Duration::from_secs(1);
    // The closer the bound, the greater the result.
    let mut all = (0..400).map(|step| {
        let mut drag = drag.clone();
        for bit in &mut drag.chart.as_mut().unwrap().bits {
            bit.bound -= f64::from(step) * 0.05 * bit.fixes;
        }
        (drag.lasting, drag.dragging, drag.above_since) = (0.0, false, None);
        drag.judge(now, drag.track.sigma(), 0.0);
        drag
    });
    all.find(|it| it.z >= z).unwrap()
}

/// A result just beyond the threshold counts as a drag only once it has lasted. It starts again when the result has
/// fallen to half of the threshold.
#[test]
fn a_result_just_beyond_the_threshold_must_last() {
    let mut at_first = just_beyond(SURE_Z);
    let now = at_first.judged;
    assert!(at_first.z < SURE_Z + 0.2, "{}", at_first.z);
    assert!(!at_first.dragging);
    // Overwhelming evidence need not last.
    assert!(just_beyond(SURE_Z + SURER_BY).dragging);
    at_first.lasting = 0.0;
    let later = now + Duration::from_secs(2);
    at_first.judge(later, at_first.track.sigma(), 0.0);
    assert!(at_first.z >= SURE_Z && at_first.dragging, "{}", at_first.z);
    for (share, stands) in [(0.3, false), (0.6, true)] {
        let mut less = just_beyond(share * SURE_Z);
        assert!(less.z < (share + 0.15) * SURE_Z, "{}", less.z);
        less.above_since = Some(now);
        less.judge(later, less.track.sigma(), 0.0);
        assert_eq!(less.above_since.is_some(), stands, "{}", less.z);
    }
}

/// Weaker evidence counts once its mean over twenty minutes is as great, and only while it is there.
#[test]
fn weak_evidence_that_has_lasted_is_a_drag_and_what_is_over_is_not() {
    let creeps = |z: f64, lasting: f64, least: f64| {
        let mut drag = just_beyond(z);
        assert!(drag.z < SURE_Z, "{}", drag.z);
        (drag.lasting, drag.least_margin) = (lasting, least);
        let now = drag.judged + Duration::from_secs(1);
        drag.judge(now, drag.track.sigma(), 0.0);
        drag.dragging
    };
    assert!(creeps(LASTING_Z, 2.5, 1.0));
    assert!(!creeps(LASTING_Z, 1.0, 1.0), "it has not lasted");
    assert!(!creeps(0.7 * LASTING_Z, 2.5, 1.0), "it is over");
    assert!(!creeps(LASTING_Z, 2.5, 50.0), "less than the margin");
}
/// The error of a mean over the time in which errors of minutes renew themselves is `2/e` of theirs (a Gauss-Markov
/// process averaged over τ); the error of hours is 0.8 of it; four fixes halve 0.4 m of white noise; 0.4 m are
/// unexplained.
#[test]
fn the_error_of_a_mean_is_the_sum_of_what_is_known_of_it() {
    let minutes = 1.5_f64;
    let wanted = minutes.powi(2) * (2.0 / std::f64::consts::E + 0.64) + 0.04 + 0.16 + 9.0;
    let found = sigma_of(minutes, 3.0, 150.0, 4.0);
    assert!((found - wanted.sqrt()).abs() < 1e-12, "{found}");
    // Over a moment nothing is averaged away, except of the white noise.
    let found = sigma_of(minutes, 0.0, 0.01, 1.0);
    assert!(
        (found - (2.25_f64 * 1.64 + 0.32).sqrt()).abs() < 1e-3,
        "{found}"
    );
}

/// The square of the margin grows as the square of the error that the receiver reports, here two and three times the
/// usual one: by three and by five shares.
#[test]
fn a_receiver_that_reports_a_greater_error_gets_a_wider_margin() {
    let square = |sigma: f64| {
        let world = World {
            sigma,
            ..World::default()
        };
        let seen = world.run(30, |_| out(30.0, 0.0), nothing, false);
        seen.last.margin.get().powi(2)
    };
    let usual = WatchSettings::default().accuracy.get();
    let [one, two, three] = [1.0, 2.0, 3.0].map(|times| square(times * usual));
    let ratio = (three - two) / (two - one);
    assert!(two > one && (ratio - 5.0 / 3.0).abs() < 1e-6, "{ratio}");
    // A smaller one is not believed.
    assert_eq!(square(0.5 * usual), one);
}

/// Without a velocity it cannot be judged any more how she usually lies.
#[test]
fn unusual_lying_that_cannot_be_judged_any_more_stands_only_if_it_was_a_drag() {
    let world = World {
        doppler: false,
        ..World::default()
    };
    for dragging in [false, true] {
        let mut drag = world.run(60, |_| out(30.0, 0.0), nothing, false).drag;
        drag.unusual = Some(Verdict {
            s: UNUSUAL,
            beyond: 20.0,
            deviation: 2.0,
            lasted: 0.0,
        });
        drag.dragging = dragging;
        let seen = world.sighting(out(30.0, 0.0), Offset::ZERO);
        drag.take(Tick::from_secs(60), &world.mark(), None, &seen);
        assert_eq!(drag.unusual.is_some(), dragging);
    }
}
