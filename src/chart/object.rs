//! One object of a chart, parsed into types.

use serde::{Deserialize, Serialize};

use super::class::Class;
use super::codes::{Confidence, Datum, Restriction, Sureness, WaterLevel};
use crate::speech::Sentence;
use crate::speech::charts::{Charted, Height};
use crate::units::Metres;

/// One object of a chart, without its place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Object {
    /// Its class.
    #[serde(rename = "c")]
    pub class: Class,
    /// What it means for the water.
    #[serde(rename = "s")]
    pub says: Says,
    /// The restrictions there.
    #[serde(rename = "r", default, skip_serializing_if = "Vec::is_empty")]
    pub restrictions: Vec<Restriction>,
    /// How certain its depth is.
    #[serde(rename = "q", default, skip_serializing_if = "Vec::is_empty")]
    pub sureness: Vec<Sureness>,
    /// Its height relative to the water.
    #[serde(rename = "w", default, skip_serializing_if = "Option::is_none")]
    pub level: Option<WaterLevel>,
    /// Whether the chart calls the ground foul: foul area, foul ground, remains of a wreck.
    #[serde(rename = "f", default, skip_serializing_if = "std::ops::Not::not")]
    pub foul: bool,
    /// Its name.
    #[serde(rename = "n", default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Further information on the chart (INFORM).
    #[serde(rename = "i", default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// What an object means for the water. Depths are metres below chart datum; a negative one is a drying
/// height.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Says {
    /// The depth lies between two bounds everywhere in the area; a bound is `None` where the chart does not
    /// give it.
    #[serde(rename = "area")]
    Depth {
        /// DRVAL1: the least depth.
        #[serde(rename = "l")]
        least: Option<Metres>,
        /// DRVAL2: the greatest depth.
        #[serde(rename = "m")]
        most: Option<Metres>,
    },
    /// A line along which the depth is this.
    #[serde(rename = "line")]
    Contour(Metres),
    /// A rock, wreck, obstruction or sounding with the depth over it; `None`: unknown, and therefore
    /// dangerous.
    #[serde(rename = "over")]
    Over(Option<Metres>),
    /// It stands out of the water: land, a pier, a pile.
    #[serde(rename = "dry")]
    Solid,
    /// No depth; something lies on the bottom or is regulated.
    #[serde(rename = "rule")]
    Rule,
    /// The quality of the survey.
    #[serde(rename = "zoc")]
    Survey {
        /// The zone of confidence.
        #[serde(rename = "z")]
        confidence: Confidence,
        /// The end date of the survey, such as `2004-08-25` or `1998`.
        #[serde(rename = "e")]
        end: Option<String>,
    },
    /// The cell has data here.
    #[serde(rename = "cov")]
    Covered,
}

impl Object {
    /// A description, such as `wreck of unknown depth (Tern)` or `depth area 1.8 m to 3.6 m`.
    #[must_use]
    pub fn told(&self) -> Sentence {
        let class = self.class.told();
        let depth = |depth: &Metres| Height::of(*depth).into();
        let mut told: Vec<Sentence> = vec![match &self.says {
            Says::Depth {
                least: Some(least),
                most: Some(most),
            } if least != most => Charted::Between {
                class,
                least: depth(least),
                most: depth(most),
            }
            .into(),
            Says::Depth {
                least: Some(at), ..
            }
            | Says::Contour(at)
            | Says::Over(Some(at)) => Charted::At {
                class,
                depth: depth(at),
            }
            .into(),
            Says::Depth { least: None, .. } if self.class == Class::Unsurveyed => class,
            Says::Depth { least: None, .. } => Charted::NoDepth { class }.into(),
            Says::Over(None) => Charted::UnknownDepth { class }.into(),
            Says::Solid | Says::Rule | Says::Covered | Says::Survey { .. } => class,
        }];
        told.extend(self.foul.then(|| Charted::FoulGround.into()));
        if let (Some(level), Says::Over(_)) = (self.level, &self.says) {
            told.push(level.told());
        }
        let doubts = self.sureness.iter().filter(|it| it.is_doubt());
        told.extend(doubts.map(|doubt| doubt.told()));
        let what = Sentence::several(told, ", ");
        match self.name.clone() {
            Some(name) => Charted::Named { what, name }.into(),
            None => what,
        }
    }
}

/// A cell's description of itself.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct About {
    /// Its name, such as `US4MD81M`.
    pub name: String,
    /// The denominator of its scale: 80 000 for 1:80 000. Larger scales are smaller numbers.
    pub scale: Option<u32>,
    /// The level that its depths are measured from.
    pub datum: Option<Datum>,
    /// The edition.
    pub edition: Option<String>,
    /// The last update that was applied.
    pub update: Option<String>,
    /// The date of issue, `2025-09-23`.
    pub issued: Option<String>,
    /// The date up to which updates are applied.
    pub updated: Option<String>,
    /// The coverage was not given; every place with a depth or land counts as covered.
    #[serde(default)]
    pub coverage_assumed: bool,
}

impl About {
    /// The order of precedence where several cells cover a place: the larger scale first, then the later
    /// issue, then by name. A cell without a scale comes last.
    #[must_use]
    pub fn precedence(&self) -> impl Ord + use<> {
        (
            self.scale.unwrap_or(u32::MAX),
            std::cmp::Reverse((self.issued.clone(), self.updated.clone())),
            self.name.clone(),
        )
    }
}
