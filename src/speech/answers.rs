//! The answers to the crew's orders. Commands and their members are named as they are typed, in every
//! language.

use std::time::Duration;

use super::faults::JournalFault;
use super::sentence::sentences;
use super::{Depth, Far, Ratio, Sentence};
use crate::geodesy::Position;
use crate::units::{Bearing, Metres};
use crate::watch::anchorage::kind::MooringKind;

sentences! {
    /// An order was carried out.
    pub enum Answer {
        LetGo {
            position: Position,
            berth: Option<Metres>,
            rode: Rode,
            depth: Option<Metres>,
            circle: Option<Metres>,
            remarks: Sentence,
        },
        MadeFast {
            kind: MooringKind,
            position: Position,
            depth: Option<Metres>,
            circle: Option<Metres>,
            remarks: Sentence,
            not_judged: Sentence,
        },
        SecondLetGo {
            position: Position,
            apart: Metres,
            rode: Rode,
            remarks: Sentence,
            not_judged: Sentence,
        },
        // `aboard`: the length carried, if that is less.
        Veered { rode: Metres, aboard: Option<Metres>, scope: Option<Ratio> },
        // The snubber stays where it was hooked on.
        StillOn { said: Sentence, at: Metres, drawn: Metres },
        SnubberOff { rode: Option<Metres> },
        // `short`: too little rode is out for the snubber.
        SnubberOn {
            at: Metres,
            length: Metres,
            drawn: Metres,
            scope: Option<Ratio>,
            short: bool,
        },
        Weighed { lay: Duration },
        NoBerth,
        Berth { position: Position },
        BerthFromHere { position: Position, bearing: Bearing, distance: Far },
        MarkAlready { position: Position },
        MarkCorrected { by: Metres, position: Position },
        Circle { radius: Metres, outside: Option<Metres> },
        CircleAsGiven,
        CircleFromRode,
        HazardAcknowledged { hazard: &'static str },
        Acknowledged { count: u64 },
        HazardSilenced { hazard: &'static str },
        Silenced { count: u64 },
        PullBegun,
        PullRuns,
        NotOnDisk { said: String, why: JournalFault },
        PhonesDoubtful { said: Sentence, channels: String },
    }

    /// How much rode there should be.
    pub enum Rode {
        NotEntered { longest: Metres },
        ToVeer { rode: Metres, aboard: Option<Metres> },
    }

    /// Additions to the report of letting go: each is appended as it is.
    pub enum Besides {
        Estimated { lain: Duration, doubt: Metres, radius: Metres },
        LainAt { lain: Duration, position: Position },
        Lain { lain: Duration },
        BowNotKnown { heading: bool, doubt: Metres },
        // She has moved on since the fix. The command `mark` corrects only the first mark.
        OldFix { age: Duration, doubt: Metres, second: bool },
    }

    /// Why an order was refused.
    pub enum Refusal {
        // The anchor cannot be marked without knowing where it is.
        NoFix { why: Sentence },
        NotAtAnchor,
        RodeTooShort { name: &'static str, rode: Metres, depth: Depth, roller: Depth },
        // A length that no boat has.
        Impossible { name: &'static str, value: Depth, least: Depth, most: Metres },
        // Neither rode nor circle to calculate with.
        NoRadius { kind: MooringKind },
        // A member that has no meaning for this kind.
        Misplaced { member: &'static str, kind: MooringKind },
        NoFirst,
        // The track does not show where the anchor lies: she has not been there long enough, or has not swung.
        NotLain { after: Duration },
        NotSwung { lain: Duration },
        NoPull { kind: MooringKind },
        NoHook,
        NoSnubberLength,
        HookBeyond { at: Metres, rode: Metres },
        NoTest,
        // A mark exists, and the order does not say to replace it.
        Marked { moored: bool, since: String, away: Option<Metres> },
        MarkedSecond { apart: Metres },
        // The position is not near here.
        TooFar { name: &'static str, distance: Far, from_mark: bool, limit: Far },
        NoAlert,
        AcknowledgedAlready,
        Emergency,
    }
}
