//! What is noted besides the alerts.

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

#[test]
fn an_alert_that_ends_before_it_is_acknowledged_says_so() {
    let mut scene = Scene::anchored();
    scene.seen = false;
    scene.run(120);
    scene.seen = true;
    scene.run(60);
    let ended: Vec<&str> = scene
        .heard
        .iter()
        .filter_map(|output| match output {
            Output::Event(event) if event.event == EventKind::Cleared => {
                Some(event.message.as_str())
            }
            _ => None,
        })
        .collect();
    assert!(!ended.is_empty());
    let says = |said: &&str| said.starts_with("cleared, not acknowledged: ");
    assert!(ended.iter().all(says), "{ended:?}");
}

/// Four rounds a second, in which nothing is reported.
#[test]
fn the_state_is_published_once_a_second() {
    let mut scene = Scene::new();
    scene.run(10);
    scene.heard.clear();
    for quarter in 1..=40 {
        let now = at(scene.second).plus(Duration::from_millis(250 * quarter));
        scene.keeper.handle_timeout(now);
        scene.drain();
    }
    let published = |output: &&Output| matches!(output, Output::Publish(_));
    let count = scene.heard.iter().filter(published).count();
    assert!((10..=13).contains(&count), "{count}");
}
