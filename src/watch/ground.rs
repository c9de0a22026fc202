//! The ground the boat may lie over: reach and swinging circle about the mark.
//!
//! The **reach** bounds the distance from the bow roller to a holding anchor: the rode drawn
//! straight and stretched, over the least depth known (the less water, the farther it reaches;
//! the tide may have fallen since the mark). What is not known is taken on the side that does
//! not cry wolf, and is said: no rode given, all that is aboard; no depth, the rode's length.
//!
//! The **swinging circle** is measured to the boat's centre, as the Signal K schema has it: the
//! reach, half the boat, and the margin; or the crew's own figure.

use crate::boat::Boat;
use crate::tackle::scope;
use crate::units::Metres;
use crate::watch::settings::WatchSettings;
use crate::watch::words::Mark;

/// Reach and circle of one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// Farthest the roller can lie from a holding anchor.
    pub reach: Metres,
    /// Radius of the swinging circle, to the boat's centre.
    pub max_radius: Metres,
    /// The circle is the crew's own.
    pub radius_ordered: bool,
    /// The rode the reach rests on.
    pub rode: Metres,
    /// Nobody said how much rode is out.
    pub rode_assumed: bool,
    /// No depth was to be had.
    pub depth_unknown: bool,
}

impl Ground {
    /// About this mark, with this depth of water now.
    #[must_use]
    pub fn about(
        mark: &Mark,
        depth_now: Option<Metres>,
        boat: &Boat,
        settings: &WatchSettings,
    ) -> Self {
        let rode = mark.rode.unwrap_or_else(|| settings.longest_rode());
        let depth = match (mark.depth, depth_now) {
            (Some(then), Some(now)) => Some(then.min(now)),
            (then, now) => then.or(now),
        };
        let stretched = rode * (1.0 + settings.stretch);
        let reach = depth.map_or(stretched, |depth| {
            // A rode that does not reach the bottom is a slip of depth or rode.
            scope::reach(rode, depth, boat.roller_height(), settings.stretch).unwrap_or(stretched)
        });
        Self {
            reach,
            max_radius: mark
                .max_radius
                .unwrap_or_else(|| reach + boat.roller_to_centre() + settings.swing_margin),
            radius_ordered: mark.max_radius.is_some(),
            rode,
            rode_assumed: mark.rode.is_none(),
            depth_unknown: depth.is_none(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::BoatFigures;
    use crate::geodesy::Position;
    use crate::time::Timestamp;

    fn mark() -> Mark {
        Mark {
            position: Position::new(59.8539, 23.26).unwrap(),
            doubt: Metres::of(2.5),
            lever: Metres::ZERO,
            let_go: Timestamp::EPOCH,
            depth: Some(Metres::of(29.0)),
            rode: Some(Metres::of(50.0)),
            max_radius: None,
            wind: None,
            found: None,
        }
    }

    fn about(mark: &Mark, now: Option<f64>) -> Ground {
        let boat = Boat::new(BoatFigures {
            roller_height: Some(Metres::of(1.0)),
            length: Some(Metres::of(12.0)),
            ..BoatFigures::default()
        });
        let settings = WatchSettings {
            stretch: 0.0,
            ..WatchSettings::default()
        };
        Ground::about(mark, now.map(Metres::of), &boat, &settings)
    }

    #[test]
    fn the_circle_is_reach_half_a_boat_and_the_margin() {
        // 3-4-5: 50 m over 30 m reaches 40 m; 6 m half boat; 10 m margin.
        let ground = about(&mark(), None);
        assert!((ground.reach.get() - 40.0).abs() < 1e-9);
        assert!((ground.max_radius.get() - 56.0).abs() < 1e-9);
    }

    #[test]
    fn falling_water_lengthens_the_reach_and_rising_water_does_not_shorten_it() {
        // 50 m over 14 m: sqrt(2500 - 196) = 48 m.
        assert!((about(&mark(), Some(13.0)).reach.get() - 48.0).abs() < 1e-9);
        assert!((about(&mark(), Some(33.0)).reach.get() - 40.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_not_known_is_assumed_long_and_said() {
        let ground = about(
            &Mark {
                depth: None,
                rode: None,
                ..mark()
            },
            None,
        );
        assert!(ground.rode_assumed && ground.depth_unknown);
        assert_eq!(ground.reach, Metres::of(60.0));
    }

    #[test]
    fn the_crew_s_own_radius_wins() {
        let ordered = Mark {
            max_radius: Some(Metres::of(33.0)),
            ..mark()
        };
        let ground = about(&ordered, None);
        assert!(ground.radius_ordered && ground.max_radius == Metres::of(33.0));
    }
}
