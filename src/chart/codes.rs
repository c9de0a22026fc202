//! The meaning of coded attributes: restrictions, survey quality, datums, how certain a depth is.
//!
//! Source: IHO S-57, Appendix A, chapter 2 (Attributes), edition 3.1 with supplement 3.

use serde::{Deserialize, Serialize};

use crate::speech::Sentence;
use crate::speech::berths::{SurveyQuality, Swing};
use crate::speech::charts::Charted;
use crate::speech::{Figure, Wording};
use crate::units::Metres;

/// A code of a list in the standard; its meaning is in the catalogues of [`crate::speech`]. A code that is not in
/// the list is reported by its number.
macro_rules! coded {
    ($(#[$doc:meta])* $name:ident, $attribute:literal, [$($code:literal),* $(,)?]) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub u8);

        impl $name {
            /// Every code of the standard's list, with the name of its meaning.
            pub const ALL: &[(u8, &str)] = &[$(($code, stringify!($code))),*];

            /// The meaning; for a code that is not in the list, its number.
            #[must_use]
            pub fn told(self) -> Sentence {
                match Self::ALL.iter().find(|(code, _)| *code == self.0) {
                    Some((_, name)) => Sentence::name(stringify!($name), name),
                    None => Charted::Code { number: self.0.into(), attribute: $attribute }.into(),
                }
            }
        }
    };
}

coded! {
    /// What is forbidden or restricted in an area: attribute RESTRN, number 131; 16 and up are of the supplement.
    Restriction, "RESTRN", [
        1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25,
        26, 27,
    ]
}

impl Restriction {
    /// Whether it forbids a boat to lie at anchor there: anchoring, entry or stopping prohibited or restricted, or
    /// an area to be avoided.
    #[must_use]
    pub const fn concerns_anchoring(self) -> bool {
        matches!(self.0, 1 | 2 | 7 | 8 | 14 | 25)
    }
}

coded! {
    /// The level that depths are measured from: attribute VERDAT, number 185.
    Datum, "VERDAT", [
        1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 25,
        26, 27, 28, 29, 30,
    ]
}

coded! {
    /// How certain a depth is: attribute QUASOU, number 125.
    Sureness, "QUASOU", [
        1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11,
    ]
}

impl Sureness {
    /// Whether it is worth reporting. A code that means only that the depth is known is not.
    #[must_use]
    pub const fn is_doubt(self) -> bool {
        matches!(self.0, 3 | 4 | 5 | 8 | 9 | 11)
    }
}

coded! {
    /// An object's height relative to the water: attribute WATLEV, number 187.
    WaterLevel, "WATLEV", [
        1, 2, 3, 4, 5, 6, 7,
    ]
}

/// The zone of confidence of a survey: attribute CATZOC, number 72.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Confidence {
    /// Full sea floor search, the best position and depth.
    A1,
    /// Full sea floor search.
    A2,
    /// No full search; hazards may exist.
    B,
    /// Low accuracy, or soundings of passing ships; depth anomalies may be expected.
    C,
    /// Poor, or no assessment possible; large depth anomalies may be expected.
    D,
    /// Not assessed.
    U,
}

impl Confidence {
    /// From S-57's code, 1 to 6.
    #[must_use]
    pub const fn of(code: u8) -> Option<Self> {
        Some(match code {
            1 => Self::A1,
            2 => Self::A2,
            3 => Self::B,
            4 => Self::C,
            5 => Self::D,
            6 => Self::U,
            _ => return None,
        })
    }

    /// The possible error of depths: a fixed part and a share of the depth; `None` where the standard gives none.
    #[must_use]
    pub const fn depth_error(self) -> Option<(Metres, f64)> {
        match self {
            Self::A1 => Some((Metres::of(0.5), 0.01)),
            Self::A2 | Self::B => Some((Metres::of(1.0), 0.02)),
            Self::C => Some((Metres::of(2.0), 0.05)),
            Self::D | Self::U => None,
        }
    }

    /// The possible error of positions; for A1 a share of the depth, 5 %, is added. `None` where the standard gives
    /// none.
    #[must_use]
    pub const fn position_error(self) -> Option<Metres> {
        match self {
            Self::A1 => Some(Metres::of(5.0)),
            Self::A2 => Some(Metres::of(20.0)),
            Self::B => Some(Metres::of(50.0)),
            Self::C => Some(Metres::of(500.0)),
            Self::D | Self::U => None,
        }
    }

    /// The quality of the survey, for the crew.
    #[must_use]
    pub fn told(self) -> SurveyQuality {
        let zone = format!("{self:?}");
        match (self, self.depth_error(), self.position_error()) {
            (Self::U, ..) => SurveyQuality::NotAssessed,
            (_, Some((depth, share)), Some(position)) => SurveyQuality::Figures {
                zone,
                depth: Figure(depth.get()),
                percent: Figure((share * 100.0).round()),
                position: Figure(position.get()),
                more: self == Self::A1,
            },
            _ => SurveyQuality::Poor { zone },
        }
    }

    /// The same as a sentence of its own.
    /// ```
    /// use windrode::chart::codes::Confidence;
    ///
    /// use windrode::speech::Wording;
    /// let words = Confidence::C.words(&Wording::default());
    /// assert_eq!(words, "survey quality C: depths ±2 m + 5 %, positions ±500 m");
    /// ```
    #[must_use]
    pub fn words(self, say: &Wording) -> String {
        let quality = self.told();
        Swing::Survey { quality }.words(say)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// S-57, Appendix A, chapter 2, attribute CATZOC: the table of zones of confidence.
    #[test]
    fn zones_of_confidence_are_those_of_the_standard() {
        for (code, name, depth, position) in [
            (1, "A1", Some((0.5, 0.01)), Some(5.0)),
            (2, "A2", Some((1.0, 0.02)), Some(20.0)),
            (3, "B", Some((1.0, 0.02)), Some(50.0)),
            (4, "C", Some((2.0, 0.05)), Some(500.0)),
            (5, "D", None, None),
            (6, "U", None, None),
        ] {
            let zone = Confidence::of(code).unwrap();
            assert_eq!(format!("{zone:?}"), name);
            assert_eq!(zone.depth_error().map(|(m, share)| (m.get(), share)), depth);
            assert_eq!(zone.position_error().map(Metres::get), position);
            assert!(
                zone.words(&Wording::default())
                    .starts_with(&format!("survey quality {name}: "))
            );
        }
        assert_eq!(Confidence::of(0), None);
        assert_eq!(Confidence::of(7), None);
        assert!(Confidence::D > Confidence::C && Confidence::U > Confidence::A1);
    }

    #[test]
    fn an_unlisted_code_is_reported_by_its_number() {
        assert_eq!(Restriction(99).told().english(), "code 99 of RESTRN");
        assert_eq!(Restriction(1).told().english(), "anchoring prohibited");
        assert!(Restriction(1).concerns_anchoring() && !Restriction(3).concerns_anchoring());
    }
}
