//! The token for the data server expires: a caution a fortnight ahead, which wakes nobody. The same for a server that
//! was found on the network.

use super::*;

const DAY_S: u64 = 86_400;

/// The message of the first alert, a caution about the watch itself.
fn caution(scene: &Scene) -> String {
    let alert = scene.keeper.alerts()[0].clone();
    assert_eq!(
        (alert.hazard, alert.priority),
        (Hazard::Watch, Priority::Caution)
    );
    alert.message
}

#[test]
fn a_token_that_expires_is_a_caution_a_fortnight_ahead_until_it_is_renewed() {
    let mut scene = Scene::anchored();
    let ends = |scene: &mut Scene, days: u64| {
        let at_end = at(scene.second + days * DAY_S).utc;
        let input = Input::TokenEnds(Some(at_end));
        scene.keeper.handle(at(scene.second), input);
        scene.drain();
    };
    ends(&mut scene, 15);
    assert!(!scene.raised(Hazard::Watch));
    ends(&mut scene, 14);
    is_caution(&scene, "our token for the server expires on 20");
    // It has expired.
    ends(&mut scene, 0);
    scene.run(60);
    let message = caution(&scene);
    assert!(
        message.contains("the server expired on") && message.contains("approve"),
        "{message}"
    );
    // The crew approves a new one.
    ends(&mut scene, 365);
    scene.run(12);
    assert_eq!(scene.state(Hazard::Watch), AlertState::Normal);
}

/// Nothing happens but the time that passes.
#[test]
fn the_day_comes_without_any_news() {
    let mut scene = Scene::anchored();
    let end = at(scene.second + 14 * DAY_S + 60).utc;
    let input = Input::TokenEnds(Some(end));
    scene.keeper.handle(at(scene.second), input);
    scene.run(30);
    assert!(!scene.raised(Hazard::Watch));
    scene.run(60);
    assert_eq!(scene.keeper.alerts()[0].hazard, Hazard::Watch);
}

/// In a harbour the only server on the network may be another boat's.
#[test]
fn a_server_that_was_found_at_first_is_a_caution_with_its_name_and_address() {
    let mut scene = Scene::anchored();
    let input = Input::FoundServer {
        name: "Tern".to_owned(),
        url: "ws://192.168.1.20:3000".to_owned(),
    };
    scene.keeper.handle(at(scene.second), input);
    scene.drain();
    scene.run(60);
    is_caution(
        &scene,
        "joined the server of `Tern` at `ws://192.168.1.20:3000`",
    );
}

/// The first alert is a caution of the watch that begins with these words.
fn is_caution(scene: &Scene, words: &str) {
    let message = caution(scene);
    assert!(message.starts_with(words), "{message}");
}
