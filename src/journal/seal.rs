//! A sum over the saved state. The database sees a page that does not fit, not a bit that flipped in a number; a
//! mark that lies a mile off because of one would be watched as if nothing had happened.
//!
//! The sum is CRC-32 (RFC 1952 section 8), the last member of the state's JSON: an earlier windrode takes no notice of it
//! and writes none, and a state without one is read as it stands. Weakness: a flip in the sum's own name is taken
//! for that; the state beside it is whole then.

use flate2::Crc;

/// The JSON object with its sum.
pub(super) fn sealed(state: &str) -> String {
    match state.strip_suffix('}') {
        Some(body) => format!("{body}{NAME}{:08x}\"}}", sum(body)),
        None => state.to_owned(),
    }
}

/// The object without its sum; `None` when the sum is another's.
pub(super) fn opened(text: &str) -> Option<String> {
    let Some((body, rest)) = text.rsplit_once(NAME) else {
        return Some(text.to_owned());
    };
    let whole = rest == format!("{:08x}\"}}", sum(body));
    whole.then(|| format!("{body}}}"))
}

fn sum(body: &str) -> u32 {
    let mut crc = Crc::new();
    crc.update(body.as_bytes());
    crc.sum()
}

const NAME: &str = ",\"sum\":\"";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_sealed_is_opened_and_a_flipped_bit_is_seen() {
        let state = "{\"phase\":\"set\",\"latitude\":59.8539}";
        let text = sealed(state);
        assert_eq!(opened(&text).as_deref(), Some(state));
        for place in 0..text.len() {
            for bit in 0..8 {
                let mut bytes = text.clone().into_bytes();
                bytes[place] ^= 1 << bit;
                let Ok(flipped) = String::from_utf8(bytes) else {
                    continue;
                };
                // Either it is refused, or the state in it is what it was.
                let read = opened(&flipped);
                assert!(
                    read.is_none_or(|read| read.starts_with(state.trim_end_matches('}'))),
                    "{flipped}"
                );
            }
        }
        assert_eq!(opened(state).as_deref(), Some(state), "of before the sum");
    }

    /// The check value that catalogues of CRC-32 give.
    #[test]
    fn the_sum_is_the_standard_s() {
        assert_eq!(sum("123456789"), 0xcbf4_3926);
    }
}
