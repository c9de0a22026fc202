//! How far out she usually lies tonight, for one way of lying: a regression that continues all night.
//!
//! The level of `e` (distance less the expected distance) is `θ·[1, sin β, cos β, calm]`: the error of tackle and
//! depth, the place of the anchor relative to the origin, and the effect of a calm. A Kalman filter takes the mean
//! of a minute every half minute, from data a quarter of an hour old. The variance `v` of the noise is learned and
//! multiplied by twenty, because errors are correlated for ten minutes. The likelihood, to the power of a
//! twentieth, is the weight of this way of lying.

use super::record::{BY, Mean};

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Level {
    /// The index of the expected distance that it uses.
    pub(super) way: usize,
    pub(super) theta: [f64; BY],
    pub(super) cover: [[f64; BY]; BY],
    variance: f64,
    slackest: f64,
    /// How many seconds of data it has learned from.
    taught: f64,
    /// Logarithm of its weight.
    pub(super) weight: f64,
}

impl Level {
    /// Starts with the prior deviations of the parameters and of the noise.
    pub(super) fn new(
        way: usize,
        doubts: [f64; BY],
        noise: f64,
        weight: f64,
        slackest: f64,
    ) -> Self {
        let mut cover = [[0.0; BY]; BY];
        for (i, (row, doubt)) in cover.iter_mut().zip(doubts).enumerate() {
            if let Some(cell) = row.get_mut(i) {
                *cell = doubt * doubt;
            }
        }
        Self {
            way,
            theta: [0.0; BY],
            cover,
            variance: noise * noise,
            weight,
            slackest,
            taught: 0.0,
        }
    }

    /// The level by these variables.
    pub(super) fn at(&self, by: &[f64; BY]) -> f64 {
        dot(&self.theta, by)
    }

    /// The level to judge by: however near her anchor she has lain, she may come out to within a given distance of
    /// where tackle and depth would have her.
    pub(super) fn expected(&self, by: &[f64; BY]) -> f64 {
        self.at(by) + (-self.slackest - self.theta[0]).max(0.0)
    }

    /// Variance of the level; also for a difference between two sets of variables.
    pub(super) fn variance_at(&self, by: &[f64; BY]) -> f64 {
        dot(&self.times(by), by).max(0.0)
    }

    /// Variance of the scatter about the level.
    pub(super) fn variance(&self) -> f64 {
        self.variance
    }

    fn times(&self, by: &[f64; BY]) -> [f64; BY] {
        self.cover.map(|row| dot(&row, by))
    }

    /// Takes the mean of a minute; `every` is the time since the last one in seconds.
    pub(super) fn take(&mut self, mean: &Mean, every: f64) {
        let Some(seen) = mean.beyond.get(self.way) else {
            return;
        };
        for (i, row) in self.cover.iter_mut().enumerate().take(3) {
            if let Some(cell) = row.get_mut(i) {
                *cell += WANDERS * WANDERS * every / 3600.0;
            }
        }
        let column = self.times(&mean.by);
        let known = dot(&column, &mean.by);
        let spread = (known + self.variance).sqrt();
        let off = seen - self.at(&mean.by);
        // Far nearer than she has lain: she swings over her anchor or the wind is gone, which does not show where
        // she lies when she lies to her rode.
        if self.taught > FIRST && off < -NEAR * spread {
            return;
        }
        self.taught += every;
        let off = off.clamp(-CLIP * spread, CLIP * spread);
        let worth = every / HANG_TOGETHER;
        self.weight -= worth * (0.5 * off * off / (spread * spread) + spread.ln());
        let total = known + self.variance / worth;
        for (theta, column) in self.theta.iter_mut().zip(column) {
            *theta += column * off / total;
        }
        for (row, gain) in self.cover.iter_mut().zip(column) {
            for (cell, column) in row.iter_mut().zip(column) {
                *cell -= gain * column / total;
            }
        }
        let share = every / LEARNED_OVER;
        self.variance += share * ((off * off - known).max(0.0) - self.variance);
        self.variance = self.variance.clamp(LEAST_VARIANCE, MOST_VARIANCE);
    }

    /// The origin moves to this point.
    pub(super) fn origin_moved(&mut self, to: crate::geodesy::Offset) {
        let [_, east, north, _] = &mut self.theta;
        *east -= to.east;
        *north -= to.north;
    }

    /// A change of receiver may have shifted all its observations by this much.
    pub(super) fn widen(&mut self, doubt: f64) {
        for (i, row) in self.cover.iter_mut().enumerate().take(3).skip(1) {
            if let Some(cell) = row.get_mut(i) {
                *cell += doubt * doubt;
            }
        }
    }
}

fn dot(a: &[f64; BY], b: &[f64; BY]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// How much the level wanders, metres per root hour.
const WANDERS: f64 = 0.3;
/// Errors are correlated for ten minutes.
const HANG_TOGETHER: f64 = 600.0;
const CLIP: f64 = 3.0;
const NEAR: f64 = 2.0;
const FIRST: f64 = 600.0;
const LEARNED_OVER: f64 = 3600.0;
const LEAST_VARIANCE: f64 = 0.09;
/// A greater variance is not scatter but a level that no longer fits, metres squared.
const MOST_VARIANCE: f64 = 12.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn level() -> Level {
        Level::new(1, [1.0, 1.5, 1.5, 4.0], 2.0, 0.0, 5.0)
    }

    fn mean(beyond: f64, turn: f64) -> Mean {
        Mean {
            beyond: [0.0, beyond, 0.0, 0.0, 0.0],
            by: [1.0, turn.sin(), turn.cos(), 0.0],
        }
    }

    #[test]
    fn the_mark_s_error_and_the_offset_are_found_from_all_sides() {
        let mut level = level();
        for look in 0..960_u32 {
            let turn = f64::from(look) / 40.0;
            level.take(&mean(0.8 + 2.0 * turn.sin() - turn.cos(), turn), 30.0);
        }
        let [offset, east, north, _] = level.theta;
        assert!((offset - 0.8).abs() < 0.2, "{offset}");
        assert!(
            (east - 2.0).abs() < 0.4 && (north + 1.0).abs() < 0.3,
            "{east} {north}"
        );
        // From all sides, the place and the offset become known; the effect of a calm does not.
        assert!(level.variance_at(&[1.0, 0.0, 1.0, 0.0]) < 0.5);
        assert!((level.variance_at(&[0.0, 0.0, 0.0, 1.0]) - 16.0).abs() < 1e-9);
        assert!(level.variance() < 0.5, "{}", level.variance());
    }

    #[test]
    fn she_may_always_come_out_to_within_five_metres_of_where_tackle_has_her() {
        let mut level = level();
        level.theta = [-9.0, 0.0, 0.0, 0.0];
        let by = [1.0, 0.0, 0.0, 0.0];
        assert!((level.at(&by) + 9.0).abs() < 1e-9);
        assert!((level.expected(&by) + 5.0).abs() < 1e-9);
        level.theta = [-3.0, 0.0, 0.0, 0.0];
        assert!((level.expected(&by) + 3.0).abs() < 1e-9);
    }

    #[test]
    fn a_shift_widens_the_place_not_the_offset() {
        let mut level = level();
        level.widen(3.0);
        assert!((level.variance_at(&[1.0, 0.0, 0.0, 0.0]) - 1.0).abs() < 1e-9);
        assert!((level.variance_at(&[0.0, 1.0, 0.0, 0.0]) - 11.25).abs() < 1e-9);
    }

    /// Once she has lain to her rode, a swing over her anchor teaches nothing; before, it does.
    #[test]
    fn a_swing_over_the_anchor_teaches_nothing_once_she_has_lain() {
        let (mut early, mut late) = (level(), level());
        early.take(&mean(-20.0, 0.0), 30.0);
        assert!(early.theta[0] < -0.01, "{:?}", early.theta);
        for _ in 0..40 {
            late.take(&mean(0.0, 0.0), 30.0);
        }
        let (theta, weight) = (late.theta, late.weight);
        late.take(&mean(-20.0, 0.0), 30.0);
        assert!((theta[0] - late.theta[0]).abs() < 1e-12 && (weight - late.weight).abs() < 1e-12);
    }

    /// The better explanation is the more likely one.
    #[test]
    fn the_weight_follows_the_likelihood() {
        let (mut near, mut far) = (level(), level());
        for _ in 0..100 {
            near.take(&mean(0.0, 0.0), 30.0);
            far.take(&mean(6.0, 0.0), 30.0);
        }
        assert!(near.weight > far.weight);
    }

    /// The first update, calculated by hand with the textbook formulas of the Kalman filter (R. E. Kalman, "A new
    /// approach to linear filtering and prediction problems", 1960): gain `P·h / (hᵀ·P·h + R)`, covariance
    /// `P - P·h·hᵀ·P / (hᵀ·P·h + R)`, log likelihood `-e² / 2S - ln √S`.
    #[test]
    fn one_update_is_that_of_a_kalman_filter() {
        let mut level = level();
        level.take(&mean(4.0, 0.0), 30.0);
        // Half a minute of wandering at 0.3 m per root hour adds 0.00075 m².
        let (offset, place) = (1.00075, 2.25075);
        let known = offset + place;
        // The noise has a variance of 4 m² and is correlated for ten minutes, of which half a minute is a twentieth.
        let total = known + 4.0 * 20.0;
        let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-9, "{a}, not {b}");
        for (theta, wanted) in
            level
                .theta
                .into_iter()
                .zip([4.0 * offset / total, 0.0, 4.0 * place / total, 0.0])
        {
            near(theta, wanted);
        }
        near(level.cover[0][0], offset - offset * offset / total);
        near(level.cover[0][2], -offset * place / total);
        near(level.cover[1][1], place);
        near(level.cover[2][2], place - place * place / total);
        near(level.cover[3][3], 16.0);
        let spread: f64 = known + 4.0;
        near(
            level.weight,
            -0.05 * (16.0 / (2.0 * spread) + spread.ln() / 2.0),
        );
        // The variance is learned over an hour: half a minute is 1/120 of it.
        near(level.variance(), 4.0 + (16.0 - known - 4.0) / 120.0);
    }

    /// A figure far off counts as three deviations.
    #[test]
    fn a_figure_far_off_counts_as_three_deviations() {
        let (mut far, mut farther) = (level(), level());
        far.take(&mean(9.0, 0.0), 30.0);
        farther.take(&mean(90.0, 0.0), 30.0);
        let three = 3.0 * (1.00075_f64 + 2.25075 + 4.0).sqrt();
        assert!((farther.theta[0] - three * 1.00075 / (3.2515 + 80.0)).abs() < 1e-9);
        assert_eq!(far.theta, farther.theta);
    }
}
