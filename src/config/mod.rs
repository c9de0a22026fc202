//! The configuration: what the operator wrote, what holds where nothing was written, and where
//! each value comes from.
//!
//! A TOML file and the environment are laid over the defaults; the environment wins. Variables
//! are named `WINDRODE__SECTION__KEY` with double underscores; `WINDRODE_CONFIG` and other
//! single-underscore names belong to the command line and are not looked at here.
//!
//! There are no silent fallbacks: a file that was named and cannot be read, an unknown key, a
//! value that cannot be are errors that stop the start, with key, value, line or variable, and
//! what to write. Only when no file was named and none is at [`STANDARD_FILE`] do the defaults
//! hold alone, and [`Config::describe`] says so.
//!
//! Each fact is written once. A default is in the `Default` of the type that the field belongs to,
//! which is the engine's own; range, meaning and effect are in `keys`. Reading, describing and the
//! refusal of unknown keys walk that one list, and [`documents`] makes from it the JSON Schema, the
//! default file and the manual. From the bottom up: `error`, `address`, `lines`, `quote`, `sort`,
//! `key`, `settings`, `push`, `keys`, `contradictions`, then `load`, `amend`, `describe`,
//! `engines` and `documents`.

mod address;
pub mod amend;
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
