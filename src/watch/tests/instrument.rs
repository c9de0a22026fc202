//! What the crew is told about lost instruments.

use super::*;
use crate::watch::instruments::hearing::Instrument;

/// The scene, in which the instruments report by themselves and can be switched off one by one.
struct Bridge {
    scene: Scene,
    off: Vec<Instrument>,
}

impl Bridge {
    fn of(scene: Scene) -> Self {
        Self {
            scene,
            off: Vec::new(),
        }
    }

    fn run(&mut self, seconds: u64) {
        let on = |off: &[Instrument], it: Instrument| !off.contains(&it);
        for _ in 0..seconds {
            let scene = &mut self.scene;
            scene.seen = false;
            scene.second += 1;
            let now = at(scene.second);
            let aft = Offset::polar(scene.heading.reversed(), Metres::of(9.1));
            let hair = Offset {
                east: 0.001 * (scene.second % 7) as f64,
                north: 0.0,
            };
            let antenna = Plane::at(first()).position(scene.roller + aft + hair);
            let mut facts = vec![Fact::Position(Some(antenna))];
            if on(&self.off, Instrument::Heading) {
                facts.push(Fact::HeadingTrue(Some(scene.heading)));
            }
            if on(&self.off, Instrument::Wind) {
                facts.push(Fact::WindDirectionTrue(Some(scene.wind_from)));
                let speed = Speed::from_knots(scene.wind_knots);
                facts.push(Fact::WindSpeedTrue(Some(speed)));
            }
            if on(&self.off, Instrument::Sounder) {
                facts.push(Fact::DepthBelowKeel(Some(Metres::of(6.1))));
            }
            scene.report("boat.1", facts);
            scene.keeper.handle_timeout(now);
            scene.drain();
        }
    }

    fn message(&self) -> String {
        self.scene.message(Hazard::Instrument)
    }
}

/// Seconds until the loss is reported.
fn told_after(bridge: &mut Bridge, most: u64) -> Option<u64> {
    (1..=most).find(|_| {
        bridge.run(1);
        bridge.scene.state(Hazard::Instrument).is_active()
    })
}

#[test]
fn each_instrument_that_falls_silent_at_anchor_is_reported_with_the_consequences() {
    for (instrument, words) in [
        (
            Instrument::Wind,
            "wind instrument silent for 2 min: wind shift and strength are not watched; check the instruments",
        ),
        (
            Instrument::Sounder,
            "sounder silent for 2 min: depth, keel and scope are not watched; check the instruments",
        ),
        (
            Instrument::Heading,
            "heading sensor silent for 2 min: position of the bow less certain, a drag is detected later; check the instruments",
        ),
    ] {
        let mut bridge = Bridge::of(Scene::anchored());
        bridge.off = vec![instrument];
        assert_eq!(told_after(&mut bridge, 300), Some(121), "{instrument:?}");
        assert_eq!(bridge.message(), words);
        let alert = bridge.scene.keeper.alerts().remove(0);
        assert_eq!(alert.priority, Priority::Caution);
    }
}

#[test]
fn a_silent_instrument_is_reported_before_the_mark_too() {
    let mut bridge = Bridge::of(Scene::new());
    bridge.run(30);
    bridge.off = vec![Instrument::Wind];
    assert_eq!(told_after(&mut bridge, 300), Some(121));
}

#[test]
fn several_are_one_alert() {
    let mut bridge = Bridge::of(Scene::anchored());
    bridge.off = vec![Instrument::Wind];
    bridge.run(60);
    bridge.off = vec![Instrument::Wind, Instrument::Sounder];
    bridge.run(300);
    let raised = bridge
        .scene
        .events()
        .iter()
        .filter(|event| **event == (EventKind::Raised, Some(Hazard::Instrument)))
        .count();
    assert_eq!(raised, 1);
    let told = bridge.message();
    assert!(
        told.starts_with("wind instrument silent for 6 min, sounder silent for 5 min: "),
        "{told}"
    );
}

#[test]
fn an_unsteady_instrument_is_reported_once_until_it_is_steady() {
    let mut bridge = Bridge::of(Scene::anchored());
    for _ in 0..30 {
        bridge.off = vec![Instrument::Wind];
        bridge.run(25);
        bridge.off.clear();
        bridge.run(25);
    }
    assert!(
        bridge
            .message()
            .starts_with("wind instrument intermittent for "),
        "{}",
        bridge.message()
    );
    bridge.run(120);
    assert_eq!(bridge.scene.state(Hazard::Instrument), AlertState::Normal);
    let of_it = bridge.scene.events();
    let of_it = of_it
        .iter()
        .filter(|(_, hazard)| *hazard == Some(Hazard::Instrument));
    let kinds: Vec<_> = of_it.map(|(kind, _)| *kind).collect();
    assert_eq!(kinds, [EventKind::Raised, EventKind::Cleared]);
}

/// A pause of a minute is not a loss, and neither is an instrument that reports twice a minute.
#[test]
fn a_pause_and_a_slow_instrument_are_no_loss() {
    let mut bridge = Bridge::of(Scene::anchored());
    bridge.off = vec![Instrument::Wind];
    bridge.run(100);
    bridge.off.clear();
    bridge.run(180);
    assert!(!bridge.scene.raised(Hazard::Instrument));
    let mut slow = Bridge::of(Scene::new());
    for _ in 0..60 {
        slow.off = vec![Instrument::Sounder];
        slow.run(29);
        slow.off.clear();
        slow.run(1);
    }
    assert!(!slow.scene.raised(Hazard::Instrument));
}

#[test]
fn after_a_restart_an_instrument_that_was_heard_at_anchor_is_missed() {
    let scene = Scene::anchored();
    let saved = scene.keeper.saved();
    assert!(saved.heard.contains(&Instrument::Wind));
    let resumed = Scene::resumed(scene.second + 60, saved, Some(at(scene.second).utc));
    let mut bridge = Bridge::of(resumed);
    bridge.scene.lie(30.0);
    bridge.off = vec![Instrument::Wind];
    assert_eq!(told_after(&mut bridge, 300), Some(121));
    let told = bridge.message();
    assert!(
        told.starts_with("wind instrument not heard since the restart 2 min ago: "),
        "{told}"
    );
}

#[test]
fn in_a_strong_wind_a_lost_wind_instrument_is_a_warning() {
    let mut scene = Scene::anchored();
    scene.wind_knots = 30.0;
    let mut bridge = Bridge::of(scene);
    bridge.run(900);
    bridge.off = vec![Instrument::Wind];
    bridge.run(130);
    let alerts = bridge.scene.keeper.alerts();
    let told = alerts
        .iter()
        .find(|alert| alert.hazard == Hazard::Instrument);
    assert_eq!(told.unwrap().priority, Priority::Warning);
}

/// At 4 m of tide there are 6.1 m under the keel. A fall to 0.6 m leaves 2.7 m; a fall to -1.8 m leaves 0.3 m,
/// less than the margin of half a metre.
#[test]
fn a_lost_sounder_is_a_warning_where_the_tide_falls_below_the_margin() {
    for (low, priority) in [(0.6, Priority::Caution), (-1.8, Priority::Warning)] {
        let mut bridge = Bridge::of(Scene::anchored());
        let tide = |height: f64| Some(Metres::of(height));
        for minute in 0..6 {
            let facts = vec![
                Fact::TideNow(tide(4.0)),
                Fact::TideHigh(tide(4.2)),
                Fact::TideLow(tide(low)),
            ];
            bridge.scene.report("tide.1", facts);
            if minute == 1 {
                bridge.off = vec![Instrument::Sounder];
            }
            bridge.run(60);
        }
        let alerts = bridge.scene.keeper.alerts();
        let told = alerts
            .iter()
            .find(|alert| alert.hazard == Hazard::Instrument);
        assert_eq!(told.unwrap().priority, priority, "{low}");
    }
}

#[test]
fn a_lost_data_link_is_not_a_lost_instrument_and_one_still_silent_after_it_is_reported() {
    let mut bridge = Bridge::of(Scene::anchored());
    let down = LinkState::Down("connection refused".into());
    let link = |bridge: &mut Bridge, state: LinkState| {
        let now = at(bridge.scene.second);
        bridge.scene.keeper.handle(now, Input::Link(state));
    };
    link(&mut bridge, down);
    for _ in 0..600 {
        bridge.scene.seen = false;
        bridge.scene.step();
    }
    let told: Vec<_> = bridge
        .scene
        .keeper
        .alerts()
        .iter()
        .map(|a| a.hazard)
        .collect();
    assert_eq!(told, [Hazard::DataLink]);
    link(&mut bridge, LinkState::Up);
    bridge.off = vec![Instrument::Heading];
    let after = told_after(&mut bridge, 300);
    assert!(
        after.is_some_and(|seconds| (115..=125).contains(&seconds)),
        "{after:?}"
    );
}

#[test]
fn a_neighbourhood_that_falls_silent_is_a_lost_receiver_and_a_single_vessel_is_not() {
    for (vessels, lost) in [(1, false), (3, true)] {
        let mut bridge = Bridge::of(Scene::anchored());
        for _ in 0..5 {
            for vessel in 0..vessels {
                let now = at(bridge.scene.second);
                let report = Report {
                    subject: Subject::Other(Label::new(&format!("vessels.{vessel}"))),
                    source: Label::new("ais.1"),
                    stamp: Some(now.utc),
                    facts: vec![Fact::Position(Some(first()))],
                };
                bridge.scene.keeper.handle(now, Input::Report(report));
            }
            bridge.run(180);
        }
        bridge.run(700);
        assert_eq!(bridge.scene.raised(Hazard::Instrument), lost, "{vessels}");
    }
}

/// The server sends a frame for each path of a message. Anchored vessels send every three minutes, and a vessel far
/// away is heard once a minute.
#[test]
fn boats_at_anchor_around_her_are_no_lost_receiver() {
    let mut bridge = Bridge::of(Scene::anchored());
    for minute in 0..120_u64 {
        for vessel in 0..4_u64 {
            let is_due = vessel == 3 || minute % 3 == vessel;
            for path in 0..4_i32 {
                let now = at(bridge.scene.second);
                let fact = match path {
                    0 => Fact::Position(Some(first())),
                    _ => Fact::SpeedOverGround(Some(Speed::of(0.1 * f64::from(path)))),
                };
                let report = Report {
                    subject: Subject::Other(Label::new(&format!("vessels.{vessel}"))),
                    source: Label::new("ais.1"),
                    stamp: Some(now.utc),
                    facts: vec![fact],
                };
                if is_due {
                    bridge.scene.keeper.handle(now, Input::Report(report));
                }
            }
        }
        bridge.run(60);
        assert!(!bridge.scene.raised(Hazard::Instrument), "{minute}");
    }
}

#[test]
fn the_state_keeps_showing_what_is_lost_and_since_when() {
    let mut bridge = Bridge::of(Scene::anchored());
    let since = at(bridge.scene.second).utc;
    bridge.off = vec![Instrument::Wind];
    bridge.run(180);
    let now = at(bridge.scene.second);
    let lost = bridge.scene.keeper.picture(now).lost;
    let wind = lost.iter().find(|it| it.instrument == Instrument::Wind);
    let wind = wind.unwrap();
    assert_eq!(wind.since, Some(since));
    assert_eq!(wind.told(now.utc).english(), "silent for 3 min");
}

/// `$WIMWV,---,R,---,N,A` as the data server passes it on.
#[test]
fn a_vane_without_numbers_is_reported_and_is_not_a_calm() {
    let mut bridge = Bridge::of(Scene::anchored());
    bridge.off = vec![Instrument::Wind];
    for second in 0..400_u64 {
        let (speed, degrees) = if second < 60 { (7.2, 2.0) } else { (0.0, 0.0) };
        let facts = vec![
            Fact::WindSpeedApparent(Some(Speed::of(speed))),
            Fact::WindAngleApparent(Some(crate::units::Angle::from_degrees(degrees))),
        ];
        bridge.scene.report("wind.WI", facts);
        bridge.run(1);
    }
    assert!(
        bridge
            .message()
            .starts_with("wind instrument has had no value for 5 min: "),
        "{}",
        bridge.message()
    );
    let now = at(bridge.scene.second);
    assert_eq!(bridge.scene.keeper.picture(now).wind_speed, None);
}

/// The sounder repeats its last depth with fresh stamps. Only the water that the tide takes away
/// shows the fault.
#[test]
fn a_sounder_that_does_not_follow_the_tide_is_reported_as_frozen() {
    let mut bridge = Bridge::of(Scene::anchored());
    let fall = |bridge: &mut Bridge, minutes: u64, from: f64| {
        for minute in 0..minutes {
            let height = from - 1.2 / 60.0 * minute as f64;
            let tide = vec![
                Fact::TideNow(Metres::new(height)),
                Fact::TideHigh(Metres::new(3.0)),
                Fact::TideLow(Metres::new(-0.5)),
            ];
            bridge.scene.report("tide.table", tide);
            bridge.run(60);
        }
    };
    fall(&mut bridge, 90, 3.0);
    assert_eq!(bridge.message(), "");
    fall(&mut bridge, 20, 1.2);
    assert_eq!(
        bridge.message(),
        "sounder frozen, it repeats one reading: depth, keel and scope are not watched; check the instruments"
    );
    let picture = bridge.scene.keeper.picture(at(bridge.scene.second));
    assert_eq!(picture.water_depth, None);
}
