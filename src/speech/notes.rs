//! What happened and is worth knowing: the watch's own log.

use std::time::Duration;

use super::sentence::sentences;
use super::{Depth, Round, Sentence};
use crate::units::{Bearing, Metres};

sentences! {
    /// A line of the log.
    pub enum Note {
        Phase { phase: Sentence, how: Sentence },
        Moves,
        Holds { quiet: Duration },
        HoldsElsewhere { moved: Metres, bearing: Bearing, doubt: Metres },
        WithinReach,
        // The clock shows UTC here.
        GoesOn { phase: Sentence, since: String, blind: Duration },
        GoesOnClockBack { phase: Sentence },
        GoesOnUnknown { phase: Sentence },
        OtherReceiver { source: String, before: String, apart: Metres },
        ShownAgain { hazard: &'static str },
        Silenced { alert: String },
        GoneNotAcknowledged { alert: String },
    }

    /// The result of a pull test.
    pub enum PullTest {
        Held { why: String },
        Yielding { why: String },
        CannotTell { why: String },
    }

    /// What was seen during the pull. `rpm`: the load, if known.
    pub enum Pull {
        NoLoad { needed: Round },
        TooShort { held: u64, needed: u64 },
        NotSteady { changes: u64, needed: u64 },
        NoPosition,
        Moved { figures: Sentence, rpm: Option<Round> },
        MovedNone { figures: Sentence, rpm: Option<Round> },
        TowardsAnchor { figures: Sentence },
        StillMoves { figures: Sentence },
        Uncertain { figures: Sentence },
        Figures { moved: Depth, doubt: Depth, ahead: bool, seconds: Round },
    }
}
