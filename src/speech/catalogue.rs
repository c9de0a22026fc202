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

/// The message in this language; `None` if the catalogue lacks it or it cannot be formatted.
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

/// Everything that can be parsed; the tests check that nothing is left over.
fn parsed(language: Language) -> Catalogue {
    let locale = language.code().parse().unwrap_or_default();
    let mut catalogue = FluentBundle::new_concurrent(vec![locale]);
    // Isolation marks around each figure would confuse speech software, and every language here is
    // written from left to right.
    catalogue.set_use_isolating(false);
    let resource = FluentResource::try_new(source(language).to_owned());
    let resource = resource.unwrap_or_else(|(parsed, _)| parsed);
    catalogue.add_resource_overriding(resource);
    catalogue
}
