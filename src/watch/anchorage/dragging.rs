//! The anchor moves: what is told of it. Hazard `dragging`. Whether it does is the drag test's to say,
//! and the phase follows that.
//!
//! **Two stages.** The verdict of the drag test is an alarm. Before it, while the anchor counts as set, a
//! probability of one half ([`LIKELY`]) is a caution: displays show it, nothing sounds, and the phase stays.
//! It is cleared when the probability is below [`UNLIKELY`]. The alarm that follows is raised again, since it is
//! graver. Tests: `watch/tests/first_stage.rs`; how often it comes: `windrode measure`.

use serde_json::json;

use super::Lies;
use crate::alert::desk::Finding;
use crate::alert::hazard::{AlertState, Priority};
use crate::speech::alerts::Alert;
use crate::speech::{Round as Whole, Sentence};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres, Speed};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::judgement::{Judged, centimetres, finding};
use crate::watch::pull;
use crate::watch::round::{Round, Seen};
use crate::watch::state::MeasuredFrom;

/// Judges the hazard; `before`: what was told of it.
///
/// An alarm that nobody has seen stays until somebody has: a caution needs no acknowledgement, and would take its place.
#[must_use]
pub fn judge(round: &Round, before: AlertState) -> Judged {
    match round.phase {
        AnchorPhase::Dragging => moves(round),
        AnchorPhase::Set => match before {
            AlertState::ActiveUnacknowledged
            | AlertState::ActiveSilenced
            | AlertState::RectifiedUnacknowledged => Judged::Gone,
            AlertState::ActiveAcknowledged => may_move(round, UNLIKELY),
            AlertState::Normal => may_move(round, LIKELY),
        },
        AnchorPhase::Aweigh | AnchorPhase::Setting => Judged::Gone,
    }
}

/// The second stage.
fn moves(round: &Round) -> Judged {
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
        round.seen.unseen_since(),
    ))
}

/// The first stage.
fn may_move(round: &Round, least: f64) -> Judged {
    let Some((lies, here)) = round.lies.as_ref().zip(round.seen.here) else {
        return Judged::Unchanged;
    };
    let probability = lies.evidence.probability;
    if probability < least {
        return Judged::Gone;
    }
    // Nothing new is told of where she was.
    if round.seen.unseen_since().is_some() {
        return Judged::Unchanged;
    }
    let mark = lies.anchor.position;
    let (distance, to_mark) = (here.distance(mark), here.roller.bearing_to(mark));
    Judged::Stands(finding(
        Priority::Caution,
        lies.evidence.moved.get(),
        Alert::MayDrag {
            kind: lies.kind,
            percent: Whole((probability * 100.0).min(MOST_LIKELY)),
            bearing: to_mark,
            distance,
        },
        numbers(lies, distance),
    ))
}

/// The engine works or she makes way.
#[must_use]
pub fn is_under_way(seen: &Seen) -> bool {
    pull::works(seen.revolutions) || seen.speed.is_some_and(|speed| speed >= UNDER_WAY)
}

/// The anchor is moving. She may drag with the engine holding her up: the alarm sounds all the same, and
/// ends with a question.
fn told(
    seen: &Seen,
    lies: &Lies,
    distance: Metres,
    bearing: Bearing,
    unseen: Option<Timestamp>,
) -> Finding<Sentence> {
    let evidence = &lies.evidence;
    let adds_up = adds_up(evidence.moved, distance, lies.ground.reach);
    finding(
        Priority::Alarm,
        evidence.moved.get(),
        Alert::Dragging {
            kind: lies.kind,
            moved: evidence.moved,
            bearing,
            distance,
            reach: adds_up.then_some(lies.ground.reach),
            antenna: seen.measured_from() == MeasuredFrom::Antenna,
            unseen,
            under_way: is_under_way(seen),
        },
        numbers(lies, distance),
    )
}

fn numbers(lies: &Lies, distance: Metres) -> serde_json::Value {
    json!({
        "anchorMoved": centimetres(lies.evidence.moved),
        "anchorDistance": centimetres(distance),
        "reach": centimetres(lies.ground.reach),
        "margin": centimetres(lies.evidence.margin),
        "dragProbability": (lies.evidence.probability * 1e4).round() / 1e4,
    })
}

/// Do the three figures of the sentence agree? Where the anchor held elsewhere than at the mark they need
/// not: then the sentence says so, and nothing of the reach.
fn adds_up(moved: Metres, distance: Metres, reach: Metres) -> bool {
    distance.get() - reach.get() + ROUNDED >= moved.get()
}

/// From this probability on a caution is shown, and below that it is cleared.
pub const LIKELY: f64 = 0.5;
const UNLIKELY: f64 = 0.2;
/// The alarm has no figure for its certainty; a caution claims none, percent.
const MOST_LIKELY: f64 = 99.0;
/// Metres: so much rounding makes of three lengths.
const ROUNDED: f64 = 1.5;
/// No boat drags so fast for long (common practice, no source), and the noise of a receiver that
/// lies still seldom reaches it.
const UNDER_WAY: Speed = Speed::from_knots(3.0);

#[cfg(test)]
mod tests {
    use super::*;

    /// "has moved 18 m or more; mark at 16 m, reaches 10 m".
    #[test]
    fn figures_that_contradict_each_other_are_not_told_together() {
        let metres = Metres::of;
        assert!(!adds_up(metres(18.0), metres(16.0), metres(10.0)));
        assert!(adds_up(metres(14.0), metres(53.0), metres(39.0)));
        assert!(adds_up(metres(14.4), metres(52.6), metres(39.4)));
    }
}
