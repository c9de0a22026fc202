//! The planned circle and the swinging circle, compared with a chart of an invented bay.

mod depths;
mod reported;

use super::*;
use crate::chart::cell::Cell;
use crate::chart::clearance::Finding;
use crate::chart::faults::Faults;
use crate::chart::parse::Reading;
use crate::watch::berth::{BerthOrder, BerthWishes, DepthBy};
use crate::watch::charted::ChartAnswer;
use crate::watch::state::WatchState;

/// The place this many metres east and north of the first position.
fn place(east: f64, north: f64) -> Position {
    Plane::at(first()).position(Offset { east, north })
}

fn area(properties: &str, west: f64, east: f64) -> String {
    let corners = [
        (west, -3000.0),
        (east, -3000.0),
        (east, 3000.0),
        (west, 3000.0),
        (west, -3000.0),
    ];
    let corners = corners.map(|(east, north)| {
        let at = place(east, north);
        format!("[{:.9},{:.9}]", at.longitude(), at.latitude())
    });
    format!(
        "{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}}}\n",
        corners.join(",")
    )
}

/// 5 to 10 m deep from `west` to `shoal`, 1 to 2 m from there on; a cable area between 160 and 130 m west, if there is
/// one; nothing is charted west of `west`.
fn bay(west: f64, shoal: f64, cable: bool) -> Sheet {
    let mut features = vec![
        area(r#"{"OBJL":42,"DRVAL1":5,"DRVAL2":10}"#, west, shoal),
        area(r#"{"OBJL":42,"DRVAL1":1,"DRVAL2":2}"#, shoal, 3000.0),
        area(r#"{"OBJL":302,"CATCOV":1}"#, west, 3000.0),
        area(r#"{"OBJL":308,"CATZOC":3}"#, west, 3000.0),
    ];
    if cable {
        features.push(area(r#"{"OBJL":20,"RESTRN":[1]}"#, -160.0, -130.0));
    }
    let mut reading = Reading::of("BAY");
    reading.take(&features.concat(), None).unwrap();
    reading.about.scale = Some(12_000);
    let mut faults = Faults::default();
    let cell = Cell::of(reading, &mut faults).unwrap();
    assert_eq!(faults.total(), 0, "{:?}", faults.lines());
    Sheet::of(vec![(cell.about, cell.pieces)])
}

fn wide() -> Sheet {
    bay(-1500.0, 150.0, false)
}

/// The shoal begins 40 m east of where she is.
fn narrow() -> Sheet {
    bay(-1500.0, 40.0, false)
}

fn with(charts: Sheet) -> Scene {
    let mut scene = Scene::new();
    scene.run(20);
    scene.charts = Some(charts);
    scene.news(ChartNews::Kept(true));
    scene
}

impl Scene {
    fn news(&mut self, news: ChartNews) {
        self.keeper.handle(at(self.second), Input::Chart(news));
        self.drain();
    }

    fn berth(&mut self, berth: impl Into<BerthOrder>) -> String {
        match self.command(Command::Berth(Some(berth.into()))) {
            Outcome::Done(said) => said,
            Outcome::Refused(why) => panic!("refused: {why}"),
        }
    }

    fn tide(&mut self, now: f64, high: f64, low: f64) {
        let facts = vec![
            Fact::TideNow(Metres::new(now)),
            Fact::TideHigh(Metres::new(high)),
            Fact::TideLow(Metres::new(low)),
        ];
        self.report("tide.table", facts);
        self.run(2);
    }

    fn picture(&self) -> WatchState {
        self.keeper.picture(at(self.second))
    }
}

/// At most 10 m of depth and 3 m of tide: 7:1 over 13 + 1.2 m is 99.4 m of rode. The circle is calculated with at least
/// 5 m of depth and 0.5 m of tide: 99.4 m stretched by 2 %, over 6.7 m, plus the boat's 11.2 m behind it.
#[test]
fn a_berth_is_sized_from_the_chart_and_the_tide() {
    let mut scene = with(wide());
    scene.tide(1.0, 3.0, 0.5);
    let said = scene.berth(place(0.0, 0.0));
    let planned = scene.picture().planned.unwrap();
    assert_eq!(planned.depth_by, DepthBy::Chart);
    assert!((planned.rode.get() - 99.4).abs() < 1e-6, "{planned:?}");
    let reach = (99.4_f64 * 1.02).hypot(0.0).powi(2) - 6.7_f64.powi(2);
    let radius = reach.sqrt() + 11.2;
    assert!((planned.radius.unwrap().get() - radius).abs() < 1e-6);
    assert!(planned.room.as_ref().unwrap().clears);
    // 5 m of depth and 0.5 m of tide.
    assert_eq!(planned.room_least, Some(Metres::of(5.5)));
    assert_eq!(scene.picture().room_least, Some(Metres::of(5.5)));
    assert!(
        said.contains(
            "charted depth 5 m to 10 m; 13.0 m of water at high water, 5.5 m at low water; rode 99 m, scope 7:1, planned 7:1: the holding is not known; circle 112 m to the stern; room to swing is clear by the chart, least depth 5.5 m at low water (chart BAY, 1:12 000, datum not stated, survey quality B)"
        ),
        "{said}"
    );
}

#[test]
fn the_circle_follows_tide_wishes_and_berth() {
    let mut scene = with(wide());
    scene.tide(1.0, 3.0, 0.5);
    scene.berth(place(0.0, 0.0));
    let before = scene.picture().planned.unwrap();
    // Springs: one more metre.
    scene.tide(1.0, 4.0, 0.5);
    let springs = scene.picture().planned.unwrap();
    assert!((springs.rode.get() - before.rode.get() - 7.0).abs() < 1e-6);
    // A storm is expected: 10:1.
    let wishes = BerthWishes {
        wind: Some(Speed::from_knots(40.0)),
        ..BerthWishes::default()
    };
    let order = BerthOrder {
        position: place(0.0, 0.0),
        wishes,
    };
    scene.berth(order);
    let storm = scene.picture().planned.unwrap();
    assert!((storm.rode.get() - 152.0).abs() < 1e-6, "{storm:?}");
    // The rode that the crew entered counts, wherever they drag the berth.
    let wishes = BerthWishes {
        rode: Metres::new(40.0),
        ..BerthWishes::default()
    };
    scene.berth(BerthOrder {
        position: place(60.0, 0.0),
        wishes,
    });
    let short = scene.picture().planned.unwrap();
    assert_eq!(short.rode, Metres::of(40.0));
    assert!(short.room.unwrap().clears);
    let said = scene.berth(BerthOrder {
        position: place(110.0, 0.0),
        wishes,
    });
    assert!(said.contains("rode 40 m as asked, scope 2.6:1"), "{said}");
    assert!(
        said.contains("NOT CLEAR: she grounds at low water, by 0.4 m: "),
        "{said}"
    );
    let room = scene.picture().planned.unwrap().room.unwrap();
    assert_eq!(room.findings, [Finding::GroundsAtLowWater]);
    // The parameters of the planned berth survive a restart, and end with the berth.
    let saved = scene.keeper.saved();
    assert_eq!(saved.berth_wishes, Some(wishes));
    let mut after = Scene::resumed(scene.second + 5, saved, None);
    after.run(20);
    assert_eq!(after.picture().planned.unwrap().rode, Metres::of(40.0));
    after.command(Command::Berth(None));
    assert_eq!(after.picture().planned, None);
}

#[test]
fn without_a_chart_the_sounder_s_depth_is_used_and_named() {
    let mut scene = Scene::new();
    scene.run(20);
    let said = scene.berth(place(0.0, 0.0));
    let planned = scene.picture().planned.unwrap();
    assert_eq!((planned.depth_by, planned.room), (DepthBy::Sounder, None));
    // 7:1 over 8.0 + 1.2 m.
    assert!((planned.rode.get() - 64.4).abs() < 1e-6);
    for wanted in [
        "depth as sounded where she is now",
        "no tide known",
        "no charts aboard",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    // There are charts, but none of that place.
    let mut scene = with(wide());
    let said = scene.berth(place(-1700.0, 0.0));
    assert!(said.contains("depth as sounded where she is now"), "{said}");
    assert!(
        said.contains("NOT CLEAR: all of it is on no chart here"),
        "{said}"
    );
    assert_eq!(scene.picture().room_least, None);
    // No sounder either.
    let mut deaf = Scene::new();
    deaf.seen = false;
    deaf.run(2);
    let said = deaf.berth(place(0.0, 0.0));
    assert!(
        said.ends_with(
            "the chart gives no depth at the berth and there is no data from the sounder"
        ),
        "{said}"
    );
}

/// She lets go 60 m east of the berth: the circle is not the planned one.
#[test]
fn a_drop_that_does_not_clear_is_reported_at_once() {
    let mut scene = with(narrow());
    scene.tide(1.0, 3.0, 0.5);
    let wishes = BerthWishes {
        rode: Metres::new(40.0),
        ..BerthWishes::default()
    };
    let said = scene.berth(BerthOrder {
        position: place(-60.0, 0.0),
        wishes,
    });
    assert!(said.contains("room to swing is clear"), "{said}");
    let said = scene.ordered(LetGo {
        rode: Metres::new(40.0),
        ..LetGo::default()
    });
    let wanted = "room to swing NOT CLEAR about the anchor: she grounds at low water, by ";
    assert!(said.contains(wanted), "{said}");
    assert!(said.contains("consider anchoring again now"), "{said}");
    let notes = scene.notes();
    assert!(
        notes.iter().any(|note| note.starts_with(wanted)),
        "{notes:?}"
    );
    let picture = scene.picture();
    assert!(
        (picture.berth_distance.unwrap().get() - 60.0).abs() < 0.5,
        "{picture:?}"
    );
    assert!((picture.berth_bearing.unwrap().degrees() - 270.0).abs() < 1.0);
    let message = scene.message(Hazard::Shoaling);
    assert!(
        message.starts_with("shoaling where she could swing over "),
        "{message}"
    );
    assert!(message.contains("1 m to 2 m"), "{message}");
    assert!(
        message.contains("(chart BAY, 1:12 000, datum not stated, survey quality B)"),
        "{message}"
    );
    assert_eq!(
        scene.state(Hazard::Shoaling),
        AlertState::ActiveUnacknowledged
    );
    // She hauls in: the circle is small enough.
    scene.command(Command::RodeOut(Metres::of(20.0)));
    scene.run(15);
    assert_ne!(
        scene.state(Hazard::Shoaling),
        AlertState::ActiveUnacknowledged
    );
    let told = scene.notes();
    let told = told
        .iter()
        .filter(|note| note.contains("NOT CLEAR"))
        .count();
    assert_eq!(told, 1);
}

#[test]
fn cables_and_uncharted_water_are_reported_and_are_not_a_shoal() {
    for (charts, wanted) in [
        (
            bay(-1500.0, 150.0, true),
            "it touches: cable area: anchoring prohibited",
        ),
        (
            bay(-130.0, 150.0, false),
            "of it is on no chart here; what is there is not known",
        ),
    ] {
        let mut scene = with(charts);
        let said = scene.ordered(LetGo {
            rode: Metres::new(40.0),
            position: Some(place(-100.0, 0.0)),
            ..LetGo::default()
        });
        assert!(said.contains(wanted), "{said}");
        assert!(said.contains("NOT CLEAR about the anchor"), "{said}");
        assert_eq!(scene.state(Hazard::Shoaling), AlertState::Normal);
    }
}

/// The alarm of the night before does not end and return while the chart is read.
#[test]
fn a_restart_neither_ends_nor_repeats_a_chart_alarm() {
    let mut scene = with(narrow());
    scene.let_go(40.0);
    scene.command(Command::Acknowledge(Some(Hazard::Shoaling)));
    scene.run(30);
    assert_eq!(
        scene.state(Hazard::Shoaling),
        AlertState::ActiveAcknowledged
    );
    let mut after = Scene::resumed(scene.second + 5, scene.keeper.saved(), None);
    after.run(20);
    assert_eq!(
        after.state(Hazard::Shoaling),
        AlertState::ActiveAcknowledged
    );
    after.charts = Some(narrow());
    after.news(ChartNews::Kept(true));
    after.run(20);
    assert_eq!(
        after.state(Hazard::Shoaling),
        AlertState::ActiveAcknowledged
    );
    assert!(!after.raised(Hazard::Shoaling));
    // The charts are gone: the alert ends.
    after.news(ChartNews::Kept(false));
    after.run(120);
    assert_eq!(after.state(Hazard::Shoaling), AlertState::Normal);
}

/// A chart was added and cannot be read: that does not remove the shoal, and the crew is told that the chart is not
/// used.
#[test]
fn a_chart_that_becomes_unreadable_ends_no_alarm() {
    let mut scene = with(narrow());
    scene.let_go(40.0);
    scene.run(15);
    let stands = |scene: &Scene| scene.state(Hazard::Shoaling) == AlertState::ActiveUnacknowledged;
    assert!(stands(&scene));
    scene.charts = None;
    scene.news(ChartNews::Kept(true));
    scene.run(2);
    let number = scene
        .heard
        .iter()
        .rev()
        .find_map(|output| match output {
            Output::AskChart(question) => Some(question.number),
            _ => None,
        })
        .unwrap();
    let says = Err("cannot use `bay.chart`: damaged".to_owned());
    let answer = ChartAnswer { number, says };
    scene.news(ChartNews::Said(Box::new(answer)));
    scene.run(120);
    assert!(stands(&scene));
    let remarks = scene.picture().remarks;
    let wanted = "room to swing is not checked: the charts cannot be read, the log says why";
    assert!(remarks.iter().any(|it| it == wanted), "{remarks:?}");
    // It is removed again: the other charts count.
    scene.charts = Some(wide());
    scene.news(ChartNews::Kept(true));
    scene.run(15);
    assert!(!stands(&scene));
}

/// The area has no value for its greatest depth.
#[test]
fn a_depth_area_without_a_deep_bound_sizes_no_rode_in_silence() {
    let mut reading = Reading::of("OPEN");
    let features = [
        area(r#"{"OBJL":42,"DRVAL1":5}"#, -1500.0, 1500.0),
        area(r#"{"OBJL":302,"CATCOV":1}"#, -1500.0, 1500.0),
    ];
    reading.take(&features.concat(), None).unwrap();
    let cell = Cell::of(reading, &mut Faults::default()).unwrap();
    let mut scene = with(Sheet::of(vec![(cell.about, cell.pieces)]));
    scene.tide(1.0, 3.0, 0.5);
    let said = scene.berth(place(0.0, 0.0));
    for wanted in [
        "charted depth 5 m or more",
        "this rode is for the shoal bound and may be TOO SHORT, sound the berth before letting go",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    let planned = scene.picture().planned.unwrap();
    assert!(planned.may_be_deeper());
    assert_eq!(planned.rode_known(), None);
    assert!(planned.radius.is_some());
}

/// A disk that does not answer delays neither the mark nor, for long, the answer.
#[test]
fn a_chart_that_is_not_read_delays_nothing() {
    let mut scene = with(wide());
    scene.charts = None;
    let order = Input::Command {
        id: 9,
        command: Command::LetGo(LetGo::default()),
        by: By::Terminal,
    };
    scene.keeper.handle(at(scene.second), order);
    scene.drain();
    assert_eq!(scene.phase(), AnchorPhase::Setting);
    let answer = |scene: &Scene| {
        scene.heard.iter().find_map(|output| match output {
            Output::Reply { id: 9, outcome } => Some(outcome.clone()),
            _ => None,
        })
    };
    assert_eq!(answer(&scene), None);
    scene.run(3);
    let Some(Outcome::Done(said)) = answer(&scene) else {
        panic!("no answer");
    };
    assert!(
        said.ends_with("the chart is still being read; the result follows"),
        "{said}"
    );
    // The same question is not asked again and again.
    let asked = scene
        .heard
        .iter()
        .filter(|it| matches!(it, Output::AskChart(_)));
    assert_eq!(asked.count(), 1);
}

/// As the journal saves them.
#[test]
fn saved_wishes_are_restored_unchanged() {
    let scene = {
        let mut scene = with(wide());
        scene.berth(BerthOrder {
            position: place(3.0, 7.0),
            wishes: BerthWishes {
                scope: Some(6.1),
                rode: None,
                wind: Some(Speed::from_knots(21.0)),
                stay: Some(Duration::from_hours(30)),
            },
        });
        scene
    };
    let question = scene.heard.iter().find_map(|output| match output {
        Output::AskChart(question) => Some(*question),
        _ => None,
    });
    let answer = question.unwrap().put_to(&wide());
    let order = scene.keeper.saved().berth.map(BerthOrder::from);
    for input in [
        Input::Chart(ChartNews::Said(Box::new(answer))),
        Input::Command {
            id: 1,
            command: Command::Berth(order),
            by: By::Server,
        },
    ] {
        let text = serde_json::to_string(&input).unwrap();
        assert_eq!(serde_json::from_str::<Input>(&text).unwrap(), input);
    }
    // As an earlier version saved it.
    let text = r#"{"Berth":{"latitude":59.8539,"longitude":23.26}}"#;
    let earlier: Command = serde_json::from_str(text).unwrap();
    assert_eq!(earlier, Command::Berth(Some(first().into())));
}

/// A charted depth without a tide is that of low water: a rode calculated from it would be short, so none
/// is published.
#[test]
fn without_a_tide_no_rode_is_published_from_a_charted_depth() {
    let mut scene = with(wide());
    scene.berth(place(0.0, 0.0));
    let planned = scene.picture().live().planned.unwrap();
    assert_eq!((planned.depth_by, planned.until), (DepthBy::Chart, None));
    assert_eq!(planned.rode_known(), None);
    assert!(planned.radius.is_some());
    // With a tide a rode is published.
    scene.tide(1.0, 3.0, 0.5);
    let planned = scene.picture().live().planned.unwrap();
    assert_eq!(planned.rode_known(), Some(planned.rode));
    // A figure that the crew entered stays.
    let mut asked = with(wide());
    let wishes = BerthWishes {
        rode: Metres::new(40.0),
        ..BerthWishes::default()
    };
    asked.berth(BerthOrder {
        position: place(0.0, 0.0),
        wishes,
    });
    let planned = asked.picture().live().planned.unwrap();
    assert_eq!(planned.rode_known(), Metres::new(40.0));
}

/// A stay of an hour that was entered with the berth plans for an hour; at anchor the watch looks as far ahead as it
/// is configured to.
#[test]
fn a_stay_typed_in_with_a_berth_does_not_shorten_the_outlook_at_anchor() {
    let catalogue = crate::tide::stations::Catalogue::bundled().unwrap();
    let boston = catalogue.find("noaa/8443970").unwrap();
    let forecast = crate::tide::Forecast::new(&catalogue, boston).unwrap();
    let stays = |stay: Option<Duration>| {
        let settings = WatchSettings {
            forecast: Some(forecast.clone()),
            stay: Some(Duration::from_hours(14)),
            ..settings()
        };
        let mut scene = Scene::of(settings, 0, Saved::default(), None);
        scene.run(20);
        scene.berth(BerthOrder {
            position: place(0.0, 0.0),
            wishes: BerthWishes {
                stay,
                ..BerthWishes::default()
            },
        });
        scene.run(2);
        let outlook = |scene: &Scene| scene.keeper.outlook(at(scene.second)).unwrap();
        let planned = outlook(&scene);
        assert!(matches!(scene.let_go(60.0), Outcome::Done(_)));
        scene.run(2);
        (planned, outlook(&scene))
    };
    let (short, anchored) = stays(Some(Duration::from_hours(1)));
    let (long, as_configured) = stays(None);
    let range = |tide: &crate::tackle::water::Tide| (tide.highest - tide.lowest).get();
    assert!(range(&short) + 1.0 < range(&long), "{short:?} {long:?}");
    assert_eq!(anchored.lowest, as_configured.lowest);
    assert_eq!(anchored.highest, as_configured.highest);
    assert!((range(&anchored) - range(&long)).abs() < 1e-9);
}
