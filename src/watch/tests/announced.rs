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
