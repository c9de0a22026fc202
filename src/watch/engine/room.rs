//! The planned circle and the one she lies in, compared with the charts: what is asked and what is reported.

use super::Watchkeeper;
use crate::speech::Sentence;
use crate::speech::charts::RoomToSwing;
use crate::speech::remarks::Remark;
use crate::units::Metres;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::berth::{self, Planned};
use crate::watch::charted::{About, lowest, telling};
use crate::watch::messages::Outcome;
use crate::watch::round::Round;

impl Watchkeeper {
    /// The circle planned at the berth.
    pub(super) fn planned(&self, round: &Round) -> Option<Planned> {
        let order = self.anchorage.berth()?;
        let until = self.water.until(round.seen.now.utc);
        let depth = self.charted.depth_at_berth();
        let planned = berth::planned(&round.seen, &order, depth, round.tide.as_ref(), until)?;
        let room = self.charted.room(About::Berth);
        Some(Planned {
            room_least: room.and_then(|room| room.least_at(lowest(round))),
            room: room.cloned(),
            ..planned
        })
    }

    /// The least depth in the circle that counts now.
    pub(super) fn room_least(&self, round: &Round, planned: Option<&Planned>) -> Option<Metres> {
        match &round.lies {
            Some(_) => self.charted.room(About::Anchor)?.least_at(lowest(round)),
            None => planned?.room_least,
        }
    }

    /// Keeps her soundings, and hands them over now and then.
    pub(super) fn keep_soundings(&mut self, round: &Round) {
        let now = round.seen.now.tick;
        if self.health.power_mut().clock_is_steady(now) {
            let sounding = self.sensors.instruments().sounding(now, &round.seen.boat);
            self.water.keep(round, sounding);
        } else {
            self.water.forget_soundings();
        }
        if let Some(soundings) = self.water.poll_soundings(now) {
            self.charted.sounded(&soundings);
            self.announcer.keep_soundings(soundings);
        }
    }

    /// Asks the charts, and reports their answers.
    pub(super) fn look_at_the_chart(&mut self, round: &Round) {
        let order = self.anchorage.berth();
        let planned = self.planned(round);
        let radius = planned.and_then(|planned| planned.radius);
        let berth = order.map(|order| (order.position, radius));
        for question in self.charted.inquire(round, berth) {
            self.announcer.ask_chart(question);
        }
        let now = round.seen.now;
        if let Some(room) = self.charted.news() {
            let said = if round.phase == AnchorPhase::Setting {
                telling::try_again(&room)
            } else {
                telling::told_of(&room, None)
            };
            self.announcer
                .note_with(now, said, telling::evidence(&room));
        }
        for (id, about, said) in self.charted.answers(now.tick) {
            let chart = self.chart_told(round, about);
            let chart = chart.words(&self.settings.wording);
            let outcome = Outcome::Done(format!("{said}; {chart}"));
            self.announcer.reply(id, outcome);
        }
    }

    /// What the answer to an order says about a circle.
    fn chart_told(&self, round: &Round, about: About) -> Sentence {
        let lacking = || self.charted.why_not(about).map(Sentence::from);
        match about {
            About::Anchor => match self.charted.room(about) {
                Some(room) if !room.clears => telling::try_again(room).into(),
                Some(room) => telling::told_of(room, room.least_at(lowest(round))).into(),
                None => Sentence::several(lacking(), ""),
            },
            About::Berth => match self.planned(round) {
                Some(planned) if planned.room.is_some() => planned.told(),
                Some(planned) => {
                    let told = [Some(planned.told()), lacking()];
                    Sentence::several(told.into_iter().flatten(), "; ")
                }
                None => RoomToSwing::NotSized.into(),
            },
        }
    }

    /// Why the circle that counts now is not compared with a chart.
    pub(super) fn remark_on_room(&self, round: &Round, remarks: &mut Vec<Remark>) {
        let about = match (&round.lies, self.anchorage.berth()) {
            (Some(lies), _) if lies.kind.can_drag() => About::Anchor,
            (None, Some(_)) => About::Berth,
            (Some(_) | None, _) => return,
        };
        if about == About::Berth && self.planned(round).is_none() {
            let room = RoomToSwing::NotSized;
            remarks.push(Remark::Chart { room });
        }
        if self.charted.room(about).is_none() && (self.charted.kept() || about == About::Berth) {
            let why = self.charted.why_not(about);
            remarks.extend(why.map(|room| Remark::Chart { room }));
        }
    }
}
