use super::*;
use crate::alert::hazard::{AlertState, Priority};
use crate::boat::BoatFigures;
use crate::geodesy::Offset;
use crate::observation::{Fact, FixMethod, Label, Report, Subject};
use crate::units::{Angle, Bearing, Hertz, Speed};
use crate::watch::manner::Kind;
use crate::watch::words::{Command, LetGo};
use proptest::prelude::*;

mod berths;

/// A boat 11.2 m long with her antenna 9.1 m aft of the stem, moved by hand.
struct Scene {
    keeper: Watchkeeper,
    second: u64,
    /// The bow roller, from the first position.
    roller: Offset,
    heading: Bearing,
    wind_from: Bearing,
    wind_knots: f64,
    /// The engine's revolutions a minute, where it speaks.
    rpm: Option<f64>,
    heard: Vec<Output>,
    seen: bool,
}

fn first() -> Position {
    Position::new(59.8539, 23.26).unwrap()
}

fn at(second: u64) -> Now {
    let start = Timestamp::from_millis(1_780_000_000_000);
    let gone = Duration::from_secs(second);
    Now::new(Tick::from_secs(second), start.plus(gone))
}

fn settings() -> WatchSettings {
    WatchSettings {
        boat: BoatFigures {
            length: Some(Metres::of(11.2)),
            draught: Some(Metres::of(1.9)),
            roller_height: Some(Metres::of(1.2)),
            antenna_from_bow: Some(Metres::of(9.1)),
            antenna_from_centre: Some(Metres::ZERO),
            ..BoatFigures::default()
        },
        scope: 4.0,
        ..WatchSettings::default()
    }
}

impl Scene {
    fn new() -> Self {
        Self::resumed(0, Saved::default(), None)
    }

    fn resumed(second: u64, saved: Saved, last_seen: Option<Timestamp>) -> Self {
        let mut keeper = Watchkeeper::new(at(second), settings(), saved, last_seen);
        keeper.handle(at(second), Input::Link(LinkState::Up));
        Self {
            keeper,
            second,
            roller: Offset::ZERO,
            heading: Bearing::from_degrees(220.0),
            wind_from: Bearing::from_degrees(220.0),
            wind_knots: 12.0,
            rpm: None,
            heard: Vec::new(),
            seen: true,
        }
    }

    /// A second passes.
    fn step(&mut self) {
        self.second += 1;
        let now = at(self.second);
        if self.seen {
            // A receiver's last digits never rest.
            let hair = Offset {
                east: 0.001 * (self.second % 7) as f64,
                north: 0.0,
            };
            let aft = Offset::polar(self.heading.reversed(), Metres::of(9.1));
            let antenna = Plane::at(first()).position(self.roller + aft + hair);
            let facts = vec![
                Fact::HeadingTrue(Some(self.heading)),
                Fact::WindDirectionTrue(Some(self.wind_from)),
                Fact::WindSpeedTrue(Some(Speed::from_knots(self.wind_knots))),
                Fact::DepthBelowKeel(Some(Metres::of(6.1))),
                Fact::Position(Some(antenna)),
            ];
            self.report("boat.1", facts);
        }
        if let Some(rpm) = self.rpm {
            let turns = Fact::Revolutions {
                engine: Label::new("main"),
                rate: Some(Hertz::of(rpm / 60.0)),
            };
            self.report("engine.1", vec![turns]);
        }
        self.keeper.handle_timeout(now);
        self.drain();
    }

    fn report(&mut self, source: &str, facts: Vec<Fact>) {
        let now = at(self.second);
        let report = Report {
            subject: Subject::Own,
            source: Label::new(source),
            stamp: Some(now.utc),
            facts,
        };
        self.keeper.handle(now, Input::Report(report));
        self.drain();
    }

    fn run(&mut self, seconds: u64) {
        for _ in 0..seconds {
            self.step();
        }
    }

    fn command(&mut self, command: Command) -> Outcome {
        self.keeper
            .handle(at(self.second), Input::Command { id: 7, command });
        self.drain();
        self.heard
            .iter()
            .rev()
            .find_map(|output| match output {
                Output::Reply { id: 7, outcome } => Some(outcome.clone()),
                _ => None,
            })
            .unwrap()
    }

    fn let_go(&mut self, rode: f64) -> Outcome {
        self.command(Command::LetGo(LetGo {
            rode: Metres::new(rode),
            ..LetGo::default()
        }))
    }

    /// Anchored at the first position and lying 30 m down-wind of it.
    fn anchored() -> Self {
        let mut scene = Self::new();
        scene.run(20);
        assert!(matches!(scene.let_go(40.0), Outcome::Done(_)));
        for metre in 0..300_u32 {
            scene.lie(f64::from(metre) / 10.0);
            scene.step();
        }
        scene.run(700);
        assert_eq!(scene.keeper.phase, Phase::Set);
        scene
    }

    /// Puts the roller so far down-wind of the anchor, the bow to the wind.
    fn lie(&mut self, distance: f64) {
        self.heading = self.wind_from;
        self.roller = Offset::polar(self.wind_from.reversed(), Metres::of(distance));
    }

    fn drain(&mut self) {
        while let Some(output) = self.keeper.poll_output() {
            self.heard.push(output);
        }
    }

    fn events(&self) -> Vec<(EventKind, Option<Hazard>)> {
        self.heard
            .iter()
            .filter_map(|output| match output {
                Output::Event(event) => Some((event.event, event.hazard)),
                _ => None,
            })
            .collect()
    }

    fn raised(&self, hazard: Hazard) -> bool {
        self.events().contains(&(EventKind::Raised, Some(hazard)))
    }

    fn state(&self, hazard: Hazard) -> AlertState {
        self.keeper.desk.state(hazard)
    }
}

fn refusal(outcome: Outcome) -> String {
    match outcome {
        Outcome::Refused(why) => why,
        Outcome::Done(done) => panic!("not refused: {done}"),
    }
}

#[test]
fn the_mark_lies_under_the_roller_not_under_the_antenna() {
    let mut scene = Scene::new();
    scene.run(20);
    let Outcome::Done(said) = scene.let_go(40.0) else {
        panic!("refused")
    };
    let mark = scene.keeper.mark.unwrap();
    assert!(mark.position.distance_to(first()).get() < 0.1);
    // 6.1 m below the keel and 1.9 m draught: 8 m of water.
    assert!((mark.depth.unwrap().get() - 8.0).abs() < 1e-9);
    assert!(
        said.ends_with("40 m of rode to be veered, in 8.0 m of water"),
        "{said}"
    );
}

#[test]
fn a_quiet_night_raises_nothing_and_a_drag_raises_one_alarm() {
    let mut scene = Scene::anchored();
    scene.run(3 * 3600);
    assert!(scene.keeper.alerts().is_empty());
    // Reach: 40.8 m of stretched rode over 9.2 m: 39.7 m. She drags at 0.1 m/s.
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
    // In the same wind she has lain ten metres short of her reach for hours: so nearly all of what she
    // goes beyond that counts, but not before she is about as far off the mark as the rode reaches.
    assert!((39.0..45.0).contains(&distance), "{distance}");
    assert_eq!(scene.keeper.phase, Phase::Dragging);
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::ActiveUnacknowledged
    );
    // What is on disk comes before what is announced.
    let persisted = scene
        .heard
        .iter()
        .position(|o| matches!(o, Output::Persist(saved) if saved.phase == Phase::Dragging));
    let announced = scene
        .heard
        .iter()
        .position(|o| matches!(o, Output::Alert(view) if view.hazard == Hazard::Dragging));
    assert!(persisted.unwrap() < announced.unwrap());
}

#[test]
fn a_wind_reversal_swings_her_through_the_circle_and_is_no_drag() {
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
    assert_eq!(scene.keeper.phase, Phase::Dragging);
    scene.lie(30.0);
    scene.run(600);
    assert_eq!(scene.keeper.phase, Phase::Set);
    assert_eq!(
        scene.state(Hazard::Dragging),
        AlertState::RectifiedUnacknowledged
    );
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
        assert_eq!(scene.keeper.phase, Phase::Dragging);
        scene.run(1200);
        let moved = scene.keeper.mark.unwrap().position.distance_to(first());
        if ordered {
            assert_eq!(scene.keeper.phase, Phase::Dragging);
            assert!(moved < Metres::of(0.1));
        } else {
            // She drifted 60 m; how taut she lay before nobody knows to the metre.
            assert_eq!(scene.keeper.phase, Phase::Set);
            assert!((45.0..65.0).contains(&moved.get()), "{moved}");
            assert!(scene.heard.iter().any(|output| matches!(
                output,
                Output::Event(event) if event.message.starts_with("set: she holds again")
            )));
            // Half an hour later she drags on: told again.
            scene.run(1800);
            for metre in 0..450_u32 {
                scene.lie(90.0 + f64::from(metre) / 10.0);
                scene.step();
            }
            assert_eq!(scene.keeper.phase, Phase::Dragging);
        }
    }
}

/// An anchor that never bites: she is far outside minutes after the mark was made. That the mark may
/// have been bad is no reason to say nothing.
#[test]
fn far_outside_minutes_after_letting_go_is_told() {
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
    // Roller at 35 m: her centre is 5.6 m farther.
    scene.lie(35.0);
    scene.run(30);
    assert!(scene.raised(Hazard::SwingExceeded) && !scene.raised(Hazard::Dragging));
}

/// A shift of the fix carries her far outside at once, and back after half a minute. The crew's own
/// circle alarms all the same: shallows and neighbours stand behind it.
#[test]
fn a_shift_of_the_fix_moves_the_reckoned_circle_with_it() {
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
fn refusals_say_why_and_change_nothing() {
    let mut scene = Scene::new();
    scene.seen = false;
    scene.run(5);
    let before = scene.keeper.saved();
    assert_eq!(
        refusal(scene.let_go(40.0)),
        "no usable position to mark the anchor with (none is heard); give `position`, or let go again when there is a fix"
    );
    assert_eq!(
        refusal(scene.command(Command::RodeOut(Metres::of(40.0)))),
        "not at anchor: `letGo` comes first"
    );
    assert_eq!(
        refusal(scene.command(Command::Weigh)),
        "not at anchor: `letGo` comes first"
    );
    assert_eq!(
        refusal(scene.command(Command::Acknowledge(None))),
        "there is no alert to acknowledge or silence"
    );
    scene.seen = true;
    scene.run(5);
    assert_eq!(
        refusal(scene.let_go(8.5)),
        "`rode` = 8.5 m does not reach the bottom: 8.0 m of water and the bow roller 1.2 m up; veer more"
    );
    let far = LetGo {
        position: Some(first().moved(Bearing::from_degrees(0.0), Metres::of(2300.0))),
        ..LetGo::default()
    };
    assert_eq!(
        refusal(scene.command(Command::LetGo(far))),
        "`position` lies 2300 m from the boat; check latitude and longitude, west and south are negative"
    );
    assert_eq!(scene.keeper.saved(), before);
}

#[test]
fn what_was_not_said_is_assumed_and_remarked() {
    let mut scene = Scene::new();
    scene.run(20);
    let Outcome::Done(said) = scene.command(Command::LetGo(LetGo::default())) else {
        panic!("refused")
    };
    assert!(
        said.contains("rode not said: all 60 m aboard is taken to be out"),
        "{said}"
    );
    let remarks = scene.keeper.picture(at(scene.second)).remarks;
    assert!(remarks[0].starts_with("rode not said"), "{remarks:?}");
}

#[test]
fn weighing_clears_what_concerned_the_anchor() {
    let mut scene = Scene::anchored();
    scene.lie(80.0);
    scene.run(120);
    assert!(scene.raised(Hazard::Dragging));
    let Outcome::Done(said) = scene.command(Command::Weigh) else {
        panic!("refused")
    };
    assert!(said.starts_with("anchor aweigh after"), "{said}");
    assert!(scene.keeper.alerts().is_empty());
    assert_eq!(scene.keeper.picture(at(scene.second)).anchor, None);
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
fn scope_and_keel_are_judged_at_the_turns_to_come() {
    let mut scene = Scene::anchored();
    let tide = |now: f64, high: f64, low: f64| {
        vec![
            Fact::TideNow(Metres::new(now)),
            Fact::TideHigh(Metres::new(high)),
            Fact::TideLow(Metres::new(low)),
        ]
    };
    scene.step();
    scene.report("tide.table", tide(1.0, 3.0, 0.5));
    scene.run(3);
    let picture = scene.keeper.picture(at(scene.second));
    // 40 m over 8.0 + 2.0 + 1.2 m.
    assert!((picture.scope_at_high_water.unwrap() - 40.0 / 11.2).abs() < 1e-6);
    // 8.0 - 0.5 - 1.9 m.
    assert!((picture.under_keel_at_low_water.unwrap().get() - 5.6).abs() < 1e-6);
    // Wanted are 4:1; 3.6:1 at high water is a caution.
    assert_eq!(
        scene.state(Hazard::ScopeShort),
        AlertState::ActiveAcknowledged
    );
    // The crew veers: the caution goes.
    scene.command(Command::RodeOut(Metres::of(50.0)));
    scene.run(12);
    assert_eq!(scene.state(Hazard::ScopeShort), AlertState::Normal);
    // A tide that will fall by six metres leaves 0.1 m under the keel.
    scene.step();
    scene.report("tide.table", tide(1.0, 2.0, -5.0));
    scene.run(3);
    assert_eq!(
        scene.state(Hazard::Shoaling),
        AlertState::ActiveUnacknowledged
    );
    let alert = scene
        .keeper
        .alerts()
        .into_iter()
        .find(|a| a.hazard == Hazard::Shoaling);
    assert_eq!(
        alert.unwrap().message,
        "shoaling: at low water 0.1 m under the keel where she has swung, 0.5 m is wanted; look at the tide table"
    );
}

#[test]
fn too_little_under_the_keel_now_is_an_alarm() {
    let mut scene = Scene::anchored();
    for _ in 0..60 {
        scene.step();
        scene.report(
            "second.sounder",
            vec![Fact::DepthBelowSurface(Metres::new(2.1))],
        );
    }
    let alert = scene.keeper.alerts().remove(0);
    assert_eq!(
        (alert.hazard, alert.priority),
        (Hazard::Shoaling, Priority::Alarm)
    );
    assert!(
        alert.message.starts_with("shoaling: 0.2 m under the keel"),
        "{}",
        alert.message
    );
}

#[test]
fn a_counter_on_the_windlass_counts_over_the_crew_s_word() {
    let mut scene = Scene::anchored();
    scene.step();
    scene.report("windlass.1", vec![Fact::RodeCounter(Metres::new(45.0))]);
    scene.run(2);
    let picture = scene.keeper.picture(at(scene.second));
    assert_eq!(picture.rode_out, Some(Metres::of(45.0)));
    assert!(
        picture
            .remarks
            .iter()
            .any(|r| r.starts_with("rode out by the windlass' counter: 45 m"))
    );
    // Heaving in: she still lies where she lay, and that is no drag.
    for rode in (10..45_u32).rev() {
        scene.step();
        scene.report(
            "windlass.1",
            vec![Fact::RodeCounter(Metres::new(f64::from(rode)))],
        );
    }
    scene.run(120);
    assert!(!scene.raised(Hazard::Dragging));
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
fn saying_the_same_rode_again_and_again_does_not_blind_the_watch() {
    let mut scene = Scene::anchored();
    for second in 0..600_u32 {
        scene.lie(30.0 + 0.2 * f64::from(second));
        scene.step();
        if second % 10 == 0 {
            scene.command(Command::RodeOut(Metres::of(40.0)));
            scene.command(Command::CorrectMark(first()));
        }
    }
    assert!(scene.raised(Hazard::Dragging));
}

#[test]
fn a_wind_reversal_with_an_antenna_nobody_placed_is_no_drag() {
    let blank = WatchSettings {
        boat: BoatFigures {
            length: Some(Metres::of(11.0)),
            roller_height: Some(Metres::of(1.2)),
            draught: Some(Metres::of(1.9)),
            ..BoatFigures::default()
        },
        ..settings()
    };
    // The antenna is truly 9.1 m aft of the stem, see `Scene::step`.
    let mut scene = Scene::new();
    scene.keeper = Watchkeeper::new(at(0), blank, Saved::default(), None);
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

#[test]
fn a_counter_that_was_not_reset_and_one_that_falls_silent_raise_no_drag() {
    let mut scene = Scene::anchored();
    scene.step();
    scene.report("windlass.1", vec![Fact::RodeCounter(Some(Metres::ZERO))]);
    scene.run(120);
    assert_eq!(
        scene.keeper.picture(at(scene.second)).rode_out,
        Some(Metres::of(40.0))
    );
    // Veered to 60 m by the windlass, and its breaker switched off.
    scene.step();
    scene.report("windlass.1", vec![Fact::RodeCounter(Metres::new(60.0))]);
    for metre in 0..250_u32 {
        scene.lie(30.0 + f64::from(metre) / 10.0);
        scene.step();
    }
    scene.run(1800);
    assert!(!scene.raised(Hazard::Dragging));
    assert_eq!(
        scene.keeper.saved().mark.unwrap().rode,
        Some(Metres::of(60.0))
    );
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

fn arbitrary_input() -> impl Strategy<Value = Input> {
    let far = prop_oneof![-80.0..80.0_f64, Just(50_000.0)];
    let source = prop_oneof![Just("gps0.GP"), Just("gps1.GP")];
    let position =
        (source, far, -80.0..80.0_f64, any::<bool>()).prop_map(|(source, e, n, null)| {
            let offset = Offset { east: e, north: n };
            let place = Plane::at(first()).position(offset);
            (source, Fact::Position((!null).then_some(place)))
        });
    let other = prop_oneof![
        Just(Fact::FixMethod(Some(FixMethod::NoFix))),
        Just(Fact::FixMethod(Some(FixMethod::Satellite))),
        Just(Fact::HeadingTrue(None)),
        (0.0..360.0_f64).prop_map(|d| Fact::HeadingTrue(Some(Bearing::from_degrees(d)))),
        (0.0..360.0_f64).prop_map(|d| Fact::WindDirectionTrue(Some(Bearing::from_degrees(d)))),
        (0.0..40.0_f64).prop_map(|s| Fact::WindSpeedTrue(Speed::new(s))),
        (-5.0..40.0_f64).prop_map(|d| Fact::DepthBelowKeel(Metres::new(d))),
        Just(Fact::WindAngleApparent(Some(Angle::ZERO))),
        (0.0..50.0_f64).prop_map(|rate| Fact::Revolutions {
            engine: Label::new("main"),
            rate: Hertz::new(rate),
        }),
    ]
    .prop_map(|fact| ("gps0.GP", fact));
    let report = prop_oneof![4 => position, 2 => other].prop_map(|(source, fact)| {
        Input::Report(Report {
            subject: Subject::Own,
            source: Label::new(source),
            stamp: None,
            facts: vec![fact],
        })
    });
    let command = prop_oneof![
        Just(Command::LetGo(LetGo::default())),
        Just(Command::LetGo(LetGo {
            rode: Metres::new(40.0),
            ..LetGo::default()
        })),
        (0.0..100.0_f64).prop_map(|m| Command::RodeOut(Metres::of(m))),
        Just(Command::Weigh),
        Just(Command::Acknowledge(None)),
        Just(Command::Silence(None)),
        Just(Command::MaxRadius(Metres::new(20.0))),
        Just(Command::CorrectMark(first())),
        Just(Command::Berth(Some(first()))),
        any::<bool>().prop_map(Command::PullTest),
        (0..Kind::ALL.len(), any::<bool>(), any::<bool>()).prop_map(|(kind, given, from_track)| {
            Command::LetGo(LetGo {
                kind: Kind::ALL[kind],
                radius: given.then_some(Metres::of(15.0)),
                from_track,
                ..LetGo::default()
            })
        }),
    ]
    .prop_map(|command| Input::Command { id: 1, command });
    let link = prop_oneof![
        Just(LinkState::Up),
        Just(LinkState::Down("gone".to_owned())),
        Just(LinkState::Impaired("mute".to_owned())),
    ]
    .prop_map(Input::Link);
    let phones = prop_oneof![
        Just(Phones::Working),
        Just(Phones::Doubtful("mate".to_owned())),
        Just(Phones::Lost("mate".to_owned())),
    ]
    .prop_map(Input::Phones);
    prop_oneof![8 => report, 1 => command, 1 => link, 1 => phones, 2 => Just(Input::Timeout)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever comes, in whatever order, with gaps, time going backwards and restarts: nothing
    /// panics, phase and hazards agree, no unacknowledged alert is lost, and the same story told
    /// twice gives the same outputs byte for byte.
    #[test]
    fn any_story_keeps_the_watch_whole(
        story in prop::collection::vec((arbitrary_input(), -5_i64..90, 0..40_u8), 1..200),
    ) {
        let tell = || {
            let mut keeper = Watchkeeper::new(at(0), settings(), Saved::default(), None);
            let mut second = 0_u64;
            let mut told = String::new();
            for (input, gap, fate) in &story {
                second = second.saturating_add_signed(*gap);
                let now = at(second);
                keeper.handle(now, input.clone());
                if *fate == 0 {
                    let unseen = |k: &Watchkeeper| {
                        k.alerts()
                            .iter()
                            .filter(|a| a.state != AlertState::ActiveAcknowledged)
                            .filter(|a| a.hazard != Hazard::Watch)
                            .map(|a| a.hazard)
                            .collect::<Vec<_>>()
                    };
                    let before = unseen(&keeper);
                    keeper = Watchkeeper::new(now, settings(), keeper.saved(), Some(now.utc));
                    prop_assert_eq!(before, unseen(&keeper));
                }
                while let Some(output) = keeper.poll_output() {
                    told += &serde_json::to_string(&output).unwrap();
                }
                prop_assert_eq!(keeper.mark.is_some(), keeper.phase.is_anchored());
                if keeper.desk.state(Hazard::Dragging).is_active() {
                    prop_assert_ne!(keeper.phase, Phase::Aweigh);
                }
                if keeper.phase == Phase::Aweigh {
                    for hazard in [
                        Hazard::Dragging,
                        Hazard::SwingExceeded,
                        Hazard::WindShift,
                        Hazard::WindStrength,
                    ] {
                        prop_assert_eq!(keeper.desk.state(hazard), AlertState::Normal);
                    }
                }
            }
            Ok(told)
        };
        prop_assert_eq!(tell()?, tell()?);
    }
}
