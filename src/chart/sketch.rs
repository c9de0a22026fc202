//! The charts about a place in the form for a picture: areas by their meaning for this boat, and dangers.
//!
//! **Method.** Each ring of the areas near the place is cut to a square ([`clipped`]). The outlines are simplified
//! (Ramer, Douglas and Peucker, by a library) to what [`PARTS`] of half the square's side can show, and more coarsely
//! until [`MOST_POINTS`] are enough. An area is judged by its shoaler bound at the lowest water of the stay. What no
//! area covers stays open: a picture shows it as unknown, never as deep.
//! **Weakness.** Outlines are a pixel or two off, and islands smaller than that disappear. The sketch is for viewing,
//! not for judging; the judgement is [`super::clearance`]. **Test**: below.

use geo::{Coord, LineString, Simplify as _};
use serde::{Deserialize, Serialize};

use super::clearance::Needs;
use super::local::{Figure, clipped, gather};
use super::object::Says;
use super::sheet::Sheet;
use super::zone::Spot;
use crate::geodesy::{Plane, Position};
use crate::units::Metres;

/// A square of the charts.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Sketch {
    /// Its centre.
    pub centre: Position,
    /// From the centre to each side.
    pub within: Metres,
    /// The safest first: later ones are drawn on top.
    pub areas: Vec<SketchArea>,
    /// Point dangers, the nearest to the centre first.
    pub marks: Vec<SketchMark>,
}

/// An area and its rings: decimetres east and north of the centre; outlines counterclockwise, holes clockwise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SketchArea {
    /// Its meaning for this boat.
    pub ground: Ground,
    /// The rings.
    pub rings: Vec<Vec<[i32; 2]>>,
}

/// The meaning of an area for this boat at the lowest water of the stay, the safest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Ground {
    /// More than [`AMPLE`] beyond the depth she needs.
    Deep,
    /// Between [`SCANT`] and [`AMPLE`] beyond it.
    Ample,
    /// Up to [`SCANT`] beyond it.
    Scant,
    /// Less than draught and margin, or a danger of unknown depth.
    Shoal,
    /// Land, and objects that stand out of the water.
    Land,
}

/// A danger at a point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SketchMark {
    /// Decimetres east and north of the centre.
    pub at: [i32; 2],
    /// Whether it is one of the boat's own soundings.
    pub own: bool,
}

/// Metres beyond the depth she needs, below which the water is scant.
pub const SCANT: f64 = 2.0;
/// Metres beyond the depth she needs, below which the water is ample and above which it is deep.
pub const AMPLE: f64 = 5.0;

impl Sheet {
    /// The square about a place.
    #[must_use]
    pub fn sketch(&self, centre: Position, within: Metres, needs: &Needs) -> Sketch {
        let plane = Plane::at(centre);
        // A little more than the distance to the corners.
        let range = within.get() * 1.5;
        let near = gather(self, plane, range);
        let ground = |depth: Metres| match (depth - needs.depth()).get() {
            short if short < -1e-6 => Ground::Shoal,
            scant if scant < SCANT => Ground::Scant,
            ample if ample < AMPLE => Ground::Ample,
            _ => Ground::Deep,
        };
        let half = within.get();
        let cut = |area: &[Vec<Spot>]| -> Vec<Vec<Spot>> {
            area.iter()
                .map(|ring| clipped(ring.clone(), [-half; 2], [half; 2]))
                .collect()
        };
        let mut areas = Vec::new();
        let mut marks: Vec<SketchMark> = Vec::new();
        for local in &near {
            let means = match &local.object.says {
                Says::Solid => Ground::Land,
                Says::Over(None) => Ground::Shoal,
                Says::Depth {
                    least: Some(depth), ..
                }
                | Says::Over(Some(depth)) => ground(*depth),
                _ => continue,
            };
            match &local.figure {
                Figure::Area(area) => areas.push((means, cut(area))),
                Figure::Point(at) if means >= Ground::Shoal => marks.push(mark(*at, false)),
                Figure::Point(_) | Figure::Lines(_) => {}
            }
        }
        let own = self.own().near(plane, range, |_| true);
        let short = |depth: Metres| ground(depth) == Ground::Shoal;
        marks.extend(
            own.iter()
                .filter(|near| short(near.sounding.depth))
                .map(|near| mark(near.taken, true)),
        );
        let off = |mark: &SketchMark| i64::from(mark.at[0]).pow(2) + i64::from(mark.at[1]).pow(2);
        marks.sort_by_key(off);
        marks.truncate(MOST_MARKS);
        // Dangers are drawn above the depths around them, whatever these are.
        areas.sort_by_key(|(means, _)| *means);
        Sketch {
            centre,
            within,
            areas: simplified(&areas, within.get() / PARTS),
            marks,
        }
    }
}

fn simplified(areas: &[(Ground, Vec<Vec<Spot>>)], mut tolerance: f64) -> Vec<SketchArea> {
    loop {
        let drawn: Vec<SketchArea> = areas
            .iter()
            .map(|(ground, rings)| SketchArea {
                ground: *ground,
                rings: rings
                    .iter()
                    .map(|ring| ring_of(ring, tolerance))
                    .filter(|ring| ring.len() > 3)
                    .collect(),
            })
            .filter(|area| !area.rings.is_empty())
            .collect();
        let points: usize = drawn
            .iter()
            .flat_map(|area| &area.rings)
            .map(Vec::len)
            .sum();
        if points <= MOST_POINTS || tolerance > 1e5 {
            return drawn;
        }
        tolerance *= 2.0;
    }
}

fn ring_of(ring: &[Spot], tolerance: f64) -> Vec<[i32; 2]> {
    let line = LineString(ring.iter().map(|p| Coord { x: p[0], y: p[1] }).collect());
    let line = line.simplify(tolerance);
    line.0.iter().map(|c| decimetres([c.x, c.y])).collect()
}

fn mark(at: Spot, own: bool) -> SketchMark {
    SketchMark {
        at: decimetres(at),
        own,
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "held within some kilometres"
)]
fn decimetres(at: Spot) -> [i32; 2] {
    at.map(|metres| (metres * 10.0).round().clamp(-1e8, 1e8) as i32)
}

/// A picture has about 340 units from its centre to its side.
const PARTS: f64 = 340.0;
/// The number that a small computer draws in a tenth of a second.
const MOST_POINTS: usize = 4000;
const MOST_MARKS: usize = 60;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::own::{OwnSounding, ReducedBy};
    use crate::chart::parse::Reading;
    use crate::geodesy::Offset;
    use crate::time::Timestamp;
    use crate::units::LengthUnit;

    const COVE: Position = Position::of(59.8539, 23.26);

    fn place(east: f64, north: f64) -> String {
        let at = Plane::at(COVE).position(Offset { east, north });
        format!("[{:.9},{:.9}]", at.longitude(), at.latitude())
    }

    fn feature(properties: &str, outline: impl Iterator<Item = (f64, f64)>) -> String {
        let corners: Vec<String> = outline.map(|(east, north)| place(east, north)).collect();
        format!(
            "{{\"type\":\"Feature\",\"properties\":{properties},\"geometry\":{{\"type\":\"Polygon\",\"coordinates\":[[{},{}]]}}}}\n",
            corners.join(","),
            corners[0]
        )
    }

    fn square(side: f64) -> impl Iterator<Item = (f64, f64)> {
        [(-side, -side), (side, -side), (side, side), (-side, side)].into_iter()
    }

    /// 12 m deep, with a ragged bank of 1 m in it, and an islet on the bank.
    fn sheet() -> Sheet {
        let ragged = (0..20_000).map(|step| {
            let turn = f64::from(step) / 20_000.0 * std::f64::consts::TAU;
            let radius = 120.0 + 6.0 * (turn * 900.0).sin();
            (radius * turn.cos(), radius * turn.sin())
        });
        let features = [
            feature(r#"{"OBJL":42,"DRVAL1":12,"DRVAL2":20}"#, square(3000.0)),
            feature(r#"{"OBJL":42,"DRVAL1":1,"DRVAL2":2}"#, ragged),
            feature(r#"{"OBJL":71}"#, square(20.0)),
            feature(r#"{"OBJL":302,"CATCOV":1}"#, square(3000.0)),
        ];
        let mut reading = Reading::of("COVE");
        reading.take(&features.concat(), None).unwrap();
        let mut faults = crate::chart::faults::Faults::default();
        let cell = crate::chart::cell::Cell::of(reading, &mut faults).unwrap();
        Sheet::of(vec![(cell.about, cell.pieces)])
    }

    fn needs() -> Needs {
        Needs {
            draught: Metres::of(1.9),
            margin: Metres::of(0.5),
            lowest: Metres::of(0.3),
            now: None,
            say: LengthUnit::Metres,
            language: crate::speech::Language::default(),
        }
    }

    #[test]
    fn areas_are_drawn_by_meaning_and_within_bounds() {
        let sketch = sheet().sketch(COVE, Metres::of(200.0), &needs());
        let grounds: Vec<Ground> = sketch.areas.iter().map(|area| area.ground).collect();
        assert!(
            grounds.is_sorted() && grounds.contains(&Ground::Deep),
            "{grounds:?}"
        );
        assert!(grounds.contains(&Ground::Shoal) && grounds.contains(&Ground::Land));
        let rings = sketch.areas.iter().flat_map(|area| &area.rings);
        let points: Vec<[i32; 2]> = rings.flatten().copied().collect();
        assert!(points.len() <= MOST_POINTS, "{}", points.len());
        // Cut to the square.
        assert!(points.iter().flatten().all(|it| it.abs() <= 2000));
        // The islet is in its place: 20 m each way.
        let land = sketch.areas.iter().filter(|it| it.ground == Ground::Land);
        let corners: Vec<i32> = land
            .flat_map(|it| &it.rings)
            .flatten()
            .flatten()
            .copied()
            .collect();
        assert!(!corners.is_empty() && corners.iter().all(|it| (it.abs() - 200).abs() <= 1));
    }

    /// The ring crosses itself beyond the square, doubles back and repeats corners: it is drawn within the square all
    /// the same.
    #[test]
    fn a_folded_ring_is_cut_and_drawn() {
        let corners = [
            (-900.0, -50.0),
            (900.0, -50.0),
            (900.0, -50.0),
            (-900.0, -50.0),
            (900.0, 60.0),
            (-900.0, 60.0),
            (900.0, -60.0),
            (100.0, 900.0),
            (100.0, -900.0),
            (100.0, 900.0),
        ];
        let folded = feature(r#"{"OBJL":71}"#, corners.into_iter());
        let mut reading = Reading::of("COVE");
        reading.take(&folded, None).unwrap();
        let mut faults = crate::chart::faults::Faults::default();
        let cell = crate::chart::cell::Cell::of(reading, &mut faults).unwrap();
        let sheet = Sheet::of(vec![(cell.about, cell.pieces)]);
        let sketch = sheet.sketch(COVE, Metres::of(200.0), &needs());
        let points: Vec<i32> = sketch
            .areas
            .iter()
            .flat_map(|area| area.rings.iter().flatten().flatten().copied())
            .collect();
        assert!(points.len() > 8, "{points:?}");
        assert!(points.iter().all(|it| it.abs() <= 2000), "{points:?}");
    }

    #[test]
    fn own_soundings_that_are_too_shoal_are_marked() {
        let sounding = |depth: f64, east: f64| OwnSounding {
            position: Plane::at(COVE).position(Offset { east, north: 0.0 }),
            depth: Metres::of(depth),
            doubt: Metres::of(4.0),
            at: Timestamp::EPOCH,
            tide: ReducedBy::Server,
        };
        // She needs 2.1 m.
        let soundings = vec![sounding(1.8, 60.0), sounding(2.5, 10.0)];
        let sketch = Sheet::default()
            .with_own(soundings)
            .sketch(COVE, Metres::of(200.0), &needs());
        assert_eq!(sketch.areas, []);
        assert_eq!(
            sketch.marks,
            [SketchMark {
                at: [600, 0],
                own: true
            }]
        );
    }
}
