//! The waves that make up the tide, each with its Doodson numbers and node factors.
//!
//! # Method
//! A constituent's argument is `V = n0 τ + n1 s + n2 h + n3 p + n4 N' + n5 p1 + k 90°`, where `τ` is
//! counted from the moon's lower transit (A. T. Doodson 1921; the numbers are those of the International
//! Hydrographic Organization's list of constituents). The quarter turns `k` make `V` equal to that of
//! Schureman's table 2, which counts the sun's hour angle from noon, so phases `g` that NOAA publishes can
//! be used unchanged. A compound tide has the sum of its parts' arguments and angles and the product of
//! their factors.
//!
//! # Conventions that differ elsewhere
//! `SA` is `h` (others: `h - p1`), `S1` is the sun's hour angle (half a turn at midnight), `M1` is
//! Schureman's (206, 207), and `M3` is three halves of `M2` from the lower transit.
//! `deploy/tides/README.md` describes how each of these was verified; the catalogue's builder converts
//! other sources' phases to these conventions.

use super::astronomy::{NODES, Node};

/// One wave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Constituent {
    /// The name that NOAA or the international list uses, in capitals.
    pub name: &'static str,
    /// Multiples of `τ, s, h, p, N', p1`.
    pub doodson: [i8; 6],
    /// Quarter turns added to the argument.
    pub quarters: i8,
    /// Multiples of each node's angle.
    pub angles: [i8; NODES],
    /// Powers of each node's factor.
    pub powers: [i8; NODES],
}

impl Constituent {
    const fn solar(name: &'static str, doodson: [i8; 6], quarters: i8) -> Self {
        Self {
            name,
            doodson,
            quarters,
            angles: [0; NODES],
            powers: [0; NODES],
        }
    }

    const fn lunar(name: &'static str, doodson: [i8; 6], quarters: i8, node: Node) -> Self {
        let mut wave = Self::solar(name, doodson, quarters);
        wave.angles[node as usize] = 1;
        wave.powers[node as usize] = 1;
        wave
    }

    const fn compound(name: &'static str, parts: &[(i8, Self)]) -> Self {
        let mut wave = Self::solar(name, [0; 6], 0);
        let mut at = 0;
        while at < parts.len() {
            let (times, part) = parts[at];
            let mut place = 0;
            while place < 6 {
                wave.doodson[place] += times * part.doodson[place];
                place += 1;
            }
            wave.quarters += times * part.quarters;
            let mut node = 0;
            while node < NODES {
                wave.angles[node] += times * part.angles[node];
                wave.powers[node] += times.abs() * part.powers[node];
                node += 1;
            }
            at += 1;
        }
        wave
    }

    /// Mean speed in degrees an hour, for people and for checks.
    #[must_use]
    pub fn speed(&self) -> f64 {
        let numbers = self.doodson.iter().zip(SPEEDS);
        numbers.map(|(n, speed)| f64::from(*n) * speed).sum()
    }
}

/// The wave of this name, `None` when it is unknown. Case does not matter, and names that differ between
/// agencies (`LAM2`, `LAMBDA2`; `RHO`, `RHO1`) give the same wave.
#[must_use]
pub fn named(name: &str) -> Option<&'static Constituent> {
    let upper = name.to_ascii_uppercase();
    let known = ALIASES
        .iter()
        .find(|(alias, _)| *alias == upper)
        .map_or(upper.as_str(), |(_, name)| name);
    ALL.iter().find(|wave| wave.name == known)
}

/// All known waves.
#[must_use]
pub const fn all() -> &'static [Constituent] {
    ALL
}

const ALIASES: [(&str, &str); 13] = [
    ("LAMBDA2", "LAM2"),
    ("RHO1", "RHO"),
    ("SIGMA1", "SGM"),
    ("EPS2", "EP2"),
    ("LDA2", "LAM2"),
    ("MFM", "MTM"),
    ("3MNS10", "3MSN10"),
    ("3MNS6", "2NMLS6"),
    ("3MS2", "MLN2S2"),
    ("M2(KS)2", "M2KS2"),
    ("2SN(MK)2", "2SNMK2"),
    ("2KM(SN)2", "2KMSN2"),
    ("OQ2", "OO2"),
];

/// Degrees an hour in 2000 (Schureman, table 1).
const SPEEDS: [f64; 6] = [
    14.492_052_1,
    0.549_016_5,
    0.041_068_6,
    0.004_641_8,
    0.002_206_4,
    0.000_002_0,
];

type C = Constituent;

const SA: C = C::solar("SA", [0, 0, 1, 0, 0, 0], 0);
const SSA: C = C::solar("SSA", [0, 0, 2, 0, 0, 0], 0);
const MM: C = C::lunar("MM", [0, 1, 0, -1, 0, 0], 0, Node::Mm);
const MF: C = C::lunar("MF", [0, 2, 0, 0, 0, 0], 0, Node::Mf);

const Q1: C = C::lunar("Q1", [1, -2, 0, 1, 0, 0], -1, Node::O1);
const O1: C = C::lunar("O1", [1, -1, 0, 0, 0, 0], -1, Node::O1);
const P1: C = C::solar("P1", [1, 1, -2, 0, 0, 0], -1);
const K1: C = C::lunar("K1", [1, 1, 0, 0, 0, 0], 1, Node::K1);
const J1: C = C::lunar("J1", [1, 2, 0, -1, 0, 0], 1, Node::J1);

const N2: C = C::lunar("N2", [2, -1, 0, 1, 0, 0], 0, Node::M2);
const NU2: C = C::lunar("NU2", [2, -1, 2, -1, 0, 0], 0, Node::M2);
const M2: C = C::lunar("M2", [2, 0, 0, 0, 0, 0], 0, Node::M2);
const L2: C = C::lunar("L2", [2, 1, 0, -1, 0, 0], 2, Node::L2);
const T2: C = C::solar("T2", [2, 2, -3, 0, 0, 1], 0);
const S2: C = C::solar("S2", [2, 2, -2, 0, 0, 0], 0);
const R2: C = C::solar("R2", [2, 2, -1, 0, 0, -1], 2);
const K2: C = C::lunar("K2", [2, 2, 0, 0, 0, 0], 0, Node::K2);

#[rustfmt::skip]
const ALL: &[Constituent] = &[
    // Long periods.
    SA, SSA, MM, MF,
    C::compound("MSF", &[(1, S2), (-1, M2)]),
    C::lunar("MTM", [0, 3, 0, -1, 0, 0], 0, Node::Mf),
    C::lunar("MSQM", [0, 4, -2, 0, 0, 0], 0, Node::Mf),
    // Once a day.
    C::lunar("ALP1", [1, -4, 2, 1, 0, 0], -1, Node::O1),
    C::lunar("2Q1", [1, -3, 0, 2, 0, 0], -1, Node::O1),
    C::lunar("SGM", [1, -3, 2, 0, 0, 0], -1, Node::O1),
    Q1,
    C::lunar("RHO", [1, -2, 2, -1, 0, 0], -1, Node::O1),
    O1,
    C::lunar("TAU1", [1, -1, 2, 0, 0, 0], 1, Node::K1),
    C::compound("MP1", &[(1, M2), (-1, P1)]),
    C::lunar("M1", [1, 0, 0, 1, 0, 0], 1, Node::M1),
    C::compound("NO1", &[(1, N2), (-1, O1)]),
    C::lunar("CHI1", [1, 0, 2, -1, 0, 0], 1, Node::J1),
    C::solar("PI1", [1, 1, -3, 0, 0, 1], -1),
    P1,
    C::solar("S1", [1, 1, -1, 0, 0, 0], 2),
    K1,
    C::solar("PSI1", [1, 1, 1, 0, 0, -1], 1),
    C::solar("PHI1", [1, 1, 2, 0, 0, 0], 1),
    C::lunar("THETA1", [1, 2, -2, 1, 0, 0], 1, Node::J1),
    J1,
    C::compound("2PO1", &[(2, P1), (-1, O1)]),
    C::compound("SO1", &[(1, S2), (-1, O1)]),
    C::lunar("OO1", [1, 3, 0, 0, 0, 0], 1, Node::Oo1),
    C::compound("TK1", &[(1, T2), (-1, K1)]),
    C::compound("RP1", &[(1, R2), (-1, P1)]),
    C::compound("KP1", &[(1, K2), (-1, P1)]),
    // Twice a day.
    C::compound("2NS2", &[(2, N2), (-1, S2)]),
    C::lunar("EP2", [2, -3, 2, 1, 0, 0], 0, Node::M2),
    C::compound("MNS2", &[(1, M2), (1, N2), (-1, S2)]),
    C::compound("OO2", &[(1, O1), (1, Q1)]),
    C::compound("MLN2S2", &[(3, M2), (-2, S2)]),
    C::compound("2ML2S2", &[(2, M2), (1, L2), (-2, S2)]),
    C::compound("2MS2K2", &[(2, M2), (1, S2), (-2, K2)]),
    C::lunar("2N2", [2, -2, 0, 2, 0, 0], 0, Node::M2),
    C::lunar("MU2", [2, -2, 2, 0, 0, 0], 0, Node::M2),
    N2, NU2,
    C::compound("MKL2S2", &[(1, M2), (1, K2), (1, L2), (-2, S2)]),
    C::compound("OP2", &[(1, O1), (1, P1)]),
    C::lunar("MA2", [2, 0, -1, 0, 0, 0], 0, Node::M2),
    M2,
    C::lunar("MB2", [2, 0, 1, 0, 0, 0], 0, Node::M2),
    C::compound("MKS2", &[(1, M2), (1, K2), (-1, S2)]),
    C::compound("M2KS2", &[(1, M2), (2, K2), (-2, S2)]),
    C::compound("2SNMK2", &[(2, S2), (1, N2), (-1, M2), (-1, K2)]),
    C::lunar("LAM2", [2, 1, -2, 1, 0, 0], 2, Node::M2),
    L2, T2, S2, R2, K2,
    C::compound("MSN2", &[(1, M2), (1, S2), (-1, N2)]),
    C::lunar("ETA2", [2, 3, 0, -1, 0, 0], 0, Node::K2),
    C::compound("KJ2", &[(1, K1), (1, J1)]),
    C::compound("2KMSN2", &[(2, K2), (1, M2), (-1, S2), (-1, N2)]),
    C::compound("2SM2", &[(2, S2), (-1, M2)]),
    C::compound("SKM2", &[(1, S2), (1, K2), (-1, M2)]),
    // Three times a day.
    C::compound("NO3", &[(1, N2), (1, O1)]),
    C::compound("MO3", &[(1, M2), (1, O1)]),
    C::compound("2MK3", &[(2, M2), (-1, K1)]),
    C::lunar("M3", [3, 0, 0, 0, 0, 0], 2, Node::M3),
    C::compound("SO3", &[(1, S2), (1, O1)]),
    C::compound("MK3", &[(1, M2), (1, K1)]),
    C::solar("S3", [3, 3, -3, 0, 0, 0], 2),
    C::compound("SK3", &[(1, S2), (1, K1)]),
    // Four times a day.
    C::compound("N4", &[(2, N2)]),
    C::compound("3MS4", &[(3, M2), (-1, S2)]),
    C::compound("MN4", &[(1, M2), (1, N2)]),
    C::compound("2MLS4", &[(2, M2), (1, L2), (-1, S2)]),
    C::compound("M4", &[(2, M2)]),
    C::compound("SN4", &[(1, S2), (1, N2)]),
    C::compound("ML4", &[(1, M2), (1, L2)]),
    C::compound("MS4", &[(1, M2), (1, S2)]),
    C::compound("MK4", &[(1, M2), (1, K2)]),
    C::compound("SL4", &[(1, S2), (1, L2)]),
    C::compound("S4", &[(2, S2)]),
    C::compound("SK4", &[(1, S2), (1, K2)]),
    // Five times a day.
    C::compound("MNO5", &[(1, M2), (1, N2), (1, O1)]),
    C::compound("2MO5", &[(2, M2), (1, O1)]),
    C::compound("3MP5", &[(3, M2), (-1, P1)]),
    C::compound("MNK5", &[(1, M2), (1, N2), (1, K1)]),
    C::compound("2MP5", &[(2, M2), (1, P1)]),
    C::compound("2MK5", &[(2, M2), (1, K1)]),
    C::compound("MSK5", &[(1, M2), (1, S2), (1, K1)]),
    C::compound("3KM5", &[(3, K1), (1, M2)]),
    C::compound("2SK5", &[(2, S2), (1, K1)]),
    // Six times a day.
    C::compound("2NMLS6", &[(3, M2), (1, N2), (-1, S2)]),
    C::compound("2NM6", &[(2, N2), (1, M2)]),
    C::compound("2MLNS6", &[(4, M2), (-1, S2)]),
    C::compound("2MN6", &[(2, M2), (1, N2)]),
    C::compound("3MLS6", &[(2, M2), (1, NU2)]),
    C::compound("M6", &[(3, M2)]),
    C::compound("MSN6", &[(1, M2), (1, S2), (1, N2)]),
    C::compound("2ML6", &[(2, M2), (1, L2)]),
    C::compound("2MS6", &[(2, M2), (1, S2)]),
    C::compound("2MK6", &[(2, M2), (1, K2)]),
    C::compound("MSL6", &[(1, M2), (1, S2), (1, L2)]),
    C::compound("2SM6", &[(2, S2), (1, M2)]),
    C::compound("MSK6", &[(1, M2), (1, S2), (1, K2)]),
    C::compound("S6", &[(3, S2)]),
    // Seven times a day and more.
    C::compound("2MNO7", &[(2, M2), (1, N2), (1, O1)]),
    C::compound("2NMK7", &[(2, N2), (1, M2), (1, K1)]),
    C::compound("2MSO7", &[(2, M2), (1, S2), (1, O1)]),
    C::compound("3MK7", &[(3, M2), (1, K1)]),
    C::compound("MSKO7", &[(1, M2), (1, S2), (1, K2), (1, O1)]),
    C::compound("2MN8", &[(2, M2), (2, N2)]),
    C::compound("3MN8", &[(3, M2), (1, N2)]),
    C::compound("4MLS8", &[(3, M2), (1, NU2)]),
    C::compound("M8", &[(4, M2)]),
    C::compound("2MSN8", &[(2, M2), (1, S2), (1, N2)]),
    C::compound("3ML8", &[(3, M2), (1, L2)]),
    C::compound("3MS8", &[(3, M2), (1, S2)]),
    C::compound("3MK8", &[(3, M2), (1, K2)]),
    C::compound("2MSL8", &[(2, M2), (1, S2), (1, L2)]),
    C::compound("2MS8", &[(2, M2), (2, S2)]),
    C::compound("2MSK8", &[(2, M2), (1, S2), (1, K2)]),
    C::compound("2M2NK9", &[(2, M2), (2, N2), (1, K1)]),
    C::compound("3MNK9", &[(3, M2), (1, N2), (1, K1)]),
    C::compound("4MK9", &[(4, M2), (1, K1)]),
    C::compound("3MSK9", &[(3, M2), (1, S2), (1, K1)]),
    C::compound("4MN10", &[(4, M2), (1, N2)]),
    C::compound("M10", &[(5, M2)]),
    C::compound("3MSN10", &[(3, M2), (1, S2), (1, N2)]),
    C::compound("4MS10", &[(4, M2), (1, S2)]),
    C::compound("3MSL10", &[(3, M2), (1, S2), (1, L2)]),
    C::compound("3M2S10", &[(3, M2), (2, S2)]),
    C::compound("4MSK11", &[(4, M2), (1, S2), (1, K1)]),
    C::compound("4MNS12", &[(4, M2), (1, S2), (1, N2)]),
    C::compound("5MS12", &[(5, M2), (1, S2)]),
    C::compound("4MSL12", &[(6, M2), (1, S2), (-1, N2)]),
    C::compound("4M2S12", &[(4, M2), (2, S2)]),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// Speeds in degrees an hour of the 37 constituents that NOAA predicts with, as its tables of harmonic
    /// constants print them for every station.
    #[test]
    fn the_speeds_are_those_noaa_prints() {
        let printed = [
            ("M2", 28.984_104),
            ("S2", 30.0),
            ("N2", 28.439_73),
            ("K1", 15.041_069),
            ("M4", 57.968_21),
            ("O1", 13.943_035),
            ("M6", 86.952_32),
            ("MK3", 44.025_173),
            ("S4", 60.0),
            ("MN4", 57.423_832),
            ("NU2", 28.512_583),
            ("S6", 90.0),
            ("MU2", 27.968_208),
            ("2N2", 27.895_355),
            ("OO1", 16.139_101),
            ("LAM2", 29.455_626),
            ("S1", 15.0),
            ("M1", 14.496_694),
            ("J1", 15.585_443),
            ("MM", 0.544_375),
            ("SSA", 0.082_137),
            ("SA", 0.041_069),
            ("MSF", 1.015_896),
            ("MF", 1.098_033),
            ("RHO", 13.471_515),
            ("Q1", 13.398_661),
            ("T2", 29.958_933),
            ("R2", 30.041_067),
            ("2Q1", 12.854_286),
            ("P1", 14.958_931),
            ("2SM2", 31.015_896),
            ("M3", 43.476_158),
            ("L2", 29.528_479),
            ("2MK3", 42.927_14),
            ("K2", 30.082_138),
            ("M8", 115.936_42),
            ("MS4", 58.984_104),
        ];
        for (name, speed) in printed {
            let found = named(name).unwrap().speed();
            assert!((found - speed).abs() < 1e-5, "{name} {found} {speed}");
        }
    }

    #[test]
    fn every_name_is_there_once_and_every_alias_leads_somewhere() {
        for (place, wave) in all().iter().enumerate() {
            assert!(
                all()[place + 1..]
                    .iter()
                    .all(|other| other.name != wave.name)
            );
            assert_eq!(named(wave.name), Some(wave));
        }
        for alias in ["lambda2", "rho1", "SIGMA1", "eps2", "Mfm", "M2(KS)2"] {
            assert!(named(alias).is_some(), "{alias}");
        }
        assert_eq!(named("X9"), None);
    }
}
