//! A sentence before it is put into words: its place in the catalogue and its values.

use std::borrow::Cow;
use std::time::Duration;

use fluent_bundle::{FluentArgs, FluentValue};

use super::{Language, Wording, catalogue};
use crate::geodesy::Position;
use crate::tackle::plan::ratio;
use crate::time::{Timestamp, Zone};
use crate::units::{Angle, Bearing, Metres, Newtons, Speed, Volts};

/// A sentence that is not yet in any language.
#[derive(Clone, Debug, PartialEq)]
pub struct Sentence(Kind);

#[derive(Clone, Debug, PartialEq)]
enum Kind {
    /// A message of the catalogue: group and name make its id.
    Message(&'static str, &'static str, Vec<(&'static str, Arg)>),
    /// Words from elsewhere: a network error, a name, a stored sentence.
    Verbatim(String),
    /// Several sentences joined by this separator.
    Several(Vec<Sentence>, &'static str),
}

/// A value in a sentence.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Arg {
    /// No value: the selector `none`.
    None,
    /// Chooses words: the name of a kind, `yes` or `no`.
    Key(&'static str),
    Count(u64),
    Text(String),
    Length(Metres),
    Depth(Metres),
    Whole(Metres),
    Far(Metres),
    Exact(Metres),
    Down(Metres),
    Up(Metres),
    Tabled(Metres),
    Miles(Metres),
    Force(Newtons),
    Figure(f64),
    Hundredths(f64),
    Scope(f64),
    Ratio(f64),
    Round(f64),
    Bearing(Bearing),
    Turn(Angle),
    Speed(Speed),
    Slow(Speed),
    Volts(Volts),
    Span(Duration),
    Clock(Timestamp),
    Day(Timestamp),
    Sentence(Box<Sentence>),
}

/// A depth that is small and matters: to the decimetre, or to half a foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Depth(pub Metres);

/// A length to a whole unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whole(pub Metres);

/// A distance that may be nautical miles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Far(pub Metres);

/// A length to a tenth, as charts give it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Exact(pub Metres);

/// The same rounded down: for what is left of something.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Down(pub Metres);

/// A length rounded up to a whole unit: for a minimum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Up(pub Metres);

/// A height of the tide in metres and feet, as tide tables give it: `3.42 m (11.2 ft)`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tabled(pub Metres);

/// A distance in nautical miles, or in metres if it is short.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Miles(pub Metres);

/// A plain number with all its decimals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figure(pub f64);

/// A plain number with two decimals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hundredths(pub f64);

/// A scope: `7:1`, `4.4:1`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scope(pub f64);

/// A speed of which half a knot matters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slow(pub Speed);

/// A plain number with one decimal: a scope, a dilution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio(pub f64);

/// A plain number without decimals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Round(pub f64);

/// The day of the calendar in UTC, as tide tables have it: `2026-05-03`, whatever the ship's clock.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Day(pub Timestamp);

impl Sentence {
    /// A message of the catalogue.
    pub(super) const fn message(
        group: &'static str,
        name: &'static str,
        args: Vec<(&'static str, Arg)>,
    ) -> Self {
        Self(Kind::Message(group, name, args))
    }

    /// The name of one item of a set: the message `group-name`, without any figures.
    pub(crate) const fn name(group: &'static str, name: &'static str) -> Self {
        Self::message(group, name, Vec::new())
    }

    /// Words from elsewhere, used unchanged.
    #[must_use]
    pub fn verbatim(words: impl Into<String>) -> Self {
        Self(Kind::Verbatim(words.into()))
    }

    /// Several sentences joined by this separator.
    #[must_use]
    pub fn several<T: Into<Self>>(
        sentences: impl IntoIterator<Item = T>,
        between: &'static str,
    ) -> Self {
        let sentences = sentences.into_iter().map(Into::into).collect();
        Self(Kind::Several(sentences, between))
    }

    /// In English and metres.
    #[cfg(test)]
    pub(crate) fn english(&self) -> String {
        self.words(&Wording::default())
    }

    /// In words, for this crew.
    #[must_use]
    pub fn words(&self, say: &Wording) -> String {
        let (group, name, args) = match &self.0 {
            Kind::Message(group, name, args) => (group, name, args),
            Kind::Verbatim(words) => return words.clone(),
            Kind::Several(sentences, between) => {
                let said: Vec<String> = sentences.iter().map(|it| it.words(say)).collect();
                return said.join(between);
            }
        };
        let id = format!("{group}-{name}");
        let values: FluentArgs = args
            .iter()
            .map(|(name, arg)| (Cow::Borrowed(*name), arg.value(say)))
            .collect();
        catalogue::format(say.language, &id, &values)
            .or_else(|| catalogue::format(Language::English, &id, &values))
            .unwrap_or_else(|| bare(id, &values))
    }
}

/// The text if no catalogue has the message: silence would be worst.
fn bare(id: String, values: &FluentArgs) -> String {
    values.iter().fold(id, |said, (name, value)| {
        let value = match value {
            FluentValue::String(words) => words.to_string(),
            FluentValue::Number(number) => number.as_string().to_string(),
            _ => String::new(),
        };
        format!("{said}, {name} {value}")
    })
}

impl Arg {
    fn value(&self, say: &Wording) -> FluentValue<'static> {
        FluentValue::from(match self {
            Self::Count(count) => return FluentValue::from(*count),
            Self::None => "none".to_owned(),
            Self::Key(key) => (*key).to_owned(),
            Self::Text(words) => words.clone(),
            Self::Length(length) => say.length(*length),
            Self::Depth(depth) => say.depth(*depth),
            Self::Whole(length) => say.whole(*length),
            Self::Far(distance) => far(*distance, say),
            Self::Exact(length) => say.language.figures(say.lengths.exact(*length)),
            Self::Down(length) => say.language.figures(say.lengths.down(*length)),
            Self::Up(length) => say.language.figures(say.lengths.up(*length)),
            Self::Tabled(height) => say.tabled(*height),
            Self::Miles(distance) => say.miles(*distance),
            Self::Force(force) => say.language.figures(say.lengths.force(*force)),
            Self::Figure(number) => say.language.figures(number.to_string()),
            Self::Hundredths(number) => say.language.figures(format!("{number:.2}")),
            Self::Scope(scope) => say.language.figures(ratio(*scope)),
            Self::Ratio(number) => say.language.figures(format!("{number:.1}")),
            Self::Round(number) => format!("{number:.0}"),
            Self::Bearing(bearing) => bearing.to_string(),
            Self::Turn(turn) => turn.to_string(),
            Self::Speed(speed) => say.speed(*speed),
            Self::Slow(speed) => say.slow(*speed),
            Self::Volts(volts) => say.language.figures(volts.to_string()),
            Self::Span(span) => say.span(*span),
            Self::Clock(time) => say.clock(*time),
            Self::Day(time) => Zone::UTC.day(*time),
            Self::Sentence(sentence) => sentence.words(say),
        })
    }
}

/// A distance in a familiar unit: the crew's own nearby, nautical miles farther off.
fn far(distance: Metres, say: &Wording) -> String {
    if distance < MILES_FROM {
        return say.length(distance);
    }
    let miles = Round(distance.get() / NAUTICAL_MILE);
    Unit::NauticalMiles { miles }.words(say)
}

/// Types that can go into a sentence, and in which form.
macro_rules! args {
    ($($from:ty, $value:ident => $arg:expr;)*) => {
        $(impl From<$from> for Arg {
            fn from($value: $from) -> Self {
                $arg
            }
        })*
    };
}

args! {
    Metres, length => Self::Length(length);
    Depth, depth => Self::Depth(depth.0);
    Whole, length => Self::Whole(length.0);
    Far, distance => Self::Far(distance.0);
    Exact, length => Self::Exact(length.0);
    Down, length => Self::Down(length.0);
    Up, length => Self::Up(length.0);
    Tabled, height => Self::Tabled(height.0);
    Miles, distance => Self::Miles(distance.0);
    Newtons, force => Self::Force(force);
    Figure, number => Self::Figure(number.0);
    Hundredths, number => Self::Hundredths(number.0);
    Scope, scope => Self::Scope(scope.0);
    Ratio, number => Self::Ratio(number.0);
    Round, number => Self::Round(number.0);
    Bearing, bearing => Self::Bearing(bearing);
    Angle, turn => Self::Turn(turn);
    Speed, speed => Self::Speed(speed);
    Slow, speed => Self::Slow(speed.0);
    Volts, volts => Self::Volts(volts);
    Duration, span => Self::Span(span);
    Timestamp, time => Self::Clock(time);
    Day, day => Self::Day(day.0);
    // As it is typed in and printed on charts, in every language.
    Position, position => Self::Text(position.to_string());
    String, words => Self::Text(words);
    // One of the program's own words: the name of a hazard, a command or one of its members.
    &'static str, word => Self::Key(word);
    u64, count => Self::Count(count);
    bool, holds => Self::Key(if holds { "yes" } else { "no" });
    Sentence, sentence => Self::Sentence(Box::new(sentence));
}

impl<T: Into<Self>> From<Option<T>> for Arg {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::None, Into::into)
    }
}

/// Enums of sentences: each variant is the message `Enum-Variant` of the catalogue, its fields are the
/// message's variables.
macro_rules! sentences {
    ($($(#[$meta:meta])* $vis:vis enum $name:ident { $($variant:ident $({ $($field:ident: $type:ty),* $(,)? })?),* $(,)? })*) => {
        $(
            $(#[$meta])*
            #[derive(Clone, Debug, PartialEq)]
            #[allow(missing_docs, reason = "the text of each is in `en.ftl`")]
            $vis enum $name {
                $($variant $({ $($field: $type),* })?,)*
            }

            impl From<$name> for $crate::speech::Sentence {
                fn from(said: $name) -> Self {
                    match said {
                        $($name::$variant $({ $($field),* })? => Self::message(
                            stringify!($name),
                            stringify!($variant),
                            vec![$($((stringify!($field), $field.into())),*)?],
                        ),)*
                    }
                }
            }

            impl From<$name> for $crate::speech::sentence::Arg {
                fn from(said: $name) -> Self {
                    $crate::speech::Sentence::from(said).into()
                }
            }

            impl $name {
                /// In words, for this crew.
                #[must_use]
                $vis fn words(self, say: &$crate::speech::Wording) -> String {
                    $crate::speech::Sentence::from(self).words(say)
                }

                /// In English and metres.
                #[cfg(test)]
                #[allow(dead_code, reason = "not every kind is tested by its English")]
                pub(crate) fn english(self) -> String {
                    $crate::speech::Sentence::from(self).english()
                }

                /// The messages with their variables.
                #[cfg(test)]
                pub(in crate::speech) const MESSAGES: &[(&str, &str, &[&str])] = &[
                    $((stringify!($name), stringify!($variant), &[$($(stringify!($field)),*)?]),)*
                ];
            }
        )*
    };
}

pub(super) use sentences;

sentences! {
    /// Units that are written out.
    pub(super) enum Unit {
        NauticalMiles { miles: Round },
        Miles { miles: String },
    }
}

/// International nautical mile, 1852 m exactly (ISO 80000-3).
pub(super) const NAUTICAL_MILE: f64 = 1852.0;
const MILES_FROM: Metres = Metres::of(10.0 * NAUTICAL_MILE);
