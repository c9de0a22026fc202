//! The latest word of each instrument, and what follows from several of them: heading, true
//! wind, depth of water.
//!
//! **True wind.** Taken from `directionTrue` where an instrument gives it; else from a true wind
//! angle and the heading; else reckoned from the apparent wind: with `A` the apparent wind as a
//! vector towards which the air moves past the boat and `B` the boat's velocity over the ground,
//! the air moves over the ground with `A + B`, and the wind comes from the opposite direction.
//! Weakness: leeway, heel and mast motion are not corrected; a compass' bias turns the wind.
//! Test: `apparent_wind_of_a_moving_boat_becomes_true_wind`. Without a heading there is no direction;
//! of a boat that lies still the apparent wind's speed is the wind's all the same. Test:
//! `without_a_heading_the_wind_of_a_boat_that_lies_has_a_strength`.
//!
//! **Depth of water.** From `belowSurface`, else `belowTransducer` plus the transducer's depth,
//! else `belowKeel` plus the draught. Without the offset a reference cannot be turned and is not
//! guessed. The figure in use is the median of the last soundings, since sounders give spikes
//! (weed, fish, a second echo); a lost bottom and a leap are left out ([`sounder`]).
//! Test: `each_reference_leads_to_the_same_water`.
//!
//! **Heading zero.** The data server makes 000° of a heading that is no number (`---`). A heading of
//! exactly zero therefore counts only next to one that is near north. Test:
//! `a_heading_that_is_no_number_is_not_north`.

mod sounder;

use std::collections::BTreeMap;
use std::time::Duration;

use self::sounder::Sounder;
use crate::boat::Boat;
use crate::geodesy::Offset;
use crate::observation::{Fact, Label};
use crate::time::Tick;
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};
use crate::watch::counter::{Counted, RodeCounter};

/// A value and when it came.
#[derive(Clone, Copy, Debug)]
struct Latest<T> {
    value: Option<T>,
    at: Tick,
}

impl<T> Default for Latest<T> {
    fn default() -> Self {
        Self {
            value: None,
            at: Tick::START,
        }
    }
}

impl<T: Copy> Latest<T> {
    fn set(&mut self, now: Tick, value: Option<T>) {
        *self = Self { value, at: now };
    }

    fn fresh(&self, now: Tick) -> Option<T> {
        self.value.filter(|_| now.since(self.at) <= STALE)
    }
}

/// The latest word of each instrument aboard.
#[derive(Clone, Debug, Default)]
pub struct Instruments {
    heading_true: Latest<Bearing>,
    heading_magnetic: Latest<Angle>,
    variation: Option<Angle>,
    speed_over_ground: Latest<Speed>,
    course_over_ground: Latest<Bearing>,
    speed_through_water: Latest<Speed>,
    wind_speed_apparent: Latest<Speed>,
    wind_angle_apparent: Latest<Angle>,
    wind_speed_true: Latest<Speed>,
    wind_speed_over_ground: Latest<Speed>,
    wind_angle_true_water: Latest<Angle>,
    wind_angle_true_ground: Latest<Angle>,
    wind_direction_true: Latest<Bearing>,
    wind_direction_magnetic: Latest<Angle>,
    /// One for each reference.
    sounders: [Sounder; 3],
    surface_to_transducer: Option<Metres>,
    transducer_to_keel: Option<Metres>,
    /// The last that was not exactly zero.
    pointed: Option<Bearing>,
    revolutions: BTreeMap<Label, Latest<Hertz>>,
    counter: RodeCounter,
}

/// What a sounding is measured from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Reference {
    Surface = 0,
    Transducer = 1,
    Keel = 2,
}

/// Wind over the ground: where it comes from and how fast.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wind {
    /// Where it comes from, true; `None` where no heading says what a vane points to.
    pub from: Option<Bearing>,
    /// From the bow, positive to starboard; `None` where neither a vane nor a heading says.
    pub angle: Option<Angle>,
    /// How fast.
    pub speed: Speed,
}

impl Instruments {
    /// Takes a fresh fact; others than instruments' are left.
    pub fn take(&mut self, now: Tick, fact: &Fact) {
        match fact {
            Fact::SpeedOverGround(v) => self.speed_over_ground.set(now, *v),
            Fact::CourseOverGround(v) => self.course_over_ground.set(now, *v),
            Fact::HeadingTrue(v) => self.point(now, *v),
            Fact::HeadingMagnetic(v) => self.heading_magnetic.set(now, *v),
            Fact::MagneticVariation(v) => self.variation = v.or(self.variation),
            Fact::SpeedThroughWater(v) => self.speed_through_water.set(now, *v),
            Fact::WindSpeedApparent(v) => self.wind_speed_apparent.set(now, *v),
            Fact::WindAngleApparent(v) => self.wind_angle_apparent.set(now, *v),
            Fact::WindSpeedTrue(v) => self.wind_speed_true.set(now, *v),
            Fact::WindSpeedOverGround(v) => self.wind_speed_over_ground.set(now, *v),
            Fact::WindAngleTrueWater(v) => self.wind_angle_true_water.set(now, *v),
            Fact::WindAngleTrueGround(v) => self.wind_angle_true_ground.set(now, *v),
            Fact::WindDirectionTrue(v) => self.wind_direction_true.set(now, *v),
            Fact::WindDirectionMagnetic(v) => self.wind_direction_magnetic.set(now, *v),
            Fact::DepthBelowSurface(v) => self.sound(now, Reference::Surface, *v),
            Fact::DepthBelowTransducer(v) => self.sound(now, Reference::Transducer, *v),
            Fact::DepthBelowKeel(v) => self.sound(now, Reference::Keel, *v),
            Fact::Revolutions { engine, rate } => self.turn(now, engine, *rate),
            Fact::RodeCounter(v) => self.counter.take(now, *v),
            _ => {}
        }
    }

    /// Takes where the transducer sits, also when it is no news.
    pub fn take_offset(&mut self, fact: &Fact) {
        match fact {
            Fact::SurfaceToTransducer(v) => self.surface_to_transducer = *v,
            Fact::TransducerToKeel(v) => self.transducer_to_keel = *v,
            _ => {}
        }
    }

    fn point(&mut self, now: Tick, heading: Option<Bearing>) {
        let exact = heading.is_some_and(|heading| heading.get() == 0.0);
        let near = |before: Bearing| Bearing::default().since(before).get().abs() <= NEAR_NORTH;
        if exact && !self.pointed.is_none_or(near) {
            self.heading_true.set(now, None);
            return;
        }
        if !exact {
            self.pointed = heading.or(self.pointed);
        }
        self.heading_true.set(now, heading);
    }

    fn turn(&mut self, now: Tick, engine: &Label, rate: Option<Hertz>) {
        if self.revolutions.len() >= MOST_ENGINES && !self.revolutions.contains_key(engine) {
            return;
        }
        self.revolutions
            .entry(engine.clone())
            .or_default()
            .set(now, rate);
    }

    /// Heading, true: as reported, or magnetic with the variation applied.
    #[must_use]
    pub fn heading(&self, now: Tick) -> Option<Bearing> {
        self.heading_true.fresh(now).or_else(|| {
            let magnetic = self.heading_magnetic.fresh(now)?;
            Some(Bearing::of(magnetic.get() + self.variation?.get()))
        })
    }

    /// Speed over the ground.
    #[must_use]
    pub fn speed_over_ground(&self, now: Tick) -> Option<Speed> {
        self.speed_over_ground.fresh(now)
    }

    /// Course over the ground.
    #[must_use]
    pub fn course_over_ground(&self, now: Tick) -> Option<Bearing> {
        self.course_over_ground.fresh(now)
    }

    /// The engine's revolutions; of several engines the one that turns fastest.
    #[must_use]
    pub fn revolutions(&self, now: Tick) -> Option<Hertz> {
        self.revolutions
            .values()
            .filter_map(|rate| rate.fresh(now))
            .reduce(Hertz::max)
    }

    /// What the windlass' counter says, while it speaks.
    #[must_use]
    pub fn counter(&self, now: Tick) -> Option<Counted> {
        self.counter.counted(now)
    }

    /// Wind over the ground, by the best way the instruments allow.
    #[must_use]
    pub fn wind(&self, now: Tick) -> Option<Wind> {
        let speed = self
            .wind_speed_over_ground
            .fresh(now)
            .or_else(|| self.wind_speed_true.fresh(now));
        let from = self
            .wind_direction_true
            .fresh(now)
            .or_else(|| {
                let magnetic = self.wind_direction_magnetic.fresh(now)?;
                Some(Bearing::of(magnetic.get() + self.variation?.get()))
            })
            .or_else(|| {
                let angle = self
                    .wind_angle_true_ground
                    .fresh(now)
                    .or_else(|| self.wind_angle_true_water.fresh(now))?;
                Some(self.heading(now)?.turned(angle))
            });
        let Some(speed) = speed else {
            return self.wind_from_apparent(now);
        };
        if from.is_none()
            && let Some(wind) = self.wind_from_apparent(now)
            && wind.from.is_some()
        {
            return Some(wind);
        }
        let pointed = from.zip(self.heading(now));
        Some(Wind {
            from,
            angle: pointed
                .map(|(from, heading)| from.since(heading))
                .or_else(|| self.wind_angle_apparent.fresh(now)),
            speed,
        })
    }

    /// Depth of water: the median of the last soundings of the best reference that can be turned
    /// into it.
    #[must_use]
    pub fn water_depth(&self, now: Tick, boat: &Boat) -> Option<Metres> {
        self.turned(boat)
            .find_map(|(sounder, above)| Some(sounder.depth(now)? + above))
    }

    /// The same as it was sounded last, however long ago, and when.
    #[must_use]
    pub fn last_water_depth(&self, boat: &Boat) -> Option<(Tick, Metres)> {
        let latest = self.turned(boat).filter_map(|(sounder, _)| sounder.last());
        let (latest, _) = latest.max_by_key(|(at, _)| *at)?;
        self.turned(boat)
            .find_map(|(sounder, above)| Some((latest, sounder.depth(latest)? + above)))
    }

    /// A sounding arrived lately, but no offset turns it into depth of water.
    #[must_use]
    pub fn has_unusable_soundings(&self, now: Tick, boat: &Boat) -> bool {
        let lately = |sounder: &Sounder| sounder.depth(now).is_some();
        self.water_depth(now, boat).is_none() && self.sounders.iter().any(lately)
    }

    /// The references that can be turned into depth of water, best first, and what to add.
    fn turned(&self, boat: &Boat) -> impl Iterator<Item = (&Sounder, Metres)> {
        let above = [
            Some(Metres::ZERO),
            boat.figures().transducer_depth,
            boat.draught(),
        ];
        self.sounders
            .iter()
            .zip(above)
            .filter_map(|(sounder, above)| Some((sounder, above?)))
    }

    fn wind_from_apparent(&self, now: Tick) -> Option<Wind> {
        let apparent = self.wind_speed_apparent.fresh(now)?;
        let angle = self.wind_angle_apparent.fresh(now);
        let Some((heading, angle)) = self.heading(now).zip(angle) else {
            // Of a boat that hardly moves the wind past her is the wind.
            let lies = self
                .speed_over_ground
                .fresh(now)
                .is_none_or(|speed| speed <= LIES);
            return lies.then_some(Wind {
                from: None,
                angle,
                speed: apparent,
            });
        };
        // Where it comes from, as a vector: the opposite of where the air moves.
        let ahead = Offset::polar(heading.turned(angle), Metres::of(apparent.get()));
        let over_ground = ahead - self.velocity(now, heading);
        Some(Wind {
            from: Some(over_ground.bearing()),
            angle: Some(over_ground.bearing().since(heading)),
            speed: Speed::of(over_ground.length().get()),
        })
    }

    /// Velocity over the ground; without it, that through the water, else none: at anchor the
    /// difference is small.
    fn velocity(&self, now: Tick, heading: Bearing) -> Offset {
        let over_ground = self
            .course_over_ground
            .fresh(now)
            .zip(self.speed_over_ground.fresh(now));
        let through_water = self.speed_through_water.fresh(now).map(|s| (heading, s));
        over_ground
            .or(through_water)
            .map_or(Offset::ZERO, |(course, speed)| {
                Offset::polar(course, Metres::of(speed.get()))
            })
    }

    fn sound(&mut self, now: Tick, reference: Reference, depth: Option<Metres>) {
        // Not known how far it reaches below the transducer, a keel may be aground by a little.
        let zero = match reference {
            Reference::Surface => self.surface_to_transducer.unwrap_or_default(),
            Reference::Transducer => Metres::ZERO,
            Reference::Keel => Metres::ZERO - self.transducer_to_keel.unwrap_or(DEEPEST_TRANSDUCER),
        };
        if let Some(sounder) = self.sounders.get_mut(reference as usize) {
            sounder.take(now, depth.filter(|depth| depth.get() != 0.0), zero);
        }
    }
}

/// Instruments speak every second or so; after this long they are taken to be silent.
const STALE: Duration = Duration::from_secs(15);
/// No faster does a boat lie to her anchor, by her antenna; chosen.
const LIES: Speed = Speed::of(1.0);
/// Above the keel; chosen.
const DEEPEST_TRANSDUCER: Metres = Metres::of(1.1);
/// Radians: 20°, more than a boat turns between two readings.
const NEAR_NORTH: f64 = 0.35;
const MOST_ENGINES: usize = 8;

#[cfg(test)]
mod tests;
