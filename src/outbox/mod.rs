//! The outbox: which alert goes to which phone, when, when it is repeated, and when it is given up.
//!
//! The grammar is that of all engines: call [`Outbox::handle_alert`] or a similar method for what
//! happened, [`Outbox::handle_timeout`] when [`Outbox::poll_timeout`] is due, then
//! [`Outbox::poll_output`] until it is empty. The outbox uses no clock, socket, disk or random
//! number.
//!
//! # Method
//!
//! There is no queue of messages. For each channel and hazard the outbox holds what its people were
//! last sent, and compares that with the present state of the alert: the difference is due. So a
//! backlog of days cannot grow, a repeat reports the present state and not an old one, and after a
//! restart the comparison alone shows what is left to do.
//!
//! - *At least once.* A difference is on disk before its first attempt ([`Output::Persist`] comes
//!   before [`Output::Send`]), and what was accepted is recorded afterwards. A crash between the two sends
//!   again, under the same id, which replaces the first on the phone.
//! - *One id for one situation*, made from the hazard and the moment it arose.
//! - *Never a burst.* What came and went while a channel accepted nothing is counted and sent in one
//!   message when it accepts again. A channel sends one thing at a time, the gravest first, by
//!   [`pace::Bucket`].
//! - *Independence.* Each channel has its own queue, pause and health; one that hangs delays no
//!   other, and its attempt is given up after [`FLIGHT_LIMIT`].
//! - *Giving up.* Only a message that was refused for good waits [`REFUSED_AGAIN`], or until the alert is
//!   raised again. Everything else is tried until the alert is over.
//! - *Answers* are checked here ([`reply`]) and go to the alert desk like any other.
//!
//! Weakness: a channel that accepted a message has not necessarily woken anybody. Only an
//! acknowledgement shows that; until it comes, the message is repeated and further people are
//! called.
//!
//! Tests: `outbox::tests`; with power cuts at every write, `journal::tests::outbox`; with real
//! servers, `tests/peers/phones.rs`.

mod answers;
mod compose;
mod due;
mod lane;
pub mod pace;
pub mod reply;
mod spell;
#[cfg(test)]
mod tests;
pub mod words;

use std::collections::{BTreeMap, VecDeque};
use std::time::Duration;

pub use compose::test as test_message;

use crate::alert::hazard::{AlertState, AlertView, Hazard};
use crate::outbox::lane::{Flight, Item, Job, Lane, Since, joined};
use crate::outbox::pace::Bucket;
use crate::outbox::reply::{Mint, ReplyFault};
use crate::outbox::words::{
    Health, Output, SavedItem, SavedOutbox, SavedRate, Settings, Told, Used, Verdict,
};
use crate::time::{Now, Tick, Timestamp};
use crate::watch::messages::Phones;

/// The engine. See the module documentation.
#[derive(Debug)]
pub struct Outbox {
    settings: Settings,
    mint: Mint,
    /// The alerts as the desk has them, without normal ones.
    alerts: BTreeMap<Hazard, AlertView>,
    /// Since when each alert has stood unacknowledged.
    unseen: BTreeMap<Hazard, (Since, Timestamp)>,
    lanes: Vec<Lane>,
    used: VecDeque<Used>,
    /// Those answers that were used before the restart and have not been seen again yet: the place
    /// where we look for answers still has them.
    recalled: Vec<Used>,
    anchored: bool,
    tickets: u64,
    phones: Phones,
    faults: BTreeMap<ReplyFault, (Tick, u64)>,
    persisted: SavedOutbox,
    outputs: VecDeque<Output>,
}

impl Outbox {
    /// Starts with what was `saved` before a restart, and the alerts that stand now: an alert that
    /// was sent and no longer stands is taken back.
    #[must_use]
    pub fn new(
        now: Now,
        settings: Settings,
        saved: SavedOutbox,
        standing: &[AlertView],
        anchored: bool,
    ) -> Self {
        let lanes = settings.routes.iter().cloned();
        let mut outbox = Self {
            mint: Mint::new(&settings.key),
            lanes: lanes.map(|route| Lane::new(route, now.tick)).collect(),
            alerts: BTreeMap::new(),
            unseen: BTreeMap::new(),
            used: saved.used.iter().cloned().collect(),
            recalled: saved.used.clone(),
            anchored,
            tickets: 0,
            phones: Phones::None,
            faults: BTreeMap::new(),
            persisted: SavedOutbox::default(),
            outputs: VecDeque::new(),
            settings,
        };
        outbox.restore(now, &saved);
        outbox.persisted = saved;
        for view in standing {
            outbox.note_alert(now, view);
        }
        let Self { unseen, alerts, .. } = &mut outbox;
        unseen.retain(|hazard, _| alerts.contains_key(hazard));
        outbox.pump(now);
        outbox
    }

    fn restore(&mut self, now: Now, saved: &SavedOutbox) {
        for item in &saved.items {
            if let Some(lane) = self.lanes.iter_mut().find(|l| l.route.name == item.channel) {
                lane.items.insert(
                    item.hazard,
                    Item {
                        id: item.id.clone(),
                        due: item.due,
                        told: item.told,
                        ended: item.ended,
                        told_since: item
                            .told
                            .map_or(Since::at(now.tick), |told| Since::utc(now, told.at)),
                        refused: None,
                    },
                );
            }
        }
        for lane in &mut self.lanes {
            let name = &lane.route.name;
            lane.armed = saved.armed.contains(name);
            if let Some(rate) = saved.rates.iter().find(|rate| rate.channel == *name) {
                lane.bucket = Bucket::restored(now, rate.level, rate.at);
            }
            let missed = saved.missed.iter().find(|(channel, _)| channel == name);
            lane.missed = missed.map(|(_, missed)| missed.clone());
        }
        for (hazard, since) in &saved.unseen {
            self.unseen
                .insert(*hazard, (Since::utc(now, *since), *since));
        }
    }

    /// An alert changed, or is repeated unchanged.
    pub fn handle_alert(&mut self, now: Now, view: &AlertView) {
        self.note_alert(now, view);
        self.pump(now);
    }

    /// The anchor is down, or not. Call this before reporting the alerts that end with it.
    pub fn handle_anchored(&mut self, now: Now, anchored: bool) {
        if self.anchored != anchored {
            self.anchored = anchored;
            let told = self.lanes.iter_mut().flat_map(|lane| &mut lane.items);
            for (hazard, item) in told {
                // An impairment of the watch itself does not end with the anchorage.
                item.ended = !anchored && item.told.is_some() && *hazard != Hazard::Watch;
            }
            self.pump(now);
        }
    }

    /// A channel returned the verdict on a parcel.
    pub fn handle_verdict(&mut self, now: Now, channel: &str, ticket: u64, verdict: &Verdict) {
        let Some(at) = self.lanes.iter().position(|lane| {
            let flying = lane.flight.as_ref().map(|flight| flight.ticket);
            lane.route.name == channel && flying == Some(ticket)
        }) else {
            // The verdict belongs to an attempt that was given up.
            return;
        };
        self.land(now, at, verdict);
        self.pump(now);
    }

    /// A channel with a permanent connection reports that the connection is lost, or back.
    pub fn handle_link(&mut self, now: Now, channel: &str, link: &Verdict) {
        let cap = self.back_off_cap();
        if let Some(lane) = self.lanes.iter_mut().find(|l| l.route.name == channel) {
            lane.take_verdict(now, link, true, cap);
            self.pump(now);
        }
    }

    /// Call this when [`Outbox::poll_timeout`] is due.
    pub fn handle_timeout(&mut self, now: Now) {
        for at in 0..self.lanes.len() {
            let begun = self.lanes.get(at).and_then(|lane| lane.flight.as_ref());
            if begun.is_some_and(|flight| now.tick.since(flight.begun) >= FLIGHT_LIMIT) {
                let why = format!("no answer within {} s", FLIGHT_LIMIT.as_secs());
                self.land(now, at, &Verdict::Later { after: None, why });
            }
        }
        self.pump(now);
    }

    /// When to call [`Outbox::handle_timeout`] next.
    #[must_use]
    pub fn poll_timeout(&self, now: Now) -> Option<Tick> {
        let lanes = self.lanes.iter().filter_map(|lane| match &lane.flight {
            Some(flight) => Some(flight.begun + FLIGHT_LIMIT),
            None => self.next_job(lane, now).map(|(at, _)| at),
        });
        let changes = self.lanes.iter().filter_map(|lane| lane.log.due());
        lanes.chain(changes).chain(self.lost_at()).min()
    }

    /// The next thing to be done.
    pub fn poll_output(&mut self) -> Option<Output> {
        self.outputs.pop_front()
    }

    /// The health of each channel.
    #[must_use]
    pub fn health(&self, now: Now) -> Vec<Health> {
        self.lanes
            .iter()
            .map(|lane| lane.health(self.waiting(lane, now)))
            .collect()
    }

    /// How many messages wait on the channel.
    fn waiting(&self, lane: &Lane, now: Now) -> usize {
        let due = Hazard::ALL.iter().filter_map(|h| self.due(lane, *h, now));
        due.filter(|(at, _)| *at <= now.tick).count() + usize::from(lane.missed.is_some())
    }

    /// Whether a message is being sent.
    #[must_use]
    pub fn is_busy(&self) -> bool {
        self.lanes.iter().any(|lane| {
            let flying = lane.flight.as_ref();
            flying.is_some_and(|flight| flight.job.is_counted())
        })
    }

    /// What has to be on disk now.
    #[must_use]
    pub fn saved(&self) -> SavedOutbox {
        let mut saved = SavedOutbox {
            unseen: self.unseen.iter().map(|(h, (_, at))| (*h, *at)).collect(),
            used: self.used.iter().cloned().collect(),
            ..SavedOutbox::default()
        };
        for lane in &self.lanes {
            let name = &lane.route.name;
            saved
                .items
                .extend(lane.items.iter().map(|(hazard, item)| SavedItem {
                    channel: name.clone(),
                    hazard: *hazard,
                    id: item.id.clone(),
                    due: item.due,
                    told: item.told,
                    ended: item.ended,
                }));
            let missed = lane.missed_in_all();
            saved
                .missed
                .extend(missed.map(|missed| (name.clone(), missed)));
            if lane.armed {
                saved.armed.push(name.clone());
            }
            let rate = lane.bucket.kept().map(|(level, at)| SavedRate {
                channel: name.clone(),
                level,
                at,
            });
            saved.rates.extend(rate);
        }
        saved
    }

    fn note_alert(&mut self, now: Now, view: &AlertView) {
        let waits = matches!(
            view.state,
            AlertState::ActiveUnacknowledged | AlertState::ActiveSilenced
        );
        if waits {
            self.unseen
                .entry(view.hazard)
                .or_insert((Since::at(now.tick), now.utc));
        } else {
            self.unseen.remove(&view.hazard);
        }
        let before = if view.state == AlertState::Normal {
            self.alerts.remove(&view.hazard)
        } else {
            self.alerts.insert(view.hazard, view.clone())
        };
        let raised = before.is_none_or(|before| before.raise != view.raise);
        if waits && raised {
            for lane in &mut self.lanes {
                lane.hurry(now.tick);
            }
        }
    }

    /// Updates what is due on the channels, stores it, and starts what can be sent.
    fn pump(&mut self, now: Now) {
        for at in 0..self.lanes.len() {
            self.settle(now, at);
        }
        let mut starts = Vec::new();
        for (at, lane) in self.lanes.iter().enumerate() {
            if lane.flight.is_none()
                && let Some((when, job)) = self.next_job(lane, now)
                && when <= now.tick
            {
                starts.push((at, job));
            }
        }
        self.persist();
        for (at, job) in starts {
            self.start(now, at, job);
        }
        self.watch_phones(now);
        self.watch_channels(now);
    }

    /// Records what has become due, and what is over before it was sent.
    fn settle(&mut self, now: Now, at: usize) {
        let Some(lane) = self.lanes.get(at) else {
            return;
        };
        let mut fresh = Vec::new();
        let mut over = Vec::new();
        for hazard in Hazard::ALL {
            let view = self.alerts.get(&hazard);
            match lane.items.get(&hazard) {
                None => {
                    if let (Some((when, _)), Some(view)) = (self.due(lane, hazard, now), view)
                        && when <= now.tick
                    {
                        fresh.push((hazard, id_of(view)));
                    }
                }
                Some(item) => {
                    let stands = view.is_some_and(|view| view.state.is_active());
                    let flying = lane.flight.as_ref();
                    let flying = flying.is_some_and(|flight| flight.job.is_about(hazard));
                    if item.told.is_none() && !stands && !flying {
                        over.push((hazard, item.due));
                    }
                }
            }
        }
        let armed = lane.route.dark_after.is_some() && self.anchored;
        if let Some(lane) = self.lanes.get_mut(at) {
            for (hazard, id) in fresh {
                lane.items.insert(
                    hazard,
                    Item {
                        id,
                        due: now.utc,
                        told: None,
                        ended: false,
                        told_since: Since::at(now.tick),
                        refused: None,
                    },
                );
            }
            for (hazard, due) in over {
                lane.items.remove(&hazard);
                lane.miss(hazard, due, now.utc);
            }
            lane.armed |= armed;
        }
    }

    fn start(&mut self, now: Now, at: usize, job: Job) {
        let Some(lane) = self.lanes.get(at) else {
            return;
        };
        let Some(parcel) = self.parcel(lane, now, &job) else {
            return;
        };
        self.tickets += 1;
        let ticket = self.tickets;
        if let Some(lane) = self.lanes.get_mut(at) {
            if job.is_counted() {
                lane.bucket.take(now);
            }
            if matches!(job, Job::Summary(_)) {
                // What is missed meanwhile is counted from zero.
                lane.missed = None;
            }
            lane.flight = Some(Flight {
                ticket,
                job,
                begun: now.tick,
            });
            let channel = lane.route.name.clone();
            // Before the message is sent: a crash while it is being sent must not give its place in
            // the rate back.
            self.persist();
            self.outputs.push_back(Output::Send {
                channel,
                ticket,
                parcel,
            });
        }
    }

    fn land(&mut self, now: Now, at: usize, verdict: &Verdict) {
        let cap = self.back_off_cap();
        let Some(lane) = self.lanes.get_mut(at) else {
            return;
        };
        let Some(flight) = lane.flight.take() else {
            return;
        };
        let probed = matches!(flight.job, Job::Probe);
        lane.take_verdict(now, verdict, probed, cap);
        let sent = matches!(verdict, Verdict::Sent);
        let refused = matches!(verdict, Verdict::Refused(_));
        if sent && flight.job.is_counted() {
            lane.log.count_delivery();
        }
        match flight.job {
            Job::Show(hazard, told) => {
                if let Some(item) = lane.items.get_mut(&hazard) {
                    if sent {
                        item.told = Some(Told {
                            at: now.utc,
                            ..told
                        });
                        item.told_since = Since::at(now.tick);
                        item.refused = None;
                        item.ended = false;
                    } else if refused {
                        item.refused = Some((told.raise, now.tick + REFUSED_AGAIN));
                    }
                }
            }
            Job::Clear(hazard) => {
                if sent || refused {
                    lane.items.remove(&hazard);
                }
            }
            Job::Summary(missed) => {
                if !sent && !refused {
                    lane.missed = Some(match lane.missed.take() {
                        Some(more) => joined(missed, &more),
                        None => missed,
                    });
                }
            }
            Job::Withdraw => {
                if sent || refused {
                    lane.armed = false;
                    lane.renewed = None;
                }
            }
            Job::Renew => {
                if sent || refused {
                    lane.renewed = Some(now.tick);
                }
            }
            Job::Probe => {}
        }
    }

    /// While nothing is at stake, a channel that does not work is tried seldom.
    fn back_off_cap(&self) -> Duration {
        if self.anchored || !self.alerts.is_empty() {
            RETRY_CAP
        } else {
            PROBE_AWEIGH
        }
    }

    fn names(&self) -> String {
        let phones = self.lanes.iter().filter(|lane| lane.is_phone());
        let names: Vec<&str> = phones.map(|lane| lane.route.name.as_str()).collect();
        names.join(", ")
    }

    /// When all channels have failed for long enough.
    fn lost_at(&self) -> Option<Tick> {
        if !matches!(self.phones, Phones::Doubtful(_)) {
            return None;
        }
        let phones = self.lanes.iter().filter(|lane| lane.is_phone());
        let last = phones
            .map(|lane| lane.failing_since)
            .collect::<Option<Vec<_>>>();
        last?
            .into_iter()
            .max()
            .map(|at| at + self.settings.lost_after)
    }

    fn watch_phones(&mut self, now: Now) {
        let mut phones = self.lanes.iter().filter(|lane| lane.is_phone()).peekable();
        let state = if phones.peek().is_none() {
            Phones::None
        } else if phones.clone().any(Lane::works) {
            Phones::Working
        } else {
            let lost = phones.clone().all(|lane| {
                lane.failing_since
                    .is_some_and(|since| now.tick.since(since) >= self.settings.lost_after)
            });
            if lost {
                Phones::Lost(self.names())
            } else {
                Phones::Doubtful(self.names())
            }
        };
        if state != self.phones {
            self.phones = state.clone();
            self.outputs.push_back(Output::Phones(state));
        }
    }

    /// Sends each channel's health to the record.
    fn watch_channels(&mut self, now: Now) {
        for at in 0..self.lanes.len() {
            let Some(lane) = self.lanes.get(at) else {
                return;
            };
            let waiting = self.waiting(lane, now);
            if let Some(lane) = self.lanes.get_mut(at) {
                let news = lane.news(now, self.anchored, waiting);
                self.outputs.extend(news.into_iter().map(Output::Spell));
            }
        }
    }

    fn persist(&mut self) {
        let saved = self.saved();
        // Without channels there is nothing to remember.
        if saved != self.persisted && !self.lanes.is_empty() {
            self.persisted = saved.clone();
            self.outputs.push_back(Output::Persist(Box::new(saved)));
        }
    }
}

/// One id for each situation, however often it is sent.
fn id_of(view: &AlertView) -> String {
    format!("{}-{}", view.hazard, view.since.as_millis().max(0))
}

/// An attempt without a verdict is given up; the channels themselves give up sooner.
pub const FLIGHT_LIMIT: Duration = Duration::from_secs(90);
/// A phone's link comes and goes: a link that exists for only a few minutes must be found.
const RETRY_CAP: Duration = Duration::from_mins(2);
/// Without an anchor down, the channels are tried this often.
const PROBE_AWEIGH: Duration = Duration::from_mins(30);
/// A refused message is tried again after this time: somebody may have corrected the token.
pub const REFUSED_AGAIN: Duration = Duration::from_mins(10);
/// The dead man's switch message is postponed about once a minute: push servers allow one request
/// in five seconds (the help text of one, version 2.27).
const RENEW_EVERY: Duration = Duration::from_secs(60);
