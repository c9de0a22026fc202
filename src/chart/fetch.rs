//! The fetch: how far the water is open from a place in one direction, according to the land on the chart.
//!
//! **Formula.** A ray from the place to the first edge of land (LNDARE) or coastline (COALNE). On the azimuthal
//! equidistant plane about the place, a straight line from its origin is a geodesic, so the distance is the geodesic's.
//! Where the charts end first, the fetch is "more than" that distance.
//! **Assumptions.** Land stops wind and sea; banks, piers and breakwaters that are not charted as land do not.
//! **Weakness.** One ray can pass between two islands; the path of a swell around a headland and the height of the land
//! are not considered. The result is a distance and makes no claim about shelter.
//! **Source**: plane geometry on Karney's geodesics; classes by IHO S-57, Appendix A. **Tests**: below; against shapely and pyproj
//! on a real cell in `tests/peers/charts.rs`.

use serde::Serialize;

use super::class::Class;
use super::local::{Figure, gather_of};
use super::sheet::Sheet;
use super::zone::{self, Spot};
use crate::geodesy::{Plane, Position};
use crate::speech::berths::FetchMiles;
use crate::speech::{Hundredths, Ratio, Round};
use crate::units::{Bearing, Metres};

/// Open water in one direction.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Fetch {
    /// The direction, true.
    pub bearing: Bearing,
    /// The distance.
    pub distance: Metres,
    /// What is there.
    pub ends: Ends,
}

/// What ends a fetch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "camelCase")]
pub enum Ends {
    /// Land.
    Land,
    /// The charts end; the fetch is longer.
    Chart,
    /// It was followed no farther; the fetch is longer.
    Limit,
}

impl Fetch {
    /// In nautical miles: `1.2`, `more than 5`, `more than 0.8 (chart ends)`.
    #[must_use]
    pub fn told(&self) -> FetchMiles {
        let miles = self.distance.get() / NAUTICAL_MILE;
        // The bound of a "more than" is never rounded up.
        let down = (miles * 10.0 + 1e-6).floor() / 10.0;
        match self.ends {
            Ends::Land if miles < 0.1 => FetchMiles::Near {
                miles: Hundredths(miles),
            },
            Ends::Land => FetchMiles::Land {
                miles: Ratio(miles),
            },
            Ends::Chart => FetchMiles::Chart { miles: Ratio(down) },
            Ends::Limit => FetchMiles::Limit { miles: Round(down) },
        }
    }
}

const NAUTICAL_MILE: f64 = 1852.0;
/// Two charted areas whose edges are this near, in metres, leave no gap: it is the grid's rounding.
const TOUCHES: f64 = 1.0;

impl Sheet {
    /// The fetch from a place in these directions, followed up to `most`.
    #[must_use]
    pub fn fetch(&self, from: Position, bearings: &[Bearing], most: Metres) -> Vec<Fetch> {
        let shore = |class: Class| matches!(class, Class::Land | Class::Coastline);
        let near = gather_of(self, Plane::at(from), most.get(), &|object| {
            shore(object.class)
        });
        bearings
            .iter()
            .map(|bearing| {
                let (east, north) = bearing.get().sin_cos();
                let ray = [east, north];
                let land = near
                    .iter()
                    .filter(|local| shore(local.object.class))
                    .filter_map(|local| first(&local.figure, ray))
                    .fold(f64::INFINITY, f64::min);
                let mut spans: Vec<[f64; 2]> = near
                    .iter()
                    .filter(|local| local.covers)
                    .flat_map(|local| within(&local.figure, ray))
                    .collect();
                let charted = reaches(&mut spans).min(most.get());
                let (distance, ends) = if land <= charted + TOUCHES {
                    (land, Ends::Land)
                } else if charted < most.get() {
                    (charted, Ends::Chart)
                } else {
                    (most.get(), Ends::Limit)
                };
                Fetch {
                    bearing: *bearing,
                    distance: Metres::new(distance).unwrap_or_default(),
                    ends,
                }
            })
            .collect()
    }
}

/// Where the ray first meets it; zero for an area about its origin.
fn first(figure: &Figure, ray: Spot) -> Option<f64> {
    match figure {
        Figure::Point(_) => None,
        Figure::Lines(lines) => crossings(lines, ray).min_by(f64::total_cmp),
        Figure::Area(rings) if zone::contains(rings, [0.0, 0.0]) => Some(0.0),
        Figure::Area(rings) => crossings(rings, ray).min_by(f64::total_cmp),
    }
}

/// The parts of the ray that lie in an area.
fn within(figure: &Figure, ray: Spot) -> Vec<[f64; 2]> {
    let Figure::Area(rings) = figure else {
        return Vec::new();
    };
    let mut at: Vec<f64> = crossings(rings, ray).collect();
    if zone::contains(rings, [0.0, 0.0]) {
        at.push(0.0);
    }
    at.sort_by(f64::total_cmp);
    at.chunks_exact(2).map(|span| [span[0], span[1]]).collect()
}

/// How far from the origin the spans reach without a gap.
fn reaches(spans: &mut [[f64; 2]]) -> f64 {
    spans.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut end = 0.0_f64;
    for span in spans {
        if span[0] <= end + TOUCHES {
            end = end.max(span[1]);
        }
    }
    end
}

/// The distances along the ray at which edges cross it. The end of an edge belongs to one of the two edges there, so it
/// is counted once.
fn crossings(rings: &[Vec<Spot>], ray: Spot) -> impl Iterator<Item = f64> {
    zone::edges(rings).filter_map(move |[a, b]| {
        let side = |p: Spot| ray[0] * p[1] - ray[1] * p[0];
        let (from, to) = (side(a), side(b));
        if (from > 0.0) == (to > 0.0) {
            return None;
        }
        let part = from / (from - to);
        let along = |p: Spot| ray[0] * p[0] + ray[1] * p[1];
        let at = along(a) + (along(b) - along(a)) * part;
        (at > 0.0).then_some(at)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(low: f64, high: f64) -> Figure {
        Figure::Area(vec![vec![
            [low, -50.0],
            [high, -50.0],
            [high, 50.0],
            [low, 50.0],
            [low, -50.0],
        ]])
    }

    #[test]
    fn a_ray_meets_the_nearest_edge_and_none_behind_it() {
        let east = [1.0, 0.0];
        assert_eq!(first(&square(100.0, 300.0), east), Some(100.0));
        assert_eq!(first(&square(-300.0, -100.0), east), None);
        assert_eq!(first(&square(-10.0, 300.0), east), Some(0.0));
        let line = Figure::Lines(vec![vec![[200.0, -10.0], [200.0, 10.0]]]);
        assert_eq!(first(&line, east), Some(200.0));
        assert_eq!(first(&line, [0.0, 1.0]), None);
        // Through a corner, and along an edge: once or not at all, never a span without an end.
        let corner = [2.0_f64.sqrt() / 2.0, 2.0_f64.sqrt() / 2.0];
        assert_eq!(within(&square(50.0, 100.0), corner).len() % 2, 0);
    }

    #[test]
    fn the_chart_reaches_over_areas_that_touch_and_ends_at_a_gap() {
        let east = [1.0, 0.0];
        let spans = |figures: &[Figure]| {
            let mut spans: Vec<_> = figures.iter().flat_map(|f| within(f, east)).collect();
            reaches(&mut spans)
        };
        assert_eq!(spans(&[square(99.5, 200.0), square(-5.0, 100.0)]), 200.0);
        assert_eq!(spans(&[square(-5.0, 100.0), square(105.0, 200.0)]), 100.0);
        assert_eq!(spans(&[square(5.0, 100.0)]), 0.0);
    }

    #[test]
    fn a_fetch_is_shown_in_nautical_miles_and_never_too_far() {
        let fetch = |metres: f64, ends| Fetch {
            bearing: Bearing::from_degrees(0.0),
            distance: Metres::of(metres),
            ends,
        };
        for (metres, ends, words) in [
            (1852.0 * 1.24, Ends::Land, "1.2"),
            (90.0, Ends::Land, "0.05"),
            (1852.0 * 5.0, Ends::Limit, "more than 5"),
            (1852.0 * 0.89, Ends::Chart, "more than 0.8 (chart ends)"),
            (0.0, Ends::Chart, "more than 0.0 (chart ends)"),
        ] {
            assert_eq!(fetch(metres, ends).told().english(), words);
        }
    }
}
