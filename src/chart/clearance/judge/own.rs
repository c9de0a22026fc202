//! The boat's own soundings in the circle, and the nearest of them that is dangerous.

use super::{Judge, SAME};
use crate::chart::clearance::answer::{Clearance, Danger, Least, OwnTold};
use crate::chart::own::Near;
use crate::speech::charts::Sounded;

/// Stands in for the cell of a sounding, which has no cell.
const OWN: &str = "own soundings";

impl Judge<'_> {
    /// The soundings in the circle or sector, the shoalest first, at equal depth the nearest first.
    pub(super) fn own(&self, radius: f64) -> Vec<Near<'_>> {
        let mut found = self.sheet.own().near(self.plane, radius, |_| true);
        // If a disc extends over a sector's side, only its centre and its nearest point are checked.
        found.retain(|near| self.zone.holds(near.at) || self.zone.holds(near.taken));
        found.sort_by(|a, b| {
            let depth = |near: &Near| near.sounding.depth.get();
            depth(a)
                .total_cmp(&depth(b))
                .then(a.at[0].hypot(a.at[1]).total_cmp(&b.at[0].hypot(b.at[1])))
        });
        found
    }

    pub(super) fn own_told(&self, own: &[Near], charted: Option<&Least>) -> Option<OwnTold> {
        let first = own.first()?;
        let place = self.place(first.at);
        Some(OwnTold {
            count: own.len(),
            least: first.sounding.depth,
            at: first.sounding.at,
            tide: first.sounding.tide.clone(),
            distance: self.plane.origin().distance_to(place),
            bearing: self.plane.origin().bearing_to(place),
            governs: is_shoaler(first, charted),
        })
    }

    /// The least depth of the chart, or of the soundings where they are shoaler or the chart gives none.
    pub(super) fn shoalest(&self, charted: Option<Least>, own: &[Near]) -> Option<Least> {
        let Some(first) = own
            .first()
            .filter(|first| is_shoaler(first, charted.as_ref()))
        else {
            return charted;
        };
        let place = self.place(first.at);
        let depth = first.sounding.depth;
        Some(Least {
            depth: Some(depth),
            under_keel: Some(depth + self.needs.lowest - self.needs.draught),
            depth_error: None,
            what: first.sounding.told().words(&self.needs.wording()),
            position: place,
            distance: self.plane.origin().distance_to(place),
            bearing: self.plane.origin().bearing_to(place),
            cell: OWN.to_owned(),
        })
    }

    /// The nearest danger on the chart, or a sounding that is too shoal and nearer.
    pub(super) fn own_danger_before(
        &self,
        charted: Option<Danger>,
        searched: f64,
    ) -> Option<Danger> {
        let within = charted
            .as_ref()
            .map_or(searched, |danger| danger.distance.get());
        let least = self.needs.depth().get() - SAME;
        let mut range = within.min(BEGINS);
        let nearest = loop {
            let near = self
                .sheet
                .own()
                .near(self.plane, range, |sounding| sounding.depth.get() < least);
            let nearest = near
                .into_iter()
                .map(|near| (near.at[0].hypot(near.at[1]), near))
                .filter(|(distance, _)| *distance < within)
                .min_by(|a, b| a.0.total_cmp(&b.0));
            if nearest.is_some() || range >= within {
                break nearest;
            }
            range = (range * 2.0).min(within);
        };
        let Some((_, near)) = nearest else {
            return charted;
        };
        let place = self.place(near.at);
        Some(Danger {
            what: near.sounding.told().words(&self.needs.wording()),
            class: "own",
            depth: Some(near.sounding.depth),
            position: place,
            distance: self.plane.origin().distance_to(place),
            bearing: self.plane.origin().bearing_to(place),
            inside: self.zone.holds(near.at),
            cell: OWN.to_owned(),
        })
    }

    /// What the soundings are, and what they are not.
    pub(super) fn own_caution(&self, answer: &mut Clearance) {
        let Some(own) = &answer.soundings else {
            return;
        };
        let told = Sounded::InCircle {
            squares: own.count as u64,
            shoalest: own.told().into(),
        };
        answer.cautions.push(told.words(&self.needs.wording()));
    }
}

/// Whether it is shoaler than the chart. An object that stands out of the water is the least of all.
fn is_shoaler(own: &Near, charted: Option<&Least>) -> bool {
    match charted.map(|least| least.depth) {
        None => true,
        Some(None) => false,
        Some(Some(depth)) => own.sounding.depth.get() < depth.get() - SAME,
    }
}

/// The distance in metres that is searched first.
const BEGINS: f64 = 50.0;
