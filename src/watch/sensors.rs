//! The sensors aboard: the boat's dimensions, her receivers, her instruments. Repeats are filtered out
//! here, and [`Sensors::seen`] sums up all reports at one moment.

use std::sync::Arc;

use crate::boat::Boat;
use crate::geodesy::{Plane, Position};
use crate::observation::{Fact, Label, Report};
use crate::time::{Now, Tick};
use crate::units::{Hertz, Metres};
use crate::watch::fix::intake::Motion;
use crate::watch::fix::{Fixes, Taken};
use crate::watch::freshness::Freshness;
use crate::watch::instruments::Instruments;
use crate::watch::round::{Here, Seen};
use crate::watch::settings::WatchSettings;
use crate::watch::wind::WindWatch;

/// See the module documentation.
#[derive(Clone, Debug)]
pub struct Sensors {
    boat: Boat,
    freshness: Freshness,
    fixes: Fixes,
    instruments: Instruments,
}

impl Sensors {
    /// Starts with nothing heard.
    #[must_use]
    pub fn new(now: Tick, settings: &WatchSettings) -> Self {
        Self {
            boat: Boat::new(settings.boat),
            freshness: Freshness::default(),
            fixes: Fixes::new(now, settings),
            instruments: Instruments::default(),
        }
    }

    /// Takes a fact about the boat, and returns whether it is new.
    pub fn is_news(
        &mut self,
        now: Now,
        settings: &WatchSettings,
        report: &Report,
        fact: &Fact,
    ) -> bool {
        self.boat.take(fact);
        self.instruments.take_offset(fact);
        self.freshness
            .is_news(now, settings.max_age, &report.source, fact, report.stamp)
    }

    /// Takes a new fact that is not a position.
    pub fn take(&mut self, now: Tick, source: &Label, fact: &Fact) {
        self.fixes.take_quality(now, source, fact);
        self.instruments.take(now, fact);
    }

    /// The predicted height of the tide at this moment.
    pub fn see_tide(&mut self, height: Metres) {
        self.instruments.see_tide(height);
    }

    /// Takes a new position, with the position of the anchor while it is down.
    pub fn take_position(
        &mut self,
        now: Tick,
        source: &Label,
        position: Option<Position>,
        anchor: Option<Position>,
    ) -> Taken {
        let heading = self.instruments.heading(now);
        let arm = self
            .boat
            .antenna_to_roller(Some(heading.unwrap_or_default()));
        let motion = Motion {
            heading,
            arm: arm.offset.length(),
        };
        self.fixes.take(now, source, position, &motion, anchor)
    }

    /// The link went down: the first values after this may come from the server's cache.
    pub fn link_lost(&mut self) {
        self.freshness.link_renewed();
    }

    /// Everything that the sensors report now.
    #[must_use]
    pub fn seen(&self, now: Now, settings: &Arc<WatchSettings>, wind: &WindWatch) -> Seen {
        let tick = now.tick;
        Seen {
            now,
            settings: Arc::clone(settings),
            boat: self.boat,
            here: self.here(tick),
            fix_interval: self.fixes.interval(),
            lost_after: self.fixes.lost_after(),
            heading: self.instruments.heading(tick),
            velocity: self.fixes.velocity(tick),
            speed: self.instruments.speed_over_ground(tick),
            depth: self.instruments.water_depth(tick, &self.boat),
            sounded: self.instruments.last_water_depth(&self.boat),
            revolutions: self.instruments.revolutions(tick),
            counter: self.instruments.counter(tick),
            wind: wind.mean_speed(tick),
            wind_now: self.instruments.wind(tick).map(|wind| wind.speed),
            wind_ahead: wind.ahead(tick),
        }
    }

    /// The boat's dimensions, by configuration and server.
    #[must_use]
    pub const fn boat(&self) -> &Boat {
        &self.boat
    }

    /// Her receivers.
    #[must_use]
    pub const fn fixes(&self) -> &Fixes {
        &self.fixes
    }

    /// Her instruments.
    #[must_use]
    pub const fn instruments(&self) -> &Instruments {
        &self.instruments
    }

    fn here(&self, now: Tick) -> Option<Here> {
        let fix = self.fixes.recent(now)?;
        let heading = self.instruments.heading(now);
        let plane = Plane::at(fix.antenna);
        let roller = self.boat.antenna_to_roller(heading);
        let centre = self.boat.antenna_to_centre(heading);
        Some(Here {
            roller: plane.position(roller.offset),
            centre: plane.position(centre.offset),
            lever_doubt: roller.doubt.max(centre.doubt),
            fix,
        })
    }
}

/// The engine is running, by its own report; an engine that is not heard is taken to be off.
#[must_use]
pub fn engine_turns(revolutions: Option<Hertz>) -> bool {
    revolutions.is_some_and(|rate| rate >= TURNS)
}

const TURNS: Hertz = Hertz::of(3.0);
