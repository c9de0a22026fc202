//! A recording through the same engine, as fast as the machine can.
//!
//! One Signal K delta or PUT message a line, gzip or not (told by the first two bytes, not by the
//! name). The recording's own stamps are the clock: the engine's timers run between two lines as
//! they would have run aboard. A bad line is reported with its number and skipped.
//!
//! **The recording's time.** Stamps lie: one line from the year 2099 must not end the night. A
//! stamp that goes back does not turn time back. A stamp more than an hour ahead is believed
//! only when four lines in a row say so; one of more than half a day is then a
//! clock that was set (or cached values at the start), not half a day of silence: the calendar
//! leaps, the timers do not. A PUT has no stamp: it is judged at the time of the line before it.
//!
//! **Whose vessel.** `vessels.self`, no context, or the one a hello frame in the recording names;
//! failing these, the first vessel that reports wind, depth or the place of its own antenna, which
//! transponders do not send.
//!
//! **Two threads.** One reads ahead (`ahead`), one judges; what is told is the same as with one.

mod ahead;
mod pace;

use std::io::{self, BufRead, Read};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use ahead::{Batch, What, read_ahead};
use pace::Pace;

use crate::observation::Report;
use crate::signalk::paths::OwnPaths;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{
    By, Command, Event, EventKind, Input, LetGo, LinkState, Outcome, Output,
};
use crate::watch::saved::Saved;
use crate::watch::settings::WatchSettings;
use crate::watch::state::WatchState;

/// How to replay.
#[derive(Clone, Debug, Default)]
pub struct ReplayOptions {
    /// The watch's settings.
    pub settings: WatchSettings,
    /// Let go at this moment of the recording.
    pub let_go: Option<(Timestamp, LetGo)>,
    /// What else is read on this boat.
    pub own_paths: OwnPaths,
    /// Our own vessel's context, where the recording does not tell.
    pub own: Option<String>,
}

/// What was read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Lines in all.
    pub lines: u64,
    /// Deltas among them.
    pub deltas: u64,
    /// Commands among them.
    pub commands: u64,
    /// Lines that could not be read.
    pub bad: u64,
    /// Events told.
    pub events: u64,
    /// Time the recording spans.
    pub span: Duration,
}

/// What a replay tells while it runs.
pub trait Listener {
    /// An event of the watch.
    fn event(&mut self, event: &Event) -> io::Result<()>;
    /// A line that was skipped, and why.
    fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()>;
    /// Does anybody look at the state? It costs more than all judgement, and is not put
    /// together when nobody does.
    fn wants_pictures(&self) -> bool {
        false
    }
    /// The state, once a second of the recording's time.
    fn picture(&mut self, _picture: &WatchState) {}
}

/// Opens a recording, unpacking it where it is packed.
pub fn unpacked<'a>(mut input: impl BufRead + Send + 'a) -> io::Result<Box<dyn Read + Send + 'a>> {
    let packed = input.fill_buf()?.starts_with(&GZIP_MAGIC);
    Ok(if packed {
        Box::new(flate2::bufread::MultiGzDecoder::new(input))
    } else {
        Box::new(input)
    })
}

/// Replays a recording to its end. Fails only when it cannot be read, the listener cannot write or
/// the system has no second thread to give.
/// ```
/// use std::io;
/// use windrode::replay::{Listener, ReplayOptions, replay};
/// use windrode::watch::messages::{Event, EventKind};
///
/// struct Phases(u32);
///
/// impl Listener for Phases {
///     fn event(&mut self, event: &Event) -> io::Result<()> {
///         self.0 += u32::from(event.event == EventKind::Phase);
///         Ok(())
///     }
///     fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()> {
///         Err(io::Error::other(format!("line {number}: {why}")))
///     }
/// }
///
/// let recording = r#"
/// {"updates":[{"$source":"gps","timestamp":"2026-06-01T20:00:00Z","values":[{"path":"navigation.position","value":{"latitude":56.42,"longitude":-5.61}}]}]}
/// {"put":{"path":"navigation.anchor.watch.letGo","value":{"rode":40}}}
/// "#.trim_start();
/// let mut phases = Phases(0);
/// let counts = replay(io::Cursor::new(recording), &ReplayOptions::default(), &mut phases)?;
/// assert_eq!((counts.deltas, counts.commands, counts.bad), (1, 1, 0));
/// assert_eq!(phases.0, 1);
/// # Ok::<(), io::Error>(())
/// ```
pub fn replay(
    input: impl Read + Send + 'static,
    options: &ReplayOptions,
    listener: &mut impl Listener,
) -> io::Result<Counts> {
    let mut player = Player::new(options, listener.wants_pictures());
    let (sender, batches) = mpsc::sync_channel(AHEAD);
    let reader_options = options.clone();
    let reading = thread::Builder::new()
        .name("recording".to_owned())
        .spawn(move || read_ahead(input, &reader_options, &sender))?;
    // Where the listener fails nobody waits for the reader, who may be waiting for input: it ends with
    // the next batch it has to hand on.
    for batch in &batches {
        player.play(batch, listener)?;
    }
    let lines = reading
        .join()
        .unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
    player.counts.lines = lines;
    player.finish(listener)
}

struct Player<'o> {
    options: &'o ReplayOptions,
    keeper: Option<Watchkeeper>,
    /// What was said of our own vessel before the first stamp.
    early: Vec<Report>,
    pace: Pace,
    let_go_due: bool,
    counts: Counts,
    pictures: bool,
}

impl<'o> Player<'o> {
    fn new(options: &'o ReplayOptions, pictures: bool) -> Self {
        Self {
            options,
            keeper: None,
            early: Vec::new(),
            pace: Pace::default(),
            let_go_due: options.let_go.is_some(),
            counts: Counts::default(),
            pictures,
        }
    }

    fn play(&mut self, batch: Batch, listener: &mut impl Listener) -> io::Result<()> {
        let mut reports = batch.reports.into_iter();
        for step in batch.steps {
            self.counts.lines = step.line;
            match step.what {
                What::Delta {
                    stamp,
                    reports: count,
                } => self.delta(stamp, reports.by_ref().take(count), listener)?,
                What::Command(command) => self.command(command, By::Server, listener)?,
                What::Bad(why) => self.bad(listener, &why)?,
            }
        }
        Ok(())
    }

    fn delta(
        &mut self,
        stamp: Option<Timestamp>,
        reports: impl Iterator<Item = Report>,
        listener: &mut impl Listener,
    ) -> io::Result<()> {
        self.counts.deltas += 1;
        self.advance(stamp, listener)?;
        let now = self.pace.now;
        if let Some(keeper) = &mut self.keeper {
            for report in self.early.drain(..).chain(reports) {
                keeper.handle(now, Input::Report(report));
            }
        } else {
            for report in reports.filter(|report| report.subject.is_own()) {
                let facts: usize = self.early.iter().map(|early| early.facts.len()).sum();
                if facts + report.facts.len() <= MOST_EARLY {
                    self.early.push(report);
                }
            }
        }
        self.tell(listener)
    }

    fn command(
        &mut self,
        command: Command,
        by: By,
        listener: &mut impl Listener,
    ) -> io::Result<()> {
        self.counts.commands += 1;
        let now = self.pace.now;
        let Some(keeper) = &mut self.keeper else {
            return self.bad(listener, "a command before the first delta has no time");
        };
        keeper.handle(now, Input::Command { id: 0, command, by });
        self.tell(listener)
    }

    /// Lets the recording's time pass up to this stamp, with everything that falls due.
    fn advance(
        &mut self,
        stamp: Option<Timestamp>,
        listener: &mut impl Listener,
    ) -> io::Result<()> {
        let target = self.pace.take(stamp);
        if self.keeper.is_none() {
            let Some(now) = target else { return Ok(()) };
            let settings = self.options.settings.clone();
            let mut keeper = Watchkeeper::new(now, settings, Saved::default());
            keeper.publish(self.pictures);
            keeper.handle(now, Input::Link(LinkState::Up));
            self.keeper = Some(keeper);
        }
        let Some(target) = target else { return Ok(()) };
        self.run_to(target, listener)?;
        self.pace.now = target;
        self.counts.span = target.tick.since(Tick::START);
        if let Some((at, order)) = self.options.let_go
            && self.let_go_due
            && target.utc >= at
        {
            self.let_go_due = false;
            self.command(Command::LetGo(order), By::Terminal, listener)?;
        }
        Ok(())
    }

    fn run_to(&mut self, target: Now, listener: &mut impl Listener) -> io::Result<()> {
        while let Some(keeper) = &mut self.keeper {
            let Some(due) = keeper.poll_timeout().filter(|due| *due < target.tick) else {
                break;
            };
            // Over a long silence nothing happens that a coarser step would miss.
            let step = if target.tick.since(due) > LONG_SILENCE {
                COARSE
            } else {
                Duration::ZERO
            };
            let tick = due + step;
            let utc = self.pace.now.utc.plus(tick.since(self.pace.now.tick));
            keeper.handle_timeout(Now::new(tick, utc));
            self.tell(listener)?;
        }
        Ok(())
    }

    fn tell(&mut self, listener: &mut impl Listener) -> io::Result<()> {
        let Some(keeper) = &mut self.keeper else {
            return Ok(());
        };
        let mut refusals = Vec::new();
        while let Some(output) = keeper.poll_output() {
            match output {
                Output::Event(event) => {
                    self.counts.events += 1;
                    listener.event(&event)?;
                }
                Output::Publish(picture) => listener.picture(&picture),
                Output::Reply {
                    outcome: Outcome::Refused(why),
                    ..
                } => refusals.push(why),
                Output::Reply { .. }
                | Output::Persist(_)
                | Output::Alert(_)
                | Output::AskChart(_)
                | Output::KeepSoundings(_) => {}
            }
        }
        for why in refusals {
            self.counts.events += 1;
            listener.event(&Event {
                time: self.pace.now.utc,
                event: EventKind::Note,
                hazard: None,
                priority: None,
                message: format!("command refused: {why}"),
                evidence: serde_json::Map::new(),
            })?;
        }
        Ok(())
    }

    fn bad(&mut self, listener: &mut impl Listener, why: &str) -> io::Result<()> {
        self.counts.bad += 1;
        listener.bad_line(self.counts.lines, why)
    }

    fn finish(mut self, listener: &mut impl Listener) -> io::Result<Counts> {
        if self.let_go_due
            && let Some((at, _)) = self.options.let_go
        {
            self.bad(
                listener,
                &format!("the recording ends before `--let-go` {at}"),
            )?;
        }
        Ok(self.counts)
    }
}

const GZIP_MAGIC: [u8; 2] = [0x1f, 0x8b];
/// As many batches are read ahead of the watch: what both threads hold stays in their caches.
const AHEAD: usize = 4;
/// So many facts that have no time yet are kept.
const MOST_EARLY: usize = 4096;
const LONG_SILENCE: Duration = Duration::from_hours(2);
const COARSE: Duration = Duration::from_mins(1);

#[cfg(test)]
mod tests;
