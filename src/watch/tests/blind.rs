//! What the watch reports when it cannot see: no fix, no server.

use super::*;
use crate::speech::faults::LinkFault;

#[test]
fn without_a_fix_the_watch_says_so_from_the_first_minute() {
    let mut scene = Scene::new();
    scene.seen = false;
    scene.run(65);
    // One silence, one alert: without the server nothing is known about the position either.
    let alerts = scene.keeper.alerts();
    let told: Vec<_> = alerts.iter().map(|a| (a.hazard, a.priority)).collect();
    assert_eq!(told, [(Hazard::DataLink, Priority::Caution)]);
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
    assert_eq!(scene.phase(), AnchorPhase::Set);
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
    let down = LinkState::Down(LinkFault::NotAnswering);
    scene.keeper.handle(at(scene.second), Input::Link(down));
    scene.run(120);
    let told: Vec<_> = scene.keeper.alerts().iter().map(|a| a.hazard).collect();
    assert_eq!(told, [Hazard::DataLink]);
}

/// The server is connected and sends nothing; then it sends everything but the position.
#[test]
fn one_silence_is_one_alert_and_the_position_follows_when_the_link_is_back_without_it() {
    let mut scene = Scene::anchored();
    scene.seen = false;
    let told = |scene: &Scene| -> Vec<_> {
        let alerts = scene.keeper.alerts();
        let active = alerts.iter().filter(|a| a.state.is_active());
        active.map(|a| a.hazard).collect()
    };
    for second in 0..300 {
        scene.step();
        let told = told(&scene);
        assert!(
            told.is_empty() || told == [Hazard::DataLink],
            "{second}: {told:?}"
        );
    }
    assert_eq!(told(&scene), [Hazard::DataLink]);
    for _ in 0..30 {
        let heading = vec![Fact::HeadingTrue(Some(Bearing::from_degrees(220.0)))];
        scene.report("boat.1", heading);
        scene.step();
    }
    assert_eq!(told(&scene), [Hazard::Position]);
}

#[test]
fn a_link_that_comes_and_goes_hides_no_blindness() {
    for bad in [
        LinkState::Down(LinkFault::NoConnection),
        LinkState::Impaired("nothing comes back".into()),
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
    let down = LinkState::Down("gone".into());
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
    let refused = refusal(scene.command(Command::LetGo(LetGo {
        reanchored: true,
        ..LetGo::default()
    })));
    assert!(refused.starts_with("no usable position"), "{refused}");
}

#[test]
fn a_receiver_that_reported_no_fix_is_not_trusted_until_it_reports_one() {
    let mut scene = Scene::anchored();
    scene.report("boat.1", vec![Fact::FixMethod(Some(FixMethod::NoFix))]);
    // It stops reporting its method and keeps sending coordinates.
    scene.run(600);
    assert!(scene.state(Hazard::Position).is_active());
}

/// A figure that is shown in words says how old it is. A display cannot show an age, so it gets
/// null.
#[test]
fn figures_from_an_old_fix_show_their_age_and_are_not_published() {
    let mut scene = Scene::anchored();
    let seen = scene.keeper.picture(at(scene.second));
    assert_eq!(
        (seen.fix_ago, seen.depth_ago, seen.wind_ago),
        (None, None, None)
    );
    assert_eq!(seen.live(), seen);
    assert!(seen.drag_probability.is_some() && seen.scope.is_some());
    scene.seen = false;
    scene.run(48);
    let old = scene.keeper.picture(at(scene.second));
    assert_eq!(old.fix_ago, Some(48.0));
    assert_eq!(old.wind_ago, Some(48.0));
    assert_eq!(old.fix_uncertainty, None);
    let published = old.live();
    assert_eq!(published.anchor_bearing, None);
    assert_eq!(published.anchor_distance, None);
    assert_eq!(published.current_radius, None);
    assert_eq!(published.drag_probability, None);
    assert_eq!(published.anchor_moved, None);
    assert_eq!(published.scope, None);
    assert_eq!(published.wind_shift, None);
    assert_eq!(published.wind_speed, None);
    // The mark, the circle and the rode are known without a fix.
    assert_eq!(published.anchor, old.anchor);
    assert_eq!(published.max_radius, old.max_radius);
    // After a minute without a fix no figure says where she is now.
    scene.run(30);
    let blind = scene.keeper.picture(at(scene.second));
    assert_eq!((blind.fix_ago, blind.anchor_distance), (Some(78.0), None));
    assert_eq!(blind.drag_probability, None);
    let track = scene.keeper.sight(at(scene.second)).track;
    let last = track.last().map(|point| point.time);
    assert!(last.is_some_and(|last| at(scene.second).utc.millis_since(last) >= 78_000));
}

/// The number in the picture is the age of the last fix; the sentence gives the time of day since
/// when.
#[test]
fn blindness_is_reported_with_the_time_of_day_so_that_the_sentence_does_not_age() {
    let mut scene = Scene::anchored();
    let last = at(scene.second).utc.clock();
    scene.seen = false;
    // The sounder still reports: the receiver is lost, not the server.
    let run = |scene: &mut Scene, seconds: u64| {
        for _ in 0..seconds {
            scene.report("log.0", vec![Fact::DepthBelowKeel(Some(Metres::of(6.1)))]);
            scene.step();
        }
    };
    run(&mut scene, 65);
    let first = scene.message(Hazard::Position);
    assert_eq!(
        first,
        format!(
            "no usable position since {last} UTC: no data from the GPS; drag cannot be detected, keep a lookout"
        )
    );
    run(&mut scene, 600);
    assert_eq!(scene.message(Hazard::Position), first);
}

/// Her heading arrives with the first reports of a server that was away for longer than a fix may be; her position
/// some seconds later.
#[test]
fn a_position_that_follows_the_returned_server_by_seconds_is_not_missing() {
    let mut scene = Scene::anchored();
    scene.seen = false;
    let down = LinkState::Down(LinkFault::NotAnswering);
    scene.keeper.handle(at(scene.second), Input::Link(down));
    scene.run(90);
    let up = Input::Link(LinkState::Up);
    scene.keeper.handle(at(scene.second), up);
    for _ in 0..5 {
        let heading = vec![Fact::HeadingTrue(Some(Bearing::from_degrees(220.0)))];
        scene.report("boat.1", heading);
        scene.step();
    }
    scene.seen = true;
    scene.run(60);
    assert!(scene.raised(Hazard::DataLink) && !scene.raised(Hazard::Position));
}
