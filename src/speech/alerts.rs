//! What the alerts say: first the hazard, then the number, then what to do.

use std::time::Duration;

use super::faults::{LinkFault, LostWatch};
use super::sentence::sentences;
use super::{Day, Depth, Ratio, Round, Sentence, Whole};
use crate::geodesy::Position;
use crate::observation::FixMethod;
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Metres, Speed, Volts};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::messages::By;

sentences! {
    /// What an alert says. `unseen` and `sounded`: when the figures were measured, if that was earlier.
    pub enum Alert {
        Dragging {
            kind: MooringKind,
            moved: Metres,
            bearing: Bearing,
            distance: Metres,
            // If the figures do not agree with it, the reach is left out.
            reach: Option<Metres>,
            antenna: bool,
            unseen: Option<Timestamp>,
            under_way: bool,
        },
        MayDrag { kind: MooringKind, percent: Round, bearing: Bearing, distance: Metres },
        // `danger`: the effect of the first.
        Neighbours { first: Sentence, also: Sentence, more: u64, unseen: Option<Timestamp>, danger: &'static str },
        OutsideCircle { radius: Metres, limit: Metres, unseen: Option<Timestamp>, under_way: bool },
        OutsideLastCircle { radius: Metres, limit: Metres, unseen: Option<Timestamp>, under_way: bool },
        WindShift { set: Turned, from: Option<Bearing> },
        WindShiftAgain { seen: Turned, set: Turned, from: Option<Bearing> },
        StrongWind { mean: Speed, gust: Option<Speed> },
        StrongGusts { gust: Speed, mean: Speed },
        NoWater { short: Depth, sounded: Option<Timestamp> },
        Shoaling { depth: Depth, least: Depth, sounded: Option<Timestamp> },
        ShoalingAtLowWater { depth: Depth, least: Depth },
        // Where she could swing, by the chart. `share`: part of her circle; without reasons the margin is just too
        // small.
        ShoalingCharted { share: Option<Sentence>, reasons: Option<String>, chart: Option<String> },
        ScopeShort { scope: Ratio, when: When, wanted: Round },
        NoPosition { since: Timestamp, why: Sentence, anchored: bool },
        PositionInDoubt { since: Timestamp, why: Sentence },
        // `held`: for so long at most, drag is judged without the jump.
        PositionJumped { by: Metres, held: Duration },
        PositionJumps { count: u64, within: Duration },
        ServerLost { since: Timestamp, why: LinkFault },
        ServerSilent { since: Timestamp },
        DisplaysBlind { why: LinkFault },
        InstrumentLost { what: Sentence, costs: Sentence },
    }

    /// Another vessel. `least`: the closest distance, if the two may not touch; `heard`: the age of her
    /// report, if it is old.
    pub enum Vessel {
        Leaves {
            name: String,
            off: Whole,
            bearing: Bearing,
            after: Option<Duration>,
            closing: Speed,
            least: Option<Whole>,
            heard: Option<Duration>,
        },
        Passes {
            name: String,
            off: Whole,
            bearing: Bearing,
            after: Duration,
            closing: Speed,
            least: Option<Whole>,
            heard: Option<Duration>,
        },
        LiesCloser { name: String, off: Whole, bearing: Bearing, heard: Option<Duration> },
        Also { name: String, off: Whole, bearing: Bearing },
        // A row of the status. `rooms`: whether the room is known; without it there is no figure.
        Row {
            bearing: Bearing,
            distance: Metres,
            doing: &'static str,
            speed: Option<Speed>,
            heard: Duration,
            circle: Option<Whole>,
            assumed: bool,
            rooms: bool,
            together: Option<Whole>,
            worst: Option<Whole>,
        },
    }

    /// How the wind has turned.
    pub enum Turned {
        Veered { turn: Angle },
        Backed { turn: Angle },
    }

    /// When the scope is too small.
    pub enum When {
        Now,
        AtHighWater,
        InThisWind,
        InTheLastWind,
    }

    /// Why there is no fix, to complete "no usable position: …".
    pub enum NoFix {
        NoData,
        NoServer { why: LinkFault },
        Old { age: Duration },
        Empty,
        NullIsland,
        Method { method: FixMethod },
        Unsaid,
        Unsafe,
        Frozen,
        Jump { by: Metres },
        Disagrees { by: Metres },
        Wanders { by: Metres },
    }

    /// How an instrument fails.
    pub enum Loss {
        Flickers { instrument: Sentence, time: Duration },
        NotHeard { instrument: Sentence, time: Duration },
        Silent { instrument: Sentence, time: Duration },
        NoBottom { instrument: Sentence, time: Duration },
        NoValue { instrument: Sentence, time: Duration },
        Impossible { instrument: Sentence, time: Duration },
        Frozen { instrument: Sentence },
    }

    /// What the alert about the watch says.
    pub enum Health {
        Changed { changes: Sentence },
        Impaired { causes: Sentence },
        Stopped,
        MayBeLost { why: LostWatch },
        NoPhone { channels: String },
        BatteryLow { volts: Volts, least: Volts },
        ClockSet { back: bool, by: Duration, ago: Duration },
        // Over: it has expired already.
        TokenEnds { over: bool, day: Day },
        FoundServer { name: String, url: String },
        Unmarked { lain: Duration, depth: Metres, from_track: Option<Metres> },
        WeighedAndHere { gone: Duration },
        WeighedAndDrifted { gone: Duration, moved: Metres },
    }

    /// Who changed the watch, and by which way.
    pub enum Changed {
        Ended { by: By, mark: Position },
        SecondMarked { by: By, moved: Metres },
        Marked { by: By, moved: Metres, mark: Position },
        MarkMoved { by: By, moved: Metres, mark: Position },
        CircleWidened { by: By, old: Metres, new: Metres },
        RodeSet { by: By, rode: Metres },
        Snubber { by: By },
    }
}

impl Turned {
    /// Positive is veering.
    #[must_use]
    pub fn by(by: Angle) -> Self {
        let turn = by.abs();
        if by.get() >= 0.0 {
            Self::Veered { turn }
        } else {
            Self::Backed { turn }
        }
    }
}
