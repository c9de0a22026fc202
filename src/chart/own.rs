//! The boat's own soundings, reduced to chart datum: what they are, and what they mean for a place.
//!
//! **Method.** One sounding is kept for each [`Square`] of about 5 m, the shoalest. It counts as a disc whose radius is
//! the uncertainty of its position: it lies in every circle that the disc overlaps. It can only make a place shoaler
//! than on the chart, never deeper. Where no chart gives a depth, it gives one for the place where it was taken and a
//! few metres around it.
//! **Assumptions.** The tide's datum is the chart's: the station is named with each sounding, because it may not be.
//! **Weakness.** They cover only where the boat has been. Sand moves, so the day is reported too. Wind and pressure
//! change the level by decimetres (common practice, no source).
//! **Tests**: `src/chart/clearance/tests/own.rs`, `tests/own_soundings.rs`.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::shape::Extent;
use super::zone::Spot;
use crate::geodesy::{Plane, Position};
use crate::speech::charts::{self, Sounded};
use crate::time::Timestamp;
use crate::units::Metres;

/// A depth that the boat has sounded.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct OwnSounding {
    /// Where the transducer was.
    pub position: Position,
    /// Below chart datum; negative: drying.
    pub depth: Metres,
    /// How far from there the true position may be, 95 %.
    pub doubt: Metres,
    /// The time.
    pub at: Timestamp,
    /// The tide that was used to reduce it.
    pub tide: ReducedBy,
}

/// The source of the height of tide that was subtracted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum ReducedBy {
    /// The prediction for the station of this name.
    Station(String),
    /// The data server.
    Server,
}

impl ReducedBy {
    /// `tide from Föglö`.
    #[must_use]
    pub fn told(&self) -> charts::ReducedBy {
        match self {
            Self::Station(name) => charts::ReducedBy::Station { name: name.clone() },
            Self::Server => charts::ReducedBy::Server,
        }
    }
}

impl OwnSounding {
    /// `own sounding 2.4 m on 2026-05-03, tide from Föglö`.
    #[must_use]
    pub fn told(&self) -> Sounded {
        let what = Sounded::of(self.depth, self.at, self.tide.told()).into();
        Sounded::Own { what }
    }

    /// The square to which it belongs.
    #[must_use]
    pub fn square(&self) -> Square {
        Square::of(self.position)
    }

    /// Whether it replaces the sounding kept for its square: if it is shoaler by enough to be worth a write, or if the
    /// kept one is old, reduced by another tide, or from the future (stamped by a wrong clock).
    #[must_use]
    pub fn replaces(&self, kept: Metres, of: Timestamp, by: &ReducedBy) -> bool {
        let age = self.at.millis_since(of);
        self.depth.get() <= kept.get() - WORTH_KEEPING
            || !(-AHEAD_MS..=OLD_MS).contains(&age)
            || self.tide != *by
    }
}

/// A square of the grid: rows of a fixed part of a degree of latitude, and in each row columns of about the same
/// length.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Square {
    /// Rows from the equator.
    pub north: i32,
    /// Columns from the prime meridian.
    pub east: i32,
}

impl Square {
    /// The square that a place lies in.
    #[must_use]
    pub fn of(place: Position) -> Self {
        let north = row(place.latitude());
        Self {
            north,
            east: column(place.longitude(), columns(north)),
        }
    }
}

/// The row of a latitude.
#[must_use]
#[expect(clippy::cast_possible_truncation, reason = "at most 90 degrees")]
pub fn row(latitude: f64) -> i32 {
    (latitude * ROWS).floor() as i32
}

#[expect(clippy::cast_possible_truncation, reason = "at most 180 degrees")]
fn column(longitude: f64, columns: f64) -> i32 {
    (longitude * columns).floor() as i32
}

/// Columns in a degree of longitude. They are the same throughout a whole degree of latitude, so that squares stand
/// above one another.
fn columns(row: i32) -> f64 {
    let latitude = (f64::from(row) + 0.5) / ROWS;
    ROWS * (latitude.floor() + 0.5).to_radians().cos().max(0.01)
}

/// Rows in a degree of latitude: 5.05 m each (a degree has 110.6 to 111.7 km). Chosen: about the error of a good fix.
const ROWS: f64 = 22_000.0;
/// Metres: the last digit of a sounder.
const WORTH_KEEPING: f64 = 0.1;
/// A sounding older than a year is replaced by a new one, even a deeper one. Chosen.
const OLD_MS: i64 = 365 * 24 * 3_600_000;
/// A correction of the clock by less than a minute does not change the tide. The watch uses the same limit for a steady
/// clock.
const AHEAD_MS: i64 = 60_000;
/// The distance in metres within which a sounding gives the depth of a place: two squares.
pub(super) const HERE: f64 = 10.0;

/// Soundings of an area, by their squares.
#[derive(Debug, Default)]
pub(super) struct OwnSoundings(BTreeMap<Square, OwnSounding>);

/// A sounding near a place, on the plane about it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Near<'a> {
    pub(super) sounding: &'a OwnSounding,
    /// The point of its disc nearest to the plane's origin.
    pub(super) at: Spot,
    /// Where it was taken.
    pub(super) taken: Spot,
}

impl OwnSoundings {
    pub(super) fn of(soundings: Vec<OwnSounding>) -> Self {
        let mut own = Self::default();
        for sounding in soundings {
            own.add(sounding);
        }
        own
    }

    pub(super) fn add(&mut self, sounding: OwnSounding) {
        let square = sounding.square();
        let kept = self.0.get(&square);
        if kept.is_none_or(|kept| sounding.replaces(kept.depth, kept.at, &kept.tide)) {
            self.0.insert(square, sounding);
        }
    }

    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    /// Of the requested soundings, those whose disc comes within `range` metres of the plane's origin.
    pub(super) fn near(
        &self,
        plane: Plane,
        range: f64,
        wanted: impl Fn(&OwnSounding) -> bool,
    ) -> Vec<Near<'_>> {
        let boxes = Extent::about(plane.origin(), range + MOST_DOUBT.get());
        boxes
            .into_iter()
            .flat_map(|area| self.within(area))
            .filter(|sounding| wanted(sounding))
            .filter_map(|sounding| {
                let offset = plane.offset(sounding.position);
                let taken = [offset.east, offset.north];
                let distance = offset.length().get();
                let left = (distance - sounding.doubt.get()).max(0.0);
                let share = if distance > 0.0 { left / distance } else { 0.0 };
                (left <= range).then_some(Near {
                    sounding,
                    at: [taken[0] * share, taken[1] * share],
                    taken,
                })
            })
            .collect()
    }

    /// The soundings of the squares that a box overlaps, row by row.
    fn within(&self, area: Extent) -> impl Iterator<Item = &OwnSounding> {
        let ([west, south], [east, north]) = (area.low.degrees(), area.high.degrees());
        let rows = if self.0.is_empty() {
            0..0
        } else {
            row(south)..row(north) + 1
        };
        rows.flat_map(move |north| {
            let columns = columns(north);
            let square = |longitude: f64| Square {
                north,
                east: column(longitude, columns),
            };
            self.0.range(square(west)..=square(east))
        })
        .map(|(_, sounding)| sounding)
    }
}

/// A sounding whose position is less certain than this (95 %) is not kept. Chosen: an antenna on the stern of a boat
/// without a heading.
pub const MOST_DOUBT: Metres = Metres::of(20.0);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Bearing;
    use proptest::prelude::*;

    #[test]
    fn a_sounding_is_reported_with_its_day_and_its_tide() {
        let sounding = OwnSounding {
            position: Position::of(59.85, 23.26),
            depth: Metres::of(2.4),
            doubt: Metres::of(5.0),
            at: "2026-05-03T21:30:00Z".parse().unwrap(),
            tide: ReducedBy::Station("Tern Sound".to_owned()),
        };
        assert_eq!(
            sounding.told().english(),
            "own sounding 2.4 m on 2026-05-03, tide from Tern Sound"
        );
        let drying = OwnSounding {
            depth: Metres::of(-0.3),
            tide: ReducedBy::Server,
            ..sounding
        };
        assert_eq!(
            drying.told().english(),
            "own sounding drying 0.3 m on 2026-05-03, tide from the data server"
        );
    }

    #[test]
    fn a_square_is_written_again_when_it_is_shoaler_or_old() {
        let at: Timestamp = "2026-05-03T21:30:00Z".parse().unwrap();
        let sounding = |depth: f64, days: u64| OwnSounding {
            position: Position::of(0.0, 0.0),
            depth: Metres::of(depth),
            doubt: Metres::ZERO,
            at: at.plus(std::time::Duration::from_hours(24 * days)),
            tide: ReducedBy::Server,
        };
        let kept = Metres::of(2.4);
        let server = ReducedBy::Server;
        assert!(!sounding(2.35, 0).replaces(kept, at, &server));
        assert!(sounding(2.3, 0).replaces(kept, at, &server));
        assert!(!sounding(3.0, 364).replaces(kept, at, &server));
        assert!(sounding(3.0, 366).replaces(kept, at, &server));
        // A sounding that a wrong clock put in the future is replaced; a clock corrected by seconds changes nothing.
        let ahead = |seconds| at.plus(std::time::Duration::from_secs(seconds));
        assert!(!sounding(3.0, 0).replaces(kept, ahead(59), &server));
        assert!(sounding(3.0, 0).replaces(kept, ahead(61), &server));
        // A sounding that was reduced by another tide no longer counts, however shoal it is.
        let station = ReducedBy::Station("Tern Sound".to_owned());
        assert!(sounding(3.0, 0).replaces(kept, at, &station));
    }

    proptest! {
        /// Wherever a boat can float, two places in one square are less than 9 m apart, and a step of 12 m leads to another.
        #[test]
        fn a_square_is_some_metres_wide(
            latitude in -80.0..80.0_f64, longitude in -179.9..179.9_f64,
            turn in 0.0..360.0_f64, step in 0.0..40.0_f64,
        ) {
            let place = Position::new(latitude, longitude).unwrap();
            let other = place.moved(Bearing::from_degrees(turn), Metres::of(step));
            if Square::of(place) == Square::of(other) {
                prop_assert!(step < 9.0, "{step}");
            }
        }
    }
}
