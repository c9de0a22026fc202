//! The wind: its strength, its shifts, and the effect of acknowledging them.

use super::*;

#[test]
fn a_rising_wind_is_a_warning_and_its_acknowledgement_stands_until_it_is_ten_knots_worse() {
    let mut scene = Scene::anchored();
    scene.wind_knots = 27.0;
    scene.run(1200);
    assert_eq!(
        scene.state(Hazard::WindStrength),
        AlertState::ActiveUnacknowledged
    );
    assert!(
        scene
            .message(Hazard::WindStrength)
            .starts_with("strong wind: mean 27 kn")
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindStrength)));
    scene.wind_knots = 31.0;
    scene.run(1200);
    assert_eq!(
        scene.state(Hazard::WindStrength),
        AlertState::ActiveAcknowledged
    );
    scene.wind_knots = 40.0;
    scene.run(1200);
    assert_eq!(
        scene.state(Hazard::WindStrength),
        AlertState::ActiveUnacknowledged
    );
    scene.command(Command::Acknowledge(None));
    scene.wind_knots = 12.0;
    scene.run(2400);
    assert_eq!(scene.state(Hazard::WindStrength), AlertState::Normal);
}

#[test]
fn an_acknowledged_shift_is_reported_again_when_the_wind_goes_on_or_back() {
    let mut scene = Scene::anchored();
    scene.run(600);
    let turn = |scene: &mut Scene, degrees: f64| {
        scene.wind_from = Bearing::from_degrees(degrees);
        scene.lie(30.0);
        scene.run(1500);
    };
    turn(&mut scene, 300.0);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveUnacknowledged
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindShift)));
    scene.run(1500);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveAcknowledged
    );
    assert_eq!(
        scene
            .keeper
            .saved()
            .manner
            .wind_seen
            .unwrap()
            .degrees()
            .round(),
        300.0
    );
    // Another 70°.
    turn(&mut scene, 370.0);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveUnacknowledged
    );
    assert!(
        scene.message(Hazard::WindShift).starts_with(
            "wind shift: veered 70° since it was acknowledged, veered 150° since the anchor was set"
        ),
        "{}",
        scene.message(Hazard::WindShift)
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindShift)));
    // And back to its direction when the anchor was set.
    turn(&mut scene, 220.0);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveUnacknowledged
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindShift)));
    scene.run(600);
    assert_eq!(scene.state(Hazard::WindShift), AlertState::Normal);
}

/// A vane that falls silent does not count as the wind turning back.
#[test]
fn a_shift_stands_when_the_vane_falls_silent() {
    let mut scene = Scene::anchored();
    scene.run(600);
    scene.wind_from = Bearing::from_degrees(300.0);
    scene.lie(30.0);
    scene.run(1500);
    let told = scene.message(Hazard::WindShift);
    assert!(told.starts_with("wind shift"), "{told}");
    scene.vane = false;
    scene.run(3600);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveUnacknowledged
    );
}
