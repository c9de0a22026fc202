//! Nobody ashore can be reached: reported aboard.

use super::*;
use crate::speech::faults::JournalFault;

#[test]
fn a_dead_phone_channel_is_reported_aboard_once_and_ends_when_it_works() {
    let phones = |scene: &mut Scene, phones: Phones| {
        scene.keeper.handle(at(scene.second), Input::Phones(phones));
        scene.drain();
    };
    let names = || "skipper, mate".to_owned();
    let mut scene = Scene::anchored();
    // A link that comes and goes wakes nobody.
    phones(&mut scene, Phones::Doubtful(names()));
    phones(&mut scene, Phones::Working);
    assert!(!scene.raised(Hazard::Watch));
    phones(&mut scene, Phones::Lost(names()));
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let alert = &scene.keeper.alerts()[0];
    assert_eq!(alert.priority, Priority::Warning);
    assert_eq!(
        alert.message,
        "the watch is impaired: no phone channel works (skipper, mate): nobody ashore will be alerted; check the boat's internet link"
    );
    let acknowledged = scene.command(Command::Acknowledge(Some(Hazard::Watch)));
    assert!(matches!(acknowledged, Outcome::Done(_)));
    scene.run(3600);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveAcknowledged);
    // A full disk as well makes it another situation.
    let full = Input::Impaired(Some(JournalFault::DiskFull));
    scene.keeper.handle(at(scene.second), full);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let said = &scene.keeper.alerts()[0].message;
    assert!(
        said.contains(
            "disk full: the journal cannot be written; free some space; no phone channel works"
        ),
        "{said}"
    );
    scene.keeper.handle(at(scene.second), Input::Impaired(None));
    phones(&mut scene, Phones::Working);
    scene.run(12);
    assert_eq!(
        scene.state(Hazard::Watch),
        AlertState::RectifiedUnacknowledged
    );
}
