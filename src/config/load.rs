//! Reading: file and environment laid over each other, each value read into its key, and every
//! name that is left over refused.
//!
//! The `config` crate parses and merges; it forgets the lines, so [`line_of`] looks them up in
//! the text for the error alone. Its own reading of numbers out of the environment stays off: a
//! token `007` is no seven, and every key knows how to read its own text.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

use ::config::{File, FileFormat, Source, Value, ValueKind};

use super::error::{ConfigError, Place};
use super::keys::{Key, keys};
use super::push::{self, Channel};
use super::slot::{Misfit, Slot};
use super::{Config, STANDARD_FILE, Surroundings};

/// What our variables start with.
pub(super) const PREFIX: &str = "WINDRODE__";

pub(super) fn load(
    named: Option<&Path>,
    surroundings: &Surroundings,
) -> Result<Config, ConfigError> {
    let text = read_file(named)?;
    let mut config = Config::standing_in(surroundings);
    let mut given = Given::collect(text, surroundings)?;
    let channels = given.channels()?;
    for name in &channels {
        config.push.insert(name.clone(), Channel::default());
    }
    let mut origins = BTreeMap::new();
    for mut key in keys(&mut config) {
        let Some(value) = given.take(&key.section, key.name) else {
            continue;
        };
        let path: Vec<&str> = key.section.split('.').chain([key.name]).collect();
        let place = given.place(&value, &path);
        read_value(&mut key, &value, &place)?;
        origins.insert(format!("{}.{}", key.section, key.name), place);
    }
    given.refuse_the_rest(&channels)?;
    push::check(&mut config.push, &origins, |name| given.table(name))?;
    config.understood.file = given.file.map(|(path, _)| path);
    config.understood.origins = origins;
    refuse_contradictions(&config)?;
    Ok(config)
}

fn read_file(named: Option<&Path>) -> Result<Option<(PathBuf, String)>, ConfigError> {
    let path = named.unwrap_or(Path::new(STANDARD_FILE));
    match std::fs::read_to_string(path) {
        Ok(text) => Ok(Some((path.to_owned(), text))),
        Err(error) if named.is_none() && error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(ConfigError::Unreadable {
            file: path.to_owned(),
            reason: error.to_string(),
        }),
    }
}

/// What was written, by section and key, as far as no key has taken it yet.
struct Given {
    file: Option<(PathBuf, String)>,
    tree: BTreeMap<String, Value>,
}

impl Given {
    fn collect(
        file: Option<(PathBuf, String)>,
        surroundings: &Surroundings,
    ) -> Result<Self, ConfigError> {
        let mut builder = ::config::Config::builder();
        if let Some((path, text)) = &file {
            let source = File::from_str(text, FileFormat::Toml);
            // Built alone first: then an error is surely the file's.
            builder = builder.add_source(source.clone());
            if let Err(error) = source.collect() {
                return Err(ConfigError::Syntax {
                    file: path.clone(),
                    reason: discreet(&error.to_string()),
                });
            }
        }
        refuse_odd_names(surroundings)?;
        let variables = surroundings
            .variables
            .iter()
            .filter(|(name, _)| name.starts_with(PREFIX))
            .map(|(name, value)| (name.clone(), value.clone()))
            .collect();
        let environment = ::config::Environment::with_prefix("WINDRODE")
            .prefix_separator("__")
            .separator("__")
            .source(Some(variables));
        let merged = builder.add_source(environment).build();
        let tree = merged.and_then(|config| config.collect());
        let tree = tree.map_err(|error| ConfigError::Syntax {
            file: file.as_ref().map_or_else(
                || PathBuf::from("the environment"),
                |(path, _)| path.clone(),
            ),
            reason: discreet(&error.to_string()),
        })?;
        Ok(Self {
            file,
            tree: tree.into_iter().collect(),
        })
    }

    fn take(&mut self, section: &str, name: &str) -> Option<Value> {
        let mut parts = section.split('.');
        let mut value = self.tree.get_mut(parts.next()?)?;
        for part in parts {
            let ValueKind::Table(table) = &mut value.kind else {
                return None;
            };
            value = table.get_mut(part)?;
        }
        let ValueKind::Table(table) = &mut value.kind else {
            return None;
        };
        table.remove(name)
    }

    /// The names of the channels under `push`.
    fn channels(&self) -> Result<Vec<String>, ConfigError> {
        let Some(push) = self.tree.get("push") else {
            return Ok(Vec::new());
        };
        let refuse = |name: &str, value: &Value, path: &[&str]| {
            ConfigError::Channel {
            name: name.to_owned(),
            place: self.place(value, path),
            reason: "a channel has a table with its name, of lower-case letters, digits and `_`: `[push.skipper]`".to_owned(),
        }
        };
        let ValueKind::Table(table) = &push.kind else {
            return Err(refuse("push", push, &["push"]));
        };
        let mut names = Vec::new();
        for (name, value) in table {
            if !matches!(value.kind, ValueKind::Table(_)) || !push::is_name(name) {
                let full = format!("push.{name}");
                return Err(refuse(&full, value, &["push", name]));
            }
            names.push(name.clone());
        }
        names.sort();
        Ok(names)
    }

    /// Where the table of a channel stands, or what of it came from the environment.
    fn table(&self, name: &str) -> Place {
        match &self.file {
            Some((file, text)) => Place::Line {
                file: file.clone(),
                line: line_of(text, &["push", name]),
            },
            None => Place::Variable(format!("{PREFIX}PUSH__{}", name.to_uppercase())),
        }
    }

    fn place(&self, value: &Value, path: &[&str]) -> Place {
        match (&self.file, value.origin()) {
            (Some((file, text)), None) => Place::Line {
                file: file.clone(),
                line: line_of(text, path),
            },
            _ => Place::Variable(format!("{PREFIX}{}", path.join("__").to_uppercase())),
        }
    }

    /// Every key has taken its value; what is left is known to nobody.
    fn refuse_the_rest(&self, channels: &[String]) -> Result<(), ConfigError> {
        let mut blank = Config::default();
        for name in channels {
            blank.push.insert(name.clone(), Channel::default());
        }
        let known: Vec<(String, &str)> = keys(&mut blank)
            .iter()
            .map(|key| (key.section.to_string(), key.name))
            .collect();
        let known: Vec<(&str, &str)> = known.iter().map(|(s, n)| (s.as_str(), *n)).collect();
        for (section, value) in self.tables() {
            let section = section.as_str();
            let names: Vec<&str> = known
                .iter()
                .filter(|(known, _)| *known == section)
                .map(|(_, name)| *name)
                .collect();
            let ValueKind::Table(rest) = &value.kind else {
                return Err(self.not_a_section(section, value, &known));
            };
            let rest: BTreeMap<_, _> = rest.iter().collect();
            if names.is_empty() {
                // An empty table still has a heading, which is misspelt.
                let (name, place) = match rest.first_key_value() {
                    Some((name, inner)) => (name.as_str(), self.place(inner, &[section, name])),
                    None => ("", self.place(value, &[section])),
                };
                return Err(ConfigError::Unknown {
                    name: format!("{section}.{name}").trim_end_matches('.').to_owned(),
                    place,
                    what: format!("key, there is no section `[{section}]`"),
                    hint: hint(section, &sections(&known)),
                });
            }
            if let Some((name, inner)) = rest.first_key_value() {
                let elsewhere = known.iter().find(|(_, known)| known == name);
                let path: Vec<&str> = section.split('.').chain([name.as_str()]).collect();
                return Err(ConfigError::Unknown {
                    name: format!("{section}.{name}"),
                    place: self.place(inner, &path),
                    what: format!("key of `[{section}]`"),
                    hint: match elsewhere {
                        Some((owner, name)) => format!("did you mean `{owner}.{name}`?"),
                        None => hint(name, &names),
                    },
                });
            }
        }
        Ok(())
    }

    /// What is left, section by section, each channel being one.
    fn tables(&self) -> Vec<(String, &Value)> {
        let mut tables = Vec::new();
        for (name, value) in &self.tree {
            match &value.kind {
                ValueKind::Table(channels) if name == "push" => {
                    tables.extend(channels.iter().map(|(n, v)| (format!("push.{n}"), v)));
                }
                _ => tables.push((name.clone(), value)),
            }
        }
        tables
    }

    fn not_a_section(&self, name: &str, value: &Value, known: &[(&str, &str)]) -> ConfigError {
        let owner = known.iter().find(|(_, key)| *key == name);
        ConfigError::Unknown {
            name: name.to_owned(),
            place: self.place(value, &[name]),
            what: "section".to_owned(),
            hint: match owner {
                Some((section, _)) => format!("did you mean `{name}` under `[{section}]`?"),
                None => hint(name, &sections(known)),
            },
        }
    }
}

/// The crate reads dots and brackets in a name as a path of its own.
fn refuse_odd_names(surroundings: &Surroundings) -> Result<(), ConfigError> {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_';
    let odd = surroundings.variables.keys().find(|name| {
        name.strip_prefix(PREFIX)
            .is_some_and(|rest| rest.is_empty() || !rest.bytes().all(plain))
    });
    odd.map_or(Ok(()), |name| {
        Err(ConfigError::Unknown {
            name: name.clone(),
            place: Place::Variable(name.clone()),
            what: "key".to_owned(),
            hint: "write it like `WINDRODE__BOAT__DRAUGHT`".to_owned(),
        })
    })
}

fn read_value(key: &mut Key<'_>, value: &Value, place: &Place) -> Result<(), ConfigError> {
    let name = format!("{}.{}", key.section, key.name);
    let secret = matches!(key.slot, Slot::Secret(_));
    let shown = |text: &str| {
        if secret {
            "<secret>".to_owned()
        } else {
            text.to_owned()
        }
    };
    let unfit = |value: &str, reason: String| ConfigError::Unfit {
        key: name.clone(),
        value: shown(value),
        place: place.clone(),
        reason,
    };
    let text = match &value.kind {
        ValueKind::String(text) => text.clone(),
        ValueKind::I64(number) => number.to_string(),
        ValueKind::Float(number) => number.to_string(),
        ValueKind::Boolean(word) => word.to_string(),
        other => {
            let reason = "a single value in quotes is wanted, such as `\"40 m\"`".to_owned();
            return Err(unfit(&other.to_string(), reason));
        }
    };
    if key.slot.wants_text() && !matches!(value.kind, ValueKind::String(_)) {
        return Err(unfit(
            &text,
            format!("text is wanted, in quotes: `\"{}\"`", shown(&text)),
        ));
    }
    let default = key.slot.written();
    key.slot.read(&text).map_err(|misfit| match misfit {
        Misfit::Unreadable(reason) => unfit(&text, reason),
        Misfit::OutOfRange { least, most } => {
            let otherwise = default.as_ref().map_or_else(
                || match key.section.as_ref() {
                    "boat" => " to have the server's figure".to_owned(),
                    _ => String::new(),
                },
                |default| format!(" to have `{default}`"),
            );
            unfit(
                &text,
                format!(
                    "{} lies between `{least}` and `{most}`; correct it, or take it out{otherwise}",
                    key.noun
                ),
            )
        }
    })
}

/// Values that are each possible and cannot hold together.
fn refuse_contradictions(config: &Config) -> Result<(), ConfigError> {
    let mut config = config.clone();
    let mut values: BTreeMap<String, String> = BTreeMap::new();
    for key in keys(&mut config) {
        if let Some(value) = key.slot.written() {
            values.insert(format!("{}.{}", key.section, key.name), value);
        }
    }
    let value_of = |name: &str| values.get(name).cloned().unwrap_or_default();
    let (server, fix, boat) = (&config.server, &config.fix, &config.boat);
    let tackle = &config.tackle;
    let longer = |part: Option<crate::units::Metres>| {
        part.zip(boat.length)
            .is_some_and(|(part, whole)| part > whole)
    };
    let contradictions = [
        (
            server.token.is_some() && server.token_file.is_some(),
            "server.token",
            "server.token_file",
            "the token is given twice; take one of them out",
        ),
        (
            fix.max_age > fix.lost_after,
            "fix.max_age",
            "fix.lost_after",
            "a fix would be lost before it is too old; make the first the shorter",
        ),
        (
            fix.failover_after > fix.lost_after,
            "fix.failover_after",
            "fix.lost_after",
            "the position would be lost before another source is taken; make the first the shorter",
        ),
        (
            longer(boat.antenna_from_bow),
            "boat.antenna_from_bow",
            "boat.length",
            "the antenna would be astern of the boat; measure from the stem aft",
        ),
        (
            longer(boat.beam),
            "boat.beam",
            "boat.length",
            "the boat would be wider than long",
        ),
        (
            tackle
                .chain_length
                .zip(boat.rode_aboard)
                .is_some_and(|(chain, rode)| chain > rode),
            "tackle.chain_length",
            "tackle.rode_aboard",
            "there would be more chain than rode; the rode is chain and rope together",
        ),
        (
            tackle.chain.is_some() && tackle.rope.is_some() && tackle.chain_length.is_none(),
            "tackle.chain",
            "tackle.rope",
            "where the chain ends is not known; give `tackle.chain_length`",
        ),
    ];
    for (contradictory, first, second, reason) in contradictions {
        if contradictory {
            return Err(ConfigError::Conflict {
                first,
                first_value: value_of(first),
                second,
                second_value: value_of(second),
                reason,
            });
        }
    }
    Ok(())
}

/// The line, counted from one, on which the TOML gives `path`; of a table, its heading. Reads
/// headings, dotted and quoted keys and inline tables on one line; a text over several lines
/// that looks like a key could mislead it, and no key of ours is one.
fn line_of(text: &str, path: &[&str]) -> Option<usize> {
    let mut heading: Vec<String> = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let line = line.trim();
        if let Some(inner) = line.strip_prefix('[') {
            heading = dotted(inner.split(']').next()?);
            if heading == path {
                return Some(index + 1);
            }
            continue;
        }
        let Some((key, rest)) = line.split_once('=').filter(|_| !line.starts_with('#')) else {
            continue;
        };
        let mut full = heading.clone();
        full.extend(dotted(key));
        let inline = || {
            let inside = rest.trim().strip_prefix('{')?;
            let (owner, last) = (path.split_last()?.1, path.last()?);
            let holds = |part: &str| {
                part.split_once('=')
                    .is_some_and(|(name, _)| dotted(name) == [*last])
            };
            (full == owner && inside.split(',').any(holds)).then_some(())
        };
        if full == path || inline().is_some() {
            return Some(index + 1);
        }
    }
    None
}

fn dotted(key: &str) -> Vec<String> {
    key.split('.')
        .map(|part| part.trim().trim_matches(['"', '\'']).to_owned())
        .collect()
}

fn sections<'a>(known: &[(&'a str, &str)]) -> Vec<&'a str> {
    let mut names: Vec<&str> = known.iter().map(|(section, _)| *section).collect();
    names.dedup();
    names
}

fn hint(wrong: &str, known: &[&str]) -> String {
    let wrong = wrong.to_lowercase();
    // Beyond three letters in five, or four in all, the nearest name is no longer what was meant.
    let allowed = (wrong.chars().count() * 3 / 5).min(4);
    let nearest = known.iter().min_by_key(|name| distance(&wrong, name));
    if let Some(name) = nearest.filter(|name| distance(&wrong, name) <= allowed) {
        return format!("did you mean `{name}`?");
    }
    let all: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
    format!("known are {}", all.join(", "))
}

/// Letters to insert, delete or exchange between two words (Levenshtein 1966), row by row.
fn distance(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.chars().enumerate() {
        let mut next = vec![i + 1];
        for (&y, above) in b.iter().zip(row.windows(2)) {
            let (diagonal, straight) = (above.first().unwrap_or(&0), above.last().unwrap_or(&0));
            let left = next.last().unwrap_or(&0);
            next.push(
                (diagonal + usize::from(x != y))
                    .min(straight + 1)
                    .min(left + 1),
            );
        }
        row = next;
    }
    row.last().copied().unwrap_or_default()
}

/// The parser's message quotes the line it stumbled over, which may hold the token.
fn discreet(message: &str) -> String {
    let message = message.trim_end();
    if message.contains("token") {
        let first = message.lines().next().unwrap_or_default();
        format!("{first} (the line holds a token and is not shown)")
    } else {
        message.to_owned()
    }
}
