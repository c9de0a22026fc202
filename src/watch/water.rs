//! How much water there will be: the tide's outlook, the scope at high water, the depth under the
//! keel at low water.
//!
//! **Tide.** From the data server's `environment.tide.*` where it has them (heights above chart
//! datum now, at the next high and the next low water), else unknown. What is used is always said.
//!
//! **Depths.** With `d` the sounded depth now and `t` the height of tide now, the depth at a
//! height `T` is `d - t + T`: the datum falls out, only the rise counts. The least of `d - t`
//! sounded since the anchor was let go stands for the shallowest spot she has swung over; under
//! it at low water is the least depth to come, the draught taken off.
//!
//! **Surge.** `d - t` where she lies should stay as it was when she was let go. How far it has
//! risen or fallen is shown: weather, a wrong station, or a bottom that is not flat.
//!
//! Weakness: the server tells the *next* turn only, a later one of the stay may be higher or
//! lower; wind and pressure move the level by decimetres (common practice, no source); over a
//! sloping bottom the surge is mixed with the slope. Tests: `scope_and_keel_follow_the_tide`,
//! `the_shallowest_spot_she_has_swung_over_counts`.

use std::time::Duration;

use crate::observation::Fact;
use crate::time::{Now, Tick, Timestamp};
use crate::units::Metres;

/// Heights above one datum: now and the extremes to come.
#[derive(Clone, Debug, PartialEq)]
pub struct Outlook {
    /// Now.
    pub now: Metres,
    /// The highest to come.
    pub highest: Metres,
    /// The lowest to come.
    pub lowest: Metres,
    /// Where it comes from and how far it looks, in words.
    pub source: String,
}

/// Follows tide and soundings.
#[derive(Clone, Debug, Default)]
pub struct Water {
    now: Option<(Metres, Tick)>,
    high: Option<(Metres, Tick)>,
    low: Option<(Metres, Tick)>,
    time_high: Option<Timestamp>,
    time_low: Option<Timestamp>,
    /// Least of sounding minus tide since the anchor was let go.
    least: Option<Metres>,
    /// Sounding minus tide when it was let go.
    first: Option<Metres>,
}

impl Water {
    /// Takes what the server says of the tide; other facts are left.
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

    /// The outlook by the server's figures, while they are fresh.
    #[must_use]
    pub fn outlook(&self, now: Now) -> Option<Outlook> {
        let fresh = |value: Option<(Metres, Tick)>| {
            let (height, at) = value?;
            (now.tick.since(at) <= FRESH).then_some(height)
        };
        let height = fresh(self.now)?;
        let (high, low) = (fresh(self.high), fresh(self.low));
        if high.is_none() && low.is_none() {
            return None;
        }
        let clock = |time: Option<Timestamp>| {
            time.map_or(String::new(), |time| format!(" at {} UTC", time.clock()))
        };
        let turn = |name: &str, height: Option<Metres>, time: Option<Timestamp>| match height {
            Some(height) => format!("{name} water {height:.1}{}", clock(time)),
            None => format!("{name} water not told"),
        };
        Some(Outlook {
            now: height,
            highest: high.unwrap_or(height).max(height),
            lowest: low.unwrap_or(height).min(height),
            source: format!(
                "tide from the data server: {}, {}; later turns are not known",
                turn("high", high, self.time_high),
                turn("low", low, self.time_low)
            ),
        })
    }

    /// Takes a sounding at anchor, with the height of tide of that moment (nought without one).
    pub fn sound(&mut self, depth: Metres, tide: Metres) {
        let reduced = depth - tide;
        self.first.get_or_insert(reduced);
        self.least = Some(self.least.map_or(reduced, |least| least.min(reduced)));
    }

    /// A new mark: what was sounded elsewhere does not count.
    pub fn restart(&mut self) {
        self.least = None;
        self.first = None;
    }

    /// Least depth to come over the ground she has swung over.
    #[must_use]
    pub fn least_depth(&self, outlook: &Outlook) -> Option<Metres> {
        self.least.map(|least| least + outlook.lowest)
    }

    /// How much deeper it is sounded than the tide alone explains since the anchor was let go.
    #[must_use]
    pub fn surge(&self, depth: Metres, tide: Metres) -> Option<Metres> {
        self.first.map(|first| depth - tide - first)
    }
}

/// A server's tide plug-in speaks every few minutes at least.
const FRESH: Duration = Duration::from_hours(1);

#[cfg(test)]
mod tests {
    use super::*;

    fn now(second: u64) -> Now {
        let gone = Duration::from_secs(second);
        Now::new(Tick::from_secs(second), Timestamp::EPOCH.plus(gone))
    }

    fn water() -> Water {
        let mut water = Water::default();
        let at = Tick::from_secs(0);
        water.take(at, &Fact::TideNow(Some(Metres::of(1.0))));
        water.take(at, &Fact::TideHigh(Some(Metres::of(3.5))));
        water.take(at, &Fact::TideLow(Some(Metres::of(0.4))));
        water.take(
            at,
            &Fact::TideTimeHigh(Some(Timestamp::from_millis(3_600_000))),
        );
        water
    }

    #[test]
    fn scope_and_keel_follow_the_tide() {
        let mut water = water();
        let outlook = water.outlook(now(10)).unwrap();
        assert_eq!(
            (outlook.highest, outlook.lowest),
            (Metres::of(3.5), Metres::of(0.4))
        );
        assert_eq!(
            outlook.source,
            "tide from the data server: high water 3.5 m at 01:00 UTC, low water 0.4 m; later turns are not known"
        );
        // 5 m sounded at 1.0 m of tide: 4 m at datum, 4.4 m at low water.
        water.sound(Metres::of(5.0), outlook.now);
        assert!((water.least_depth(&outlook).unwrap().get() - 4.4).abs() < 1e-9);
        assert!(water.outlook(now(4000)).is_none(), "an hour old is too old");
    }

    #[test]
    fn the_shallowest_spot_she_has_swung_over_counts() {
        let mut water = water();
        let outlook = water.outlook(now(10)).unwrap();
        for depth in [5.0, 3.2, 6.0] {
            water.sound(Metres::of(depth), Metres::of(1.0));
        }
        assert!((water.least_depth(&outlook).unwrap().get() - 2.6).abs() < 1e-9);
        water.restart();
        assert_eq!(water.least_depth(&outlook), None);
    }

    #[test]
    fn surge_is_what_the_tide_does_not_explain() {
        let mut water = water();
        water.sound(Metres::of(5.0), Metres::of(1.0));
        // The tide rose by 0.5 m, the sounder shows 0.8 m more.
        let surge = water.surge(Metres::of(5.8), Metres::of(1.5)).unwrap();
        assert!((surge.get() - 0.3).abs() < 1e-9);
    }

    #[test]
    fn without_a_turn_or_a_height_there_is_no_outlook() {
        let mut water = Water::default();
        assert!(water.outlook(now(1)).is_none());
        water.take(Tick::START, &Fact::TideNow(Some(Metres::of(1.0))));
        assert!(water.outlook(now(1)).is_none());
    }
}
