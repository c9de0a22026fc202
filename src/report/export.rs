//! The track for other programs: GPX 1.1 (schema `http://www.topografix.com/GPX/1/1`) and `GeoJSON` (RFC 7946).
//!
//! Both are WGS 84. The line ends where she was not seen, and another begins after the gap. It also ends at 180°, since
//! a line from 179.9999° to -179.9999° would go round the Earth (RFC 7946, 3.1.9).
//!
//! Checked by the schemas of both formats in `tests/peers/tracks.rs`.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::facts::Night;
use super::track::Spot;
use crate::geodesy::Position;

/// The track as GPX: a waypoint at the anchor, a segment for each piece of the track.
#[must_use]
pub fn gpx(night: &Night) -> String {
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"windrode {}\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n<metadata><name>{}</name><time>{}</time></metadata>\n",
        env!("CARGO_PKG_VERSION"),
        night.stay.name,
        night.made
    );
    if let Some(anchor) = night.anchor.place() {
        _ = writeln!(
            text,
            "<wpt {}><time>{}</time><name>anchor</name></wpt>",
            at(anchor),
            night.stay.let_go
        );
    }
    _ = writeln!(text, "<trk><name>at anchor {}</name>", night.stay.name);
    for piece in pieces(&night.track) {
        text.push_str("<trkseg>\n");
        for spot in piece {
            _ = writeln!(
                text,
                "<trkpt {}><time>{}</time></trkpt>",
                at(spot.position),
                spot.time
            );
        }
        text.push_str("</trkseg>\n");
    }
    text.push_str("</trk>\n</gpx>\n");
    text
}

/// The track as `GeoJSON`: a point at the anchor, and a line for each piece of the track with its times. A piece of one
/// point is a point, since a line needs two.
#[must_use]
pub fn geojson(night: &Night) -> String {
    let anchor = night.anchor.place().map(|anchor| {
        let about = json!({
            "kind": "anchor",
            "letGo": night.stay.let_go,
            "weighed": night.stay.weighed,
            "uncertainty": night.anchor.uncertainty,
        });
        feature(
            &json!({ "type": "Point", "coordinates": pair(anchor) }),
            &about,
        )
    });
    let pieces = pieces(&night.track).filter_map(|piece| {
        let times: Vec<_> = piece.iter().map(|spot| spot.time).collect();
        let line: Vec<_> = piece.iter().map(|spot| pair(spot.position)).collect();
        let geometry = match line.as_slice() {
            [] => return None,
            [only] => json!({ "type": "Point", "coordinates": only }),
            many => json!({ "type": "LineString", "coordinates": many }),
        };
        Some(feature(
            &geometry,
            &json!({ "kind": "track", "times": times }),
        ))
    });
    let features: Vec<Value> = anchor.into_iter().chain(pieces).collect();
    json!({ "type": "FeatureCollection", "features": features }).to_string() + "\n"
}

/// The pieces of the track, cut at 180°.
fn pieces(track: &[Vec<Spot>]) -> impl Iterator<Item = &[Spot]> {
    let beside = |one: &Spot, next: &Spot| {
        (one.position.longitude() - next.position.longitude()).abs() < 180.0
    };
    track.iter().flat_map(move |piece| piece.chunk_by(beside))
}

fn at(position: Position) -> String {
    let [longitude, latitude] = pair(position);
    // The schema of GPX has no 180 degrees east.
    let longitude = if longitude >= 180.0 {
        -180.0
    } else {
        longitude
    };
    format!("lat=\"{latitude:.7}\" lon=\"{longitude:.7}\"")
}

/// Longitude first, rounded to a centimetre.
fn pair(position: Position) -> [f64; 2] {
    [position.longitude(), position.latitude()].map(|degrees| (degrees * 1e7).round() / 1e7)
}

fn feature(geometry: &Value, properties: &Value) -> Value {
    json!({ "type": "Feature", "geometry": geometry, "properties": properties })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::time::Timestamp;

    #[test]
    fn at_180_degrees_the_line_is_cut_and_no_longitude_is_beyond_the_schema() {
        let spot = |longitude: f64| Spot {
            time: Timestamp::EPOCH,
            position: Position::new(-16.7, longitude).unwrap(),
            distance: None,
        };
        let track = vec![
            vec![spot(179.9999), spot(179.99999), spot(-179.9999)],
            vec![spot(-179.9998)],
        ];
        let lengths: Vec<usize> = pieces(&track).map(<[Spot]>::len).collect();
        assert_eq!(lengths, [2, 1, 1]);
        for (longitude, written) in [
            (180.0, "-180.0000000"),
            (179.999_999_99, "-180.0000000"),
            (-180.0, "-180.0000000"),
            (179.999_999, "179.9999990"),
        ] {
            let written = format!("lat=\"-16.7000000\" lon=\"{written}\"");
            assert_eq!(at(spot(longitude).position), written);
        }
    }
}
