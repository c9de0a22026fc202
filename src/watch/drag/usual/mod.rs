//! Does she lie farther out than she usually lies tonight?
//!
//! The evidence compares the distance from the anchor with the distance that tackle, depth and wind predict; the
//! rest is learned from the night. So a drag cannot hide in the part of the reach that a slack rode leaves unused.
//!
//! **Symbols.** `q` the bow roller, `β` its bearing from the anchor, `ρ` the expected distance, `e` the distance
//! less `ρ`, `m(β)` the level: the usual `e` tonight; `S` the evidence in deviations.
//!
//! **Method**, each part with its formulas in its own file.
//! 1. [`place`]: where is the bow? A filter that trusts the Doppler velocity over minutes.
//! 2. [`record`]: an hour and a half of `e` in slots of two seconds, with running sums.
//! 3. [`level`]: the regression of `e` on `[1, sin β, cos β, calm]`, from data 10 to 15 minutes old. The sums are
//!    recalculated about the anchor that it finds, which keeps the regression linear.
//! 4. [`contrast`]: for ages of 6 s to 43 min, the latest mean of `e` compared with what level and past predict,
//!    divided by its deviation, which is learned.
//! 5. [`bank`]: the same for five ways of using the reach, with the mark and the rode believed and doubted. Each takes
//!    the greatest evidence over the ages; `S` is the least of these among the living ones.
//!
//! Learning stops while `S` exceeds [`FREEZES`], so that a drag does not teach its own size.
//!
//! **When it counts.** Only if three things agree ([`Usual::agreed`]): the chart has a definite place for the
//! anchor, the regression finds it at the same place, and she has lain about where she was expected. Otherwise only
//! the hard bound counts. If they agree, a drag is reported from [`UNUSUAL`] on. Evidence of a few seconds counts
//! for less (`contrast`), because surges look the same: the greatest evidence of quiet nights came from them.
//!
//! **Assumptions.** She lies to her rode most of the time. Mark and fixes share the receiver's error of hours.
//!
//! **Weakness.** Without a Doppler velocity there is no result. If the mark was made late, or the boat lies slack
//! in a stream or has no compass, the place of the anchor stays uncertain, and then only the hard bound can raise
//! the alarm. Half an hour passes before much is learned.
//!
//! **Sources.** Regression: any textbook. Detecting a change by the greatest of windows: Lorden 1971.
//! Gauss-Markov errors of a receiver: the facts that shape the watch. The catenary: [`slack`](super::slack).
//!
//! **Tests** beside this file and in `drag/tests.rs`. For the figures see `windrode measure` and DEVELOPERS.md.

mod bank;
mod contrast;
mod level;
mod place;
mod record;
mod tackle;

use bank::{Bank, LEVEL_EVERY, Prior};
use contrast::LOOK_EVERY;
use place::BROKEN;
use record::{Record, SLOT, Slot};
use tackle::{KAPPAS, NO_WIND, short, slackest, tackle};

pub(super) use place::{Place, Places};

use super::look::UNKNOWN_DEPTH;
use super::{Found, Greatest, MINUTES_SHARE, Marked, Origin, Sighting};
use crate::geodesy::Offset;
use crate::time::Tick;

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Usual {
    begun: Tick,
    /// She was restored from what was found before.
    resumed: bool,
    record: Record,
    bank: Bank,
    slot: Gathered,
    /// Wind squared over half a minute and over ten minutes.
    blows: Option<(Tick, f64, f64)>,
    levelled: Tick,
    looked: Tick,
    /// When the evidence was last high, and since when it has been high with interruptions.
    high: Option<(Tick, Tick)>,
    doubt: Doubt,
    verdict: Option<Verdict>,
}

/// The verdict about how she lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Verdict {
    /// The evidence, in deviations.
    pub(super) s: f64,
    /// How much farther out than usual she lies, metres, and the deviation of that.
    pub(super) beyond: f64,
    pub(super) deviation: f64,
    /// The length in seconds of the window in which that was seen.
    pub(super) lasted: f64,
}

/// The error that a change of receiver may have brought in.
#[derive(Clone, Copy, Debug)]
struct Doubt {
    metres: f64,
    since: Tick,
}

impl Doubt {
    fn left(&self, now: Tick) -> f64 {
        let age = now.secs_since(self.since);
        self.metres * (-age / DOUBT_FADES).exp()
    }
}

/// A slot that is being filled.
#[derive(Clone, Copy, Debug, Default)]
struct Gathered {
    since: Option<Tick>,
    at: Offset,
    arm: f64,
    fixes: f64,
}

impl Usual {
    pub(super) fn new(
        now: Tick,
        mark: &Marked,
        found: Option<(&Found, Offset)>,
        seen: &Sighting,
    ) -> Self {
        // A mark made with this receiver shares the error of hours with all later fixes.
        let own = match mark.origin {
            Some(Origin::Fix) => true,
            Some(Origin::Given | Origin::Track) => false,
            None => mark.doubt.get() <= MADE_BY_FIX * seen.sigma.get(),
        };
        let doubt = if own {
            (MINUTES_SHARE * mark.doubt.get()).max(LEAST_MARK)
        } else {
            mark.doubt.get().max(LEAST_GIVEN)
        };
        let doubt = doubt.hypot(mark.lever.get());
        let unknown_depth = if seen.height.is_none() {
            seen.rode.get() * UNKNOWN_DEPTH
        } else {
            0.0
        };
        let arm = ARM_SHARE * seen.lever_doubt.get();
        let no_wind = if seen.wind_now.is_none() {
            NO_WIND_OFFSET
        } else {
            0.0
        };
        let mut prior = Prior {
            mark: doubt,
            offset: f64::hypot(1.0, unknown_depth).hypot(arm).hypot(no_wind),
            loose_mark: BAD_MARK.hypot(doubt),
            loose_offset: LOOSE_OFFSET,
            loose: BAD_MARKS,
            slackest: slackest(seen),
        };
        let mut origin = Offset::ZERO;
        if let Some((found, at)) = found {
            origin = at;
            prior.mark = found.doubt.get().max(LEAST_FOUND);
            prior.loose = BAD_FOUND;
        }
        Self {
            begun: now,
            resumed: found.is_some(),
            record: Record::about(origin),
            bank: Bank::new(&prior),
            slot: Gathered::default(),
            blows: None,
            levelled: now,
            looked: now,
            high: None,
            doubt: Doubt {
                metres: 0.0,
                since: now,
            },
            verdict: None,
        }
    }

    /// Takes a place; returns whether there is something to decide. `shifted`: how far a gap may have shifted the
    /// fix.
    pub(super) fn take(
        &mut self,
        now: Tick,
        place: &Place,
        seen: &Sighting,
        worse: f64,
        shifted: f64,
        holds: bool,
    ) -> bool {
        self.take_wind(now, seen);
        if seen.doubt.get() > self.doubt.metres {
            self.bank.widen(seen.doubt.get());
            self.doubt = Doubt {
                metres: seen.doubt.get(),
                since: now,
            };
        } else {
            self.doubt.metres = seen.doubt.get();
        }
        let since = *self.slot.since.get_or_insert(now);
        let known = seen.lever_doubt.get() <= LEVER_KNOWN;
        self.slot.at = self.slot.at + if known { place.point } else { place.antenna };
        self.slot.arm += if known { 0.0 } else { seen.lever_doubt.get() };
        self.slot.fixes += 1.0;
        let gone = now.secs_since(since);
        if gone + 1e-3 < SLOT - SLOT_EARLY && self.record.len() > 0 {
            return false;
        }
        let gathered = std::mem::take(&mut self.slot);
        // The next slot begins with this fix.
        self.slot.since = Some(now);
        let slot = self.slot(&gathered, seen);
        self.push(slot, gone.max(SLOT));
        let doubt = self.doubt.left(now).hypot(shifted);
        self.learn(now, holds);
        self.verdict = self
            .bank
            .judge(&self.record, worse, doubt * doubt)
            .filter(|_| place.trusted);
        true
    }

    /// The verdict, if three conditions hold: the chart has a definite place for the anchor (`chart`: place and
    /// deviation), the regression finds it at the same place, and she has lain about where she was expected.
    pub(super) fn agreed(&self, chart: (Offset, f64)) -> Option<Verdict> {
        let (charted, spread) = chart;
        let (place, own_spread) = self.anchor();
        let apart = (charted - place).length().get();
        let agree = spread <= KNOWN
            && apart <= APART + spread.hypot(own_spread)
            && self.bank.noise() <= EXPLAINED;
        self.verdict.filter(|_| agree)
    }

    fn take_wind(&mut self, now: Tick, seen: &Sighting) {
        let Some(wind) = seen.wind_now else {
            self.blows = self
                .blows
                .filter(|(at, _, _)| now.secs_since(*at) < WIND_UNHEARD);
            return;
        };
        let square = wind.get() * wind.get();
        let (before, short, long) = self.blows.unwrap_or((now, square, square));
        let seconds = now.secs_since(before);
        let follow = |mean: f64, tau: f64| mean + (square - mean) * (1.0 - (-seconds / tau).exp());
        self.blows = Some((now, follow(short, GUSTS), follow(long, AIRS)));
    }

    fn slot(&self, gathered: &Gathered, seen: &Sighting) -> Slot {
        let (rode, height) = tackle(seen);
        let (force, calm) = self.blows.map_or((NO_WIND, 0.0), |(_, short, long)| {
            (short, 1.0 / (1.0 + long / (CALM_BELOW * CALM_BELOW)))
        });
        let straight = (rode * rode - height * height).max(0.0).sqrt();
        let mut expected = [0.0; WAYS];
        for (expected, kappa) in expected.iter_mut().zip(KAPPAS) {
            #[expect(clippy::cast_possible_truncation, reason = "metres of rode")]
            let distance = (straight - short(rode, height, force, kappa)) as f32;
            *expected = distance;
        }
        let share = 1.0 / gathered.fixes;
        #[expect(clippy::cast_possible_truncation, reason = "metres")]
        let arm = (gathered.arm * share) as f32;
        #[expect(clippy::cast_possible_truncation, reason = "a share")]
        let calm = calm as f32;
        Slot {
            at: gathered.at * share,
            arm,
            expected,
            calm,
        }
    }

    /// Puts the slot into the record, and fills the slots before it if reports are slow.
    fn push(&mut self, slot: Slot, gone: f64) {
        if gone > BROKEN {
            self.record.clear();
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few hundred"
        )]
        let count = (gone / SLOT).round().clamp(1.0, BROKEN / SLOT) as usize;
        if let Some(before) = self.record.last().copied().filter(|_| count > 1) {
            for step in 1..count {
                let share = step as f64 / count as f64;
                self.record.push(Slot {
                    at: before.at + (slot.at - before.at) * share,
                    ..slot
                });
            }
        }
        self.record.push(slot);
    }

    fn learn(&mut self, now: Tick, holds: bool) {
        let hour = now.secs_since(self.begun);
        let lag = if hour < FIRST_HOUR { LAG_FIRST } else { LAG };
        if self.verdict.is_some_and(|verdict| verdict.s > FREEZES) {
            let since = self.high.map_or(now, |(since, _)| since);
            self.high = Some((since, now));
        }
        if let Some((since, last)) = self.high {
            if now.secs_since(last) > lag {
                self.high = None;
            } else if now.secs_since(since) < FROZEN_AT_MOST {
                return;
            }
        }
        if !holds {
            return;
        }
        let fell_back = if self.resumed { 0.0 } else { FALLS_BACK };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a few hundred"
        )]
        let ago = (lag / SLOT) as usize;
        // Slots from before she had fallen back are not used for learning.
        if hour < lag + fell_back + 60.0 {
            return;
        }
        if now.secs_since(self.looked) >= LOOK_EVERY {
            self.looked = now;
            self.bank.learn_moments(&self.record, ago);
        }
        if now.secs_since(self.levelled) >= LEVEL_EVERY {
            self.levelled = now;
            self.bank.learn_level(&self.record, ago);
            let (anchor, _) = self.bank.anchor();
            if anchor.length().get() > DRAW_ANEW {
                self.bank.origin_moved(anchor);
                let origin = self.record.origin() + anchor;
                self.record.draw_about(origin);
            }
        }
    }

    /// The farthest that she lies from the anchor, by tonight's observations.
    pub(super) fn usually_lies(&self) -> Option<f64> {
        let slot = self.record.last()?;
        let by = [1.0, 0.0, 0.0, f64::from(slot.calm)];
        let beyond = self.bank.usual_beyond_taut(&by, &slot.expected);
        Some(f64::from(slot.expected[WAYS - 1]) + beyond + self.bank.noise())
    }

    /// Where the anchor most likely lies, and the deviation of that in each coordinate.
    pub(super) fn anchor(&self) -> (Offset, f64) {
        let (at, spread) = self.bank.anchor();
        (self.record.origin() + at, spread)
    }
}

/// How far the antenna is from the bow if its side is not known.
pub(super) fn arm(seen: &Sighting) -> f64 {
    if seen.lever_doubt.get() <= LEVER_KNOWN {
        0.0
    } else {
        seen.lever_doubt.get()
    }
}

/// The evidence from which a drag is reported. On 260 simulated nights, including the hours before a drag, the
/// greatest evidence while the anchor held and chart and regression agreed was 4.7
/// (`windrode measure --seed 18000001 --nights 260`). On 800 others (19000001, 21000001) there was one false alarm,
/// which also occurred with the threshold of 6.5 without the weights of `contrast`.
pub(super) const UNUSUAL: f64 = 5.5;
/// The greatest evidence of a quiet night: one night in ten reaches the first figure, and the share falls by a
/// factor of e within the second (`windrode measure`; the fall is from a study on nights of another simulation,
/// ours is steeper).
pub(super) const QUIET_NIGHTS: Greatest = Greatest {
    one_of_ten: 3.6,
    falls: 0.45,
};
/// The anchor's place is definite if chart and regression each have it to within this, metres: a mark made half a
/// minute late, or hours of lying slack before the boat swings, leave it uncertain for long. Without this
/// condition, four of a thousand simulated nights had a false alarm that they do not have with it, and so did one
/// of the 400 of 19000001.
const KNOWN: f64 = 5.0;
/// Chart and regression have the anchor at the same place if they are apart by no more than this plus one deviation
/// of both.
const APART: f64 = 3.0;
/// She lay about where she was expected if the standard deviation is no more than this, metres.
const EXPLAINED: f64 = 2.5;
/// The number of ways of lying.
const WAYS: usize = 5;
/// Above this evidence nothing is learned, for at most the lag and an hour.
const FREEZES: f64 = 4.0;
const FROZEN_AT_MOST: f64 = 3600.0;
const LAG: f64 = 900.0;
const LAG_FIRST: f64 = 600.0;
const FIRST_HOUR: f64 = 3600.0;
/// By this time she has fallen back to her rode.
const FALLS_BACK: f64 = 120.0;
/// For a mark of unknown origin: if it is no more doubtful than this multiple of a fix, it was made by a fix.
const MADE_BY_FIX: f64 = 1.2;
/// Without a wind instrument, the expected distance is less certain by this, metres.
const NO_WIND_OFFSET: f64 = 2.5;
const LEAST_MARK: f64 = 1.5;
/// A mark that was not made with a fix is typed in, or made late from the track: its error may be far greater than
/// stated.
const LEAST_GIVEN: f64 = 12.0;
const LEAST_FOUND: f64 = 1.0;
const BAD_MARKS: f64 = 0.25;
const BAD_MARK: f64 = 15.0;
const BAD_FOUND: f64 = 0.03;
const LOOSE_OFFSET: f64 = 10.0;
const CALM_BELOW: f64 = 4.0;
const ARM_SHARE: f64 = 0.25;
/// A lever known to within this counts as known, metres.
const LEVER_KNOWN: f64 = 1.0;
/// A slot may close this much before its time. With a fix each second it closes after one second, not two, so all ages
/// and windows are half as long as their figures say. They were chosen like that: slots of two seconds raised the alarm
/// later (foreign nights: 9.8 and 16.1 m instead of 9.2 and 14.2).
const SLOT_EARLY: f64 = 1.0;
const WIND_UNHEARD: f64 = 60.0;
const GUSTS: f64 = 30.0;
const AIRS: f64 = 600.0;
const DOUBT_FADES: f64 = 1800.0;
const DRAW_ANEW: f64 = 1.0;

#[cfg(test)]
mod tests;
