//! What the drag test keeps does not grow: after a week it is what it was after a day.

use std::time::Duration;

use windrode::boat::tern::BERTH;
use windrode::geodesy::{Offset, Plane};
use windrode::time::Tick;
use windrode::units::{Metres, Speed};
use windrode::watch::drag::{DragTest, Marked, Sighting};
use windrode::watch::settings::WatchSettings;

/// All that is kept is printed by `Debug`, so the length of that is the measure. Bytes are in `benches/drag.rs`.
#[test]
fn a_week_of_fixes_is_kept_in_as_much_as_a_day() {
    let plane = Plane::at(BERTH);
    let mark = Marked {
        at: BERTH,
        doubt: Metres::of(2.5),
        lever: Metres::ZERO,
    };
    let mut drag = DragTest::new(&WatchSettings::default());
    let day = Duration::from_hours(24).as_secs();
    let mut sizes = Vec::new();
    for second in 0..=7 * day {
        let t = second as f64;
        // She sheers, the wind turns about once a day and freshens and dies, the receiver wanders.
        let wind = 7.0 + 5.0 * (t / 9000.0).sin();
        let angle = t / day as f64 * std::f64::consts::TAU + 0.5 * (t / 60.0).sin();
        let out = 36.0 + 2.0 * (t / 9000.0).sin();
        let at = Offset {
            east: out * angle.sin() + (t / 170.0).sin(),
            north: out * angle.cos() + (t / 230.0).cos(),
        };
        let speed = Some(Speed::of(wind));
        let seen = Sighting {
            antenna: plane.position(at),
            sigma: Metres::of(2.5),
            doubt: Metres::ZERO,
            velocity: Some(Offset::ZERO),
            lever: Offset::ZERO,
            lever_doubt: Metres::ZERO,
            reach: Metres::of(39.0),
            rode: Metres::of(40.0),
            height: Some(Metres::of(9.0)),
            wind: speed,
            wind_now: speed,
            wind_ahead: Some(0.9),
            settled: true,
        };
        drag.take(Tick::from_secs(second), &mark, None, &seen);
        if second > 0 && second.is_multiple_of(day) {
            sizes.push(format!("{drag:?}").len());
        }
    }
    let (first, last) = (sizes[0] as f64, sizes[6] as f64);
    assert!(last < 1.25 * first, "{sizes:?}");
}
