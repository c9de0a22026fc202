//! Digging in, strong wind, other kinds of berth, a mark that was forgotten, a weighing that was.

use super::*;

use crate::watch::pull::PullVerdict;

impl Scene {
    fn message(&self, hazard: Hazard) -> String {
        let alert = self
            .keeper
            .alerts()
            .into_iter()
            .find(|a| a.hazard == hazard);
        alert.map(|alert| alert.message).unwrap_or_default()
    }

    fn notes(&self) -> Vec<String> {
        let note = |output: &Output| match output {
            Output::Event(event) if event.event == EventKind::Note => Some(event.message.clone()),
            _ => None,
        };
        self.heard.iter().filter_map(note).collect()
    }

    fn ordered(&mut self, let_go: LetGo) -> String {
        match self.command(Command::LetGo(let_go)) {
            Outcome::Done(said) => said,
            Outcome::Refused(why) => panic!("refused: {why}"),
        }
    }

    /// Lies at this distance down-wind, sheering to each side, until so many seconds have passed.
    fn sheer(&mut self, seconds: u64, distance: f64, degrees: f64) {
        for _ in 0..seconds {
            let phase = self.second as f64 / 140.0 * std::f64::consts::TAU;
            let turn = Bearing::from_degrees(self.wind_from.degrees() + degrees * phase.sin());
            self.heading = turn;
            self.roller = Offset::polar(turn.reversed(), Metres::of(distance));
            self.step();
        }
    }
}

#[test]
fn digging_in_under_a_known_load_begins_and_ends_the_pull_test_by_itself() {
    let mut scene = Scene::new();
    scene.rpm = Some(800.0);
    scene.run(20);
    scene.let_go(40.0);
    for metre in 0..250_u32 {
        scene.lie(f64::from(metre) / 10.0);
        scene.step();
    }
    assert_eq!(scene.keeper.picture(at(scene.second)).pull_test, None);
    // Two thousand turns: nine metres of chain are drawn straight within the first half minute.
    scene.rpm = Some(2000.0);
    for second in 0..100_u32 {
        scene.lie(25.0 + 9.0 * (1.0 - (-f64::from(second) / 10.0).exp()));
        scene.step();
    }
    let reading = scene.keeper.picture(at(scene.second)).pull_test.unwrap();
    assert_eq!(reading.verdict, PullVerdict::Held, "{reading:?}");
    assert!(reading.running && reading.held > 90.0);
    scene.rpm = Some(800.0);
    scene.run(5);
    let reading = scene.keeper.picture(at(scene.second)).pull_test.unwrap();
    assert!(!reading.running && reading.verdict == PullVerdict::Held);
    let told: Vec<_> = scene
        .notes()
        .into_iter()
        .filter(|note| note.starts_with("pull test: held"))
        .collect();
    assert_eq!(told.len(), 1, "{told:?}");
    // It was about that anchor: weighing forgets it.
    scene.command(Command::Weigh);
    assert_eq!(scene.keeper.picture(at(scene.second)).pull_test, None);
}

#[test]
fn a_pull_test_by_order_needs_an_anchor_and_an_end() {
    let mut scene = Scene::new();
    scene.run(5);
    assert_eq!(
        refusal(scene.command(Command::PullTest(true))),
        "not at anchor: `letGo` comes first"
    );
    let mut scene = Scene::anchored();
    assert_eq!(
        refusal(scene.command(Command::PullTest(false))),
        "no pull test is going on; `pullTest` = `true` begins one"
    );
    assert!(matches!(
        scene.command(Command::PullTest(true)),
        Outcome::Done(_)
    ));
    // She creeps astern at a quarter of a metre a second.
    for second in 0..90_u32 {
        scene.lie(30.0 + 0.25 * f64::from(second));
        scene.step();
    }
    let Outcome::Done(said) = scene.command(Command::PullTest(false)) else {
        panic!("refused")
    };
    assert!(said.starts_with("pull test: yielding: she moved"), "{said}");
    assert!(
        said.ends_with("veer more rode and try again, or weigh"),
        "{said}"
    );
}

#[test]
fn a_rising_wind_is_a_warning_and_its_acknowledgement_stands_until_it_is_ten_knots_worse() {
    let mut scene = Scene::anchored();
    scene.wind_knots = 27.0;
    scene.run(1200);
    assert_eq!(
        scene.state(Hazard::WindStrength),
        AlertState::ActiveUnacknowledged
    );
    assert!(
        scene
            .message(Hazard::WindStrength)
            .starts_with("strong wind: mean 27 kn")
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindStrength)));
    scene.wind_knots = 31.0;
    scene.run(1200);
    assert_eq!(
        scene.state(Hazard::WindStrength),
        AlertState::ActiveAcknowledged
    );
    scene.wind_knots = 40.0;
    scene.run(1200);
    assert_eq!(
        scene.state(Hazard::WindStrength),
        AlertState::ActiveUnacknowledged
    );
    scene.command(Command::Acknowledge(None));
    scene.wind_knots = 12.0;
    scene.run(2400);
    assert_eq!(scene.state(Hazard::WindStrength), AlertState::Normal);
}

#[test]
fn a_shift_that_was_acknowledged_is_told_again_when_the_wind_goes_on_or_back() {
    let mut scene = Scene::anchored();
    scene.run(600);
    let turn = |scene: &mut Scene, degrees: f64| {
        scene.wind_from = Bearing::from_degrees(degrees);
        scene.lie(30.0);
        scene.run(1500);
    };
    turn(&mut scene, 300.0);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveUnacknowledged
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindShift)));
    scene.run(1500);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveAcknowledged
    );
    assert_eq!(
        scene
            .keeper
            .saved()
            .manner
            .wind_seen
            .unwrap()
            .degrees()
            .round(),
        300.0
    );
    // Another 70°.
    turn(&mut scene, 370.0);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveUnacknowledged
    );
    assert!(
        scene.message(Hazard::WindShift).starts_with(
            "wind shift: veered 70° since it was acknowledged, veered 150° since the anchor was set"
        ),
        "{}",
        scene.message(Hazard::WindShift)
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindShift)));
    // And back to where it was when she was set.
    turn(&mut scene, 220.0);
    assert_eq!(
        scene.state(Hazard::WindShift),
        AlertState::ActiveUnacknowledged
    );
    scene.command(Command::Acknowledge(Some(Hazard::WindShift)));
    scene.run(600);
    assert_eq!(scene.state(Hazard::WindShift), AlertState::Normal);
}

#[test]
fn an_anchor_nobody_marked_is_a_caution_and_the_track_says_where_it_lies() {
    let mut scene = Scene::new();
    scene.rpm = Some(0.0);
    scene.sheer(1510, 32.0, 60.0);
    assert_eq!(scene.state(Hazard::Watch), AlertState::ActiveAcknowledged);
    let told = scene.message(Hazard::Watch);
    assert!(
        told.starts_with("no anchor is marked: she has lain still for 25 min in 8.0 m of water"),
        "{told}"
    );
    // Letting go now marks the bow, and says what else there is.
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
    let mark = scene.keeper.mark.unwrap();
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
        "the track does not tell where the anchor lies: she has not lain still for 10 min; give `position`"
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

#[test]
fn who_leaves_without_weighing_hears_the_alarm_and_the_question() {
    let mut scene = Scene::anchored();
    scene.rpm = Some(1800.0);
    for second in 0..180_u32 {
        scene.lie(30.0 + f64::from(second));
        scene.step();
    }
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    let told = scene.message(Hazard::Dragging);
    assert!(
        told.ends_with("; under way? weigh to end the watch"),
        "{told}"
    );
    // Without the engine it is a drag and no question.
    let mut drifting = Scene::anchored();
    drifting.lie(80.0);
    drifting.run(120);
    assert!(!drifting.message(Hazard::Dragging).contains("under way"));
}

#[test]
fn on_a_mooring_the_circle_that_was_given_is_all_there_is() {
    let mut scene = Scene::new();
    scene.run(20);
    let mooring = LetGo {
        kind: Kind::Mooring,
        radius: Metres::new(16.0),
        ..LetGo::default()
    };
    let said = scene.ordered(mooring);
    assert!(
        said.starts_with("moored at") && said.contains("swinging circle of 16 m to her centre"),
        "{said}"
    );
    assert!(
        said.contains("its tackle and scope are not judged"),
        "{said}"
    );
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
    // After a restart she still lies to it.
    let after = Scene::resumed(scene.second + 5, scene.keeper.saved(), None);
    assert_eq!(after.keeper.manner.kind, Kind::Mooring);
    let (_, ground) = after.keeper.ground(Tick::from_secs(after.second)).unwrap();
    assert_eq!(ground.max_radius, Metres::of(16.0));
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
        kind: Kind::SecondAnchor,
        rode: Metres::new(30.0),
        ..LetGo::default()
    };
    assert_eq!(
        refusal(scene.command(Command::LetGo(second))),
        "no anchor is marked that this could be the second of; let go the first without `kind`"
    );
    scene.let_go(40.0);
    scene.lie(20.0);
    scene.run(60);
    // The second 30 m to the south-east of the first.
    let place = first().moved(Bearing::from_degrees(135.0), Metres::of(30.0));
    let said = scene.ordered(LetGo {
        position: Some(place),
        ..second
    });
    assert!(said.contains("30 m from the first"), "{said}");
    let saved = scene.keeper.saved().manner.second.unwrap();
    assert_eq!((saved.position, saved.rode), (place, Metres::new(30.0)));
    // 38 m north of the first she is within its reach of 39 m, and far beyond the second's.
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
    assert_eq!(within.keeper.phase, Phase::Set);
    // A shift of the fix, out of both circles for half a minute, moves both with it.
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
fn stern_to_only_leaving_the_circle_is_judged_and_that_is_said() {
    let mut scene = Scene::new();
    scene.run(20);
    assert_eq!(
        refusal(scene.command(Command::LetGo(LetGo {
            kind: Kind::SternTo,
            ..LetGo::default()
        }))),
        "`kind` = `sternTo` has no rode to reckon a circle from: give `radius`, to the boat's centre"
    );
    let said = scene.ordered(LetGo {
        kind: Kind::SternTo,
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
        "a pull test says nothing of `sternTo`"
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
