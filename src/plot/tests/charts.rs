//! The ground below the picture: an invented bay, a berth planned in it, a night at anchor, a drag.

use super::*;
use crate::chart::clearance::{DepthThere, LeastTold, Needs, RoomTold};
use crate::chart::parse::Reading;
use crate::chart::sheet::Sheet;
use crate::geodesy::{Offset, Plane};
use crate::watch::berth::{BerthWishes, DepthBy, Planned};
use crate::watch::neighbours::telling::{Doing, HerCircle, Neighbour};

fn feature(properties: &str, outline: &[(f64, f64)]) -> String {
    let plane = Plane::at(COVE);
    let corners: Vec<String> = outline
        .iter()
        .chain(outline.first())
        .map(|(east, north)| {
            let at = plane.position(Offset {
                east: *east,
                north: *north,
            });
            format!("[{:.9},{:.9}]", at.longitude(), at.latitude())
        })
        .collect();
    format!(
        "{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{}]]}}}}\n",
        corners.join(",")
    )
}

/// Deep in the west, shoaling to a shore in the east; nothing is charted south of 90 m; two rocks.
fn bay() -> Sheet {
    let strip = |west: f64, east: f64| {
        vec![
            (west - 20.0, -90.0),
            (east - 20.0, -90.0),
            (east + 10.0, 0.0),
            (east - 15.0, 80.0),
            (east, 2000.0),
            (west, 2000.0),
            (west - 15.0, 80.0),
            (west + 10.0, 0.0),
        ]
    };
    let rock = |east: f64, north: f64| {
        let at = Plane::at(COVE).position(Offset { east, north });
        format!(
            "{{\"type\":\"Feature\",\"properties\":{{\"OBJL\":153,\"WATLEV\":3}},\"geometry\":{{\"type\":\"Point\",\"coordinates\":[{:.9},{:.9}]}}}}\n",
            at.longitude(),
            at.latitude()
        )
    };
    let features = [
        feature(r#"{"OBJL":71}"#, &strip(75.0, 2000.0)),
        feature(r#"{"OBJL":42,"DRVAL1":0.5,"DRVAL2":2}"#, &strip(50.0, 75.0)),
        feature(r#"{"OBJL":42,"DRVAL1":2.5,"DRVAL2":5}"#, &strip(20.0, 50.0)),
        feature(r#"{"OBJL":42,"DRVAL1":5,"DRVAL2":10}"#, &strip(-60.0, 20.0)),
        feature(
            r#"{"OBJL":42,"DRVAL1":10,"DRVAL2":20}"#,
            &strip(-2000.0, -60.0),
        ),
        rock(-10.0, -40.0),
        rock(40.0, 60.0),
        feature(
            r#"{"OBJL":302,"CATCOV":1}"#,
            &[
                (-2000.0, -90.0),
                (2000.0, -90.0),
                (2000.0, 2000.0),
                (-2000.0, 2000.0),
            ],
        ),
    ];
    let mut reading = Reading::of("BAY");
    reading.take(&features.concat(), None).unwrap();
    let mut faults = crate::chart::faults::Faults::default();
    let cell = crate::chart::cell::Cell::of(reading, &mut faults).unwrap();
    Sheet::of(vec![(cell.about, cell.pieces)])
}

fn with_ground(mut input: PictureInput) -> PictureInput {
    let needs = Needs {
        draught: Metres::of(1.9),
        margin: Metres::of(0.5),
        lowest: Metres::of(0.2),
        now: None,
        say: LengthUnit::Metres,
        language: crate::speech::Language::default(),
    };
    let within = [1200.0, 170.0].map(Metres::of);
    input.charts = within.map(|it| bay().sketch(COVE, it, &needs)).to_vec();
    input
}

fn room() -> RoomTold {
    RoomTold {
        radius: Metres::of(60.0),
        least: Some(LeastTold {
            depth: Some(Metres::of(0.5)),
            what: "depth area 0.5 m to 2 m".to_owned(),
            distance: Metres::of(52.0),
            bearing: Bearing::from_degrees(85.0),
        }),
        ..RoomTold::default()
    }
}

/// Before the anchor is let go: the berth and the planned circle, with the boat approaching from the
/// south-west.
pub(super) fn planned() -> PictureInput {
    let mut input = tern();
    let from = Bearing::from_degrees(230.0);
    let track = &mut input.sight.track;
    for (index, point) in track.iter_mut().enumerate() {
        point.position = COVE.moved(from, Metres::of(110.0 + (720 - index) as f64));
    }
    let picture = &mut input.picture;
    picture.phase = AnchorPhase::Aweigh;
    picture.anchor = None;
    picture.max_radius = None;
    picture.reach = None;
    picture.berth = Some(COVE);
    picture.berth_distance = Some(Metres::of(104.0));
    picture.berth_bearing = Some(Bearing::from_degrees(50.0));
    picture.centre = Some(COVE.moved(from, Metres::of(110.0)));
    picture.roller = Some(COVE.moved(from, Metres::of(104.0)));
    picture.room_least = Some(Metres::of(0.7));
    picture.planned = Some(Planned {
        rode: Metres::of(45.0),
        scope: 7.0,
        scope_because: "the holding is not known".to_owned(),
        scope_at_high_water: Some(7.0),
        radius: Some(Metres::of(60.0)),
        rode_aboard: None,
        enough: None,
        depth_by: DepthBy::Chart,
        charted: Some(DepthThere {
            least: Metres::of(5.0),
            most: Some(Metres::of(10.0)),
            cell: Some("BAY".to_owned()),
            sounded: None,
        }),
        depth_at_high_water: Metres::of(11.0),
        depth_at_low_water: Metres::of(5.2),
        tide: "tide by hand".to_owned(),
        until: None,
        wishes: BerthWishes::default(),
        room: Some(room()),
        room_least: Some(Metres::of(0.7)),
    });
    with_ground(input)
}

pub(super) fn neighbour(name: &str, bearing: f64, metres: f64) -> Neighbour {
    let bearing = Bearing::from_degrees(bearing);
    let position = COVE.moved(bearing, Metres::of(metres));
    Neighbour {
        name: name.to_owned(),
        doing: Doing::AtAnchor,
        position,
        bearing,
        distance: Metres::of(metres),
        heard_ago: 20.0,
        speed: None,
        circle: Some(HerCircle {
            anchor: position.moved(Bearing::from_degrees(45.0), Metres::of(25.0)),
            radius: Metres::of(34.0),
            assumed: true,
        }),
        room_at_worst: None,
        room_together: None,
    }
}

/// At anchor at night, with the ground and two neighbours.
pub(super) fn night() -> PictureInput {
    let mut input = with_ground(tern());
    input.picture.room = Some(room());
    input.picture.room_least = Some(Metres::of(0.7));
    input.picture.neighbours = vec![
        neighbour("Gull", 300.0, 62.0),
        neighbour("Petrel", 10.0, 75.0),
    ];
    input
}

pub(super) fn drag() -> PictureInput {
    let mut input = with_ground(dragging());
    input.picture.room = Some(room());
    input
}

fn at_centre(place: [f64; 4], other: [f64; 4]) -> f64 {
    let (a, b) = (middle(place), middle(other));
    (a.0 - b.0).hypot(a.1 - b.1)
}

#[test]
fn a_berth_is_drawn_with_its_circle_before_the_anchor_is_let_go() {
    let input = planned();
    let text = svg(&input);
    let tree = read(&text).unwrap();
    let (berth, circle) = (place(&tree, "berth"), place(&tree, "planned-circle"));
    assert!(at_centre(berth, circle) < 0.5);
    // To scale: she is 110 m off, and the circle has a radius of 60 m.
    let away = at_centre(place(&tree, "boat"), berth);
    let radius = (circle[2] - circle[0]) / 2.0;
    assert!(
        (away / radius - 110.0 / 60.0).abs() < 0.05,
        "{away} {radius}"
    );
    for wanted in ["planned 60 m", "least 0.7 m", "berth"] {
        assert!(text.contains(&format!(">{wanted}</text>")), "{wanted}");
    }
    assert!(tree.node_by_id("least-depth").is_some());
    // Once the anchor is let go, the planned circle is gone.
    assert!(!svg(&night()).contains("planned-circle"));
}

/// The ground's meaning by the brightness of the pixels, all in the picture's own hue.
#[test]
fn the_shoaler_the_brighter_and_what_is_not_charted_is_never_as_dark_as_deep_water() {
    let mut input = night();
    // Nothing else is in the way.
    input.sight.track.clear();
    input.picture.neighbours.clear();
    let tree = read(&svg(&input)).unwrap();
    let pixels = raster::draw(&shapes(&input), 1.0).unwrap();
    let anchor = middle(place(&tree, "anchor"));
    let circle = place(&tree, "swinging-circle");
    let units = (circle[2] - circle[0]) / 2.0 / 55.0;
    // The mean over a patch of 12 m.
    let light = |east: f64, north: f64| {
        let (mut sum, mut count) = (0.0, 0.0);
        for step in 0..40 * 40_u32 {
            let (x, y) = (
                f64::from(step % 40) / 40.0 - 0.5,
                f64::from(step / 40) / 40.0 - 0.5,
            );
            let x = anchor.0 + (east + 12.0 * x) * units;
            let y = anchor.1 - (north + 12.0 * y) * units;
            let pixel = pixels.pixel(x as u32, y as u32).unwrap();
            assert!(pixel.red() >= pixel.green() && pixel.green() >= pixel.blue());
            sum += f64::from(pixel.red());
            count += 1.0;
        }
        sum / count
    };
    let (deep, ample, scant) = (light(-68.0, 30.0), light(-30.0, 25.0), light(35.0, -5.0));
    let (shoal, unknown) = (light(63.0, 10.0), light(-20.0, -100.0));
    assert!(
        deep < ample && ample < scant && scant < shoal,
        "{deep} {ample} {scant} {shoal}"
    );
    assert!(unknown > deep + 3.0, "{unknown} {deep}");
}

#[test]
fn with_the_ground_it_is_still_small_and_every_word_is_there() {
    for input in [planned(), night(), drag()] {
        let bare = PictureInput {
            charts: Vec::new(),
            ..input.clone()
        };
        let words = |input: &PictureInput| svg(input).matches("</text>").count();
        assert_eq!(words(&input), words(&bare));
        let drawn = png(&input).unwrap();
        assert!(drawn.len() <= LARGEST_PNG, "{}", drawn.len());
        let width = png::Decoder::new(std::io::Cursor::new(&drawn))
            .read_info()
            .unwrap()
            .info()
            .width;
        assert!(width >= 540, "{width}");
        // The control socket transmits it unchanged.
        let text = serde_json::to_string(&input).unwrap();
        assert_eq!(serde_json::from_str::<PictureInput>(&text).unwrap(), input);
    }
}
