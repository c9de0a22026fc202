//! The Signal K protocol as an ordinary WebSocket client speaks it, without a socket.
//!
//! [`wire`] reads frames; [`paths`] is the one table of what is read and how it becomes a fact;
//! [`reader`] turns deltas into reports and [`gather`] joins what the server split; [`publish`]
//! writes values and their metadata, [`notices`] the notifications, [`resources`] what a chart
//! draws; [`put`] turns commands of other clients into commands of the watch; [`session`] is the
//! state machine that owns one connection after another; [`access`] asks the server for a token;
//! [`discovery`] chooses among servers that were found on the network;
//! [`hub`] is the other side, a small server for rehearsals and for the tests of the session.
//!
//! The facts about the server stand in the modules that depend on them; they were observed on
//! signalk-server 2.32.0 with schema 1.8.2.

pub mod access;
pub mod discovery;
mod echo;
mod figures;
pub mod gather;
pub mod hub;
pub mod notices;
pub mod paths;
pub mod publish;
pub mod put;
pub mod reader;
pub mod resources;
pub mod session;
mod shapes;
pub mod wire;

use std::fmt;
use std::str::FromStr;

/// The `$source` under which windrode publishes: at most 64 letters, digits, `-`, `_` and `.`, as
/// in the schema's pattern.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceLabel(String);

/// A text that is not a source label.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is no source label; write 1 to 64 letters, digits, `-`, `_` or `.`, such as `windrode`"
)]
pub struct BadSourceLabel(pub String);

impl SourceLabel {
    /// The text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Default for SourceLabel {
    fn default() -> Self {
        Self("windrode".to_owned())
    }
}

impl fmt::Display for SourceLabel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl FromStr for SourceLabel {
    type Err = BadSourceLabel;
    fn from_str(text: &str) -> Result<Self, BadSourceLabel> {
        let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        if (1..=64).contains(&text.len()) && text.chars().all(allowed) {
            Ok(Self(text.to_owned()))
        } else {
            Err(BadSourceLabel(shortened(text, 80)))
        }
    }
}

/// At most `limit` characters of a peer's text, for a line that people read. Control characters
/// become spaces, so that no peer can add a line of its own to the log.
pub(crate) fn shortened(text: &str, limit: usize) -> String {
    let mut short: String = text
        .chars()
        .take(limit)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().nth(limit).is_some() {
        short.push('…');
    }
    short
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// The pattern is `^[A-Za-z0-9-_.]*$` in the schema's definitions.
    #[test]
    fn a_source_label_keeps_to_the_schema_s_pattern() {
        assert_eq!(
            "tern-2.watch_1".parse::<SourceLabel>().unwrap().as_str(),
            "tern-2.watch_1"
        );
        assert_eq!(
            "wind rode".parse::<SourceLabel>().unwrap_err().to_string(),
            "`wind rode` is no source label; write 1 to 64 letters, digits, `-`, `_` or `.`, such as `windrode`"
        );
        assert!("".parse::<SourceLabel>().is_err());
        assert!("x".repeat(65).parse::<SourceLabel>().is_err());
        assert_eq!(
            SourceLabel::default().to_string().parse::<SourceLabel>(),
            Ok(SourceLabel::default())
        );
    }

    #[test]
    fn a_peer_s_text_is_cut_and_stays_on_one_line() {
        assert_eq!(shortened("short", 5), "short");
        assert_eq!(shortened("a\nb\u{1b}[31m", 40), "a b [31m");
        assert_eq!(shortened("ööööö", 3), "ööö…");
    }
}
