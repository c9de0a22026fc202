//! What a judgement says of its hazard, and the pieces all of them use. The sentences stand in
//! [`speech`](crate::speech::alerts).

use serde_json::{Map, Value};

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::speech::Sentence;
use crate::units::Metres;

/// What the judgement says of a hazard this time.
#[derive(Clone, Debug, PartialEq)]
pub enum Judged {
    /// The condition stands.
    Stands(Finding<Sentence>),
    /// It does not.
    Gone,
    /// It cannot be judged now: what was told stands.
    Unchanged,
    /// Another alert tells the same and more.
    Covered,
}

/// To the centimetre: more digits would claim what no receiver gives.
#[must_use]
pub fn centimetres(metres: Metres) -> f64 {
    (metres.get() * 100.0).round() / 100.0
}

/// A condition that stands. `evidence` is a JSON object, or null where there are no numbers.
#[must_use]
pub fn finding(
    priority: Priority,
    severity: f64,
    sentence: impl Into<Sentence>,
    evidence: Value,
) -> Finding<Sentence> {
    Finding {
        priority,
        severity,
        causes: Vec::new(),
        message: sentence.into(),
        evidence: match evidence {
            Value::Object(map) => map,
            _ => Map::new(),
        },
    }
}

/// The same, which is less grave while there is no anchor to watch.
#[must_use]
pub fn at_anchor(anchored: bool, priority: Priority) -> Priority {
    if anchored {
        priority
    } else {
        Priority::Caution
    }
}
