//! Figures typed in from published tables, each with the table's name. Nothing is calculated here.

use crate::units::{Kilograms, Metres, Newtons};

/// A size of chain from a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChainRow {
    /// Diameter of the link's wire, millimetres (metric) or inches (US).
    pub size: f64,
    /// Grade as the trade counts it: 30, 40, 43, 70.
    pub grade: u8,
    /// Mass in air, kilograms a metre; `None` where the table has none.
    pub mass: Option<f64>,
    /// Breaking load (metric tables), kN, or working load limit (US table), pounds of force.
    pub load: f64,
}

const fn row(size: f64, grade: u8, mass: f64, load: f64) -> ChainRow {
    ChainRow {
        size,
        grade,
        mass: Some(mass),
        load,
    }
}

const fn bare(size: f64, grade: u8, load: f64) -> ChainRow {
    ChainRow {
        size,
        grade,
        mass: None,
        load,
    }
}

/// Calibrated short link chain to DIN 766 and ISO 4565: millimetres, grade, kilograms a metre,
/// breaking load in kN. Source: a chain maker's table of both standards. For 10 mm, the row with
/// the lower mass (DIN 766, 28 mm pitch) is used for grade 40 and the row with 30 mm pitch for
/// grade 30.
pub const CHAIN_METRIC: [ChainRow; 13] = [
    row(6.0, 30, 0.80, 18.0),
    row(6.0, 40, 0.80, 20.0),
    row(7.0, 30, 1.15, 25.0),
    row(7.0, 40, 1.15, 30.0),
    row(8.0, 30, 1.40, 32.0),
    row(8.0, 40, 1.40, 40.0),
    row(10.0, 30, 2.25, 50.0),
    row(10.0, 40, 2.20, 63.0),
    row(12.0, 30, 3.25, 71.0),
    row(13.0, 30, 3.90, 80.0),
    row(14.0, 30, 4.25, 100.0),
    row(14.0, 40, 4.25, 121.0),
    row(16.0, 30, 5.80, 125.0),
];

/// US chain of the grades G30 (proof coil), G43 (high test) and G70 (transport): inches, grade,
/// kilograms a metre where the table has it, working load limit in pounds of force. Source: the
/// working load limits as chandlers republish them from the makers; masses from a page on G70.
pub const CHAIN_INCH: [ChainRow; 21] = [
    bare(0.25, 30, 1300.0),
    bare(0.25, 43, 2600.0),
    bare(0.25, 70, 3150.0),
    row(0.3125, 30, 1.488, 1900.0),
    row(0.3125, 43, 1.488, 3900.0),
    row(0.3125, 70, 1.488, 4700.0),
    row(0.375, 30, 2.158, 2650.0),
    row(0.375, 43, 2.158, 5400.0),
    row(0.375, 70, 2.158, 6600.0),
    bare(0.4375, 30, 3700.0),
    bare(0.4375, 43, 7200.0),
    bare(0.4375, 70, 8750.0),
    row(0.5, 30, 4.018, 4500.0),
    row(0.5, 43, 4.018, 9200.0),
    row(0.5, 70, 4.018, 11_300.0),
    bare(0.625, 30, 6900.0),
    bare(0.625, 43, 13_000.0),
    bare(0.625, 70, 15_800.0),
    bare(0.75, 30, 10_600.0),
    bare(0.75, 43, 20_200.0),
    bare(0.75, 70, 24_700.0),
];

/// ABYC H-40, table 1, design horizontal load of a working anchor, 30 kn of wind: length over all
/// in feet, load in pounds of force. As republished by chandlers.
pub const DESIGN_LOAD: [(f64, f64); 8] = [
    (20.0, 360.0),
    (25.0, 490.0),
    (30.0, 700.0),
    (35.0, 900.0),
    (40.0, 1200.0),
    (50.0, 1600.0),
    (60.0, 2000.0),
    (70.0, 2700.0),
];

/// The wind of [`DESIGN_LOAD`], knots.
pub const DESIGN_LOAD_WIND: f64 = 30.0;

/// Main anchor by mean length of the boat, metres and kilograms: table 20.1 of the small craft
/// code of the UK's Maritime and Coastguard Agency.
pub const MAIN_ANCHOR: [(f64, f64); 19] = [
    (6.0, 8.0),
    (7.0, 9.0),
    (8.0, 10.0),
    (9.0, 11.0),
    (10.0, 13.0),
    (11.0, 15.0),
    (12.0, 18.0),
    (13.0, 21.0),
    (14.0, 24.0),
    (15.0, 27.0),
    (16.0, 30.0),
    (17.0, 34.0),
    (18.0, 38.0),
    (19.0, 42.0),
    (20.0, 47.0),
    (21.0, 52.0),
    (22.0, 57.0),
    (23.0, 62.0),
    (24.0, 68.0),
];

/// Interpolates between the rows of a table whose left column rises; outside the table it gives the
/// nearest row's value.
#[must_use]
pub fn between(rows: &[(f64, f64)], at: f64) -> f64 {
    let (Some(&first), Some(&last)) = (rows.first(), rows.last()) else {
        return 0.0;
    };
    if at <= first.0 {
        return first.1;
    }
    let pair = rows
        .iter()
        .zip(rows.iter().skip(1))
        .find(|(low, high)| low.0 <= at && at <= high.0);
    pair.map_or(last.1, |(low, high)| {
        low.1 + (high.1 - low.1) * (at - low.0) / (high.0 - low.0)
    })
}

/// The mass from [`MAIN_ANCHOR`]; `None` beyond the boats it covers.
#[must_use]
pub fn main_anchor(length: Metres) -> Option<Kilograms> {
    let (least, most) = (MAIN_ANCHOR.first()?.0, MAIN_ANCHOR.last()?.0);
    let length = length.get();
    (length <= most).then(|| Kilograms::of(between(&MAIN_ANCHOR, length.max(least))))
}

/// The design load of [`DESIGN_LOAD`] at 30 kn. Between the columns it is interpolated; below the
/// first it is the first value; beyond the last it grows with the length to the power of 1.66 (the
/// exponent of A. Fraysse's fit to the same table).
#[must_use]
pub fn design_load_at_30_knots(length: Metres) -> Newtons {
    let feet = length.feet();
    let (longest, most) = DESIGN_LOAD[DESIGN_LOAD.len() - 1];
    let pounds = if feet > longest {
        most * (feet / longest).powf(1.66)
    } else {
        between(&DESIGN_LOAD, feet)
    };
    Newtons::from_pounds(pounds)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn between_two_rows_in_proportion_outside_the_nearest() {
        let rows = [(1.0, 10.0), (2.0, 20.0), (4.0, 60.0)];
        assert_eq!(between(&rows, 0.0), 10.0);
        assert_eq!(between(&rows, 1.5), 15.0);
        assert_eq!(between(&rows, 3.0), 40.0);
        assert_eq!(between(&rows, 9.0), 60.0);
        assert_eq!(between(&[], 9.0), 0.0);
    }

    #[test]
    fn the_tables_rise() {
        let rising =
            |rows: &[(f64, f64)]| rows.windows(2).all(|w| w[0].0 < w[1].0 && w[0].1 < w[1].1);
        assert!(rising(&DESIGN_LOAD) && rising(&MAIN_ANCHOR));
        for rows in [&CHAIN_METRIC[..], &CHAIN_INCH[..]] {
            for grade in [30, 40, 43, 70] {
                let of: Vec<&ChainRow> = rows.iter().filter(|row| row.grade == grade).collect();
                assert!(
                    of.windows(2)
                        .all(|w| w[0].size < w[1].size && w[0].load < w[1].load)
                );
            }
        }
    }

    /// Table 20.1: 12 m of mean length require 18 kg.
    #[test]
    fn the_anchor_of_the_table() {
        assert_eq!(main_anchor(Metres::of(12.0)), Some(Kilograms::of(18.0)));
        assert_eq!(main_anchor(Metres::of(3.0)), Some(Kilograms::of(8.0)));
        assert_eq!(main_anchor(Metres::of(40.0)), None);
    }
}
