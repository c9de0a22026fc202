//! How likely is a drag, by evidence `e`?
//!
//! `p = 1/(1 + (1-π)/π G(e))`, with `π` the share of nights in which an anchor drags and `G(e)` the share of quiet
//! nights whose greatest evidence reaches `e`: `0.1 e^((e₁₀-e)/w)`, where one quiet night in ten reaches `e₁₀`.
//! `e₁₀` and `w` come from simulated nights, separately for each kind of evidence, and are stated beside it.
//!
//! **Assumptions.** The greatest evidence of a night carries as much information as its whole course. Evidence of
//! zero is no evidence: then `p` is zero.
//!
//! **Weakness.** `π` is chosen. On nights of our own model, whenever the figure was below nine in ten, the anchor
//! had moved more often than the figure said (`windrode measure` prints it), because more of those nights have a
//! drag. With a receiver worse than any that was simulated, the figure is too high.
//!
//! **Source.** Bayes' rule. **Tests** beside this file.

/// The greatest evidence of a quiet night: above `one_of_ten`, which one night in ten reaches, the share falls off
/// exponentially.
#[derive(Clone, Copy, Debug)]
pub(super) struct Greatest {
    pub(super) one_of_ten: f64,
    pub(super) falls: f64,
}

impl Greatest {
    /// Probability of a drag by the present evidence, zero without any: `1/(1 + (1-π)/π G)`, with `G` the share of
    /// quiet nights that reach it.
    pub(super) fn probability(&self, evidence: f64) -> f64 {
        if evidence <= 0.0 {
            return 0.0;
        }
        let reach = 0.1 * ((self.one_of_ten - evidence) / self.falls).exp();
        1.0 / (1.0 + (1.0 - PRIOR) / PRIOR * reach)
    }
}

/// The share of nights in which the anchor drags, one in fifty (chosen: in simulated nights it is far greater).
const PRIOR: f64 = 0.02;

#[cfg(test)]
mod tests {
    use super::*;

    /// By Bayes' rule: one night in fifty has a drag, and one quiet night in ten reaches this evidence.
    #[test]
    fn the_probability_is_bayes_rule_on_nights() {
        let greatest = Greatest {
            one_of_ten: 3.0,
            falls: 0.5,
        };
        let should = 0.02 / (0.02 + 0.98 * 0.1);
        assert!((greatest.probability(3.0) - should).abs() < 1e-12);
        let rarer = 0.02 / (0.02 + 0.98 * 0.1 * (-2.0_f64).exp());
        assert!((greatest.probability(4.0) - rarer).abs() < 1e-12);
        assert!(greatest.probability(0.0).abs() < 1e-12);
        assert!(greatest.probability(1e6) <= 1.0);
    }
}
