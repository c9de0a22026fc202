//! How figures and times are written for this crew: in its unit of length, by its clock, in its language.
//! Speeds are in knots and bearings in degrees true in every unit system, as all crews use them.
//!
//! The knot is `nd` in French, `kn` elsewhere; the day is `j` in French. A position is written as on charts
//! and on the command line, with `N S E W` and a point, in every language, because people type it in again
//! (the four hydrographic services print `W` and `E` too; from memory, no source).

use std::time::Duration;

use super::Language;
use super::sentence::{NAUTICAL_MILE, Unit};
use crate::time::{Timestamp, Zone};
use crate::units::{LengthUnit, Metres, Speed, spoken};

/// The units, clock and language of this crew.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wording {
    /// The unit of lengths and depths.
    pub lengths: LengthUnit,
    /// The zone of the ship's clock.
    pub zone: Zone,
    /// The language.
    pub language: Language,
}

impl Wording {
    /// With this unit, for callers that need no clock.
    #[must_use]
    pub fn in_unit(lengths: LengthUnit) -> Self {
        Self {
            lengths,
            ..Self::default()
        }
    }

    /// With this unit and language, for callers that need no clock.
    #[must_use]
    pub fn of(lengths: LengthUnit, language: Language) -> Self {
        Self {
            lengths,
            language,
            ..Self::default()
        }
    }

    /// In this language.
    #[must_use]
    pub fn in_language(language: Language) -> Self {
        Self {
            language,
            ..Self::default()
        }
    }

    /// A length as a leadsman would call it: a decimal below 10 m, whole metres above, whole feet.
    #[must_use]
    pub fn length(&self, length: Metres) -> String {
        match self.lengths {
            LengthUnit::Metres => self.language.figures(length.to_string()),
            LengthUnit::Feet => format!("{:.0} ft", length.feet()),
        }
    }

    /// A length to a whole unit: for the accuracy of a fix.
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
        self.language.figures(match self.lengths {
            LengthUnit::Metres => format!("{depth:.1}"),
            LengthUnit::Feet => format!("{:.1} ft", (depth.feet() * 2.0).round() / 2.0),
        })
    }

    /// A speed in knots.
    #[must_use]
    pub fn speed(&self, speed: Speed) -> String {
        self.knots(speed.to_string())
    }

    /// A speed of which half a knot matters.
    #[must_use]
    pub fn slow(&self, speed: Speed) -> String {
        self.knots(format!("{speed:.1}"))
    }

    fn knots(&self, written: String) -> String {
        let written = self.language.figures(written);
        match self.language {
            Language::French => written.replace(" kn", " nd"),
            Language::English | Language::German | Language::Spanish => written,
        }
    }

    /// A height of the tide, as tide tables give it: `3.42 m (11.2 ft)`.
    #[must_use]
    pub fn tabled(&self, height: Metres) -> String {
        let [metres, feet] = self.tide_figures(height);
        format!("{metres} m ({feet} ft)")
    }

    /// The figures of a height of the tide, in metres to the centimetre and in feet to a tenth.
    #[must_use]
    pub fn tide_figures(&self, height: Metres) -> [String; 2] {
        // Avoids "-0.00".
        let tidy = |value: f64, places: f64| (value * places).round() / places + 0.0;
        [
            format!("{:.2}", tidy(height.get(), 100.0)),
            format!("{:.1}", tidy(height.feet(), 10.0)),
        ]
        .map(|figure| self.language.figures(figure))
    }

    /// A distance in nautical miles, or in metres below a cable.
    #[must_use]
    pub fn miles(&self, distance: Metres) -> String {
        let miles = distance.get() / NAUTICAL_MILE;
        if miles < 0.1 {
            return format!("{:.0} m", distance.get());
        }
        let precision = usize::from(miles < 9.95);
        let miles = self.language.figures(format!("{miles:.precision$}"));
        Unit::Miles { miles }.words(self)
    }

    /// A scope: `4.4:1`.
    #[must_use]
    pub fn scope(&self, scope: f64) -> String {
        self.language.figures(format!("{scope:.1}:1"))
    }

    /// A duration: `45 s`, `3 h 05 min`, `2 d 4 h`.
    #[must_use]
    pub fn span(&self, duration: Duration) -> String {
        let written = spoken(duration);
        match self.language {
            Language::French => written.replace(" d ", " j "),
            Language::English | Language::German | Language::Spanish => written,
        }
    }

    /// Hours and minutes by the ship's clock, with the zone's abbreviation.
    #[must_use]
    pub fn clock(&self, time: Timestamp) -> String {
        self.zone.clock(time)
    }
}

/// Splits the text at spaces where a line may be broken: not between a figure and its unit, not within a scale
/// (`1:12 000`), and not before a mark that French sets off by a space.
#[must_use]
pub fn pieces(text: &str) -> Vec<String> {
    let mut pieces: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match pieces.last_mut() {
            Some(last) if belongs(last, word) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => pieces.push(word.to_owned()),
        }
    }
    pieces
}

/// Whether the word must be on the same line as the one before it.
fn belongs(before: &str, word: &str) -> bool {
    let bare = word.trim_end_matches([',', ';', ':', ')', '.']);
    if bare.is_empty() {
        return !word.is_empty();
    }
    let thousands = |word: &str| word.len() == 3 && word.bytes().all(|c| c.is_ascii_digit());
    before.ends_with(|c: char| c.is_ascii_digit())
        && (UNITS.contains(&bare) || before.contains("1:") && thousands(bare))
        || ["?", "!"].contains(&bare)
}

/// Units that follow a figure.
const UNITS: [&str; 24] = [
    "m", "ft", "mm", "nm", "sm", "M", "kn", "nd", "s", "min", "h", "d", "j", "%", "V", "rpm",
    "U/min", "tr/min", "kN", "lbf", "kg", "kg/m", "MB", "Mo",
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Newtons;

    #[test]
    fn lengths_are_in_the_crew_s_unit() {
        let feet = Wording::in_unit(LengthUnit::Feet);
        let metres = Wording::default();
        for (length, in_metres, in_feet) in [(14.2, "14 m", "47 ft"), (3.05, "3.0 m", "10 ft")] {
            assert_eq!(metres.length(Metres::of(length)), in_metres);
            assert_eq!(feet.length(Metres::of(length)), in_feet);
        }
        assert_eq!(metres.depth(Metres::of(0.44)), "0.4 m");
        assert_eq!(feet.depth(Metres::of(0.44)), "1.5 ft");
    }

    /// A line break never separates a figure from its unit: SI brochure 5.4.3.
    #[test]
    fn a_figure_keeps_its_unit() {
        assert_eq!(
            pieces("bears 013° at 58 m, the rode reaches 50 m; look"),
            [
                "bears", "013°", "at", "58 m,", "the", "rode", "reaches", "50 m;", "look"
            ]
        );
        assert_eq!(pieces("in 2 days"), ["in", "2", "days"]);
        assert_eq!(
            pieces("a pull of 5.3 kN (1190 lbf); 2.31 kg/m, 3 nm"),
            [
                "a",
                "pull",
                "of",
                "5.3 kN",
                "(1190 lbf);",
                "2.31 kg/m,",
                "3 nm"
            ]
        );
        assert_eq!(
            pieces("Prêt ? BAY, 1:12 000, vent : 7,5 nd ; fin"),
            ["Prêt ?", "BAY,", "1:12 000,", "vent :", "7,5 nd ;", "fin"]
        );
    }

    /// Whatever unit a figure is written with, a line is not broken before it.
    #[test]
    fn every_unit_that_is_written_stays_with_its_figure() {
        for language in Language::ALL {
            for lengths in [LengthUnit::Metres, LengthUnit::Feet] {
                let say = Wording {
                    lengths,
                    ..Wording::in_language(language)
                };
                let length = Metres::of(7.5);
                for written in [
                    say.length(length),
                    say.depth(length),
                    say.lengths.exact(length),
                    say.lengths.force(Newtons::of(5338.0)),
                    say.speed(Speed::from_knots(7.5)),
                    say.miles(Metres::of(5000.0)),
                    say.span(Duration::from_secs(45)),
                ] {
                    assert_eq!(pieces(&written).len(), 1, "{language:?}: {written}");
                }
                for part in pieces(&say.tabled(length)) {
                    assert!(part.contains(' '), "{part}");
                }
            }
        }
    }

    /// The decimal comma: SI brochure 5.4.4 allows either sign and leaves it to the language.
    #[test]
    fn figures_are_written_as_the_language_has_them() {
        let in_words = |language| {
            let say = Wording::in_language(language);
            let days = Duration::from_hours(52);
            let depth = say.depth(Metres::of(0.44));
            format!(
                "{depth}, {}, {}",
                say.speed(Speed::from_knots(7.5)),
                say.span(days)
            )
        };
        assert_eq!(in_words(Language::English), "0.4 m, 7.5 kn, 2 d 4 h");
        assert_eq!(in_words(Language::German), "0,4 m, 7,5 kn, 2 d 4 h");
        assert_eq!(in_words(Language::French), "0,4 m, 7,5 nd, 2 j 4 h");
        assert_eq!(in_words(Language::Spanish), "0,4 m, 7,5 kn, 2 d 4 h");
    }
}
