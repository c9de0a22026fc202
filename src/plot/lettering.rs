//! A fixed-width font, so that every text can be measured without a font library: by the font's own table,
//! a letter is [`ADVANCE`] of the size wide.

use crate::speech::pieces;

/// The embedded font: see `font/subset` and `font/LICENSE`.
pub(super) const FONT: &[u8] = include_bytes!("font/windrode-mono.ttf");
pub(super) const FAMILY: &str = "Windrode Mono";

/// Width of each letter as a fraction of the size: 1233 of 2048 units.
pub(super) const ADVANCE: f64 = 1233.0 / 2048.0;

/// Does the font have this letter? The ranges are those of `font/subset`.
pub(super) const fn covered(letter: char) -> bool {
    matches!(letter,
        ' '..='~' | '\u{a0}'..='\u{ac}' | '\u{ae}'..='\u{17f}' | '–' | '—' | '‘' | '’' | '“' | '”'
        | '…' | '′' | '″' | '−' | '≤' | '≥')
}

/// The text as it can be shown: on one line, with only letters that the font has.
pub(super) fn clean(text: &str) -> String {
    let shown: String = text
        .chars()
        .take(LONGEST)
        .map(|letter| match letter {
            letter if covered(letter) => letter,
            letter if letter.is_whitespace() => ' ',
            _ => '?',
        })
        .collect();
    shown.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// How wide the text is at this size.
pub(super) fn width(text: &str, size: f64) -> f64 {
    text.chars().count() as f64 * ADVANCE * size
}

/// How many letters fit into a width.
pub(super) fn room_for(width: f64, size: f64) -> usize {
    // Far below 2^52; a negative width has room for nothing.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "whole letters, bounded by the picture"
    )]
    let letters = (width / (ADVANCE * size)).max(0.0).floor() as usize;
    letters
}

/// The text, cut with an ellipsis if it is longer than `letters`.
pub(super) fn cut(text: &str, letters: usize) -> String {
    if text.chars().count() <= letters {
        return text.to_owned();
    }
    let kept: String = text.chars().take(letters.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// The largest size, at most `size`, at which the text is no wider than `width`.
pub(super) fn size_to_fit(text: &str, size: f64, width_of_room: f64) -> f64 {
    let wide = width(text, size);
    if wide <= width_of_room {
        size
    } else {
        size * width_of_room / wide
    }
}

/// The text broken at spaces into at most `lines` lines of `letters` letters; the last line is cut if more
/// would follow. A word longer than a line is broken.
pub(super) fn wrap(text: &str, letters: usize, lines: usize) -> Vec<String> {
    let letters = letters.max(2);
    let mut all: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in pieces(text).iter().filter(|word| !word.is_empty()) {
        let mut word: Vec<char> = word.chars().collect();
        let used = line.chars().count();
        let needed = used + usize::from(used > 0) + word.len();
        if used > 0 && needed > letters {
            all.push(std::mem::take(&mut line));
        }
        while word.len() > letters {
            let rest = word.split_off(letters);
            all.push(word.into_iter().collect());
            word = rest;
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.extend(word);
    }
    if !line.is_empty() {
        all.push(line);
    }
    if all.len() > lines {
        all.truncate(lines);
        if let Some(last) = all.last_mut() {
            *last = cut(&format!("{last} …"), letters);
            if !last.ends_with('…') {
                last.push('…');
            }
        }
    }
    all
}

/// Text beyond this length is ignored.
const LONGEST: usize = 600;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_cleaned_to_letters_the_font_has() {
        assert_eq!(clean("wind\t045°\n “Sää” 錨\u{202e}"), "wind 045° “Sää” ??");
        assert_eq!(clean(&"x".repeat(5000)).len(), LONGEST);
    }

    #[test]
    fn a_text_is_wrapped_at_spaces_and_cut_where_room_ends() {
        assert_eq!(
            wrap("the anchor has moved 14 m", 10, 5),
            ["the anchor", "has moved", "14 m"]
        );
        assert_eq!(
            wrap("the anchor has moved 14 m", 10, 2),
            ["the anchor", "has moved…"]
        );
        assert_eq!(wrap("abcdefghijkl", 5, 3), ["abcde", "fghij", "kl"]);
        for line in wrap(&"longwordlongword ".repeat(9), 7, 3) {
            assert!(line.chars().count() <= 7, "{line}");
        }
    }

    #[test]
    fn a_size_is_found_at_which_the_text_fits() {
        assert_eq!(size_to_fit("SET", 56.0, 600.0), 56.0);
        let size = size_to_fit("SWING EXCEEDED BY FAR", 56.0, 300.0);
        assert!((width("SWING EXCEEDED BY FAR", size) - 300.0).abs() < 1e-9);
    }
}
