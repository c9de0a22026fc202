//! The outbox against invented channels, in virtual time.

use proptest::prelude::*;

use super::*;
use crate::alert::hazard::Priority;
use crate::outbox::reply::Act;
use crate::outbox::words::{HealthState, Message, MessageKind, Parcel, Quiet, Route};
use crate::time::Zone;

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
        zone: Zone::UTC,
        key: [7; 32],
    }
}

fn evening() -> Timestamp {
    "2026-06-01T21:30:00Z".parse().unwrap()
}

/// What a channel did with what it was given.
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

/// The outbox, a clock, and channels that answer at once unless they are told not to.
struct Bench {
    outbox: Outbox,
    now: Now,
    disk: SavedOutbox,
    answers: BTreeMap<String, Verdict>,
    hung: Vec<String>,
    handed: Vec<Handed>,
    acts: Vec<(String, Hazard, Act)>,
    phones: Vec<Phones>,
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
                        // What is sent is on disk.
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

    /// What a channel was handed since the last look, tries of the way left out.
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

    /// Power is cut: what is on disk is left, and the desk raises what stands anew.
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
        // The tick starts anew with the process.
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

#[test]
fn an_alarm_is_told_at_once_repeated_under_one_id_and_cleared() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.minutes(11);
    let told = bench.taken("skipper");
    assert_eq!(told.len(), 3, "{told:?}");
    let first = told[0].message().clone();
    assert_eq!(told[0].at, Tick::from_secs(1000));
    assert_eq!(first.title, "Tern: alarm, dragging");
    assert_eq!(
        first.message,
        "dragging: look outside (since 21:30 UTC, not acknowledged)"
    );
    assert_eq!(first.replies.len(), 2);
    assert!(told.iter().all(|handed| handed.message().id == first.id));
    bench.alert(
        Hazard::Dragging,
        Priority::Alarm,
        AlertState::ActiveAcknowledged,
    );
    bench.minutes(30);
    assert_eq!(bench.kinds("skipper"), [MessageKind::Update]);
    bench.normal(Hazard::Dragging);
    let cleared = bench.taken("skipper");
    assert_eq!(cleared.len(), 1);
    assert_eq!(cleared[0].message().event, MessageKind::Clear);
    assert_eq!(cleared[0].message().id, first.id);
    bench.minutes(60);
    assert_eq!(bench.kinds("skipper"), []);
    assert!(bench.disk.items.is_empty());
}

#[test]
fn what_grows_graver_is_told_at_once_and_what_is_over_but_unseen_without_sound() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Shoaling, Priority::Warning);
    bench.raise(Hazard::Shoaling, Priority::EmergencyAlarm);
    let told = bench.taken("skipper");
    assert_eq!(told.len(), 2);
    assert_eq!(told[1].message().title, "Tern: emergency, shoaling");
    // An emergency alarm cannot be silenced.
    let acts: Vec<Act> = told[1].message().replies.iter().map(|r| r.act).collect();
    assert_eq!(acts, [Act::Acknowledge]);
    bench.alert(
        Hazard::Shoaling,
        Priority::EmergencyAlarm,
        AlertState::RectifiedUnacknowledged,
    );
    bench.minutes(30);
    assert_eq!(bench.kinds("skipper"), [MessageKind::Update]);
}

#[test]
fn a_caution_is_told_once_and_one_that_was_graver_without_sound() {
    let mut skipper = route("skipper");
    skipper.least = Some(Priority::Caution);
    let mut bench = Bench::new(vec![skipper]);
    let caution = (Priority::Caution, AlertState::ActiveAcknowledged);
    bench.alert(Hazard::ScopeShort, caution.0, caution.1);
    bench.minutes(60);
    assert_eq!(bench.kinds("skipper"), [MessageKind::Alert]);
    bench.raise(Hazard::DataLink, Priority::Alarm);
    bench.alert(Hazard::DataLink, caution.0, caution.1);
    bench.minutes(60);
    assert_eq!(
        bench.kinds("skipper"),
        [MessageKind::Alert, MessageKind::Update]
    );
}

#[test]
fn what_is_too_light_for_a_channel_does_not_go_there() {
    let mut owner = route("owner");
    owner.least = Some(Priority::Alarm);
    let mut bench = Bench::new(vec![route("skipper"), owner]);
    bench.raise(Hazard::WindShift, Priority::Warning);
    bench.alert(
        Hazard::ScopeShort,
        Priority::Caution,
        AlertState::ActiveAcknowledged,
    );
    bench.minutes(6);
    assert_eq!(bench.taken("skipper").len(), 2);
    assert_eq!(bench.taken("owner").len(), 0);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    assert_eq!(bench.taken("owner").len(), 1);
}

#[test]
fn the_second_person_is_called_when_the_first_does_not_answer_and_not_before() {
    let mut mate = route("mate");
    mate.after = Duration::from_mins(5);
    let mut bench = Bench::new(vec![route("skipper"), mate]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.pass(Duration::from_secs(299));
    assert_eq!(bench.taken("mate").len(), 0);
    // A crash does not set the five minutes back.
    bench.crash();
    bench.pass(Duration::from_secs(1));
    assert_eq!(bench.taken("mate").len(), 1);
    // Who acknowledges in time spares the second.
    bench.normal(Hazard::Dragging);
    bench.taken("mate");
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.minutes(4);
    bench.alert(
        Hazard::Position,
        Priority::Alarm,
        AlertState::ActiveAcknowledged,
    );
    bench.minutes(60);
    assert_eq!(bench.taken("mate").len(), 0);
}

#[test]
fn quiet_hours_hold_a_warning_back_and_never_an_alarm() {
    let mut quiet = route("skipper");
    quiet.quiet = Some(Quiet {
        from: 22 * 60,
        until: 7 * 60,
    });
    let mut bench = Bench::new(vec![quiet]);
    bench.minutes(31);
    bench.raise(Hazard::WindShift, Priority::Warning);
    bench.minutes(60);
    assert_eq!(bench.taken("skipper").len(), 0);
    for (hazard, priority) in [
        (Hazard::Dragging, Priority::Alarm),
        (Hazard::Shoaling, Priority::EmergencyAlarm),
    ] {
        bench.raise(hazard, priority);
        assert_eq!(bench.taken("skipper").len(), 1, "{hazard}");
        bench.normal(hazard);
        bench.taken("skipper");
    }
    bench.minutes(8 * 60);
    let morning = bench.taken("skipper");
    assert_eq!(
        morning[0].message().time.clock(),
        "07:00",
        "{:?}",
        morning[0]
    );
    assert_eq!(morning[0].message().hazard, Some(Hazard::WindShift));
}

#[test]
fn days_offline_end_in_one_message_and_no_burst() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.taken("skipper");
    bench.offline("skipper");
    for _ in 0..2 {
        for hazard in [Hazard::Dragging, Hazard::Position, Hazard::WindShift] {
            bench.raise(hazard, Priority::Alarm);
            bench.minutes(90);
            bench.normal(hazard);
            bench.minutes(600);
        }
    }
    bench.raise(Hazard::Shoaling, Priority::Alarm);
    bench.minutes(3 * 24 * 60);
    // The queue has not grown.
    assert!(serde_json::to_string(&bench.disk).unwrap().len() < 600);
    bench.crash();
    bench.taken("skipper");
    bench.answer("skipper", Verdict::Sent);
    bench.minutes(10);
    let told = bench.taken("skipper");
    // What stands first, then all that is over in one; the third is the standing one's repeat.
    assert_eq!(told.len(), 3, "{told:?}");
    assert_eq!(told[0].message().hazard, Some(Hazard::Shoaling));
    assert_eq!(told[1].message().event, MessageKind::Summary);
    assert_eq!(
        told[1].message().message,
        "6 alerts while offline, now normal: dragging, no position, wind shift; from 2026-06-01 21:30 UTC to 2026-06-04 08:30 UTC"
    );
    assert_eq!(told[2].message().hazard, Some(Hazard::Shoaling));
    bench.normal(Hazard::Shoaling);
    bench.minutes(1);
    assert_eq!(bench.kinds("skipper"), [MessageKind::Clear]);
    assert_eq!(bench.disk.missed, []);
}

#[test]
fn a_pause_that_the_server_asks_for_is_kept_and_failures_grow_apart() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.answer(
        "skipper",
        Verdict::Later {
            after: Some(Duration::from_secs(300)),
            why: "status 429".to_owned(),
        },
    );
    bench.raise(Hazard::Dragging, Priority::Alarm);
    // Not even a second alarm breaks it.
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.pass(Duration::from_secs(299));
    assert_eq!(bench.taken("skipper").len(), 1);
    bench.offline("skipper");
    bench.pass(Duration::from_secs(1));
    assert_eq!(bench.taken("skipper").len(), 1);
    bench.minutes(60);
    let tries = bench.taken("skipper");
    let gaps: Vec<u64> = tries
        .windows(2)
        .map(|pair| pair[1].at.since(pair[0].at).as_secs())
        .collect();
    assert_eq!(gaps[..4], [20, 40, 80, 120]);
    assert!(gaps[4..].iter().all(|gap| *gap == 120), "{gaps:?}");
}

#[test]
fn a_new_alarm_does_not_wait_for_the_pause_after_an_old_failure() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.offline("skipper");
    bench.minutes(60);
    bench.taken("skipper");
    bench.answer("skipper", Verdict::Sent);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    assert_eq!(bench.taken("skipper").len(), 1);
}

#[test]
fn a_channel_that_hangs_holds_up_no_other_and_is_tried_again() {
    let mut bench = Bench::new(vec![route("skipper"), route("mate")]);
    bench.hung.push("skipper".to_owned());
    bench.raise(Hazard::Dragging, Priority::Alarm);
    assert_eq!(bench.taken("skipper").len(), 1);
    assert_eq!(bench.taken("mate").len(), 1);
    bench.minutes(2);
    let tries = bench.taken("skipper");
    assert_eq!(tries.len(), 1);
    assert_eq!(bench.health("skipper").state, HealthState::Failing);
    // The verdict of the try that was given up comes after all, and is not taken for the new one's.
    let now = bench.now;
    bench
        .outbox
        .handle_verdict(now, "skipper", tries[0].ticket - 2, &Verdict::Sent);
    assert_eq!(bench.health("skipper").state, HealthState::Failing);
    bench
        .outbox
        .handle_verdict(now, "skipper", tries[0].ticket, &Verdict::Sent);
    assert_eq!(bench.health("skipper").state, HealthState::Working);
}

#[test]
fn a_refusal_is_told_and_not_repeated_until_something_changes() {
    let mut bench = Bench::new(vec![route("skipper")]);
    let refusal = Verdict::Refused("status 403".to_owned());
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.answer("skipper", refusal);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.taken("skipper");
    // That the server is there does not say that it takes anything.
    bench.answers.clear();
    bench.minutes(4);
    assert_eq!(bench.taken("skipper").len(), 0);
    let health = bench.health("skipper");
    assert_eq!(health.state, HealthState::Refused);
    assert_eq!(health.trouble.as_deref(), Some("status 403"));
    // Graver is another matter.
    bench.raise(Hazard::Dragging, Priority::EmergencyAlarm);
    assert_eq!(bench.taken("skipper").len(), 1);
    assert_eq!(bench.health("skipper").state, HealthState::Working);
}

#[test]
fn a_way_that_is_barred_is_told_as_such_with_and_without_a_message() {
    let mut bench = Bench::new(vec![route("siren")]);
    bench.answer("siren", Verdict::Refused("no such program".to_owned()));
    bench.minutes(11);
    assert_eq!(bench.health("siren").state, HealthState::Refused);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.minutes(5);
    assert_eq!(bench.health("siren").state, HealthState::Refused);
    // Mended, the alarm that still stands gets through by itself.
    bench.answers.clear();
    bench.taken("siren");
    bench.minutes(11);
    assert!(!bench.taken("siren").is_empty());
    assert_eq!(bench.health("siren").state, HealthState::Working);
}

#[test]
fn without_any_way_to_a_person_the_watch_is_told_after_a_while() {
    let mut ping = route("ashore");
    ping.least = None;
    let mut bench = Bench::new(vec![route("skipper"), route("mate"), ping]);
    assert_eq!(bench.phones.last(), Some(&Phones::Working));
    bench.offline("skipper");
    bench.minutes(60);
    // One works still.
    assert_eq!(bench.phones.last(), Some(&Phones::Working));
    bench.answer("mate", Verdict::Refused("status 401".to_owned()));
    bench.minutes(10);
    assert_eq!(
        bench.phones.last(),
        Some(&Phones::Doubtful("skipper, mate".to_owned()))
    );
    bench.minutes(10);
    assert_eq!(
        bench.phones.last(),
        Some(&Phones::Lost("skipper, mate".to_owned()))
    );
    bench.answer("skipper", Verdict::Sent);
    bench.minutes(2);
    assert_eq!(bench.phones.last(), Some(&Phones::Working));
    assert_eq!(Bench::new(vec![]).phones, []);
}

#[test]
fn the_dead_man_s_message_is_pushed_forward_at_anchor_and_withdrawn_aweigh() {
    let mut dark = route("skipper");
    dark.dark_after = Some(Duration::from_mins(10));
    let mut bench = Bench::new(vec![dark]);
    bench.minutes(30);
    let kinds = bench.taken("skipper");
    assert!((29..=31).contains(&kinds.len()), "{}", kinds.len());
    assert!(kinds.iter().all(|handed| matches!(
        &handed.parcel,
        Parcel::Renew { after, .. } if *after == Duration::from_mins(10)
    )));
    // The crash comes before the anchor is weighed: it is withdrawn all the same.
    bench.crash();
    bench.taken("skipper");
    let now = bench.now;
    bench.outbox.handle_anchored(now, false);
    bench.serve();
    let withdrawn = bench.taken("skipper");
    assert!(matches!(
        withdrawn[..],
        [Handed {
            parcel: Parcel::Withdraw(_),
            ..
        }]
    ));
    bench.minutes(60);
    assert_eq!(bench.taken("skipper").len(), 0);
    assert_eq!(bench.disk.armed, Vec::<String>::new());
}

#[test]
fn an_answer_does_what_it_says_once_and_every_other_gets_its_own_reason() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    let told = bench.taken("skipper");
    let old = told[0].message().replies[0].body.clone();
    let silence = told[0].message().replies[1].body.clone();
    bench.raise(Hazard::Dragging, Priority::EmergencyAlarm);
    let reply = bench.taken("skipper")[0].message().replies[0].body.clone();
    let forged = format!("{}{}", &reply[..reply.len() - 64], "ab".repeat(32));
    let send = |bench: &mut Bench, line: &str| {
        let now = bench.now;
        bench.outbox.handle_reply(now, line);
        bench.serve();
    };
    // The button of the lesser alarm does not answer the graver one.
    send(&mut bench, &old);
    send(&mut bench, &forged);
    send(&mut bench, "hello");
    assert_eq!(bench.acts, []);
    send(&mut bench, &reply);
    assert_eq!(
        bench.acts,
        [("skipper".to_owned(), Hazard::Dragging, Act::Acknowledge)]
    );
    // A replay, before and after a power cut.
    send(&mut bench, &reply);
    assert!(bench.log.last().unwrap().ends_with("it was used before"));
    assert_eq!(bench.acts.len(), 1);
    bench.alert(
        Hazard::Dragging,
        Priority::EmergencyAlarm,
        AlertState::ActiveAcknowledged,
    );
    send(&mut bench, &silence);
    assert_eq!(bench.acts.len(), 1);
    bench.crash();
    bench.normal(Hazard::Dragging);
    send(&mut bench, &reply);
    assert_eq!(bench.acts.len(), 1);
    assert_eq!(
        bench.log,
        [
            "an answer from a phone was not taken: it comes late: the alert is over or was raised anew since",
            "an answer from a phone was not taken: it is forged: its signature is not ours",
            "an answer from a phone was not taken: it is no answer to a message of ours",
            // Once only: after the restart the place of answers still had it, and it is known.
            "an answer from a phone was not taken: it was used before",
        ]
    );
    // A flood of forgeries is one line in ten minutes.
    let before = bench.log.len();
    for _ in 0..10_000 {
        send(&mut bench, &forged);
    }
    bench.minutes(11);
    send(&mut bench, &forged);
    assert_eq!(bench.log.len() - before, 2);
    assert!(
        bench
            .log
            .last()
            .unwrap()
            .ends_with("(and 9999 more like it before)")
    );
}

#[test]
fn a_clock_that_jumps_neither_silences_nor_repeats_for_ever() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.taken("skipper");
    for utc in ["1970-01-01T00:00:10Z", "2099-01-01T00:00:00Z"] {
        bench.now.utc = utc.parse().unwrap();
        bench.minutes(10);
        assert_eq!(bench.taken("skipper").len(), 2, "{utc}");
        bench.crash();
        assert_eq!(bench.taken("skipper").len(), 1, "{utc}");
    }
    // Back to the past, and a tick that goes backwards.
    bench.now = Now::new(Tick::START, evening());
    let now = bench.now;
    bench.outbox.handle_timeout(now);
    bench.serve();
    bench.minutes(60);
    assert!(bench.taken("skipper").len() >= 10);
}

#[derive(Clone, Debug)]
enum Deed {
    Alert(usize, Priority, u8),
    Answer(bool, u8),
    Crash,
    Pass(u64),
}

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    let priority = prop_oneof![
        Just(Priority::Caution),
        Just(Priority::Warning),
        Just(Priority::Alarm),
        Just(Priority::EmergencyAlarm)
    ];
    let deed = prop_oneof![
        6 => (0..8_usize, priority, 0..5_u8).prop_map(|(h, p, s)| Deed::Alert(h, p, s)),
        3 => (any::<bool>(), 0..4_u8).prop_map(|(first, how)| Deed::Answer(first, how)),
        1 => Just(Deed::Crash),
        4 => (0..1000_u64).prop_map(Deed::Pass),
    ];
    proptest::collection::vec(deed, 1..60)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    /// Whatever happens: a message is kept before it is sent (the bench sees to that), nothing is
    /// due for ever, the disk holds little, and when the ways work again each phone shows what
    /// stands, nothing that does not, and what it missed in one message.
    #[test]
    fn in_the_end_every_phone_shows_what_stands(deeds in deeds()) {
        let mut bench = Bench::new(vec![route("skipper"), route("mate")]);
        for deed in deeds {
            match deed {
                Deed::Alert(hazard, priority, state) => {
                    let state = match state {
                        0 | 1 if priority > Priority::Caution => AlertState::ActiveUnacknowledged,
                        0..=2 => AlertState::ActiveAcknowledged,
                        3 if priority > Priority::Caution => AlertState::RectifiedUnacknowledged,
                        _ => AlertState::Normal,
                    };
                    let known = bench.outbox.alerts.contains_key(&Hazard::ALL[hazard]);
                    if known || state == AlertState::ActiveUnacknowledged {
                        bench.alert(Hazard::ALL[hazard], priority, state);
                    }
                }
                Deed::Answer(first, how) => {
                    let channel = if first { "skipper" } else { "mate" };
                    bench.hung.retain(|hung| hung != channel);
                    match how {
                        0 => bench.offline(channel),
                        1 => bench.answer(channel, Verdict::Refused("status 413".to_owned())),
                        2 => bench.hung.push(channel.to_owned()),
                        _ => bench.answer(channel, Verdict::Sent),
                    }
                }
                Deed::Crash => bench.crash(),
                Deed::Pass(seconds) => bench.pass(Duration::from_secs(seconds)),
            }
            prop_assert!(serde_json::to_string(&bench.disk).unwrap().len() < 8000);
        }
        bench.hung.clear();
        bench.answers.clear();
        bench.minutes(30);
        let unseen: Vec<Hazard> = bench
            .outbox
            .alerts
            .values()
            .filter(|v| v.state == AlertState::ActiveUnacknowledged && v.priority > Priority::Caution)
            .map(|v| v.hazard)
            .collect();
        for lane in &bench.outbox.lanes {
            prop_assert_eq!(&lane.missed, &None);
            for hazard in &unseen {
                let told = lane.items.get(hazard).and_then(|item| item.told);
                prop_assert_eq!(told.map(|t| t.state), Some(AlertState::ActiveUnacknowledged));
            }
            for hazard in lane.items.keys() {
                prop_assert!(bench.outbox.alerts.contains_key(hazard));
            }
        }
    }
}

/// A watch that dies every two seconds for two minutes, each life with its alarms raised anew.
#[test]
fn a_crash_loop_keeps_to_the_rate_of_one_life() {
    let mut bench = Bench::new(vec![route("skipper")]);
    bench.raise(Hazard::Dragging, Priority::Alarm);
    bench.raise(Hazard::Position, Priority::Alarm);
    bench.raise(Hazard::DataLink, Priority::Alarm);
    for _ in 0..60 {
        bench.pass(Duration::from_secs(2));
        bench.crash();
    }
    let rung = bench.taken("skipper").len();
    // Ten at once, then one in ten seconds (`pace`).
    assert!((3..=23).contains(&rung), "{rung}");
}
