//! How a rode hangs between the anchor and the bow roller under a horizontal pull.
//!
//! The rode is a row of parts from the anchor up, chain first, each with a weight in water, a
//! stiffness and a length. Symbols for one part: `w` weight in water (N/m), `L` unstretched length
//! (m), `EA` the pull that would double its length (N), infinite for a part that does not stretch.
//! `H` is the horizontal pull (N), the same everywhere; `V` is the vertical one, which grows upward
//! by `wL`.
//!
//! **Formula.** The elastic catenary (H. M. Irvine, *Cable Structures*, 1981, chapter 1): over a
//! part whose lower end carries `V0` and whose upper end `V1 = V0 + wL`, with `T = hypot(H, V)`,
//!
//! - `x = (H/w)(asinh(V1/H) - asinh(V0/H)) + H L/EA`
//! - `z = (T1 - T0)/w + L (V0 + V1)/(2 EA)`
//!
//! Both are transformed so that they hold for `w → 0` (a rope that weighs next to nothing, a
//! straight line) without a difference of nearly equal numbers: `T1 - T0 = wL(V0 + V1)/(T0 + T1)`
//! and `asinh b - asinh a = asinh(u)`, `u = wL(V0 + V1)/(V1 T0 + V0 T1)`.
//!
//! One unknown is left: the length that lies on the bottom (then `V = 0` at the anchor) or, if
//! nothing lies there, the `V` that lifts the anchor. The height `z` falls with the first and rises
//! with the second, so bisection finds it for every input. The part on the bottom is straight and
//! stretched by `H`.
//!
//! For a uniform chain that does not stretch this is the textbook's catenary: `s = sqrt(h² + 2ah)`
//! hangs with `a = H/w`, `x = a acosh(1 + h/a)`, `T = H + wh`, and the last link lifts at
//! `H = w(L² - h²)/(2h)`.
//!
//! Assumptions: static; the bottom flat, level and without friction; the chain's own drag in a
//! current zero. Weakness: a boat that sheers and pitches loads the rode far more than a steady
//! pull of the same wind; friction on the bottom, which is left out, takes part of the pull off the
//! anchor; a rope's stiffness is not constant, as is assumed here.
//! Tests: `distances_and_leads_are_those_of_exact_values`, `a_textbook_s_cable`,
//! `the_last_link_lifts_where_the_closed_form_says`, and `tests/tackle.rs` against whole tables.

use crate::units::{Angle, Metres, Newtons};

/// One part of a rode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    length: f64,
    weight: f64,
    give: f64,
}

/// A rode that is out, across the height from the bottom to the roller.
#[derive(Clone, Debug, PartialEq)]
pub struct Catenary {
    parts: Vec<Part>,
    length: f64,
    height: f64,
}

/// How a rode lies under one pull.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lie {
    /// Horizontal distance from the anchor to the roller.
    pub distance: Metres,
    /// Tension at the roller.
    pub tension: Newtons,
    /// The length on the bottom.
    pub on_bottom: Metres,
    /// The angle at which the rode leads up from the anchor; zero while part of it lies on the
    /// bottom.
    pub lead: Angle,
}

impl Part {
    /// A part of a rode: its length; its weight in water, newtons a metre; and the pull that would
    /// double its length, `None` if it does not stretch. Negative or infinite figures count as zero
    /// (so a rope that floats lies flat here, unlike a real one).
    #[must_use]
    pub fn new(length: Metres, weight: f64, stiffness: Option<Newtons>) -> Self {
        let give = stiffness.map_or(0.0, |stiffness| 1.0 / stiffness.get().max(LEAST_STIFFNESS));
        Self {
            length: bounded(length.get()),
            weight: bounded(weight),
            give,
        }
    }
}

impl Catenary {
    /// The parts from the anchor up, and the height of the roller above the bottom. `None` if the
    /// rode does not reach the bottom (it is no longer than the height), or the height is zero.
    #[must_use]
    pub fn new(parts: Vec<Part>, height: Metres) -> Option<Self> {
        let length = parts.iter().map(|part| part.length).sum();
        let height = bounded(height.get());
        (height >= LEAST_HEIGHT && length > height * (1.0 + 1e-9)).then_some(Self {
            parts,
            length,
            height,
        })
    }

    /// How it lies under a horizontal pull; a pull below a millinewton counts as a millinewton.
    #[must_use]
    pub fn under(&self, pull: Newtons) -> Lie {
        let pull = bounded(pull.get()).max(LEAST_PULL);
        // Lifted: with this vertical pull at the anchor even a straight rode would be too high.
        let straight = (self.length * self.length - self.height * self.height).sqrt();
        let steepest = (pull * self.height / straight.max(1e-9)).max(LEAST_PULL);
        let lifted = self.hang(pull, 0.0, 0.0).1 < self.height;
        let (on_bottom, vertical) = if lifted {
            (
                0.0,
                halved(0.0, steepest, |v| self.hang(pull, 0.0, v).1 < self.height),
            )
        } else {
            let lies = |on_bottom: f64| self.hang(pull, on_bottom, 0.0).1 > self.height;
            (halved(0.0, self.length, lies), 0.0)
        };
        let (distance, _, top) = self.hang(pull, on_bottom, vertical);
        Lie {
            distance: Metres::of(distance),
            tension: Newtons::of(pull.hypot(top)),
            on_bottom: Metres::of(on_bottom),
            lead: Angle::of(vertical.atan2(pull)),
        }
    }

    /// The pull at which the last of the rode lifts off the bottom and begins to lift the anchor; a
    /// billion newtons if no pull does that.
    #[must_use]
    pub fn lifting_pull(&self) -> Newtons {
        // The height at which all of it hangs falls as the pull grows.
        let hangs_high = |pull: f64| self.hang(pull, 0.0, 0.0).1 > self.height;
        if !hangs_high(LEAST_PULL) {
            return Newtons::ZERO;
        }
        // The search is logarithmic: pulls range from millinewtons to millions of newtons.
        let log = halved(LEAST_PULL.ln(), MOST.ln(), |log| hangs_high(log.exp()));
        Newtons::of(log.exp())
    }

    /// Distance, height and vertical pull at the top, from the part on the bottom, the vertical
    /// pull at the anchor and the horizontal pull.
    fn hang(&self, pull: f64, on_bottom: f64, vertical: f64) -> (f64, f64, f64) {
        let (mut x, mut z, mut low) = (0.0, 0.0, vertical);
        let mut lying = on_bottom;
        for part in &self.parts {
            let flat = lying.min(part.length);
            lying -= flat;
            x += flat * (1.0 + pull * part.give);
            let length = part.length - flat;
            if length <= 0.0 {
                continue;
            }
            let high = low + part.weight * length;
            let (t0, t1) = (pull.hypot(low), pull.hypot(high));
            let cross = high * t0 + low * t1;
            if cross > 0.0 {
                let lean = (low + high) / cross;
                let u = part.weight * length * lean;
                // asinh(u)/u, which tends to 1.
                let bow = if u > 1e-6 { u.asinh() / u } else { 1.0 };
                x += length * pull * lean * bow;
            } else {
                x += length;
            }
            x += length * pull * part.give;
            z += length * (low + high) / (t0 + t1) + length * 0.5 * (low + high) * part.give;
            low = high;
        }
        (x, z, low)
    }
}

/// Weight of steel in sea water, newtons a metre, from its mass in air, kilograms a metre: the
/// water carries 1025/7850 of it (steel 7850 kg/m³, sea water 1025 kg/m³), so 0.8694 is left.
#[must_use]
pub fn steel_in_sea_water(mass: f64) -> f64 {
    in_sea_water(mass, STEEL)
}

/// Weight in sea water, newtons a metre, of a part with this density, kg/m³; zero if it floats.
#[must_use]
pub fn in_sea_water(mass: f64, density: f64) -> f64 {
    ((1.0 - SEA_WATER / density) * mass * GRAVITY).max(0.0)
}

/// Bisects the interval until no number lies inside it: `below` is true below the answer.
fn halved(mut low: f64, mut high: f64, below: impl Fn(f64) -> bool) -> f64 {
    for _ in 0..ROUNDS {
        let middle = f64::midpoint(low, high);
        if below(middle) {
            low = middle;
        } else {
            high = middle;
        }
        if high - low <= 1e-12 * high.abs() {
            break;
        }
    }
    f64::midpoint(low, high)
}

/// Limited to zero up to [`MOST`]; larger figures belong to no anchorage, and their squares would
/// overflow.
fn bounded(value: f64) -> f64 {
    if value.is_finite() {
        value.clamp(0.0, MOST)
    } else {
        0.0
    }
}

const STEEL: f64 = 7850.0;
const SEA_WATER: f64 = 1025.0;
const GRAVITY: f64 = 9.806_65;
/// Newtons.
const LEAST_PULL: f64 = 1e-3;
/// Newtons; no rope is weaker.
const LEAST_STIFFNESS: f64 = 1.0;
/// Metres.
const LEAST_HEIGHT: f64 = 1e-3;
/// Metres or newtons.
const MOST: f64 = 1e9;
/// A double has no more digits than this number of bisections finds.
const ROUNDS: usize = 100;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn chain(mass: f64, length: f64, height: f64) -> Catenary {
        let part = Part::new(Metres::of(length), steel_in_sea_water(mass), None);
        Catenary::new(vec![part], Metres::of(height)).unwrap()
    }

    /// Kilogrammes a metre, metres out, metres of height, newtons; metres on the bottom, metres of
    /// distance, degrees of lead. Computed apart from this program from the closed forms with
    /// g = 9.80665, steel 7850, sea 1025; the whole table is read by `tests/tackle.rs`.
    const EXACT: [(f64, f64, f64, f64, f64, f64, f64); 9] = [
        (1.4, 30.0, 6.0, 50.0, 20.7121, 27.1494, 0.0),
        (1.4, 30.0, 6.0, 500.0, 6.7911, 28.9517, 0.0),
        (1.4, 30.0, 6.0, 1000.0, 0.0, 29.2452, 1.615),
        (1.4, 30.0, 6.0, 10000.0, 0.0, 29.3924, 10.55),
        (1.4, 40.0, 8.0, 1000.0, 2.5245, 38.8509, 0.0),
        (2.25, 40.0, 8.0, 1000.0, 10.0328, 38.5553, 0.0),
        (2.25, 40.0, 8.0, 2000.0, 0.0, 38.9647, 0.909),
        (2.25, 50.0, 12.0, 50.0, 35.6281, 41.9057, 0.0),
        (2.25, 50.0, 12.0, 10000.0, 0.0, 48.5211, 11.284),
    ];

    #[test]
    fn distances_and_leads_are_those_of_exact_values() {
        for (mass, length, height, pull, bottom, distance, lead) in EXACT {
            let lie = chain(mass, length, height).under(Newtons::of(pull));
            assert!((lie.on_bottom.get() - bottom).abs() < 1e-4, "{lie:?}");
            assert!((lie.distance.get() - distance).abs() < 1e-4, "{lie:?}");
            assert!((lie.lead.degrees() - lead).abs() < 1e-3, "{lie:?}");
            if bottom > 0.0 {
                let top = pull + steel_in_sea_water(mass) * height;
                assert!((lie.tension.get() - top).abs() < 1e-6 * top, "{lie:?}");
            }
        }
    }

    /// J. L. Meriam and L. G. Kraige, *Engineering Mechanics: Statics*, sample problem 5/16b: a
    /// cable of 12 kg/m, 300 m between level supports, sags 60 m at the middle; the horizontal pull
    /// is 23.2 kN, the greatest tension 30.2 kN and the length 330 m (by the catenary). Half of it
    /// is a rode that leads level from its anchor.
    #[test]
    fn a_textbook_s_cable() {
        let part = Part::new(Metres::of(165.0), 12.0 * 9.81, None);
        let half = Catenary::new(vec![part], Metres::of(60.0)).unwrap();
        let pull = half.lifting_pull();
        assert!((pull.get() - 23_200.0).abs() < 100.0, "{pull:?}");
        let lie = half.under(pull);
        assert!((lie.tension.get() - 30_200.0).abs() < 100.0, "{lie:?}");
        assert!((lie.distance.get() - 150.0).abs() < 0.2, "{lie:?}");
    }

    #[test]
    fn the_last_link_lifts_where_the_closed_form_says() {
        for (mass, length, height) in [(1.4, 30.0, 6.0), (2.25, 50.0, 12.0), (0.8, 90.0, 3.0)] {
            let w = steel_in_sea_water(mass);
            let closed = w * (length * length - height * height) / (2.0 * height);
            let found = chain(mass, length, height).lifting_pull().get();
            assert!((found / closed - 1.0).abs() < 1e-9, "{found} {closed}");
        }
    }

    /// Two parts of the same material equal one; a rope without weight leads straight.
    #[test]
    fn parts_join_without_a_seam() {
        let w = steel_in_sea_water(1.4);
        let whole = Catenary::new(vec![Part::new(Metres::of(40.0), w, None)], Metres::of(8.0));
        let split = [13.0, 7.0, 20.0].map(|length| Part::new(Metres::of(length), w, None));
        let split = Catenary::new(split.to_vec(), Metres::of(8.0)).unwrap();
        for pull in [1.0, 200.0, 900.0, 1200.0, 1e5] {
            let (a, b) = (
                whole.as_ref().unwrap().under(Newtons::of(pull)),
                split.under(Newtons::of(pull)),
            );
            assert!((a.distance.get() - b.distance.get()).abs() < 1e-6);
            assert!((a.lead.get() - b.lead.get()).abs() < 1e-6);
        }
        let rope = Part::new(Metres::of(50.0), 0.0, None);
        let lie = Catenary::new(vec![rope], Metres::of(30.0)).unwrap();
        assert_eq!(lie.lifting_pull(), Newtons::ZERO);
        let lie = lie.under(Newtons::of(700.0));
        // 3-4-5.
        assert!((lie.distance.get() - 40.0).abs() < 1e-6, "{lie:?}");
        assert!((lie.tension.get() - 700.0 * 50.0 / 40.0).abs() < 1e-3);
        assert!((lie.lead.get() - (30.0_f64 / 40.0).atan()).abs() < 1e-6);
    }

    /// Hooke: a nearly level line, stretched by a tenth at `EA`/10.
    #[test]
    fn a_line_of_nylon_stretches_by_its_pull_over_its_stiffness() {
        let part = Part::new(Metres::of(100.0), 0.0, Some(Newtons::of(10_000.0)));
        let line = Catenary::new(vec![part], Metres::of(1.0)).unwrap();
        let lie = line.under(Newtons::of(1000.0));
        let stretched = (110.0_f64 * 110.0 - 1.0).sqrt();
        assert!((lie.distance.get() - stretched).abs() < 0.01, "{lie:?}");
    }

    /// Rope above chain: only the chain is heavy, so it lifts sooner than chain throughout and
    /// later than rope throughout.
    #[test]
    fn chain_with_rope_lifts_between_chain_and_rope() {
        let w = steel_in_sea_water(1.4);
        let of = |chain: f64, rope: f64| {
            let parts = vec![
                Part::new(Metres::of(chain), w, None),
                Part::new(Metres::of(rope), 0.16, Some(Newtons::of(60_000.0))),
            ];
            Catenary::new(parts, Metres::of(8.0))
                .unwrap()
                .lifting_pull()
        };
        let pulls = [of(0.0, 40.0), of(10.0, 30.0), of(25.0, 15.0), of(40.0, 0.0)];
        assert!(pulls.windows(2).all(|w| w[0] < w[1]), "{pulls:?}");
    }

    #[test]
    fn a_rode_that_does_not_reach_the_bottom_hangs_nowhere() {
        let part = |length| vec![Part::new(Metres::of(length), 10.0, None)];
        assert!(Catenary::new(part(8.0), Metres::of(8.0)).is_none());
        assert!(Catenary::new(part(8.0), Metres::of(9.0)).is_none());
        assert!(Catenary::new(part(8.0), Metres::ZERO).is_none());
        assert!(Catenary::new(part(8.0), Metres::of(-1.0)).is_none());
        assert!(Catenary::new(Vec::new(), Metres::of(1.0)).is_none());
    }

    proptest! {
        #[test]
        fn a_stronger_pull_draws_it_out_and_lifts_it(
            chain in 0.0..100.0_f64, rope in 1.0..100.0_f64, part in 0.001..0.999_f64,
            mass in 0.3..9.0_f64, pull in 0.0..30_000.0_f64, more in 1.0..20_000.0_f64,
            stretches in any::<bool>(),
        ) {
            let parts = vec![
                Part::new(Metres::of(chain), steel_in_sea_water(mass), None),
                Part::new(Metres::of(rope), 0.15, stretches.then(|| Newtons::of(70_000.0))),
            ];
            let rode = Catenary::new(parts, Metres::of((chain + rope) * part)).unwrap();
            let (weak, strong) = (rode.under(Newtons::of(pull)), rode.under(Newtons::of(pull + more)));
            prop_assert!(strong.distance.get() >= weak.distance.get() - 1e-6);
            prop_assert!(strong.tension > weak.tension);
            prop_assert!(strong.on_bottom.get() <= weak.on_bottom.get() + 1e-6);
            // A rope that stretches leads flatter: the scope grows.
            prop_assert!(stretches || strong.lead.get() >= weak.lead.get() - 1e-9);
            // It lifts at the lifting pull and not earlier.
            let lift = rode.lifting_pull().get();
            prop_assert!(rode.under(Newtons::of(lift * 0.99)).lead == Angle::ZERO || lift < 0.01);
            // A weak rope below much chain stretches faster than it is drawn up: no pull lifts it.
            prop_assert!(lift > 1e6 || rode.under(Newtons::of(lift * 1.01 + 0.01)).on_bottom == Metres::ZERO);
        }

        #[test]
        fn any_finite_figures_give_finite_answers(
            length in any::<f64>(), weight in any::<f64>(), stiff in any::<f64>(),
            height in any::<f64>(), pull in any::<f64>(),
        ) {
            let finite = |value: f64| if value.is_finite() { value } else { 1.0 };
            let stiffness = Newtons::of(finite(stiff));
            let part = Part::new(Metres::of(finite(length)), weight, Some(stiffness));
            let other = Part::new(Metres::of(1.0), 1.0, None);
            if let Some(rode) = Catenary::new(vec![part, other], Metres::of(finite(height))) {
                let lie = rode.under(Newtons::of(finite(pull)));
                prop_assert!(lie.distance.get() >= 0.0);
                prop_assert!(rode.lifting_pull().get() >= 0.0);
            }
        }
    }
}
