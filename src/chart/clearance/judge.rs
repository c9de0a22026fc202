//! The judgement of one circle.

use std::collections::HashSet;

use super::answer::{CellTold, Clearance, Danger, Least, Regulated, Survey};
use super::{Needs, Room, SEARCHED_BEYOND};
use crate::chart::class::Class;
use crate::chart::codes::Restriction;
use crate::chart::local::{Figure, Local, gather};
use crate::chart::object::{About, Object, Says};
use crate::chart::sheet::Sheet;
use crate::chart::zone::{self, Spot, Zone};
use crate::geodesy::{Offset, Plane, Position};
use crate::speech::Exact;
use crate::speech::berths::{ChartCaution, Swing};
use crate::units::Metres;

/// The largest number of entries reported in one list.
const MOST_LISTED: usize = 12;
/// Depths that differ by less count as equal.
const SAME: f64 = 1e-6;

pub(super) fn clearance(sheet: &Sheet, room: Room, needs: &Needs) -> Clearance {
    let plane = Plane::at(room.centre);
    let radius = room.radius.get();
    let zone = match room.between {
        Some((from, to)) => Zone::sector(radius, from, to),
        None => Zone::circle(radius),
    };
    let near = gather(sheet, plane, radius);
    let judge = Judge {
        sheet,
        plane,
        zone,
        needs,
    };
    let inside: Vec<Found> = near.iter().filter_map(|local| judge.found(local)).collect();
    let own = judge.own(radius);
    let charted = judge.least(&inside);
    let soundings = judge.own_told(&own, charted.as_ref());
    let least = judge.shoalest(charted, &own);
    let mut unknown: Vec<&Found> = inside
        .iter()
        .filter(|found| found.local.object.says == Says::Over(None))
        .collect();
    each_once(&mut unknown);
    let searched = room.radius + SEARCHED_BEYOND;
    let shares = judge.shares(&near);
    let mut answer = Clearance {
        clears: false,
        findings: Vec::new(),
        reasons: Vec::new(),
        centre: room.centre,
        radius: room.radius,
        from: room.between.map(|(from, _)| from),
        to: room.between.map(|(_, to)| to),
        draught: needs.draught,
        margin: needs.margin,
        lowest_tide: needs.lowest,
        tide_now: needs.now,
        depth_needed: needs.depth(),
        nearest_danger: judge.own_danger_before(
            judge.nearest_danger(near.as_slice(), radius, searched.get()),
            searched.get(),
        ),
        searched,
        unknown_danger_count: unknown.len(),
        unknown_dangers: unknown
            .iter()
            .take(MOST_LISTED)
            .map(|found| judge.danger(found))
            .collect(),
        share_too_shoal: shares.shoal,
        share_not_covered: shares.not_covered,
        share_without_depth: shares.without_depth,
        regulated: judge.regulated(&inside),
        foul: judge.foul(&inside),
        surveys: judge.surveys(&inside),
        cells: judge
            .cells(&near)
            .map(|about| CellTold::of(about, &needs.wording()))
            .collect(),
        cautions: Vec::new(),
        soundings,
        least,
        notice: Swing::Notice.words(&needs.wording()),
    };
    findings::tell(&mut answer, needs);
    judge.caution(&mut answer, &near);
    answer
}

pub(super) mod findings;
mod own;
mod shares;

struct Judge<'a> {
    sheet: &'a Sheet,
    plane: Plane,
    zone: Zone,
    needs: &'a Needs,
}

/// An object that overlaps the circle, and its point nearest to the centre.
struct Found<'a> {
    local: &'a Local<'a>,
    at: Spot,
}

impl Judge<'_> {
    fn found<'a>(&self, local: &'a Local<'a>) -> Option<Found<'a>> {
        nearest(&self.zone, &local.figure).map(|at| Found { local, at })
    }

    /// The depth that an object gives for its area or point.
    fn depth(object: &Object) -> Option<Metres> {
        match &object.says {
            Says::Depth { least, .. } => *least,
            Says::Contour(depth) => Some(*depth),
            Says::Over(depth) => *depth,
            Says::Solid | Says::Rule | Says::Survey { .. } | Says::Covered => None,
        }
    }

    fn least(&self, inside: &[Found]) -> Option<Least> {
        // Objects that stand out of the water come first, then by depth; at equal depth points before areas before
        // contours.
        let rank = |found: &Found| {
            let object = found.local.object;
            let depth = match object.says {
                Says::Solid => f64::NEG_INFINITY,
                _ => Self::depth(object)?.get(),
            };
            let kind = match found.local.figure {
                Figure::Point(_) => 0,
                Figure::Area(_) => 1,
                Figure::Lines(_) => 2,
            };
            Some((depth, kind, found.at[0].hypot(found.at[1])))
        };
        let (found, _) = inside
            .iter()
            .filter_map(|found| Some((found, rank(found)?)))
            .min_by(|(_, a), (_, b)| {
                a.0.total_cmp(&b.0)
                    .then(a.1.cmp(&b.1))
                    .then(a.2.total_cmp(&b.2))
            })?;
        let depth = Self::depth(found.local.object);
        let error = depth.and_then(|depth| {
            let survey = inside.iter().filter_map(|other| {
                match (&other.local.object.says, &other.local.figure) {
                    (Says::Survey { confidence, .. }, Figure::Area(rings))
                        if zone::contains(rings, found.at) =>
                    {
                        Some(*confidence)
                    }
                    _ => None,
                }
            });
            let (metres, share) = survey.max()?.depth_error()?;
            Some(metres + Metres::of(share * depth.get().max(0.0)))
        });
        let place = self.place(found.at);
        Some(Least {
            depth,
            under_keel: depth.map(|depth| depth + self.needs.lowest - self.needs.draught),
            depth_error: error,
            what: self.words(found.local),
            position: place,
            distance: self.plane.origin().distance_to(place),
            bearing: self.plane.origin().bearing_to(place),
            cell: self.about(found.local).name.clone(),
        })
    }

    /// Whether it is dangerous at the lowest water.
    fn is_danger(&self, object: &Object) -> bool {
        match &object.says {
            Says::Solid | Says::Over(None) => true,
            Says::Depth { .. } | Says::Contour(_) | Says::Over(Some(_)) => Self::depth(object)
                .is_some_and(|depth| depth.get() < self.needs.depth().get() - SAME),
            Says::Rule | Says::Survey { .. } | Says::Covered => false,
        }
    }

    fn nearest_danger(&self, near: &[Local], radius: f64, searched: f64) -> Option<Danger> {
        let search = |near: &[Local], range: f64| {
            let zone = Zone::circle(range);
            near.iter()
                .filter(|local| self.is_danger(local.object))
                .filter_map(|local| Some((local, nearest(&zone, &local.figure)?)))
                .min_by(|(_, a), (_, b)| zone::nearer(a, b))
                .map(|(local, at)| self.danger_at(local, at))
        };
        let mut found = search(near, radius);
        let mut range = radius;
        while found.is_none() && range < searched {
            range = (range * 2.0).min(searched);
            found = search(&gather(self.sheet, self.plane, range), range);
        }
        found
    }

    fn regulated(&self, inside: &[Found]) -> Vec<Regulated> {
        let mut found: Vec<&Found> = inside
            .iter()
            .filter(|found| {
                found.local.object.says == Says::Rule || !found.local.object.restrictions.is_empty()
            })
            .collect();
        each_once(&mut found);
        let say = self.needs.wording();
        found
            .into_iter()
            .map(|found| {
                let object = found.local.object;
                Regulated {
                    what: self.words(found.local),
                    class: object.class.acronym(),
                    name: object.name.clone(),
                    restrictions: object
                        .restrictions
                        .iter()
                        .map(|code| code.told().words(&say))
                        .collect(),
                    concerns_anchoring: object
                        .restrictions
                        .iter()
                        .any(|code| Restriction::concerns_anchoring(*code)),
                    note: object.note.clone(),
                    distance: self.plane.origin().distance_to(self.place(found.at)),
                    cell: self.about(found.local).name.clone(),
                }
            })
            .collect()
    }

    fn foul(&self, inside: &[Found]) -> Vec<Danger> {
        let fouls = |object: &Object| {
            matches!(object.class, Class::Wreck | Class::Obstruction) && !self.is_danger(object)
        };
        let mut found: Vec<&Found> = inside
            .iter()
            .filter(|found| fouls(found.local.object))
            .collect();
        each_once(&mut found);
        found
            .into_iter()
            .take(MOST_LISTED)
            .map(|found| self.danger(found))
            .collect()
    }

    fn surveys(&self, inside: &[Found]) -> Vec<Survey> {
        let say = self.needs.wording();
        let mut surveys: Vec<Survey> = inside
            .iter()
            .filter_map(|found| match &found.local.object.says {
                Says::Survey { confidence, end } => Some(Survey {
                    category: *confidence,
                    words: confidence.words(&say),
                    end: end.clone(),
                }),
                _ => None,
            })
            .collect();
        surveys.sort_by(|a, b| b.category.cmp(&a.category).then(a.end.cmp(&b.end)));
        surveys.dedup();
        surveys.truncate(MOST_LISTED);
        surveys
    }

    fn cells(&self, near: &[Local]) -> impl Iterator<Item = &About> {
        let mut used: Vec<usize> = near.iter().map(|local| local.cell).collect();
        used.sort_unstable();
        used.dedup();
        used.into_iter()
            .filter_map(|cell| self.sheet.cells().get(cell))
    }

    fn caution(&self, answer: &mut Clearance, near: &[Local]) {
        self.own_caution(answer);
        let cells: Vec<&About> = self.cells(near).collect();
        let mut datums: Vec<_> = cells.iter().map(|about| about.datum).collect();
        datums.sort();
        datums.dedup();
        let mut cautions = Vec::new();
        if datums.len() > 1 {
            cautions.push(ChartCaution::DatumsDiffer);
        } else if datums == [None] {
            cautions.push(ChartCaution::NoDatum);
        }
        for about in cells {
            let name = || about.name.clone();
            if about.coverage_assumed {
                cautions.push(ChartCaution::Coverage { name: name() });
            }
            match about.scale {
                None => cautions.push(ChartCaution::NoScale { name: name() }),
                // Half a millimetre on the chart, about the width of a line.
                Some(scale) if f64::from(scale) * 0.0005 > answer.radius.get() / 4.0 => {
                    let by = Exact(Metres::of(f64::from(scale) * 0.0005));
                    cautions.push(ChartCaution::Scale { name: name(), by });
                }
                Some(_) => {}
            }
        }
        if answer.surveys.is_empty() && !answer.cells.is_empty() {
            cautions.push(ChartCaution::NoSurvey);
        }
        let say = self.needs.wording();
        let words = cautions.into_iter().map(|caution| caution.words(&say));
        answer.cautions.extend(words);
    }

    fn danger(&self, found: &Found) -> Danger {
        self.danger_at(found.local, found.at)
    }

    fn danger_at(&self, local: &Local, at: Spot) -> Danger {
        let place = self.place(at);
        Danger {
            what: self.words(local),
            class: local.object.class.acronym(),
            depth: Self::depth(local.object),
            position: place,
            distance: self.plane.origin().distance_to(place),
            bearing: self.plane.origin().bearing_to(place),
            inside: nearest(&self.zone, &local.figure).is_some(),
            cell: self.about(local).name.clone(),
        }
    }

    fn words(&self, local: &Local) -> String {
        local.object.told().words(&self.needs.wording())
    }

    fn about(&self, local: &Local) -> &About {
        &self.sheet.cells()[local.cell]
    }

    fn place(&self, at: Spot) -> Position {
        self.plane.position(Offset {
            east: at[0],
            north: at[1],
        })
    }
}

fn nearest(zone: &Zone, figure: &Figure) -> Option<Spot> {
    match figure {
        Figure::Point(at) => zone.holds(*at).then_some(*at),
        Figure::Lines(lines) => zone::edges(lines)
            .filter_map(|[a, b]| zone.nearest_on(a, b))
            .min_by(zone::nearer),
        Figure::Area(rings) => zone.nearest_of(rings),
    }
}

/// The nearest piece of each object, the nearest objects first.
fn each_once(found: &mut Vec<&Found>) {
    found.sort_by(|a, b| zone::nearer(&a.at, &b.at));
    let mut seen = HashSet::new();
    found.retain(|found| seen.insert((found.local.cell, found.local.feature)));
}
