//! How much water there will be: the outlook of the tide, the scope at high water, the depth under the
//! keel at low water. Hazard `shoaling`, by the sounder; by the chart see [`charted`](super::charted).
//!
//! **Tide.** Predicted for the configured station over the stay, which lasts until noon tomorrow by
//! the ship's clock unless another length is set. Without a station the data server's
//! `environment.tide.*` is used (heights above chart datum now, at the next high and the next low
//! water); otherwise the tide is unknown. The source in use is always shown.
//!
//! **Depths.** With `d` the sounded depth now and `t` the height of tide now, the depth at a height
//! `T` is `d - t + T`: the datum cancels out, only the rise counts. The smallest `d - t` sounded
//! since the anchor was let go stands for the shallowest spot she has swung over; its depth at low
//! water, minus the draught, is the smallest depth to come. When the source of the tide changes,
//! heights above different datums would be mixed, so the search for the smallest begins again.
//!
//! **Surge.** `d - t` at her place should stay as it was when the anchor was let go. The amount by
//! which it has risen or fallen is shown: the cause is weather, a wrong station, or a bottom that
//! is not flat.
//!
//! Weakness: the server gives only the *next* turn, and a later one of the stay may be higher or
//! lower; a prediction is only as good as this computer's clock; wind and pressure move the level
//! by decimetres (common practice, no source); over a sloping bottom the surge is mixed with the
//! slope. Tests: `scope_and_keel_follow_the_tide`, `the_shallowest_spot_she_has_swung_over_counts`,
//! `a_station_s_prediction_looks_over_the_stay`.

use std::time::Duration;

use serde_json::json;

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::chart::own::{OwnSounding, ReducedBy};
use crate::observation::Fact;
use crate::speech::alerts::Alert;
use crate::speech::remarks::TideWords;
use crate::speech::{Depth, Sentence, Wording};
use crate::tackle::water::{Tide, TideSource, noon_tomorrow};
use crate::tide::{Forecast, Stay};
use crate::time::{Now, Tick, Timestamp};
use crate::units::Metres;
use crate::watch::judgement::{Judged, centimetres, finding};
use crate::watch::round::Round;
use crate::watch::soundings::{Reduction, Soundings, TIDE_FRESH};

/// Follows tide and soundings.
#[derive(Clone, Debug, Default)]
pub struct Water {
    forecast: Option<Forecast>,
    /// How long she stays; until noon tomorrow if it is not given.
    stay: Option<Duration>,
    /// The stay that the crew entered with the berth.
    asked_stay: Option<Duration>,
    wording: Wording,
    /// The last predicted outlook, the time it was made for, and until when it counts.
    predicted: Option<(Timestamp, Timestamp, Stay)>,
    now: Option<(Metres, Tick)>,
    high: Option<(Metres, Tick)>,
    low: Option<(Metres, Tick)>,
    time_high: Option<Timestamp>,
    time_low: Option<Timestamp>,
    /// Smallest sounding minus tide since the anchor was let go.
    least: Option<Metres>,
    /// Sounding minus tide when the anchor was let go.
    first: Option<Metres>,
    /// The source of the tide by which those two are reduced.
    reduced_by: Option<&'static str>,
    /// Which of her soundings are kept.
    soundings: Soundings,
}

impl Water {
    /// Starts with the station whose tide is predicted, and the shallowest spot found before a
    /// restart.
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

    /// Smallest sounding minus tide since the anchor was let go.
    #[must_use]
    pub const fn least_reduced(&self) -> Option<Metres> {
        self.least
    }

    /// Takes what the server reports about the tide; other facts are ignored.
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

    /// Updates the prediction: every few minutes, or when the clock has jumped.
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

    /// Takes a current sounding that is fit to be kept.
    pub fn keep(&mut self, round: &Round, depth: Option<Metres>) {
        let reduction = depth.and_then(|_| self.reduction(round));
        self.soundings.take(round, depth, reduction);
    }

    /// Discards waiting soundings and the record of what has been kept.
    pub fn forget_soundings(&mut self) {
        self.soundings.forget();
    }

    /// The watch ends: waiting soundings must be written now.
    pub const fn stop(&mut self) {
        self.soundings.stop();
    }

    /// Soundings to be written from time to time.
    pub fn poll_soundings(&mut self, now: Tick) -> Option<Vec<OwnSounding>> {
        self.soundings.due(now)
    }

    /// The current tide, if it is fit to reduce a sounding by.
    fn reduction(&self, round: &Round) -> Option<Reduction> {
        let tide = round.tide.as_ref().filter(|tide| tide.above_datum)?;
        let by = match &tide.source {
            TideSource::Prediction(_) => {
                ReducedBy::Station(self.forecast.as_ref()?.name().to_owned())
            }
            TideSource::Server(_) => {
                let (_, at) = self.now?;
                (round.seen.now.tick.since(at) <= TIDE_FRESH).then_some(ReducedBy::Server)?
            }
            TideSource::Typed => return None,
        };
        Some(Reduction {
            height: tide.now,
            by,
        })
    }

    /// The outlook, while it is fresh.
    #[must_use]
    pub fn outlook(&self, now: Now) -> Option<Tide> {
        self.predicted_tide(now).or_else(|| self.server_tide(now))
    }

    /// How long she stays, if the crew entered it with the berth.
    pub fn stay_as(&mut self, asked: Option<Duration>) {
        if self.asked_stay != asked {
            self.asked_stay = asked;
            self.predicted = None;
        }
    }

    /// The end of the outlook.
    #[must_use]
    pub fn until(&self, now: Timestamp) -> Timestamp {
        match self.asked_stay.or(self.stay) {
            Some(stay) => now.plus(stay),
            None => noon_tomorrow(now, self.wording.zone.ahead_of_utc(now)),
        }
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
        let high_told = match high.map(Depth) {
            Some(height) => TideWords::High {
                height,
                time: self.time_high,
            },
            None => TideWords::NoHigh,
        };
        let low_told = match low.map(Depth) {
            Some(height) => TideWords::Low {
                height,
                time: self.time_low,
            },
            None => TideWords::NoLow,
        };
        let words = TideWords::Server {
            high: high_told.into(),
            low: low_told.into(),
        };
        Some(Tide {
            now: height,
            highest: high.unwrap_or(height).max(height),
            lowest: low.unwrap_or(height).min(height),
            above_datum: true,
            source: TideSource::Server(words.words(&self.wording)),
        })
    }

    /// Takes a sounding at anchor, with the height of the tide at that moment.
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

    /// A new mark: soundings from elsewhere do not count.
    pub fn restart(&mut self) {
        self.least = None;
        self.first = None;
    }

    /// Smallest depth to come over the ground she has swung over.
    #[must_use]
    pub fn least_depth(&self, outlook: &Tide) -> Option<Metres> {
        self.least.map(|least| least + outlook.lowest)
    }

    /// Judges the hazard, and takes the sounding of this round; `standing`: it is already reported.
    pub fn judge(&mut self, round: &Round, standing: bool) -> Judged {
        if !round.anchored() {
            return Judged::Gone;
        }
        let margin = round.seen.settings.keel_margin;
        // A reported hazard stands until the depth is a little more than the margin again.
        let slack = if standing { HYSTERESIS } else { Metres::ZERO };
        let Some(depth) = round.seen.depth else {
            // A reported hazard stands, but not as if it were sounded now.
            let last = round.seen.sounded.zip(round.seen.boat.draught());
            return last
                .filter(|_| standing)
                .and_then(|((at, depth), draught)| {
                    let when = round.seen.now.utc_of(at);
                    told(Some(depth - draught), None, margin, slack, Some(when))
                })
                .map_or(Judged::Unchanged, Judged::Stands);
        };
        self.sound(depth, round.tide.as_ref());
        let (under, at_low) = self.under_keel(round);
        told(under, at_low, margin, slack, None).map_or(Judged::Gone, Judged::Stands)
    }

    /// Depth under the keel now, and at low water where she has swung.
    #[must_use]
    pub fn under_keel(&self, round: &Round) -> (Option<Metres>, Option<Metres>) {
        let draught = round.seen.boat.draught();
        let least = round.tide.as_ref().and_then(|tide| self.least_depth(tide));
        let above = |depth: Option<Metres>| depth.zip(draught).map(|(depth, d)| depth - d);
        (above(round.seen.depth), above(least))
    }

    /// The tide is still falling, and at low water there will be too little under the keel.
    #[must_use]
    pub fn falls_short(&self, round: &Round) -> bool {
        let falls = round
            .tide
            .as_ref()
            .is_some_and(|tide| tide.lowest < tide.now);
        let (_, at_low) = self.under_keel(round);
        falls && at_low.is_some_and(|under| under < round.seen.settings.keel_margin)
    }

    /// How much deeper the sounded water is than the tide alone explains, since the anchor was let
    /// go.
    #[must_use]
    pub fn surge(&self, depth: Metres, tide: Metres) -> Option<Metres> {
        self.first.map(|first| depth - tide - first)
    }
}

/// The tide that a station's prediction gives for a stay.
#[must_use]
pub fn station_tide(
    forecast: &Forecast,
    now: Timestamp,
    until: Timestamp,
    stay: &Stay,
    wording: &Wording,
) -> Tide {
    let height = forecast.height(now);
    let words = TideWords::Station {
        station: forecast.name().to_owned(),
        until,
        highest: Depth(stay.highest.1),
        highest_at: stay.highest.0,
        lowest: Depth(stay.lowest.1),
        lowest_at: stay.lowest.0,
    };
    Tide {
        now: height,
        highest: stay.highest.1.max(height),
        lowest: stay.lowest.1.min(height),
        above_datum: true,
        source: TideSource::Prediction(words.words(wording)),
    }
}

/// Too little water under the keel, now or at low water. `slack` is the depth above the margin at
/// which a standing hazard ends; `sounded` is when `now` was sounded, if that is past.
fn told(
    now: Option<Metres>,
    at_low: Option<Metres>,
    margin: Metres,
    slack: Metres,
    sounded: Option<Timestamp>,
) -> Option<Finding<Sentence>> {
    let short = |depth: Option<Metres>| depth.filter(|depth| *depth < margin + slack);
    let severity = |depth: Metres| (margin - depth).max(Metres::ZERO).get();
    let least = Depth(margin);
    if let Some(under) = short(now) {
        let depth = Depth(under);
        let (priority, alert) = if under.get() <= 0.0 {
            let short = Depth(Metres::ZERO - under);
            (Priority::EmergencyAlarm, Alert::NoWater { short, sounded })
        } else {
            let alert = Alert::Shoaling {
                depth,
                least,
                sounded,
            };
            (Priority::Alarm, alert)
        };
        let evidence = json!({ "underKeel": centimetres(under) });
        return Some(finding(priority, severity(under), alert, evidence));
    }
    short(at_low).map(|under| {
        let depth = Depth(under);
        finding(
            Priority::Warning,
            severity(under),
            Alert::ShoalingAtLowWater { depth, least },
            json!({ "underKeelAtLowWater": centimetres(under) }),
        )
    })
}

const HYSTERESIS: Metres = Metres::of(0.2);
/// A server's tide plug-in reports every few minutes at least.
const FRESH: Duration = Duration::from_hours(1);
/// The extremes of a stay change slowly, and a small computer has other work to do.
const PREDICT_EVERY_MS: i64 = 5 * 60_000;

#[cfg(test)]
mod tests;
