//! A second of the watch with two thousand vessels that all report within it, compared with one without any.
//!
//! `cargo bench --bench neighbours` prints both, and ends with an error if the crowded second takes more than
//! [`LIMIT`]: the watch has a second for everything, on a computer ten times slower than a desktop.

#![allow(
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::expect_used,
    reason = "a bench reads the clock and prints, and ends when it cannot begin"
)]

use std::time::{Duration, Instant};

use criterion::Criterion;
use windrode::boat::tern::BERTH;
use windrode::geodesy::{Offset, Plane, Position};
use windrode::observation::{Fact, Label, NavState, Report, Subject};
use windrode::time::{Now, Tick, Timestamp};
use windrode::units::{Bearing, Metres, Speed};
use windrode::watch::engine::Watchkeeper;
use windrode::watch::messages::{By, Command, Input, LetGo, LinkState};
use windrode::watch::neighbours::MOST;
use windrode::watch::saved::Saved;
use windrode::watch::settings::WatchSettings;

/// A tenth of a second on a computer ten times slower.
const LIMIT: Duration = Duration::from_millis(10);

fn main() {
    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("a second of the watch");
    let mut told = Vec::new();
    for count in [0, 20, MOST] {
        let mut bay = Bay::with(count);
        // Half an hour, so that every track and circle exists.
        for _ in 0..180 {
            bay.second(10);
        }
        group.bench_function(format!("{count} vessels"), |bencher| {
            bencher.iter(|| bay.second(10));
        });
        let begun = Instant::now();
        for _ in 0..50 {
            bay.second(10);
        }
        told.push((count, begun.elapsed() / 50));
    }
    group.finish();
    for (count, took) in &told {
        println!("{count} vessels: {took:?} a second of the watch");
    }
    let crowded = told.last().expect("three were timed").1;
    assert!(crowded <= LIMIT, "{crowded:?} is more than {LIMIT:?}");
}

struct Bay {
    keeper: Watchkeeper,
    vessels: Vec<(Label, Position)>,
    now: Now,
}

impl Bay {
    /// We lie at anchor; `count` vessels lie around us in a square of 3 km, every tenth under way.
    fn with(count: usize) -> Self {
        let now = Now::new(Tick::START, Timestamp::from_millis(1_780_000_000_000));
        let mut keeper = Watchkeeper::new(now, WatchSettings::default(), Saved::default());
        keeper.handle(now, Input::Began { last_seen: None });
        keeper.handle(now, Input::Link(LinkState::Up));
        let plane = Plane::at(BERTH);
        let vessels = (0..count).map(|number| {
            let (row, column) = (number / 45, number % 45);
            let at = Offset {
                east: (column as f64 - 22.2) * 67.0,
                north: (row as f64 - 22.2) * 67.0,
            };
            let label = format!("vessels.urn:mrn:imo:mmsi:2{number:08}");
            (Label::new(&label), plane.position(at))
        });
        let mut bay = Self {
            keeper,
            vessels: vessels.collect(),
            now,
        };
        bay.second(1);
        let command = Command::LetGo(LetGo {
            rode: Metres::new(40.0),
            position: Some(BERTH),
            ..LetGo::default()
        });
        let order = Input::Command {
            id: 1,
            command,
            by: By::Terminal,
        };
        bay.keeper.handle(bay.now, order);
        bay
    }

    /// After this many seconds all vessels report, and the watch judges.
    fn second(&mut self, seconds: u64) {
        self.now = self.now.plus(Duration::from_secs(seconds));
        let turn = self.now.tick.as_millis() as f64 / 900_000.0;
        let swung = |reach: f64| Offset::polar(Bearing::of(turn), Metres::of(reach));
        let own = Plane::at(BERTH).position(swung(30.0));
        self.report(Subject::Own, vec![Fact::Position(Some(own))]);
        for number in 0..self.vessels.len() {
            let (label, anchor) = self.vessels[number].clone();
            let makes_way = number % 10 == 0;
            let speed = if makes_way { 4.0 } else { 0.2 };
            let facts = vec![
                Fact::Position(Some(Plane::at(anchor).position(swung(35.0)))),
                Fact::SpeedOverGround(Some(Speed::from_knots(speed))),
                Fact::CourseOverGround(Some(Bearing::of(turn + number as f64))),
                Fact::NavState((!makes_way).then_some(NavState::AtAnchor)),
            ];
            self.report(Subject::Other(label), facts);
        }
        self.keeper.handle_timeout(self.now);
        while self.keeper.poll_output().is_some() {}
    }

    fn report(&mut self, subject: Subject, facts: Vec<Fact>) {
        let report = Report {
            subject,
            source: Label::new("bench"),
            stamp: Some(self.now.utc),
            facts,
        };
        self.keeper.handle(self.now, Input::Report(report));
    }
}
