//! Nights on the phone: windrode as a child process, a real push server, a broker, a mail server.

#![expect(
    clippy::expect_used,
    reason = "a test whose phone is silent fails, and says why"
)]

mod others;

use std::process::{Command, Stdio};

use futures_util::FutureExt as _;
use ring::hmac;
use serde_json::{Value, json};

use super::ashore::{Broker, MailServer, Manner, Odd, PushServer, free_port, post, self_signed};
use super::tern::{Aboard, Instruments, LONG, eventually, eventually_within};
use super::{Mode, SignalK};

const LET_GO: [&str; 5] = ["let-go", "--position", "59.8539,23.26", "--rode", "40m"];

/// A topic with buttons on a push server.
fn topic(name: &str, url: &str, more: &str) -> String {
    format!(
        "[push.{name}]\nkind = \"topic\"\nurl = \"{url}\"\ntopic = \"{name}\"\n\
         replies = \"{name}-reply\"\n{more}"
    )
}

fn let_go(aboard: &Aboard) -> String {
    let output = aboard.windrode(&LET_GO);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// The messages shown on a topic, in order, without those that clear.
fn shown(server: &PushServer, topic: &str) -> Vec<Value> {
    let story = server.story(topic).into_iter();
    story.filter(|line| line["event"] == "message").collect()
}

/// The first alert about a hazard on a topic.
fn alert(server: &PushServer, topic: &str, word: &str) -> Value {
    eventually("the alert is on the phone", || {
        let all = shown(server, topic).into_iter();
        all.filter(|line| line["priority"] == 5)
            .find(|line| line["title"].as_str().is_some_and(|t| t.contains(word)))
    })
}

fn acknowledged(aboard: &Aboard, hazard: &str) {
    eventually("the alert desk has it acknowledged", || {
        (aboard.alert(hazard)?["state"] == "active-acknowledged").then_some(())
    });
}

fn health(aboard: &Aboard, channel: &str) -> Option<Value> {
    let status = aboard.status()?;
    let phones = status["phones"].as_array()?.clone();
    phones.into_iter().find(|p| p["channel"] == channel)
}

#[test]
fn an_alarm_reaches_the_phone_and_its_button_acknowledges() {
    let server = PushServer::start();
    let mut aboard = Aboard::alone(&topic("skipper", &server.url(), ""));
    aboard.run();
    eventually("the way is found to work", || {
        (health(&aboard, "skipper")?["state"] == "working").then_some(())
    });
    let said = let_go(&aboard);
    assert!(!said.contains("no phone channel"), "{said}");
    let told = alert(&server, "skipper", "no data server");
    assert_eq!(told["title"], "Tern: alarm, no data server");
    assert_eq!(told["tags"], json!(["rotating_light", "anchor"]));
    let id = told["sequence_id"].clone();
    assert!(id.as_str().unwrap().starts_with("dataLink-"), "{told}");

    PushServer::press(&told, "Acknowledge");
    acknowledged(&aboard, "dataLink");
    // The phone shows that somebody handles it, under the same id, without sound.
    let news = eventually("the news is on the phone", || {
        let all = shown(&server, "skipper").into_iter();
        all.rev().find(|line| line["priority"] == 2)
    });
    assert_eq!(news["sequence_id"], id);
    let title = news["title"].as_str().unwrap();
    assert!(title.starts_with("Tern: acknowledged, "), "{title}");

    // The same button again, a forged line, and any other line: nothing happens, and each gets a reason.
    PushServer::press(&told, "Acknowledge");
    let reply = format!("{}/skipper-reply", server.url());
    let genuine = told["actions"][0]["body"].as_str().unwrap();
    let forged = format!("{}{}", &genuine[..genuine.len() - 64], "ab".repeat(32));
    post(&reply, &forged);
    post(&reply, "acknowledge everything");
    for reason in [
        "it was used before",
        "it is forged",
        "it answers no message",
    ] {
        eventually(reason, || aboard.log().contains(reason).then_some(()));
    }
    let log = aboard.log();
    assert!(!log.contains(&genuine[genuine.len() - 64..]), "{log}");
    assert_eq!(aboard.stop(), Some(0));

    // The journal has the health of the channel under its name, and no address.
    let output = aboard.windrode(&["report", "last", "--json"]);
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(!text.contains(&server.url()), "{text}");
    let report: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(report["channels"]["recorded"], "whole");
    let channel = &report["channels"]["list"][0];
    assert_eq!(channel["name"], "skipper");
    assert!(channel["delivered"].as_u64().unwrap() >= 2, "{channel}");
    assert_eq!(channel["failed"], 0, "{channel}");
    assert!(channel["working"].as_f64().unwrap() > 0.0, "{channel}");
    assert!(channel["lastSuccess"].is_string(), "{channel}");
}

#[test]
fn acknowledged_on_the_phone_while_the_data_server_restarts() {
    let mut server = SignalK::start(Mode::Open);
    let ashore = PushServer::start();
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::with_phones(&server, &topic("skipper", &ashore.url(), ""));
    aboard.anchor();
    // The circle may alarm first; the drag alarm comes last.
    instruments.drag(3.0, 130.0);
    let told = alert(&ashore, "skipper", "dragging");
    server.kill();
    PushServer::press(&told, "Acknowledge");
    acknowledged(&aboard, "dragging");
    server.start_again();
    let rest = server.rest();
    let path = "/signalk/v1/api/vessels/self/notifications/navigation/anchor/dragging";
    eventually("the displays show it, and are silent", || {
        let notice = rest.get_json(path)?["value"].clone();
        let silent = !notice["method"].as_array()?.contains(&json!("sound"));
        (notice["state"] == "alarm" && silent).then_some(())
    });
    // After weighing it is removed from the phone.
    aboard.order(&["weigh"]);
    eventually("the phone is cleared", || {
        let story = ashore.story("skipper");
        let cleared = |line: &Value| {
            line["event"] == "message_clear" && line["sequence_id"] == told["sequence_id"]
        };
        story.iter().any(cleared).then_some(())
    });
}

#[test]
fn what_came_and_went_while_the_link_was_down_is_one_message() {
    let mut server = SignalK::start(Mode::Open);
    let mut ashore = PushServer::start();
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::with_phones(&server, &topic("skipper", &ashore.url(), ""));
    // The server's start-up time does not matter here.
    aboard.set("WINDRODE__FIX__LOST_AFTER", "10 min");
    aboard.run();
    aboard.has_fix();
    aboard.windrode(&["let-go", "--rode", "40m"]);
    ashore.stop();
    let mut missed = Vec::new();
    for _ in 0..3 {
        server.kill();
        eventually("no data server is an alarm", || {
            (aboard.alert("dataLink")?["state"] == "active-unacknowledged").then_some(())
        });
        eventually("the phone is not reached", || {
            (health(&aboard, "skipper")?["state"] == "failing").then_some(())
        });
        let alert = aboard.alert("dataLink").expect("it stands");
        let since: jiff::Timestamp = alert["since"].as_str().unwrap().parse().unwrap();
        missed.push(json!(format!("dataLink-{}", since.as_millisecond())));
        server.start_again();
        eventually("it is over", || {
            (aboard.alert("dataLink")?["state"] == "rectified-unacknowledged").then_some(())
        });
        aboard.windrode(&["acknowledge"]);
    }
    ashore.start_again();
    let summary = eventually("the phone hears of it", || {
        let all = shown(&ashore, "skipper");
        all.into_iter().find(|line| {
            line["title"]
                .as_str()
                .is_some_and(|t| t.contains("offline"))
        })
    });
    assert_eq!(summary["title"], "Tern: 3 alerts while offline, cleared");
    assert_eq!(summary["priority"], 2);
    eventually("the queue is empty", || {
        (health(&aboard, "skipper")?["waiting"] == 0).then_some(())
    });
    let all = shown(&ashore, "skipper");
    let summaries = all.iter().filter(|line| line["title"] == summary["title"]);
    assert_eq!(summaries.count(), 1);
    for line in &all {
        assert!(!missed.contains(&line["sequence_id"]), "told twice: {line}");
    }
    drop(instruments);
}

#[test]
fn killed_between_commit_and_send_and_between_send_and_record() {
    // Committed, but nobody can receive it.
    let mut ashore = PushServer::start();
    ashore.stop();
    let hook = Odd::start(Manner::Hangs);
    let config = format!(
        "{}[push.hook]\nkind = \"webhook\"\nurl = \"{}\"\n",
        topic("skipper", &ashore.url(), ""),
        hook.url()
    );
    let mut aboard = Aboard::alone(&config);
    aboard.run();
    let_go(&aboard);
    eventually("one try failed, one is on its way", || {
        let waits = health(&aboard, "skipper")?["waiting"].as_u64()?;
        (waits == 1 && !hook.posted().is_empty()).then_some(())
    });
    aboard.kill();
    let before = hook.posted();
    hook.behave(Manner::Answers("200 OK", String::new()));
    ashore.start_again();
    aboard.run();
    let told = alert(&ashore, "skipper", "no data server");
    let after = eventually("the hook is asked again", || {
        hook.posted().get(before.len()..)?.first().cloned()
    });
    // A message that was sent but not recorded comes again under its id, so it replaces itself.
    let id = before[0].json()["id"].clone();
    assert_eq!(after.json()["id"], id);
    assert_eq!(told["sequence_id"], id);
    assert_eq!(shown(&ashore, "skipper").len(), 1);
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn the_second_person_is_called_only_when_the_first_is_silent() {
    let ashore = PushServer::start();
    let url = ashore.url();
    let config = topic("skipper", &url, "") + &topic("mate", &url, "after = \"4 s\"\n");
    let mut aboard = Aboard::alone(&config);
    aboard.run();
    let_go(&aboard);
    let first = alert(&ashore, "skipper", "no data server");
    // Nobody answers.
    let second = alert(&ashore, "mate", "no data server");
    let wait = second["time"].as_i64().unwrap() - first["time"].as_i64().unwrap();
    // Both times are in whole seconds.
    assert!(wait >= 3, "{wait} s");
    // The mate answers, the skipper is told, and the name is known.
    PushServer::press(&second, "Acknowledge");
    acknowledged(&aboard, "dataLink");
    eventually("the skipper is told", || {
        let all = shown(&ashore, "skipper");
        all.iter().any(|line| line["priority"] == 2).then_some(())
    });
    assert!(aboard.log().contains("by `push.mate`"), "{}", aboard.log());
    // The skipper acknowledges the next one in time.
    let before = shown(&ashore, "mate").len();
    aboard.windrode(&["weigh"]);
    let_go(&aboard);
    let again = eventually("the skipper is called again", || {
        let all = shown(&ashore, "skipper").into_iter().rev();
        all.take_while(|line| line["id"] != first["id"])
            .find(|line| line["priority"] == 5)
    });
    PushServer::press(&again, "Acknowledge");
    acknowledged(&aboard, "dataLink");
    assert_eq!(aboard.stop(), Some(0));
    let loud = shown(&ashore, "mate");
    let loud = loud[before..].iter().filter(|line| line["priority"] == 5);
    assert_eq!(
        loud.count(),
        0,
        "the mate was woken though the skipper answered"
    );
}

/// The message waits on the server while the boat lives, and is withdrawn when she weighs.
#[test]
fn the_dead_man_s_message_waits_on_the_server_and_is_withdrawn() {
    let ashore = PushServer::start();
    let more = "dark_after = \"3 min\"\n";
    let mut aboard = Aboard::alone(&topic("skipper", &ashore.url(), more));
    aboard.run();
    let_go(&aboard);
    let waits = || {
        let mut all = ashore.scheduled("skipper").into_iter();
        all.rfind(|line| line["title"] == "Tern: no word from the anchor watch")
    };
    let waiting = eventually("the message waits", waits);
    assert!(
        waiting["sequence_id"]
            .as_str()
            .unwrap()
            .starts_with("dark-")
    );
    let delivered = waiting["time"].as_i64().unwrap() - jiff::Timestamp::now().as_second();
    assert!((1..=181).contains(&delivered), "in {delivered} s");
    // After a kill it stays; after a restart it is postponed under the same id.
    aboard.kill();
    assert_eq!(waits().unwrap()["id"], waiting["id"]);
    aboard.run();
    let renewed = eventually("it is pushed forward", || {
        waits().filter(|line| line["id"] != waiting["id"])
    });
    assert_eq!(renewed["sequence_id"], waiting["sequence_id"]);
    aboard.windrode(&["weigh"]);
    eventually("it is withdrawn", || waits().is_none().then_some(()));
    assert_eq!(aboard.stop(), Some(0));
}

/// Nothing of ours is running that could send a message: the push server itself delivers it. It takes three
/// minutes, the least `dark_after` that the configuration accepts, since the message is postponed only once a
/// minute. Only another clock could shorten this.
#[test]
fn the_dead_man_s_message_is_delivered_after_the_daemon_was_killed() {
    let ashore = PushServer::start();
    let more = "dark_after = \"3 min\"\n";
    let mut aboard = Aboard::alone(&topic("skipper", &ashore.url(), more));
    aboard.run();
    let_go(&aboard);
    let dark = |line: &Value| line["title"] == "Tern: no word from the anchor watch";
    let waiting = eventually("the message waits", || {
        ashore.scheduled("skipper").into_iter().rfind(dark)
    });
    aboard.kill();
    let delivered = || shown(&ashore, "skipper").into_iter().find(dark);
    assert_eq!(delivered(), None);
    let told = eventually_within(LONG, "it is delivered", delivered);
    assert_eq!(told["sequence_id"], waiting["sequence_id"]);
    assert_eq!(told["priority"], 5);
}

#[test]
fn a_picture_goes_along_and_a_name_beyond_ascii_arrives() {
    use std::sync::Arc;
    use windrode::io::push::settings::{Address, Channel, Delivery, Kind, PushUrl};
    use windrode::io::push::{Channels, Heard, Who};
    use windrode::io::tls;
    use windrode::outbox::test_message;
    use windrode::outbox::words::{Parcel, Verdict};

    let ashore = PushServer::start();
    let url = PushUrl::parse(&ashore.url(), &["http"]).expect("an address");
    let channel = Channel {
        kind: Kind::Topic {
            to: Address::Url(url),
            topic: "skipper".to_owned(),
            token_file: None,
            replies: None,
            dark_after: None,
        },
        delivery: Some(Delivery::default()),
        every: std::time::Duration::from_secs(600),
    };
    let mut message = test_message(
        ("Tärna", &windrode::speech::Wording::default()),
        "skipper",
        windrode::time::Timestamp::EPOCH,
    );
    message.message = "45° at 53 m".to_owned();
    let picture: Arc<[u8]> = Arc::from(&b"\x89PNG\r\n\x1a\nnot much of a picture"[..]);
    crate::block_on(async {
        let (out, mut heard) = tokio::sync::mpsc::channel(8);
        let who = Who {
            boat: "Tärna",
            instance: "test",
        };
        let only = [("skipper".to_owned(), channel)].into();
        let channels = Channels::open(who, &only, &tls::client_config(), out);
        channels.send(
            "skipper",
            7,
            Parcel::Show(message),
            Some(async move { Some(picture) }.boxed().shared()),
        );
        let Some(Heard::Verdict { verdict, .. }) = heard.recv().await else {
            unreachable!("a verdict is all that comes")
        };
        assert_eq!(verdict, Verdict::Sent);
    });
    let told = &shown(&ashore, "skipper")[0];
    assert_eq!(told["title"], "Tärna: a test, no alert");
    assert_eq!(told["message"], "45° at 53 m");
    assert_eq!(told["attachment"]["name"], "anchor.png");
    assert_eq!(told["attachment"]["size"], 29);
}
