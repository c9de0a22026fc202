//! What is noted, told and listed besides the alerts.

use super::*;

#[test]
fn a_silenced_alert_is_noted_in_other_words_than_the_alert() {
    let mut scene = Scene::anchored();
    scene.lie(75.0);
    scene.run(120);
    assert!(scene.raised(Hazard::Dragging));
    let alert = scene.message(Hazard::Dragging);
    scene.heard.clear();
    assert!(matches!(
        scene.command(Command::Silence(Some(Hazard::Dragging))),
        Outcome::Done(_)
    ));
    let noted: Vec<&str> = scene
        .heard
        .iter()
        .filter_map(|output| match output {
            Output::Event(event) if event.event == EventKind::Note => Some(event.message.as_str()),
            _ => None,
        })
        .collect();
    assert!(
        noted
            .iter()
            .any(|note| note.contains(&alert) && *note != alert),
        "{noted:?}"
    );
}

/// Values arrive one after another when the server is back.
#[test]
fn a_link_that_comes_back_has_a_moment_to_bring_a_position() {
    let mut scene = Scene::anchored();
    let link = |scene: &mut Scene, state| {
        scene.keeper.handle(at(scene.second), Input::Link(state));
    };
    let wait = |scene: &mut Scene, seconds: u64| {
        for _ in 0..seconds {
            scene.second += 1;
            scene.keeper.handle_timeout(at(scene.second));
            scene.drain();
        }
    };
    link(&mut scene, LinkState::Down("connection refused".into()));
    wait(&mut scene, 30);
    assert!(!scene.raised(Hazard::Position) && !scene.raised(Hazard::DataLink));
    link(&mut scene, LinkState::Up);
    wait(&mut scene, 5);
    assert!(!scene.raised(Hazard::Position));
    scene.run(30);
    assert!(!scene.raised(Hazard::Position));
}
