//! The available languages.

use serde::{Deserialize, Serialize};

/// A language for the crew.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Language {
    /// English, the reference language.
    #[default]
    #[serde(rename = "en")]
    English,
    /// German.
    #[serde(rename = "de")]
    German,
    /// French.
    #[serde(rename = "fr")]
    French,
    /// Spanish.
    #[serde(rename = "es")]
    Spanish,
}

impl Language {
    /// Every language, the reference language first.
    pub const ALL: [Self; 4] = [Self::English, Self::German, Self::French, Self::Spanish];

    /// Its code (ISO 639-1).
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
            Self::French => "fr",
            Self::Spanish => "es",
        }
    }

    /// A number with the language's decimal sign: a comma in all but English.
    #[must_use]
    pub(super) fn figures(self, written: String) -> String {
        match self {
            Self::English => written,
            Self::German | Self::French | Self::Spanish => written.replace('.', ","),
        }
    }
}
