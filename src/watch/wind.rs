//! The wind: has it shifted, and is it too strong? Hazards `windShift` and `windStrength`.
//!
//! **Direction.** The mean over a window as the mean of unit vectors (Mardia & Jupp 2000, section
//! 2.2, as in [`crate::stats`]), each sample weighted by the wind's speed, but by no more than the
//! mean speed: a lull, in which a vane points anywhere, counts for little, and a gust counts for no
//! more than the mean wind. Below the minimum mean speed, and when the directions are scattered all
//! round, there is no direction. A *shift* is a turn of the mean that is greater than the threshold
//! and has lasted. It is over below four fifths of the threshold, so that the alert does not
//! chatter. Turning clockwise is veering, positive; the other way is backing.
//!
//! **Since when.** The turn is measured from the wind at the time the anchor was set, and also from
//! the wind at the time the crew last acknowledged a shift. A crew that has dealt with a wind from
//! the north-west needs to hear of the next shift from there, even if the wind goes back to where
//! it was.
//!
//! **Strength.** Reported if the mean speed (exponential, half the window) is above its threshold
//! for the hold time, or a gust is above its own threshold; both end below nine tenths. A gust is
//! the highest mean over three seconds within the window (WMO-No. 8, *Guide to Instruments and
//! Methods of Observation*, volume I, the chapter on surface wind; from memory). Each sample is
//! first replaced by the median of itself and its two predecessors, so that a single wild reading
//! does not count.
//!
//! **Weakness.** A slow compass error turns the wind too, and a front during the first minutes
//! becomes part of the reference. An anemometer on a sheltered or heeling mast reads low; a
//! receiver that averages hides gusts. Instruments that report every ten seconds show few gusts.
//!
//! **Tests**: `a_front_is_a_shift_and_a_gust_is_not`, `a_lull_says_nothing`,
//! `the_next_shift_counts_from_the_wind_that_was_acknowledged`,
//! `a_strong_mean_is_reported_once_it_has_lasted`, `a_gust_is_reported_and_a_wild_reading_is_not`.

mod gusts;

use std::time::Duration;

use gusts::Gusts;
use serde_json::json;

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::speech::Sentence;
use crate::speech::alerts::{Alert, Turned};
use crate::stats::{DirectionWindow, Running};
use crate::time::Tick;
use crate::units::{Angle, Bearing, Speed};
use crate::watch::instruments::Wind;
use crate::watch::judgement::{Judged, finding};
use crate::watch::round::Round;
use crate::watch::settings::WatchSettings;

/// Follows the wind.
#[derive(Clone, Debug)]
pub struct WindWatch {
    window: DirectionWindow,
    wanted: Duration,
    speed: Running,
    /// When there last was a speed, and when a direction.
    heard: Option<Tick>,
    pointed: Option<Tick>,
    /// Cosine of the wind's angle from the bow, and when it was last known.
    ahead: Running,
    angled: Option<Tick>,
    least: Speed,
    since_set: Turn,
    since_seen: Turn,
    gusts: Gusts,
    strength: Strength,
}

/// A turn, and since when it has been beyond its threshold.
#[derive(Clone, Copy, Debug)]
struct Turn {
    threshold: Angle,
    hold: Duration,
    beyond_since: Option<Tick>,
    shifted: bool,
}

/// The current shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shift {
    /// Measured from the wind when the anchor was set.
    pub since_set: Angle,
    /// Measured from the wind when a shift was last acknowledged.
    pub since_seen: Option<Angle>,
    /// At least one of the two is greater than the threshold and has lasted.
    pub stands: bool,
    /// The turn that nobody has acknowledged, in thresholds; zero until it has lasted.
    pub unseen: f64,
}

/// The strength of the wind, and whether it must be reported.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Blow {
    /// Mean speed.
    pub mean: Speed,
    /// The strongest gust within the window.
    pub gust: Speed,
    /// The mean is over its threshold, and has been for the hold time.
    pub mean_over: bool,
    /// A gust was over its threshold.
    pub gust_over: bool,
    /// The greater of the two excesses.
    pub excess: Speed,
}

#[derive(Clone, Copy, Debug)]
struct Strength {
    mean: Speed,
    gust: Speed,
    hold: Duration,
    over_since: Option<Tick>,
    mean_over: bool,
    gust_over: bool,
}

impl WindWatch {
    /// Starts with nothing known.
    #[must_use]
    pub fn new(settings: &WatchSettings) -> Self {
        let turn = Turn {
            threshold: settings.wind_shift,
            hold: settings.wind_hold,
            beyond_since: None,
            shifted: false,
        };
        Self {
            window: DirectionWindow::new(settings.wind_window),
            wanted: settings.wind_window / 2,
            speed: Running::new(settings.wind_window / 2),
            heard: None,
            pointed: None,
            ahead: Running::new(WIND_RODE_OVER),
            angled: None,
            least: settings.wind_least,
            since_set: turn,
            since_seen: turn,
            gusts: Gusts::new(settings.wind_window),
            strength: Strength {
                mean: settings.wind_mean,
                gust: settings.wind_gust,
                hold: settings.wind_strength_hold,
                over_since: None,
                mean_over: false,
                gust_over: false,
            },
        }
    }

    /// Takes the current wind.
    pub fn take(&mut self, now: Tick, wind: Wind) {
        self.speed.push(now, wind.speed.get());
        self.gusts.push(now, wind.speed);
        self.heard = Some(now);
        if let Some(angle) = wind.angle {
            self.ahead.push(now, angle.get().cos());
            self.angled = Some(now);
        }
        if let Some(from) = wind.from {
            let most = self.speed.mean().unwrap_or_default();
            self.window.push(now, from, wind.speed.get().min(most));
            self.pointed = Some(now);
        }
    }

    /// When the wind was last heard.
    #[must_use]
    pub const fn heard(&self) -> Option<Tick> {
        self.heard
    }

    /// Mean speed, while the wind is heard.
    #[must_use]
    pub fn mean_speed(&self, now: Tick) -> Option<Speed> {
        self.heard.filter(|at| now.since(*at) <= HEARD)?;
        Speed::new(self.speed.mean()?)
    }

    /// Mean speed when it was last heard.
    #[must_use]
    pub fn last_mean_speed(&self) -> Option<Speed> {
        Speed::new(self.speed.mean()?)
    }

    /// The strongest gust within the window, while the wind is heard.
    #[must_use]
    pub fn gust(&self, now: Tick) -> Option<Speed> {
        self.heard.filter(|at| now.since(*at) <= HEARD)?;
        self.gusts.greatest(now)
    }

    /// Does she lie to the wind? The mean cosine of its angle from the bow: near one head to wind,
    /// 0.7 and more while she sheers, zero and less when a stream holds her across or stern to the
    /// wind.
    #[must_use]
    pub fn ahead(&self, now: Tick) -> Option<f64> {
        self.angled.filter(|at| now.since(*at) <= HEARD)?;
        self.ahead.mean()
    }

    /// Mean direction, if there is a meaningful one; from the first sample on.
    #[must_use]
    pub fn mean_direction(&self, now: Tick) -> Option<Bearing> {
        self.pointed.filter(|at| now.since(*at) <= HEARD)?;
        let mean = self.window.mean(now)?;
        (mean.steadiness >= STEADY).then_some(mean.bearing)
    }

    /// The mean direction once it rests on half a window and on enough wind: fit to be compared
    /// with another.
    #[must_use]
    pub fn reference(&self, now: Tick) -> Option<Bearing> {
        let settled = self.window.span(now) >= self.wanted;
        let enough = self.mean_speed(now)? >= self.least;
        self.mean_direction(now).filter(|_| settled && enough)
    }

    /// The turn from the wind when the anchor was `set` and from the one that was last `seen`,
    /// positive veering. `None` if there is nothing to judge by.
    pub fn judge(
        &mut self,
        now: Tick,
        set: Option<Bearing>,
        seen: Option<Bearing>,
    ) -> Option<Shift> {
        let Some((mean, set)) = self.reference(now).zip(set) else {
            // A reported shift stands; one that was building up starts again.
            self.since_set.beyond_since = None;
            self.since_seen.beyond_since = None;
            return None;
        };
        let since_set = mean.since(set);
        let since_seen = seen.map(|seen| mean.since(seen));
        let from_set = self.since_set.judge(now, since_set);
        let from_seen = since_seen.is_some_and(|turn| self.since_seen.judge(now, turn));
        let unseen = match since_seen {
            Some(turn) if from_seen => turn,
            None if from_set => since_set,
            Some(_) | None => Angle::ZERO,
        };
        Some(Shift {
            since_set,
            since_seen,
            stands: from_set || from_seen,
            unseen: unseen.abs().get() / self.since_set.threshold.get().max(1e-9),
        })
    }

    /// The strength of the wind, and whether it must be reported. `None` while no wind is heard.
    pub fn strength(&mut self, now: Tick) -> Option<Blow> {
        let Some((mean, gust)) = self.mean_speed(now).zip(self.gust(now)) else {
            self.strength.over_since = None;
            return None;
        };
        let strength = &mut self.strength;
        let limit =
            |threshold: Speed, over: bool| threshold * if over { FALLS_SILENT } else { 1.0 };
        if mean < limit(strength.mean, strength.mean_over) {
            strength.over_since = None;
            strength.mean_over = false;
        } else {
            let since = *strength.over_since.get_or_insert(now);
            strength.mean_over = strength.mean_over || now.since(since) >= strength.hold;
        }
        strength.gust_over = gust >= limit(strength.gust, strength.gust_over);
        let over = |counts: bool, by: Speed| if counts { by } else { Speed::ZERO };
        Some(Blow {
            mean,
            gust,
            mean_over: strength.mean_over,
            gust_over: strength.gust_over,
            excess: over(strength.mean_over, mean - strength.mean)
                .max(over(strength.gust_over, gust - strength.gust)),
        })
    }

    /// Judges the hazard `windShift`.
    pub fn judge_shift(&mut self, round: &Round) -> Judged {
        let Some(lies) = &round.lies else {
            return Judged::Gone;
        };
        let now = round.seen.now.tick;
        match self.judge(now, lies.wind_set, lies.wind_seen) {
            // A new mark has no reference wind yet, and so no shift.
            None if lies.wind_set.is_none() => Judged::Gone,
            None => Judged::Unchanged,
            Some(shift) if !shift.stands => Judged::Gone,
            Some(shift) => Judged::Stands(shift_told(&shift, self.mean_direction(now))),
        }
    }

    /// Judges the hazard `windStrength`.
    pub fn judge_strength(&mut self, round: &Round) -> Judged {
        let blow = self.strength(round.seen.now.tick);
        if !round.anchored() {
            return Judged::Gone;
        }
        match blow {
            None => Judged::Unchanged,
            Some(blow) if blow.mean_over || blow.gust_over => Judged::Stands(blow_told(&blow)),
            Some(_) => Judged::Gone,
        }
    }

    /// A new mark: the old shift no longer counts.
    pub fn restart(&mut self) {
        self.since_set.clear();
        self.since_seen.clear();
    }

    /// Somebody has acknowledged a shift: the next one is measured from the current wind.
    pub fn seen(&mut self) {
        self.since_seen.clear();
    }
}

impl Turn {
    fn judge(&mut self, now: Tick, turn: Angle) -> bool {
        let limit = self.threshold.get() * if self.shifted { 0.8 } else { 1.0 };
        if turn.abs().get() < limit {
            self.clear();
        } else {
            let since = *self.beyond_since.get_or_insert(now);
            self.shifted = self.shifted || now.since(since) >= self.hold;
        }
        self.shifted
    }

    fn clear(&mut self) {
        self.beyond_since = None;
        self.shifted = false;
    }
}

/// The wind has shifted. The turn that nobody has acknowledged comes first; the crew already knows of the
/// other.
fn shift_told(shift: &Shift, from: Option<Bearing>) -> Finding<Sentence> {
    let set = Turned::by(shift.since_set);
    finding(
        Priority::Warning,
        shift.unseen,
        match shift.since_seen.filter(|_| shift.unseen > 0.0) {
            Some(seen) => Alert::WindShiftAgain {
                seen: Turned::by(seen),
                set,
                from,
            },
            None => Alert::WindShift { set, from },
        },
        json!({ "windShift": (shift.since_set.get() * 1e4).round() / 1e4 }),
    )
}

/// The wind is strong. This is a warning: the wind itself does no damage yet, but a crew that is
/// warned in time can veer, check for chafe and have the engine ready. Its consequences (dragging, a
/// short scope) have alarms of their own.
fn blow_told(blow: &Blow) -> Finding<Sentence> {
    let (mean, gust) = (blow.mean, blow.gust);
    let metres_a_second = |speed: Speed| (speed.get() * 100.0).round() / 100.0;
    finding(
        Priority::Warning,
        blow.excess.knots(),
        if blow.mean_over {
            Alert::StrongWind {
                mean,
                gust: blow.gust_over.then_some(gust),
            }
        } else {
            Alert::StrongGusts { gust, mean }
        },
        json!({
            "windSpeed": metres_a_second(mean),
            "windGust": metres_a_second(gust),
        }),
    )
}

/// How long the mean stays valid after the vane's last report.
const HEARD: Duration = Duration::from_mins(1);
/// A sheer from one side to the other and back, with some reserve.
const WIND_RODE_OVER: Duration = Duration::from_mins(3);
/// Mean vector length below which the wind comes from all directions.
const STEADY: f64 = 0.5;
const FALLS_SILENT: f64 = 0.9;

#[cfg(test)]
mod tests;
