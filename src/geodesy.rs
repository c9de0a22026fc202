//! Positions on WGS 84 and the geometry between them.
//!
//! Distances and bearings are geodesics on the ellipsoid: Karney 2013, through `geo`, also at the poles and
//! across the date line. Short distances use a formula ([`near`]) that agrees to a millimetre. Motion
//! around a boat is calculated on a plane that touches the ellipsoid at a reference point ([`Plane`], an
//! azimuthal equidistant projection). Directions and distances *from the reference* are exact; between two
//! points within 2 km of it the error is less than a millimetre.

mod near;
mod plane;

use std::fmt;

use geo::{Bearing as _, Destination as _, Distance as _, Geodesic, Point};
use serde::{Deserialize, Serialize};

pub use self::plane::{Plane, Tangent};
use crate::units::{Bearing, Metres};

/// A point on WGS 84: latitude in `-90..=90`, longitude in `-180..=180`, degrees, both finite.
#[derive(Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "RawPosition", into = "RawPosition")]
pub struct Position {
    latitude: f64,
    longitude: f64,
}

/// Coordinates that are not a place on Earth.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "latitude `{latitude}`, longitude `{longitude}` is no place on Earth; degrees within ±90 and ±180 are expected"
)]
pub struct NoPlace {
    /// As given, degrees.
    pub latitude: f64,
    /// As given, degrees.
    pub longitude: f64,
}

#[derive(Serialize, Deserialize)]
struct RawPosition {
    latitude: f64,
    longitude: f64,
}

impl Position {
    /// Takes degrees north and east.
    pub fn new(latitude: f64, longitude: f64) -> Result<Self, NoPlace> {
        if (-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude) {
            Ok(Self {
                latitude,
                longitude,
            })
        } else {
            Err(NoPlace {
                latitude,
                longitude,
            })
        }
    }

    /// For constants: coordinates outside the ranges do not compile.
    ///
    /// # Panics
    /// When called outside a constant with coordinates that are not a place on Earth.
    #[must_use]
    pub const fn of(latitude: f64, longitude: f64) -> Self {
        assert!(latitude >= -90.0 && latitude <= 90.0);
        assert!(longitude >= -180.0 && longitude <= 180.0);
        Self {
            latitude,
            longitude,
        }
    }

    /// Degrees north.
    #[must_use]
    pub const fn latitude(self) -> f64 {
        self.latitude
    }

    /// Degrees east.
    #[must_use]
    pub const fn longitude(self) -> f64 {
        self.longitude
    }

    /// Exactly zero north, zero east: what a receiver without a fix often fills in.
    #[must_use]
    pub fn is_null_island(self) -> bool {
        self.latitude == 0.0 && self.longitude == 0.0
    }

    /// Geodesic distance.
    /// ```
    /// use windrode::geodesy::Position;
    ///
    /// // Wellington to Salamanca, from the documentation of Karney's GeographicLib.
    /// let wellington = Position::new(-41.32, 174.81)?;
    /// let salamanca = Position::new(40.96, -5.50)?;
    /// assert!((wellington.distance_to(salamanca).get() - 19_959_679.267).abs() < 0.001);
    /// # Ok::<(), windrode::geodesy::NoPlace>(())
    /// ```
    #[must_use]
    pub fn distance_to(self, other: Self) -> Metres {
        match near::between(self, other) {
            Some((east, north, _)) => Metres::of((east * east + north * north).sqrt()),
            None => Metres::of(Geodesic.distance(self.point(), other.point())),
        }
    }

    /// True bearing at the start of the geodesic to `other`; north when both are the same point.
    #[must_use]
    pub fn bearing_to(self, other: Self) -> Bearing {
        match near::between(self, other) {
            Some((east, north, half)) => Bearing::of(east.atan2(north) - half),
            None => Bearing::from_degrees(Geodesic.bearing(self.point(), other.point())),
        }
    }

    /// The point at `distance` along the geodesic that starts towards `bearing`.
    /// ```
    /// use windrode::geodesy::Position;
    /// use windrode::units::{Bearing, Metres};
    ///
    /// // 20 000 km south-west of Perth, from the documentation of Karney's GeographicLib.
    /// let perth = Position::new(-32.06, 115.74)?;
    /// let there = perth.moved(Bearing::from_degrees(225.0), Metres::of(20_000e3));
    /// assert!((there.latitude() - 32.111_955_29).abs() < 1e-8);
    /// assert!((there.longitude() + 63.959_252_78).abs() < 1e-8);
    /// # Ok::<(), windrode::geodesy::NoPlace>(())
    /// ```
    #[must_use]
    pub fn moved(self, bearing: Bearing, distance: Metres) -> Self {
        let offset = Offset::polar(bearing, distance);
        if let Some(near) = near::from(self, offset.east, offset.north) {
            return near;
        }
        let end = Geodesic.destination(self.point(), bearing.degrees(), distance.get());
        Self::new(end.y(), end.x()).unwrap_or(self)
    }

    fn point(self) -> Point {
        Point::new(self.longitude, self.latitude)
    }
}

impl TryFrom<RawPosition> for Position {
    type Error = NoPlace;
    fn try_from(raw: RawPosition) -> Result<Self, NoPlace> {
        Self::new(raw.latitude, raw.longitude)
    }
}

impl From<Position> for RawPosition {
    fn from(position: Position) -> Self {
        Self {
            latitude: position.latitude,
            longitude: position.longitude,
        }
    }
}

impl fmt::Display for Position {
    /// Degrees and decimal minutes, as charts and logs have them: `59°51.234'N 023°15.600'E`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let part = |value: f64, width: usize, positive: char, negative: char| {
            let thousandths = (value.abs() * 60_000.0).round();
            let degrees = (thousandths / 60_000.0).floor();
            let minutes = (thousandths - degrees * 60_000.0) / 1000.0;
            let side = if value < 0.0 { negative } else { positive };
            format!("{degrees:0width$.0}°{minutes:06.3}'{side}")
        };
        write!(
            f,
            "{} {}",
            part(self.latitude, 2, 'N', 'S'),
            part(self.longitude, 3, 'E', 'W')
        )
    }
}

impl fmt::Debug for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {} (WGS 84)", self.latitude, self.longitude)
    }
}

/// A text that is not a position.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is not a position; write `59.8539,23.26` (degrees, north and east positive) or `59°51.234'N 23°15.600'E`"
)]
pub struct ParsePositionError(pub String);

impl std::str::FromStr for Position {
    type Err = ParsePositionError;

    /// Decimal degrees separated by a comma, or degrees and minutes (and seconds) with N, S, E, W.
    fn from_str(text: &str) -> Result<Self, ParsePositionError> {
        let refused = || ParsePositionError(text.to_owned());
        let upper = text.trim().to_uppercase();
        let (latitude, longitude) = if let Some(end) = upper.find(['N', 'S']) {
            let (latitude, longitude) = upper.split_at(end + 1);
            (
                sexagesimal(latitude, 'N', 'S').ok_or_else(refused)?,
                sexagesimal(longitude, 'E', 'W').ok_or_else(refused)?,
            )
        } else {
            let (latitude, longitude) = upper.split_once(',').ok_or_else(refused)?;
            (
                latitude.trim().parse().map_err(|_| refused())?,
                longitude.trim().parse().map_err(|_| refused())?,
            )
        };
        Self::new(latitude, longitude).map_err(|_| refused())
    }
}

/// `59°51.234'N` as degrees; `None` when the text has another form.
fn sexagesimal(text: &str, positive: char, negative: char) -> Option<f64> {
    let text = text.trim().trim_start_matches(',').trim();
    let (number, sign) = match text.strip_suffix(positive) {
        Some(number) => (number, 1.0),
        None => (text.strip_suffix(negative)?, -1.0),
    };
    let parts: Vec<f64> = number
        .split(['°', '\'', '"', '′', '″', ' '])
        .filter(|part| !part.is_empty())
        .map(str::parse)
        .collect::<Result<_, _>>()
        .ok()?;
    let in_range = |part: &f64| (0.0..60.0).contains(part);
    match parts.as_slice() {
        [degrees] if *degrees >= 0.0 => Some(sign * degrees),
        [degrees, minutes] if *degrees >= 0.0 && in_range(minutes) => {
            Some(sign * (degrees + minutes / 60.0))
        }
        [degrees, minutes, seconds]
            if *degrees >= 0.0 && in_range(minutes) && in_range(seconds) =>
        {
            Some(sign * (degrees + minutes / 60.0 + seconds / 3600.0))
        }
        _ => None,
    }
}

/// A displacement on the plane, metres east and north (true).
#[derive(Clone, Copy, Debug, PartialEq, Default, Serialize, Deserialize)]
pub struct Offset {
    /// Metres towards east.
    pub east: f64,
    /// Metres towards true north.
    pub north: f64,
}

impl Offset {
    /// No displacement.
    pub const ZERO: Self = Self {
        east: 0.0,
        north: 0.0,
    };

    /// From a direction and a length.
    #[must_use]
    pub fn polar(bearing: Bearing, distance: Metres) -> Self {
        let (sin, cos) = bearing.get().sin_cos();
        Self {
            east: distance.get() * sin,
            north: distance.get() * cos,
        }
    }

    /// Length.
    #[must_use]
    pub fn length(self) -> Metres {
        Metres::of(self.east.hypot(self.north))
    }

    /// Direction; north for no displacement.
    #[must_use]
    pub fn bearing(self) -> Bearing {
        Bearing::of(self.east.atan2(self.north))
    }

    /// A displacement given in the boat's frame (metres ahead and to starboard) seen on the
    /// ground when she heads `heading`.
    #[must_use]
    pub fn from_boat(ahead: Metres, starboard: Metres, heading: Bearing) -> Self {
        let (sin, cos) = heading.get().sin_cos();
        Self {
            east: ahead.get() * sin + starboard.get() * cos,
            north: ahead.get() * cos - starboard.get() * sin,
        }
    }
}

/// A displacement towards east, for tests.
#[cfg(test)]
pub(crate) const fn east(metres: f64) -> Offset {
    Offset {
        east: metres,
        north: 0.0,
    }
}

impl std::ops::Add for Offset {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            east: self.east + other.east,
            north: self.north + other.north,
        }
    }
}

impl std::ops::Sub for Offset {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            east: self.east - other.east,
            north: self.north - other.north,
        }
    }
}

impl std::ops::Mul<f64> for Offset {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self {
            east: self.east * factor,
            north: self.north * factor,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place(latitude: f64, longitude: f64) -> Position {
        Position::new(latitude, longitude).unwrap()
    }

    /// JFK to LHR in the examples of Karney's `GeographicLib`: 5 551 759.400 m, azimuth 51.198 882 845 579 82° (from memory).
    #[test]
    fn geodesics_agree_with_geographiclib() {
        let jfk = place(40.6, -73.8);
        let lhr = place(51.6, -0.5);
        assert!((jfk.distance_to(lhr).get() - 5_551_759.400).abs() < 0.001);
        assert!((jfk.bearing_to(lhr).degrees() - 51.198_882_845_579_824).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn near_geodesics_are_those_of_the_library(
            latitude in -74.0..74.0_f64, longitude in -180.0..180.0_f64,
            turn in 0.0..360.0_f64, distance in 0.01..2900.0_f64,
        ) {
            let start = place(latitude, longitude);
            let end = Geodesic.destination(start.point(), turn, distance);
            let end = place(end.y(), end.x().clamp(-180.0, 180.0));
            prop_assert!((start.distance_to(end).get() - distance).abs() < 0.001);
            let off = start.bearing_to(end).since(Bearing::from_degrees(turn)).get();
            // A bearing over a centimetre is no better than the coordinates' last digits.
            prop_assert!((off * distance).abs() < 0.001 && (distance < 100.0 || off.abs() < 1e-6));
            let ours = start.moved(Bearing::from_degrees(turn), Metres::of(distance));
            let apart = Geodesic.distance(ours.point(), end.point());
            prop_assert!(apart < 0.001, "{apart}");
            let offset = Plane::at(start).offset(end);
            let truth = Offset::polar(Bearing::from_degrees(turn), Metres::of(distance));
            prop_assert!((offset - truth).length().get() < 0.001);
        }

        /// Against Karney's geodesics, over the date line too.
        #[test]
        fn the_quick_plane_errs_by_centimetres(
            latitude in -80.0..80.0_f64, longitude in -180.0..180.0_f64,
            turn in 0.0..360.0_f64, distance in 0.0..300.0_f64,
        ) {
            let start = place(latitude, longitude);
            let end = Geodesic.destination(start.point(), turn, distance);
            let end = place(end.y(), end.x().clamp(-180.0, 180.0));
            let plane = Tangent::at(start);
            let truth = Offset::polar(Bearing::from_degrees(turn), Metres::of(distance));
            let off = (plane.offset(end) - truth).length().get();
            let most = if latitude.abs() <= 70.0 { 0.03 } else { 0.05 };
            prop_assert!(off < most, "{off}");
            let back = plane.position(plane.offset(end)).distance_to(end).get();
            prop_assert!(back < most, "{back}");
        }
    }

    #[test]
    fn there_and_back_is_nowhere() {
        for start in [
            place(59.854, 23.26),
            place(-33.9, 179.999_9),
            place(89.99, 12.0),
        ] {
            let end = start.moved(Bearing::from_degrees(93.0), Metres::of(250.0));
            assert!((start.distance_to(end).get() - 250.0).abs() < 1e-6);
            let plane = Plane::at(start);
            let back = plane.position(plane.offset(end));
            assert!(back.distance_to(end).get() < 1e-6);
        }
    }

    #[test]
    fn the_boat_frame_turns_with_her_heading() {
        let bow = Offset::from_boat(
            Metres::of(9.0),
            Metres::of(1.0),
            Bearing::from_degrees(90.0),
        );
        assert!((bow.east - 9.0).abs() < 1e-9 && (bow.north + 1.0).abs() < 1e-9);
    }

    #[test]
    fn impossible_places_are_refused_and_null_island_is_known() {
        assert_eq!(
            Position::new(91.0, 0.0).unwrap_err().to_string(),
            "latitude `91`, longitude `0` is no place on Earth; degrees within ±90 and ±180 are expected"
        );
        assert!(Position::new(f64::NAN, 0.0).is_err());
        assert!(place(0.0, 0.0).is_null_island());
        assert!(serde_json::from_str::<Position>("{\"latitude\":99,\"longitude\":0}").is_err());
    }

    #[test]
    fn positions_are_read_as_people_write_them() {
        for text in [
            "59.8539,23.26",
            " 59.8539 , 23.26 ",
            "59°51.234'N 23°15.600'E",
            "59°51.234'N, 023°15.600'E",
            "59 51 14.04n 23 15 36e",
            "59.8539N 23.26E",
        ] {
            let read: Position = text.parse().unwrap();
            assert!(
                read.distance_to(place(59.8539, 23.26)).get() < 0.01,
                "{text}"
            );
        }
        let south: Position = "33°51.5'S 151°12'W".parse().unwrap();
        assert!(south.latitude() < 0.0 && south.longitude() < 0.0);
        for text in [
            "",
            "59.8539",
            "N",
            "59°61'N 23°E",
            "95N 10E",
            "-5N 10E",
            "nan,nan",
            "59,23,1",
        ] {
            assert!(text.parse::<Position>().is_err(), "{text}");
        }
        assert_eq!(
            "here".parse::<Position>().unwrap_err().to_string(),
            "`here` is not a position; write `59.8539,23.26` (degrees, north and east positive) or `59°51.234'N 23°15.600'E`"
        );
    }

    #[test]
    fn positions_read_like_a_log() {
        assert_eq!(
            place(59.8539, 23.26).to_string(),
            "59°51.234'N 023°15.600'E"
        );
        assert_eq!(
            place(-0.000_001, -179.999_999_9).to_string(),
            "00°00.000'S 180°00.000'W"
        );
    }
}
