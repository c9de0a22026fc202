//! A power cut, a stop and a start.

use super::*;

#[test]
fn after_a_power_cut_the_watch_goes_on_and_says_since_when_it_was_blind() {
    let mut scene = Scene::anchored();
    scene.lie(80.0);
    scene.run(120);
    let saved = scene.keeper.saved();
    let mut after = Scene::resumed(
        scene.second + 300,
        saved.clone(),
        Some(at(scene.second).utc),
    );
    after.drain();
    let note = after.heard.iter().find_map(|output| match output {
        Output::Event(event) => Some(event.message.clone()),
        _ => None,
    });
    assert_eq!(
        note.unwrap(),
        format!(
            "the watch goes on after a restart (dragging): blind since {} UTC, for 5 min",
            at(scene.second).utc.clock()
        )
    );
    assert_eq!(after.keeper.saved().mark, saved.mark);
    assert_eq!(
        after.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    after.lie(80.0);
    after.run(60);
    assert_eq!(
        after.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    assert!(!after.raised(Hazard::Dragging), "it is no second alarm");
}

#[test]
fn stopping_and_starting_again_leaves_no_alert_about_itself() {
    let mut scene = Scene::anchored();
    scene.keeper.handle(at(scene.second), Input::Stopping);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let saved = scene.keeper.saved();
    let after = Scene::resumed(scene.second + 5, saved, Some(at(scene.second).utc));
    assert!(after.keeper.alerts().is_empty());
}

/// The gravity at the time of acknowledgement is saved too, so a drag that continued meanwhile sounds again.
#[test]
fn a_drag_that_continued_while_the_watch_was_down_sounds_again() {
    let mut scene = Scene::anchored();
    scene.lie(80.0);
    scene.run(120);
    scene.command(Command::Acknowledge(None));
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveAcknowledged
    );
    for (distance, wanted) in [
        (80.0, AlertState::ActiveAcknowledged),
        (140.0, AlertState::ActiveUnacknowledged),
    ] {
        let last_seen = Some(at(scene.second).utc);
        let mut after = Scene::resumed(scene.second + 30, scene.keeper.saved(), last_seen);
        after.lie(distance);
        after.run(60);
        assert_eq!(after.state(Hazard::Dragging), wanted, "{distance}");
    }
}

/// What was found out about the anchor is on disk after a quarter of an hour.
#[test]
fn what_was_found_out_about_the_anchor_is_kept_for_a_restart() {
    let mut scene = Scene::anchored();
    scene.sheer(900, 30.0, 30.0);
    let found = scene.keeper.saved().mark.unwrap().found.unwrap();
    assert!(found.position.distance_to(first()).get() < 10.0);
}
