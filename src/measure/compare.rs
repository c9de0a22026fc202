//! What instruments are worth: the same nights with compass and wind instrument, with one of them, and with neither.
//!
//! More instruments must never make the alarm later. `later` measures that. It looks at all pairs of sets in which
//! one has everything the other has and more, and takes the greatest ratio of the median metres with more to those
//! with less.

use crate::measure::classes::Class;
use crate::measure::deal::{Deal, Fitted};
use crate::measure::tally::Report;
use crate::measure::{MeasureOptions, measure};

/// The same nights with each set of instruments.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// By [`Fitted::COMPARED`].
    pub reports: [Report; 4],
}

/// A row: how it is sorted, the class, the number of drags, the medians by set of instruments.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// How the nights are sorted.
    pub by: &'static str,
    /// The class.
    pub name: &'static str,
    /// Drags in it, with the first set.
    pub drags: usize,
    /// Median metres at the alarm, by [`Fitted::COMPARED`].
    pub medians: [f64; 4],
}

/// Holds the nights with each set of instruments; `progress` receives the total number done.
pub fn compare(options: &MeasureOptions, mut progress: impl FnMut(u64)) -> Comparison {
    let mut held = 0;
    let reports = Fitted::COMPARED.map(|fitted| {
        let options = MeasureOptions {
            deal: Deal {
                fitted,
                ..options.deal.clone()
            },
            ..options.clone()
        };
        let report = measure(&options, |done| progress(held + done));
        held += options.nights;
        report
    });
    Comparison { reports }
}

impl Comparison {
    /// All nights first, then by class.
    #[must_use]
    pub fn rows(&self) -> Vec<Row> {
        let [first, ..] = &self.reports;
        let median = |report: &Report| report.methods.first().map_or(0.0, |m| m.metres.median);
        let all = Row {
            by: "",
            name: "all",
            drags: first.drags,
            medians: self.reports.each_ref().map(median),
        };
        let row = |class: &Class| Row {
            by: class.by,
            name: class.name,
            drags: class.drags,
            medians: self.reports.each_ref().map(|report| {
                let same = |c: &&Class| c.by == class.by && c.name == class.name;
                let found = report.classes.iter().find(same);
                let watch = found.and_then(|class| class.methods.first());
                watch.map_or(0.0, |watch| watch.metres.median)
            }),
        };
        let classes = first
            .classes
            .iter()
            .filter(|class| class.by != "instruments");
        std::iter::once(all).chain(classes.map(row)).collect()
    }
}

impl Row {
    /// How much later more instruments make it, as a ratio: 1 or less means never.
    #[must_use]
    pub fn later(&self) -> f64 {
        let [all, no_wind, no_compass, neither] = self.medians;
        [
            (all, no_wind),
            (all, no_compass),
            (all, neither),
            (no_wind, neither),
            (no_compass, neither),
        ]
        .into_iter()
        .map(|(more, less)| more / less.max(LEAST))
        .fold(0.0, f64::max)
    }
}

/// Metres: below a metre a ratio means nothing.
const LEAST: f64 = 1.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_ratio_is_that_of_the_worst_pair() {
        let row = |medians| Row {
            by: "",
            name: "all",
            drags: 9,
            medians,
        };
        assert!((row([9.0, 10.0, 10.0, 12.0]).later() - 0.9).abs() < 0.01);
        assert!((row([12.0, 10.0, 10.0, 12.0]).later() - 1.2).abs() < 0.01);
        assert!((row([9.0, 18.0, 10.0, 12.0]).later() - 1.5).abs() < 0.01);
    }
}
