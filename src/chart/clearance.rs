//! Checks whether she has room to swing: compares a circle, or a sector of it, with the chart.
//!
//! **Method.** The least depth is the minimum of all depths that the chart gives in the circle: the shoaler bound
//! (DRVAL1) of each depth area that overlaps it, and each sounding, contour, rock, wreck and obstruction. Together with
//! the lowest tide of the stay it is compared with draught and margin. Shares are of the circle's area. The search for
//! the nearest danger extends beyond the circle. The boat's own soundings ([`super::own`]) count where they are
//! shoaler; they cover no area, so the shares are the chart's alone. Distances and bearings are geodesics from the
//! centre (Karney).
//! **Assumptions.** The chart is right. Its possible error is reported with each answer (CATZOC), not subtracted:
//! otherwise no circle would ever clear where the survey is poor. An object without a depth is dangerous; a place
//! without a depth is not deep.
//! **Weakness.** The boat is a point: the circle must hold all of her.
//! **Source**: IHO S-57, Appendix A and B.1. **Tests**: below; 500 random circles of a real cell against shapely and
//! pyproj in `tests/peers/charts.rs`.

mod answer;
mod judge;
mod told;

use crate::geodesy::Position;
use crate::speech::{Language, Wording};
use crate::units::{Bearing, LengthUnit, Metres};

pub use answer::{CellTold, Clearance, Danger, Finding, Least, OwnTold, Regulated, Survey};

pub use told::{DangerTold, DepthThere, LeastTold, RoomTold};

use super::sheet::Sheet;

/// A circle, or a sector of one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Room {
    centre: Position,
    radius: Metres,
    between: Option<(Bearing, Bearing)>,
}

/// A circle that cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RoomError {
    /// The radius is too small or too large for a swinging circle.
    #[error("a radius of `{} m` is no swinging circle; it lies between 1 m and {LARGEST} m", .0.get())]
    Radius(Metres),
    /// Both bearings are the same.
    #[error("a sector needs two bearings that differ; leave both out for the whole circle")]
    EmptySector,
}

/// Metres. Chosen: more rode than any yacht carries, and small enough for the plane to be exact to a millimetre.
const LARGEST: f64 = 2000.0;

impl Room {
    /// A full circle about a place.
    pub fn circle(centre: Position, radius: Metres) -> Result<Self, RoomError> {
        if !(1.0..=LARGEST).contains(&radius.get()) {
            return Err(RoomError::Radius(radius));
        }
        Ok(Self {
            centre,
            radius,
            between: None,
        })
    }

    /// Limits the circle to bearings from the centre between these two, clockwise.
    pub fn between(self, from: Bearing, to: Bearing) -> Result<Self, RoomError> {
        if from.since(to).get().abs() < 1e-9 {
            return Err(RoomError::EmptySector);
        }
        Ok(Self {
            between: Some((from, to)),
            ..self
        })
    }
}

/// What the boat needs, and the tide. Heights are above chart datum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Needs {
    /// From the surface to the lowest point of the keel.
    pub draught: Metres,
    /// The water that must be left under the keel.
    pub margin: Metres,
    /// The lowest tide of the stay.
    pub lowest: Metres,
    /// The tide now, to separate what grounds her now from what grounds her at low water only.
    pub now: Option<Metres>,
    /// The unit of lengths in the report.
    pub say: LengthUnit,
    /// The language of the report.
    pub language: Language,
}

impl Needs {
    /// The charted depth that is just enough at the lowest water.
    #[must_use]
    pub fn depth(&self) -> Metres {
        self.draught + self.margin - self.lowest
    }

    /// The crew's language and units.
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording::of(self.say, self.language)
    }
}

/// How far beyond the circle the nearest danger is searched: a nautical mile. Chosen.
pub const SEARCHED_BEYOND: Metres = Metres::of(1852.0);

impl Sheet {
    /// Judges a circle or sector.
    #[must_use]
    pub fn clearance(&self, room: Room, needs: &Needs) -> Clearance {
        judge::clearance(self, room, needs)
    }
}

#[cfg(test)]
mod tests;
