//! A power cut at every write of the outbox: what still reaches the phones.
//!
//! A night is played with a real journal. The power fails at each of its writes: once between commit and
//! send, and once between send and record. Each time the journal is opened as the cut left it, the night
//! continues, and the phones are checked in the morning.

use std::collections::BTreeMap;

use super::*;
use crate::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use crate::outbox::Outbox;
use crate::outbox::words::{
    Message, MessageKind, Output, Parcel, Route, SavedOutbox, Settings, Verdict,
};

fn settings(key: [u8; 32]) -> Settings {
    let route = |name: &str, after: u64| Route {
        name: name.to_owned(),
        least: Some(Priority::Warning),
        quiet: None,
        after: Duration::from_secs(after),
        repeat: Duration::from_mins(5),
        answers: true,
        dark_after: None,
        probe_every: Duration::from_mins(10),
    };
    Settings {
        boat: "Tern".to_owned(),
        instance: "1a2b3c4d".to_owned(),
        routes: vec![route("skipper", 0), route("mate", 120)],
        lost_after: Duration::from_mins(10),
        wording: crate::speech::Wording::default(),
        key,
    }
}

/// An event of the night, and when it happens.
#[derive(Clone, Copy)]
enum Step {
    Alert(Hazard, AlertState),
    Online(bool),
    /// This many seconds pass.
    Pass(u64),
}

const NIGHT: [Step; 15] = {
    use AlertState::{ActiveAcknowledged, ActiveUnacknowledged, Normal, RectifiedUnacknowledged};
    use Step::{Alert, Online, Pass};
    [
        Pass(60),
        Alert(Hazard::Dragging, ActiveUnacknowledged),
        Pass(200),
        Alert(Hazard::Dragging, ActiveAcknowledged),
        Pass(30),
        Alert(Hazard::Dragging, Normal),
        Pass(30),
        Online(false),
        Alert(Hazard::Position, ActiveUnacknowledged),
        Alert(Hazard::WindShift, ActiveUnacknowledged),
        Pass(400),
        Alert(Hazard::Position, RectifiedUnacknowledged),
        Alert(Hazard::Position, Normal),
        Online(true),
        Pass(900),
    ]
};

/// The messages a phone shows, by id, and all it ever received.
#[derive(Clone, Default)]
struct Phone {
    shows: BTreeMap<String, Message>,
    given: Vec<Message>,
}

struct Night {
    dir: TempDir,
    journal: Option<Journal>,
    outbox: Outbox,
    now: Now,
    online: bool,
    desk: BTreeMap<Hazard, AlertView>,
    raise: u64,
    phones: BTreeMap<String, Phone>,
    writes: u32,
    /// Where to cut the power, and whether the following message is sent first.
    cut: Option<(u32, bool)>,
    cuts: u32,
}

impl Night {
    fn new(cut: Option<(u32, bool)>) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let (journal, recovered) = open(dir.path());
        let now = at(0);
        let settings = settings(recovered.reply_key);
        Self {
            dir,
            journal: Some(journal),
            outbox: Outbox::new(now, settings, recovered.outbox, &[], true),
            now,
            online: true,
            desk: BTreeMap::new(),
            raise: 0,
            phones: BTreeMap::new(),
            writes: 0,
            cut,
            cuts: 0,
        }
    }

    fn play(mut self) -> Self {
        self.serve();
        for step in NIGHT {
            match step {
                Step::Alert(hazard, state) => self.alert(hazard, state),
                Step::Online(online) => self.online = online,
                Step::Pass(seconds) => self.pass(seconds),
            }
        }
        self
    }

    fn alert(&mut self, hazard: Hazard, state: AlertState) {
        let before = self.desk.get(&hazard);
        let rises = state == AlertState::ActiveUnacknowledged;
        self.raise += u64::from(rises);
        let view = AlertView {
            hazard,
            priority: Priority::Alarm,
            state,
            message: format!("{hazard}: look outside"),
            since: before.map_or(self.now.utc, |view| view.since),
            raise: before.map_or(self.raise, |view| view.raise),
            escalation: 0,
            escalated: false,
        };
        // The desk's state is on disk before the outbox gets the event.
        if state == AlertState::Normal {
            self.desk.remove(&hazard);
        } else {
            self.desk.insert(hazard, view.clone());
        }
        self.outbox.handle_alert(self.now, &view);
        self.serve();
    }

    fn pass(&mut self, seconds: u64) {
        let end = self.now.plus(Duration::from_secs(seconds));
        while let Some(due) = self
            .outbox
            .poll_timeout(self.now)
            .filter(|due| *due <= end.tick)
        {
            self.now = self.now.plus(due.since(self.now.tick));
            self.outbox.handle_timeout(self.now);
            self.serve();
        }
        self.now = self.now.plus(end.tick.since(self.now.tick));
    }

    fn serve(&mut self) {
        while let Some(output) = self.outbox.poll_output() {
            match output {
                Output::Persist(saved) => {
                    let journal = self.journal.as_mut().unwrap();
                    journal.keep_outbox(self.now, &saved).unwrap();
                    self.writes += 1;
                    if let Some((at, sent)) = self.cut
                        && at == self.writes
                    {
                        if sent {
                            self.send_what_follows();
                        }
                        self.cut_power();
                    }
                }
                Output::Send {
                    channel,
                    ticket,
                    parcel,
                } => {
                    let verdict = self.carry(&channel, parcel);
                    self.outbox
                        .handle_verdict(self.now, &channel, ticket, &verdict);
                }
                Output::Act { .. } | Output::Phones(_) | Output::Spell(_) | Output::Log { .. } => {}
            }
        }
    }

    /// The message leaves the boat, but the verdict is never recorded.
    fn send_what_follows(&mut self) {
        while let Some(output) = self.outbox.poll_output() {
            if let Output::Send {
                channel, parcel, ..
            } = output
            {
                let _ = self.carry(&channel, parcel);
            }
        }
    }

    fn cut_power(&mut self) {
        self.cuts += 1;
        let left = snapshot(self.dir.path());
        drop(self.journal.take());
        self.dir = left;
        let (journal, recovered) = open(self.dir.path());
        self.journal = Some(journal);
        // As the desk does after a restart: it raises each alert again.
        for view in self.desk.values_mut() {
            self.raise += 1;
            view.raise = self.raise;
        }
        let standing: Vec<AlertView> = self.desk.values().cloned().collect();
        let settings = settings(recovered.reply_key);
        self.outbox = Outbox::new(self.now, settings, recovered.outbox, &standing, true);
    }

    fn carry(&mut self, channel: &str, parcel: Parcel) -> Verdict {
        if !self.online {
            return Verdict::Later {
                after: None,
                why: "no route to host".to_owned(),
            };
        }
        let phone = self.phones.entry(channel.to_owned()).or_default();
        match parcel {
            Parcel::Show(message) => {
                phone.shows.insert(message.id.clone(), message.clone());
                phone.given.push(message);
            }
            Parcel::Clear(message) => {
                phone.shows.remove(&message.id);
                phone.given.push(message);
            }
            Parcel::Renew { .. } | Parcel::Withdraw(_) | Parcel::Probe => {}
        }
        Verdict::Sent
    }
}

/// What must be true in the morning, cut or not.
fn judge(night: &Night, how: &str) {
    for (name, phone) in &night.phones {
        let of = |hazard: Hazard| phone.given.iter().filter(move |m| m.hazard == Some(hazard));
        // Sent at least once, under one id.
        let drag: Vec<&Message> = of(Hazard::Dragging)
            .filter(|message| message.event == MessageKind::Alert)
            .collect();
        assert!(!drag.is_empty(), "{how}: `{name}` never heard of the drag");
        for message in &drag {
            assert_eq!(message.id, drag[0].id, "{how}: `{name}` was told twice");
        }
        // Ended alerts are off the screen; standing ones are on it, once each.
        let shown: Vec<Option<Hazard>> = phone
            .shows
            .values()
            .filter(|message| message.event != MessageKind::Summary)
            .map(|message| message.hazard)
            .collect();
        assert_eq!(shown, [Some(Hazard::WindShift)], "{how}: `{name}`");
        // Alerts that began and ended offline are reported in one message.
        let summaries: BTreeMap<&str, &Message> = phone
            .given
            .iter()
            .filter(|message| message.event == MessageKind::Summary)
            .map(|message| (message.id.as_str(), message))
            .collect();
        assert_eq!(summaries.len(), 1, "{how}: `{name}` {summaries:?}");
        let text = &summaries.values().next().unwrap().message;
        assert!(
            text.starts_with("no position; from "),
            "{how}: `{name}`: {text}"
        );
    }
    assert_eq!(night.phones.len(), 2, "{how}");
}

#[test]
fn power_cut_at_every_write_loses_no_alert_and_doubles_none() {
    let whole = Night::new(None).play();
    judge(&whole, "no cut");
    assert!(whole.writes > 10, "{}", whole.writes);
    let mut cuts = 0;
    for at in 1..=whole.writes {
        for sent in [false, true] {
            let night = Night::new(Some((at, sent))).play();
            let how = if sent {
                "between send and record"
            } else {
                "between commit and send"
            };
            judge(&night, &format!("cut at write {at}, {how}"));
            cuts += night.cuts;
        }
    }
    assert_eq!(cuts, 2 * whole.writes);
}

#[test]
fn the_outbox_and_its_key_are_kept_and_a_journal_from_before_gets_them() {
    let dir = tempfile::tempdir().unwrap();
    let (mut journal, first) = open(dir.path());
    assert_eq!(first.outbox, SavedOutbox::default());
    assert_ne!(first.reply_key, [0; 32]);
    let told = SavedOutbox {
        armed: vec!["skipper".to_owned()],
        ..SavedOutbox::default()
    };
    journal.keep_outbox(at(1), &told).unwrap();
    drop(journal);
    let (journal, second) = open(dir.path());
    assert_eq!(second.outbox, told);
    assert_eq!(second.reply_key, first.reply_key);
    // As a windrode without phones left it.
    journal
        .reader
        .connection
        .execute_batch("DROP TABLE outbox; DELETE FROM meta WHERE name LIKE 'reply_key_%';")
        .unwrap();
    drop(journal);
    let (_, third) = open(dir.path());
    assert_eq!(third.outbox, SavedOutbox::default());
    assert_ne!(third.reply_key, first.reply_key);
    assert_eq!(third.identities, first.identities);
}
