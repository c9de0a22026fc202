//! An anchor that nobody marked.

use super::*;

#[test]
fn an_unmarked_anchor_is_a_caution_and_the_track_shows_where_it_lies() {
    let mut scene = Scene::new();
    scene.rpm = Some(0.0);
    scene.sheer(1510, 32.0, 60.0);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveAcknowledged);
    let told = scene.message(Hazard::Watch);
    assert!(
        told.starts_with("no anchor is marked: she has lain still for 25 min in 8.0 m of water"),
        "{told}"
    );
    // Letting go now marks the position of the bow, and the reply mentions the alternative.
    let said = scene.ordered(LetGo::default());
    assert!(said.contains("she has lain here for 25 min"), "{said}");
    assert!(said.contains("let go again with `fromTrack`"), "{said}");
    scene.command(Command::Weigh);
    scene.sheer(1510, 32.0, 60.0);
    let said = scene.ordered(LetGo {
        rode: Metres::new(40.0),
        from_track: true,
        ..LetGo::default()
    });
    assert!(said.contains("estimated from 25 min of track"), "{said}");
    let mark = scene.keeper.saved().mark.unwrap();
    assert_eq!(mark.origin, Some(crate::watch::drag::Origin::Track));
    let off = mark.position.distance_to(first());
    assert!(
        off.get() < 5.0 && mark.doubt.get() < 5.0,
        "{off} {}",
        mark.doubt
    );
    scene.run(12);
    assert_eq!(scene.state(Hazard::Watch), AlertState::Normal);
}

#[test]
fn a_boat_under_engine_or_in_deep_water_is_not_reminded() {
    let mut motoring = Scene::new();
    motoring.rpm = Some(900.0);
    motoring.sheer(1500, 32.0, 60.0);
    assert_eq!(motoring.state(Hazard::Watch), AlertState::Normal);
    let refused = refusal(motoring.command(Command::LetGo(LetGo {
        from_track: true,
        ..LetGo::default()
    })));
    assert_eq!(
        refused,
        "the track does not show where the anchor lies: she has not lain still for 10 min; give `position`"
    );
    let mut deep = Scene::new();
    for _ in 0..1500 {
        deep.sheer(1, 32.0, 60.0);
        deep.report(
            "sounder.2",
            vec![Fact::DepthBelowSurface(Metres::new(45.0))],
        );
    }
    assert_eq!(deep.state(Hazard::Watch), AlertState::Normal);
    let mut anchored = Scene::anchored();
    anchored.run(3600);
    assert_eq!(anchored.state(Hazard::Watch), AlertState::Normal);
}

/// The reminder is set to two minutes; she makes two knots.
#[test]
fn a_boat_that_makes_way_has_not_lain_still_however_short_the_time() {
    let short = WatchSettings {
        unmarked_after: Duration::from_mins(2),
        ..settings()
    };
    for (metres_a_second, told) in [(1.03, false), (0.25, false), (0.0, true)] {
        let mut scene = Scene::new();
        scene.keeper = Watchkeeper::new(at(0), short.clone(), Saved::default());
        scene.keeper.handle(at(0), Input::Began { last_seen: None });
        scene.keeper.handle(at(0), Input::Link(LinkState::Up));
        for _ in 0..400 {
            scene.roller.north += metres_a_second;
            scene.step();
        }
        assert_eq!(scene.raised(Hazard::Watch), told, "{metres_a_second} m/s");
    }
}
