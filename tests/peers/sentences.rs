//! A general NMEA 0183 library reads our sentences to older displays, and we accept its commands.

use std::io::{Read, Write};
use std::net::{TcpListener, TcpStream};
use std::process::{Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};
use windrode::alert::hazard::{AlertState, AlertView, Hazard, Priority};
use windrode::sentences::exchange::{Exchange, Output};
use windrode::time::{Now, Tick, Timestamp};
use windrode::watch::messages::Command as Order;

use super::super::cli::daemon::Daemon;
use super::{folder, installed};

/// Lets the library read sentences (texts) and write them (objects).
fn library(requests: &[Value]) -> Vec<Value> {
    let mut child = Command::new("python3")
        .arg(folder().join("sentences.py"))
        .env("WINDRODE_PEERS", installed())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the NMEA 0183 library wants python3; install it with: tests/peers/install");
    let mut input = child.stdin.take().unwrap();
    for request in requests {
        writeln!(input, "{request}").unwrap();
    }
    drop(input);
    let output = child.wait_with_output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

fn at(second: u64) -> Now {
    let begin: Timestamp = "2026-06-02T00:00:00Z".parse().unwrap();
    Now::new(Tick::START, begin).plus(Duration::from_secs(second))
}

fn sent(exchange: &mut Exchange) -> Vec<String> {
    std::iter::from_fn(|| exchange.poll_output())
        .filter_map(|output| match output {
            Output::Send(line) => Some(line),
            Output::Order { .. } | Output::Say(_) => None,
        })
        .collect()
}

/// The library reads every hazard, priority and state as intended, with texts that need escapes.
#[test]
fn a_general_parser_reads_every_alert_list_and_heartbeat() {
    let mut exchange = Exchange::new(at(0));
    let mut lines = Vec::new();
    let states = [
        (AlertState::ActiveUnacknowledged, "V"),
        (AlertState::ActiveSilenced, "S"),
        (AlertState::ActiveAcknowledged, "A"),
        (AlertState::RectifiedUnacknowledged, "U"),
    ];
    let priorities = [
        (Priority::EmergencyAlarm, "E"),
        (Priority::Alarm, "A"),
        (Priority::Warning, "W"),
        (Priority::Caution, "C"),
    ];
    let mut wanted = Vec::new();
    for (index, hazard) in Hazard::ALL.into_iter().enumerate() {
        for (state, letter) in states {
            let (priority, gravity) = priorities[index % 4];
            let message = "dragging: \"14 m\" or more*, at 045°; look $outside!".to_owned();
            exchange.handle_alert(
                at(3661),
                &AlertView {
                    hazard,
                    priority,
                    state,
                    ..AlertView::drag(at(0).utc, message)
                },
            );
            let said = sent(&mut exchange);
            assert_eq!(said.len(), 2);
            lines.extend(said);
            wanted.push((hazard.identifier().to_string(), gravity, letter));
        }
    }
    let alfs = lines.len();
    exchange.handle_timeout(at(3661));
    lines.extend(sent(&mut exchange));
    assert!(lines.iter().all(|line| line.len() <= 82));

    let requests: Vec<Value> = lines.iter().map(|line| json!(line)).collect();
    let read = library(&requests);
    for (pair, (id, gravity, letter)) in read[..alfs].chunks(2).zip(wanted) {
        assert_eq!(pair[0]["identity"], "ALF");
        assert_eq!(pair[0]["alertid"], *id);
        assert_eq!(pair[0]["alertpriority"], *gravity);
        assert_eq!(pair[0]["alertstate"], *letter);
        assert_eq!(pair[0]["alertcat"], "B");
        assert_eq!(pair[0]["timelastchange"], "01:01:01");
        assert!(pair[0]["alerttxt"].as_str().unwrap().len() <= 16);
        assert_eq!(
            (&pair[1]["numSen"], &pair[1]["senNum"]),
            (&json!("2"), &json!("2"))
        );
        assert_eq!(pair[1]["seqmid"], pair[0]["seqmid"]);
        assert_eq!(pair[1]["alertid"], *id);
        for empty in [
            "timelastchange",
            "alertcat",
            "alertpriority",
            "alertstate",
            "mfrcode",
        ] {
            assert_eq!(pair[1][empty], "", "{empty}");
        }
    }
    // The list: all eleven, over three sentences, each with the last revision.
    let lists: Vec<&Value> = read.iter().filter(|m| m["identity"] == "ALC").collect();
    assert_eq!(lists.len(), 3);
    let mut listed = Vec::new();
    for list in lists {
        let count: usize = list["numAlerts"].as_str().unwrap().parse().unwrap();
        for number in 1..=count {
            assert_eq!(list[format!("revisionctr_{number:02}")], "4");
            listed.push(list[format!("alertid_{number:02}")].clone());
        }
    }
    let all: Vec<Value> = Hazard::ALL
        .iter()
        .map(|h| json!(h.identifier().to_string()))
        .collect();
    assert_eq!(listed, all);
    let beat = read.last().unwrap();
    assert_eq!(
        (&beat["identity"], &beat["repeatint"]),
        (&json!("HBT"), &json!("30.0"))
    );
}

/// A command written by the library is accepted, and a refusal uses the library's own terms.
#[test]
fn a_command_from_a_general_writer_is_taken_and_the_refusal_read() {
    let command = |letter: &str| {
        json!({"talker": "CA", "id": "ACN", "fields": {
            "time": "001901.00", "mfrcode": "", "alertid": "10001", "alertnum": 1,
            "alertcmd": letter, "status": "C",
        }})
    };
    let written = library(&[command("A"), command("O")]);
    let mut exchange = Exchange::new(at(0));
    exchange.handle_alert(at(0), &AlertView::drag(at(0).utc, "dragging"));
    let _ = sent(&mut exchange);
    exchange.handle_line(at(1), written[0].as_str().unwrap());
    let order = exchange.poll_output();
    assert!(
        matches!(
            order,
            Some(Output::Order {
                command: Order::Acknowledge(Some(Hazard::Dragging)),
                ..
            })
        ),
        "{order:?}"
    );
    exchange.handle_line(at(1), written[1].as_str().unwrap());
    let refusal = sent(&mut exchange).remove(0);
    let read = library(&[json!(refusal)]).remove(0);
    assert_eq!(
        (&read["identity"], &read["alertid"], &read["alertcmd"]),
        (&json!("ARC"), &json!("10001"), &json!("O"))
    );
}

/// The program itself: a display connects, receives the alerts, acknowledges, and sees the answer.
#[test]
fn a_display_connects_to_the_daemon_and_acknowledges() {
    let free = TcpListener::bind("127.0.0.1:0").unwrap();
    let address = free.local_addr().unwrap();
    drop(free);
    let daemon = Daemon::start_with(&format!("[displays]\nlisten = \"{address}\"\n"));
    let mut display = TcpStream::connect(address).unwrap();
    // Without a data server and with the anchor aweigh, its loss becomes a caution after thirty seconds;
    // until then the list is empty.
    let first = until(&mut display, "HBT");
    let read = library(&first.iter().map(|line| json!(line)).collect::<Vec<_>>());
    assert_eq!(read[0]["identity"], "ALC");
    // There is nothing to acknowledge.
    let body = "CAACN,001901.00,,10001,1,A,C";
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    write!(display, "${body}*{sum:02X}\r\n").unwrap();
    let refused = until(&mut display, "ARC").pop().unwrap();
    let read = library(&[json!(refused)]).remove(0);
    assert_eq!(
        (&read["alertid"], &read["alertcmd"]),
        (&json!("10001"), &json!("A"))
    );
    // At anchor, the end of the daemon is reported: the watch has stopped.
    daemon.let_go();
    let (_dir, code, _) = daemon.stop();
    assert_eq!(code, Some(0));
    let mut last = String::new();
    display.read_to_string(&mut last).unwrap();
    let alerts: Vec<Value> = last
        .lines()
        .filter(|line| line.starts_with("$IIALF"))
        .map(|line| json!(line))
        .collect();
    let read = library(&alerts);
    let title = read.iter().find(|alert| alert["alertid"] == "10006");
    let title = title.unwrap_or_else(|| panic!("{last}"));
    assert_eq!(
        (
            &title["alerttxt"],
            &title["alertstate"],
            &title["alertpriority"]
        ),
        (&json!("ANCHOR WATCH"), &json!("V"), &json!("W"))
    );
}

/// Lines up to the first of this kind.
fn until(display: &mut TcpStream, kind: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = Vec::new();
    loop {
        let mut byte = [0];
        display.read_exact(&mut byte).unwrap();
        line.push(byte[0]);
        if byte[0] == b'\n' {
            let text = String::from_utf8(std::mem::take(&mut line)).unwrap();
            let found = text.get(3..6) == Some(kind);
            lines.push(text);
            if found {
                return lines;
            }
        }
    }
}
