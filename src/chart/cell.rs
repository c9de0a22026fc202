//! A cell: the objects that were read, cut into pieces small enough to be loaded and judged by area.
//!
//! **Method.** An area of more than [`MOST_POINTS`] points is halved across its longer side, repeatedly, by a library's
//! intersection with a box. The pieces share sides and nothing else, so areas add up. A side that a cut made lies
//! within the area, so it is never nearer to a place outside than the true boundary. Lines are split at their points.
//! **Weakness.** Where a cut meets a side, its end is rounded to the grid: a centimetre. **Test**:
//! `pieces_add_up_to_the_area_they_were_cut_from`.

use geo::{BooleanOps as _, Coord, LineString, MultiPolygon, Polygon, Rect};
use serde::{Deserialize, Serialize};

use super::faults::Faults;
use super::object::{About, Object, Says};
use super::parse::{Reading, doubled_area};
use super::shape::{Extent, Path, Shape, Spot};

/// Part of an object: all of it, or a piece of a large one.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Piece {
    /// The object's number within the cell; pieces of one object have the same.
    #[serde(rename = "f")]
    pub feature: u32,
    /// The object: what the chart says.
    #[serde(rename = "o")]
    pub object: Object,
    /// The shape: where it lies.
    #[serde(rename = "g")]
    pub shape: Shape,
}

/// A cell, ready to be stored or used.
#[derive(Clone, Debug, PartialEq)]
pub struct Cell {
    /// The cell's description of itself.
    pub about: About,
    /// All pieces.
    pub pieces: Vec<Piece>,
}

/// A cell without anything that matters to a boat at anchor.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CellError {
    /// The file has neither depth nor land nor danger.
    #[error("`{0}` has neither depth areas nor land; a chart needs DEPARE, DRGARE or LNDARE")]
    Empty(String),
}

/// The largest number of points in a piece. Chosen: judging a circle then reads a few dozen pieces.
const MOST_POINTS: usize = 128;
/// Each halving reduces an extent of 31 bits by one bit.
const MOST_CUTS: u32 = 40;

impl Cell {
    /// Cuts the objects into pieces. Objects whose outline is empty for the library are counted in `faults`.
    pub fn of(reading: Reading, faults: &mut Faults) -> Result<Self, CellError> {
        let mut about = reading.about;
        let skin = |object: &Object| object.class.is_skin();
        if !reading
            .features
            .iter()
            .any(|(object, shape)| skin(object) && matches!(shape, Shape::Area(_)))
        {
            return Err(CellError::Empty(about.name));
        }
        about.coverage_assumed = !reading
            .features
            .iter()
            .any(|(object, _)| object.says == Says::Covered);
        let mut pieces = Vec::new();
        for (number, (object, shape)) in (0..).zip(reading.features) {
            let before = pieces.len();
            let mut put = |shape| {
                pieces.push(Piece {
                    feature: number,
                    object: object.clone(),
                    shape,
                });
            };
            match shape {
                Shape::Point(_) => put(shape),
                Shape::Line(path) => part(&path, &mut put),
                Shape::Area(rings) => cut(rings, MOST_CUTS, &mut put),
            }
            if pieces.len() == before {
                faults.count(
                    format!("left out: {} without an extent", object.class),
                    format!("number {}", number + 1),
                );
            }
        }
        Ok(Self { about, pieces })
    }

    /// The pieces in groups that lie together, each with its extent: a group is stored and loaded as one.
    #[must_use]
    pub fn blocks(&self) -> Vec<(Extent, Vec<&Piece>)> {
        let placed: Vec<(Extent, &Piece)> = self
            .pieces
            .iter()
            .filter_map(|piece| Some((piece.shape.extent()?, piece)))
            .collect();
        let mut blocks = Vec::new();
        group(placed, &mut blocks);
        blocks
    }
}

/// The largest number of points, and of pieces, in a block: about 40 kB unpacked.
const BLOCK: usize = 4096;
const BLOCK_PIECES: usize = 512;

fn group<'a>(mut placed: Vec<(Extent, &'a Piece)>, blocks: &mut Vec<(Extent, Vec<&'a Piece>)>) {
    let Some(extent) = placed
        .iter()
        .map(|(extent, _)| *extent)
        .reduce(Extent::with)
    else {
        return;
    };
    let points: usize = placed.iter().map(|(_, piece)| piece.shape.points()).sum();
    if placed.len() == 1 || points <= BLOCK && placed.len() <= BLOCK_PIECES {
        blocks.push((extent, placed.into_iter().map(|(_, piece)| piece).collect()));
        return;
    }
    let middle = |extent: &Extent, wide: bool| {
        if wide {
            i64::from(extent.low.x) + i64::from(extent.high.x)
        } else {
            i64::from(extent.low.y) + i64::from(extent.high.y)
        }
    };
    let wide = is_wide(extent);
    placed.sort_by_key(|(extent, _)| middle(extent, wide));
    let rest = placed.split_off(placed.len() / 2);
    group(placed, blocks);
    group(rest, blocks);
}

fn is_wide(extent: Extent) -> bool {
    i64::from(extent.high.x) - i64::from(extent.low.x)
        >= i64::from(extent.high.y) - i64::from(extent.low.y)
}

/// A line in parts that share their end points.
fn part(path: &Path, put: &mut impl FnMut(Shape)) {
    let mut start = 0;
    while start + 1 < path.0.len() {
        let end = (start + MOST_POINTS).min(path.0.len());
        put(Shape::Line(Path(path.0[start..end].to_vec())));
        start = end - 1;
    }
}

fn cut(rings: Vec<Path>, cuts_left: u32, put: &mut impl FnMut(Shape)) {
    let points: usize = rings.iter().map(|ring| ring.0.len()).sum();
    let extent = rings
        .iter()
        .flat_map(|ring| ring.0.iter().copied().map(Extent::at))
        .reduce(Extent::with);
    let Some(extent) = extent else { return };
    if points <= MOST_POINTS || cuts_left == 0 {
        put(Shape::Area(rings));
        return;
    }
    let ([west, south], [east, north]) = (extent.low.degrees(), extent.high.degrees());
    // On the grid, so that both halves have the same side.
    let halves = if is_wide(extent) {
        let middle = half(extent.low.x, extent.high.x);
        [(west, south, middle, north), (middle, south, east, north)]
    } else {
        let middle = half(extent.low.y, extent.high.y);
        [(west, south, east, middle), (west, middle, east, north)]
    };
    let whole = polygon(&rings);
    for (west, south, east, north) in halves {
        let side = Rect::new(Coord { x: west, y: south }, Coord { x: east, y: north }).to_polygon();
        for piece in pieces(whole.intersection(&side)) {
            cut(piece, cuts_left - 1, put);
        }
    }
}

fn half(low: i32, high: i32) -> f64 {
    Spot {
        x: low.midpoint(high),
        y: 0,
    }
    .degrees()[0]
}

fn polygon(rings: &[Path]) -> Polygon {
    let line = |ring: &Path| {
        LineString(
            ring.0
                .iter()
                .map(|spot| {
                    let [x, y] = spot.degrees();
                    Coord { x, y }
                })
                .collect(),
        )
    };
    let mut lines = rings.iter().map(line);
    let outline = lines.next().unwrap_or_else(|| LineString(Vec::new()));
    Polygon::new(outline, lines.collect())
}

/// Puts the shape back onto the grid; a shape that vanishes there is dropped.
fn pieces(polygons: MultiPolygon) -> impl Iterator<Item = Vec<Path>> {
    polygons.into_iter().filter_map(|polygon| {
        let (outline, holes) = polygon.into_inner();
        let mut rings = vec![ring(&outline, true)?];
        rings.extend(holes.iter().filter_map(|hole| ring(hole, false)));
        Some(rings)
    })
}

fn ring(line: &LineString, counterclockwise: bool) -> Option<Path> {
    let mut spots: Vec<Spot> = line.0.iter().filter_map(|c| Spot::of(c.x, c.y)).collect();
    spots.dedup();
    let doubled = doubled_area(&spots);
    if spots.len() < 4 || doubled == 0 {
        return None;
    }
    if (doubled > 0) != counterclockwise {
        spots.reverse();
    }
    Some(Path(spots))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::class::Class;

    /// A jagged star with a jagged hole, of 2000 points each.
    fn star() -> Vec<Path> {
        let ring = |radius: f64, turn: f64| {
            let mut spots: Vec<Spot> = (0..2000)
                .map(|n| {
                    let r = radius * if n % 2 == 0 { 1.0 } else { 0.8 };
                    let (sin, cos) =
                        (turn * f64::from(n) / 2000.0 * std::f64::consts::TAU).sin_cos();
                    Spot::of(10.0 + r * cos, 50.0 + r * sin).unwrap()
                })
                .collect();
            spots.push(spots[0]);
            Path(spots)
        };
        vec![ring(0.5, 1.0), ring(0.2, -1.0)]
    }

    fn area(rings: &[Path]) -> i128 {
        rings.iter().map(|ring| doubled_area(&ring.0)).sum()
    }

    fn read(class: &str, shape: Shape) -> Reading {
        let mut reading = Reading::of("A");
        reading.take(
            &format!(r#"{{"type":"Feature","properties":{{"OBJL":"{class}"}},"geometry":{{"type":"Polygon","coordinates":[[[1,1],[2,1],[2,2],[1,1]]]}}}}"#),
            None,
        ).unwrap();
        reading.features[0].1 = shape;
        reading
    }

    #[test]
    fn pieces_add_up_to_the_area_they_were_cut_from() {
        let whole = star();
        let cell = Cell::of(
            read("DEPARE", Shape::Area(whole.clone())),
            &mut Faults::default(),
        )
        .unwrap();
        assert!(cell.pieces.len() > 4000 / MOST_POINTS);
        let mut sum = 0;
        for piece in &cell.pieces {
            let Shape::Area(rings) = &piece.shape else {
                panic!()
            };
            assert!(piece.shape.points() <= MOST_POINTS);
            assert!(area(rings) > 0);
            sum += area(rings);
        }
        let off = (sum - area(&whole)) as f64 / area(&whole) as f64;
        assert!(off.abs() < 1e-7, "{off}");
        assert!(cell.about.coverage_assumed);
        // Each block is small, and together they hold every piece once.
        let blocks = cell.blocks();
        assert_eq!(
            blocks.iter().map(|(_, pieces)| pieces.len()).sum::<usize>(),
            cell.pieces.len()
        );
        for (extent, pieces) in blocks {
            assert!(
                pieces
                    .iter()
                    .map(|piece| piece.shape.points())
                    .sum::<usize>()
                    <= BLOCK
            );
            assert!(
                pieces
                    .iter()
                    .all(|piece| piece.shape.extent().unwrap().with(extent) == extent)
            );
        }
    }

    #[test]
    fn a_long_line_is_parted_at_its_points() {
        let path: Vec<Spot> = (0..1000).map(|n| Spot { x: n, y: n % 7 }).collect();
        let mut parts = Vec::new();
        part(&Path(path.clone()), &mut |shape| parts.push(shape));
        let mut joined = vec![path[0]];
        for shape in &parts {
            let Shape::Line(part) = shape else { panic!() };
            assert_eq!(Some(&part.0[0]), joined.last());
            joined.extend(&part.0[1..]);
        }
        assert_eq!(joined, path);
    }

    #[test]
    fn a_file_without_depth_and_land_is_not_a_chart() {
        let reading = read("RESARE", Shape::Area(star()));
        assert_eq!(
            Cell::of(reading, &mut Faults::default()),
            Err(CellError::Empty("A".to_owned()))
        );
        assert_eq!(Class::of("302"), Some(Class::Coverage));
    }
}
