//! One night: sea, boat and instruments step by step, and every method that watches them.

use std::time::Duration;

use crate::alert::hazard::{Hazard, Priority};
use crate::geodesy::{Offset, Position};
use crate::measure::plan::{Drag, Marking, Plan};
use crate::measure::rivals::{Ladder, Limit, Noise, Oracle, Persistence};
use crate::measure::shares::Said;
use crate::observation::Fact;
use crate::rehearse::boat::Boat;
use crate::rehearse::receiver::{Played, Receiver, Wandering};
use crate::rehearse::sea::Sea;
use crate::rehearse::sensors::{Condition, Fix, Instrument, Reading, Sample, Sensors};
use crate::rehearse::speech::Speech;
use crate::tackle::scope;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Bearing, Metres, Speed};
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{By, Command, EventKind, Input, LetGo, LinkState, Outcome, Output};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

/// The outcome of a night.
#[derive(Clone, Debug)]
pub struct Trial {
    /// The night.
    pub plan: Plan,
    /// What was raised while the anchor held, and when.
    pub raised: Vec<Raised>,
    /// How far the anchor moved in all, metres.
    pub moved: f64,
    /// The watch's alarm: seconds and metres since the anchor began to move.
    pub alarm: Option<(f64, f64)>,
    /// The hazard it was.
    pub hazard: Option<Hazard>,
    /// The watch's first report of the drag: its caution, or the alarm if there was no caution. A caution
    /// that stood before the anchor moved does not count.
    pub first: Option<(f64, f64)>,
    /// Mean wind when the anchor began to move; for a quiet night, its strongest mean wind.
    pub wind: Speed,
    /// The rivals, in the order of [`RIVALS`].
    pub rivals: [Ladder; 5],
    /// Seconds by the probability that the watch published, and whether the anchor had moved.
    pub said: Said,
    /// Fixes handed to the watch.
    pub fixes: u64,
}

/// Something that was raised while the anchor held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Raised {
    /// The hazard.
    pub hazard: Hazard,
    /// Its priority.
    pub priority: Priority,
    /// Seconds since the night began.
    pub at: f64,
}

impl Raised {
    /// Whether it says that she drags or is outside her circle, with an alarm.
    #[must_use]
    pub fn is_drag_alarm(&self) -> bool {
        match self.hazard {
            Hazard::Dragging => self.priority >= Priority::Alarm,
            hazard => hazard == Hazard::SwingExceeded,
        }
    }

    /// Whether it is the first stage of a drag alarm.
    #[must_use]
    pub fn is_drag_caution(&self) -> bool {
        self.hazard == Hazard::Dragging && self.priority == Priority::Caution
    }
}

/// The rivals' names, in the order of [`Trial::rivals`].
pub const RIVALS: [&str; 5] = ["circle", "circle10s", DRAWN, "oracle", "limit"];
/// The circle as a crew draws it on a chart.
pub const DRAWN: &str = "drawn";

/// Runs the night.
#[must_use]
pub fn night(plan: Plan) -> Trial {
    Night::new(plan).run()
}

struct Night {
    sea: Sea,
    boat: Boat,
    sensors: Sensors,
    keeper: Watchkeeper,
    speech: Speech,
    flat: Flat,
    second: u64,
    let_go: Option<u64>,
    marked: Option<Mark>,
    begun: Option<Begun>,
    persistence: Persistence,
    oracle: Oracle,
    limit: Limit,
    limit_at: u64,
    /// The probability of a drag as last published.
    probability: Option<f64>,
    /// Whether the present mark is made from the track.
    from_track: bool,
    /// What the receiver last reported about its fixes. It is handed over with the next position.
    quality_waiting: Vec<Fact>,
    trial: Trial,
}

/// The crew's circle.
#[derive(Clone, Copy, Debug)]
struct Mark {
    at: Offset,
    radius: f64,
    drawn: f64,
}

#[derive(Clone, Copy, Debug)]
struct Begun {
    at: u64,
    /// The anchor moves only while the pull is at least this, newtons.
    least_pull: f64,
    holds: bool,
}

impl Night {
    fn new(plan: Plan) -> Self {
        let mut sea = Sea::new(plan.sea.clone(), STEP, plan.seed);
        let wind = sea.step().mean_direction;
        // She approaches the berth against the wind.
        let roller = Offset::polar(wind.reversed(), Metres::of(40.0));
        let mut boat = Boat::under_way(plan.boat, STEP, roller, wind, plan.seed);
        boat.steam_to(Offset::ZERO, Speed::of(1.2));
        let mut sensors = Sensors::new(plan.sensors, plan.seed);
        if let Some(stirred) = plan.stirred {
            boat.hang(stirred.hanging, plan.seed);
            let wandering = Wandering::new(stirred.wandering, plan.seed);
            sensors = sensors.with_receiver(Receiver::Wandering(Box::new(wandering)));
        }
        if let Some(recorded) = &plan.recorded {
            let played = Played::new(recorded.clone(), plan.seed);
            sensors = sensors.with_receiver(Receiver::Recorded(played));
        }
        for (there, instrument) in [
            (plan.has.compass, Instrument::Compass),
            (plan.has.wind, Instrument::Wind),
            (plan.has.sounder, Instrument::Sounder),
            // The watch must not learn that the engine stops when the anchor is down.
            (false, Instrument::Engine),
        ] {
            if !there {
                sensors.set(instrument, Condition::Silent);
            }
        }
        let settings = WatchSettings {
            boat: plan.figures,
            ..WatchSettings::default()
        };
        let mut keeper = Watchkeeper::new(at(0), settings, Saved::default());
        keeper.handle(at(0), Input::Link(LinkState::Up));
        let noise = Noise {
            minutes: seconds(plan.sensors.drift_minutes),
            hours: seconds(plan.sensors.drift_hours),
            white: if plan.sensors.coarse {
                plan.sensors.jitter.get().hypot(GRID)
            } else {
                plan.sensors.jitter.get()
            },
        };
        Self {
            sea,
            boat,
            sensors,
            keeper,
            speech: Speech::default(),
            flat: Flat::about(plan.sensors.plane.origin()),
            second: 0,
            let_go: None,
            marked: None,
            begun: None,
            persistence: Persistence::default(),
            oracle: Oracle::new(&noise),
            limit: Limit::new(&noise),
            limit_at: 0,
            probability: None,
            from_track: false,
            quality_waiting: Vec::new(),
            trial: Trial {
                plan,
                raised: Vec::new(),
                moved: 0.0,
                alarm: None,
                hazard: None,
                first: None,
                wind: Speed::ZERO,
                rivals: [0.25, 0.25, 0.25, 0.05, 0.05].map(Ladder::new),
                said: Said::default(),
                fixes: 0,
            },
        }
    }

    fn run(mut self) -> Trial {
        let length = self.trial.plan.length.as_secs();
        while self.second < length && !self.decided() {
            self.second += 1;
            for _ in 0..STEPS {
                let sea = self.sea.step();
                self.boat.step(sea);
            }
            self.crew();
            self.drag();
            let stamp = at(self.second).utc;
            let sample = self
                .sensors
                .sample(stamp, self.boat.state(), self.sea.state());
            self.tell(&sample);
            let every = self.trial.plan.reports.map_or(1, |every| every.as_secs());
            if let Some(fix) = sample.fix.stated().flatten()
                && self.second.is_multiple_of(every.max(1))
            {
                self.trial.fixes += 1;
                self.hold_against(&fix);
            }
            self.trial.said.take(self.probability, self.trial.moved);
        }
        self.trial
    }

    /// All methods have raised their alarm, or it is too late.
    fn decided(&self) -> bool {
        self.begun
            .is_some_and(|begun| self.trial.moved > FAR || self.second - begun.at > LONG_AFTER)
    }

    /// What the crew does: lets go at the berth, veers, marks.
    fn crew(&mut self) {
        let marking = self.trial.plan.marking;
        if self.let_go.is_none() {
            if let Marking::Early(before) = marking
                && self.marked.is_none()
                && self.boat.state().roller.length() <= before
            {
                self.mark(None);
            }
            if !self.boat.arrived() {
                return;
            }
            self.boat.let_go(self.sea.state());
            if let Some(stirred) = self.trial.plan.stirred {
                let leeward = self.sea.state().mean_direction.reversed();
                self.boat.bites_at(Offset::polar(leeward, stirred.bites));
            }
            self.boat.dig_in();
            self.boat
                .engine(crate::rehearse::boat::EngineOrder::Stopped);
            self.boat.veer(self.trial.plan.rode, Speed::of(0.5));
            self.let_go = Some(self.second);
        }
        let Some(since) = self.let_go.map(|at| Duration::from_secs(self.second - at)) else {
            return;
        };
        if self.marked.is_some() {
            return;
        }
        match marking {
            Marking::InTime | Marking::Early(_) => self.mark(None),
            Marking::Late(after) if since >= after => self.mark(None),
            Marking::FromTrack if since >= TRACK_AFTER && self.second.is_multiple_of(60) => {
                // If the track shows nothing, the crew finally marks it under the bow.
                self.from_track = since < TRACK_AT_LAST;
                self.mark(None);
                self.from_track = false;
            }
            Marking::Typed(off) if since >= TYPED_AFTER => {
                let anchor = self.boat.state().anchor.unwrap_or(Offset::ZERO);
                self.mark(Some(anchor + off));
            }
            Marking::Late(_) | Marking::Typed(_) | Marking::FromTrack => {}
        }
    }

    /// Marks the anchor under the roller, or at a position typed in. The circle uses the mark that
    /// the watch accepts.
    fn mark(&mut self, typed: Option<Offset>) {
        let plan = &self.trial.plan;
        let order = LetGo {
            rode: Some(plan.rode_said),
            position: typed.map(|at| self.flat.position(at)),
            depth: plan.depth_said,
            from_track: self.from_track,
            ..LetGo::default()
        };
        let roller_height = plan.boat.roller_height;
        let arm = plan.boat.roller_ahead + plan.sensors.antenna_from_bow;
        let arm = arm.get().hypot(plan.sensors.antenna_from_centre.get());
        let command = Command::LetGo(order);
        self.keeper.handle(
            at(self.second),
            Input::Command {
                id: 1,
                command,
                by: By::Terminal,
            },
        );
        if !self.drain() {
            // No fix just now: the crew tries again.
            return;
        }
        let Some(mark) = self.keeper.saved().mark else {
            return;
        };
        let depth = mark.depth.unwrap_or_default();
        let reach = mark
            .rode
            .and_then(|rode| scope::reach(rode, depth, roller_height, 0.0))
            .unwrap_or_default();
        self.marked = Some(Mark {
            at: self.flat.offset(mark.position),
            radius: reach.get() + arm,
            drawn: mark.rode.unwrap_or_default().get() + DRAWN_MARGIN,
        });
    }

    /// Moves the anchor as planned.
    fn drag(&mut self) {
        let Some(plan) = self.trial.plan.drag else {
            self.trial.wind = self.trial.wind.max(self.sea.state().mean_speed);
            return;
        };
        if self.second < plan.begins.as_secs() || self.marked.is_none() {
            return;
        }
        let wind = self.sea.state().mean_speed;
        if self.begun.is_none() {
            self.trial.wind = wind;
        }
        let begun = *self.begun.get_or_insert_with(|| {
            self.boat.reckon_from_here();
            Begun {
                at: self.second,
                least_pull: LEAST_PULL * self.boat.wind_load(wind),
                holds: false,
            }
        });
        self.trial.moved = self.boat.anchor_moved().get();
        let for_good = plan
            .holds_after
            .is_some_and(|metres| self.trial.moved >= metres.get());
        if let Some(begun) = &mut self.begun {
            begun.holds |= for_good;
        }
        if !begun.holds
            && moves(&plan, self.second - begun.at)
            && self.boat.state().pull >= begun.least_pull
        {
            self.boat.drag_at(plan.speed);
        } else {
            self.boat.hold();
        }
    }

    /// Hands the sample to the watch.
    fn tell(&mut self, sample: &Sample) {
        let mut reports = self.speech.reports(sample);
        // The fix comes last, after the other instruments.
        if sample.quality.is_some() || sample.fix != Reading::Silent {
            reports.rotate_left(1);
        }
        let velocity = self.trial.plan.has.velocity;
        let every = self.trial.plan.reports.map_or(1, |every| every.as_secs());
        let reports_now = self.second.is_multiple_of(every.max(1));
        for mut report in reports {
            let quality = report.facts.extract_if(.., |fact| is_quality(fact));
            let quality: Vec<Fact> = quality.collect();
            if !quality.is_empty() {
                self.quality_waiting = quality;
            }
            report.facts.retain(|fact| match fact {
                Fact::SpeedOverGround(_) | Fact::CourseOverGround(_) => velocity && reports_now,
                Fact::Position(_) => reports_now,
                _ => true,
            });
            let is_fix = |fact: &Fact| matches!(fact, Fact::Position(_));
            if report.facts.iter().any(is_fix) {
                report.facts.splice(0..0, self.quality_waiting.drain(..));
            }
            if report.facts.is_empty() {
                continue;
            }
            // The position within it.
            report
                .facts
                .sort_by_key(|fact| matches!(fact, Fact::Position(_)));
            self.keeper.handle(at(self.second), Input::Report(report));
        }
        self.drain();
    }

    /// Takes the watch's output; returns whether an order among it was obeyed.
    fn drain(&mut self) -> bool {
        let mut obeyed = false;
        while let Some(output) = self.keeper.poll_output() {
            match output {
                Output::Event(event) if event.event == EventKind::Raised => {
                    let Some((hazard, priority)) = event.hazard.zip(event.priority) else {
                        continue;
                    };
                    let raised = Raised {
                        hazard,
                        priority,
                        at: self.second as f64,
                    };
                    let Some(begun) = self.begun else {
                        self.trial.raised.push(raised);
                        continue;
                    };
                    let since = ((self.second - begun.at) as f64, self.trial.moved);
                    if raised.is_drag_alarm() && self.trial.alarm.is_none() {
                        self.trial.alarm = Some(since);
                        self.trial.hazard = Some(hazard);
                    }
                    if raised.is_drag_alarm() || raised.is_drag_caution() {
                        self.trial.first.get_or_insert(since);
                    }
                }
                Output::Reply { outcome, .. } => obeyed = matches!(outcome, Outcome::Done(_)),
                Output::Publish(state) => self.probability = state.drag_probability,
                Output::Event(_)
                | Output::Persist(_)
                | Output::Alert(_)
                | Output::AskChart(_)
                | Output::KeepSoundings(_) => {}
            }
        }
        obeyed
    }

    /// Hands the fix to the rivals.
    fn hold_against(&mut self, fix: &Fix) {
        let Some(mark) = self.marked else { return };
        let drag = self
            .begun
            .map(|begun| ((self.second - begun.at) as f64, self.trial.moved));
        let antenna = self.flat.offset(fix.position);
        let away = (antenna - mark.at).length().get();
        let excess = away - mark.radius;
        let lasting = self.persistence.take(excess);
        let [circle, circle_10s, drawn, oracle, limit] = &mut self.trial.rivals;
        circle.take(excess, drag);
        circle_10s.take(lasting, drag);
        drawn.take(away - mark.drawn, drag);

        if self.sensors.shifted() {
            return;
        }
        let state = self.boat.state();
        let Some(anchor) = state.anchor else { return };
        let error = antenna - self.sensors.antenna(state);
        let Some(before) = self.boat.reckoned_from() else {
            return;
        };
        let line = state.roller - before;
        let distance = line.length().get();
        if distance < NEAR {
            return;
        }
        let along = (error.east * line.east + error.north * line.north) / distance;
        let reach = self.boat.reach(self.sea.state()).unwrap_or_default().get();
        oracle.take(self.oracle.take(distance + along - reach), drag);
        let held = (state.roller - anchor).length().get();
        let gone = self.second - std::mem::replace(&mut self.limit_at, self.second);
        limit.take(self.limit.take(distance + along - held, gone), drag);
    }
}

/// What a receiver reports about its fix.
const fn is_quality(fact: &Fact) -> bool {
    matches!(
        fact,
        Fact::FixMethod(_) | Fact::Satellites(_) | Fact::HorizontalDilution(_)
    )
}

/// Whether the anchor moves in this second.
fn moves(drag: &Drag, since: u64) -> bool {
    drag.jerks
        .is_none_or(|(moves, holds)| since % (moves + holds) < moves)
}

fn at(second: u64) -> Now {
    let start = Timestamp::from_millis(1_780_336_800_000);
    let gone = Duration::from_secs(second);
    Now::new(Tick::from_secs(second), start.plus(gone))
}

fn seconds((sigma, tau): (Metres, Duration)) -> (f64, f64) {
    (sigma.get(), tau.as_secs_f64())
}

/// The ellipsoid near a point, for some hundred metres: radii of curvature along meridian and
/// parallel (WGS 84). Independent of the watch's own geodesics, and faster.
#[derive(Clone, Copy, Debug)]
struct Flat {
    origin: Position,
    per_latitude: f64,
    per_longitude: f64,
}

impl Flat {
    fn about(origin: Position) -> Self {
        let (sin, cos) = origin.latitude().to_radians().sin_cos();
        let (a, e2) = (6_378_137.0, 0.006_694_379_990_14);
        let w = 1.0 - e2 * sin * sin;
        Self {
            origin,
            per_latitude: (a * (1.0 - e2) / (w * w.sqrt())).to_radians(),
            per_longitude: (a / w.sqrt() * cos).to_radians(),
        }
    }

    fn offset(&self, position: Position) -> Offset {
        let east =
            (position.longitude() - self.origin.longitude() + 540.0).rem_euclid(360.0) - 180.0;
        Offset {
            east: east * self.per_longitude,
            north: (position.latitude() - self.origin.latitude()) * self.per_latitude,
        }
    }

    fn position(&self, offset: Offset) -> Position {
        let bearing: Bearing = offset.bearing();
        self.origin.moved(bearing, offset.length())
    }
}

/// Metres beyond the rode: what a crew adds for boat and receiver (common practice, no source).
const DRAWN_MARGIN: f64 = 10.0;
const STEP: Duration = Duration::from_millis(250);
const STEPS: u32 = 4;
/// The mark is first taken from the track after an hour, and tried for two more at most.
const TRACK_AFTER: Duration = Duration::from_mins(60);
const TRACK_AT_LAST: Duration = Duration::from_hours(3);
const TYPED_AFTER: Duration = Duration::from_mins(10);
/// An anchor moves while the pull of the rode is at least this share of the load in the mean wind.
const LEAST_PULL: f64 = 0.3;
/// Deviation of a rounding to a thousandth of a minute of latitude, 1.85 m / √12.
const GRID: f64 = 0.53;
/// Closer to the anchor than this there is no useful direction to it, metres.
const NEAR: f64 = 3.0;
/// Beyond this nobody needs an alarm to notice it, metres.
const FAR: f64 = 150.0;
/// Seconds after which an undetected drag counts as missed.
const LONG_AFTER: u64 = 3 * 3600;
