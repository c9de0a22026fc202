//! How much water there will be: the tide's outlook, the scope at high water, the depth under the
//! keel at low water.
//!
//! **Tide.** Predicted for the configured station over the stay, until noon tomorrow by the ship's
//! clock unless another length is set; without a station the data server's `environment.tide.*`
//! (heights above chart datum now, at the next high and the next low water); else unknown. What
//! is used is always said.
//!
//! **Depths.** With `d` the sounded depth now and `t` the height of tide now, the depth at a
//! height `T` is `d - t + T`: the datum falls out, only the rise counts. The least of `d - t`
//! sounded since the anchor was let go stands for the shallowest spot she has swung over; under
//! it at low water is the least depth to come, the draught taken off. When the tide comes from
//! somebody else than before, heights above another datum would be mixed up: the least begins anew.
//!
//! **Surge.** `d - t` where she lies should stay as it was when she was let go. How far it has
//! risen or fallen is shown: weather, a wrong station, or a bottom that is not flat.
//!
//! Weakness: the server tells the *next* turn only, a later one of the stay may be higher or
//! lower; a prediction is as right as this computer's clock; wind and pressure move the level by
//! decimetres (common practice, no source); over a sloping bottom the surge is mixed with the
//! slope. Tests: `scope_and_keel_follow_the_tide`,
//! `the_shallowest_spot_she_has_swung_over_counts`, `a_station_s_prediction_looks_over_the_stay`.

use std::time::Duration;

use crate::alert::wording::Wording;
use crate::observation::Fact;
use crate::tackle::water::{Tide, TideSource, noon_tomorrow};
use crate::tide::{Forecast, Stay};
use crate::time::{Now, Tick, Timestamp};
use crate::units::Metres;

/// Follows tide and soundings.
#[derive(Clone, Debug, Default)]
pub struct Water {
    forecast: Option<Forecast>,
    /// How long she stays; until noon tomorrow when nobody said.
    stay: Option<Duration>,
    wording: Wording,
    /// The outlook predicted last, for when, and until when.
    predicted: Option<(Timestamp, Timestamp, Stay)>,
    now: Option<(Metres, Tick)>,
    high: Option<(Metres, Tick)>,
    low: Option<(Metres, Tick)>,
    time_high: Option<Timestamp>,
    time_low: Option<Timestamp>,
    /// Least of sounding minus tide since the anchor was let go.
    least: Option<Metres>,
    /// Sounding minus tide when it was let go.
    first: Option<Metres>,
    /// Whose tide those two are reduced by.
    reduced_by: Option<&'static str>,
}

impl Water {
    /// With the station whose tide is predicted, and the shallowest spot found before a restart.
    #[must_use]
    pub fn new(
        forecast: Option<Forecast>,
        stay: Option<Duration>,
        wording: Wording,
        least: Option<Metres>,
    ) -> Self {
        Self {
            forecast,
            stay,
            wording,
            least,
            ..Self::default()
        }
    }

    /// Least sounding minus tide since the anchor was let go.
    #[must_use]
    pub const fn least_reduced(&self) -> Option<Metres> {
        self.least
    }

    /// Takes what the server says of the tide; other facts are left.
    pub fn take(&mut self, now: Tick, fact: &Fact) {
        match fact {
            Fact::TideNow(v) => self.now = v.map(|m| (m, now)),
            Fact::TideHigh(v) => self.high = v.map(|m| (m, now)),
            Fact::TideLow(v) => self.low = v.map(|m| (m, now)),
            Fact::TideTimeHigh(v) => self.time_high = *v,
            Fact::TideTimeLow(v) => self.time_low = *v,
            _ => {}
        }
    }

    /// Brings the prediction up to date: every few minutes, or when the clock has jumped.
    pub fn predict(&mut self, now: Now) {
        let Some(forecast) = &self.forecast else {
            return;
        };
        let known = self
            .predicted
            .is_some_and(|(at, _, _)| (0..PREDICT_EVERY_MS).contains(&now.utc.millis_since(at)));
        if !known {
            let until = self.until(now.utc);
            self.predicted = Some((now.utc, until, forecast.stay(now.utc, until)));
        }
    }

    /// The outlook, while it is fresh.
    #[must_use]
    pub fn outlook(&self, now: Now) -> Option<Tide> {
        self.predicted_tide(now).or_else(|| self.server_tide(now))
    }

    /// Until when the outlook looks.
    #[must_use]
    pub fn until(&self, now: Timestamp) -> Timestamp {
        match self.stay {
            Some(stay) => now.plus(stay),
            None => noon_tomorrow(now, self.wording.zone.ahead_of_utc(now)),
        }
    }

    /// The station whose tide is predicted.
    #[must_use]
    pub const fn forecast(&self) -> Option<&Forecast> {
        self.forecast.as_ref()
    }

    fn predicted_tide(&self, now: Now) -> Option<Tide> {
        let (_, until, stay) = self.predicted?;
        let forecast = self.forecast.as_ref()?;
        Some(station_tide(forecast, now.utc, until, &stay, &self.wording))
    }

    fn server_tide(&self, now: Now) -> Option<Tide> {
        let fresh = |value: Option<(Metres, Tick)>| {
            let (height, at) = value?;
            (now.tick.since(at) <= FRESH).then_some(height)
        };
        let height = fresh(self.now)?;
        let (high, low) = (fresh(self.high), fresh(self.low));
        if high.is_none() && low.is_none() {
            return None;
        }
        let clock = |time: Option<Timestamp>| {
            time.map_or(String::new(), |time| {
                format!(" at {}", self.wording.clock(time))
            })
        };
        let turn = |name: &str, height: Option<Metres>, time: Option<Timestamp>| match height {
            Some(height) => format!("{name} water {}{}", self.wording.depth(height), clock(time)),
            None => format!("{name} water not told"),
        };
        Some(Tide {
            now: height,
            highest: high.unwrap_or(height).max(height),
            lowest: low.unwrap_or(height).min(height),
            above_datum: true,
            source: TideSource::Server(format!(
                "{}, {}; later turns are not known",
                turn("high", high, self.time_high),
                turn("low", low, self.time_low)
            )),
        })
    }

    /// Takes a sounding at anchor, with the height of tide of that moment.
    pub fn sound(&mut self, depth: Metres, tide: Option<&Tide>) {
        let by = tide.map(|tide| tide.source.name());
        if self.reduced_by != by && (self.reduced_by.is_some() || self.first.is_some()) {
            self.restart();
        }
        self.reduced_by = by;
        let reduced = depth - tide.map_or(Metres::ZERO, |tide| tide.now);
        self.first.get_or_insert(reduced);
        self.least = Some(self.least.map_or(reduced, |least| least.min(reduced)));
    }

    /// A new mark: what was sounded elsewhere does not count.
    pub fn restart(&mut self) {
        self.least = None;
        self.first = None;
    }

    /// Least depth to come over the ground she has swung over.
    #[must_use]
    pub fn least_depth(&self, outlook: &Tide) -> Option<Metres> {
        self.least.map(|least| least + outlook.lowest)
    }

    /// How much deeper it is sounded than the tide alone explains since the anchor was let go.
    #[must_use]
    pub fn surge(&self, depth: Metres, tide: Metres) -> Option<Metres> {
        self.first.map(|first| depth - tide - first)
    }
}

/// The tide a station's prediction gives for a stay.
#[must_use]
pub fn station_tide(
    forecast: &Forecast,
    now: Timestamp,
    until: Timestamp,
    stay: &Stay,
    wording: &Wording,
) -> Tide {
    let height = forecast.height(now);
    let turn = |name: &str, (time, height): (Timestamp, Metres)| {
        format!(
            "{name} {} at {}",
            wording.depth(height),
            wording.clock(time)
        )
    };
    Tide {
        now: height,
        highest: stay.highest.1.max(height),
        lowest: stay.lowest.1.min(height),
        above_datum: true,
        source: TideSource::Prediction(format!(
            "{}, until {}: {}, {}",
            forecast.name(),
            wording.clock(until),
            turn("highest", stay.highest),
            turn("lowest", stay.lowest)
        )),
    }
}

/// A server's tide plug-in speaks every few minutes at least.
const FRESH: Duration = Duration::from_hours(1);
/// The extremes of a stay change slowly, and a small computer has other things to do.
const PREDICT_EVERY_MS: i64 = 5 * 60_000;

#[cfg(test)]
mod tests {
    use super::*;

    fn now(second: u64) -> Now {
        let gone = Duration::from_secs(second);
        Now::new(Tick::from_secs(second), Timestamp::EPOCH.plus(gone))
    }

    fn water() -> Water {
        let mut water = Water::default();
        let at = Tick::from_secs(0);
        water.take(at, &Fact::TideNow(Some(Metres::of(1.0))));
        water.take(at, &Fact::TideHigh(Some(Metres::of(3.5))));
        water.take(at, &Fact::TideLow(Some(Metres::of(0.4))));
        water.take(
            at,
            &Fact::TideTimeHigh(Some(Timestamp::from_millis(3_600_000))),
        );
        water
    }

    #[test]
    fn scope_and_keel_follow_the_tide() {
        let mut water = water();
        let outlook = water.outlook(now(10)).unwrap();
        assert_eq!(
            (outlook.highest, outlook.lowest),
            (Metres::of(3.5), Metres::of(0.4))
        );
        assert_eq!(
            outlook.source.words(),
            "as the data server tells: high water 3.5 m at 01:00 UTC, low water 0.4 m; later turns are not known"
        );
        // 5 m sounded at 1.0 m of tide: 4 m at datum, 4.4 m at low water.
        water.sound(Metres::of(5.0), Some(&outlook));
        assert!((water.least_depth(&outlook).unwrap().get() - 4.4).abs() < 1e-9);
        assert!(water.outlook(now(4000)).is_none(), "an hour old is too old");
    }

    #[test]
    fn the_shallowest_spot_she_has_swung_over_counts() {
        let mut water = water();
        let outlook = water.outlook(now(10)).unwrap();
        for depth in [5.0, 3.2, 6.0] {
            water.sound(Metres::of(depth), Some(&outlook));
        }
        assert!((water.least_depth(&outlook).unwrap().get() - 2.6).abs() < 1e-9);
        water.restart();
        assert_eq!(water.least_depth(&outlook), None);
    }

    #[test]
    fn surge_is_what_the_tide_does_not_explain() {
        let mut water = water();
        let outlook = water.outlook(now(10)).unwrap();
        water.sound(Metres::of(5.0), Some(&outlook));
        // The tide rose by 0.5 m, the sounder shows 0.8 m more.
        let surge = water.surge(Metres::of(5.8), Metres::of(1.5)).unwrap();
        assert!((surge.get() - 0.3).abs() < 1e-9);
    }

    #[test]
    fn without_a_turn_or_a_height_there_is_no_outlook() {
        let mut water = Water::default();
        assert!(water.outlook(now(1)).is_none());
        water.take(Tick::START, &Fact::TideNow(Some(Metres::of(1.0))));
        assert!(water.outlook(now(1)).is_none());
    }

    /// Heights above one datum and above another must not be mixed.
    #[test]
    fn another_source_of_the_tide_begins_the_soundings_anew() {
        let mut water = water();
        water.sound(Metres::of(2.0), None);
        let outlook = water.outlook(now(10)).unwrap();
        water.sound(Metres::of(5.0), Some(&outlook));
        assert_eq!(water.least_reduced(), Some(Metres::of(4.0)));
        water.sound(Metres::of(4.5), Some(&outlook));
        assert_eq!(water.least_reduced(), Some(Metres::of(3.5)));
    }

    /// Boston on 1 June 2026, by the station's own predictor: the turns of the stay, not just the
    /// next, and the station before the server.
    #[test]
    fn a_station_s_prediction_looks_over_the_stay() {
        let catalogue = crate::tide::stations::Catalogue::bundled().unwrap();
        let boston = catalogue.find("noaa/8443970").unwrap();
        let forecast = Forecast::new(&catalogue, boston).unwrap();
        let begin: Timestamp = "2026-06-01T20:00:00Z".parse().unwrap();
        let at = |minutes: u64| {
            let gone = Duration::from_mins(minutes);
            Now::new(Tick::START + gone, begin.plus(gone))
        };
        let mut water = Water::new(Some(forecast.clone()), None, Wording::default(), None);
        assert_eq!(water.outlook(at(0)), None, "nothing is predicted yet");
        water.predict(at(0));
        water.take(Tick::START, &Fact::TideNow(Some(Metres::of(9.0))));
        water.take(Tick::START, &Fact::TideHigh(Some(Metres::of(9.5))));
        let outlook = water.outlook(at(0)).unwrap();
        let noon: Timestamp = "2026-06-02T12:00:00Z".parse().unwrap();
        let stay = forecast.stay(begin, noon);
        assert_eq!(
            (outlook.now, outlook.highest, outlook.lowest),
            (stay.now, stay.highest.1, stay.lowest.1)
        );
        let words = outlook.source.words();
        assert!(
            words.starts_with("predicted: Boston, until 12:00 UTC: highest "),
            "{words}"
        );
        // The height of now moves on between predictions.
        water.predict(at(3));
        assert_eq!(
            water.outlook(at(3)).unwrap().now,
            forecast.height(at(3).utc)
        );
        // After a jump of the clock the stay is another.
        let later = Now::new(Tick::from_secs(240), noon);
        water.predict(later);
        assert!(
            water
                .outlook(later)
                .unwrap()
                .source
                .words()
                .contains("until 12:00 UTC")
        );
        assert_ne!(water.outlook(later).unwrap().highest, outlook.highest);
    }
}
