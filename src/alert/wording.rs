//! How numbers and times are said to the crew, and how a sentence is read aloud.
//!
//! The sentences themselves stand in the modules of [`watch`](crate::watch), each beside its
//! judgement; what they have in common with one another stands here: the crew's unit of length, the
//! zone of their clock. Speeds are in knots and bearings in degrees true whatever the units, as
//! every crew has them.
//!
//! [`aloud`] turns a sentence into one that a text-to-speech program reads as a person would say
//! it over the radio: units in full, a bearing figure by figure ("zero four five degrees", as the
//! Standard Marine Communication Phrases, IMO A.918(22), have it), a scope as "five to one".

use crate::time::{Timestamp, Zone};
use crate::units::{LengthUnit, Metres};

/// How this crew is spoken to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wording {
    /// The unit of lengths and depths.
    pub lengths: LengthUnit,
    /// The zone of the ship's clock.
    pub zone: Zone,
}

impl Wording {
    /// A length as a leadsman would call it: a decimal below 10 m, whole metres from there on,
    /// whole feet.
    #[must_use]
    pub fn length(&self, length: Metres) -> String {
        match self.lengths {
            LengthUnit::Metres => length.to_string(),
            LengthUnit::Feet => format!("{:.0} ft", length.feet()),
        }
    }

    /// With this unit, for who needs no clock.
    #[must_use]
    pub fn in_unit(lengths: LengthUnit) -> Self {
        Self {
            lengths,
            ..Self::default()
        }
    }

    /// A length to the whole unit: how good a fix is.
    #[must_use]
    pub fn whole(&self, length: Metres) -> String {
        match self.lengths {
            LengthUnit::Metres => format!("{:.0} m", length.get()),
            LengthUnit::Feet => format!("{:.0} ft", length.feet()),
        }
    }

    /// A depth that is small and matters: to the decimetre, or to half a foot.
    #[must_use]
    pub fn depth(&self, depth: Metres) -> String {
        match self.lengths {
            LengthUnit::Metres => format!("{depth:.1}"),
            LengthUnit::Feet => format!("{:.1} ft", (depth.feet() * 2.0).round() / 2.0),
        }
    }

    /// Hours and minutes by the ship's clock, with the zone's abbreviation.
    #[must_use]
    pub fn clock(&self, time: Timestamp) -> String {
        self.zone.clock(time)
    }
}

/// The sentence as it is read aloud. See the module's page.
#[must_use]
pub fn aloud(sentence: &str) -> String {
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
        let said = spoken_token(core, after_number, one).unwrap_or_else(|| core.to_owned());
        words.push(format!("{lead}{said}{end}"));
    }
    words.join(" ")
}

fn spoken_token(token: &str, after_number: bool, one: bool) -> Option<String> {
    if let Some(figures) = token.strip_suffix('°') {
        return Some(match figures.len() {
            3 if figures.bytes().all(|b| b.is_ascii_digit()) => {
                format!("{} degrees", figure_by_figure(figures))
            }
            _ => format!("{figures} degrees"),
        });
    }
    if let Some(scope) = token.strip_suffix(":1") {
        return Some(format!("{scope} to one"));
    }
    if !after_number {
        return None;
    }
    let (single, several) = match token {
        "m" => ("metre", "metres"),
        "ft" => ("foot", "feet"),
        "kn" => ("knot", "knots"),
        "s" => ("second", "seconds"),
        "min" => ("minute", "minutes"),
        "h" => ("hour", "hours"),
        "d" => ("day", "days"),
        "%" => ("per cent", "per cent"),
        "V" => ("volt", "volts"),
        _ => return None,
    };
    Some(if one { single } else { several }.to_owned())
}

fn figure_by_figure(figures: &str) -> String {
    let names = [
        "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
    ];
    figures
        .bytes()
        .filter_map(|byte| names.get(usize::from(byte.wrapping_sub(b'0'))))
        .copied()
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn lengths_are_in_the_crew_s_unit() {
        let feet = Wording {
            lengths: LengthUnit::Feet,
            ..Wording::default()
        };
        let metres = Wording::default();
        for (length, in_metres, in_feet) in [(14.2, "14 m", "47 ft"), (3.05, "3.0 m", "10 ft")] {
            assert_eq!(metres.length(Metres::of(length)), in_metres);
            assert_eq!(feet.length(Metres::of(length)), in_feet);
        }
        assert_eq!(metres.depth(Metres::of(0.44)), "0.4 m");
        assert_eq!(feet.depth(Metres::of(0.44)), "1.5 ft");
    }

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
                "scope short: 4.4:1 now, 5:1 is needed",
                "scope short: 4.4 to one now, 5 to one is needed",
            ),
            (
                "no usable position for 1 min 30 s: no data from the GPS",
                "no usable position for 1 minute 30 seconds: no data from the GPS",
            ),
            ("wind 28 kn (gusts 35 kn)", "wind 28 knots (gusts 35 knots)"),
            // Every unit, of one and of several.
            (
                "1 m 2 m 1 ft 12 ft 1 kn 2 kn 1 s 2 s 1 min 2 min 1 h 2 h 1 d 2 d",
                "1 metre 2 metres 1 foot 12 feet 1 knot 2 knots 1 second 2 seconds 1 minute 2 minutes 1 hour 2 hours 1 day 2 days",
            ),
            (
                "1 % 40 % 1 V 11.8 V",
                "1 per cent 40 per cent 1 volt 11.8 volts",
            ),
            ("bears 0a5°", "bears 0a5 degrees"),
            // Only after a number is a letter a unit.
            ("she lies at m", "she lies at m"),
        ] {
            assert_eq!(aloud(written), said);
        }
    }

    proptest! {
        #[test]
        fn any_text_can_be_read(text in "\\PC{0,200}") {
            let said = aloud(&text);
            prop_assert!(said.split_whitespace().count() >= text.split_whitespace().count());
        }
    }
}
