//! Why a configuration was refused: key, value, place, and what to do.

use std::fmt;
use std::path::PathBuf;

/// Where a value was given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// In a file.
    Line {
        /// Which.
        file: PathBuf,
        /// Counted from one; `None` when the line could not be told.
        line: Option<usize>,
    },
    /// In an environment variable of this name.
    Variable(String),
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line {
                file,
                line: Some(line),
            } => write!(f, "line {line} of `{}`", file.display()),
            Self::Line { file, line: None } => write!(f, "in `{}`", file.display()),
            Self::Variable(name) => write!(f, "variable `{name}`"),
        }
    }
}

/// A configuration that cannot be used. Nothing starts with it.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub enum ConfigError {
    /// The file cannot be read.
    #[error("the configuration `{file}` cannot be read: {reason}", file = file.display())]
    Unreadable {
        /// Which.
        file: PathBuf,
        /// What the system says.
        reason: String,
    },
    /// The file is not TOML.
    #[error("the configuration `{file}` is not TOML: {reason}", file = file.display())]
    Syntax {
        /// Which.
        file: PathBuf,
        /// Where and why; the text itself only when it holds no token.
        reason: String,
    },
    /// A variable that is not UTF-8.
    #[error("the variable `{name}` is not UTF-8 text; set it again, or take it out")]
    NotText {
        /// Which.
        name: String,
    },
    /// No such section or key.
    #[error("`{name}` ({place}) is no {what}; {hint}")]
    Unknown {
        /// As written, `section.key`.
        name: String,
        /// Where.
        place: Place,
        /// "section" or "key of `[boat]`".
        what: String,
        /// The nearest name, or all of them.
        hint: String,
    },
    /// The value is not of the key's sort, or cannot be.
    #[error("`{key}` = `{value}` ({place}): {reason}")]
    Unfit {
        /// As `section.key`.
        key: String,
        /// As written.
        value: String,
        /// Where.
        place: Place,
        /// Why, and what to write.
        reason: String,
    },
    /// A channel to phones that cannot be.
    #[error("`{name}` ({place}): {reason}")]
    Channel {
        /// `push.NAME`, or one of its keys.
        name: String,
        /// Where.
        place: Place,
        /// Why, and what to do.
        reason: String,
    },
    /// Two values that cannot both hold.
    #[error(
        "`{first}` = `{first_value}` and `{second}` = `{second_value}` do not go together: {reason}"
    )]
    Conflict {
        /// One key.
        first: &'static str,
        /// What it holds.
        first_value: String,
        /// The other key.
        second: &'static str,
        /// What it holds.
        second_value: String,
        /// Why, and what to do.
        reason: &'static str,
    },
}
