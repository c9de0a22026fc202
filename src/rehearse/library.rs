//! The library of bad nights: one TOML file for each, and a crew's own.
//!
//! A file says what the night is ([`Script`]): water, wind, what happens when, and what the watch must report or must
//! not. Its format is `schemas/night.schema.json`; [`words`] reads it, [`player`] holds and judges it. Two nights are
//! written as acts instead ([`night`](super::night)), because they need refused orders, a chart or a screen along the
//! way.

pub mod judge;
pub mod player;
pub mod script;
mod words;

use std::path::Path;

use script::Script;

/// Why a night cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NightError {
    /// Something in it is wrong.
    #[error(
        "`{file}` line {line}: {why}; the line is `{text}`; `schemas/night.schema.json` has the form"
    )]
    Wrong {
        /// Name of the file.
        file: String,
        /// Line number, from one.
        line: usize,
        /// What is wrong, and what to write instead.
        why: String,
        /// The line, with key and value.
        text: String,
    },
    /// The file cannot be opened.
    #[error(
        "`{file}` cannot be read: {why}; name a night that `windrode rehearse --list` shows, or a file of your own"
    )]
    Unreadable {
        /// Name of the file.
        file: String,
        /// The system's reason.
        why: String,
    },
}

/// The names of the library and the text of each, in display order.
pub const NIGHTS: [(&str, &str); 16] = [
    ("quiet", include_str!("nights/quiet.toml")),
    ("front", include_str!("nights/front.toml")),
    ("reversal", include_str!("nights/reversal.toml")),
    ("squall", include_str!("nights/squall.toml")),
    ("mud", include_str!("nights/mud.toml")),
    ("weed", include_str!("nights/weed.toml")),
    ("trip", include_str!("nights/trip.toml")),
    ("neighbour", include_str!("nights/neighbour.toml")),
    ("lost", include_str!("nights/lost.toml")),
    ("frozen", include_str!("nights/frozen.toml")),
    ("jumps", include_str!("nights/jumps.toml")),
    ("instruments", include_str!("nights/instruments.toml")),
    ("server", include_str!("nights/server.toml")),
    ("phones", include_str!("nights/phones.toml")),
    ("springs", include_str!("nights/springs.toml")),
    ("unmarked", include_str!("nights/unmarked.toml")),
];

/// A night of the library by its name.
#[must_use]
pub fn named(name: &str) -> Option<Result<Script, NightError>> {
    let (name, text) = NIGHTS.iter().find(|(known, _)| *known == name)?;
    Some(words::read(name, &format!("{name}.toml"), text))
}

/// Reads a crew's own night.
pub fn of_file(file: &Path) -> Result<Script, NightError> {
    let text = std::fs::read_to_string(file).map_err(|error| NightError::Unreadable {
        file: file.display().to_string(),
        why: error.to_string(),
    })?;
    let name = file.file_stem().unwrap_or_default().to_string_lossy();
    words::read(&name, &file.display().to_string(), &text)
}

#[cfg(test)]
mod tests;
