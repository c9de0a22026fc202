//! The watch is impaired, and somebody has acknowledged it: changed figures wake nobody, another
//! cause does.

use super::*;
use crate::units::Volts;

fn raises(scene: &Scene) -> usize {
    let raised = (EventKind::Raised, Some(Hazard::Watch));
    scene.events().iter().filter(|one| **one == raised).count()
}

fn acknowledge(scene: &mut Scene) {
    let outcome = scene.command(Command::Acknowledge(Some(Hazard::Watch)));
    assert!(matches!(outcome, Outcome::Done(_)), "{outcome:?}");
}

#[test]
fn a_low_battery_whose_voltage_is_never_the_same_is_acknowledged_once() {
    let mut scene = Scene::anchored();
    let mut acknowledged = 0;
    for second in 0..180_u32 {
        let ripple = 0.06 * f64::from(second).sin();
        scene.report(
            "bank.1",
            vec![Fact::HouseVoltage(Volts::new(11.55 + ripple))],
        );
        scene.step();
        if scene.state(Hazard::Watch) == AlertState::ActiveUnacknowledged {
            acknowledge(&mut scene);
            acknowledged += 1;
        }
    }
    assert_eq!((acknowledged, raises(&scene)), (1, 1));
    // That no phone can be reached either is a new cause.
    let lost = Input::Phones(Phones::Lost("skipper".to_owned()));
    scene.keeper.handle(at(scene.second), lost);
    scene.drain();
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let told = scene.message(Hazard::Watch);
    assert!(told.contains("no phone channel works (skipper)"), "{told}");
}

/// The time since the clock was set is reported again and again.
#[test]
fn phones_lost_and_a_clock_that_was_set_by_a_day_are_acknowledged_once() {
    let mut scene = Scene::anchored();
    let lost = Input::Phones(Phones::Lost("skipper".to_owned()));
    scene.keeper.handle(at(scene.second), lost);
    acknowledge(&mut scene);
    let start = scene.second;
    for second in start + 1..start + 120 {
        let ahead = at(second).utc.plus(Duration::from_hours(24));
        scene
            .keeper
            .handle_timeout(Now::new(Tick::from_secs(second), ahead));
        scene.drain();
    }
    let told = scene.message(Hazard::Watch);
    assert!(told.contains("clock was set forward by"), "{told}");
    assert_eq!(raises(&scene), 1);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveAcknowledged);
}

#[test]
fn stopping_windrode_sounds_although_a_bad_disk_was_acknowledged() {
    let mut scene = Scene::anchored();
    let full =
        |left: u32| Input::Impaired(Some(format!("no room is left, {left} kB").as_str().into()));
    scene.keeper.handle(at(scene.second), full(12));
    acknowledge(&mut scene);
    scene.keeper.handle(at(scene.second), full(11));
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveAcknowledged);
    scene.keeper.handle(at(scene.second), Input::Stopping);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let told = scene.message(Hazard::Watch);
    assert!(
        told.starts_with("the watch is impaired: windrode was stopped: the anchor is not watched"),
        "{told}"
    );
}

/// The journal is gone: she may be at anchor, though the watch believes that the anchor is aweigh.
#[test]
fn a_watch_that_may_have_been_lost_is_an_alarm_and_settled_by_a_person() {
    let mut scene = Scene::new();
    let lost = Input::MayBeLost(Some("the journal is missing".into()));
    scene.keeper.handle(at(scene.second), lost);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let told = scene.message(Hazard::Watch);
    assert!(
        told.contains("a watch may have been lost: the journal is missing"),
        "{told}"
    );
    let alerts = scene.keeper.alerts();
    let alert = alerts.iter().find(|alert| alert.hazard == Hazard::Watch);
    assert_eq!(alert.unwrap().priority, Priority::Alarm);
    scene
        .keeper
        .handle(at(scene.second), Input::MayBeLost(None));
    scene.run(30);
    assert_eq!(
        scene.state(Hazard::Watch),
        AlertState::RectifiedUnacknowledged
    );
}

/// The journal is damaged and the watch in it is lost: two causes, and the graver one decides.
#[test]
fn a_damaged_journal_with_a_lost_watch_in_it_is_an_alarm() {
    let mut scene = Scene::new();
    let damaged = Input::Impaired(Some("the journal is damaged".into()));
    scene.keeper.handle(at(scene.second), damaged);
    let lost = Input::MayBeLost(Some("it cannot be read".into()));
    scene.keeper.handle(at(scene.second), lost);
    let alerts = scene.keeper.alerts();
    let alert = alerts.iter().find(|alert| alert.hazard == Hazard::Watch);
    assert_eq!(alert.unwrap().priority, Priority::Alarm);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
}
