//! A snubber or bridle in use.

use super::*;
use crate::watch::messages::SnubberOrder;

fn on(at: Option<f64>, length: Option<f64>) -> Command {
    Command::Snubber(Some(SnubberOrder {
        at: at.map(Metres::of),
        length: length.map(Metres::of),
    }))
}

fn reach(scene: &Scene) -> f64 {
    scene.keeper.picture(at(scene.second)).reach.unwrap().get()
}

/// 40 m let go in 8 m of water, with the roller 1.2 m up. Hooked on there, with 8 m of snubber: 40 m stretched by
/// 2 % and 8 m stretched by a sixth are 50.13 m, over 9.2 m.
#[test]
fn she_lies_to_the_rode_up_to_the_hook_and_to_the_snubber() {
    let mut scene = Scene::anchored();
    let before = reach(&scene);
    assert!((before - (40.8_f64.powi(2) - 9.2_f64.powi(2)).sqrt()).abs() < 0.01);
    let Outcome::Done(said) = scene.command(on(None, Some(8.0))) else {
        panic!("refused");
    };
    assert_eq!(
        said,
        "snubber on at 40 m of rode, 8.0 m long: she lies to 48 m, scope 5.2:1; have 48 m of rode out at least, or the chain bears and not the snubber"
    );
    scene.run(2);
    let drawn = 40.8 + 8.0 * (1.0 + 0.25 / 1.5);
    let wanted = (drawn * drawn - 9.2_f64 * 9.2).sqrt();
    assert!((reach(&scene) - wanted).abs() < 0.01, "{}", reach(&scene));
    let picture = scene.keeper.picture(at(scene.second));
    let snubber = picture.snubber.unwrap();
    assert_eq!(
        (snubber.at, snubber.length),
        (Metres::of(40.0), Metres::of(8.0))
    );
    assert!((picture.scope.unwrap() - 48.0 / 9.2).abs() < 1e-6);
    // When she is blown back onto the snubber, that is not a drag.
    for metre in 0..80_u32 {
        scene.lie(30.0 + f64::from(metre) / 4.5);
        scene.step();
    }
    scene.run(120);
    assert!(!scene.raised(Hazard::Dragging) && !scene.raised(Hazard::SwingExceeded));
    // The snubber survives a restart, and ends with the order.
    let saved = scene.keeper.saved();
    let mut after = Scene::resumed(scene.second + 5, saved, None);
    after.lie(47.0);
    after.run(20);
    assert!((reach(&after) - wanted).abs() < 0.01);
    let Outcome::Done(said) = after.command(Command::Snubber(None)) else {
        panic!("refused");
    };
    assert_eq!(said, "snubber off: she lies to 40 m of rode");
    after.run(2);
    assert!((reach(&after) - before).abs() < 0.01);
}

#[test]
fn missing_or_impossible_values_are_refused() {
    let mut scene = Scene::new();
    scene.run(20);
    let why = refusal(scene.command(on(Some(40.0), Some(8.0))));
    assert_eq!(why, "not at anchor: `letGo` comes first");
    scene.command(Command::LetGo(LetGo::default()));
    for (order, wanted) in [
        (
            on(None, Some(8.0)),
            "the rode from the anchor to the hook is not known; give it as `at`",
        ),
        (
            on(Some(40.0), None),
            "the length of the snubber is not known; give it as `length`, or for good as `tackle.snubber_length`",
        ),
        (
            on(Some(40.0), Some(80.0)),
            "`length` = 80.0 m is out of range; give 0.5 m to 50 m",
        ),
        (
            on(Some(4.0), Some(4.0)),
            "`at` + `length` = 8.0 m does not reach the bottom: 8.0 m of water and the bow roller 1.2 m up; veer more",
        ),
    ] {
        assert_eq!(refusal(scene.command(order)), wanted);
    }
    scene.command(Command::RodeOut(Metres::of(40.0)));
    let why = refusal(scene.command(on(Some(45.0), Some(8.0))));
    assert_eq!(
        why,
        "`at` = 45 m is more than the 40 m of rode that is out; enter the rode first"
    );
    let mut moored = Scene::new();
    moored.run(20);
    moored.command(Command::LetGo(LetGo {
        kind: MooringKind::Mooring,
        radius: Metres::new(15.0),
        ..LetGo::default()
    }));
    let why = refusal(moored.command(on(Some(5.0), Some(8.0))));
    assert!(
        why.contains("`snubber` has no meaning with `kind` = `mooring`"),
        "{why}"
    );
}

#[test]
fn the_same_snubber_again_is_no_news() {
    let mut scene = Scene::anchored();
    let mut notes = |length: f64| {
        scene.command(on(None, Some(length)));
        scene.notes().len()
    };
    let before = notes(8.0);
    assert_eq!(notes(8.0), before);
    assert_eq!(notes(10.0), before + 1);
}

/// Taken off, she lies beyond the shorter reach until she is hauled in, so the time for which she must lie quietly begins
/// again. The same snubber again changes nothing.
#[test]
fn taking_the_snubber_off_begins_the_judgement_again() {
    for (again, phase) in [
        (Command::Snubber(None), AnchorPhase::Setting),
        (on(None, Some(8.0)), AnchorPhase::Set),
    ] {
        let mut scene = Scene::new();
        scene.run(20);
        scene.let_go(40.0);
        scene.command(on(None, Some(8.0)));
        for metre in 0..300_u32 {
            scene.lie(f64::from(metre) / 10.0);
            scene.step();
        }
        scene.run(400);
        assert_eq!(scene.phase(), AnchorPhase::Setting);
        scene.command(again);
        scene.run(150);
        assert_eq!(scene.phase(), phase);
    }
}
