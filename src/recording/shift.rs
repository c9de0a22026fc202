//! Moves a bundle away from the place where the boat lay.
//!
//! Every position is placed about another origin by its bearing and distance from the first position of the
//! recording. What the watch judges by, distances and bearings, stays the same to within the rounding of the
//! plane. Other vessels become numbers. Their names and the charts' answers are left out because they reveal
//! where she lay, and so are the sentences, which may name a place.
//!
//! Weakness: tide and wind stay, so anyone with records of them for every harbour could still find hers.
//! Test: `a_shifted_bundle_judges_the_same_and_names_no_place`.

use std::collections::BTreeMap;

use serde_json::{Map, Value};

use super::Line;
use crate::geodesy::{Plane, Position};
use crate::watch::messages::{Entry, Input};

/// Shifts lines, one after the other.
#[derive(Debug, Default)]
pub(super) struct Shift {
    from: Option<Plane>,
    vessels: BTreeMap<String, usize>,
}

impl Shift {
    /// The shifted line; `None` if no part of it may be kept.
    pub(super) fn shifted(&mut self, line: &Line) -> Result<Option<Line>, serde_json::Error> {
        if let Line::Input(entry) = line
            && matches!(
                **entry,
                Entry {
                    input: Input::Chart(_),
                    ..
                }
            )
        {
            return Ok(None);
        }
        let mut value = serde_json::from_str(&serde_json::to_string(line)?)?;
        self.walk(&mut value);
        serde_json::from_str(&value.to_string()).map(Some)
    }

    fn walk(&mut self, value: &mut Value) {
        match value {
            Value::Array(items) => {
                items.retain(|item| !names_a_vessel(item));
                for item in items {
                    self.walk(item);
                }
            }
            Value::Object(members) => {
                self.place(members);
                for (key, member) in members.iter_mut() {
                    match (key.as_str(), &mut *member) {
                        ("Other" | "context", Value::String(vessel)) => {
                            *vessel = self.vessel(vessel);
                        }
                        ("message" | "words" | "station", Value::String(words)) => {
                            words.clear();
                        }
                        // The names of the ways to people's phones.
                        ("Phones", Value::Object(ways)) => {
                            ways.values_mut()
                                .filter(|name| name.is_string())
                                .for_each(|name| *name = Value::from(""));
                        }
                        ("neighbours", Value::Array(vessels)) => without(vessels, "name"),
                        ("evidence", Value::Object(figures)) => {
                            figures.retain(|_, figure| figure.is_number() || figure.is_boolean());
                        }
                        _ => {}
                    }
                    self.walk(member);
                }
            }
            Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
        }
    }

    fn place(&mut self, members: &mut Map<String, Value>) {
        let degrees = |name: &str| members.get(name).and_then(Value::as_f64);
        let (Some(latitude), Some(longitude)) = (degrees("latitude"), degrees("longitude")) else {
            return;
        };
        let Ok(place) = Position::new(latitude, longitude) else {
            return;
        };
        let from = self.from.get_or_insert_with(|| Plane::at(place));
        let Ok(origin) = Position::new(ORIGIN.0, ORIGIN.1) else {
            return;
        };
        let there = Plane::at(origin).position(from.offset(place));
        members.insert("latitude".to_owned(), there.latitude().into());
        members.insert("longitude".to_owned(), there.longitude().into());
    }

    fn vessel(&mut self, name: &str) -> String {
        let next = self.vessels.len() + 1;
        let number = *self.vessels.entry(name.to_owned()).or_insert(next);
        format!("vessels.other-{number}")
    }
}

fn without(objects: &mut [Value], key: &str) {
    for object in objects.iter_mut().filter_map(Value::as_object_mut) {
        object.remove(key);
    }
}

/// A fact that is another vessel's name.
fn names_a_vessel(fact: &Value) -> bool {
    fact.as_object()
        .is_some_and(|members| members.len() == 1 && members.contains_key("Name"))
}

/// In the middle of the North Atlantic, where nobody anchors.
const ORIGIN: (f64, f64) = (45.0, -30.0);

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn no_sentence_station_or_name_of_a_phone_is_left() {
        let mut told = json!({
            "changes": [{"words": "the mark was moved to 59°51.234'N 023°15.600'E"}],
            "evidence": {"soundedTide": {"station": "Cove"}, "moved": 9.5, "governs": true},
            "Phones": {"lost": "anna"},
            "facts": [{"Name": "Plover"}, {"Length": 9.0}],
            "subject": {"Other": "vessels.urn:mrn:imo:mmsi:230012345"},
        });
        Shift::default().walk(&mut told);
        assert_eq!(
            told,
            json!({
                "changes": [{"words": ""}],
                "evidence": {"moved": 9.5, "governs": true},
                "Phones": {"lost": ""},
                "facts": [{"Length": 9.0}],
                "subject": {"Other": "vessels.other-1"},
            })
        );
    }
}
