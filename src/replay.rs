//! A recording through the same engine, as fast as the machine can.
//!
//! One Signal K delta or PUT message a line, gzip or not (detected by the first two bytes, not by
//! the name). The recording's own stamps are the clock: between two lines the engine's timers run
//! as they would have run aboard. A bad line is reported with its number and skipped.
//!
//! **The recording's time.** Stamps can be wrong: one line from the year 2099 must not end the
//! night. A stamp that goes back does not turn time back. A stamp more than an hour ahead is
//! believed only when four lines in a row agree. If it is more than half a day ahead, the clock was
//! set (or the start has cached values); it does not mean half a day of silence: the calendar
//! leaps, the timers do not. A PUT has no stamp: it is judged at the time of the line before it.
//!
//! **Whose vessel.** `vessels.self`, no context, or the one a hello frame in the recording names;
//! failing these, the first vessel that reports wind, depth or the place of its own antenna, which
//! transponders do not send.
//!
//! **Our own lines.** A [recording] also holds the state it begins with, inputs that are
//! not messages, and what the watch reported then. There, and in the journal, every input has its time and
//! the timers are inputs too: nothing depends on the stamps.
//!
//! **Two threads.** One reads ahead (`ahead`), one judges; the output is the same as with one.

mod ahead;
pub mod compare;
mod pace;

use std::io::{self, BufRead, Read};
use std::path::Path;
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

use ahead::{Batch, What, read_ahead};
use pace::Pace;

use crate::config::{Config, ConfigError};
use crate::journal::{JournalError, Reader, Run};
use crate::observation::Report;
use crate::recording::{self, Begin, Line};
use crate::signalk::gather::Gather;
use crate::signalk::paths::OwnPaths;
use crate::time::{Now, Tick, Timestamp};
use crate::watch::engine::Watchkeeper;
use crate::watch::messages::{
    By, Command, Entry, Event, EventKind, Input, LetGo, LinkState, Outcome, Output,
};
use crate::watch::settings::WatchSettings;
use crate::watch::state::WatchState;

/// How to replay.
#[derive(Clone, Debug, Default)]
pub struct ReplayOptions {
    /// The watch's settings.
    pub settings: WatchSettings,
    /// If a recording has settings of its own, use those instead.
    pub recorded_settings: bool,
    /// Let go at this moment of the recording.
    pub let_go: Option<(Timestamp, LetGo)>,
    /// The other paths that are read on this boat.
    pub own_paths: OwnPaths,
    /// Our own vessel's context, if the recording does not give it.
    pub own: Option<String>,
}

/// Counts of what was read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Lines in all.
    pub lines: u64,
    /// Deltas among them.
    pub deltas: u64,
    /// Commands among them.
    pub commands: u64,
    /// Inputs of the engine among them, recorded as the engine received them.
    pub inputs: u64,
    /// Lines that could not be read.
    pub bad: u64,
    /// Events reported.
    pub events: u64,
    /// Time the recording spans.
    pub span: Duration,
}

/// Receives the output of a replay while it runs.
pub trait Listener {
    /// An event of the watch.
    fn event(&mut self, event: &Event) -> io::Result<()>;
    /// A line that was skipped, and why.
    fn bad_line(&mut self, number: u64, why: &str) -> io::Result<()>;
    /// What the watch reported then, from a line of the recording or the journal.
    fn judged(&mut self, _then: &Event) {}
    /// Whether anybody reads the state. It costs more than all the judging and is not built if
    /// nobody does.
    fn wants_pictures(&self) -> bool {
        false
    }
    /// The state, once a second of the recording's time.
    fn picture(&mut self, _picture: &WatchState) {}
}

/// Opens a recording and unpacks it if it is packed.
pub fn unpacked<'a>(mut input: impl BufRead + Send + 'a) -> io::Result<Box<dyn Read + Send + 'a>> {
    let packed = input.fill_buf()?.starts_with(&GZIP_MAGIC);
    Ok(if packed {
        Box::new(flate2::bufread::MultiGzDecoder::new(input))
    } else {
        Box::new(input)
    })
}

/// Replays a recording to its end. Fails only if it cannot be read, the listener cannot write or
/// the system cannot start a second thread.
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
    // If the listener fails, nobody waits for the reader, which may be waiting for input: it ends with
    // the next batch it hands on.
    for batch in &batches {
        player.play(batch, listener)?;
    }
    let lines = reading
        .join()
        .unwrap_or_else(|panic| std::panic::resume_unwind(panic))?;
    player.counts.lines = lines;
    player.finish(listener)
}

/// Replays one life of the daemon from the journal. A damaged batch is reported as a bad line.
pub fn replay_run(
    journal: &Reader,
    run: &Run,
    options: &ReplayOptions,
    listener: &mut impl Listener,
) -> io::Result<Counts> {
    let mut player = Player::new(options, listener.wants_pictures());
    player.ours(Line::Begin(Box::new(Begin::of(run, None))), listener)?;
    let mut since = None;
    for entry in journal.entries(run.id) {
        player.counts.lines += 1;
        match entry {
            Ok(entry) => {
                since.get_or_insert(entry.now.utc);
                player.ours(Line::Input(Box::new(entry)), listener)?;
            }
            Err(error @ JournalError::Damaged { .. }) => {
                player.bad(listener, &error.to_string())?;
            }
            Err(error) => return Err(io::Error::other(error)),
        }
    }
    for event in recording::judged(journal, run, since.unwrap_or(run.started)) {
        match event {
            Ok(event) => listener.judged(&event),
            Err(error) => player.bad(listener, &error.to_string())?,
        }
    }
    player.finish(listener)
}

struct Player<'o> {
    options: &'o ReplayOptions,
    settings: WatchSettings,
    /// The state that the recording begins with, and its time.
    begin: Option<Box<Begin>>,
    keeper: Option<Watchkeeper>,
    /// Facts about our own vessel from before the first stamp.
    early: Vec<Report>,
    /// Joins what the server split, as the session did.
    gather: Gather,
    /// Whether the recording says when its messages came.
    is_exact: bool,
    pace: Pace,
    let_go_due: bool,
    counts: Counts,
    pictures: bool,
}

impl<'o> Player<'o> {
    fn new(options: &'o ReplayOptions, pictures: bool) -> Self {
        Self {
            options,
            settings: options.settings.clone(),
            begin: None,
            keeper: None,
            early: Vec::new(),
            gather: Gather::default(),
            is_exact: false,
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
                What::Ours(line) => self.ours(line, listener)?,
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
        if !self.is_exact {
            self.advance(stamp, listener)?;
        }
        let now = self.pace.now;
        if let Some(keeper) = &mut self.keeper {
            for report in self.early.drain(..).chain(reports) {
                if self.is_exact {
                    for joined in self.gather.push(now.tick, report).into_iter().flatten() {
                        keeper.handle(now, Input::Report(joined));
                    }
                } else {
                    keeper.handle(now, Input::Report(report));
                }
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

    fn ours(&mut self, line: Line, listener: &mut impl Listener) -> io::Result<()> {
        match line {
            Line::Begin(begin) => {
                self.keeper = None;
                self.early.clear();
                self.gather = Gather::default();
                self.is_exact = false;
                self.pace = Pace::default();
                let recorded = recorded_settings(self.options, &begin);
                self.begin = Some(begin);
                match recorded {
                    None => self.settings = self.options.settings.clone(),
                    Some(Ok(config)) => self.settings = config.watch_settings(),
                    Some(Err(error)) => self.bad(listener, &error.to_string())?,
                }
                Ok(())
            }
            Line::Lost(lines) => {
                let why = format!("{lines} lines are missing: the disk was too slow");
                self.bad(listener, &why)
            }
            Line::At(now) => {
                self.let_go_of_held(now);
                self.at(now);
                Ok(())
            }
            Line::Input(entry) => self.input(*entry, listener),
            Line::Judged(then) => {
                listener.judged(&then);
                Ok(())
            }
        }
    }

    fn input(&mut self, entry: Entry, listener: &mut impl Listener) -> io::Result<()> {
        self.counts.inputs += 1;
        if self.begin.is_none() {
            return self.bad(
                listener,
                "an input without the line that begins a recording",
            );
        }
        // As in the daemon, a round runs before the held input is released.
        let is_round = matches!(entry.input, Input::Timeout);
        if !is_round {
            self.let_go_of_held(entry.now);
        }
        self.at(entry.now);
        let keeper = match &mut self.keeper {
            Some(keeper) => keeper,
            none => none.insert(new_keeper(
                entry.now,
                self.settings.clone(),
                self.begin.as_deref(),
                self.pictures,
            )),
        };
        keeper.handle(entry.now, entry.input);
        if is_round {
            self.let_go_of_held(entry.now);
        }
        self.tell(listener)
    }

    fn let_go_of_held(&mut self, now: Now) {
        if let Some(keeper) = &mut self.keeper
            && self.gather.due().is_some_and(|due| due <= now.tick)
            && let Some(report) = self.gather.flush()
        {
            keeper.handle(now, Input::Report(report));
        }
    }

    /// A recording gives the times of arrival: the stamps are not needed.
    fn at(&mut self, now: Now) {
        if self.keeper.is_some() {
            self.counts.span += now.tick.since(self.pace.now.tick);
        }
        self.pace.now = now;
        self.is_exact = true;
    }

    /// Advances the recording's time to this stamp, with everything that falls due.
    fn advance(
        &mut self,
        stamp: Option<Timestamp>,
        listener: &mut impl Listener,
    ) -> io::Result<()> {
        let target = self.pace.take(stamp);
        if self.keeper.is_none() {
            let Some(now) = target else { return Ok(()) };
            let settings = self.settings.clone();
            let mut keeper = new_keeper(now, settings, self.begin.as_deref(), self.pictures);
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
            // In a long silence a coarser step misses nothing.
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

/// A watch in the state that the recording begins with.
fn new_keeper(
    now: Now,
    settings: WatchSettings,
    begin: Option<&Begin>,
    pictures: bool,
) -> Watchkeeper {
    let saved = begin.map(|begin| begin.state.clone());
    let mut keeper = Watchkeeper::new(now, settings, saved.unwrap_or_default());
    keeper.publish(pictures);
    keeper
}

/// The settings of the recording, if they are to be used.
fn recorded_settings(
    options: &ReplayOptions,
    begin: &Begin,
) -> Option<Result<Config, ConfigError>> {
    let text = begin
        .settings
        .as_ref()
        .filter(|_| options.recorded_settings)?;
    Some(Config::of_text(text, Path::new("the recording's settings")))
}

const GZIP_MAGIC: [u8; 2] = [0x1f, 0x8b];
/// At most this many batches are read ahead of the watch: what both threads hold stays in their caches.
const AHEAD: usize = 4;
/// At most this many facts without a time are kept.
const MOST_EARLY: usize = 4096;
const LONG_SILENCE: Duration = Duration::from_hours(2);
const COARSE: Duration = Duration::from_mins(1);

#[cfg(test)]
mod tests;
