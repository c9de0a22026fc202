//! Where the bow is if the receiver gives no velocity: a filter that has only the fixes.
//!
//! **Symbols**, in each coordinate: `x` place and `v` velocity of the bow, `b` error of the receiver; `z` fix plus
//! lever, less any jump that [`track`](super::super::track) has found; `T` seconds since the previous fix.
//!
//! **Method.** A Kalman filter. `x += v T`. `v` decays over 30 s, because a boat at anchor does not go on in one
//! direction, and wanders by `0.02² T`. `b` is a Gauss-Markov process (σ 1 m, τ 60 s), and `z = x + b + white`
//! (0.5 m). The vector of the innovations is cut to a length of 0.5 m. The bow is filtered and not the antenna, so
//! that the antenna's swing about the bow, which the compass shows, is not taken for motion.
//!
//! **Assumptions.** Fixes come every few seconds at most. Errors of minutes remain in `x`; the test learns their
//! size from the night (`contrast`).
//!
//! **Weakness.** Nothing tells a reflection of less than 4 m from motion. So the shortest ages do not count, and
//! more evidence is needed (`contrast`).
//!
//! **Sources.** Kalman 1960. The figures come from a study on simulated nights and on the noise of real receivers.
//!
//! **Tests** beside this file, and `unusual_lying_is_reported_before_the_reach_is_used_up` in `drag/tests.rs`.

use super::place::cut;
use crate::geodesy::Offset;

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Alone {
    x: Offset,
    v: Offset,
    b: Offset,
    /// Covariance of x, v and b, the same for both coordinates.
    cover: [[f64; 3]; 3],
}

impl Alone {
    pub(super) fn at(x: Offset) -> Self {
        Self {
            x,
            v: Offset::ZERO,
            b: Offset::ZERO,
            cover: [[1.0, 0.0, 0.0], [0.0, 0.01, 0.0], [0.0, 0.0, 0.25]],
        }
    }

    /// The plane now has its origin at this point of the old one. Nothing has moved.
    pub(super) fn origin_moved(&mut self, to: Offset) {
        self.x = self.x - to;
    }

    /// Takes a fix of the bow; returns where the bow is.
    pub(super) fn take(&mut self, seconds: f64, fix: Offset) -> Offset {
        let (slows, keeps) = ((-seconds / SLOWS).exp(), (-seconds / ERROR_TAU).exp());
        self.x = self.x + self.v * seconds;
        self.v = self.v * slows;
        self.b = self.b * keeps;
        let through = |row: [f64; 3]| [row[0] + row[1] * seconds, row[1] * slows, row[2] * keeps];
        // The covariance is symmetric, so its columns go through the same step as its rows.
        let half = transposed(self.cover.map(through));
        let mut cover = half.map(through);
        cover[1][1] += WANDERS * WANDERS * seconds;
        cover[2][2] += ERROR * ERROR * (1.0 - keeps * keeps);
        let column = cover.map(|row| row[0] + row[2]);
        let spread = column[0] + column[2] + WHITE;
        let gain = column.map(|part| part / spread);
        let off = cut(fix - self.x - self.b, CUT);
        self.x = self.x + off * gain[0];
        self.v = self.v + off * gain[1];
        self.b = self.b + off * gain[2];
        for (row, gain) in cover.iter_mut().zip(gain) {
            for (cell, column) in row.iter_mut().zip(column) {
                *cell -= gain * column;
            }
        }
        self.cover = cover;
        self.x
    }
}

fn transposed([a, b, c]: [[f64; 3]; 3]) -> [[f64; 3]; 3] {
    [[a[0], b[0], c[0]], [a[1], b[1], c[1]], [a[2], b[2], c[2]]]
}

const SLOWS: f64 = 30.0;
/// Metres a second per root second.
const WANDERS: f64 = 0.02;
const ERROR: f64 = 1.0;
const ERROR_TAU: f64 = 60.0;
/// Variance of the white noise in each coordinate.
const WHITE: f64 = 0.25;
const CUT: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geodesy::east;

    /// The variance of `x` after one fix, by the filter's formulas.
    #[test]
    fn a_second_adds_what_the_velocity_may_be_and_a_fix_takes_its_share() {
        let mut alone = Alone::at(Offset::ZERO);
        alone.take(1.0, Offset::ZERO);
        let keeps = (-2.0_f64 / 60.0).exp();
        let (xx, bb) = (1.0 + 0.01, 0.25 * keeps + 1.0 - keeps);
        let should = xx - xx * xx / (xx + bb + 0.25);
        assert!((alone.cover[0][0] - should).abs() < 1e-12);
        for (one, other) in [(0, 1), (0, 2), (1, 2)] {
            assert!((alone.cover[one][other] - alone.cover[other][one]).abs() < 1e-12);
        }
    }

    #[test]
    fn a_drag_is_followed_and_a_wild_fix_hardly() {
        let mut alone = Alone::at(Offset::ZERO);
        for second in 0..600_u64 {
            let wild = if second % 60 == 30 { 10.0 } else { 0.0 };
            let place = alone.take(1.0, east(0.3 * second as f64 + wild));
            let behind = (east(0.3 * second as f64) - place).length().get();
            assert!(second < 120 || behind < 1.5, "{second}: {behind}");
        }
    }
}
