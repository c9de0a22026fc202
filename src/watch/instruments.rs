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

    /// `$HEHDT,---,T` and `$SDDPT,0.0,0.5,` as the data server passes them on.
    #[test]
    fn a_heading_that_is_no_number_is_not_north() {
        let mut instruments = Instruments::default();
        let mut at = |second: u64, degrees: f64| {
            let heading = Fact::HeadingTrue(Some(Bearing::from_degrees(degrees)));
            instruments.take(Tick::from_secs(second), &heading);
            instruments.heading(Tick::from_secs(second))
        };
        assert!(at(1, 220.0).is_some());
        assert_eq!(at(2, 0.0), None);
        assert_eq!(at(600, 0.0), None);
        // A boat that swings through north passes it.
        assert!(at(601, 355.0).is_some());
        assert!(at(602, 0.0).is_some());
        assert!(at(603, 4.0).is_some());
    }

    #[test]
    fn an_offset_is_not_the_depth_of_a_lost_bottom() {
        let boat = Boat::new(BoatFigures {
            draught: Some(Metres::of(1.9)),
            ..BoatFigures::default()
        });
        let sounded = |second: u64, facts: &[Fact], instruments: &mut Instruments| {
            for fact in facts {
                instruments.take_offset(fact);
                instruments.take(Tick::from_secs(second), fact);
            }
            instruments.water_depth(Tick::from_secs(second), &boat)
        };
        let surface = Fact::SurfaceToTransducer(Some(Metres::of(0.5)));
        let mut instruments = Instruments::default();
        let lost = [
            Fact::DepthBelowTransducer(Some(Metres::ZERO)),
            surface,
            Fact::DepthBelowSurface(Some(Metres::of(0.5))),
        ];
        assert_eq!(sounded(1, &lost, &mut instruments), None);
        let keel = [
            Fact::DepthBelowTransducer(Some(Metres::ZERO)),
            Fact::TransducerToKeel(Some(Metres::of(0.5))),
            Fact::DepthBelowKeel(Some(Metres::of(-0.5))),
        ];
        assert_eq!(sounded(2, &keel, &mut instruments), None);
        let good = [Fact::DepthBelowKeel(Some(Metres::of(6.1)))];
        let depth = sounded(3, &good, &mut instruments).unwrap();
        assert!((depth.get() - 8.0).abs() < 1e-9);
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
