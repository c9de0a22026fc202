//! The position leaps as no boat can.

use super::*;
use crate::watch::fix::intake::leap::HELD;

/// One second in which the receiver shows her so far down-wind of where she lies, and no speed.
fn second(scene: &mut Scene, off: f64) {
    scene.report("boat.1", vec![Fact::SpeedOverGround(Some(Speed::ZERO))]);
    scene.lie(30.0 + off);
    scene.step();
}

fn at_rest() -> Scene {
    let mut scene = Scene::anchored();
    for _ in 0..60 {
        second(&mut scene, 0.0);
    }
    scene
}

/// The longer one leads out of the calculated circle.
#[test]
fn a_leap_for_half_a_minute_is_shown_at_once_and_is_no_drag() {
    for off in [40.0, 45.0] {
        let mut scene = at_rest();
        second(&mut scene, off);
        let alerts = scene.keeper.alerts();
        let told: Vec<_> = alerts.iter().map(|a| (a.hazard, a.priority)).collect();
        assert_eq!(told, [(Hazard::Position, Priority::Caution)]);
        assert_eq!(
            scene.message(Hazard::Position),
            format!(
                "position jumped by {off} m, faster than a boat moves; drag is judged without the jump for 45 s at most"
            )
        );
        for _ in 1..30 {
            second(&mut scene, off);
            let message = scene.message(Hazard::Position);
            assert!(message.starts_with("position jumped by "), "{message}");
        }
        for _ in 0..15 {
            second(&mut scene, 0.0);
        }
        assert_eq!(scene.state(Hazard::Position), AlertState::Normal);
        for _ in 0..300 {
            second(&mut scene, 0.0);
        }
        for hazard in [Hazard::Dragging, Hazard::SwingExceeded] {
            assert!(!scene.raised(hazard), "{hazard:?}");
        }
    }
}

/// The crew's own circle waits for nothing: shallows and neighbours lie beyond it.
#[test]
fn a_place_that_stays_is_judged_after_the_stated_time() {
    for circle in [None, Metres::new(45.0)] {
        let mut scene = at_rest();
        scene.command(Command::MaxRadius(circle));
        let told = (0..300_u64).find(|_| {
            second(&mut scene, 40.0);
            scene.raised(Hazard::Dragging) || scene.raised(Hazard::SwingExceeded)
        });
        let told = told.unwrap();
        let held = if circle.is_some() { 0 } else { HELD.as_secs() };
        assert!((held..held + 20).contains(&told), "{told}");
    }
}

/// A drag of half a knot begins while the position has leapt up-wind: it is reported as if it had not.
#[test]
fn a_drag_is_not_held_off_by_a_leap() {
    let told = |leap: f64| {
        let mut scene = at_rest();
        (0..400_u64).find(|gone| {
            let metres = 0.25 * *gone as f64;
            let velocity = vec![
                Fact::SpeedOverGround(Some(Speed::of(0.25))),
                Fact::CourseOverGround(Some(scene.wind_from.reversed())),
            ];
            scene.report("boat.1", velocity);
            let leapt = if (10..50).contains(gone) { leap } else { 0.0 };
            scene.lie(30.0 + metres + leapt);
            scene.step();
            scene.raised(Hazard::Dragging)
        })
    };
    let plain = told(0.0).unwrap();
    for leap in [-40.0, 40.0] {
        let with = told(leap).unwrap();
        assert!(with <= plain + 5, "{leap}: {with} s, {plain} s without");
    }
}

#[test]
fn a_receiver_that_leaps_again_and_again_is_an_alarm_about_the_position() {
    let mut scene = at_rest();
    let told = (0..600_u64).find(|gone| {
        second(&mut scene, if gone % 60 < 10 { 40.0 } else { 0.0 });
        let alerts = scene.keeper.alerts();
        alerts
            .iter()
            .any(|a| a.hazard == Hazard::Position && a.priority == Priority::Alarm)
    });
    assert_eq!(told, Some(120));
    assert!(
        scene
            .message(Hazard::Position)
            .starts_with("position in doubt: it jumped 3 times within 10 min; ")
    );
    assert!(!scene.raised(Hazard::Dragging));
    for _ in 0..700 {
        second(&mut scene, 0.0);
    }
    assert_eq!(
        scene.state(Hazard::Position),
        AlertState::RectifiedUnacknowledged
    );
}

/// The receiver goes quiet in the middle of a leap: nothing is seen, and that is an alarm.
#[test]
fn silence_after_a_leap_is_an_alarm() {
    let mut scene = at_rest();
    for _ in 0..40 {
        second(&mut scene, 40.0);
    }
    scene.seen = false;
    let told = (0..300_u64).find(|_| {
        // The server itself is heard.
        let wind = Fact::WindSpeedTrue(Some(Speed::from_knots(12.0)));
        scene.report("vane.1", vec![wind]);
        scene.run(1);
        let alerts = scene.keeper.alerts();
        alerts
            .iter()
            .any(|a| a.hazard == Hazard::Position && a.priority == Priority::Alarm)
    });
    assert!(
        told.is_some_and(|told| (58..=62).contains(&told)),
        "{told:?}"
    );
    let message = scene.message(Hazard::Position);
    assert!(message.starts_with("no "), "{message}");
}

/// After a gap she may truly be elsewhere: nothing is held.
#[test]
fn a_place_after_a_gap_is_judged_at_once() {
    let mut scene = at_rest();
    scene.seen = false;
    scene.run(40);
    scene.seen = true;
    let told = (0..60_u64).find(|_| {
        second(&mut scene, 60.0);
        scene.raised(Hazard::Dragging)
    });
    assert!(told.is_some_and(|told| told <= 15), "{told:?}");
}
