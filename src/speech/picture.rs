//! The words of the picture.

use std::time::Duration;

use super::sentence::sentences;
use super::{Depth, Sentence, Whole};
use crate::units::{Bearing, Metres, Speed};

sentences! {
    /// Words of the picture. `ago`: the age of the figure, if it is not current.
    pub enum Picture {
        Title { phase: Sentence },
        AlertTitle { priority: String, hazard: Sentence },
        NotWatched,
        Since { since: String, time: Duration },
        SinceUnknown,
        Also { hazards: Sentence },
        AnchorFrom { antenna: bool },
        BerthFrom { antenna: bool },
        TimeToBerth,
        WindFrom,
        HeadToWind,
        Depth,
        DepthAndScope,
        Reach,
        Circle,
        Fix,
        Vector { distance: Metres, bearing: Bearing, ago: Option<Duration> },
        Wind { speed: Speed, from: Bearing, ago: Option<Duration> },
        DepthAgo { depth: Metres, ago: Option<Duration> },
        FixDoubt { doubt: Whole },
        NoFixFor { time: Duration },
        NotKnown,
        Aid,
        NotForNavigation,
        NoPlace,
        Seen { ago: Duration },
        NoHeading,
        BerthLabel,
        CircleLabel { radius: Metres },
        PlannedLabel { radius: Metres },
        LeastLabel { depth: Depth },
        ReachLabel { radius: Metres },
        OneHour,
        Now,
    }

    /// The names of what is drawn on the displays' chart.
    pub enum Drawing {
        Circle,
        CircleText { radius: Metres },
        Anchor,
        AnchorText,
        Berth,
        BerthText,
    }
}
