//! Shares of the circle: too shoal, on no chart, without a depth.

use super::Judge;
use crate::chart::local::{Figure, Local, joined, polygons, rings};
use crate::chart::object::Says;
use crate::chart::zone::Spot;

/// Shares between 0 and 1.
pub(super) struct Shares {
    pub(super) shoal: f64,
    pub(super) not_covered: f64,
    pub(super) without_depth: f64,
}

impl Judge<'_> {
    pub(super) fn shares(&self, near: &[Local]) -> Shares {
        let covered = self.share(near, |local| local.covers);
        let charted = self.share(near, |local| {
            let object = local.object;
            object.class.is_skin() && (object.says == Says::Solid || Self::depth(object).is_some())
        });
        // An area without a depth is counted by `without_depth`.
        let shoal = self.share(near, |local| self.is_danger(local.object));
        Shares {
            shoal: tidy(shoal),
            not_covered: tidy(1.0 - covered),
            without_depth: tidy(covered - charted),
        }
    }

    /// The share that these areas cover together. Pieces of one object never overlap, but objects may: a danger
    /// lies over a depth area, and a file can contain a coverage or a depth area twice. Each place counts once.
    fn share(&self, near: &[Local], counts: impl Fn(&Local) -> bool) -> f64 {
        let areas: Vec<(&Local, &[Vec<Spot>])> = near
            .iter()
            .filter(|local| counts(local))
            .filter_map(|local| match &local.figure {
                Figure::Area(rings) => Some((local, rings.as_slice())),
                Figure::Point(_) | Figure::Lines(_) => None,
            })
            .collect();
        let one_object = areas
            .windows(2)
            .all(|pair| (pair[0].0.cell, pair[0].0.feature) == (pair[1].0.cell, pair[1].0.feature));
        let area: f64 = if one_object {
            areas
                .iter()
                .map(|(_, rings)| self.zone.area_of(rings))
                .sum()
        } else {
            let areas = areas.iter().map(|(_, rings)| polygons(rings)).collect();
            self.zone.area_of(&rings(&joined(areas)))
        };
        (area / self.zone.area()).min(1.0)
    }
}

/// Limited to 0 to 1; a share that comes of rounding alone is zero.
fn tidy(share: f64) -> f64 {
    if share < 1e-6 { 0.0 } else { share.min(1.0) }
}
