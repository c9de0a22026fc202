//! What the crew reads about charts: one object, a circle to swing in, the planned berth. The terms are those of
//! IHO S-57 and of the paper chart's symbols (INT 1) in each language.

use super::sentence::sentences;
use super::{Day, Depth, Down, Exact, Ratio, Scope, Sentence};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres, Speed};

sentences! {
    /// A depth on the chart, or how high it dries.
    pub enum Height {
        Depth { at: Exact },
        Drying { by: Exact },
    }

    /// What the chart shows.
    pub enum Charted {
        Between { class: Sentence, least: Sentence, most: Sentence },
        At { class: Sentence, depth: Sentence },
        NoDepth { class: Sentence },
        UnknownDepth { class: Sentence },
        FoulGround,
        Named { what: Sentence, name: String },
        Ruled { what: Sentence, rules: Sentence },
        // A code that is not in the standard's list.
        Code { number: u64, attribute: &'static str },
    }

    /// Where it is, from the centre.
    pub enum Place {
        Centre { what: Sentence },
        Off { what: Sentence, distance: Exact, bearing: Bearing },
    }

    /// A share of the circle: never "0 %" for something that is there, nor "100 %" for something incomplete.
    pub enum Share {
        All,
        MoreThan99,
        LessThan1,
        Part { percent: u64 },
    }

    /// Objections to a circle.
    pub enum Against {
        Solid { what: Sentence },
        Grounds { by: Exact, what: Sentence },
        GroundsAtLowWater { by: Exact, what: Sentence, left: Down },
        MarginShort { left: Down, margin: Exact, what: Sentence },
        UnknownDanger { what: Sentence, count: u64 },
        NotCovered { share: Sentence },
        NoDepth { share: Sentence },
        Touches { what: Sentence },
        Foul { what: Sentence },
    }

    /// The chart that an answer is based on.
    pub enum Sheet {
        Cell {
            name: String,
            scale: Option<String>,
            datum: Option<String>,
            edition: Option<String>,
            update: Option<String>,
            issued: Option<String>,
        },
        // The poorest survey among them, by its zone of confidence.
        Told { cell: Sentence, count: u64, survey: Option<String> },
    }

    /// What happens to the charts and the boat's own soundings that are kept aboard.
    pub enum ChartsKept {
        Added { cell: Sentence, megabytes: Ratio },
        SomeAdded { added: u64, all: u64 },
        Removed { name: String },
        None,
        Forgotten { count: u64 },
        // The progress bar fills in the figures.
        Reading { done: &'static str, all: &'static str, left: &'static str },
    }

    /// Whether she has room to swing.
    pub enum RoomToSwing {
        // `own`: the boat's own sounding that is shoaler than the chart.
        Clear { least: Option<Depth>, own: Option<Sentence>, chart: Option<String> },
        NotClear { reasons: String, chart: Option<String> },
        // About an anchor that has just been let go.
        NotClearHere { reasons: String, chart: Option<String> },
        NotRead,
        // With the shoalest depth that she has sounded there.
        NoCharts { own: Option<Sentence> },
        Unreadable,
        NotSized,
    }

    /// The boat's own soundings. The terms are those of IHO S-32: a sounding reduced to chart datum by the tide.
    pub enum Sounded {
        On { day: Day, tide: Sentence },
        Depth { depth: Sentence, on: Sentence },
        Own { what: Sentence },
        InCircle { squares: u64, shoalest: Sentence },
    }

    /// The source of the tide that a sounding is reduced by.
    pub enum ReducedBy {
        Station { name: String },
        Server,
    }

    /// The circle planned at the berth.
    pub enum Planning {
        // `aboard`: the rode carried, if that is too little; `may_be_deeper`: the rode is calculated for a bound that
        // may not be the deepest; `by_soundings`: the shoalest sounding, used when no chart gives the depth.
        Circle {
            depth: Sentence,
            rode: Metres,
            scope: Sentence,
            may_be_deeper: bool,
            by_soundings: bool,
            aboard: Option<Metres>,
            circle: Option<Metres>,
        },
        ScopeAsAsked { scope: Option<Scope> },
        Scope { scope: Option<Scope>, planned: Scope, why: Sentence },
        DepthWithTide { by: Sentence, high: Depth, low: Depth },
        ChartedNoTide { by: Sentence },
        SoundedNoTide { by: Sentence, depth: Depth },
        // `own`: her own sounding there.
        Charted { least: Sentence, most: Option<Sentence>, own: Option<Sentence> },
        ChartedAt { depth: Sentence, own: Option<Sentence> },
        SoundedBefore { least: Sentence, shoalest: Option<Sentence> },
        Sounded,
    }

    /// Why a plan uses this scope.
    pub enum ScopeWhy {
        AsAsked,
        Storm { wind: Speed },
        Strong { wind: Speed },
        HoldingUnknown,
        HoldingPoor,
        ChainTooShort,
        HoldingGood,
    }
}

impl Height {
    /// Depth below chart datum; negative is a drying height.
    #[must_use]
    pub fn of(depth: Metres) -> Self {
        if depth.get() < 0.0 {
            Self::Drying {
                by: Exact(Metres::ZERO - depth),
            }
        } else {
            Self::Depth { at: Exact(depth) }
        }
    }
}

impl Sounded {
    /// A depth below chart datum, and when it was sounded.
    #[must_use]
    pub fn of(depth: Metres, at: Timestamp, tide: ReducedBy) -> Self {
        Self::Depth {
            depth: Height::of(depth).into(),
            on: Self::on(at, tide).into(),
        }
    }

    /// When something was sounded, and the source of the tide it is reduced by.
    #[must_use]
    pub fn on(at: Timestamp, tide: ReducedBy) -> Self {
        Self::On {
            day: Day(at),
            tide: tide.into(),
        }
    }
}

impl Place {
    /// Distance from the centre, on this bearing.
    #[must_use]
    pub fn of(what: impl Into<Sentence>, distance: Metres, bearing: Bearing) -> Self {
        let what = what.into();
        if distance.get() < AT_THE_CENTRE {
            Self::Centre { what }
        } else {
            Self::Off {
                what,
                distance: Exact(distance),
                bearing,
            }
        }
    }
}

impl Share {
    /// A share, 0 to 1.
    #[must_use]
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between 1 and 99"
    )]
    pub fn of(share: f64) -> Self {
        match share * 100.0 {
            all if all > 99.999 => Self::All,
            most if most > 99.0 => Self::MoreThan99,
            part if part >= 1.0 => Self::Part {
                percent: part.round() as u64,
            },
            _ => Self::LessThan1,
        }
    }
}

/// Metres, written to a tenth.
const AT_THE_CENTRE: f64 = 0.05;
