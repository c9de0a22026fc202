//! The circle in which a boat swings about her anchor, from her track.
//!
//! **Method.** A circle is fitted through the positions of the bow roller by least squares of the distances from it
//! (Gauss-Newton, starting from Kåsa's algebraic circle of 1976). Its uncertainty is the greater of two figures.
//! The first is that of least squares, `s² (JᵀJ)⁻¹`, with the scatter `s` about the circle, at least
//! [`LEAST_SCATTER`], and one independent fix in [`INDEPENDENT`]. The second is that of the jackknife over
//! [`BLOCKS`] stretches of time (Quenouille 1956, Tukey 1958): the circle is fitted again without each of them, and
//! the amount by which it moves includes the gusts and the receiver's slow errors, which least squares treats as
//! random.
//!
//! **Refused.** A circle narrower than [`LEAST_RADIUS`], or than [`LEAST_RATIO`] times its scatter: a receiver that
//! stands still draws circles like that. An arc whose height (sagitta, from the fifth to the ninety-fifth
//! percentile of the bearings) is less than [`LEAST_HEIGHT`], or than a multiple of its scatter: a line fits it as
//! well as any circle.
//!
//! **Assumptions and weakness.** Her rode is assumed to be drawn equally far all the time: a gust or a lull during
//! a sheer moves the centre. The mean of the track is no estimate: it lies a whole rode down-wind of the anchor,
//! and is never offered. A stream that turns her right round gives the place to a metre or two; ten minutes of
//! sheering in a steady wind often give none.
//!
//! **Sources.** Least squares and jackknife: any textbook; Kåsa, *A circle fitting procedure and its error
//! analysis*, IEEE Trans. Instrum. Meas. 25 (1976); from memory.
//!
//! **Tests**: `nine_in_ten_answers_lie_within_their_stated_error`, `a_receiver_that_stands_still_is_refused`.

use crate::geodesy::Offset;

/// The circle found from the track.
#[derive(Clone, Copy, Debug)]
pub(in crate::watch) struct Swung {
    pub(in crate::watch) circle: Circle,
    /// The standard deviation of its centre in the worst direction.
    pub(in crate::watch) doubt: f64,
}

/// The circle through positions taken at this even interval in seconds, if there is a usable one.
pub(in crate::watch) fn swung(points: &[Offset], span: f64) -> Option<Swung> {
    let (circle, inverse) = fitted(points)?;
    let variance = circle.scatter(points);
    let scatter = variance.sqrt();
    let height = circle.height(points);
    let clear = circle.radius >= LEAST_RADIUS.max(LEAST_RATIO * scatter)
        && height >= LEAST_HEIGHT.max(HEIGHT_RATIO * scatter);
    if !clear {
        return None;
    }
    // One independent fix in this many seconds, not one in each.
    let alike = (points.len() as f64 / (span / INDEPENDENT).max(1.0)).max(1.0);
    let [[ee, en], [_, nn]] = inverse;
    let greater = f64::midpoint(ee, nn) + ((ee - nn) / 2.0).hypot(en);
    let by_squares = variance.max(LEAST_SCATTER.powi(2)) * alike * greater;
    let by_blocks = jackknife(points)?;
    Some(Swung {
        circle,
        doubt: by_squares.max(by_blocks).sqrt(),
    })
}

/// Variance of the centre, found by leaving out one stretch of time after the other; `None` if a part has no circle
/// of its own.
fn jackknife(points: &[Offset]) -> Option<f64> {
    let length = points.len().div_ceil(BLOCKS);
    let mut middles = Vec::with_capacity(BLOCKS);
    for block in 0..BLOCKS {
        let (from, to) = (block * length, (block + 1) * length);
        let rest: Vec<Offset> = points
            .iter()
            .enumerate()
            .filter(|(index, _)| !(from..to).contains(index))
            .map(|(_, point)| *point)
            .collect();
        middles.push(fitted(&rest)?.0.middle);
    }
    let share = 1.0 / BLOCKS as f64;
    let mean = middles
        .iter()
        .fold(Offset::ZERO, |sum, middle| sum + *middle * share);
    let squares: f64 = middles
        .iter()
        .map(|middle| (*middle - mean).length().get().powi(2))
        .sum();
    Some(squares * (BLOCKS as f64 - 1.0) * share)
}

fn fitted(points: &[Offset]) -> Option<(Circle, Inverse)> {
    let mut circle = kasa(points)?;
    let mut covariance = None;
    for _ in 0..ITERATIONS {
        let (next, inverse) = circle.improved(points)?;
        let moved = (next.middle - circle.middle).length().get();
        (circle, covariance) = (next, Some(inverse));
        if moved < 1e-3 {
            break;
        }
    }
    Some((circle, covariance?))
}

/// A circle she swings in.
#[derive(Clone, Copy, Debug)]
pub(in crate::watch) struct Circle {
    pub(in crate::watch) middle: Offset,
    pub(in crate::watch) radius: f64,
}

/// Upper left two by two of the inverse of `JᵀJ`: east and north of the centre.
type Inverse = [[f64; 2]; 2];

impl Circle {
    /// One step of Gauss-Newton.
    fn improved(&self, points: &[Offset]) -> Option<(Self, Inverse)> {
        // Derivatives of the distance by east and north of the centre, and of the residual by the radius.
        let mut normal = [[0.0; 3]; 3];
        let mut right = [0.0; 3];
        for point in points {
            let away = *point - self.middle;
            let distance = away.length().get();
            if distance < 1e-6 {
                continue;
            }
            let row = [-away.east / distance, -away.north / distance, -1.0];
            let residual = distance - self.radius;
            for i in 0..3 {
                for j in 0..3 {
                    normal[i][j] += row[i] * row[j];
                }
                right[i] -= row[i] * residual;
            }
        }
        let inverse = inverted(&normal)?;
        let step: Vec<f64> = inverse
            .iter()
            .map(|row| row.iter().zip(&right).map(|(a, b)| a * b).sum())
            .collect();
        let next = Self {
            middle: self.middle
                + Offset {
                    east: step[0],
                    north: step[1],
                },
            radius: self.radius + step[2],
        };
        let plausible = next.radius > 0.0 && next.middle.length().get() < FARTHEST;
        plausible.then_some((
            next,
            [
                [inverse[0][0], inverse[0][1]],
                [inverse[1][0], inverse[1][1]],
            ],
        ))
    }

    /// The height of the arc above its chord.
    fn height(&self, points: &[Offset]) -> f64 {
        let mean = points
            .iter()
            .fold(Offset::ZERO, |sum, point| sum + (*point - self.middle));
        let mut turns: Vec<f64> = points
            .iter()
            .map(|point| {
                let away = *point - self.middle;
                let ahead = away.east * mean.east + away.north * mean.north;
                let aside = away.east * mean.north - away.north * mean.east;
                aside.atan2(ahead)
            })
            .collect();
        turns.sort_by(f64::total_cmp);
        let at = |share: usize| turns.get(turns.len() * share / 100).copied();
        let half = at(95)
            .zip(at(5))
            .map_or(0.0, |(late, early)| (late - early) / 2.0);
        self.radius * (1.0 - half.cos())
    }

    /// Variance of the distances from the centre about the radius.
    fn scatter(&self, points: &[Offset]) -> f64 {
        let squares: f64 = points
            .iter()
            .map(|point| ((*point - self.middle).length().get() - self.radius).powi(2))
            .sum();
        squares / (points.len() as f64 - 3.0).max(1.0)
    }
}

/// The circle that minimises the squares of `e² + n² - 2 a e - 2 b n - c`.
fn kasa(points: &[Offset]) -> Option<Circle> {
    if points.len() < LEAST_POINTS {
        return None;
    }
    let mut normal = [[0.0; 3]; 3];
    let mut right = [0.0; 3];
    for point in points {
        let row = [point.east, point.north, 1.0];
        let square = point.east * point.east + point.north * point.north;
        for i in 0..3 {
            for j in 0..3 {
                normal[i][j] += row[i] * row[j];
            }
            right[i] += row[i] * square;
        }
    }
    let inverse = inverted(&normal)?;
    let solved: Vec<f64> = inverse
        .iter()
        .map(|row| row.iter().zip(&right).map(|(a, b)| a * b).sum())
        .collect();
    let middle = Offset {
        east: solved[0] / 2.0,
        north: solved[1] / 2.0,
    };
    let square = solved[2] + middle.east * middle.east + middle.north * middle.north;
    (square > 0.0).then(|| Circle {
        middle,
        radius: square.sqrt(),
    })
}

/// The inverse of a symmetric three by three matrix, by cofactors; `None` if the matrix is nearly singular.
fn inverted(matrix: &[[f64; 3]; 3]) -> Option<[[f64; 3]; 3]> {
    let others = |line: usize| ((line + 1) % 3, (line + 2) % 3);
    let minor = |row: usize, column: usize| {
        let (upper, lower) = others(row);
        let (left, right) = others(column);
        matrix[upper][left] * matrix[lower][right] - matrix[upper][right] * matrix[lower][left]
    };
    let determinant: f64 = (0..3).map(|j| matrix[0][j] * minor(0, j)).sum();
    let size = matrix[0][0] * matrix[1][1] * matrix[2][2];
    if !determinant.is_finite() || determinant.abs() <= 1e-12 * size.abs() {
        return None;
    }
    let mut inverse = [[0.0; 3]; 3];
    for (i, row) in inverse.iter_mut().enumerate() {
        for (j, cell) in row.iter_mut().enumerate() {
            *cell = minor(j, i) / determinant;
        }
    }
    Some(inverse)
}

const LEAST_POINTS: usize = 12;
const LEAST_SCATTER: f64 = 1.0;
/// The time in seconds for which a receiver's errors are alike: see the source of the pull test.
const INDEPENDENT: f64 = 150.0;
const FARTHEST: f64 = 1000.0;
const ITERATIONS: usize = 20;
const BLOCKS: usize = 6;
/// No boat under watch lies on less than this, metres.
const LEAST_RADIUS: f64 = 10.0;
const LEAST_RATIO: f64 = 5.0;
const LEAST_HEIGHT: f64 = 4.0;
const HEIGHT_RATIO: f64 = 2.0;

#[cfg(test)]
mod tests;
