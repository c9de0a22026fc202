//! Instruments that contradict one another, and what they report when they have lost what they
//! measure.

use super::*;

/// Seconds from the first metre of a drag at this speed until it is reported, while a source reports another speed over
/// the ground all the time.
fn drag_told_after(speed: f64, stuck: Option<(&str, f64)>) -> u64 {
    let mut scene = Scene::anchored();
    for second in 1..=900 {
        if let Some((speaker, shown)) = stuck {
            let facts = vec![
                Fact::SpeedOverGround(Some(Speed::of(shown))),
                Fact::CourseOverGround(Some(Bearing::from_degrees(second as f64))),
            ];
            scene.report(speaker, facts);
        }
        scene.lie(30.0 + speed * second as f64);
        scene.step();
        if scene.state(Hazard::Dragging).is_active() {
            return second;
        }
    }
    panic!("the drag is not told");
}

#[test]
fn a_speed_that_is_stuck_does_not_hide_a_drag() {
    for speed in [0.5, 1.0] {
        let alone = drag_told_after(speed, None);
        assert_eq!(drag_told_after(speed, Some(("log.0", 0.0))), alone);
        // The receiver contradicts itself: that lowers the certainty and delays the alarm by a minute or two, not ten.
        // A speed that is not quite zero looks alive, so fixes that run away from it are a reflection for a while.
        for (shown, late) in [(0.0, 60), (0.05, 120)] {
            let told = drag_told_after(speed, Some(("boat.1", shown)));
            assert!(
                told <= alone + late,
                "{speed}, {shown}: {told} s, {alone} s without it"
            );
        }
    }
}

#[test]
fn positions_and_speed_that_contradict_each_other_are_reported() {
    let mut scene = Scene::anchored();
    for second in 0..100 {
        let rest = vec![Fact::SpeedOverGround(Some(Speed::ZERO))];
        scene.report("boat.1", rest);
        scene.lie(30.0 + f64::from(second));
        scene.step();
    }
    let alerts = scene.keeper.alerts();
    let told = alerts.iter().find(|a| a.hazard == Hazard::Position);
    let told = &told.unwrap().message;
    assert!(told.starts_with("position in doubt since "), "{told}");
    assert!(told.contains("trust neither"), "{told}");
}

fn sound(scene: &mut Scene, below_transducer: Option<f64>) {
    let transducer = Metres::of(0.5);
    let depth = below_transducer.and_then(Metres::new);
    let mut facts = vec![
        Fact::DepthBelowTransducer(depth),
        Fact::SurfaceToTransducer(Some(transducer)),
    ];
    facts.extend(depth.map(|depth| Fact::DepthBelowSurface(Some(depth + transducer))));
    scene.report("nmea.SD", facts);
    scene.step();
}

/// `$SDDPT,0.0,0.5,` and `$SDDPT,---,0.5,` as the data server passes them on, from 6.6 m under the keel.
#[test]
fn a_sounder_that_says_zero_raises_nothing() {
    let mut scene = Scene::anchored();
    for _ in 0..60 {
        sound(&mut scene, Some(8.0));
    }
    for _ in 0..600 {
        sound(&mut scene, Some(0.0));
    }
    assert!(!scene.raised(Hazard::Shoaling));
}

/// A reported shoal stands when the bottom is lost, but the sentence gives the time of the last
/// sounding; and the limit in the sentence is the crew's.
#[test]
fn a_standing_shoal_names_the_margin_and_the_time_of_the_sounding() {
    let mut scene = Scene::anchored();
    for decimetre in (18..=80).rev() {
        for _ in 0..2 {
            sound(&mut scene, Some(f64::from(decimetre) / 10.0));
        }
    }
    for _ in 0..60 {
        sound(&mut scene, Some(1.8));
    }
    let told = |scene: &Scene| {
        let alerts = scene.keeper.alerts();
        let shoal = alerts.iter().find(|a| a.hazard == Hazard::Shoaling);
        shoal.unwrap().message.clone()
    };
    assert_eq!(
        told(&scene),
        "shoaling: 0.4 m under the keel, minimum 0.5 m; check sounder and tide, move to deeper water"
    );
    for _ in 0..60 {
        scene.report("nmea.SD", vec![Fact::DepthBelowSurface(None)]);
        scene.second += 1;
        scene.keeper.handle_timeout(at(scene.second));
    }
    let lost = told(&scene);
    assert!(
        lost.starts_with("shoaling: 0.4 m under the keel when last sounded at "),
        "{lost}"
    );
}
