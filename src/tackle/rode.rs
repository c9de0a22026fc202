//! The material of the rode: sizes of chain and rope as people write them, and their figures.
//!
//! **Chain.** Mass and breaking load come from the tables of [`super::tables`]. The working load of
//! metric chain is a quarter of the breaking load, as DIN 766 rates it (from memory); that of US
//! chain is the table's own. Where the table has no mass, `0.0238 kg/m` for each square millimetre
//! of the wire's diameter is assumed: the figure of the same table's 3/8 in.
//!
//! **Rope.** Three-strand, new and dry: breaking load 0.204 d² kN for nylon and 0.155 d² for
//! polyester, mass 0.615 and 0.80 d² g/m, `d` in millimetres (from memory of ISO 1140 and ISO
//! 1141, whose rows these fit within 2 %). Stiffness, the pull that would double the length: 1.5
//! times the breaking load for nylon, so that 15 % of it stretches by a tenth, 5 times for
//! polyester (from memory of makers' curves). Working load: an eighth of the breaking load
//! (chosen: makers say a fifth to a twelfth).
//!
//! Weakness: wet nylon is weaker by a tenth or more, an old or chafed rope by an unknown amount; a
//! knot costs half of the strength, a splice a tenth (common practice, no source); stiffness grows
//! with age and is not constant; links rust.
//! Tests: `chain_as_people_write_it`, `masses_and_loads_are_those_of_the_tables`.

use std::fmt;
use std::str::FromStr;

use super::catenary::{Part, in_sea_water, steel_in_sea_water};
use super::tables::{CHAIN_INCH, CHAIN_METRIC, ChainRow};
use crate::speech::Hundredths;
use crate::speech::plans::Assumed;
use crate::units::{Metres, Newtons};

/// A chain of a known size and grade, such as `8 mm G40` or `5/16 in G43`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chain {
    row: ChainRow,
    system: System,
    /// Whether the grade was entered; otherwise it is the weakest of its size.
    graded: bool,
}

/// A rope of a known thickness and material, such as `14 mm nylon`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rope {
    millimetres: f64,
    stuff: Stuff,
}

/// The material of a rope. Floating rope is not accepted for a rode: it would lie at the surface.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stuff {
    /// Polyamide: stretches, which is good for a rode.
    Nylon,
    /// Stretches little.
    Polyester,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum System {
    Metric,
    Inch,
}

/// Why a chain or a rope was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseTackleError {
    /// The text is not a size with a grade.
    #[error("`{text}` is no chain; write size and grade, such as `8 mm G40` or `5/16 in G43`")]
    NoChain {
        /// The entered text.
        text: String,
    },
    /// No table has this size.
    #[error("no table has a chain of `{text}`; known are {known}")]
    UnknownSize {
        /// The entered text.
        text: String,
        /// The sizes of that system.
        known: String,
    },
    /// The size is not made in this grade.
    #[error("no table has `{text}`; that size comes as {known}")]
    UnknownGrade {
        /// The entered text.
        text: String,
        /// The grades of that size.
        known: String,
    },
    /// The text is not a thickness with a material.
    #[error(
        "`{text}` is no rope for a rode; write thickness and stuff, such as `14 mm nylon` or `1/2 in polyester`, from 6 to 60 mm"
    )]
    NoRope {
        /// The entered text.
        text: String,
    },
}

impl Chain {
    /// Mass in air, kilograms a metre.
    #[must_use]
    pub fn mass(&self) -> f64 {
        let millimetres = match self.system {
            System::Metric => self.row.size,
            System::Inch => self.row.size * MM_PER_INCH,
        };
        let calculated = MASS_BY_SQUARE * millimetres * millimetres;
        self.row.mass.unwrap_or(calculated)
    }

    /// Working load.
    #[must_use]
    pub fn working_load(&self) -> Newtons {
        match self.system {
            System::Metric => Newtons::of(self.row.load * 1000.0 / CHAIN_SAFETY),
            System::Inch => Newtons::from_pounds(self.row.load),
        }
    }

    /// The values that were not entered, or are not in the table, and are therefore assumed.
    #[must_use]
    pub fn assumed(&self) -> Vec<Assumed> {
        let mut words = Vec::new();
        if !self.graded {
            words.push(Assumed::Grade {
                grade: self.row.grade.to_string(),
            });
        }
        if self.row.mass.is_none() {
            words.push(Assumed::Weight {
                mass: Hundredths(self.mass()),
            });
        }
        words
    }

    /// A length of this chain.
    #[must_use]
    pub fn part(&self, length: Metres) -> Part {
        Part::new(length, steel_in_sea_water(self.mass()), None)
    }

    /// A length that hangs slack beside a snubber, which takes the pull.
    #[must_use]
    pub fn snubbed(&self, length: Metres, snubber: &Rope) -> Part {
        let weight = steel_in_sea_water(self.mass());
        Part::new(length, weight, Some(snubber.stiffness()))
    }
}

impl FromStr for Chain {
    type Err = ParseTackleError;

    fn from_str(text: &str) -> Result<Self, ParseTackleError> {
        let text = text.trim();
        let no_chain = || ParseTackleError::NoChain {
            text: text.to_owned(),
        };
        let (size, rest) = sized(text).ok_or_else(no_chain)?;
        let grade = match rest.trim() {
            "" => None,
            grade => {
                let digits = grade.strip_prefix(['G', 'g']).ok_or_else(no_chain)?;
                Some(digits.trim().parse::<u8>().map_err(|_| no_chain())?)
            }
        };
        let (system, value, rows) = match size {
            Size::Millimetres(mm) => (System::Metric, mm, &CHAIN_METRIC[..]),
            Size::Inches(inches) => (System::Inch, inches, &CHAIN_INCH[..]),
        };
        let of_size: Vec<&ChainRow> = rows
            .iter()
            .filter(|row| (row.size - value).abs() < 1e-6)
            .collect();
        let Some(weakest) = of_size.first() else {
            let mut sizes: Vec<String> = rows.iter().map(|row| system.written(row.size)).collect();
            sizes.dedup();
            return Err(ParseTackleError::UnknownSize {
                text: text.to_owned(),
                known: listed(&sizes),
            });
        };
        let row = match grade {
            None => weakest,
            Some(grade) => of_size
                .iter()
                .find(|row| row.grade == grade)
                .ok_or_else(|| {
                    let grades: Vec<String> = of_size
                        .iter()
                        .map(|row| format!("G{}", row.grade))
                        .collect();
                    ParseTackleError::UnknownGrade {
                        text: text.to_owned(),
                        known: listed(&grades),
                    }
                })?,
        };
        Ok(Self {
            row: **row,
            system,
            graded: grade.is_some(),
        })
    }
}

impl fmt::Display for Chain {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let size = self.system.written(self.row.size);
        if self.graded {
            write!(f, "{size} G{}", self.row.grade)
        } else {
            f.write_str(&size)
        }
    }
}

impl Rope {
    /// Breaking load, new and dry.
    #[must_use]
    pub fn breaking_load(&self) -> Newtons {
        let kilo = match self.stuff {
            Stuff::Nylon => 0.204,
            Stuff::Polyester => 0.155,
        };
        Newtons::of(kilo * 1000.0 * self.square())
    }

    /// Working load.
    #[must_use]
    pub fn working_load(&self) -> Newtons {
        self.breaking_load() * (1.0 / ROPE_SAFETY)
    }

    /// The pull that would double its length.
    #[must_use]
    pub fn stiffness(&self) -> Newtons {
        let times = match self.stuff {
            Stuff::Nylon => 1.5,
            Stuff::Polyester => 5.0,
        };
        self.breaking_load() * times
    }

    /// A length of this rope.
    #[must_use]
    pub fn part(&self, length: Metres) -> Part {
        let (grams, density) = match self.stuff {
            Stuff::Nylon => (0.615, 1140.0),
            Stuff::Polyester => (0.80, 1380.0),
        };
        let weight = in_sea_water(grams / 1000.0 * self.square(), density);
        Part::new(length, weight, Some(self.stiffness()))
    }

    fn square(&self) -> f64 {
        self.millimetres * self.millimetres
    }
}

impl FromStr for Rope {
    type Err = ParseTackleError;

    fn from_str(text: &str) -> Result<Self, ParseTackleError> {
        let text = text.trim();
        let no_rope = || ParseTackleError::NoRope {
            text: text.to_owned(),
        };
        let (size, rest) = sized(text).ok_or_else(no_rope)?;
        let millimetres = match size {
            Size::Millimetres(mm) => mm,
            Size::Inches(inches) => inches * MM_PER_INCH,
        };
        let stuff = match rest.trim() {
            "nylon" | "polyamide" => Stuff::Nylon,
            "polyester" => Stuff::Polyester,
            _ => return Err(no_rope()),
        };
        if !(6.0..=60.0).contains(&millimetres) {
            return Err(no_rope());
        }
        Ok(Self { millimetres, stuff })
    }
}

impl fmt::Display for Rope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let stuff = match self.stuff {
            Stuff::Nylon => "nylon",
            Stuff::Polyester => "polyester",
        };
        let rounded = (self.millimetres * 10.0).round() / 10.0;
        write!(f, "{rounded} mm {stuff}")
    }
}

impl System {
    fn written(self, size: f64) -> String {
        match self {
            Self::Metric => format!("{size} mm"),
            Self::Inch => {
                let sixteenths = (size * 16.0).round();
                let (mut over, mut under) = (sixteenths, 16.0);
                while over % 2.0 == 0.0 && under > 1.0 {
                    over /= 2.0;
                    under /= 2.0;
                }
                format!("{over}/{under} in")
            }
        }
    }
}

/// A size as people write it.
enum Size {
    Millimetres(f64),
    Inches(f64),
}

/// The size at the beginning of the text, and the rest: `8mm`, `5/16 in`, `3/8"`.
fn sized(text: &str) -> Option<(Size, &str)> {
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '/'))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let value: f64 = match number.split_once('/') {
        Some((over, under)) => over.parse::<f64>().ok()? / under.parse::<f64>().ok()?,
        None => number.parse().ok()?,
    };
    if !value.is_finite() || value <= 0.0 {
        return None;
    }
    let rest = rest.trim_start();
    if let Some(rest) = rest.strip_prefix("mm") {
        return Some((Size::Millimetres(value), rest));
    }
    let inches = ["inch", "in", "\"", "″"];
    let rest = inches.iter().find_map(|unit| rest.strip_prefix(unit))?;
    Some((Size::Inches(value), rest))
}

fn listed(names: &[String]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    quoted.join(", ")
}

const MM_PER_INCH: f64 = 25.4;
/// Kilograms a metre for each square millimetre of the wire's diameter.
const MASS_BY_SQUARE: f64 = 0.0238;
/// Breaking load over working load.
const CHAIN_SAFETY: f64 = 4.0;
const ROPE_SAFETY: f64 = 8.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(text: &str) -> Chain {
        text.parse().unwrap()
    }

    #[test]
    fn chain_as_people_write_it() {
        for (written, shown) in [
            ("8mm G40", "8 mm G40"),
            (" 8 mm g30 ", "8 mm G30"),
            ("10 mm", "10 mm"),
            ("5/16 in G43", "5/16 in G43"),
            ("3/8\" G70", "3/8 in G70"),
            ("0.5inch G43", "1/2 in G43"),
        ] {
            assert_eq!(chain(written).to_string(), shown);
            // The displayed form can be read again.
            assert_eq!(chain(shown), chain(written));
        }
    }

    #[test]
    fn masses_and_loads_are_those_of_the_tables() {
        // DIN 766: 8 mm, 1.4 kg/m; grade 30 breaks at 32 kN, grade 40 at 40 kN.
        assert_eq!(chain("8 mm G40").mass(), 1.4);
        assert_eq!(chain("8 mm G40").working_load(), Newtons::of(10_000.0));
        assert_eq!(chain("8 mm").working_load(), Newtons::of(8000.0));
        // 5/16 in G43: 3900 lbf.
        assert!((chain("5/16 in G43").working_load().pounds() - 3900.0).abs() < 1e-9);
        // ISO 1140: 16 mm nylon breaks at 52 kN; ISO 1141: 16 mm polyester at 39.8 kN (from memory).
        let load = |text: &str| text.parse::<Rope>().unwrap().breaking_load().get();
        assert!((load("16 mm nylon") / 52_000.0 - 1.0).abs() < 0.02);
        assert!((load("16 mm polyester") / 39_800.0 - 1.0).abs() < 0.02);
    }

    #[test]
    fn assumptions_are_reported() {
        assert_eq!(chain("8 mm G40").assumed(), Vec::new());
        let assumed = chain("1/4 in").assumed().into_iter();
        assert_eq!(
            assumed.map(Assumed::english).collect::<Vec<_>>(),
            [
                "chain: grade not entered, assuming the weakest of its size, G30",
                "chain: its weight is calculated from its size, 0.96 kg/m"
            ]
        );
    }

    #[test]
    fn refusals_explain_what_to_write() {
        let refusal = |text: &str| text.parse::<Chain>().unwrap_err().to_string();
        assert_eq!(
            refusal("heavy"),
            "`heavy` is no chain; write size and grade, such as `8 mm G40` or `5/16 in G43`"
        );
        assert_eq!(
            refusal("9 mm"),
            "no table has a chain of `9 mm`; known are `6 mm`, `7 mm`, `8 mm`, `10 mm`, `12 mm`, `13 mm`, `14 mm`, `16 mm`"
        );
        assert_eq!(
            refusal("8 mm G70"),
            "no table has `8 mm G70`; that size comes as `G30`, `G40`"
        );
        for text in [
            "",
            "8",
            "8 mm steel",
            "1/0 in",
            "mm",
            "8 mm G",
            "8 mm G999",
            "-8 mm",
        ] {
            assert!(text.parse::<Chain>().is_err(), "{text}");
        }
        for text in ["", "14 mm", "14 mm polypropylene", "600 mm nylon", "nylon"] {
            let refusal = text.parse::<Rope>().unwrap_err().to_string();
            assert!(refusal.contains("is no rope for a rode"), "{refusal}");
        }
        assert_eq!(
            "9/16 in nylon".parse::<Rope>().unwrap().to_string(),
            "14.3 mm nylon"
        );
    }
}
