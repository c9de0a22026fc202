//! The words of the plan: the depth, the rode, how far she swings, the effect of the wind, what to look at and what
//! was assumed. Loads and winds are those of ABYC H-40.

use super::sentence::sentences;
use super::{Down, Exact, Figure, Hundredths, Scope, Sentence, Up};
use crate::speech::charts::ScopeWhy;
use crate::units::{Metres, Newtons, Speed};

sentences! {
    /// The labels in the margin of a page, and its headings.
    pub enum Margin {
        Depth,
        Tide,
        Keel,
        Roller,
        Scope,
        Rode,
        Out,
        TotalRode,
        Aboard,
        Reach,
        Room,
        Circle,
        Wind,
        Bottom,
        Lifts,
        Strength,
        LookAt,
        Assumed,
        OnTheChart,
    }

    /// A line of the plan.
    pub enum Plan {
        WaterNow { depth: Exact, below: &'static str, sounded: Exact },
        Range { high: Exact, low: Exact, until: Option<String> },
        Tide { words: String, cost: String },
        Grounds { by: Exact, tide: bool },
        UnderKeel { left: Down, tide: bool },
        Roller { above: Exact, height: Exact, tide: bool },
        Scope { scope: Figure, why: ScopeWhy },
        Rode { scope: Figure, height: Exact, rode: Exact },
        // `highest`: the scope at the highest water, if a tide is known.
        Out {
            out: Exact,
            more: Option<Exact>,
            all: Exact,
            scope: Figure,
            highest: Option<Scope>,
            now: Option<Scope>,
        },
        TotalRode {
            rode: Exact,
            all: bool,
            marks: Option<Exact>,
            highest: Option<Scope>,
            now: Option<Scope>,
        },
        Aboard { aboard: Exact, enough: bool },
        NoReach { rode: Exact },
        Reach { reach: Up, rode: Exact },
        Room { widest: Up },
        Circle { stern: Up, bow: Up, antenna: Option<Up>, water: &'static str, wind: Option<Speed> },
        Wind { wind: Speed, pull: Newtons, load: Newtons },
        // `lead`: degrees by which the anchor is lifted; `steady`: in the steady pull, not under H-40's load.
        Bottom { lead: Option<Figure>, lies: Down, steady: bool, tide: bool },
        Lifts { chain: bool, wind: Speed, design: Speed },
        Strength { part: Part, load: Newtons, wind: Speed },
        NoCircle,
        Notice,
    }

    /// A part of the ground tackle.
    pub enum Part {
        Chain { of: String },
        Rope { of: String },
        Snubber { of: String },
    }

    /// The cost of relying on a tide, or of not knowing it.
    pub enum TideCost {
        NotKnown { datum: bool },
        Server,
        Prediction,
        Typed,
        None { more: Exact, scope: Scope },
    }

    /// What was assumed because it was not entered.
    pub enum Assumed {
        Sounder,
        WindNow { wind: Speed },
        Bottom,
        Tide,
        Roller { height: Exact },
        Length { length: Exact },
        Usual { what: &'static str, value: Exact },
        Windage { usual: Sentence },
        Aboard,
        Marks,
        Material,
        Grade { grade: String },
        Weight { mass: Hundredths },
        NewRope,
        Stretch { percent: Figure },
        NoWind,
        Pull,
    }

    /// What the crew should look at.
    pub enum Caution {
        Stretches { wind: Up, low: Up, stretch: Hundredths },
        NotEnough { needed: Up, aboard: Exact, scope: Scope },
        AboardShort { aboard: Exact, height: Exact },
        // `more`: the length missing, if that much is aboard.
        ScopeShort { out: Exact, scope: Scope, more: Option<Up>, wanted: Scope },
        OutShort { out: Exact, height: Exact },
        ScopeSmall { scope: Scope, least: Figure },
        HoldingPoor,
        Grounds { by: Exact },
        KeelMargin { left: Down, margin: Exact },
        NoDraught,
        NoTide { cost: String },
        Lifts { surely: bool, chain: bool },
        Lead { lead: Figure, steady: bool, most: Figure },
        Load { part: Part, working: Newtons, design: Newtons },
        LightAnchor { anchor: String, wanted: String },
    }

    /// The depth at the berth, and where it comes from.
    pub enum BerthTold {
        At { position: String, depth: Sentence, own: Option<Sentence>, short: Option<&'static str> },
        NoChart,
        Charted { least: Exact, most: Option<Exact>, cell: String },
        Sounded { least: Exact, most: Option<Exact> },
        NoDraught,
    }
}

impl Plan {
    /// The angle of the lead that lifts an anchor, rounded up to whole degrees: no smaller one lifts it.
    #[must_use]
    pub fn lead(degrees: f64) -> Option<Figure> {
        (degrees > 0.0).then(|| Figure(degrees.ceil()))
    }
}

/// Rounded down to a whole knot: the wind has this effect no later.
#[must_use]
pub fn whole_knots(wind: Speed) -> Speed {
    Speed::from_knots(wind.knots().floor())
}

/// A length that is not positive counts as none.
#[must_use]
pub fn positive(length: Metres) -> Option<Exact> {
    (length.get() > 0.0).then_some(Exact(length))
}
