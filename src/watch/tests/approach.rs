//! The way to the berth: what is published while she approaches, that each step is reported once, and what
//! remains after letting go.

use super::*;

/// North of the first position, which lies down-wind: the wind comes from 000°.
fn berth() -> Position {
    first().moved(Bearing::from_degrees(0.0), Metres::of(200.0))
}

impl Scene {
    /// Moves this many metres east and north of the first position, with the receiver's velocity, heading in the
    /// direction of travel.
    fn goes(&mut self, east: f64, north: f64, metres_a_second: f64) {
        let leg = Offset { east, north } - self.roller;
        let seconds = (leg.length().get() / metres_a_second).ceil();
        let step = leg * (1.0 / seconds);
        self.heading = leg.bearing();
        for _ in 0..seconds as u64 {
            self.roller = self.roller + step;
            let facts = vec![
                Fact::SpeedOverGround(Some(Speed::of(step.length().get()))),
                Fact::CourseOverGround(Some(leg.bearing())),
            ];
            self.report("boat.1", facts);
            self.step();
        }
    }

    fn comes() -> Self {
        let mut scene = Self::new();
        scene.wind_from = Bearing::from_degrees(0.0);
        scene.heading = scene.wind_from;
        scene.run(120);
        let berth = Command::Berth(Some(berth().into()));
        assert!(matches!(scene.command(berth), Outcome::Done(_)));
        scene
    }

    fn live(&self) -> crate::watch::state::WatchState {
        self.keeper.picture(at(self.second)).live()
    }
}

#[test]
fn the_way_to_the_berth_is_published_and_its_steps_are_reported_once() {
    let mut scene = Scene::comes();
    scene.goes(40.0, 50.0, 2.0);
    let picture = scene.live();
    let (distance, bearing) = (150.0_f64.hypot(40.0), (-40.0_f64).atan2(150.0));
    assert!((picture.berth_distance.unwrap().get() - distance).abs() < 0.5);
    assert!(
        picture
            .berth_bearing
            .unwrap()
            .since(Bearing::of(bearing))
            .get()
            .abs()
            < 0.01
    );
    assert_eq!(
        picture.head_to_wind_course.unwrap().degrees().round() % 360.0,
        0.0
    );
    assert!((picture.berth_cross_track.unwrap().get() - 40.0).abs() < 0.5);
    // Two lengths of 11.2 m from 2 kn: 22.4 / 1.0289 * 2.
    assert!((picture.overshoot.unwrap().get() - 43.5).abs() < 2.0);
    // Along her course she approaches it by the cosine of the angle between the two.
    let course = 40.0_f64.atan2(50.0);
    let made_good = 2.0 * (course - bearing).cos();
    let time = picture.berth_time.unwrap();
    assert!((time - distance / made_good).abs() < 8.0, "{time}");
    // Past it to the north, down-wind, up into the wind, over it, and too far.
    scene.goes(40.0, 320.0, 2.0);
    scene.goes(0.0, 320.0, 2.0);
    scene.goes(0.0, 140.0, 2.0);
    scene.goes(0.0, 240.0, 0.8);
    scene.goes(0.0, 190.0, 0.8);
    scene.goes(0.0, 230.0, 0.8);
    let told = scene.notes();
    let steps = [
        "turn up into the wind now",
        "over the berth",
        "berth passed",
    ];
    for step in steps {
        let count = told.iter().filter(|note| note.starts_with(step)).count();
        assert_eq!(count, 1, "{step}: {told:#?}");
    }
    let place = |step: &str| told.iter().position(|note| note.starts_with(step));
    assert!(steps.is_sorted_by_key(|step| place(step)), "{told:#?}");
}

#[test]
fn after_letting_go_distance_and_bearing_stay_and_nothing_is_reported() {
    let mut scene = Scene::comes();
    scene.goes(0.0, 197.0, 0.8);
    scene.let_go(40.0);
    let before = scene.notes().len();
    scene.lie(0.0);
    scene.roller = Offset {
        east: 0.0,
        north: 180.0,
    };
    scene.run(60);
    let picture = scene.live();
    // Measured from the anchor, which is 3 m short of the berth, not from the bow.
    assert!((picture.berth_distance.unwrap().get() - 3.0).abs() < 0.5);
    assert!(picture.berth_bearing.is_some());
    assert_eq!(
        (picture.berth_time, picture.berth_cross_track),
        (None, None)
    );
    assert_eq!((picture.overshoot, picture.approach_advice), (None, None));
    let steps = scene.notes().split_off(before);
    assert!(
        !steps.iter().any(|note| note.contains("berth")),
        "{steps:?}"
    );
}

#[test]
fn an_old_fix_or_an_old_wind_shows_nothing_as_live() {
    let mut scene = Scene::comes();
    scene.goes(0.0, 100.0, 1.5);
    assert!(scene.live().berth_time.is_some());
    scene.seen = false;
    scene.run(40);
    let picture = scene.live();
    assert_eq!(
        (picture.berth_bearing, picture.berth_distance),
        (None, None)
    );
    assert_eq!(
        (picture.berth_time, picture.berth_cross_track),
        (None, None)
    );
    assert_eq!(
        (picture.overshoot, picture.head_to_wind_course),
        (None, None)
    );
}

/// The vane falls silent, the receiver does not: what depends on the wind disappears, distance and
/// time stay.
#[test]
fn an_old_wind_takes_away_what_rests_on_the_wind_alone() {
    let mut scene = Scene::comes();
    scene.goes(40.0, 50.0, 2.0);
    let before = scene.live();
    assert!(before.head_to_wind_course.is_some() && before.berth_cross_track.is_some());
    scene.vane = false;
    scene.goes(40.0, 110.0, 1.0);
    let picture = scene.live();
    assert!(picture.berth_distance.is_some() && picture.berth_time.is_some());
    assert_eq!(
        (picture.head_to_wind_course, picture.berth_cross_track),
        (None, None)
    );
    // How far she carries depends on her speed.
    assert!(picture.overshoot.is_some());
    assert_eq!(picture.approach_advice, None);
}

/// The receiver falls silent, the vane does not: the course into the wind stays, the way to the berth
/// disappears.
#[test]
fn an_old_fix_takes_away_what_rests_on_the_position_alone() {
    let mut scene = Scene::comes();
    scene.goes(0.0, 100.0, 1.5);
    scene.seen = false;
    for _ in 0..40 {
        let mut facts = scene.facts();
        facts.retain(|fact| !matches!(fact, Fact::Position(_)));
        scene.step();
        scene.report("boat.1", facts);
    }
    let picture = scene.live();
    assert!(picture.head_to_wind_course.is_some());
    assert_eq!(
        (picture.berth_bearing, picture.berth_distance),
        (None, None)
    );
    assert_eq!(
        (picture.berth_time, picture.berth_cross_track),
        (None, None)
    );
    assert_eq!((picture.overshoot, picture.approach_advice), (None, None));
}

#[test]
fn farther_than_a_mile_off_no_line_is_shown() {
    let mut scene = Scene::comes();
    let far = first().moved(Bearing::from_degrees(0.0), Metres::of(4000.0));
    scene.command(Command::Berth(Some(far.into())));
    scene.goes(0.0, 30.0, 2.0);
    let picture = scene.live();
    assert!(picture.berth_time.is_some() && picture.berth_distance.is_some());
    assert_eq!((picture.berth_cross_track, picture.overshoot), (None, None));
}

/// With the engine's revolutions known, two coasts teach how she loses way: v = v₀ exp(-t/15 s).
#[test]
fn how_far_she_carries_is_learned_from_two_coasts() {
    let mut scene = Scene::comes();
    for leg in 0..2 {
        scene.rpm = Some(1800.0);
        let north = scene.roller.north;
        scene.goes(0.0, north + 15.0, 1.5);
        scene.rpm = Some(800.0);
        for second in 0..14_u64 {
            let speed = 1.5 * (-(second as f64) / 15.0).exp();
            let north = scene.roller.north + speed;
            scene.goes(0.0, north, speed + 1e-9);
        }
        let by = scene.live().way_by.unwrap();
        let learned = by.contains("learned");
        assert_eq!(learned, leg == 1, "{by}");
    }
    scene.goes(0.0, scene.roller.north + 10.0, 1.0289);
    let carries = scene.live().overshoot.unwrap().get();
    assert!((carries - 15.4).abs() < 1.6, "{carries}");
}

/// After two coasts and a power cut, the watch still has the distance that she carries.
#[test]
fn learned_coasts_survive_a_restart() {
    let mut scene = Scene::comes();
    let saved = Saved {
        coasts: vec![15.0, 15.0, 1e9, -3.0],
        ..scene.keeper.saved()
    };
    let text = serde_json::to_string(&saved).unwrap();
    let before = scene.second;
    scene = Scene::resumed(before + 60, serde_json::from_str(&text).unwrap(), None);
    scene.wind_from = Bearing::from_degrees(0.0);
    scene.heading = scene.wind_from;
    scene.run(120);
    scene.goes(0.0, scene.roller.north + 10.0, 1.0289);
    let picture = scene.live();
    assert!(picture.way_by.unwrap().contains("learned"));
    // 15 s from 2 kn.
    let carries = picture.overshoot.unwrap().get();
    assert!((carries - 15.4).abs() < 1.6, "{carries}");
    // An impossible coast was not restored, and the rest is saved again.
    assert_eq!(scene.keeper.saved().coasts, [15.0, 15.0]);
}
