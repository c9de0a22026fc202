//! The yacht "Tern" of demonstrations, measurements and tests: her figures, her berth, and what her
//! instruments report at a given position.
//!
//! The caller moves her; no forces act on her. The simulated boat that moves by herself is in
//! [`crate::rehearse::boat`]. Everything here is invented data and plain geometry; nothing is random.

use super::BoatFigures;
use crate::geodesy::{Offset, Plane, Position};
use crate::observation::{Fact, Label};
use crate::units::{Bearing, Hertz, Metres, Speed};

/// Where she anchors.
pub const BERTH: Position = Position::of(59.853_9, 23.26);

/// A sloop of 11.2 m; antenna on the pushpit.
#[must_use]
pub fn figures() -> BoatFigures {
    BoatFigures {
        length: Some(Metres::of(11.2)),
        draught: Some(Metres::of(1.9)),
        roller_height: Some(Metres::of(1.2)),
        antenna_from_bow: Some(ANTENNA),
        transducer_depth: Some(Metres::of(0.5)),
        ..BoatFigures::default()
    }
}

/// The boat and the weather at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tern {
    /// Position of the bow roller, from the berth.
    pub roller: Offset,
    /// Heading.
    pub heading: Bearing,
    /// Speed and direction over the ground.
    pub speed: Speed,
    /// Direction the true wind comes from.
    pub wind_from: Bearing,
    /// True wind speed.
    pub wind_speed: Speed,
    /// Depth of the water.
    pub depth: Metres,
    /// Engine revolutions, if the engine reports.
    pub revolutions: Option<Hertz>,
}

impl Tern {
    /// At her berth in 8 m of water, the bow to a wind from the south-west.
    #[must_use]
    pub fn at_berth() -> Self {
        let wind_from = Bearing::from_degrees(225.0);
        Self {
            roller: Offset::ZERO,
            heading: wind_from,
            speed: Speed::ZERO,
            wind_from,
            wind_speed: Speed::of(7.0),
            depth: Metres::of(8.0),
            revolutions: None,
        }
    }

    /// Puts the roller this far down-wind of the berth, with the bow to the wind.
    pub fn lie(&mut self, distance: Metres) {
        self.heading = self.wind_from;
        self.roller = Offset::polar(self.wind_from.reversed(), distance);
    }

    /// Position of the antenna, from the berth.
    #[must_use]
    pub fn antenna(&self) -> Offset {
        self.roller + Offset::polar(self.heading.reversed(), ANTENNA)
    }

    /// Her instruments' readings. The count of readings changes the last digits of the fix by less than a
    /// centimetre, as the digits of a real receiver never rest.
    #[must_use]
    pub fn facts(&self, count: u64) -> Vec<Fact> {
        let hair = Offset {
            east: 0.001 * (count % 7) as f64,
            north: 0.0,
        };
        let fix = Plane::at(BERTH).position(self.antenna() + hair);
        let mut facts = vec![
            Fact::HeadingTrue(Some(self.heading)),
            Fact::WindDirectionTrue(Some(self.wind_from)),
            Fact::WindSpeedTrue(Some(self.wind_speed)),
            Fact::DepthBelowSurface(Some(self.depth)),
            Fact::SpeedOverGround(Some(self.speed)),
            Fact::Position(Some(fix)),
        ];
        facts.extend(self.revolutions.map(|rate| Fact::Revolutions {
            engine: Label::new("main"),
            rate: Some(rate),
        }));
        facts
    }
}

const ANTENNA: Metres = Metres::of(9.1);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lying_down_wind_the_antenna_is_farther_from_the_berth_than_the_roller() {
        let mut tern = Tern::at_berth();
        tern.lie(Metres::of(30.0));
        assert!((tern.antenna().length().get() - 39.1).abs() < 1e-9);
        let fix = |count| {
            let facts = tern.facts(count);
            facts.into_iter().find_map(|fact| match fact {
                Fact::Position(fix) => fix,
                _ => None,
            })
        };
        let (first, next) = (fix(1).unwrap(), fix(2).unwrap());
        assert!((BERTH.distance_to(first).get() - 39.1).abs() < 0.02);
        assert!((BERTH.bearing_to(first).degrees() - 45.0).abs() < 0.1);
        // No two readings are equal to the last digit.
        assert_ne!(first, next);
    }
}
