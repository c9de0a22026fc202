//! What the crew orders about the anchor apart from letting go: rode veered, anchor weighed, mark corrected, a
//! circle of its own, a berth planned. A refused order changes nothing.

use std::time::Duration;

use super::Anchorage;
use super::letting_go::more_than_aboard;
use crate::geodesy::Position;
use crate::speech::answers::{Answer, Refusal};
use crate::speech::{Far, Ratio, Sentence};
use crate::tackle::scope;
use crate::tackle::snubber::Snubber;
use crate::units::Metres;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::announcer::Announcer;
use crate::watch::berth::BerthOrder;
use crate::watch::commands::{
    GIVEN_DOUBT, check_berth, check_circle, check_length, check_mark, check_reaches, check_rode,
};
use crate::watch::messages::SnubberOrder;
use crate::watch::round::Seen;
use crate::watch::settings::WatchSettings;

/// An order that was carried out.
#[derive(Clone, Debug, PartialEq)]
pub struct Done {
    /// The answer to the crew.
    pub said: Sentence,
    /// What changed for the parts that measure from the anchor.
    pub change: Change,
}

/// What an order changed for the parts that measure from the anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Nothing.
    Nothing,
    /// A new mark.
    NewMark,
    /// A second anchor.
    AnotherAnchor,
    /// The mark was moved.
    MarkMoved,
    /// The length of rode was changed.
    Rode,
    /// No anchor is down any more.
    Weighed,
}

impl Anchorage {
    /// This much rode is out.
    pub fn veer(
        &mut self,
        seen: &Seen,
        rode: Metres,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let roller = seen.boat.roller_height();
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        let depth = mooring.first().depth.or(seen.depth);
        check_rode(rode, depth, roller)?;
        let kind = mooring.kind();
        if !kind.has_rode() {
            return Err(Refusal::Misplaced {
                member: "rodeOut",
                kind,
            });
        }
        let snubber = mooring.snubber();
        let before = mooring.veer(rode);
        if before.is_some_and(|before| rode < before) {
            // She must be hauled in first: until then she lies beyond the shorter reach, and holds.
            self.restart_judgement(seen.now.tick);
        }
        let scope = depth.and_then(|depth| scope::scope(rode, depth, roller));
        let said = Answer::Veered {
            rode,
            aboard: more_than_aboard(rode, &seen.settings),
            scope: scope.map(Ratio),
        };
        let said = match snubber {
            Some(snubber) => Sentence::from(Answer::StillOn {
                said: said.into(),
                at: snubber.at,
                drawn: snubber.drawn(),
            }),
            None => said.into(),
        };
        let change = if before == Some(rode) {
            Change::Nothing
        } else {
            say.note(seen.now, said.clone());
            Change::Rode
        };
        Ok(Done { said, change })
    }

    /// The anchor is up: the watch ends.
    pub fn weigh(&mut self, seen: &Seen, say: &mut Announcer) -> Result<Done, Refusal> {
        let mooring = self.mooring.take().ok_or(Refusal::NotAtAnchor)?;
        let lay = seen.now.utc.millis_since(mooring.let_go()).max(0);
        self.put_by(mooring);
        self.berth = None;
        self.lying.weighed(seen.now.tick);
        self.restart_judgement(seen.now.tick);
        let lay = Duration::from_millis(lay.unsigned_abs());
        let said = Sentence::from(Answer::Weighed { lay });
        self.enter(seen, AnchorPhase::Aweigh, said.clone(), say);
        Ok(Done {
            said,
            change: Change::Weighed,
        })
    }

    /// A snubber or bridle is put on, or taken off.
    pub fn snub(
        &mut self,
        seen: &Seen,
        order: Option<SnubberOrder>,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let roller = seen.boat.roller_height();
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        let kind = mooring.kind();
        if !kind.has_rode() {
            let member = "snubber";
            return Err(Refusal::Misplaced { member, kind });
        }
        let (depth, rode) = (mooring.first().depth.or(seen.depth), mooring.first().rode);
        let snubber = order
            .map(|order| snubber(order, rode, (depth, roller), &seen.settings))
            .transpose()?;
        let before = mooring.snub(snubber);
        let drawn = |snubber: Option<Snubber>| snubber.map(Snubber::drawn).or(rode);
        if drawn(snubber) < drawn(before) {
            // Until she is hauled in she lies beyond the shorter reach, and holds.
            self.restart_judgement(seen.now.tick);
        }
        let said = Sentence::from(snubber_told(snubber, rode, (depth, roller)));
        let change = if before == snubber {
            Change::Nothing
        } else {
            say.note(seen.now, said.clone());
            Change::Rode
        };
        Ok(Done { said, change })
    }

    /// Plans a berth, or removes the plan.
    pub fn set_berth(&mut self, seen: &Seen, berth: Option<BerthOrder>) -> Result<Answer, Refusal> {
        let here = seen.here.map(|here| here.roller);
        let here = here.or_else(|| self.mooring().map(|it| it.first().position));
        if let (Some(berth), Some(here)) = (berth, here) {
            check_berth(here, berth.position)?;
        }
        if let Some(rode) = berth.and_then(|berth| berth.wishes.rode) {
            check_rode(rode, None, Metres::ZERO)?;
        }
        self.berth = berth;
        let Some(BerthOrder { position, .. }) = berth else {
            return Ok(Answer::NoBerth);
        };
        Ok(match seen.here {
            Some(here) => Answer::BerthFromHere {
                position,
                bearing: here.roller.bearing_to(position),
                distance: Far(here.distance(position)),
            },
            None => Answer::Berth { position },
        })
    }

    /// Corrects the mark: the anchor lies elsewhere.
    pub fn correct_mark(
        &mut self,
        seen: &Seen,
        position: Position,
        say: &mut Announcer,
    ) -> Result<Done, Refusal> {
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        let before = mooring.first().position;
        let rode = mooring.first().rode.unwrap_or_default();
        let from = match seen.here {
            Some(here) => (false, here.roller),
            None => (true, before),
        };
        check_mark(from, position, rode.max(seen.settings.longest_rode()))?;
        let by = before.distance_to(position);
        if by < SAME_PLACE {
            return Ok(Done {
                said: Answer::MarkAlready { position }.into(),
                change: Change::Nothing,
            });
        }
        mooring.correct(position, GIVEN_DOUBT);
        self.restart_judgement(seen.now.tick);
        let said = Sentence::from(Answer::MarkCorrected { by, position });
        say.note(seen.now, said.clone());
        Ok(Done {
            said,
            change: Change::MarkMoved,
        })
    }

    /// Sets the crew's own circle, or returns to the calculated one.
    pub fn order_radius(
        &mut self,
        seen: &Seen,
        radius: Option<Metres>,
        say: &mut Announcer,
    ) -> Result<Answer, Refusal> {
        check_circle("maxRadius", radius)?;
        let mooring = self.mooring.as_mut().ok_or(Refusal::NotAtAnchor)?;
        mooring.order_radius(radius);
        let mark = mooring.first().position;
        let away = seen.here.map(|here| here.centre.distance_to(mark));
        let said = match radius {
            Some(radius) => Answer::Circle {
                radius,
                outside: away.filter(|away| *away > radius),
            },
            None if mooring.circle_was_given() => Answer::CircleAsGiven,
            None => Answer::CircleFromRode,
        };
        say.note(seen.now, said.clone());
        Ok(said)
    }
}

/// The snubber that is ordered, completed with known values.
fn snubber(
    order: SnubberOrder,
    rode: Option<Metres>,
    (depth, roller): (Option<Metres>, Metres),
    settings: &WatchSettings,
) -> Result<Snubber, Refusal> {
    check_length("at", order.at, 1.0, 300.0)?;
    check_length("length", order.length, 0.5, 50.0)?;
    let at = order.at.or(rode).ok_or(Refusal::NoHook)?;
    let by_configuration = settings.plan.tackle.snubber_length;
    let length = order
        .length
        .or(by_configuration)
        .ok_or(Refusal::NoSnubberLength)?;
    if let Some(rode) = rode.filter(|rode| at > *rode) {
        return Err(Refusal::HookBeyond { at, rode });
    }
    let snubber = Snubber { at, length };
    check_reaches("at` + `length", snubber.drawn(), depth, roller)?;
    Ok(snubber)
}

fn snubber_told(
    snubber: Option<Snubber>,
    rode: Option<Metres>,
    (depth, roller): (Option<Metres>, Metres),
) -> Answer {
    let Some(snubber) = snubber else {
        return Answer::SnubberOff { rode };
    };
    let drawn = snubber.drawn();
    let scope = depth.and_then(|depth| scope::scope(drawn, depth, roller));
    Answer::SnubberOn {
        at: snubber.at,
        length: snubber.length,
        drawn,
        scope: scope.map(Ratio),
        short: rode.is_none_or(|rode| rode < drawn),
    }
}

const SAME_PLACE: Metres = Metres::of(0.5);
