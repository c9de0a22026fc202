//! Shares of the circle: too shoal, on no chart, without a depth.

use geo::unary_union;

use super::Judge;
use crate::chart::local::{Figure, Local, polygons, rings};
use crate::chart::object::Says;

/// Parts of one.
pub(super) struct Shares {
    pub(super) shoal: f64,
    pub(super) not_covered: f64,
    pub(super) without_depth: f64,
}

impl Judge<'_> {
    pub(super) fn shares(&self, near: &[Local]) -> Shares {
        let area = |local: &Local| match &local.figure {
            Figure::Area(rings) => self.zone.area_of(rings),
            Figure::Point(_) | Figure::Lines(_) => 0.0,
        };
        let sum = |wanted: &dyn Fn(&Local) -> bool| -> f64 {
            near.iter()
                .filter(|local| wanted(local))
                .map(area)
                .sum::<f64>()
                / self.zone.area()
        };
        let is_area = |local: &Local| matches!(local.figure, Figure::Area(_));
        let covered = sum(&|local| local.covers).min(1.0);
        let charted = sum(&|local| {
            let object = local.object;
            object.class.is_skin() && (object.says == Says::Solid || Self::depth(object).is_some())
        });
        // An area without a depth is counted by `without_depth`.
        let shoal = |local: &Local| self.is_danger(local.object) && is_area(local);
        let over_others = near
            .iter()
            .any(|local| shoal(local) && !local.object.class.is_skin());
        let shoal = if over_others {
            // Areas of danger lie over the skin: together they count once.
            let areas: Vec<_> = near
                .iter()
                .filter(|local| shoal(local))
                .filter_map(|local| match &local.figure {
                    Figure::Area(rings) => Some(polygons(rings)),
                    Figure::Point(_) | Figure::Lines(_) => None,
                })
                .collect();
            self.zone.area_of(&rings(&unary_union(&areas))) / self.zone.area()
        } else {
            sum(&shoal)
        };
        Shares {
            shoal: tidy(shoal),
            not_covered: tidy(1.0 - covered),
            without_depth: tidy(covered - charted),
        }
    }
}

/// Within 0 and 1; what comes of rounding alone is nought.
fn tidy(share: f64) -> f64 {
    if share < 1e-9 { 0.0 } else { share.min(1.0) }
}
