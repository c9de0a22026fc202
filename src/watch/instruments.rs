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
            (now.since(at) <= SOUNDINGS_KEPT).then(|| depth + above)
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
mod tests {
    use super::*;
    use crate::boat::BoatFigures;

    const NOW: Tick = Tick::from_secs(100);

    fn taken(facts: &[Fact]) -> Instruments {
        let mut instruments = Instruments::default();
        for fact in facts {
            instruments.take(NOW, fact);
        }
        instruments
    }

    /// Motoring north at 3 m/s with the apparent wind 4 m/s from dead ahead: 1 m/s from north is
    /// left. Beam wind: 3 m/s ahead and 4 m/s abeam is a true wind of 4 m/s from the beam.
    #[test]
    fn apparent_wind_of_a_moving_boat_becomes_true_wind() {
        let boat = [
            Fact::HeadingTrue(Some(Bearing::from_degrees(0.0))),
            Fact::CourseOverGround(Some(Bearing::from_degrees(0.0))),
            Fact::SpeedOverGround(Some(Speed::of(3.0))),
        ];
        let mut ahead = boat.to_vec();
        ahead.push(Fact::WindAngleApparent(Some(Angle::ZERO)));
        ahead.push(Fact::WindSpeedApparent(Some(Speed::of(4.0))));
        let wind = taken(&ahead).wind(NOW).unwrap();
        assert!((wind.speed.get() - 1.0).abs() < 1e-9);
        assert!(wind.from.unwrap().since(Bearing::default()).get().abs() < 1e-9);

        let mut abeam = boat.to_vec();
        abeam.push(Fact::WindAngleApparent(Some(Angle::of(4.0_f64.atan2(3.0)))));
        abeam.push(Fact::WindSpeedApparent(Some(Speed::of(5.0))));
        let wind = taken(&abeam).wind(NOW).unwrap();
        assert!((wind.speed.get() - 4.0).abs() < 1e-9);
        assert!((wind.from.unwrap().degrees() - 90.0).abs() < 1e-9);
    }

    #[test]
    fn reported_true_wind_comes_before_our_own_reckoning() {
        let wind = taken(&[
            Fact::HeadingTrue(Some(Bearing::from_degrees(10.0))),
            Fact::WindAngleApparent(Some(Angle::ZERO)),
            Fact::WindSpeedApparent(Some(Speed::of(9.0))),
            Fact::WindDirectionTrue(Some(Bearing::from_degrees(200.0))),
            Fact::WindSpeedTrue(Some(Speed::of(7.0))),
        ])
        .wind(NOW)
        .unwrap();
        assert!(
            (wind.from.unwrap().degrees() - 200.0).abs() < 1e-9 && wind.speed == Speed::of(7.0)
        );
    }

    #[test]
    fn without_a_heading_the_wind_of_a_boat_that_lies_has_a_strength() {
        let apparent = [
            Fact::WindAngleApparent(Some(Angle::ZERO)),
            Fact::WindSpeedApparent(Some(Speed::of(9.0))),
        ];
        let mut lying = apparent.to_vec();
        lying.push(Fact::SpeedOverGround(Some(Speed::of(0.4))));
        for facts in [apparent.to_vec(), lying] {
            let wind = taken(&facts).wind(NOW).unwrap();
            assert_eq!((wind.from, wind.speed), (None, Speed::of(9.0)));
        }
        let mut steaming = apparent.to_vec();
        steaming.push(Fact::SpeedOverGround(Some(Speed::of(3.0))));
        assert_eq!(taken(&steaming).wind(NOW), None);
        let spoken = taken(&[Fact::WindSpeedTrue(Some(Speed::of(7.0)))]);
        assert_eq!(
            spoken.wind(NOW).map(|wind| (wind.from, wind.speed)),
            Some((None, Speed::of(7.0)))
        );
    }

    #[test]
    fn a_magnetic_heading_needs_the_variation() {
        let mut instruments = taken(&[Fact::HeadingMagnetic(Some(Angle::from_degrees(350.0)))]);
        assert_eq!(instruments.heading(NOW), None);
        instruments.take(
            NOW,
            &Fact::MagneticVariation(Some(Angle::from_degrees(15.0))),
        );
        assert!((instruments.heading(NOW).unwrap().degrees() - 5.0).abs() < 1e-9);
        assert_eq!(instruments.heading(NOW + Duration::from_mins(1)), None);
    }

    #[test]
    fn each_reference_leads_to_the_same_water() {
        let boat = Boat::new(BoatFigures {
            draught: Some(Metres::of(1.9)),
            transducer_depth: Some(Metres::of(0.5)),
            ..BoatFigures::default()
        });
        for fact in [
            Fact::DepthBelowSurface(Some(Metres::of(8.0))),
            Fact::DepthBelowTransducer(Some(Metres::of(7.5))),
            Fact::DepthBelowKeel(Some(Metres::of(6.1))),
        ] {
            let depth = taken(&[fact]).water_depth(NOW, &boat).unwrap();
            assert!((depth.get() - 8.0).abs() < 1e-9);
        }
        let blank = Boat::default();
        let instruments = taken(&[Fact::DepthBelowKeel(Some(Metres::of(6.1)))]);
        assert_eq!(instruments.water_depth(NOW, &blank), None);
        assert!(instruments.has_unusable_soundings(NOW, &blank));
    }

    #[test]
    fn of_two_engines_the_one_that_pulls_counts() {
        let turns = |engine: &str, rate: f64| Fact::Revolutions {
            engine: Label::new(engine),
            rate: Hertz::new(rate),
        };
        let mut instruments = taken(&[turns("port", 30.0), turns("starboard", 0.0)]);
        assert_eq!(instruments.revolutions(NOW), Hertz::new(30.0));
        instruments.take(NOW, &turns("port", 0.0));
        assert_eq!(instruments.revolutions(NOW), Hertz::new(0.0));
        assert_eq!(instruments.revolutions(NOW + Duration::from_mins(1)), None);
        for n in 0..100 {
            instruments.take(NOW, &turns(&format!("liar{n}"), 1.0));
        }
        assert!(instruments.revolutions.len() <= MOST_ENGINES);
    }

    #[test]
    fn a_spike_of_the_sounder_is_not_the_depth() {
        let boat = Boat::default();
        let mut instruments = Instruments::default();
        for (second, depth) in [8.0, 8.1, 0.4, 8.0, 7.9].into_iter().enumerate() {
            let at = Tick::from_secs(second as u64);
            instruments.take(at, &Fact::DepthBelowSurface(Metres::new(depth)));
        }
        let depth = instruments.water_depth(Tick::from_secs(5), &boat).unwrap();
        assert_eq!(depth, Metres::of(8.0));
        instruments.take(NOW, &Fact::DepthBelowSurface(Metres::new(-3.0)));
        assert_eq!(instruments.water_depth(NOW, &boat), None);
    }
}
