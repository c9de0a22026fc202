//! Maps the ground to the picture: north up, the same scale both ways, chosen so that circle, boat and
//! track fit.

use super::writer::{Point, Rect};
use crate::geodesy::{Offset, Plane, Position};

/// The plane of the chart and its place on the picture.
#[derive(Clone, Copy, Debug)]
pub(super) struct View {
    plane: Plane,
    /// The point of the plane in the middle.
    middle: Offset,
    centre: Point,
    /// Units of the picture per metre.
    pub(super) units: f64,
}

/// What must be on the chart: a box on the plane.
#[derive(Clone, Copy, Debug)]
pub(super) struct Extent {
    west: f64,
    east: f64,
    south: f64,
    north: f64,
}

impl Extent {
    /// Only the origin.
    pub(super) const NOTHING: Self = Self {
        west: 0.0,
        east: 0.0,
        south: 0.0,
        north: 0.0,
    };

    pub(super) fn with(self, at: Offset, radius: f64) -> Self {
        Self {
            west: self.west.min(at.east - radius),
            east: self.east.max(at.east + radius),
            south: self.south.min(at.north - radius),
            north: self.north.max(at.north + radius),
        }
    }
}

impl Extent {
    /// From the origin to the farthest side.
    pub(super) fn farthest(self) -> f64 {
        (-self.west).max(self.east).max(-self.south).max(self.north)
    }
}

impl View {
    /// The view in which `extent` of the plane at `origin` fills `room`.
    pub(super) fn fit(origin: Position, extent: Extent, room: Rect) -> Self {
        let wide = (extent.east - extent.west).max(LEAST);
        let high = (extent.north - extent.south).max(LEAST);
        let units = (room.width.max(1.0) / wide).min(room.height.max(1.0) / high);
        Self {
            plane: Plane::at(origin),
            middle: Offset {
                east: f64::midpoint(extent.east, extent.west),
                north: f64::midpoint(extent.north, extent.south),
            },
            centre: room.centre(),
            units,
        }
    }

    pub(super) fn offset(self, position: Position) -> Offset {
        self.plane.offset(position)
    }

    pub(super) fn point(self, position: Position) -> Point {
        self.at(self.offset(position))
    }

    pub(super) fn at(self, offset: Offset) -> Point {
        let from_middle = offset - self.middle;
        Point {
            x: self.centre.x + from_middle.east * self.units,
            y: self.centre.y - from_middle.north * self.units,
        }
    }
}

/// The longest of 1, 2, 5 times a power of ten metres that is no longer than `most` units.
pub(super) fn bar(units_per_metre: f64, most: f64) -> f64 {
    let longest = most / units_per_metre;
    let power = 10_f64.powf(longest.log10().floor());
    [5.0, 2.0, 1.0]
        .into_iter()
        .map(|step| step * power)
        .find(|length| *length <= longest)
        .unwrap_or(power)
}

/// A chart of less than this would show the receiver's noise instead of the boat.
const LEAST: f64 = 40.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Bearing, Metres};

    const COVE: Position = Position::of(59.8539, 23.26);
    const ROOM: Rect = Rect {
        x: 100.0,
        y: 200.0,
        width: 400.0,
        height: 300.0,
    };

    #[test]
    fn north_is_up_east_is_right_and_a_metre_is_a_metre_both_ways() {
        let view = View::fit(COVE, Extent::NOTHING.with(Offset::ZERO, 50.0), ROOM);
        assert_eq!(view.units, 3.0);
        let centre = view.point(COVE);
        assert_eq!((centre.x, centre.y), (300.0, 350.0));
        // 40 m by the geodesic, not by our own plane.
        let north = view.point(COVE.moved(Bearing::from_degrees(0.0), Metres::of(40.0)));
        assert!((north.x - 300.0).abs() < 0.01 && (north.y - 230.0).abs() < 0.01);
        let east = view.point(COVE.moved(Bearing::from_degrees(90.0), Metres::of(40.0)));
        assert!((east.x - 420.0).abs() < 0.01 && (east.y - 350.0).abs() < 0.01);
    }

    #[test]
    fn the_bar_is_a_round_length_that_fits() {
        for (units, bar_length) in [(3.0, 50.0), (1.0, 200.0), (0.5, 200.0), (10.0, 20.0)] {
            assert_eq!(bar(units, 200.0), bar_length, "{units}");
        }
    }
}
