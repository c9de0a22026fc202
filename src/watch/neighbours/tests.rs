//! The table: its bound, and which vessels are not neighbours.

use super::*;
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::Input;
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

const HERE: Position = Position::of(59.85, 23.26);

fn place(east: f64) -> [Fact; 1] {
    let position = HERE.moved(Bearing::from_degrees(90.0), Metres::of(east));
    [Fact::Position(Some(position))]
}

fn now(second: u64) -> Now {
    let start = Timestamp::from_millis(1_780_000_000_000);
    let gone = Duration::from_secs(second);
    Now::new(Tick::from_secs(second), start.plus(gone))
}

fn label(number: usize) -> Label {
    Label::new(&format!("vessels.urn:mrn:imo:mmsi:2{number:08}"))
}

fn take(neighbours: &mut Neighbours, second: u64, number: usize, east: f64) {
    let now = now(second);
    neighbours.take(now, &label(number), Some(now.utc), &place(east));
}

#[test]
fn a_crowd_does_not_grow_the_table_and_the_nearest_stay() {
    let mut neighbours = Neighbours {
        here: Some(HERE),
        ..Neighbours::default()
    };
    for number in 0..5000 {
        take(&mut neighbours, 1, number, 10_000.0 - number as f64);
    }
    assert_eq!(neighbours.vessels.len(), MOST);
    let far = |it: &Known| HERE.distance_to(it.vessel.place().unwrap().position);
    let farthest = neighbours.vessels.values().map(far);
    let farthest = farthest.fold(Metres::ZERO, Metres::max);
    assert!(farthest < Metres::of(7001.0), "{farthest}");
    // Nor for one that is farther off than all of them.
    take(&mut neighbours, 2, 7000, 50_000.0);
    assert!(!neighbours.vessels.contains_key(&label(7000)));
    // Only a name arrives: no vessel is dropped for that.
    let named = [Fact::Name(Some(Label::new("Plover")))];
    neighbours.take(now(2), &Label::new("vessels.x"), None, &named);
    assert!(!neighbours.vessels.contains_key(&Label::new("vessels.x")));
    // Silent vessels are dropped first.
    take(&mut neighbours, 2000, 6000, 20_000.0);
    assert_eq!(neighbours.vessels.len(), 1);
}

/// A keeper that has a fix at [`HERE`].
fn keeper() -> Watchkeeper {
    let mut keeper = Watchkeeper::new(now(0), WatchSettings::default(), Saved::default());
    keeper.handle(now(0), Input::Began { last_seen: None });
    keeper
}

fn hear(keeper: &mut Watchkeeper, second: u64, label: &str, facts: &[Fact]) {
    use crate::observation::{Report, Subject};
    let own = Report {
        subject: Subject::Own,
        source: Label::new("gps0.GP"),
        stamp: Some(now(second).utc),
        facts: vec![Fact::Position(Some(HERE.moved(
            Bearing::from_degrees(0.0),
            Metres::of((second % 3) as f64 * 0.1),
        )))],
    };
    let other = Report {
        subject: Subject::Other(Label::new(label)),
        facts: facts.to_vec(),
        ..own.clone()
    };
    for report in [own, other] {
        keeper.handle(now(second), Input::Report(report));
    }
    keeper.handle_timeout(now(second));
}

/// A transponder aboard with an unknown number, a tender on its line, a boat rafted up.
#[test]
fn a_vessel_always_alongside_is_not_a_neighbour() {
    let mut keeper = keeper();
    for second in 1..60 {
        hear(&mut keeper, second, "vessels.aboard", &place(9.0));
    }
    let picture = keeper.picture(now(60));
    assert_eq!((picture.neighbours.len(), picture.vessels_heard), (0, 0));
    hear(&mut keeper, 61, "vessels.b", &place(60.0));
    let picture = keeper.picture(now(61));
    assert_eq!(picture.vessels_heard, 1);
    assert_eq!(picture.neighbours[0].name, "vessels.b");
    assert!((picture.neighbours[0].distance.get() - 60.0).abs() < 0.5);
}

#[test]
fn the_three_nearest_are_shown_with_what_they_do_and_how_old_that_is() {
    let mut keeper = keeper();
    for second in 1..10 {
        hear(&mut keeper, second, "vessels.far", &place(900.0));
    }
    let anchored = |east: f64| {
        let mut facts = place(east).to_vec();
        facts.push(Fact::NavState(Some(NavState::AtAnchor)));
        facts.push(Fact::Length(Some(Metres::of(10.0))));
        facts
    };
    hear(&mut keeper, 10, "vessels.a", &anchored(80.0));
    hear(&mut keeper, 10, "vessels.b", &anchored(120.0));
    let mut passing = place(200.0).to_vec();
    passing.push(Fact::SpeedOverGround(Some(
        crate::units::Speed::from_knots(6.0),
    )));
    hear(&mut keeper, 10, "vessels.c", &passing);
    let picture = keeper.picture(now(40));
    assert_eq!(picture.vessels_heard, 4);
    let shown: Vec<_> = picture
        .neighbours
        .iter()
        .map(|it| (it.name.as_str(), it.doing, it.heard_ago))
        .collect();
    assert_eq!(
        shown,
        [
            ("vessels.a", Doing::AtAnchor, 30.0),
            ("vessels.b", Doing::AtAnchor, 30.0),
            ("vessels.c", Doing::UnderWay, 30.0)
        ]
    );
    let circle = picture.neighbours[0].circle.unwrap();
    assert!(circle.assumed && circle.radius > Metres::of(30.0));
    assert_eq!(picture.neighbours[2].circle, None);
    // Ten minutes later no vessel is shown as if she lay there now.
    assert!(keeper.picture(now(700)).neighbours.is_empty());
}

/// She sheers by 40° to each side every minute and a half, then the wind shifts by 90°: after two minutes, the mean
/// has gone the share `1 - 1/e` of the way.
#[test]
fn the_way_boats_lie_is_averaged_over_two_minutes() {
    let unit = |degrees: f64| Offset::polar(Bearing::from_degrees(degrees), Metres::of(1.0));
    let mut way = Way::default();
    assert_eq!(way.steady(), None);
    for second in 0..900_u64 {
        let sheer = 40.0 * (second as f64 / 90.0 * std::f64::consts::TAU).sin();
        way.follow(Tick::from_secs(second), unit(180.0 + sheer));
    }
    let lies = way.steady().unwrap().degrees();
    assert!((lies - 180.0).abs() < 10.0, "{lies}");
    let left = (-1.0_f64).exp();
    let wanted = unit(0.0) * left + unit(90.0) * (1.0 - left);
    for steps in [1, 120] {
        let mut way = Way::default();
        way.follow(Tick::from_secs(0), unit(0.0));
        for step in 1..=steps {
            way.follow(Tick::from_secs(step * 120 / steps), unit(90.0));
        }
        let off = (way.mean - wanted).length().get();
        assert!(off < 1e-9, "{steps}: {off}");
    }
}
