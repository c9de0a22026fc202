//! `windrode check` against the real data server: the verdict comes first and is correct.

use super::tern::{Aboard, Instruments};
use super::{Mode, SignalK};

/// Its output and exit code.
fn check(aboard: &Aboard) -> (String, Option<i32>) {
    let output = aboard.windrode(&["check", "--listen", "3"]);
    let text = [output.stdout, output.stderr].concat();
    (String::from_utf8(text).unwrap(), output.status.code())
}

/// The lines under a heading, each on one line.
fn under(text: &str, heading: &str) -> String {
    let mut lines = String::new();
    let mut inside = false;
    for line in text.lines() {
        match line.strip_prefix("  ") {
            Some(rest) if !rest.starts_with(' ') => inside = rest.starts_with(heading),
            Some(_) => {}
            None => inside = false,
        }
        if inside {
            lines += line.trim_start();
            lines.push(' ');
        }
    }
    lines
}

/// With the instruments on, nothing the watch needs is missing. Without them it names the missing
/// one and the consequence, and it is not ready.
#[test]
fn the_verdict_follows_what_the_server_sends() {
    let server = SignalK::start(Mode::Open);
    let instruments = Instruments::on(&server);
    let mut aboard = Aboard::of(&server);
    aboard.run();
    aboard.has_fix();
    let (text, code) = check(&aboard);
    assert_eq!(code, Some(0), "{text}");
    assert!(text.starts_with("READY"), "{text}");
    let works = under(&text, "works");
    for sensor in [
        "position",
        "heading",
        "wind",
        "depth",
        "right to write",
        "daemon",
    ] {
        assert!(works.contains(sensor), "{sensor} in {works}\n{text}");
    }
    assert!(!text.contains("missing"), "{text}");
    assert!(
        under(&text, "limit").contains("phones: no channel is configured"),
        "{text}"
    );

    // Switched off: the server still shows the last values, but they do not count.
    drop(instruments);
    let (text, code) = check(&aboard);
    assert_eq!(code, Some(1), "{text}");
    assert!(text.starts_with("NOT READY"), "{text}");
    let fails = under(&text, "fails");
    assert!(
        fails.contains("position sent nothing in 3 s, the server has its last value only"),
        "{text}"
    );
    assert!(!under(&text, "works").contains("position"), "{text}");
    assert_eq!(aboard.stop(), Some(0));
}

/// A secure server that does not recognise us sends nothing: the output names the reason, and who must act.
#[test]
fn without_a_token_a_secure_server_is_not_ready() {
    let server = SignalK::start(Mode::Secure);
    let _instruments = Instruments::on(&server);
    let aboard = Aboard::with_token(&server, None);
    let (text, code) = check(&aboard);
    assert_eq!(code, Some(1), "{text}");
    assert!(text.starts_with("NOT READY"), "{text}");
    let fails = under(&text, "fails");
    assert!(
        fails.contains("the server does not know us; approve"),
        "{text}"
    );
}

/// Without a server: one plain sentence, not the system's message.
#[test]
fn a_server_that_does_not_answer_is_named_in_plain_words() {
    let aboard = Aboard::alone("");
    let (text, code) = check(&aboard);
    assert_eq!(code, Some(69), "{text}");
    assert!(text.contains("the server `ws://127.0.0.1:1`"), "{text}");
    assert!(!text.contains("os error"), "{text}");
}
