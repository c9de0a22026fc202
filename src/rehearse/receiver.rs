//! Receivers whose error is not the two Gauss-Markov processes of [`sensors`](super::sensors): one that
//! differs in kind, and one that repeats what a real receiver did.
//!
//! *Wandering.* Flicker noise (a spectrum that falls as `1/f`) as the sum of values that are held for 1, 2,
//! 4 ... 8192 s and then redrawn (Voss; described by Gardner, Scientific American, April 1978); a random
//! walk that turns round at a wall; and multipath in steps. A step lasts from seconds to ten minutes,
//! log-uniformly; its size falls off exponentially, and it moves to another place while it lasts. The speed
//! over the ground lags by a filter and reads zero below a threshold, as with many receivers. Weakness: the
//! figures are chosen; no source gives how often each occurs.
//!
//! *Recorded.* The errors of a receiver that stood still, second by second, played back and forth from a place
//! that depends on the night's seed, and turned by a multiple of a right angle. Only the position is real: speed
//! and course come from the simulation.

use std::sync::Arc;
use std::time::Duration;

use crate::geodesy::Offset;
use crate::rehearse::dice::{Dice, Purpose};
use crate::rehearse::sea::Velocity;
use crate::units::{Bearing, Metres, Speed};

/// See the module documentation.
#[derive(Clone, Debug)]
pub enum Receiver {
    /// Flicker, random walk and steps.
    Wandering(Box<Wandering>),
    /// The errors of a real receiver.
    Recorded(Played),
}

impl Receiver {
    /// Its next error, this long after the last; `None` where it has no fix.
    pub(super) fn step(&mut self, period: Duration) -> Option<Offset> {
        match self {
            Self::Wandering(wandering) => Some(wandering.step(period.as_secs_f64())),
            Self::Recorded(played) => played.step(),
        }
    }

    /// Whether the last error contains a step of multipath.
    pub(super) const fn shifted(&self) -> bool {
        match self {
            Self::Wandering(wandering) => wandering.multipath.is_some(),
            Self::Recorded(_) => false,
        }
    }

    /// The velocity it reports.
    pub(super) fn velocity(&mut self, measured: Velocity, period: Duration) -> Velocity {
        match self {
            Self::Wandering(wandering) => wandering.velocity(measured, period),
            Self::Recorded(_) => measured,
        }
    }
}

/// What a wandering receiver is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WanderingSettings {
    /// Standard deviation of the flicker noise on each axis.
    pub flicker: Metres,
    /// How far the random walk goes within an hour on each axis.
    pub walk: Metres,
    /// Where it turns round.
    pub wall: Metres,
    /// Steps of multipath an hour.
    pub steps: f64,
    /// Their mean size.
    pub step: Metres,
    /// Time constant of the speed's lag.
    pub lag: Duration,
    /// Below this speed it reads zero.
    pub threshold: Speed,
}

/// Flicker, random walk and steps.
#[derive(Clone, Debug)]
pub struct Wandering {
    settings: WanderingSettings,
    dice: Dice,
    seconds: u64,
    /// East and north, held for 1, 2, 4 ... s.
    held: [Offset; OCTAVES],
    walk: Offset,
    multipath: Option<Multipath>,
    velocity: Velocity,
}

#[derive(Clone, Copy, Debug)]
struct Multipath {
    shift: Offset,
    left: f64,
    /// Time until it moves.
    moves_in: f64,
}

impl Wandering {
    /// Switched on.
    #[must_use]
    pub fn new(settings: WanderingSettings, seed: u64) -> Self {
        let mut dice = Dice::new(seed, Purpose::Receiver);
        let sigma = settings.flicker.get() / (OCTAVES as f64).sqrt();
        let held = std::array::from_fn(|_| draw(&mut dice, sigma));
        let wall = settings.wall.get();
        let walk = Offset {
            east: dice.between(-wall, wall),
            north: dice.between(-wall, wall),
        };
        Self {
            settings,
            dice,
            seconds: 0,
            held,
            walk,
            multipath: None,
            velocity: Velocity::REST,
        }
    }

    fn step(&mut self, period: f64) -> Offset {
        self.seconds += 1;
        let sigma = self.settings.flicker.get() / (OCTAVES as f64).sqrt();
        for (octave, held) in (0..).zip(&mut self.held) {
            if self.seconds.is_multiple_of(1 << octave) {
                *held = draw(&mut self.dice, sigma);
            }
        }
        let pace = self.settings.walk.get() * (period / 3600.0).sqrt();
        let wall = self.settings.wall.get();
        let walk = self.walk + draw(&mut self.dice, pace);
        self.walk = Offset {
            east: turned_round(walk.east, wall),
            north: turned_round(walk.north, wall),
        };
        self.reflect(period);
        let mut error = self.walk;
        for held in self.held {
            error = error + held;
        }
        self.multipath.map_or(error, |step| error + step.shift)
    }

    fn reflect(&mut self, period: f64) {
        if self.dice.happens(self.settings.steps, period) {
            self.multipath = Some(Multipath {
                shift: self.shift(),
                left: SHORTEST * LONGEST_OVER_SHORTEST.powf(self.dice.uniform()),
                moves_in: self.dice.between(5.0, 60.0),
            });
        }
        let Some(mut step) = self.multipath else {
            return;
        };
        step.left -= period;
        step.moves_in -= period;
        if step.moves_in <= 0.0 {
            step.shift = step.shift * 0.5 + self.shift() * 0.5;
            step.moves_in = self.dice.between(5.0, 60.0);
        }
        self.multipath = (step.left > 0.0).then_some(step);
    }

    fn shift(&mut self) -> Offset {
        let size = -self.settings.step.get() * (1.0 - self.dice.uniform()).ln();
        let towards = Bearing::of(self.dice.between(0.0, std::f64::consts::TAU));
        Offset::polar(towards, Metres::of(size.min(LARGEST)))
    }

    fn velocity(&mut self, measured: Velocity, period: Duration) -> Velocity {
        self.velocity = self.velocity.filtered(measured, period, self.settings.lag);
        if self.velocity.speed() < self.settings.threshold {
            return Velocity::REST;
        }
        self.velocity
    }
}

fn draw(dice: &mut Dice, sigma: f64) -> Offset {
    Offset {
        east: sigma * dice.normal(),
        north: sigma * dice.normal(),
    }
}

fn turned_round(place: f64, wall: f64) -> f64 {
    if place > wall {
        2.0 * wall - place
    } else if place < -wall {
        -2.0 * wall - place
    } else {
        place
    }
}

/// The errors of a real receiver that stood still, one a second; `None` where it had no fix.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    /// Its name.
    pub name: String,
    /// Its reported position, relative to the true one.
    pub errors: Vec<Option<Offset>>,
}

/// A recording during playback.
#[derive(Clone, Debug)]
pub struct Played {
    recording: Arc<Recording>,
    at: usize,
    backwards: bool,
    quarters: u64,
}

impl Played {
    /// Starts from a place and in a direction of its own.
    #[must_use]
    pub fn new(recording: Arc<Recording>, seed: u64) -> Self {
        let mut dice = Dice::new(seed, Purpose::Receiver);
        let count = recording.errors.len().max(1) as u64;
        Self {
            at: usize::try_from(dice.bits() % count).unwrap_or_default(),
            backwards: dice.uniform() < 0.5,
            quarters: dice.bits() % 4,
            recording,
        }
    }

    fn step(&mut self) -> Option<Offset> {
        let last = self.recording.errors.len().checked_sub(1)?;
        if self.backwards && self.at == 0 {
            self.backwards = false;
        } else if !self.backwards && self.at >= last {
            self.backwards = true;
        }
        self.at = if self.backwards {
            self.at.saturating_sub(1)
        } else {
            (self.at + 1).min(last)
        };
        let mut error = (*self.recording.errors.get(self.at)?)?;
        for _ in 0..self.quarters {
            error = Offset {
                east: -error.north,
                north: error.east,
            };
        }
        Some(error)
    }
}

/// Held for 1 s to 8192 s.
const OCTAVES: usize = 14;
/// Shortest multipath, seconds; the longest lasts ten minutes.
const SHORTEST: f64 = 5.0;
const LONGEST_OVER_SHORTEST: f64 = 120.0;
/// Metres.
const LARGEST: f64 = 20.0;

#[cfg(test)]
mod tests {
    use super::*;

    const SECOND: Duration = Duration::from_secs(1);

    fn settings() -> WanderingSettings {
        WanderingSettings {
            flicker: Metres::of(1.0),
            walk: Metres::ZERO,
            wall: Metres::ZERO,
            steps: 0.0,
            step: Metres::of(4.0),
            lag: SECOND,
            threshold: Speed::of(0.1),
        }
    }

    fn errors(settings: WanderingSettings, count: usize) -> Vec<f64> {
        let mut wandering = Wandering::new(settings, 5);
        (0..count).map(|_| wandering.step(1.0).east).collect()
    }

    /// The spectrum of flicker noise falls as 1/f, so means over twice the time have nearly the same spread. For white
    /// noise the variance halves, and so it does for a Gauss-Markov process once the means are longer than its
    /// correlation time (Barnes and Allan 1966, from memory: the Allan variance of flicker noise is flat).
    #[test]
    fn the_allan_variance_of_flicker_noise_is_flat() {
        let all = errors(settings(), 1 << 19);
        let allan = |span: usize| {
            let means: Vec<f64> = all
                .chunks_exact(span)
                .map(|chunk| chunk.iter().sum::<f64>() / span as f64)
                .collect();
            let pairs = means.windows(2).map(|pair| (pair[1] - pair[0]).powi(2));
            pairs.sum::<f64>() / (2 * (means.len() - 1)) as f64
        };
        let (short, long) = (allan(8), allan(512));
        assert!((0.6..1.7).contains(&(long / short)), "{short} {long}");
    }

    #[test]
    fn steps_come_as_often_as_they_should_and_a_walk_stays_within_its_walls() {
        let stepping = WanderingSettings {
            flicker: Metres::ZERO,
            steps: 4.0,
            ..settings()
        };
        let mut wandering = Wandering::new(stepping, 3);
        let mut came = 0;
        for _ in 0..360_000 {
            let before = wandering.multipath.is_some();
            wandering.step(1.0);
            came += u32::from(wandering.multipath.is_some() && !before);
        }
        // 400 are expected; some begin while another lasts.
        assert!((280..420).contains(&came), "{came}");
        let walking = WanderingSettings {
            flicker: Metres::ZERO,
            walk: Metres::of(3.0),
            wall: Metres::of(4.0),
            ..settings()
        };
        let most = errors(walking, 200_000)
            .into_iter()
            .fold(0.0_f64, |most, error| most.max(error.abs()));
        assert!((3.0..4.1).contains(&most), "{most}");
    }

    #[test]
    fn a_slow_speed_reads_nought_and_a_fast_one_lags() {
        let mut wandering = Wandering::new(settings(), 1);
        let slow = Velocity {
            east: 0.05,
            north: 0.0,
        };
        for _ in 0..20 {
            assert_eq!(wandering.velocity(slow, SECOND), Velocity::REST);
        }
        let fast = Velocity {
            east: 1.0,
            north: 0.0,
        };
        let first = wandering.velocity(fast, SECOND).east;
        assert!((0.6..0.7).contains(&first), "{first}");
    }

    #[test]
    fn a_recording_is_played_to_and_fro_without_a_jump() {
        let errors: Vec<Option<Offset>> = (0..50)
            .map(|n| {
                (n != 20).then_some(Offset {
                    east: f64::from(n),
                    north: 0.0,
                })
            })
            .collect();
        let recording = Arc::new(Recording {
            name: "ramp".to_owned(),
            errors,
        });
        for seed in 0..8 {
            let mut played = Played::new(recording.clone(), seed);
            let mut last: Option<Offset> = None;
            let mut none = 0;
            for _ in 0..500 {
                let error = played.step();
                none += u32::from(error.is_none());
                if let (Some(before), Some(now)) = (last, error) {
                    assert!((now - before).length().get() < 1.1);
                }
                last = error;
            }
            assert!((8..14).contains(&none), "{none}");
        }
    }
}
