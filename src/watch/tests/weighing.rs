//! The end of a watch, and a forgotten weighing.

use super::*;

#[test]
fn weighing_clears_the_alerts_about_the_anchor() {
    let mut scene = Scene::anchored();
    scene.lie(80.0);
    scene.run(120);
    assert!(scene.raised(Hazard::Dragging));
    let Outcome::Done(said) = scene.command(Command::Weigh) else {
        panic!("refused")
    };
    assert!(said.starts_with("anchor aweigh after"), "{said}");
    // The end of the watch is shown.
    let left: Vec<Hazard> = scene.keeper.alerts().iter().map(|it| it.hazard).collect();
    assert_eq!(left, [Hazard::Watch]);
    assert_eq!(scene.keeper.picture(at(scene.second)).anchor, None);
}

#[test]
fn leaving_without_weighing_raises_the_alarm_and_the_question() {
    let mut scene = Scene::anchored();
    scene.rpm = Some(1800.0);
    for second in 0..180_u32 {
        scene.lie(30.0 + f64::from(second));
        scene.step();
    }
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    let told = scene.message(Hazard::Dragging);
    assert!(
        told.ends_with("; under way? weigh to end the watch"),
        "{told}"
    );
    // Without the engine it is a drag, and there is no question.
    let mut drifting = Scene::anchored();
    drifting.lie(80.0);
    drifting.run(120);
    assert!(!drifting.message(Hazard::Dragging).contains("under way"));
}
