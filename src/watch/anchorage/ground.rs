//! The area in which the boat may lie: the reach and the swinging circle about the mark.
//!
//! The **reach** is the farthest that the bow roller can lie from a holding anchor: the rode drawn straight and
//! stretched, over the least depth known (the less water, the farther it reaches; the tide may have fallen since
//! the mark). An unknown figure is assumed such that it causes no false alarm, and the assumption is reported: all
//! the rode aboard if no rode is entered, the full length of the rode if there is no depth. With a snubber or
//! bridle on, the rode counts as far as its hook, plus the snubber.
//!
//! The **swinging circle** is measured to the boat's centre, as the Signal K schema has it: the
//! reach, half the boat, and the margin; or the crew's own figure.

use crate::boat::Boat;
use crate::tackle::scope;
use crate::tackle::snubber::Snubber;
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::round::Seen;

/// Reach and circle of one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ground {
    /// The farthest that the roller can lie from a holding anchor.
    pub reach: Metres,
    /// Radius of the swinging circle, to the boat's centre.
    pub max_radius: Metres,
    /// The circle is the crew's own.
    pub radius_ordered: bool,
    /// The length of rode that the reach is calculated from.
    pub rode: Metres,
    /// The fraction by which that rode stretches under load.
    pub stretch: f64,
    /// The rode that is out was not entered.
    pub rode_assumed: bool,
    /// No depth was available.
    pub depth_unknown: bool,
}

impl Ground {
    /// Calculates both for an anchor in this depth, with this much rode, a snubber if one is on, the crew's own
    /// circle if there is one, and the present depth of water.
    #[must_use]
    pub(super) fn about(
        depth: Option<Metres>,
        rode: Option<Metres>,
        snubber: Option<Snubber>,
        ordered_radius: Option<Metres>,
        seen: &Seen,
    ) -> Self {
        let Seen { boat, settings, .. } = seen;
        let depth = match (depth, seen.depth) {
            (Some(then), Some(now)) => Some(then.min(now)),
            (then, now) => then.or(now),
        };
        let (known, stretch) = match snubber {
            Some(snubber) => (
                Some(snubber.drawn()),
                snubber.stretch(rode, settings.stretch),
            ),
            None => (rode, settings.stretch),
        };
        let longest = known.unwrap_or_else(|| settings.longest_rode());
        let stretched = longest * (1.0 + stretch);
        let reach = depth.map_or(stretched, |depth| {
            // If the rode does not reach the bottom, the depth or the rode is wrong.
            scope::reach(longest, depth, boat.roller_height(), stretch).unwrap_or(stretched)
        });
        Self {
            reach,
            max_radius: ordered_radius
                .unwrap_or_else(|| reach + boat.roller_to_centre() + settings.swing_margin),
            radius_ordered: ordered_radius.is_some(),
            rode: longest,
            stretch,
            rode_assumed: known.is_none(),
            depth_unknown: depth.is_none(),
        }
    }

    /// If no rode leads to the mark, only the given circle counts.
    pub(super) fn within(self, given: Metres, kind: MooringKind, boat: &Boat) -> Self {
        let bow = boat.roller_to_centre();
        let reach = if kind.can_drag() {
            given - bow
        } else {
            given + bow
        };
        Self {
            reach: reach.max(Metres::ZERO),
            max_radius: if self.radius_ordered {
                self.max_radius
            } else {
                given
            },
            radius_ordered: true,
            rode_assumed: false,
            depth_unknown: false,
            ..self
        }
    }

    /// The circle that raises the alarm: the crew's own exactly as given, or the calculated one, never tighter than
    /// the drag test's `margin`.
    #[must_use]
    pub(super) fn swing_limit(&self, margin: Metres, swing_margin: Metres) -> Metres {
        if self.radius_ordered {
            self.max_radius
        } else {
            self.max_radius + (margin - swing_margin).max(Metres::ZERO)
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::boat::BoatFigures;
    use crate::time::{Now, Tick, Timestamp};
    use crate::watch::sensors::Sensors;
    use crate::watch::settings::WatchSettings;
    use crate::watch::wind::WindWatch;

    /// Let go in `depth` with this much rode, with the present depth `now`.
    fn about(
        depth: Option<f64>,
        rode: Option<f64>,
        ordered: Option<f64>,
        water: Option<f64>,
    ) -> Ground {
        let settings = WatchSettings {
            boat: BoatFigures {
                roller_height: Some(Metres::of(1.0)),
                length: Some(Metres::of(12.0)),
                ..BoatFigures::default()
            },
            stretch: 0.0,
            ..WatchSettings::default()
        };
        let now = Now::new(Tick::START, Timestamp::EPOCH);
        let sensors = Sensors::new(now.tick, &settings);
        let seen = Seen {
            depth: water.map(Metres::of),
            ..sensors.seen(now, &Arc::new(settings.clone()), &WindWatch::new(&settings))
        };
        let metres = |metres: Option<f64>| metres.map(Metres::of);
        Ground::about(metres(depth), metres(rode), None, metres(ordered), &seen)
    }

    #[test]
    fn the_circle_is_reach_half_a_boat_and_the_margin() {
        // 3-4-5: 50 m over 30 m reaches 40 m; 6 m half boat; 10 m margin.
        let ground = about(Some(29.0), Some(50.0), None, None);
        assert!((ground.reach.get() - 40.0).abs() < 1e-9);
        assert!((ground.max_radius.get() - 56.0).abs() < 1e-9);
    }

    #[test]
    fn falling_water_lengthens_the_reach_and_rising_water_does_not_shorten_it() {
        // 50 m over 14 m: sqrt(2500 - 196) = 48 m.
        assert!((about(Some(29.0), Some(50.0), None, Some(13.0)).reach.get() - 48.0).abs() < 1e-9);
        assert!((about(Some(29.0), Some(50.0), None, Some(33.0)).reach.get() - 40.0).abs() < 1e-9);
    }

    #[test]
    fn unknown_lengths_are_assumed_long_and_reported() {
        let ground = about(None, None, None, None);
        assert!(ground.rode_assumed && ground.depth_unknown);
        assert_eq!(ground.reach, Metres::of(60.0));
    }

    /// Half of her 12 m lies between roller and centre. On a mooring the roller is nearer to it than her centre; stern to,
    /// it is farther from the quay.
    #[test]
    fn a_given_circle_is_to_her_centre() {
        let boat = Boat::new(BoatFigures {
            length: Some(Metres::of(12.0)),
            ..BoatFigures::default()
        });
        for (kind, given, reach) in [
            (MooringKind::Mooring, 16.0, 10.0),
            (MooringKind::Mooring, 4.0, 0.0),
            (MooringKind::SternTo, 8.0, 14.0),
        ] {
            let ground = about(None, None, None, None).within(Metres::of(given), kind, &boat);
            assert_eq!(ground.reach, Metres::of(reach), "{kind:?}");
            assert_eq!(ground.max_radius, Metres::of(given), "{kind:?}");
        }
    }

    #[test]
    fn the_crew_s_own_radius_wins() {
        let ground = about(Some(29.0), Some(50.0), Some(33.0), None);
        assert!(ground.radius_ordered && ground.max_radius == Metres::of(33.0));
    }
}
