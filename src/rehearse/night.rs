//! The default rehearsal: one night with everything that must be told and everything that must not.
//!
//! Plan a berth, come in head to wind, let go, dig in with a pull test that begins by itself, a quiet
//! spell, a front that turns the wind by 140° (the boat swings right over her anchor: no drag), then
//! the anchor breaks out in a rising wind. What must happen is written down as [`Demand`]s while it happens; the rehearsal has
//! passed when all are met. Boat, cove and weather are invented.

mod cove;

use std::time::Duration;

pub use cove::settings;
use serde::Serialize;
use serde_json::{Value, json};

use crate::alert::hazard::Hazard;
use crate::geodesy::Position;
use crate::rehearse::boat::EngineOrder;
use crate::rehearse::world::{World, WorldError, WorldSettings};
use crate::speech::Wording;
use crate::tackle::scope;
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Hertz, Metres, Speed};
use crate::watch::messages::{Event, EventKind, Output};

/// Told what happens while it happens.
pub trait Audience {
    /// The crew acts, or the sea does.
    fn story(&mut self, at: Timestamp, words: &str);
    /// The watch says something: every output, events among them.
    fn output(&mut self, _output: &Output) {}
    /// The watch tells an event.
    fn event(&mut self, event: &Event);
    /// How far the night has gone, 0..1.
    fn progress(&mut self, done: f64, at: Timestamp);
    /// A screen of `windrode status`.
    fn screen(&mut self, report: &crate::daemon::StatusReport);
    /// The picture at the same moment, as a phone gets it.
    fn picture(&mut self, _picture: &crate::plot::PictureInput) {}
}

/// Something that had to happen, or must not have.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Demand {
    /// What.
    pub what: String,
    /// Whether it was so.
    pub met: bool,
}

/// How the drag was found.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Drag {
    /// When the anchor began to move.
    pub began: Timestamp,
    /// When the alarm came.
    pub alarm: Timestamp,
    /// Seconds between.
    pub seconds: f64,
    /// How far the anchor had truly moved by then.
    pub moved: Metres,
    /// How far the boat lay from the mark then.
    pub distance: Metres,
    /// How far she can lie from a holding anchor.
    pub reach: Metres,
}

/// The result of a rehearsal.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
pub struct Report {
    /// Of this night.
    pub seed: u64,
    /// How long the night was.
    pub hours: f64,
    /// What the watch told.
    pub events: Vec<Event>,
    /// The drag, if the alarm came.
    pub drag: Option<Drag>,
    /// What had to happen.
    pub demands: Vec<Demand>,
}

impl Report {
    /// Did everything happen that must, and nothing that must not?
    #[must_use]
    pub fn passed(&self) -> bool {
        !self.demands.is_empty() && self.demands.iter().all(|demand| demand.met)
    }
}

/// Holds the rehearsal.
pub async fn night(
    seed: u64,
    journal: std::path::PathBuf,
    wording: Wording,
    audience: &mut impl Audience,
) -> Result<Report, WorldError> {
    let world = World::start(WorldSettings {
        wording,
        ..settings(seed, journal)
    })
    .await?;
    let start = world.now();
    let mut night = Night {
        world,
        audience,
        start,
        events: Vec::new(),
        demands: Vec::new(),
    };
    night.connect().await?;
    let rode = night.plan().await?;
    night.approach().await?;
    night.let_go(rode).await?;
    night.dig_in().await?;
    night.quiet_spell().await?;
    night.front().await?;
    let drag = night.drag().await?;
    night.weigh().await?;
    let Night {
        world,
        events,
        demands,
        ..
    } = night;
    let hours = seconds_between(start, world.now()) / 3600.0;
    world.end().await?;
    Ok(Report {
        seed,
        hours,
        events,
        drag,
        demands,
    })
}

struct Night<'a, A> {
    world: World,
    audience: &'a mut A,
    start: Timestamp,
    events: Vec<Event>,
    demands: Vec<Demand>,
}

impl<A: Audience> Night<'_, A> {
    async fn connect(&mut self) -> Result<(), WorldError> {
        let path = "navigation.anchor.watch.phase";
        let told = self
            .until(Duration::from_mins(2), |night| {
                night.world.value(path) == Some(json!("aweigh"))
            })
            .await?;
        self.demand(
            "the watch publishes on the data server before anything else",
            told,
        );
        Ok(())
    }

    /// The plan: enough rode for 5:1 at high water, in whole five metres.
    async fn plan(&mut self) -> Result<Metres, WorldError> {
        self.run(Duration::from_secs(30)).await?;
        let now_deep = self.world.sea().depth(crate::geodesy::Offset::ZERO);
        let high = now_deep + (HIGH_WATER - self.world.sea().tide);
        let wanted = scope::rode_for(SCOPE, high, ROLLER_HEIGHT);
        let rode = Metres::of((wanted.get() / 5.0).ceil() * 5.0);
        self.say(&format!(
            "plan: {now_deep:.1} of water at the berth, {high:.1} at high water, roller {ROLLER_HEIGHT:.1} up: {SCOPE}:1 needs {wanted:.0}, veer {rode}"
        ));
        let berth = json!({
            "latitude": self.world.plane().origin().latitude(),
            "longitude": self.world.plane().origin().longitude(),
        });
        let outcome = self.put("berth", berth).await;
        self.demand("the berth is taken", outcome);
        Ok(rode)
    }

    async fn approach(&mut self) -> Result<(), WorldError> {
        self.run(Duration::from_secs(10)).await?;
        let course = self.number("headToWindCourse").map(Bearing::of);
        let wind = self.world.sea().mean_direction;
        let close = course.is_some_and(|c| c.since(wind).abs() < Angle::from_degrees(20.0));
        self.demand(
            "the head-to-wind course is within 20° of the true wind",
            close,
        );
        let distance = self.number("berthDistance").map(Metres::of);
        self.say(&format!(
            "approach: head to wind is {}, the berth at {}",
            course.map_or("not known".to_owned(), |c| c.to_string()),
            distance.map_or("an unknown distance".to_owned(), |d| d.to_string()),
        ));
        self.world.boat.engine(EngineOrder::Ahead(Hertz::of(20.0)));
        self.world
            .boat
            .steam_to(crate::geodesy::Offset::ZERO, Speed::from_knots(2.5));
        self.until(Duration::from_mins(15), |night| night.world.boat.arrived())
            .await?;
        let there = self
            .number("berthDistance")
            .is_some_and(|distance| distance < 10.0);
        self.demand("at the berth the distance to it is below 10 m", there);
        Ok(())
    }

    async fn let_go(&mut self, rode: Metres) -> Result<(), WorldError> {
        let sea = *self.world.sea();
        self.world.boat.let_go(&sea);
        self.world.boat.veer(rode, Speed::of(0.5));
        self.say("let go: the anchor touches bottom, she falls back while rode is veered");
        let refused = self.world.put(&path("letGo"), json!({ "rode": 3 })).await;
        self.demand(
            "a rode shorter than the depth is refused in words",
            refused.status_code == 400 && refused.message.contains("rode` ="),
        );
        let taken = self.put("letGo", json!({ "rode": rode.get() })).await;
        self.demand("letting go is taken", taken);
        let true_anchor = self.world.boat.state().anchor;
        let marked = self.world.value("navigation.anchor.position");
        let off = true_anchor
            .zip(marked.as_ref().and_then(position))
            .map(|(truth, marked)| self.world.plane().position(truth).distance_to(marked));
        self.demand(
            "the mark lies within 8 m of the anchor, not under the antenna",
            off.is_some_and(|off| off < Metres::of(8.0)),
        );
        self.world.boat.engine(EngineOrder::Astern(Hertz::of(14.0)));
        self.run(Duration::from_mins(3)).await
    }

    async fn dig_in(&mut self) -> Result<(), WorldError> {
        self.say("dig in: engine astern, first slow, then in earnest");
        self.world.boat.engine(EngineOrder::Astern(Hertz::of(30.0)));
        self.run(Duration::from_secs(20)).await?;
        self.world.boat.reckon_from_here();
        self.run(Duration::from_secs(100)).await?;
        let moved = self.world.boat.anchor_moved();
        let reading = self.world.value(&path("pullTest")).unwrap_or_default();
        self.say(&format!(
            "a hundred seconds at 1800 rpm: in truth the anchor moved {moved:.1}"
        ));
        self.demand(
            "the pull test says held, of an anchor that in truth moved less than a metre",
            reading.get("verdict") == Some(&json!("held")) && moved < Metres::of(1.0),
        );
        self.world.boat.dig_in();
        self.world.boat.engine(EngineOrder::Stopped);
        self.world.boat.reckon_from_here();
        let set = self
            .until(Duration::from_mins(20), |night| {
                night.world.value(&path("phase")) == Some(json!("set"))
            })
            .await?;
        self.demand("after lying quietly she counts as set", set);
        Ok(())
    }

    async fn quiet_spell(&mut self) -> Result<(), WorldError> {
        self.say("a quiet spell: she sheers about in 15 kn, the tide turns");
        let before = self.events.len();
        self.run_to(FRONT).await?;
        let raised = self.raised_since(before);
        self.demand("the quiet spell raises nothing", raised.is_empty());
        Ok(())
    }

    async fn front(&mut self) -> Result<(), WorldError> {
        self.say("a front: in a quarter of an hour the wind veers by 140°");
        let before = self.events.len();
        self.run_to(RISING).await?;
        let raised = self.raised_since(before);
        self.demand(
            "the wind shift is reported, as a warning",
            raised.contains(&Hazard::WindShift),
        );
        self.demand(
            "swinging through 140° is neither dragging nor out of the circle",
            !raised.contains(&Hazard::Dragging) && !raised.contains(&Hazard::SwingExceeded),
        );
        self.say("somebody acknowledges the wind shift at a display");
        let pressed = self
            .world
            .acknowledge("notifications.navigation.anchor.windShift")
            .await;
        self.collect();
        let heard = self
            .events
            .iter()
            .any(|e| e.event == EventKind::Acknowledged && e.hazard == Some(Hazard::WindShift));
        self.demand(
            "an acknowledgement at a display reaches the watch",
            pressed && heard,
        );
        Ok(())
    }

    async fn drag(&mut self) -> Result<Option<Drag>, WorldError> {
        self.say("the wind rises to 28 kn");
        let before = self.events.len();
        self.run_to(BREAKS_OUT).await?;
        let raised = self.raised_since(before);
        self.demand(
            "the rising wind is reported, and nothing else",
            raised.contains(&Hazard::WindStrength)
                && raised.iter().all(|hazard| *hazard == Hazard::WindStrength),
        );
        let before = self.events.len();
        self.world.boat.reckon_from_here();
        self.world.boat.drag_at(Speed::of(0.1));
        let began = self.world.now();
        self.say("the anchor breaks out: it drags at 0.1 m/s");
        let mut found = None;
        for _ in 0..900 {
            self.step().await?;
            let alarm = self
                .events
                .get(before..)
                .and_then(|events| events.iter().find(|e| e.is_drag_alarm()));
            if let Some(alarm) = alarm {
                found = Some(Drag {
                    began,
                    alarm: alarm.time,
                    seconds: seconds_between(began, alarm.time),
                    moved: self.world.boat.anchor_moved(),
                    distance: self.metres("anchorDistance"),
                    reach: self.metres("reach"),
                });
                break;
            }
        }
        self.demand("the drag is found", found.is_some());
        let notice = self.world.value("notifications.navigation.anchor.dragging");
        let sounds = notice.as_ref().is_some_and(|n| {
            n.get("state") == Some(&json!("alarm"))
                && n.get("method") == Some(&json!(["visual", "sound"]))
        });
        self.demand("displays show it as an alarm, with sound", sounds);
        if let Some(report) = self.world.status().await {
            self.audience.screen(&report);
        }
        if let Some(picture) = self.world.picture().await {
            self.audience.picture(&picture);
        }
        Ok(found)
    }

    async fn weigh(&mut self) -> Result<(), WorldError> {
        let acknowledged = self.put("acknowledge", json!(true)).await;
        self.demand("the crew acknowledges", acknowledged);
        self.world.boat.engine(EngineOrder::Ahead(Hertz::of(25.0)));
        self.run(Duration::from_mins(1)).await?;
        self.world.boat.weigh();
        let weighed = self.put("weigh", json!(true)).await;
        self.run(Duration::from_secs(15)).await?;
        self.say("weighed: under way to a better berth");
        let clear = Hazard::ALL.iter().all(|hazard| {
            let notice = self
                .world
                .value(&format!("notifications.navigation.anchor.{hazard}"));
            // That the watch was ended is shown for a while; under way it makes no sound.
            let silent = |notice: &Value| {
                let method = notice.get("method").and_then(Value::as_array);
                *hazard == Hazard::Watch
                    && method.is_none_or(|ways| !ways.contains(&json!("sound")))
            };
            notice.is_none_or(|n| n.get("state") == Some(&json!("normal")) || silent(&n))
        });
        self.demand(
            "weighing ends the watch and clears every alert",
            weighed && clear,
        );
        Ok(())
    }

    async fn put(&mut self, command: &str, value: Value) -> bool {
        let outcome = self.world.put(&path(command), value).await;
        self.collect();
        outcome.status_code == 200
    }

    async fn run(&mut self, duration: Duration) -> Result<(), WorldError> {
        for _ in 0..duration.as_secs() {
            self.step().await?;
        }
        Ok(())
    }

    /// Runs to a moment since the start.
    async fn run_to(&mut self, since_start: Duration) -> Result<(), WorldError> {
        let until = self.start.plus(since_start);
        while self.world.now() < until {
            self.step().await?;
        }
        Ok(())
    }

    async fn until(
        &mut self,
        limit: Duration,
        mut reached: impl FnMut(&Self) -> bool,
    ) -> Result<bool, WorldError> {
        for _ in 0..limit.as_secs() {
            if reached(self) {
                return Ok(true);
            }
            self.step().await?;
        }
        Ok(reached(self))
    }

    async fn step(&mut self) -> Result<(), WorldError> {
        let now = self.world.now();
        let full_minute = now.as_millis() % 60_000 < 1000;
        if full_minute {
            self.world.tell_tide(
                (HIGH_WATER, self.start.plus(TO_HIGH_WATER)),
                (Metres::ZERO - HIGH_WATER, self.start.plus(TO_LOW_WATER)),
            );
        }
        self.world.step().await?;
        self.collect();
        if full_minute {
            let done = seconds_between(self.start, now) / NIGHT.as_secs_f64();
            self.audience.progress(done.min(1.0), now);
        }
        Ok(())
    }

    fn collect(&mut self) {
        for output in self.world.outputs() {
            self.audience.output(&output);
            if let Output::Event(event) = output {
                self.audience.event(&event);
                self.events.push(event);
            }
        }
    }

    fn raised_since(&self, before: usize) -> Vec<Hazard> {
        self.events
            .get(before..)
            .unwrap_or_default()
            .iter()
            .filter(|event| event.event == EventKind::Raised)
            .filter_map(|event| event.hazard)
            .collect()
    }

    fn say(&mut self, words: &str) {
        let now = self.world.now();
        self.audience.story(now, words);
    }

    fn demand(&mut self, what: &str, met: bool) {
        self.demands.push(Demand {
            what: what.to_owned(),
            met,
        });
    }

    fn number(&self, name: &str) -> Option<f64> {
        self.world.value(&path(name))?.as_f64()
    }

    fn metres(&self, name: &str) -> Metres {
        self.number(name).and_then(Metres::new).unwrap_or_default()
    }
}

fn path(name: &str) -> String {
    format!("navigation.anchor.watch.{name}")
}

fn position(value: &Value) -> Option<Position> {
    serde_json::from_value(value.clone()).ok()
}

fn seconds_between(from: Timestamp, to: Timestamp) -> f64 {
    to.millis_since(from) as f64 / 1000.0
}

const SCOPE: f64 = 5.0;
const ROLLER_HEIGHT: Metres = Metres::of(1.3);
/// Height of high water above the mean level, which is chart datum here.
const HIGH_WATER: Metres = Metres::of(1.0);
/// M2 turns through 28.984° an hour; the night begins 60° before its high water.
const TO_HIGH_WATER: Duration = Duration::from_secs(7452);
const TO_LOW_WATER: Duration = Duration::from_secs(29_808);
const FRONT: Duration = Duration::from_mins(150);
const RISING: Duration = Duration::from_mins(210);
const BREAKS_OUT: Duration = Duration::from_mins(235);
/// About how long the night is, for the progress bar.
const NIGHT: Duration = Duration::from_mins(242);
