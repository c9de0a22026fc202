//! The pull test, started automatically and by order.

use super::*;
use crate::watch::pull::PullVerdict;

#[test]
fn digging_in_under_a_known_load_begins_and_ends_the_pull_test_by_itself() {
    let mut scene = Scene::new();
    scene.rpm = Some(800.0);
    scene.run(20);
    scene.let_go(40.0);
    for metre in 0..250_u32 {
        scene.lie(f64::from(metre) / 10.0);
        scene.step();
    }
    assert_eq!(scene.keeper.picture(at(scene.second)).pull_test, None);
    // Two thousand revolutions: nine metres of chain are drawn straight within the first half
    // minute.
    scene.rpm = Some(2000.0);
    for second in 0..100_u32 {
        scene.lie(25.0 + 9.0 * (1.0 - (-f64::from(second) / 10.0).exp()));
        scene.step();
    }
    let reading = scene.keeper.picture(at(scene.second)).pull_test.unwrap();
    assert_eq!(reading.verdict, PullVerdict::Held, "{reading:?}");
    assert!(reading.running && reading.held > 90.0);
    scene.rpm = Some(800.0);
    scene.run(5);
    let reading = scene.keeper.picture(at(scene.second)).pull_test.unwrap();
    assert!(!reading.running && reading.verdict == PullVerdict::Held);
    let told: Vec<_> = scene
        .notes()
        .into_iter()
        .filter(|note| note.starts_with("pull test: held"))
        .collect();
    assert_eq!(told.len(), 1, "{told:?}");
    // The result belonged to that anchor: weighing discards it.
    scene.command(Command::Weigh);
    assert_eq!(scene.keeper.picture(at(scene.second)).pull_test, None);
}

#[test]
fn a_pull_test_by_order_needs_an_anchor_and_an_end() {
    let mut scene = Scene::new();
    scene.run(5);
    assert_eq!(
        refusal(scene.command(Command::PullTest(true))),
        "not at anchor: `letGo` comes first"
    );
    let mut scene = Scene::anchored();
    assert_eq!(
        refusal(scene.command(Command::PullTest(false))),
        "no pull test is running; `pullTest` = `true` starts one"
    );
    assert!(matches!(
        scene.command(Command::PullTest(true)),
        Outcome::Done(_)
    ));
    // She creeps astern at a quarter of a metre a second.
    for second in 0..90_u32 {
        scene.lie(30.0 + 0.25 * f64::from(second));
        scene.step();
    }
    let Outcome::Done(said) = scene.command(Command::PullTest(false)) else {
        panic!("refused")
    };
    assert!(
        said.starts_with("pull test: dragging under power: she moved"),
        "{said}"
    );
    assert!(
        said.ends_with("veer more rode and try again, or weigh"),
        "{said}"
    );
}
