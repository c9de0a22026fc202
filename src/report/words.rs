//! Every sentence of the report.

use super::facts::{PhoneState, Why};
use crate::outbox::words::Fault;
use crate::watch::messages::EventKind;

/// The usual cautions.
pub(super) const CAUTIONS: [&str; 3] = [
    "An aid, not a substitute for a proper lookout and anchor watch, the skipper's judgement, local rules and licensed practice.",
    "Not for navigation.",
    "It shows what the instruments told the watch. What they did not tell is not in it.",
];

pub(super) const BEGIN_UNKNOWN: &str = "The journal no longer has the moment of letting go. The report begins with the first event it has.";
pub(super) const NOT_WEIGHED: &str =
    "The journal has no weighing of this stay. The report ends with the latest record.";
pub(super) const NOTHING_KEPT: &str = "The journal has no inputs of this stay any more, only what was told. There are no figures and no track.";
pub(super) const BEGIN_REMOVED: &str = "The first inputs of a run were removed from the journal. The drag test started again with what was left, so its figures may differ from those of that night.";
pub(super) const OTHER_SETTINGS: &str = "The configuration is not the same as during the stay. The figures are calculated with the present settings. The alerts are those of that night.";
pub(super) const BY_DISPLAY: &str = "on a display";

#[must_use]
pub(super) fn damaged(batches: u64) -> String {
    format!("{batches} parts of the journal are damaged and were left out.")
}

#[must_use]
pub(super) fn dropped(inputs: u64) -> String {
    format!("{inputs} inputs are missing because the disk could not keep up.")
}

#[must_use]
pub(super) const fn why(why: Why) -> &'static str {
    match why {
        Why::NoFix => "no usable fix",
        Why::NotRunning => "windrode did not run",
        Why::NoRecord => "nothing recorded",
        Why::Removed => "record removed from the journal",
    }
}

#[must_use]
pub(super) fn damaged_channels(rows: u64) -> String {
    format!("{rows} entries about the health of the channels are damaged and were left out.")
}

/// Under a list that is not whole.
#[must_use]
pub(super) fn cut(shown: usize, count: u64, what: &str) -> String {
    format!("Only the latest {shown} of {count} {what} are shown.")
}

#[must_use]
pub(super) const fn fault(fault: Fault) -> &'static str {
    match fault {
        Fault::Refused => "the other side refused it",
        Fault::AskedToWait => "the other side asked to wait",
        Fault::NotTaken => "no connection, no answer or a fault of the other side",
    }
}

#[must_use]
pub(super) const fn phones(state: PhoneState) -> &'static str {
    match state {
        PhoneState::None => "no channel to a phone is configured",
        PhoneState::Working => "at least one channel worked",
        PhoneState::Doubtful => "no channel had worked lately",
        PhoneState::Lost => "no channel worked",
    }
}

pub(super) const TITLE: &str = "The stay at anchor";
pub(super) const AT_ANCHOR: &str = "How she was anchored";
pub(super) const IN_SHORT: &str = "In short";
pub(super) const NO_DRAG: &str = "none";
pub(super) const RAISED_AGAIN: &str = "raised again, see the next row";
pub(super) const OVER_GROUND: &str = "Over the ground";
pub(super) const OVER_GROUND_TEXT: &str = "North is up. The thin line is the track of her centre; it ends where she was not seen. The circle of dashes is the swinging circle, the circle of dots the 95 % uncertainty of the anchor's place.";
pub(super) const LAIN: &str = "her centre, farthest from the anchor";
pub(super) const DEPTH_NEEDED: &str = "depth she needs: draught and margin";
pub(super) const LEAST_DEPTH: &str = "least charted depth in that circle";
pub(super) const NEAREST_DANGER: &str = "nearest place too shoal for her";
pub(super) const TOO_SHOAL: &str = "share of her circle too shoal";
pub(super) const NO_DEPTH_CHARTED: &str = "share without a charted depth";
pub(super) const CHART: &str = "chart";
pub(super) const LAND: &str = "land, or out of the water";
pub(super) const NO_DEPTH: &str = "depth not known, or out of the water";
pub(super) const NO_DANGER: &str = "none near";
pub(super) const CHARTED_TEXT: &str = "Her circle is as wide as the farthest that she lay from the anchor. Depths are below chart datum, without the tide of that night.";
pub(super) const SWING: &str = "Where she lay";
pub(super) const SWING_TEXT: &str = "Directions from the anchor to the boat. The length of a sector is the farthest that she lay there, its shade the share of the time.";
pub(super) const DISTANCE: &str = "Distance from the anchor";
pub(super) const DISTANCE_TEXT: &str = "From the bow roller. Expected is the farthest that she lay, as the drag test had learned by then. Reach is the farthest she can lie from an anchor that holds. In each plot a flag on a pole is the moment an alarm was raised.";
pub(super) const PROBABILITY: &str = "Evidence of dragging";
pub(super) const PROBABILITY_TEXT: &str =
    "Probability that the anchor had moved, by the drag test.";
pub(super) const WIND: &str = "Wind strength";
pub(super) const WIND_FROM: &str = "Wind direction";
pub(super) const WIND_FROM_TEXT: &str = "Where the wind came from, true.";
pub(super) const DEPTH: &str = "Depth of water";
pub(super) const DEPTH_TEXT: &str = "Sounded, and by the tide: the depth at the anchor when it was let go, with the rise and fall since. The two differ where the bottom is not level.";
pub(super) const RODE: &str = "Rode out";
pub(super) const SCOPE: &str = "Scope";
pub(super) const ALERTS: &str = "Alerts";
pub(super) const NO_ALERTS: &str = "No alert was raised.";
pub(super) const BLIND: &str = "Blind spells";
pub(super) const NO_BLIND: &str = "None of a minute or longer is in the record.";
pub(super) const PHONES: &str = "Channels to the phones";
pub(super) const PHONES_TEXT: &str = "Delivered means that the other side accepted the message, not that somebody read it. Attempts that failed include checks without a message. Time in which windrode did not run counts neither as working nor as failing.";
pub(super) const CHANNELS_NOT_RECORDED: &str =
    "The health of each channel was not recorded during this stay.";
pub(super) const CHANNELS_PARTLY: &str = "The health of each channel was recorded for only a part of this stay. The rest is missing in this table.";
pub(super) const NO_CHANNELS: &str = "No channel to a phone was configured.";
pub(super) const TOGETHER: &str = "Taken together";
pub(super) const NEVER: &str = "never";
pub(super) const EVENTS: &str = "What the watch reported";
pub(super) const CAUTION: &str = "Cautions";
pub(super) const RECORD: &str = "About the record";
pub(super) const NO_FIGURES: &str = "Nothing is known of this.";
pub(super) const NOT_ACKNOWLEDGED: &str = "nobody acknowledged it";
pub(super) const WAY_UNKNOWN: &str = "acknowledged; how is not recorded";
#[must_use]
pub(super) const fn kind(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Phase => "phase",
        EventKind::Raised => "raised",
        EventKind::Cleared => "ended",
        EventKind::Acknowledged => "acknowledged",
        EventKind::Note => "note",
    }
}

pub(super) const STILL_STOOD: &str = "still active at the end";
pub(super) const HINT: &str = "Point at the plot for a time and its values. Drag to choose a span of time. Arrow keys work too.";
pub(super) const NOT_SEEN: &str = "blind";
pub(super) const BAND: &str =
    "The shaded band is from the least to the greatest, the line the mean.";
pub(super) const NOT_KNOWN: &str = "not known";
