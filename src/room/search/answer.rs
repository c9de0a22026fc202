//! The answer of a search.

use serde::Serialize;

use super::{Neighbour, Place, SEARCHED_BEYOND, Searcher, winds};
use crate::chart::clearance::{CellTold, Danger, Finding, Least, Survey};
use crate::chart::fetch::Fetch;
use crate::geodesy::Position;
use crate::speech::berths::{SearchCaution, Swing};
use crate::units::{Bearing, Metres};

/// The result. SI units, bearings in radians true; depths that are called charted are below chart datum.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Found {
    /// The best places, the best first.
    pub candidates: Vec<Candidate>,
    /// The middle of the search.
    pub centre: Position,
    /// The radius of the search.
    pub within: Metres,
    /// The distance between two places of the grid.
    pub spacing: Metres,
    /// The number of places looked at.
    pub looked_at: usize,
    /// The vessels to keep clear of.
    pub neighbours: Vec<Neighbour>,
    /// The number of places that do not count, with the reasons.
    pub rejected: Vec<Rejected>,
    /// How far the fetch is followed.
    pub fetch_within: Metres,
    /// What to check.
    pub cautions: Vec<String>,
    /// What this result is not.
    pub notice: String,
}

/// Why places do not count.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Rejected {
    /// The reason.
    pub against: Against,
    /// The same in words.
    pub words: String,
    /// The number of places.
    pub count: usize,
}

/// A reason against a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Against {
    /// The circle is on land or overlaps it.
    Land,
    /// Too shoal at the lowest water, including the margin.
    Shoal,
    /// A danger of unknown depth.
    UnknownDanger,
    /// Part of the circle is on no chart.
    NoChart,
    /// A chart gives no depth for part of it.
    NoDepth,
    /// A cable.
    Cable,
    /// A pipe.
    Pipe,
    /// Anchoring or entry is prohibited or restricted.
    Restricted,
    /// A wreck or foul ground may foul the anchor.
    Foul,
    /// The rode aboard is too short for the depth.
    RodeShort,
    /// The circle is too wide for a berth.
    CircleTooWide,
    /// It overlaps another vessel's circle.
    Neighbour,
    /// The plan is impossible.
    NoPlan,
}

impl Against {
    pub(super) const fn of(finding: Finding) -> Self {
        match finding {
            Finding::Solid => Self::Land,
            Finding::Grounds | Finding::GroundsAtLowWater | Finding::MarginShort => Self::Shoal,
            Finding::UnknownDanger => Self::UnknownDanger,
            Finding::NotCovered => Self::NoChart,
            Finding::NoDepth => Self::NoDepth,
            Finding::Cable => Self::Cable,
            Finding::Pipe => Self::Pipe,
            Finding::Restricted => Self::Restricted,
            Finding::Foul => Self::Foul,
        }
    }
}

/// A place where nothing on the chart speaks against her circle.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Candidate {
    /// Where the anchor would lie.
    pub position: Position,
    /// Distance from the middle of the search.
    pub distance: Metres,
    /// Bearing from the middle of the search.
    pub bearing: Bearing,
    /// Charted depth at the place.
    pub charted_depth: Metres,
    /// The distance to the sounding that it was taken from; null where only an area gives the depth.
    pub sounding_distance: Option<Metres>,
    /// Depth of water there at the lowest water of the stay.
    pub depth_at_lowest: Metres,
    /// Depth of water there at the highest water of the stay.
    pub depth_at_highest: Metres,
    /// The rode to have out.
    pub rode: Metres,
    /// The scope it gives.
    pub scope: f64,
    /// Her circle: the greatest distance of the stern from the anchor.
    pub radius: Metres,
    /// From the edge of that circle to the nearest danger or another vessel's circle; a lower bound where none was
    /// found.
    pub spare: Metres,
    /// The least depth in the circle.
    pub least: Option<Least>,
    /// The nearest danger; null when none is within a nautical mile of the circle.
    pub nearest_danger: Option<Danger>,
    /// The nearest other vessel; null when none was given.
    pub nearest_neighbour: Option<Gap>,
    /// The quality of the survey in the circle, the poorest first.
    pub surveys: Vec<Survey>,
    /// The cells that the answer rests on.
    pub cells: Vec<CellTold>,
    /// Open water for each of eight winds, by the direction from which they blow.
    pub fetch: Vec<Fetch>,
    /// What speaks for it.
    pub reasons_for: Vec<String>,
    /// What speaks against it.
    pub reasons_against: Vec<String>,
}

/// The room between two circles.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Gap {
    /// From edge to edge.
    pub between: Metres,
    /// From the berth to the other's middle.
    pub bearing: Bearing,
    /// The other's name.
    pub name: Option<String>,
}

impl Searcher<'_> {
    pub(super) fn answer(self, best: Vec<Place>, spacing: f64) -> Found {
        let candidates: Vec<Candidate> = best
            .into_iter()
            .map(|place| self.candidate(place))
            .collect();
        let say = self.wishes.needs.wording();
        let none = candidates
            .is_empty()
            .then_some(SearchCaution::NoneFound.into());
        let cautions = self.cautions().into_iter().chain(none);
        let cautions = cautions.map(|caution| caution.words(&say)).collect();
        Found {
            candidates,
            centre: self.area.centre,
            within: self.area.within,
            spacing: Metres::new(spacing).unwrap_or_default(),
            looked_at: self.looked_at,
            neighbours: self.wishes.neighbours.to_vec(),
            rejected: self
                .rejected
                .iter()
                .map(|(against, count)| Rejected {
                    against: *against,
                    words: against.told().words(&say),
                    count: *count,
                })
                .collect(),
            fetch_within: super::FETCHED,
            cautions,
            notice: Swing::Notice.words(&say),
        }
    }

    fn candidate(&self, place: Place) -> Candidate {
        let position = self.plane.position(place.offset);
        let fetch = self.sheet.fetch(position, &winds(), super::FETCHED);
        let (reasons_for, reasons_against) = self.reasons(&place, &fetch);
        let spare = place.spare();
        let Place {
            depth,
            sounding,
            sized,
            clearance,
            neighbour,
            ..
        } = place;
        Candidate {
            position,
            distance: self.area.centre.distance_to(position),
            bearing: self.area.centre.bearing_to(position),
            charted_depth: depth,
            sounding_distance: sounding,
            depth_at_lowest: sized.lowest,
            depth_at_highest: sized.highest,
            rode: sized.rode,
            scope: sized.scope,
            radius: sized.radius,
            spare,
            least: clearance.least,
            nearest_danger: clearance.nearest_danger,
            nearest_neighbour: neighbour,
            surveys: clearance.surveys,
            cells: clearance.cells,
            fetch,
            reasons_for,
            reasons_against,
        }
    }
}

/// The nearest danger is farther off than this.
pub(super) const NONE_WITHIN: Metres = SEARCHED_BEYOND;
