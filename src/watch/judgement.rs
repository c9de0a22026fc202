//! The result of judging a hazard, and the pieces that all judgements share. The sentences are in
//! [`speech`](crate::speech::alerts).

use serde_json::{Map, Value};

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::speech::Sentence;
use crate::units::Metres;

/// The result of judging a hazard this time.
#[derive(Clone, Debug, PartialEq)]
pub enum Judged {
    /// The condition is present.
    Stands(Finding<Sentence>),
    /// The condition is not present.
    Gone,
    /// It cannot be judged now: the last report remains.
    Unchanged,
    /// Another alert says the same and more.
    Covered,
}

/// Rounds to the centimetre: more digits would claim more than any receiver gives.
#[must_use]
pub fn centimetres(metres: Metres) -> f64 {
    (metres.get() * 100.0).round() / 100.0
}

/// The finding for a condition that is present. `evidence` is a JSON object, or null if there are no numbers.
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

/// The priority at anchor; only a caution while there is no anchor to watch.
#[must_use]
pub fn at_anchor(anchored: bool, priority: Priority) -> Priority {
    if anchored {
        priority
    } else {
        Priority::Caution
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_given_to_the_centimetre() {
        for (metres, wanted) in [
            (12.344, 12.34),
            (12.346, 12.35),
            (-3.456, -3.46),
            (0.0, 0.0),
        ] {
            assert_eq!(centimetres(Metres::of(metres)), wanted);
        }
    }
}
