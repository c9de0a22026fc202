//! What the watch says when it cannot see: no fix, no server, a power cut, no phone.

use super::*;

#[test]
fn without_a_fix_the_watch_says_so_from_the_first_minute() {
    let mut scene = Scene::new();
    scene.seen = false;
    scene.run(65);
    let alerts = scene.keeper.alerts();
    let told: Vec<_> = alerts.iter().map(|a| (a.hazard, a.priority)).collect();
    assert_eq!(
        told,
        [
            (Hazard::Position, Priority::Caution),
            (Hazard::DataLink, Priority::Caution)
        ]
    );
    scene.seen = true;
    scene.run(12);
    assert!(scene.keeper.alerts().is_empty());
}

#[test]
fn blindness_at_anchor_is_an_alarm_and_its_words_say_why() {
    let mut scene = Scene::anchored();
    scene.report("boat.1", vec![Fact::FixMethod(Some(FixMethod::NoFix))]);
    for _ in 0..70 {
        scene.step();
        scene.report("boat.1", vec![Fact::FixMethod(Some(FixMethod::NoFix))]);
    }
    let alert = scene.keeper.alerts().remove(0);
    assert_eq!(
        (alert.hazard, alert.priority),
        (Hazard::Position, Priority::Alarm)
    );
    assert!(
        alert.message.contains("the receiver says it has no fix"),
        "{}",
        alert.message
    );
    assert_eq!(scene.keeper.phase, Phase::Set);
    scene.step();
    scene.report("boat.1", vec![Fact::FixMethod(Some(FixMethod::Satellite))]);
    scene.run(14);
    assert_eq!(
        scene.state(Hazard::Position),
        AlertState::RectifiedUnacknowledged
    );
}

#[test]
fn a_lost_server_is_one_alert_not_two() {
    let mut scene = Scene::anchored();
    scene.seen = false;
    let down = LinkState::Down("connection refused".to_owned());
    scene.keeper.handle(at(scene.second), Input::Link(down));
    scene.run(120);
    let told: Vec<_> = scene.keeper.alerts().iter().map(|a| a.hazard).collect();
    assert_eq!(told, [Hazard::DataLink]);
}

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
    assert_eq!(after.keeper.mark, saved.mark);
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
fn a_link_that_comes_and_goes_hides_no_blindness() {
    for bad in [
        LinkState::Down("the network is gone".to_owned()),
        LinkState::Impaired("nothing comes back".to_owned()),
    ] {
        let mut scene = Scene::anchored();
        scene.seen = false;
        for twenty in 0..90_u32 {
            let link = if twenty % 2 == 0 {
                bad.clone()
            } else {
                LinkState::Up
            };
            scene.keeper.handle(at(scene.second), Input::Link(link));
            scene.run(20);
        }
        let told = scene.raised(Hazard::Position) || scene.raised(Hazard::DataLink);
        assert!(told, "half an hour blind and nothing told");
    }
}

#[test]
fn a_cached_fix_after_a_break_is_no_fix() {
    let mut scene = Scene::anchored();
    let cached = at(scene.second).utc;
    scene.seen = false;
    let down = LinkState::Down("gone".to_owned());
    scene.keeper.handle(at(scene.second), Input::Link(down));
    scene.run(900);
    // The server repeats its cache before the link counts as up.
    let report = Report {
        subject: Subject::Own,
        source: Label::new("boat.1"),
        stamp: Some(cached.plus(Duration::from_secs(300))),
        facts: vec![Fact::Position(Some(first()))],
    };
    scene.keeper.handle(at(scene.second), Input::Report(report));
    scene
        .keeper
        .handle(at(scene.second), Input::Link(LinkState::Up));
    scene.run(5);
    let refused = refusal(scene.let_go(40.0));
    assert!(refused.starts_with("no usable position"), "{refused}");
}

#[test]
fn a_receiver_that_said_no_fix_is_not_trusted_until_it_says_better() {
    let mut scene = Scene::anchored();
    scene.report("boat.1", vec![Fact::FixMethod(Some(FixMethod::NoFix))]);
    // It falls silent about its method and goes on with coordinates.
    scene.run(600);
    assert!(scene.state(Hazard::Position).is_active());
}

#[test]
fn stopping_and_starting_again_leaves_no_alert_about_itself() {
    let mut scene = Scene::anchored();
    let stopped = "windrode was stopped; nobody watches the anchor".to_owned();
    scene
        .keeper
        .handle(at(scene.second), Input::Impaired(Some(stopped)));
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let saved = scene.keeper.saved();
    let after = Scene::resumed(scene.second + 5, saved, Some(at(scene.second).utc));
    assert!(after.keeper.alerts().is_empty());
}

#[test]
fn that_no_phone_channel_works_is_told_aboard_once_and_taken_back() {
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
        "the watch is impaired: no phone channel works (skipper, mate), nobody ashore would be called; look at the boat's link ashore"
    );
    let acknowledged = scene.command(Command::Acknowledge(Some(Hazard::Watch)));
    assert!(matches!(acknowledged, Outcome::Done(_)));
    scene.run(3600);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveAcknowledged);
    // The disk besides is another situation.
    let full = Input::Impaired(Some("no room is left".to_owned()));
    scene.keeper.handle(at(scene.second), full);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveUnacknowledged);
    let said = &scene.keeper.alerts()[0].message;
    assert!(
        said.contains("no room is left; no phone channel works"),
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

#[test]
fn who_lets_go_hears_whether_anybody_ashore_would_be_called() {
    for (phones, caution) in [
        (Phones::None, ""),
        (Phones::Working, ""),
        (
            Phones::Doubtful("skipper".to_owned()),
            "; no phone channel has worked lately (skipper): alerts may be shown aboard only",
        ),
        (
            Phones::Lost("skipper".to_owned()),
            "; no phone channel has worked lately (skipper): alerts may be shown aboard only",
        ),
    ] {
        let mut scene = Scene::new();
        scene.run(20);
        scene.keeper.handle(at(scene.second), Input::Phones(phones));
        let Outcome::Done(said) = scene.let_go(40.0) else {
            panic!("refused")
        };
        let bare = "40 m of rode to be veered, in 8.0 m of water";
        assert!(said.ends_with(&format!("{bare}{caution}")), "{said}");
    }
}
