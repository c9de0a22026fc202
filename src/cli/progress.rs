//! A progress bar on standard error for long work: it appears after two seconds, and only on a terminal.

use std::io::{self, Read};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use crate::io::clock::Clock;
use crate::time::Tick;
use indicatif::{HumanBytes, ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A bar. Dropping it, or its last clone, removes it from the screen.
#[derive(Clone, Debug)]
pub(super) struct Progress {
    bar: ProgressBar,
    clock: Clock,
    began: Tick,
    shown: Arc<AtomicBool>,
}

impl Progress {
    /// Counts things, such as nights.
    pub(super) fn of(all: u64, things: &str) -> Self {
        Self::new(
            all,
            &format!("{{bar:24}} {{pos}} of {{len}} {things}, {{eta}} to go"),
        )
    }

    /// Counts things in the crew's words, made of the figures done, all and left.
    pub(super) fn telling(all: u64, words: impl FnOnce([&'static str; 3]) -> String) -> Self {
        let words = words(["{pos}", "{len}", "{eta}"]);
        Self::new(all, &format!("{{bar:24}} {words}"))
    }

    /// Counts the bytes of a file while it is read.
    pub(super) fn of_bytes(all: u64) -> Self {
        let of = HumanBytes(all);
        Self::new(
            all,
            &format!("{{bar:24}} {{percent}} % of {of}, {{eta}} to go"),
        )
    }

    /// Shows how much of something has passed, such as a night.
    pub(super) fn of_share(things: &str) -> Self {
        Self::new(
            THOUSANDTHS,
            &format!("{{bar:24}} {{percent}} % of {things}, {{eta}} to go"),
        )
    }

    /// Sets the progress to this share, 0 to 1.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "0 to 1000"
    )]
    pub(super) fn at_share(&self, done: f64) {
        self.at((done.clamp(0.0, 1.0) * THOUSANDTHS as f64) as u64);
    }

    /// Does this while the bar is off the screen: a line printed beside it would run into it.
    pub(super) fn aside<T>(&self, print: impl FnOnce() -> T) -> T {
        self.bar.suspend(print)
    }

    fn new(all: u64, template: &str) -> Self {
        let style = ProgressStyle::with_template(template)
            .unwrap_or_else(|_| ProgressStyle::default_bar())
            .progress_chars("#-.");
        let clock = Clock::system();
        Self {
            bar: ProgressBar::with_draw_target(Some(all), ProgressDrawTarget::hidden())
                .with_style(style),
            began: clock.now().tick,
            clock,
            shown: Arc::new(AtomicBool::new(false)),
        }
    }

    /// Sets the progress to this amount.
    pub(super) fn at(&self, done: u64) {
        self.bar.set_position(done);
        self.show();
    }

    fn add(&self, done: u64) {
        self.bar.inc(done);
        self.show();
    }

    fn show(&self) {
        // The target hides itself if standard error is not a terminal.
        if self.clock.now().tick.since(self.began) >= AFTER
            && !self.shown.swap(true, Ordering::Relaxed)
        {
            self.bar.set_draw_target(ProgressDrawTarget::stderr());
        }
    }

    /// Removes the bar from the screen.
    pub(super) fn end(&self) {
        self.bar.finish_and_clear();
    }

    /// Reading moves the bar.
    pub(super) fn reading<R: Read>(&self, input: R) -> impl Read + use<R> {
        Watched {
            input,
            progress: self.clone(),
        }
    }
}

struct Watched<R> {
    input: R,
    progress: Progress,
}

impl<R: Read> Read for Watched<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let read = self.input.read(buffer)?;
        self.progress.add(read as u64);
        Ok(read)
    }
}

/// The steps of a share.
const THOUSANDTHS: u64 = 1000;
/// Shorter work needs no bar.
const AFTER: Duration = Duration::from_secs(2);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_read_are_counted_and_nothing_shows_at_first() {
        let progress = Progress::of_bytes(10);
        let mut text = String::new();
        let input = progress.reading(io::Cursor::new("a recording"));
        io::BufReader::new(input).read_to_string(&mut text).unwrap();
        assert_eq!(text, "a recording");
        assert_eq!(progress.bar.position(), 11);
        assert!(progress.bar.is_hidden() && !progress.shown.load(Ordering::Relaxed));
    }

    #[test]
    fn a_share_of_a_night_moves_it_and_nothing_moves_it_beyond_its_end() {
        let progress = Progress::of_share("the night");
        for (done, position) in [
            (0.25, 250),
            (1.0, 1000),
            (1.2, 1000),
            (-0.1, 0),
            (f64::NAN, 0),
        ] {
            progress.at_share(done);
            assert_eq!(progress.bar.position(), position, "{done}");
        }
    }

    #[test]
    fn it_appears_once_after_two_seconds() {
        let (clock, hand) = Clock::virtual_at(crate::time::Timestamp::EPOCH);
        let mut progress = Progress::of(400, "nights");
        progress.began = clock.now().tick;
        progress.clock = clock;
        hand.advance(AFTER);
        progress.at(7);
        assert!(progress.shown.load(Ordering::Relaxed));
        assert_eq!(progress.bar.position(), 7);
    }
}
