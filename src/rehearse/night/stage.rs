//! The stage of a night: the world, the observer, the reports and the demands.

use std::time::Duration;

use serde_json::{Value, json};

use super::{Audience, Demand, Turn, seconds_between};
use crate::alert::hazard::Hazard;
use crate::rehearse::boat::EngineOrder;
use crate::rehearse::world::{World, WorldError};
use crate::signalk::paths::WATCH;
use crate::time::Timestamp;
use crate::units::{Hertz, Metres};
use crate::watch::messages::{Event, EventKind, Output};

/// How long a night is, and its tide.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plot {
    /// The approximate length, for the progress bar.
    pub(super) length: Duration,
    /// Height of high water above chart datum, and when since the start.
    pub(super) high: (Metres, Duration),
    /// The same of low water.
    pub(super) low: (Metres, Duration),
}

/// See the module documentation.
pub(super) struct Stage<'a, A> {
    pub(super) world: World,
    pub(super) audience: &'a mut A,
    plot: Plot,
    pub(super) start: Timestamp,
    pub(super) events: Vec<Event>,
    demands: Vec<Demand>,
}

/// What remains of a night when it is over.
pub(super) struct Ended {
    pub(super) hours: f64,
    pub(super) events: Vec<Event>,
    pub(super) demands: Vec<Demand>,
}

impl<'a, A: Audience> Stage<'a, A> {
    pub(super) fn new(world: World, audience: &'a mut A, plot: Plot) -> Self {
        Self {
            start: world.now(),
            world,
            audience,
            plot,
            events: Vec::new(),
            demands: Vec::new(),
        }
    }

    /// Ends the night cleanly.
    pub(super) async fn end(self) -> Result<Ended, WorldError> {
        let hours = seconds_between(self.start, self.world.now()) / 3600.0;
        self.world.end().await?;
        Ok(Ended {
            hours,
            events: self.events,
            demands: self.demands,
        })
    }

    pub(super) async fn connect(&mut self) -> Result<(), WorldError> {
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

    pub(super) async fn weigh(&mut self) -> Result<(), WorldError> {
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
            // The displays show for a while that the watch has ended; under way this makes no sound.
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

    /// Shows `status` and the picture.
    pub(super) async fn look(&mut self) {
        if let Some(report) = self.world.status().await {
            self.audience.screen(&report);
        }
        if let Some(picture) = self.world.picture().await {
            self.audience.picture(&picture);
        }
    }

    /// The crew acknowledges an alert. At a drill it first has time to do so at another display.
    pub(super) async fn acknowledge(&mut self, hazard: Hazard) -> Result<(), WorldError> {
        if self.audience.may_answer() {
            self.until(ANSWER, |night| night.is_acknowledged(hazard))
                .await?;
        }
        let acknowledged = self.put("acknowledge", json!(hazard)).await;
        let already = self.is_acknowledged(hazard);
        self.demand("the crew acknowledges", acknowledged || already);
        Ok(())
    }

    /// Whether the last that was told of this hazard's alert is that somebody acknowledged it.
    pub(super) fn is_acknowledged(&self, hazard: Hazard) -> bool {
        let mut events = self.events.iter().rev();
        let last = events.find(|event| event.hazard == Some(hazard));
        last.is_some_and(|event| event.event == EventKind::Acknowledged)
    }

    pub(super) async fn put(&mut self, command: &str, value: Value) -> bool {
        let outcome = self.world.put(&path(command), value).await;
        self.collect();
        outcome.status_code == 200
    }

    pub(super) async fn run(&mut self, duration: Duration) -> Result<(), WorldError> {
        for _ in 0..duration.as_secs() {
            self.step().await?;
        }
        Ok(())
    }

    /// Runs to a moment since the start.
    pub(super) async fn run_to(&mut self, since_start: Duration) -> Result<(), WorldError> {
        let until = self.start.plus(since_start);
        while self.world.now() < until {
            self.step().await?;
        }
        Ok(())
    }

    pub(super) async fn until(
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

    pub(super) async fn step(&mut self) -> Result<(), WorldError> {
        let now = self.world.now();
        let full_minute = now.as_millis() % 60_000 < 1000;
        if full_minute {
            let turn = |(height, after)| (height, self.start.plus(after));
            self.world
                .tell_tide(turn(self.plot.high), turn(self.plot.low));
        }
        self.world.step().await?;
        self.collect();
        self.audience.second();
        while let Turn::Display(action) = self.audience.turn().await {
            self.world.display(action).await;
            self.collect();
        }
        if full_minute {
            let done = seconds_between(self.start, now) / self.plot.length.as_secs_f64();
            self.audience.progress(done.min(1.0), now);
        }
        Ok(())
    }

    pub(super) fn collect(&mut self) {
        for output in self.world.outputs() {
            self.audience.output(&output);
            if let Output::Event(event) = output {
                self.audience.event(&event);
                self.events.push(event);
            }
        }
    }

    pub(super) fn raised_since(&self, before: usize) -> Vec<Hazard> {
        self.events
            .get(before..)
            .unwrap_or_default()
            .iter()
            .filter(|event| event.event == EventKind::Raised)
            .filter_map(|event| event.hazard)
            .collect()
    }

    pub(super) fn say(&mut self, words: &str) {
        let now = self.world.now();
        self.audience.story(now, words);
    }

    pub(super) fn demand(&mut self, what: &str, met: bool) {
        self.demands.push(Demand {
            what: what.to_owned(),
            met,
            known: false,
        });
    }

    pub(super) fn number(&self, name: &str) -> Option<f64> {
        self.world.value(&path(name))?.as_f64()
    }

    pub(super) fn metres(&self, name: &str) -> Metres {
        self.number(name).and_then(Metres::new).unwrap_or_default()
    }
}

pub(super) fn path(name: &str) -> String {
    format!("{WATCH}{name}")
}

/// How long the alarm of a drill sounds if nobody answers: 20 s at its usual speed.
const ANSWER: Duration = Duration::from_mins(10);
