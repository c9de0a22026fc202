//! Every sentence that a crew can read or hear, by language.
//!
//! A sentence is a variant of one of the enums here ([`alerts`], [`answers`], …). Its fields are the
//! values in the sentence, with their types, so a caller cannot leave one out or confuse two. Its text is
//! in the catalogues `en.ftl`, `de.ftl`, `fr.ftl` and `es.ftl` (Project Fluent, syntax 1.0) under the id
//! `Enum-Variant`. [`Wording`] writes lengths, times and figures in the crew's unit and language; Fluent
//! chooses words by number and kind. The judging code returns [`Sentence`]s and has neither unit nor
//! language; they are put into words where they leave the watch.
//!
//! English is the reference language. A message that a catalogue lacks appears in English, and one that English lacks
//! appears as its id and figures, so that nothing is ever silent; the tests check that no message is missing. Errors of
//! the configuration and the command line, the log, the help and the manuals are in English only. Technical causes are a
//! small set of their own ([`faults`]).
//!
//! [`aloud`] turns a sentence into one that a text-to-speech program reads as a person would.
//!
//! **Tests**: `every_message_exists_in_each_language_with_the_same_variables`,
//! `every_alert_in_every_language`.

pub mod alerts;
mod aloud;
pub mod answers;
pub mod approach;
pub mod berths;
mod catalogue;
pub mod charts;
pub mod checks;
pub mod drills;
pub mod faults;
mod language;
mod names;
pub mod notes;
pub mod picture;
pub mod plans;
pub mod pushes;
pub mod puts;
pub mod remarks;
mod sentence;
pub mod setup;
pub mod status;
pub mod tides;
mod wording;

pub use self::aloud::aloud;
pub use self::language::Language;
pub use self::sentence::{
    Day, Depth, Down, Exact, Far, Figure, Hundredths, Miles, Ratio, Round, Scope, Sentence, Slow,
    Tabled, Up, Whole,
};
pub use self::wording::{Wording, pieces};

#[cfg(test)]
pub(crate) mod tests;
