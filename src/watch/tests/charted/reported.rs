//! When the crew hears that there is no room to swing.

use super::*;

fn told(scene: &Scene) -> usize {
    let notes = scene.notes();
    notes.iter().filter(|it| it.contains("NOT CLEAR")).count()
}

/// The circle stays as it is, so there is nothing more to report.
#[test]
fn a_circle_that_does_not_clear_is_reported_once() {
    let mut scene = with(narrow());
    scene.let_go(40.0);
    scene.run(60);
    assert_eq!(told(&scene), 1);
}

/// Three metres more of rode: the answer for the circle before is still in use, but it is not news.
#[test]
fn a_new_circle_is_reported_only_when_the_chart_has_answered_for_it() {
    let mut scene = with(narrow());
    scene.let_go(40.0);
    scene.run(5);
    scene.charts = None;
    scene.command(Command::RodeOut(Metres::of(43.0)));
    scene.run(5);
    assert_eq!(told(&scene), 1);
    let question = scene.heard.iter().rev().find_map(|output| match output {
        Output::AskChart(question) => Some(*question),
        _ => None,
    });
    let answer = question.unwrap().put_to(&narrow());
    scene.news(ChartNews::Said(Box::new(answer)));
    assert_eq!(told(&scene), 2);
}
