//! The planes on which motion around a boat is calculated. Their errors are measured by the tests of
//! [`geodesy`](super).

use super::{Offset, Position, near};

/// The plane that touches the ellipsoid at `origin`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    origin: Position,
}

impl Plane {
    /// Touching at `origin`.
    #[must_use]
    pub const fn at(origin: Position) -> Self {
        Self { origin }
    }

    /// Where the plane touches.
    #[must_use]
    pub const fn origin(self) -> Position {
        self.origin
    }

    /// A position on the plane.
    #[must_use]
    pub fn offset(self, position: Position) -> Offset {
        if let Some((east, north, half)) = near::between(self.origin, position) {
            // Back from the middle azimuth to the one at the origin.
            let (sin, cos) = half.sin_cos();
            return Offset {
                east: east * cos - north * sin,
                north: north * cos + east * sin,
            };
        }
        Offset::polar(
            self.origin.bearing_to(position),
            self.origin.distance_to(position),
        )
    }

    /// A point of the plane as a position.
    #[must_use]
    pub fn position(self, offset: Offset) -> Position {
        near::from(self.origin, offset.east, offset.north)
            .unwrap_or_else(|| self.origin.moved(offset.bearing(), offset.length()))
    }
}

/// The quick plane around a point, for calculations at every fix: metres along the meridian and the
/// parallel by the radii of curvature at the point (WGS 84). The error is less than 3 cm within 300 m up to
/// 70° of latitude, and 5 cm up to 80°: a fiftieth of a receiver's noise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tangent {
    origin: Position,
    /// Metres in a degree of latitude and of longitude.
    scale: (f64, f64),
}

impl Tangent {
    /// The plane around `origin`.
    #[must_use]
    pub fn at(origin: Position) -> Self {
        let (sin, cos) = origin.latitude.to_radians().sin_cos();
        let square = 1.0 - WGS84_E2 * sin * sin;
        let parallel = WGS84_A / square.sqrt() * cos;
        let meridian = WGS84_A * (1.0 - WGS84_E2) / (square * square.sqrt());
        Self {
            origin,
            scale: (meridian.to_radians(), parallel.to_radians()),
        }
    }

    /// Where the plane touches.
    #[must_use]
    pub const fn origin(self) -> Position {
        self.origin
    }

    /// A position on the plane; the shorter way round the Earth.
    #[must_use]
    pub fn offset(self, position: Position) -> Offset {
        let mut east = position.longitude - self.origin.longitude;
        if east.abs() > 180.0 {
            east -= 360.0_f64.copysign(east);
        }
        Offset {
            east: east * self.scale.1,
            north: (position.latitude - self.origin.latitude) * self.scale.0,
        }
    }

    /// A point of the plane as a position.
    #[must_use]
    pub fn position(self, offset: Offset) -> Position {
        Plane::at(self.origin).position(offset)
    }
}

const WGS84_A: f64 = 6_378_137.0;
const WGS84_E2: f64 = 0.006_694_379_990_14;
