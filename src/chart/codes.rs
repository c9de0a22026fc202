//! What the coded attributes mean: restrictions, survey quality, datums, how sure a depth is.
//!
//! Source: IHO S-57, Appendix A, chapter 2 (Attributes), edition 3.1 with supplement 3.

use serde::{Deserialize, Serialize};

use crate::units::Metres;

/// A code of a list in the standard, and its words; a code that is not in the list is told by its number.
macro_rules! coded {
    ($(#[$doc:meta])* $name:ident, $attribute:literal, [$($code:literal $words:literal),* $(,)?]) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub u8);

        impl $name {
            /// Every code of the standard's list with its words.
            pub const ALL: &[(u8, &str)] = &[$(($code, $words)),*];

            /// In words; `None` for a code that the list does not have.
            #[must_use]
            pub fn known(self) -> Option<&'static str> {
                Self::ALL.iter().find(|(code, _)| *code == self.0).map(|(_, words)| *words)
            }

            /// In words, and for a code that the list does not have its number.
            #[must_use]
            pub fn words(self) -> String {
                self.known().map_or_else(|| format!(concat!("code {} of ", $attribute), self.0), str::to_owned)
            }
        }
    };
}

coded! {
    /// What is forbidden or restricted in an area: attribute RESTRN, number 131.
    Restriction, "RESTRN", [
        1 "anchoring prohibited", 2 "anchoring restricted", 3 "fishing prohibited", 4 "fishing restricted",
        5 "trawling prohibited", 6 "trawling restricted", 7 "entry prohibited", 8 "entry restricted",
        9 "dredging prohibited", 10 "dredging restricted", 11 "diving prohibited", 12 "diving restricted",
        13 "no wake", 14 "area to be avoided", 15 "construction prohibited",
        // Of the supplement.
        16 "discharging prohibited", 17 "discharging restricted",
        18 "industrial or mineral exploration or development prohibited",
        19 "industrial or mineral exploration or development restricted",
        20 "drilling prohibited", 21 "drilling restricted",
        22 "removal of historical artifacts prohibited", 23 "cargo transhipment prohibited",
        24 "dragging prohibited", 25 "stopping prohibited", 26 "landing prohibited", 27 "speed restricted",
    ]
}

impl Restriction {
    /// Does it keep a boat from lying at anchor there? Anchoring, entry and stopping prohibited or
    /// restricted, and an area to be avoided.
    #[must_use]
    pub const fn concerns_anchoring(self) -> bool {
        matches!(self.0, 1 | 2 | 7 | 8 | 14 | 25)
    }
}

coded! {
    /// The level that depths are measured from: attribute VERDAT, number 185.
    Datum, "VERDAT", [
        1 "mean low water springs", 2 "mean lower low water springs", 3 "mean sea level", 4 "lowest low water",
        5 "mean low water", 6 "lowest low water springs", 7 "approximate mean low water springs",
        8 "Indian spring low water", 9 "low water springs", 10 "approximate lowest astronomical tide",
        11 "nearly lowest low water", 12 "mean lower low water", 13 "low water", 14 "approximate mean low water",
        15 "approximate mean lower low water", 16 "mean high water", 17 "mean high water springs",
        18 "high water", 19 "approximate mean sea level", 20 "high water springs",
        21 "mean higher high water", 22 "equinoctial spring low water", 23 "lowest astronomical tide",
        24 "local datum", 25 "International Great Lakes Datum 1985", 26 "mean water level",
        27 "lower low water large tide", 28 "higher high water large tide", 29 "nearly highest high water",
        30 "highest astronomical tide",
    ]
}

coded! {
    /// How sure a depth is: attribute QUASOU, number 125.
    Sureness, "QUASOU", [
        1 "depth known", 2 "depth unknown", 3 "doubtful sounding", 4 "unreliable sounding",
        5 "no bottom found at value shown", 6 "least depth known",
        7 "least depth unknown, safe clearance at value shown", 8 "value reported (not surveyed)",
        9 "value reported (not confirmed)", 10 "maintained depth", 11 "not regularly maintained",
    ]
}

impl Sureness {
    /// Is it worth telling? What says no more than that the depth is known is not.
    #[must_use]
    pub const fn is_doubt(self) -> bool {
        matches!(self.0, 3 | 4 | 5 | 8 | 9 | 11)
    }
}

coded! {
    /// How an object stands to the water: attribute WATLEV, number 187.
    WaterLevel, "WATLEV", [
        1 "partly submerged at high water", 2 "always dry", 3 "always under water", 4 "covers and uncovers",
        5 "awash", 6 "subject to flooding", 7 "floating",
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

    /// How far depths may be off: so much, and such a share of the depth; `None` where the standard gives none.
    #[must_use]
    pub const fn depth_error(self) -> Option<(Metres, f64)> {
        match self {
            Self::A1 => Some((Metres::of(0.5), 0.01)),
            Self::A2 | Self::B => Some((Metres::of(1.0), 0.02)),
            Self::C => Some((Metres::of(2.0), 0.05)),
            Self::D | Self::U => None,
        }
    }

    /// How far positions may be off; for A1 to this is added a share of the depth, 5 %. `None` where the
    /// standard gives none.
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

    /// As people read it.
    /// ```
    /// use windrode::chart::codes::Confidence;
    ///
    /// assert_eq!(Confidence::C.words(), "survey quality C: depths ±2 m + 5 %, positions ±500 m");
    /// ```
    #[must_use]
    pub fn words(self) -> String {
        match (self, self.depth_error(), self.position_error()) {
            (Self::U, ..) => "survey quality U: not assessed".to_owned(),
            (_, Some((depth, share)), Some(position)) => format!(
                "survey quality {self:?}: depths ±{} m + {:.0} %, positions ±{} m{}",
                depth.get(),
                share * 100.0,
                position.get(),
                if self == Self::A1 {
                    " + 5 % of the depth"
                } else {
                    ""
                },
            ),
            _ => format!(
                "survey quality {self:?}: worse than C, depths and positions may be far off"
            ),
        }
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
                zone.words()
                    .starts_with(&format!("survey quality {name}: "))
            );
        }
        assert_eq!(Confidence::of(0), None);
        assert_eq!(Confidence::of(7), None);
        assert!(Confidence::D > Confidence::C && Confidence::U > Confidence::A1);
    }

    #[test]
    fn a_code_that_no_list_has_is_told_by_its_number() {
        assert_eq!(Restriction(99).words(), "code 99 of RESTRN");
        assert_eq!(Restriction(1).words(), "anchoring prohibited");
        assert!(Restriction(1).concerns_anchoring() && !Restriction(3).concerns_anchoring());
    }
}
