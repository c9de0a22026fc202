//! The drag test's memory does not grow: after a week it is as large as after a day.

use std::time::Duration;

use windrode::boat::tern::BERTH;
use windrode::geodesy::{Offset, Plane};
use windrode::time::Tick;
use windrode::units::{Metres, Speed};
use windrode::watch::drag::{DragTest, Marked, Origin, Sighting};
use windrode::watch::settings::WatchSettings;

/// `Debug` prints the whole state, so the length of that text is the measure. Bytes are in `benches/drag.rs`.
#[test]
fn a_week_of_fixes_is_kept_in_as_much_as_a_day() {
    let plane = Plane::at(BERTH);
    let mark = Marked {
        at: BERTH,
        doubt: Metres::of(2.5),
        lever: Metres::ZERO,
        origin: Some(Origin::Fix),
    };
    let mut drag = DragTest::new(&WatchSettings::default());
    let day = Duration::from_hours(24).as_secs();
    let mut sizes = Vec::new();
    for second in 0..=7 * day {
        let t = second as f64;
        // She sheers, the wind turns about once a day and rises and falls, the receiver wanders.
        let wind = 7.0 + 5.0 * (t / 9000.0).sin();
        let angle = t / day as f64 * std::f64::consts::TAU + 0.5 * (t / 60.0).sin();
        let out = 36.0 + 2.0 * (t / 9000.0).sin();
        let at = Offset {
            east: out * angle.sin() + (t / 170.0).sin(),
            north: out * angle.cos() + (t / 230.0).cos(),
        };
        let speed = Some(Speed::of(wind));
        let seen = Sighting {
            wind_ahead: Some(0.9),
            ..Sighting::of_tern(plane.position(at), speed)
        };
        drag.take(Tick::from_secs(second), &mark, None, &seen);
        if second > 0 && second.is_multiple_of(day) {
            sizes.push(format!("{drag:?}").len());
        }
    }
    let (first, last) = (sizes[0] as f64, sizes[6] as f64);
    assert!(last < 1.25 * first, "{sizes:?}");
}
