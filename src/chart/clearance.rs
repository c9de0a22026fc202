//! Has she room to swing? A circle, or a sector of it, held against the chart.
//!
//! **Method.** The least depth is the least of all that the chart says anywhere in the circle: the shoaler bound of each
//! depth area that reaches in (DRVAL1), each sounding, contour, rock, wreck and obstruction. Together with the lowest tide of
//! the stay it is held against draught and margin. Shares are of the circle's area. The nearest danger is searched for
//! beyond the circle too. The boat's own soundings ([`super::own`]) count where they are shoaler; they cover no area, so the
//! shares are the chart's alone. Distances and bearings are geodesics from the centre (Karney).
//! **Assumptions.** The chart is right. How far it may be wrong is told with each answer (CATZOC), not taken off: where the
//! survey is poor nothing would ever clear. An object without a depth is dangerous; a place without a depth is not deep.
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

/// A circle that is none.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RoomError {
    /// Too small or too large to swing in.
    #[error("a radius of `{} m` is no swinging circle; it lies between 1 m and {LARGEST} m", .0.get())]
    Radius(Metres),
    /// Both bearings are the same.
    #[error("a sector needs two bearings that differ; leave both out for the whole circle")]
    EmptySector,
}

/// Metres. Chosen: more rode than any yacht carries, and the plane is exact to a millimetre.
const LARGEST: f64 = 2000.0;

impl Room {
    /// All about a place.
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

    /// Only where she lies on a bearing from the centre between these two, clockwise.
    pub fn between(self, from: Bearing, to: Bearing) -> Result<Self, RoomError> {
        if from.since(to).get().abs() < 1e-9 {
            return Err(RoomError::EmptySector);
        }
        Ok(Self {
            between: Some((from, to)),
            ..self
        })
    }

    /// The middle.
    #[must_use]
    pub const fn centre(self) -> Position {
        self.centre
    }

    /// How far she swings.
    #[must_use]
    pub const fn radius(self) -> Metres {
        self.radius
    }
}

/// What the boat needs, and the tide. Heights are above chart datum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Needs {
    /// Surface to the lowest point of the keel.
    pub draught: Metres,
    /// Water to be left under the keel.
    pub margin: Metres,
    /// The lowest tide of the stay.
    pub lowest: Metres,
    /// The tide now, to tell what grounds her now from what does so at low water only.
    pub now: Option<Metres>,
    /// The unit that lengths are reported in.
    pub say: LengthUnit,
    /// The language of what is reported.
    pub language: Language,
}

impl Needs {
    /// The charted depth that is just enough at the lowest water.
    #[must_use]
    pub fn depth(&self) -> Metres {
        self.draught + self.margin - self.lowest
    }

    /// How the crew is spoken to.
    #[must_use]
    pub fn wording(&self) -> Wording {
        Wording {
            lengths: self.say,
            language: self.language,
            ..Wording::default()
        }
    }
}

/// How far beyond the circle the nearest danger is searched for: a nautical mile. Chosen.
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
