//! A reflection shifts the fix slowly, and the boat lies where she lay.

use super::*;

/// A reflection that builds up, lasts a minute and goes again, while she lies 4 m inside her reach. Without a velocity,
/// a slower one is taken for a drag (see DEVELOPERS.md).
#[test]
fn a_reflection_that_builds_up_slowly_is_no_drag() {
    let cases = [
        (true, 14.0, 2.0),
        (true, 12.0, 2.0),
        (true, 12.0, 1.0),
        (true, 9.0, 2.0),
        (true, 9.0, 0.7),
        (true, 7.0, 2.0),
        (false, 12.0, 2.0),
        (false, 7.0, 2.0),
    ];
    for (doppler, metres, pace) in cases {
        let world = World {
            noise: 0.8,
            doppler,
            ..World::default()
        };
        let shifted = |second: u64| {
            let since = if second > 3600 { second % 900 } else { 0 } as f64;
            let lasts = 60.0 + metres / pace;
            out((pace * since.min(lasts - since)).clamp(0.0, metres), 0.0)
        };
        let lies = |second: u64| out(REACH - 4.0, 15.0 * (second as f64 / 90.0).sin());
        let seen = world.run(3 * 3600, lies, shifted, false);
        assert_eq!(seen.told, None, "{doppler}, {metres} m at {pace} m/s");
    }
}
