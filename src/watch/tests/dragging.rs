//! Lying, swinging and dragging: what counts as a drag and what does not.

use super::*;

#[test]
fn a_quiet_night_raises_nothing_and_a_drag_raises_one_alarm() {
    let mut scene = Scene::anchored();
    scene.run(3 * 3600);
    assert!(scene.keeper.alerts().is_empty());
    // Her reach: 40.8 m of stretched rode over 9.2 m of height give 39.7 m. She drags at 0.1 m/s.
    let mut alarm = None;
    for second in 0..900_u32 {
        scene.lie(30.0 + 0.1 * f64::from(second));
        scene.step();
        if scene.raised(Hazard::Dragging) {
            alarm = Some(30.0 + 0.1 * f64::from(second));
            break;
        }
    }
    let distance = alarm.unwrap();
    // In the same wind she has lain ten metres short of her reach for hours. So nearly all of the
    // distance beyond that counts, but only once she is about as far from the mark as the rode
    // reaches.
    assert!((39.0..45.0).contains(&distance), "{distance}");
    assert_eq!(scene.phase(), AnchorPhase::Dragging);
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    // The state is saved to disk before it is announced.
    let persisted = scene
        .heard
        .iter()
        .position(|o| matches!(o, Output::Persist(saved) if saved.phase == AnchorPhase::Dragging));
    let announced = scene
        .heard
        .iter()
        .position(|o| matches!(o, Output::Alert(view) if view.hazard == Hazard::Dragging && view.priority == Priority::Alarm));
    assert!(persisted.unwrap() < announced.unwrap());
}

#[test]
fn a_wind_reversal_swings_her_through_the_circle_and_is_not_a_drag() {
    let mut scene = Scene::anchored();
    for tenth in 0..1400_u32 {
        scene.wind_from = Bearing::from_degrees(220.0 + f64::from(tenth) / 10.0);
        // She sails over her anchor and fetches up taut on the other side.
        let along = f64::from(tenth.abs_diff(700)) / 700.0;
        scene.lie(39.0 * along);
        scene.step();
    }
    scene.run(1200);
    assert!(scene.raised(Hazard::WindShift));
    assert!(!scene.raised(Hazard::Dragging) && !scene.raised(Hazard::SwingExceeded));
    let shift = scene.keeper.picture(at(scene.second)).wind_shift.unwrap();
    assert!((shift.degrees() - 139.9).abs() < 0.2);
}

#[test]
fn a_drag_that_ends_inside_the_reach_goes_back_to_set_and_waits_to_be_seen() {
    let mut scene = Scene::anchored();
    scene.lie(80.0);
    scene.run(120);
    assert_eq!(scene.phase(), AnchorPhase::Dragging);
    scene.lie(30.0);
    scene.run(600);
    assert_eq!(scene.phase(), AnchorPhase::Set);
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::RectifiedUnacknowledged
    );
    // She may drag again: a caution, which needs no acknowledgement, does not replace it.
    for step in 0..1500_u32 {
        scene.lie(30.0 + 0.01 * f64::from(step));
        scene.step();
        let state = scene.state(Hazard::Dragging);
        assert!(
            state == AlertState::RectifiedUnacknowledged || state.sounds(),
            "{state:?} at {step}"
        );
    }
    scene.lie(30.0);
    scene.run(900);
    scene.command(Command::Acknowledge(None));
    assert_eq!(scene.state(Hazard::Dragging), AlertState::Normal);
}

#[test]
fn where_she_holds_again_the_mark_moves_but_not_with_the_crew_s_own_circle() {
    for ordered in [false, true] {
        let mut scene = Scene::anchored();
        if ordered {
            scene.command(Command::MaxRadius(Some(Metres::of(60.0))));
        }
        for metre in 0..600_u32 {
            scene.lie(30.0 + f64::from(metre) / 10.0);
            scene.step();
        }
        assert_eq!(scene.phase(), AnchorPhase::Dragging);
        scene.run(1200);
        let moved = scene
            .keeper
            .saved()
            .mark
            .unwrap()
            .position
            .distance_to(first());
        if ordered {
            assert_eq!(scene.phase(), AnchorPhase::Dragging);
            assert!(moved < Metres::of(0.1));
        } else {
            // She drifted 60 m; how taut the rode was before is not known to the metre.
            assert_eq!(scene.phase(), AnchorPhase::Set);
            assert!((45.0..65.0).contains(&moved.get()), "{moved}");
            assert!(scene.heard.iter().any(|output| matches!(
                output,
                Output::Event(event) if event.message.starts_with("set: she holds again")
            )));
            // Half an hour later she drags further: reported again.
            scene.run(1800);
            for metre in 0..450_u32 {
                scene.lie(90.0 + f64::from(metre) / 10.0);
                scene.step();
            }
            assert_eq!(scene.phase(), AnchorPhase::Dragging);
        }
    }
}

#[test]
fn without_heading_the_margin_widens_instead_of_the_bow_being_guessed() {
    let mut scene = Scene::anchored();
    let with = scene
        .keeper
        .picture(at(scene.second))
        .fix_uncertainty
        .unwrap();
    scene.report("compass.1", vec![Fact::HeadingTrue(None)]);
    let without = scene.keeper.picture(at(scene.second));
    assert!(without.fix_uncertainty.unwrap().get() > with.get() + 9.0);
    assert!(without.remarks.iter().any(|r| r.starts_with("no heading")));
}

#[test]
fn a_wind_reversal_with_an_unknown_antenna_place_is_not_a_drag() {
    let blank = WatchSettings {
        boat: BoatFigures {
            length: Some(Metres::of(11.0)),
            roller_height: Some(Metres::of(1.2)),
            draught: Some(Metres::of(1.9)),
            ..BoatFigures::default()
        },
        ..settings()
    };
    // The antenna is in fact 9.1 m aft of the stem, see `Scene::step`.
    let mut scene = Scene::new();
    scene.keeper = Watchkeeper::new(at(0), blank, Saved::default());
    scene.keeper.handle(at(0), Input::Link(LinkState::Up));
    scene.run(20);
    scene.let_go(40.0);
    for half in 0..78_u32 {
        scene.lie(f64::from(half) / 2.0);
        scene.step();
    }
    scene.run(900);
    scene.wind_from = scene.wind_from.reversed();
    scene.lie(39.0);
    scene.run(1800);
    assert!(!scene.raised(Hazard::Dragging) && !scene.raised(Hazard::SwingExceeded));
}

/// All figures of a sentence refer to the same place: she is beyond the mark by the distance minus
/// the reach, or the sentence does not mention the reach.
#[test]
fn the_figures_of_an_alarm_add_up() {
    let mut scene = Scene::anchored();
    for metre in 0..600_u32 {
        scene.lie(30.0 + f64::from(metre) / 5.0);
        scene.step();
        let told = scene.message(Hazard::Dragging);
        if !told.starts_with("dragging:") {
            continue;
        }
        let figures: Vec<f64> = told
            .split_whitespace()
            .zip(told.split_whitespace().skip(1))
            .filter(|(_, unit)| unit.trim_end_matches([',', ';']) == "m")
            .filter_map(|(figure, _)| figure.parse().ok())
            .collect();
        if let [moved, distance, reach] = figures[..] {
            assert!(distance - reach + 3.0 >= moved, "{told}");
        } else {
            assert!(told.contains("from where it held"), "{told}");
        }
    }
    assert!(scene.raised(Hazard::Dragging));
}

/// Between two rounds, the fix that shows a drag triggers a judgement at once, and no fix before it does.
#[test]
fn the_fix_that_shows_a_drag_does_not_wait_for_the_next_round() {
    let mut scene = Scene::anchored();
    let called = (0..900_u32).find(|second| {
        scene.lie(30.0 + 0.1 * f64::from(*second));
        scene.second += 1;
        scene.keeper.handle_timeout(at(scene.second));
        assert!(!scene.keeper.has_news() && !scene.raised(Hazard::Dragging));
        scene.report("boat.1", scene.facts());
        scene.keeper.has_news()
    });
    assert!(called.is_some());
    scene.keeper.handle_timeout(at(scene.second));
    scene.drain();
    assert!(scene.raised(Hazard::Dragging));
    assert!(!scene.keeper.has_news(), "it has been judged");
}

/// The crew's own circle is wide, so that only the drag test has news.
#[test]
fn a_fix_that_shows_a_drag_is_judged_at_once() {
    let mut scene = Scene::anchored();
    scene.command(Command::MaxRadius(Some(Metres::of(200.0))));
    scene.run(5);
    for second in 0..600_u32 {
        scene.lie(30.0 + 0.3 * f64::from(second));
        scene.second += 1;
        // This second's round is over when the fix arrives.
        scene.keeper.handle_timeout(at(scene.second));
        scene.report("boat.1", scene.facts());
        assert!(!scene.raised(Hazard::Dragging), "{second}");
        let news = scene.keeper.has_news();
        scene.keeper.handle_timeout(at(scene.second));
        scene.drain();
        assert_eq!(news, scene.raised(Hazard::Dragging), "{second}");
        if news {
            return;
        }
    }
    panic!("no drag was found");
}
