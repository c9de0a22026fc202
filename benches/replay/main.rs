//! How fast a recording goes through the watch, against typed parsing alone.
//!
//! `cargo bench --bench replay` measures both on the same lines in the same run and prints the ratio:
//! the share of typed parsing's speed that remains when everything else is done too. The aim is a
//! half or more on two cores: a replay reads on one and judges on the other, typed parsing has one.
//! On a shared machine the two run alternately and the medians are compared, so that a slowdown
//! affects both.

#![allow(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a bench reads the clock and prints"
)]

mod corpus;

use std::hint::black_box;
use std::time::{Duration, Instant};

use criterion::{Criterion, Throughput};

fn main() {
    // Half an hour: 16 200 lines.
    let night: &'static str = Box::leak(corpus::night(1800).into_boxed_str());
    let lines = night.lines().count() as u64;
    let mut criterion = Criterion::default()
        .sample_size(20)
        .measurement_time(Duration::from_secs(8))
        .configure_from_args();
    let mut group = criterion.benchmark_group("night");
    group.throughput(Throughput::Elements(lines));
    group.bench_function("typed parsing alone", |bench| {
        bench.iter(|| corpus::typed(black_box(night)));
    });
    group.bench_function("replay", |bench| {
        bench.iter(|| corpus::whole(black_box(night)));
    });
    group.finish();
    criterion.final_summary();

    assert_eq!(corpus::whole(night).0, lines, "every line is read");
    let mut typed = Vec::new();
    let mut whole = Vec::new();
    for _ in 0..TURNS {
        typed.push(seconds(|| {
            black_box(corpus::typed(night));
        }));
        whole.push(seconds(|| {
            black_box(corpus::whole(night));
        }));
    }
    let (typed, whole) = (middle(&mut typed), middle(&mut whole));
    println!(
        "{:.2} M lines/s typed parsing alone on one core, {:.2} M lines/s replay on two: {:.0} % of it",
        lines as f64 / typed / 1e6,
        lines as f64 / whole / 1e6,
        100.0 * typed / whole
    );
}

fn seconds(work: impl FnOnce()) -> f64 {
    let begun = Instant::now();
    work();
    begun.elapsed().as_secs_f64()
}

fn middle(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

const TURNS: usize = 31;
