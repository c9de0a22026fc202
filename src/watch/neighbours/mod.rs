//! Other vessels around us, as far as their transponders report them: where they lie, whether their
//! anchors hold, whether they come too close. Hazard `neighbour`.
//!
//! [`vessel`] holds what one of them reports, without repeats and impossible values; [`clock`] finds when she
//! reported it; [`lie`] follows a vessel that lies still; [`room`] holds the circles and the room between them;
//! [`closest`] is the closest point of approach; [`danger`] is the judgement and [`telling`] has every sentence.
//! Each module describes its method.
//!
//! **The table** is bounded by [`MOST`]. When it is full, silent vessels are dropped first, then the farthest, but only
//! to make room for a nearer one. Vessels farther off than [`FAR`] are not judged.
//!
//! **Our own boat.** The reader leaves out our own number. A vessel that was never heard farther than [`ALONGSIDE`]
//! from our hull is a transponder aboard, a tender or a boat alongside: it is neither shown nor judged.
//!
//! **One alert** stands for all vessels. Each vessel is a separate cause, so that acknowledging one does not silence
//! another. The three gravest are reported. They are judged at anchor only: under way the helmsman keeps the lookout.
//!
//! **Without a fix** of our own, at anchor, they are judged from our last position, and the alert says how old it
//! is.
//!
//! **A restart.** Their positions and observed circles are on disk ([`kept`]). They are neither shown, counted nor
//! judged until they report their position again; a standing alert stands until then ([`SPEAKS`]).
//!
//! **Weakness.** A vessel without a transponder, or with one that is switched off, is not seen.

mod clock;
pub mod closest;
mod danger;
pub mod kept;
mod lie;
mod room;
pub mod telling;
mod vessel;

use std::collections::BTreeMap;
use std::time::Duration;

use clock::{Moment, Stamps};
use danger::Vigil;
use kept::{Kept, SavedNeighbour};
use lie::{Lie, Sighting};
use room::{Circle, Hull};
use telling::{Doing, HerCircle, Neighbour, Told};
use vessel::{OLD, Vessel};

use crate::geodesy::{Offset, Plane, Position, Tangent};
use crate::observation::{Fact, Label, NavState};
use crate::tackle::wind::Windage;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Bearing, Metres};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::instruments::hearing::Hearing;
use crate::watch::judgement::Judged;
use crate::watch::round::Round;

/// The table of vessels heard; bounded.
#[derive(Clone, Debug, Default)]
pub struct Neighbours {
    vessels: BTreeMap<Label, Known>,
    hearing: Hearing,
    stamps: Stamps,
    /// How many numbers have been given out.
    numbered: u32,
    /// Where we were when the table was last examined.
    here: Option<Position>,
    way: Way,
    begun: Option<Tick>,
    /// Our own position at anchor by the last fix, and when that was.
    last: Option<(Tick, Us)>,
    kept: Kept,
}

/// One vessel and the judgement about her.
#[derive(Clone, Debug)]
struct Known {
    number: u32,
    heard: Moment,
    vessel: Vessel,
    lie: Lie,
    vigil: Vigil,
    /// Her position is new since the last round.
    fresh: bool,
    /// She has been farther off than alongside.
    apart: bool,
    /// Her position is from before the restart: as old as the disk says, by a clock that may have been
    /// wrong.
    before_restart: Option<Timestamp>,
}

/// The direction in which we lie from our anchor, averaged over minutes.
#[derive(Clone, Copy, Debug, Default)]
struct Way {
    at: Option<Tick>,
    mean: Offset,
}

/// Our own boat, for one round.
#[derive(Clone, Debug)]
struct Us {
    hull: Hull,
    /// The direction in which boats lie, as far as our own boat shows it.
    way: Option<Bearing>,
    depth: Option<Metres>,
    /// The distance between hulls, from the settings.
    distance: Metres,
    /// We have stopped falling back to our rode.
    settled: bool,
}

impl Us {
    fn hull_of(&self, vessel: &Vessel, lie: &Lie) -> Hull {
        // Where she does not report a heading, her bow points to her anchor, as ours does.
        let lies = self.way.map(Bearing::reversed).filter(|_| lie.lies());
        let heading = vessel.heading().or(lies);
        let antenna = vessel
            .place()
            .map_or(self.hull.centre, |place| place.position);
        let centre = heading.map_or(antenna, |heading| {
            Plane::at(antenna).position(vessel.antenna_to_centre(heading))
        });
        Hull {
            centre,
            length: vessel.length(),
            beam: vessel.beam(),
            heading,
        }
    }
}

impl Neighbours {
    /// Takes a report of a vessel.
    pub fn take(&mut self, now: Now, vessel: &Label, stamp: Option<Timestamp>, facts: &[Fact]) {
        self.hearing.take(now.tick, Ok(()));
        let here = Moment::of(now.tick);
        let at = self.stamps.made(now, stamp);
        if !self.vessels.contains_key(vessel) && !self.make_room(here, facts) {
            return;
        }
        let numbered = &mut self.numbered;
        let known = self.vessels.entry(vessel.clone()).or_insert_with(|| {
            *numbered = numbered.wrapping_add(1);
            Known {
                number: *numbered,
                heard: at,
                vessel: Vessel::default(),
                lie: Lie::default(),
                vigil: Vigil::default(),
                fresh: false,
                apart: false,
                before_restart: None,
            }
        });
        known.heard = known.heard.max(at);
        if known.vessel.take(here, at, facts) {
            known.fresh = true;
            known.before_restart = None;
        }
    }

    /// Restores the saved vessels; entries older than [`kept::OLD`] are ignored.
    #[must_use]
    pub fn restored(now: Now, saved: &[SavedNeighbour]) -> Self {
        let mut neighbours = Self::default();
        for (number, her) in (1..).zip(saved) {
            let Some((label, known)) = her.known(now, number) else {
                continue;
            };
            neighbours.numbered = number;
            neighbours.vessels.insert(label, known);
        }
        neighbours.kept = Kept::of(saved);
        neighbours
    }

    /// What must be saved.
    #[must_use]
    pub fn saved(&self) -> Vec<SavedNeighbour> {
        self.kept.saved()
    }

    /// When any of them was last heard.
    #[must_use]
    pub const fn hearing(&self) -> &Hearing {
        &self.hearing
    }

    /// How many were near when the last report arrived.
    #[must_use]
    pub fn company(&self, from: Position) -> usize {
        let Some(last) = self.hearing.good().map(Moment::of) else {
            return 0;
        };
        let lately = self
            .vessels
            .values()
            .filter(|known| known.speaks() && last.since(known.heard) <= OLD);
        lately
            .filter_map(|known| known.vessel.place())
            .filter(|place| from.distance_to(place.position) <= NEAR)
            .count()
    }

    /// Examines the vessels that have reported, and judges the hazard. `told`: it is already
    /// reported.
    pub fn judge(&mut self, round: &Round, told: bool) -> Judged {
        let tick = round.seen.now.tick;
        let begun = *self.begun.get_or_insert(tick);
        self.way.take(round);
        if !round.anchored() {
            self.last = None;
        }
        // At anchor our position hardly changes: without a fix they are judged from the last one, and the
        // alert says so.
        let Some((seen_at, us)) = self.us(round).or_else(|| self.last.clone()) else {
            return if round.anchored() {
                Judged::Unchanged
            } else {
                Judged::Gone
            };
        };
        if round.anchored() {
            self.last = Some((seen_at, us.clone()));
        }
        let unseen = round.seen.fresh_here().is_none();
        let unseen = unseen.then(|| round.seen.now.utc_of(seen_at));
        self.here = Some(us.hull.centre);
        let now = Moment::of(tick);
        let judges = round.anchored() && round.seen.settings.neighbours;
        let mut dangers = Vec::new();
        for (label, known) in &mut self.vessels {
            let Some(place) = known.vessel.place() else {
                continue;
            };
            let fresh = std::mem::take(&mut known.fresh);
            let distance = us.hull.centre.distance_to(place.position);
            if !known.speaks() || now.since(place.at) > OLD || distance > FAR {
                known.vigil.stand_down();
                continue;
            }
            if fresh {
                known.apart |= distance > us.hull.length * 0.5 + ALONGSIDE;
                known.look(&us, distance);
            }
            if !judges || !known.apart {
                known.vigil.stand_down();
                continue;
            }
            let her = (&known.vessel, &known.lie);
            if let Some(found) = known.vigil.judge(now, &us, her, fresh) {
                dangers.push(Told {
                    number: known.number,
                    name: known.name(label),
                    found,
                });
            }
        }
        self.kept.keep(round, &self.vessels, us.hull.centre);
        match telling::told(dangers, unseen) {
            Some(finding) => Judged::Stands(finding),
            // After a restart no vessel has been heard yet.
            None if told && judges && tick.since(begun) <= SPEAKS => Judged::Unchanged,
            None => Judged::Gone,
        }
    }

    /// The nearest vessels, with their circles and the room that is left.
    #[must_use]
    pub fn nearest(&self, round: &Round, count: usize) -> Vec<Neighbour> {
        let Some((_, us)) = self.us(round) else {
            return Vec::new();
        };
        let now = Moment::of(round.seen.now.tick);
        let mut near: Vec<(Metres, &Label, &Known)> = self
            .vessels
            .iter()
            .filter(|(_, known)| known.apart && known.speaks())
            .filter_map(|(label, known)| {
                let place = known.vessel.place()?;
                (now.since(place.at) <= OLD)
                    .then(|| (us.hull.centre.distance_to(place.position), label, known))
            })
            .collect();
        near.sort_by(|a, b| a.0.get().total_cmp(&b.0.get()).then_with(|| a.1.cmp(b.1)));
        near.truncate(count);
        let ours = our_circle(round, &us);
        near.into_iter()
            .filter_map(|(_, label, known)| known.shown(now, &us, ours.as_ref(), label))
            .collect()
    }

    /// How many vessels are heard.
    #[must_use]
    pub fn heard(&self, now: Tick) -> usize {
        let now = Moment::of(now);
        let heard = |known: &&Known| known.apart && known.speaks() && now.since(known.heard) <= OLD;
        self.vessels.values().filter(heard).count()
    }

    fn us(&self, round: &Round) -> Option<(Tick, Us)> {
        let seen = &round.seen;
        let here = seen.here?;
        let (length, beam) = (seen.boat.length_or_default(), seen.boat.figures().beam);
        let us = Us {
            hull: Hull {
                centre: here.centre,
                length,
                beam: beam.unwrap_or_else(|| Windage::usual_beam(length)),
                heading: seen.heading,
            },
            way: self.way.steady(),
            depth: seen.depth.or_else(|| round.lies.as_ref()?.anchor.depth),
            distance: seen.settings.neighbour_distance,
            settled: matches!(round.phase, AnchorPhase::Set | AnchorPhase::Dragging),
        };
        Some((here.fix.at, us))
    }

    /// Makes room for another vessel; returns whether there is room.
    fn make_room(&mut self, now: Moment, facts: &[Fact]) -> bool {
        if self.vessels.len() < MOST {
            return true;
        }
        self.vessels
            .retain(|_, known| now.since(known.heard) <= FORGOTTEN);
        if self.vessels.len() < MOST {
            return true;
        }
        // A plane is off by a few percent at 100 km, which does not matter here. 2000 geodesics for each vessel that
        // comes to a full table would take seconds in a crowded sound.
        let plane = self.here.map(Tangent::at);
        let off = |position| plane.map(|plane| plane.offset(position).length().get());
        let comes = facts.iter().find_map(|fact| match fact {
            Fact::Position(Some(position)) => off(*position),
            _ => None,
        });
        let far = |known: &Known| known.vessel.place().and_then(|place| off(place.position));
        let farthest = self
            .vessels
            .iter()
            .map(|(label, known)| (far(known).unwrap_or(f64::INFINITY), label))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(far, label)| (far, label.clone()));
        match (comes, farthest) {
            (Some(comes), Some((far, label))) if comes < far => {
                self.vessels.remove(&label);
                true
            }
            _ => false,
        }
    }
}

impl Known {
    /// She has reported her position in this run.
    const fn speaks(&self) -> bool {
        self.before_restart.is_none()
    }

    fn name(&self, label: &Label) -> String {
        self.vessel.name().unwrap_or(label.as_str()).to_owned()
    }

    fn claims(&self) -> bool {
        matches!(
            self.vessel.state(),
            Some(NavState::AtAnchor | NavState::Moored | NavState::Aground)
        )
    }

    /// Follows how she lies.
    fn look(&mut self, us: &Us, distance: Metres) {
        let Some(place) = self.vessel.place() else {
            return;
        };
        self.lie.take(&Sighting {
            at: place.at,
            position: place.position,
            speed: self.vessel.speed(),
            velocity: self.vessel.velocity(),
            claims: self.claims(),
            ours: us.way,
            assumed: self.assumed_radius(us).get(),
            near: distance <= CIRCLED,
        });
    }

    /// Measured to her antenna, by common practice.
    fn assumed_radius(&self, us: &Us) -> Metres {
        if self.vessel.state() == Some(NavState::Moored) {
            return self.vessel.length();
        }
        let reach = room::usual_reach(self.vessel.length(), us.depth);
        reach + self.vessel.antenna_from_bow()
    }

    fn circle(&self, us: &Us) -> Option<(Circle, bool)> {
        if !self.lie.lies() {
            return None;
        }
        let (length, from_bow) = (self.vessel.length(), self.vessel.antenna_from_bow());
        let aft = length - from_bow;
        if let Some((anchor, radius)) = self.lie.circle() {
            let outer = radius + aft;
            return Some((
                Circle {
                    anchor,
                    outer,
                    length,
                },
                false,
            ));
        }
        let usual = self.lie.usual_place(us.way)?;
        let radius = self.assumed_radius(us);
        let anchor = us
            .way
            .map_or(usual, |way| usual.moved(way.reversed(), radius));
        let outer = radius + aft;
        Some((
            Circle {
                anchor,
                outer,
                length,
            },
            true,
        ))
    }

    fn shown(
        &self,
        now: Moment,
        us: &Us,
        ours: Option<&Circle>,
        label: &Label,
    ) -> Option<Neighbour> {
        let place = self.vessel.place()?;
        let hull = us.hull_of(&self.vessel, &self.lie);
        let moored = matches!(
            self.vessel.state(),
            Some(NavState::Moored | NavState::Aground)
        );
        let doing = match (self.lie.drags().is_some(), self.lie.lies()) {
            (true, _) => Doing::LeftHerPlace,
            (false, true) if moored => Doing::Moored,
            (false, true) => Doing::AtAnchor,
            (false, false) => Doing::UnderWay,
        };
        let circle = self.circle(us).filter(|_| doing != Doing::LeftHerPlace);
        let both = circle.as_ref().map(|(circle, _)| circle).zip(ours);
        Some(Neighbour {
            name: self.name(label),
            doing,
            position: hull.centre,
            bearing: us.hull.centre.bearing_to(hull.centre),
            distance: us.hull.centre.distance_to(hull.centre),
            heard_ago: now.since(place.at).as_secs() as f64,
            speed: self.vessel.speed(),
            circle: circle.map(|(circle, assumed)| HerCircle {
                anchor: circle.anchor,
                radius: circle.outer,
                assumed,
            }),
            room_at_worst: both.map(|(hers, ours)| ours.room_at_worst(hers)),
            room_together: both.map(|(hers, ours)| ours.room_together(hers)),
        })
    }
}

impl Way {
    fn take(&mut self, round: &Round) {
        let now = round.seen.now.tick;
        let way = round
            .lies
            .as_ref()
            .zip(round.seen.here)
            .filter(|(lies, _)| lies.kind.can_drag());
        let Some((lies, here)) = way else {
            *self = Self::default();
            return;
        };
        let anchor = lies.anchor.position;
        let off = here.distance(anchor);
        if off < LIES_OFF {
            *self = Self::default();
            return;
        }
        let unit = Offset::polar(anchor.bearing_to(here.roller), Metres::of(1.0));
        self.follow(now, unit);
    }

    fn follow(&mut self, now: Tick, unit: Offset) {
        let gone = self.at.map_or(f64::INFINITY, |at| now.secs_since(at));
        let share = 1.0 - (-gone / WAY_OVER).exp();
        self.mean = self.mean + (unit - self.mean) * share;
        self.at = Some(now);
    }

    fn steady(&self) -> Option<Bearing> {
        self.at?;
        (self.mean.length().get() >= STEADY).then(|| self.mean.bearing())
    }
}

/// The circle of a boat of which only the length is known, by common practice: from her anchor to her stern.
#[must_use]
pub fn assumed_circle(length: Metres) -> Metres {
    room::usual_reach(length, None) + length
}

/// Our own circle, to the stern.
fn our_circle(round: &Round, us: &Us) -> Option<Circle> {
    let lies = round.lies.as_ref()?;
    let length = us.hull.length;
    let outer = if lies.kind.has_rode() {
        lies.ground.reach + length
    } else {
        lies.ground.max_radius + length * 0.5
    };
    Some(Circle {
        anchor: lies.anchor.position,
        outer,
        length,
    })
}

/// A busy harbour has some hundreds of vessels; this is a crowded strait.
pub const MOST: usize = 2000;
/// A vessel that lies in this anchorage is heard within this distance: less than half the range of a class B
/// transponder (5 to 8 miles; common practice, no source).
const NEAR: Metres = Metres::of(3000.0);
/// Neighbours are judged within this distance: 20 kn for six minutes.
pub const FAR: Metres = Metres::of(3700.0);
/// Her circle is derived from her track within this distance.
const CIRCLED: Metres = Metres::of(600.0);
/// Distance from our hull: the error of a fix, and a tender on its line.
const ALONGSIDE: Metres = Metres::of(10.0);
const FORGOTTEN: Duration = Duration::from_mins(15);
/// By then every vessel at anchor has reported twice.
const SPEAKS: Duration = Duration::from_mins(7);
/// Closer to our own anchor than this, our direction from it shows nothing.
const LIES_OFF: Metres = Metres::of(8.0);
/// Seconds: sheering is averaged out.
const WAY_OVER: f64 = 120.0;
/// Length of the mean of unit vectors.
const STEADY: f64 = 0.7;

#[cfg(test)]
mod tests;
