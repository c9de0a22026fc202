//! Is a value new? This is judged by its timestamp, not by its arrival.
//!
//! A server repeats its cache when a client subscribes, so the first value of a path may be minutes or years old.
//! Timestamps are not reliable either: a parser adds today's date to a time of day, and a small computer boots with
//! a clock in the past. So:
//!
//! - the first value of a source on a path since the link came up is new only if its timestamp lies within
//!   `max_age` of our clock;
//! - after that, a value is new if its timestamp differs from the one before.
//!
//! So a live source with a wrong clock loses only its first value, and a cached value is never new, however often
//! it is repeated. A value without a timestamp counts by its arrival.

use std::collections::BTreeMap;
use std::mem::Discriminant;
use std::time::Duration;

use crate::observation::{Fact, Label};
use crate::time::{Now, Timestamp};

/// Remembers the last timestamp of each source and kind of fact.
#[derive(Clone, Debug, Default)]
pub struct Freshness {
    seen: BTreeMap<Label, Vec<(Discriminant<Fact>, Timestamp)>>,
    remembered: usize,
}

impl Freshness {
    /// Is the value new? Remembers its timestamp.
    pub fn is_news(
        &mut self,
        now: Now,
        max_age: Duration,
        source: &Label,
        fact: &Fact,
        stamp: Option<Timestamp>,
    ) -> bool {
        let Some(stamp) = stamp else { return true };
        let kind = std::mem::discriminant(fact);
        let stamps = self.seen.get_mut(source);
        if let Some((_, before)) = stamps.and_then(|s| s.iter_mut().find(|(of, _)| *of == kind)) {
            return std::mem::replace(before, stamp) != stamp;
        }
        if self.remembered >= MOST_REMEMBERED {
            // More sources than any boat has: clear the list so that it cannot grow.
            self.link_renewed();
        }
        self.remembered += 1;
        self.seen
            .entry(source.clone())
            .or_default()
            .push((kind, stamp));
        let age = now.utc.millis_since(stamp).unsigned_abs();
        u128::from(age) <= max_age.as_millis()
    }

    /// The link came up again: the first values may come from the cache.
    pub fn link_renewed(&mut self) {
        self.seen.clear();
        self.remembered = 0;
    }
}

const MOST_REMEMBERED: usize = 1024;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Tick;

    const MAX_AGE: Duration = Duration::from_secs(10);

    fn at(second: i64) -> Timestamp {
        Timestamp::from_millis(1_780_000_000_000 + second * 1000)
    }

    fn news(freshness: &mut Freshness, clock: i64, stamp: i64) -> bool {
        let now = Now::new(Tick::START, at(clock));
        let source = Label::new("gps0.GP");
        freshness.is_news(
            now,
            MAX_AGE,
            &source,
            &Fact::Position(None),
            Some(at(stamp)),
        )
    }

    #[test]
    fn a_cached_value_is_never_new_however_often_it_comes() {
        let mut freshness = Freshness::default();
        assert!(!news(&mut freshness, 1000, 400));
        assert!(!news(&mut freshness, 1001, 400));
        freshness.link_renewed();
        assert!(!news(&mut freshness, 1002, 400));
    }

    #[test]
    fn a_live_source_hours_off_loses_only_its_first_value() {
        let mut freshness = Freshness::default();
        assert!(!news(&mut freshness, 1000, 1000 + 3 * 3600));
        assert!(news(&mut freshness, 1001, 1001 + 3 * 3600));
        // Its clock steps back, but it is still alive.
        assert!(news(&mut freshness, 1002, 900));
    }

    #[test]
    fn a_fresh_first_value_counts_at_once() {
        assert!(news(&mut Freshness::default(), 1000, 995));
    }

    #[test]
    fn no_peer_can_make_it_grow() {
        let mut freshness = Freshness::default();
        for n in 0..10_000 {
            let now = Now::new(Tick::START, at(0));
            let source = Label::new(&format!("liar.{n}"));
            freshness.is_news(now, MAX_AGE, &source, &Fact::Position(None), Some(at(0)));
        }
        let kept: usize = freshness.seen.values().map(Vec::len).sum();
        assert!(kept <= MOST_REMEMBERED && kept == freshness.remembered);
    }
}
