//! The quality of a fix: what a receiver reports apart from its positions, how large the error of a fix is, and why it
//! is doubtful.
//!
//! A fix is **doubtful** if it has few satellites, poor geometry, "Caution" by the receiver's own
//! check, a scatter of fixes, or a smaller disagreement with the speed. It counts, with a wider
//! error, and [`Intake::doubts`] says why in words.
//!
//! Tests: `tests.rs`, `scatter_and_poor_geometry_widen_the_error`, `the_word_of_one_talker_counts_for_the_other`.

use std::time::Duration;

use super::{FROZEN_SPEED, Fix, Intake, Receiver, Word, trust};
use crate::geodesy::Offset;
use crate::observation::{Fact, FixIntegrity, FixMethod, Label};
use crate::speech::remarks::Doubt;
use crate::speech::{Depth, Ratio};
use crate::time::Tick;
use crate::units::{Bearing, Metres, Speed};

impl Intake {
    /// Takes what a receiver reports apart from the position: the quality of its fixes, and its
    /// velocity.
    pub fn take_quality(&mut self, now: Tick, source: &Label, fact: &Fact) {
        let Some(receiver) = self.receiver(source) else {
            return;
        };
        let lived = &mut receiver.lived;
        match fact {
            Fact::Satellites(v) => renew(&mut receiver.satellites, lived, now, *v),
            Fact::HorizontalDilution(v) => renew(&mut receiver.dilution, lived, now, *v),
            Fact::SpeedOverGround(v) => renew(&mut receiver.speed, lived, now, *v),
            Fact::CourseOverGround(v) => renew(&mut receiver.course, lived, now, *v),
            Fact::FixMethod(v) => receiver.method = v.map(|m| (m, now)),
            Fact::FixIntegrity(v) => receiver.integrity = v.map(|i| (i, now)),
            _ => {}
        }
    }

    /// The receiver in use now reports that the last fix was none, and had not reported anything
    /// before that fix.
    #[must_use]
    pub fn takes_back(&self, fact: &Fact, fix: &Fix) -> bool {
        let bad = matches!(fact, Fact::FixMethod(Some(method)) if *method != FixMethod::Satellite);
        let (Some(kept), Some(receiver)) = (self.kept.as_ref(), self.in_use()) else {
            return false;
        };
        let word = self.word(fix.at, kept).method;
        bad && receiver.vouched.is_none_or(|at| at < fix.at)
            && word.is_some_and(|(method, _)| method != FixMethod::Satellite)
    }

    /// Velocity over the ground from the receiver in use, in metres a second towards east and north. A reflection that
    /// shifts the position hardly affects it, so it counts while the two differ, but not if the difference is so large
    /// that neither is believed, or lasts longer than a reflection, or if the speed is exactly zero, as many receivers
    /// show it below a threshold.
    #[must_use]
    pub fn velocity(&self, now: Tick) -> Option<Offset> {
        let kept = self.kept.as_ref()?;
        let receiver = self.in_use()?;
        let word = self.word(now, kept);
        let speed = Metres::of(word.speed?.get());
        let is_wrong = receiver.apart_from_speed.is_some_and(|(by, since)| {
            by >= trust::UNUSABLE || now.since(since) >= REFLECTION || speed == Metres::ZERO
        });
        if receiver.hangs || is_wrong {
            return None;
        }
        Some(Offset::polar(word.course?, speed))
    }

    /// What a source last reported or, if it never reports, what its companions did.
    pub(super) fn word(&self, now: Tick, source: &Label) -> Word {
        Word {
            method: self.said(source, |r| r.method),
            speed: lately(now, self.said(source, |r| r.speed)),
            course: lately(now, self.said(source, |r| r.course)),
            speed_at: self.said(source, |r| r.speed).map(|(_, at)| at),
            sky: self
                .said(source, |r| r.satellites.map(|(_, at)| ((), at)))
                .or_else(|| self.said(source, |r| r.dilution.map(|(_, at)| ((), at))))
                .map(|((), at)| at),
            lived: self.lived(source),
        }
    }

    fn lived(&self, source: &Label) -> Option<Tick> {
        self.receivers
            .iter()
            .filter(|(other, _)| *other == source || is_companion(source, other))
            .filter_map(|(_, receiver)| receiver.lived)
            .max()
    }

    fn said<T: Copy>(
        &self,
        source: &Label,
        part: impl Fn(&Receiver) -> Option<(T, Tick)>,
    ) -> Option<(T, Tick)> {
        let own = self.receivers.get(source).and_then(&part);
        own.or_else(|| {
            let companions = self.receivers.iter();
            companions
                .filter(|(other, _)| is_companion(source, other))
                .filter_map(|(_, receiver)| part(receiver))
                .max_by_key(|(_, at)| *at)
        })
    }

    /// Error of one coordinate: the settings' figure, widened by poor geometry, few satellites and
    /// the observed scatter.
    pub(super) fn sigma(&self, now: Tick, source: &Label) -> Metres {
        let Some(receiver) = self.receivers.get(source) else {
            return self.accuracy;
        };
        let dilution = receiver
            .dilution_now(now)
            .map_or(1.0, |d| (d / GOOD_DILUTION).clamp(1.0, 5.0));
        let few = receiver
            .satellites_now(now)
            .map_or(1.0, |n| if n < FEW_SATELLITES { 1.5 } else { 1.0 });
        let caution = match receiver.integrity {
            Some((FixIntegrity::Caution, _)) => 2.0,
            _ => 1.0,
        };
        let apart = receiver
            .apart_from_speed
            .map_or(0.0, |(by, _)| by.get() / 2.0);
        let scatter = receiver.scatter_now().hypot(apart);
        Metres::of((self.accuracy.get() * dilution * few * caution).hypot(scatter))
    }

    /// Why the fix of the receiver in use is doubtful; empty if it is not.
    #[must_use]
    pub fn doubts(&self, now: Tick) -> Vec<Doubt> {
        let Some(receiver) = self.in_use() else {
            return Vec::new();
        };
        let mut doubts = Vec::new();
        if let Some(count) = receiver.satellites_now(now).filter(|n| *n < FEW_SATELLITES) {
            doubts.push(Doubt::Satellites {
                count: count.into(),
            });
        }
        if let Some(dilution) = receiver.dilution_now(now).filter(|d| *d >= POOR_DILUTION) {
            let dilution = Ratio(dilution);
            doubts.push(Doubt::Geometry { dilution });
        }
        if matches!(receiver.integrity, Some((FixIntegrity::Caution, _))) {
            doubts.push(Doubt::Caution);
        }
        if receiver.scatter_now() >= MUCH_SCATTER {
            let by = Depth(Metres::of(receiver.scatter_now()));
            doubts.push(Doubt::Scatter { by });
        }
        if let Some((by, _)) = receiver.apart_from_speed {
            doubts.push(Doubt::Apart { by });
        }
        doubts
    }
}

impl Word {
    /// Course and speed, or rest, at which most receivers give no course.
    pub(super) fn velocity(&self) -> Option<(Bearing, Speed)> {
        match (self.course, self.speed) {
            (Some(course), Some(speed)) => Some((course, speed)),
            (None, Some(speed)) if speed <= FROZEN_SPEED => Some((Bearing::default(), Speed::ZERO)),
            _ => None,
        }
    }
}

/// Notes a report, and whether the value differs from the one before.
fn renew<T: Copy + PartialEq>(
    last: &mut Option<(T, Tick)>,
    lived: &mut Option<Tick>,
    now: Tick,
    value: Option<T>,
) {
    if last.map(|(before, _)| before) != value {
        *lived = Some(now);
    }
    *last = value.map(|value| (value, now));
}

/// Two sources that may be one receiver: satellite talkers (IEC 61162-1, talker identifiers GP, GN, GL, GA,
/// GB, GQ, GI; BD and QZ of older receivers) on one connection of the data server.
fn is_companion(source: &Label, other: &Label) -> bool {
    let talker = |label: &Label| -> Option<(String, bool)> {
        let (connection, talker) = label.as_str().rsplit_once('.')?;
        Some((connection.to_owned(), SATELLITE_TALKERS.contains(&talker)))
    };
    talker(source).is_some_and(|(_, satellite)| satellite) && talker(source) == talker(other)
}

fn lately<T>(now: Tick, said: Option<(T, Tick)>) -> Option<T> {
    said.filter(|(_, at)| now.since(*at) <= VELOCITY_STANDS)
        .map(|(value, _)| value)
}

const SATELLITE_TALKERS: [&str; 9] = ["GP", "GN", "GL", "GA", "GB", "GQ", "GI", "BD", "QZ"];
/// As long as reports of other instruments count.
const VELOCITY_STANDS: Duration = Duration::from_secs(15);
/// A reflection lasts a minute at most (the reference figures), and its way in and out falls into the comparison.
const REFLECTION: Duration = Duration::from_secs(75);
const GOOD_DILUTION: f64 = 2.0;
pub(super) const POOR_DILUTION: f64 = 3.0;
/// Metres: a good receiver's fixes scatter by a decimetre from one second to the next, those on a
/// grid of a thousandth of a minute by 0.7 m (the reference recordings).
pub(super) const MUCH_SCATTER: f64 = 1.5;
pub(super) const FEW_SATELLITES: u32 = 5;
