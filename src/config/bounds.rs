//! Bounds for the measures of a boat and her tackle. Configuration and command line take them from here.
//!
//! Source: chosen: wide enough for every boat that anchors, and narrow enough that most figures in a wrong unit are
//! refused.

/// The shortest and the longest plausible length, in metres, and what it is a length of.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// With its article, as the first words of a message.
    pub noun: &'static str,
    /// Metres.
    pub least: f64,
    /// Metres.
    pub most: f64,
}

macro_rules! bounds {
    ($($name:ident = $noun:literal, $least:literal, $most:literal;)*) => {
        $(
            #[doc = concat!("The bounds of ", $noun, ".")]
            pub const $name: Bounds = Bounds { noun: $noun, least: $least, most: $most };
        )*
    };
}

/// The bounds of a scope.
pub const SCOPE: [f64; 2] = [1.5, 20.0];
/// The bounds of an anchor's mass, kilograms.
pub const ANCHOR: [f64; 2] = [1.0, 2000.0];

bounds! {
    LENGTH_OVER_ALL = "a length over all", 2.0, 150.0;
    BEAM = "a beam", 0.5, 40.0;
    DRAUGHT = "a draught", 0.1, 15.0;
    ROLLER_HEIGHT = "a roller's height", 0.0, 15.0;
    TRANSDUCER_DEPTH = "a transducer's depth", 0.0, 15.0;
    FREEBOARD = "a freeboard", 0.1, 15.0;
    MAST_HEIGHT = "a masthead's height", 0.0, 100.0;
    RODE = "a rode", 1.0, 1000.0;
    CHAIN_LENGTH = "a length of chain", 0.5, 1000.0;
    SNUBBER_LENGTH = "a snubber's length", 0.5, 50.0;
    MARKS = "a distance between marks", 0.5, 50.0;
    KEEL_MARGIN = "a margin", 0.0, 10.0;
}
