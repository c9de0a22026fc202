//! A crew reads every message in its own language.

use super::lengths::night;
use crate::speech::{Language, Wording};

/// Words that nearly every English sentence has, and none of the other languages.
const ENGLISH: &str = "the she and from with is are has been of not";

#[test]
fn no_message_is_in_english_for_a_crew_of_another_language() {
    let english = |said: &str| {
        let mut words = said.split(|c: char| !c.is_alphabetic());
        words.any(|word| ENGLISH.split(' ').any(|known| known == word))
    };
    let of = |language| night(Wording::in_language(language));
    let told = of(Language::English);
    let found = told.iter().filter(|said| english(said)).count();
    assert!(found * 2 > told.len(), "{found} of {}", told.len());
    for language in [Language::German, Language::French, Language::Spanish] {
        let theirs = of(language);
        assert_eq!(theirs.len(), told.len(), "{language:?}");
        let wrong: Vec<&String> = theirs.iter().filter(|said| english(said)).collect();
        assert!(wrong.is_empty(), "{language:?}: {wrong:#?}");
        // A decimal point is English too; positions and the names of keys and receivers keep theirs.
        let point = |word: &str| {
            let number = word.trim_end_matches([',', ';', ')']);
            number.contains('.') && number.parse::<f64>().is_ok()
        };
        let wrong = theirs.iter().find(|said| said.split(' ').any(point));
        assert_eq!(wrong, None, "{language:?}");
    }
}
