//! The boat's own soundings: which ones are kept, how often they are handed over, and how they affect the
//! answers.

use super::*;
use crate::chart::own::{OwnSounding, ReducedBy};
use crate::watch::berth::{BerthOrder, DepthBy};

/// Under way over a bank, at two metres a second to the east, for this many seconds.
struct Voyage {
    scene: Scene,
    tide: Option<f64>,
    depth: f64,
    /// The sounder's last digit changes every second.
    lives: bool,
}

impl Voyage {
    fn new() -> Self {
        let mut scene = Scene::new();
        scene.heading = Bearing::from_degrees(90.0);
        Self {
            scene,
            tide: Some(1.0),
            depth: 4.0,
            lives: true,
        }
    }

    fn sail(&mut self, seconds: u64) {
        for _ in 0..seconds {
            self.scene.roller.east += 2.0;
            self.scene.step();
            self.speak();
        }
    }

    fn speak(&mut self) {
        if let Some(tide) = self.tide {
            let facts = vec![
                Fact::TideNow(Metres::new(tide)),
                Fact::TideHigh(Metres::new(3.0)),
                Fact::TideLow(Metres::new(0.5)),
            ];
            self.scene.report("tide.table", facts);
        }
        let ripple = if self.lives && self.scene.second.is_multiple_of(2) {
            0.05
        } else {
            0.0
        };
        let depth = Metres::new(self.depth + ripple);
        let facts = vec![
            Fact::DepthBelowSurface(depth),
            Fact::SpeedOverGround(Some(Speed::of(2.0))),
        ];
        self.scene.report("sounder.1", facts);
    }

    fn kept(&self) -> Vec<OwnSounding> {
        kept(&self.scene)
    }
}

fn kept(scene: &Scene) -> Vec<OwnSounding> {
    batches(scene).concat()
}

fn batches(scene: &Scene) -> Vec<Vec<OwnSounding>> {
    let batch = |output: &Output| match output {
        Output::KeepSoundings(batch) => Some(batch.clone()),
        _ => None,
    };
    scene.heard.iter().filter_map(batch).collect()
}

#[test]
fn soundings_along_the_track_are_reduced_by_the_tide_of_their_moment() {
    let mut voyage = Voyage::new();
    voyage.sail(300);
    voyage.tide = Some(1.5);
    voyage.depth = 4.5;
    voyage.sail(320);
    let kept = voyage.kept();
    // 1.2 km in squares of 5 m and slightly more; some corners are cut.
    assert!((180..320).contains(&kept.len()), "{}", kept.len());
    for sounding in &kept {
        // 4.0 m with 1.0 m of tide, 4.5 m with 1.5 m: the same bottom, except for the seconds of the
        // change.
        assert!((2.4..3.7).contains(&sounding.depth.get()), "{sounding:?}");
        assert_eq!(sounding.tide, ReducedBy::Server);
        // The default fix has about 2.5 m per coordinate, and she moves 3 m while the sounder
        // averages.
        assert!((4.0..16.0).contains(&sounding.doubt.get()), "{sounding:?}");
    }
    // 2.448 times 2.5 m in the plane (95 %), a quarter of 11.2 m across it, and those three metres.
    let doubt = kept.last().unwrap().doubt.get();
    assert!((doubt - (6.12_f64.hypot(2.8) + 3.0)).abs() < 0.2, "{doubt}");
    let even = kept
        .iter()
        .filter(|it| (it.depth.get() - 3.0).abs() < 0.11)
        .count();
    assert!(even > kept.len() - 5, "{even} of {}", kept.len());
    // They lie on her track: the centre of the boat is half a length behind the roller.
    let last = kept.iter().map(|it| first().distance_to(it.position).get());
    assert!(last.fold(0.0, f64::max) < 1240.0);
}

#[test]
fn a_sounding_with_a_missing_value_is_not_kept() {
    type Spoil = fn(&mut Voyage);
    let spoils: [(&str, Spoil); 5] = [
        ("no tide", |it| it.tide = None),
        ("too deep", |it| it.depth = 55.0),
        ("a tide that cannot be", |it| it.tide = Some(25.0)),
        ("fixes that have stopped", |_| {}),
        ("a sounder that may be stuck", |it| it.lives = false),
    ];
    for (what, spoil) in spoils {
        let mut voyage = Voyage::new();
        spoil(&mut voyage);
        if what == "fixes that have stopped" {
            // Her fixes stop; the last one is soon too old.
            voyage.scene.run(5);
            voyage.scene.seen = false;
        }
        voyage.sail(1300);
        let kept = voyage.kept();
        let most = match what {
            // Until the sounder has shown the same depth for ten minutes.
            "a sounder that may be stuck" => 330,
            "fixes that have stopped" => 4,
            // Before its first report.
            "too deep" => 1,
            _ => 0,
        };
        assert!(kept.len() <= most, "{what}: {}", kept.len());
    }
}

/// A night at anchor: each square is written once, and the card is written a few times.
#[test]
fn a_night_at_one_place_writes_each_square_once() {
    let mut scene = Scene::anchored();
    for minute in 0..240_u64 {
        scene.sheer(60, 30.0, 35.0);
        let facts = vec![
            Fact::TideNow(Metres::new(1.0 + 0.2 * (minute as f64 / 60.0).sin())),
            Fact::TideHigh(Metres::new(3.0)),
            Fact::TideLow(Metres::new(0.5)),
            Fact::DepthBelowSurface(Metres::new(8.0 + 0.05 * (minute % 2) as f64)),
        ];
        scene.report("tide.table", facts);
        for _ in 0..5 {
            scene.step();
            let depth = 8.0 + 0.05 * (scene.second % 2) as f64;
            scene.report(
                "sounder.1",
                vec![Fact::DepthBelowSurface(Metres::new(depth))],
            );
        }
    }
    let batches = batches(&scene);
    let all: Vec<OwnSounding> = batches.concat();
    let mut squares: Vec<_> = all.iter().map(OwnSounding::square).collect();
    squares.sort_unstable();
    squares.dedup();
    assert!(
        !squares.is_empty() && batches.len() <= 26,
        "{}",
        batches.len()
    );
    // The tide's 0.4 m make some of the squares shoaler now and then, each time by a decimetre.
    assert!(
        all.len() <= squares.len() * 5,
        "{} of {}",
        all.len(),
        squares.len()
    );
}

/// For a moment the clock is an hour ahead, and with it the tide. Waiting soundings are dropped, and none are taken for
/// ten minutes.
#[test]
fn setting_the_clock_drops_waiting_soundings_and_blocks_new_ones_for_ten_minutes() {
    let set_and_sailed = |seconds: u64| {
        let mut voyage = Voyage::new();
        voyage.sail(60);
        let second = voyage.scene.second;
        let ahead = at(second).utc.plus(Duration::from_hours(1));
        let wrong = Now::new(at(second).tick, ahead);
        voyage.scene.keeper.handle(wrong, Input::Timeout);
        voyage.sail(seconds);
        let end = at(voyage.scene.second);
        voyage.scene.keeper.handle(end, Input::Stopping);
        voyage.scene.drain();
        (second, voyage.kept())
    };
    assert_eq!(set_and_sailed(590).1, []);
    let (second, kept) = set_and_sailed(700);
    assert!((20..60).contains(&kept.len()), "{}", kept.len());
    let earliest = at(second + 600).utc;
    assert!(kept.iter().all(|it| it.at >= earliest));
}

/// Soundings that the crew removed do not come back from the waiting ones; the squares are sounded
/// again.
#[test]
fn after_soundings_were_removed_the_same_squares_are_handed_over_again() {
    let mut voyage = Voyage::new();
    let go = |voyage: &mut Voyage, depth: f64| {
        voyage.scene.roller.east = 0.0;
        voyage.depth = depth;
        voyage.sail(620);
        voyage.kept().len()
    };
    let first = go(&mut voyage, 3.0);
    // Deeper: nothing new to write.
    let second = go(&mut voyage, 4.0);
    assert!(second < first + first / 10, "{first}, {second}");
    let news = Input::Chart(ChartNews::Forgotten(false));
    let now = at(voyage.scene.second);
    voyage.scene.keeper.handle(now, news);
    let third = go(&mut voyage, 4.0);
    assert!(
        third > second + first * 8 / 10,
        "{first}, {second}, {third}"
    );
}

#[test]
fn stopping_the_watch_hands_over_waiting_soundings() {
    let mut voyage = Voyage::new();
    voyage.sail(60);
    assert!(voyage.kept().is_empty());
    voyage
        .scene
        .keeper
        .handle(at(voyage.scene.second), Input::Stopping);
    voyage.scene.drain();
    assert!(voyage.kept().len() > 15, "{}", voyage.kept().len());
}

/// A shoal that she sounded in a place without a chart; she returns after a restart and at a lower
/// tide.
#[test]
fn her_own_soundings_are_reported_on_her_return_without_a_chart() {
    let mut voyage = Voyage::new();
    voyage.depth = 3.6;
    voyage.sail(620);
    let sheet = Sheet::default().with_own(voyage.kept());
    let spot = voyage.kept()[40].position;
    let mut later = Scene::resumed(90_000, Saved::default(), None);
    later.roller = Plane::at(first()).offset(spot);
    later.run(20);
    later.charts = Some(sheet);
    let news = ChartNews::Sounded(true);
    later.keeper.handle(at(later.second), Input::Chart(news));
    let facts = vec![
        Fact::TideNow(Metres::new(2.0)),
        Fact::TideHigh(Metres::new(3.0)),
        Fact::TideLow(Metres::new(-0.5)),
    ];
    later.report("tide.table", facts);
    later.run(2);
    let said = match later.command(Command::Berth(Some(BerthOrder::from(spot)))) {
        Outcome::Done(said) => said,
        Outcome::Refused(why) => panic!("{why}"),
    };
    for wanted in [
        "sounded there before: 2.6 m",
        "this rode is for the shoalest sounding and may be TOO SHORT, sound the berth before letting go",
        "tide from the data server; no chart gives the depth",
        "2.1 m at low water",
        "; 0.2 m under the keel at low water, minimum 0.5 m: ",
        "own sounding 2.6 m on 2026-05-28, tide from the data server",
    ] {
        assert!(said.contains(wanted), "{wanted}: {said}");
    }
    let planned = later.keeper.picture(at(later.second)).planned.unwrap();
    assert_eq!(planned.depth_by, DepthBy::Soundings);
    assert!(planned.until.is_some());
    assert_eq!(planned.rode_known(), None);
    // A circle that the soundings only touch does not count as known.
    assert_eq!(planned.room_least, None);
    // She lets go there: the hazard is reported, based on her soundings.
    later.ordered(LetGo {
        rode: Metres::new(20.0),
        ..LetGo::default()
    });
    later.run(15);
    let message = later.message(Hazard::Shoaling);
    assert!(
        message.starts_with("shoaling where she could swing: 0.2 m under the keel at low water")
            && message.contains("own sounding 2.6 m on 2026-05-28"),
        "{message}"
    );
}

/// Without charts, deep soundings raise nothing: room to swing is not checked, as before.
#[test]
fn deep_soundings_without_a_chart_clear_nothing_and_raise_nothing() {
    let mut scene = Scene::new();
    scene.run(20);
    let sounding = OwnSounding {
        position: first(),
        depth: Metres::of(7.0),
        doubt: Metres::of(5.0),
        at: at(0).utc,
        tide: ReducedBy::Station("Tern Sound".to_owned()),
    };
    scene.charts = Some(Sheet::default().with_own(vec![sounding]));
    let news = ChartNews::Sounded(true);
    scene.keeper.handle(at(scene.second), Input::Chart(news));
    let said = scene.ordered(LetGo {
        rode: Metres::new(40.0),
        ..LetGo::default()
    });
    assert!(
        said.ends_with("no charts aboard: room to swing is not checked; the shoalest of the boat's own soundings there: 7 m on 2026-05-28, tide from Tern Sound; they cover only where she has been"),
        "{said}"
    );
    scene.run(60);
    assert_eq!(scene.state(Hazard::Shoaling), AlertState::Normal);
    assert!(!scene.notes().iter().any(|note| note.contains("NOT CLEAR")));
}

/// When soundings are handed over while she lies there, the chart is asked about her circle again, once for each
/// time.
#[test]
fn new_soundings_are_asked_for_once_each_time_they_are_handed_over() {
    let mut voyage = Voyage::new();
    voyage.scene.charts = Some(Sheet::default());
    let news = ChartNews::Sounded(true);
    voyage.scene.keeper.handle(at(0), Input::Chart(news));
    voyage.sail(20);
    voyage.scene.let_go(40.0);
    let asked = |scene: &Scene| {
        let questions = scene.heard.iter();
        questions
            .filter(|it| matches!(it, Output::AskChart(_)))
            .count()
    };
    for _ in 0..300 {
        voyage.scene.step();
        voyage.speak();
    }
    let before = asked(&voyage.scene);
    for _ in 0..600 {
        voyage.scene.step();
        voyage.speak();
    }
    let handed = batches(&voyage.scene).len();
    assert_eq!(handed, 1);
    assert!((1..=3).contains(&(asked(&voyage.scene) - before)));
}
