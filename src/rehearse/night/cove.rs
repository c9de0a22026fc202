//! Place and weather of the rehearsal.

use std::time::Duration;

use super::drag::{FRONT, HIGH_WATER, RISING, ROLLER_HEIGHT};
use crate::boat::BoatFigures;
use crate::boat::tern::{BERTH, figures};
use crate::rehearse::boat::BoatSettings;
use crate::rehearse::sea::{Constituent, SeaSettings, Seabed, WindKnot};
use crate::rehearse::world::WorldSettings;
use crate::speech::Wording;
use crate::time::Timestamp;
use crate::units::{Angle, Bearing, Metres, Speed};

/// Tern, 11.2 m, in an invented cove: a fresh south-westerly that a front turns by 140°, then a
/// rising north-westerly.
#[must_use]
pub fn settings(seed: u64, journal: std::path::PathBuf) -> WorldSettings {
    let knot = |at, from, knots| WindKnot::new(at, from, Speed::from_knots(knots));
    let quarter = Duration::from_mins(15);
    let boat = BoatSettings {
        roller_height: ROLLER_HEIGHT,
        ..BoatSettings::default()
    };
    WorldSettings {
        wording: Wording::default(),
        start: Timestamp::from_millis(START_MS),
        origin: BERTH,
        sea: SeaSettings {
            wind: vec![
                knot(Duration::ZERO, 225.0, 15.0),
                knot(FRONT, 225.0, 15.0),
                knot(FRONT + quarter, 365.0, 18.0),
                knot(RISING, 365.0, 18.0),
                knot(RISING + quarter, 365.0, 28.0),
            ],
            m2: Constituent {
                amplitude: HIGH_WATER,
                phase: Angle::from_degrees(-60.0),
            },
            seabed: Seabed {
                charted: Metres::of(7.0),
                deepens_towards: Bearing::from_degrees(90.0),
                slope: 0.002,
            },
            ..SeaSettings::default()
        },
        figures: tern(&boat),
        boat,
        neighbours: Vec::new(),
        chart: None,
        begin: (Bearing::from_degrees(45.0), Metres::of(220.0)),
        journal,
        seed,
    }
}

/// Her figures, as the crew configured them.
pub(in crate::rehearse) fn tern(boat: &BoatSettings) -> BoatFigures {
    BoatFigures {
        beam: Some(Metres::of(3.6)),
        roller_height: Some(boat.roller_height),
        roller_ahead: Some(boat.roller_ahead),
        antenna_from_centre: Some(Metres::of(0.3)),
        transducer_to_keel: Some(Metres::of(1.4)),
        rode_aboard: Some(Metres::of(60.0)),
        ..figures()
    }
}

/// 2026-06-01T18:00:00Z.
pub(in crate::rehearse) const START_MS: i64 = 1_780_336_800_000;
