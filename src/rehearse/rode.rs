//! The pull of a chain on the boat by the distance between anchor and bow roller.
//!
//! A chain of length `L` and weight in water `w` hangs from the roller, `h` above the bottom. With
//! the horizontal pull `H` and `a = H/w`:
//!
//! - part of it lies on the bottom while `s = sqrt(h² + 2ah) < L`; then the distance is
//!   `L - s + a acosh(1 + h/a)`;
//! - else it is all off the bottom and the distance is `2a asinh(q/2a)` with `q = sqrt(L² - h²)`,
//!   and it leads up from the anchor at an angle;
//! - nearer than `L - h` it hangs straight down and does not pull.
//!
//! Chain hardly stretches, and near `q` the catenary alone becomes as stiff as a wall. As aboard, a
//! nylon snubber is in series: `x(H) = x_catenary(H) + H/k`. It limits the stiffness to `k` and so
//! the step of the integration. `x(H)` is increasing and concave, so Newton's method, started from
//! the pull of the previous step, approaches from below after one step and converges.
//!
//! Weakness: static (no inertia or drag of the chain in the water, which damp a real one), the
//! bottom level between anchor and boat.
//! Source: the closed forms of the catenary; checked against exact values computed elsewhere.

use crate::units::{Angle, Metres};

/// A rode as it lies: what is out, over what height, how heavy and how stiff.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rode {
    /// Length out, from the roller.
    pub length: Metres,
    /// Height of the roller above the bottom at the anchor.
    pub height: Metres,
    /// Weight in sea water, newtons a metre.
    pub weight: f64,
    /// Stiffness of the snubber, newtons a metre.
    pub stiffness: f64,
}

/// What the rode does to the boat.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pull {
    /// Horizontal pull towards the anchor, newtons.
    pub newtons: f64,
    /// How fast the pull grows with distance, newtons a metre; zero when slack.
    pub stiffness: f64,
}

impl Rode {
    /// Weight in sea water of a steel chain, newtons a metre: 0.8694 of `mass` (kg/m) times g
    /// (steel 7850, sea water 1025 kg/m³).
    #[must_use]
    pub fn chain_weight(mass: f64) -> f64 {
        (1.0 - SEA_WATER / STEEL) * mass * GRAVITY
    }

    /// The farthest that the chain alone can reach.
    #[must_use]
    pub fn reach(&self) -> Metres {
        Metres::of(self.square().sqrt())
    }

    /// Horizontal distance of the chain alone, not the snubber, under a pull in newtons.
    #[must_use]
    pub fn distance(&self, newtons: f64) -> Metres {
        Metres::of(self.catenary(newtons.max(LEAST_PULL)).0)
    }

    /// How steeply the chain leads up from the anchor under a pull in newtons; zero while part
    /// of it lies on the bottom.
    #[must_use]
    pub fn lead(&self, newtons: f64) -> Angle {
        let a = newtons.max(LEAST_PULL) / self.weight;
        let height = self.height.get();
        if height * height + 2.0 * a * height < self.length.get() * self.length.get() {
            return Angle::ZERO;
        }
        let half = (self.square().sqrt() / (2.0 * a)).asinh();
        let middle = (height / self.length.get()).min(STEEPEST).atanh();
        Angle::of((middle - half).sinh().atan())
    }

    /// The pull at a distance; `before` is the pull of the previous step, or any other value.
    #[must_use]
    pub fn pull(&self, distance: Metres, before: f64) -> Pull {
        let distance = distance.get();
        if distance <= self.length.get() - self.height.get() {
            return Pull::default();
        }
        let mut pull = Pull {
            newtons: before.max(1.0),
            stiffness: 0.0,
        };
        for _ in 0..MOST_ROUNDS {
            let (chain, give) = self.catenary(pull.newtons);
            let missing = distance - chain - pull.newtons / self.stiffness;
            pull.stiffness = 1.0 / (give + 1.0 / self.stiffness);
            let next = (pull.newtons + missing * pull.stiffness).max(LEAST_PULL);
            let done = (next - pull.newtons).abs() <= PRECISION * (1.0 + pull.newtons);
            pull.newtons = next;
            if done {
                break;
            }
        }
        pull
    }

    /// Distance of the chain and its growth with the pull.
    fn catenary(&self, newtons: f64) -> (f64, f64) {
        let (length, height) = (self.length.get(), self.height.get());
        let a = newtons / self.weight;
        let hanging = (height * height + 2.0 * a * height).sqrt();
        if hanging < length {
            let arc = (1.0 + height / a).acosh();
            (
                length - hanging + a * arc,
                (arc - 2.0 * height / hanging) / self.weight,
            )
        } else {
            let half = self.square().sqrt() / (2.0 * a);
            let arc = half.asinh();
            (
                2.0 * a * arc,
                2.0 * (arc - half / half.hypot(1.0)) / self.weight,
            )
        }
    }

    /// As a share of the reach. A rode that does not even get to the bottom has next to no reach.
    fn square(&self) -> f64 {
        let (length, height) = (self.length.get(), self.height.get());
        (length * length - height * height).max(0.01)
    }
}

const STEEL: f64 = 7850.0;
const SEA_WATER: f64 = 1025.0;
const GRAVITY: f64 = 9.806_65;
/// A pull below this counts as none, newtons.
const LEAST_PULL: f64 = 1e-3;
/// Ratio of height to length beyond which the chain counts as upright.
const STEEPEST: f64 = 0.999_999;
/// The search ends when the pull changes by less than this share; the remaining error is about its square.
const PRECISION: f64 = 1e-4;
/// Two or three iterations are enough from the previous step; from slack to taut takes a dozen.
const MOST_ROUNDS: usize = 40;

#[cfg(test)]
mod tests {
    use super::*;

    fn rode(mass: f64, length: f64, height: f64) -> Rode {
        Rode {
            length: Metres::of(length),
            height: Metres::of(height),
            weight: Rode::chain_weight(mass),
            stiffness: 8000.0,
        }
    }

    /// Kilogrammes a metre, metres out, metres of height, newtons; metres of distance, degrees of
    /// lead. Computed outside this program from the closed forms with g = 9.80665, steel 7850, sea
    /// 1025.
    const EXACT: [(f64, f64, f64, f64, f64, f64); 10] = [
        (1.4, 30.0, 6.0, 50.0, 27.1494, 0.0),
        (1.4, 30.0, 6.0, 500.0, 28.9517, 0.0),
        (1.4, 30.0, 6.0, 1000.0, 29.2452, 1.615),
        (1.4, 30.0, 6.0, 10000.0, 29.3924, 10.55),
        (1.4, 40.0, 8.0, 200.0, 37.56, 0.0),
        (1.4, 40.0, 8.0, 5000.0, 39.1776, 8.9),
        (2.25, 40.0, 8.0, 1000.0, 38.5553, 0.0),
        (2.25, 40.0, 8.0, 2000.0, 38.9647, 0.909),
        (2.25, 50.0, 12.0, 50.0, 41.9057, 0.0),
        (2.25, 50.0, 12.0, 10000.0, 48.5211, 11.284),
    ];

    #[test]
    fn distance_and_lead_agree_with_exact_values() {
        for (mass, length, height, newtons, distance, lead) in EXACT {
            let rode = rode(mass, length, height);
            let found = rode.distance(newtons).get();
            assert!((found - distance).abs() < 6e-5, "{found} {distance}");
            let found = rode.lead(newtons).degrees();
            assert!((found - lead).abs() < 6e-4, "{found} {lead}");
        }
    }

    #[test]
    fn the_pull_at_a_distance_inverts_the_distance_at_a_pull_from_any_start() {
        for (mass, length, height, newtons, distance, _) in EXACT {
            let rode = rode(mass, length, height);
            let stretched = Metres::of(rode.distance(newtons).get() + newtons / 8000.0);
            assert!((rode.distance(newtons).get() - distance).abs() < 1e-4);
            for before in [0.0, 1.0, newtons, 1e6] {
                let pull = rode.pull(stretched, before);
                assert!(
                    (pull.newtons / newtons - 1.0).abs() < 1e-4,
                    "{pull:?} {before}"
                );
                // Its stiffness is the slope of the inverse.
                let farther = rode.pull(stretched + Metres::of(1e-4), newtons);
                let slope = (farther.newtons - pull.newtons) / 1e-4;
                assert!(
                    (slope / pull.stiffness - 1.0).abs() < 0.02,
                    "{slope} {pull:?}"
                );
            }
        }
    }

    #[test]
    fn a_rode_up_and_down_pulls_nothing_and_a_short_one_does_not_break_the_sums() {
        let long = rode(1.4, 30.0, 6.0);
        assert_eq!(long.pull(Metres::of(23.9), 500.0), Pull::default());
        assert!(long.pull(Metres::of(24.5), 0.0).newtons > 0.0);
        // The tide has risen above all the rode that is out.
        let short = rode(1.4, 6.0, 7.5);
        let pull = short.pull(Metres::of(3.0), 0.0);
        assert!(
            pull.newtons.is_finite() && (pull.newtons - 8000.0 * 2.9).abs() < 100.0,
            "{pull:?}"
        );
        assert!(short.lead(pull.newtons).degrees() > 80.0);
    }
}
