//! The anchor touches bottom, a buoy is picked up, lines are made fast: what is marked, and where.
//!
//! An anchor is marked under the bow roller as it is at that moment, unless a place is given or the track of a boat
//! that has lain for long shows the place (see [`lying`](super::lying)). What she can lie to is listed in
//! [`kind`](super::kind).

use std::time::Duration;

use super::Anchorage;
use super::lying::Estimate;
use super::mooring::{Anchor, Mooring};
use super::orders::{Change, Done};
use crate::geodesy::Position;
use crate::speech::Sentence;
use crate::speech::alerts::NoFix;
use crate::speech::answers::{Answer, Besides, Refusal, Rode};
use crate::speech::remarks::Remark;
use crate::tackle::scope;
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::announcer::Announcer;
use crate::watch::commands::{GIVEN_DOUBT, check_circle, check_length, check_mark, check_rode};
use crate::watch::drag::{DragTest, Origin};
use crate::watch::fix::TWO_D_95;
use crate::watch::messages::LetGo;
use crate::watch::round::Seen;
use crate::watch::settings::WatchSettings;
use crate::watch::state::MeasuredFrom;

/// Where to put the mark.
struct Place {
    position: Position,
    doubt: Metres,
    lever: Metres,
    origin: Origin,
    /// Reported with the answer to the order.
    remarks: Vec<Besides>,
}

impl Anchorage {
    /// The anchor touches bottom. `why_no_fix`: the reason for a missing fix, in words.
    pub fn let_go(
        &mut self,
        seen: &Seen,
        order: &LetGo,
        why_no_fix: NoFix,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        check(order)?;
        let kind = order.kind;
        self.check_free(seen, order)?;
        let place = self.place(seen, order, why_no_fix)?;
        let depth = order.depth.or(seen.depth);
        if let Some(rode) = order.rode {
            check_rode(rode, depth, seen.boat.roller_height())?;
        }
        let anchor = Anchor {
            position: place.position,
            made: None,
            doubt: place.doubt,
            lever: place.lever,
            origin: Some(place.origin),
            depth,
            rode: order.rode,
            found: None,
        };
        if kind == MooringKind::SecondAnchor {
            return self.second_anchor(seen, anchor, place.remarks, say);
        }
        if let Some(before) = self.mooring.take() {
            self.put_by(before);
        }
        let test = idle_test(&mut self.idle, &seen.settings);
        self.mooring = Some(Mooring::new(kind, seen.now.utc, order.radius, anchor, test));
        self.lying.clear();
        self.restart_judgement(seen.now.tick);
        let said = self.answer(order, place, depth, &seen.settings);
        // A boat that is made fast has no anchor to set.
        let phase = if kind.has_rode() {
            AnchorPhase::Setting
        } else {
            AnchorPhase::Set
        };
        self.enter(seen, phase, said.clone(), say);
        Ok(Done {
            said,
            change: Change::NewMark,
        })
    }

    /// Refuses an order that would discard an existing mark without saying so.
    fn check_free(&self, seen: &Seen, order: &LetGo) -> Result<(), Refusal> {
        let Some(mooring) = self.mooring().filter(|_| !order.reanchored) else {
            return Ok(());
        };
        let first = mooring.first().position;
        if order.kind == MooringKind::SecondAnchor {
            return mooring.others().next().map_or(Ok(()), |second| {
                let apart = first.distance_to(second.position);
                Err(Refusal::MarkedSecond { apart })
            });
        }
        Err(Refusal::Marked {
            moored: !mooring.kind().has_rode(),
            since: mooring.let_go().clock(),
            away: seen.here.map(|here| here.distance(first)),
        })
    }

    /// Keeps the drag tests of anchors that have been weighed.
    pub(super) fn put_by(&mut self, mooring: Mooring) {
        let mut tests = mooring.weighed();
        tests.append(&mut self.idle);
        self.idle = tests;
    }

    fn second_anchor(
        &mut self,
        seen: &Seen,
        anchor: Anchor,
        remarks: Vec<Besides>,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let mooring = self
            .mooring
            .as_mut()
            .filter(|mooring| mooring.kind().has_rode())
            .ok_or(Refusal::NoFirst)?;
        let kind = MooringKind::SecondAnchor;
        let position = anchor.position;
        let rode = rode_told(anchor.rode, &seen.settings);
        let apart = mooring.first().position.distance_to(position);
        mooring.second(anchor, || idle_test(&mut self.idle, &seen.settings));
        self.restart_judgement(seen.now.tick);
        let said = Sentence::from(Answer::SecondLetGo {
            position,
            apart,
            rode,
            remarks: Sentence::several(remarks, ""),
            not_judged: Remark::NotJudged { kind }.into(),
        });
        self.enter(seen, AnchorPhase::Setting, said.clone(), say);
        Ok(Done {
            said,
            change: Change::AnotherAnchor,
        })
    }

    fn place(&self, seen: &Seen, order: &LetGo, why_no_fix: NoFix) -> Result<Place, Refusal> {
        let settings = &seen.settings;
        let here = seen.fresh_here();
        if let Some(position) = order.position {
            if let Some(here) = here {
                let rode = order.rode.or(order.radius).unwrap_or_default();
                let longest = rode.max(settings.longest_rode());
                check_mark((false, here.roller), position, longest)?;
            }
            return Ok(Place {
                position,
                doubt: GIVEN_DOUBT,
                lever: Metres::ZERO,
                origin: Origin::Given,
                remarks: Vec::new(),
            });
        }
        let lain = self
            .lying
            .lain(seen.now.tick)
            .filter(|lain| *lain >= settings.unmarked_after);
        let (least, most) = swings(seen, order);
        let estimate = lain.and_then(|_| self.lying.estimate(least, most));
        if order.from_track {
            let after = settings.unmarked_after;
            let lain = lain.ok_or(Refusal::NotLain { after })?;
            let estimate = estimate.ok_or(Refusal::NotSwung { lain })?;
            return Ok(Place {
                position: estimate.position,
                doubt: estimate.doubt,
                lever: here.map_or(Metres::ZERO, |here| here.lever_doubt),
                origin: Origin::Track,
                remarks: vec![Besides::Estimated {
                    lain,
                    doubt: estimate.doubt * TWO_D_95,
                    radius: estimate.radius,
                }],
            });
        }
        let here = here.ok_or_else(|| Refusal::NoFix {
            why: why_no_fix.into(),
        })?;
        let made_fast = matches!(order.kind, MooringKind::ShoreLine | MooringKind::SternTo);
        let lain = lain.filter(|_| order.kind == MooringKind::Anchor);
        let lain = lain.map(|lain| match estimate {
            Some(Estimate { position, .. }) => Besides::LainAt { lain, position },
            None => Besides::Lain { lain },
        });
        let bow = bow_not_known(seen, here.lever_doubt).filter(|_| order.kind.has_rode());
        // A boat that has lain makes no way.
        let age = match lain {
            Some(_) => Duration::ZERO,
            None => seen.now.tick.since(here.fix.at),
        };
        let moved = moved_on(age);
        let doubt = Metres::of(here.fix.sigma.get().hypot(moved.get()));
        let old = (moved > Metres::ZERO).then(|| Besides::OldFix {
            age,
            doubt: doubt * TWO_D_95,
            second: order.kind == MooringKind::SecondAnchor,
        });
        Ok(Place {
            position: if made_fast { here.centre } else { here.roller },
            doubt,
            lever: here.lever_doubt,
            origin: Origin::Fix,
            remarks: lain.into_iter().chain(bow).chain(old).collect(),
        })
    }

    fn answer(
        &self,
        order: &LetGo,
        place: Place,
        depth: Option<Metres>,
        settings: &WatchSettings,
    ) -> Sentence {
        let (kind, position, circle) = (order.kind, place.position, order.radius);
        let remarks = Sentence::several(place.remarks, "");
        let said = if kind.has_rode() {
            Answer::LetGo {
                position,
                berth: self.berth.map(|berth| position.distance_to(berth.position)),
                rode: rode_told(order.rode, settings),
                depth,
                circle,
                remarks,
            }
        } else {
            Answer::MadeFast {
                kind,
                position,
                depth,
                circle,
                remarks,
                not_judged: Remark::NotJudged { kind }.into(),
            }
        };
        said.into()
    }
}

/// The least and the greatest distance at which she swings about her anchor, by rode and depth. If the place of the
/// antenna is unknown, both are wider by that doubt.
fn swings(seen: &Seen, order: &LetGo) -> (Metres, Metres) {
    let longest = seen.settings.longest_rode();
    let doubt = seen.here.map_or(Metres::ZERO, |here| here.lever_doubt);
    let (Some(rode), Some(depth)) = (order.rode, order.depth.or(seen.depth)) else {
        return (Metres::ZERO, longest + doubt);
    };
    let height = scope::height(depth, seen.boat.roller_height());
    // In a calm, the rode that is not on the bottom hangs straight down.
    let least = (rode - height - SWINGS_ROOM - doubt).max(Metres::ZERO);
    (least, rode + SWINGS_ROOM + doubt)
}

fn idle_test(idle: &mut Vec<DragTest>, settings: &WatchSettings) -> DragTest {
    if idle.is_empty() {
        DragTest::new(settings)
    } else {
        idle.remove(0)
    }
}

/// If the bow's position is unknown the mark lies under the antenna; the crew is told so at once.
fn bow_not_known(seen: &Seen, doubt: Metres) -> Option<Besides> {
    (seen.measured_from() != MeasuredFrom::BowRoller).then(|| Besides::BowNotKnown {
        heading: seen.heading.is_some(),
        doubt,
    })
}

/// How far she may have moved since a fix of this age, as a standard deviation in each coordinate.
fn moved_on(age: Duration) -> Metres {
    if age <= STILL_CURRENT {
        return Metres::ZERO;
    }
    Metres::of(age.as_secs_f64() * MAKES_WAY / std::f64::consts::SQRT_2)
}

/// How much rode is to be veered, if known.
fn rode_told(rode: Option<Metres>, settings: &WatchSettings) -> Rode {
    match rode {
        None => Rode::NotEntered {
            longest: settings.longest_rode(),
        },
        Some(rode) => Rode::ToVeer {
            rode,
            aboard: more_than_aboard(rode, settings),
        },
    }
}

/// The configured length of rode aboard if `rode` is longer: a slip, or a figure to correct.
pub(super) fn more_than_aboard(rode: Metres, settings: &WatchSettings) -> Option<Metres> {
    settings.boat.rode_aboard.filter(|aboard| rode > *aboard)
}

/// Do the given values fit the kind?
fn check(order: &LetGo) -> Result<(), Refusal> {
    let kind = order.kind;
    let misplaced = [
        ("rode", !kind.has_rode() && order.rode.is_some()),
        (
            "radius",
            kind == MooringKind::SecondAnchor && order.radius.is_some(),
        ),
        ("fromTrack", kind != MooringKind::Anchor && order.from_track),
    ];
    if let Some((member, _)) = misplaced.into_iter().find(|(_, misplaced)| *misplaced) {
        return Err(Refusal::Misplaced { member, kind });
    }
    check_circle("radius", order.radius)?;
    if !kind.has_rode() && order.radius.is_none() {
        return Err(Refusal::NoRadius { kind });
    }
    check_length("depth", order.depth, 0.5, 100.0)
}

/// Covers a receiver's error of hours and an inexact figure for the rode.
const SWINGS_ROOM: Metres = Metres::of(5.0);

/// Up to this age of a fix, the way that she makes is not counted (chosen).
const STILL_CURRENT: Duration = Duration::from_secs(8);
/// The speed of a boat in the minutes before the anchor is let go, root mean square, m/s: a knot (common practice, no
/// source).
const MAKES_WAY: f64 = 0.5;

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::boat::BoatFigures;
    use crate::time::{Now, Tick, Timestamp};
    use crate::watch::round::Here;
    use crate::watch::sensors::Sensors;
    use crate::watch::wind::WindWatch;

    /// 40 m of rode over 8 m of water and 1.2 m of height: in a calm 30.8 m lie on the bottom. Five metres of room on
    /// both sides, and nine more if it is not known where on the boat the antenna is.
    #[test]
    fn she_swings_between_a_rode_that_hangs_down_and_one_drawn_straight() {
        let settings = WatchSettings {
            boat: BoatFigures {
                roller_height: Some(Metres::of(1.2)),
                ..BoatFigures::default()
            },
            ..WatchSettings::default()
        };
        let now = Now::new(Tick::from_secs(60), Timestamp::EPOCH);
        let sensors = Sensors::new(now.tick, &settings);
        let wind = WindWatch::new(&settings);
        let longest = settings.longest_rode();
        let mut seen = sensors.seen(now, &Arc::new(settings), &wind);
        let at = Position::of(59.8539, 23.26);
        seen.here = Some(Here::lying(now.tick, at, Metres::of(9.0)));
        let order = LetGo {
            rode: Metres::new(40.0),
            depth: Metres::new(8.0),
            ..LetGo::default()
        };
        let near = |found: Metres, wanted: f64| (found.get() - wanted).abs() < 1e-9;
        let (least, most) = swings(&seen, &order);
        assert!(near(least, 16.8) && near(most, 54.0), "{least} {most}");
        // A short rode may leave her above her anchor; without a depth nothing is known but the longest.
        let short = LetGo {
            rode: Metres::new(15.0),
            ..order
        };
        assert_eq!(swings(&seen, &short).0, Metres::ZERO);
        let unknown = LetGo {
            depth: None,
            ..order
        };
        let (least, most) = swings(&seen, &unknown);
        assert!(least == Metres::ZERO && near(most, longest.get() + 9.0));
    }
}
