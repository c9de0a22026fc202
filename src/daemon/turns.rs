//! A fair order among the sources of events.
//!
//! Sources are asked in a fixed order, timers first, so that a rehearsal is the same each time. But a
//! source that never runs dry must not starve the ones after it, nor may a timer that is due again as soon
//! as it was served. So each source has a share of a round: at most a number of events, or an amount of
//! time. A source that has used its share waits until every other source with pending events has had its
//! turn; then a new round begins. A new round also begins when nothing is ready.
//!
//! Bound: a source with pending events is served after at most one share of each other source.

use std::time::Duration;

use super::Happening;
use crate::time::Tick;

/// Where events come from, in the order in which they are asked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Source {
    Timers,
    Opening,
    Socket,
    Orders,
    Errands,
    Phones,
    Displays,
    Disk,
}

impl Source {
    pub(super) const ALL: [Self; 8] = [
        Self::Timers,
        Self::Opening,
        Self::Socket,
        Self::Orders,
        Self::Errands,
        Self::Phones,
        Self::Displays,
        Self::Disk,
    ];

    /// How many events the source may bring in one round.
    const fn most(self) -> u32 {
        match self {
            Self::Socket => 128,
            Self::Orders | Self::Errands | Self::Phones | Self::Displays => 8,
            Self::Timers | Self::Opening | Self::Disk => 1,
        }
    }
}

impl Happening {
    /// Where it came from; nowhere if it is the end.
    pub(super) const fn source(&self) -> Option<Source> {
        Some(match self {
            Self::Stop(_) => return None,
            Self::Due => Source::Timers,
            Self::Opened(_) => Source::Opening,
            Self::Received(_) => Source::Socket,
            Self::Asked(_) => Source::Orders,
            Self::Errand(_) => Source::Errands,
            Self::Heard(_) => Source::Phones,
            Self::Display(_) => Source::Displays,
            Self::Disk => Source::Disk,
        })
    }
}

/// What each source has used of the present round.
#[derive(Clone, Debug, Default)]
pub(super) struct Turns {
    used: [(u32, Duration); Source::ALL.len()],
    rounds: u64,
    /// Events since the loop last yielded.
    in_a_row: u32,
}

impl Turns {
    /// May the source bring an event in this round?
    pub(super) fn may(&self, source: Source) -> bool {
        let (events, time) = self.used[source as usize];
        events < source.most() && time < LONGEST_SHARE
    }

    /// The source brought an event, which was handled completely between these moments.
    pub(super) fn took(&mut self, source: Source, began: Tick, ended: Tick) {
        let (events, time) = &mut self.used[source as usize];
        *events += 1;
        *time += ended.since(began);
    }

    /// Is it time to yield to the tasks beside the loop, which bring orders in and messages out? A stream
    /// that is always ready would never let them run: its buffer holds some hundred frames at once, and
    /// each step of an order needs a turn.
    pub(super) const fn gives_way(&mut self) -> bool {
        self.in_a_row += 1;
        let long = self.in_a_row >= MOST_IN_A_ROW;
        if long {
            self.in_a_row = 0;
        }
        long
    }

    /// No source that still has a share has an event: a new round begins.
    pub(super) fn renew(&mut self) {
        self.used = Default::default();
        self.rounds = self.rounds.wrapping_add(1);
    }

    /// Completed rounds: in each of them every source had its turn.
    pub(super) const fn rounds(&self) -> u64 {
        self.rounds
    }
}

/// A source that is slow to serve yields sooner. Chosen: eight sources together stay far below the 10 s
/// that an order waits for its answer.
const LONGEST_SHARE: Duration = Duration::from_millis(250);

/// Chosen: a few milliseconds on a small computer, and far more than an ordinary moment brings.
const MOST_IN_A_ROW: u32 = 32;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stream_lets_the_tasks_beside_it_run() {
        let mut turns = Turns::default();
        let gave = (0..320).filter(|_| turns.gives_way()).count();
        assert_eq!(gave, 10);
    }

    /// Serves sources that are always ready, where every event takes `each`; returns what was served in
    /// `events` steps.
    fn served(ready: &[Source], each: Duration, events: usize) -> Vec<Source> {
        let mut turns = Turns::default();
        let mut now = Tick::START;
        let mut served = Vec::new();
        while served.len() < events {
            let next = ready.iter().copied().find(|source| turns.may(*source));
            let Some(source) = next else {
                turns.renew();
                continue;
            };
            let ended = now + each;
            turns.took(source, now, ended);
            now = ended;
            served.push(source);
        }
        served
    }

    #[test]
    fn a_timer_that_is_due_again_at_once_does_not_starve_the_socket() {
        // Each round of the watch takes a second, so its timer is always due.
        let ready = [Source::Timers, Source::Socket];
        let served = served(&ready, Duration::from_secs(1), 100);
        let frames = served.iter().filter(|s| **s == Source::Socket).count();
        assert_eq!(frames, 50);
    }

    #[test]
    fn a_saturating_stream_does_not_starve_an_order_or_a_phone() {
        let ready = [
            Source::Timers,
            Source::Socket,
            Source::Orders,
            Source::Phones,
        ];
        for each in [1, 30, 100, 1000].map(Duration::from_millis) {
            let served = served(&ready, each, 2000);
            for source in [Source::Timers, Source::Orders, Source::Phones] {
                let mut waited = Duration::ZERO;
                for other in &served {
                    waited = if *other == source {
                        Duration::ZERO
                    } else {
                        waited + each
                    };
                    let bound = 3 * (LONGEST_SHARE + each);
                    assert!(waited <= bound, "{source:?} waits {waited:?} at {each:?}");
                }
                assert!(served.contains(&source));
            }
        }
    }

    #[test]
    fn an_idle_source_costs_the_stream_nothing() {
        let served = served(&[Source::Socket], Duration::from_millis(1), 1000);
        assert!(served.iter().all(|source| *source == Source::Socket));
    }

    #[test]
    fn each_source_has_a_place_of_its_own() {
        for (place, source) in Source::ALL.into_iter().enumerate() {
            assert_eq!(source as usize, place);
        }
    }
}
