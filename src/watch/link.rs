//! The link to the data server: up, down, impaired, and since when. Hazard `dataLink`.
//!
//! Trouble counts from its first moment until the link has been up for [`STEADY`], so a link that comes and goes
//! cannot hide it. When the link comes up, the sensors get some time to report again ([`Link::in_grace`]), but not
//! a second time within [`GRACE_AGAIN`].

use std::time::Duration;

use serde_json::json;

use crate::alert::desk::Finding;
use crate::alert::hazard::Priority;
use crate::speech::Sentence;
use crate::speech::alerts::Alert;
use crate::speech::faults::LinkFault;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::judgement::{Judged, at_anchor, finding};
use crate::watch::messages::LinkState;

/// Follows the link.
#[derive(Clone, Debug)]
pub struct Link {
    state: LinkState,
    /// Since when the link has had trouble, including brief times up in between.
    trouble_since: Option<Tick>,
    up_since: Option<Tick>,
    /// When the sensors last got time to report again.
    grace: Option<Tick>,
    heard: Tick,
}

impl Link {
    /// Not connected yet.
    #[must_use]
    pub fn new(now: Tick) -> Self {
        Self {
            state: LinkState::Down(LinkFault::NotConnectedYet),
            trouble_since: Some(now),
            up_since: None,
            grace: None,
            heard: now,
        }
    }

    /// Takes the state of the link. Returns whether it changed.
    pub fn take(&mut self, now: Tick, state: LinkState) -> bool {
        let changed = self.state != state;
        if self.is_down().is_some() && !matches!(state, LinkState::Down(_)) {
            let spent = self.grace.is_some_and(|at| now.since(at) < GRACE_AGAIN);
            if !spent {
                self.grace = Some(now);
            }
        }
        if state != LinkState::Up {
            self.trouble_since.get_or_insert(now);
            self.up_since = None;
        } else if self.up_since.is_none() {
            self.up_since = Some(now);
        }
        self.state = state;
        changed
    }

    /// Data arrived.
    pub fn hear(&mut self, now: Tick) {
        self.heard = self.heard.max(now);
    }

    /// Why there is no data server, if there is none.
    #[must_use]
    pub const fn is_down(&self) -> Option<&LinkFault> {
        match &self.state {
            LinkState::Down(why) => Some(why),
            LinkState::Up | LinkState::Impaired(_) => None,
        }
    }

    /// The data server sends nothing: it is down, or has sent nothing for `limit`.
    #[must_use]
    pub fn is_mute(&self, now: Tick, limit: Duration, in_grace: bool) -> bool {
        match self.state {
            LinkState::Down(_) => true,
            LinkState::Up => now.since(self.heard) > limit && !in_grace,
            LinkState::Impaired(_) => false,
        }
    }

    /// The link has come back within `lost_after`: missing values may still arrive.
    #[must_use]
    pub fn in_grace(&self, now: Tick, lost_after: Duration) -> bool {
        self.grace.is_some_and(|at| now.since(at) <= lost_after)
    }

    /// Judges the hazard: more than `limit` without the server, or without data from it.
    pub fn judge(&mut self, now: Now, anchored: bool, limit: Duration, in_grace: bool) -> Judged {
        let told = |silent: Duration| {
            let since = now.utc.minus(silent);
            told(anchored, silent, since, &self.state)
        };
        if self.state == LinkState::Up {
            let unheard = now.tick.since(self.heard);
            if unheard > limit && !in_grace {
                return Judged::Stands(told(unheard));
            }
            let steady = self.up_since.is_some_and(|at| now.tick.since(at) >= STEADY);
            if steady {
                self.trouble_since = None;
            }
            return if self.trouble_since.is_none() && unheard <= limit {
                Judged::Gone
            } else {
                Judged::Unchanged
            };
        }
        let trouble = self
            .trouble_since
            .map_or(Duration::ZERO, |since| now.tick.since(since));
        if trouble > limit {
            Judged::Stands(told(trouble))
        } else {
            Judged::Unchanged
        }
    }
}

/// The data server is absent, is silent, or does not accept what we send.
fn told(anchored: bool, silent: Duration, since: Timestamp, link: &LinkState) -> Finding<Sentence> {
    finding(
        at_anchor(anchored, Priority::Alarm),
        // Blindness becomes more serious by the minute.
        silent.as_secs_f64() / 60.0,
        match link.clone() {
            LinkState::Down(why) => Alert::ServerLost { since, why },
            LinkState::Impaired(why) => Alert::DisplaysBlind { why },
            LinkState::Up => Alert::ServerSilent { since },
        },
        json!({ "silentFor": silent.as_secs() }),
    )
}

const STEADY: Duration = Duration::from_secs(30);
const GRACE_AGAIN: Duration = Duration::from_mins(10);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn aweigh_a_lost_server_is_a_caution_and_at_anchor_an_alarm() {
        let silent = Duration::from_secs(60);
        let down = LinkState::Down(LinkFault::NotAnswering);
        assert_eq!(
            told(false, silent, Timestamp::EPOCH, &down).priority,
            Priority::Caution
        );
        assert_eq!(
            told(true, silent, Timestamp::EPOCH, &down).priority,
            Priority::Alarm
        );
    }

    #[test]
    fn a_link_that_comes_and_goes_gets_no_second_grace() {
        let second = Tick::from_secs;
        let down = || LinkState::Down("gone".into());
        let grace = Duration::from_secs(60);
        let mut link = Link::new(second(0));
        link.take(second(1), LinkState::Up);
        assert!(link.in_grace(second(61), grace));
        link.take(second(70), down());
        link.take(second(71), LinkState::Up);
        assert!(!link.in_grace(second(72), grace));
        link.take(second(700), down());
        link.take(second(701), LinkState::Up);
        assert!(link.in_grace(second(702), grace));
    }

    /// Only data that comes again after a loss may be incomplete at first.
    #[test]
    fn no_grace_begins_while_the_server_is_gone_or_before_it_goes() {
        let second = Tick::from_secs;
        let grace = Duration::from_secs(60);
        let mut link = Link::new(second(0));
        link.take(second(5), LinkState::Down("gone".into()));
        assert!(!link.in_grace(second(6), grace));
        link.take(second(10), LinkState::Up);
        assert!(link.in_grace(second(70), grace) && !link.in_grace(second(71), grace));
        link.take(second(1000), LinkState::Impaired("read only".into()));
        assert!(!link.in_grace(second(1001), grace));
        link.take(second(2000), LinkState::Down("gone".into()));
        assert!(!link.in_grace(second(2001), grace));
    }

    /// Trouble counts from its first moment, and however long it is.
    #[test]
    fn a_lost_server_is_reported_after_the_limit_and_for_as_long_as_it_is_gone() {
        let limit = Duration::from_secs(60);
        let mut link = Link::new(Tick::START);
        link.take(Tick::from_secs(1), LinkState::Up);
        link.hear(Tick::from_secs(100));
        let judged = |link: &mut Link, second: u64| {
            let now = Now::new(Tick::from_secs(second), Timestamp::EPOCH);
            link.judge(now, true, limit, false)
        };
        assert_eq!(judged(&mut link, 100), Judged::Gone);
        link.take(Tick::from_secs(110), LinkState::Down("gone".into()));
        assert_eq!(judged(&mut link, 169), Judged::Unchanged);
        for second in [172, 3600] {
            let stands = judged(&mut link, second);
            assert!(matches!(stands, Judged::Stands(_)), "{second}");
        }
        // It is back, which counts once it has stayed for half a minute.
        link.take(Tick::from_secs(3600), LinkState::Up);
        for (second, wanted) in [(3629, Judged::Unchanged), (3631, Judged::Gone)] {
            link.hear(Tick::from_secs(second));
            assert_eq!(judged(&mut link, second), wanted, "{second}");
        }
        // Up, but nothing comes.
        let silent = judged(&mut link, 3700);
        assert!(matches!(silent, Judged::Stands(_)), "{silent:?}");
        assert!(link.is_mute(Tick::from_secs(3700), limit, false));
        assert!(!link.is_mute(Tick::from_secs(3700), limit, true));
        assert!(!link.is_mute(Tick::from_secs(3690), limit, false));
    }
}
