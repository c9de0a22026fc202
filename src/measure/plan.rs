//! One night, every part of it drawn from its seed.
//!
//! The ranges are chosen to cover a cruising boat's life: 8-17 m long, 3-14 m of water, scopes of
//! 4-10, receivers whose error has a standard deviation of 0.5-2.5 m on each axis. No source gives
//! how often each occurs; they are drawn evenly, so that there are enough hard ones to count.

use std::sync::Arc;
use std::time::Duration;

use crate::boat::BoatFigures;
use crate::boat::tern::BERTH;
use crate::geodesy::{Offset, Plane, Position};
use crate::rehearse::boat::{BoatSettings, HangingSettings};
use crate::rehearse::dice::{Dice, Purpose};
use crate::rehearse::receiver::{Recording, WanderingSettings};
use crate::rehearse::sea::{Constituent, SeaSettings, Seabed, WindKnot};
use crate::rehearse::sensors::SensorSettings;
use crate::units::{Angle, Bearing, Metres, Speed};

/// What the weather does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Weather {
    /// The same wind all night.
    Steady,
    /// It turns by 60-150° within 5-30 minutes.
    Front,
    /// It turns to the opposite direction, with a lull in between.
    Reversal,
    /// It dies for an hour or two and comes back.
    Lull,
    /// It rises to a gale.
    Blow,
    /// A thunder squall: a turn and twice the wind within minutes, over after half an hour.
    Squall,
    /// Light wind over a stream that turns.
    Stream,
}

/// When the crew marks the anchor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Marking {
    /// When it touches bottom.
    InTime,
    /// This far before the berth, still under way.
    Early(Metres),
    /// This long after, while she falls back.
    Late(Duration),
    /// Ten minutes after, with a position typed in that is off by this.
    Typed(Offset),
    /// An hour or more after, where the track shows the anchor.
    FromTrack,
}

/// What the crew takes the length of the rode to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RodeTold {
    /// Right to two per cent.
    Right,
    /// A fifth shorter than it is.
    Short,
    /// A fifth longer than it is.
    Long,
}

/// What the second sea adds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stirred {
    /// How she hangs.
    pub hanging: HangingSettings,
    /// Properties of the receiver.
    pub wandering: WanderingSettings,
    /// The anchor digs in this far to leeward of where it was let go.
    pub bites: Metres,
}

/// How the anchor moves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drag {
    /// Start of the movement, since the start of the night.
    pub begins: Duration,
    /// How fast it moves while it does.
    pub speed: Speed,
    /// Seconds it moves and seconds it holds, in turn; `None` if it moves all the time.
    pub jerks: Option<(u64, u64)>,
    /// After this distance it holds again for good.
    pub holds_after: Option<Metres>,
}

/// A whole night.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Its seed.
    pub seed: u64,
    /// What the weather does.
    pub weather: Weather,
    /// The sea.
    pub sea: SeaSettings,
    /// The boat.
    pub boat: BoatSettings,
    /// The instruments.
    pub sensors: SensorSettings,
    /// Which of these she has: a compass, a wind instrument, a sounder, a velocity from the receiver.
    pub has: Has,
    /// Her figures as entered in the watch.
    pub figures: BoatFigures,
    /// Rode out.
    pub rode: Metres,
    /// Rode out as the crew enters it.
    pub rode_said: Metres,
    /// Error of that entry.
    pub told: RodeTold,
    /// Depth as the crew enters it when letting go, if there is no sounder.
    pub depth_said: Option<Metres>,
    /// When the anchor is marked.
    pub marking: Marking,
    /// How the anchor moves.
    pub drag: Option<Drag>,
    /// How long the night is.
    pub length: Duration,
    /// Set on a night of the second sea.
    pub stirred: Option<Stirred>,
    /// A real receiver's noise.
    pub recorded: Option<Arc<Recording>>,
    /// Interval of the receiver's reports; `None` for every second.
    pub reports: Option<Duration>,
}

/// Which instruments there are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "four instruments, there or not"
)]
pub struct Has {
    /// A compass.
    pub compass: bool,
    /// A wind instrument.
    pub wind: bool,
    /// A sounder.
    pub sounder: bool,
    /// Speed and course over the ground.
    pub velocity: bool,
}

impl Plan {
    /// The night of this seed; in every second one the anchor drags.
    #[must_use]
    pub fn new(seed: u64, length: Duration) -> Self {
        let dice = &mut Dice::new(seed, Purpose::Story);
        let boat = draw_boat(dice);
        let depth = dice.between(3.0, 14.0);
        let tide = dice.between(0.0, 1.5_f64.min(depth / 4.0));
        let height = depth + tide + boat.roller_height.get();
        let rode = Metres::of((dice.between(4.0, 10.0) * height).min(110.0));
        let drag = seed.is_multiple_of(2).then(|| draw_drag(dice, length));
        let weather = draw_weather(dice);
        let wind = draw_wind(dice, weather, length, drag.as_ref());
        let streams = weather == Weather::Stream || dice.happens(900.0, 1.0);
        let sea = SeaSettings {
            wind,
            gust: dice.between(0.08, 0.2),
            gust_time: Duration::from_secs_f64(dice.between(12.0, 40.0)),
            meander: Angle::from_degrees(dice.between(2.0, 12.0)),
            meander_time: Duration::from_secs_f64(dice.between(120.0, 600.0)),
            mean_level: Metres::ZERO,
            m2: Constituent {
                amplitude: Metres::of(tide),
                phase: Angle::of(dice.between(-3.1, 3.1)),
            },
            s2: Constituent::default(),
            stream: if streams {
                Speed::of(dice.between(0.1, 0.7))
            } else {
                Speed::ZERO
            },
            flood: draw_bearing(dice),
            seabed: Seabed {
                charted: Metres::of(depth),
                deepens_towards: draw_bearing(dice),
                slope: dice.between(0.0, 0.01),
            },
        };
        let origin = Position::new(dice.between(-58.0, 68.0), dice.between(-180.0, 180.0));
        let origin = origin.unwrap_or(BERTH);
        let sensors = draw_sensors(dice, &boat, origin);
        let has = Has {
            compass: dice.uniform() < 0.7,
            wind: dice.uniform() < 0.7,
            sounder: dice.uniform() < 0.8,
            velocity: dice.uniform() < 0.9,
        };
        let figures = BoatFigures {
            length: Some(boat.length),
            draught: Some(Metres::of(1.0 + boat.length.get() * 0.07)),
            roller_height: Some(boat.roller_height),
            roller_ahead: Some(boat.roller_ahead),
            antenna_from_bow: Some(sensors.antenna_from_bow),
            antenna_from_centre: Some(sensors.antenna_from_centre),
            transducer_depth: Some(sensors.transducer_depth),
            ..BoatFigures::default()
        };
        let rode_said = rode * dice.between(0.98, 1.02);
        let depth_said = (!has.sounder && dice.uniform() < 0.6)
            .then(|| Metres::of((depth + dice.between(-0.7, 0.7)).max(1.0)));
        Self {
            seed,
            weather,
            sea,
            boat,
            sensors,
            has,
            figures,
            rode,
            rode_said,
            depth_said,
            marking: draw_marking(dice),
            drag,
            length,
            told: RodeTold::Right,
            stirred: None,
            recorded: None,
            reports: None,
        }
    }
}

fn draw_boat(dice: &mut Dice) -> BoatSettings {
    let length = dice.between(8.0, 17.0);
    BoatSettings {
        length: Metres::of(length),
        roller_ahead: Metres::of(dice.between(0.0, 0.8)),
        roller_height: Metres::of(0.6 + 0.07 * length),
        // 6 mm chain at 8 m, 12 mm at 17 m, and the sizes in between that people carry.
        chain: 0.8 * (length / 8.0).powi(2) * dice.between(0.75, 1.25),
        snubber: 700.0 * length,
        // An anchor that should hold holds anything; one that should drag is made to drag.
        holding: 1e9,
        sheer: Angle::from_degrees(dice.between(5.0, 60.0)),
        sheer_period: Duration::from_secs_f64(dice.between(50.0, 180.0)),
    }
}

fn draw_sensors(dice: &mut Dice, boat: &BoatSettings, origin: Position) -> SensorSettings {
    // The night's deviation on each axis, divided between minutes and hours.
    let spread = dice.between(0.5, 2.5);
    let minutes = dice.between(0.3, 0.7);
    let coarse = dice.uniform() < 0.15;
    SensorSettings {
        plane: Plane::at(origin),
        antenna_from_bow: boat.length * dice.between(0.4, 1.0),
        antenna_from_centre: Metres::of(dice.between(-1.0, 1.0)),
        drift_minutes: (
            Metres::of(spread * minutes.sqrt()),
            Duration::from_secs_f64(dice.between(100.0, 200.0)),
        ),
        drift_hours: (
            Metres::of(spread * (1.0 - minutes).sqrt()),
            Duration::from_secs_f64(dice.between(4000.0, 6000.0)),
        ),
        jitter: Metres::of(dice.between(0.1, 0.4)),
        multipath_rate: dice.between(0.0, 1.0),
        dropout_rate: dice.between(0.0, 0.5),
        coarse,
        doppler: Speed::of(dice.between(0.03, 0.1)),
        heading_bias: Angle::from_degrees(4.0 * dice.normal()),
        heading_noise: Angle::from_degrees(dice.between(0.3, 2.0)),
        ..SensorSettings::aboard(boat, origin)
    }
}

fn draw_marking(dice: &mut Dice) -> Marking {
    match dice.between(0.0, 1.0) {
        x if x < 0.55 => Marking::InTime,
        x if x < 0.70 => Marking::Early(Metres::of(dice.between(3.0, 12.0))),
        x if x < 0.85 => Marking::Late(Duration::from_secs_f64(dice.between(10.0, 60.0))),
        _ => Marking::Typed(Offset::polar(
            draw_bearing(dice),
            Metres::of(dice.between(2.0, 9.0)),
        )),
    }
}

fn draw_drag(dice: &mut Dice, length: Duration) -> Drag {
    // Log-uniform from 0.02 to 1 m/s: the slow ones are the treacherous ones.
    let speed = 0.02 * 50.0_f64.powf(dice.uniform());
    let how = dice.uniform();
    Drag {
        begins: length.mul_f64(dice.between(0.15, 0.8)),
        speed: Speed::of(speed),
        jerks: (0.4..0.7).contains(&how).then(|| {
            let (moves, holds) = (dice.between(10.0, 60.0), dice.between(30.0, 300.0));
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "seconds well within range"
            )]
            (moves as u64, holds as u64)
        }),
        holds_after: (how >= 0.7).then(|| Metres::of(dice.between(8.0, 80.0))),
    }
}

fn draw_weather(dice: &mut Dice) -> Weather {
    match dice.between(0.0, 7.0) {
        x if x < 1.0 => Weather::Steady,
        x if x < 2.0 => Weather::Front,
        x if x < 3.0 => Weather::Reversal,
        x if x < 4.0 => Weather::Lull,
        x if x < 5.0 => Weather::Blow,
        x if x < 6.0 => Weather::Squall,
        _ => Weather::Stream,
    }
}

/// The knots of the mean wind. An anchor drags only under a pull, so it blows from the start of the
/// drag on.
fn draw_wind(
    dice: &mut Dice,
    weather: Weather,
    length: Duration,
    drag: Option<&Drag>,
) -> Vec<WindKnot> {
    let knot = |at: Duration, direction: Bearing, speed: f64| WindKnot {
        at,
        direction,
        speed: Speed::of(speed),
    };
    let first = draw_bearing(dice);
    let strength = dice.between(3.0, 11.0);
    let start = knot(Duration::ZERO, first, strength);
    let when = length.mul_f64(dice.between(0.15, 0.7));
    let side = if dice.uniform() < 0.5 { -1.0 } else { 1.0 };
    let turned = |degrees: f64| first.turned(Angle::from_degrees(side * degrees));
    let minutes = |dice: &mut Dice, low: f64, high: f64| {
        Duration::from_secs_f64(60.0 * dice.between(low, high))
    };
    let mut knots = vec![start];
    match weather {
        Weather::Steady => {}
        Weather::Front => {
            let after = turned(dice.between(60.0, 150.0));
            let lasts = minutes(dice, 5.0, 30.0);
            knots.push(knot(when, first, strength));
            knots.push(knot(when + lasts, after, dice.between(5.0, 13.0)));
        }
        Weather::Reversal => {
            let lasts = minutes(dice, 10.0, 60.0);
            knots.push(knot(when, first, strength));
            knots.push(knot(when + lasts / 2, turned(90.0), dice.between(1.0, 4.0)));
            knots.push(knot(when + lasts, turned(180.0), dice.between(4.0, 12.0)));
        }
        Weather::Lull => {
            let (falls, lies) = (minutes(dice, 10.0, 40.0), minutes(dice, 30.0, 120.0));
            let calm = dice.between(0.3, 1.5);
            let other = turned(dice.between(0.0, 170.0));
            knots.push(knot(when, first, strength));
            knots.push(knot(when + falls, first, calm));
            knots.push(knot(when + falls + lies, other, calm));
            knots.push(knot(
                when + falls * 2 + lies,
                other,
                dice.between(4.0, 12.0),
            ));
        }
        Weather::Blow => {
            let lasts = minutes(dice, 20.0, 120.0);
            knots.push(knot(when, first, strength));
            let after = turned(dice.between(0.0, 40.0));
            knots.push(knot(when + lasts, after, dice.between(13.0, 20.0)));
        }
        Weather::Squall => {
            let (rises, lasts) = (minutes(dice, 2.0, 6.0), minutes(dice, 10.0, 40.0));
            let other = turned(dice.between(30.0, 150.0));
            let strong = dice.between(14.0, 22.0);
            knots.push(knot(when, first, strength.min(7.0)));
            knots.push(knot(when + rises, other, strong));
            knots.push(knot(when + lasts, other, strong * 0.8));
            knots.push(knot(
                when + lasts + rises * 2,
                first,
                dice.between(3.0, 8.0),
            ));
        }
        Weather::Stream => {
            if let Some(first) = knots.first_mut() {
                first.speed = Speed::of(dice.between(1.5, 5.0));
            }
        }
    }
    if let Some(drag) = drag {
        let least = dice.between(7.0, 15.0);
        begin_at(&mut knots, drag.begins, least);
    }
    knots
}

/// Makes it blow at least `least` from a quarter of an hour before `begins`.
pub(super) fn begin_at(knots: &mut Vec<WindKnot>, begins: Duration, least: f64) {
    let blows = begins.saturating_sub(Duration::from_mins(15));
    let rises = begins.saturating_sub(Duration::from_mins(35));
    let before = knots
        .iter()
        .rev()
        .find(|knot| knot.at <= rises)
        .copied()
        .unwrap_or(WindKnot {
            at: rises,
            direction: Bearing::default(),
            speed: Speed::of(least),
        });
    let stronger = |knot: &WindKnot| Speed::of(knot.speed.get().max(least));
    knots.retain(|knot| knot.at < rises || knot.at > blows);
    knots.push(WindKnot {
        at: rises,
        ..before
    });
    knots.push(WindKnot {
        at: blows,
        speed: stronger(&before),
        ..before
    });
    for knot in knots.iter_mut().filter(|knot| knot.at > blows) {
        knot.speed = stronger(knot);
    }
    knots.sort_by_key(|knot| knot.at);
}

pub(super) fn draw_bearing(dice: &mut Dice) -> Bearing {
    Bearing::of(dice.between(0.0, std::f64::consts::TAU))
}
