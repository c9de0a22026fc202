//! The boat's own soundings against an invented chart.

use super::*;
use crate::chart::own::{OwnSounding, ReducedBy};
use crate::speech::Language;

fn sounding(bearing: f64, distance: f64, depth: f64) -> OwnSounding {
    OwnSounding {
        position: BAY.moved(Bearing::from_degrees(bearing), Metres::of(distance)),
        depth: Metres::of(depth),
        doubt: Metres::of(6.0),
        at: "2026-05-03T21:30:00Z".parse().unwrap(),
        tide: ReducedBy::Station("Tern Sound".to_owned()),
    }
}

/// A depth area of 5 to 10 m.
fn deep() -> Sheet {
    let features = [depth(BAY, 5.0, 10.0, WIDE), covered(BAY, WIDE)];
    Sheet::of(vec![cell("BAY", Some(20_000), &features)])
}

fn clearance(sheet: Sheet, soundings: Vec<OwnSounding>) -> Clearance {
    sheet
        .with_own(soundings)
        .clearance(about(BAY, 50.0), &needs())
}

#[test]
fn a_shoaler_sounding_governs_and_says_its_day_and_tide() {
    let answer = clearance(
        deep(),
        vec![sounding(90.0, 30.0, 2.0), sounding(200.0, 20.0, 7.0)],
    );
    assert_eq!(answer.findings, [Finding::MarginShort]);
    let least = answer.least.as_ref().unwrap();
    assert_eq!(least.depth, Some(Metres::of(2.0)));
    // 2.0 m and 0.2 m of tide under a draught of 1.9 m.
    assert!((least.under_keel.unwrap().get() - 0.3).abs() < 1e-9);
    // It counts six metres nearer than its position, because its position may be off by that much.
    assert!((least.distance.get() - 24.0).abs() < 0.01);
    assert_eq!(
        answer.reasons[0],
        "0.3 m under the keel at low water, minimum 0.5 m: own sounding 2 m on 2026-05-03, tide from Tern Sound, 24 m at 090° from the centre"
    );
    let own = answer.soundings.unwrap();
    assert_eq!((own.count, own.governs), (2, true));
    let danger = answer.nearest_danger.unwrap();
    assert_eq!((danger.class, danger.inside), ("own", true));
    // The soundings cover no area: the shares are the chart's.
    assert_eq!(answer.share_too_shoal, 0.0);
    assert!(answer.cautions.iter().any(|it| it.contains("2 squares of 5 m in the circle, the shoalest 2 m on 2026-05-03, tide from Tern Sound; they cover only where the boat has been")), "{:?}", answer.cautions);
}

/// The watch reports what the chart room wrote, own soundings included, in the crew's language.
#[test]
fn own_soundings_are_reported_in_the_crew_s_language() {
    let needs = Needs {
        language: Language::German,
        ..needs()
    };
    let answer = deep()
        .with_own(vec![sounding(90.0, 30.0, 2.0)])
        .clearance(about(BAY, 50.0), &needs);
    let [reason] = &answer.reasons[..] else {
        panic!("{:?}", answer.reasons)
    };
    for part in [
        "0,3 m ",
        " Minimum 0,5 m: eigene Lotung 2 m am 2026-05-03, Tide von Tern Sound, ",
        " 24 m in 090°",
    ] {
        assert!(reason.contains(part), "{part}: {reason}");
    }
}

#[test]
fn a_deeper_sounding_makes_no_charted_depth_deeper() {
    let without = clearance(deep(), Vec::new());
    let with = clearance(deep(), vec![sounding(90.0, 10.0, 9.0)]);
    assert_eq!(with.least, without.least);
    assert!(with.clears);
    assert!(!with.soundings.unwrap().governs);
    let there = deep()
        .with_own(vec![sounding(90.0, 3.0, 7.0)])
        .depth_at(BAY);
    let there = there.unwrap();
    assert_eq!(
        (there.least, there.most),
        (Metres::of(5.0), Some(Metres::of(10.0)))
    );
    // A shoaler one makes it shoaler.
    let there = deep()
        .with_own(vec![sounding(90.0, 3.0, 3.2)])
        .depth_at(BAY);
    let there = there.unwrap();
    assert_eq!(
        (there.least, there.most),
        (Metres::of(3.2), Some(Metres::of(10.0)))
    );
    assert_eq!(there.sounded.unwrap().depth, Metres::of(3.2));
    // Farther off, it no longer applies to the place.
    let there = deep()
        .with_own(vec![sounding(90.0, 11.0, 3.2)])
        .depth_at(BAY);
    assert_eq!(there, deep().depth_at(BAY));
}

#[test]
fn land_is_less_than_any_sounding() {
    let land = feature(
        r#"{"OBJL":71}"#,
        &square(BAY, [20.0, -100.0], [100.0, 100.0]),
    );
    let features = [depth(BAY, 5.0, 10.0, WIDE), land, covered(BAY, WIDE)];
    let sheet = Sheet::of(vec![cell("BAY", Some(20_000), &features)]);
    let answer = clearance(sheet, vec![sounding(270.0, 10.0, -0.4)]);
    assert_eq!(answer.least.unwrap().depth, None);
    assert!(!answer.soundings.unwrap().governs);
}

#[test]
fn without_a_chart_they_cover_the_track_and_clear_nothing() {
    let soundings = vec![sounding(0.0, 2.0, 6.0), sounding(0.0, 8.0, 6.8)];
    let sheet = Sheet::default().with_own(soundings);
    let answer = sheet.clearance(about(BAY, 50.0), &needs());
    assert!(!answer.clears);
    assert_eq!(answer.findings, [Finding::NotCovered]);
    assert_eq!(answer.share_not_covered, 1.0);
    assert_eq!(answer.least.as_ref().unwrap().depth, Some(Metres::of(6.0)));
    assert_eq!(
        RoomTold::of(&answer, &needs().wording()).least_at(Metres::ZERO),
        None
    );
    let there = sheet.depth_at(BAY).unwrap();
    assert_eq!(
        (there.least, there.most, there.cell),
        (Metres::of(6.0), None, None)
    );
}

/// Only the shoalest sounding of each square is kept: soundings never show the greatest depth.
#[test]
fn soundings_never_supply_a_deep_bound_that_the_chart_lacks() {
    let open = feature(r#"{"OBJL":42,"DRVAL1":5}"#, &square(BAY, WIDE[0], WIDE[1]));
    let features = [open, covered(BAY, WIDE)];
    let sheet = Sheet::of(vec![cell("BAY", Some(20_000), &features)]);
    assert!(sheet.depth_at(BAY).unwrap().is_open());
    let sheet = sheet.with_own(vec![sounding(0.0, 2.0, 8.0)]);
    let there = sheet.depth_at(BAY).unwrap();
    assert_eq!((there.least, there.most), (Metres::of(5.0), None));
    assert!(there.is_open());
}

#[test]
fn a_sounding_that_may_lie_in_the_circle_counts_and_one_beyond_its_doubt_does_not() {
    let inside = |distance| {
        let answer = clearance(deep(), vec![sounding(45.0, distance, 1.0)]);
        let danger = answer.nearest_danger.unwrap();
        (answer.soundings.is_some(), danger.inside)
    };
    assert_eq!(inside(55.9), (true, true));
    assert_eq!(inside(56.1), (false, false));
    assert_eq!(inside(1500.0), (false, false));
    // A sector on the other side.
    let sheet = deep().with_own(vec![sounding(45.0, 30.0, 1.0)]);
    let away = about(BAY, 50.0)
        .between(Bearing::from_degrees(180.0), Bearing::from_degrees(270.0))
        .unwrap();
    assert_eq!(sheet.clearance(away, &needs()).soundings, None);
}

/// Whatever she has sounded anywhere, and whatever the chart has: no depth is deeper with the soundings than without.
#[test]
fn no_depth_is_deeper_with_soundings_than_without() {
    let mut state = 7_u64;
    let mut next = |below: f64| {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        (state >> 33) as f64 / (1_u64 << 31) as f64 * below
    };
    for _ in 0..200 {
        let soundings: Vec<OwnSounding> = (0..20)
            .map(|_| sounding(next(360.0), next(120.0), next(12.0) - 1.0))
            .collect();
        let (bare, with) = (deep(), deep().with_own(soundings));
        let least = |sheet: &Sheet| {
            let answer = sheet.clearance(about(BAY, 50.0), &needs());
            answer.least.unwrap().depth.unwrap()
        };
        assert!(least(&with) <= least(&bare));
        let (a, b) = (with.depth_at(BAY).unwrap(), bare.depth_at(BAY).unwrap());
        assert!(a.least <= b.least && a.most <= b.most);
    }
}
