//! The pages for the room to swing in a circle and for the search for berths. The terms are those of IHO S-57.

use super::charts::Share;
use super::sentence::sentences;
use super::{Down, Exact, Figure, Hundredths, Ratio, Round, Sentence};
use crate::geodesy::Position;
use crate::units::Bearing;

sentences! {
    /// The labels in the margin of the page.
    pub enum ChartMargin {
        Least,
        Needed,
        Danger,
        Unknown,
        Share,
        Rules,
        Foul,
        Survey,
        Chart,
    }

    /// A line of the page.
    pub enum Swing {
        About { radius: Exact, centre: Position, from: Option<Bearing>, to: Option<Bearing> },
        Clear,
        NotClear,
        NoDepth,
        // `short`: the length that is missing.
        Keel { short: Option<Exact>, left: Down, error: Option<Exact> },
        Needed { needed: Exact, draught: Exact, margin: Exact, tide: Exact },
        Nearest { danger: Sentence },
        NoDanger { within: Exact },
        Part { share: Share, what: &'static str },
        Survey { quality: SurveyQuality },
        Surveyed { quality: SurveyQuality, end: Option<String> },
        Notice,
    }

    /// A zone of confidence, S-57's CATZOC.
    pub enum SurveyQuality {
        NotAssessed,
        Figures { zone: String, depth: Figure, percent: Figure, position: Figure, more: bool },
        Poor { zone: String },
    }

    /// What to look at.
    pub enum ChartCaution {
        NoTide,
        NoChart,
        TideOf { station: Option<String>, until: String },
        DatumsDiffer,
        NoDatum,
        Coverage { name: String },
        NoScale { name: String },
        Scale { name: String, by: Exact },
        NoSurvey,
    }

    /// The headings of the table of berths: each must fit its column.
    pub enum SearchColumn {
        Place,
        Bears,
        Off,
        Depth,
        Rode,
        Circle,
        Spare,
    }

    /// A line of the search.
    pub enum Search {
        Heading { within: Exact, centre: Position, places: u64, spacing: Exact },
        Fetch { list: Sentence },
        Wind { from: &'static str },
        FetchFrom { wind: Sentence, miles: Sentence },
        Chart { cell: Sentence },
        Rejected { list: Sentence },
        Count { against: SearchAgainst, places: u64 },
    }

    /// How far the open water extends, in nautical miles.
    pub enum FetchMiles {
        Near { miles: Hundredths },
        Land { miles: Ratio },
        Chart { miles: Ratio },
        Limit { miles: Round },
    }

    /// Objections to a place, before or after a number of places.
    pub enum SearchAgainst {
        Land,
        Shoal,
        UnknownDanger,
        NoChart,
        NoDepth,
        Cable,
        Pipe,
        Restricted,
        Foul,
        RodeShort,
        CircleTooWide,
        Neighbour,
        NoPlan,
    }

    /// Points for or against a berth.
    pub enum SearchReason {
        LeastDepth { depth: Exact, keel: Down },
        ChartWrong { by: Exact },
        Danger { room: Exact, danger: String },
        NoDanger { within: Exact },
        Neighbour { room: Exact, name: Option<String>, bearing: Bearing },
        OpenWater { winds: Sentence },
        SoundingAway { distance: Exact },
        NoSounding,
    }

    /// What to look at.
    pub enum SearchCaution {
        NoNeighbours,
        NoAis,
        NotJudged,
        NoneFound,
        NoTide,
        NoAboard,
        AisNotHeard,
        NotFromHere,
        UnderWay { count: u64 },
        NoDaemon,
    }
}
