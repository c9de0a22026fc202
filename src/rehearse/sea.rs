//! Wind, tide, stream and bottom: what the boat is exposed to.
//!
//! *Wind.* A schedule of mean direction and speed with smooth transitions between its knots (the
//! cubic `3s² - 2s³`), so that a front of 140° can come through within minutes. A turn goes the
//! shorter way; a longer one needs a knot in between. Gusts (a Gauss-Markov factor on the speed)
//! and a slow meander of the direction are added to the mean.
//! Turbulence over open water is 10-15 % of the mean at the height of a mast, with a time scale of
//! tens of seconds (from memory; the class C curve of IEC 61400-1 starts at 12 %). Weakness: the
//! gusts have only the exponential spectrum, and there are no squalls; put those into the schedule.
//!
//! *Tide.* `mean + M2 + S2` as cosines with the speeds of Schureman (1958), table 2: enough for
//! springs, neaps and a height that changes by metres in a night; no station's tide.
//! *Stream.* Along one axis, in proportion to the rise of the tide (a standing wave: slack at high
//! and low water), reaching its set rate at the steepest springs.
//!
//! *Bottom.* A plane.

use std::time::Duration;

use crate::geodesy::Offset;
use crate::rehearse::dice::{Dice, GaussMarkov, Purpose};
use crate::units::{Angle, Bearing, Metres, Speed};

/// A velocity over the ground, metres a second.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Velocity {
    /// Towards east.
    pub east: f64,
    /// Towards true north.
    pub north: f64,
}

impl Velocity {
    /// At rest.
    pub const REST: Self = Self {
        east: 0.0,
        north: 0.0,
    };

    /// The bearing it comes from, and its speed.
    #[must_use]
    pub fn towards(bearing: Bearing, speed: Speed) -> Self {
        let (sin, cos) = bearing.get().sin_cos();
        Self {
            east: speed.get() * sin,
            north: speed.get() * cos,
        }
    }

    /// What a first-order filter with this time constant makes of `measured`, one period after this value.
    #[must_use]
    pub fn filtered(self, measured: Self, period: Duration, lags: Duration) -> Self {
        if lags.is_zero() {
            return measured;
        }
        let share = 1.0 - (-period.as_secs_f64() / lags.as_secs_f64()).exp();
        Self {
            east: self.east + (measured.east - self.east) * share,
            north: self.north + (measured.north - self.north) * share,
        }
    }

    /// The speed.
    #[must_use]
    pub fn speed(self) -> Speed {
        // Not `hypot`: this is called in every step, and no wind overflows a square.
        Speed::of((self.east * self.east + self.north * self.north).sqrt())
    }

    /// The direction it goes to; north when at rest.
    #[must_use]
    pub fn bearing(self) -> Bearing {
        Bearing::of(self.east.atan2(self.north))
    }
}

impl std::ops::Add for Velocity {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            east: self.east + other.east,
            north: self.north + other.north,
        }
    }
}

impl std::ops::Sub for Velocity {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self {
            east: self.east - other.east,
            north: self.north - other.north,
        }
    }
}

/// The mean wind at one moment of the schedule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindKnot {
    /// When, since the start.
    pub at: Duration,
    /// Where it comes from, true.
    pub direction: Bearing,
    /// How strong.
    pub speed: Speed,
}

impl WindKnot {
    /// Wind from this bearing, in degrees, this long after the start.
    #[must_use]
    pub fn new(at: Duration, degrees: f64, speed: Speed) -> Self {
        Self {
            at,
            direction: Bearing::from_degrees(degrees),
            speed,
        }
    }
}

/// A tidal constituent: `amplitude cos(speed t - phase)` with `t` since the start.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Constituent {
    /// Half its range.
    pub amplitude: Metres,
    /// How far before its high water the night begins.
    pub phase: Angle,
}

/// A bottom that is a plane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seabed {
    /// Charted depth at the plane's origin.
    pub charted: Metres,
    /// Direction in which it deepens most, true.
    pub deepens_towards: Bearing,
    /// Slope in that direction, metres a metre.
    pub slope: f64,
}

/// The parts of a night's sea.
#[derive(Clone, Debug, PartialEq)]
pub struct SeaSettings {
    /// The mean wind, in order of time; before the first and after the last knot it is steady.
    /// Without a knot it is calm.
    pub wind: Vec<WindKnot>,
    /// Standard deviation of the gusts as a share of the mean speed.
    pub gust: f64,
    /// How long a gust lasts.
    pub gust_time: Duration,
    /// Standard deviation of the direction about its mean.
    pub meander: Angle,
    /// How long a swing of the direction lasts.
    pub meander_time: Duration,
    /// Mean level above chart datum.
    pub mean_level: Metres,
    /// The principal lunar constituent.
    pub m2: Constituent,
    /// The principal solar constituent.
    pub s2: Constituent,
    /// Greatest rate of the stream, if there is one.
    pub stream: Speed,
    /// Where the flood sets, true; the ebb sets the other way.
    pub flood: Bearing,
    /// The bottom.
    pub seabed: Seabed,
}

impl Default for SeaSettings {
    /// A fresh south-westerly over eight metres at mean level, no tide.
    fn default() -> Self {
        Self {
            wind: vec![WindKnot::new(Duration::ZERO, 225.0, Speed::of(8.0))],
            gust: 0.13,
            gust_time: Duration::from_secs(25),
            meander: Angle::from_degrees(5.0),
            meander_time: Duration::from_mins(4),
            mean_level: Metres::ZERO,
            m2: Constituent::default(),
            s2: Constituent::default(),
            stream: Speed::ZERO,
            flood: Bearing::from_degrees(0.0),
            seabed: Seabed {
                charted: Metres::of(8.0),
                deepens_towards: Bearing::from_degrees(0.0),
                slope: 0.0,
            },
        }
    }
}

/// The state of the sea at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeaState {
    /// Velocity of the air over the ground; the wind comes from the opposite of its bearing.
    pub air: Velocity,
    /// Direction from which the mean wind of the schedule comes.
    pub mean_direction: Bearing,
    /// Speed of the mean wind of the schedule.
    pub mean_speed: Speed,
    /// Height of tide above chart datum.
    pub tide: Metres,
    /// Velocity of the water over the ground.
    pub stream: Velocity,
    /// The bottom.
    pub seabed: Seabed,
}

impl SeaState {
    /// Where the wind comes from just now, true.
    #[must_use]
    pub fn wind_direction(&self) -> Bearing {
        self.air.bearing().reversed()
    }

    /// Depth of water at a point of the plane, zero where it falls dry.
    #[must_use]
    pub fn depth(&self, at: Offset) -> Metres {
        let (sin, cos) = self.seabed.deepens_towards.get().sin_cos();
        let down = (at.east * sin + at.north * cos) * self.seabed.slope;
        (self.seabed.charted + Metres::of(down) + self.tide).max(Metres::ZERO)
    }
}

/// The sea, moved on in fixed steps.
#[derive(Clone, Debug)]
pub struct Sea {
    settings: SeaSettings,
    dice: Dice,
    gust: GaussMarkov,
    meander: GaussMarkov,
    step: f64,
    steps: u64,
    /// Steps from one update of the tide to the next: it is slow.
    tide_every: u64,
    /// The last knot already passed.
    knot: usize,
    state: SeaState,
}

impl Sea {
    /// At the start of the night.
    #[must_use]
    pub fn new(settings: SeaSettings, step: Duration, seed: u64) -> Self {
        let mut dice = Dice::new(seed, Purpose::Sea);
        let gust = GaussMarkov::new(settings.gust, settings.gust_time, step, &mut dice);
        let meander = GaussMarkov::new(
            settings.meander.get(),
            settings.meander_time,
            step,
            &mut dice,
        );
        let state = SeaState {
            air: Velocity::REST,
            mean_direction: Bearing::default(),
            mean_speed: Speed::ZERO,
            tide: Metres::ZERO,
            stream: Velocity::REST,
            seabed: settings.seabed,
        };
        let mut sea = Self {
            settings,
            dice,
            gust,
            meander,
            step: step.as_secs_f64(),
            steps: 0,
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a whole number of at least one; a cast beyond the range saturates"
            )]
            tide_every: (TIDE_EVERY / step.as_secs_f64()).floor().max(1.0) as u64,
            knot: 0,
            state,
        };
        sea.settle();
        sea
    }

    /// The present state.
    #[must_use]
    pub const fn state(&self) -> &SeaState {
        &self.state
    }

    /// Moves on by one step.
    pub fn step(&mut self) -> &SeaState {
        self.steps += 1;
        self.gust.step(&mut self.dice);
        self.meander.step(&mut self.dice);
        self.settle();
        &self.state
    }

    fn settle(&mut self) {
        let seconds = self.steps as f64 * self.step;
        let (direction, speed) = self.mean_wind(seconds);
        self.state.mean_direction = direction;
        self.state.mean_speed = speed;
        let from = direction.turned(Angle::of(self.meander.value()));
        let factor = (1.0 + self.gust.value()).max(LEAST_GUST_FACTOR);
        self.state.air = Velocity::towards(from.reversed(), speed * factor);

        if self.steps.is_multiple_of(self.tide_every) {
            self.turn_tide(seconds);
        }
    }

    fn turn_tide(&mut self, seconds: f64) {
        let (m2, s2) = (&self.settings.m2, &self.settings.s2);
        let wave = |constituent: &Constituent, speed: f64| {
            let (sin, cos) = (speed * seconds - constituent.phase.get()).sin_cos();
            let amplitude = constituent.amplitude.get();
            (amplitude * cos, -amplitude * speed * sin)
        };
        let (m2_height, m2_rise) = wave(m2, M2_SPEED);
        let (s2_height, s2_rise) = wave(s2, S2_SPEED);
        self.state.tide = self.settings.mean_level + Metres::of(m2_height + s2_height);
        let steepest = m2.amplitude.get() * M2_SPEED + s2.amplitude.get() * S2_SPEED;
        self.state.stream = if steepest > 0.0 {
            let share = (m2_rise + s2_rise) / steepest;
            Velocity::towards(self.settings.flood, self.settings.stream * share)
        } else {
            Velocity::REST
        };
    }

    fn mean_wind(&mut self, seconds: f64) -> (Bearing, Speed) {
        let wind = &self.settings.wind;
        while wind
            .get(self.knot + 1)
            .is_some_and(|next| next.at.as_secs_f64() <= seconds)
        {
            self.knot += 1;
        }
        match (wind.get(self.knot), wind.get(self.knot + 1)) {
            (None, _) => (Bearing::default(), Speed::ZERO),
            (Some(here), Some(next)) if here.at.as_secs_f64() < seconds => {
                let start = here.at.as_secs_f64();
                let share = (seconds - start) / (next.at.as_secs_f64() - start);
                let smooth = share * share * (3.0 - 2.0 * share);
                let turn = next.direction.since(here.direction).get() * smooth;
                (
                    here.direction.turned(Angle::of(turn)),
                    here.speed + (next.speed - here.speed) * smooth,
                )
            }
            (Some(here), _) => (here.direction, here.speed),
        }
    }
}

/// Radians a second of the principal lunar constituent: 28.984 104 2 degrees an hour.
const M2_SPEED: f64 = 28.984_104_2 / 3600.0 * std::f64::consts::PI / 180.0;
/// Radians a second of the principal solar constituent: 30 degrees an hour.
const S2_SPEED: f64 = 30.0 / 3600.0 * std::f64::consts::PI / 180.0;
/// Seconds from one update of the tide to the next; it rises by less than a millimetre in between.
const TIDE_EVERY: f64 = 2.0;
/// A lull leaves at least this share of the mean wind; air does not stop dead under a gradient.
const LEAST_GUST_FACTOR: f64 = 0.3;

#[cfg(test)]
pub(in crate::rehearse) mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::rehearse::dice::tests::deviation_and_memory;

    const SECOND: Duration = Duration::from_secs(1);

    pub(in crate::rehearse) fn knot(minutes: u64, direction: f64, speed: f64) -> WindKnot {
        WindKnot::new(Duration::from_mins(minutes), direction, Speed::of(speed))
    }

    /// A first-order filter has taken in 63 % of a step after one time constant, and 95 % after three.
    #[test]
    fn a_filtered_velocity_follows_with_its_time_constant() {
        let (east, lags) = (|east| Velocity { east, north: 0.0 }, SECOND * 6);
        let mut filtered = Velocity::REST;
        let mut after = Vec::new();
        for _ in 0..18 {
            filtered = filtered.filtered(east(2.0), SECOND, lags);
            after.push(filtered.east / 2.0);
        }
        assert!((after[5] - 0.632).abs() < 1e-3 && (after[17] - 0.950).abs() < 1e-3);
        assert_eq!(
            filtered.filtered(east(1.0), SECOND, Duration::ZERO),
            east(1.0)
        );
    }

    #[test]
    fn the_same_seed_brings_the_same_wind() {
        let run = |seed| {
            let mut sea = Sea::new(SeaSettings::default(), SECOND, seed);
            (0..500).for_each(|_| _ = sea.step());
            *sea.state()
        };
        assert_eq!(run(4), run(4));
        assert_ne!(run(4).air, run(5).air);
    }

    #[test]
    fn a_front_turns_the_wind_in_its_time_and_by_the_shorter_way() {
        let settings = SeaSettings {
            wind: vec![
                knot(0, 300.0, 8.0),
                knot(60, 300.0, 8.0),
                knot(66, 80.0, 14.0),
            ],
            gust: 0.0,
            meander: Angle::ZERO,
            ..SeaSettings::default()
        };
        let mut sea = Sea::new(settings, SECOND, 1);
        let mut at = |second: u64, from: u64| {
            (from..second).for_each(|_| _ = sea.step());
            (
                sea.state().wind_direction().degrees(),
                sea.state().air.speed().get(),
            )
        };
        let close = |(direction, speed): (f64, f64), wanted: f64, strong: f64| {
            assert!((direction - wanted).abs() < 1e-6, "{direction}");
            assert!((speed - strong).abs() < 1e-6, "{speed}");
        };
        close(at(3600, 0), 300.0, 8.0);
        // Half-way: 300° and 80° are 140° apart by way of north.
        close(at(3780, 3600), 10.0, 11.0);
        close(at(3960, 3780), 80.0, 14.0);
        close(at(9000, 3960), 80.0, 14.0);
    }

    #[test]
    fn gusts_and_meander_have_the_set_size_and_memory() {
        let mut sea = Sea::new(SeaSettings::default(), SECOND, 11);
        let (speeds, turns): (Vec<f64>, Vec<f64>) = (0..200_000)
            .map(|_| {
                let state = sea.step();
                let turn = state.wind_direction().since(state.mean_direction);
                (state.air.speed().get(), turn.degrees())
            })
            .unzip();
        let (gust, gust_time) = deviation_and_memory(&speeds);
        assert!((gust / 8.0 - 0.13).abs() < 0.006, "{gust}");
        assert!((22..=28).contains(&gust_time), "{gust_time}");
        let (meander, meander_time) = deviation_and_memory(&turns);
        assert!((meander - 5.0).abs() < 0.5, "{meander}");
        assert!((195..=285).contains(&meander_time), "{meander_time}");
    }

    #[test]
    fn the_tide_turns_with_its_period_and_the_stream_is_slack_at_high_water() {
        let settings = SeaSettings {
            mean_level: Metres::of(2.0),
            m2: Constituent {
                amplitude: Metres::of(1.5),
                phase: Angle::ZERO,
            },
            stream: Speed::of(0.8),
            flood: Bearing::from_degrees(90.0),
            ..SeaSettings::default()
        };
        let mut sea = Sea::new(settings, SECOND, 1);
        assert!((sea.state().tide.get() - 3.5).abs() < 1e-9);
        assert!(sea.state().stream.speed().get() < 1e-9);
        // The lunar semidiurnal tide returns after 12 h 25.2 min (44 714 s).
        (0..44_714 / 4).for_each(|_| _ = sea.step());
        assert!((sea.state().tide.get() - 2.0).abs() < 1e-3);
        // It is falling: the ebb runs west at its full rate.
        assert!((sea.state().stream.east + 0.8).abs() < 1e-3);
        (0..44_714 / 4).for_each(|_| _ = sea.step());
        assert!((sea.state().tide.get() - 0.5).abs() < 1e-3);
        assert!((sea.state().depth(Offset::ZERO).get() - 8.5).abs() < 1e-3);
    }

    #[test]
    fn the_bottom_slopes_and_falls_dry_but_not_below_that() {
        let settings = SeaSettings {
            seabed: Seabed {
                charted: Metres::of(2.0),
                deepens_towards: Bearing::from_degrees(270.0),
                slope: 0.05,
            },
            ..SeaSettings::default()
        };
        let sea = Sea::new(settings, SECOND, 1);
        let depth = |east| sea.state().depth(Offset { east, north: 3.0 }).get();
        assert!((depth(-100.0) - 7.0).abs() < 1e-9);
        assert!(depth(100.0).abs() < 1e-9);
    }

    #[test]
    fn without_a_schedule_it_is_calm() {
        let settings = SeaSettings {
            wind: Vec::new(),
            ..SeaSettings::default()
        };
        let mut sea = Sea::new(settings, SECOND, 1);
        assert!(sea.step().air.speed().get() < 1e-12);
    }
}
