//! How fast the tide is predicted: a year of high and low waters, one height, and the catalogue unpacked.
//!
//! Run with `cargo bench --bench tide`. `tests/tide/compare` times other libraries for comparison: if
//! `WINDRODE_TIDE_CONSTANTS` names a file made by it, this bench predicts a year of turns and hourly heights for every
//! station in that file. It prints the predictions and the time they took as JSON.

#![allow(clippy::unwrap_used)]

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, criterion_group};
use serde_json::{Map, Value, json};
use windrode::tide::stations::Catalogue;
use windrode::tide::{Harmonic, Predictor, Stand, constituents};
use windrode::time::Timestamp;
use windrode::units::Metres;

fn year() -> [Timestamp; 2] {
    ["2026-01-01T00:00:00Z", "2027-01-01T00:00:00Z"].map(|time| time.parse().unwrap())
}

fn tide(criterion: &mut Criterion) {
    let catalogue = Catalogue::bundled().unwrap();
    let year = year();
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

fn main() {
    if let Some(file) = std::env::var_os("WINDRODE_TIDE_CONSTANTS") {
        table(&std::fs::read_to_string(file).unwrap());
    } else {
        benches();
        Criterion::default().configure_from_args().final_summary();
    }
}

/// The best of several runs, the same way the other libraries are timed.
#[expect(clippy::print_stdout, reason = "what the script reads")]
#[allow(clippy::disallowed_methods, reason = "a bench reads the clock")]
fn table(constants: &str) {
    let stations: Map<String, Value> = serde_json::from_str(constants).unwrap();
    let [from, to] = year();
    let mut answer = Map::new();
    for (name, constants) in stations {
        let harmonics: Vec<Harmonic> = constants
            .as_array()
            .unwrap()
            .iter()
            .map(|one| Harmonic {
                constituent: constituents::named(one["name"].as_str().unwrap()).unwrap(),
                amplitude: Metres::of(one["amplitude"].as_f64().unwrap()),
                phase: one["phase"].as_f64().unwrap(),
            })
            .collect();
        let mut best = f64::MAX;
        let mut turns = Vec::new();
        for _ in 0..30 {
            let start = Instant::now();
            turns = Predictor::new(Metres::ZERO, &harmonics).turns(from, to);
            best = best.min(start.elapsed().as_secs_f64());
        }
        let predictor = Predictor::new(Metres::ZERO, &harmonics);
        let hourly: Vec<f64> = (0..8760)
            .map(|hour| from.as_millis() + hour * 3_600_000)
            .map(|time| predictor.height(Timestamp::from_millis(time)).get())
            .collect();
        let turns: Vec<Value> = turns
            .iter()
            .map(|turn| {
                json!([
                    turn.time.as_millis(),
                    turn.height.get(),
                    turn.kind == Stand::High
                ])
            })
            .collect();
        answer.insert(
            name,
            json!({"ms": best * 1000.0, "turns": turns, "hourly": hourly}),
        );
    }
    println!("{}", Value::Object(answer));
}
