//! What the watch itself depends on: the house battery, and this computer's clock.
//!
//! **Battery.** Below the set voltage for a minute, the watch is impaired: the watch, the receiver
//! and every alarm aboard go dark with the battery. Well above that voltage ([`HYSTERESIS`]) for a
//! minute, it no longer is. A windlass or an engine's starter pulls the voltage down for seconds,
//! which does not count. Weakness: the voltage under load says little about the charge; the set
//! voltage is the crew's judgement of their battery.
//!
//! **Clock.** Timers run on a monotonic clock and are not affected; times in messages, in the
//! journal and of the tide are. If the two clocks have moved apart by [`JUMP`] between two
//! successive moments, the clock was set, and this is reported for [`TOLD_FOR`]. Chosen: a clock
//! that drifts is corrected by seconds, a clock that had no battery by hours.

use std::time::Duration;

use crate::speech::alerts::Health;
use crate::time::{Now, Tick};
use crate::units::Volts;

/// Follows the battery and the clock.
#[derive(Clone, Debug, Default)]
pub struct Power {
    least: Option<Volts>,
    reading: Option<(Volts, Tick)>,
    low: bool,
    /// Since when the reading contradicts `low`.
    other_since: Option<Tick>,
    clock: Option<Now>,
    jumped: Option<(i64, Tick)>,
}

impl Power {
    /// Starts with the lowest permitted voltage of the house battery.
    #[must_use]
    pub fn new(least: Volts) -> Self {
        Self {
            least: Some(least),
            ..Self::default()
        }
    }

    /// Takes a reading; `None` means that the sensor is lost.
    pub fn take(&mut self, now: Tick, reading: Option<Volts>) {
        self.reading = reading.map(|volts| (volts, now));
    }

    /// Must be called with each judgement.
    pub fn handle_timeout(&mut self, now: Now) {
        self.look_at_clock(now);
        let Some((volts, limit)) = self.fresh(now.tick).zip(self.least) else {
            self.low = false;
            self.other_since = None;
            return;
        };
        let limit = if self.low { limit + HYSTERESIS } else { limit };
        if (volts < limit) == self.low {
            self.other_since = None;
            return;
        }
        let since = *self.other_since.get_or_insert(now.tick);
        if now.tick.since(since) >= HOLD {
            self.low = !self.low;
            self.other_since = None;
        }
    }

    /// The battery is low.
    #[must_use]
    pub fn battery(&self, now: Tick) -> Option<Health> {
        let (volts, least) = self.fresh(now).zip(self.least).filter(|_| self.low)?;
        Some(Health::BatteryLow { volts, least })
    }

    /// The clock was set lately.
    #[must_use]
    pub fn clock(&self, now: Tick) -> Option<Health> {
        let (by, at) = self.jumped.filter(|(_, at)| now.since(*at) <= TOLD_FOR)?;
        Some(Health::ClockSet {
            back: by < 0,
            by: Duration::from_millis(by.unsigned_abs()),
            ago: now.since(at),
        })
    }

    /// Has the clock run normally for [`STEADY`]? The tide of a wrong hour spoils a sounding.
    #[must_use]
    pub fn clock_is_steady(&self, now: Tick) -> bool {
        self.jumped.is_none_or(|(_, at)| now.since(at) >= STEADY)
    }

    fn fresh(&self, now: Tick) -> Option<Volts> {
        let (volts, at) = self.reading?;
        (now.since(at) <= FRESH).then_some(volts)
    }

    fn look_at_clock(&mut self, now: Now) {
        if let Some(before) = self.clock.replace(now) {
            let passed = i64::try_from(now.tick.since(before.tick).as_millis()).unwrap_or(i64::MAX);
            let by = now.utc.millis_since(before.utc).saturating_sub(passed);
            if by.unsigned_abs() >= JUMP {
                self.jumped = Some((by, now.tick));
            }
        }
    }
}

const HYSTERESIS: Volts = Volts::of(0.2);
const HOLD: Duration = Duration::from_mins(1);
const FRESH: Duration = Duration::from_mins(5);
/// Milliseconds.
const JUMP: u64 = 60_000;
const TOLD_FOR: Duration = Duration::from_mins(10);
/// Chosen: a clock that was set once is often set again within minutes (common practice, no source).
const STEADY: Duration = Duration::from_mins(10);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Timestamp;

    fn at(second: u64) -> Now {
        let gone = Duration::from_secs(second);
        Now::new(Tick::START + gone, Timestamp::EPOCH.plus(gone))
    }

    fn told(volts: impl Fn(u64) -> f64, seconds: u64) -> Vec<(u64, bool)> {
        let mut power = Power::new(Volts::of(11.8));
        let mut changes = vec![(0, false)];
        for second in 0..seconds {
            power.take(at(second).tick, Volts::new(volts(second)));
            power.handle_timeout(at(second));
            let low = power.battery(at(second).tick).is_some();
            if low != changes[changes.len() - 1].1 {
                changes.push((second, low));
            }
        }
        changes
    }

    #[test]
    fn a_low_battery_is_reported_after_a_minute_and_until_it_is_well_charged() {
        let volts = |second| match second {
            0..100 => 12.4,
            100..300 => 11.7,
            300..500 => 11.9,
            _ => 12.6,
        };
        assert_eq!(told(volts, 700), [(0, false), (160, true), (560, false)]);
    }

    #[test]
    fn a_windlass_that_pulls_the_voltage_down_raises_nothing() {
        let volts = |second| if second % 100 < 40 { 10.9 } else { 12.5 };
        assert_eq!(told(volts, 1000), [(0, false)]);
    }

    #[test]
    fn a_lost_sensor_raises_nothing() {
        let mut power = Power::new(Volts::of(11.8));
        for second in 0..120 {
            power.take(at(second).tick, Some(Volts::of(11.0)));
            power.handle_timeout(at(second));
        }
        assert_eq!(
            power.battery(at(120).tick).unwrap().english(),
            "house battery low: 11.0 V, minimum 11.8 V; charge it, or the watch and its alarms stop"
        );
        power.take(at(121).tick, None);
        power.handle_timeout(at(121));
        assert_eq!(power.battery(at(121).tick), None);
    }

    #[test]
    fn a_clock_that_is_set_is_reported_for_a_while_and_one_that_drifts_is_not() {
        let mut power = Power::default();
        power.handle_timeout(at(0));
        power.handle_timeout(Now::new(Tick::from_secs(1), at(31).utc));
        assert_eq!(power.clock(Tick::from_secs(1)), None);
        power.handle_timeout(Now::new(Tick::from_secs(2), at(86_432).utc));
        assert_eq!(
            power.clock(Tick::from_secs(62)).unwrap().english(),
            "this computer's clock was set forward by 24 h 00 min, 60 s ago; earlier times are wrong by that, check the tide again"
        );
        assert_eq!(power.clock(Tick::from_secs(700)), None);
    }

    #[test]
    fn a_clock_that_was_set_is_reported_with_its_direction_for_ten_minutes() {
        for (millis, way) in [
            (3_600_000, "forward by 60 min"),
            (-3_600_000, "back by 60 min"),
        ] {
            let mut power = Power::new(Volts::of(11.8));
            power.handle_timeout(at(10_000));
            assert_eq!(power.clock(at(10_000).tick), None);
            let set = |second: u64| {
                let now = at(second);
                let utc = now.utc.as_millis() + millis;
                Now::new(now.tick, Timestamp::from_millis(utc))
            };
            power.handle_timeout(set(10_001));
            let told = power.clock(at(10_001).tick).unwrap().english();
            assert!(told.contains(way), "{told}");
            assert!(power.clock(at(10_601).tick).is_some());
            assert_eq!(power.clock(at(10_602).tick), None);
        }
    }
}
