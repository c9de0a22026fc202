//! The approach to the berth: where the berth lies, when she gets there, how far she is off the line head to wind, and
//! how far she still runs after the engine is stopped.
//!
//! **Formula.** With `d` from the bow roller to the berth on the plane about the berth, `v` the velocity over the
//! ground and `u` the unit vector that points up-wind: speed made good `v·d / |d|`; time `|d|` divided by it; down-wind
//! of the berth by `d·u`; off the line through the berth by `d·p`, where `p` points to port of `u`: positive to
//! starboard of the line, as the Signal K schema defines `crossTrackError` ("a positive number means the vessel is to
//! the right of the line"). She carries her [`Way`] at the present speed; she turns up into the wind that far beyond
//! the berth, and stops the engine that far short of it.
//! **Assumptions.** The wind stays at its mean; speed and course stay as they are. Heading up means a course over the
//! ground within 60° of the wind's eye.
//! **Weakness.** A stream moves her over the ground while she carries her way. The turn itself takes room, which is not
//! counted; she loses speed in it. The velocity is the antenna's, and in a turn the bow moves differently.
//! **Source**: plane geometry on Karney's geodesics; Signal K schema 1.8.2, `navigation.course*.crossTrackError`.
//! **Tests**: below, and `watch/tests/approach.rs`.

pub mod steps;
pub mod way;
mod words;

use crate::geodesy::{Offset, Plane, Position};
use crate::units::{Bearing, Metres, Speed};

pub use way::Way;

/// The input for the way to the berth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    /// The planned place of the anchor.
    pub berth: Position,
    /// The bow roller.
    pub roller: Position,
    /// The velocity over the ground, metres a second east and north; `None` if unknown.
    pub velocity: Option<Offset>,
    /// The course that heads into the wind; `None` if the wind is unknown.
    pub head_to_wind: Option<Bearing>,
    /// How far she carries her way.
    pub way: Way,
}

/// The way to the berth. `None` means unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Approach {
    /// The bearing from the bow roller to the berth, true.
    pub bearing: Bearing,
    /// The distance from the bow roller to the berth.
    pub distance: Metres,
    /// The speed over the ground.
    pub speed: Option<Speed>,
    /// The speed towards the berth; negative away from it.
    pub made_good: Option<Speed>,
    /// The time until she is there at the speed made good, seconds; `None` while she does not approach.
    pub time: Option<f64>,
    /// The course into the wind.
    pub head_to_wind: Option<Bearing>,
    /// How far she lies down-wind of the berth; negative up-wind of it.
    pub down_wind: Option<Metres>,
    /// How far she lies off the line head to wind through the berth; positive to starboard of it.
    pub cross_track: Option<Metres>,
    /// How far she still runs if the engine is stopped now; she turns up into the wind that far beyond the berth.
    pub carries: Option<Metres>,
    /// Whether her course over the ground heads into the wind; `None` without a wind or when she hardly moves.
    pub heads_up: Option<bool>,
    /// How far she carries her way in general.
    pub way: Way,
}

/// Calculates it.
#[must_use]
pub fn approach(known: &Known) -> Approach {
    let distance = known.roller.distance_to(known.berth);
    let from_berth = Plane::at(known.berth).offset(known.roller);
    let speed = known
        .velocity
        .and_then(|v| Speed::new(v.east.hypot(v.north)));
    let made_good = known
        .velocity
        .filter(|_| distance.get() > 0.0)
        .and_then(|v| Speed::new(-dot(v, from_berth) / from_berth.length().get()));
    let up = known
        .head_to_wind
        .map(|course| Offset::polar(course, Metres::of(1.0)));
    let starboard = |up: Offset| Offset {
        east: up.north,
        north: -up.east,
    };
    let moves = speed.is_some_and(|speed| speed >= MOVES);
    Approach {
        bearing: known.roller.bearing_to(known.berth),
        distance,
        speed,
        made_good,
        time: made_good
            .filter(|speed| *speed >= LEAST)
            .map(|speed| distance.get() / speed.get()),
        head_to_wind: known.head_to_wind,
        down_wind: up.and_then(|up| Metres::new(-dot(from_berth, up))),
        cross_track: up.and_then(|up| Metres::new(dot(from_berth, starboard(up)))),
        carries: speed.map(|speed| known.way.carries(speed)),
        heads_up: known
            .velocity
            .zip(known.head_to_wind)
            .filter(|_| moves)
            .map(|(v, wind)| v.bearing().since(wind).get().abs() <= HEADS_UP),
        way: known.way,
    }
}

fn dot(a: Offset, b: Offset) -> f64 {
    a.east * b.east + a.north * b.north
}

/// Below this speed there is no time to the berth.
const LEAST: Speed = Speed::of(0.2);
/// Below this speed the course over the ground is meaningless.
const MOVES: Speed = Speed::of(0.3);
/// Radians: 60°. Chosen: no boat sails far closer to the wind.
const HEADS_UP: f64 = std::f64::consts::FRAC_PI_3;
/// Within this distance of the berth she approaches it: a nautical mile. Chosen.
pub const NEAR: Metres = Metres::of(1852.0);

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn known(berth: Position, from_berth: Offset, velocity: Offset, wind: f64) -> Known {
        Known {
            berth,
            roller: Plane::at(berth).position(from_berth),
            velocity: Some(velocity),
            head_to_wind: Some(Bearing::from_degrees(wind)),
            way: Way::assumed(Metres::of(11.0)),
        }
    }

    fn offset(east: f64, north: f64) -> Offset {
        Offset { east, north }
    }

    const COVE: Position = Position::of(59.8539, 23.26);

    /// Wind from the north: 100 m south of the berth and 30 m east of it, she is 100 m down-wind
    /// and 30 m to starboard.
    #[test]
    fn starboard_of_the_line_is_positive() {
        let found = approach(&known(COVE, offset(30.0, -100.0), offset(0.0, 1.0), 0.0));
        assert!((found.cross_track.unwrap().get() - 30.0).abs() < 0.01);
        assert!((found.down_wind.unwrap().get() - 100.0).abs() < 0.01);
        assert_eq!(found.heads_up, Some(true));
        let port = approach(&known(COVE, offset(-30.0, 50.0), offset(0.0, -1.0), 0.0));
        assert!((port.cross_track.unwrap().get() + 30.0).abs() < 0.01);
        assert!((port.down_wind.unwrap().get() + 50.0).abs() < 0.01);
        assert_eq!(port.heads_up, Some(false));
    }

    #[test]
    fn without_wind_or_velocity_nothing_is_made_up() {
        let mut still = known(COVE, offset(0.0, -100.0), Offset::ZERO, 0.0);
        still.head_to_wind = None;
        let found = approach(&still);
        assert_eq!((found.cross_track, found.down_wind), (None, None));
        assert_eq!((found.time, found.heads_up), (None, None));
        still.velocity = None;
        let found = approach(&still);
        assert_eq!((found.speed, found.carries), (None, None));
        // At the berth itself there is no way to go.
        let at = approach(&known(COVE, Offset::ZERO, offset(0.0, 1.0), 0.0));
        assert_eq!((at.made_good, at.time), (None, None));
    }

    proptest! {
        /// The result is the same anywhere, also beside the 180th meridian and far north: time is distance divided by
        /// speed, both sides of the line are alike, and the parts along and across it make up the distance.
        #[test]
        fn the_line_is_plane_geometry_anywhere(
            latitude in -84.0..84.0_f64, near_meridian in any::<bool>(), longitude in -0.005..0.005_f64,
            along in -1500.0..1500.0_f64, across in 1.0..1500.0_f64, wind in 0.0..360.0_f64,
            speed in 0.3..4.0_f64,
        ) {
            let longitude = if near_meridian {
                if longitude < 0.0 { 180.0 + longitude } else { -180.0 + longitude }
            } else {
                longitude * 10_000.0
            };
            let berth = Position::new(latitude, longitude).unwrap();
            let eye = Bearing::from_degrees(wind);
            let side = |across: f64| {
                let up = Offset::polar(eye, Metres::of(-along));
                let right = Offset::polar(Bearing::from_degrees(wind + 90.0), Metres::of(across));
                up + right
            };
            let (right, left) = (side(across), side(-across));
            let towards = |from: Offset| {
                let way = Offset::ZERO - from;
                way * (speed / way.length().get())
            };
            let ours = approach(&known(berth, right, towards(right), wind));
            let other = approach(&known(berth, left, towards(left), wind));
            prop_assert!((ours.cross_track.unwrap().get() - across).abs() < 0.05, "{ours:?}");
            prop_assert!((ours.cross_track.unwrap().get() + other.cross_track.unwrap().get()).abs() < 0.05);
            prop_assert!((ours.down_wind.unwrap().get() - along).abs() < 0.05);
            let squares = ours.cross_track.unwrap().get().hypot(ours.down_wind.unwrap().get());
            prop_assert!((squares - ours.distance.get()).abs() < 0.05);
            // Heading straight for it, the speed made good is the whole speed.
            prop_assert!((ours.made_good.unwrap().get() - speed).abs() < 1e-4 * speed.max(1.0));
            prop_assert!((ours.time.unwrap() - ours.distance.get() / speed).abs() < 0.01 * ours.time.unwrap().max(1.0));
            prop_assert!((ours.time.unwrap() - other.time.unwrap()).abs() < 0.5);
            // Heading away, she makes none good.
            let away = approach(&known(berth, right, towards(right) * -1.0, wind));
            prop_assert_eq!(away.time, None);
            // The distance she carries grows with the speed.
            let faster = approach(&known(berth, right, towards(right) * 2.0, wind));
            prop_assert!((faster.carries.unwrap().get() - 2.0 * ours.carries.unwrap().get()).abs() < 1e-6);
        }
    }
}
