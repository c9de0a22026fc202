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
//! (weed, fish, a second echo). Test: `each_reference_leads_to_the_same_water`.

use std::collections::{BTreeMap, VecDeque};
use std::time::Duration;

use crate::boat::Boat;
use crate::geodesy::Offset;
use crate::observation::{Fact, Label};
use crate::stats::median;
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
    soundings: VecDeque<(Tick, Reference, Metres)>,
    /// The median of the last soundings of each reference, with the moment of the last.
    sounded: [Option<(Tick, Metres)>; 3],
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
            Fact::HeadingTrue(v) => self.heading_true.set(now, *v),
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

    /// Velocity over the ground, metres a second towards east and north.
    #[must_use]
    pub fn velocity_over_ground(&self, now: Tick) -> Option<Offset> {
        let course = self.course_over_ground.fresh(now)?;
        let speed = self.speed_over_ground.fresh(now)?;
        Some(Offset::polar(course, Metres::of(speed.get())))
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
        self.sounding(now, boat).map(|(_, depth)| depth)
    }

    /// When it was sounded, and the depth.
    #[must_use]
    pub fn sounding(&self, now: Tick, boat: &Boat) -> Option<(Tick, Metres)> {
        let figures = boat.figures();
        let draught = boat.draught();
        [
            (Reference::Surface, Some(Metres::ZERO)),
            (Reference::Transducer, figures.transducer_depth),
            (Reference::Keel, draught),
        ]
        .into_iter()
        .find_map(|(reference, above)| {
            let above = above?;
            let (at, depth) = (*self.sounded.get(reference as usize)?)?;
            (now.since(at) <= SOUNDINGS_KEPT).then(|| (at, depth + above))
        })
    }

    /// A sounding arrived lately, but no offset turns it into depth of water.
    #[must_use]
    pub fn has_unusable_soundings(&self, now: Tick, boat: &Boat) -> bool {
        let lately = |(at, _, _): &(Tick, Reference, Metres)| now.since(*at) <= SOUNDINGS_KEPT;
        self.water_depth(now, boat).is_none() && self.soundings.iter().any(lately)
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
        // A sounder that has lost the bottom says nought.
        let least = match reference {
            Reference::Surface | Reference::Transducer => LEAST_SOUNDED,
            Reference::Keel => -1.0,
        };
        let Some(depth) = depth.filter(|d| (least..12_000.0).contains(&d.get()) && d.get() != 0.0)
        else {
            return;
        };
        self.soundings.push_back((now, reference, depth));
        while self.soundings.len() > MOST_SOUNDINGS
            || self
                .soundings
                .front()
                .is_some_and(|(at, _, _)| now.since(*at) > SOUNDINGS_KEPT)
        {
            self.soundings.pop_front();
        }
        let mut alike = [0.0; MOST_SOUNDINGS];
        let depths = self.soundings.iter().filter(|(_, r, _)| *r == reference);
        let mut count = 0;
        for (place, (_, _, depth)) in alike.iter_mut().zip(depths) {
            *place = depth.get();
            count += 1;
        }
        let middle = alike.get_mut(..count).and_then(median);
        if let Some(sounded) = self.sounded.get_mut(reference as usize) {
            *sounded = middle.and_then(Metres::new).map(|m| (now, m));
        }
    }
}

/// Instruments speak every second or so; after this long they are taken to be silent.
const STALE: Duration = Duration::from_secs(15);
/// No faster does a boat lie to her anchor, by her antenna; chosen.
const LIES: Speed = Speed::of(1.0);
const SOUNDINGS_KEPT: Duration = Duration::from_secs(30);
const LEAST_SOUNDED: f64 = 0.1;
const MOST_SOUNDINGS: usize = 90;
const MOST_ENGINES: usize = 8;

#[cfg(test)]
mod tests;
