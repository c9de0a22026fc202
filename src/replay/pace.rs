//! The recording's time, by its own stamps. Stamps can be wrong: see the documentation of [`replay`](super).

use std::time::Duration;

use crate::time::{Now, Tick, Timestamp};

/// The recording's clock.
#[derive(Debug)]
pub(super) struct Pace {
    started: bool,
    pub(super) now: Now,
    leap: Option<(Timestamp, u32)>,
}

impl Default for Pace {
    fn default() -> Self {
        Self {
            started: false,
            now: Now::new(Tick::START, Timestamp::EPOCH),
            leap: None,
        }
    }
}

impl Pace {
    /// The time that this stamp leads to; `None` before the first stamp.
    pub(super) fn take(&mut self, stamp: Option<Timestamp>) -> Option<Now> {
        if !self.started {
            self.now = Now::new(Tick::START, stamp?);
            self.started = true;
            return Some(self.now);
        }
        let Some(stamp) = stamp.filter(|stamp| *stamp > self.now.utc) else {
            return Some(self.now);
        };
        let ahead = stamp.millis_since(self.now.utc).unsigned_abs();
        if u128::from(ahead) > LEAP.as_millis() {
            let (from, agreed) = self.leap.unwrap_or((stamp, 0));
            let near = stamp.millis_since(from).unsigned_abs();
            let agreed = if u128::from(near) <= LEAP.as_millis() {
                agreed + 1
            } else {
                1
            };
            self.leap = Some((stamp, agreed));
            if agreed < LEAP_AGREED {
                return Some(self.now);
            }
        }
        self.leap = None;
        let gone = Duration::from_millis(ahead);
        let passed = if gone > CLOCK_SET {
            Duration::ZERO
        } else {
            gone
        };
        Some(Now::new(self.now.tick + passed, stamp))
    }
}

/// A stamp far ahead is believed when this many agree.
const LEAP: Duration = Duration::from_hours(1);
const LEAP_AGREED: u32 = 4;
/// A larger leap means that the clock was set.
const CLOCK_SET: Duration = Duration::from_hours(12);
