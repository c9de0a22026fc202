//! Invented charts of an invented bay: what has to be found there, what must not be found, and in which order.

use proptest::prelude::*;

use super::*;
use crate::boat::{Boat, BoatFigures};
use crate::chart::cell::Cell;
use crate::chart::faults::Faults;
use crate::chart::fetch::Ends;
use crate::chart::parse::Reading;
use crate::speech::Language;
use crate::tackle::plan::{Holding, Scopes};
use crate::tackle::strength::GroundTackle;
use crate::units::LengthUnit;

const BAY: Position = Position::of(59.85, 23.26);
type Box2 = [[f64; 2]; 2];
const WIDE: Box2 = [[-3000.0, -3000.0], [3000.0, 3000.0]];

fn feature(properties: &str, geometry: &str) -> String {
    format!("{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{geometry}}}\n")
}

/// A square whose sides lie this many metres east and north of a place.
fn square(centre: Position, [low, high]: Box2) -> String {
    let corners = [low, [high[0], low[1]], high, [low[0], high[1]], low].map(|[east, north]| {
        let at = Plane::at(centre).position(Offset { east, north });
        format!("[{:.9},{:.9}]", at.longitude(), at.latitude())
    });
    format!(
        r#"{{"type":"Polygon","coordinates":[[{}]]}}"#,
        corners.join(",")
    )
}

fn depth(centre: Position, least: f64, most: f64, area: Box2) -> String {
    feature(
        &format!(r#"{{"OBJL":42,"DRVAL1":{least},"DRVAL2":{most}}}"#),
        &square(centre, area),
    )
}

fn of(class: u16, centre: Position, area: Box2) -> String {
    let properties = format!(r#"{{"OBJL":{class},"CATCOV":1}}"#);
    feature(&properties, &square(centre, area))
}

fn sheet(features: &[String]) -> Sheet {
    let mut reading = Reading::of("BAY");
    reading.take(&features.concat(), None).unwrap();
    reading.about.scale = Some(20_000);
    let cell = Cell::of(reading, &mut Faults::default()).unwrap();
    Sheet::of(vec![(cell.about, cell.pieces)])
}

fn inputs() -> PlanInputs {
    let sounding = Sounding {
        depth: Metres::ZERO,
        below: Below::Datum,
    };
    let boat = Boat::new(BoatFigures {
        length: Some(Metres::of(11.0)),
        draught: Some(Metres::of(1.9)),
        roller_height: Some(Metres::of(1.0)),
        ..BoatFigures::default()
    });
    PlanInputs {
        tackle: GroundTackle {
            aboard: Some(Metres::of(60.0)),
            ..GroundTackle::default()
        },
        scopes: Scopes {
            asked: Some(5.0),
            ..Scopes::default()
        },
        holding: Holding::Good,
        ..PlanInputs::of(sounding, boat)
    }
}

fn needs() -> Needs {
    Needs {
        draught: Metres::of(1.9),
        margin: Metres::of(0.5),
        lowest: Metres::ZERO,
        now: None,
        say: LengthUnit::Metres,
        language: Language::default(),
    }
}

fn found(centre: Position, within: f64, sheet: &Sheet, neighbours: &[Neighbour]) -> Found {
    let area = Area::about(centre, Metres::of(within)).unwrap();
    let inputs = inputs();
    let wishes = Wishes {
        inputs: &inputs,
        needs: needs(),
        neighbours,
    };
    search(&area, sheet, &wishes)
}

fn count(found: &Found, against: Against) -> usize {
    let rejected = found.rejected.iter().find(|it| it.against == against);
    rejected.map_or(0, |rejected| rejected.count)
}

/// 5 m of water and 1 m of roller at 5:1 are 30 m of rode, a reach of √(900 - 36) m and a boat of 11 m behind it.
#[test]
fn a_berth_is_sized_by_the_plan_and_lies_where_there_is_most_room() {
    let chart = sheet(&[depth(BAY, 5.0, 5.0, WIDE), of(302, BAY, WIDE)]);
    let open = found(BAY, 300.0, &chart, &[]);
    let best = &open.candidates[0];
    assert_eq!(best.rode, Metres::of(30.0));
    assert!((best.radius.get() - (864.0_f64.sqrt() + 11.0)).abs() < 0.01);
    // All places are alike: the one in the middle wins.
    assert!(best.distance.get() < 0.01, "{best:?}");
    assert_eq!(open.candidates.len(), 5);
    assert!(open.looked_at <= 420 + 12 * 16, "{}", open.looked_at);
    for pair in open.candidates.windows(2) {
        assert!(pair[0].position.distance_to(pair[1].position) >= pair[0].radius);
    }
    assert_eq!(open.rejected, []);
    // A rock in the middle drives her away: 100 m from the edge of the circle are enough.
    let at = format!(
        r#"{{"type":"Point","coordinates":[{},{}]}}"#,
        BAY.longitude(),
        BAY.latitude()
    );
    let rock = feature(r#"{"OBJL":153,"WATLEV":3}"#, &at);
    let chart = sheet(&[depth(BAY, 5.0, 5.0, WIDE), of(302, BAY, WIDE), rock]);
    let beside = found(BAY, 300.0, &chart, &[]);
    let best = &beside.candidates[0];
    let edge = best.nearest_danger.as_ref().unwrap().distance - best.radius;
    assert!((best.spare - edge).get().abs() < 1e-9);
    assert!(edge.get() >= 100.0 && edge.get() < 125.0, "{edge:?}");
    assert!(count(&beside, Against::UnknownDanger) > 0);
    assert!(
        best.reasons_for
            .iter()
            .any(|why| why.contains("nearest danger: rock"))
    );
}

#[test]
fn land_shoals_cables_and_uncharted_water_are_left_out_and_counted() {
    let west: Box2 = [[-3000.0, -3000.0], [-150.0, 3000.0]];
    let middle: Box2 = [[-150.0, -3000.0], [200.0, 3000.0]];
    let east: Box2 = [[200.0, -3000.0], [300.0, 3000.0]];
    let covered: Box2 = [[-3000.0, -3000.0], [300.0, 3000.0]];
    let at = |east: f64, north: f64| {
        let at = Plane::at(BAY).position(Offset { east, north });
        format!("[{},{}]", at.longitude(), at.latitude())
    };
    let line = format!(
        r#"{{"type":"LineString","coordinates":[{},{}]}}"#,
        at(-400.0, 200.0),
        at(400.0, 200.0)
    );
    let chart = sheet(&[
        of(71, BAY, west),
        depth(BAY, 5.0, 5.0, middle),
        depth(BAY, 1.0, 2.0, east),
        of(302, BAY, covered),
        feature(r#"{"OBJL":22}"#, &line),
    ]);
    let answer = found(BAY, 400.0, &chart, &[]);
    for against in [
        Against::Land,
        Against::Shoal,
        Against::Cable,
        Against::NoChart,
    ] {
        assert!(
            count(&answer, against) > 0,
            "{against:?}: {:?}",
            answer.rejected
        );
    }
    for berth in &answer.candidates {
        let place = Plane::at(BAY).offset(berth.position);
        let reach = berth.radius.get();
        assert!(
            place.east - reach >= -150.0 && place.east + reach <= 200.0,
            "{place:?}"
        );
        assert!((place.north - 200.0).abs() >= reach, "{place:?}");
        // Wind from the west: the land begins 150 m west of the middle. From the east the chart ends.
        let [land, chart_ends] = [berth.fetch[6], berth.fetch[2]];
        assert_eq!((land.ends, chart_ends.ends), (Ends::Land, Ends::Chart));
        assert!(
            (land.distance.get() - (place.east + 150.0)).abs() < 0.1,
            "{land:?}"
        );
        assert!((chart_ends.distance.get() - (300.0 - place.east)).abs() < 0.1);
    }
    assert!(!answer.candidates.is_empty());
}

#[test]
fn a_short_rode_another_vessel_and_no_chart_are_reported() {
    let deep = sheet(&[depth(BAY, 20.0, 20.0, WIDE), of(302, BAY, WIDE)]);
    let answer = found(BAY, 200.0, &deep, &[]);
    assert_eq!(answer.candidates, []);
    assert_eq!(count(&answer, Against::RodeShort), answer.looked_at);
    assert!(
        answer
            .cautions
            .iter()
            .any(|words| words.starts_with("no berth found"))
    );
    let none = found(BAY, 200.0, &Sheet::default(), &[]);
    assert_eq!(count(&none, Against::NoChart), none.looked_at);
    assert!(
        none.cautions
            .iter()
            .any(|words| words.contains("no chart of this place"))
    );
    let chart = sheet(&[depth(BAY, 5.0, 5.0, WIDE), of(302, BAY, WIDE)]);
    let other = Neighbour {
        name: Some("Plover".to_owned()),
        ..Neighbour::given(BAY, Metres::of(40.0))
    };
    let beside = found(BAY, 200.0, &chart, &[other]);
    assert!(count(&beside, Against::Neighbour) > 0);
    for berth in &beside.candidates {
        let gap = berth.nearest_neighbour.as_ref().unwrap().between.get();
        let apart = BAY.distance_to(berth.position).get() - 40.0 - berth.radius.get();
        assert!(gap >= 0.0 && (gap - apart).abs() < 1e-6);
        assert!(berth.spare.get() <= gap);
    }
    let first = &beside.candidates[0];
    let gap = first.nearest_neighbour.as_ref().unwrap();
    assert!(gap.between.get() >= 90.0, "{first:?}");
    assert_eq!(gap.name.as_deref(), Some("Plover"));
    let told = |reason: &String| reason.contains("that of Plover, the nearest vessel's");
    assert!(first.reasons_for.iter().any(told), "{first:?}");
    // Without the other vessel, the place in the middle of the bay is as good as any.
    let alone = found(BAY, 200.0, &chart, &[]);
    assert!(alone.candidates[0].distance < first.distance, "{alone:?}");
    assert!(
        alone
            .cautions
            .contains(&"no neighbours known: look around".to_owned())
    );
}

#[test]
fn an_area_is_bounded() {
    for within in [0.0, 19.0, 1853.0, -5.0] {
        let error = Area::about(BAY, Metres::of(within)).unwrap_err();
        assert!(
            error.to_string().contains("between 20 m and 1852 m"),
            "{error}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Beside the 180th meridian and far north, as anywhere: no circle leaves the water, and the fetch is that of the
    /// plane.
    #[test]
    fn no_reported_circle_touches_land_anywhere(
        latitude in -78.0..78.0_f64, longitude in prop::sample::select(vec![-0.002, 179.995, -179.997, 23.0]),
        shore in 100.0..250.0_f64,
    ) {
        let centre = Position::new(latitude, longitude).unwrap();
        // A chart has coordinates on either side of the meridian; here all of it lies on one side.
        let inside = if longitude > 179.0 { [[-2000.0, -2000.0], [60.0, 2000.0]] } else { [[-40.0, -2000.0], [2000.0, 2000.0]] };
        let land = [[inside[0][0], shore], inside[1]];
        let water = [inside[0], [inside[1][0], shore]];
        let chart = sheet(&[depth(centre, 5.0, 5.0, water), of(71, centre, land), of(302, centre, inside)]);
        let answer = found(centre, 300.0, &chart, &[]);
        prop_assert!(!answer.candidates.is_empty(), "{:?}", answer.rejected);
        for berth in &answer.candidates {
            let place = Plane::at(centre).offset(berth.position);
            prop_assert!(place.north + berth.radius.get() <= shore + 0.5, "{place:?}");
            prop_assert!(place.east - berth.radius.get() >= inside[0][0] - 0.5, "{place:?}");
            let north = berth.fetch[0];
            prop_assert_eq!(north.ends, Ends::Land);
            prop_assert!((north.distance.get() - (shore - place.north)).abs() < 0.5, "{north:?}");
            prop_assert!(berth.distance.get() <= 300.0 + 1e-6);
        }
    }
}
