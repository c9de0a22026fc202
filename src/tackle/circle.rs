//! Swinging circles: the greatest distances of roller, stern and antenna from the anchor.
//!
//! The boat lies in line with her rode, bow to the anchor. With `r` the distance from anchor to
//! roller, the distance of the stern is `r` plus the roller's reach ahead of the stem plus the
//! length over all, and that of the antenna is the hypotenuse of its place along and across that
//! line. The roller is farthest away when the rode is drawn straight ([`super::scope::reach`]), and
//! that distance is greatest at low water.
//!
//! Assumptions: the anchor stays where it is, the bottom is level. Weakness: a boat that sails about
//! her anchor lies at an angle to her rode, which moves stern and antenna sideways but no farther
//! away.
//! Test: `stern_and_antenna_lie_behind_the_roller`.

use serde::{Deserialize, Serialize};

use crate::boat::Boat;
use crate::units::Metres;

/// Radii about the anchor.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Circle {
    /// Of the bow roller.
    pub bow: Metres,
    /// Of the stern: nothing may stand inside it.
    pub stern: Metres,
    /// Of the positioning antenna, if its place is known.
    pub antenna: Option<Metres>,
}

impl Circle {
    /// About an anchor at this distance from the bow roller.
    #[must_use]
    pub fn about(roller: Metres, boat: &Boat) -> Self {
        let figures = boat.figures();
        let limited = |m: Metres| m.max(Metres::of(-MOST)).min(Metres::of(MOST));
        let ahead = limited(figures.roller_ahead.unwrap_or_default());
        let bow = limited(roller);
        let stem = bow + ahead;
        Self {
            bow,
            stern: stem + limited(boat.length_or_default()),
            antenna: figures.antenna_from_bow.map(|from_bow| {
                let along = (stem + limited(from_bow)).get();
                let across = limited(figures.antenna_from_centre.unwrap_or_default());
                Metres::of(along.hypot(across.get()))
            }),
        }
    }
}

const MOST: f64 = 1e6;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::boat::BoatFigures;

    #[test]
    fn stern_and_antenna_lie_behind_the_roller() {
        let boat = Boat::new(BoatFigures {
            length: Some(Metres::of(11.2)),
            roller_ahead: Some(Metres::of(0.4)),
            antenna_from_bow: Some(Metres::of(9.6)),
            antenna_from_centre: Some(Metres::of(-30.0)),
            ..BoatFigures::default()
        });
        let circle = Circle::about(Metres::of(30.0), &boat);
        assert!((circle.stern.get() - 41.6).abs() < 1e-9);
        // 40 along, 30 across: 3-4-5.
        assert!((circle.antenna.unwrap().get() - 50.0).abs() < 1e-9);
        let unknown = Circle::about(Metres::of(30.0), &Boat::default());
        assert_eq!(unknown.antenna, None);
        assert!((unknown.stern.get() - 41.0).abs() < 1e-9);
    }
}
