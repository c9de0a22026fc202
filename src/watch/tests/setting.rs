//! When the anchor is taken to hold: the boat was seen all the time and did not move.

use super::*;

fn lain() -> Scene {
    let mut scene = Scene::new();
    scene.run(20);
    let _ = scene.let_go(60.0);
    scene.lie(20.0);
    scene
}

/// The receiver falls silent shortly before the settling time is over.
#[test]
fn a_boat_that_is_not_seen_is_not_set() {
    let mut scene = lain();
    scene.run(560);
    assert_eq!(scene.phase(), AnchorPhase::Setting);
    scene.seen = false;
    scene.run(58);
    assert_eq!(scene.phase(), AnchorPhase::Setting, "nobody saw her");
    scene.seen = true;
    scene.run(10);
    assert_eq!(scene.phase(), AnchorPhase::Setting, "58 s do not count");
    scene.run(60);
    assert_eq!(scene.phase(), AnchorPhase::Set);
}

/// Thirty-six metres in ten minutes, within the reach of her rode: not a drag yet, but the anchor does
/// not hold.
#[test]
fn a_boat_that_slides_back_is_not_set() {
    let mut scene = lain();
    for second in 0..700_u32 {
        scene.lie(5.0 + 0.06 * f64::from(second));
        scene.step();
    }
    assert_eq!(scene.phase(), AnchorPhase::Setting);
    let remarks = scene.keeper.picture(at(scene.second)).remarks;
    assert!(
        remarks[0].starts_with("not set yet: in the last 10 min she has moved"),
        "{remarks:?}"
    );
    // She stops, and some minutes later she has been still for long enough.
    scene.run(700);
    assert_eq!(scene.phase(), AnchorPhase::Set);
}

/// Sheering through sixty degrees moves her farther than that slide does, around an anchor that
/// holds.
#[test]
fn a_boat_that_sheers_is_set() {
    let mut scene = lain();
    scene.sheer(760, 32.0, 30.0);
    assert_eq!(scene.phase(), AnchorPhase::Set);
}
