//! What phones are told.

use std::time::Duration;

use super::Sentence;
use super::sentence::sentences;
use crate::time::Timestamp;

sentences! {
    /// Titles and sentences of the messages to phones.
    pub enum Push {
        AlertTitle { boat: String, priority: Sentence, hazard: Sentence },
        NotAcknowledged { alert: String, since: Timestamp },
        Stands { alert: String, since: Timestamp },
        Acknowledged { alert: String, since: Timestamp },
        GoneNotAcknowledged { alert: String, since: Timestamp },
        ClearedTitle { boat: String, cleared: Sentence },
        Cleared { hazard: Sentence },
        ClearedUnwatched { hazard: Sentence },
        WeighedTitle { boat: String },
        Weighed { hazard: Sentence },
        MissedTitle { boat: String, count: u64, anchored: bool },
        Missed { count: u64, anchored: bool, hazards: Sentence, since: String, until: String },
        DarkTitle { boat: String },
        Dark { after: Duration },
        TestTitle { boat: String },
        Test { channel: String, clock: String },
    }
}
