//! Turns what is known at a moment into the published state and into remarks.

use std::time::Duration;

use super::Watchkeeper;
use crate::geodesy::Position;
use crate::room::approach::{Approach, NEAR};
use crate::speech::remarks::Remark;
use crate::speech::{Depth, Sentence};
use crate::time::{Now, Tick};
use crate::units::Metres;
use crate::watch::anchorage::Lies;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::charted::About;
use crate::watch::fix::TWO_D_95;
use crate::watch::round::Round;
use crate::watch::scope::scopes;
use crate::watch::state::WatchState;
use crate::watch::track::Sight;

/// See [`Watchkeeper::lying`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lying {
    /// Where the crew marked the anchor.
    pub mark: Position,
    /// Where it most likely lies.
    pub estimate: Position,
    /// 95 % uncertainty of that.
    pub uncertainty: Metres,
    /// The farthest that the bow roller lies from the anchor, by tonight's observations; `None` until that is
    /// learned.
    pub usually: Option<Metres>,
    /// The excess beyond the reach from which a drag would be reported.
    pub margin: Metres,
}

impl Watchkeeper {
    /// What is known now.
    #[must_use]
    pub fn picture(&self, now: Now) -> WatchState {
        self.picture_of(&self.round(now))
    }

    /// The facts of a round.
    pub(super) fn picture_of(&self, round: &Round) -> WatchState {
        let seen = &round.seen;
        let tick = seen.now.tick;
        let lies = round.lies.as_ref();
        let here = seen.here;
        let to_anchor = here.zip(lies.map(|lies| lies.anchor.position));
        let berth = self.anchorage.berth();
        let (scope, scope_at_high_water) = scopes(round);
        let (_, under_keel_at_low_water) = self.water.under_keel(round);
        let direction = self.wind.mean_direction(tick);
        let approaching = round.phase == AnchorPhase::Aweigh;
        let approach = self.anchorage.way_to_berth(round, direction);
        let berth = berth.map(|berth| berth.position);
        // Once the anchor is down, its distance from the berth shows how well it was dropped.
        let way = match lies {
            Some(lies) => Some(lies.anchor.position),
            None => here.map(|here| here.roller),
        }
        .zip(berth);
        let planned = self.planned(round);
        let fresh = seen.fresh_here();
        let close = approach.as_ref().filter(|_| approaching && fresh.is_some());
        let near = close.filter(|it| it.distance <= NEAR);
        let evidence = lies.and(here).and(lies).map(|lies| &lies.evidence);
        let older = |at: Option<Tick>| {
            at.map(|at| tick.since(at))
                .filter(|age| *age > HEARD_NOW)
                .map(|age| age.as_secs() as f64)
        };
        WatchState {
            phase: round.phase,
            phase_since: self.anchorage.phase_since(),
            kind: lies.map(|lies| lies.kind),
            anchor: lies.map(|lies| lies.anchor.position),
            depth_at_anchor: lies.and_then(|lies| lies.anchor.depth),
            max_radius: lies.map(|lies| lies.ground.max_radius),
            current_radius: to_anchor.map(|(here, anchor)| here.centre.distance_to(anchor)),
            anchor_bearing: to_anchor.map(|(here, anchor)| here.roller.bearing_to(anchor)),
            anchor_distance: to_anchor.map(|(here, anchor)| here.distance(anchor)),
            measured_from: seen.measured_from(),
            rode_out: lies.and_then(|lies| lies.rode),
            snubber: lies.and_then(|lies| lies.snubber),
            reach: lies.map(|lies| lies.ground.reach),
            scope,
            scope_at_high_water,
            drag_probability: evidence.map(|evidence| evidence.probability),
            anchor_moved: evidence.map(|evidence| evidence.moved),
            fix_uncertainty: fresh.map(|here| {
                let sigma = here.fix.sigma.get().hypot(here.fix.doubt.get());
                Metres::of(TWO_D_95 * sigma) + here.lever_doubt
            }),
            pull_test: lies.and_then(|_| self.pull.reading(tick)),
            wind_shift: lies
                .and_then(|lies| lies.wind_set)
                .zip(self.wind.reference(tick))
                .map(|(then, now)| now.since(then)),
            wind_direction: direction,
            wind_speed: seen.wind,
            wind_gust: self.wind.gust(tick),
            water_depth: seen.depth,
            under_keel_at_low_water,
            head_to_wind_course: direction.filter(|_| approaching),
            berth,
            berth_bearing: way.map(|(from, berth)| from.bearing_to(berth)),
            berth_distance: way.map(|(from, berth)| from.distance_to(berth)),
            room_least: self.room_least(round, planned.as_ref()),
            room: lies.and_then(|_| self.charted.room(About::Anchor).cloned()),
            planned,
            berth_time: close.and_then(|it| it.time).map(f64::round),
            berth_cross_track: near.and_then(|it| it.cross_track),
            overshoot: near.and_then(|it| it.carries),
            way_by: near.map(|it| it.way.by.word().words(&seen.settings.wording)),
            approach_advice: near
                .and_then(Approach::advice)
                .map(|it| it.words(&seen.settings.wording)),
            fix_ago: self
                .sensors
                .fixes()
                .last_at()
                .filter(|_| fresh.is_none())
                .map(|at| tick.since(at).as_secs() as f64),
            depth_ago: older(seen.depth.and(seen.sounded).map(|(at, _)| at)),
            wind_ago: older(self.wind.heard()),
            position_source: self.sensors.fixes().source().map(ToString::to_string),
            roller: here.map(|here| here.roller),
            centre: here.map(|here| here.centre),
            neighbours: self.neighbours.nearest(round, NEAREST),
            vessels_heard: self.neighbours.heard(tick),
            lost: self.losses.quiet(seen.now, self.sensors.instruments()),
            remarks: self.remarks(round),
        }
    }

    /// What a picture of her needs as well: her shape, her heading, and the track of the last hour.
    #[must_use]
    pub fn sight(&self, now: Now) -> Sight {
        let round = self.round(now);
        let seen = &round.seen;
        Sight {
            heading: seen.heading,
            length: seen.boat.length_or_default(),
            beam: seen.boat.figures().beam,
            under_keel: self.water.under_keel(&round).0,
            track: self
                .track
                .points(now, seen.here.map(|here| (here.fix.at, here.centre))),
        }
    }

    /// How she lies by the drag test: what a report shows but the state has no member for.
    #[must_use]
    pub fn lying(&self) -> Option<Lying> {
        let mooring = self.anchorage.mooring()?;
        let first = mooring.first();
        let test = mooring.first_test();
        let (estimate, spread) = test
            .estimate()
            .unwrap_or((first.position, first.doubt + first.lever));
        Some(Lying {
            mark: first.as_made(),
            estimate,
            uncertainty: spread * TWO_D_95,
            usually: test.usually_lies(),
            margin: mooring.evidence().margin,
        })
    }

    /// What is not judged or only assumed, and why.
    fn remarks(&self, round: &Round) -> Vec<String> {
        let seen = &round.seen;
        let tick = seen.now.tick;
        let mut remarks = Vec::new();
        if let Some(lies) = &round.lies {
            self.remark_on_anchor(round, lies, &mut remarks);
        }
        if self.sensors.fixes().any() && seen.heading.is_none() {
            remarks.push(Remark::NoHeading);
        }
        self.remark_on_room(round, &mut remarks);
        remarks.extend(self.sensors.fixes().seldom());
        let doubts = self.sensors.fixes().doubts(tick);
        if !doubts.is_empty() {
            let doubts = Sentence::several(doubts, ", ");
            remarks.push(Remark::FixInDoubt { doubts });
        }
        if seen.boat.figures().antenna_from_bow.is_none() {
            remarks.push(Remark::NoAntenna);
        }
        let instruments = self.sensors.instruments();
        if instruments.has_unusable_soundings(tick, &seen.boat) {
            remarks.push(Remark::NoTransducer);
        }
        let say = &seen.settings.wording;
        remarks
            .into_iter()
            .map(|remark| remark.words(say))
            .collect()
    }

    fn remark_on_anchor(&self, round: &Round, lies: &Lies, remarks: &mut Vec<Remark>) {
        let seen = &round.seen;
        let kind = lies.kind;
        remarks.extend(self.anchorage.not_settled(seen));
        if kind != MooringKind::Anchor {
            remarks.push(Remark::NotJudged { kind });
        }
        for (other, about) in &lies.others {
            remarks.push(Remark::SecondAnchor {
                position: other.position,
                reach: about.reach,
            });
        }
        if lies.ground.rode_assumed && kind.has_rode() {
            let rode = lies.ground.rode;
            remarks.push(Remark::RodeAssumed { rode });
        }
        match (seen.counter, lies.counted) {
            (Some(_), Some(rode)) => remarks.push(Remark::Counter { rode }),
            (Some(counter), None) => remarks.push(Remark::CounterIgnored { rode: counter.rode }),
            (None, _) => {}
        }
        remarks.push(round.tide.as_ref().map_or(Remark::NoTide, |tide| {
            let depth = seen.depth;
            let surge = depth.and_then(|depth| self.water.surge(depth, tide.now));
            let tide = tide.source.told().into();
            match surge {
                None => Remark::Tide { tide },
                Some(surge) => Remark::TideAndSoundings {
                    tide,
                    surge: Depth(Metres::of(surge.get().abs())),
                    less: surge.get() < 0.0,
                },
            }
        }));
        if seen.boat.draught().is_none() {
            remarks.push(Remark::NoDraught);
        }
        if lies.ground.depth_unknown {
            remarks.push(Remark::NoDepth);
        }
        if lies.wind_set.is_none() && round.phase == AnchorPhase::Set {
            remarks.push(Remark::NoWindAtSet);
        }
    }
}

/// The most neighbours that are shown.
const NEAREST: usize = 3;
/// An instrument that was heard this recently is taken to be reporting now: as long as for the others
/// ([`instruments`](crate::watch::instruments)).
const HEARD_NOW: Duration = Duration::from_secs(15);
