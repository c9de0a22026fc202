//! Numbers and positions as Signal K values, with no more decimals than the data supports.

use serde_json::{Value, json};

use crate::geodesy::Position;

/// A position as a Signal K value.
pub(super) fn position(position: Position) -> Value {
    json!({
        "latitude": rounded(position.latitude(), 1e7),
        "longitude": rounded(position.longitude(), 1e7),
    })
}

/// Rounded to the nearest `1 / parts`.
pub(super) fn rounded(value: f64, parts: f64) -> f64 {
    let rounded = (value * parts).round() / parts;
    // A value large enough to overflow has no decimals to round.
    if rounded.is_finite() { rounded } else { value }
}
