//! An MQTT broker (3.1.1): the state of the watch as a tree of topics that anybody ashore can
//! follow, one boat or a whole fleet.
//!
//! | topic | retained | what |
//! |---|---|---|
//! | `windrode/BOAT/watch` | yes | `{"state":"watching"}` while an anchor is marked, `aweigh` while none is; `dark` by the broker itself when the boat falls silent, `stopped` after an orderly stop |
//! | `windrode/BOAT/alert/HAZARD` | yes | the message, as `schemas/push.schema.json` has it |
//! | `windrode/BOAT/message` | no | messages that belong to no single hazard: a summary, a test |
//! | `windrode/BOAT/picture` | yes | the picture of the last alert, PNG; the alert does not wait for it |
//! | `windrode/BOAT/reply` | – | where answers are expected: the `body` of one of the message's `replies` |
//!
//! Everything is sent with quality of service 1: it counts as *sent* when the broker has confirmed it.
//! After each loss a fresh connection is made, with nothing left from the old one, and the retained topics
//! of this run are published again, so a broker that lost its memory shows the current state.

use std::collections::{BTreeMap, HashMap, VecDeque};
use std::sync::Arc;
use std::time::Duration;

use rumqttc::{
    AsyncClient, ConnectReturnCode, ConnectionError, Event, EventLoop, Incoming, LastWill,
    MqttOptions, Outgoing, QoS, TlsConfiguration, Transport,
};
use serde_json::json;
use tokio::sync::{mpsc, oneshot, watch};
use tracing::debug;

use super::{Heard, later};
use crate::io::push::settings::PushUrl;
use crate::io::secrets::Secret;
use crate::outbox::words::{Message, Parcel, Verdict};

/// The handle to a broker's task.
#[derive(Debug)]
pub(super) struct Mqtt {
    orders: mpsc::Sender<Order>,
    /// Is an anchor watched? `None` until that is known.
    watching: watch::Sender<Option<bool>>,
}

#[derive(Debug)]
enum Order {
    Carry(Box<Parcel>, oneshot::Sender<Verdict>),
    Picture(Arc<[u8]>),
    Close(oneshot::Sender<Verdict>),
}

impl Mqtt {
    /// Starts the task.
    pub(super) fn open(
        channel: &str,
        url: &PushUrl,
        client_id: String,
        tree: String,
        login: Option<(String, Secret)>,
        tls: &Arc<rustls::ClientConfig>,
        heard: &mpsc::Sender<Heard>,
    ) -> Result<Self, String> {
        let secure = url.0.scheme() == "mqtts";
        let host = url.0.host_str().ok_or("no host")?.to_owned();
        let port = url.0.port().unwrap_or(if secure { 8883 } else { 1883 });
        let mut options = MqttOptions::new(client_id, host, port);
        options
            .set_keep_alive(KEEP_ALIVE)
            .set_clean_session(true)
            .set_max_packet_size(LARGEST_IN, LARGEST_OUT)
            .set_last_will(LastWill::new(
                format!("{tree}/watch"),
                state("dark"),
                QoS::AtLeastOnce,
                true,
            ));
        if secure {
            let tls = TlsConfiguration::Rustls(Arc::clone(tls));
            options.set_transport(Transport::tls_with_config(tls));
        }
        if let Some((user, password)) = login {
            options.set_credentials(user, password.reveal());
        }
        let (orders, theirs) = mpsc::channel(8);
        let (watching, known) = watch::channel(None);
        let task = Task {
            channel: channel.to_owned(),
            options,
            tree,
            orders: theirs,
            watching: known,
            heard: heard.clone(),
            retained: BTreeMap::new(),
        };
        tokio::spawn(task.run());
        Ok(Self { orders, watching })
    }

    /// Publishes whether an anchor is watched, if that has changed.
    pub(super) fn say(&self, watching: bool) {
        self.watching
            .send_if_modified(|known| known.replace(watching) != Some(watching));
    }

    pub(super) async fn carry(&self, parcel: Parcel) -> Verdict {
        let (reply, verdict) = oneshot::channel();
        let order = Order::Carry(Box::new(parcel), reply);
        if self.orders.send(order).await.is_err() {
            return later("the connection's task has ended");
        }
        verdict
            .await
            .unwrap_or_else(|_| later("the connection was lost"))
    }

    /// Publishes the picture once it is drawn. It has a topic of its own, so no alert waits for it. A picture that
    /// is not there within [`SHOWN_WITHIN`] is dropped.
    pub(super) fn show(&self, drawing: impl Future<Output = Option<Arc<[u8]>>> + Send + 'static) {
        let orders = self.orders.clone();
        tokio::spawn(tokio::time::timeout(SHOWN_WITHIN, async move {
            if let Some(picture) = drawing.await {
                // The daemon may have ended by now.
                let _ = orders.send(Order::Picture(picture)).await;
            }
        }));
    }

    /// Publishes that the watch was stopped on purpose, and disconnects cleanly.
    pub(super) async fn close(&self) {
        let (reply, done) = oneshot::channel();
        if self.orders.send(Order::Close(reply)).await.is_ok() {
            let _ = tokio::time::timeout(FAREWELL, done).await;
        }
    }
}

struct Task {
    channel: String,
    options: MqttOptions,
    tree: String,
    orders: mpsc::Receiver<Order>,
    watching: watch::Receiver<Option<bool>>,
    heard: mpsc::Sender<Heard>,
    retained: BTreeMap<String, Vec<u8>>,
}

/// One connection.
struct Link {
    client: AsyncClient,
    events: EventLoop,
    up: bool,
    /// Those that wait for each publication that has not gone out yet, in order.
    queued: VecDeque<Option<oneshot::Sender<Verdict>>>,
    /// Those that wait for the broker's confirmation, by packet.
    sent: HashMap<u16, Option<oneshot::Sender<Verdict>>>,
}

impl Task {
    async fn run(mut self) {
        let mut pause = FIRST_PAUSE;
        loop {
            let mut link = Link::new(self.options.clone());
            let Some(verdict) = self.serve(&mut link, &mut pause).await else {
                return;
            };
            let why = match &verdict {
                Verdict::Sent => String::new(),
                Verdict::Later { why, .. } | Verdict::Refused(why) => why.clone(),
            };
            debug!("`push.{}`: {why}", self.channel);
            let waiting = link
                .queued
                .drain(..)
                .chain(link.sent.drain().map(|(_, w)| w));
            for waits in waiting.flatten() {
                let _ = waits.send(later(format!("the connection was lost: {why}")));
            }
            self.tell(verdict.clone()).await;
            // Orders during the pause learn the state of the connection at once.
            let over = tokio::time::sleep(pause);
            tokio::pin!(over);
            loop {
                tokio::select! {
                    () = &mut over => break,
                    order = self.orders.recv() => match order {
                        Some(Order::Carry(_, reply)) => {
                            let _ = reply.send(verdict.clone());
                        }
                        Some(Order::Picture(_)) => {}
                        Some(Order::Close(reply)) => {
                            let _ = reply.send(Verdict::Sent);
                            return;
                        }
                        None => return,
                    },
                }
            }
            pause = (pause * 2).min(LONGEST_PAUSE);
        }
    }

    async fn tell(&self, verdict: Verdict) {
        let link = Heard::Link {
            channel: self.channel.clone(),
            verdict,
        };
        // The daemon may have ended by now.
        let _ = self.heard.send(link).await;
    }

    /// Serves one connection to its end and returns why it ended; `None` when we are stopping.
    async fn serve(&mut self, link: &mut Link, pause: &mut Duration) -> Option<Verdict> {
        loop {
            tokio::select! {
                event = link.events.poll() => match event {
                    Ok(Event::Incoming(Incoming::ConnAck(_))) => {
                        *pause = FIRST_PAUSE;
                        link.up = true;
                        if let Err(why) = self.greet(link) {
                            return Some(later(why));
                        }
                    }
                    Ok(Event::Incoming(Incoming::PubAck(ack))) => {
                        if let Some(Some(waits)) = link.sent.remove(&ack.pkid) {
                            let _ = waits.send(Verdict::Sent);
                        }
                        self.tell(Verdict::Sent).await;
                    }
                    Ok(Event::Outgoing(Outgoing::Publish(packet))) => {
                        let waits = link.queued.pop_front().flatten();
                        link.sent.insert(packet, waits);
                    }
                    Ok(Event::Incoming(Incoming::Publish(publish))) => {
                        // A retained answer would come again with each connection.
                        if !publish.retain
                            && let Ok(text) = std::str::from_utf8(&publish.payload)
                        {
                            let _ = self.heard.send(Heard::Reply(text.to_owned())).await;
                        }
                    }
                    Ok(_) => {}
                    Err(error) => return Some(judge(&error)),
                },
                Ok(()) = self.watching.changed(), if link.up => {
                    if let Err(why) = self.state_watch(link, None) {
                        return Some(later(why));
                    }
                }
                // Orders wait here until the broker has accepted us.
                order = self.orders.recv(), if link.up => match order {
                    Some(Order::Carry(parcel, reply)) => {
                        if let Err(why) = self.obey(link, *parcel, reply) {
                            return Some(later(why));
                        }
                    }
                    Some(Order::Picture(picture)) => self.show(link, &picture),
                    Some(Order::Close(reply)) => {
                        if self.watching.borrow().is_some() {
                            Self::part(&self.tree, link).await;
                        }
                        let _ = reply.send(Verdict::Sent);
                        return None;
                    }
                    None => return None,
                },
            }
        }
    }

    /// Subscribes, and publishes the current state again.
    fn greet(&mut self, link: &mut Link) -> Result<(), String> {
        let reply = format!("{}/reply", self.tree);
        link.client
            .try_subscribe(reply, QoS::AtLeastOnce)
            .map_err(|error| error.to_string())?;
        self.state_watch(link, None)?;
        for (topic, payload) in &self.retained {
            link.publish(topic.clone(), true, payload.clone(), None)?;
        }
        Ok(())
    }

    fn obey(
        &mut self,
        link: &mut Link,
        parcel: Parcel,
        reply: oneshot::Sender<Verdict>,
    ) -> Result<(), String> {
        let message = match parcel {
            Parcel::Show(message) | Parcel::Clear(message) => message,
            // The last will publishes this.
            Parcel::Renew { .. } | Parcel::Withdraw(_) => {
                let _ = reply.send(Verdict::Sent);
                return Ok(());
            }
            Parcel::Probe => {
                return self.state_watch(link, Some(reply));
            }
        };
        let payload = serde_json::to_vec(&message).map_err(|error| error.to_string())?;
        let (topic, retain) = self.place(&message);
        if retain {
            self.retained.insert(topic.clone(), payload.clone());
        }
        link.publish(topic, retain, payload, Some(reply))
    }

    /// A picture that finds no place is dropped: alerts need the link more.
    fn show(&self, link: &mut Link, picture: &[u8]) {
        if picture.len() < LARGEST_OUT / 2 {
            let topic = format!("{}/picture", self.tree);
            if let Err(why) = link.publish(topic, true, picture.to_vec(), None) {
                debug!("`push.{}`: a picture is dropped: {why}", self.channel);
            }
        }
    }

    /// Publishes whether an anchor is watched. If that is not known (a test of the channel), the broker's
    /// value stays.
    fn state_watch(
        &mut self,
        link: &mut Link,
        reply: Option<oneshot::Sender<Verdict>>,
    ) -> Result<(), String> {
        let Some(watching) = *self.watching.borrow_and_update() else {
            if let Some(reply) = reply {
                let _ = reply.send(Verdict::Sent);
            }
            return Ok(());
        };
        let word = if watching { "watching" } else { "aweigh" };
        link.publish(format!("{}/watch", self.tree), true, state(word), reply)
    }

    fn place(&self, message: &Message) -> (String, bool) {
        match message.hazard {
            Some(hazard) => (format!("{}/alert/{hazard}", self.tree), true),
            None => (format!("{}/message", self.tree), false),
        }
    }

    async fn part(tree: &str, link: &mut Link) {
        if !link.up {
            return;
        }
        let stopped = link.publish(format!("{tree}/watch"), true, state("stopped"), None);
        if stopped.is_err() {
            return;
        }
        let last_words = async {
            while !(link.queued.is_empty() && link.sent.is_empty()) {
                match link.events.poll().await {
                    Ok(Event::Outgoing(Outgoing::Publish(packet))) => {
                        link.queued.pop_front();
                        link.sent.insert(packet, None);
                    }
                    Ok(Event::Incoming(Incoming::PubAck(ack))) => {
                        link.sent.remove(&ack.pkid);
                    }
                    Ok(_) => {}
                    Err(_) => return,
                }
            }
            if link.client.try_disconnect().is_ok() {
                while !matches!(
                    link.events.poll().await,
                    Err(_) | Ok(Event::Outgoing(Outgoing::Disconnect))
                ) {}
            }
        };
        let _ = tokio::time::timeout(FAREWELL, last_words).await;
    }
}

impl Link {
    fn new(options: MqttOptions) -> Self {
        let (client, events) = AsyncClient::new(options, MOST_QUEUED);
        Self {
            client,
            events,
            up: false,
            queued: VecDeque::new(),
            sent: HashMap::new(),
        }
    }

    fn publish(
        &mut self,
        topic: String,
        retain: bool,
        payload: Vec<u8>,
        waits: Option<oneshot::Sender<Verdict>>,
    ) -> Result<(), String> {
        self.client
            .try_publish(topic, QoS::AtLeastOnce, retain, payload)
            .map_err(|error| error.to_string())?;
        // Only what goes out may have a place here: the confirmations are matched in this order.
        self.queued.push_back(waits);
        Ok(())
    }
}

fn state(word: &str) -> Vec<u8> {
    json!({ "state": word }).to_string().into_bytes()
}

fn judge(error: &ConnectionError) -> Verdict {
    match error {
        ConnectionError::ConnectionRefused(
            code @ (ConnectReturnCode::BadUserNamePassword
            | ConnectReturnCode::NotAuthorized
            | ConnectReturnCode::BadClientId
            | ConnectReturnCode::RefusedProtocolVersion),
        ) => Verdict::Refused(format!("the broker refused us: {code:?}")),
        ConnectionError::Tls(why) => {
            later(format!("the broker's certificate is not trusted: {why}"))
        }
        other => later(other.to_string()),
    }
}

/// The broker notices a silent boat after one and a half of this.
const KEEP_ALIVE: Duration = Duration::from_secs(30);
const FIRST_PAUSE: Duration = Duration::from_secs(2);
const LONGEST_PAUSE: Duration = Duration::from_secs(60);
const FAREWELL: Duration = Duration::from_secs(2);
/// Longer than a drawing may take, with some waiting before it.
const SHOWN_WITHIN: Duration = Duration::from_secs(30);
/// Orders to the connection that may wait in it.
const MOST_QUEUED: usize = 32;
const LARGEST_IN: usize = 16 * 1024;
const LARGEST_OUT: usize = 512 * 1024;

#[cfg(test)]
mod tests {
    use super::*;

    /// The clock moves on by itself.
    #[tokio::test(start_paused = true)]
    async fn a_picture_that_never_comes_is_not_awaited_for_ever() {
        let (orders, _theirs) = mpsc::channel(1);
        let (watching, _) = watch::channel(None);
        let mqtt = Mqtt { orders, watching };
        let (held, given_up) = oneshot::channel::<()>();
        mqtt.show(async move {
            let _held = held;
            std::future::pending().await
        });
        let ended = tokio::time::timeout(Duration::from_mins(1), given_up).await;
        assert!(ended.expect("the task has ended").is_err());
    }

    #[tokio::test]
    async fn a_picture_that_finds_no_place_is_dropped_and_no_confirmation_moves() {
        let options = MqttOptions::new("windrode", "localhost", 1883);
        let mut link = Link::new(options.clone());
        let (_orders, orders) = mpsc::channel(1);
        let (_watching, watching) = watch::channel(None);
        let (heard, _) = mpsc::channel(1);
        let task = Task {
            channel: "mate".to_owned(),
            options,
            tree: "windrode/Tern".to_owned(),
            orders,
            watching,
            heard,
            retained: BTreeMap::new(),
        };
        for _ in 0..MOST_QUEUED - 1 {
            task.show(&mut link, b"picture");
        }
        let (reply, _verdict) = oneshot::channel();
        link.publish("alert".to_owned(), true, Vec::new(), Some(reply))
            .unwrap();
        task.show(&mut link, b"picture");
        let none = link.publish("alert".to_owned(), true, Vec::new(), None);
        assert!(none.is_err(), "the queue is full");
        let waits: Vec<_> = link.queued.iter().map(Option::is_some).collect();
        assert_eq!(waits.len(), MOST_QUEUED);
        assert_eq!(waits.iter().position(|&waits| waits), Some(MOST_QUEUED - 1));
    }
}
