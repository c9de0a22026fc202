//! Where an object lies: points on a grid of 1e-7 of a degree, as S-57 cells have them.
//!
//! A cell's own multiplication factor (COMF) is 10 000 000, so nothing is lost, and a point takes eight bytes.

use serde::{Deserialize, Serialize};

use crate::geodesy::Position;

/// A point: ten-millionths of a degree east and north (WGS 84).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    /// East, within ±1 800 000 000.
    pub x: i32,
    /// North, within ±900 000 000.
    pub y: i32,
}

/// Parts of a degree.
pub(super) const GRID: f64 = 1e7;

impl Spot {
    /// Degrees east and north, put onto the grid; `None` for coordinates that are not on Earth.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, reason = "the bounds are checked")]
    pub fn of(longitude: f64, latitude: f64) -> Option<Self> {
        Position::new(latitude, longitude).ok()?;
        Some(Self {
            x: (longitude * GRID).round() as i32,
            y: (latitude * GRID).round() as i32,
        })
    }

    /// Degrees east and north.
    #[must_use]
    pub fn degrees(self) -> [f64; 2] {
        [f64::from(self.x) / GRID, f64::from(self.y) / GRID]
    }
}

/// Points in order. A ring's last point is its first.
///
/// Written as numbers: the first point, then the step to each next one, which packs well.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Vec<i64>", into = "Vec<i64>")]
pub struct Path(pub Vec<Spot>);

impl From<Path> for Vec<i64> {
    fn from(path: Path) -> Self {
        let mut before = (0, 0);
        let mut steps = Self::with_capacity(path.0.len() * 2);
        for spot in path.0 {
            let (x, y) = (i64::from(spot.x), i64::from(spot.y));
            steps.extend([x - before.0, y - before.1]);
            before = (x, y);
        }
        steps
    }
}

/// The steps lead off the Earth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("a path leads off the Earth")]
pub struct OffTheEarth;

impl TryFrom<Vec<i64>> for Path {
    type Error = OffTheEarth;

    fn try_from(steps: Vec<i64>) -> Result<Self, OffTheEarth> {
        let mut at = (0_i64, 0_i64);
        let mut spots = Vec::with_capacity(steps.len() / 2);
        for step in steps.chunks(2) {
            let [x, y] = step else {
                return Err(OffTheEarth);
            };
            at = (at.0.saturating_add(*x), at.1.saturating_add(*y));
            let on_earth = at.0.abs() <= 1_800_000_000 && at.1.abs() <= 900_000_000;
            match (i32::try_from(at.0), i32::try_from(at.1)) {
                (Ok(x), Ok(y)) if on_earth => spots.push(Spot { x, y }),
                _ => return Err(OffTheEarth),
            }
        }
        if spots.is_empty() {
            return Err(OffTheEarth);
        }
        Ok(Self(spots))
    }
}

/// A point, a line or an area.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Shape {
    /// One point.
    #[serde(rename = "p")]
    Point(Path),
    /// A line of two points or more.
    #[serde(rename = "l")]
    Line(Path),
    /// An area: its outline counterclockwise, then its holes clockwise.
    #[serde(rename = "a")]
    Area(Vec<Path>),
}

impl Shape {
    /// All its points.
    pub fn spots(&self) -> impl Iterator<Item = Spot> {
        let paths = match self {
            Self::Point(path) | Self::Line(path) => std::slice::from_ref(path),
            Self::Area(rings) => rings.as_slice(),
        };
        paths.iter().flat_map(|path| path.0.iter().copied())
    }

    /// The number of points.
    #[must_use]
    pub fn points(&self) -> usize {
        match self {
            Self::Point(path) | Self::Line(path) => path.0.len(),
            Self::Area(rings) => rings.iter().map(|ring| ring.0.len()).sum(),
        }
    }

    /// The smallest box around it; `None` without a point.
    #[must_use]
    pub fn extent(&self) -> Option<Extent> {
        self.spots().map(Extent::at).reduce(Extent::with)
    }
}

/// A box of the grid, its sides included. It never crosses the 180th meridian.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Extent {
    /// The south-west corner.
    pub low: Spot,
    /// The north-east corner.
    pub high: Spot,
}

impl Serialize for Spot {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        (self.x, self.y).serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Spot {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let (x, y) = Deserialize::deserialize(deserializer)?;
        Ok(Self { x, y })
    }
}

impl Extent {
    /// A box around one point.
    #[must_use]
    pub const fn at(spot: Spot) -> Self {
        Self {
            low: spot,
            high: spot,
        }
    }

    /// The smallest box around both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self {
            low: Spot {
                x: self.low.x.min(other.low.x),
                y: self.low.y.min(other.low.y),
            },
            high: Spot {
                x: self.high.x.max(other.high.x),
                y: self.high.y.max(other.high.y),
            },
        }
    }

    /// Whether they have a point in common.
    #[must_use]
    pub const fn meets(self, other: Self) -> bool {
        self.low.x <= other.high.x
            && other.low.x <= self.high.x
            && self.low.y <= other.high.y
            && other.low.y <= self.high.y
    }

    /// The boxes that hold everything within `range` metres of a place: one, or two if the 180th meridian lies
    /// between. Each is a little larger than necessary.
    #[must_use]
    pub fn about(centre: Position, range: f64) -> Vec<Self> {
        // A degree of latitude has at least 110 574 m (WGS 84, at the equator).
        let high = range / 110_500.0 * 1.01 + 1e-6;
        let farthest = centre.latitude().abs() + high;
        let wide = if farthest >= 89.9 {
            180.0
        } else {
            (high / farthest.to_radians().cos()).min(180.0)
        };
        let (south, north) = (
            (centre.latitude() - high).max(-90.0),
            (centre.latitude() + high).min(90.0),
        );
        let (west, east) = (centre.longitude() - wide, centre.longitude() + wide);
        let spans = if wide >= 180.0 {
            vec![(-180.0, 180.0)]
        } else if west < -180.0 {
            vec![(-180.0, east), (west + 360.0, 180.0)]
        } else if east > 180.0 {
            vec![(west, 180.0), (-180.0, east - 360.0)]
        } else {
            vec![(west, east)]
        };
        spans
            .into_iter()
            .filter_map(|(west, east)| {
                Some(Self {
                    low: Spot::of(west, south)?,
                    high: Spot::of(east, north)?,
                })
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_path_is_written_and_read_alike(
            points in prop::collection::vec((-180.0..=180.0_f64, -90.0..=90.0_f64), 1..30),
        ) {
            let path = Path(points.iter().map(|p| Spot::of(p.0, p.1).unwrap()).collect());
            let text = serde_json::to_string(&path).unwrap();
            prop_assert_eq!(serde_json::from_str::<Path>(&text).unwrap(), path);
        }

        #[test]
        fn the_boxes_about_a_place_hold_all_within_range(
            latitude in -90.0..=90.0_f64, longitude in -180.0..=180.0_f64,
            turn in 0.0..360.0_f64, range in 1.0..5000.0_f64,
        ) {
            let centre = Position::new(latitude, longitude).unwrap();
            let bearing = crate::units::Bearing::from_degrees(turn);
            let end = centre.moved(bearing, crate::units::Metres::of(range));
            let spot = Spot::of(end.longitude(), end.latitude()).unwrap();
            let boxes = Extent::about(centre, range);
            prop_assert!(boxes.iter().any(|b| b.meets(Extent::at(spot))), "{boxes:?}");
        }
    }

    #[test]
    fn paths_that_lead_off_the_earth_are_refused() {
        for text in [
            "[]",
            "[1]",
            "[1800000001,0]",
            "[0,-900000001]",
            "[1,1,1]",
            "[9223372036854775807,0,9223372036854775807,0]",
        ] {
            assert!(serde_json::from_str::<Path>(text).is_err(), "{text}");
        }
    }
}
