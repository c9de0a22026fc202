//! A stay read back from a journal: across a restart, with a time in which nothing was seen, with its beginning
//! removed.

use std::time::Duration;

use tempfile::TempDir;

use super::*;
use crate::geodesy::Position;
use crate::journal::{Journal, Reader};
use crate::observation::{Fact, Label, Report, Subject};
use crate::outbox::words::{Fault, HealthState, Spell};
use crate::report::facts::{Charted, Recorded, Why};
use crate::speech::Wording;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Bearing, Metres, Speed};
use crate::watch::anchorage::kind::MooringKind;
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{By, Command, Entry, Input, LetGo, LinkState, Output};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;

const COVE: Position = Position::of(59.8539, 23.26);

fn at(second: u64) -> Now {
    let begin: Timestamp = "2026-06-01T20:00:00Z".parse().unwrap();
    Now::new(Tick::START, begin).plus(Duration::from_secs(second))
}

/// Does what the daemon does, without sockets: passes inputs to the engine and into the journal.
struct Aboard {
    keeper: Watchkeeper,
    journal: Journal,
}

impl Aboard {
    fn start(folder: &TempDir, second: u64) -> Self {
        let now = at(second);
        let (mut journal, recovered) =
            Journal::open(folder.path(), Duration::from_secs(30), now).unwrap();
        let settings = WatchSettings::default();
        journal.note_settings(&format!("{settings:?}")).unwrap();
        let last_seen = recovered.last_seen();
        let keeper = Watchkeeper::new(now, settings, recovered.saved);
        let mut aboard = Self { keeper, journal };
        aboard.take(now, Input::Began { last_seen });
        aboard.take(now, Input::Link(LinkState::Up));
        aboard
    }

    fn take(&mut self, now: Now, input: Input) {
        let entry = Entry {
            now,
            input: input.clone(),
        };
        self.journal.record(entry).unwrap();
        self.keeper.handle(now, input);
        let mut events = Vec::new();
        let mut saved: Option<Saved> = None;
        while let Some(output) = self.keeper.poll_output() {
            match output {
                Output::Event(event) => events.push(event),
                Output::Persist(state) => saved = Some(*state),
                _ => {}
            }
        }
        if saved.is_some() || !events.is_empty() {
            let saved = saved.unwrap_or_else(|| self.keeper.saved());
            self.journal.commit(now, &saved, &events).unwrap();
        }
    }

    /// She lies 30 m south of the anchor in 12 kn of wind.
    fn second(&mut self, second: u64, sees: bool) {
        let now = at(second);
        // A position that never changes counts as frozen.
        let off = Metres::of(30.0 + (second % 7) as f64 / 10.0);
        let place = COVE.moved(Bearing::from_degrees(180.0), off);
        let mut facts = vec![
            Fact::WindSpeedTrue(Some(Speed::from_knots(12.0))),
            Fact::WindDirectionTrue(Some(Bearing::from_degrees(0.0))),
            Fact::HeadingTrue(Some(Bearing::from_degrees(0.0))),
            Fact::DepthBelowSurface(Some(Metres::of(6.0))),
        ];
        if sees {
            facts.push(Fact::Position(Some(place)));
        }
        let report = Report {
            subject: Subject::Own,
            source: Label::new("gps0.GP"),
            stamp: Some(now.utc),
            facts,
        };
        self.take(now, Input::Report(report));
    }

    fn order(&mut self, second: u64, command: Command) {
        let by = By::Terminal;
        self.take(at(second), Input::Command { id: 0, command, by });
    }
}

/// Two hours at anchor: no fix from 1500 to 2100 s, windrode off from 3600 to 4200 s.
fn stayed() -> TempDir {
    let folder = TempDir::new().unwrap();
    let mut aboard = Aboard::start(&folder, 0);
    for second in 0..3600 {
        if second == 300 {
            aboard.order(
                second,
                Command::LetGo(LetGo {
                    rode: Some(Metres::of(40.0)),
                    position: Some(COVE),
                    ..LetGo::default()
                }),
            );
        }
        aboard.second(second, !(1500..2100).contains(&second));
        if second == 1800 {
            aboard.order(second, Command::Acknowledge(None));
        }
    }
    aboard.journal.close(at(3600)).unwrap();
    let mut aboard = Aboard::start(&folder, 4200);
    for second in 4200..7500 {
        aboard.second(second, true);
    }
    aboard.order(7500, Command::Weigh);
    aboard.journal.close(at(7501)).unwrap();
    folder
}

fn about(settings: &WatchSettings) -> About<'_> {
    About {
        progress: &|_| {},
        settings,
        boat: Some("Tern <\"&'>".to_owned()),
        tackle: Vec::new(),
        now: at(9000).utc,
    }
}

#[test]
fn a_stay_is_read_across_a_restart_with_its_gaps_as_gaps() {
    let folder = stayed();
    let reader = Reader::open(folder.path()).unwrap();
    let stays = stays(&reader).unwrap();
    let [stay] = stays.as_slice() else {
        panic!("{stays:?}");
    };
    assert_eq!(stay.name, "2026-06-01T20:05Z");
    assert_eq!(
        (stay.let_go, stay.weighed),
        (at(300).utc, Some(at(7500).utc))
    );
    let settings = WatchSettings::default();
    let night = night(&reader, stay, about(&settings)).unwrap();
    assert_eq!(night.remarks, Vec::<String>::new());
    let spells: Vec<_> = night.blind.iter().map(|spell| spell.why).collect();
    assert_eq!(spells, [Why::NoFix, Why::NotRunning], "{:?}", night.blind);
    let no_fix = &night.blind[0];
    assert!(
        no_fix.from.millis_since(at(1500).utc).abs() < 15_000,
        "{no_fix:?}"
    );
    assert!(
        no_fix.until.millis_since(at(2100).utc).abs() < 15_000,
        "{no_fix:?}"
    );
    assert_eq!(night.track.len(), 3);
    // Buckets of a minute from 300 s on: whole minutes in a gap have no distance.
    let distance = |second: usize| night.figures.distance[(second - 300) / 60];
    assert!(distance(1200).unwrap().mean > 25.0);
    assert_eq!((distance(1800), distance(3900)), (None, None));
    assert!(distance(5000).is_some());
    assert!(night.figures.wind[(1800 - 300) / 60].is_some());
    let position = night
        .alerts
        .iter()
        .find(|it| it.hazard.name() == "position");
    let by = position.unwrap().acknowledged[0].by.as_deref();
    assert_eq!(by, Some("at the terminal"));
    let south = night.swing[18];
    assert!(
        south.seconds > 5000.0 && (south.farthest - 30.0).abs() < 10.0,
        "{south:?}"
    );
    let rode = night.anchor.rode;
    assert_eq!(rode, Some(40.0));

    let page = html(&night, &Wording::default());
    assert!(page.contains("Tern &lt;&quot;&amp;&apos;&gt;"));
    assert!(!page.contains("Tern <"));
    let track = gpx(&night);
    assert_eq!(track.matches("<trkseg>").count(), 3);
    let points: usize = night.track.iter().map(Vec::len).sum();
    assert_eq!(track.matches("<trkpt ").count(), points);
    let lines: serde_json::Value = serde_json::from_str(&geojson(&night)).unwrap();
    assert_eq!(lines["features"].as_array().unwrap().len(), 4);
    let east_first = lines["features"][1]["geometry"]["coordinates"][0][0].as_f64();
    assert!((east_first.unwrap() - 23.26).abs() < 0.001);
}

/// A stay whose inputs are gone still has its events, and says what is missing.
#[test]
fn what_was_removed_is_missing_and_told() {
    let folder = stayed();
    let (mut journal, _) = Journal::open(folder.path(), Duration::from_secs(30), at(9000)).unwrap();
    journal.prune(at(9000), Duration::from_secs(1)).unwrap();
    let reader = Reader::open(folder.path()).unwrap();
    let stays = stays(&reader).unwrap();
    let settings = WatchSettings::default();
    let night = night(&reader, &stays[0], about(&settings)).unwrap();
    assert!(
        night.remarks.iter().any(|it| it == words::NOTHING_KEPT),
        "{:?}",
        night.remarks
    );
    assert_eq!(night.blind.last().unwrap().why, Why::Removed);
    assert_eq!(night.track.len(), 0);
    assert!(!night.events.is_empty());
    let page = html(&night, &Wording::default());
    assert!(page.contains(words::NO_FIGURES) && page.contains(words::NOTHING_KEPT));
}

/// A short stay from 300 to 900 s, made fast with this order; `kept` goes into the journal while windrode runs.
fn short(order: LetGo, kept: Option<&[Spell]>) -> TempDir {
    let folder = TempDir::new().unwrap();
    let mut aboard = Aboard::start(&folder, 0);
    if let Some(spells) = kept {
        aboard.journal.keep_channels(spells).unwrap();
    }
    for second in [298, 299, 300, 301, 302, 600, 899] {
        if second == 300 {
            aboard.order(second, Command::LetGo(order));
        }
        aboard.second(second, true);
    }
    aboard.order(900, Command::Weigh);
    aboard.journal.close(at(901)).unwrap();
    folder
}

fn anchor() -> LetGo {
    LetGo {
        rode: Some(Metres::of(40.0)),
        position: Some(COVE),
        ..LetGo::default()
    }
}

fn read(folder: &TempDir) -> Night {
    let reader = Reader::open(folder.path()).unwrap();
    let stays = stays(&reader).unwrap();
    let settings = WatchSettings::default();
    night(&reader, &stays[0], about(&settings)).unwrap()
}

/// A boat on a mooring has no anchor to set: her stay begins with `set`.
#[test]
fn the_begin_of_a_stay_on_a_mooring_is_known() {
    let order = LetGo {
        position: Some(COVE),
        kind: MooringKind::Mooring,
        radius: Some(Metres::of(45.0)),
        ..LetGo::default()
    };
    let folder = short(order, None);
    let reader = Reader::open(folder.path()).unwrap();
    let found = stays(&reader).unwrap();
    let [stay] = found.as_slice() else {
        panic!("{found:?}");
    };
    assert!(stay.begin_known, "{stay:?}");
    assert_eq!(stay.let_go, at(300).utc);
    // With events removed before it, the same phase may be one in the middle of a stay.
    let journal = rusqlite::Connection::open(folder.path().join("journal.db")).unwrap();
    journal
        .execute_batch("UPDATE event SET id = id + 1000")
        .unwrap();
    assert!(!stays(&reader).unwrap()[0].begin_known);
}

fn spell(channel: &str, number: u64, since: u64, state: HealthState) -> Spell {
    Spell {
        channel: channel.to_owned(),
        number,
        since: at(since).utc,
        state,
        fault: None,
        anchored: since >= 300,
        worked: None,
        delivered: 0,
        failed: 0,
        waiting: 0,
    }
}

#[test]
fn each_channel_has_a_row_with_its_times_and_counts_of_the_stay() {
    let folder = short(
        anchor(),
        Some(&[
            spell("mate", 0, 0, HealthState::Untried),
            Spell {
                delivered: 9,
                ..spell("skipper", 0, 10, HealthState::Working)
            },
            Spell {
                fault: Some(Fault::Refused),
                failed: 4,
                waiting: 1,
                ..spell("mate", 1, 300, HealthState::Refused)
            },
            Spell {
                delivered: 2,
                worked: Some(at(390).utc),
                ..spell("skipper", 1, 300, HealthState::Working)
            },
            Spell {
                fault: Some(Fault::NotTaken),
                failed: 5,
                ..spell("skipper", 2, 400, HealthState::Failing)
            },
            Spell {
                delivered: 1,
                worked: Some(at(840).utc),
                ..spell("skipper", 3, 640, HealthState::Working)
            },
        ]),
    );
    let night = read(&folder);
    assert_eq!(night.channels.recorded, Recorded::Whole);
    let [mate, skipper] = night.channels.list.as_slice() else {
        panic!("{:?}", night.channels);
    };
    assert_eq!((mate.name.as_str(), mate.working), ("mate", 0.0));
    assert_eq!((mate.failing, mate.delivered, mate.waiting), (600.0, 0, 1));
    assert_eq!((skipper.working, skipper.failing), (360.0, 240.0));
    assert_eq!((skipper.delivered, skipper.failed), (3, 5));
    assert_eq!(skipper.last_success, Some(at(840).utc));
    assert_eq!((skipper.spells.len(), skipper.spell_count), (3, 3));
    let page = html(&night, &Wording::default());
    for words in [
        "20:06 UTC to 20:10 UTC (4 min): no connection",
        "0; 1 waited at the end",
        "the other side refused it",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains(words::CHANNELS_NOT_RECORDED));

    // None of it is in a bundle.
    let reader = Reader::open(folder.path()).unwrap();
    let runs = reader.runs(u32::MAX).unwrap();
    let mut packed = Vec::new();
    crate::recording::bundle(&reader, &runs, at(900).utc, None, true, &mut packed).unwrap();
    let text = std::io::read_to_string(flate2::read::GzDecoder::new(&packed[..])).unwrap();
    assert!(text.contains("LetGo") && !text.contains("skipper"));
}

#[test]
fn a_journal_without_the_health_of_channels_says_so_and_one_without_channels_too() {
    let night = read(&short(anchor(), None));
    assert_eq!(night.channels.recorded, Recorded::Not);
    let page = html(&night, &Wording::default());
    assert!(page.contains(words::CHANNELS_NOT_RECORDED));
    let night = read(&short(anchor(), Some(&[])));
    assert_eq!(night.channels.recorded, Recorded::Whole);
    let page = html(&night, &Wording::default());
    assert!(page.contains(words::NO_CHANNELS) && !page.contains(words::CHANNELS_NOT_RECORDED));
}

#[test]
fn a_list_that_is_cut_says_how_many_there_were() {
    let mut night = read(&short(anchor(), None));
    let page = html(&night, &Wording::default());
    assert!(!page.contains("Only the latest"));
    let shown = night.events.len();
    night.counts.events = 5312;
    let page = html(&night, &Wording::default());
    let words = format!("Only the latest {shown} of 5312 reports are shown.");
    assert!(page.contains(&words), "{words}");
}

#[test]
fn how_far_she_lay_is_not_known_without_a_recorded_distance() {
    let mut night = read(&short(anchor(), None));
    let row = |value: &str| format!("{}</th><td>{value}</td>", words::LAIN);
    let lain = format!("{:.1} m", night.lain().unwrap());
    assert!(html(&night, &Wording::default()).contains(&row(&lain)));
    for spot in night.track.iter_mut().flatten() {
        spot.distance = None;
    }
    for sector in &mut night.swing {
        sector.seconds = 0.0;
    }
    assert_eq!(night.lain(), None);
    assert!(html(&night, &Wording::default()).contains(&row("not known")));
}

#[test]
fn a_draught_that_was_assumed_is_named_beside_the_depth_she_needs() {
    let mut night = read(&short(anchor(), None));
    for (assumed_draught, row) in [
        (None, "<td>3.0 m</td>"),
        (
            Some(Metres::of(2.0)),
            "<td>3.0 m, with a draught of 2.0 m assumed</td>",
        ),
    ] {
        night.charted = Some(Charted {
            chart: None,
            needed: Metres::of(3.0),
            assumed_draught,
            radius: Metres::of(40.0),
            least: None,
            nearest_danger: None,
            share_too_shoal: 0.0,
            share_unknown: 0.0,
        });
        let page = html(&night, &Wording::default());
        assert!(page.contains(row), "{row}");
    }
}
