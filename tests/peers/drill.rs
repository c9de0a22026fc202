//! A drill on the displays of a real server, beside a daemon that keeps no watch.

#![expect(clippy::expect_used, reason = "a test whose peer is missing fails")]

use std::fs;
use std::process::{Child, Command, Output};

use serde_json::Value;
use windrode::rehearse::night;

use super::tern::{Aboard, Instruments, eventually};
use super::{Mode, Rest, SignalK};

const NIGHT: &str = r#"
title = "A short drill"
story = "The anchor drags."
length = "20h"

[water]
depth = "6m"

[boat]
rode = "40m"

[[wind]]
at = "0min"
from = "300°"
speed = "20kn"

[[happens]]
at = "20min"
say = "the anchor drags"
anchor_drags = { rate = "0.3m/s" }

[[must]]
hazard = "dragging"
priority = "alarm"
"#;

#[test]
fn a_drill_is_seen_is_marked_leaves_the_sensors_alone_and_is_gone_after_ctrl_c() {
    let server = SignalK::start(Mode::Secure);
    let _instruments = Instruments::on(&server);
    let mut aboard = Aboard::of(&server);
    aboard.run();
    aboard.has_fix();
    let admin = server.rest_as(server.tokens.admin.as_ref());
    let night = aboard.folder().join("night.toml");
    fs::write(&night, NIGHT).expect("the night is written");
    let night = night
        .to_str()
        .expect("the folder's name is text")
        .to_owned();
    let url = format!("ws://127.0.0.1:{}", server.port);
    let begin =
        |speed: &str| aboard.begin(&["rehearse", &night, "--against", &url, "--speed", speed]);

    let drill = begin("400");
    let alarm = eventually("the drill's alarm is shown", || {
        let alarm = tree(&admin, "notifications/navigation/anchor/dragging")?;
        (alarm["value"]["state"] == "alarm").then_some(alarm)
    });
    let message = alarm["value"]["message"].as_str().expect("it has words");
    assert!(message.starts_with("DRILL: dragging"), "{message}");
    assert_eq!(alarm["$source"], "windrode-drill");
    assert_eq!(alarm["value"]["method"][1], "sound");
    let title = tree(&admin, "navigation/anchor/watch/drill").expect("it is shown");
    assert_eq!(title["value"], "A short drill");
    assert_eq!(title["meta"]["displayName"], "Anchor drill");
    // The real boat is where her own instruments report, and nowhere else.
    let position = tree(&admin, "navigation/position").expect("she has a position");
    assert_eq!(position["$source"], "gps0.GP");
    assert_eq!(
        position
            .get("values")
            .and_then(|all| all.get("windrode-drill")),
        None
    );
    let anchor = tree(&admin, "navigation/anchor/position");
    assert_eq!(
        anchor.map_or(Value::Null, |it| it["value"].clone()),
        Value::Null
    );
    let ended = interrupted(drill);
    assert_eq!(ended.status.code(), Some(0), "{ended:?}");
    nothing_is_left(&admin);
    // The drill did not affect the daemon.
    let status = aboard.status().expect("the daemon answers");
    assert_eq!(status["link"], "up");
    assert_eq!(status["picture"]["phase"], "aweigh");
    assert_eq!(status["alerts"], Value::Array(Vec::new()));

    // A night in acts, with a server of its own beside this one. The token also goes to the configured
    // server if its address has another scheme.
    let http = url.replace("ws://", "http://");
    let drill = aboard.begin(&[
        "rehearse",
        "drag",
        "--against",
        &http,
        "--speed",
        "1000",
        "--language",
        "de",
    ]);
    eventually("the night in acts is shown", || {
        let title = tree(&admin, "navigation/anchor/watch/drill")?;
        (title["value"] == night::Name::Drag.title()).then_some(())
    });
    eventually("its anchor is let go", || {
        let phase = tree(&admin, "navigation/anchor/watch/phase")?;
        let theirs = phase.get("values")?.get("windrode-drill")?;
        (theirs["value"] == "setting").then_some(())
    });
    let ended = interrupted(drill);
    assert_eq!(ended.status.code(), Some(0), "{ended:?}");
    nothing_is_left(&admin);

    // A watch that begins during the drill ends it, and a drill beside a watch is refused.
    let drill = begin("100");
    eventually("the drill is shown", || {
        let title = tree(&admin, "navigation/anchor/watch/drill")?;
        (title["value"] == "A short drill").then_some(())
    });
    aboard.order(&["let-go", "--rode", "40m"]);
    let ended = drill.wait_with_output().expect("it ends");
    assert_eq!(ended.status.code(), Some(1), "{ended:?}");
    eventually("the drill's mark is gone", || {
        let title = tree(&admin, "navigation/anchor/watch/drill")?;
        title["value"].is_null().then_some(())
    });
    eventually("the watch's own phase is shown", || {
        let phase = tree(&admin, "navigation/anchor/watch/phase")?;
        (phase["value"] == "setting").then_some(())
    });
    let refused = begin("100").wait_with_output().expect("it ends");
    assert_eq!(refused.status.code(), Some(1));
    let why = String::from_utf8_lossy(&refused.stderr);
    assert!(
        why.contains("no drill") && why.contains("`windrode`"),
        "{why}"
    );
}

/// A token that may only read: the drill reports this and does not go on unseen.
#[test]
fn a_drill_that_no_display_shows_says_so() {
    let server = SignalK::start(Mode::Secure);
    let aboard = Aboard::with_token(&server, server.tokens.readonly.as_ref());
    let url = format!("ws://127.0.0.1:{}", server.port);
    let output = aboard.windrode(&["rehearse", "mud", "--against", &url]);
    let why = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(77), "{output:?}");
    assert!(why.contains("does not show what the drill says"), "{why}");
}

fn tree(admin: &Rest, path: &str) -> Option<Value> {
    admin.get_json(&format!("/signalk/v1/api/vessels/self/{path}"))
}

/// The effect of the crew's Ctrl-C.
fn interrupted(drill: Child) -> Output {
    let killed = Command::new("kill")
        .args(["-INT", &drill.id().to_string()])
        .status();
    assert!(killed.expect("kill runs").success());
    drill.wait_with_output().expect("it ends")
}

fn nothing_is_left(admin: &Rest) {
    let notices = tree(admin, "notifications/navigation/anchor").expect("they were shown");
    for (hazard, notice) in notices.as_object().expect("a tree") {
        assert_eq!(notice["value"]["state"], "normal", "{hazard}: {notice}");
    }
    let watch = tree(admin, "navigation/anchor/watch").expect("a tree");
    for (name, node) in watch.as_object().expect("a tree") {
        let ours = match node.get("values").and_then(|all| all.get("windrode-drill")) {
            Some(ours) => &ours["value"],
            None if node["$source"] == "windrode-drill" => &node["value"],
            None => continue,
        };
        assert!(ours.is_null(), "{name}: {node}");
    }
}
