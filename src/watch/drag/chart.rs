//! What hangs on one mark: the two charts of where the anchor may lie, what they are taught and
//! when, and whether she holds again after a drag.

use std::collections::VecDeque;

use super::anchor::{Anchor, Belief, Look};
use super::{Found, LOOK_EVERY, Marked};
use crate::geodesy::{Offset, Tangent};
use crate::time::Tick;

/// What hangs on a mark.
#[derive(Clone, Debug)]
pub(super) struct Chart {
    pub(super) mark: Marked,
    pub(super) plane: Tangent,
    pub(super) anchor: Anchor,
    pub(super) bits: VecDeque<Bit>,
    pub(super) bit: Sum,
    pub(super) look: Sum,
    /// The chart that is taught later, and the looks that wait for either.
    pub(super) slow: Anchor,
    pub(super) looks: VecDeque<(Tick, Look)>,
    older: VecDeque<(Tick, Look)>,
    pub(super) looked: Tick,
    /// While she drags: where she lay lately, to see whether she holds again.
    pub(super) lately: VecDeque<(Tick, Look)>,
    pub(super) rests: Option<(Offset, f64)>,
}

/// The means of some seconds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bit {
    pub(super) at: Tick,
    pub(super) point: Offset,
    pub(super) bound: f64,
    pub(super) fixes: f64,
}

/// What will be a mean.
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
            lately: VecDeque::new(),
            rests: None,
        }
    }

    /// Teaches the charts what has grown old enough, while the anchor is taken to hold.
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

    /// Does one place explain where she lay for the last quarter of an hour, and does she not
    /// go on falling away from it?
    pub(super) fn look_for_rest(&mut self, now: Tick, look: Look) {
        self.rests = None;
        self.lately.push_back((now, look));
        while let Some((at, _)) = self.lately.front() {
            if now.secs_since(*at) <= REST {
                break;
            }
            self.lately.pop_front();
        }
        let spans = self
            .lately
            .front()
            .map_or(0.0, |(at, _)| now.secs_since(*at));
        if spans < REST - 2.0 * LOOK_EVERY {
            return;
        }
        let (before, _) = self.anchor.estimate();
        let line = look.at - before;
        let outward = line * (1.0 / line.length().get().max(1.0));
        let mut anchor = Anchor::new(&Belief {
            at: look.at - outward * look.bound,
            sigma: REST_DOUBT,
            ring: 0.0,
            bad: 0.0,
            bad_sigma: REST_DOUBT,
        });
        for (_, look) in &self.lately {
            // A quarter of an hour is all there is: each look counts for more.
            anchor.take(&Look {
                weight: look.weight * REST_WEIGHT,
                ..*look
            });
        }
        let (at, spread) = anchor.estimate();
        let third = self.lately.len() / 3;
        let distance = |looks: &mut dyn Iterator<Item = &(Tick, Look)>| {
            let (sum, count) = looks.fold((0.0, 0.0), |(sum, count), (_, look)| {
                (
                    sum + (look.at - at).length().get() - look.bound,
                    count + 1.0,
                )
            });
            sum / f64::max(count, 1.0)
        };
        let first = distance(&mut self.lately.iter().take(third));
        let last = distance(&mut self.lately.iter().rev().take(third));
        let explained = self
            .lately
            .iter()
            .all(|(_, look)| anchor.excess(look.at, look.bound, look.sigma).0 < REST_Z);
        if explained && last - first < REST_CREEP.max(1.5 * look.sigma) {
            self.rests = Some((at, spread));
        }
    }
}

const LOOK_DELAY: f64 = 300.0;
const SLOW_DELAY: f64 = 1800.0;
/// She holds again when one place explains so many seconds, and she has not fallen away from it by
/// more than this, metres, from their first third to their last.
const REST: f64 = 900.0;
const REST_Z: f64 = 2.0;
const REST_CREEP: f64 = 2.5;
const REST_DOUBT: f64 = 10.0;
const REST_WEIGHT: f64 = 3.0;
const LEAST_DOUBT: f64 = 2.0;
const BAD_FOUND: f64 = 0.03;
const BAD_MARKS: f64 = 0.25;
const BAD_MARK_SIGMA: f64 = 13.0;
