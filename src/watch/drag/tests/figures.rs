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

/// A result just beyond the threshold counts as a drag only once it has lasted. It starts again when the result has
/// fallen to half of the threshold.
#[test]
fn a_result_just_beyond_the_threshold_must_last() {
    let world = World::default();
    let mut drag = world.run(600, |_| out(REACH, 0.0), nothing, false).drag;
    let now = drag.judged + Duration::from_secs(1);
    let chart = drag.chart.as_mut().unwrap();
    let bits = std::mem::take(&mut chart.bits);
    // The closer the bound, the greater the result.
    let judged = |closer: f64, drag: &DragTest| {
        let mut drag = drag.clone();
        let chart = drag.chart.as_mut().unwrap();
        chart.bits = bits.clone();
        for bit in &mut chart.bits {
            bit.bound -= closer * bit.fixes;
        }
        (drag.lasting, drag.dragging, drag.above_since) = (0.0, false, None);
        drag.judge(now, drag.track.sigma(), 0.0);
        drag
    };
    let reaches = |z: f64| {
        let mut all = (0..400).map(|step| judged(f64::from(step) * 0.05, &drag));
        all.find(|it| it.z >= z).unwrap()
    };
    let mut at_first = reaches(SURE_Z);
    assert!(at_first.z < SURE_Z + 0.2, "{}", at_first.z);
    assert!(!at_first.dragging);
    at_first.lasting = 0.0;
    let later = now + Duration::from_secs(2);
    at_first.judge(later, at_first.track.sigma(), 0.0);
    assert!(at_first.z >= SURE_Z && at_first.dragging, "{}", at_first.z);
    for (share, stands) in [(0.3, false), (0.6, true)] {
        let mut less = reaches(share * SURE_Z);
        assert!(less.z < (share + 0.15) * SURE_Z, "{}", less.z);
        less.above_since = Some(now);
        less.judge(later, less.track.sigma(), 0.0);
        assert_eq!(less.above_since.is_some(), stands, "{}", less.z);
    }
}
