//! Random stories from a seed: deltas as text, gaps, clocks that leap, orders, displays that
//! interfere, links that break, power cuts. Whatever arrives in whatever order, nothing panics, no
//! unacknowledged alert is lost, phase and alerts agree, each order is answered once, and the same
//! story gives the same output twice, byte for byte.
//!
//! Thirty stories run with every test run. `WINDRODE_STORIES=20000 tests/run stories` runs more, each
//! with another seed; a story that breaks a rule names its seed and step, and `WINDRODE_STORY=SEED`
//! runs that one alone. `WINDRODE_STORIES_TO=FOLDER` keeps the output, one line each, so that two
//! states of the code can be compared.

mod rules;

use std::collections::BTreeMap;
use std::f64::consts::TAU;
use std::time::Duration;

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde_json::{Value, json};
use windrode::alert::hazard::{AlertState, Hazard, Priority};
use windrode::boat::tern::{BERTH, Tern, figures};
use windrode::geodesy::{Offset, Plane};
use windrode::rehearse::speech::delta;
use windrode::signalk::put::parse_put;
use windrode::signalk::reader::Reader;
use windrode::signalk::wire::{Incoming, parse};
use windrode::time::{Now, Tick, Timestamp};
use windrode::units::{Bearing, Hertz, Metres, Speed};
use windrode::watch::anchorage::phase::AnchorPhase;
use windrode::watch::engine::Watchkeeper;
use windrode::watch::messages::{By, Command, DisplayAct, DisplayAction, Input, LinkState, Output};
use windrode::watch::saved::Saved;
use windrode::watch::settings::WatchSettings;

#[test]
fn no_story_breaks_the_watch() {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse().ok());
    let (first, count) = match number("WINDRODE_STORY") {
        Some(seed) => (seed, 1),
        None => (1, number("WINDRODE_STORIES").unwrap_or(30)),
    };
    let mut raised = BTreeMap::new();
    for seed in first..first + count {
        let told = Story::new(seed).tell(&mut raised);
        assert_eq!(
            told,
            Story::new(seed).tell(&mut BTreeMap::new()),
            "story {seed}"
        );
        if let Some(folder) = std::env::var_os("WINDRODE_STORIES_TO") {
            let file = std::path::Path::new(&folder).join(format!("{seed}.jsonl"));
            std::fs::write(file, told).unwrap();
        }
    }
    // Stories in which nothing happens would prove nothing.
    if count >= 30 {
        for hazard in [
            Hazard::Dragging,
            Hazard::SwingExceeded,
            Hazard::Shoaling,
            Hazard::Position,
            Hazard::DataLink,
            Hazard::Watch,
            Hazard::Instrument,
            Hazard::WindShift,
            Hazard::WindStrength,
            Hazard::ScopeShort,
        ] {
            assert!(
                raised.contains_key(&hazard),
                "no story raised `{hazard}`: {raised:?}"
            );
        }
    }
}

struct Story {
    seed: u64,
    dice: ChaCha8Rng,
    keeper: Watchkeeper,
    reader: Reader,
    now: Now,
    tern: Tern,
    /// How she moves.
    drift: Offset,
    /// The state on disk.
    disk: Saved,
    told: String,
}

/// What an operation may do to alerts that nobody has acknowledged.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fate {
    /// Nothing.
    Keeps,
    /// Somebody acknowledges some of them.
    Acknowledges,
    /// The anchor is up, and its alerts are gone.
    Weighs,
    /// A restart: alerts about windrode itself are found again.
    Restarts,
}

impl Story {
    fn new(seed: u64) -> Self {
        let now = Now::new(Tick::from_secs(10), Timestamp::from_millis(START_MS));
        let mut dice = ChaCha8Rng::seed_from_u64(seed);
        let mut tern = Tern::at_berth();
        tern.wind_from = Bearing::of(uniform(&mut dice, 0.0, TAU));
        tern.wind_speed = Speed::of(uniform(&mut dice, 0.0, 20.0));
        tern.depth = Metres::of(uniform(&mut dice, 1.0, 12.0));
        tern.revolutions = Some(Hertz::ZERO);
        Self {
            seed,
            keeper: Watchkeeper::new(now, settings(), Saved::default()),
            reader: Reader::new(None),
            now,
            tern,
            drift: Offset::ZERO,
            disk: Saved::default(),
            told: String::new(),
            dice,
        }
    }

    fn tell(mut self, raised: &mut BTreeMap<Hazard, u32>) -> String {
        self.keeper.handle(self.now, Input::Link(LinkState::Up));
        for step in 0..STEPS {
            let before = self.keeper.alerts();
            let (fate, awaited) = self.happens(step);
            let mut answers = 0;
            while let Some(output) = self.keeper.poll_output() {
                match &output {
                    Output::Persist(saved) => {
                        // In the form that the journal keeps.
                        let text = serde_json::to_string(saved).unwrap();
                        self.disk = serde_json::from_str(&text).unwrap();
                    }
                    Output::Alert(view) => {
                        if view.state == AlertState::ActiveUnacknowledged
                            || view.priority == Priority::Caution
                        {
                            *raised.entry(view.hazard).or_default() += 1;
                        }
                    }
                    Output::Reply { id, .. } => {
                        self.rule(step, *id == u64::from(step), "a reply to somebody else");
                        answers += 1;
                    }
                    Output::AskChart(_) => {
                        self.rule(step, false, "charts are asked and none are aboard");
                    }
                    Output::KeepSoundings(soundings) => {
                        let sane = soundings.iter().all(|it| it.doubt.get() <= 20.0);
                        self.rule(step, sane && soundings.len() <= 512, "soundings to keep");
                    }
                    Output::Event(event) => {
                        self.rule(step, !event.message.is_empty(), "an event without words");
                    }
                    Output::Publish(picture) => {
                        let sure = picture
                            .drag_probability
                            .is_none_or(|p| (0.0..=1.0).contains(&p));
                        self.rule(step, sure, "a probability that is none");
                    }
                }
                self.told += &serde_json::to_string(&output).unwrap();
                self.told.push('\n');
            }
            self.rule(
                step,
                answers == u32::from(awaited),
                "an order without its one answer",
            );
            self.check(step, fate, &before);
        }
        self.told
    }

    /// One thing happens; returns what it may do to alerts, and whether an answer is due.
    fn happens(&mut self, step: u32) -> (Fate, bool) {
        let die = self.below(1000);
        match die {
            0..700 => {
                self.pass(1000);
                self.deltas();
                (Fate::Keeps, false)
            }
            700..760 => {
                let line = self.odd_line();
                self.hear(&line);
                (Fate::Keeps, false)
            }
            760..800 => {
                // A gap, in which the engine's timers ran or the machine slept.
                let longest = if self.below(10) == 0 {
                    20_000_000
                } else {
                    120_000
                };
                let gap = self.below(longest);
                self.pass(gap);
                self.keeper.handle_timeout(self.now);
                (Fate::Keeps, false)
            }
            800..806 => {
                // Somebody sets the clock; the machine's timers are unaffected.
                let leap = i64::from(self.below(4_000_000)) - 2_000_000;
                let utc = self.now.utc.as_millis() + leap * 1000;
                self.now = Now::new(self.now.tick, Timestamp::from_millis(utc));
                (Fate::Keeps, false)
            }
            806..812 => {
                // Occasionally the timers run backwards all the same.
                let back = u64::from(self.below(60_000));
                let tick = Tick::from_millis(self.now.tick.as_millis().saturating_sub(back));
                self.keeper.handle_timeout(Now::new(tick, self.now.utc));
                (Fate::Keeps, false)
            }
            812..840 => {
                self.weather();
                (Fate::Keeps, false)
            }
            840..930 => self.order(step),
            930..960 => {
                let link = match self.below(4) {
                    0 => LinkState::Down("the network is gone".into()),
                    1 => LinkState::Impaired("nothing comes back".into()),
                    _ => LinkState::Up,
                };
                self.keeper.handle(self.now, Input::Link(link));
                (Fate::Keeps, false)
            }
            960..980 => {
                let hazard = Hazard::ALL[self.below(9) as usize];
                let (act, fate) = match self.below(3) {
                    0 => (DisplayAct::Acknowledged, Fate::Acknowledges),
                    1 => (DisplayAct::Silenced, Fate::Keeps),
                    _ => (DisplayAct::Cleared, Fate::Keeps),
                };
                self.keeper
                    .handle(self.now, Input::Display(DisplayAction { hazard, act }));
                (fate, false)
            }
            980..985 => {
                let why = (self.below(2) == 0).then(|| "the disk is full".into());
                self.keeper.handle(self.now, Input::Impaired(why));
                (Fate::Keeps, false)
            }
            _ => {
                // The power fails: only the state on disk remains.
                let seen = self.now.utc;
                let dark = self.below(600_000);
                self.pass(dark);
                self.keeper = Watchkeeper::new(self.now, settings(), self.disk.clone());
                let last_seen = Some(seen);
                self.keeper.handle(self.now, Input::Began { last_seen });
                self.keeper.handle(self.now, Input::Link(LinkState::Up));
                (Fate::Restarts, false)
            }
        }
    }

    fn order(&mut self, step: u32) -> (Fate, bool) {
        let path = |name: &str| format!("navigation.anchor.watch.{name}");
        let metres = self.uniform(0.0, 120.0);
        let kinds = [
            "anchor",
            "secondAnchor",
            "mooring",
            "shoreLine",
            "sternTo",
            "bouy",
        ];
        let (name, value) = match self.below(14) {
            0..4 => (
                path("letGo"),
                json!({"rode": 10.0 + metres / 2.0, "reanchored": self.below(2) == 0}),
            ),
            4 => (path("letGo"), json!(true)),
            5 => {
                let kind = kinds[self.below(6) as usize];
                let radius = (self.below(2) == 0).then_some(metres + 1.0);
                let track = self.below(3) == 0;
                (
                    path("letGo"),
                    json!({"kind": kind, "radius": radius, "fromTrack": track}),
                )
            }
            6 => (path("rodeOut"), json!(metres)),
            7 => (path("weigh"), json!(true)),
            8 => {
                let hazard = Hazard::ALL[self.below(9) as usize];
                let value = if self.below(2) == 0 {
                    json!(true)
                } else {
                    json!(hazard)
                };
                (path("acknowledge"), value)
            }
            9 => (path("silence"), json!(true)),
            10 => {
                let value = if self.below(3) == 0 {
                    Value::Null
                } else {
                    json!(Plane::at(BERTH).position(self.tern.antenna()))
                };
                (path("berth"), value)
            }
            11 => (path("pullTest"), json!(self.below(2) == 0)),
            12 => {
                let place = Offset {
                    east: 5.0,
                    north: -8.0,
                };
                (
                    "navigation.anchor.position".to_owned(),
                    json!(Plane::at(BERTH).position(place)),
                )
            }
            _ => (
                "navigation.anchor.maxRadius".to_owned(),
                json!(metres + 5.0),
            ),
        };
        let Ok(command) = parse_put(&name, &value) else {
            return (Fate::Keeps, false);
        };
        let fate = match command {
            Command::Acknowledge(_) => Fate::Acknowledges,
            Command::Weigh => Fate::Weighs,
            _ => Fate::Keeps,
        };
        let id = u64::from(step);
        self.keeper.handle(
            self.now,
            Input::Command {
                id,
                command,
                by: By::Server,
            },
        );
        (fate, true)
    }

    /// The weather and the crew change.
    fn weather(&mut self) {
        match self.below(6) {
            0 => self.tern.wind_from = Bearing::of(self.uniform(0.0, TAU)),
            1 => self.tern.wind_speed = Speed::of(self.uniform(0.0, 30.0)),
            2 => self.drift = self.scatter(0.6),
            3 => self.drift = Offset::ZERO,
            4 => self.tern.depth = Metres::of(self.uniform(0.2, 15.0)),
            _ => {
                let rpm = [0.0, 800.0, 2000.0][self.below(3) as usize];
                self.tern.revolutions = Some(Hertz::of(rpm / 60.0));
            }
        }
    }

    /// A second of the sensors.
    fn deltas(&mut self) {
        self.tern.roller = self.tern.roller + self.drift;
        if self.tern.roller.length().get() > 400.0 {
            self.tern.roller = Offset::ZERO;
        }
        self.tern.heading = self.tern.wind_from;
        self.tern.speed = Speed::of(self.drift.length().get());
        let mut seen = self.tern;
        seen.roller = seen.roller + self.scatter(0.5);
        seen.wind_speed = seen.wind_speed * self.uniform(0.8, 1.2);
        let mut facts = seen.facts(0);
        // Some sensors miss a beat.
        let missed = self.below(40) as usize;
        if missed < facts.len() {
            facts.remove(missed);
        }
        let source = if self.below(20) == 0 {
            "gps1.GP"
        } else {
            "gps0.GP"
        };
        self.hear(&delta(source, self.now.utc, &facts));
        self.keeper.handle(self.now, Input::Timeout);
    }

    /// A line that no working sensor sends.
    fn odd_line(&mut self) -> String {
        let odd = [
            json!(null),
            json!(-1e308),
            json!("NaN"),
            json!([1, 2]),
            json!({"latitude": 91, "longitude": 0}),
            json!({"latitude": 0, "longitude": 0}),
            json!({"latitude": 59.86, "longitude": 23.27}),
            json!("no GPS"),
            json!("GNSS Fix"),
            json!("Unsafe"),
            json!(1e9),
            json!(0),
        ];
        let paths = [
            "navigation.position",
            "navigation.gnss.methodQuality",
            "navigation.gnss.integrity",
            "navigation.gnss.satellites",
            "navigation.gnss.horizontalDilution",
            "navigation.headingTrue",
            "navigation.speedOverGround",
            "navigation.courseOverGroundTrue",
            "environment.wind.speedTrue",
            "environment.depth.belowKeel",
            "environment.tide.heightNow",
            "environment.tide.heightLow",
            "propulsion.main.revolutions",
            "design.length",
            "sensors.gps.fromBow",
        ];
        let value = &odd[self.below(12) as usize];
        let path = paths[self.below(15) as usize];
        let stamps = [
            self.now.utc.to_string(),
            "2099-01-01T00:00:00Z".to_owned(),
            "soon".to_owned(),
        ];
        let stamp = &stamps[self.below(3) as usize];
        match self.below(12) {
            0 => "{\"updates\":[{".to_owned(),
            1 => "\"primus::server::close\"".to_owned(),
            2 => json!({"context": "vessels.urn:mrn:imo:mmsi:265123456", "updates": [{"$source": "ais", "timestamp": stamp, "values": [{"path": path, "value": value}]}]}).to_string(),
            _ => json!({"updates": [{"$source": "gps0.GP", "timestamp": stamp, "values": [{"path": path, "value": value}]}]}).to_string(),
        }
    }

    fn hear(&mut self, line: &str) {
        let Ok(Incoming::Delta(delta)) = parse(line, |path| self.reader.wants(path)) else {
            return;
        };
        let mut reports = Vec::new();
        self.reader.read(&delta, &mut reports);
        for report in reports {
            self.keeper.handle(self.now, Input::Report(report));
        }
    }

    fn pass(&mut self, millis: u32) {
        self.now = self.now.plus(Duration::from_millis(u64::from(millis)));
    }

    fn below(&mut self, bound: u32) -> u32 {
        self.dice.next_u32() % bound
    }

    fn uniform(&mut self, least: f64, most: f64) -> f64 {
        uniform(&mut self.dice, least, most)
    }

    /// At most this many metres each way.
    fn scatter(&mut self, most: f64) -> Offset {
        Offset {
            east: self.uniform(-most, most),
            north: self.uniform(-most, most),
        }
    }
}

fn uniform(dice: &mut ChaCha8Rng, least: f64, most: f64) -> f64 {
    least + (most - least) * f64::from(dice.next_u32()) / f64::from(u32::MAX)
}

fn settings() -> WatchSettings {
    WatchSettings {
        boat: figures(),
        // Nights are short in these stories.
        // Nights are short in these stories, and the boat drifts for most of them: she lies quietly for seconds.
        settle: Duration::from_secs(20),
        wind_window: Duration::from_secs(60),
        wind_hold: Duration::from_secs(20),
        wind_strength_hold: Duration::from_secs(10),
        unmarked_after: Duration::from_mins(2),
        ..WatchSettings::default()
    }
}

const STEPS: u32 = 3000;
/// 2026-06-01T18:00:00Z.
const START_MS: i64 = 1_780_336_800_000;
