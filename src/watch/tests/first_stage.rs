//! The first stage of a drag: a caution that is shown and does not sound, before the alarm.

use super::*;
use crate::watch::messages::Event;

fn told(scene: &Scene) -> Vec<&Event> {
    let of_drag = |output: &'_ Output| match output {
        Output::Event(event) => event.hazard == Some(Hazard::Dragging),
        _ => false,
    };
    let events = scene.heard.iter().filter(|output| of_drag(output));
    events
        .filter_map(|output| match output {
            Output::Event(event) => Some(event),
            _ => None,
        })
        .collect()
}

/// Drags slowly until the caution stands, or the alarm if no caution came.
fn drag_until_told(scene: &mut Scene) -> f64 {
    for step in 0..2400_u32 {
        let distance = 30.0 + 0.01 * f64::from(step);
        scene.lie(distance);
        scene.step();
        if scene.state(Hazard::Dragging).is_active() {
            return distance;
        }
    }
    panic!("she drags and nothing is told");
}

#[test]
fn a_caution_comes_first_sounds_nothing_and_leaves_the_phase() {
    let mut scene = Scene::anchored();
    scene.run(3 * 3600);
    let caution = drag_until_told(&mut scene);
    assert!(!scene.raised(Hazard::Dragging));
    assert_eq!(scene.phase(), AnchorPhase::Set);
    // An alert that needs no acknowledgement neither sounds nor is repeated, and does not ring a
    // phone.
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveAcknowledged
    );
    let message = scene.message(Hazard::Dragging);
    assert!(message.contains("may be dragging"), "{message}");
    // She drags further: the alarm is an event with its own time, and says that it is graver.
    for step in 0..1200_u32 {
        scene.lie(caution + 0.02 * f64::from(step));
        scene.step();
        if scene.raised(Hazard::Dragging) {
            break;
        }
    }
    assert_eq!(scene.phase(), AnchorPhase::Dragging);
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    let events = told(&scene);
    let [first, .., last] = events[..] else {
        panic!("{events:?}")
    };
    assert_eq!(first.priority, Some(Priority::Caution));
    assert_eq!(
        (last.event, last.priority),
        (EventKind::Raised, Some(Priority::Alarm))
    );
    assert!(last.time > first.time);
    assert_eq!(last.evidence["reason"], "it is graver than before");
}

/// If the probability falls again, the caution ends by itself, once, and no alarm is reported.
#[test]
fn a_caution_goes_by_itself_and_does_not_flicker() {
    let mut scene = Scene::anchored();
    scene.run(3 * 3600);
    drag_until_told(&mut scene);
    scene.lie(30.0);
    scene.run(900);
    assert_eq!(scene.state(Hazard::Dragging), AlertState::Normal);
    let kinds: Vec<_> = told(&scene).iter().map(|event| event.event).collect();
    assert_eq!(kinds, [EventKind::Raised, EventKind::Cleared]);
}
