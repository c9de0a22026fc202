//! What is taken in: reports, fixes held against the mark, the link.

use std::time::Duration;

use super::{BoatNow, JUDGE_EVERY, Watchkeeper};
use crate::alert::hazard::Hazard;
use crate::geodesy::{Plane, Position};
use crate::observation::{Fact, Report, Subject};
use crate::tackle::scope;
use crate::time::Now;
use crate::units::Metres;
use crate::watch::drag::{Marked, Sighting};
use crate::watch::ground::Ground;
use crate::watch::intake::{Fault, Fix, Motion, Verdict};
use crate::watch::words::{LinkState, Mark, Phase};

impl Watchkeeper {
    /// Returns whether judgement is wanted at once.
    pub(super) fn take_report(&mut self, now: Now, report: &Report) -> bool {
        self.reported = self.reported.max(now.tick);
        if let Subject::Other(vessel) = &report.subject {
            self.neighbours.take(now.tick, vessel, &report.facts);
            return false;
        }
        let mut urgent = false;
        for fact in &report.facts {
            self.boat.take(fact);
            self.instruments.take_offset(fact);
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
                    if self
                        .fix
                        .is_some_and(|fix| self.intake.takes_back(fact, &fix))
                    {
                        self.fix = None;
                    }
                }
                Fact::Position(position) => {
                    urgent |= self.take_position(now, report, *position);
                }
                Fact::HouseVoltage(reading) => self.power.take(now.tick, *reading),
                Fact::RodeCounter(reading) => self.counter.take(now.tick, *reading),
                other => {
                    if matches!(other, Fact::SpeedOverGround(_) | Fact::CourseOverGround(_)) {
                        self.intake.take_quality(now.tick, &report.source, other);
                    }
                    self.instruments.take(now.tick, other);
                    self.water.take(now.tick, other);
                }
            }
        }
        if report.facts.iter().any(Fact::is_wind)
            && let Some(wind) = self.instruments.wind(now.tick)
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
        self.fault = fix.disagrees.map(Fault::Disagrees);
        if fix.disagrees.is_none() {
            self.seen = now.tick;
        }
        if let Some(here) = self.boat_now(now.tick) {
            self.hold_against_mark(now, &here);
        }
        now.tick.since(self.judged) >= JUDGE_EVERY
    }

    fn hold_against_mark(&mut self, now: Now, here: &BoatNow) {
        self.track.take(now.tick, here.centre);
        if let Some((mark, ground)) = self.ground(now.tick) {
            if self.manner.kind.can_drag() {
                self.test_drag(now, &mark, &ground, here);
            }
            let distance = here.distance(mark.position);
            self.pull
                .take_fix(now.tick, distance, here.fix.sigma, here.lever_doubt);
            if self.is_outside(now, &mark, &ground, here) {
                self.outside_since.get_or_insert(now.tick);
            } else {
                self.outside_since = None;
            }
        }
        if self.phase == Phase::Aweigh {
            let engine = self.engine_turns(now);
            self.lying.take(now.tick, here.roller, engine);
        }
    }

    /// Outside the circle? The crew's own is about the mark, to the letter. The reckoned one is about
    /// where the anchor is found to lie, as surely as that is known. While she is being dug in and the
    /// crew is about, also about the mark, with room for one made [`LATE_MARK`] late: whoever is farther
    /// out than that marked badly or has an anchor that never bit, and must hear of either. Once set, a
    /// bad mark is no reason to wake anybody. A shift that the drag test sees in the fix moves the reckoned
    /// circle with it, for as long as multipath lasts.
    fn is_outside(&self, now: Now, mark: &Mark, ground: &Ground, here: &BoatNow) -> bool {
        let inside_again = if self.desk.state(Hazard::SwingExceeded).is_active() {
            SWING_HYSTERESIS
        } else {
            Metres::ZERO
        };
        let away = |middle: Position, doubt: Metres| {
            here.centre.distance_to(middle) - here.lever_doubt - doubt + inside_again
        };
        let limit = self.swing_limit(ground);
        let found = self.drag.estimate().filter(|_| !ground.radius_ordered);
        let shift = self.drag.shift(now.tick);
        let shifted = |place: Position| Plane::at(place).position(shift);
        let outside = match found {
            // How sure the drag test is of the anchor has no bearing on a circle about the mark.
            Some((position, spread)) => {
                away(shifted(position), spread * 2.0) > limit
                    || (self.phase == Phase::Setting
                        && away(shifted(mark.position), mark.lever) > ground.max_radius + LATE_MARK)
            }
            None => away(mark.position, mark.lever) > limit,
        };
        outside || self.outside_second(now, here, inside_again)
    }

    /// Hands the fix to the drag test, with what bears on it.
    fn test_drag(&mut self, now: Now, mark: &Mark, ground: &Ground, here: &BoatNow) {
        let tick = now.tick;
        let lever = self.boat.antenna_to_roller(self.instruments.heading(tick));
        let depth = self
            .instruments
            .water_depth(tick, &self.boat)
            .or(mark.depth);
        let sighting = Sighting {
            antenna: here.fix.antenna,
            sigma: here.fix.sigma,
            doubt: here.fix.doubt,
            velocity: self.intake.velocity(tick),
            lever: lever.offset,
            lever_doubt: lever.doubt,
            reach: ground.reach,
            rode: ground.rode,
            height: depth.map(|depth| scope::height(depth, self.boat.roller_height())),
            wind: self.wind.mean_speed(tick),
            wind_ahead: self.wind.ahead(tick),
            settled: self.phase == Phase::Set,
        };
        let marked = Marked {
            at: mark.position,
            doubt: mark.doubt,
            lever: mark.lever,
        };
        self.drag
            .take(tick, &marked, mark.found.as_ref(), &sighting);
        if let Some((mark, ground)) = self.second_ground(now) {
            let marked = Marked {
                at: mark.position,
                doubt: mark.doubt,
                lever: mark.lever,
            };
            let sighting = Sighting {
                reach: ground.reach,
                rode: ground.rode,
                ..sighting
            };
            self.second_drag.take(tick, &marked, None, &sighting);
        }
    }

    pub(super) fn take_link(&mut self, now: Now, link: LinkState) -> bool {
        let changed = self.link != link;
        if changed && matches!(link, LinkState::Down(_)) {
            // What comes first after this may be the server's cache, and comes before `Up`.
            self.freshness.link_renewed();
        }
        if matches!(self.link, LinkState::Down(_)) && !matches!(link, LinkState::Down(_)) {
            // Sensors need a moment to be heard again; but a link that comes and goes buys no
            // second moment.
            let spent = self
                .grace
                .is_some_and(|at| now.tick.since(at) < GRACE_AGAIN);
            if !spent {
                self.grace = Some(now.tick);
            }
        }
        if link != LinkState::Up {
            self.trouble_since.get_or_insert(now.tick);
            self.up_since = None;
        } else if self.up_since.is_none() {
            self.up_since = Some(now.tick);
        }
        self.link = link;
        changed
    }
}

/// She yaws by this and more at the edge of a circle.
const SWING_HYSTERESIS: Metres = Metres::of(5.0);
/// So far she may have fallen back before somebody made the mark. Chosen: half a boat's length and
/// the way of some seconds.
const LATE_MARK: Metres = Metres::of(10.0);
const GRACE_AGAIN: Duration = Duration::from_mins(10);
/// A mark farther away than this is no mark of this anchorage: the fix is wrong, or the watch
/// was carried off without being told.
const FARTHEST: Metres = Metres::of(10_000.0);
