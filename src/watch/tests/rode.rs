//! The rode: from the windlass' counter and as the crew entered it.

use super::*;

#[test]
fn a_windlass_counter_takes_precedence_over_the_rode_entered() {
    let mut scene = Scene::anchored();
    scene.step();
    scene.report("windlass.1", vec![Fact::RodeCounter(Metres::new(45.0))]);
    scene.run(2);
    let picture = scene.keeper.picture(at(scene.second));
    assert_eq!(picture.rode_out, Some(Metres::of(45.0)));
    assert!(
        picture
            .remarks
            .iter()
            .any(|r| r.starts_with("rode out by the chain counter: 45 m"))
    );
    // Heaving in: she still lies where she lay, and that is no drag.
    for rode in (10..45_u32).rev() {
        scene.step();
        scene.report(
            "windlass.1",
            vec![Fact::RodeCounter(Metres::new(f64::from(rode)))],
        );
    }
    scene.run(120);
    assert!(!scene.raised(Hazard::Dragging));
}

#[test]
fn entering_the_same_rode_again_and_again_does_not_blind_the_watch() {
    let mut scene = Scene::anchored();
    for second in 0..600_u32 {
        scene.lie(30.0 + 0.2 * f64::from(second));
        scene.step();
        if second % 10 == 0 {
            scene.command(Command::RodeOut(Metres::of(40.0)));
            scene.command(Command::CorrectMark(first()));
        }
    }
    assert!(scene.raised(Hazard::Dragging));
}

#[test]
fn a_counter_that_was_not_reset_or_falls_silent_raises_no_drag() {
    let mut scene = Scene::anchored();
    scene.step();
    scene.report("windlass.1", vec![Fact::RodeCounter(Some(Metres::ZERO))]);
    scene.run(120);
    assert_eq!(
        scene.keeper.picture(at(scene.second)).rode_out,
        Some(Metres::of(40.0))
    );
    // Veered to 60 m by the windlass, whose breaker is then switched off.
    scene.step();
    scene.report("windlass.1", vec![Fact::RodeCounter(Metres::new(60.0))]);
    for metre in 0..250_u32 {
        scene.lie(30.0 + f64::from(metre) / 10.0);
        scene.step();
    }
    scene.run(1800);
    assert!(!scene.raised(Hazard::Dragging));
    assert_eq!(
        scene.keeper.saved().mark.unwrap().rode,
        Some(Metres::of(60.0))
    );
}
