//! What the crew is told about other vessels, and what it is not told.

use super::*;
use crate::observation::NavState;
use crate::units::Speed;

/// The scene at anchor, with a neighbour that is moved by hand. Her antenna is amidships.
struct Anchorage {
    scene: Scene,
    name: &'static str,
    /// Relative to our anchor.
    at: Offset,
    /// Metres a second.
    velocity: Offset,
    /// Seconds from one report to the next.
    every: u64,
    state: Option<NavState>,
    /// She reports speed and course.
    speaks: bool,
}

fn compass(degrees: f64, metres: f64) -> Offset {
    Offset::polar(Bearing::from_degrees(degrees), Metres::of(metres))
}

impl Anchorage {
    /// We lie 30 m to the north-east of our anchor; she lies this far from our anchor, also to the
    /// north-east.
    fn with(distance: f64) -> Self {
        Self::of(Scene::anchored(), distance)
    }

    fn of(scene: Scene, distance: f64) -> Self {
        Self {
            scene,
            name: "Plover",
            at: compass(40.0, distance),
            velocity: Offset::ZERO,
            every: 180,
            state: None,
            speaks: true,
        }
    }

    fn run(&mut self, seconds: u64) -> &mut Self {
        for _ in 0..seconds {
            self.scene.step();
            self.at = self.at + self.velocity;
            if self.scene.second.is_multiple_of(self.every) {
                self.speak();
            }
        }
        self
    }

    fn speak(&mut self) {
        let now = at(self.scene.second);
        let mut facts = vec![
            Fact::Position(Some(Plane::at(first()).position(self.at))),
            Fact::Name(Some(Label::new(self.name))),
            Fact::Length(Some(Metres::of(10.0))),
            Fact::Beam(Some(Metres::of(3.0))),
            Fact::NavState(self.state),
        ];
        if self.speaks {
            let speed = Speed::of(self.velocity.length().get());
            facts.push(Fact::SpeedOverGround(Some(speed)));
            facts.push(Fact::CourseOverGround(Some(self.velocity.bearing())));
        }
        let report = Report {
            subject: Subject::Other(Label::new(&format!("vessels.{}", self.name))),
            source: Label::new("ais.VDM"),
            stamp: Some(now.utc),
            facts,
        };
        self.scene.keeper.handle(now, Input::Report(report));
        self.scene.drain();
    }

    fn told(&self) -> bool {
        self.scene.raised(Hazard::Neighbour)
    }

    fn priority(&self) -> Option<Priority> {
        let alerts = self.scene.keeper.alerts();
        let alert = alerts.iter().find(|it| it.hazard == Hazard::Neighbour);
        alert.map(|alert| alert.priority)
    }

    fn message(&self) -> String {
        self.scene.message(Hazard::Neighbour)
    }

    /// The alert as it is reported.
    fn told_gap(&self) -> f64 {
        let words = self.message();
        let told = words.split(" m off").next().unwrap();
        told.rsplit(' ').next().unwrap().parse().unwrap()
    }

    /// The gap between her hull and ours, in our current positions.
    fn gap(&self) -> f64 {
        (self.at - compass(40.0, 35.6)).length().get() - 10.6
    }
}

/// She lies up-wind and drags down on us at half a knot, heard every three minutes.
#[test]
fn a_neighbour_that_drags_down_on_us_is_reported_while_there_is_time() {
    for (speaks, state) in [
        (true, None),
        (false, None),
        (true, Some(NavState::AtAnchor)),
    ] {
        let mut bay = Anchorage::with(0.0);
        bay.at = compass(220.0, 220.0);
        (bay.speaks, bay.state) = (speaks, state);
        bay.run(3600);
        assert!(!bay.told(), "{}", bay.message());
        bay.velocity = compass(40.0, Speed::from_knots(0.5).get());
        while !bay.told() {
            bay.run(10);
            assert!(bay.gap() > 60.0, "{speaks} {state:?}: {}", bay.gap());
        }
        let words = bay.message();
        assert!(
            words.starts_with("neighbour dragging or under way: Plover has left her place, ")
                && words.contains("bears 220°")
                && words.ends_with("look outside, wake her crew, start the engine"),
            "{words}"
        );
        // It becomes an alarm by itself before she is alongside.
        while bay.priority() != Some(Priority::Alarm) {
            bay.run(10);
            assert!(bay.gap() > 5.0, "{speaks} {state:?}: {}", bay.message());
        }
    }
}

#[test]
fn a_vessel_that_swings_as_we_do_is_not_reported() {
    let mut bay = Anchorage::with(0.0);
    let anchor = compass(130.0, 70.0);
    for minute in 0..600_u64 {
        let turned = (minute as f64 * 0.6).min(180.0);
        bay.scene.wind_from = Bearing::from_degrees(220.0 + turned);
        bay.scene.lie(30.0);
        let sheer = (minute as f64 / 1.7).sin() * 25.0;
        bay.at = anchor + compass(40.0 + turned + sheer, 35.0);
        bay.run(60);
    }
    assert!(!bay.told(), "{}", bay.message());
    let picture = bay.scene.keeper.picture(at(bay.scene.second));
    let circle = picture.neighbours[0].circle.unwrap();
    // Observed: her anchor is found.
    assert!(!circle.assumed);
    let off = Plane::at(first())
        .position(anchor)
        .distance_to(circle.anchor);
    assert!(off < Metres::of(8.0), "{off}");
    // There are 70 m between the anchors; ours reaches 39.3 m plus 11.2 m of boat, hers 35 m plus
    // half of 10 m.
    let room = picture.neighbours[0].room_at_worst.unwrap().get();
    assert!((room - (70.0 - 50.5 - 40.0)).abs() < 10.0, "{room}");
    let together = picture.neighbours[0].room_together.unwrap().get();
    assert!((together - (70.0 - 10.6 - 9.9)).abs() < 12.0, "{together}");
}

/// One vessel at 6 kn straight at us, and one that will pass at 100 m.
#[test]
fn a_close_pass_is_reported_three_minutes_before_and_ends_when_she_is_past() {
    let six = Speed::from_knots(6.0).get();
    let mut bay = Anchorage::with(1500.0);
    bay.every = 10;
    bay.velocity = compass(220.0, six);
    while !bay.told() {
        bay.run(1);
        assert!(bay.gap() > 400.0);
    }
    assert!(bay.gap() < 570.0, "{}", bay.gap());
    assert_eq!(bay.priority(), Some(Priority::Warning));
    let words = bay.message();
    assert!(
        words.starts_with("vessel passes close: Plover may touch in ")
            && words.ends_with("bears 040°, closing at 6.0 kn; look outside, show a light"),
        "{words}"
    );
    while bay.priority() != Some(Priority::Alarm) {
        bay.run(1);
        assert!(bay.gap() > 150.0, "{}", bay.message());
    }
    // She finally turns away.
    bay.velocity = compass(310.0, six);
    bay.run(60);
    assert_eq!(
        bay.scene.state(Hazard::Neighbour),
        AlertState::RectifiedUnacknowledged
    );

    let mut clear = Anchorage::with(1500.0);
    clear.every = 10;
    clear.at = compass(40.0, 1500.0) + compass(130.0, 100.0);
    clear.velocity = compass(220.0, six);
    clear.run(900);
    assert!(!clear.told(), "{}", clear.message());
}

#[test]
fn each_vessel_is_acknowledged_separately() {
    let mut bay = Anchorage::with(400.0);
    bay.every = 10;
    bay.velocity = compass(220.0, 3.0);
    while !bay.told() {
        bay.run(1);
    }
    let acknowledge = Command::Acknowledge(Some(Hazard::Neighbour));
    assert!(matches!(bay.scene.command(acknowledge), Outcome::Done(_)));
    let raised = |bay: &Anchorage| {
        let raised = (EventKind::Raised, Some(Hazard::Neighbour));
        bay.scene
            .events()
            .iter()
            .filter(|it| **it == raised)
            .count()
    };
    bay.run(15);
    assert_eq!(raised(&bay), 1);
    // Another vessel appears behind her.
    bay.name = "Dunlin";
    bay.at = compass(300.0, 420.0);
    bay.velocity = compass(120.0, 3.0);
    for _ in 0..4 {
        bay.run(10);
    }
    assert!(raised(&bay) >= 2, "{}", bay.message());
    assert!(bay.scene.state(Hazard::Neighbour).sounds());
}

#[test]
fn a_vessel_that_comes_closer_is_reported_and_one_that_lay_close_is_not() {
    let mut bay = Anchorage::with(85.0);
    bay.run(3600);
    let mut close = Anchorage::with(60.0);
    close.run(7200);
    assert!(!close.told(), "{}", close.message());
    // Five metres with each report: too little to show as a drag.
    while !bay.told() {
        bay.velocity = compass(220.0, 1.0 / 60.0);
        bay.run(60);
        assert!(bay.gap() > 5.0, "{}", bay.gap());
    }
    assert!(
        bay.message()
            .starts_with("neighbour lies closer: Plover is "),
        "{}",
        bay.message()
    );
}

#[test]
fn no_neighbour_is_reported_under_way() {
    let mut scene = Scene::new();
    scene.run(20);
    let mut bay = Anchorage::of(scene, 400.0);
    bay.every = 10;
    bay.velocity = compass(220.0, 3.0);
    bay.run(200);
    assert!(!bay.told());
    let picture = bay.scene.keeper.picture(at(bay.scene.second));
    assert_eq!(picture.vessels_heard, 1);
}

/// The alert stands until the neighbours have had time to report.
#[test]
fn after_a_restart_an_alert_stands_until_she_was_heard_again() {
    let mut bay = Anchorage::with(400.0);
    bay.every = 10;
    bay.velocity = compass(220.0, 3.0);
    while !bay.told() {
        bay.run(1);
    }
    let (second, saved) = (bay.scene.second, bay.scene.keeper.saved());
    let mut scene = Scene::resumed(second, saved, Some(at(second).utc));
    scene.lie(30.0);
    scene.run(300);
    assert!(scene.state(Hazard::Neighbour).is_active());
    scene.run(200);
    assert!(!scene.state(Hazard::Neighbour).is_active());
}

/// `neighbour.watch = off`: she is shown, and nothing about her is reported.
#[test]
fn switched_off_nothing_is_reported_and_she_is_still_shown() {
    let settings = WatchSettings {
        neighbours: false,
        ..settings()
    };
    let mut bay = Anchorage::of(Scene::anchored_with(settings), 400.0);
    bay.every = 10;
    bay.velocity = compass(220.0, 3.0);
    bay.run(125);
    assert!(bay.gap() < 20.0, "{}", bay.gap());
    assert!(!bay.told());
    let shown = bay.scene.keeper.picture(at(bay.scene.second)).neighbours;
    assert_eq!(shown[0].name, "Plover");
    // With the watch on, the same is reported.
    let mut on = Anchorage::with(400.0);
    on.every = 10;
    on.velocity = compass(220.0, 3.0);
    on.run(125);
    assert!(on.told());
}

/// Our receiver is lost while she approaches: she is judged from our last position, and the message says
/// how old it is.
#[test]
fn without_a_fix_the_message_gives_the_time_of_our_own_position() {
    let mut bay = Anchorage::with(0.0);
    bay.at = compass(220.0, 220.0);
    bay.run(3600);
    bay.velocity = compass(40.0, Speed::from_knots(0.5).get());
    while !bay.told() {
        bay.run(10);
    }
    assert!(!bay.message().contains("our last position"));
    let lost = at(bay.scene.second).utc.clock();
    bay.scene.seen = false;
    // Other vessels are heard, so the link is up.
    bay.every = 10;
    let before = bay.gap();
    for _ in 0..20 {
        bay.run(10);
    }
    let words = bay.message();
    assert!(
        words.contains(&format!("(from our last position, at {lost} UTC)")),
        "{lost}: {words}"
    );
    let (told, gap) = (bay.told_gap(), bay.gap());
    assert!(
        before - gap > 45.0 && (told - gap).abs() < 12.0,
        "{told} {gap}"
    );
    // The alarm is raised all the same.
    while bay.priority() != Some(Priority::Alarm) {
        bay.run(10);
        assert!(bay.gap() > 5.0, "{}", bay.message());
    }
    bay.scene.seen = true;
    bay.run(20);
    assert!(!bay.message().contains("our last position"));
}

#[test]
fn who_lies_nearby_is_listed_for_a_plan() {
    let mut anchorage = Anchorage::with(120.0);
    let listed = |anchorage: &Anchorage| -> Vec<String> {
        let listed = anchorage
            .scene
            .keeper
            .neighbours(at(anchorage.scene.second));
        listed.into_iter().map(|neighbour| neighbour.name).collect()
    };
    assert!(listed(&anchorage).is_empty());
    anchorage.run(200);
    assert_eq!(listed(&anchorage), ["Plover"]);
}

/// A vessel that hardly moves manoeuvres or has just let go; one that makes a knot passes. Both come straight at us from
/// 90 m.
#[test]
fn a_vessel_that_hardly_moves_is_not_passing() {
    for (knots, reported) in [(0.6, false), (1.0, true)] {
        let mut bay = Anchorage::with(125.0);
        bay.every = 10;
        bay.velocity = compass(220.0, Speed::from_knots(knots).get());
        bay.run(120);
        assert_eq!(bay.told(), reported, "{knots} kn: {}", bay.message());
    }
}
