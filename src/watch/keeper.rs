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
//! | setting, set, dragging | let go again (a new mark) | setting |
//! | setting, set, dragging | weigh | aweigh |
//!
//! A rode veered or a mark corrected restarts the evidence, not the phase. Blindness changes no
//! phase: it is a hazard of its own.

use std::collections::VecDeque;
use std::time::Duration;

use serde_json::{Map, Value, json};

use crate::alert::desk::{Change, Desk, Finding};
use crate::alert::hazard::{AlertState, AlertView, Hazard};
use crate::boat::Boat;
use crate::geodesy::{Plane, Position};
use crate::observation::{Fact, Report, Subject};
use crate::tackle::scope;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Metres, spoken};
use crate::watch::counter::RodeCounter;
use crate::watch::drag::DragTest;
use crate::watch::findings::{self, centimetres};
use crate::watch::freshness::Freshness;
use crate::watch::ground::Ground;
use crate::watch::instruments::Instruments;
use crate::watch::intake::{Fault, Fix, Intake, Motion, Verdict};
use crate::watch::neighbours::Neighbours;
use crate::watch::settings::WatchSettings;
use crate::watch::water::{Outlook, Water};
use crate::watch::wind::WindWatch;
use crate::watch::words::{
    DisplayAct, Event, EventKind, Input, LinkState, Mark, Outcome, Output, Phase, Saved,
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
    pub(super) counter: RodeCounter,
    pub(super) water: Water,
    pub(super) desk: Desk,
    pub(super) neighbours: Neighbours,
    pub(super) phase: Phase,
    pub(super) phase_since: Option<Timestamp>,
    pub(super) mark: Option<Mark>,
    pub(super) berth: Option<Position>,
    link: LinkState,
    link_since: Tick,
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
    judged: Tick,
    published: Option<Tick>,
    round: Vec<Output>,
    outputs: VecDeque<Output>,
    persisted: Saved,
}

/// What the judgement says of a hazard this time.
enum Judged {
    Stands(Finding),
    Gone,
    /// It cannot be judged now: what was told stands.
    Unchanged,
}

impl Watchkeeper {
    /// A new watch, or one that goes on after a restart with what was `saved`; `last_seen` is
    /// when the watch was last known to be running.
    #[must_use]
    pub fn new(
        now: Now,
        settings: WatchSettings,
        saved: Saved,
        last_seen: Option<Timestamp>,
    ) -> Self {
        let mut keeper = Self {
            boat: Boat::new(settings.boat),
            freshness: Freshness::default(),
            intake: Intake::new(&settings),
            instruments: Instruments::default(),
            wind: WindWatch::new(&settings),
            drag: DragTest::new(&settings),
            counter: RodeCounter::default(),
            water: Water::default(),
            desk: Desk::restored(now, &saved.alerts, saved.raises),
            neighbours: Neighbours::default(),
            phase: saved.phase,
            phase_since: saved.phase_since,
            mark: saved.mark,
            berth: saved.berth,
            link: LinkState::Down("not connected yet".to_owned()),
            link_since: now.tick,
            reported: now.tick,
            fix: None,
            fault: None,
            seen: now.tick,
            settling_since: now.tick,
            quiet_since: None,
            outside_since: None,
            strong_wind: false,
            impaired: None,
            judged: now.tick,
            published: None,
            round: Vec::new(),
            outputs: VecDeque::new(),
            persisted: saved,
            settings,
        };
        keeper.intake.set_anchored(keeper.phase.is_anchored());
        keeper.resume(now, last_seen);
        keeper
    }

    /// Takes an input.
    pub fn handle(&mut self, now: Now, input: Input) {
        let urgent = match input {
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
                        let _ = self.desk.acknowledge(Some(action.hazard));
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
            Input::Timeout => {
                self.handle_timeout(now);
                return;
            }
        };
        if urgent || now.tick.since(self.judged) >= JUDGE_EVERY {
            self.judge(now);
        }
    }

    /// To be called when [`Watchkeeper::poll_timeout`] is due.
    pub fn handle_timeout(&mut self, now: Now) {
        self.desk.handle_timeout(now);
        self.judge(now);
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
            berth: self.berth,
            alerts: self.desk.standing(),
            raises: self.desk.raises(),
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

    /// Returns whether judgement is wanted at once.
    fn take_report(&mut self, now: Now, report: &Report) -> bool {
        self.reported = self.reported.max(now.tick);
        if let Subject::Other(vessel) = &report.subject {
            self.neighbours.take(now.tick, vessel, &report.facts);
            return false;
        }
        let mut urgent = false;
        for fact in &report.facts {
            self.boat.take(fact);
            let news = self.freshness.is_news(
                now,
                self.settings.max_age,
                &report.source,
                fact,
                report.stamp,
            );
            if !news {
                continue;
            }
            match fact {
                Fact::FixMethod(_)
                | Fact::FixIntegrity(_)
                | Fact::Satellites(_)
                | Fact::HorizontalDilution(_) => {
                    self.intake.take_quality(now.tick, &report.source, fact);
                }
                Fact::Position(position) => {
                    urgent |= self.take_position(now, report, *position);
                }
                Fact::RodeCounter(reading) => self.counter.take(now.tick, *reading),
                other => {
                    self.instruments.take(now.tick, other);
                    self.water.take(now.tick, other);
                }
            }
        }
        if let Some(wind) = self.instruments.wind(now.tick)
            && report.facts.iter().any(is_wind)
        {
            self.wind.take(now.tick, wind);
        }
        urgent
    }

    fn take_position(&mut self, now: Now, report: &Report, position: Option<Position>) -> bool {
        let heading = self.instruments.heading(now.tick);
        let arm = self
            .boat
            .antenna_to_roller(Some(heading.unwrap_or_default()));
        let motion = Motion {
            heading,
            speed: self.instruments.speed_over_ground(now.tick),
            arm: arm.offset.length(),
        };
        let before = self.intake.source().cloned();
        match self
            .intake
            .take_position(now.tick, &report.source, position, &motion)
        {
            Verdict::Spare => false,
            Verdict::Refused(fault) => {
                self.fault = Some(fault);
                false
            }
            Verdict::Fix(fix) => {
                if let Some(before) = before
                    && self.intake.source() != Some(&before)
                {
                    self.note(
                        now,
                        format!(
                            "the position comes from `{}` now, `{before}` gives no usable fix; they differ by {}",
                            report.source, fix.doubt
                        ),
                    );
                }
                self.take_fix(now, fix)
            }
        }
    }

    /// Holds a fix against the mark.
    fn take_fix(&mut self, now: Now, fix: Fix) -> bool {
        if let Some(mark) = self.mark {
            let away = mark.position.distance_to(fix.antenna);
            if away > FARTHEST {
                self.fault = Some(Fault::Jump(away));
                return false;
            }
        }
        self.fix = Some(fix);
        self.fault = None;
        self.seen = now.tick;
        if let Some((mark, ground)) = self.ground(now.tick) {
            let here = self.boat_now(now.tick);
            if let Some(here) = here {
                let excess = here.distance(mark.position) - ground.reach - here.lever_doubt;
                self.drag.take(now.tick, excess, here.sigma(&mark));
                let outside = here.centre.distance_to(mark.position) - here.lever_doubt
                    > self.swing_limit(&ground);
                if outside {
                    self.outside_since.get_or_insert(now.tick);
                } else {
                    self.outside_since = None;
                }
            }
        }
        now.tick.since(self.judged) >= JUDGE_EVERY
    }

    fn take_link(&mut self, now: Now, link: LinkState) -> bool {
        if link == LinkState::Up && self.link != LinkState::Up {
            self.freshness.link_renewed();
        }
        if std::mem::discriminant(&self.link) != std::mem::discriminant(&link) {
            self.link_since = now.tick;
        }
        let changed = self.link != link;
        self.link = link;
        changed
    }

    /// The circle that alarms: the crew's own to the letter; the reckoned one never tighter than
    /// the drag test's margin.
    fn swing_limit(&self, ground: &Ground) -> Metres {
        if ground.radius_ordered {
            ground.max_radius
        } else {
            let margin = self.drag.evidence(self.judged).margin;
            ground.max_radius + (margin - self.settings.swing_margin).max(Metres::ZERO)
        }
    }

    pub(super) fn ground(&self, now: Tick) -> Option<(Mark, Ground)> {
        let mark = self.mark.filter(|_| self.phase.is_anchored())?;
        let depth = self.instruments.water_depth(now, &self.boat);
        let counted = self.counter.longest(now);
        let bound = Mark {
            rode: counted.or(mark.rode),
            ..mark
        };
        let ground = Ground::about(&bound, depth, &self.boat, &self.settings);
        Some((mark, ground))
    }

    /// Rode out: by the counter where there is one, else as the crew said.
    pub(super) fn rode_out(&self, now: Tick) -> Option<Metres> {
        let mark = self.mark?;
        self.counter.rode(now).or(mark.rode)
    }

    /// The tide to come.
    pub(super) fn outlook(&self, now: Now) -> Option<Outlook> {
        self.water.outlook(now)
    }

    /// From the surface to the lowest point of the keel.
    pub(super) fn draught(&self) -> Option<Metres> {
        let figures = self.boat.figures();
        figures.draught.or_else(|| {
            let (transducer, keel) = figures.transducer_depth.zip(figures.transducer_to_keel)?;
            Some(transducer + keel)
        })
    }

    /// Depth under the keel now, and at low water where she has swung.
    pub(super) fn under_keel(&self, now: Now) -> (Option<Metres>, Option<Metres>) {
        let draught = self.draught();
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

    fn judge(&mut self, now: Now) {
        self.judged = now.tick;
        self.move_phase(now);
        for hazard in Hazard::ALL {
            let judged = match hazard {
                Hazard::Dragging => self.judge_drag(now),
                Hazard::SwingExceeded => self.judge_swing(now),
                Hazard::WindShift => self.judge_wind(now),
                Hazard::Shoaling => self.judge_keel(now),
                Hazard::ScopeShort => self.judge_scope(now),
                Hazard::Position => self.judge_position(now),
                Hazard::DataLink => self.judge_link(now),
                Hazard::Watch => match &self.impaired {
                    Some(why) => Judged::Stands(findings::impaired(self.phase.is_anchored(), why)),
                    None => Judged::Gone,
                },
            };
            match judged {
                Judged::Stands(finding) => self.desk.set(now, hazard, Some(finding)),
                Judged::Gone => self.desk.set(now, hazard, None),
                Judged::Unchanged => {}
            }
        }
        self.tell_changes(now);
        let due = self
            .published
            .is_none_or(|at| now.tick.since(at) >= PUBLISH_EVERY);
        if due || !self.round.is_empty() {
            self.published = Some(now.tick);
            let picture = self.picture(now);
            self.round.push(Output::Publish(Box::new(picture)));
        }
        self.flush();
    }

    fn move_phase(&mut self, now: Now) {
        let evidence = self.drag.evidence(now.tick);
        let sighted = now.tick.since(self.seen) <= self.lost_after() && self.fix.is_some();
        match self.phase {
            Phase::Aweigh => {}
            Phase::Setting | Phase::Set if evidence.dragging => {
                self.quiet_since = None;
                self.enter(now, Phase::Dragging, "the anchor is moving");
            }
            Phase::Setting => {
                if !sighted || !evidence.quiet {
                    self.settling_since = now.tick;
                } else if now.tick.since(self.settling_since) >= self.settings.settle {
                    let how = format!(
                        "she has lain quietly for {} and the anchor is taken to hold",
                        spoken(self.settings.settle)
                    );
                    self.enter(now, Phase::Set, &how);
                }
            }
            Phase::Set => {
                if let Some(mark) = &mut self.mark
                    && mark.wind.is_none()
                {
                    mark.wind = self.wind.reference(now.tick);
                }
            }
            Phase::Dragging => {
                if !evidence.quiet || !sighted {
                    self.quiet_since = None;
                } else {
                    let since = *self.quiet_since.get_or_insert(now.tick);
                    if now.tick.since(since) >= self.settings.settle / 2 {
                        self.enter(now, Phase::Set, "she lies within her reach again");
                    }
                }
            }
        }
    }

    pub(super) fn enter(&mut self, now: Now, phase: Phase, how: &str) {
        self.phase = phase;
        self.phase_since = Some(now.utc);
        self.intake.set_anchored(phase.is_anchored());
        let mut evidence = Map::new();
        evidence.insert("phase".to_owned(), json!(phase.name()));
        if let Some((mark, ground)) = self.ground(now.tick) {
            evidence.insert("reach".to_owned(), json!(centimetres(ground.reach)));
            if let Some(here) = self.boat_now(now.tick) {
                let distance = here.distance(mark.position);
                evidence.insert("anchorDistance".to_owned(), json!(centimetres(distance)));
            }
        }
        self.round.push(Output::Event(Event {
            time: now.utc,
            event: EventKind::Phase,
            hazard: None,
            priority: None,
            message: format!("{phase}: {how}"),
            evidence,
        }));
    }

    fn judge_drag(&self, now: Now) -> Judged {
        if self.phase != Phase::Dragging {
            return Judged::Gone;
        }
        let Some(((mark, ground), here)) = self.ground(now.tick).zip(self.boat_now(now.tick))
        else {
            return Judged::Unchanged;
        };
        let evidence = self.drag.evidence(now.tick);
        if evidence.quiet {
            return Judged::Unchanged;
        }
        Judged::Stands(findings::dragging(
            &evidence,
            here.distance(mark.position),
            ground.reach,
            here.roller.bearing_to(mark.position),
        ))
    }

    fn judge_swing(&self, now: Now) -> Judged {
        let Some((mark, ground)) = self.ground(now.tick) else {
            return Judged::Gone;
        };
        let Some(here) = self.boat_now(now.tick) else {
            return Judged::Unchanged;
        };
        let standing = self.desk.state(Hazard::SwingExceeded).is_active();
        let Some(since) = self.outside_since else {
            return Judged::Gone;
        };
        // One alert for one situation: a drag that is told carries her out of the reckoned circle
        // anyway. The crew's own circle has shallows and neighbours behind it and is told always.
        if self.phase == Phase::Dragging && !standing && !ground.radius_ordered {
            return Judged::Gone;
        }
        let hold = if ground.radius_ordered {
            self.settings.swing_hold
        } else {
            // The drag test has the first word: it says more.
            self.settings.swing_hold.max(self.settings.drag_hold * 2)
        };
        if now.tick.since(since) < hold && !standing {
            return Judged::Gone;
        }
        let radius = here.centre.distance_to(mark.position);
        Judged::Stands(findings::swing_exceeded(radius, ground.max_radius))
    }

    fn judge_wind(&mut self, now: Now) -> Judged {
        let Some(mark) = self.mark.filter(|_| self.phase.is_anchored()) else {
            return Judged::Gone;
        };
        match self.wind.judge(now.tick, mark.wind) {
            None => Judged::Unchanged,
            Some((_, false)) => Judged::Gone,
            Some((turn, true)) => Judged::Stands(findings::wind_shift(
                turn,
                self.wind.mean_direction(now.tick),
            )),
        }
    }

    fn judge_keel(&mut self, now: Now) -> Judged {
        if !self.phase.is_anchored() {
            return Judged::Gone;
        }
        let Some(depth) = self.instruments.water_depth(now.tick, &self.boat) else {
            return Judged::Unchanged;
        };
        let tide = self
            .outlook(now)
            .map_or(Metres::ZERO, |outlook| outlook.now);
        self.water.sound(depth, tide);
        let (under, at_low) = self.under_keel(now);
        // What is told stays told until there is a little more than the margin again.
        let margin = if self.desk.state(Hazard::Shoaling).is_active() {
            self.settings.keel_margin + KEEL_HYSTERESIS
        } else {
            self.settings.keel_margin
        };
        findings::shoaling(under, at_low, margin).map_or(Judged::Gone, Judged::Stands)
    }

    fn judge_scope(&mut self, now: Now) -> Judged {
        // While she is being dug in the rode is still going out.
        if !matches!(self.phase, Phase::Set | Phase::Dragging) {
            return Judged::Gone;
        }
        let (scope_now, at_high) = self.scopes(now);
        let standing = self.desk.state(Hazard::ScopeShort).is_active();
        let slack = if standing { SCOPE_HYSTERESIS } else { 0.0 };
        let threshold = if self.strong_wind {
            self.settings.strong_wind * 0.8
        } else {
            self.settings.strong_wind
        };
        self.strong_wind = self
            .wind
            .mean_speed(now.tick)
            .is_some_and(|speed| speed >= threshold);
        let short =
            |scope: Option<f64>, wanted: f64| scope.filter(|s| *s < wanted - SCOPE_SLACK + slack);
        if self.strong_wind
            && let Some(scope) = short(scope_now, self.settings.scope_strong)
        {
            let when = "in this wind";
            return Judged::Stands(findings::scope_short(
                scope,
                self.settings.scope_strong,
                when,
                true,
            ));
        }
        let (scope, when) = match at_high {
            Some(scope) => (Some(scope), "at the coming high water"),
            None => (scope_now, "now"),
        };
        match short(scope, self.settings.scope) {
            Some(scope) => Judged::Stands(findings::scope_short(
                scope,
                self.settings.scope,
                when,
                false,
            )),
            None if scope.is_none() => Judged::Unchanged,
            None => Judged::Gone,
        }
    }

    fn judge_position(&self, now: Now) -> Judged {
        if matches!(self.link, LinkState::Down(_)) {
            // The missing link is the alert; what was told of the position stands.
            return Judged::Unchanged;
        }
        let since = self.seen.max(self.link_since);
        let silent = now.tick.since(since);
        if silent <= self.lost_after() {
            return if self.fix.is_some() && now.tick.since(self.seen) <= self.lost_after() {
                Judged::Gone
            } else {
                Judged::Unchanged
            };
        }
        Judged::Stands(findings::no_position(
            self.phase.is_anchored(),
            now.tick.since(self.seen),
            self.fault.as_ref(),
        ))
    }

    fn judge_link(&self, now: Now) -> Judged {
        let since = match self.link {
            LinkState::Up => self.link_since.max(self.reported),
            LinkState::Down(_) | LinkState::Impaired(_) => self.link_since,
        };
        let silent = now.tick.since(since);
        if silent > self.settings.link_lost_after {
            Judged::Stands(findings::no_link(
                self.phase.is_anchored(),
                silent,
                &self.link,
            ))
        } else if self.link == LinkState::Up {
            Judged::Gone
        } else {
            Judged::Unchanged
        }
    }

    /// Turns what changed at the desk into events and alerts.
    fn tell_changes(&mut self, now: Now) {
        while let Some((view, change, evidence)) = self.desk.poll_change() {
            let kind = match change {
                Change::Raised => Some(EventKind::Raised),
                Change::Cleared => Some(EventKind::Cleared),
                Change::Acknowledged => Some(EventKind::Acknowledged),
                Change::Silenced => Some(EventKind::Note),
                Change::SoundsAgain | Change::Reworded => None,
            };
            if let Some(kind) = kind {
                let message = match change {
                    Change::Silenced => format!("silenced for 30 s: {}", view.message),
                    Change::Cleared if view.state == AlertState::RectifiedUnacknowledged => {
                        format!("over, but nobody has acknowledged it: {}", view.message)
                    }
                    _ => view.message.clone(),
                };
                self.round.push(Output::Event(Event {
                    time: now.utc,
                    event: kind,
                    hazard: Some(view.hazard),
                    priority: Some(view.priority),
                    message,
                    evidence,
                }));
            }
            self.round.push(Output::Alert(view));
        }
    }

    pub(super) fn note(&mut self, now: Now, message: String) {
        self.round.push(Output::Event(Event {
            time: now.utc,
            event: EventKind::Note,
            hazard: None,
            priority: None,
            message,
            evidence: Map::<String, Value>::new(),
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
        self.outside_since = None;
        self.quiet_since = None;
        self.settling_since = now.tick;
    }

    /// The fix of this moment, fit to mark the anchor with.
    pub(super) fn fresh_here(&self, now: Tick) -> Option<BoatNow> {
        self.boat_now(now)
            .filter(|here| now.since(here.fix.at) <= self.settings.max_age)
    }

    /// Why there is no fix.
    pub(super) fn fault_words(&self) -> String {
        if let LinkState::Down(why) = &self.link {
            return format!("no data server: {why}");
        }
        self.fault
            .as_ref()
            .map_or_else(|| "none is heard".to_owned(), Fault::words)
    }
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

    /// Standard deviation of the distance to the mark.
    fn sigma(&self, mark: &Mark) -> Metres {
        let parts = [self.fix.sigma, self.fix.doubt, mark.doubt];
        Metres::of(parts.iter().map(|m| m.get() * m.get()).sum::<f64>().sqrt())
    }
}

fn is_wind(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::WindSpeedApparent(_)
            | Fact::WindAngleApparent(_)
            | Fact::WindSpeedTrue(_)
            | Fact::WindSpeedOverGround(_)
            | Fact::WindAngleTrueWater(_)
            | Fact::WindAngleTrueGround(_)
            | Fact::WindDirectionTrue(_)
            | Fact::WindDirectionMagnetic(_)
    )
}

/// A sounder and the swell move by this.
const KEEL_HYSTERESIS: Metres = Metres::of(0.2);
/// Nobody veers for a quarter of a length.
const SCOPE_SLACK: f64 = 0.25;
const SCOPE_HYSTERESIS: f64 = 0.25;
const JUDGE_EVERY: Duration = Duration::from_secs(1);
const PUBLISH_EVERY: Duration = Duration::from_secs(1);
const SLOWEST_LOST: Duration = Duration::from_mins(2);
/// A mark farther away than this is no mark of this anchorage: the fix is wrong, or the watch
/// was carried off without being told.
const FARTHEST: Metres = Metres::of(10_000.0);

#[cfg(test)]
mod tests;
