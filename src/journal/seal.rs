//! A checksum over the saved state. The database notices a page that does not fit, but not a flipped bit in
//! a number. With such a flip, a mark a mile off would be watched as if nothing had happened.
//!
//! The checksum is CRC-32 (RFC 1952 section 8), the last member of the state's JSON. An earlier windrode
//! ignores it and writes none; a state without one is accepted unchecked. Weakness: a bit flip in the
//! checksum's own name looks like a state without one, but then the state itself is intact.

use flate2::Crc;

/// The JSON object with its checksum.
pub(super) fn sealed(state: &str) -> String {
    match state.strip_suffix('}') {
        Some(body) => format!("{body}{NAME}{:08x}\"}}", sum(body)),
        None => state.to_owned(),
    }
}

/// The object without its checksum; `None` when the checksum does not match.
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
    fn a_sealed_state_is_opened_and_a_flipped_bit_is_detected() {
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
                // Either it is refused, or its state is unchanged.
                let read = opened(&flipped);
                assert!(
                    read.is_none_or(|read| read.starts_with(state.trim_end_matches('}'))),
                    "{flipped}"
                );
            }
        }
        assert_eq!(opened(state).as_deref(), Some(state), "of before the sum");
    }

    /// The check value that catalogues of CRC-32 list.
    #[test]
    fn the_sum_is_the_standard_s() {
        assert_eq!(sum("123456789"), 0xcbf4_3926);
    }
}
