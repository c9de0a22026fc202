//! Where the crowded night is held: a bay with a shoal, a chart of it, and four boats at anchor.

use std::borrow::Cow;
use std::path::PathBuf;
use std::time::Duration;

use super::cove;
use super::crowded::{FRONT, MEAN_LEVEL, RANGE, RISING};
use crate::geodesy::Offset;
use crate::rehearse::boat::BoatSettings;
use crate::rehearse::fleet::{Class, VesselSettings};
use crate::rehearse::sea::{Constituent, SeaSettings, Seabed, WindKnot};
use crate::rehearse::world::WorldSettings;
use crate::units::{Bearing, Metres, Speed};

/// A light south-westerly that veers by 60° and freshens: after that the neighbour to the west lies up-wind of us.
#[must_use]
pub(super) fn settings(seed: u64, journal: PathBuf) -> WorldSettings {
    let knot = |at, from, knots| WindKnot::new(at, from, Speed::from_knots(knots));
    let quarter = Duration::from_mins(15);
    let cove = cove::settings(seed, journal);
    WorldSettings {
        sea: SeaSettings {
            wind: vec![
                knot(Duration::ZERO, 225.0, 12.0),
                knot(FRONT, 225.0, 12.0),
                knot(FRONT + quarter, 285.0, 12.0),
                knot(RISING, 285.0, 12.0),
                knot(RISING + quarter, 285.0, 18.0),
            ],
            mean_level: MEAN_LEVEL,
            m2: Constituent {
                amplitude: RANGE * 0.5,
                ..cove.sea.m2
            },
            seabed: Seabed {
                slope: 0.001,
                ..cove.sea.seabed
            },
            ..cove.sea
        },
        neighbours: neighbours(),
        chart: Some(("TERNBAY", include_str!("bay.geojson"))),
        ..cove
    }
}

fn neighbours() -> Vec<VesselSettings> {
    let yacht = |mmsi, name, length: f64, (bearing, off): (f64, f64), rode: f64| VesselSettings {
        mmsi,
        name: Cow::Borrowed(name),
        class: Class::B,
        boat: BoatSettings {
            length: Metres::of(length),
            ..BoatSettings::default()
        },
        beam: Metres::of(length / 3.0),
        antenna_from_bow: Metres::of(length * 0.8),
        anchor: Offset::polar(Bearing::from_degrees(bearing), Metres::of(off)),
        rode: Metres::of(rode),
    };
    let plover = yacht(230_099_901, DRAGS, 10.5, (285.0, 230.0), 40.0);
    let dunlin = yacht(230_099_902, "Dunlin", 9.8, (10.0, 180.0), 38.0);
    let whimbrel = yacht(230_099_903, "Whimbrel", 12.0, (190.0, 190.0), 42.0);
    let sandpiper = yacht(230_099_904, "Sandpiper", 22.0, (75.0, 240.0), 45.0);
    let sandpiper = VesselSettings {
        class: Class::A,
        boat: BoatSettings {
            chain: 3.0,
            holding: 50_000.0,
            ..sandpiper.boat
        },
        antenna_from_bow: Metres::of(8.0),
        ..sandpiper
    };
    vec![plover, dunlin, whimbrel, sandpiper]
}

/// The boat whose anchor breaks out.
pub(super) const DRAGS: &str = "Plover";
