//! Answers that come back from a phone: written by us, signed, valid once.
//!
//! An answer is a line of five words, `acknowledge skipper dragging-1780349400000 17 SIGNATURE`:
//! the act, the channel, the message's id, the alert's raise number, and HMAC-SHA256 (RFC 2104,
//! FIPS 198-1) over the four with a key that is made once for the life of the journal and never
//! leaves the boat. So we can tell a forged line from one of ours that comes too late, or twice,
//! without keeping a list of the lines we sent.
//!
//! Weakness: anyone who can read the message can answer it. That is its purpose; the topic's access
//! rights decide who can read it. Tests: `reply::tests`, and with a real push server in
//! `tests/peers`.

use std::fmt;

use data_encoding::{HEXLOWER, HEXLOWER_PERMISSIVE};
use ring::hmac;
use serde::{Deserialize, Serialize};

/// What a person can do from a distance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Act {
    /// Acknowledge: the person deals with it.
    Acknowledge,
    /// Silence: no sound for a short time.
    Silence,
}

impl Act {
    /// The word in an answer.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Acknowledge => "acknowledge",
            Self::Silence => "silence",
        }
    }
}

impl fmt::Display for Act {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Why an answer has no effect.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum ReplyFault {
    /// It does not have our form.
    #[error("it answers no message from windrode")]
    Malformed,
    /// It has our form, but we did not sign it.
    #[error("it is forged: its signature is not ours")]
    Forged,
    /// It is ours, but the alert is over, or has grown graver since.
    #[error("it comes late: the alert is over or was raised again since")]
    Late,
    /// It is ours, and was used before.
    #[error("it was used before")]
    Used,
    /// It is ours and in time, but the alert no longer needs an answer.
    #[error("the alert is acknowledged already")]
    Answered,
}

impl ReplyFault {
    /// Each reason.
    pub const ALL: [Self; 5] = [
        Self::Malformed,
        Self::Forged,
        Self::Late,
        Self::Used,
        Self::Answered,
    ];
}

/// An answer that we wrote and signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Genuine {
    /// The requested act.
    pub act: Act,
    /// The channel it was sent to.
    pub channel: String,
    /// The id of the message.
    pub id: String,
    /// The alert's raise number when the message was written.
    pub raise: u64,
}

/// Writes and reads answers.
#[derive(Clone, Debug)]
pub struct Mint(hmac::Key);

impl Mint {
    /// With this boat's key.
    #[must_use]
    pub fn new(key: &[u8; 32]) -> Self {
        Self(hmac::Key::new(hmac::HMAC_SHA256, key))
    }

    /// The line that triggers `act` once.
    #[must_use]
    pub fn write(&self, act: Act, channel: &str, id: &str, raise: u64) -> String {
        let words = format!("{act} {channel} {id} {raise}");
        let signature = HEXLOWER.encode(hmac::sign(&self.0, words.as_bytes()).as_ref());
        format!("{words} {signature}")
    }

    /// The content of a line, if we wrote it. Surrounding blanks are ignored.
    pub fn read(&self, line: &str) -> Result<Genuine, ReplyFault> {
        let line = line.trim();
        if line.len() > LONGEST {
            return Err(ReplyFault::Malformed);
        }
        let (words, signature) = line.rsplit_once(' ').ok_or(ReplyFault::Malformed)?;
        let mut parts = words.split(' ');
        let (Some(act), Some(channel), Some(id), Some(raise), None) = (
            parts.next(),
            parts.next(),
            parts.next(),
            parts.next(),
            parts.next(),
        ) else {
            return Err(ReplyFault::Malformed);
        };
        let act = [Act::Acknowledge, Act::Silence]
            .into_iter()
            .find(|known| known.name() == act)
            .ok_or(ReplyFault::Malformed)?;
        let raise = raise.parse().map_err(|_| ReplyFault::Malformed)?;
        let signature = HEXLOWER_PERMISSIVE.decode(signature.as_bytes());
        let signature = signature.ok().filter(|bytes| bytes.len() == 32);
        let signature = signature.ok_or(ReplyFault::Malformed)?;
        hmac::verify(&self.0, words.as_bytes(), &signature).map_err(|_| ReplyFault::Forged)?;
        Ok(Genuine {
            act,
            channel: channel.to_owned(),
            id: id.to_owned(),
            raise,
        })
    }
}

/// Twice the length of ours.
const LONGEST: usize = 400;

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 4231, test case 2: the key "Jefe".
    #[test]
    fn the_signature_is_the_standard_s() {
        let key = hmac::Key::new(hmac::HMAC_SHA256, b"Jefe");
        let tag = hmac::sign(&key, b"what do ya want for nothing?");
        assert_eq!(
            HEXLOWER.encode(tag.as_ref()),
            "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843"
        );
    }

    #[test]
    fn what_was_written_is_read_and_any_altered_letter_is_told() {
        let mint = Mint::new(&[7; 32]);
        let line = mint.write(Act::Acknowledge, "skipper", "dragging-1780349400000", 17);
        let read = mint.read(&format!(" {line}\n")).unwrap();
        assert_eq!((read.act, read.raise), (Act::Acknowledge, 17));
        assert_eq!(read.channel, "skipper");
        assert_eq!(read.id, "dragging-1780349400000");
        for (at, letter) in line.char_indices() {
            let other = if letter == '1' { "2" } else { "1" };
            let mut altered = line.clone();
            altered.replace_range(at..at + letter.len_utf8(), other);
            let fault = mint.read(&altered).unwrap_err();
            assert!(
                matches!(fault, ReplyFault::Forged | ReplyFault::Malformed),
                "{altered}"
            );
        }
        let another_boat = Mint::new(&[8; 32]);
        assert_eq!(another_boat.read(&line), Err(ReplyFault::Forged));
    }

    #[test]
    fn malformed_answers_are_distinguished_from_forged_ones() {
        let mint = Mint::new(&[7; 32]);
        let unsigned = "0".repeat(64);
        for line in [
            "",
            "acknowledge",
            "acknowledge skipper dragging-1 17",
            "weigh skipper dragging-1 17 00",
            &format!("weigh skipper dragging-1 17 {unsigned}"),
            &format!("acknowledge skipper dragging-1 -1 {unsigned}"),
            &format!("acknowledge skipper dragging-1 17 more {unsigned}"),
            &format!("acknowledge skipper dragging-1 17 {}é", &unsigned[2..]),
            &"a ".repeat(1000),
        ] {
            assert_eq!(mint.read(line), Err(ReplyFault::Malformed), "{line}");
        }
        let line = format!("acknowledge skipper dragging-1 17 {unsigned}");
        assert_eq!(mint.read(&line), Err(ReplyFault::Forged));
    }
}
