//! The configuration told to people, and its schema told to programs.

use std::fmt::Write;

use serde_json::{Map, Value, json};

use super::keys::{Key, SECTIONS, keys};
use super::push::{Channel, NAME_PATTERN, channel_keys};
use super::slot::Slot;
use super::{Config, STANDARD_FILE};
use crate::units::{
    parse_angle, parse_duration, parse_length, parse_mass, parse_speed, parse_voltage,
};

pub(super) fn describe(config: &Config) -> String {
    let mut text = match &config.understood.file {
        Some(file) => format!("configuration: `{}`\n", file.display()),
        None => format!("configuration: no file at `{STANDARD_FILE}`, the defaults hold\n"),
    };
    let mut copy = config.clone();
    for key in keys(&mut copy) {
        let name = format!("{}.{}", key.section, key.name);
        let origin = match config.understood.origins.get(&name) {
            Some(place) => place.to_string(),
            None => "default".to_owned(),
        };
        let line = match key.slot.written() {
            Some(value) => writeln!(text, "{name} = {value} ({origin})"),
            // Most keys of a channel are for channels of another kind.
            None if key.section.starts_with("push.") => Ok(()),
            None => writeln!(text, "{name} is not given"),
        };
        // Writing to a text does not fail.
        debug_assert!(line.is_ok());
    }
    text
}

pub(super) fn schema() -> Value {
    let mut defaults = Config::default();
    let mut sections: Map<String, Value> = SECTIONS
        .iter()
        .map(|(name, about)| {
            let section = json!({
                "description": about,
                "type": "object",
                "additionalProperties": false,
                "properties": {},
            });
            ((*name).to_owned(), section)
        })
        .collect();
    for key in keys(&mut defaults) {
        let properties = sections
            .get_mut(key.section.as_ref())
            .and_then(|section| section.get_mut("properties"))
            .and_then(Value::as_object_mut);
        debug_assert!(properties.is_some(), "`{}` is no section", key.section);
        if let Some(properties) = properties {
            properties.insert(key.name.to_owned(), property(&key));
        }
    }
    let mut channel = Channel::default();
    let channel: Map<String, Value> = channel_keys("NAME", &mut channel)
        .iter()
        .map(|key| (key.name.to_owned(), property(key)))
        .collect();
    sections.insert(
        "push".to_owned(),
        json!({
            "description": "The channels to phones, each a table with a name of its own.",
            "type": "object",
            "additionalProperties": false,
            "patternProperties": { NAME_PATTERN: {
                "description": "One channel. Which keys it needs and takes depends on its kind.",
                "type": "object",
                "additionalProperties": false,
                "required": ["kind"],
                "properties": channel,
            }},
        }),
    );
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "windrode's configuration",
        "description": "The TOML file as JSON. Quantities are texts with their unit.",
        "type": "object",
        "additionalProperties": false,
        "properties": sections,
    })
}

fn property(key: &Key<'_>) -> Value {
    let mut property = Map::new();
    let mut about = key.about.to_owned();
    let mut put = |name: &str, value: Value| property.insert(name.to_owned(), value);
    let is_number = matches!(key.slot, Slot::Number(..));
    put("type", json!(if is_number { "number" } else { "string" }));
    match &key.slot {
        Slot::Number(_, [least, most]) => {
            put("minimum", json!(least));
            put("maximum", json!(most));
        }
        Slot::Label(_, longest) => {
            put("pattern", json!(format!("^[A-Za-z0-9._-]{{1,{longest}}}$")));
        }
        Slot::Address(_) => {
            put("pattern", json!("^(ws|wss|http|https)://[^/?#@]+/?$"));
        }
        Slot::Secret(_) => {
            put("pattern", json!("^[!-~]+$"));
        }
        Slot::Endpoint(_) => {
            put(
                "pattern",
                json!("^([0-9.]+|\\[[0-9A-Fa-f:.%]+\\]):[0-9]{1,5}$"),
            );
        }
        Slot::Path(_) => {
            put("pattern", json!("^/"));
        }
        Slot::Text(_, form) => {
            put("pattern", json!(form.pattern));
        }
        Slot::Kind(_) | Slot::Priority(_) | Slot::Lengths(_) => {
            put("enum", json!(key.slot.words()));
        }
        Slot::Url(_) => {
            put(
                "pattern",
                json!("^(https|http|mqtts|mqtt|smtps|smtp)://[^#@]+$"),
            );
        }
        Slot::Zone(_) | Slot::Station(_) => {
            put("minLength", json!(1));
        }
        Slot::Hours(_) => {
            let time = "([01][0-9]|2[0-3]):[0-5][0-9]";
            put("pattern", json!(format!("^{time}-{time}$")));
        }
        Slot::Chain(_) => {
            put("pattern", json!(format!("^{SIZE}([Gg] ?[0-9]{{2}}\\s*)?$")));
        }
        Slot::Rope(_) => {
            let stuff = "(nylon|polyamide|polyester)";
            put("pattern", json!(format!("^{SIZE}{stuff}\\s*$")));
        }
        Slot::Length(..)
        | Slot::Speed(..)
        | Slot::Angle(..)
        | Slot::Time(..)
        | Slot::Mass(..)
        | Slot::Volts(..) => {
            let units = units(&key.slot).join("|");
            put("pattern", json!(format!("^\\s*{NUMBER}\\s*({units})\\s*$")));
        }
    }
    if let Some((least, most)) = key.slot.bounds() {
        let _ = write!(about, " Between {least} and {most}.");
    }
    if let Some(default) = key.slot.written() {
        let number = default.parse::<f64>().ok().filter(|_| is_number);
        put(
            "default",
            number.map_or_else(|| json!(default), |number| json!(number)),
        );
    }
    put("description", json!(about));
    Value::Object(property)
}

/// The units that a quantity may be written in, as its parser lists them when one is missing.
fn units(slot: &Slot<'_>) -> Vec<String> {
    let refusal = match slot {
        Slot::Length(..) => parse_length("1").err(),
        Slot::Speed(..) => parse_speed("1").err(),
        Slot::Angle(..) => parse_angle("1").err(),
        Slot::Time(..) => parse_duration("1").err(),
        Slot::Mass(..) => parse_mass("1").err(),
        Slot::Volts(..) => parse_voltage("1").err(),
        _ => None,
    };
    match refusal {
        Some(crate::units::ParseQuantityError::NoUnit { known, .. }) => known
            .split(", ")
            .map(|unit| unit.trim_matches('`').to_owned())
            .collect(),
        _ => Vec::new(),
    }
}

/// Of chain and rope.
const SIZE: &str = "\\s*[0-9./]+\\s*(mm|inch|in|\"|″)\\s*";
const NUMBER: &str = "[+-]?([0-9]+\\.?[0-9]*|\\.[0-9]+)([eE][+-]?[0-9]+)?";
