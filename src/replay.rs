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
//! failing these, the first vessel that reports wind or depth, which transponders do not send.

use std::io::{self, BufRead, Read};
use std::time::Duration;

use crate::observation::Report;
use crate::signalk::paths::OwnPaths;
use crate::signalk::put::{self, PutRefusal};
use crate::signalk::reader::Reader;
use crate::signalk::wire::{self, Delta, Incoming, Put};
use crate::time::{Now, Tick, Timestamp};
use crate::watch::keeper::Watchkeeper;
use crate::watch::settings::WatchSettings;
use crate::watch::words::{
    Command, Event, EventKind, Input, LetGo, LinkState, Outcome, Output, Picture, Saved,
};

/// How to replay.
#[derive(Clone, Debug, Default)]
pub struct ReplayOptions {
    /// The watch's settings.
    pub settings: WatchSettings,
    /// Let go at this moment of the recording.
    pub let_go: Option<(Timestamp, LetGo)>,
    /// What is read on this boat besides.
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
    fn picture(&mut self, _picture: &Picture) {}
}

/// Opens a recording, unpacking it where it is packed.
pub fn unpacked<'a>(mut input: impl BufRead + 'a) -> io::Result<Box<dyn BufRead + 'a>> {
    let packed = input.fill_buf()?.starts_with(&GZIP_MAGIC);
    Ok(if packed {
        Box::new(io::BufReader::with_capacity(
            BUFFER,
            flate2::bufread::MultiGzDecoder::new(input),
        ))
    } else {
        Box::new(input)
    })
}

/// Replays a recording to its end. Fails only when it cannot be read or the listener cannot write.
pub fn replay(
    mut input: impl BufRead,
    options: &ReplayOptions,
    listener: &mut impl Listener,
) -> io::Result<Counts> {
    let mut player = Player::new(options);
    player.pictures = listener.wants_pictures();
    let mut line = Vec::new();
    loop {
        line.clear();
        let read = (&mut input)
            .take(LONGEST_LINE)
            .read_until(b'\n', &mut line)?;
        if read == 0 {
            break;
        }
        player.counts.lines += 1;
        if !line.ends_with(b"\n") && line.len() as u64 == LONGEST_LINE {
            skip_line(&mut input)?;
            player.bad(listener, "it is longer than any frame of the stream")?;
            continue;
        }
        player.line(&line, listener)?;
    }
    player.finish(listener)
}

struct Player<'o> {
    options: &'o ReplayOptions,
    keeper: Option<Watchkeeper>,
    reader: Reader,
    own_known: bool,
    pace: Pace,
    let_go_due: bool,
    counts: Counts,
    reports: Vec<Report>,
    pictures: bool,
}

impl<'o> Player<'o> {
    fn new(options: &'o ReplayOptions) -> Self {
        let mut reader = Reader::new(None).with_paths(options.own_paths.clone());
        if let Some(own) = &options.own {
            reader.set_self(own);
        }
        Self {
            options,
            keeper: None,
            reader,
            own_known: options.own.is_some(),
            pace: Pace::default(),
            let_go_due: options.let_go.is_some(),
            counts: Counts::default(),
            reports: Vec::new(),
            pictures: false,
        }
    }

    fn line(&mut self, line: &[u8], listener: &mut impl Listener) -> io::Result<()> {
        let text = match std::str::from_utf8(line) {
            Ok(text) => text.trim(),
            Err(error) => return self.bad(listener, &error.to_string()),
        };
        if text.is_empty() {
            return Ok(());
        }
        match wire::parse(text, |path| self.reader.wants(path)) {
            Ok(Incoming::Delta(delta)) => self.delta(&delta, listener),
            Ok(Incoming::Put(put)) => self.put(&put, listener),
            Ok(Incoming::Hello(hello)) => {
                if self.options.own.is_none() {
                    self.reader.set_self(&hello.self_context);
                    self.own_known = true;
                }
                Ok(())
            }
            Ok(Incoming::Reply(_)) => Ok(()),
            Ok(Incoming::ErrorText(_) | Incoming::Unknown) => {
                self.bad(listener, "it is neither a delta nor a PUT message")
            }
            Err(error) => self.bad(listener, &error.to_string()),
        }
    }

    fn delta(&mut self, delta: &Delta<'_>, listener: &mut impl Listener) -> io::Result<()> {
        self.counts.deltas += 1;
        let stamp = delta
            .updates
            .iter()
            .find_map(|update| self.reader.stamp(update.timestamp.as_deref()?));
        self.advance(stamp, listener)?;
        let mut reports = std::mem::take(&mut self.reports);
        self.adopt(delta);
        self.reader.read(delta, &mut reports);
        if let Some(keeper) = &mut self.keeper {
            let now = self.pace.now;
            for report in reports.drain(..) {
                keeper.handle(now, Input::Report(report));
            }
        }
        self.reports = reports;
        self.tell(listener)
    }

    /// Finds our own vessel in a recording that names her nowhere.
    fn adopt(&mut self, delta: &Delta<'_>) {
        if self.own_known {
            return;
        }
        let mut values = delta.updates.iter().flat_map(|update| &update.values);
        if self.reader.is_own(delta.context.as_deref()) {
            self.own_known = true;
        } else if values.any(|value| OWN_INSTRUMENTS.iter().any(|p| value.path.starts_with(p)))
            && let Some(context) = &delta.context
        {
            self.reader.set_self(context);
            self.own_known = true;
        }
    }

    fn put(&mut self, request: &Put, listener: &mut impl Listener) -> io::Result<()> {
        let own = self.reader.is_own(request.context.as_deref());
        for entry in &request.entries {
            let command = if own {
                put::parse_put(&entry.path, &entry.value)
            } else {
                Err(PutRefusal::Context(
                    request.context.clone().unwrap_or_default(),
                ))
            };
            match command {
                Ok(command) => self.command(command, listener)?,
                Err(refusal) => self.bad(listener, &refusal.to_string())?,
            }
        }
        Ok(())
    }

    fn command(&mut self, command: Command, listener: &mut impl Listener) -> io::Result<()> {
        self.counts.commands += 1;
        let now = self.pace.now;
        let Some(keeper) = &mut self.keeper else {
            return self.bad(listener, "a command before the first delta has no time");
        };
        keeper.handle(now, Input::Command { id: 0, command });
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
            let mut keeper = Watchkeeper::new(now, settings, Saved::default(), None);
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
            self.command(Command::LetGo(order), listener)?;
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
                Output::Reply { .. } | Output::Persist(_) | Output::Alert(_) => {}
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

/// The recording's clock. See the module's page.
#[derive(Debug)]
struct Pace {
    started: bool,
    now: Now,
    leap: Option<(Timestamp, u32)>,
}

impl Default for Pace {
    fn default() -> Self {
        Self {
            started: false,
            now: Now::new(Tick::START, Timestamp::EPOCH),
            leap: None,
        }
    }
}

impl Pace {
    /// The moment this stamp leads to; `None` before the first stamp.
    fn take(&mut self, stamp: Option<Timestamp>) -> Option<Now> {
        if !self.started {
            self.now = Now::new(Tick::START, stamp?);
            self.started = true;
            return Some(self.now);
        }
        let Some(stamp) = stamp.filter(|stamp| *stamp > self.now.utc) else {
            return Some(self.now);
        };
        let ahead = stamp.millis_since(self.now.utc).unsigned_abs();
        if u128::from(ahead) > LEAP.as_millis() {
            let (from, agreed) = self.leap.unwrap_or((stamp, 0));
            let near = stamp.millis_since(from).unsigned_abs();
            let agreed = if u128::from(near) <= LEAP.as_millis() {
                agreed + 1
            } else {
                1
            };
            self.leap = Some((stamp, agreed));
            if agreed < LEAP_AGREED {
                return Some(self.now);
            }
        }
        self.leap = None;
        let gone = Duration::from_millis(ahead);
        let passed = if gone > CLOCK_SET {
            Duration::ZERO
        } else {
            gone
        };
        Some(Now::new(self.now.tick + passed, stamp))
    }
}

fn skip_line(input: &mut impl BufRead) -> io::Result<()> {
    loop {
        let buffer = input.fill_buf()?;
        if buffer.is_empty() {
            return Ok(());
        }
        if let Some(end) = buffer.iter().position(|byte| *byte == b'\n') {
            input.consume(end + 1);
            return Ok(());
        }
        let length = buffer.len();
        input.consume(length);
    }
}

/// Paths of instruments whose values a transponder does not send.
const OWN_INSTRUMENTS: [&str; 3] = [
    "environment.wind.",
    "environment.depth.",
    "navigation.headingMagnetic",
];
const GZIP_MAGIC: [u8; 2] = [0x1f, 0x8b];
const BUFFER: usize = 1 << 18;
const LONGEST_LINE: u64 = 1 << 20;
const LEAP: Duration = Duration::from_hours(1);
const LEAP_AGREED: u32 = 4;
const CLOCK_SET: Duration = Duration::from_hours(12);
const LONG_SILENCE: Duration = Duration::from_hours(2);
const COARSE: Duration = Duration::from_mins(1);

#[cfg(test)]
mod tests;
