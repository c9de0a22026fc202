//! One channel's queue: what its people were sent, what waits, and whether the channel works.

use std::collections::BTreeMap;
use std::time::Duration;

use crate::alert::hazard::{Hazard, Priority};
use crate::outbox::pace::{Bucket, back_off};
use crate::outbox::spell::Log;
use crate::outbox::words::{Fault, Health, HealthState, Missed, Route, Spell, Told, Verdict};
use crate::time::{Now, Tick, Timestamp};

/// See the module documentation.
#[derive(Clone, Debug)]
pub(super) struct Lane {
    pub(super) route: Route,
    /// At most one entry for each hazard: this bounds the queue, however long nothing is accepted.
    pub(super) items: BTreeMap<Hazard, Item>,
    pub(super) missed: Option<Missed>,
    /// A dead man's switch message waits on the server, or may wait there.
    pub(super) armed: bool,
    pub(super) renewed: Option<Tick>,
    pub(super) flight: Option<Flight>,
    pub(super) bucket: Bucket,
    failures: u32,
    not_before: Tick,
    /// The pause that the other side asked for.
    asked_until: Tick,
    pub(super) failing_since: Option<Tick>,
    /// The last message was refused, and nothing has been accepted since.
    refused: bool,
    /// The channel itself was refused when it was last tried.
    barred: bool,
    trouble: Option<String>,
    fault: Option<Fault>,
    worked: Option<Timestamp>,
    pub(super) log: Log,
    /// The time of the last attempt.
    pub(super) tried: Option<Tick>,
}

/// What one channel's people were sent about one hazard.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub(super) id: String,
    /// Since when there is something to send.
    pub(super) due: Timestamp,
    pub(super) told: Option<Told>,
    pub(super) told_since: Since,
    /// It was sent before the anchor was weighed, and nothing has been sent since.
    pub(super) ended: bool,
    /// It was refused at this raise, so it is not tried again before the next.
    pub(super) refused: Option<(u64, Tick)>,
}

/// A moment that may lie before the start of this run, where ticks do not reach.
#[derive(Clone, Copy, Debug)]
pub(super) struct Since {
    tick: Tick,
    /// The time from this moment to `tick`.
    before: Duration,
}

impl Since {
    pub(super) const fn at(tick: Tick) -> Self {
        Self {
            tick,
            before: Duration::ZERO,
        }
    }

    /// The moment, as far as the clock can show it; if the clock has gone back, it counts from now.
    pub(super) fn utc(now: Now, moment: Timestamp) -> Self {
        let passed = now.utc.millis_since(moment).max(0).unsigned_abs();
        Self {
            tick: now.tick,
            before: Duration::from_millis(passed),
        }
    }

    /// The tick at which it will be this long ago.
    pub(super) fn plus(self, duration: Duration) -> Tick {
        self.tick + duration.saturating_sub(self.before)
    }
}

/// A parcel that was sent and has no verdict yet.
#[derive(Clone, Debug)]
pub(super) struct Flight {
    pub(super) ticket: u64,
    pub(super) job: Job,
    pub(super) begun: Tick,
}

/// The purpose of a parcel.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Job {
    Show(Hazard, Told),
    Clear(Hazard),
    Summary(Missed),
    Withdraw,
    Renew,
    Probe,
}

impl Job {
    /// The order in which due parcels are sent.
    pub(super) fn rank(&self) -> (u8, Option<Priority>) {
        match self {
            Self::Show(_, told) => (5, Some(told.priority)),
            Self::Clear(_) => (4, None),
            Self::Summary(_) => (3, None),
            Self::Withdraw => (2, None),
            Self::Renew => (1, None),
            Self::Probe => (0, None),
        }
    }

    pub(super) fn is_grave(&self) -> bool {
        matches!(self, Self::Show(_, told) if told.priority >= Priority::Alarm)
    }

    /// Priority of an occasional check of the channel.
    pub(super) fn is_counted(&self) -> bool {
        matches!(self, Self::Show(..) | Self::Clear(_) | Self::Summary(_))
    }

    pub(super) fn is_about(&self, hazard: Hazard) -> bool {
        matches!(self, Self::Show(about, _) | Self::Clear(about) if *about == hazard)
    }
}

impl Lane {
    pub(super) fn new(route: Route, now: Tick) -> Self {
        Self {
            route,
            items: BTreeMap::new(),
            missed: None,
            armed: false,
            renewed: None,
            flight: None,
            bucket: Bucket::full(now),
            failures: 0,
            not_before: now,
            asked_until: now,
            failing_since: None,
            refused: false,
            barred: false,
            trouble: None,
            fault: None,
            worked: None,
            log: Log::default(),
            tried: None,
        }
    }

    /// Whether it carries alerts to a person.
    pub(super) const fn is_phone(&self) -> bool {
        self.route.least.is_some()
    }

    /// Whether its last attempt succeeded.
    pub(super) const fn works(&self) -> bool {
        self.worked.is_some() && self.failing_since.is_none()
    }

    /// When something that is due at `at` can be sent.
    pub(super) fn free(&self, now: Tick, at: Tick, job: &Job) -> Tick {
        let ready = if job.is_counted() {
            self.bucket.ready(now, job.is_grave())
        } else {
            now
        };
        at.max(self.not_before).max(self.asked_until).max(ready)
    }

    /// A grave alert is new: the pause after earlier failures does not delay it.
    pub(super) fn hurry(&mut self, now: Tick) {
        self.not_before = now;
    }

    /// Stores what the verdict shows about the channel. A successful check (`probed`) does not show
    /// that messages are accepted: a refusal stands until one is.
    pub(super) fn take_verdict(
        &mut self,
        now: Now,
        verdict: &Verdict,
        probed: bool,
        cap: Duration,
    ) {
        self.tried = Some(now.tick);
        if probed && self.refused && *verdict == Verdict::Sent {
            self.not_before = now.tick + cap;
            return;
        }
        let refused = matches!(verdict, Verdict::Refused(_));
        self.barred = refused && probed;
        self.fault = match verdict {
            Verdict::Sent => None,
            Verdict::Refused(_) => Some(Fault::Refused),
            Verdict::Later { after: Some(_), .. } => Some(Fault::AskedToWait),
            Verdict::Later { after: None, .. } => Some(Fault::NotTaken),
        };
        if self.fault.is_some() {
            self.log.count_failure();
        }
        if !probed {
            self.refused = refused;
        }
        match verdict {
            Verdict::Sent => {
                self.failures = 0;
                self.not_before = now.tick;
                self.asked_until = now.tick;
                self.failing_since = None;
                self.trouble = None;
                self.worked = Some(now.utc);
            }
            Verdict::Later { after, why } => {
                self.failures = self.failures.saturating_add(1);
                self.failing_since.get_or_insert(now.tick);
                self.trouble = Some(why.clone());
                self.not_before = now.tick + back_off(self.failures, None, cap);
                if after.is_some() {
                    self.asked_until = now.tick + back_off(1, *after, cap);
                }
            }
            Verdict::Refused(why) => {
                self.failures = self.failures.saturating_add(1);
                self.failing_since.get_or_insert(now.tick);
                self.trouble = Some(why.clone());
                self.not_before = now.tick + back_off(self.failures, None, cap);
            }
        }
    }

    /// What was not sent while it stood is counted for one message.
    pub(super) fn miss(&mut self, hazard: Hazard, since: Timestamp, until: Timestamp) {
        let missed = self.missed.get_or_insert(Missed {
            count: 0,
            hazards: Vec::new(),
            since,
            until,
        });
        missed.count = missed.count.saturating_add(1);
        missed.since = missed.since.min(since);
        missed.until = until;
        if !missed.hazards.contains(&hazard) {
            missed.hazards.push(hazard);
        }
    }

    /// What waits, together with what is being sent and may not arrive.
    pub(super) fn missed_in_all(&self) -> Option<Missed> {
        let flying = match &self.flight {
            Some(Flight {
                job: Job::Summary(missed),
                ..
            }) => Some(missed.clone()),
            _ => None,
        };
        match (flying, self.missed.clone()) {
            (Some(flying), Some(waiting)) => Some(joined(flying, &waiting)),
            (one, other) => one.or(other),
        }
    }

    const fn state(&self) -> HealthState {
        match (self.refused || self.barred, self.failing_since, self.worked) {
            (true, _, _) => HealthState::Refused,
            (_, Some(_), _) => HealthState::Failing,
            (_, None, Some(_)) => HealthState::Working,
            (_, None, None) => HealthState::Untried,
        }
    }

    /// What goes to the record of its health now, if anything.
    pub(super) fn news(&mut self, now: Now, anchored: bool, waiting: usize) -> Vec<Spell> {
        let state = self.state();
        let fault = match state {
            // Checks that succeed do not end a refusal.
            HealthState::Refused => Some(Fault::Refused),
            HealthState::Untried | HealthState::Working | HealthState::Failing => self.fault,
        };
        let spell = Spell {
            channel: self.route.name.clone(),
            number: 0,
            since: now.utc,
            state,
            fault,
            anchored,
            worked: self.worked,
            delivered: 0,
            failed: 0,
            waiting,
        };
        self.log.news(now.tick, spell)
    }

    pub(super) fn health(&self, waiting: usize) -> Health {
        Health {
            channel: self.route.name.clone(),
            state: self.state(),
            worked: self.worked,
            trouble: self.trouble.clone(),
            waiting,
        }
    }
}

/// The sum of two counts.
pub(super) fn joined(mut first: Missed, second: &Missed) -> Missed {
    first.count = first.count.saturating_add(second.count);
    first.since = first.since.min(second.since);
    first.until = first.until.max(second.until);
    for hazard in &second.hazards {
        if !first.hazards.contains(hazard) {
            first.hazards.push(*hazard);
        }
    }
    first
}

#[cfg(test)]
mod tests;
