//! Commands from other clients of the server, and from the local socket: parsed into commands of the watch, or refused
//! with a sentence that says what to write instead. A refusal changes nothing.
//!
//! The server forwards a PUT without checking its context (a PUT for another vessel arrives here too), so the context
//! is checked first. What a caller may do is decided by the server: it forwards PUTs of clients with `readwrite` only.
//!
//! | path below `navigation.anchor.` | value |
//! |---|---|
//! | `watch.letGo` | `true`, or an object with any of `rode` (m), `position`, `depth` (m), `kind`, `radius` (m), `fromTrack`, `reanchored` |
//! | `watch.rodeOut` | metres |
//! | `watch.snubber` | `true`, an object with any of `at` (m of rode) and `length` (m), or `false` for none |
//! | `watch.weigh` | `true` |
//! | `watch.acknowledge`, `watch.silence` | `true` for all, or the name of a hazard |
//! | `watch.pullTest` | `true` to begin, `false` to end |
//! | `watch.berth` | a position, with any of `scope`, `rode` (m), `wind` (m/s), `stay` (s) beside it, or `null` for none |
//! | `position` | a position: corrects the mark |
//! | `maxRadius` | metres, or `null` for the calculated radius |
//!
//! A position is an object with `latitude` and `longitude` in degrees; `altitude`, which the schema allows beside them,
//! is accepted and ignored. A `null` member of `letGo` counts as missing.

use std::fmt;
use std::time::Duration;

use serde_json::{Map, Value, json};

use super::paths::WATCH;
use super::shortened;
use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::speech::Wording;
use crate::speech::puts::{PutForm, PutTold};
use crate::units::{Metres, Speed};
use crate::watch::anchorage::kind::{MooringKind, known_kinds};
use crate::watch::berth::{BerthOrder, BerthWishes};
use crate::watch::messages::{Command, LetGo, SnubberOrder};

/// Why a command is refused.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PutRefusal {
    /// The command is for another vessel.
    Context(String),
    /// The request is not one path and one value.
    Entries(usize),
    /// The path is not one of ours.
    Unknown(String),
    /// The path is ours, but its value is calculated and cannot be set.
    ReadOnly(String),
    /// The command does not take this value.
    Value {
        /// The command.
        command: &'static str,
        /// The given value as JSON, shortened.
        value: String,
        /// What the command takes.
        wanted: PutForm,
    },
    /// The command has no member of this name.
    Member {
        /// The command.
        command: &'static str,
        /// The unknown member.
        key: String,
        /// The known ones.
        known: &'static str,
    },
    /// A word that is not a kind of berth.
    Kind(String),
    /// A word that is not a hazard.
    Hazard {
        /// The command.
        command: &'static str,
        /// The given word.
        value: String,
    },
}

impl std::error::Error for PutRefusal {}

/// The message in English, for the log and for a replay.
impl fmt::Display for PutRefusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(&Wording::default()))
    }
}

impl PutRefusal {
    /// What is wrong and what to write instead, for the crew.
    #[must_use]
    pub fn words(&self, say: &Wording) -> String {
        let told = match self.clone() {
            Self::Context(context) => PutTold::Context { context },
            Self::Entries(count) => PutTold::Entries {
                count: count as u64,
            },
            Self::Unknown(path) => PutTold::Unknown {
                path,
                known: known_commands(),
            },
            Self::ReadOnly(path) => PutTold::ReadOnly {
                path,
                known: known_commands(),
            },
            Self::Value {
                command,
                value,
                wanted: form,
            } => PutTold::Value {
                command,
                value,
                form,
            },
            Self::Member {
                command,
                key,
                known,
            } => PutTold::Member {
                command,
                key,
                known: known.to_owned(),
            },
            Self::Kind(value) => PutTold::Kind {
                value,
                known: known_kinds(),
            },
            Self::Hazard { command, value } => PutTold::Hazard {
                command,
                value,
                known: known_hazards(),
            },
        };
        told.words(say)
    }

    /// The HTTP-like status of the answer.
    #[must_use]
    pub const fn status(&self) -> u16 {
        match self {
            Self::Context(_) => 403,
            Self::Unknown(_) => 404,
            Self::ReadOnly(_) => 405,
            Self::Entries(_)
            | Self::Value { .. }
            | Self::Member { .. }
            | Self::Kind(_)
            | Self::Hazard { .. } => 400,
        }
    }
}

/// Parses a command by its Signal K path.
pub fn parse_put(path: &str, value: &Value) -> Result<Command, PutRefusal> {
    let name = match path {
        "navigation.anchor.position" => "position",
        "navigation.anchor.maxRadius" => "maxRadius",
        _ => path
            .strip_prefix(WATCH)
            .filter(|name| COMMANDS.contains(name) && !STANDARD.contains(name))
            .ok_or_else(|| {
                let text = shortened(path, 120);
                if path.starts_with("navigation.anchor.") {
                    PutRefusal::ReadOnly(text)
                } else {
                    PutRefusal::Unknown(text)
                }
            })?,
    };
    parse_command(name, value)
}

/// Parses a command by its name: the path's last segment.
pub fn parse_command(name: &str, value: &Value) -> Result<Command, PutRefusal> {
    match name {
        "letGo" => let_go(value).map(Command::LetGo),
        "rodeOut" => metres("rodeOut", PutForm::Metres, value).map(Command::RodeOut),
        "weigh" => match value {
            Value::Bool(true) => Ok(Command::Weigh),
            _ => Err(refused("weigh", PutForm::True, value)),
        },
        "pullTest" => match value {
            Value::Bool(pulls) => Ok(Command::PullTest(*pulls)),
            _ => Err(refused("pullTest", PutForm::BeginOrEnd, value)),
        },
        "snubber" => snubber(value).map(Command::Snubber),
        "acknowledge" => hazard("acknowledge", value).map(Command::Acknowledge),
        "silence" => hazard("silence", value).map(Command::Silence),
        "berth" if value.is_null() => Ok(Command::Berth(None)),
        "berth" => berth(value).map(|berth| Command::Berth(Some(berth))),
        "position" => position("position", PutForm::Place, value).map(Command::CorrectMark),
        "maxRadius" if value.is_null() => Ok(Command::MaxRadius(None)),
        "maxRadius" => {
            metres("maxRadius", PutForm::MetresOrNull, value).map(|m| Command::MaxRadius(Some(m)))
        }
        _ => Err(PutRefusal::Unknown(shortened(name, 120))),
    }
}

/// The answer to a request in the form that the server expects: `state` is final and `statusCode` a number.
#[must_use]
pub fn answer(request_id: &str, status: u16, message: &str) -> String {
    json!({
        "requestId": request_id,
        "state": "COMPLETED",
        "statusCode": status,
        "message": message,
    })
    .to_string()
}

fn let_go(value: &Value) -> Result<LetGo, PutRefusal> {
    const NAME: &str = "letGo";
    let members = match value {
        Value::Bool(true) => return Ok(LetGo::default()),
        Value::Object(members) => members,
        Value::Null
        | Value::Bool(false)
        | Value::Number(_)
        | Value::String(_)
        | Value::Array(_) => return Err(refused(NAME, PutForm::LetGo, value)),
    };
    known_members(
        NAME,
        members,
        &[
            "rode",
            "position",
            "depth",
            "kind",
            "radius",
            "fromTrack",
            "reanchored",
        ],
        "`rode`, `position`, `depth`, `kind`, `radius`, `fromTrack`, `reanchored`",
    )?;
    let given = |name: &str| members.get(name).filter(|member| !member.is_null());
    Ok(LetGo {
        rode: given("rode")
            .map(|value| metres("letGo.rode", PutForm::Metres, value))
            .transpose()?,
        position: given("position")
            .map(|value| position("letGo.position", PutForm::Place, value))
            .transpose()?,
        depth: given("depth")
            .map(|value| metres("letGo.depth", PutForm::Metres, value))
            .transpose()?,
        kind: given("kind").map(kind).transpose()?.unwrap_or_default(),
        radius: given("radius")
            .map(|value| metres("letGo.radius", PutForm::Metres, value))
            .transpose()?,
        from_track: given("fromTrack")
            .map(|value| yes_or_no("letGo.fromTrack", value))
            .transpose()?
            .unwrap_or_default(),
        reanchored: given("reanchored")
            .map(|value| yes_or_no("letGo.reanchored", value))
            .transpose()?
            .unwrap_or_default(),
    })
}

fn berth(value: &Value) -> Result<BerthOrder, PutRefusal> {
    let Value::Object(members) = value else {
        return Err(refused("berth", PutForm::BerthOrNull, value));
    };
    known_members(
        "berth",
        members,
        &[
            "latitude",
            "longitude",
            "altitude",
            "scope",
            "rode",
            "wind",
            "stay",
        ],
        "`latitude`, `longitude`, `scope`, `rode`, `wind`, `stay`",
    )?;
    let place: Map<String, Value> = members
        .iter()
        .filter(|(key, _)| ["latitude", "longitude"].contains(&key.as_str()))
        .map(|(key, value)| (key.clone(), value.clone()))
        .collect();
    let number = |name: &str, command: &'static str, wanted: PutForm, most: f64| {
        let given = members.get(name).filter(|member| !member.is_null());
        given
            .map(|value| {
                value
                    .as_f64()
                    .filter(|number| *number > 0.0 && *number <= most)
                    .ok_or_else(|| refused(command, wanted, value))
            })
            .transpose()
    };
    let scope = number("scope", "berth.scope", PutForm::Scope, 20.0)?;
    if let Some(scope) = scope.filter(|scope| *scope < 1.5) {
        return Err(refused("berth.scope", PutForm::Scope, &json!(scope)));
    }
    let rode = number("rode", "berth.rode", PutForm::Metres, TOO_LONG)?;
    let wind = number("wind", "berth.wind", PutForm::Wind, 50.0)?;
    let stay = number("stay", "berth.stay", PutForm::Stay, LONGEST_STAY)?;
    Ok(BerthOrder {
        position: position("berth", PutForm::BerthOrNull, &Value::Object(place))?,
        wishes: BerthWishes {
            scope,
            rode: rode.and_then(Metres::new),
            wind: wind.and_then(Speed::new),
            stay: stay.and_then(|seconds| Duration::try_from_secs_f64(seconds).ok()),
        },
    })
}

fn snubber(value: &Value) -> Result<Option<SnubberOrder>, PutRefusal> {
    let members = match value {
        Value::Bool(true) => return Ok(Some(SnubberOrder::default())),
        Value::Bool(false) | Value::Null => return Ok(None),
        Value::Object(members) => members,
        Value::Number(_) | Value::String(_) | Value::Array(_) => {
            return Err(refused("snubber", PutForm::Snubber, value));
        }
    };
    known_members("snubber", members, &["at", "length"], "`at`, `length`")?;
    let given = |name: &str, command: &'static str| {
        let given = members.get(name).filter(|member| !member.is_null());
        given
            .map(|value| metres(command, PutForm::Metres, value))
            .transpose()
    };
    Ok(Some(SnubberOrder {
        at: given("at", "snubber.at")?,
        length: given("length", "snubber.length")?,
    }))
}

fn yes_or_no(command: &'static str, value: &Value) -> Result<bool, PutRefusal> {
    value
        .as_bool()
        .ok_or_else(|| refused(command, PutForm::YesOrNo, value))
}

fn kind(value: &Value) -> Result<MooringKind, PutRefusal> {
    value
        .as_str()
        .and_then(|word| word.parse().ok())
        .ok_or_else(|| PutRefusal::Kind(shortened(&value.to_string(), 60)))
}

fn metres(command: &'static str, wanted: PutForm, value: &Value) -> Result<Metres, PutRefusal> {
    value
        .as_f64()
        .filter(|metres| *metres > 0.0 && *metres < TOO_LONG)
        .and_then(Metres::new)
        .ok_or_else(|| refused(command, wanted, value))
}

fn position(command: &'static str, wanted: PutForm, value: &Value) -> Result<Position, PutRefusal> {
    let Value::Object(members) = value else {
        return Err(refused(command, wanted, value));
    };
    known_members(
        command,
        members,
        &["latitude", "longitude", "altitude"],
        "`latitude`, `longitude`",
    )?;
    let degrees = |name: &str| members.get(name).and_then(Value::as_f64);
    degrees("latitude")
        .zip(degrees("longitude"))
        .and_then(|(latitude, longitude)| Position::new(latitude, longitude).ok())
        .ok_or_else(|| refused(command, wanted, value))
}

fn hazard(command: &'static str, value: &Value) -> Result<Option<Hazard>, PutRefusal> {
    let refused = |value: &str| PutRefusal::Hazard {
        command,
        value: shortened(value, 60),
    };
    match value {
        Value::Bool(true) => Ok(None),
        Value::String(name) => name.parse().map(Some).map_err(|_| refused(name)),
        Value::Null
        | Value::Bool(false)
        | Value::Number(_)
        | Value::Array(_)
        | Value::Object(_) => Err(refused(&value.to_string())),
    }
}

fn known_members(
    command: &'static str,
    members: &Map<String, Value>,
    taken: &[&str],
    known: &'static str,
) -> Result<(), PutRefusal> {
    match members.keys().find(|key| !taken.contains(&key.as_str())) {
        None => Ok(()),
        Some(key) => Err(PutRefusal::Member {
            command,
            key: shortened(key, 60),
            known,
        }),
    }
}

fn refused(command: &'static str, wanted: PutForm, value: &Value) -> PutRefusal {
    PutRefusal::Value {
        command,
        value: shortened(&value.to_string(), 60),
        wanted,
    }
}

fn known_commands() -> String {
    COMMANDS.map(|name| format!("`{name}`")).join(", ")
}

fn known_hazards() -> String {
    Hazard::ALL.map(|hazard| format!("`{hazard}`")).join(", ")
}

/// Every command, by its name.
pub(crate) const COMMANDS: [&str; 10] = [
    "letGo",
    "rodeOut",
    "snubber",
    "weigh",
    "acknowledge",
    "silence",
    "berth",
    "pullTest",
    "position",
    "maxRadius",
];

/// The commands on the schema's own paths.
pub(crate) const STANDARD: [&str; 2] = ["position", "maxRadius"];

/// No boat that anchors carries a kilometre of rode or anchors in water that deep (common practice, no source): such a
/// number is in the wrong unit.
const TOO_LONG: f64 = 1000.0;

/// Seconds. Chosen: a longer stay would be a different plan.
const LONGEST_STAY: f64 = 2_592_000.0;

#[cfg(test)]
mod tests;
