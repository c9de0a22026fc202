//! Scope that is short for a strong wind, and what remains known about it when the wind is lost.

use super::*;

/// 40 m of rode in 8 m of water and 1.2 m of bow: 4.3:1, which is enough for a moderate wind.
fn short_in_a_gale() -> Scene {
    let mut scene = Scene::anchored();
    scene.wind_knots = 40.0;
    scene.run(400);
    assert_eq!(
        scene.state(Hazard::ScopeShort),
        AlertState::ActiveUnacknowledged,
        "{}",
        scene.message(Hazard::ScopeShort)
    );
    scene
}

impl Scene {
    /// A second in which everything but the wind is heard.
    fn step_without_wind(&mut self) {
        self.second += 1;
        let aft = Offset::polar(self.heading.reversed(), Metres::of(9.1));
        let hair = Offset {
            east: 0.001 * (self.second % 7) as f64,
            north: 0.0,
        };
        let antenna = Plane::at(first()).position(self.roller + aft + hair);
        let facts = vec![
            Fact::HeadingTrue(Some(self.heading)),
            Fact::DepthBelowKeel(Some(Metres::of(6.1))),
            Fact::Position(Some(antenna)),
        ];
        self.report("boat.1", facts);
        self.keeper.handle_timeout(at(self.second));
        self.drain();
    }
}

#[test]
fn losing_the_wind_acknowledges_nothing() {
    let mut scene = short_in_a_gale();
    for _ in 0..1200 {
        scene.step_without_wind();
    }
    let alerts = scene.keeper.alerts();
    let short = alerts
        .iter()
        .find(|alert| alert.hazard == Hazard::ScopeShort);
    let short = short.unwrap();
    // For five minutes nobody reacted.
    assert_eq!(short.priority, Priority::Alarm);
    assert_eq!(short.state, AlertState::ActiveUnacknowledged);
    assert!(
        short
            .message
            .contains("in the strong wind that was last heard"),
        "{}",
        short.message
    );
}

#[test]
fn a_restart_acknowledges_nothing_before_the_wind_is_known_again() {
    let scene = short_in_a_gale();
    let mut after = Scene::resumed(scene.second + 5, scene.keeper.saved(), None);
    after.roller = scene.roller;
    for _ in 0..120 {
        after.step_without_wind();
        assert_eq!(
            after.state(Hazard::ScopeShort),
            AlertState::ActiveUnacknowledged
        );
    }
    // The wind has dropped.
    after.wind_knots = 8.0;
    after.run(600);
    assert!(!after.state(Hazard::ScopeShort).sounds());
}

/// A restored state is not known to be bad before the first fix.
#[test]
fn a_drag_acknowledged_right_after_a_restart_does_not_sound_again_at_the_first_fix() {
    let mut scene = Scene::anchored();
    scene.lie(80.0);
    scene.run(120);
    let mut after = Scene::resumed(scene.second + 5, scene.keeper.saved(), None);
    assert_eq!(
        after.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    after.command(Command::Acknowledge(Some(Hazard::Dragging)));
    after.lie(80.0);
    for _ in 0..120 {
        after.step();
        assert_eq!(
            after.state(Hazard::Dragging),
            AlertState::ActiveAcknowledged
        );
    }
}

/// 25 m of rode in 8 m of water and 1.2 m of bow: 2.7:1, and there should be 4:1.
#[test]
fn without_a_wind_instrument_a_short_scope_is_reported() {
    let mut scene = Scene::new();
    scene.vane = false;
    scene.run(20);
    scene.let_go(25.0);
    scene.lie(18.0);
    scene.run(900);
    assert_eq!(scene.phase(), AnchorPhase::Set);
    let alerts = scene.keeper.alerts();
    let short = alerts.iter().find(|it| it.hazard == Hazard::ScopeShort);
    assert_eq!(short.map(|it| it.priority), Some(Priority::Caution));
}
