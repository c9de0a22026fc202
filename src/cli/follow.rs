//! `windrode status --follow`: the state as it changes. On a terminal it is a screen with keys; elsewhere,
//! a line for each change.
//!
//! The daemon is asked once a second. Its answer is shown as live as long as it answers within
//! [`LONGEST_WAIT`]; when it does not, the screen says so and shows no figures. Every way out restores the
//! terminal: the normal end, SIGTERM, SIGHUP and Ctrl-C, and the panic hook that `ratatui::try_init` sets.

mod screen;
mod swing;

use std::io::IsTerminal;
use std::path::Path;
use std::thread;
use std::time::Duration;

use ratatui::DefaultTerminal;
use ratatui::crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use serde_json::{Value, json};
use tokio::signal::unix::{SignalKind, signal};
use tokio::sync::mpsc;

use super::ask::{self, ask_daemon, understood};
use super::out::{self, Failure, code};
use super::{Windrode, runtime, status};
use crate::daemon::StatusReport;
use crate::speech::Wording;
use crate::speech::status::{Screen as Said, Status};
use screen::{Ink, Scene};

/// Follows until it is stopped.
pub(super) fn follow(parsed: &Windrode) -> Result<(), Failure> {
    let socket = ask::socket(parsed)?;
    let runtime = runtime()?;
    // A failure at the start is reported like any other order's failure.
    let first = runtime.block_on(report(&socket))?;
    if std::io::stdout().is_terminal() {
        runtime.block_on(on_terminal(&socket, first, &ask::wording(parsed)))
    } else {
        runtime.block_on(as_lines(&socket, first))
    }
}

async fn report(socket: &Path) -> Result<StatusReport, Failure> {
    let answer = ask_daemon(socket, "status", Value::Null, &Wording::default()).await?;
    understood(&answer.data.unwrap_or_default())
}

/// The daemon's answer, unless it takes so long that the screen would be outdated meanwhile.
async fn in_time<T>(asked: impl Future<Output = Result<T, Failure>>) -> Result<T, Failure> {
    tokio::time::timeout(LONGEST_WAIT, asked)
        .await
        .unwrap_or_else(|_| {
            let why = format!("no answer within {} s", LONGEST_WAIT.as_secs());
            Err(Failure::new(code::UNAVAILABLE, why))
        })
}

/// Prints everything once, then a line for each change.
async fn as_lines(socket: &Path, first: StatusReport) -> Result<(), Failure> {
    for line in status::screen(&first, false) {
        out::line(&line)?;
    }
    let mut last = Ok(first);
    loop {
        tokio::time::sleep(EVERY).await;
        // The reason is in English, for the operator and the log.
        let now = report(socket).await.map_err(|failure| failure.message);
        if let (Ok(_), Err(why)) = (&last, &now) {
            out::complain(&format!("windrode: {why}"));
        }
        if let Some(line) = change(&last, &now) {
            out::line(&line)?;
        }
        last = now;
    }
}

/// The changes as a line; none for figures that fluctuate.
fn change(
    before: &Result<StatusReport, String>,
    now: &Result<StatusReport, String>,
) -> Option<String> {
    match (before, now) {
        (Err(_), Err(_)) => None,
        (Ok(last), Err(_)) => {
            let since = last.clock.clock(last.time);
            Some(Said::NoAnswer { since }.words(&last.wording()))
        }
        (_, Ok(now)) => {
            let told = summary(now);
            let same = before.as_ref().is_ok_and(|last| summary(last) == told);
            let (day, time) = now.clock.day_and_time(now.time);
            (!same).then(|| format!("{day} {time} {told}"))
        }
    }
}

/// Phase, alerts, fix and server.
fn summary(report: &StatusReport) -> String {
    let say = report.wording();
    let mut told = vec![report.picture.word().words(&say).to_uppercase()];
    if report.picture.fix_uncertainty.is_none() {
        told.push(Status::NoFix { ago: None }.words(&say));
    }
    let link = report.server.clone();
    told.push(Said::Server { link }.words(&say));
    for alert in &report.alerts {
        let alert = Status::AlertInShort {
            priority: alert.priority.capitals(&say),
            state: alert.shown(),
            hazard: alert.hazard.words(),
        };
        told.push(alert.words(&say));
    }
    told.join("; ")
}

/// The events that wake the loop.
enum Woken {
    Key(KeyEvent),
    Resized,
    Tick,
    Ended,
}

async fn on_terminal(socket: &Path, first: StatusReport, say: &Wording) -> Result<(), Failure> {
    let failed = |error: std::io::Error| Failure::new(code::IO, format!("no screen: {error}"));
    let mut ends = signal(SignalKind::terminate()).map_err(failed)?;
    let mut hangs_up = signal(SignalKind::hangup()).map_err(failed)?;
    let mut terminal = Screen(ratatui::try_init().map_err(failed)?);
    let mut keys = keys().map_err(failed)?;
    let mut tick = tokio::time::interval(EVERY);
    tick.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    let ink = if out::colour() {
        Ink::Night
    } else {
        Ink::Plain
    };
    let mut scene = Scene::of(first);
    loop {
        terminal
            .0
            .draw(|frame| screen::draw(frame, &scene, ink))
            .map_err(failed)?;
        let woken = tokio::select! {
            _ = tick.tick() => Woken::Tick,
            event = keys.recv() => match event {
                Some(Event::Key(key)) if key.kind != KeyEventKind::Release => Woken::Key(key),
                Some(_) => Woken::Resized,
                None => Woken::Ended,
            },
            _ = ends.recv() => Woken::Ended,
            _ = hangs_up.recv() => Woken::Ended,
        };
        match woken {
            Woken::Ended => return Ok(()),
            Woken::Resized => {}
            Woken::Key(key) => match order_of(key) {
                Key::Quit => return Ok(()),
                Key::Order(command) => {
                    let answer = in_time(ask_daemon(socket, command, json!(true), say)).await;
                    scene.answered(match answer {
                        Ok(answer) => answer.message.unwrap_or_default(),
                        Err(failure) if failure.code == code::UNAVAILABLE => scene.not_taken(),
                        Err(failure) => failure.message,
                    });
                }
                Key::Other => {}
            },
            Woken::Tick => match in_time(report(socket)).await {
                Ok(report) => scene.show(report),
                Err(_) => scene.lost(),
            },
        }
    }
}

/// The action that a key requests.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Key {
    Order(&'static str),
    Quit,
    Other,
}

fn order_of(key: KeyEvent) -> Key {
    let control = key.modifiers.contains(KeyModifiers::CONTROL);
    match key.code {
        // In raw mode Ctrl-C is a key, not a signal.
        KeyCode::Char('c') if control => Key::Quit,
        KeyCode::Char('q') | KeyCode::Esc => Key::Quit,
        KeyCode::Char('a') if !control => Key::Order("acknowledge"),
        KeyCode::Char('s') if !control => Key::Order("silence"),
        _ => Key::Other,
    }
}

/// Reads the keyboard in a separate thread, because reading the terminal blocks.
fn keys() -> std::io::Result<mpsc::Receiver<Event>> {
    let (sender, receiver) = mpsc::channel(16);
    thread::Builder::new()
        .name("keys".to_owned())
        .spawn(move || {
            while let Ok(event) = event::read() {
                if sender.blocking_send(event).is_err() {
                    return;
                }
            }
        })?;
    Ok(receiver)
}

/// The terminal, restored when it is dropped.
struct Screen(DefaultTerminal);

impl Drop for Screen {
    fn drop(&mut self) {
        ratatui::restore();
    }
}

/// How often the daemon is asked.
const EVERY: Duration = Duration::from_secs(1);

/// Chosen: a second longer than the daemon waits for its disk.
const LONGEST_WAIT: Duration = Duration::from_secs(3);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_a_s_and_q_and_control_c() {
        let key = |code, modifiers| order_of(KeyEvent::new(code, modifiers));
        let none = KeyModifiers::NONE;
        assert_eq!(key(KeyCode::Char('a'), none), Key::Order("acknowledge"));
        assert_eq!(key(KeyCode::Char('s'), none), Key::Order("silence"));
        assert_eq!(key(KeyCode::Char('q'), none), Key::Quit);
        assert_eq!(key(KeyCode::Esc, none), Key::Quit);
        assert_eq!(key(KeyCode::Char('c'), KeyModifiers::CONTROL), Key::Quit);
        // Ctrl-S must do nothing: it stops a terminal, it does not silence an alarm.
        assert_eq!(key(KeyCode::Char('s'), KeyModifiers::CONTROL), Key::Other);
        assert_eq!(key(KeyCode::Char('c'), none), Key::Other);
    }

    #[test]
    fn a_line_is_printed_for_each_change_and_for_no_wandering_figure() {
        let quiet = screen::tests::quiet();
        let mut later = quiet.clone();
        later.time = later.time.plus(Duration::from_secs(60));
        later.picture.current_radius = later.picture.max_radius;
        assert_eq!(change(&Ok(quiet.clone()), &Ok(later)), None);
        let dragging = screen::tests::dragging();
        let line = change(&Ok(quiet.clone()), &Ok(dragging)).unwrap();
        assert_eq!(
            line,
            "2026-06-02 00:19:30 UTC DRAGGING; server up; ALARM, not acknowledged: dragging"
        );
        let gone = Err("no daemon listens".to_owned());
        let line = change(&Ok(quiet.clone()), &gone).unwrap();
        assert_eq!(line, "NO ANSWER from windrode since 00:19 UTC");
        assert_eq!(change(&gone, &gone), None);
        assert!(
            change(&gone, &Ok(quiet))
                .unwrap()
                .contains(" SET; server up")
        );
    }
}
