//! Parses GeoJSON with S-57 classes and attributes into objects and shapes.
//!
//! Two forms are read: a `FeatureCollection`, and one `Feature` per line (`GeoJSONSeq`). The class is the feature's
//! `OBJL` (S-57's number or acronym), otherwise the one that the caller takes from the layer or the file's name. A list
//! may be an array, as GDAL writes it, or a text that contains the numbers.
//!
//! Faults are counted and reported, and never make water look deeper: an object with an unusable depth is kept with its
//! depth unknown; an object with an unusable place is left out and reported as left out.

mod attributes;
mod geometry;

use serde::Deserialize;
use serde_json::{Map, Value};

use super::class::Class;
use super::codes::Datum;
use super::faults::Faults;
use super::object::{About, Object, Says};
use super::shape::Shape;
use attributes::Attributes;
use geometry::Place;
pub(super) use geometry::doubled_area;

/// What has been read so far of one cell.
#[derive(Debug, Default)]
pub struct Reading {
    /// The cell's description of itself.
    pub about: About,
    /// Objects with their shapes, in the order of the file.
    pub features: Vec<(Object, Shape)>,
    /// The faults.
    pub faults: Faults,
    points: usize,
}

/// Why reading a file has to stop.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ParseError {
    /// Not JSON, or not of this form.
    #[error("no GeoJSON: {0}; give a FeatureCollection, or one Feature a line")]
    NoGeoJson(String),
    /// More than a cell can contain.
    #[error(
        "more than {MOST_FEATURES} objects or {MOST_POINTS} points in one cell; give the cells one by one"
    )]
    TooLarge,
    /// Depths in a unit other than metres.
    #[error("the cell gives depths in unit `{0}` (DUNI); only `1`, metres, can be used")]
    NotMetres(i64),
    /// Positions on a datum other than WGS 84.
    #[error("the cell gives positions on datum `{0}` (HDAT); only `2`, WGS 84, can be used")]
    NotWgs84(i64),
}

/// The largest cells of S-57 have 5 MB, about 300 000 points and 20 000 objects; GeoJSON may join several.
const MOST_FEATURES: usize = 500_000;
const MOST_POINTS: usize = 8_000_000;
/// The first part of the file, in which a collection says that it is one.
const HEAD: usize = 4096;

#[derive(Deserialize)]
struct Collection {
    name: Option<String>,
    features: Vec<Value>,
}

impl Reading {
    /// For a cell with this name.
    #[must_use]
    pub fn of(name: &str) -> Self {
        Self {
            about: About {
                name: name.to_owned(),
                ..About::default()
            },
            ..Self::default()
        }
    }

    /// Reads a whole file: a collection, or one feature per line. `class` applies where the features name none.
    pub fn take(&mut self, text: &str, class: Option<Class>) -> Result<(), ParseError> {
        if !text
            .chars()
            .take(HEAD)
            .collect::<String>()
            .contains("FeatureCollection")
        {
            return self.take_lines(text, class);
        }
        match serde_json::from_str::<Collection>(text) {
            Ok(collection) => {
                let named = collection
                    .name
                    .as_deref()
                    .and_then(|name| name.rsplit('_').next().and_then(Class::of));
                for (number, feature) in collection.features.into_iter().enumerate() {
                    self.feature(feature, class.or(named), number + 1)?;
                }
                Ok(())
            }
            Err(error) => Err(ParseError::NoGeoJson(error.to_string())),
        }
    }

    fn take_lines(&mut self, text: &str, class: Option<Class>) -> Result<(), ParseError> {
        for (number, line) in text.lines().enumerate() {
            let line = seam(line);
            if line.is_empty() {
                continue;
            }
            match serde_json::from_str::<Value>(line) {
                Ok(value) if value["type"] == "Feature" => {
                    self.feature(value, class, number + 1)?;
                }
                Ok(_) => {
                    return Err(ParseError::NoGeoJson(format!(
                        "line {} is no feature",
                        number + 1
                    )));
                }
                Err(error) if number == 0 => return Err(ParseError::NoGeoJson(error.to_string())),
                Err(error) => self.faults.count(
                    "left out: a line that is no JSON",
                    format!("line {}: {error}", number + 1),
                ),
            }
        }
        Ok(())
    }

    /// Reads one feature; `number` tells people where it is.
    fn feature(
        &mut self,
        feature: Value,
        class: Option<Class>,
        number: usize,
    ) -> Result<(), ParseError> {
        let Value::Object(mut feature) = feature else {
            self.faults
                .count("left out: no feature", format!("number {number}"));
            return Ok(());
        };
        let properties = match feature.remove("properties") {
            Some(Value::Object(properties)) => properties,
            _ => Map::new(),
        };
        if properties.contains_key("DSID_DSNM") {
            return self.header(&properties);
        }
        let class = match properties.get("OBJL") {
            Some(Value::String(text)) => Class::of(text),
            // Some writers have `153.0`.
            Some(Value::Number(code)) => {
                code.as_f64().and_then(|code| Class::of(&code.to_string()))
            }
            _ => class,
        };
        // A class that does not matter at anchor is not a fault.
        let Some(class) = class else { return Ok(()) };
        let mut attributes = Attributes::new(class, number, &properties, &mut self.faults);
        let Some((object, own_depth)) = attributes.object() else {
            return Ok(());
        };
        let places = match geometry::places(feature.get("geometry").unwrap_or(&Value::Null)) {
            Ok(places) => places,
            Err(why) => {
                self.faults.count(
                    format!("left out: {class} whose place cannot be used"),
                    format!("number {number}: {why}"),
                );
                return Ok(());
            }
        };
        for Place { shape, height } in places {
            let mut object = object.clone();
            if class == Class::Sounding && !own_depth {
                object.says = Says::Over(height.and_then(attributes::depth_in_range));
                if object.says == Says::Over(None) {
                    self.faults.count(
                        "SOUNDG without a depth that can be used, taken as unknown",
                        format!("number {number}: `{height:?}`"),
                    );
                }
            }
            self.points += shape.points();
            self.features.push((object, shape));
            if self.points > MOST_POINTS || self.features.len() > MOST_FEATURES {
                return Err(ParseError::TooLarge);
            }
        }
        Ok(())
    }

    /// A cell's record about itself: DSID and DSPM of S-57.
    fn header(&mut self, properties: &Map<String, Value>) -> Result<(), ParseError> {
        // A unit written as text counts too.
        let number = |name: &str| attributes::text(properties.get(name))?.parse::<i64>().ok();
        match number("DSPM_DUNI") {
            None | Some(1) => {}
            Some(other) => return Err(ParseError::NotMetres(other)),
        }
        match number("DSPM_HDAT") {
            None | Some(2) => {}
            Some(other) => return Err(ParseError::NotWgs84(other)),
        }
        let text = |name: &str| attributes::text(properties.get(name));
        let about = &mut self.about;
        if let Some(scale) = number("DSPM_CSCL").and_then(|scale| u32::try_from(scale).ok()) {
            about.scale = Some(scale).filter(|scale| *scale > 0);
        }
        about.datum = number("DSPM_SDAT")
            .and_then(|code| u8::try_from(code).ok())
            .map(Datum);
        about.edition = text("DSID_EDTN");
        about.update = text("DSID_UPDN");
        about.issued = text("DSID_ISDT").and_then(|date| attributes::date(&date));
        about.updated = text("DSID_UADT").and_then(|date| attributes::date(&date));
        Ok(())
    }
}

/// A line without the record separator of RFC 8142.
fn seam(line: &str) -> &str {
    line.trim_matches(|c: char| c == '\u{1e}' || c.is_whitespace())
}

#[cfg(test)]
mod tests;
