//! What the terminal shows: the status, and the live screen.

use std::time::Duration;

use super::alerts::Turned;
use super::sentence::sentences;
use super::{Ratio, Round, Sentence, Whole};
use crate::geodesy::Position;
use crate::units::{Bearing, Metres, Speed};

sentences! {
    /// The names of the rows; nine letters at most.
    pub enum Row {
        Anchor,
        Mooring,
        Reach,
        Circle,
        Snubber,
        Dragging,
        PullTest,
        Wind,
        Depth,
        Berth,
        Approach,
        Way,
        Vessel,
        Plan,
        Room,
        Fix,
        Server,
        Journal,
        Phone,
    }

    /// The contents of the rows. `ago`: the age of the figure, if it is not current.
    pub enum Status {
        // In capitals; the time it began, and how long ago that is.
        Headline { phase: String, since: Option<String>, ago: Duration },
        NoAlerts,
        Alert { priority: String, state: &'static str, since: String },
        AlertInShort { priority: String, state: &'static str, hazard: Sentence },
        WhenSeen { hazard: &'static str },
        AnchorBears { bearing: Bearing, distance: Metres, antenna: bool, ago: Option<Duration> },
        AnchorAt { position: Position, depth: Option<Metres> },
        Reach {
            reach: Metres,
            rode: Option<Metres>,
            scope: Option<Ratio>,
            let_go: bool,
            ago: Option<Duration>,
        },
        Snubber { at: Metres, length: Metres, drawn: Metres },
        Circle { circle: Metres, mooring: bool, radius: Option<Metres>, ago: Option<Duration> },
        // Without a figure it is more than 99 %.
        Drag { percent: Option<Round>, beyond: Option<Whole>, ago: Option<Duration> },
        PullTest { verdict: Sentence, why: String },
        Wind {
            from: Bearing,
            speed: Speed,
            gust: Option<Speed>,
            shift: Option<Turned>,
            ago: Option<Duration>,
        },
        Depth { depth: Metres, ago: Option<Duration> },
        Berth {
            bearing: Bearing,
            distance: Metres,
            time: Option<Duration>,
            ago: Option<Duration>,
        },
        BerthFromAnchor { bearing: Bearing, distance: Metres },
        Approach { course: Bearing, ago: Option<Duration>, off: Option<Metres>, port: bool },
        Way { carries: Metres, by: String },
        Fix { doubt: Whole, source: String },
        NoFix { ago: Option<Duration> },
        Chart { told: Sentence },
        NotHeard,
        // How an instrument fails, by its name.
        Failing { what: &'static str, time: Duration },
        Phone {
            channel: String,
            state: &'static str,
            worked: Option<Duration>,
            waiting: u64,
            trouble: bool,
        },
        Caution,
    }

    /// Further words of the live screen.
    pub enum Screen {
        Server { link: String },
        NoAnswer { since: String },
        IsItRunning,
        NotWatched,
        NoFigures,
        NoAnchor,
        NoBoat,
        NorthUp,
        More,
        Keys,
    }
}
