//! A base that follows a fleet of a thousand boats on an ordinary broker. Ten are the real program; the others send
//! what two of those ten sent, under other names, each over a connection and with a last will of its own.
//!
//! `tests/run fleet -- --nocapture` prints the table: what is kept, how much is sent, and how long the base waits.

#![allow(clippy::print_stderr, reason = "the table is the test's output")]
#![expect(
    clippy::expect_used,
    reason = "a test that lacks its peer fails, and says why"
)]

use std::collections::BTreeMap;
use std::process::Command;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use rumqttc::{AsyncClient, Event, Incoming, LastWill, MqttOptions, QoS};
use serde_json::{Value, json};
use tokio::runtime::Handle;
use tokio::task::JoinHandle;

use super::ashore::Broker;
use super::tern::{Aboard, eventually};

const BOATS: usize = 1000;
/// The first ten are the program itself.
const REAL: usize = 10;
/// The one whose evening the others repeat; its power is cut then.
const PATTERN: usize = 9;
/// The one that hangs: its connection stays open, and nothing comes.
const HUNG: usize = 10;
/// The interval of a boat's sign of life here; 10 minutes unless the configuration has another.
const EVERY: Duration = Duration::from_secs(10);
/// As many alarms come one after another; the rest come at once.
const SINGLE: usize = 200;

#[test]
#[expect(clippy::too_many_lines, reason = "one story of one fleet")]
fn a_base_follows_a_thousand_boats_on_one_broker() {
    // Without this line a base that joins gets the first 1 020 of what is kept: Mosquitto holds 1 000 messages for each
    // subscriber, 20 are on their way, and it drops the rest without a word (mosquitto.conf(5)).
    let broker = Broker::start("allow_anonymous true\nmax_queued_messages 10000\n");
    let sea = Sea::begin(broker.port);
    let base = sea.base();
    let mut table = Table::default();

    // Ten real boats, one of which hangs and one of which shows how an evening goes.
    let mut real: Vec<Aboard> = (1..=REAL)
        .map(|number| aboard(number, broker.port))
        .collect();
    std::thread::scope(|all| {
        for boat in &mut real {
            all.spawn(|| boat.run());
        }
    });
    for number in 1..=REAL {
        base.until(&watch(number), |said| said["state"] == "aweigh");
    }
    let hung = real[HUNG - 1].process();
    signal("STOP", hung);
    let hung_since = Instant::now();

    let pattern = &mut real[PATTERN - 1];
    let_go(pattern);
    let alarm = base.until(&alert(PATTERN), |said| said["priority"] == "alarm");
    let watching = base.until(&watch(PATTERN), |said| said["state"] == "watching");
    let picture = base.first(&format!("fleet/{}/picture", name(PATTERN)));
    assert!(picture.payload.starts_with(b"\x89PNG"), "no picture came");
    let killed = Instant::now();
    pattern.kill();
    let dark = base.until(&watch(PATTERN), |said| said["state"] == "dark");
    table.row(
        "power cut of a boat until `dark` at the base",
        since(killed, dark.at),
    );
    is_as_the_schema_says(&alarm, "");
    for said in [&watching, &dark] {
        is_as_the_schema_says(said, "#/$defs/watch");
    }

    // The others join, with their last will and their state.
    let joined = Instant::now();
    let mut others = Vec::new();
    for number in REAL + 1..=BOATS {
        others.push(sea.boat(number, &dark.payload, &watching.payload));
        if number % 50 == 0 {
            base.until(&watch(number), |said| said["state"] == "watching");
        }
    }
    let states = |base: &Base| base.latest("/watch");
    eventually("the base knows all boats", || {
        (states(&base).len() == BOATS).then_some(())
    });
    table.row(
        "990 boats join one after another, the last is seen",
        joined.elapsed(),
    );

    // From now on each gives its sign of life; 100 a second.
    let life = sea.signs_of_life(&others, watching.payload.clone());
    let begun = (Instant::now(), base.count());

    // Alarms one after another among all that, and those of seven real boats at once.
    let mut waits = Vec::new();
    for boat in &others[..SINGLE] {
        let raised = boat.raise(&alarm.payload);
        let seen = base.until(&alert(boat.number), |said| said["priority"] == "alarm");
        waits.push(seen.at.saturating_duration_since(raised));
    }
    table.spread("an alarm, one of 200 boats after another", &mut waits);
    std::thread::scope(|all| {
        for boat in &real[..PATTERN - 2] {
            all.spawn(|| let_go(boat));
        }
    });
    let mut waits: Vec<Duration> = (1..PATTERN - 1)
        .map(|number| {
            let seen = base.until(&alert(number), |said| said["priority"] == "alarm");
            let said = seen.json();
            let told = said["time"].as_str().expect("it has a time").parse();
            let told: jiff::Timestamp = told.expect("the time is one");
            seen.wall.duration_since(told).unsigned_abs()
        })
        .collect();
    table.spread(
        "an alarm of seven real boats at once, from its writing",
        &mut waits,
    );

    // All the rest at once: the worst that a gale does to a fleet.
    let storm = Instant::now();
    for boat in &others[SINGLE..] {
        boat.raise(&alarm.payload);
    }
    let mut waits: Vec<Duration> = others[SINGLE..]
        .iter()
        .map(|boat| {
            let seen = base.until(&alert(boat.number), |said| said["priority"] == "alarm");
            seen.at.saturating_duration_since(storm)
        })
        .collect();
    table.spread("an alarm, 790 boats at once", &mut waits);
    let seconds = begun.0.elapsed().as_secs_f64();
    let rate = (base.count() - begun.1) as f64 / seconds;
    table.text(
        "messages a second at the base, alarms included",
        format!("{rate:.0}"),
    );

    // A second base joins, and is given what is kept: the state of all, the alarms of all that have one.
    let asked = Instant::now();
    let second = sea.base();
    // One real boat hangs, and one is aweigh.
    let alarmed = BOATS - 2;
    eventually("the second base knows all that is kept", || {
        (states(&second).len() == BOATS && second.latest("/alert/dataLink").len() == alarmed)
            .then_some(())
    });
    let kept = second.kept();
    table.row(
        "a base that joins has all of it",
        since(asked, second.last()),
    );
    table.text(
        "retained by the broker: states and alarms, bytes a boat",
        format!("{}, {}", kept.0, kept.1 / BOATS),
    );
    table.text("memory of the broker", memory(broker.process()));

    // The boat that hangs is noticed when one and a half of its keep-alive have passed, and comes back by itself.
    let dark = base.until(&watch(HUNG), |said| said["state"] == "dark");
    table.row(
        "a boat hangs with its connection open: until `dark` at the base",
        since(hung_since, dark.at),
    );
    signal("CONT", hung);
    base.until(&watch(HUNG), |said| said["state"] == "aweigh");
    life.abort();
    // Nobody else was taken for silent.
    let silent = states(&base)
        .into_values()
        .filter(|said| said.json()["state"] == "dark");
    assert_eq!(silent.count(), 1, "only the boat without power is dark");
    table.print();
}

fn name(number: usize) -> String {
    format!("Tern {number:04}")
}

fn watch(number: usize) -> String {
    format!("fleet/{}/watch", name(number))
}

fn alert(number: usize) -> String {
    format!("fleet/{}/alert/dataLink", name(number))
}

/// A real boat without a data server: an alarm once her anchor is down.
fn aboard(number: usize, port: u16) -> Aboard {
    let mut boat = Aboard::alone(&format!(
        "[push.base]\nkind = \"mqtt\"\nurl = \"mqtt://127.0.0.1:{port}\"\ntopic = \"fleet\"\nevery = \"{} s\"\n",
        EVERY.as_secs()
    ));
    boat.set("WINDRODE__BOAT__NAME", &name(number));
    boat
}

fn let_go(boat: &Aboard) {
    boat.order(&["let-go", "--position", "59.8539,23.26", "--rode", "40m"]);
}

fn signal(which: &str, process: u32) {
    let sent = Command::new("kill")
        .args([format!("-{which}"), process.to_string()])
        .status();
    assert!(sent.expect("kill runs").success());
}

fn since(begun: Instant, seen: Instant) -> Duration {
    seen.saturating_duration_since(begun)
}

fn is_as_the_schema_says(seen: &Seen, part: &str) {
    let schema: Value =
        serde_json::from_str(include_str!("../../schemas/push.schema.json")).unwrap();
    let schema = match part {
        "" => schema,
        part => json!({ "$ref": part, "$defs": schema["$defs"] }),
    };
    let validator = jsonschema::validator_for(&schema).unwrap();
    let said = seen.json();
    let fault = validator.validate(&said).err();
    assert!(fault.is_none(), "{fault:?} in {said}");
}

fn memory(process: u32) -> String {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).expect("it runs");
    let line = status.lines().find(|line| line.starts_with("VmHWM"));
    let kilobytes = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    format!("{:.0} MB", kilobytes.expect("it has memory") / 1024.0)
}

/// The connections of all boats and bases but the real boats', on a thread of their own.
struct Sea {
    handle: Handle,
    port: u16,
    end: Option<tokio::sync::oneshot::Sender<()>>,
    thread: Option<std::thread::JoinHandle<()>>,
}

impl Sea {
    fn begin(port: u16) -> Self {
        let (end, ended) = tokio::sync::oneshot::channel();
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .build();
        let runtime = runtime.expect("a runtime can be built");
        let handle = runtime.handle().clone();
        let thread = std::thread::spawn(move || drop(runtime.block_on(ended)));
        Self {
            handle,
            port,
            end: Some(end),
            thread: Some(thread),
        }
    }

    fn options(&self, client: &str) -> MqttOptions {
        let mut options = MqttOptions::new(client, "127.0.0.1", self.port);
        options
            .set_keep_alive(Duration::from_secs(30))
            .set_max_packet_size(1 << 20, 1 << 20);
        options
    }

    /// A boat that has joined with this last will and this state.
    fn boat(&self, number: usize, will: &[u8], state: &[u8]) -> Boat {
        let mut options = self.options(&name(number));
        options.set_last_will(LastWill::new(watch(number), will, QoS::AtLeastOnce, true));
        let (client, mut events) = AsyncClient::new(options, 32);
        self.handle
            .spawn(async move { while events.poll().await.is_ok() {} });
        let boat = Boat { number, client };
        boat.publish(watch(number), state.to_vec());
        boat
    }

    fn base(&self) -> Base {
        let number = BASES.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        let (client, mut events) = AsyncClient::new(self.options(&format!("base {number}")), 32);
        for topic in ["fleet/+/watch", "fleet/+/alert/+", "fleet/+/picture"] {
            client
                .try_subscribe(topic, QoS::AtLeastOnce)
                .expect("there is room");
        }
        let story = Arc::new(Mutex::new(Vec::new()));
        let heard = Arc::clone(&story);
        self.handle.spawn(async move {
            // It ends with its broker.
            while let Ok(event) = events.poll().await {
                if let Event::Incoming(Incoming::Publish(said)) = event {
                    let seen = Seen {
                        at: Instant::now(),
                        wall: jiff::Timestamp::now(),
                        topic: said.topic,
                        payload: said.payload.to_vec(),
                    };
                    heard
                        .lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .push(seen);
                }
            }
        });
        Base {
            story,
            _client: client,
        }
    }

    /// Each boat's state, once in each interval.
    fn signs_of_life(&self, boats: &[Boat], state: Vec<u8>) -> JoinHandle<()> {
        let pause = EVERY / u32::try_from(boats.len()).expect("a fleet");
        let all: Vec<_> = boats
            .iter()
            .map(|boat| (boat.client.clone(), watch(boat.number)))
            .collect();
        self.handle.spawn(async move {
            let mut beat = tokio::time::interval(pause);
            for (client, topic) in all.iter().cycle() {
                beat.tick().await;
                let _ = client
                    .publish(topic, QoS::AtLeastOnce, true, state.clone())
                    .await;
            }
        })
    }
}

impl Drop for Sea {
    fn drop(&mut self) {
        drop(self.end.take());
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

static BASES: std::sync::atomic::AtomicUsize = std::sync::atomic::AtomicUsize::new(1);

struct Boat {
    number: usize,
    client: AsyncClient,
}

impl Boat {
    /// Raises the alarm that another boat has raised; returns when.
    fn raise(&self, pattern: &[u8]) -> Instant {
        let text = String::from_utf8_lossy(pattern).replace(&name(PATTERN), &name(self.number));
        let raised = Instant::now();
        self.publish(alert(self.number), text.into_bytes());
        raised
    }

    fn publish(&self, topic: String, payload: Vec<u8>) {
        let sent = self
            .client
            .try_publish(topic, QoS::AtLeastOnce, true, payload);
        sent.expect("there is room");
    }
}

/// A subscriber ashore, and all that it was sent.
struct Base {
    story: Arc<Mutex<Vec<Seen>>>,
    _client: AsyncClient,
}

#[derive(Clone, Debug)]
struct Seen {
    at: Instant,
    wall: jiff::Timestamp,
    topic: String,
    payload: Vec<u8>,
}

impl Seen {
    fn json(&self) -> Value {
        serde_json::from_slice(&self.payload).unwrap_or_default()
    }
}

impl Base {
    fn read<T>(&self, read: impl FnOnce(&[Seen]) -> T) -> T {
        read(&self.story.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Waits for the first message on this topic.
    fn first(&self, topic: &str) -> Seen {
        let find = |all: &[Seen]| all.iter().find(|seen| seen.topic == topic).cloned();
        eventually(topic, || self.read(find))
    }

    /// Waits for a message on this topic that is as it should be: the first of the last run of such.
    fn until(&self, topic: &str, is: impl Fn(&Value) -> bool) -> Seen {
        eventually(topic, || {
            self.read(|all| {
                let here = all.iter().rev().filter(|seen| seen.topic == topic);
                here.take_while(|seen| is(&seen.json())).last().cloned()
            })
        })
    }

    /// The latest message on each topic that ends like this.
    fn latest(&self, ending: &str) -> BTreeMap<String, Seen> {
        self.read(|all| {
            let here = all.iter().filter(|seen| seen.topic.ends_with(ending));
            here.map(|seen| (seen.topic.clone(), seen.clone()))
                .collect()
        })
    }

    fn count(&self) -> usize {
        self.read(<[Seen]>::len)
    }

    fn last(&self) -> Instant {
        self.read(|all| all.last().map_or_else(Instant::now, |seen| seen.at))
    }

    /// States and alarms that the broker keeps: topics and bytes.
    fn kept(&self) -> (usize, usize) {
        let all = [self.latest("/watch"), self.latest("/alert/dataLink")];
        let all = || all.iter().flat_map(BTreeMap::values);
        let bytes = all()
            .map(|seen| seen.topic.len() + seen.payload.len())
            .sum();
        (all().count(), bytes)
    }
}

#[derive(Default)]
struct Table {
    rows: Vec<(String, String)>,
}

impl Table {
    fn text(&mut self, what: &str, figure: impl Into<String>) {
        self.rows.push((what.to_owned(), figure.into()));
    }

    fn row(&mut self, what: &str, time: Duration) {
        self.text(what, spoken(time));
    }

    /// Half of them, 99 of 100, the longest.
    fn spread(&mut self, what: &str, times: &mut [Duration]) {
        times.sort();
        let part = |share: usize| spoken(times[(times.len() * share / 100).min(times.len() - 1)]);
        let figure = format!(
            "{} (half), {} (99 %), {} (longest)",
            part(50),
            part(99),
            part(100)
        );
        self.text(what, figure);
    }

    fn print(&self) {
        eprintln!("\n| {BOATS} boats on one broker | |\n|---|---|");
        for (what, figure) in &self.rows {
            eprintln!("| {what} | {figure} |");
        }
    }
}

fn spoken(time: Duration) -> String {
    if time < Duration::from_secs(1) {
        format!("{:.1} ms", time.as_secs_f64() * 1e3)
    } else {
        format!("{:.1} s", time.as_secs_f64())
    }
}
