//! Where the boat has been in the last hour, thinned, for the picture.
//!
//! The track holds the boat's centre (the point that the swinging circle is measured to), with at
//! most one point in [`SPACING`] and [`MOST`] in all, so the memory is bounded however fast a
//! receiver reports. It is only shown: no judgement uses it.
//!
//! Chosen: an hour shows a turn of the tide and a squall; in 5 s she moves a metre at 0.4 kn, which
//! is less than the accuracy of a fix.

use std::collections::VecDeque;
use std::time::Duration;

use serde::{Deserialize, Serialize};

use crate::geodesy::Position;
use crate::time::{Now, Tick, Timestamp};
use crate::units::{Bearing, Metres};

/// A position of the boat's centre, and when she was there.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct TrackPoint {
    /// When she was there.
    pub time: Timestamp,
    /// The boat's centre, as far as it was known.
    pub position: Position,
}

/// What a picture needs apart from the [`WatchState`](crate::watch::state::WatchState): her dimensions,
/// her heading, where she has been.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub struct Sight {
    /// Her heading, true.
    pub heading: Option<Bearing>,
    /// Length over all; assumed if it is not given.
    pub length: Metres,
    /// Greatest beam.
    pub beam: Option<Metres>,
    /// Depth under the keel now.
    pub under_keel: Option<Metres>,
    /// The last hour, the oldest point first.
    pub track: Vec<TrackPoint>,
}

/// Keeps the track of the last hour.
#[derive(Clone, Debug, Default)]
pub(crate) struct Track {
    points: VecDeque<(Tick, Position)>,
}

impl Track {
    pub(crate) fn take(&mut self, now: Tick, position: Position) {
        self.forget(now);
        let soon = self
            .points
            .back()
            .is_some_and(|(at, _)| now.since(*at) < SPACING);
        if soon {
            return;
        }
        if self.points.len() >= MOST {
            self.points.pop_front();
        }
        self.points.push_back((now, position));
    }

    /// The points of the last hour, the oldest first, followed by her position at the last fix.
    pub(crate) fn points(&self, now: Now, here: Option<(Tick, Position)>) -> Vec<TrackPoint> {
        let young = |at: Tick| now.tick.since(at) <= KEPT;
        let mut points: Vec<TrackPoint> = self
            .points
            .iter()
            .filter(|(at, _)| young(*at))
            .map(|&(at, position)| TrackPoint {
                time: now.utc_of(at),
                position,
            })
            .collect();
        points.extend(here.map(|(at, position)| TrackPoint {
            time: now.utc_of(at),
            position,
        }));
        points
    }

    fn forget(&mut self, now: Tick) {
        while let Some((at, _)) = self.points.front()
            && now.since(*at) > KEPT
        {
            self.points.pop_front();
        }
    }
}

/// How long a point is kept.
pub const KEPT: Duration = Duration::from_hours(1);
/// The shortest time between two points.
const SPACING: Duration = Duration::from_secs(5);
/// An hour of points at [`SPACING`].
pub const MOST: usize = 720;

#[cfg(test)]
mod tests {
    use super::*;

    const COVE: Position = Position::of(59.8539, 23.26);

    fn now(millis: u64) -> Now {
        Now::new(Tick::from_millis(millis), Timestamp::EPOCH)
    }

    #[test]
    fn however_fast_it_comes_it_is_an_hour_of_points_five_seconds_apart() {
        let mut track = Track::default();
        for tenth in 0..72_000_u64 {
            let metres = Metres::of(tenth as f64 / 100.0);
            let place = COVE.moved(Bearing::from_degrees(90.0), metres);
            track.take(Tick::from_millis(tenth * 100), place);
        }
        assert!(track.points.len() <= MOST);
        let points = track.points(now(7_200_000), None);
        assert!(points.len() >= MOST - 1, "{}", points.len());
        for pair in points.windows(2) {
            assert_eq!(pair[1].time.millis_since(pair[0].time), 5000);
        }
    }

    #[test]
    fn points_older_than_an_hour_are_dropped_even_if_nothing_new_arrived() {
        let mut track = Track::default();
        track.take(Tick::from_secs(10), COVE);
        assert_eq!(track.points(now(3_610_000), None).len(), 1);
        assert_eq!(track.points(now(3_611_000), None).len(), 0);
        assert_eq!(
            track
                .points(now(3_611_000), Some((Tick::from_millis(3_611_000), COVE)))
                .len(),
            1
        );
    }

    #[test]
    fn time_that_goes_back_adds_nothing() {
        let mut track = Track::default();
        track.take(Tick::from_secs(100), COVE);
        track.take(Tick::from_secs(50), COVE);
        assert_eq!(track.points.len(), 1);
    }
}
