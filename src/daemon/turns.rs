//! Whose turn it is: a fair order among the sources of events.
//!
//! Sources are asked in a fixed order, timers first, so that a rehearsal is the same each time. But
//! a source that never runs dry must not starve those behind it, nor a timer that is due again as
//! soon as it was served. So each has a share of a round: so many events, or so long. Whoever has
//! used it up waits until every other source that has something has had its turn; then a new round
//! begins. When nothing is ready a new round begins too.
//!
//! Bound: a source that has something is served after at most one share of each other source.

use std::time::Duration;

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

    /// How many events it may bring in one round.
    const fn most(self) -> u32 {
        match self {
            Self::Socket => 128,
            Self::Orders | Self::Errands | Self::Phones | Self::Displays => 8,
            Self::Timers | Self::Opening | Self::Disk => 1,
        }
    }
}

/// What each source has used of the present round.
#[derive(Clone, Debug, Default)]
pub(super) struct Turns {
    used: [(u32, Duration); Source::ALL.len()],
    rounds: u64,
    /// Events since the loop last gave way.
    in_a_row: u32,
}

impl Turns {
    /// May it bring something in this round?
    pub(super) fn may(&self, source: Source) -> bool {
        let (events, time) = self.used[source as usize];
        events < source.most() && time < LONGEST_SHARE
    }

    /// It brought an event, which was handled to the end between these moments.
    pub(super) fn took(&mut self, source: Source, began: Tick, ended: Tick) {
        let (events, time) = &mut self.used[source as usize];
        *events += 1;
        *time += ended.since(began);
    }

    /// Is it time to let the tasks beside the loop run, which bring orders in and messages out? A stream
    /// that is always ready would never let them: some hundred frames lie in its buffer at once, and each
    /// step of an order waits for its turn.
    pub(super) const fn gives_way(&mut self) -> bool {
        self.in_a_row += 1;
        let long = self.in_a_row >= MOST_IN_A_ROW;
        if long {
            self.in_a_row = 0;
        }
        long
    }

    /// None of those who may has anything: a new round begins.
    pub(super) fn renew(&mut self) {
        self.used = Default::default();
        self.rounds = self.rounds.wrapping_add(1);
    }

    /// Rounds that were completed: in each of them every source was heard.
    pub(super) const fn rounds(&self) -> u64 {
        self.rounds
    }
}

/// A source that is slow to serve gives way sooner. Chosen: eight sources together stay far below
/// the 10 s that an order waits for its answer.
const LONGEST_SHARE: Duration = Duration::from_millis(250);

/// Chosen: some milliseconds on a small computer, and far more than an ordinary moment brings.
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

    /// Serves sources that are always ready, each event taking `each`; gives what was served in
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
    fn who_has_nothing_to_say_costs_the_stream_nothing() {
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
