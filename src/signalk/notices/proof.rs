//! Checks that the server shows what was sent to it: each publication has to come back.
//!
//! A server may accept values and silently drop notifications, for example because of its access
//! control lists. Then no display shows an alarm, although our heartbeat comes back. So every
//! notification is awaited. A notification that has not come back within [`LOOK_AFTER`] is looked
//! for over HTTP (perhaps only our subscription fails), and after [`SHOWN_WITHIN`] it counts as not
//! shown. From then on it is published again each [`AGAIN_EVERY`], because the fault may be
//! repaired.
//!
//! A later publication does not postpone the deadline: the oldest missing publication counts.

use std::time::Duration;

use crate::time::Tick;

/// Our own notification normally comes back within milliseconds; after this time it is looked for.
pub(super) const LOOK_AFTER: Duration = Duration::from_secs(12);
/// The same limit as for the heartbeat.
pub(super) const SHOWN_WITHIN: Duration = Duration::from_secs(25);
/// A notification that is not shown is published again this often.
pub(super) const AGAIN_EVERY: Duration = Duration::from_mins(1);

/// The state of the publications on one path.
#[derive(Clone, Copy, Debug, Default)]
pub(super) enum Proof {
    /// All are known to have arrived.
    #[default]
    Shown,
    /// This one has not come back yet.
    Awaited { issue: u64, since: Tick, step: Step },
}

/// What has been done so far.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    Waiting,
    Looked,
    /// Not shown; last published at this moment.
    Missing(Tick),
}

/// What the session has to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Todo {
    Look,
    PublishAgain,
}

impl Proof {
    pub(super) fn sent(&mut self, now: Tick, issue: u64) {
        if let Self::Shown = self {
            *self = Self::Awaited {
                issue,
                since: now,
                step: Step::Waiting,
            };
        }
    }

    /// A publication came back. `None`: another client wrote the value again, so the path is shown.
    pub(super) fn came(&mut self, now: Tick, came: Option<u64>, latest: u64) {
        let Self::Awaited { issue, .. } = *self else {
            return;
        };
        match came {
            Some(came) if came < issue => {}
            Some(came) if came < latest => {
                *self = Self::Awaited {
                    issue: latest,
                    since: now,
                    step: Step::Waiting,
                };
            }
            Some(_) | None => *self = Self::Shown,
        }
    }

    pub(super) fn is_missing(&self) -> bool {
        matches!(
            self,
            Self::Awaited {
                step: Step::Missing(_),
                ..
            }
        )
    }

    pub(super) fn due(&self) -> Option<Tick> {
        match *self {
            Self::Shown => None,
            Self::Awaited { since, step, .. } => Some(match step {
                Step::Waiting => since + LOOK_AFTER,
                Step::Looked => since + SHOWN_WITHIN,
                Step::Missing(last) => last + AGAIN_EVERY,
            }),
        }
    }

    pub(super) fn handle_timeout(&mut self, now: Tick) -> Option<Todo> {
        if self.due()? > now {
            return None;
        }
        let Self::Awaited { since, step, .. } = self else {
            return None;
        };
        match step {
            Step::Waiting => {
                let late = *since + SHOWN_WITHIN <= now;
                *step = if late {
                    Step::Missing(now)
                } else {
                    Step::Looked
                };
                Some(Todo::Look)
            }
            Step::Looked => {
                *step = Step::Missing(now);
                None
            }
            Step::Missing(last) => {
                *last = now;
                Some(Todo::PublishAgain)
            }
        }
    }
}
