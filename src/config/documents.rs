//! The repository's documents about the configuration, generated from the list of keys: the JSON Schema,
//! the default file and the manual.
//! `WINDRODE_REBUILD_DOCS=1 cargo test --lib are_generated` writes them.

use std::fmt::Write as _;

use serde_json::{Map, Value, json};

use super::key::{Key, Walk};
use super::keys::keys;
use super::push::channel_keys;
use super::settings::Config;
use super::sort::units;
use crate::io::push::settings::Channel;
use crate::units::{
    parse_angle, parse_duration, parse_length, parse_mass, parse_speed, parse_voltage,
};

/// The documentation of one key.
struct Row {
    section: String,
    section_about: &'static str,
    name: &'static str,
    about: &'static str,
    effect: &'static str,
    /// Its sort and range in one sentence.
    told: String,
    default: Option<String>,
    example: Option<&'static str>,
    needed: bool,
    /// It has a minimum and a maximum.
    limited: bool,
    schema: Value,
}

impl Row {
    fn of(key: &Key<'_>) -> Self {
        let mut told = key.slot.shape().told.clone();
        told.get_mut(..1).map(str::make_ascii_uppercase);
        Self {
            section: key.section.to_owned(),
            section_about: key.section_about,
            name: key.name,
            about: key.about,
            effect: key.effect,
            told: told + ".",
            default: key.default().filter(|_| key.name != "kind"),
            example: key.slot.example(),
            needed: key.slot.is_needed(),
            limited: key.slot.shape().range.is_some(),
            schema: key.slot.shape().schema.clone(),
        }
    }

    fn is_number(&self) -> bool {
        self.schema["type"] == json!("number")
    }

    /// A line of the default file.
    fn line(&self) -> String {
        let value = self.default.as_deref().or(self.example).unwrap_or_default();
        if self.is_number() {
            format!("#{} = {value}\n", self.name)
        } else {
            format!("#{} = {value:?}\n", self.name)
        }
    }

    /// The same line below the key's description. The example shows the form of a value without limits.
    fn commented(&self) -> String {
        let limited = self.limited || self.schema.get("enum").is_some();
        let told = if limited { self.told.as_str() } else { "" };
        comment(&format!("{} {} {told}", self.about, self.effect)) + &self.line()
    }

    /// The schema of this key.
    fn property(&self) -> Value {
        let mut schema = self.schema.clone();
        let text = format!("{} {} {}", self.about, self.effect, self.told);
        schema["description"] = json!(text);
        if let Some(default) = &self.default {
            let number = default.parse::<f64>().ok().filter(|_| self.is_number());
            schema["default"] = number.map_or_else(|| json!(default), |number| json!(number));
        }
        schema
    }
}

fn sections() -> Vec<Row> {
    let mut rows = Vec::new();
    keys(&mut Config::default(), |key| rows.push(Row::of(&key)));
    rows
}

/// The kinds of channels, each with its word and an example of a name.
fn channels() -> Vec<(&'static str, &'static str, Vec<Row>)> {
    let names = ["skipper", "hook", "base", "owner", "siren", "ashore"];
    let blanks = Channel::blanks().into_iter().zip(names);
    blanks
        .map(|(mut blank, name)| {
            let mut rows = Vec::new();
            channel_keys(
                &mut Walk::new(&mut |key| rows.push(Row::of(&key))),
                name,
                &mut blank,
            );
            (blank.kind.name(), name, rows)
        })
        .collect()
}

/// The JSON Schema (2020-12) of the file, `schemas/config.schema.json`.
#[must_use]
pub fn schema() -> Value {
    let mut properties = Map::new();
    for row in sections() {
        let section = properties.entry(&row.section).or_insert_with(|| {
            json!({
                "description": row.section_about,
                "type": "object",
                "additionalProperties": false,
                "properties": {},
            })
        });
        section["properties"][row.name] = row.property();
    }
    let channels = channels();
    // What several kinds have in common is written once.
    let mut common = Map::new();
    for row in channels.iter().flat_map(|(_, _, rows)| rows) {
        let (name, property) = (row.name, row.property());
        let others = channels.iter().flat_map(|(_, _, rows)| rows);
        let same = others.filter(|other| other.name == name).map(Row::property);
        let same: Vec<Value> = same.collect();
        if same.len() > 1 && same.iter().all(|other| *other == property) {
            common.insert(name.to_owned(), property);
        }
    }
    let kinds: Vec<Value> = channels
        .iter()
        .map(|(kind, _, rows)| {
            let mut needed = vec!["kind"];
            needed.extend(rows.iter().filter(|row| row.needed).map(|row| row.name));
            let mut schema = json!({
                "type": "object",
                "additionalProperties": false,
                "required": needed,
                "properties": {},
            });
            for (key, with) in PAIRS {
                if rows.iter().any(|row| row.name == key) {
                    schema["dependentRequired"][key] = json!([with]);
                }
            }
            for row in rows {
                schema["description"] = json!(row.section_about);
                schema["properties"][row.name] = if common.contains_key(row.name) {
                    json!({ "$ref": format!("#/$defs/{}", row.name) })
                } else {
                    row.property()
                };
            }
            schema["properties"]["kind"] = json!({ "const": kind });
            if rows.iter().any(|row| row.name == "url") {
                schema["oneOf"] = json!([{ "required": ["url"] }, { "required": ["url_file"] }]);
            }
            schema
        })
        .collect();
    properties.insert(
        "push".to_owned(),
        json!({
            "description": "The channels to phones, each a table with a name of its own.",
            "type": "object",
            "additionalProperties": false,
            "patternProperties": { "^[a-z][a-z0-9_]{0,29}$": { "oneOf": kinds } },
        }),
    );
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "windrode's configuration",
        "description": "The TOML file as JSON. Quantities are texts with their unit.",
        "type": "object",
        "additionalProperties": false,
        "properties": properties,
        "$defs": common,
    })
}

/// The commented default file, `deploy/windrode.toml`.
#[must_use]
pub fn default_file() -> String {
    let mut file = FILE_HEAD.to_owned();
    let mut section = String::new();
    for row in sections() {
        if row.section != section {
            _ = writeln!(file, "\n{}[{}]", comment(row.section_about), row.section);
            section.clone_from(&row.section);
        }
        file += &row.commented();
    }
    file += FILE_PUSH;
    let mut told = vec!["kind"];
    for (kind, name, rows) in channels() {
        let first = rows.first().map_or("", |row| row.section_about);
        _ = writeln!(file, "\n{}#[push.{name}]", comment(first));
        // An address that is itself a secret belongs in a file.
        let secret = matches!(kind, "webhook" | "ping");
        for row in &rows {
            let news = !told.contains(&row.name);
            let other = if secret { "url" } else { "url_file" };
            if row.name == other || (!news && EVERY_CHANNEL.contains(&row.name)) {
                continue;
            }
            file += &if news { row.commented() } else { row.line() };
            told.push(row.name);
        }
    }
    file
}

/// The manual, `deploy/man/windrode.toml.5`.
#[must_use]
pub fn manual() -> String {
    let mut page = MANUAL_HEAD.to_owned();
    for (dimension, units) in [
        ("length", units(parse_length)),
        ("speed", units(parse_speed)),
        ("angle", units(parse_angle)),
        ("mass", units(parse_mass)),
        ("voltage", units(parse_voltage)),
        ("time", units(parse_duration)),
    ] {
        _ = writeln!(page, ".It {dimension}\n.Li {}", units.join(" , "));
    }
    page += MANUAL_TEXT;
    let mut section = String::new();
    for row in sections() {
        if row.section != section {
            let end = if section.is_empty() { "" } else { ".El\n" };
            let about = roff(row.section_about);
            _ = writeln!(page, "{end}.Ss {}\n{about}.Bl -tag -width Ds", row.section);
            section.clone_from(&row.section);
        }
        page += &item(&row);
        page += &roff(&row.told);
    }
    page += MANUAL_PUSH;
    let kinds = channels();
    let mut told: Vec<&str> = Vec::new();
    for row in kinds.iter().flat_map(|(_, _, rows)| rows) {
        if told.contains(&row.name) {
            continue;
        }
        told.push(row.name);
        page += &item(row);
        if row.name == "kind" {
            for (kind, _, rows) in &kinds {
                let about = rows.first().map_or("", |row| row.section_about);
                page += &roff(&format!("`{kind}`: {about}"));
            }
            continue;
        }
        let having: Vec<(&str, &Row)> = kinds
            .iter()
            .filter_map(|(kind, _, rows)| Some((*kind, rows.iter().find(|r| r.name == row.name)?)))
            .collect();
        let of = |is: &dyn Fn(&Row) -> bool| {
            let kinds = having.iter().filter(|(_, row)| is(row));
            kinds
                .map(|(kind, _)| format!("`{kind}`"))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let mut sorts: Vec<&str> = having.iter().map(|(_, row)| row.told.as_str()).collect();
        sorts.dedup();
        sorts.sort_unstable();
        sorts.dedup();
        for sort in &sorts {
            match sorts.len() {
                1 => page += &roff(sort),
                _ => page += &roff(&format!("For {}: {sort}", of(&|row| row.told == *sort))),
            }
        }
        if having.len() < kinds.len() {
            page += &roff(&format!("Kinds: {}.", of(&|_| true)));
        }
        if having.iter().any(|(_, row)| row.needed) {
            page += &roff(&format!("Needed for {}.", of(&|row| row.needed)));
        }
        for (kind, other) in &having {
            if let Some(default) = other
                .default
                .as_ref()
                .filter(|_| other.default != row.default)
            {
                page += &roff(&format!("The default for `{kind}` is `{default}`."));
            }
        }
    }
    page + MANUAL_END
}

/// A key in the manual, without its sort.
fn item(row: &Row) -> String {
    let default = match &row.default {
        Some(default) => format!("Ql {default}"),
        None => "no default".to_owned(),
    };
    let name = row.name;
    format!(
        ".It Va {name} Pq {default}\n{}{}",
        roff(row.about),
        roff(row.effect)
    )
}

/// A text as a comment, in lines of at most a hundred letters.
fn comment(text: &str) -> String {
    let mut comment = String::from("#");
    let mut column = 1;
    for word in text.split_whitespace() {
        if column + 1 + word.chars().count() > 100 {
            comment += "\n#";
            column = 1;
        }
        comment += " ";
        comment += word;
        column += 1 + word.chars().count();
    }
    comment + "\n"
}

/// A text for `mdoc(7)`: each sentence on a line of its own, and each text in backticks too.
pub(crate) fn roff(text: &str) -> String {
    let mut page = String::new();
    for sentence in text.replace(". ", ".\n").lines() {
        for (place, piece) in sentence.split('`').enumerate() {
            if place % 2 == 1 {
                // A single sign would be taken for punctuation.
                let guard = if piece.len() == 1 { "\\&" } else { "" };
                _ = write!(page, ".Ql {guard}{}", piece.replace('\\', "\\e"));
                continue;
            }
            // Signs that follow code belong to its line.
            let rest = piece.trim_start_matches([',', '.', ';', ':', ')']);
            let signs = piece.strip_suffix(rest).unwrap_or_default();
            if place > 0 {
                signs.chars().for_each(|sign| _ = write!(page, " {sign}"));
                page += "\n";
            }
            let rest = if place > 0 { rest } else { piece };
            if !rest.trim().is_empty() {
                _ = writeln!(page, "{}", rest.trim());
            }
        }
    }
    page
}

/// Keys that are not given without another key.
const PAIRS: [(&str, &str); 3] = [
    ("user", "password_file"),
    ("password_file", "user"),
    ("reply_token_file", "replies"),
];

/// Keys that every channel has, shown once.
const EVERY_CHANNEL: [&str; 5] = ["least", "quiet", "after", "repeat", "every"];

const FILE_HEAD: &str = r#"# windrode's configuration. As it stands everything has its default: take the `#` off a line to
# change it. Keys without a default show an example. `windrode check` shows what is in force and where
# each value comes from.
#
# Lengths, speeds, angles and times have a unit: "40 m", "130 ft", "22 fathoms", "18 kn", "9 m/s",
# "60 deg", "30 s", "5 min", "8 h", "7 d". A bare number is refused.
#
# Each key may also be given by an environment variable, which wins over this file:
# WINDRODE__BOAT__DRAUGHT="2.1 m" for `draught` under `[boat]`.
"#;

const FILE_PUSH: &str = "
# Channels to phones, each a table with a name of its own: take the `#` off a heading and off the
# keys under it. Secrets are in files of their own, mode 0640 or tighter. Send a test with
# `windrode check --push skipper`. The last five keys of the first table are for every channel; a ping
# has only `every`.
";

const MANUAL_HEAD: &str = r".Dd June 1, 2026
.Dt WINDRODE.TOML 5
.Os
.Sh NAME
.Nm windrode.toml
.Nd configuration of the anchor watch
.Sh DESCRIPTION
.Xr windrode 1
reads this file when it starts.
It is TOML; the keys are under the heading of their section, such as
.Va draught
under
.Li [boat] .
Where no file was named and none is at
.Pa /etc/windrode/windrode.toml ,
the defaults are used.
.Pp
Lengths, speeds, angles and times are texts with a unit:
.Bl -tag -width Ds
";

const MANUAL_TEXT: &str = r".El
.Pp
Chain is written by size and grade,
.Ql 8 mm G40
or
.Ql 5/16 in G43 ,
rope by thickness and material,
.Ql 14 mm nylon .
.Pp
A bare number, an unknown key and an impossible value stop the start, with the
line and what to write.
Each key may also be given by a variable, which wins over the file:
.Ev WINDRODE__BOAT__DRAUGHT
for
.Va draught
under
.Li [boat] .
.Dq windrode check --offline
prints what is in force and where each value comes from.
.Pp
The default of a key follows its name.
";

const MANUAL_PUSH: &str = r".El
.Ss push.NAME
The channels to phones, each a table with a name of its own, of lower-case
letters, digits and
.Sq _ .
Secrets are in files of their own, mode 0640 or tighter.
.Bl -tag -width Ds
";

const MANUAL_END: &str = r#".El
.Sh FILES
.Bl -tag -width Ds
.It Pa /etc/windrode/windrode.toml
.El
.Sh EXAMPLES
.Bd -literal -offset indent
[boat]
draught = "1.9 m"
roller_height = "1.3 m"
antenna_from_bow = "9.1 m"

[tackle]
rode_aboard = "60 m"
.Ed
.Sh SEE ALSO
.Xr windrode 1
"#;
