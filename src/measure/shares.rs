//! Does the published probability hold true? For all seconds in which the watch published `p`, this gives
//! the share in which the anchor had truly moved, by band of `p` (a reliability diagram: Murphy and Winkler
//! 1977, from memory). Seconds without a probability, blind or aweigh, do not count.

use serde::Serialize;

use crate::measure::night::Trial;

/// Seconds by band.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Said {
    bands: [Seconds; EDGES.len()],
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Seconds {
    all: u64,
    moved: u64,
}

/// A band of the probability.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Share {
    /// Lower bound, included.
    pub from: f64,
    /// Upper bound, included only in the last band.
    pub to: f64,
    /// Seconds for which it was published.
    pub seconds: u64,
    /// Share of them in which the anchor had moved by [`MOVED`] or more; `None` if it was never published.
    pub moved: Option<f64>,
}

impl Said {
    /// Counts a second with this probability, in which the anchor had moved this many metres.
    pub fn take(&mut self, probability: Option<f64>, moved: f64) {
        let Some(probability) = probability else {
            return;
        };
        let band = EDGES.iter().rposition(|edge| probability >= *edge);
        if let Some(seconds) = self.bands.get_mut(band.unwrap_or(0)) {
            seconds.all += 1;
            seconds.moved += u64::from(moved >= MOVED);
        }
    }
}

/// Over all nights.
pub(super) fn shares(trials: &[Trial]) -> Vec<Share> {
    let band = |(number, from): (usize, &f64)| {
        let of = |count: fn(&Seconds) -> u64| {
            let bands = trials.iter().filter_map(|t| t.said.bands.get(number));
            bands.map(count).sum::<u64>()
        };
        let (seconds, moved) = (of(|s| s.all), of(|s| s.moved));
        Share {
            from: *from,
            to: EDGES.get(number + 1).copied().unwrap_or(1.0),
            seconds,
            moved: (seconds > 0).then(|| moved as f64 / seconds as f64),
        }
    };
    EDGES.iter().enumerate().map(band).collect()
}

const EDGES: [f64; 5] = [0.0, 0.1, 0.3, 0.7, 0.9];
/// Metres: a receiver cannot detect less than this.
const MOVED: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_counts_in_the_band_of_what_was_said_of_it() {
        let mut said = Said::default();
        said.take(None, 9.0);
        said.take(Some(0.1), 0.9);
        said.take(Some(0.29), 1.0);
        said.take(Some(1.0), 40.0);
        let counted = said.bands.map(|band| (band.all, band.moved));
        assert_eq!(counted, [(0, 0), (2, 1), (0, 0), (0, 0), (1, 1)]);
    }
}
