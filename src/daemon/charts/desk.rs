//! The queue for the thread that reads the charts, and its limits.

use std::collections::VecDeque;
use std::sync::{Condvar, Mutex, PoisonError};
use std::time::Duration;

use super::MOST_SOUNDED;
use crate::chart::own::OwnSounding;
use crate::watch::charted::ChartQuestion;

/// Where the watch leaves questions and the thread takes them.
#[derive(Default)]
pub(in crate::daemon) struct Desk {
    tray: Mutex<Tray>,
    wake: Condvar,
}

#[derive(Debug, Default, PartialEq)]
pub(super) struct Tray {
    /// The latest question about each circle, in the order asked.
    pub(super) questions: VecDeque<ChartQuestion>,
    pub(super) sounded: Vec<OwnSounding>,
    pub(super) closed: bool,
}

impl Tray {
    pub(super) fn ask(&mut self, question: ChartQuestion) {
        let about = |asked: &ChartQuestion| asked.about == question.about;
        self.questions.retain(|asked| !about(asked));
        self.questions.push_back(question);
    }

    pub(super) fn add(&mut self, soundings: Vec<OwnSounding>) {
        self.sounded.extend(soundings);
        let surplus = self.sounded.len().saturating_sub(MOST_SOUNDED);
        self.sounded.drain(..surplus);
    }

    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl Desk {
    pub(super) fn put(&self, change: impl FnOnce(&mut Tray)) {
        change(&mut self.tray.lock().unwrap_or_else(PoisonError::into_inner));
        self.wake.notify_one();
    }

    /// The next item, or nothing after a timeout.
    pub(super) fn take(&self, wait: Duration) -> Tray {
        let tray = self.tray.lock().unwrap_or_else(PoisonError::into_inner);
        let (mut tray, _) = self
            .wake
            .wait_timeout_while(tray, wait, |tray| tray.is_empty())
            .unwrap_or_else(PoisonError::into_inner);
        std::mem::take(&mut tray)
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{question, sounding};
    use super::*;
    use crate::watch::charted::About;

    #[test]
    fn a_later_question_replaces_an_unanswered_one() {
        let mut tray = Tray::default();
        for number in 0..1000 {
            tray.ask(question(2 * number, About::Berth));
            tray.ask(question(2 * number + 1, About::Anchor));
            tray.add(vec![sounding(number as f64); 10]);
        }
        let waiting: Vec<u64> = tray.questions.iter().map(|it| it.number).collect();
        assert_eq!(waiting, [1998, 1999]);
        assert_eq!(tray.sounded.len(), MOST_SOUNDED);
        assert_eq!(tray.sounded.last(), Some(&sounding(999.0)));
    }
}
