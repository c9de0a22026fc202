//! The approach: follows the boat to the planned berth, reports each step, and learns how far she carries her way.
//!
//! The geometry, the steps and the sentences are in [`room::approach`](crate::room::approach). This module decides
//! when to use them: only with a current fix, before the anchor is let go, and within a mile of the berth.
//! **Test**: `watch/tests/approach.rs`.

use crate::geodesy::Position;
use crate::room::approach::steps::Steps;
use crate::room::approach::way::WayLearner;
use crate::room::approach::{Approach, Known, NEAR, Way, approach};
use crate::speech::approach::Approaching;
use crate::units::Bearing;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::round::Round;

/// See the module documentation.
#[derive(Clone, Debug, Default)]
pub struct ApproachWatch {
    learner: WayLearner,
    /// The berth that the steps belong to.
    berth: Option<Position>,
    steps: Steps,
}

impl ApproachWatch {
    /// Restores what was learned about how far she carries her way.
    #[must_use]
    pub fn restored(coasts: &[f64]) -> Self {
        Self {
            learner: WayLearner::restored(coasts),
            ..Self::default()
        }
    }

    /// What was learned about how far she carries her way, to be saved.
    #[must_use]
    pub fn coasts(&self) -> Vec<f64> {
        self.learner.coasts()
    }

    /// Takes a round and returns the step to report now. `head_to_wind` is the course into the mean wind.
    pub fn take(
        &mut self,
        round: &Round,
        berth: Option<Position>,
        head_to_wind: Option<Bearing>,
    ) -> Option<Approaching> {
        let seen = &round.seen;
        let here = seen.fresh_here()?;
        if round.phase != AnchorPhase::Aweigh {
            self.berth = None;
            return None;
        }
        self.learner.take(
            seen.now.tick,
            here.fix.antenna,
            seen.velocity,
            seen.revolutions,
        );
        if self.berth != berth {
            self.berth = berth;
            self.steps = Steps::default();
        }
        let way = self.way_to(round, berth?, head_to_wind)?;
        if way.distance > NEAR {
            return None;
        }
        let step = self.steps.take(&way)?;
        Some(step.told())
    }

    /// The way to the berth, by the last fix.
    #[must_use]
    pub fn way_to(
        &self,
        round: &Round,
        berth: Position,
        head_to_wind: Option<Bearing>,
    ) -> Option<Approach> {
        let seen = &round.seen;
        Some(approach(&Known {
            berth,
            roller: seen.here?.roller,
            velocity: seen.velocity,
            head_to_wind,
            way: Way::of(
                seen.boat.figures().way,
                self.learner.from_two_knots(),
                seen.boat.length_or_default(),
            ),
        }))
    }
}
