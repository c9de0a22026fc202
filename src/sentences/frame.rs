//! The common form of every sentence (IEC 61162-1, NMEA 0183): `$`, talker and formatter, fields between
//! commas, `*` and a checksum, carriage return and line feed; at most 82 characters including all of them.

use std::fmt::Write;

/// Most characters in a sentence, from `$` to the line feed.
pub const LONGEST: usize = 82;
/// Talker: integrated instrumentation.
pub const TALKER: &str = "II";

/// A sentence of ours: `fields` begin with the formatter. The caller ensures that it is no longer than
/// [`LONGEST`] (see [`room`]).
#[must_use]
pub fn sentence(fields: &str) -> String {
    let body = format!("{TALKER}{fields}");
    let sum = checksum(&body);
    format!("${body}*{sum:02X}\r\n")
}

/// How many more characters fit into a sentence with these fields.
#[must_use]
pub fn room(fields: &str) -> usize {
    let frame = 1 + TALKER.len() + 1 + 2 + 2;
    LONGEST.saturating_sub(frame + fields.len())
}

/// The exclusive or of all characters between `$` and `*`.
#[must_use]
pub fn checksum(body: &str) -> u8 {
    body.bytes().fold(0, |sum, byte| sum ^ byte)
}

/// Why a line is not a sentence.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadSentence {
    /// It does not begin like a sentence.
    #[error("it does not begin with `$`")]
    NoStart,
    /// Longer than allowed.
    #[error("it has more than {LONGEST} characters")]
    TooLong,
    /// It contains a character that is not allowed.
    #[error("it has a character that is not printable ASCII")]
    Character,
    /// It does not end with `*` and two hexadecimal digits.
    #[error("it has no checksum")]
    NoChecksum,
    /// The checksum is wrong.
    #[error("its checksum is `{said:02X}` and should be `{right:02X}`")]
    Checksum {
        /// The checksum in the line.
        said: u8,
        /// The calculated checksum.
        right: u8,
    },
}

/// Splits a sentence: the address field first, then the others. The line end is optional; the checksum is
/// required.
pub fn fields(line: &str) -> Result<Vec<&str>, BadSentence> {
    let line = line.trim_end_matches(['\r', '\n']);
    if line.len() > LONGEST - 2 {
        return Err(BadSentence::TooLong);
    }
    let body = line.strip_prefix('$').ok_or(BadSentence::NoStart)?;
    if !body.bytes().all(|byte| (0x20..0x7f).contains(&byte)) {
        return Err(BadSentence::Character);
    }
    let (body, sum) = body.rsplit_once('*').ok_or(BadSentence::NoChecksum)?;
    let said = Some(sum)
        .filter(|sum| sum.len() == 2 && sum.bytes().all(|digit| digit.is_ascii_hexdigit()))
        .and_then(|sum| u8::from_str_radix(sum, 16).ok())
        .ok_or(BadSentence::NoChecksum)?;
    let right = checksum(body);
    if said != right {
        return Err(BadSentence::Checksum { said, right });
    }
    Ok(body.split(',').collect())
}

/// Makes a text fit for a field: printable ASCII, with the characters that frame a sentence as `^` and two
/// hexadecimal digits. The degree sign is spelt out; a comma becomes a semicolon (a display that does not
/// decode would show an escape in each sentence); other characters that ASCII lacks become a question mark.
#[must_use]
pub fn field_text(text: &str) -> String {
    let mut field = String::new();
    for letter in text.chars() {
        match letter {
            '°' => field.push_str(" deg"),
            ',' => field.push(';'),
            '–' | '—' | '−' => field.push('-'),
            '’' | '‘' => field.push('\''),
            '“' | '”' => field.push('"'),
            '!' | '$' | '*' | '\\' | '^' | '~' => {
                // Writing to a string cannot fail.
                let written = write!(field, "^{:02X}", u32::from(letter));
                debug_assert!(written.is_ok());
            }
            letter if letter.is_whitespace() => field.push(' '),
            ' '..='~' => field.push(letter),
            _ => field.push('?'),
        }
    }
    field
}

/// A field cut to at most `most` characters, at a space if that costs no more than half of it, and never
/// inside an escape.
#[must_use]
pub fn cut(field: &str, most: usize) -> &str {
    if field.len() <= most {
        return field;
    }
    // Fields are ASCII; other text is cut before the character that crosses the limit.
    let mut end = (0..=most)
        .rev()
        .find(|end| field.is_char_boundary(*end))
        .unwrap_or(0);
    let head = field.get(..end).unwrap_or_default();
    if let Some(escape) = head.rfind('^')
        && escape + 3 > end
    {
        end = escape;
    }
    let head = field.get(..end).unwrap_or_default();
    match head.rfind([' ', ';']) {
        Some(space) if space * 2 >= end => head
            .get(..space)
            .unwrap_or_default()
            .trim_end_matches([' ', ';']),
        _ => head.trim_end(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of a published page on NMEA 0183 (a receiver's position, checksum 47).
    #[test]
    fn the_checksum_is_that_of_published_examples() {
        let line = "$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47";
        let fields = fields(line).unwrap();
        assert_eq!((fields[0], fields.len()), ("GPGGA", 15));
    }

    #[test]
    fn invalid_sentences_are_refused_with_their_fault() {
        let why = |line: &str| fields(line).unwrap_err();
        assert_eq!(why("II"), BadSentence::NoStart);
        assert_eq!(why("$IIHBT,30,A,1"), BadSentence::NoChecksum);
        assert_eq!(why("$IIHBT,30,A,1*+F"), BadSentence::NoChecksum);
        assert_eq!(why("$IIHBT,3\u{7}0,A,1*0F"), BadSentence::Character);
        assert_eq!(
            why(&format!("${}*00", "A".repeat(90))),
            BadSentence::TooLong
        );
        assert!(matches!(
            why("$IIHBT,30,A,1*00"),
            BadSentence::Checksum { said: 0, .. }
        ));
    }

    #[test]
    fn what_is_written_is_read_back() {
        let line = sentence("HBT,30,A,1");
        assert!(line.ends_with("\r\n"));
        assert_eq!(fields(&line).unwrap(), ["IIHBT", "30", "A", "1"]);
    }

    #[test]
    fn room_is_what_is_left_of_82() {
        let fields = "ALF,2,2,0,,,,,,10001,1,1,0,";
        let full = format!("{fields}{}", "x".repeat(room(fields)));
        assert_eq!(sentence(&full).len(), LONGEST);
    }

    #[test]
    fn a_text_is_made_fit_for_a_field() {
        assert_eq!(
            field_text("bears 045° at 53 m, look *out*! Sää"),
            "bears 045 deg at 53 m; look ^2Aout^2A^21 S??"
        );
        assert_eq!(field_text("^~\\$\n\u{7f}"), "^5E^7E^5C^24 ?");
    }

    #[test]
    fn a_text_is_cut_at_a_space_and_never_in_an_escape() {
        assert_eq!(cut("the anchor has moved", 30), "the anchor has moved");
        assert_eq!(cut("the anchor has moved", 17), "the anchor has");
        assert_eq!(cut("the anchor; moved", 14), "the anchor");
        for most in 3..6 {
            assert_eq!(cut("abc^2A^2A", most), "abc");
        }
        assert_eq!(cut("abc^2A^2A", 6), "abc^2A");
        assert_eq!(cut("äää", 3), "ä");
    }
}
