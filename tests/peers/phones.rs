//! Nights on the phone: windrode as a child process, a real push server, a broker, a mail server.

#![expect(
    clippy::expect_used,
    reason = "a test whose phone is silent fails, and says why"
)]

use std::process::{Command, Stdio};

use futures_util::FutureExt as _;
use ring::hmac;
use serde_json::{Value, json};

use super::ashore::{Broker, MailServer, Manner, Odd, PushServer, free_port, post, self_signed};
use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, SignalK};
use windrode::outbox::reply::hex;

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

/// What was shown on a topic, in order; not what was cleared.
fn shown(server: &PushServer, topic: &str) -> Vec<Value> {
    let story = server.story(topic).into_iter();
    story.filter(|line| line["event"] == "message").collect()
}

/// The first alert about a hazard that a topic shows.
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
    // The phone sees that it is seen to, under the same id, without sound.
    let news = eventually("the news is on the phone", || {
        let all = shown(&server, "skipper").into_iter();
        all.rev().find(|line| line["priority"] == 2)
    });
    assert_eq!(news["sequence_id"], id);
    assert!(
        news["message"]
            .as_str()
            .unwrap()
            .starts_with("acknowledged: ")
    );

    // The same button again, a forged line, and any other: nothing is done, and each says why.
    PushServer::press(&told, "Acknowledge");
    let reply = format!("{}/skipper-reply", server.url());
    let genuine = told["actions"][0]["body"].as_str().unwrap();
    let forged = format!("{}{}", &genuine[..genuine.len() - 64], "ab".repeat(32));
    post(&reply, &forged);
    post(&reply, "acknowledge everything");
    for reason in ["it was used before", "it is forged", "it is no answer"] {
        eventually(reason, || aboard.log().contains(reason).then_some(()));
    }
    let log = aboard.log();
    assert!(!log.contains(&genuine[genuine.len() - 64..]), "{log}");
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn acknowledged_on_the_phone_while_the_data_server_restarts() {
    let mut server = SignalK::start(Mode::Open);
    let ashore = PushServer::start();
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::with_phones(&server, &topic("skipper", &ashore.url(), ""));
    aboard.run();
    eventually("there is a fix", || {
        aboard.status()?["picture"]["roller"]
            .as_object()
            .map(|_| ())
    });
    let output = aboard.windrode(&["let-go", "--rode", "40m"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    // The circle may have the first word; the drag has the last.
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
    // Weighed, it is taken off the phone.
    let output = aboard.windrode(&["weigh"]);
    assert_eq!(output.status.code(), Some(0), "{output:?}");
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
    // How long the server takes to start again is not what is looked at.
    aboard.set("WINDRODE__FIX__LOST_AFTER", "10 min");
    aboard.run();
    eventually("there is a fix", || {
        aboard.status()?["picture"]["roller"]
            .as_object()
            .map(|_| ())
    });
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
    assert_eq!(summary["title"], "Tern: 3 alerts while offline, now normal");
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
    // Committed, and nobody there to take it.
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
    eventually("one was tried in vain, one is on its way", || {
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
    // What was sent and not recorded comes again under its id, so it takes its own place.
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
    // Both are told in whole seconds.
    assert!(wait >= 3, "{wait} s");
    // The mate answers, which the skipper is told; and it is known who.
    PushServer::press(&second, "Acknowledge");
    acknowledged(&aboard, "dataLink");
    eventually("the skipper is told", || {
        let all = shown(&ashore, "skipper");
        all.iter().any(|line| line["priority"] == 2).then_some(())
    });
    assert!(aboard.log().contains("by `push.mate`"), "{}", aboard.log());
    // The next one the skipper sees to in time.
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
        all.rfind(|line| line["title"] == "Tern: the watch has gone dark")
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
    // Killed, it stays; started again, it is pushed forward under the same id.
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

#[test]
fn a_picture_goes_along_and_a_name_beyond_ascii_arrives() {
    use std::sync::Arc;
    use windrode::config::{Channel, Kind, PushUrl};
    use windrode::io::push::{Channels, Heard, Who};
    use windrode::io::tls;
    use windrode::outbox::test_message;
    use windrode::outbox::words::{Parcel, Verdict};

    let ashore = PushServer::start();
    let channel = Channel {
        kind: Some(Kind::Topic),
        url: PushUrl::parse(&ashore.url()).ok(),
        topic: Some("skipper".to_owned()),
        ..Channel::default()
    };
    let mut message = test_message("Tärna", "skipper", windrode::time::Timestamp::EPOCH);
    message.message = "45° at 53 m".to_owned();
    let picture: Arc<[u8]> = Arc::from(&b"\x89PNG\r\n\x1a\nnot much of a picture"[..]);
    super::block_on(async {
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

/// A subscriber ashore, by the broker's own client.
fn retained(broker: &Broker, topic: &str) -> Option<Value> {
    let output = Command::new("mosquitto_sub")
        .args(["-h", "127.0.0.1", "-p", &broker.port.to_string()])
        .args(["-t", topic, "-C", "1", "-W", "1"])
        .output()
        .expect("`mosquitto_sub` is there; install it with: tests/peers/install");
    serde_json::from_slice(&output.stdout).ok()
}

#[test]
fn a_broker_shows_the_watch_its_alerts_and_that_it_has_gone_dark() {
    let mut broker = Broker::start("allow_anonymous true\n");
    let config = format!(
        "[push.base]\nkind = \"mqtt\"\nurl = \"mqtt://127.0.0.1:{}\"\ntopic = \"fleet\"\n",
        broker.port
    );
    let mut aboard = Aboard::alone(&config);
    aboard.run();
    let watch = |broker: &Broker, state: &str| {
        eventually(state, || {
            retained(broker, "fleet/Tern/watch").filter(|said| said["state"] == state)
        });
    };
    watch(&broker, "watching");
    let_go(&aboard);
    let told = eventually("the alert stands on its topic", || {
        let told = retained(&broker, "fleet/Tern/alert/dataLink")?;
        (told["priority"] == "alarm").then_some(told)
    });
    assert_eq!(told["boat"], "Tern");
    // A broker that lost its memory is told anew.
    broker.stop();
    broker.start_again();
    eventually("the alert stands there again", || {
        retained(&broker, "fleet/Tern/alert/dataLink")
    });
    // Answered from ashore.
    let told = retained(&broker, "fleet/Tern/alert/dataLink").unwrap();
    let sent = Command::new("mosquitto_pub")
        .args(["-h", "127.0.0.1", "-p", &broker.port.to_string()])
        .args(["-t", "fleet/Tern/reply", "-q", "1", "-m"])
        .arg(told["replies"][0]["body"].as_str().unwrap())
        .status();
    assert!(sent.unwrap().success());
    acknowledged(&aboard, "dataLink");
    eventually("ashore it is seen that somebody sees to it", || {
        let told = retained(&broker, "fleet/Tern/alert/dataLink")?;
        (told["state"] == "active-acknowledged").then_some(())
    });
    // Power is cut, and comes back; then it is stopped in order.
    aboard.kill();
    watch(&broker, "dark");
    aboard.run();
    watch(&broker, "watching");
    assert_eq!(aboard.stop(), Some(0));
    watch(&broker, "stopped");
}

#[test]
fn a_broker_over_tls_with_a_password_and_one_whose_certificate_is_not_trusted() {
    let folder = tempfile::TempDir::new().unwrap();
    let (certificate, key) = self_signed(folder.path());
    let passwords = folder.path().join("passwords");
    let made = Command::new("mosquitto_passwd")
        .args(["-b", "-c", passwords.to_str().unwrap(), "tern", "s3same"])
        .stderr(Stdio::null())
        .status()
        .expect("`mosquitto_passwd` is there; install it with: tests/peers/install");
    assert!(made.success());
    open_to_all(folder.path(), 0o755);
    open_to_all(&passwords, 0o644);
    let broker = Broker::start(&format!(
        "certfile {}\nkeyfile {}\npassword_file {}\nallow_anonymous false\n",
        certificate.display(),
        key.display(),
        passwords.display()
    ));
    let secret = |name: &str, text: &str| {
        let file = folder.path().join(name);
        std::fs::write(&file, text).unwrap();
        open_to_all(&file, 0o600);
        file.display().to_string()
    };
    let (right, wrong) = (secret("right", "s3same"), secret("wrong", "0pen"));
    let config = |password: &str| {
        format!(
            "[push.base]\nkind = \"mqtt\"\nurl = \"mqtts://127.0.0.1:{}\"\nuser = \"tern\"\npassword_file = \"{password}\"\n",
            broker.port
        )
    };
    let mut aboard = Aboard::alone(&config(&right));
    aboard.run();
    let trouble = eventually("the certificate is not trusted", || {
        health(&aboard, "base")?["trouble"]
            .as_str()
            .map(str::to_owned)
    });
    assert!(trouble.contains("certificate is not trusted"), "{trouble}");
    assert_eq!(aboard.stop(), Some(0));
    // Trusted, it works.
    let mut aboard = Aboard::alone(&config(&right));
    aboard.set("SSL_CERT_FILE", certificate.to_str().unwrap());
    aboard.run();
    eventually("it works", || {
        (health(&aboard, "base")?["state"] == "working").then_some(())
    });
    assert_eq!(aboard.stop(), Some(0));
    // With a wrong password it is refused, which no log shows.
    let mut aboard = Aboard::alone(&config(&wrong));
    aboard.set("SSL_CERT_FILE", certificate.to_str().unwrap());
    aboard.run();
    let refused = eventually("it is refused", || {
        let found = health(&aboard, "base")?;
        found["trouble"].as_str().map(str::to_owned)
    });
    assert!(refused.contains("refused us"), "{refused}");
    assert!(!aboard.log().contains("0pen"));
    assert_eq!(aboard.stop(), Some(0));
}

fn open_to_all(file: &std::path::Path, mode: u32) {
    use std::os::unix::fs::PermissionsExt;
    std::fs::set_permissions(file, std::fs::Permissions::from_mode(mode)).unwrap();
}

#[test]
fn mail_webhook_and_program_each_get_the_alarm_and_secrets_stay_secret() {
    let mail = MailServer::start();
    let hook = Odd::start(Manner::Answers("204 No Content", String::new()));
    let folder = tempfile::TempDir::new().unwrap();
    let here = folder.path().display();
    std::fs::write(folder.path().join("hook.key"), "Jefe-s3same\n").unwrap();
    std::fs::write(folder.path().join("hook.url"), hook.url()).unwrap();
    std::fs::write(
        folder.path().join("siren"),
        format!("#!/bin/sh\ncat >>{here}/heard\n"),
    )
    .unwrap();
    open_to_all(&folder.path().join("hook.key"), 0o600);
    open_to_all(&folder.path().join("hook.url"), 0o600);
    open_to_all(&folder.path().join("siren"), 0o755);
    let mut aboard = Aboard::alone(&format!(
        "[push.owner]\nkind = \"mail\"\nurl = \"smtp://127.0.0.1:{}\"\nfrom = \"tern@boat.example\"\nto = \"owner@home.example\"\n\
         [push.hook]\nkind = \"webhook\"\nurl_file = \"{here}/hook.url\"\nkey_file = \"{here}/hook.key\"\n\
         [push.siren]\nkind = \"program\"\nprogram = \"{here}/siren\"\n",
        mail.port
    ));
    aboard.run();
    let_go(&aboard);

    let letter = eventually("the mail arrives", || mail.mails().into_iter().next());
    assert!(
        letter.contains("Subject: Tern: alarm, no data server"),
        "{letter}"
    );
    assert!(letter.contains("X-Priority: 1"), "{letter}");

    let posted = eventually("the webhook is called", || hook.posted().into_iter().next());
    let key = hmac::Key::new(hmac::HMAC_SHA256, b"Jefe-s3same");
    let tag = hmac::sign(&key, &posted.body);
    let signature = format!("sha256={}", hex(tag.as_ref()));
    assert_eq!(
        posted.header("x-windrode-signature"),
        Some(signature.as_str())
    );
    assert_eq!(posted.json()["event"], "alert");
    let id = posted.json()["id"].clone();
    assert!(letter.contains(id.as_str().unwrap()), "{letter}");

    let heard = eventually("the program has heard it", || {
        std::fs::read_to_string(folder.path().join("heard"))
            .ok()
            .filter(|t| t.ends_with('\n'))
    });
    let heard: Value = serde_json::from_str(heard.lines().next().unwrap()).unwrap();
    assert_eq!(heard["id"], id);

    let shown = String::from_utf8(aboard.windrode(&["check", "--offline"]).stdout).unwrap();
    let told = aboard.log() + &shown;
    for secret in ["s3same", "/hook\"", &hook.port.to_string()] {
        assert!(!told.contains(secret), "{secret} in {told}");
    }
    assert_eq!(aboard.stop(), Some(0));
}

#[test]
fn check_sends_a_marked_test_and_says_what_became_of_it() {
    let ashore = PushServer::start();
    let dead = format!("http://127.0.0.1:{}", free_port());
    let refusing = Odd::start(Manner::Answers("403 Forbidden", String::new()));
    let aboard = Aboard::alone(
        &(topic("skipper", &ashore.url(), "")
            + &topic("mate", &dead, "")
            + &format!(
                "[push.hook]\nkind = \"webhook\"\nurl = \"{}\"\n",
                refusing.url()
            )),
    );
    let check = |channel: &str| {
        let output = aboard.windrode(&["check", "--push", channel]);
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (
            output.status.code(),
            text(&output.stdout) + &text(&output.stderr),
        )
    };
    let (code, said) = check("skipper");
    assert_eq!(code, Some(0), "{said}");
    let told = &shown(&ashore, "skipper")[0];
    assert_eq!(told["title"], "Tern: a test, no alert");
    // As urgent as an alarm, or it would not show that an alarm wakes anybody.
    assert_eq!(told["priority"], 5, "{told}");
    assert!(
        told["message"]
            .as_str()
            .unwrap()
            .contains("nothing is wrong"),
        "{told}"
    );
    let (code, said) = check("mate");
    assert_eq!(code, Some(1));
    assert!(
        said.contains("does not take it now: Connection refused"),
        "{said}"
    );
    let (code, said) = check("hook");
    assert_eq!(code, Some(1));
    assert!(said.contains("refuses it: status 403: forbidden"), "{said}");
    let (code, said) = check("cook");
    assert_eq!(code, Some(78));
    assert!(
        said.contains("there are `hook`, `mate`, `skipper`"),
        "{said}"
    );
}
