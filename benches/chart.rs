//! A circle against the loaded cell, and how long the cell takes to load.
//!
//! `cargo bench --bench chart` adds the real cell of the reference data (GeoJSON by class) to a folder of its own and
//! judges 500 circles spread over it. The aim: a circle in less than 1 ms.

#![allow(
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::expect_used,
    reason = "a bench reads the clock and prints, and ends when it cannot begin"
)]

mod common;

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::time::Instant;

use criterion::Criterion;
use windrode::chart::clearance::{Needs, Room, SEARCHED_BEYOND};
use windrode::chart::shape::Extent;
use windrode::chart::sheet::Sheet;
use windrode::chartroom::ChartRoom;
use windrode::chartroom::import::{self, Said};
use windrode::geodesy::Position;
use windrode::speech::Language;
use windrode::units::{LengthUnit, Metres};

fn main() {
    let data = std::env::var_os("WINDRODE_DATA").map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data"),
        PathBuf::from,
    );
    let folder = data.join("charts/US4MD81M");
    let said = Said {
        scale: Some(80_000),
        ..Said::default()
    };
    let dir = tempfile::TempDir::new().expect("a folder");
    let room = ChartRoom::of(dir.path());
    let begun = Instant::now();
    let sources = import::sources(&folder, &said)
        .expect("the reference data; set WINDRODE_DATA to where it is");
    let (cell, _) = import::read(&sources[0], &said).expect("a cell");
    let size = room.add(&cell).expect("room on disk");
    println!(
        "added in {:.2} s, {:.2} MB on disk",
        begun.elapsed().as_secs_f64(),
        size as f64 / 1e6
    );
    drop(cell);

    let before = common::resident(std::process::id());
    let begun = Instant::now();
    let all = room
        .load(&Extent::about(Position::of(38.7, -76.3), 100_000.0))
        .expect("a sheet");
    let (pieces, points) = all.size();
    println!(
        "the whole cell loaded in {:.0} ms: {pieces} pieces, {points} points, {:.1} MB more resident",
        begun.elapsed().as_secs_f64() * 1e3,
        common::resident(std::process::id()) - before
    );
    let berth = Position::of(38.8875, -76.482);
    let reach = Metres::of(60.0) + SEARCHED_BEYOND;
    let begun = Instant::now();
    let near = room
        .load(&Extent::about(berth, reach.get()))
        .expect("a sheet");
    println!(
        "a circle of 60 m and the mile about it loaded in {:.1} ms: {} points",
        begun.elapsed().as_secs_f64() * 1e3,
        near.size().1
    );

    let needs = Needs {
        draught: Metres::of(1.9),
        margin: Metres::of(0.5),
        lowest: Metres::ZERO,
        now: Some(Metres::of(0.4)),
        say: LengthUnit::Metres,
        language: Language::default(),
    };
    let circles: Vec<Room> = (0..500).filter_map(circle).collect();
    let mut criterion = Criterion::default().sample_size(20).configure_from_args();
    criterion.bench_function("500 circles of 60 m", |bench| {
        bench.iter(|| judge_all(&all, &circles, &needs));
    });
    criterion.final_summary();

    let mut times: Vec<f64> = circles
        .iter()
        .map(|circle| {
            // The best of five: the machine's other work must not count.
            (0..5)
                .map(|_| {
                    let begun = Instant::now();
                    black_box(all.clearance(*circle, &needs));
                    begun.elapsed().as_secs_f64() * 1e3
                })
                .fold(f64::MAX, f64::min)
        })
        .collect();
    times.sort_by(f64::total_cmp);
    let at = |share: usize| times[(times.len() - 1) * share / 100];
    println!(
        "a circle: {:.3} ms at the middle, {:.3} ms at 95 %, {:.3} ms at most; the limit is {LIMIT} ms: {}",
        at(50),
        at(95),
        at(100),
        if at(95) < LIMIT { "kept" } else { "NOT KEPT" }
    );
}

/// Milliseconds.
const LIMIT: f64 = 1.0;

fn judge_all(sheet: &Sheet, circles: &[Room], needs: &Needs) -> usize {
    circles
        .iter()
        .filter(|circle| sheet.clearance(**circle, black_box(needs)).clears)
        .count()
}

/// Spread over the cell by multiples of the golden ratio.
fn circle(number: u32) -> Option<Room> {
    let part = |factor: f64| (f64::from(number) * factor).fract();
    let (north, east) = (part(0.618_033_988_749_895), part(0.754_877_666_246_693));
    let centre = Position::new(38.37 + 0.66 * north, -76.58 + 0.55 * east).ok()?;
    Room::circle(centre, Metres::of(60.0)).ok()
}
