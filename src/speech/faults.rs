//! Technical causes that a crew sees in an alert, an answer or the status: a small set, in its language. What the
//! system said of it stands in the log.
//!
//! They go through the journal, where an earlier version kept words: [`LinkFault::Told`] and its like.

use serde::{Deserialize, Deserializer, Serialize};

use super::Sentence;
use super::sentence::sentences;

sentences! {
    /// Why the data server is not there, or does not take what we say.
    #[derive(Eq, Serialize, Deserialize)]
    #[serde(rename_all = "camelCase")]
    pub enum LinkFault {
        NotConnectedYet,
        NotAnswering,
        NoConnection,
        ServerClosed,
        Status { status: u64 },
        NoHello,
        NoPong,
        Silent,
        Reconnecting,
        TokenRefused,
        TokenUnreadable,
        CertificateChanged,
        TokenExpired,
        AccessDenied,
        ReadOnly,
        Unknown,
        NothingComesBack { label: String },
        AlarmsNotShown { path: String, count: u64 },
        Told { words: String },
    }

    /// What is wrong with the journal.
    #[derive(Eq, Serialize, Deserialize)]
    #[serde(rename_all = "camelCase")]
    pub enum JournalFault {
        DiskFull,
        ReadOnly,
        Damaged,
        DiskSlow,
        Unusable,
        InUse,
        Newer,
        NotWritten,
        Told { words: String },
    }

    /// Why a watch may have been lost.
    #[derive(Eq, Serialize, Deserialize)]
    #[serde(rename_all = "camelCase")]
    pub enum LostWatch {
        JournalGone,
        StateGone,
        Unreadable,
        Told { words: String },
    }

    /// How things stand with the data server, for the status.
    pub enum Link {
        Up,
        NotConnectedYet,
        Down { why: Sentence },
        Impaired { why: Sentence },
    }
}

/// As it is written today, or in words as before.
#[derive(Deserialize)]
#[serde(untagged)]
enum Kept<T> {
    Fault(T),
    Words(String),
}

macro_rules! kept {
    ($($name:ident, $from:ident;)*) => {
        $(
            impl From<&str> for $name {
                fn from(words: &str) -> Self {
                    Self::Told { words: words.to_owned() }
                }
            }

            impl $name {
                /// Reads what the journal has, in words too.
                pub fn $from<'de, D: Deserializer<'de>>(kept: D) -> Result<Self, D::Error> {
                    Kept::<Self>::deserialize(kept).map(|kept| match kept {
                        Kept::Fault(fault) => fault,
                        Kept::Words(words) => Self::Told { words },
                    })
                }
            }
        )*
    };
}

kept! {
    LinkFault, kept;
    JournalFault, kept;
    LostWatch, kept;
}
