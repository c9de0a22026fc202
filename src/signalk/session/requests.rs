//! Commands that were passed to the watch and wait for its answer.
//!
//! The server gives a forwarded PUT 60 s and then answers 504 itself; we answer 504 with an
//! explanation after 50 s. The caller's id is opaque and may repeat, so each request has a key of
//! its own.

use std::collections::VecDeque;
use std::time::Duration;

use crate::time::Tick;

/// The number that identifies a request to the watch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct RequestKey(pub u64);

/// At most [`MOST`] requests, the oldest first.
#[derive(Clone, Debug, Default)]
pub(super) struct Requests {
    open: VecDeque<(RequestKey, String, Tick)>,
    last: u64,
}

impl Requests {
    /// Stores the caller's id under a new key; `None` when too many requests are open.
    pub(super) fn open(&mut self, now: Tick, id: String) -> Option<RequestKey> {
        if self.open.len() >= MOST {
            return None;
        }
        self.last += 1;
        let key = RequestKey(self.last);
        self.open.push_back((key, id, now + ANSWER_WITHIN));
        Some(key)
    }

    /// The caller's id, if the request is still open; closes it.
    pub(super) fn close(&mut self, key: RequestKey) -> Option<String> {
        let place = self.open.iter().position(|(open, ..)| *open == key)?;
        self.open.remove(place).map(|(_, id, _)| id)
    }

    /// When the oldest request is overdue.
    pub(super) fn due(&self) -> Option<Tick> {
        self.open.front().map(|(_, _, due)| *due)
    }

    /// The caller's id of an overdue request; closes it.
    pub(super) fn overdue(&mut self, now: Tick) -> Option<String> {
        self.due().filter(|due| *due <= now)?;
        self.open.pop_front().map(|(_, id, _)| id)
    }

    /// The connection has ended, so nobody waits for an answer any longer.
    pub(super) fn clear(&mut self) {
        self.open.clear();
    }
}

pub(super) const MOST: usize = 64;
pub(super) const ANSWER_WITHIN: Duration = Duration::from_secs(50);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_request_is_answered_once_and_the_table_is_bounded() {
        let mut requests = Requests::default();
        let now = Tick::from_secs(5);
        let first = requests.open(now, "7".into());
        let second = requests.open(now, "7".into());
        assert_ne!(first, second);
        assert_eq!(first.and_then(|key| requests.close(key)), Some("7".into()));
        assert_eq!(first.and_then(|key| requests.close(key)), None);
        for _ in 1..MOST {
            assert!(requests.open(now, "x".into()).is_some());
        }
        assert_eq!(requests.open(now, "one more".into()), None);
        assert_eq!(requests.overdue(Tick::from_secs(54)), None);
        assert_eq!(requests.overdue(Tick::from_secs(55)), Some("7".into()));
        requests.clear();
        assert_eq!(requests.due(), None);
    }
}
