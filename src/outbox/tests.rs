//! The outbox against invented channels, in virtual time.

mod answers;
mod soup;
mod spells;
mod telling;
mod ways;

use super::*;
use crate::alert::hazard::Priority;
use crate::outbox::reply::Act;
use crate::outbox::words::{HealthState, Message, MessageKind, Parcel, Quiet, Route, Spell};
use crate::speech::Wording;

fn route(name: &str) -> Route {
    Route {
        name: name.to_owned(),
        least: Some(Priority::Warning),
        quiet: None,
        after: Duration::ZERO,
        repeat: Duration::from_mins(5),
        answers: true,
        dark_after: None,
        probe_every: Duration::from_mins(10),
    }
}

fn settings(routes: Vec<Route>) -> Settings {
    Settings {
        boat: "Tern".to_owned(),
        instance: "1a2b3c4d".to_owned(),
        routes,
        lost_after: Duration::from_mins(10),
        wording: Wording::default(),
        key: [7; 32],
    }
}

fn evening() -> Timestamp {
    "2026-06-01T21:30:00Z".parse().unwrap()
}

/// What a channel did with the parcels it received.
#[derive(Clone, Debug)]
struct Handed {
    channel: String,
    ticket: u64,
    parcel: Parcel,
    at: Tick,
}

impl Handed {
    fn message(&self) -> &Message {
        match &self.parcel {
            Parcel::Show(message)
            | Parcel::Clear(message)
            | Parcel::Withdraw(message)
            | Parcel::Renew { message, .. } => message,
            Parcel::Probe => panic!("a probe says nothing"),
        }
    }
}

/// The outbox, a clock, and channels that answer at once unless a test sets them otherwise.
struct Bench {
    outbox: Outbox,
    now: Now,
    disk: SavedOutbox,
    answers: BTreeMap<String, Verdict>,
    hung: Vec<String>,
    handed: Vec<Handed>,
    acts: Vec<(String, Hazard, Act)>,
    phones: Vec<Phones>,
    /// As the record keeps them: the latest of each.
    spells: BTreeMap<(String, u64), Spell>,
    /// Times that the record was written.
    told: usize,
    log: Vec<String>,
    settings: Settings,
    raise: u64,
}

impl Bench {
    fn new(routes: Vec<Route>) -> Self {
        let settings = settings(routes);
        let now = Now::new(Tick::from_secs(1000), evening());
        let outbox = Outbox::new(now, settings.clone(), SavedOutbox::default(), &[], true);
        let mut bench = Self {
            outbox,
            now,
            disk: SavedOutbox::default(),
            answers: BTreeMap::new(),
            hung: Vec::new(),
            handed: Vec::new(),
            acts: Vec::new(),
            phones: Vec::new(),
            spells: BTreeMap::new(),
            told: 0,
            log: Vec::new(),
            settings,
            raise: 0,
        };
        bench.serve();
        bench
    }

    fn answer(&mut self, channel: &str, verdict: Verdict) {
        self.answers.insert(channel.to_owned(), verdict);
    }

    fn offline(&mut self, channel: &str) {
        self.answer(
            channel,
            Verdict::Later {
                after: None,
                why: "connection refused".to_owned(),
            },
        );
    }

    fn serve(&mut self) {
        while let Some(output) = self.outbox.poll_output() {
            match output {
                Output::Persist(saved) => self.disk = *saved,
                Output::Send {
                    channel,
                    ticket,
                    parcel,
                } => {
                    if let Parcel::Show(message) = &parcel
                        && message.hazard.is_some()
                    {
                        // Everything sent is already on disk.
                        let kept = self
                            .disk
                            .items
                            .iter()
                            .any(|item| item.channel == channel && item.id == message.id);
                        assert!(kept, "{message:?} was not kept before it was sent");
                    }
                    self.handed.push(Handed {
                        channel: channel.clone(),
                        ticket,
                        parcel,
                        at: self.now.tick,
                    });
                    if !self.hung.contains(&channel) {
                        let verdict = self.answers.get(&channel).unwrap_or(&Verdict::Sent);
                        self.outbox
                            .handle_verdict(self.now, &channel, ticket, verdict);
                    }
                }
                Output::Act {
                    channel,
                    hazard,
                    act,
                } => self.acts.push((channel, hazard, act)),
                Output::Phones(phones) => self.phones.push(phones),
                Output::Spell(spell) => {
                    self.told += 1;
                    self.spells
                        .insert((spell.channel.clone(), spell.number), spell);
                }
                Output::Log { text, .. } => self.log.push(text),
            }
        }
    }

    /// Lets time pass, from one due moment to the next.
    fn pass(&mut self, duration: Duration) {
        let end = self.now.plus(duration);
        for _ in 0..100_000 {
            let Some(due) = self
                .outbox
                .poll_timeout(self.now)
                .filter(|at| *at <= end.tick)
            else {
                break;
            };
            let ahead = due.since(self.now.tick);
            self.now = self.now.plus(ahead);
            self.outbox.handle_timeout(self.now);
            self.serve();
            assert!(
                self.outbox
                    .poll_timeout(self.now)
                    .is_none_or(|at| at > self.now.tick),
                "due at once, for ever"
            );
        }
        self.now = self.now.plus(end.tick.since(self.now.tick));
    }

    fn minutes(&mut self, minutes: u64) {
        self.pass(Duration::from_mins(minutes));
    }

    fn alert(&mut self, hazard: Hazard, priority: Priority, state: AlertState) {
        let before = self.outbox.alerts.get(&hazard).cloned();
        let rises = state == AlertState::ActiveUnacknowledged
            && before
                .as_ref()
                .is_none_or(|b| b.state != state || priority > b.priority);
        self.raise += u64::from(rises);
        let raise = match &before {
            Some(before) if !rises => before.raise,
            _ => self.raise,
        };
        let since = match &before {
            Some(before) if before.state.is_active() || !rises => before.since,
            _ => self.now.utc,
        };
        let view = AlertView {
            hazard,
            priority,
            state,
            message: format!("{hazard}: look outside"),
            since,
            raise,
            escalation: 0,
            escalated: false,
        };
        self.outbox.handle_alert(self.now, &view);
        self.serve();
    }

    fn raise(&mut self, hazard: Hazard, priority: Priority) {
        self.alert(hazard, priority, AlertState::ActiveUnacknowledged);
    }

    fn normal(&mut self, hazard: Hazard) {
        let priority = self.outbox.alerts.get(&hazard).map(|view| view.priority);
        self.alert(
            hazard,
            priority.unwrap_or(Priority::Warning),
            AlertState::Normal,
        );
    }

    /// The parcels a channel received since the last look, without checks of the channel.
    fn taken(&mut self, channel: &str) -> Vec<Handed> {
        let (theirs, rest) = std::mem::take(&mut self.handed)
            .into_iter()
            .partition(|handed| handed.channel == channel);
        self.handed = rest;
        let theirs: Vec<Handed> = theirs;
        theirs
            .into_iter()
            .filter(|handed| handed.parcel != Parcel::Probe)
            .collect()
    }

    fn kinds(&mut self, channel: &str) -> Vec<MessageKind> {
        let taken = self.taken(channel);
        taken.iter().map(|handed| handed.message().event).collect()
    }

    /// A power cut: only what is on disk remains, and the desk raises again what stands.
    fn crash(&mut self) {
        let standing: Vec<AlertView> = self.outbox.alerts.values().cloned().collect();
        let standing: Vec<AlertView> = standing
            .into_iter()
            .map(|mut view| {
                self.raise += 1;
                view.raise = self.raise;
                if view.state == AlertState::ActiveSilenced {
                    view.state = AlertState::ActiveUnacknowledged;
                }
                view
            })
            .collect();
        // The tick starts again with the process.
        self.now = Now::new(Tick::from_secs(3), self.now.utc);
        self.outbox = Outbox::new(
            self.now,
            self.settings.clone(),
            self.disk.clone(),
            &standing,
            self.outbox.anchored,
        );
        self.serve();
    }

    fn health(&self, channel: &str) -> Health {
        let all = self.outbox.health(self.now);
        all.into_iter().find(|h| h.channel == channel).unwrap()
    }
}
