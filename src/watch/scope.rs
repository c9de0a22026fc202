//! The scope: is enough rode out, now and at the coming high water? Hazard `scopeShort`.
//!
//! A strong wind needs more. The wind counts as strong from its threshold on until it has fallen
//! to [`CALMS`] of it, so that nothing chatters. While no wind is heard, what was last known of it
//! counts; where nothing is known since a restart, an alert that stood goes on standing. A shortfall of less
//! than [`SLACK`] is told to nobody.

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
    /// `None` while no wind was heard yet.
    strong_wind: Option<bool>,
}

impl ScopeWatch {
    /// Judges the hazard; `told`: how grave it is told to be already.
    pub fn judge(&mut self, round: &Round, told_as: Option<Priority>) -> Judged {
        // While she is being dug in the rode is still going out.
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
                // Since a restart: it blew hard before, and may still.
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

/// Scope of the rode that is out over the depth now and at the coming high water.
#[must_use]
pub fn scopes(round: &Round) -> (Option<f64>, Option<f64>) {
    let Some(lies) = &round.lies else {
        return (None, None);
    };
    let depth = round.seen.depth.or(lies.anchor.depth);
    // With a snubber on she lies to the rode as far as its hook, and to the snubber.
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

/// The scope is less than wanted.
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

/// Nobody veers for a quarter of a length.
const SLACK: f64 = 0.25;
const HYSTERESIS: f64 = 0.25;
const CALMS: f64 = 0.8;
