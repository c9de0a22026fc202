//! What is marked, and what is refused.

use super::*;
use crate::watch::drag::Origin;

#[test]
fn the_mark_lies_under_the_roller_not_under_the_antenna() {
    let mut scene = Scene::new();
    scene.run(20);
    let Outcome::Done(said) = scene.let_go(40.0) else {
        panic!("refused")
    };
    let mark = scene.keeper.saved().mark.unwrap();
    assert!(mark.position.distance_to(first()).get() < 0.1);
    // 6.1 m under the keel and 1.9 m of draught: 8 m of water.
    assert!((mark.depth.unwrap().get() - 8.0).abs() < 1e-9);
    assert!(
        said.ends_with("40 m of rode to be veered, in 8.0 m of water"),
        "{said}"
    );
}

/// When the anchor is let go a moment too early, the reply says where the mark lies, and how
/// uncertain it is.
#[test]
fn without_a_heading_letting_go_says_that_the_mark_lies_under_the_antenna() {
    let mut scene = Scene::new();
    scene.seen = false;
    scene.second += 1;
    let facts = vec![
        Fact::DepthBelowKeel(Some(Metres::of(6.1))),
        Fact::Position(Some(first())),
    ];
    scene.report("boat.1", facts);
    let said = scene.ordered(LetGo {
        rode: Metres::new(40.0),
        ..LetGo::default()
    });
    let wanted = "; there is no heading, so this is the position of the GPS antenna, and the anchor may lie 9.1 m from it";
    assert!(said.ends_with(wanted), "{said}");
}

/// At a knot she makes 5 m in ten seconds: 3.5 m in each coordinate. The error of the fix adds to it, and 2.448 times the
/// deviation covers 95 % (Rayleigh distribution).
#[test]
fn a_mark_made_from_an_old_position_is_doubtful_and_the_answer_says_so() {
    let after = |seconds: u64| {
        let mut scene = Scene::new();
        scene.run(20);
        scene.seen = false;
        scene.second += seconds;
        let said = scene.ordered(LetGo {
            rode: Metres::new(40.0),
            ..LetGo::default()
        });
        let mark = scene.keeper.saved().mark.unwrap();
        (said, mark.doubt.get())
    };
    let (said, doubt) = after(8);
    assert!(said.ends_with(" of water"), "{said}");
    let (said, old) = after(10);
    let wanted = format!(
        "; the position is 10 s old, so the mark may be off by {:.0} m (95 %): correct it with `mark` if you know the place better",
        2.448 * old
    );
    assert!(said.ends_with(&wanted), "{said}");
    let expected = doubt.hypot(5.0 / std::f64::consts::SQRT_2);
    assert!((old - expected).abs() < 1e-9, "{old} {expected}");
}

/// The command `mark` corrects the first mark. The position of the bow says nothing about a line to the shore.
#[test]
fn an_old_position_is_pointed_out_for_each_kind_of_mooring() {
    let advice = ": correct it with `mark` if you know the place better";
    for (kind, advised) in [
        (MooringKind::SecondAnchor, false),
        (MooringKind::Mooring, true),
        (MooringKind::ShoreLine, true),
    ] {
        let mut scene = Scene::new();
        scene.run(20);
        if kind == MooringKind::SecondAnchor {
            scene.let_go(40.0);
        }
        scene.seen = false;
        scene.second += 10;
        let said = scene.ordered(LetGo {
            kind,
            rode: Metres::new(30.0).filter(|_| kind.has_rode()),
            radius: Metres::new(30.0).filter(|_| !kind.has_rode()),
            ..LetGo::default()
        });
        let old = "; the position is 10 s old, so the mark may be off by ";
        assert!(said.contains(old), "{said}");
        assert_eq!(said.contains(advice), advised, "{said}");
        assert!(!said.contains("GPS antenna"), "{said}");
    }
}

#[test]
fn refusals_say_why_and_change_nothing() {
    let mut scene = Scene::new();
    scene.seen = false;
    scene.run(5);
    let before = scene.keeper.saved();
    assert_eq!(
        refusal(scene.let_go(40.0)),
        "no usable position to mark the anchor with (no data from the GPS); give `position`, or let go again when there is a fix"
    );
    assert_eq!(
        refusal(scene.command(Command::RodeOut(Metres::of(40.0)))),
        "not at anchor: `letGo` comes first"
    );
    assert_eq!(
        refusal(scene.command(Command::Weigh)),
        "not at anchor: `letGo` comes first"
    );
    assert_eq!(
        refusal(scene.command(Command::Acknowledge(None))),
        "there is no alert to acknowledge or silence"
    );
    scene.seen = true;
    scene.run(5);
    assert_eq!(
        refusal(scene.let_go(8.5)),
        "`rode` = 8.5 m does not reach the bottom: 8.0 m of water and the bow roller 1.2 m up; veer more"
    );
    let far = LetGo {
        position: Some(first().moved(Bearing::from_degrees(0.0), Metres::of(2300.0))),
        ..LetGo::default()
    };
    assert_eq!(
        refusal(scene.command(Command::LetGo(far))),
        "`position` lies 2300 m from the boat, the limit is 160 m; check latitude and longitude, west and south are negative"
    );
    assert_eq!(scene.keeper.saved(), before);
}

#[test]
fn missing_values_are_assumed_and_mentioned() {
    let mut scene = Scene::new();
    scene.run(20);
    let Outcome::Done(said) = scene.command(Command::LetGo(LetGo::default())) else {
        panic!("refused")
    };
    assert!(
        said.contains("rode not entered: assuming all 60 m is out"),
        "{said}"
    );
    let remarks = scene.keeper.picture(at(scene.second)).remarks;
    assert!(remarks[0].starts_with("rode not entered"), "{remarks:?}");
}

#[test]
fn letting_go_says_whether_anybody_ashore_would_be_called() {
    for (phones, caution) in [
        (Phones::None, ""),
        (Phones::Working, ""),
        (
            Phones::Doubtful("skipper".to_owned()),
            "; no phone channel has worked lately (skipper): alerts may reach displays aboard only",
        ),
        (
            Phones::Lost("skipper".to_owned()),
            "; no phone channel has worked lately (skipper): alerts may reach displays aboard only",
        ),
    ] {
        let mut scene = Scene::new();
        scene.run(20);
        scene.keeper.handle(at(scene.second), Input::Phones(phones));
        let Outcome::Done(said) = scene.let_go(40.0) else {
            panic!("refused")
        };
        let bare = "40 m of rode to be veered, in 8.0 m of water";
        assert!(said.ends_with(&format!("{bare}{caution}")), "{said}");
    }
}

/// A receiver that reports every twelve seconds: its last report is as fresh as it can be.
#[test]
fn a_slow_receiver_s_last_fix_is_good_enough_to_mark_with() {
    let mut scene = Scene::new();
    for _ in 0..20 {
        scene.seen = true;
        scene.step();
        scene.seen = false;
        scene.run(11);
    }
    let outcome = scene.let_go(40.0);
    assert!(matches!(outcome, Outcome::Done(_)), "{outcome:?}");
    // The same age is too old for a receiver that reports every second.
    let mut scene = Scene::new();
    scene.run(60);
    scene.seen = false;
    scene.run(11);
    let outcome = scene.let_go(40.0);
    assert!(matches!(outcome, Outcome::Refused(_)), "{outcome:?}");
}

/// A typed position and a mark made with a fix are trusted differently: the kind of mark survives a
/// restart.
#[test]
fn the_origin_of_a_mark_is_saved_with_it() {
    let mut scene = Scene::anchored();
    let origin = |scene: &Scene| scene.keeper.saved().mark.unwrap().origin;
    assert_eq!(origin(&scene), Some(Origin::Fix));
    scene.ordered(LetGo {
        kind: MooringKind::SecondAnchor,
        position: Some(first().moved(Bearing::from_degrees(90.0), Metres::of(20.0))),
        ..LetGo::default()
    });
    let second = scene.keeper.saved().manner.second.unwrap();
    assert_eq!(second.origin, Some(Origin::Given));
    assert_eq!(origin(&scene), Some(Origin::Fix));
    let north = first().moved(Bearing::from_degrees(0.0), Metres::of(10.0));
    scene.command(Command::CorrectMark(north));
    let saved = scene.keeper.saved();
    assert_eq!(saved.mark.unwrap().origin, Some(Origin::Given));
    let text = serde_json::to_string(&saved).unwrap();
    let again = Scene::resumed(scene.second, serde_json::from_str(&text).unwrap(), None);
    assert_eq!(again.keeper.saved().mark, saved.mark);
    assert_eq!(again.keeper.saved().manner.second, saved.manner.second);
}

/// 95 of 100 fixes lie within sqrt(-2 ln 0.05) = 2.448 deviations in the plane (Rayleigh's distribution), and the error of
/// a receiver is set to 2.5 m.
#[test]
fn the_published_error_of_a_position_is_that_of_95_in_100() {
    let mut scene = Scene::new();
    scene.run(60);
    let picture = scene.keeper.picture(at(scene.second));
    let error = picture.fix_uncertainty.unwrap().get();
    assert!((error - 6.12).abs() < 0.05, "{error}");
}
