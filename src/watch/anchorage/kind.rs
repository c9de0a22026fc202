//! What a boat lies to: one anchor, two, a mooring, lines to the shore.
//!
//! | kind | mark | may lie | judged | not judged |
//! |---|---|---|---|---|
//! | `anchor` | the anchor | within its reach | everything | – |
//! | `secondAnchor` | both anchors | where both reaches overlap | as for one, by whichever is exceeded | which of the two gives way first inside the overlap |
//! | `mooring` | the buoy | in the given circle | leaving it; the mooring moved beyond it | scope, the mooring's own tackle |
//! | `shoreLine`, `sternTo` | her own centre | in the given circle | leaving it | dragging inside the circle, scope |
//!
//! A boat on lines to the shore does not swing: her anchor can drag towards the quay by a metre or two, which no
//! satellite fix resolves. The answer to the order and the screen say so.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// What she lies to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum MooringKind {
    /// One anchor.
    #[default]
    Anchor,
    /// A second anchor besides the marked one.
    SecondAnchor,
    /// A mooring buoy.
    Mooring,
    /// Lines to the shore.
    ShoreLine,
    /// An anchor ahead, the stern made fast.
    SternTo,
}

impl MooringKind {
    /// Every kind, the most common first.
    pub const ALL: [Self; 5] = [
        Self::Anchor,
        Self::SecondAnchor,
        Self::Mooring,
        Self::ShoreLine,
        Self::SternTo,
    ];

    /// The name used in commands and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Anchor => "anchor",
            Self::SecondAnchor => "secondAnchor",
            Self::Mooring => "mooring",
            Self::ShoreLine => "shoreLine",
            Self::SternTo => "sternTo",
        }
    }

    /// Does rode lead to the mark, so that there is a reach to calculate?
    #[must_use]
    pub const fn has_rode(self) -> bool {
        matches!(self, Self::Anchor | Self::SecondAnchor)
    }

    /// Can the mark move while she swings about it, so that a drag can be detected?
    #[must_use]
    pub const fn can_drag(self) -> bool {
        !matches!(self, Self::ShoreLine | Self::SternTo)
    }
}

impl fmt::Display for MooringKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A word that is not the name of a kind.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("unknown kind of mooring `{0}`; write one of {known}", known = known_kinds())]
pub struct UnknownKind(pub String);

/// The kinds, for messages.
#[must_use]
pub fn known_kinds() -> String {
    MooringKind::ALL.map(|kind| format!("`{kind}`")).join(", ")
}

impl FromStr for MooringKind {
    type Err = UnknownKind;
    fn from_str(text: &str) -> Result<Self, UnknownKind> {
        Self::ALL
            .into_iter()
            .find(|kind| kind.name() == text)
            .ok_or_else(|| UnknownKind(text.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_read_back_and_unknown_ones_list_the_known() {
        for kind in MooringKind::ALL {
            assert_eq!(kind.name().parse::<MooringKind>().unwrap(), kind);
            assert_eq!(serde_json::to_string(&kind).unwrap(), format!("\"{kind}\""));
        }
        assert_eq!(
            "bouy".parse::<MooringKind>().unwrap_err().to_string(),
            "unknown kind of mooring `bouy`; write one of `anchor`, `secondAnchor`, `mooring`, `shoreLine`, `sternTo`"
        );
    }
}
