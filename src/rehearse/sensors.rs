//! What the instruments make of the truth.
//!
//! *GNSS position.* On each axis the sum of two Gauss-Markov processes, one of minutes (ionosphere
//! residue, slow multipath; 150 s) and one of hours (orbits, clocks, troposphere; 5000 s), and white
//! noise. By default 0.7 m, 0.7 m and 0.3 m: 1.0 m an axis, 1.5 m root mean square over the
//! plane, a good receiver with augmentation (common practice, no source). Now and then multipath
//! shifts the fix by some metres for some seconds, all at once or at a given speed. Weakness: in between the shift stands
//! still, and the axes are alike; at high latitudes north is worse.
//! *Speed and course* come from the Doppler shift and are independent of the position's errors: the
//! antenna's velocity with white noise on each axis. So the course means nothing at rest, as
//! aboard. A receiver may smooth the velocity and not the position; the filter stands still during a dropout.
//! *The others.* A constant bias and white noise each.
//!
//! Every instrument can be made to fail ([`Condition`]). A lost fix looks as data servers show it:
//! nulls and a method of "no GPS". A fix that is [`Condition::Estimated`] continues from the last
//! one by dead reckoning and shows this only in its method.

use std::f64::consts::TAU;
use std::time::Duration;

use serde::Deserialize;

use crate::geodesy::{Offset, Plane, Position};
use crate::observation::FixMethod;
use crate::rehearse::boat::{BoatSettings, BoatState};
use crate::rehearse::dice::{Dice, GaussMarkov, Purpose};
use crate::rehearse::receiver::Receiver;
use crate::rehearse::sea::{SeaState, Velocity};
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};

/// Properties of the instruments. Deviations are standard deviations.
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
    /// How fast a shift builds up; at once if not set.
    pub multipath_builds: Option<Speed>,
    /// How fast it goes; at once if not set.
    pub multipath_goes: Option<Speed>,
    /// Dropouts an hour, of 5-60 s each.
    pub dropout_rate: f64,
    /// The position is given in whole thousandths of a minute, as many sentences do.
    pub coarse: bool,
    /// White error of the Doppler velocity on each axis.
    pub doppler: Speed,
    /// Time constant of the filter that the receiver puts over its velocity, but not over its position.
    pub velocity_lags: Duration,
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
    /// Instruments aboard a boat whose sea lies around a position: antenna on the pushpit to port.
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
            multipath_builds: None,
            multipath_goes: None,
            dropout_rate: 0.0,
            coarse: false,
            doppler: Speed::of(0.05),
            velocity_lags: Duration::ZERO,
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
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
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

/// The condition of an instrument.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Condition {
    /// It works.
    #[default]
    Working,
    /// It sends nothing at all.
    Silent,
    /// It reports that it has lost its measurement.
    Lost,
    /// It repeats its last measurement as if it were new.
    Frozen,
    /// It continues from its last measurement; only the GNSS does this, the others freeze.
    Estimated,
}

/// What an instrument reports for a quantity at one moment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Reading<T> {
    /// Nothing.
    #[default]
    Silent,
    /// That the quantity is lost.
    Lost,
    /// This value.
    Value(T),
}

impl<T> Reading<T> {
    /// `None` when silent, otherwise what is reported: a value or that it is lost.
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
    /// Position of the antenna.
    pub position: Position,
    /// Speed over the ground.
    pub speed: Speed,
    /// Course over the ground, true.
    pub course: Bearing,
}

/// The receiver's own estimate of how good its fix is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FixQuality {
    /// Method of the fix.
    pub method: FixMethod,
    /// Satellites used in the fix.
    pub satellites: u32,
    /// Horizontal dilution of precision.
    pub dilution: f64,
}

/// Everything the instruments report at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// When.
    pub at: Timestamp,
    /// The receiver's own estimate, every few seconds and whenever the method changes.
    pub quality: Option<FixQuality>,
    /// The fix.
    pub fix: Reading<Fix>,
    /// Compass heading: true or, with a variation set, magnetic.
    pub heading: Reading<Bearing>,
    /// Apparent wind: speed, and angle from the bow.
    pub wind: Reading<(Speed, Angle)>,
    /// Below the transducer.
    pub depth: Reading<Metres>,
    /// Revolutions of the engine.
    pub revolutions: Reading<Hertz>,
}

/// A reflection's shift of the fix.
#[derive(Clone, Copy, Debug)]
struct Multipath {
    shift: Offset,
    past: f64,
    left: f64,
}

impl Multipath {
    const fn new(shift: Offset, lasts: f64) -> Self {
        Self {
            shift,
            past: 0.0,
            left: lasts,
        }
    }

    /// The shift now; it builds up and goes at these speeds.
    fn step(&mut self, period: f64, builds: Option<Speed>, goes: Option<Speed>) -> Offset {
        let length = self.shift.length().get().max(1e-3);
        let share = |speed: Option<Speed>, time: f64| {
            speed.map_or(1.0, |speed| (speed.get() * time / length).min(1.0))
        };
        let share = share(builds, self.past).min(share(goes, self.left));
        self.past += period;
        self.left -= period;
        self.shift * share
    }
}

/// The instruments, moved on in fixed periods.
#[derive(Clone, Debug)]
pub struct Sensors {
    settings: SensorSettings,
    dice: Dice,
    /// The receiver, if it is of another kind.
    receiver: Option<Receiver>,
    /// Position errors: east and north, of minutes and of hours.
    drift: [GaussMarkov; 4],
    multipath: Option<Multipath>,
    /// Whether multipath shifted the last fix.
    shifted: bool,
    /// The velocity as the receiver's filter has it.
    velocity: Velocity,
    /// Seconds of dropout left.
    dropout: f64,
    conditions: [Condition; 5],
    satellites: GaussMarkov,
    /// Readings until the next quality report.
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
            receiver: None,
            drift,
            multipath: None,
            shifted: false,
            velocity: Velocity::REST,
            dropout: 0.0,
            conditions: [Condition::Working; 5],
            satellites,
            quality_in: 0,
            last: None,
            last_method: FixMethod::Satellite,
        }
    }

    /// With a receiver of another kind: its errors replace those of the position, and its velocity the usual
    /// one. White noise of the velocity and dropouts stay.
    #[must_use]
    pub fn with_receiver(mut self, receiver: Receiver) -> Self {
        self.receiver = Some(receiver);
        self
    }

    /// Makes an instrument fail, or repairs it.
    pub fn set(&mut self, instrument: Instrument, condition: Condition) {
        if let Some(slot) = self.conditions.get_mut(instrument as usize) {
            *slot = condition;
        }
    }

    /// Shifts the fix by this much for this long, as multipath does.
    pub fn multipath(&mut self, shift: Offset, duration: Duration) {
        self.multipath = Some(Multipath::new(shift, duration.as_secs_f64()));
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
            self.multipath = Some(Multipath::new(Offset::polar(direction, distance), lasts));
        }
        self.shifted = self.multipath.is_some();
        if let Some(multipath) = &mut self.multipath {
            let SensorSettings {
                multipath_builds,
                multipath_goes,
                ..
            } = self.settings;
            error = error + multipath.step(period, multipath_builds, multipath_goes);
            if multipath.left <= 0.0 {
                self.multipath = None;
            }
        }
        if let Some(receiver) = &mut self.receiver {
            let other = receiver.step(self.settings.period);
            self.shifted = receiver.shifted();
            if other.is_none() {
                // This period uses up one of them.
                self.dropout = self.dropout.max(2.0 * period);
            }
            error = other.unwrap_or_default();
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
                let (period, lags) = (self.settings.period, self.settings.velocity_lags);
                self.velocity = self.velocity.filtered(boat.velocity + swing, period, lags);
                let mut velocity = self.velocity + noise;
                if let Some(receiver) = &mut self.receiver {
                    velocity = receiver.velocity(velocity, self.settings.period);
                }
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
mod tests;
