//! Two pictures without a time axis: the track over the ground, and where she lay around the anchor.

use super::facts::Night;
use super::plots::{ALARM, FAINT, INK, LINE, RULE, SECOND, SIZE, THIRD, points};
use crate::chart::sketch::{AMPLE, Ground, SCANT, Sketch};
use crate::geodesy::{Offset, Plane, Position};
use crate::plot::writer::{Point, Rect, Side, Stroke, Svg, number, through};
use crate::time::Timestamp;

/// Converts ground to picture: north up, the anchor in the middle.
struct View {
    plane: Plane,
    /// Units of the picture for each metre.
    units: f64,
}

impl View {
    fn at(&self, position: Position) -> Point {
        self.on(self.plane.offset(position))
    }

    fn on(&self, offset: Offset) -> Point {
        Point {
            x: MIDDLE + offset.east * self.units,
            y: MIDDLE - offset.north * self.units,
        }
    }
}

/// The track for the page's script: milliseconds since the beginning, and the point in the picture.
pub(super) type Drawn = Vec<Vec<(i64, f64, f64)>>;

/// The track over the ground; `None` if no position is known.
pub(super) fn ground(night: &Night, from: Timestamp) -> Option<(String, Drawn)> {
    let first = night.track.first().and_then(|piece| piece.first());
    let anchor = night.anchor.place();
    let centre = anchor.or(first.map(|spot| spot.position))?;
    let plane = Plane::at(centre);
    let mut half = night.anchor.circle.or(night.anchor.reach).unwrap_or(20.0);
    // A fix that jumped a mile must not make everything else tiny.
    let far = half * 5.0;
    for spot in night.track.iter().flatten() {
        let away = plane.offset(spot.position).length().get();
        if away <= far {
            half = half.max(away);
        }
    }
    let view = View {
        plane,
        units: (MIDDLE - 14.0) / half.max(20.0),
    };
    let mut svg = Svg::new(SIDE, SIDE);
    let room = Rect {
        x: 0.5,
        y: 0.5,
        width: SIDE - 1.0,
        height: SIDE - 1.0,
    };
    svg.hatching("too-shoal", FAINT);
    svg.clip(room);
    for sketch in &night.charts {
        chart(&mut svg, &view, sketch);
    }
    if let Some(anchor) = anchor {
        let at = view.at(anchor);
        if let Some(circle) = night.anchor.circle {
            let dashes = Stroke::dashed(SECOND, 1.6, "7 5");
            svg.circle("", at, circle * view.units, "none", Some(dashes));
        }
        if let Some(doubt) = night.anchor.uncertainty {
            let dots = Stroke::dashed(ALARM, 2.0, "0 4");
            svg.circle("", at, doubt * view.units, "none", Some(dots));
        }
    }
    let drawn: Drawn = night
        .track
        .iter()
        .map(|piece| {
            let place = |spot: &super::track::Spot| {
                let at = view.at(spot.position);
                (spot.time.millis_since(from), at.x, at.y)
            };
            piece.iter().map(place).collect()
        })
        .collect();
    for piece in &drawn {
        let line: Vec<[f64; 2]> = piece.iter().map(|&(_, x, y)| [x, y]).collect();
        let pen = Stroke::of(LINE, 1.2);
        svg.path("", &through(&points(&line)), "none", Some(pen));
    }
    let ends = [
        (drawn.first().and_then(|piece| piece.first()), "begin"),
        (drawn.last().and_then(|piece| piece.last()), "end"),
    ];
    for (end, name) in ends {
        if let Some(&(_, x, y)) = end {
            svg.circle(
                "",
                Point { x, y },
                3.5,
                "var(--paper)",
                Some(Stroke::of(INK, 1.6)),
            );
            label(&mut svg, name, x, y - 22.0);
        }
    }
    if let Some(anchor) = anchor {
        let Point { x, y } = view.at(anchor);
        let cross = through(&points(&[[x - 6.0, y], [x + 6.0, y]]))
            + &through(&points(&[[x, y - 6.0], [x, y + 6.0]]));
        svg.path("", &cross, "none", Some(Stroke::of(ALARM, 2.2)));
        label(&mut svg, "anchor", x, y);
    }
    svg.unclip();
    svg.rect(room, "none", Some(Stroke::of(RULE, 1.0)));
    bar(&mut svg, view.units);
    let north = Point {
        x: SIDE - 14.0,
        y: 18.0,
    };
    let back = Rect {
        x: SIDE - 24.0,
        y: 5.0,
        width: 20.0,
        height: 39.0,
    };
    svg.rect(back, "var(--label)", None);
    svg.words("N", north, SIZE + 1.0, Side::Middle, INK);
    let arrow = through(&points(&[
        [SIDE - 19.0, 30.0],
        [SIDE - 14.0, 21.0],
        [SIDE - 9.0, 30.0],
    ])) + &through(&points(&[[SIDE - 14.0, 21.0], [SIDE - 14.0, 40.0]]));
    svg.path("", &arrow, "none", Some(Stroke::of(INK, 1.6)));
    Some((svg.finish(), drawn))
}

/// A name beside its mark, inside the picture, on its own background.
fn label(svg: &mut Svg, name: &str, x: f64, y: f64) {
    let wide = name.chars().count() as f64 * 7.0 + 4.0;
    let left = if x + 8.0 + wide < SIDE {
        x + 8.0
    } else {
        x - 8.0 - wide
    };
    let back = Rect {
        x: left,
        y: y + 3.0,
        width: wide,
        height: 15.0,
    };
    svg.rect(back, "var(--label)", None);
    let at = Point {
        x: left + 2.0,
        y: y + 14.0,
    };
    svg.words(name, at, SIZE, Side::Start, INK);
}

fn bar(svg: &mut Svg, units: f64) {
    let length = [500.0, 200.0, 100.0, 50.0, 20.0, 10.0, 5.0]
        .into_iter()
        .find(|length| length * units <= 110.0)
        .unwrap_or(5.0);
    let y = SIDE - 12.0;
    let end = 12.0 + length * units;
    let line = through(&points(&[
        [12.0, y - 5.0],
        [12.0, y],
        [end, y],
        [end, y - 5.0],
    ]));
    let back = Rect {
        x: 6.0,
        y: y - 10.0,
        width: end + 40.0,
        height: 17.0,
    };
    svg.rect(back, "var(--label)", None);
    svg.path("", &line, "none", Some(Stroke::of(INK, 1.6)));
    let at = Point {
        x: end + 6.0,
        y: y + 2.0,
    };
    svg.words(&format!("{length} m"), at, SIZE, Side::Start, INK);
}

/// The ground from a chart: land filled, water that is too shoal outlined with dashes, the shoaler the darker.
fn chart(svg: &mut Svg, view: &View, sketch: &Sketch) {
    let middle = view.plane.offset(sketch.centre);
    let place = |[east, north]: [i32; 2]| {
        view.on(Offset {
            east: middle.east + f64::from(east) / 10.0,
            north: middle.north + f64::from(north) / 10.0,
        })
    };
    for area in &sketch.areas {
        let outline: String = area
            .rings
            .iter()
            .map(|ring| {
                let ring: Vec<Point> = ring.iter().map(|spot| place(*spot)).collect();
                through(&ring) + "Z"
            })
            .collect();
        let (fill, edge) = pen(area.ground);
        svg.path("", &outline, fill, edge);
        if area.ground == Ground::Shoal {
            svg.path("", &outline, HATCHED, None);
        }
    }
    for mark in &sketch.marks {
        cross(svg, place(mark.at));
    }
}

/// Fill and edge; the edges show land and shoal ground without colour.
const fn pen(ground: Ground) -> (&'static str, Option<Stroke>) {
    match ground {
        Ground::Deep => ("var(--deep)", None),
        Ground::Ample => ("var(--ample)", None),
        Ground::Scant => ("var(--scant)", None),
        Ground::Shoal => ("var(--shoal)", Some(Stroke::dashed(INK, 1.0, "3 3"))),
        Ground::Land => ("var(--land)", Some(Stroke::of(INK, 1.0))),
    }
}

/// The meaning of the areas on the chart.
pub(super) fn key() -> String {
    let mut svg = Svg::new(300.0, 18.0 * 6.0);
    let (scant, ample) = (
        format!("less than {SCANT} m to spare"),
        format!("{SCANT} to {AMPLE} m to spare"),
    );
    let grounds = [
        (Ground::Land, "land"),
        (Ground::Shoal, "too shoal for her"),
        (Ground::Scant, scant.as_str()),
        (Ground::Ample, ample.as_str()),
        (Ground::Deep, "deeper"),
    ];
    let mut y = 1.0;
    for (ground, name) in grounds {
        let (fill, edge) = pen(ground);
        let swatch = [[1.0, y], [29.0, y], [29.0, y + 13.0], [1.0, y + 13.0]];
        let edge = edge.unwrap_or(Stroke::of(RULE, 1.0));
        let round = through(&points(&swatch)) + "Z";
        svg.path("", &round, fill, Some(edge));
        if ground == Ground::Shoal {
            svg.path("", &round, HATCHED, None);
        }
        let at = Point {
            x: 36.0,
            y: y + 11.0,
        };
        svg.words(name, at, SIZE, Side::Start, INK);
        y += 18.0;
    }
    cross(
        &mut svg,
        Point {
            x: 15.0,
            y: y + 6.0,
        },
    );
    let at = Point {
        x: 36.0,
        y: y + 11.0,
    };
    svg.words("danger at a point", at, SIZE, Side::Start, INK);
    svg.finish()
}

fn cross(svg: &mut Svg, Point { x, y }: Point) {
    let cross = through(&points(&[[x - 3.0, y - 3.0], [x + 3.0, y + 3.0]]))
        + &through(&points(&[[x - 3.0, y + 3.0], [x + 3.0, y - 3.0]]));
    svg.path("", &cross, "none", Some(Stroke::of(INK, 1.2)));
}

/// Where she lay around the anchor; `None` if nothing is known.
pub(super) fn swing(night: &Night) -> Option<String> {
    let total: f64 = night.swing.iter().map(|sector| sector.seconds).sum();
    let most = night
        .swing
        .iter()
        .map(|sector| sector.seconds)
        .fold(0.0, f64::max);
    let far = night
        .swing
        .iter()
        .map(|sector| sector.farthest)
        .fold(0.0, f64::max);
    if total <= 0.0 {
        return None;
    }
    let units = (MIDDLE - 34.0) / far.max(1.0);
    let mut svg = Svg::new(SIDE, SIDE);
    let step = [5.0, 10.0, 20.0, 50.0, 100.0, 200.0]
        .into_iter()
        .find(|step| far / step <= 4.0)
        .unwrap_or(500.0);
    let width = std::f64::consts::TAU / night.swing.len().max(1) as f64;
    let edge = |bearing: f64, metres: f64| Point {
        x: MIDDLE + bearing.sin() * metres * units,
        y: MIDDLE - bearing.cos() * metres * units,
    };
    for (number, sector) in night.swing.iter().enumerate() {
        if sector.seconds <= 0.0 {
            continue;
        }
        let bearing = number as f64 * width;
        let side = width * 0.46;
        let wedge = through(&[
            edge(0.0, 0.0),
            edge(bearing - side, sector.farthest),
            edge(bearing, sector.farthest),
            edge(bearing + side, sector.farthest),
        ]);
        let share = sector.seconds / most;
        let shade = match share {
            share if share > 0.66 => "var(--shade3)",
            share if share > 0.33 => "var(--shade2)",
            _ => "var(--shade1)",
        };
        svg.path("", &format!("{wedge}Z"), shade, Some(Stroke::of(LINE, 0.8)));
    }
    let mut ring = step;
    let centre = Point {
        x: MIDDLE,
        y: MIDDLE,
    };
    while ring <= far * 1.05 {
        svg.circle(
            "",
            centre,
            ring * units,
            "none",
            Some(Stroke::of(FAINT, 0.8)),
        );
        let at = Point {
            x: MIDDLE + 3.0,
            y: MIDDLE - ring * units - 3.0,
        };
        let name = format!("{ring} m");
        let back = Rect {
            x: at.x - 2.0,
            y: at.y - 10.0,
            width: name.chars().count() as f64 * 7.0 + 2.0,
            height: 13.0,
        };
        svg.rect(back, "var(--label)", None);
        svg.words(&name, at, SIZE - 1.0, Side::Start, INK);
        ring += step;
    }
    for (name, x, y) in [
        ("N", MIDDLE, 14.0),
        ("E", SIDE - 8.0, MIDDLE + 4.0),
        ("S", MIDDLE, SIDE - 6.0),
        ("W", 8.0, MIDDLE + 4.0),
    ] {
        svg.words(name, Point { x, y }, SIZE + 1.0, Side::Middle, INK);
    }
    svg.circle("", centre, 3.0, THIRD, None);
    Some(svg.finish())
}

/// A piece of the track for the page's script.
pub(super) fn polyline(piece: &[(i64, f64, f64)]) -> Vec<[f64; 3]> {
    let tenth = |value: f64| number(value).parse().unwrap_or(0.0);
    piece
        .iter()
        .map(|&(time, x, y)| [(time / 1000) as f64, tenth(x), tenth(y)])
        .collect()
}

/// The hatching of ground that is too shoal: it can be told apart without colour.
const HATCHED: &str = "url(#too-shoal)";
const SIDE: f64 = 350.0;
const MIDDLE: f64 = SIDE / 2.0;
