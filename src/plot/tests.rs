//! The picture as a whole: parsed by usvg, a foreign parser, and measured there.

use std::time::Duration;

use resvg::tiny_skia::Pixmap;
use resvg::usvg::{Group, Node, TextChunk, Tree};

use super::*;
use crate::alert::hazard::{AlertState, Hazard, Priority};
use crate::geodesy::Position;
use crate::units::{Angle, Bearing, LengthUnit, Metres, Speed};
use crate::watch::anchorage::phase::AnchorPhase;
use crate::watch::track::TrackPoint;

mod any_input;
mod charts;
mod pixels;

/// An invented cove.
const COVE: Position = Position::of(59.8539, 23.26);

fn time() -> Timestamp {
    "2026-06-02T00:19:30Z".parse().unwrap()
}

fn alert(hazard: Hazard, priority: Priority, state: AlertState, message: &str) -> AlertView {
    let since = time().minus(Duration::from_secs(40));
    AlertView {
        hazard,
        priority,
        state,
        ..AlertView::drag(since, message)
    }
}

/// The yacht "Tern" at anchor: 38 m south-west of it, heading towards it, with an hour of swinging behind
/// her.
fn tern() -> PictureInput {
    let centre = COVE.moved(Bearing::from_degrees(225.0), Metres::of(38.0));
    let track = (0..720_u64)
        .map(|index| {
            let swing = 25.0 * (index as f64 / 36.0).sin();
            TrackPoint {
                time: time().minus(Duration::from_secs(5 * (719 - index))),
                position: COVE.moved(Bearing::from_degrees(225.0 + swing), Metres::of(38.0)),
            }
        })
        .collect();
    PictureInput {
        clock: crate::time::ShipClock::default(),
        charts: Vec::new(),
        lengths: LengthUnit::Metres,
        language: Language::default(),
        time: time(),
        alerts: Vec::new(),
        picture: WatchState {
            phase: AnchorPhase::Set,
            phase_since: Some(time().minus(Duration::from_hours(3))),
            anchor: Some(COVE),
            max_radius: Some(Metres::of(55.0)),
            current_radius: Some(Metres::of(38.0)),
            anchor_bearing: Some(Bearing::from_degrees(45.0)),
            anchor_distance: Some(Metres::of(32.0)),
            rode_out: Some(Metres::of(40.0)),
            reach: Some(Metres::of(39.0)),
            scope: Some(5.6),
            fix_uncertainty: Some(Metres::of(4.8)),
            wind_direction: Some(Bearing::from_degrees(45.0)),
            wind_speed: Some(Speed::from_knots(18.0)),
            water_depth: Some(Metres::of(6.2)),
            centre: Some(centre),
            roller: Some(centre.moved(Bearing::from_degrees(45.0), Metres::of(6.0))),
            ..WatchState::default()
        },
        sight: Sight {
            heading: Some(Bearing::from_degrees(45.0)),
            length: Metres::of(11.2),
            beam: Some(Metres::of(3.6)),
            under_keel: Some(Metres::of(4.3)),
            track,
        },
    }
}

fn dragging() -> PictureInput {
    let mut input = tern();
    input.picture.phase = AnchorPhase::Dragging;
    input.picture.anchor_moved = Some(Metres::of(14.0));
    input.alerts = vec![
        alert(
            Hazard::Dragging,
            Priority::Alarm,
            AlertState::ActiveUnacknowledged,
            "dragging: the anchor has moved 14 m or more; the mark bears 045° at 53 m, the rode reaches 39 m; look outside, start the engine",
        ),
        alert(
            Hazard::WindShift,
            Priority::Warning,
            AlertState::ActiveAcknowledged,
            "wind shift",
        ),
    ];
    input
}

/// Parses a document with only our embedded font.
fn read(text: &str) -> Result<Tree, resvg::usvg::Error> {
    let mut options = resvg::usvg::Options {
        font_family: lettering::FAMILY.to_owned(),
        ..resvg::usvg::Options::default()
    };
    let mut fonts = resvg::usvg::fontdb::Database::new();
    fonts.load_font_data(lettering::FONT.to_vec());
    fonts.set_monospace_family(lettering::FAMILY);
    options.fontdb = std::sync::Arc::new(fonts);
    Tree::from_str(text, &options)
}

/// An element's place according to the parser: left, top, right, bottom of its fill.
fn place(tree: &Tree, id: &str) -> [f64; 4] {
    let node = tree
        .node_by_id(id)
        .unwrap_or_else(|| panic!("no `{id}` in the picture"));
    let rect = node.abs_bounding_box();
    [rect.left(), rect.top(), rect.right(), rect.bottom()].map(f64::from)
}

fn middle(place: [f64; 4]) -> (f64, f64) {
    (
        f64::midpoint(place[0], place[2]),
        f64::midpoint(place[1], place[3]),
    )
}

/// Every text with its place.
fn texts(group: &Group, found: &mut Vec<(String, [f64; 4])>) {
    for node in group.children() {
        match node {
            Node::Group(inner) => texts(inner, found),
            Node::Text(text) => {
                let says: String = text.chunks().iter().map(TextChunk::text).collect();
                // The ink of the letters, not the line that contains them.
                let rect = text.flattened().abs_bounding_box();
                found.push((
                    says,
                    [rect.left(), rect.top(), rect.right(), rect.bottom()].map(f64::from),
                ));
            }
            Node::Path(_) | Node::Image(_) => {}
        }
    }
}

fn all_texts(input: &PictureInput) -> Vec<(String, [f64; 4])> {
    let tree = read(&svg(input)).unwrap();
    let mut found = Vec::new();
    texts(tree.root(), &mut found);
    found
}

#[test]
fn circle_reach_and_bar_are_as_long_as_they_say() {
    let tree = read(&svg(&tern())).unwrap();
    let circle = place(&tree, "swinging-circle");
    let metre = (circle[2] - circle[0]) / 110.0;
    let reach = place(&tree, "reach");
    assert!((reach[2] - reach[0] - 78.0 * metre).abs() < 0.3);
    // The bar's label is the longest round length that fits into its room.
    let bar = place(&tree, "scale-bar");
    assert!((bar[2] - bar[0] - 20.0 * metre).abs() < 0.3, "{metre}");
    assert!(all_texts(&tern()).iter().any(|(text, _)| text == "20 m"));
}

#[test]
fn the_anchor_is_in_the_middle_of_the_circle_and_the_boat_where_the_geodesic_says() {
    let tree = read(&svg(&tern())).unwrap();
    let circle = place(&tree, "swinging-circle");
    let anchor = middle(circle);
    let symbol = middle(place(&tree, "anchor"));
    assert!((anchor.0 - symbol.0).abs() < 0.2 && (anchor.1 - symbol.1).abs() < 0.2);
    let metre = (circle[2] - circle[0]) / 110.0;
    // 38 m towards 225°: as far left as down.
    let away = 38.0 * metre * std::f64::consts::FRAC_1_SQRT_2;
    let mut input = tern();
    input.sight.heading = None;
    let (x, y) = middle(place(&read(&svg(&input)).unwrap(), "boat"));
    assert!((x - (anchor.0 - away)).abs() < 0.3, "{x}");
    assert!((y - (anchor.1 + away)).abs() < 0.3, "{y}");
    // Her stem points at the anchor, half her length from her centre.
    let boat = place(&tree, "boat");
    let stem = 5.6 * metre * std::f64::consts::FRAC_1_SQRT_2;
    assert!((boat[2] - (anchor.0 - away + stem)).abs() < 0.3);
    assert!((boat[1] - (anchor.1 + away - stem)).abs() < 0.3);
}

#[test]
fn the_wind_arrow_flies_with_the_wind() {
    for (from, right, down) in [(0.0, 0.0, 1.0), (90.0, -1.0, 0.0), (225.0, 1.0, -1.0)] {
        let mut input = tern();
        input.picture.wind_direction = Some(Bearing::from_degrees(from));
        let tree = read(&svg(&input)).unwrap();
        let (ring, head) = (
            middle(place(&tree, "wind")),
            middle(place(&tree, "wind-head")),
        );
        for (way, off) in [(right, head.0 - ring.0), (down, head.1 - ring.1)] {
            assert!(
                if way == 0.0 {
                    off.abs() < 1.0
                } else {
                    off * way > 5.0
                },
                "{from}: {off}"
            );
        }
    }
}

#[test]
fn without_a_fix_no_boat_is_drawn_and_without_a_heading_no_bow() {
    let mut input = tern();
    input.sight.heading = None;
    let tree = read(&svg(&input)).unwrap();
    assert!(tree.node_by_id("boat-any-way").is_some());
    assert!(
        all_texts(&input)
            .iter()
            .any(|(text, _)| text == "no heading")
    );
    input.picture.centre = None;
    input.picture.roller = None;
    input.sight.track.truncate(660);
    let tree = read(&svg(&input)).unwrap();
    for gone in ["boat", "boat-any-way", "rode"] {
        assert!(tree.node_by_id(gone).is_none(), "{gone}");
    }
    assert!(tree.node_by_id("last-seen").is_some());
    assert!(
        all_texts(&input)
            .iter()
            .any(|(text, _)| text == "seen 5 min ago")
    );
}

/// Fifty seconds after the server died: every figure based on an old value shows its age, no boat is drawn
/// as if she lay there now, and the silence has only one age.
#[test]
fn old_figures_show_their_age_and_the_alarm_picture_has_one_age() {
    let input = silent();
    let all = all_texts(&input);
    let said: Vec<&str> = all.iter().map(|(text, _)| text.as_str()).collect();
    for wanted in [
        "32 m 045°, 48 s ago",
        "18 kn 045°, 48 s ago",
        "6.2 m, 24 s ago",
        "none for 48 s",
        "seen 48 s ago",
        "48 s",
    ] {
        assert!(said.contains(&wanted), "{wanted}: {said:#?}");
    }
    let tree = read(&svg(&input)).unwrap();
    for gone in ["boat", "rode", "wind"] {
        assert!(tree.node_by_id(gone).is_none(), "{gone}");
    }
    let ages: Vec<&str> = said
        .iter()
        .flat_map(|text| text.split(|c: char| !c.is_alphanumeric() && c != ' '))
        .map(str::trim)
        .filter(|piece| piece.ends_with(" s") || piece.ends_with("s ago"))
        .filter(|piece| !piece.contains("48 s") && !piece.contains("24 s"))
        .collect();
    assert!(ages.is_empty(), "{ages:?}");
    no_collisions(&input);
}

/// All words of the picture. An alert of a boat at anchor is cut only where the English one is cut too.
#[test]
fn the_picture_in_every_language() {
    let alerts = crate::speech::tests::examples::at_anchor();
    let mut shown = Vec::new();
    let mut cut_in_english = Vec::new();
    for language in Language::ALL {
        let mut input = dragging();
        input.language = language;
        for (index, sentence) in alerts.iter().enumerate() {
            let message = sentence.words(&input.wording());
            // As shown: without the hazard, which is in the head.
            let hazard = Hazard::ALL
                .into_iter()
                .find(|hazard| message.starts_with(&hazard.words().words(&input.wording())));
            input.alerts[0].hazard = hazard.unwrap_or(Hazard::Dragging);
            input.alerts[0].message = message;
            let cut = |(text, _): &(String, _)| text.ends_with('…');
            let texts = all_texts(&input);
            let is_cut = texts.iter().any(cut);
            if language == Language::English {
                cut_in_english.push(is_cut);
            }
            assert!(!is_cut || cut_in_english[index], "{language:?}: {texts:#?}");
            no_collisions(&input);
        }
        input.alerts[0].hazard = Hazard::Dragging;
        input.alerts[0].message = alerts[1].words(&input.wording());
        for input in [
            &input,
            &PictureInput {
                language,
                ..silent()
            },
        ] {
            let texts = all_texts(input).into_iter().map(|(text, _)| text);
            shown.push(texts.collect::<Vec<_>>().join("\n"));
        }
    }
    insta::assert_snapshot!(shown.join("\n\n"));
}

#[test]
fn every_length_in_the_picture_is_in_the_crew_s_unit() {
    let mut input = tern();
    input.lengths = LengthUnit::Feet;
    let said: Vec<String> = all_texts(&input)
        .into_iter()
        .map(|(text, _)| text)
        .collect();
    for wanted in [
        "105 ft 045°",
        "128 ft",
        "180 ft",
        "20 ft 5.6:1",
        "±16 ft",
        "circle 180 ft",
        "reach 128 ft",
        "100 ft",
    ] {
        assert!(
            said.iter().any(|text| text == wanted),
            "{wanted}: {said:#?}"
        );
    }
    assert!(!said.iter().any(|text| text.ends_with(" m")), "{said:#?}");
    input.picture.measured_from = crate::watch::state::MeasuredFrom::Antenna;
    let said = all_texts(&input);
    assert!(said.iter().any(|(text, _)| text == "anchor from antenna"));
}

fn silent() -> PictureInput {
    let mut input = tern();
    input.sight.track.truncate(711);
    input.picture.fix_uncertainty = None;
    input.picture.fix_ago = Some(48.0);
    input.picture.wind_ago = Some(48.0);
    input.picture.depth_ago = Some(24.0);
    input.picture.drag_probability = Some(0.0);
    let mut lost = alert(
        Hazard::DataLink,
        Priority::Alarm,
        AlertState::ActiveUnacknowledged,
        "Signal K server lost since 00:18 UTC: Signal K server not answering; drag cannot be detected, keep a lookout",
    );
    lost.since = time().minus(Duration::from_secs(18));
    input.alerts = vec![lost];
    input
}

#[test]
fn the_gravest_alert_stands_on_top_with_its_number() {
    let texts = all_texts(&dragging());
    let said: Vec<&str> = texts.iter().map(|(text, _)| text.as_str()).collect();
    assert_eq!(
        said[..8],
        [
            "DRAGGING",
            "14 m",
            "ALARM, not acknowledged, since 00:18 UTC",
            "the anchor has moved 14 m or more;",
            "the mark bears 045° at 53 m, the",
            "rode reaches 39 m; look outside,",
            "start the engine",
            "also wind shift",
        ]
    );
}

/// At arm's length (0.6 m), a picture 65 mm wide shows 0.09 mm per unit. 20/40 letters are 10' of arc high,
/// 1.75 mm there; the capitals of the font are 0.73 of the size (1493 of 2048). A sleepy person must be
/// able to read the hazard; the rest is for readers who look for it.
#[test]
fn letters_are_large_enough_for_arm_s_length() {
    let millimetres = |size: f64| size * 1493.0 / 2048.0 * 65.0 / WIDTH;
    let document = svg(&dragging());
    let sizes: Vec<f64> = document
        .split("font-size=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap().parse().unwrap())
        .collect();
    let largest = sizes.iter().copied().fold(0.0, f64::max);
    let least = sizes.iter().copied().fold(f64::MAX, f64::min);
    assert!(millimetres(largest) > 2.0 * 1.75);
    assert!(millimetres(least) > 0.8 * 1.75, "{least}");
}

#[test]
fn no_two_texts_touch_and_none_leaves_the_picture() {
    let mut blind = tern();
    blind.picture.centre = None;
    blind.picture.roller = None;
    let mut small = tern();
    small.picture.max_radius = Some(Metres::of(8.0));
    small.picture.reach = Some(Metres::of(7.5));
    for input in [tern(), dragging(), blind, small] {
        no_collisions(&input);
    }
}

#[test]
fn other_vessels_are_drawn_where_they_lie_with_their_circles_and_names() {
    let mut input = tern();
    input.picture.neighbours = vec![
        charts::neighbour("Plover", 300.0, 60.0),
        charts::neighbour("a name that is far too long for the picture", 120.0, 70.0),
        charts::neighbour("far", 0.0, 5000.0),
    ];
    no_collisions(&input);
    let tree = read(&svg(&input)).unwrap();
    assert!(tree.node_by_id("neighbour-circle-0").is_some());
    let said: Vec<String> = all_texts(&input)
        .into_iter()
        .map(|(text, _)| text)
        .collect();
    assert!(said.contains(&"Plover".to_owned()), "{said:?}");
    assert!(said.contains(&"a name that ".to_owned()) || said.contains(&"a name that".to_owned()));
    assert!(!said.contains(&"far".to_owned()));
    // With an old fix, no vessel is drawn as if she lay there now.
    input.picture.fix_ago = Some(48.0);
    let tree = read(&svg(&input)).unwrap();
    assert!(tree.node_by_id("neighbour-0").is_none());
}

fn no_collisions(input: &PictureInput) {
    let texts = all_texts(input);
    for (index, (text, place)) in texts.iter().enumerate() {
        assert!(
            place[0] >= 0.0 && place[1] >= 0.0 && place[2] <= WIDTH && place[3] <= HEIGHT,
            "`{text}` leaves the picture: {place:?}"
        );
        for (other, its) in &texts[..index] {
            let apart = place[0] >= its[2]
                || its[0] >= place[2]
                || place[1] >= its[3]
                || its[1] >= place[3];
            assert!(apart, "`{text}` on `{other}`");
        }
    }
}

#[test]
fn a_name_that_looks_like_markup_is_only_shown() {
    let mut input = dragging();
    let name = "</text><script>\"Tern\" & ']]> <image href=\"file:///etc/passwd\"/>";
    name.clone_into(&mut input.alerts[0].message);
    let document = svg(&input);
    assert!(!document.contains("<script") && !document.contains("<image"));
    let tree = read(&document).unwrap();
    let mut found = Vec::new();
    texts(tree.root(), &mut found);
    assert!(found.iter().any(|(text, _)| text.contains("<script>")));
}

#[test]
fn the_picture_of_a_drag_is_as_it_was_looked_at() {
    let mut input = dragging();
    // A short track keeps the pinned document readable.
    input.sight.track.drain(..714);
    insta::assert_snapshot!(svg(&input));
}
