//! A compass that drops out.

use super::*;

/// The antenna is 9 m aft of the bow. For one minute in twenty the heading is unknown.
#[test]
fn a_compass_that_comes_and_goes_is_no_drag() {
    for doppler in [true, false] {
        let world = World {
            doppler,
            ..World::default()
        };
        let mut drag = DragTest::new(&WatchSettings::default());
        let mut chance = Chance(11);
        let mut most = 0.0_f64;
        for second in 0..3 * 3600 {
            let aft = out(9.0, 20.0 * (second as f64 / 90.0).sin());
            let bow = out(REACH - 6.0, 20.0 * (second as f64 / 90.0).sin());
            let error = Offset {
                east: 0.4 * chance.normal(),
                north: 0.4 * chance.normal(),
            };
            let known = second % 1200 >= 60;
            let seen = Sighting {
                lever: if known {
                    Offset::ZERO - aft
                } else {
                    Offset::ZERO
                },
                lever_doubt: Metres::of(if known { 0.0 } else { 9.0 }),
                ..world.sighting(bow + aft + error, Offset::ZERO)
            };
            let now = Tick::from_secs(second);
            drag.take(now, &world.mark(), None, &seen);
            let evidence = drag.evidence(now);
            assert!(!evidence.dragging, "{doppler}: {second}");
            most = most.max(evidence.probability);
        }
        assert!(most < 0.5, "{doppler}: {most}");
    }
}
