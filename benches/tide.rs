//! How fast the tide is predicted: a year of high and low waters, one height, and the catalogue unpacked.
//!
//! `cargo bench --bench tide`. `tests/tide/compare` times other libraries beside.

#![allow(clippy::unwrap_used)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use windrode::tide::stations::Catalogue;
use windrode::time::Timestamp;

fn tide(criterion: &mut Criterion) {
    let catalogue = Catalogue::bundled().unwrap();
    let year: [Timestamp; 2] =
        ["2026-01-01T00:00:00Z", "2027-01-01T00:00:00Z"].map(|time| time.parse().unwrap());
    for (name, id) in [
        ("Boston, 37 constituents", "noaa/8443970"),
        ("Anchorage, 120 constituents", "noaa/9455920"),
        ("a secondary station", "noaa/8444012"),
    ] {
        let predictor = catalogue.predictor(catalogue.find(id).unwrap()).unwrap();
        criterion.bench_function(&format!("a year of highs and lows: {name}"), |bench| {
            bench.iter(|| predictor.turns(black_box(year[0]), black_box(year[1])));
        });
        criterion.bench_function(&format!("one height: {name}"), |bench| {
            bench.iter(|| predictor.height(black_box(year[0])));
        });
    }
    criterion.bench_function("the catalogue", |bench| bench.iter(Catalogue::bundled));
}

criterion_group!(benches, tide);
criterion_main!(benches);
