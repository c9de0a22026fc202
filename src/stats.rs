//! Small statistics that the judgement uses: means of directions and running scatter.
//!
//! Directions are averaged as vectors (Mardia & Jupp 2000, *Directional Statistics*, section 2.2): the mean
//! of 350° and 10° is north. The length of the mean vector `R` (0 scattered, 1 steady) shows whether the
//! mean is meaningful.

use std::collections::VecDeque;
use std::time::Duration;

use crate::time::Tick;
use crate::units::Bearing;

/// The mean of several directions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeanDirection {
    /// Direction of the resultant vector.
    pub bearing: Bearing,
    /// Length of the mean vector, from 0 (no direction at all) to 1 (all the same).
    pub steadiness: f64,
}

/// Directions seen within a sliding window, each with a weight. With the wind's speed as the weight, a lull
/// counts for little: a vane points anywhere then.
///
/// Bounded: samples closer together than a 240th of the window are merged into one.
#[derive(Clone, Debug)]
pub struct DirectionWindow {
    window: Duration,
    samples: VecDeque<Sample>,
    /// Sum of all kept samples.
    sum: Sum,
    /// How often the sum was updated since it was last added up from scratch.
    carried: u32,
}

#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    east: f64,
    north: f64,
    weight: f64,
}

#[derive(Clone, Copy, Debug)]
struct Sample {
    at: Tick,
    east: f64,
    north: f64,
    weight: f64,
}

impl DirectionWindow {
    /// An empty window of this length.
    #[must_use]
    pub const fn new(window: Duration) -> Self {
        Self {
            window,
            samples: VecDeque::new(),
            sum: Sum {
                east: 0.0,
                north: 0.0,
                weight: 0.0,
            },
            carried: 0,
        }
    }

    /// Takes a direction; weights that are not positive are ignored.
    pub fn push(&mut self, at: Tick, bearing: Bearing, weight: f64) {
        if !(weight > 0.0 && weight.is_finite()) {
            return;
        }
        let (sin, cos) = bearing.get().sin_cos();
        let sample = Sample {
            at,
            east: sin * weight,
            north: cos * weight,
            weight,
        };
        self.sum.add(&sample, 1.0);
        match self.samples.back_mut() {
            Some(last) if at.since(last.at) < self.window / SAMPLES => {
                last.east += sample.east;
                last.north += sample.north;
                last.weight += sample.weight;
            }
            _ => self.samples.push_back(sample),
        }
        self.forget(at);
    }

    /// The mean over the window that ends now; `None` without samples or when they cancel out.
    #[must_use]
    pub fn mean(&self, now: Tick) -> Option<MeanDirection> {
        let front = self.samples.front()?;
        let Sum {
            east,
            north,
            weight,
        } = if now.since(front.at) <= self.window {
            self.sum
        } else {
            let within = |s: &&Sample| now.since(s.at) <= self.window;
            Sum::of(self.samples.iter().filter(within))
        };
        let length = east.hypot(north);
        (weight > 0.0 && length > 0.0).then(|| MeanDirection {
            bearing: Bearing::of(east.atan2(north)),
            steadiness: length / weight,
        })
    }

    /// How much of the window the samples span, from the oldest kept one to now.
    #[must_use]
    pub fn span(&self, now: Tick) -> Duration {
        self.samples
            .iter()
            .map(|s| now.since(s.at))
            .find(|age| *age <= self.window)
            .unwrap_or_default()
    }

    fn forget(&mut self, now: Tick) {
        while self
            .samples
            .front()
            .is_some_and(|s| now.since(s.at) > self.window)
        {
            if let Some(gone) = self.samples.pop_front() {
                self.sum.add(&gone, -1.0);
            }
        }
        // Adding and later subtracting a sample leaves its rounding error behind.
        self.carried += 1;
        if self.carried >= SAMPLES {
            self.carried = 0;
            self.sum = Sum::of(self.samples.iter());
        }
    }
}

impl Sum {
    fn of<'a>(samples: impl Iterator<Item = &'a Sample>) -> Self {
        let mut sum = Self::default();
        for sample in samples {
            sum.add(sample, 1.0);
        }
        sum
    }

    fn add(&mut self, sample: &Sample, sign: f64) {
        self.east += sign * sample.east;
        self.north += sign * sample.north;
        self.weight += sign * sample.weight;
    }
}

/// Exponentially weighted mean of an irregularly sampled value.
///
/// The weight of a sample falls by a factor of `e` in one time constant, whatever the sampling rate.
#[derive(Clone, Copy, Debug)]
pub struct Running {
    tau: Duration,
    state: Option<(Tick, f64)>,
}

impl Running {
    /// An empty mean with this time constant.
    #[must_use]
    pub const fn new(tau: Duration) -> Self {
        Self { tau, state: None }
    }

    /// Takes a sample; a sample that is not finite is ignored.
    pub fn push(&mut self, at: Tick, value: f64) {
        if !value.is_finite() {
            return;
        }
        self.state = Some(match self.state {
            None => (at, value),
            Some((last, mean)) => {
                let gain = 1.0 - (-at.secs_since(last) / self.tau.as_secs_f64().max(1e-9)).exp();
                (at.max(last), mean + gain * (value - mean))
            }
        });
    }

    /// The mean, once there is a sample.
    #[must_use]
    pub fn mean(&self) -> Option<f64> {
        self.state.map(|(_, mean)| mean)
    }
}

/// The median (of an even number, the upper of the two middle values); `None` when there are no values.
#[must_use]
pub fn median(values: &mut [f64]) -> Option<f64> {
    if values.is_empty() {
        return None;
    }
    let middle = values.len() / 2;
    let (_, value, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    Some(*value)
}

const SAMPLES: u32 = 240;

#[cfg(test)]
mod tests {
    use super::*;

    fn degrees(window: &DirectionWindow, now: Tick) -> f64 {
        window.mean(now).unwrap().bearing.degrees()
    }

    /// Mardia & Jupp, section 2.2: the arithmetic mean of 350° and 10° (180°) is the wrong way.
    #[test]
    fn the_mean_of_350_and_10_is_north() {
        let mut window = DirectionWindow::new(Duration::from_secs(60));
        window.push(Tick::from_secs(1), Bearing::from_degrees(350.0), 1.0);
        window.push(Tick::from_secs(2), Bearing::from_degrees(10.0), 1.0);
        let mean = window.mean(Tick::from_secs(2)).unwrap();
        let off_north = mean.bearing.since(Bearing::default()).degrees();
        assert!(off_north.abs() < 1e-9);
        assert!((mean.steadiness - 10.0_f64.to_radians().cos()).abs() < 1e-9);
    }

    #[test]
    fn samples_outside_the_window_are_forgotten_and_memory_is_bounded() {
        let mut window = DirectionWindow::new(Duration::from_secs(100));
        for second in 0..10_000 {
            window.push(
                Tick::from_millis(second * 100),
                Bearing::from_degrees(90.0),
                1.0,
            );
        }
        assert!(window.samples.len() <= SAMPLES as usize + 1);
        window.push(Tick::from_secs(1200), Bearing::from_degrees(180.0), 1.0);
        assert!((degrees(&window, Tick::from_secs(1200)) - 180.0).abs() < 1e-9);
        assert!(window.mean(Tick::from_secs(9999)).is_none());
    }

    #[test]
    fn opposite_directions_have_no_steadiness() {
        let mut window = DirectionWindow::new(Duration::from_secs(60));
        for second in 0..10 {
            let bearing = Bearing::from_degrees(if second % 2 == 0 { 0.0 } else { 180.0 });
            window.push(Tick::from_secs(second), bearing, 1.0);
        }
        let steadiness = window
            .mean(Tick::from_secs(10))
            .map_or(0.0, |m| m.steadiness);
        assert!(steadiness < 1e-9);
    }

    /// A square wave about zero.
    #[test]
    fn the_running_mean_evens_out_and_ignores_what_is_no_number() {
        let mut running = Running::new(Duration::from_secs(100));
        for second in 0..5000 {
            let value = if second % 2 == 0 { 3.0 } else { -3.0 };
            running.push(Tick::from_secs(second), value);
        }
        running.push(Tick::from_secs(5001), f64::NAN);
        assert!(running.mean().unwrap().abs() < 0.1);
    }

    #[test]
    fn median_of_three() {
        assert_eq!(median(&mut [3.0, 1.0, 2.0]), Some(2.0));
        assert_eq!(median(&mut []), None);
    }
}
