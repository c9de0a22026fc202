//! Loading: the environment overrides the file, each value is parsed into its key, and every remaining name
//! is refused.
//!
//! The `config` crate parses and merges, but it loses the line numbers, so [`line_of`] looks them up in the
//! text for an error. The crate's own parsing of numbers in the environment stays off: a token `007` is not
//! a seven, and every key parses its own text.

use std::collections::BTreeMap;
use std::ffi::OsString;
use std::io;
use std::path::{Path, PathBuf};

use ::config::{File, FileFormat, Source, Value, ValueKind};

use super::contradictions::refuse_contradictions;
use super::error::{ConfigError, Place};
use super::key::{Key, Walk};
use super::keys::keys;
use super::lines::line_of;
use super::push::channel_keys;
use super::quote::{LONGEST_QUOTE, cut, hint};
use super::settings::{Config, SOCKET_NAME, STANDARD_FILE};
use super::sort::Misfit;
use crate::io::push::settings::Channel;

/// What the environment contributes: our variables and the service manager's directories.
#[derive(Clone, Debug, Default)]
pub struct Surroundings {
    /// `WINDRODE__…` by name; the list may contain other variables, which are ignored.
    pub variables: BTreeMap<String, String>,
    /// Our variables whose value is not UTF-8.
    pub unreadable: Vec<String>,
    /// `STATE_DIRECTORY`, set by the service manager.
    pub state_directory: Option<PathBuf>,
    /// `RUNTIME_DIRECTORY`, also set by the service manager.
    pub runtime_directory: Option<PathBuf>,
}

impl Surroundings {
    /// The variables of this process.
    #[must_use]
    pub fn of_process() -> Self {
        Self::of(std::env::vars_os())
    }

    pub(super) fn of(variables: impl Iterator<Item = (OsString, OsString)>) -> Self {
        // The service manager separates several directories by colons (`systemd.exec(5)`).
        let first = |value: &OsString| {
            let first = std::env::split_paths(value).next();
            first.filter(|path| path.is_absolute())
        };
        let mut surroundings = Self::default();
        for (name, value) in variables {
            // A name that is not UTF-8 is refused because of its invalid letters.
            let name = name.to_string_lossy().into_owned();
            match name.as_str() {
                "STATE_DIRECTORY" => surroundings.state_directory = first(&value),
                "RUNTIME_DIRECTORY" => surroundings.runtime_directory = first(&value),
                ours if ours.starts_with(PREFIX) => match value.into_string() {
                    Ok(value) => _ = surroundings.variables.insert(name, value),
                    Err(_) => surroundings.unreadable.push(name),
                },
                _ => {}
            }
        }
        surroundings
    }
}

impl Config {
    /// Loads the named file, or the one at [`STANDARD_FILE`] if it exists, and the variables.
    pub fn load(named: Option<&Path>, surroundings: &Surroundings) -> Result<Self, ConfigError> {
        Self::read(read_file(named)?, surroundings)
    }

    /// Loads the text of a file, and the variables.
    pub(super) fn read(
        file: Option<(PathBuf, String)>,
        surroundings: &Surroundings,
    ) -> Result<Self, ConfigError> {
        let mut given = Given::collect(file, surroundings)?;
        let mut config = Self::standing_in(surroundings);
        config.push = given.channels()?;
        // The channels without values of their own: they give the known keys when an unknown one was
        // written.
        let blank = config.clone();
        let mut origins = BTreeMap::new();
        let mut fault = None;
        let mut missing = None;
        keys(&mut config, |mut key| {
            let Some(value) = given.take(key.section, key.name) else {
                if key.slot.is_needed() && missing.is_none() {
                    missing = Some((key.section.to_owned(), key.name));
                }
                return;
            };
            let path: Vec<&str> = key.section.split('.').chain([key.name]).collect();
            let place = given.place(&value, &path);
            if let Err(error) = read_value(&mut key, &value, &place) {
                fault.get_or_insert(error);
            }
            origins.insert(key.full(), place);
        });
        fault.map_or(Ok(()), Err)?;
        given.refuse_the_rest(&blank)?;
        config.understood.origins = origins;
        refuse_contradictions(&config, missing.as_ref(), |name| given.table(name))?;
        config.understood.file = given.file.map(|(path, _)| path);
        Ok(config)
    }

    /// The defaults in this environment.
    fn standing_in(surroundings: &Surroundings) -> Self {
        let mut config = Self::default();
        if let Some(directory) = &surroundings.state_directory {
            config.journal.directory.clone_from(directory);
        }
        if let Some(directory) = &surroundings.runtime_directory {
            config.control.socket = directory.join(SOCKET_NAME);
        }
        config
    }
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

/// The written values by section and key that no key has taken yet.
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
            // Built alone first, so that an error is certainly the file's.
            builder = builder.add_source(source.clone());
            if let Err(error) = source.collect() {
                return Err(ConfigError::Syntax {
                    file: path.clone(),
                    reason: discreet(&error.to_string()),
                });
            }
        }
        refuse_odd_variables(surroundings)?;
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

    /// The channels under `push`, each an empty one of its kind.
    fn channels(&self) -> Result<BTreeMap<String, Channel>, ConfigError> {
        let Some(push) = self.tree.get("push") else {
            return Ok(BTreeMap::new());
        };
        let refuse = |path: &[&str], place: Place, reason: String| {
            let name = cut(&path.join("."));
            Err(ConfigError::Channel {
                name,
                place,
                reason,
            })
        };
        let no_table = |path: &[&str], value: &Value| {
            let reason = "a channel has a table with its name, of lower-case letters, digits and `_`: `[push.skipper]`";
            refuse(path, self.place(value, path), reason.to_owned())
        };
        let ValueKind::Table(tables) = &push.kind else {
            return no_table(&["push"], push);
        };
        let tables: BTreeMap<&String, &Value> = tables.iter().collect();
        let mut channels = BTreeMap::new();
        for (name, value) in tables {
            let path = ["push", name.as_str()];
            let ValueKind::Table(table) = &value.kind else {
                return no_table(&path, value);
            };
            if !is_name(name) {
                return no_table(&path, value);
            }
            let [first, others @ ..] = Channel::blanks();
            let names: Vec<String> = [&first]
                .into_iter()
                .chain(&others)
                .map(|blank| format!("`{}`", blank.kind.name()))
                .collect();
            let Some(kind) = table.get("kind") else {
                let reason = format!("`kind` is not given; it is one of {}", names.join(", "));
                return refuse(&path, self.table(name), reason);
            };
            let wanted =
                |blank: &Channel| kind.kind == ValueKind::String(blank.kind.name().to_owned());
            // A channel without a valid kind is refused when its `kind` is read.
            channels.insert(
                name.clone(),
                others.into_iter().find(wanted).unwrap_or(first),
            );
        }
        Ok(channels)
    }

    /// Where the table of a channel is, or which part of it came from the environment.
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
            _ => Place::Variable(cut(&format!("{PREFIX}{}", path.join("__").to_uppercase()))),
        }
    }

    /// Every key has taken its value; the rest is unknown. `blank` has the channels.
    fn refuse_the_rest(&self, blank: &Config) -> Result<(), ConfigError> {
        let mut known = Vec::new();
        keys(&mut blank.clone(), |key| {
            known.push((key.section.to_owned(), key.name));
        });
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
                    name: cut(format!("{section}.{name}").trim_end_matches('.')),
                    place,
                    what: format!("key, there is no section `[{}]`", cut(section)),
                    hint: hint(section, &sections(&known)),
                });
            }
            if let Some((name, inner)) = rest.first_key_value() {
                let path: Vec<&str> = section.split('.').chain([name.as_str()]).collect();
                let place = self.place(inner, &path);
                let full = cut(&format!("{section}.{name}"));
                let channel = section
                    .strip_prefix("push.")
                    .and_then(|name| blank.push.get(name));
                if let Some(channel) = channel.filter(|_| is_key_of_a_channel(name)) {
                    let kind = channel.kind.name();
                    let reason = format!("a channel of kind `{kind}` has no use for it");
                    return Err(ConfigError::Channel {
                        name: full,
                        place,
                        reason,
                    });
                }
                let elsewhere = known.iter().find(|(_, known)| known == name);
                return Err(ConfigError::Unknown {
                    name: full,
                    place,
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

    /// The remaining names, section by section; each channel is a section.
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
            name: cut(name),
            place: self.place(value, &[name]),
            what: "section".to_owned(),
            hint: match owner {
                Some((section, _)) => format!("did you mean `{name}` under `[{section}]`?"),
                None => hint(name, &sections(known)),
            },
        }
    }
}

/// Refuses values that are not text, and names in which the crate would see dots and brackets as a path.
fn refuse_odd_variables(surroundings: &Surroundings) -> Result<(), ConfigError> {
    if let Some(name) = surroundings.unreadable.first() {
        return Err(ConfigError::NotText { name: cut(name) });
    }
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_';
    let odd = surroundings.variables.keys().find(|name| {
        name.strip_prefix(PREFIX)
            .is_some_and(|rest| rest.is_empty() || !rest.bytes().all(plain))
    });
    odd.map_or(Ok(()), |name| {
        Err(ConfigError::Unknown {
            name: cut(name),
            place: Place::Variable(cut(name)),
            what: "key".to_owned(),
            hint: "write it like `WINDRODE__BOAT__DRAUGHT`".to_owned(),
        })
    })
}

fn read_value(key: &mut Key<'_>, value: &Value, place: &Place) -> Result<(), ConfigError> {
    let name = key.full();
    let shape = key.slot.shape();
    let is_text = shape.is_text();
    let [least, most] = shape.range.clone().unwrap_or_default();
    let otherwise = match key.default() {
        Some(default) => format!(" to have `{default}`"),
        None if key.section == "boat" => " to have the server's figure".to_owned(),
        None => String::new(),
    };
    let limits = format!(
        "{} lies between `{least}` and `{most}`; correct it, or take it out{otherwise}",
        shape.noun
    );
    let secret = key.name == "token";
    let shown = |text: &str| {
        if secret {
            "<secret>".to_owned()
        } else {
            cut(text)
        }
    };
    let unfit = |value: &str, reason: &str| ConfigError::Unfit {
        key: name.clone(),
        value: shown(value),
        place: place.clone(),
        // The reason may quote the value without the blanks around it.
        reason: if value.len() > LONGEST_QUOTE {
            reason.replace(value.trim(), &shown(value.trim()))
        } else {
            reason.to_owned()
        },
    };
    let text = match &value.kind {
        ValueKind::String(text) => text.clone(),
        ValueKind::I64(number) => number.to_string(),
        ValueKind::Float(number) => number.to_string(),
        ValueKind::Boolean(word) => word.to_string(),
        other => {
            let reason = "write a single value in quotes, such as `\"40 m\"`";
            return Err(unfit(&other.to_string(), reason));
        }
    };
    if text.len() > LONGEST_VALUE {
        let reason = format!("no value is longer than {LONGEST_VALUE} bytes; correct it");
        return Err(unfit(&text, &reason));
    }
    if is_text && !matches!(value.kind, ValueKind::String(_)) {
        let reason = format!("write text in quotes: `\"{}\"`", shown(&text));
        return Err(unfit(&text, &reason));
    }
    match key.slot.read(&text) {
        Ok(()) => Ok(()),
        Err(Misfit::Unreadable(reason)) => Err(unfit(&text, &reason)),
        Err(Misfit::OutOfRange) => Err(unfit(&text, &limits)),
    }
}

/// A name fit for a section, a variable, a topic and an answer; `documents` has it as a pattern.
fn is_name(name: &str) -> bool {
    let mut bytes = name.bytes();
    bytes.next().is_some_and(|byte| byte.is_ascii_lowercase())
        && name.len() <= 30
        && bytes.all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
}

/// Does a channel of any kind have this key?
fn is_key_of_a_channel(name: &str) -> bool {
    Channel::blanks().into_iter().any(|mut blank| {
        let mut found = false;
        channel_keys(
            &mut Walk::new(&mut |key| found |= key.name == name),
            "",
            &mut blank,
        );
        found
    })
}

fn sections<'a>(known: &[(&'a str, &str)]) -> Vec<&'a str> {
    let mut names: Vec<&str> = known.iter().map(|(section, _)| *section).collect();
    names.dedup();
    names
}

/// The parser's message quotes the faulty line, which may be long or hold the token.
fn discreet(message: &str) -> String {
    let message = message.trim_end();
    if message.contains("token") {
        let first = cut(message.lines().next().unwrap_or_default());
        format!("{first} (the line holds a token and is not shown)")
    } else {
        message.lines().map(cut).collect::<Vec<_>>().join("\n")
    }
}

/// The prefix of our variables.
const PREFIX: &str = "WINDRODE__";
/// The longest value in bytes: enough for a token; everything else is much shorter.
const LONGEST_VALUE: usize = 8192;
