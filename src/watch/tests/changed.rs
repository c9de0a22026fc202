//! Somebody changes the watch: the change is reported, and sounds if it is unknown who made it.

use super::*;
use crate::speech::faults::JournalFault;
use crate::watch::health::headline;

fn told(scene: &Scene) -> Option<(Priority, AlertState, String)> {
    let alerts = scene.keeper.alerts();
    let alert = alerts.into_iter().find(|it| it.hazard == Hazard::Watch);
    alert.map(|alert| (alert.priority, alert.state, alert.message))
}

/// 120 m of drift after a client of the server ended the watch.
#[test]
fn a_watch_that_was_ended_over_the_network_is_a_warning_until_somebody_has_seen_it() {
    let mut scene = Scene::anchored();
    scene.command_by(By::Server, Command::Weigh);
    let (priority, state, message) = told(&scene).unwrap();
    assert_eq!(
        (priority, state),
        (Priority::Warning, AlertState::ActiveUnacknowledged)
    );
    assert_eq!(
        message,
        "the watch was changed: the watch was ended over the data server, the mark was at 59°51.234'N 023°15.600'E; if none of the crew did that, let go again with that `position`"
    );
    for metre in 0..240_u32 {
        scene.lie(30.0 + f64::from(metre) / 2.0);
        scene.step();
    }
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    // After a power cut the warning still stands.
    let mut after = Scene::resumed(scene.second + 5, scene.keeper.saved(), None);
    after.roller = scene.roller;
    after.run(2);
    assert_eq!(after.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    after.command(Command::Acknowledge(Some(Hazard::Watch)));
    after.run(15);
    assert_eq!(told(&after), None);
}

#[test]
fn the_crew_s_own_orders_at_the_terminal_are_shown_for_a_while_without_a_sound() {
    for command in [
        Command::Weigh,
        Command::MaxRadius(Metres::new(400.0)),
        Command::CorrectMark(first().moved(Bearing::from_degrees(0.0), Metres::of(20.0))),
    ] {
        let mut scene = Scene::anchored();
        scene.command(command.clone());
        let (priority, state, message) = told(&scene).unwrap();
        assert_eq!(
            (priority, state),
            (Priority::Caution, AlertState::ActiveAcknowledged),
            "{command:?}"
        );
        assert!(message.contains("at the terminal"), "{message}");
        // She motors away, or stays where she is.
        scene.rpm = Some(1500.0);
        scene.run(620);
        assert_eq!(told(&scene), None, "{command:?}");
    }
}

#[test]
fn weighing_from_a_display_and_motoring_away_raises_nothing() {
    let mut scene = Scene::anchored();
    scene.rpm = Some(1500.0);
    scene.run(5);
    scene.command_by(By::Server, Command::Weigh);
    scene.run(620);
    let sounded = scene.heard.iter().any(
        |output| matches!(output, Output::Alert(view) if view.hazard == Hazard::Watch && view.state.sounds()),
    );
    assert!(!sounded && scene.raised(Hazard::Watch));
    assert_eq!(told(&scene), None);
}

#[test]
fn a_wider_circle_and_a_moved_mark_over_the_network_are_reported_with_the_numbers() {
    let mut scene = Scene::anchored();
    scene.command_by(By::Server, Command::MaxRadius(Metres::new(50.0)));
    scene.command(Command::Acknowledge(Some(Hazard::Watch)));
    scene.run(15);
    scene.command_by(By::Server, Command::MaxRadius(Metres::new(400.0)));
    let (priority, _, message) = told(&scene).unwrap();
    assert_eq!(priority, Priority::Warning);
    assert!(
        message
            .contains("the swinging circle was widened over the data server, from 50 m to 400 m"),
        "{message}"
    );
    // Acknowledged; the next change is a new one.
    scene.command(Command::Acknowledge(Some(Hazard::Watch)));
    scene.run(2);
    scene.command_by(By::Server, Command::MaxRadius(Metres::new(450.0)));
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    scene.command(Command::Acknowledge(Some(Hazard::Watch)));
    scene.run(15);
    let north = |metres: f64| first().moved(Bearing::from_degrees(0.0), Metres::of(metres));
    // The mark moves by a few metres, and then again: together that is no longer a few metres.
    scene.command_by(By::Server, Command::CorrectMark(north(6.0)));
    assert_eq!(told(&scene).unwrap().0, Priority::Caution);
    scene.command_by(By::Server, Command::CorrectMark(north(12.0)));
    let (priority, _, message) = told(&scene).unwrap();
    assert_eq!(priority, Priority::Warning);
    assert!(
        message.contains("the mark was moved over the data server by 6.0 m; if none of the crew did that, put it back to"),
        "{message}"
    );
    // A smaller circle makes the watch stricter and causes no warning.
    let mut smaller = Scene::anchored();
    smaller.command_by(By::Server, Command::MaxRadius(Metres::new(40.0)));
    assert_eq!(told(&smaller), None);
}

#[test]
fn an_impossible_rode_is_reported_and_ordinary_veering_is_not() {
    let mut scene = Scene::anchored();
    scene.command_by(By::Server, Command::RodeOut(Metres::of(50.0)));
    assert_eq!(told(&scene), None);
    scene.command_by(By::Server, Command::RodeOut(Metres::of(290.0)));
    let (priority, _, message) = told(&scene).unwrap();
    assert_eq!(priority, Priority::Warning);
    assert!(
        message.contains("the rode was set to 290 m over the data server"),
        "{message}"
    );
}

/// 12 m of rode over 9.2 m let her lie 8 m off. With 30 m she may lie three times as far off without an alarm, and with
/// 8 m of snubber more than twice as far.
#[test]
fn what_doubles_the_reach_over_the_network_is_reported() {
    use crate::watch::messages::SnubberOrder;
    let snubber = Command::Snubber(Some(SnubberOrder {
        at: None,
        length: Metres::new(8.0),
    }));
    let wider = Command::RodeOut(Metres::of(30.0));
    for (rode, by, command, reported) in [
        (12.0, By::Server, &snubber, true),
        (12.0, By::Terminal, &snubber, false),
        (40.0, By::Server, &snubber, false),
        (12.0, By::Server, &wider, true),
        (12.0, By::Terminal, &wider, false),
        (25.0, By::Server, &wider, false),
    ] {
        let mut scene = Scene::new();
        scene.run(20);
        scene.let_go(rode);
        scene.run(20);
        let done = scene.command_by(by, command.clone());
        assert!(matches!(done, Outcome::Done(_)), "{done:?}");
        let told = told(&scene);
        assert_eq!(told.is_some(), reported, "{rode}, {command:?}: {told:?}");
    }
}

#[test]
fn a_new_mark_over_the_network_is_reported_and_one_at_the_terminal_ends_the_report() {
    let mut scene = Scene::anchored();
    let again = LetGo {
        rode: Metres::new(40.0),
        reanchored: true,
        ..LetGo::default()
    };
    scene.command_by(By::Server, Command::LetGo(again));
    let (priority, _, message) = told(&scene).unwrap();
    assert_eq!(priority, Priority::Warning);
    assert!(
        message
            .contains("the anchor was marked again over the data server, 30 m from the old mark"),
        "{message}"
    );
    scene.command(Command::LetGo(again));
    let (priority, _, message) = told(&scene).unwrap();
    assert_eq!(priority, Priority::Caution, "{message}");
}

#[test]
fn a_boat_that_still_lies_or_drifts_after_weighing_is_asked_about() {
    // Two hundred metres in ten minutes, without a sounder.
    let drift = |metres: f64, rpm: Option<f64>| {
        let mut scene = Scene::anchored();
        scene.command(Command::Weigh);
        scene.rpm = rpm;
        for second in 0..640_u32 {
            scene.lie(30.0 + metres * f64::from(second) / 640.0);
            scene.step();
        }
        told(&scene).map(|(priority, _, message)| {
            assert_eq!(priority, Priority::Caution);
            message
        })
    };
    let drifted = drift(200.0, None).unwrap();
    assert!(
        drifted.starts_with(
            "the anchor was weighed 10 min ago, the engine has not run and she has drifted"
        ),
        "{drifted}"
    );
    assert_eq!(drift(200.0, Some(1500.0)), None);
    // Under sail.
    assert_eq!(drift(900.0, None), None);
    let still = drift(0.0, None).unwrap();
    assert!(
        still.starts_with("no anchor is marked: she has lain still"),
        "{still}"
    );
}

/// On a phone the title comes first, and is often all that is seen: weighing or moving a mark does not mean
/// that the watch is broken.
#[test]
fn the_title_of_each_cause_says_what_happened() {
    let north = first().moved(Bearing::from_degrees(0.0), Metres::of(20.0));
    let again = LetGo {
        reanchored: true,
        ..LetGo::default()
    };
    for (command, title) in [
        (Command::Weigh, "the watch was ended over the data server"),
        (
            Command::MaxRadius(Metres::new(400.0)),
            "the swinging circle was widened over the data server",
        ),
        (
            Command::CorrectMark(north),
            "the mark was moved over the data server by 20 m",
        ),
        (
            Command::LetGo(again),
            "the anchor was marked again over the data server",
        ),
        (
            Command::RodeOut(Metres::of(280.0)),
            "the rode was set to 280 m over the data server",
        ),
    ] {
        let mut scene = Scene::anchored();
        scene.command_by(By::Server, command.clone());
        let message = scene.message(Hazard::Watch);
        assert_eq!(
            headline(&message, &crate::speech::Wording::default()),
            title,
            "{command:?}: {message}"
        );
    }
    let mut scene = Scene::anchored();
    let full = Input::Impaired(Some(JournalFault::DiskFull));
    scene.keeper.handle(at(scene.second), full);
    let message = scene.message(Hazard::Watch);
    assert_eq!(
        headline(&message, &crate::speech::Wording::default()),
        "the watch is impaired"
    );
}

/// The same change again is added to the one before; another one is reported beside it.
#[test]
fn two_kinds_of_change_by_the_same_hand_are_both_reported() {
    let mut scene = Scene::anchored();
    let mut changes = |command: Command| {
        scene.command_by(By::Server, command);
        scene.keeper.saved().changes.len()
    };
    assert_eq!(changes(Command::MaxRadius(Metres::new(300.0))), 1);
    assert_eq!(changes(Command::MaxRadius(Metres::new(400.0))), 1);
    let moved = first().moved(Bearing::from_degrees(0.0), Metres::of(20.0));
    assert_eq!(changes(Command::CorrectMark(moved)), 2);
}
