//! How long to wait before the next attempt: 1 s, doubling up to 30 s, each spread by ±20 % so that
//! the clients of a server that comes back do not all connect at once.
//!
//! The spread comes from a generator kept here and seeded by the caller (splitmix64: Steele, Lea
//! and Flood, "Fast splittable pseudorandom number generators", 2014), so that a replay waits
//! exactly as long as the original.

use std::time::Duration;

/// Counts attempts.
#[derive(Clone, Debug)]
pub(super) struct Backoff {
    failures: u32,
    state: u64,
}

impl Backoff {
    pub(super) fn new(seed: u64) -> Self {
        Self {
            failures: 0,
            state: seed,
        }
    }

    /// The link held long enough: the next failure counts as the first.
    pub(super) fn reset(&mut self) {
        self.failures = 0;
    }

    /// How long to wait after another failure.
    pub(super) fn next(&mut self) -> Duration {
        let doubled = FIRST.saturating_mul(1 << self.failures.min(10));
        self.failures = self.failures.saturating_add(1);
        self.spread(doubled.min(MOST))
    }

    /// `wait`, ±20 %.
    pub(super) fn spread(&mut self, wait: Duration) -> Duration {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        // The top 53 bits as a fraction of one.
        let fraction = (z >> 11) as f64 / (1_u64 << 53) as f64;
        wait.mul_f64(0.8 + 0.4 * fraction)
    }
}

const FIRST: Duration = Duration::from_secs(1);
const MOST: Duration = Duration::from_secs(30);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn waits_double_up_to_half_a_minute_within_a_fifth() {
        let mut backoff = Backoff::new(7);
        for nominal in [1.0, 2.0, 4.0, 8.0, 16.0, 30.0, 30.0, 30.0] {
            let wait = backoff.next().as_secs_f64();
            assert!(
                (nominal * 0.8..=nominal * 1.2).contains(&wait),
                "{nominal}: {wait}"
            );
        }
        backoff.reset();
        assert!(backoff.next().as_secs_f64() <= 1.2);
    }

    #[test]
    fn the_spread_is_used_and_repeats_with_the_seed() {
        let waits = |seed| {
            let mut backoff = Backoff::new(seed);
            (0..1000)
                .map(|_| backoff.spread(Duration::from_secs(10)))
                .collect::<Vec<_>>()
        };
        assert_eq!(waits(1), waits(1));
        assert_ne!(waits(1), waits(2));
        let (least, most) = (waits(1).into_iter().min(), waits(1).into_iter().max());
        assert!(least < Some(Duration::from_millis(8100)), "{least:?}");
        assert!(most > Some(Duration::from_millis(11_900)), "{most:?}");
    }

    /// The first outputs of splitmix64 from state 1234567, as published with the reference
    /// implementation (from memory): 6457827717110365317, 3203168211198807973.
    #[test]
    fn the_generator_is_splitmix64() {
        let mut backoff = Backoff::new(1_234_567);
        for output in [6_457_827_717_110_365_317_u64, 3_203_168_211_198_807_973] {
            let fraction = (output >> 11) as f64 / (1_u64 << 53) as f64;
            let wanted = Duration::from_secs(10).mul_f64(0.8 + 0.4 * fraction);
            assert_eq!(backoff.spread(Duration::from_secs(10)), wanted);
        }
    }
}
