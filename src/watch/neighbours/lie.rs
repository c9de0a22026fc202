//! Does a neighbour lie still, in which circle, and does her anchor hold? Judged by positions
//! minutes apart.
//!
//! **Symbols.** `p` is her antenna, `u` the direction in which we lie from our own anchor, `u'` the direction in which
//! every boat lies by wind and stream, as far as we can tell. `R` is the radius of her circle, and `H = m - R u` is
//! where her anchor would be if her mean position `m` in such a wind lies as we do. `σ` is one standard deviation.
//!
//! **Lying still.** She lies still if she says so (`navigation.state`) and makes no way, or if her positions over
//! [`STILL_FOR`] lie within [`WITHIN`] of their mean. If she says so and falls back to her rode within [`SETTLES`], the
//! count begins again. At three knots and more she is under way, whatever she says: class A then reports every ten
//! seconds.
//!
//! **Her circle** is observed if her positions give one that is good to [`DOUBT`], by the estimator that
//! finds our own anchor from a track ([`swing`](crate::watch::anchorage::lying::swing)). Otherwise it is
//! assumed: see [`room`](super::room).
//!
//! **Does she drag?** She swings with the wind as we do, so her positions are compared with those she had when *we* lay
//! as we lie now (within [`ALIKE`]). She is off her place when she lies farther from `H` than before by [`SURE`] `σ`
//! and by [`LEAST`]. Here `σ² = 2 σ_f² + σ_o²`, with `σ_f` the error of a fix of the 10 m class and `σ_o` the scatter
//! of her own distances from `H`, combined with a prior of [`BELIEVED`] worth [`BELIEF`] positions, and at most
//! [`MOST_SCATTER`]. Positions younger than [`TEACHES`] are left out, so that a drag does not become the new normal.
//! Along the arc she may sheer freely, also towards her anchor. In a wind in which she was not seen before, only what
//! no anchor explains counts: outside an observed circle, or farther from one of her positions than an assumed circle
//! is wide. One report is believed if her speed and course agree with it; otherwise the next one, at least a minute
//! later, must confirm it.
//!
//! **After that** she lies still again where she stays for [`RESTS`].
//!
//! **Assumptions.** She lies the way we do. AIS does not say how good a fix is, because the flag does not come
//! through: 10 m, 95 %, is the class that the flag stands for (ITU-R M.1371-5, position accuracy; from memory).
//!
//! **Weakness.** Class B reports its position every three minutes below two knots: at half a knot she is 45 m farther
//! with each report. A drag that begins while the wind shifts is partly learned as the new lie. While we lie close to
//! our anchor, or on lines to the shore, nothing shows which way boats lie, and only the wide tests count. A boat on
//! a long rope beside our chain lies differently in light airs. Only the circle survives a restart.
//!
//! **Tests**: beside this file, with noise of that class: nights of wind shifts, lulls and sheering, and
//! drags.

use std::time::Duration;

use super::clock::Moment;
use super::kept::SavedCircle;
use crate::geodesy::{Offset, Plane, Position};
use crate::units::{Bearing, Metres, Speed};
use crate::watch::anchorage::lying::swing::swung;
use crate::watch::fix::TWO_D_95;

/// How one vessel lies. See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Lie {
    plane: Option<Plane>,
    /// Her positions while she lay quietly, the oldest first.
    places: Vec<Quiet>,
    spacing: Duration,
    since: Moment,
    /// She lies still.
    lies: bool,
    moved: Option<Moved>,
    seen: Option<Seen>,
}

/// A position at which nothing was unusual.
#[derive(Clone, Copy, Debug)]
struct Quiet {
    at: Moment,
    offset: Offset,
    ours: Option<Bearing>,
}

/// She is away from the place where she lay.
#[derive(Clone, Debug)]
struct Moved {
    /// Where she was seen since; the first entry is the last quiet position.
    trail: Vec<(Moment, Offset)>,
    /// When the first report showed it.
    since: Moment,
    sure: bool,
    /// Her own speed and course in the last report.
    says: Option<Offset>,
}

/// An observed circle, on her plane.
#[derive(Clone, Copy, Debug)]
struct Seen {
    middle: Offset,
    radius: f64,
    doubt: f64,
}

/// One report, and what is needed to judge it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sighting {
    pub(super) at: Moment,
    pub(super) position: Position,
    pub(super) speed: Option<Speed>,
    pub(super) velocity: Option<Offset>,
    /// She says that she is at anchor, moored or aground.
    pub(super) claims: bool,
    /// The direction in which we lie from our anchor, where it shows how boats lie.
    pub(super) ours: Option<Bearing>,
    /// Radius of the circle in which she would lie by common practice, measured to her antenna.
    pub(super) assumed: f64,
    /// Her circle is worth calculating.
    pub(super) near: bool,
}

impl Lie {
    /// She lay here at that moment, and this circle had been observed.
    pub(super) fn restored(at: Moment, position: Position, circle: Option<SavedCircle>) -> Self {
        let plane = Plane::at(position);
        let place = Quiet {
            at,
            offset: Offset::ZERO,
            ours: None,
        };
        Self {
            plane: Some(plane),
            places: vec![place],
            spacing: SPACING,
            since: at,
            lies: true,
            moved: None,
            seen: circle.map(|circle| Seen {
                middle: plane.offset(circle.anchor),
                radius: circle.radius.get(),
                doubt: circle.doubt.get(),
            }),
        }
    }

    /// The observed circle, as it is saved.
    pub(super) fn saved(&self) -> Option<SavedCircle> {
        let (seen, plane) = self.seen.zip(self.plane)?;
        Some(SavedCircle {
            anchor: plane.position(seen.middle),
            radius: Metres::of(seen.radius),
            doubt: Metres::of(seen.doubt),
        })
    }

    /// Takes a report.
    pub(super) fn take(&mut self, seen: &Sighting) {
        if self.makes_way(seen) {
            *self = Self::default();
            return;
        }
        let plane = *self.plane.get_or_insert(Plane::at(seen.position));
        let here = plane.offset(seen.position);
        let young = seen.at.since(self.since) < SETTLES;
        if self.lies && young && seen.speed.is_some_and(|speed| speed >= FALLS_BACK) {
            self.begin(seen);
            return;
        }
        if !self.lies {
            self.settle(seen, here);
            return;
        }
        if self.is_off(seen, here) {
            self.go_on(seen, here);
        } else {
            self.moved = None;
            self.keep(seen, here);
        }
    }

    /// Does she lie still?
    pub(super) const fn lies(&self) -> bool {
        self.lies
    }

    /// She lay still and certainly no longer does: her velocity over the ground, m/s.
    pub(super) fn drags(&self) -> Option<Offset> {
        self.moved
            .as_ref()
            .filter(|it| it.sure)
            .map(Moved::velocity)
    }

    /// The observed circle: its centre, and its radius to her antenna.
    pub(super) fn circle(&self) -> Option<(Position, Metres)> {
        let (seen, plane) = self.seen.zip(self.plane)?;
        Some((plane.position(seen.middle), Metres::of(seen.radius)))
    }

    /// Where she usually lies when we lie this way, otherwise where she last lay quietly.
    pub(super) fn usual_place(&self, ours: Option<Bearing>) -> Option<Position> {
        let plane = self.plane?;
        let alike: Vec<Offset> = self.alike(ours).map(|place| place.offset).collect();
        let at = mean(&alike).or_else(|| Some(self.places.last()?.offset))?;
        Some(plane.position(at))
    }

    fn makes_way(&self, seen: &Sighting) -> bool {
        if let Some(speed) = seen.speed {
            return speed >= UNDER_WAY;
        }
        // She does not report it: use her last position.
        let last = self.plane.zip(self.places.last());
        last.is_some_and(|(plane, last)| {
            let gone = seen.at.secs_since(last.at);
            let moved = (plane.offset(seen.position) - last.offset).length().get();
            gone >= 20.0 && moved >= 60.0 && moved >= UNDER_WAY.get() * gone
        })
    }

    fn settle(&mut self, seen: &Sighting, here: Offset) {
        let strays = self
            .mean()
            .is_some_and(|mean| (here - mean).length() > WITHIN);
        let fast = seen.speed.is_some_and(|speed| speed >= DRIFTS);
        if strays || self.places.is_empty() || (fast && !seen.claims) {
            self.begin(seen);
        } else {
            self.keep(seen, here);
        }
        let long = seen.at.since(self.since) >= STILL_FOR && self.places.len() >= 3;
        let rests = seen.speed.is_none_or(|speed| speed < FALLS_BACK);
        self.lies = (seen.claims && rests) || long;
    }

    /// Starts again at this position.
    fn begin(&mut self, seen: &Sighting) {
        *self = Self {
            plane: Some(Plane::at(seen.position)),
            spacing: SPACING,
            since: seen.at,
            ..Self::default()
        };
        self.keep(seen, Offset::ZERO);
    }

    fn mean(&self) -> Option<Offset> {
        let all: Vec<Offset> = self.places.iter().map(|place| place.offset).collect();
        mean(&all)
    }

    fn alike(&self, ours: Option<Bearing>) -> impl Iterator<Item = &Quiet> {
        self.places.iter().filter(move |place| {
            place
                .ours
                .zip(ours)
                .is_some_and(|(then, now)| now.since(then).abs().get() <= ALIKE)
        })
    }

    /// Her positions when we lay as we do now: the older ones, so that a drag does not become the
    /// new normal.
    fn reference(&self, seen: &Sighting) -> Vec<Offset> {
        let alike: Vec<&Quiet> = self.alike(seen.ours).collect();
        let older = |place: &&&Quiet| seen.at.since(place.at) >= TEACHES;
        let taught = alike.iter().filter(older).count();
        let count = taught.max(alike.len() / 2);
        alike.iter().take(count).map(|place| place.offset).collect()
    }

    /// See the module documentation.
    fn is_off(&self, seen: &Sighting, here: Offset) -> bool {
        let alike = self.reference(seen);
        if let Some((ours, mean)) = seen.ours.zip(mean(&alike))
            && alike.len() >= COMPARED
        {
            let radius = self.seen.map_or(seen.assumed, |circle| circle.radius);
            let anchor = mean - Offset::polar(ours, Metres::of(radius));
            let out = |place: Offset| (place - anchor).length().get();
            let count = alike.len() as f64;
            let usual = alike.iter().map(|place| out(*place)).sum::<f64>() / count;
            let squares: f64 = alike.iter().map(|it| (out(*it) - usual).powi(2)).sum();
            let scatter = (BELIEVED.powi(2) * BELIEF + squares) / (BELIEF + count);
            let sigma = (2.0 * FIX.powi(2) + scatter.min(MOST_SCATTER.powi(2))).sqrt();
            return out(here) - usual >= LEAST.max(SURE * sigma);
        }
        if let Some(circle) = self.seen {
            let beyond = (here - circle.middle).length().get() - circle.radius;
            return beyond >= LEAST + SURE * FIX + 2.0 * circle.doubt;
        }
        let widest = 2.0 * seen.assumed * WIDER + LEAST + SURE * FIX;
        self.places
            .iter()
            .any(|place| (here - place.offset).length().get() > widest)
    }

    fn go_on(&mut self, seen: &Sighting, here: Offset) {
        let last = self.places.last().map(|quiet| (quiet.at, quiet.offset));
        let moved = self.moved.get_or_insert_with(|| Moved {
            trail: last.into_iter().collect(),
            since: seen.at,
            sure: false,
            says: None,
        });
        moved.take(seen, here);
        if moved.rests() {
            self.begin(seen);
            self.lies = true;
        }
    }

    /// Keeps a quiet position, evenly over time: when there are too many, every other one is
    /// dropped.
    fn keep(&mut self, seen: &Sighting, here: Offset) {
        let close = |last: &Quiet| seen.at.since(last.at) < self.spacing;
        if self.places.last().is_some_and(close) {
            return;
        }
        self.places.push(Quiet {
            at: seen.at,
            offset: here,
            ours: seen.ours,
        });
        if self.places.len() > MOST {
            if self.spacing < WIDEST_SPACING {
                let mut odd = false;
                self.places.retain(|_| {
                    odd = !odd;
                    odd
                });
                self.spacing *= 2;
            } else {
                self.places.remove(0);
            }
        }
        if seen.near {
            self.find_circle(seen.assumed);
        }
    }

    fn find_circle(&mut self, assumed: f64) {
        let points: Vec<Offset> = self.places.iter().map(|place| place.offset).collect();
        let ends = self.places.first().zip(self.places.last());
        let span = ends.map_or(0.0, |(first, last)| last.at.secs_since(first.at));
        let found = swung(&points, span).filter(|found| {
            found.doubt <= DOUBT && found.circle.radius <= assumed * WIDER + 2.0 * found.doubt
        });
        // A circle that was observed once is kept when a later arc shows less.
        if let Some(found) = found {
            self.seen = Some(Seen {
                middle: found.circle.middle,
                radius: found.circle.radius,
                doubt: found.doubt,
            });
        }
    }
}

impl Moved {
    fn take(&mut self, seen: &Sighting, here: Offset) {
        let from = self.trail.first().map_or(here, |(_, place)| *place);
        self.says = seen.velocity;
        let makes_way = seen.velocity.is_some_and(|velocity| {
            let off = velocity.bearing().since((here - from).bearing());
            velocity.length().get() >= TELLS.get() && off.abs().get() <= AGREES
        });
        self.sure = self.sure || makes_way || seen.at.since(self.since) >= LASTS;
        // One position for each stretch of time, and the latest.
        if let [.., (before, _), (last, _)] = self.trail.as_slice()
            && last.since(*before) < TRAIL_SPACING
        {
            self.trail.pop();
        }
        self.trail.push((seen.at, here));
        if self.trail.len() > TRAIL {
            self.trail.remove(0);
        }
    }

    /// Over the last minutes; a shorter stretch is less exact than her own report.
    fn velocity(&self) -> Offset {
        let Some((last, here)) = self.trail.last().copied() else {
            return Offset::ZERO;
        };
        let recent = |(at, _): &&(Moment, Offset)| last.since(*at) <= RECENT;
        let before = self.trail.iter().rev().skip(1);
        let first = before.clone().take_while(recent).last();
        let first = first.or_else(|| before.clone().next());
        let run = first.map(|(at, there)| (last.secs_since(*at), here - *there));
        match (run, self.says) {
            (Some((seconds, run)), _) if seconds >= LEAST_RUN => run * (1.0 / seconds),
            (_, Some(says)) => says,
            (Some((seconds, run)), None) if seconds > 0.0 => run * (1.0 / seconds),
            _ => Offset::ZERO,
        }
    }

    fn rests(&self) -> bool {
        let Some((last, here)) = self.trail.last().copied() else {
            return false;
        };
        let lately: Vec<_> = self
            .trail
            .iter()
            .filter(|(at, _)| last.since(*at) <= RESTS)
            .collect();
        let long = lately
            .first()
            .is_some_and(|(at, _)| last.since(*at) >= RESTS * 4 / 5);
        long && lately.len() >= 3
            && lately
                .iter()
                .all(|(_, there)| (here - *there).length().get() <= LEAST + FIX)
    }
}

fn mean(places: &[Offset]) -> Option<Offset> {
    let count = places.len() as f64;
    let sum = places.iter().fold(Offset::ZERO, |sum, it| sum + *it);
    (count > 0.0).then(|| sum * (1.0 / count))
}

/// No boat drags faster than this for long (common practice, no source); class A at anchor then reports as if
/// under way.
const UNDER_WAY: Speed = Speed::from_knots(3.0);
/// Above this speed she does not lie still, unless she says so.
const DRIFTS: Speed = Speed::from_knots(1.5);
/// Three reports of class B.
const STILL_FOR: Duration = Duration::from_mins(6);
/// A boat that has just let go falls back to her rode.
const SETTLES: Duration = Duration::from_secs(90);
const FALLS_BACK: Speed = Speed::from_knots(0.5);
const WITHIN: Metres = Metres::of(40.0);
/// The number of positions kept, and their spacing at first and at last: two hours and more.
const MOST: usize = 48;
const SPACING: Duration = Duration::from_secs(10);
const WIDEST_SPACING: Duration = Duration::from_secs(160);
/// Radians: 30°.
const ALIKE: f64 = 0.52;
const COMPARED: usize = 3;
/// Of one coordinate, metres: 10 m in the plane in 95 of 100 cases.
const FIX: f64 = 10.0 / TWO_D_95;
/// Scatter of a boat's distance from her anchor in a steady wind, metres (chosen: what sheering leaves of 35 m).
const BELIEVED: f64 = 4.0;
const BELIEF: f64 = 4.0;
/// However irregularly she lies, a drag of this many metres shows.
const MOST_SCATTER: f64 = 8.0;
/// A younger position is not compared with her next one, unless there are few others.
const TEACHES: Duration = Duration::from_mins(4);
const SURE: f64 = 3.5;
const LEAST: f64 = 15.0;
/// An assumed circle may be wider by this.
const WIDER: f64 = 1.4;
const DOUBT: f64 = 12.0;
/// A shift of the fix by multipath ends sooner (5-60 s: the facts that shape the watch).
const LASTS: Duration = Duration::from_secs(60);
/// A boat at anchor is slower than this most of the time.
const TELLS: Speed = Speed::from_knots(0.4);
/// Radians: 57°.
const AGREES: f64 = 1.0;
/// A quarter of an hour.
const TRAIL: usize = 30;
const TRAIL_SPACING: Duration = Duration::from_secs(30);
const RECENT: Duration = Duration::from_mins(4);
/// Seconds: over a shorter time the noise of two fixes hides half a knot.
const LEAST_RUN: f64 = 45.0;
const RESTS: Duration = Duration::from_mins(12);

#[cfg(test)]
mod tests;
