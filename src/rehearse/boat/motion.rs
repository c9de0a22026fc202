//! How she moves: forces, yaw, engine, the anchor's law and the approach. The model is explained in
//! [`super`].

use std::f64::consts::{FRAC_PI_2, TAU};

use super::{Boat, BoatSettings, Conduct, EngineOrder};
use crate::geodesy::Offset;
use crate::rehearse::rode::Rode;
use crate::rehearse::sea::{SeaState, Velocity};
use crate::units::{Angle, Hertz, Metres, Speed};

/// Quantities derived from the length.
#[derive(Clone, Copy, Debug)]
pub(super) struct Hull {
    /// Mass including added mass, kilogrammes.
    mass: f64,
    /// Distance from midships to the roller.
    pub(super) lever: f64,
    pub(super) windage_ahead: f64,
    windage_beam: f64,
    water_ahead: f64,
    water_beam: f64,
    /// Weight of the stream against the wind for how she lies.
    water_lie: f64,
    /// Pull at the bollard at full revolutions ahead, newtons.
    bollard: f64,
    /// She turns readily from this force on.
    turning: f64,
}

impl Boat {
    /// One part of a step.
    pub(super) fn move_on(&mut self, sea: &SeaState) {
        self.run_engine();
        match self.conduct {
            Conduct::Lying => match self.hanging.take() {
                Some(mut hanging) => {
                    self.lie_hanging(&mut hanging, sea);
                    self.hanging = Some(hanging);
                }
                None => self.lie(sea),
            },
            Conduct::Steaming { to, speed } => self.steam(to, speed),
            Conduct::Waiting => {
                self.state.velocity = Velocity::REST;
                self.state.yaw_rate = 0.0;
            }
        }
        self.place_roller();
    }

    fn run_engine(&mut self) {
        let most = FULL.get();
        let (shaft, shown) = match self.order {
            EngineOrder::Stopped => (0.0, 0.0),
            EngineOrder::Neutral => (0.0, IDLE.get()),
            EngineOrder::Ahead(rate) => (rate.get().clamp(0.0, most), rate.get().min(most)),
            EngineOrder::Astern(rate) => (-rate.get().clamp(0.0, most), rate.get().min(most)),
        };
        let share = (self.step / ENGINE_LAG).min(1.0);
        self.shaft += (shaft - self.shaft) * share;
        let revolutions = self.state.revolutions.get();
        self.state.revolutions = Hertz::of(revolutions + (shown.max(0.0) - revolutions) * share);
    }

    fn lie(&mut self, sea: &SeaState) {
        let dt = self.step;
        let step = self.veering * dt;
        let out = self.state.rode_out.get();
        self.state.rode_out = Metres::of(out + (self.rode_wanted - out).clamp(-step, step));

        let (sin, cos) = self.bow;
        // Ahead and to starboard in a vector over the ground.
        let ahead = |v: Velocity| v.east * sin + v.north * cos;
        let abeam = |v: Velocity| v.east * cos - v.north * sin;

        let air = sea.air - self.state.velocity;
        let pressure = 0.5 * AIR * air.speed().get();
        let wind_ahead = pressure * self.hull.windage_ahead * ahead(air);
        let wind_abeam = pressure * self.hull.windage_beam * abeam(air);

        let water = self.state.velocity - sea.stream;
        let through = ahead(water);
        let thrust = self.thrust(through);

        let (rode, to_anchor) = self.haul(sea);
        let pull = rode.get();

        let mass = self.hull.mass;
        let force_ahead = wind_ahead + thrust + pull * ahead(to_anchor);
        let force_abeam = wind_abeam + pull * abeam(to_anchor);
        // Quadratic drag taken implicitly in the velocity through the water.
        let brake = |area: f64, speed: f64| {
            1.0 / (1.0 + (0.5 * WATER * area * speed.abs() + CREEP * mass) * dt / mass)
        };
        let beam = abeam(water);
        let new_ahead = (through + force_ahead / mass * dt) * brake(self.hull.water_ahead, through);
        let new_abeam = (beam + force_abeam / mass * dt) * brake(self.hull.water_beam, beam);
        self.state.velocity = sea.stream
            + Velocity {
                east: new_ahead * sin + new_abeam * cos,
                north: new_ahead * cos - new_abeam * sin,
            };
        self.state.centre.east += self.state.velocity.east * dt;
        self.state.centre.north += self.state.velocity.north * dt;
        self.yaw(sea, thrust.abs(), pull, to_anchor);
    }

    /// Pull of the rode and the unit vector to the anchor; moves the anchor.
    fn haul(&mut self, sea: &SeaState) -> (Metres, Velocity) {
        let (sin, cos) = self.bow;
        let Some(mut anchor) = self.anchor else {
            self.state.pull = 0.0;
            return (Metres::ZERO, Velocity::REST);
        };
        let rode = self.rode(sea, anchor.at);
        let line = anchor.at - self.state.roller;
        let distance = (line.east * line.east + line.north * line.north).sqrt();
        if distance < 1e-3 {
            self.state.pull = 0.0;
            return (Metres::ZERO, Velocity::REST);
        }
        let unit = Velocity {
            east: line.east / distance,
            north: line.north / distance,
        };
        let pull = rode.pull(Metres::of(distance), self.state.pull);
        // Chain returns the energy it stores; nylon and the drag of the chain in the water do not.
        let swing = self.state.yaw_rate * self.hull.lever;
        let roller = self.state.velocity
            + Velocity {
                east: cos * swing,
                north: -sin * swing,
            };
        let parting = -(roller.east * unit.east + roller.north * unit.north);
        let critical = 2.0 * (self.settings.snubber * self.hull.mass).sqrt();
        let damping = RODE_DAMPING * critical * pull.stiffness / self.settings.snubber;
        let newtons = (pull.newtons + damping * parting).max(0.0);
        self.state.pull = pull.newtons;

        let level = self.settings.holding * (BARE + (1.0 - BARE) * anchor.buried);
        let speed = match anchor.drag {
            Some(speed) => speed,
            // It holds even against the steepest pull: true most of the time, and cheaper to test than the lead.
            None if newtons < level * STEEP_HOLDING => 0.0,
            None => {
                let lead = rode.lead(pull.newtons).degrees();
                let steep = ((lead - EASY_LEAD) / (STEEP_LEAD - EASY_LEAD)).clamp(0.0, 1.0);
                let holds = level * (1.0 - (1.0 - STEEP_HOLDING) * steep);
                (newtons - holds).max(0.0) / (VISCOSITY * self.hull.mass)
            }
        };
        if speed > 0.0 {
            // The anchor does not overtake the boat.
            let moved = (speed * self.step).min((distance - NEAREST).max(0.0));
            anchor.at.east -= unit.east * moved;
            anchor.at.north -= unit.north * moved;
            if anchor.drag.is_none() {
                anchor.buried = (anchor.buried + moved / DIG_IN).min(1.0);
            }
            self.anchor = Some(anchor);
            self.state.anchor = Some(anchor.at);
        }
        (Metres::of(newtons), unit)
    }

    fn yaw(&mut self, sea: &SeaState, thrust: f64, pull: f64, to_anchor: Velocity) {
        let dt = self.step;
        let wind_speed = sea.air.speed();
        let wind = self.wind_load(wind_speed);
        let stream_speed = sea.stream.speed().get();
        let stream = 0.5 * WATER * self.hull.water_lie * stream_speed * stream_speed;
        // The weighted unit vectors towards wind, stream and rode.
        let per = |force: f64, speed: f64| if speed > 0.0 { force / speed } else { 0.0 };
        let (by_wind, by_stream) = (per(wind, wind_speed.get()), per(stream, stream_speed));
        let lie = Velocity {
            east: pull * to_anchor.east - by_wind * sea.air.east - by_stream * sea.stream.east,
            north: pull * to_anchor.north - by_wind * sea.air.north - by_stream * sea.stream.north,
        };
        let strength = lie.speed().get();
        let others = stream + thrust + self.hull.turning * 0.2;
        let share = (wind / (wind + others)).clamp(0.0, 1.0);
        let lively = (1.0 + self.sheer_strength.value()).clamp(0.6, 1.4);
        let sheer = self.settings.sheer.get() * lively * share * self.sheer_phase.sin();
        let wanted = lie.bearing().turned(Angle::of(sheer));
        let off = wanted.since(self.state.heading).get();
        let off = off.clamp(-MOST_HELM, MOST_HELM);
        let spring = YAW_RATE * YAW_RATE * (strength / self.hull.turning).min(1.0);
        let rate = self.state.yaw_rate;
        let rate = (rate + spring * off * dt) / (1.0 + 2.0 * YAW_DAMPING * YAW_RATE * dt);
        self.state.yaw_rate = rate;
        self.state.heading = self.state.heading.turned(Angle::of(rate * dt));
    }

    fn thrust(&self, through: f64) -> f64 {
        let full = self.shaft / FULL.get();
        let bollard = self.hull.bollard * full * full.abs();
        let bollard = if full < 0.0 {
            bollard * ASTERN
        } else {
            bollard
        };
        // The faster she moves that way, the weaker the push.
        let slip = (1.0 - through * full.signum() / TOP_SPEED).clamp(0.0, 1.0);
        bollard * slip
    }

    fn steam(&mut self, to: Offset, cruise: f64) {
        let dt = self.step;
        let line = to - self.state.roller;
        let distance = line.length().get();
        let off = line.bearing().since(self.state.heading).get();
        let speed = self.state.velocity.speed().get();
        let passed = distance < 5.0 && off.abs() > FRAC_PI_2;
        if distance < 0.2 || passed {
            self.conduct = Conduct::Waiting;
            self.order = EngineOrder::Neutral;
            self.state.velocity = Velocity::REST;
            self.state.yaw_rate = 0.0;
            return;
        }
        // Close to the mark its bearing swings about; a helmsman stops following it.
        let turn = if distance > 3.0 {
            off.clamp(-HELM * dt, HELM * dt)
        } else {
            0.0
        };
        self.state.yaw_rate = turn / dt;
        self.state.heading = self.state.heading.turned(Angle::of(turn));
        let fit = cruise.min((2.0 * SLOWING * distance).sqrt()).max(0.05);
        let fit = if off.abs() > 1.0 { fit.min(1.0) } else { fit };
        let speed = speed + (fit - speed).clamp(-4.0 * SLOWING * dt, SLOWING * dt);
        self.state.velocity = Velocity::towards(self.state.heading, Speed::of(speed));
        self.state.centre.east += self.state.velocity.east * dt;
        self.state.centre.north += self.state.velocity.north * dt;
        let rate = IDLE.get() + (FULL.get() - IDLE.get()) * (speed / TOP_SPEED).min(1.0);
        self.order = EngineOrder::Ahead(Hertz::of(rate));
    }

    pub(super) fn rode(&self, sea: &SeaState, anchor: Offset) -> Rode {
        Rode {
            length: self.state.rode_out,
            height: sea.depth(anchor) + self.settings.roller_height,
            weight: Rode::chain_weight(self.settings.chain),
            stiffness: self.settings.snubber,
        }
    }

    pub(super) fn place_roller(&mut self) {
        self.bow = self.state.heading.get().sin_cos();
        self.state.roller = Offset {
            east: self.state.centre.east + self.hull.lever * self.bow.0,
            north: self.state.centre.north + self.hull.lever * self.bow.1,
        };
    }
}

impl Hull {
    pub(super) fn of(settings: &BoatSettings) -> Self {
        let length = settings.length.get().max(1.0);
        let square = length * length;
        Self {
            mass: DISPLACEMENT * square * length * (1.0 + ADDED_MASS),
            lever: length / 2.0 + settings.roller_ahead.get(),
            windage_ahead: WINDAGE_AHEAD * square,
            windage_beam: WINDAGE_BEAM * square,
            water_ahead: WATER_AHEAD * square,
            water_beam: WATER_BEAM * square,
            water_lie: WATER_LIE * square,
            bollard: BOLLARD * square,
            turning: TURNING * square,
        }
    }
}

/// Density of air, kg/m³.
pub(super) const AIR: f64 = 1.25;
/// Density of sea water, kg/m³.
const WATER: f64 = 1025.0;
/// Drag area from ahead over the square of the length. For 11 m, with the coefficients of
/// Principles of Yacht Design, figure 9.2: hull and coach roof 5.6 m² x 0.5, mast 2.7 m² x 1.0,
/// stays and halyards 1.2 m² x 1.2, boom, hood and rail 1 m² x 1.0: 7.9 m².
const WINDAGE_AHEAD: f64 = 0.065;
/// The same from abeam: 15.4 m² x 0.9 (a blunt side), mast, stays and boom as before: 19.4 m².
const WINDAGE_BEAM: f64 = 0.16;
/// Drag area of the underwater body along her over the square of the length: friction, propeller.
const WATER_AHEAD: f64 = 0.0017;
/// The same across her, with keel.
const WATER_BEAM: f64 = 0.09;
/// One knot of stream weighs as much as sixteen of wind for how she lies (common practice, no
/// source: the two are about equal there).
const WATER_LIE: f64 = 0.018;
/// Kilogrammes over the cube of the length: 7.3 t at 11 m.
const DISPLACEMENT: f64 = 5.5;
/// Water that moves with her, as a share of her mass.
const ADDED_MASS: f64 = 0.15;
/// Linear drag: the inverse of the seconds in which she loses her way at a crawl.
const CREEP: f64 = 0.005;
/// Pull at the bollard over the square of the length: 3.4 kN at 11 m (30 hp; from memory).
const BOLLARD: f64 = 28.0;
/// A propeller astern pulls this share of what it pushes ahead (common practice, no source).
const ASTERN: f64 = 0.6;
/// Speed at which thrust ends, metres a second.
const TOP_SPEED: f64 = 3.6;
pub(super) const IDLE: Hertz = Hertz::of(14.0);
const FULL: Hertz = Hertz::of(47.0);
/// Seconds that revolutions take to follow the lever.
const ENGINE_LAG: f64 = 1.5;
/// She turns readily from this force on, newtons over the square of the length: a wind of 5 m/s.
const TURNING: f64 = 1.0;
/// Radians a second: the natural rate of yaw, a period of 20 s.
const YAW_RATE: f64 = TAU / 20.0;
const YAW_DAMPING: f64 = 0.9;
/// A larger difference from the target heading does not turn her faster, radians.
const MOST_HELM: f64 = 0.7;
/// Share of the critical damping of the boat on her snubber.
const RODE_DAMPING: f64 = 0.15;
/// What an anchor holds before it is dug in, as a share of its full holding power.
const BARE: f64 = 0.15;
/// Metres that it moves while digging in.
const DIG_IN: f64 = 1.5;
/// Newtons of excess that move the anchor at a metre a second, for each kilogramme of boat.
const VISCOSITY: f64 = 0.8;
/// Up to this lead the anchor holds all it can, degrees (Hancock gives 8 as the limit).
const EASY_LEAD: f64 = 8.0;
/// From this lead on it holds least, degrees (a scope of two).
const STEEP_LEAD: f64 = 30.0;
const STEEP_HOLDING: f64 = 0.2;
/// A dragging anchor stays this far from the roller, metres.
const NEAREST: f64 = 0.5;
/// Under way: how fast she gains speed, m/s². She loses it four times as fast.
const SLOWING: f64 = 0.05;
/// Radians a second under helm.
const HELM: f64 = 0.1;
