//! The watch as a whole, tested only by its inputs and outputs: one file for each behaviour.

use std::time::Duration;

use crate::alert::hazard::{AlertState, Hazard, Priority};
use crate::boat::BoatFigures;
use crate::chart::sheet::Sheet;
use crate::geodesy::{Offset, Plane, Position};
use crate::observation::{Fact, FixMethod, Label, Report, Subject};
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Bearing, Hertz, Metres, Speed};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::charted::ChartNews;
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{
    By, Command, EventKind, Input, LetGo, LinkState, Outcome, Output, Phones,
};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

mod announced;
mod any_story;
mod approach;
mod blind;
mod causes;
pub(in crate::watch) mod chance;
mod changed;
mod charted;
mod circle;
mod contradictions;
mod dragging;
mod earlier_journal;
mod first_stage;
mod instrument;
mod languages;
mod leaps;
mod lengths;
mod marking;
mod mooring;
mod neighbour;
mod phones;
mod pulling;
mod restart;
mod rode;
mod scope;
mod setting;
mod slips;
mod snubber;
mod soundings;
mod tide;
mod token;
mod unmarked;
mod weighing;
mod wind;

/// A boat 11.2 m long with her antenna 9.1 m aft of the stem, moved by hand.
struct Scene {
    keeper: Watchkeeper,
    second: u64,
    /// The bow roller, relative to the first position.
    roller: Offset,
    heading: Bearing,
    wind_from: Bearing,
    wind_knots: f64,
    /// The engine's revolutions a minute, where it reports them.
    rpm: Option<f64>,
    heard: Vec<Output>,
    seen: bool,
    /// The vane works.
    vane: bool,
    /// The charts aboard, which answer at once.
    charts: Option<Sheet>,
}

fn first() -> Position {
    Position::new(59.8539, 23.26).unwrap()
}

fn at(second: u64) -> Now {
    let start = Timestamp::from_millis(1_780_000_000_000);
    let gone = Duration::from_secs(second);
    Now::new(Tick::from_secs(second), start.plus(gone))
}

fn settings() -> WatchSettings {
    WatchSettings {
        boat: BoatFigures {
            length: Some(Metres::of(11.2)),
            draught: Some(Metres::of(1.9)),
            roller_height: Some(Metres::of(1.2)),
            antenna_from_bow: Some(Metres::of(9.1)),
            antenna_from_centre: Some(Metres::ZERO),
            ..BoatFigures::default()
        },
        scope: 4.0,
        ..WatchSettings::default()
    }
}

impl Scene {
    fn new() -> Self {
        Self::resumed(0, Saved::default(), None)
    }

    fn resumed(second: u64, saved: Saved, last_seen: Option<Timestamp>) -> Self {
        Self::of(settings(), second, saved, last_seen)
    }

    fn of(
        settings: WatchSettings,
        second: u64,
        saved: Saved,
        last_seen: Option<Timestamp>,
    ) -> Self {
        let mut keeper = Watchkeeper::new(at(second), settings, saved);
        keeper.handle(at(second), Input::Began { last_seen });
        keeper.handle(at(second), Input::Link(LinkState::Up));
        Self {
            keeper,
            second,
            roller: Offset::ZERO,
            heading: Bearing::from_degrees(220.0),
            wind_from: Bearing::from_degrees(220.0),
            wind_knots: 12.0,
            rpm: None,
            heard: Vec::new(),
            seen: true,
            vane: true,
            charts: None,
        }
    }

    /// A second passes.
    fn step(&mut self) {
        self.second += 1;
        let now = at(self.second);
        if self.seen {
            self.report("boat.1", self.facts());
        }
        if let Some(rpm) = self.rpm {
            let turns = Fact::Revolutions {
                engine: Label::new("main"),
                rate: Some(Hertz::of(rpm / 60.0)),
            };
            self.report("engine.1", vec![turns]);
        }
        self.keeper.handle_timeout(now);
        self.drain();
    }

    /// The current reports of her instruments.
    fn facts(&self) -> Vec<Fact> {
        // A receiver's last digits always change.
        let hair = Offset {
            east: 0.001 * (self.second % 7) as f64,
            north: 0.0,
        };
        let aft = Offset::polar(self.heading.reversed(), Metres::of(9.1));
        let antenna = Plane::at(first()).position(self.roller + aft + hair);
        vec![
            Fact::HeadingTrue(Some(self.heading)),
            Fact::WindDirectionTrue(self.vane.then_some(self.wind_from)),
            Fact::WindSpeedTrue(self.vane.then(|| Speed::from_knots(self.wind_knots))),
            Fact::DepthBelowKeel(Some(Metres::of(6.1))),
            Fact::Position(Some(antenna)),
        ]
    }

    fn report(&mut self, source: &str, facts: Vec<Fact>) {
        let now = at(self.second);
        let report = Report {
            subject: Subject::Own,
            source: Label::new(source),
            stamp: Some(now.utc),
            facts,
        };
        self.keeper.handle(now, Input::Report(report));
        self.drain();
    }

    fn run(&mut self, seconds: u64) {
        for _ in 0..seconds {
            self.step();
        }
    }

    fn command(&mut self, command: Command) -> Outcome {
        self.command_by(By::Terminal, command)
    }

    fn command_by(&mut self, by: By, command: Command) -> Outcome {
        let order = Input::Command { id: 7, command, by };
        self.keeper.handle(at(self.second), order);
        self.drain();
        self.heard
            .iter()
            .rev()
            .find_map(|output| match output {
                Output::Reply { id: 7, outcome } => Some(outcome.clone()),
                _ => None,
            })
            .unwrap()
    }

    fn let_go(&mut self, rode: f64) -> Outcome {
        self.command(Command::LetGo(LetGo {
            rode: Metres::new(rode),
            ..LetGo::default()
        }))
    }

    /// Anchored at the first position and lying 30 m down-wind of it.
    fn anchored() -> Self {
        Self::anchored_with(settings())
    }

    fn anchored_with(settings: WatchSettings) -> Self {
        let mut scene = Self::of(settings, 0, Saved::default(), None);
        scene.run(20);
        assert!(matches!(scene.let_go(40.0), Outcome::Done(_)));
        for metre in 0..300_u32 {
            scene.lie(f64::from(metre) / 10.0);
            scene.step();
        }
        scene.run(700);
        assert_eq!(scene.phase(), AnchorPhase::Set);
        scene
    }

    /// Puts the roller this far down-wind of the anchor, with the bow to the wind.
    fn lie(&mut self, distance: f64) {
        self.heading = self.wind_from;
        self.roller = Offset::polar(self.wind_from.reversed(), Metres::of(distance));
    }

    fn drain(&mut self) {
        while let Some(output) = self.keeper.poll_output() {
            if let (Output::AskChart(question), Some(charts)) = (&output, &self.charts) {
                let answer = Box::new(question.put_to(charts));
                let news = Input::Chart(ChartNews::Said(answer));
                self.keeper.handle(at(self.second), news);
            }
            self.heard.push(output);
        }
    }

    fn events(&self) -> Vec<(EventKind, Option<Hazard>)> {
        self.heard
            .iter()
            .filter_map(|output| match output {
                Output::Event(event) => Some((event.event, event.hazard)),
                _ => None,
            })
            .collect()
    }

    /// The alarm of a drag: its first stage is a caution.
    fn raised(&self, hazard: Hazard) -> bool {
        if hazard == Hazard::Dragging {
            let alarm = |output: &Output| matches!(output, Output::Event(e) if e.is_drag_alarm());
            return self.heard.iter().any(alarm);
        }
        self.events().contains(&(EventKind::Raised, Some(hazard)))
    }

    fn phase(&self) -> AnchorPhase {
        self.keeper.saved().phase
    }

    fn state(&self, hazard: Hazard) -> AlertState {
        state(&self.keeper, hazard)
    }

    fn message(&self, hazard: Hazard) -> String {
        let alert = self
            .keeper
            .alerts()
            .into_iter()
            .find(|a| a.hazard == hazard);
        alert.map(|alert| alert.message).unwrap_or_default()
    }

    fn notes(&self) -> Vec<String> {
        let note = |output: &Output| match output {
            Output::Event(event) if event.event == EventKind::Note => Some(event.message.clone()),
            _ => None,
        };
        self.heard.iter().filter_map(note).collect()
    }

    fn ordered(&mut self, let_go: LetGo) -> String {
        match self.command(Command::LetGo(let_go)) {
            Outcome::Done(said) => said,
            Outcome::Refused(why) => panic!("refused: {why}"),
        }
    }

    /// Lies at this distance down-wind, sheering to each side, for this many seconds.
    fn sheer(&mut self, seconds: u64, distance: f64, degrees: f64) {
        for _ in 0..seconds {
            let phase = self.second as f64 / 140.0 * std::f64::consts::TAU;
            let turn = Bearing::from_degrees(self.wind_from.degrees() + degrees * phase.sin());
            self.heading = turn;
            self.roller = Offset::polar(turn.reversed(), Metres::of(distance));
            self.step();
        }
    }
}

/// The state of a hazard according to what is reported.
fn state(keeper: &Watchkeeper, hazard: Hazard) -> AlertState {
    let alerts = keeper.alerts();
    let alert = alerts.iter().find(|alert| alert.hazard == hazard);
    alert.map_or(AlertState::Normal, |alert| alert.state)
}

fn refusal(outcome: Outcome) -> String {
    match outcome {
        Outcome::Refused(why) => why,
        Outcome::Done(done) => panic!("not refused: {done}"),
    }
}
