//! Positions: which of them is a fix, how old the last one is, and when the watch is blind. Hazard
//! `position`.
//!
//! [`intake`] chooses a receiver and judges its fixes. This module keeps the last fix, compares it
//! with the anchor's position, and judges its age.

pub mod intake;

use std::time::Duration;

use serde_json::json;

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::geodesy::{Offset, Position};
use crate::observation::{Fact, Label};
use crate::speech::Sentence;
use crate::speech::alerts::{Alert, NoFix};
use crate::speech::notes::Note;
use crate::speech::remarks::{Doubt, Remark};
use crate::time::{Now, Tick, Timestamp};
use crate::units::Metres;
use crate::watch::fix::intake::{Fault, Fix, Intake, Motion, Verdict, leap};
use crate::watch::judgement::{Judged, at_anchor, centimetres, finding};
use crate::watch::settings::WatchSettings;

/// Keeps the last fix.
#[derive(Clone, Debug)]
pub struct Fixes {
    intake: Intake,
    lost_after: Duration,
    last: Option<Fix>,
    fault: Option<Fault>,
    /// When there last was a fix, or when the watch began.
    heard: Tick,
}

/// The result of judging a position.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken {
    /// The position is the current fix.
    pub is_fix: bool,
    /// Another receiver took over.
    pub note: Option<Note>,
}

impl Fixes {
    /// Starts without a fix.
    #[must_use]
    pub fn new(now: Tick, settings: &WatchSettings) -> Self {
        Self {
            intake: Intake::new(settings),
            lost_after: settings.lost_after,
            last: None,
            fault: None,
            heard: now,
        }
    }

    /// Takes what a receiver reports apart from the position: the quality of its fixes, and its velocity.
    /// Other facts are ignored.
    pub fn take_quality(&mut self, now: Tick, source: &Label, fact: &Fact) {
        if matches!(
            fact,
            Fact::FixMethod(_)
                | Fact::FixIntegrity(_)
                | Fact::Satellites(_)
                | Fact::HorizontalDilution(_)
                | Fact::SpeedOverGround(_)
                | Fact::CourseOverGround(_)
        ) {
            self.intake.take_quality(now, source, fact);
            self.last = self.last.filter(|fix| !self.intake.takes_back(fact, fix));
        }
    }

    /// Takes a new position, with the position of the anchor while it is down.
    pub fn take(
        &mut self,
        now: Tick,
        source: &Label,
        position: Option<Position>,
        motion: &Motion,
        anchor: Option<Position>,
    ) -> Taken {
        // Jumps are judged more strictly with the anchor down.
        self.intake.set_anchored(anchor.is_some());
        let before = self.intake.source().cloned();
        match self.intake.take_position(now, source, position, motion) {
            Verdict::Spare => Taken::default(),
            Verdict::Refused(fault) => {
                // What was accepted as fixes since its coordinates stopped changing was wrong.
                if let Fault::Frozen(alike) = &fault {
                    self.heard = self.heard.min(now - *alike);
                }
                self.fault = Some(fault);
                Taken::default()
            }
            Verdict::Fix(fix) => {
                let note = before
                    .filter(|before| self.intake.source() != Some(before))
                    .map(|before| Note::OtherReceiver {
                        source: source.to_string(),
                        before: before.to_string(),
                        apart: fix.doubt,
                    });
                let away = anchor.map(|anchor| anchor.distance_to(fix.antenna));
                let elsewhere = away.filter(|away| *away > FARTHEST);
                self.fault = elsewhere
                    .map(Fault::Jump)
                    .or_else(|| fix.leapt.map(|shift| Fault::Leap(shift.length())))
                    .or_else(|| fix.disagrees.map(Fault::Disagrees));
                let is_fix = elsewhere.is_none();
                if is_fix {
                    self.last = Some(fix);
                }
                // A position that leapt is heard, too: the leap is shown, and a silence after it counts as one.
                if matches!(self.fault, None | Some(Fault::Leap(_))) {
                    self.heard = now;
                }
                Taken { is_fix, note }
            }
        }
    }

    /// Velocity over the ground from the receiver in use, in metres a second towards east and north, unless it
    /// repeats itself or differs too much from the positions.
    #[must_use]
    pub fn velocity(&self, now: Tick) -> Option<Offset> {
        self.intake.velocity(now)
    }

    /// The last fix, if it is recent.
    #[must_use]
    pub fn recent(&self, now: Tick) -> Option<Fix> {
        self.last
            .filter(|fix| now.since(fix.at) <= self.lost_after())
    }

    /// When there last was a fix.
    #[must_use]
    pub fn last_at(&self) -> Option<Tick> {
        self.last.map(|fix| fix.at)
    }

    /// Was there ever a fix, however long ago?
    #[must_use]
    pub const fn any(&self) -> bool {
        self.last.is_some()
    }

    /// The usual interval between fixes; zero if it is not known.
    #[must_use]
    pub fn interval(&self) -> Duration {
        self.intake.interval().unwrap_or_default()
    }

    /// After how long without a fix the watch counts as blind. Slow receivers get longer: three and a half of
    /// their own intervals. The slowest, whose reports are a minute and more apart, get two and a quarter, so that
    /// one report may be lost. No receiver gets more than [`LONGEST_LOST`].
    #[must_use]
    pub fn lost_after(&self) -> Duration {
        let usual = self.interval();
        let slow = (usual * 7 / 2).min(SLOWEST_LOST).max(usual * 9 / 4);
        self.lost_after.max(slow.min(LONGEST_LOST))
    }

    /// Positions arrive so seldom that a drag is noticed late.
    #[must_use]
    pub fn seldom(&self) -> Option<Remark> {
        let every = Duration::from_secs((self.interval() + Duration::from_millis(500)).as_secs());
        (every >= SELDOM).then_some(Remark::Seldom { every })
    }

    /// The receiver in use.
    #[must_use]
    pub fn source(&self) -> Option<&Label> {
        self.intake.source()
    }

    /// Why the fix is doubtful; empty if it is not.
    #[must_use]
    pub fn doubts(&self, now: Tick) -> Vec<Doubt> {
        self.intake.doubts(now)
    }

    /// Why there is no fix.
    #[must_use]
    pub fn why_none(&self, now: Tick) -> NoFix {
        match (&self.fault, self.last) {
            (Some(fault), None) => fault.told(),
            (Some(fault), _) if !matches!(fault, Fault::Leap(_)) => fault.told(),
            (_, Some(fix)) => NoFix::Old {
                age: now.since(fix.at),
            },
            (None, None) => NoFix::NoData,
        }
    }

    /// Judges the hazard. During a moment of grace nothing new is reported.
    #[must_use]
    pub fn judge(&self, now: Now, anchored: bool, in_grace: bool) -> Judged {
        let silent = now.tick.since(self.heard);
        let leapt = match self.fault {
            Some(Fault::Leap(by)) => Some(by),
            _ => None,
        };
        if silent <= self.lost_after() {
            return match self.leaps(now.tick, anchored, leapt) {
                Some(_) if in_grace => Judged::Unchanged,
                Some(leaps) => Judged::Stands(leaps),
                None if self.any() => Judged::Gone,
                None => Judged::Unchanged,
            };
        }
        if in_grace {
            return Judged::Unchanged;
        }
        let since = now.utc_of(self.heard);
        let fault = self.fault.as_ref().filter(|_| leapt.is_none());
        Judged::Stands(blind(anchored, silent, since, fault))
    }

    /// The position has leapt: shown at once. If it leaps again and again, that is an alarm, because drag is then judged
    /// from places that are half of them wrong.
    fn leaps(&self, now: Tick, anchored: bool, leapt: Option<Metres>) -> Option<Finding<Sentence>> {
        let count = self.intake.leaps(now);
        if anchored && count >= MANY_LEAPS {
            let (count, within) = (count as u64, leap::LATELY);
            let told = Alert::PositionJumps { count, within };
            let evidence = json!({ "jumps": count });
            return Some(finding(Priority::Alarm, count as f64, told, evidence));
        }
        let by = leapt?;
        let told = Alert::PositionJumped {
            by,
            held: leap::HELD,
        };
        let evidence = json!({ "jumped": centimetres(by) });
        Some(finding(Priority::Caution, by.get(), told, evidence))
    }
}

/// There is no usable fix. The sentence gives the time of day since when, because it may be read at
/// any later time.
fn blind(
    anchored: bool,
    silent: Duration,
    since: Timestamp,
    fault: Option<&Fault>,
) -> Finding<Sentence> {
    let why = fault.map_or(NoFix::NoData, Fault::told).into();
    finding(
        at_anchor(anchored, Priority::Alarm),
        // Blindness gets worse by the minute.
        silent.as_secs_f64() / 60.0,
        match fault {
            Some(Fault::Disagrees(_)) if anchored => Alert::PositionInDoubt { since, why },
            _ => Alert::NoPosition {
                since,
                why,
                anchored,
            },
        },
        json!({ "blindFor": silent.as_secs() }),
    )
}

/// 95 % of a circular normal error lie within 2.448 standard deviations of a coordinate
/// (Rayleigh distribution, sqrt(-2 ln 0.05)).
pub const TWO_D_95: f64 = 2.448;
/// So many leaps lately put the receiver in doubt: one is a reflection, and a second may be its way back.
const MANY_LEAPS: usize = 3;
const SLOWEST_LOST: Duration = Duration::from_mins(2);
/// A transponder at anchor reports every three minutes (ITU-R M.1371-5, annex 1, table 1); two of its reports must not
/// be lost.
const LONGEST_LOST: Duration = Duration::from_secs(450);
/// Three fixes are needed to see a drag: from this interval on that is half a minute.
const SELDOM: Duration = Duration::from_secs(8);
/// A mark farther away than this does not belong to this anchorage: the fix is wrong, or the watch
/// was carried away without an order.
const FARTHEST: Metres = Metres::of(10_000.0);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::observation::FixMethod;

    #[test]
    fn blindness_says_since_when_why_and_what_it_costs() {
        let fault = Fault::Method(FixMethod::NoFix);
        let told = |anchored| {
            let since = Timestamp::EPOCH;
            blind(anchored, Duration::from_secs(45), since, Some(&fault))
        };
        assert_eq!(
            told(true).message.english(),
            "no usable position since 00:00 UTC: the receiver says it has no fix; drag cannot be detected, keep a lookout"
        );
        assert_eq!(told(true).priority, Priority::Alarm);
        assert_eq!(told(false).priority, Priority::Caution);
    }

    #[test]
    fn blindness_gets_worse_by_the_minute() {
        let severity = |seconds| {
            let silent = Duration::from_secs(seconds);
            blind(true, silent, Timestamp::EPOCH, None).severity
        };
        assert!((severity(90) - 1.5).abs() < 1e-9 && (severity(600) - 10.0).abs() < 1e-9);
    }

    /// A leap is no reason by itself: the last fix is a minute old. Every other fault is.
    #[test]
    fn the_reason_for_no_fix_is_the_fault_of_the_receiver() {
        let last = Fix {
            at: Tick::from_secs(40),
            antenna: Position::of(59.8539, 23.26),
            sigma: Metres::of(2.5),
            doubt: Metres::ZERO,
            disagrees: None,
            leapt: None,
            stays: false,
        };
        let why = |fault: Option<Fault>, last: Option<Fix>| {
            let mut fixes = Fixes::new(Tick::START, &WatchSettings::default());
            (fixes.fault, fixes.last) = (fault, last);
            fixes.why_none(Tick::from_secs(100))
        };
        let age = Duration::from_secs(60);
        let leap = Fault::Leap(Metres::of(80.0));
        assert_eq!(why(None, None), NoFix::NoData);
        assert_eq!(why(None, Some(last)), NoFix::Old { age });
        assert_eq!(why(Some(leap.clone()), Some(last)), NoFix::Old { age });
        assert_eq!(why(Some(leap.clone()), None), leap.told());
        assert_eq!(why(Some(Fault::Empty), Some(last)), NoFix::Empty);
    }
}
