//! The anchor moves: what is told of it. Hazard `dragging`. Whether it does is the drag test's to say,
//! and the phase follows that.

use serde_json::json;

use super::Lies;
use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::units::{Bearing, Metres, Speed};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::judgement::{Judged, centimetres, finding};
use crate::watch::pull;
use crate::watch::round::{Round, Seen};

/// Judges the hazard.
#[must_use]
pub fn judge(round: &Round) -> Judged {
    if round.phase != AnchorPhase::Dragging {
        return Judged::Gone;
    }
    let Some((lies, here)) = round.lies.as_ref().zip(round.seen.here) else {
        return Judged::Unchanged;
    };
    if lies.evidence.quiet {
        return Judged::Unchanged;
    }
    let mark = lies.anchor.position;
    Judged::Stands(told(
        &round.seen,
        lies,
        here.distance(mark),
        here.roller.bearing_to(mark),
    ))
}

/// A question that an alarm ends with when the engine works or she makes way. She may drag with the
/// engine holding her up: the alarm sounds all the same.
pub(super) fn under_way(seen: &Seen) -> &'static str {
    if pull::works(seen.revolutions) || seen.speed.is_some_and(|speed| speed >= UNDER_WAY) {
        "; under way? weigh to end the watch"
    } else {
        ""
    }
}

/// The anchor is moving.
fn told(seen: &Seen, lies: &Lies, distance: Metres, to_anchor: Bearing) -> Finding {
    let say = &seen.settings.wording;
    let evidence = &lies.evidence;
    let what = match lies.kind {
        MooringKind::Mooring => "the mooring",
        MooringKind::Anchor
        | MooringKind::SecondAnchor
        | MooringKind::ShoreLine
        | MooringKind::SternTo => "the anchor",
    };
    finding(
        Priority::Alarm,
        evidence.moved.get(),
        format!(
            "dragging: {what} has moved {} or more; the mark bears {to_anchor} at {}, the rode reaches {}; look outside, start the engine{}",
            say.length(evidence.moved),
            say.length(distance),
            say.length(lies.ground.reach),
            under_way(seen)
        ),
        json!({
            "anchorMoved": centimetres(evidence.moved),
            "anchorDistance": centimetres(distance),
            "reach": centimetres(lies.ground.reach),
            "margin": centimetres(evidence.margin),
            "dragProbability": (evidence.probability * 1e4).round() / 1e4,
        }),
    )
}

/// No boat drags so fast for long (common practice, no source), and the noise of a receiver that
/// lies still seldom reaches it.
const UNDER_WAY: Speed = Speed::from_knots(3.0);
