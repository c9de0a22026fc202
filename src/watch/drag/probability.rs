//! How likely is a drag, by evidence `e`?
//!
//! `p = 1/(1 + (1-π)/π G(e))`, `π` the share of nights in which an anchor drags, `G(e)` the share of quiet nights
//! whose greatest evidence reaches `e`: `0.1 e^((e₁₀-e)/w)`, where one quiet night of ten reaches `e₁₀`. `e₁₀` and
//! `w` come from simulated nights, for either evidence by itself, and are stated beside it.
//!
//! **Assumptions.** The night's greatest evidence says as much as the night's whole course. Evidence of zero is
//! no evidence: then `p` is zero.
//!
//! **Weakness.** `π` is chosen. On nights of our own model the anchor had moved more often than was said wherever
//! less than nine in ten was said (`windrode measure` prints it): more of those nights drag. A receiver worse
//! than any that was simulated makes the figure too high.
//!
//! **Source.** Bayes' rule. **Tests** beside this.

/// How great the greatest evidence of a quiet night is: above `one_of_ten`, which one night of ten reaches, the
/// share falls off exponentially.
#[derive(Clone, Copy, Debug)]
pub(super) struct Greatest {
    pub(super) one_of_ten: f64,
    pub(super) falls: f64,
}

impl Greatest {
    /// Probability of a drag by the evidence of this moment, zero without any:
    /// `1/(1 + (1-π)/π G)`, `G` the share of quiet nights that reach it.
    pub(super) fn probability(&self, evidence: f64) -> f64 {
        if evidence <= 0.0 {
            return 0.0;
        }
        let reach = 0.1 * ((self.one_of_ten - evidence) / self.falls).exp();
        1.0 / (1.0 + (1.0 - PRIOR) / PRIOR * reach)
    }
}

/// One night of fifty is taken to be one in which the anchor drags (chosen: simulated nights do so far more often).
const PRIOR: f64 = 0.02;

#[cfg(test)]
mod tests {
    use super::*;

    /// By Bayes' rule: one night of fifty drags, one quiet night of ten reaches it.
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
