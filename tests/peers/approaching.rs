//! The closest point of approach, compared with a search along geodesics by pyproj: 500 cases within 2 miles, up
//! to 60° of latitude. There the meridians of two boats 2 miles apart differ by a thousandth: 4 m on the way.

use serde_json::{Value, json};
use windrode::geodesy::{Offset, Position};
use windrode::units::{Bearing, Metres, Speed};
use windrode::watch::neighbours::closest::{ClosestPoint, velocity};

use super::charts::libraries;

/// Numbers without a pattern, the same each time (a linear congruential generator; Knuth's constants).
struct Numbers(u64);

impl Numbers {
    fn between(&mut self, least: f64, most: f64) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        least + (most - least) * (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

#[test]
fn the_closest_point_is_where_a_search_along_geodesics_finds_it() {
    let mut numbers = Numbers(17);
    let cases: Vec<Value> = (0..500)
        .map(|_| {
            json!({
                "latitude": numbers.between(-60.0, 60.0),
                "longitude": numbers.between(-180.0, 180.0),
                "bearing": numbers.between(0.0, 360.0),
                "distance": numbers.between(30.0, 3700.0),
                "speed": numbers.between(0.3, 12.0),
                "course": numbers.between(0.0, 360.0),
                "seconds": 20_000.0,
            })
        })
        .collect();
    let answers = libraries("approaching.py", &[], &cases);
    assert_eq!(answers.len(), cases.len());
    let (mut worst, mut latest) = (0.0_f64, 0.0_f64);
    for (case, theirs) in cases.iter().zip(&answers) {
        let figure = |of: &Value, name: &str| of[name].as_f64().unwrap();
        let here = Position::of(figure(case, "latitude"), figure(case, "longitude"));
        let bearing = Bearing::from_degrees(figure(case, "bearing"));
        let there = here.moved(bearing, Metres::of(figure(case, "distance")));
        let apart = Offset::polar(here.bearing_to(there), here.distance_to(there));
        let course = Bearing::from_degrees(figure(case, "course"));
        let ours = ClosestPoint::of(apart, velocity(Speed::of(figure(case, "speed")), course));
        let off = (ours.apart.length().get() - figure(theirs, "distance")).abs();
        // The distance she covers in the time by which the two differ.
        let late = (ours.after - figure(theirs, "after")).abs() * figure(case, "speed");
        (worst, latest) = (worst.max(off), latest.max(late));
        assert!(off < 4.0 && late < 4.0, "{case}: {ours:?}, {theirs}");
    }
    eprintln!("closest points: {worst:.2} m off at most, {latest:.2} m along her track");
}
