//! The search for a berth: which places near here leave her room to swing, by the chart.
//!
//! **Method.** The search looks at a square grid of geodesic offsets about the middle, about 400 points and no closer
//! than 10 m; then it moves the twelve best to better neighbours at a half and a quarter of the spacing. At each point
//! the plan of an anchorage sizes rode and swinging circle for the charted depth there ([`crate::chart::soundings`],
//! [`crate::tackle::plan`]), and the chart judges the circle ([`crate::chart::clearance`]). A place counts only if
//! nothing at all speaks against its circle: no land, enough depth with the margin at the lowest water of the stay, no
//! danger, cable, pipe, foul ground or restricted area, all of it on a chart, the rode long enough, and no overlap with
//! another vessel's circle.
//! **Ranking.** First by room to spare: from the edge of her circle to the nearest danger or the nearest vessel's
//! circle, in steps of 10 m; more than 100 m counts as 100 m. Then by less rode, then by the distance from the middle.
//! Of places within one another's circles only the best is reported, five in all.
//! **Assumptions.** Those of chart and plan; the crew has to judge the holding.
//! **Weakness.** A pocket narrower than the grid can be missed. The depth between soundings is unknown. Fetch is a
//! distance, not shelter: hills, swell and stream are not considered. Vessels that are not given do not count. A circle
//! is the worst case: another vessel may lie at its near edge while we lie at ours.
//! **Time**: at most about 600 circles; on a real cell of 1:80 000, 0.15 to 0.23 s of processor time for the whole
//! command, including the loading of the chart and 40 rays.
//! **Source**: those of the parts; ranks and numbers chosen. **Tests**: `room/search/tests.rs`; `tests/peers/charts.rs`
//! on a real cell.

mod answer;
mod words;

use std::collections::BTreeMap;

use serde::Serialize;

use crate::chart::clearance::{Clearance, Needs, Room, SEARCHED_BEYOND};
use crate::chart::sheet::Sheet;
use crate::chart::soundings::Charted;
use crate::geodesy::{Offset, Plane, Position};
use crate::tackle::plan::{PlanInputs, plan};
use crate::tackle::water::{Below, Sounding};
use crate::units::{Bearing, Metres};

pub use answer::{Against, Candidate, Found, Gap, Rejected};

/// The area to search: a circle about a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Area {
    centre: Position,
    within: Metres,
}

/// An area that cannot be searched.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "`{} m` is no radius to search within; it lies between {SMALLEST} m and {WIDEST} m (one nautical mile)", .0.get()
)]
pub struct AreaError(pub Metres);

/// Metres.
const SMALLEST: f64 = 20.0;
const WIDEST: f64 = 1852.0;

impl Area {
    /// Everything within this distance of a place.
    pub fn about(centre: Position, within: Metres) -> Result<Self, AreaError> {
        if (SMALLEST..=WIDEST).contains(&within.get()) {
            Ok(Self { centre, within })
        } else {
            Err(AreaError(within))
        }
    }

    /// The distance about its middle for which charts are needed.
    #[must_use]
    pub fn charts_within(&self) -> Metres {
        self.within + LARGEST_CIRCLE + SEARCHED_BEYOND.max(FETCHED)
    }
}

/// Another vessel, or anything else to keep clear of: a circle in which it may lie anywhere.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Neighbour {
    /// The vessel's name, if known.
    pub name: Option<String>,
    /// The middle of the circle.
    pub centre: Position,
    /// Its radius.
    pub radius: Metres,
    /// From common practice for the vessel's length; otherwise from her track, or as given.
    pub assumed: bool,
    /// Seconds since her last report; null for a circle that was given.
    pub heard_ago: Option<f64>,
}

impl Neighbour {
    /// A circle given by the caller.
    #[must_use]
    pub const fn given(centre: Position, radius: Metres) -> Self {
        Self {
            name: None,
            centre,
            radius,
            assumed: false,
            heard_ago: None,
        }
    }
}

/// The request.
#[derive(Clone, Copy, Debug)]
pub struct Wishes<'a> {
    /// The input of the plan; its sounding is replaced by the chart's depth at each place.
    pub inputs: &'a PlanInputs,
    /// What the keel needs.
    pub needs: Needs,
    /// Other vessels' circles; empty if none are known.
    pub neighbours: &'a [Neighbour],
}

/// Searches.
#[must_use]
pub fn search(area: &Area, sheet: &Sheet, wishes: &Wishes) -> Found {
    let spacing = (area.within.get() * (std::f64::consts::PI / MOST_POINTS).sqrt()).max(CLOSEST);
    let mut searcher = Searcher {
        area,
        plane: Plane::at(area.centre),
        sheet,
        wishes,
        sized: BTreeMap::new(),
        rejected: BTreeMap::new(),
        looked_at: 0,
    };
    let mut places: Vec<Place> = grid(area.within.get(), spacing)
        .filter_map(|offset| searcher.look(offset))
        .collect();
    places.sort_by(Place::better);
    let refined: Vec<Place> = places
        .iter()
        .take(REFINED)
        .cloned()
        .map(|place| searcher.improve(place, spacing))
        .collect();
    places.extend(refined);
    places.sort_by(Place::better);
    let mut best: Vec<Place> = Vec::new();
    for place in places {
        let own = |other: &Place| (other.offset - place.offset).length() >= place.sized.radius;
        if best.len() < TOLD && best.iter().all(own) {
            best.push(place);
        }
    }
    searcher.answer(best, spacing)
}

fn grid(within: f64, spacing: f64) -> impl Iterator<Item = Offset> {
    #[expect(clippy::cast_possible_truncation, reason = "at most 11")]
    let steps = (within / spacing).floor() as i32;
    (-steps..=steps)
        .flat_map(move |north| (-steps..=steps).map(move |east| (east, north)))
        .map(move |(east, north)| Offset {
            east: f64::from(east) * spacing,
            north: f64::from(north) * spacing,
        })
        .filter(move |offset| offset.length().get() <= within)
}

/// Rode and circle for a depth.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sized {
    rode: Metres,
    scope: f64,
    radius: Metres,
    lowest: Metres,
    highest: Metres,
}

/// A place where nothing speaks against her circle.
#[derive(Clone, Debug)]
struct Place {
    offset: Offset,
    depth: Metres,
    sounding: Option<Metres>,
    sized: Sized,
    clearance: Clearance,
    /// The distance from the edge of her circle.
    danger: Metres,
    neighbour: Option<Gap>,
}

impl Place {
    fn spare(&self) -> Metres {
        self.neighbour
            .as_ref()
            .map_or(self.danger, |gap| self.danger.min(gap.between))
    }

    /// See the ranking in the module documentation.
    fn better(&self, other: &Self) -> std::cmp::Ordering {
        let steps = |place: &Self| (place.spare().get().min(ENOUGH) / STEP).floor();
        let rode = |place: &Self| place.sized.rode.get().round();
        let off = |place: &Self| place.offset.length().get();
        steps(other)
            .total_cmp(&steps(self))
            .then(rode(self).total_cmp(&rode(other)))
            .then(off(self).total_cmp(&off(other)))
    }
}

struct Searcher<'a> {
    area: &'a Area,
    plane: Plane,
    sheet: &'a Sheet,
    wishes: &'a Wishes<'a>,
    /// Indexed by decimetres of depth.
    sized: BTreeMap<i64, Result<Sized, Against>>,
    rejected: BTreeMap<Against, usize>,
    looked_at: usize,
}

impl Searcher<'_> {
    /// Looks at one place; if it does not count, the reason is counted.
    fn look(&mut self, offset: Offset) -> Option<Place> {
        self.looked_at += 1;
        match self.judge(offset) {
            Ok(place) => Some(place),
            Err(against) => {
                *self.rejected.entry(against).or_default() += 1;
                None
            }
        }
    }

    fn judge(&mut self, offset: Offset) -> Result<Place, Against> {
        let at = self.plane.position(offset);
        let (depth, sounding) = match self.sheet.charted(at) {
            Charted::Depth { depth, sounding } => (depth, sounding),
            Charted::Solid => return Err(Against::Land),
            Charted::NoDepth => return Err(Against::NoDepth),
            Charted::NotCovered => return Err(Against::NoChart),
        };
        if depth < self.wishes.needs.depth() {
            return Err(Against::Shoal);
        }
        let sized = self.size(depth)?;
        let neighbour = self.nearest_neighbour(at, sized.radius);
        if neighbour
            .as_ref()
            .is_some_and(|gap| gap.between < Metres::ZERO)
        {
            return Err(Against::Neighbour);
        }
        let room = Room::circle(at, sized.radius).map_err(|_| Against::CircleTooWide)?;
        let clearance = self.sheet.clearance(room, &self.wishes.needs);
        if let Some(finding) = clearance.findings.first() {
            return Err(Against::of(*finding));
        }
        let danger = clearance
            .nearest_danger
            .as_ref()
            .map_or(clearance.searched, |danger| danger.distance);
        Ok(Place {
            offset,
            depth,
            sounding,
            sized,
            danger: danger - sized.radius,
            clearance,
            neighbour,
        })
    }

    /// The plan for a depth on the chart, rounded up to the decimetre.
    fn size(&mut self, depth: Metres) -> Result<Sized, Against> {
        #[expect(clippy::cast_possible_truncation, reason = "a depth on Earth")]
        let decimetres = (depth.get() * 10.0 - 1e-6).ceil() as i64;
        if let Some(sized) = self.sized.get(&decimetres) {
            return *sized;
        }
        let depth = Metres::new(decimetres as f64 / 10.0).unwrap_or(depth);
        let inputs = PlanInputs {
            sounding: Sounding {
                depth,
                below: Below::Datum,
            },
            rode_out: None,
            ..self.wishes.inputs.clone()
        };
        let sized = match plan(&inputs) {
            Err(_) => Err(Against::NoPlan),
            Ok(plan) if plan.enough == Some(false) => Err(Against::RodeShort),
            Ok(plan) => match plan.swing_radius {
                Some(radius) if radius <= LARGEST_CIRCLE => Ok(Sized {
                    rode: plan.veer,
                    scope: plan.scope,
                    radius,
                    lowest: plan.depth.lowest,
                    highest: plan.depth.highest,
                }),
                _ => Err(Against::CircleTooWide),
            },
        };
        self.sized.insert(decimetres, sized);
        sized
    }

    fn nearest_neighbour(&self, at: Position, radius: Metres) -> Option<Gap> {
        let neighbours = self.wishes.neighbours.iter().take(MOST_NEIGHBOURS);
        let (between, other) = neighbours
            .map(|other| (at.distance_to(other.centre) - other.radius - radius, other))
            .min_by(|a, b| a.0.get().total_cmp(&b.0.get()))?;
        Some(Gap {
            between,
            bearing: at.bearing_to(other.centre),
            name: other.name.clone(),
        })
    }

    /// Moves a place to better neighbours.
    fn improve(&mut self, mut best: Place, spacing: f64) -> Place {
        for step in [spacing / 2.0, spacing / 4.0] {
            let from = best.offset;
            for (east, north) in AROUND {
                let offset = Offset {
                    east: from.east + east * step,
                    north: from.north + north * step,
                };
                if offset.length() <= self.area.within
                    && let Some(place) = self.look(offset)
                    && place.better(&best).is_lt()
                {
                    best = place;
                }
            }
        }
        best
    }
}

const AROUND: [(f64, f64); 8] = [
    (0.0, 1.0),
    (1.0, 1.0),
    (1.0, 0.0),
    (1.0, -1.0),
    (0.0, -1.0),
    (-1.0, -1.0),
    (-1.0, 0.0),
    (-1.0, 1.0),
];

/// The winds that the fetch is reported for, from where they blow.
pub const WINDS: [(&str, f64); 8] = [
    ("N", 0.0),
    ("NE", 45.0),
    ("E", 90.0),
    ("SE", 135.0),
    ("S", 180.0),
    ("SW", 225.0),
    ("W", 270.0),
    ("NW", 315.0),
];

fn winds() -> Vec<Bearing> {
    WINDS
        .iter()
        .map(|(_, degrees)| Bearing::from_degrees(*degrees))
        .collect()
}

const MOST_POINTS: f64 = 400.0;
/// Metres: a chart is no more exact than this.
const CLOSEST: f64 = 10.0;
const REFINED: usize = 12;
const TOLD: usize = 5;
const MOST_NEIGHBOURS: usize = 256;
/// Metres: the most room to spare that counts, and the step.
const ENOUGH: f64 = 100.0;
const STEP: f64 = 10.0;
/// A wider circle is not a berth for a yacht.
const LARGEST_CIRCLE: Metres = Metres::of(500.0);
/// How far the fetch is followed: five nautical miles.
const FETCHED: Metres = Metres::of(5.0 * 1852.0);

#[cfg(test)]
mod tests;
