use super::*;
use crate::chart::codes::{Confidence, Restriction};
use crate::chart::shape::Spot;
use crate::units::Metres;

fn read(text: &str, class: Option<Class>) -> Reading {
    let mut reading = Reading::of("TEST");
    reading.take(text, class).unwrap();
    reading
}

fn feature(properties: &str, geometry: &str) -> String {
    format!(r#"{{"type":"Feature","properties":{properties},"geometry":{geometry}}}"#)
}

const POINT: &str = r#"{"type":"Point","coordinates":[23.26,59.8539]}"#;
const SQUARE: &str = r#"{"type":"Polygon","coordinates":[[[1,1],[1,2],[2,2],[2,1],[1,1]]]}"#;

fn only(reading: &Reading) -> &Object {
    assert_eq!(reading.features.len(), 1);
    &reading.features[0].0
}

#[test]
fn a_depth_area_has_its_depths_and_runs_counterclockwise() {
    let text = feature(r#"{"OBJL":42,"DRVAL1":-0.4,"DRVAL2":0}"#, SQUARE);
    let reading = read(&text, None);
    assert_eq!(
        only(&reading).says,
        Says::Depth {
            least: Some(Metres::of(-0.4)),
            most: Some(Metres::ZERO)
        }
    );
    let Shape::Area(rings) = &reading.features[0].1 else {
        panic!()
    };
    assert!(geometry::doubled_area(&rings[0].0) > 0);
    assert_eq!(
        rings[0].0[0],
        Spot {
            x: 10_000_000,
            y: 10_000_000
        }
    );
    assert_eq!(reading.faults.total(), 0);
}

#[test]
fn a_rock_without_a_depth_is_of_unknown_depth() {
    for value in ["null", "\"\""] {
        let text = feature(
            &format!(r#"{{"OBJL":"UWTROC","VALSOU":{value},"WATLEV":4}}"#),
            POINT,
        );
        let reading = read(&text, None);
        assert_eq!(only(&reading).says, Says::Over(None));
        assert_eq!(
            only(&reading).told().english(),
            "rock of unknown depth, covers and uncovers"
        );
        assert_eq!(reading.faults.total(), 0);
    }
}

/// An impossible depth never makes the water deep: the object is kept with an unknown depth, and is
/// reported.
#[test]
fn an_impossible_depth_is_unknown_and_reported() {
    for value in ["\"deep\"", "99999", "-31", "[3]", "{}"] {
        let reading = read(
            &feature(&format!(r#"{{"OBJL":153,"VALSOU":{value}}}"#), POINT),
            None,
        );
        assert_eq!(only(&reading).says, Says::Over(None));
        assert_eq!(
            reading.faults.lines(),
            [format!(
                "UWTROC with a VALSOU that is no depth, taken as unknown: 1; the first: number 1: `{value}`"
            )]
        );
    }
}

#[test]
fn lists_are_read_as_arrays_and_as_texts() {
    for list in [
        r#"["2","6","24"]"#,
        "[2,6,24]",
        r#""['2' '6' '24']""#,
        r#""2,6,24""#,
    ] {
        let reading = read(
            &feature(&format!(r#"{{"OBJL":20,"RESTRN":{list}}}"#), SQUARE),
            None,
        );
        assert_eq!(
            only(&reading).restrictions,
            [2, 6, 24].map(Restriction),
            "{list}"
        );
    }
    let reading = read(
        &feature(r#"{"OBJL":112,"RESTRN":[1,"x",300]}"#, SQUARE),
        None,
    );
    assert_eq!(only(&reading).restrictions, [Restriction(1)]);
    assert_eq!(reading.faults.total(), 1);
}

#[test]
fn soundings_take_their_depth_from_the_attribute_or_the_third_coordinate() {
    let three = r#"{"type":"MultiPoint","coordinates":[[1,1,4.5],[1,2,-0.3],[1,3]]}"#;
    let reading = read(&feature("{}", three), Some(Class::Sounding));
    let says: Vec<&Says> = reading
        .features
        .iter()
        .map(|(object, _)| &object.says)
        .collect();
    assert_eq!(
        says,
        [
            &Says::Over(Some(Metres::of(4.5))),
            &Says::Over(Some(Metres::of(-0.3))),
            &Says::Over(None)
        ]
    );
    assert_eq!(reading.faults.total(), 1);
    let reading = read(&feature(r#"{"OBJL":129,"DEPTH":7.1}"#, POINT), None);
    assert_eq!(only(&reading).says, Says::Over(Some(Metres::of(7.1))));
}

#[test]
fn quality_coverage_and_structures_are_read() {
    let reading = read(
        &feature(r#"{"OBJL":308,"CATZOC":4,"SUREND":"19980312"}"#, SQUARE),
        None,
    );
    assert_eq!(
        only(&reading).says,
        Says::Survey {
            confidence: Confidence::C,
            end: Some("1998-03-12".to_owned())
        }
    );
    // 2 means that there is no coverage.
    assert!(
        read(&feature(r#"{"OBJL":302,"CATCOV":2}"#, SQUARE), None)
            .features
            .is_empty()
    );
    assert_eq!(
        only(&read(&feature(r#"{"OBJL":302,"CATCOV":1}"#, SQUARE), None)).says,
        Says::Covered
    );
    assert_eq!(
        only(&read(&feature(r#"{"OBJL":122,"WATLEV":3}"#, POINT), None)).says,
        Says::Over(None)
    );
    assert_eq!(
        only(&read(&feature(r#"{"OBJL":122,"WATLEV":2}"#, POINT), None)).says,
        Says::Solid
    );
    // A buoy gives nothing about the bottom, and is no fault.
    let buoy = read(&feature(r#"{"OBJL":17}"#, POINT), None);
    assert!(buoy.features.is_empty() && buoy.faults.total() == 0);
    // A number with a fraction of zero is the same class.
    let rock = read(&feature(r#"{"OBJL":153.0}"#, POINT), None);
    assert_eq!(only(&rock).class, Class::Rock);
}

#[test]
fn unusable_places_are_left_out_and_reported() {
    for (geometry, why) in [
        (
            r#"{"type":"Point","coordinates":[181,0]}"#,
            "longitude `181`, latitude `0` is no place on Earth",
        ),
        (
            r#"{"type":"Point","coordinates":["a",0]}"#,
            "`[\"a\",0]` is no point",
        ),
        (
            r#"{"type":"LineString","coordinates":[[1,1]]}"#,
            "a line of less than two points",
        ),
        (
            r#"{"type":"Polygon","coordinates":[[[1,1],[2,2],[1,2]]]}"#,
            "a ring that is not closed",
        ),
        (
            r#"{"type":"Polygon","coordinates":[]}"#,
            "a polygon without rings",
        ),
        (
            r#"{"type":"Sphere","coordinates":[]}"#,
            "geometry `Sphere` is no point, line or area",
        ),
        ("null", "geometry `none` is no point, line or area"),
    ] {
        let reading = read(&feature(r#"{"OBJL":71}"#, geometry), None);
        assert!(reading.features.is_empty());
        assert_eq!(
            reading.faults.lines(),
            [format!(
                "left out: LNDARE whose place cannot be used: 1; the first: number 1: {why}"
            )]
        );
    }
}

#[test]
fn a_collection_gives_its_class_by_its_name() {
    let text = format!(
        "{{\n\"type\": \"FeatureCollection\", \"name\": \"XX_LNDARE\",\n\"features\": [{}]}}",
        feature("{}", SQUARE)
    );
    assert_eq!(only(&read(&text, None)).class, Class::Land);
}

#[test]
fn the_cell_describes_itself_and_other_units_are_refused() {
    let header = r#"{"DSID_DSNM":"A.000","DSID_EDTN":"31","DSID_UPDN":"3","DSID_ISDT":"20250923","DSID_UADT":"20250722","DSPM_CSCL":80000,"DSPM_SDAT":12,"DSPM_HDAT":2,"DSPM_DUNI":1}"#;
    let about = read(&feature(header, "null"), None).about;
    assert_eq!(about.scale, Some(80_000));
    assert_eq!(
        about.datum.map(|datum| datum.told().english()).as_deref(),
        Some("mean lower low water")
    );
    assert_eq!(about.issued.as_deref(), Some("2025-09-23"));
    for (from, to, error) in [
        ("DUNI\":1", "DUNI\":3", ParseError::NotMetres(3)),
        ("DUNI\":1", "DUNI\":\"3\"", ParseError::NotMetres(3)),
        ("HDAT\":2", "HDAT\":1", ParseError::NotWgs84(1)),
    ] {
        let text = feature(&header.replace(from, to), "null");
        assert_eq!(Reading::of("A").take(&text, None), Err(error));
    }
}

#[test]
fn invalid_geojson_is_refused_with_the_place() {
    for text in [
        "<html>",
        "[]",
        "{\"type\":\"Topology\"}",
        "{\"type\":\"FeatureCollection\"}",
    ] {
        let error = Reading::of("A").take(text, None).unwrap_err();
        assert!(
            matches!(&error, ParseError::NoGeoJson(_)),
            "{text}: {error:?}"
        );
    }
    // One broken line among many costs only itself.
    let text = format!("\u{1e}{}\n{{broken\n", feature(r#"{"OBJL":71}"#, POINT));
    let reading = read(&text, None);
    assert_eq!((reading.features.len(), reading.faults.total()), (1, 1));
    assert!(read("", None).features.is_empty());
}

proptest::proptest! {
    /// No input causes a panic.
    #[test]
    fn any_text_is_read_or_refused(text in ".{0,200}", value in "[-0-9.eE\\[\\]\"a-z,{}:]{0,40}") {
        let _ = Reading::of("A").take(&text, Some(Class::DepthArea));
        let _ = Reading::of("A").take(&feature(&format!(r#"{{"OBJL":153,"VALSOU":{value}}}"#), &value), None);
        let _ = Reading::of("A").take(&feature(r#"{"OBJL":42}"#, &format!(r#"{{"type":"Polygon","coordinates":{value}}}"#)), None);
    }
}
