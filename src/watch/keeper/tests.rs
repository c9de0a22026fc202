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
mod blind;
mod contradictions;
mod moving;

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
