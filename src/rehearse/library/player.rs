//! Holds a night of the library: a simulated boat, and the watch in the same process.
//!
//! A step is a second of the night. Wind and water move the boat, the instruments report, the watch judges. No socket
//! and no clock of the machine takes part, so a night takes seconds and is the same on every machine. The player also
//! tells the watch when the data server or a phone channel is lost and when it is back. The real sockets are tested by
//! the nights in acts and in `tests/peers`.

mod deeds;

use std::time::Duration;

use serde_json::{Value, json};

use self::deeds::Dragging;
use super::judge::{Told, judge};
use super::script::{Deed, Script};
use crate::alert::hazard::{AlertState, Hazard};
use crate::boat::tern::BERTH;
use crate::daemon::StatusReport;
use crate::geodesy::{Offset, Plane};
use crate::observation::{Fact, Label, Report as Heard, Subject};
use crate::plot::PictureInput;
use crate::rehearse::boat::{Boat, BoatSettings};
use crate::rehearse::fleet::Fleet;
use crate::rehearse::night::{self, Audience, Drag, Report, Turn};
use crate::rehearse::sea::Sea;
use crate::rehearse::sensors::{Condition, SensorSettings, Sensors};
use crate::rehearse::speech::{Speech, delta, static_delta};
use crate::signalk::paths::WATCH;
use crate::signalk::reader::Reader;
use crate::signalk::wire::{self, Incoming};
use crate::speech::Wording;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Metres, Speed};
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{
    By, Command, DisplayAction, Event, Input, LinkState, Outcome, Output, Phones,
};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

/// A night that is being held.
pub struct Player<'s> {
    script: &'s Script,
    seed: u64,
    sea: Sea,
    boat: Boat,
    fleet: Fleet,
    sensors: Sensors,
    speech: Speech,
    reader: Reader,
    keeper: Watchkeeper,
    wording: Wording,
    start: Timestamp,
    second: u64,
    /// The next event of the script.
    happened: usize,
    let_go: Option<u64>,
    drags: Option<Dragging>,
    began: Option<Timestamp>,
    server_up: bool,
    looked: bool,
    drag: Option<Drag>,
    told: Vec<Told>,
    /// What the displays showed.
    shown: Vec<(Timestamp, Hazard, String)>,
    record: Option<Vec<String>>,
}

impl<'s> Player<'s> {
    /// Before the first second; the boat is on her way to the berth.
    #[must_use]
    pub fn new(script: &'s Script, seed: u64, wording: Wording, start: Timestamp) -> Self {
        let mut sea = Sea::new(script.sea.clone(), STEP, seed);
        let wind = sea.step().mean_direction;
        let settings = BoatSettings {
            roller_height: night::ROLLER_HEIGHT,
            ..script.boat
        };
        let figures = night::tern(&settings);
        let from = Offset::polar(wind.reversed(), APPROACH);
        let mut boat = Boat::under_way(settings, STEP, from, wind, seed);
        boat.steam_to(Offset::ZERO, Speed::from_knots(2.5));
        let mut sensors = Sensors::new(
            SensorSettings {
                antenna_from_bow: figures.antenna_from_bow.unwrap_or_default(),
                antenna_from_centre: figures.antenna_from_centre.unwrap_or_default(),
                ..SensorSettings::aboard(&settings, BERTH)
            },
            seed,
        );
        for instrument in &script.without {
            sensors.set(*instrument, Condition::Silent);
        }
        let now = Now::new(Tick::START, start);
        let settings = WatchSettings {
            boat: figures,
            wording: wording.clone(),
            ..WatchSettings::default()
        };
        let mut keeper = Watchkeeper::new(now, settings, Saved::default());
        keeper.handle(now, Input::Began { last_seen: None });
        keeper.handle(now, Input::Link(LinkState::Up));
        let speaks_of_phones = |deed: &Option<Deed>| matches!(deed, Some(Deed::Phones(_)));
        if script
            .happenings
            .iter()
            .any(|it| speaks_of_phones(&it.deed))
        {
            keeper.handle(now, Input::Phones(Phones::Working));
        }
        Self {
            fleet: Fleet::lying(&script.neighbours, STEP, sea.state(), seed),
            script,
            seed,
            sea,
            boat,
            sensors,
            speech: Speech::default(),
            reader: Reader::new(None),
            keeper,
            wording,
            start,
            second: 0,
            happened: 0,
            let_go: None,
            drags: None,
            began: None,
            server_up: true,
            looked: false,
            drag: None,
            told: Vec::new(),
            shown: Vec::new(),
            record: None,
        }
    }

    /// From now on records what a data server would receive, in the form that `windrode replay` reads: the boat's
    /// own instruments every [`RECORDED_EVERY`] seconds, rounded as instruments round.
    pub fn record(&mut self) {
        self.record = Some(vec![static_delta(
            "Tern",
            &self.keeper.boat().figures(),
            self.start,
        )]);
    }

    /// The recording.
    #[must_use]
    pub fn take_record(&mut self) -> Vec<String> {
        self.record.take().unwrap_or_default()
    }

    /// The present moment of the night.
    #[must_use]
    pub fn now(&self) -> Now {
        let gone = Duration::from_secs(self.second);
        Now::new(Tick::from_secs(self.second), self.start.plus(gone))
    }

    /// Whether the night is over.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.second >= self.script.length.as_secs()
    }

    /// A display acted on an alert.
    pub fn handle_display(&mut self, action: DisplayAction, audience: &mut impl Audience) {
        self.tell(Input::Display(action));
        self.drain(audience);
    }

    /// Lets a second pass.
    pub fn step(&mut self, audience: &mut impl Audience) {
        self.second += 1;
        self.happen(audience);
        for _ in 0..STEPS_A_SECOND {
            let sea = self.sea.step();
            self.boat.step(sea);
            self.fleet.step(sea);
        }
        self.crew(audience);
        self.move_anchor();
        let now = self.now();
        let sample = self
            .sensors
            .sample(now.utc, self.boat.state(), self.sea.state());
        let mut heard = self.speech.reports(&sample);
        let server_up = self.server_up;
        if self.second.is_multiple_of(RECORDED_EVERY)
            && server_up
            && let Some(record) = &mut self.record
        {
            record.push(rounded(&self.speech.delta(&sample)));
        }
        if self.second % 60 == 1 {
            let table = self.tide_table();
            if let Some(table) = &table
                && server_up
                && let Some(record) = &mut self.record
            {
                record.push(delta(table.source.as_str(), now.utc, &table.facts));
            }
            heard.extend(table);
        }
        for text in self.fleet.speak(now.utc, Plane::at(BERTH)) {
            if let Ok(Incoming::Delta(heard_delta)) = wire::parse(&text, |_| true) {
                self.reader.read(&heard_delta, &mut heard);
            }
            if server_up && let Some(record) = &mut self.record {
                record.push(text);
            }
        }
        if self.server_up {
            for report in heard {
                self.keeper.handle(now, Input::Report(report));
            }
        }
        if self
            .keeper
            .poll_timeout()
            .is_some_and(|due| due <= now.tick)
        {
            self.keeper.handle_timeout(now);
        }
        self.drain(audience);
        if self.second.is_multiple_of(60) {
            let done = self.second as f64 / self.script.length.as_secs_f64();
            audience.progress(done.min(1.0), now.utc);
        }
        audience.second();
    }

    /// The outcome of the night.
    #[must_use]
    pub fn finish(self) -> Report {
        Report {
            night: self.script.name.clone(),
            seed: self.seed,
            hours: self.second as f64 / 3600.0,
            demands: judge(self.script, self.start, &self.told, &self.shown),
            events: self.told.into_iter().map(|told| told.event).collect(),
            drag: self.drag,
            neighbour: None,
        }
    }

    fn tide_table(&self) -> Option<Heard> {
        let high_water = self.script.high_water?.as_secs_f64();
        let sea = &self.script.sea;
        let seconds = self.second as f64;
        let next = |turn: f64| turn + ((seconds - turn) / PERIOD).ceil().max(0.0) * PERIOD;
        let at = |turn: f64| {
            let turn = Duration::try_from_secs_f64(next(turn)).unwrap_or_default();
            Some(self.start.plus(turn))
        };
        Some(Heard {
            subject: Subject::Own,
            source: Label::new("tide.table"),
            stamp: Some(self.now().utc),
            facts: vec![
                Fact::TideNow(Some(self.sea.state().tide)),
                Fact::TideHigh(Some(sea.mean_level + sea.m2.amplitude)),
                Fact::TideTimeHigh(at(high_water)),
                Fact::TideLow(Some(sea.mean_level - sea.m2.amplitude)),
                Fact::TideTimeLow(at(high_water - PERIOD / 2.0)),
            ],
        })
    }

    fn order(&mut self, command: Command) {
        if let Some(record) = &mut self.record {
            let rode = self.script.rode.get();
            let told = match &command {
                Command::LetGo(order) if order.from_track => {
                    Some(("letGo", json!({"rode": rode, "fromTrack": true})))
                }
                Command::LetGo(_) => Some(("letGo", json!({"rode": rode}))),
                Command::Acknowledge(_) => Some(("acknowledge", json!(true))),
                Command::Silence(_) => Some(("silence", json!(true))),
                Command::Weigh => Some(("weigh", json!(true))),
                // No night gives these.
                Command::RodeOut(_)
                | Command::Berth(_)
                | Command::PullTest(_)
                | Command::Snubber(_)
                | Command::CorrectMark(_)
                | Command::MaxRadius(_) => None,
            };
            if let Some((name, value)) = told {
                let put = json!({"path": format!("{WATCH}{name}"), "value": value});
                let put = json!({"context": "vessels.self", "requestId": "1", "put": put});
                record.push(put.to_string());
            }
        }
        self.tell(Input::Command {
            id: 1,
            command,
            by: By::Terminal,
        });
    }

    fn tell(&mut self, input: Input) {
        let now = self.now();
        self.keeper.handle(now, input);
    }

    fn drain(&mut self, audience: &mut impl Audience) {
        while let Some(output) = self.keeper.poll_output() {
            audience.output(&output);
            if let Output::Alert(view) = &output
                && view.state != AlertState::Normal
            {
                self.shown
                    .push((self.now().utc, view.hazard, view.message.clone()));
            }
            if let Output::Reply {
                outcome: Outcome::Refused(why),
                ..
            } = &output
            {
                audience.story(self.now().utc, &format!("windrode refuses: {why}"));
            }
            if let Output::Event(event) = output {
                audience.event(&event);
                self.take(event, audience);
            }
        }
    }

    fn take(&mut self, event: Event, audience: &mut impl Audience) {
        let moved = self.boat.anchor_moved();
        if event.is_drag_alarm() && !self.looked {
            self.looked = true;
            let picture = self.keeper.picture(self.now());
            self.drag = self.began.map(|began| Drag {
                began,
                alarm: event.time,
                seconds: event.time.millis_since(began) as f64 / 1000.0,
                moved,
                distance: picture.anchor_distance.unwrap_or_default(),
                reach: picture.reach.unwrap_or_default(),
            });
            audience.screen(&self.status());
            audience.picture(&self.picture());
        }
        self.told.push(Told { event, moved });
    }

    fn status(&self) -> StatusReport {
        let now = self.now();
        StatusReport {
            time: now.utc,
            clock: self.wording.zone.ship_clock(now.utc),
            lengths: self.wording.lengths,
            language: self.wording.language,
            version: env!("CARGO_PKG_VERSION").to_owned(),
            link: "up".to_owned(),
            server: "up".to_owned(),
            journal: None,
            phones: Vec::new(),
            alerts: self.keeper.alerts(),
            picture: self.keeper.picture(now),
        }
    }

    fn picture(&self) -> PictureInput {
        let now = self.now();
        PictureInput {
            time: now.utc,
            alerts: self.keeper.alerts(),
            picture: self.keeper.picture(now),
            sight: self.keeper.sight(now),
            clock: self.wording.zone.ship_clock(now.utc),
            lengths: self.wording.lengths,
            language: self.wording.language,
            charts: Vec::new(),
        }
    }
}

/// Holds a night from beginning to end.
#[must_use]
pub fn hold(script: &Script, seed: u64, wording: Wording, audience: &mut impl Audience) -> Report {
    let start = Timestamp::from_millis(night::START_MS);
    let mut player = Player::new(script, seed, wording, start);
    while !player.is_over() {
        player.step(audience);
    }
    player.finish()
}

/// The same at the audience's pace, from this time on.
pub async fn hold_from(
    script: &Script,
    seed: u64,
    wording: Wording,
    start: Timestamp,
    audience: &mut impl Audience,
) -> Report {
    let mut player = Player::new(script, seed, wording, start);
    while !player.is_over() {
        while let Turn::Display(action) = audience.turn().await {
            player.handle_display(action, audience);
        }
        player.step(audience);
    }
    player.finish()
}

/// A delta with its numbers rounded: degrees to 1e-7, everything else to a thousandth.
fn rounded(delta: &str) -> String {
    fn round(key: &str, value: &mut Value) {
        match value {
            Value::Number(number) => {
                let digits = if ["latitude", "longitude"].contains(&key) {
                    1e7
                } else {
                    1e3
                };
                if let Some(number) = number.as_f64() {
                    *value = json!((number * digits).round() / digits);
                }
            }
            Value::Array(all) => all.iter_mut().for_each(|value| round(key, value)),
            Value::Object(all) => all.iter_mut().for_each(|(key, value)| round(key, value)),
            Value::Null | Value::Bool(_) | Value::String(_) => {}
        }
    }
    let mut value = serde_json::from_str(delta).unwrap_or_default();
    round("", &mut value);
    value.to_string()
}

/// Seconds from one recorded reading to the next.
pub const RECORDED_EVERY: u64 = 5;
const STEP: Duration = Duration::from_millis(250);
const STEPS_A_SECOND: u32 = 4;
const APPROACH: Metres = Metres::of(60.0);
/// Seconds from one high water to the next: M2, Schureman (1958), table 2.
const PERIOD: f64 = 360.0 / 28.984_104_2 * 3600.0;
