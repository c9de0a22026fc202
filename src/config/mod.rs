//! The configuration: what the operator wrote, the defaults for the rest, and the origin of each value.
//!
//! A TOML file and the environment are laid over the defaults; the environment wins. Variables are named
//! `WINDRODE__SECTION__KEY` with double underscores; `WINDRODE_CONFIG` and other single-underscore names
//! belong to the command line and are ignored here.
//!
//! There are no silent fallbacks. A named file that cannot be read, an unknown key or an impossible value
//! is an error that stops the start; the error gives key, value, line or variable, and what to write. Only
//! when no file was named and none exists at [`STANDARD_FILE`] do the defaults apply alone, and
//! [`Config::describe`] reports that.
//!
//! Each fact is written once. A default is in the `Default` of the type that the field belongs to, which is
//! the engine's own; range, meaning and effect are in `keys`. Parsing, describing and refusing unknown keys
//! walk that one list, and [`documents`] makes the JSON Schema, the default file and the manual from it.
//! From the bottom up: `error`, `address`, `lines`, `quote`, `sort`, `key`, `settings`, `push`, `keys`,
//! `contradictions`, then `load`, `amend`, `describe`, `engines` and `documents`.

mod address;
pub mod amend;
pub mod bounds;
mod contradictions;
mod describe;
pub mod documents;
mod engines;
mod error;
mod key;
mod keys;
mod lines;
mod load;
mod push;
mod quote;
mod settings;
mod sort;

pub use address::ServerAddress;
pub use error::{ConfigError, Place};
pub use load::Surroundings;
pub use settings::{Config, Control, Displays, Journal, STANDARD_FILE, Server};

#[cfg(test)]
mod tests;
