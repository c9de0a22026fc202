//! The swinging circle: calculated, and the crew's own.

use super::*;

/// An anchor that never bites: she is far outside minutes after the mark was made. The mark may have
/// been bad, but that is no reason to stay silent.
#[test]
fn far_outside_minutes_after_letting_go_is_reported() {
    let mut scene = Scene::new();
    scene.run(5);
    scene.command(Command::LetGo(LetGo {
        rode: Metres::new(40.0),
        ..LetGo::default()
    }));
    for metre in 0..70 {
        scene.lie(f64::from(metre));
        scene.run(2);
    }
    scene.run(60);
    assert!(scene.raised(Hazard::SwingExceeded) || scene.raised(Hazard::Dragging));
}

#[test]
fn the_crew_s_own_circle_alarms_to_the_letter() {
    let mut scene = Scene::anchored();
    scene.command(Command::MaxRadius(Some(Metres::of(40.0))));
    scene.run(60);
    assert!(!scene.raised(Hazard::SwingExceeded));
    // The roller is at 35 m: her centre is 5.6 m farther.
    scene.lie(35.0);
    scene.run(30);
    assert!(scene.raised(Hazard::SwingExceeded) && !scene.raised(Hazard::Dragging));
}

/// A shift of the fix carries her far outside at once, and back after half a minute. The crew's own
/// circle raises its alarm all the same: shallows and neighbours lie beyond it.
#[test]
fn a_shift_of_the_fix_moves_the_calculated_circle_with_it() {
    let told = |own: Option<Metres>| {
        let mut scene = Scene::anchored();
        scene.lie(36.0);
        scene.run(1200);
        scene.command(Command::MaxRadius(own));
        scene.lie(80.0);
        scene.run(25);
        scene.lie(36.0);
        scene.run(120);
        (
            scene.raised(Hazard::SwingExceeded),
            scene.raised(Hazard::Dragging),
        )
    };
    assert_eq!(told(None), (false, false));
    assert_eq!(told(Metres::new(50.0)), (true, false));
}

/// Her centre wanders to and fro across the circle by a metre: there is one alarm, which stands until
/// she is well inside again.
#[test]
fn a_boat_on_the_edge_of_the_circle_is_reported_once() {
    let mut scene = Scene::anchored();
    scene.command(Command::MaxRadius(Some(Metres::of(40.0))));
    scene.lie(35.4);
    scene.run(30);
    assert!(scene.raised(Hazard::SwingExceeded));
    for _ in 0..20 {
        // Her centre at 39.6 m, which is inside by less than the accuracy of a fix, and outside
        // again.
        scene.lie(34.0);
        scene.run(20);
        scene.lie(35.4);
        scene.run(20);
    }
    let told = (EventKind::Raised, Some(Hazard::SwingExceeded));
    let raised = scene.events().into_iter().filter(|one| *one == told);
    assert_eq!(raised.count(), 1);
    let ended = (EventKind::Cleared, Some(Hazard::SwingExceeded));
    assert!(!scene.events().contains(&ended));
    scene.lie(20.0);
    scene.run(60);
    assert!(scene.events().contains(&ended));
}

/// Her reach is 39.7 m, 45.3 m to her centre; with ten metres of margin and thirty of room that makes 85
/// m around the mark as it was made. When she holds in a new place, that moves the mark but not this
/// circle, not even across a restart.
#[test]
fn beyond_the_last_circle_the_alarm_sounds_whatever_is_believed() {
    for (dragged, told) in [(25.0, false), (60.0, true)] {
        let mut scene = Scene::anchored();
        for step in 0..=600_u32 {
            scene.lie(30.0 + dragged * f64::from(step) / 600.0);
            scene.step();
        }
        assert_eq!(scene.phase(), AnchorPhase::Dragging);
        scene.run(1200);
        assert_eq!(scene.phase(), AnchorPhase::Set, "{dragged} m");
        assert_eq!(scene.raised(Hazard::SwingExceeded), told, "{dragged} m");
        if told {
            let message = scene.message(Hazard::SwingExceeded);
            assert!(
                message.contains("from the mark, the widest circle about it is 85 m"),
                "{message}"
            );
        }
        let saved = scene.keeper.saved().clone();
        let mut again = Scene::resumed(scene.second, saved, None);
        again.wind_from = scene.wind_from;
        again.lie(30.0 + dragged);
        again.run(150);
        let stands = again.state(Hazard::SwingExceeded) != AlertState::Normal;
        assert_eq!(stands, told, "{dragged} m");
    }
}

#[test]
fn the_answer_says_which_circle_counts_without_an_order() {
    let said = |kind: MooringKind, rode: Option<Metres>, radius: Option<Metres>| {
        let mut scene = Scene::new();
        scene.run(20);
        scene.ordered(LetGo {
            rode,
            kind,
            radius,
            ..LetGo::default()
        });
        scene.command(Command::MaxRadius(Some(Metres::of(60.0))));
        match scene.command(Command::MaxRadius(None)) {
            Outcome::Done(said) => said,
            Outcome::Refused(why) => panic!("refused: {why}"),
        }
    };
    assert_eq!(
        said(MooringKind::Anchor, Metres::new(40.0), None),
        "swinging circle calculated from the rode again"
    );
    assert_eq!(
        said(MooringKind::Mooring, None, Metres::new(16.0)),
        "swinging circle as given with `letGo` again"
    );
}

/// Her roller lies a little less than 30 m from the mark, her centre 35.5 m.
#[test]
fn a_crew_that_sets_a_circle_hears_if_she_is_outside_it() {
    for (radius, outside) in [(40.0, false), (30.0, true)] {
        let mut scene = Scene::anchored();
        let Outcome::Done(said) = scene.command(Command::MaxRadius(Metres::new(radius))) else {
            panic!("refused");
        };
        let told = said.contains("she is outside it now, 35 m from the mark");
        assert_eq!(told, outside, "{said}");
    }
}

/// The mark may have been made ten metres late. Farther out than that, the crew that digs the anchor in hears of it.
#[test]
fn while_the_anchor_is_dug_in_a_boat_stays_near_the_mark() {
    let told = |beyond: f64| {
        let mut scene = Scene::new();
        scene.run(5);
        scene.let_go(40.0);
        let picture = scene.keeper.picture(at(scene.second));
        // Half of her 11.2 m lies between roller and centre.
        let farthest = picture.max_radius.unwrap().get() - 5.6 + beyond;
        for step in 1..=60 {
            scene.lie(farthest * f64::from(step) / 60.0);
            scene.step();
        }
        scene.run(60);
        assert_eq!(scene.phase(), AnchorPhase::Setting, "{beyond}");
        scene.raised(Hazard::SwingExceeded)
    };
    assert!(!told(9.5) && told(10.5));
}

impl Scene {
    /// A fix half a second after a round. Returns whether it asks for another round at once, and makes that.
    fn asks_for_a_round(&mut self) -> bool {
        let half = Duration::from_millis(500);
        let tick = Tick::from_millis(1000 * self.second + 500);
        let round = Now::new(tick, at(self.second).utc.plus(half));
        self.keeper.handle_timeout(round);
        self.second += 1;
        self.report("boat.1", self.facts());
        let asks_for_a_round = self.keeper.has_news();
        if asks_for_a_round {
            self.keeper.handle_timeout(at(self.second));
            self.drain();
        }
        asks_for_a_round
    }
}

/// As soon as a fix shows that she has been outside for long enough, the alarm need not wait for the next round. After
/// the alarm, further fixes out there ask for no more rounds.
#[test]
fn a_fix_outside_the_circle_for_long_enough_is_judged_at_once_and_only_once() {
    let mut scene = Scene::anchored();
    scene.command(Command::MaxRadius(Some(Metres::of(40.0))));
    scene.run(5);
    scene.lie(36.0);
    for second in 0..60 {
        assert_eq!(scene.asks_for_a_round(), second == 15, "{second}");
        assert_eq!(scene.raised(Hazard::SwingExceeded), second >= 15);
    }
}

/// The same for the calculated circle, while the anchor is dug in.
#[test]
fn a_fix_outside_the_calculated_circle_is_judged_at_once() {
    let mut scene = Scene::new();
    scene.run(5);
    scene.let_go(40.0);
    let farthest = scene.keeper.picture(at(scene.second)).max_radius.unwrap();
    scene.lie(farthest.get() - 5.6 + 10.5);
    let hurried = (0..60).find(|_| scene.asks_for_a_round());
    assert!(hurried.is_some() && scene.raised(Hazard::SwingExceeded));
    assert_eq!(scene.phase(), AnchorPhase::Setting);
}

/// The drag carries her out of the calculated circle, which is no news any more. The widest circle is 85 m from the mark
/// to her centre, and she stays inside it.
#[test]
fn a_reported_drag_is_not_reported_as_a_circle_too() {
    let mut scene = Scene::anchored();
    let mut hurried = 0;
    for step in 0..600_u32 {
        scene.lie((30.0 + 0.2 * f64::from(step)).min(74.0));
        hurried += u32::from(scene.asks_for_a_round());
    }
    assert!(scene.raised(Hazard::Dragging) && hurried <= 1, "{hurried}");
    assert!(!scene.raised(Hazard::SwingExceeded));
}
