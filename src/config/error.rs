//! Why a configuration was refused: key, value, place, and what to do.

use std::fmt;
use std::path::PathBuf;

/// Where a value was given.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// In a file.
    Line {
        /// The file.
        file: PathBuf,
        /// Counted from one; `None` if the line could not be determined.
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
        /// The file.
        file: PathBuf,
        /// The system's message.
        reason: String,
    },
    /// The file is not TOML.
    #[error("the configuration `{file}` is not TOML: {reason}", file = file.display())]
    Syntax {
        /// The file.
        file: PathBuf,
        /// Where and why; the text itself only if it holds no token.
        reason: String,
    },
    /// A variable that is not UTF-8.
    #[error("the variable `{name}` is not UTF-8 text; set it again, or take it out")]
    NotText {
        /// The variable.
        name: String,
    },
    /// No such section or key.
    #[error("`{name}` ({place}) is no {what}; {hint}")]
    Unknown {
        /// The name as written, `section.key`.
        name: String,
        /// Where it was given.
        place: Place,
        /// "section" or "key of `[boat]`".
        what: String,
        /// The nearest name, or all names.
        hint: String,
    },
    /// The value has the wrong sort, or is impossible.
    #[error("`{key}` = `{value}` ({place}): {reason}")]
    Unfit {
        /// The key as `section.key`.
        key: String,
        /// The value as written.
        value: String,
        /// Where it was given.
        place: Place,
        /// The reason, and what to write.
        reason: String,
    },
    /// An invalid channel to phones.
    #[error("`{name}` ({place}): {reason}")]
    Channel {
        /// `push.NAME`, or one of its keys.
        name: String,
        /// Where it was given.
        place: Place,
        /// The reason, and what to do.
        reason: String,
    },
    /// Two values that contradict each other.
    #[error(
        "`{first}` = `{first_value}` and `{second}` = `{second_value}` do not go together: {reason}"
    )]
    Conflict {
        /// One key.
        first: &'static str,
        /// The value of this key.
        first_value: String,
        /// The other key.
        second: &'static str,
        /// The value of the other key.
        second_value: String,
        /// The reason, and what to do.
        reason: &'static str,
    },
}
