//! The anchor moves: what is reported about it. Hazard `dragging`. The drag test decides whether the anchor moves,
//! and the phase follows its verdict.
//!
//! **Two stages.** The verdict of the drag test is an alarm. Before that, while the anchor counts as set, a
//! probability of one half ([`LIKELY`]) is a caution: displays show it, nothing sounds, and the phase does not
//! change. It clears when the probability falls below [`UNLIKELY`]. An alarm that follows is raised again, because
//! it is graver. Tests: `watch/tests/first_stage.rs`; how often it occurs: `windrode measure`.

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

/// Judges the hazard; `before` is its reported state.
///
/// An unacknowledged alarm stays until somebody acknowledges it: a caution needs no acknowledgement, and would
/// replace it.
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
    // Where she was is already reported.
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

/// The anchor is moving. She may be dragging with the engine holding her up: the alarm sounds all the same, and its
/// message ends with a question.
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

/// Are the three figures of the sentence consistent? If the anchor held elsewhere than at the mark they need not
/// be: then the sentence says that and leaves out the reach.
fn adds_up(moved: Metres, distance: Metres, reach: Metres) -> bool {
    distance.get() - reach.get() + ROUNDED >= moved.get()
}

/// The caution is shown from the first probability on, and cleared below the second.
pub const LIKELY: f64 = 0.5;
const UNLIKELY: f64 = 0.2;
/// The highest figure that a caution gives for its certainty, percent; the alarm gives none.
const MOST_LIKELY: f64 = 99.0;
/// Metres: the error from rounding three lengths.
const ROUNDED: f64 = 1.5;
/// No boat drags this fast for long (common practice, no source), and the noise of a receiver that lies still
/// seldom reaches this speed.
const UNDER_WAY: Speed = Speed::from_knots(3.0);

#[cfg(test)]
mod tests {
    use super::*;

    /// "has moved 18 m or more; mark at 16 m, reaches 10 m".
    #[test]
    fn contradictory_figures_are_not_reported_together() {
        let metres = Metres::of;
        assert!(!adds_up(metres(18.0), metres(16.0), metres(10.0)));
        assert!(adds_up(metres(14.0), metres(53.0), metres(39.0)));
        assert!(adds_up(metres(14.4), metres(52.6), metres(39.4)));
    }
}
