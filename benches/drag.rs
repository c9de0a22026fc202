//! One fix through the drag test: most are cheap, each tenth looks at the chart.

#![allow(missing_docs, reason = "the macro's own function")]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use windrode::boat::tern::BERTH;
use windrode::geodesy::{Offset, Plane};
use windrode::time::Tick;
use windrode::units::{Metres, Speed};
use windrode::watch::drag::{DragTest, Marked, Sighting};
use windrode::watch::settings::WatchSettings;

fn quarter_of_an_hour(criterion: &mut Criterion) {
    let plane = Plane::at(BERTH);
    let marked = Marked {
        at: BERTH,
        doubt: Metres::of(2.5),
        lever: Metres::ZERO,
    };
    let sightings: Vec<Sighting> = (0..900)
        .map(|second| {
            let angle = 0.5 * (f64::from(second) / 60.0).sin();
            let at = Offset {
                east: 38.0 * angle.sin(),
                north: 38.0 * angle.cos(),
            };
            Sighting {
                antenna: plane.position(at),
                sigma: Metres::of(2.5),
                doubt: Metres::ZERO,
                velocity: Some(Offset::ZERO),
                lever: Offset::ZERO,
                lever_doubt: Metres::ZERO,
                reach: Metres::of(39.0),
                rode: Metres::of(40.0),
                height: Some(Metres::of(9.0)),
                wind: Some(Speed::of(8.0)),
                wind_now: Some(Speed::of(8.0)),
                wind_ahead: None,
                settled: true,
            }
        })
        .collect();
    criterion.bench_function("900 fixes", |bencher| {
        bencher.iter(|| {
            let mut drag = DragTest::new(&WatchSettings::default());
            for (second, seen) in (0..).zip(&sightings) {
                drag.take(Tick::from_secs(second), &marked, None, black_box(seen));
            }
            drag.evidence(Tick::from_secs(900))
        });
    });
}

criterion_group!(benches, quarter_of_an_hour);
criterion_main!(benches);
