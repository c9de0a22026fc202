//! The phases of anchoring. The transitions between them are described in [`anchorage`](super).

use std::fmt;

use serde::{Deserialize, Serialize};

/// A phase of anchoring.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum AnchorPhase {
    /// Clear of the bottom: there is nothing to watch.
    #[default]
    Aweigh,
    /// Let go and being dug in.
    Setting,
    /// Taken to hold.
    Set,
    /// Moving over the bottom.
    Dragging,
}

impl AnchorPhase {
    /// Every phase, in order.
    pub const ALL: [Self; 4] = [Self::Aweigh, Self::Setting, Self::Set, Self::Dragging];

    /// The name used in paths and JSON.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Aweigh => "aweigh",
            Self::Setting => "setting",
            Self::Set => "set",
            Self::Dragging => "dragging",
        }
    }

    /// Is the anchor down?
    #[must_use]
    pub const fn is_anchored(self) -> bool {
        !matches!(self, Self::Aweigh)
    }
}

impl fmt::Display for AnchorPhase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
