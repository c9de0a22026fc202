//! Values over time in bounded memory: equal buckets, joined in pairs when there are too many.
//!
//! A bucket keeps the minimum, mean and maximum of its values, so a short peak is still there after two weeks. A bucket
//! without a value stays empty: it is a gap, and nothing is drawn across it.

use serde::Serialize;

/// Minimum, mean and maximum of the values in a bucket.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// The minimum.
    pub least: f64,
    /// The arithmetic mean; for directions, the mean of their unit vectors.
    pub mean: f64,
    /// The maximum.
    pub greatest: f64,
}

/// The sums a bucket is made of.
#[derive(Clone, Copy, Debug, Default)]
struct Bucket {
    count: f64,
    sum: f64,
    least: f64,
    greatest: f64,
    sin: f64,
    cos: f64,
}

impl Bucket {
    fn take(&mut self, value: f64) {
        if self.count == 0.0 {
            (self.least, self.greatest) = (value, value);
        }
        self.count += 1.0;
        self.sum += value;
        self.least = self.least.min(value);
        self.greatest = self.greatest.max(value);
        self.sin += value.sin();
        self.cos += value.cos();
    }

    fn join(self, later: Self) -> Self {
        if self.count == 0.0 {
            return later;
        }
        if later.count == 0.0 {
            return self;
        }
        Self {
            count: self.count + later.count,
            sum: self.sum + later.sum,
            least: self.least.min(later.least),
            greatest: self.greatest.max(later.greatest),
            sin: self.sin + later.sin,
            cos: self.cos + later.cos,
        }
    }
}

/// Several quantities over the same time, each a row of buckets.
#[derive(Clone, Debug)]
pub(super) struct Rows<const N: usize> {
    /// Milliseconds of a bucket.
    every: u64,
    rows: [Vec<Bucket>; N],
}

impl<const N: usize> Rows<N> {
    /// Without a value.
    #[must_use]
    pub(super) fn new() -> Self {
        Self {
            every: FIRST_WIDTH,
            rows: std::array::from_fn(|_| Vec::new()),
        }
    }

    /// Takes the values of the quantities this many milliseconds after the beginning. A value that is `None` or not
    /// finite is ignored.
    pub(super) fn take(&mut self, after: u64, values: [Option<f64>; N]) {
        while after / self.every >= MOST as u64 {
            self.every *= 2;
            for row in &mut self.rows {
                *row = row
                    .chunks(2)
                    .map(|pair| pair.iter().copied().fold(Bucket::default(), Bucket::join))
                    .collect();
            }
        }
        let place = usize::try_from(after / self.every).unwrap_or(MOST - 1);
        for (row, value) in self.rows.iter_mut().zip(values) {
            let Some(value) = value.filter(|value| value.is_finite()) else {
                continue;
            };
            if row.len() <= place {
                row.resize(place + 1, Bucket::default());
            }
            if let Some(bucket) = row.get_mut(place) {
                bucket.take(value);
            }
        }
    }

    /// Milliseconds of a bucket.
    #[must_use]
    pub(super) const fn every(&self) -> u64 {
        self.every
    }

    /// A quantity's buckets.
    #[must_use]
    pub(super) fn spreads(&self, row: usize) -> Vec<Option<Spread>> {
        self.buckets(row, |bucket| Spread {
            least: bucket.least,
            mean: bucket.sum / bucket.count,
            greatest: bucket.greatest,
        })
    }

    /// The mean direction in each bucket, radians from 0 to 2π; also `None` if the directions cancel out.
    #[must_use]
    pub(super) fn directions(&self, row: usize) -> Vec<Option<f64>> {
        let means = self.buckets(row, |bucket| {
            let sure = bucket.sin.hypot(bucket.cos) / bucket.count > AGREE;
            sure.then(|| {
                bucket
                    .sin
                    .atan2(bucket.cos)
                    .rem_euclid(std::f64::consts::TAU)
            })
        });
        means.into_iter().map(Option::flatten).collect()
    }

    fn buckets<T>(&self, row: usize, of: impl Fn(&Bucket) -> T) -> Vec<Option<T>> {
        let longest = self.rows.iter().map(Vec::len).max().unwrap_or(0);
        let row = self.rows.get(row).map_or(&[][..], Vec::as_slice);
        let filled = |place: usize| row.get(place).filter(|bucket| bucket.count > 0.0);
        (0..longest).map(|place| filled(place).map(&of)).collect()
    }
}

impl<const N: usize> Default for Rows<N> {
    fn default() -> Self {
        Self::new()
    }
}

/// A minute, as long as that gives at most [`MOST`] buckets: twelve hours.
const FIRST_WIDTH: u64 = 60_000;
/// More than the pixels of a plot would be of no use.
const MOST: usize = 720;
/// Below this length of the mean unit vector a mean direction means nothing.
const AGREE: f64 = 0.1;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_weeks_at_five_seconds_are_bounded_and_keep_the_peak_and_the_gap() {
        let mut rows = Rows::<1>::new();
        let step = |number: u64| number * 5000;
        for number in 0..14 * 17_280 {
            let value = match number {
                100_000 => Some(99.0),
                // Six hours without a value.
                120_000..124_320 => None,
                _ => Some(20.0),
            };
            rows.take(step(number), [value]);
        }
        let spreads = rows.spreads(0);
        assert!(spreads.len() <= MOST && spreads.len() > MOST / 2);
        let peak = usize::try_from(step(100_000) / rows.every()).unwrap();
        let peak = spreads[peak].unwrap();
        assert_eq!((peak.least, peak.greatest), (20.0, 99.0));
        let gaps = spreads.iter().filter(|spread| spread.is_none()).count() as u64;
        let lost = gaps * rows.every();
        assert!((5 * 3_600_000..=6 * 3_600_000).contains(&lost), "{lost}");
    }

    #[test]
    fn directions_are_averaged_across_north() {
        let mut rows = Rows::<1>::new();
        rows.take(0, [Some(350_f64.to_radians())]);
        rows.take(1, [Some(20_f64.to_radians())]);
        let mean = rows.directions(0)[0].unwrap().to_degrees();
        assert!((mean - 5.0).abs() < 1e-9, "{mean}");
        rows.take(60_000, [Some(0.0)]);
        rows.take(60_001, [Some(std::f64::consts::PI)]);
        assert_eq!(rows.directions(0)[1], None);
    }

    #[test]
    fn what_is_not_a_number_leaves_no_trace() {
        let mut rows = Rows::<2>::new();
        rows.take(0, [Some(f64::NAN), Some(1.0)]);
        assert_eq!(rows.spreads(0), [None]);
        assert_eq!(rows.spreads(1)[0].unwrap().mean, 1.0);
    }
}
