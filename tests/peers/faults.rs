//! Channels that misbehave, all at once on one boat: the effect of each fault, and that none delays another.
//! `tests/run faults -- --nocapture` prints the table of these and all other faults, and the time from the
//! watch's verdict to an accepted push.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a test whose channel is silent fails, and says why"
)]
#![allow(clippy::print_stderr, reason = "a delay measured is the test's output")]

use std::process::{Child, Command, Stdio};
use std::time::{Duration, UNIX_EPOCH};

use serde_json::Value;
use windrode::journal::Reader;
use windrode::time::Timestamp;
use windrode::watch::messages::EventKind;

use super::ashore::{Manner, Odd, free_port, self_signed};
use super::fault_table::{Table, timed};
use super::tern::{Aboard, eventually};

const LET_GO: [&str; 5] = ["let-go", "--position", "59.8539,23.26", "--rode", "40m"];

fn webhook(name: &str, url: &str) -> String {
    format!("[push.{name}]\nkind = \"webhook\"\nurl = \"{url}\"\n")
}

fn health(aboard: &Aboard, channel: &str) -> Option<Value> {
    let status = aboard.status()?;
    let phones = status["phones"].as_array()?.clone();
    phones.into_iter().find(|p| p["channel"] == channel)
}

/// A server with a certificate that signs itself, ended when this is dropped.
struct Untrusted(Child);

impl Untrusted {
    fn start(port: u16, folder: &std::path::Path) -> Self {
        let (certificate, key) = self_signed(folder);
        let child = Command::new("openssl")
            .args([
                "s_server",
                "-quiet",
                "-www",
                "-accept",
                &port.to_string(),
                "-cert",
            ])
            .arg(certificate)
            .arg("-key")
            .arg(key)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("`openssl` is missing; install it with: tests/peers/install");
        eventually("it listens", || {
            std::net::TcpStream::connect(("127.0.0.1", port)).ok()
        });
        Self(child)
    }
}

impl Drop for Untrusted {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
#[expect(clippy::too_many_lines, reason = "one boat, one alarm, every fault")]
fn each_fault_means_what_it_should_and_none_holds_up_another() {
    let mut table = Table::begin();
    let ok = || Manner::Answers("200 OK", String::new());
    let good = Odd::start(ok());
    let busy = Odd::start(Manner::Answers(
        "429 Too Many Requests",
        "Retry-After: 4\r\n".to_owned(),
    ));
    let broken = Odd::start(Manner::Answers("500 Internal Server Error", String::new()));
    let hung = Odd::start(Manner::Hangs);
    let elsewhere = Odd::start(ok());
    let to = format!("Location: http://localhost:{}/hook\r\n", elsewhere.port);
    let moved = Odd::start(Manner::Answers("307 Temporary Redirect", to));
    let refusing = Odd::start(Manner::Answers("403 Forbidden", String::new()));
    let folder = tempfile::TempDir::new().unwrap();
    let port = free_port();
    let untrusted = Untrusted::start(port, folder.path());
    let slow = folder.path().join("slow");
    std::fs::write(&slow, "#!/bin/sh\nexit 3\n").unwrap();
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(&slow, std::fs::Permissions::from_mode(0o755)).unwrap();
    }
    let config = [
        webhook("good", &good.url()),
        webhook("busy", &busy.url()),
        webhook("broken", &broken.url()),
        webhook("hung", &hung.url()),
        webhook("moved", &moved.url()),
        webhook("refusing", &refusing.url()),
        webhook("untrusted", &format!("https://127.0.0.1:{port}/hook")),
        webhook("gone", &format!("http://127.0.0.1:{}/hook", free_port())),
        format!(
            "[push.failing]\nkind = \"program\"\nprogram = \"{}\"\n",
            slow.display()
        ),
        "[push.missing]\nkind = \"program\"\nprogram = \"/usr/local/bin/no-such-siren\"\n"
            .to_owned(),
    ]
    .concat();
    let mut aboard = Aboard::alone(&config);
    aboard.run();
    aboard.order(&LET_GO);
    let told = eventually("the good channel has the alarm", || {
        good.posted().into_iter().next()
    });
    let others = [&busy, &broken, &moved, &refusing, &hung];
    eventually("every other was tried", || {
        others
            .iter()
            .all(|odd| !odd.posted().is_empty())
            .then_some(())
    });

    let mut seen = Vec::new();
    for (channel, fault, state, words) in [
        (
            "busy",
            "429, Retry-After: 4",
            "failing",
            "status 429: too many requests",
        ),
        (
            "broken",
            "500",
            "failing",
            "status 500: internal server error",
        ),
        (
            "moved",
            "307 to another host",
            "failing",
            "redirected to `localhost`",
        ),
        ("refusing", "403", "refused", "status 403: forbidden"),
        (
            "untrusted",
            "self-signed certificate",
            "failing",
            "its certificate is not trusted",
        ),
        (
            "gone",
            "connection refused",
            "failing",
            "Connection refused",
        ),
        (
            "failing",
            "program exits with 3",
            "failing",
            "the program ended with exit status: 3",
        ),
        (
            "missing",
            "program is not there",
            "refused",
            "No such file or directory",
        ),
        ("hung", "hangs", "failing", "no answer in time"),
    ] {
        let found = eventually(channel, || {
            health(&aboard, channel).filter(|found| found["state"] == state)
        });
        let trouble = found["trouble"].as_str().unwrap_or_default();
        assert!(trouble.contains(words), "{channel}: {found}");
        seen.push((channel, fault, format!("{state}: {trouble}")));
    }
    assert_eq!(elsewhere.asked(), 0, "a redirect was followed");
    assert_eq!(refusing.posted().len(), 1, "a refusal was repeated");
    // The requested pause was kept.
    let pauses = busy.posted();
    for pair in pauses.windows(2) {
        let pause = pair[1].at.duration_since(pair[0].at).unwrap();
        assert!(pause >= Duration::from_secs(4), "{pause:?}");
    }

    // Those that can be repaired are, one after the other: each gets the alarm, under the same id.
    let id = told.json()["id"].clone();
    for (channel, fault, saw) in seen {
        let odd = match channel {
            "busy" => &busy,
            "broken" => &broken,
            "moved" => &moved,
            "hung" => &hung,
            _ => {
                let lost = "the alarm, on this channel";
                table.row(format!("phone: {fault}"), saw, None, lost);
                continue;
            }
        };
        let before = odd.posted().len();
        let (recovered, again) = timed(|| {
            odd.behave(ok());
            eventually(fault, || odd.posted().get(before).cloned())
        });
        assert_eq!(again.json()["id"], id);
        let lost = "nothing: the alarm, late, under its id";
        table.row(format!("phone: {fault}"), saw, Some(recovered), lost);
    }
    let good_states = health(&aboard, "good").unwrap();
    assert_eq!(good_states["state"], "working");
    assert_eq!(aboard.stop(), Some(0));
    drop(untrusted);
}

/// All by the machine's clock: the journal has the time of the verdict, the server that of the arrival.
#[test]
fn from_the_verdict_to_a_push_that_is_accepted() {
    let mut delays = Vec::new();
    for _ in 0..5 {
        let good = Odd::start(Manner::Answers("200 OK", String::new()));
        let mut aboard = Aboard::alone(&webhook("good", &good.url()));
        aboard.run();
        for alarm in 1..=4 {
            aboard.windrode(&LET_GO);
            let loud = || {
                let all = good.posted().into_iter();
                all.filter(|posted| {
                    posted.json()["priority"] == "alarm" && posted.json()["event"] == "alert"
                })
            };
            eventually("the alarm arrives", || {
                (loud().count() >= alarm).then_some(())
            });
            aboard.windrode(&["weigh"]);
        }
        let arrivals: Vec<i128> = good
            .posted()
            .iter()
            .filter(|posted| {
                posted.json()["priority"] == "alarm" && posted.json()["event"] == "alert"
            })
            .map(|posted| {
                let since = posted.at.duration_since(UNIX_EPOCH).expect("after 1970");
                i128::try_from(since.as_micros()).expect("not that late")
            })
            .collect();
        assert_eq!(aboard.stop(), Some(0));
        let reader = Reader::open(aboard.folder()).unwrap();
        let raised: Vec<i128> = reader
            .events(Timestamp::EPOCH)
            .map(Result::unwrap)
            .filter(|event| event.event == EventKind::Raised)
            .filter(|event| event.priority == Some(windrode::alert::hazard::Priority::Alarm))
            .map(|event| i128::from(event.time.as_millis()) * 1000)
            .collect();
        assert_eq!(raised.len(), arrivals.len(), "{raised:?} {arrivals:?}");
        delays.extend(raised.iter().zip(&arrivals).map(|(from, to)| to - from));
    }
    delays.sort_unstable();
    let (median, worst) = match (delays.get(delays.len() / 2), delays.last()) {
        (Some(median), Some(worst)) => (*median, *worst),
        _ => panic!("nothing was measured"),
    };
    eprintln!(
        "from the verdict to the push accepted, {} alarms: median {:.1} ms, worst {:.1} ms",
        delays.len(),
        median as f64 / 1000.0,
        worst as f64 / 1000.0
    );
    // The verdict is on disk, to the millisecond, before anything is sent.
    assert!(delays.iter().all(|delay| *delay > -1000), "{delays:?}");
}
