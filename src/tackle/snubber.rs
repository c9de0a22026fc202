//! A snubber or a bridle: a rope from the bow to a hook on the chain, which takes the pull off the chain.
//!
//! **Formula.** With `A` the length of rode from the anchor to the hook and `S` the snubber from the bow roller to the
//! hook, the straight part between anchor and bow is `A + S`; the chain between hook and roller hangs slack. Under load
//! `A` grows by the rode's stretch and `S` by a sixth, but no farther than the rode that is out, `R`, with its own
//! stretch: there the slack is used up and the chain bears again.
//! **Assumptions.** The snubber is of nylon, loaded to a quarter of its breaking load at most; the stiffness is that of
//! [`super::rode`] (1.5 times the breaking load doubles the length, so a quarter of it stretches by a sixth). A bridle
//! counts with the length of one leg along the boat's centreline; the loss from its spread is left out, so the
//! calculated reach is a little too long rather than too short.
//! **Source**: common practice, no source. **Weakness**: if the bow end of a snubber is made fast amidships or at the
//! waterline, it lies elsewhere than at the roller. **Tests**: below, and `src/watch/tests/snubber.rs`.

use serde::{Deserialize, Serialize};

use crate::units::Metres;

/// A snubber that is on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Snubber {
    /// Rode from the anchor to the hook.
    pub at: Metres,
    /// From the bow roller to the hook.
    pub length: Metres,
}

impl Snubber {
    /// The length she lies to: from the anchor by way of the snubber to the bow.
    /// ```
    /// use windrode::tackle::snubber::Snubber;
    /// use windrode::units::Metres;
    ///
    /// let snubber = Snubber { at: Metres::of(40.0), length: Metres::of(8.0) };
    /// assert_eq!(snubber.drawn(), Metres::of(48.0));
    /// ```
    #[must_use]
    pub fn drawn(self) -> Metres {
        self.at + self.length
    }

    /// By which fraction of [`Self::drawn`] it grows under load, where the rode stretches by `stretch`. `rode` is the
    /// rode that is out, if known.
    #[must_use]
    pub fn stretch(self, rode: Option<Metres>, stretch: f64) -> f64 {
        let drawn = self.drawn().get();
        if drawn <= 0.0 {
            return stretch;
        }
        let loaded = self.at.get() * (1.0 + stretch) + self.length.get() * (1.0 + NYLON);
        // Less rode than that cannot be out while the snubber bears, so the figure is out of date.
        let most = rode
            .map(Metres::get)
            .filter(|rode| *rode >= drawn)
            .map(|rode| rode * (1.0 + stretch));
        (most.map_or(loaded, |most| most.min(loaded)) / drawn - 1.0).max(0.0)
    }
}

/// A quarter of the breaking load over a stiffness of 1.5 times it.
const NYLON: f64 = 0.25 / 1.5;

#[cfg(test)]
mod tests {
    use super::*;

    fn on() -> Snubber {
        Snubber {
            at: Metres::of(40.0),
            length: Metres::of(6.0),
        }
    }

    /// 40 m of rode at 2 % and 6 m of nylon at a sixth: 40.8 + 7 = 47.8 m.
    #[test]
    fn nylon_stretches_until_the_chain_bears() {
        let loaded = |rode: Option<f64>| 46.0 * (1.0 + on().stretch(rode.map(Metres::of), 0.02));
        assert!((loaded(None) - 47.8).abs() < 1e-9);
        assert!((loaded(Some(50.0)) - 47.8).abs() < 1e-9);
        // 46.5 m of chain at 2 % are 47.43 m: then the chain holds her.
        assert!((loaded(Some(46.5)) - 47.43).abs() < 1e-9);
        // The rode was not entered again after more was veered to set the snubber.
        assert!((loaded(Some(40.0)) - 47.8).abs() < 1e-9);
    }
}
