//! What else she can lie to: a mooring, two anchors, lines to the shore.

use super::*;

#[test]
fn on_a_mooring_only_the_given_circle_counts() {
    let mut scene = Scene::new();
    scene.run(20);
    let mooring = LetGo {
        kind: MooringKind::Mooring,
        radius: Metres::new(16.0),
        ..LetGo::default()
    };
    let said = scene.ordered(mooring);
    assert!(
        said.starts_with("moored at") && said.contains("swinging circle of 16 m to her centre"),
        "{said}"
    );
    assert!(said.contains("mooring gear not checked"), "{said}");
    // On a mooring there is nothing to set.
    assert_eq!(scene.phase(), AnchorPhase::Set);
    let picture = scene.keeper.picture(at(scene.second));
    assert_eq!(picture.word().english(), "moored");
    // Half of 11.2 m lies between roller and centre.
    let picture = scene.keeper.picture(at(scene.second));
    assert!((picture.reach.unwrap().get() - 10.4).abs() < 1e-9);
    assert_eq!((picture.rode_out, picture.scope), (None, None));
    assert!(
        picture
            .remarks
            .iter()
            .any(|r| r.starts_with("on a mooring"))
    );
    scene.lie(8.0);
    scene.run(900);
    assert!(scene.keeper.alerts().is_empty());
    scene.lie(14.0);
    scene.run(60);
    assert!(scene.raised(Hazard::SwingExceeded) && !scene.raised(Hazard::ScopeShort));
    assert_eq!(
        refusal(scene.command(Command::RodeOut(Metres::of(30.0)))),
        "`rodeOut` has no meaning with `kind` = `mooring`; leave it out"
    );
    // After a restart she still lies to the mooring.
    let after = Scene::resumed(scene.second + 5, scene.keeper.saved(), None);
    assert_eq!(after.keeper.saved().manner.kind, MooringKind::Mooring);
    let picture = after.keeper.picture(at(after.second));
    assert_eq!(picture.max_radius, Some(Metres::of(16.0)));
    scene.lie(60.0);
    scene.run(200);
    let told = scene.message(Hazard::Dragging);
    assert!(
        told.starts_with("dragging: the mooring has moved"),
        "{told}"
    );
}

#[test]
fn within_two_reaches_she_lies_where_both_overlap() {
    let mut scene = Scene::new();
    scene.run(20);
    let second = LetGo {
        kind: MooringKind::SecondAnchor,
        rode: Metres::new(30.0),
        ..LetGo::default()
    };
    assert_eq!(
        refusal(scene.command(Command::LetGo(second))),
        "no first anchor is marked; let go the first one without `kind`"
    );
    scene.let_go(40.0);
    scene.lie(20.0);
    scene.run(60);
    // The second anchor lies 30 m to the south-east of the first.
    let place = first().moved(Bearing::from_degrees(135.0), Metres::of(30.0));
    let said = scene.ordered(LetGo {
        position: Some(place),
        ..second
    });
    assert!(said.contains("30 m from the first"), "{said}");
    let saved = scene.keeper.saved().manner.second.unwrap();
    assert_eq!((saved.position, saved.rode), (place, Metres::new(30.0)));
    // At 38 m north of the first anchor she is within its reach of 39 m, and far beyond the reach
    // of the second.
    scene.roller = Offset {
        east: 0.0,
        north: 38.0,
    };
    scene.run(200);
    assert!(scene.raised(Hazard::Dragging) || scene.raised(Hazard::SwingExceeded));
    let mut within = Scene::new();
    within.run(20);
    within.let_go(40.0);
    within.ordered(LetGo {
        position: Some(place),
        ..second
    });
    within.roller = Offset {
        east: 15.0,
        north: -15.0,
    };
    within.run(1500);
    assert!(
        within.keeper.alerts().is_empty(),
        "{:?}",
        within.keeper.alerts()
    );
    assert_eq!(within.phase(), AnchorPhase::Set);
    // A shift of the fix, out of both circles for half a minute, moves both circles with it.
    let lies = std::mem::replace(
        &mut within.roller,
        Offset {
            east: 60.0,
            north: 60.0,
        },
    );
    within.run(25);
    within.roller = lies;
    within.run(120);
    assert!(!within.raised(Hazard::SwingExceeded) && !within.raised(Hazard::Dragging));
}

#[test]
fn stern_to_only_leaving_the_circle_is_judged_and_the_crew_is_told() {
    let mut scene = Scene::new();
    scene.run(20);
    assert_eq!(
        refusal(scene.command(Command::LetGo(LetGo {
            kind: MooringKind::SternTo,
            ..LetGo::default()
        }))),
        "`kind` = `sternTo` has no rode to calculate a circle from: give `radius`, to the boat's centre"
    );
    let said = scene.ordered(LetGo {
        kind: MooringKind::SternTo,
        radius: Metres::new(8.0),
        ..LetGo::default()
    });
    assert!(
        said.starts_with("made fast stern to, her centre at"),
        "{said}"
    );
    assert!(said.contains("does not show in a fix"), "{said}");
    assert_eq!(
        refusal(scene.command(Command::PullTest(true))),
        "no pull test for `sternTo`"
    );
    // Her centre lies on the mark.
    let radius = scene.keeper.picture(at(scene.second)).current_radius;
    assert!(radius.unwrap().get() < 0.1, "{radius:?}");
    scene.run(900);
    assert!(scene.keeper.alerts().is_empty());
    scene.roller = Offset {
        east: 60.0,
        north: 0.0,
    };
    scene.run(120);
    assert!(scene.raised(Hazard::SwingExceeded) && !scene.raised(Hazard::Dragging));
}
