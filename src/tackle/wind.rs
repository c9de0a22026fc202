//! How hard the wind pulls: the drag of the boat, and the load that ABYC H-40 designs for.
//!
//! **Steady pull.** `F = ½ ρ V² Σ Cd A` with `ρ` 1.29 kg/m³ and coefficients of drag 0.5 for the
//! hull, 1.0 for mast and coachroof and 1.2 for the stays (L. Larsson and R. Eliasson, *Principles
//! of Yacht Design*, figure 9.2). The areas, from length `L`, beam `B`, freeboard `F` and the
//! mast's height `M` above the water: she sheers at anchor, to 30° either side (C. Dulhunty), so the
//! hull shows `F (B cos 30° + L sin 30°)`; the coachroof half the beam by 0.5 m; the mast `M` by
//! its breadth of `M/100`; the stays eight wires of the mast's height, 8 mm thick (chosen: a sloop
//! of 8-17 m). What is furled, lashed on deck or held up by an arch is not counted.
//!
//! **Design load.** The table of ABYC H-40 by length over all for 30 kn, times the square of the wind: a
//! boat in the open, with gusts, sheering and the surge of the seas. It is 2.6 to 3.1 times the steady
//! pull of boats of 6-21 m, as `tests/tackle.rs` prints. Surge is not calculated here; that factor is
//! the only figure for it.
//!
//! Weakness: the steady pull is good to a factor of 1.5 either way (chosen: the spread of Cd and
//! areas between boats of one length), the design load to a factor of 2: shelter halves it, a
//! steep sea doubles it. Current is not counted.
//! Tests: `the_drag_of_one_square_metre`, `the_design_load_is_that_of_the_table`, and
//! `tests/tackle.rs` beside the whole table.

use super::tables::{DESIGN_LOAD_WIND, design_load_at_30_knots};
use crate::units::{Metres, Newtons, Speed};

/// The areas of the boat on which the wind acts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Windage {
    /// Drag over dynamic pressure: the sum of `Cd A`, square metres.
    drag_area: f64,
    length: Metres,
}

impl Windage {
    /// From length over all, beam, freeboard and the mast's height above the water.
    #[must_use]
    pub fn new(length: Metres, beam: Metres, freeboard: Metres, mast: Metres) -> Self {
        let side = |m: Metres| m.get().clamp(0.0, MOST);
        let (l, b, f, m) = (side(length), side(beam), side(freeboard), side(mast));
        let (sine, cosine) = SHEER.sin_cos();
        let hull = f * (b * cosine + l * sine);
        let coachroof = 0.5 * b * COACHROOF;
        let mast = m * m * MAST_BREADTH;
        let stays = STAYS * m * STAY_THICKNESS;
        Self {
            drag_area: CD_HULL * hull + CD_SPAR * (coachroof + mast) + CD_WIRE * stays,
            length: Metres::of(l),
        }
    }

    /// An assumed beam for her length, if it is not entered: `0.37 L` at 10 m and less for longer boats,
    /// by the power of 2/3 (common practice, no source).
    #[must_use]
    pub fn usual_beam(length: Metres) -> Metres {
        Metres::of(0.8 * length.get().clamp(0.0, MOST).powf(2.0 / 3.0))
    }

    /// An assumed freeboard for her length, if it is not entered: a tenth of it (common practice, no
    /// source).
    #[must_use]
    pub fn usual_freeboard(length: Metres) -> Metres {
        Metres::of(0.1 * length.get().clamp(0.0, MOST))
    }

    /// An assumed mast height above the water for her length, if it is not entered: 1.4 times it (common
    /// practice, no source).
    #[must_use]
    pub fn usual_mast(length: Metres) -> Metres {
        Metres::of(1.4 * length.get().clamp(0.0, MOST))
    }

    /// The steady pull of this wind.
    #[must_use]
    pub fn pull(&self, wind: Speed) -> Newtons {
        let speed = wind.get().clamp(-MOST, MOST);
        Newtons::of(0.5 * AIR * self.drag_area * speed * speed)
    }

    /// The wind that causes this steady pull.
    #[must_use]
    pub fn wind_for(&self, pull: Newtons) -> Speed {
        let square = 2.0 * pull.get().max(0.0) / (AIR * self.drag_area.max(LEAST_AREA));
        Speed::new(square.sqrt()).unwrap_or_default()
    }

    /// The load that H-40 designs for in this wind.
    #[must_use]
    pub fn design_load(&self, wind: Speed) -> Newtons {
        let times = wind.knots().clamp(-MOST, MOST) / DESIGN_LOAD_WIND;
        design_load_at_30_knots(self.length) * (times * times)
    }

    /// The wind for which H-40 designs this load.
    #[must_use]
    pub fn wind_for_design(&self, load: Newtons) -> Speed {
        let share = load.get().max(0.0) / design_load_at_30_knots(self.length).get();
        Speed::from_knots(DESIGN_LOAD_WIND * share.max(0.0).sqrt())
    }
}

/// kg/m³.
const AIR: f64 = 1.29;
/// 30°.
const SHEER: f64 = std::f64::consts::FRAC_PI_6;
const CD_HULL: f64 = 0.5;
const CD_SPAR: f64 = 1.0;
const CD_WIRE: f64 = 1.2;
/// Metres.
const COACHROOF: f64 = 0.5;
/// Of its height.
const MAST_BREADTH: f64 = 0.01;
const STAYS: f64 = 8.0;
/// Metres.
const STAY_THICKNESS: f64 = 0.008;
/// Metres, or metres a second: no boat or wind is larger.
const MOST: f64 = 1e4;
/// Square metres.
const LEAST_AREA: f64 = 1e-3;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn usual(length: Metres) -> Windage {
        Windage::new(
            length,
            Windage::usual_beam(length),
            Windage::usual_freeboard(length),
            Windage::usual_mast(length),
        )
    }

    /// Half of 1.29 kg/m³ times the square of 10 m/s is 64.5 Pa.
    #[test]
    fn the_drag_of_one_square_metre() {
        let windage = Windage {
            drag_area: 1.0,
            length: Metres::of(10.0),
        };
        assert!((windage.pull(Speed::of(10.0)).get() - 64.5).abs() < 1e-9);
        assert!((windage.wind_for(Newtons::of(64.5)).get() - 10.0).abs() < 1e-9);
    }

    /// ABYC H-40, table 1: 35 ft 900 lbf and 40 ft 1200 lbf at 30 kn, 300 lbf at 40 ft and 15 kn.
    #[test]
    fn the_design_load_is_that_of_the_table() {
        let load = |feet: f64, knots: f64| {
            let windage = usual(Metres::from_feet(feet));
            windage.design_load(Speed::from_knots(knots)).pounds()
        };
        assert!((load(40.0, 30.0) - 1200.0).abs() < 1e-6);
        assert!((load(40.0, 15.0) - 300.0).abs() < 1e-6);
        assert!((load(37.5, 30.0) - 1050.0).abs() < 1e-6);
        assert!((load(10.0, 30.0) - 360.0).abs() < 1e-6);
        let wind = usual(Metres::from_feet(40.0)).wind_for_design(Newtons::from_pounds(300.0));
        assert!((wind.knots() - 15.0).abs() < 1e-9);
    }

    proptest! {
        #[test]
        fn more_wind_and_more_boat_pull_more(
            length in 4.0..30.0_f64, longer in 0.1..5.0_f64,
            wind in 0.0..40.0_f64, more in 0.1..20.0_f64,
        ) {
            let (small, large) = (usual(Metres::of(length)), usual(Metres::of(length + longer)));
            let (light, fresh) = (Speed::of(wind), Speed::of(wind + more));
            prop_assert!(small.pull(fresh) > small.pull(light));
            prop_assert!(large.pull(fresh) > small.pull(fresh));
            prop_assert!(large.design_load(fresh) >= small.design_load(fresh));
            // The design load is greater than the steady pull.
            prop_assert!(small.design_load(fresh) > small.pull(fresh));
        }
    }
}
