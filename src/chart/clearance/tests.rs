//! Invented charts of an invented bay, with figures from plane geometry and Karney's geodesics.

use super::*;
use crate::chart::cell::Cell;
use crate::chart::faults::Faults;
use crate::chart::object::About;
use crate::chart::parse::Reading;
use crate::speech::Language;
use crate::units::Angle;

mod own;

const BAY: Position = Position::of(59.85, 23.26);

fn feature(properties: &str, geometry: &str) -> String {
    format!("{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{geometry}}}\n")
}

/// A square whose sides lie this many metres east and north of a place.
fn square(centre: Position, low: [f64; 2], high: [f64; 2]) -> String {
    let plane = crate::geodesy::Plane::at(centre);
    let corners = [low, [high[0], low[1]], high, [low[0], high[1]], low].map(|[east, north]| {
        let at = plane.position(crate::geodesy::Offset { east, north });
        format!("[{:.9},{:.9}]", at.longitude(), at.latitude())
    });
    format!(
        r#"{{"type":"Polygon","coordinates":[[{}]]}}"#,
        corners.join(",")
    )
}

fn point(centre: Position, bearing: f64, distance: f64) -> String {
    let at = centre.moved(Bearing::from_degrees(bearing), Metres::of(distance));
    format!(
        r#"{{"type":"Point","coordinates":[{},{}]}}"#,
        at.longitude(),
        at.latitude()
    )
}

fn cell(
    name: &str,
    scale: Option<u32>,
    features: &[String],
) -> (About, Vec<crate::chart::cell::Piece>) {
    let mut reading = Reading::of(name);
    reading.take(&features.concat(), None).unwrap();
    reading.about.scale = scale;
    let mut faults = Faults::default();
    let cell = Cell::of(reading, &mut faults).unwrap();
    assert_eq!(faults.total(), 0, "{:?}", faults.lines());
    (cell.about, cell.pieces)
}

const WIDE: [[f64; 2]; 2] = [[-3000.0, -3000.0], [3000.0, 3000.0]];

fn depth(centre: Position, least: f64, most: f64, [low, high]: [[f64; 2]; 2]) -> String {
    feature(
        &format!(r#"{{"OBJL":42,"DRVAL1":{least},"DRVAL2":{most}}}"#),
        &square(centre, low, high),
    )
}

fn covered(centre: Position, [low, high]: [[f64; 2]; 2]) -> String {
    feature(r#"{"OBJL":302,"CATCOV":1}"#, &square(centre, low, high))
}

fn needs() -> Needs {
    Needs {
        draught: Metres::of(1.9),
        margin: Metres::of(0.5),
        lowest: Metres::of(0.2),
        now: None,
        say: LengthUnit::Metres,
        language: Language::default(),
    }
}

fn about(centre: Position, radius: f64) -> Room {
    Room::circle(centre, Metres::of(radius)).unwrap()
}

fn judged(features: &[String]) -> Clearance {
    Sheet::of(vec![cell("BAY", Some(20_000), features)]).clearance(about(BAY, 50.0), &needs())
}

#[test]
fn deep_water_all_about_clears() {
    let answer = judged(&[depth(BAY, 5.0, 10.0, WIDE), covered(BAY, WIDE)]);
    assert!(answer.clears, "{:?}", answer.reasons);
    let least = answer.least.unwrap();
    assert_eq!(least.depth, Some(Metres::of(5.0)));
    assert!((least.under_keel.unwrap().get() - 3.3).abs() < 1e-9);
    assert_eq!(least.what, "depth area 5 m to 10 m");
    assert_eq!(answer.nearest_danger, None);
    assert_eq!(
        (
            answer.share_too_shoal,
            answer.share_not_covered,
            answer.share_without_depth
        ),
        (0.0, 0.0, 0.0)
    );
}

/// East of 30 m it is 1 m deep: a segment of 20 m height, r² acos(d/r) - d √(r² - d²).
#[test]
fn a_shoal_side_is_found_with_its_share_distance_and_bearing() {
    let deep = depth(BAY, 5.0, 10.0, [[-3000.0, -3000.0], [30.0, 3000.0]]);
    let shoal = depth(BAY, 1.0, 5.0, [[30.0, -3000.0], [3000.0, 3000.0]]);
    let answer = judged(&[deep, shoal, covered(BAY, WIDE)]);
    let share = (2500.0 * 0.6_f64.acos() - 30.0 * 40.0) / (2500.0 * std::f64::consts::PI);
    assert!(
        (answer.share_too_shoal - share).abs() < 1e-4,
        "{} {share}",
        answer.share_too_shoal
    );
    assert_eq!(answer.findings, [Finding::Grounds]);
    let danger = answer.nearest_danger.unwrap();
    assert!((danger.distance.get() - 30.0).abs() < 0.05, "{danger:?}");
    assert!((danger.bearing.degrees() - 90.0).abs() < 0.2);
    assert!(danger.inside);
    assert_eq!(
        answer.reasons[0],
        "she grounds at low water, by 0.7 m: depth area 1 m to 5 m, 30 m at 090° from the centre"
    );
}

#[test]
fn grounding_at_low_water_only_and_a_short_margin_are_distinguished() {
    let judge = |least: f64, now: Option<f64>| {
        let cell = cell(
            "BAY",
            Some(20_000),
            &[depth(BAY, least, 9.0, WIDE), covered(BAY, WIDE)],
        );
        let needs = Needs {
            now: now.map(Metres::of),
            ..needs()
        };
        Sheet::of(vec![cell]).clearance(about(BAY, 50.0), &needs)
    };
    // 1.0 m and 0.2 m of tide are 1.2 m; with 1.5 m of tide 2.5 m.
    assert_eq!(judge(1.0, Some(1.5)).findings, [Finding::GroundsAtLowWater]);
    assert_eq!(judge(1.0, Some(0.6)).findings, [Finding::Grounds]);
    assert_eq!(judge(1.0, None).findings, [Finding::Grounds]);
    // 1.8 m and 0.2 m leave 0.1 m under the keel.
    let short = judge(1.8, None);
    assert_eq!(short.findings, [Finding::MarginShort]);
    assert_eq!(short.share_too_shoal, 1.0);
    // 2.2 m and 0.2 m are just enough.
    assert!(judge(2.2, None).clears);
    assert_eq!(
        judge(-0.4, None).least.unwrap().what,
        "depth area drying 0.4 m to 9 m"
    );
}

#[test]
fn a_rock_of_unknown_depth_is_dangerous_and_a_known_one_counts_with_its_depth() {
    let deep = [depth(BAY, 5.0, 10.0, WIDE), covered(BAY, WIDE)];
    let with = |properties: &str, distance: f64| {
        let rock = feature(properties, &point(BAY, 200.0, distance));
        judged(&[deep.as_slice(), &[rock]].concat())
    };
    let unknown = with(r#"{"OBJL":153,"WATLEV":3}"#, 40.0);
    assert_eq!(unknown.findings, [Finding::UnknownDanger]);
    assert_eq!(unknown.unknown_danger_count, 1);
    assert!((unknown.unknown_dangers[0].distance.get() - 40.0).abs() < 0.01);
    assert_eq!(
        unknown.reasons[0],
        "a danger of unknown depth: rock of unknown depth, always under water, 40 m at 200° from the centre"
    );
    // Beyond the circle it is the nearest danger, and the circle is clear.
    let beyond = with(r#"{"OBJL":153}"#, 400.0);
    assert!(beyond.clears);
    let danger = beyond.nearest_danger.unwrap();
    assert!((danger.distance.get() - 400.0).abs() < 0.01 && !danger.inside);
    assert_eq!(
        with(r#"{"OBJL":153,"VALSOU":0.6}"#, 49.9).findings,
        [Finding::Grounds]
    );
    assert!(with(r#"{"OBJL":153,"VALSOU":0.6}"#, 50.1).clears);
    let wreck = with(r#"{"OBJL":159,"VALSOU":8.0}"#, 20.0);
    assert_eq!(wreck.findings, [Finding::Foul]);
}

#[test]
fn cables_and_restrictions_are_reported_in_words() {
    let deep = [depth(BAY, 5.0, 10.0, WIDE), covered(BAY, WIDE)];
    let cable = feature(
        r#"{"OBJL":22,"OBJNAM":"Tern Cable"}"#,
        &square(BAY, [0.0, 20.0], [10.0, 3000.0])
            .replace("Polygon", "LineString")
            .replace("[[[", "[[")
            .replace("]]]", "]]"),
    );
    let area = feature(
        r#"{"OBJL":112,"RESTRN":[1,7]}"#,
        &square(BAY, [-3000.0, -3000.0], [3000.0, -10.0]),
    );
    let anchorage = feature(r#"{"OBJL":4}"#, &square(BAY, WIDE[0], WIDE[1]));
    let answer = judged(&[deep.as_slice(), &[cable, area, anchorage]].concat());
    assert_eq!(answer.findings, [Finding::Cable, Finding::Restricted]);
    assert_eq!(
        answer.reasons[0],
        "it touches: submarine cable (Tern Cable)"
    );
    assert_eq!(
        answer.reasons[1],
        "it touches: restricted area: anchoring prohibited, entry prohibited"
    );
    let classes: Vec<&str> = answer
        .regulated
        .iter()
        .map(|regulated| regulated.class)
        .collect();
    assert_eq!(classes, ["ACHARE", "RESARE", "CBLSUB"]);
}

#[test]
fn a_place_off_the_chart_is_reported_and_never_deep() {
    let half = [[-3000.0, -3000.0], [0.0, 3000.0]];
    let answer = judged(&[depth(BAY, 5.0, 10.0, half), covered(BAY, half)]);
    assert_eq!(answer.findings, [Finding::NotCovered]);
    assert!((answer.share_not_covered - 0.5).abs() < 1e-3);
    assert_eq!(
        answer.reasons[0],
        "50 % of it is on no chart here; what is there is not known"
    );
    // Covered, but without a depth.
    let answer = judged(&[depth(BAY, 5.0, 10.0, half), covered(BAY, WIDE)]);
    assert_eq!(answer.findings, [Finding::NoDepth]);
    assert!((answer.share_without_depth - 0.5).abs() < 1e-3);
    // No chart at all.
    let nothing = Sheet::default().clearance(about(BAY, 50.0), &needs());
    assert_eq!(nothing.findings, [Finding::NotCovered]);
    assert_eq!(nothing.share_not_covered, 1.0);
    assert!(nothing.least.is_none() && !nothing.clears);
}

#[test]
fn an_object_given_twice_counts_once() {
    let half = [[-3000.0, -3000.0], [0.0, 3000.0]];
    let once = [depth(BAY, 5.0, 10.0, half), covered(BAY, half)];
    let answer = judged(&[once.clone(), once].concat());
    assert_eq!(answer.findings, [Finding::NotCovered]);
    assert!((answer.share_not_covered - 0.5).abs() < 1e-3);
    let depths = depth(BAY, 5.0, 10.0, half);
    let answer = judged(&[depths.clone(), depths, covered(BAY, WIDE)]);
    assert_eq!(answer.findings, [Finding::NoDepth]);
    assert!((answer.share_without_depth - 0.5).abs() < 1e-3);
}

/// 5 m of a circle of 1000 m: a segment of 668 m², less than a thousandth of it, r² acos(d/r) - d √(r² - d²).
#[test]
fn a_small_share_of_a_wide_circle_is_not_rounding() {
    let most = [[-3000.0, -3000.0], [995.0, 3000.0]];
    let judge = |features: &[String]| {
        Sheet::of(vec![cell("BAY", Some(20_000), features)]).clearance(about(BAY, 1000.0), &needs())
    };
    let share = (1e6 * 0.995_f64.acos() - 995.0 * 9975_f64.sqrt()) / (1e6 * std::f64::consts::PI);
    let answer = judge(&[depth(BAY, 5.0, 10.0, most), covered(BAY, most)]);
    assert_eq!(answer.findings, [Finding::NotCovered]);
    assert!((answer.share_not_covered - share).abs() < 1e-6);
    let answer = judge(&[depth(BAY, 5.0, 10.0, most), covered(BAY, WIDE)]);
    assert_eq!(answer.findings, [Finding::NoDepth]);
    assert!((answer.share_without_depth - share).abs() < 1e-6);
}

/// She will lie only between south and west: a rock in the north-east is no danger to her.
#[test]
fn a_sector_counts_only_what_lies_in_it() {
    let deep = [depth(BAY, 5.0, 10.0, WIDE), covered(BAY, WIDE)];
    let rock = feature(r#"{"OBJL":153}"#, &point(BAY, 45.0, 30.0));
    let sheet = Sheet::of(vec![cell(
        "BAY",
        Some(20_000),
        &[deep.as_slice(), &[rock]].concat(),
    )]);
    let between = |from, to| {
        let room = about(BAY, 50.0)
            .between(Bearing::from_degrees(from), Bearing::from_degrees(to))
            .unwrap();
        sheet.clearance(room, &needs())
    };
    let clear = between(180.0, 270.0);
    assert!(clear.clears, "{:?}", clear.reasons);
    // It is still the nearest danger, outside the sector.
    assert!(!clear.nearest_danger.unwrap().inside);
    assert_eq!(between(0.0, 90.0).findings, [Finding::UnknownDanger]);
    assert_eq!(between(270.0, 180.0).findings, [Finding::UnknownDanger]);
    assert!(
        about(BAY, 50.0)
            .between(Bearing::from_degrees(10.0), Bearing::from_degrees(370.0))
            .is_err()
    );
}

#[test]
fn the_larger_scale_counts_where_two_cells_cover_a_place() {
    // The coarse cell gives 1 m everywhere, the fine one 8 m west of 20 m east.
    let fine = [[-3000.0, -3000.0], [20.0, 3000.0]];
    let coarse = cell(
        "A_COARSE",
        Some(180_000),
        &[depth(BAY, 1.0, 2.0, WIDE), covered(BAY, WIDE)],
    );
    let fine = cell(
        "FINE",
        Some(20_000),
        &[depth(BAY, 8.0, 9.0, fine), covered(BAY, fine)],
    );
    let answer =
        Sheet::of(vec![coarse.clone(), fine.clone()]).clearance(about(BAY, 50.0), &needs());
    let share =
        (2500.0 * 0.4_f64.acos() - 20.0 * 2100_f64.sqrt()) / (2500.0 * std::f64::consts::PI);
    assert!(
        (answer.share_too_shoal - share).abs() < 1e-3,
        "{} {share}",
        answer.share_too_shoal
    );
    assert_eq!(answer.share_not_covered, 0.0);
    assert_eq!(
        answer
            .cells
            .iter()
            .map(|cell| cell.name.as_str())
            .collect::<Vec<_>>(),
        ["FINE", "A_COARSE"]
    );
    assert!((answer.nearest_danger.unwrap().distance.get() - 20.0).abs() < 0.1);
    // Within the fine cell the coarse one does not count.
    let sheet = Sheet::of(vec![coarse, fine]);
    let west = BAY.moved(Bearing::from_degrees(270.0), Metres::of(500.0));
    let answer = sheet.clearance(about(west, 50.0), &needs());
    assert!(answer.clears, "{:?}", answer.reasons);
    assert_eq!(answer.cells.len(), 1);
}

#[test]
fn an_area_of_danger_over_a_shoal_counts_once() {
    let shoal = depth(BAY, 1.0, 2.0, WIDE);
    let wreck = feature(
        r#"{"OBJL":159}"#,
        &square(BAY, [-10.0, -10.0], [10.0, 10.0]),
    );
    let over_shoal = judged(&[shoal, wreck.clone(), covered(BAY, WIDE)]);
    assert!((over_shoal.share_too_shoal - 1.0).abs() < 1e-6);
    let over_deep = judged(&[depth(BAY, 8.0, 9.0, WIDE), wreck, covered(BAY, WIDE)]);
    let share = 400.0 / (2500.0 * std::f64::consts::PI);
    assert!((over_deep.share_too_shoal - share).abs() < 1e-4);
    assert!(over_deep.nearest_danger.unwrap().distance.get() < 0.01);
}

/// The same bay at 84° north, at the 180th meridian and south: turning the Earth changes nothing.
#[test]
fn it_is_right_at_high_latitude_and_across_the_180th_meridian() {
    for (latitude, longitude) in [
        (84.0, 15.0),
        (-78.0, 179.9999),
        (10.0, -180.0),
        (0.0, 0.0),
        (-33.0, 179.9995),
    ] {
        let centre = Position::new(latitude, longitude).unwrap();
        let deep = [
            depth(centre, 5.0, 10.0, [[-300.0, -300.0], [0.0, 300.0]]),
            depth(centre, 1.0, 5.0, [[0.0, -300.0], [300.0, 300.0]]),
        ];
        // Shapes that cross the meridian are split there, as RFC 7946 requires.
        let features: Vec<String> = deep.iter().flat_map(|text| split_at_180(text)).collect();
        let rock = feature(r#"{"OBJL":153}"#, &point(centre, 300.0, 45.0));
        let sheet = Sheet::of(vec![cell(
            "FAR",
            Some(20_000),
            &[features, vec![rock]].concat(),
        )]);
        let answer = sheet.clearance(about(centre, 50.0), &needs());
        assert!(
            (answer.share_too_shoal - 0.5).abs() < 0.002,
            "{latitude} {longitude}: {}",
            answer.share_too_shoal
        );
        assert!(
            answer.share_not_covered < 1e-3,
            "{}",
            answer.share_not_covered
        );
        let unknown = &answer.unknown_dangers[0];
        assert!((unknown.distance.get() - 45.0).abs() < 0.02, "{unknown:?}");
        assert!(unknown.bearing.since(Bearing::from_degrees(300.0)).abs() < Angle::of(0.001));
    }
}

fn split_at_180(text: &str) -> Vec<String> {
    let mut value: serde_json::Value = serde_json::from_str(text).unwrap();
    let ring = value.pointer_mut("/geometry/coordinates/0").unwrap();
    let xs: Vec<f64> = ring
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p[0].as_f64().unwrap())
        .collect();
    let span =
        xs.iter().copied().fold(f64::MIN, f64::max) - xs.iter().copied().fold(f64::MAX, f64::min);
    if span < 180.0 {
        return vec![text.to_owned()];
    }
    // Boxes: each half ends at the meridian.
    [180.0_f64, -180.0]
        .iter()
        .map(|side| {
            let mut half = value.clone();
            for p in half
                .pointer_mut("/geometry/coordinates/0")
                .unwrap()
                .as_array_mut()
                .unwrap()
            {
                let x = p[0].as_f64().unwrap();
                if x.signum() != side.signum() {
                    p[0] = serde_json::json!(side);
                }
            }
            format!("{half}\n")
        })
        .collect()
}

#[test]
fn survey_quality_is_reported_with_its_error_at_the_least_depth() {
    let quality = |code: u8, low: [f64; 2], high: [f64; 2]| {
        feature(
            &format!(r#"{{"OBJL":308,"CATZOC":{code},"SUREND":"1938"}}"#),
            &square(BAY, low, high),
        )
    };
    let answer = judged(&[
        depth(BAY, 5.0, 10.0, WIDE),
        covered(BAY, WIDE),
        quality(4, WIDE[0], [3000.0, 10.0]),
        quality(1, [-3000.0, 10.0], WIDE[1]),
    ]);
    let words: Vec<&str> = answer
        .surveys
        .iter()
        .map(|survey| survey.words.as_str())
        .collect();
    assert_eq!(
        words[0],
        "survey quality C: depths ±2 m + 5 %, positions ±500 m"
    );
    assert_eq!(words.len(), 2);
    // The least depth is reported at the centre, where it is C: 2 m and 5 % of 5 m.
    assert!((answer.least.unwrap().depth_error.unwrap().get() - 2.25).abs() < 1e-9);
}

#[test]
fn an_unusable_radius_is_refused() {
    for radius in [0.0, 0.9, 2001.0] {
        assert_eq!(
            Room::circle(BAY, Metres::of(radius)),
            Err(RoomError::Radius(Metres::of(radius)))
        );
    }
}
