//! Turns the geometry of a feature into shapes on the grid.

use serde_json::Value;

use crate::chart::shape::{Path, Shape, Spot};

/// One shape, and the third coordinate of a point.
#[derive(Debug)]
pub(super) struct Place {
    pub(super) shape: Shape,
    pub(super) height: Option<f64>,
}

/// The simple shapes of a geometry, or the reason why it cannot be used.
pub(super) fn places(geometry: &Value) -> Result<Vec<Place>, String> {
    let kind = geometry["type"].as_str().unwrap_or("none").to_owned();
    let coordinates = &geometry["coordinates"];
    let plain = |shape| Place {
        shape,
        height: None,
    };
    let many = || {
        coordinates
            .as_array()
            .ok_or_else(|| format!("`{kind}` without coordinates"))
    };
    Ok(match kind.as_str() {
        "Point" => vec![point(coordinates)?],
        "MultiPoint" => many()?.iter().map(point).collect::<Result<_, _>>()?,
        "LineString" => vec![plain(line(coordinates)?)],
        "MultiLineString" => many()?
            .iter()
            .map(|l| line(l).map(plain))
            .collect::<Result<_, _>>()?,
        "Polygon" => vec![plain(area(coordinates)?)],
        "MultiPolygon" => many()?
            .iter()
            .map(|a| area(a).map(plain))
            .collect::<Result<_, _>>()?,
        _ => return Err(format!("geometry `{kind}` is no point, line or area")),
    })
}

fn point(value: &Value) -> Result<Place, String> {
    Ok(Place {
        shape: Shape::Point(Path(vec![spot(value)?])),
        height: value.get(2).and_then(Value::as_f64),
    })
}

fn line(value: &Value) -> Result<Shape, String> {
    let path = path(value)?;
    if path.len() < 2 {
        return Err("a line of less than two points".to_owned());
    }
    Ok(Shape::Line(Path(path)))
}

fn area(value: &Value) -> Result<Shape, String> {
    let rings = value.as_array().ok_or("a polygon without rings")?;
    let mut turned = Vec::with_capacity(rings.len());
    for (number, ring) in rings.iter().enumerate() {
        let mut ring = path(ring)?;
        if ring.first() != ring.last() {
            return Err("a ring that is not closed".to_owned());
        }
        ring.dedup();
        if ring.len() < 4 {
            // A hole that vanishes on the grid is dropped.
            if number > 0 {
                continue;
            }
            return Err("a ring of less than three points".to_owned());
        }
        // The outline counterclockwise, holes clockwise: RFC 7946, 3.1.6; older programs write other
        // directions.
        if (doubled_area(&ring) > 0) != (number == 0) {
            ring.reverse();
        }
        turned.push(Path(ring));
    }
    if turned.is_empty() {
        return Err("a polygon without rings".to_owned());
    }
    Ok(Shape::Area(turned))
}

/// Positive for counterclockwise.
pub(in crate::chart) fn doubled_area(ring: &[Spot]) -> i128 {
    ring.windows(2)
        .map(|edge| {
            let [a, b] = [edge[0], edge[1]];
            i128::from(a.x) * i128::from(b.y) - i128::from(b.x) * i128::from(a.y)
        })
        .sum()
}

fn path(value: &Value) -> Result<Vec<Spot>, String> {
    let points = value.as_array().ok_or("no list of points")?;
    points.iter().map(spot).collect()
}

fn spot(value: &Value) -> Result<Spot, String> {
    let number = |index| value.get(index).and_then(Value::as_f64);
    let (longitude, latitude) = number(0).zip(number(1)).ok_or_else(|| {
        format!(
            "`{}` is no point",
            super::super::faults::shortened(&value.to_string())
        )
    })?;
    Spot::of(longitude, latitude).ok_or_else(|| {
        format!("longitude `{longitude}`, latitude `{latitude}` is no place on Earth")
    })
}
