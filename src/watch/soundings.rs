//! The boat's own soundings: which of them are kept, and when they are handed over to be written.
//!
//! **Method.** The depth of water minus the height of the tide is the depth at chart datum. A sounding is kept if
//! everything is known at one moment: the depth from live readings that change
//! ([`sounding`](super::instruments::Instruments::sounding)), its reference to the surface, a current fix whose
//! receiver does not contradict itself, and a tide above chart datum, predicted for a station or heard from the data
//! server within [`TIDE_FRESH`]. Each sounding is reduced by the tide of its own moment and carries the name of the
//! source of that tide, so tides are never mixed. Its place is the centre of the boat. Its uncertainty is that of the
//! fix (95 %), plus the effect of a missing heading, a quarter of her length for the transducer's place aboard, and the
//! distance she covers while the sounder averages.
//! **Bounds.** One sounding per square of 5 m ([`crate::chart::own`]); deep water and badly known places are left out.
//! Soundings are handed over each [`EVERY`], at most [`MOST_PENDING`] at a time. A square is handed over again only if
//! it has become shoaler or its saved sounding is a year old: a boat that swings over the same ground all night writes
//! it once.
//! **Clock.** If the clock was set, the tide was that of another hour: waiting soundings are dropped, and no sounding
//! is taken until the clock has been steady for ten minutes
//! ([`Power::clock_is_steady`](super::power::Power::clock_is_steady)).
//! **Assumptions.** The tide at the station is the tide here; the station's datum is the chart's.
//! **Weakness.** A square that has been written may become shoaler by up to a decimetre before it is written again.
//! Weed, fish and a wake look shoaler than the bottom; the median of three seconds removes only single readings.
//! Soundings that were handed over before the clock was set stay on disk; when a square is sounded again, the old
//! sounding is replaced if its time lies in the future. A crash loses soundings that were not handed over yet. After a
//! restart each square is handed over once more; the journal writes it only if it is shoaler.
//! **Tests**: `src/watch/tests/soundings.rs`, `tests/own_soundings.rs`.

use std::collections::BTreeMap;
use std::time::Duration;

use crate::chart::own::{MOST_DOUBT, OwnSounding, ReducedBy, Square};
use crate::time::{Tick, Timestamp};
use crate::units::Metres;
use crate::watch::fix::TWO_D_95;
use crate::watch::round::{Here, Round};

/// The height of the tide at this moment, above chart datum, and its source.
#[derive(Clone, Debug, PartialEq)]
pub struct Reduction {
    /// Subtracted from the depth of water.
    pub height: Metres,
    /// The source of the tide.
    pub by: ReducedBy,
}

/// See the module documentation.
#[derive(Clone, Debug, Default)]
pub struct Soundings {
    /// Soundings that wait to be handed over.
    pending: BTreeMap<Square, OwnSounding>,
    /// Since when a sounding has been waiting.
    since: Option<Tick>,
    /// What was handed over recently.
    known: BTreeMap<Square, (Metres, Timestamp, ReducedBy)>,
    stopping: bool,
}

impl Soundings {
    /// Takes the depth of water from a current sounding, if it can be kept.
    pub fn take(&mut self, round: &Round, depth: Option<Metres>, reduction: Option<Reduction>) {
        let Some(sounding) = depth.and_then(|depth| kept(round, depth, reduction?)) else {
            return;
        };
        let square = sounding.square();
        // A waiting sounding costs no write yet: the shoalest one counts, to the last digit.
        let is_news = match (self.pending.get(&square), self.known.get(&square)) {
            (Some(waits), _) => sounding.depth < waits.depth || sounding.tide != waits.tide,
            (None, Some((depth, at, by))) => sounding.replaces(*depth, *at, by),
            (None, None) => true,
        };
        if !is_news {
            return;
        }
        // The watch hands over before the list is full; if a burst fills it faster, further soundings
        // are dropped.
        if self.pending.len() < MOST_PENDING || self.pending.contains_key(&square) {
            self.pending.insert(square, sounding);
            self.since.get_or_insert(round.seen.now.tick);
        }
    }

    /// Drops what waits and forgets what was handed over: the clock was wrong, or the crew removed soundings.
    pub fn forget(&mut self) {
        self.pending.clear();
        self.known.clear();
        self.since = None;
    }

    /// The watch ends: waiting soundings are handed over now.
    pub const fn stop(&mut self) {
        self.stopping = true;
    }

    /// The soundings to be written, when it is time for that.
    pub fn due(&mut self, now: Tick) -> Option<Vec<OwnSounding>> {
        let since = self.since?;
        let full = self.pending.len() >= MOST_PENDING;
        if !full && !self.stopping && now.since(since) < EVERY {
            return None;
        }
        self.since = None;
        if self.known.len() >= MOST_KNOWN {
            self.known.clear();
        }
        let batch: Vec<OwnSounding> = std::mem::take(&mut self.pending).into_values().collect();
        for sounding in &batch {
            let kept = (sounding.depth, sounding.at, sounding.tide.clone());
            self.known.insert(sounding.square(), kept);
        }
        Some(batch)
    }
}

fn kept(round: &Round, depth: Metres, reduction: Reduction) -> Option<OwnSounding> {
    let seen = &round.seen;
    let here = seen.here.filter(|here| {
        seen.now.tick.since(here.fix.at) <= FIX_FRESH && here.fix.disagrees.is_none()
    })?;
    if !(LEAST..=DEEPEST).contains(&depth.get()) || seen.now.utc.as_millis() < CLOCK_SET {
        return None;
    }
    let reduced = depth - reduction.height;
    if reduction.height.get().abs() > HIGHEST_TIDE {
        return None;
    }
    let doubt = doubt(round, &here);
    (doubt <= MOST_DOUBT).then_some(OwnSounding {
        position: here.centre,
        depth: reduced,
        doubt,
        at: seen.now.utc,
        tide: reduction.by,
    })
}

/// How far the transducer may be from the centre of the boat as the fix gives it, 95 %.
fn doubt(round: &Round, here: &Here) -> Metres {
    let seen = &round.seen;
    let fix = TWO_D_95 * here.fix.sigma.get().hypot(here.fix.doubt.get());
    // The transducer is between a quarter and three quarters of her length from the stem.
    let aboard = seen.boat.length_or_default().get() / 4.0;
    let speed = seen.speed.map_or(0.0, |speed| speed.get().abs());
    Metres::of(fix.hypot(aboard)) + here.lever_doubt + Metres::of(speed * LAG)
}

/// Metres of water: no sounder measures less, and nobody anchors in more (chosen).
const LEAST: f64 = 0.3;
const DEEPEST: f64 = 40.0;
/// Metres: the highest tides on Earth rise 16 m.
const HIGHEST_TIDE: f64 = 17.0;
/// The lag of the median of the readings, in seconds.
const LAG: f64 = 1.5;
const FIX_FRESH: Duration = Duration::from_secs(2);
/// A computer without a clock of its own starts in the past: without the time there is no tide.
/// 2024-01-01.
const CLOCK_SET: i64 = 1_704_067_200_000;
/// How long the data server's height of tide counts as current.
pub(super) const TIDE_FRESH: Duration = Duration::from_mins(10);
/// Chosen: six writes an hour do not wear out a memory card.
const EVERY: Duration = Duration::from_mins(10);
const MOST_PENDING: usize = 512;
/// Twenty times the number of squares over which a boat swings; 80 bytes each.
const MOST_KNOWN: usize = 4096;
