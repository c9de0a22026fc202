//! What is known at one moment, compiled once and passed to every judgement.
//!
//! [`Seen`] is what the sensors report; [`Round`] adds how she lies and the coming tide. Both are
//! plain values: a judgement that receives one can read it and change nothing.

use std::sync::Arc;
use std::time::Duration;

use crate::boat::Boat;
use crate::geodesy::{Offset, Position};
use crate::tackle::water::Tide;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Bearing, Hertz, Metres, Speed};
use crate::watch::anchorage::Lies;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::counter::Counted;
use crate::watch::fix::intake::Fix;
use crate::watch::settings::WatchSettings;
use crate::watch::state::MeasuredFrom;

/// Position of the boat by the last fix.
#[derive(Clone, Copy, Debug)]
pub struct Here {
    /// The bow roller.
    pub roller: Position,
    /// Her centre.
    pub centre: Position,
    /// How far these two may be off because heading or offsets are not known.
    pub lever_doubt: Metres,
    /// The fix.
    pub fix: Fix,
}

impl Here {
    /// From the roller.
    #[must_use]
    pub fn distance(&self, to: Position) -> Metres {
        self.roller.distance_to(to)
    }
}

/// What the sensors report at one moment.
#[derive(Clone, Debug)]
pub struct Seen {
    /// The time of the round.
    pub now: Now,
    /// The watch's settings.
    pub settings: Arc<WatchSettings>,
    /// The boat's dimensions, by configuration and server.
    pub boat: Boat,
    /// Her position, if the last fix is recent.
    pub here: Option<Here>,
    /// The usual interval between fixes.
    pub fix_interval: Duration,
    /// How long without a fix counts as blind.
    pub lost_after: Duration,
    /// Her heading, true.
    pub heading: Option<Bearing>,
    /// Velocity over the ground, m/s.
    pub velocity: Option<Offset>,
    /// Speed over the ground.
    pub speed: Option<Speed>,
    /// Depth of water.
    pub depth: Option<Metres>,
    /// The depth of water as it was last sounded, however long ago, and when.
    pub sounded: Option<(Tick, Metres)>,
    /// The engine's revolutions.
    pub revolutions: Option<Hertz>,
    /// The reading of the windlass' counter.
    pub counter: Option<Counted>,
    /// Mean wind.
    pub wind: Option<Speed>,
    /// Current wind.
    pub wind_now: Option<Speed>,
    /// Mean cosine of the wind's angle from the bow.
    pub wind_ahead: Option<f64>,
}

impl Seen {
    /// Her position by a current fix that is fit to mark the anchor with.
    #[must_use]
    pub fn fresh_here(&self) -> Option<Here> {
        let slow = self.fix_interval * 5 / 4;
        self.here
            .filter(|here| self.now.tick.since(here.fix.at) <= self.settings.max_age.max(slow))
    }

    /// The point that is measured from when her position is reported.
    #[must_use]
    pub fn measured_from(&self) -> MeasuredFrom {
        if self.heading.is_some() && self.boat.figures().antenna_from_bow.is_some() {
            MeasuredFrom::BowRoller
        } else {
            MeasuredFrom::Antenna
        }
    }

    /// The time of the last fix, if it is not current.
    #[must_use]
    pub fn unseen_since(&self) -> Option<Timestamp> {
        let old = self.here.filter(|_| self.fresh_here().is_none())?;
        Some(self.now.utc_of(old.fix.at))
    }
}

/// Everything that one round of judgements has to go by.
#[derive(Clone, Debug)]
pub struct Round {
    /// What the sensors report.
    pub seen: Seen,
    /// The phase of the anchor.
    pub phase: AnchorPhase,
    /// How she lies, while the anchor is down.
    pub lies: Option<Lies>,
    /// The coming tide.
    pub tide: Option<Tide>,
}

impl Round {
    /// Is the anchor down?
    #[must_use]
    pub const fn anchored(&self) -> bool {
        self.phase.is_anchored()
    }
}

#[cfg(test)]
impl Here {
    /// Antenna and roller at one place, with an ordinary fix.
    pub(super) fn lying(now: Tick, at: Position, lever_doubt: Metres) -> Self {
        Self {
            roller: at,
            centre: at,
            lever_doubt,
            fix: Fix {
                at: now,
                antenna: at,
                sigma: Metres::of(2.5),
                doubt: Metres::ZERO,
                disagrees: None,
                leapt: None,
                stays: false,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::time::Duration;

    use super::*;
    use crate::time::Tick;
    use crate::watch::sensors::Sensors;
    use crate::watch::wind::WindWatch;

    /// Figures from an old fix are reported with the time of it. A fix counts for ten seconds, or for one and a quarter
    /// intervals of a receiver that reports seldom.
    #[test]
    fn a_position_that_is_not_current_is_reported_with_its_time() {
        let settings = WatchSettings::default();
        let start = Now::new(
            Tick::from_secs(100),
            Timestamp::from_millis(1_780_000_000_000),
        );
        let sensors = Sensors::new(start.tick, &settings);
        let wind = WindWatch::new(&settings);
        let mut seen = sensors.seen(start, &Arc::new(settings), &wind);
        assert_eq!(seen.unseen_since(), None, "never seen");
        let at = Position::of(59.8539, 23.26);
        seen.here = Some(Here::lying(start.tick, at, Metres::ZERO));
        let mut since = |seconds: u64, interval: u64| {
            seen.now = start.plus(Duration::from_secs(seconds));
            seen.fix_interval = Duration::from_secs(interval);
            seen.unseen_since()
        };
        assert_eq!((since(9, 1), since(11, 1)), (None, Some(start.utc)));
        assert_eq!((since(49, 40), since(51, 40)), (None, Some(start.utc)));
    }
}
