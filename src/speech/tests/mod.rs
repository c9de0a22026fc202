pub(crate) mod examples;

use std::collections::{BTreeMap, BTreeSet};

use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use fluent_syntax::ast::{
    CallArguments, Entry, Expression, InlineExpression, Pattern, PatternElement,
};

use super::*;
use crate::units::Metres;

type Variables = BTreeSet<String>;

/// Every message that the code can produce, by id, with its variables.
fn said() -> BTreeMap<String, Variables> {
    let enums = [
        aloud::Aloud::MESSAGES,
        sentence::Unit::MESSAGES,
        alerts::Alert::MESSAGES,
        alerts::Vessel::MESSAGES,
        alerts::Turned::MESSAGES,
        alerts::When::MESSAGES,
        alerts::NoFix::MESSAGES,
        alerts::Loss::MESSAGES,
        alerts::Health::MESSAGES,
        alerts::Changed::MESSAGES,
        approach::Approaching::MESSAGES,
        faults::LinkFault::MESSAGES,
        faults::JournalFault::MESSAGES,
        faults::LostWatch::MESSAGES,
        faults::Link::MESSAGES,
        charts::Height::MESSAGES,
        charts::Charted::MESSAGES,
        charts::Place::MESSAGES,
        charts::Share::MESSAGES,
        charts::Against::MESSAGES,
        charts::Sheet::MESSAGES,
        charts::RoomToSwing::MESSAGES,
        charts::Planning::MESSAGES,
        charts::Sounded::MESSAGES,
        charts::ReducedBy::MESSAGES,
        charts::ScopeWhy::MESSAGES,
        answers::Answer::MESSAGES,
        answers::Rode::MESSAGES,
        answers::Besides::MESSAGES,
        answers::Refusal::MESSAGES,
        notes::Note::MESSAGES,
        notes::PullTest::MESSAGES,
        notes::Pull::MESSAGES,
        remarks::Remark::MESSAGES,
        remarks::Doubt::MESSAGES,
        remarks::TideBy::MESSAGES,
        remarks::TideWords::MESSAGES,
        pushes::Push::MESSAGES,
        drills::DrillTold::MESSAGES,
        puts::PutTold::MESSAGES,
        puts::PutForm::MESSAGES,
        puts::Refused::MESSAGES,
        status::Row::MESSAGES,
        status::Status::MESSAGES,
        status::Screen::MESSAGES,
        berths::ChartMargin::MESSAGES,
        berths::Swing::MESSAGES,
        berths::SurveyQuality::MESSAGES,
        berths::ChartCaution::MESSAGES,
        berths::SearchColumn::MESSAGES,
        berths::Search::MESSAGES,
        berths::FetchMiles::MESSAGES,
        berths::SearchAgainst::MESSAGES,
        berths::SearchReason::MESSAGES,
        berths::SearchCaution::MESSAGES,
        setup::Ask::MESSAGES,
        setup::Setup::MESSAGES,
        checks::Looked::MESSAGES,
        checks::Without::MESSAGES,
        checks::CheckMargin::MESSAGES,
        checks::Check::MESSAGES,
        checks::Right::MESSAGES,
        checks::TokenEnd::MESSAGES,
        tides::TurnName::MESSAGES,
        tides::TidePage::MESSAGES,
        tides::TideZone::MESSAGES,
        tides::TideDatum::MESSAGES,
        tides::TideCaution::MESSAGES,
        tides::Calendar::MESSAGES,
        charts::ChartsKept::MESSAGES,
        plans::Margin::MESSAGES,
        plans::Plan::MESSAGES,
        plans::Part::MESSAGES,
        plans::TideCost::MESSAGES,
        plans::Assumed::MESSAGES,
        plans::Caution::MESSAGES,
        plans::BerthTold::MESSAGES,
        picture::Picture::MESSAGES,
        picture::Drawing::MESSAGES,
    ];
    let typed = enums.concat().into_iter().map(|(group, name, variables)| {
        let variables = variables.iter().map(|name| (*name).to_owned()).collect();
        (format!("{group}-{name}"), variables)
    });
    let names = names::all().into_iter();
    let names = names.map(|(group, name)| (format!("{group}-{name}"), Variables::new()));
    typed.chain(names).collect()
}

/// The references of a message or term.
#[derive(Default)]
struct Uses {
    variables: Variables,
    others: BTreeSet<String>,
}

impl Uses {
    fn pattern(&mut self, pattern: &Pattern<&str>) {
        for element in &pattern.elements {
            if let PatternElement::Placeable { expression } = element {
                self.expression(expression);
            }
        }
    }

    fn expression(&mut self, expression: &Expression<&str>) {
        match expression {
            Expression::Inline(inline) => self.inline(inline),
            Expression::Select { selector, variants } => {
                self.inline(selector);
                for variant in variants {
                    self.pattern(&variant.value);
                }
            }
        }
    }

    fn inline(&mut self, inline: &InlineExpression<&str>) {
        match inline {
            InlineExpression::VariableReference { id } => {
                self.variables.insert(id.name.to_owned());
            }
            InlineExpression::MessageReference { id, attribute } => {
                assert!(attribute.is_none(), "no attributes are used");
                self.others.insert(id.name.to_owned());
            }
            InlineExpression::TermReference { id, arguments, .. } => {
                assert!(arguments.as_ref().is_none_or(is_empty));
                self.others.insert(format!("-{}", id.name));
            }
            InlineExpression::Placeable { expression } => self.expression(expression),
            InlineExpression::FunctionReference { .. } => panic!("no functions are used"),
            InlineExpression::StringLiteral { .. } | InlineExpression::NumberLiteral { .. } => {}
        }
    }
}

fn is_empty(arguments: &CallArguments<&str>) -> bool {
    arguments.positional.is_empty() && arguments.named.is_empty()
}

/// The messages and terms (with their `-`) of a catalogue; a duplicate fails.
fn written(language: Language) -> BTreeMap<String, Uses> {
    let resource = FluentResource::try_new(catalogue::source(language).to_owned());
    let resource = resource.unwrap_or_else(|(_, errors)| panic!("{language:?}: {errors:?}"));
    let mut all = BTreeMap::new();
    for entry in resource.entries() {
        let (id, pattern) = match entry {
            Entry::Message(message) => {
                assert!(message.attributes.is_empty());
                (message.id.name.to_owned(), message.value.as_ref().unwrap())
            }
            Entry::Term(term) => (format!("-{}", term.id.name), &term.value),
            Entry::Junk { content } => panic!("{language:?}: {content}"),
            Entry::Comment(_) | Entry::GroupComment(_) | Entry::ResourceComment(_) => continue,
        };
        let mut uses = Uses::default();
        uses.pattern(pattern);
        let before = all.insert(id.clone(), uses);
        assert!(before.is_none(), "{language:?}: `{id}` is there twice");
    }
    all
}

/// The variables of a message and of everything it refers to; the references are added to `used`.
fn variables(all: &BTreeMap<String, Uses>, id: &str, used: &mut BTreeSet<String>) -> Variables {
    let uses = all.get(id).unwrap_or_else(|| panic!("there is no `{id}`"));
    used.insert(id.to_owned());
    let mut found = uses.variables.clone();
    for other in &uses.others {
        found.extend(variables(all, other, used));
    }
    found
}

#[test]
fn every_message_exists_in_each_language_with_the_same_variables() {
    let said = said();
    assert!(said.len() > 100, "{} messages", said.len());
    for language in Language::ALL {
        let written = written(language);
        let mut used = BTreeSet::new();
        for (id, expected) in &said {
            assert!(written.contains_key(id), "{language:?} lacks `{id}`");
            let found = variables(&written, id, &mut used);
            assert_eq!(&found, expected, "{language:?} `{id}`");
        }
        let unused: Vec<_> = written.keys().filter(|id| !used.contains(*id)).collect();
        assert!(unused.is_empty(), "{language:?}: nothing says {unused:?}");
    }
}

/// A choice of words by kind has the same kinds in every language; for a choice by number a language
/// may have its own classes (CLDR).
#[test]
fn every_language_tells_the_same_kinds_apart() {
    let of = |language| choices(catalogue::source(language));
    let english = of(Language::English);
    assert!(english.len() > 10);
    for language in Language::ALL {
        let others = of(language);
        for (variable, keys) in &english {
            let theirs = others.get(variable).cloned().unwrap_or_default();
            let missing: Vec<_> = keys.difference(&theirs).collect();
            assert!(missing.is_empty(), "{language:?} {variable}: {missing:?}");
        }
    }
}

/// The keys of the selectors, by variable.
fn choices(source: &str) -> BTreeMap<String, BTreeSet<String>> {
    let mut all: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut open = String::new();
    for line in source.lines() {
        let key = line.trim().trim_start_matches('*').strip_prefix('[');
        if let Some((key, _)) = key.and_then(|rest| rest.split_once(']')) {
            let counted = ["count", "waiting", "more"].contains(&open.as_str());
            if !counted && key != "other" {
                all.entry(open.clone()).or_default().insert(key.to_owned());
            }
        }
        if let Some((before, _)) = line.split_once(" ->") {
            open = before.rsplit('$').next().unwrap_or_default().to_owned();
        }
    }
    all
}

/// Whatever values a caller passes, a message can be formatted: with figures, with words, with none.
#[test]
fn no_message_fails() {
    for language in Language::ALL {
        for (id, variables) in said() {
            for value in [
                FluentValue::from("none"),
                FluentValue::from("12 m"),
                FluentValue::from(1_u64),
                FluentValue::from(5_u64),
            ] {
                let args: FluentArgs = variables
                    .iter()
                    .map(|name| (name.clone(), value.clone()))
                    .collect();
                let told = catalogue::format(language, &id, &args);
                let told = told.unwrap_or_else(|| panic!("{language:?} `{id}`"));
                let flaws = ["  ", " ,", "{", "}", "\n", "\u{2068}"];
                // The keys of the live screen are separated from each other.
                let spaced = id == "Screen-Keys";
                let flaws = &flaws[usize::from(spaced)..];
                let flawed = flaws.iter().any(|flaw| told.contains(flaw));
                // Text appended to another begins with its own stop, and in French with a space.
                assert!(
                    !flawed && told.trim_end() == told,
                    "{language:?} `{id}`: {told}"
                );
            }
        }
    }
}

#[test]
fn what_no_catalogue_has_is_told_by_its_id_and_figures() {
    let unknown = Sentence::message("Alert", "Unheard", vec![("moved", Metres::of(14.0).into())]);
    let say = Wording::in_language(Language::German);
    assert_eq!(unknown.words(&say), "Alert-Unheard, moved 14 m");
}
