//! The values that a transponder sends in place of a figure it does not have.
//!
//! ITU-R M.1371-5, annex 8, tables 48 (messages 1 to 3) and 67 (message 18); from memory: speed 1023 (102.3 kn),
//! course 3600 (360°), heading 511, latitude 91°, longitude 181° are "not available". Here they arrive in SI
//! units, rounded to the field's own step. signalk-server 2.32.0 does not pass them on, and drops a report
//! without a position entirely (`peers::neighbour`); other gateways pass them on.

use crate::signalk::wire::Wire;
use crate::units::Speed;

/// Whether the value of this path is one of them.
pub(super) fn is_not_available(path: &str, value: &Wire<'_>) -> bool {
    match (path, value) {
        ("navigation.speedOverGround", Wire::Number(speed)) => *speed >= NO_SPEED.get(),
        ("navigation.courseOverGroundTrue", Wire::Number(course)) => {
            *course >= NO_COURSE.to_radians()
        }
        ("navigation.headingTrue", Wire::Number(heading)) => *heading >= NO_HEADING.to_radians(),
        (
            "navigation.position",
            Wire::Position {
                latitude,
                longitude,
            },
        ) => latitude.abs() >= NO_LATITUDE || longitude.abs() >= NO_LONGITUDE,
        _ => false,
    }
}

/// The step is a tenth of a knot; 102.2 kn means that speed "or higher".
const NO_SPEED: Speed = Speed::from_knots(102.25);
/// The step is a tenth of a degree: the highest course is 359.9°.
const NO_COURSE: f64 = 359.95;
/// The step is a degree. 360° is read as north, since some senders write it that way.
const NO_HEADING: f64 = 360.5;
/// No real position has these coordinates, whatever the last digits are.
const NO_LATITUDE: f64 = 90.5;
const NO_LONGITUDE: f64 = 180.5;
