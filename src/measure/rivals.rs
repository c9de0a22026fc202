//! What the watch is compared with: circles about the mark, and oracles that have data no watch can have.
//!
//! Each is a number that grows with the evidence. An alarm is raised where it passes a threshold,
//! and the threshold is tuned afterwards ([`super::tally`]). A [`Ladder`] records where each level
//! was first passed, so that any threshold can be tried without running the night again.
//!
//! **Circle.** `|antenna - mark| - (reach + arm)`: the crew's circle drawn with all the geometry
//! available, on raw fixes; the margin beyond it is tuned. With persistence: the minimum over the
//! last ten seconds.
//!
//! **Drawn.** `|antenna - mark| - (rode + 10 m)`: the same as a crew draws it on a chart, not tuned.
//!
//! **Oracle.** It has the true anchor, the reach, the lever arm, the times of multipath, and the
//! parameters of the noise: two Gauss-Markov processes and white noise. For the mean over a window
//! of `T` seconds the variance of a process is `2σ²(τ/T)(1 - (τ/T)(1 - e^(-T/τ)))`. The number is
//! the greatest `mean / deviation` of the excess over the reach among windows of 1 s to 20 min, the
//! generalised likelihood ratio of a step that began with the window.
//!
//! **Limit.** It also has the tension of the rode, so any metre the anchor moves shows at once,
//! under the receiver's noise alone. A Kalman filter of the noise whitens it; the innovations are
//! searched for the signature of a ramp or a step at each of 120 onsets within the last 20 minutes
//! (Willsky & Jones 1976). No watch can be better.

use std::collections::VecDeque;

/// Where each level of a number was first passed.
#[derive(Clone, Debug)]
pub struct Ladder {
    step: f64,
    /// The highest number while the anchor held.
    pub quiet: f64,
    /// Level, seconds since the anchor began to move, metres it had moved.
    pub rungs: Vec<(f64, f64, f64)>,
}

impl Ladder {
    /// A ladder with levels this far apart.
    #[must_use]
    pub const fn new(step: f64) -> Self {
        Self {
            step,
            quiet: f64::NEG_INFINITY,
            rungs: Vec::new(),
        }
    }

    /// Takes the number; `drag` is the time and distance since the anchor began to move.
    pub fn take(&mut self, number: f64, drag: Option<(f64, f64)>) {
        match drag {
            None => self.quiet = self.quiet.max(number),
            Some((seconds, moved)) => {
                let top = self.rungs.last().map_or(f64::NEG_INFINITY, |rung| rung.0);
                if number >= top + self.step {
                    self.rungs.push((number, seconds, moved));
                }
            }
        }
    }

    /// When `threshold` was passed: seconds and metres.
    #[must_use]
    pub fn passed(&self, threshold: f64) -> Option<(f64, f64)> {
        self.rungs
            .iter()
            .find(|rung| rung.0 >= threshold)
            .map(|rung| (rung.1, rung.2))
    }
}

/// The minimum over the last ten seconds.
#[derive(Clone, Debug, Default)]
pub struct Persistence {
    last: VecDeque<f64>,
}

impl Persistence {
    /// Takes a number, returns the minimum of the last ten.
    pub fn take(&mut self, number: f64) -> f64 {
        self.last.push_back(number);
        if self.last.len() > 10 {
            self.last.pop_front();
        }
        if self.last.len() < 10 {
            return f64::NEG_INFINITY;
        }
        self.last.iter().copied().fold(f64::INFINITY, f64::min)
    }
}

/// The receiver's noise on one axis: deviation and correlation time of two processes, white noise.
#[derive(Clone, Copy, Debug)]
pub struct Noise {
    /// Process of minutes.
    pub minutes: (f64, f64),
    /// Process of hours.
    pub hours: (f64, f64),
    /// White noise.
    pub white: f64,
}

impl Noise {
    /// Deviation of the mean over `seconds`.
    #[must_use]
    pub fn of_mean(&self, seconds: f64) -> f64 {
        let part = |(sigma, tau): (f64, f64)| {
            let r = tau / seconds;
            2.0 * sigma * sigma * r * (1.0 - r * (1.0 - (-1.0 / r).exp()))
        };
        let white = self.white * self.white / seconds.max(1.0);
        (part(self.minutes) + part(self.hours) + white).sqrt()
    }
}

/// See the module documentation.
#[derive(Clone, Debug)]
pub struct Oracle {
    /// Running sums of the excess, one a second.
    sums: VecDeque<f64>,
    deviations: [f64; WINDOWS.len()],
}

impl Oracle {
    /// An oracle for this noise.
    #[must_use]
    pub fn new(noise: &Noise) -> Self {
        Self {
            sums: VecDeque::from([0.0]),
            deviations: WINDOWS.map(|seconds| noise.of_mean(seconds as f64)),
        }
    }

    /// Takes the excess over the true reach, once a second.
    pub fn take(&mut self, excess: f64) -> f64 {
        let last = self.sums.back().copied().unwrap_or(0.0);
        self.sums.push_back(last + excess);
        if self.sums.len() > LONGEST + 1 {
            self.sums.pop_front();
        }
        let now = self.sums.len() - 1;
        let mut most = f64::NEG_INFINITY;
        for (window, deviation) in WINDOWS.iter().zip(self.deviations) {
            if let Some(then) = now.checked_sub(*window).and_then(|at| self.sums.get(at)) {
                let mean = (last + excess - then) / *window as f64;
                most = most.max(mean / deviation);
            }
        }
        most
    }
}

/// See the module documentation.
#[derive(Clone, Debug)]
pub struct Limit {
    decay: [f64; 2],
    drive: [f64; 2],
    white: f64,
    mean: [f64; 2],
    cover: [[f64; 2]; 2],
    onsets: VecDeque<Onset>,
    second: u64,
}

/// A change that may have begun at one moment: the remainder of a ramp's and a step's signature
/// after the filter has followed it.
#[derive(Clone, Copy, Debug, Default)]
struct Onset {
    age: f64,
    ramp: Signature,
    step: Signature,
}

#[derive(Clone, Copy, Debug, Default)]
struct Signature {
    state: [f64; 2],
    with: f64,
    own: f64,
}

impl Limit {
    /// A limit for this noise.
    #[must_use]
    pub fn new(noise: &Noise) -> Self {
        let parts = [noise.minutes, noise.hours];
        let decay = parts.map(|(_, tau)| (-1.0 / tau).exp());
        let variance = parts.map(|(sigma, _)| sigma * sigma);
        Self {
            decay,
            drive: [
                variance[0] * (1.0 - decay[0] * decay[0]),
                variance[1] * (1.0 - decay[1] * decay[1]),
            ],
            white: noise.white * noise.white,
            mean: [0.0; 2],
            cover: [[variance[0], 0.0], [0.0, variance[1]]],
            onsets: VecDeque::new(),
            second: 0,
        }
    }

    /// Lets a second pass.
    fn pass(&mut self) {
        let [a, b] = self.decay;
        self.mean = [self.mean[0] * a, self.mean[1] * b];
        let c = &mut self.cover;
        c[0][0] = c[0][0] * a * a + self.drive[0];
        c[1][1] = c[1][1] * b * b + self.drive[1];
        c[0][1] *= a * b;
        for onset in &mut self.onsets {
            onset.age += 1.0;
            onset.ramp.pass(self.decay);
            onset.step.pass(self.decay);
        }
        self.second += 1;
        if self.second.is_multiple_of(ONSET_EVERY) {
            self.onsets.push_back(Onset::default());
            if self.onsets.len() > ONSETS {
                self.onsets.pop_front();
            }
        }
    }

    /// Takes the metres the anchor seems to have moved, and the seconds since the last call.
    pub fn take(&mut self, moved: f64, seconds: u64) -> f64 {
        for _ in 0..seconds {
            self.pass();
        }
        let c = &mut self.cover;
        let columns = [c[0][0] + c[0][1], c[0][1] + c[1][1]];
        let spread = columns[0] + columns[1] + self.white;
        let gain = [columns[0] / spread, columns[1] / spread];
        let innovation = moved - self.mean[0] - self.mean[1];
        self.mean[0] += gain[0] * innovation;
        self.mean[1] += gain[1] * innovation;
        c[0][0] -= gain[0] * columns[0];
        c[0][1] -= gain[0] * columns[1];
        c[1][1] -= gain[1] * columns[1];
        c[1][0] = c[0][1];
        let mut most: f64 = 0.0;
        for onset in &mut self.onsets {
            let ramp = onset.ramp.take(onset.age, innovation, spread, gain);
            let step = onset.step.take(1.0, innovation, spread, gain);
            most = most.max(ramp).max(step);
        }
        most
    }
}

impl Signature {
    fn pass(&mut self, decay: [f64; 2]) {
        self.state = [self.state[0] * decay[0], self.state[1] * decay[1]];
    }

    fn take(&mut self, shape: f64, innovation: f64, spread: f64, gain: [f64; 2]) -> f64 {
        let left = shape - self.state[0] - self.state[1];
        self.state[0] += gain[0] * left;
        self.state[1] += gain[1] * left;
        self.with += left * innovation / spread;
        self.own += left * left / spread;
        if self.with > 0.0 && self.own > 0.0 {
            self.with / self.own.sqrt()
        } else {
            0.0
        }
    }
}

const WINDOWS: [usize; 9] = [1, 5, 15, 30, 60, 120, 300, 600, LONGEST];
const LONGEST: usize = 1200;
const ONSET_EVERY: u64 = 10;
const ONSETS: usize = 120;
