//! The moments a session waits for, each with a name.

use crate::time::Tick;

/// Declares the timers, and counts them.
macro_rules! timers {
    ($($(#[$doc:meta])+ $name:ident,)+) => {
        /// What may be due.
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
    /// An attempt is given up: name look-up, TCP, TLS and upgrade have taken too long.
    Connect,
    /// Without a greeting by then it is no Signal K server.
    Hello,
    /// The next ping; the kernel would not notice for minutes that the network is gone.
    Ping,
    /// Runs while a ping is unanswered: without any sign of life by then the server is gone.
    Pong,
    /// Runs from frame to frame of a server that takes what we send: its stream has died by then.
    Frame,
    /// Without an answer about our rights by then, the echo alone decides.
    Rights,
    /// Our rights are asked about again, while they are missing or nothing comes back.
    Probe,
    /// The next heartbeat, with every value.
    Beat,
    /// Without our heartbeat back by then, the server does not take what we send.
    Echo,
    /// Values that changed too soon after the last ones are sent.
    Values,
    /// A drawing for charts that the server did not take is written again; survives the connection.
    Draw,
}

/// When each timer is due, if it runs.
#[derive(Clone, Debug, Default)]
pub(super) struct Timers([Option<Tick>; COUNT]);

impl Timers {
    /// From now on it is due at that moment.
    pub(super) const fn set(&mut self, timer: Timer, due: Tick) {
        self.0[timer as usize] = Some(due);
    }

    /// It is due at that moment, unless it runs already.
    pub(super) fn start(&mut self, timer: Timer, due: Tick) {
        self.0[timer as usize].get_or_insert(due);
    }

    /// It runs no more.
    pub(super) const fn stop(&mut self, timer: Timer) {
        self.0[timer as usize] = None;
    }

    /// The connection is over, and all that was waited for on it.
    pub(super) fn stop_connection(&mut self) {
        let draw = self.0[Timer::Draw as usize];
        *self = Self::default();
        self.0[Timer::Draw as usize] = draw;
    }

    pub(super) const fn is_running(&self, timer: Timer) -> bool {
        self.0[timer as usize].is_some()
    }

    /// It runs, and its moment has come.
    pub(super) fn is_expired(&self, timer: Timer, now: Tick) -> bool {
        self.0[timer as usize].is_some_and(|due| due <= now)
    }

    /// The first moment at which one is due.
    pub(super) fn next_timeout(&self) -> Option<Tick> {
        self.0.iter().flatten().min().copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_one_due_is_told_and_a_stopped_one_is_not() {
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
