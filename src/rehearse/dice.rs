//! Random draws from a seed: uniform and normal, and the first-order Gauss-Markov process.
//!
//! The generator is `ChaCha8`, whose stream is the same on every machine. The normal draws go
//! through `ln` and `sqrt`; `ln` may differ in the last bit between platforms, so a night is
//! reproduced to the bit on one platform and to rounding on another.
//!
//! A Gauss-Markov process (Ornstein-Uhlenbeck; Uhlenbeck & Ornstein 1930) has the
//! autocorrelation `sigma² exp(-|t|/tau)`. It is stepped exactly,
//! `x' = x e^(-dt/tau) + sigma sqrt(1 - e^(-2 dt/tau)) n`, whatever the step; the tests measure
//! both parameters back.

use std::time::Duration;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng as _, SeedableRng as _};

/// A random source that gives the same draws for the same seed and purpose.
#[derive(Clone, Debug)]
pub struct Dice {
    generator: ChaCha8Rng,
    /// The polar method makes two normal draws at a time.
    spare: Option<f64>,
}

/// What the draws are for. Each purpose has a stream of its own, so that more draws by one part do
/// not change the draws of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Wind.
    Sea = 1,
    /// Sheering.
    Boat = 2,
    /// Errors of the instruments.
    Sensors = 3,
    /// Identifiers that a data server assigns.
    Server = 4,
    /// The course of a night's events.
    Story = 5,
    /// Errors of another receiver.
    Receiver = 6,
    /// How another boat hangs.
    Hanging = 7,
    /// What a second model of the sea draws apart from the night's events.
    Second = 8,
    /// Errors of a neighbour's receiver.
    Neighbour = 9,
}

impl Dice {
    /// The source for one purpose of one night.
    #[must_use]
    pub fn new(seed: u64, purpose: Purpose) -> Self {
        let mut generator = ChaCha8Rng::seed_from_u64(seed);
        generator.set_stream(purpose as u64);
        Self {
            generator,
            spare: None,
        }
    }

    /// 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.generator.next_u64()
    }

    /// Uniform in `0..1`.
    pub fn uniform(&mut self) -> f64 {
        // The 53 bits that a double can hold.
        (self.bits() >> 11) as f64 * (1.0 / 9_007_199_254_740_992.0)
    }

    /// Uniform in `low..high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    /// Normal with mean zero and deviation one, by the polar method (Marsaglia & Bray 1964).
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (x, y) = (self.between(-1.0, 1.0), self.between(-1.0, 1.0));
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                let factor = (-2.0 * square.ln() / square).sqrt();
                self.spare = Some(y * factor);
                return x * factor;
            }
        }
    }

    /// Whether something that happens `rate` times an hour on average happens within `step`.
    pub fn happens(&mut self, rate: f64, step: f64) -> bool {
        rate > 0.0 && self.uniform() < 1.0 - (-rate * step / 3600.0).exp()
    }
}

/// A first-order Gauss-Markov process with a fixed step.
#[derive(Clone, Copy, Debug)]
pub struct GaussMarkov {
    value: f64,
    decay: f64,
    kick: f64,
}

impl GaussMarkov {
    /// With standard deviation `sigma` and correlation time `tau`, both at least zero, started
    /// in its stationary state.
    #[must_use]
    pub fn new(sigma: f64, tau: Duration, step: Duration, dice: &mut Dice) -> Self {
        let tau = tau.as_secs_f64().max(1e-9);
        let decay = (-step.as_secs_f64() / tau).exp();
        Self {
            value: sigma * dice.normal(),
            decay,
            kick: sigma * (1.0 - decay * decay).sqrt(),
        }
    }

    /// Moves on by one step.
    pub fn step(&mut self, dice: &mut Dice) -> f64 {
        self.value = self.value * self.decay + self.kick * dice.normal();
        self.value
    }

    /// The present value.
    #[must_use]
    pub const fn value(&self) -> f64 {
        self.value
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// Standard deviation and the lag at which the autocorrelation has fallen to 1/e, in steps.
    pub(crate) fn deviation_and_memory(series: &[f64]) -> (f64, usize) {
        let mean = series.iter().sum::<f64>() / series.len() as f64;
        let covariance = |lag: usize| {
            let pairs = series.iter().zip(series.iter().skip(lag));
            pairs.map(|(a, b)| (a - mean) * (b - mean)).sum::<f64>() / (series.len() - lag) as f64
        };
        let variance = covariance(0);
        let memory = (1..series.len() / 4)
            .find(|&lag| covariance(lag) < variance / std::f64::consts::E)
            .unwrap_or(series.len());
        (variance.sqrt(), memory)
    }

    #[test]
    fn the_same_seed_gives_the_same_draws_and_purposes_do_not_share_them() {
        let draws = |seed, purpose| {
            let mut dice = Dice::new(seed, purpose);
            (0..5).map(|_| dice.normal().to_bits()).collect::<Vec<_>>()
        };
        assert_eq!(draws(7, Purpose::Sea), draws(7, Purpose::Sea));
        assert_ne!(draws(7, Purpose::Sea), draws(8, Purpose::Sea));
        assert_ne!(draws(7, Purpose::Sea), draws(7, Purpose::Boat));
    }

    /// Against the moments of the normal distribution (0, 1, 0, 3) and the share beyond 1.96
    /// (5 %); the bounds are four standard errors of 200 000 draws.
    #[test]
    fn normal_draws_are_normal() {
        let mut dice = Dice::new(1, Purpose::Story);
        let draws: Vec<f64> = (0..200_000).map(|_| dice.normal()).collect();
        let moment =
            |power: i32| draws.iter().map(|x| x.powi(power)).sum::<f64>() / draws.len() as f64;
        assert!(moment(1).abs() < 4.0 * 0.002_24);
        assert!((moment(2) - 1.0).abs() < 4.0 * 0.003_16);
        assert!(moment(3).abs() < 4.0 * 0.008_7);
        assert!((moment(4) - 3.0).abs() < 4.0 * 0.022);
        let beyond = draws.iter().filter(|x| x.abs() > 1.96).count() as f64 / 200_000.0;
        assert!((beyond - 0.05).abs() < 4.0 * 0.000_49, "{beyond}");
    }

    #[test]
    fn a_process_has_the_deviation_and_the_memory_it_was_given() {
        let mut dice = Dice::new(3, Purpose::Story);
        let (second, tau) = (Duration::from_secs(1), Duration::from_secs(20));
        let mut process = GaussMarkov::new(2.0, tau, second, &mut dice);
        let series: Vec<f64> = (0..100_000).map(|_| process.step(&mut dice)).collect();
        let (sigma, memory) = deviation_and_memory(&series);
        // 100 000 steps hold 2 500 independent values: the deviation is known to 1.4 %.
        assert!((sigma - 2.0).abs() < 0.12, "{sigma}");
        assert!((18..=22).contains(&memory), "{memory}");
    }

    /// Events at a rate are Poisson: 30 an hour over 100 hours are 3000 ± 55.
    #[test]
    fn events_come_at_their_rate() {
        let mut dice = Dice::new(5, Purpose::Story);
        let count = (0..360_000).filter(|_| dice.happens(30.0, 1.0)).count();
        assert!((2780..=3220).contains(&count), "{count}");
        assert!(!(0..1000).any(|_| dice.happens(0.0, 1.0)));
    }
}
