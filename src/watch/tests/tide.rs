//! Scope and depth under the keel at the coming turns of the tide.

use super::*;

#[test]
fn scope_and_keel_are_judged_at_the_turns_to_come() {
    let mut scene = Scene::anchored();
    let tide = |now: f64, high: f64, low: f64| {
        vec![
            Fact::TideNow(Metres::new(now)),
            Fact::TideHigh(Metres::new(high)),
            Fact::TideLow(Metres::new(low)),
        ]
    };
    scene.step();
    scene.report("tide.table", tide(1.0, 3.0, 0.5));
    scene.run(3);
    let picture = scene.keeper.picture(at(scene.second));
    // 40 m over 8.0 + 2.0 + 1.2 m.
    assert!((picture.scope_at_high_water.unwrap() - 40.0 / 11.2).abs() < 1e-6);
    // 8.0 - 0.5 - 1.9 m.
    assert!((picture.under_keel_at_low_water.unwrap().get() - 5.6).abs() < 1e-6);
    // The required scope is 4:1; 3.6:1 at high water is a caution.
    assert_eq!(
        scene.state(Hazard::ScopeShort),
        AlertState::ActiveAcknowledged
    );
    // The crew veers: the caution ends.
    scene.command(Command::RodeOut(Metres::of(50.0)));
    scene.run(12);
    assert_eq!(scene.state(Hazard::ScopeShort), AlertState::Normal);
    // A tide that is going to fall by six metres leaves 0.1 m under the keel.
    scene.step();
    scene.report("tide.table", tide(1.0, 2.0, -5.0));
    scene.run(3);
    assert_eq!(
        scene.state(Hazard::Shoaling),
        AlertState::ActiveUnacknowledged
    );
    let alert = scene
        .keeper
        .alerts()
        .into_iter()
        .find(|a| a.hazard == Hazard::Shoaling);
    assert_eq!(
        alert.unwrap().message,
        "shoaling: 0.1 m under the keel at low water where she has swung, minimum 0.5 m; check the tide table"
    );
}

#[test]
fn too_little_under_the_keel_now_is_an_alarm() {
    let mut scene = Scene::anchored();
    for _ in 0..60 {
        scene.step();
        scene.report(
            "second.sounder",
            vec![Fact::DepthBelowSurface(Metres::new(2.1))],
        );
    }
    let alert = scene.keeper.alerts().remove(0);
    assert_eq!(
        (alert.hazard, alert.priority),
        (Hazard::Shoaling, Priority::Alarm)
    );
    assert!(
        alert.message.starts_with("shoaling: 0.2 m under the keel"),
        "{}",
        alert.message
    );
}
