//! The visitors behind [`parse`](super::parse). Each accepts any JSON and keeps what has the shape
//! it looks for; anything else is drained and left out.

use std::borrow::Cow;
use std::cell::Cell;
use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, de};
use serde_json::{Map, Value};

use super::{Delta, Hello, Incoming, MAX_ENTRIES, PathValue, Put, PutEntry, Reply, Update, Wire};

/// What the visitors of one frame share.
pub(super) struct Sieve<K> {
    /// Whether the value of a path is kept.
    pub(super) keep: K,
    /// How many more entries are accepted.
    pub(super) budget: Cell<u32>,
}

/// A visitor that can be given any JSON.
macro_rules! visitor {
    ($(#[$about:meta])* $sight:vis struct $name:ident: $value:ty) => {
        $(#[$about])*
        $sight struct $name<'k, K>($sight &'k Sieve<K>);

        impl<'de, K: Fn(&str) -> bool> DeserializeSeed<'de> for $name<'_, K> {
            type Value = $value;
            fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Self::Value, D::Error> {
                deserializer.deserialize_any(self)
            }
        }
    };
}

/// A visitor of an array, which gives each entry to the visitor `$one`.
macro_rules! array {
    ($name:ident of $one:ident: $entry:ty) => {
        visitor!(struct $name: Vec<$entry>);

        impl<'de, K: Fn(&str) -> bool> Visitor<'de> for $name<'_, K> {
            type Value = Vec<$entry>;
            scalars!(Vec::new());
            no_text!(Vec::new());
            no_object!(Vec::new());

            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
                let mut list = Vec::new();
                while let Some(entry) = seq.next_element_seed($one(self.0))? {
                    spend(&self.0.budget)?;
                    list.extend(entry);
                }
                Ok(list)
            }
        }
    };
}

/// The result for a JSON value of another shape: the same for every scalar.
macro_rules! scalars {
    ($otherwise:expr) => {
        fn visit_bool<E: de::Error>(self, _: bool) -> Result<Self::Value, E> {
            Ok($otherwise)
        }
        fn visit_i64<E: de::Error>(self, _: i64) -> Result<Self::Value, E> {
            Ok($otherwise)
        }
        fn visit_u64<E: de::Error>(self, _: u64) -> Result<Self::Value, E> {
            Ok($otherwise)
        }
        fn visit_f64<E: de::Error>(self, _: f64) -> Result<Self::Value, E> {
            Ok($otherwise)
        }
        fn visit_unit<E: de::Error>(self) -> Result<Self::Value, E> {
            Ok($otherwise)
        }
        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("JSON")
        }
    };
}

macro_rules! no_text {
    ($otherwise:expr) => {
        fn visit_str<E: de::Error>(self, _: &str) -> Result<Self::Value, E> {
            Ok($otherwise)
        }
    };
}

macro_rules! no_array {
    ($otherwise:expr) => {
        fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
            while seq.next_element::<IgnoredAny>()?.is_some() {}
            Ok($otherwise)
        }
    };
}

macro_rules! no_object {
    ($otherwise:expr) => {
        fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
            while map.next_entry::<IgnoredAny, IgnoredAny>()?.is_some() {}
            Ok($otherwise)
        }
    };
}

visitor!(
    /// The whole frame.
    pub(super) struct Frame: Incoming<'de>
);

impl<'de, K: Fn(&str) -> bool> Visitor<'de> for Frame<'_, K> {
    type Value = Incoming<'de>;
    scalars!(Incoming::Unknown);
    no_array!(Incoming::Unknown);

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
        Ok(Incoming::ErrorText(text.to_owned()))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut parts = Parts::default();
        while let Some(Text(key)) = map.next_key()? {
            match key.as_ref() {
                "context" => parts.context = text(&mut map)?,
                "updates" => {
                    parts.updates = Some(map.next_value_seed(Updates(self.0))?);
                }
                "put" => parts.put = Some(map.next_value()?),
                "requestId" => {
                    parts.request_id = match map.next_value::<Wire<'_>>()? {
                        Wire::Text(text) => Some(text.into_owned()),
                        // A caller may use a number as the id of its request.
                        Wire::Number(number) => Some(number.to_string()),
                        Wire::Null | Wire::Bool(_) | Wire::Position { .. } | Wire::Other(_) => None,
                    }
                }
                "self" => parts.self_context = text(&mut map)?,
                "serverStartId" => parts.start_id = text(&mut map)?,
                "name" => parts.name = text(&mut map)?,
                "version" => parts.version = text(&mut map)?,
                "state" => parts.state = text(&mut map)?,
                "message" => parts.message = text(&mut map)?,
                "errorMessage" => parts.error = text(&mut map)?,
                "statusCode" => {
                    parts.status_code = match map.next_value::<Wire<'_>>()? {
                        Wire::Number(number) => status(number),
                        Wire::Null
                        | Wire::Bool(_)
                        | Wire::Text(_)
                        | Wire::Position { .. }
                        | Wire::Other(_) => None,
                    }
                }
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        if let Some(Value::Array(list)) = &parts.put
            && list.len() > MAX_ENTRIES as usize
        {
            return Err(too_many());
        }
        Ok(parts.frame())
    }
}

/// The contents of a frame's object, before the kind of frame is known.
#[derive(Default)]
struct Parts<'de> {
    context: Option<Cow<'de, str>>,
    updates: Option<Vec<Update<'de>>>,
    put: Option<Value>,
    request_id: Option<String>,
    self_context: Option<Cow<'de, str>>,
    start_id: Option<Cow<'de, str>>,
    name: Option<Cow<'de, str>>,
    version: Option<Cow<'de, str>>,
    state: Option<Cow<'de, str>>,
    message: Option<Cow<'de, str>>,
    error: Option<Cow<'de, str>>,
    status_code: Option<u16>,
}

impl<'de> Parts<'de> {
    fn frame(self) -> Incoming<'de> {
        let owned = |text: Option<Cow<'de, str>>| text.map(Cow::into_owned);
        if let Some(updates) = self.updates {
            Incoming::Delta(Delta {
                context: self.context,
                updates,
            })
        } else if let Some(put) = self.put {
            Incoming::Put(Put {
                request_id: self.request_id,
                context: owned(self.context),
                entries: entries(put),
            })
        } else if let Some(self_context) = self.self_context {
            Incoming::Hello(Hello {
                self_context: self_context.into_owned(),
                start_id: owned(self.start_id),
                name: owned(self.name).unwrap_or_default(),
                version: owned(self.version).unwrap_or_default(),
            })
        } else if let Some(error) = self.error {
            Incoming::ErrorText(error.into_owned())
        } else if let (Some(request_id), Some(state)) = (self.request_id, self.state) {
            Incoming::Reply(Reply {
                request_id,
                state: state.into_owned(),
                status_code: self.status_code,
                message: owned(self.message),
            })
        } else {
            Incoming::Unknown
        }
    }
}

fn entries(put: Value) -> Vec<PutEntry> {
    let list = match put {
        Value::Array(list) => list,
        Value::Object(_) => vec![put],
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => Vec::new(),
    };
    list.into_iter()
        .filter_map(|entry| {
            let Value::Object(mut entry) = entry else {
                return None;
            };
            let Some(Value::String(path)) = entry.remove("path") else {
                return None;
            };
            let value = entry.remove("value")?;
            Some(PutEntry { path, value })
        })
        .collect()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the range is checked on the same line"
)]
fn status(number: f64) -> Option<u16> {
    (100.0..1000.0).contains(&number).then_some(number as u16)
}

array!(Updates of OneUpdate: Update<'de>);

visitor!(struct OneUpdate: Option<Update<'de>>);

impl<'de, K: Fn(&str) -> bool> Visitor<'de> for OneUpdate<'_, K> {
    type Value = Option<Update<'de>>;
    scalars!(None);
    no_text!(None);
    no_array!(None);

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut label = None;
        let mut described = None;
        let mut timestamp = None;
        let mut values = Vec::new();
        while let Some(Text(key)) = map.next_key()? {
            match key.as_ref() {
                "$source" => label = text(&mut map)?,
                "source" => described = map.next_value::<Described>()?.0,
                "timestamp" => timestamp = text(&mut map)?,
                "values" => {
                    values = map.next_value_seed(Values(self.0))?;
                }
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(Some(Update {
            source: label
                .filter(|label| !label.is_empty())
                .or(described.map(Cow::Owned))
                .unwrap_or(Cow::Borrowed("unknown")),
            timestamp,
            values,
        }))
    }
}

/// A `source` object, as the label that the server would make of it.
struct Described(Option<String>);

impl<'de> Deserialize<'de> for Described {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(DescribedVisitor)
    }
}

struct DescribedVisitor;

impl<'de> Visitor<'de> for DescribedVisitor {
    type Value = Described;
    scalars!(Described(None));
    no_text!(Described(None));
    no_array!(Described(None));

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let (mut label, mut device, mut talker) = (None, None, None);
        while let Some(Text(key)) = map.next_key()? {
            match key.as_ref() {
                "label" => label = text(&mut map)?,
                "src" => {
                    device = match map.next_value::<Wire<'_>>()? {
                        Wire::Text(text) => Some(text.into_owned()),
                        Wire::Number(number) => Some(number.to_string()),
                        Wire::Null | Wire::Bool(_) | Wire::Position { .. } | Wire::Other(_) => None,
                    }
                }
                "talker" => talker = text(&mut map)?.map(Cow::into_owned),
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(Described(label.map(|label| {
            let device = device.or(talker).unwrap_or_else(|| "XX".to_owned());
            format!("{label}.{device}")
        })))
    }
}

array!(Values of OneValue: PathValue<'de>);

visitor!(struct OneValue: Option<PathValue<'de>>);

impl<'de, K: Fn(&str) -> bool> Visitor<'de> for OneValue<'_, K> {
    type Value = Option<PathValue<'de>>;
    scalars!(None);
    no_text!(None);
    no_array!(None);

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut path: Option<Cow<'de, str>> = None;
        let mut kept = false;
        let mut value = None;
        while let Some(Text(key)) = map.next_key()? {
            match key.as_ref() {
                "path" => {
                    path = text(&mut map)?;
                    kept = path.as_ref().is_some_and(|path| (self.0.keep)(path));
                }
                "value" if kept || path.is_none() => value = Some(map.next_value()?),
                _ => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(path
            .filter(|_| kept)
            .zip(value)
            .map(|(path, value)| PathValue { path, value }))
    }
}

impl<'de: 'a, 'a> Deserialize<'de> for Wire<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(WireVisitor)
    }
}

struct WireVisitor;

impl<'de> Visitor<'de> for WireVisitor {
    type Value = Wire<'de>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("JSON")
    }

    fn visit_unit<E: de::Error>(self) -> Result<Self::Value, E> {
        Ok(Wire::Null)
    }

    fn visit_bool<E: de::Error>(self, value: bool) -> Result<Self::Value, E> {
        Ok(Wire::Bool(value))
    }

    fn visit_i64<E: de::Error>(self, value: i64) -> Result<Self::Value, E> {
        Ok(Wire::Number(value as f64))
    }

    fn visit_u64<E: de::Error>(self, value: u64) -> Result<Self::Value, E> {
        Ok(Wire::Number(value as f64))
    }

    fn visit_f64<E: de::Error>(self, value: f64) -> Result<Self::Value, E> {
        Ok(Wire::Number(value))
    }

    fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<Self::Value, E> {
        Ok(Wire::Text(Cow::Borrowed(text)))
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
        Ok(Wire::Text(Cow::Owned(text.to_owned())))
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Self::Value, A::Error> {
        let mut list = Vec::new();
        while let Some(value) = seq.next_element()? {
            list.push(value);
        }
        Ok(Wire::Other(Value::Array(list)))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let (mut latitude, mut longitude) = (None, None);
        let mut rest = Map::new();
        while let Some(Text(key)) = map.next_key()? {
            let coordinate = match key.as_ref() {
                "latitude" => &mut latitude,
                "longitude" => &mut longitude,
                _ => {
                    let value = map.next_value()?;
                    rest.insert(key.into_owned(), value);
                    continue;
                }
            };
            match map.next_value::<Value>()? {
                Value::Number(number) => *coordinate = number.as_f64(),
                odd @ (Value::Null
                | Value::Bool(_)
                | Value::String(_)
                | Value::Array(_)
                | Value::Object(_)) => {
                    *coordinate = None;
                    rest.insert(key.into_owned(), odd);
                }
            }
        }
        if let (Some(latitude), Some(longitude)) = (latitude, longitude) {
            return Ok(Wire::Position {
                latitude,
                longitude,
            });
        }
        for (key, half) in [("latitude", latitude), ("longitude", longitude)] {
            if let Some(half) = half {
                rest.insert(key.to_owned(), half.into());
            }
        }
        Ok(Wire::Other(Value::Object(rest)))
    }
}

/// A text that is borrowed from the frame if it has no escapes. (`Cow` alone always copies.)
struct Text<'a>(Cow<'a, str>);

impl<'de: 'a, 'a> Deserialize<'de> for Text<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct TextVisitor;
        impl<'de> Visitor<'de> for TextVisitor {
            type Value = Text<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a text")
            }
            fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<Text<'de>, E> {
                Ok(Text(Cow::Borrowed(text)))
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Text<'de>, E> {
                Ok(Text(Cow::Owned(text.to_owned())))
            }
        }
        deserializer.deserialize_str(TextVisitor)
    }
}

fn text<'de, A: MapAccess<'de>>(map: &mut A) -> Result<Option<Cow<'de, str>>, A::Error> {
    Ok(map.next_value::<Wire<'de>>()?.into_text())
}

fn spend<E: de::Error>(budget: &Cell<u32>) -> Result<(), E> {
    match budget.get().checked_sub(1) {
        Some(left) => {
            budget.set(left);
            Ok(())
        }
        None => Err(too_many()),
    }
}

fn too_many<E: de::Error>() -> E {
    E::custom(format_args!("more than {MAX_ENTRIES} entries"))
}
