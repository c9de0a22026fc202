//! What happens in a night: the events of the script, what the crew does of itself, and the anchor that drags.

use super::Player;
use crate::geodesy::Offset;
use crate::rehearse::boat::EngineOrder;
use crate::rehearse::library::script::{Act, Deed, Drags};
use crate::rehearse::night::Audience;
use crate::speech::faults::LinkFault;
use crate::units::{Hertz, Metres, Speed};
use crate::watch::messages::{Command, Input, LetGo, LinkState, Phones};

#[derive(Clone, Copy)]
pub(super) struct Dragging {
    how: Drags,
    since: u64,
    /// How far the anchor had moved before.
    before: Metres,
}

impl Player<'_> {
    pub(super) fn happen(&mut self, audience: &mut impl Audience) {
        while let Some(next) = self.script.happenings.get(self.happened) {
            if next.at.as_secs() > self.second {
                return;
            }
            self.happened += 1;
            audience.story(self.now().utc, &next.say);
            if let Some(deed) = &next.deed {
                self.carry_out(deed);
            }
        }
    }

    fn carry_out(&mut self, deed: &Deed) {
        match deed {
            Deed::AnchorDrags(how) => {
                self.boat.reckon_from_here();
                self.began.get_or_insert(self.now().utc);
                self.drags = Some(Dragging {
                    how: *how,
                    since: self.second,
                    before: self.boat.anchor_moved(),
                });
            }
            Deed::AnchorHolds => {
                self.drags = None;
                self.boat.hold();
            }
            Deed::Instruments(instruments, condition) => {
                for instrument in instruments {
                    self.sensors.set(*instrument, *condition);
                }
            }
            Deed::FixJumps(shift, lasts) => self.sensors.multipath(*shift, *lasts),
            Deed::Server(up) => {
                self.server_up = *up;
                self.tell(Input::Link(if *up {
                    LinkState::Up
                } else {
                    LinkState::Down(LinkFault::ServerClosed)
                }));
            }
            Deed::Phones(up) => self.tell(Input::Phones(if *up {
                Phones::Working
            } else {
                Phones::Lost("the skipper's phone".to_owned())
            })),
            Deed::NeighbourDrags(name, rate) => {
                if let Some(her) = self.fleet.vessel_mut(name) {
                    her.boat.drag_at(*rate);
                }
            }
            Deed::NeighbourLeaves(name) => {
                if let Some(her) = self.fleet.vessel_mut(name) {
                    her.boat.weigh();
                    her.boat.steam_to(CLEAR, Speed::from_knots(4.0));
                }
            }
            Deed::Crew(Act::Acknowledges) => self.order(Command::Acknowledge(None)),
            Deed::Crew(Act::Silences) => self.order(Command::Silence(None)),
            Deed::Crew(Act::Marks) => self.order(Command::LetGo(LetGo {
                rode: Some(self.script.rode),
                from_track: true,
                ..LetGo::default()
            })),
            Deed::Crew(Act::Weighs) => {
                self.boat.weigh();
                self.order(Command::Weigh);
            }
        }
    }

    /// She lets go at the berth, falls back, digs the anchor in with the engine, and stops it.
    pub(super) fn crew(&mut self, audience: &mut impl Audience) {
        let Some(since) = self.let_go.map(|at| self.second - at) else {
            if self.boat.arrived() {
                self.let_go(audience);
            }
            return;
        };
        match since {
            FALLS_BACK => self.boat.engine(EngineOrder::Astern(Hertz::of(14.0))),
            DIGS_IN => self.boat.engine(EngineOrder::Astern(Hertz::of(30.0))),
            DUG_IN => {
                self.boat.dig_in();
                self.boat.engine(EngineOrder::Stopped);
                self.boat.reckon_from_here();
                audience.story(
                    self.now().utc,
                    "dug in: the engine is stopped, she lies to her anchor",
                );
            }
            _ => {}
        }
    }

    fn let_go(&mut self, audience: &mut impl Audience) {
        self.boat.let_go(self.sea.state());
        self.boat.veer(self.script.rode, Speed::of(0.5));
        self.let_go = Some(self.second);
        let depth = self.sea.state().depth(Offset::ZERO);
        let rode = self.script.rode;
        if self.script.marked {
            let words = format!("let go in {depth:.1} of water; {rode} of rode are veered");
            audience.story(self.now().utc, &words);
            self.order(Command::LetGo(LetGo {
                rode: Some(rode),
                ..LetGo::default()
            }));
        } else {
            let words = format!("let go in {depth:.1} of water; nobody presses \"let go\"");
            audience.story(self.now().utc, &words);
        }
    }

    pub(super) fn move_anchor(&mut self) {
        let Some(drags) = self.drags else { return };
        let moved = self.boat.anchor_moved() - drags.before;
        if drags.how.stops_after.is_some_and(|after| moved >= after) {
            self.drags = None;
            self.boat.hold();
            return;
        }
        let since = self.second - drags.since;
        let moves = drags.how.jerks.is_none_or(|(moves, rests)| {
            since % (moves + rests).as_secs().max(1) < moves.as_secs()
        });
        let wind = self.boat.wind_load(self.sea.state().mean_speed);
        if moves && self.boat.state().pull >= LEAST_PULL * wind {
            self.boat.drag_at(drags.how.rate);
        } else {
            self.boat.hold();
        }
    }
}

/// Seconds after letting go at which the engine goes slow astern, then harder, and is stopped.
const FALLS_BACK: u64 = 20;
const DIGS_IN: u64 = 180;
const DUG_IN: u64 = 300;
/// An anchor moves while the pull of the rode is at least this share of the load in the mean wind.
const LEAST_PULL: f64 = 0.3;
/// Where a neighbour motors to.
const CLEAR: Offset = Offset {
    east: -200.0,
    north: 700.0,
};
