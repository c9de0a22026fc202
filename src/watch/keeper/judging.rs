//! What is told: the phase moved on, each hazard judged, the changes at the alert desk put out.

use std::time::Duration;

use serde_json::{Map, json};

use super::Watchkeeper;
use crate::alert::desk::{Change, Finding, Reason, Told};
use crate::alert::hazard::{AlertState, Hazard};
use crate::time::{Now, Timestamp};
use crate::units::{Metres, spoken};
use crate::watch::findings::{self, centimetres};
use crate::watch::words::{Event, EventKind, LinkState, Output, Phase};

/// What the judgement says of a hazard this time.
pub(super) enum Judged {
    Stands(Finding),
    Gone,
    /// It cannot be judged now: what was told stands.
    Unchanged,
    /// Another alert tells the same and more.
    Covered,
}

impl Watchkeeper {
    pub(super) fn judge(&mut self, now: Now) {
        self.judged = now.tick;
        self.desk.handle_timeout(now);
        self.water.predict(now);
        self.power.handle_timeout(now);
        self.keep_count(now);
        self.keep_found(now);
        self.move_phase(now);
        self.judge_pull(now);
        for hazard in Hazard::ALL {
            let judged = match hazard {
                Hazard::Dragging => self.judge_drag(now),
                Hazard::SwingExceeded => self.judge_swing(now),
                Hazard::WindShift => self.judge_wind(now),
                Hazard::WindStrength => self.judge_strength(now),
                Hazard::Shoaling => self.judge_keel(now),
                Hazard::ScopeShort => self.judge_scope(now),
                Hazard::Position => self.judge_position(now),
                Hazard::DataLink => self.judge_link(now),
                Hazard::Watch => self.judge_watch(now),
            };
            match judged {
                Judged::Stands(finding) => {
                    let finding = self.amended(now, hazard, finding);
                    self.desk.set(now, hazard, Some(finding));
                }
                Judged::Gone => self.desk.set(now, hazard, None),
                Judged::Unchanged => {}
                Judged::Covered => self.desk.cover(now, hazard),
            }
        }
        self.tell_changes(now);
        let due = self
            .published
            .is_none_or(|at| now.tick.since(at) >= PUBLISH_EVERY);
        if self.publishes && (due || !self.round.is_empty()) {
            self.published = Some(now.tick);
            let picture = self.picture(now);
            self.round.push(Output::Publish(Box::new(picture)));
        }
        self.flush();
    }

    fn move_phase(&mut self, now: Now) {
        let evidence = self.drag_evidence(now.tick);
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
                if self.hold_again(now) {
                    return;
                }
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

    /// The anchor has moved and holds again: from now on it is watched where it lies. Not where the
    /// crew ordered a circle of its own: that has shallows and neighbours behind it and stays.
    fn hold_again(&mut self, now: Now) -> bool {
        // Which of two anchors moved is not known.
        let Some(found) = self.drag.rests().filter(|_| self.manner.second.is_none()) else {
            return false;
        };
        let Some(mark) = self.mark.as_mut().filter(|mark| mark.max_radius.is_none()) else {
            return false;
        };
        let before = mark.position;
        mark.position = found.position;
        mark.doubt = found.doubt;
        mark.lever = Metres::ZERO;
        mark.found = Some(found);
        self.restart_judgement(now);
        let how = format!(
            "she holds again; the anchor is taken to lie {} from the old mark, bearing {} from it, give or take {}",
            before.distance_to(found.position),
            before.bearing_to(found.position),
            found.doubt * 2.0
        );
        self.enter(now, Phase::Set, &how);
        true
    }

    /// Keeps with the mark what was found out about the anchor, for a restart; seldom, and only
    /// what makes a difference, for the memory card's sake.
    fn keep_found(&mut self, now: Now) {
        let due = now.tick.since(self.found_kept) >= KEEP_FOUND_EVERY;
        let quiet = matches!(self.phase, Phase::Setting | Phase::Set);
        let Some(mark) = self.mark.as_mut().filter(|_| due && quiet) else {
            return;
        };
        let Some(found) = self.drag.found() else {
            return;
        };
        self.found_kept = now.tick;
        let differs = mark.found.is_none_or(|kept| {
            kept.position.distance_to(found.position) >= Metres::of(1.0)
                || (kept.doubt - found.doubt).get().abs() >= 0.5
        });
        if differs {
            mark.found = Some(found);
        }
    }

    pub(in crate::watch) fn enter(&mut self, now: Now, phase: Phase, how: &str) {
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
        let evidence = self.drag_evidence(now.tick);
        if evidence.quiet {
            return Judged::Unchanged;
        }
        Judged::Stands(findings::dragging(
            &self.settings.wording,
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
        if self.desk.state(Hazard::Dragging).is_active() && !ground.radius_ordered {
            return Judged::Covered;
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
        Judged::Stands(findings::swing_exceeded(
            &self.settings.wording,
            radius,
            ground.max_radius,
        ))
    }

    fn judge_wind(&mut self, now: Now) -> Judged {
        let Some(mark) = self.mark.filter(|_| self.phase.is_anchored()) else {
            return Judged::Gone;
        };
        match self.wind.judge(now.tick, mark.wind, self.manner.wind_seen) {
            // A new mark has no wind to be held against yet, and no shift.
            None if mark.wind.is_none() => Judged::Gone,
            None => Judged::Unchanged,
            Some(shift) if !shift.stands => Judged::Gone,
            Some(shift) => Judged::Stands(findings::wind_shift(
                &shift,
                self.wind.mean_direction(now.tick),
            )),
        }
    }

    fn judge_strength(&mut self, now: Now) -> Judged {
        let blow = self.wind.strength(now.tick);
        if !self.phase.is_anchored() {
            return Judged::Gone;
        }
        match blow {
            None => Judged::Unchanged,
            Some(blow) if blow.mean_over || blow.gust_over => {
                Judged::Stands(findings::wind_strength(&blow))
            }
            Some(_) => Judged::Gone,
        }
    }

    fn judge_keel(&mut self, now: Now) -> Judged {
        if !self.phase.is_anchored() {
            return Judged::Gone;
        }
        let standing = self.desk.state(Hazard::Shoaling).is_active();
        let (say, margin) = (&self.settings.wording, self.settings.keel_margin);
        // What is told stays told until there is a little more than the margin again.
        let slack = if standing {
            KEEL_HYSTERESIS
        } else {
            Metres::ZERO
        };
        let Some(depth) = self.instruments.water_depth(now.tick, &self.boat) else {
            // What was told stands, but not as if it were sounded now.
            let sounded = self.instruments.last_water_depth(&self.boat);
            return sounded
                .zip(self.boat.draught())
                .filter(|_| standing)
                .and_then(|((at, depth), draught)| {
                    let ago = now.tick.since(at).as_millis();
                    let when = i64::try_from(ago).ok()?;
                    let when = Timestamp::from_millis(now.utc.as_millis() - when);
                    findings::shoaling(say, Some(depth - draught), None, margin, slack, Some(when))
                })
                .map_or(Judged::Unchanged, Judged::Stands);
        };
        let tide = self.outlook(now);
        self.water.sound(depth, tide.as_ref());
        let (under, at_low) = self.under_keel(now);
        findings::shoaling(say, under, at_low, margin, slack, None)
            .map_or(Judged::Gone, Judged::Stands)
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
        let silent = now.tick.since(self.seen);
        if silent <= self.lost_after() {
            return if self.fix.is_some() {
                Judged::Gone
            } else {
                Judged::Unchanged
            };
        }
        if self.in_grace(now) {
            return Judged::Unchanged;
        }
        Judged::Stands(findings::no_position(
            self.phase.is_anchored(),
            silent,
            self.fault.as_ref(),
        ))
    }

    fn judge_link(&mut self, now: Now) -> Judged {
        let limit = self.settings.link_lost_after;
        let anchored = self.phase.is_anchored();
        if self.link == LinkState::Up {
            let unheard = now.tick.since(self.reported);
            if unheard > limit && !self.in_grace(now) {
                return Judged::Stands(findings::no_link(anchored, unheard, &self.link));
            }
            let steady = self
                .up_since
                .is_some_and(|at| now.tick.since(at) >= LINK_STEADY);
            if steady {
                self.trouble_since = None;
            }
            return if self.trouble_since.is_none() && unheard <= limit {
                Judged::Gone
            } else {
                Judged::Unchanged
            };
        }
        let trouble = self
            .trouble_since
            .map_or(Duration::ZERO, |since| now.tick.since(since));
        if trouble > limit {
            Judged::Stands(findings::no_link(anchored, trouble, &self.link))
        } else {
            Judged::Unchanged
        }
    }

    /// The link has just come back: what is missing may come yet.
    fn in_grace(&self, now: Now) -> bool {
        self.grace
            .is_some_and(|at| now.tick.since(at) <= self.lost_after())
    }

    /// Turns what changed at the desk into events and alerts.
    fn tell_changes(&mut self, now: Now) {
        while let Some(told) = self.desk.poll_change() {
            let Told {
                view,
                change,
                reason,
                mut evidence,
            } = told;
            let kind = match change {
                Change::Raised => Some(EventKind::Raised),
                Change::Cleared => Some(EventKind::Cleared),
                Change::Acknowledged => Some(EventKind::Acknowledged),
                Change::Silenced => Some(EventKind::Note),
                Change::SoundsAgain | Change::Repeated | Change::Reworded => None,
            };
            if change == Change::Acknowledged && view.hazard == Hazard::WindShift {
                // The next shift is measured from the wind they have seen to.
                self.manner.wind_seen =
                    self.wind.mean_direction(now.tick).or(self.manner.wind_seen);
                self.wind.seen();
                self.desk.measure_anew(Hazard::WindShift);
            }
            if let Some(kind) = kind {
                // What every change of its kind has for a reason need not be said.
                if !matches!(
                    reason,
                    Reason::Arose | Reason::Went | Reason::Acknowledged | Reason::Silenced
                ) {
                    evidence.insert("reason".to_owned(), json!(reason.to_string()));
                }
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
}

const KEEP_FOUND_EVERY: Duration = Duration::from_mins(10);
const KEEL_HYSTERESIS: Metres = Metres::of(0.2);
/// Nobody veers for a quarter of a length.
const SCOPE_SLACK: f64 = 0.25;
const SCOPE_HYSTERESIS: f64 = 0.25;
const LINK_STEADY: Duration = Duration::from_secs(30);
const PUBLISH_EVERY: Duration = Duration::from_secs(1);
