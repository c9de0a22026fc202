//! Scope and reach: the geometry between roller, rode and anchor.
//!
//! Symbols: `L` rode from the roller, `h` height of the roller above the bottom (depth of water
//! plus roller height). Scope = `L / h`. The farthest the roller can lie from a holding anchor is
//! the rode drawn straight, `sqrt(L² - h²)`, lengthened by the rode's stretch. A rode shorter
//! than `h` does not reach the bottom.
//!
//! Assumptions: flat bottom, the anchor at the bottom's level. Weakness: the part of the reach that
//! is used depends on the pull; a chain in light airs lies far inside it, so an anchor may move by
//! that much before the reach is exceeded. Source: Pythagoras; scope as the trade defines it (IACS
//! UR A1.1.5 counts the depth alone; the crew's figure here also counts the roller's height, which
//! is safer).

use crate::units::Metres;

/// Height of the roller above the bottom.
#[must_use]
pub fn height(depth: Metres, roller: Metres) -> Metres {
    depth.max(Metres::ZERO) + roller
}

/// Rode needed for a scope: `scope × (depth + roller)`.
/// ```
/// use windrode::tackle::scope::rode_for;
/// use windrode::units::Metres;
///
/// // Common practice: 10 ft of water, the roller 5 ft up, 5 to 1 takes 75 ft.
/// let rode = rode_for(5.0, Metres::from_feet(10.0), Metres::from_feet(5.0));
/// assert!((rode.feet() - 75.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn rode_for(scope: f64, depth: Metres, roller: Metres) -> Metres {
    Metres::new(scope * height(depth, roller).get()).unwrap_or_default()
}

/// Scope of the rode that is out; `None` without a height to divide by.
#[must_use]
pub fn scope(rode: Metres, depth: Metres, roller: Metres) -> Option<f64> {
    let height = height(depth, roller).get();
    (height > 0.0).then(|| rode.get() / height)
}

/// The farthest the roller can lie from the anchor; `None` when the rode does not reach the
/// bottom. `stretch` is the fraction the rode lengthens under load.
/// ```
/// use windrode::tackle::scope::reach;
/// use windrode::units::Metres;
///
/// // 3-4-5: a straight rode of 50 m from a roller 30 m above the bottom ends 40 m away.
/// let reach = reach(Metres::of(50.0), Metres::of(28.0), Metres::of(2.0), 0.0);
/// assert!((reach.unwrap().get() - 40.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn reach(rode: Metres, depth: Metres, roller: Metres, stretch: f64) -> Option<Metres> {
    let height = height(depth, roller).get();
    if rode.get() < height {
        return None;
    }
    let stretched = rode.get() * (1.0 + stretch.max(0.0));
    Metres::new((stretched * stretched - height * height).max(0.0).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The worked figures of common practice: about 10 ft of water, roller 5 ft up, 5:1 is 75 ft.
    #[test]
    fn ten_feet_of_water_and_a_roller_five_feet_up_need_75_feet_at_5_to_1() {
        let rode = rode_for(5.0, Metres::from_feet(10.0), Metres::from_feet(5.0));
        assert!((rode.feet() - 75.0).abs() < 1e-9);
    }

    /// 3-4-5: a straight rode of 50 m over 30 m of height reaches 40 m.
    #[test]
    fn the_reach_is_the_third_side() {
        let reach_m = reach(Metres::of(50.0), Metres::of(29.0), Metres::of(1.0), 0.0);
        assert!((reach_m.unwrap().get() - 40.0).abs() < 1e-9);
    }

    #[test]
    fn a_rode_shorter_than_the_depth_reaches_nothing() {
        assert_eq!(
            reach(Metres::of(8.0), Metres::of(8.0), Metres::of(1.0), 0.1),
            None
        );
        assert_eq!(scope(Metres::of(8.0), Metres::ZERO, Metres::ZERO), None);
    }

    proptest! {
        #[test]
        fn more_rode_reaches_farther_and_more_depth_less(
            rode in 10.0..200.0_f64, more in 0.0..50.0_f64, depth in 0.0..9.0_f64, deeper in 0.0..5.0_f64,
        ) {
            let roller = Metres::of(1.0);
            let base = reach(Metres::of(rode), Metres::of(depth), roller, 0.02).unwrap();
            let longer = reach(Metres::of(rode + more), Metres::of(depth), roller, 0.02).unwrap();
            prop_assert!(longer >= base);
            if let Some(sunk) = reach(Metres::of(rode), Metres::of(depth + deeper), roller, 0.02) {
                prop_assert!(sunk <= base);
            }
        }
    }
}
