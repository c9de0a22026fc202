//! The charted depth at a place, where an anchor would lie.
//!
//! **Method.** The depth area about the place gives the bounds (DRVAL1, DRVAL2). Within them the depth is that of the
//! nearest sounding within 250 m, otherwise the deeper bound, because more depth needs more rode. Where the chart gives
//! none, the boat's own soundings within 10 m are used; where she has sounded less than the chart, the judgement of the
//! circle shows it. **Weakness.** Between soundings the bottom is unknown.
//! **Source**: IHO S-57, Appendix A. **Test**: `room/search/tests.rs`; `tests/peers/charts.rs`.

use super::class::Class;
use super::local::{Figure, gather};
use super::object::Says;
use super::own::HERE;
use super::sheet::Sheet;
use super::zone;
use crate::geodesy::{Plane, Position};
use crate::units::Metres;

/// What the chart gives for the depth at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Charted {
    /// A depth below chart datum; `sounding`: the distance to the sounding that it was taken from.
    Depth {
        /// Metres below chart datum.
        depth: Metres,
        /// From the place to the sounding; `None` where only an area gives the depth.
        sounding: Option<Metres>,
    },
    /// Land, or an object that stands out of the water.
    Solid,
    /// A chart covers it without giving a depth.
    NoDepth,
    /// No chart covers it.
    NotCovered,
}

/// Metres. Chosen.
const NEAR: f64 = 250.0;

impl Sheet {
    /// The charted depth there.
    #[must_use]
    pub fn charted(&self, at: Position) -> Charted {
        let near = gather(self, Plane::at(at), NEAR);
        let mut covered = false;
        let mut area: Option<(Metres, Option<Metres>)> = None;
        for local in &near {
            let Figure::Area(rings) = &local.figure else {
                continue;
            };
            if !zone::contains(rings, [0.0, 0.0]) {
                continue;
            }
            covered |= local.covers;
            match &local.object.says {
                Says::Solid => return Charted::Solid,
                Says::Depth {
                    least: Some(least),
                    most,
                } => area = Some((*least, *most)),
                _ => {}
            }
        }
        let Some((least, most)) = area else {
            return if covered {
                Charted::NoDepth
            } else {
                Charted::NotCovered
            };
        };
        let nearest = near
            .iter()
            .filter_map(|local| match (&local.figure, &local.object.says) {
                (Figure::Point(at), Says::Over(Some(depth)))
                    if local.object.class == Class::Sounding =>
                {
                    Some((at[0].hypot(at[1]), *depth))
                }
                _ => None,
            })
            .filter(|(distance, _)| *distance <= NEAR)
            .min_by(|a, b| a.0.total_cmp(&b.0));
        let within = |depth: Metres| most.map_or(depth, |most| depth.min(most)).max(least);
        match nearest {
            Some((distance, depth)) => Charted::Depth {
                depth: within(depth),
                sounding: Metres::new(distance),
            },
            None => Charted::Depth {
                depth: most
                    .or_else(|| self.deepest_own(at))
                    .unwrap_or(least)
                    .max(least),
                sounding: None,
            },
        }
    }

    /// The greatest depth that the boat has sounded there.
    fn deepest_own(&self, at: Position) -> Option<Metres> {
        let near = self.own().near(Plane::at(at), HERE, |_| true);
        let depths = near.into_iter().map(|near| near.sounding.depth);
        depths.reduce(Metres::max)
    }
}
