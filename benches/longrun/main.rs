//! A month at anchor through the real daemon at increased speed.
//!
//! `cargo bench --bench longrun` holds the rehearsal's invented cove for 30 simulated days, over a real socket, with
//! the journal on disk; this takes about a quarter of an hour. `-- --days 10` runs fewer days. It prints a row for each
//! day: resident memory of daemon and simulated sea together, how much of it is in use (what the allocator has given
//! out), the journal's files, the bytes written and the number of syncs (`counts.c`, loaded before the system's
//! library). It ends with an error if the memory grows, if the journal grows beyond the days that it keeps, or if a day
//! writes more than a card should bear.

#![allow(
    missing_docs,
    clippy::print_stdout,
    clippy::expect_used,
    reason = "a bench prints a table and stops if a tool is missing"
)]

#[path = "../common/mod.rs"]
mod common;

use std::path::Path;
use std::process::{Command, ExitCode};
use std::time::Duration;

use serde_json::json;
use tempfile::TempDir;
use windrode::rehearse::boat::EngineOrder;
use windrode::rehearse::night;
use windrode::rehearse::sea::WindKnot;
use windrode::rehearse::world::{World, WorldError};
use windrode::units::{Hertz, Metres, Speed};
use windrode::watch::messages::{EventKind, Output};

use self::common::option;

fn main() -> ExitCode {
    let Some(counts) = std::env::var_os("COUNTS") else {
        return under_the_counter();
    };
    let days = option("--days", 30);
    let folder = TempDir::new().expect("a folder can be made");
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build();
    let runtime = runtime.expect("a runtime can be built");
    let month = runtime.block_on(month(days, folder.path(), Path::new(&counts)));
    verdict(&month.expect("the month is held"))
}

/// Starts itself again with the counting library.
fn under_the_counter() -> ExitCode {
    let folder = TempDir::new().expect("a folder can be made");
    let (object, counts) = (
        folder.path().join("counts.so"),
        folder.path().join("counts"),
    );
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/longrun/counts.c");
    let built = Command::new("cc")
        .args(["-shared", "-fPIC", "-o"])
        .args([&object, &source])
        .status();
    assert!(
        built.is_ok_and(|built| built.success()),
        "a C compiler is missing"
    );
    std::fs::write(&counts, [0; 24]).expect("the file is written");
    let again = Command::new(std::env::current_exe().expect("this program has a name"))
        .args(std::env::args().skip(1))
        .env("LD_PRELOAD", &object)
        .env("COUNTS", &counts)
        .status();
    if again.is_ok_and(|status| status.success()) {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// One day's end.
struct Day {
    resident: f64,
    used: f64,
    /// MB of 10^6 bytes.
    journal: f64,
    written: f64,
    syncs: u64,
}

async fn month(days: u64, folder: &Path, counts: &Path) -> Result<Vec<Day>, WorldError> {
    let mut settings = night::settings(1, folder.to_owned());
    // The wind freshens and eases each day, and goes round by 30°.
    settings.sea.wind = (0..=days * 2)
        .map(|half| {
            let at = Duration::from_hours(12) * u32::try_from(half).unwrap_or(0);
            let (from, knots) = if half % 2 == 0 {
                (225.0, 9.0)
            } else {
                (255.0, 17.0)
            };
            WindKnot::new(at, from, Speed::from_knots(knots))
        })
        .collect();
    let mut world = World::start(settings).await?;
    anchor(&mut world).await?;
    println!("day  resident MB  in use MB  journal MB  written MB         syncs  events  alerts");
    let mut month = Vec::new();
    for day in 1..=days {
        let before = counted(counts);
        let (mut events, mut alerts) = (0, 0);
        for _ in 0..86_400 {
            world.step().await?;
            for output in world.outputs() {
                if let Output::Event(event) = output {
                    events += 1;
                    alerts += u32::from(event.event == EventKind::Raised);
                }
            }
        }
        let after = counted(counts);
        let it = Day {
            resident: common::resident(std::process::id()),
            used: after.used as f64 / 1e6,
            journal: size(folder),
            written: (after.written - before.written) as f64 / 1e6,
            syncs: after.syncs - before.syncs,
        };
        println!(
            "{day:>3}{:>13.1}{:>11.2}{:>12.1}{:>12.1}{:>14}{events:>8}{alerts:>8}",
            it.resident, it.used, it.journal, it.written, it.syncs
        );
        month.push(it);
    }
    world.end().await?;
    Ok(month)
}

/// She steams to the berth, lets go, veers 45 m and digs in.
async fn anchor(world: &mut World) -> Result<(), WorldError> {
    world.boat.engine(EngineOrder::Ahead(Hertz::of(20.0)));
    world
        .boat
        .steam_to(windrode::geodesy::Offset::ZERO, Speed::from_knots(2.5));
    while !world.boat.arrived() {
        world.step().await?;
    }
    let sea = *world.sea();
    world.boat.let_go(&sea);
    world.boat.veer(Metres::of(45.0), Speed::of(0.5));
    let taken = world
        .put("navigation.anchor.watch.letGo", json!({"rode": 45}))
        .await;
    assert_eq!(taken.status_code, 200, "{}", taken.message);
    world.boat.engine(EngineOrder::Astern(Hertz::of(20.0)));
    for _ in 0..300 {
        world.step().await?;
    }
    world.boat.dig_in();
    world.boat.engine(EngineOrder::Stopped);
    world.boat.reckon_from_here();
    Ok(())
}

fn verdict(month: &[Day]) -> ExitCode {
    let (Some(last), Some(second)) = (month.last(), month.get(1)) else {
        println!("a verdict needs at least two days");
        return ExitCode::FAILURE;
    };
    let most = |of: fn(&Day) -> f64| month.iter().map(of).fold(0.0, f64::max);
    let written = most(|day| day.written);
    let syncs = most(|day| day.syncs as f64);
    // A write that is just under way takes some memory for a moment, so the least of the last five days counts.
    let lately = month.iter().skip(2).rev().take(5).map(|day| day.used);
    let mut demands = vec![
        (
            "memory in use grows by less than 0.3 MB after the second day",
            lately.fold(last.used, f64::min) - second.used < 0.3,
        ),
        (
            "resident memory grows by less than 4 MB after the second day",
            last.resident - second.resident < 4.0,
        ),
        ("a day writes less than 120 MB", written < MOST_WRITTEN),
        ("a day has fewer than 8 000 syncs", syncs < MOST_SYNCS),
    ];
    // From the ninth day on the space that `keep` frees is reused.
    if let Some(ninth) = month.get(8) {
        demands.push((
            "the journal does not grow after the days that it keeps",
            last.journal < ninth.journal * 1.05,
        ));
    }
    for (what, kept) in &demands {
        println!("{}  {what}", if *kept { "kept    " } else { "NOT KEPT" });
    }
    if demands.iter().all(|(_, kept)| *kept) {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// What `counts.c` has counted.
struct Counts {
    written: u64,
    syncs: u64,
    used: u64,
}

fn counted(file: &Path) -> Counts {
    let bytes = std::fs::read(file).unwrap_or_default();
    let number = |at: usize| {
        let eight = bytes.get(at..at + 8).and_then(|it| it.try_into().ok());
        u64::from_ne_bytes(eight.unwrap_or_default())
    };
    Counts {
        written: number(0),
        syncs: number(8),
        used: number(16),
    }
}

fn size(folder: &Path) -> f64 {
    let files = std::fs::read_dir(folder).into_iter().flatten().flatten();
    files
        .filter_map(|file| file.metadata().ok())
        .map(|file| file.len() as f64 / 1e6)
        .sum()
}

/// MB, from memory, no source: a card of 16 GB takes its own size 500 times, and small writes cost it 15 times their
/// bytes; so this is more than twelve years of days at anchor.
const MOST_WRITTEN: f64 = 120.0;
/// A batch every half minute, and as many again for events.
const MOST_SYNCS: f64 = 8_000.0;
