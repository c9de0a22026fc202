//! The watchkeeper: one engine that takes everything in and says everything out.
//!
//! # Grammar
//! [`Watchkeeper::handle`] for what happened, with the moment; [`Watchkeeper::handle_timeout`]
//! when [`Watchkeeper::poll_timeout`] is due; after each, [`Watchkeeper::poll_output`] until it is
//! empty, its outputs carried out in that order (what must be on disk comes first). Moments may
//! stand still or go backwards; nothing happens then. The same inputs at the same moments give
//! the same outputs, byte for byte.
//!
//! # Phases
//!
//! | from | what happens | to |
//! |---|---|---|
//! | aweigh | let go | setting |
//! | setting | she lies quietly, seen all the while, for the settling time | set |
//! | setting, set | the evidence says she drags | dragging |
//! | dragging | no evidence left, for half the settling time | set |
//! | dragging | she holds again elsewhere: the mark moves there | set |
//! | setting, set, dragging | let go again (a new mark) | setting |
//! | setting, set, dragging | weigh | aweigh |
//!
//! A rode veered or a mark corrected restarts the evidence, not the phase. Blindness changes no
//! phase: it is a hazard of its own.

mod berth;
mod judging;
mod taking;

use std::collections::VecDeque;
use std::time::Duration;

use serde_json::{Map, Value};

use self::judging::Judged;
use crate::alert::desk::{Desk, DeskSettings};
use crate::alert::hazard::{AlertView, Hazard};
use crate::boat::Boat;
use crate::geodesy::{Plane, Position};
use crate::tackle::scope;
use crate::tackle::water::Tide;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Metres, spoken};
use crate::watch::counter::RodeCounter;
use crate::watch::drag::DragTest;
use crate::watch::freshness::Freshness;
use crate::watch::ground::Ground;
use crate::watch::instruments::Instruments;
use crate::watch::intake::{Fault, Fix, Intake};
use crate::watch::lying::Lying;
use crate::watch::manner::Manner;
use crate::watch::neighbours::Neighbours;
use crate::watch::power::Power;
use crate::watch::pull::PullTest;
use crate::watch::settings::WatchSettings;
use crate::watch::track::Track;
use crate::watch::water::Water;
use crate::watch::wind::WindWatch;
use crate::watch::words::{
    DisplayAct, Event, EventKind, Input, LinkState, Mark, Outcome, Output, Phase, Phones, Saved,
};

/// The engine. See the module's page.
#[derive(Debug)]
pub struct Watchkeeper {
    pub(super) settings: WatchSettings,
    pub(super) boat: Boat,
    freshness: Freshness,
    pub(super) intake: Intake,
    pub(super) instruments: Instruments,
    pub(super) wind: WindWatch,
    pub(super) drag: DragTest,
    /// About the second anchor, where there is one.
    pub(super) second_drag: DragTest,
    pub(super) counter: RodeCounter,
    power: Power,
    pub(super) water: Water,
    pub(super) desk: Desk,
    pub(super) neighbours: Neighbours,
    pub(super) pull: PullTest,
    pub(super) lying: Lying,
    pub(super) manner: Manner,
    pub(super) track: Track,
    pub(super) phase: Phase,
    pub(super) phase_since: Option<Timestamp>,
    pub(super) mark: Option<Mark>,
    pub(super) berth: Option<Position>,
    link: LinkState,
    /// Since when the link is not up, however briefly it was in between.
    trouble_since: Option<Tick>,
    up_since: Option<Tick>,
    /// When the sensors were last given a moment to be heard again.
    grace: Option<Tick>,
    reported: Tick,
    pub(super) fix: Option<Fix>,
    fault: Option<Fault>,
    seen: Tick,
    settling_since: Tick,
    quiet_since: Option<Tick>,
    outside_since: Option<Tick>,
    /// The mean wind passed the strong wind's threshold and has not fallen well below it.
    strong_wind: bool,
    impaired: Option<String>,
    phones: Phones,
    judged: Tick,
    found_kept: Tick,
    published: Option<Tick>,
    publishes: bool,
    round: Vec<Output>,
    outputs: VecDeque<Output>,
    persisted: Saved,
}

impl Watchkeeper {
    /// A new watch, or one that goes on after a restart with what was `saved`. [`Input::Began`]
    /// comes first.
    #[must_use]
    pub fn new(now: Now, settings: WatchSettings, saved: Saved) -> Self {
        let mut keeper = Self {
            boat: Boat::new(settings.boat),
            freshness: Freshness::default(),
            intake: Intake::new(&settings),
            instruments: Instruments::default(),
            wind: WindWatch::new(&settings),
            drag: DragTest::new(&settings),
            second_drag: DragTest::new(&settings),
            counter: RodeCounter::default(),
            power: Power::new(settings.least_voltage),
            water: Water::new(
                settings.forecast.clone(),
                settings.stay,
                settings.wording.clone(),
                saved.least_sounded,
            ),
            desk: restored_desk(now, settings.desk, &saved),
            neighbours: Neighbours::default(),
            pull: PullTest::default(),
            lying: Lying::default(),
            manner: saved.manner,
            track: Track::default(),
            phase: saved.phase,
            phase_since: saved.phase_since,
            mark: saved.mark,
            berth: saved.berth,
            link: LinkState::Down("not connected yet".to_owned()),
            trouble_since: Some(now.tick),
            up_since: None,
            grace: None,
            reported: now.tick,
            fix: None,
            fault: None,
            seen: now.tick,
            settling_since: now.tick,
            quiet_since: None,
            outside_since: None,
            strong_wind: false,
            impaired: None,
            phones: Phones::None,
            judged: now.tick,
            found_kept: now.tick,
            published: None,
            publishes: true,
            round: Vec::new(),
            outputs: VecDeque::new(),
            persisted: saved,
            settings,
        };
        keeper.intake.set_anchored(keeper.phase.is_anchored());
        keeper
    }

    /// Takes an input.
    pub fn handle(&mut self, now: Now, input: Input) {
        let urgent = match input {
            Input::Began { last_seen } => {
                self.resume(now, last_seen);
                return;
            }
            Input::Report(report) => self.take_report(now, &report),
            Input::Command { id, command } => {
                let outcome = match self.obey(now, &command) {
                    Ok(done) => Outcome::Done(done),
                    Err(refusal) => Outcome::Refused(refusal.to_string()),
                };
                self.round.push(Output::Reply { id, outcome });
                true
            }
            Input::Link(link) => self.take_link(now, link),
            Input::Display(action) => {
                match action.act {
                    // A display may act on what is over already: nothing is left to do then.
                    DisplayAct::Acknowledged => {
                        let _ = self.desk.acknowledge(now, Some(action.hazard));
                    }
                    DisplayAct::Silenced => {
                        let _ = self.desk.silence(now, Some(action.hazard));
                    }
                    DisplayAct::Cleared => {
                        self.note(
                            now,
                            format!(
                                "somebody set the notification `{}` to normal on the data server though it stands; it is shown again",
                                action.hazard
                            ),
                        );
                        self.desk.show_again(action.hazard);
                    }
                }
                true
            }
            Input::Impaired(why) => {
                let changed = self.impaired != why;
                self.impaired = why;
                changed
            }
            Input::Phones(phones) => {
                let changed = self.phones != phones;
                self.phones = phones;
                changed
            }
            Input::Timeout => {
                self.handle_timeout(now);
                return;
            }
        };
        if urgent || now.tick.since(self.judged) >= JUDGE_EVERY {
            self.judge(now);
        }
    }

    /// Whether the state is put together for publishing: a replay that nobody looks at needs none.
    pub fn publish(&mut self, publishes: bool) {
        self.publishes = publishes;
    }

    /// To be called when [`Watchkeeper::poll_timeout`] is due.
    pub fn handle_timeout(&mut self, now: Now) {
        self.judge(now);
    }

    /// When it last judged: the sign that it is alive.
    #[must_use]
    pub const fn judged(&self) -> Tick {
        self.judged
    }

    /// When to call [`Watchkeeper::handle_timeout`] next.
    #[must_use]
    pub fn poll_timeout(&self) -> Option<Tick> {
        Some(self.judged + JUDGE_EVERY)
    }

    /// The next thing to be done.
    pub fn poll_output(&mut self) -> Option<Output> {
        self.outputs.pop_front()
    }

    /// The boat, by configuration and server.
    #[must_use]
    pub const fn boat(&self) -> &Boat {
        &self.boat
    }

    /// Alerts that are not normal, gravest first.
    #[must_use]
    pub fn alerts(&self) -> Vec<AlertView> {
        self.desk.standing()
    }

    /// What is to be on disk now.
    #[must_use]
    pub fn saved(&self) -> Saved {
        Saved {
            phase: self.phase,
            phase_since: self.phase_since,
            mark: self.mark,
            manner: self.manner,
            berth: self.berth,
            alerts: self.desk.standing(),
            measures: self.desk.measures(),
            raises: self.desk.raises(),
            least_sounded: self.water.least_reduced(),
        }
    }

    /// Tells the crew since when the watch was blind, and judges what stood anew.
    fn resume(&mut self, now: Now, last_seen: Option<Timestamp>) {
        if self.phase.is_anchored() {
            self.tell_blind(now, last_seen);
        }
        // Displays may still hold what stood before: they are told first of all.
        for view in self.desk.standing() {
            self.round.push(Output::Alert(view));
        }
        self.flush();
    }

    fn tell_blind(&mut self, now: Now, last_seen: Option<Timestamp>) {
        let blind = match last_seen {
            Some(seen) if seen < now.utc => {
                let gap = Duration::from_millis(now.utc.millis_since(seen).unsigned_abs());
                format!("blind since {} UTC, for {}", seen.clock(), spoken(gap))
            }
            Some(_) => "blind for an unknown time: the clock has gone back".to_owned(),
            None => "blind for an unknown time".to_owned(),
        };
        let message = format!(
            "the watch goes on after a restart ({}): {blind}",
            self.phase
        );
        self.note(now, message);
    }

    /// The circle that alarms: the crew's own to the letter; the reckoned one never tighter than
    /// the drag test's margin.
    fn swing_limit(&self, ground: &Ground) -> Metres {
        if ground.radius_ordered {
            ground.max_radius
        } else {
            let margin = self.drag_evidence(self.judged).margin;
            ground.max_radius + (margin - self.settings.swing_margin).max(Metres::ZERO)
        }
    }

    pub(super) fn ground(&self, now: Tick) -> Option<(Mark, Ground)> {
        let mark = self.mark.filter(|_| self.phase.is_anchored())?;
        let depth = self.instruments.water_depth(now, &self.boat);
        let counted = self.counted(now).and_then(|_| self.counter.longest(now));
        let bound = Mark {
            rode: counted.or(mark.rode),
            ..mark
        };
        let ground = Ground::about(&bound, depth, &self.boat, &self.settings);
        Some((mark, self.within_given_circle(ground)))
    }

    /// Rode out: by the counter where there is one, else as the crew said.
    pub(super) fn rode_out(&self, now: Tick) -> Option<Metres> {
        let mark = self.mark.filter(|_| self.manner.kind.has_rode())?;
        self.counted(now).or(mark.rode)
    }

    /// The counter's reading, unless it is one that cannot be at anchor: not reset, or heaved up
    /// and down.
    pub(super) fn counted(&self, now: Tick) -> Option<Metres> {
        let depth = self
            .instruments
            .water_depth(now, &self.boat)
            .or_else(|| self.mark.and_then(|mark| mark.depth))
            .unwrap_or_default();
        let least = scope::height(depth, self.boat.roller_height());
        self.counter.rode(now).filter(|reading| *reading >= least)
    }

    /// What the counter last said is kept with the mark: it may fall silent when the windlass is
    /// switched off.
    fn keep_count(&mut self, now: Now) {
        let counted = self.counted(now.tick);
        if let Some(counted) = counted
            && let Some(mark) = &mut self.mark
            && mark
                .rode
                .is_none_or(|rode| (rode - counted).get().abs() >= 1.0)
        {
            mark.rode = Some(counted);
        }
    }

    /// The tide to come.
    #[must_use]
    pub fn outlook(&self, now: Now) -> Option<Tide> {
        self.water.outlook(now)
    }

    /// Depth under the keel now, and at low water where she has swung.
    pub(super) fn under_keel(&self, now: Now) -> (Option<Metres>, Option<Metres>) {
        let draught = self.boat.draught();
        let depth = self.instruments.water_depth(now.tick, &self.boat);
        let least = self
            .outlook(now)
            .and_then(|outlook| self.water.least_depth(&outlook));
        let above = |depth: Option<Metres>| depth.zip(draught).map(|(depth, d)| depth - d);
        (above(depth), above(least))
    }

    /// Scope of the rode that is out over the depth now and at the coming high water.
    pub(super) fn scopes(&self, now: Now) -> (Option<f64>, Option<f64>) {
        let depth = self.instruments.water_depth(now.tick, &self.boat);
        let Some((rode, depth)) = self
            .rode_out(now.tick)
            .zip(depth.or_else(|| self.mark.and_then(|mark| mark.depth)))
        else {
            return (None, None);
        };
        let roller = self.boat.roller_height();
        let high = self
            .outlook(now)
            .and_then(|tide| scope::scope(rode, depth - tide.now + tide.highest, roller));
        (scope::scope(rode, depth, roller), high)
    }

    /// Where the boat is by the last fix, if it is recent.
    pub(super) fn boat_now(&self, now: Tick) -> Option<BoatNow> {
        let fix = self
            .fix
            .filter(|fix| now.since(fix.at) <= self.lost_after())?;
        let heading = self.instruments.heading(now);
        let plane = Plane::at(fix.antenna);
        let roller = self.boat.antenna_to_roller(heading);
        let centre = self.boat.antenna_to_centre(heading);
        Some(BoatNow {
            roller: plane.position(roller.offset),
            centre: plane.position(centre.offset),
            lever_doubt: roller.doubt.max(centre.doubt),
            fix,
        })
    }

    /// Slow receivers are given longer: three and a half of their own intervals.
    fn lost_after(&self) -> Duration {
        let usual = self.intake.interval().unwrap_or_default();
        self.settings
            .lost_after
            .max((usual * 7 / 2).min(SLOWEST_LOST))
    }

    pub(super) fn note(&mut self, now: Now, message: String) {
        self.note_with(now, message, Map::new());
    }

    pub(super) fn note_with(&mut self, now: Now, message: String, evidence: Map<String, Value>) {
        self.round.push(Output::Event(Event {
            time: now.utc,
            event: EventKind::Note,
            hazard: None,
            priority: None,
            message,
            evidence,
        }));
    }

    /// Ends a round: what must be on disk goes out first.
    fn flush(&mut self) {
        let saved = self.saved();
        if saved.differs(&self.persisted) {
            self.outputs
                .push_back(Output::Persist(Box::new(saved.clone())));
            self.persisted = saved;
        }
        self.outputs.extend(self.round.drain(..));
    }

    /// A new mark: everything that was judged against the old one starts again.
    pub(super) fn restart_judgement(&mut self, now: Now) {
        self.drag.reset();
        self.second_drag.reset();
        self.outside_since = None;
        self.quiet_since = None;
        self.settling_since = now.tick;
    }

    /// The fix of this moment, fit to mark the anchor with.
    pub(super) fn fresh_here(&self, now: Tick) -> Option<BoatNow> {
        let slow = self.intake.interval().unwrap_or_default() * 5 / 4;
        self.boat_now(now)
            .filter(|here| now.since(here.fix.at) <= self.settings.max_age.max(slow))
    }

    /// What ails windrode itself.
    pub(super) fn ailment(&self) -> Option<String> {
        let phones = match &self.phones {
            Phones::Lost(names) => Some(format!(
                "no phone channel works ({names}), nobody ashore would be called; look at the boat's link ashore"
            )),
            Phones::None | Phones::Working | Phones::Doubtful(_) => None,
        };
        let ailments: Vec<String> = [
            self.impaired.clone(),
            phones,
            self.power.battery(self.judged),
        ]
        .into_iter()
        .flatten()
        .collect();
        (!ailments.is_empty()).then(|| ailments.join("; "))
    }

    /// What who lets go should know of the phones; nothing while one works.
    pub(super) fn phones_caution(&self) -> String {
        match &self.phones {
            Phones::Doubtful(names) | Phones::Lost(names) => format!(
                "; no phone channel has worked lately ({names}): alerts may be shown aboard only"
            ),
            Phones::None | Phones::Working => String::new(),
        }
    }

    /// Why there is no fix.
    pub(super) fn fault_words(&self, now: Tick) -> String {
        if let LinkState::Down(why) = &self.link {
            return format!("no data server: {why}");
        }
        self.fault.as_ref().map_or_else(
            || match self.fix {
                Some(fix) => format!("the last is {} old", spoken(now.since(fix.at))),
                None => "none is heard".to_owned(),
            },
            Fault::words,
        )
    }
}

/// The alerts that stood. Whether the watch itself is impaired is found anew: a watch that was
/// stopped and runs again is whole.
fn restored_desk(now: Now, settings: DeskSettings, saved: &Saved) -> Desk {
    let alerts: Vec<AlertView> = saved
        .alerts
        .iter()
        .filter(|view| view.hazard != Hazard::Watch)
        .cloned()
        .collect();
    Desk::restored(now, settings, &alerts, &saved.measures, saved.raises)
}

/// Where the boat is by the last fix.
#[derive(Clone, Copy, Debug)]
pub(super) struct BoatNow {
    pub(super) roller: Position,
    pub(super) centre: Position,
    /// How far these may be off because heading or offsets are not known.
    pub(super) lever_doubt: Metres,
    pub(super) fix: Fix,
}

impl BoatNow {
    /// From the roller.
    pub(super) fn distance(&self, to: Position) -> Metres {
        self.roller.distance_to(to)
    }
}

const JUDGE_EVERY: Duration = Duration::from_secs(1);
const SLOWEST_LOST: Duration = Duration::from_mins(2);

#[cfg(test)]
mod tests;
