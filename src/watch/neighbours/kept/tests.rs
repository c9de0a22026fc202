//! What survives a restart, and what is not taken for live.

use super::*;
use crate::geodesy::{Offset, Plane};
use crate::observation::{Fact, Report, Subject};
use crate::units::Bearing;
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{Command, Input, LetGo};
use crate::watch::neighbours::telling::{Doing, Neighbour};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

const HERE: Position = Position::of(59.85, 23.26);
const PLOVER: &str = "vessels.urn:mrn:imo:mmsi:230000017";

fn now(second: u64) -> Now {
    let start = Timestamp::from_millis(1_780_000_000_000);
    Now::new(
        Tick::from_secs(second),
        start.plus(Duration::from_secs(second)),
    )
}

/// We lie to an anchor; she lies to hers, 150 m east of ours, and both boats turn with the wind.
struct Bay {
    keeper: Watchkeeper,
    /// Seconds since the first start.
    second: u64,
    /// When this run began.
    began: u64,
    /// Her offset from her usual place.
    off: f64,
}

impl Bay {
    fn anchored() -> Self {
        let mut bay = Self::with(0, Saved::default());
        bay.hear(false);
        let command = Command::LetGo(LetGo {
            rode: Metres::new(40.0),
            position: Some(HERE),
            ..LetGo::default()
        });
        let order = Input::Command {
            id: 1,
            command,
            by: crate::watch::messages::By::Terminal,
        };
        bay.keeper.handle(bay.now(), order);
        bay
    }

    fn with(second: u64, saved: Saved) -> Self {
        let begins = Now::new(Tick::START, now(second).utc);
        let mut keeper = Watchkeeper::new(begins, WatchSettings::default(), saved);
        keeper.handle(begins, Input::Began { last_seen: None });
        Self {
            keeper,
            second,
            began: second,
            off: 0.0,
        }
    }

    /// The ticks start again at zero with each run.
    fn now(&self) -> Now {
        Now::new(
            Tick::from_secs(self.second - self.began),
            now(self.second).utc,
        )
    }

    fn hear(&mut self, her: bool) {
        let turn = Bearing::from_degrees(self.second as f64 / 60.0);
        let hair = 0.001 * (self.second % 7) as f64;
        let swung = |reach: f64| Offset::polar(turn, Metres::of(reach + hair));
        let plane = Plane::at(HERE);
        let anchor = Offset {
            east: 150.0 + self.off,
            north: 0.0,
        };
        let name = Fact::Name(Some(Label::new("Plover")));
        let length = Fact::Length(Some(Metres::of(10.0)));
        let place = |at: Offset| Fact::Position(Some(plane.position(at)));
        let mut all = vec![(Subject::Own, vec![place(swung(30.0))])];
        if her {
            let facts = vec![place(anchor + swung(35.0)), name, length];
            all.push((Subject::Other(Label::new(PLOVER)), facts));
        }
        for (subject, facts) in all {
            let report = Report {
                subject,
                source: Label::new("test"),
                stamp: Some(self.now().utc),
                facts,
            };
            self.keeper.handle(self.now(), Input::Report(report));
        }
        self.keeper.handle_timeout(self.now());
    }

    /// Runs for this many seconds; she reports every three minutes if she reports at all.
    fn run(&mut self, seconds: u64, speaks: bool) {
        for _ in 0..seconds / 10 {
            self.second += 10;
            self.hear(speaks && self.second.is_multiple_of(180));
        }
    }

    fn shown(&self) -> Vec<Neighbour> {
        self.keeper.picture(self.now()).neighbours
    }

    /// Restarts after this long without power.
    fn restart(&self, seconds: u64) -> Self {
        let saved = self.keeper.saved();
        let text = serde_json::to_string(&saved).unwrap();
        let mut bay = Self::with(self.second + seconds, serde_json::from_str(&text).unwrap());
        bay.hear(false);
        bay
    }
}

/// Three hours, in which she turns through 180° about her anchor.
fn three_hours() -> Bay {
    let mut bay = Bay::anchored();
    bay.run(3 * 3600, true);
    bay
}

#[test]
fn her_circle_survives_a_restart_and_counts_once_she_reports() {
    let bay = three_hours();
    let before = &bay.shown()[0];
    let circle = before.circle.unwrap();
    assert!(!circle.assumed, "{circle:?}");
    let mut after = bay.restart(120);
    assert!(after.shown().is_empty());
    assert_eq!(after.keeper.picture(after.now()).vessels_heard, 0);
    after.run(180, true);
    assert_eq!(after.keeper.picture(after.now()).vessels_heard, 1);
    let again = &after.shown()[0];
    assert_eq!(
        (again.name.as_str(), again.doing),
        ("Plover", Doing::AtAnchor)
    );
    assert!(again.heard_ago < 180.0, "{again:?}");
    let kept = again.circle.unwrap();
    assert!(!kept.assumed, "{kept:?}");
    assert!(kept.anchor.distance_to(circle.anchor).get() < 5.0);
    assert!((kept.radius - circle.radius).get().abs() < 5.0);
}

/// Eight hours without power; the clock then continues from a minute after it had stopped.
#[test]
fn a_clock_that_stood_still_makes_no_vessel_look_freshly_heard() {
    let mut bay = three_hours();
    bay.run(60, true);
    let on_disk = bay.keeper.saved().neighbours;
    let mut after = bay.restart(60);
    // She has gone, and no vessel reports.
    for _ in 0..10 {
        assert!(after.shown().is_empty());
        assert_eq!(after.keeper.picture(after.now()).vessels_heard, 0);
        after.run(60, false);
    }
    // What is written about her again is as old as it was.
    let saved = after.keeper.saved().neighbours;
    let heard = |all: &[SavedNeighbour]| all.iter().map(|her| her.heard).collect::<Vec<_>>();
    assert_eq!(heard(&saved), heard(&on_disk));
    assert_eq!(saved.len(), 1);
}

#[test]
fn no_old_entry_is_shown_as_if_it_were_live() {
    let bay = three_hours();
    let quarter = bay.restart(900);
    assert!(quarter.shown().is_empty());
    assert_eq!(quarter.keeper.picture(quarter.now()).vessels_heard, 0);
    // Nothing that is two hours old is used: when she is heard again, she starts from nothing.
    let mut long = bay.restart(7200);
    long.run(180, true);
    let circle = long.shown().first().and_then(|her| her.circle);
    assert!(circle.is_none_or(|circle| circle.assumed), "{circle:?}");
    // A slow clock makes no entry younger.
    let saved = bay.keeper.saved();
    let early = Bay::with(3600, saved);
    assert!(early.shown().is_empty());
}

/// She dragged 80 m to the west, towards us, while the watch was down.
#[test]
fn a_vessel_that_dragged_while_the_watch_was_down_has_left_her_place() {
    let bay = three_hours();
    let mut after = bay.restart(600);
    after.off = -80.0;
    after.run(500, true);
    let her = &after.shown()[0];
    assert_eq!(her.doing, Doing::LeftHerPlace, "{her:?}");
}

#[test]
fn it_is_written_seldom_and_forgotten_when_the_anchor_is_up() {
    let mut bay = three_hours();
    let mut writes = 0;
    let mut before = bay.keeper.saved();
    for _ in 0..60 {
        bay.run(60, true);
        let saved = bay.keeper.saved();
        writes += usize::from(saved.neighbours != before.neighbours);
        before = saved;
    }
    assert!((1..=6).contains(&writes), "{writes} in an hour");
    assert_eq!(before.neighbours.len(), 1);
    let weigh = Input::Command {
        id: 2,
        command: Command::Weigh,
        by: crate::watch::messages::By::Terminal,
    };
    bay.keeper.handle(bay.now(), weigh);
    bay.run(20, true);
    assert!(bay.keeper.saved().neighbours.is_empty());
}

/// Six more vessels lie around us, and each is found to lie ten seconds after the one before.
#[test]
fn vessels_that_come_one_after_another_are_written_together() {
    let mut bay = Bay::anchored();
    let (mut writes, mut before) = (Vec::new(), Vec::new());
    for step in 0..360_u64 {
        bay.run(10, false);
        let her = step % 6;
        let place = Offset {
            east: -120.0,
            north: 60.0 * her as f64,
        };
        let report = Report {
            subject: Subject::Other(Label::new(&format!("vessels.{her}"))),
            source: Label::new("test"),
            stamp: Some(bay.now().utc),
            facts: vec![Fact::Position(Some(Plane::at(HERE).position(place)))],
        };
        bay.keeper.handle(bay.now(), Input::Report(report));
        let saved = bay.keeper.saved().neighbours;
        if saved != before {
            writes.push(bay.second);
            before = saved;
        }
    }
    assert_eq!(before.len(), 6);
    let gaps = writes.iter().zip(writes.iter().skip(1));
    assert!(writes.len() > 1, "{writes:?}");
    assert!(gaps.into_iter().all(|(a, b)| b - a >= 60), "{writes:?}");
}

#[test]
fn a_changed_name_is_no_reason_to_write() {
    let saved = three_hours().keeper.saved().neighbours;
    let her = &saved[0];
    let renamed = SavedNeighbour {
        name: Some("Lapwing".into()),
        ..her.clone()
    };
    assert!(renamed.is_like(her));
    let other = SavedNeighbour {
        context: "vessels.urn:mrn:imo:mmsi:230000018".into(),
        ..her.clone()
    };
    assert!(!other.is_like(her));
}
