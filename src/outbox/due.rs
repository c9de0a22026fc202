//! What is due on a channel: the difference between what its people were last sent and the present
//! state.

use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::outbox::lane::{Job, Lane, Since};
use crate::outbox::pace::quiet_left;
use crate::outbox::words::{Parcel, Told};
use crate::outbox::{Outbox, PROBE_AWEIGH, RENEW_EVERY, compose};
use crate::time::{Now, Tick};

impl Outbox {
    /// What the alert's present state requires on this channel, and from when on.
    pub(super) fn due(&self, lane: &Lane, hazard: Hazard, now: Now) -> Option<(Tick, Job)> {
        let item = lane.items.get(&hazard);
        let told = item.and_then(|item| item.told);
        let Some(view) = self.alerts.get(&hazard) else {
            return told.map(|_| (Tick::START, Job::Clear(hazard)));
        };
        let wanted = lane.route.least.is_some_and(|least| view.priority >= least);
        let at = match view.state {
            AlertState::ActiveUnacknowledged if wanted => {
                let unseen = self.unseen.get(&hazard).map(|(since, _)| *since);
                let first = unseen.unwrap_or(Since::at(now.tick)).plus(lane.route.after);
                let known = told.filter(|told| {
                    told.raise == view.raise
                        && told.priority >= view.priority
                        && told.state == view.state
                });
                match (known, item) {
                    (Some(_), Some(_)) if lane.route.repeat.is_zero() => return None,
                    (Some(_), Some(item)) => first.max(item.told_since.plus(lane.route.repeat)),
                    _ => first,
                }
            }
            AlertState::ActiveAcknowledged
                if wanted && view.priority == Priority::Caution && told.is_none() =>
            {
                now.tick
            }
            AlertState::ActiveAcknowledged | AlertState::RectifiedUnacknowledged
                if told.is_some_and(|told| told.state != view.state) =>
            {
                return Some((Tick::START, show(view, now)));
            }
            _ => return None,
        };
        let refused = item
            .and_then(|item| item.refused)
            .filter(|(raise, _)| *raise == view.raise);
        let at = refused.map_or(at, |(_, until)| at.max(until));
        let quiet = lane.route.quiet.filter(|_| view.priority < Priority::Alarm);
        let left = quiet.and_then(|quiet| quiet_left(quiet, now, &self.settings.wording.zone));
        let at = left.map_or(at, |left| at.max(now.tick + left));
        Some((at, show(view, now)))
    }

    /// The next parcel for this channel, and when it can be sent.
    pub(super) fn next_job(&self, lane: &Lane, now: Now) -> Option<(Tick, Job)> {
        let mut jobs: Vec<(Tick, Job)> = Hazard::ALL
            .iter()
            .filter_map(|hazard| self.due(lane, *hazard, now))
            .collect();
        if let Some(missed) = &lane.missed {
            jobs.push((Tick::START, Job::Summary(missed.clone())));
        }
        if let Some(after) = lane.route.dark_after.filter(|_| self.anchored) {
            let every = RENEW_EVERY.min(after / 3);
            let at = lane.renewed.map_or(Tick::START, |at| at + every);
            jobs.push((at, Job::Renew));
        } else if lane.armed {
            jobs.push((Tick::START, Job::Withdraw));
        }
        let every = if self.anchored || !lane.is_phone() {
            lane.route.probe_every
        } else {
            lane.route.probe_every.max(PROBE_AWEIGH)
        };
        let probe = match lane.tried {
            // A failed attempt is repeated after its pause, even if there is no message to send.
            Some(_) if lane.failing_since.is_some() => Tick::START,
            Some(at) => at + every,
            None => Tick::START,
        };
        jobs.push((probe, Job::Probe));
        let mut jobs: Vec<(Tick, Job)> = jobs
            .into_iter()
            .map(|(at, job)| (lane.free(now.tick, at, &job), job))
            .collect();
        // The gravest of those that can be sent now, otherwise the one that can be sent first.
        jobs.sort_by_key(|(at, job)| ((*at).max(now.tick), std::cmp::Reverse(job.rank())));
        jobs.into_iter().next()
    }

    pub(super) fn parcel(&self, lane: &Lane, now: Now, job: &Job) -> Option<Parcel> {
        let settings = &self.settings;
        Some(match job {
            Job::Show(hazard, _) => {
                let view = self.alerts.get(hazard)?;
                let item = lane.items.get(hazard)?;
                let id = (item.id.as_str(), item.told.is_some());
                let route = &lane.route;
                Parcel::Show(compose::alert(settings, &self.mint, now, route, id, view))
            }
            Job::Clear(hazard) => {
                let item = lane.items.get(hazard)?;
                let priority = item.told?.priority;
                let over = (*hazard, priority, item.ended);
                Parcel::Clear(compose::clear(settings, now, &item.id, over, self.anchored))
            }
            Job::Summary(missed) => {
                Parcel::Show(compose::summary(settings, now, missed, self.anchored))
            }
            Job::Renew => {
                let after = lane.route.dark_after?;
                Parcel::Renew {
                    message: compose::dark(settings, now, after),
                    after,
                }
            }
            Job::Withdraw => {
                let after = lane.route.dark_after.unwrap_or_default();
                Parcel::Withdraw(compose::dark(settings, now, after))
            }
            Job::Probe => Parcel::Probe,
        })
    }
}

fn show(view: &AlertView, now: Now) -> Job {
    Job::Show(
        view.hazard,
        Told {
            raise: view.raise,
            priority: view.priority,
            state: view.state,
            at: now.utc,
        },
    )
}
