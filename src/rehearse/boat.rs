//! A boat at anchor and her anchor: where they truly are.
//!
//! Midships moves on the plane under wind drag, water drag, rode and propeller, integrated with
//! the semi-implicit Euler method in fixed steps (longer ones than a quarter of a second are
//! divided). Water drag is taken implicitly and the rode's stiffness is bounded by its snubber
//! ([`crate::rehearse::rode`]), so no gale makes the sums explode.
//!
//! *Wind.* `½ rho Cd A V²` along and across the boat. Drag coefficients are those of *Principles of
//! Yacht Design*, figure 9.2 (hull about 0.5, mast 1.0, stays 1.2); the areas they are multiplied
//! with are ours, for an 11 m sloop with furled sails, scaled with the square of the length.
//! *Water.* The same law with little area along the hull and much across it, against the stream.
//! *Yaw.* She turns, as a damped spring, towards the heading that wind, stream and rode together
//! call for, plus a *sheer*: a slow oscillation of this target heading with wandering amplitude and
//! period.
//! The sheer is put in, not derived: boats yaw about 30° each way with a period of one to a few
//! minutes (Dulhunty for the angle; common practice, no source, for the period). Her sideways
//! motion then comes out of the forces, and the rode brings her bow round as it does aboard.
//! *Anchor.* It holds until the horizontal pull exceeds its holding power, then it moves along the
//! pull with a speed in proportion to the excess. It holds little until it is dug in, and it holds
//! less the steeper the chain leads up from it. [`Boat::drag_at`] makes it drag at a set speed
//! instead.
//! *Approach.* Under way she is steered, not computed: along a line, slowing down, to a stop.
//!
//! Weakness: added mass is the same in all directions; no waves, so no snatching; the chain has no
//! inertia; the areas and the anchor's law are plausible rather than measured.

mod hanging;
mod motion;

use std::time::Duration;

use hanging::Hanging;
pub use hanging::{HangingSettings, Kink};
use motion::{AIR, Hull, IDLE};

use crate::geodesy::Offset;
use crate::rehearse::dice::{Dice, GaussMarkov, Purpose};
use crate::rehearse::sea::{SeaState, Velocity};
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};

/// What the boat is like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoatSettings {
    /// Length over all.
    pub length: Metres,
    /// Bow roller ahead of the stem.
    pub roller_ahead: Metres,
    /// Bow roller above the water.
    pub roller_height: Metres,
    /// Mass of the chain in air, kilogrammes a metre.
    pub chain: f64,
    /// Stiffness of the snubber, newtons a metre.
    pub snubber: f64,
    /// What the anchor holds when it is dug in, newtons.
    pub holding: f64,
    /// How far she sheers to each side in a wind, on average.
    pub sheer: Angle,
    /// How long she takes from one side to the other and back.
    pub sheer_period: Duration,
}

impl Default for BoatSettings {
    /// An 11.2 m sloop on 8 mm chain (1.4 kg/m). The anchor holds 12 kN in sand; the snubber
    /// stretches by a metre at 8 kN (both common practice, no source).
    fn default() -> Self {
        Self {
            length: Metres::of(11.2),
            roller_ahead: Metres::of(0.4),
            roller_height: Metres::of(1.3),
            chain: 1.4,
            snubber: 8000.0,
            holding: 12_000.0,
            sheer: Angle::from_degrees(30.0),
            sheer_period: Duration::from_secs(100),
        }
    }
}

/// What the engine is set to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum EngineOrder {
    /// Off.
    #[default]
    Stopped,
    /// Running, out of gear.
    Neutral,
    /// In gear ahead.
    Ahead(Hertz),
    /// In gear astern.
    Astern(Hertz),
}

/// The true state of the boat at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoatState {
    /// The bow roller.
    pub roller: Offset,
    /// Midships.
    pub centre: Offset,
    /// Velocity of midships over the ground.
    pub velocity: Velocity,
    /// Where the bow points, true.
    pub heading: Bearing,
    /// Radians a second, positive to starboard.
    pub yaw_rate: f64,
    /// Revolutions of the engine.
    pub revolutions: Hertz,
    /// The anchor, while it is on the bottom.
    pub anchor: Option<Offset>,
    /// Rode out, from the roller.
    pub rode_out: Metres,
    /// Horizontal pull of the rode, newtons.
    pub pull: f64,
}

/// The boat, moved on in fixed steps.
#[derive(Clone, Debug)]
pub struct Boat {
    settings: BoatSettings,
    hull: Hull,
    dice: Dice,
    /// In units of the mean amplitude.
    sheer_strength: GaussMarkov,
    /// In units of the mean rate.
    sheer_haste: GaussMarkov,
    /// Of the sheer, radians.
    sheer_phase: f64,
    steps: u64,
    step: f64,
    parts: u32,
    /// Sine and cosine of the heading.
    bow: (f64, f64),
    conduct: Conduct,
    /// Set when she hangs instead of being moved by forces.
    hanging: Option<Hanging>,
    anchor: Option<Anchor>,
    rode_wanted: f64,
    veering: f64,
    order: EngineOrder,
    /// Of the propeller, hertz, negative astern.
    shaft: f64,
    state: BoatState,
}

/// What moves the boat.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Conduct {
    /// Wind, water and rode.
    Lying,
    /// The helmsman brings the roller to a point.
    Steaming { to: Offset, speed: f64 },
    /// The helmsman keeps her where she is.
    Waiting,
}

/// The true state of the anchor.
#[derive(Clone, Copy, Debug)]
struct Anchor {
    at: Offset,
    reckoned_from: Offset,
    /// How well it is dug in, `0..=1`.
    buried: f64,
    drag: Option<f64>,
}

impl Boat {
    /// Under way, with her bow roller at a point, waiting for [`Boat::steam_to`].
    #[must_use]
    pub fn under_way(
        settings: BoatSettings,
        step: Duration,
        roller: Offset,
        heading: Bearing,
        seed: u64,
    ) -> Self {
        let mut dice = Dice::new(seed, Purpose::Boat);
        let hull = Hull::of(&settings);
        let period = settings.sheer_period;
        let slow = step * SHEER_EVERY;
        let parts = (step.as_secs_f64() / LONGEST_STEP).ceil().max(1.0);
        let mut boat = Self {
            settings,
            hull,
            sheer_strength: GaussMarkov::new(SHEER_SPREAD, period * 2, slow, &mut dice),
            sheer_haste: GaussMarkov::new(HASTE_SPREAD, period, slow, &mut dice),
            sheer_phase: dice.between(0.0, std::f64::consts::TAU),
            dice,
            steps: 0,
            step: step.as_secs_f64() / parts,
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "a whole number of at least one; a cast beyond the range saturates"
            )]
            parts: parts as u32,
            bow: heading.get().sin_cos(),
            conduct: Conduct::Waiting,
            hanging: None,
            anchor: None,
            rode_wanted: 0.0,
            veering: 0.0,
            order: EngineOrder::Neutral,
            shaft: 0.0,
            state: BoatState {
                roller,
                centre: roller - Offset::polar(heading, Metres::of(hull.lever)),
                velocity: Velocity::REST,
                heading,
                yaw_rate: 0.0,
                revolutions: IDLE,
                anchor: None,
                rode_out: Metres::ZERO,
                pull: 0.0,
            },
        };
        boat.place_roller();
        boat
    }

    /// Brings the bow roller to a point and stops there. With the anchor down nothing happens.
    pub fn steam_to(&mut self, to: Offset, speed: Speed) {
        if self.anchor.is_none() {
            let speed = speed.get().max(0.0);
            self.conduct = Conduct::Steaming { to, speed };
        }
    }

    /// Stopped, after [`Boat::steam_to`].
    #[must_use]
    pub fn arrived(&self) -> bool {
        self.conduct == Conduct::Waiting
    }

    /// Lets the anchor go under the roller; rode runs out to the bottom. From now on wind and
    /// water move her.
    pub fn let_go(&mut self, sea: &SeaState) {
        let at = self.state.roller;
        self.anchor = Some(Anchor {
            at,
            reckoned_from: at,
            buried: 0.0,
            drag: None,
        });
        self.state.anchor = Some(at);
        self.state.rode_out = sea.depth(at) + self.settings.roller_height;
        self.rode_wanted = self.state.rode_out.get();
        self.conduct = Conduct::Lying;
        self.order = EngineOrder::Neutral;
    }

    /// Veers or heaves in rode to a length at a rate.
    pub fn veer(&mut self, to: Metres, rate: Speed) {
        self.rode_wanted = to.get().max(0.0);
        self.veering = rate.get().abs();
    }

    /// Sets the engine.
    pub fn engine(&mut self, order: EngineOrder) {
        self.order = order;
    }

    /// Takes the anchor off the bottom and all rode in; she waits where she is.
    pub fn weigh(&mut self) {
        self.anchor = None;
        self.state.anchor = None;
        self.state.rode_out = Metres::ZERO;
        self.rode_wanted = 0.0;
        self.state.pull = 0.0;
        self.conduct = Conduct::Waiting;
        self.order = EngineOrder::Neutral;
    }

    /// Digs the anchor in as deep as it goes, where it lies.
    pub fn dig_in(&mut self) {
        if let Some(anchor) = &mut self.anchor {
            anchor.buried = 1.0;
        }
    }

    /// The anchor drags at this speed towards the boat whatever the pull, until [`Boat::hold`].
    pub fn drag_at(&mut self, speed: Speed) {
        if let Some(anchor) = &mut self.anchor {
            anchor.drag = Some(speed.get().max(0.0));
        }
    }

    /// The anchor holds with its usual power again.
    pub fn hold(&mut self) {
        if let Some(anchor) = &mut self.anchor {
            anchor.drag = None;
        }
    }

    /// [`Boat::anchor_moved`] counts from where the anchor lies now.
    pub fn reckon_from_here(&mut self) {
        if let Some(anchor) = &mut self.anchor {
            anchor.reckoned_from = anchor.at;
        }
    }

    /// Where the anchor lay when it was let go, or when [`Boat::reckon_from_here`] was called.
    #[must_use]
    pub fn reckoned_from(&self) -> Option<Offset> {
        self.anchor.map(|anchor| anchor.reckoned_from)
    }

    /// How far the anchor lies from where it was let go, or from where [`Boat::reckon_from_here`]
    /// was called. The watch is measured against this truth.
    #[must_use]
    pub fn anchor_moved(&self) -> Metres {
        self.anchor.map_or(Metres::ZERO, |anchor| {
            (anchor.at - anchor.reckoned_from).length()
        })
    }

    /// The farthest that the chain lets the roller be from the anchor now, snubber not stretched.
    #[must_use]
    pub fn reach(&self, sea: &SeaState) -> Option<Metres> {
        self.anchor.map(|anchor| self.rode(sea, anchor.at).reach())
    }

    /// Drag of a wind from ahead, newtons.
    #[must_use]
    pub fn wind_load(&self, speed: Speed) -> f64 {
        0.5 * AIR * self.hull.windage_ahead * speed.get() * speed.get()
    }

    /// Her present state.
    #[must_use]
    pub const fn state(&self) -> &BoatState {
        &self.state
    }

    /// Moves on by one step of the sea.
    pub fn step(&mut self, sea: &SeaState) -> &BoatState {
        let whole = self.step * f64::from(self.parts);
        if self.steps.is_multiple_of(u64::from(SHEER_EVERY)) {
            self.sheer_strength.step(&mut self.dice);
            self.sheer_haste.step(&mut self.dice);
        }
        self.steps += 1;
        let haste = self.sheer_haste.value().clamp(-0.5, 0.5);
        let rate = std::f64::consts::TAU / self.settings.sheer_period.as_secs_f64().max(1.0);
        self.sheer_phase += rate * (1.0 + haste) * whole;
        for _ in 0..self.parts {
            self.move_on(sea);
        }
        &self.state
    }
}

/// How much the amplitude and rate of the sheer wander, as shares of their means.
const SHEER_SPREAD: f64 = 0.2;
const HASTE_SPREAD: f64 = 0.15;
/// Steps from one draw for the sheer to the next: it wanders over minutes.
const SHEER_EVERY: u32 = 8;
/// Longer steps than this are divided, seconds.
const LONGEST_STEP: f64 = 0.25;

#[cfg(test)]
mod tests;
