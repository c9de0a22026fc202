//! Which depths and lengths count: of the chart, of the sounder and of the rode aboard.

use super::*;
use crate::watch::charted::About;

/// 30 m of rode stretched by 2 %, over 8.0 m of water and 1.2 m of height: 29.2 m of reach. At low water there are
/// 2.5 m less, and she reaches farther: 29.8 m. Both with the boat's 11.2 m behind it.
#[test]
fn the_circle_she_lies_in_is_compared_as_wide_as_it_is_at_low_water() {
    let mut scene = with(wide());
    assert!(matches!(scene.let_go(30.0), Outcome::Done(_)));
    let asked = |scene: &mut Scene| {
        scene.run(2);
        let question = scene.heard.iter().rev().find_map(|output| match output {
            Output::AskChart(question) if question.about == About::Anchor => Some(*question),
            _ => None,
        });
        question.unwrap().radius.unwrap().get()
    };
    let reach = |height: f64| ((30.0_f64 * 1.02).powi(2) - height.powi(2)).sqrt() + 11.2;
    let without = asked(&mut scene);
    assert!((without - reach(9.2)).abs() < 0.1, "{without}");
    scene.tide(3.0, 3.0, 0.5);
    let at_low_water = asked(&mut scene);
    assert!((at_low_water - reach(6.7)).abs() < 0.1, "{at_low_water}");
}

/// 99 m of rode are planned over 13 m of depth.
#[test]
fn a_plan_for_more_rode_than_there_is_aboard_is_pointed_out() {
    for (aboard, enough) in [(60.0, false), (150.0, true)] {
        let mut settings = settings();
        settings.plan.tackle.aboard = Some(Metres::of(aboard));
        let mut scene = Scene::of(settings, 0, Saved::default(), None);
        scene.run(20);
        scene.charts = Some(wide());
        scene.news(ChartNews::Kept(true));
        scene.tide(1.0, 3.0, 0.5);
        let said = scene.berth(place(0.0, 0.0));
        assert_eq!(!said.contains("NOT ENOUGH ABOARD: 60 m"), enough, "{said}");
    }
}

/// The sounder has never shown a depth.
#[test]
fn a_shoal_on_the_chart_is_reported_without_a_sounder() {
    let mut scene = Scene::new();
    scene.seen = false;
    let run = |scene: &mut Scene, seconds: u64| {
        for _ in 0..seconds {
            let mut facts = scene.facts();
            facts.retain(|fact| !matches!(fact, Fact::DepthBelowKeel(_)));
            scene.step();
            scene.report("boat.1", facts);
        }
    };
    run(&mut scene, 20);
    scene.charts = Some(narrow());
    scene.news(ChartNews::Kept(true));
    assert!(matches!(scene.let_go(40.0), Outcome::Done(_)));
    run(&mut scene, 15);
    assert_eq!(
        scene.state(Hazard::Shoaling),
        AlertState::ActiveUnacknowledged
    );
    run(&mut scene, 60);
    assert!(scene.state(Hazard::Shoaling).is_active());
}
