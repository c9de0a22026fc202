//! Has the wind gone round since the anchor was set?
//!
//! The mean direction over a window, each sample weighted by the wind's speed, is held against
//! the mean when the anchor was set. A shift is told when it is greater than the threshold and
//! has lasted; a mean below the least speed says nothing (a vane points anywhere in a lull), nor
//! does one whose direction is scattered all round. It is over when the turn falls below
//! four fifths of the threshold, so that nothing chatters at it.
//!
//! Weakness: a slow compass error turns the wind too, and a front during the first minutes
//! becomes part of the reference. Source: circular means as in [`crate::stats`].
//! Tests: `a_front_is_a_shift_and_a_gust_is_none`, `a_lull_says_nothing`.

use std::time::Duration;

use crate::stats::{DirectionWindow, Running};
use crate::time::Tick;
use crate::units::{Angle, Bearing, Speed};
use crate::watch::instruments::Wind;
use crate::watch::settings::WatchSettings;

/// Follows the wind.
#[derive(Clone, Debug)]
pub struct WindWatch {
    window: DirectionWindow,
    wanted: Duration,
    speed: Running,
    heard: Option<Tick>,
    threshold: Angle,
    hold: Duration,
    least: Speed,
    beyond_since: Option<Tick>,
    shifted: bool,
}

impl WindWatch {
    /// With nothing known.
    #[must_use]
    pub fn new(settings: &WatchSettings) -> Self {
        Self {
            window: DirectionWindow::new(settings.wind_window),
            wanted: settings.wind_window / 2,
            speed: Running::new(settings.wind_window / 2),
            heard: None,
            threshold: settings.wind_shift,
            hold: settings.wind_hold,
            least: settings.wind_least,
            beyond_since: None,
            shifted: false,
        }
    }

    /// Takes the wind of this moment.
    pub fn take(&mut self, now: Tick, wind: Wind) {
        self.window.push(now, wind.from, wind.speed.get());
        self.speed.push(now, wind.speed.get());
        self.heard = Some(now);
    }

    /// Mean speed, while the wind is heard.
    #[must_use]
    pub fn mean_speed(&self, now: Tick) -> Option<Speed> {
        self.heard.filter(|at| now.since(*at) <= HEARD)?;
        Speed::new(self.speed.mean()?)
    }

    /// Mean direction, where there is one worth the name; from the first sample on.
    #[must_use]
    pub fn mean_direction(&self, now: Tick) -> Option<Bearing> {
        self.heard.filter(|at| now.since(*at) <= HEARD)?;
        let mean = self.window.mean(now)?;
        (mean.steadiness >= STEADY).then_some(mean.bearing)
    }

    /// The mean direction once it rests on half a window and on enough wind: fit to be held
    /// against another.
    #[must_use]
    pub fn reference(&self, now: Tick) -> Option<Bearing> {
        let settled = self.window.span(now) >= self.wanted;
        let enough = self.mean_speed(now)? >= self.least;
        self.mean_direction(now).filter(|_| settled && enough)
    }

    /// The turn since `reference`, positive veering, and whether it counts as a shift.
    pub fn judge(&mut self, now: Tick, reference: Option<Bearing>) -> Option<(Angle, bool)> {
        let Some((mean, reference)) = self.reference(now).zip(reference) else {
            // Nothing to judge by: what was told stands, what was building up starts again.
            self.beyond_since = None;
            return None;
        };
        let turn = mean.since(reference);
        let limit = if self.shifted {
            self.threshold.get() * 0.8
        } else {
            self.threshold.get()
        };
        if turn.abs().get() < limit {
            self.beyond_since = None;
            self.shifted = false;
        } else {
            let since = *self.beyond_since.get_or_insert(now);
            self.shifted = self.shifted || now.since(since) >= self.hold;
        }
        Some((turn, self.shifted))
    }

    /// A new mark: the old shift is none any more.
    pub fn restart(&mut self) {
        self.beyond_since = None;
        self.shifted = false;
    }
}

/// How long after the last word of the vane its mean still stands.
const HEARD: Duration = Duration::from_mins(1);
/// Mean vector length below which the wind comes from everywhere.
const STEADY: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;

    /// Runs an hour of wind at 1 Hz after a first half hour from the south-west that sets the
    /// reference; the minutes at which a shift stood.
    fn shifted_minutes(wind: impl Fn(u64) -> (f64, f64)) -> Vec<u64> {
        let mut watch = WindWatch::new(&WatchSettings::default());
        let mut reference = None;
        let mut minutes = Vec::new();
        for second in 0..5400 {
            let now = Tick::from_secs(second);
            let (degrees, knots) = if second < 1800 {
                (225.0, 12.0)
            } else {
                wind(second - 1800)
            };
            watch.take(
                now,
                Wind {
                    from: Bearing::from_degrees(degrees),
                    speed: Speed::from_knots(knots),
                },
            );
            if second == 1799 {
                reference = watch.reference(now);
            }
            if let Some((_, true)) = watch.judge(now, reference)
                && second % 60 == 0
            {
                minutes.push(second / 60);
            }
        }
        minutes
    }

    #[test]
    fn a_front_is_a_shift_and_a_gust_is_none() {
        let front = shifted_minutes(|second| (225.0 + (second as f64 / 10.0).min(140.0), 15.0));
        assert!(
            front
                .first()
                .is_some_and(|minute| (35..60).contains(minute))
        );
        assert_eq!(front.last(), Some(&89));
        // A minute from the north-west at twice the strength.
        let gust = shifted_minutes(|s| {
            if s % 900 < 60 {
                (315.0, 24.0)
            } else {
                (225.0, 12.0)
            }
        });
        assert_eq!(gust, Vec::<u64>::new());
    }

    #[test]
    fn a_lull_says_nothing() {
        let lull = shifted_minutes(|second| ((second * 7 % 360) as f64, 1.5));
        assert_eq!(lull, Vec::<u64>::new());
    }

    #[test]
    fn backing_is_negative() {
        let mut watch = WindWatch::new(&WatchSettings::default());
        for second in 0..600 {
            let wind = Wind {
                from: Bearing::from_degrees(350.0),
                speed: Speed::from_knots(10.0),
            };
            watch.take(Tick::from_secs(second), wind);
        }
        let now = Tick::from_secs(600);
        let (turn, _) = watch.judge(now, Some(Bearing::from_degrees(20.0))).unwrap();
        assert!((turn.degrees() + 30.0).abs() < 1e-6);
    }

    #[test]
    fn a_silent_vane_has_no_mean() {
        let mut watch = WindWatch::new(&WatchSettings::default());
        let wind = Wind {
            from: Bearing::from_degrees(90.0),
            speed: Speed::from_knots(10.0),
        };
        watch.take(Tick::from_secs(1), wind);
        assert!(watch.mean_direction(Tick::from_secs(2)).is_some());
        assert_eq!(watch.mean_direction(Tick::from_secs(90)), None);
    }
}
