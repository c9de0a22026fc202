//! Turns the attributes of one feature into an object.

use serde_json::{Map, Value};

use crate::chart::class::Class;
use crate::chart::codes::{Confidence, Restriction, Sureness, WaterLevel};
use crate::chart::faults::{Faults, shortened};
use crate::chart::object::{Object, Says};
use crate::units::Metres;

/// The attributes, and the list to which faults are added.
pub(super) struct Attributes<'a> {
    class: Class,
    number: usize,
    properties: &'a Map<String, Value>,
    faults: &'a mut Faults,
}

/// Deeper than any sea, higher than any tide: values beyond are mistakes.
const DEPTHS: std::ops::RangeInclusive<f64> = -30.0..=12_000.0;

/// A depth in metres that is possible.
pub(super) fn depth_in_range(metres: f64) -> Option<Metres> {
    DEPTHS.contains(&metres).then(|| Metres::of(metres))
}

impl<'a> Attributes<'a> {
    pub(super) fn new(
        class: Class,
        number: usize,
        properties: &'a Map<String, Value>,
        faults: &'a mut Faults,
    ) -> Self {
        Self {
            class,
            number,
            properties,
            faults,
        }
    }

    /// The object, and whether it gave its depth itself; `None` for an object without anything that
    /// matters.
    pub(super) fn object(&mut self) -> Option<(Object, bool)> {
        let level = self.codes("WATLEV").first().copied().map(WaterLevel);
        let mut own_depth = false;
        let says = match self.class {
            Class::DepthArea | Class::DredgedArea => Says::Depth {
                least: self.depth("DRVAL1"),
                most: self.depth("DRVAL2"),
            },
            Class::Unsurveyed => Says::Depth {
                least: None,
                most: None,
            },
            Class::DepthContour => match self.depth("VALDCO") {
                Some(depth) => Says::Contour(depth),
                None => return self.without("VALDCO"),
            },
            Class::Sounding => {
                own_depth = self
                    .properties
                    .get("DEPTH")
                    .is_some_and(|value| !value.is_null());
                Says::Over(self.depth("DEPTH"))
            }
            Class::Rock
            | Class::Wreck
            | Class::Obstruction
            | Class::MarineFarm
            | Class::FishingFacility => Says::Over(self.depth("VALSOU")),
            Class::Land | Class::Coastline => Says::Solid,
            // Some of these objects lie under water and are marked as such.
            Class::Dam
            | Class::FloatingDock
            | Class::Hulk
            | Class::MooringFacility
            | Class::Platform
            | Class::Pile
            | Class::Pontoon
            | Class::ShoreConstruction => {
                if matches!(level, Some(WaterLevel(3..=5))) {
                    Says::Over(self.depth("VALSOU"))
                } else {
                    Says::Solid
                }
            }
            Class::AnchorBerth
            | Class::Anchorage
            | Class::CableArea
            | Class::Cable
            | Class::Caution
            | Class::DumpingGround
            | Class::Fairway
            | Class::MilitaryArea
            | Class::PipelineArea
            | Class::Pipeline
            | Class::RestrictedArea => Says::Rule,
            Class::Coverage => {
                // 1: coverage available; 2: none.
                if self.codes("CATCOV").first() != Some(&1) {
                    return None;
                }
                Says::Covered
            }
            Class::SurveyQuality => match self
                .codes("CATZOC")
                .first()
                .copied()
                .and_then(Confidence::of)
            {
                Some(confidence) => Says::Survey {
                    confidence,
                    end: text(self.properties.get("SUREND")).and_then(|end| date(&end)),
                },
                None => return self.without("CATZOC"),
            },
        };
        let foul = match self.class {
            // S-57: CATOBS 6 foul area, 7 foul ground; CATWRK 3 distributed remains of wreck.
            Class::Obstruction => matches!(self.codes("CATOBS").first(), Some(6 | 7)),
            Class::Wreck => self.codes("CATWRK").first() == Some(&3),
            _ => false,
        };
        let object = Object {
            class: self.class,
            says,
            restrictions: self.codes("RESTRN").into_iter().map(Restriction).collect(),
            sureness: self.codes("QUASOU").into_iter().map(Sureness).collect(),
            level,
            foul,
            name: text(self.properties.get("OBJNAM")),
            note: text(self.properties.get("INFORM")),
        };
        Some((object, own_depth))
    }

    fn without<T>(&mut self, attribute: &str) -> Option<T> {
        let what = format!(
            "left out: {} without a {attribute} that can be used",
            self.class
        );
        self.count(attribute, what);
        None
    }

    /// Counts a fault, with the attribute's value.
    fn count(&mut self, attribute: &str, what: String) {
        let value = self.properties.get(attribute).unwrap_or(&Value::Null);
        let value = shortened(&value.to_string());
        self.faults
            .count(what, format!("number {}: `{value}`", self.number));
    }

    /// A depth; `None` where there is none or it cannot be used, which is reported.
    fn depth(&mut self, attribute: &str) -> Option<Metres> {
        let value = self
            .properties
            .get(attribute)
            .filter(|value| !value.is_null())?;
        let number = match value {
            Value::Number(number) => number.as_f64(),
            Value::String(text) if text.trim().is_empty() => return None,
            Value::String(text) => text.trim().parse().ok(),
            _ => None,
        };
        let depth = number.and_then(depth_in_range);
        if depth.is_none() {
            let what = format!(
                "{} with a {attribute} that is no depth, taken as unknown",
                self.class
            );
            self.count(attribute, what);
        }
        depth
    }

    /// The codes of a list, or the single code of an attribute with one value.
    fn codes(&mut self, attribute: &str) -> Vec<u8> {
        let Some(value) = self.properties.get(attribute) else {
            return Vec::new();
        };
        let codes = match value {
            Value::Null => return Vec::new(),
            Value::Array(entries) => entries.iter().map(code).collect(),
            Value::String(text) => text
                .split(|c: char| !c.is_ascii_digit())
                .filter(|part| !part.is_empty())
                .map(|part| part.parse().ok())
                .collect(),
            other => vec![code(other)],
        };
        let mut good: Vec<u8> = codes.iter().filter_map(|code| *code).collect();
        if good.len() < codes.len() {
            let what = format!(
                "{} with a {attribute} that is no code, which is left out",
                self.class
            );
            self.count(attribute, what);
        }
        good.truncate(MOST_CODES);
        good
    }
}

/// S-57's longest list of codes has 29 entries.
const MOST_CODES: usize = 32;

fn code(value: &Value) -> Option<u8> {
    match value {
        Value::Number(number) => {
            let number = number.as_f64()?;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "checked"
            )]
            (number.fract() == 0.0 && (0.0..=255.0).contains(&number)).then_some(number as u8)
        }
        Value::String(text) => text.trim().parse().ok(),
        _ => None,
    }
}

/// A text or number that is not empty, cut to a length that fits a screen.
pub(super) fn text(value: Option<&Value>) -> Option<String> {
    let text = match value? {
        Value::String(text) => text.trim().to_owned(),
        Value::Number(number) => number.to_string(),
        _ => return None,
    };
    (!text.is_empty()).then(|| shortened(&text))
}

/// S-57's `20040825`, `200408` or `2004` with hyphens; `None` for anything else.
pub(super) fn date(text: &str) -> Option<String> {
    if !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    match text.len() {
        4 => Some(text.to_owned()),
        6 => Some(format!("{}-{}", &text[..4], &text[4..])),
        8 => Some(format!("{}-{}-{}", &text[..4], &text[4..6], &text[6..])),
        _ => None,
    }
}
