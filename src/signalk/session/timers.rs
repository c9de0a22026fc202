//! The named moments that a session waits for.

use crate::time::Tick;

/// Declares the timers, and counts them.
macro_rules! timers {
    ($($(#[$doc:meta])+ $name:ident,)+) => {
        /// The timers.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub(super) enum Timer {
            $($(#[$doc])+ $name,)+
        }

        const COUNT: usize = [$(Timer::$name),+].len();
    };
}

timers! {
    /// The next attempt at a connection, after a pause that grows with each failure.
    Attempt,
    /// The attempt is given up: name look-up, TCP, TLS and upgrade have taken too long.
    Connect,
    /// If there is no greeting by then, the peer is not a Signal K server.
    Hello,
    /// The next ping; without it the kernel would take minutes to notice that the network is gone.
    Ping,
    /// Runs while a ping is unanswered: if nothing arrives by then, the server is gone.
    Pong,
    /// Runs from frame to frame while the server takes what we send: at its end the stream counts
    /// as dead.
    Frame,
    /// If our rights are not known by then, the echo alone decides.
    Rights,
    /// Our rights are asked about again, while they are missing or nothing comes back.
    Probe,
    /// The next heartbeat, with every value.
    Beat,
    /// If our heartbeat has not come back by then, the server does not take what we send.
    Echo,
    /// Values that changed too soon after the last publication are sent.
    Values,
    /// A drawing for charts that the server refused is written again; this timer survives the
    /// connection.
    Draw,
}

/// When each timer is due, if it is running.
#[derive(Clone, Debug, Default)]
pub(super) struct Timers([Option<Tick>; COUNT]);

impl Timers {
    /// Sets the timer to this moment.
    pub(super) const fn set(&mut self, timer: Timer, due: Tick) {
        self.0[timer as usize] = Some(due);
    }

    /// Sets the timer to this moment, unless it is already running.
    pub(super) fn start(&mut self, timer: Timer, due: Tick) {
        self.0[timer as usize].get_or_insert(due);
    }

    /// Stops the timer.
    pub(super) const fn stop(&mut self, timer: Timer) {
        self.0[timer as usize] = None;
    }

    /// The connection has ended, and with it everything that waited for it.
    pub(super) fn stop_connection(&mut self) {
        let draw = self.0[Timer::Draw as usize];
        *self = Self::default();
        self.0[Timer::Draw as usize] = draw;
    }

    pub(super) const fn is_running(&self, timer: Timer) -> bool {
        self.0[timer as usize].is_some()
    }

    /// Whether the timer is running and due.
    pub(super) fn is_expired(&self, timer: Timer, now: Tick) -> bool {
        self.0[timer as usize].is_some_and(|due| due <= now)
    }

    /// The first moment at which a timer is due.
    pub(super) fn next_timeout(&self) -> Option<Tick> {
        self.0.iter().flatten().min().copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_timer_due_is_returned_and_a_stopped_one_is_not() {
        let at = Tick::from_secs;
        let mut timers = Timers::default();
        assert_eq!(timers.next_timeout(), None);
        timers.set(Timer::Ping, at(15));
        timers.set(Timer::Draw, at(300));
        timers.start(Timer::Ping, at(7));
        assert_eq!(timers.next_timeout(), Some(at(15)));
        assert!(!timers.is_expired(Timer::Ping, at(14)));
        assert!(timers.is_expired(Timer::Ping, at(15)));
        timers.set(Timer::Ping, at(30));
        assert!(!timers.is_expired(Timer::Ping, at(15)));
        timers.stop_connection();
        assert!(!timers.is_running(Timer::Ping));
        assert_eq!(timers.next_timeout(), Some(at(300)));
        timers.stop(Timer::Draw);
        assert_eq!(timers.next_timeout(), None);
    }
}
