//! The scope: is enough rode out, now and at the coming high water? Hazard `scopeShort`.
//!
//! A strong wind requires more. The wind counts as strong from its threshold until it has fallen to
//! [`CALMS`] of it, so that the alert does not chatter. While no wind is heard, the last known wind counts;
//! if none is known since a restart, a standing alert stays. A shortfall of less than [`SLACK`] is not
//! reported.

use serde_json::json;

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::speech::alerts::{Alert, When};
use crate::speech::{Ratio, Round as Whole, Sentence};
use crate::tackle::scope;
use crate::tackle::snubber::Snubber;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::judgement::{Judged, finding};
use crate::watch::round::Round;

/// Judges the scope.
#[derive(Clone, Debug, Default)]
pub struct ScopeWatch {
    /// `None` until the first wind is heard.
    strong_wind: Option<bool>,
}

impl ScopeWatch {
    /// Judges the hazard; `told` is the priority at which it is already reported.
    pub fn judge(&mut self, round: &Round, told_as: Option<Priority>) -> Judged {
        // While the anchor is being dug in, the rode is still going out.
        if !matches!(round.phase, AnchorPhase::Set | AnchorPhase::Dragging) {
            return Judged::Gone;
        }
        let settings = &round.seen.settings;
        let (scope_now, at_high) = scopes(round);
        let slack = if told_as.is_some() { HYSTERESIS } else { 0.0 };
        let threshold = if self.strong_wind == Some(true) {
            settings.strong_wind * CALMS
        } else {
            settings.strong_wind
        };
        if let Some(speed) = round.seen.wind {
            self.strong_wind = Some(speed >= threshold);
        }
        let short = |scope: Option<f64>, wanted: f64| scope.filter(|s| *s < wanted - SLACK + slack);
        if let Some(scope) = short(scope_now, settings.scope_strong) {
            let wanted = settings.scope_strong;
            match (self.strong_wind, round.seen.wind) {
                (Some(true), Some(_)) => {
                    return Judged::Stands(told(
                        scope,
                        wanted,
                        When::InThisWind,
                        Priority::Warning,
                    ));
                }
                (Some(true), None) => {
                    let when = When::InTheLastWind;
                    return Judged::Stands(told(scope, wanted, when, Priority::Warning));
                }
                // No wind since a restart: it was strong before, and may still be.
                (None, _) if told_as.is_some_and(|told| told >= Priority::Warning) => {
                    return Judged::Unchanged;
                }
                (Some(false) | None, _) => {}
            }
        }
        let (scope, when) = match at_high {
            Some(scope) => (Some(scope), When::AtHighWater),
            None => (scope_now, When::Now),
        };
        match short(scope, settings.scope) {
            Some(scope) => Judged::Stands(told(scope, settings.scope, when, Priority::Caution)),
            None if scope.is_none() => Judged::Unchanged,
            None => Judged::Gone,
        }
    }
}

/// Scope of the rode that is out over the depth, now and at the coming high water.
#[must_use]
pub fn scopes(round: &Round) -> (Option<f64>, Option<f64>) {
    let Some(lies) = &round.lies else {
        return (None, None);
    };
    let depth = round.seen.depth.or(lies.anchor.depth);
    // With a snubber on she lies to the rode up to its hook, and to the snubber.
    let rode = lies.snubber.map(Snubber::drawn).or(lies.rode);
    let Some((rode, depth)) = rode.zip(depth) else {
        return (None, None);
    };
    let roller = round.seen.boat.roller_height();
    let high = round
        .tide
        .as_ref()
        .and_then(|tide| scope::scope(rode, depth - tide.now + tide.highest, roller));
    (scope::scope(rode, depth, roller), high)
}

/// The scope is less than required.
fn told(scope: f64, wanted: f64, when: When, priority: Priority) -> Finding<Sentence> {
    finding(
        priority,
        0.0,
        Alert::ScopeShort {
            scope: Ratio(scope),
            when,
            wanted: Whole(wanted),
        },
        json!({ "scope": (scope * 100.0).round() / 100.0 }),
    )
}

/// As a scope: nobody veers for a quarter of the height from roller to bottom.
const SLACK: f64 = 0.25;
const HYSTERESIS: f64 = 0.25;
const CALMS: f64 = 0.8;
