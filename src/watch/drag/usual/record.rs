//! The observations of an hour and a half, in slots of two seconds, with running sums: the mean over any window
//! costs one subtraction.
//!
//! A slot holds the mean place of the bow (or, without a heading, that of the antenna and how much nearer to the
//! anchor the bow lies), the expected distance for each way of lying, and how calm it is.
//! `e = |place - origin| - arm - expected`, with the direction from the origin. The origin is the supposed place of
//! the anchor; when that moves by more than a little the sums are recalculated, which keeps the regression on the
//! anchor's place linear. Between slow reports the place is interpolated.

use std::collections::VecDeque;

use super::WAYS;
use crate::geodesy::Offset;

/// Two seconds of observations.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slot {
    pub(super) at: Offset,
    pub(super) arm: f32,
    pub(super) expected: [f32; WAYS],
    pub(super) calm: f32,
}

/// Sums, or means, over slots.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Mean {
    /// Distance less the expected distance, for each way of lying.
    pub(super) beyond: [f64; WAYS],
    /// The variables that explain the level: one, the direction from the origin, how calm it is.
    pub(super) by: [f64; BY],
}

/// The number of variables that explain the level.
pub(super) const BY: usize = 4;

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Record {
    origin: Offset,
    slots: VecDeque<Slot>,
    /// The sum of all slots before each; one more than slots.
    sums: VecDeque<Mean>,
}

impl Record {
    pub(super) fn about(origin: Offset) -> Self {
        Self {
            origin,
            slots: VecDeque::new(),
            sums: VecDeque::from([Mean::default()]),
        }
    }

    pub(super) fn origin(&self) -> Offset {
        self.origin
    }

    pub(super) fn len(&self) -> usize {
        self.slots.len()
    }

    pub(super) fn clear(&mut self) {
        *self = Self::about(self.origin);
    }

    pub(super) fn push(&mut self, slot: Slot) {
        let mut sum = self.sums.back().copied().unwrap_or_default();
        sum.add(&slot, self.origin);
        self.sums.push_back(sum);
        self.slots.push_back(slot);
        if self.slots.len() > MOST_SLOTS {
            self.slots.pop_front();
            self.sums.pop_front();
        }
    }

    /// Recalculates everything from another origin.
    pub(super) fn draw_about(&mut self, origin: Offset) {
        self.origin = origin;
        let mut sum = Mean::default();
        self.sums.clear();
        self.sums.push_back(sum);
        for slot in &self.slots {
            sum.add(slot, origin);
            self.sums.push_back(sum);
        }
    }

    /// The mean of `count` slots that ended `ago` slots ago; `None` if they are not all recorded.
    pub(super) fn mean(&self, ago: usize, count: usize) -> Option<Mean> {
        let to = self.slots.len().checked_sub(ago)?;
        let from = to.checked_sub(count)?;
        let (first, last) = (self.sums.get(from)?, self.sums.get(to)?);
        let share = 1.0 / count as f64;
        let mut mean = Mean::default();
        for (part, (first, last)) in mean
            .beyond
            .iter_mut()
            .zip(first.beyond.iter().zip(&last.beyond))
        {
            *part = (last - first) * share;
        }
        for (part, (first, last)) in mean.by.iter_mut().zip(first.by.iter().zip(&last.by)) {
            *part = (last - first) * share;
        }
        Some(mean)
    }

    /// The last slot.
    pub(super) fn last(&self) -> Option<&Slot> {
        self.slots.back()
    }
}

impl Mean {
    fn add(&mut self, slot: &Slot, origin: Offset) {
        let away = slot.at - origin;
        let distance = away.length().get();
        for (sum, expected) in self.beyond.iter_mut().zip(slot.expected) {
            *sum += distance - f64::from(slot.arm) - f64::from(expected);
        }
        let scale = 1.0 / distance.max(NEAR);
        let by = [
            1.0,
            away.east * scale,
            away.north * scale,
            f64::from(slot.calm),
        ];
        for (sum, by) in self.by.iter_mut().zip(by) {
            *sum += by;
        }
    }
}

/// The length of a slot in seconds.
pub(super) const SLOT: f64 = 2.0;
/// The oldest window of the test, as it was a quarter of an hour ago: 900 + 2560 + 1280 s.
const MOST_SLOTS: usize = 2400;
/// Nearer to the anchor than this, the direction from it is undefined, metres.
const NEAR: f64 = 2.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn slot(east: f64) -> Slot {
        Slot {
            at: Offset { east, north: 0.0 },
            arm: 1.0,
            expected: [10.0, 11.0, 12.0, 13.0, 14.0],
            calm: 0.25,
        }
    }

    #[test]
    fn the_mean_of_a_window_is_that_of_its_slots() {
        let mut record = Record::about(Offset::ZERO);
        for east in 1..=10 {
            record.push(slot(f64::from(east) * 10.0));
        }
        // 70, 80 and 90 m, less the arm and the expected distance.
        let mean = record.mean(1, 3).unwrap();
        assert!((mean.beyond[0] - 69.0).abs() < 1e-9 && (mean.beyond[4] - 65.0).abs() < 1e-9);
        assert!((mean.by[1] - 1.0).abs() < 1e-9 && mean.by[2].abs() < 1e-9);
        assert!((mean.by[0] - 1.0).abs() < 1e-9 && (mean.by[3] - 0.25).abs() < 1e-9);
        assert!(record.mean(0, 11).is_none() && record.mean(11, 1).is_none());
        // Seen from her other side, the same places lie in the opposite direction.
        record.draw_about(Offset {
            east: 100.0,
            north: 0.0,
        });
        let mean = record.mean(1, 3).unwrap();
        assert!((mean.beyond[0] - 9.0).abs() < 1e-9 && (mean.by[1] + 1.0).abs() < 1e-9);
    }

    #[test]
    fn memory_is_bounded() {
        let mut record = Record::about(Offset::ZERO);
        for _ in 0..2 * MOST_SLOTS {
            record.push(slot(30.0));
        }
        assert_eq!(record.len(), MOST_SLOTS);
        assert!((record.mean(0, MOST_SLOTS).unwrap().beyond[0] - 19.0).abs() < 1e-6);
    }
}
