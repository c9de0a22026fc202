//! What the instruments make of the truth.
//!
//! *GNSS position.* On each axis the sum of two Gauss-Markov processes, one of minutes (ionosphere
//! residue, slow multipath; 150 s) and one of hours (orbits, clocks, troposphere; 5000 s), and white
//! noise. By default 0.7 m, 0.7 m and 0.3 m: 1.0 m an axis, 1.5 m root mean square over the
//! plane, a good receiver with augmentation (common practice, no source). Now and then multipath
//! shifts the fix by some metres for some seconds, all at once. Weakness: the shift stands still
//! while it lasts, and the axes are alike; at high latitudes north is worse.
//! *Speed and course* come from the Doppler shift and know nothing of the position's errors: the
//! antenna's velocity with white noise on each axis. At rest the course is thus meaningless, as
//! aboard.
//! *The others.* A constant bias and white noise each.
//!
//! Every instrument can be made to fail ([`Condition`]). A fix that is lost looks as data servers
//! show it: nulls and a method of "no GPS"; one that is [`Condition::Estimated`] goes on from the
//! last by dead reckoning and says so only in its method.

use std::f64::consts::TAU;
use std::time::Duration;

use crate::geodesy::{Offset, Plane, Position};
use crate::observation::FixMethod;
use crate::rehearse::boat::{BoatSettings, BoatState};
use crate::rehearse::dice::{Dice, GaussMarkov, Purpose};
use crate::rehearse::sea::{SeaState, Velocity};
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};

/// What the instruments are like. Deviations are standard deviations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SensorSettings {
    /// The plane on which the sea and the boat live.
    pub plane: Plane,
    /// From one reading to the next.
    pub period: Duration,
    /// Antenna aft of the stem.
    pub antenna_from_bow: Metres,
    /// Antenna to port of the centreline.
    pub antenna_from_centre: Metres,
    /// Stem ahead of midships.
    pub stem_ahead: Metres,
    /// Error of minutes on each axis: deviation and correlation time.
    pub drift_minutes: (Metres, Duration),
    /// Error of hours on each axis: deviation and correlation time.
    pub drift_hours: (Metres, Duration),
    /// White error of the position on each axis.
    pub jitter: Metres,
    /// Multipath shifts an hour.
    pub multipath_rate: f64,
    /// Dropouts an hour, of 5-60 s each.
    pub dropout_rate: f64,
    /// The position is given in whole thousandths of a minute, as many sentences do.
    pub coarse: bool,
    /// White error of the Doppler velocity on each axis.
    pub doppler: Speed,
    /// Constant error of the heading.
    pub heading_bias: Angle,
    /// White error of the heading.
    pub heading_noise: Angle,
    /// With a variation, positive east, the compass gives magnetic headings.
    pub variation: Option<Angle>,
    /// White error of the apparent wind's speed.
    pub wind_speed_noise: Speed,
    /// White error of the apparent wind's angle.
    pub wind_angle_noise: Angle,
    /// Transducer below the surface.
    pub transducer_depth: Metres,
    /// White error of the depth.
    pub depth_noise: Metres,
}

impl SensorSettings {
    /// Aboard a boat whose sea lies about a position: antenna on the pushpit to port.
    #[must_use]
    pub fn aboard(boat: &BoatSettings, origin: Position) -> Self {
        Self {
            plane: Plane::at(origin),
            period: Duration::from_secs(1),
            antenna_from_bow: boat.length * 0.82,
            antenna_from_centre: Metres::of(0.3),
            stem_ahead: boat.length * 0.5,
            drift_minutes: (Metres::of(0.7), Duration::from_secs(150)),
            drift_hours: (Metres::of(0.7), Duration::from_secs(5000)),
            jitter: Metres::of(0.3),
            multipath_rate: 0.2,
            dropout_rate: 0.0,
            coarse: false,
            doppler: Speed::of(0.05),
            heading_bias: Angle::from_degrees(1.5),
            heading_noise: Angle::from_degrees(0.7),
            variation: None,
            wind_speed_noise: Speed::of(0.3),
            wind_angle_noise: Angle::from_degrees(2.0),
            transducer_depth: Metres::of(0.5),
            depth_noise: Metres::of(0.05),
        }
    }
}

/// An instrument aboard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Instrument {
    /// Position, speed and course over the ground.
    Gnss,
    /// Heading.
    Compass,
    /// Apparent wind.
    Wind,
    /// Depth.
    Sounder,
    /// Revolutions.
    Engine,
}

/// How an instrument does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Condition {
    /// Well.
    #[default]
    Working,
    /// It says nothing at all.
    Silent,
    /// It says that it has lost its measurement.
    Lost,
    /// It repeats its last measurement as if it were new.
    Frozen,
    /// It carries on from its last measurement; only the GNSS does, the others freeze.
    Estimated,
}

/// What an instrument says of a quantity at one moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Reading<T> {
    /// Nothing.
    #[default]
    Silent,
    /// That it has lost it.
    Lost,
    /// This.
    Value(T),
}

impl<T> Reading<T> {
    /// `None` when silent, else what is said: a value or that it is lost.
    pub fn stated(self) -> Option<Option<T>> {
        match self {
            Self::Silent => None,
            Self::Lost => Some(None),
            Self::Value(value) => Some(Some(value)),
        }
    }
}

/// A satellite fix.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fix {
    /// Of the antenna.
    pub position: Position,
    /// Over the ground.
    pub speed: Speed,
    /// Over the ground, true.
    pub course: Bearing,
}

/// How good the receiver takes its fix to be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FixQuality {
    /// How it was come by.
    pub method: FixMethod,
    /// Used in it.
    pub satellites: u32,
    /// Horizontal dilution of precision.
    pub dilution: f64,
}

/// Everything the instruments say at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// When.
    pub at: Timestamp,
    /// The receiver's judgement, every few seconds and whenever the method changes.
    pub quality: Option<FixQuality>,
    /// The fix.
    pub fix: Reading<Fix>,
    /// By the compass: true or, with a variation set, magnetic.
    pub heading: Reading<Bearing>,
    /// Apparent wind: speed, and angle from the bow.
    pub wind: Reading<(Speed, Angle)>,
    /// Below the transducer.
    pub depth: Reading<Metres>,
    /// Of the engine.
    pub revolutions: Reading<Hertz>,
}

/// The instruments as they go on, in fixed periods.
#[derive(Clone, Debug)]
pub struct Sensors {
    settings: SensorSettings,
    dice: Dice,
    /// Position errors: east and north, of minutes and of hours.
    drift: [GaussMarkov; 4],
    multipath: Option<(Offset, f64)>,
    /// It shifted the last fix.
    shifted: bool,
    /// Seconds of dropout left.
    dropout: f64,
    conditions: [Condition; 5],
    satellites: GaussMarkov,
    /// Readings until the quality is due.
    quality_in: u32,
    last: Option<Sample>,
    last_method: FixMethod,
}

impl Sensors {
    /// Switched on.
    #[must_use]
    pub fn new(settings: SensorSettings, seed: u64) -> Self {
        let mut dice = Dice::new(seed, Purpose::Sensors);
        let period = settings.period;
        let mut drift = |(sigma, tau): (Metres, Duration)| {
            GaussMarkov::new(sigma.get(), tau, period, &mut dice)
        };
        let drift = [
            drift(settings.drift_minutes),
            drift(settings.drift_minutes),
            drift(settings.drift_hours),
            drift(settings.drift_hours),
        ];
        let satellites = GaussMarkov::new(1.5, Duration::from_mins(10), period, &mut dice);
        Self {
            settings,
            dice,
            drift,
            multipath: None,
            shifted: false,
            dropout: 0.0,
            conditions: [Condition::Working; 5],
            satellites,
            quality_in: 0,
            last: None,
            last_method: FixMethod::Satellite,
        }
    }

    /// What they are like.
    #[must_use]
    pub const fn settings(&self) -> &SensorSettings {
        &self.settings
    }

    /// Makes an instrument fail, or mends it.
    pub fn set(&mut self, instrument: Instrument, condition: Condition) {
        if let Some(slot) = self.conditions.get_mut(instrument as usize) {
            *slot = condition;
        }
    }

    /// Shifts the fix by so much for so long, as multipath does.
    pub fn multipath(&mut self, shift: Offset, duration: Duration) {
        self.multipath = Some((shift, duration.as_secs_f64()));
    }

    /// Whether multipath shifted the last fix.
    #[must_use]
    pub const fn shifted(&self) -> bool {
        self.shifted
    }

    /// Where the antenna truly is.
    #[must_use]
    pub fn antenna(&self, boat: &BoatState) -> Offset {
        let (ahead, port) = self.arm();
        boat.centre + Offset::from_boat(ahead, Metres::of(-port.get()), boat.heading)
    }

    /// Moves on by one period and reads every instrument.
    pub fn sample(&mut self, at: Timestamp, boat: &BoatState, sea: &SeaState) -> Sample {
        let shift = self.position_error();
        let (method, fix) = self.read_gnss(boat, shift);
        let quality = self.judge(method);
        let heading = boat.heading.turned(Angle::of(
            self.settings.heading_bias.get()
                + self.settings.heading_noise.get() * self.dice.normal()
                - self.settings.variation.unwrap_or_default().get(),
        ));
        let wind = self.read_wind(boat, sea);
        let depth = sea.depth(boat.centre) - self.settings.transducer_depth
            + self.settings.depth_noise * self.dice.normal();
        let sample = Sample {
            at,
            quality,
            fix,
            heading: self.shown(Instrument::Compass, heading, |last| last.heading),
            wind: self.shown(Instrument::Wind, wind, |last| last.wind),
            depth: self.shown(Instrument::Sounder, depth.max(Metres::ZERO), |last| {
                last.depth
            }),
            revolutions: self.shown(Instrument::Engine, boat.revolutions, |last| {
                last.revolutions
            }),
        };
        self.last = Some(sample);
        sample
    }

    fn position_error(&mut self) -> Offset {
        let [east, north, east_slow, north_slow] = &mut self.drift;
        let dice = &mut self.dice;
        let jitter = self.settings.jitter.get();
        let mut error = Offset {
            east: east.step(dice) + east_slow.step(dice) + jitter * dice.normal(),
            north: north.step(dice) + north_slow.step(dice) + jitter * dice.normal(),
        };
        let period = self.settings.period.as_secs_f64();
        if dice.happens(self.settings.multipath_rate, period) {
            let direction = Bearing::of(dice.between(0.0, TAU));
            let distance = Metres::of(dice.between(3.0, 14.0));
            let lasts = dice.between(5.0, 60.0);
            self.multipath = Some((Offset::polar(direction, distance), lasts));
        }
        self.shifted = self.multipath.is_some();
        if let Some((shift, left)) = &mut self.multipath {
            error = error + *shift;
            *left -= period;
            if *left <= 0.0 {
                self.multipath = None;
            }
        }
        if dice.happens(self.settings.dropout_rate, period) {
            self.dropout = dice.between(5.0, 60.0);
        } else {
            self.dropout = (self.dropout - period).max(0.0);
        }
        error
    }

    fn read_gnss(&mut self, boat: &BoatState, error: Offset) -> (FixMethod, Reading<Fix>) {
        let last = self.last.and_then(|last| last.fix.stated().flatten());
        let condition = self.condition(Instrument::Gnss);
        let doppler = self.settings.doppler.get();
        let noise = Velocity {
            east: doppler * self.dice.normal(),
            north: doppler * self.dice.normal(),
        };
        if condition == Condition::Silent {
            return (FixMethod::NoFix, Reading::Silent);
        }
        if condition == Condition::Lost || (condition == Condition::Working && self.dropout > 0.0) {
            return (FixMethod::NoFix, Reading::Lost);
        }
        match (condition, last) {
            (Condition::Frozen, Some(last)) => (FixMethod::Satellite, Reading::Value(last)),
            (Condition::Estimated, Some(last)) => {
                let run = last.speed.get() * self.settings.period.as_secs_f64();
                let position = last.position.moved(last.course, Metres::of(run));
                let fix = Fix { position, ..last };
                (FixMethod::DeadReckoning, Reading::Value(fix))
            }
            _ => {
                let position = self.settings.plane.position(self.antenna(boat) + error);
                let position = if self.settings.coarse {
                    thousandths(position)
                } else {
                    position
                };
                // The antenna swings about midships.
                let (ahead, port) = self.arm();
                let (sin, cos) = boat.heading.get().sin_cos();
                let swing = Velocity {
                    east: boat.yaw_rate * (ahead.get() * cos + port.get() * sin),
                    north: boat.yaw_rate * (port.get() * cos - ahead.get() * sin),
                };
                let velocity = boat.velocity + swing + noise;
                let fix = Fix {
                    position,
                    speed: velocity.speed(),
                    course: velocity.bearing(),
                };
                (FixMethod::Satellite, Reading::Value(fix))
            }
        }
    }

    fn judge(&mut self, method: FixMethod) -> Option<FixQuality> {
        let seen = 13.0 + self.satellites.step(&mut self.dice);
        let changed = method != self.last_method;
        self.last_method = method;
        if self.condition(Instrument::Gnss) == Condition::Silent {
            return None;
        }
        if self.quality_in > 0 && !changed {
            self.quality_in -= 1;
            return None;
        }
        self.quality_in = QUALITY_EVERY - 1;
        let seen = match method {
            FixMethod::Satellite | FixMethod::Manual | FixMethod::Simulator => seen,
            FixMethod::NoFix | FixMethod::DeadReckoning | FixMethod::Error => 2.0,
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to a count of satellites"
        )]
        let satellites = seen.round().clamp(0.0, 40.0) as u32;
        Some(FixQuality {
            method,
            satellites,
            // Falls with the number in view: 0.8 for 14, 1.6 for 7 (from memory).
            dilution: (110.0 / seen.max(1.0)).round() / 10.0,
        })
    }

    fn read_wind(&mut self, boat: &BoatState, sea: &SeaState) -> (Speed, Angle) {
        let air = sea.air - boat.velocity;
        let speed = air.speed() + self.settings.wind_speed_noise * self.dice.normal();
        let angle = air.bearing().reversed().since(boat.heading).get()
            + self.settings.wind_angle_noise.get() * self.dice.normal();
        (speed.max(Speed::ZERO), Angle::of(angle))
    }

    fn shown<T>(
        &self,
        instrument: Instrument,
        measured: T,
        last: impl Fn(&Sample) -> Reading<T>,
    ) -> Reading<T> {
        match self.condition(instrument) {
            Condition::Working => Reading::Value(measured),
            Condition::Silent => Reading::Silent,
            Condition::Lost => Reading::Lost,
            Condition::Frozen | Condition::Estimated => {
                self.last.as_ref().map_or_else(|| Reading::Silent, last)
            }
        }
    }

    fn condition(&self, instrument: Instrument) -> Condition {
        let condition = self.conditions.get(instrument as usize);
        condition.copied().unwrap_or_default()
    }

    /// The antenna ahead of midships and to port.
    fn arm(&self) -> (Metres, Metres) {
        (
            self.settings.stem_ahead - self.settings.antenna_from_bow,
            self.settings.antenna_from_centre,
        )
    }
}

fn thousandths(position: Position) -> Position {
    let round = |degrees: f64| (degrees * 60_000.0).round() / 60_000.0;
    Position::new(round(position.latitude()), round(position.longitude())).unwrap_or(position)
}

/// Readings from one quality report to the next.
const QUALITY_EVERY: u32 = 5;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::rehearse::boat::Boat;
    use crate::rehearse::dice::tests::deviation_and_memory;
    use crate::rehearse::sea::{Sea, SeaSettings};

    const STEP: Duration = Duration::from_millis(250);

    fn cove() -> Position {
        Position::new(59.8539, 23.26).unwrap()
    }

    fn settings() -> SensorSettings {
        SensorSettings::aboard(&BoatSettings::default(), cove())
    }

    fn still() -> (Boat, Sea) {
        let sea = Sea::new(SeaSettings::default(), STEP, 1);
        let heading = Bearing::from_degrees(70.0);
        let boat = Boat::under_way(BoatSettings::default(), STEP, Offset::ZERO, heading, 1);
        (boat, sea)
    }

    /// East and north errors of the fix against the true antenna, one a second.
    fn errors(settings: SensorSettings, seed: u64, count: usize) -> (Vec<f64>, Vec<f64>) {
        let (boat, sea) = still();
        let mut sensors = Sensors::new(settings, seed);
        let truth = sensors.antenna(boat.state());
        (0..count)
            .map(|_| {
                let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
                let fix = sample.fix.stated().unwrap().unwrap();
                let error = settings.plane.offset(fix.position) - truth;
                (error.east, error.north)
            })
            .unzip()
    }

    #[test]
    fn the_antenna_lies_aft_of_the_roller_and_to_port() {
        let (boat, _) = still();
        let sensors = Sensors::new(settings(), 1);
        // Roller at the origin, 0.4 m ahead of the stem; antenna 0.82 of 11.2 m aft of the stem.
        let antenna = sensors.antenna(boat.state());
        let (aft, port) = (0.4 + 0.82 * 11.2, 0.3);
        let heading = 70.0_f64.to_radians();
        let east = -aft * heading.sin() - port * heading.cos();
        let north = -aft * heading.cos() + port * heading.sin();
        assert!((antenna.east - east).abs() < 1e-9 && (antenna.north - north).abs() < 1e-9);
    }

    #[test]
    fn the_error_of_minutes_has_the_set_size_and_memory() {
        let only_minutes = SensorSettings {
            drift_hours: (Metres::ZERO, Duration::from_secs(5000)),
            jitter: Metres::ZERO,
            multipath_rate: 0.0,
            ..settings()
        };
        let (east, north) = errors(only_minutes, 3, 120_000);
        for axis in [east, north] {
            let (sigma, memory) = deviation_and_memory(&axis);
            // 400 independent values: the deviation is known to 3.5 %, the memory to about 10 %.
            assert!((sigma - 0.7).abs() < 0.08, "{sigma}");
            assert!((110..=190).contains(&memory), "{memory}");
        }
    }

    #[test]
    fn the_error_of_hours_has_the_set_size_and_memory() {
        let only_hours = SensorSettings {
            // One reading in 50 s, so that 400 memories are 40 000 readings.
            period: Duration::from_secs(50),
            drift_minutes: (Metres::ZERO, Duration::from_secs(150)),
            jitter: Metres::ZERO,
            multipath_rate: 0.0,
            ..settings()
        };
        let (east, north) = errors(only_hours, 4, 40_000);
        for axis in [east, north] {
            let (sigma, memory) = deviation_and_memory(&axis);
            assert!((sigma - 0.7).abs() < 0.08, "{sigma}");
            assert!((75..=130).contains(&memory), "{memory}");
        }
    }

    #[test]
    fn jitter_is_what_two_readings_differ_by() {
        let plain = SensorSettings {
            drift_minutes: (Metres::ZERO, Duration::from_secs(150)),
            drift_hours: (Metres::ZERO, Duration::from_secs(5000)),
            multipath_rate: 0.0,
            ..settings()
        };
        let (east, _) = errors(plain, 5, 20_000);
        let pairs = east.iter().zip(east.iter().skip(1));
        let square: f64 = pairs.map(|(a, b)| (a - b) * (a - b)).sum::<f64>() / 19_999.0;
        // Of independent readings twice the variance; 20 000 give it to 1 %.
        assert!((square / 2.0 - 0.09).abs() < 0.004, "{square}");
    }

    #[test]
    fn all_errors_together_make_a_metre_and_a_half() {
        // Nights with their own luck each: the mean square over 300 starts.
        let total: f64 = (0..300)
            .map(|seed| {
                let (east, north) = errors(settings(), seed, 1);
                east[0] * east[0] + north[0] * north[0]
            })
            .sum();
        // 600 squares: the root is known to 3 %.
        let root = (total / 300.0).sqrt();
        assert!((root - 1.46).abs() < 0.18, "{root}");
    }

    #[test]
    fn multipath_shifts_the_fix_as_often_as_set_and_doppler_does_not_see_it() {
        let often = SensorSettings {
            multipath_rate: 20.0,
            ..settings()
        };
        let (east, north) = errors(often, 6, 36_000);
        let steps = east.windows(2).zip(north.windows(2)).filter(|(e, n)| {
            let jump = (e[1] - e[0]).hypot(n[1] - n[0]);
            jump > 2.5
        });
        // 200 in ten hours, on and off each, less those that run into the next.
        let count = steps.count();
        assert!((300..=400).contains(&count), "{count}");
        assert!(east.iter().all(|e| e.abs() < 20.0));

        let (boat, sea) = still();
        let mut sensors = Sensors::new(settings(), 7);
        let at = Timestamp::EPOCH;
        let truth = sensors.antenna(boat.state());
        sensors.multipath(
            Offset {
                east: 12.0,
                north: 0.0,
            },
            Duration::from_secs(30),
        );
        for second in 0..60 {
            let sample = sensors.sample(at, boat.state(), sea.state());
            let fix = sample.fix.stated().unwrap().unwrap();
            let east = sensors.settings().plane.offset(fix.position).east - truth.east;
            assert_eq!(east > 6.0, second < 30, "{second} {east}");
            assert!(fix.speed.get() < 0.3);
        }
    }

    #[test]
    fn dropouts_lose_the_fix_and_say_so() {
        let (boat, sea) = still();
        let poor = SensorSettings {
            dropout_rate: 10.0,
            ..settings()
        };
        let mut sensors = Sensors::new(poor, 8);
        let mut lost = 0;
        let mut method = FixMethod::Satellite;
        for _ in 0..36_000 {
            let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
            method = sample.quality.map_or(method, |quality| quality.method);
            let gone = sample.fix == Reading::Lost;
            assert_eq!(gone, method == FixMethod::NoFix);
            lost += i32::from(gone);
        }
        // 100 of them, 32 s each on average.
        assert!((2200..=4200).contains(&lost), "{lost}");
    }

    #[test]
    fn the_coarse_grid_is_a_thousandth_of_a_minute() {
        let (boat, sea) = still();
        let coarse = SensorSettings {
            coarse: true,
            ..settings()
        };
        let mut sensors = Sensors::new(coarse, 9);
        for _ in 0..100 {
            let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
            let position = sample.fix.stated().unwrap().unwrap().position;
            for degrees in [position.latitude(), position.longitude()] {
                let thousandths = degrees * 60_000.0;
                assert!((thousandths - thousandths.round()).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn speed_course_heading_wind_and_depth_follow_the_truth() {
        let (mut boat, mut sea) = still();
        boat.steam_to(
            Offset {
                east: 2000.0,
                north: 0.0,
            },
            Speed::of(2.5),
        );
        let mut sensors = Sensors::new(settings(), 10);
        let mut sums = [0.0; 5];
        let (warm, count) = (200, 400);
        for second in 0..warm + count {
            (0..4).for_each(|_| _ = boat.step(sea.step()));
            let sample = sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
            if second < warm {
                continue;
            }
            let fix = sample.fix.stated().unwrap().unwrap();
            let (wind, angle) = sample.wind.stated().unwrap().unwrap();
            // Apparent wind plus own motion is the true wind again.
            let heading = boat.state().heading;
            let air = Velocity::towards(heading.turned(angle).reversed(), wind);
            let true_wind = air + boat.state().velocity - sea.state().air;
            let depth = sample.depth.stated().unwrap().unwrap();
            for (sum, value) in sums.iter_mut().zip([
                fix.speed.get() - 2.5,
                fix.course.since(Bearing::from_degrees(90.0)).degrees(),
                sample
                    .heading
                    .stated()
                    .unwrap()
                    .unwrap()
                    .since(heading)
                    .degrees(),
                true_wind.east,
                depth.get() - 7.5,
            ]) {
                *sum += value / f64::from(count);
            }
        }
        let [speed, course, heading, wind, depth] = sums;
        assert!(speed.abs() < 0.02, "{speed}");
        assert!(course.abs() < 1.0, "{course}");
        assert!((heading - 1.5).abs() < 0.2, "{heading}");
        assert!(wind.abs() < 0.15, "{wind}");
        assert!(depth.abs() < 0.02, "{depth}");
    }

    #[test]
    fn a_swinging_antenna_has_speed_though_midships_is_at_rest() {
        let (boat, sea) = still();
        let state = BoatState {
            yaw_rate: 0.1,
            heading: Bearing::from_degrees(0.0),
            ..*boat.state()
        };
        let exact = SensorSettings {
            doppler: Speed::ZERO,
            ..settings()
        };
        let mut sensors = Sensors::new(exact, 1);
        let sample = sensors.sample(Timestamp::EPOCH, &state, sea.state());
        let fix = sample.fix.stated().unwrap().unwrap();
        // She turns to starboard: the antenna, aft and to port, goes to port and a little ahead.
        let (aft, port) = (0.82 * 11.2 - 5.6, 0.3_f64);
        assert!((fix.speed.get() - 0.1 * f64::hypot(aft, port)).abs() < 1e-9);
        let course = (-aft).atan2(port).to_degrees() + 360.0;
        assert!((fix.course.degrees() - course).abs() < 1e-6);
    }

    #[test]
    fn instruments_fail_in_their_own_ways() {
        let (boat, sea) = still();
        let mut sensors = Sensors::new(settings(), 11);
        let read =
            |sensors: &mut Sensors| sensors.sample(Timestamp::EPOCH, boat.state(), sea.state());
        let good = read(&mut sensors);
        sensors.set(Instrument::Gnss, Condition::Frozen);
        sensors.set(Instrument::Wind, Condition::Silent);
        sensors.set(Instrument::Sounder, Condition::Lost);
        sensors.set(Instrument::Compass, Condition::Frozen);
        let bad = read(&mut sensors);
        assert_eq!(bad.fix, good.fix);
        assert_eq!(bad.heading, good.heading);
        assert_eq!(bad.wind, Reading::Silent);
        assert_eq!(bad.depth.stated(), Some(None));
        sensors.set(Instrument::Gnss, Condition::Estimated);
        let estimated = read(&mut sensors);
        assert_eq!(estimated.quality.unwrap().method, FixMethod::DeadReckoning);
        assert!(matches!(estimated.fix, Reading::Value(_)));
        sensors.set(Instrument::Gnss, Condition::Silent);
        let silent = read(&mut sensors);
        assert_eq!((silent.fix, silent.quality), (Reading::Silent, None));
        sensors.set(Instrument::Gnss, Condition::Working);
        assert_eq!(
            read(&mut sensors).quality.unwrap().method,
            FixMethod::Satellite
        );
    }

    #[test]
    fn the_same_seed_gives_the_same_readings() {
        assert_eq!(errors(settings(), 1, 50), errors(settings(), 1, 50));
        assert_ne!(errors(settings(), 1, 50), errors(settings(), 2, 50));
    }
}
