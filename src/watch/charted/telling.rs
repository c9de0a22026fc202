//! What the crew is told of the planned circle and of room to swing. Every sentence of it stands here.

use serde_json::{Map, Value, json};

use crate::alert::desk::Finding as Told;
use crate::alert::hazard::Priority;
use crate::chart::clearance::{DepthThere, Finding, OwnTold, RoomTold, percent};
use crate::chart::own::day;
use crate::speech::{Sentence, Wording};
use crate::tackle::plan::ratio;
use crate::units::Metres;
use crate::watch::berth::{DepthBy, Planned};
use crate::watch::judgement::{centimetres, finding};

impl Planned {
    /// The planned circle, and what the chart says of it where it is read, in one sentence.
    #[must_use]
    pub fn words(&self, say: &Wording) -> String {
        let room = self.room.as_ref().map_or(String::new(), |room| {
            format!("; {}", room_words(room, self.room_least, say))
        });
        planned_words(self, say) + &room
    }
}

/// The planned circle in one sentence.
#[must_use]
pub fn planned_words(planned: &Planned, say: &Wording) -> String {
    let scope = planned.scope_at_high_water.map_or(String::new(), ratio);
    let because = match planned.wishes.rode {
        Some(_) => format!(" as asked, scope {scope}"),
        None => format!(
            ", scope {scope}, planned {}:1: {}",
            planned.scope, planned.scope_because
        ),
    };
    let because = if planned.may_be_deeper() && planned.wishes.rode.is_none() {
        format!(
            "{because}; the chart has no deep bound there: this rode is for the shoal bound and may be TOO SHORT, sound the berth before letting go"
        )
    } else {
        because
    };
    let short = match (planned.enough, planned.rode_aboard) {
        (Some(false), Some(aboard)) => format!(", NOT ENOUGH ABOARD: {}", say.length(aboard)),
        _ => String::new(),
    };
    let circle = match planned.radius {
        Some(radius) => format!("; circle {} to the stern", say.length(radius)),
        None => "; that rode does not reach the bottom".to_owned(),
    };
    let rode = say.length(planned.rode);
    format!(
        "{}; rode {rode}{because}{short}{circle}",
        depth_words(planned, say)
    )
}

fn depth_words(planned: &Planned, say: &Wording) -> String {
    let (high, low) = (planned.depth_at_high_water, planned.depth_at_low_water);
    let by = match (&planned.charted, planned.depth_by) {
        (Some(there), DepthBy::Soundings) => soundings_words(there, say),
        (Some(there), _) => charted_words(there, say),
        (None, DepthBy::Sounder) => {
            "depth as sounded where she is now, no chart gives it".to_owned()
        }
        (None, DepthBy::Chart | DepthBy::Soundings) => "depth by the chart".to_owned(),
    };
    match (planned.until, &planned.charted) {
        (Some(_), _) => format!(
            "{by}; {} of water at high water, {} at low water",
            say.depth(high),
            say.depth(low)
        ),
        (None, Some(_)) => format!("{by}, no tide known"),
        (None, None) => format!("{by}; {} of water, no tide known", say.depth(low)),
    }
}

/// `sounded there before: 5.2 m to 5.8 m, the shoalest on 3 May 2026, tide from Föglö; no chart gives the depth`.
fn soundings_words(there: &DepthThere, say: &Wording) -> String {
    let least = say.depth(there.least);
    let most = there.most.map(|most| say.depth(most));
    let most = most
        .filter(|most| *most != least)
        .map_or(String::new(), |most| format!(" to {most}"));
    let by = there.sounded.as_ref().map_or(String::new(), |own| {
        format!(", the shoalest on {}, {}", day(own.at), own.tide.words())
    });
    format!("sounded there before: {least}{most}{by}; no chart gives the depth")
}

/// `charted depth 1.8 m to 3.6 m`.
fn charted_words(there: &DepthThere, say: &Wording) -> String {
    let depth = |depth: Metres| {
        if depth.get() < 0.0 {
            format!("drying {}", say.depth(Metres::ZERO - depth))
        } else {
            say.depth(depth)
        }
    };
    let own = there.sounded.as_ref().map_or(String::new(), |own| {
        format!(
            " (sounded {} there on {}, {})",
            depth(own.depth),
            day(own.at),
            own.tide.words()
        )
    });
    match there.most.filter(|most| *most != there.least) {
        Some(most) => format!(
            "charted depth {} to {}{own}",
            depth(there.least),
            depth(most)
        ),
        None if there.is_open() => format!("charted depth {} or more{own}", depth(there.least)),
        None => format!("charted depth {}{own}", depth(there.least)),
    }
}

/// The berth has no depth to plan with.
pub(in crate::watch) const NO_DEPTH: &str =
    "the circle is not sized: no chart gives the depth there and no sounder is heard";

/// What the chart says of a circle, in one sentence.
#[must_use]
pub fn room_words(room: &RoomTold, least: Option<Metres>, say: &Wording) -> String {
    let chart = chart_words(room);
    if !room.clears {
        return format!(
            "room to swing NOT CLEAR: {}{chart}",
            room.reasons.join("; ")
        );
    }
    let own = room.soundings.as_ref().filter(|own| own.governs);
    let by = own.map_or(String::new(), |own| {
        format!(" by the boat's own sounding ({})", sounded(own, say))
    });
    let least = least.map_or(String::new(), |least| {
        format!(", least depth {} at low water{by}", say.depth(least))
    });
    format!("room to swing is clear by the chart{least}{chart}")
}

fn sounded(own: &OwnTold, say: &Wording) -> String {
    own.words(|depth| say.depth(depth))
}

/// What she has sounded in a circle that no chart covers.
pub(in crate::watch) fn own_words(own: &OwnTold, say: &Wording) -> String {
    format!(
        "; the shoalest of the boat's own soundings there: {}; they cover only where she has been",
        sounded(own, say)
    )
}

fn chart_words(room: &RoomTold) -> String {
    room.chart
        .as_ref()
        .map_or(String::new(), |chart| format!(" (chart {chart})"))
}

/// The charts are not read yet.
pub(in crate::watch) const NOT_READ: &str = "the chart has not been read yet; what it says follows";

/// There are none.
pub(in crate::watch) const NO_CHARTS: &str = "no charts aboard: room to swing is not checked";

/// The charts cannot be read.
pub(in crate::watch) fn unreadable(why: &str) -> String {
    format!("room to swing is not checked, the charts cannot be read: {why}")
}

/// She has let go, and the circle about the anchor does not clear.
pub(in crate::watch) fn try_again(room: &RoomTold) -> String {
    format!(
        "room to swing NOT CLEAR about the anchor: {}; it costs nothing to try again now{}",
        room.reasons.join("; "),
        chart_words(room)
    )
}

/// The numbers behind it.
pub(in crate::watch) fn evidence(room: &RoomTold) -> Map<String, Value> {
    let mut evidence = Map::new();
    let mut put = |name: &str, value: Value| {
        evidence.insert(name.to_owned(), value);
    };
    put("findings", json!(room.findings));
    put("radius", json!(centimetres(room.radius)));
    put("shareTooShoal", json!(thousandths(room.share_too_shoal)));
    put(
        "shareNotCovered",
        json!(thousandths(room.share_not_covered)),
    );
    let own = room.soundings.as_ref().filter(|own| own.governs);
    let least = room.least.as_ref().and_then(|least| least.depth);
    match (own, least) {
        (Some(own), _) => {
            put("leastSounded", json!(centimetres(own.least)));
            put("soundedAt", json!(own.at));
            put("soundedTide", json!(own.tide));
        }
        (None, Some(depth)) => put("leastCharted", json!(centimetres(depth))),
        (None, None) => {}
    }
    put("chart", json!(room.chart));
    evidence
}

/// Hazard `shoaling` by the chart: where she could swing it is too shoal at the coming low water. `slack` is what a
/// hazard that stands needs above the margin to be over.
pub(super) fn shoaling(
    room: &RoomTold,
    draught: Option<Metres>,
    lowest: Metres,
    margin: Metres,
    slack: Metres,
) -> Option<Told<Sentence>> {
    let draught = draught?;
    let least = room.least.as_ref();
    let left = least
        .and_then(|least| least.depth)
        .map(|depth| depth + lowest - draught);
    let short = left.filter(|left| *left < margin + slack);
    let solid = room.found(Finding::Solid);
    let unknown = room.found(Finding::UnknownDanger);
    if short.is_none() && !solid && !unknown {
        return None;
    }
    let severity = if solid || unknown {
        draught + margin
    } else {
        (margin - short?).max(Metres::ZERO)
    };
    let share = if room.share_too_shoal > 0.0 {
        format!(" over {} of her circle", percent(room.share_too_shoal))
    } else {
        String::new()
    };
    let named = room
        .findings
        .iter()
        .zip(&room.reasons)
        .filter(|(finding, _)| is_shoal(**finding))
        .map(|(_, reason)| reason.as_str());
    let named: Vec<&str> = named.collect();
    let reasons = if named.is_empty() {
        // Told before, and a little more than the margin now.
        "little more than the margin is left under the keel".to_owned()
    } else {
        named.join("; ")
    };
    Some(finding(
        Priority::Warning,
        severity.get(),
        Sentence::verbatim(format!(
            "shoaling where she could swing{share}: {reasons}; shorten the rode or lie elsewhere before low water{}",
            chart_words(room)
        )),
        Value::Object(evidence(room)),
    ))
}

/// Does it speak of too little water?
pub(super) const fn is_shoal(finding: Finding) -> bool {
    matches!(
        finding,
        Finding::Solid
            | Finding::Grounds
            | Finding::GroundsAtLowWater
            | Finding::MarginShort
            | Finding::UnknownDanger
    )
}

fn thousandths(share: f64) -> f64 {
    (share * 1000.0).round() / 1000.0
}
