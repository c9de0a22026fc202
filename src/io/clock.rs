//! The only file that reads a clock.
//!
//! A [`Clock`] gives [`Now`]: a monotonic tick since the start of this run and the machine's UTC. The two
//! are read independently each time, so UTC may jump (a network time service corrects a computer that
//! booted in the past) while the tick runs evenly.
//!
//! On Linux the monotonic clock does not count the time a machine sleeps. Small computers, the intended
//! machines, do not suspend; on a laptop, waking up looks like a pause of zero length in ticks and a jump
//! in UTC.
//!
//! A virtual clock stands still until its [`VirtualClock`] moves it, so a night passes in a test or a
//! rehearsal as fast as the machine can calculate.

use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};

use tokio::sync::watch;

use crate::time::{Now, Tick, Timestamp};

/// Gives the time and waits for it. Cheap to clone; clones give the same time.
#[derive(Clone, Debug)]
pub struct Clock(TimeSource);

#[derive(Clone, Debug)]
enum TimeSource {
    System { start: Instant },
    Virtual(watch::Receiver<Now>),
}

/// Moves the clock that was created with it.
#[derive(Debug)]
pub struct VirtualClock(watch::Sender<Now>);

impl Clock {
    /// The machine's clocks; the tick counts from this call.
    #[must_use]
    #[allow(clippy::disallowed_methods, reason = "this file reads the clocks")]
    pub fn system() -> Self {
        Self(TimeSource::System {
            start: Instant::now(),
        })
    }

    /// A clock that stands at tick zero and at `utc`, and its controller.
    #[must_use]
    pub fn virtual_at(utc: Timestamp) -> (Self, VirtualClock) {
        let (sender, receiver) = watch::channel(Now::new(Tick::START, utc));
        (Self(TimeSource::Virtual(receiver)), VirtualClock(sender))
    }

    /// The present moment.
    #[must_use]
    #[allow(clippy::disallowed_methods, reason = "this file reads the clocks")]
    pub fn now(&self) -> Now {
        match &self.0 {
            TimeSource::System { start } => {
                let elapsed = u64::try_from(start.elapsed().as_millis()).unwrap_or(u64::MAX);
                Now::new(Tick::from_millis(elapsed), system_utc(SystemTime::now()))
            }
            TimeSource::Virtual(time) => *time.borrow(),
        }
    }

    /// Does the clock stand still until it is moved?
    #[must_use]
    pub const fn is_virtual(&self) -> bool {
        matches!(self.0, TimeSource::Virtual(_))
    }

    /// Returns once the tick is reached, or at once if it has passed. A virtual clock whose controller was
    /// dropped never moves again, so then this waits forever. The future may be dropped and created again
    /// at any time.
    pub async fn sleep_until(&self, tick: Tick) {
        match &self.0 {
            TimeSource::System { start } => {
                let wait = Duration::from_millis(tick.as_millis());
                match start.checked_add(wait) {
                    Some(due) => tokio::time::sleep_until(due.into()).await,
                    None => std::future::pending().await,
                }
            }
            TimeSource::Virtual(time) => {
                let mut time = time.clone();
                if time.wait_for(|now| now.tick >= tick).await.is_err() {
                    std::future::pending::<()>().await;
                }
            }
        }
    }
}

impl VirtualClock {
    /// Moves tick and UTC forward together and wakes those that waited for that.
    pub fn advance(&self, duration: Duration) {
        self.0.send_modify(|now| *now = now.plus(duration));
    }

    /// The clock's present moment.
    #[must_use]
    pub fn now(&self) -> Now {
        *self.0.borrow()
    }
}

fn system_utc(time: SystemTime) -> Timestamp {
    let millis = |duration: Duration| i64::try_from(duration.as_millis()).unwrap_or(i64::MAX);
    Timestamp::from_millis(match time.duration_since(UNIX_EPOCH) {
        Ok(since) => millis(since),
        // A machine whose clock is set before 1970 is wrong, but that is no reason to stop.
        Err(before) => millis(before.duration()).saturating_neg(),
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::pin::Pin;
    use std::task::{Context, Waker};

    use super::*;

    /// Has the sleeper woken?
    fn due(sleeper: &mut Pin<Box<impl Future<Output = ()>>>) -> bool {
        let mut context = Context::from_waker(Waker::noop());
        sleeper.as_mut().poll(&mut context).is_ready()
    }

    fn evening() -> Timestamp {
        "2026-06-01T21:30:00Z".parse().unwrap()
    }

    #[tokio::test]
    async fn the_virtual_clock_wakes_a_sleeper_when_its_time_has_come_and_not_before() {
        let (clock, hand) = Clock::virtual_at(evening());
        let mut sleeper = Box::pin(clock.sleep_until(Tick::from_secs(10)));
        assert!(!due(&mut sleeper));
        hand.advance(Duration::from_millis(9_999));
        assert!(!due(&mut sleeper));
        hand.advance(Duration::from_millis(1));
        assert!(due(&mut sleeper));
        assert_eq!(clock.now().tick, Tick::from_secs(10));
        assert_eq!(clock.now().utc.to_string(), "2026-06-01T21:30:10.000Z");
    }

    #[tokio::test]
    async fn a_tick_that_has_passed_is_not_waited_for() {
        let (clock, _hand) = Clock::virtual_at(evening());
        clock.sleep_until(Tick::START).await;
        let clock = Clock::system();
        clock.sleep_until(Tick::START).await;
        let (first, second) = (clock.now(), clock.now());
        assert!(second.tick >= first.tick);
        // The machine's clock must be later than the date of this test.
        assert!(first.utc > evening().minus(Duration::from_hours(20 * 365 * 24)));
    }

    #[test]
    fn a_clock_before_the_epoch_counts_backwards() {
        let before = UNIX_EPOCH - Duration::from_secs(5);
        assert_eq!(system_utc(before), Timestamp::from_millis(-5000));
    }
}
