//! A second way to lie, for measuring: no forces, but a boat that hangs in wind and stream.
//!
//! The second model of a boat at anchor ([`Boat::hang`]). It shares nothing with the first but the geometry of the
//! rode's end. Wind and stream add up to one drive, `W |W| + (16 S) |16 S|` (a knot of stream counts as sixteen of
//! wind); if they oppose each other they cancel, and she may lie anywhere. She moves to a place down the drive with a
//! lag and a bounded speed, straight across if the drive turns about. That place is nearer than her reach by the share
//! `lazy · e^(-U/until)`, where `U` is the root of the drive: the rode lies in heaps and the boat is not blown
//! straight. She surges, and sheers in spells that come and go. A rode may be caught on the bottom (a rock, a kink):
//! then she swings about that place on the rest of it until a strong enough wind pulls it free. From then on she lies
//! farther out, with an anchor that never moved.
//!
//! Weakness: all of it is chosen, none of it measured. Its purpose is to differ from the first model.

use super::Boat;
use crate::geodesy::Offset;
use crate::rehearse::dice::{Dice, GaussMarkov, Purpose};
use crate::rehearse::sea::{SeaState, Velocity};
use crate::units::{Angle, Metres, Speed};
use std::time::Duration;

/// How she hangs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HangingSettings {
    /// In no wind she lies nearer by this share of her reach.
    pub lazy: f64,
    /// The wind at which that share has fallen to a third.
    pub until: Speed,
    /// How far she surges, and the period.
    pub surge: (Metres, Duration),
    /// The lag with which she follows.
    pub lag: Duration,
    /// Where the rode is caught.
    pub kink: Option<Kink>,
}

/// A rode that is caught.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kink {
    /// Distance of the place from the anchor.
    pub at: Offset,
    /// A wind of this strength frees the rode.
    pub frees: Speed,
}

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Hanging {
    settings: HangingSettings,
    dice: Dice,
    /// Wind and stream, smoothed, with the sign of where they lead.
    drive: Velocity,
    /// The sheer comes in spells: at zero and below there is none.
    spell: GaussMarkov,
    /// Where she wanders when nothing drives her.
    eddy: [GaussMarkov; 2],
    phase: f64,
    surge_phase: f64,
    velocity: Velocity,
    seconds: f64,
    /// When the last random draw was made.
    drawn: f64,
}

impl Boat {
    /// From now on she hangs, instead of being moved by forces.
    pub fn hang(&mut self, settings: HangingSettings, seed: u64) {
        let mut dice = Dice::new(seed, Purpose::Hanging);
        let slow = Duration::from_secs(SLOW);
        let mut process =
            |mean: u64| GaussMarkov::new(1.0, Duration::from_secs(mean), slow, &mut dice);
        let (spell, eddy) = (process(1200), [process(300), process(300)]);
        self.hanging = Some(Hanging {
            spell,
            eddy,
            phase: dice.between(0.0, std::f64::consts::TAU),
            surge_phase: 0.0,
            dice,
            settings,
            drive: Velocity::REST,
            velocity: Velocity::REST,
            seconds: 0.0,
            drawn: 0.0,
        });
    }

    /// The anchor digs in away from where it was let go.
    pub fn bites_at(&mut self, off: Offset) {
        if let Some(anchor) = &mut self.anchor {
            anchor.at = anchor.at + off;
            anchor.reckoned_from = anchor.at;
            self.state.anchor = Some(anchor.at);
        }
    }

    /// One part of a step while hanging; nothing happens with no anchor down.
    pub(super) fn lie_hanging(&mut self, hanging: &mut Hanging, sea: &SeaState) {
        let dt = self.step;
        let out = self.state.rode_out.get();
        let step = self.veering * dt;
        self.state.rode_out = Metres::of(out + (self.rode_wanted - out).clamp(-step, step));
        let Some(mut anchor) = self.anchor else {
            return;
        };
        hanging.pass(dt, sea);
        let drive = hanging.drive.speed().get();
        let wind = drive.sqrt();

        let kink = hanging.settings.kink;
        if kink.is_some_and(|kink| wind >= kink.frees.get()) || anchor.drag.is_some() {
            hanging.settings.kink = None;
        }
        let caught = hanging.settings.kink.map_or(Offset::ZERO, |kink| kink.at);
        let held = anchor.at + caught;
        let height = sea.depth(held).get() + self.settings.roller_height.get();
        let rode = (self.state.rode_out.get() - caught.length().get()).max(height);
        let reach = (rode * rode - height * height).max(0.01).sqrt();
        let (target, sheer) = hanging.target(held, reach, self.settings.sheer, wind);

        let line = target - self.state.roller;
        let gap = line.length().get();
        let lag = hanging.settings.lag.as_secs_f64();
        let pace = (gap / lag).min(SLOWEST + PACE * wind);
        let wanted = if gap > 1e-6 {
            line * (pace / gap)
        } else {
            Offset::ZERO
        };
        let share = (dt / INERTIA).min(1.0);
        let towards = |now: f64, to: f64| now + (to - now) * share;
        hanging.velocity = Velocity {
            east: towards(hanging.velocity.east, wanted.east),
            north: towards(hanging.velocity.north, wanted.north),
        };
        let before = self.state.centre;
        let mut roller = self.state.roller
            + Offset {
                east: hanging.velocity.east * dt,
                north: hanging.velocity.north * dt,
            };
        let load = self.wind_load(Speed::of(wind));
        let most = reach + load / self.settings.snubber;
        let line = roller - held;
        let distance = line.length().get();
        if distance > most {
            roller = held + line * (most / distance);
        }
        // Only a rode that is stretched out pulls on the anchor.
        let stretched = ((distance - reach * (1.0 - lazy(&hanging.settings, wind))) / TAUT + 1.0)
            .clamp(0.0, 1.0);
        self.state.pull = load * stretched;
        self.drag_hanging(&mut anchor, roller);
        self.head(hanging, sea, sheer, wind);
        // `place_roller` calculates the roller from the middle of the boat.
        self.bow = self.state.heading.get().sin_cos();
        let lever = self.hull.lever;
        self.state.centre = Offset {
            east: roller.east - lever * self.bow.0,
            north: roller.north - lever * self.bow.1,
        };
        self.state.velocity = Velocity {
            east: (self.state.centre.east - before.east) / dt,
            north: (self.state.centre.north - before.north) / dt,
        };
    }

    fn drag_hanging(&mut self, anchor: &mut super::Anchor, roller: Offset) {
        let Some(speed) = anchor.drag else { return };
        let line = roller - anchor.at;
        let distance = line.length().get();
        let moved = (speed * self.step).min((distance - NEAREST).max(0.0));
        if moved > 0.0 {
            anchor.at = anchor.at + line * (moved / distance);
        }
        self.anchor = Some(*anchor);
        self.state.anchor = Some(anchor.at);
    }

    /// She points into the sum of wind and stream, or anywhere between them where they cancel.
    fn head(&mut self, hanging: &Hanging, sea: &SeaState, sheer: Angle, wind: f64) {
        let dt = self.step;
        let drive = hanging.drive;
        let lies = if wind > CALM {
            drive.bearing().reversed()
        } else {
            sea.air.bearing().reversed()
        };
        // She points into her own sheer, like a boat that sails at her anchor.
        let wanted = lies.turned(Angle::of(
            -0.8 * sheer.get() + 0.1 * hanging.eddy[0].value(),
        ));
        let off = wanted.since(self.state.heading).get();
        let rate = (off / TURNS).clamp(-MOST_RATE, MOST_RATE);
        self.state.yaw_rate = rate;
        self.state.heading = self.state.heading.turned(Angle::of(rate * dt));
    }
}

impl Hanging {
    fn pass(&mut self, dt: f64, sea: &SeaState) {
        let square = |v: Velocity, weight: f64| {
            let speed = v.speed().get() * weight * weight;
            (v.east * speed, v.north * speed)
        };
        let (wind, stream) = (square(sea.air, 1.0), square(sea.stream, STREAM));
        let share = 1.0 - (-dt / GUSTS).exp();
        let towards = |now: f64, to: f64| now + (to - now) * share;
        self.drive = Velocity {
            east: towards(self.drive.east, wind.0 + stream.0),
            north: towards(self.drive.north, wind.1 + stream.1),
        };
        self.seconds += dt;
        if self.seconds - self.drawn >= SLOW as f64 {
            self.drawn = self.seconds;
            self.spell.step(&mut self.dice);
            for eddy in &mut self.eddy {
                eddy.step(&mut self.dice);
            }
        }
    }

    /// Where she is heading, and how far to the side of the drive that is.
    fn target(&mut self, held: Offset, reach: f64, sheer: Angle, wind: f64) -> (Offset, Angle) {
        let (surge, period) = self.settings.surge;
        let turn = std::f64::consts::TAU;
        let rate = turn / period.as_secs_f64().max(5.0);
        let strong = (wind / 4.0).min(1.0);
        self.surge_phase = rate * self.seconds;
        let spell = (0.5 + self.spell.value()).clamp(0.0, 1.8);
        let phase = self.phase + self.surge_phase * 0.37;
        let side = sheer.get() * spell * strong * phase.sin();
        let short = lazy(&self.settings, wind) * reach
            + surge.get() * strong * (0.5 + 0.5 * self.surge_phase.sin())
            + 0.02 * reach * side * side;
        let out = (reach - short).max(0.2 * reach);
        let towards = self.drive.bearing().turned(Angle::of(side));
        let calm = 1.0 / (1.0 + (wind / CALM).powi(2));
        let drift = EDDY * calm * reach;
        let eddy = Offset {
            east: self.eddy[0].value() * drift,
            north: self.eddy[1].value() * drift,
        };
        (
            held + Offset::polar(towards, Metres::of(out)) + eddy,
            Angle::of(side),
        )
    }
}

fn lazy(settings: &HangingSettings, wind: f64) -> f64 {
    settings.lazy * (-wind / settings.until.get().max(0.1)).exp()
}

/// A stream counts as this many times as much wind (common practice, no source).
const STREAM: f64 = 16.0;
/// Seconds over which she feels gusts.
const GUSTS: f64 = 20.0;
const SLOW: u64 = 5;
/// Metres a second at which she drifts in a calm, and the increase for each metre a second of wind.
const SLOWEST: f64 = 0.05;
const PACE: f64 = 0.06;
/// Seconds.
const INERTIA: f64 = 6.0;
const TURNS: f64 = 8.0;
/// Radians a second.
const MOST_RATE: f64 = 0.12;
/// Metres a second: a weaker drive does not move her.
const CALM: f64 = 1.5;
/// Share of her reach.
const EDDY: f64 = 0.25;
/// The rode no longer pulls when she lies this many metres short of her place.
const TAUT: f64 = 3.0;
const NEAREST: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearse::boat::BoatSettings;
    use crate::rehearse::sea::{Sea, SeaSettings, WindKnot};
    use crate::units::Bearing;

    const QUARTER: Duration = Duration::from_millis(250);

    fn settings(kink: Option<Kink>) -> HangingSettings {
        HangingSettings {
            lazy: 0.4,
            until: Speed::of(3.0),
            surge: (Metres::of(1.0), Duration::from_secs(40)),
            lag: Duration::from_secs(25),
            kink,
        }
    }

    /// Lies in these winds (m/s) on 40 m of rode; returns the distances from the anchor in the last half hour.
    fn lies(knots: Vec<(u64, f64)>, kink: Option<Kink>, seconds: u32) -> (Vec<f64>, Boat) {
        let sea = SeaSettings {
            wind: knots
                .into_iter()
                .map(|(at, speed)| WindKnot::new(Duration::from_secs(at), 220.0, Speed::of(speed)))
                .collect(),
            ..SeaSettings::default()
        };
        let mut sea = Sea::new(sea, QUARTER, 4);
        let from = Bearing::from_degrees(220.0);
        let mut boat = Boat::under_way(BoatSettings::default(), QUARTER, Offset::ZERO, from, 4);
        boat.hang(settings(kink), 4);
        boat.let_go(sea.state());
        boat.veer(Metres::of(40.0), Speed::of(0.5));
        let mut distances = Vec::new();
        for second in 0..seconds {
            for _ in 0..4 {
                boat.step(sea.step());
            }
            let state = boat.state();
            assert!(state.velocity.speed().get() < 3.0);
            let anchor = state.anchor.unwrap();
            if second + 1800 >= seconds {
                distances.push((state.roller - anchor).length().get());
            }
        }
        (distances, boat)
    }

    fn mean(values: &[f64]) -> f64 {
        values.iter().sum::<f64>() / values.len() as f64
    }

    #[test]
    fn she_lies_the_nearer_the_less_it_blows_and_never_beyond_her_reach() {
        let at = |speed: f64| mean(&lies(vec![(0, speed)], None, 3600).0);
        let (light, fresh, strong) = (at(3.0), at(7.0), at(14.0));
        assert!(
            light < fresh - 2.0 && fresh < strong,
            "{light} {fresh} {strong}"
        );
        let (distances, boat) = lies(vec![(0, 14.0)], None, 3600);
        let load = boat.wind_load(Speed::of(20.0)) / 8000.0;
        let reach = f64::sqrt(40.0 * 40.0 - 9.3 * 9.3);
        assert!(distances.iter().all(|d| *d < reach + load));
    }

    #[test]
    fn a_kink_holds_her_nearer_until_it_is_freed_and_the_anchor_never_moved() {
        let kink = Kink {
            at: Offset {
                east: -8.0,
                north: 0.0,
            },
            frees: Speed::of(11.0),
        };
        let (caught, _) = lies(vec![(0, 8.0)], Some(kink), 3600);
        let (freed, boat) = lies(vec![(0, 8.0), (1800, 8.0), (2400, 15.0)], Some(kink), 6000);
        assert!(mean(&freed) > mean(&caught) + 3.0);
        assert_eq!(boat.anchor_moved(), Metres::ZERO);
    }

    #[test]
    fn she_follows_an_anchor_that_drags() {
        let (_, mut boat) = lies(vec![(0, 9.0)], None, 2400);
        boat.reckon_from_here();
        boat.drag_at(Speed::of(0.1));
        let mut sea = Sea::new(SeaSettings::default(), QUARTER, 4);
        let before = boat.state().roller;
        for _ in 0..4 * 300 {
            boat.step(sea.step());
        }
        let gone = boat.anchor_moved().get();
        assert!((28.0..30.5).contains(&gone), "{gone}");
        assert!((boat.state().roller - before).length().get() > 15.0);
    }
}
