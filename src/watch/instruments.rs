//! The last report of each instrument, and what is derived from several of them: heading, true
//! wind, depth of water.
//!
//! **True wind.** Taken from `directionTrue` if an instrument gives it; otherwise from a true wind
//! angle and the heading; otherwise calculated from the apparent wind. With `A` the apparent wind as
//! the vector of the air's motion past the boat and `B` the boat's velocity over the ground, the air
//! moves over the ground with `A + B`, and the wind comes from the opposite direction. Weakness:
//! leeway, heel and mast motion are not corrected; a bias of the compass turns the wind. Test:
//! `apparent_wind_of_a_moving_boat_becomes_true_wind`. Without a heading there is no direction; if
//! the boat lies still, the speed of the apparent wind is still that of the wind. Test:
//! `without_a_heading_the_wind_of_a_boat_that_lies_has_a_strength`.
//!
//! **Depth of water.** From `belowSurface`, otherwise `belowTransducer` plus the transducer's
//! depth, otherwise `belowKeel` plus the draught. Without the offset a reference cannot be
//! converted and is not guessed. The figure in use is the median of the last soundings, because
//! sounders give spikes (weed, fish, a second echo); a lost bottom and a leap are left out
//! ([`sounder`]). Test: `each_reference_leads_to_the_same_water`.
//!
//! **Heading zero.** The data server turns a heading that is no number (`---`) into 000°. A heading
//! of exactly zero therefore counts only next to one that is near north. Test:
//! `a_heading_that_is_no_number_is_not_north`.

pub mod hearing;
mod sounder;
mod vane;

use std::collections::BTreeMap;
use std::time::Duration;

use self::hearing::{Failing, Hearing, Instrument, Run};
use self::sounder::Sounder;
use self::vane::{Said, Vane};
use crate::boat::Boat;
use crate::geodesy::Offset;
use crate::observation::{Fact, Label};
use crate::time::Tick;
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};
use crate::watch::counter::{Counted, RodeCounter};

/// A value and when it arrived.
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

/// The last report of each instrument aboard.
#[derive(Clone, Debug, Default)]
pub struct Instruments {
    heading_true: Latest<Bearing>,
    heading_magnetic: Latest<Angle>,
    variation: Option<Angle>,
    speed_over_ground: Latest<Speed>,
    course_over_ground: Latest<Bearing>,
    speed_through_water: Latest<Speed>,
    apparent_wind: Vane,
    true_wind: Vane,
    ground_wind: Vane,
    wind_direction_true: Latest<Bearing>,
    wind_direction_magnetic: Latest<Angle>,
    /// One for each reference.
    sounders: [Sounder; 3],
    surface_to_transducer: Option<Metres>,
    transducer_to_keel: Option<Metres>,
    /// The last heading that was not exactly zero.
    pointed: Option<Bearing>,
    revolutions: BTreeMap<Label, Latest<Hertz>>,
    counter: RodeCounter,
    heading_run: Run<Bearing>,
    /// When the magnetic heading was a zero that is not north: the true heading is derived from it.
    no_north: Option<Tick>,
    hearings: BTreeMap<Instrument, Hearing>,
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
    /// Where it comes from, true; `None` if no heading shows where the vane points.
    pub from: Option<Bearing>,
    /// Angle from the bow, positive to starboard; `None` if neither a vane nor a heading gives it.
    pub angle: Option<Angle>,
    /// Wind speed.
    pub speed: Speed,
}

impl Instruments {
    /// Takes a new fact; facts that are not from instruments are ignored.
    pub fn take(&mut self, now: Tick, fact: &Fact) {
        match fact {
            Fact::SpeedOverGround(v) => {
                self.speed_over_ground.set(now, *v);
                self.hear(now, Instrument::Speed, v.map(|_| ()).ok_or(Failing::Empty));
            }
            Fact::CourseOverGround(v) => self.course_over_ground.set(now, *v),
            Fact::HeadingTrue(v) => self.point(now, *v),
            Fact::HeadingMagnetic(v) => self.point_magnetic(now, *v),
            Fact::MagneticVariation(v) => self.variation = v.or(self.variation),
            Fact::SpeedThroughWater(v) => self.speed_through_water.set(now, *v),
            Fact::WindSpeedApparent(v) => {
                let said = self.apparent_wind.take_speed(now, *v);
                self.hear_wind(now, said);
            }
            Fact::WindAngleApparent(v) => {
                let said = self.apparent_wind.take_angle(now, *v);
                self.hear_wind(now, said);
            }
            Fact::WindSpeedTrue(v) => {
                let said = self.true_wind.take_speed(now, *v);
                self.hear_wind(now, said);
            }
            Fact::WindAngleTrueWater(v) => {
                let said = self.true_wind.take_angle(now, *v);
                self.hear_wind(now, said);
            }
            Fact::WindSpeedOverGround(v) => {
                let said = self.ground_wind.take_speed(now, *v);
                self.hear_wind(now, said);
            }
            Fact::WindAngleTrueGround(v) => {
                let said = self.ground_wind.take_angle(now, *v);
                self.hear_wind(now, said);
            }
            Fact::WindDirectionTrue(v) => {
                self.wind_direction_true.set(now, *v);
                self.hear_direction(now, v.is_some());
            }
            Fact::WindDirectionMagnetic(v) => {
                self.wind_direction_magnetic.set(now, *v);
                self.hear_direction(now, v.is_some());
            }
            Fact::DepthBelowSurface(v) => self.sound(now, Reference::Surface, *v),
            Fact::DepthBelowTransducer(v) => self.sound(now, Reference::Transducer, *v),
            Fact::DepthBelowKeel(v) => self.sound(now, Reference::Keel, *v),
            Fact::Revolutions { engine, rate } => self.turn(now, engine, *rate),
            Fact::RodeCounter(v) => self.counter.take(now, *v),
            _ => {}
        }
    }

    /// Takes the position of the transducer, even if it is not new.
    pub fn take_offset(&mut self, fact: &Fact) {
        match fact {
            Fact::SurfaceToTransducer(v) => self.surface_to_transducer = *v,
            Fact::TransducerToKeel(v) => self.transducer_to_keel = *v,
            _ => {}
        }
    }

    /// What an instrument reported, and when.
    #[must_use]
    pub fn hearing(&self, instrument: Instrument) -> Option<&Hearing> {
        self.hearings.get(&instrument)
    }

    fn hear(&mut self, now: Tick, instrument: Instrument, word: Result<(), Failing>) {
        self.hearings.entry(instrument).or_default().take(now, word);
    }

    fn hear_wind(&mut self, now: Tick, said: Said) {
        for (instrument, word) in [
            (Instrument::Wind, said.speed),
            (Instrument::WindDirection, said.angle),
        ] {
            if let Some(word) = word {
                self.hear(now, instrument, word);
            }
        }
    }

    fn hear_direction(&mut self, now: Tick, heard: bool) {
        let word = if heard { Ok(()) } else { Err(Failing::Empty) };
        self.hear(now, Instrument::WindDirection, word);
    }

    fn point(&mut self, now: Tick, heading: Option<Bearing>) {
        let word = self.heading_word(now, heading);
        self.heading_true.set(now, heading.filter(|_| word.is_ok()));
        self.hear(now, Instrument::Heading, word);
    }

    fn point_magnetic(&mut self, now: Tick, heading: Option<Angle>) {
        let variation = self.variation.unwrap_or_default();
        let zero = heading.is_some_and(|heading| heading.get() == 0.0);
        let pointed = heading.map(|heading| Bearing::of(heading.get() + variation.get()));
        if zero && !self.is_near(pointed) {
            self.no_north = Some(now);
            self.heading_magnetic.set(now, None);
            self.hear(now, Instrument::Heading, Err(Failing::Empty));
            return;
        }
        // Without the variation it cannot be used, and next to a true heading it is not needed.
        if self.variation.is_none() || self.heading_true.fresh(now).is_some() {
            self.heading_magnetic.set(now, heading);
            return;
        }
        let word = self.heading_word(now, pointed);
        self.heading_magnetic
            .set(now, heading.filter(|_| word.is_ok()));
        self.hear(now, Instrument::Heading, word);
    }

    /// Is a true heading valid? See the module documentation for zero.
    fn heading_word(&mut self, now: Tick, heading: Option<Bearing>) -> Result<(), Failing> {
        let Some(taken) = heading else {
            self.heading_run.pause();
            return Err(Failing::Empty);
        };
        let exact = taken.get() == 0.0;
        if (exact && !self.is_near(heading)) || self.no_north == Some(now) {
            return Err(Failing::Empty);
        }
        if !exact {
            self.pointed = heading;
        }
        if self.heading_run.is_frozen(now, taken, HEADING_FROZEN_AFTER) {
            return Err(Failing::Frozen);
        }
        Ok(())
    }

    /// The last heading was near this one, or there was none.
    fn is_near(&self, heading: Option<Bearing>) -> bool {
        let apart = heading.zip(self.pointed);
        apart.is_none_or(|(heading, before)| heading.since(before).get().abs() <= NEAR)
    }

    fn turn(&mut self, now: Tick, engine: &Label, rate: Option<Hertz>) {
        if self.revolutions.len() >= MOST_ENGINES && !self.revolutions.contains_key(engine) {
            return;
        }
        self.revolutions
            .entry(engine.clone())
            .or_default()
            .set(now, rate);
        self.hear(
            now,
            Instrument::Revolutions,
            rate.map(|_| ()).ok_or(Failing::Empty),
        );
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

    /// The engine's revolutions; of several engines the one that turns fastest.
    #[must_use]
    pub fn revolutions(&self, now: Tick) -> Option<Hertz> {
        self.revolutions
            .values()
            .filter_map(|rate| rate.fresh(now))
            .reduce(Hertz::max)
    }

    /// The same from the engines' last reports, however old.
    #[must_use]
    pub fn last_revolutions(&self) -> Option<Hertz> {
        self.revolutions
            .values()
            .filter_map(|rate| rate.value)
            .reduce(Hertz::max)
    }

    /// The windlass' counter, while it reports.
    #[must_use]
    pub fn counter(&self, now: Tick) -> Option<Counted> {
        self.counter.counted(now)
    }

    /// Wind over the ground, by the best method that the instruments allow.
    #[must_use]
    pub fn wind(&self, now: Tick) -> Option<Wind> {
        let speed = self
            .ground_wind
            .speed
            .fresh(now)
            .or_else(|| self.true_wind.speed.fresh(now));
        let from = self
            .wind_direction_true
            .fresh(now)
            .or_else(|| {
                let magnetic = self.wind_direction_magnetic.fresh(now)?;
                Some(Bearing::of(magnetic.get() + self.variation?.get()))
            })
            .or_else(|| {
                let angle = self
                    .ground_wind
                    .angle
                    .fresh(now)
                    .or_else(|| self.true_wind.angle.fresh(now))?;
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
                .or_else(|| self.apparent_wind.angle.fresh(now)),
            speed,
        })
    }

    /// Depth of water: the median of the last soundings of the best reference that can be converted
    /// into it.
    #[must_use]
    pub fn water_depth(&self, now: Tick, boat: &Boat) -> Option<Metres> {
        self.turned(boat)
            .find_map(|(sounder, above)| Some(sounder.depth(now)? + above))
    }

    /// Depth of water from a current sounding that is fit to be kept.
    #[must_use]
    pub fn sounding(&self, now: Tick, boat: &Boat) -> Option<Metres> {
        self.turned(boat)
            .find_map(|(sounder, above)| Some(sounder.sounding(now)? + above))
    }

    /// The depth of water as it was last sounded, however long ago, and when.
    #[must_use]
    pub fn last_water_depth(&self, boat: &Boat) -> Option<(Tick, Metres)> {
        let latest = self.turned(boat).filter_map(|(sounder, _)| sounder.last());
        let (latest, _) = latest.max_by_key(|(at, _)| *at)?;
        self.turned(boat)
            .find_map(|(sounder, above)| Some((latest, sounder.depth(latest)? + above)))
    }

    /// A sounding arrived lately, but no offset converts it into depth of water.
    #[must_use]
    pub fn has_unusable_soundings(&self, now: Tick, boat: &Boat) -> bool {
        let lately = |sounder: &Sounder| sounder.depth(now).is_some();
        self.water_depth(now, boat).is_none() && self.sounders.iter().any(lately)
    }

    /// The references that can be converted into depth of water, best first, and what to add.
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
        let apparent = self.apparent_wind.speed.fresh(now)?;
        let angle = self.apparent_wind.angle.fresh(now);
        let Some((heading, angle)) = self.heading(now).zip(angle) else {
            // If the boat hardly moves, the wind past her is the wind.
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
        // Where it comes from, as a vector: opposite to the motion of the air.
        let ahead = Offset::polar(heading.turned(angle), Metres::of(apparent.get()));
        let over_ground = ahead - self.velocity(now, heading);
        Some(Wind {
            from: Some(over_ground.bearing()),
            angle: Some(over_ground.bearing().since(heading)),
            speed: Speed::of(over_ground.length().get()),
        })
    }

    /// Velocity over the ground; otherwise that through the water, otherwise zero: at anchor the
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

    /// The predicted height of the tide at this moment: a sounder must follow it.
    pub fn see_tide(&mut self, height: Metres) {
        for sounder in &mut self.sounders {
            sounder.see_tide(height);
        }
    }

    fn sound(&mut self, now: Tick, reference: Reference, depth: Option<Metres>) {
        // It is not known how far the keel reaches below the transducer; a boat may be aground by a
        // little.
        let zero = match reference {
            Reference::Surface => self.surface_to_transducer.unwrap_or_default(),
            Reference::Transducer => Metres::ZERO,
            Reference::Keel => Metres::ZERO - self.transducer_to_keel.unwrap_or(DEEPEST_TRANSDUCER),
        };
        if let Some(sounder) = self.sounders.get_mut(reference as usize) {
            let word = sounder.take(now, depth.filter(|depth| depth.get() != 0.0), zero);
            self.hear(now, Instrument::Sounder, word);
        }
    }
}

/// Instruments report about every second; after this long without a report they count as silent.
const STALE: Duration = Duration::from_secs(15);
/// A boat at anchor does not move faster than this, measured at her antenna; chosen.
const LIES: Speed = Speed::of(1.0);
/// Above the keel; chosen.
const DEEPEST_TRANSDUCER: Metres = Metres::of(1.1);
/// Radians: 20°, more than a boat turns between two readings.
const NEAR: f64 = 0.35;
const HEADING_FROZEN_AFTER: Duration = Duration::from_mins(10);
const MOST_ENGINES: usize = 8;

#[cfg(test)]
mod tests;
