//! What is known at one moment, put together once and handed to every judgement.
//!
//! [`Seen`] is what the sensors say, [`Round`] adds how she lies and the tide to come. Both are plain
//! values: who is handed one can read it and change nothing.

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

/// Where the boat is by the last fix.
#[derive(Clone, Copy, Debug)]
pub struct Here {
    /// The bow roller.
    pub roller: Position,
    /// Her centre.
    pub centre: Position,
    /// How far these may be off because heading or offsets are not known.
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

/// What the sensors say at a moment.
#[derive(Clone, Debug)]
pub struct Seen {
    /// The moment.
    pub now: Now,
    /// The watch's settings.
    pub settings: Arc<WatchSettings>,
    /// The boat, by configuration and server.
    pub boat: Boat,
    /// Where she is, if the last fix is recent.
    pub here: Option<Here>,
    /// How often there is a fix, as a rule.
    pub fix_interval: Duration,
    /// How long without a fix counts as blind.
    pub lost_after: Duration,
    /// Where she heads, true.
    pub heading: Option<Bearing>,
    /// Over the ground, m/s.
    pub velocity: Option<Offset>,
    /// Over the ground.
    pub speed: Option<Speed>,
    /// Depth of water.
    pub depth: Option<Metres>,
    /// The same as it was sounded last, however long ago, and when.
    pub sounded: Option<(Tick, Metres)>,
    /// The engine's revolutions.
    pub revolutions: Option<Hertz>,
    /// What the windlass' counter says.
    pub counter: Option<Counted>,
    /// Mean wind.
    pub wind: Option<Speed>,
    /// Wind of this moment.
    pub wind_now: Option<Speed>,
    /// Mean cosine of its angle from the bow.
    pub wind_ahead: Option<f64>,
}

impl Seen {
    /// Where she is by a fix of this moment, fit to mark the anchor with.
    #[must_use]
    pub fn fresh_here(&self) -> Option<Here> {
        let slow = self.fix_interval * 5 / 4;
        self.here
            .filter(|here| self.now.tick.since(here.fix.at) <= self.settings.max_age.max(slow))
    }

    /// Where she is measured from when her place is told.
    #[must_use]
    pub fn measured_from(&self) -> MeasuredFrom {
        if self.heading.is_some() && self.boat.figures().antenna_from_bow.is_some() {
            MeasuredFrom::BowRoller
        } else {
            MeasuredFrom::Antenna
        }
    }

    /// When the last fix was, if it is not of this moment.
    #[must_use]
    pub fn unseen_since(&self) -> Option<Timestamp> {
        let old = self.here.filter(|_| self.fresh_here().is_none())?;
        Some(self.now.utc_of(old.fix.at))
    }
}

/// Everything one round of judgements knows.
#[derive(Clone, Debug)]
pub struct Round {
    /// What the sensors say.
    pub seen: Seen,
    /// Where the anchor is in its life.
    pub phase: AnchorPhase,
    /// How she lies, while the anchor is down.
    pub lies: Option<Lies>,
    /// The tide to come.
    pub tide: Option<Tide>,
}

impl Round {
    /// Is the anchor down?
    #[must_use]
    pub const fn anchored(&self) -> bool {
        self.phase.is_anchored()
    }
}
