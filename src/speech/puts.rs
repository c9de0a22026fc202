//! Why an order is refused before the watch sees it: its form is wrong. Commands, members and values are named as they
//! are typed, in every language.

use super::sentence::sentences;

sentences! {
    /// What is wrong with the form of an order.
    pub enum PutTold {
        // For another vessel.
        Context { context: String },
        Entries { count: u64 },
        Unknown { path: String, known: String },
        // Our own value, but a calculated one.
        ReadOnly { path: String, known: String },
        Value { command: &'static str, value: String, form: PutForm },
        Member { command: &'static str, key: String, known: String },
        Kind { value: String, known: String },
        Hazard { command: &'static str, value: String, known: String },
        IdTooLong,
        TooMany,
    }

    /// What a command takes.
    #[derive(Copy, Eq)]
    pub enum PutForm {
        True,
        BeginOrEnd,
        YesOrNo,
        LetGo,
        Metres,
        MetresOrNull,
        Place,
        BerthOrNull,
        Snubber,
        Scope,
        Wind,
        Stay,
    }

    /// What the command line prints for a refused order.
    pub enum Refused {
        Because { why: String },
        NoReason,
    }
}
