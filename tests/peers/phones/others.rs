//! Channels other than the push server: broker, mail, webhook, program; and `windrode check`.

use super::*;

/// A subscriber ashore, using the broker's own client.
fn retained(broker: &Broker, topic: &str) -> Option<Value> {
    let output = Command::new("mosquitto_sub")
        .args(["-h", "127.0.0.1", "-p", &broker.port.to_string()])
        .args(["-t", topic, "-C", "1", "-W", "1"])
        .output()
        .expect("`mosquitto_sub` is missing; install it with: tests/peers/install");
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
    watch(&broker, "aweigh");
    let_go(&aboard);
    watch(&broker, "watching");
    let told = eventually("the alert stands on its topic", || {
        let told = retained(&broker, "fleet/Tern/alert/dataLink")?;
        (told["priority"] == "alarm").then_some(told)
    });
    assert_eq!(told["boat"], "Tern");
    // A broker that lost its memory gets everything again.
    broker.stop();
    broker.start_again();
    eventually("the alert stands there again", || {
        retained(&broker, "fleet/Tern/alert/dataLink")
    });
    // Acknowledged from ashore.
    let told = retained(&broker, "fleet/Tern/alert/dataLink").unwrap();
    let sent = Command::new("mosquitto_pub")
        .args(["-h", "127.0.0.1", "-p", &broker.port.to_string()])
        .args(["-t", "fleet/Tern/reply", "-q", "1", "-m"])
        .arg(told["replies"][0]["body"].as_str().unwrap())
        .status()
        .expect("`mosquitto_pub` is missing; install it with: tests/peers/install");
    assert!(sent.success());
    acknowledged(&aboard, "dataLink");
    eventually("ashore it is seen that a person has seen it", || {
        let told = retained(&broker, "fleet/Tern/alert/dataLink")?;
        (told["state"] == "active-acknowledged").then_some(())
    });
    // Power is cut and comes back; then windrode is stopped normally.
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
        .expect("`mosquitto_passwd` is missing; install it with: tests/peers/install");
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
    // Once trusted, it works.
    let mut aboard = Aboard::alone(&config(&right));
    aboard.set("SSL_CERT_FILE", certificate.to_str().unwrap());
    aboard.run();
    eventually("it works", || {
        (health(&aboard, "base")?["state"] == "working").then_some(())
    });
    assert_eq!(aboard.stop(), Some(0));
    // With a wrong password it is refused, and no log shows the password.
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
    let signature = format!("sha256={}", data_encoding::HEXLOWER.encode(tag.as_ref()));
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
    // As urgent as an alarm; otherwise it would not show that an alarm wakes anybody.
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
