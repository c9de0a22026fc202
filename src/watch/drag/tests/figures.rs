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
