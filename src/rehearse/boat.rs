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
//! *Yaw.* She turns, as a damped spring, towards where wind, stream and rode would have her lie,
//! plus a *sheer*: a slow oscillation of the wanted heading with wandering amplitude and period.
//! The sheer is put in, not derived: boats yaw about 30° each way with a period of one to a few
//! minutes (Dulhunty for the angle; common practice, no source, for the period). Her sideways
//! motion then comes out of the forces, and the rode brings her bow round as it does aboard.
//! *Anchor.* It holds until the horizontal pull exceeds what it holds, then it moves along the pull
//! with a speed in proportion to the excess. It holds little until it is dug in and less the
//! steeper the chain leads up from it. [`Boat::drag_at`] makes it drag at a set speed instead.
//! *Approach.* Under way she is steered, not computed: along a line, slowing down, to a stop.
//!
//! Weakness: added mass is the same in all directions; no waves, so no snatching; the chain has no
//! inertia; the areas and the anchor's law are plausible rather than measured.

mod motion;

use std::time::Duration;

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
    /// An 11.2 m sloop on 8 mm chain (1.4 kg/m). The anchor holds 12 kN in sand, the snubber gives
    /// a metre for 8 kN (both common practice, no source).
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

/// What the engine is told.
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

/// How the boat truly is at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoatState {
    /// The bow roller.
    pub roller: Offset,
    /// Midships.
    pub centre: Offset,
    /// Of midships, over the ground.
    pub velocity: Velocity,
    /// Where the bow points, true.
    pub heading: Bearing,
    /// Radians a second, positive to starboard.
    pub yaw_rate: f64,
    /// Of the engine.
    pub revolutions: Hertz,
    /// The anchor, while it is on the bottom.
    pub anchor: Option<Offset>,
    /// Rode out, from the roller.
    pub rode_out: Metres,
    /// Horizontal pull of the rode, newtons.
    pub pull: f64,
}

/// The boat as she goes on, in fixed steps.
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
    anchor: Option<Anchor>,
    rode_wanted: f64,
    veering: f64,
    order: EngineOrder,
    /// Of the propeller, hertz, negative astern.
    shaft: f64,
    state: BoatState,
}

/// Who moves the boat.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Conduct {
    /// Wind, water and rode.
    Lying,
    /// The helmsman brings the roller to a point.
    Steaming { to: Offset, speed: f64 },
    /// The helmsman keeps her where she is.
    Waiting,
}

/// Truth about the anchor.
#[derive(Clone, Copy, Debug)]
struct Anchor {
    at: Offset,
    reckoned_from: Offset,
    /// How well it is dug in, `0..=1`.
    buried: f64,
    drag: Option<f64>,
}

impl Boat {
    /// Under way, her bow roller at a point, waiting for [`Boat::steam_to`].
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

    /// Lying to an anchor that is dug in at a point with this much rode out, down-wind of it at
    /// the distance the mean wind would have.
    #[must_use]
    pub fn at_anchor(
        settings: BoatSettings,
        step: Duration,
        anchor: Offset,
        rode: Metres,
        sea: &SeaState,
        seed: u64,
    ) -> Self {
        let heading = sea.mean_direction;
        let mut boat = Self::under_way(settings, step, anchor, heading, seed);
        boat.let_go(sea);
        boat.dig_in();
        boat.state.rode_out = rode;
        boat.rode_wanted = rode.get();
        boat.order = EngineOrder::Stopped;
        boat.state.revolutions = Hertz::ZERO;
        let load = boat.wind_load(sea.mean_speed);
        let distance = boat.rode(sea, anchor).distance(load) + Metres::of(load / settings.snubber);
        let roller = anchor + Offset::polar(heading.reversed(), distance);
        boat.state.centre = roller - Offset::polar(heading, Metres::of(boat.hull.lever));
        boat.state.pull = load;
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

    /// Veers, or heaves in, to a length at a rate.
    pub fn veer(&mut self, to: Metres, rate: Speed) {
        self.rode_wanted = to.get().max(0.0);
        self.veering = rate.get().abs();
    }

    /// Tells the engine.
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

    /// What the anchor holds from now on when dug in, newtons.
    pub fn set_holding(&mut self, newtons: f64) {
        self.settings.holding = newtons.max(0.0);
    }

    /// The anchor drags at this speed towards the boat whatever the pull, until [`Boat::hold`].
    pub fn drag_at(&mut self, speed: Speed) {
        if let Some(anchor) = &mut self.anchor {
            anchor.drag = Some(speed.get().max(0.0));
        }
    }

    /// The anchor holds again what it holds.
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

    /// How far the anchor lies from where it was let go, or from where
    /// [`Boat::reckon_from_here`] was called. The truth that a watch is measured against.
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

    /// How she is now.
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

/// How much amplitude and rate of the sheer wander, as shares of their means.
const SHEER_SPREAD: f64 = 0.2;
const HASTE_SPREAD: f64 = 0.15;
/// Steps from one draw for the sheer to the next: it wanders over minutes.
const SHEER_EVERY: u32 = 8;
/// Steps longer than this are divided, seconds.
const LONGEST_STEP: f64 = 0.25;

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::rehearse::rode::Rode;
    use crate::rehearse::sea::{Sea, SeaSettings, WindKnot};

    const STEP: Duration = Duration::from_millis(250);
    const SECOND: usize = 4;

    fn knot(minutes: u64, direction: f64, speed: f64) -> WindKnot {
        WindKnot {
            at: Duration::from_mins(minutes),
            direction: Bearing::from_degrees(direction),
            speed: Speed::of(speed),
        }
    }

    fn steady(direction: f64, speed: f64) -> Sea {
        let settings = SeaSettings {
            wind: vec![knot(0, direction, speed)],
            gust: 0.0,
            meander: Angle::ZERO,
            ..SeaSettings::default()
        };
        Sea::new(settings, STEP, 1)
    }

    fn calm_boat() -> BoatSettings {
        BoatSettings {
            sheer: Angle::ZERO,
            ..BoatSettings::default()
        }
    }

    fn run(boat: &mut Boat, sea: &mut Sea, seconds: usize) {
        for _ in 0..seconds * SECOND {
            boat.step(sea.step());
        }
    }

    /// Drag of the 11.2 m boat from ahead, reckoned apart: ½ · 1.25 · (0.065 · 11.2²) · V².
    fn drag(speed: f64) -> f64 {
        0.5 * 1.25 * 0.065 * 11.2 * 11.2 * speed * speed
    }

    #[test]
    fn in_a_steady_wind_she_lies_down_wind_at_the_distance_of_the_catenary() {
        let mut sea = steady(30.0, 10.0);
        let anchor = Offset {
            east: 5.0,
            north: -3.0,
        };
        // She starts far from there: close to the anchor and across the wind.
        let mut boat = Boat::under_way(calm_boat(), STEP, anchor, Bearing::from_degrees(300.0), 1);
        boat.let_go(sea.state());
        boat.dig_in();
        boat.veer(Metres::of(40.0), Speed::of(1.0));
        run(&mut boat, &mut sea, 1800);
        let load = drag(10.0);
        let rode = Rode {
            length: Metres::of(40.0),
            height: Metres::of(9.3),
            weight: Rode::chain_weight(1.4),
            stiffness: 8000.0,
        };
        let wanted = rode.distance(load).get() + load / 8000.0;
        let line = anchor - boat.state().roller;
        assert!((boat.state().pull / load - 1.0).abs() < 0.01);
        assert!((line.length().get() - wanted).abs() < 0.02, "{line:?}");
        assert!((line.bearing().degrees() - 30.0).abs() < 0.2, "{line:?}");
        assert!((boat.state().heading.degrees() - 30.0).abs() < 0.5);
        assert!(boat.state().velocity.speed().get() < 0.005);
        assert!(boat.anchor_moved().get() < 1e-12);
    }

    #[test]
    fn the_step_does_not_decide_where_she_lies() {
        let place = |millis: u64| {
            let step = Duration::from_millis(millis);
            let mut sea = Sea::new(
                SeaSettings {
                    gust: 0.0,
                    meander: Angle::ZERO,
                    ..SeaSettings::default()
                },
                step,
                1,
            );
            let rode = Metres::of(35.0);
            let mut boat = Boat::at_anchor(calm_boat(), step, Offset::ZERO, rode, sea.state(), 1);
            for _ in 0..900_000 / millis {
                boat.step(sea.step());
            }
            boat.state().roller
        };
        let (fine, coarse, coarser) = (place(100), place(250), place(1000));
        assert!((fine - coarse).length().get() < 0.01);
        assert!((fine - coarser).length().get() < 0.01);
    }

    /// A gale of 20 m/s for four hours with a front of 140° in six minutes: the anchor holds, so
    /// the roller must stay within the chain's reach and the snubber's stretch.
    #[test]
    fn while_the_anchor_holds_she_never_leaves_her_circle() {
        let settings = SeaSettings {
            wind: vec![
                knot(0, 210.0, 18.0),
                knot(120, 210.0, 20.0),
                knot(126, 350.0, 20.0),
            ],
            ..SeaSettings::default()
        };
        for seed in 0..3 {
            let mut sea = Sea::new(settings.clone(), STEP, seed);
            let boat = BoatSettings {
                holding: 40_000.0,
                ..BoatSettings::default()
            };
            let rode = Metres::of(50.0);
            let mut boat = Boat::at_anchor(boat, STEP, Offset::ZERO, rode, sea.state(), seed);
            let reach = (50.0_f64.powi(2) - 9.3_f64.powi(2)).sqrt();
            let (mut farthest, mut hardest) = (0.0_f64, 0.0_f64);
            let mut bearings = [false; 36];
            for _ in 0..4 * 3600 * SECOND {
                let state = boat.step(sea.step());
                let distance = state.roller.length().get();
                farthest = farthest.max(distance);
                hardest = hardest.max(state.pull);
                assert!(
                    distance <= reach + state.pull / 8000.0 + 0.01,
                    "{distance} {}",
                    state.pull
                );
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "0..36"
                )]
                let sector = (state.roller.bearing().degrees() / 10.0) as usize;
                bearings[sector] = true;
            }
            assert!(farthest > reach - 1.0, "{farthest}");
            assert!(hardest > drag(20.0) && hardest < 25_000.0, "{hardest}");
            assert!(boat.anchor_moved().get() < 1e-12);
            // She lay north-north-east of the anchor, and lies south of it now.
            assert!(bearings[3] && bearings[17]);
        }
    }

    #[test]
    fn she_sheers_about_thirty_degrees_each_way_in_one_to_three_minutes() {
        for (speed, seed) in [(7.0, 1), (12.0, 2), (18.0, 3)] {
            let settings = SeaSettings {
                wind: vec![knot(0, 180.0, speed)],
                ..SeaSettings::default()
            };
            let mut sea = Sea::new(settings, STEP, seed);
            let rode = Metres::of(45.0);
            let mut boat = Boat::at_anchor(
                BoatSettings::default(),
                STEP,
                Offset::ZERO,
                rode,
                sea.state(),
                seed,
            );
            let (mut peaks, mut peak, mut side) = (Vec::new(), 0.0_f64, 0.0);
            for _ in 0..3 * 3600 * SECOND {
                let sea = sea.step();
                let state = boat.step(sea);
                let yaw = state.heading.since(sea.mean_direction).degrees();
                // Counted as sides she goes to, past five degrees.
                if yaw.abs() > 5.0 && yaw * side <= 0.0 {
                    peaks.push(peak);
                    (peak, side) = (0.0, yaw.signum());
                }
                peak = peak.max(yaw.abs());
            }
            let period = 2.0 * 3.0 * 3600.0 / peaks.len() as f64;
            assert!((60.0..180.0).contains(&period), "{period}");
            peaks.sort_by(f64::total_cmp);
            let (tenth, ninetieth) = (peaks[peaks.len() / 10], peaks[peaks.len() * 9 / 10]);
            assert!(tenth > 12.0 && ninetieth < 45.0, "{tenth} {ninetieth}");
            let middle = peaks[peaks.len() / 2];
            assert!((20.0..45.0).contains(&middle), "{middle}");
        }
    }

    #[test]
    fn the_same_seed_makes_the_same_night() {
        let night = |seed| {
            let mut sea = Sea::new(SeaSettings::default(), STEP, seed);
            let rode = Metres::of(40.0);
            let settings = BoatSettings::default();
            let mut boat = Boat::at_anchor(settings, STEP, Offset::ZERO, rode, sea.state(), seed);
            run(&mut boat, &mut sea, 1200);
            *boat.state()
        };
        assert_eq!(night(1), night(1));
        assert_ne!(night(1), night(2));
    }

    #[test]
    fn a_drag_by_the_script_moves_the_anchor_by_speed_times_time() {
        let mut sea = Sea::new(SeaSettings::default(), STEP, 1);
        let rode = Metres::of(40.0);
        let settings = BoatSettings::default();
        let mut boat = Boat::at_anchor(settings, STEP, Offset::ZERO, rode, sea.state(), 1);
        run(&mut boat, &mut sea, 300);
        assert!(boat.anchor_moved().get() < 1e-12);
        let before = boat.state().roller;
        boat.drag_at(Speed::of(0.1));
        run(&mut boat, &mut sea, 600);
        // Along a pull that swings: a little less than 60 m in a straight line.
        let moved = boat.anchor_moved().get();
        assert!((55.0..=60.0 + 1e-6).contains(&moved), "{moved}");
        // And the boat with it, down-wind.
        let track = boat.state().roller - before;
        assert!(track.east > 20.0 && track.north > 20.0, "{track:?}");
        boat.hold();
        boat.reckon_from_here();
        run(&mut boat, &mut sea, 600);
        assert!(boat.anchor_moved().get() < 1e-12);

        let mut straight = steady(225.0, 10.0);
        let mut boat = Boat::at_anchor(calm_boat(), STEP, Offset::ZERO, rode, straight.state(), 1);
        boat.drag_at(Speed::of(0.1));
        run(&mut boat, &mut straight, 600);
        assert!((boat.anchor_moved().get() - 60.0).abs() < 1e-3);
    }

    #[test]
    fn an_overloaded_anchor_creeps_with_the_excess_and_stops_with_it() {
        let mut sea = steady(0.0, 15.0);
        let mut boat = Boat::at_anchor(
            calm_boat(),
            STEP,
            Offset::ZERO,
            Metres::of(60.0),
            sea.state(),
            1,
        );
        run(&mut boat, &mut sea, 600);
        boat.set_holding(drag(15.0) * 0.9);
        run(&mut boat, &mut sea, 1200);
        let before = boat.anchor_moved().get();
        assert!(before > 1.0, "{before}");
        boat.set_holding(drag(15.0) * 1.3);
        run(&mut boat, &mut sea, 60);
        boat.reckon_from_here();
        run(&mut boat, &mut sea, 1200);
        assert!(boat.anchor_moved().get() < 0.01);
    }

    #[test]
    fn on_short_scope_the_anchor_lets_go_where_it_held_on_long_scope() {
        let moved = |rode: f64| {
            let mut sea = steady(0.0, 15.0);
            let settings = BoatSettings {
                holding: 2.0 * drag(15.0),
                ..calm_boat()
            };
            let rode = Metres::of(rode);
            let mut boat = Boat::at_anchor(settings, STEP, Offset::ZERO, rode, sea.state(), 1);
            run(&mut boat, &mut sea, 900);
            boat.anchor_moved().get()
        };
        assert!(moved(50.0) < 0.01);
        assert!(moved(17.0) > 10.0, "{}", moved(17.0));
    }

    /// Berth, let go, fall back while veering, dig in under power: the story of an anchoring.
    #[test]
    fn she_comes_in_lets_go_falls_back_and_digs_in() {
        let mut sea = steady(225.0, 6.0);
        let berth = Offset {
            east: -40.0,
            north: -60.0,
        };
        let start = Offset {
            east: 150.0,
            north: 140.0,
        };
        let mut boat = Boat::under_way(calm_boat(), STEP, start, Bearing::from_degrees(180.0), 1);
        assert!(boat.arrived());
        boat.steam_to(berth, Speed::of(2.0));
        run(&mut boat, &mut sea, 30);
        assert!(!boat.arrived() && boat.state().velocity.speed().get() > 0.5);
        assert!(boat.state().revolutions > Hertz::of(14.0));
        run(&mut boat, &mut sea, 400);
        assert!(boat.arrived());
        assert!((boat.state().roller - berth).length().get() < 1.0);
        assert!(boat.state().velocity.speed().get() < 1e-9);

        boat.let_go(sea.state());
        assert_eq!(boat.state().anchor, Some(boat.state().roller));
        assert!((boat.state().rode_out.get() - 9.3).abs() < 1e-9);
        boat.veer(Metres::of(40.0), Speed::of(0.4));
        boat.engine(EngineOrder::Astern(Hertz::of(18.0)));
        run(&mut boat, &mut sea, 50);
        assert!((boat.state().rode_out.get() - 29.3).abs() < 0.2);
        run(&mut boat, &mut sea, 120);
        assert!((boat.state().rode_out.get() - 40.0).abs() < 1e-9);
        boat.engine(EngineOrder::Neutral);
        run(&mut boat, &mut sea, 120);
        assert!(boat.anchor_moved().get() < 1.0, "{:?}", boat.anchor_moved());

        boat.engine(EngineOrder::Astern(Hertz::of(42.0)));
        run(&mut boat, &mut sea, 180);
        // Full pull: bollard astern and the wind; the anchor has dug in on the way.
        let astern = 28.0 * 11.2 * 11.2 * 0.6 * (42.0_f64 / 47.0).powi(2);
        let pull = boat.state().pull;
        assert!((pull / (astern + drag(6.0)) - 1.0).abs() < 0.05, "{pull}");
        assert!((boat.state().revolutions.get() - 42.0).abs() < 0.1);
        let moved = boat.anchor_moved().get();
        assert!(moved > 0.02 && moved < 1.5, "{moved}");
        boat.reckon_from_here();
        run(&mut boat, &mut sea, 60);
        assert!(boat.anchor_moved().get() < 0.02);

        boat.engine(EngineOrder::Stopped);
        run(&mut boat, &mut sea, 60);
        assert!(boat.state().revolutions.get() < 0.1);
        boat.weigh();
        assert_eq!(boat.state().anchor, None);
        assert!(boat.arrived());
    }

    #[test]
    fn a_strong_stream_makes_her_lie_to_it_against_the_wind() {
        let settings = SeaSettings {
            wind: vec![knot(0, 0.0, 4.0)],
            m2: crate::rehearse::sea::Constituent {
                amplitude: Metres::of(1.0),
                // Three hours before high water the flood runs full.
                phase: Angle::from_degrees(90.0),
            },
            mean_level: Metres::of(1.0),
            stream: Speed::of(1.2),
            flood: Bearing::from_degrees(0.0),
            ..SeaSettings::default()
        };
        let mut sea = Sea::new(settings, STEP, 1);
        let mut boat = Boat::at_anchor(
            BoatSettings::default(),
            STEP,
            Offset::ZERO,
            Metres::of(40.0),
            sea.state(),
            1,
        );
        run(&mut boat, &mut sea, 2400);
        let heading = boat.state().heading.degrees();
        assert!((150.0..210.0).contains(&heading), "{heading}");
        assert!(boat.state().roller.north > 20.0);
    }
}
