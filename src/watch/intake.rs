//! The intake of fixes: which of the many positions on the network is a fix, and whose.
//!
//! **One receiver.** The first that gives a usable fix is kept. Another takes over only when the
//! one kept has given no usable fix for `failover_after`
//! (or three of its own intervals, if that is longer); it then stays, so that two receivers
//! never alternate. A preferred source, where the configuration names one, takes over from any
//! other as soon as it has been usable for `PREFERRED_STEADY`. At each change the distance
//! between the two receivers' last fixes becomes doubt about the new one.
//!
//! **Not a fix**: a repeated or cached value (see [`freshness`](super::freshness)); `null`;
//! nought north nought east; a method that is no satellite fix ("no GPS", dead reckoning, typed
//! in, simulated, error) said by the same source; an integrity of "Unsafe"; frozen coordinates;
//! an impossible jump.
//!
//! **Frozen**: a receiver that hangs repeats its last coordinates with fresh stamps. But a good
//! receiver that lies still may pin its position for a quarter of an hour (13 minutes in one of
//! the reference recordings), and a coarse format has few digits. So coordinates alike to the
//! last digit count as frozen only when something contradicts them (the speed over the ground
//! stays above `FROZEN_SPEED`, or the heading turned by [`FROZEN_TURN_DEGREES`] on a boat whose antenna
//! is not at her turning point), or after `FROZEN_ANYWAY`.
//!
//! **Jump**: a fix farther from the last good one than `JUMP_ROOM` plus what a boat can run at
//! `JUMP_SPEED` in the time between. It is not believed before it has become possible: a
//! thousand miles take a day, and that long the crew is told that the position jumped. With the
//! anchor aweigh there is nothing to protect, and ten fixes that agree are believed.
//!
//! Weakness: a receiver that drifts smoothly away is believed; only the crew's eyes or a second
//! receiver could tell.

use std::collections::BTreeMap;
use std::time::Duration;

use crate::geodesy::Position;
use crate::observation::{Fact, FixIntegrity, FixMethod, Label};
use crate::stats::Running;
use crate::time::Tick;
use crate::units::{Bearing, Metres, Speed};
use crate::watch::settings::WatchSettings;

/// A position that is taken to be a fix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fix {
    /// When it came.
    pub at: Tick,
    /// The antenna.
    pub antenna: Position,
    /// One standard deviation a coordinate, from the settings, the receiver's dilution and the
    /// scatter seen.
    pub sigma: Metres,
    /// Offset that a change of receiver may have brought in.
    pub doubt: Metres,
}

/// What became of a position.
#[derive(Clone, Debug, PartialEq)]
pub enum Verdict {
    /// A fix of the receiver that is kept.
    Fix(Fix),
    /// A good fix, but of a receiver that is not the one kept.
    Spare,
    /// Not a fix.
    Refused(Fault),
}

/// Why a position is not a fix.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// `null`, or coordinates that cannot be.
    Empty,
    /// Nought north, nought east.
    NullIsland,
    /// The receiver says how it came by it, and that is no satellite fix.
    Method(FixMethod),
    /// The receiver itself calls it unsafe.
    Unsafe,
    /// The same coordinates for this long though the boat moves.
    Frozen(Duration),
    /// This far from the last good fix.
    Jump(Metres),
}

impl Fault {
    /// In words that complete "no usable position: …".
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::Empty => "the receiver sends none".to_owned(),
            Self::NullIsland => "the receiver sends 0° N 0° E".to_owned(),
            Self::Method(method) => match method {
                FixMethod::NoFix => "the receiver says it has no fix",
                FixMethod::DeadReckoning => "the receiver carries on by dead reckoning",
                FixMethod::Manual => "the position is typed in by hand",
                FixMethod::Simulator => "the receiver is in simulator mode",
                FixMethod::Error => "the receiver reports an error",
                FixMethod::Satellite => "the receiver is in doubt",
            }
            .to_owned(),
            Self::Unsafe => "the receiver calls its own fix unsafe".to_owned(),
            Self::Frozen(_) => "the coordinates are frozen though the boat moves".to_owned(),
            Self::Jump(distance) => format!("it jumped by {distance}"),
        }
    }
}

/// Keeps the receivers apart and chooses one. See the module's page.
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
    still: Option<Still>,
    jumps_agreeing: u32,
    jumped_to: Option<Position>,
    interval: Running,
    scatter: Running,
    history: [Option<(Tick, Position)>; 2],
}

/// Coordinates that have not changed, and what the boat did meanwhile.
#[derive(Clone, Copy, Debug)]
struct Still {
    position: Position,
    since: Tick,
    heading: Option<Bearing>,
    turned: f64,
    moving_since: Option<Tick>,
}

/// What the rest of the boat says about her motion, to hold coordinates against.
#[derive(Clone, Copy, Debug, Default)]
pub struct Motion {
    /// Heading, true.
    pub heading: Option<Bearing>,
    /// Speed over the ground.
    pub speed: Option<Speed>,
    /// Distance from the antenna to the bow roller, about which a boat at anchor turns.
    pub arm: Metres,
}

impl Intake {
    /// With nothing known yet.
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

    /// The receiver that is kept.
    #[must_use]
    pub fn source(&self) -> Option<&Label> {
        self.kept.as_ref()
    }

    /// How often the receiver kept gives a fix.
    #[must_use]
    pub fn interval(&self) -> Option<Duration> {
        let receiver = self.receivers.get(self.kept.as_ref()?)?;
        Duration::try_from_secs_f64(receiver.interval.mean()?).ok()
    }

    /// Takes what a receiver says about the quality of its fixes.
    pub fn take_quality(&mut self, now: Tick, source: &Label, fact: &Fact) {
        let Some(receiver) = self.receiver(source) else {
            return;
        };
        match fact {
            Fact::FixMethod(v) => receiver.method = v.map(|m| (m, now)),
            Fact::FixIntegrity(v) => receiver.integrity = v.map(|i| (i, now)),
            Fact::HorizontalDilution(v) => receiver.dilution = v.map(|d| (d, now)),
            Fact::Satellites(v) => receiver.satellites = v.map(|s| (s, now)),
            _ => {}
        }
    }

    /// Judges a position that is news.
    pub fn take_position(
        &mut self,
        now: Tick,
        source: &Label,
        position: Option<Position>,
        motion: &Motion,
    ) -> Verdict {
        let anchored = self.anchored;
        let Some(receiver) = self.receiver(source) else {
            return Verdict::Spare;
        };
        if let Err(fault) = receiver.judge(now, position, motion, anchored) {
            receiver.good_since = None;
            return if self.kept.as_ref().is_none_or(|kept| kept == source) {
                Verdict::Refused(fault)
            } else {
                Verdict::Spare
            };
        }
        let Some(antenna) = position else {
            return Verdict::Refused(Fault::Empty);
        };
        receiver.accept(now, antenna);
        if !self.keep(now, source, antenna) {
            return Verdict::Spare;
        }
        Verdict::Fix(Fix {
            at: now,
            antenna,
            sigma: self.sigma(now, source),
            doubt: self.doubt,
        })
    }

    /// Is `source` the receiver kept, or does it become it?
    fn keep(&mut self, now: Tick, source: &Label, antenna: Position) -> bool {
        let Some(kept) = self.kept.clone() else {
            self.kept = Some(source.clone());
            return true;
        };
        if kept == *source {
            return true;
        }
        let last_of_kept = self.receivers.get(&kept).and_then(|r| r.last_good);
        // A receiver that speaks each half minute is not lost between two of its fixes.
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
        self.doubt = last_of_kept.map_or(Metres::ZERO, |(_, position)| {
            position.distance_to(antenna).min(MOST_DOUBT)
        });
        self.kept = Some(source.clone());
        true
    }

    /// Error of one coordinate: the settings' figure, widened by a poor geometry, few satellites
    /// and the scatter actually seen.
    fn sigma(&self, now: Tick, source: &Label) -> Metres {
        let Some(receiver) = self.receivers.get(source) else {
            return self.accuracy;
        };
        let lately = |at: Tick| now.since(at) <= QUALITY_STANDS;
        let dilution = receiver
            .dilution
            .filter(|(d, at)| lately(*at) && d.is_finite())
            .map_or(1.0, |(d, _)| (d / GOOD_DILUTION).clamp(1.0, 5.0));
        let few = receiver
            .satellites
            .filter(|(_, at)| lately(*at))
            .map_or(
                1.0,
                |(count, _)| if count < FEW_SATELLITES { 1.5 } else { 1.0 },
            );
        let scatter = receiver.scatter.mean().unwrap_or(0.0).max(0.0).sqrt();
        Metres::of((self.accuracy.get() * dilution * few).hypot(scatter))
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

impl Receiver {
    fn new() -> Self {
        Self {
            last_good: None,
            good_since: None,
            method: None,
            integrity: None,
            dilution: None,
            satellites: None,
            still: None,
            jumps_agreeing: 0,
            jumped_to: None,
            interval: Running::new(Duration::from_mins(1)),
            scatter: Running::new(Duration::from_mins(2)),
            history: [None, None],
        }
    }

    fn judge(
        &mut self,
        now: Tick,
        position: Option<Position>,
        motion: &Motion,
        anchored: bool,
    ) -> Result<(), Fault> {
        let position = position.ok_or(Fault::Empty)?;
        if position.is_null_island() {
            return Err(Fault::NullIsland);
        }
        let stands = |at: Tick| now.since(at) <= QUALITY_STANDS;
        match self.method {
            Some((FixMethod::Satellite, _)) | None => {}
            Some((method, at)) if stands(at) => return Err(Fault::Method(method)),
            Some(_) => {}
        }
        if let Some((FixIntegrity::Unsafe, at)) = self.integrity
            && stands(at)
        {
            return Err(Fault::Unsafe);
        }
        self.check_frozen(now, position, motion)?;
        self.check_jump(now, position, anchored)
    }

    fn check_frozen(
        &mut self,
        now: Tick,
        position: Position,
        motion: &Motion,
    ) -> Result<(), Fault> {
        let still = match &mut self.still {
            Some(still) if still.position == position => still,
            other => {
                *other = Some(Still {
                    position,
                    since: now,
                    heading: motion.heading,
                    turned: 0.0,
                    moving_since: None,
                });
                return Ok(());
            }
        };
        if let Some(heading) = motion.heading {
            let turn = heading.since(*still.heading.get_or_insert(heading));
            still.turned = still.turned.max(turn.get().abs());
        }
        if motion.speed.is_some_and(|speed| speed > FROZEN_SPEED) {
            still.moving_since.get_or_insert(now);
        } else {
            still.moving_since = None;
        }
        let moving = still
            .moving_since
            .is_some_and(|since| now.since(since) >= FROZEN_MOVING);
        let swung = still.turned > FROZEN_TURN_DEGREES.to_radians()
            && motion.arm > FROZEN_ARM
            && now.since(still.since) >= FROZEN_SWUNG;
        let age = now.since(still.since);
        if moving || swung || age >= FROZEN_ANYWAY {
            return Err(Fault::Frozen(age));
        }
        Ok(())
    }

    fn check_jump(&mut self, now: Tick, position: Position, anchored: bool) -> Result<(), Fault> {
        let Some((at, last)) = self.last_good else {
            return Ok(());
        };
        let distance = last.distance_to(position);
        let possible = JUMP_ROOM.get() + JUMP_SPEED.get() * now.secs_since(at);
        if distance.get() <= possible {
            self.jumps_agreeing = 0;
            return Ok(());
        }
        let agrees = self
            .jumped_to
            .is_some_and(|there| there.distance_to(position).get() <= JUMP_ROOM.get());
        self.jumps_agreeing = if agrees { self.jumps_agreeing + 1 } else { 1 };
        self.jumped_to = Some(position);
        if !anchored && self.jumps_agreeing >= JUMPS_BELIEVED {
            self.jumps_agreeing = 0;
            return Ok(());
        }
        Err(Fault::Jump(distance))
    }

    fn accept(&mut self, now: Tick, position: Position) {
        if let Some((at, _)) = self.last_good {
            let step = now.secs_since(at);
            if step > 0.0 && step < 300.0 {
                self.interval.push(now, step);
            }
        }
        // The second difference of three fixes takes out steady motion; for independent errors
        // its variance is six times that of one fix.
        if let [Some((_, middle)), Some((first_at, first))] = self.history
            && now.since(first_at) <= SCATTER_SPAN
        {
            let half = first.distance_to(position) * 0.5;
            let halfway = first.moved(first.bearing_to(position), half);
            let off = middle.distance_to(halfway).get() * 2.0;
            // Two coordinates share the squared distance.
            self.scatter.push(now, (off * off / 12.0).min(MOST_SCATTER));
        }
        self.history = [Some((now, position)), self.history[0]];
        self.last_good = Some((now, position));
        self.good_since.get_or_insert(now);
    }
}

/// A method or an integrity stands this long after it was last said.
const QUALITY_STANDS: Duration = Duration::from_mins(1);
const PREFERRED_STEADY: Duration = Duration::from_mins(1);
const GOOD_DILUTION: f64 = 2.0;
const FEW_SATELLITES: u32 = 5;
const FROZEN_SPEED: Speed = Speed::of(0.5);
const FROZEN_MOVING: Duration = Duration::from_secs(30);
const FROZEN_SWUNG: Duration = Duration::from_mins(2);
const FROZEN_ARM: Metres = Metres::of(4.0);
const FROZEN_ANYWAY: Duration = Duration::from_mins(20);
const JUMP_ROOM: Metres = Metres::of(40.0);
const JUMP_SPEED: Speed = Speed::of(12.0);
const JUMPS_BELIEVED: u32 = 10;
const MOST_DOUBT: Metres = Metres::of(20.0);
const MOST_RECEIVERS: usize = 16;
const MOST_SCATTER: f64 = 100.0;
const SCATTER_SPAN: Duration = Duration::from_secs(5);
const FROZEN_TURN_DEGREES: f64 = 45.0;

#[cfg(test)]
mod tests;
