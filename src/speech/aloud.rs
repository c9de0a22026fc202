//! A sentence as it is read aloud: units in full, a bearing digit by digit ("zero four five degrees", as
//! in the Standard Marine Communication Phrases, IMO A.918(22)), a scope as "five to one". The words are
//! in the catalogues.

use super::{Language, Sentence, Wording, sentence::sentences};

/// The sentence as it is read aloud in its language. See the module documentation.
#[must_use]
pub fn aloud(sentence: &str, language: Language) -> String {
    let say = Wording::in_language(language);
    let mut words: Vec<String> = Vec::new();
    for token in sentence.split_whitespace() {
        let stop = token.trim_end_matches([',', ';', '.', ':', ')']);
        let end = &token[stop.len()..];
        let open = stop.len() - stop.trim_start_matches('(').len();
        let (lead, core) = stop.split_at(open);
        let after_number = words
            .last()
            .is_some_and(|word| word.starts_with(|c: char| c.is_ascii_digit()));
        let one = words.last().is_some_and(|word| word == "1");
        let said = spoken_token(core, after_number.then_some(one), &say);
        let said = said.unwrap_or_else(|| core.to_owned());
        words.push(format!("{lead}{said}{end}"));
    }
    words.join(" ")
}

/// `one`: the number before it, if any, is 1.
fn spoken_token(token: &str, one: Option<bool>, say: &Wording) -> Option<String> {
    if let Some(figures) = token.strip_suffix('°') {
        let bearing = figures.len() == 3 && figures.bytes().all(|b| b.is_ascii_digit());
        let degrees = if bearing {
            figure_by_figure(figures, say)
        } else {
            figures.to_owned()
        };
        return Some(Aloud::Degrees { degrees }.words(say));
    }
    if let Some(scope) = token.strip_suffix(":1") {
        let scope = scope.to_owned();
        return Some(Aloud::Scope { scope }.words(say));
    }
    let count = if one? { 1 } else { 2 };
    let unit = match token {
        "m" => Aloud::Metres { count },
        "ft" => Aloud::Feet { count },
        "kn" | "nd" => Aloud::Knots { count },
        "s" => Aloud::Seconds { count },
        "min" => Aloud::Minutes { count },
        "h" => Aloud::Hours { count },
        "d" | "j" => Aloud::Days { count },
        "%" => Aloud::PerCent,
        "V" => Aloud::Volts { count },
        _ => return None,
    };
    Some(unit.words(say))
}

fn figure_by_figure(figures: &str, say: &Wording) -> String {
    let names = Sentence::from(Aloud::Figures).words(say);
    let names: Vec<&str> = names.split(' ').collect();
    figures
        .bytes()
        .filter_map(|byte| names.get(usize::from(byte.wrapping_sub(b'0'))))
        .copied()
        .collect::<Vec<_>>()
        .join(" ")
}

sentences! {
    /// Units and digits in full.
    pub(super) enum Aloud {
        Figures,
        Degrees { degrees: String },
        Scope { scope: String },
        Metres { count: u64 },
        Feet { count: u64 },
        Knots { count: u64 },
        Seconds { count: u64 },
        Minutes { count: u64 },
        Hours { count: u64 },
        Days { count: u64 },
        PerCent,
        Volts { count: u64 },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn sentences_read_aloud_as_a_person_would_say_them() {
        for (written, said) in [
            (
                "dragging: the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m; look outside, start the engine",
                "dragging: the anchor has moved 14 metres or more; the mark bears zero four five degrees at 53 metres, the rode reaches 39 metres; look outside, start the engine",
            ),
            (
                "wind shift: backed 75° since the anchor was set, now from 150°",
                "wind shift: backed 75 degrees since the anchor was set, now from one five zero degrees",
            ),
            (
                "scope too short: 4.4:1 now, want 5:1",
                "scope too short: 4.4 to one now, want 5 to one",
            ),
            (
                "no usable position for 1 min 30 s: no data from the GPS",
                "no usable position for 1 minute 30 seconds: no data from the GPS",
            ),
            ("wind 28 kn (gusts 35 kn)", "wind 28 knots (gusts 35 knots)"),
            // Every unit, singular and plural.
            (
                "1 m 2 m 1 ft 12 ft 1 kn 2 kn 1 s 2 s 1 min 2 min 1 h 2 h 1 d 2 d",
                "1 metre 2 metres 1 foot 12 feet 1 knot 2 knots 1 second 2 seconds 1 minute 2 minutes 1 hour 2 hours 1 day 2 days",
            ),
            (
                "1 % 40 % 1 V 11.8 V",
                "1 per cent 40 per cent 1 volt 11.8 volts",
            ),
            ("bears 0a5°", "bears 0a5 degrees"),
            // A letter is a unit only after a number.
            ("she lies at m", "she lies at m"),
        ] {
            assert_eq!(aloud(written, Language::English), said);
        }
    }

    #[test]
    fn every_language_has_its_words_for_units_and_bearings() {
        for (language, written, said) in [
            (
                Language::German,
                "Marke peilt 045° in 53 m, Scope 4,4:1, 1 kn",
                "Marke peilt null vier fünf Grad in 53 Meter, Scope 4,4 zu eins, 1 Knoten",
            ),
            (
                Language::French,
                "la marque relève au 045° à 53 m, 12 nd, 2 j",
                "la marque relève au zéro quatre cinq degrés à 53 mètres, 12 nœuds, 2 jours",
            ),
            (
                Language::Spanish,
                "la marca demora 190° a 1 m, 3 min",
                "la marca demora uno nueve cero grados a 1 metro, 3 minutos",
            ),
        ] {
            assert_eq!(aloud(written, language), said);
        }
    }

    proptest! {
        #[test]
        fn any_text_can_be_read(text in "\\PC{0,200}") {
            let said = aloud(&text, Language::French);
            prop_assert!(said.split_whitespace().count() >= text.split_whitespace().count());
        }
    }
}
