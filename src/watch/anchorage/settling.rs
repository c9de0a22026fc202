//! Does she lie quietly? The conditions before the anchor is taken to hold.
//!
//! **Method.** Only time in which she was seen counts, by a fix of that moment. A short gap pauses the count; a gap
//! that is long enough for the fix to count as lost restarts it, and so does evidence of a drag. Over the
//! configured time, the mean distance from the mark in the last quarter is compared with that in the first quarter.
//! They must agree within what the receiver's error explains: `1.96 √2 σ` for the difference of two means whose
//! errors last for minutes, so that averaging does not reduce them. The test uses distance and not position,
//! because a boat that sheers or swings round her anchor moves but keeps her distance, and one whose anchor drags
//! does not.
//!
//! **Assumptions and weakness.** The mark is near the anchor. Within the configured time, a slide of less than
//! `1.96 √2 σ / ¾` cannot be told from the receiver's wandering: 9 m with a standard deviation of 2.5 m.
//!
//! **Source.** The difference of two means: any textbook.
//!
//! **Tests** beside this file and in `watch/tests/setting.rs`.

use std::collections::VecDeque;
use std::time::Duration;

use crate::time::Tick;
use crate::units::Metres;

/// Follows a boat whose anchor is not yet taken to hold. See the module documentation.
#[derive(Clone, Debug, Default)]
pub(super) struct Settling {
    /// How long she was seen.
    seen: Duration,
    /// The last moment at which she was seen.
    last: Option<Tick>,
    /// The time for which she had been seen, and her distance from the mark then.
    track: VecDeque<(Duration, f64)>,
}

/// What is seen of her at one moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Glimpse {
    /// Distance from the mark.
    pub(super) distance: Metres,
    /// Standard deviation of the fix in each coordinate.
    pub(super) sigma: Metres,
}

impl Settling {
    /// Takes one moment, with what is seen of her, if anything. `lost_after` is the longest gap that only pauses
    /// the count. Returns whether she has lain quietly for `settle`.
    pub(super) fn take(
        &mut self,
        now: Tick,
        glimpse: Option<Glimpse>,
        settle: Duration,
        lost_after: Duration,
    ) -> bool {
        let gap = self.last.map_or(Duration::ZERO, |last| now.since(last));
        let Some(glimpse) = glimpse else {
            if gap > lost_after {
                self.restart(now);
            }
            return false;
        };
        if gap > lost_after {
            self.restart(now);
        } else if gap <= LONGEST_STEP {
            self.seen += gap;
        }
        self.last = Some(now);
        let spacing = settle / POINTS;
        let due = self
            .track
            .back()
            .is_none_or(|(at, _)| self.seen.saturating_sub(*at) >= spacing);
        if due {
            self.track.push_back((self.seen, glimpse.distance.get()));
        }
        let began = self.seen.saturating_sub(settle);
        while self.track.front().is_some_and(|(at, _)| *at < began) {
            self.track.pop_front();
        }
        let explained = DIFFERENCE_95 * glimpse.sigma.get();
        self.seen >= settle
            && self
                .moved(settle)
                .is_some_and(|moved| moved.get().abs() <= explained)
    }

    /// Starts again.
    pub(super) fn restart(&mut self, now: Tick) {
        *self = Self {
            last: Some(now),
            ..Self::default()
        };
    }

    /// How much farther she lies from the mark at the end of the time than at its beginning.
    #[must_use]
    pub(super) fn moved(&self, settle: Duration) -> Option<Metres> {
        let quarter = settle / 4;
        let (first, _) = self.track.front()?;
        let early = mean(self.track.iter().filter(|(at, _)| *at <= *first + quarter))?;
        let late = mean(
            self.track
                .iter()
                .filter(|(at, _)| *at + quarter >= self.seen),
        )?;
        Some(Metres::of(late - early))
    }
}

fn mean<'a>(points: impl Iterator<Item = &'a (Duration, f64)>) -> Option<f64> {
    let (sum, count) = points.fold((0.0, 0.0), |(sum, count), (_, distance)| {
        (sum + distance, count + 1.0)
    });
    (count > 0.0).then(|| sum / count)
}

/// 1.96 standard deviations of the difference of two values, 95 %.
const DIFFERENCE_95: f64 = 1.96 * std::f64::consts::SQRT_2;
/// After a longer interval between rounds, she was not seen in between.
const LONGEST_STEP: Duration = Duration::from_secs(15);
/// The number of points kept over that time.
const POINTS: u32 = 120;

#[cfg(test)]
mod tests {
    use super::*;

    const SETTLE: Duration = Duration::from_mins(10);
    const LOST: Duration = Duration::from_secs(60);

    fn glimpse(distance: f64) -> Glimpse {
        Glimpse {
            distance: Metres::of(distance),
            sigma: Metres::of(2.5),
        }
    }

    /// The first second at which she is taken to lie quietly.
    fn quiet_after(at: impl Fn(u64) -> Option<Glimpse>) -> Option<u64> {
        let mut settling = Settling::default();
        (0..3000).find(|second| settling.take(Tick::from_secs(*second), at(*second), SETTLE, LOST))
    }

    #[test]
    fn she_must_be_seen_all_the_time() {
        assert_eq!(quiet_after(|_| Some(glimpse(30.0))), Some(600));
        // A gap of half a minute pauses the count, one of two minutes restarts it.
        let gap = |second: u64, from: u64, length: u64| {
            (!(from..from + length).contains(&second)).then(|| glimpse(30.0))
        };
        let short = quiet_after(|second| gap(second, 300, 30)).unwrap();
        assert!((629..=632).contains(&short), "{short}");
        let long = quiet_after(|second| gap(second, 300, 120)).unwrap();
        assert!((1019..=1021).contains(&long), "{long}");
        // Blind at the moment at which the time would have been complete.
        let late = quiet_after(|second| gap(second, 580, 50)).unwrap();
        assert!(late > 630, "{late}");
    }

    /// Rounds 1.1 s apart: a point each five and a half seconds, for ten minutes.
    #[test]
    fn the_points_of_an_hour_are_as_many_as_those_of_ten_minutes() {
        let mut settling = Settling::default();
        for round in 0..3600 {
            let seen = Some(glimpse(30.0));
            settling.take(Tick::from_millis(1100 * round), seen, SETTLE, LOST);
        }
        let points = settling.track.len();
        assert!((105..=110).contains(&points), "{points}");
    }

    /// She lies four metres farther out in the last quarter of the time.
    #[test]
    fn the_last_quarter_is_compared_with_the_first() {
        let mut settling = Settling::default();
        for second in 0..=600 {
            let distance = if second < 450 { 30.0 } else { 34.0 };
            let seen = Some(glimpse(distance));
            settling.take(Tick::from_secs(second), seen, SETTLE, LOST);
        }
        assert_eq!(settling.moved(SETTLE), Some(Metres::of(4.0)));
    }

    #[test]
    fn a_boat_that_slides_back_does_not_lie_quietly_and_one_that_stops_does() {
        let slide = |second: u64| Some(glimpse(second as f64 * 0.06));
        assert_eq!(quiet_after(slide), None);
        let stops = |second: u64| Some(glimpse((second as f64 * 0.06).min(36.0)));
        let when = quiet_after(stops).unwrap();
        assert!((700..1100).contains(&when), "{when}");
        // Sheering and surging about one position is not sliding.
        let surges = |second: u64| Some(glimpse(30.0 + 4.0 * (second as f64 / 20.0).sin()));
        assert!(quiet_after(surges).is_some_and(|when| when <= 700));
    }
}
