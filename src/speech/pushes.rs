//! The messages to phones.

use std::time::Duration;

use super::Sentence;
use super::sentence::sentences;
use crate::time::Timestamp;

sentences! {
    /// Titles and sentences of the messages to phones. The two are read together: neither repeats the other.
    pub enum Push {
        AlertTitle { boat: String, priority: Sentence, hazard: Sentence },
        AcknowledgedTitle { boat: String, hazard: Sentence },
        GoneTitle { boat: String, hazard: Sentence },
        NotAcknowledged { alert: String, since: Timestamp },
        Stands { alert: String, since: Timestamp },
        ClearedTitle { boat: String, cleared: Sentence },
        Cleared { priority: Sentence },
        ClearedUnwatched { priority: Sentence },
        WeighedTitle { boat: String },
        Weighed { hazard: Sentence },
        MissedTitle { boat: String, count: u64, anchored: bool },
        Missed { hazards: Sentence, since: String, until: String },
        DarkTitle { boat: String },
        Dark { after: Duration },
        TestTitle { boat: String },
        Test { channel: String, clock: String },
    }
}
