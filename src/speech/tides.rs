//! The page of `windrode tide`. The terms are those of IHO S-32; the names of days and months are abbreviated as the
//! Unicode CLDR has them.

use std::time::Duration;

use super::sentence::sentences;
use super::{Miles, Ratio, Sentence, Tabled};
use crate::geodesy::Position;
use crate::units::Bearing;

sentences! {
    /// High or low water, in the first column of the table.
    pub enum TurnName {
        High,
        Low,
    }

    /// A line of the page.
    pub enum TidePage {
        // Distance and bearing from the place asked for.
        At { position: Position, distance: Option<Miles>, bearing: Option<Bearing> },
        Secondary { name: String, id: String },
        Above { datum: TideDatum, short: String, zone: TideZone },
        NoTurns,
        Heights,
        Nearest,
        Now {
            clock: String,
            height: Tabled,
            rising: bool,
            next: String,
            wait: Duration,
            range: Tabled,
        },
        // An attribution keeps its own words.
        Constants { credit: &'static str },
    }

    /// The zone of the times.
    pub enum TideZone {
        Utc,
        BoatsUtc,
        Boats { zone: Option<String>, offset: String },
    }

    /// The level that heights are measured from.
    #[derive(Copy)]
    pub enum TideDatum {
        Mllw,
        Lat,
        Mlws,
        Llwlt,
        Nllw,
        Tlt,
        Msl,
        Chart,
        Own,
    }

    /// What to look at.
    pub enum TideCaution {
        Far { away: Miles },
        Disagrees {
            name: String,
            id: String,
            away: Miles,
            by: Duration,
            earlier: bool,
            ratio: Ratio,
        },
        MeanSeaLevel,
        NoWeather,
        Margin,
        Aid,
    }

    /// A day of the boat's calendar.
    pub enum Calendar {
        Day { weekday: Sentence, day: u64, month: Sentence, year: String },
    }
}

impl TideDatum {
    /// By its abbreviation in the catalogue of stations.
    #[must_use]
    pub fn of(short: &str) -> Self {
        match short {
            "MLLW" => Self::Mllw,
            "LAT" => Self::Lat,
            "MLWS" => Self::Mlws,
            "LLWLT" => Self::Llwlt,
            "NLLW" => Self::Nllw,
            "TLT" => Self::Tlt,
            "MSL" => Self::Msl,
            "CD" => Self::Chart,
            _ => Self::Own,
        }
    }
}

/// The names of the days, Monday first.
pub(super) const WEEKDAYS: [&str; 7] = ["1", "2", "3", "4", "5", "6", "7"];
/// The names of the months.
pub(super) const MONTHS: [&str; 12] = [
    "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12",
];

impl Calendar {
    /// A day by its numbers, each from 1; Monday is the first day of the week (ISO 8601).
    #[must_use]
    pub fn day(weekday: usize, day: u64, month: usize, year: i64) -> Self {
        let name = |group, names: &[&'static str], number: usize| {
            let name = names.get(number.saturating_sub(1));
            Sentence::name(group, name.copied().unwrap_or_default())
        };
        Self::Day {
            weekday: name("Weekday", &WEEKDAYS, weekday),
            day,
            month: name("Month", &MONTHS, month),
            year: year.to_string(),
        }
    }
}
