//! The catalogues, each parsed once.

use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource};

use super::Language;

type Catalogue = FluentBundle<FluentResource>;

/// The text of a language's catalogue.
#[must_use]
pub(super) const fn source(language: Language) -> &'static str {
    match language {
        Language::English => include_str!("en.ftl"),
        Language::German => include_str!("de.ftl"),
        Language::French => include_str!("fr.ftl"),
        Language::Spanish => include_str!("es.ftl"),
    }
}

/// The message in this language; `None` where the catalogue has none or it cannot be put together.
pub(super) fn format(language: Language, id: &str, args: &FluentArgs) -> Option<String> {
    let catalogue = catalogue(language);
    let pattern = catalogue.get_message(id)?.value()?;
    let mut errors = Vec::new();
    let said = catalogue.format_pattern(pattern, Some(args), &mut errors);
    errors.is_empty().then(|| said.into_owned())
}

fn catalogue(language: Language) -> &'static Catalogue {
    static ENGLISH: LazyLock<Catalogue> = LazyLock::new(|| parsed(Language::English));
    static GERMAN: LazyLock<Catalogue> = LazyLock::new(|| parsed(Language::German));
    static FRENCH: LazyLock<Catalogue> = LazyLock::new(|| parsed(Language::French));
    static SPANISH: LazyLock<Catalogue> = LazyLock::new(|| parsed(Language::Spanish));
    match language {
        Language::English => &ENGLISH,
        Language::German => &GERMAN,
        Language::French => &FRENCH,
        Language::Spanish => &SPANISH,
    }
}

/// What can be parsed of it; that this is all is for the tests.
fn parsed(language: Language) -> Catalogue {
    let locale = language.code().parse().unwrap_or_default();
    let mut catalogue = FluentBundle::new_concurrent(vec![locale]);
    // Marks about each figure confuse who reads a sentence aloud, and every language here is written
    // from left to right.
    catalogue.set_use_isolating(false);
    let resource = FluentResource::try_new(source(language).to_owned());
    let resource = resource.unwrap_or_else(|(parsed, _)| parsed);
    catalogue.add_resource_overriding(resource);
    catalogue
}
