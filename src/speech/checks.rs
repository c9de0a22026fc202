//! The findings of `windrode check`, and the rights that the server grants.

use std::time::Duration;

use super::Sentence;
use super::sentence::sentences;
use crate::units::Metres;

sentences! {
    /// A sensor or a figure of the boat that is looked for.
    #[derive(Copy, Eq, PartialOrd, Ord)]
    pub enum Looked {
        Position,
        Heading,
        Wind,
        Depth,
        Speed,
        Method,
        Revolutions,
        Ais,
        Length,
        Antenna,
        Roller,
        Transducer,
        Rode,
    }

    /// What its absence costs, or why that may be normal.
    #[derive(Copy)]
    pub enum Without {
        Position,
        Heading,
        Wind,
        Depth,
        Speed,
        Method,
        Revolutions,
        Ais,
        Assumed { length: Metres, key: &'static str },
        Antenna,
        Transducer,
    }

    /// The labels in the margin of the page.
    pub enum CheckMargin {
        Fails,
        Limits,
        Note,
        Works,
    }

    /// A line of the page, or the error that takes its place.
    pub enum Check {
        Ready,
        ReadyWithLimits { count: u64 },
        NotReady { count: u64 },
        Server { greeting: Sentence, address: String },
        OnNetwork { offer: String },
        Greeting { name: String, version: String, own: String },
        NoGreeting,
        MayWrite,
        MayNotWrite { why: Sentence },
        TokenUnread { why: String },
        NoUsableValue { what: Looked, cost: Without },
        LastValueOnly { what: Looked, listened: Duration, cost: Without },
        NotHeard { what: Looked, listened: Duration, cost: Without },
        Missing { what: Looked, listened: Duration, cost: Without },
        NotEntered { what: Looked, cost: Without },
        SeveralReceivers { sources: String },
        NoPhones,
        PhoneWorks { channel: String },
        // The reason is in the words of the channel's own software.
        PhoneFails { channel: String, why: Option<String> },
        PhoneUntried { channel: String },
        Daemon,
        NoDaemon,
        More,
        CannotWork,
        NoServer { url: String, why: Sentence },
        // A message to try a channel.
        Sent { channel: String },
        NotNow { channel: String, why: Option<String> },
        Refuses { channel: String, why: Option<String> },
    }

    /// The rights that the server grants; [`LinkFault`](super::faults::LinkFault) has those that do not suffice.
    pub enum Right {
        Open,
        Granted { level: String },
        Refused { words: String },
        NotKnown { why: String },
    }

    /// A token that ends soon, or has ended.
    #[derive(Eq)]
    pub enum TokenEnd {
        Ended { at: String },
        Ends { at: String },
    }
}
