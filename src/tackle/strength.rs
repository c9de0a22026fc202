//! The tackle aboard, and the winds that overload it.
//!
//! Three winds are calculated. None of them promises that an anchor holds: no table gives the
//! holding of the ground.
//!
//! - The wind in which the last of the rode lifts off the bottom and the anchor begins to be
//!   lifted: from the pull of [`Catenary::lifting_pull`], by the steady pull and by H-40's load.
//! - The wind for which H-40 designs the working load of each part.
//! - The lead at the anchor in the wind expected. Beyond 8° an anchor is assumed to lose its hold
//!   (B. Hancock in SAIL magazine).
//!
//! The anchor's mass is compared with table 20.1 of the small craft code of the UK's Maritime and
//! Coastguard Agency, which applies to anchors of ordinary holding power.
//!
//! Weakness: snubber, shackles, swivel and cleats are not considered; the weakest of them counts.
//! Tests: `the_parts_of_what_is_out`, `the_last_link_of_a_known_rode`.

use serde::{Serialize, Serializer};

use super::catenary::{Catenary, Part};
use super::rode::{Chain, Rope};
use super::wind::Windage;
use crate::speech::Wording;
use crate::speech::plans;
use crate::units::{Kilograms, Metres, Newtons, Speed};

/// The tackle the boat lies to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct GroundTackle {
    /// The chain at the anchor.
    pub chain: Option<Chain>,
    /// The length of the chain; all the rode if there is no rope.
    pub chain_length: Option<Metres>,
    /// The rope above it.
    pub rope: Option<Rope>,
    /// The length of chain and rope together.
    pub aboard: Option<Metres>,
    /// A rope that takes the pull off the chain at the bow.
    pub snubber: Option<Rope>,
    /// The length from the bow to its hook.
    pub snubber_length: Option<Metres>,
    /// The distance between the marks on the rode.
    pub marks: Option<Metres>,
    /// Mass of the anchor.
    pub anchor: Option<Kilograms>,
}

/// Winds in which the rode begins to lift the anchor.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Lift {
    /// The horizontal pull.
    pub pull: Newtons,
    /// By the boat's steady drag.
    pub wind: Speed,
    /// By H-40's design load, which has gusts and surge in it.
    pub wind_by_design: Speed,
}

/// The working load of one part.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Limit {
    /// The part, in words.
    #[serde(serialize_with = "in_english")]
    pub what: plans::Part,
    /// The load it may bear.
    pub working_load: Newtons,
    /// The wind for which H-40 designs that load.
    pub wind: Speed,
}

impl GroundTackle {
    /// All the rode aboard; the chain's length if there is no rope and no other length was entered.
    #[must_use]
    pub fn all(&self) -> Option<Metres> {
        let chain = self.chain_length.filter(|_| self.rope.is_none());
        self.aboard.or(chain)
    }

    /// The length of chain when `out` is out: all of it if there is no rope.
    #[must_use]
    pub fn chain_of(&self, out: Metres) -> Metres {
        match (self.chain, self.rope) {
            (Some(_), None) => out,
            (Some(_), Some(_)) => self.chain_length.unwrap_or_default().min(out),
            (None, _) => Metres::ZERO,
        }
    }

    /// Whether rope comes over the roller when `out` is out.
    #[must_use]
    pub fn is_rope_at_the_roller(&self, out: Metres) -> bool {
        self.rope.is_some() && self.chain_of(out) < out
    }

    /// The rode as it hangs; `None` if its material is unknown, or it is too short.
    #[must_use]
    pub fn hang(&self, out: Metres, height: Metres) -> Option<Catenary> {
        Catenary::new(self.parts(out)?, height)
    }

    /// What is out, from the anchor up.
    fn parts(&self, out: Metres) -> Option<Vec<Part>> {
        let chain_out = self.chain_of(out);
        let mut parts = Vec::new();
        if let Some(rope) = self.rope {
            parts.extend(self.chain.map(|chain| chain.part(chain_out)));
            parts.push(rope.part((out - chain_out).max(Metres::ZERO)));
            return Some(parts);
        }
        let chain = self.chain?;
        let snubbed = self.snubber.zip(self.snubber_length);
        let hook = snubbed.map_or(Metres::ZERO, |(_, length)| length.min(out));
        parts.push(chain.part(out - hook));
        parts.extend(snubbed.map(|(snubber, _)| chain.snubbed(hook, &snubber)));
        Some(parts)
    }

    /// The working loads of what is out.
    #[must_use]
    pub fn limits(&self, out: Metres, windage: &Windage) -> Vec<Limit> {
        let limit = |what: plans::Part, working_load: Newtons| Limit {
            what,
            working_load,
            wind: windage.wind_for_design(working_load),
        };
        let mut limits = Vec::new();
        limits.extend(
            self.chain
                .map(|c| limit(plans::Part::Chain { of: c.to_string() }, c.working_load())),
        );
        let at_roller = self.rope.filter(|_| self.is_rope_at_the_roller(out));
        limits.extend(
            at_roller.map(|r| limit(plans::Part::Rope { of: r.to_string() }, r.working_load())),
        );
        let snubber = self.snubber.filter(|_| self.rope.is_none());
        limits.extend(
            snubber.map(|r| limit(plans::Part::Snubber { of: r.to_string() }, r.working_load())),
        );
        limits
    }
}

impl Lift {
    /// For a rode that hangs like this, on a boat with this windage.
    #[must_use]
    pub fn of(rode: &Catenary, windage: &Windage) -> Self {
        let pull = rode.lifting_pull();
        Self {
            pull,
            wind: windage.wind_for(pull),
            wind_by_design: windage.wind_for_design(pull),
        }
    }
}

/// Data for programs is in English.
fn in_english<S: Serializer>(what: &plans::Part, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(&what.clone().words(&Wording::default()))
}

/// The lead at the anchor, in degrees, beyond which it is assumed to lose its hold.
pub const GREATEST_LEAD: f64 = 8.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn windage() -> Windage {
        let m = Metres::of;
        Windage::new(m(11.2), m(3.6), m(1.1), m(15.5))
    }

    #[test]
    fn the_parts_of_what_is_out() {
        let mixed = GroundTackle {
            chain: "8 mm G40".parse().ok(),
            chain_length: Some(Metres::of(20.0)),
            rope: "14 mm nylon".parse().ok(),
            aboard: Some(Metres::of(70.0)),
            ..GroundTackle::default()
        };
        assert_eq!(mixed.parts(Metres::of(15.0)).unwrap().len(), 2);
        assert!(!mixed.is_rope_at_the_roller(Metres::of(15.0)));
        assert!(mixed.is_rope_at_the_roller(Metres::of(30.0)));
        assert_eq!(mixed.chain_of(Metres::of(30.0)), Metres::of(20.0));
        // 20 kN/8 and 40 kN/4.
        let limits = mixed.limits(Metres::of(30.0), &windage());
        let loads: Vec<f64> = limits.iter().map(|l| l.working_load.get()).collect();
        assert!((loads[0] - 10_000.0).abs() < 1e-6 && (loads[1] - 4998.0).abs() < 1.0);
        assert_eq!(mixed.limits(Metres::of(15.0), &windage()).len(), 1);

        let chain = GroundTackle {
            rope: None,
            aboard: None,
            ..mixed
        };
        assert_eq!(chain.all(), Some(Metres::of(20.0)));
        assert!(!chain.is_rope_at_the_roller(Metres::of(70.0)));
        assert_eq!(
            GroundTackle::default().hang(Metres::of(40.0), Metres::of(8.0)),
            None
        );
    }

    /// 40 m of 8 mm chain over 8 m of height: `w(L² - h²)/(2h)` = 11.9366 × 1536/16 = 1145.9 N. A
    /// snubber does not change it by much.
    #[test]
    fn the_last_link_of_a_known_rode() {
        let mut tackle = GroundTackle {
            chain: "8 mm G40".parse().ok(),
            ..GroundTackle::default()
        };
        let lift = |tackle: &GroundTackle| {
            let rode = tackle.hang(Metres::of(40.0), Metres::of(8.0)).unwrap();
            Lift::of(&rode, &windage())
        };
        let bare = lift(&tackle);
        assert!((bare.pull.get() - 1145.9).abs() < 0.1, "{bare:?}");
        assert!(bare.wind > bare.wind_by_design);
        tackle.snubber = "12 mm nylon".parse().ok();
        tackle.snubber_length = Some(Metres::of(6.0));
        let snubbed = lift(&tackle);
        assert!(
            (snubbed.pull.get() / bare.pull.get() - 1.0).abs() < 0.03,
            "{snubbed:?}"
        );
    }
}
