//! Reads one of our notifications as it comes back from the server, to find out what was done to
//! it.
//!
//! The server rewrites what we publish (it adds `id` and `status`, and takes "sound" out of
//! `method` when somebody has silenced or acknowledged it) and sends it to us with our own `$source`.
//! Our own `data` member comes back unchanged and identifies our publication.

use serde_json::Value;

use super::wire::Wire;
use crate::time::Timestamp;

/// The content of an echo.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Echo {
    /// The severity of the state, from 0 for normal to 4 for emergency.
    pub(super) rank: u8,
    /// Whether it carries sound.
    pub(super) sounds: bool,
    /// Whether somebody silenced it.
    pub(super) silenced: bool,
    /// Whether somebody acknowledged it.
    pub(super) acknowledged: bool,
    /// The raise of the alert it belongs to; absent when another client wrote the value again.
    pub(super) raise: Option<u64>,
    /// Since when the alert has stood; absent in the same case.
    pub(super) since: Option<Timestamp>,
    /// Which of our publications it repeats; absent in the same case.
    pub(super) issue: Option<u64>,
}

/// Reads the value of a notification. A value that is not an object counts as normal, as it does
/// for the server.
pub(super) fn read(value: &Wire<'_>) -> Echo {
    let empty = serde_json::Map::new();
    let parts = match value {
        Wire::Other(Value::Object(parts)) => parts,
        Wire::Null
        | Wire::Bool(_)
        | Wire::Number(_)
        | Wire::Text(_)
        | Wire::Position { .. }
        | Wire::Other(_) => &empty,
    };
    let flag = |name: &str| {
        parts
            .get("status")
            .and_then(|status| status.get(name))
            .and_then(Value::as_bool)
            .unwrap_or(false)
    };
    let data = |name: &str| {
        parts
            .get("data")
            .and_then(|data| data.get(name))
            .and_then(Value::as_u64)
    };
    Echo {
        rank: rank(
            parts
                .get("state")
                .and_then(Value::as_str)
                .unwrap_or("normal"),
        ),
        sounds: parts
            .get("method")
            .and_then(Value::as_array)
            .is_some_and(|methods| methods.iter().any(|method| method == "sound")),
        silenced: flag("silenced"),
        acknowledged: flag("acknowledged"),
        raise: data("raise"),
        since: parts
            .get("createdAt")
            .and_then(Value::as_str)
            .and_then(|since| since.parse().ok()),
        issue: data("issue"),
    }
}

/// The schema's alarm states in order of severity; an unknown word counts as normal.
pub(super) fn rank(state: &str) -> u8 {
    match state {
        "emergency" => 4,
        "alarm" => 3,
        "warn" => 2,
        "alert" => 1,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The value as signalk-server 2.32.0 sends it after an acknowledgement, with our `data`.
    #[test]
    fn an_acknowledged_notification_is_read() {
        let text = r#"{"state":"alarm","method":[],"message":"..","id":"0d31","createdAt":"2026-11-25T06:50:14.020Z","data":{"raise":7,"issue":9},"status":{"silenced":true,"acknowledged":true,"canSilence":true,"canAcknowledge":true,"canClear":false,"acknowledgedAt":"2026-11-25T06:50:15.059Z"}}"#;
        assert_eq!(
            read(&serde_json::from_str(text).unwrap()),
            Echo {
                rank: 3,
                sounds: false,
                silenced: true,
                acknowledged: true,
                raise: Some(7),
                since: "2026-11-25T06:50:14.020Z".parse().ok(),
                issue: Some(9),
            }
        );
    }

    #[test]
    fn nonsense_is_normal() {
        for text in [
            "null",
            "7",
            "[]",
            r#""alarm""#,
            "{}",
            r#"{"state":"loud","status":3,"data":[]}"#,
        ] {
            let echo = read(&serde_json::from_str(text).unwrap());
            assert_eq!(
                (echo.rank, echo.acknowledged, echo.raise),
                (0, false, None),
                "{text}"
            );
        }
        let mut ranks = ["nominal", "alert", "warn", "alarm", "emergency"].map(rank);
        assert!(ranks.is_sorted());
        ranks.sort_unstable();
        assert_eq!(ranks, [0, 1, 2, 3, 4]);
    }
}
