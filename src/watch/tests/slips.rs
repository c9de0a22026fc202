//! A slip of the hand does not end a watch: orders that would silently give up the mark, and values
//! that cannot be meant.

use super::*;

/// Marked by position with 80 m of rode, and 42 m away from the mark.
#[test]
fn a_second_let_go_does_not_move_the_mark() {
    let mut scene = Scene::new();
    scene.run(20);
    scene.ordered(LetGo {
        rode: Metres::new(80.0),
        position: Some(first()),
        ..LetGo::default()
    });
    scene.lie(42.0);
    scene.run(60);
    let before = scene.keeper.saved();
    let since = at(20).utc.clock();
    assert_eq!(
        refusal(scene.let_go(45.0)),
        format!(
            "she is at anchor since {since} UTC, the mark is 42 m from the bow; `weigh` first, or give `reanchored` if she was anchored again, or give `kind` = `secondAnchor` for another anchor as well"
        )
    );
    // Neither does another kind of mooring, nor a position.
    for order in [
        LetGo {
            kind: MooringKind::Mooring,
            radius: Metres::new(16.0),
            ..LetGo::default()
        },
        LetGo {
            position: Some(first()),
            ..LetGo::default()
        },
    ] {
        assert!(refusal(scene.command(Command::LetGo(order))).contains("`weigh` first"));
    }
    assert_eq!(scene.keeper.saved(), before);
    scene.ordered(LetGo {
        rode: Metres::new(45.0),
        reanchored: true,
        ..LetGo::default()
    });
    let mark = scene.keeper.saved().mark.unwrap();
    assert!((mark.position.distance_to(first()).get() - 42.0).abs() < 0.5);
    assert_eq!(scene.phase(), AnchorPhase::Setting);
}

#[test]
fn a_drag_is_not_wiped_out_by_a_second_let_go() {
    let mut scene = Scene::anchored();
    scene.lie(80.0);
    scene.run(120);
    assert_eq!(scene.phase(), AnchorPhase::Dragging);
    refusal(scene.let_go(40.0));
    assert_eq!(scene.phase(), AnchorPhase::Dragging);
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
}

#[test]
fn a_second_anchor_is_not_moved_silently_either() {
    let mut scene = Scene::anchored();
    let second = LetGo {
        kind: MooringKind::SecondAnchor,
        position: Some(first().moved(Bearing::from_degrees(135.0), Metres::of(30.0))),
        ..LetGo::default()
    };
    scene.ordered(second);
    let elsewhere = LetGo {
        position: None,
        ..second
    };
    assert_eq!(
        refusal(scene.command(Command::LetGo(elsewhere))),
        "a second anchor is marked already, 30 m from the first; give `reanchored` too if it was let go again"
    );
    scene.ordered(LetGo {
        reanchored: true,
        ..elsewhere
    });
}

#[test]
fn impossible_values_are_refused_with_the_limit() {
    let mut scene = Scene::anchored();
    let before = scene.keeper.saved();
    let north = |metres: f64| first().moved(Bearing::from_degrees(0.0), Metres::of(metres));
    for (command, why) in [
        (
            Command::Berth(Some(Position::new(63.0, 23.0).unwrap().into())),
            "`berth` lies 189 nautical miles from the boat, the limit is 50 nautical miles; check latitude and longitude, west and south are negative",
        ),
        (
            Command::CorrectMark(north(300.0)),
            "`position` lies 278 m from the boat, the limit is 160 m; check latitude and longitude, west and south are negative",
        ),
        (
            Command::LetGo(LetGo {
                position: Some(north(400.0)),
                reanchored: true,
                ..LetGo::default()
            }),
            "`position` lies 378 m from the boat, the limit is 160 m; check latitude and longitude, west and south are negative",
        ),
        (
            Command::RodeOut(Metres::of(450.0)),
            "`rode` = 450.0 m is out of range; give 1.0 m to 300 m",
        ),
        (
            Command::LetGo(LetGo {
                depth: Metres::new(120.0),
                reanchored: true,
                ..LetGo::default()
            }),
            "`depth` = 120.0 m is out of range; give 0.5 m to 100 m",
        ),
        (
            Command::MaxRadius(Metres::new(900.0)),
            "`maxRadius` = 900.0 m is out of range; give 1.0 m to 500 m",
        ),
    ] {
        assert_eq!(refusal(scene.command(command)), why);
    }
    assert_eq!(scene.keeper.saved(), before);
    // Tonight's berth is a day's sail away.
    let said = scene.command(Command::Berth(Some(north(60_000.0).into())));
    let Outcome::Done(said) = said else {
        panic!("refused: {said:?}")
    };
    assert!(said.contains("at 32 nautical miles; "), "{said}");
}

/// `tackle.rode_aboard` says how much there is.
#[test]
fn more_rode_than_there_is_aboard_is_pointed_out() {
    let mut scene = Scene::new();
    let mut settings = settings();
    settings.boat.rode_aboard = Some(Metres::of(60.0));
    scene.keeper = Watchkeeper::new(at(0), settings, Saved::default());
    scene.run(20);
    let beyond = "which is more than the 60 m aboard (`tackle.rode_aboard`)";
    let said = scene.ordered(LetGo {
        rode: Metres::new(75.0),
        ..LetGo::default()
    });
    assert!(
        said.contains(&format!("75 m of rode to be veered, {beyond}")),
        "{said}"
    );
    let Outcome::Done(said) = scene.command(Command::RodeOut(Metres::of(80.0))) else {
        panic!("refused")
    };
    assert_eq!(said, format!("80 m of rode out, {beyond}, scope 8.7:1"));
    assert!(scene.notes().contains(&said));
    let Outcome::Done(said) = scene.command(Command::RodeOut(Metres::of(60.0))) else {
        panic!("refused")
    };
    assert!(!said.contains("aboard"), "{said}");
}
