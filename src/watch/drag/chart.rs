//! Everything that belongs to one mark: the two charts of where the anchor may lie, what they are taught and when.

use std::collections::VecDeque;

use super::anchor::{Anchor, Belief, Look};
use super::{Found, Marked};
use crate::geodesy::{Offset, Tangent};
use crate::time::Tick;

/// Everything that belongs to one mark.
#[derive(Clone, Debug)]
pub(super) struct Chart {
    pub(super) mark: Marked,
    pub(super) plane: Tangent,
    pub(super) anchor: Anchor,
    pub(super) bits: VecDeque<Bit>,
    pub(super) bit: Sum,
    pub(super) look: Sum,
    /// The chart that is taught later, and the looks that wait for either chart.
    pub(super) slow: Anchor,
    pub(super) looks: VecDeque<(Tick, Look)>,
    older: VecDeque<(Tick, Look)>,
    pub(super) looked: Tick,
}

/// The means over some seconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bit {
    pub(super) at: Tick,
    pub(super) point: Offset,
    pub(super) bound: f64,
    pub(super) fixes: f64,
}

/// The running sum for a mean.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sum {
    since: Option<Tick>,
    point: Offset,
    bound: f64,
    fixes: f64,
}

impl Sum {
    pub(super) fn add(&mut self, now: Tick, point: Offset, bound: f64) {
        self.since.get_or_insert(now);
        self.point = self.point + point;
        self.bound += bound;
        self.fixes += 1.0;
    }

    /// The mean, once `seconds` have passed.
    pub(super) fn due(&mut self, now: Tick, seconds: f64) -> Option<Bit> {
        if now.secs_since(self.since?) < seconds {
            return None;
        }
        let sum = std::mem::take(self);
        Some(Bit {
            at: now,
            point: sum.point * (1.0 / sum.fixes),
            bound: sum.bound / sum.fixes,
            fixes: sum.fixes,
        })
    }
}

impl Chart {
    pub(super) fn about(now: Tick, mark: &Marked, found: Option<&Found>) -> Self {
        let lever = mark.lever.get();
        let belief = Belief {
            at: Offset::ZERO,
            sigma: mark.doubt.get().max(LEAST_DOUBT),
            ring: lever,
            bad: BAD_MARKS,
            bad_sigma: BAD_MARK_SIGMA.hypot(lever),
        };
        let plane = Tangent::at(mark.at);
        let belief = found.map_or(belief, |found| Belief {
            at: plane.offset(found.position),
            sigma: found.doubt.get().max(LEAST_DOUBT),
            ring: 0.0,
            bad: BAD_FOUND,
            ..belief
        });
        Self {
            mark: *mark,
            plane,
            slow: Anchor::new(&belief),
            anchor: Anchor::new(&belief),
            bits: VecDeque::new(),
            bit: Sum::default(),
            look: Sum::default(),
            looks: VecDeque::new(),
            older: VecDeque::new(),
            looked: now,
        }
    }

    /// Teaches the charts the looks that are old enough, while the anchor is taken to hold.
    pub(super) fn learn(&mut self, now: Tick, holds: bool) {
        let ripe = |queue: &mut VecDeque<(Tick, Look)>, age: f64| {
            let ripe = queue
                .front()
                .is_some_and(|(at, _)| now.secs_since(*at) >= age);
            ripe.then(|| queue.pop_front()).flatten()
        };
        while let Some((at, look)) = ripe(&mut self.looks, LOOK_DELAY) {
            if holds {
                self.anchor.take(&look);
            }
            self.older.push_back((at, look));
        }
        while let Some((_, look)) = ripe(&mut self.older, SLOW_DELAY) {
            if holds {
                self.slow.take(&look);
            }
        }
    }
}

const LOOK_DELAY: f64 = 300.0;
const SLOW_DELAY: f64 = 1800.0;
const LEAST_DOUBT: f64 = 2.0;
const BAD_FOUND: f64 = 0.03;
const BAD_MARKS: f64 = 0.25;
const BAD_MARK_SIGMA: f64 = 13.0;
