//! Remarks on what is not judged or only assumed, as the status and the displays show them.

use std::time::Duration;

use super::charts::RoomToSwing;
use super::sentence::sentences;
use super::{Depth, Ratio, Sentence};
use crate::geodesy::Position;
use crate::time::Timestamp;
use crate::units::Metres;
use crate::watch::anchorage::kind::MooringKind;

sentences! {
    /// A line of the remarks.
    pub enum Remark {
        // Any tackle but one anchor.
        NotJudged { kind: MooringKind },
        NotSettled { settle: Duration, moved: Metres, farther: bool },
        SecondAnchor { position: Position, reach: Metres },
        RodeAssumed { rode: Metres },
        Counter { rode: Metres },
        CounterIgnored { rode: Metres },
        Tide { tide: Sentence },
        TideAndSoundings { tide: Sentence, surge: Depth, less: bool },
        NoTide,
        NoDraught,
        NoDepth,
        NoWindAtSet,
        NoHeading,
        NoAntenna,
        NoTransducer,
        FixInDoubt { doubts: Sentence },
        Seldom { every: Duration },
        Chart { room: RoomToSwing },
    }

    /// The source that reports the tide.
    pub enum TideBy {
        Server { words: String },
        Prediction { words: String },
        Typed,
    }

    /// What is shown about the tide.
    pub enum TideWords {
        High { height: Depth, time: Option<Timestamp> },
        Low { height: Depth, time: Option<Timestamp> },
        NoHigh,
        NoLow,
        Server { high: Sentence, low: Sentence },
        Station {
            station: String,
            until: Timestamp,
            highest: Depth,
            highest_at: Timestamp,
            lowest: Depth,
            lowest_at: Timestamp,
        },
    }

    /// Why a fix is in doubt.
    pub enum Doubt {
        Satellites { count: u64 },
        Geometry { dilution: Ratio },
        Caution,
        Scatter { by: Depth },
        Apart { by: Metres },
    }
}
