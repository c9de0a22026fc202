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
    let mut scene = over(None);
    assert!(matches!(scene.let_go(40.0), Outcome::Done(_)));
    scene.run_over(15, None);
    assert_eq!(
        scene.state(Hazard::Shoaling),
        AlertState::ActiveUnacknowledged
    );
    scene.run_over(60, None);
    assert!(scene.state(Hazard::Shoaling).is_active());
}

impl Scene {
    /// Seconds with this depth below the keel; `None`: the sounder is silent.
    fn run_over(&mut self, seconds: u64, below_keel: Option<f64>) {
        for _ in 0..seconds {
            let mut facts = self.facts();
            facts.retain(|fact| !matches!(fact, Fact::DepthBelowKeel(_)));
            facts.extend(below_keel.map(|depth| Fact::DepthBelowKeel(Metres::new(depth))));
            let seen = std::mem::replace(&mut self.seen, false);
            self.step();
            self.seen = seen;
            self.report("boat.1", facts);
        }
    }

    fn shoaling(&self) -> (Option<Priority>, String) {
        let alerts = self.keeper.alerts();
        let alert = alerts.iter().find(|it| it.hazard == Hazard::Shoaling);
        let priority = alert.map(|alert| alert.priority);
        (priority, self.message(Hazard::Shoaling))
    }
}

/// She is near the charted shoal, over this depth; `None`: the sounder has never shown one.
fn over(below_keel: Option<f64>) -> Scene {
    let mut scene = Scene::new();
    scene.run_over(20, below_keel);
    scene.charts = Some(narrow());
    scene.news(ChartNews::Kept(true));
    scene
}

/// By the chart she grounds at low water, by 0.9 m. The sounder shows 0.3 m under the keel now, and there should be half a
/// metre; or with a falling tide a metre and a half too little at low water, which is graver than the chart's 0.9 m.
#[test]
fn the_graver_of_chart_and_sounder_is_reported() {
    let by_chart = "shoaling where she could swing over ";
    for (below_keel, tide, priority, sounder) in [
        (6.1, None, Priority::Warning, false),
        (0.3, None, Priority::Alarm, true),
        (2.2, Some(3.0), Priority::Warning, false),
        (1.5, Some(3.0), Priority::Warning, true),
    ] {
        let mut scene = over(Some(below_keel));
        if let Some(tide) = tide {
            scene.tide(tide, 3.0, 0.5);
        }
        scene.let_go(40.0);
        scene.run_over(20, Some(below_keel));
        let (is, message) = scene.shoaling();
        assert_eq!(is, Some(priority), "{below_keel}: {message}");
        assert_eq!(!message.starts_with(by_chart), sounder, "{message}");
    }
}

/// Before the restart the sounder showed 0.3 m under the keel. It has been silent since then, and the chart's shoal is
/// no reason to call that less grave.
#[test]
fn a_sounder_s_alarm_stays_after_a_restart_without_the_sounder() {
    let mut scene = over(Some(0.3));
    scene.let_go(40.0);
    scene.run_over(20, Some(0.3));
    assert_eq!(scene.shoaling().0, Some(Priority::Alarm));
    let mut after = Scene::resumed(scene.second + 5, scene.keeper.saved(), None);
    after.charts = Some(narrow());
    after.news(ChartNews::Kept(true));
    after.run_over(60, None);
    assert_eq!(after.shoaling().0, Some(Priority::Alarm));
}

/// A minute and more without the sounder: a plan by its depth is no longer current, one by the chart is.
#[test]
fn a_plan_by_the_sounder_is_not_live_without_the_sounder() {
    for (charts, by) in [(None, DepthBy::Sounder), (Some(wide()), DepthBy::Chart)] {
        let mut scene = Scene::new();
        scene.run_over(20, Some(6.1));
        scene.news(ChartNews::Kept(charts.is_some()));
        scene.charts = charts;
        scene.berth(place(0.0, 0.0));
        scene.run_over(5, Some(6.1));
        let live = |scene: &Scene| scene.picture().live().planned.map(|it| it.depth_by);
        assert_eq!(live(&scene), Some(by));
        scene.run_over(180, None);
        let wanted = (by == DepthBy::Chart).then_some(by);
        assert_eq!(live(&scene), wanted, "{by:?}");
    }
}

/// Nothing but the chart has shown the shoal. Another chart does not.
#[test]
fn a_chart_s_alarm_ends_with_the_shoal_on_the_chart() {
    let mut scene = over(None);
    scene.let_go(40.0);
    scene.run_over(15, None);
    assert!(scene.state(Hazard::Shoaling).is_active());
    scene.charts = Some(wide());
    scene.news(ChartNews::Kept(true));
    scene.run_over(60, None);
    assert!(!scene.state(Hazard::Shoaling).is_active());
}

/// The sounder shows deep water for three seconds, and then a decimetre more than the half metre that there should be.
#[test]
fn a_chart_s_alarm_ends_although_the_sounder_soon_shows_little_water() {
    let mut scene = over(None);
    scene.let_go(40.0);
    scene.run_over(15, None);
    scene.charts = Some(wide());
    scene.news(ChartNews::Kept(true));
    scene.run_over(3, Some(6.1));
    scene.run_over(60, Some(0.6));
    assert!(!scene.state(Hazard::Shoaling).is_active());
}

/// The chart's shoal is graver. Then it goes, but at low water there is too little for the sounder too. The alarm stays
/// when the sounder is silent.
#[test]
fn the_sounder_s_alarm_does_not_end_with_the_shoal_on_the_chart() {
    let mut scene = over(Some(2.2));
    scene.tide(3.0, 3.0, 0.5);
    scene.let_go(40.0);
    scene.run_over(20, Some(2.2));
    let by_chart = "shoaling where she could swing over ";
    assert!(scene.shoaling().1.starts_with(by_chart));
    scene.charts = Some(wide());
    scene.news(ChartNews::Kept(true));
    scene.run_over(15, Some(2.2));
    assert!(scene.state(Hazard::Shoaling).is_active());
    scene.run_over(60, None);
    assert!(scene.state(Hazard::Shoaling).is_active());
}

/// A card with charts that is taken out does not make the water deeper.
#[test]
fn a_chart_s_alarm_stays_when_the_charts_are_gone_and_there_is_no_sounder() {
    let mut scene = over(None);
    scene.let_go(40.0);
    scene.run_over(15, None);
    scene.charts = None;
    scene.news(ChartNews::Kept(false));
    scene.run_over(60, None);
    assert!(scene.state(Hazard::Shoaling).is_active());
}
