//! The intake of fixes: decides which of the many positions on the network is a fix, and of which
//! receiver.
//!
//! **One receiver.** The first receiver that gives a usable fix is kept. Another takes over only
//! when the kept one has given no usable fix for `failover_after` (or three of its own intervals,
//! if that is longer). It then stays, so that two receivers never alternate. A preferred source,
//! where the configuration names one, takes over from any other as soon as it has been usable for
//! `PREFERRED_STEADY`. At each change the distance between the two receivers, measured while both
//! were heard within two seconds of each other, is added as doubt about the new one. If it was
//! never measured, `UNMEASURED_DOUBT` is added.
//!
//! **Not a fix**: a repeated or cached value (see [`freshness`](crate::watch::freshness)); `null`;
//! 0° N 0° E; a fix by another method than satellites ("no GPS", dead reckoning, typed in, simulated,
//! error); an integrity of "Unsafe"; frozen coordinates; an impossible jump.
//!
//! **What the receiver reports about its fix** applies to all positions after it, until the next such report. The
//! data server passes on the coordinates of an RMC sentence with status V as if they were valid, and before the GGA
//! sentence that says "no GPS". Two rules therefore apply to a receiver that reports its method. After a silence, its
//! positions count only once it has reported the method again, or after [`WORD_WAIT`](receiver) if they differ from
//! the last one. Coordinates that have not changed since its last report, more than [`QUALITY_STANDS`](receiver) ago,
//! do not count. An NMEA 0183 receiver may speak under several talkers, RMC as `GP` and GGA as `GN`: a source that
//! never reports its method uses the report of the other satellite talkers on its connection (see [`quality`]).
//! Tests: `a_stale_position_after_a_silence_waits_for_the_receivers_word`,
//! `the_word_of_one_talker_counts_for_the_other`.
//!
//! **Frozen**: a receiver that hangs repeats its last coordinates with fresh stamps. But a good receiver at rest may
//! repeat its position for a quarter of an hour (13 minutes in one of the reference recordings), and a coarse format
//! has few digits. So coordinates that are identical to the last digit count as frozen only in these cases. Something
//! contradicts them: the speed over the ground stays above `FROZEN_SPEED`, or the heading has turned by
//! [`FROZEN_TURN_DEGREES`] on a boat whose antenna is not at her turning point. Or everything the receiver sends is
//! frozen: at anchor, the coordinates have been identical for at least two minutes and ten times as long as ever before
//! there, while satellites, dilution, speed and course keep arriving and have not changed for as long either ([`Run`]).
//! Or `FROZEN_ANYWAY` has passed. Two reference recordings of a receiver that pins its position
//! (`adsb_east_gstar4_usb`, `adsb_west_gstar4_usb`) have pins of 33 to 807 s; in none of them did satellites and
//! dilution stay the same for more than 41 s. Test: `a_receiver_that_repeats_all_it_says_is_frozen`.
//!
//! A third kind hangs with the speed of its last report: position, course and a speed above zero are the same to the last
//! digit for 20 s, ten reports, and ten times as long as ever before at anchor. A receiver that pins its position says that
//! she lies still: its speed is zero (in three hours of a boat's logs from three days, positions are pinned for up to 471 s, always with
//! a speed of zero; with a speed above zero no three values were the same for more than 3 reports). From 4 reports on the
//! speed is not used. Weakness: a receiver that hangs with a speed of exactly zero, while its satellites still change, is
//! distinguished from one that pins its position only by the heading, or after 20 minutes. Test:
//! `a_receiver_that_repeats_a_speed_above_zero_with_its_position_hangs`.
//!
//! **Leap**: a step that no boat at anchor can make: see [`leap`]. It is shown at once, and drag is judged without it for a
//! bounded time.
//!
//! **Jump**: a fix farther from the last good one than `JUMP_ROOM` plus the distance a boat can
//! cover at `JUMP_SPEED` in the time between. The new place is not believed until the boat could
//! have reached it: a thousand miles take a day, and for that long the crew is told that the
//! position jumped. With the anchor aweigh there is nothing to protect, and ten fixes that agree
//! are believed.
//!
//! **Positions and speed that contradict each other**, at anchor: see [`trust`]. Positions are compared
//! only with the speed from the same source. Both are then in doubt: the fix gets an extra error of half
//! the difference, it does not count as a good fix, and the crew is told. Test:
//! `a_speed_that_is_stuck_does_not_hide_a_drag`.
//!
//! A fix may also be doubtful: see [`quality`].
//!
//! Weakness: a receiver that drifts away smoothly is believed; only the crew's eyes or a second
//! receiver could reveal it.

pub(in crate::watch) mod leap;
mod quality;
mod receiver;
mod trust;

use std::collections::BTreeMap;
use std::time::Duration;

use self::leap::Leaps;
use self::trust::Trust;
use crate::geodesy::{Offset, Position};
use crate::observation::{FixIntegrity, FixMethod, Label};
use crate::speech::alerts::NoFix;
use crate::stats::Running;
use crate::time::Tick;
use crate::units::{Bearing, Metres, Speed};
use crate::watch::instruments::hearing::Run;
use crate::watch::settings::WatchSettings;

/// A position that is accepted as a fix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fix {
    /// When the position arrived.
    pub at: Tick,
    /// The position of the antenna.
    pub antenna: Position,
    /// One standard deviation per coordinate, from the settings, the receiver's dilution and the
    /// observed scatter.
    pub sigma: Metres,
    /// The offset that a change of receiver may have introduced.
    pub doubt: Metres,
    /// By how much the positions and the speed of this receiver contradict each other.
    pub disagrees: Option<Metres>,
    /// How far the position has leapt: a step that no boat can make, not yet confirmed.
    pub leapt: Option<Offset>,
    /// It has leapt lately, and has stayed.
    pub stays: bool,
}

impl Fix {
    /// Where the antenna would be if the position had not leapt.
    #[must_use]
    pub fn without_leap(&self) -> Position {
        leap::without(self.antenna, self.leapt)
    }
}

/// The result of judging a position.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// A fix of the receiver in use.
    Fix(Fix),
    /// A good fix, but of a receiver that is not in use.
    Spare,
    /// Not a fix.
    Refused(Fault),
}

/// Why a position is not a fix.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// `null`, or impossible coordinates.
    Empty,
    /// Zero north, zero east.
    NullIsland,
    /// The receiver reports its method, and it is not a satellite fix.
    Method(FixMethod),
    /// The receiver usually reports whether it has a fix, and has not done so now.
    Unsaid,
    /// The receiver itself calls the fix unsafe.
    Unsafe,
    /// The coordinates have not changed for this long although the boat moves.
    Frozen(Duration),
    /// This far from the last good fix.
    Jump(Metres),
    /// A step of this length that no boat can make, not yet confirmed.
    Leap(Metres),
    /// Positions and speed over the ground differ by this much in half a minute.
    Disagrees(Metres),
    /// The position wanders by this much in ten seconds, with poor reception.
    Wanders(Metres),
}

impl Fault {
    /// Completes the sentence "no usable position: …".
    #[must_use]
    pub const fn told(&self) -> NoFix {
        match self {
            Self::Empty => NoFix::Empty,
            Self::NullIsland => NoFix::NullIsland,
            Self::Method(method) => NoFix::Method { method: *method },
            Self::Unsaid => NoFix::Unsaid,
            Self::Unsafe => NoFix::Unsafe,
            Self::Frozen(_) => NoFix::Frozen,
            Self::Jump(by) | Self::Leap(by) => NoFix::Jump { by: *by },
            Self::Disagrees(by) => NoFix::Disagrees { by: *by },
            Self::Wanders(by) => NoFix::Wanders { by: *by },
        }
    }
}

/// Keeps the receivers apart and chooses one. See the module documentation.
#[derive(Clone, Debug)]
pub struct Intake {
    accuracy: Metres,
    failover_after: Duration,
    preferred: Option<Label>,
    receivers: BTreeMap<Label, Receiver>,
    kept: Option<Label>,
    doubt: Metres,
    anchored: bool,
}

#[derive(Clone, Debug)]
struct Receiver {
    last_good: Option<(Tick, Position)>,
    good_since: Option<Tick>,
    method: Option<(FixMethod, Tick)>,
    integrity: Option<(FixIntegrity, Tick)>,
    dilution: Option<(f64, Tick)>,
    satellites: Option<(u32, Tick)>,
    speed: Option<(Speed, Tick)>,
    course: Option<(Bearing, Tick)>,
    /// The last coordinates, usable or not.
    heard: Option<Tick>,
    /// When coordinates arrived again after a silence.
    resumed: Option<Tick>,
    /// When the receiver, or its companion, last reported that it has a fix.
    vouched: Option<Tick>,
    /// When any value other than the position last changed.
    lived: Option<Tick>,
    still: Option<Still>,
    /// For how long its coordinates have been identical, at anchor.
    run: Run<Position>,
    jumps_agreeing: u32,
    jumped_to: Option<Position>,
    interval: Running,
    /// From the fixes of the receiver in use.
    apart: Running,
    scatter: Running,
    history: [Option<(Tick, Position)>; 2],
    trust: Trust,
    leaps: Leaps,
    /// How long it has repeated position, course and a speed above zero.
    hung: Run<(Position, Speed, Option<Bearing>)>,
    /// It has repeated them for longer than usual.
    hangs: bool,
    /// How far positions and speed differ, and since when they have without a pause.
    apart_from_speed: Option<(Metres, Tick)>,
}

/// Coordinates that have not changed, and what the boat did in the meantime.
#[derive(Clone, Copy, Debug)]
struct Still {
    position: Position,
    since: Tick,
    heading: Option<Bearing>,
    turned: f64,
    moving_since: Option<Tick>,
}

/// What the boat's other instruments say about her motion, to compare coordinates with.
#[derive(Clone, Copy, Debug, Default)]
pub struct Motion {
    /// Heading, true.
    pub heading: Option<Bearing>,
    /// Distance from the antenna to the bow roller, around which a boat at anchor turns.
    pub arm: Metres,
}

/// What a receiver, or its companion, last reported apart from the position.
#[derive(Clone, Copy, Debug, Default)]
struct Word {
    method: Option<(FixMethod, Tick)>,
    /// Course and speed over the ground; the course is missing at rest.
    speed: Option<Speed>,
    course: Option<Bearing>,
    /// When the speed was last reported.
    speed_at: Option<Tick>,
    /// When satellites or dilution were last reported, and when any value other than the position
    /// last changed.
    sky: Option<Tick>,
    lived: Option<Tick>,
}

impl Intake {
    /// Starts with nothing known.
    #[must_use]
    pub fn new(settings: &WatchSettings) -> Self {
        Self {
            accuracy: settings.accuracy,
            failover_after: settings.failover_after,
            preferred: settings.preferred_source.clone(),
            receivers: BTreeMap::new(),
            kept: None,
            doubt: Metres::ZERO,
            anchored: false,
        }
    }

    /// Jumps are judged more strictly with the anchor down.
    pub fn set_anchored(&mut self, anchored: bool) {
        self.anchored = anchored;
    }

    /// The receiver in use.
    #[must_use]
    pub fn source(&self) -> Option<&Label> {
        self.kept.as_ref()
    }

    /// How often the receiver in use gives a fix.
    #[must_use]
    pub fn interval(&self) -> Option<Duration> {
        Duration::try_from_secs_f64(self.in_use()?.interval.mean()?).ok()
    }

    /// Judges a position that is new.
    pub fn take_position(
        &mut self,
        now: Tick,
        source: &Label,
        position: Option<Position>,
        motion: &Motion,
    ) -> Verdict {
        let anchored = self.anchored;
        let word = self.word(now, source);
        let Some(receiver) = self.receiver(source) else {
            return Verdict::Spare;
        };
        let judged = receiver.judge(now, position, &word, motion, anchored);
        if let Err(fault) = judged {
            receiver.good_since = None;
            if self.kept.as_ref().is_some_and(|kept| kept != source) {
                return Verdict::Spare;
            }
            // The fix is in doubt but must not be discarded; another receiver may still take over.
            return match (fault, position) {
                (Fault::Disagrees(apart), Some(antenna)) if self.kept.is_some() => {
                    Verdict::Fix(Fix {
                        disagrees: Some(apart),
                        ..self.fix(now, source, antenna)
                    })
                }
                (fault, _) => Verdict::Refused(fault),
            };
        }
        let Some(antenna) = position else {
            return Verdict::Refused(Fault::Empty);
        };
        receiver.accept(now, antenna);
        if !self.keep(now, source) {
            self.compare(now, source, antenna);
            return Verdict::Spare;
        }
        Verdict::Fix(self.fix(now, source, antenna))
    }

    fn fix(&self, now: Tick, source: &Label, antenna: Position) -> Fix {
        let leaps = self.receivers.get(source).map(|receiver| &receiver.leaps);
        Fix {
            at: now,
            antenna,
            sigma: self.sigma(now, source),
            doubt: self.doubt,
            disagrees: None,
            leapt: leaps.and_then(Leaps::shift),
            stays: leaps.is_some_and(|leaps| leaps.stays(now)),
        }
    }

    /// How often the position of the receiver in use has leapt lately.
    #[must_use]
    pub fn leaps(&self, now: Tick) -> usize {
        self.in_use()
            .map_or(0, |receiver| receiver.leaps.count(now))
    }

    /// Is `source` the receiver in use, or does it take over now?
    fn keep(&mut self, now: Tick, source: &Label) -> bool {
        let Some(kept) = self.kept.clone() else {
            self.kept = Some(source.clone());
            return true;
        };
        if kept == *source {
            return true;
        }
        let last_of_kept = self.receivers.get(&kept).and_then(|r| r.last_good);
        // A receiver that reports every half minute is not lost between two of its fixes.
        let patience = self
            .failover_after
            .max(self.interval().unwrap_or_default() * 3);
        let kept_is_lost = last_of_kept.is_none_or(|(at, _)| now.since(at) > patience);
        let preferred_is_steady = self.preferred.as_ref() == Some(source)
            && self
                .receivers
                .get(source)
                .and_then(|r| r.good_since)
                .is_some_and(|since| now.since(since) >= PREFERRED_STEADY);
        if !kept_is_lost && !preferred_is_steady {
            return false;
        }
        let measured = self
            .receivers
            .get(source)
            .and_then(|receiver| receiver.apart.mean())
            .or_else(|| self.receivers.get(&kept)?.apart.mean());
        self.doubt = measured
            .and_then(Metres::new)
            .unwrap_or(UNMEASURED_DOUBT)
            .min(MOST_DOUBT);
        self.kept = Some(source.clone());
        true
    }

    /// Measures how far a spare receiver's fixes lie from those of the one in use.
    fn compare(&mut self, now: Tick, source: &Label, antenna: Position) {
        if let Some((at, position)) = self.in_use().and_then(|receiver| receiver.last_good)
            && now.since(at) <= TOGETHER
            && let Some(receiver) = self.receivers.get_mut(source)
        {
            receiver
                .apart
                .push(now, position.distance_to(antenna).get());
        }
    }

    fn in_use(&self) -> Option<&Receiver> {
        self.receivers.get(self.kept.as_ref()?)
    }

    fn receiver(&mut self, source: &Label) -> Option<&mut Receiver> {
        if self.receivers.len() >= MOST_RECEIVERS && !self.receivers.contains_key(source) {
            return None;
        }
        Some(
            self.receivers
                .entry(source.clone())
                .or_insert_with(Receiver::new),
        )
    }
}

const PREFERRED_STEADY: Duration = Duration::from_mins(1);
const FROZEN_SPEED: Speed = Speed::of(0.5);
const FROZEN_ANYWAY: Duration = Duration::from_mins(20);
const JUMP_ROOM: Metres = Metres::of(40.0);
const JUMP_SPEED: Speed = Speed::of(12.0);
/// Two receivers on one boat that were never heard together.
const UNMEASURED_DOUBT: Metres = Metres::of(5.0);
const TOGETHER: Duration = Duration::from_secs(2);
const MOST_DOUBT: Metres = Metres::of(20.0);
const MOST_RECEIVERS: usize = 16;
const FROZEN_TURN_DEGREES: f64 = 45.0;

#[cfg(test)]
mod tests;
