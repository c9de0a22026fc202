//! Decides what is worth a line in the log, and how often.
//!
//! No peer may flood the log: a text that was logged within the last hour is counted instead, and
//! the next time it is logged, the line gives that count. At most [`LINES_AN_HOUR`] lines are
//! logged, however many different texts there are; the first line after that gives the number of
//! lost lines.

use std::fmt::Write as _;
use std::time::Duration;

use crate::time::Tick;

/// How serious a line is, by who can act on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// A peer behaves oddly.
    Debug,
    /// The state changed.
    Info,
    /// The crew can act.
    Warn,
}

/// The lines of the last hour.
#[derive(Clone, Debug, Default)]
pub(super) struct LogBook {
    recent: Vec<Line>,
    hour: Tick,
    lines: u32,
    lost: u64,
}

#[derive(Clone, Debug)]
struct Line {
    text: String,
    logged: Tick,
    swallowed: u64,
}

impl LogBook {
    /// Returns the text of a change of state. It is logged each time, within the hour's limit.
    pub(super) fn change(&mut self, now: Tick, text: &str) -> Option<String> {
        self.recent.retain(|line| line.text != text);
        self.take(now, text)
    }

    /// Returns the text to log, if it has to be logged now.
    pub(super) fn take(&mut self, now: Tick, text: &str) -> Option<String> {
        if now.since(self.hour) >= HOUR {
            self.hour = now;
            self.lines = 0;
        }
        if let Some(line) = self.recent.iter_mut().find(|line| line.text == text)
            && now.since(line.logged) < HOUR
        {
            line.swallowed = line.swallowed.saturating_add(1);
            return None;
        }
        if self.lines >= LINES_AN_HOUR {
            self.lost = self.lost.saturating_add(1);
            return None;
        }
        self.lines += 1;
        let swallowed = match self.recent.iter().position(|line| line.text == text) {
            Some(place) => self.recent.remove(place).swallowed,
            None => 0,
        };
        if self.recent.len() >= TEXTS {
            self.recent.remove(0);
        }
        self.recent.push(Line {
            text: text.to_owned(),
            logged: now,
            swallowed: 0,
        });
        let mut said = text.to_owned();
        if swallowed > 0 {
            let _ = write!(said, " ({swallowed} times more since last logged)");
        }
        if self.lost > 0 {
            let _ = write!(said, " ({} other lines were not logged)", self.lost);
            self.lost = 0;
        }
        Some(said)
    }
}

/// A normal night has a handful of lines.
pub(super) const LINES_AN_HOUR: u32 = 60;
const TEXTS: usize = 64;
const HOUR: Duration = Duration::from_hours(1);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_logged_once_an_hour_with_a_count() {
        let mut book = LogBook::default();
        let at = Tick::from_secs;
        assert_eq!(book.take(at(0), "no route"), Some("no route".into()));
        for second in 1..=119 {
            assert_eq!(book.take(at(second * 30), "no route"), None);
        }
        assert_eq!(
            book.take(at(3600), "no route"),
            Some("no route (119 times more since last logged)".into())
        );
    }

    #[test]
    fn many_texts_are_capped_and_the_loss_is_stated() {
        let mut book = LogBook::default();
        let logged = (0..10_000)
            .filter(|n| {
                book.take(Tick::from_secs(1), &format!("text {n}"))
                    .is_some()
            })
            .count();
        assert_eq!(logged, LINES_AN_HOUR as usize);
        assert_eq!(
            book.take(Tick::from_secs(3601), "later"),
            Some("later (9940 other lines were not logged)".into())
        );
        assert!(book.recent.len() <= TEXTS);
    }
}
