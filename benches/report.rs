//! A report of two weeks at anchor with a report of the sensors each second, and of one day.
//!
//! `cargo bench --bench report` makes a journal of each. It prints how long reading it and writing the page takes, and
//! the peak resident memory of the process so far (`VmHWM` of Linux). It ends with an error if two weeks take more than
//! [`LIMIT`].

#![allow(
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::expect_used,
    reason = "a bench reads the clock and prints, and ends when it cannot begin"
)]

mod common;

use std::time::{Duration, Instant};

use windrode::boat::tern::BERTH;
use windrode::journal::{Journal, Reader};
use windrode::observation::{Fact, Label, Report, Subject};
use windrode::report::{About, html, night, stays};
use windrode::speech::Wording;
use windrode::time::{Now, Tick, Timestamp};
use windrode::units::{Bearing, Metres, Speed};
use windrode::watch::engine::Watchkeeper;
use windrode::watch::messages::{By, Command, Entry, Input, LetGo, LinkState, Output};
use windrode::watch::settings::WatchSettings;

/// On a busy desktop computer; a boat's computer takes about ten times as long.
const LIMIT: Duration = Duration::from_mins(3);

fn main() {
    for days in [1, 14] {
        let folder = tempfile::TempDir::new().expect("a folder");
        let seconds = days * 86_400;
        written(folder.path(), seconds);
        let before = common::peak();
        let began = Instant::now();
        let reader = Reader::open(folder.path()).expect("the journal");
        let stays = stays(&reader).expect("its stays");
        let settings = WatchSettings::default();
        let about = About {
            progress: &|_| {},
            settings: &settings,
            boat: None,
            tackle: Vec::new(),
            now: at(seconds + 60).utc,
        };
        let night = night(&reader, &stays[0], about).expect("the stay");
        let page = html(&night, &Wording::default());
        let took = began.elapsed();
        println!(
            "{days} days: {:.1} s, page {} kB, memory at most {before:.1} MB before and {:.1} MB after",
            took.as_secs_f64(),
            page.len() / 1000,
            common::peak()
        );
        assert!(took < LIMIT, "{days} days took {took:?}");
    }
}

fn at(second: u64) -> Now {
    Now::new(Tick::START, Timestamp::from_millis(1_780_000_000_000))
        .plus(Duration::from_secs(second))
}

/// She swings about 30 m from the anchor. Only the first ten minutes go through the engine: the journal keeps inputs.
fn written(folder: &std::path::Path, seconds: u64) {
    let (mut journal, recovered) =
        Journal::open(folder, Duration::from_secs(30), at(0)).expect("a journal");
    let mut keeper = Watchkeeper::new(at(0), WatchSettings::default(), recovered.saved);
    let mut take = |now: Now, input: Input, live: bool| {
        let entry = Entry {
            now,
            input: input.clone(),
        };
        journal.record(entry).expect("recorded");
        if !live {
            return;
        }
        keeper.handle(now, input);
        let mut events = Vec::new();
        while let Some(output) = keeper.poll_output() {
            if let Output::Event(event) = output {
                events.push(event);
            }
        }
        if !events.is_empty() {
            journal
                .commit(now, &keeper.saved(), &events)
                .expect("committed");
        }
    };
    take(at(0), Input::Began { last_seen: None }, true);
    take(at(0), Input::Link(LinkState::Up), true);
    for second in 0..seconds {
        let angle = 180.0 + 30.0 * (second as f64 / 900.0).sin();
        let place = BERTH.moved(Bearing::from_degrees(angle), Metres::of(30.0));
        let report = Report {
            subject: Subject::Own,
            source: Label::new("gps0.GP"),
            stamp: Some(at(second).utc),
            facts: vec![
                Fact::Position(Some(place)),
                Fact::HeadingTrue(Some(Bearing::from_degrees(angle - 180.0))),
                Fact::WindSpeedTrue(Some(Speed::from_knots(12.0))),
                Fact::WindDirectionTrue(Some(Bearing::from_degrees(angle - 180.0))),
                Fact::DepthBelowSurface(Some(Metres::of(6.0))),
            ],
        };
        let live = second < 600;
        take(at(second), Input::Report(report), live);
        if second == 60 {
            let order = LetGo {
                rode: Some(Metres::of(40.0)),
                position: Some(BERTH),
                ..LetGo::default()
            };
            let command = Command::LetGo(order);
            let by = By::Terminal;
            take(at(second), Input::Command { id: 0, command, by }, true);
        }
    }
    journal.close(at(seconds)).expect("closed");
}
