//! Technical causes that a crew sees in an alert, an answer or the status: a small set, in its language. The
//! system's own error message is in the log.
//!
//! They go into the journal, where an earlier version stored free text: [`LinkFault::Told`] and its like.

use serde::{Deserialize, Deserializer, Serialize};

use super::Sentence;
use super::sentence::sentences;

sentences! {
    /// Why the data server is missing or rejects what we send.
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
        TrustUnreadable,
        TokenExpired,
        GivenTokenExpired,
        ServerNotFound,
        ServersUnknown,
        OtherServers,
        ServerNotSecure,
        ServerReticent { url: String },
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

    /// The state of the data server, for the status.
    pub enum Link {
        Up,
        NotConnectedYet,
        Down { why: Sentence },
        Impaired { why: Sentence },
    }
}

/// In today's form, or as free text from before.
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
                /// Reads what the journal has, free text included.
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
