//! One fix through the drag test, compared with a plain circle in the same run, and the size of its state.
//!
//! Most fixes are cheap; every thirtieth second looks at the chart. What counts is the mean over a night, and that no
//! single fix delays the others. The circle is the baseline: it compares the distance from the mark, by the same
//! geometry, with a radius. The limits are a mean of 20 µs a fix and 1 MiB of state; after the tables the program says
//! whether they are met, and ends with an error if not.

#![allow(
    missing_docs,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a bench measures real time and prints a table; the macro's own function"
)]

mod common;

use std::hint::black_box;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use criterion::{Criterion, Throughput};
use windrode::boat::tern::BERTH;
use windrode::geodesy::{Offset, Plane, Tangent};
use windrode::time::Tick;
use windrode::units::{Metres, Speed};
use windrode::watch::drag::{DragTest, Marked, Origin, Sighting};
use windrode::watch::settings::WatchSettings;

fn main() -> ExitCode {
    let night = night();
    let mut criterion = Criterion::default().configure_from_args().sample_size(10);
    let mut group = criterion.benchmark_group("a quarter of an hour, 900 fixes");
    group.throughput(Throughput::Elements(QUARTER as u64));
    group.bench_function("drag test", |bencher| {
        bencher.iter(|| drag_test(&night[..QUARTER]));
    });
    group.bench_function("circle", |bencher| {
        bencher.iter(|| circle(&night[..QUARTER]));
    });
    group.finish();
    criterion.final_summary();

    let (of_drag, worst) = timed(&night);
    let begun = Instant::now();
    black_box(circle(&night));
    let of_circle = micros(begun.elapsed()) / night.len() as f64;
    let bytes = state(&drag_test(&night));
    let kept = of_drag <= LIMIT && bytes <= MOST_BYTES;
    println!(
        "a night of {} fixes: {of_drag:.2} µs a fix in the mean, {:.0} times a circle's {of_circle:.3} µs, {worst:.0} µs at most; the state takes {:.0} KiB; the limits are {LIMIT} µs and {:.0} KiB: {}",
        night.len(),
        of_drag / of_circle,
        bytes / 1024.0,
        MOST_BYTES / 1024.0,
        if kept { "kept" } else { "NOT KEPT" }
    );
    if kept {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// Eight hours in which she sheers, the wind turns and freshens, and the receiver wanders.
fn night() -> Vec<Sighting> {
    let plane = Plane::at(BERTH);
    (0..8 * 3600_u32)
        .map(|second| {
            let t = f64::from(second);
            let wind = Speed::of(8.0 + 3.0 * (t / 5000.0).sin());
            let angle = t / 20_000.0 + 0.5 * (t / 60.0).sin();
            let out = 36.0 + 1.5 * (t / 5000.0).sin();
            let at = Offset {
                east: out * angle.sin() + (t / 170.0).sin(),
                north: out * angle.cos() + (t / 230.0).cos(),
            };
            Sighting {
                wind_ahead: Some(0.9),
                ..Sighting::of_tern(plane.position(at), Some(wind))
            }
        })
        .collect()
}

fn mark() -> Marked {
    Marked {
        at: BERTH,
        doubt: Metres::of(2.5),
        lever: Metres::ZERO,
        origin: Some(Origin::Fix),
    }
}

fn drag_test(night: &[Sighting]) -> DragTest {
    let mut drag = DragTest::new(&WatchSettings::default());
    for (second, seen) in (0..).zip(night) {
        drag.take(Tick::from_secs(second), &mark(), None, black_box(seen));
    }
    black_box(drag.evidence(Tick::from_secs(night.len() as u64)));
    drag
}

fn circle(night: &[Sighting]) -> usize {
    let plane = Tangent::at(BERTH);
    let outside = |seen: &&Sighting| {
        let at = plane.offset(black_box(seen).antenna);
        at.length() > seen.reach
    };
    night.iter().filter(outside).count()
}

/// Microseconds a fix: the mean of a night, and the maximum.
fn timed(night: &[Sighting]) -> (f64, f64) {
    let mut drag = DragTest::new(&WatchSettings::default());
    let (mut all, mut worst) = (Duration::ZERO, Duration::ZERO);
    for (second, seen) in (0..).zip(night) {
        let begun = Instant::now();
        drag.take(Tick::from_secs(second), &mark(), None, black_box(seen));
        let took = begun.elapsed();
        all += took;
        worst = worst.max(took);
    }
    black_box(drag.evidence(Tick::from_secs(night.len() as u64)));
    (micros(all) / night.len() as f64, micros(worst))
}

fn micros(time: Duration) -> f64 {
    time.as_secs_f64() * 1e6
}

/// Bytes of memory, from the growth of the process with two hundred copies; zero if the system does not report it.
fn state(drag: &DragTest) -> f64 {
    let before = common::resident(std::process::id());
    let copies: Vec<DragTest> = (0..COPIES).map(|_| drag.clone()).collect();
    let grown = common::resident(std::process::id()) - before;
    black_box(&copies);
    grown * 1e6 / f64::from(COPIES)
}

const QUARTER: usize = 900;
/// Microseconds a fix.
const LIMIT: f64 = 20.0;
const MOST_BYTES: f64 = 1024.0 * 1024.0;
const COPIES: u32 = 200;
