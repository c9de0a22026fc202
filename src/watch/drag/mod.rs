//! Is the anchor moving?
//!
//! **Symbols.** `A` where the anchor may lie, with a probability `π(A)`; `p` the bow roller; `B` the farthest it
//! can lie from a holding anchor (the reach, plus the uncertainty of the lever arm); `σ` the error of the mean of
//! `p` over a window; `z` the evidence in standard deviations.
//!
//! **Method.** Five questions. `look` says what half a minute of lying shows, and `chart` holds everything that
//! belongs to one mark.
//! 1. `track`: where is the antenna? The Doppler velocity tells jumps of the fix from motion, a complementary filter
//!    joins fix and velocity, and their disagreement teaches the night's noise.
//! 2. `anchor`: where may the anchor lie? A chart of places is weighed by where she has lain: it starts from the mark,
//!    and the arc she sails corrects it. Only older observations count, so that a drag does not teach the chart where
//!    it goes. One chart is five minutes late and includes the last shift of the wind. A second one is half an hour
//!    late, and a creeping anchor cannot take it along. The test asks both and uses the one that finds it harder to
//!    explain where she is; the second must be the surer by [`SLOW_COUNTS`], because in its first half hour it has
//!    nothing but the mark.
//! 3. `slack`: how much of the reach does a wind of this strength use?
//! 4. This module: can a holding anchor explain where she is? For the mean over windows of 4 s to 4 min that end now
//!    (the generalised likelihood ratio of a step that began with the window; Lorden 1971),
//!    `z² = -2 ln (2 Σ π(A) e^(-(|p-A|-B)₊²/2σ²))`; the greatest of the windows counts. `σ²` is the sum of the learned
//!    error of minutes as a Gauss-Markov process averaged over the window, the error of hours relative to the chart,
//!    and what the model does not explain.
//!    The verdict is "dragging" if `z ≥ SURE_Z` and the mean excess is at least the configured margin, for the
//!    configured time. That time shrinks to nothing if `z` is greater by [`SURER_BY`]: overwhelming evidence need not
//!    last. The verdict is also "dragging" if weaker evidence lasts: if the mean of `z` over twenty minutes, forgotten
//!    exponentially, reaches `LASTING_Z`. A receiver's wandering passes within minutes; an anchor that creeps by a few
//!    metres an hour does not come back. The verdict ends when `z` falls below `QUIET_Z`.
//! 5. [`usual`]: does she lie farther out than she usually lies tonight in such a wind? The bound allows a drag of
//!    some metres, as far as she lies short of it; this question does not. It needs a Doppler velocity and a scatter
//!    that it can explain, and it counts for less if the chart and its own estimate of the anchor disagree. Its verdict
//!    is "dragging" too.
//!
//! **Probability of a drag.** [`probability`]: from the share of quiet nights that reach this evidence; the greater
//! of the two probabilities counts.
//!
//! **After a drag.** [`rest`]: the anchor is pulled along with her. When it has not moved under load for most of a
//! quarter of an hour she holds again, and its place is the new mark ([`DragTest::rests`]).
//!
//! **Consequences.** Motion inside the bound is never evidence for question 4, and for question 5 only if the usual
//! way of lying has been learned; coming back from near the anchor is not evidence at all. So neither reversal nor
//! yaw can raise an alarm. After a gap in which the fix may have been shifted, `σ` includes the shift. A bad mark,
//! few sensors or a bad receiver make the chart or `σ` wider and the alarm later. Without a heading, `B` is wider
//! by the antenna's distance from the roller, as if the bow pointed at the anchor.
//!
//! **Weakness.** Without a Doppler velocity, or if no way of lying explains how she lies, only the bound counts,
//! and a drag can use up what she lies short of it. The effect is the same for a boat that sheers widely and has no
//! compass, because her distance scatters by as much. A receiver under a bad sky that wanders by tens of metres is
//! taken for a drag, in addition to the `position` alarm it raises (`tests/recorded.chk`). A stream that holds a
//! boat without compass and wind instrument stern to her anchor misleads the charts; for such boats the
//! observations count for less, and the alarm comes later. `SURE_Z` was tuned on simulated nights
//! (`windrode measure`), whose sea and receiver are our own models: it promises nothing for a receiver that behaves
//! differently. In the first half hour, when there is nothing but the mark, a drag looks like a bad mark for
//! longer. A drag slower than the receiver's own wandering over hours is detected late. A boat that lies far inside
//! her reach can drag by the difference before it shows.
//!
//! **Sources.** Page 1954 and Lorden 1971 for detecting a change; Wald 1947 for evidence as odds;
//! Gauss-Markov errors of a receiver: the facts that shape the watch; the catenary in `slack`.
//!
//! **Tests** beside this file: quiet nights, drags, jumps, arcs, late marks, restarts, and the properties
//! `turning_shifting_and_delaying_the_world_changes_nothing` and `more_noise_never_gives_more_confidence`. For the
//! figures see `windrode measure` and DEVELOPERS.md.

mod anchor;
mod chart;
mod evidence;
mod look;
mod pace;
mod probability;
mod rest;
mod slack;
mod slide;
mod track;
mod usual;

use std::time::Duration;

use chart::Chart;
pub use evidence::{DragEvidence, Found, Marked, Origin, Sighting};
use look::{a_look, stretch};
use pace::Pace;
use probability::Greatest;
use rest::Rest;
use slide::Slide;
use track::Track;
use usual::{Places, QUIET_NIGHTS, UNUSUAL, Usual, Verdict};

use crate::geodesy::{Offset, Position, Tangent};
use crate::time::Tick;
use crate::units::Metres;
use crate::watch::settings::WatchSettings;

/// Accumulates the evidence. See the module documentation.
#[derive(Clone, Debug)]
pub struct DragTest {
    accuracy: f64,
    least_margin: f64,
    hold: Duration,
    track: Track,
    pace: Pace,
    /// The plane in which the track is kept.
    plane: Option<Tangent>,
    chart: Option<Chart>,
    places: Places,
    /// Where she usually lies, if a velocity tells motion from multipath.
    usual: Option<Usual>,
    /// The result of `usual`, if chart and regression agree.
    unusual: Option<Verdict>,
    /// Since when that has been a drag.
    unusual_since: Option<Tick>,
    z: f64,
    moved: f64,
    margin: f64,
    above_since: Option<Tick>,
    /// Mean of `z` over recent minutes.
    lasting: f64,
    judged: Tick,
    dragging: bool,
    /// Did the anchor never bite? Only for a mark that was made, not for one restored after a restart.
    slide: Option<Slide>,
    /// The anchor never bit, and she is still this far beyond her reach, metres.
    slid: Option<f64>,
    /// While she drags: does she hold again?
    rest: Option<Rest>,
}

impl DragTest {
    /// Starts with no evidence.
    #[must_use]
    pub fn new(settings: &WatchSettings) -> Self {
        let accuracy = settings.accuracy.get();
        Self {
            accuracy,
            least_margin: settings.drag_margin.get(),
            hold: settings.drag_hold,
            track: Track::new(accuracy * MINUTES_SHARE),
            pace: Pace::default(),
            plane: None,
            chart: None,
            places: Places::default(),
            usual: None,
            unusual: None,
            unusual_since: None,
            z: 0.0,
            moved: 0.0,
            margin: settings.drag_margin.get(),
            above_since: None,
            lasting: 0.0,
            judged: Tick::START,
            dragging: false,
            slide: None,
            slid: None,
            rest: None,
        }
    }

    /// Takes one sighting.
    pub fn take(&mut self, now: Tick, mark: &Marked, found: Option<&Found>, seen: &Sighting) {
        if self.chart.as_ref().is_none_or(|chart| chart.mark != *mark) {
            let chart = Chart::about(now, mark, found);
            if let Some(before) = self.plane.replace(chart.plane) {
                let to = before.offset(chart.plane.origin());
                self.track.origin_moved(to);
                self.places.origin_moved(to);
            }
            let found_at = found.map(|found| (found, chart.plane.offset(found.position)));
            self.usual = Some(Usual::new(now, mark, found_at, seen));
            self.unusual = None;
            self.unusual_since = None;
            self.slide = found.is_none().then(|| Slide::from(now));
            self.slid = None;
            self.chart = Some(chart);
            if let Some(found) = found.filter(|_| self.track.is_new()) {
                self.track.set_noise(found.noise.get());
            }
            self.z = 0.0;
            self.lasting = 0.0;
        }
        let Some(chart) = &mut self.chart else { return };
        let fix = chart.plane.offset(seen.antenna);
        let (middle, _) = chart.anchor.estimate();
        let line = fix - middle;
        let quiet = self.z < QUIET_Z && !self.dragging;
        let outward = quiet.then(|| line * (1.0 / line.length().get().max(1.0)));
        self.pace.take(now);
        let velocity = seen.velocity.filter(|_| self.pace.velocity_spans());
        self.track.believe_far_jumps(seen.stays);
        let antenna = self.track.take(now, fix, velocity, outward);
        let worse = (seen.sigma.get() / self.accuracy).max(1.0);
        let minutes = self.track.sigma() * worse;
        let point = antenna + seen.lever;
        let bound = seen.reach.get() + seen.lever_doubt.get() + stretch(seen.wind);
        chart.bit.add(now, point, bound);
        chart.look.add(now, point, bound);

        if let Some(look) = chart.look.due(now, LOOK_EVERY) {
            let gone = now.secs_since(chart.looked).min(10.0 * LOOK_EVERY);
            chart.looked = now;
            let look = a_look(&look, seen, minutes, gone);
            chart.looks.push_back((now, look));
        }
        chart.learn(now, !self.dragging);
        let seldom = self.pace.seldom().is_some();
        if let Some(bit) = chart.bit.due(now, if seldom { 0.0 } else { BIT }) {
            chart.bits.push_back(bit);
            let beyond = bit.point.length().get() - bit.bound;
            if let Some(slide) = &mut self.slide {
                slide.take(now, beyond);
                let doubt = mark.doubt.get().hypot(mark.lever.get());
                if slide.slides(now, doubt) {
                    self.slid = Some(beyond);
                    self.dragging = true;
                }
            }
            self.slid = self.slid.filter(|_| beyond > 0.0).map(|_| beyond);
            if self.dragging {
                let agreed = self.usual.as_ref().filter(|_| self.unusual.is_some());
                let known = agreed.and_then(|usual| {
                    let usually = usual.usually_lies()? + usual::arm(seen);
                    Some((usual.anchor().0, usually.min(bit.bound)))
                });
                let (anchor, usually) = known.unwrap_or((middle, bit.bound));
                let rest = self.rest.get_or_insert_with(|| Rest::from(anchor));
                rest.take(now, bit.point, usually);
            } else {
                self.rest = None;
            }
            while chart
                .bits
                .front()
                .is_some_and(|bit| now.secs_since(bit.at) > self.pace.kept(LONGEST))
            {
                chart.bits.pop_front();
            }
            let unbroken = self.track.unbroken(now);
            let doubt = if seldom {
                seen.doubt.get().hypot(SHIFT / 3.0)
            } else if unbroken < UNBROKEN {
                seen.doubt.get().hypot(SHIFT)
            } else {
                seen.doubt.get()
            };
            self.judge(now, minutes, doubt);
        }
        let seen = Sighting { velocity, ..*seen };
        self.compare(now, fix, worse, &seen);
    }

    /// Compares her distance with what is usual tonight.
    fn compare(&mut self, now: Tick, fix: Offset, worse: f64, seen: &Sighting) {
        let place = self.places.take(now, fix, seen.velocity, seen.lever);
        let Some((usual, chart)) = self.usual.as_mut().zip(self.chart.as_ref()) else {
            return;
        };
        let verdict = match place {
            Some(place) => {
                let shifted = if self.track.unbroken(now) < UNBROKEN {
                    SHIFT
                } else {
                    0.0
                };
                if !usual.take(now, &place, seen, worse, shifted, !self.dragging) {
                    return;
                }
                usual.agreed(chart.anchor.estimate())
            }
            None => None,
        };
        // A verdict that reported a drag remains until there is a new one.
        if verdict.is_some() || !self.dragging {
            self.unusual = verdict;
        }
        let told = |verdict: Verdict| verdict.s >= UNUSUAL && verdict.beyond >= self.least_margin;
        if verdict.is_some_and(told) {
            let since = *self.unusual_since.get_or_insert(now);
            // Evidence seen over a window has already lasted that long.
            let seen = verdict.map_or(0.0, |verdict| verdict.lasted);
            let needed = UNUSUAL_LASTS.saturating_sub(Duration::from_secs_f64(seen));
            self.dragging |= now.since(since) >= self.hold.max(needed);
        } else {
            self.unusual_since = None;
        }
    }

    fn is_quiet(&self) -> bool {
        let usual = self.unusual.is_none_or(|verdict| verdict.s < QUIET_UNUSUAL);
        self.z < QUIET_Z && self.slid.is_none() && usual
    }

    /// The mark or the rode changed: what was excess may not be any more.
    pub fn reset(&mut self) {
        self.chart = None;
        self.usual = None;
        self.unusual = None;
        self.unusual_since = None;
        self.rest = None;
        self.slide = None;
        self.slid = None;
        self.z = 0.0;
        self.moved = 0.0;
        self.above_since = None;
        self.lasting = 0.0;
        self.dragging = false;
    }

    fn judge(&mut self, now: Tick, minutes: f64, doubt: f64) {
        let Some(chart) = &self.chart else { return };
        let (mut z, mut moved) = (0.0, 0.0);
        let (mut point, mut bound, mut count, mut fixes) = (Offset::ZERO, 0.0, 0.0, 0.0);
        let mut windows = WINDOWS.iter().peekable();
        for bit in chart.bits.iter().rev() {
            point = point + bit.point;
            bound += bit.bound;
            count += 1.0;
            fixes += bit.fixes;
            let span = now.secs_since(bit.at) + BIT;
            let Some(window) = windows.peek() else { break };
            if span + 0.5 < **window {
                continue;
            }
            let window = *windows.next().unwrap_or(&LONGEST);
            if fixes < 3.0 {
                continue;
            }
            let sigma = sigma_of(minutes, doubt, window, fixes);
            for (anchor, counts) in [(&chart.anchor, 1.0), (&chart.slow, SLOW_COUNTS)] {
                let (this, mean) = anchor.excess(point * (1.0 / count), bound / count, sigma);
                if this * counts >= z {
                    z = this * counts;
                    moved = mean;
                }
            }
        }
        self.z = z;
        self.moved = moved;
        let share = (now.secs_since(self.judged) / LASTS).min(MOST_SHARE);
        self.judged = now;
        self.lasting += share * (z.min(SURE_Z) - self.lasting);
        let sigma = sigma_of(minutes, doubt, LONGEST, 100.0);
        let (_, spread) = chart.anchor.estimate();
        self.margin = (SURE_Z * sigma.hypot(spread)).max(self.least_margin);
        if z >= SURE_Z && moved >= self.least_margin {
            self.above_since.get_or_insert(now);
        } else if z < SURE_Z * 0.5 {
            self.above_since = None;
        }
        let needed = self
            .hold
            .mul_f64(((SURE_Z + SURER_BY - z) / SURER_BY).clamp(0.0, 1.0));
        let held = self
            .above_since
            .is_some_and(|since| now.since(since) >= needed);
        let creeps = self.lasting >= LASTING_Z && z >= LASTING_Z && moved >= self.least_margin;
        if held && z >= SURE_Z || creeps {
            self.dragging = true;
        } else if self.is_quiet() {
            self.dragging = false;
        }
    }

    /// The result of the test at this moment.
    #[must_use]
    pub fn evidence(&self, _now: Tick) -> DragEvidence {
        let z = if self.z < QUIET_Z {
            self.z
        } else {
            self.z.max(self.lasting * SURE_Z / LASTING_Z)
        };
        let by_bound = QUIET_BOUND.probability(z);
        let (by_usual, beyond) = self.unusual.map_or((0.0, 0.0), |verdict| {
            (QUIET_NIGHTS.probability(verdict.s), verdict.beyond)
        });
        let by_slide = if self.slid.is_some() { SLID } else { 0.0 };
        let moved = if by_usual > by_bound {
            self.moved.max(beyond)
        } else {
            self.moved
        };
        DragEvidence {
            probability: by_bound.max(by_usual).max(by_slide),
            moved: Metres::of(moved.max(self.slid.unwrap_or_default()).max(0.0)),
            margin: Metres::of(self.margin),
            dragging: self.dragging,
            quiet: self.is_quiet(),
        }
    }

    /// How far the fix is taken to be shifted now, as by multipath.
    #[must_use]
    pub fn shift(&self, now: Tick) -> Offset {
        self.track.shift(now)
    }

    /// Where the anchor most likely lies, and the standard deviation of that in each coordinate.
    #[must_use]
    pub fn estimate(&self) -> Option<(Position, Metres)> {
        let chart = self.chart.as_ref()?;
        let (at, spread) = chart.anchor.estimate();
        Some((chart.plane.position(at), Metres::of(spread)))
    }

    /// The farthest that the bow roller lies from the anchor, by tonight's observations, once that is learned.
    #[must_use]
    pub fn usually_lies(&self) -> Option<Metres> {
        Metres::new(self.usual.as_ref()?.usually_lies()?)
    }

    /// Where the anchor holds again after a drag.
    #[must_use]
    pub fn rests(&self) -> Option<Found> {
        let chart = self.chart.as_ref().filter(|_| self.dragging)?;
        let at = self.rest.as_ref()?.holds()?;
        Some(Found {
            position: chart.plane.position(at),
            doubt: Metres::of(REST_DOUBT),
            noise: Metres::of(self.track.sigma()),
        })
    }

    /// What to save for a restart; nothing while she drags.
    #[must_use]
    pub fn found(&self) -> Option<Found> {
        let chart = self.chart.as_ref().filter(|_| self.is_quiet())?;
        let (at, spread) = chart.anchor.estimate();
        Some(Found {
            position: chart.plane.position(at),
            doubt: Metres::of(spread),
            noise: Metres::of(self.track.sigma()),
        })
    }
}

fn sigma_of(minutes: f64, doubt: f64, window: f64, fixes: f64) -> f64 {
    let r = NOISE_TAU / window;
    let mean = 2.0 * r * (1.0 - r * (1.0 - (-1.0 / r).exp()));
    let hours = minutes * HOURS_SHARE;
    let white = WHITE * WHITE / fixes;
    (minutes * minutes * mean + hours * hours + white + MODEL * MODEL + doubt * doubt).sqrt()
}

/// Share of the receiver's error, as a deviation, that renews itself within minutes; used until it is learned.
const MINUTES_SHARE: f64 = 0.6;
/// The error of hours, relative to the supposed place of the anchor, divided by the error of minutes.
const HOURS_SHARE: f64 = 0.8;
const WHITE: f64 = 0.4;
/// The error that surge, sheer and an uneven bottom leave unexplained, metres.
const MODEL: f64 = 0.4;
const NOISE_TAU: f64 = 150.0;
const BIT: f64 = 2.0;
const WINDOWS: [f64; 6] = [4.0, 10.0, 20.0, 40.0, 80.0, 240.0];
const LONGEST: f64 = 240.0;
/// After a gap, how long a shift of the fix that began in it may last; during that time a shift of this size is
/// allowed for, metres (multipath: 3-14 m, the facts that shape the watch).
const UNBROKEN: Duration = Duration::from_secs(75);
const SHIFT: f64 = 6.0;
const LOOK_EVERY: f64 = 30.0;
/// The greatest `z` of a quiet night (`windrode measure`).
const QUIET_BOUND: Greatest = Greatest {
    one_of_ten: 1.0,
    falls: 0.38,
};
/// Of 4 500 simulated nights in which the anchor held, `z` exceeded this in three.
const SURE_Z: f64 = 2.9;
/// The factor by which the second chart's result counts: for half an hour it has nothing but the mark, and takes a
/// bad mark for a drag more readily; and it does not include what the receiver has wandered within an hour.
const SLOW_COUNTS: f64 = 0.84;
/// Evidence greater than `SURE_Z` by this much need not last.
const SURER_BY: f64 = 0.3;
const QUIET_Z: f64 = 1.0;
/// The same for the distance she usually lies at: one quiet night in ten reaches this.
const QUIET_UNUSUAL: f64 = 4.0;
/// Probability of a drag if she slides back from letting go.
const SLID: f64 = 0.99;
/// A surge to the end of her rode and back lasts for seconds: unusual evidence must last longer than that,
/// including the window in which it was seen.
const UNUSUAL_LASTS: Duration = Duration::from_secs(4);
/// The uncertainty of the place where she holds again, metres in each coordinate.
const REST_DOUBT: f64 = 5.0;
/// If `z` had not exceeded `SURE_Z` before, `lasting` came near this in two of 4 500 simulated nights in which the
/// anchor held.
const LASTING_Z: f64 = 1.75;
const LASTS: f64 = 1200.0;
/// The greatest share of one judgement in the lasting mean, however long the gap before it.
const MOST_SHARE: f64 = 0.05;

#[cfg(test)]
mod tests;
