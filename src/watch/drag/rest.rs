//! Does she hold again after a drag?
//!
//! **Symbols.** `A` where the anchor is taken to lie, `p` the bow, `U` the farthest she lies from her anchor by
//! tonight's observations, `s` the way that `A` has been pulled.
//!
//! **Method.** At the verdict, `A` starts where the anchor was last known to lie. Whenever `|p - A| > U`, `A` is
//! pulled towards the bow by the difference, and `s` grows by as much. She holds if, within [`WINDOW`] of time, `s`
//! grew by less than [`STILL`], she was under load (within [`LOADED`] of `U`) for a share of that time, and she lay
//! no farther out in its last third than in its first by more than [`ADVANCE`]. An anchor that moves under load, at
//! any place on her arc, pulls `A` along; a slack rode shows nothing.
//!
//! **Weakness.** An anchor that pauses for that long is reported as held, and reported again when it goes on. An
//! anchor that creeps by less than a centimetre in three seconds is reported as held too.
//!
//! **Source.** The rule is our own; the figures were found on simulated drags.
//!
//! **Tests**: `a_moving_anchor_is_never_called_held_and_a_stop_is_found_within_a_quarter_of_an_hour` over a
//! grid of reach and speed, `a_slack_rode_shows_nothing`.

use std::collections::VecDeque;

use crate::geodesy::Offset;
use crate::time::Tick;

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Rest {
    anchor: Offset,
    path: f64,
    slots: VecDeque<Slot>,
}

/// The observations of some seconds.
#[derive(Clone, Copy, Debug)]
struct Slot {
    at: Tick,
    /// How far the anchor has been pulled.
    path: f64,
    /// The same, less what she lay short of the limit; only while she was under load.
    advance: Option<f64>,
}

impl Rest {
    pub(super) fn from(anchor: Offset) -> Self {
        Self {
            anchor,
            path: 0.0,
            slots: VecDeque::new(),
        }
    }

    /// Takes the position of the bow; `usually` is the farthest it lies from the anchor.
    pub(super) fn take(&mut self, now: Tick, bow: Offset, usually: f64) {
        let line = bow - self.anchor;
        let distance = line.length().get();
        let over = distance - usually;
        if over > 0.0 {
            self.anchor = self.anchor + line * (over / distance);
            self.path += over;
        }
        self.slots.push_back(Slot {
            at: now,
            path: self.path,
            advance: (over > -LOADED).then_some(self.path + over.min(0.0)),
        });
        while self
            .slots
            .get(1)
            .is_some_and(|second| now.secs_since(second.at) >= WINDOW)
        {
            self.slots.pop_front();
        }
    }

    /// Where the anchor holds.
    pub(super) fn holds(&self) -> Option<Offset> {
        let (first, last) = self.slots.front().zip(self.slots.back())?;
        let spans = |slot: &Slot| slot.at.secs_since(first.at);
        if spans(last) < WINDOW || self.path - first.path > STILL {
            return None;
        }
        let early = mean(self.slots.iter().filter(|slot| spans(slot) < THIRD))?;
        let late = mean(
            self.slots
                .iter()
                .filter(|slot| spans(slot) > spans(last) - THIRD),
        )?;
        (late - early < ADVANCE).then_some(self.anchor)
    }
}

/// The mean of how far out she lay, if she was under load often enough to tell.
fn mean<'s>(slots: impl Iterator<Item = &'s Slot>) -> Option<f64> {
    let (sum, loaded) = slots
        .filter_map(|slot| slot.advance)
        .fold((0.0, 0.0), |(sum, loaded), advance| {
            (sum + advance, loaded + 1.0)
        });
    (loaded >= LEAST_LOADED).then(|| sum / loaded)
}

/// Seconds: fourteen minutes.
const WINDOW: f64 = 840.0;
const THIRD: f64 = WINDOW / 3.0;
const STILL: f64 = 2.5;
const ADVANCE: f64 = 1.0;
const LOADED: f64 = 3.0;
/// Slots of each third of the window: two minutes.
const LEAST_LOADED: f64 = 40.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Bearing, Metres};

    /// How the anchor moves.
    #[derive(Clone, Copy, Debug)]
    enum Way {
        Steady,
        /// For one minute in five, five times as fast.
        Jerky,
        /// Turning by a degree a metre.
        Curving,
    }

    /// She lies taut on `reach` and sheers by 30°; the anchor moves at `speed` for `moves` seconds. Returns the
    /// seconds at which she is reported as held, while it moves and after. Without a heading, the limit is wider by
    /// `blunt`.
    fn called(reach: f64, speed: f64, way: Way, blunt: f64, moves: u64) -> (bool, Option<u64>) {
        let mut rest = Rest::from(Offset::ZERO);
        let (mut anchor, mut gone) = (Offset::ZERO, 0.0_f64);
        let mut error = Offset::ZERO;
        for second in (0..moves + 1800).step_by(2) {
            if second < moves {
                let step = match way {
                    Way::Jerky if second % 300 >= 60 => 0.0,
                    Way::Jerky => 10.0 * speed,
                    Way::Steady | Way::Curving => 2.0 * speed,
                };
                gone += step;
                let turned = if matches!(way, Way::Curving) {
                    gone
                } else {
                    0.0
                };
                anchor = anchor + Offset::polar(Bearing::from_degrees(turned), Metres::of(step));
            }
            // A receiver's error of minutes: a metre to and fro.
            let phase = second as f64 / 170.0;
            error.east = phase.sin();
            error.north = (1.3 * phase).cos();
            let turned = if matches!(way, Way::Curving) {
                gone
            } else {
                0.0
            };
            let sheer = 30.0 * (second as f64 / 50.0).sin();
            let lies = Offset::polar(Bearing::from_degrees(turned + sheer), Metres::of(reach));
            let now = Tick::from_secs(second);
            rest.take(now, anchor + lies + error, reach + 1.0 + blunt);
            if rest.holds().is_some() {
                return (second < moves, Some(second.saturating_sub(moves)));
            }
        }
        (false, None)
    }

    #[test]
    fn a_moving_anchor_is_never_called_held_and_a_stop_is_found_within_a_quarter_of_an_hour() {
        let (mut stops, mut soon) = (0, 0);
        for reach in [20.0, 30.0, 40.0, 60.0, 80.0] {
            for speed in [0.02, 0.04, 0.06, 0.09, 0.12, 0.16, 0.2, 0.3] {
                for way in [Way::Steady, Way::Jerky, Way::Curving] {
                    for blunt in [0.0, 2.0] {
                        let (moving, after) = called(reach, speed, way, blunt, 5400);
                        assert!(!moving, "{reach} m, {speed} m/s, {way:?}, {blunt}");
                        stops += 1;
                        soon += usize::from(after.is_some_and(|after| after <= 900));
                    }
                }
            }
        }
        assert!(soon * 10 >= stops * 8, "{soon} of {stops}");
    }

    /// A slack rode shows nothing about the anchor, however long it lasts.
    #[test]
    fn a_slack_rode_shows_nothing() {
        let mut rest = Rest::from(Offset::ZERO);
        for second in 0..4000 {
            let bow = Offset {
                east: 36.0,
                north: 0.0,
            };
            rest.take(Tick::from_secs(second), bow, 40.0);
            assert_eq!(rest.holds(), None);
        }
    }

    /// Under load all the time, the anchor creeps in fourteen minutes by less than what counts as moving. From its first
    /// third to its last it moves by two thirds of that: 1.2 m and 0.8 m, where a metre is too much.
    #[test]
    fn an_anchor_that_creeps_by_a_metre_from_the_first_third_to_the_last_does_not_hold() {
        let holds = |creeps: f64| {
            let mut rest = Rest::from(Offset::ZERO);
            for second in (0..=840_u32).step_by(2) {
                let bow = Offset {
                    east: 30.0 + creeps * f64::from(second) / 840.0,
                    north: 0.0,
                };
                rest.take(Tick::from_secs(second.into()), bow, 30.0);
            }
            rest.holds().map(|anchor| anchor.east)
        };
        assert_eq!(holds(1.8), None);
        let found = holds(1.2).unwrap();
        assert!((found - 1.2).abs() < 1e-9, "{found}");
        // The whole way counts too.
        assert_eq!(holds(2.6), None);
    }

    /// The bow lies 2.9 m or 3.1 m short of the farthest that it lies from the anchor.
    #[test]
    fn only_a_boat_near_the_end_of_her_rode_shows_that_her_anchor_holds() {
        let holds = |short: f64| {
            let mut rest = Rest::from(Offset::ZERO);
            for second in (0..=840).step_by(2) {
                let bow = Offset {
                    east: 0.0,
                    north: 30.0 - short,
                };
                rest.take(Tick::from_secs(second), bow, 30.0);
            }
            rest.holds().is_some()
        };
        assert!(holds(2.9) && !holds(3.1));
    }
}
